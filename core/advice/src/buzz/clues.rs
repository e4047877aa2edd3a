//! What is known of a buzz beside the numbers: what is different since the string last played clean, and
//! what was tried.

use fallaway_measure::{Location, StringPlace};
use fallaway_record::{EntryBody, EntryId, Moment, State};
use uom::si::force::newton;

use crate::observe::{
    EventKind, FittedStrings, Freshness, Input, InterventionKind, Measurand, MeasurandKind,
    Observation, ObservedPass, ReadingIndex, settled_spec,
};
use crate::strings::tension_of;

/// A string's pull when it last played clean, and now.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PullChange {
    /// The pull then, in N.
    pub then_newton: f64,
    /// The pull now, in N.
    pub now_newton: f64,
}

/// By what a string is taken to have played clean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CleanBy {
    /// Its action was written as left, which is done after every note was played.
    AsLeft,
    /// No buzz of it was noted until then.
    NothingNoted,
}

/// What is different from when a string last played clean.
#[derive(Debug, Clone, PartialEq)]
pub struct SinceClean {
    /// The entry that it is counted from: the action as it was left; else what was changed since.
    pub entry: EntryId,
    /// When that was.
    pub at: Moment,
    /// By what it played clean then.
    pub by: CleanBy,
    /// Strings or tuning that were changed since, if they were.
    pub strings: Option<InterventionKind>,
    /// The pull, if it is known for both.
    pub pull: Option<PullChange>,
    /// By how much the action fell, in mm, if the readings tell.
    pub action_fell_mm: Option<f64>,
    /// By how much the relief fell, in mm, if the readings tell.
    pub relief_fell_mm: Option<f64>,
}

/// A crown that was tried with a short straightedge over three frets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CrownCheck {
    /// The fret in the middle.
    pub fret: u8,
    /// Whether it rocked.
    pub rocks: bool,
}

/// What was read since it buzzes: there the neck or the string stands as read, give or take what the reading and the
/// touch leave open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ReadNow {
    /// Whether a relief of today stands, with nothing done since that disturbs it.
    pub relief: bool,
    /// Whether an action of the string of today stands, with nothing done since that disturbs it.
    pub action: bool,
}

impl ReadNow {
    /// What of a string stands as it was read today.
    pub fn of(input: &Input<'_>, place: StringPlace) -> Self {
        let bench = ReadingIndex::new(input);
        let stands = |of: Measurand| {
            let seen = bench.last_ever(of).filter(|seen| bench.is_today(seen.event));
            seen.is_some_and(|seen| {
                matches!(bench.standing(of, seen.posture), Freshness::Read { .. })
            })
        };
        let read = input.events.iter().filter(|e| !e.retracted).filter_map(|e| match &e.what {
            EventKind::Pass(pass) => Some(pass.quantity),
            _ => None,
        });
        let mut now = Self::default();
        for quantity in read {
            match MeasurandKind::of(quantity) {
                Some(MeasurandKind::Relief) => now.relief |= stands(Measurand::whole(quantity)),
                Some(kind) if kind.is_action() => {
                    now.action |= stands(Measurand::string(quantity, place));
                }
                _ => {}
            }
        }
        now
    }
}

/// What is known beside the numbers.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BuzzClues {
    /// What is different since the string last played clean.
    pub since: Option<SinceClean>,
    /// What was read since it buzzes.
    pub read_now: ReadNow,
    /// Crowns that were tried.
    pub crowns: Vec<CrownCheck>,
    /// Whether the buzz of an open string is gone with a capo at fret 1.
    pub gone_with_capo: Option<bool>,
}

