//! The same laws for what is drawn string by string: 4 to 12 strings, 12 to 36 frets, values at their
//! limits.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

mod common;

use common::{GapRead, boxes, check, fret, gap, gaps, mm, named, voices, widths};
use fallaway_advice::clearance::{ClearanceAnswer, StringClearance, TouchUsed, UnderTouch};
use fallaway_advice::compare::{ComparedAt, InstrumentPart, PartChange, PartVerdict, WhatChanged};
use fallaway_advice::observe::{Estimate, EstimateUnit, TurnedScrew};
use fallaway_advice::plan::{
    PartWay, PlanStep, ScrewMove, SettledBy, SizeFrom, StepKind, StepVerdict, StepWork,
};
use fallaway_advice::turns::{HandTurn, TurnDirection};
use fallaway_measure::{Amount, Decimal, Quantity, StringPlace, Unit};
use fallaway_mechanics::clearance::ClearanceMargin;
use fallaway_mechanics::envelope::{Method, PluckedString, SwingBasis};
use fallaway_mechanics::string_line::GapPlace;
use fallaway_mechanics::units;
use fallaway_mechanics::uom::si::f64::Frequency;
use fallaway_mechanics::uom::si::frequency::hertz;
use fallaway_record::{FretFinding, FretState, InstrumentSpec};
use fallaway_sheet::{
    BoardArc, DrawingWidth, IntonationRow, MarkRole, RowString, SaddleRow, SpacingGap, changes,
    clearance, intonation, saddles, spacing, turn,
};
use fallaway_text::{Voice, names};
use proptest::prelude::*;

const NONE: GapRead = GapRead { read: None, before: None, wanted: None, old: false, two: false };

fn place(number: u8) -> StringPlace {
    StringPlace::new(number, None).unwrap()
}

/// An instrument whose strings have long names.
fn spec(strings: u8) -> InstrumentSpec {
    let note = "F#3".parse().unwrap();
    InstrumentSpec {
        tuning: (1..=strings).map(|number| (place(number), note)).collect(),
        ..InstrumentSpec::default()
    }
}

fn row(board: BoardArc, half_spread: f64, read: &[GapRead], over: u8) -> SaddleRow {
    row_named(board, half_spread, read, (over, false))
}

fn row_named(
    board: BoardArc,
    half_spread: f64,
    read: &[GapRead],
    (over, long): (u8, bool),
) -> SaddleRow {
    let quantity = Quantity::Gap { stopped: fret(1), over: fret(over) };
    let spec = spec(read.len() as u8);
    let last = (read.len() as f64 - 1.0).max(1.0);
    let string = |(number, of): (usize, &GapRead)| RowString {
        name: named(names::string_label(&spec, place(number as u8 + 1)), long),
        offset_mm: half_spread * (2.0 * number as f64 / last - 1.0),
        action: gap(quantity, *of),
    };
    SaddleRow { quantity, board, strings: read.iter().enumerate().map(string).collect() }
}

fn spaced(nut: &[GapRead], bridge: &[GapRead]) -> Vec<SpacingGap> {
    spaced_named(nut, bridge, false)
}

fn spaced_named(nut: &[GapRead], bridge: &[GapRead], long: bool) -> Vec<SpacingGap> {
    let spec = spec(nut.len() as u8 + 1);
    let name = |number: usize| named(names::string_label(&spec, place(number as u8)), long);
    let both = nut.iter().zip(bridge).enumerate();
    both.map(|(number, (nut, bridge))| SpacingGap {
        between: (name(number + 1), name(number + 2)),
        nut: gap(Quantity::SpacingNut, *nut),
        bridge: gap(Quantity::SpacingBridge, *bridge),
    })
    .collect()
}

/// Frets high, worn, loose and level, all along and under one string, with a height and without.
fn found(strings: u8) -> Vec<FretFinding> {
    let states = [FretState::High, FretState::Worn, FretState::Lifting, FretState::Level];
    let one = |(number, state): (u8, FretState)| FretFinding {
        fret: fret(number),
        state,
        strings: if number % 2 == 0 { vec![place(strings)] } else { Vec::new() },
        by: (number % 3 == 0).then(|| mm(8)),
    };
    (1..=12).zip(states.into_iter().cycle()).map(one).collect()
}

