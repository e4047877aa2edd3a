//! One transaction over one record.

use fallaway_changes::{BlobId, ChangeId, MemberHash};

use crate::model::{
    ChangeStanding, DraftLine, Outgoing, StoredBlobPart, StoredChange, StoredEpochKey,
    StoredMemberOp, StoredSignature, StoredWriter,
};

/// Everything that one commit does to a record. All of it happens, or none of it.
///
/// The fields are applied in the order in which they are written here; within a field, in the
/// order of its items.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Batch {
    /// The snapshots go: something that they hold is no part of the record any more. Everything else
    /// that they held has to be among [`Batch::changes`].
    pub unpacked: bool,
    /// Changes that are given up, with the signatures over them.
    pub dropped: Vec<ChangeId>,
    /// Changes whose standing moves.
    pub moves: Vec<Move>,
    /// Changes that are new to the store.
    pub changes: Vec<StoredChange>,
    /// Signatures. One that is there already (same writer, number and hash) is replaced.
    pub signatures: Vec<StoredSignature>,
    /// Edits of the draft.
    pub draft: Vec<DraftEdit>,
    /// Member operations that are given up.
    pub members_dropped: Vec<MemberHash>,
    /// Member operations. One that is there already takes the new standing.
    pub members: Vec<StoredMemberOp>,
    /// Wrapped epoch keys. One that is there already is replaced.
    pub epoch_keys: Vec<StoredEpochKey>,
    /// Writers of this device. One that is there already is replaced; its next entry number
    /// cannot go back.
    pub writers: Vec<StoredWriter>,
    /// Projections by kind. `None` removes one.
    pub projections: Vec<(u16, Option<Vec<u8>>)>,
    /// What has yet to leave this device.
    pub outgoing: Vec<OutgoingEdit>,
    /// Photos of which nothing is kept any more.
    pub blobs_dropped: Vec<BlobId>,
    /// Parts of photos. One that is there already is replaced.
    pub blobs: Vec<StoredBlobPart>,
    /// Counters of the store that move on by one; see [`Store::count_on`](crate::Store::count_on).
    pub counters: Vec<&'static str>,
}

impl Batch {
    /// A batch that does nothing yet.
    pub fn new() -> Self {
        Self::default()
    }
}

/// A change of standing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Move {
    /// The change that is moved.
    pub hash: ChangeId,
    /// Where it stands from now on.
    pub standing: ChangeStanding,
    /// Why, in words; `None` for an admitted one.
    pub reason: Option<String>,
}

/// An edit of the draft.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DraftEdit {
    /// Empties the draft.
    Clear,
    /// Adds a line, or puts it in place of the one with its ordinal.
    Put(DraftLine),
    /// Erases the line with this ordinal, if it is there.
    Erase(u64),
}

/// An edit of the list of what has yet to leave this device.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OutgoingEdit {
    /// This has yet to leave.
    Add(Outgoing),
    /// This has left.
    Done(Outgoing),
}
