//! What the library tells the app without being asked: which instruments changed, how far a long
//! call has come, and lines for a log.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::{Deref, DerefMut};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, Weak};
use std::thread;

use crate::error::{Error, Result};
use crate::inner::{Desk, Inner};
use crate::views::InstrumentId;

/// Is told which instruments changed.
///
/// Called after the change is durable, on the thread that made it, with no lock held: it may call
/// the workshop. Changes that another process made are told when this one comes across them.
pub trait ChangeListener: Send + Sync {
    /// These instruments changed, came or went: read anew what you show of them.
    fn changed(&self, instruments: &[InstrumentId]);
}

/// A listener's place. It listens until [`Listening::cancel`] is called or the workshop is shut down;
/// dropping this value does not end it.
#[derive(Clone)]
pub struct Listening {
    inner: Weak<Inner>,
    number: u64,
}

impl Listening {
    /// Ends it: no call begins after this returns. One that has begun on another thread may still
    /// be running. Calling it again does nothing.
    pub fn cancel(&self) {
        if let Some(inner) = self.inner.upgrade() {
            let ended = lock(&inner.listeners).all.remove(&self.number);
            // The listener's own drop may do anything: no lock is held for it.
            drop(ended);
        }
    }
}

/// Whether a long call should go on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Go {
    /// Go on.
    On,
    /// Stop: the call answers [`crate::Error::Cancelled`], and leaves things as they were.
    Stop,
}

/// Is told how far a call has come that can take long, and may stop it.
///
/// Called while the call holds the workshop: it must return soon, and calls of the workshop from
/// inside it answer [`crate::Error::Busy`].
pub trait Progress: Send + Sync {
    /// `done` of `total` steps are done. Steps are not equally long.
    fn at(&self, done: u64, total: u64) -> Go;
}

/// Progress that nobody looks at.
pub(crate) struct Unwatched;

impl Progress for Unwatched {
    fn at(&self, _: u64, _: u64) -> Go {
        Go::On
    }
}

/// How much a line of the log matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// The ordinary course of things.
    Info,
    /// Something was set aside, refused or repaired.
    Warning,
    /// A defect of the library, with the id that the error carries.
    Error,
}

/// Takes lines for a log. They hold counts, kinds and error texts; no names, readings or secrets.
///
/// May be called while a call holds the workshop: calls of the workshop from inside it answer
/// [`crate::Error::Busy`].
pub trait LogSink: Send + Sync {
    /// One line, without a line end.
    fn log(&self, level: Level, line: &str);
}

/// Who listens.
#[derive(Default)]
pub(crate) struct Listeners {
    next: u64,
    all: BTreeMap<u64, Arc<dyn ChangeListener>>,
}

impl Inner {
    /// Adds a listener.
    pub fn listen(self: &Arc<Self>, listener: Arc<dyn ChangeListener>) -> Listening {
        let mut listeners = lock(&self.listeners);
        let number = listeners.next;
        listeners.next += 1;
        listeners.all.insert(number, listener);
        Listening { inner: Arc::downgrade(self), number }
    }

    /// Ends all listening.
    pub fn forget_listeners(&self) {
        let ended = std::mem::take(&mut lock(&self.listeners).all);
        // Their own drop may do anything: no lock is held for it.
        drop(ended);
    }

    fn tell(&self, changed: &BTreeSet<InstrumentId>) {
        let changed: Vec<InstrumentId> = changed.iter().copied().collect();
        let numbers: Vec<u64> = lock(&self.listeners).all.keys().copied().collect();
        for number in numbers {
            // Asked for anew: an earlier one may have cancelled it.
            let listener = lock(&self.listeners).all.get(&number).cloned();
            let Some(listener) = listener else { continue };
            // What was stored stays stored, whatever a listener does.
            let told = catch_unwind(AssertUnwindSafe(|| listener.changed(&changed)));
            if told.is_err() {
                self.log(Level::Warning, || "a change listener panicked".to_owned());
            }
        }
    }

    /// Writes a line to the log, if there is one.
    pub fn log(&self, level: Level, line: impl FnOnce() -> String) {
        if let Some(sink) = &self.log {
            let line = line();
            let _ = catch_unwind(AssertUnwindSafe(|| sink.log(level, &line)));
        }
    }
}

impl Inner {
    /// Writes a defect to the log on its way to the caller.
    pub fn noting<T>(&self, result: Result<T>) -> Result<T> {
        if let Err(error @ Error::Internal { .. }) = &result {
            self.log(Level::Error, || error.to_string());
        }
        result
    }
}

/// The desk while a call works at it. When the call is over, listeners are told what changed.
pub(crate) struct AtDesk<'a> {
    inner: &'a Inner,
    // Dropped in this order: the desk is given back before anybody is told.
    desk: MutexGuard<'a, Desk>,
    telling: Telling<'a>,
}

struct Telling<'a> {
    inner: &'a Inner,
    changed: BTreeSet<InstrumentId>,
}

impl<'a> AtDesk<'a> {
    /// Waits for the desk.
    ///
    /// # Errors
    /// [`Error::Busy`] if this very thread works at it already: it is inside a callback.
    pub fn take(inner: &'a Inner) -> Result<Self> {
        let this = thread::current().id();
        if *lock(&inner.holder) == Some(this) {
            return Err(Error::Busy {
                reason: "the workshop was called from inside one of its own callbacks; call it \
                         after the callback has returned"
                    .to_owned(),
            });
        }
        let desk = inner.desk.lock().unwrap_or_else(|poisoned| {
            // A panic while the desk was in use: forget what is in memory, the store is sound.
            let mut desk = poisoned.into_inner();
            desk.books.clear();
            inner.desk.clear_poison();
            desk
        });
        *lock(&inner.holder) = Some(this);
        let telling = Telling { inner, changed: BTreeSet::new() };
        Ok(Self { inner, desk, telling })
    }
}

impl Deref for AtDesk<'_> {
    type Target = Desk;

    fn deref(&self) -> &Desk {
        &self.desk
    }
}

impl DerefMut for AtDesk<'_> {
    fn deref_mut(&mut self) -> &mut Desk {
        &mut self.desk
    }
}

impl Drop for AtDesk<'_> {
    fn drop(&mut self) {
        self.telling.changed = std::mem::take(&mut self.desk.changed);
        *lock(&self.inner.holder) = None;
    }
}

impl Drop for Telling<'_> {
    fn drop(&mut self) {
        if !self.changed.is_empty() {
            self.inner.tell(&self.changed);
        }
    }
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
