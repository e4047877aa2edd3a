//! Files and rows that are not as they should be: what can be read is read, what cannot is set
//! aside and reported, nothing is deleted, and nothing wrong is ever answered.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

mod common;
mod pages;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use common::{change, hash, line, member, record, signature, snapshot, this_writer, writer};
use fallaway_store::{
    Batch, ChangeStanding, DamagedPart, DraftEdit, Garbage, Generation, Loaded, Options,
    SqliteStore, Store, StoreAccess, StoreError,
};
use pages::PAGE;

fn database(folder: &Path) -> PathBuf {
    folder.join("fallaway.db")
}

/// Two records with a bit of everything; the first one compacted twice.
fn fill(folder: &Path) -> Vec<Loaded> {
    let store = SqliteStore::open(folder).unwrap();
    for number in 1..=2 {
        let batch = Batch {
            changes: (1..=40).map(|seq| change(1, seq, ChangeStanding::Admitted)).collect(),
            signatures: vec![signature(1, 20), signature(1, 40)],
            draft: (1..=30).map(|at| DraftEdit::Put(line(at, number))).collect(),
            members: vec![member(1, ChangeStanding::Admitted)],
            writers: vec![this_writer(1, 31)],
            projections: vec![(1, Some(vec![number; 600]))],
            ..Batch::new()
        };
        store.create(&record(number), &batch).unwrap();
    }
    store.set_meta("device", Some(b"bench laptop")).unwrap();
    let mut at = store.generation(&record(1)).unwrap();
    for (text, seq) in [("first", 1), ("second", 2)] {
        let shot = snapshot(&text.repeat(2000), &[hash(1, seq, 0)], seq);
        at = store.compact(&record(1), at, &shot, &[hash(1, seq, 0)], &[], &|_| Ok(())).unwrap();
    }
    let loaded = (1..=2).map(|number| store.load(&record(number)).unwrap()).collect();
    store.pause().unwrap();
    loaded
}

#[test]
fn a_garbage_file_is_set_aside() {
    for garbage in [b"not a database, whatever it is".repeat(400), vec![0xFF; 5000], vec![1]] {
        let folder = tempfile::tempdir().unwrap();
        fs::write(database(folder.path()), &garbage).unwrap();

        let refuse = Options { garbage: Garbage::Refuse, ..Options::default() };
        let refused = SqliteStore::open_with(folder.path(), refuse);
        assert!(matches!(refused, Err(StoreError::NotAStore { .. })), "{refused:?}");
        assert_eq!(fs::read(database(folder.path())).unwrap(), garbage);

        let store = SqliteStore::open(folder.path()).unwrap();
        store.create(&record(1), &Batch::new()).unwrap();
        let damages = store.damages().unwrap();
        assert_eq!(damages.len(), 1);
        assert_eq!(damages[0].part, DamagedPart::File);
        assert_eq!(fs::read(folder.path().join(&damages[0].name)).unwrap(), garbage);
        assert_eq!(store.diagnostics().unwrap().damaged, 1);
    }
}

#[test]
fn another_programs_database_is_set_aside() {
    let folder = tempfile::tempdir().unwrap();
    let other = rusqlite::Connection::open(database(folder.path())).unwrap();
    other.execute_batch("CREATE TABLE theirs (x); INSERT INTO theirs VALUES (1)").unwrap();
    drop(other);
    let store = SqliteStore::open(folder.path()).unwrap();
    let damages = store.damages().unwrap();
    assert_eq!(damages.len(), 1);
    let kept = rusqlite::Connection::open(folder.path().join(&damages[0].name)).unwrap();
    let x: i64 = kept.query_row("SELECT x FROM theirs", [], |row| row.get(0)).unwrap();
    assert_eq!(x, 1);
}

