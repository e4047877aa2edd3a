//! Steps of the plan that answer: done as proposed, done otherwise, could not be done.

use std::fmt;
use std::str::FromStr;

use data_encoding::HEXLOWER;
use fallaway_advice::observe::{Measurand, with_input};
use fallaway_advice::plan::{self, PlanStep, SettledBy, StepVerdict};
use fallaway_advice::turns::{TurnDirection, sign};
use fallaway_measure::Decimal;
use fallaway_record::{
    Adjustment, EntryBody, EntryId, Pass, Phase, Remark, SetupId, State, Tuning, Turns,
};
use fallaway_text::errors::{Accepted, NothingAccepted};
use fallaway_text::messages::errors as say;
use fallaway_text::{List, Phrase, plan as text};

use crate::error::{Error, Result, field};
use crate::instrument::Instrument;
use crate::keeping::workshop_state::Edit;
use crate::showing::planning::PlanView;
use crate::showing::views::InstrumentId;
use crate::writing::write_options::WriteOptions;

/// Bytes of the id that name the setup.
const SETUP: usize = 4;

/// Names a step of a plan: made of the instrument, the setup, what the step is about, what it proposes
/// and the readings and targets that it rests on. The same step has the same id in every plan, until
/// something of that changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct StepId([u8; 12]);

impl StepId {
    fn of(instrument: InstrumentId, setup: &SetupId, step: &PlanStep) -> Self {
        let mut id = [0; 12];
        let setup = blake3::hash(setup.as_str().as_bytes());
        let basis = format!("{instrument} {}", basis(step));
        let step = blake3::hash(basis.as_bytes());
        let bytes = setup.as_bytes().iter().take(SETUP).chain(step.as_bytes());
        for (to, from) in id.iter_mut().zip(bytes) {
            *to = *from;
        }
        Self(id)
    }

    fn may_be_of(self, setup: &SetupId) -> bool {
        let setup = blake3::hash(setup.as_str().as_bytes());
        self.0.iter().zip(setup.as_bytes()).take(SETUP).all(|(own, other)| own == other)
    }
}

/// What a step is about, what it proposes, and what it rests on.
fn basis(step: &PlanStep) -> String {
    let target = step.target.as_ref().map(|target| (target.wanted, target.tolerance));
    let seen = step.seen.as_ref().map(|seen| seen.entry);
    let verdict = match &step.verdict {
        StepVerdict::Adjust(work) => {
            let moves: Vec<_> = work.moves.iter().map(|one| (&one.screw, one.turn)).collect();
            format!("{:?} {moves:?}", work.way)
        }
        StepVerdict::MeasureAgain { entry, .. } => format!("again {entry}"),
        StepVerdict::Disagree { readings } => {
            let entries: Vec<EntryId> = readings.iter().map(|one| one.entry).collect();
            format!("disagree {entries:?}")
        }
        StepVerdict::TwoValues { values } => {
            let values: Vec<_> = values.iter().map(|one| (one.wanted, one.tolerance)).collect();
            format!("values {values:?}")
        }
        StepVerdict::Wait { after, of, .. } => format!("{after:?} {of:?}"),
        StepVerdict::ReadAgain { .. } => "read again".to_owned(),
        StepVerdict::CouldNot { tried } => format!("could not {}", tried.entry),
        other @ (StepVerdict::Fine
        | StepVerdict::Same
        | StepVerdict::NoCloser
        | StepVerdict::Measure
        | StepVerdict::MeasureWithAnother
        | StepVerdict::MeasureFiner
        | StepVerdict::LookAtScrew { .. }
        | StepVerdict::NotApplicable { .. }
        | StepVerdict::Stop { .. }) => format!("{other:?}"),
    };
    format!("{:?} {:?} {target:?} {seen:?} {verdict}", step.kind, step.measurand)
}

impl fmt::Display for StepId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&HEXLOWER.encode(&self.0))
    }
}

impl FromStr for StepId {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        let bytes = HEXLOWER.decode(text.trim().as_bytes()).ok();
        let id = bytes.and_then(|bytes| bytes.try_into().ok()).map(Self);
        id.ok_or_else(|| {
            let accepted = Accepted::like(&Self([0; 12]).to_string());
            Error::bad_input(field("step"), say::not_a_step(text.to_owned()), accepted)
        })
    }
}

impl PlanView {
    /// The id of one of its steps, by which [`Instrument::done`] and its siblings take it.
    pub fn id(&self, step: &PlanStep) -> StepId {
        StepId::of(self.instrument, &self.setup_id, step)
    }

    /// The step with an id, if it is in this plan.
    pub fn step(&self, id: StepId) -> Option<&PlanStep> {
        self.plan.steps.iter().find(|step| self.id(step) == id)
    }
}

/// What the plan cannot know of how a step was done.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StepDone {
    /// Which way the screw was turned, where the step is a test that may go either way.
    pub turned: Option<TurnDirection>,
    /// What was read, where the step asks for readings; those of the last step are marked as left.
    pub readings: Vec<Pass>,
}

