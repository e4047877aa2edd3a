//! Laws of every drawing: nothing lies on anything else, nothing leaves the page, and every number is
//! said in words too.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, reason = "a test")]

mod common;

use common::{boxes, check, days, fret, gap, gaps, mm, voices};
use fallaway_advice::observe::Estimate;
use fallaway_advice::turns::{HandTurn, TurnDirection};
use fallaway_measure::{Amount, Decimal, Quantity, StringPlace, Unit};
use fallaway_record::InstrumentSpec;
use fallaway_sheet::{
    History, HistoryDeed, HistoryForecast, HistoryPoint, MarkRole, Neck, SheetBlock, SheetPage,
    history, neck, sheet_text,
};
use fallaway_text::{Phrase, Voice, names};
use proptest::prelude::*;

const LONG: &str =
    "a remark that somebody made as long as a remark may be, with WIDE LETTERS: mmmmmmwwwww";

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..Default::default() })]

    #[test]
    fn the_neck_keeps_the_laws(
        voice in voices(),
        scale in 300.0..1_200.0_f64,
        frets in 12_u8..=36,
        joint in 8_u8..=12,
        relief in gaps(1_000),
        action in gaps(2_000),
        nut in gaps(300),
        open in any::<bool>(),
    ) {
        let stopped = u8::from(!open);
        let over = if open { joint.max(4) } else { frets };
        let spec = InstrumentSpec::default();
        let place = StringPlace::new(1, None).unwrap();
        let scene = neck(&Neck {
            scale_mm: scale,
            frets,
            string: Some(names::string_label(&spec, place)),
            gaps: vec![
                gap(Quantity::Relief { from: fret(1), to: fret(frets), at: None }, relief),
                gap(Quantity::Gap { stopped: fret(stopped), over: fret(over) }, action),
                gap(Quantity::Gap { stopped: fret(3), over: fret(1) }, nut),
            ],
        }, &voice);
        check(&scene);
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
    ) {
        let value = |number: usize| (number as i64 * 7_919 + 13) * seed % 2_000;
        let at = |number: usize| days(number as i64 * step_days);
        let turned = fallaway_text::plan::turn(HandTurn::new(2, TurnDirection::Clockwise));
        let said = if long { Phrase::written(LONG) } else { turned };
        let scene = history(&History {
            quantity: Quantity::Relief { from: fret(1), to: fret(24), at: None },
            place: None,
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
        }, &voice);
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
        history(&of, &Voice::default())
    };
    let wanted = |scene: &fallaway_sheet::Scene| {
        scene.marks.iter().any(|mark| mark.role == MarkRole::Wanted)
    };
    let (one, two) = (drawn(false), drawn(true));
    assert!(wanted(&one) && !wanted(&two));
    assert!(two.sentences.iter().any(|one| one == "Two targets."), "{:?}", two.sentences);
}
