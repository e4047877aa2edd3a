//! The record as it lies on the bench today: what was done, which readings still stand, which do not
//! and why.
//!
//! Causality comes first: a reading that was written without knowing of an adjustment counts as
//! before it. The stated time is asked only for what is today.

use std::collections::{HashMap, HashSet};

use fallaway_measure::{Dimension, Location, Quantity, Reading, Tool};
use fallaway_record::{EntryId, Posture};

use super::could_not::{NotDone, not_done};
use super::done::{Done, interventions, knows, live};
use super::estimate::{Bound, COVERAGE, Estimate, number};
use super::input::{BENCH_S, Event, EventKind, Input, ObservedPass, TODAY_S};
use super::intervention::{Intervention, InterventionKind};
use super::measurand::{Measurand, MeasurandKind};
use super::observation::Observation;
use super::repeatability::{self, ReaderKey, ReaderTally, Repeatability};
use super::stale::disturbs;

/// A neck is given this long to settle before it is read again, in seconds (common practice, no source).
const SETTLES_S: i64 = 10 * 60;

/// How a thing stands today.
#[derive(Debug, Clone, PartialEq)]
pub enum Freshness {
    /// Nobody ever read it.
    Never,
    /// Read in earlier visits only: history.
    Earlier {
        /// The last reading.
        last: Observation,
    },
    /// Read today, but something has been done since.
    Stale {
        /// The last reading.
        last: Observation,
        /// What was done.
        intervention: InterventionKind,
        /// The entry that says so.
        entry: EntryId,
    },
    /// Read, and it stands.
    Read {
        /// The reading to go by: the surest, and of equals the last.
        seen: Observation,
        /// Others that agree.
        agreeing: Vec<Observation>,
        /// Those that two others outvoted.
        outvoted: Vec<Observation>,
        /// Those taken in another posture.
        elsewhere: Vec<Observation>,
    },
    /// Readings with nothing done between them that differ beyond their uncertainties.
    Disagree {
        /// All of them, in order.
        readings: Vec<Observation>,
    },
}

impl Freshness {
    /// The reading to go by.
    pub fn seen(&self) -> Option<&Observation> {
        match self {
            Self::Read { seen, .. } => Some(seen),
            _ => None,
        }
    }
}

/// The record, sorted for the questions that the plan asks.
pub struct ReadingIndex<'i> {
    pub(crate) input: &'i Input<'i>,
    pub(crate) interventions: Vec<Done>,
    /// What could not be done, and was not done later.
    pub(crate) not_done: Vec<NotDone>,
    /// Positions of the passes of today, in order, each with the interventions not known to it.
    passes: Vec<(usize, Vec<usize>)>,
    /// Positions of today's notes that the strings were brought to pitch.
    tunings: Vec<usize>,
    /// How each reader with each kind of tool repeats a reading.
    repeats: HashMap<ReaderKey, ReaderTally>,
}

