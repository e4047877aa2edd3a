//! What an earlier version wrote, this one reads (`tests/compat`); and what a newer version wrote,
//! this one keeps as it is through edits and merges.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

use std::fs;
use std::path::{Path, PathBuf};

use fallaway::record::EntryBody;
use fallaway::{HistoryFilter, Role, Workshop, WriteOptions};
use fallaway_changes::Put;
use fallaway_record::Record;
use fallaway_sharing::{Payload, Welcome};
use fallaway_simulation::freeze::{self, THEN};
use fallaway_simulation::newer::{CONTAINER, KIND, Newer};
use fallaway_simulation::own_program::{opened, welcome};
use fallaway_simulation::work;
use fallaway_simulation::world::{HandClock, Seeded};

fn frozen(version: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../compat").join(version)
}

fn read(folder: &Path, name: &str) -> String {
    fs::read_to_string(folder.join(name)).unwrap()
}

fn copied(version: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    copy(&frozen(version), folder.path());
    folder
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for item in fs::read_dir(from).unwrap() {
        let item = item.unwrap();
        if item.file_type().unwrap().is_dir() {
            copy(&item.path(), &to.join(item.file_name()));
        } else {
            fs::copy(item.path(), to.join(item.file_name())).unwrap();
        }
    }
}

#[test]
fn the_first_version_s_store_opens_and_can_be_written() {
    let folder = copied("v1");
    let workshop = freeze::open(folder.path());
    assert_eq!(workshop.notices().unwrap(), []);
    let bass = workshop.instrument_named("stage").unwrap();
    assert_eq!(freeze::describe(&bass), read(folder.path(), "expected-store.txt"));
    bass.add_pass(work::relief_pass(12), WriteOptions::sure()).unwrap();
    bass.end_visit(None, None).unwrap();
    // A file that a newer version sent then.
    let file = fs::read(folder.path().join("newer.fallaway")).unwrap();
    let report = workshop.bundle_in(&file).unwrap();
    assert_eq!((report.waiting, report.refused.len()), (1, 1), "{report:?}");
    workshop.shut_down().unwrap();
    let bass = freeze::open(folder.path()).instrument_named("stage").unwrap();
    let described = freeze::describe(&bass);
    // Nothing that was there has changed.
    for line in read(folder.path(), "expected-store.txt").lines() {
        assert!(described.contains(line), "{line}\n{described}");
    }
    assert!(described.contains(&format!("kind {KIND}")), "{described}");
}

#[test]
fn the_first_version_s_invitation_and_bundle_file_are_taken() {
    let folder = copied("v1");
    let clock = HandClock::at(THEN + 86_400);
    let newcomer =
        Workshop::in_memory("newcomer", Box::new(clock), Box::new(Seeded::new(4))).unwrap();
    let file = fs::read(folder.path().join("bundle.fallaway")).unwrap();
    let bass = newcomer.accept(&read(folder.path(), "invitation.txt"), &file).unwrap();
    let report = newcomer.bundle_in(&file).unwrap();
    assert!(report.refused.is_empty() && report.waiting == 0, "{report:?}");
    let expected = read(folder.path(), "expected-store.txt");
    let described = freeze::sealed(&freeze::describe(&bass));
    // The frozen store has a draft beside it.
    for line in described.lines() {
        assert!(expected.contains(line), "{line}\n{expected}");
    }
    assert!(described.contains("two values"), "{described}");
    let report = freeze::open(folder.path()).bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    assert_eq!(report.people_added, ["newcomer"]);
}

/// The operations of a newer device in a bundle file.
fn foreign_puts(welcome: &Welcome, file: &[u8]) -> Vec<Put> {
    let changes = opened(welcome, file).into_iter().filter_map(|payload| match payload {
        Payload::Changes(bundle) => Some(bundle.into_parts().1),
        _ => None,
    });
    let puts = changes.flatten().flat_map(|change| change.ops.clone());
    let strange = |put: &Put| {
        put.key == "wood/top"
            || put.key == "headless" && put.value.len() > 1
            || put.key == "stage/feel"
            || put.value.windows(6).any(|text| text == b"warped")
            || put.value.windows(4).any(|text| text == b"both")
            || !put.container.is_known()
    };
    puts.filter(strange).collect()
}

