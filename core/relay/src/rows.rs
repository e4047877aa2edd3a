//! What the rules stand on: rows, and something that keeps them.
//!
//! The rules are written once, in [`Engine`](crate::Engine); what keeps the rows knows none of them.

use std::time::Duration;

use fallaway_changes::{BlobId, BundleId, LogId};
use fallaway_sync::wire::access::TokenHash;
use fallaway_sync::wire::chain::Chain;

use crate::model::{Held, ShelvesError};
use crate::objects::ObjectName;

/// A log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct LogRow {
    /// The number of its last bundle; 0 if there is none.
    pub(crate) last: u64,
    /// The chain up to it.
    pub(crate) chain: Chain,
    /// Bytes of its bundles and photos.
    pub(crate) bytes: u64,
    /// Of the token that changes its access.
    pub(crate) admin: TokenHash,
    /// Of the one before, so that a repeated change is known.
    pub(crate) admin_before: Option<TokenHash>,
    /// When something was last pushed, in seconds from 1970.
    pub(crate) touched: i64,
    /// When it was deleted.
    pub(crate) gone: Option<i64>,
}

/// What a token may do in a log.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum TokenUse {
    /// Read and write.
    Whole,
    /// Read to this number.
    Until(u64),
}

/// A bundle in a log.
#[derive(Debug)]
pub(crate) struct ItemRow<'a> {
    /// Its number.
    pub(crate) seq: u64,
    /// Its id.
    pub(crate) id: BundleId,
    /// The chain up to it.
    pub(crate) chain: Chain,
    /// Its bytes.
    pub(crate) sealed: &'a [u8],
}

/// What somebody who reads no more asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct KnockRow {
    /// A sealed bundle.
    pub(crate) body: Vec<u8>,
    /// The answer, when there is one: a bundle file.
    pub(crate) answer: Option<Vec<u8>>,
    /// When it goes.
    pub(crate) expires: i64,
}

/// Bytes that lie somewhere until they are fetched.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct ParcelRow {
    /// The bytes.
    pub(crate) body: Vec<u8>,
    /// Of the token of whoever may replace or delete it.
    pub(crate) owner: TokenHash,
    /// When it goes.
    pub(crate) expires: i64,
}

/// A photo in a log.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct BlobRow {
    /// How many parts it has.
    pub(crate) parts: u32,
    /// Whether all are there, and are those that its id names.
    pub(crate) whole: bool,
    /// Whether its parts are in a store, and here are their names.
    pub(crate) away: bool,
    /// Bytes of those that are there.
    pub(crate) bytes: u64,
    /// When its first part came.
    pub(crate) at: i64,
}

