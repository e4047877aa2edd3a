//! Where a slip is likely, the person is asked before anything is written; and not twice for the same.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod common;

use common::{action, relief, workshop};
use fallaway::measure::{
    Amount, Dimension, Location, Quantity, StringPlace, Tool, Unit, parse_amount,
};
use fallaway::record::spec::{BridgeSpec, Clockwise, HeightBy, ScaleLength, ScrewPlace, ScrewSpec};
use fallaway::record::{
    AdjustedPart, Adjustment, Climate, Moment, SpecField, StringChange, Target, Tuning,
};
use fallaway::{Doubt, Error, HistoryFilter, Instrument, PassOptions, Result, WriteOptions};

fn place(course: u8) -> StringPlace {
    StringPlace::course(course).unwrap()
}

fn length(text: &str) -> Amount {
    parse_amount(text, None, Dimension::Length).unwrap()
}

fn asked<T: std::fmt::Debug>(written: Result<T>) -> Vec<Doubt> {
    match written {
        Err(Error::Unsure { doubts, .. }) => doubts,
        other => panic!("no question: {other:?}"),
    }
}

/// Asked once; nothing is written; with the answer to what was asked it is.
fn asked_and_kept<T: std::fmt::Debug>(
    bass: &Instrument,
    write: impl Fn(WriteOptions) -> Result<T>,
) -> String {
    let before = (
        bass.details().unwrap().history_digest,
        bass.history(&HistoryFilter::default()).unwrap().len(),
    );
    let doubts = asked(write(WriteOptions::default()));
    let after = (
        bass.details().unwrap().history_digest,
        bass.history(&HistoryFilter::default()).unwrap().len(),
    );
    assert_eq!(before, after, "a question writes nothing");
    write(WriteOptions::default().accepting(&doubts)).unwrap();
    doubts.iter().map(|doubt| doubt.reason.to_string()).collect::<Vec<_>>().join("; ")
}

fn target(quantity: Quantity, location: Location, wanted: &str) -> Target {
    Target {
        quantity,
        location,
        wanted: length(wanted),
        tolerance: length("0.1 mm"),
        by: None,
        at: Moment { unix_s: 1_779_000_000, offset_min: 0 },
        taken_from: None,
    }
}

#[test]
fn targets_are_asked_about_like_readings() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let stage = "stage".parse().unwrap();
    let string = Location::Course(place(1));
    let pickup = Quantity::pickup_gap(1, 24).unwrap();
    // 1 4/64 in where 4/64 in was meant.
    let odd = target(pickup, string, "1 4/64 in");
    let why = asked_and_kept(&bass, |options| bass.set_target(&stage, &odd, options));
    assert!(why.contains("unusually high"), "{why}");
    let high = target(action(), string, "9 mm");
    asked_and_kept(&bass, |options| bass.set_target(&stage, &high, options));
    // The ends of what is usual in the unit of what was written, to its nearest mark.
    let usual = |wanted: &str| {
        let odd = target(action(), string, wanted);
        let doubts = asked(bass.set_target(&stage, &odd, WriteOptions::default()));
        doubts[0].reason.to_string()
    };
    for (wanted, ends) in [
        ("40/64 in", "(usual: 4/64 in to 9/64 in)"),
        ("2/4 in", "(usual: 1.20 mm to 3.70 mm)"),
        ("500 thou", "(usual: 48 thou to 145 thou)"),
        ("0.500 in", "(usual: 0.048 in to 0.145 in)"),
        ("12.5 mm", "(usual: 1.20 mm to 3.70 mm)"),
    ] {
        assert!(usual(wanted).ends_with(ends), "{wanted}: {}", usual(wanted));
    }
    for impossible in ["40 mm", "-3 mm"] {
        let impossible = target(action(), string, impossible);
        let refused = bass.set_target(&stage, &impossible, WriteOptions::sure());
        assert!(matches!(refused, Err(Error::BadInput { .. })), "{refused:?}");
    }
    bass.set_target(&stage, &target(relief(), Location::Whole, "0.3 mm"), None).unwrap();
    // Of several, each is asked about, and none is written; nor is the setup made.
    let all = [1, 2]
        .map(|one| target(Quantity::gap(3, 1).unwrap(), Location::Course(place(one)), "2 mm"));
    assert_eq!(asked(bass.set_targets("low", &all, None)).len(), 2);
    assert!(bass.setup_named("low").is_err());
}

#[test]
fn facts_are_asked_about_where_the_unit_or_the_order_may_be_wrong() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let one = |field: SpecField| asked_and_kept(&bass, |options| bass.set_spec(&field, options));
    assert!(one(SpecField::Scale(ScaleLength::Same(length("20 in")))).contains("20 in"));
    let fanned = ScaleLength::Fanned { bass: length("33 in"), treble: length("35 in") };
    assert!(one(SpecField::Scale(fanned)).contains("wrong way round"));
    assert!(one(SpecField::A4(Amount::decimal(400, 0, Unit::Hertz).unwrap())).contains("400 Hz"));
    let notes = |names: [&str; 4]| -> Vec<SpecField> {
        let notes = (1..).zip(names);
        notes.map(|(at, note)| SpecField::Tuning(place(at), note.parse().unwrap())).collect()
    };
    let reversed = notes(["E1", "A1", "D2", "G2"]);
    let why = asked_and_kept(&bass, |options| bass.set_specs(&reversed, options));
    assert!(why.contains("notes get higher"), "{why}");
    bass.set_specs(&notes(["G2", "D2", "A1", "E1"]), None).unwrap();
    // A high string among low ones is no order that is turned round.
    bass.set_specs(&notes(["G2", "D2", "A2", "E1"]), None).unwrap();
    let tuning = Tuning { changed: vec![(place(1), "E9".parse().unwrap())], ..Tuning::default() };
    assert!(asked_and_kept(&bass, |options| bass.add_tuning(&tuning, options)).contains("E9"));

    let view = bass.details().unwrap();
    let mut fitted: Vec<_> = view.spec.strings.clone().into_iter().collect();
    let gauges: Vec<_> = fitted.iter().rev().map(|(_, string)| string.gauge).collect();
    for ((_, string), gauge) in fitted.iter_mut().zip(gauges) {
        string.gauge = gauge;
    }
    let change = StringChange { fitted, ..StringChange::default() };
    let why = asked_and_kept(&bass, |options| bass.add_string_change(&change, options));
    assert!(why.contains("strings get thinner"), "{why}");
}

