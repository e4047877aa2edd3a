//! The sealed photos of a record as those see them who carry them, a relay or a meeting: which are wanted,
//! which are here, and a part at a time.

use fallaway_order::Set;

use fallaway_changes::{BlobId, RecordId};
use fallaway_order::OneByOne as _;
use fallaway_sharing::blob_id;
use fallaway_store::{Batch, BlobHere, StoreError, StoredBlobPart};
use fallaway_sync::wire::blob::is_part;

use crate::error::{Error, Result};
use crate::keeping::workshop_state::WorkshopState;
use crate::showing::photos::blob_of;

/// How often a commit is tried again after another process was faster.
const ATTEMPTS: usize = 200;

/// What became of a part that came.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum PartTaken {
    /// Others are lacking.
    More,
    /// The photo is whole.
    Whole,
    /// It can be no part of this photo, or all came and are not what its name says: nothing of it is kept.
    Wrong,
}

/// The photos of one record on this device.
pub(crate) struct SealedPhotos<'a> {
    pub inner: &'a WorkshopState,
    pub id: RecordId,
}

impl SealedPhotos<'_> {
    /// The photos of lines that nobody has crossed out.
    pub(crate) fn named(&self) -> Result<Set<BlobId>> {
        let now = self.inner.clock.now().unix_s;
        self.inner.with_record(self.id, |_, loaded| {
            let state = loaded.state(now);
            let named = state.entries().filter(|placed| !state.is_retracted(placed.entry.id));
            Ok(named.filter_map(|placed| blob_of(&placed.entry.body)).in_set())
        })
    }

    /// Those that are here with all their parts, and how many each has.
    pub(crate) fn whole(&self) -> Result<Vec<(BlobId, u32)>> {
        let here = self.inner.store.blobs(&self.id)?.into_iter();
        Ok(here.filter(BlobHere::is_whole).map(|one| (one.blob, one.parts)).collect())
    }

    /// One sealed part.
    pub(crate) fn part(&self, blob: &BlobId, part: u32) -> Result<Option<Vec<u8>>> {
        Ok(self.inner.store.blob_part(&self.id, blob, part)?)
    }

    /// The parts of a photo that are here.
    pub(crate) fn parts_here(&self, blob: &BlobId) -> Result<Vec<u32>> {
        let here = self.inner.store.blobs(&self.id)?;
        let Some(one) = here.into_iter().find(|one| one.blob == *blob) else {
            return Ok(Vec::new());
        };
        let mut parts = Vec::new();
        for part in 0..one.parts {
            if self.part(blob, part)?.is_some() {
                parts.push(part);
            }
        }
        Ok(parts)
    }

    /// Keeps a part that came, durably; the last one only if all together are what the name says.
    pub(crate) fn take(
        &self,
        blob: BlobId,
        (part, parts): (u32, u32),
        bytes: Vec<u8>,
    ) -> Result<PartTaken> {
        let store = self.inner.store.as_ref();
        let here = store.blobs(&self.id)?.into_iter().find(|one| one.blob == blob);
        if here.is_some_and(|here| here.is_whole()) {
            return Ok(PartTaken::Whole);
        }
        let agrees = here.is_none_or(|here| here.parts == parts);
        if !agrees || !is_part(part, parts, bytes.len()) {
            self.drop_all(blob)?;
            return Ok(PartTaken::Wrong);
        }
        let mut all = Vec::new();
        for other in 0..parts {
            match store.blob_part(&self.id, &blob, other)? {
                _ if other == part => all.push(bytes.clone()),
                Some(there) => all.push(there),
                None => {
                    store.put_blob_part(&self.id, &StoredBlobPart { blob, part, parts, bytes })?;
                    return Ok(PartTaken::More);
                }
            }
        }
        if blob_id(all.iter().map(Vec::as_slice)) != blob {
            self.drop_all(blob)?;
            return Ok(PartTaken::Wrong);
        }
        store.put_blob_part(&self.id, &StoredBlobPart { blob, part, parts, bytes })?;
        Ok(PartTaken::Whole)
    }

    fn drop_all(&self, blob: BlobId) -> Result<()> {
        let batch = Batch { blobs_dropped: vec![blob], ..Batch::new() };
        for _ in 0..ATTEMPTS {
            let generation = self.inner.store.generation(&self.id)?;
            match self.inner.store.commit(&self.id, generation, &batch) {
                Ok(_) => return Ok(()),
                Err(StoreError::Moved { .. }) => {}
                Err(error) => return Err(error.into()),
            }
        }
        Err(Error::busy(fallaway_text::messages::errors::other_processes()))
    }
}
