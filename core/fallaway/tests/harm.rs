//! Damage to a device's folder: database, log, keys. What is lost is told, and after a peer's whole
//! bundle the record is the peer's again.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "a test")]

mod common;

use std::fs;
use std::path::Path;

use common::{Seeded, Ticking, news, relief_pass, told};
use fallaway::{Error, HistoryFilter, Instrument, Notice, Role, Workshop, WorkshopOptions};

const PAGE: usize = 4096;

fn open(folder: &Path) -> Result<Workshop, Error> {
    Workshop::open(WorkshopOptions {
        clock: Box::new(Ticking::from(1_780_100_000)),
        random: Box::new(Seeded::new(77)),
        replace_garbage: true,
        ..WorkshopOptions::new(folder, "tech")
    })
}

/// A device's folder at rest, and a peer that has everything.
struct Scene {
    folder: tempfile::TempDir,
    peer: Workshop,
    theirs: Instrument,
    entries: usize,
}

impl Scene {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let tech = Workshop::open(WorkshopOptions {
            clock: Box::new(Ticking::from(1_780_000_000)),
            random: Box::new(Seeded::new(1)),
            ..WorkshopOptions::new(folder.path(), "tech")
        })
        .unwrap();
        let bass = tech.add_instrument("bass-5", "stage bass").unwrap();
        let peer = common::workshop("player", 2);
        let invitation = bass.invite(Role::Contributor, 7).unwrap();
        let theirs = peer.accept(&invitation.words, &invitation.welcome).unwrap();
        // Enough changes for a snapshot, and some beside it.
        for number in 0..70 {
            bass.add_pass(relief_pass(&(8 + number % 5).to_string()), None).unwrap();
            bass.end_visit(None, None).unwrap();
        }
        peer.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
        theirs.add_pass(relief_pass("9"), None).unwrap();
        tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
        bass.set_role(&peer.device().unwrap().fingerprint, Role::Owner).unwrap();
        peer.bundle_in(&news(&bass)).unwrap();
        tech.shut_down().unwrap();
        let entries = theirs.history(&HistoryFilter::default()).unwrap().len();
        Self { folder, peer, theirs, entries }
    }

    /// A copy of the folder.
    fn copy(&self) -> tempfile::TempDir {
        let copy = tempfile::tempdir().unwrap();
        copy_folder(self.folder.path(), copy.path());
        copy
    }

    /// Opens the folder, and sees that nothing is missing untold; then brings the peer's bundle in.
    /// Returns whether the record is the peer's again.
    fn examine(&self, folder: &Path, what: &str) -> bool {
        let tech = match open(folder) {
            Ok(tech) => tech,
            Err(Error::Keys { .. } | Error::Storage { .. }) => return false,
            Err(error) => panic!("{what}: {error}"),
        };
        let found =
            tech.instrument_named("stage").and_then(|bass| bass.history(&HistoryFilter::default()));
        let notices = tech.notices().unwrap();
        match found {
            Ok(found) if found.len() >= self.entries => {}
            other => {
                let told = !notices.is_empty();
                assert!(
                    told,
                    "{what}: untold, {:?} of {}",
                    other.map(|all| all.len()),
                    self.entries
                );
            }
        }
        let Ok(bass) = tech.instrument_named("stage") else { return false };
        if let Err(error) = tech.bundle_in(&self.theirs.bundle_out().unwrap().file) {
            // Its keys to the record may be what was lost.
            assert!(!notices.is_empty(), "{what}: {error}");
            return false;
        }
        let ours: Vec<String> = sealed(&bass);
        let lost = sealed(&self.theirs).into_iter().find(|entry| !ours.contains(entry));
        assert_eq!(lost, None, "{what}");
        told(&bass) == told(&self.theirs)
    }
}

fn sealed(instrument: &Instrument) -> Vec<String> {
    let history = instrument.history(&HistoryFilter::default()).unwrap();
    history.iter().map(|one| format!("{:?}", one.entry)).collect()
}

fn copy_folder(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for item in fs::read_dir(from).unwrap() {
        let item = item.unwrap();
        let target = to.join(item.file_name());
        if item.file_type().unwrap().is_dir() {
            copy_folder(&item.path(), &target);
        } else {
            fs::copy(item.path(), target).unwrap();
        }
    }
}

