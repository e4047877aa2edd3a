//! What goes into a round and what comes out of it.

use std::fmt;

use fallaway_changes::{BundleId, EpochId, LogId};
use fallaway_sharing::EpochKey;

use crate::wire::access::{AccessBody, LogToken};
use crate::wire::chain::{Chain, Position};
use crate::wire::http::{HttpRequest, HttpResponse};
use crate::wire::problem::Code;

/// How far a device has read a log. It is kept in the same transaction as what was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LogCursor {
    /// Behind the last bundle that was taken.
    pub position: Position,
    /// Whether the end was reached once since the beginning: until then nothing is pushed, because
    /// nobody knows what the log has.
    pub caught_up: bool,
    /// The epoch whose token the relay took last.
    pub epoch: Option<EpochId>,
}

impl LogCursor {
    /// Before everything in a log.
    pub fn start(log: &LogId) -> Self {
        Self { position: Position::start(log), caught_up: false, epoch: None }
    }
}

/// What an epoch's key gives at one log.
#[derive(Clone, PartialEq, Eq)]
pub struct LogAccess {
    /// The epoch whose key gives it.
    pub epoch: EpochId,
    /// Reads and writes.
    pub access: LogToken,
    /// Changes the access.
    pub admin: LogToken,
    /// The hashes of both.
    pub body: AccessBody,
}

impl LogAccess {
    /// That of one key.
    pub fn of(key: &EpochKey, log: &LogId) -> Self {
        Self {
            epoch: key.id(),
            access: LogToken::access(key, log),
            admin: LogToken::admin(key, log),
            body: AccessBody::of(key, log),
        }
    }
}

impl fmt::Debug for LogAccess {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "LogAccess({})", self.epoch)
    }
}

/// What the device has for the relay.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Offer {
    /// What its keys give, the newest first.
    pub keys: Vec<LogAccess>,
    /// Whether this device may open a log that is not there: it has the oldest key, so that nobody who
    /// shares the record is shut out of it.
    pub opens: bool,
    /// Of these keys the epochs that the log tells of: its access is one of theirs.
    pub told: Vec<EpochId>,
    /// The epochs that the log's access is brought through, each in its turn, since somebody may have the
    /// key of that one only. None if it is where it belongs.
    pub path: Vec<EpochId>,
    /// Sealed bundles that the log is not known to have, no more than were asked for.
    pub bundles: Vec<Vec<u8>>,
    /// This device's join, sealed, for the case that others have gone on without having heard of it.
    pub knock: Option<Vec<u8>>,
    /// Somebody may be knocking who was invited and cannot read on.
    pub asks_knocks: bool,
    /// Answers to knocks that came in this round: the id of the knock, and bundles that it can open.
    pub answers: Vec<(BundleId, Vec<Vec<u8>>)>,
}

/// What came, to be merged and kept together with the place that it brings the cursor to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Page {
    /// Sealed bundles of others, in the order of the log.
    pub bundles: Vec<Vec<u8>>,
    /// Bundles of this device that the log has now.
    pub accepted: Vec<BundleId>,
    /// The chain at each number of the page, so that it can be compared with what others have read.
    pub trail: Vec<Chain>,
    /// Where the cursor is with them.
    pub cursor: LogCursor,
    /// The log begins anew: what it was known to have is forgotten.
    pub anew: bool,
    /// How many bundles of the log follow.
    pub remaining: u64,
    /// They are knocks, of the log's side table, and no part of the log.
    pub knocks: bool,
}

/// How long a round goes on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    /// Until nothing is left to send or to take.
    Once,
    /// Waits for news once, for as long as a relay lets wait, and takes them.
    Listen,
}

/// What happened outside, which the round is told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RoundEvent {
    /// Begin, in this mode.
    Start(Mode),
    /// Answers [`RoundStep::Offer`]: what there is to send and to read.
    Offered(Offer),
    /// Answers [`RoundStep::Send`]: what the relay said.
    Response(HttpResponse),
    /// Answers [`RoundStep::Send`]: no answer came.
    Failed(ExchangeFault),
    /// Answers [`RoundStep::Take`]: whether the page is kept.
    Taken(Result<(), TakeFault>),
    /// Answers [`RoundStep::SetAside`]: it is noted.
    IsAside,
    /// The time of [`RoundStep::Wait`] has come.
    Timer,
    /// The network came back.
    Network,
    /// Enough: the round is to end.
    Stop,
}

