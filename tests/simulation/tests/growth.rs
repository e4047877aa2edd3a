//! No call grows faster than the record does: counted in what it asks of memory, which is the same on a
//! busy machine. A table of every reading against every other one shows in its bytes; a search through
//! everything for each of everything, that takes no memory, does not.

#![allow(clippy::unwrap_used, reason = "a test")]

use std::collections::BTreeMap;

use allocation_counter::{AllocationInfo, measure};
use fallaway::{HistoryFilter, Instrument, Occasion, Role, Workshop, WorkshopOptions};
use fallaway_simulation::realistic::Dice;
use fallaway_simulation::world::{HandClock, Seeded};
use fallaway_simulation::{record_folder, work};

const START: i64 = 1_790_000_000;

/// What calls ask for, by their names.
type Asked = BTreeMap<&'static str, AllocationInfo>;

fn open(folder: &std::path::Path, label: &str, clock: &HandClock, seed: u64) -> Workshop {
    Workshop::open(WorkshopOptions {
        clock: Box::new(clock.clone()),
        random: Box::new(Seeded::new(seed)),
        ..WorkshopOptions::new(folder, label)
    })
    .unwrap()
}

/// Asks of calls for records of two sizes, one four times the other: each is four times as much at most,
/// and half of that again for what is rounded up.
fn grows_with(asked: impl Fn(usize) -> Asked, sizes: [usize; 2]) {
    let [few, many] = sizes.map(asked);
    let times = (sizes[1] / sizes[0]) as u64;
    for (call, many) in many {
        let few = few.get(call).unwrap();
        for (what, few, many, room) in [
            ("bytes", few.bytes_total, many.bytes_total, 256 * 1024),
            ("allocations", few.count_total, many.count_total, 512),
        ] {
            let most = few * times * 3 / 2 + room;
            println!("{call}: {few} {what}, then {many}");
            assert!(many <= most, "{call}: {few} {what}, then {many} of {times} times as much");
        }
    }
}

/// A record of so many visits of eight passes over five strings.
fn by_visits(visits: usize) -> Asked {
    let folders = tempfile::tempdir().unwrap();
    let clock = HandClock::at(START);
    let folder = folders.path().join("tech");
    let tech = open(&folder, "tech", &clock, 1);
    let bass = tech.add_instrument("bass-5", "stage bass").unwrap();
    bass.set_target(&"stage".parse().unwrap(), &work::target(None, 25, START), None).unwrap();
    let mut dice = Dice::new(5);
    for _ in 0..visits {
        clock.wind(86_400);
        record_folder::visit(&bass, &clock, &mut dice).unwrap();
    }
    let player = open(&folders.path().join("player"), "player", &clock, 2);
    let invitation = bass.invite(Role::Contributor, 9).unwrap();
    let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();
    let everything = bass.bundle_out().unwrap().file;
    let mut asked = Asked::new();
    let mut count = |call, work: &mut dyn FnMut()| {
        asked.insert(call, measure(work));
    };
    count("a newcomer takes everything in", &mut || drop(player.bundle_in(&everything).unwrap()));
    tech.bundle_in(&work::news(&theirs)).unwrap();
    record_folder::visit(&theirs, &clock, &mut dice).unwrap();
    let one = work::news(&theirs);
    count("take one visit in", &mut || drop(tech.bundle_in(&one).unwrap()));
    // From now on the whole graph is judged at every merge.
    bass.remove_member(&player.device().unwrap().fingerprint, false, None).unwrap();
    record_folder::visit(&theirs, &clock, &mut dice).unwrap();
    let late = work::news(&theirs);
    count("take in what is late", &mut || drop(tech.bundle_in(&late).unwrap()));
    count("everything goes out", &mut || drop(bass.bundle_out().unwrap()));
    tech.pause().unwrap();
    count("open it and write", &mut || {
        let target = record_folder::another_target(1, START);
        bass.set_target(&"stage".parse().unwrap(), &target, None).unwrap();
    });
    let page = HistoryFilter { last: Some(50), ..HistoryFilter::default() };
    let all = HistoryFilter::default();
    count("history", &mut || drop(bass.history(&all).unwrap()));
    count("a page of history", &mut || drop(bass.history(&page).unwrap()));
    count("card", &mut || drop(bass.card(None).unwrap()));
    count("details", &mut || drop(bass.details().unwrap()));
    count("plan", &mut || drop(bass.plan(None).unwrap()));
    count("learned", &mut || drop(bass.learned().unwrap()));
    count("what is held", &mut || drop(bass.held().unwrap()));
    asked
}

