//! How well each reader repeats a reading with each kind of tool, and how far readers lie apart.
//!
//! Observations are readings of one thing with nothing done between, within 16 hours. Of one reader
//! with one kind of tool they teach the repeatability; of two, the offset between both. Offsets are
//! relative: only differences are ever read, and the prior centres them on zero.

use fallaway_measure::ToolKind;
use fallaway_mechanics::learn::{Coefficient, Observation, regress};

use super::{Excluded, Exclusion, Lesson, Within};
use crate::bench::{Bench, Seen, TODAY_S};
use crate::known::{Bound, COVERAGE, Scale};
use crate::stale::disturbs;
use crate::thing::{Class, Thing};
use crate::what_changed::offset_mm;

/// How many readings' worth of trust the stated uncertainty of a tool gets (a choice).
const PRIOR_DEGREES: f64 = 4.0;
/// Two readings of one thing further apart than this many combined uncertainties are a slip, not
/// scatter (common practice, no source).
const SLIP: f64 = 5.0;
/// Most readers whose offsets are told apart: the last ones.
const MOST_READERS: usize = 40;

/// One reader with one kind of tool, gaps and relief in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Reader {
    /// By whom; `None` for readings that do not say.
    pub by: Option<String>,
    /// With what kind of tool.
    pub tool: Option<ToolKind>,
    /// Standard deviation of one reading, in mm.
    pub repeatability: Lesson,
    /// How much more than the others this reader reads, in mm.
    pub offset: Lesson,
}

type Key = (Option<String>, Option<ToolKind>);

#[derive(Default)]
struct Found {
    keys: Vec<Key>,
    /// For each key: differences between two of its readings, with the stated uncertainty of one.
    own: Vec<Vec<(f64, f64)>>,
    excluded: Vec<Vec<Excluded>>,
    /// For each key: the stated uncertainty of one of its readings.
    stated: Vec<f64>,
    /// Differences between two keys, with their uncertainty.
    apart: Vec<(usize, usize, f64, f64)>,
}

impl Found {
    fn key(&mut self, seen: &Seen) -> usize {
        let key = (seen.by.clone(), seen.tool.map(fallaway_measure::Tool::kind));
        if let Some(at) = self.keys.iter().position(|k| *k == key) {
            return at;
        }
        self.keys.push(key);
        self.own.push(Vec::new());
        self.excluded.push(Vec::new());
        self.stated.push(seen.known.standard_uncertainty);
        self.keys.len() - 1
    }

    fn compare(&mut self, before: &Seen, after: &Seen) {
        let (a, b) = (self.key(before), self.key(after));
        let apart = after.known.minus(before.known);
        let u = apart.standard_uncertainty.max(1e-3);
        if apart.value.abs() > SLIP * u {
            if let Some(list) = self.excluded.get_mut(b) {
                list.push(Excluded { event: after.event, why: Exclusion::StandsApart });
            }
        } else if a == b {
            if let Some(list) = self.own.get_mut(a) {
                list.push((apart.value, u / 2_f64.sqrt()));
            }
        } else {
            self.apart.push((a, b, apart.value, u));
        }
    }
}

