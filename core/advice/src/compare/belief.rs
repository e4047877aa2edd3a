//! Where a string's action truly is, by all that its trail says: a density on a grid.
//!
//! A reading says that the truth lies under its mark, by the whole width of the mark and what a hand
//! scatters (exactly, not as a normal distribution); or it is a slip. A turn of a known thread moves the
//! density, what else is done widens it; now and then it was not as noted. Air and wood move a string to and
//! fro about where its saddle holds it: days do not add up, and what was read at earlier visits keeps its
//! weight. So a mark that is neighbour to the last one says little, and what was known before decides with it.

use super::trail::{Clue, Trail};
use crate::normal;

/// Cells of the grid.
const CELLS: usize = 120;
/// How often a reading is misread or mistyped, and over how many mm such a reading lies (common practice,
/// no source).
const SLIP: f64 = 0.005;
const SLIP_MM: f64 = 1.2;
/// How often a turn went the way that is noted, the other way, was not made, or was something else
/// altogether, where it is written which way a screw goes and where it is not: most height screws raise
/// clockwise (common practice, no source).
const TURN_WRITTEN: [f64; 4] = [0.96, 0.01, 0.02, 0.01];
const TURN_UNWRITTEN: [f64; 4] = [0.82, 0.15, 0.02, 0.01];
/// How far an action lies at a visit from where its saddle holds it in the mean, and how far that creeps
/// from one visit to the next, one standard deviation in mm; how often it is moved by who knows how much, and
/// within how many mm then (common practice, no source).
const QUIET_MM: f64 = 0.1;
const CREEP_MM: f64 = 0.03;
const MOVED: f64 = 0.03;
const MOVED_MM: f64 = 2.4;
/// How often what disturbs a little disturbed much.
const DISTURBED: f64 = 0.02;

/// Where it is.
pub(super) struct Belief {
    low: f64,
    step: f64,
    weights: Vec<f64>,
    /// Where the saddle holds it in the mean, by earlier visits; `None` at the first one, of which nothing is
    /// known before.
    base: Option<Vec<f64>>,
    /// What was read since, for where it is now.
    seen: Vec<f64>,
    middle: (f64, f64),
    /// The same without the newest reading; `None` if there is no other.
    before: Option<Vec<f64>>,
    /// The part of `weights` in which the newest turn of a screw of known direction did nothing.
    still: Option<Vec<f64>>,
    /// The probability that the newest reading is a slip.
    pub slip: f64,
    /// The newest reading.
    pub newest: f64,
    /// A reading before it, with nothing done between, agrees with the newest.
    pub confirmed: bool,
}

