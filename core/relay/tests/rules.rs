//! What these tests rule out: that a bundle is numbered twice or a number is left out, that somebody
//! reads or writes what a token does not reach, and that memory and file answer differently.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

#[path = "common/calls.rs"]
mod calls;
mod common;

use calls::{Call, calls, say};
use common::{DAY, NOON, admin, body, bundle, log, photo, push, push_part, read_all, token};
use fallaway_relay::{
    BlobTaken, Engine, EngineError, Made, MemoryShelves, Quotas, ShelvesError, backup,
};
use fallaway_sync::wire::access::AccessBody;
use fallaway_sync::wire::chain::Position;
use proptest::prelude::*;

const MOST: usize = 1 << 20;

fn engine() -> Engine {
    Engine::in_memory(MemoryShelves::default(), Quotas::default())
}

fn opened() -> (Engine, Position) {
    let engine = engine();
    assert_eq!(engine.open_log(log(1), body(1), NOON), Ok(Made::New));
    (engine, Position::start(&log(1)))
}

#[test]
fn a_visit_is_one_call_and_is_not_sent_back() {
    let (engine, start) = opened();
    let first = engine.exchange(push(1, 1, start, &[1, 2]), MOST, NOON).unwrap();
    assert_eq!(first.pushed.accepted, [1, 2]);
    assert!(first.portion.sealed.is_empty());
    assert_eq!(first.portion.end, start.next(&bundle(1).0).next(&bundle(2).0));
    // Somebody else pushes one of these and two more, from the start.
    let second = engine.exchange(push(1, 1, start, &[2, 3, 4, 3]), MOST, NOON).unwrap();
    assert_eq!(second.pushed.accepted, [2, 3, 4, 3]);
    assert_eq!(second.pushed.new, 2);
    assert_eq!(second.portion.sealed, [bundle(1).1]);
    assert_eq!(second.portion.end, second.pushed.end);
    // The answer was lost: the same again, with the same numbers.
    let again = engine.exchange(push(1, 1, start, &[2, 3, 4, 3]), MOST, NOON).unwrap();
    assert_eq!((again.pushed.accepted, again.pushed.new), (vec![2, 3, 4, 3], 0));
    assert_eq!(again.portion, second.portion);
    let all: Vec<Vec<u8>> = [1, 2, 3, 4].map(|number| bundle(number).1).to_vec();
    assert_eq!(read_all(&engine, 1, 1), Some(all));
}

#[test]
fn pages_end_where_they_are_full_and_hold_one_at_least() {
    let (engine, start) = opened();
    engine.exchange(push(1, 1, start, &[2, 5, 8]), MOST, NOON).unwrap();
    // Each has 768 bytes.
    let page = |most| engine.items(log(1), token(1), start, most).unwrap();
    assert_eq!((page(1).sealed.len(), page(1).more), (1, 2));
    assert_eq!((page(1600).sealed.len(), page(1600).end.seq), (2, 2));
    assert_eq!((page(MOST).sealed.len(), page(MOST).more), (3, 0));
}

#[test]
fn a_log_that_does_not_go_on_from_there_takes_nothing() {
    let shelves = MemoryShelves::default();
    let engine = Engine::in_memory(shelves.clone(), Quotas::default());
    engine.open_log(log(1), body(1), NOON).unwrap();
    let start = Position::start(&log(1));
    let yesterday = shelves.copy();
    let end = engine.exchange(push(1, 1, start, &[1]), MOST, NOON).unwrap().pushed.end;
    shelves.restore(&yesterday);
    let diverged = EngineError::Diverged(start);
    let lost = engine.exchange(push(1, 1, end, &[2]), MOST, NOON);
    assert_eq!(lost.unwrap_err(), diverged);
    assert_eq!(engine.items(log(1), token(1), end, MOST).unwrap_err(), diverged);
    // Another bundle has its number meanwhile.
    let other = engine.exchange(push(1, 1, start, &[3]), MOST, NOON).unwrap().pushed.end;
    let lost = engine.exchange(push(1, 1, end, &[2]), MOST, NOON);
    assert_eq!(lost.unwrap_err(), EngineError::Diverged(other));
    assert_eq!(read_all(&engine, 1, 1), Some(vec![bundle(3).1]));
    // Nor is the access changed where the log may lack what others would need to follow.
    let changed = engine.change_access(log(1), admin(1), end, body(2));
    assert_eq!(changed, Err(EngineError::Diverged(other)));
}

