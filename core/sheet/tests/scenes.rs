//! Laws of every drawing: nothing lies on anything else, nothing leaves the page, and every number is
//! said in words too.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, reason = "a test")]

use fallaway_advice::observe::Estimate;
use fallaway_advice::turns::{HandTurn, TurnDirection};
use fallaway_measure::{Amount, Decimal, Fret, Quantity, StringPlace, Unit};
use fallaway_record::{InstrumentSpec, Moment};
use fallaway_sheet::{
    Anchor, Gap, History, HistoryDeed, HistoryPoint, Neck, Scene, Shape, Theme, history, neck, svg,
};
use fallaway_text::{Language, LengthUnit, Units, Voice, names};
use proptest::prelude::*;

/// A text's box on the page: left, top, right, bottom; letters as wide as `letters.rs` takes them to be
/// at most are the drawing's affair, so this is its own, narrower estimate.
fn boxes(scene: &Scene) -> Vec<(String, [f64; 4])> {
    let of = |shape: &Shape| match shape {
        Shape::Text { at, anchor, size, text } => {
            let wide = text.chars().count() as f64 * size * 0.5;
            let left = match anchor {
                Anchor::Start => at.x,
                Anchor::Middle => at.x - wide / 2.0,
                Anchor::End => at.x - wide,
            };
            Some((text.clone(), [left, at.y - size * 0.72, left + wide, at.y + size * 0.2]))
        }
        _ => None,
    };
    scene.marks.iter().filter_map(|mark| of(&mark.shape)).collect()
}

/// The numbers in a text, as they stand there.
fn numbers(text: &str) -> Vec<String> {
    text.split(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '/')))
        .map(|part| part.trim_matches([',', '.', '/']).to_owned())
        .filter(|part| part.chars().any(|c| c.is_ascii_digit()))
        .collect()
}

fn check(scene: &Scene) {
    let boxes = boxes(scene);
    for (number, (text, one)) in boxes.iter().enumerate() {
        assert!(
            one[0] >= -0.5
                && one[1] >= -0.5
                && one[2] <= scene.width + 0.5
                && one[3] <= scene.height + 0.5,
            "{text:?} leaves the page: {one:?} of {} x {}",
            scene.width,
            scene.height
        );
        for (other_text, other) in &boxes[number + 1..] {
            let apart = one[2] <= other[0]
                || other[2] <= one[0]
                || one[3] <= other[1]
                || other[3] <= one[1];
            assert!(apart, "{text:?} {one:?} lies on {other_text:?} {other:?}");
        }
    }
    for mark in &scene.marks {
        let places = match &mark.shape {
            Shape::Line { places, .. } | Shape::Area { places } => places.clone(),
            Shape::Dot { at, .. }
            | Shape::Ring { at, .. }
            | Shape::Arc { at, .. }
            | Shape::Text { at, .. } => vec![*at],
        };
        for at in places {
            assert!(
                (-1.0..=scene.width + 1.0).contains(&at.x)
                    && (-1.0..=scene.height + 1.0).contains(&at.y),
                "{mark:?} leaves the page"
            );
        }
    }
    let told = scene.sentences.iter().chain([&scene.title]);
    let said: Vec<String> = told.flat_map(|one| numbers(one)).collect();
    for (text, _) in boxes {
        if text.ends_with('…') {
            continue;
        }
        for number in numbers(&text) {
            assert!(
                said.contains(&number),
                "{number} of {text:?} is not said: {:?}",
                scene.sentences
            );
        }
    }
    for theme in Theme::ALL {
        let picture = svg(scene, theme);
        assert!(picture.starts_with("<svg ") && picture.ends_with("</svg>\n"));
        assert_eq!(picture.matches("<text ").count(), boxes_count(scene));
    }
}

fn boxes_count(scene: &Scene) -> usize {
    scene.marks.iter().filter(|mark| matches!(mark.shape, Shape::Text { .. })).count()
}