#[test]
fn what_a_newer_version_wrote_survives_an_edit_and_a_merge_untouched() {
    let clock = HandClock::at(THEN);
    let folder = tempfile::tempdir().unwrap();
    let open_store = || freeze::open(folder.path());
    let tech = open_store();
    let bass = tech.add_instrument("bass-4", "stage bass").unwrap();
    bass.set_target(&"stage".parse().unwrap(), &work::target(None, 20, 0), None).unwrap();
    let words = bass.invite(Role::Contributor, 9).unwrap().words;
    let everything = bass.bundle_out().unwrap().file;
    let newer = Newer::join(&words, &everything, 5, THEN);
    let puts = newer.puts(THEN);
    let report = tech.bundle_in(&newer.file(THEN)).unwrap();
    // The payload is refused by name, not lost silently; the container's change waits.
    assert_eq!(report.refused.len(), 1, "{report:?}");
    assert!(report.refused[0].reason.to_string().contains("newer"), "{report:?}");
    assert_eq!(report.waiting, 1, "{report:?}");

    // Shown as what they are.
    let history = bass.history(&HistoryFilter::default()).unwrap();
    let unknown = history.iter().find(|one| matches!(one.entry.body, EntryBody::Unknown { .. }));
    assert!(unknown.unwrap().entry.newer);
    assert!(history.iter().any(|one| one.entry.newer && one.entry.body.kind().number() == 8));
    assert!(bass.details().unwrap().spec.newer.contains_key("wood/top"));
    let overwritten = fallaway::record::SpecField::Headless(true);
    assert!(
        bass.set_spec(&overwritten, None).is_err(),
        "what is not understood is not written over"
    );

    // An edit, a merge with somebody who knows as little, and a fresh start.
    bass.add_pass(work::relief_pass(9), WriteOptions::sure()).unwrap();
    let player = Workshop::in_memory("player", Box::new(clock), Box::new(Seeded::new(3))).unwrap();
    let invitation = bass.invite(Role::Contributor, 9).unwrap();
    let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();
    let report = player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    assert_eq!(report.waiting, 1, "what waits is handed on");
    theirs.add_remark(work::remark("fits"), None).unwrap();
    tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
    tech.shut_down().unwrap();

    let again = open_store().instrument_named("stage").unwrap();
    let (welcome, _) = welcome(&invitation.words, &invitation.welcome);
    for file in [&again, &theirs].map(|one| one.bundle_out().unwrap().file) {
        let found = foreign_puts(&welcome, &file);
        assert_eq!(found.len(), puts.len() + 1, "{found:?}");
        for put in &puts {
            assert!(found.contains(put), "{put:?}");
        }
        assert_eq!(found.iter().filter(|put| put.container == CONTAINER).count(), 1);
    }
    assert_eq!(again.details().unwrap().waiting, 1);
    // A record that is read anew from its snapshot holds the same bytes.
    let mut record = Record::create(welcome.record);
    let file = again.bundle_out().unwrap().file;
    let changes: Vec<_> = opened(&welcome, &file)
        .into_iter()
        .filter_map(|payload| match payload {
            Payload::Changes(bundle) => Some(bundle.into_parts().1),
            _ => None,
        })
        .flatten()
        .collect();
    record.apply(&changes);
    let loaded = Record::load(welcome.record, &record.save()).unwrap();
    let writers = loaded.writers().into_iter();
    let held: Vec<_> = writers.flat_map(|writer| loaded.changes_of(&writer)).collect();
    for put in puts.iter().filter(|put| put.container.is_known()) {
        assert!(held.iter().any(|change| change.ops.contains(put)), "{put:?}");
    }
}