#[test]
fn a_retired_token_reads_to_its_end_and_writes_nothing() {
    let (engine, start) = opened();
    let end = engine.exchange(push(1, 1, start, &[1]), MOST, NOON).unwrap().pushed.end;
    assert_eq!(engine.change_access(log(1), token(1), start, body(2)), Err(EngineError::NoAccess));
    assert_eq!(engine.change_access(log(1), admin(1), start, body(2)), Ok(end));
    // Its answer was lost.
    assert_eq!(engine.change_access(log(1), admin(1), start, body(2)), Ok(end));
    assert_eq!(engine.change_access(log(1), admin(1), start, body(3)), Err(EngineError::NoAccess));
    engine.exchange(push(1, 2, end, &[2]), MOST, NOON).unwrap();
    let late = engine.exchange(push(1, 1, end, &[3]), MOST, NOON);
    assert_eq!(late.unwrap_err(), EngineError::Retired(1));
    let page = engine.items(log(1), token(1), start, MOST).unwrap();
    assert_eq!((page.sealed.len(), page.more, page.retired), (1, 0, Some(1)));
    let page = engine.items(log(1), token(1), end, MOST).unwrap();
    assert_eq!((page.sealed.len(), page.more, page.retired), (0, 0, Some(1)));
    // A retired token does not come back.
    let back = AccessBody { access: token(1), admin: admin(9) };
    assert_eq!(engine.change_access(log(1), admin(2), start, back), Err(EngineError::Taken));
    // It may still knock, and hear the answer; it does not see who else knocks.
    let (id, knock) = bundle(7);
    assert_eq!(engine.knock(log(1), token(1), id, knock.clone(), NOON), Ok(Made::New));
    assert_eq!(engine.knock(log(1), token(1), id, knock.clone(), NOON), Ok(Made::Same));
    assert_eq!(engine.knocks(log(1), token(1), NOON), Err(EngineError::Retired(1)));
    assert_eq!(engine.knocks(log(1), token(2), NOON), Ok(vec![knock]));
    assert_eq!(engine.answered(log(1), token(1), id, NOON), Err(EngineError::NotFound));
    assert_eq!(engine.answer(log(1), token(1), id, vec![1], NOON), Err(EngineError::Retired(1)));
    assert_eq!(engine.answer(log(1), token(2), id, vec![1], NOON), Ok(()));
    assert_eq!(engine.answered(log(1), token(1), id, NOON), Ok(vec![1]));
    assert_eq!(engine.knocks(log(1), token(2), NOON), Ok(Vec::new()));
    // From before a change of the access: it tells of a key that reads no further.
    let page = engine.items(log(1), token(2), end, MOST).unwrap();
    assert!(engine.change_access(log(1), admin(2), page.end, body(3)).is_ok());
    assert_eq!(engine.answered(log(1), token(1), id, NOON), Err(EngineError::NotFound));
    assert_eq!(engine.knocks(log(1), token(3), NOON).map(|waiting| waiting.len()), Ok(1));
    assert_eq!(engine.answer(log(1), token(3), id, vec![2], NOON), Ok(()));
    assert_eq!(engine.answered(log(1), token(1), id, NOON), Ok(vec![2]));
    assert_eq!(engine.answered(log(1), token(1), id, NOON + 30 * DAY), Err(EngineError::NotFound));
    // No token, no log and no right token are the same.
    for (number, by) in [(1, 9), (2, 1)] {
        let other = engine.items(log(number), token(by), Position::start(&log(number)), MOST);
        assert_eq!(other.unwrap_err(), EngineError::NoAccess);
    }
}

#[test]
fn knocks_are_few() {
    let (engine, _) = opened();
    let knock = |number| engine.knock(log(1), token(1), bundle(number).0, vec![number], NOON);
    for number in 0..64 {
        assert_eq!(knock(number), Ok(Made::New));
    }
    assert_eq!(knock(64), Err(EngineError::TooMany));
    assert_eq!(knock(63), Ok(Made::Same));
    engine.answer(log(1), token(1), bundle(5).0, Vec::new(), NOON).unwrap();
    assert_eq!(knock(64), Ok(Made::New));
}

#[test]
fn a_deleted_log_says_so_to_whoever_had_access() {
    let (engine, start) = opened();
    engine.exchange(push(1, 1, start, &[1]), MOST, NOON).unwrap();
    assert_eq!(engine.delete_log(log(1), token(1), NOON), Err(EngineError::NoAccess));
    assert_eq!(engine.delete_log(log(1), admin(1), NOON), Ok(()));
    assert_eq!(engine.delete_log(log(1), admin(1), NOON), Ok(()));
    for now in [NOON, NOON + 90 * DAY] {
        while engine.sweep(now).unwrap() {}
        let gone = engine.items(log(1), token(1), start, MOST).unwrap_err();
        assert_eq!(gone, EngineError::Gone);
        assert_eq!(engine.open_log(log(1), body(1), now), Err(EngineError::Gone));
        assert_eq!(engine.open_log(log(1), body(2), now), Err(EngineError::NoAccess));
        assert_eq!(engine.held().unwrap(), fallaway_relay::Held::default());
    }
    engine.sweep(NOON + 91 * DAY).unwrap();
    assert_eq!(engine.open_log(log(1), body(2), NOON), Ok(Made::New));
    assert_eq!(read_all(&engine, 1, 2), Some(Vec::new()));
}

