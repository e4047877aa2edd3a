//! No damaged input makes a parser panic, abort or take memory without bound, and nothing that a
//! member sends stands in honest people's way. See `tests/fuzz`.
//!
//! Child processes with bounded memory try the inputs; `FALLAWAY_FUZZ` multiplies how many.

#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test")]

use std::path::Path;

use fallaway_simulation::fuzz::{TARGETS, Target};
use fallaway_simulation::lane::{self, Counts};

fn run(lane: &str, inputs: u64) -> Counts {
    let times = std::env::var("FALLAWAY_FUZZ").ok().map_or(1, |text| text.parse::<u64>().unwrap());
    let program = Path::new(env!("CARGO_BIN_EXE_fallaway-simulation"));
    let counts = lane::run(program, lane, 0..inputs * times, (20_000, 1));
    let counts = counts.unwrap_or_else(|told| panic!("{told}"));
    println!("{lane}: {counts:?}");
    counts
}

fn try_targets(wanted: impl Fn(&Target) -> bool) {
    for target in TARGETS.iter().filter(|target| wanted(target)) {
        run(target.name, target.inputs);
    }
}

const HEAVY: [&str; 4] = ["change", "bundle-in", "payload", "database"];

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
    let counts = run(lane::MEMBER, 600);
    let (inputs, verified, admitted) = (counts["inputs"], counts["verified"], counts["admitted"]);
    assert!(verified * 2 >= inputs, "most are signed as they should be: {counts:?}");
    assert!(admitted * 4 >= inputs, "a quarter gets all the way: {counts:?}");
    assert!(admitted * 4 <= inputs * 3, "a quarter does not: {counts:?}");
}

#[test]
fn whatever_a_member_does_honest_people_go_on() {
    let counts = run(lane::PROGRAMS, 80);
    assert!(counts["demoted"] > 0 && counts["removed"] > 0, "{counts:?}");
    // Inputs, payloads, what became of the author, and each of the programs.
    assert_eq!(counts.len(), 4 + 15, "{counts:?}");
}

#[test]
fn whatever_once_broke_a_parser_is_answered() {
    run(lane::CRASHERS, 1);
}
