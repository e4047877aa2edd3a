//! The plan of an instrument, what changed on it, and what it has taught.

use fallaway_advice::compare::{self, Occasion, WhatChanged};
use fallaway_advice::learn::{self, Forecast, ForecastClimate, Learned};
use fallaway_advice::observe::{Input, with_input};
use fallaway_advice::plan;
use fallaway_advice::plan::Plan;
use fallaway_record::{InstrumentSpec, SetupId, State};
use fallaway_text::{Phrase, Voice, changed, errors, forecast, learned, plan_page};

use crate::error::{Error, Result, field};
use crate::instrument::Instrument;
use crate::setups::known_setup;
use crate::views::InstrumentId;

/// What to do next, and everything that it rests on.
#[derive(Debug, Clone)]
pub struct PlanView {
    /// The steps.
    pub plan: Plan,
    /// The instrument's facts, from which its strings have their names.
    pub spec: InstrumentSpec,
    /// The setup whose targets are meant; `None` if the instrument has none.
    pub setup: Option<String>,
    pub(crate) setup_id: SetupId,
    pub(crate) instrument: InstrumentId,
}

impl PlanView {
    /// The plan as plain text.
    pub fn text(&self, voice: &Voice) -> String {
        plan_page::text(&self.plan, &self.spec, voice)
    }
}

/// Something worked out from the record, with the sentences that say it.
#[derive(Debug, Clone)]
pub struct Explanation<T> {
    /// The facts.
    pub facts: T,
    /// The instrument's facts, from which its strings have their names.
    pub spec: InstrumentSpec,
    /// What they come to, a sentence each.
    pub sentences: Vec<Phrase>,
}

impl<T> Explanation<T> {
    fn new(facts: T, sentences: Vec<Phrase>, state: &State) -> Self {
        Self { facts, spec: state.spec().clone(), sentences }
    }
}

impl Instrument {
    /// What to turn, by how much, in which order and why, to bring the instrument to a setup (by
    /// id or name; the first one if none is named). It goes by today's readings.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a setup that the instrument does not have; when the record
    /// cannot be read.
    pub fn plan(&self, setup: Option<&str>) -> Result<PlanView> {
        let now = self.inner.clock.now().unix_s;
        self.inner.with_record(self.id, |_, loaded| {
            let state = loaded.state(now);
            let chosen = match setup {
                Some(wanted) => Some(known_setup(state.registers(), wanted)?),
                None => state.registers().setups().keys().next().cloned(),
            };
            let setups = state.registers().setups();
            let name = chosen.as_ref().map(|id| {
                setups.get(id).and_then(|s| s.name.clone()).unwrap_or_else(|| id.to_string())
            });
            let id = chosen.unwrap_or_else(SetupId::main);
            let plan = with_input(&state, &id, now, plan::plan);
            let spec = state.spec().clone();
            Ok(PlanView { plan, spec, setup: name, setup_id: id, instrument: self.id })
        })
    }

    /// What changed from one occasion to another: neck, joint, each saddle, each nut slot.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a setup or visit that the instrument does not have;
    /// [`Error::BadInput`] when one side has no readings, or the instrument lacks a fact that the
    /// model needs; when the record cannot be read.
    pub fn what_changed(
        &self,
        setup: Option<&str>,
        from: Occasion,
        to: Occasion,
    ) -> Result<Explanation<WhatChanged>> {
        self.with_advice(setup, |state, input| {
            let changed = compare::what_changed(input, from, to).map_err(|e| match e {
                compare::CannotCompare::NoSuchVisit { visit } => {
                    Error::not_found("visit", visit.to_string())
                }
                other => Error::bad_input(field("comparison"), errors::cannot_compare(&other), ""),
            })?;
            let sentences = changed::sentences(&changed, state.spec());
            Ok(Explanation::new(changed, sentences, state))
        })
    }

    /// What this instrument, those who read it and those who play it have taught.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn learned(&self) -> Result<Explanation<Learned>> {
        self.with_advice(None, |state, input| {
            let facts = learn::learned_with(input, state);
            let sentences = learned::sentences(&facts, state.spec());
            Ok(Explanation::new(facts, sentences, state))
        })
    }

    /// Relief and action to expect in each of the airs, and what to pack for.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a setup that the instrument does not have; [`Error::BadInput`] for an
    /// air beyond what is known of wood, or when nothing has been learned of the seasons; when the
    /// record cannot be read.
    pub fn forecast(
        &self,
        setup: Option<&str>,
        airs: &[ForecastClimate],
    ) -> Result<Explanation<Forecast>> {
        self.with_advice(setup, |state, input| {
            let facts = learn::forecast(input, airs)
                .map_err(|why| Error::bad_input(field("forecast"), forecast::none(&why), ""))?;
            let sentences = forecast::sentences(&facts, state.spec());
            Ok(Explanation::new(facts, sentences, state))
        })
    }

    pub(crate) fn with_advice<T>(
        &self,
        setup: Option<&str>,
        with: impl FnOnce(&State, &Input<'_>) -> Result<T>,
    ) -> Result<T> {
        let now = self.inner.clock.now().unix_s;
        self.inner.with_record(self.id, |_, loaded| {
            let state = loaded.state(now);
            let chosen = match setup {
                Some(wanted) => known_setup(state.registers(), wanted)?,
                None => match state.registers().setups().keys().next() {
                    Some(id) => id.clone(),
                    None => SetupId::main(),
                },
            };
            with_input(&state, &chosen, now, |input| with(&state, input))
        })
    }
}
