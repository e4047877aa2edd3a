//! Changes that may be applied, by type.
//!
//! A [`VerifiedChange`] carries what was proved about a change (its form, its name, whose it is)
//! from the check to the report, so that nothing is proved, built or encoded twice, and what was not
//! proved has no type to be applied with.

use std::ops::Deref;
use std::sync::Arc;

use crate::cbor::{Builder, Reader};
use crate::change::{BODY_ITEMS, Change, ChangeError};
use crate::ids::{ChangeId, RecordId, Writer};
use crate::limits::{MAX_CHANGE_BYTES, at_most};

/// A change in canonical form, with its id and its bytes, that may be applied to its record. There
/// are three ways to have one: [`verify_chain`], [`VerifiedChange::own`], [`VerifiedChange::kept`];
/// each says why it is to be believed. It is cheap to clone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct VerifiedChange(Arc<Inner>);

#[derive(Debug, PartialEq, Eq)]
struct Inner {
    change: Change,
    id: ChangeId,
    bytes: Vec<u8>,
    /// Where the items of the body begin.
    body: usize,
    /// Where the operations begin, with the writers that they name.
    operations: usize,
}

impl VerifiedChange {
    fn new(record: &RecordId, change: Change, bytes: Vec<u8>) -> Self {
        let id = ChangeId::of(record, &bytes);
        let body = prefix(&change.writer, change.seq).finish().len();
        let operations = before_operations(&change.writer, change.seq, change.time, &change.deps);
        let operations = operations.finish().len();
        Self(Arc::new(Inner { change, id, bytes, body, operations }))
    }

    /// A change that this device makes itself.
    ///
    /// # Errors
    /// [`ChangeError`]: the first rule that it breaks.
    pub fn own(record: &RecordId, change: Change) -> Result<Self, ChangeError> {
        let bytes = change.encode_checked()?;
        Ok(Self::new(record, change, bytes))
    }

    /// Canonical bytes that this device has verified before and kept in its own store.
    ///
    /// # Errors
    /// [`ChangeError`], for everything that is not exactly the encoding of an acceptable change.
    pub fn kept(record: &RecordId, bytes: Vec<u8>) -> Result<Self, ChangeError> {
        let change = Change::decode(&bytes)?;
        Ok(Self::new(record, change, bytes))
    }

    /// The change's name.
    pub fn id(&self) -> ChangeId {
        self.0.id
    }

    /// The canonical bytes.
    pub fn bytes(&self) -> &[u8] {
        &self.0.bytes
    }

    /// The items of the body, as a bundle carries them: [`UnverifiedChange::read`] reads them.
    pub fn body(&self) -> &[u8] {
        self.0.bytes.get(self.0.body..).unwrap_or_default()
    }

    /// What the change does: its operations, and before them the writers that they name.
    /// [`read_ops`](crate::read_ops) reads it.
    pub fn operations(&self) -> &[u8] {
        self.0.bytes.get(self.0.operations..).unwrap_or_default()
    }

    /// How many items [`VerifiedChange::body`] has.
    pub const BODY_ITEMS: usize = BODY_ITEMS;
}

impl Deref for VerifiedChange {
    type Target = Change;

    fn deref(&self) -> &Change {
        &self.0.change
    }
}

/// The canonical bytes before the body.
fn prefix(writer: &Writer, seq: u64) -> Builder {
    let mut out = Builder::new();
    out.array(2 + BODY_ITEMS).bytes(writer.as_bytes()).uint(seq);
    out
}

/// The canonical bytes before the operations.
fn before_operations(writer: &Writer, seq: u64, time: i64, deps: &[ChangeId]) -> Builder {
    let mut out = prefix(writer, seq);
    out.int(time).chunks(deps);
    out
}

/// The canonical bytes of a change of which the parts are known;
/// [`operations`](VerifiedChange::operations) are as they stood in it.
pub fn canonical(
    writer: &Writer,
    seq: u64,
    time: i64,
    deps: &[ChangeId],
    operations: &[u8],
) -> Vec<u8> {
    let mut bytes = before_operations(writer, seq, time, deps).finish();
    bytes.extend_from_slice(operations);
    bytes
}

