#![forbid(unsafe_code)]
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
//! # Cookbook
//!
//! 1. [Open a workshop](#open-a-workshop)
//! 2. [Add an instrument and say what it is](#add-an-instrument-and-say-what-it-is)
//! 3. [Write down what was read](#write-down-what-was-read)
//! 4. [Write down what was done](#write-down-what-was-done)
//! 5. [Say what is wanted](#say-what-is-wanted)
//! 6. [Show the numbers and the plan](#show-the-numbers-and-the-plan)
//! 7. [Read the history in pages](#read-the-history-in-pages)
//! 8. [Take something back](#take-something-back)
//! 9. [Share an instrument](#share-an-instrument)
//! 10. [Decide between two values](#decide-between-two-values)
//!
//! The examples in `core/fallaway/examples` are whole programs: `read_and_plan`, `share`,
//! `resolve_conflict`, `follow_changes`.
//!
//! ## Open a workshop
//!
//! ```no_run
//! use fallaway::{Workshop, WorkshopOptions};
//!
//! let workshop = Workshop::open(WorkshopOptions::new("bench.fallaway-data", "tech"))?;
//! for instrument in workshop.instruments()? {
//!     println!("{}", instrument.name);
//! }
//! workshop.pause()?; // when the app goes to the background
//! # Ok::<(), fallaway::Error>(())
//! ```
//!
//! ## Add an instrument and say what it is
//!
//! A template fills in what is usual; [`Instrument::set_spec`] corrects it fact by fact.
//!
//! ```
//! use fallaway::measure::{Amount, Unit};
//! use fallaway::record::{SpecField, spec::BoardCurve};
//! # cookbook(|workshop, _| {
//!
//! let bass = workshop.add_instrument("bass-5", "loan bass")?;
//! bass.set_spec(&SpecField::About("bought used, neck once reset".into()))?;
//! bass.set_spec(&SpecField::Board(BoardCurve::Cylinder(Amount::decimal(12, 0, Unit::Inch)?)))?;
//! # Ok(()) });
//! # fn cookbook(
//! #     task: impl Fn(
//! #         &fallaway::Workshop,
//! #         &fallaway::Instrument,
//! #     ) -> Result<(), Box<dyn std::error::Error>>,
//! # ) {
//! #     use fallaway::environment::{SystemClock, SystemRandom};
//! #     let (clock, random) = (Box::new(SystemClock), Box::new(SystemRandom));
//! #     let workshop = fallaway::Workshop::in_memory("tech", clock, random).unwrap();
//! #     task(&workshop, &workshop.add_instrument("bass-4", "walnut bass").unwrap()).unwrap();
//! # }
//! ```
//!
//! ## Write down what was read
//!
//! One line for all strings, from the highest on; a number without a unit is in the steps of the
//! tool, "-" was not read, "=" is as it was read the last time.
//!
//! ```
//! use fallaway::measure::{Quantity, Tool};
//! use fallaway::record::Phase;
//! use fallaway::PassOptions;
//! # cookbook(|_, bass| {
//!
//! bass.add_pass_text(Quantity::relief(1, 24)?, "12", Tool::FEELER_THOU)?;
//! bass.add_pass_text(Quantity::gap(1, 24)?, "2.0 2.0 - 2.4 mm", None)?;
//! let as_found = PassOptions { phase: Some(Phase::AsFound), ..PassOptions::default() };
//! bass.add_pass_text_with(Quantity::nut(), "0.2 0.2 0.3 0.3 mm", None, &as_found, None)?;
//! # Ok(()) });
//! # fn cookbook(
//! #     task: impl Fn(
//! #         &fallaway::Workshop,
//! #         &fallaway::Instrument,
//! #     ) -> Result<(), Box<dyn std::error::Error>>,
//! # ) {
//! #     use fallaway::environment::{SystemClock, SystemRandom};
//! #     let (clock, random) = (Box::new(SystemClock), Box::new(SystemRandom));
//! #     let workshop = fallaway::Workshop::in_memory("tech", clock, random).unwrap();
//! #     task(&workshop, &workshop.add_instrument("bass-4", "walnut bass").unwrap()).unwrap();
//! # }
//! ```
//!
//! ## Write down what was done
//!
//! ```
//! use fallaway::record::{AdjustedPart, Adjustment, Remark, Turns};
//! # cookbook(|_, bass| {
//!
//! let turns = Some(Turns::eighths(2)); // clockwise, as seen from the tool
//! let turned = Adjustment { what: AdjustedPart::Rod, turns, amount: None, note: None };
//! bass.add_adjustment(turned, Some("tech"))?;
//! let text = "buzzes on the low string in the cold".to_owned();
//! bass.add_remark(Remark { text, ..Remark::default() }, Some("player"))?;
//! # Ok(()) });
//! # fn cookbook(
//! #     task: impl Fn(
//! #         &fallaway::Workshop,
//! #         &fallaway::Instrument,
//! #     ) -> Result<(), Box<dyn std::error::Error>>,
//! # ) {
//! #     use fallaway::environment::{SystemClock, SystemRandom};
//! #     let (clock, random) = (Box::new(SystemClock), Box::new(SystemRandom));
//! #     let workshop = fallaway::Workshop::in_memory("tech", clock, random).unwrap();
//! #     task(&workshop, &workshop.add_instrument("bass-4", "walnut bass").unwrap()).unwrap();
//! # }
//! ```
//!
//! ## Say what is wanted
//!
//! Keep the numbers of a visit as they are, or set targets one by one with
//! [`Instrument::set_target`].
//!
//! ```
//! use fallaway::measure::{Quantity, Tool};
//! # cookbook(|_, bass| {
//!
//! bass.add_pass_text(Quantity::gap(1, 24)?, "5 5 5 6", Tool::RULE_64)?;
//! let setup = bass.take_setup("stage", None)?;
//! assert_eq!(setup.targets.len(), 4);
//! # Ok(()) });
//! # fn cookbook(
//! #     task: impl Fn(
//! #         &fallaway::Workshop,
//! #         &fallaway::Instrument,
//! #     ) -> Result<(), Box<dyn std::error::Error>>,
//! # ) {
//! #     use fallaway::environment::{SystemClock, SystemRandom};
//! #     let (clock, random) = (Box::new(SystemClock), Box::new(SystemRandom));
//! #     let workshop = fallaway::Workshop::in_memory("tech", clock, random).unwrap();
//! #     task(&workshop, &workshop.add_instrument("bass-4", "walnut bass").unwrap()).unwrap();
//! # }
//! ```
//!
//! ## Show the numbers and the plan
//!
//! The card is cheap: it does not load the record.
//!
//! ```
//! # cookbook(|_, bass| {
//! # bass.add_pass_text(fallaway::measure::Quantity::nut(), "0.2 0.2 0.3 0.3 mm", None)?;
//! for line in bass.card(None)?.lines {
//!     if let Some(last) = line.last {
//!         println!("{} {} {}", last.quantity, last.location, last.reading);
//!     }
//! }
//! print!("{}", bass.plan(None)?.text(&fallaway::text::Voice::default()));
//! # Ok(()) });
//! # fn cookbook(
//! #     task: impl Fn(
//! #         &fallaway::Workshop,
//! #         &fallaway::Instrument,
//! #     ) -> Result<(), Box<dyn std::error::Error>>,
//! # ) {
//! #     use fallaway::environment::{SystemClock, SystemRandom};
//! #     let (clock, random) = (Box::new(SystemClock), Box::new(SystemRandom));
//! #     let workshop = fallaway::Workshop::in_memory("tech", clock, random).unwrap();
//! #     task(&workshop, &workshop.add_instrument("bass-4", "walnut bass").unwrap()).unwrap();
//! # }
//! ```
//!
//! ## Read the history in pages
//!
//! ```
//! use fallaway::HistoryFilter;
//! # cookbook(|_, bass| {
//!
//! let mut page = HistoryFilter { last: Some(50), ..HistoryFilter::default() };
//! loop {
//!     let entries = bass.history(&page)?;
//!     let Some(first) = entries.first() else { break };
//!     page.before = Some(first.entry.id);
//! }
//! # Ok(()) });
//! # fn cookbook(
//! #     task: impl Fn(
//! #         &fallaway::Workshop,
//! #         &fallaway::Instrument,
//! #     ) -> Result<(), Box<dyn std::error::Error>>,
//! # ) {
//! #     use fallaway::environment::{SystemClock, SystemRandom};
//! #     let (clock, random) = (Box::new(SystemClock), Box::new(SystemRandom));
//! #     let workshop = fallaway::Workshop::in_memory("tech", clock, random).unwrap();
//! #     task(&workshop, &workshop.add_instrument("bass-4", "walnut bass").unwrap()).unwrap();
//! # }
//! ```
//!
//! ## Take something back
//!
//! An entry that others may have seen stays in the history, crossed out, with the reason.
//!
//! ```
//! use fallaway::measure::{Quantity, Tool};
//! # cookbook(|_, bass| {
//!
//! let slip = bass.add_pass_text(Quantity::relief(1, 24)?, "21", Tool::FEELER_THOU)?;
//! bass.retract(slip, "read on the wrong fret", Some("tech"))?;
//! bass.unset_spec("frets")?; // a fact is not known any more
//! # Ok(()) });
//! # fn cookbook(
//! #     task: impl Fn(
//! #         &fallaway::Workshop,
//! #         &fallaway::Instrument,
//! #     ) -> Result<(), Box<dyn std::error::Error>>,
//! # ) {
//! #     use fallaway::environment::{SystemClock, SystemRandom};
//! #     let (clock, random) = (Box::new(SystemClock), Box::new(SystemRandom));
//! #     let workshop = fallaway::Workshop::in_memory("tech", clock, random).unwrap();
//! #     task(&workshop, &workshop.add_instrument("bass-4", "walnut bass").unwrap()).unwrap();
//! # }
//! ```
//!
//! ## Share an instrument
//!
//! ```
//! use fallaway::{BundleContent, Role};
//! # cookbook(|workshop, bass| {
//! # let other = fallaway::Workshop::in_memory(
//! #     "player",
//! #     Box::new(fallaway::environment::SystemClock),
//! #     Box::new(fallaway::environment::SystemRandom),
//! # )?;
//!
//! let invitation = bass.invite(Role::Contributor, 7)?; // hand this over privately
//! let bundle = bass.bundle_out(BundleContent::Everything)?; // any carrier will do
//!
//! let shared = other.accept(&invitation)?; // on the other device
//! other.bundle_in(&bundle)?;
//! let report = workshop.bundle_in(&shared.bundle_out(BundleContent::NewSinceLastTime)?)?;
//! assert_eq!(report.people_added, ["player"]);
//! # Ok(()) });
//! # fn cookbook(
//! #     task: impl Fn(
//! #         &fallaway::Workshop,
//! #         &fallaway::Instrument,
//! #     ) -> Result<(), Box<dyn std::error::Error>>,
//! # ) {
//! #     use fallaway::environment::{SystemClock, SystemRandom};
//! #     let (clock, random) = (Box::new(SystemClock), Box::new(SystemRandom));
//! #     let workshop = fallaway::Workshop::in_memory("tech", clock, random).unwrap();
//! #     task(&workshop, &workshop.add_instrument("bass-4", "walnut bass").unwrap()).unwrap();
//! # }
//! ```
//!
//! ## Decide between two values
//!
//! What two people wrote apart stays two values, with author and time, until somebody decides.
//!
//! ```
//! # cookbook(|_, bass| {
//! for contested in bass.contested()? {
//!     println!("{}", contested.label);
//!     for version in &contested.versions {
//!         println!("  {}  {}", version.shown, version.device);
//!     }
//!     bass.settle(&contested, 0)?;
//! }
//! # Ok(()) });
//! # fn cookbook(
//! #     task: impl Fn(
//! #         &fallaway::Workshop,
//! #         &fallaway::Instrument,
//! #     ) -> Result<(), Box<dyn std::error::Error>>,
//! # ) {
//! #     use fallaway::environment::{SystemClock, SystemRandom};
//! #     let (clock, random) = (Box::new(SystemClock), Box::new(SystemRandom));
//! #     let workshop = fallaway::Workshop::in_memory("tech", clock, random).unwrap();
//! #     task(&workshop, &workshop.add_instrument("bass-4", "walnut bass").unwrap()).unwrap();
//! # }
//! ```

