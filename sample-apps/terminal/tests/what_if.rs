//! Clearance of a set-up with what-ifs, and the player's touch in it.

// Helpers of tests fail loudly.
#![allow(clippy::panic, clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use common::Device;
use serde_json::Value;

/// A bass that was left with these numbers.
fn left(folder: &std::path::Path) -> Device {
    let mut tech = Device::new(folder, "tech");
    for words in [
        "add|bass-4|walnut four",
        "tuned",
        "read|relief|0.30 mm|--tool|feeler 0.01 mm|--as-left",
        "read|action|1.90|1.90|2.00|2.10 mm|--tool|dial 0.01 mm",
    ] {
        tech.ok(words);
    }
    tech
}

fn low(answer: &Value, field: &str) -> f64 {
    answer["answer"]["strings"][3][field].as_f64().unwrap()
}

#[test]
fn what_ifs_move_the_margin_the_way_they_must() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = left(folder.path());
    let mut ask = |more: &str| tech.run(&format!("clearance{more}|--json")).json();
    let plain = ask("");
    assert_eq!(plain["answer"]["touch"], "assumed");
    assert!(plain["assumed"].to_string().contains("1.50 N"));
    let margin = |answer: &Value| low(answer, "smallest_margin_mm");
    // A higher saddle and a heavier string clear more, a slacker string and a harder touch less.
    assert!(margin(&ask("|--saddle|4=+0.3mm")) > margin(&plain));
    assert!(margin(&ask("|--saddle|all=-0.3mm")) < margin(&plain));
    assert!(margin(&ask("|--notes|4=D1")) < margin(&plain));
    assert!(margin(&ask("|--gauges|4=0.120 in")) > margin(&plain));
    assert!(margin(&ask("|--force|3 N")) < margin(&plain));
    let flat = ask("|--relief|0.05 mm");
    // With saddles untouched less relief lowers the action.
    assert!(low(&flat, "action_mm") < low(&plain, "action_mm"));
    let all = ask("|--relief|0.05 mm|--action|2.10 mm|--away|--plucked-at|80 mm");
    assert!((low(&all, "action_mm") - 2.1).abs() < 1e-6);
    for (words, said) in [
        ("clearance|--saddle|4", "4=+0.3mm"),
        ("clearance|--saddle|9=1mm", "9"),
        ("clearance|--action|2 mm 2 mm", "4"),
        ("clearance|--player|tech|--force|1 N", "--force"),
        ("clearance|--gauges|x", "x"),
    ] {
        let refusal = tech.refused(2, words);
        assert!(refusal.contains(said), "{words}: {refusal}");
    }
    assert!(tech.refused(1, "clearance|--player|nobody").contains("note where it buzzes"));
}

#[test]
fn the_player_s_touch_is_learned_and_used() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = left(folder.path());
    tech.ok("did|saddle|4|down|1|ccw");
    tech.ok("tuned");
    tech.ok("read|action|1.90|1.90|2.00|1.60 mm|--tool|dial 0.01 mm");
    tech.ok("visit|end");
    tech.later(2 * 24 * 3600);
    tech.ok("buzz|4|2-9|--by|player");
    let told = tech.run("learned|--json").json();
    let players = told["touch"].as_array().unwrap();
    let player = players.iter().find(|one| one["player"] == "player").unwrap();
    assert_eq!(player["bounded"], "both", "{player}");
    // Where it buzzed the player's touch is at least what the model allows there, and the other
    // strings, of which no buzz was noted, allow more.
    let (at_least, at_most) = (&player["at_least_newton"], &player["at_most_newton"]);
    assert!(at_least.as_f64().unwrap() < at_most.as_f64().unwrap());
    let used = tech.run("clearance|--player|player|--json").json();
    assert_eq!(used["answer"]["touch"], "learned");
    assert_eq!(used["answer"]["touch_bounded"], "both");
    let force = used["answer"]["force_newton"].as_f64().unwrap();
    assert!((force - player["newton"].as_f64().unwrap()).abs() < 1e-5);
    assert!(tech.ok("clearance|--player|player").contains("Over the touch that was learned"));
    // Of the string that is asked about its own buzz does not count: with it the answer would be in the
    // question.
    assert!(!tech.ok("why-buzz|4|2-9").contains("learned from"));
    assert!(tech.ok("why-buzz|3|2-9").contains("learned from"));
    let strings = tech.run("before-strings|--notes|4=D1|--player|player|--json").json();
    assert_eq!(strings["answer"]["touch"], "learned");
}

/// What one string would pull, in newtons.
fn pull(answer: &Value, string: usize) -> f64 {
    answer["answer"]["strings"][string - 1]["then_newton"].as_f64().unwrap()
}