impl StepDone {
    /// With what was read.
    pub fn reading(readings: impl IntoIterator<Item = Pass>) -> Self {
        Self { turned: None, readings: readings.into_iter().collect() }
    }

    /// The test was turned this way.
    pub const fn turned(direction: TurnDirection) -> Self {
        Self { turned: Some(direction), readings: Vec::new() }
    }
}

/// What settling a step wrote.
#[derive(Debug, Clone, PartialEq)]
pub struct StepWritten {
    /// The entries, in the order in which they were written.
    pub entries: Vec<EntryId>,
    /// What is to be measured next, in the order of the work.
    pub then_measure: Vec<Measurand>,
}

impl Instrument {
    /// A step was done as it was proposed: writes exactly that (a turn with its screw, direction and
    /// amount; that strings were tuned; what was read), in one durable commit.
    ///
    /// # Errors
    /// [`Error::PlanMoved`] if the step is not in the plan any more: what it rests on has changed since
    /// it was shown. [`Error::BadInput`] for a test without the way in which it was turned, for a step
    /// that asks for readings without one of them, and for a step that nothing can be written for.
    /// [`Error::Unsure`] as [`Instrument::add_pass`]; whatever an edit answers.
    pub fn done(
        &self,
        step: StepId,
        how: &StepDone,
        options: impl Into<WriteOptions>,
    ) -> Result<StepWritten> {
        self.done_together(&[step], how, options)
    }

    /// The same of several steps that are done in one go, such as all saddles. What they share (one
    /// saddle under two strings, one post under all) is written once.
    ///
    /// # Errors
    /// As [`Instrument::done`].
    pub fn done_together(
        &self,
        steps: &[StepId],
        how: &StepDone,
        options: impl Into<WriteOptions>,
    ) -> Result<StepWritten> {
        let options = options.into();
        self.inner.edit(self.id, |edit| {
            let (found, spec) = self.found(edit, steps)?;
            let mut bodies: Vec<EntryBody> = Vec::new();
            let mut written = StepWritten { entries: Vec::new(), then_measure: Vec::new() };
            for step in &found {
                for body in proposed(step, how, &spec)? {
                    if !bodies.contains(&body) {
                        bodies.push(body);
                    }
                }
                for measurand in &step.then_measure {
                    if !written.then_measure.contains(measurand) {
                        written.then_measure.push(*measurand);
                    }
                }
            }
            for body in &bodies {
                written.entries.push(edit.write(body, &options)?);
            }
            Ok(written)
        })
    }

    /// Something else was done instead of what a step proposed: writes that down.
    ///
    /// # Errors
    /// [`Error::PlanMoved`] as [`Instrument::done`]; [`Error::BadInput`] for nothing; whatever an edit
    /// answers.
    pub fn did_otherwise(
        &self,
        step: StepId,
        what: &[EntryBody],
        options: impl Into<WriteOptions>,
    ) -> Result<StepWritten> {
        let options = options.into();
        self.inner.edit(self.id, |edit| {
            let (found, _) = self.found(edit, &[step])?;
            if what.is_empty() {
                return Err(Error::unwritten("step", say::nothing_was_said()));
            }
            let entries = what.iter().map(|body| edit.write(body, &options));
            let entries = entries.collect::<Result<_>>()?;
            let then_measure = found.into_iter().flat_map(|step| step.then_measure).collect();
            Ok(StepWritten { entries, then_measure })
        })
    }

    /// A step could not be done: a screw does not turn, there is no room for the tool. The reason goes
    /// into the history, and the plan of today goes on without the step; the next visit is told of it.
    /// Crossed out, or done after all, it no longer counts.
    ///
    /// # Errors
    /// [`Error::PlanMoved`] as [`Instrument::done`]; [`Error::BadInput`] for an empty reason, and for a
    /// step at which there is nothing to try; whatever an edit answers.
    pub fn could_not(
        &self,
        step: StepId,
        reason: &str,
        options: impl Into<WriteOptions>,
    ) -> Result<EntryId> {
        let options = options.into();
        self.inner.edit(self.id, |edit| {
            let (found, spec) = self.found(edit, &[step])?;
            let step = found.first().ok_or_else(|| moved(step))?;
            let could_not = plan::could_not(step).ok_or_else(|| nothing_to_write(step, &spec))?;
            let remark = Remark {
                text: reason.trim().to_owned(),
                could_not: Some(could_not),
                ..Remark::default()
            };
            edit.write(&EntryBody::Remark(remark), &options)
        })
    }

