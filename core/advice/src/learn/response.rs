//! What this instrument has shown: how its relief answers the rod, how its strings answer their
//! height screws, and which way each turns.
//!
//! A response is learned from a reading before and a reading after, by readers who knew of what was
//! done, with nothing else between. The size of the rod's response starts from a log-normal prior:
//! median 0.15 mm of relief per quarter turn, within a factor of 2 (from memory, common practice).
//! The direction never has a prior: it is known when this instrument has shown it.

use fallaway_measure::Quantity;
use fallaway_mechanics::learn::rod::{PRIOR_FACTOR, PRIOR_MEDIAN_MM};
use fallaway_mechanics::learn::{RodPair, rod_response};
use fallaway_mechanics::units::{as_mm, mm};
use fallaway_record::EntryId;

use crate::observe::{
    COVERAGE, Done, Estimate, EventKind, InterventionKind, Measurand, MeasurandKind, Observation,
    ReadingIndex, disturbs,
};
use crate::turns::{Direction, HandTurn, direction_of};

/// How much one turn's effect scatters from the next, as a share (common practice, no source).
const SCATTER: f64 = 0.2;
/// A before and an after further apart than this say more of the weather than of the screw: 3 days
/// (common practice, no source).
pub(crate) const PAIR_S: i64 = 3 * 24 * 3600;

/// One reading before, a turn, one reading after.
#[derive(Debug, Clone, PartialEq)]
pub struct ResponsePair {
    /// Before.
    pub before: Observation,
    /// After.
    pub after: Observation,
    /// Turns between, clockwise positive.
    pub turns: f64,
    /// The entries that say so.
    pub interventions: Vec<EntryId>,
    /// The change of the reading.
    pub change: Estimate,
}

/// What a screw or the rod does, as learned.
#[derive(Debug, Clone, PartialEq)]
pub struct ScrewResponse {
    /// Median size in mm per full turn, without sign.
    pub mm_per_turn: f64,
    /// Standard deviation of its natural logarithm.
    pub ln_sd: f64,
    /// Which way it turns to make the reading smaller; `None` while it has not been shown.
    pub lessens: Option<Direction>,
    /// The observations it rests on.
    pub pairs: Vec<ResponsePair>,
    /// Two observations that tell, and tell opposite directions, the newest among them, with no
    /// majority on its side: positions in `pairs`.
    pub contradicts: Option<(usize, usize)>,
    /// Observations left out because more of them tell the other direction: positions in `pairs`.
    pub outvoted: Vec<usize>,
}

impl ScrewResponse {
    /// The largest response that is still likely: one standard deviation up.
    pub fn high(&self) -> f64 {
        self.mm_per_turn * self.ln_sd.exp()
    }

    /// Standard uncertainty of the effect of `turns`, in mm.
    pub fn uncertainty_mm(&self, turns: f64) -> f64 {
        // Log-normal: sd = median * e^(s^2/2) * sqrt(e^(s^2) - 1).
        let s2 = self.ln_sd * self.ln_sd;
        turns.abs() * self.mm_per_turn * (s2 / 2.0).exp() * (s2.exp() - 1.0).sqrt()
    }
}

/// How relief answers the rod.
pub fn rod(bench: &ReadingIndex<'_>) -> ScrewResponse {
    let is_rod = |d: &Done| d.intervention.kind == InterventionKind::Rod;
    let pairs = pairs(bench, MeasurandKind::Relief, &is_rod);
    let (contradicts, outvoted) = contradiction(&pairs);
    let observed = observed(&pairs, &outvoted);
    let size = observed.and_then(|(rate, sd)| {
        // All pairs in one: the same likelihood as each for itself, at the cost of one.
        let change = fallaway_mechanics::Uncertain::new(mm(rate), mm(sd)).ok()?;
        let [low, middle, high] =
            rod_response(&[RodPair { turns: 1.0, change }]).ok()?.per_turn.map(as_mm);
        (low > 0.0).then(|| (middle, ((high / low).ln() / 2.0).max(1e-3)))
    });
    let (mm_per_turn, ln_sd) = size.unwrap_or((PRIOR_MEDIAN_MM, PRIOR_FACTOR.ln()));
    let written = bench.input.facts.rod.less_relief;
    let lessens = if contradicts.is_some() { None } else { shown(observed).or(written) };
    ScrewResponse { mm_per_turn, ln_sd, lessens, pairs, contradicts, outvoted }
}

