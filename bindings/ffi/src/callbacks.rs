//! What an app lends to the library: a place for secrets, a log, listeners, and, in tests, a clock and
//! randomness.
//!
//! The app's objects are called on the thread that called the library. All but change listeners are
//! called while the library holds its own lock: they must answer soon, and the workshop answers
//! `Busy` if they call it. A foreign exception arrives as [`ForeignError`], never as a panic.

use std::ops;
use std::sync::Arc;

use fallaway::environment;

use crate::{ForeignError, InstrumentId, voice};

/// What a [`SecretKeeper`] answers when it is asked for a secret.
#[derive(Clone, PartialEq, Eq, uniffi::Enum)]
pub enum KeptSecret {
    /// The secret is here.
    Found {
        /// Its bytes, as they were put.
        secret: Vec<u8>,
    },
    /// Nothing has ever been stored under this name.
    Absent,
    /// Something is stored, but the device is locked; the call answers `Keys`, and can be repeated
    /// after the device is unlocked.
    Locked,
    /// Something was stored and can no longer be read.
    Lost {
        /// Why, in the platform's words.
        reason: String,
    },
}

impl std::fmt::Debug for KeptSecret {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // Secrets never reach a log.
        f.write_str(match self {
            Self::Found { .. } => "Found(..)",
            Self::Absent => "Absent",
            Self::Locked => "Locked",
            Self::Lost { .. } => "Lost",
        })
    }
}

/// Keeps the device's few secrets (each at most 32 bytes) outside the store and outside backups: in
/// the platform's keystore. An app implements it and passes it to `Workshop.open`.
///
/// It is called on the thread that called the library, while the call holds the workshop: calls of
/// the workshop from inside it answer `Busy`. Anything it throws becomes the error `Keys` of the call
/// at hand.
#[uniffi::export(with_foreign)]
pub trait SecretKeeper: Send + Sync {
    /// The secret stored under `name` ("device seed", "incarnation", "sealed").
    ///
    /// # Errors
    /// If the keystore fails; nothing is taken for lost then.
    fn get(&self, name: String) -> Result<KeptSecret, ForeignError>;

    /// Stores `secret` under `name`, replacing what was there; durable when it returns.
    ///
    /// # Errors
    /// If the keystore refuses.
    fn put(&self, name: String, secret: Vec<u8>) -> Result<(), ForeignError>;
}

/// Tells the time, for tests that want to live a year in a second. Without one, the device's own
/// clock is used.
#[uniffi::export(with_foreign)]
pub trait TimeSource: Send + Sync {
    /// The present moment.
    ///
    /// # Errors
    /// If it cannot tell; the device's own clock is used then.
    fn now(&self) -> Result<crate::Moment, ForeignError>;
}

/// Draws bytes for keys and names, for tests that want the same ones twice. Never use one outside
/// of tests: without one, the operating system's generator is used.
#[uniffi::export(with_foreign)]
pub trait RandomSource: Send + Sync {
    /// So many bytes.
    ///
    /// # Errors
    /// If it has none; the call at hand answers `Keys`.
    fn draw(&self, count: u32) -> Result<Vec<u8>, ForeignError>;
}

/// Is told which instruments changed, after the change is durable, on the thread that made it, with
/// no lock held: it may call the workshop. On a phone, hand the ids to the main thread and return.
///
/// It listens until its `Subscription` is cancelled, or the workshop is shut down. What it throws is noted
/// in the log, and nothing else comes of it.
#[uniffi::export(with_foreign)]
pub trait ChangeListener: Send + Sync {
    /// These instruments, by their ids, changed, came or went: read anew what you show of them.
    ///
    /// # Errors
    /// Whatever it answers or throws is noted in the log.
    fn changed(&self, instruments: Vec<InstrumentId>) -> Result<(), ForeignError>;
}

/// Whether a long call should go on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum ControlFlow {
    /// Go on with the call.
    Continue,
    /// Stop: the call answers `Cancelled`, and leaves things as they were.
    Break,
}

/// Is told how far a call has come that can take long, and may stop it.
///
/// It is called while the call holds the workshop: it must return soon, and calls of the workshop
/// from inside it answer `Busy`.
#[uniffi::export(with_foreign)]
pub trait ProgressListener: Send + Sync {
    /// `done` of `total` steps are done. Steps are not equally long.
    ///
    /// # Errors
    /// Whatever it answers or throws stops the call, which then answers `Cancelled`.
    fn at(&self, done: u64, total: u64) -> Result<ControlFlow, ForeignError>;
}

/// How much a line of the log matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum LogLevel {
    /// The ordinary course of things.
    Info,
    /// Something was set aside, refused or repaired.
    Warning,
    /// A defect of the library, with the id that the error carries.
    Failure,
}

