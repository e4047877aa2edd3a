//! What changed between two visits, or between a setup and today: the neck, its twist and joint, each
//! saddle, each nut slot.
//!
//! All readings of both sides go into one least-squares system (`fallaway_mechanics::state`), each
//! with the uncertainty of its tool; offsets that one reader with one kind of tool carries from
//! reading to reading are unknowns of the same system, so that they cancel where both sides share
//! them. Targets that were taken from a visit count as readings that are anywhere within their tolerance; those
//! that were typed in are wishes (`wished`). All parts of one
//! comparison together are wrongly called moved at most 5 % of the time.
//!
//! A reading may be misread or mistyped. The visits before, between and after are asked which may be
//! (`doubt`); what is said must hold whichever likely explanation is true. So one reading
//! that stands apart shows no part to have moved, until it is taken again, another one agrees, or a
//! note says what was done.
//!
//! Its cost grows with the cube of the number of strings, so the plan does without it
//! ([`super::SetupDrift`] answers there, from relief and action alone) and an app asks for it when somebody
//! wants to know.

mod doubt;
mod likely;
mod model;
mod sides;
mod types;
mod wished;

use fallaway_measure::{Location, Side};
use fallaway_mechanics::units::as_mm;

use crate::hazard::Hazard;
use crate::learn::ReaderBias;
use crate::learn::readers::ReaderBiases;
use crate::observe::{Estimate, Input, MeasurandKind, Observation, ReaderKey, ReadingIndex};

use model::Layout;
use sides::{ComparedSide, SideAt, SideReading};
use types::moves;
pub use types::{
    AgainstWish, CannotCompare, ComparedAt, HowSure, InstrumentPart, LikelyChange, MOST_ODDS,
    NotedIntervention, PartChange, PartVerdict, WhatChanged,
};

/// An interval wider than this, in mm, is that of no reading (a choice).
const BOUNDLESS_MM: f64 = 10.0;
/// So is one that is so many times as wide as by the likeliest explanation alone: another explanation leaves
/// no reading to tell of the part (a choice).
const OPEN: f64 = 2.0;

