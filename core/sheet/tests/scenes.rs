//! Laws of every drawing: nothing lies on anything else, nothing leaves the page, and every number is
//! said in words too.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, reason = "a test")]

mod common;

use common::{
    GapRead, LONG, boxes, check, days, fret, gap, gaps, mm, named, signed, voices, widths,
};
use fallaway_advice::observe::Estimate;
use fallaway_advice::turns::{HandTurn, TurnDirection};
use fallaway_measure::{Amount, Decimal, Quantity, StringPlace, Unit};
use fallaway_record::InstrumentSpec;
use fallaway_sheet::{
    BoardArc, DrawingWidth, History, HistoryDeed, HistoryForecast, HistoryPoint, IntonationRow,
    MarkRole, Neck, RowString, SaddleRow, SheetBlock, SheetPage, history, intonation, neck,
    saddles, sheet_text,
};
use fallaway_text::{Phrase, Voice, names};
use proptest::prelude::*;

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..Default::default() })]

    #[test]
    fn the_neck_keeps_the_laws(
        voice in voices(),
        scale in 300.0..1_200.0_f64,
        frets in 12_u8..=36,
        joint in 8_u8..=12,
        // To the limits of what the record takes: 10 mm of relief either way, 30 mm of a gap.
        relief in signed(1_000),
        action in gaps(3_000),
        nut in gaps(3_000),
        end in proptest::option::of((signed(1_000), 1_u8..=8)),
        open in any::<bool>(),
        long in any::<bool>(),
    ) {
        let stopped = u8::from(!open);
        let over = if open { joint.max(4) } else { frets };
        let spec = InstrumentSpec::default();
        let place = StringPlace::new(1, None).unwrap();
        let mut gaps = vec![
                gap(Quantity::Relief { from: fret(1), to: fret(frets), at: None }, relief),
                gap(Quantity::Gap { stopped: fret(stopped), over: fret(over) }, action),
                gap(Quantity::Gap { stopped: fret(3), over: fret(1) }, nut),
            ];
        if let Some((end, before)) = end {
            let to = frets - before.min(frets - 3);
            let quantity = Quantity::fall_away((to - 1).saturating_sub(3).max(1), to, frets);
            gaps.insert(1, gap(quantity.unwrap(), end));
        }
        let string = Some(named(names::string_label(&spec, place), long));
        check(&neck(&Neck { scale_mm: scale, frets, string, gaps }, &voice));
    }

    #[test]
    fn the_history_keeps_the_laws(
        voice in voices(),
        visits in prop_oneof![0_usize..=12, 13_usize..=500],
        step_days in 1_i64..200,
        seed in 1_i64..10_000,
        wanted in proptest::option::of(0_i64..600),
        ahead in proptest::collection::vec((0.0..100.0_f64, 0.0..20.0_f64, 0.0..2.0_f64, any::<bool>()), 0..3),
        long in any::<bool>(),
        width in widths(),
    ) {
        let value = |number: usize| (number as i64 * 7_919 + 13) * seed % 2_000;
        let at = |number: usize| days(number as i64 * step_days);
        let turned = fallaway_text::plan::turn(HandTurn::new(2, TurnDirection::Clockwise));
        let said = if long { Phrase::written(LONG) } else { turned };
        let scene = history(&History {
            quantity: Quantity::Relief { from: fret(1), to: fret(24), at: None },
            place: long.then(|| Phrase::written(LONG)),
            points: (0..visits).map(|number| HistoryPoint {
                at: at(number),
                read: Estimate::mm(value(number) as f64 / 100.0, 0.02),
                said: names::amount(mm(value(number))),
            }).collect(),
            wanted: wanted.map(|value| (mm(value), mm(5))),
            two_values: long,
            deeds: (0..visits.div_ceil(3)).map(|number| HistoryDeed {
                at: at(number * 3),
                said: said.clone(),
            }).collect(),
            air: (0..visits / 2).map(|number| (
                    at(number * 2),
                    Amount::Decimal {
                        value: Decimal::new((number % 100) as i64, 0).unwrap(),
                        unit: Unit::Percent,
                    },
                )).collect(),
            forecast: ahead.into_iter().map(|(humidity_percent, value, unsure, beyond_record)| {
                HistoryForecast { humidity_percent, expect: Estimate::mm(value, unsure), beyond_record }
            }).collect(),
        }, width, &voice);
        check(&scene);
    }
}

