//! Visits: what was done in one go.

use std::collections::BTreeMap;

use fallaway_changes::Container;
use fallaway_record::{Body, Entry, EntryId, Placed, VisitEnded, VisitOpened};

use crate::book::Book;
use crate::error::{Error, Result};
use crate::inner::Edit;
use crate::instrument::Instrument;
use crate::views::{VisitLine, VisitView};

/// A visit that nobody ended is taken as over after this time.
const FORGOTTEN_SECONDS: i64 = 24 * 60 * 60;

/// The visit that this device's writer has open. Reads the writer's own last entries only: its
/// numbers are given in the order in which it wrote.
pub(crate) fn open_visit(book: &Book, now: i64) -> Option<VisitView> {
    let entries = (1..book.next_entry).rev().map(|number| EntryId::new(book.writer, number));
    for entry in entries.filter_map(|id| own_entry(book, id)) {
        match entry.body {
            Body::VisitEnd(_) => return None,
            Body::Visit(visit) if !is_struck(book, entry.id) => {
                let forgotten = now.saturating_sub(entry.at.unix_s) > FORGOTTEN_SECONDS;
                return (!forgotten).then_some(VisitView {
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
fn own_entry(book: &Book, id: EntryId) -> Option<Entry> {
    let drafted = book.drafted_put(Container::LOG, &id.to_string());
    drafted.map_or_else(|| book.record.entry(id), |put| Entry::decode(id, &put.value).ok())
}

fn is_struck(book: &Book, id: EntryId) -> bool {
    book.drafted_put(Container::STRUCK, &id.to_string()).is_some()
        || !book.record.struck_by(id).is_empty()
}

impl Edit<'_> {
    /// The open visit, or a new one.
    pub fn visit(&mut self) -> Result<EntryId> {
        let now = self.at.unix_s;
        match open_visit(self.book, now) {
            Some(visit) => Ok(visit.id),
            None => self.log(Body::Visit(VisitOpened::default()), None, None),
        }
    }
}

impl Instrument {
    /// The visit that this device has open.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn current_visit(&self) -> Result<Option<VisitView>> {
        let now = self.inner.clock.now().unix_s;
        self.inner.with_book(self.id, |_, book| Ok(open_visit(book, now)))
    }

    /// Every visit, in the order of the history. One whose beginning was crossed out is not here.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn visits(&self) -> Result<Vec<VisitLine>> {
        let now = self.inner.clock.now().unix_s;
        self.inner.with_book(self.id, |identity, book| {
            let state = book.state(now);
            let writers = book.writer_labels(identity, &self.inner.label);
            let mut lines: Vec<VisitLine> = Vec::new();
            let mut places: BTreeMap<EntryId, usize> = BTreeMap::new();
            for Placed { entry, .. } in state.entries().filter(|p| !state.is_struck(p.entry.id)) {
                if let Body::Visit(visit) = &entry.body {
                    places.insert(entry.id, lines.len());
                    let (id, purpose, begun) = (entry.id, visit.purpose.clone(), entry.at);
                    lines.push(VisitLine {
                        visit: VisitView { id, purpose, begun },
                        ended: None,
                        device: writers.label(&id.writer),
                        entries: 0,
                    });
                    continue;
                }
                let place = entry.visit.and_then(|visit| places.get(&visit));
                let Some(line) = place.and_then(|place| lines.get_mut(*place)) else { continue };
                match entry.body {
                    Body::VisitEnd(_) => line.ended = Some(entry.at),
                    _ => line.entries += 1,
                }
            }
            Ok(lines)
        })
    }

    /// Opens a visit. One that is open is ended first.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a purpose that is too long; whatever an edit answers.
    pub fn begin_visit(&self, purpose: Option<&str>) -> Result<EntryId> {
        if self.current_visit()?.is_some() {
            self.end_visit()?;
        }
        self.inner.edit(self.id, |edit| {
            let purpose = purpose.map(str::to_owned);
            edit.log(Body::Visit(VisitOpened { purpose }), None, None)
        })
    }

    /// Ends the open visit. What was written becomes one change, which the next bundle carries.
    ///
    /// # Errors
    /// [`Error::NotFound`] if none is open; whatever an edit answers.
    pub fn end_visit(&self) -> Result<()> {
        self.inner.edit(self.id, |edit| {
            let now = edit.at.unix_s;
            let visit = open_visit(edit.book, now)
                .ok_or_else(|| Error::not_found("open visit", "of this device"))?;
            edit.log(Body::VisitEnd(VisitEnded::default()), None, Some(visit.id))?;
            Ok(())
        })?;
        let mut desk = self.inner.desk()?;
        self.inner.seal(&mut desk, self.id)
    }
}
