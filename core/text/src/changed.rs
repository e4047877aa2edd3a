//! What changed between two visits, or between a setup and today.

use fallaway_advice::compare::{
    AgainstWish, HowSure, InstrumentPart, Judgement, LikelyChange, NotedIntervention, PartChange,
    PartVerdict, WhatChanged,
};
use fallaway_advice::learn::ReaderBias;
use fallaway_advice::observe::{Observation, ReaderKey};
use fallaway_measure::{Quantity, StringPlace};
use fallaway_record::InstrumentSpec;

use crate::learned::slope;
use crate::messages::changed as say;
use crate::plan::{self, measurand, observation, read};
use crate::{Computed, List, Phrase, cautions, names};

/// Odds above this are said as this.
const MOST_ODDS: f64 = 99.0;

/// What changed, a sentence or two each: what moved first, then what cannot be told, then the rest.
pub fn sentences(changed: &WhatChanged, spec: &InstrumentSpec) -> Vec<Phrase> {
    let mut said = Vec::new();
    if let Some((before, after)) = changed.postures_differ {
        said.push(say::postures(crate::entries::posture(before), crate::entries::posture(after)));
    }
    said.extend(lead(changed, spec));
    said.extend(nothing_moved(changed));
    for verdict in [PartVerdict::Moved, PartVerdict::CannotBeTold, PartVerdict::NotBeyondRead] {
        let parts = changed.parts.iter().filter(|part| part.verdict == verdict);
        // What the first line has said; and of all heights only where they moved alike.
        let led = |part: &&PartChange| {
            let likely = changed.likely.iter().any(|likely| likely.part == part.part);
            match part.part {
                InstrumentPart::Heights => verdict != PartVerdict::Moved || !likely,
                _ => verdict != PartVerdict::Moved && likely,
            }
        };
        let parts = parts.filter(|part| !led(part));
        let (open, told): (Vec<&PartChange>, Vec<&PartChange>) = parts.partition(|p| is_open(p));
        said.extend(alike(&told).into_iter().map(|alike| match alike[..] {
            [one] => sentence(one, changed, spec),
            [one, ..] if in_one(one).is_some() => of_several(&alike, spec),
            _ => in_one_doubt(&alike, spec),
        }));
        said.extend(all_open(&open, spec));
        if verdict == PartVerdict::Moved && changed.common {
            said.push(say::common());
        }
    }
    said.extend(changed.readers.iter().map(readers));
    let own_line = changed.noted.iter().filter(|one| !is_named(one, changed));
    let own_line: Vec<Phrase> = own_line.map(|one| noted(one, spec)).collect();
    if !own_line.is_empty() {
        said.push(say::noted(List::semicolon(distinct(own_line))));
    }
    if !changed.contradicting.is_empty() {
        said.push(say::contradict());
        said.extend(changed.contradicting.iter().map(|seen| read(seen, None, spec)));
    }
    said.extend(changed.outvoted.iter().map(|seen| {
        crate::messages::plan::outvoted(crate::messages::plan::of_place(
            measurand(seen.measurand, spec),
            observation(seen),
        ))
    }));
    if changed.left_aside > 0 {
        said.push(say::left_aside(changed.left_aside));
    }
    said.extend(wishes(&changed.wishes, spec));
    said.extend(changed.cautions.iter().map(|one| cautions::text(*one)));
    said
}

/// How it stands against targets that were typed in: what is off, each, then what is not.
fn wishes(all: &[AgainstWish], spec: &InstrumentSpec) -> Vec<Phrase> {
    if all.is_empty() {
        return Vec::new();
    }
    let mut said = vec![say::wishes()];
    for one in all {
        let (of, target) = (measurand(one.measurand, spec), names::amount(one.wanted));
        let number = plan::Numbers::of_reading(Some(&one.seen), one.measurand.quantity);
        let off = one.compared.off();
        let by = number.of_value(off.value.abs(), off.scale);
        let seen = names::reading(one.seen.reading).of(one.measurand.quantity);
        let target = target.of(one.measurand.quantity);
        match one.judgement {
            Judgement::Above => said.push(say::wish_above(of, seen, target, by)),
            Judgement::Below => said.push(say::wish_below(of, seen, target, by)),
            Judgement::CannotTell => said.push(say::wish_open(of, seen, target)),
            Judgement::OnTarget | Judgement::OnTargetWithinError => {}
        }
    }
    let of = |judgement: Judgement| {
        let alike = all.iter().filter(|one| one.judgement == judgement);
        let alike: Vec<&AgainstWish> = alike.collect();
        let groups = alike.chunk_by(|a, b| a.measurand.quantity == b.measurand.quantity);
        let each = groups.filter_map(|group| {
            let first = group.first()?;
            let places: Vec<StringPlace> =
                group.iter().filter_map(|one| one.measurand.place()).collect();
            Some(match places[..] {
                [] | [_] => measurand(first.measurand, spec),
                _ => crate::messages::plan::of_place(
                    names::strings(spec, &places),
                    names::quantity(first.measurand.quantity),
                ),
            })
        });
        let each: Vec<Phrase> = each.collect();
        (!each.is_empty()).then(|| List::semicolon(each))
    };
    said.extend(of(Judgement::OnTarget).map(say::wish_met));
    said.extend(of(Judgement::OnTargetWithinError).map(say::wish_within));
    said
}

