//! The bounds of each player's touch that a record holds.
//!
//! **A buzz** counts by the relief and action that stood when it was noted: read before or after it,
//! with nothing done between that disturbs them, within two weeks. Its force is the least at which one
//! of the named notes would touch; it counts if no other note of that string would touch before them,
//! for else a crown, the nut or a loose part is likelier than the touch.
//!
//! **A clean number** is a string's action, with its relief, as a visit left it (written as left, or
//! its last of that visit with nothing done after it), if the player is known to have been at the
//! instrument while it stood and did not note a buzz of that string: whoever wrote the numbers as left
//! (the last step of the work is to play every note), and whoever notes buzzes and wrote something
//! more than a day later. Of the former all notes count as played, of the latter those up to
//! [`PLAYED_TO`]. One string with one state of the instrument counts once for each player.

use std::collections::HashSet;

use fallaway_measure::{Location, StringPlace};
use fallaway_mechanics::clearance::Played;
use fallaway_mechanics::envelope_cache::EnvelopeCache;
use fallaway_order::Map;
use fallaway_order::PutInOrder as _;
use fallaway_record::spec::FretsSpec;
use fallaway_record::{Buzz, EntryBody, State};

use super::estimate::{BoundSide, SCATTER, TouchBound, estimate, prior, sides};
use super::player::{PlayerTouch, TouchHeard, TouchObserved};
use crate::clearance::{force_that_touches, joint_of, set_string};
use crate::learn::value::{LearnedValue, LeftOut, WhyLeftOut};
use crate::observe::{
    Bound, Done, EventKind, FittedStrings, Input, Measurand, MeasurandKind, Observation,
    ReadingIndex, disturbs, of_spec,
};

/// A reading tells of a buzz within this time of it: two weeks (common practice, no source).
const NEAR_S: i64 = 14 * 24 * 3600;
/// Somebody who writes something this long after the numbers were left has played on them: 20 hours
/// (common practice, no source).
const LIVED_WITH_S: i64 = 20 * 3600;
/// Notes up to this fret count as played by whoever did not say so (common practice, no source).
pub(super) const PLAYED_TO: u8 = 12;

/// Entries that tell of a touch: the last ones. A hand of long ago says little of today's, and what is
/// worked out stays within bounds, however long the record grows.
const RECENT: usize = 4_000;

struct Observer<'a> {
    input: &'a Input<'a>,
    /// The position of the first entry that counts.
    first: usize,
    /// Visits that were ended.
    ended: HashSet<usize>,
    bench: ReadingIndex<'a>,
    strings: FittedStrings<'a>,
    measurands: Vec<Measurand>,
    buzzes: Vec<(usize, Buzz)>,
    cache: EnvelopeCache,
    players: Map<String, Noted>,
}

/// What was noted of one player, each by the position of its entry.
#[derive(Default)]
struct Noted {
    observed: Vec<(usize, TouchObserved)>,
    left_out: Vec<(usize, LeftOut)>,
}

/// How hard each player plays.
pub(in crate::learn) fn learn<'a>(
    input: &'a Input<'a>,
    state: &'a State,
    without: Option<StringPlace>,
) -> Vec<PlayerTouch> {
    let bench = ReadingIndex::new(input);
    let measurands = bench.ever_read();
    let first = input.events.len().saturating_sub(RECENT);
    let live =
        |event: &usize| *event >= first && input.events.get(*event).is_some_and(|e| !e.retracted);
    let buzzes = state
        .entries()
        .enumerate()
        .filter(|(event, _)| live(event))
        .filter_map(|(event, placed)| match &placed.entry.body {
            EntryBody::Buzz(buzz) if Some(buzz.string) != without => Some((event, buzz.clone())),
            _ => None,
        })
        .collect();
    let ends = input.events.iter().filter(|e| matches!(e.what, EventKind::VisitEnded));
    let ended = ends.filter(|e| !e.retracted).filter_map(|e| e.visit).collect();
    let mut observer = Observer {
        input,
        first,
        ended,
        bench,
        strings: FittedStrings::new(input, state),
        measurands,
        buzzes,
        cache: EnvelopeCache::new(),
        players: Map::new(),
    };
    observer.buzzes();
    observer.clean();
    observer.players.into_iter().map(|(by, noted)| player(by, noted)).collect()
}