fn cents(tenths: i64) -> Amount {
    Amount::Decimal { value: Decimal::new(tenths, 1).unwrap(), unit: Unit::Cent }
}

fn heard(tenths: i64) -> (Estimate, fallaway_text::Phrase) {
    let mut known = Estimate::mm(tenths as f64 / 10.0, 0.5);
    known.scale = EstimateUnit::Cent;
    (known, names::amount(cents(tenths)))
}

fn rings(strings: u8, frets: usize, margins: &[f64]) -> ClearanceAnswer {
    let margin = |stopped: usize, value: f64| ClearanceMargin {
        place: GapPlace { stopped, over: stopped + 1 },
        gap: units::mm(value.abs()),
        depth: units::mm(0.0),
        margin: units::mm(value),
    };
    let string = |number: u8| {
        let value = |stopped: usize| margins[(stopped + usize::from(number) * 7) % margins.len()];
        let map: Vec<ClearanceMargin> =
            (0..frets).map(|stopped| margin(stopped, value(stopped))).collect();
        let smallest =
            *map.iter().min_by(|a, b| a.margin.value.total_cmp(&b.margin.value)).unwrap();
        StringClearance {
            place: place(number),
            action: units::mm(2.0),
            action_at: GapPlace { stopped: 1, over: frets },
            smallest,
            uncertainty: units::mm(0.05),
            map,
            lowest: None,
            best_relief: None,
            touch: None,
            under_touch: UnderTouch::CannotBeTold,
            basis: SwingBasis {
                method: Method::ClosedForm { factor: 0.5 },
                string: PluckedString {
                    scale: units::mm(864.0),
                    frets,
                    frequency: Frequency::new::<hertz>(41.2),
                    inharmonicity: 1e-4,
                    from_saddle: units::mm(100.0),
                },
            },
        }
    };
    ClearanceAnswer {
        strings: (1..=strings).map(string).collect(),
        limiting: 0,
        play: TouchUsed::with_force(5.0),
    }
}

fn changed(parts: Vec<PartChange>) -> WhatChanged {
    WhatChanged {
        from: ComparedAt::Setup,
        to: ComparedAt::Today,
        likely: Vec::new(),
        parts,
        common: false,
        contradicting: Vec::new(),
        outvoted: Vec::new(),
        left_aside: 0,
        noted: Vec::new(),
        postures_differ: None,
        readings: (1, 1),
        readers: Vec::new(),
        wishes: Vec::new(),
        cautions: Vec::new(),
    }
}

