//! The last readings, carried on step by step, are those that the whole history gives.
#![allow(clippy::unwrap_used)]

use fallaway_advice::observe::facts_of;
use fallaway_measure::{Amount, Fret, Location, Quantity, Tool, Unit, parse_pass};
use fallaway_record::{
    AdjustedPart, Adjustment, Climate, Moment, Pass, PassReading, Posture, Remark, Turns,
};
use proptest::prelude::*;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use crate::keeping::environment::{Clock, SystemRandom};
use crate::showing::card::Latest;
use crate::{Instrument, PhotoNote, Role, Workshop, WriteOptions};

/// A picture of nothing, in the form of a PNG (third edition, W3C): header, data and end, each with its length
/// before it and four bytes of check behind.
const PHOTO: &[u8] = b"\x89PNG\r\n\x1a\n\
\x00\x00\x00\x0dIHDR\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\
\x00\x00\x00\x01IDAT\x07\x00\x00\x00\x00\
\x00\x00\x00\x00IEND\x00\x00\x00\x00";

/// A clock that stands still until it is moved on: what is written within one second has no order by time.
#[derive(Debug, Clone, Default)]
struct Stepped(Arc<AtomicI64>);

impl Stepped {
    fn pass(&self, seconds: i64) {
        self.0.fetch_add(seconds, Ordering::Relaxed);
    }
}

impl Clock for Stepped {
    fn now(&self) -> Moment {
        Moment { unix_s: 1_780_000_000 + self.0.load(Ordering::Relaxed), offset_min: 60 }
    }
}

fn workshop(label: &str, clock: &Stepped) -> Workshop {
    Workshop::in_memory(label, Box::new(clock.clone()), Box::new(SystemRandom)).unwrap()
}

fn read(bass: &Instrument, over: u8, marks: u8) {
    let quantity = Quantity::Gap { stopped: Fret::OPEN, over: Fret::new(over).unwrap() };
    let text = format!("{marks} {} {marks} {marks}", marks + over % 3);
    let (tool, by) = match marks % 4 {
        0 => (Tool::RULE_64, None),
        1 => (Tool::RULE_HALF_MM, Some("tech")),
        _ => (Tool::RULE_64, Some("tech")),
    };
    let marks = parse_pass(&text, Some(&tool), quantity.dimension(), 4, None).unwrap();
    let pass = Pass::new(quantity, Some(tool)).across(1, &marks).unwrap();
    bass.add_pass(pass, WriteOptions { by: by.map(str::to_owned), ..WriteOptions::sure() })
        .unwrap();
}

/// The relief, lying or held, or of a string that touches.
fn read_relief(bass: &Instrument, how: u8) {
    let fret = |n| Fret::new(n).unwrap();
    let quantity = Quantity::Relief { from: fret(1), to: fret(24), at: None };
    let text = ["<=0", "0.20", "0.25"][usize::from(how % 3)];
    let tool = Tool::FEELER_MM;
    let marks = parse_pass(text, Some(&tool), quantity.dimension(), 1, None).unwrap();
    let mut pass = Pass::new(quantity, Some(tool));
    pass.readings = vec![PassReading { location: Location::Whole, reading: marks[0].unwrap() }];
    pass.posture = [None, Some(Posture::Playing), Some(Posture::OnBack)][usize::from(how / 3 % 3)];
    bass.add_pass(pass, WriteOptions::sure()).unwrap();
}

fn note_climate(bass: &Instrument, how: u8) {
    let percent = Amount::decimal(i64::from(20 * how), 0, Unit::Percent).unwrap();
    let climate = Climate { humidity: Some(percent), hours_there: Some(24), ..Climate::default() };
    bass.add_climate(climate, None).unwrap();
}

fn turn_rod(bass: &Instrument) {
    let turns = Some(Turns::eighths(1));
    let rod = Adjustment { what: AdjustedPart::Rod, turns, amount: None, note: None };
    bass.add_adjustment(rod, None).unwrap();
}

