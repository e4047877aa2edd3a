//! Which readings of the two sides may be wrong, by what the visits around them read.
//!
//! One reading that stands apart is either a part that moved or a slip. Every explanation that the
//! visits before, between and after leave likely enough ([`fallaway_mechanics::state::doubts`]) is
//! compared on its own, without the readings that it calls wrong; what is said must hold under all.

use fallaway_measure::Tool;
use fallaway_mechanics::state::{
    Account, BetweenVisits, Comparison, Hypothesis, OffsetsApart, PartVerdict, QUIET_TILT_MRAD,
    StatePart, StateReading, compare_parts_knowing, doubts,
};
use fallaway_mechanics::units::mm;
use fallaway_order::PutInOrder as _;
use uom::si::angle::radian;
use uom::si::f64::{Angle, Length};

use super::model::{Layout, Offsets};
use super::sides::{self, ComparedSide, SideAt, SideReading};
use super::types::{CannotCompare, moves};
use crate::learn::ReaderBias;
use crate::observe::{EventKind, Measurand, Observation, ReadingIndex};
use fallaway_record::Posture;

/// Visits that are asked beside the two sides: before the earlier, before the later, after the later.
const BEFORE: usize = 2;
const BETWEEN: usize = 2;
const AFTER: usize = 1;
/// An explanation lighter than the first is left aside while all that are come to no more than the
/// second: that much what is said may be wrong beside the error rate of a comparison. Most
/// explanations that are compared.
const LIGHT: f64 = 0.02;
const LEFT_ASIDE: f64 = 0.04;
const MOST_EXPLANATIONS: usize = 12;
/// Change of tilt of a joint that gave way, and of one that was worked at, in mrad, one standard
/// deviation (common practice, no source).
const GAVE_WAY_MRAD: f64 = 1.5;
const WORKED_AT_MRAD: f64 = 3.0;
/// Change of a nut slot that wears or is swapped unnoted, and of one that was worked at, in mm, one standard
/// deviation (common practice, no source).
const SLOT_MM: f64 = 0.15;
const SLOT_WORKED_AT_MM: f64 = 10.0;
/// A reading that is this likely wrong is called so.
const WRONG: f64 = 0.95;

/// One explanation of both sides.
pub(super) struct WeighedHypothesis {
    pub weight: f64,
    /// Readings of the side that it calls wrong.
    wrong: [Vec<usize>; 2],
    tilt: f64,
    nut: f64,
}

/// One hypothesis, as far as it is about the two sides.
struct Supposed {
    weight: f64,
    wrong: [Vec<usize>; 2],
    /// Parts that moved between the two.
    moved: Vec<StatePart>,
}

/// Both sides with what is around them.
pub(super) struct Doubts {
    supposed: Vec<Supposed>,
    pub explanations: Vec<WeighedHypothesis>,
    /// Readings that are wrong, as good as surely.
    pub wrong: Vec<Observation>,
    /// Rows of both sides, one for each of their readings.
    rows: [Vec<StateReading>; 2],
    /// How far the readers of both sides lie apart, as learned.
    apart: Vec<OffsetsApart>,
}

/// A side of the chain, in the order of time.
struct Link {
    order: (usize, u8),
    side: Option<ComparedSide>,
    /// 0: the side compared from, 1: to.
    end: Option<usize>,
}