#[test]
fn what_a_damaged_page_hides_is_told_and_the_peers_bundle_brings_it_back() {
    let scene = Scene::new();
    assert!(scene.examine(scene.copy().path(), "no damage"));
    let sound = fs::read(scene.folder.path().join("fallaway.db")).unwrap();
    let pages = sound.len() / PAGE;
    let (mut healed, mut cases) = (0, 0);
    for page in 0..pages {
        let mut damages: Vec<(String, Vec<u8>)> = Vec::new();
        let at = page * PAGE + if page == 0 { 100 } else { 0 };
        // The number of cells, and a byte in the middle.
        for (offset, bit) in [(4, page % 8), (PAGE / 2, 5)] {
            let mut bytes = sound.clone();
            bytes[at + offset] ^= 1 << bit;
            damages.push((format!("page {}: bit {bit} of byte {offset}", page + 1), bytes));
        }
        damages.push((
            format!("cut off after page {}", page + 1),
            sound[..(page + 1) * PAGE].to_vec(),
        ));
        for (what, bytes) in damages {
            let folder = scene.copy();
            fs::write(folder.path().join("fallaway.db"), bytes).unwrap();
            cases += 1;
            healed += usize::from(scene.examine(folder.path(), &what));
        }
    }
    println!("the peer's record again after {healed} of {cases} damages");
    assert!(healed * 2 > cases, "{healed} of {cases}");
}

#[test]
fn a_database_that_is_gone_is_told_and_an_invitation_brings_the_record_back() {
    let scene = Scene::new();
    for also in [None, Some("fallaway.last")] {
        let folder = scene.copy();
        fs::remove_file(folder.path().join("fallaway.db")).unwrap();
        if let Some(also) = also {
            fs::remove_file(folder.path().join(also)).unwrap();
        }
        let tech = open(folder.path()).unwrap();
        assert_eq!(tech.instruments().unwrap().len(), 0);
        assert_ne!(tech.notices().unwrap(), [], "{also:?}");
        let fingerprint = tech.device().unwrap().fingerprint;
        let invitation = scene.theirs.invite(Role::Contributor, 7).unwrap();
        let bass = tech.accept(&invitation.words, &invitation.welcome).unwrap();
        tech.bundle_in(&scene.theirs.bundle_out().unwrap().file).unwrap();
        assert_eq!(sealed(&bass), sealed(&scene.theirs));
        // It is the same device, and can write.
        assert_eq!(tech.device().unwrap().fingerprint, fingerprint);
        bass.add_pass(relief_pass("11"), None).unwrap();
        let report = scene.peer.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
        assert!(report.refused.is_empty(), "{report:?}");
        assert_eq!(told(&bass), told(&scene.theirs));
    }
}

#[test]
fn a_damaged_key_is_told_and_makes_no_other_device() {
    let scene = Scene::new();
    let fingerprint = |tech: &Workshop| tech.device().unwrap().fingerprint;
    let before = fingerprint(&open(scene.copy().path()).unwrap());
    for name in ["device-seed", "incarnation", "sealed"] {
        for (byte, bit) in [(0, 0), (5, 7), (20, 3)] {
            let folder = scene.copy();
            let path = folder.path().join(format!("keys/{name}.secret"));
            let mut bytes = fs::read(&path).unwrap();
            bytes[byte] ^= 1 << bit;
            fs::write(&path, &bytes).unwrap();
            match open(folder.path()) {
                Ok(tech) => {
                    assert_ne!(name, "device-seed");
                    assert_eq!(fingerprint(&tech), before);
                    assert_eq!(tech.notices().unwrap().len(), 1, "{name}");
                    assert_eq!(open(folder.path()).unwrap().notices().unwrap().len(), 0);
                }
                Err(error) => {
                    assert!(matches!(error, Error::Keys { .. }), "{error}");
                    assert_eq!(name, "device-seed");
                    // It works again with the bit put back.
                    bytes[byte] ^= 1 << bit;
                    fs::write(&path, &bytes).unwrap();
                    assert!(scene.examine(folder.path(), "a bit put back"));
                }
            }
        }
    }
    // The keys of another device.
    let (folder, other) = (scene.copy(), tempfile::tempdir().unwrap());
    drop(open(other.path()).unwrap());
    fs::remove_dir_all(folder.path().join("keys")).unwrap();
    copy_folder(&other.path().join("keys"), &folder.path().join("keys"));
    for _ in 0..2 {
        let notices = open(folder.path()).unwrap().notices().unwrap();
        assert!(notices.contains(&Notice::OtherKeys), "{notices:?}");
    }
}
