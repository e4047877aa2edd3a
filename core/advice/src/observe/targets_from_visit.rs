//! A setup from a visit: "these numbers are the ones".

use fallaway_measure::{Amount, Unit};
use fallaway_record::EntryId;

use super::estimate::{Bound, COVERAGE, Estimate, EstimateUnit};
use super::input::{EventKind, Input};
use super::measurand::Measurand;
use super::observation::Observation;
use super::stale::disturbs;
use super::usual_tolerance::usual_tolerance;

/// A target to be set.
#[derive(Debug, Clone, PartialEq)]
pub struct NewTarget {
    /// What was read, and is wanted so from now on.
    pub measurand: Measurand,
    /// The value, as it was read.
    pub wanted: Amount,
    /// How far a later reading may lie from it: what two readings with this tool can tell apart, in
    /// whole steps of its notation, and no more than is usual.
    pub tolerance: Amount,
    /// The reading it was taken from.
    pub from: Observation,
}

/// Targets from what a visit left: of each thing the reading marked as left, else the last one with
/// nothing done after it that disturbs it. Bounds, disagreeing and crossed-out readings give none.
///
/// `visit` is the entry that opened it.
pub fn targets_from_visit(input: &Input<'_>, visit: EntryId) -> Vec<NewTarget> {
    let Some(visit) = input.position(visit) else { return Vec::new() };
    let bench = super::index::ReadingIndex::new(input);
    let mut found: Vec<(NewTarget, bool)> = Vec::new();
    for (index, event) in input.events.iter().enumerate() {
        let EventKind::Pass(pass) = &event.what else { continue };
        if event.retracted || event.visit != Some(visit) {
            continue;
        }
        for read in pass.readings.iter() {
            let measurand = Measurand { quantity: pass.quantity, location: read.location };
            let Some(seen) = bench.seen(index, measurand) else { continue };
            let disturbed = bench.interventions.iter().any(|done| {
                !input.causality.precedes(done.event, index)
                    && input.events.get(done.event).is_some_and(|e| e.visit == Some(visit))
                    && disturbs(&done.intervention, measurand, &input.facts)
            });
            let before = found.iter().position(|(t, _)| t.measurand == measurand);
            let as_left = before.and_then(|b| found.get(b)).is_some_and(|(_, left)| *left);
            // What is marked as left stands against later working readings.
            if disturbed || (as_left && !pass.as_left) {
                continue;
            }
            if let Some(at) = before {
                found.remove(at);
            }
            found.extend(target(seen).map(|t| (t, pass.as_left)));
        }
    }
    found.into_iter().map(|(t, _)| t).collect()
}

fn target(from: Observation) -> Option<NewTarget> {
    if from.known.bound != Bound::Value {
        return None;
    }
    let wanted = match from.reading {
        fallaway_measure::Reading::Value(amount) => amount,
        // The middle of "goes, does not go".
        _ => middle(from.known)?,
    };
    let tolerance = tolerance(&from, wanted)?;
    Some(NewTarget { measurand: from.measurand, wanted, tolerance, from })
}

fn middle(known: Estimate) -> Option<Amount> {
    match known.scale {
        EstimateUnit::Millimetre => {
            Amount::decimal((known.value * 100.0).round() as i64, 2, Unit::Millimetre).ok()
        }
        EstimateUnit::Cent => {
            Amount::decimal((known.value * 10.0).round() as i64, 1, Unit::Cent).ok()
        }
    }
}

/// The least whole number of the tool's steps that two readings tell apart: 0.05 mm for leaves of
/// 0.01 mm. Never more than is usual: what a coarse tool leaves open is no reason to be content with it.
fn tolerance(from: &Observation, wanted: Amount) -> Option<Amount> {
    let least = COVERAGE * from.known.minus(from.known).standard_uncertainty;
    let told = Estimate { value: least, ..from.known };
    let usual = usual_tolerance(from.measurand.quantity, wanted);
    let most = Estimate::of_amount(usual)?.value;
    if least >= most {
        return Some(usual);
    }
    let told = super::estimate::written(told, from.reading, from.tool, f64::ceil)?;
    let coarser = Estimate::of_amount(told)?.value > most * (1.0 + 1e-9);
    Some(if coarser { usual } else { told })
}
