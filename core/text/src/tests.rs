//! The files against the table, and what is said against what should be.

use fallaway_measure::{Amount, Fret, Quantity, Tool};
use fallaway_record::Turns;

use crate::{
    CATALOGUE, Computed, Language, LengthUnit, List, Phrase, Units, Voice, check, messages, names,
};

pub(crate) fn german() -> Voice {
    Voice::new(Language::named("de").unwrap())
}

#[test]
fn every_language_has_every_message_with_its_arguments() {
    let problems = check::problems(&CATALOGUE, messages::DECLARED, messages::BY_NAME);
    assert!(problems.is_empty(), "{}", problems.join("\n"));
    for language in Language::all() {
        assert!(language.tag().parse::<unic_langid::LanguageIdentifier>().is_ok());
    }
}

fn relief() -> Quantity {
    Quantity::Relief { from: Fret::new(1).unwrap(), to: Fret::new(24).unwrap(), at: None }
}

#[test]
fn a_forecast_is_said_in_the_unit_that_is_preferred() {
    let small = names::computed(Computed::mm(0.06).of(relief()));
    let large = names::computed(Computed::mm(2.06).with(Tool::RULE_64));
    let shown = |voice: Voice, unit| {
        let voice = voice.in_units(Units::all(unit));
        (voice.say(&small), voice.say(&large))
    };
    let english = |unit, small: &str, large: &str| {
        assert_eq!(shown(Voice::default(), unit), (small.into(), large.into()));
    };
    english(LengthUnit::AsRead, "0.06 mm", "5/64 in (2.06 mm)");
    english(LengthUnit::Millimetres, "0.06 mm", "2.06 mm");
    english(LengthUnit::Thou, "2.4 thou", "81 thou");
    english(LengthUnit::Inches, "0.0024 in", "0.081 in");
    english(LengthUnit::InchFractions, "less than 1/64 in", "5/64 in");
    let (small, large) = shown(german(), LengthUnit::Thou);
    assert_eq!((small.as_str(), large.as_str()), ("2,4 thou", "81 thou"));
    let (small, large) = shown(german(), LengthUnit::AsRead);
    assert_eq!((small.as_str(), large.as_str()), ("0,06 mm", "5/64 Zoll (2,06 mm)"));
}

#[test]
fn what_was_read_stays_as_it_was_read_unless_more_is_asked() {
    let read = names::amount(Amount::fraction(5, 64).unwrap());
    let mut units = Units::all(LengthUnit::Millimetres);
    assert_eq!(Voice::default().in_units(units).say(&read), "5/64 in");
    units.convert_readings = true;
    assert_eq!(Voice::default().in_units(units).say(&read), "1.98 mm");
}

#[test]
fn turns_are_said_in_plain_fractions() {
    for (eighths, english, german_text) in [
        (1, "1/8 turn clockwise", "1/8 Umdrehung im Uhrzeigersinn"),
        (-9, "1 1/8 turns anticlockwise", "1 1/8 Umdrehungen gegen den Uhrzeigersinn"),
        (8, "1 turn clockwise", "1 Umdrehung im Uhrzeigersinn"),
        (16, "2 turns clockwise", "2 Umdrehungen im Uhrzeigersinn"),
        (6, "3/4 turn clockwise", "3/4 Umdrehung im Uhrzeigersinn"),
    ] {
        let said = names::eighths(eighths);
        assert_eq!(said.to_string(), english);
        assert_eq!(german().say(&said), german_text);
    }
    let turned = |text: &str| names::turns(text.parse::<Turns>().unwrap());
    assert_eq!(german().say(&turned("-0.3")), "0,3 Umdrehung gegen den Uhrzeigersinn");
    assert_eq!(turned("1/16").to_string(), "1/16 turn clockwise");
}

#[test]
fn lists_and_sentences() {
    let words = |n: usize| ["rod", "nut", "saddle"].into_iter().take(n).map(Phrase::written);
    let said = |list: List| (Phrase::from(list.clone()).to_string(), german().say(&list.into()));
    assert_eq!(
        said(List::and(words(3))),
        ("rod, nut and saddle".into(), "rod, nut und saddle".into())
    );
    assert_eq!(said(List::or(words(2))).1, "rod oder nut");
    assert_eq!(said(List::and(words(1))).0, "rod");
    assert_eq!(said(List::comma(words(0))).0, "");
    assert_eq!(said(List::sentences(words(2))).0, "Rod Nut");
}

#[test]
fn zero_has_no_sign() {
    assert_eq!(names::computed(Computed::mm(-0.001).signed()).to_string(), "0.00 mm");
    assert_eq!(names::computed(Computed::mm(0.1).signed()).to_string(), "+0.10 mm");
}
