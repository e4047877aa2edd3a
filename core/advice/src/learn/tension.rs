//! How relief answers the pull of the strings: from changes of strings or tuning with the relief read
//! before and after, and nothing else between.
//!
//! Regression through the origin of the change of relief on the change of the pull, in mm for each
//! newton. The prior lies at 0.0019 mm/N on a bass and at 0.0009 on a guitar, give or take six tenths of it
//! (one standard deviation): so much gives a beam of sugar maple (12.6 GPa at 12 % moisture; Forest
//! Products Laboratory, "Wood Handbook", FPL-GTR-190 (2010), table 5-3, secondary copy) of a neck's usual
//! sections, bent by strings some 15 mm over its middle, and never less relief for more pull. A pull that is
//! itself estimated counts as further uncertainty of the relief, by that prior.

use fallaway_mechanics::Uncertain;
use fallaway_mechanics::learn::{Coefficient, DataPoint, Regression, regress};
use fallaway_record::{InstrumentSpec, State};
use uom::si::f64::Force;
use uom::si::force::newton;

use super::follow::PAIR_S;
use super::season::LAG_MM;
use super::value::{Interval, LearnedValue, LeftOut, WhyLeftOut};
use crate::observe::{
    Done, Facts, FittedStrings, Input, InterventionKind, Measurand, MeasurandKind, Observation,
    ReadingIndex, disturbs,
};
use crate::strings::tension_of;

/// Most changes of strings or tuning that are learned from: the last ones (a choice).
const MOST_CHANGES: usize = 100;

pub(super) fn prior_of(facts: &Facts) -> Coefficient {
    let mean = if facts.has_long_neck() { 0.0019 } else { 0.0009 };
    Coefficient { mean, standard_deviation: 0.6 * mean }
}

/// How relief answers the pull.
#[derive(Debug, Clone, PartialEq)]
pub struct TensionLearned {
    /// Millimetres of relief for each newton more on the neck.
    pub per_newton: LearnedValue,
    /// Whether the record tells it from none.
    pub told: bool,
    regression: Option<Regression>,
}

impl TensionLearned {
    /// The change of relief that a change of the pull in N makes, in mm, with an interval that holds
    /// 95 %; `None` while the record does not tell the one from none.
    pub fn at(&self, newtons: f64) -> Option<Interval> {
        let p =
            self.regression.as_ref().filter(|_| self.told)?.predict(&[newtons], 0.0, 0.95).ok()?;
        Some(Interval { value: p.value, low: p.low, high: p.high })
    }
}

/// What the record teaches of it. `input` is that of the same record.
pub fn tension(input: &Input<'_>, state: &State) -> TensionLearned {
    let bench = ReadingIndex::new(input);
    let then = FittedStrings::new(input, state);
    let (mut observations, mut excluded) = (Vec::new(), Vec::new());
    let changes = bench.interventions.iter().filter(|done| {
        matches!(done.intervention.kind, InterventionKind::Strings | InterventionKind::Tuning)
    });
    let mut changes: Vec<&Done> = changes.collect();
    for done in changes.split_off(changes.len().saturating_sub(MOST_CHANGES)) {
        match observe(&bench, &then, done) {
            Ok(Some(seen)) => observations.push(seen),
            // The same strings again teach nothing, and nothing is wrong with that.
            Ok(None) => {}
            Err(why) => excluded.extend(input.events.get(done.event).map(|e| LeftOut::new(e, why))),
        }
    }
    let usual = prior_of(&input.facts);
    let half = 1.96 * usual.standard_deviation;
    let prior = Interval { value: usual.mean, low: usual.mean - half, high: usual.mean + half };
    let regression = regress(&[usual], &observations).ok().filter(|_| !observations.is_empty());
    let slope = regression.as_ref().and_then(|r| r.predict(&[1.0], 0.0, 0.95).ok());
    let estimate = slope.map_or(prior, |p| Interval { value: p.value, low: p.low, high: p.high });
    TensionLearned {
        told: !observations.is_empty() && (estimate.low > 0.0 || estimate.high < 0.0),
        per_newton: LearnedValue { observations: observations.len(), estimate, prior, excluded },
        regression,
    }
}

