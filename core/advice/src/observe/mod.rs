//! What was noted of an instrument, laid out for the questions that advice asks: what was read and
//! what was done, which readings still stand, and how well each number is known.
//!
//! Nothing here knows of a plan, a comparison or anything learned.

mod could_not;
mod courses;
mod crowns;
mod done;
mod estimate;
mod facts;
mod fitted_strings;
mod from_record;
mod index;
mod input;
mod intervention;
mod last_readings;
mod measurand;
mod observation;
mod repeatability;
mod so_far;
mod stale;
mod targets_from_visit;
mod usual_tolerance;

pub use could_not::NotDone;
pub(crate) use could_not::moving;
pub use crowns::Crowns;
pub use estimate::{Bound, COVERAGE, Estimate, EstimateUnit, in_notation};
pub(crate) use facts::POSTS;
pub use facts::{BridgeFacts, BridgeKind, Facts, Posts, RodFacts, StringFacts, TurnedScrew};
pub use from_record::{facts_of, intervention_of, of_spec, settled_spec, with_input};
pub use index::{Freshness, ReadingIndex};
pub use input::{
    Causality, Event, EventKind, InOrder, Input, ObservedPass, TODAY_S, TargetState, Wanted,
};
pub use intervention::{Intervention, InterventionKind};
pub use last_readings::{LastRead, last_readings};
pub use measurand::{Measurand, MeasurandKind, gap};
pub use observation::Observation;
pub use repeatability::{ReaderKey, Repeatability};
pub use so_far::SoFar;
pub use stale::{Reach, StaleRule, TABLE, When, again, disturbs};
pub use targets_from_visit::{NewTarget, targets_from_visit};
pub use usual_tolerance::usual_tolerance;

pub(crate) use done::{ACCLIMATISED_H, Done, UnknownTo, interventions};
pub(crate) use estimate::number;
pub(crate) use fitted_strings::FittedStrings;
pub(crate) use index::judge;

pub(crate) use repeatability::{Own, PRIOR_DEGREES, SLIP, offset_mm, over_stated, own};