impl Belief {
    /// What a trail says, read by somebody whose readings scatter `over_stated` times as much as the tool
    /// states. `None` for a trail whose newest reading is gone, or a bound.
    pub(crate) fn of(trail: &Trail, over_stated: Option<f64>) -> Option<Self> {
        let Clue::Read { low, high, .. } = trail.clues.last()? else { return None };
        if !low.is_finite() || !high.is_finite() {
            return None;
        }
        let (mut from, mut to) = (*low, *high);
        for clue in &trail.clues {
            if let Clue::Read { low, high, scatter } = clue {
                let margin = 0.3 + 4.0 * scatter;
                from = if low.is_finite() { from.min(low - margin) } else { from };
                to = if high.is_finite() { to.max(high + margin) } else { to };
            }
        }
        let step = ((to - from) / CELLS as f64).max(0.004);
        let weights = vec![1.0 / CELLS as f64; CELLS];
        let mut belief = Self {
            low: from,
            step,
            seen: weights.clone(),
            weights,
            base: None,
            middle: (0.0, 0.0),
            before: None,
            still: None,
            slip: 0.0,
            newest: f64::midpoint(*low, *high),
            confirmed: false,
        };
        let mut earlier = None;
        for clue in &trail.clues {
            match *clue {
                Clue::Read { low, high, scatter } => {
                    belief.before = earlier.map(|_| belief.weights.clone());
                    belief.confirmed = earlier.flatten().is_some_and(|(below, above)| {
                        low <= above + 4.0 * scatter && high >= below - 4.0 * scatter
                    });
                    belief.read(low, high, repeated(low, high, scatter, over_stated));
                    earlier = Some(Some((low, high)));
                    continue;
                }
                Clue::Turned { by, sd, written } => {
                    let how = if written { TURN_WRITTEN } else { TURN_UNWRITTEN };
                    // A test that shows nothing is what tests are for.
                    let still = belief.weights.iter().map(|w| how[2] * w);
                    belief.still = written.then(|| still.collect());
                    belief.moves(&[(how[0], by), (how[1], -by), (how[2], 0.0)], sd, how[3]);
                }
                // Days that nothing was read of the relief in.
                Clue::Disturbed { sd: 0.0, .. } => {}
                Clue::Disturbed { by, sd } => {
                    let how = [(1.0 - DISTURBED, by)];
                    let still = belief.still.as_ref();
                    belief.still = still.map(|still| belief.moved(still, &how, sd, 0.0));
                    belief.moves(&how, sd, DISTURBED);
                }
                Clue::Later => belief.later(),
            }
            earlier = earlier.map(|_| None);
        }
        belief.middle = (belief.quantile(&belief.weights, 0.5), belief.half(&belief.weights));
        // What a reader is off as a whole is in all readings alike, and does not average away.
        belief.weights = belief.moved(&belief.weights, &[(1.0, 0.0)], trail.offset, 0.0);
        Some(belief)
    }

    /// Takes in that strings mostly lie near what is wanted of them, `sd` mm about it.
    pub(crate) fn near(&mut self, wanted: f64, sd: f64) {
        let (low, step) = (self.low, self.step);
        for (cell, weight) in self.weights.iter_mut().enumerate() {
            let off = (low + (cell as f64 + 0.5) * step - wanted) / sd;
            *weight *= (-0.5 * off * off).exp();
        }
        normalise(&mut self.weights);
        self.middle = (self.quantile(&self.weights, 0.5), self.half(&self.weights));
    }

    /// Something moves it, and where its saddle holds it.
    fn moves(&mut self, by: &[(f64, f64)], sd: f64, anywhere: f64) {
        self.weights = self.moved(&self.weights, by, sd, anywhere);
        // At a first visit all that is known of it was read then.
        let Some(base) = &self.base else {
            self.seen.clone_from(&self.weights);
            return;
        };
        self.base = Some(self.moved(base, by, sd, anywhere));
        self.seen = self.moved(&self.seen, by, sd, anywhere);
    }

    /// Another visit: what was read so far tells where the saddle holds it, and it lies somewhere about that.
    fn later(&mut self) {
        self.still = None;
        let still = [(1.0, 0.0)];
        let held = self.moved(&self.seen, &still, QUIET_MM, 0.0);
        let mut base = match &self.base {
            Some(base) => base.iter().zip(&held).map(|(base, held)| base * held).collect(),
            None => held,
        };
        normalise(&mut base);
        let anywhere = MOVED * (self.step * base.len() as f64 / MOVED_MM).min(1.0);
        let base = self.moved(&base, &[(1.0 - anywhere, 0.0)], CREEP_MM, anywhere);
        self.weights = self.moved(&base, &still, QUIET_MM, 0.0);
        self.seen = vec![1.0 / base.len() as f64; base.len()];
        self.base = Some(base);
    }

