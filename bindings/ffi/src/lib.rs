//! Fallaway for Kotlin, Swift and Python.
//!
//! A [`Workshop`] keeps the records of all instruments that a device knows, in one folder; an
//! [`Instrument`] is a handle to one of them. Every call blocks, may come from any thread, and has
//! made what it wrote durable when it returns. Calls answer a value or a [`FallawayError`], never
//! anything else.
//!
//! Nothing is computed here: types that can cross to another language, and conversions between
//! them and those of the crate `fallaway`. Units stand in the names of fields; a value that
//! somebody read crosses as a [`Figure`], which carries what was written, the unit, the uncertainty
//! and whether it was measured.

#![allow(
    clippy::needless_pass_by_value,
    reason = "what crosses from another language arrives as a value of its own"
)]

mod buzz;
mod callbacks;
mod card;
mod changed;
mod clearance;
mod error;
mod figure;
pub mod formulas;
mod instrument;
mod known;
mod learned;
mod mirror;
mod place;
mod plan;
mod workshop;

pub use buzz::{BuzzCause, Suspect, WhyBuzz};
pub use callbacks::{KeptSecret, RandomSource, SecretKeeper, TimeSource};
pub use card::{Card, CardLine, CardStanding, CardTarget, LastReading};
pub use changed::{
    InstrumentPart, NotedDeed, Occasion, PartChange, PartVerdict, ToRead, WhatChanged,
};
pub use clearance::{
    BestRelief, Clearance, ClearanceAnswer, ClearanceBasis, ClearanceBench, ClearanceMargin,
    ClearanceString, ClearanceWhatIf, HardestTouch, LowestClean, PluckDirection, StringClearance,
    Touch,
};
pub use error::{FallawayError, ForeignError};
pub use figure::{Basis, Figure, FigureUnit};
pub use instrument::Instrument;
pub use known::{DeedKind, FigureBound, Posture, ReadingClass, SeenReading, Wanted};
pub use learned::{
    ActionThere, Air, AirForecast, Forecast, Learned, LeftOut, Lesson, ReaderLearned,
    SeasonLearned, WhyLeftOut, Within,
};
pub use place::{Moment, Quantity, Side, Spot, StringPlace};
pub use plan::{
    AgainstTarget, Caution, HandTurn, Hazard, PartWay, Plan, PlanStep, PointsAt, RestsOn,
    RowOfUndersides, ScrewMove, SincePart, SinceSetup, SizeFrom, StepKind, StepVerdict, StepWork,
    StopReason, TurnDirection, WhyNot,
};
pub use workshop::{
    DeviceInfo, InstrumentSummary, TemplateInfo, Workshop, WorkshopOptions, templates,
};

uniffi::setup_scaffolding!("fallaway");

/// What every call of this crate answers.
pub(crate) type Result<T> = std::result::Result<T, FallawayError>;