#[test]
fn the_neck_says_what_a_winter_did() {
    let read = |read, before| common::GapRead {
        read: Some(read),
        before: Some(before),
        wanted: Some(30),
        old: false,
        two: false,
    };
    let drawn = |relief, action| {
        let gaps = vec![
            gap(Quantity::Relief { from: fret(1), to: fret(24), at: None }, relief),
            gap(Quantity::Gap { stopped: fret(1), over: fret(24) }, action),
        ];
        neck(&Neck { scale_mm: 863.6, frets: 24, string: None, gaps }, &Voice::default())
    };
    let arrows = |scene: &fallaway_sheet::Scene| {
        scene.marks.iter().filter(|mark| mark.role == MarkRole::Moved).count()
    };
    let moved = drawn(read(60, 30), read(222, 200));
    assert_eq!(arrows(&moved), 2);
    let line = "bows 0.30 mm more";
    assert!(boxes(&moved).iter().any(|(text, _)| text.contains(line)), "{:?}", moved.sentences);
    assert!(
        moved.sentences[0].contains(line) && moved.sentences.join(" ").contains("0.22 mm higher")
    );
    // A message has no drawing: what is magnified, and which frets have numbers, is nothing to say there.
    let (of_the_neck, of_the_drawing) = ("the neck bows", ["as large", "Frets numbered"]);
    let message = sheet_text(&SheetPage {
        title: "walnut four".to_owned(),
        subtitle: String::new(),
        language: "en".to_owned(),
        blocks: vec![SheetBlock::Picture(moved.clone())],
    });
    assert!(message.contains(of_the_neck), "{message}");
    assert!(!of_the_drawing.iter().any(|text| message.contains(text)), "{message}");
    assert!(of_the_drawing.iter().all(|text| moved.sentences.join(" ").contains(text)));
    let still = drawn(read(31, 30), read(201, 200));
    assert_eq!(arrows(&still), 0, "within reading error");
    assert!(still.sentences[0].contains("no change beyond reading error"), "{:?}", still.sentences);
}

/// Above the board, where nothing else is known of the string.
#[test]
fn an_end_that_has_turned_from_rising_to_falling_stays_on_the_page() {
    let quiet = common::GapRead { read: None, before: None, wanted: None, old: false, two: false };
    let read = common::GapRead { read: Some(1_000), before: Some(-1_000), ..quiet };
    let gaps = vec![gap(Quantity::fall_away(7, 11, 12).unwrap(), read)];
    check(&neck(&Neck { scale_mm: 630.4, frets: 12, string: None, gaps }, &Voice::default()));
}

#[test]
fn the_end_of_a_board_is_drawn_under_its_straight_edge() {
    let read = |read| common::GapRead {
        read: Some(read),
        before: None,
        wanted: Some(20),
        old: false,
        two: false,
    };
    let edge = Quantity::fall_away(12, 16, 24).unwrap();
    let drawn = |falls: Option<i64>| {
        let mut gaps = vec![
            gap(Quantity::Relief { from: fret(1), to: fret(24), at: None }, read(30)),
            gap(Quantity::Gap { stopped: fret(1), over: fret(24) }, read(200)),
        ];
        gaps.extend(falls.map(|falls| gap(edge, read(falls))));
        neck(&Neck { scale_mm: 863.6, frets: 24, string: None, gaps }, &Voice::default())
    };
    let board = |scene: &fallaway_sheet::Scene| {
        let found = scene.marks.iter().find_map(|mark| match &mark.shape {
            fallaway_sheet::Shape::Line { places, .. }
                if mark.role == MarkRole::Board && places.len() > 9 =>
            {
                Some(places.clone())
            }
            _ => None,
        });
        found.unwrap()
    };
    // Equal temperament: where a fret lies along the board, in parts of it.
    let at = |fret: f64| (1.0 - (-fret / 12.0).exp2()) / 0.75;
    let height = |scene: &fallaway_sheet::Scene, fret: f64| {
        let places = board(scene);
        let index = at(fret) * (places.len() - 1) as f64;
        let (low, high) = (places[index.floor() as usize], places[index.ceil() as usize]);
        low.y + (high.y - low.y) * index.fract()
    };
    for (falls, words) in [(40, "0.40 mm"), (-15, "\u{2212}0.15 mm")] {
        let scene = drawn(Some(falls));
        let drop = height(&scene, 24.0) - height(&scene, 16.0);
        assert!((height(&scene, 13.0) - height(&scene, 15.0)).abs() < 0.1, "the edge lies level");
        assert_eq!(drop > 0.0, falls > 0, "down the page is down: {drop}");
        let said = scene.sentences.join(" ");
        let told = "fall-away at fret 24, straight edge on 12 to 16";
        assert!(said.to_lowercase().contains(told) && said.contains(words), "{said}");
        assert!(boxes(&scene).iter().any(|(text, _)| text == words));
        check(&scene);
    }
    // What nobody read is not drawn.
    assert!(!drawn(None).sentences.join(" ").contains("fall-away"));
}

