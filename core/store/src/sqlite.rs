//! A store in one file.

use std::path::Path;
use std::sync::{
    Mutex, MutexGuard, PoisonError, RwLock, RwLockReadGuard, RwLockWriteGuard, TryLockError,
};

use fallaway_changes::{ChangeHash, RecordId};
use rusqlite::types::ValueRef;
use rusqlite::{Connection, OpenFlags, TransactionBehavior};

use crate::batch::Batch;
use crate::contract::{SnapshotCheck, Store};
use crate::error::StoreError;
use crate::model::{
    Access, ContestedKey, Damage, Diagnostics, DraftLine, Generation, Loaded, Outgoing, RecordHead,
    Snapshot,
};
use crate::rules;

mod codec;
mod count;
mod damage;
mod fault;
mod open;
mod place;
mod read;
mod salvage;
mod schema;
mod table;
mod write;

pub use open::{Garbage, Options};

use fault::{BadRow, Fault};
use open::Open;
use place::Place;
use table::{META, PROJECTION, RECORD};

/// Idle connections that are kept for reading.
const READERS: usize = 4;

/// Keeps records in an SQLite database, one file in a folder of its own.
///
/// Any number of processes and threads may have the same folder open. Writes wait for each other
/// up to [`Options::patience`]; reads never wait for a write.
pub struct SqliteStore {
    place: Place,
    options: Options,
    files: RwLock<Files>,
}

struct Files {
    /// `None` while paused.
    open: Option<Open>,
    /// The access that was found last.
    access: Access,
    /// Counts openings, so that of several threads that meet one damaged page one repairs it.
    openings: u64,
}

impl std::fmt::Debug for SqliteStore {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("SqliteStore").field("place", &self.place).finish_non_exhaustive()
    }
}

impl SqliteStore {
    /// Opens the store in this folder with the usual options; creates both if need be.
    ///
    /// # Errors
    /// See [`SqliteStore::open_with`].
    pub fn open(folder: &Path) -> Result<Self, StoreError> {
        Self::open_with(folder, Options::default())
    }

    /// Opens the store in this folder; creates both if need be, and repairs what it finds damaged
    /// (see [`Store::damages`]).
    ///
    /// # Errors
    /// [`StoreError::NotWritable`], [`StoreError::CannotOpen`], [`StoreError::Busy`],
    /// [`StoreError::Full`], [`StoreError::Io`]; [`StoreError::NotAStore`] if the options say so;
    /// [`StoreError::Damaged`] if it has to be repaired while another process has it open.
    pub fn open_with(folder: &Path, options: Options) -> Result<Self, StoreError> {
        let place = Place::new(folder)?;
        let open = open::open(&place, &options)?;
        let files = Files { access: open.access, open: Some(open), openings: 1 };
        Ok(Self { place, options, files: RwLock::new(files) })
    }

