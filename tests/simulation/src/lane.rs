//! Lanes of hostile inputs: children with bounded memory try them, so many each, and the last number
//! that a child has told is the one that broke it.

use std::collections::BTreeMap;
use std::ops::Range;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Mutex;

use crate::fuzz::{Samples, TARGETS};
use crate::{by_relay, hostile_member, hostile_program, people, schedule};

/// Changes that a member signs and seals, one rule broken in each.
pub const MEMBER: &str = "hostile-member";
/// Whole programs of such a member.
pub const PROGRAMS: &str = "hostile-programs";
/// Schedules of honest people: files in any order.
pub const SCHEDULES: &str = "schedules";
/// Schedules of people who come and go, with every fault.
pub const PEOPLE: &str = "people";
/// Schedules of devices that meet only at a relay.
pub const BY_RELAY: &str = "by-relay";
/// Every input that once broke a parser.
pub const CRASHERS: &str = "crashers";

/// Memory of a child, in bytes of address space.
const MEMORY: u64 = 2 << 30;

/// Counts by what is counted.
pub type Counts = BTreeMap<String, u64>;

fn folder(of: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join(of)
}

/// Tries the inputs of these numbers in this process.
///
/// # Panics
/// If one of them breaks something, after its number was printed.
pub fn try_all(lane: &str, numbers: Range<u64>) -> Counts {
    let mut counts = Counts::from([("inputs".to_owned(), numbers.end - numbers.start)]);
    match lane {
        MEMBER => {
            let depths = hostile_member::run(numbers.start, numbers.end - numbers.start);
            counts.insert("verified".to_owned(), depths.verified);
            counts.insert("admitted".to_owned(), depths.admitted);
        }
        PROGRAMS => {
            let ran = hostile_program::run(numbers);
            counts.insert("verified".to_owned(), ran.payloads);
            counts.insert("demoted".to_owned(), ran.demoted);
            counts.insert("removed".to_owned(), ran.removed);
            counts.extend(ran.programs.into_iter().map(|(name, times)| (name.to_owned(), times)));
        }
        SCHEDULES => {
            for seed in numbers {
                println!("schedule {seed}");
                let tally = schedule::run(seed);
                for (what, count) in [
                    ("delivered", tally.delivered),
                    ("waited", tally.waited),
                    ("contested", tally.contested),
                    ("settled", tally.settled),
                    ("left contested", tally.left),
                ] {
                    *counts.entry(what.to_owned()).or_default() += count as u64;
                }
            }
        }
        PEOPLE => {
            for seed in numbers {
                println!("schedule {seed}");
                for (fault, times) in people::run_anywhere(seed) {
                    *counts.entry(fault.to_owned()).or_default() += times;
                }
            }
        }
        BY_RELAY => {
            for seed in numbers {
                println!("schedule {seed}");
                for (fault, times) in by_relay::run(seed).counts() {
                    *counts.entry(fault.to_owned()).or_default() += times as u64;
                }
            }
        }
        CRASHERS => {
            let all = Samples::read(&folder("compat/v1"));
            for target in &TARGETS {
                let crashers = folder("fuzz/crashers").join(target.name);
                let Ok(files) = std::fs::read_dir(crashers) else { continue };
                for file in files {
                    let file = file.unwrap().path();
                    println!("{}", file.display());
                    target.check(&all, &std::fs::read(&file).unwrap());
                }
            }
        }
        parser => {
            let all = Samples::read(&folder("compat/v1"));
            let target = TARGETS.iter().find(|target| target.name == parser);
            let target = target.unwrap_or_else(|| panic!("there is no lane {parser:?}"));
            for number in numbers {
                let bytes = target.input(&all, number);
                println!("input {number}");
                if catch_unwind(AssertUnwindSafe(|| target.check(&all, &bytes))).is_err() {
                    println!("bytes {bytes:02x?}");
                    panic!("{parser}: input {number} made it panic");
                }
            }
        }
    }
    counts
}

/// The child's part: tries the inputs, and tells what it counted.
pub fn child(lane: &str, numbers: Range<u64>) {
    for (what, count) in try_all(lane, numbers) {
        println!("count {count} {what}");
    }
}

/// Lets children try the inputs of these numbers, `each` of them at most, so many children at a time;
/// `program` is the command of this package.
///
/// # Errors
/// What the child that broke has told last.
pub fn run(
    program: &Path,
    lane: &str,
    numbers: Range<u64>,
    (each, jobs): (u64, usize),
) -> Result<Counts, String> {
    let parts = numbers.clone().step_by(each as usize);
    let parts = Mutex::new(parts.map(|from| from..numbers.end.min(from + each)));
    let counts = Mutex::new(Ok(Counts::new()));
    let next = || parts.lock().unwrap().next().filter(|_| counts.lock().unwrap().is_ok());
    let work = || {
        while let Some(part) = next() {
            let told = try_apart(program, lane, &part);
            let mut counts = counts.lock().unwrap();
            match (told, counts.as_mut()) {
                (Ok(told), Ok(counts)) => {
                    for (what, n) in told {
                        *counts.entry(what).or_default() += n;
                    }
                }
                (Err(told), Ok(_)) => *counts = Err(told),
                (_, Err(_)) => {}
            }
        }
    };
    std::thread::scope(|scope| (0..jobs).for_each(|_| drop(scope.spawn(work))));
    let counts = counts.into_inner().unwrap()?;
    // A fault that never happened was not tried.
    let missing: Vec<&String> =
        counts.iter().filter(|(_, n)| **n == 0).map(|(what, _)| what).collect();
    if [PEOPLE, BY_RELAY].contains(&lane)
        && numbers.end - numbers.start >= 1_000
        && !missing.is_empty()
    {
        return Err(format!("{lane}: {missing:?} never happened"));
    }
    Ok(counts)
}

/// One child.
fn try_apart(program: &Path, lane: &str, numbers: &Range<u64>) -> Result<Counts, String> {
    let output = Command::new("prlimit")
        .arg(format!("--as={MEMORY}"))
        .arg(program)
        .args(["lane-child", "--lane", lane])
        .args(["--from", &numbers.start.to_string(), "--to", &numbers.end.to_string()])
        .env("RUST_BACKTRACE", "0")
        .output()
        .map_err(|error| format!("prlimit (util-linux) is needed: {error}"))?;
    let out = String::from_utf8_lossy(&output.stdout);
    if !output.status.success() {
        let last: Vec<&str> = out.lines().rev().take(8).collect();
        let err = String::from_utf8_lossy(&output.stderr);
        let told: Vec<&str> = err.lines().rev().take(12).collect();
        return Err(format!("{lane}: {}\n{last:#?}\n{told:#?}", output.status));
    }
    let counted = out.lines().filter_map(|line| line.strip_prefix("count ")?.split_once(' '));
    Ok(counted.map(|(count, what)| (what.to_owned(), count.parse().unwrap())).collect())
}