#[test]
fn a_second_garbage_file_does_not_replace_the_first() {
    let folder = tempfile::tempdir().unwrap();
    for round in 1..=3_u8 {
        fs::write(database(folder.path()), vec![round; 5000]).unwrap();
        let store = SqliteStore::open(folder.path()).unwrap();
        let damages = store.damages().unwrap();
        assert_eq!(damages.len(), usize::from(round));
        for (kept, damage) in (1..=round).zip(&damages) {
            assert_eq!(fs::read(folder.path().join(&damage.name)).unwrap(), vec![kept; 5000]);
        }
        store.pause().unwrap();
    }
}

#[test]
fn a_log_without_its_database_is_kept() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("fallaway.db-wal"), b"frames that nobody wrote home").unwrap();
    let store = SqliteStore::open(folder.path()).unwrap();
    let damages = store.damages().unwrap();
    assert_eq!(damages.len(), 1);
    let log = folder.path().join(format!("{}-wal", damages[0].name));
    assert_eq!(fs::read(log).unwrap(), b"frames that nobody wrote home");
}

#[test]
fn a_folder_in_the_databases_place_is_an_error() {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(database(folder.path())).unwrap();
    let refused = SqliteStore::open(folder.path());
    assert!(matches!(refused, Err(StoreError::CannotOpen { .. })), "{refused:?}");
    // So is a file in the folder's place.
    let file = folder.path().join("file");
    fs::write(&file, b"").unwrap();
    let refused = SqliteStore::open(&file);
    assert!(matches!(refused, Err(StoreError::CannotOpen { .. })), "{refused:?}");
}

#[test]
fn a_newer_store_is_only_read() {
    let folder = tempfile::tempdir().unwrap();
    let loaded = fill(folder.path());
    let raw = rusqlite::Connection::open(database(folder.path())).unwrap();
    raw.pragma_update(None, "user_version", 99).unwrap();
    drop(raw);
    let store = SqliteStore::open(folder.path()).unwrap();
    let supported = 2;
    assert_eq!(store.access(), StoreAccess::ReadOnlyNewer { found: 99, supported });
    assert_eq!(store.load(&record(1)), Ok(loaded[0].clone()));
    let newer = StoreError::Newer { found: 99, supported };
    let at = loaded[0].generation;
    assert_eq!(store.commit(&record(1), at, &Batch::new()), Err(newer.clone()));
    assert_eq!(store.create(&record(3), &Batch::new()), Err(newer.clone()));
    assert_eq!(store.delete(&record(1)), Err(newer.clone()));
    assert_eq!(store.set_meta("device", None), Err(newer));
    store.pause().unwrap();
    assert_eq!(store.load(&record(1)), Ok(loaded[0].clone()));
}

/// Changes stored bytes behind the store's back, leaving the checksum as it was.
fn spoil(folder: &Path, sql: &str) {
    let raw = rusqlite::Connection::open(database(folder)).unwrap();
    assert_eq!(raw.execute(sql, []).unwrap(), 1, "{sql}");
}

#[test]
fn a_damaged_row_is_set_aside_and_the_rest_opens() {
    let folder = tempfile::tempdir().unwrap();
    let before = fill(folder.path());
    let second = "record = x'02020202020202020202020202020202'";
    for (table, set, part) in [
        ("change", "bytes = x'00' WHERE seq = 7", DamagedPart::Change),
        ("change", "standing = 2 WHERE seq = 8", DamagedPart::Change),
        ("change", "standing = 77 WHERE seq = 9", DamagedPart::Change),
        ("signature", "bytes = x'00' WHERE seq = 20", DamagedPart::Signature),
        ("draft", "key = 'other' WHERE ordinal = 3", DamagedPart::Draft),
        ("member", "bytes = x'00' WHERE 1", DamagedPart::Member),
        ("writer", "next_entry = 1 WHERE 1", DamagedPart::Writer),
    ] {
        let at = SqliteStore::open(folder.path()).unwrap().load(&record(2)).unwrap().generation;
        spoil(folder.path(), &format!("UPDATE {table} SET {set} AND {second}"));
        let store = SqliteStore::open(folder.path()).unwrap();
        // Somebody who had loaded the record before is told to load it again.
        let loaded = store.load(&record(2)).unwrap();
        assert!(loaded.generation > at);
        assert_eq!(
            store.commit(&record(2), at, &Batch::new()),
            Err(StoreError::Moved { current: loaded.generation })
        );
        let damages = store.damages().unwrap();
        let last = damages.last().unwrap();
        assert_eq!((last.record, last.part), (Some(record(2)), part));
    }
    let store = SqliteStore::open(folder.path()).unwrap();
    assert_eq!(store.damages().unwrap().len(), 7);
    let mut wanted = before[1].clone();
    wanted.generation = store.generation(&record(2)).unwrap();
    wanted.changes.retain(|change| !(7..=9).contains(&change.seq));
    wanted.signatures.retain(|signature| signature.seq != 20);
    wanted.draft.retain(|line| line.ordinal != 3);
    wanted.members.clear();
    wanted.writers.clear();
    assert_eq!(store.load(&record(2)), Ok(wanted));
    // The other record is untouched, and what was lost can be stored again.
    assert_eq!(store.load(&record(1)), Ok(before[0].clone()));
    let again = Batch { changes: vec![change(1, 7, ChangeStanding::Admitted)], ..Batch::new() };
    let at = store.generation(&record(2)).unwrap();
    store.commit(&record(2), at, &again).unwrap();
}