impl SinceClean {
    /// What the record tells of a string: from when its action was last written as left; where that was never
    /// done, from the first change of its strings or tuning, or else its last action of an earlier day, if no buzz
    /// of it was noted until then. `None` if neither is on the record.
    pub fn of(input: &Input<'_>, state: &State, place: StringPlace) -> Option<Self> {
        let bench = ReadingIndex::new(input);
        let left = last_action(&bench, place, input.events.len(), &|_, pass| pass.as_left);
        let (from, before, by) = if let Some((index, _)) = &left {
            (*index, false, CleanBy::AsLeft)
        } else {
            let (from, before) = not_yet_noted(&bench, state, place)?;
            (from, before, CleanBy::NothingNoted)
        };
        let event = input.events.get(from)?;
        let action = left.or_else(|| last_action(&bench, place, from + 1, &|_, _| true));
        let action = action.map(|(_, seen)| seen);
        // The relief of the same visit, read the same way since; else the last one before.
        let relief = (0..input.events.len()).rev().find_map(|index| {
            let other = input.events.get(index).filter(|e| !e.retracted)?;
            let of_then = match by {
                CleanBy::AsLeft => other.visit == event.visit,
                CleanBy::NothingNoted => index <= from,
            };
            let EventKind::Pass(pass) = &other.what else { return None };
            let of = Measurand { quantity: pass.quantity, location: Location::Whole };
            let is_relief = of_then && of.kind() == Some(MeasurandKind::Relief);
            bench.seen(index, of).filter(|_| is_relief)
        });
        let fell = |then: &Observation| {
            let change = then.known.minus(bench.last_ever(then.measurand)?.known);
            (change.tells() && change.value > 0.0).then_some(change.value)
        };
        let strings = bench.interventions.iter().rev().find(|done| {
            let since = done.event > from || (before && done.event == from);
            since && done.intervention.touches(place) && refits(done.intervention.kind)
        });
        let fitted = FittedStrings::new(input, state);
        let then = if before {
            fitted.before(input, from, &[place])
        } else {
            fitted.at(input, from, &[place])
        };
        let pull = then
            .and_then(|then| tension_of(&then, place).ok())
            .zip(tension_of(&settled_spec(state), place).ok())
            .map(|(then, now)| PullChange {
                then_newton: then.tension.value.get::<newton>(),
                now_newton: now.tension.value.get::<newton>(),
            });
        Some(Self {
            entry: event.entry,
            at: event.at,
            by,
            strings: strings.map(|done| done.intervention.kind),
            pull,
            action_fell_mm: action.as_ref().and_then(fell),
            relief_fell_mm: relief.as_ref().and_then(fell),
        })
    }

    /// Whether the string may pull less than it did: by how much as a share, `None` if that is not known;
    /// an error where nothing speaks for it.
    pub(super) fn slacker(&self) -> Result<Option<f64>, ()> {
        match (self.pull, self.strings) {
            (Some(pull), _) if pull.now_newton < SLACKER * pull.then_newton => {
                Ok(Some(pull.now_newton / pull.then_newton))
            }
            (None, Some(_)) => Ok(None),
            _ => Err(()),
        }
    }
}

/// A pull below this share of what it was counts as less (a choice: some 30 cents).
const SLACKER: f64 = 0.97;

/// Whether something done is a change of strings or tuning.
const fn refits(kind: InterventionKind) -> bool {
    matches!(kind, InterventionKind::Strings | InterventionKind::Tuning)
}

/// The last action of a string before an entry, of the passes that count.
fn last_action(
    bench: &ReadingIndex<'_>,
    place: StringPlace,
    before: usize,
    counts: &dyn Fn(usize, &ObservedPass<'_>) -> bool,
) -> Option<(usize, Observation)> {
    let events = bench.input.events.iter().enumerate().take(before).rev();
    events.filter(|(_, e)| !e.retracted).find_map(|(index, event)| {
        let EventKind::Pass(pass) = &event.what else { return None };
        let of = Measurand { quantity: pass.quantity, location: Location::Course(place) };
        let is_action = of.kind().is_some_and(MeasurandKind::is_action);
        let seen = bench.seen(index, of).filter(|_| is_action && counts(index, pass))?;
        Some((index, seen))
    })
}

/// Up to which entry no buzz of a string was noted, and whether what that entry changed counts as since: the first
/// change of its strings or tuning that no note of a buzz precedes; else its last action of an earlier day.
fn not_yet_noted(
    bench: &ReadingIndex<'_>,
    state: &State,
    place: StringPlace,
) -> Option<(usize, bool)> {
    let input = bench.input;
    let mut buzzes = state.entries().enumerate().filter_map(|(index, placed)| {
        let of_it = matches!(&placed.entry.body, EntryBody::Buzz(buzz) if buzz.string == place);
        (of_it && input.events.get(index).is_some_and(|e| !e.retracted)).then_some(index)
    });
    let first_noted = buzzes.next().unwrap_or(usize::MAX);
    let mut changes = bench.interventions.iter().filter(|done| {
        let set_up = last_action(bench, place, done.event, &|_, _| true).is_some();
        set_up && refits(done.intervention.kind) && done.intervention.touches(place)
    });
    if let Some(first) = changes.next().filter(|done| done.event < first_noted) {
        return Some((first.event, true));
    }
    let earlier = |index: usize, _: &ObservedPass<'_>| !bench.is_today(index);
    let (index, _) = last_action(bench, place, input.events.len().min(first_noted), &earlier)?;
    Some((index, false))
}