pub(super) fn learn(bench: &Bench<'_>) -> Vec<Reader> {
    let mut found = pairs(bench);
    // Readers of long ago, beyond what is told apart at once.
    let many = found.keys.len();
    let first = many.saturating_sub(MOST_READERS);
    found.apart.retain(|(a, b, ..)| *a >= first && *b >= first);
    let prior: Vec<Coefficient> = found
        .keys
        .iter()
        .skip(first)
        .map(|(_, tool)| Coefficient { mean: 0.0, standard_deviation: offset_mm(*tool) })
        .collect();
    let observations: Vec<Observation> = found
        .apart
        .iter()
        .map(|(a, b, value, u)| {
            let mut x = vec![0.0; prior.len()];
            for (key, sign) in [(a, -1.0), (b, 1.0)] {
                if let Some(cell) = x.get_mut(key - first) {
                    *cell = sign;
                }
            }
            Observation { x, y: *value, standard_uncertainty: *u }
        })
        .collect();
    let offsets = regress(&prior, &observations).ok();
    let mut readers = Vec::new();
    for (at, (by, tool)) in found.keys.iter().enumerate().skip(first) {
        let sd = offset_mm(*tool);
        let prior = Within { value: 0.0, low: -COVERAGE * sd, high: COVERAGE * sd };
        let estimate = offsets.as_ref().and_then(|r| {
            let mut x = vec![0.0; many - first];
            *x.get_mut(at - first)? = 1.0;
            let p = r.predict(&x, 0.0, 0.95).ok()?;
            Some(Within { value: p.value, low: p.low, high: p.high })
        });
        let compared = found.apart.iter().filter(|(a, b, ..)| *a == at || *b == at).count();
        let own = found.own.get(at).cloned().unwrap_or_default();
        readers.push(Reader {
            by: by.clone(),
            tool: *tool,
            repeatability: repeatability(
                &own,
                found.stated.get(at).copied().unwrap_or_default(),
                found.excluded.get(at).cloned().unwrap_or_default(),
            ),
            offset: Lesson {
                observations: compared,
                estimate: estimate.filter(|_| compared > 0).unwrap_or(prior),
                prior,
                excluded: Vec::new(),
            },
        });
    }
    readers
}

/// Consecutive readings of one thing with nothing done between.
fn pairs(bench: &Bench<'_>) -> Found {
    let input = bench.input;
    let mut found = Found::default();
    let mut last: Vec<Seen> = Vec::new();
    let mut deeds = bench.deeds.iter().peekable();
    for (index, event) in input.events.iter().enumerate() {
        while let Some(done) = deeds.next_if(|d| d.event <= index) {
            last.retain(|s| !disturbs(&done.deed, s.thing, &input.facts));
        }
        let crate::input::What::Pass(pass) = &event.what else { continue };
        let counts = Class::of(pass.quantity)
            .is_some_and(|c| c == Class::Relief || c.is_action() || c.is_nut());
        if event.struck || !counts {
            continue;
        }
        last.retain(|s| (event.at.unix_s - s.at.unix_s).abs() <= TODAY_S);
        for read in pass.readings.iter() {
            let thing = Thing { quantity: pass.quantity, location: read.location };
            let Some(seen) = bench.seen(index, thing) else { continue };
            if seen.known.bound != Bound::Value || seen.known.scale != Scale::Millimetre {
                continue;
            }
            found.key(&seen);
            let before = last.iter().position(|s| s.thing == thing && s.posture == seen.posture);
            if let Some(at) = before {
                let before = last.swap_remove(at);
                // Written apart, they may have something done between.
                if before.event != index && input.causality.precedes(before.event, index) {
                    found.compare(&before, &seen);
                }
            }
            last.push(seen);
        }
    }
    found
}

/// Standard deviation of one reading: the mean square of half the squared differences together with
/// the tool's stated uncertainty, which counts as four observations. The interval is that of the
/// chi-square distribution by the cube root approximation (E. B. Wilson and M. M. Hilferty, Proc.
/// Natl. Acad. Sci. 17 (1931) 684, from memory).
fn repeatability(own: &[(f64, f64)], stated: f64, excluded: Vec<Excluded>) -> Lesson {
    let prior_square = stated * stated;
    let scaled: f64 = own.iter().map(|(d, u)| d * d / 2.0 / (u * u).max(1e-12)).sum();
    let degrees = PRIOR_DEGREES + own.len() as f64;
    let of = |square: f64, degrees: f64| {
        let quantile = |z: f64| {
            let c = 2.0 / (9.0 * degrees);
            (1.0 - c + z * c.sqrt()).powi(3).max(1e-3)
        };
        let end = |z: f64| (square / quantile(z)).sqrt();
        // 1.96: the normal quantile of 97.5 %.
        Within { value: square.sqrt(), low: end(1.96), high: end(-1.96) }
    };
    Lesson {
        observations: own.len(),
        estimate: of(prior_square * (PRIOR_DEGREES + scaled) / degrees, degrees),
        prior: of(prior_square, PRIOR_DEGREES),
        excluded,
    }
}
