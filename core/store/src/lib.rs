#![forbid(unsafe_code)]
#![warn(unreachable_pub)]
//! On-device persistence of records.
//!
//! A [`Store`] keeps records as bytes: snapshots, changes in four standings, the draft, member
//! operations, wrapped keys, projections. It knows nothing of the document and reads none
//! of the bytes. [`SqliteStore`] keeps them in one file; [`MemoryStore`] forgets them. One
//! conformance suite holds both to the same contract.
//!
//! ```
//! use fallaway_changes::RecordId;
//! use fallaway_store::{Batch, MemoryStore, Store, StoreError};
//!
//! # fn main() -> Result<(), StoreError> {
//! let store = MemoryStore::new();
//! let record = RecordId::from_bytes([1; 16]);
//! let first = store.create(&record, &Batch::new())?;
//! let batch = Batch { projections: vec![(1, Some(b"E A D G".to_vec()))], ..Batch::new() };
//! let second = store.commit(&record, first, &batch)?;
//! // Whoever still holds the first generation is told.
//! assert_eq!(store.commit(&record, first, &batch), Err(StoreError::Moved { current: second }));
//! # Ok(())
//! # }
//! ```

mod batch;
mod contract;
mod error;
mod memory;
mod model;
mod rules;
mod sqlite;

pub use batch::{Batch, DraftEdit, Move, OutgoingEdit};
pub use contract::{SIGNATURE_STRIDE, SnapshotCheck, Store};
pub use error::StoreError;
pub use memory::MemoryStore;
pub use model::{
    BlobHere, ChangeStanding, Damage, DamagedPart, Diagnostics, DraftLine, EntryRef, Generation,
    Loaded, Outgoing, Projections, RecordHead, Snapshot, StoreAccess, StoredBlobPart, StoredChange,
    StoredEpochKey, StoredMemberOp, StoredPeople, StoredSignature, StoredWriter,
};
pub use sqlite::{Garbage, Options, SqliteStore};