#[test]
fn numbers_stand_where_they_were_read() {
    let read = |read| common::GapRead {
        read: Some(read),
        before: None,
        wanted: Some(20),
        old: false,
        two: false,
    };
    for (over, language) in [(24, "en"), (12, "en"), (24, "de"), (12, "de")] {
        let gaps = vec![
            gap(Quantity::Relief { from: fret(1), to: fret(24), at: None }, read(31)),
            gap(Quantity::Gap { stopped: fret(3), over: fret(1) }, read(22)),
            gap(Quantity::Gap { stopped: fret(0), over: fret(over) }, read(197)),
        ];
        let voice = Voice::new(fallaway_text::Language::named(language).unwrap());
        let scene = neck(&Neck { scale_mm: 863.6, frets: 24, string: None, gaps }, &voice);
        let stands = |digits: &str| {
            let all = boxes(&scene);
            let (_, [left, _, right, _]) =
                all.iter().find(|(text, _)| text.starts_with(digits)).unwrap();
            f64::midpoint(*left, *right)
        };
        let comma = if language == "de" { "," } else { "." };
        let of = |hundredths: &str| stands(&format!("0{comma}{hundredths}"));
        // Equal temperament: where a fret lies on the way from the nut to the saddle.
        let (nut, saddle) = (44.0, 616.0);
        let place = |fret: f64| nut + (1.0 - (-fret / 12.0).exp2()) * (saddle - nut);
        let action = stands(&format!("1{comma}97"));
        assert!((action - place(f64::from(over))).abs() < 80.0, "{action} over {over}");
        assert!((of("31") - place(8.0)).abs() < 40.0, "relief stands at {}", of("31"));
        assert!(of("22") < place(7.0), "the nut's stands at {}", of("22"));
        check(&scene);
    }
}

#[test]
fn several_turns_of_one_day_are_not_called_one() {
    let turned =
        |eighths| fallaway_text::plan::turn(HandTurn::new(eighths, TurnDirection::Clockwise));
    let drawn = |deeds: Vec<HistoryDeed>| {
        let of = History {
            quantity: Quantity::Relief { from: fret(1), to: fret(24), at: None },
            place: None,
            points: (0..3)
                .map(|number| HistoryPoint {
                    at: days(number * 60),
                    read: Estimate::mm(0.3, 0.02),
                    said: names::amount(mm(30)),
                })
                .collect(),
            wanted: None,
            two_values: false,
            deeds,
            air: Vec::new(),
            forecast: Vec::new(),
        };
        history(&of, DrawingWidth::Page, &Voice::default())
    };
    let deed = |at, eighths| HistoryDeed { at, said: turned(eighths) };
    let mut later = days(0);
    later.unix_s += 600;
    let scene = drawn(vec![deed(days(0), 2), deed(later, 1), deed(days(90), 3)]);
    let texts: Vec<String> = boxes(&scene).into_iter().map(|(text, _)| text).collect();
    assert!(texts.iter().any(|text| text == "done in 2 steps"), "{texts:?}");
    assert!(!texts.iter().any(|text| text.contains("1/4 turn")), "half of it: {texts:?}");
    assert!(texts.iter().any(|text| text.contains("3/8 turn")), "alone on its day: {texts:?}");
    let said = scene.sentences.join(" ");
    assert!(said.contains("1/4 turn") && said.contains("1/8 turn"), "{said}");
}

