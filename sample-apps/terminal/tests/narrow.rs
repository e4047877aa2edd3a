//! Every table and sentence at the width of a phone, and on wide screens no line that is hard to follow.

#![allow(clippy::panic, clippy::unwrap_used)]

mod common;

use common::Device;
use fallaway_text::Language;
use unicode_width::UnicodeWidthStr as _;

/// An instrument with a winter behind it, two setups, a shop around it and numbers that are off. The
/// numbers are invented.
const BEFORE: &[&str] = &[
    "add|bass-5|blue five with the long name",
    "set|intonation-thread|M3",
    "set|saddle-clockwise|more",
    "tool|rule|1/64",
    "tool|feeler|0.01 mm",
    "owner|Owner of the blue five|--contact|in the shop's book",
    "job|add|buzzes on the low string since the tour, and the action is high|--waits-for|a nut blank|--price|80 EUR",
    "care|--months|6",
    "visit|begin|before the tour",
    "climate|21C|45%|--hours|48|--place|bench",
    "tuned",
    "read|relief|0.30",
    "read|action|5|5|5|6|6",
    "read|nut|0.20|0.20|0.20|0.20|0.20|mm|--tool|feeler 0.05 mm",
    "read|pickup|3|3.5|mm",
    "read|intonation|0|-2|1|3|4|cents|--tool|tuner 1 cent",
    "setup|take|stage",
    "setup|target|club|relief|0.30 mm",
    "setup|target|club|action|all|5/64",
    "setup|target|club|intonation|all|0 cents",
    "as-left",
    "visit|end",
];

const AFTER: &[&str] = &[
    "visit|begin|after the winter",
    "climate|20C|30%|--hours|48",
    "tuned",
    "read|relief|0.52|--as-found",
    "read|action|7|7|7|8|8|--as-found",
    "did|rod|1/8|ccw|--note|bound a little",
    "tuned",
    "read|relief|0.61|--sure",
    "read|relief|0.61|--sure",
    "read|action|7|7|7|8|8",
    "buzz|4|3-6|played hard",
    "remark|the third fret looks worn under the two lowest strings",
    "strings|45-130, nickel|--gauges|0.045|0.065|0.085|0.105|0.130|in",
];

/// Whatever shows something.
const SHOWN: &[&str] = &[
    "templates",
    "list",
    "list|--archived",
    "search|blue",
    "show",
    "set|--list",
    "visit",
    "tool",
    "plan",
    "plan|--all",
    "plan|--setup|club|--all",
    "next",
    "next|--full",
    "card",
    "card|--setup|club",
    "card|--large",
    "changed",
    "learned",
    "forecast|20C|25%",
    "history",
    "history|--visit|--clean",
    "setup",
    "setup|show|--deleted",
    "targets|usual|--into|fresh",
    "clearance",
    "clearance|--saddle|4=-0.3mm",
    "why-buzz|4|3-6",
    "before-strings|--gauges|.050|.070|.090|.110|.135|in",
    "before-strings|--tuning|F#2|C#2|G#1|D#1|A#0",
    "desk",
    "owner",
    "job",
    "care",
    "spec",
    "pack",
    "people",
    "held",
    "two-values",
    "me",
    "usual",
    "order",
    "units",
    "language",
    "relay",
    "read|action|5|5|5|6|6",
    "did|saddles|all|down|1/8|ccw",
    "tuned",
    "undo",
    "redo",
    "as-left",
    "draw|turn",
    "draw|neck",
    "draw|relief",
    "read|action|3|4|five",
    "set|scale|340 in",
    "read|relief|3 mm",
    "fly",
];

fn long_lines(text: &str, width: usize) -> Vec<&str> {
    // A word that has to be copied whole (a path, a fingerprint) stays whole.
    let broken = |line: &&str| line.width() > width && line.trim().contains(' ');
    text.lines().filter(broken).collect()
}

fn at_width(width: usize, language: Language) {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(&folder.path().join("bench"), "tech");
    std::fs::create_dir(folder.path().join("bench")).unwrap();
    for command in BEFORE {
        tech.ok(command);
    }
    tech.later(120 * 86_400);
    for command in AFTER {
        let ran = tech.run(command);
        assert!(ran.code == 0 || ran.code == 3, "{command}: {ran:?}");
    }
    (tech.width, tech.language) = (width, Some(language));
    let mut faults = Vec::new();
    for command in SHOWN {
        let ran = tech.run(command);
        assert!(!ran.out.is_empty() || !ran.err.is_empty(), "{command} says nothing");
        for text in [&ran.out, &ran.err] {
            faults.extend(long_lines(text, width).iter().map(|line| format!("{command}: {line}")));
        }
    }
    assert!(faults.is_empty(), "{width} columns, {language:?}:\n{}", faults.join("\n"));
}

#[test]
fn everything_fits_a_phone() {
    for language in Language::all() {
        at_width(40, language);
    }
}

#[test]
fn no_line_runs_past_a_hundred_columns() {
    for language in Language::all() {
        at_width(100, language);
    }
}

#[test]
fn two_values_and_people_fit_a_phone() {
    let folder = tempfile::tempdir().unwrap();
    let mut owner = Device::new(folder.path(), "owner");
    let mut tech = Device::new(folder.path(), "technician at the bench");
    let plain = |out: String| out.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
    owner.ok("add|bass-4|walnut four");
    let said = owner.run("invite|contributor|--welcome|in.fallaway|--json").json();
    let words = said["words"].as_str().unwrap().to_owned();
    owner.width = 40;
    tech.width = 40;
    let accepted = tech.ok(&format!("accept|in.fallaway|{}", words.replace(' ', "|")));
    assert!(!plain(accepted).is_empty());
    for (from, file) in [(false, "1"), (true, "2")] {
        let (a, b) = if from { (&mut tech, &mut owner) } else { (&mut owner, &mut tech) };
        a.ok(&format!("bundle|out|{file}.fallaway"));
        b.ok(&format!("bundle|in|{file}.fallaway"));
    }
    owner.ok("set|scale|34 in");
    tech.ok("set|scale|35 in|33 in");
    owner.ok("setup|target|stage|action|all|2.0 mm");
    tech.ok("setup|target|stage|action|all|2.2 mm");
    owner.ok("bundle|out|3.fallaway");
    let mut said = vec![tech.ok("bundle|in|3.fallaway")];
    for command in
        ["two-values", "plan", "card", "people", "list", "show", "held", "bundle|out|4.fallaway"]
    {
        said.push(tech.ok(command));
    }
    assert!(said.iter().any(|text| text.contains("used until settled")), "{said:?}");
    for text in &said {
        assert!(long_lines(text, 40).is_empty(), "{:?}\n{text}", long_lines(text, 40));
    }
}
