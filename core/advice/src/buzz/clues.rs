//! What is known of a buzz beside the numbers: what is different since the string last played clean, and
//! what was tried.

use fallaway_measure::{Location, StringPlace};
use fallaway_record::{EntryId, Moment, State};
use uom::si::force::newton;

use crate::observe::{
    EventKind, FittedStrings, Freshness, Input, InterventionKind, Measurand, MeasurandKind,
    Observation, ReadingIndex, settled_spec,
};
use crate::strings::tension_of;

/// A string's pull when it last played clean, and now.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PullChange {
    /// Then, in N.
    pub then_newton: f64,
    /// Now, in N.
    pub now_newton: f64,
}

/// What is different from when a string last played clean: when its action was last written as left, which
/// is done after every note was played.
#[derive(Debug, Clone, PartialEq)]
pub struct SinceClean {
    /// The entry that says so.
    pub entry: EntryId,
    /// When.
    pub at: Moment,
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
    /// The relief.
    pub relief: bool,
    /// The action of the string.
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
    /// What the record tells of a string. `None` if its action was never written as left.
    pub fn of(input: &Input<'_>, state: &State, place: StringPlace) -> Option<Self> {
        let bench = ReadingIndex::new(input);
        let events = input.events.iter().enumerate().rev().filter(|(_, e)| !e.retracted);
        let (left, action) = events
            .filter_map(|(index, event)| match &event.what {
                EventKind::Pass(pass) if pass.as_left => Some((index, pass)),
                _ => None,
            })
            .find_map(|(index, pass)| {
                let of = Measurand { quantity: pass.quantity, location: Location::Course(place) };
                let is_action = of.kind().is_some_and(MeasurandKind::is_action);
                let seen = bench.seen(index, of).filter(|_| is_action)?;
                Some((index, seen))
            })?;
        let event = input.events.get(left)?;
        // The relief of the same visit, read the same way since.
        let relief = (0..input.events.len()).rev().find_map(|index| {
            let other =
                input.events.get(index).filter(|e| !e.retracted && e.visit == event.visit)?;
            let EventKind::Pass(pass) = &other.what else { return None };
            let of = Measurand { quantity: pass.quantity, location: Location::Whole };
            bench.seen(index, of).filter(|_| of.kind() == Some(MeasurandKind::Relief))
        });
        let fell = |then: &Observation| {
            let change = then.known.minus(bench.last_ever(then.measurand)?.known);
            (change.tells() && change.value > 0.0).then_some(change.value)
        };
        let strings = bench.interventions.iter().rev().find(|done| {
            let kind = done.intervention.kind;
            let other = matches!(kind, InterventionKind::Strings | InterventionKind::Tuning);
            other && done.event > left && done.intervention.touches(place)
        });
        let pull = FittedStrings::new(input, state)
            .at(input, left, &[place])
            .and_then(|then| tension_of(&then, place).ok())
            .zip(tension_of(&settled_spec(state), place).ok())
            .map(|(then, now)| PullChange {
                then_newton: then.tension.value.get::<newton>(),
                now_newton: now.tension.value.get::<newton>(),
            });
        Some(Self {
            entry: event.entry,
            at: event.at,
            strings: strings.map(|done| done.intervention.kind),
            pull,
            action_fell_mm: fell(&action),
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
