//! What a person waits for: the screen that opens, the edit that returns.
//!
//! Run with `cargo bench -p fallaway-bench --bench store`. Times of durable edits depend on how fast the disk
//! syncs; the bench syncs a file of its own in the same run, for comparison.

#![allow(clippy::unwrap_used, missing_docs, reason = "a bench")]

use std::fs::File;
use std::io::Write as _;
use std::path::Path;
use std::time::{Duration, Instant};

use criterion::{Criterion, criterion_group, criterion_main};
use fallaway_changes::{RecordId, Writer};
use fallaway_store::{
    Batch, DraftEdit, DraftLine, EntryRef, Generation, SqliteStore, Store, StoredWriter,
};

const INSTRUMENTS: u16 = 500;

fn record(number: u16) -> RecordId {
    let mut bytes = [0; 16];
    bytes[..2].copy_from_slice(&number.to_be_bytes());
    RecordId::from_bytes(bytes)
}

/// A store of 500 instruments, each with a list line, a numbers card and a short draft.
fn filled(folder: &Path) -> SqliteStore {
    let store = SqliteStore::open(folder).unwrap();
    for number in 0..INSTRUMENTS {
        let batch = Batch {
            projections: vec![(1, Some(vec![1; 120])), (2, Some(vec![2; 900]))],
            draft: (0..5).map(|at| DraftEdit::Put(line(at))).collect(),
            ..Batch::new()
        };
        store.create(&record(number), &batch).unwrap();
    }
    store
}

fn line(ordinal: u64) -> DraftLine {
    let writer = Writer::from_bytes([7; 16]);
    DraftLine {
        ordinal,
        container: 3,
        key: format!("{writer}.{ordinal}"),
        value: vec![9; 24],
        entry: Some(EntryRef { writer, number: ordinal }),
        started_at: 1_700_000_000,
    }
}

/// One edit as an app makes it: a draft line, the next entry number, list line and numbers card.
fn edit(store: &SqliteStore, at: Generation, ordinal: u64) -> Generation {
    let writer = Writer::from_bytes([7; 16]);
    let batch = Batch {
        draft: vec![DraftEdit::Put(line(ordinal))],
        writers: vec![StoredWriter { writer, incarnation: vec![1; 16], next_entry: ordinal + 1 }],
        projections: vec![(1, Some(vec![1; 120])), (2, Some(vec![3; 900]))],
        ..Batch::new()
    };
    store.commit(&record(250), at, &batch).unwrap()
}

fn benches(c: &mut Criterion) {
    let folder = tempfile::tempdir().unwrap();
    filled(folder.path()).pause().unwrap();

    c.bench_function("open 500 instruments and read one numbers card", |b| {
        b.iter_custom(|rounds| {
            let mut spent = Duration::ZERO;
            for _ in 0..rounds {
                let begun = Instant::now();
                let store = SqliteStore::open(folder.path()).unwrap();
                assert!(store.projection(&record(250), 2).unwrap().is_some());
                spent += begun.elapsed();
            }
            spent
        });
    });

    let store = SqliteStore::open(folder.path()).unwrap();
    c.bench_function("list line of 500 instruments", |b| {
        b.iter(|| assert_eq!(store.projections(1).unwrap().found.len(), usize::from(INSTRUMENTS)));
    });

    let mut at = store.generation(&record(250)).unwrap();
    let mut ordinal = 5;
    c.bench_function("durable edit", |b| {
        b.iter(|| {
            at = edit(&store, at, ordinal);
            ordinal += 1;
        });
    });

    let mut file = File::create(folder.path().join("for-comparison")).unwrap();
    c.bench_function("appending four pages to a file and syncing it, for comparison", |b| {
        b.iter(|| {
            file.write_all(&[0; 4 * 4096]).unwrap();
            file.sync_data().unwrap();
        });
    });

    // The tail, which a mean hides.
    let mut times: Vec<Duration> = (0..2000)
        .map(|_| {
            let begun = Instant::now();
            at = edit(&store, at, ordinal);
            ordinal += 1;
            begun.elapsed()
        })
        .collect();
    times.sort_unstable();
    let show = |part: usize| times.get(times.len() * part / 1000).copied().unwrap_or_default();
    println!(
        "durable edit, 2000 in a row: median {:?}, p99 {:?}, p99.9 {:?}",
        show(500),
        show(990),
        show(999)
    );
}

criterion_group!(all, benches);
criterion_main!(all);