impl<'i> ReadingIndex<'i> {
    /// Sorts the record.
    pub fn new(input: &'i Input<'i>) -> Self {
        let interventions = interventions(input);
        let openings = newest_openings(input);
        let ended: Vec<usize> = live(input)
            .filter(|(_, e)| matches!(e.what, EventKind::VisitEnded))
            .filter_map(|(_, e)| e.visit)
            .collect();
        let today = |index: usize, event: &Event<'_>| {
            let age = input.now_unix_s.saturating_sub(event.at.unix_s);
            match event.visit {
                // An entry that names a visit without having seen it belongs to none.
                Some(visit)
                    if openings.contains(&visit)
                        && (visit == index || input.causality.precedes(visit, index)) =>
                {
                    age <= if ended.contains(&visit) { TODAY_S } else { BENCH_S }
                }
                Some(_) => false,
                None => {
                    age <= TODAY_S && !openings.iter().any(|&o| input.causality.precedes(index, o))
                }
            }
        };
        // What every newest visit knew of, all its readings know of.
        let recent: Vec<usize> = (0..interventions.len())
            .filter(|&d| {
                interventions.get(d).is_some_and(|done| {
                    openings.is_empty()
                        || !openings.iter().all(|&o| input.causality.precedes(done.event, o))
                })
            })
            .collect();
        let mut passes = Vec::new();
        let mut tunings = Vec::new();
        for (index, event) in live(input) {
            match &event.what {
                EventKind::Tuned if today(index, event) => tunings.push(index),
                // Another tuning is a tuning, too.
                EventKind::Done(intervention)
                    if intervention.kind == InterventionKind::Tuning && today(index, event) =>
                {
                    tunings.push(index);
                }
                EventKind::Pass(pass) if today(index, event) => {
                    if pass.quantity == Quantity::Pitch {
                        tunings.push(index);
                    }
                    let in_visit = event.visit.is_some();
                    let unknown = |&d: &usize| {
                        interventions.get(d).is_some_and(|done| !knows(input, index, event, done))
                    };
                    let missed = if in_visit {
                        recent.iter().copied().filter(unknown).collect()
                    } else {
                        (0..interventions.len()).filter(unknown).collect()
                    };
                    passes.push((index, missed));
                }
                _ => {}
            }
        }
        let repeats = repeatability::tallies(input, &interventions);
        let not_done = not_done(input, &today);
        Self { input, interventions, not_done, passes, tunings, repeats }
    }

    /// How a thing stands. `posture` is the one that a target was meant for.
    pub fn standing(&self, measurand: Measurand, posture: Option<Posture>) -> Freshness {
        self.standing_without(measurand, posture, &|_| false)
    }

    /// The same without readings that are known for slips.
    pub(crate) fn standing_without(
        &self,
        measurand: Measurand,
        posture: Option<Posture>,
        is_slip: &dyn Fn(&Observation) -> bool,
    ) -> Freshness {
        let mut valid = Vec::new();
        let mut slips = Vec::new();
        let mut stale = None;
        for (index, missed) in &self.passes {
            let Some(seen) = self.seen(*index, measurand) else { continue };
            let disturbed = missed
                .iter()
                .rev()
                .filter_map(|&d| self.interventions.get(d))
                .find(|done| disturbs(&done.intervention, measurand, &self.input.facts));
            match disturbed {
                Some(done) => stale = Some((seen, done.intervention.kind, done.entry)),
                None if is_slip(&seen) => slips.push(seen),
                None => valid.push(seen),
            }
        }
        if !valid.is_empty() {
            let mut standing = self.settled(measurand, judge(valid, posture));
            if let Freshness::Read { outvoted, .. } = &mut standing {
                outvoted.extend(slips);
            }
            return standing;
        }
        match stale {
            Some((last, intervention, entry)) => Freshness::Stale { last, intervention, entry },
            None => match self.last_ever(measurand) {
                Some(last) => Freshness::Earlier { last },
                None => Freshness::Never,
            },
        }
    }

    /// A neck goes on moving for a while after its rod was turned, the way that it was turned. Readings that
    /// look as if they disagreed, the later ones further on that way, are one neck that settled: the
    /// later ones count.
    fn settled(&self, measurand: Measurand, standing: Freshness) -> Freshness {
        let Freshness::Disagree { readings } = standing else { return standing };
        let apart = self.before_settling(measurand, &readings);
        if apart.is_empty() {
            return Freshness::Disagree { readings };
        }
        let (early, late): (Vec<_>, Vec<_>) =
            readings.into_iter().partition(|seen| apart.contains(&seen.event));
        let mut standing = judge(late, None);
        if let Freshness::Read { outvoted, .. } = &mut standing {
            outvoted.extend(early);
        }
        standing
    }

    /// Those of the readings that were taken before the neck had settled from the last turn of its rod.
    fn before_settling(&self, measurand: Measurand, readings: &[Observation]) -> Vec<usize> {
        let found = || {
            let (first, last) = (readings.first()?, readings.last()?);
            let done = self.interventions.iter().rev().find(|done| {
                self.input.causality.precedes(done.event, first.event)
                    && disturbs(&done.intervention, measurand, &self.input.facts)
            })?;
            if done.intervention.kind != InterventionKind::Rod {
                return None;
            }
            let before = (0..done.event).rev().find_map(|at| self.seen(at, measurand))?;
            let apart: Vec<&Observation> = readings.iter().filter(|o| differ(o, last)).collect();
            let on_its_way = apart.iter().all(|early| {
                let way = early.known.value - before.known.value;
                last.at.unix_s - early.at.unix_s >= SETTLES_S
                    && way * (last.known.value - early.known.value) > 0.0
            });
            on_its_way.then(|| apart.iter().map(|early| early.event).collect())
        };
        found().unwrap_or_default()
    }

    /// Every thing that was read today, in the order of the record.
    pub(crate) fn read_today(&self) -> Vec<Measurand> {
        let mut measurands = Vec::new();
        for (index, _) in &self.passes {
            let Some(pass) = self.pass(*index) else { continue };
            for read in pass.readings.iter() {
                let measurand = Measurand { quantity: pass.quantity, location: read.location };
                if !measurands.contains(&measurand) {
                    measurands.push(measurand);
                }
            }
        }
        measurands
    }

    /// Every thing that was ever read, in the order of the record.
    pub(crate) fn ever_read(&self) -> Vec<Measurand> {
        let mut known = std::collections::HashSet::new();
        let mut measurands = Vec::new();
        for (_, event) in live(self.input) {
            let EventKind::Pass(pass) = &event.what else { continue };
            for read in pass.readings.iter() {
                let measurand = Measurand { quantity: pass.quantity, location: read.location };
                if known.insert(measurand) {
                    measurands.push(measurand);
                }
            }
        }
        measurands
    }

    /// The last intervention that disturbs a reading, of any visit, and that its reader did not know
    /// of: the one rule for what still stands.
    pub(crate) fn overtaken_by(&self, reading: usize, measurand: Measurand) -> Option<&Done> {
        let event = self.input.events.get(reading)?;
        self.interventions.iter().rev().find(|done| {
            !knows(self.input, reading, event, done)
                && disturbs(&done.intervention, measurand, &self.input.facts)
        })
    }

    /// The same of a reading at hand.
    pub(crate) fn done_since(&self, seen: &Observation) -> Option<InterventionKind> {
        self.overtaken_by(seen.event, seen.measurand).map(|done| done.intervention.kind)
    }

    /// The last reading of a thing that was not crossed out, of any visit.
    pub(crate) fn last_ever(&self, measurand: Measurand) -> Option<Observation> {
        (0..self.input.events.len())
            .rev()
            .filter(|&i| self.input.events.get(i).is_some_and(|e| !e.retracted))
            .find_map(|i| self.seen(i, measurand))
    }

    /// The last reading of a thing before today.
    pub(crate) fn last_before_today(&self, measurand: Measurand) -> Option<Observation> {
        let first = self.passes.iter().map(|(index, _)| *index).min()?;
        (0..first)
            .rev()
            .filter(|&i| self.input.events.get(i).is_some_and(|e| !e.retracted))
            .find_map(|i| self.seen(i, measurand))
    }

    /// What the last reading of a thing says together with earlier ones of its day that still stand, if
    /// they are neighbouring marks.
    pub(crate) fn beside(&self, last: usize, measurand: Measurand) -> Option<Reading> {
        let seen = self.seen(last, measurand)?;
        let earlier = self.input.events.get(..last)?.iter().enumerate().rev();
        let near = earlier.take_while(|(_, e)| (seen.at.unix_s - e.at.unix_s).abs() <= TODAY_S);
        let others: Vec<Observation> = near
            .filter(|(_, event)| !event.retracted)
            .filter_map(|(index, _)| self.seen(index, measurand))
            .filter(|o| o.posture == seen.posture)
            .filter(|o| self.overtaken_by(o.event, measurand).is_none())
            .collect();
        between(&seen, &others).map(|o| o.reading)
    }

    /// What was done since the strings were last brought to pitch today: the last intervention that moves
    /// the pitch. `Ok` if they are at pitch as far as the record shows, `Err(None)` if nobody noted
    /// it today.
    pub(crate) fn pitch_since(&self) -> Result<(), Option<(InterventionKind, EntryId)>> {
        let missed_by = |at: usize| {
            self.interventions.iter().rev().find(|done| {
                self.moves_pitch(&done.intervention, None)
                    && done.event != at
                    && !self.input.causality.precedes(done.event, at)
                    && done.intervention.kind != InterventionKind::Season
            })
        };
        match self.tunings.last() {
            Some(&at) => match missed_by(at) {
                Some(done) => Err(Some((done.intervention.kind, done.entry))),
                None => Ok(()),
            },
            None => Err(None),
        }
    }

    /// Whether anything but pitch was read today, in the knowledge of what an entry says was done.
    pub(crate) fn read_since(&self, entry: Option<EntryId>) -> bool {
        let done = entry.and_then(|id| self.interventions.iter().find(|d| d.entry == id));
        self.passes.iter().any(|(index, _)| {
            self.pass(*index).is_some_and(|p| p.quantity != Quantity::Pitch)
                && done.is_none_or(|d| self.input.causality.precedes(d.event, *index))
        })
    }

    /// Whether a reading of the pitch still stands: nobody noted that it was tuned after it.
    pub(crate) fn pitch_stands(&self, reading: usize) -> bool {
        !self.tunings.iter().any(|&at| {
            at != reading && self.pass(at).is_none() && !self.input.causality.precedes(at, reading)
        })
    }

    /// Whether a reading is of today.
    pub(crate) fn is_today(&self, reading: usize) -> bool {
        self.passes.iter().any(|(index, _)| *index == reading)
    }

    /// What was done today, in order: after a reading of today, or after the opening of its visit.
    pub(crate) fn done_today(&self) -> impl Iterator<Item = &Done> {
        let first = self.passes.iter().map(|(index, _)| *index).chain(self.tunings.iter().copied());
        let first = first.min();
        self.interventions.iter().filter(move |d| first.is_some_and(|first| d.event > first))
    }

    /// Whether final numbers were written down today and nothing was done since: of relief, nut and action
    /// everything that was read today and stands.
    pub(crate) fn as_left_stands(&self) -> bool {
        let (mut read, mut left) = (HashSet::new(), HashSet::new());
        for (index, missed) in &self.passes {
            let Some(pass) = self.pass(*index).filter(|_| missed.is_empty()) else { continue };
            for one in pass.readings.iter() {
                let of = Measurand { quantity: pass.quantity, location: one.location };
                let Some(kind) = of.kind() else { continue };
                if pass.as_left {
                    left.insert((kind, of.location));
                }
                if kind == MeasurandKind::Relief || kind.is_nut() || kind.is_action() {
                    read.insert((kind, of.location));
                }
            }
        }
        !left.is_empty() && read.is_subset(&left)
    }

    fn pass(&self, index: usize) -> Option<&ObservedPass<'i>> {
        match self.input.events.get(index).map(|e| &e.what) {
            Some(EventKind::Pass(pass)) => Some(pass),
            _ => None,
        }
    }

    pub(crate) fn seen(&self, index: usize, measurand: Measurand) -> Option<Observation> {
        let event = self.input.events.get(index)?;
        let pass = self.pass(index)?;
        if pass.quantity != measurand.quantity {
            return None;
        }
        let reading =
            pass.readings.iter().rev().find(|r| r.location == measurand.location)?.reading;
        let repeats = self.repeats(event, pass);
        Some(Observation {
            event: index,
            entry: event.entry,
            measurand,
            reading,
            known: Estimate::of_reading_repeating(
                reading,
                pass.tool,
                repeats.map(|r| r.over_stated),
            )?,
            tool: pass.tool,
            posture: pass.posture,
            by: event.by.as_deref().map(str::to_owned),
            at: event.at,
            tuned: pass.says_tuned || self.tuned_before(index, measurand.location),
            repeats,
        })
    }

    /// How the reader of an entry repeats a reading of a length.
    pub(crate) fn repeats(
        &self,
        event: &Event<'_>,
        pass: &ObservedPass<'_>,
    ) -> Option<Repeatability> {
        if self.repeats.is_empty() || pass.quantity.dimension() != Dimension::Length {
            return None;
        }
        // Somebody unnamed may be anybody.
        let by = event.by.as_deref()?;
        let tally = self.repeats.get(&(Some(by.to_owned()), pass.tool.map(Tool::kind)))?;
        tally.repeatability()
    }

    /// Whether a note of tuning came before the reading with nothing between that moves the pitch.
    fn tuned_before(&self, reading: usize, location: Location) -> bool {
        let precedes = |a, b| self.input.causality.precedes(a, b);
        self.tunings.iter().rev().any(|&tuning| {
            precedes(tuning, reading)
                && !self.interventions.iter().rev().any(|done| {
                    precedes(done.event, reading)
                        && done.event != tuning
                        && !precedes(done.event, tuning)
                        && self.moves_pitch(&done.intervention, Some(location))
                })
        })
    }

    fn moves_pitch(&self, intervention: &Intervention, location: Option<Location>) -> bool {
        let location = location.unwrap_or(Location::Whole);
        let measurand = Measurand { quantity: Quantity::Pitch, location };
        disturbs(intervention, measurand, &self.input.facts)
    }
}