    fn shared(&self) -> RwLockReadGuard<'_, Files> {
        self.files.read().unwrap_or_else(PoisonError::into_inner)
    }

    fn alone(&self) -> RwLockWriteGuard<'_, Files> {
        self.files.write().unwrap_or_else(PoisonError::into_inner)
    }

    fn reopen(&self, files: &mut Files) -> Result<(), StoreError> {
        let open = open::open(&self.place, &self.options)?;
        files.access = open.access;
        files.open = Some(open);
        files.openings = files.openings.saturating_add(1);
        Ok(())
    }

    /// Runs something on the open file; opens it if it is paused, repairs it once if its pages turn
    /// out to be damaged.
    fn with<T>(&self, work: impl Fn(&Open) -> Result<T, Fault>) -> Result<T, StoreError> {
        let mut repaired = false;
        loop {
            let files = self.shared();
            let Some(open) = &files.open else {
                drop(files);
                let mut files = self.alone();
                if files.open.is_none() {
                    self.reopen(&mut files)?;
                }
                continue;
            };
            match work(open) {
                Ok(value) => return Ok(value),
                Err(Fault::Corrupt(reason) | Fault::Foreign(reason)) if !repaired => {
                    let seen = files.openings;
                    drop(files);
                    self.repair(seen, &reason)?;
                    repaired = true;
                }
                Err(fault) => return Err(fault.into_error(&self.place.database())),
            }
        }
    }

    fn repair(&self, seen: u64, reason: &str) -> Result<(), StoreError> {
        let mut files = self.alone();
        if files.openings != seen {
            return Ok(());
        }
        if files.access != Access::ReadWrite {
            return Err(StoreError::Damaged { reason: reason.to_owned() });
        }
        files.open = None;
        self.place.note_repair(reason)?;
        self.reopen(&mut files)
    }

    /// Reads as of one moment. Damaged rows that `look` reports are set aside, and it looks again.
    fn read<T>(
        &self,
        look: impl Fn(&Connection, &mut Vec<BadRow>) -> Result<T, Fault>,
    ) -> Result<T, StoreError> {
        self.with(|open| {
            // Each round removes what it found, and a newest snapshot uncovers the one before.
            for _ in 0..4 {
                let mut bad = Vec::new();
                let looked = self.borrow(open, |conn| {
                    let moment = conn.unchecked_transaction()?;
                    look(&moment, &mut bad)
                });
                if let Err(Fault::Rows(rows)) = &looked {
                    bad.extend(rows.iter().cloned());
                }
                if bad.is_empty() || open.access != Access::ReadWrite {
                    return looked;
                }
                set_aside(open, &bad)?;
            }
            Err(StoreError::Damaged { reason: "damage kept appearing".to_owned() }.into())
        })
    }

    /// Lends the writer's connection if it is idle, else one that reads beside it.
    fn borrow<T>(
        &self,
        open: &Open,
        work: impl FnOnce(&Connection) -> Result<T, Fault>,
    ) -> Result<T, Fault> {
        match open.writer.try_lock() {
            Ok(conn) => return work(&conn),
            Err(TryLockError::Poisoned(poisoned)) => return work(&poisoned.into_inner()),
            Err(TryLockError::WouldBlock) => {}
        }
        let idle = lock(&open.readers).pop();
        let conn = if let Some(conn) = idle {
            conn
        } else {
            let conn = open::connect(&self.place.database(), &self.options, OpenFlags::empty())?;
            conn.pragma_update(None, "query_only", true)?;
            conn
        };
        let answer = work(&conn);
        let mut readers = lock(&open.readers);
        if readers.len() < READERS {
            readers.push(conn);
        }
        answer
    }

    /// Does everything in one transaction, or nothing. If a damaged row is in the way, it is set
    /// aside and the caller is told to load the record again.
    fn write<T>(
        &self,
        record: Option<&RecordId>,
        work: impl Fn(&Connection) -> Result<T, Fault>,
    ) -> Result<T, StoreError> {
        self.with(|open| {
            writable(open)?;
            let mut conn = lock(&open.writer);
            let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
            match work(&tx) {
                Ok(value) => {
                    tx.commit()?;
                    Ok(value)
                }
                Err(Fault::Rows(rows)) => {
                    tx.rollback()?;
                    drop(conn);
                    set_aside(open, &rows)?;
                    let conn = lock(&open.writer);
                    match record {
                        Some(record) => Err(fault::moved(read::generation(&conn, record)?)),
                        None => Err(Fault::Rows(rows)),
                    }
                }
                Err(fault) => Err(fault),
            }
        })
    }

    fn advance(
        &self,
        record: &RecordId,
        expected: Generation,
        work: impl Fn(&Connection) -> Result<(), Fault>,
    ) -> Result<Generation, StoreError> {
        self.write(Some(record), |conn| {
            write::expect(conn, record, expected)?;
            work(conn)?;
            let next = Generation(expected.0.saturating_add(1));
            write::set_generation(conn, record, next)?;
            Ok(next)
        })
    }
}

/// Nothing is half done under these locks: an interrupted transaction rolls back.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

fn writable(open: &Open) -> Result<(), Fault> {
    match open.access {
        Access::ReadWrite => Ok(()),
        Access::ReadOnlyNewer { found, supported } => {
            Err(StoreError::Newer { found, supported }.into())
        }
    }
}

fn set_aside(open: &Open, rows: &[BadRow]) -> Result<(), Fault> {
    let mut conn = lock(&open.writer);
    let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
    damage::set_aside(&tx, rows)?;
    tx.commit()?;
    Ok(())
}

impl Store for SqliteStore {
    fn access(&self) -> Access {
        self.shared().access
    }

    fn records(&self) -> Result<Vec<RecordHead>, StoreError> {
        self.read(|conn, bad| {
            let rows = RECORD.read(conn, "ORDER BY id", [], codec::record)?.collect(bad);
            Ok(rows
                .into_iter()
                .map(|(record, generation)| RecordHead { record, generation })
                .collect())
        })
    }

    fn create(&self, record: &RecordId, batch: &Batch) -> Result<Generation, StoreError> {
        self.write(Some(record), |conn| {
            let first = write::create(conn, record)?;
            write::apply(conn, record, batch)?;
            Ok(first)
        })
    }

    fn delete(&self, record: &RecordId) -> Result<(), StoreError> {
        self.with(|open| {
            writable(open)?;
            let mut conn = lock(&open.writer);
            // Deleting is meant: what is freed is overwritten, and the log is emptied.
            conn.pragma_update(None, "secure_delete", true)?;
            let deleted = delete(&mut conn, record);
            conn.pragma_update(None, "secure_delete", false)?;
            deleted?;
            checkpoint(&conn)
        })
    }

    fn generation(&self, record: &RecordId) -> Result<Generation, StoreError> {
        self.read(|conn, _| read::generation(conn, record))
    }

    fn load(&self, record: &RecordId) -> Result<Loaded, StoreError> {
        self.read(|conn, bad| read::load(conn, record, bad))
    }

    fn previous_snapshot(&self, record: &RecordId) -> Result<Option<Snapshot>, StoreError> {
        self.read(|conn, bad| {
            read::generation(conn, record)?;
            read::previous_snapshot(conn, record, bad)
        })
    }

