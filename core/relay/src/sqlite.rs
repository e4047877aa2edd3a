//! Rows in a SQLite file: one thread writes, what came together is kept with one commit; readers beside it.

mod rows;
mod schema;

use std::fs::{self, File, OpenOptions, TryLockError};
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use rusqlite::{Connection, OpenFlags};

use crate::model::ShelvesError;
use crate::rows::{CommitWatch, LogRows, Shelves, Work};
use rows::SqliteRows;

/// The file in the folder.
const DATABASE: &str = "relay.sqlite";
/// Held by the process that serves.
const LOCK: &str = "lock";
/// Works that one commit keeps at most.
const GROUP: usize = 256;
/// Reading connections that are kept for later.
const READERS: usize = 8;

/// How the file is written. A bundle touches a page of its own in each of two indices, so small pages halve
/// what goes to the disk (of the file that is begun here; one that is there keeps its own). What many groups
/// touch goes home once for 16 MiB of the write-ahead log, and what one group touches stays in memory.
const WRITES: &str = "PRAGMA page_size = 2048; PRAGMA journal_mode = WAL;
     PRAGMA wal_autocheckpoint = 8000; PRAGMA cache_size = -16384;";

/// Rows in a folder.
pub(crate) struct SqliteShelves {
    path: PathBuf,
    inbox: Option<Sender<Work>>,
    writer: Option<JoinHandle<()>>,
    readers: Mutex<Vec<SqliteRows>>,
    _lock: Lock,
}

impl SqliteShelves {
    /// Opens what is in the folder, or begins it.
    pub(crate) fn open(folder: &Path, watch: CommitWatch) -> Result<Self, ShelvesError> {
        fs::create_dir_all(folder)?;
        let lock = Lock::take(folder)?;
        let path = folder.join(DATABASE);
        let mut conn = connect(&path, OpenFlags::SQLITE_OPEN_CREATE)?;
        // Another program's file is left as it is.
        schema::look(&conn)?;
        conn.execute_batch(WRITES)?;
        schema::migrate(&mut conn)?;
        let rows = SqliteRows::new(conn);
        let (inbox, works) = channel();
        let writer = std::thread::Builder::new().name("relay-writer".to_owned());
        let writer = writer.spawn(move || write_all(rows, &works, &watch))?;
        let (inbox, writer) = (Some(inbox), Some(writer));
        Ok(Self { path, inbox, writer, readers: Mutex::new(Vec::new()), _lock: lock })
    }
}

/// Kept while a process serves from the folder.
struct Lock(File);

impl Lock {
    fn take(folder: &Path) -> Result<Self, ShelvesError> {
        let file = OpenOptions::new().create(true).append(true).open(folder.join(LOCK))?;
        match file.try_lock() {
            Ok(()) => Ok(Self(file)),
            Err(TryLockError::WouldBlock) => Err(ShelvesError::Busy),
            Err(TryLockError::Error(error)) => Err(error.into()),
        }
    }
}

/// Closing the file is not enough: a child that this process has just begun has it open too, until the
/// program that it is to run takes its place.
impl Drop for Lock {
    fn drop(&mut self) {
        // If that fails, closing it does what it can.
        let _ = self.0.unlock();
    }
}

/// What is queued is done first.
impl Drop for SqliteShelves {
    fn drop(&mut self) {
        drop(self.inbox.take());
        if let Some(writer) = self.writer.take() {
            // If it panicked, there is nothing more to wait for.
            let _ = writer.join();
        }
    }
}

impl Shelves for SqliteShelves {
    fn read(
        &self,
        work: &mut dyn FnMut(&mut dyn LogRows) -> Result<(), ShelvesError>,
    ) -> Result<(), ShelvesError> {
        let kept = self.readers.lock().unwrap_or_else(PoisonError::into_inner).pop();
        let mut rows = match kept {
            Some(rows) => rows,
            None => SqliteRows::new(connect(&self.path, OpenFlags::empty())?),
        };
        rows.begin_reading()?;
        work(&mut rows)?;
        rows.commit()?;
        let mut readers = self.readers.lock().unwrap_or_else(PoisonError::into_inner);
        if readers.len() < READERS {
            readers.push(rows);
        }
        Ok(())
    }

