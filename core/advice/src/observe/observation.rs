//! A reading, with everything that is to be known of it.

use fallaway_measure::{Reading, Tool};
use fallaway_record::{EntryId, Moment, Posture};

use super::estimate::{Bound, Estimate};
use super::measurand::{Measurand, MeasurandKind};
use super::repeatability::Repeatability;

/// A reading with what is to be known of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    /// The entry that holds it.
    pub entry: EntryId,
    /// The position of its entry in the list of events.
    pub(crate) event: usize,
    /// What was read.
    pub measurand: Measurand,
    /// What was seen, as entered.
    pub reading: Reading,
    /// What it says, with the tool's uncertainty.
    pub known: Estimate,
    /// The tool that was used; `None` if that was not said.
    pub tool: Option<Tool>,
    /// How the instrument lay.
    pub posture: Option<Posture>,
    /// Who read it: a free label; `None` if that was not said.
    pub by: Option<String>,
    /// When, by the writer's clock.
    pub at: Moment,
    /// Whether the record shows that the strings were at pitch.
    pub tuned: bool,
    /// How its reader repeats a reading with that kind of tool, if the record shows it: then `known`
    /// takes it into account.
    pub repeats: Option<Repeatability>,
}

impl Observation {
    /// Whether it is of a string or a neck that touches: that reads nothing, which does not say how hard.
    pub(crate) fn touches(&self) -> bool {
        let gap = |kind: MeasurandKind| kind == MeasurandKind::Relief || kind.is_action();
        self.known.bound == Bound::Value
            && self.known.value == 0.0
            && self.measurand.kind().is_some_and(gap)
    }

    /// Whether it is a number, and not one side of one.
    pub(crate) fn is_value(&self) -> bool {
        self.known.bound == Bound::Value && !self.touches()
    }
}