/// Both ways to the last readings of the document.
fn check(bass: &Instrument) {
    bass.inner
        .with_record(bass.id, |_, loaded| {
            let carried = bass.inner.latest(loaded);
            let state = loaded.record.state();
            assert_eq!(carried, Latest::of(state, state.entries()));
            Ok(())
        })
        .unwrap();
}

/// One step of a device: what it does, and how.
fn step(bass: &Instrument, what: u8, how: u8) {
    match what {
        0 if how < 3 => read_relief(bass, 4 * how),
        0 | 1 => read(bass, 12 + how % 2, 4 + how),
        2 if how < 4 => turn_rod(bass),
        2 => note_climate(bass, how - 3),
        3 if how < 2 => drop(bass.add_photo(PHOTO, PhotoNote::default(), None).unwrap()),
        3 => {
            let text = format!("remark {how}");
            bass.add_remark(Remark { text, ..Remark::default() }, None).map(drop).unwrap();
        }
        4 => drop(bass.end_visit(None, None)),
        _ => {
            let history = bass.history(&crate::HistoryFilter::default()).unwrap();
            let place = usize::from(how) % history.len().max(1);
            if let Some(one) = history.get(place) {
                // Some are retracted already, or open a visit: those are refused.
                drop(bass.retract(one.entry.id, "a slip", None));
            }
        }
    }
}

/// One bass on two devices.
fn shared(tech: &Workshop, player: &Workshop) -> (Instrument, Instrument) {
    let ours = tech.add_instrument("bass-4", "bass").unwrap();
    let invitation = ours.invite(Role::Contributor, 7).unwrap();
    let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();
    player.bundle_in(&ours.bundle_out().unwrap().file).unwrap();
    (ours, theirs)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn carried_readings_are_those_of_the_whole_history(
        steps in proptest::collection::vec(
            (0_u8..2, 0_u8..8, 0_u8..6, prop_oneof![Just(0), Just(1), Just(7_000), Just(200_000)]),
            1..40,
        ),
    ) {
        let clock = Stepped::default();
        let (tech, player) = (workshop("tech", &clock), workshop("player", &clock));
        let (ours, theirs) = shared(&tech, &player);
        for (device, what, how, later) in steps {
            clock.pass(later);
            let (from, to, other) = match device {
                0 => (&ours, &theirs, &player),
                _ => (&theirs, &ours, &tech),
            };
            if what < 6 {
                step(from, what, how);
            } else {
                other.bundle_in(&from.bundle_out().unwrap().file).unwrap();
                check(to);
            }
            check(from);
        }
    }
}

#[test]
fn the_first_reading_of_strings_after_the_relief_needs_no_history() {
    let tech = workshop("tech", &Stepped::default());
    let bass = tech.add_instrument("bass-4", "bass").unwrap();
    read_relief(&bass, 4);
    bass.end_visit(None, None).unwrap();
    read(&bass, 12, 5);
    bass.inner
        .with_record(bass.id, |_, loaded| {
            let mut latest = bass.inner.latest(loaded);
            let facts = facts_of(&loaded.registers(0));
            assert!(!loaded.draft.is_empty());
            assert!(latest.absorb_puts(loaded.draft.puts(), &facts));
            Ok(())
        })
        .unwrap();
    check(&bass);
}

/// A relief that was read apart from a turn of the rod is of an earlier state: the trail of a string that is first
/// read later begins with the one before it.
#[test]
fn a_relief_of_an_earlier_state_is_passed_over() {
    let clock = Stepped::default();
    let (tech, player) = (workshop("tech", &clock), workshop("player", &clock));
    let (ours, theirs) = shared(&tech, &player);
    turn_rod(&ours);
    clock.pass(60);
    read_relief(&ours, 4);
    clock.pass(60);
    read_relief(&theirs, 5);
    tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
    check(&ours);
    clock.pass(60);
    read(&ours, 12, 6);
    ours.end_visit(None, None).unwrap();
    check(&ours);
}
