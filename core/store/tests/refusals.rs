//! A full disk, a folder that may not be written, a lock that is not given: typed errors, and
//! everything stored earlier is intact.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test")]

mod common;

use std::time::Duration;

use common::{line, record};
use fallaway_store::{Batch, DraftEdit, Generation, Options, SqliteStore, Store, StoreError};

#[test]
fn a_full_store_keeps_what_it_has() {
    let folder = tempfile::tempdir().unwrap();
    let options = Options { max_pages: Some(80), ..Options::default() };
    let store = SqliteStore::open_with(folder.path(), options).unwrap();
    let big = Batch { projections: vec![(9, Some(vec![1; 60_000]))], ..Batch::new() };
    store.create(&record(2), &big).unwrap();
    let mut at = store.create(&record(1), &Batch::new()).unwrap();
    let mut lines = 0;
    let add = |lines: u64| Batch {
        draft: vec![DraftEdit::Put(line(lines, 1))],
        projections: vec![(u16::try_from(lines).unwrap(), Some(vec![0; 9000]))],
        ..Batch::new()
    };
    let refused = loop {
        match store.commit(&record(1), at, &add(lines)) {
            Ok(next) => (at, lines) = (next, lines + 1),
            Err(error) => break error,
        }
    };
    assert_eq!(refused, StoreError::Full);
    assert!(lines > 5);
    // Nothing of the refused batch is there, everything before it is.
    let check = |store: &SqliteStore| {
        assert_eq!(store.generation(&record(1)), Ok(at));
        assert_eq!(store.draft(&record(1)).unwrap().len() as u64, lines);
        assert_eq!(store.projection(&record(1), u16::try_from(lines).unwrap()), Ok(None));
        assert_eq!(store.projection(&record(1), 0), Ok(Some(vec![0; 9000])));
    };
    check(&store);
    store.pause().unwrap();
    check(&store);
    // With room again, the same commit goes through.
    store.delete(&record(2)).unwrap();
    store.commit(&record(1), at, &add(lines)).unwrap();
    assert_eq!(store.damages(), Ok(Vec::new()));
}

#[test]
fn a_lock_that_is_not_given_in_time_is_an_error_and_reading_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    let options = Options { patience: Duration::from_millis(20), ..Options::default() };
    let store = SqliteStore::open_with(folder.path(), options).unwrap();
    let at = store.create(&record(1), &Batch::new()).unwrap();
    let other = rusqlite::Connection::open(folder.path().join("fallaway.db")).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    assert_eq!(store.commit(&record(1), at, &Batch::new()), Err(StoreError::Busy));
    assert_eq!(store.generation(&record(1)), Ok(at));
    other.execute_batch("ROLLBACK").unwrap();
    assert_eq!(store.commit(&record(1), at, &Batch::new()), Ok(Generation(at.0 + 1)));
}

#[cfg(unix)]
mod unprivileged {
    use std::fs;
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
    use std::os::unix::process::CommandExt as _;
    use std::path::Path;
    use std::process::Command;

    use super::{Batch, SqliteStore, Store as _, StoreError, record};
    use fallaway_store::StoreAccess;

    /// Tells the child where to work, and what it should find.
    const FOLDER: &str = "FALLAWAY_REFUSALS_TEST_FOLDER";

    /// Whether it is to read what is there.
    const READS: &str = "FALLAWAY_REFUSALS_TEST_READS";

    /// The child's part; does nothing unless a parent asks for it.
    #[test]
    fn child() {
        let Some(folder) = std::env::var_os(FOLDER) else { return };
        if std::env::var_os(READS).is_some() {
            let store = SqliteStore::open(Path::new(&folder)).unwrap();
            assert_eq!(store.access(), StoreAccess::ReadOnlyFolder);
            let at = store.generation(&record(1)).unwrap();
            assert_eq!(store.records().unwrap().len(), 1);
            let refused = store.commit(&record(1), at, &Batch::new());
            assert!(matches!(refused, Err(StoreError::NotWritable { .. })), "{refused:?}");
            return;
        }
        let refused = SqliteStore::open(Path::new(&folder));
        assert!(matches!(refused, Err(StoreError::NotWritable { .. })), "{refused:?}");
    }

    fn mode(path: &Path, mode: u32) {
        fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    }

    /// Runs the child as somebody for whom permissions count: nobody, if we are the superuser.
    fn refused_in(folder: &Path) {
        child_in(folder, false);
    }

    fn child_in(folder: &Path, reads: bool) {
        let tools = tempfile::tempdir().unwrap();
        mode(tools.path(), 0o755);
        let program = tools.path().join("child");
        fs::copy(std::env::current_exe().unwrap(), &program).unwrap();
        mode(&program, 0o755);
        let mut child = Command::new(program);
        child.args(["--exact", "unprivileged::child", "--nocapture"]).env(FOLDER, folder);
        child.current_dir("/");
        if reads {
            child.env(READS, "1");
        }
        if tools.path().metadata().unwrap().uid() == 0 {
            child.uid(65534).gid(65534);
        }
        let output = child.output().unwrap();
        assert!(output.status.success(), "{output:?}");
        assert!(String::from_utf8_lossy(&output.stdout).contains("1 passed"), "{output:?}");
    }

    #[test]
    fn a_folder_that_may_not_be_written() {
        let folder = tempfile::tempdir().unwrap();
        mode(folder.path(), 0o555);
        refused_in(folder.path());
        // Nor may one be made in it.
        refused_in(&folder.path().join("inner"));
        mode(folder.path(), 0o755);
    }

    #[test]
    fn a_whole_folder_that_may_only_be_read_is_read() {
        let above = tempfile::tempdir().unwrap();
        mode(above.path(), 0o755);
        // A name that an address would take for more than a name.
        let folder = above.path().join("50% #1?");
        let store = SqliteStore::open(&folder).unwrap();
        store.create(&record(1), &Batch::new()).unwrap();
        drop(store);
        let files: Vec<_> = fs::read_dir(&folder).unwrap().map(|one| one.unwrap().path()).collect();
        for file in &files {
            mode(file, 0o444);
        }
        mode(&folder, 0o555);
        child_in(&folder, true);
        // Where the last writer left a log, what the file holds may not be all.
        mode(&folder, 0o755);
        fs::write(folder.join("fallaway.db-wal"), "").unwrap();
        mode(&folder, 0o555);
        refused_in(&folder);
        mode(&folder, 0o755);
    }

    #[test]
    fn a_store_that_may_only_be_read() {
        let folder = tempfile::tempdir().unwrap();
        let store = SqliteStore::open(folder.path()).unwrap();
        store.create(&record(1), &Batch::new()).unwrap();
        store.pause().unwrap();
        let before = fs::read(folder.path().join("fallaway.db")).unwrap();
        mode(&folder.path().join("fallaway.db"), 0o444);
        // The folder and the lock beside the file may be written by all.
        mode(&folder.path().join("fallaway.lock"), 0o666);
        mode(folder.path(), 0o777);
        refused_in(folder.path());
        assert_eq!(fs::read(folder.path().join("fallaway.db")).unwrap(), before);
        drop(store);
        mode(&folder.path().join("fallaway.db"), 0o644);
        assert!(SqliteStore::open(folder.path()).unwrap().generation(&record(1)).is_ok());
    }
}
