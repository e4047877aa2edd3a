//! Killed at each write of a scripted day, the whole library finds every edit whose call returned,
//! nothing half done, and the next day's work goes on.

#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

use std::path::Path;

use fallaway_crash::{How, Shim, acknowledge, child};
use fallaway_simulation::day::{self, DAY, Place};
use fallaway_simulation::world::HandClock;

/// Tells the child where to work: the folders of the store, of the post, and of the relay.
const STORE: &str = "FALLAWAY_DAY_STORE";
const POST: &str = "FALLAWAY_DAY_POST";
const RELAY: &str = "FALLAWAY_DAY_RELAY";

/// The child's part; does nothing unless a parent asks for it.
#[test]
fn live_the_day() {
    let folder = |name| std::env::var_os(name).map(Into::into);
    let (Some(store), Some(post), Some(relay)) = (folder(STORE), folder(POST), folder(RELAY))
    else {
        return;
    };
    let place = Place { store, post, relay };
    day::live(&place, acknowledge).unwrap();
}

fn end_at_each_write(how: How) {
    let tools = tempfile::tempdir().unwrap();
    let shim = Shim::build(tools.path()).unwrap();
    let morning = tempfile::tempdir().unwrap();
    let morning = (Place::within(morning.path()), morning);
    day::prepare(&morning.0);
    let rehearsal = tempfile::tempdir().unwrap();
    let expected = day::expected(&morning.0.copy(rehearsal.path()));
    let mut kills = 0;
    for at in 1.. {
        let folder = tempfile::tempdir().unwrap();
        let place = morning.0.copy(folder.path());
        let mut program = child("live_the_day", STORE, &place.store).unwrap();
        program.env(POST, &place.post).env(RELAY, &place.relay);
        let run = shim.run(program, &place.store, at, how).unwrap();
        let done = run.acknowledged.len();
        look(&place, &expected, done, &format!("write {at}, {how:?}: {:?}", run.output));
        let next = day::next_day(&place);
        assert!(next.contains("next day"), "write {at}, {how:?}");
        if at % 32 == 0 {
            day::share(&place);
        }
        if !run.ended {
            assert_eq!(done, DAY.len());
            break;
        }
        kills = at;
    }
    // Each step of the day writes.
    assert!(kills > 3 * DAY.len() as u64, "{kills}");
    println!("{kills} kills, {how:?}");
}

/// What is found is the day up to the last step that returned, or that and the one under way.
fn look(place: &Place, expected: &[String], done: usize, context: &str) {
    let workshop = place.open(&HandClock::at(1_780_302_000), 8).unwrap();
    assert_eq!(workshop.notices().unwrap(), [], "{context}");
    let found = day::dump(&workshop);
    let next = expected.get(done + 1);
    assert!(
        found == expected[done] || next == Some(&found),
        "{context}\n{done} steps returned; found\n{found}\nexpected\n{}\nor\n{}",
        expected[done],
        next.map_or("", String::as_str)
    );
}

#[test]
fn killed_before_each_write_nothing_returned_is_lost() {
    end_at_each_write(How::Before);
}

#[test]
fn killed_in_the_middle_of_each_write_nothing_returned_is_lost() {
    end_at_each_write(How::Torn);
}

#[test]
fn an_undisturbed_day_ends_as_expected() {
    let folder = tempfile::tempdir().unwrap();
    let place = Place::within(folder.path());
    day::prepare(&place);
    let copy = place.copy(Path::new(&folder.path().join("copy")));
    let expected = day::expected(&place);
    day::live(&copy, |_| ()).unwrap();
    look(&copy, &expected, DAY.len(), "undisturbed");
    day::next_day(&copy);
    day::share(&copy);
}