pub(super) fn doubt(
    bench: &ReadingIndex<'_>,
    layout: &Layout,
    occasions: [SideAt; 2],
    ends: [&ComparedSide; 2],
    (posture, readers): (Option<Posture>, &[ReaderBias]),
) -> Result<Doubts, CannotCompare> {
    let chain = chain(bench, layout, occasions, ends, posture);
    let sides: Vec<&ComparedSide> = chain
        .iter()
        .filter_map(|link| match link.end {
            Some(end) => ends.get(end).copied(),
            None => link.side.as_ref(),
        })
        .collect();
    let at = |end| chain.iter().position(|link| link.end == Some(end)).unwrap_or_default();
    let places = [at(0), at(1)];
    let mut offsets = Offsets::default();
    let rows: Vec<Vec<StateReading>> = sides
        .iter()
        .enumerate()
        .map(|(n, s)| s.taken.iter().filter_map(|t| layout.reading(t, n, &mut offsets)).collect())
        .collect();
    let noted: Vec<Vec<StatePart>> = sides
        .iter()
        .enumerate()
        .map(|(n, side)| {
            let before = n.checked_sub(1).and_then(|b| sides.get(b));
            before.map_or_else(Vec::new, |before| noted(bench, layout, before, side))
        })
        .collect();
    let accounts: Vec<Account<'_>> = rows
        .iter()
        .zip(&noted)
        .zip(&sides)
        .map(|((readings, noted), side)| Account {
            readings,
            trusted: side.taken.iter().all(|t| t.seen.is_none()),
            noted,
        })
        .collect();
    let found = doubts(&layout.model, &accounts)?;
    let (first, last) = (places[0].min(places[1]), places[0].max(places[1]));
    let worked_at =
        noted.iter().skip(first + 1).take(last - first).any(|n| n.contains(&StatePart::Tilt));
    let nut_work = noted.iter().skip(first + 1).take(last - first).flatten();
    let nut = match nut_work.filter(|part| matches!(part, StatePart::Nut(_))).count() {
        0 => SLOT_MM,
        _ => SLOT_WORKED_AT_MM,
    };
    let visits = visits_between(bench, &chain, first, last);
    let tilt = |h: &Hypothesis| {
        if worked_at {
            WORKED_AT_MRAD
        } else if h.tilted.iter().any(|t| (first + 1..=last).contains(t)) {
            GAVE_WAY_MRAD
        } else {
            QUIET_TILT_MRAD * visits.sqrt()
        }
    };
    let mut explanations: Vec<WeighedHypothesis> = Vec::new();
    let mut supposed: Vec<Supposed> = Vec::new();
    let between = |visit: usize| (first + 1..=last).contains(&visit);
    for hypothesis in &found {
        let of = |end: usize| -> Vec<usize> {
            let place = places.get(end).copied();
            hypothesis.wrong.iter().filter(|w| Some(w.0) == place).map(|w| w.1).collect()
        };
        let (wrong, tilt) = (on_both_sides([of(0), of(1)], ends), tilt(hypothesis));
        let moved = hypothesis.moved.iter().filter(|m| between(m.0)).map(|m| m.1);
        let tilted = hypothesis.tilted.iter().any(|t| between(*t)).then_some(StatePart::Tilt);
        supposed.push(Supposed {
            weight: hypothesis.weight,
            wrong: wrong.clone(),
            moved: moved.chain(tilted).collect(),
        });
        match explanations.iter_mut().find(|e| e.wrong == wrong && (e.tilt - tilt).abs() < 1e-9) {
            Some(same) => same.weight += hypothesis.weight,
            None => {
                explanations.push(WeighedHypothesis {
                    weight: hypothesis.weight,
                    wrong,
                    tilt,
                    nut,
                });
            }
        }
    }
    explanations.put_in_order_by(|a, b| b.weight.total_cmp(&a.weight));
    let mut wrong = Vec::new();
    for (end, side) in ends.into_iter().enumerate() {
        for (index, taken) in side.taken.iter().enumerate() {
            let named = explanations.iter().filter(|e| e.calls_wrong(end, index));
            if named.map(|e| e.weight).sum::<f64>() > WRONG {
                wrong.extend(taken.seen.clone());
            }
        }
    }
    let mut left_aside = 0.0;
    while let Some(last) = explanations.last()
        && explanations.len() > 1
        && last.weight < LIGHT
        && left_aside + last.weight <= LEFT_ASIDE
    {
        left_aside += last.weight;
        explanations.pop();
    }
    explanations.truncate(MOST_EXPLANATIONS);
    let [from, to] = places.map(|p| rows.get(p).cloned().unwrap_or_default());
    let apart = readers.iter().filter_map(|apart| offsets.apart(apart)).collect();
    Ok(Doubts { supposed, explanations, wrong, rows: [from, to], apart })
}

/// A reading that both sides rest on is wrong on both or on neither.
fn on_both_sides(mut wrong: [Vec<usize>; 2], ends: [&ComparedSide; 2]) -> [Vec<usize>; 2] {
    let seen_from = |own: usize, other: usize| -> Vec<usize> {
        let (Some(called), Some(from), Some(to)) = (wrong.get(own), ends.get(own), ends.get(other))
        else {
            return Vec::new();
        };
        let taken = called.iter().filter_map(|index| from.taken.get(*index));
        taken.filter_map(|t| to.place_of(t)).collect()
    };
    let more = [seen_from(1, 0), seen_from(0, 1)];
    for (of_side, more) in wrong.iter_mut().zip(more) {
        of_side.extend(more);
        of_side.put_in_order();
        of_side.dedup();
    }
    wrong
}

impl WeighedHypothesis {
    pub(crate) fn calls_wrong(&self, end: usize, reading: usize) -> bool {
        self.wrong.get(end).is_some_and(|w| w.contains(&reading))
    }

