#![forbid(unsafe_code)]
#![warn(unreachable_pub)]
//! One instrument's history as a mergeable document.
//!
//! | idea | where |
//! |---|---|
//! | facts that never change: readings, adjustments, string changes, remarks | [`Entry`], [`entry`] |
//! | what the instrument is | [`InstrumentSpec`], [`spec`] |
//! | the numbers that people agree on | [`Target`], [`NamedTargets`], [`SetupId`] |
//! | crossing out | [`Retraction`] |
//! | every value that people wrote apart | [`Registers`], [`Register`] |
//! | everything in order | [`State`] |
//! | edits, checked against the instrument | [`Draft`], [`Editor`] |
//! | the document: founding, changes, rules of admission, merging | [`Record`], [`Refusal`] |
//!
//! The byte-level description is `docs/record-format.md`. No I/O, no clock, no randomness: time and
//! writers are arguments.
//!
//! ```
//! use fallaway_changes::{RecordId, Writer};
//! use fallaway_measure::{Amount, Fret, Quantity, Reading, Tool};
//! use fallaway_record::{EntryBody, Draft, Entry, EntryId, Moment, Pass, Record, SpecField};
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let id = RecordId::from_bytes([1; 16]);
//! let (tech, player) = (Writer::from_bytes([2; 16]), Writer::from_bytes([3; 16]));
//! let mut bench = Record::create(id);
//!
//! // The tech reads the action, 5 5 5 6 in sixty-fourths, stopped at 1 over 20.
//! let action = Quantity::Gap { stopped: Fret::new(1)?, over: Fret::new(20)? };
//! let read = |count| Amount::fraction(count, 64).map(|read| Some(Reading::Value(read)));
//! let pass = Pass::new(action, Some(Tool::RULE_64))
//!     .across(1, &[read(5)?, read(5)?, read(5)?, read(6)?])?;
//! let at = Moment::new(1_790_000_000, 60).ok_or("no such moment")?;
//! let entry = Entry::new(EntryId::new(tech, 1), at, EntryBody::Pass(pass)).by("tech");
//! let mut draft = Draft::new();
//! draft.add(bench.editor(tech, &draft).log(&entry)?);
//! let sealed = bench.prepare(tech, at.unix_s, draft.puts().to_vec())?;
//! bench.apply(&sealed);
//!
//! // The player names the instrument elsewhere; both end with the same record.
//! let mut stage = Record::create(id);
//! let name = stage.editor(player, &Draft::new()).set_spec(&SpecField::Name("blue bass".into()))?;
//! let named = stage.prepare(player, at.unix_s, vec![name])?;
//! let both = [named, sealed].concat();
//! stage.apply(&both);
//! bench.apply(&both);
//! assert_eq!(bench.heads(), stage.heads());
//! assert_eq!(stage.state().entries().count(), 1);
//! # Ok(())
//! # }
//! ```

mod document;
mod edit;
pub mod entry;
mod id;
mod numbered;
mod place;
mod registers;
mod retraction;
pub mod spec;
mod state;
mod stated;
mod target;

pub use document::{
    Access, Applied, FORMAT_VERSION, GraphLink, LoadError, OpId, OpIdError, PrepareError, Record,
    Refusal, Refused, Waiting, in_order,
};
pub use edit::{Draft, EditError, EditedText, Editor};
pub use entry::{
    AdjustedPart, Adjustment, Buzz, Climate, CouldNot, Entry, EntryBody, EntryError, EntryKind,
    FretFinding, FretState, Pass, PassReading, Phase, Photo, Posture, Remark, StoppedBy,
    StringChange, Tuning, Turns, TurnsError, VisitEnded, VisitOpened,
};
pub use id::{EntryId, EntryIdError, Moment};
pub use registers::{NamedTargets, REMOVED, Register, Registers, Version};
pub use retraction::Retraction;
pub use spec::{InstrumentSpec, SpecField, templates};
pub use state::{Placed, PlacedRetraction, State};
pub use stated::Stated;
pub use target::{SetupId, SetupIdError, Target, target_key};
