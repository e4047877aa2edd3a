//! No damaged input makes a parser panic, abort or take memory without bound. See `tests/fuzz`.
//!
//! Child processes with bounded memory try the inputs; `FALLAWAY_FUZZ` multiplies how many.

#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test")]

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::process::Command;

use fallaway_simulation::fuzz::{Samples, TARGETS, Target};
use fallaway_simulation::{hostile_member, hostile_program};

/// What a child is asked to try: a target's name, `crashers`, `hostile-member` or `programs`.
const TARGET: &str = "FALLAWAY_FUZZ_TARGET";
/// Inputs that are sealed and signed by a member: see there.
const HOSTILE_MEMBER: &str = "hostile-member";
/// Whole programs of such a member.
const PROGRAMS: &str = "programs";
/// Memory of a child, in bytes of address space.
const MEMORY: u64 = 2 * 1024 * 1024 * 1024;

fn samples() -> Samples {
    Samples::read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("../compat/v1"))
}

fn crashers() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../fuzz/crashers")
}

fn times() -> u64 {
    std::env::var("FALLAWAY_FUZZ").ok().map_or(1, |text| text.parse().unwrap())
}

/// The child's part; does nothing unless a parent asks for it.
#[test]
fn child() {
    let Ok(wanted) = std::env::var(TARGET) else { return };
    let all = samples();
    if wanted == "crashers" {
        for target in &TARGETS {
            let Ok(folder) = fs::read_dir(crashers().join(target.name)) else { continue };
            for file in folder {
                let file = file.unwrap().path();
                println!("{}", file.display());
                target.check(&all, &fs::read(&file).unwrap());
            }
        }
        return;
    }
    if wanted == HOSTILE_MEMBER {
        let depths = hostile_member::run(0, 600 * times());
        println!("{depths:?}");
        assert!(depths.verified * 2 >= depths.inputs, "most are signed as they should be");
        assert!(depths.admitted * 4 >= depths.inputs, "a quarter gets all the way: {depths:?}");
        assert!(depths.admitted * 4 <= depths.inputs * 3, "a quarter does not: {depths:?}");
        return;
    }
    if wanted == PROGRAMS {
        let ran = hostile_program::run(0..100 * times(), false);
        println!("{ran:?}");
        assert_eq!(ran.programs.len(), 14, "each of them ran");
        return;
    }
    let target = TARGETS.iter().find(|target| target.name == wanted).unwrap();
    for number in 0..target.inputs * times() {
        let bytes = target.input(&all, number);
        // If the process is ended, this is the last line that the parent sees.
        println!("input {number}");
        if catch_unwind(AssertUnwindSafe(|| target.check(&all, &bytes))).is_err() {
            println!("bytes {bytes:02x?}");
            panic!("{wanted}: input {number} made it panic");
        }
    }
}

fn run(wanted: &str) {
    let output = Command::new("prlimit")
        .arg(format!("--as={MEMORY}"))
        .arg(std::env::current_exe().unwrap())
        .args(["--exact", "child", "--nocapture", "--test-threads=1"])
        .env(TARGET, wanted)
        .env("RUST_BACKTRACE", "0")
        .output()
        .unwrap_or_else(|error| panic!("the fuzz tests need prlimit (util-linux): {error}"));
    if !output.status.success() {
        let out = String::from_utf8_lossy(&output.stdout);
        let last: Vec<&str> = out.lines().rev().take(8).collect();
        let err = String::from_utf8_lossy(&output.stderr);
        let told: Vec<&str> = err.lines().rev().take(12).collect();
        panic!("{wanted}: {}\n{last:#?}\n{told:#?}", output.status);
    }
}

fn try_targets(wanted: impl Fn(&Target) -> bool) {
    for target in TARGETS.iter().filter(|target| wanted(target)) {
        run(target.name);
    }
}

const HEAVY: [&str; 3] = ["change", "bundle-in", "database"];

#[test]
fn damaged_bytes_in_memory_are_answered() {
    try_targets(|target| !HEAVY.contains(&target.name));
}

#[test]
fn damaged_changes_bundles_and_databases_are_answered() {
    try_targets(|target| HEAVY.contains(&target.name));
}

#[test]
fn what_a_member_seals_and_signs_gets_no_further_than_the_rules_allow() {
    run(HOSTILE_MEMBER);
}

#[test]
fn whatever_a_member_does_honest_people_go_on() {
    run(PROGRAMS);
}

#[test]
fn whatever_once_broke_a_parser_is_answered() {
    run("crashers");
}
