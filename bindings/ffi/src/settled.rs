//! What settles a step of the plan.

use fallaway::advice::plan;

use crate::observe::{Context, Measurand};
use crate::{Adjustment, StringPlace, TurnedScrew};

/// What settles a step: what is to be written down for it. `done` writes what can be written without
/// asking.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum SettledBy {
    /// Nothing: nothing is left to do at it, or it waits for another step.
    Nothing,
    /// What was turned or moved.
    Adjustments {
        /// As it is proposed, up to the next reading: what `done` writes.
        adjustments: Vec<Adjustment>,
        /// The turns are a test that may go either way: `done` has to be told which way it went.
        either_way: bool,
    },
    /// A note that these strings were brought to pitch (all, if none is named), or a reading of pitch.
    Tuning {
        /// The strings to bring to pitch; empty means all.
        strings: Vec<StringPlace>,
    },
    /// A reading of each of these, for `done` to take.
    Readings {
        /// What is to be read, and where.
        of: Vec<Measurand>,
    },
    /// The final numbers: at least one of these, for `done` to take, with nothing done after it.
    AsLeft {
        /// What has a target, or else what was read today.
        of: Vec<Measurand>,
    },
    /// A target: `set_target`, `take_setup`.
    Target,
    /// A choice between the targets that people wrote apart: `settle`.
    Choice,
    /// Which way a screw works, as a fact of the instrument: `set_spec`.
    ScrewFact {
        /// The screw whose direction is to be written down.
        screw: TurnedScrew,
    },
    /// Nothing that is done at the bench: it is for a qualified repairer.
    Repairer,
    /// What came after this app was built.
    Newer,
}

impl Context<'_> {
    pub(crate) fn settled_by(&self, settled_by: &plan::SettledBy) -> SettledBy {
        use plan::SettledBy as Core;
        match settled_by {
            Core::Nothing => SettledBy::Nothing,
            Core::Adjustments { adjustments, either_way } => SettledBy::Adjustments {
                adjustments: adjustments.iter().map(Adjustment::from).collect(),
                either_way: *either_way,
            },
            Core::Tuning { strings } => SettledBy::Tuning {
                strings: strings.iter().copied().map(StringPlace::from).collect(),
            },
            Core::Readings { of } => SettledBy::Readings { of: self.all_to_read(of) },
            Core::AsLeft { of } => SettledBy::AsLeft { of: self.all_to_read(of) },
            Core::Target => SettledBy::Target,
            Core::Choice => SettledBy::Choice,
            Core::ScrewFact { screw } => SettledBy::ScrewFact { screw: screw.into() },
            Core::Repairer => SettledBy::Repairer,
        }
    }

    pub(crate) fn all_to_read(
        &self,
        measurands: &[fallaway::advice::observe::Measurand],
    ) -> Vec<Measurand> {
        measurands.iter().map(|one| self.to_read(*one)).collect()
    }
}