/// Takes lines for the app's log. They hold counts, kinds and error texts; no names, readings or
/// secrets.
///
/// It may be called while a call holds the workshop: calls of the workshop from inside it answer
/// `Busy`. What it throws is ignored.
#[uniffi::export(with_foreign)]
pub trait LogSink: Send + Sync {
    /// One line, without a line end.
    ///
    /// # Errors
    /// Whatever it answers or throws is ignored.
    fn log(&self, level: LogLevel, line: String) -> Result<(), ForeignError>;
}

/// The place of a listener among those that are told; `cancel` gives it up.
#[derive(uniffi::Object)]
pub struct Subscription(pub(crate) fallaway::Subscription);

#[uniffi::export]
impl Subscription {
    /// Ends it: no call begins after this returns; one that has begun on another thread may still be
    /// running. Calling it again does nothing. Closing or forgetting this object does not end it.
    pub fn cancel(&self) {
        self.0.cancel();
    }
}

pub(crate) struct Listener {
    pub listener: Arc<dyn ChangeListener>,
    pub log: Option<Arc<dyn LogSink>>,
}

impl fallaway::ChangeListener for Listener {
    fn changed(&self, instruments: &[fallaway::InstrumentId]) {
        let ids = instruments.iter().copied().map(InstrumentId).collect();
        if let (Err(error), Some(log)) = (voice::kept(|| self.listener.changed(ids)), &self.log) {
            // Nobody is left to be told.
            let _ = log.log(LogLevel::Warning, format!("a change listener failed: {error}"));
        }
    }
}

pub(crate) struct Watched(pub Option<Arc<dyn ProgressListener>>);

impl fallaway::ProgressListener for Watched {
    fn at(&self, done: u64, total: u64) -> ops::ControlFlow<()> {
        match self.0.as_ref().map(|progress| voice::kept(|| progress.at(done, total))) {
            None | Some(Ok(ControlFlow::Continue)) => ops::ControlFlow::Continue(()),
            Some(Ok(ControlFlow::Break) | Err(_)) => ops::ControlFlow::Break(()),
        }
    }
}

pub(crate) struct ForeignLog(pub Arc<dyn LogSink>);

impl fallaway::LogSink for ForeignLog {
    fn log(&self, level: fallaway::LogLevel, line: &str) {
        let level = match level {
            fallaway::LogLevel::Info => LogLevel::Info,
            fallaway::LogLevel::Warning => LogLevel::Warning,
            fallaway::LogLevel::Failure => LogLevel::Failure,
        };
        // Documented: a sink that fails is not a reason for a call to fail.
        let _ = voice::kept(|| self.0.log(level, line.to_owned()));
    }
}

pub(crate) struct Keeper(pub Arc<dyn SecretKeeper>);

impl environment::SecretKeeper for Keeper {
    fn get(&self, name: &str) -> environment::Kept {
        match self.0.get(name.to_owned()) {
            Ok(KeptSecret::Found { secret }) => environment::Kept::Found(secret),
            Ok(KeptSecret::Absent) => environment::Kept::Absent,
            Ok(KeptSecret::Locked) => environment::Kept::Locked,
            Ok(KeptSecret::Lost { reason }) => environment::Kept::Lost(reason),
            Err(error) => environment::Kept::Failed(format!("the keeper failed: {error}")),
        }
    }

    fn put(&self, name: &str, secret: &[u8]) -> Result<(), String> {
        let put = self.0.put(name.to_owned(), secret.to_vec());
        put.map_err(|error| format!("the keeper failed: {error}"))
    }
}

pub(crate) struct Time(pub Arc<dyn TimeSource>);

impl environment::Clock for Time {
    fn now(&self) -> fallaway::record::Moment {
        let told = self.0.now().ok().and_then(|at| {
            fallaway::record::Moment::new(at.unix_s, i16::try_from(at.offset_min).ok()?)
        });
        told.unwrap_or_else(|| environment::SystemClock.now())
    }
}

pub(crate) struct Bytes(pub Arc<dyn RandomSource>);

impl environment::Random for Bytes {
    fn fill(&self, bytes: &mut [u8]) -> Result<(), String> {
        let wanted = u32::try_from(bytes.len()).map_err(|error| error.to_string())?;
        let drawn = self.0.draw(wanted).map_err(|error| error.to_string())?;
        if drawn.len() != bytes.len() {
            return Err(format!("{} random bytes instead of {}", drawn.len(), bytes.len()));
        }
        bytes.copy_from_slice(&drawn);
        Ok(())
    }
}

/// The app's clock, or the device's.
pub(crate) fn clock(time: Option<Arc<dyn TimeSource>>) -> Box<dyn environment::Clock> {
    match time {
        Some(time) => Box::new(Time(time)),
        None => Box::new(environment::SystemClock),
    }
}

/// The app's random bytes, or the system's.
pub(crate) fn random(source: Option<Arc<dyn RandomSource>>) -> Box<dyn environment::Random> {
    match source {
        Some(source) => Box::new(Bytes(source)),
        None => Box::new(environment::SystemRandom),
    }
}
