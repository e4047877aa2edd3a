//! The folder of a store: the names in it, the lock beside the database, files set aside.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};
use std::thread;
use std::time::{Duration, Instant};

use fallaway_order::PutInOrder as _;

use crate::error::StoreError;
use crate::model::{Damage, DamagedPart};

const DATABASE: &str = "fallaway.db";
const LOCK: &str = "fallaway.lock";
const LAST: &str = "fallaway.last";
const REPAIR: &str = "fallaway.repair";
const RESCUE_PART: &str = "fallaway.rescue-part";
const RESCUE: &str = "fallaway.rescue";
const DAMAGED: &str = "fallaway.db.damaged-";

/// The greatest length that a database which was cut off is filled up to.
const FILLED_UP: u64 = 1 << 30;

/// What the database library puts beside a database.
const BESIDE: [&str; 3] = ["-wal", "-shm", "-journal"];

/// Kept while the store is open, or put right.
#[derive(Debug)]
pub(super) struct Lock(File);

/// Closing the file is not enough: a child that this process has just begun has it open too, until the
/// program that it is to run takes its place.
impl Drop for Lock {
    fn drop(&mut self) {
        // If that fails, closing it does what it can.
        let _ = self.0.unlock();
    }
}

/// A store's folder.
#[derive(Debug, Clone)]
pub(super) struct Folder {
    folder: PathBuf,
}

impl Folder {
    /// An absolute path, so that neither a later change of the working folder nor a name that
    /// looks like a URI can lead elsewhere.
    pub(super) fn new(folder: &Path) -> Result<Self, StoreError> {
        match std::path::absolute(folder) {
            Ok(folder) => Ok(Self { folder }),
            Err(error) => Err(failed(folder, &error)),
        }
    }

    pub(super) fn database(&self) -> PathBuf {
        self.folder.join(DATABASE)
    }

    /// Where the last commit is noted.
    pub(super) fn last(&self) -> PathBuf {
        self.folder.join(LAST)
    }

    /// There while the database is known to have damaged pages.
    pub(super) fn repair_note(&self) -> PathBuf {
        self.folder.join(REPAIR)
    }

    /// A copy that salvage is still writing.
    pub(super) fn rescue_part(&self) -> PathBuf {
        self.folder.join(RESCUE_PART)
    }

    /// A copy that salvage has finished.
    pub(super) fn rescue(&self) -> PathBuf {
        self.folder.join(RESCUE)
    }

    /// Bytes in the database file; 0 if there is none.
    pub(super) fn size(&self) -> Result<u64, StoreError> {
        let path = self.database();
        match fs::metadata(&path) {
            Ok(found) if found.is_file() => Ok(found.len()),
            Ok(_) => Err(failed(&path, &io::ErrorKind::IsADirectory.into())),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(0),
            Err(error) => Err(failed(&path, &error)),
        }
    }

    /// Gives a database that was cut off the length that its header tells: the database library
    /// opens none that is shorter, whatever the rest of it holds.
    pub(super) fn fill_up(&self) -> Result<(), StoreError> {
        let path = self.database();
        let mut header = [0; 32];
        let read = File::open(&path).and_then(|mut file| file.read_exact(&mut header));
        if read.is_err() {
            return Ok(());
        }
        // Bytes 16 and 17: the size of a page, 1 for 65536; bytes 28 to 31: how many pages (SQLite,
        // "Database File Format", https://www.sqlite.org/fileformat2.html, section 1.3).
        let [.., s1, s0, _, _, _, _, _, _, _, _, _, _, p3, p2, p1, p0] = header;
        let size = match u16::from_be_bytes([s1, s0]) {
            1 => 65_536,
            size => u64::from(size),
        };
        let length = size * u64::from(u32::from_be_bytes([p3, p2, p1, p0]));
        // A header that is damaged itself may tell anything.
        if self.size()? < length && length <= FILLED_UP {
            let file = OpenOptions::new().write(true).open(&path);
            file.and_then(|file| file.set_len(length)).map_err(|error| failed(&path, &error))?;
        }
        Ok(())
    }

    /// Locks the store for use beside other processes. Holds off only those that put it right.
    pub(super) fn share(&self, patience: Duration) -> Result<Lock, StoreError> {
        self.lock(patience, File::try_lock_shared)
    }

    /// Locks the store for creating or repairing it, when no other process has it open.
    pub(super) fn seize(&self, patience: Duration) -> Result<Lock, StoreError> {
        self.lock(patience, File::try_lock)
    }

