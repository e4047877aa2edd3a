//! Answers to the step that the plan asks for now: done, or could not be done.

use fallaway::advice::plan::{PlanStep, SettledBy};
use fallaway::advice::turns::TurnDirection;
use fallaway::record::EntryBody;
use fallaway::{Instrument, PassOptions, PlanView, StepDone};
use fallaway_text::{List, Phrase, names, plan as text, plan_page};

use super::advice::named;
use super::context::Context;
use super::{reading, visits};
use crate::cli::{CannotArgs, DoneArgs};
use crate::error::{Error, Outcome};
use crate::messages::bench as say;
use crate::parse::turns::{self, Sense};
use crate::parse::{minus, places};
use crate::render::TextTable;
use crate::voice;

/// Enters what the plan proposes now as done.
pub fn done(context: &mut Context<'_, '_>, args: &DoneArgs) -> Outcome {
    let instrument = context.instrument()?;
    let setup = named(&instrument, args.setup.as_deref())?;
    let view = instrument.plan(setup.as_ref())?;
    let steps = now(&view, args.string.as_deref())?;
    let turned = turned(&args.values)?;
    if turned.is_none() && !args.values.is_empty() {
        return read(context, &instrument, &view, &steps, &args.values);
    }
    if steps.iter().any(|step| matches!(step.settled_by, SettledBy::AsLeft { .. })) {
        return left(context, &instrument);
    }
    let is_read = |step: &&&PlanStep| matches!(step.settled_by, SettledBy::Readings { .. });
    if let Some(step) = steps.iter().find(is_read) {
        return Err(Error::Usage(say::done_by_reading(text::step(step, &view.spec).title)));
    }
    visits::another_visit(context, &instrument)?;
    let ids: Vec<_> = steps.iter().map(|step| view.id(step)).collect();
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
    context.stored_with(&instrument, &written.entries, &line, &TextTable::default())
}

/// Which way, if that is all that was said.
fn turned(words: &[String]) -> Outcome<Option<TurnDirection>> {
    let [word] = words else { return Ok(None) };
    let sense = turns::sense(word).map_err(Error::Usage)?;
    Ok(sense.map(|sense| match sense {
        Sense::Clockwise => TurnDirection::Clockwise,
        Sense::Anticlockwise => TurnDirection::Anticlockwise,
    }))
}

/// Enters what was read where the steps ask for readings.
fn read(
    context: &mut Context<'_, '_>,
    instrument: &Instrument,
    view: &PlanView,
    steps: &[&PlanStep],
    values: &[String],
) -> Outcome {
    let asked = |step: &&&PlanStep| match &step.settled_by {
        SettledBy::Readings { of } | SettledBy::AsLeft { of } => of.first().copied(),
        _ => None,
    };
    let Some((step, first)) = steps.iter().find_map(|step| Some((*step, asked(&step)?))) else {
        let title = steps.first().map(|step| text::step(step, &view.spec).title);
        return Err(Error::Usage(say::no_readings_now(title.unwrap_or_else(Phrase::empty))));
    };
    let wanted = steps.iter().flat_map(|step| match &step.settled_by {
        SettledBy::Readings { of } | SettledBy::AsLeft { of } => of.as_slice(),
        _ => &[],
    });
    let mut places: Vec<_> =
        wanted.filter(|one| one.quantity == first.quantity).map(|one| one.location).collect();
    places.sort_unstable();
    places.dedup();
    let places = voice::in_order(places);
    let line = minus::plain(&reading::joined(values));
    // All strings in one go, or those that are asked for.
    let usual = PassOptions::default();
    let pass = match instrument.read_pass_text(first.quantity, &line, None, &usual) {
        Ok(pass) if places.iter().any(|place| pass.at(*place).is_some()) => pass,
        _ => {
            let these = PassOptions { places, ..usual };
            instrument.read_pass_text(first.quantity, &line, None, &these)?
        }
    };
    visits::another_visit(context, instrument)?;
    let how = StepDone::reading([pass.clone()]);
    let written =
        context.sure(|options| instrument.done_together(&[view.id(step)], &how, options))?;
    let (line, table) = reading::confirmation(&pass, &view.spec);
    context.stored_with(instrument, &written.entries, &line, &table)
}

/// Marks all that stands as left.
pub fn as_left(context: &mut Context<'_, '_>) -> Outcome {
    let instrument = context.instrument()?;
    left(context, &instrument)
}

fn left(context: &mut Context<'_, '_>, instrument: &Instrument) -> Outcome {
    let written = instrument.as_left(context.options())?;
    let spec = instrument.details()?.spec;
    let again = written.then_measure.iter().map(|one| text::measurand(*one, &spec));
    let again = (!written.then_measure.is_empty()).then(|| List::semicolon(again));
    let what = written
        .entries
        .iter()
        .map(|id| match instrument.entry(&id.to_string())?.entry.body {
            EntryBody::Pass(pass) => Ok(names::quantity(pass.quantity)),
            _ => Ok(Phrase::empty()),
        })
        .collect::<Outcome<Vec<_>>>()?;
    let line = match again {
        None => say::left(List::comma(what)),
        Some(again) if what.is_empty() => say::left_none(again),
        Some(again) => say::left_but(List::comma(what), again),
    };
    if written.entries.is_empty() {
        return Err(Error::Refused(line));
    }
    context.stored_with(instrument, &written.entries, &line, &TextTable::default())
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
    context.stored(&instrument, id, &say::cannot(title, next))
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