/// What changed from one occasion to another.
///
/// # Errors
///
/// [`CannotCompare`], which says what is missing.
pub fn what_changed(
    input: &Input<'_>,
    from: ComparedAt,
    to: ComparedAt,
) -> Result<WhatChanged, CannotCompare> {
    let layout = Layout::new(&input.facts)?;
    let bench = ReadingIndex::new(input);
    let at = [SideAt::of(input, from)?, SideAt::of(input, to)?];
    let (posture, postures_differ) = sides::common_posture(&bench, at[0], at[1]);
    let [mut before, mut after] = at.map(|at| sides::side(&bench, at, posture));
    if postures_differ.is_some() {
        for side in [&mut before, &mut after] {
            side.keep(|t| t.seen.as_ref().is_none_or(|s| s.posture.is_none()));
        }
    }
    let wishes = match at {
        [SideAt::Setup, SideAt::Setup] => Vec::new(),
        [SideAt::Setup, other] => wished::wished(&bench, &after, other),
        [other, SideAt::Setup] => wished::wished(&bench, &before, other),
        _ => Vec::new(),
    };
    let empty = [(at[0], before.taken.is_empty(), to), (at[1], after.taken.is_empty(), from)];
    let mut empty = empty.into_iter().filter(|(at, none, _)| *none && matches!(at, SideAt::Setup));
    if let Some((.., other)) = empty.next()
        && wished::typed(&bench).next().is_some()
    {
        if wishes.is_empty() {
            return Err(CannotCompare::NothingRead { side: other });
        }
        return Ok(WhatChanged::only_wishes(from, to, wishes));
    }
    for (side, occasion) in [(&mut before, from), (&mut after, to)] {
        side.keep(|t| layout.tells(t));
        if side.taken.is_empty() {
            return Err(CannotCompare::NothingRead { side: occasion });
        }
    }
    let ends = [&before, &after];
    let readers = readers_apart(&bench, &before.taken, &after.taken);
    let doubts = doubt::doubt(&bench, &layout, at, ends, (posture, &readers))?;
    let asked = layout.asked();
    let compare = |explanation: &doubt::WeighedHypothesis| {
        doubts.compare(&layout, ends, explanation, asked.clone())
    };
    let mut all = doubts.explanations.iter().map(&compare).collect::<Result<Vec<_>, _>>()?;
    let Some(likeliest) = doubts.explanations.first() else {
        return Err(CannotCompare::NothingRead { side: to });
    };
    // That joint and slots hold is taken for granted where it helps to tell of others, never of themselves.
    let given_way = likeliest.given_way();
    let given_way = compare(&given_way)?;
    let explained = all.len();
    all.push(given_way);
    let candidates = layout.candidates()?;
    let noted = sides::noted(&bench, &before, &after);
    let Some(first) = all.first() else {
        return Err(CannotCompare::NothingRead { side: to });
    };
    let mut parts: Vec<PartChange> = Vec::new();
    for (index, found) in first.found.parts.iter().enumerate() {
        let Some(part) = layout.part(found.part) else { continue };
        let count = match part {
            InstrumentPart::Joint | InstrumentPart::Nut(_) => explained + 1,
            _ => explained,
        };
        let Some(told) = doubt::under_all(all.get(..count).unwrap_or_default(), index) else {
            continue;
        };
        // The reading that makes the difference; one of the earlier side cannot be taken again.
        let others = told.otherwise.iter().filter_map(|n| doubts.explanations.get(*n));
        let differs = others.filter_map(|other| likeliest.differs(other, ends)).max_by_key(|d| d.0);
        let best = found.best_reading.and_then(|i| candidates.get(i));
        let best = best.and_then(|c| layout.measurand(c.what, c.string));
        let again = differs.filter(|(end, _)| *end == 1).map(|(_, seen)| seen.measurand);
        let single = || single(part, &after.taken).or_else(|| single(part, &before.taken));
        parts.push(PartChange {
            part,
            rests_on_one: match told.verdict {
                PartVerdict::Moved => single(),
                _ => differs.map(|(_, seen)| seen.clone()),
            },
            change: Estimate::mm(
                as_mm(found.change.value),
                as_mm(found.change.standard_uncertainty),
            ),
            interval_mm: Some((as_mm(told.interval.0), as_mm(told.interval.1))).filter(
                |(low, high)| {
                    let own = as_mm(found.interval.1 - found.interval.0);
                    let told = told.verdict != PartVerdict::CannotBeTold
                        || (is_read(part, ends) && high - low <= OPEN * own);
                    told && high - low <= BOUNDLESS_MM
                },
            ),
            verdict: told.verdict,
            would_tell: if told.verdict == PartVerdict::CannotBeTold {
                again.or(best)
            } else {
                None
            },
            noted: (0..noted.len())
                .filter(|&n| noted.get(n).is_some_and(|d| moves(d, part, input)))
                .collect(),
        });
    }
    let mut contradicting: Vec<Observation> = doubts.wrong.clone();
    // What they contradict is seen with all of them in.
    let trusting = likeliest.trusting();
    let trusting = if contradicting.is_empty() { None } else { Some(compare(&trusting)?) };
    for (end, index) in trusting.as_ref().unwrap_or(first).contradicting() {
        let seen = ends.get(end).and_then(|s| s.taken.get(index)?.seen.clone());
        contradicting.extend(seen.filter(|s| !contradicting.contains(s)));
    }
    let likely =
        likely::likely(&layout, &doubts, (ends, all.get(..explained).unwrap_or_default()), &parts);
    let common = common(&parts);
    let bolted = input.facts.neck_may_be_screwed_on();
    Ok(WhatChanged {
        from,
        to,
        likely,
        common,
        contradicting,
        left_aside: before.left_aside + after.left_aside,
        outvoted: before.outvoted.into_iter().chain(after.outvoted).collect(),
        noted,
        postures_differ,
        readings: first.readings(),
        readers,
        wishes,
        cautions: if common && bolted { vec![Hazard::NeckScrewsSlack] } else { Vec::new() },
        parts,
    })
}

