//! What these tests rule out: that a photo in a store is had when it is not whole or not its own, that another
//! photo's bytes lie there for nobody, and that a store which ends half-way costs more than the part that it did
//! not take. With `FALLAWAY_TEST_S3` (an address like `s3://bucket`, and its `AWS_` variables), also on that.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

#[cfg(feature = "postgres")]
#[path = "common/cluster.rs"]
mod cluster;
mod common;

use std::path::Path;

use common::{DAY, NOON, admin, body, log, photo, push_part, token};
use fallaway_relay::{BlobTaken, Engine, EngineError, ObjectsError, Quotas, StoredObjects};
use tokio::runtime::Runtime;

fn files(folder: &Path) -> usize {
    let entries = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    entries.map(|path| if path.is_dir() { files(&path) } else { 1 }).sum()
}

fn open(folder: &Path, store: &str, runtime: &Runtime) -> Engine {
    let engine = Engine::in_folder(folder, Quotas::default()).unwrap();
    let store = StoredObjects::open(store, runtime.handle().clone()).unwrap();
    engine.with_objects(Box::new(store))
}

fn a_photo_goes_and_comes(store: &str) {
    let (folder, runtime) = (tempfile::tempdir().unwrap(), Runtime::new().unwrap());
    let engine = open(folder.path(), store, &runtime);
    engine.open_log(log(1), body(1), NOON).unwrap();
    let (id, parts) = photo(2);
    let put = |part| engine.put_blob_part(push_part(1, 1, 2, 2, part), NOON);
    assert_eq!((put(2), put(0)), (Ok(BlobTaken::Lacking), Ok(BlobTaken::Lacking)));
    assert_eq!(engine.blob(log(1), token(1), id), Ok((3, vec![0, 2])));
    assert_eq!(engine.blob_part(log(1), token(1), id, 0), Err(EngineError::NotFound));
    assert_eq!((put(1), put(1)), (Ok(BlobTaken::Whole), Ok(BlobTaken::Same)));
    let got = |part| engine.blob_part(log(1), token(1), id, part).map(|(_, sealed)| sealed);
    assert_eq!((0..3).map(|part| got(part).unwrap()).collect::<Vec<_>>(), parts);
    // Nothing of it is in the database.
    let all = std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().path());
    for file in all {
        let bytes = std::fs::read(&file).unwrap();
        assert!(!bytes.windows(200).any(|some| some == &parts[0][..200]), "{}", file.display());
    }
    engine.remove_blob(log(1), admin(1), id, NOON).unwrap();
    assert_eq!((engine.sweep_objects(NOON), got(0)), (Ok(false), Err(EngineError::NotFound)));
    assert_eq!(engine.held().unwrap().bytes, 0);
}

#[test]
fn a_photo_goes_into_a_store_and_comes_back() {
    let store = tempfile::tempdir().unwrap();
    a_photo_goes_and_comes(&format!("file://{}", store.path().display()));
    assert_eq!(files(store.path()), 0);
    match std::env::var("FALLAWAY_TEST_S3") {
        Ok(address) => a_photo_goes_and_comes(&address),
        Err(_) => println!("without S3: FALLAWAY_TEST_S3 is not set"),
    }
}

#[test]
fn nothing_stays_in_a_store_that_belongs_to_no_photo() {
    let (folder, store) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let (runtime, at) = (Runtime::new().unwrap(), format!("file://{}", store.path().display()));
    nothing_stays(&open(folder.path(), &at, &runtime), store.path());
}

#[cfg(feature = "postgres")]
#[test]
fn nothing_stays_in_a_store_beside_postgres() {
    let (cluster, store) = (cluster::Cluster::start(), tempfile::tempdir().unwrap());
    let (runtime, at) = (Runtime::new().unwrap(), format!("file://{}", store.path().display()));
    let handle = || runtime.handle().clone();
    let watch = Box::new(|_, _| ());
    let engine = Engine::on_postgres(&cluster.address(), handle(), Quotas::default(), watch);
    let objects = StoredObjects::open(&at, handle()).unwrap();
    nothing_stays(&engine.unwrap().with_objects(Box::new(objects)), store.path());
}

fn nothing_stays(engine: &Engine, store: &Path) {
    engine.open_log(log(1), body(1), NOON).unwrap();
    // Parts of another photo than the id says: judged when all are there, and gone.
    let wrong = |part| engine.put_blob_part(push_part(1, 1, 5, 8, part), NOON);
    assert_eq!((wrong(0), wrong(1)), (Ok(BlobTaken::Lacking), Ok(BlobTaken::Lacking)));
    assert_eq!((wrong(2), files(store)), (Ok(BlobTaken::Wrong), 3));
    assert_eq!((engine.sweep_objects(NOON), files(store)), (Ok(false), 0));
    // One that stopped coming.
    engine.put_blob_part(push_part(1, 1, 2, 2, 0), NOON).unwrap();
    assert_eq!((engine.sweep_objects(NOON + DAY), files(store)), (Ok(false), 1));
    engine.sweep(NOON + DAY).unwrap();
    assert_eq!((engine.sweep_objects(NOON + DAY), files(store)), (Ok(false), 0));
    // Those of a deleted log; its row goes after them.
    for part in 0..3 {
        engine.put_blob_part(push_part(1, 1, 2, 2, part), NOON).unwrap();
    }
    engine.delete_log(log(1), admin(1), NOON).unwrap();
    engine.sweep(NOON + 1).unwrap();
    assert_eq!((engine.sweep_objects(NOON + 1), files(store)), (Ok(false), 0));
    engine.sweep(NOON + 91 * DAY).unwrap();
    assert_eq!(engine.ends(&[log(1)]), Ok(vec![None]));
    assert_eq!(engine.held().unwrap().bytes, 0);
}

#[test]
fn a_store_that_is_lost_loses_photos_and_nothing_else() {
    let (folder, store) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let (runtime, at) = (Runtime::new().unwrap(), format!("file://{}", store.path().display()));
    let engine = open(folder.path(), &at, &runtime);
    engine.open_log(log(1), body(1), NOON).unwrap();
    for part in 0..3 {
        engine.put_blob_part(push_part(1, 1, 2, 2, part), NOON).unwrap();
    }
    let id = photo(2).0;
    std::fs::remove_dir_all(store.path()).unwrap();
    assert_eq!(engine.blob_part(log(1), token(1), id, 0), Err(EngineError::NotFound));
    // Brought again, it is there again.
    engine.remove_blob(log(1), admin(1), id, NOON).unwrap();
    engine.sweep_objects(NOON).unwrap();
    let put = |part| engine.put_blob_part(push_part(1, 1, 2, 2, part), NOON);
    assert_eq!((put(0), put(1), put(2)).2, Ok(BlobTaken::Whole));
    // One who does not name the store any more has the rest.
    drop(engine);
    let engine = Engine::in_folder(folder.path(), Quotas::default()).unwrap();
    assert!(matches!(engine.blob_part(log(1), token(1), id, 0), Err(EngineError::Shelves(_))));
    assert_eq!(engine.ends(&[log(1)]), Ok(vec![Some(0)]));
}

#[test]
fn an_address_that_is_none_is_refused_without_a_word_of_it() {
    let runtime = Runtime::new().unwrap();
    for address in
        ["", "photos", "file://photos", "s3://", "s3://key:secret@bucket", "ftp://secret"]
    {
        let refused = StoredObjects::open(address, runtime.handle().clone()).err().unwrap();
        assert_eq!(refused, ObjectsError::Address);
        assert!(!refused.to_string().contains("secret"));
    }
}