/// The openings of visits after which, as far as each writer knew, no other was opened.
fn newest_openings(input: &Input<'_>) -> Vec<usize> {
    let mut newest: Vec<usize> = Vec::new();
    let openings = live(input).filter(|(_, e)| matches!(e.what, EventKind::VisitOpened));
    for (index, _) in openings.collect::<Vec<_>>().into_iter().rev() {
        if !newest.iter().any(|&later| input.causality.precedes(index, later)) {
            newest.push(index);
        }
    }
    newest
}

/// Which of several readings of one thing to go by, or that they disagree.
pub(crate) fn judge(readings: Vec<Observation>, posture: Option<Posture>) -> Freshness {
    let (alike, elsewhere) = of_one_posture(readings, posture);
    if let Some((seen, agreeing, outvoted)) = by_the_finer(&alike) {
        return Freshness::Read { seen, agreeing, outvoted, elsewhere };
    }
    let friends: Vec<usize> =
        alike.iter().map(|a| alike.iter().filter(|b| !differ(a, b)).count()).collect();
    // Of those with most others on their side a value before a bound, then the surest, and of equals the last.
    let best = alike.iter().zip(&friends).max_by(|(a, friends), (b, others)| {
        friends
            .cmp(others)
            .then(a.is_value().cmp(&b.is_value()))
            .then(b.known.standard_uncertainty.total_cmp(&a.known.standard_uncertainty))
            .then(a.event.cmp(&b.event))
    });
    let Some((best, &on_side)) = best.map(|(best, on_side)| (best.clone(), on_side)) else {
        return Freshness::Never;
    };
    if on_side == alike.len() || on_side > alike.len() - on_side {
        let (agreeing, outvoted): (Vec<Observation>, Vec<Observation>) =
            alike.into_iter().filter(|s| s.event != best.event).partition(|s| !differ(s, &best));
        let seen = between(&best, &agreeing).unwrap_or(best);
        Freshness::Read { seen, agreeing, outvoted, elsewhere }
    } else {
        Freshness::Disagree { readings: alike }
    }
}

