//! What a device has that only reads: it says so over the relay, once an hour at most, and nobody answers
//! that. What a relay has shown one device and not another comes to light when they meet. What came by hand
//! is not taken for something that the relay has.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

use fallaway::record::EntryBody;
use fallaway::sync::{HttpRequest, HttpResponse, HttpTransport, NoAnswer, SyncOutcome, SyncReport};
use fallaway::{Error, HistoryFilter, Instrument, Role, Workshop};
use fallaway_relay::{Desk, Engine, MemoryShelves, Policy, Quotas};
use fallaway_sharing::bundle_file;
use fallaway_simulation::world::{HandClock, Seeded};
use fallaway_simulation::{met, work};

const NOW: i64 = 1_780_000_000;
const HOUR: i64 = 3600;
const URL: &str = "https://relay.example";

/// A relay, and how many requests and bytes of bundles it was sent.
struct Line {
    desk: Mutex<Desk>,
    shelves: MemoryShelves,
    requests: AtomicUsize,
    pushed: AtomicUsize,
}

fn desk(shelves: MemoryShelves) -> Desk {
    Desk::new(Arc::new(Engine::in_memory(shelves, Quotas::default())), Policy::default())
}

impl Line {
    fn new() -> Self {
        let shelves = MemoryShelves::default();
        let desk = Mutex::new(desk(shelves.clone()));
        let (requests, pushed) = (AtomicUsize::new(0), AtomicUsize::new(0));
        Self { desk, shelves, requests, pushed }
    }

    /// How many requests, and bytes pushed, since this was asked last.
    fn since(&self) -> (usize, usize) {
        (self.requests.swap(0, Ordering::Relaxed), self.pushed.swap(0, Ordering::Relaxed))
    }
}

impl HttpTransport for Line {
    fn send(&self, request: &HttpRequest) -> Result<HttpResponse, NoAnswer> {
        self.requests.fetch_add(1, Ordering::Relaxed);
        let bundles = bundle_file::read(&request.body).unwrap_or_default();
        let bytes: usize = bundles.iter().map(|sealed| sealed.len()).sum();
        self.pushed.fetch_add(bytes, Ordering::Relaxed);
        Ok(self.desk.lock().unwrap().answer(request, NOW))
    }

    fn wait(&self, _: u64) {}
}

struct Device {
    workshop: Workshop,
    clock: HandClock,
}

impl Device {
    fn new(label: &str, seed: u64) -> Self {
        let clock = HandClock::at(NOW);
        let random = Box::new(Seeded::new(seed));
        let workshop = Workshop::in_memory(label, Box::new(clock.clone()), random).unwrap();
        Self { workshop, clock }
    }

    fn bass(&self) -> Instrument {
        self.workshop.instrument_named("stage").unwrap()
    }

    fn sync(&self, line: &Line) -> SyncReport {
        let report = self.bass().sync(line).unwrap();
        assert_eq!(report.outcome, SyncOutcome::UpToDate);
        report
    }

    fn write(&self, text: &str) {
        self.bass().add_remark(work::remark(text), None).unwrap();
    }

    /// How many changes another device is not known to have.
    fn lacks(&self, other: &Self) -> usize {
        let fingerprint = other.workshop.device().unwrap().fingerprint;
        let states = self.bass().device_states().unwrap();
        states.into_iter().find(|one| one.fingerprint == fingerprint).unwrap().not_known
    }
}

/// A tech and so many others with this role, everybody up to date and quiet for two hours.
fn people(line: &Line, role: Role, others: u64) -> Vec<Device> {
    let mut all = vec![Device::new("tech", 1)];
    let bass = all[0].workshop.add_instrument("bass-4", "stage bass").unwrap();
    bass.set_relay(Some(URL)).unwrap();
    for number in 0..others {
        let invited = bass.invite(role, 300).unwrap();
        let one = Device::new(&format!("reader {number}"), number + 2);
        one.workshop.accept(&invited.words, &invited.welcome).unwrap();
        all.push(one);
        for _ in 0..2 {
            sync_all(&all, line);
        }
    }
    quiet(&all, line);
    all
}

/// Lets so many seconds pass.
fn wind(all: &[Device], seconds: i64) {
    for one in all {
        one.clock.wind(seconds);
    }
}

fn sync_all(all: &[Device], line: &Line) {
    for one in all {
        one.sync(line);
    }
}

fn quiet(all: &[Device], line: &Line) {
    for _ in 0..2 {
        wind(all, 2 * HOUR);
        sync_all(all, line);
    }
    line.since();
}

#[test]
fn who_only_reads_says_what_it_has_and_nobody_answers_that() {
    let line = Line::new();
    let all = people(&line, Role::Viewer, 3);
    let (tech, readers) = all.split_first().unwrap();
    tech.sync(&line);
    let (idle, _) = line.since();
    tech.write("slot filed");
    assert_eq!(tech.sync(&line).sent, 1);
    assert_eq!(line.since(), (idle, 512), "whoever wrote says nothing more");
    assert!(readers.iter().all(|one| tech.lacks(one) == 1));
    for one in readers {
        assert_eq!(one.sync(&line).sent, 0, "it is no news for a person");
        assert_eq!(line.since(), (idle + 1, 256), "the smallest bundle that there is");
    }
    let report = tech.sync(&line);
    assert_eq!((report.received, report.merges.len()), (0, 0));
    assert!(readers.iter().all(|one| tech.lacks(one) == 0));
    // The readers know it of each other, too.
    for one in readers {
        one.sync(&line);
        assert!(readers.iter().all(|other| one.lacks(other) == 0));
    }
    line.since();
    for _ in 0..3 {
        wind(&all, 2 * HOUR);
        sync_all(&all, &line);
    }
    assert_eq!(line.since().1, 0, "no receipt brings another one");
}

