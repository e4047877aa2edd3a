#![forbid(unsafe_code)]
//! One instrument's history as a mergeable document.
//!
//! | idea | where |
//! |---|---|
//! | facts that never change: readings, adjustments, string changes, remarks | [`Entry`], [`entry`] |
//! | what the instrument is | [`spec`] |
//! | the numbers that people agree on | [`Target`], [`SetupId`] |
//! | crossing out | [`Strike`] |
//!
//! The byte-level description is `docs/record-format.md`.

mod document;
mod edit;
pub mod entry;
mod id;
mod numbered;
mod place;
mod registers;
pub mod spec;
mod state;
mod strike;
mod target;

pub use document::{
    Access, Applied, ApplyError, FORMAT_VERSION, LoadError, PrepareError, Prepared, Record,
    Refusal, Refused, Version, Waiting,
};
pub use edit::{Draft, EditError, Editor};
pub use entry::{
    Adjusted, Adjustment, Body, Buzz, Climate, Entry, EntryError, Pass, PassReading, Phase, Photo,
    Posture, Remark, StoppedBy, StringChange, Tuning, Turns, TurnsError, VisitEnded, VisitOpened,
};
pub use id::{EntryId, EntryIdError, Moment};
pub use registers::{REMOVED, Register, Registers, Setup};
pub use spec::{Spec, SpecField, templates};
pub use state::{Placed, State, Struck};
pub use strike::Strike;
pub use target::{SetupId, SetupIdError, Target, target_key};
