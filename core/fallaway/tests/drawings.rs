//! Pictures of a record: what a screen, a sheet and a screen reader get from it.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

mod common;

use common::{action, relief, workshop};
use fallaway::measure::{Location, Quantity, Tool, parse_pass};
use fallaway::record::{Pass, PassReading};
use fallaway::sheet::{MarkRole, Scene, Shape, Theme, svg};
use fallaway::{Instrument, Occasion, WriteOptions};
use fallaway_text::{Language, Voice};

fn read(bass: &Instrument, quantity: Quantity, values: &str) {
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
    bass.add_pass(pass, WriteOptions::sure()).unwrap();
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
        let history = bass.draw_history(relief(), Location::Whole, None, &voice).unwrap();
        assert_eq!(dots(&history), 3, "every reading is a dot");
        let before = Occasion::Setup(setup.clone());
        let changes = bass.draw_changes(&before, &Occasion::Today, &voice).unwrap();
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
fn an_instrument_without_numbers_is_drawn_without_them() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "new").unwrap();
    let voice = Voice::default();
    assert_eq!(bass.draw_turns(None, &voice).unwrap(), []);
    let neck = bass.draw_neck(None, None, &voice).unwrap();
    assert!(
        has(&neck, MarkRole::Board) && !has(&neck, MarkRole::Read) && !has(&neck, MarkRole::Wanted)
    );
    assert_eq!(dots(&bass.draw_history(action(), Location::Whole, None, &voice).unwrap()), 0);
}
