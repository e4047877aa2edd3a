//! Who is told of changes.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, Weak};

use fallaway_order::{Map, Set};

use crate::keeping::callbacks::{ChangeListener, Log, LogLevel};
use crate::showing::views::InstrumentId;

/// A listener's place. It is told of changes until [`Subscription::cancel`] is called or the workshop
/// is shut down; dropping this value does not end it.
#[derive(Clone)]
pub struct Subscription {
    listeners: Weak<Listeners>,
    number: u64,
}

impl Subscription {
    /// Ends it: no call begins after this returns. One that has begun on another thread may still
    /// be running. Calling it again does nothing.
    pub fn cancel(&self) {
        if let Some(listeners) = self.listeners.upgrade() {
            let ended = listeners.all().listening.remove(&self.number);
            // The listener's own drop may do anything: no lock is held for it.
            drop(ended);
        }
    }
}

/// Everybody who listens.
#[derive(Default)]
pub(crate) struct Listeners {
    all: Mutex<All>,
}

#[derive(Default)]
struct All {
    next: u64,
    listening: Map<u64, Arc<dyn ChangeListener>>,
}

impl Listeners {
    fn all(&self) -> MutexGuard<'_, All> {
        self.all.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Adds a listener.
    pub(crate) fn subscribe(self: &Arc<Self>, listener: Arc<dyn ChangeListener>) -> Subscription {
        let mut all = self.all();
        let number = all.next;
        all.next += 1;
        all.listening.insert(number, listener);
        Subscription { listeners: Arc::downgrade(self), number }
    }

    /// Ends every subscription.
    pub(crate) fn clear(&self) {
        let ended = std::mem::take(&mut self.all().listening);
        // Their own drop may do anything: no lock is held for it.
        drop(ended);
    }

    /// Tells everybody what changed. No lock may be held.
    pub(crate) fn tell(&self, changed: &Set<InstrumentId>, log: &Log) {
        let changed: Vec<InstrumentId> = changed.iter().copied().collect();
        let numbers: Vec<u64> = self.all().listening.keys().copied().collect();
        for number in numbers {
            // Asked for anew: an earlier one may have cancelled it.
            let listener = self.all().listening.get(&number).cloned();
            let Some(listener) = listener else { continue };
            // What was stored stays stored, whatever a listener does.
            let told = catch_unwind(AssertUnwindSafe(|| listener.changed(&changed)));
            if told.is_err() {
                log.line(LogLevel::Warning, || "a change listener panicked".to_owned());
            }
        }
    }
}
