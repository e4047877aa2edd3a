//! What these tests rule out: that a bundle which a client was told is kept is lost, doubled or out of
//! its place when the process is killed, the disk is full, or the folder is one of yesterday.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

#[path = "common/kill.rs"]
mod kill;
#[path = "common/process.rs"]
mod process;

use std::path::Path;
use std::process::Command;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use fallaway_sharing::{bundle_file, bundle_id};
use kill::{LOGS, Told, look_at, push_on};
use process::{Device, Relay, ids, sealed};

/// Clients in one run.
const CLIENTS: u64 = 16;
/// How often the process is killed.
const KILLS: u32 = 12;

#[test]
fn killed_again_and_again_under_clients_it_keeps_what_it_said() {
    let folder = tempfile::tempdir().unwrap();
    let free = ["--new-logs", "0", "--pushes", "0", "--quiet"];
    let mut relay = Relay::start(folder.path(), &free);
    let address = relay.address;
    for log in 0..LOGS {
        assert_eq!(Device::new(address, log, 1).open().unwrap().status, 201);
    }
    let listen = address.to_string();
    let again = [&free[..], &["--listen", &listen]].concat();
    let (told, stop) = (Told::default(), Arc::new(AtomicBool::new(false)));
    let clients: Vec<_> = (0..CLIENTS)
        .map(|client| {
            let (told, stop) = (Arc::clone(&told), Arc::clone(&stop));
            std::thread::spawn(move || push_on(address, client, &told, &stop))
        })
        .collect();
    for kill in 0..KILLS {
        // Each time it has answered somebody; then it is killed in the midst of something.
        let before = told.lock().unwrap().len();
        while told.lock().unwrap().len() < before + 50 {
            std::thread::sleep(Duration::from_millis(5));
        }
        std::thread::sleep(Duration::from_millis(u64::from(kill) * 37 % 200));
        relay.kill();
        relay = Relay::start(folder.path(), &again);
    }
    stop.store(true, Ordering::Relaxed);
    let done: Vec<(u64, u64)> = clients.into_iter().map(|client| client.join().unwrap()).collect();
    let repeats = done.iter().map(|(_, repeats)| repeats).sum();
    look_at(address, &told.lock().unwrap(), repeats);
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        std::fs::copy(entry.path(), to.join(entry.file_name())).unwrap();
    }
}

#[test]
fn yesterdays_folder_is_seen_by_the_chain_and_filled_again_by_one_client() {
    let folder = tempfile::tempdir().unwrap();
    let relay = Relay::start(folder.path(), &[]);
    let listen = relay.address.to_string();
    let mut device = Device::new(relay.address, 1, 1);
    device.open().unwrap();
    let yesterday: Vec<Vec<u8>> = (0..3).map(sealed).collect();
    device.push(&device.start(), &yesterday).unwrap();
    let data = folder.path().join("data");
    relay.kill();
    copy(&data, &folder.path().join("yesterday"));
    let again = ["--listen", listen.as_str()];
    let relay = Relay::start(folder.path(), &again);
    let mut device = Device::new(relay.address, 1, 1);
    let today: Vec<Vec<u8>> = (3..6).map(sealed).collect();
    let after = device.items(&device.start(), 0).unwrap().position();
    let mine = device.push(&after, &today).unwrap().position();
    assert_eq!(mine.seq, 6);
    relay.kill();
    std::fs::remove_dir_all(&data).unwrap();
    copy(&folder.path().join("yesterday"), &data);
    let _relay = Relay::start(folder.path(), &again);
    let mut device = Device::new(device.address, 1, 1);
    // It ends earlier than the client knows.
    let answer = device.push(&mine, &[sealed(6)]).unwrap();
    assert_eq!((answer.code(), answer.position().seq), ((409, "diverged"), 3));
    let answer = device.items(&mine, 55).unwrap();
    assert_eq!(answer.code(), (409, "diverged"), "who waits is told at once");
    // Somebody else, who heard nothing of today, pushes past it: the numbers are there, the chain is
    // another.
    let mut other = Device::new(device.address, 1, 1);
    other.push(&answer.position(), &[sealed(7), sealed(8), sealed(9), sealed(10)]).unwrap();
    let answer = device.push(&mine, &[sealed(6)]).unwrap();
    assert_eq!((answer.code(), answer.position().seq), ((409, "diverged"), 7));
    // One client that reads from the start and pushes what is missing makes it whole.
    let there = device.read_all();
    let missing: Vec<Vec<u8>> = (0..11).map(sealed).filter(|one| !there.contains(one)).collect();
    assert_eq!(missing.len(), 4);
    let end = answer.position();
    assert_eq!(device.push(&end, &missing).unwrap().status, 200);
    let mut all = ids(&device.read_all());
    all.sort_unstable();
    let mut wanted = ids(&(0..11).map(sealed).collect::<Vec<_>>());
    wanted.sort_unstable();
    assert_eq!(all, wanted);
}

