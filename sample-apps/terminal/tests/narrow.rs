//! Every table and sentence at the width of a phone, and on wide screens no line that is hard to follow.

#![allow(clippy::panic, clippy::unwrap_used)]

mod common;

use common::Device;
use common::winter::{self, SHOWN};
use fallaway_text::Language;
use unicode_width::UnicodeWidthStr as _;

fn long_lines(text: &str, width: usize) -> Vec<&str> {
    // A word that has to be copied whole (a path, a fingerprint) stays whole.
    let broken = |line: &&str| line.width() > width && line.trim().contains(' ');
    text.lines().filter(broken).collect()
}

fn copy(from: &std::path::Path, to: &std::path::Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let (entry, to) = (entry.as_ref().unwrap(), to.join(entry.as_ref().unwrap().file_name()));
        if entry.file_type().unwrap().is_dir() {
            copy(&entry.path(), &to);
        } else {
            std::fs::copy(entry.path(), to).unwrap();
        }
    }
}

fn at_width(width: usize, language: Language) {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = winter::device(folder.path());
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

/// The commands of the demo, and whatever shows something, on the record that it leaves.
#[test]
fn the_record_of_the_demo_fits_every_screen() {
    let folder = tempfile::tempdir().unwrap();
    let mut world = Device::new(folder.path(), "nobody");
    let story = world.ok("demo|--into|play");
    let commands = story.lines().filter_map(|line| line.split_once("$ fallaway "));
    // What writes a file or meets the other device was done there; here it is what is shown that counts.
    let commands: Vec<String> = commands.map(|(_, command)| command.replace(' ', "|")).collect();
    assert!(commands.len() > 30, "{story}");
    for (width, fits) in [(40, 40), (80, 80), (100, 100), (200, 100)] {
        for language in Language::all() {
            let copied = tempfile::tempdir().unwrap();
            copy(&folder.path().join("play/tech"), &copied.path().join("tech"));
            let mut tech = Device::new(copied.path(), "tech");
            // A winter and a day after the story began.
            tech.later(200 * 86_400);
            (tech.width, tech.language) = (width, Some(language));
            let mut faults = Vec::new();
            for command in SHOWN.iter().copied().chain(commands.iter().map(String::as_str)) {
                let ran = tech.run(command);
                for text in [&ran.out, &ran.err] {
                    let long = long_lines(text, fits);
                    faults.extend(long.iter().map(|line| format!("{command}: {line}")));
                }
            }
            assert!(faults.is_empty(), "{width} columns, {language:?}:\n{}", faults.join("\n"));
        }
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
