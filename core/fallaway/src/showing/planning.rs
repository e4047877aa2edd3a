//! The plan of an instrument, what changed on it, and what it has taught.

use fallaway_advice::compare::{self, ComparedAt, WhatChanged};
use fallaway_advice::learn::{self, Forecast, ForecastClimate, Learned, NoForecast};
use fallaway_advice::observe::{Input, with_input};
use fallaway_advice::plan;
use fallaway_advice::plan::Plan;
use fallaway_measure::LimitUnit;
use fallaway_record::{EntryId, InstrumentSpec, SetupId, State};
use fallaway_text::errors::{Accepted, NothingAccepted};
use fallaway_text::messages::errors as say;
use fallaway_text::{Phrase, Voice, changed, errors, forecast, learned, plan_page};

use crate::error::{Error, NotFoundKind, Result, field};
use crate::instrument::Instrument;
use crate::showing::views::{InstrumentId, SetupName};
use crate::writing::setups::chosen;

/// What to do next, and everything that it rests on.
#[derive(Debug, Clone)]
pub struct PlanView {
    /// The steps in the order of the work, each with its verdict.
    pub plan: Plan,
    /// The instrument's facts, from which its strings have their names.
    pub spec: InstrumentSpec,
    /// The setup whose targets are meant; `None` if the instrument has none.
    pub setup: Option<SetupName>,
    pub(crate) setup_id: SetupId,
    pub(crate) instrument: InstrumentId,
}

/// The air that a forecast can be made for: Celsius and percent of the table of wood moisture.
fn forecast_accepts(why: &NoForecast) -> Accepted {
    match why {
        NoForecast::NothingLearned => Accepted::nothing(NothingAccepted::Unwritten),
        NoForecast::ForecastClimate { humidity_percent, .. }
            if !(0.0..=100.0).contains(humidity_percent) =>
        {
            Accepted::from_to(0.0, 100.0, LimitUnit::Percent)
        }
        NoForecast::ForecastClimate { .. } => Accepted::from_to(-1.0, 71.0, LimitUnit::Celsius),
    }
}

impl PlanView {
    /// The plan as plain text.
    pub fn text(&self, voice: &Voice) -> String {
        plan_page::text(&self.plan, &self.spec, voice)
    }
}

/// What a comparison starts from, or goes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Occasion {
    /// The first readings of a visit.
    AsFound(EntryId),
    /// The last readings of a visit.
    AsLeft(EntryId),
    /// The targets of a setup.
    Setup(SetupId),
    /// The readings that are in force now.
    Today,
}

impl Occasion {
    const fn setup(&self) -> Option<&SetupId> {
        match self {
            Self::Setup(setup) => Some(setup),
            _ => None,
        }
    }

    const fn compared(&self) -> ComparedAt {
        match self {
            Self::AsFound(visit) => ComparedAt::AsFound(*visit),
            Self::AsLeft(visit) => ComparedAt::AsLeft(*visit),
            Self::Setup(_) => ComparedAt::Setup,
            Self::Today => ComparedAt::Today,
        }
    }
}

/// Something worked out from the record, with the sentences that say it.
#[derive(Debug, Clone)]
pub struct Explanation<T> {
    /// What was worked out, as data.
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
    /// What to turn, by how much, in which order and why, to bring the instrument to a setup (the
    /// default one if none is named). It goes by today's readings.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a setup that the instrument does not have; when the record
    /// cannot be read.
    pub fn plan(&self, setup: Option<&SetupId>) -> Result<PlanView> {
        let now = self.inner.clock.now().unix_s;
        self.inner.with_record(self.id, |_, loaded| {
            let state = loaded.state(now);
            let chosen = chosen(state.registers(), setup)?;
            let name = |id: &SetupId| state.registers().setup_name(id).to_owned();
            let named = chosen.as_ref().map(|id| SetupName { id: id.clone(), name: name(id) });
            let id = chosen.unwrap_or_else(SetupId::main);
            let plan = with_input(&state, &id, now, plan::plan);
            let spec = state.spec().clone();
            Ok(PlanView { plan, spec, setup: named, setup_id: id, instrument: self.id })
        })
    }

    /// What changed from one occasion to another: neck, joint, each saddle, each nut slot.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a setup or visit that the instrument does not have;
    /// [`Error::BadInput`] when one side has no readings, both are setups, or the instrument lacks a
    /// fact that the model needs; when the record cannot be read.
    pub fn what_changed(
        &self,
        before: &Occasion,
        after: &Occasion,
    ) -> Result<Explanation<WhatChanged>> {
        let setups = (before.setup(), after.setup());
        if let (Some(one), Some(other)) = setups
            && one != other
        {
            let other = Accepted::nothing(NothingAccepted::OtherValue);
            return Err(Error::bad_input(field("comparison"), say::compare_setups(), other));
        }
        self.with_advice(setups.0.or(setups.1), |state, input| {
            let sides = (before.compared(), after.compared());
            let changed = compare::what_changed(input, sides.0, sides.1).map_err(|e| match e {
                compare::CannotCompare::NoSuchVisit { visit } => {
                    Error::not_found(NotFoundKind::Visit, visit.to_string())
                }
                other => Error::unwritten("comparison", errors::cannot_compare(&other)),
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
            let screws = plan::screws_learned(input);
            let facts = Learned { screws, ..learn::learned_with(input, state) };
            let sentences = learned::sentences(&facts, state.spec());
            Ok(Explanation::new(facts, sentences, state))
        })
    }

    /// Relief and action to expect in each of the climates, and what to pack for.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a setup that the instrument does not have; [`Error::BadInput`] for a
    /// climate beyond what is known of wood, or when nothing has been learned of the seasons; when the
    /// record cannot be read.
    pub fn forecast(
        &self,
        climates: &[ForecastClimate],
        setup: Option<&SetupId>,
    ) -> Result<Explanation<Forecast>> {
        self.with_advice(setup, |state, input| {
            let facts = learn::forecast(input, climates).map_err(|why| {
                Error::bad_input(field("forecast"), forecast::none(&why), forecast_accepts(&why))
            })?;
            let sentences = forecast::sentences(&facts, state.spec());
            Ok(Explanation::new(facts, sentences, state))
        })
    }

    pub(crate) fn with_advice<T>(
        &self,
        setup: Option<&SetupId>,
        with: impl FnOnce(&State, &Input<'_>) -> Result<T>,
    ) -> Result<T> {
        let now = self.inner.clock.now().unix_s;
        self.inner.with_record(self.id, |_, loaded| {
            let state = loaded.state(now);
            let chosen = chosen(state.registers(), setup)?.unwrap_or_else(SetupId::main);
            with_input(&state, &chosen, now, |input| with(&state, input))
        })
    }
}
