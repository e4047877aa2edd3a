//! A store that forgets: for tests, previews and tools that leave nothing behind.

use std::sync::{Mutex, MutexGuard, PoisonError};

use fallaway_changes::{BlobId, ChangeId, RecordId};
use fallaway_order::OneByOne as _;
use fallaway_order::{Map, Set};

use crate::batch::Batch;
use crate::contract::{SnapshotCheck, Store};
use crate::error::StoreError;
use crate::model::{
    BlobHere, ChangeStanding, Damage, Diagnostics, DraftLine, Generation, Loaded, Projections,
    RecordHead, Snapshot, StoreAccess, StoredBlobPart, StoredPeople,
};
use crate::rules;

mod record;

use record::MemoryRecord;

/// Keeps everything in memory, under the same contract as the other stores.
#[derive(Debug, Default)]
pub struct MemoryStore {
    inner: Mutex<Inner>,
}

#[derive(Debug, Default)]
struct Inner {
    records: Map<RecordId, MemoryRecord>,
    meta: Map<String, Vec<u8>>,
}

impl MemoryStore {
    /// An empty store.
    pub fn new() -> Self {
        Self::default()
    }

    fn lock(&self) -> MutexGuard<'_, Inner> {
        // Nothing is half done under the lock: a commit works on a copy and swaps it in.
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What a batch does to values of the whole store, which cannot fail.
    fn count(&self, batch: &Batch) -> Result<(), StoreError> {
        batch.counters.iter().try_for_each(|key| self.count_on(key, 0).map(drop))
    }

    fn read<T>(
        &self,
        record: &RecordId,
        look: impl FnOnce(&MemoryRecord) -> T,
    ) -> Result<T, StoreError> {
        let inner = self.lock();
        match inner.records.get(record) {
            Some(found) => Ok(look(found)),
            None => Err(StoreError::NoSuchRecord { record: *record }),
        }
    }

    fn write(
        &self,
        record: &RecordId,
        expected: Generation,
        change: impl FnOnce(&mut MemoryRecord) -> Result<(), StoreError>,
    ) -> Result<Generation, StoreError> {
        let mut inner = self.lock();
        let Some(stored) = inner.records.get_mut(record) else {
            return Err(StoreError::NoSuchRecord { record: *record });
        };
        if stored.generation != expected {
            return Err(StoreError::Moved { current: stored.generation });
        }
        let mut next = stored.clone();
        change(&mut next)?;
        next.generation = Generation(expected.0.saturating_add(1));
        let generation = next.generation;
        *stored = next;
        Ok(generation)
    }
}

impl Store for MemoryStore {
    fn access(&self) -> StoreAccess {
        StoreAccess::ReadWrite
    }

    fn records(&self) -> Result<Vec<RecordHead>, StoreError> {
        let inner = self.lock();
        Ok(inner
            .records
            .iter()
            .map(|(record, found)| RecordHead { record: *record, generation: found.generation })
            .collect())
    }

    fn create(&self, record: &RecordId, batch: &Batch) -> Result<Generation, StoreError> {
        let mut inner = self.lock();
        if inner.records.contains_key(record) {
            return Err(StoreError::RecordExists { record: *record });
        }
        let mut new = MemoryRecord { generation: Generation(1), ..MemoryRecord::default() };
        new.apply(batch)?;
        inner.records.insert(*record, new);
        drop(inner);
        self.count(batch)?;
        Ok(Generation(1))
    }

    fn delete(&self, record: &RecordId) -> Result<(), StoreError> {
        match self.lock().records.remove(record) {
            Some(_) => Ok(()),
            None => Err(StoreError::NoSuchRecord { record: *record }),
        }
    }

    fn generation(&self, record: &RecordId) -> Result<Generation, StoreError> {
        self.read(record, |found| found.generation)
    }

    fn load(&self, record: &RecordId) -> Result<Loaded, StoreError> {
        self.read(record, MemoryRecord::load)
    }

    fn load_within(&self, record: &RecordId) -> Result<Loaded, StoreError> {
        let mut loaded = self.load(record)?;
        for change in &mut loaded.changes {
            if change.standing != ChangeStanding::Admitted {
                change.bytes = Vec::new();
            }
        }
        Ok(loaded)
    }

    fn people(&self, record: &RecordId) -> Result<StoredPeople, StoreError> {
        let Loaded { members, epoch_keys, .. } = self.load_within(record)?;
        Ok(StoredPeople { members, epoch_keys })
    }