#[test]
fn a_write_that_meets_a_damaged_row_is_told_to_load_again() {
    let folder = tempfile::tempdir().unwrap();
    let before = fill(folder.path());
    spoil(
        folder.path(),
        "UPDATE writer SET next_entry = 1 WHERE record = x'02020202020202020202020202020202'",
    );
    let store = SqliteStore::open(folder.path()).unwrap();
    let batch = Batch { writers: vec![this_writer(1, 31)], ..Batch::new() };
    let moved = store.commit(&record(2), before[1].generation, &batch);
    let current = Generation(before[1].generation.0 + 1);
    assert_eq!(moved, Err(StoreError::Moved { current }));
    store.commit(&record(2), current, &batch).unwrap();
    assert_eq!(store.damages().unwrap()[0].part, DamagedPart::Writer);
}

#[test]
fn the_snapshot_before_takes_a_damaged_ones_place() {
    let folder = tempfile::tempdir().unwrap();
    fill(folder.path());
    spoil(
        folder.path(),
        "UPDATE snapshot SET bytes = x'00' WHERE n = (SELECT max(n) FROM snapshot)",
    );
    let store = SqliteStore::open(folder.path()).unwrap();
    let loaded = store.load(&record(1)).unwrap();
    assert_eq!(loaded.snapshot.map(|snapshot| snapshot.changes), Some(1));
    assert_eq!(loaded.compacted, fallaway_order::Map::from([(writer(1), 1)]));
    assert_eq!(store.diagnostics().unwrap().snapshots, 1);
    assert_eq!(store.damages().unwrap()[0].part, DamagedPart::Snapshot);
    // What the projection showed may be lost: it is rebuilt.
    assert_eq!(store.projection(&record(1), 1), Ok(None));
    // The change that only the damaged one contained can be stored again.
    let again = Batch { changes: vec![change(1, 2, ChangeStanding::Admitted)], ..Batch::new() };
    store.commit(&record(1), loaded.generation, &again).unwrap();
    // What was damaged is still there to be looked at.
    drop(store);
    let raw = rusqlite::Connection::open(database(folder.path())).unwrap();
    let kept: String = raw.query_row("SELECT content FROM damaged", [], |row| row.get(0)).unwrap();
    assert!(kept.contains("X'00'"), "{kept}");
}

#[test]
fn a_damaged_line_of_a_record_is_made_anew() {
    let folder = tempfile::tempdir().unwrap();
    let before = fill(folder.path());
    spoil(folder.path(), "UPDATE record SET generation = 1 WHERE n = 1");
    let store = SqliteStore::open(folder.path()).unwrap();
    let loaded = store.load(&record(1)).unwrap();
    assert!(loaded.generation > before[0].generation);
    assert_eq!(Loaded { generation: before[0].generation, ..loaded }, before[0]);
    assert!(store.damages().unwrap().iter().any(|damage| damage.part == DamagedPart::File));
}

