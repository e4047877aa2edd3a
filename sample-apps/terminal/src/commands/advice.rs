//! Plan, next step, numbers card.

use fallaway::Instrument;
use fallaway::measure::Quantity;

use super::session::Session;
use crate::failure::Outcome;
use crate::json;
use crate::say::plan::Words;
use crate::say::{Ink, card as cards};

/// What to turn, by how much, in which order, and why.
pub fn plan(session: &mut Session<'_, '_>, setup: Option<&str>, all: bool) -> Outcome {
    let instrument = session.instrument()?;
    let (view, spec) = (instrument.plan(setup)?, instrument.view()?.spec);
    let (plan, words) = (&view.plan, Words::new(&spec, &view.facts));
    if session.common.json {
        return session.json(&json::plan(plan, &words));
    }
    let since = taken_from_readings(&instrument, setup)?;
    let mut paper = session.paper();
    words.print(plan, since, all, &mut paper)?;
    if !all {
        paper.text(Ink::Quiet, "Every step in full: fallaway plan --all")?;
    }
    Ok(())
}

/// Whether the setup is one of numbers that were read on this instrument: only then does it say
/// something when they are read again and differ.
fn taken_from_readings(instrument: &Instrument, setup: Option<&str>) -> Outcome<bool> {
    let setups = instrument.setups()?;
    let found = match setup {
        Some(name) => setups.iter().find(|one| one.name == name || one.id == name),
        None => setups.first(),
    };
    Ok(found.is_some_and(|setup| {
        setup.targets.iter().any(|view| {
            matches!(view.target.quantity, Quantity::Relief { .. })
                && view.target.taken_from.is_some()
        })
    }))
}

/// The next step, in one line.
pub fn next(session: &mut Session<'_, '_>, setup: Option<&str>) -> Outcome {
    let instrument = session.instrument()?;
    let (view, spec) = (instrument.plan(setup)?, instrument.view()?.spec);
    let (plan, words) = (&view.plan, Words::new(&spec, &view.facts));
    if session.common.json {
        return session.json(&plan.next_step().map(|step| json::step(step, &words)));
    }
    session.paper().line(&words.next(plan))?;
    Ok(())
}

/// The numbers.
pub fn card(session: &mut Session<'_, '_>, setup: Option<&str>, large: bool) -> Outcome {
    let card = session.instrument()?.card(setup)?;
    if session.common.json {
        return session.json(&json::card(&card));
    }
    let mut paper = session.paper();
    if large {
        cards::large_type(&card, &mut paper)?;
    } else {
        cards::table(&card, &mut paper)?;
    }
    Ok(())
}
