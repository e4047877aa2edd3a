//! Visits: what was done in one go.

use fallaway_record::{Body, EntryId, State, VisitEnded, VisitOpened};

use crate::error::{Error, Result};
use crate::inner::Edit;
use crate::instrument::Instrument;
use crate::views::VisitView;

/// A visit that nobody ended is taken as over after this time.
const FORGOTTEN_SECONDS: i64 = 24 * 60 * 60;

/// The visit that this device's writer has open.
pub(crate) fn open_visit(
    state: &State,
    writer: fallaway_bundle::Writer,
    now: i64,
) -> Option<VisitView> {
    for placed in state.entries().rev().filter(|placed| placed.entry.id.writer == writer) {
        match &placed.entry.body {
            Body::VisitEnd(_) => return None,
            Body::Visit(visit) if !state.is_struck(placed.entry.id) => {
                let forgotten = now.saturating_sub(placed.entry.at.unix_s) > FORGOTTEN_SECONDS;
                return (!forgotten).then(|| VisitView {
                    id: placed.entry.id,
                    purpose: visit.purpose.clone(),
                    begun: placed.entry.at,
                });
            }
            _ => {}
        }
    }
    None
}

impl Edit<'_> {
    /// The open visit, or a new one.
    pub fn visit(&mut self) -> Result<EntryId> {
        let now = self.at.unix_s;
        match open_visit(&self.book.state(now), self.book.writer, now) {
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
        self.inner.with_book(self.id, |_, book| Ok(open_visit(&book.state(now), book.writer, now)))
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
            let visit = open_visit(&edit.book.state(now), edit.book.writer, now)
                .ok_or_else(|| Error::not_found("open visit", "of this device"))?;
            edit.log(Body::VisitEnd(VisitEnded::default()), None, Some(visit.id))?;
            Ok(())
        })?;
        let mut desk = self.inner.desk()?;
        self.inner.seal(&mut desk, self.id)
    }
}
