//! Fallaway for Kotlin, Swift and Python.
//!
//! A [`Workshop`] keeps the records of all instruments that a device knows, in one folder; an
//! [`Instrument`] is a handle to one of them. Every call blocks, may come from any thread, and has
//! made what it wrote durable when it returns. Calls answer a value or a [`FallawayError`], never
//! anything else.
//!
//! Nothing is computed here: types that can cross to another language, and conversions between
//! them and those of the crate `fallaway`. Units stand in the names of fields; a value that
//! somebody read crosses as a [`Estimate`], which carries what was written, the unit, the uncertainty
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
mod codes;
mod contested;
mod doubts;
mod drawings;
mod entered;
mod entries;
mod error;
mod estimate;
mod exchange;
mod facts;
#[cfg(feature = "formulas")]
pub mod formulas;
mod frets;
mod given;
mod growth;
mod ids;
mod import;
mod instrument;
mod languages;
mod learned;
mod meeting;
mod mirror;
mod new_entry;
pub mod notation;
mod numbers;
mod observe;
mod other_strings;
mod people;
mod photos;
mod place;
mod plan;
mod preferences;
mod reading;
mod reasons;
mod scene;
mod screens;
mod series;
mod settled;
mod setups;
mod sheets;
mod shop;
mod spec;
mod steps;
mod strings;
mod sync;
mod touch;
mod turns;
mod undo;
mod voice;
mod workshop;
mod write_options;