    /// A reading that one of two explanations calls wrong and the other does not; the later side's
    /// first, because it can be taken again. With it, its side.
    pub(crate) fn differs<'s>(
        &self,
        other: &Self,
        ends: [&'s ComparedSide; 2],
    ) -> Option<(usize, &'s Observation)> {
        [1, 0].into_iter().find_map(|end| {
            let side = ends.get(end)?;
            side.taken.iter().enumerate().find_map(|(index, taken)| {
                let apart = self.calls_wrong(end, index) != other.calls_wrong(end, index);
                taken.seen.as_ref().filter(|_| apart).map(|seen| (end, seen))
            })
        })
    }

    /// The same, with nothing called wrong.
    pub(crate) fn trusting(&self) -> Self {
        Self { weight: 0.0, wrong: Default::default(), tilt: self.tilt, nut: self.nut }
    }

    /// The same, with a joint that may have given way and slots that may be others.
    pub(crate) fn given_way(&self) -> Self {
        let tilt = self.tilt.max(GAVE_WAY_MRAD);
        Self { weight: 0.0, wrong: self.wrong.clone(), tilt, nut: SLOT_WORKED_AT_MM }
    }
}

/// A comparison without the readings that an explanation calls wrong.
pub(super) struct Compared {
    pub found: Comparison,
    /// For each side: which of its readings the rows were.
    kept: [Vec<usize>; 2],
}

impl Compared {
    /// The readings that contradict others, by side and place in it.
    pub(crate) fn contradicting(&self) -> impl Iterator<Item = (usize, usize)> {
        self.found
            .contradictions
            .iter()
            .filter_map(|c| Some((c.visit, *self.kept.get(c.visit)?.get(c.reading)?)))
    }

    pub(crate) fn readings(&self) -> (usize, usize) {
        (self.kept[0].len(), self.kept[1].len())
    }
}

impl Doubts {
    /// The probability that a part moved much between the two sides.
    pub(crate) fn moved(&self, part: StatePart) -> f64 {
        let with = self.supposed.iter().filter(|s| s.moved.contains(&part));
        with.map(|s| s.weight).sum::<f64>().min(1.0)
    }

    /// The reading that is wrong by the likeliest of what says that a part did not move; the later side's
    /// first. With it, its side.
    pub(crate) fn against<'s>(
        &self,
        part: StatePart,
        ends: [&'s ComparedSide; 2],
    ) -> Option<(usize, &'s Observation)> {
        let without = self.supposed.iter().filter(|s| !s.moved.contains(&part));
        let other = without.max_by(|a, b| a.weight.total_cmp(&b.weight))?;
        [1, 0].into_iter().find_map(|end| {
            let wrong = other.wrong.get(end)?.first()?;
            ends.get(end)?.taken.get(*wrong)?.seen.as_ref().map(|seen| (end, seen))
        })
    }

    pub(crate) fn compare(
        &self,
        layout: &Layout,
        ends: [&ComparedSide; 2],
        explanation: &WeighedHypothesis,
        parts: Vec<StatePart>,
    ) -> Result<Compared, CannotCompare> {
        let mut kept: [Vec<usize>; 2] = Default::default();
        let mut rows: [Vec<StateReading>; 2] = Default::default();
        for (end, side) in ends.into_iter().enumerate() {
            let (Some(all), Some(kept), Some(rows)) =
                (self.rows.get(end), kept.get_mut(end), rows.get_mut(end))
            else {
                continue;
            };
            let mut had: Vec<(Measurand, Option<Tool>)> = Vec::new();
            for (index, (taken, row)) in side.taken.iter().zip(all).enumerate() {
                let key = (taken.measurand, taken.seen.as_ref().and_then(|s| s.tool));
                // The rounding of one rule does not average away: one reading for each tool.
                let again = taken.repeat && had.contains(&key);
                if again || explanation.calls_wrong(end, index) {
                    continue;
                }
                had.push(key);
                kept.push(index);
                rows.push(*row);
            }
        }
        let between = BetweenVisits {
            tilt: Angle::new::<radian>(explanation.tilt.clamp(0.01, 10.0) * 1e-3),
            nut: mm(explanation.nut),
            apart: self.apart.clone(),
        };
        let candidates = layout.candidates()?;
        let [b, a] = &rows;
        let found = compare_parts_knowing(&layout.model, b, a, &candidates, parts, &between)?;
        Ok(Compared { found, kept })
    }
}

/// A part under all explanations.
pub(super) struct UnderAll {
    pub verdict: PartVerdict,
    pub interval: (Length, Length),
    /// The explanations under which another thing is to be said than under the likeliest.
    pub otherwise: Vec<usize>,
}

