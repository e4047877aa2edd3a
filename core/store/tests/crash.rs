//! What these tests rule out: that a call returns and what it stored is gone after a kill or a
//! power cut, or that half of what one call stores is found.
//!
//! A child process works through a scripted day and acknowledges each step after its call has
//! returned. It is ended at each of its writes in turn. Then the store must hold exactly the day up
//! to the last acknowledged step, or that and the step that was under way, as a store in memory
//! that was given the same steps holds it; and the day can be finished from there.

#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

mod common;

use std::fs;
use std::path::Path;

use common::{change, hash, line, member, record, signature, snapshot, this_writer};
use fallaway_changes::RecordId;
use fallaway_crash::{How, Shim, acknowledge, child};
use fallaway_store::{
    Batch, ChangeStanding, DamagedPart, DraftEdit, Loaded, MemoryStore, Move, Outgoing,
    OutgoingEdit, RecordHead, Snapshot, SqliteStore, Store, StoreError,
};

/// Tells the child where to work.
const FOLDER: &str = "FALLAWAY_CRASH_TEST_FOLDER";
const MENDED: &str = "FALLAWAY_MEND_TEST_FOLDER";

type Step = fn(&dyn Store) -> Result<(), StoreError>;

fn commit(store: &dyn Store, number: u8, batch: &Batch) -> Result<(), StoreError> {
    let at = store.generation(&record(number))?;
    store.commit(&record(number), at, batch).map(drop)
}

/// A day: two records taken in, passes entered line by line, sealed, merged, compacted; the app
/// goes to the background at noon; one record is deleted.
const DAY: [Step; 17] = [
    |store| store.set_meta("device", Some(b"bench laptop")),
    |store| {
        let members = vec![member(1, ChangeStanding::Admitted)];
        let writers = vec![this_writer(1, 1)];
        store.create(&record(1), &Batch { members, writers, ..Batch::new() }).map(drop)
    },
    |store| {
        let projections = vec![(1, Some(b"second".to_vec()))];
        store.create(&record(2), &Batch { projections, ..Batch::new() }).map(drop)
    },
    |store| enter(store, 1),
    |store| enter(store, 2),
    |store| enter(store, 3),
    |store| seal(store, 1),
    |store| enter(store, 4),
    |store| {
        // A merge: one change comes to the front, one has to wait.
        let batch = Batch {
            changes: vec![
                change(2, 1, ChangeStanding::Admitted),
                change(3, 2, ChangeStanding::Waiting),
                change(4, 1, ChangeStanding::Held),
            ],
            signatures: vec![signature(2, 1), signature(3, 2)],
            projections: vec![(1, Some(b"after the merge".to_vec())), (2, Some(vec![7; 5000]))],
            ..Batch::new()
        };
        commit(store, 1, &batch)
    },
    |store| store.pause(),
    |store| seal(store, 2),
    |store| {
        let at = store.generation(&record(1))?;
        let heads = [hash(1, 2, 0), hash(2, 1, 0)];
        let shot = Snapshot { bytes: vec![5; 20_000], ..snapshot("", &heads, 3) };
        let contained = [hash(1, 1, 0), hash(1, 2, 0), hash(2, 1, 0)];
        store.compact(&record(1), at, &shot, &contained, &[], &|_| Ok(())).map(drop)
    },
    |store| {
        let moves =
            vec![Move { hash: hash(4, 1, 0), standing: ChangeStanding::Admitted, reason: None }];
        commit(store, 1, &Batch { moves, ..Batch::new() })
    },
    |store| store.delete(&record(2)),
    |store| {
        let at = store.generation(&record(1))?;
        let shot = snapshot("a small one", &[hash(4, 1, 0)], 4);
        store.compact(&record(1), at, &shot, &[hash(4, 1, 0)], &[], &|_| Ok(())).map(drop)
    },
    |store| enter(store, 5),
    |store| store.pause(),
];

fn enter(store: &dyn Store, number: u64) -> Result<(), StoreError> {
    let batch = Batch {
        draft: vec![DraftEdit::Put(line(number, 1))],
        writers: vec![this_writer(1, number + 1)],
        projections: vec![(1, Some(format!("{number} lines").into_bytes()))],
        ..Batch::new()
    };
    commit(store, 1, &batch)
}

fn seal(store: &dyn Store, seq: u64) -> Result<(), StoreError> {
    let batch = Batch {
        changes: vec![change(1, seq, ChangeStanding::Admitted)],
        signatures: vec![signature(1, seq)],
        draft: vec![DraftEdit::Clear],
        outgoing: vec![OutgoingEdit::Add(Outgoing::Change(hash(1, seq, 0)))],
        ..Batch::new()
    };
    commit(store, 1, &batch)
}

/// Everything that can be asked of a store.
#[derive(Debug, PartialEq)]
struct Dump {
    device: Option<Vec<u8>>,
    heads: Vec<RecordHead>,
    records: Vec<Loaded>,
    snapshots: u64,
    projections: Vec<Vec<(RecordId, Vec<u8>)>>,
}

fn dump(store: &dyn Store) -> Dump {
    let heads = store.records().unwrap();
    let records = heads.iter().map(|head| store.load(&head.record).unwrap()).collect();
    let snapshots = store.diagnostics().unwrap().snapshots;
    let projections = (1..=2).map(|kind| store.projections(kind).unwrap().found).collect();
    Dump { device: store.meta("device").unwrap(), heads, records, snapshots, projections }
}

