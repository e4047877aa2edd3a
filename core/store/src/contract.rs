//! The contract that every store keeps.

use fallaway_changes::{BlobId, ChangeId, RecordId};

use crate::batch::Batch;
use crate::error::StoreError;
use crate::model::{
    BlobHere, Damage, Diagnostics, DraftLine, Generation, Loaded, Projections, RecordHead,
    Snapshot, StoreAccess, StoredBlobPart, StoredPeople,
};

/// The check of a snapshot that was read back: loads it, compares, and says what is wrong. It runs
/// in the middle of a write and may run more than once; it must not call the store.
pub type SnapshotCheck<'a> = &'a dyn Fn(&[u8]) -> Result<(), String>;

/// How many of a writer's changes a kept signature may span; see [`Store::compact`].
pub const SIGNATURE_STRIDE: u64 = 64;

/// Keeps records as bytes. What the bytes mean is the caller's business.
///
/// - A method that writes returns after the write is durable, never before. Killed at any moment,
///   the next open finds every write whose call returned, and nothing half done.
/// - Every write to a record names the generation it is based on and gets the next one. If somebody
///   else has written since, it answers [`StoreError::Moved`] and changes nothing.
/// - A damaged part is set aside by the method that meets it, and listed by [`Store::damages`];
///   that also moves the record to a new generation. The rest is answered as if the part had never
///   arrived. Projections of a record that lost a snapshot or a change are removed, so that they
///   are rebuilt.
///
/// All methods block, and may be called from any thread.
pub trait Store: Send + Sync {
    /// Whether the store can be written, and why not.
    fn access(&self) -> StoreAccess;

    /// All records, by id.
    ///
    /// # Errors
    /// When the store cannot be read.
    fn records(&self) -> Result<Vec<RecordHead>, StoreError>;

    /// Creates a record with its first batch.
    ///
    /// # Errors
    /// [`StoreError::RecordExists`]; whatever [`Store::commit`] answers.
    fn create(&self, record: &RecordId, batch: &Batch) -> Result<Generation, StoreError>;

    /// Deletes a record and everything of it from this device, damaged parts included. An explicit
    /// act of a person; nothing else deletes.
    ///
    /// # Errors
    /// [`StoreError::NoSuchRecord`]; when the store cannot be written.
    fn delete(&self, record: &RecordId) -> Result<(), StoreError>;

    /// The record's generation: the cheapest way to see whether it has moved.
    ///
    /// # Errors
    /// [`StoreError::NoSuchRecord`]; when the store cannot be read.
    fn generation(&self, record: &RecordId) -> Result<Generation, StoreError>;

    /// Everything of a record except its projections, as of one moment.
    ///
    /// # Errors
    /// [`StoreError::NoSuchRecord`]; when the store cannot be read.
    fn load(&self, record: &RecordId) -> Result<Loaded, StoreError>;

    /// The same, where changes that are not admitted come without their bytes: there may be much of
    /// them, and the record is read without.
    ///
    /// # Errors
    /// As [`Store::load`].
    fn load_within(&self, record: &RecordId) -> Result<Loaded, StoreError>;

    /// Who shares a record and its keys, and nothing else of it.
    ///
    /// # Errors
    /// As [`Store::load`].
    fn people(&self, record: &RecordId) -> Result<StoredPeople, StoreError>;

    /// The draft, by ordinal.
    ///
    /// # Errors
    /// [`StoreError::NoSuchRecord`]; when the store cannot be read.
    fn draft(&self, record: &RecordId) -> Result<Vec<DraftLine>, StoreError>;

    /// One projection of a record. `None` if there is none (also if there is no such record):
    /// rebuild it.
    ///
    /// # Errors
    /// When the store cannot be read.
    fn projection(&self, record: &RecordId, kind: u16) -> Result<Option<Vec<u8>>, StoreError>;

    /// The projections of one kind of all records that have one.
    ///
    /// # Errors
    /// When the store cannot be read.
    fn projections(&self, kind: u16) -> Result<Projections, StoreError> {
        self.projections_that(kind, &|_, _| true)
    }

    /// Of the projections of one kind those that `wanted` says yes to. It is asked before a row was
    /// looked at for damage, so a damaged one can go unnoticed here; what is answered is sound.
    ///
    /// # Errors
    /// When the store cannot be read.
    fn projections_that(
        &self,
        kind: u16,
        wanted: &dyn Fn(&RecordId, &[u8]) -> bool,
    ) -> Result<Projections, StoreError>;

