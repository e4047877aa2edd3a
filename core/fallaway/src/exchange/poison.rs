//! A note of what is being merged, so that bytes that kill the process are found out.
//!
//! Bundles are checked before they come near the document, and panics are caught. What remains is
//! a merge that aborts the whole process, again at every start. So the merge first writes down what
//! it is about to apply. A later merge that finds such a note while it holds the lock knows that an
//! earlier one died with it: it tries those changes alone, and sets them aside after three deaths.

use std::collections::BTreeSet;
use std::fs::File;

use fallaway_changes::{ChangeHash, RecordId};
use minicbor::{Decode, Encode};

use crate::error::{Error, Result};
use crate::workshop_state::WorkshopState;

/// After so many deaths a change is set aside.
pub(super) const DEATHS: u32 = 3;

#[derive(Debug, Clone, PartialEq, Eq, Default, Encode, Decode)]
#[cbor(map)]
struct Note {
    #[n(0)]
    deaths: u32,
    #[n(1)]
    version: String,
    #[n(2)]
    hashes: Vec<[u8; 32]>,
}

/// Holds the turn to merge; other processes wait until it is dropped.
pub(super) struct Turn {
    _lock: Option<File>,
    key: String,
    /// What an earlier merge died with.
    pub suspects: BTreeSet<ChangeHash>,
    /// How often it did.
    pub deaths: u32,
}

impl Turn {
    /// Waits for the turn, and reads what an earlier merge has left.
    pub fn take(inner: &WorkshopState, id: RecordId) -> Result<Self> {
        let lock = match &inner.merge_lock {
            Some(path) => {
                let storage = |e: std::io::Error| {
                    Error::storage(format!("{} cannot be locked: {e}", path.display()))
                };
                let file = File::options()
                    .create(true)
                    .truncate(false)
                    .write(true)
                    .open(path)
                    .map_err(storage)?;
                file.lock().map_err(storage)?;
                Some(file)
            }
            None => None,
        };
        let key = format!("merging {id}");
        let note = inner.store.meta(&key)?.and_then(|bytes| minicbor::decode::<Note>(&bytes).ok());
        // Each version of the library tries again: it may have learned to cope.
        let note = note.filter(|note| note.version == env!("CARGO_PKG_VERSION"));
        let note = note.unwrap_or_default();
        let suspects = note.hashes.into_iter().map(ChangeHash::from_bytes).collect();
        Ok(Self { _lock: lock, key, suspects, deaths: note.deaths })
    }

    /// Writes down what is about to be applied. Counted as one more death until it is cleared.
    pub fn note(&self, inner: &WorkshopState, hashes: &[ChangeHash], deaths: u32) -> Result<()> {
        let note = Note {
            deaths,
            version: env!("CARGO_PKG_VERSION").to_owned(),
            hashes: hashes.iter().map(|hash| hash.to_bytes()).collect(),
        };
        let bytes = minicbor::to_vec(&note).map_err(|e| Error::internal("merge note", e))?;
        Ok(inner.store.set_meta(&self.key, Some(&bytes))?)
    }

    /// The merge is over.
    pub fn clear(&self, inner: &WorkshopState) -> Result<()> {
        Ok(inner.store.set_meta(&self.key, None)?)
    }
}