fn dump_after(steps: usize) -> Dump {
    let store = MemoryStore::new();
    for step in &DAY[..steps] {
        step(&store).unwrap();
    }
    dump(&store)
}

/// The child's part; does nothing unless a parent asks for it.
#[test]
fn day() {
    let Some(folder) = std::env::var_os(FOLDER) else { return };
    let Ok(store) = SqliteStore::open(Path::new(&folder)) else { return };
    for (number, step) in DAY.iter().enumerate() {
        match step(&store) {
            Ok(()) => acknowledge(&number.to_string()),
            Err(StoreError::Full) => {
                acknowledge("full");
                return;
            }
            Err(error) => panic!("step {number}: {error}"),
        }
    }
}

/// Ends the day at each write in turn, and looks at what is left.
fn end_at_each_write(how: How) {
    let tools = tempfile::tempdir().unwrap();
    let shim = Shim::build(tools.path()).unwrap();
    let after: Vec<Dump> = (0..=DAY.len()).map(dump_after).collect();
    let mut writes = 0;
    for at in 1.. {
        let folder = tempfile::tempdir().unwrap();
        let run = shim.run(child("day", FOLDER, folder.path()).unwrap(), folder.path(), at, how);
        let run = run.unwrap();
        let full = run.acknowledged.last().is_some_and(|last| last == "full");
        let done = run.acknowledged.len() - usize::from(full);
        let store = SqliteStore::open(folder.path()).unwrap();
        assert_eq!(store.damages(), Ok(Vec::new()), "write {at}, {how:?}");
        let found = dump(&store);
        let begun = after.get(done + 1).is_some_and(|next| found == *next);
        assert!(
            found == after[done] || begun,
            "write {at}, {how:?}: {done} steps were acknowledged, found {found:#?}\n{:?}",
            run.output
        );
        // Now and then the day is finished. A step whose work is done but was not acknowledged is
        // not done again.
        if at % 5 == 0 {
            for step in &DAY[done + usize::from(begun && found != after[done])..] {
                step(&store).unwrap();
            }
            assert_eq!(dump(&store), after[DAY.len()], "write {at}, {how:?}");
        }
        if !run.ended && !full && done == DAY.len() {
            break;
        }
        writes = at;
    }
    // The day really was ended many times: each of its commits writes and syncs.
    assert!(writes > 2 * DAY.len() as u64, "{writes}");
}

#[test]
fn killed_before_each_write_nothing_returned_is_lost() {
    end_at_each_write(How::Before);
}

#[test]
fn killed_in_the_middle_of_each_write_nothing_returned_is_lost() {
    end_at_each_write(How::Torn);
}

#[test]
fn power_cut_before_each_write_nothing_returned_is_lost() {
    end_at_each_write(How::Lost);
}

#[test]
fn with_the_disk_full_from_each_write_on_nothing_returned_is_lost() {
    end_at_each_write(How::Full);
}

/// The child's part of the next test; does nothing unless a parent asks for it.
#[test]
fn mend() {
    let Some(folder) = std::env::var_os(MENDED) else { return };
    let store = SqliteStore::open(Path::new(&folder)).unwrap();
    dump(&store);
    acknowledge("mended");
}

#[test]
fn a_repair_that_is_killed_at_any_write_is_finished_later() {
    let tools = tempfile::tempdir().unwrap();
    let shim = Shim::build(tools.path()).unwrap();
    let whole = tempfile::tempdir().unwrap();
    let store = SqliteStore::open(whole.path()).unwrap();
    for step in &DAY {
        step(&store).unwrap();
    }
    drop(store);
    // The page that holds the draft.
    let mut bytes = fs::read(whole.path().join("fallaway.db")).unwrap();
    let at = bytes.windows(7).rposition(|text| text == b"entry 5").unwrap();
    bytes[at / 4096 * 4096..][..8].fill(0xA5);

    let mut wanted = dump_after(DAY.len());
    wanted.records[0].draft.clear();
    // Projections are rebuilt after a repair.
    wanted.projections = vec![Vec::new(), Vec::new()];
    for how in [How::Torn, How::Lost] {
        for at in 1.. {
            let folder = tempfile::tempdir().unwrap();
            fs::write(folder.path().join("fallaway.db"), &bytes).unwrap();
            let program = child("mend", MENDED, folder.path()).unwrap();
            let run = shim.run(program, folder.path(), at, how).unwrap();
            let store = SqliteStore::open(folder.path()).unwrap();
            let mut found = dump(&store);
            // A repair moves every record on.
            for (record, wanted) in found.records.iter_mut().zip(&wanted.records) {
                assert!(record.generation > wanted.generation, "write {at}, {how:?}");
                record.generation = wanted.generation;
            }
            found.heads.clone_from(&wanted.heads);
            assert_eq!(found, wanted, "write {at}, {how:?}");
            let damages = store.damages().unwrap();
            // The file that is kept, and that the record lacks something.
            let parts: Vec<DamagedPart> = damages.iter().map(|damage| damage.part).collect();
            assert_eq!(
                parts,
                [DamagedPart::File, DamagedPart::Record],
                "write {at}, {how:?}: {damages:?}"
            );
            assert!(folder.path().join(&damages[0].name).exists());
            if !run.ended {
                assert!(at > 20, "{at}");
                break;
            }
        }
    }
}
