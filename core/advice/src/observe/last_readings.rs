//! The last reading of everything, and whether it still stands.

use std::collections::HashMap;

use fallaway_measure::Reading;
use fallaway_record::EntryId;

use super::index::ReadingIndex;
use super::input::{EventKind, Input, TODAY_S};
use super::intervention::InterventionKind;
use super::measurand::Measurand;
use super::repeatability::Repeatability;
use super::so_far::SoFar;

/// The last reading of a measurand that was not retracted, of any visit: in the order of the record, but
/// for one that is dated on an earlier day.
#[derive(Debug, Clone, PartialEq)]
pub struct LastRead {
    /// The entry that holds it.
    pub entry: EntryId,
    /// What was read, and where.
    pub measurand: Measurand,
    /// The last thing done that disturbs it, unknown to its reader: measure again.
    pub overtaken_by: Option<InterventionKind>,
    /// What it says together with others of its day with nothing done between, where that is more than
    /// the reading itself: from one mark to the next.
    pub between: Option<Reading>,
    /// How its reader repeats a reading with that kind of tool, if the record shows it.
    pub repeats: Option<Repeatability>,
}

/// The last reading of each measurand that was ever read, and what carries them on.
pub fn last_readings(input: &Input<'_>) -> (Vec<LastRead>, SoFar) {
    let index = ReadingIndex::new(input);
    let mut last: HashMap<Measurand, usize> = HashMap::new();
    for (position, event) in input.events.iter().enumerate().filter(|(_, e)| !e.retracted) {
        let EventKind::Pass(pass) = &event.what else { continue };
        for read in pass.readings.iter() {
            let measurand = Measurand { quantity: pass.quantity, location: read.location };
            // Of an earlier day than one that is there: history, entered later.
            let kept = last.get(&measurand).and_then(|kept| input.events.get(*kept));
            if kept.is_none_or(|kept| event.at.unix_s >= kept.at.unix_s - TODAY_S) {
                last.insert(measurand, position);
            }
        }
    }
    let reading = |(measurand, position): (Measurand, usize)| {
        let event = input.events.get(position)?;
        let EventKind::Pass(pass) = &event.what else { return None };
        let overtaken_by = index.overtaken_by(position, measurand).map(|d| d.intervention.kind);
        Some(LastRead {
            entry: event.entry,
            measurand,
            overtaken_by,
            between: overtaken_by.is_none().then(|| index.beside(position, measurand)).flatten(),
            repeats: index.repeats(event, pass),
        })
    };
    (last.into_iter().filter_map(reading).collect(), SoFar::of(input))
}
