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
