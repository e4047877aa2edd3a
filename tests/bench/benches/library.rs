//! What the whole library costs, as an app sees it: stores on disk, durable calls, sealed bundles.
//!
//! `cargo bench -p fallaway-bench --bench library`. Each line gives the least, the median and the 99th
//! percentile of so many runs: beside other work on the machine the least tells most. `-- --apart` runs
//! the last one alone. `docs/benchmarks.md` holds the numbers against their budgets.

#![forbid(unsafe_code)]
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    dead_code,
    reason = "a benchmark that cannot run has nothing to say; the modules serve simulations too"
)]

#[path = "../../simulation/src/realistic.rs"]
mod realistic;
#[path = "../../simulation/src/record_folder.rs"]
mod record_folder;
#[path = "common/stopwatch.rs"]
mod stopwatch;
#[path = "../../simulation/src/work.rs"]
mod work;
#[path = "../../simulation/src/world.rs"]
mod world;

use std::path::Path;
use std::process::Command;
use std::time::Duration;

use fallaway::{Instrument, Role, Workshop, WorkshopOptions, WriteOptions};
use fallaway_sharing::{Invitation, Payload, Welcome, bundle_file, open};
use realistic::Dice;
use stopwatch::{Taken, timed};
use world::{HandClock, Seeded};

const INSTRUMENTS: usize = 500;
const VISITS: usize = 1_000;
const START: i64 = 1_700_000_000;

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    if let Some(place) = arguments.iter().position(|one| one == "--cold-card") {
        cold_card(Path::new(&arguments[place + 1]));
        return;
    }
    if let Some(place) = arguments.iter().position(|one| one == "--peak") {
        peak(Path::new(&arguments[place + 1]));
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    if arguments.iter().any(|one| one == "--apart") {
        return apart(folder.path());
    }
    cards(&folder.path().join("many"));
    memory(&folder.path().join("many"));
    realistic_record(&folder.path().join("large"));
    apart(folder.path());
}

fn report(what: &str, runs: &[Taken]) {
    let told = |name: &str, of: fn(&Taken) -> Duration| {
        let mut runs: Vec<Duration> = runs.iter().map(of).collect();
        runs.sort();
        let (least, median) = (runs[0], runs[runs.len() / 2]);
        let late = runs[(runs.len() * 99 / 100).min(runs.len() - 1)];
        format!("{name} least {least:.3?}, median {median:.3?}, p99 {late:.3?}")
    };
    let (processor, clock) = (told("processor", |t| t.processor), told("clock", |t| t.clock));
    println!("{what}, {} times: {processor}; {clock}", runs.len());
}

fn workshop(folder: &Path, label: &str, clock: &HandClock) -> Workshop {
    Workshop::open(WorkshopOptions {
        clock: Box::new(clock.clone()),
        ..WorkshopOptions::new(folder, label)
    })
    .unwrap()
}

/// The numbers card of one of 500 instruments, in a process of its own.
fn cards(folder: &Path) {
    let clock = HandClock::at(START);
    let many = workshop(folder, "tech", &clock);
    for number in 0..INSTRUMENTS {
        let bass = many.add_instrument("bass-4", &format!("bass {number}")).unwrap();
        bass.set_target(&"stage".parse().unwrap(), &work::target(None, 25, START), None).unwrap();
        bass.add_pass(work::relief_pass(10), WriteOptions::sure()).unwrap();
        bass.add_pass(work::action_pass("5 5 6 6"), WriteOptions::sure()).unwrap();
    }
    many.shut_down().unwrap();
    let runs: Vec<Taken> = (0..120).map(|_| child_time(folder)).collect();
    report("numbers card, cold process, 500 instruments", &runs);
}

/// What a process of its own, which does one thing in this folder, prints.
fn child(what: &str, folder: &Path) -> Vec<u64> {
    let program = std::env::current_exe().unwrap();
    let output = Command::new(program).arg(what).arg(folder).output().unwrap();
    let printed = String::from_utf8(output.stdout).unwrap();
    printed.split_whitespace().map(|number| number.parse().unwrap()).collect()
}

fn child_time(folder: &Path) -> Taken {
    let numbers = child("--cold-card", folder);
    let time = |place: usize| Duration::from_nanos(numbers[place]);
    Taken { clock: time(0), processor: time(1) }
}

/// The peak memory of a process that lists 500 instruments and writes one more, which has the
/// realistic record.
fn memory(folder: &Path) {
    if cfg!(target_os = "linux") {
        record_folder::write(folder, VISITS, 42).unwrap();
        println!("peak memory, 500 instruments and the record: {} kB", child("--peak", folder)[0]);
    }
}

/// The child's part.
fn peak(folder: &Path) {
    let many = Workshop::open(WorkshopOptions::new(folder, "tech")).unwrap();
    assert_eq!(many.instruments().unwrap().len(), INSTRUMENTS + 1);
    let bass = many.instrument_named("stage").unwrap();
    bass.add_pass(work::relief_pass(10), WriteOptions::sure()).unwrap();
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find(|line| line.starts_with("VmHWM")).unwrap();
    println!("{}", line.split_whitespace().nth(1).unwrap());
}

