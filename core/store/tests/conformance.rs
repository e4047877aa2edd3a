//! One suite that every store passes.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

mod common;

use std::cell::RefCell;

use common::{change, hash, line, member, record, signature, snapshot, this_writer, writer};
use fallaway_changes::{BlobId, EpochId};
use fallaway_order::Map;
use fallaway_store::{
    Batch, BlobHere, ChangeStanding, DraftEdit, Generation, Loaded, MemoryStore, Move, Outgoing,
    OutgoingEdit, Projections, SqliteStore, Store, StoreAccess, StoreError, StoredBlobPart,
    StoredEpochKey, StoredPeople,
};

/// Makes an empty store, and opens it again with what it holds (a store that forgets answers the
/// same one).
trait Bench {
    fn store(&self) -> &dyn Store;
    fn reopen(&mut self);
}

struct InMemory(MemoryStore);

impl Bench for InMemory {
    fn store(&self) -> &dyn Store {
        &self.0
    }
    fn reopen(&mut self) {}
}

struct InSqlite {
    folder: tempfile::TempDir,
    store: Option<SqliteStore>,
}

impl Bench for InSqlite {
    fn store(&self) -> &dyn Store {
        self.store.as_ref().unwrap()
    }
    fn reopen(&mut self) {
        self.store = None;
        self.store = Some(SqliteStore::open(self.folder.path()).unwrap());
    }
}

fn in_memory() -> Box<dyn Bench> {
    Box::new(InMemory(MemoryStore::new()))
}

fn in_sqlite() -> Box<dyn Bench> {
    let folder = tempfile::tempdir().unwrap();
    let store = Some(SqliteStore::open(folder.path()).unwrap());
    Box::new(InSqlite { folder, store })
}

