//! How well each reader repeats a reading with each kind of tool, and how far readers lie apart.
//!
//! Observations are readings of one thing with nothing done between, within 16 hours. Of one reader
//! with one kind of tool they teach the repeatability; of two, the offset between both. Offsets are
//! relative: only differences are ever read, and the prior centres them on zero.
//!
//! Both are used: a reading is as uncertain as its reader has shown ([`Repeatability`]), and a comparison of
//! two visits takes into account how far their readers lie apart ([`ReaderBias`]).

use std::collections::HashMap;

use fallaway_measure::{Tool, ToolKind};
use fallaway_mechanics::learn::{Coefficient, DataPoint, regress};

use super::value::{Interval, LearnedValue, LeftOut, WhyLeftOut};
use crate::observe::{
    COVERAGE, EstimateUnit, EventKind, Measurand, MeasurandKind, Observation, Own, PRIOR_DEGREES,
    ReaderKey, ReadingIndex, SLIP, TODAY_S, disturbs, offset_mm, over_stated, own,
};

/// Most readers whose offsets are told apart: the last ones.
const MOST_READERS: usize = 40;

/// One reader with one kind of tool, gaps and relief in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct ReaderLearned {
    /// By whom; `None` for readings that do not say.
    pub by: Option<String>,
    /// With what kind of tool.
    pub tool: Option<ToolKind>,
    /// Standard deviation of one reading, in mm.
    pub repeatability: LearnedValue,
    /// How much more than the others this reader reads, in mm.
    pub offset: LearnedValue,
}

/// How far two readers lie apart.
#[derive(Debug, Clone, PartialEq)]
pub struct ReaderBias {
    /// One reader, with a kind of tool.
    pub a: ReaderKey,
    /// The other reader, with a kind of tool.
    pub b: ReaderKey,
    /// What b reads more than a, in mm, with an interval that holds 95 %.
    pub more: LearnedValue,
}

/// A reader is not the same on every day: what is learned of two that lie apart is taken to be known no
/// better than this share of what is thought before anything is learned (a choice).
const DRIFTS: f64 = 0.25;

/// What the record knows of how far readers lie apart.
pub(crate) struct ReaderBiases(Found);

impl ReaderBiases {
    pub(crate) fn of(bench: &ReadingIndex<'_>) -> Self {
        Self(pairs(bench))
    }

    /// How far two named readers lie apart, from things that both read with nothing done between.
    /// Readings of the entries in `without` do not count.
    pub(crate) fn between(&self, a: &ReaderKey, b: &ReaderKey, without: &[usize]) -> ReaderBias {
        apart(&self.0, a, b, without)
    }
}

fn apart(found: &Found, a: &ReaderKey, b: &ReaderKey, without: &[usize]) -> ReaderBias {
    let at = |key: &ReaderKey| found.places.get(key).copied();
    let (mut top, mut bottom, mut observations) = (0.0_f64, 0.0_f64, 0);
    if let Some((a, b)) = at(a).zip(at(b)) {
        for between in &found.apart {
            let sign = match (between.a == a && between.b == b, between.a == b && between.b == a) {
                (true, _) => 1.0,
                (_, true) => -1.0,
                _ => continue,
            };
            if between.events.iter().any(|event| without.contains(event)) {
                continue;
            }
            let weight = 1.0 / between.u.powi(2);
            top += weight * sign * between.more;
            bottom += weight;
            observations += 1;
        }
    }
    let thought = offset_mm(a.1).hypot(offset_mm(b.1));
    let within = |value: f64, u: f64| Interval {
        value,
        low: value - COVERAGE * u,
        high: value + COVERAGE * u,
    };
    let prior = within(0.0, thought);
    let estimate = if observations == 0 {
        prior
    } else {
        within(top / bottom, (1.0 / bottom).sqrt().hypot(DRIFTS * thought))
    };
    let more = LearnedValue { observations, estimate, prior, excluded: Vec::new() };
    ReaderBias { a: a.clone(), b: b.clone(), more }
}

#[derive(Default)]
struct Found {
    keys: Vec<ReaderKey>,
    /// The place of each among them.
    places: HashMap<ReaderKey, usize>,
    /// For each key: what stands too far from another reader's.
    excluded: Vec<Vec<LeftOut>>,
    /// For each key: the stated uncertainty of one of its readings.
    stated: Vec<f64>,
    /// Differences between two keys.
    apart: Vec<Between>,
}

/// One thing read by two readers, or with two kinds of tools.
struct Between {
    a: usize,
    b: usize,
    /// What the second read more, in mm, with its uncertainty.
    more: f64,
    u: f64,
    /// Both entries.
    events: [usize; 2],
}

impl Found {
    fn key(&mut self, seen: &Observation) -> usize {
        let key = (seen.by.clone(), seen.tool.map(Tool::kind));
        if let Some(at) = self.places.get(&key) {
            return *at;
        }
        self.places.insert(key.clone(), self.keys.len());
        self.keys.push(key);
        self.excluded.push(Vec::new());
        self.stated.push(seen.known.standard_uncertainty);
        self.keys.len() - 1
    }