/// One change with the relief before and after it; `None` where the pull stayed as far as is known.
fn observe(
    bench: &ReadingIndex<'_>,
    then: &FittedStrings<'_>,
    done: &Done,
) -> Result<Option<DataPoint>, WhyLeftOut> {
    let input = bench.input;
    let places: Vec<_> = input.facts.strings.iter().map(|s| s.place).collect();
    let after = then.at(input, done.event, &places);
    let before = then.before(input, done.event, &places);
    let difference = match before.zip(after) {
        Some((before, after)) => difference(&before, &after)?,
        None => return Err(WhyLeftOut::StringsUnknown),
    };
    let newtons = difference.value.get::<newton>();
    if newtons.abs() < 1.0 {
        return Ok(None);
    }
    let (first, last) = around(bench, done)?;
    let change = last.known.minus(first.known);
    let usual = prior_of(&input.facts);
    let usual = usual.mean.hypot(usual.standard_deviation);
    let u = difference.standard_uncertainty.get::<newton>() * usual;
    let u = change.standard_uncertainty.hypot(LAG_MM).hypot(u);
    Ok(Some(DataPoint { x: vec![newtons], y: change.value, standard_uncertainty: u }))
}

/// The pull after less the pull before, on the neck. A string that stays has one mass, so that its part
/// is as sure as the change of pitch is.
fn difference(
    before: &InstrumentSpec,
    after: &InstrumentSpec,
) -> Result<Uncertain<Force>, WhyLeftOut> {
    let mut sum = Uncertain::exact(Force::default());
    for place in after.places() {
        let pull =
            |spec: &InstrumentSpec| tension_of(spec, place).map_err(|_| WhyLeftOut::StringsUnknown);
        let (b, a) = (pull(before)?.tension, pull(after)?.tension);
        let same = before.strings.get(&place) == after.strings.get(&place);
        sum = sum.plus(if same {
            let wide = (a.standard_uncertainty - b.standard_uncertainty).abs();
            Uncertain { value: a.value - b.value, standard_uncertainty: wide }
        } else {
            a.minus(b)
        });
    }
    Ok(sum)
}

/// The relief read last before an intervention and first after it, in one way, with nothing else between.
fn around(bench: &ReadingIndex<'_>, done: &Done) -> Result<(Observation, Observation), WhyLeftOut> {
    let input = bench.input;
    let measurands: Vec<Measurand> = bench
        .ever_read()
        .into_iter()
        .filter(|measurand| measurand.kind() == Some(MeasurandKind::Relief))
        .collect();
    let mut why = WhyLeftOut::NotReadBefore;
    for measurand in measurands {
        let seen = |event: usize| {
            let live = input.events.get(event).is_some_and(|e| !e.retracted);
            bench.seen(event, measurand).filter(|s| live && s.is_value())
        };
        let before = (0..done.event)
            .rev()
            .filter(|&e| input.causality.precedes(e, done.event))
            .find_map(seen);
        let Some(before) = before else { continue };
        let after = (done.event + 1..input.events.len())
            .filter(|&e| input.causality.precedes(done.event, e))
            .filter_map(seen)
            .find(|s| s.posture == before.posture);
        let Some(after) = after else {
            why = WhyLeftOut::NotReadAfter;
            continue;
        };
        let other = bench.interventions.iter().find(|d| {
            d.event != done.event
                && !input.causality.precedes(d.event, before.event)
                && !input.causality.precedes(after.event, d.event)
                && disturbs(&d.intervention, measurand, &input.facts)
        });
        if let Some(other) = other {
            why = WhyLeftOut::DoneBetween(other.intervention.kind);
        } else if (after.at.unix_s - before.at.unix_s).abs() > PAIR_S {
            why = WhyLeftOut::TooFarApart;
        } else {
            return Ok((before, after));
        }
    }
    Err(why)
}
