//! What calls cost as a record grows: no call may grow faster than the record does.
//!
//! `cargo bench -p fallaway-bench --bench growth`. One line for each size, visits of eight passes over
//! five strings, the store on disk.

#![forbid(unsafe_code)]
#![allow(
    clippy::unwrap_used,
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

use fallaway::{HistoryFilter, Role, Workshop, WorkshopOptions};
use realistic::Dice;
use world::{HandClock, Seeded};

const START: i64 = 1_900_000_000;

fn main() {
    let sizes = [100, 1_000, 3_000, 10_000];
    for visits in sizes {
        let folder = tempfile::tempdir().unwrap();
        grown(folder.path(), visits);
    }
}

/// The least of some runs, in milliseconds of processor time.
fn timed<T>(runs: usize, mut work: impl FnMut() -> T) -> f64 {
    let taken = (0..runs).map(|_| stopwatch::timed(&mut work).0.processor.as_secs_f64() * 1e3);
    taken.fold(f64::INFINITY, f64::min)
}

fn grown(folder: &Path, visits: usize) {
    let write_all = timed(1, || record_folder::write(folder, visits, 42).unwrap());
    let clock = HandClock::at(START);
    let options =
        WorkshopOptions { clock: Box::new(clock.clone()), ..WorkshopOptions::new(folder, "tech") };
    let tech = Workshop::open(options).unwrap();
    let bass = tech.instrument_named("stage").unwrap();

    let mut number = 0;
    let first_edit = timed(7, || {
        tech.trim().unwrap();
        number += 1;
        bass.set_target(
            &"stage".parse().unwrap(),
            &record_folder::another_target(number, START),
            None,
        )
        .unwrap();
    });
    let mut dice = Dice::new(5);
    let visit = timed(7, || {
        clock.wind(86_400);
        record_folder::visit(&bass, &clock, &mut dice).unwrap();
    });
    let history = timed(3, || bass.history(&HistoryFilter::default()).unwrap());
    let page = HistoryFilter { last: Some(50), ..HistoryFilter::default() };
    let page = timed(7, || bass.history(&page).unwrap());
    let card = timed(7, || bass.card(None).unwrap());
    let view = timed(7, || bass.details().unwrap());
    let plan = timed(3, || bass.plan(None).unwrap());
    let learned = timed(3, || bass.learned().unwrap());

    let random = Box::new(Seeded::new(3));
    let player = Workshop::in_memory("player", Box::new(clock.clone()), random).unwrap();
    let invitation = bass.invite(Role::Contributor, 9).unwrap();
    let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();
    let everything = bass.bundle_out().unwrap().file;
    let bundle_out = timed(3, || bass.bundle_out().unwrap().file);
    let bundle_in = timed(1, || player.bundle_in(&everything).unwrap());
    tech.bundle_in(&work::news(&theirs)).unwrap();
    let mut files = Vec::new();
    for _ in 0..7 {
        clock.wind(86_400);
        record_folder::visit(&theirs, &clock, &mut dice).unwrap();
        files.push(work::news(&theirs));
    }
    let mut next = files.iter();
    let one_in = timed(7, || next.next().map(|file| tech.bundle_in(file).unwrap()));

    println!(
        "{visits} visits, written in {write_all:.0} ms: first edit {first_edit:.2} ms, one more visit \
         {visit:.2} ms, history {history:.2} ms, page of 50 {page:.2} ms, card {card:.3} ms, view \
         {view:.3} ms, plan {plan:.2} ms, learned {learned:.2} ms, bundle out {bundle_out:.1} ms, in {bundle_in:.1} ms, one \
         visit in {one_in:.2} ms"
    );
}
