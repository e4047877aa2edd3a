//! A copy of the store in one file, and a store out of such a copy.

use std::fs::{self, File};
use std::path::Path;

use rusqlite::OpenFlags;

use super::SqliteStore;
use super::connection::{Options, connect};
use super::fault::Fault;
use super::folder::{Folder, failed, with_suffix};
use super::schema;
use crate::error::StoreError;

impl SqliteStore {
    /// Writes a copy of the store as of one moment to a file, whole or not at all; other processes may go
    /// on writing. A file that is there is replaced.
    ///
    /// # Errors
    /// When the store cannot be read or the file cannot be written.
    pub fn copy_to(&self, file: &Path) -> Result<(), StoreError> {
        let part = with_suffix(file, ".part");
        // The database library writes to an empty or a new file only.
        let _ = fs::remove_file(&part);
        let copied = self.with(|open| {
            self.borrow(open, |conn| {
                conn.execute("VACUUM INTO ?1", [part.to_string_lossy()])?;
                Ok(())
            })
        });
        let synced = copied.and_then(|()| {
            let whole = File::open(&part).and_then(|copy| copy.sync_all());
            let named = whole.and_then(|()| fs::rename(&part, file));
            named.map_err(|error| failed(file, &error))
        });
        if synced.is_err() {
            let _ = fs::remove_file(&part);
        }
        synced
    }

    /// Makes the store of a folder that has none out of a copy.
    ///
    /// # Errors
    /// [`StoreError::NotAStore`] for a file that is no copy of a store; [`StoreError::CannotOpen`] if the
    /// folder has a store, and when files cannot be read or written.
    pub fn put_back(file: &Path, folder: &Path) -> Result<(), StoreError> {
        let folder = Folder::new(folder)?;
        let database = folder.database();
        if folder.size()? > 0 {
            let reason = "there is a store in this folder".to_owned();
            return Err(StoreError::CannotOpen { path: database, reason });
        }
        // The folder is made, and nobody else opens it meanwhile.
        let _lock = folder.seize(Options::default().patience)?;
        let part = with_suffix(&database, ".part");
        let copied = fs::copy(file, &part).map(drop).map_err(|error| failed(file, &error));
        let checked = copied.and_then(|()| {
            is_store(&part).map_err(|fault| match fault {
                Fault::Foreign(reason) | Fault::Corrupt(reason) => {
                    StoreError::NotAStore { path: file.to_owned(), reason }
                }
                other => other.into_error(file),
            })
        });
        let named = checked.and_then(|()| {
            let whole = File::open(&part).and_then(|copy| copy.sync_all());
            let named = whole.and_then(|()| fs::rename(&part, &database));
            named.map_err(|error| failed(&database, &error))
        });
        if named.is_err() {
            let _ = fs::remove_file(&part);
        }
        named
    }
}

fn is_store(path: &Path) -> Result<(), Fault> {
    let conn = connect(path, &Options::default(), OpenFlags::empty())?;
    if schema::application(&conn)? == schema::APPLICATION_ID {
        return Ok(());
    }
    Err(Fault::Foreign("it is another program's database".to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::contract::Store as _;

    #[test]
    fn a_copy_makes_a_store_in_a_folder_that_has_none() {
        let (from, to) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let store = SqliteStore::open(from.path()).unwrap();
        store.set_meta("kept", Some(b"yes")).unwrap();
        let file = to.path().join("copy");
        store.copy_to(&file).unwrap();
        store.set_meta("kept", Some(b"later")).unwrap();
        store.copy_to(&to.path().join("copy")).unwrap();
        store.set_meta("kept", Some(b"after the copy")).unwrap();

        let folder = to.path().join("folder");
        SqliteStore::put_back(&file, &folder).unwrap();
        let back = SqliteStore::open(&folder).unwrap();
        assert_eq!(back.meta("kept").unwrap().as_deref(), Some(b"later".as_slice()));
        // What is there is not written over.
        let again = SqliteStore::put_back(&file, &folder);
        assert!(matches!(again, Err(StoreError::CannotOpen { .. })), "{again:?}");
        assert_eq!(back.meta("kept").unwrap().as_deref(), Some(b"later".as_slice()));
    }

    #[test]
    fn what_is_no_copy_of_a_store_leaves_the_folder_empty() {
        let folder = tempfile::tempdir().unwrap();
        let other = folder.path().join("other.db");
        rusqlite::Connection::open(&other).unwrap().execute_batch("CREATE TABLE t (a);").unwrap();
        let text = folder.path().join("notes.txt");
        fs::write(&text, "no database, and longer than the header of one".repeat(20)).unwrap();
        for file in [other, text] {
            let target = folder.path().join("target");
            let refused = SqliteStore::put_back(&file, &target);
            assert!(matches!(refused, Err(StoreError::NotAStore { .. })), "{refused:?}");
            assert!(!SqliteStore::is_in(&target));
        }
    }
}
