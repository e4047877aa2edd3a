//! Plan, next step, numbers card.

use fallaway::SetupView;
use fallaway::measure::Quantity;

use super::context::Context;
use crate::failure::Outcome;
use crate::json;
use crate::say::plan::Words;
use crate::say::{Ink, card as cards};

/// What to turn, by how much, in which order, and why.
pub fn plan(context: &mut Context<'_, '_>, setup: Option<&str>, all: bool) -> Outcome {
    let instrument = context.instrument()?;
    let (view, spec) = (instrument.plan(setup)?, instrument.view()?.spec);
    if context.common.json {
        return context.json(&json::plan(&view.plan, &spec));
    }
    let setups = instrument.setups()?;
    let chosen = setups.iter().find(|one| Some(&one.name) == view.setup.as_ref());
    let since = chosen.is_some_and(taken_from_readings);
    let words = Words::new(&spec, &view.facts);
    let mut paper = context.paper();
    if let (Some(name), 2..) = (&view.setup, setups.len()) {
        paper.line(&format!(
            "Toward \u{201c}{name}\u{201d} (another: fallaway plan --setup NAME)"
        ))?;
    }
    words.print(&view.plan, view.setup.as_deref(), since, all, &mut paper)?;
    if !all {
        paper.text(Ink::Quiet, "Every step in full: fallaway plan --all")?;
    }
    Ok(())
}

/// Whether the setup is one of numbers that were read on this instrument: only then does it say
/// something when they are read again and differ.
fn taken_from_readings(setup: &SetupView) -> bool {
    setup.targets.iter().any(|view| {
        matches!(view.target.quantity, Quantity::Relief { .. }) && view.target.taken_from.is_some()
    })
}

/// The next step, in one line.
pub fn next(context: &mut Context<'_, '_>, setup: Option<&str>) -> Outcome {
    let instrument = context.instrument()?;
    let (view, spec) = (instrument.plan(setup)?, instrument.view()?.spec);
    if context.common.json {
        return context.json(&view.plan.next_step().map(|step| json::step(step, &spec)));
    }
    let line = Words::new(&spec, &view.facts).next(&view.plan);
    context.paper().line(&line)?;
    Ok(())
}

/// The numbers.
pub fn card(context: &mut Context<'_, '_>, setup: Option<&str>, large: bool) -> Outcome {
    let card = context.instrument()?.card(setup)?;
    if context.common.json {
        return context.json(&json::card(&card));
    }
    let mut paper = context.paper();
    if large {
        cards::large_type(&card, &mut paper)?;
    } else {
        cards::table(&card, &mut paper)?;
    }
    Ok(())
}