fn voices() -> impl Strategy<Value = Voice> {
    let language = prop_oneof![Just("en"), Just("de")];
    let unit = prop_oneof![
        Just(LengthUnit::AsRead),
        Just(LengthUnit::Millimetres),
        Just(LengthUnit::Thou),
        Just(LengthUnit::InchFractions { denominator: Some(64) }),
    ];
    (language, unit).prop_map(|(language, unit)| {
        Voice::new(Language::named(language).unwrap()).in_units(Units::all(unit))
    })
}

fn mm(hundredths: i64) -> Amount {
    Amount::Decimal { value: Decimal::new(hundredths, 2).unwrap(), unit: Unit::Millimetre }
}

fn gap(quantity: Quantity, read: Option<i64>, wanted: Option<i64>, old: bool, two: bool) -> Gap {
    Gap {
        quantity,
        read: read
            .map(|value| (Estimate::mm(value as f64 / 100.0, 0.03), names::amount(mm(value)))),
        wanted: wanted.map(|value| (mm(value), mm(5))),
        two_values: two,
        out_of_date: old,
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..Default::default() })]

    #[test]
    fn the_neck_keeps_the_laws(
        voice in voices(),
        scale in 300.0..1_200.0_f64,
        frets in 12_u8..=36,
        joint in 8_u8..=12,
        relief in proptest::option::of(0_i64..1_000),
        action in proptest::option::of(0_i64..2_000),
        nut in proptest::option::of(0_i64..300),
        wanted in proptest::option::of(0_i64..600),
        (old, two, open) in (any::<bool>(), any::<bool>(), any::<bool>()),
    ) {
        let fret = |number: u8| Fret::new(number).unwrap();
        let stopped = u8::from(!open);
        let over = if open { joint.max(4) } else { frets };
        let spec = InstrumentSpec::default();
        let place = StringPlace::new(1, None).unwrap();
        let scene = neck(&Neck {
            scale_mm: scale,
            frets,
            string: Some(names::string_label(&spec, place)),
            gaps: vec![
                gap(Quantity::Relief { from: fret(1), to: fret(frets), at: None }, relief, wanted, old, two),
                gap(Quantity::Gap { stopped: fret(stopped), over: fret(over) }, action, wanted, false, two),
                gap(Quantity::Gap { stopped: fret(3), over: fret(1) }, nut, None, old, false),
            ],
        }, &voice);
        check(&scene);
    }

    #[test]
    fn the_history_keeps_the_laws(
        voice in voices(),
        visits in 0_usize..200,
        step_days in 1_i64..200,
        values in proptest::collection::vec(0_i64..2_000, 200),
        wanted in proptest::option::of(0_i64..600),
    ) {
        let fret = |number: u8| Fret::new(number).unwrap();
        let at = |number: usize| {
            Moment { unix_s: 1_700_000_000 + number as i64 * step_days * 86_400, offset_min: 60 }
        };
        let scene = history(&History {
            quantity: Quantity::Relief { from: fret(1), to: fret(24), at: None },
            place: None,
            points: (0..visits).map(|number| HistoryPoint {
                at: at(number),
                read: Estimate::mm(values[number] as f64 / 100.0, 0.02),
                said: names::amount(mm(values[number])),
            }).collect(),
            wanted: wanted.map(|value| (mm(value), mm(5))),
            deeds: (0..visits / 3).map(|number| HistoryDeed {
                at: at(number * 3),
                said: fallaway_text::plan::turn(HandTurn::new(2, TurnDirection::Clockwise)),
            }).collect(),
            air: (0..visits / 2).map(|number| (
                    at(number * 2),
                    Amount::Decimal {
                        value: Decimal::new((number % 100) as i64, 0).unwrap(),
                        unit: Unit::Percent,
                    },
                )).collect(),
        }, &voice);
        check(&scene);
    }
}
