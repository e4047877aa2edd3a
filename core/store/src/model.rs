//! What a store keeps, as the caller sees it.

use fallaway_changes::{BlobId, ChangeId, EpochId, MemberHash, RecordId, Writer};
use fallaway_order::Map;

/// Counts the commits of one record. A caller that remembers the generation it loaded is told by
/// [`StoreError::Moved`](crate::StoreError::Moved) when somebody else has written since.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Generation(pub u64);

impl std::fmt::Display for Generation {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.0)
    }
}

/// Where a verified change or member operation stands. The numbers are on disk and never reused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[repr(u8)]
pub enum ChangeStanding {
    /// Part of the record, with everything that it depends on.
    Admitted = 0,
    /// Something it depends on is missing, or a newer library is needed to read it.
    Waiting = 1,
    /// Its author was removed or may not write; an owner can accept it later.
    Held = 2,
    /// It could not be applied safely. Kept, never applied by itself.
    Quarantined = 3,
}

impl ChangeStanding {
    /// All four, in the order of their numbers.
    pub const ALL: [Self; 4] = [Self::Admitted, Self::Waiting, Self::Held, Self::Quarantined];

    /// The number on disk.
    pub const fn number(self) -> u8 {
        self as u8
    }

    /// Reads the number on disk; `None` for a number that no version has written.
    pub fn from_number(number: i64) -> Option<Self> {
        Self::ALL.into_iter().find(|standing| i64::from(standing.number()) == number)
    }
}

/// A verified change in its canonical form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredChange {
    /// The hash that its author signed.
    pub hash: ChangeId,
    /// Who wrote it.
    pub writer: Writer,
    /// Its number among the writer's changes, from 1.
    pub seq: u64,
    /// The changes that it names as its past.
    pub deps: Vec<ChangeId>,
    /// Where it stands.
    pub standing: ChangeStanding,
    /// Why it stands there, in words; `None` for an admitted one.
    pub reason: Option<String>,
    /// The canonical form, opaque to the store.
    pub bytes: Vec<u8>,
}

/// A signature over a change and, through it, over everything its writer wrote before.
/// It outlives the change's own bytes (see [`Store::compact`](crate::Store::compact)).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredSignature {
    /// The writer of the signed change.
    pub writer: Writer,
    /// The number of the signed change.
    pub seq: u64,
    /// The hash of the signed change.
    pub hash: ChangeId,
    /// Everything needed to check it (signer, heads seen, signature), opaque to the store.
    pub bytes: Vec<u8>,
}

/// The whole document at one moment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Snapshot {
    /// The saved document, opaque to the store.
    pub bytes: Vec<u8>,
    /// The heads that the document has.
    pub heads: Vec<ChangeId>,
    /// How many changes the document has.
    pub changes: u64,
}

/// One line of the draft: a value that is durable, has its final id, and is not yet part of a
/// change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DraftLine {
    /// Its place in the draft, chosen by the caller. Unique in a record.
    pub ordinal: u64,
    /// The number of the container it goes to.
    pub container: u8,
    /// The key in that container.
    pub key: String,
    /// The value, opaque to the store.
    pub value: Vec<u8>,
    /// The entry that it is, if it is one.
    pub entry: Option<EntryRef>,
    /// When its draft was begun, in seconds since 1970-01-01 UTC, by the device's clock.
    pub started_at: i64,
}

/// An entry's id: writer and number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EntryRef {
    /// Who wrote it.
    pub writer: Writer,
    /// Its number among the writer's entries.
    pub number: u64,
}

/// A verified member operation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredMemberOp {
    /// The hash of the operation.
    pub hash: MemberHash,
    /// Where it stands.
    pub standing: ChangeStanding,
    /// Its signed form, opaque to the store.
    pub bytes: Vec<u8>,
}

/// The key of an epoch, wrapped by the caller. The store never sees it bare.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredEpochKey {
    /// The epoch whose key it is.
    pub epoch: EpochId,
    /// The wrapped key, opaque to the store.
    pub wrapped: Vec<u8>,
}

/// A sealed part of a photo, opaque to the store.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredBlobPart {
    /// The photo that it is a part of.
    pub blob: BlobId,
    /// Which part, from 0.
    pub part: u32,
    /// How many parts the photo has.
    pub parts: u32,
    /// The sealed bytes.
    pub bytes: Vec<u8>,
}

/// What is here of a photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BlobHere {
    /// The photo, by the hash of all its parts.
    pub blob: BlobId,
    /// How many parts it has.
    pub parts: u32,
    /// How many of them are here.
    pub here: u32,
    /// Bytes of those.
    pub bytes: u64,
}

impl BlobHere {
    /// Whether every part is here.
    pub const fn is_whole(&self) -> bool {
        self.here == self.parts
    }
}

/// A writer of this device.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredWriter {
    /// The writer of this device in the record.
    pub writer: Writer,
    /// What the caller compares with its secret keeper to see that the store was not restored
    /// from a backup; opaque to the store.
    pub incarnation: Vec<u8>,
    /// The number that the writer's next entry gets. It never goes back.
    pub next_entry: u64,
}

/// Something that has not left this device yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Outgoing {
    /// A change, by its id.
    Change(ChangeId),
    /// A member operation.
    Member(MemberHash),
}