/// Parts of which nothing can be told for the sake of one and the same reading together, so saddles, and nut
/// slots, of which the same is to be said; each other alone.
fn alike<'p>(parts: &[&'p PartChange]) -> Vec<Vec<&'p PartChange>> {
    let doubted = |part: &PartChange| {
        let one = part.rests_on_one.as_ref().filter(|_| part.verdict == PartVerdict::CannotBeTold);
        one.map(|one| (one.entry, one.measurand))
    };
    let mut groups: Vec<Vec<&PartChange>> = Vec::new();
    for part in parts {
        let same = |group: &&mut Vec<&PartChange>| {
            doubted(part).is_some() && group.iter().any(|other| doubted(other) == doubted(part))
                || in_one(part).is_some() && group.iter().all(|other| in_one(other) == in_one(part))
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.push(part),
            None => groups.push(vec![part]),
        }
    }
    groups
}

/// Of saddles and of nut slots that have nothing of their own, what is said of several in one: which they are
/// of, whether it can be told, and what would tell.
fn in_one(part: &PartChange) -> Option<(bool, bool, Option<Quantity>)> {
    let is_saddle = match part.part {
        InstrumentPart::Saddle(_) => true,
        InstrumentPart::Nut(_) => false,
        _ => return None,
    };
    let open = part.verdict == PartVerdict::CannotBeTold;
    let quiet = part.rests_on_one.is_none() && part.noted.is_empty();
    let said = open || part.verdict == PartVerdict::NotBeyondRead && !leans(part);
    let bounded = part.interval_mm.is_some();
    let tells = part.would_tell.map(|of| of.quantity);
    (quiet && said && bounded).then_some((is_saddle, open, tells))
}

/// What is said of several alike, with the widest of their numbers.
fn of_several(parts: &[&PartChange], spec: &InstrumentSpec) -> Phrase {
    let widest = parts.iter().filter_map(|part| part.interval_mm);
    let widest = widest.reduce(|(low, high), (a, b)| (low.min(a), high.max(b)));
    let said = parts.first().zip(widest).zip(together(parts, spec)).map(|((one, ends), names)| {
        let (of, low, high) = (number_of(one.part), signed(ends.0), signed(ends.1));
        match one.verdict {
            PartVerdict::CannotBeTold => say::unclear_several(names, of, low, high),
            PartVerdict::NotBeyondRead | PartVerdict::Moved => {
                say::still_several(names, of, low, high)
            }
        }
    });
    let open = parts.iter().filter(|part| part.verdict == PartVerdict::CannotBeTold);
    let settle = would_tell(&open.copied().collect::<Vec<_>>(), spec);
    List::sentences(said.into_iter().chain(settle)).into()
}

/// Several parts that moved, if one reading is right.
fn in_one_doubt(parts: &[&PartChange], spec: &InstrumentSpec) -> Phrase {
    let names = parts.iter().map(|one| part(one.part, spec)).collect::<Vec<_>>();
    let seen = parts.iter().find_map(|one| Some((*one, one.rests_on_one.as_ref()?)));
    let doubtful = seen.map(|(_, seen)| {
        say::doubtful_several(
            List::comma(names),
            crate::messages::plan::of_place(measurand(seen.measurand, spec), observation(seen)),
        )
    });
    let settle = seen.and_then(|(of, seen)| settle(of, Some(seen), spec));
    List::sentences(doubtful.into_iter().chain(settle)).into()
}

/// Whether nothing was read that tells of a part.
fn is_open(part: &PartChange) -> bool {
    part.verdict == PartVerdict::CannotBeTold
        && part.interval_mm.is_none()
        && part.rests_on_one.is_none()
}

/// The names of all parts of which nothing can be told; saddles in one, nut slots in one.
pub fn untold_parts(changed: &WhatChanged, spec: &InstrumentSpec) -> Option<List> {
    let untold: Vec<&PartChange> =
        changed.parts.iter().filter(|part| part.told().is_none()).collect();
    together(&untold, spec)
}