    fn draft(&self, record: &RecordId) -> Result<Vec<DraftLine>, StoreError> {
        self.read(record, |found| found.draft.values().cloned().collect())
    }

    fn projection(&self, record: &RecordId, kind: u16) -> Result<Option<Vec<u8>>, StoreError> {
        let inner = self.lock();
        Ok(inner.records.get(record).and_then(|found| found.projections.get(&kind).cloned()))
    }

    fn projections_that(
        &self,
        kind: u16,
        wanted: &dyn Fn(&RecordId, &[u8]) -> bool,
    ) -> Result<Projections, StoreError> {
        let inner = self.lock();
        let of_kind = |(record, found): (&RecordId, &MemoryRecord)| {
            Some((*record, found.projections.get(&kind)?.clone()))
        };
        let mut found: Vec<_> = inner.records.iter().filter_map(of_kind).collect();
        let complete = found.len() == inner.records.len();
        found.retain(|(record, bytes)| wanted(record, bytes));
        Ok(Projections { found, complete })
    }

    fn commit(
        &self,
        record: &RecordId,
        expected: Generation,
        batch: &Batch,
    ) -> Result<Generation, StoreError> {
        let generation = self.write(record, expected, |next| next.apply(batch))?;
        self.count(batch)?;
        Ok(generation)
    }

    fn compact(
        &self,
        record: &RecordId,
        expected: Generation,
        snapshot: &Snapshot,
        contained: &[ChangeId],
        signed: &[ChangeId],
        check: SnapshotCheck<'_>,
    ) -> Result<Generation, StoreError> {
        let contained: Set<ChangeId> = contained.iter().copied().in_set();
        self.write(record, expected, |next| next.compact(snapshot, &contained, signed, check))
    }

    fn blobs(&self, record: &RecordId) -> Result<Vec<BlobHere>, StoreError> {
        let inner = self.lock();
        Ok(inner.records.get(record).map(MemoryRecord::blobs_here).unwrap_or_default())
    }

    fn blob_part(
        &self,
        record: &RecordId,
        blob: &BlobId,
        part: u32,
    ) -> Result<Option<Vec<u8>>, StoreError> {
        let inner = self.lock();
        let found = inner.records.get(record).and_then(|found| found.blobs.get(&(*blob, part)));
        Ok(found.map(|(_, bytes)| bytes.to_vec()))
    }

    fn put_blob_part(&self, record: &RecordId, part: &StoredBlobPart) -> Result<(), StoreError> {
        match self.lock().records.get_mut(record) {
            Some(found) => found.put_blob_part(part),
            None => return Err(StoreError::NoSuchRecord { record: *record }),
        }
        Ok(())
    }

    fn meta(&self, key: &str) -> Result<Option<Vec<u8>>, StoreError> {
        Ok(self.lock().meta.get(key).cloned())
    }

    fn metas_from(&self, beginning: &str) -> Result<Vec<(String, Vec<u8>)>, StoreError> {
        let inner = self.lock();
        let begun = inner.meta.iter().filter(|(key, _)| key.starts_with(beginning));
        Ok(begun.map(|(key, value)| (key.clone(), value.clone())).collect())
    }

    fn set_meta(&self, key: &str, value: Option<&[u8]>) -> Result<(), StoreError> {
        let mut inner = self.lock();
        match value {
            Some(value) => inner.meta.insert(key.to_owned(), value.to_vec()),
            None => inner.meta.remove(key),
        };
        Ok(())
    }

    fn count_on(&self, key: &str, at_least: u64) -> Result<u64, StoreError> {
        let mut inner = self.lock();
        let now = rules::counter(inner.meta.get(key).map(Vec::as_slice));
        let next = now.saturating_add(1).max(at_least);
        inner.meta.insert(key.to_owned(), next.to_be_bytes().to_vec());
        Ok(next)
    }

    fn damages(&self) -> Result<Vec<Damage>, StoreError> {
        Ok(Vec::new())
    }

    fn pause(&self) -> Result<(), StoreError> {
        Ok(())
    }

    fn diagnostics(&self) -> Result<Diagnostics, StoreError> {
        let inner = self.lock();
        let mut counts = Diagnostics { records: inner.records.len() as u64, ..Default::default() };
        for found in inner.records.values() {
            found.count(&mut counts);
        }
        Ok(counts)
    }
}