#[test]
fn a_thick_third_string_counts_as_wound_unless_it_is_called_plain() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|guitar-6|white six");
    tech.ok("set|scale|25.5 in");
    tech.ok("set|gauges|.010p|.013p|.017p|.026w|.036w|.046w|in");
    let heavy =
        |third: &str| format!("before-strings|--gauges|.013|.017|{third}|.035|.045|.056|in");
    // G3 is 195.998 Hz (ISO 16:1975, equal temperament): T = rho pi/4 d^2 (2 L f)^2, of steel 7850 kg/m3,
    // of a wound string 6490 kg/m3 over its whole diameter.
    let newtons = |rho: f64| {
        let (d, l) = (0.026 * 0.0254, 25.5 * 0.0254);
        rho * std::f64::consts::FRAC_PI_4 * d * d * (2.0 * l * 195.998_f64).powi(2)
    };
    let unsaid = tech.run(&format!("{}|--json", heavy(".026"))).json();
    assert!((pull(&unsaid, 3) - newtons(6490.0)).abs() < 0.5, "{unsaid}");
    assert!(unsaid["assumed"].to_string().contains("as wound"), "{unsaid}");
    for (third, rho) in [(".026w", 6490.0), (".026p", 7850.0)] {
        let said = tech.run(&format!("{}|--json", heavy(third))).json();
        assert!((pull(&said, 3) - newtons(rho)).abs() < 1.0, "{third}: {said}");
        assert!(!said["assumed"].to_string().contains("wound"), "{said}");
    }
    // Where it is entered, it is asked: the string before was plain.
    let asked = tech.refused(3, "strings|heavy|--gauges|.013|.017|.026|.035|.045|.056|in");
    assert!(asked.contains("0.026 in is thick for a plain string"), "{asked}");
    tech.ok("strings|heavy|--gauges|.013|.017|.026w|.035|.045|.056|in");
    let show = tech.ok("show");
    assert!(show.contains("0.026 in, round-wound") && show.contains("0.017 in, plain"), "{show}");
}

#[test]
fn two_numbers_beside_each_other_do_not_read_as_a_range() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = left(folder.path());
    let said = tech.ok("before-strings|--gauges|.040|.060|.080|.100|in");
    let line = said.lines().find(|line| line.trim_start().starts_with("1 (G)")).unwrap();
    assert!(line.contains(" now") && !line.contains(" to "), "{said}");
}

/// A bass of which nobody ever wrote numbers as left, and what was asked of it since.
fn never_left(folder: &std::path::Path, more: &[&str]) -> Device {
    let mut tech = Device::new(folder, "tech");
    let first = [
        "add|bass-4|walnut four",
        "tuned|--at|2026-01-10 10:00",
        "read|relief|0.20 mm|--tool|feeler 0.01 mm|--at|2026-01-10 10:01",
        "read|action|5|5|5|5|--tool|rule 1/64|--at|2026-01-10 10:02",
    ];
    for words in first.iter().chain(more) {
        tech.ok(words);
    }
    tech
}

/// Without the breaks of lines.
fn in_one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_string_that_was_tuned_down_is_asked_about_that_though_nobody_wrote_numbers_as_left() {
    let folder = tempfile::tempdir().unwrap();
    let down = [
        "tuned|4=D1|--at|2026-02-10 10:00",
        "read|relief|0.20 mm|--tool|feeler 0.01 mm|--at|2026-02-10 10:01",
        "read|action|5|5|5|5|--tool|rule 1/64|--at|2026-02-10 10:02",
    ];
    let said = "Until strings or tuning were changed (2026-02-10 10:00)";
    let mut tech = never_left(folder.path(), &down);
    let why = in_one_line(&tech.ok("why-buzz|4|3-9|--at|2026-02-10 10:03"));
    assert!(why.starts_with("1. less tension") && why.contains(said), "{why}");

    // A buzz that was noted before the strings were changed has another cause.
    let folder = tempfile::tempdir().unwrap();
    let mut noted = vec!["buzz|4|3-9|--at|2026-01-20 10:00"];
    noted.extend(down);
    let mut tech = never_left(folder.path(), &noted);
    let why = in_one_line(&tech.ok("why-buzz|4|3-9|--at|2026-02-10 10:03"));
    assert!(!why.contains(said), "{why}");
}

