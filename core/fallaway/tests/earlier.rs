//! What is written down about an earlier time: it belongs to the visit of that time.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use common::{action, relief, workshop};
use fallaway::measure::Tool;
use fallaway::record::{Climate, EntryId, Moment, Remark};
use fallaway::{Instrument, PassOptions, WriteOptions};
use fallaway_text::Voice;

const DAY: i64 = 24 * 60 * 60;

fn visit_of(bass: &Instrument, entry: EntryId) -> Option<EntryId> {
    bass.entry(&entry.to_string()).unwrap().entry.visit
}

/// A time before the clock of these tests began.
fn earlier(seconds: i64) -> WriteOptions {
    let at = Moment { unix_s: 1_780_000_000 - seconds, offset_min: 60 };
    WriteOptions::default().by("tech").at(at)
}

fn read(bass: &Instrument, options: impl Into<WriteOptions>) -> EntryId {
    let taken = PassOptions::default();
    bass.add_pass_text_with(action(), "5 5 5 6", Tool::RULE_64, &taken, options).unwrap()
}

#[test]
fn pages_of_a_notebook_make_a_visit_each_and_today_goes_on() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let today = bass.begin_visit(Some("before the tour"), None).unwrap();
    let last_week = read(&bass, earlier(7 * DAY));
    let later = bass.add_climate(Climate::default(), earlier(7 * DAY - 600)).unwrap();
    let yesterday = read(&bass, earlier(DAY + 60));
    let an_hour_ago = read(&bass, earlier(3600));
    let now = read(&bass, None);

    let visits = [last_week, later, yesterday, an_hour_ago, now].map(|id| visit_of(&bass, id));
    assert_eq!(visits[0], visits[1], "an entry ten minutes later is of the same visit");
    assert_ne!(visits[0], visits[2]);
    assert_eq!(visits[4], Some(today));
    assert_eq!(bass.current_visit().unwrap().unwrap().id, today);
    let entry = bass.entry(&last_week.to_string()).unwrap().entry;
    assert_eq!(entry.at, earlier(7 * DAY).at.unwrap());
    assert_eq!(entry.by.as_deref(), Some("tech"));
    // The visit of an hour ago was over before this one began, and was never open now.
    let of_then = bass.entry(&visits[3].unwrap().to_string()).unwrap().entry;
    assert_eq!(of_then.at, earlier(3600).at.unwrap());
}

#[test]
fn a_visit_of_an_earlier_time_leaves_the_open_one_alone() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let today = bass.begin_visit(None, None).unwrap();
    let then = earlier(30 * DAY);
    let visit = bass.begin_visit(Some("fret buzz"), &then).unwrap();
    let entry = read(&bass, &then);
    bass.end_visit(Some("watch the relief"), &then).unwrap();
    assert_eq!(visit_of(&bass, entry), Some(visit));
    assert_eq!(bass.current_visit().unwrap().unwrap().id, today);
    let line = bass.visits().unwrap().into_iter().find(|line| line.visit.id == visit).unwrap();
    assert_eq!((line.entries, line.ended), (1, then.at));
    // A remark of a time without a visit belongs to none.
    let remark = Remark { text: "new strings".to_owned(), ..Remark::default() };
    let id = bass.add_remark(remark, earlier(200 * DAY)).unwrap();
    assert_eq!(visit_of(&bass, id), None);
}

#[test]
fn the_card_names_what_was_not_measured_since_an_earlier_day() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let when = || bass.card(None).unwrap().read_when().map(|when| Voice::default().say(&when));
    assert_eq!(when(), None);
    read(&bass, earlier(7 * DAY));
    let alone = when().unwrap();
    assert!(!alone.contains("Not measured since"), "{alone}");
    bass.add_pass_text(relief(), "0.30", Tool::FEELER_MM).unwrap();
    let told = when().unwrap();
    let (newest, older) = told.split_once(" Not measured since ").unwrap();
    assert!(newest.starts_with("Last measured 2026-05-28"), "{told}");
    assert_eq!(older, "2026-05-21: action at fret 24, fretted at 1.");
}
