//! What the person prefers is gone by in every text, by each workshop for itself.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "tests")]
#![allow(clippy::result_large_err, reason = "an error crosses by value once, with what it takes")]

mod common;

use std::collections::BTreeSet;
use std::fmt::Debug;
use std::sync::{Arc, Mutex, PoisonError};

use common::{action, entered, string, target};
use fallaway_ffi::{
    AdjustedPart, Adjustment, Climate, FallawayError, FittedString, ForecastClimate, ForeignError,
    HistoryFilter, Instrument, LengthUnit, Location, Moment, NewPass, NewReading, Occasion,
    OtherStrings, PluckDirection, Preferences, Quantity, SheetKind, SpecField, StringPlace,
    StringSpec, TemperatureUnit, TimeSource, Tool, Touch, TuningChange, Units, Workshop,
    WriteOptions,
};

/// What belongs to no workshop speaks as one of the process preferred last: one test after the other.
static TURN: Mutex<()> = Mutex::new(());

const RELIEF: Quantity = Quantity::Relief { from_fret: 1, to_fret: 24, at_fret: None };
const DAY: i64 = 86_400;
/// 2026-01-05T09:00:00Z.
const JANUARY: i64 = 1_767_603_600;

/// The clock of the device: an hour after the last reading.
struct June;

impl TimeSource for June {
    fn now(&self) -> Result<Moment, ForeignError> {
        Ok(Moment { unix_s: JANUARY + 150 * DAY + 3600, offset_min: 60 })
    }
}

/// Every text in an answer: what stands between quotation marks when it is printed for developers.
fn texts(of: &impl Debug) -> BTreeSet<String> {
    let shown = format!("{of:?}").replace("\\\"", "'").replace("\\n", "\n");
    let odd = shown.split('"').enumerate().filter(|(at, _)| at % 2 == 1);
    odd.flat_map(|(_, text)| text.lines().map(str::to_owned).collect::<Vec<_>>()).collect()
}

fn at(day: i64) -> WriteOptions {
    let at = Moment { unix_s: JANUARY + day * DAY, offset_min: 60 };
    WriteOptions { at: Some(at), ..WriteOptions::default() }
}

/// A bass over half a year: seasons with reliefs and airs, a setup, something turned, and read again.
/// Nothing of it is in millimetres.
fn half_a_year(workshop: &Workshop) -> Arc<Instrument> {
    let bass = workshop.add_instrument("bass-4", "five").unwrap();
    let tuned = TuningChange { strings: Vec::new(), changed: Vec::new(), note: None };
    for (day, humidity, relief) in [
        (0, "30 %", "9"),
        (30, "40 %", "11"),
        (60, "50 %", "13"),
        (90, "60 %", "15"),
        (120, "35 %", "10"),
    ] {
        let air = Climate {
            temperature: Some(entered("70 F")),
            humidity: Some(entered(humidity)),
            where_kept: None,
            hours_there: Some(72),
        };
        bass.add_climate(air, Some(at(day))).unwrap();
        bass.add_tuning(tuned.clone(), Some(at(day))).unwrap();
        let feeler = Some(Tool::FeelerThou);
        bass.add_pass_text(RELIEF, relief.to_owned(), feeler, None, Some(at(day))).unwrap();
    }
    let rule = Some(Tool::Rule64);
    bass.add_pass_text(action(), "5 5 5 6".to_owned(), rule.clone(), None, Some(at(120))).unwrap();
    for course in 1..=4 {
        let target = fallaway_ffi::NewTarget {
            wanted: entered("5/64 in"),
            tolerance: entered("1/64 in"),
            ..target(course, "5/64 in")
        };
        bass.set_target("stage".parse().unwrap(), target, Some(at(120))).unwrap();
    }
    bass.end_visit(None, Some(at(120))).unwrap();
    bass.begin_visit(None, Some(at(150))).unwrap();
    let rod = Adjustment { part: AdjustedPart::Rod, turns: Some(0.125), moved: None, note: None };
    bass.add_adjustment(rod, Some(at(150))).unwrap();
    bass.add_tuning(tuned, Some(at(150))).unwrap();
    bass.add_pass_text(RELIEF, "18".to_owned(), Some(Tool::FeelerThou), None, Some(at(150)))
        .unwrap();
    bass.add_pass_text(action(), "9 9 8 9".to_owned(), rule, None, Some(at(150))).unwrap();
    bass
}