/// Who writes a buzz down has not said by that that a part is loose.
#[test]
fn a_buzz_that_was_noted_is_explained_by_the_numbers_as_one_that_was_not() {
    let folder = tempfile::tempdir().unwrap();
    let low = [
        "tuned|--at|2026-02-10 10:00",
        "read|relief|0.02 mm|--tool|feeler 0.01 mm|--at|2026-02-10 10:01",
        "read|action|4|4|4|4|--tool|rule 1/64|--at|2026-02-10 10:02",
    ];
    let mut tech = never_left(folder.path(), &low);
    let first = |tech: &mut common::Device| {
        let all = tech.run("why-buzz|4|2-9|--at|2026-02-10 10:04|--json").json();
        all["answer"]["causes"][0]["cause"].as_str().unwrap().to_owned()
    };
    let unnoted = first(&mut tech);
    assert!(!unnoted.contains("loose"), "{unnoted}");
    tech.ok("buzz|4|2-9|--at|2026-02-10 10:03");
    assert_eq!(first(&mut tech), unnoted);
}

#[test]
fn what_moved_is_drawn_from_a_visit_as_it_is_told_from_one() {
    let folder = tempfile::tempdir().unwrap();
    let more = [
        "visit|begin|spring|--at|2026-02-10 10:00",
        "tuned|--at|2026-02-10 10:01",
        "read|relief|0.40 mm|--tool|feeler 0.01 mm|--at|2026-02-10 10:02",
    ];
    let mut tech = never_left(folder.path(), &[]);
    tech.ok("visit|begin|winter|--at|2026-01-10 11:00");
    tech.ok("tuned|--at|2026-01-10 11:01");
    let read = tech.ok("read|relief|0.20 mm|--tool|feeler 0.01 mm|--at|2026-01-10 11:02");
    // "(tech-7; undo: ...": the short name of what was written.
    let entry = read.split("(tech-").nth(1).unwrap().split(';').next().unwrap();
    let entry = format!("tech-{entry}");
    tech.ok("visit|end|--at|2026-01-10 11:03");
    for words in more {
        tech.ok(words);
    }
    let drawn = tech.ok(&format!("draw|changed|--since|{entry}|--at|2026-02-10 10:03"));
    let told = tech.ok(&format!("changed|--since|{entry}|--at|2026-02-10 10:03"));
    let (drawn, told) = (in_one_line(&drawn), in_one_line(&told));
    for text in [&drawn, &told] {
        assert!(text.contains("neck moved") && text.contains("+0.20 mm"), "{text}");
    }
    let refused = tech.refused(2, &format!("draw|neck|--since|{entry}"));
    assert!(refused.contains("--since"), "{refused}");
}

#[test]
fn a_rod_that_has_shown_nothing_is_said_in_the_short_step_too() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    for words in [
        "add|bass-4|walnut four",
        "set|rod-clockwise|less",
        "setup|target|mine|relief|12 thou",
        "tuned",
        "read|relief|20 thou|--tool|feeler 1 thou",
        "did|rod|1/4|cw",
        "tuned",
        "read|relief|20 thou|--tool|feeler 1 thou",
    ] {
        tech.ok(words);
    }
    let said = "have not yet shown what the last 1/4 turn clockwise of the rod";
    for words in ["plan", "next", "next|--full"] {
        let told = in_one_line(&tech.ok(words));
        assert!(told.contains(said), "{words}: {told}");
    }
}

#[test]
fn the_one_number_of_a_pair_is_that_of_both_its_strings() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    for words in [
        "add|mandolin-8|oval eight",
        "setup|target|mine|relief|0.10 mm",
        "setup|target|mine|action|all|2.0 mm",
        "tuned",
        "read|relief|0.10 mm|--tool|feeler 0.01 mm",
        "read|action|2.0|2.0|2.0|3.0 mm|--tool|dial 0.01 mm",
    ] {
        tech.ok(&format!("{words}|--sure"));
    }
    let plan = tech.run("plan|--json").json();
    let verdicts: Vec<&str> = plan["steps"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|step| step["step"] == "action")
        .map(|step| step["verdict"].as_str().unwrap())
        .collect();
    assert_eq!(verdicts.len(), 8);
    assert!(verdicts[..6].iter().all(|one| *one == "fine"), "{verdicts:?}");
    assert!(verdicts[6..].iter().all(|one| *one != "fine" && *one != "measure"), "{verdicts:?}");
    let card = tech.run("card|--json").json();
    let lines = card["lines"].as_array().unwrap();
    let actions: Vec<&Value> = lines
        .iter()
        .filter(|line| line["as_entered"] != Value::Null && line["wanted"] != Value::Null)
        .collect();
    assert_eq!(actions.len(), 9, "{card}");
}

#[test]
fn a_tolerance_is_a_number_that_somebody_says() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    let mut of = |words: &str| in_one_line(&tech.ok(words));
    assert!(of("setup|target|mine|relief|1/64").contains("± 2 thou"));
    assert!(of("setup|target|marks|action|all|5/64").contains("± 0.5/64 in"));
    assert!(of("setup|target|coarse|action|all|3/32").contains("± 8 thou"));
}
