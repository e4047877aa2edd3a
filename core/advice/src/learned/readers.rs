//! How well each reader repeats a reading with each kind of tool, and how far readers lie apart.
//!
//! Observations are readings of one thing with nothing done between, within 16 hours. Of one reader
//! with one kind of tool they teach the repeatability; of two, the offset between both. Offsets are
//! relative: only differences are ever read, and the prior centres them on zero.
//!
//! Both are used: a reading is as uncertain as its reader has shown ([`Repeats`]), and a comparison of
//! two visits reckons with how far their readers lie apart ([`Apart`]).

use fallaway_measure::ToolKind;
use fallaway_mechanics::learn::{Coefficient, Observation, regress};

use super::{Excluded, Exclusion, Lesson, Within};
use crate::bench::{Bench, Seen, TODAY_S};
use crate::input::What;
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

/// Who, with what kind of tool.
pub type Key = (Option<String>, Option<ToolKind>);

/// How far two readers lie apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Apart {
    /// One reader, with a kind of tool.
    pub a: Key,
    /// The other.
    pub b: Key,
    /// What b reads more than a, in mm, with an interval that holds 95 %.
    pub more: Lesson,
}

/// A reader is not the same on every day: what is learned of two that lie apart is taken to be known no
/// better than this share of what is thought before anything is learned (a choice).
const DRIFTS: f64 = 0.25;

/// What the record knows of how far readers lie apart.
pub(crate) struct Aparts(Found);

impl Aparts {
    pub fn of(bench: &Bench<'_>) -> Self {
        Self(pairs(bench))
    }

    /// How far two named readers lie apart, from things that both read with nothing done between.
    /// Readings of the entries in `without` do not count.
    pub fn between(&self, a: &Key, b: &Key, without: &[usize]) -> Apart {
        apart(&self.0, a, b, without)
    }
}