/// Whether everything found is something that was stored. Less may be found, nothing else.
fn assert_nothing_wrong(found: &Loaded, stored: &Loaded) {
    assert!(found.changes.iter().all(|change| stored.changes.contains(change)));
    assert!(found.signatures.iter().all(|signature| stored.signatures.contains(signature)));
    assert!(found.draft.iter().all(|line| stored.draft.contains(line)));
    assert!(found.members.iter().all(|member| stored.members.contains(member)));
    assert!(found.writers.iter().all(|writer| stored.writers.contains(writer)));
    if let Some(snapshot) = &found.snapshot {
        assert!(
            ["first", "second"].iter().any(|text| text.repeat(2000).as_bytes() == snapshot.bytes)
        );
    }
}

/// Opens a spoiled store and reads all of it; it goes on working.
fn read_everything(folder: &Path, stored: &[Loaded]) -> usize {
    let store = SqliteStore::open(folder).unwrap();
    let mut found = 0;
    for number in 1..=2 {
        match store.load(&record(number)) {
            Ok(loaded) => {
                assert_nothing_wrong(&loaded, &stored[usize::from(number) - 1]);
                found += loaded.changes.len() + loaded.draft.len();
                let batch = Batch { draft: vec![DraftEdit::Put(line(99, 1))], ..Batch::new() };
                // A page that only writing needs may be found damaged now.
                match store.commit(&record(number), loaded.generation, &batch) {
                    Ok(_) | Err(StoreError::Moved { .. } | StoreError::NoSuchRecord { .. }) => {}
                    Err(error) => panic!("{error}"),
                }
            }
            Err(StoreError::NoSuchRecord { .. }) => {
                store.create(&record(number), &Batch::new()).unwrap();
            }
            Err(error) => panic!("{error}"),
        }
    }
    let projections = store.projections(1).unwrap().found;
    assert!(projections.iter().all(|(of, bytes)| *bytes == vec![of.as_bytes()[0]; 600]));
    let device = store.meta("device").unwrap();
    assert!(device.is_none_or(|device| device == b"bench laptop"));
    found
}

#[test]
fn any_one_page_may_be_damaged() {
    let folder = tempfile::tempdir().unwrap();
    let stored = fill(folder.path());
    let sound = fs::read(database(folder.path())).unwrap();
    let whole = read_everything(folder.path(), &stored);
    let mut salvaged = 0;
    for page in 0..sound.len() / PAGE {
        let folder = tempfile::tempdir().unwrap();
        let mut bytes = sound.clone();
        bytes[page * PAGE..(page + 1) * PAGE].fill(0xA5);
        fs::write(database(folder.path()), &bytes).unwrap();
        let found = read_everything(folder.path(), &stored);
        if found > 0 {
            salvaged += 1;
        }
        if found < whole {
            // What is missing was reported, and the file is kept.
            let store = SqliteStore::open(folder.path()).unwrap();
            let damages = store.damages().unwrap();
            let file = damages.iter().find(|damage| damage.part == DamagedPart::File).unwrap();
            assert_eq!(fs::read(folder.path().join(&file.name)).unwrap().len(), bytes.len());
        }
    }
    // Only the pages that say where everything is (the first, and two that hold the schema) take
    // all with them.
    assert!(salvaged + 3 >= sound.len() / PAGE, "{salvaged} of {}", sound.len() / PAGE);
}

/// The checksum of every row of the tables that are copied out of a damaged file.
fn sums(path: &Path) -> BTreeMap<(String, i64), Vec<u8>> {
    let raw = rusqlite::Connection::open(path).unwrap();
    let mut sums = BTreeMap::new();
    for (table, _) in tables(&raw) {
        let mut statement = raw.prepare(&format!("SELECT n, sum FROM {table}")).unwrap();
        let mut rows = statement.query([]).unwrap();
        while let Some(row) = rows.next().unwrap() {
            sums.insert((table.clone(), row.get(0).unwrap()), row.get(1).unwrap());
        }
    }
    sums
}