#[test]
fn parcels_belong_to_who_left_them() {
    let engine = engine();
    let leave =
        |owner, body: &[u8], now| engine.leave_parcel([1; 16], token(owner), body.to_vec(), 2, now);
    assert_eq!(leave(1, b"a", NOON), Ok(Made::New));
    assert_eq!(leave(2, b"b", NOON), Err(EngineError::Taken));
    assert_eq!(leave(1, b"c", NOON), Ok(Made::Same));
    assert_eq!(engine.parcel([1; 16], NOON), Ok(b"c".to_vec()));
    assert_eq!(engine.remove_parcel([1; 16], token(2), NOON), Err(EngineError::Taken));
    let later = NOON + 2 * DAY;
    assert_eq!(engine.parcel([1; 16], later), Err(EngineError::NotFound));
    assert_eq!(leave(2, b"b", later), Ok(Made::New));
    assert_eq!(engine.remove_parcel([1; 16], token(2), later), Ok(()));
    assert_eq!(engine.remove_parcel([1; 16], token(2), later), Err(EngineError::NotFound));
    assert_eq!(engine.held().unwrap().bytes, 0);
}

#[test]
fn what_is_too_much_is_refused_whole() {
    let quotas = Quotas { log_bytes: 1000, total_bytes: 1500, accesses: 2 };
    let engine = Engine::in_memory(MemoryShelves::default(), quotas);
    for number in [1, 2] {
        engine.open_log(log(number), body(1), NOON).unwrap();
    }
    let starts = [1, 2].map(|number| Position::start(&log(number)));
    // 512, 768 and 256 bytes.
    let over = engine.exchange(push(1, 1, starts[0], &[1, 2]), MOST, NOON);
    assert_eq!(over.unwrap_err(), EngineError::Quota);
    let end = engine.exchange(push(1, 1, starts[0], &[2]), MOST, NOON).unwrap().pushed.end;
    assert_eq!(end.seq, 1);
    let over = engine.exchange(push(2, 1, starts[1], &[5]), MOST, NOON);
    assert_eq!(over.unwrap_err(), EngineError::Full);
    // What is there already takes no room.
    assert!(engine.exchange(push(1, 1, end, &[2]), MOST, NOON).is_ok());
    engine.change_access(log(1), admin(1), Position::start(&log(1)), body(2)).unwrap();
    assert_eq!(
        engine.change_access(log(1), admin(2), Position::start(&log(1)), body(3)),
        Err(EngineError::Quota)
    );
    engine.delete_log(log(1), admin(2), NOON).unwrap();
    assert!(engine.exchange(push(2, 1, starts[1], &[5]), MOST, NOON).is_ok());
}

#[test]
fn one_process_serves_from_a_folder_and_a_copy_is_whole() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("data");
    let engine = Engine::in_folder(&data, Quotas::default()).unwrap();
    assert_eq!(Engine::in_folder(&data, Quotas::default()).err(), Some(ShelvesError::Busy));
    engine.open_log(log(1), body(1), NOON).unwrap();
    let start = Position::start(&log(1));
    engine.exchange(push(1, 1, start, &[1, 2]), MOST, NOON).unwrap();
    let copied = folder.path().join("copied");
    std::fs::create_dir(&copied).unwrap();
    backup(&data, &copied.join("relay.sqlite")).unwrap();
    assert!(backup(&data, &copied.join("relay.sqlite")).is_err());
    assert!(backup(&folder.path().join("nowhere"), &folder.path().join("x")).is_err());
    let restored = Engine::in_folder(&copied, Quotas::default()).unwrap();
    assert_eq!(read_all(&restored, 1, 1), read_all(&engine, 1, 1));
    assert_eq!(restored.held(), engine.held());
}

#[test]
fn a_database_of_somebody_else_or_of_a_newer_version_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("relay.sqlite");
    let conn = rusqlite::Connection::open(&path).unwrap();
    conn.execute_batch("CREATE TABLE mine(x)").unwrap();
    let refused = || Engine::in_folder(folder.path(), Quotas::default()).err().unwrap();
    assert!(matches!(refused(), ShelvesError::Engine(_)));
    conn.execute_batch("DROP TABLE mine").unwrap();
    drop(Engine::in_folder(folder.path(), Quotas::default()).unwrap());
    conn.pragma_update(None, "user_version", 7).unwrap();
    assert!(matches!(refused(), ShelvesError::Newer { found: 7, .. }));
}