/// What can be said of the part at `index` whatever explanation holds.
pub(super) fn under_all(all: &[Compared], index: usize) -> Option<UnderAll> {
    let parts: Vec<_> = all.iter().filter_map(|c| c.found.parts.get(index)).collect();
    let first = parts.first()?;
    let mut told =
        UnderAll { verdict: first.verdict, interval: first.interval, otherwise: Vec::new() };
    for (n, part) in parts.iter().enumerate().skip(1) {
        if part.interval.0 < told.interval.0 {
            told.interval.0 = part.interval.0;
        }
        if part.interval.1 > told.interval.1 {
            told.interval.1 = part.interval.1;
        }
        let zero = Length::default();
        let both_ways =
            part.verdict == PartVerdict::Moved && told.interval.0 < zero && told.interval.1 > zero;
        if part.verdict != first.verdict || both_ways {
            told.otherwise.push(n);
            told.verdict = PartVerdict::CannotBeTold;
        }
    }
    Some(told)
}

/// The sides around the two ends, in the order of time.
fn chain(
    bench: &ReadingIndex<'_>,
    layout: &Layout,
    occasions: [SideAt; 2],
    ends: [&ComparedSide; 2],
    posture: Option<Posture>,
) -> Vec<Link> {
    let visits: Vec<usize> = opened(bench).collect();
    // Targets stand before all readings if they are where it starts, after all if where it ends.
    let order = |occasion: SideAt, end: usize| match occasion {
        SideAt::AsFound(visit) => (visit, 0),
        SideAt::AsLeft(visit) => (visit, 1),
        SideAt::Today => (usize::MAX, 0),
        SideAt::Setup => (if end == 0 { 0 } else { usize::MAX }, 1),
    };
    let places = [order(occasions[0], 0), order(occasions[1], 1)];
    let (first, last) = (places[0].min(places[1]), places[0].max(places[1]));
    let up_to = |limit: usize| visits.iter().filter(move |v| **v < limit).copied();
    let take_last = |mut all: Vec<usize>, n: usize| all.split_off(all.len().saturating_sub(n));
    let mut around = take_last(up_to(first.0).collect(), BEFORE);
    around.extend(visits.iter().filter(|v| **v == first.0 || **v == last.0));
    let between: Vec<usize> = up_to(last.0).filter(|v| *v > first.0).collect();
    // The visit of today's readings is among them.
    around.extend(take_last(between, BETWEEN));
    around.extend(visits.iter().filter(|v| **v > last.0).take(AFTER));
    around.put_in_order();
    around.dedup();
    let mut links: Vec<Link> = places
        .iter()
        .enumerate()
        .map(|(end, order)| Link { order: *order, side: None, end: Some(end) })
        .collect();
    let mut used: Vec<usize> = ends.iter().flat_map(|s| s.events()).collect();
    for visit in around {
        for (which, occasion) in [(0, SideAt::AsFound(visit)), (1, SideAt::AsLeft(visit))] {
            let mut side = sides::side(bench, occasion, posture);
            side.keep(|t| {
                layout.tells(t) && t.seen.as_ref().is_some_and(|s| !used.contains(&s.event))
            });
            if posture.is_none() {
                side.keep(|t| t.seen.as_ref().is_some_and(|s| s.posture.is_none()));
            }
            if side.taken.is_empty() {
                continue;
            }
            used.extend(side.events());
            links.push(Link { order: (visit, which), side: Some(side), end: None });
        }
    }
    links.put_in_order_by_key(|l| l.order);
    links
}

fn opened<'b>(bench: &'b ReadingIndex<'_>) -> impl Iterator<Item = usize> + 'b {
    let all = bench.input.events.iter().enumerate();
    all.filter(|(_, e)| !e.retracted && matches!(e.what, EventKind::VisitOpened)).map(|(i, _)| i)
}

/// How many visits were opened from one link to another, at least one, at most sixteen: a joint that
/// creeps does so a little each time.
fn visits_between(bench: &ReadingIndex<'_>, chain: &[Link], first: usize, last: usize) -> f64 {
    let (Some(first), Some(last)) = (chain.get(first), chain.get(last)) else { return 1.0 };
    let between = opened(bench).filter(|v| *v > first.order.0 && *v <= last.order.0).count();
    between.clamp(1, 16) as f64
}

/// The parts that something noted between two sides moves.
fn noted(
    bench: &ReadingIndex<'_>,
    layout: &Layout,
    before: &ComparedSide,
    after: &ComparedSide,
) -> Vec<StatePart> {
    let interventions = sides::noted(bench, before, after);
    let mut parts = layout.asked();
    parts.retain(|told| {
        layout
            .part(*told)
            .is_some_and(|part| interventions.iter().any(|d| moves(d, part, bench.input)))
    });
    parts
}

impl ComparedSide {
    fn events(&self) -> impl Iterator<Item = usize> {
        self.taken.iter().filter_map(|t: &SideReading| t.seen.as_ref().map(|s| s.event))
    }

    pub(super) fn keep(&mut self, keep: impl Fn(&SideReading) -> bool) {
        self.taken.retain(keep);
    }
}