fn step(screw: TurnedScrew, turn: HandTurn, count: u8, shown: Option<Amount>) -> PlanStep {
    let work = StepWork {
        way: PartWay::Lower,
        travel: None,
        moves: vec![ScrewMove { screw, count, turn, size_from: SizeFrom::Usual }],
        expect: None,
        expect_shown: shown,
        left_over: None,
        again: Vec::new(),
        lifts: Vec::new(),
        explains: Vec::new(),
    };
    PlanStep {
        kind: StepKind::Action,
        measurand: None,
        target: None,
        seen: None,
        compared: None,
        verdict: StepVerdict::Adjust(Box::new(work)),
        cautions: Vec::new(),
        remarks: Vec::new(),
        settled_by: SettledBy::Nothing,
        then_measure: Vec::new(),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..Default::default() })]

    #[test]
    fn saddles_keep_the_laws(
        voice in voices(),
        read in proptest::collection::vec(gaps(3_000), 4..=12),
        half_spread in 12.0..45.0_f64,
        board in prop_oneof![
            Just(BoardArc::Flat), Just(BoardArc::Unwritten), (100.0..1_000.0_f64).prop_map(BoardArc::Radius)
        ],
        over in 12_u8..=36,
        long in any::<bool>(),
    ) {
        check(&saddles(&row_named(board, half_spread, &read, (over, long)), &voice));
    }

    #[test]
    fn spacing_keeps_the_laws(
        voice in voices(),
        both in proptest::collection::vec((gaps(2_500), gaps(2_500)), 3..=11),
        long in any::<bool>(),
    ) {
        let (nut, bridge): (Vec<GapRead>, Vec<GapRead>) = both.into_iter().unzip();
        check(&spacing(&spaced_named(&nut, &bridge, long), &voice));
    }

    #[test]
    fn intonation_keeps_the_laws(
        voice in voices(),
        read in proptest::collection::vec(
            (proptest::option::of(-2_000..2_000_i64), proptest::option::of(-2_000..2_000_i64),
             proptest::option::of(-50..50_i64), 5_u8..=36), 0..=24),
    ) {
        let spec = spec(12);
        let rows: Vec<IntonationRow> = read.into_iter().enumerate().map(|(number, of)| IntonationRow {
            string: names::string_label(&spec, place(number as u8 % 12 + 1)),
            fret: of.3,
            before: of.0.map(heard),
            after: of.1.map(heard),
            wanted: of.2.map(|wanted| (cents(wanted), cents(20))),
            two_values: of.3 % 5 == 0,
        }).collect();
        check(&intonation(&rows, &voice));
    }

    #[test]
    fn clearance_keeps_the_laws(
        voice in voices(),
        strings in 4_u8..=12,
        frets in 12_usize..=36,
        margins in proptest::collection::vec(-20.0..20.0_f64, 1..60),
    ) {
        check(&clearance(&rings(strings, frets, &margins), &found(strings), &spec(strings), &voice));
    }

    #[test]
    fn changes_keep_the_laws(
        voice in voices(),
        strings in 4_u8..=12,
        read in proptest::collection::vec((-20.0..20.0_f64, 0.0..5.0_f64, 0..4_u8), 30),
        width in widths(),
    ) {
        let own = (1..=strings).flat_map(|number| {
            [InstrumentPart::Saddle(place(number)), InstrumentPart::Nut(place(number))]
        });
        let whole =
            [InstrumentPart::Neck, InstrumentPart::Twist, InstrumentPart::Joint, InstrumentPart::Heights];
        let parts = whole.into_iter().chain(own).zip(read).map(|(part, (value, about, verdict))| {
            PartChange {
                part,
                change: Estimate::mm(value, about / 2.0),
                interval_mm: (verdict > 0).then_some((value - about, value + about)),
                verdict: match verdict {
                    0 | 1 => PartVerdict::CannotBeTold,
                    2 => PartVerdict::NotBeyondRead,
                    _ => PartVerdict::Moved,
                },
                would_tell: None,
                noted: Vec::new(),
                rests_on_one: None,
            }
        });
        check(&changes(&changed(parts.collect()), &spec(strings), width, &voice));
    }

    #[test]
    fn turns_keep_the_laws(
        voice in voices(),
        eighths in 0_u16..=400,
        way in 0_u8..4,
        count in 1_u8..=2,
        shown in proptest::option::of(0_i64..2_000),
        screw in prop_oneof![
            Just(TurnedScrew::Rod), Just(TurnedScrew::SpringClaw),
            (1_u8..=12).prop_map(|number| TurnedScrew::SaddlePosition(place(number))),
            (2_u8..=12).prop_map(|last| TurnedScrew::SaddleHeight((1..=last).map(place).collect())),
            Just(TurnedScrew::Pickup { pickup: 1, side: Some(fallaway_measure::Side::Treble) }),
        ],
    ) {
        let direction = match way {
            0 => None,
            1 => Some(TurnDirection::Clockwise),
            _ => Some(TurnDirection::Anticlockwise),
        };
        let turned = HandTurn { eighths, direction, is_trial: way == 3 || direction.is_none() };
        let scenes = turn(&step(screw, turned, count, shown.map(mm)), &spec(12), &voice);
        prop_assert_eq!(scenes.len(), 1);
        check(&scenes[0]);
    }
}

#[test]
fn a_note_that_buzzes_has_a_triangle_and_its_words() {
    let scene = clearance(&rings(4, 20, &[0.4, 0.3, -0.1]), &[], &spec(4), &Voice::default());
    let triangles = scene.marks.iter().filter(|mark| {
        mark.role == MarkRole::Caution && matches!(mark.shape, fallaway_sheet::Shape::Area { .. })
    });
    // Each string has a third of 20 notes that buzz: 6 or 7.
    assert!((24..=28).contains(&triangles.count()));
    assert!(boxes(&scene).iter().any(|(text, _)| text == "buzzes by 0.10 mm"));
    let clean = clearance(&rings(4, 20, &[0.4, 0.3]), &[], &spec(4), &Voice::default());
    assert!(clean.marks.iter().all(|mark| mark.role != MarkRole::Caution));
}