#[test]
fn turns_are_asked_about_where_they_are_many_or_against_the_known_way() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let turned = |what, turns: &str, amount: Option<&str>| Adjustment {
        what,
        turns: Some(turns.parse().unwrap()),
        amount: amount.map(length),
        note: None,
    };
    let rod = turned(AdjustedPart::Rod, "5 cw", None);
    let why = asked_and_kept(&bass, |options| bass.add_adjustment(rod.clone(), options));
    assert!(why.contains("5 turns clockwise") && why.contains("read relief again"), "{why}");
    bass.add_adjustment(turned(AdjustedPart::Rod, "1/4 cw", None), None).unwrap();

    let saddle = AdjustedPart::SaddleHeight(place(4));
    let up = turned(saddle, "1/4 ccw", Some("0.1 mm"));
    bass.add_adjustment(up.clone(), None).unwrap();
    let screw = ScrewSpec { clockwise: Some(Clockwise::More), ..ScrewSpec::default() };
    bass.set_spec(&SpecField::Screw(ScrewPlace::SaddleHeight, screw), None).unwrap();
    let why = asked_and_kept(&bass, |options| bass.add_adjustment(up.clone(), options));
    assert!(why.contains("the other way"), "{why}");
    bass.add_adjustment(turned(saddle, "1/4 ccw", Some("-0.1 mm")), None).unwrap();
}

#[test]
fn air_that_cannot_be_is_refused_and_odd_air_asked_about() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let air = |temperature: i64, humidity: i64| Climate {
        temperature: Some(Amount::decimal(temperature, 0, Unit::Celsius).unwrap()),
        humidity: Some(Amount::decimal(humidity, 0, Unit::Percent).unwrap()),
        ..Climate::default()
    };
    for impossible in [air(300, 45), air(21, 145)] {
        let refused = bass.add_climate(impossible, WriteOptions::sure());
        assert!(matches!(refused, Err(Error::BadInput { .. })), "{refused:?}");
    }
    let van = air(-20, 80);
    assert!(
        asked_and_kept(&bass, |options| bass.add_climate(van.clone(), options)).contains("−20 °C")
    );
    bass.add_climate(air(21, 45), None).unwrap();
}

#[test]
fn near_the_edge_an_instrument_is_asked_about_once() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "slide bass").unwrap();
    let nut = Quantity::gap(3, 1).unwrap();
    let read = |quantity, text: &str, options: WriteOptions| {
        bass.add_pass_text_with(quantity, text, Tool::FEELER_MM, &PassOptions::default(), options)
    };
    // A nut that is still high.
    let doubts = asked(read(nut, "0.40 0.40 0.45 0.45", WriteOptions::default()));
    assert_eq!(doubts.len(), 4);
    read(nut, "0.40 0.40 0.45 0.45", WriteOptions::default().accepting(&doubts)).unwrap();
    read(nut, "0.42 0.41 0.47 0.44", WriteOptions::default()).unwrap();
    // Far beyond it is a slip again; so is the other end, and another quantity.
    assert_eq!(asked(read(nut, "9 0.41 0.47 0.44", WriteOptions::default())).len(), 1);
    asked(read(relief(), "0.9", WriteOptions::default()));
    // What was crossed out was never so.
    let last = bass.history(&HistoryFilter::default()).unwrap();
    for entry in last.iter().filter(|one| one.entry.visit.is_some()) {
        bass.retract(entry.entry.id, "another instrument", None).unwrap();
    }
    assert_eq!(asked(read(nut, "0.40 0.40 0.45 0.45", WriteOptions::default())).len(), 4);
    // A target that was confirmed says what is meant to be there.
    let stage = "stage".parse().unwrap();
    let slide = target(action(), Location::Course(place(1)), "5 mm");
    let doubts = asked(bass.set_target(&stage, &slide, None));
    bass.set_target(&stage, &slide, WriteOptions::default().accepting(&doubts)).unwrap();
    bass.add_pass_text(action(), "5.1 4.9 5.0 5.2 mm", None).unwrap();
}

#[test]
fn what_is_usual_follows_the_kind_of_instrument() {
    let tech = workshop("tech", 1);
    let guitar = tech.add_instrument("guitar-6", "flat top").unwrap();
    let gap = Quantity::gap(0, 12).unwrap();
    let read = || guitar.add_pass_text(gap, "2.4 2.6 2.8 3.0 3.2 3.4 mm", None);
    assert_eq!(asked(read()).len(), 2);
    let cut = BridgeSpec {
        height: HeightBy::Fixed,
        floating: false,
        intonation: None,
        sideways: None,
        posts: None,
    };
    guitar.set_spec(&SpecField::Bridge(cut), None).unwrap();
    read().unwrap();
}
