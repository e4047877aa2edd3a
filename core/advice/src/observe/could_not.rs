//! What somebody tried and could not do: a part that does not move, a number that cannot be read.

use fallaway_measure::Quantity;
use fallaway_record::{CouldNot, EntryId, Moment};

use super::done::live;
use super::from_record::intervention_of_part;
use super::input::{Event, EventKind, Input};
use super::intervention::{Intervention, InterventionKind};

/// A note that something could not be done, that nothing written later speaks against.
#[derive(Debug, Clone, PartialEq)]
pub struct NotDone {
    /// The entry that says so.
    pub entry: EntryId,
    /// What could not be done.
    pub what: CouldNot,
    /// Why, in the words of whoever tried.
    pub reason: String,
    /// Who tried, if that was said.
    pub by: Option<String>,
    /// When, by their clock.
    pub at: Moment,
    /// Whether it is of today: then it is not asked for again. One of an earlier visit is only told.
    pub is_today: bool,
}

/// Every such note, in the order of the record.
pub(crate) fn not_done(
    input: &Input<'_>,
    today: &dyn Fn(usize, &Event<'_>) -> bool,
) -> Vec<NotDone> {
    let mut found = Vec::new();
    for (index, event) in live(input) {
        let EventKind::CouldNot { what, reason } = event.what else { continue };
        if later(input, index).any(|later| speaks_against(&later.what, what)) {
            continue;
        }
        found.push(NotDone {
            entry: event.entry,
            what,
            reason: reason.to_owned(),
            by: event.by.as_deref().map(str::to_owned),
            at: event.at,
            is_today: today(index, event),
        });
    }
    found
}

fn later<'i>(input: &'i Input<'i>, index: usize) -> impl Iterator<Item = &'i Event<'i>> {
    live(input).skip_while(move |(at, _)| *at <= index).map(|(_, event)| event)
}

/// Whether it was done after all.
fn speaks_against(later: &EventKind<'_>, what: CouldNot) -> bool {
    match (later, what) {
        (EventKind::Done(done), CouldNot::Move(part)) => {
            intervention_of_part(part, done.turns).is_some_and(|moved| moved == *done)
        }
        (
            EventKind::Tuned | EventKind::Done(Intervention { kind: InterventionKind::Tuning, .. }),
            CouldNot::Read { quantity, .. },
        ) => quantity == Quantity::Pitch,
        (EventKind::Pass(pass), CouldNot::Read { quantity: Quantity::Pitch, .. }) => {
            pass.quantity == Quantity::Pitch
        }
        (EventKind::Pass(pass), CouldNot::Read { quantity, location }) => {
            pass.quantity == quantity && pass.readings.iter().any(|r| r.location == location)
        }
        _ => false,
    }
}

/// What moving a part does to the instrument.
pub(crate) fn moving(part: fallaway_record::AdjustedPart) -> Option<Intervention> {
    intervention_of_part(part, None)
}
