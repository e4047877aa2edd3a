//! Visits: what was done in one go.

use fallaway_order::Map;
use fallaway_record::{EntryBody, EntryId, Placed, VisitEnded, VisitOpened};

use crate::error::Result;
use crate::instrument::Instrument;
use crate::showing::views::{Visit, VisitLine};
use crate::writing::open_visit::open_visit;
use crate::writing::write_options::WriteOptions;

impl Instrument {
    /// The visit that this device has open.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn current_visit(&self) -> Result<Option<Visit>> {
        let now = self.inner.clock.now().unix_s;
        self.inner.with_record(self.id, |_, loaded| Ok(open_visit(loaded, now)))
    }

    /// Every visit, in the order of the history. One whose beginning was crossed out is not here.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn visits(&self) -> Result<Vec<VisitLine>> {
        let now = self.inner.clock.now().unix_s;
        self.inner.with_record(self.id, |identity, loaded| {
            let state = loaded.state(now);
            let writers = loaded.writer_labels(identity);
            let mut lines: Vec<VisitLine> = Vec::new();
            let mut places: Map<EntryId, usize> = Map::new();
            for Placed { entry, .. } in state.entries().filter(|p| !state.is_retracted(p.entry.id))
            {
                if let EntryBody::Visit(visit) = &entry.body {
                    places.insert(entry.id, lines.len());
                    let (id, purpose, begun) = (entry.id, visit.purpose.clone(), entry.at);
                    lines.push(VisitLine {
                        visit: Visit { id, purpose, begun },
                        ended: None,
                        device: writers.label(&id.writer),
                        entries: 0,
                    });
                    continue;
                }
                let place = entry.visit.and_then(|visit| places.get(&visit));
                let Some(line) = place.and_then(|place| lines.get_mut(*place)) else { continue };
                match entry.body {
                    EntryBody::VisitEnd(_) => line.ended = Some(entry.at),
                    _ => line.entries += 1,
                }
            }
            Ok(lines)
        })
    }

    /// Opens a visit. One that is open is ended first, unless the new one is of an earlier time.
    ///
    /// # Errors
    /// [`crate::Error::BadInput`] for a purpose that is too long; whatever an edit answers.
    pub fn begin_visit(
        &self,
        purpose: Option<&str>,
        options: impl Into<WriteOptions>,
    ) -> Result<EntryId> {
        let options = options.into();
        if options.at.is_none() && self.current_visit()?.is_some() {
            self.end_visit(None, None)?;
        }
        self.inner.edit(self.id, |edit| {
            let opened = VisitOpened { purpose: purpose.map(str::to_owned) };
            edit.write(&EntryBody::Visit(opened), &options)
        })
    }

    /// Ends the open visit, or the one of the time that the options say; `note` is what is left to do
    /// or to watch. What was written becomes one change, which the next bundle carries.
    ///
    /// # Errors
    /// [`crate::Error::NotFound`] if none is open; whatever an edit answers.
    pub fn end_visit(&self, note: Option<&str>, options: impl Into<WriteOptions>) -> Result<()> {
        let options = options.into();
        self.inner.edit(self.id, |edit| {
            let ended = VisitEnded { note: note.map(str::to_owned) };
            edit.write(&EntryBody::VisitEnd(ended), &options).map(drop)
        })?;
        let mut session = self.inner.session()?;
        self.inner.commit_draft(&mut session, self.id)
    }
}
