//! Every example of the help is understood: what a person is shown, they can type.

#![allow(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing)]

mod common;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use common::Device;

/// The help, in every language.
const HELP: [&str; 4] = [
    include_str!("../messages/en/help.ftl"),
    include_str!("../messages/en/calc_help.ftl"),
    include_str!("../messages/de/help.ftl"),
    include_str!("../messages/de/calc_help.ftl"),
];

/// What a test of its own runs: `sync` and `meet` need a relay that answers, or another device beside this one,
/// `photo` a picture in a file.
const ELSEWHERE: &[&str] = &["sync", "meet", "photo add", "photo out"];

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

/// A folder in which examples are typed, and what stands in it for the names that they use.
struct World {
    folder: PathBuf,
    stands_for: Vec<(&'static str, String)>,
}

impl World {
    fn of(folder: PathBuf) -> Self {
        Self { folder, stands_for: Vec::new() }
    }

    /// What a command says on success; what it is refused with.
    fn try_in(&self, command: &str) -> Result<(), String> {
        let copied = tempfile::tempdir().unwrap();
        if self.folder.exists() {
            copy(&self.folder, copied.path());
        }
        let mut device = Device::new(copied.path(), "tech");
        device.later(WAIT_S);
        let mut command = command.to_owned();
        for (example, here) in &self.stands_for {
            command = command.replace(example, here);
        }
        let words = typed(&command);
        let ran = match command.split(' ').next() {
            Some("bench") => device.at_the_bench(&words, "q\n"),
            _ => device.run(&words),
        };
        if ran.code == 0 { Ok(()) } else { Err(ran.err) }
    }
}

/// After all that was done to make a world: twenty minutes.
const WAIT_S: i64 = 1_200;
/// The names of people, invitations and words that the help uses.
const FINGERPRINT: &str = "3QCX-P6Z5-BT6Q-CH5B";
const INVITATION: &str = "1f83ab20";
const WORDS: &str = "legal winner thank year wave sausage worth useful legal winner thank yellow";

fn text(value: &serde_json::Value, field: &str) -> String {
    value[field].as_str().unwrap().to_owned()
}

/// Lets the player in, and tells its fingerprint.
fn join(tech: &mut Device, player: &mut Device) -> String {
    let said = tech.run("invite|contributor|--welcome|in.fallaway|--json").json();
    let words = text(&said, "words").replace(' ', "|");
    player.ok(&format!("accept|in.fallaway|{words}"));
    player.ok("bundle|out|back.fallaway");
    tech.ok("bundle|in|back.fallaway");
    tech.ok("bundle|out|whole.fallaway");
    player.ok("bundle|in|whole.fallaway");
    text(&player.run("me|--json").json(), "fingerprint")
}

/// An instrument that two share, over two visits: with values to settle, an open invitation, a notebook.
fn shared(folder: PathBuf) -> World {
    let device = |label| Device::new(&folder, label);
    let (mut tech, mut player) = (device("tech"), device("player"));
    for command in [
        "add|bass-4|walnut four",
        "visit|begin|too high",
        "climate|21C|55%|--hours|48",
        "tuned",
        "read|relief|0.30 mm|--as-found|--tool|feeler 0.01 mm",
        "read|action|1.90|1.90|2.00|2.10 mm|--as-found|--tool|dial 0.01 mm",
        "setup|take|stage",
        "visit|end",
    ] {
        tech.ok(command);
    }
    let fingerprint = join(&mut tech, &mut player);
    tech.later(30 * 24 * 3600);
    player.later(30 * 24 * 3600);
    tech.ok("setup|target|stage|relief|0.40 mm");
    player.ok("setup|target|stage|relief|0.20 mm");
    for name in ["from-player.fallaway", "von-player.fallaway"] {
        player.ok(&format!("bundle|out|{name}"));
    }
    tech.ok("bundle|in|from-player.fallaway");
    for command in [
        "visit|begin|winter",
        "climate|20C|30%|--hours|72",
        "tuned",
        "read|relief|0.45 mm|--tool|feeler 0.01 mm",
        "read|action|2.00|2.00|2.10|1.60 mm|--tool|dial 0.01 mm",
        "buzz|4|2-9|--by|player",
        "remark|a slip",
    ] {
        tech.ok(command);
    }
    let entry = text(&tech.run("history|--json|--last|1").json()[0], "short");
    let invitation = text(&tech.run("invite|viewer|--json").json(), "id");
    for (name, more) in [("notebook.csv", "weather"), ("notizbuch.csv", "Wetter")] {
        let rows = format!("day,humidity,relief (feeler 1 thou),{more}\n2025-05-02,45,12,fair\n");
        fs::write(folder.join(name), rows).unwrap();
    }
    World {
        folder,
        stands_for: vec![(FINGERPRINT, fingerprint), (INVITATION, invitation), ("k3", entry)],
    }
}

/// Somebody was removed, and wrote on without having heard of it.
fn removed(folder: PathBuf) -> World {
    let device = |label| Device::new(&folder, label);
    let (mut tech, mut player) = (device("tech"), device("player"));
    tech.ok("add|bass-4|walnut four");
    let fingerprint = join(&mut tech, &mut player);
    tech.ok(&format!("remove|{fingerprint}"));
    player.ok("remark|nobody has this");
    player.ok("bundle|out|late.fallaway");
    tech.ok("bundle|in|late.fallaway");
    for name in ["notebook.csv", "notizbuch.csv"] {
        fs::write(folder.join(name), "day,relief (feeler 1 thou)\n2025-05-02,12\n").unwrap();
    }
    World { folder, stands_for: vec![(FINGERPRINT, fingerprint)] }
}

/// A device with nothing yet, files of another one beside it, and the words that open them.
fn beside(folder: PathBuf, command: &str, names: [&str; 2]) -> World {
    let mut owner = Device::new(&folder, "owner");
    owner.ok("add|bass-4|walnut four");
    let words = text(&owner.run(command).json(), "words");
    for name in ["invitation.txt", "einladung.txt"] {
        fs::write(folder.join(name), &words).unwrap();
    }
    if command.starts_with("recovery") {
        owner.ok("recovery-words|--written-down");
    }
    for name in names {
        owner.ok(&format!("bundle|out|{name}"));
    }
    World { folder, stands_for: vec![(WORDS, words)] }
}

#[test]
fn every_example_of_the_help_is_understood() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let mut worlds: Vec<World> = Vec::new();
    for (number, commands) in (0..).zip(WORLDS) {
        let world = World::of(at(&format!("{number}")));
        let mut device = Device::new(&world.folder, "tech");
        for command in commands {
            device.ok(command);
        }
        worlds.push(world);
    }
    worlds.push(shared(at("shared")));
    worlds.push(removed(at("removed")));
    let welcome = ["from-tech.fallaway", "von-tech.fallaway"];
    worlds.push(beside(at("invited"), "invite|contributor|--json", welcome));
    let backup = ["backup.fallaway", "sicherung.fallaway"];
    worlds.push(beside(at("lost"), "recovery-words|--json", backup));
    let (mut faults, mut count) = (Vec::new(), 0);
    let all: BTreeSet<String> = HELP.iter().flat_map(|help| examples(help)).collect();
    for command in all {
        if ELSEWHERE.iter().any(|one| command.starts_with(one)) {
            continue;
        }
        count += 1;
        let mut tried = Vec::new();
        let fits = |world: &World| world.try_in(&command).map_err(|said| tried.push(said)).is_ok();
        if !worlds.iter().rev().any(fits) {
            faults.push(format!("{command}: {tried:?}"));
        }
    }
    assert!(count > 180, "{count} examples");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// Whatever is asked for: no entry is of such a time, and nothing was so then.
/// What stands between two leaves is shown in the words of each language, and read as it is shown.
#[test]
fn a_reading_between_two_leaves_is_shown_in_the_words_of_the_language() {
    use fallaway::measure::{Dimension, parse_reading};
    let shown = |help: &str| {
        let line = help.lines().find(|line| line.trim_start().starts_with('"')).unwrap();
        line.split('"').nth(1).unwrap().to_owned()
    };
    let [english, german] = [HELP[0], HELP[2]].map(shown);
    assert_eq!(english, ".010 goes, .012 not");
    assert_eq!(german, "0,25 geht, 0,30 nicht");
    for text in [english, german] {
        let read = parse_reading(&text, None, Dimension::Length).unwrap();
        assert!(read.low().is_some() && read.low() != read.high(), "{text}: {read}");
    }
}

#[test]
fn a_time_that_cannot_be_is_refused_by_every_command() {
    let folder = tempfile::tempdir().unwrap();
    let mut device = Device::new(folder.path(), "tech");
    let all = device.run("commands|--json").json();
    let mut all: BTreeSet<String> =
        all.as_array().unwrap().iter().map(|one| text(one, "command")).collect();
    for command in HELP.iter().take(2).flat_map(|help| examples(help)) {
        for (at, why) in [("1899-12-31", "1900"), ("2099-01-01", "future")] {
            let refused = device.refused(2, &format!("--at|{at}|{}", typed(&command)));
            assert!(refused.contains(why), "{command}: {refused}");
        }
        all.remove(command.split(' ').next().unwrap());
    }
    for command in all {
        let refused = device.run(&format!("{command}|--at|1899-12-31"));
        assert!(refused.code == 2, "{command}: {refused:?}");
    }
}
