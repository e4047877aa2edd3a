//! Which way a rod works where nobody wrote it down: the odds by all of its last readings together.
//!
//! Each turn of a test may say too little by itself; two that each took the relief down a little say it together. So
//! the readings are laid out as one run: where the relief began, how much the rod does, how much of a turn is
//! lost, and which way it goes are all open, and what fits the readings counts. A reading may be a slip.

use fallaway_mechanics::learn::rod::{PRIOR_FACTOR, PRIOR_MEDIAN_MM};
use fallaway_record::Posture;

use super::follow::{PAIR_S, ResponsePair};
use crate::normal;
use crate::observe::{
    Bound, Done, Estimate, EventKind, InterventionKind, Measurand, MeasurandKind, Observation,
    ReadingIndex, disturbs,
};

/// How many rods lessen the relief clockwise: most nuts tighten so (common practice, no source).
pub(crate) const MOST_RODS: f64 = 0.95;
/// From this probability on the way is known.
pub(crate) const KNOWN: f64 = 0.99;
/// Two turns more that tell the one way than the other need no odds.
const SETTLED: usize = 2;
/// How many rods do not answer, and how many readings are slips (common practice, no source).
pub(crate) const SILENT_RODS: f64 = 0.02;
const SLIP: f64 = 0.008;
/// Over how many mm a slip lies.
const SLIP_MM: f64 = 1.0;
/// How much of a turn may be lost before a rod answers, with how many rods in ten: play, and the dead
/// zone of one that works both ways (common practice, no source).
pub(crate) const LOST: [(f64, f64); 3] = [(0.0, 0.6), (0.1, 0.2), (0.3, 0.2)];
/// How a neck comes to its reading again: it settles, and one turn does more than the next, as a share
/// (common practice, no source).
const AGAIN_MM: f64 = 0.008;
const SCATTER: f64 = 0.15;
/// Where a relief lies before it is set, in mm (common practice, no source).
const BEGINS_MM: (f64, f64) = (0.15, 0.25);
/// Cells of the grid over where it began; runs and readings of one that are looked at.
const CELLS: usize = 64;
const RUNS: usize = 4;
const READINGS: usize = 10;

/// Whether so many turns tell one way that the odds of all readings need not be asked.
pub(super) fn is_settled(pairs: &[ResponsePair]) -> bool {
    let told = pairs.iter().filter(|pair| pair.shows());
    let more = told.clone().filter(|pair| pair.change.value * pair.turns > 0.0).count();
    more.abs_diff(told.count() - more) >= SETTLED
}