#[test]
fn frets_as_they_were_found_are_marked_and_said() {
    let drawn = |frets: &[FretFinding]| {
        clearance(&rings(4, 20, &[0.4, 0.3]), frets, &spec(4), &Voice::default())
    };
    let marks = |scene: &fallaway_sheet::Scene| {
        scene.marks.iter().filter(|mark| mark.role == MarkRole::Read).count()
    };
    let plain = drawn(&[]);
    assert_eq!(marks(&plain), 0);
    let one = |state, by, strings| FretFinding { fret: fret(7), state, strings, by };
    // One mark at the fret and one beside its word below.
    let high = drawn(&[one(FretState::High, Some(mm(8)), Vec::new())]);
    assert_eq!(marks(&high), 2);
    assert!(high.height > plain.height);
    let said = |scene: &fallaway_sheet::Scene, words: &str| {
        scene.sentences.iter().any(|one| one.contains(words))
    };
    assert!(said(&high, "Fret 7: stands high by 0.08 mm."), "{:?}", high.sentences);
    assert!(boxes(&high).iter().any(|(text, _)| text == "stands high"));
    let worn = drawn(&[one(FretState::Worn, None, vec![place(2), place(3)])]);
    assert_eq!(marks(&worn), 3);
    // A level one is said, and not marked; one beyond the board is neither.
    let level = drawn(&[one(FretState::Level, None, Vec::new())]);
    assert_eq!((marks(&level), level.height), (0, plain.height));
    assert!(said(&level, "Fret 7: level"), "{:?}", level.sentences);
}

#[test]
fn the_row_of_strings_says_on_which_radius_it_lies() {
    // Equal gaps over a cylinder: the strings lie on an arc larger by that gap.
    let read = GapRead { read: Some(200), wanted: Some(200), ..NONE };
    let drawn = row(BoardArc::Radius(300.0), 25.0, &[read; 6], 20);
    let scene = saddles(&drawn, &Voice::default());
    assert!(scene.sentences[0].contains("radius 300 mm"), "{:?}", scene.sentences);
    assert!(
        scene.sentences[0].contains("radius 300 mm; the undersides of the strings: radius 300 mm")
    );
    assert!(scene.marks.iter().any(|mark| mark.role == MarkRole::Computed));
    // A row of two, or one that nobody read, has no radius.
    let few = saddles(&row(BoardArc::Flat, 25.0, &[NONE; 4], 20), &Voice::default());
    assert!(few.marks.iter().all(|mark| mark.role != MarkRole::Computed));
}

#[test]
fn a_row_that_readings_do_not_tell_from_flat_has_no_radius() {
    // Undersides all but level, read off sixty-fourths: half a division is 0.2 mm, and its standard
    // uncertainty that over the root of three (JCGM 100:2008, 4.3.7).
    let about = 25.4 / 128.0 / 3.0_f64.sqrt();
    let drawn = |heights: &[f64], about: f64| {
        let mut of = row(BoardArc::Radius(300.0), 25.0, &[NONE; 5], 20);
        for (string, height) in of.strings.iter_mut().zip(heights) {
            let said = names::amount(mm((height * 100.0).round() as i64));
            string.action.read = Some((Estimate::mm(*height, about), said));
        }
        saddles(&of, &Voice::default())
    };
    // A circle of 300 mm drops by 25^2 / 600 = 1.04 mm at the outer strings, by 0.26 mm at the next.
    let level = drawn(&[3.0, 2.23, 1.98, 2.23, 3.0], about);
    assert!(level.sentences[0].contains("tell no radius"), "{:?}", level.sentences);
    assert!(!level.sentences[0].contains("undersides of the strings: radius"));
    assert!(level.marks.iter().all(|mark| mark.role != MarkRole::Computed), "no arc is drawn");
    // A row that follows the board is told, with between what it lies.
    let bent = drawn(&[1.98; 5], about);
    assert!(
        bent.sentences[0].contains("undersides of the strings: radius 30"),
        "{:?}",
        bent.sentences
    );
    assert!(bent.sentences[0].contains(" to "), "{:?}", bent.sentences);
    // With a dial gauge a level row is flat, and one that dips is hollow.
    let fine = drawn(&[3.02, 2.24, 1.98, 2.24, 3.02], 0.003);
    assert!(fine.sentences[0].contains("undersides of the strings: flat"), "{:?}", fine.sentences);
    let hollow = drawn(&[4.0, 2.5, 1.98, 2.5, 4.0], 0.003);
    assert!(hollow.sentences[0].contains("hollow"), "{:?}", hollow.sentences);
    for scene in [level, bent, fine, hollow] {
        check(&scene);
    }
}