#[test]
fn a_photo_is_had_when_all_its_parts_are_there_and_are_its_own() {
    let (engine, _) = opened();
    let (id, parts) = photo(2);
    assert_eq!(parts.len(), 3);
    let put = |part| engine.put_blob_part(push_part(1, 1, 2, 2, part), NOON);
    let get = |part| engine.blob_part(log(1), token(1), id, part);
    assert_eq!(engine.blob(log(1), token(1), id), Err(EngineError::NotFound));
    assert_eq!(
        (put(2), put(0), put(0)),
        (Ok(BlobTaken::Lacking), Ok(BlobTaken::Lacking), Ok(BlobTaken::Lacking))
    );
    assert_eq!(engine.blob(log(1), token(1), id), Ok((3, vec![0, 2])));
    assert_eq!(get(0), Err(EngineError::NotFound), "it is not whole");
    assert_eq!((put(1), put(1)), (Ok(BlobTaken::Whole), Ok(BlobTaken::Same)));
    let got: Vec<Vec<u8>> = (0..3).map(|part| get(part).unwrap().1).collect();
    assert_eq!(got, parts);
    assert_eq!(engine.held().unwrap().bytes, 900);
    // What is of another photo goes, and its bytes with it.
    let (other, _) = photo(5);
    let wrong = |part| engine.put_blob_part(push_part(1, 1, 5, 8, part), NOON);
    assert_eq!((wrong(0), wrong(1)), (Ok(BlobTaken::Lacking), Ok(BlobTaken::Lacking)));
    assert_eq!(wrong(2), Ok(BlobTaken::Wrong));
    assert_eq!(engine.blob(log(1), token(1), other), Err(EngineError::NotFound));
    assert_eq!((engine.held().unwrap().bytes, engine.held().unwrap().blobs), (900, 1));
    // Only who may write reads it, and only the admin token takes it away.
    assert_eq!(engine.blob(log(1), token(2), id), Err(EngineError::NoAccess));
    assert_eq!(engine.remove_blob(log(1), token(1), id, NOON), Err(EngineError::NoAccess));
    assert_eq!(engine.remove_blob(log(1), admin(1), id, NOON), Ok(()));
    assert_eq!(engine.held().unwrap().bytes, 0);
}

#[test]
fn photos_count_in_the_quota_and_what_stopped_coming_goes() {
    let quotas = Quotas { log_bytes: 1000, ..Quotas::default() };
    let engine = Engine::in_memory(MemoryShelves::default(), quotas);
    engine.open_log(log(1), body(1), NOON).unwrap();
    let put = |number, part, now| engine.put_blob_part(push_part(1, 1, number, number, part), now);
    assert_eq!(put(2, 0, NOON), Ok(BlobTaken::Lacking));
    assert_eq!(put(3, 0, NOON), Ok(BlobTaken::Whole), "it has one part");
    assert_eq!(put(2, 1, NOON), Ok(BlobTaken::Lacking));
    assert_eq!(put(6, 0, NOON), Err(EngineError::Quota));
    engine.sweep(NOON + DAY - 1).unwrap();
    assert_eq!(engine.held().unwrap().bytes, 900);
    engine.sweep(NOON + DAY).unwrap();
    assert_eq!(engine.held().unwrap().bytes, 300);
    assert_eq!(put(6, 0, NOON + DAY), Ok(BlobTaken::Whole));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    #[test]
    fn memory_and_file_answer_the_same(calls in calls()) {
        let folder = tempfile::tempdir().unwrap();
        let quotas = Quotas { log_bytes: 4000, total_bytes: 6000, accesses: 4 };
        let memory = Engine::in_memory(MemoryShelves::default(), quotas);
        let mut file = Engine::in_folder(folder.path(), quotas).unwrap();
        let (mut now, mut places) = (NOON, Vec::new());
        for call in &calls {
            match call {
                Call::Days(days) => now += days * DAY,
                Call::Reopen => {
                    drop(file);
                    file = Engine::in_folder(folder.path(), quotas).unwrap();
                }
                _ => {}
            }
            let (said, end) = say(&memory, call, &places, now);
            prop_assert_eq!(&said, &say(&file, call, &places, now).0, "{:?}", call);
            places.extend(end);
            prop_assert_eq!(memory.held(), file.held(), "{:?}", call);
        }
        for (number, by) in [(0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2)] {
            let all = read_all(&memory, number, by);
            if let Some(all) = &all {
                let mut once = all.clone();
                once.sort();
                once.dedup();
                prop_assert_eq!(once.len(), all.len());
            }
            prop_assert_eq!(all, read_all(&file, number, by));
        }
    }
}
