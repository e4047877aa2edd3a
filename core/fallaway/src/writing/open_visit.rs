//! The visit to which something belongs: the one that this device has open, or that of an earlier time.

use fallaway_order::Set;

use fallaway_changes::Container;
use fallaway_record::{Entry, EntryBody, EntryId, Moment, VisitEnded, VisitOpened};

use crate::error::Result;
use crate::keeping::loaded_record::LoadedRecord;
use crate::keeping::workshop_state::Edit;
use crate::showing::views::Visit;
use crate::writing::write_options::WriteOptions;

/// A visit that nobody ended is taken as over after this time.
const FORGOTTEN_SECONDS: i64 = 24 * 60 * 60;
/// Among so many of the writer's last entries the visit of the present is looked for. What was
/// written down about earlier days meanwhile lies between.
const LAST_ENTRIES: u64 = 64;
/// Among so many that of an earlier time.
const EARLIER_ENTRIES: u64 = 1024;

/// The visit that this device's writer has open.
pub(crate) fn open_visit(loaded: &LoadedRecord, now: i64) -> Option<Visit> {
    // A clock that was set back does not end it.
    let lasts = |visit: &Visit| now.saturating_sub(visit.begun.unix_s) <= FORGOTTEN_SECONDS;
    open_at(loaded, LAST_ENTRIES, lasts)
}

/// The last of the writer's visits that is not over and is the one that is meant, if so many of its
/// last entries name it: its numbers are given in the order in which it wrote.
fn open_at(loaded: &LoadedRecord, entries: u64, meant: impl Fn(&Visit) -> bool) -> Option<Visit> {
    let first = loaded.next_entry.saturating_sub(entries).max(1);
    let ids = (first..loaded.next_entry).rev().map(|number| EntryId::new(loaded.writer, number));
    let mut over = Set::new();
    for entry in ids.filter_map(|id| own_entry(loaded, id)) {
        let named = match entry.body {
            EntryBody::VisitEnd(_) if is_retracted(loaded, entry.id) => continue,
            EntryBody::VisitEnd(_) => {
                over.extend(entry.visit);
                continue;
            }
            EntryBody::Visit(_) => Some(entry.id),
            _ => entry.visit,
        };
        // Nothing is written into a visit after its end: if it has one, it was met before.
        let Some(id) = named.filter(|id| over.insert(*id) && !is_retracted(loaded, *id)) else {
            continue;
        };
        let begun = own_entry(loaded, id).and_then(|begun| as_visit(&begun));
        if let Some(visit) = begun.filter(&meant) {
            return Some(visit);
        }
    }
    None
}

fn as_visit(entry: &Entry) -> Option<Visit> {
    let EntryBody::Visit(opened) = &entry.body else { return None };
    Some(Visit { id: entry.id, purpose: opened.purpose.clone(), begun: entry.at })
}

/// The day at that place, counted from 1970.
fn day(at: Moment) -> i64 {
    at.unix_s.saturating_add(i64::from(at.offset_min) * 60).div_euclid(24 * 60 * 60)
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
    /// The visit that is open, or that was at the time that is given.
    pub(crate) fn known_visit(&self, at: Option<Moment>) -> Option<EntryId> {
        let Some(at) = at.filter(|at| at.unix_s < self.at.unix_s) else {
            let here = self.entries().iter().rev().find_map(as_visit);
            let here = here.filter(|visit| visit.begun == self.at);
            return here.or_else(|| open_visit(self.loaded, self.at.unix_s)).map(|visit| visit.id);
        };
        // A visit of an earlier time is over with its day; the one that is open now may go on.
        let open = open_visit(self.loaded, self.at.unix_s).map(|visit| visit.id);
        let then = |visit: &Visit| {
            let same_day = day(visit.begun) == day(at) || open == Some(visit.id);
            same_day && visit.begun.unix_s <= at.unix_s
        };
        let here = self.entries().iter().rev().filter_map(as_visit).find(then);
        let earlier = || open_at(self.loaded, EARLIER_ENTRIES, then);
        here.or_else(earlier).map(|visit| visit.id)
    }

    /// The same, or a new one. A new one of an earlier time is over at once if another is open now,
    /// so that what is written next goes on with that one.
    pub(crate) fn visit(&mut self, at: Option<Moment>) -> Result<EntryId> {
        if let Some(visit) = self.known_visit(at) {
            return Ok(visit);
        }
        let at = at.unwrap_or(self.at);
        self.log_at(at, EntryBody::Visit(VisitOpened::default()), None, None)
    }

    /// Adds an entry to the visit of its time.
    pub(crate) fn log_in_visit(
        &mut self,
        body: EntryBody,
        options: &WriteOptions,
    ) -> Result<EntryId> {
        let at = options.at.unwrap_or(self.at);
        let open = self.known_visit(None);
        let known = self.known_visit(options.at);
        let visit = self.visit(options.at)?;
        let id = self.log_at(at, body, options.by.as_deref(), Some(visit))?;
        let in_the_way = known.is_none() && open.is_some() && at != self.at;
        if in_the_way && self.at.unix_s.saturating_sub(at.unix_s) <= FORGOTTEN_SECONDS {
            self.log_at(at, EntryBody::VisitEnd(VisitEnded::default()), None, Some(visit))?;
        }
        Ok(id)
    }
}
