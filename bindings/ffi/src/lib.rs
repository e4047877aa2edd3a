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
mod choices;
mod clearance;
mod contested;
mod entered;
mod entries;
mod error;
mod exchange;
mod figure;
#[cfg(feature = "formulas")]
pub mod formulas;
mod growth;
mod instrument;
mod known;
mod learned;
mod mirror;
pub mod notation;
mod other_strings;
mod people;
mod place;
mod plan;
mod reading;
mod setups;
mod spec;
mod strings;
mod voice;
mod workshop;

pub use buzz::{BuzzCause, Suspect, WhyBuzz};
pub use callbacks::{
    ChangeListener, Go, KeptSecret, Listening, LogLevel, LogSink, Progress, RandomSource,
    SecretKeeper, TimeSource,
};
pub use card::{Card, CardLine, CardStanding, CardTarget, LastReading};
pub use changed::{
    InstrumentPart, NotedDeed, Occasion, PartChange, PartVerdict, ReadersApart, WhatChanged,
};
pub use clearance::{
    BestRelief, Clearance, ClearanceAnswer, ClearanceBasis, ClearanceBench, ClearanceMargin,
    ClearanceString, ClearanceWhatIf, ForceFrom, HardestTouch, LowestClean, PluckDirection,
    StringClearance, Touch, TouchBounds, TouchUsed, UnderTouch,
};
pub use contested::{ContestedField, ContestedVersion};
pub use entered::Entered;
pub use entries::{
    AdjustedPart, Adjustment, BuzzNote, Climate, Crossed, EntryBody, EntryKind, HistoryEntry,
    HistoryFilter, Strike, StringChange, TuningChange, Visit, VisitLine,
};
pub use error::{FallawayError, ForeignError};
pub use exchange::{AddedBy, BundleContent, EntryCount, MergeReport, RefusedBundle};
pub use figure::{Basis, Figure, FigureUnit};
pub use growth::face;
pub use instrument::{Instrument, InstrumentView};
pub use known::{DeedKind, ReaderRepeats, ReadingClass, SeenReading, ToRead, Wanted};
pub use learned::{
    ActionThere, Air, AirForecast, Forecast, Learned, LeftOut, Lesson, PullLearned, ReaderLearned,
    SeasonLearned, TouchHeard, TouchLearned, TouchObserved, WhyLeftOut, Within,
};
pub use other_strings::{NewNote, OtherStrings};
pub use people::{InvitationInfo, Person, Role, look_at_invitation};
pub use place::{Moment, Quantity, Side, Spot, StringPlace};
pub use plan::{
    AgainstTarget, Caution, HandTurn, Hazard, PartWay, Plan, PlanStep, PointsAt, RestsOn,
    RowOfUndersides, ScrewMove, SincePart, SinceSetup, SizeFrom, StepKind, StepVerdict, StepWork,
    StopReason, TurnDirection, WhyNot,
};
pub use reading::{
    NewPass, NewReading, PassConditions, PassInfo, Phase, Posture, ReadingInfo, ReadingKind,
    StoppedBy, Tool, quantity_label, tool_label,
};
pub use setups::{NewTarget, Setup, Target};
pub use spec::{
    BoardCurve, BridgeHeight, BridgeSpec, Clockwise, FittedString, Handedness, InstrumentFamily,
    InstrumentSpec, IntonationBy, NeckJoint, NutKind, PlacedScrew, RodAccess, RodKind, ScaleLength,
    ScrewPlace, ScrewSpec, SpecField, StringConstruction, StringScale, StringSpec, Stringing,
    TunedString, UnitWeight, UnitWeightUnit,
};
pub use strings::{BeforeStrings, ReliefGoes, SaddleMoves, SlotFit, StringForecast};
pub use voice::{LengthUnit, TemperatureUnit, Units, languages, set_voice};
pub use workshop::{
    DeviceInfo, InstrumentSummary, TemplateInfo, Workshop, WorkshopOptions, templates,
};

uniffi::setup_scaffolding!("fallaway");

/// What every call of this crate answers.
pub(crate) type Result<T> = std::result::Result<T, FallawayError>;
