//! The numbers card: the last value of each thing against the setup, and whether it is still there.

use crate::bench::{Bench, Seen, Standing};
use crate::deed::DeedKind;
use crate::input::{Goal, Input};
use crate::known::{Bound, Known};
use crate::thing::{Class, Thing};

/// Whether a thing is still where the setup has it.
#[derive(Debug, Clone, PartialEq)]
pub enum Still {
    /// Within the tolerance.
    Yes,
    /// Beyond the tolerance, but no more than the reading can tell.
    AsFarAsTold,
    /// Moved.
    Moved {
        /// By how much: read minus wanted.
        by: Known,
    },
    /// A bound that leaves it open.
    Open,
    /// Nobody set a target.
    NoTarget,
    /// People wrote two targets apart.
    TwoValues {
        /// All of them.
        values: Vec<Goal>,
    },
    /// The readings disagree.
    Disagree {
        /// All of them.
        readings: Vec<Seen>,
    },
    /// Something has been done since it was read.
    MeasureAgain {
        /// What was done.
        deed: DeedKind,
    },
    /// Never read.
    NotRead,
}

/// One line of the card.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What.
    pub thing: Thing,
    /// The last reading that was not crossed out, of whichever visit.
    pub seen: Option<Seen>,
    /// Whether that reading is of today.
    pub today: bool,
    /// The target, if it is one.
    pub target: Option<Goal>,
    /// How they compare.
    pub still: Still,
}

/// The card.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    /// Its lines in the order of the chain of work, then of the strings.
    pub lines: Vec<Line>,
}

/// Makes the card: every thing with a target, and every other that was ever read.
pub fn card(input: &Input<'_>) -> Card {
    let bench = Bench::new(input);
    let mut things: Vec<Thing> = input.wishes.iter().map(|w| w.thing).collect();
    for thing in bench.ever_read() {
        if !things.contains(&thing) {
            things.push(thing);
        }
    }
    things.retain(|t| t.class().is_some());
    let place = |t: &Thing| input.facts.strings.iter().position(|s| Some(s.place) == t.place());
    things.sort_by_key(|t| (t.class().map(chain_order), place(t)));
    Card { lines: things.into_iter().map(|thing| line(&bench, thing)).collect() }
}

/// Where a class stands on the card.
const fn chain_order(class: Class) -> u8 {
    match class {
        Class::Relief => 0,
        Class::ActionOpen | Class::ActionStopped => 1,
        Class::NutOpen | Class::NutHeld => 2,
        Class::SpacingBridge => 3,
        Class::SpacingNut => 4,
        Class::PickupGap => 5,
        Class::IntonationNearNut | Class::Intonation => 6,
        Class::Pitch => 7,
    }
}

fn line(bench: &Bench<'_>, thing: Thing) -> Line {
    let wish = bench.input.wish(thing);
    let target = wish.and_then(|w| w.settled()).cloned();
    let standing = bench.standing(thing, target.as_ref().and_then(|g| g.posture));
    let today = matches!(standing, Standing::Read { .. } | Standing::Disagree { .. });
    let (seen, stale, disagree) = match standing {
        Standing::Never => (None, None, None),
        Standing::Earlier { last } => {
            let stale = bench.done_since(&last);
            (Some(last), stale, None)
        }
        Standing::Stale { last, deed, .. } => (Some(last), Some(deed), None),
        Standing::Read { seen, .. } => (Some(seen), None, None),
        Standing::Disagree { readings } => (readings.last().cloned(), None, Some(readings)),
    };
    let still = match (wish, &seen) {
        (Some(w), _) if w.contested => Still::TwoValues { values: w.values.clone() },
        (_, None) => Still::NotRead,
        _ if disagree.is_some() => Still::Disagree { readings: disagree.unwrap_or_default() },
        _ if stale.is_some() => Still::MeasureAgain { deed: stale.unwrap_or(DeedKind::Unknown) },
        (_, Some(seen)) => target.as_ref().map_or(Still::NoTarget, |g| compare(seen, g)),
    };
    Line { thing, seen, today, target, still }
}

fn compare(seen: &Seen, goal: &Goal) -> Still {
    let of = |amount| Known::of_amount(amount).filter(|k| k.scale == seen.known.scale);
    let Some((wanted, tolerance)) = of(goal.wanted).zip(of(goal.tolerance)) else {
        return Still::NoTarget;
    };
    let by = seen.known.minus(wanted);
    let within = by.value.abs() <= tolerance.value.abs() * (1.0 + 1e-9);
    match (within, by.tells(), by.bound) {
        (false, true, _) => Still::Moved { by },
        (true, _, Bound::Value) => Still::Yes,
        (false, false, Bound::Value) => Still::AsFarAsTold,
        _ => Still::Open,
    }
}
