//! The laws of every drawing, and what tests draw from.

#![allow(dead_code, reason = "each test file uses its part")]

use fallaway_advice::observe::Estimate;
use fallaway_measure::{Amount, Decimal, Fret, Quantity, Unit};
use fallaway_record::Moment;
use fallaway_sheet::{Anchor, DrawingWidth, Gap, GapBefore, Scene, Shape, Theme, svg};
use fallaway_text::{Language, LengthUnit, Phrase, Units, Voice, names};
use proptest::prelude::*;

/// Widths of letters in parts of the size: about those of Helvetica (Adobe, "Font Metrics for PDF Core 14
/// Fonts"; from memory). How wide the drawing takes them to be is its own affair.
fn letter(letter: char) -> f64 {
    match letter {
        'i' | 'j' | 'l' | '\'' | '|' => 0.22,
        ' ' | '.' | ',' | ':' | ';' | '/' | 'f' | 't' | '!' => 0.28,
        '(' | ')' | '-' | 'r' | '"' | '“' | '”' | '„' => 0.33,
        'm' | 'M' | '%' | '…' | 'W' | '@' => 0.94,
        'w' | 'A'..='Z' | 'Ä' | 'Ö' | 'Ü' => 0.72,
        _ => 0.556,
    }
}

/// A text's box on the page: left, top, right, bottom.
pub fn boxes(scene: &Scene) -> Vec<(String, [f64; 4])> {
    let of = |shape: &Shape| match shape {
        Shape::Text { at, anchor, size, text } => {
            let wide = text.chars().map(letter).sum::<f64>() * size;
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
pub fn numbers(text: &str) -> Vec<String> {
    text.split(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '/')))
        .map(|part| part.trim_matches([',', '.', '/']).to_owned())
        .filter(|part| part.chars().any(|c| c.is_ascii_digit()))
        .collect()
}

pub fn check(scene: &Scene) {
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

pub fn widths() -> impl Strategy<Value = DrawingWidth> {
    prop_oneof![Just(DrawingWidth::Page), Just(DrawingWidth::Phone)]
}

pub fn voices() -> impl Strategy<Value = Voice> {
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

pub fn mm(hundredths: i64) -> Amount {
    Amount::Decimal { value: Decimal::new(hundredths, 2).unwrap(), unit: Unit::Millimetre }
}

pub fn fret(number: u8) -> Fret {
    Fret::new(number).unwrap()
}

pub fn days(days: i64) -> Moment {
    Moment { unix_s: 1_700_000_000 + days * 86_400, offset_min: 60 }
}

/// As long as a name may be, in wide letters.
pub const LONG: &str = "a name that somebody made as long as names may be: mmmmmmwwwww WIDEW";

/// A name as it is, or as long as names may be.
pub fn named(name: Phrase, long: bool) -> Phrase {
    if long { Phrase::written(LONG) } else { name }
}

/// A gap in hundredths of a mm: what was read, what was read before, and what is wanted.
#[derive(Debug, Clone, Copy)]
pub struct GapRead {
    pub read: Option<i64>,
    pub before: Option<i64>,
    pub wanted: Option<i64>,
    pub old: bool,
    pub two: bool,
}

pub fn gaps(most: i64) -> impl Strategy<Value = GapRead> {
    let some = || proptest::option::of(prop_oneof![1 => Just(0), 1 => Just(most), 4 => 0..=most]);
    (some(), some(), some(), any::<bool>(), any::<bool>())
        .prop_map(|(read, before, wanted, old, two)| GapRead { read, before, wanted, old, two })
}

/// The same, and what lies below zero.
pub fn signed(most: i64) -> impl Strategy<Value = GapRead> {
    let some =
        || proptest::option::of(prop_oneof![1 => Just(-most), 1 => Just(most), 4 => -most..=most]);
    (some(), some(), some(), any::<bool>(), any::<bool>())
        .prop_map(|(read, before, wanted, old, two)| GapRead { read, before, wanted, old, two })
}

pub fn gap(quantity: Quantity, of: GapRead) -> Gap {
    let estimate = |value: i64| Estimate::mm(value as f64 / 100.0, 0.03);
    Gap {
        quantity,
        read: of.read.map(|value| (estimate(value), names::amount(mm(value)))),
        before: of.before.map(|value| GapBefore {
            at: days(value.rem_euclid(90)),
            read: estimate(value),
            said: names::amount(mm(value)),
        }),
        wanted: of.wanted.map(|value| (mm(value), mm(5))),
        two_values: of.two,
        out_of_date: of.old,
    }
}