fn together(parts: &[&PartChange], spec: &InstrumentSpec) -> Option<List> {
    let (mut names, mut saddles, mut slots) = (Vec::new(), Vec::new(), Vec::new());
    for one in parts {
        match one.part {
            InstrumentPart::Saddle(place) => saddles.push(place),
            InstrumentPart::Nut(place) => slots.push(place),
            other => names.push(part(other, spec)),
        }
    }
    names.extend(match saddles[..] {
        [] => None,
        [one] => Some(part(InstrumentPart::Saddle(one), spec)),
        _ => Some(say::saddles(names::strings(spec, &saddles))),
    });
    names.extend(match slots[..] {
        [] => None,
        [one] => Some(part(InstrumentPart::Nut(one), spec)),
        _ => Some(say::nuts(names::strings(spec, &slots))),
    });
    (!names.is_empty()).then(|| List::comma(names))
}

/// All parts of which nothing was read: one line, and what to read for it.
fn all_open(open: &[&PartChange], spec: &InstrumentSpec) -> Option<Phrase> {
    let names = together(open, spec)?;
    let settle = would_tell(open, spec);
    Some(List::sentences([say::open(names)].into_iter().chain(settle)).into())
}

/// What to measure to find out about these parts.
fn would_tell(parts: &[&PartChange], spec: &InstrumentSpec) -> Option<Phrase> {
    let mut read: Vec<(Quantity, Vec<StringPlace>, Phrase)> = Vec::new();
    for of in parts.iter().filter_map(|one| one.would_tell) {
        match read.iter_mut().find(|(quantity, ..)| *quantity == of.quantity) {
            Some((_, places, _)) => places.extend(of.place()),
            None => read.push((of.quantity, of.place().into_iter().collect(), measurand(of, spec))),
        }
    }
    let read = read.into_iter().map(|(quantity, places, one)| match places.len() {
        0 | 1 => one,
        _ => crate::messages::plan::of_place(
            names::strings(spec, &places),
            names::quantity(quantity),
        ),
    });
    let read: Vec<Phrase> = read.collect();
    (!read.is_empty()).then(|| say::to_settle(List::semicolon(read).into()))
}

/// What most likely happened, with odds, and what would make it sure: one line.
fn lead(changed: &WhatChanged, spec: &InstrumentSpec) -> Option<Phrase> {
    if changed.likely.is_empty() {
        return None;
    }
    let each: Vec<Phrase> = changed.likely.iter().map(|one| likely(one, spec)).collect();
    let mut said = vec![say::likely(List::semicolon(each).ranked())];
    let open = |one: &&LikelyChange| one.how_sure == HowSure::MostLikely;
    let decide = changed.likely.iter().filter(open).map(|one| match one.decide {
        Some(what) if one.another_tool => say::likely_other_tool(measurand(what, spec)),
        Some(what) => say::likely_again(measurand(what, spec)),
        None => say::likely_agree(),
    });
    said.extend(distinct(decide.collect()));
    Some(List::sentences(said).into())
}

/// That nothing moved: where something is told, nothing is likely and nothing in doubt.
fn nothing_moved(changed: &WhatChanged) -> Option<Phrase> {
    let quiet = |part: &PartChange| match part.verdict {
        PartVerdict::Moved => false,
        PartVerdict::NotBeyondRead => !leans(part),
        PartVerdict::CannotBeTold => part.rests_on_one.is_none(),
    };
    let told = changed.parts.iter().any(|part| part.verdict == PartVerdict::NotBeyondRead);
    let nothing = told && changed.likely.is_empty() && changed.parts.iter().all(quiet);
    nothing.then(say::no_change)
}

/// One part that most likely moved, and how likely.
pub fn likely(one: &LikelyChange, spec: &InstrumentSpec) -> Phrase {
    let (part, by) = (part(one.part, spec), signed(one.change.value));
    let odds = one.odds.clamp(1.0, MOST_ODDS).floor() as usize;
    match (one.how_sure, &one.against) {
        (HowSure::Moved, _) => say::likely_moved(part, by, odds),
        (HowSure::MostLikely, Some(seen)) => {
            say::likely_most_against(part, by, odds, names::reading(seen.reading))
        }
        (HowSure::MostLikely, None) => say::likely_most(part, by, odds),
    }
}

/// Two readers, one on each side, and how far they are known to be apart.
fn readers(bias: &ReaderBias) -> Phrase {
    let name = |(by, tool): &ReaderKey| plan::reader(by.as_deref(), *tool);
    let (first, second) = (name(&bias.a), name(&bias.b));
    match bias.more.observations {
        0 => say::readers_unknown(first, second, Computed::mm(bias.more.estimate.high)),
        count => say::readers(first, second, slope(bias.more.estimate), count),
    }
}

/// Whether a part that moved names it already.
fn is_named(noted: &NotedIntervention, changed: &WhatChanged) -> bool {
    let at = changed.noted.iter().position(|one| one == noted);
    changed.moved().any(|part| at.is_some_and(|at| part.noted.contains(&at)))
}