/// How action, read as `quantity`, answers a height screw, from the whole instrument: its saddle
/// screws are alike. `None` while it has shown nothing.
pub fn saddle(bench: &ReadingIndex<'_>, quantity: Quantity) -> Option<ScrewResponse> {
    respond(saddle_pairs(bench, quantity))
}

/// The size of the next try of a height screw: an eighth; twice the last one where that was too
/// small for the readings to show anything.
pub fn saddle_try(bench: &ReadingIndex<'_>, quantity: Quantity) -> HandTurn {
    let last = saddle_pairs(bench, quantity).into_iter().next_back().map(|p| p.turns.abs());
    let eighths = last.map_or(1.0, |turns| (turns * 16.0).round()).clamp(1.0, 8.0);
    HandTurn { eighths: eighths as u16, direction: None }
}

fn saddle_pairs(bench: &ReadingIndex<'_>, quantity: Quantity) -> Vec<ResponsePair> {
    let is_saddle = |d: &Done| {
        d.intervention.kind == InterventionKind::SaddleHeight && d.intervention.places.len() == 1
    };
    let Some(class) = MeasurandKind::of(quantity) else { return Vec::new() };
    let mut pairs = pairs(bench, class, &is_saddle);
    pairs.retain(|p| p.before.measurand.quantity == quantity);
    pairs
}

/// How a pickup's gaps answer its screws.
pub fn pickup(bench: &ReadingIndex<'_>, number: u8) -> Option<ScrewResponse> {
    let is_pickup = |d: &Done| {
        d.intervention.kind == InterventionKind::Pickup && d.intervention.pickup == Some(number)
    };
    respond(pairs(bench, MeasurandKind::PickupGap, &is_pickup))
}

fn respond(pairs: Vec<ResponsePair>) -> Option<ScrewResponse> {
    let (contradicts, outvoted) = contradiction(&pairs);
    let (rate, sd) = observed(&pairs, &outvoted)?;
    let told = shown(Some((rate, sd)))?;
    let lessens = contradicts.is_none().then_some(told);
    let mm_per_turn = rate.abs();
    Some(ScrewResponse {
        mm_per_turn,
        ln_sd: sd / mm_per_turn,
        lessens,
        pairs,
        contradicts,
        outvoted,
    })
}

/// Change for each turn, clockwise positive, and its standard uncertainty: least squares through the
/// origin.
fn observed(pairs: &[ResponsePair], outvoted: &[usize]) -> Option<(f64, f64)> {
    let (mut top, mut bottom) = (0.0, 0.0);
    for (index, pair) in pairs.iter().enumerate() {
        let sd = pair.change.standard_uncertainty.hypot(SCATTER * pair.change.value);
        if sd > 0.0 && !outvoted.contains(&index) {
            top += pair.turns * pair.change.value / (sd * sd);
            bottom += pair.turns * pair.turns / (sd * sd);
        }
    }
    (bottom > 0.0).then(|| (top / bottom, (1.0 / bottom).sqrt()))
}

/// The way to a smaller reading, if the rate is told from zero. A positive rate: clockwise makes the
/// reading larger.
fn shown(observed: Option<(f64, f64)>) -> Option<Direction> {
    let (rate, _) = observed.filter(|(rate, sd)| rate.abs() > COVERAGE * sd)?;
    direction_of(-rate)
}