/// Where the finest readings, two or more that agree, say another thing than all that agree with each other off
/// a tool at most half as sure: a coarse tool read again rounds the same way, and does not outvote them.
fn by_the_finer(
    alike: &[Observation],
) -> Option<(Observation, Vec<Observation>, Vec<Observation>)> {
    let u = |o: &Observation| o.known.standard_uncertainty;
    let (at, finest) =
        alike.iter().enumerate().min_by(|(a, x), (b, y)| u(x).total_cmp(&u(y)).then(b.cmp(a)))?;
    let others = alike.iter().enumerate().filter(|(n, _)| *n != at).map(|(_, o)| o.clone());
    let (agreeing, apart): (Vec<Observation>, Vec<Observation>) =
        others.partition(|other| !differ(other, finest));
    let again = agreeing.iter().any(|a| u(a) < 2.0 * u(finest));
    let coarse = apart.iter().all(|a| u(a) >= 2.0 * u(finest));
    (again && coarse && !apart.is_empty()).then(|| (finest.clone(), agreeing, apart))
}

/// Like with like: if readings were taken in different postures, those of the wanted one, else those
/// in playing position, else those of the last one; a reading that does not say counts with each.
fn of_one_posture(
    readings: Vec<Observation>,
    wanted: Option<Posture>,
) -> (Vec<Observation>, Vec<Observation>) {
    let has = |p: Posture| readings.iter().any(|s| s.posture == Some(p));
    let chosen = wanted
        .filter(|&p| has(p))
        .or_else(|| has(Posture::Playing).then_some(Posture::Playing))
        .or_else(|| readings.iter().rev().find_map(|s| s.posture));
    readings.into_iter().partition(|s| s.posture.is_none() || s.posture == chosen)
}

