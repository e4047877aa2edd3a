#![forbid(unsafe_code)]
//! Fallaway's Rust face.
//!
//! A [`Workshop`] keeps the records of all instruments that a device knows; an [`Instrument`] is a
//! handle to one of them. Everything that is written is durable when the call returns, works
//! without a network, and merges with what others wrote when their bundles come in.
//!
//! ```
//! use fallaway::Workshop;
//! use fallaway::environment::{SystemClock, SystemRandom};
//! use fallaway::measure::{Fret, Location, Quantity, Tool, parse_pass};
//! use fallaway::record::{Pass, PassReading};
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let workshop = Workshop::in_memory("tech", Box::new(SystemClock), Box::new(SystemRandom))?;
//! let bass = workshop.add_instrument("bass-4", "walnut bass")?;
//!
//! // Stopped at 1 and 24, the leaf of twelve thousandths goes under the string.
//! let relief = Quantity::Relief { from: Fret::new(1)?, to: Fret::new(24)?, at: None };
//! let tool = Tool::FEELER_THOU;
//! let read = parse_pass("12", Some(&tool), relief.dimension(), 1, None)?;
//! let mut pass = Pass::new(relief, Some(tool));
//! let whole = |reading| PassReading { location: Location::Whole, reading };
//! pass.readings.extend(read.into_iter().flatten().map(whole));
//! bass.add_pass(pass, Some("tech"), false)?;
//!
//! let card = bass.card(None)?;
//! let last = card.lines.first().and_then(|line| line.last.as_ref()).ok_or("nothing was read")?;
//! assert_eq!(last.reading.to_string(), "12 thou");
//! # Ok(())
//! # }
//! ```

mod callbacks;
mod card;
mod convert;
pub mod environment;
mod error;
mod exchange;
mod instrument;
#[cfg(test)]
mod latest_tests;
mod loaded_record;
mod open_visit;
mod pass_text;
mod planning;
mod projection;
mod secrets;
mod session;
mod setup_from_visit;
mod setups;
mod subscription;
mod views;
mod visits;
mod what_if;
mod workshop;
mod workshop_state;

pub use callbacks::{ChangeListener, Level, LogSink, Progress};
pub use card::{Card, CardLine, LastReading, Standing};
pub use error::{Error, Result};
pub use instrument::Instrument;
pub use pass_text::PassText;
pub use planning::{Explanation, PlanView};
pub use subscription::Subscription;
pub use views::{
    Added, Contested, DeviceCard, EntryView, Filter, InstrumentId, InstrumentView, InvitationCard,
    MergeReport, PersonView, RefusedBundle, RetractOutcome, RetractionView, SetupView, Summary,
    TargetView, TemplateInfo, Version, VisitLine, VisitView, What,
};
pub use workshop::{Workshop, WorkshopOptions};

/// The plan, in data and in words.
pub use fallaway_advice as advice;
pub use fallaway_advice::compare::Occasion;
pub use fallaway_changes::OpId;
/// Readings as people take them.
pub use fallaway_measure as measure;
/// The set-up mathematics.
pub use fallaway_mechanics as mechanics;
/// What a record is made of.
pub use fallaway_record as record;
pub use fallaway_sharing::Role;
/// Everything that is said to a person: phrases, and voices that say them in a language.
pub use fallaway_text as text;

/// The example in the guide for developers compiles.
#[cfg(doctest)]
#[doc = include_str!("../../../DEVELOPERS.md")]
struct DevelopersGuide;
