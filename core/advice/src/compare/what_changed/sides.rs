//! Which readings stand for a side of a comparison, and what was done between both.

use fallaway_record::{EntryId, Moment, Posture};

use super::types::{CannotCompare, ComparedAt, NotedIntervention};
use crate::observe::{
    Done, Estimate, Event, EventKind, Freshness, Input, Measurand, MeasurandKind, Observation,
    ReadingIndex, disturbs, judge,
};

/// A reading, or a target.
pub(super) struct SideReading {
    pub measurand: Measurand,
    pub known: Estimate,
    /// `None` for a target.
    pub seen: Option<Observation>,
    /// When a target was written.
    at: Option<Moment>,
    /// Another reading of the thing with the same tool comes before it.
    pub repeat: bool,
}

/// A side of a comparison, its visit by its place among the events.
#[derive(Debug, Clone, Copy)]
pub(super) enum SideAt {
    AsFound(usize),
    AsLeft(usize),
    Setup,
    Today,
}

impl SideAt {
    /// # Errors
    /// [`CannotCompare::NoSuchVisit`] for an entry that opened none, or was retracted.
    pub(crate) fn of(input: &Input<'_>, occasion: ComparedAt) -> Result<Self, CannotCompare> {
        let place = |visit: EntryId| {
            let opened = |e: &Event<'_>| {
                e.entry == visit && !e.retracted && matches!(e.what, EventKind::VisitOpened)
            };
            input.events.iter().position(opened).ok_or(CannotCompare::NoSuchVisit { visit })
        };
        Ok(match occasion {
            ComparedAt::AsFound(visit) => Self::AsFound(place(visit)?),
            ComparedAt::AsLeft(visit) => Self::AsLeft(place(visit)?),
            ComparedAt::Setup => Self::Setup,
            ComparedAt::Today => Self::Today,
        })
    }
}

/// One side.
#[derive(Default)]
pub(super) struct ComparedSide {
    pub taken: Vec<SideReading>,
    pub outvoted: Vec<Observation>,
    /// How many readings there were beyond [`MOST_OF_EACH`].
    pub left_aside: usize,
}

/// Most readings of one measurand on a side: the one to go by and the last others. The cost of a
/// comparison grows faster than with the square of its readings, and a fifth reading of one thing on one
/// occasion tells little (a choice).
const MOST_OF_EACH: usize = 4;

/// What tells of neck, saddles and nut.
pub(super) fn tells(measurand: Measurand) -> bool {
    measurand.kind().is_some_and(|c| c == MeasurandKind::Relief || c.is_action() || c.is_nut())
}

pub(super) fn side(
    bench: &ReadingIndex<'_>,
    occasion: SideAt,
    posture: Option<Posture>,
) -> ComparedSide {
    let mut side = ComparedSide::default();
    match occasion {
        SideAt::Setup => side.taken = targets(bench),
        SideAt::Today => {
            for measurand in bench.read_today().into_iter().filter(|t| tells(*t)) {
                side.add(bench.standing(measurand, posture));
            }
        }
        SideAt::AsFound(visit) | SideAt::AsLeft(visit) => {
            let found = matches!(occasion, SideAt::AsFound(_));
            for readings in of_visit(bench, visit, found) {
                side.add(judge(readings, posture));
            }
        }
    }
    side
}

impl ComparedSide {
    /// The reading to go by comes first; with the same tool again it speaks against a slip, and no
    /// more. Readings that disagree all count, so that the contradiction is found and nothing is
    /// concluded from it.
    fn add(&mut self, standing: Freshness) {
        let (mut readings, agree): (Vec<Observation>, bool) = match standing {
            Freshness::Read { seen, agreeing, outvoted, .. } => {
                self.outvoted.extend(outvoted);
                (std::iter::once(seen).chain(agreeing.into_iter().rev()).collect(), true)
            }
            Freshness::Disagree { readings } => (readings, false),
            _ => (Vec::new(), false),
        };
        let beyond = readings.len().saturating_sub(MOST_OF_EACH);
        self.left_aside += beyond;
        if agree {
            readings.truncate(MOST_OF_EACH);
        } else {
            readings.drain(..beyond);
        }
        let start = self.taken.len();
        for seen in readings {
            let of_this = self.taken.iter().skip(start).filter_map(|t| t.seen.as_ref());
            let repeat = agree && of_this.into_iter().any(|s| s.tool == seen.tool);
            self.taken.push(SideReading {
                measurand: seen.measurand,
                known: seen.known,
                at: None,
                seen: Some(seen),
                repeat,
            });
        }
    }

    /// Where a reading (or target) of the other side stands among those of this one.
    pub(crate) fn place_of(&self, other: &SideReading) -> Option<usize> {
        self.taken.iter().position(|t| t.is(other))
    }
}

impl SideReading {
    /// Whether both are one and the same: two sides may rest on one reading.
    fn is(&self, other: &Self) -> bool {
        let event = |t: &Self| t.seen.as_ref().map(|s| s.event);
        self.measurand == other.measurand && event(self) == event(other)
    }

    /// Whether it was written in the knowledge of an intervention: a reading by causality, a target by
    /// its time.
    fn knew(&self, bench: &ReadingIndex<'_>, done: &Done) -> bool {
        match (&self.seen, self.at) {
            (Some(seen), _) => {
                bench.input.causality.precedes(done.event, seen.event)
                    || done.since_unix_s.is_some_and(|since| seen.at.unix_s >= since)
            }
            (None, Some(at)) => {
                bench.input.events.get(done.event).is_some_and(|e| e.at.unix_s <= at.unix_s)
            }
            (None, None) => true,
        }
    }
}