/// An empty lane between what was done and the days looks as if something were missing; and a phone says the title
/// above the drawing, in letters of its own.
#[test]
fn a_lane_of_which_nothing_is_known_takes_no_room() {
    let drawn = |deeds: usize, air: bool, points: usize, width| {
        let of = History {
            quantity: Quantity::Relief { from: fret(1), to: fret(24), at: None },
            place: None,
            points: (0..points)
                .map(|number| HistoryPoint {
                    at: days(number as i64 * 60),
                    read: Estimate::mm(0.3, 0.02),
                    said: names::amount(mm(30)),
                })
                .collect(),
            wanted: None,
            two_values: false,
            deeds: (0..deeds)
                .map(|_| HistoryDeed { at: days(0), said: Phrase::written("a shim") })
                .collect(),
            air: air
                .then(|| (days(0), Amount::decimal(45, 0, Unit::Percent).unwrap()))
                .into_iter()
                .collect(),
            forecast: Vec::new(),
        };
        history(&of, width, &Voice::default())
    };
    // From the last text over the days down to them.
    let gap = |scene: &fallaway_sheet::Scene| {
        let texts = boxes(scene);
        let day = texts.iter().filter(|(text, _)| text.starts_with("20")).map(|(_, at)| at[1]);
        let day = day.fold(f64::INFINITY, f64::min);
        let above = texts.iter().map(|(_, at)| at[3]).filter(|low| *low <= day);
        day - above.fold(0.0, f64::max)
    };
    for width in [DrawingWidth::Page, DrawingWidth::Phone] {
        let all = drawn(1, true, 2, width);
        let bare = drawn(0, false, 2, width);
        for (scene, lanes) in
            [(&all, 3), (&drawn(1, false, 2, width), 2), (&drawn(0, true, 2, width), 2), (&bare, 1)]
        {
            check(scene);
            let most = if lanes == 1 { 200.0 } else { 20.0 };
            assert!(gap(scene) < most, "{lanes} lanes, {width:?}: {}", gap(scene));
        }
        assert!(bare.height < all.height - 40.0);
        assert!(drawn(0, false, 0, width).height < 50.0, "nothing read takes no room");
        let titled = boxes(&all).iter().any(|(text, _)| *text == all.title);
        assert_eq!(titled, width == DrawingWidth::Page);
    }
}

/// Tenths of a cent.
fn cents(tenths: i64) -> Amount {
    Amount::decimal(tenths, 1, Unit::Cent).unwrap()
}

#[test]
fn two_targets_are_told_and_none_of_them_is_drawn() {
    let drawn = |two_values| {
        let of = History {
            quantity: Quantity::Relief { from: fret(1), to: fret(24), at: None },
            place: None,
            points: vec![HistoryPoint {
                at: days(0),
                read: Estimate::mm(0.3, 0.02),
                said: names::amount(mm(30)),
            }],
            wanted: Some((mm(20), mm(5))),
            two_values,
            deeds: Vec::new(),
            air: Vec::new(),
            forecast: Vec::new(),
        };
        history(&of, DrawingWidth::Page, &Voice::default())
    };
    let wanted = |scene: &fallaway_sheet::Scene| {
        scene.marks.iter().any(|mark| matches!(mark.role, MarkRole::Wanted | MarkRole::Tolerance))
    };
    let (one, two) = (drawn(false), drawn(true));
    assert!(wanted(&one) && !wanted(&two));
    assert!(two.sentences.iter().any(|one| one == "Two targets."), "{:?}", two.sentences);

    let voice = Voice::default();
    let spec = InstrumentSpec::default();
    let string = |number| names::string(&spec, StringPlace::new(number, None).unwrap());
    let action = Quantity::gap(0, 12).unwrap();
    let of = |quantity, two| {
        gap(quantity, GapRead { read: Some(230), before: None, wanted: Some(220), old: false, two })
    };
    let across = |two| {
        let gaps = vec![of(Quantity::relief(1, 24).unwrap(), two), of(action, two)];
        let neck_of = Neck { scale_mm: 864.0, frets: 24, string: Some(string(4)), gaps };
        let row = |number: u8| RowString {
            name: string(number),
            offset_mm: 19.0 * (f64::from(number) - 2.5),
            action: of(action, two),
        };
        let board = BoardArc::Radius(300.0);
        let row_of = SaddleRow { quantity: action, board, strings: (1..=4).map(row).collect() };
        let rows = [IntonationRow {
            string: string(4),
            fret: 12,
            before: None,
            after: None,
            wanted: Some((cents(0), cents(20))),
            two_values: two,
        }];
        [neck(&neck_of, &voice), saddles(&row_of, &voice), intonation(&rows, &voice)]
    };
    for (one, two) in across(false).iter().zip(&across(true)) {
        assert!(wanted(one) && !wanted(two), "{}", two.title);
        assert!(two.sentences.join(" ").contains("two targets"), "{:?}", two.sentences);
        // Who looks at it reads it too, and not only who hears it.
        assert!(boxes(two).iter().any(|(text, _)| text == "two targets"), "{}", two.title);
        check(two);
    }
}