fn player(by: String, noted: Noted) -> PlayerTouch {
    let Noted { mut observed, mut left_out } = noted;
    observed.put_in_order_by_key(|(event, o)| (*event, o.place));
    left_out.put_in_order_by_key(|(event, _)| *event);
    left_out.dedup();
    let observed: Vec<TouchObserved> = observed.into_iter().map(|(_, o)| o).collect();
    let excluded = left_out.into_iter().map(|(_, e)| e).collect();
    let bounds: Vec<TouchBound> = observed.iter().map(|o| o.bound).collect();
    let force = LearnedValue {
        observations: observed.len(),
        estimate: estimate(&bounds),
        prior: prior(),
        excluded,
    };
    PlayerTouch { by, force, sides: sides(&bounds), observed }
}

impl Observer<'_> {
    fn by(&self, event: usize) -> Option<String> {
        self.input.events.get(event)?.by.as_deref().map(str::to_owned)
    }

    fn at(&self, event: usize) -> i64 {
        self.input.events.get(event).map_or(0, |e| e.at.unix_s)
    }

    fn precedes(&self, a: usize, b: usize) -> bool {
        a == b || self.input.causality.precedes(a, b)
    }

    /// Something done to a thing between a reading and another entry. A reading written apart from a
    /// intervention counts as before it, as everywhere; of another entry written apart the clock decides.
    fn done_between(
        &self,
        reading: usize,
        entry: usize,
        measurand: Measurand,
    ) -> Option<WhyLeftOut> {
        let precedes = |a, b| self.input.causality.precedes(a, b);
        let knows = |event: usize, done: &Done| {
            precedes(done.event, event)
                || done.since_unix_s.is_some_and(|since| self.at(event) >= since)
        };
        let sooner = |done: usize| {
            entry != reading && !precedes(entry, done) && self.at(done) < self.at(entry)
        };
        let between = self.bench.interventions.iter().rev().find(|done| {
            let knew = knows(entry, done) || sooner(done.event);
            knows(reading, done) != knew
                && disturbs(&done.intervention, measurand, &self.input.facts)
        });
        between.map(|done| WhyLeftOut::DoneBetween(done.intervention.kind))
    }

    /// The reading of a thing nearest to an entry with nothing done between; or why there is none.
    fn standing(
        &self,
        entry: usize,
        wanted: impl Fn(Measurand) -> bool,
        unread: WhyLeftOut,
    ) -> Result<Observation, WhyLeftOut> {
        let apart = |event: usize| (self.at(event) - self.at(entry)).abs();
        let mut nearest: Option<(usize, Result<Observation, WhyLeftOut>)> = None;
        for measurand in self.measurands.iter().copied().filter(|t| wanted(*t)) {
            for event in self.first..self.input.events.len() {
                let live = self.input.events.get(event).is_some_and(|e| !e.retracted);
                let Some(seen) = self.bench.seen(event, measurand).filter(|_| live) else {
                    continue;
                };
                if !seen.is_value() || seen.known.length().is_none() {
                    continue;
                }
                let told = match self.done_between(event, entry, measurand) {
                    Some(done) => Err(done),
                    None if apart(event) > NEAR_S => Err(WhyLeftOut::ReadLongFromIt),
                    None => Ok(seen),
                };
                // The nearest that stands; else why the nearest does not.
                let better = nearest.as_ref().is_none_or(|(other, kept)| {
                    (told.is_ok(), kept.is_err() || apart(event) <= apart(*other)) == (true, true)
                        || (told.is_err() && kept.is_err() && apart(event) <= apart(*other))
                });
                if better {
                    nearest = Some((event, told));
                }
            }
        }
        nearest.map_or(Err(unread), |(_, told)| told)
    }

    fn relief_under(&self, entry: usize, place: StringPlace) -> Result<Observation, WhyLeftOut> {
        let relief = |own: bool| {
            move |measurand: Measurand| {
                measurand.kind() == Some(MeasurandKind::Relief)
                    && match measurand.location {
                        Location::Course(course) => own && course == place,
                        Location::Whole => !own,
                        _ => false,
                    }
            }
        };
        self.standing(entry, relief(true), WhyLeftOut::ReliefUnread)
            .or_else(|_| self.standing(entry, relief(false), WhyLeftOut::ReliefUnread))
    }

    /// The least force at which one of the notes touches, and its share of uncertainty.
    fn force(
        &mut self,
        (entry, place): (usize, StringPlace),
        (relief, action): (&Observation, &Observation),
        notes: Played,
    ) -> Result<(f64, f64), WhyLeftOut> {
        let spec = self
            .strings
            .at(self.input, entry, &[place])
            .ok_or(WhyLeftOut::StringsUnknown)?
            .into_owned();
        let facts = of_spec(&spec);
        let fretless = spec.frets.is_some_and(FretsSpec::is_fretless);
        let last = facts.last_fret.filter(|_| !fretless).ok_or(WhyLeftOut::StringsUnknown)?;
        let joint = joint_of(&facts, &mut Vec::new()).map_err(|_| WhyLeftOut::StringsUnknown)?;
        let last = usize::from(last);
        let (string, _) = set_string(&spec, place, (joint, last), relief, action, None)
            .map_err(|_| WhyLeftOut::StringsUnknown)?;
        let notes = Played { first: notes.first, last: notes.last.min(last.saturating_sub(1)) };
        force_that_touches(&string, notes, &mut self.cache).map_err(|_| WhyLeftOut::LiesOnFret)
    }

    /// Files what an entry tells of a player.
    fn note(&mut self, by: &str, event: usize, told: Result<(usize, TouchObserved), WhyLeftOut>) {
        let noted = self.players.entry(by.to_owned()).or_default();
        match told {
            Ok(observed) => noted.observed.push(observed),
            Err(why) => {
                let entry = self.input.events.get(event);
                noted.left_out.extend(entry.map(|e| (event, LeftOut::new(e, why))));
            }
        }
    }

    fn observed(
        &self,
        event: usize,
        place: StringPlace,
        (heard, bound): (TouchHeard, TouchBound),
        relief: Observation,
        action: Observation,
    ) -> Result<(usize, TouchObserved), WhyLeftOut> {
        let told = self.input.events.get(event).ok_or(WhyLeftOut::StringsUnknown)?;
        let (entry, at) = (told.entry, told.at);
        Ok((event, TouchObserved { entry, at, place, heard, bound, relief, action }))
    }

    fn buzzes(&mut self) {
        for (event, buzz) in self.buzzes.clone() {
            let Some(by) = self.by(event) else { continue };
            let told = self.buzz(event, &buzz);
            self.note(&by, event, told);
        }
    }

    fn buzz(&mut self, event: usize, buzz: &Buzz) -> Result<(usize, TouchObserved), WhyLeftOut> {
        let place = buzz.string;
        let (from, to) = (buzz.from.number(), buzz.to.number());
        if to == 0 {
            return Err(WhyLeftOut::OpenString);
        }
        let action = self.standing(event, is_action(place), WhyLeftOut::ActionUnread)?;
        let relief = self.relief_under(event, place)?;
        let (first, last) = (usize::from(from.max(1)), usize::from(to));
        let on = (event, place);
        let (newton, u) = self.force(on, (&relief, &action), Played { first, last })?;
        // Notes as near as a fret to those named are not told apart by ear.
        for (low, high) in [(1, first.saturating_sub(2)), (last + 2, usize::from(PLAYED_TO))] {
            if low > high {
                continue;
            }
            let other = Played { first: low, last: high };
            // Relief, action and tension are the same for all: only the scatter of strokes is between.
            if let Ok((sooner, _)) = self.force(on, (&relief, &action), other)
                && newton > (1.0 + SCATTER) * sooner
            {
                return Err(WhyLeftOut::OthersFirst);
            }
        }
        let bound = bound(BoundSide::AtLeast, newton, u)?;
        let heard = TouchHeard::Buzz { from, to };
        self.observed(event, place, (heard, bound), relief, action)
    }

    fn clean(&mut self) {
        let places: Vec<StringPlace> = self.input.facts.strings.iter().map(|s| s.place).collect();
        // Each player's strings and states that count already.
        let mut counted: Vec<(String, StringPlace, usize)> = Vec::new();
        for index in (self.first..self.input.events.len()).rev() {
            let Some(event) = self.input.events.get(index).filter(|e| !e.retracted) else {
                continue;
            };
            let EventKind::Pass(pass) = &event.what else { continue };
            if !MeasurandKind::of(pass.quantity).is_some_and(MeasurandKind::is_action) {
                continue;
            }
            let (as_left, quantity, visit) = (pass.as_left, pass.quantity, event.visit);
            for place in places.iter().copied() {
                let measurand = Measurand::string(quantity, place);
                let value = self.bench.seen(index, measurand);
                let Some(action) = value.filter(|s| s.known.bound == Bound::Value) else {
                    continue;
                };
                if !self.was_left(index, measurand, visit, as_left) {
                    continue;
                }
                let state = self.state(index, measurand);
                for (by, entry, to) in self.at_it(index, measurand, as_left) {
                    if counted.contains(&(by.clone(), place, state)) {
                        continue;
                    }
                    counted.push((by.clone(), place, state));
                    let told = self.number(index, entry, place, to, action.clone());
                    self.note(&by, index, told);
                }
            }
        }
    }

    /// Whether a visit left the thing as it was read.
    fn was_left(
        &self,
        reading: usize,
        measurand: Measurand,
        visit: Option<usize>,
        as_left: bool,
    ) -> bool {
        let undone = || {
            self.bench.interventions.iter().all(|d| {
                let within = self.input.events.get(d.event).is_some_and(|e| e.visit == visit);
                !within
                    || self.input.causality.precedes(d.event, reading)
                    || !disturbs(&d.intervention, measurand, &self.input.facts)
            })
        };
        (as_left || visit.is_some_and(|v| self.ended.contains(&v))) && undone()
    }

    /// A number that is the same as long as nothing was done to the thing.
    fn state(&self, reading: usize, measurand: Measurand) -> usize {
        let done = self
            .bench
            .interventions
            .iter()
            .filter(|d| disturbs(&d.intervention, measurand, &self.input.facts));
        done.filter(|d| self.input.causality.precedes(d.event, reading)).count()
    }

    /// Who played on it without noting a buzz of it: their label, the entry that shows it, and the
    /// highest fret that counts as played.
    fn at_it(
        &self,
        reading: usize,
        measurand: Measurand,
        as_left: bool,
    ) -> Vec<(String, usize, u8)> {
        let mut all = Vec::new();
        let stood = |entry: usize| {
            self.precedes(reading, entry) && self.done_between(reading, entry, measurand).is_none()
        };
        let complained = |by: &str| {
            self.buzzes.iter().any(|(event, buzz)| {
                let same = measurand.place() == Some(buzz.string);
                let own = self.by(*event).is_none_or(|b| b == by);
                // A buzz noted before the number was read may be the very reason for it.
                same && own && self.done_between(reading, *event, measurand).is_none()
            })
        };
        if as_left && let Some(by) = self.by(reading).filter(|by| !complained(by)) {
            all.push((by, reading, u8::MAX));
        }
        for (event, entry) in self.input.events.iter().enumerate().skip(self.first) {
            let Some(by) = entry.by.as_deref().filter(|_| !entry.retracted) else { continue };
            let notes = self.buzzes.iter().any(|(b, _)| self.by(*b).as_deref() == Some(by));
            let later = entry.at.unix_s - self.at(reading) >= LIVED_WITH_S;
            let is_new = all.iter().all(|(other, ..)| other != by);
            if notes && later && is_new && stood(event) && !complained(by) {
                all.push((by.to_owned(), event, PLAYED_TO));
            }
        }
        all
    }

    fn number(
        &mut self,
        reading: usize,
        entry: usize,
        place: StringPlace,
        to: u8,
        action: Observation,
    ) -> Result<(usize, TouchObserved), WhyLeftOut> {
        let relief = self.relief_under(reading, place)?;
        let notes = Played { first: 1, last: usize::from(to) };
        let (newton, u) = self.force((reading, place), (&relief, &action), notes)?;
        let last = self.input.facts.last_fret.unwrap_or(to).saturating_sub(1);
        let heard = TouchHeard::Clean { to: to.min(last) };
        let bound = bound(BoundSide::AtMost, newton, u)?;
        self.observed(entry, place, (heard, bound), relief, action)
    }
}

fn is_action(place: StringPlace) -> impl Fn(Measurand) -> bool {
    move |measurand| {
        measurand.place() == Some(place) && measurand.kind().is_some_and(MeasurandKind::is_action)
    }
}

/// No touch is lighter or harder than the prior's interval: beyond it, a note tells of something else.
fn bound(
    side: BoundSide,
    newton: f64,
    relative_uncertainty: f64,
) -> Result<TouchBound, WhyLeftOut> {
    let within = prior();
    if (within.low..=within.high).contains(&newton) {
        Ok(TouchBound { side, newton, relative_uncertainty })
    } else {
        Err(WhyLeftOut::TouchBeyond { newton })
    }
}
