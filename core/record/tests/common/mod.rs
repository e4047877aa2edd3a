//! Small helpers for the tests of the record.
#![allow(dead_code, reason = "each test file uses its own part")]
#![allow(clippy::unwrap_used, clippy::panic, reason = "a failed helper fails the test")]

use fallaway_changes::{Change, Container, Put, RecordId, VerifiedChange, Writer};
use fallaway_measure::{Amount, Fret, Location, Quantity, Reading, StringPlace, Tool, Unit};
use fallaway_record::{
    Applied, Draft, Entry, EntryBody, EntryId, Moment, Pass, Record, Remark, SetupId, Target,
};

pub fn record_id() -> RecordId {
    RecordId::from_bytes([0x11; 16])
}

pub fn writer(number: u8) -> Writer {
    Writer::from_bytes([number; 16])
}

pub fn moment(unix_s: i64) -> Moment {
    Moment::new(unix_s, 60).unwrap()
}

pub fn fret(number: u8) -> Fret {
    Fret::new(number).unwrap()
}

pub fn course(number: u8) -> Location {
    Location::Course(StringPlace::course(number).unwrap())
}

pub fn action() -> Quantity {
    Quantity::Gap { stopped: fret(1), over: fret(20) }
}

pub fn mm(hundredths: i64) -> Amount {
    Amount::decimal(hundredths, 2, Unit::Millimetre).unwrap()
}

pub fn remark(id: EntryId, unix_s: i64, text: &str) -> Entry {
    let body = EntryBody::Remark(Remark { text: text.to_owned(), ..Remark::default() });
    Entry::new(id, moment(unix_s), body)
}

pub fn pass(id: EntryId, unix_s: i64, counts: &[i32]) -> Entry {
    let readings: Vec<_> = counts
        .iter()
        .map(|count| Some(Reading::Value(Amount::fraction(*count, 64).unwrap())))
        .collect();
    let pass = Pass::new(action(), Some(Tool::RULE_64)).across(1, &readings).unwrap();
    Entry::new(id, moment(unix_s), EntryBody::Pass(pass))
}

pub fn target(wanted_mm: i64, unix_s: i64) -> Target {
    Target {
        quantity: action(),
        location: course(1),
        wanted: mm(wanted_mm),
        tolerance: mm(15),
        by: None,
        at: moment(unix_s),
        taken_from: None,
    }
}

pub fn log_put(entry: &Entry) -> Put {
    Put { container: Container::LOG, key: entry.id.to_string(), value: entry.encode().unwrap() }
}

pub fn spec_put(key: &str, value: &[u8]) -> Put {
    Put { container: Container::SPEC, key: key.to_owned(), value: value.to_vec() }
}

/// The one change that a writer makes of operations.
pub fn prepared(record: &Record, by: Writer, time: i64, puts: Vec<Put>) -> VerifiedChange {
    let [change] = &record.prepare(by, time, puts).unwrap()[..] else { panic!("more than one") };
    change.clone()
}

pub fn target_put(record: &Record, by: Writer, target: &Target) -> Put {
    let draft = Draft::new();
    record.editor(by, &draft).set_target(&SetupId::main(), target).unwrap()
}

/// Prepares and applies; gives the change.
pub fn write(
    record: &mut Record,
    by: Writer,
    time: i64,
    puts: impl FnOnce(&Record) -> Vec<Put>,
) -> VerifiedChange {
    let change = prepared(record, by, time, puts(record));
    let applied = record.apply(std::slice::from_ref(&change));
    assert_eq!(applied.admitted, [change.id()], "{applied:?}");
    change
}

/// A change of the record, as its writer makes it.
pub fn own(change: &Change) -> VerifiedChange {
    VerifiedChange::own(&record_id(), change.clone()).unwrap()
}

pub fn assert_clean(applied: &Applied) {
    assert!(applied.refused.is_empty() && applied.waiting.is_empty(), "{applied:?}");
}