mod callbacks;
mod card;
mod convert;
mod diagnostics;
pub mod environment;
mod error;
mod exchange;
mod instrument;
#[cfg(test)]
mod latest_tests;
mod loaded_record;
mod notice;
mod open_visit;
mod pass_text;
mod planning;
mod preferences;
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
mod write_options;

pub use callbacks::{ChangeListener, LogLevel, LogSink, ProgressListener};
pub use card::{Card, CardLine, CardStanding, LastReading};
pub use diagnostics::VERSION;
pub use error::{Error, Result};
pub use instrument::Instrument;
pub use notice::Notice;
pub use pass_text::PassOptions;
pub use planning::{Explanation, PlanView};
pub use preferences::{Preferences, UsualTools};
pub use subscription::Subscription;
pub use views::{
    AddedBy, BundleContent, ContestedField, ContestedValue, ContestedVersion, DeviceInfo,
    EntryCount, HistoryEntry, HistoryFilter, InstrumentId, InstrumentSummary, InstrumentView,
    InvitationInfo, MergeReport, Person, RefusedBundle, RetractOutcome, Setup, TargetView,
    TemplateInfo, Visit, VisitLine, WhyAside,
};
pub use workshop::{Workshop, WorkshopOptions};
pub use write_options::{Accept, Cell, Doubt, WriteOptions};

/// The plan, in data and in words.
pub use fallaway_advice as advice;
pub use fallaway_advice::compare::Occasion;
/// Readings as people take them.
pub use fallaway_measure as measure;
/// The set-up mathematics.
pub use fallaway_mechanics as mechanics;
/// What a record is made of.
pub use fallaway_record as record;
pub use fallaway_record::OpId;
pub use fallaway_sharing::Role;
/// Everything that is said to a person: phrases, and voices that say them in a language.
pub use fallaway_text as text;

/// The example in the guide for developers compiles.
#[cfg(doctest)]
#[doc = include_str!("../../../DEVELOPERS.md")]
struct DevelopersGuide;