#[test]
fn calls_grow_no_faster_than_the_visits() {
    grows_with(by_visits, [40, 160]);
}

/// So many passes of action and relief on one occasion.
fn by_passes(passes: usize) -> Asked {
    let folders = tempfile::tempdir().unwrap();
    let clock = HandClock::at(START);
    let tech = open(&folders.path().join("tech"), "tech", &clock, 1);
    let bass = tech.add_instrument("bass-5", "stage bass").unwrap();
    let mut before = None;
    for sixty_fourths in ["5 5 5 6 6", "6 6 6 7 7"] {
        clock.wind(30 * 86_400);
        bass.begin_visit(None, None).unwrap();
        for _ in 0..passes {
            clock.wind(60);
            bass.add_pass(work::action_pass(sixty_fourths), None).unwrap();
            bass.add_pass(work::relief_pass(12), None).unwrap();
        }
        bass.end_visit(None, None).unwrap();
        before = before.or_else(|| visit_of(&bass));
    }
    let from = Occasion::AsLeft(before.unwrap());
    let mut asked = Asked::new();
    asked.insert(
        "what changed",
        measure(|| drop(bass.what_changed(&from, &Occasion::Today).unwrap())),
    );
    asked.insert("plan of one occasion", measure(|| drop(bass.plan(None).unwrap())));
    asked.insert("learned", measure(|| drop(bass.learned().unwrap())));
    asked
}

fn visit_of(bass: &Instrument) -> Option<fallaway::record::EntryId> {
    let history = bass.history(&HistoryFilter::default()).unwrap();
    history.iter().find_map(|one| one.entry.visit)
}

#[test]
fn a_comparison_grows_no_faster_than_the_readings_of_one_occasion() {
    grows_with(by_passes, [20, 80]);
}

/// One bundle of so many changes, each of one value in the same place.
fn by_changes(changes: usize) -> Asked {
    let folders = tempfile::tempdir().unwrap();
    let clock = HandClock::at(START);
    let tech = open(&folders.path().join("tech"), "tech", &clock, 1);
    let player = open(&folders.path().join("player"), "player", &clock, 2);
    let bass = tech.add_instrument("bass-5", "stage bass").unwrap();
    let invitation = bass.invite(Role::Contributor, 9).unwrap();
    player.accept(&invitation.words, &bass.bundle_out().unwrap().file).unwrap();
    for number in 0..changes {
        clock.wind(60);
        let target = record_folder::another_target(i64::try_from(number).unwrap(), START);
        bass.set_target(&"stage".parse().unwrap(), &target, None).unwrap();
        tech.pause().unwrap();
    }
    let news = work::news(&bass);
    let mut asked = Asked::new();
    asked.insert("take the bundle in", measure(|| drop(player.bundle_in(&news).unwrap())));
    let theirs = player.instrument_named("stage bass").unwrap();
    asked.insert("card after it", measure(|| drop(theirs.card(None).unwrap())));
    asked
}

#[test]
fn a_bundle_costs_no_more_than_its_changes() {
    grows_with(by_changes, [60, 240]);
}

/// So many operations on who is in.
fn by_operations(count: usize) -> Asked {
    let folders = tempfile::tempdir().unwrap();
    let clock = HandClock::at(START);
    let tech = open(&folders.path().join("tech"), "tech", &clock, 1);
    let bass = tech.add_instrument("bass-5", "stage bass").unwrap();
    for _ in 0..count {
        drop(bass.invite(Role::Viewer, 9).unwrap());
    }
    let mut asked = Asked::new();
    asked.insert(
        "seal a line",
        measure(|| {
            bass.add_remark(work::remark("a line"), None).unwrap();
            drop(bass.bundle_unsent().unwrap());
        }),
    );
    asked.insert("invite once more", measure(|| drop(bass.invite(Role::Viewer, 9).unwrap())));
    tech.pause().unwrap();
    asked.insert("who is in", measure(|| drop(bass.details().unwrap())));
    asked
}

#[test]
fn who_is_in_costs_no_more_than_the_operations_on_it() {
    grows_with(by_operations, [50, 200]);
}
