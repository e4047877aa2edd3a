//! Taking a setup from a visit: its last readings become targets.

use fallaway_advice::observe::{targets_from_visit, with_input};
use fallaway_record::{EntryBody, EntryId, Moment, SetupId, State, Target};

use fallaway_text::errors::{Accepted, NothingAccepted};
use fallaway_text::messages::errors as say;

use crate::error::{Error, NotFoundKind, Result};

/// The targets that a visit's last readings make.
pub(crate) fn targets_of_visit(
    state: &State,
    setup: &SetupId,
    visit: Option<EntryId>,
    at: Moment,
) -> Result<Vec<Target>> {
    let visit = visit
        .or_else(|| last_visit_with_readings(state))
        .ok_or_else(|| Error::not_found(NotFoundKind::Readings, ""))?;
    if state.get(visit).is_none() {
        return Err(Error::not_found(NotFoundKind::Visit, visit.to_string()));
    }
    let taken = with_input(state, setup, at.unix_s, |input| targets_from_visit(input, visit));
    if taken.is_empty() {
        return Err(Error::NotFound {
            what: NotFoundKind::Readings,
            name: String::new(),
            accepted: Accepted::nothing(NothingAccepted::Unwritten).said(say::read_numbers_first()),
        });
    }
    let targets = taken.into_iter().map(|new| Target {
        quantity: new.measurand.quantity,
        location: new.measurand.location,
        wanted: new.wanted,
        tolerance: new.tolerance,
        by: new.from.by,
        at,
        taken_from: Some(new.from.entry),
    });
    Ok(targets.collect())
}

fn last_visit_with_readings(state: &State) -> Option<EntryId> {
    let mut passes = state.entries().rev().filter(|placed| {
        matches!(placed.entry.body, EntryBody::Pass(_)) && !state.is_retracted(placed.entry.id)
    });
    passes.find_map(|placed| placed.entry.visit)
}