#[test]
fn a_device_says_it_once_an_hour_however_much_comes() {
    let line = Line::new();
    let all = people(&line, Role::Viewer, 1);
    let [tech, reader] = &all[..] else { unreachable!() };
    let mut receipts = 0;
    for visit in 0..12 {
        tech.write(&format!("visit {visit}"));
        tech.sync(&line);
        line.since();
        reader.sync(&line);
        receipts += line.since().1 / 256;
        wind(&all, HOUR / 6);
    }
    assert_eq!(receipts, 2, "twelve in two hours");
    wind(&all, HOUR);
    reader.sync(&line);
    tech.sync(&line);
    assert_eq!(tech.lacks(reader), 0);
}

#[test]
fn what_a_relay_keeps_back_from_one_comes_to_light_when_two_meet() {
    let line = Line::new();
    let all = people(&line, Role::Contributor, 2);
    let [tech, player, owner] = &all[..] else { unreachable!() };
    // To the owner it shows yesterday's log for good.
    let yesterday = desk(line.shelves.copy());
    player.write("plays well");
    player.sync(&line);
    assert!(tech.sync(&line).doubts.is_empty());
    let today = std::mem::replace(&mut *line.desk.lock().unwrap(), yesterday);
    assert!(owner.sync(&line).doubts.is_empty(), "nobody can know it yet");
    for report in met::meet([&tech.workshop, &owner.workshop], None) {
        report.unwrap();
    }
    let report = owner.sync(&line);
    assert_eq!(report.doubts.len(), 1, "{report:?}");
    assert_eq!(report.doubts[0].device, "tech");
    assert!(owner.sync(&line).doubts.is_empty(), "once");
    *line.desk.lock().unwrap() = today;
    assert!(tech.sync(&line).doubts.is_empty());
}

#[test]
fn a_relay_with_two_faces_is_found_out_by_both() {
    let line = Line::new();
    let all = people(&line, Role::Contributor, 1);
    let [tech, other] = &all[..] else { unreachable!() };
    let faces = [desk(line.shelves.copy()), desk(line.shelves.copy())];
    let show = |face: usize| *line.desk.lock().unwrap() = faces[face].clone();
    for (face, one) in all.iter().enumerate() {
        show(face);
        one.write("what only this face has");
        one.sync(&line);
    }
    for report in met::meet([&tech.workshop, &other.workshop], None) {
        report.unwrap();
    }
    for (face, one) in all.iter().enumerate() {
        show(face);
        assert_eq!(one.sync(&line).doubts.len(), 1, "{face}");
    }
}

#[test]
fn a_relay_that_went_back_costs_one_notice_and_nothing_else() {
    let line = Line::new();
    let all = people(&line, Role::Contributor, 2);
    let yesterday = line.shelves.copy();
    all[0].write("slot filed");
    for one in &all {
        one.sync(&line);
    }
    for report in met::meet([&all[0].workshop, &all[1].workshop], None) {
        report.unwrap();
    }
    line.shelves.restore(&yesterday);
    for round in 0..3 {
        for one in &all {
            let report = one.sync(&line);
            assert!(report.doubts.is_empty(), "{report:?}");
            assert!(!report.rebuilt || round == 0, "{report:?}");
        }
    }
    wind(&all, 2 * HOUR);
    for one in all.iter().chain(&all) {
        one.sync(&line);
    }
    assert!(all.iter().all(|one| all.iter().all(|other| one.lacks(other) == 0)));
}

/// In a meeting a device says what it has, too. What it says over the relay after that is newer, also if its
/// clock was put back meanwhile, or a second has not passed.
#[test]
fn what_was_said_in_a_meeting_hides_nothing_that_is_said_later() {
    for back in [0, HOUR] {
        let line = Line::new();
        let all = people(&line, Role::Contributor, 1);
        let [tech, player] = &all[..] else { unreachable!() };
        player.write("on stage");
        for report in met::meet([&tech.workshop, &player.workshop], None) {
            report.unwrap();
        }
        player.clock.wind(-back);
        tech.write("at the bench");
        for one in [tech, player, player, tech] {
            one.sync(&line);
        }
        assert_eq!(tech.lacks(player), 0, "{back} s");
    }
}

#[test]
fn what_came_by_hand_and_is_read_with_a_key_from_the_relay_goes_on_to_the_relay() {
    let line = Line::new();
    let mut all = people(&line, Role::Contributor, 2);
    // One is removed, and the key changes. The other one does not know, and what it writes stays with it.
    let removed = all.pop().unwrap().workshop.device().unwrap().fingerprint;
    all[0].bass().remove_member(&removed, false, None).unwrap();
    all[0].sync(&line);
    all[1].write("frets dressed");
    // Somebody comes in under the new key, and cannot read a file of it yet.
    let invited = all[0].bass().invite(Role::Contributor, 300).unwrap();
    let newcomer = Device::new("newcomer", 9);
    newcomer.workshop.accept(&invited.words, &invited.welcome).unwrap();
    let file = all[1].bass().bundle_out().unwrap().file;
    assert!(matches!(newcomer.workshop.bundle_in(&file), Err(Error::Refused { .. })));
    // The relay brings it the older key, and with that the file: everything of it that the relay lacks goes there.
    newcomer.sync(&line);
    all[0].sync(&line);
    let history = all[0].bass().history(&HistoryFilter::default()).unwrap();
    let lines = history.iter().filter(|one| match &one.entry.body {
        EntryBody::Remark(remark) => remark.text == "frets dressed",
        _ => false,
    });
    assert_eq!(lines.count(), 1);
}