    fn read(&mut self, low: f64, high: f64, scatter: f64) {
        let width = if high.is_finite() && low.is_finite() { high - low } else { SLIP_MM };
        let slip = SLIP * (width.max(self.step) / SLIP_MM).min(1.0);
        let (mut all, mut slipped) = (0.0, 0.0);
        let (low_edge, step) = (self.low, self.step);
        let likely: Vec<f64> = (0..self.weights.len())
            .map(|cell| {
                let x = low_edge + (cell as f64 + 0.5) * step;
                let right = normal::between((low - x) / scatter, (high - x) / scatter);
                (1.0 - SLIP) * right + slip
            })
            .collect();
        for ((weight, seen), likely) in self.weights.iter_mut().zip(&mut self.seen).zip(&likely) {
            slipped += *weight * slip;
            *weight *= likely;
            *seen *= likely;
            all += *weight;
        }
        for (weight, likely) in self.still.iter_mut().flatten().zip(&likely) {
            *weight *= likely / all.max(f64::MIN_POSITIVE);
        }
        self.slip = slipped / all.max(f64::MIN_POSITIVE);
        normalise(&mut self.weights);
        normalise(&mut self.seen);
    }

    /// A density moved by each of these, with its share, scattered by `sd`; the rest is anywhere.
    fn moved(&self, old: &[f64], by: &[(f64, f64)], sd: f64, anywhere: f64) -> Vec<f64> {
        let reach = (3.0 * sd / self.step).ceil();
        let reach = if reach < 60.0 { reach as i32 } else { 60 };
        let kernel: Vec<f64> = (-reach..=reach)
            .map(|n| (-0.5 * (f64::from(n) * self.step / sd.max(self.step / 3.0)).powi(2)).exp())
            .collect();
        let all: f64 = kernel.iter().sum();
        let mut blurred = vec![0.0; old.len()];
        for (from, weight) in (0_i32..).zip(old).filter(|(_, weight)| **weight > 1e-9) {
            add(&mut blurred, from - reach, &kernel, weight / all);
        }
        let mut new = vec![anywhere / old.len() as f64; old.len()];
        for (share, mm) in by {
            let cells = (mm / self.step).round();
            if cells.abs() <= old.len() as f64 {
                add(&mut new, cells as i32, &blurred, *share);
            }
        }
        new
    }

    /// The probability that the newest turn did nothing, by what was read since.
    pub(crate) fn silent(&self) -> f64 {
        self.still.iter().flatten().sum()
    }

    /// The probability that it lies below `x`.
    pub(crate) fn below(&self, x: f64) -> f64 {
        let cells = (x - self.low) / self.step;
        if cells <= 0.0 {
            return 0.0;
        }
        let whole = cells.floor() as usize;
        let under: f64 = self.weights.iter().take(whole).sum();
        let part = self.weights.get(whole).map_or(0.0, |w| w * (cells - cells.floor()));
        (under + part).min(1.0)
    }

    /// The middle, and half of what holds 68 in a hundred, as this reader reads.
    pub(crate) fn estimate(&self) -> (f64, f64) {
        self.middle
    }

    fn half(&self, weights: &[f64]) -> f64 {
        (self.quantile(weights, 0.841) - self.quantile(weights, 0.159)) / 2.0
    }

    /// The same without the newest reading, and with what it scatters.
    pub(crate) fn forecast(&self) -> Option<(f64, f64)> {
        let before = self.before.as_ref()?;
        Some((self.quantile(before, 0.5), self.half(before)))
    }

    fn quantile(&self, weights: &[f64], share: f64) -> f64 {
        let mut left = share * weights.iter().sum::<f64>();
        for (cell, weight) in weights.iter().enumerate() {
            if left <= *weight {
                return self.low + (cell as f64 + left / weight.max(1e-300)) * self.step;
            }
            left -= weight;
        }
        self.low + weights.len() as f64 * self.step
    }
}

/// Adds so much of some weights to others, the first of them at a place that may lie outside.
fn add(to: &mut [f64], at: i32, weights: &[f64], share: f64) {
    let (skip, at) = match usize::try_from(at) {
        Ok(at) => (0, at),
        Err(_) => (at.unsigned_abs() as usize, 0),
    };
    let to = to.get_mut(at..).unwrap_or_default();
    for (cell, weight) in to.iter_mut().zip(weights.get(skip..).unwrap_or_default()) {
        *cell += share * weight;
    }
}

fn normalise(weights: &mut [f64]) {
    let all = weights.iter().sum::<f64>().max(f64::MIN_POSITIVE);
    for weight in weights {
        *weight /= all;
    }
}

