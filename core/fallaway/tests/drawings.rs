//! Pictures of a record: what a screen, a sheet and a screen reader get from it.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

mod common;

use common::{action, relief, workshop};
use fallaway::advice::clearance::TouchUsed;
use fallaway::measure::{Amount, Fret, Location, Quantity, StringPlace, Tool, Unit, parse_pass};
use fallaway::record::{AdjustedPart, Adjustment, Climate, Moment, Pass, PassReading, Turns};
use fallaway::sheet::{DrawingWidth, MarkRole, Scene, Shape, Theme, svg};
use fallaway::{Instrument, Occasion, WriteOptions};
use fallaway_text::{Language, Voice};

const PAGE: DrawingWidth = DrawingWidth::Page;

fn read(bass: &Instrument, quantity: Quantity, values: &str) {
    read_at(bass, quantity, values, WriteOptions::sure());
}

fn read_at(bass: &Instrument, quantity: Quantity, values: &str, options: WriteOptions) {
    let tool = "dial 0.01 mm".parse::<Tool>().unwrap();
    let strings = values.split_whitespace().count() - 1;
    let read = parse_pass(values, Some(&tool), quantity.dimension(), strings, None).unwrap();
    let mut pass = Pass::new(quantity, Some(tool));
    if strings > 1 {
        pass = pass.across(1, &read).unwrap();
    } else {
        let whole = |reading| PassReading { location: Location::Whole, reading };
        pass.readings.extend(read.into_iter().flatten().map(whole));
    }
    bass.add_pass(pass, options).unwrap();
}

/// Every number on a drawing stands in its sentences or its title.
fn said(scene: &Scene) {
    let words = format!("{} {}", scene.title, scene.sentences.join(" "));
    for mark in &scene.marks {
        let Shape::Text { text, .. } = &mark.shape else { continue };
        let digits = |word: &&str| word.chars().any(|c| c.is_ascii_digit());
        for word in text.split_whitespace().filter(digits) {
            let word = word.trim_matches(|c: char| !c.is_ascii_digit());
            assert!(words.contains(word), "{word} of {text:?} is not in {words:?}");
        }
    }
}

fn has(scene: &Scene, role: MarkRole) -> bool {
    scene.marks.iter().any(|mark| mark.role == role)
}

fn dots(scene: &Scene) -> usize {
    scene.marks.iter().filter(|mark| matches!(mark.shape, Shape::Dot { .. })).count()
}

#[test]
fn a_winter_is_seen_in_every_drawing() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "stage").unwrap();
    read(&bass, relief(), "0.30 mm");
    read(&bass, action(), "2.00 2.00 2.00 2.00 mm");
    let setup = bass.take_setup("stage", None, None).unwrap().id;
    bass.begin_visit(Some("winter"), None).unwrap();
    for again in ["0.60 mm", "0.60 mm"] {
        read(&bass, relief(), again);
    }
    read(&bass, action(), "2.20 2.20 2.20 2.20 mm");

    for voice in [Voice::default(), Voice::new(Language::named("de").unwrap())] {
        let neck = bass.draw_neck(None, None, &voice).unwrap();
        assert!(
            has(&neck, MarkRole::Read)
                && has(&neck, MarkRole::Wanted)
                && has(&neck, MarkRole::Board)
        );
        let history = bass.draw_history(relief(), Location::Whole, None, PAGE, &voice).unwrap();
        assert_eq!(dots(&history), 3, "every reading is a dot");
        let before = Occasion::Setup(setup.clone());
        let changes = bass.draw_changes(&before, &Occasion::Today, PAGE, &voice).unwrap();
        assert!(has(&changes, MarkRole::Moved), "the neck moved: {:?}", changes.sentences);
        let turns = bass.draw_turns(None, &voice).unwrap();
        assert_eq!(turns.len(), 1, "one rod");
        assert!(has(&turns[0], MarkRole::Act));
        for scene in [&neck, &history, &changes, &turns[0]] {
            said(scene);
            for theme in Theme::ALL {
                assert!(svg(scene, theme).contains("<desc>"));
            }
        }
    }
}

