//! Which strings were on, and to which notes they were tuned, when an entry was written.

use std::borrow::Cow;

use fallaway_measure::{Note, StringPlace};
use fallaway_record::spec::StringSpec;
use fallaway_record::{EntryBody, InstrumentSpec, State};

use super::from_record::settled_spec;
use super::input::Input;

/// What changed at one entry.
struct Changed {
    event: usize,
    fitted: Vec<(StringPlace, StringSpec)>,
    notes: Vec<(StringPlace, Note)>,
}

/// The changes of strings and tuning that say what was fitted, and to which notes.
pub(crate) struct FittedStrings<'s> {
    now: Cow<'s, InstrumentSpec>,
    changes: Vec<Changed>,
}

impl<'s> FittedStrings<'s> {
    pub(crate) fn new(input: &Input<'_>, state: &'s State) -> Self {
        let changes = state
            .entries()
            .enumerate()
            .filter(|(event, _)| input.events.get(*event).is_some_and(|e| !e.retracted))
            .filter_map(|(event, placed)| {
                let (fitted, notes) = match &placed.entry.body {
                    EntryBody::StringChange(change) => (change.fitted.clone(), Vec::new()),
                    EntryBody::Tuning(tuning) => (Vec::new(), tuning.changed.clone()),
                    _ => return None,
                };
                let told = !fitted.is_empty() || !notes.is_empty();
                told.then_some(Changed { event, fitted, notes })
            })
            .collect();
        Self { now: settled_spec(state), changes }
    }

    /// The instrument's facts with the strings and notes of the time when an entry was written. A
    /// change that does not name what it fitted is taken for strings of the same kind. `None` if a
    /// later change named what it fitted to one of these strings, and no earlier one did.
    pub(crate) fn at(
        &self,
        input: &Input<'_>,
        event: usize,
        places: &[StringPlace],
    ) -> Option<Cow<'_, InstrumentSpec>> {
        self.as_of(places, |change| change == event || input.causality.precedes(change, event))
    }

    /// As [`Self::at`], before what the entry itself says.
    pub(crate) fn before(
        &self,
        input: &Input<'_>,
        event: usize,
        places: &[StringPlace],
    ) -> Option<Cow<'_, InstrumentSpec>> {
        self.as_of(places, |change| input.causality.precedes(change, event))
    }

    fn as_of(
        &self,
        places: &[StringPlace],
        known: impl Fn(usize) -> bool,
    ) -> Option<Cow<'_, InstrumentSpec>> {
        let before = |change: &&Changed| known(change.event);
        let mut spec = Cow::Borrowed(&*self.now);
        for place in places {
            let fits = |change: &Changed| pick(&change.fitted, *place).cloned();
            let tunes = |change: &Changed| pick(&change.notes, *place).copied();
            let later =
                |of: &dyn Fn(&Changed) -> bool| self.changes.iter().any(|c| !before(&c) && of(c));
            if later(&|c| fits(c).is_some()) {
                let on = self.changes.iter().filter(before).filter_map(fits).next_back()?;
                spec.to_mut().strings.insert(*place, on);
            }
            if later(&|c| tunes(c).is_some()) {
                let note = self.changes.iter().filter(before).filter_map(tunes).next_back()?;
                spec.to_mut().tuning.insert(*place, note);
            }
        }
        Some(spec)
    }
}

fn pick<T>(list: &[(StringPlace, T)], place: StringPlace) -> Option<&T> {
    list.iter().rev().find(|(at, _)| *at == place).map(|(_, what)| what)
}
