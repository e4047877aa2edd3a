//! What goes in and comes out.

use fallaway_changes::{BlobId, BundleId, LogId};
use fallaway_sync::wire::access::TokenHash;
use fallaway_sync::wire::chain::Position;
use fallaway_sync::wire::limits::{MAX_PAGE_BUNDLES, MAX_PAGE_BYTES};
use fallaway_sync::wire::problem::Code;

/// What a relay grants.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Quotas {
    /// Bytes of sealed bundles and photos that one log holds.
    pub log_bytes: u64,
    /// Bytes of all logs and parcels together.
    pub total_bytes: u64,
    /// Times that the access of one log changes.
    pub accesses: u64,
}

impl Default for Quotas {
    fn default() -> Self {
        Self { log_bytes: 256 << 20, total_bytes: u64::MAX, accesses: 1024 }
    }
}

/// Whether a call made something, or found it made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Made {
    /// It was not there before.
    New,
    /// It is there as asked for: a repeated call changes nothing.
    Same,
}

/// Bundles for a log.
#[derive(Debug, Clone)]
pub struct Push {
    /// The log that they are for.
    pub log: LogId,
    /// Of the token that came with them.
    pub token: TokenHash,
    /// Up to where the pusher knows the log: nothing is taken if it does not go on from there.
    pub after: Position,
    /// Id and bytes of each. Whoever calls has looked at their form; a page holds 64 at most.
    pub bundles: Vec<(BundleId, Vec<u8>)>,
}

/// What became of a push.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pushed {
    /// The number of each bundle, in the order of the push; of one that was there, its first.
    pub accepted: Vec<u64>,
    /// How many were not there before.
    pub new: usize,
    /// The end of the log.
    pub end: Position,
}

impl Pushed {
    /// Whether nothing but the push has come since a place in the log: then nothing has to be read.
    pub fn alone_since(&self, after: &Position) -> bool {
        let mut own: Vec<u64> =
            self.accepted.iter().copied().filter(|seq| *seq > after.seq).collect();
        own.sort_unstable();
        own.dedup();
        self.end.seq.saturating_sub(after.seq) == own.len() as u64
    }
}

/// What follows a place in a log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Portion {
    /// Sealed bundles, in their order.
    pub sealed: Vec<Vec<u8>>,
    /// Where the portion ends, with the bundles that were left out of it.
    pub end: Position,
    /// How many bundles follow it.
    pub more: u64,
    /// The last number that this token reads, if it is retired.
    pub retired: Option<u64>,
}

/// A push, and what follows the place that the pusher knew.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exchanged {
    /// What became of the push.
    pub pushed: Pushed,
    /// What follows, without what was pushed.
    pub portion: Portion,
}

/// A sealed part of a photo for a log.
#[derive(Debug, Clone)]
pub struct BlobPush {
    /// The log that it is for.
    pub log: LogId,
    /// Of the token that came with it.
    pub token: TokenHash,
    /// The photo: the hash of all its parts.
    pub id: BlobId,
    /// Which part, from 0.
    pub part: u32,
    /// How many the photo has. Whoever calls has looked at this and at the size.
    pub parts: u32,
    /// The bytes of the part, sealed.
    pub sealed: Vec<u8>,
}

/// What became of a part of a photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BlobTaken {
    /// The photo is whole with it.
    Whole,
    /// The photo was whole before.
    Same,
    /// Others are lacking.
    Lacking,
    /// All came, and they are not what the id names: they are gone.
    Wrong,
}

/// How much a portion holds.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Most {
    pub(crate) bundles: usize,
    pub(crate) bytes: usize,
}

impl Most {
    /// No more than this many bytes, unless a single bundle has more.
    pub(crate) fn bytes(asked: usize) -> Self {
        Self { bundles: MAX_PAGE_BUNDLES, bytes: asked.min(MAX_PAGE_BYTES) }
    }
}

/// What a relay holds, for whoever watches it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Held {
    /// Logs that are not deleted.
    pub logs: u64,
    /// Bundles of all logs.
    pub bundles: u64,
    /// Photos of all logs that are whole.
    pub blobs: u64,
    /// Bytes of all logs and parcels.
    pub bytes: u64,
    /// Knocks that nobody has answered.
    pub knocks: u64,
}

/// Why a call is refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EngineError {
    /// The log is not, or the token is not one of its own: they are not told apart.
    #[error("no such log, or the token is none of its own")]
    NoAccess,
    /// The log was deleted.
    #[error("the log was deleted")]
    Gone,
    /// The token reads to a number and writes no more.
    #[error("the token reads to number {0} and writes no more")]
    Retired(u64),
    /// The log does not go on from where the caller knows it.
    #[error("the log is not the one that the caller knows; it ends at {}", .0.seq)]
    Diverged(Position),
    /// There is no such thing.
    #[error("there is no such thing")]
    NotFound,
    /// It belongs to somebody else.
    #[error("it is there and belongs to somebody else")]
    Taken,
    /// Too many wait.
    #[error("too many wait already")]
    TooMany,
    /// The log has reached what it is granted.
    #[error("the log has reached the size that it is granted")]
    Quota,
    /// The relay has no room left.
    #[error("the relay has no room left")]
    Full,
    /// It cannot be stored or read now.
    #[error(transparent)]
    Shelves(ShelvesError),
}

impl EngineError {
    /// How a client is told.
    pub const fn code(&self) -> Code {
        match self {
            Self::NoAccess => Code::NoAccess,
            Self::Gone => Code::Gone,
            Self::Retired(_) => Code::Retired,
            Self::Diverged(_) => Code::Diverged,
            Self::NotFound => Code::NotFound,
            Self::Taken => Code::Taken,
            Self::TooMany => Code::TooMany,
            Self::Quota => Code::Quota,
            Self::Full | Self::Shelves(ShelvesError::Full) => Code::Full,
            Self::Shelves(_) => Code::Unavailable,
        }
    }
}

impl From<ShelvesError> for EngineError {
    fn from(error: ShelvesError) -> Self {
        Self::Shelves(error)
    }
}

/// What goes wrong below the rules.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ShelvesError {
    /// The disk is full.
    #[error("the disk is full")]
    Full,
    /// Another process has it.
    #[error("another process uses it")]
    Busy,
    /// It was closed.
    #[error("it is closed")]
    Closed,
    /// A newer version wrote it.
    #[error("it was written by a newer version (form {found}; this one knows {known})")]
    Newer {
        /// The form that was found.
        found: i64,
        /// The newest that this version knows.
        known: i64,
    },
    /// What the engine below says.
    #[error("{0}")]
    Engine(String),
}

/// Is called once with what became of a call, after it is on the disk.
pub type Tell<T> = Box<dyn FnOnce(Result<T, EngineError>) + Send>;