/// Everything of one record, as of one generation.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Loaded {
    /// The generation that all of this belongs to.
    pub generation: Generation,
    /// The newest sound snapshot.
    pub snapshot: Option<Snapshot>,
    /// The greatest number of each writer that the snapshot contains. Changes up to it are no
    /// longer kept one by one.
    pub compacted: Map<Writer, u64>,
    /// Changes that the snapshot does not contain, in the order in which they were stored.
    pub changes: Vec<StoredChange>,
    /// Signatures, by writer and number.
    pub signatures: Vec<StoredSignature>,
    /// The draft, by ordinal.
    pub draft: Vec<DraftLine>,
    /// Member operations, in the order in which they were stored.
    pub members: Vec<StoredMemberOp>,
    /// Wrapped epoch keys, in the order in which they were stored.
    pub epoch_keys: Vec<StoredEpochKey>,
    /// This device's writers, in the order in which they were stored.
    pub writers: Vec<StoredWriter>,
    /// What has not left this device yet.
    pub outgoing: Vec<Outgoing>,
}

/// A record in the store's list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RecordHead {
    /// The id of the record.
    pub record: RecordId,
    /// Its generation, by which a caller sees whether it was written to meanwhile.
    pub generation: Generation,
}

/// The projections of one kind.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Projections {
    /// Those that were asked for, by record id.
    pub found: Vec<(RecordId, Vec<u8>)>,
    /// Whether every record has one of this kind, asked for or not.
    pub complete: bool,
}

/// Whether a store can be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StoreAccess {
    /// It can be read and written.
    ReadWrite,
    /// A newer version of this library has written it; it is only read.
    ReadOnlyNewer {
        /// The schema version found.
        found: u32,
        /// The newest schema version that this library writes.
        supported: u32,
    },
    /// The folder may only be read.
    ReadOnlyFolder,
}

/// What was damaged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DamagedPart {
    /// The database file, or pages of it.
    File,
    /// The newest snapshot of a record. The one before it takes its place.
    Snapshot,
    /// A change that was kept one by one.
    Change,
    /// A signature over a writer's chain.
    Signature,
    /// A line of the draft.
    Draft,
    /// A member operation.
    Member,
    /// A wrapped epoch key.
    EpochKey,
    /// A writer of this device.
    Writer,
    /// A projection; it can be rebuilt.
    Projection,
    /// The list of what has not left the device.
    Outgoing,
    /// A value of the whole store.
    Meta,
    /// The record's own line, or rows of the record that should be there and are not.
    Record,
    /// The last writes. They were durable, and the database does not have them.
    LastWrites,
    /// A part of a photo; it can be fetched again.
    Blob,
    /// Written by a newer version of this library.
    Other(u8),
}

impl DamagedPart {
    /// Every part that this version knows. Its place here is its number on disk.
    const ALL: [Self; 14] = [
        Self::File,
        Self::Snapshot,
        Self::Change,
        Self::Signature,
        Self::Draft,
        Self::Member,
        Self::EpochKey,
        Self::Writer,
        Self::Projection,
        Self::Outgoing,
        Self::Meta,
        Self::Record,
        Self::LastWrites,
        Self::Blob,
    ];

    pub(crate) fn number(self) -> u8 {
        match self {
            Self::Other(number) => number,
            known => Self::ALL.iter().position(|part| *part == known).unwrap_or_default() as u8,
        }
    }

    pub(crate) fn from_number(number: u8) -> Self {
        Self::ALL.get(usize::from(number)).copied().unwrap_or(Self::Other(number))
    }
}

/// Of a record what tells who shares it, and by which keys.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct StoredPeople {
    /// As in [`Loaded`].
    pub members: Vec<StoredMemberOp>,
    /// As in [`Loaded`].
    pub epoch_keys: Vec<StoredEpochKey>,
}

/// A damaged part that was set aside. It is kept, never deleted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Damage {
    /// The record it belonged to, if that could be told.
    pub record: Option<RecordId>,
    /// What it was.
    pub part: DamagedPart,
    /// Which one: hash, key or file name.
    pub name: String,
    /// What was wrong with it.
    pub reason: String,
}

/// Counts that a person can send to a developer: no ids, no contents.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Diagnostics {
    /// The schema version; 0 for a store that has none.
    pub schema: u32,
    /// The version of the database library; empty for a store that has none.
    pub engine: String,
    /// How many records there are.
    pub records: u64,
    /// Snapshots, earlier ones included.
    pub snapshots: u64,
    /// Changes kept one by one, by standing, in the order of [`ChangeStanding::ALL`].
    pub changes: [u64; 4],
    /// Signatures over writers' chains.
    pub signatures: u64,
    /// Lines of drafts.
    pub draft_lines: u64,
    /// Member operations, of all records.
    pub member_ops: u64,
    /// Projections, which can be built again.
    pub projections: u64,
    /// What has not left this device yet.
    pub outgoing: u64,
    /// Parts of photos.
    pub blob_parts: u64,
    /// Damaged parts set aside.
    pub damaged: u64,
    /// Bytes in the database file; 0 for a store that has none.
    pub file_bytes: u64,
    /// Bytes in the database file that hold nothing; 0 for a store that has none.
    pub free_bytes: u64,
}
