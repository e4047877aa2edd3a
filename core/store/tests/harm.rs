//! Damage of every kind to every kind of page. Whatever it is: nothing wrong is answered, nothing
//! is missing without a report, and what others have can be stored again.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

mod common;
mod pages;

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use common::{change, hash, line, member, record, signature, snapshot, this_writer};
use fallaway_changes::ChangeId;
use fallaway_store::{
    Batch, ChangeStanding, DamagedPart, DraftEdit, Generation, Loaded, SqliteStore, Store,
    StoreError, StoredChange,
};
use pages::{Kind, PAGE};

const DATABASE: &str = "fallaway.db";
const CHANGES: u64 = 300;

/// Numbers that look drawn (the constants are those of Knuth's MMIX generator, The Art of Computer
/// Programming, volume 2, section 3.3.4).
struct Dice(u64);

impl Dice {
    fn below(&mut self, limit: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % limit
    }
}

fn put_draft(store: &SqliteStore, number: u8, lines: u64) {
    let draft = (1..=lines).map(|at| DraftEdit::Put(line(at, number))).collect();
    let at = store.generation(&record(number)).unwrap();
    let projections = vec![(1, Some(vec![number; 600])), (2, Some(vec![number; 900]))];
    store.commit(&record(number), at, &Batch { draft, projections, ..Batch::new() }).unwrap();
}

/// A file with pages of every kind, and the file as it was a while before.
fn fill(folder: &Path) -> (Vec<u8>, Vec<u8>, Vec<Loaded>) {
    let store = SqliteStore::open(folder).unwrap();
    for number in 1..=3 {
        let batch = Batch {
            changes: (1..=CHANGES).map(|seq| change(1, seq, ChangeStanding::Admitted)).collect(),
            signatures: (1..=CHANGES / 5).map(|part| signature(1, part * 5)).collect(),
            members: (1..=3).map(|of| member(of, ChangeStanding::Admitted)).collect(),
            writers: vec![this_writer(1, 31)],
            ..Batch::new()
        };
        store.create(&record(number), &batch).unwrap();
        put_draft(&store, number, 30);
    }
    store.set_meta("device", Some(b"bench laptop")).unwrap();
    store.pause().unwrap();
    let earlier = fs::read(folder.join(DATABASE)).unwrap();
    for (text, seq) in [("first", 1), ("second", 2)] {
        let at = store.generation(&record(1)).unwrap();
        let shot = snapshot(&text.repeat(2000), &[hash(1, seq, 0)], seq);
        store.compact(&record(1), at, &shot, &[hash(1, seq, 0)], &[], &|_| Ok(())).unwrap();
    }
    for number in 1..=2 {
        let at = store.generation(&record(number)).unwrap();
        let clear = Batch { draft: vec![DraftEdit::Clear], ..Batch::new() };
        store.commit(&record(number), at, &clear).unwrap();
        put_draft(&store, number, 40);
    }
    // The pages of the third are free.
    store.delete(&record(3)).unwrap();
    let loaded = (1..=2).map(|number| store.load(&record(number)).unwrap()).collect();
    store.pause().unwrap();
    (fs::read(folder.join(DATABASE)).unwrap(), earlier, loaded)
}

fn hashes(changes: &[StoredChange]) -> BTreeSet<ChangeId> {
    changes.iter().map(|change| change.hash).collect()
}

/// Opens the damaged file, compares, and stores again what is missing.
fn examine(bytes: &[u8], stored: &[Loaded], what: &str) {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join(DATABASE), bytes).unwrap();
    let store = SqliteStore::open(folder.path()).unwrap();
    let known: BTreeSet<_> = store.records().unwrap().iter().map(|head| head.record).collect();
    let mut missing = known.len() < stored.len();
    for (number, wanted) in (1..).zip(stored) {
        let found = match store.load(&record(number)) {
            Ok(found) => found,
            Err(StoreError::NoSuchRecord { .. }) => {
                assert!(missing, "{what}: {number} is listed and not there");
                continue;
            }
            Err(error) => panic!("{what}: {error}"),
        };
        missing |= Loaded { generation: wanted.generation, ..found.clone() } != *wanted;
        // Less may be found, nothing else: what an earlier page held is as damaged as any.
        assert!(
            found.changes.iter().all(|one| wanted.changes.contains(one)
                || one.seq <= wanted.compacted.get(&one.writer).copied().unwrap_or(0)),
            "{what}"
        );
        heal(&store, number, wanted, what);
    }
    // Reports stay, and they can be read.
    let damages = store.damages().unwrap();
    assert!(!missing || !damages.is_empty(), "{what}: lost without a report");
    store.pause().unwrap();
    let again = SqliteStore::open(folder.path()).unwrap();
    assert_eq!(again.damages().unwrap(), damages, "{what}");
}