/// Whether two readings of one thing differ beyond both uncertainties. Two neighbouring marks of one
/// tool are one rounding apart: what is read may lie between them. So are two intervals between leaves
/// that touch.
pub(crate) fn differ(a: &Observation, b: &Observation) -> bool {
    // A string that touches does not say how hard: what a straight edge shows below zero agrees with it.
    let known = |o: &Observation| {
        if o.touches() { Estimate { bound: Bound::AtMost, ..o.known } } else { o.known }
    };
    differ_by_numbers(known(a), known(b)) && !are_neighbours(a, b) && !touch(a.reading, b.reading)
}

fn touch(a: Reading, b: Reading) -> bool {
    let ends = |reading| match reading {
        Reading::Between { low, high } => Some((low, high)),
        _ => None,
    };
    let Some(((a_low, a_high), (b_low, b_high))) = ends(a).zip(ends(b)) else { return false };
    a_low == b_high || b_low == a_high
}

fn differ_by_numbers(a: Estimate, b: Estimate) -> bool {
    let apart = a.value - b.value;
    let limit = COVERAGE * a.standard_uncertainty.hypot(b.standard_uncertainty);
    let above = |k: Estimate| k.bound != Bound::AtMost;
    let below = |k: Estimate| k.bound != Bound::AtLeast;
    (apart > limit && above(a) && below(b)) || (-apart > limit && above(b) && below(a))
}