/// Named readers, each with a kind of tool, who read the same kind of thing on different sides. What
/// the compared readings themselves say of them is left to the comparison.
fn readers_apart(
    bench: &ReadingIndex<'_>,
    before: &[SideReading],
    after: &[SideReading],
) -> Vec<ReaderBias> {
    let readers = |taken: &[SideReading]| {
        let mut all: Vec<(ReaderKey, Vec<Option<MeasurandKind>>)> = Vec::new();
        for seen in taken.iter().filter_map(|t| t.seen.as_ref()).filter(|s| s.by.is_some()) {
            let key = (seen.by.clone(), seen.tool.map(fallaway_measure::Tool::kind));
            let class = seen.measurand.kind();
            match all.iter_mut().find(|(k, _)| *k == key) {
                Some((_, classes)) => classes.push(class),
                None => all.push((key, vec![class])),
            }
        }
        all
    };
    let (before_by, after_by) = (readers(before), readers(after));
    let events: Vec<usize> =
        before.iter().chain(after).filter_map(|t| Some(t.seen.as_ref()?.event)).collect();
    let mut aparts = None;
    let mut found = Vec::new();
    for (a, read) in &before_by {
        for (b, also) in &after_by {
            let shared = read.iter().any(|class| also.contains(class));
            let already = found.iter().any(|f: &ReaderBias| f.a == *b && f.b == *a);
            if a != b && shared && !already {
                let aparts = aparts.get_or_insert_with(|| ReaderBiases::of(bench));
                found.push(aparts.between(a, b, &events));
            }
        }
    }
    found
}

/// The one reading of a side that tells of a part, if it is one.
fn single(part: InstrumentPart, taken: &[SideReading]) -> Option<Observation> {
    let tells = |t: &&SideReading| {
        let class = t.measurand.kind();
        match part {
            InstrumentPart::Neck | InstrumentPart::Twist | InstrumentPart::Joint => {
                class == Some(MeasurandKind::Relief)
            }
            InstrumentPart::Saddle(place) => {
                t.measurand.place() == Some(place) && class.is_some_and(MeasurandKind::is_action)
            }
            InstrumentPart::Nut(place) => {
                t.measurand.place() == Some(place) && class.is_some_and(MeasurandKind::is_nut)
            }
            InstrumentPart::Heights => class.is_some_and(MeasurandKind::is_action),
        }
    };
    let mut telling = taken.iter().filter(tells);
    let first = telling.next()?;
    telling.next().is_none().then(|| first.seen.clone()).flatten()
}

/// Whether both sides have a reading of a part. Without one an interval is only what was known before
/// anything was read.
fn is_read(part: InstrumentPart, ends: [&ComparedSide; 2]) -> bool {
    ends.iter().all(|side| {
        let has = |tells: &dyn Fn(&SideReading) -> bool| side.taken.iter().any(tells);
        let class = |t: &SideReading| t.measurand.kind();
        let is_action = |t: &SideReading| class(t).is_some_and(MeasurandKind::is_action);
        let at = |side| {
            has(&|t| {
                class(t) == Some(MeasurandKind::Relief)
                    && t.measurand.location == Location::Side(side)
            })
        };
        match part {
            InstrumentPart::Neck => has(&|t| class(t) == Some(MeasurandKind::Relief)),
            InstrumentPart::Twist => at(Side::Bass) && at(Side::Treble),
            // No reading tells of it by itself.
            InstrumentPart::Joint => false,
            InstrumentPart::Saddle(place) => {
                has(&|t| is_action(t) && t.measurand.place() == Some(place))
            }
            InstrumentPart::Nut(place) => has(&|t| {
                class(t).is_some_and(MeasurandKind::is_nut) && t.measurand.place() == Some(place)
            }),
            InstrumentPart::Heights => has(&is_action),
        }
    })
}

/// Whether all strings moved alike at the saddle.
fn common(parts: &[PartChange]) -> bool {
    let saddles: Vec<&PartChange> =
        parts.iter().filter(|p| matches!(p.part, InstrumentPart::Saddle(_))).collect();
    let ends = || saddles.iter().filter_map(|p| p.interval_mm);
    let low = ends().map(|(low, _)| low).fold(f64::NEG_INFINITY, f64::max);
    let high = ends().map(|(_, high)| high).fold(f64::INFINITY, f64::min);
    // One change lies in the intervals of all, and each is told from none.
    saddles.len() > 1 && saddles.iter().all(|p| p.verdict == PartVerdict::Moved) && low <= high
}
