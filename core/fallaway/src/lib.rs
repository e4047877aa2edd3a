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

mod by_name;
mod convert;
mod dates;
mod error;
mod instrument;
mod keeping;
#[cfg(test)]
mod latest_tests;
mod likely;
mod near;
mod sharing;
mod showing;
mod workshop;
mod writing;

pub use convert::times_accepted;
pub use dates::{read_moment, written_moment};
pub use error::{Error, NotFoundKind, Result};
pub use fallaway_text::errors::{Accepted, AcceptedValues, NothingAccepted};
pub use instrument::Instrument;
pub use keeping::callbacks::{ChangeListener, LogLevel, LogSink, ProgressListener};
pub use keeping::diagnostics::VERSION;
pub use keeping::environment;
pub use keeping::notice::Notice;
pub use keeping::preferences::{InstrumentWays, Preferences, UsualTools};
pub use keeping::shop::{
    Care, Customer, DueAgain, FoundIn, FoundText, Job, JobPart, Money, OpenWork, ShopSpec,
    StringSet,
};
pub use keeping::subscription::Subscription;
pub use sharing::delivery::OutgoingBundle;
pub use sharing::exchange::{NewInvitation, WaitingFor};
pub use sharing::known::DeviceState;
pub use sharing::meeting;
pub use sharing::people::{HeldWork, InvitationView};
pub use sharing::people_history::{PeopleDeed, PeopleEvent};
pub use sharing::sync;
pub use showing::card::{Card, CardLine, CardStanding, LastReading};
pub use showing::device::DeviceInfo;
pub use showing::drawings::draw_changed;
pub use showing::photos::{PhotoState, PhotoView};
pub use showing::planning::{Explanation, Occasion, PlanView};
pub use showing::series::SeriesPoint;
#[cfg(feature = "thumbnails")]
pub use showing::thumbnails::THUMBNAIL_SIDE;
pub use showing::views::{
    AddedBy, ContestedField, ContestedValue, ContestedVersion, EntryCount, FactWritten,
    HistoryEntry, HistoryFilter, InstrumentDetails, InstrumentId, InstrumentSummary,
    InvitationInfo, MergeReport, Person, RefusedBundle, RetractOutcome, SecondUse, Setup,
    SetupName, TargetView, TemplateInfo, Visit, VisitLine, WhyAside,
};
pub use showing::what_if::BuzzAnswer;
pub use showing::work_state::WorkState;
pub use workshop::{Workshop, WorkshopOptions};
pub use writing::doubts::is_against_the_known_way;
pub use writing::entries::NewEntry;
pub use writing::import::{ImportDoubt, ImportLine, ImportOptions, ImportProblem, ImportReport};
pub use writing::pass_draft::{CellVerdict, DraftCell, PassDraft};
pub use writing::pass_text::PassOptions;
pub use writing::photos::{MAX_PHOTO_BYTES, MAX_PHOTOS_BYTES, PhotoNote};
pub use writing::steps::{StepDone, StepId, StepWritten};
pub use writing::targets_from::{TakenTargets, TargetSource};
pub use writing::undo::{Undoing, Undone, UndoneLine};
pub use writing::usual::UsualReading;
pub use writing::write_options::{Accept, Cell, Doubt, DoubtAbout, WhyDoubted, WriteOptions};

/// The plan, in data and in words.
pub use fallaway_advice as advice;
/// Readings as people take them.
pub use fallaway_measure as measure;
/// The set-up mathematics.
pub use fallaway_mechanics as mechanics;
/// What a record is made of.
pub use fallaway_record as record;
pub use fallaway_record::OpId;
pub use fallaway_sharing::{CodeCollector, CodeError, CodesSeen, Role, codes};
pub use fallaway_sheet as sheet;
/// Everything that is said to a person: phrases, and voices that say them in a language.
pub use fallaway_text as text;

/// The example in the guide for developers compiles.
#[cfg(doctest)]
#[doc = include_str!("../../../DEVELOPERS.md")]
struct DevelopersGuide;
