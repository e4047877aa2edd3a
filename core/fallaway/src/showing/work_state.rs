//! Where the work on an instrument stands, for a row of a list.

use fallaway_advice::observe::with_input;
use fallaway_advice::plan::{self, StepKind};
use fallaway_record::SetupId;

use crate::error::Result;
use crate::instrument::Instrument;
use crate::writing::setups::chosen;

/// Where the work on an instrument stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WorkState {
    /// What the plan for the default setup asks for next; `None` if nothing is left.
    pub next: Option<StepKind>,
    /// Whether something is written that is not part of a change yet: it can still be erased.
    pub is_drafted: bool,
    /// How much has not been delivered yet, as [`Instrument::unsent`] counts; 0 while nobody else is there.
    pub unsent: usize,
}

impl Instrument {
    /// What is next, whether a draft is open, and what is unsent. It loads the record: ask for the rows that
    /// are seen.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn work_state(&self) -> Result<WorkState> {
        let now = self.inner.clock.now().unix_s;
        let unsent = self.unsent()?;
        self.inner.with_record(self.id, |_, loaded| {
            let state = loaded.state(now);
            let id = chosen(state.registers(), None)?.unwrap_or_else(SetupId::main);
            let plan = with_input(&state, &id, now, plan::plan);
            let shared = loaded.members.members().len() > 1;
            Ok(WorkState {
                next: plan.next_step().map(|step| step.kind),
                is_drafted: !loaded.draft.is_empty(),
                unsent: if shared { unsent } else { 0 },
            })
        })
    }
}