    fn write(&self, work: Work) {
        let left = match &self.inbox {
            Some(inbox) => inbox.send(work).err().map(|unsent| unsent.0),
            None => Some(work),
        };
        if let Some(work) = left {
            let ruling = (work.run)(Err(ShelvesError::Closed));
            (ruling.settle)(Err(ShelvesError::Closed));
        }
    }
}

/// The writer's thread.
fn write_all(mut rows: SqliteRows, works: &Receiver<Work>, watch: &CommitWatch) {
    while let Ok(first) = works.recv() {
        let began = Instant::now();
        let mut kept = rows.begin_writing();
        let mut settles = Vec::new();
        let mut next = Some(first);
        while let Some(work) = next {
            let ruling = match &kept {
                Ok(()) => (work.run)(Ok(&mut rows)),
                Err(error) => (work.run)(Err(error.clone())),
            };
            settles.push(ruling.settle);
            kept = kept.and(ruling.sound);
            // After a failure nothing more is begun.
            let more = kept.is_ok() && settles.len() < GROUP;
            next = if more { works.try_recv().ok() } else { None };
        }
        let kept = kept.and_then(|()| rows.commit());
        if kept.is_err() {
            rows.roll_back();
        }
        watch(settles.len(), began.elapsed());
        for settle in settles {
            settle(kept.clone());
        }
    }
}

/// Writes a copy of the database in a folder, whole and of one moment, into a new file; a relay may serve
/// from it meanwhile.
///
/// # Errors
/// [`ShelvesError::Full`]; [`ShelvesError::Engine`], also if the new file is there already.
pub fn backup(folder: &Path, to: &Path) -> Result<(), ShelvesError> {
    let path = folder.join(DATABASE);
    // Else the engine would make an empty one.
    fs::metadata(&path)?;
    if to.exists() {
        return Err(engine("the file for the copy is there already"));
    }
    let part = to.with_extension("part");
    if part.exists() {
        fs::remove_file(&part)?;
    }
    let conn = connect(&path, OpenFlags::empty())?;
    let name = part.to_str().ok_or_else(|| engine("the name is not UTF-8"))?;
    conn.execute("VACUUM INTO ?1", [name])?;
    // The engine leaves that to others.
    File::open(&part)?.sync_all()?;
    fs::rename(&part, to)?;
    Ok(())
}

fn connect(path: &Path, more: OpenFlags) -> Result<Connection, ShelvesError> {
    // Each connection is used by one thread at a time.
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX | more;
    let conn = Connection::open_with_flags(path, flags)?;
    conn.busy_timeout(Duration::from_secs(10))?;
    conn.set_prepared_statement_cache_capacity(64);
    // An acknowledged bundle outlives a power cut. In a write-ahead log, a group of pushes is one sync.
    conn.execute_batch(
        "PRAGMA synchronous = FULL; PRAGMA cell_size_check = ON; PRAGMA temp_store = MEMORY;
         PRAGMA journal_size_limit = 67108864;",
    )?;
    Ok(conn)
}

fn engine(what: &str) -> ShelvesError {
    ShelvesError::Engine(what.to_owned())
}

impl From<std::io::Error> for ShelvesError {
    fn from(error: std::io::Error) -> Self {
        match error.kind() {
            std::io::ErrorKind::StorageFull => Self::Full,
            _ => Self::Engine(error.to_string()),
        }
    }
}

impl From<rusqlite::Error> for ShelvesError {
    fn from(error: rusqlite::Error) -> Self {
        use rusqlite::ErrorCode::{DatabaseBusy, DatabaseLocked, DiskFull};
        match error.sqlite_error_code() {
            Some(DiskFull) => Self::Full,
            Some(DatabaseBusy | DatabaseLocked) => Self::Busy,
            _ => Self::Engine(error.to_string()),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test")]

    use super::*;

    #[test]
    fn a_folder_that_is_let_go_is_free_whoever_has_the_lock_open_still() {
        let folder = tempfile::tempdir().unwrap();
        let lock = Lock::take(folder.path()).unwrap();
        assert!(matches!(Lock::take(folder.path()), Err(ShelvesError::Busy)));
        // What a child has that this process began, until it runs its program.
        let _of_a_child = lock.0.try_clone().unwrap();
        drop(lock);
        assert!(Lock::take(folder.path()).is_ok());
    }
}