/// Targets that were taken from what a visit left, as readings: anywhere within the tolerance, a rectangle (JCGM
/// 100:2008, 4.3.7). Where one was typed in as wanted, the instrument may never have stood.
fn targets(bench: &ReadingIndex<'_>) -> Vec<SideReading> {
    bench
        .input
        .targets
        .iter()
        .filter(|w| tells(w.measurand))
        .filter_map(|target_state| {
            let goal = target_state.settled().filter(|goal| goal.taken)?;
            let wanted = Estimate::of_amount(goal.wanted)?;
            let tolerance =
                Estimate::of_amount(goal.tolerance).filter(|t| t.scale == wanted.scale)?;
            let u = tolerance.value.abs() / 3_f64.sqrt();
            let known = Estimate { standard_uncertainty: u, ..wanted };
            Some(SideReading {
                measurand: target_state.measurand,
                known,
                seen: None,
                at: goal.at,
                repeat: false,
            })
        })
        .collect()
}

/// The readings of a visit by thing: those before anything done in it disturbed them (`found`), or
/// those that nothing done in it disturbed afterwards.
fn of_visit(bench: &ReadingIndex<'_>, visit: usize, found: bool) -> Vec<Vec<Observation>> {
    let input = bench.input;
    let within = |event: usize| input.events.get(event).is_some_and(|e| e.visit == Some(visit));
    let interventions: Vec<&Done> =
        bench.interventions.iter().filter(|d| within(d.event)).collect();
    let mut measurands: Vec<(Measurand, Vec<Observation>)> = Vec::new();
    for (index, event) in input.events.iter().enumerate().skip(visit) {
        let EventKind::Pass(pass) = &event.what else { continue };
        if event.retracted || !within(index) {
            continue;
        }
        for read in pass.readings.iter() {
            let measurand = Measurand { quantity: pass.quantity, location: read.location };
            let disturbed = interventions.iter().any(|done| {
                // What came about by itself was there before the visit.
                done.since_unix_s.is_none()
                    && input.causality.precedes(done.event, index) == found
                    && disturbs(&done.intervention, measurand, &input.facts)
            });
            if disturbed || !tells(measurand) {
                continue;
            }
            let Some(seen) = bench.seen(index, measurand) else { continue };
            match measurands.iter_mut().find(|(t, _)| *t == measurand) {
                // What a pass says twice of one thing, it says once.
                Some((_, all)) if all.iter().any(|s| s.event == index) => {}
                Some((_, all)) => all.push(seen),
                None => measurands.push((measurand, vec![seen])),
            }
        }
    }
    measurands.into_iter().map(|(_, seen)| seen).collect()
}

/// The posture in which both sides were read; or that they were read in different ones.
pub(super) fn common_posture(
    bench: &ReadingIndex<'_>,
    from: SideAt,
    to: SideAt,
) -> (Option<Posture>, Option<(Posture, Posture)>) {
    let stated = |occasion| -> Vec<Posture> {
        let mut all: Vec<Observation> = Vec::new();
        match occasion {
            SideAt::Setup => {}
            SideAt::Today => {
                for measurand in bench.read_today().into_iter().filter(|t| tells(*t)) {
                    match bench.standing(measurand, None) {
                        Freshness::Read { seen, agreeing, elsewhere, .. } => {
                            all.push(seen);
                            all.extend(agreeing);
                            all.extend(elsewhere);
                        }
                        Freshness::Disagree { readings } => all.extend(readings),
                        _ => {}
                    }
                }
            }
            SideAt::AsFound(visit) => all = of_visit(bench, visit, true).concat(),
            SideAt::AsLeft(visit) => all = of_visit(bench, visit, false).concat(),
        }
        all.into_iter().filter_map(|s| s.posture).collect()
    };
    let (before, after) = (stated(from), stated(to));
    let both = |p: &&Posture| after.contains(p);
    let common = before.iter().filter(both).find(|p| **p == Posture::Playing);
    let common = common.or_else(|| before.iter().find(both)).copied();
    let differ = before.first().copied().zip(after.first().copied()).filter(|_| common.is_none());
    (common, differ)
}

/// What was noted after the one side and before the other. A reading that both sides rest on has
/// nothing between itself and itself, and what was done before all readings that it moves is in them.
pub(super) fn noted(
    bench: &ReadingIndex<'_>,
    before: &ComparedSide,
    after: &ComparedSide,
) -> Vec<NotedIntervention> {
    bench
        .interventions
        .iter()
        .filter(|d| {
            let mut only_after = after.taken.iter().filter(|t| before.place_of(t).is_none());
            let facts = &bench.input.facts;
            let mut moved = before
                .taken
                .iter()
                .filter(|t| disturbs(&d.intervention, t.measurand, facts))
                .peekable();
            let all_knew = match moved.peek() {
                Some(_) => moved.all(|t| t.knew(bench, d)),
                None => before.taken.iter().all(|t| t.knew(bench, d)),
            };
            !all_knew && only_after.any(|t| t.knew(bench, d))
        })
        .map(|d| NotedIntervention {
            entry: d.entry,
            kind: d.intervention.kind,
            places: d.intervention.places.clone(),
        })
        .collect()
}