fn are_neighbours(a: &Observation, b: &Observation) -> bool {
    let mark = |o: &Observation| matches!(o.reading, Reading::Value(_)) && o.tool == b.tool;
    let step = a.tool.and_then(|tool| number(tool.graduation(), a.known.scale));
    let apart = (a.known.value - b.known.value).abs();
    mark(a) && mark(b) && step.is_some_and(|step| apart <= step * 1.001)
}

/// Neighbouring marks, or intervals between leaves that touch, both read with nothing done between, as one
/// reading: from the one to the other. Only where they are coarse enough for the two to look apart.
pub(crate) fn between(read: &Observation, others: &[Observation]) -> Option<Observation> {
    let beside = |other: &&Observation| {
        let are_beside = are_neighbours(read, other) || touch(read.reading, other.reading);
        are_beside && differ_by_numbers(read.known, other.known)
    };
    let other = others.iter().rev().find(beside)?;
    let (low, high) = if other.known.value < read.known.value {
        (other.reading.low()?, read.reading.high()?)
    } else {
        (read.reading.low()?, other.reading.high()?)
    };
    let reading = Reading::between(low, high).ok()?;
    let over = read.repeats.map(|r| r.over_stated);
    let known = Estimate::of_reading_repeating(reading, read.tool, over)?;
    Some(Observation { reading, known, ..read.clone() })
}