    fn lock(
        &self,
        patience: Duration,
        attempt: impl Fn(&File) -> Result<(), TryLockError>,
    ) -> Result<Lock, StoreError> {
        let path = self.folder.join(LOCK);
        let open =
            || OpenOptions::new().read(true).write(true).create(true).truncate(false).open(&path);
        let file = match open() {
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                fs::create_dir_all(&self.folder).map_err(|error| failed(&self.folder, &error))?;
                open()
            }
            other => other,
        };
        let file = file.map_err(|error| failed(&path, &error))?;
        let begun = Instant::now();
        loop {
            match attempt(&file) {
                Ok(()) => return Ok(Lock(file)),
                Err(TryLockError::WouldBlock) if begun.elapsed() < patience => {
                    thread::sleep(Duration::from_millis(5));
                }
                Err(TryLockError::WouldBlock) => return Err(StoreError::Busy),
                Err(TryLockError::Error(error)) => return Err(failed(&path, &error)),
            }
        }
    }

    /// Whether there is a write-ahead log: a process that writes has it open, or was ended.
    pub(super) fn has_log(&self) -> bool {
        let log = with_suffix(&self.database(), "-wal");
        log.exists()
    }

    /// Notes that the database has damaged pages, so that the next open repairs it.
    pub(super) fn note_repair(&self, reason: &str) -> Result<(), StoreError> {
        let path = self.repair_note();
        fs::write(&path, reason).map_err(|error| failed(&path, &error))
    }

    /// Moves the database and what lies beside it to names of their own, and keeps the reason.
    pub(super) fn set_aside(&self, reason: &str) -> Result<(), StoreError> {
        let target = self.free_name();
        let note = with_suffix(&target, ".txt");
        fs::write(&note, reason).map_err(|error| failed(&note, &error))?;
        let database = self.database();
        rename_if_there(&database, &target)?;
        for beside in BESIDE {
            rename_if_there(&with_suffix(&database, beside), &with_suffix(&target, beside))?;
        }
        self.sync();
        Ok(())
    }

    /// Moves a write-ahead log aside whose database is gone: the database library would delete it,
    /// or apply it to whatever takes the database's place. (A rollback journal without a database
    /// is what a killed creation leaves; there is nothing in it.)
    pub(super) fn set_stray_log_aside(&self) -> Result<(), StoreError> {
        let log = with_suffix(&self.database(), "-wal");
        if fs::metadata(&log).is_ok_and(|found| found.len() > 0) {
            self.set_aside("the database was gone; this is the log that it left")?;
        }
        Ok(())
    }

    fn free_name(&self) -> PathBuf {
        let mut number = 1_u32;
        loop {
            let path = self.folder.join(format!("{DAMAGED}{number}"));
            let free = ["", ".txt", "-wal"].iter().all(|end| !with_suffix(&path, end).exists());
            if free {
                return path;
            }
            number = number.saturating_add(1);
        }
    }

    /// Files that were set aside, by name.
    pub(super) fn files_aside(&self) -> Result<Vec<Damage>, StoreError> {
        let listing = match fs::read_dir(&self.folder) {
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
            other => other.map_err(|error| failed(&self.folder, &error))?,
        };
        let mut found = Vec::new();
        for file in listing {
            let file = file.map_err(|error| failed(&self.folder, &error))?;
            let name = file.file_name().to_string_lossy().into_owned();
            let stem = name.strip_suffix(".txt").filter(|stem| stem.starts_with(DAMAGED));
            // A kill may come between the note and the move.
            let moved = |stem: &str| {
                let path = self.folder.join(stem);
                path.exists() || BESIDE.iter().any(|end| with_suffix(&path, end).exists())
            };
            if let Some(stem) = stem.filter(|stem| moved(stem)) {
                let reason = fs::read_to_string(file.path()).unwrap_or_default();
                let name = stem.to_owned();
                found.push(Damage { record: None, part: DamagedPart::File, name, reason });
            }
        }
        found.put_in_order_by(|a, b| (a.name.len(), &a.name).cmp(&(b.name.len(), &b.name)));
        Ok(found)
    }

    /// Removes an unfinished copy. It holds nothing that the database does not.
    pub(super) fn drop_rescue(&self) -> Result<(), StoreError> {
        for stem in [self.rescue_part(), self.rescue()] {
            for end in ["", "-journal"] {
                remove_if_there(&with_suffix(&stem, end))?;
            }
        }
        Ok(())
    }

    /// Marks the copy as whole. From here on the database may be moved aside.
    pub(super) fn finish_rescue(&self) -> Result<(), StoreError> {
        rename_if_there(&self.rescue_part(), &self.rescue())?;
        self.sync();
        Ok(())
    }

    /// Puts the finished copy in the database's place.
    pub(super) fn use_rescue(&self) -> Result<(), StoreError> {
        // The note goes first: a finished copy without a database says enough, while a note beside
        // a repaired database would have it repaired again.
        remove_if_there(&self.repair_note())?;
        self.sync();
        rename_if_there(&self.rescue(), &self.database())?;
        self.sync();
        Ok(())
    }

    /// Makes renames durable where the system lets a folder be synced.
    fn sync(&self) {
        if let Ok(folder) = File::open(&self.folder) {
            let _ = folder.sync_all();
        }
    }
}

pub(super) fn with_suffix(path: &Path, suffix: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(suffix);
    PathBuf::from(name)
}

fn rename_if_there(from: &Path, to: &Path) -> Result<(), StoreError> {
    match fs::rename(from, to) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(failed(from, &error)),
        _ => Ok(()),
    }
}

fn remove_if_there(path: &Path) -> Result<(), StoreError> {
    match fs::remove_file(path) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(failed(path, &error)),
        _ => Ok(()),
    }
}

/// A failed file operation as the caller hears it.
pub(super) fn failed(path: &Path, error: &io::Error) -> StoreError {
    let path = path.to_owned();
    let reason = error.to_string();
    match error.kind() {
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
            StoreError::NotWritable { path, reason }
        }
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => StoreError::Full,
        _ => StoreError::CannotOpen { path, reason },
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test")]

    use super::*;

    #[test]
    fn a_store_that_is_closed_is_free_whoever_has_the_lock_open_still() {
        let folder = tempfile::tempdir().unwrap();
        let folder = Folder::new(folder.path()).unwrap();
        let lock = folder.share(Duration::ZERO).unwrap();
        assert_eq!(folder.seize(Duration::ZERO).err(), Some(StoreError::Busy));
        // What a child has that this process began, until it runs its program.
        let _of_a_child = lock.0.try_clone().unwrap();
        drop(lock);
        assert!(folder.seize(Duration::ZERO).is_ok());
    }
}