    fn draft(&self, record: &RecordId) -> Result<Vec<DraftLine>, StoreError> {
        self.read(|conn, bad| {
            read::generation(conn, record)?;
            read::draft(conn, record, bad)
        })
    }

    fn contested(&self, record: &RecordId) -> Result<Vec<ContestedKey>, StoreError> {
        self.read(|conn, bad| {
            read::generation(conn, record)?;
            read::contested(conn, record, bad)
        })
    }

    fn outgoing(&self, record: &RecordId) -> Result<Vec<Outgoing>, StoreError> {
        self.read(|conn, bad| {
            read::generation(conn, record)?;
            read::outgoing(conn, record, bad)
        })
    }

    fn projection(&self, record: &RecordId, kind: u16) -> Result<Option<Vec<u8>>, StoreError> {
        self.read(|conn, bad| {
            let one = "WHERE record = ?1 AND kind = ?2";
            let key = (record.as_bytes(), kind);
            let mut rows = PROJECTION.read(conn, one, key, codec::projection)?.collect(bad);
            Ok(rows.pop().map(|(_, bytes)| bytes))
        })
    }

    fn projections(&self, kind: u16) -> Result<Vec<(RecordId, Vec<u8>)>, StoreError> {
        self.read(|conn, bad| {
            let of_kind = "WHERE kind = ?1 ORDER BY record";
            Ok(PROJECTION.read(conn, of_kind, [kind], codec::projection)?.collect(bad))
        })
    }

    fn commit(
        &self,
        record: &RecordId,
        expected: Generation,
        batch: &Batch,
    ) -> Result<Generation, StoreError> {
        self.advance(record, expected, |conn| write::apply(conn, record, batch))
    }

    fn compact(
        &self,
        record: &RecordId,
        expected: Generation,
        snapshot: &Snapshot,
        contained: &[ChangeHash],
        check: SnapshotCheck<'_>,
    ) -> Result<Generation, StoreError> {
        self.advance(record, expected, |conn| {
            write::compact(conn, record, snapshot, contained, check)
        })
    }

    fn meta(&self, key: &str) -> Result<Option<Vec<u8>>, StoreError> {
        self.read(|conn, bad| {
            Ok(META.read(conn, "WHERE key = ?1", [key], codec::meta)?.collect(bad).pop())
        })
    }

    fn set_meta(&self, key: &str, value: Option<&[u8]>) -> Result<(), StoreError> {
        self.write(None, |conn| {
            let name = ValueRef::Text(key.as_bytes());
            match value {
                Some(value) => META.put(conn, &[name, ValueRef::Blob(value)]),
                None => META.remove(conn, &[name]),
            }
        })
    }

    fn count_on(&self, key: &str, at_least: u64) -> Result<u64, StoreError> {
        self.write(None, |conn| {
            let mut bad = Vec::new();
            let row = META.read(conn, "WHERE key = ?1", [key], codec::meta)?.collect(&mut bad);
            if !bad.is_empty() {
                return Err(Fault::Rows(bad));
            }
            let next = rules::counter(row.last().map(Vec::as_slice)).saturating_add(1);
            let next = next.max(at_least);
            let value = next.to_be_bytes();
            META.put(conn, &[ValueRef::Text(key.as_bytes()), ValueRef::Blob(&value)])?;
            Ok(next)
        })
    }

    fn damages(&self) -> Result<Vec<Damage>, StoreError> {
        let mut found = self.place.files_aside()?;
        found.extend(self.read(|conn, _| damage::list(conn))?);
        Ok(found)
    }

    fn pause(&self) -> Result<(), StoreError> {
        let Some(open) = self.alone().open.take() else { return Ok(()) };
        let conn = open.writer.into_inner().unwrap_or_else(PoisonError::into_inner);
        drop(open.readers);
        let homed = if open.access == Access::ReadWrite { checkpoint(&conn) } else { Ok(()) };
        let closed = conn.close().map_err(|(_, error)| error.into());
        homed.and(closed).map_err(|fault| fault.into_error(&self.place.database()))
    }

    fn diagnostics(&self) -> Result<Diagnostics, StoreError> {
        let files = self.place.files_aside()?.len() as u64;
        let mut counts = self.read(|conn, _| count::all(conn))?;
        counts.damaged += files;
        Ok(counts)
    }
}

fn delete(conn: &mut Connection, record: &RecordId) -> Result<(), Fault> {
    let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
    tx.execute("DELETE FROM damaged WHERE record = ?1", [record.as_bytes()])?;
    // Everything else of the record goes with its line.
    if tx.execute("DELETE FROM record WHERE id = ?1", [record.as_bytes()])? == 0 {
        return Err(StoreError::NoSuchRecord { record: *record }.into());
    }
    tx.commit()?;
    Ok(())
}

/// Writes the log home and empties it, as far as other processes allow.
fn checkpoint(conn: &Connection) -> Result<(), Fault> {
    match conn.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())) {
        Ok(()) => Ok(()),
        Err(error) => match Fault::from(error) {
            // Another process reads: it will write the log home itself.
            Fault::Store(StoreError::Busy) => Ok(()),
            fault => Err(fault),
        },
    }
}
