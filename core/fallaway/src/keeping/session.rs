//! What calls work on, one at a time: the device's identity and the records in memory.

use std::ops::{Deref, DerefMut};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::{self, ThreadId};

use fallaway_changes::RecordId;
use fallaway_order::{Map, Set};

use fallaway_text::messages::{errors as say, meeting};

use crate::error::{Error, Result};
use crate::keeping::callbacks::Log;
use crate::keeping::loaded_record::LoadedRecord;
use crate::keeping::notice::Notice;
use crate::keeping::secrets::Identity;
use crate::keeping::subscription::Listeners;

/// What is open while the workshop is.
pub(crate) struct Session {
    pub identity: Identity,
    pub records: Map<RecordId, LoadedRecord>,
    pub notices: Vec<Notice>,
    pub closed: bool,
    /// What listeners have to be told when the call is over.
    pub changed: Set<RecordId>,
}

impl Session {
    pub(crate) const fn new(identity: Identity, notices: Vec<Notice>) -> Self {
        Self { identity, records: Map::new(), notices, closed: false, changed: Set::new() }
    }
}

/// Lets one call at a time into the session.
pub(crate) struct SessionLock {
    session: Mutex<Session>,
    /// The thread whose call is inside.
    inside: Mutex<Option<ThreadId>>,
    /// The records that a meeting is about.
    meetings: Mutex<Set<RecordId>>,
    pub listeners: Arc<Listeners>,
    pub log: Log,
}

impl SessionLock {
    pub(crate) fn new(session: Session, log: Log) -> Self {
        Self {
            session: Mutex::new(session),
            inside: Mutex::new(None),
            meetings: Mutex::default(),
            listeners: Arc::default(),
            log,
        }
    }

    /// Waits for the session.
    ///
    /// # Errors
    /// [`Error::Busy`] if this very thread is inside already: it is in a callback.
    pub(crate) fn enter(&self) -> Result<SessionGuard<'_>> {
        let this = thread::current().id();
        if *self.inside() == Some(this) {
            return Err(Error::busy(say::called_from_callback()));
        }
        let session = self.session.lock().unwrap_or_else(|poisoned| {
            // A panic inside: forget what is in memory, the store is sound.
            let mut session = poisoned.into_inner();
            session.records.clear();
            self.session.clear_poison();
            session
        });
        *self.inside() = Some(this);
        let telling = Telling { lock: self, changed: Set::new() };
        Ok(SessionGuard { lock: self, session, telling })
    }

    /// Takes the one seat that there is at a record.
    ///
    /// # Errors
    /// [`Error::Busy`] while another meeting is about it.
    pub(crate) fn meet(&self, record: RecordId) -> Result<MeetingSeat<'_>> {
        if self.meetings().insert(record) {
            Ok(MeetingSeat { lock: self, record })
        } else {
            Err(Error::busy(meeting::in_a_meeting()))
        }
    }

    fn meetings(&self) -> MutexGuard<'_, Set<RecordId>> {
        self.meetings.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn inside(&self) -> MutexGuard<'_, Option<ThreadId>> {
        self.inside.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A record is met over; given back when it is dropped.
pub(crate) struct MeetingSeat<'a> {
    lock: &'a SessionLock,
    record: RecordId,
}

impl Drop for MeetingSeat<'_> {
    fn drop(&mut self) {
        self.lock.meetings().remove(&self.record);
    }
}

/// The session while a call works on it. When the call is over, listeners are told what changed.
pub(crate) struct SessionGuard<'a> {
    lock: &'a SessionLock,
    // Dropped in this order: the session is given back before anybody is told.
    session: MutexGuard<'a, Session>,
    telling: Telling<'a>,
}

struct Telling<'a> {
    lock: &'a SessionLock,
    changed: Set<RecordId>,
}

impl Deref for SessionGuard<'_> {
    type Target = Session;

    fn deref(&self) -> &Session {
        &self.session
    }
}

impl DerefMut for SessionGuard<'_> {
    fn deref_mut(&mut self) -> &mut Session {
        &mut self.session
    }
}

impl Drop for SessionGuard<'_> {
    fn drop(&mut self) {
        self.telling.changed = std::mem::take(&mut self.session.changed);
        *self.lock.inside() = None;
    }
}

impl Drop for Telling<'_> {
    fn drop(&mut self) {
        if !self.changed.is_empty() {
            self.lock.listeners.tell(&self.changed, &self.lock.log);
        }
    }
}