/// A change that was read and is of the right form. Whose it is, nobody has proved yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnverifiedChange(VerifiedChange);

impl UnverifiedChange {
    /// Reads one body; its writer and number are known from what stands around it.
    ///
    /// # Errors
    /// [`ChangeError`], for everything that is not exactly the body of an acceptable change.
    pub fn read(
        reader: &mut Reader<'_>,
        record: &RecordId,
        writer: Writer,
        seq: u64,
    ) -> Result<Self, ChangeError> {
        reader.array_len(BODY_ITEMS as u64, "a change of 4 items")?;
        let start = reader.position();
        let change = Change::decode_body(reader, writer, seq)?;
        let mut bytes = prefix(&writer, seq).finish();
        bytes.extend_from_slice(reader.since(start));
        at_most("bytes of a change", bytes.len(), MAX_CHANGE_BYTES)?;
        Ok(Self(VerifiedChange::new(record, change, bytes)))
    }
}

/// Gives the form of a change that was verified before, to be proved once more by a signature.
impl From<VerifiedChange> for UnverifiedChange {
    fn from(change: VerifiedChange) -> Self {
        Self(change)
    }
}

impl Deref for UnverifiedChange {
    type Target = Change;

    fn deref(&self) -> &Change {
        &self.0
    }
}

/// Who signed which change: what has checked a signature says so.
pub trait SignedTip {
    /// The writer whose change was signed.
    fn writer(&self) -> Writer;
    /// The number of the change that was signed.
    fn seq(&self) -> u64;
    /// The change that was signed.
    fn tip(&self) -> ChangeId;
}

/// Why changes are not what was signed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LinkError {
    /// There are no changes to verify.
    #[error("a bundle of changes has no changes")]
    Empty,
    /// A change of somebody else.
    #[error("change {seq} is by writer {found}, the signature by {expected}")]
    WrongWriter {
        /// The number of that change in its writer's chain.
        seq: u64,
        /// The writer that the change names.
        found: Writer,
        /// The writer that signed.
        expected: Writer,
    },
    /// The numbers do not run up to the signed one.
    #[error("change {found} stands where {expected} was expected")]
    WrongNumber {
        /// The number found.
        found: u64,
        /// The number expected.
        expected: u64,
    },
    /// A change does not name its writer's previous one.
    #[error("change {0} does not depend on the one before it")]
    Unlinked(u64),
    /// The last change is not the one that was signed.
    #[error("the last change is {found}, the author signed {signed}")]
    WrongTip {
        /// The last change.
        found: ChangeId,
        /// The one that was signed.
        signed: ChangeId,
    },
}

/// Proves consecutive changes of one writer by the signature over the last: each names the one
/// before it, by its id, so that one signature proves the whole chain. That the first one follows
/// its writer's change before it must be checked against the record.
///
/// # Errors
/// [`LinkError`].
pub fn verify_chain(
    signed: &impl SignedTip,
    changes: Vec<UnverifiedChange>,
) -> Result<Vec<VerifiedChange>, LinkError> {
    let expected = signed.writer();
    let mut previous: Option<&UnverifiedChange> = None;
    for (place, change) in changes.iter().enumerate() {
        let seq = change.seq;
        if change.writer != expected {
            return Err(LinkError::WrongWriter { seq, found: change.writer, expected });
        }
        let left = (changes.len() - 1 - place) as u64;
        if seq.checked_add(left) != Some(signed.seq()) {
            let expected = signed.seq().saturating_sub(left);
            return Err(LinkError::WrongNumber { found: seq, expected });
        }
        if let Some(previous) = previous
            && change.deps.binary_search(&previous.0.id()).is_err()
        {
            return Err(LinkError::Unlinked(seq));
        }
        previous = Some(change);
    }
    match previous.map(|last| last.0.id()) {
        None => Err(LinkError::Empty),
        Some(found) if found != signed.tip() => {
            Err(LinkError::WrongTip { found, signed: signed.tip() })
        }
        Some(_) => Ok(changes.into_iter().map(|change| change.0).collect()),
    }
}
