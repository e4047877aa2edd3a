//! Instruments that are put away: out of the lists of this device, with everything that they hold.
//!
//! What is put away is the device's own business, as its preferences are, so it lies in the store and
//! never in a record: the bass that the shop is done with is on its owner's list all the same.

use fallaway_order::Set;

use fallaway_changes::RecordId;
use fallaway_order::OneByOne as _;

use crate::error::Result;
use crate::keeping::workshop_state::WorkshopState;
use crate::showing::views::{InstrumentId, InstrumentSummary};
use crate::workshop::Workshop;

/// Where they lie in the store.
const META: &str = "archived";

impl WorkshopState {
    /// What was put away; nothing where that cannot be read.
    pub(crate) fn archived(&self) -> Result<Set<RecordId>> {
        let kept = self.store.meta(META)?.unwrap_or_default();
        let ids = kept.chunks_exact(RecordId::LEN).filter_map(|id| RecordId::try_from(id).ok());
        Ok(ids.in_set())
    }

    pub(crate) fn keep_archived(&self, id: InstrumentId, archived: bool) -> Result<()> {
        let mut ids = self.archived()?;
        if archived {
            ids.insert(id)
        } else {
            ids.remove(&id)
        };
        let bytes: Vec<u8> = ids.iter().flat_map(|id| id.to_bytes()).collect();
        Ok(self.store.set_meta(META, (!bytes.is_empty()).then_some(bytes.as_slice()))?)
    }
}

impl Workshop {
    /// The instruments that were put away, by name.
    ///
    /// # Errors
    /// [`crate::Error::Closed`], or when the store cannot be read.
    pub fn archived_instruments(&self) -> Result<Vec<InstrumentSummary>> {
        Ok(self.all_instruments()?.into_iter().filter(|one| one.archived).collect())
    }

    /// Puts an instrument away: it leaves the list of this device, and of this device only. It can
    /// be read, written and merged as before, and brought back at any time.
    ///
    /// # Errors
    /// [`crate::Error::NotFound`]; when the store cannot be written.
    pub fn archive_instrument(&self, id: InstrumentId) -> Result<()> {
        self.archive(id, true)
    }

    /// Brings an instrument that was put away back into the list.
    ///
    /// # Errors
    /// [`crate::Error::NotFound`]; when the store cannot be written.
    pub fn bring_back_instrument(&self, id: InstrumentId) -> Result<()> {
        self.archive(id, false)
    }

    fn archive(&self, id: InstrumentId, archived: bool) -> Result<()> {
        let mut session = self.inner.session()?;
        self.inner.store.generation(&id)?;
        self.inner.keep_archived(id, archived)?;
        session.changed.insert(id);
        Ok(())
    }
}