/// The rows, as one work sees them: with everything that works before it wrote.
pub(crate) trait LogRows {
    /// A log.
    fn log(&mut self, log: &LogId) -> Result<Option<LogRow>, ShelvesError>;
    /// Writes a log.
    fn put_log(&mut self, log: &LogId, row: &LogRow) -> Result<(), ShelvesError>;
    /// What a token may do.
    fn token_use(
        &mut self,
        log: &LogId,
        token: &TokenHash,
    ) -> Result<Option<TokenUse>, ShelvesError>;
    /// How many tokens a log has had.
    fn tokens(&mut self, log: &LogId) -> Result<u64, ShelvesError>;
    /// Adds a token that reads and writes.
    fn add_token(&mut self, log: &LogId, token: &TokenHash) -> Result<(), ShelvesError>;
    /// Ends the use of those that read and write, but for one, at this number.
    fn retire(&mut self, log: &LogId, at: u64, but: &TokenHash) -> Result<(), ShelvesError>;
    /// The number of a bundle.
    fn number(&mut self, log: &LogId, id: &BundleId) -> Result<Option<u64>, ShelvesError>;
    /// The chain up to a number.
    fn chain(&mut self, log: &LogId, seq: u64) -> Result<Option<Chain>, ShelvesError>;
    /// Adds a bundle.
    fn add_item(&mut self, log: &LogId, item: &ItemRow<'_>) -> Result<(), ShelvesError>;
    /// Shows the bundles after a number up to another, in order, until `each` says false.
    fn items(
        &mut self,
        log: &LogId,
        after: u64,
        until: u64,
        each: &mut dyn FnMut(ItemRow<'_>) -> bool,
    ) -> Result<(), ShelvesError>;
    /// A knock.
    fn knock(&mut self, log: &LogId, id: &BundleId) -> Result<Option<KnockRow>, ShelvesError>;
    /// The bodies of the knocks of a log that have no answer and have not gone by then, by id.
    fn knocks(&mut self, log: &LogId, now: i64) -> Result<Vec<Vec<u8>>, ShelvesError>;
    /// How many knocks a log has, answered or not.
    fn knocks_kept(&mut self, log: &LogId) -> Result<u64, ShelvesError>;
    /// Writes a knock.
    fn put_knock(&mut self, log: &LogId, id: &BundleId, row: &KnockRow)
    -> Result<(), ShelvesError>;
    /// Lets the knocks of a log wait for an answer again.
    fn forget_answers(&mut self, log: &LogId) -> Result<(), ShelvesError>;
    /// A parcel.
    fn parcel(&mut self, id: &[u8; 16]) -> Result<Option<ParcelRow>, ShelvesError>;
    /// Writes a parcel, or takes it away.
    fn put_parcel(&mut self, id: &[u8; 16], row: Option<&ParcelRow>) -> Result<(), ShelvesError>;
    /// A photo.
    fn blob(&mut self, log: &LogId, id: &BlobId) -> Result<Option<BlobRow>, ShelvesError>;
    /// Writes a photo, or takes it away with its parts.
    fn put_blob(
        &mut self,
        log: &LogId,
        id: &BlobId,
        row: Option<&BlobRow>,
    ) -> Result<(), ShelvesError>;
    /// The parts of a photo that are there, in order.
    fn blob_parts(&mut self, log: &LogId, id: &BlobId) -> Result<Vec<u32>, ShelvesError>;
    /// One of them.
    fn blob_part(
        &mut self,
        log: &LogId,
        id: &BlobId,
        part: u32,
    ) -> Result<Option<Vec<u8>>, ShelvesError>;
    /// Adds one that is not there.
    fn add_blob_part(
        &mut self,
        log: &LogId,
        id: &BlobId,
        part: u32,
        sealed: &[u8],
    ) -> Result<(), ShelvesError>;
    /// Up to `most` photos of logs that are not deleted, begun before a time and not whole; and of deleted logs
    /// those that are in a store.
    fn stale_blobs(
        &mut self,
        before: i64,
        most: usize,
    ) -> Result<Vec<(LogId, BlobId)>, ShelvesError>;
    /// From when on an object belongs to nobody, if it is noted; below 0, since when it is being taken away.
    fn object(&mut self, name: &ObjectName) -> Result<Option<i64>, ShelvesError>;
    /// Notes an object, or takes the note away.
    fn put_object(&mut self, name: &ObjectName, at: Option<i64>) -> Result<(), ShelvesError>;
    /// Up to `most` objects that belong to nobody now, or with a note between `stuck` and 0.
    fn objects_due(
        &mut self,
        now: i64,
        stuck: i64,
        most: usize,
    ) -> Result<Vec<ObjectName>, ShelvesError>;
    /// What is held.
    fn held(&mut self) -> Result<Held, ShelvesError>;
    /// Bytes of all logs and parcels; may lag a little behind.
    fn total(&mut self) -> Result<u64, ShelvesError>;
    /// Says that the total grew, or shrank.
    fn grow(&mut self, bytes: i64);
    /// Takes away up to `most` of: what expired, what deleted logs held but for photos in a store, and deleted
    /// logs that were so before `forget`. Answers how many.
    fn sweep(&mut self, now: i64, forget: i64, most: usize) -> Result<usize, ShelvesError>;
}

/// Is told whether what a work wrote is kept.
pub(crate) type Settle = Box<dyn FnOnce(Result<(), ShelvesError>) + Send>;

/// What a work says when it has run.
pub(crate) struct Ruling {
    /// Whether the rows can be relied on; if not, nothing of the group is kept.
    pub(crate) sound: Result<(), ShelvesError>,
    /// Is told what became of it.
    pub(crate) settle: Settle,
}

/// What a work will ask for first: whoever keeps the rows far away fetches it for a group at once.
#[derive(Debug, Clone, Default)]
#[cfg_attr(not(feature = "postgres"), expect(dead_code, reason = "a file is near"))]
pub(crate) struct WorkHint {
    /// The log that it is about.
    pub(crate) log: Option<LogId>,
    /// The token that is shown for it.
    pub(crate) token: Option<TokenHash>,
    /// The bundles that it brings.
    pub(crate) ids: Vec<BundleId>,
}

impl WorkHint {
    /// A log, and nothing else that is known in advance.
    pub(crate) fn log(log: LogId) -> Self {
        Self { log: Some(log), ..Self::default() }
    }
}

/// Gets the rows, or why there are none.
pub(crate) type Run = Box<dyn FnOnce(Result<&mut dyn LogRows, ShelvesError>) -> Ruling + Send>;

/// Something to do with the rows, once and whole. What it refuses, it has not begun to write.
pub(crate) struct Work {
    /// What it will ask for.
    #[cfg_attr(not(feature = "postgres"), expect(dead_code, reason = "a file is near"))]
    pub(crate) hint: WorkHint,
    /// What it does.
    pub(crate) run: Run,
}

/// Keeps rows.
pub(crate) trait Shelves: Send + Sync {
    /// Reads, at one moment.
    fn read(
        &self,
        work: &mut dyn FnMut(&mut dyn LogRows) -> Result<(), ShelvesError>,
    ) -> Result<(), ShelvesError>;
    /// Works alone with the rows of its log, after all works that have settled; settles when it is kept for
    /// good. May return before that.
    fn write(&self, work: Work);
}

/// Is told of each commit how many works it kept, and how long they took together.
pub type CommitWatch = Box<dyn Fn(usize, Duration) + Send + Sync>;
