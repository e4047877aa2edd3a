//! A store in one file.

use std::path::Path;
use std::sync::{
    Mutex, MutexGuard, PoisonError, RwLock, RwLockReadGuard, RwLockWriteGuard, TryLockError,
};

use fallaway_changes::{BlobId, ChangeId, RecordId};
use rusqlite::types::ValueRef;
use rusqlite::{Connection, OpenFlags, TransactionBehavior};

use crate::batch::Batch;
use crate::contract::{SnapshotCheck, Store};
use crate::error::StoreError;
use crate::model::{
    BlobHere, Damage, Diagnostics, DraftLine, Generation, Loaded, Projections, RecordHead,
    Snapshot, StoreAccess, StoredBlobPart, StoredPeople,
};

mod backup;
mod census;
mod codec;
mod connection;
mod count;
mod damage;
mod fault;
mod folder;
mod last;
mod open;
mod read;
mod salvage;
mod schema;
mod table;
mod tally;
mod write;

pub use connection::{Garbage, Options};

use fault::{BadRow, Fault};
use folder::Folder;
use open::Open;
use table::{BLOB, META, PROJECTION, RECORD};
use tally::{Found, Tally};

/// Idle connections that are kept for reading.
const READERS: usize = 4;

/// Keeps records in an SQLite database, one file in a folder of its own.
///
/// Any number of processes and threads may have the same folder open. Writes wait for each other
/// up to [`Options::patience`]; reads never wait for a write.
pub struct SqliteStore {
    folder: Folder,
    options: Options,
    files: RwLock<Files>,
}

struct Files {
    /// `None` while paused.
    open: Option<Open>,
    /// The access that was found last.
    access: StoreAccess,
    /// Counts openings, so that of several threads that meet one damaged page one repairs it.
    openings: u64,
}

impl std::fmt::Debug for SqliteStore {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("SqliteStore").field("folder", &self.folder).finish_non_exhaustive()
    }
}