/// The probability that the rod lessens the relief clockwise; `None` if no turn was followed by a reading.
pub(super) fn clockwise_lessens(bench: &ReadingIndex<'_>) -> Option<f64> {
    let runs = runs(bench);
    if runs.is_empty() {
        return None;
    }
    let silent = SILENT_RODS * runs.iter().map(|run| run.likelihood(0.0, 0.0)).product::<f64>();
    // A clockwise turn makes it less, or more.
    let fits = |way: f64| {
        let mut sum = 0.0;
        for step in -3..=3 {
            let z = f64::from(step) * 0.75;
            let weight = 0.75 * (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
            let per_turn = way * PRIOR_MEDIAN_MM * (z * PRIOR_FACTOR.ln()).exp();
            for (lost, share) in LOST {
                let all: f64 = runs.iter().map(|run| run.likelihood(per_turn, lost)).product();
                sum += weight * share * all;
            }
        }
        silent + (1.0 - SILENT_RODS) * sum
    };
    let (most, few) = (MOST_RODS * fits(-1.0), (1.0 - MOST_RODS) * fits(1.0));
    let all = most + few;
    (all > 0.0 && all.is_finite()).then(|| most / all)
}

/// Readings of one thing in one posture with nothing but turns of the rod between.
struct Run {
    of: Measurand,
    posture: Option<Posture>,
    turns: f64,
    /// What was turned since the last reading.
    since: Vec<usize>,
    last: (usize, i64),
    /// How far the rod stood from where the run began, and what was read then.
    read: Vec<(f64, Estimate)>,
}

impl Run {
    fn begin(seen: &Observation) -> Self {
        Self {
            of: seen.measurand,
            posture: seen.posture,
            turns: 0.0,
            since: Vec::new(),
            last: (seen.event, seen.at.unix_s),
            read: vec![(0.0, as_read(seen))],
        }
    }

    /// Whether a reading belongs to it: soon enough, and in the knowledge of what was turned.
    fn reaches(&self, bench: &ReadingIndex<'_>, seen: &Observation) -> bool {
        let causality = bench.input.causality;
        let (last, unix_s) = self.last;
        (seen.at.unix_s - unix_s).abs() <= PAIR_S
            && self.since.iter().all(|done| {
                causality.precedes(last, *done) && causality.precedes(*done, seen.event)
            })
    }

    /// Whether what was done leaves it as it is, or is a known turn of the rod.
    fn goes_on(&self, bench: &ReadingIndex<'_>, done: &Done) -> bool {
        let by_rod = done.intervention.kind == InterventionKind::Rod;
        let known = done.intervention.turns.is_some_and(f64::is_finite);
        (by_rod && known) || !disturbs(&done.intervention, self.of, &bench.input.facts)
    }

    fn turned(&mut self, done: &Done) {
        let by_rod = done.intervention.kind == InterventionKind::Rod;
        if let Some(turns) = done.intervention.turns.filter(|_| by_rod) {
            self.turns += turns;
            self.since.push(done.event);
        }
    }

    /// From bound to bound a turn teaches nothing.
    fn tells(&self) -> bool {
        self.read.iter().any(|(turns, _)| *turns != 0.0)
            && self.read.iter().any(|(_, read)| read.bound == Bound::Value)
    }

    /// How likely its readings are, if a turn clockwise changes the relief by so much once so much of it is lost.
    fn likelihood(&self, per_turn: f64, lost: f64) -> f64 {
        let ends = self.read.iter().map(|(_, read)| read.value);
        let (low, high) =
            ends.fold((f64::MAX, f64::MIN), |(low, high), v| (low.min(v), high.max(v)));
        let (low, high) = (low - 0.5, high + 0.3);
        let step = (high - low) / CELLS as f64;
        let moved: Vec<(f64, f64, Estimate)> = self
            .read
            .iter()
            .map(|&(turns, read)| {
                let by = per_turn * turns.signum() * (turns.abs() - lost).max(0.0);
                let u = read.standard_uncertainty.hypot(AGAIN_MM).hypot(SCATTER * by);
                (by, u, read)
            })
            .collect();
        let cells = (0..CELLS).map(|cell| low + (cell as f64 + 0.5) * step);
        let each = cells.map(|begin| {
            let z = (begin - BEGINS_MM.0) / BEGINS_MM.1;
            let here = (-0.5 * z * z).exp() * step;
            here * moved.iter().map(|(by, u, read)| fits(begin + by, *u, *read)).product::<f64>()
        });
        each.sum()
    }
}

/// How likely a reading is where the relief truly is so much.
fn fits(relief: f64, u: f64, read: Estimate) -> f64 {
    let z = (read.value - relief) / u;
    match read.bound {
        Bound::Value => {
            let density = (-0.5 * z * z).exp() / (u * (2.0 * std::f64::consts::PI).sqrt());
            (1.0 - SLIP) * density + SLIP / SLIP_MM
        }
        Bound::AtMost => (1.0 - SLIP) * normal::below(z) + 0.5 * SLIP,
        Bound::AtLeast => (1.0 - SLIP) * normal::below(-z) + 0.5 * SLIP,
    }
}

/// A reading of nothing is a bound: a string that touches does not say how hard.
fn as_read(seen: &Observation) -> Estimate {
    if seen.touches() { Estimate { bound: Bound::AtMost, ..seen.known } } else { seen.known }
}

/// The last runs in which the rod was turned.
fn runs(bench: &ReadingIndex<'_>) -> Vec<Run> {
    let mut open: Vec<Run> = Vec::new();
    let mut ended: Vec<Run> = Vec::new();
    let mut next_done = bench.interventions.iter().peekable();
    for (index, event) in bench.input.events.iter().enumerate() {
        while let Some(done) = next_done.next_if(|d| d.event <= index) {
            let (on, over): (Vec<Run>, Vec<Run>) =
                std::mem::take(&mut open).into_iter().partition(|run| run.goes_on(bench, done));
            ended.extend(over);
            open = on;
            for run in &mut open {
                run.turned(done);
            }
        }
        let EventKind::Pass(pass) = &event.what else { continue };
        if event.retracted || MeasurandKind::of(pass.quantity) != Some(MeasurandKind::Relief) {
            continue;
        }
        for read in pass.readings.iter() {
            let of = Measurand { quantity: pass.quantity, location: read.location };
            let Some(seen) = bench.seen(index, of) else { continue };
            let Some(run) = open.iter_mut().find(|r| r.of == of && r.posture == pass.posture)
            else {
                open.push(Run::begin(&seen));
                continue;
            };
            if run.reaches(bench, &seen) {
                run.read.push((run.turns, as_read(&seen)));
                (run.last, run.since) = ((index, event.at.unix_s), Vec::new());
            } else {
                ended.push(std::mem::replace(run, Run::begin(&seen)));
            }
        }
    }
    ended.extend(open);
    ended.retain(Run::tells);
    ended.drain(..ended.len().saturating_sub(RUNS));
    for run in &mut ended {
        run.read.drain(..run.read.len().saturating_sub(READINGS));
    }
    ended
}