    fn compare(&mut self, before: &Observation, after: &Observation) {
        let (a, b) = (self.key(before), self.key(after));
        if a == b {
            return;
        }
        let apart = after.known.minus(before.known);
        let u = apart.standard_uncertainty.max(1e-3);
        if apart.value.abs() > SLIP * u {
            if let Some(list) = self.excluded.get_mut(b) {
                list.push(after.left_out(WhyLeftOut::StandsApart));
            }
        } else {
            let events = [before.event, after.event];
            self.apart.push(Between { a, b, more: apart.value, u, events });
        }
    }
}

pub(super) fn learn(bench: &ReadingIndex<'_>) -> Vec<ReaderLearned> {
    let mut found = pairs(bench);
    let own = own(bench.input, &bench.interventions);
    // Readers of long ago, beyond what is told apart at once.
    let many = found.keys.len();
    let first = many.saturating_sub(MOST_READERS);
    found.apart.retain(|between| between.a >= first && between.b >= first);
    let prior: Vec<Coefficient> = found
        .keys
        .iter()
        .skip(first)
        .map(|(_, tool)| Coefficient { mean: 0.0, standard_deviation: offset_mm(*tool) })
        .collect();
    let observations: Vec<DataPoint> = found
        .apart
        .iter()
        .map(|Between { a, b, more, u, .. }| {
            let mut x = vec![0.0; prior.len()];
            for (key, sign) in [(a, -1.0), (b, 1.0)] {
                if let Some(cell) = x.get_mut(key - first) {
                    *cell = sign;
                }
            }
            DataPoint { x, y: *more, standard_uncertainty: *u }
        })
        .collect();
    let offsets = regress(&prior, &observations).ok();
    let mut readers = Vec::new();
    for (at, (by, tool)) in found.keys.iter().enumerate().skip(first) {
        let sd = offset_mm(*tool);
        let prior = Interval { value: 0.0, low: -COVERAGE * sd, high: COVERAGE * sd };
        let estimate = offsets.as_ref().and_then(|r| {
            let mut x = vec![0.0; many - first];
            *x.get_mut(at - first)? = 1.0;
            let p = r.predict(&x, 0.0, 0.95).ok()?;
            Some(Interval { value: p.value, low: p.low, high: p.high })
        });
        let compared =
            found.apart.iter().filter(|between| between.a == at || between.b == at).count();
        let own = own.iter().filter(|o| o.key == (by.clone(), *tool));
        let (slips, own): (Vec<&Own>, Vec<&Own>) = own.partition(|o| o.slip);
        let shares: Vec<f64> = own.iter().map(|o| o.share).collect();
        let slips = slips.into_iter().filter_map(|o| bench.input.events.get(o.event));
        let slips = slips.map(|event| LeftOut::new(event, WhyLeftOut::StandsApart));
        readers.push(ReaderLearned {
            by: by.clone(),
            tool: *tool,
            repeatability: repeatability(
                &shares,
                found.stated.get(at).copied().unwrap_or_default(),
                slips.collect(),
            ),
            offset: LearnedValue {
                observations: compared,
                estimate: estimate.filter(|_| compared > 0).unwrap_or(prior),
                prior,
                excluded: found.excluded.get(at).cloned().unwrap_or_default(),
            },
        });
    }
    readers
}

/// Consecutive readings of one thing with nothing done between.
fn pairs(bench: &ReadingIndex<'_>) -> Found {
    let input = bench.input;
    let mut found = Found::default();
    let mut last: Vec<Observation> = Vec::new();
    let mut interventions = bench.interventions.iter().peekable();
    for (index, event) in input.events.iter().enumerate() {
        while let Some(done) = interventions.next_if(|d| d.event <= index) {
            last.retain(|s| !disturbs(&done.intervention, s.measurand, &input.facts));
        }
        let EventKind::Pass(pass) = &event.what else { continue };
        let counts = MeasurandKind::of(pass.quantity)
            .is_some_and(|c| c == MeasurandKind::Relief || c.is_action() || c.is_nut());
        if event.retracted || !counts {
            continue;
        }
        last.retain(|s| (event.at.unix_s - s.at.unix_s).abs() <= TODAY_S);
        for read in pass.readings.iter() {
            let measurand = Measurand { quantity: pass.quantity, location: read.location };
            let Some(seen) = bench.seen(index, measurand) else { continue };
            if !seen.is_value() || seen.known.scale != EstimateUnit::Millimetre {
                continue;
            }
            found.key(&seen);
            let before =
                last.iter().position(|s| s.measurand == measurand && s.posture == seen.posture);
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
fn repeatability(shares: &[f64], stated: f64, excluded: Vec<LeftOut>) -> LearnedValue {
    let degrees = PRIOR_DEGREES + shares.len() as f64;
    let of = |sd: f64, degrees: f64| {
        let quantile = |z: f64| {
            let c = 2.0 / (9.0 * degrees);
            (1.0 - c + z * c.sqrt()).powi(3).max(1e-3)
        };
        let end = |z: f64| sd / quantile(z).sqrt();
        // 1.96: the normal quantile of 97.5 %.
        Interval { value: sd, low: end(1.96), high: end(-1.96) }
    };
    LearnedValue {
        observations: shares.len(),
        estimate: of(
            stated * over_stated(shares.iter().map(|share| share * share).sum(), shares.len()),
            degrees,
        ),
        prior: of(stated, PRIOR_DEGREES),
        excluded,
    }
}