    /// The steps as the plan of now has them.
    fn found(
        &self,
        edit: &Edit<'_>,
        ids: &[StepId],
    ) -> Result<(Vec<PlanStep>, fallaway_record::InstrumentSpec)> {
        let state = edit.loaded.state(edit.at.unix_s);
        let mut plans: Vec<(SetupId, Vec<PlanStep>)> = Vec::new();
        let find = |id: &StepId| {
            for setup in setups(&state) {
                if !id.may_be_of(&setup) {
                    continue;
                }
                if !plans.iter().any(|(known, _)| *known == setup) {
                    let plan = with_input(&state, &setup, edit.at.unix_s, plan::plan);
                    plans.push((setup.clone(), plan.steps));
                }
                let steps = plans.iter().find(|(known, _)| *known == setup);
                let steps = steps.map(|(_, steps)| steps.as_slice()).unwrap_or_default();
                let same = |step: &&PlanStep| StepId::of(self.id, &setup, step) == *id;
                if let Some(step) = steps.iter().find(same) {
                    return Ok(step.clone());
                }
            }
            Err(moved(*id))
        };
        let found = ids.iter().map(find).collect::<Result<_>>()?;
        Ok((found, state.spec().clone()))
    }
}

/// Every setup for which a plan may have been made.
fn setups(state: &State) -> Vec<SetupId> {
    let mut setups: Vec<SetupId> = state.registers().setups().keys().cloned().collect();
    if setups.is_empty() {
        setups.push(SetupId::main());
    }
    setups
}

fn moved(step: StepId) -> Error {
    Error::PlanMoved { step: step.to_string() }
}

/// What a step proposes, as entries.
fn proposed(
    step: &PlanStep,
    how: &StepDone,
    spec: &fallaway_record::InstrumentSpec,
) -> Result<Vec<EntryBody>> {
    match &step.settled_by {
        SettledBy::Adjustments { adjustments, .. } if adjustments.is_empty() => {
            Err(nothing_to_write(step, spec))
        }
        SettledBy::Adjustments { adjustments, either_way: false } => {
            Ok(adjustments.iter().cloned().map(EntryBody::Adjustment).collect())
        }
        SettledBy::Adjustments { adjustments, either_way: true } => {
            let Some(way) = how.turned else {
                let ways = [TurnDirection::Clockwise, TurnDirection::Anticlockwise];
                let either = Accepted::one_of(["clockwise", "anticlockwise"])
                    .said(List::or(ways.map(text::direction)));
                return Err(Error::bad_input(field("direction"), say::which_way(), either));
            };
            let turned = |one: &Adjustment| Adjustment {
                turns: one.turns.map(|turns| turned(turns, way)),
                ..one.clone()
            };
            Ok(adjustments.iter().map(turned).map(EntryBody::Adjustment).collect())
        }
        SettledBy::Tuning { .. } if !how.readings.is_empty() => {
            Ok(how.readings.iter().cloned().map(EntryBody::Pass).collect())
        }
        SettledBy::Tuning { strings } => {
            let tuning = Tuning { strings: strings.clone(), ..Tuning::default() };
            Ok(vec![EntryBody::Tuning(tuning)])
        }
        SettledBy::Readings { of } => readings(how, of, None, spec),
        SettledBy::AsLeft { of } => readings(how, of, Some(Phase::AsLeft), spec),
        SettledBy::Nothing
        | SettledBy::Target
        | SettledBy::Choice
        | SettledBy::ScrewFact { .. }
        | SettledBy::Repairer => Err(nothing_to_write(step, spec)),
    }
}

/// The readings that a step asks for: at least one of them.
fn readings(
    how: &StepDone,
    of: &[Measurand],
    phase: Option<Phase>,
    spec: &fallaway_record::InstrumentSpec,
) -> Result<Vec<EntryBody>> {
    let is_asked = |pass: &Pass| {
        let at = |location| Measurand { quantity: pass.quantity, location };
        of.is_empty() || pass.readings.iter().any(|read| of.contains(&at(read.location)))
    };
    if !how.readings.iter().any(is_asked) {
        let wanted = List::semicolon(of.iter().map(|one| text::measurand(*one, spec)));
        let examples = of.first().map_or("", |one| one.quantity.dimension().examples());
        let accepted = Accepted::like(examples).said(wanted);
        return Err(Error::bad_input(field("readings"), say::no_readings_given(), accepted));
    }
    let mut passes = how.readings.clone();
    if phase.is_some() {
        for pass in &mut passes {
            pass.phase = phase;
        }
    }
    Ok(passes.into_iter().map(EntryBody::Pass).collect())
}

fn turned(turns: Turns, way: TurnDirection) -> Turns {
    let amount = turns.amount();
    let back = sign(way) < 0.0;
    let digits = if back { -amount.digits().abs() } else { amount.digits().abs() };
    Decimal::new(digits, amount.places()).ok().and_then(Turns::exact).unwrap_or(turns)
}

fn nothing_to_write(step: &PlanStep, spec: &fallaway_record::InstrumentSpec) -> Error {
    let title: Phrase = text::step(step, spec).title;
    let already = Accepted::nothing(NothingAccepted::Already);
    Error::bad_input(field("step"), say::nothing_to_write(title), already)
}
