//! Answers to the step that the plan asks for now: done, or could not be done.

use fallaway::advice::plan::{PlanStep, SettledBy};
use fallaway::advice::turns::TurnDirection;
use fallaway::{Instrument, PlanView, StepDone};
use fallaway_text::{List, Phrase, plan as text, plan_page};

use super::advice::named;
use super::context::Context;
use crate::cli::{CannotArgs, DoneArgs, WayWord};
use crate::error::{Error, Outcome};
use crate::messages::bench as say;
use crate::parse::places;

/// Enters what the plan proposes now as done.
pub fn done(context: &mut Context<'_, '_>, args: &DoneArgs) -> Outcome {
    let instrument = context.instrument()?;
    let setup = named(&instrument, args.setup.as_deref())?;
    let view = instrument.plan(setup.as_ref())?;
    let steps = now(&view, args.string.as_deref())?;
    let is_read = |step: &&&PlanStep| {
        matches!(step.settled_by, SettledBy::Readings { .. } | SettledBy::AsLeft { .. })
    };
    if let Some(step) = steps.iter().find(is_read) {
        return Err(Error::Usage(say::done_by_reading(text::step(step, &view.spec).title)));
    }
    let ids: Vec<_> = steps.iter().map(|step| view.id(step)).collect();
    let turned = args.way.map(|way| match way {
        WayWord::Cw => TurnDirection::Clockwise,
        WayWord::Ccw => TurnDirection::Anticlockwise,
    });
    let how = StepDone { turned, ..StepDone::default() };
    let written = context.sure(|options| instrument.done_together(&ids, &how, options))?;
    let texts: Vec<Phrase> = written
        .entries
        .iter()
        .map(|id| Ok(instrument.entry(&id.to_string())?.text))
        .collect::<Outcome<_>>()?;
    let mut kinds: Vec<_> = written.then_measure.iter().filter_map(|one| one.kind()).collect();
    kinds.dedup();
    let what = List::semicolon(texts);
    let line = if kinds.is_empty() {
        say::done(what)
    } else {
        say::done_then(what, text::to_measure(&kinds))
    };
    stored(context, &instrument, written.entries.last().copied(), &line)
}

/// Enters that the step of now could not be done, and why.
pub fn cannot(context: &mut Context<'_, '_>, args: &CannotArgs) -> Outcome {
    let instrument = context.instrument()?;
    let setup = named(&instrument, args.setup.as_deref())?;
    let view = instrument.plan(setup.as_ref())?;
    let steps = now(&view, args.string.as_deref())?;
    let Some(step) = steps.first() else { return Ok(()) };
    let id = instrument.could_not(view.id(step), &args.reason, context.options())?;
    let after = instrument.plan(setup.as_ref())?;
    let next = plan_page::next_line(&after.plan, &after.spec);
    let title = text::step(step, &view.spec).title;
    stored(context, &instrument, Some(id), &say::cannot(title, next))
}

fn stored(
    context: &mut Context<'_, '_>,
    instrument: &Instrument,
    id: Option<fallaway::record::EntryId>,
    line: &Phrase,
) -> Outcome {
    match id {
        Some(id) => context.stored(instrument, id, line),
        None => Ok(()),
    }
}

/// The steps that the plan shows as next, or the one of them of a string.
fn now<'v>(view: &'v PlanView, string: Option<&str>) -> Outcome<Vec<&'v PlanStep>> {
    let steps = plan_page::now(&view.plan);
    let place = string.map(|string| places::string_of(string, &view.spec));
    let place = place.transpose().map_err(Error::Usage)?;
    let here = |step: &&PlanStep| place.is_none() || step.place() == place;
    let steps: Vec<&PlanStep> = steps.into_iter().filter(here).collect();
    if steps.is_empty() {
        return Err(Error::Refused(match string {
            Some(string) => say::no_step_of(string.to_owned()),
            None => plan_page::nothing_left(&view.plan),
        }));
    }
    Ok(steps)
}