pub use buzz::{BuzzCause, BuzzTrials, DecidingTest, HarderTouch, Suspect, WhyBuzz};
pub use callbacks::{
    ChangeListener, ControlFlow, KeptSecret, LogLevel, LogSink, ProgressListener, RandomSource,
    SecretKeeper, Subscription, TimeSource,
};
pub use card::{Card, CardLine, CardStanding, LastReading};
pub use changed::{
    HowSure, InstrumentPart, LikelyChange, NotedIntervention, Occasion, PartChange, PartVerdict,
    ReaderBias, WhatChanged,
};
pub use clearance::{
    Assumed, BestRelief, CaveatKind, Clearance, ClearanceAnswer, ClearanceBasis, ClearanceMargin,
    ClearanceModel, ClearanceString, ClearanceWhatIf, ForceFrom, HardestTouch, LowestClean,
    StringClearance, TouchUsed, UnderTouch,
};
pub use codes::{CodeCollector, CodesSeen, codes};
pub use contested::{ContestedField, ContestedValue, ContestedVersion, VersionChoice};
pub use doubts::{Cell, Doubt, WhyDoubted};
pub use drawings::{DrawnChanges, DrawnPlan};
pub use entered::Entered;
pub use entries::{
    AdjustedPart, Adjustment, BuzzNote, Climate, CouldNot, EntryBody, EntryKind, HistoryEntry,
    HistoryFilter, RetractOutcome, Retraction, StringChange, TuningChange, Visit, VisitLine,
};
pub use error::{AcceptedValues, FallawayError, ForeignError, NotFoundKind, NothingAccepted};
pub use estimate::{Basis, Estimate, EstimateUnit};
pub use exchange::{
    AddedBy, EntryCount, HeldWork, InvitationView, MergeReport, NewInvitation, OutgoingBundle,
    RefusedBundle, SecondUse, SetAside, WaitingFor, WhyAside,
};
pub use facts::{FactWritten, InstrumentSpec, SpecField};
pub use frets::{FretFinding, FretState, KnownFret};
pub use growth::{face, version};
pub use ids::{EntryId, InstrumentId, SetupId, StepId, VersionId, VisitId};
pub use import::{
    CellVerdict, ImportDoubt, ImportLine, ImportOptions, ImportProblem, ImportReport, UsualReading,
};
pub use instrument::{Instrument, InstrumentDetails};
pub use languages::{languages, set_voice};
pub use learned::{
    ActionForecast, ClimateForecast, ClimateLack, Forecast, ForecastClimate, Interval, Learned,
    LearnedValue, LeftOut, PlayerTouch, ReaderLearned, ScrewLearned, SeasonLearned, TensionLearned,
    TouchHeard, TouchObserved, WhyLeftOut,
};
pub use meeting::{
    ByteStream, MeetOptions, MeetReport, MeetingFault, MeetingOutcome, MetInstrument, StreamError,
};
pub use new_entry::{NewBody, NewEntry};
pub use observe::{InterventionKind, Measurand, MeasurandKind, Repeatability, SeenReading, Wanted};
pub use other_strings::{NewNote, OtherStrings};
pub use people::{
    DeviceInfo, DeviceState, InvitationInfo, PeopleDeed, PeopleEvent, Person, Role,
    look_at_invitation,
};
pub use photos::{PhotoFetch, PhotoFetched, PhotoState, PhotoView};
pub use place::{Location, Moment, Quantity, Side, StringPlace};
pub use plan::{
    AgainstTarget, Caution, DriftPart, Hazard, NamedFact, NotDone, PartWay, Plan, PlanStep,
    PointsAt, RestsOn, RowOfUndersides, ScrewMove, SetupDrift, SizeFrom, StepKind, StepRemark,
    StepVerdict, StepWork, StopReason, WhyLook, WhyNot, WorkState,
};
pub use preferences::{InstrumentWays, Preferences, UsualTools};
pub use reading::{
    NewPass, NewReading, PassConditions, PassInfo, PassOptions, PassReading, Phase, Posture,
    Reading, ReadingKind, StoppedBy, Tool, ToolKind, location_label, quantity_label, tool_label,
    tool_name,
};
pub use reasons::{
    WhyBadInput, WhyBusy, WhyKeys, WhyNotAllowed, WhyReadOnly, WhyRefused, WhyStorage,
};
pub use scene::{
    Anchor, Colour, Dash, Look, Mark, MarkRole, Paint, Scene, Shape, Spot, Theme, look,
};
pub use screens::{
    ClearanceOpened, DeviceSettings, EntryForm, HistoryPage, PhotoPage, SharingState, StringsPage,
    ToSettle,
};
pub use series::SeriesPoint;
pub use settled::SettledBy;
pub use setups::{NewTarget, Setup, SetupName, Target};
pub use sheets::{Paper, SheetKind, SheetTexts};
pub use shop::{
    Care, Customer, DueAgain, FoundIn, FoundText, Job, JobPart, Money, OpenWork, ShopSpec,
    StringSet, TakenTargets, TargetSource, back_up, read_money, restore,
};
pub use spec::{
    BoardCurve, BridgeHeight, BridgeSpec, Clockwise, FittedString, FretsSpec, Handedness,
    InstrumentFamily, IntonationBy, JointFretSpec, NeckJoint, NutKind, PlacedScrew, RodAccess,
    RodKind, RodSpec, ScaleLength, ScrewPlace, ScrewSpec, StringConstruction, StringScale,
    StringSpec, Stringing, TunedString, UnitWeight, UnitWeightUnit,
};
pub use steps::StepWritten;
pub use strings::{
    BeforeStrings, ChecklistItem, ChecklistLine, MassBasis, ReliefGoes, SaddleMoves, SlotFit,
    StringForecast,
};
pub use sync::{
    ExchangeFault, HttpHeader, HttpRequest, HttpResponse, HttpTransport, InstrumentSync, RelayView,
    SyncBlocked, SyncOutcome, SyncReport, TransportError,
};
pub use touch::{PluckDirection, Touch, TouchBounds};
pub use turns::{Turn, TurnDirection, TurnedScrew, turns_text};
pub use undo::{Undoing, Undone, UndoneLine};
pub use voice::{LengthUnit, TemperatureUnit, Units, safe_text};
pub use workshop::{
    InstrumentSummary, Notice, NoticeKind, TemplateInfo, Workshop, WorkshopOptions, templates,
};
pub use write_options::WriteOptions;

uniffi::setup_scaffolding!("fallaway");

/// What every call of this crate answers.
pub(crate) type Result<T> = std::result::Result<T, FallawayError>;
