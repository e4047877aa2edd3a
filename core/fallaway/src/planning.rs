//! The plan of an instrument.

use fallaway_advice::facts::Facts;
use fallaway_advice::from_record::with_input;
use fallaway_advice::plan::Plan;
use fallaway_advice::{plan, words};
use fallaway_record::SetupId;

use crate::error::Result;
use crate::instrument::Instrument;
use crate::setups::known_setup;

/// What to do next, and everything that it rests on.
#[derive(Debug, Clone)]
pub struct PlanView {
    /// The steps.
    pub plan: Plan,
    /// The instrument as the plan reckons with it; [`crate::advice::words`] needs it.
    pub facts: Facts,
    /// The setup whose targets are meant; `None` if the instrument has none.
    pub setup: Option<String>,
}

impl PlanView {
    /// The plan as plain text.
    pub fn text(&self) -> String {
        words::text(&self.plan, &self.facts)
    }
}

impl Instrument {
    /// What to turn, by how much, in which order and why, to bring the instrument to a setup (by
    /// id or name; the first one if none is named). It goes by today's readings.
    ///
    /// # Errors
    /// [`crate::Error::NotFound`] for a setup that the instrument does not have; when the record
    /// cannot be read.
    pub fn plan(&self, setup: Option<&str>) -> Result<PlanView> {
        let now = self.inner.clock.now().unix_s;
        self.inner.with_book(self.id, |_, book| {
            let state = book.state(now);
            let chosen = match setup {
                Some(wanted) => Some(known_setup(&state, wanted)?),
                None => state.registers().setups().keys().next().cloned(),
            };
            let setups = state.registers().setups();
            let name = chosen.as_ref().map(|id| {
                setups.get(id).and_then(|s| s.name.clone()).unwrap_or_else(|| id.to_string())
            });
            let id = chosen.unwrap_or_else(SetupId::main);
            let (plan, facts) =
                with_input(&state, &id, now, |input| (plan(input), input.facts.clone()));
            Ok(PlanView { plan, facts, setup: name })
        })
    }
}
