//! Workshops for the tests, and readings in short.
#![allow(dead_code, reason = "each test file uses a part of it")]
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::Path;
use std::sync::Arc;

use fallaway_ffi::{
    Entered, EntryId, HistoryFilter, Instrument, Location, NewTarget, Quantity, Role, StringPlace,
    Tool, Workshop, WorkshopOptions, WriteOptions,
};

pub fn workshop(label: &str) -> Workshop {
    Workshop::in_memory(label, None, None).unwrap()
}

pub fn options(folder: &Path, label: &str) -> WorkshopOptions {
    WorkshopOptions {
        folder: folder.to_str().unwrap().to_owned(),
        label: label.to_owned(),
        replace_garbage: false,
        max_pages: None,
        face: 1,
    }
}

pub fn action() -> Quantity {
    Quantity::Gap { stopped_fret: 1, over_fret: 24 }
}

pub fn string(course: u32) -> Location {
    Location::OneString { place: StringPlace { course, letter: None } }
}

pub fn entered(text: &str) -> Entered {
    Entered { text: text.to_owned(), value: None, unit: None }
}

/// Written by somebody else.
#[allow(clippy::unnecessary_wraps, reason = "as the calls take it")]
pub fn by(who: &str) -> Option<WriteOptions> {
    Some(WriteOptions { by: Some(who.to_owned()), ..WriteOptions::default() })
}

/// A pass off the rule in sixty-fourths.
pub fn read(instrument: &Instrument, text: &str) -> EntryId {
    let rule = Some(Tool::Rule64);
    instrument.add_pass_text(action(), text.to_owned(), rule, None, None).unwrap()
}

/// The action of a string, in millimetres.
pub fn target(course: u32, wanted: &str) -> NewTarget {
    NewTarget {
        quantity: action(),
        location: string(course),
        wanted: entered(wanted),
        tolerance: entered("0.1 mm"),
    }
}

pub fn texts(instrument: &Instrument) -> Vec<String> {
    let all = instrument.history(&HistoryFilter::default()).unwrap();
    all.into_iter().map(|entry| entry.text).collect()
}

/// Invites `other` and carries bundles until both have everything.
pub fn share(
    from: &Workshop,
    instrument: &Instrument,
    other: &Workshop,
    role: Role,
) -> Arc<Instrument> {
    let invitation = instrument.invite(role, 14).unwrap();
    let joined = other.accept(&invitation.words, &invitation.welcome).unwrap();
    carry(instrument, other);
    carry(&joined, from);
    carry(instrument, other);
    joined
}

/// Everything that one knows, to another.
pub fn carry(instrument: &Instrument, other: &Workshop) {
    let bundle = instrument.bundle_out(None).unwrap().file;
    other.bundle_in(&bundle, None).unwrap();
}