/// Those tables and their roots.
fn tables(raw: &rusqlite::Connection) -> Vec<(String, u32)> {
    let sql = "SELECT name, rootpage FROM sqlite_schema WHERE type = 'table' \
               AND name NOT IN ('damaged', 'projection')";
    let mut statement = raw.prepare(sql).unwrap();
    let found = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?))).unwrap();
    found.map(Result::unwrap).collect()
}

/// Of a file that is cut off, every row comes back of which all pages are left: its own, those above
/// it in its table's tree, and those of the schema.
#[test]
fn a_file_may_be_cut_off_anywhere() {
    let folder = tempfile::tempdir().unwrap();
    let stored = fill(folder.path());
    let sound = fs::read(database(folder.path())).unwrap();
    let before = sums(&database(folder.path()));
    let roots = tables(&rusqlite::Connection::open(database(folder.path())).unwrap());
    let schema: BTreeSet<u32> = pages::rows(&sound, 1).into_values().flatten().collect();
    let mut cuts: Vec<usize> = (0..40).map(|part| sound.len() * part / 40).collect();
    cuts.extend((1..sound.len() / PAGE).map(|page| page * PAGE));
    let mut demanded = 0;
    for cut in cuts {
        let folder = tempfile::tempdir().unwrap();
        fs::write(database(folder.path()), &sound[..cut]).unwrap();
        let store = SqliteStore::open(folder.path()).unwrap();
        store.records().unwrap();
        if cut > 0 {
            assert_ne!(store.damages().unwrap(), [], "cut at {cut}");
        }
        store.pause().unwrap();
        let after = sums(&database(folder.path()));
        let left = |page: &u32| *page as usize * PAGE <= cut;
        for (table, root) in roots.iter().filter(|_| schema.iter().all(left)) {
            for (n, pages) in pages::rows(&sound, *root) {
                if pages.iter().all(left) {
                    demanded += 1;
                    let key = (table.clone(), n);
                    // Records get a new generation, and are counted anew.
                    let same = ["record", "meta"].contains(&table.as_str())
                        || after.get(&key) == before.get(&key);
                    assert!(after.contains_key(&key) && same, "cut at {cut}: {key:?}");
                }
            }
        }
        read_everything(folder.path(), &stored);
    }
    assert!(demanded > 1000, "{demanded}");
}

#[test]
fn no_flipped_bit_is_answered_as_if_it_had_been_stored() {
    let folder = tempfile::tempdir().unwrap();
    let stored = fill(folder.path());
    let sound = fs::read(database(folder.path())).unwrap();
    // A fixed sequence that reaches all over the file (the constants are those of Knuth's MMIX
    // generator, The Art of Computer Programming, volume 2, section 3.3.4).
    let mut seed = 2026_u64;
    for _ in 0..300 {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let bit = usize::try_from(seed >> 16).unwrap() % (sound.len() * 8);
        let folder = tempfile::tempdir().unwrap();
        let mut bytes = sound.clone();
        bytes[bit / 8] ^= 1 << (bit % 8);
        fs::write(database(folder.path()), &bytes).unwrap();
        read_everything(folder.path(), &stored);
    }
}

#[test]
fn damage_found_while_another_has_the_file_open_waits() {
    let folder = tempfile::tempdir().unwrap();
    fill(folder.path());
    let options = Options { patience: std::time::Duration::ZERO, ..Options::default() };
    let one = SqliteStore::open_with(folder.path(), options).unwrap();
    let other = SqliteStore::open_with(folder.path(), options).unwrap();
    spoil(folder.path(), "UPDATE record SET generation = 1 WHERE n = 1");
    let refused = one.load(&record(1));
    assert!(matches!(refused, Err(StoreError::Damaged { .. })), "{refused:?}");
    // Once nobody else has it open, it is repaired.
    other.pause().unwrap();
    assert!(one.load(&record(1)).is_ok());
    assert!(other.load(&record(1)).is_ok());
}
