//! How well one reader repeats a reading with one kind of tool, and how far a reader's readings may
//! lie off as a whole.

use std::collections::HashMap;

use fallaway_measure::{Quantity, Reading, Tool, ToolKind};
use fallaway_order::PutInOrder as _;
use fallaway_record::Posture;

use super::done::{Done, live};
use super::estimate::{Bound, Estimate, EstimateUnit};
use super::input::{Event, EventKind, Input, ObservedPass, TODAY_S};
use super::measurand::{Measurand, MeasurandKind};
use super::stale::disturbs;

/// Who, with what kind of tool.
pub type ReaderKey = (Option<String>, Option<ToolKind>);

/// How many readings' worth of trust the stated uncertainty of a tool gets (a choice).
pub(crate) const PRIOR_DEGREES: f64 = 4.0;
/// Two readings of one thing further apart than this many combined uncertainties are a slip, not
/// scatter (common practice, no source).
pub(crate) const SLIP: f64 = 5.0;
/// Of several strings that all lie off the same way, so many say that something moved: a hand scatters on each
/// string for itself (common practice, no source).
const ALL_ALIKE: f64 = 3.0;
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

/// Repeated readings, slips left out.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct ReaderTally {
    pub readings: u32,
    /// The sum of the squares of [`Own::share`].
    pub squares: f64,
}

impl ReaderTally {
    /// How a reader repeats, if there are enough readings to tell.
    pub(crate) fn repeatability(self) -> Option<Repeatability> {
        let observations = self.readings as usize;
        let over_stated = over_stated(self.squares, observations);
        (observations >= ENOUGH).then_some(Repeatability { observations, over_stated })
    }
}

/// The repeated readings of each reader: for the uncertainty of a reading.
pub(crate) fn tallies(
    input: &Input<'_>,
    interventions: &[Done],
) -> HashMap<ReaderKey, ReaderTally> {
    let mut all: HashMap<ReaderKey, ReaderTally> = HashMap::new();
    for Own { key, share, slip, .. } in own(input, interventions) {
        if !slip {
            let tally = all.entry(key).or_default();
            tally.readings += 1;
            tally.squares += share * share;
        }
    }
    all
}

/// The standard deviation of one reading over the stated one, by the sum of the squares of so many
/// shares: the tool's own counts as four.
pub(crate) fn over_stated(squares: f64, shares: usize) -> f64 {
    ((PRIOR_DEGREES + squares) / (PRIOR_DEGREES + shares as f64)).sqrt()
}

/// Whether repeated readings of a quantity tell how its reader repeats.
pub(crate) fn counts(quantity: Quantity) -> bool {
    MeasurandKind::of(quantity)
        .is_some_and(|c| c == MeasurandKind::Relief || c.is_action() || c.is_nut())
}

/// What two readings must have in common, so that one repeats the other.
type Same<'a> = (Option<&'a str>, Quantity, Option<ToolKind>, Option<Posture>);

fn same<'a>(event: &'a Event<'_>, pass: &ObservedPass<'_>) -> Same<'a> {
    (event.by.as_deref(), pass.quantity, pass.tool.map(Tool::kind), pass.posture)
}

/// Positions of the last passes that a further one may repeat, rising.
pub(crate) fn last_passes(input: &Input<'_>) -> Vec<usize> {
    let mut last: HashMap<Same<'_>, usize> = HashMap::new();
    for (index, event) in live(input) {
        if let EventKind::Pass(pass) = &event.what
            && counts(pass.quantity)
        {
            last.insert(same(event, pass), index);
        }
    }
    let mut positions: Vec<usize> = last.into_values().collect();
    positions.put_in_order();
    positions
}

/// A repeated reading.
pub(crate) struct Own {
    pub key: ReaderKey,
    /// The difference over that of two readings as the tool states them.
    pub share: f64,
    pub event: usize,
    /// No scatter of a hand: one of the two is misread, or something moved that nobody wrote down.
    pub slip: bool,
}

