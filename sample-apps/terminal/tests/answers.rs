//! Command lines, and what must and must not stand in their answers: see the head of `answers/bench.txt`.

// Helpers of tests fail loudly.
#![allow(clippy::unwrap_used)]

mod common;

use std::fmt::Write as _;

use common::Device;

/// The words of a line, as [`Device::run`] takes them; quotes keep words together.
fn words(line: &str) -> String {
    let parts = line.split('"').enumerate().map(|(at, part)| match at % 2 {
        0 => part.replace(' ', "|"),
        _ => part.to_owned(),
    });
    parts.collect()
}

/// Plays the scenes of a text; every line that does not hold, with what was answered.
fn play(scenes: &str) -> String {
    let mut failed = String::new();
    let mut device = None;
    let mut answer = String::new();
    for (at, line) in scenes.lines().enumerate() {
        let Some((sign, rest)) = line.split_at_checked(2) else { continue };
        if let Some(title) = line.strip_prefix("== ") {
            let folder = tempfile::tempdir().unwrap();
            let mut fresh = Device::new(folder.path(), "owner");
            // Prose and tables in one line each.
            fresh.width = 400;
            device = Some((folder, fresh, title));
            continue;
        }
        let Some((_, device, title)) = &mut device else { continue };
        let holds = match sign {
            "$ " | "? " | "! " => {
                let ran = device.run(&words(rest));
                answer = format!("{} {}", ran.out, ran.err);
                answer = answer.split_whitespace().collect::<Vec<_>>().join(" ");
                match sign {
                    "$ " => ran.code == 0,
                    "? " => ran.code == 3 && answer.contains("Nothing was stored"),
                    _ => matches!(ran.code, 1 | 2) && ran.out.is_empty(),
                }
            }
            "+ " => answer.contains(rest),
            "- " => !answer.contains(rest),
            _ => line.is_empty(),
        };
        if !holds {
            writeln!(failed, "{title}\n  line {}: {line}\n  {answer}\n", at + 1).unwrap();
        }
    }
    failed
}

#[test]
fn a_bench_is_told_what_is_so() {
    let failed = play(include_str!("answers/bench.txt"));
    assert!(failed.is_empty(), "{failed}");
}

#[test]
fn what_hands_type_is_understood_asked_about_or_refused() {
    let failed = play(include_str!("answers/typing.txt"));
    assert!(failed.is_empty(), "{failed}");
}
