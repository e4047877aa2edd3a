//! The visit that this device has open.

use fallaway_changes::Container;
use fallaway_record::{Entry, EntryBody, EntryId, VisitOpened};

use crate::error::Result;
use crate::loaded_record::LoadedRecord;
use crate::views::Visit;
use crate::workshop_state::Edit;

/// A visit that nobody ended is taken as over after this time.
const FORGOTTEN_SECONDS: i64 = 24 * 60 * 60;

/// The visit that this device's writer has open. Reads the writer's own last entries only: its
/// numbers are given in the order in which it wrote.
pub(crate) fn open_visit(loaded: &LoadedRecord, now: i64) -> Option<Visit> {
    let entries = (1..loaded.next_entry).rev().map(|number| EntryId::new(loaded.writer, number));
    for entry in entries.filter_map(|id| own_entry(loaded, id)) {
        match entry.body {
            EntryBody::VisitEnd(_) => return None,
            EntryBody::Visit(visit) if !is_retracted(loaded, entry.id) => {
                let forgotten = now.saturating_sub(entry.at.unix_s) > FORGOTTEN_SECONDS;
                return (!forgotten).then_some(Visit {
                    id: entry.id,
                    purpose: visit.purpose,
                    begun: entry.at,
                });
            }
            _ => {}
        }
    }
    None
}

/// The line of the draft, or the entry of the document. Numbers whose line was erased have neither.
fn own_entry(loaded: &LoadedRecord, id: EntryId) -> Option<Entry> {
    let drafted = loaded.drafted_put(Container::LOG, &id.to_string());
    drafted.map_or_else(|| loaded.record.entry(id), |put| Entry::decode(id, &put.value).ok())
}

fn is_retracted(loaded: &LoadedRecord, id: EntryId) -> bool {
    loaded.drafted_put(Container::RETRACTED, &id.to_string()).is_some()
        || !loaded.record.retracted_by(id).is_empty()
}

impl Edit<'_> {
    /// The open visit, or a new one.
    pub fn visit(&mut self) -> Result<EntryId> {
        let now = self.at.unix_s;
        match open_visit(self.loaded, now) {
            Some(visit) => Ok(visit.id),
            None => self.log(EntryBody::Visit(VisitOpened::default()), None, None),
        }
    }
}
