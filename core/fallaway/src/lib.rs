#![forbid(unsafe_code)]
#![warn(unreachable_pub)]
//! Fallaway for Rust: what the people around an instrument write down, and what to turn next.
//!
//! A [`Workshop`] keeps the records of all instruments that a device knows; an [`Instrument`] is a
//! handle to one of them. Everything that is written is durable when the call returns, works
//! without a network, and merges with what others wrote when their bundles come in.
//!
//! ```
//! use fallaway::measure::{Quantity, Tool};
//! # use fallaway::{Workshop, environment::{SystemClock, SystemRandom}};
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! # let workshop = Workshop::in_memory("tech", Box::new(SystemClock), Box::new(SystemRandom))?;
//!
//! let bass = workshop.add_instrument("bass-4", "walnut bass")?;
//! bass.add_pass_text(Quantity::gap(1, 24)?, "5 5 5 6", Tool::RULE_64)?;
//! println!("{}", bass.plan(None)?.text(&fallaway::text::Voice::default()));
//! # Ok(())
//! # }
//! ```
//!
//! Tasks, from opening a workshop to what to send to a developer, are in
//! `docs/embedding/cookbook/rust.md`, whose code is a test of this crate (`tests/cookbook.rs`). The examples
//! in `core/fallaway/examples` are whole programs: `read_and_plan`, `share`, `resolve_conflict`,
//! `follow_changes`.

mod archive;
mod as_left;
mod backup;
mod callbacks;
mod card;
mod convert;
mod copying;
mod dates;
mod delivery;
mod diagnostics;
mod doubts;
mod drawings;
mod drawn_across;
mod entries;
pub mod environment;
mod error;
mod exchange;
mod import;
mod instrument;
mod joining;
mod journal;
#[cfg(test)]
mod latest_tests;
mod loaded_record;
mod notice;
mod open_visit;
mod pass_draft;
mod pass_text;
mod people;
mod planning;
mod preferences;
mod projection;
mod recovery;
mod relay;
mod secrets;
mod series;
mod session;
mod setup_from_visit;
mod setups;
mod sheets;
mod shop;
mod steps;
mod subscription;
pub mod sync;
mod table_out;
mod targets_from;
mod undo;
mod usual;
mod views;
mod visits;
mod what_if;
mod workshop;
mod workshop_state;
mod write_options;

pub use callbacks::{ChangeListener, LogLevel, LogSink, ProgressListener};
pub use card::{Card, CardLine, CardStanding, LastReading};
pub use dates::{read_moment, written_moment};
pub use delivery::OutgoingBundle;
pub use diagnostics::VERSION;
pub use doubts::is_against_the_known_way;
pub use drawings::draw_changed;
pub use entries::NewEntry;
pub use error::{Error, NotFoundKind, Result};
pub use exchange::{NewInvitation, WaitingFor};
pub use fallaway_text::errors::{Accepted, AcceptedValues};
pub use import::{ImportDoubt, ImportLine, ImportOptions, ImportProblem, ImportReport};
pub use instrument::Instrument;
pub use notice::Notice;
pub use pass_draft::{CellVerdict, DraftCell, PassDraft};
pub use pass_text::PassOptions;
pub use people::{HeldWork, InvitationView};
pub use planning::{Explanation, Occasion, PlanView};
pub use preferences::{Preferences, UsualTools};
pub use series::SeriesPoint;
pub use shop::{
    Care, Customer, DueAgain, FoundIn, FoundText, Job, JobPart, Money, OpenWork, ShopSpec,
    StringSet,
};
pub use steps::{StepDone, StepId, StepWritten};
pub use subscription::Subscription;
pub use targets_from::{TakenTargets, TargetSource};
pub use undo::{Undoing, Undone, UndoneLine};
pub use usual::UsualReading;
pub use views::{
    AddedBy, ContestedField, ContestedValue, ContestedVersion, DeviceInfo, EntryCount,
    HistoryEntry, HistoryFilter, InstrumentDetails, InstrumentId, InstrumentSummary,
    InvitationInfo, MergeReport, Person, RefusedBundle, RetractOutcome, Setup, SetupName,
    TargetView, TemplateInfo, Visit, VisitLine, WhyAside,
};
pub use what_if::BuzzAnswer;
pub use workshop::{Workshop, WorkshopOptions};
pub use write_options::{Accept, Cell, Doubt, DoubtAbout, WriteOptions};

/// The plan, in data and in words.
pub use fallaway_advice as advice;
/// Readings as people take them.
pub use fallaway_measure as measure;
/// The set-up mathematics.
pub use fallaway_mechanics as mechanics;
/// What a record is made of.
pub use fallaway_record as record;
pub use fallaway_record::OpId;
pub use fallaway_sharing::Role;
pub use fallaway_sheet as sheet;
/// Everything that is said to a person: phrases, and voices that say them in a language.
pub use fallaway_text as text;

/// The example in the guide for developers compiles.
#[cfg(doctest)]
#[doc = include_str!("../../../DEVELOPERS.md")]
struct DevelopersGuide;