/// Which of the differences of a pass and the one that it repeats, each as [`share`] gives it, are no scatter of a
/// hand: the large ones, and all where every string lies off the same way by more than [`ALL_ALIKE`].
pub(crate) fn slips(shares: &[f64]) -> impl Fn(f64) -> bool + use<> {
    let all = |beyond: &dyn Fn(f64) -> bool| shares.iter().all(|share| beyond(*share));
    let moved =
        shares.len() > 1 && (all(&|share| share > ALL_ALIKE) || all(&|share| share < -ALL_ALIKE));
    move |share| moved || share.abs() > SLIP
}

/// Readings of one thing, twice by one reader with one kind of tool at one visit, with nothing done between:
/// from one visit to the next, even of one day, anything may have happened.
pub(crate) fn own(input: &Input<'_>, interventions: &[Done]) -> Vec<Own> {
    let mut found = Vec::new();
    let mut last: HashMap<Same<'_>, usize> = HashMap::new();
    for (index, event) in live(input) {
        let EventKind::Pass(pass) = &event.what else { continue };
        if !counts(pass.quantity) {
            continue;
        }
        let Some(earlier) = last.insert(same(event, pass), index) else { continue };
        let near = input.events.get(earlier).is_some_and(|before| {
            (event.at.unix_s - before.at.unix_s).abs() <= TODAY_S && event.visit == before.visit
        });
        // What is left is often written down from what was read. To leave out only what agrees would make
        // a reader worse than he is.
        let anew = !pass.as_left;
        if near && anew && input.causality.precedes(earlier, index) {
            let key = (event.by.as_deref().map(str::to_owned), pass.tool.map(Tool::kind));
            own_of(input, interventions, (earlier, index), pass, &key, &mut found);
        }
    }
    found
}

fn own_of(
    input: &Input<'_>,
    interventions: &[Done],
    (earlier, later): (usize, usize),
    pass: &ObservedPass<'_>,
    key: &ReaderKey,
    found: &mut Vec<Own>,
) {
    let from = interventions.partition_point(|d| d.event <= earlier);
    let to = interventions.partition_point(|d| d.event <= later);
    let between = interventions.get(from..to).unwrap_or_default();
    let mut shares = Vec::new();
    for read in pass.readings.iter() {
        let measurand = Measurand { quantity: pass.quantity, location: read.location };
        if between.iter().any(|d| disturbs(&d.intervention, measurand, &input.facts)) {
            continue;
        }
        let (before, after) = (at(input, earlier, measurand), at(input, later, measurand));
        shares.extend(before.zip(after).and_then(|(a, b)| share(a, b)));
    }
    let slip = slips(&shares);
    let own = |share| Own { key: key.clone(), share, event: later, slip: slip(share) };
    found.extend(shares.into_iter().map(own));
}

/// What a pass has read of a thing, and with what.
fn at(input: &Input<'_>, index: usize, measurand: Measurand) -> Option<(Reading, Option<Tool>)> {
    let EventKind::Pass(pass) = &input.events.get(index)?.what else { return None };
    if pass.quantity != measurand.quantity {
        return None;
    }
    let read = pass.readings.iter().rev().find(|r| r.location == measurand.location)?;
    Some((read.reading, pass.tool))
}

/// The difference of two readings of one thing over that of two readings as the tools state them,
/// whoever read them. `None` if one is no length, or a bound.
pub(crate) fn share(
    before: (Reading, Option<Tool>),
    after: (Reading, Option<Tool>),
) -> Option<f64> {
    let value = |(reading, tool)| {
        let known = Estimate::of_reading(reading, tool)?;
        let value = known.bound == Bound::Value && known.scale == EstimateUnit::Millimetre;
        value.then_some(known)
    };
    let apart = value(after)?.minus(value(before)?);
    Some(apart.value / apart.standard_uncertainty.max(1e-3))
}