/// The scatter of somebody's readings: the rounding stays, and half of the usual scatter.
fn repeated(low: f64, high: f64, scatter: f64, over_stated: Option<f64>) -> f64 {
    let Some(over) = over_stated.filter(|_| (high - low).is_finite()) else { return scatter };
    let rounding = (high - low).powi(2) / 12.0;
    let shown = over * over * (rounding + scatter * scatter) - rounding;
    shown.max(scatter * scatter / 4.0).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use fallaway_measure::{Amount, Reading, Tool, Unit};

    fn mark(trail: &mut Trail, halves: i64) {
        let mm = Amount::decimal(5 * halves, 1, Unit::Millimetre).unwrap();
        trail.read(Reading::Value(mm), Some(Tool::RULE_HALF_MM), None, 0);
    }

    #[test]
    fn a_mark_says_that_it_lies_under_it() {
        let mut trail = Trail::default();
        mark(&mut trail, 4);
        let belief = Belief::of(&trail, None).unwrap();
        let (middle, _) = belief.estimate();
        assert!((middle - 2.0).abs() < 0.02, "{middle}");
        // All of it within half a millimetre, but for the edges and a slip; as much on either side.
        assert!(belief.below(2.4) - belief.below(1.6) > 0.97);
        assert!((belief.below(1.85) - 0.2).abs() < 0.03, "{}", belief.below(1.85));
    }

    #[test]
    fn a_known_turn_between_two_marks_tells_where_between_them_it_stands() {
        // 0.4 mm down from under 2.5 mm, and it reads 2.0 mm again: it stood near the lower end.
        let mut trail = Trail::default();
        mark(&mut trail, 5);
        trail.clues.push(Clue::Turned { by: -0.4, sd: 0.02, written: true });
        mark(&mut trail, 4);
        let (whole, _) = Belief::of(&trail, None).unwrap().estimate();
        assert!(whole > 1.8 && whole < 2.1, "{whole}");
        let mut trail = Trail::default();
        mark(&mut trail, 5);
        trail.clues.push(Clue::Turned { by: -0.4, sd: 0.02, written: true });
        mark(&mut trail, 5);
        let (middle, u) = Belief::of(&trail, None).unwrap().estimate();
        assert!((middle - 2.3).abs() < 0.06 && u < 0.1, "{middle} {u}");
    }

    #[test]
    fn what_no_turn_can_have_done_is_as_good_as_a_slip() {
        let mut trail = Trail::default();
        mark(&mut trail, 5);
        trail.clues.push(Clue::Turned { by: -0.5, sd: 0.03, written: true });
        mark(&mut trail, 8);
        assert!(Belief::of(&trail, None).unwrap().slip > 0.1);
    }

    #[test]
    fn a_turn_that_the_reading_does_not_show_may_have_done_nothing() {
        // A whole mark down, and it reads the same: that is one in twenty of those that went down, by the
        // ends of two marks, and each one that did not.
        let mut trail = Trail::default();
        mark(&mut trail, 5);
        trail.clues.push(Clue::Turned { by: -0.5, sd: 0.03, written: true });
        mark(&mut trail, 5);
        let once = Belief::of(&trail, None).unwrap().silent();
        assert!(once > 0.2 && once < 0.5, "{once}");
        mark(&mut trail, 5);
        assert!(Belief::of(&trail, None).unwrap().silent() > once);
        // One that it shows did something; of an eighth nobody can tell.
        let mut shown = Trail::default();
        mark(&mut shown, 5);
        shown.clues.push(Clue::Turned { by: -0.5, sd: 0.03, written: true });
        mark(&mut shown, 4);
        assert!(Belief::of(&shown, None).unwrap().silent() < 0.01);
        let mut eighth = Trail::default();
        mark(&mut eighth, 5);
        eighth.clues.push(Clue::Turned { by: -0.04, sd: 0.01, written: true });
        mark(&mut eighth, 5);
        assert!(Belief::of(&eighth, None).unwrap().silent() < 0.05);
    }
}
