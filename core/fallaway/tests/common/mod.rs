//! A clock that is wound by hand, random bytes that repeat, and readings in short.
#![allow(dead_code, reason = "each test file uses a part of it")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

pub mod people;
pub mod wire;

use std::sync::Mutex;
use std::sync::atomic::{AtomicI64, Ordering};

use fallaway::environment::{Clock, Random};
use fallaway::measure::{Fret, Location, Quantity, Tool, parse_pass};
use fallaway::record::{Moment, Pass, PassReading, Target};
use fallaway::{Instrument, Workshop};

/// Each look at it is a minute later.
pub struct Ticking(AtomicI64);

impl Ticking {
    pub fn from(unix_s: i64) -> Self {
        Self(AtomicI64::new(unix_s))
    }
}

impl Clock for Ticking {
    fn now(&self) -> Moment {
        Moment { unix_s: self.0.fetch_add(60, Ordering::Relaxed), offset_min: 60 }
    }
}

/// The same bytes for the same seed.
pub struct Seeded(Mutex<u64>);

impl Seeded {
    pub fn new(seed: u64) -> Self {
        Self(Mutex::new(seed))
    }
}

impl Random for Seeded {
    fn fill(&self, bytes: &mut [u8]) -> Result<(), String> {
        let mut state = self.0.lock().map_err(|e| e.to_string())?;
        for byte in bytes {
            // SplitMix64 (Steele, Lea and Flood, OOPSLA 2014).
            *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
            let mut z = *state;
            z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
            z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
            *byte = (z ^ (z >> 31)).to_le_bytes()[0];
        }
        Ok(())
    }
}

pub fn workshop(label: &str, seed: u64) -> Workshop {
    let clock = Box::new(Ticking::from(1_780_000_000));
    Workshop::in_memory(label, clock, Box::new(Seeded::new(seed))).unwrap()
}

pub fn action() -> Quantity {
    Quantity::Gap { stopped: Fret::new(1).unwrap(), over: Fret::new(24).unwrap() }
}

pub fn relief() -> Quantity {
    Quantity::Relief { from: Fret::new(1).unwrap(), to: Fret::new(24).unwrap(), at: None }
}

pub fn relief_pass(text: &str) -> Pass {
    let tool = Tool::FEELER_THOU;
    let read = parse_pass(text, Some(&tool), relief().dimension(), 1, None).unwrap();
    let mut pass = Pass::new(relief(), Some(tool));
    let whole = |reading| PassReading { location: Location::Whole, reading };
    pass.readings.extend(read.into_iter().flatten().map(whole));
    pass
}

pub fn action_pass(text: &str, strings: usize) -> Pass {
    let tool = Tool::RULE_64;
    let read = parse_pass(text, Some(&tool), action().dimension(), strings, None).unwrap();
    Pass::new(action(), Some(tool)).across(1, &read).unwrap()
}

pub fn relief_target(hundredths_mm: i64) -> Target {
    use fallaway::measure::{Amount, Unit};
    Target {
        quantity: relief(),
        location: Location::Whole,
        wanted: Amount::decimal(hundredths_mm, 2, Unit::Millimetre).unwrap(),
        tolerance: Amount::decimal(5, 2, Unit::Millimetre).unwrap(),
        by: None,
        at: Moment { unix_s: 1_780_000_000, offset_min: 0 },
        taken_from: None,
    }
}

/// Everything that two devices have to agree on.
pub fn told(instrument: &Instrument) -> String {
    let view = instrument.details().unwrap();
    let history = instrument.history(&fallaway::HistoryFilter::default()).unwrap();
    let entries: Vec<String> = history
        .iter()
        .map(|one| {
            let rest = (one.draft, &one.retracted);
            format!("{} {:?} {:?} {rest:?}", one.short, one.entry, one.device)
        })
        .collect();
    let people: Vec<String> =
        view.people.iter().map(|p| format!("{} {} {}", p.label, p.role, p.fingerprint)).collect();
    format!(
        "{}\n{:?}\n{:?}\n{:?}\n{:?}\n{}",
        view.history_digest,
        view.spec,
        people,
        instrument.contested().unwrap(),
        instrument.setups().unwrap(),
        entries.join("\n")
    )
}

/// What has not been delivered yet, and it is from now on.
pub fn news(instrument: &fallaway::Instrument) -> Vec<u8> {
    let unsent = instrument.bundle_unsent().unwrap().unwrap();
    instrument.delivered(&unsent.token).unwrap();
    unsent.file
}

/// The whole record, and nothing is unsent any more.
pub fn everything(instrument: &fallaway::Instrument) -> Vec<u8> {
    let bundle = instrument.bundle_out().unwrap();
    instrument.delivered(&bundle.token).unwrap();
    bundle.file
}