/// Stores the changes that are missing, as a peer's bundle brings them.
fn heal(store: &SqliteStore, number: u8, wanted: &Loaded, what: &str) {
    for _ in 0..4 {
        let found = store.load(&record(number)).unwrap();
        let inside = |one: &StoredChange| {
            found.compacted.get(&one.writer).is_some_and(|last| one.seq <= *last)
        };
        let here = hashes(&found.changes);
        let all = (1..=CHANGES).map(|seq| change(1, seq, ChangeStanding::Admitted));
        let changes = all.filter(|one| !inside(one) && !here.contains(&one.hash)).collect();
        match store.commit(&record(number), found.generation, &Batch { changes, ..Batch::new() }) {
            Err(StoreError::Moved { .. }) => {}
            Err(error) => panic!("{what}: {error}"),
            Ok(_) => {
                let healed = store.load(&record(number)).unwrap();
                let outside = (1..=CHANGES)
                    .map(|seq| change(1, seq, ChangeStanding::Admitted))
                    .filter(|one| {
                        healed.compacted.get(&one.writer).is_none_or(|last| one.seq > *last)
                    })
                    .map(|one| one.hash);
                assert!(hashes(&healed.changes).is_superset(&outside.collect()), "{what}");
                assert!(wanted.generation < healed.generation, "{what}");
                return;
            }
        }
    }
    panic!("{what}: it kept moving");
}

#[test]
fn no_damage_to_a_page_goes_unreported() {
    let folder = tempfile::tempdir().unwrap();
    let (sound, earlier, stored) = fill(folder.path());
    examine(&sound, &stored, "no damage");
    let kinds = pages::kinds(&sound);
    let mut dice = Dice(2027);
    for kind in [
        Kind::First,
        Kind::TableLeaf,
        Kind::TableInterior,
        Kind::IndexLeaf,
        Kind::IndexInterior,
        Kind::Free,
        Kind::Overflow,
    ] {
        let of_kind: Vec<usize> = (0..kinds.len()).filter(|page| kinds[*page] == kind).collect();
        assert!(!of_kind.is_empty(), "there is no page of the kind {kind:?}");
        for round in 0..24 {
            let page = of_kind[dice.below(of_kind.len())];
            let mut bytes = sound.clone();
            let part = &mut bytes[page * PAGE..(page + 1) * PAGE];
            let how = match round % 8 {
                // What says how many cells there are and where they begin.
                0..4 => {
                    let header = if page == 0 { 100 } else { 0 };
                    let bit = dice.below(12 * 8);
                    part[header + bit / 8] ^= 1 << (bit % 8);
                    format!("bit {bit} of the header")
                }
                4 | 5 => {
                    let bit = dice.below(PAGE * 8);
                    part[bit / 8] ^= 1 << (bit % 8);
                    format!("bit {bit}")
                }
                6 => {
                    let other = dice.below(kinds.len()) * PAGE;
                    part.copy_from_slice(&sound[other..other + PAGE]);
                    format!("overwritten by page {}", other / PAGE + 1)
                }
                _ => {
                    let Some(old) = earlier.get(page * PAGE..(page + 1) * PAGE) else { continue };
                    part.copy_from_slice(old);
                    "as it was a while before".to_owned()
                }
            };
            examine(&bytes, &stored, &format!("{kind:?}, page {}: {how}", page + 1));
        }
    }
}

#[test]
fn a_record_that_its_index_hides_is_found() {
    let folder = tempfile::tempdir().unwrap();
    let (_, _, stored) = fill(folder.path());
    let path = folder.path().join(DATABASE);
    let raw = rusqlite::Connection::open(&path).unwrap();
    let root: u32 = raw
        .query_row(
            "SELECT rootpage FROM sqlite_schema WHERE name = 'sqlite_autoindex_record_1'",
            [],
            |row| row.get(0),
        )
        .unwrap();
    drop(raw);
    let mut bytes = fs::read(&path).unwrap();
    // One entry instead of two.
    bytes[(root as usize - 1) * PAGE + 4] = 1;
    fs::write(&path, &bytes).unwrap();
    let store = SqliteStore::open(folder.path()).unwrap();
    assert_eq!(store.records().unwrap().len(), 2);
    assert_eq!(store.damages().unwrap().len(), 1);
    for (number, wanted) in (1..).zip(&stored) {
        let found = store.load(&record(number)).unwrap();
        assert_eq!(Loaded { generation: wanted.generation, ..found }, *wanted);
    }
    // The same for somebody who asks for that one alone.
    drop(store);
    fs::write(&path, &bytes).unwrap();
    let store = SqliteStore::open(folder.path()).unwrap();
    assert!(store.load(&record(1)).is_ok() && store.load(&record(2)).is_ok());
}