#[test]
fn a_backup_is_taken_under_pushes_and_served_again() {
    let folder = tempfile::tempdir().unwrap();
    let relay = Relay::start(folder.path(), &["--pushes", "0"]);
    let address = relay.address;
    let mut device = Device::new(address, 0, 1);
    device.open().unwrap();
    let (told, stop) = (Told::default(), Arc::new(AtomicBool::new(false)));
    let pushes = {
        let (told, stop) = (Arc::clone(&told), Arc::clone(&stop));
        std::thread::spawn(move || push_on(address, 0, &told, &stop))
    };
    while told.lock().unwrap().len() < 20 {
        std::thread::sleep(Duration::from_millis(10));
    }
    let before = told.lock().unwrap().clone();
    let other = folder.path().join("other");
    std::fs::create_dir_all(other.join("data")).unwrap();
    let status = Command::new(env!("CARGO_BIN_EXE_fallaway-relay"))
        .arg("backup")
        .arg("--data")
        .arg(folder.path().join("data"))
        .arg(other.join("data/relay.sqlite"))
        .status();
    assert!(status.unwrap().success());
    stop.store(true, Ordering::Relaxed);
    pushes.join().unwrap();
    let restored = Relay::start(&other, &[]);
    let all = ids(&Device::new(restored.address, 0, 1).read_all());
    for ((_, id), seq) in &before {
        assert_eq!(all.get(*seq as usize - 1), Some(id));
    }
    assert!(ids(&device.read_all()).starts_with(&all));
}

/// Needs the right to mount; says so where it is not had.
#[test]
fn a_full_disk_is_said_and_nothing_that_was_kept_is_lost() {
    let folder = tempfile::tempdir().unwrap();
    let mount = Command::new("mount")
        .args(["-t", "tmpfs", "-o", "size=6m", "tmpfs"])
        .arg(folder.path())
        .output();
    if !mount.is_ok_and(|mount| mount.status.success()) {
        println!("not looked at: no file system of 6 MiB can be mounted here");
        return;
    }
    let ended = std::panic::catch_unwind(|| fill(folder.path()));
    let gone = Command::new("umount").arg("-l").arg(folder.path()).status();
    assert!(gone.unwrap().success());
    ended.unwrap();
}

fn fill(folder: &Path) {
    let relay = Relay::start(folder, &["--pushes", "0", "--quiet"]);
    let mut device = Device::new(relay.address, 1, 1);
    device.open().unwrap();
    let (mut at, mut kept) = (device.start(), Vec::new());
    let mut full = 0;
    for number in 0.. {
        let bundles: Vec<Vec<u8>> = (0..20).map(|one| sealed(number * 20 + one)).collect();
        let answer = device.push(&at, &bundles).unwrap();
        match answer.code() {
            (200, _) => {
                assert_eq!(bundle_file::read(&answer.body), Ok(Vec::new()));
                at = answer.position();
                kept.extend(bundles);
            }
            (507, "full") | (503, "unavailable") => {
                full += 1;
                if full == 5 {
                    break;
                }
            }
            other => panic!("{other:?}"),
        }
    }
    assert!(kept.len() > 100, "{}", kept.len());
    assert_eq!(ids(&device.read_all()), ids(&kept));
    relay.kill();
    // There is room again.
    let journal = std::fs::read(folder.join("journal")).unwrap();
    println!("{} bundles, then full; journal of {} bytes", kept.len(), journal.len());
    let bigger = Command::new("mount").args(["-o", "remount,size=60m"]).arg(folder).status();
    assert!(bigger.unwrap().success());
    let relay = Relay::start(folder, &["--pushes", "0", "--quiet"]);
    let mut device = Device::new(relay.address, 1, 1);
    assert_eq!(device.read_all().len(), kept.len());
    let answer = device.push(&at, &[sealed(u64::MAX)]).unwrap();
    assert_eq!(answer.position(), at.next(&bundle_id(&sealed(u64::MAX))));
}