#[test]
fn a_neck_says_what_moved_since_it_was_left() {
    let tech = workshop("tech", 3);
    let bass = tech.add_instrument("bass-4", "stage").unwrap();
    let voice = Voice::default();
    let climate = |humidity: i64| Climate {
        humidity: Some(Amount::decimal(humidity, 0, Unit::Percent).unwrap()),
        temperature: None,
        where_kept: None,
        hours_there: Some(48),
    };
    for (days, humidity, bow, strings) in [
        (0_i64, 50, "0.30 mm", "2.00 2.00 2.00 2.00 mm"),
        (60, 50, "0.31 mm", "2.01 2.01 2.01 2.01 mm"),
        (120, 25, "0.60 mm", "2.22 2.22 2.22 2.22 mm"),
    ] {
        let at = |minutes: i64| WriteOptions {
            at: Some(Moment {
                unix_s: 1_700_000_000 + days * 86_400 + minutes * 60,
                offset_min: 0,
            }),
            ..WriteOptions::sure()
        };
        bass.add_climate(climate(humidity), at(0)).unwrap();
        read_at(&bass, relief(), bow, at(1));
        read_at(&bass, action(), strings, at(2));
    }
    let neck = bass.draw_neck(None, None, &voice).unwrap();
    assert!(has(&neck, MarkRole::Moved));
    let first = neck.sentences.first().unwrap();
    assert!(first.contains("bows 0.30 mm more") && first.contains("0.22 mm higher"), "{first}");
    let fan = bass.draw_history(relief(), Location::Whole, None, PAGE, &voice).unwrap();
    assert!(has(&fan, MarkRole::Forecast), "{:?}", fan.sentences);
    for humidity in ["25%", "50%"] {
        let told = |one: &&String| one.contains("expect") && one.contains(humidity);
        assert!(fan.sentences.iter().any(|one| told(&one)), "{humidity}: {:?}", fan.sentences);
    }
    said(&neck);
    said(&fan);

    // The rod is turned: what was before it is no winter any more.
    let rod = Adjustment {
        what: AdjustedPart::Rod,
        turns: Some(Turns::eighths(4)),
        amount: None,
        note: None,
    };
    bass.add_adjustment(rod, WriteOptions::sure()).unwrap();
    read(&bass, relief(), "0.31 mm");
    let neck = bass.draw_neck(None, None, &voice).unwrap();
    assert!(!has(&neck, MarkRole::Moved), "{:?}", neck.sentences);
}

#[test]
fn what_lies_across_the_strings_is_drawn() {
    let tech = workshop("tech", 4);
    let bass = tech.add_instrument("bass-4", "stage").unwrap();
    let voice = Voice::default();
    let intonation = Quantity::Intonation { fret: Fret::new(12).unwrap() };
    read(&bass, action(), "2.00 2.00 2.00 2.00 mm");
    read(&bass, Quantity::SpacingBridge, "19.0 19.0 19.0 mm");
    let heard = |text: &str| {
        let read = parse_pass(text, None, intonation.dimension(), 4, None).unwrap();
        bass.add_pass(Pass::new(intonation, None).across(1, &read).unwrap(), WriteOptions::sure())
            .unwrap();
    };
    heard("6 4 3 9 cents");
    let place = StringPlace::new(4, None).unwrap();
    let moved = Adjustment {
        what: AdjustedPart::SaddlePosition(place),
        turns: Some(Turns::eighths(8)),
        amount: None,
        note: None,
    };
    bass.add_adjustment(moved, WriteOptions::sure()).unwrap();
    heard("6 4 3 1 cents");

    let row = bass.draw_saddles(None, &voice).unwrap();
    assert_eq!(dots(&row), 4);
    assert!(row.sentences[0].contains("radius"), "{:?}", row.sentences);
    let spacing = bass.draw_spacing(None, &voice).unwrap();
    assert_eq!(dots(&spacing), 4);
    let cents = bass.draw_intonation(None, &voice).unwrap();
    assert_eq!((dots(&cents), has(&cents, MarkRole::Moved)), (4, true));
    let told = |what: &str| cents.sentences.iter().any(|one| one.contains(what));
    assert!(told("9 cents before, 1 cent after"), "{:?}", cents.sentences);
    let clearance = bass.draw_clearance(TouchUsed::with_force(5.0), &voice);
    assert!(clearance.is_err(), "no relief was read: nothing to compute from");
    read(&bass, relief(), "0.30 mm");
    let clearance = bass.draw_clearance(TouchUsed::with_force(5.0), &voice).unwrap();
    assert!(has(&clearance, MarkRole::Computed));
    for scene in [row, spacing, cents, clearance] {
        said(&scene);
    }
}

#[test]
fn an_instrument_without_numbers_is_drawn_without_them() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "new").unwrap();
    let voice = Voice::default();
    assert_eq!(bass.draw_turns(None, &voice).unwrap(), []);
    let neck = bass.draw_neck(None, None, &voice).unwrap();
    assert!(
        has(&neck, MarkRole::Board) && !has(&neck, MarkRole::Read) && !has(&neck, MarkRole::Wanted)
    );
    assert_eq!(dots(&bass.draw_history(action(), Location::Whole, None, PAGE, &voice).unwrap()), 0);
}