/// Pairs that tell a direction against the newest one that does: if they are the fewer, they are
/// outvoted; else the newest contradicts the last of them. Positions in `pairs`.
fn contradiction(pairs: &[ResponsePair]) -> (Option<(usize, usize)>, Vec<usize>) {
    let way = |p: &ResponsePair| p.change.tells().then_some((p.change.value * p.turns).signum());
    let told: Vec<(usize, f64)> =
        pairs.iter().enumerate().filter_map(|(i, p)| Some((i, way(p)?))).collect();
    let Some(&(newest, sign)) = told.last() else { return (None, Vec::new()) };
    let against: Vec<usize> =
        told.iter().filter(|&&(_, s)| s != sign).map(|&(index, _)| index).collect();
    match against.last() {
        Some(&other) if against.len() * 2 >= told.len() => (Some((other, newest)), Vec::new()),
        _ => (None, against),
    }
}

/// A reading that waits for its after.
struct Open<'a> {
    before: Observation,
    turns: f64,
    interventions: Vec<&'a Done>,
}

fn pairs(
    bench: &ReadingIndex<'_>,
    class: MeasurandKind,
    wanted: &dyn Fn(&Done) -> bool,
) -> Vec<ResponsePair> {
    let causality = bench.input.causality;
    let mut open: Vec<Open<'_>> = Vec::new();
    let mut found = Vec::new();
    let mut next_done = bench.interventions.iter().peekable();
    for (index, event) in bench.input.events.iter().enumerate() {
        while let Some(done) = next_done.next_if(|d| d.event <= index) {
            note_intervention(bench, done, wanted, &mut open);
        }
        let EventKind::Pass(pass) = &event.what else { continue };
        if event.retracted || MeasurandKind::of(pass.quantity) != Some(class) {
            continue;
        }
        for seen in readings(bench, index, pass.quantity) {
            let same = open.iter().position(|o| {
                o.before.measurand == seen.measurand && o.before.posture == seen.posture
            });
            if let Some(at) = same {
                let Open { before, turns, interventions } = open.swap_remove(at);
                let knew = interventions.iter().all(|d| {
                    causality.precedes(before.event, d.event) && causality.precedes(d.event, index)
                });
                let near = (seen.at.unix_s - before.at.unix_s).abs() <= PAIR_S;
                let values = before.known.bound == seen.known.bound;
                if turns != 0.0 && knew && near && values {
                    let change = seen.known.minus(before.known);
                    found.push(ResponsePair {
                        before,
                        after: seen.clone(),
                        turns,
                        interventions: interventions.iter().map(|d| d.entry).collect(),
                        change,
                    });
                }
            }
            open.push(Open { before: seen, turns: 0.0, interventions: Vec::new() });
        }
    }
    found
}

/// A wanted intervention adds its turns to the readings it touches; any other that touches them ends them.
fn note_intervention<'a>(
    bench: &ReadingIndex<'_>,
    done: &'a Done,
    wanted: &dyn Fn(&Done) -> bool,
    open: &mut Vec<Open<'a>>,
) {
    let facts = &bench.input.facts;
    open.retain_mut(|o| {
        if !disturbs(&done.intervention, o.before.measurand, facts) {
            return true;
        }
        // The string that was turned, not one that moved along.
        let own = o.before.measurand.place().is_none_or(|p| done.intervention.touches(p));
        match done.intervention.turns {
            Some(turns) if wanted(done) && own && turns.is_finite() => {
                o.turns += turns;
                o.interventions.push(done);
                true
            }
            _ => false,
        }
    });
}

fn readings(bench: &ReadingIndex<'_>, index: usize, quantity: Quantity) -> Vec<Observation> {
    let Some(EventKind::Pass(pass)) = bench.input.events.get(index).map(|e| &e.what) else {
        return Vec::new();
    };
    let measurands = pass.readings.iter().map(|r| Measurand { quantity, location: r.location });
    measurands.filter_map(|measurand| bench.seen(index, measurand)).collect()
}
