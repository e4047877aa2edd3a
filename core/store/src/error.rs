//! What can go wrong in a store.

use std::path::PathBuf;

use fallaway_changes::{ChangeId, RecordId, Writer};

use crate::model::Generation;

/// Why a store did not do what it was asked. Nothing was changed unless a variant says otherwise.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum StoreError {
    /// The store has no such record.
    #[error("there is no record {record} in this store")]
    NoSuchRecord {
        /// The record asked for.
        record: RecordId,
    },
    /// The store has that record already.
    #[error("the record {record} is in this store already")]
    RecordExists {
        /// The record to be created.
        record: RecordId,
    },
    /// Somebody else has written the record since it was loaded. Load it again and retry.
    #[error("the record has moved to generation {current}; load it again and retry")]
    Moved {
        /// Where it is now.
        current: Generation,
    },
    /// The writer has an admitted change of that number already.
    #[error("writer {writer} has an admitted change number {seq} already")]
    Taken {
        /// The writer of both changes.
        writer: Writer,
        /// The number that both have.
        seq: u64,
    },
    /// The store has a change of that hash already.
    #[error("the change {hash} is stored already")]
    Known {
        /// The change that is here already.
        hash: ChangeId,
    },
    /// The record has no change of that hash (it may be inside the snapshot).
    #[error("there is no change {hash} outside the snapshot")]
    NoSuchChange {
        /// The change that was named.
        hash: ChangeId,
    },
    /// A writer's next entry number would go back, and an entry id could be given twice.
    #[error("the next entry number of writer {writer} is {stored}; it cannot go back to {given}")]
    NumberWentBack {
        /// The writer whose number would go back.
        writer: Writer,
        /// The number stored.
        stored: u64,
        /// The number asked for.
        given: u64,
    },
    /// A number does not fit.
    #[error("{what} is {value}; at most {limit} can be stored")]
    TooGreat {
        /// Which number it is.
        what: &'static str,
        /// The number that was to be stored.
        value: u64,
        /// The greatest value that fits.
        limit: u64,
    },
    /// A compaction names a change that is not admitted, or leaves a gap in a writer's changes.
    #[error("the change {hash} cannot go into the snapshot: {reason}")]
    NotCompactable {
        /// The change that does not go in.
        hash: ChangeId,
        /// Why it does not go in.
        reason: &'static str,
    },
    /// The caller's check of the snapshot that was read back failed.
    #[error("the new snapshot did not pass its check and was not kept: {reason}")]
    CheckFailed {
        /// What the check said.
        reason: String,
    },
    /// The store was written by a newer version of this library and is only read.
    #[error(
        "the store has schema version {found}, this library writes {supported}: it is only read; \
         use the newer version to write it"
    )]
    Newer {
        /// The schema version found.
        found: u32,
        /// The newest that this library writes.
        supported: u32,
    },
    /// A folder or file may not be written.
    #[error("{} may not be written: {reason}", path.display())]
    NotWritable {
        /// The folder or file.
        path: PathBuf,
        /// What the system said.
        reason: String,
    },
    /// A folder or file could not be opened or moved.
    #[error("{} could not be opened: {reason}", path.display())]
    CannotOpen {
        /// The folder or file.
        path: PathBuf,
        /// What the system said.
        reason: String,
    },
    /// The file system allows no write-ahead log (a folder on a network often does not).
    #[error("the file system of {} allows no write-ahead log", path.display())]
    NoLog {
        /// The database file.
        path: PathBuf,
    },
    /// Another process kept the store locked for longer than the time allowed.
    #[error("another process kept the store locked; try again")]
    Busy,
    /// There is no room left. Everything stored earlier is intact; free some space and try again.
    #[error("there is no room left to store this; free some space and try again")]
    Full,
    /// The system failed to read or write.
    #[error("the system failed to read or write: {reason}")]
    Io {
        /// What it said.
        reason: String,
    },
    /// The file is damaged, and could not be repaired now (another process may have it open). The
    /// next open repairs it.
    #[error("the store's file is damaged: {reason}")]
    Damaged {
        /// What was found.
        reason: String,
    },
    /// The file is not a store, and the caller asked not to move it aside.
    #[error("{} is not a store: {reason}", path.display())]
    NotAStore {
        /// The file that is something else.
        path: PathBuf,
        /// What was found.
        reason: String,
    },
    /// The database library is too old to be trusted.
    #[error("the database library is version {found}; at least {needed} is needed")]
    EngineTooOld {
        /// The version found.
        found: String,
        /// The version needed.
        needed: &'static str,
    },
    /// The database library refused something that this crate did not foresee.
    #[error("the database library refused: {reason}")]
    Engine {
        /// What it said.
        reason: String,
    },
}