/// A part by its name: "the saddle of string 3 (A)".
pub fn part(part: InstrumentPart, spec: &InstrumentSpec) -> Phrase {
    match part {
        InstrumentPart::Neck => say::neck(),
        InstrumentPart::Twist => say::twist(),
        InstrumentPart::Joint => say::joint(),
        InstrumentPart::Saddle(place) => say::saddle(names::string_label(spec, place)),
        InstrumentPart::Nut(place) => say::nut(names::string_label(spec, place)),
        InstrumentPart::Heights => say::heights(),
    }
}

/// What the number of a part is of.
fn number_of(part: InstrumentPart) -> Phrase {
    match part {
        InstrumentPart::Neck => say::of_neck(),
        InstrumentPart::Twist => say::of_twist(),
        InstrumentPart::Joint => say::of_joint(),
        InstrumentPart::Saddle(_) => say::of_saddle(),
        InstrumentPart::Nut(_) => say::of_nut(),
        InstrumentPart::Heights => say::of_heights(),
    }
}

fn sentence(change: &PartChange, changed: &WhatChanged, spec: &InstrumentSpec) -> Phrase {
    let (name, of) = (part(change.part, spec), number_of(change.part));
    let ends = change.interval_mm.map(|(low, high)| (signed(low), signed(high)));
    match (change.verdict, ends) {
        (PartVerdict::Moved, ends) => {
            let by = signed(change.change.value);
            let (low, high) = ends.unwrap_or((by, by));
            let moved = say::moved(name, of, by, low, high);
            List::sentences(std::iter::once(moved).chain(beside(change, changed, spec))).into()
        }
        (PartVerdict::NotBeyondRead, None) => say::still_unbounded(name, of),
        // No all-clear where it rather moved than not.
        (PartVerdict::NotBeyondRead, Some((low, high))) if leans(change) => {
            say::still_likely(name, of, signed(change.change.value), low, high)
        }
        (PartVerdict::NotBeyondRead, Some((low, high))) => say::still(name, of, low, high),
        (PartVerdict::CannotBeTold, ends) => {
            let cannot = match (&change.rests_on_one, ends) {
                (Some(one), _) => {
                    let of = crate::messages::plan::of_place(
                        measurand(one.measurand, spec),
                        observation(one),
                    );
                    say::doubtful(name, number_of(change.part), of)
                }
                (None, None) => say::open(List::comma([name])),
                (None, Some((low, high))) => say::unclear(name, of, low, high),
            };
            let settle = settle(change, change.rests_on_one.as_ref(), spec);
            List::sentences(std::iter::once(cannot).chain(settle)).into()
        }
    }
}

/// Whether it rather moved than not, though it cannot be told from no change.
fn leans(part: &PartChange) -> bool {
    part.change.value.abs() > part.change.standard_uncertainty
}

/// What to say beside a part that moved.
fn beside(change: &PartChange, changed: &WhatChanged, spec: &InstrumentSpec) -> Option<Phrase> {
    let named = change.noted.iter().filter_map(|&at| changed.noted.get(at));
    let named: Vec<Phrase> = named.map(|one| noted(one, spec)).collect();
    if !named.is_empty() {
        return Some(say::noted(List::semicolon(distinct(named))));
    }
    let rose = matches!(change.part, InstrumentPart::Nut(_)) && change.change.value > 0.0;
    let rose = rose.then(say::slot_rose);
    let on_one = change.rests_on_one.as_ref().map(|one| {
        say::rests_on_one(crate::messages::plan::of_place(
            measurand(one.measurand, spec),
            observation(one),
        ))
    });
    let both: Vec<Phrase> = rose.into_iter().chain(on_one).collect();
    (!both.is_empty()).then(|| List::sentences(both).into())
}

/// What would settle it.
fn settle(change: &PartChange, one: Option<&Observation>, spec: &InstrumentSpec) -> Option<Phrase> {
    match (change.would_tell, one) {
        (Some(again), Some(one)) if again == one.measurand => Some(say::once_more()),
        (Some(other), _) => Some(say::to_settle(measurand(other, spec))),
        (None, Some(_)) => Some(say::earlier()),
        (None, None) => None,
    }
}

fn noted(noted: &NotedIntervention, spec: &InstrumentSpec) -> Phrase {
    plan::done_to(noted.kind, &noted.places, spec)
}

/// Each once.
fn distinct(phrases: Vec<Phrase>) -> Vec<Phrase> {
    let mut kept: Vec<Phrase> = Vec::new();
    for phrase in phrases {
        if !kept.contains(&phrase) {
            kept.push(phrase);
        }
    }
    kept
}

fn signed(mm: f64) -> Computed {
    Computed::mm(mm).signed()
}