/// A shorter log is no damage that the database library knows of.
#[test]
fn writes_that_the_log_lost_are_reported() {
    let folder = tempfile::tempdir().unwrap();
    let store = SqliteStore::open(folder.path()).unwrap();
    store.create(&record(1), &Batch::new()).unwrap();
    put_draft(&store, 1, 3);
    store.pause().unwrap();
    put_draft(&store, 1, 4);
    put_draft(&store, 1, 5);
    // As a kill leaves it: the log is not written home.
    let copy = tempfile::tempdir().unwrap();
    for name in [DATABASE, "fallaway.db-wal", "fallaway.last"] {
        fs::copy(folder.path().join(name), copy.path().join(name)).unwrap();
    }
    let log = copy.path().join("fallaway.db-wal");
    let whole = fs::read(&log).unwrap();
    let lines = |folder: &Path| {
        let store = SqliteStore::open(folder).unwrap();
        let lines = store.draft(&record(1)).unwrap().len();
        let at = store.generation(&record(1)).unwrap();
        let parts: Vec<DamagedPart> = store.damages().unwrap().iter().map(|one| one.part).collect();
        (lines, at, parts)
    };
    for length in [0, 40, whole.len() / 2, whole.len() - 1] {
        let cut = tempfile::tempdir().unwrap();
        for name in [DATABASE, "fallaway.last"] {
            fs::copy(copy.path().join(name), cut.path().join(name)).unwrap();
        }
        fs::write(cut.path().join("fallaway.db-wal"), &whole[..length]).unwrap();
        let (found, at, parts) = lines(cut.path());
        assert!(found < 5, "{length}: {found}");
        assert_eq!(parts, [DamagedPart::LastWrites], "{length}");
        // Whoever had loaded what is lost loads again.
        assert!(at > Generation(4), "{length}: {at}");
        // It is told once, and kept.
        assert_eq!(lines(cut.path()), (found, at, parts), "{length}");
    }
    assert_eq!(lines(copy.path()), (5, Generation(4), Vec::new()));
    // The database itself is gone.
    fs::remove_file(copy.path().join(DATABASE)).unwrap();
    let store = SqliteStore::open(copy.path()).unwrap();
    assert_eq!(store.records(), Ok(Vec::new()));
    assert_eq!(store.damages().unwrap()[0].part, DamagedPart::LastWrites);
    // A record that was deleted on purpose is not missed.
    store.create(&record(1), &Batch::new()).unwrap();
    store.delete(&record(1)).unwrap();
    let before = store.damages().unwrap();
    drop(store);
    let again = SqliteStore::open(copy.path()).unwrap();
    assert_eq!(again.damages().unwrap(), before);
}

#[test]
fn reports_that_are_damaged_themselves_are_told() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join(DATABASE), vec![7; 5000]).unwrap();
    let store = SqliteStore::open(folder.path()).unwrap();
    store.create(&record(1), &Batch::new()).unwrap();
    put_draft(&store, 1, 1);
    store.pause().unwrap();
    let raw = rusqlite::Connection::open(folder.path().join(DATABASE)).unwrap();
    raw.execute("UPDATE draft SET value = x'00'", []).unwrap();
    drop(raw);
    store.draft(&record(1)).unwrap();
    store.pause().unwrap();
    let raw = rusqlite::Connection::open(folder.path().join(DATABASE)).unwrap();
    // What a damaged page may hold is not bound by the schema.
    raw.execute_batch(
        "PRAGMA writable_schema = ON;
         UPDATE sqlite_schema SET sql = replace(sql, ') STRICT', ')') WHERE name = 'damaged';",
    )
    .unwrap();
    drop(raw);
    let raw = rusqlite::Connection::open(folder.path().join(DATABASE)).unwrap();
    raw.execute("UPDATE damaged SET part = x'ff', name = x'c3', reason = 1.5", []).unwrap();
    drop(raw);
    assert_eq!(store.damages().unwrap().len(), 2);
}