macro_rules! conformance {
    ($($test:ident),* $(,)?) => {
        mod memory {
            $(#[test] fn $test() { super::$test(super::in_memory().as_mut()); })*
        }
        mod sqlite {
            $(#[test] fn $test() { super::$test(super::in_sqlite().as_mut()); })*
        }
    };
}

conformance!(
    a_new_store_is_empty,
    everything_comes_back,
    the_list_is_by_id,
    a_stale_writer_is_told,
    unknown_records_are_refused,
    a_record_is_created_once,
    a_batch_happens_whole_or_not_at_all,
    one_admitted_change_per_number,
    standings_move,
    the_draft_is_edited,
    entry_numbers_do_not_go_back,
    numbers_that_do_not_fit_are_refused,
    what_is_put_again_is_replaced,
    projections_are_listed_by_kind,
    compaction_deletes_exactly_what_is_contained,
    compaction_that_fails_its_check_changes_nothing,
    compaction_refuses_what_it_may_not_delete,
    compacted_numbers_stay_taken,
    compaction_keeps_provable_pieces,
    what_stands_beside_comes_without_its_bytes,
    what_is_given_up_is_gone,
    an_unpacked_record_has_lines_again,
    photos_come_part_by_part,
    a_deleted_record_leaves_nothing,
    values_of_the_store,
    a_counter_only_goes_on,
    a_paused_store_goes_on,
    counts_add_up,
);

fn blob_part(blob: u8, part: u32, parts: u32) -> StoredBlobPart {
    StoredBlobPart { blob: BlobId::from_bytes([blob; 32]), part, parts, bytes: vec![blob; 9] }
}

/// A batch with something in every field.
fn everything() -> Batch {
    Batch {
        moves: Vec::new(),
        changes: vec![
            change(1, 1, ChangeStanding::Admitted),
            change(1, 2, ChangeStanding::Admitted),
            change(2, 1, ChangeStanding::Waiting),
            change(3, 1, ChangeStanding::Held),
            change(4, 1, ChangeStanding::Quarantined),
        ],
        signatures: vec![signature(1, 2), signature(2, 1)],
        draft: vec![DraftEdit::Put(line(1, 1)), DraftEdit::Put(line(2, 1))],
        members: vec![member(9, ChangeStanding::Admitted), member(8, ChangeStanding::Waiting)],
        epoch_keys: vec![StoredEpochKey {
            epoch: EpochId::from_bytes([5; EpochId::LEN]),
            wrapped: vec![1, 2, 3],
        }],
        writers: vec![this_writer(1, 3)],
        projections: vec![(1, Some(b"line".to_vec())), (2, Some(Vec::new()))],
        outgoing: vec![
            OutgoingEdit::Add(Outgoing::Change(hash(1, 2, 0))),
            OutgoingEdit::Add(Outgoing::Change(hash(1, 1, 0))),
        ],
        blobs: vec![blob_part(7, 0, 1)],
        counters: vec!["sealed"],
        ..Batch::new()
    }
}

fn a_new_store_is_empty(bench: &mut dyn Bench) {
    let store = bench.store();
    assert_eq!(store.access(), StoreAccess::ReadWrite);
    assert_eq!(store.records(), Ok(Vec::new()));
    assert_eq!(store.damages(), Ok(Vec::new()));
    assert_eq!(store.projection(&record(1), 1), Ok(None));
    assert_eq!(store.projections(1), Ok(Projections { found: Vec::new(), complete: true }));
    assert_eq!(store.meta("device"), Ok(None));
}

fn everything_comes_back(bench: &mut dyn Bench) {
    let batch = everything();
    let first = bench.store().create(&record(1), &batch).unwrap();
    for _ in 0..2 {
        let store = bench.store();
        let loaded = store.load(&record(1)).unwrap();
        let wanted = Loaded {
            generation: first,
            snapshot: None,
            compacted: Map::new(),
            changes: batch.changes.clone(),
            signatures: batch.signatures.clone(),
            draft: vec![line(1, 1), line(2, 1)],
            members: batch.members.clone(),
            epoch_keys: batch.epoch_keys.clone(),
            writers: batch.writers.clone(),
            outgoing: vec![Outgoing::Change(hash(1, 2, 0)), Outgoing::Change(hash(1, 1, 0))],
        };
        assert_eq!(loaded, wanted);
        assert_eq!(store.generation(&record(1)), Ok(first));
        assert_eq!(store.draft(&record(1)), Ok(wanted.draft));
        assert_eq!(store.projection(&record(1), 1), Ok(Some(b"line".to_vec())));
        assert_eq!(store.projection(&record(1), 2), Ok(Some(Vec::new())));
        assert_eq!(store.projection(&record(1), 3), Ok(None));
        bench.reopen();
    }
}

fn the_list_is_by_id(bench: &mut dyn Bench) {
    let store = bench.store();
    for number in [3, 1, 2] {
        store.create(&record(number), &Batch::new()).unwrap();
    }
    store.commit(&record(2), Generation(1), &Batch::new()).unwrap();
    let listed: Vec<_> =
        store.records().unwrap().iter().map(|head| (head.record, head.generation.0)).collect();
    assert_eq!(listed, [(record(1), 1), (record(2), 2), (record(3), 1)]);
}

fn a_stale_writer_is_told(bench: &mut dyn Bench) {
    let store = bench.store();
    let first = store.create(&record(1), &Batch::new()).unwrap();
    let add = |by| Batch { draft: vec![DraftEdit::Put(line(1, by))], ..Batch::new() };
    let second = store.commit(&record(1), first, &add(1)).unwrap();
    assert!(second > first);
    let moved = StoreError::Moved { current: second };
    assert_eq!(store.commit(&record(1), first, &add(2)), Err(moved.clone()));
    let ahead = Generation(second.0 + 1);
    assert_eq!(store.commit(&record(1), ahead, &add(2)), Err(moved.clone()));
    let refused = store.compact(&record(1), first, &snapshot("s", &[], 0), &[], &[], &|_| Ok(()));
    assert_eq!(refused, Err(moved));
    assert_eq!(store.draft(&record(1)), Ok(vec![line(1, 1)]));
    // Records do not move each other.
    store.create(&record(2), &Batch::new()).unwrap();
    assert_eq!(store.generation(&record(1)), Ok(second));
}

fn unknown_records_are_refused(bench: &mut dyn Bench) {
    let store = bench.store();
    let unknown = record(7);
    let none = StoreError::NoSuchRecord { record: unknown };
    assert_eq!(store.load(&unknown), Err(none.clone()));
    assert_eq!(store.generation(&unknown), Err(none.clone()));
    assert_eq!(store.draft(&unknown), Err(none.clone()));
    assert_eq!(store.delete(&unknown), Err(none.clone()));
    assert_eq!(store.commit(&unknown, Generation(1), &everything()), Err(none.clone()));
    let refused =
        store.compact(&unknown, Generation(1), &snapshot("s", &[], 0), &[], &[], &|_| Ok(()));
    assert_eq!(refused, Err(none));
    assert_eq!(store.records(), Ok(Vec::new()));
}

fn a_record_is_created_once(bench: &mut dyn Bench) {
    let store = bench.store();
    store.create(&record(1), &everything()).unwrap();
    let before = store.load(&record(1)).unwrap();
    let again = Batch { draft: vec![DraftEdit::Clear], ..Batch::new() };
    let exists = StoreError::RecordExists { record: record(1) };
    assert_eq!(store.create(&record(1), &again), Err(exists));
    assert_eq!(store.load(&record(1)), Ok(before));
    // A first batch that contradicts itself creates nothing.
    let twice = vec![change(1, 1, ChangeStanding::Held), change(1, 1, ChangeStanding::Held)];
    let batch = Batch { changes: twice, ..Batch::new() };
    assert_eq!(store.create(&record(2), &batch), Err(StoreError::Known { hash: hash(1, 1, 0) }));
    assert_eq!(store.records().unwrap().len(), 1);
}

fn a_batch_happens_whole_or_not_at_all(bench: &mut dyn Bench) {
    let first = bench.store().create(&record(1), &everything()).unwrap();
    let before = bench.store().load(&record(1)).unwrap();
    let mut fork = change(1, 2, ChangeStanding::Admitted);
    fork.hash = hash(1, 2, 9);
    let full = Batch {
        moves: vec![Move { hash: hash(2, 1, 0), standing: ChangeStanding::Admitted, reason: None }],
        changes: vec![change(1, 3, ChangeStanding::Admitted)],
        signatures: vec![signature(1, 3)],
        draft: vec![DraftEdit::Clear, DraftEdit::Put(line(7, 1))],
        members: vec![member(7, ChangeStanding::Admitted), member(8, ChangeStanding::Admitted)],
        epoch_keys: vec![StoredEpochKey {
            epoch: EpochId::from_bytes([6; EpochId::LEN]),
            wrapped: vec![4],
        }],
        writers: vec![this_writer(1, 9)],
        projections: vec![(1, Some(b"other".to_vec())), (2, None)],
        outgoing: vec![OutgoingEdit::Done(Outgoing::Change(hash(1, 1, 0)))],
        counters: vec!["sealed"],
        ..Batch::new()
    };
    let mut violations = vec![];
    // One of each: a number that is taken, a change that is known, one that is not there, an entry
    // number that goes back (after all fields before it have been written).
    violations.push(Batch {
        changes: vec![change(1, 3, ChangeStanding::Admitted), fork],
        ..full.clone()
    });
    violations.push(Batch {
        changes: vec![
            change(1, 3, ChangeStanding::Admitted),
            change(1, 1, ChangeStanding::Admitted),
        ],
        ..full.clone()
    });
    let mut gone = full.clone();
    gone.moves.push(Move { hash: hash(9, 9, 9), standing: ChangeStanding::Held, reason: None });
    violations.push(gone);
    violations.push(Batch { writers: vec![this_writer(2, 1), this_writer(1, 2)], ..full.clone() });
    for violation in violations {
        assert!(bench.store().commit(&record(1), first, &violation).is_err());
        assert_eq!(bench.store().load(&record(1)), Ok(before.clone()));
        assert_eq!(bench.store().projection(&record(1), 1), Ok(Some(b"line".to_vec())));
        assert_eq!(bench.store().projection(&record(1), 2), Ok(Some(Vec::new())));
        assert_eq!(bench.store().meta("sealed"), Ok(Some(1_u64.to_be_bytes().to_vec())));
        bench.reopen();
        assert_eq!(bench.store().load(&record(1)), Ok(before.clone()));
    }
    // Without the violation all of it happens.
    bench.store().commit(&record(1), first, &full).unwrap();
    let after = bench.store().load(&record(1)).unwrap();
    assert_eq!(after.draft, [line(7, 1)]);
    assert_eq!(after.outgoing, [Outgoing::Change(hash(1, 2, 0))]);
    assert_eq!(after.members.last().map(|member| member.standing), Some(ChangeStanding::Admitted));
    assert_eq!(bench.store().projection(&record(1), 2), Ok(None));
    assert_eq!(bench.store().meta("note"), Ok(None));
}

fn one_admitted_change_per_number(bench: &mut dyn Bench) {
    let store = bench.store();
    let first = store
        .create(
            &record(1),
            &Batch { changes: vec![change(1, 1, ChangeStanding::Admitted)], ..Batch::new() },
        )
        .unwrap();
    let fork = |standing| {
        let mut fork = change(1, 1, standing);
        fork.hash = hash(1, 1, 9);
        Batch { changes: vec![fork], ..Batch::new() }
    };
    let taken = StoreError::Taken { writer: writer(1), seq: 1 };
    assert_eq!(
        store.commit(&record(1), first, &fork(ChangeStanding::Admitted)),
        Err(taken.clone())
    );
    // A fork may be kept beside it, but not admitted.
    let second = store.commit(&record(1), first, &fork(ChangeStanding::Held)).unwrap();
    let admit = Move { hash: hash(1, 1, 9), standing: ChangeStanding::Admitted, reason: None };
    let batch = Batch { moves: vec![admit.clone()], ..Batch::new() };
    assert_eq!(store.commit(&record(1), second, &batch), Err(taken));
    // The two may change places in one batch.
    let reason = Some("another change has its number".to_owned());
    let hold = Move { hash: hash(1, 1, 0), standing: ChangeStanding::Held, reason };
    let batch = Batch { moves: vec![hold, admit], ..Batch::new() };
    store.commit(&record(1), second, &batch).unwrap();
    // The same number in another record or of another writer is free.
    store
        .create(
            &record(2),
            &Batch {
                changes: vec![
                    change(1, 1, ChangeStanding::Admitted),
                    change(2, 1, ChangeStanding::Admitted),
                ],
                ..Batch::new()
            },
        )
        .unwrap();
}

fn standings_move(bench: &mut dyn Bench) {
    let mut at = bench.store().create(&record(1), &Batch::new()).unwrap();
    let new = Batch { changes: vec![change(1, 1, ChangeStanding::Waiting)], ..Batch::new() };
    at = bench.store().commit(&record(1), at, &new).unwrap();
    for standing in [
        ChangeStanding::Held,
        ChangeStanding::Quarantined,
        ChangeStanding::Waiting,
        ChangeStanding::Admitted,
        ChangeStanding::Admitted,
        ChangeStanding::Held,
        ChangeStanding::Admitted,
    ] {
        let reason = (standing != ChangeStanding::Admitted).then(|| "because".to_owned());
        let step = Move { hash: hash(1, 1, 0), standing, reason: reason.clone() };
        at = bench
            .store()
            .commit(&record(1), at, &Batch { moves: vec![step], ..Batch::new() })
            .unwrap();
        bench.reopen();
        let loaded = bench.store().load(&record(1)).unwrap();
        let mut wanted = change(1, 1, standing);
        wanted.reason = reason;
        assert_eq!(loaded.changes, [wanted]);
    }
}

fn the_draft_is_edited(bench: &mut dyn Bench) {
    let mut at = bench.store().create(&record(1), &Batch::new()).unwrap();
    let mut edit = |bench: &mut dyn Bench, draft: Vec<DraftEdit>| {
        at = bench.store().commit(&record(1), at, &Batch { draft, ..Batch::new() }).unwrap();
        bench.reopen();
        bench.store().draft(&record(1)).unwrap()
    };
    let mut no_entry = line(2, 1);
    no_entry.entry = None;
    let lines = edit(bench, vec![DraftEdit::Put(no_entry.clone()), DraftEdit::Put(line(1, 1))]);
    assert_eq!(lines, [line(1, 1), no_entry.clone()]);
    let mut corrected = line(1, 1);
    corrected.value = vec![0; 3];
    let lines = edit(bench, vec![DraftEdit::Put(corrected.clone())]);
    assert_eq!(lines, [corrected, no_entry]);
    let lines = edit(bench, vec![DraftEdit::Erase(1), DraftEdit::Erase(77)]);
    assert_eq!(lines.len(), 1);
    let lines = edit(bench, vec![DraftEdit::Clear, DraftEdit::Put(line(5, 2))]);
    assert_eq!(lines, [line(5, 2)]);
    assert_eq!(edit(bench, vec![DraftEdit::Put(line(6, 2)), DraftEdit::Clear]), []);
}

fn entry_numbers_do_not_go_back(bench: &mut dyn Bench) {
    let store = bench.store();
    let put = |next| Batch { writers: vec![this_writer(1, next)], ..Batch::new() };
    let first = store.create(&record(1), &put(5)).unwrap();
    let second = store.commit(&record(1), first, &put(5)).unwrap();
    let back = StoreError::NumberWentBack { writer: writer(1), stored: 5, given: 4 };
    assert_eq!(store.commit(&record(1), second, &put(4)), Err(back));
    store.commit(&record(1), second, &put(6)).unwrap();
    assert_eq!(store.load(&record(1)).unwrap().writers, [this_writer(1, 6)]);
}

fn numbers_that_do_not_fit_are_refused(bench: &mut dyn Bench) {
    let store = bench.store();
    let first = store.create(&record(1), &Batch::new()).unwrap();
    let great = 1 << 63;
    let mut long = line(1, 1);
    long.entry = Some(fallaway_store::EntryRef { writer: writer(1), number: great });
    let batches = [
        Batch { changes: vec![change(1, great, ChangeStanding::Held)], ..Batch::new() },
        Batch { changes: vec![change(1, great, ChangeStanding::Admitted)], ..Batch::new() },
        Batch { signatures: vec![signature(1, great)], ..Batch::new() },
        Batch { draft: vec![DraftEdit::Put(line(great, 1))], ..Batch::new() },
        Batch { draft: vec![DraftEdit::Put(long)], ..Batch::new() },
        Batch { writers: vec![this_writer(1, great)], ..Batch::new() },
    ];
    for batch in batches {
        let refused = store.commit(&record(1), first, &batch);
        let Err(StoreError::TooGreat { value, limit, .. }) = refused else {
            panic!("{refused:?}");
        };
        assert_eq!((value, limit), (great, great - 1));
    }
    let huge = snapshot("s", &[], great);
    let refused = store.compact(&record(1), first, &huge, &[], &[], &|_| Ok(()));
    assert!(matches!(refused, Err(StoreError::TooGreat { .. })));
    assert_eq!(store.generation(&record(1)), Ok(first));
    // A line that cannot exist can be erased: it is not there.
    let erase = Batch { draft: vec![DraftEdit::Erase(great)], ..Batch::new() };
    assert!(store.commit(&record(1), first, &erase).is_ok());
}

fn what_is_put_again_is_replaced(bench: &mut dyn Bench) {
    let first = bench.store().create(&record(1), &everything()).unwrap();
    let mut key = everything().epoch_keys.remove(0);
    key.wrapped = vec![9; 50];
    let mut signed = signature(1, 2);
    signed.bytes = vec![7];
    let batch = Batch {
        epoch_keys: vec![key.clone()],
        signatures: vec![signed.clone()],
        members: vec![member(9, ChangeStanding::Held)],
        outgoing: vec![OutgoingEdit::Add(Outgoing::Change(hash(1, 2, 0)))],
        projections: vec![(1, Some(b"new".to_vec()))],
        ..Batch::new()
    };
    bench.store().commit(&record(1), first, &batch).unwrap();
    bench.reopen();
    let loaded = bench.store().load(&record(1)).unwrap();
    assert_eq!(loaded.epoch_keys, [key]);
    assert_eq!(loaded.signatures, [signed, signature(2, 1)]);
    // The order of storing stays.
    assert_eq!(
        loaded.members,
        [member(9, ChangeStanding::Held), member(8, ChangeStanding::Waiting)]
    );
    assert_eq!(loaded.outgoing, everything_outgoing());
    assert_eq!(bench.store().projection(&record(1), 1), Ok(Some(b"new".to_vec())));
}

fn everything_outgoing() -> [Outgoing; 2] {
    [Outgoing::Change(hash(1, 2, 0)), Outgoing::Change(hash(1, 1, 0))]
}

fn projections_are_listed_by_kind(bench: &mut dyn Bench) {
    let store = bench.store();
    for number in [3, 1, 2] {
        let mut batch = Batch { projections: vec![(1, Some(vec![number]))], ..Batch::new() };
        if number != 2 {
            batch.projections.push((u16::MAX, Some(vec![number, number])));
        }
        store.create(&record(number), &batch).unwrap();
    }
    let ones = vec![(record(1), vec![1]), (record(2), vec![2]), (record(3), vec![3])];
    assert_eq!(store.projections(1), Ok(Projections { found: ones, complete: true }));
    let others = vec![(record(1), vec![1, 1]), (record(3), vec![3, 3])];
    assert_eq!(store.projections(u16::MAX), Ok(Projections { found: others, complete: false }));
    assert_eq!(store.projections(2), Ok(Projections::default()));
    // Of those some: whether every record has one does not hang on what was asked for.
    let asked = |id: &fallaway_changes::RecordId, bytes: &[u8]| *id == record(1) || bytes == [3];
    let some = vec![(record(1), vec![1]), (record(3), vec![3])];
    assert_eq!(store.projections_that(1, &asked), Ok(Projections { found: some, complete: true }));
    let none = Projections { found: Vec::new(), complete: false };
    assert_eq!(store.projections_that(u16::MAX, &|_, _| false), Ok(none));
}

/// A record with changes 1 to `last` of writer 1, each signed.
fn long_record(store: &dyn Store, last: u64) -> Generation {
    let batch = Batch {
        changes: (1..=last).map(|seq| change(1, seq, ChangeStanding::Admitted)).collect(),
        signatures: (1..=last).map(|seq| signature(1, seq)).collect(),
        ..Batch::new()
    };
    store.create(&record(1), &batch).unwrap()
}

fn compaction_deletes_exactly_what_is_contained(bench: &mut dyn Bench) {
    let first = bench.store().create(&record(1), &everything()).unwrap();
    let before = bench.store().load(&record(1)).unwrap();
    let one = snapshot("one", &[hash(1, 1, 0)], 1);
    let seen = RefCell::new(Vec::new());
    let check = |bytes: &[u8]| {
        seen.borrow_mut().push(bytes.to_vec());
        Ok(())
    };
    let second =
        bench.store().compact(&record(1), first, &one, &[hash(1, 1, 0)], &[], &check).unwrap();
    assert_eq!(seen.borrow().as_slice(), [b"one"]);
    assert!(second > first);
    bench.reopen();
    let after = bench.store().load(&record(1)).unwrap();
    let mut wanted = before.clone();
    wanted.generation = second;
    wanted.snapshot = Some(one.clone());
    wanted.compacted = Map::from([(writer(1), 1)]);
    wanted.changes.remove(0);
    assert_eq!(after, wanted);
    assert_eq!(bench.store().diagnostics().unwrap().snapshots, 1);

    // The next one keeps this one, and the one after that lets it go.
    let two = snapshot("two", &[hash(1, 2, 0)], 2);
    let third =
        bench.store().compact(&record(1), second, &two, &[hash(1, 2, 0)], &[], &check).unwrap();
    bench.reopen();
    assert_eq!(bench.store().diagnostics().unwrap().snapshots, 2);
    let three = snapshot("three", &[hash(1, 2, 0)], 2);
    bench.store().compact(&record(1), third, &three, &[], &[], &check).unwrap();
    bench.reopen();
    assert_eq!(bench.store().diagnostics().unwrap().snapshots, 2);
    let last = bench.store().load(&record(1)).unwrap();
    assert_eq!(last.snapshot, Some(three));
    assert_eq!(last.compacted, Map::from([(writer(1), 2)]));
    assert_eq!(last.changes, before.changes[2..]);
}

fn compaction_that_fails_its_check_changes_nothing(bench: &mut dyn Bench) {
    let first = long_record(bench.store(), 3);
    let before = bench.store().load(&record(1)).unwrap();
    let contained = [hash(1, 1, 0), hash(1, 2, 0)];
    let refused = bench.store().compact(
        &record(1),
        first,
        &snapshot("bad", &[hash(1, 2, 0)], 2),
        &contained,
        &[],
        &|_| Err("heads differ".to_owned()),
    );
    assert_eq!(refused, Err(StoreError::CheckFailed { reason: "heads differ".to_owned() }));
    bench.reopen();
    assert_eq!(bench.store().load(&record(1)), Ok(before));
}

fn compaction_refuses_what_it_may_not_delete(bench: &mut dyn Bench) {
    let store = bench.store();
    let first = store.create(&record(1), &everything()).unwrap();
    let before = store.load(&record(1)).unwrap();
    let compact = |contained: &[_]| {
        store.compact(&record(1), first, &snapshot("s", &[], 1), contained, &[], &|_| Ok(()))
    };
    let unknown = hash(9, 1, 0);
    assert_eq!(compact(&[unknown]), Err(StoreError::NoSuchChange { hash: unknown }));
    for (by, seq) in [(2, 1), (3, 1), (4, 1), (1, 2)] {
        let refused = compact(&[hash(by, seq, 0)]);
        assert!(matches!(refused, Err(StoreError::NotCompactable { .. })), "{refused:?}");
    }
    assert_eq!(store.load(&record(1)), Ok(before));
}

fn compacted_numbers_stay_taken(bench: &mut dyn Bench) {
    let first = long_record(bench.store(), 2);
    let contained = [hash(1, 2, 0), hash(1, 1, 0)];
    let shot = snapshot("s", &[hash(1, 2, 0)], 2);
    let second =
        bench.store().compact(&record(1), first, &shot, &contained, &[], &|_| Ok(())).unwrap();
    bench.reopen();
    let store = bench.store();
    let add = |seq, standing| Batch { changes: vec![change(1, seq, standing)], ..Batch::new() };
    let taken = StoreError::Taken { writer: writer(1), seq: 2 };
    assert_eq!(
        store.commit(&record(1), second, &add(2, ChangeStanding::Admitted)),
        Err(taken.clone())
    );
    let third = store.commit(&record(1), second, &add(3, ChangeStanding::Admitted)).unwrap();
    // Another branch may be kept beside, but not admitted.
    let fourth = store.commit(&record(1), third, &add(2, ChangeStanding::Held)).unwrap();
    let step = Move { hash: hash(1, 2, 0), standing: ChangeStanding::Admitted, reason: None };
    let batch = Batch { moves: vec![step], ..Batch::new() };
    assert_eq!(store.commit(&record(1), fourth, &batch), Err(taken));
}

fn compaction_keeps_provable_pieces(bench: &mut dyn Bench) {
    let at = long_record(bench.store(), 150);
    // A fork that lost keeps its own signature.
    let mut fork = change(1, 7, ChangeStanding::Held);
    fork.hash = hash(1, 7, 9);
    let mut over_fork = signature(1, 7);
    over_fork.hash = fork.hash;
    let batch = Batch { changes: vec![fork], signatures: vec![over_fork], ..Batch::new() };
    let at = bench.store().commit(&record(1), at, &batch).unwrap();
    let contained: Vec<_> = (1..=140).map(|seq| hash(1, seq, 0)).collect();
    let shot = snapshot("s", &[hash(1, 140, 0)], 140);
    // One is asked to stay.
    let signed = [hash(1, 30, 0)];
    let at =
        bench.store().compact(&record(1), at, &shot, &contained, &signed, &|_| Ok(())).unwrap();
    bench.reopen();
    let kept = |bench: &dyn Bench| -> Vec<u64> {
        let loaded = bench.store().load(&record(1)).unwrap();
        loaded.signatures.iter().map(|signature| signature.seq).collect()
    };
    let mut wanted: Vec<u64> = vec![7, 30, 64, 128, 140];
    wanted.extend(141..=150);
    assert_eq!(kept(bench), wanted);
    // The next compaction thins what the last one had to keep.
    let contained: Vec<_> = (141..=150).map(|seq| hash(1, seq, 0)).collect();
    let shot = snapshot("t", &[hash(1, 150, 0)], 150);
    bench.store().compact(&record(1), at, &shot, &contained, &[], &|_| Ok(())).unwrap();
    assert_eq!(kept(bench), [7, 64, 128, 150]);
}

fn what_stands_beside_comes_without_its_bytes(bench: &mut dyn Bench) {
    bench.store().create(&record(1), &everything()).unwrap();
    bench.reopen();
    let whole = bench.store().load(&record(1)).unwrap();
    let mut wanted = whole.clone();
    for change in &mut wanted.changes {
        if change.standing != ChangeStanding::Admitted {
            change.bytes.clear();
        }
    }
    assert_ne!(wanted, whole);
    let people =
        StoredPeople { members: wanted.members.clone(), epoch_keys: wanted.epoch_keys.clone() };
    assert_eq!(bench.store().people(&record(1)), Ok(people));
    assert_eq!(bench.store().load_within(&record(1)), Ok(wanted));
}

fn what_is_given_up_is_gone(bench: &mut dyn Bench) {
    let first = bench.store().create(&record(1), &everything()).unwrap();
    let before = bench.store().load(&record(1)).unwrap();
    let (waits, op) = (hash(2, 1, 0), before.members[0].hash);
    let batch = Batch { dropped: vec![waits], members_dropped: vec![op], ..Batch::new() };
    let second = bench.store().commit(&record(1), first, &batch).unwrap();
    bench.reopen();
    let mut wanted = before;
    wanted.generation = second;
    wanted.changes.retain(|one| one.hash != waits);
    wanted.signatures.retain(|one| one.hash != waits);
    wanted.members.retain(|one| one.hash != op);
    assert_eq!(bench.store().load(&record(1)), Ok(wanted));
}

fn an_unpacked_record_has_lines_again(bench: &mut dyn Bench) {
    let first = long_record(bench.store(), 3);
    let contained = [hash(1, 1, 0), hash(1, 2, 0)];
    let two = snapshot("two", &[hash(1, 2, 0)], 2);
    let check = |_: &[u8]| Ok(());
    let second = bench.store().compact(&record(1), first, &two, &contained, &[], &check).unwrap();
    // The second one goes out of the record: it stays, beside it.
    let batch = Batch {
        unpacked: true,
        moves: vec![Move {
            hash: hash(1, 3, 0),
            standing: ChangeStanding::Held,
            reason: Some("behind".to_owned()),
        }],
        changes: vec![change(1, 1, ChangeStanding::Admitted), change(1, 2, ChangeStanding::Held)],
        ..Batch::new()
    };
    bench.store().commit(&record(1), second, &batch).unwrap();
    bench.reopen();
    let after = bench.store().load(&record(1)).unwrap();
    assert_eq!((after.snapshot, after.compacted), (None, Map::new()));
    let mut stands: Vec<_> = after.changes.iter().map(|one| (one.seq, one.standing)).collect();
    stands.sort_by_key(|(seq, _)| *seq);
    let (inside, held) = (ChangeStanding::Admitted, ChangeStanding::Held);
    assert_eq!(stands, [(1, inside), (2, held), (3, held)]);
    assert_eq!(bench.store().diagnostics().unwrap().snapshots, 0);
}

fn photos_come_part_by_part(bench: &mut dyn Bench) {
    let record = record(1);
    let whole = Batch { blobs: vec![blob_part(1, 0, 2), blob_part(1, 1, 2)], ..Batch::new() };
    let first = bench.store().create(&record, &whole).unwrap();
    bench.store().put_blob_part(&record, &blob_part(2, 1, 3)).unwrap();
    let none = bench.store().put_blob_part(&common::record(9), &blob_part(2, 1, 3));
    assert_eq!(none, Err(StoreError::NoSuchRecord { record: common::record(9) }));
    bench.reopen();
    let store = bench.store();
    assert_eq!(store.generation(&record), Ok(first), "what the record says has not changed");
    let here = |blob: u8, parts, here, bytes| BlobHere {
        blob: BlobId::from_bytes([blob; 32]),
        parts,
        here,
        bytes,
    };
    assert_eq!(store.blobs(&record), Ok(vec![here(1, 2, 2, 18), here(2, 3, 1, 9)]));
    assert!(here(1, 2, 2, 18).is_whole() && !here(2, 3, 1, 9).is_whole());
    let part = |blob, part| store.blob_part(&record, &BlobId::from_bytes([blob; 32]), part);
    assert_eq!(part(1, 1), Ok(Some(vec![1; 9])));
    assert_eq!(part(2, 0), Ok(None));
    store.put_blob_part(&record, &blob_part(2, 1, 3)).unwrap();
    assert_eq!(store.blobs(&record).unwrap().len(), 2, "a part is kept once");
    let gone = Batch { blobs_dropped: vec![BlobId::from_bytes([1; 32])], ..Batch::new() };
    store.commit(&record, first, &gone).unwrap();
    assert_eq!(store.blobs(&record), Ok(vec![here(2, 3, 1, 9)]));
    store.delete(&record).unwrap();
    assert_eq!(store.blobs(&record), Ok(Vec::new()));
}

fn a_deleted_record_leaves_nothing(bench: &mut dyn Bench) {
    let at = bench.store().create(&record(1), &everything()).unwrap();
    bench.store().create(&record(2), &everything()).unwrap();
    let shot = snapshot("s", &[], 1);
    bench.store().compact(&record(1), at, &shot, &[hash(1, 1, 0)], &[], &|_| Ok(())).unwrap();
    bench.store().delete(&record(1)).unwrap();
    bench.reopen();
    let store = bench.store();
    assert_eq!(store.load(&record(1)), Err(StoreError::NoSuchRecord { record: record(1) }));
    assert_eq!(store.projection(&record(1), 1), Ok(None));
    assert_eq!(store.projections(1).unwrap().found.len(), 1);
    assert_eq!(store.load(&record(2)).unwrap().changes, everything().changes);
    // It can come back, from nothing.
    let first = store.create(&record(1), &Batch::new()).unwrap();
    assert_eq!(store.load(&record(1)), Ok(Loaded { generation: first, ..Loaded::default() }));
}

fn values_of_the_store(bench: &mut dyn Bench) {
    bench.store().set_meta("device", Some(b"bench laptop")).unwrap();
    bench.store().set_meta("other", Some(b"")).unwrap();
    bench.reopen();
    assert_eq!(bench.store().meta("device"), Ok(Some(b"bench laptop".to_vec())));
    assert_eq!(bench.store().meta("other"), Ok(Some(Vec::new())));
    bench.store().set_meta("device 2", Some(b"tablet")).unwrap();
    let begun = |bench: &dyn Bench| {
        let mut all = bench.store().metas_from("device").unwrap();
        all.sort_unstable();
        all
    };
    let both = [("device", "bench laptop"), ("device 2", "tablet")];
    assert_eq!(begun(bench), both.map(|(key, value)| (key.to_owned(), value.as_bytes().to_vec())));
    assert_eq!(bench.store().metas_from("device 2 "), Ok(Vec::new()));
    bench.store().set_meta("device 2", None).unwrap();
    bench.store().set_meta("device", Some(b"phone")).unwrap();
    bench.store().set_meta("other", None).unwrap();
    bench.store().set_meta("never set", None).unwrap();
    bench.reopen();
    assert_eq!(bench.store().meta("device"), Ok(Some(b"phone".to_vec())));
    assert_eq!(bench.store().meta("other"), Ok(None));
}

fn a_counter_only_goes_on(bench: &mut dyn Bench) {
    // With a commit, or by itself.
    bench.store().create(&record(1), &everything()).unwrap();
    assert!(bench.store().commit(&record(1), Generation(7), &everything()).is_err());
    assert_eq!(bench.store().meta("sealed"), Ok(Some(1_u64.to_be_bytes().to_vec())));
    bench.store().set_meta("sealed", None).unwrap();
    assert_eq!(bench.store().count_on("sealed", 0), Ok(1));
    assert_eq!(bench.store().count_on("sealed", 0), Ok(2));
    assert_eq!(bench.store().count_on("sealed", 7), Ok(7));
    bench.reopen();
    assert_eq!(bench.store().count_on("sealed", 3), Ok(8));
    assert_eq!(bench.store().meta("sealed"), Ok(Some(8_u64.to_be_bytes().to_vec())));
    // What is no counter is not guessed at.
    bench.store().set_meta("other", Some(b"seven")).unwrap();
    assert_eq!(bench.store().count_on("other", 0), Ok(1));
}

fn a_paused_store_goes_on(bench: &mut dyn Bench) {
    let store = bench.store();
    let first = store.create(&record(1), &everything()).unwrap();
    let before = store.load(&record(1)).unwrap();
    store.pause().unwrap();
    store.pause().unwrap();
    assert_eq!(store.load(&record(1)), Ok(before));
    store.pause().unwrap();
    assert!(store.commit(&record(1), first, &Batch::new()).is_ok());
    assert_eq!(store.access(), StoreAccess::ReadWrite);
}

fn counts_add_up(bench: &mut dyn Bench) {
    let store = bench.store();
    store.create(&record(1), &everything()).unwrap();
    let at = store.create(&record(2), &everything()).unwrap();
    let shot = snapshot("s", &[], 1);
    store.compact(&record(2), at, &shot, &[hash(1, 1, 0)], &[], &|_| Ok(())).unwrap();
    let counts = store.diagnostics().unwrap();
    assert_eq!(counts.records, 2);
    assert_eq!(counts.snapshots, 1);
    assert_eq!(counts.changes, [3, 2, 2, 2]);
    assert_eq!(counts.signatures, 4);
    assert_eq!(counts.draft_lines, 4);
    assert_eq!(counts.member_ops, 4);
    assert_eq!(counts.projections, 4);
    assert_eq!(counts.outgoing, 4);
    assert_eq!(counts.damaged, 0);
}