fn said(error: FallawayError) -> (String, FallawayError) {
    (error.text(), error)
}

/// Every screen with texts, by its name.
fn screens(workshop: &Workshop, bass: &Instrument) -> Vec<(&'static str, BTreeSet<String>)> {
    let stage = || Some("stage".parse().unwrap());
    let setup = Occasion::Setup { setup: "stage".parse().unwrap() };
    let touch = Touch {
        force_n: Some(2.0),
        direction: PluckDirection::TowardBoard,
        from_saddle_mm: 100.0,
        spare_mm: 0.0,
    };
    let place = StringPlace { course: 1, letter: None };
    let thick = FittedString {
        place: place.clone(),
        string: StringSpec {
            gauge: Some(entered(".050 in")),
            construction: None,
            core: None,
            unit_weight: None,
            pack_tension: None,
            name: None,
        },
    };
    let other = OtherStrings { strings: vec![thick], notes: Vec::new() };
    let dry =
        ForecastClimate { name: "B".to_owned(), humidity_percent: 25.0, temperature_c: Some(21.0) };
    let pass = NewPass {
        quantity: action(),
        tool: Some(Tool::Rule64),
        readings: vec![NewReading { location: string(1), text: "25".to_owned() }],
        conditions: None,
    };
    let wrong = Some(Tool::Rule64);
    let unsure = bass.add_pass(&pass, None).unwrap_err();
    let text =
        |text: &str| bass.add_pass_text(action(), text.to_owned(), wrong.clone(), None, None);
    let low = SpecField::A4 { frequency: entered("44 Hz") };
    let table = "date,action,relief (feeler 1 thou)\n2026-03-01,5 5 5 furlong,400\n";
    vec![
        ("card", texts(&bass.card(stage()).unwrap())),
        ("plan", texts(&bass.plan(stage()).unwrap())),
        ("changed", texts(&bass.what_changed(setup, Occasion::Today).unwrap())),
        ("learned", texts(&bass.learned().unwrap())),
        ("forecast", texts(&bass.forecast(vec![dry], stage()).unwrap())),
        ("clearance", texts(&bass.clearance(touch, None, None, None, false).unwrap())),
        ("strings", texts(&bass.before_strings(other, touch, None).unwrap())),
        ("buzz", texts(&bass.why_buzz(place, 3, 7, touch, None, None).unwrap())),
        ("history", texts(&bass.history(&HistoryFilter::default()).unwrap())),
        ("form", texts(&bass.usual_readings().unwrap())),
        ("cells", texts(&bass.check_pass(&pass).unwrap())),
        ("table", texts(&bass.check_table(table, None).unwrap())),
        ("undo", texts(&bass.undoable().unwrap())),
        ("sheet", texts(&bass.sheet(SheetKind::Bench, None, stage(), None, None).unwrap().text)),
        ("neck", texts(&bass.draw_neck(None, stage(), None).unwrap())),
        (
            "relief",
            texts(&bass.draw_history(RELIEF, Location::Whole, stage(), None, None).unwrap()),
        ),
        ("unsure", texts(&said(unsure))),
        ("bad reading", texts(&said(text("5 5 5/63 6").unwrap_err()))),
        ("bad count", texts(&said(text("5 5").unwrap_err()))),
        ("bad fact", texts(&said(bass.set_spec(low, None).unwrap_err()))),
        ("not found", texts(&said(workshop.instrument_named("x").err().unwrap()))),
    ]
}

/// Two words of four letters or more: a sentence, and no name, number or unit; nor the id of a doubt or the heading of a column.
fn is_said(text: &str) -> bool {
    let is_heading = text.starts_with("relief (");
    if text.contains(" / ") || is_heading {
        return false;
    }
    let words = text.split(|c: char| !c.is_alphabetic());
    words.filter(|word| word.chars().count() >= 4).count() >= 2
}

