//! Two processes with four threads each write one record of one store. No lock error reaches any
//! of them, and nothing that any of them stored is missing.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test")]

mod common;

use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::{Barrier, Mutex};
use std::thread;

use common::{line, record, snapshot};
use fallaway_store::{Batch, DraftEdit, SqliteStore, Store, StoreError};

/// Tells a child where to work, and which one it is.
const FOLDER: &str = "FALLAWAY_PROCESSES_TEST_FOLDER";
const CHILD: &str = "FALLAWAY_PROCESSES_TEST_CHILD";

const CHILDREN: u64 = 2;
const THREADS: u64 = 4;
const COMMITS: u64 = 15;

/// A child's part; does nothing unless a parent asks for it.
#[test]
fn child() {
    let (Some(folder), Ok(number)) = (std::env::var_os(FOLDER), std::env::var(CHILD)) else {
        return;
    };
    let first = number.parse::<u64>().unwrap() * THREADS * COMMITS;
    // Both children find no store, and create it at the same time.
    let store = SqliteStore::open(Path::new(&folder)).unwrap();
    match store.create(&record(1), &Batch::new()) {
        Ok(_) | Err(StoreError::RecordExists { .. }) => {}
        Err(error) => panic!("{error}"),
    }
    thread::scope(|scope| {
        for thread in 0..THREADS {
            let store = &store;
            scope.spawn(move || {
                for commit in 0..COMMITS {
                    add(store, first + thread * COMMITS + commit);
                }
            });
        }
    });
}

/// Adds a line that nobody else adds, beside a count that everybody changes.
fn add(store: &SqliteStore, ordinal: u64) {
    loop {
        let loaded = store.load(&record(1)).unwrap();
        let count = u64::try_from(loaded.draft.len()).unwrap() + 1;
        let batch = Batch {
            draft: vec![DraftEdit::Put(line(ordinal, 1))],
            projections: vec![(1, Some(count.to_le_bytes().to_vec()))],
            ..Batch::new()
        };
        match store.commit(&record(1), loaded.generation, &batch) {
            Ok(_) => return,
            Err(StoreError::Moved { .. }) => {}
            Err(error) => panic!("{error}"),
        }
        if ordinal % COMMITS == 7 {
            // One thread in between sends the store to the background.
            store.pause().unwrap();
        }
    }
}

#[test]
fn everything_that_anybody_stored_is_there() {
    let folder = tempfile::tempdir().unwrap();
    let children: Vec<_> = (0..CHILDREN)
        .map(|number| {
            Command::new(std::env::current_exe().unwrap())
                .args(["--exact", "child", "--nocapture"])
                .env(FOLDER, folder.path())
                .env(CHILD, number.to_string())
                .stdout(Stdio::piped())
                .stderr(Stdio::piped())
                .spawn()
                .unwrap()
        })
        .collect();
    for child in children {
        let output = child.wait_with_output().unwrap();
        assert!(output.status.success(), "{output:?}");
    }
    let store = SqliteStore::open(folder.path()).unwrap();
    let total = CHILDREN * THREADS * COMMITS;
    let loaded = store.load(&record(1)).unwrap();
    let ordinals: Vec<u64> = loaded.draft.iter().map(|line| line.ordinal).collect();
    assert_eq!(ordinals, (0..total).collect::<Vec<_>>());
    // Nobody counted without having seen everybody else.
    assert_eq!(store.projection(&record(1), 1), Ok(Some(total.to_le_bytes().to_vec())));
    assert_eq!(loaded.generation.0, 1 + total);
    assert_eq!(store.damages(), Ok(Vec::new()));
}

#[test]
fn reading_goes_on_while_another_thread_writes() {
    let folder = tempfile::tempdir().unwrap();
    let store = SqliteStore::open(folder.path()).unwrap();
    let at = store.create(&record(1), &Batch::new()).unwrap();
    let seen = Mutex::new(None);
    // The check runs in the middle of a write, so whatever reads now reads beside it.
    let check = |_: &[u8]| {
        let read = thread::scope(|scope| scope.spawn(|| store.load(&record(1))).join().unwrap());
        *seen.lock().unwrap() = Some(read);
        Ok(())
    };
    store.compact(&record(1), at, &snapshot("s", &[], 0), &[], &[], &check).unwrap();
    // It saw the record as it was before.
    let seen = seen.into_inner().unwrap().unwrap().unwrap();
    assert_eq!((seen.generation, seen.snapshot), (at, None));
    assert!(store.load(&record(1)).unwrap().snapshot.is_some());
}

/// Several open a store that is not there yet, and keep it open: whoever finds that another was
/// faster does not wait for it to close.
#[test]
fn whoever_loses_the_race_to_create_opens_all_the_same() {
    for _ in 0..10 {
        let folder = tempfile::tempdir().unwrap();
        let all_open = Barrier::new(4);
        thread::scope(|scope| {
            for _ in 0..4 {
                scope.spawn(|| {
                    let store = SqliteStore::open(folder.path());
                    all_open.wait();
                    store.unwrap();
                });
            }
        });
    }
}