    /// Does everything in the batch, or nothing, and returns the new generation.
    ///
    /// # Errors
    /// [`StoreError::NoSuchRecord`]; [`StoreError::Moved`]; [`StoreError::Taken`],
    /// [`StoreError::Known`], [`StoreError::NoSuchChange`], [`StoreError::NumberWentBack`] and
    /// [`StoreError::TooGreat`] for a batch that contradicts what is stored;
    /// [`StoreError::Full`] and others when the store cannot be written.
    fn commit(
        &self,
        record: &RecordId,
        expected: Generation,
        batch: &Batch,
    ) -> Result<Generation, StoreError>;

    /// Replaces changes by a snapshot that contains them: writes the snapshot, reads it back,
    /// hands what was read to `check`, and only then deletes exactly the contained changes. The
    /// snapshot that was newest so far is kept as the one generation before.
    ///
    /// `contained` are the changes that this snapshot contains and the newest one did not. Each
    /// must be admitted, and each writer's must follow on without a gap.
    ///
    /// Of the signatures over contained changes stay each writer's newest, and the last one of
    /// every [`SIGNATURE_STRIDE`] changes, so that history can be handed on in provable pieces;
    /// and those over the changes in `signed`, which tell more than that.
    ///
    /// # Errors
    /// [`StoreError::CheckFailed`] with everything as it was; [`StoreError::NotCompactable`];
    /// [`StoreError::NoSuchChange`]; whatever [`Store::commit`] answers.
    fn compact(
        &self,
        record: &RecordId,
        expected: Generation,
        snapshot: &Snapshot,
        contained: &[ChangeId],
        signed: &[ChangeId],
        check: SnapshotCheck<'_>,
    ) -> Result<Generation, StoreError>;

    /// What is here of a record's photos, by id.
    ///
    /// # Errors
    /// When the store cannot be read.
    fn blobs(&self, record: &RecordId) -> Result<Vec<BlobHere>, StoreError>;

    /// One part of a photo; `None` if it is not here.
    ///
    /// # Errors
    /// When the store cannot be read.
    fn blob_part(
        &self,
        record: &RecordId,
        blob: &BlobId,
        part: u32,
    ) -> Result<Option<Vec<u8>>, StoreError>;

    /// Keeps a part of a photo that was fetched. The record stays in its generation: what it says does not
    /// change.
    ///
    /// # Errors
    /// [`StoreError::NoSuchRecord`]; when the store cannot be written.
    fn put_blob_part(&self, record: &RecordId, part: &StoredBlobPart) -> Result<(), StoreError>;

    /// A value of the whole store.
    ///
    /// # Errors
    /// When the store cannot be read.
    fn meta(&self, key: &str) -> Result<Option<Vec<u8>>, StoreError>;

    /// The values of the whole store whose keys begin so, with their keys.
    ///
    /// # Errors
    /// When the store cannot be read.
    fn metas_from(&self, beginning: &str) -> Result<Vec<(String, Vec<u8>)>, StoreError>;

    /// Sets or removes a value of the whole store.
    ///
    /// # Errors
    /// When the store cannot be written.
    fn set_meta(&self, key: &str, value: Option<&[u8]>) -> Result<(), StoreError>;

    /// Moves a counter on, and returns where it then stands: one more than before, and not less
    /// than `at_least`. Nobody else on this store is ever given the same number. The counter is a
    /// value of the whole store, eight bytes, most significant first; it starts at 0.
    ///
    /// # Errors
    /// When the store cannot be written.
    fn count_on(&self, key: &str, at_least: u64) -> Result<u64, StoreError>;

    /// Damaged parts that were set aside, oldest first.
    ///
    /// # Errors
    /// When the store cannot be read.
    fn damages(&self) -> Result<Vec<Damage>, StoreError>;

    /// Writes everything home and closes all files, so that nothing is locked. The next call opens
    /// them again.
    ///
    /// # Errors
    /// When the files cannot be written. They are closed all the same.
    fn pause(&self) -> Result<(), StoreError>;

    /// Counts for a developer: no ids, no contents.
    ///
    /// # Errors
    /// When the store cannot be read.
    fn diagnostics(&self) -> Result<Diagnostics, StoreError>;
}
