//! Every example of the help is understood: what a person is shown, they can type.

#![allow(clippy::unwrap_used, clippy::panic)]

mod common;

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use common::Device;

/// The help, in every language.
const HELP: [&str; 4] = [
    include_str!("../messages/en/help.ftl"),
    include_str!("../messages/en/calc_help.ftl"),
    include_str!("../messages/de/help.ftl"),
    include_str!("../messages/de/calc_help.ftl"),
];

/// What needs a file, a person, an entry or a season that is not there: the words are understood by the
/// tests of those commands.
const ELSEWHERE: &[&str] = &[
    "import",
    "cross-out",
    "role",
    "remove",
    "accept",
    "bundle in",
    "withdraw",
    "settle",
    "compared",
    "recover",
    "changed --since",
    "forecast",
    "demo",
    "redo",
    "undo",
    "setup back",
    "bench",
    "remark --replaces",
    "photo add",
    "photo out",
    "clearance --notes 4=D1 --player",
    "relay",
    "sync",
    "meet",
];

/// Where the examples are typed: nothing yet; a four-string of which nothing is known; a five-string whose set-up is done; a four-string whose
/// saddles are to be turned; one whose action is to be read.
const WORLDS: [&[&str]; 5] = [
    &[],
    &["add|bass-4|walnut four"],
    &[
        "add|bass-5|blue five",
        "set|intonation-thread|M3",
        "tuned",
        "tool|rule|1/64",
        "tool|feeler|0.01 mm",
        "climate|21C|45%|--hours|48",
        "read|relief|0.30",
        "read|action|5|5|5|6|6",
        "read|nut|0.2|0.2|0.2|0.2|0.2|mm",
        "setup|take|stage",
        "setup|take|Bühne",
        "buzz|4|3-6",
        "pack|keep|light|--gauges|.040|.060|.080|.100|.120|in",
    ],
    &[
        "add|bass-4|walnut four",
        "set|saddle-clockwise|more",
        "tuned",
        "read|relief|0.30|mm",
        "read|action|6/64|6/64|6/64|7/64",
        "setup|target|stage|relief|0.30 mm",
        "setup|target|stage|action|all|5/64",
    ],
    &[
        "add|bass-4|walnut four",
        "tool|rule|1/64",
        "tuned",
        "read|relief|0.30|mm",
        "setup|target|stage|relief|0.30 mm",
        "setup|target|stage|action|all|5/64",
    ],
];

/// The commands that the help shows, each in one line.
fn examples(help: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut lines = help.lines();
    while let Some(line) = lines.next() {
        let Some(rest) = line.strip_prefix("      fallaway ") else { continue };
        // What it is for stands behind, at some distance.
        let mut command = rest.split("   ").next().unwrap().trim().to_owned();
        while let Some(front) = command.strip_suffix('\\') {
            let next = lines.next().unwrap().trim().split("   ").next().unwrap().trim();
            command = format!("{} {next}", front.trim());
        }
        // Nor what a shell does with the output.
        let command = command.split("  ").next().unwrap().split(" > ").next().unwrap();
        found.push(command.to_owned());
    }
    found
}

/// The words as a shell splits them, separated by `|`.
fn typed(command: &str) -> String {
    let mut out = String::new();
    let mut quote = None;
    for c in command.chars() {
        match (quote, c) {
            (Some(open), c) if c == open => quote = None,
            (None, '"' | '\'') => quote = Some(c),
            (None, ' ') => out.push('|'),
            (_, c) => out.push(c),
        }
    }
    out
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}

#[test]
fn every_example_of_the_help_is_understood() {
    let folder = tempfile::tempdir().unwrap();
    for (number, world) in WORLDS.iter().enumerate() {
        let mut device = Device::new(&folder.path().join(number.to_string()), "tech");
        for command in *world {
            device.ok(command);
        }
    }
    let try_in = |number: usize, command: &str| {
        let copied = tempfile::tempdir().unwrap();
        let world = folder.path().join(number.to_string());
        if world.exists() {
            copy(&world, copied.path());
        }
        let mut device = Device::new(copied.path(), "tech");
        device.later(1_200);
        let ran = device.run(&typed(command));
        if ran.code == 0 { Ok(()) } else { Err(ran.err) }
    };
    let (mut faults, mut count) = (Vec::new(), 0);
    let all: BTreeSet<String> = HELP.iter().flat_map(|help| examples(help)).collect();
    for command in all {
        if ELSEWHERE.iter().any(|one| command.starts_with(one)) {
            continue;
        }
        count += 1;
        let mut tried = Vec::new();
        let mut worlds = (0..WORLDS.len()).rev();
        let fits = |number| try_in(number, &command).map_err(|said| tried.push(said)).is_ok();
        if !worlds.any(fits) {
            faults.push(format!("{command}: {tried:?}"));
        }
    }
    assert!(count > 140, "{count} examples");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
