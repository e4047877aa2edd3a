//! What these tests rule out: that a relay says it has a bundle and then has it not, or twice, or leaves
//! a number out, when its process is killed or the power is cut.
//!
//! A child process works through a scripted day, in groups that one commit may keep, and acknowledges
//! each step when the engine has said that it is kept. It is ended at each of its writes in turn. Then the
//! folder must hold what an engine in memory holds after as many steps, or after some more of the group
//! that was under way; and the day can be finished from there.

#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "a test")]

mod common;

use std::path::Path;
use std::sync::mpsc;

use common::{DAY, NOON, admin, body, bundle, log, push, read_all, token};
use fallaway_crash::{How, Shim, acknowledge, child};
use fallaway_relay::{Engine, EngineError, Held, MemoryShelves, Quotas, ShelvesError};
use fallaway_sync::wire::chain::Position;

/// Tells the child where to work.
const FOLDER: &str = "FALLAWAY_RELAY_CRASH_FOLDER";

#[derive(Clone, Copy)]
enum Step {
    Open(u8),
    /// Bundles for a log.
    Push(u8, &'static [u8]),
    Access(u8),
    Knock(u8),
    Parcel(u8),
    Delete(u8),
    Sweep,
}

/// What is begun together.
const SCRIPT: [&[Step]; 10] = [
    &[Step::Open(1)],
    &[Step::Push(1, &[1])],
    &[Step::Open(2), Step::Push(2, &[1, 2, 3]), Step::Push(1, &[1, 4])],
    &[Step::Push(1, &[5]), Step::Push(2, &[4]), Step::Push(1, &[5, 6]), Step::Push(2, &[5, 8])],
    &[Step::Knock(7), Step::Parcel(2)],
    &[Step::Access(1)],
    &[Step::Push(1, &[20, 21, 22, 23, 24, 25, 26, 27, 28, 29])],
    &[Step::Delete(2)],
    &[Step::Sweep],
    &[Step::Push(1, &[30]), Step::Parcel(3), Step::Push(1, &[30, 31])],
];

fn steps() -> Vec<Step> {
    SCRIPT.concat()
}

/// Does a step, and says so when it is kept.
fn step(engine: &Engine, step: Step) -> Result<(), EngineError> {
    match step {
        Step::Open(l) => engine.open_log(log(l), body(1), NOON).map(drop),
        Step::Push(l, bundles) => {
            let (tell, told) = mpsc::sync_channel(1);
            engine.push(
                pushed(engine, l, bundles),
                NOON,
                Box::new(move |it| tell.send(it).unwrap()),
            );
            told.recv().unwrap().map(drop)
        }
        Step::Access(l) => {
            engine.change_access(log(l), admin(1), Position::start(&log(l)), body(2)).map(drop)
        }
        Step::Knock(b) => engine.knock(log(1), token(1), bundle(b).0, bundle(b).1, NOON).map(drop),
        Step::Parcel(b) => engine.leave_parcel([1; 16], token(1), bundle(b).1, 9, NOON).map(drop),
        Step::Delete(l) => engine.delete_log(log(l), admin(1), NOON),
        Step::Sweep => engine.sweep(NOON + DAY).map(drop),
    }
}

/// With the token that writes at that time of the day.
fn pushed(engine: &Engine, l: u8, bundles: &[u8]) -> fallaway_relay::Push {
    let start = Position::start(&log(l));
    let retired = engine.items(log(l), token(1), start, 0).is_ok_and(|page| page.retired.is_some());
    push(l, 1 + u8::from(retired), start, bundles)
}

/// Begins all steps of a group before it waits for the first.
fn group(engine: &Engine, steps: &[Step]) -> Vec<Result<(), EngineError>> {
    let mut told = Vec::new();
    for one in steps {
        let (tell, answer) = mpsc::sync_channel(1);
        match one {
            Step::Push(l, bundles) => {
                let done = Box::new(move |it: Result<_, _>| tell.send(it.map(drop)).unwrap());
                engine.push(pushed(engine, *l, bundles), NOON, done);
            }
            other => tell.send(step(engine, *other)).unwrap(),
        }
        told.push(answer);
    }
    told.into_iter().map(|answer| answer.recv().unwrap()).collect()
}

/// Everything that can be asked.
#[derive(Debug, PartialEq)]
struct Dump {
    logs: Vec<Option<Vec<Vec<u8>>>>,
    knocks: Vec<Result<Vec<Vec<u8>>, EngineError>>,
    parcel: Result<Vec<u8>, EngineError>,
    held: Held,
}

fn dump(engine: &Engine) -> Dump {
    let each = || [(1, 1), (1, 2), (2, 1), (2, 2)].into_iter();
    Dump {
        logs: each().map(|(l, t)| read_all(engine, l, t)).collect(),
        knocks: each().map(|(l, t)| engine.knocks(log(l), token(t), NOON)).collect(),
        parcel: engine.parcel([1; 16], NOON),
        held: engine.held().unwrap(),
    }
}

/// The child's part; does nothing unless a parent asks for it.
#[test]
fn day() {
    let Some(folder) = std::env::var_os(FOLDER) else { return };
    let Ok(engine) = Engine::in_folder(Path::new(&folder), Quotas::default()) else { return };
    for steps in SCRIPT {
        for answer in group(&engine, steps) {
            match answer {
                Ok(()) => acknowledge("step"),
                // A full disk may also show as an error of reading or writing.
                Err(EngineError::Shelves(ShelvesError::Full | ShelvesError::Engine(_))) => {
                    acknowledge("full");
                    return;
                }
                Err(error) => panic!("{error}"),
            }
        }
    }
}

fn end_at_each_write(how: How) {
    let tools = tempfile::tempdir().unwrap();
    let shim = Shim::build(tools.path()).unwrap();
    let steps = steps();
    let after: Vec<Dump> = (0..=steps.len())
        .map(|count| {
            let engine = Engine::in_memory(MemoryShelves::default(), Quotas::default());
            steps[..count].iter().for_each(|one| step(&engine, *one).unwrap());
            dump(&engine)
        })
        .collect();
    // How many steps may be there when so many were acknowledged: up to the end of the next group.
    let ends: Vec<usize> = SCRIPT
        .iter()
        .scan(0, |end, group| {
            *end += group.len();
            Some(*end)
        })
        .collect();
    let mut writes = 0;
    for at in 1.. {
        let folder = tempfile::tempdir().unwrap();
        let program = child("day", FOLDER, folder.path()).unwrap();
        let run = shim.run(program, folder.path(), at, how).unwrap();
        let full = run.acknowledged.last().is_some_and(|last| last == "full");
        let done = run.acknowledged.len() - usize::from(full);
        let most = ends.iter().copied().find(|end| *end > done).unwrap_or(steps.len());
        let engine = Engine::in_folder(folder.path(), Quotas::default()).unwrap();
        let found = dump(&engine);
        let reached = (done..=most).rev().find(|count| after[*count] == found);
        let reached = reached.unwrap_or_else(|| {
            panic!(
                "write {at}, {how:?}: {done} were acknowledged, found {found:#?}\n{:?}",
                run.output
            )
        });
        if at % 5 == 0 {
            steps[reached..].iter().for_each(|one| step(&engine, *one).unwrap());
            assert_eq!(dump(&engine), after[steps.len()], "write {at}, {how:?}");
        }
        if !run.ended && !full && done == steps.len() {
            break;
        }
        writes = at;
    }
    assert!(writes > 2 * SCRIPT.len() as u64, "{writes}");
}

#[test]
fn killed_before_each_write_nothing_acknowledged_is_lost() {
    end_at_each_write(How::Before);
}

#[test]
fn killed_in_the_middle_of_each_write_nothing_acknowledged_is_lost() {
    end_at_each_write(How::Torn);
}

#[test]
fn power_cut_before_each_write_nothing_acknowledged_is_lost() {
    end_at_each_write(How::Lost);
}

#[test]
fn with_the_disk_full_from_each_write_on_nothing_acknowledged_is_lost() {
    end_at_each_write(How::Full);
}