#[test]
fn every_text_is_in_the_language_and_the_units_that_are_preferred() {
    let _turn = TURN.lock().unwrap_or_else(PoisonError::into_inner);
    let workshop = Workshop::in_memory("tech", Some(Arc::new(June)), None).unwrap();
    let bass = half_a_year(&workshop);
    let english = screens(&workshop, &bass);

    let prefer = |language: &str, units| {
        let kept = workshop.preferences().unwrap();
        let language = Some(language.to_owned());
        workshop.set_preferences(Preferences { language, units, ..kept }).unwrap();
    };
    prefer("de", None);
    let mut odd = Vec::new();
    for ((name, german), (_, english)) in screens(&workshop, &bass).iter().zip(&english) {
        assert!(english.iter().any(|text| !text.is_empty()), "{name} says nothing");
        let left = german.intersection(english).filter(|text| is_said(text));
        odd.extend(left.map(|text| format!("{name} is English still: {text}")));
    }

    let thou = LengthUnit::Thou;
    let units = Units {
        relief: thou,
        action: thou,
        nut: thou,
        spacing: thou,
        pickup: thou,
        other: thou,
        temperature: TemperatureUnit::Fahrenheit,
        convert_readings: true,
    };
    prefer("en", Some(units));
    for (name, texts) in screens(&workshop, &bass) {
        // What is accepted or usual stands there as data too: as a form takes it, in its own unit.
        if ["cells", "unsure", "table"].contains(&name) {
            continue;
        }
        let metric = |text: &&String| text.contains(" mm") || text.contains("°C");
        let left = texts.iter().filter(metric);
        odd.extend(left.map(|text| format!("{name} is metric still: {text}")));
    }
    assert!(odd.is_empty(), "{odd:#?}");
}

/// What was said, but for the ids of the instrument and what is drawn by them.
fn of_screens(workshop: &Workshop, bass: &Instrument) -> Vec<(&'static str, BTreeSet<String>)> {
    let no_id = |text: &String| text.contains(' ');
    let screens = screens(workshop, bass).into_iter();
    screens.map(|(name, texts)| (name, texts.into_iter().filter(no_id).collect())).collect()
}

/// What a screen says of one workshop, while another one of the same process speaks another language, other
/// units and another order of strings, before each call: also the errors, and the answers of a model.
#[test]
fn two_workshops_of_one_process_speak_each_as_its_own_person_prefers() {
    let _turn = TURN.lock().unwrap_or_else(PoisonError::into_inner);
    let open = || Workshop::in_memory("tech", Some(Arc::new(June)), None).unwrap();
    let (ours, theirs) = (open(), open());
    let (bass, other) = (half_a_year(&ours), half_a_year(&theirs));
    let alone = of_screens(&ours, &bass);

    let usual = theirs.preferences().unwrap();
    let german = Preferences { language: Some("de".to_owned()), low_first: true, ..usual };
    theirs.set_preferences(german).unwrap();
    let touch = Touch {
        force_n: Some(2.0),
        direction: PluckDirection::TowardBoard,
        from_saddle_mm: 100.0,
        spare_mm: 0.0,
    };
    let model = other.clearance_model(touch, None).unwrap();
    assert_eq!(of_screens(&ours, &bass), alone);

    // What belongs to none speaks as somebody preferred last; a question to a model as its workshop does.
    assert_eq!(fallaway_ffi::quantity_label(Quantity::Pitch).unwrap(), "Tonhöhe");
    bass.card(None).unwrap();
    assert_eq!(model.ask(touch, None, None, false).unwrap().caveat, model.opened().caveat);
    // A thread of its own, and one error after the other.
    std::thread::scope(|scope| {
        scope.spawn(|| assert_eq!(of_screens(&ours, &bass), alone));
    });
    for _ in 0..2 {
        let english = ours.instrument_named("x").err().unwrap().text();
        let german = theirs.instrument_named("x").err().unwrap().text();
        assert_ne!(english, german);
        assert!(german.contains("Instrument"), "{german}");
    }
    let order = |bass: &Instrument| {
        let card = bass.card(None).unwrap();
        let first = card.lines.into_iter().find(|line| line.location != Location::Whole);
        first.unwrap().location
    };
    assert_eq!((order(&bass), order(&other)), (string(1), string(4)));
}
