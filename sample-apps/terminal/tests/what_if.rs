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
fn a_thick_third_string_is_reckoned_as_wound_unless_it_is_called_plain() {
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
