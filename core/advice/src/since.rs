//! What moved since the setup, and how much of it the relief explains.
//!
//! Wood moves with the seasons, and the cure for that is the rod; the saddles stay. What remains
//! after the relief's part, if it is common to all strings, points to the neck joint, the bridge or
//! its posts; on one string, to a saddle screw, a worn fret or slot; else it cannot be told.

use fallaway_measure::{Place, Quantity};

use crate::bench::Seen;
use crate::caution::Caution;
use crate::facts::NeckJoint;
use crate::known::{COVERAGE, Known};
use crate::plan::{Basis, Compared, Step, StepKind};
use crate::thing::Thing;
use crate::work::Work;

/// One string's action against the setup.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// What was compared.
    pub thing: Thing,
    /// The reading it rests on.
    pub seen: Option<Seen>,
    /// By how much it is off the setup.
    pub change: Known,
    /// How much of that the change of relief makes, saddles untouched, by the model of the neck.
    pub explained: Known,
    /// What is left.
    pub remainder: Known,
    /// Whether what is left lies beyond the target's tolerance and what the readings can tell.
    pub tells: bool,
}

/// Where the remainder points.
#[derive(Debug, Clone, PartialEq)]
pub enum Points {
    /// Nothing is left beyond what the readings can tell.
    Nowhere,
    /// All strings, alike: neck joint, bridge, posts.
    Common,
    /// One string: its saddle screw, a worn fret or slot.
    String(Place),
    /// It cannot be told.
    CannotBeTold,
}

/// What moved since the setup.
#[derive(Debug, Clone, PartialEq)]
pub struct Since {
    /// How relief was read.
    pub relief_way: Quantity,
    /// By how much the relief is off the setup.
    pub relief: Known,
    /// Each string's action.
    pub parts: Vec<Part>,
    /// Where the remainder points.
    pub points: Points,
    /// What can harm whoever follows it there.
    pub cautions: Vec<Caution>,
}

/// Compares the steps' readings with their targets. `None` without a relief that was read against a
/// target.
pub(crate) fn since(work: &Work<'_>, steps: &[Step]) -> Option<Since> {
    let (relief_thing, relief) = steps
        .iter()
        .filter(|s| s.kind == StepKind::Relief)
        .find_map(|s| Some((s.thing?, s.compared?)))?;
    let mut parts = Vec::new();
    for step in steps.iter().filter(|s| s.kind == StepKind::Action) {
        let (Some(thing), Some(compared)) = (step.thing, step.compared) else { continue };
        // A converted reading already has the relief in it.
        if compared.rests_on != Basis::Reading {
            continue;
        }
        let Some(part) = part(work, thing, step.seen.clone(), &compared, relief_thing, &relief)
        else {
            continue;
        };
        parts.push(part);
    }
    let points = points(&parts);
    let cautions = match (&points, work.facts.neck_joint) {
        (Points::Common, NeckJoint::Bolted | NeckJoint::Unknown) => vec![Caution::NeckScrewsSlack],
        _ => Vec::new(),
    };
    let (relief_way, relief) = (relief_thing.quantity, relief.off());
    Some(Since { relief_way, relief, parts, points, cautions })
}

pub(crate) fn part(
    work: &Work<'_>,
    thing: Thing,
    seen: Option<Seen>,
    compared: &Compared,
    relief_thing: Thing,
    relief: &Compared,
) -> Option<Part> {
    let model = match thing.place() {
        Some(place) => work.model(place)?,
        None => work.middle_model()?,
    };
    let ratio = model.per_relief(thing.quantity, relief_thing.quantity)?;
    let moved = relief.off();
    let explained = Known::mm(
        ratio.value * moved.value,
        (ratio.value * moved.standard_uncertainty).hypot(ratio.standard_uncertainty * moved.value),
    );
    let change = compared.off();
    let remainder = change.minus(explained);
    let tells = remainder.tells() && remainder.value.abs() > compared.tolerance;
    Some(Part { thing, seen, change, explained, remainder, tells })
}

fn points(parts: &[Part]) -> Points {
    let told: Vec<&Part> = parts.iter().filter(|p| p.tells).collect();
    match told.as_slice() {
        [] => Points::Nowhere,
        [one] if parts.len() > 1 => one.thing.place().map_or(Points::CannotBeTold, Points::String),
        many if many.len() == parts.len() && parts.len() > 1 && alike(many) => Points::Common,
        _ => Points::CannotBeTold,
    }
}

/// Whether all remainders are one, as far as the readings tell.
fn alike(parts: &[&Part]) -> bool {
    parts.iter().all(|a| {
        parts.iter().all(|b| {
            let apart = a.remainder.minus(b.remainder);
            apart.value.abs() <= COVERAGE * apart.standard_uncertainty
        })
    })
}