impl SqliteStore {
    /// Whether there is a store in this folder.
    pub fn is_in(folder: &Path) -> bool {
        Folder::new(folder).is_ok_and(|folder| folder.database().exists())
    }

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
        let folder = Folder::new(folder)?;
        let open = open::open(&folder, &options)?;
        let files = Files { access: open.access, open: Some(open), openings: 1 };
        Ok(Self { folder, options, files: RwLock::new(files) })
    }

    fn shared(&self) -> RwLockReadGuard<'_, Files> {
        self.files.read().unwrap_or_else(PoisonError::into_inner)
    }

    fn alone(&self) -> RwLockWriteGuard<'_, Files> {
        self.files.write().unwrap_or_else(PoisonError::into_inner)
    }

    fn reopen(&self, files: &mut Files) -> Result<(), StoreError> {
        let open = open::open(&self.folder, &self.options)?;
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
                Err(fault) => return Err(fault.into_error(&self.folder.database())),
            }
        }
    }

    fn repair(&self, seen: u64, reason: &str) -> Result<(), StoreError> {
        let mut files = self.alone();
        if files.openings != seen {
            return Ok(());
        }
        if files.access != StoreAccess::ReadWrite {
            return Err(StoreError::Damaged { reason: reason.to_owned() });
        }
        files.open = None;
        self.folder.note_repair(reason)?;
        self.reopen(&mut files)
    }

    /// Reads as of one moment. Damaged rows that `look` notes are set aside, and it looks again; if
    /// something must be missing, the file is repaired.
    fn read<T>(
        &self,
        look: impl Fn(&Connection, &mut Found) -> Result<T, Fault>,
    ) -> Result<T, StoreError> {
        self.with(|open| {
            // Each round removes what it found, and a newest snapshot uncovers the one before.
            for _ in 0..4 {
                let mut found = Found::default();
                let looked = self.borrow(open, |conn| {
                    let moment = conn.unchecked_transaction()?;
                    look(&moment, &mut found)
                });
                if let Err(Fault::Rows(rows)) = &looked {
                    found.bad.extend(rows.iter().cloned());
                }
                if open.access != StoreAccess::ReadWrite {
                    return looked;
                }
                if let Some(reason) = found.missing {
                    return Err(Fault::Corrupt(reason.to_owned()));
                }
                if found.bad.is_empty() {
                    return looked;
                }
                set_aside(open, &found.bad)?;
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
            let path = self.folder.database();
            if open.access == StoreAccess::ReadOnlyFolder {
                connection::connect_to_read(&path, &self.options)?
            } else {
                let conn = connection::connect(&path, &self.options, OpenFlags::empty())?;
                conn.pragma_update(None, "query_only", true)?;
                conn
            }
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
                    match record.map(|record| write::line(&conn, record)).transpose()?.flatten() {
                        Some(line) => Err(fault::moved(line.generation)),
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
        work: impl Fn(&Connection, &mut Tally) -> Result<(), Fault>,
    ) -> Result<Generation, StoreError> {
        let next = self.write(Some(record), |conn| {
            let mut line = write::expect(conn, record, expected)?;
            work(conn, &mut line.tally)?;
            line.generation = Generation(expected.0.saturating_add(1));
            write::set_line(conn, record, line)?;
            Ok(line.generation)
        })?;
        self.note_last(record, next);
        Ok(next)
    }

    /// Notes the last commit beside the database.
    fn note_last(&self, record: &RecordId, generation: Generation) {
        if let Some(open) = &self.shared().open {
            // In the writer's turn: two threads must not write it at once.
            let _turn = lock(&open.writer);
            open.last.note(record, generation);
        }
    }
}

/// Nothing is half done under these locks: an interrupted transaction rolls back.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

fn writable(open: &Open) -> Result<(), Fault> {
    match open.access {
        StoreAccess::ReadWrite => Ok(()),
        StoreAccess::ReadOnlyNewer { found, supported } => {
            Err(StoreError::Newer { found, supported }.into())
        }
        StoreAccess::ReadOnlyFolder => {
            Err(Fault::NotWritable("the folder may only be read".to_owned()))
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
    fn access(&self) -> StoreAccess {
        self.shared().access
    }

    fn records(&self) -> Result<Vec<RecordHead>, StoreError> {
        self.read(|conn, found| {
            let rows = RECORD.read(conn, "ORDER BY id", [], codec::record)?.collect(found);
            let heads: Vec<RecordHead> = rows
                .into_iter()
                .map(|(record, line)| RecordHead { record, generation: line.generation })
                .collect();
            census::compare(conn, heads.iter().map(|head| &head.record), found)?;
            Ok(heads)
        })
    }

    fn create(&self, record: &RecordId, batch: &Batch) -> Result<Generation, StoreError> {
        let first = self.write(Some(record), |conn| {
            let mut line = write::create(conn, record)?;
            write::apply(conn, record, batch, &mut line.tally)?;
            write::set_line(conn, record, line)?;
            Ok(line.generation)
        })?;
        self.note_last(record, first);
        Ok(first)
    }

    fn delete(&self, record: &RecordId) -> Result<(), StoreError> {
        self.with(|open| {
            writable(open)?;
            let mut conn = lock(&open.writer);
            open.last.clear();
            // Deleting is meant: what is freed is overwritten, and the log is emptied.
            conn.pragma_update(None, "secure_delete", true)?;
            let deleted = delete(&mut conn, record);
            conn.pragma_update(None, "secure_delete", false)?;
            deleted?;
            checkpoint(&conn)
        })
    }

    fn generation(&self, record: &RecordId) -> Result<Generation, StoreError> {
        self.read(|conn, found| Ok(read::line(conn, record, found)?.generation))
    }

    fn load(&self, record: &RecordId) -> Result<Loaded, StoreError> {
        self.read(|conn, found| read::load(conn, record, codec::change, found))
    }

    fn load_within(&self, record: &RecordId) -> Result<Loaded, StoreError> {
        self.read(|conn, found| read::load(conn, record, codec::change_within, found))
    }

    fn people(&self, record: &RecordId) -> Result<StoredPeople, StoreError> {
        self.read(|conn, found| {
            read::line(conn, record, found)?;
            read::people(conn, record, found)
        })
    }

    fn draft(&self, record: &RecordId) -> Result<Vec<DraftLine>, StoreError> {
        self.read(|conn, found| {
            read::line(conn, record, found)?;
            read::draft(conn, record, found)
        })
    }

    fn projection(&self, record: &RecordId, kind: u16) -> Result<Option<Vec<u8>>, StoreError> {
        self.read(|conn, found| {
            let one = "WHERE record = ?1 AND kind = ?2";
            let key = (record.as_bytes(), kind);
            let mut rows = PROJECTION.read(conn, one, key, codec::projection)?.collect(found);
            Ok(rows.pop().map(|(_, bytes)| bytes))
        })
    }

    fn projections_that(
        &self,
        kind: u16,
        wanted: &dyn Fn(&RecordId, &[u8]) -> bool,
    ) -> Result<Projections, StoreError> {
        self.read(|conn, found| {
            // Written out, since the index of the first kind serves no bound value.
            let of_kind = format!("WHERE kind = {kind} ORDER BY record");
            let mut there = Tally::default();
            let asked = |row: &rusqlite::Row<'_>| {
                // A row of another form is looked at: it is damaged.
                let Some((record, bytes)) = codec::projection_as_stored(row) else { return true };
                there.add(record.as_bytes());
                wanted(&record, bytes)
            };
            let rows = PROJECTION.read_that(conn, &of_kind, [], asked, codec::projection)?;
            let shown = rows.collect(found);
            // A damaged one is left out here.
            let complete = found.bad.is_empty() && there == census::wanted(conn)?;
            Ok(Projections { found: shown, complete })
        })
    }

    fn commit(
        &self,
        record: &RecordId,
        expected: Generation,
        batch: &Batch,
    ) -> Result<Generation, StoreError> {
        self.advance(record, expected, |conn, tally| write::apply(conn, record, batch, tally))
    }

    fn compact(
        &self,
        record: &RecordId,
        expected: Generation,
        snapshot: &Snapshot,
        contained: &[ChangeId],
        signed: &[ChangeId],
        check: SnapshotCheck<'_>,
    ) -> Result<Generation, StoreError> {
        self.advance(record, expected, |conn, tally| {
            write::compact(conn, record, snapshot, (contained, signed), check, tally)
        })
    }

    fn blobs(&self, record: &RecordId) -> Result<Vec<BlobHere>, StoreError> {
        self.read(|conn, _| read::blobs(conn, record))
    }

    fn blob_part(
        &self,
        record: &RecordId,
        blob: &BlobId,
        part: u32,
    ) -> Result<Option<Vec<u8>>, StoreError> {
        self.read(|conn, found| {
            let one = "WHERE record = ?1 AND blob = ?2 AND part = ?3";
            let key = (record.as_bytes(), blob.as_bytes(), part);
            Ok(BLOB.read(conn, one, key, codec::blob_part)?.collect(found).pop())
        })
    }

    fn put_blob_part(&self, record: &RecordId, part: &StoredBlobPart) -> Result<(), StoreError> {
        self.write(Some(record), |conn| match write::line(conn, record)? {
            None => Err(StoreError::NoSuchRecord { record: *record }.into()),
            Some(_) => write::put_blob_part(conn, record, part),
        })
    }

    fn meta(&self, key: &str) -> Result<Option<Vec<u8>>, StoreError> {
        self.read(|conn, found| {
            Ok(META.read(conn, "WHERE key = ?1", [key], codec::meta)?.collect(found).pop())
        })
    }

    fn metas_from(&self, beginning: &str) -> Result<Vec<(String, Vec<u8>)>, StoreError> {
        // The last of all characters closes the range: what begins so stands before it.
        let end = format!("{beginning}\u{10ffff}");
        self.read(|conn, found| {
            let rows = META.read(
                conn,
                "WHERE key >= ?1 AND key < ?2 ORDER BY key",
                [beginning, end.as_str()],
                codec::named_meta,
            )?;
            Ok(rows.collect(found))
        })
    }

    fn set_meta(&self, key: &str, value: Option<&[u8]>) -> Result<(), StoreError> {
        self.write(None, |conn| {
            let name = ValueRef::Text(key.as_bytes());
            match value {
                Some(value) => META.put(conn, &[name, ValueRef::Blob(value)]),
                None => META.remove(conn, &[name], &mut Tally::default()),
            }
        })
    }

    fn count_on(&self, key: &str, at_least: u64) -> Result<u64, StoreError> {
        self.write(None, |conn| write::count_on(conn, key, at_least))
    }

    fn damages(&self) -> Result<Vec<Damage>, StoreError> {
        let mut found = self.folder.files_aside()?;
        found.extend(self.read(|conn, _| damage::list(conn))?);
        Ok(found)
    }

    fn pause(&self) -> Result<(), StoreError> {
        let Some(open) = self.alone().open.take() else { return Ok(()) };
        let conn = open.writer.into_inner().unwrap_or_else(PoisonError::into_inner);
        drop(open.readers);
        let homed = if open.access == StoreAccess::ReadWrite { checkpoint(&conn) } else { Ok(()) };
        let closed = conn.close().map_err(|(_, error)| error.into());
        homed.and(closed).map_err(|fault| fault.into_error(&self.folder.database()))
    }

    fn diagnostics(&self) -> Result<Diagnostics, StoreError> {
        let files = self.folder.files_aside()?.len() as u64;
        let mut counts = self.read(|conn, _| count::all(conn))?;
        counts.damaged += files;
        Ok(counts)
    }
}

fn delete(conn: &mut Connection, record: &RecordId) -> Result<(), Fault> {
    let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let mut records = census::wanted(&tx)?;
    records.remove(record.as_bytes());
    census::set(&tx, records)?;
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
