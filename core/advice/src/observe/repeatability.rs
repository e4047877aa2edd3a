//! How well one reader repeats a reading with one kind of tool, and how far a reader's readings may
//! lie off as a whole.

use std::collections::HashMap;

use fallaway_measure::{Quantity, Tool, ToolKind};
use fallaway_record::Posture;

use super::done::Done;
use super::estimate::{Bound, Estimate, EstimateUnit};
use super::input::{EventKind, Input, Pass, TODAY_S};
use super::measurand::{Measurand, MeasurandKind};
use super::stale::disturbs;

/// Who, with what kind of tool.
pub type ReaderKey = (Option<String>, Option<ToolKind>);

/// How many readings' worth of trust the stated uncertainty of a tool gets (a choice).
pub(crate) const PRIOR_DEGREES: f64 = 4.0;
/// Two readings of one thing further apart than this many combined uncertainties are a slip, not
/// scatter (common practice, no source).
pub(crate) const SLIP: f64 = 5.0;
/// How large the offset of one reader with one kind of tool may be, one standard deviation in mm
/// (common practice, no source).
pub(crate) fn offset_mm(kind: Option<ToolKind>) -> f64 {
    match kind {
        Some(ToolKind::Feeler) => 0.01,
        Some(ToolKind::Caliper | ToolKind::DialGauge) => 0.02,
        _ => 0.06,
    }
}

/// How a reader with a kind of tool repeats a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeatability {
    /// From how many repeated readings.
    pub observations: usize,
    /// The standard deviation of one reading over what its tool states.
    pub over_stated: f64,
}

/// Fewer repeated readings than this say less than the tool's stated uncertainty, which counts as so
/// many.
const ENOUGH: usize = PRIOR_DEGREES as usize;

/// Of each reader with enough repeated readings, how they repeat: for the uncertainty of a reading.
pub(crate) fn repeats(
    input: &Input<'_>,
    interventions: &[Done],
) -> HashMap<ReaderKey, Repeatability> {
    let mut all: HashMap<ReaderKey, Vec<f64>> = HashMap::new();
    for Own { key, share, slip, .. } in own(input, interventions) {
        if !slip {
            all.entry(key).or_default().push(share);
        }
    }
    let enough = |(_, list): &(ReaderKey, Vec<f64>)| list.len() >= ENOUGH;
    all.into_iter()
        .filter(enough)
        .map(|(key, list)| {
            let over_stated = over_stated(&list);
            (key, Repeatability { observations: list.len(), over_stated })
        })
        .collect()
}

/// The standard deviation of one reading over the stated one: the tool's own counts as four.
pub(crate) fn over_stated(shares: &[f64]) -> f64 {
    let sum: f64 = shares.iter().map(|share| share * share).sum();
    ((PRIOR_DEGREES + sum) / (PRIOR_DEGREES + shares.len() as f64)).sqrt()
}

/// A repeated reading.
pub(crate) struct Own {
    pub key: ReaderKey,
    /// The difference over that of two readings as the tool states them.
    pub share: f64,
    pub event: usize,
    pub slip: bool,
}

/// Readings of one thing, twice by one reader with one kind of tool, with nothing done between.
pub(crate) fn own(input: &Input<'_>, interventions: &[Done]) -> Vec<Own> {
    // The last pass of each reader with each kind of tool, by what was read and how it lay.
    type Same<'a> = (Option<&'a str>, Quantity, Option<ToolKind>, Option<Posture>);
    let mut found = Vec::new();
    let mut last: HashMap<Same<'_>, usize> = HashMap::new();
    for (index, event) in input.events.iter().enumerate() {
        let EventKind::Pass(pass) = &event.what else { continue };
        let counts = MeasurandKind::of(pass.quantity)
            .is_some_and(|c| c == MeasurandKind::Relief || c.is_action() || c.is_nut());
        if event.retracted || !counts {
            continue;
        }
        let kind = pass.tool.map(Tool::kind);
        let same = (event.by.as_deref(), pass.quantity, kind, pass.posture);
        let Some(earlier) = last.insert(same, index) else { continue };
        let at = input.events.get(earlier).map_or(0, |e| e.at.unix_s);
        let near = (event.at.unix_s - at).abs() <= TODAY_S;
        if near && input.causality.precedes(earlier, index) {
            let key = (event.by.as_deref().map(str::to_owned), kind);
            own_of(input, interventions, (earlier, index), pass, &key, &mut found);
        }
    }
    found
}

fn own_of(
    input: &Input<'_>,
    interventions: &[Done],
    (earlier, later): (usize, usize),
    pass: &Pass<'_>,
    key: &ReaderKey,
    found: &mut Vec<Own>,
) {
    let from = interventions.partition_point(|d| d.event <= earlier);
    let to = interventions.partition_point(|d| d.event <= later);
    let between = interventions.get(from..to).unwrap_or_default();
    for read in pass.readings.iter() {
        let measurand = Measurand { quantity: pass.quantity, location: read.location };
        if between.iter().any(|d| disturbs(&d.intervention, measurand, &input.facts)) {
            continue;
        }
        let value = |event: usize| {
            let known = stated(input, event, measurand)?;
            let value = known.bound == Bound::Value && known.scale == EstimateUnit::Millimetre;
            value.then_some(known)
        };
        let Some((before, after)) = value(earlier).zip(value(later)) else { continue };
        let apart = after.minus(before);
        let share = apart.value / apart.standard_uncertainty.max(1e-3);
        found.push(Own { key: key.clone(), share, event: later, slip: share.abs() > SLIP });
    }
}

/// What a reading says with the uncertainty that its tool states, whoever read it.
fn stated(input: &Input<'_>, index: usize, measurand: Measurand) -> Option<Estimate> {
    let EventKind::Pass(pass) = &input.events.get(index)?.what else { return None };
    if pass.quantity != measurand.quantity {
        return None;
    }
    let read = pass.readings.iter().rev().find(|r| r.location == measurand.location)?;
    Estimate::of_reading(read.reading, pass.tool)
}
