//! Where the sealed parts of photos may lie instead of among the rows.

use std::fmt;

use data_encoding::HEXLOWER;
use fallaway_changes::{BlobId, LogId};

use crate::model::ShelvesError;

/// The name of a part of a photo in a store: it says nothing of the log, and another part never has it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ObjectName(pub [u8; 32]);

impl ObjectName {
    /// The name of these bytes as a part of a photo in a log.
    pub fn of(log: &LogId, id: &BlobId, part: u32, sealed: &[u8]) -> Self {
        let mut hasher = blake3::Hasher::new_derive_key("fallaway v1 relay object");
        hasher.update(log.as_bytes()).update(id.as_bytes()).update(&part.to_be_bytes());
        Self(*hasher.update(blake3::hash(sealed).as_bytes()).finalize().as_bytes())
    }
}

impl fmt::Display for ObjectName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&HEXLOWER.encode(&self.0))
    }
}

/// Keeps objects under their names. Calls block, and are not made while a transaction is open.
pub trait ObjectPlace: Send + Sync {
    /// Keeps an object for good; the same again changes nothing.
    ///
    /// # Errors
    /// [`ShelvesError`].
    fn put(&self, name: &ObjectName, sealed: Vec<u8>) -> Result<(), ShelvesError>;
    /// An object, if it is there.
    ///
    /// # Errors
    /// [`ShelvesError`].
    fn get(&self, name: &ObjectName) -> Result<Option<Vec<u8>>, ShelvesError>;
    /// Takes an object away; one that is not there is as good.
    ///
    /// # Errors
    /// [`ShelvesError`].
    fn remove(&self, name: &ObjectName) -> Result<(), ShelvesError>;
}
