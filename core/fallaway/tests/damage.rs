//! Stores that were damaged, copied, or never were stores.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use std::fs;

use common::{Seeded, Ticking, relief_pass, told};
use fallaway::{Error, HistoryFilter, Role, Workshop, WorkshopOptions};

fn open(folder: &std::path::Path, label: &str, seed: u64) -> Workshop {
    let options = WorkshopOptions {
        clock: Box::new(Ticking::from(1_780_000_000)),
        random: Box::new(Seeded::new(seed)),
        ..WorkshopOptions::new(folder, label)
    };
    Workshop::open(options).unwrap()
}

#[test]
fn a_file_that_is_no_store_is_refused_and_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    drop(open(folder.path(), "tech", 1));
    let file = fs::read_dir(folder.path())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .find(|path| path.extension().is_some_and(|ext| ext != "lock" && ext != "secret"))
        .expect("a database file");
    let garbage = b"written by another program ".repeat(500);
    fs::write(&file, &garbage).unwrap();
    let refused = Workshop::open(WorkshopOptions::new(folder.path(), "tech")).err().unwrap();
    assert!(matches!(refused, Error::Storage { .. }), "{refused}");
    assert_eq!(fs::read(&file).unwrap(), garbage);

    let options =
        WorkshopOptions { replace_garbage: true, ..WorkshopOptions::new(folder.path(), "tech") };
    let workshop = Workshop::open(options).unwrap();
    assert_eq!(workshop.notices().unwrap().len(), 1);
}

/// Copies every file but the keys, as a backup does.
fn back_up(from: &std::path::Path, to: &std::path::Path) {
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        if path.is_file() {
            fs::copy(&path, to.join(path.file_name().unwrap())).unwrap();
        }
    }
}

#[test]
fn a_store_restored_from_a_backup_takes_its_own_later_work_back_and_forks_nothing() {
    let (home, backup) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let tech = open(home.path(), "tech", 1);
    let bass = tech.add_instrument("bass-5", "stage bass").unwrap();
    let other = common::workshop("player", 2);
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let theirs = other.accept(&invitation.words, &invitation.welcome).unwrap();
    other.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    bass.add_pass(relief_pass("12"), None).unwrap();
    tech.pause().unwrap();
    back_up(home.path(), backup.path());

    bass.add_pass(relief_pass("10"), None).unwrap();
    other.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    tech.shut_down().unwrap();

    // The store goes back in time; the keys do not. Then work goes on, unaware of what is missing.
    back_up(backup.path(), home.path());
    let tech = open(home.path(), "tech", 3);
    let bass = tech.instrument_named("stage").unwrap();
    bass.add_pass(relief_pass("14"), None).unwrap();
    bass.end_visit(None, None).unwrap();
    let report = tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
    assert_eq!(report.added.len(), 1, "{report:?}");
    other.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    assert_eq!(told(&bass), told(&theirs));
    let read: Vec<String> = bass
        .history(&HistoryFilter::default())
        .unwrap()
        .iter()
        .filter_map(|one| match &one.entry.body {
            fallaway::record::EntryBody::Pass(pass) => Some(pass.readings[0].reading.to_string()),
            _ => None,
        })
        .collect();
    assert_eq!(read.len(), 3, "{read:?}");
    assert_eq!((tech.notices().unwrap().len(), bass.details().unwrap().set_aside), (1, 0));
}

#[test]
fn a_full_store_says_so_and_keeps_what_it_has() {
    let folder = tempfile::tempdir().unwrap();
    let options = WorkshopOptions {
        max_pages: Some(48),
        clock: Box::new(Ticking::from(1_780_000_000)),
        ..WorkshopOptions::new(folder.path(), "tech")
    };
    let workshop = Workshop::open(options).unwrap();
    let bass = workshop.add_instrument("bass-5", "stage bass").unwrap();
    let mut kept = 0;
    let full = loop {
        match bass.add_pass(relief_pass("12"), Some("tech")) {
            Ok(_) => kept += 1,
            Err(error) => break error,
        }
        assert!(kept < 20_000, "it never filled");
    };
    assert!(matches!(full, Error::Full { .. }), "{full}");
    workshop.shut_down().err();
    drop(workshop);
    let again = open(folder.path(), "tech", 1);
    let history =
        again.instrument_named("stage").unwrap().history(&HistoryFilter::default()).unwrap();
    let passes =
        history.iter().filter(|one| matches!(one.entry.body, fallaway::record::EntryBody::Pass(_)));
    assert_eq!(passes.count(), kept);
}
