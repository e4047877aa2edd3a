//! A reading, with everything that is to be known of it.

use fallaway_measure::{Reading, Tool};
use fallaway_record::{Moment, Posture};

use super::estimate::Estimate;
use super::measurand::Measurand;
use super::repeatability::Repeatability;

/// A reading outside a visit, or in one that has ended, is of today for this long: 16 hours.
pub const TODAY_S: i64 = 16 * 3600;
/// A reading in a visit that is still open is of today for this long: a week on the bench.
pub const BENCH_S: i64 = 7 * 24 * 3600;

/// A reading with what is to be known of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    /// The position of its entry in the list of events.
    pub event: usize,
    /// What was read.
    pub measurand: Measurand,
    /// What was seen, as entered.
    pub reading: Reading,
    /// What it says, with the tool's uncertainty.
    pub known: Estimate,
    /// With what.
    pub tool: Option<Tool>,
    /// How the instrument lay.
    pub posture: Option<Posture>,
    /// By whom.
    pub by: Option<String>,
    /// When, by the writer's clock.
    pub at: Moment,
    /// Whether the record shows that the strings were at pitch.
    pub tuned: bool,
    /// How its reader repeats a reading with that kind of tool, if the record shows it: then `known`
    /// reckons with it.
    pub repeats: Option<Repeatability>,
}