fn apart(found: &Found, a: &Key, b: &Key, without: &[usize]) -> Apart {
    let at = |key: &Key| found.keys.iter().position(|k| k == key);
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
    let within = |value: f64, u: f64| Within {
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
    let more = Lesson { observations, estimate, prior, excluded: Vec::new() };
    Apart { a: a.clone(), b: b.clone(), more }
}

#[derive(Default)]
struct Found {
    keys: Vec<Key>,
    /// For each key: what stands too far from another reader's.
    excluded: Vec<Vec<Excluded>>,
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
    fn key(&mut self, seen: &Seen) -> usize {
        let key = (seen.by.clone(), seen.tool.map(fallaway_measure::Tool::kind));
        if let Some(at) = self.keys.iter().position(|k| *k == key) {
            return at;
        }
        self.keys.push(key);
        self.excluded.push(Vec::new());
        self.stated.push(seen.known.standard_uncertainty);
        self.keys.len() - 1
    }

    fn compare(&mut self, before: &Seen, after: &Seen) {
        let (a, b) = (self.key(before), self.key(after));
        if a == b {
            return;
        }
        let apart = after.known.minus(before.known);
        let u = apart.standard_uncertainty.max(1e-3);
        if apart.value.abs() > SLIP * u {
            if let Some(list) = self.excluded.get_mut(b) {
                list.push(Excluded { event: after.event, why: Exclusion::StandsApart });
            }
        } else {
            let events = [before.event, after.event];
            self.apart.push(Between { a, b, more: apart.value, u, events });
        }
    }
}

pub(super) fn learn(bench: &Bench<'_>) -> Vec<Reader> {
    let mut found = pairs(bench);
    let own = own(bench);
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
    let observations: Vec<Observation> = found
        .apart
        .iter()
        .map(|Between { a, b, more, u, .. }| {
            let mut x = vec![0.0; prior.len()];
            for (key, sign) in [(a, -1.0), (b, 1.0)] {
                if let Some(cell) = x.get_mut(key - first) {
                    *cell = sign;
                }
            }
            Observation { x, y: *more, standard_uncertainty: *u }
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
        let compared =
            found.apart.iter().filter(|between| between.a == at || between.b == at).count();
        let own = own.iter().filter(|o| o.key == (by.clone(), *tool));
        let (slips, own): (Vec<&Own>, Vec<&Own>) = own.partition(|o| o.slip);
        let shares: Vec<f64> = own.iter().map(|o| o.share).collect();
        let slips = slips.into_iter().map(|o| o.event);
        let slips = slips.map(|event| Excluded { event, why: Exclusion::StandsApart });
        readers.push(Reader {
            by: by.clone(),
            tool: *tool,
            repeatability: repeatability(
                &shares,
                found.stated.get(at).copied().unwrap_or_default(),
                slips.collect(),
            ),
            offset: Lesson {
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
fn pairs(bench: &Bench<'_>) -> Found {
    let input = bench.input;
    let mut found = Found::default();
    let mut last: Vec<Seen> = Vec::new();
    let mut deeds = bench.deeds.iter().peekable();
    for (index, event) in input.events.iter().enumerate() {
        while let Some(done) = deeds.next_if(|d| d.event <= index) {
            last.retain(|s| !disturbs(&done.deed, s.thing, &input.facts));
        }
        let What::Pass(pass) = &event.what else { continue };
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

/// How a reader with a kind of tool repeats a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeats {
    /// From how many repeated readings.
    pub observations: usize,
    /// The standard deviation of one reading over what its tool states.
    pub over_stated: f64,
}

/// Fewer repeated readings than this say less than the tool's stated uncertainty, which counts as so
/// many.
const ENOUGH: usize = PRIOR_DEGREES as usize;

/// Of each reader with enough repeated readings, how they repeat: for the uncertainty of a reading.
pub(crate) fn repeats(bench: &Bench<'_>) -> Vec<(Key, Repeats)> {
    let mut all: Vec<(Key, Vec<f64>)> = Vec::new();
    for Own { key, share, slip, .. } in own(bench) {
        if slip {
            continue;
        }
        match all.iter_mut().find(|(k, _)| *k == key) {
            Some((_, list)) => list.push(share),
            None => all.push((key, vec![share])),
        }
    }
    let enough = |(_, list): &(Key, Vec<f64>)| list.len() >= ENOUGH;
    all.into_iter()
        .filter(enough)
        .map(|(key, list)| {
            let over_stated = over_stated(&list);
            (key, Repeats { observations: list.len(), over_stated })
        })
        .collect()
}

/// The standard deviation of one reading over the stated one: the tool's own counts as four.
fn over_stated(shares: &[f64]) -> f64 {
    let sum: f64 = shares.iter().map(|share| share * share).sum();
    ((PRIOR_DEGREES + sum) / (PRIOR_DEGREES + shares.len() as f64)).sqrt()
}

/// A repeated reading.
struct Own {
    key: Key,
    /// The difference over that of two readings as the tool states them.
    share: f64,
    event: usize,
    slip: bool,
}

/// Readings of one thing, twice by one reader with one kind of tool, with nothing done between.
fn own(bench: &Bench<'_>) -> Vec<Own> {
    let input = bench.input;
    let mut found = Vec::new();
    let mut last: Vec<usize> = Vec::new();
    for (index, event) in input.events.iter().enumerate() {
        let What::Pass(pass) = &event.what else { continue };
        let counts = Class::of(pass.quantity)
            .is_some_and(|c| c == Class::Relief || c.is_action() || c.is_nut());
        if event.struck || !counts {
            continue;
        }
        let kind = pass.tool.map(fallaway_measure::Tool::kind);
        let same = |&earlier: &usize| {
            let Some(before) = input.events.get(earlier) else { return false };
            let What::Pass(other) = &before.what else { return false };
            other.quantity == pass.quantity
                && before.by == event.by
                && other.tool.map(fallaway_measure::Tool::kind) == kind
                && other.posture == pass.posture
        };
        last.retain(|&earlier| {
            let at = input.events.get(earlier).map_or(0, |e| e.at.unix_s);
            (event.at.unix_s - at).abs() <= TODAY_S
        });
        if let Some(at) = last.iter().rposition(same) {
            let earlier = last.remove(at);
            if input.causality.precedes(earlier, index) {
                let key = (event.by.as_deref().map(str::to_owned), kind);
                own_of(bench, (earlier, index), pass, &key, &mut found);
            }
        }
        last.push(index);
    }
    found
}

fn own_of(
    bench: &Bench<'_>,
    (earlier, later): (usize, usize),
    pass: &crate::input::Pass<'_>,
    key: &Key,
    found: &mut Vec<Own>,
) {
    let input = bench.input;
    let from = bench.deeds.partition_point(|d| d.event <= earlier);
    let to = bench.deeds.partition_point(|d| d.event <= later);
    let between = bench.deeds.get(from..to).unwrap_or_default();
    for read in pass.readings.iter() {
        let thing = Thing { quantity: pass.quantity, location: read.location };
        if between.iter().any(|d| disturbs(&d.deed, thing, &input.facts)) {
            continue;
        }
        let value = |event: usize| {
            let known = bench.stated(event, thing)?;
            let value = known.bound == Bound::Value && known.scale == Scale::Millimetre;
            value.then_some(known)
        };
        let Some((before, after)) = value(earlier).zip(value(later)) else { continue };
        let apart = after.minus(before);
        let share = apart.value / apart.standard_uncertainty.max(1e-3);
        found.push(Own { key: key.clone(), share, event: later, slip: share.abs() > SLIP });
    }
}

/// Standard deviation of one reading: the mean square of half the squared differences together with
/// the tool's stated uncertainty, which counts as four observations. The interval is that of the
/// chi-square distribution by the cube root approximation (E. B. Wilson and M. M. Hilferty, Proc.
/// Natl. Acad. Sci. 17 (1931) 684, from memory).
fn repeatability(shares: &[f64], stated: f64, excluded: Vec<Excluded>) -> Lesson {
    let degrees = PRIOR_DEGREES + shares.len() as f64;
    let of = |sd: f64, degrees: f64| {
        let quantile = |z: f64| {
            let c = 2.0 / (9.0 * degrees);
            (1.0 - c + z * c.sqrt()).powi(3).max(1e-3)
        };
        let end = |z: f64| sd / quantile(z).sqrt();
        // 1.96: the normal quantile of 97.5 %.
        Within { value: sd, low: end(1.96), high: end(-1.96) }
    };
    Lesson {
        observations: shares.len(),
        estimate: of(stated * over_stated(shares), degrees),
        prior: of(stated, PRIOR_DEGREES),
        excluded,
    }
}
