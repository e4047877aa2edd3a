//! Two that meet again, with nothing new, do not read what both have: what that asks of memory does not
//! grow with the record.

#![allow(clippy::unwrap_used, reason = "a test")]

use std::path::Path;

use allocation_counter::measure;
use fallaway::meeting::MeetingOutcome;
use fallaway::{Role, Workshop, WorkshopOptions};
use fallaway_simulation::world::{HandClock, Seeded};
use fallaway_simulation::{met, work};

const START: i64 = 1_790_000_000;

fn open(folder: &Path, label: &str, seed: u64) -> Workshop {
    Workshop::open(WorkshopOptions {
        clock: Box::new(HandClock::at(START)),
        random: Box::new(Seeded::new(seed)),
        ..WorkshopOptions::new(folder.join(label), label)
    })
    .unwrap()
}

/// Bytes that who comes asks for when both have so many lines, and have met before.
fn asked(lines: usize) -> u64 {
    let folder = tempfile::tempdir().unwrap();
    let again = |seed| (open(folder.path(), "tech", seed), open(folder.path(), "player", seed + 1));
    let (tech, player) = again(1);
    let bass = tech.add_instrument("bass-4", "stage bass").unwrap();
    for line in 0..lines {
        bass.add_remark(work::remark(&format!("line {line}")), None).unwrap();
    }
    let invited = bass.invite(Role::Contributor, 7).unwrap();
    player.accept(&invited.words, &invited.welcome).unwrap();
    for _ in 0..2 {
        let both = met::meet([&player, &tech], None);
        assert!(both.iter().all(|one| one.as_ref().unwrap().outcome == MeetingOutcome::UpToDate));
    }
    drop((tech, player, bass));
    let (tech, player) = again(11);
    let mut bytes = 0;
    let used = measure(|| {
        let [came, listened] = met::meet([&player, &tech], None).map(Result::unwrap);
        for one in [&came, &listened] {
            assert_eq!((one.outcome, one.met.len()), (MeetingOutcome::UpToDate, 1));
            assert_eq!(one.met.first().unwrap().name, "stage bass");
        }
        bytes = came.bytes;
    });
    println!("{lines} lines: {} bytes of memory, {bytes} on the wire", used.bytes_total);
    // What is new is still found.
    tech.instrument_named("stage").unwrap().add_remark(work::remark("slot filed"), None).unwrap();
    let [came, _] = met::meet([&player, &tech], None).map(Result::unwrap);
    assert!(came.met.iter().all(|one| one.received == 1), "{came:?}");
    used.bytes_total
}

#[test]
fn a_meeting_that_brings_nothing_reads_no_history() {
    let (few, many) = (asked(10), asked(400));
    assert!(many < few * 5 / 4, "{few} bytes for 10 lines, {many} for 400");
}