/// The child's part: from the start of `main` to a card in hand.
fn cold_card(folder: &Path) {
    // Closing the store comes after.
    let (taken, (_open, card)) = timed(|| {
        let many = Workshop::open(WorkshopOptions::new(folder, "tech")).unwrap();
        let card = many.instrument_named("bass 321").unwrap().card(None).unwrap();
        (many, card)
    });
    assert!(card.lines.len() > 1);
    println!("{} {}", taken.clock.as_nanos(), taken.processor.as_nanos());
}

fn realistic_record(folder: &Path) {
    let (taken, sizes) = timed(|| record_folder::write(folder, VISITS, 42).unwrap());
    println!("realistic record: {sizes:?}, written in {:.1?}", taken.clock);
    let clock = HandClock::at(START);
    let tech = workshop(folder, "tech", &clock);
    let bass = tech.instrument_named("stage").unwrap();

    let mut first = Vec::new();
    for number in 0..21 {
        tech.pause().unwrap();
        drop(bass.name().unwrap());
        let target = record_folder::another_target(number, START);
        first.push(timed(|| bass.set_target(&"stage".parse().unwrap(), &target, None).unwrap()).0);
    }
    report("realistic record: first edit, loading and durable commit included", &first);

    let edits = (0..1_000_i64).map(|number| {
        // A visit has ten lines.
        if number % 10 == 9 {
            bass.end_visit(None, None).unwrap();
        }
        clock.wind(30);
        timed(|| bass.add_pass(work::relief_pass(8 + number % 5), WriteOptions::sure()).unwrap()).0
    });
    report("durable edit in the realistic record", &edits.collect::<Vec<_>>());
    drop(bass.end_visit(None, None));

    // Another device writes visits and sends them.
    let player =
        Workshop::in_memory("player", Box::new(clock.clone()), Box::new(Seeded::new(3))).unwrap();
    let invitation = bass.invite(Role::Contributor, 9).unwrap();
    let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();
    let everything = bass.bundle_out().unwrap().file;
    println!("the whole record as a bundle file: {} bytes", everything.len());
    let taken = timed(|| player.bundle_in(&everything).unwrap()).0;
    report("a newcomer takes it in", &[taken]);
    tech.bundle_in(&work::news(&theirs)).unwrap();
    let mut dice = Dice::new(5);
    for (visits, rounds) in [(1, 40), (40, 15)] {
        let mut runs = Vec::new();
        for number in 0..rounds {
            for _ in 0..visits {
                clock.wind(86_400);
                record_folder::visit(&theirs, &clock, &mut dice).unwrap();
            }
            theirs
                .set_target(
                    &"stage".parse().unwrap(),
                    &record_folder::another_target(number, START),
                    None,
                )
                .unwrap();
            let file = work::news(&theirs);
            let (taken, report) = timed(|| tech.bundle_in(&file).unwrap());
            assert!(report.refused.is_empty() && report.waiting == 0);
            runs.push(taken);
        }
        report(&format!("merge a round of {visits} into the realistic record"), &runs);
    }
    let secret = Invitation::parse(&invitation.words).unwrap().secret;
    let sealed = bundle_file::read(&invitation.welcome).unwrap();
    let welcome = Welcome::find(&secret, sealed).unwrap();
    wire(&theirs, &welcome, &clock, &mut dice);
}

/// One visit of eight passes, sealed.
fn wire(theirs: &Instrument, welcome: &Welcome, clock: &HandClock, dice: &mut Dice) {
    record_folder::visit(theirs, clock, dice).unwrap();
    let file = work::news(theirs);
    for bytes in bundle_file::read(&file).unwrap() {
        let payload = open(&welcome.record, std::slice::from_ref(&welcome.key), bytes);
        if let Ok((_, Payload::Changes(bundle))) = payload {
            let plain = bundle.encode().len();
            println!("one visit on the wire: {} bytes sealed, {plain} bytes plain", bytes.len());
        }
    }
    println!("one visit as a bundle file: {} bytes", file.len());
}

/// Two devices write a hundred visits each, apart.
fn apart(folder: &Path) {
    let mut runs = Vec::new();
    for number in 0..9 {
        let clock = HandClock::at(START);
        let tech = workshop(&folder.join(format!("apart {number}")), "tech", &clock);
        let bass = tech.add_instrument("bass-5", "stage bass").unwrap();
        let random = Box::new(Seeded::new(number));
        let player = Workshop::in_memory("player", Box::new(clock.clone()), random).unwrap();
        let invitation = bass.invite(Role::Contributor, 9).unwrap();
        let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();
        player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
        for (instrument, seed) in [(&bass, 1), (&theirs, 2)] {
            let mut dice = Dice::new(seed);
            for _ in 0..100 {
                clock.wind(86_400);
                record_folder::visit(instrument, &clock, &mut dice).unwrap();
            }
        }
        let file = work::news(&theirs);
        runs.push(timed(|| tech.bundle_in(&file).unwrap()).0);
    }
    report("merge 100 x 100 offline visits", &runs);
}