#[test]
fn whole_turns_are_drawn_with_what_is_over() {
    let drawn = |eighths| {
        let turned = HandTurn::new(eighths, TurnDirection::Anticlockwise);
        let screw = TurnedScrew::SaddleHeight(vec![place(1)]);
        turn(&step(screw, turned, 1, None), &spec(4), &Voice::default()).remove(0)
    };
    let arcs = |scene: &fallaway_sheet::Scene| {
        let arcs = scene.marks.iter().filter_map(|mark| match mark.shape {
            fallaway_sheet::Shape::Arc { sweep, .. } => Some(sweep),
            _ => None,
        });
        arcs.collect::<Vec<_>>()
    };
    let whole = |scene: &fallaway_sheet::Scene| {
        boxes(scene).into_iter().find(|(text, _)| text.ends_with('×')).map(|(text, _)| text)
    };
    // 4 1/8 turns: an eighth of a circle, and a ring that says four.
    let (many, one) = (drawn(33), drawn(1));
    assert_eq!((arcs(&many).len(), whole(&many).as_deref()), (2, Some("4 ×")));
    assert_eq!(arcs(&many)[0], -45.0);
    assert!(arcs(&many)[1] < -300.0, "all but round, the same way");
    assert_eq!((arcs(&one), whole(&one)), (vec![-45.0], None));
    assert_eq!((arcs(&drawn(16)).len(), whole(&drawn(16)).as_deref()), (1, Some("2 ×")));
}

#[test]
fn parts_of_which_nothing_was_read_share_a_line_at_the_foot() {
    let part = |part, value: Option<f64>| PartChange {
        part,
        change: Estimate::mm(value.unwrap_or_default(), 0.02),
        interval_mm: value.map(|value| (value - 0.04, value + 0.04)),
        verdict: if value.is_some() { PartVerdict::Moved } else { PartVerdict::CannotBeTold },
        would_tell: None,
        noted: Vec::new(),
        rests_on_one: None,
    };
    let unread = (1..=12).map(|number| part(InstrumentPart::Nut(place(number)), None));
    let of =
        changed(std::iter::once(part(InstrumentPart::Neck, Some(0.2))).chain(unread).collect());
    let scene = changes(&of, &spec(12), DrawingWidth::Page, &Voice::default());
    check(&scene);
    let texts = boxes(&scene);
    assert!(texts.iter().any(|(text, _)| text.starts_with("+0.20 mm")), "{texts:?}");
    let foot = texts.iter().filter(|(text, _)| text.contains("annot tell"));
    assert_eq!(foot.count(), 1, "{texts:?}");
    assert!(scene.height < 100.0, "twelve unread parts make it {} high", scene.height);
    // A phone says that and the title around the drawing: said in it, both would stand there twice.
    let scene = changes(&of, &spec(12), DrawingWidth::Phone, &Voice::default());
    check(&scene);
    let texts = boxes(&scene);
    assert!(texts.iter().any(|(text, _)| text.starts_with("+0.20 mm")), "{texts:?}");
    let twice = |text: &String| *text == scene.title || text.contains("annot tell");
    assert!(!texts.iter().any(|(text, _)| twice(text)), "{texts:?}");
    assert!(scene.sentences.iter().any(|said| said.contains("annot tell")));
}

#[test]
fn spacing_that_nobody_read_says_so() {
    for scene in [
        spacing(&spaced(&[NONE; 3], &[NONE; 3]), &Voice::default()),
        intonation(&[], &Voice::default()),
    ] {
        assert_eq!(scene.sentences, ["Not measured."]);
        check(&scene);
    }
}

#[test]
fn what_nobody_measured_is_said_and_takes_no_room() {
    let voice = Voice::default();
    let none = spacing(&spaced(&[NONE; 3], &[NONE; 3]), &voice);
    let read = GapRead { read: Some(1_900), ..NONE };
    assert!(none.height < spacing(&spaced(&[read; 3], &[read; 3]), &voice).height / 2.0);
    assert!(boxes(&none).iter().all(|(_, [.., low])| *low <= none.height));
}
