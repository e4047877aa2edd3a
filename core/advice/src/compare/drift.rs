//! What moved since the setup, and how much of it the relief explains.
//!
//! Wood moves with the seasons, and the cure for that is the rod; the saddles stay. What remains
//! after the relief's part, if it is common to all strings, points to the neck joint, the bridge or
//! its posts; on one string, to a saddle screw, a worn fret or slot; else it cannot be told.

use fallaway_measure::{Quantity, StringPlace};

use super::against_target::{AgainstTarget, RestsOn};
use super::models::StringModels;
use crate::hazard::Hazard;
use crate::observe::{COVERAGE, Estimate, Measurand, Observation};

/// One string's action against the setup.
#[derive(Debug, Clone, PartialEq)]
pub struct DriftPart {
    /// What was compared.
    pub measurand: Measurand,
    /// The reading it rests on.
    pub seen: Option<Observation>,
    /// By how much it is off the setup.
    pub change: Estimate,
    /// How much of that the change of relief makes, saddles untouched, by the model of the neck.
    pub explained: Estimate,
    /// What the relief does not explain: `change` minus `explained`.
    pub remainder: Estimate,
    /// Whether what is left lies beyond the target's tolerance and what the readings can tell.
    pub tells: bool,
    /// One reading says so: it may be misread.
    pub once: bool,
}

/// Where the remainder points.
#[derive(Debug, Clone, PartialEq)]
pub enum PointsAt {
    /// Nothing is left beyond what the readings can tell.
    NothingLeft,
    /// All strings, alike: neck joint, bridge, posts.
    Common,
    /// One string, alone or unlike the others, which are alike: its saddle screw, a worn fret or slot.
    OneString(StringPlace),
    /// It cannot be told.
    CannotBeTold,
}

/// What moved since the setup, or is off what is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct SetupDrift {
    /// Whether the targets were taken from what a visit left: then the instrument has moved since. Else
    /// it may never have stood there.
    pub was_there: bool,
    /// How relief was read.
    pub relief_way: Quantity,
    /// By how much the relief is off the setup.
    pub relief: Estimate,
    /// The action of each string against the setup.
    pub parts: Vec<DriftPart>,
    /// Where the remainder points.
    pub points_at: PointsAt,
    /// What can harm whoever follows it there.
    pub cautions: Vec<Hazard>,
}

/// One measurand, read and compared with its target.
#[derive(Debug, Clone)]
pub(crate) struct DriftLine<'a> {
    pub measurand: Measurand,
    pub seen: Option<&'a Observation>,
    pub compared: AgainstTarget,
}

/// Compares actions with their targets, by the relief against its own.
pub(crate) fn drift(
    models: &StringModels,
    screwed_on: bool,
    was_there: bool,
    relief: &DriftLine<'_>,
    actions: &[DriftLine<'_>],
) -> SetupDrift {
    let mut parts = Vec::new();
    for DriftLine { measurand, seen, compared } in actions {
        // A converted reading already has the relief in it.
        if compared.rests_on != RestsOn::Reading {
            continue;
        }
        parts.extend(part(models, *measurand, seen.cloned(), compared, relief));
    }
    let points_at = points_at(&parts);
    let cautions = match (&points_at, screwed_on) {
        (PointsAt::Common, true) => vec![Hazard::NeckScrewsSlack],
        _ => Vec::new(),
    };
    let relief_way = relief.measurand.quantity;
    SetupDrift { was_there, relief_way, relief: relief.compared.off(), parts, points_at, cautions }
}

/// One string: how much of its change the relief explains. `None` without a model of its neck.
pub(crate) fn part(
    models: &StringModels,
    measurand: Measurand,
    seen: Option<Observation>,
    compared: &AgainstTarget,
    relief: &DriftLine<'_>,
) -> Option<DriftPart> {
    let model = match measurand.place() {
        Some(place) => models.of_string(place)?,
        None => models.middle()?,
    };
    let ratio = model.per_relief(measurand.quantity, relief.measurand.quantity)?;
    let moved = relief.compared.off();
    let explained = Estimate::mm(
        ratio.value * moved.value,
        (ratio.value * moved.standard_uncertainty).hypot(ratio.standard_uncertainty * moved.value),
    );
    let change = compared.off();
    let remainder = change.minus(explained);
    let tells = remainder.tells() && remainder.value.abs() > compared.tolerance;
    Some(DriftPart { measurand, seen, change, explained, remainder, tells, once: true })
}

fn points_at(parts: &[DriftPart]) -> PointsAt {
    let told: Vec<&DriftPart> = parts.iter().filter(|p| p.tells).collect();
    match told.as_slice() {
        [] => PointsAt::NothingLeft,
        [one] if parts.len() > 1 => {
            one.measurand.place().map_or(PointsAt::CannotBeTold, PointsAt::OneString)
        }
        many if many.len() == parts.len() && parts.len() > 1 && alike(many) => PointsAt::Common,
        _ => stands_apart(parts).map_or(PointsAt::CannotBeTold, PointsAt::OneString),
    }
}

/// The one string of which something is left that the others, alike among themselves, do not share: what they
/// share may be the model's, or the neck joint's.
fn stands_apart(parts: &[DriftPart]) -> Option<StringPlace> {
    let apart = |one: &&DriftPart| {
        let others: Vec<&DriftPart> =
            parts.iter().filter(|p| p.measurand.place() != one.measurand.place()).collect();
        let differs = |other: &&DriftPart| one.remainder.minus(other.remainder).tells();
        one.tells && others.len() > 1 && alike(&others) && others.iter().all(differs)
    };
    parts.iter().find(apart)?.measurand.place()
}

/// Whether all remainders are one, as far as the readings tell.
fn alike(parts: &[&DriftPart]) -> bool {
    parts.iter().all(|a| {
        parts.iter().all(|b| {
            let apart = a.remainder.minus(b.remainder);
            apart.value.abs() <= COVERAGE * apart.standard_uncertainty
        })
    })
}