/// What to do next. Each event is answered by exactly one step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RoundStep {
    /// Look what there is to send: at most so many bundles, and so many bytes unless it is one.
    Offer {
        /// How many bundles; with 0 only the keys are asked for.
        bundles: usize,
        /// How many bytes.
        bytes: usize,
        /// Everything of the log was read in this round.
        at_end: bool,
        /// The epoch whose token reads no further, if there is one: a knock is sealed under its key, which
        /// whoever changed the access has.
        retired: Option<EpochId>,
    },
    /// Send this request.
    Send(HttpRequest),
    /// Merge this, and keep its cursor, in one transaction.
    Take(Page),
    /// The relay will not take this bundle: it is not offered again.
    SetAside {
        /// The bundle that the relay does not take.
        id: BundleId,
        /// What the relay said of it.
        why: Code,
    },
    /// Wait until then, in milliseconds of the clock that is passed in.
    Wait {
        /// When, in milliseconds of that clock.
        until: u64,
    },
    /// The round is over.
    Done(SyncOutcome),
}

/// Why an exchange did not succeed this time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ExchangeFault {
    /// Nobody answers: no network, or no relay at the address.
    Offline,
    /// It took too long.
    Slow,
    /// The relay cannot be proved to be the one at the address: its certificate is refused.
    Untrusted,
    /// The answer is none of a relay.
    Garbage,
    /// The relay asks to come back later.
    Busy,
    /// The relay has no room left.
    Full,
}

impl ExchangeFault {
    /// The word by which programs, and the messages, tell it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Offline => "offline",
            Self::Slow => "slow",
            Self::Untrusted => "untrusted",
            Self::Garbage => "garbage",
            Self::Busy => "busy",
            Self::Full => "full",
        }
    }
}

/// Why what came could not be taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TakeFault {
    /// There is no room on this device.
    Full,
    /// Something else, which whoever drives the round knows.
    Other,
}

/// Why nothing can be exchanged until a person does something.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SyncBlocked {
    /// The relay takes none of the keys of this device.
    NoAccess,
    /// The people of the record go on under a key that this device was not given.
    NoKey,
    /// The same for a newcomer, who has knocked: whoever shares the record lets it in with the next
    /// exchange.
    Knocked,
    /// The relay has nothing of the record yet, or nothing that a newcomer's key reads.
    NotYet,
    /// The log was deleted on the relay.
    Deleted,
    /// The operator asks for a code before a log is opened.
    Admission,
    /// There is no room on this device.
    NoRoom,
}

impl SyncBlocked {
    /// The word by which programs, and the messages, tell it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::NoAccess => "no_access",
            Self::NoKey => "no_key",
            Self::Knocked => "knocked",
            Self::NotYet => "not_yet",
            Self::Deleted => "deleted",
            Self::Admission => "admission",
            Self::NoRoom => "no_room",
        }
    }
}

/// How a round ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SyncOutcome {
    /// Everything is exchanged.
    UpToDate,
    /// Everything of others is here, and the relay has no room for what this device has.
    RelayFull,
    /// Nothing came while it waited.
    NoNews,
    /// Not this time. Try again after so many milliseconds.
    Later {
        /// What stood in the way this time.
        why: ExchangeFault,
        /// How long to wait, in milliseconds.
        wait_ms: u64,
    },
    /// Not until a person does something.
    Blocked(SyncBlocked),
    /// What came could not be taken; the place in the log stays.
    NotTaken,
    /// It was told to stop.
    Stopped,
}

/// What a round did.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RoundReport {
    /// Bundles that the relay took.
    pub sent: usize,
    /// Bundles that came.
    pub received: usize,
    /// The log had been wiped, or gone back: it was read anew, and filled.
    pub rebuilt: bool,
    /// The log was opened.
    pub opened: bool,
    /// The log's access was changed to the newest epoch.
    pub rotated: bool,
    /// Bundles that the relay does not take.
    pub set_aside: usize,
}
