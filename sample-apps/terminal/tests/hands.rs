//! What hands do at a bench that is not quite what was meant, and what is said to it.

#![allow(clippy::panic, clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use common::Device;

/// Without the ends of lines.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn bass(folder: &std::path::Path) -> Device {
    let mut tech = Device::new(folder, "tech");
    tech.ok("add|bass-4|walnut four");
    tech.ok("tool|rule|1/64");
    tech.ok("tool|feeler|0.01 mm");
    tech
}

#[test]
fn undo_takes_back_whatever_was_done_last_and_redo_brings_it_back() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = bass(folder.path());
    let facts = |tech: &mut Device| tech.ok("show");
    let before = facts(&mut tech);
    // Each of these is one step, and one undo takes back all of it.
    for command in [
        "setup|target|stage|relief|0.30 mm",
        "setup|target|stage|action|all|2 mm",
        "set|scale|33 in",
        "tuned|4=D1",
        "strings|a set|--gauges|.050|.070|.090|.110|in",
        "did|saddles|all|down|1/8|ccw",
        "read|action|5|5|5|6",
    ] {
        let history =
            |tech: &mut Device| tech.run("history|--clean|--json").json().as_array().unwrap().len();
        let (entries, setups) = (history(&mut tech), tech.ok("setup|--json"));
        let shown = facts(&mut tech);
        tech.ok(command);
        let undone = tech.ok("undo");
        assert!(undone.starts_with("Taken back: "), "{command}: {undone}");
        // The visit that the first entry opened may be taken back with it.
        assert!(history(&mut tech) <= entries, "{command}");
        assert_eq!(tech.ok("setup|--json"), setups, "{command}");
        let without = |text: &str| {
            let lines =
                text.lines().filter(|line| !line.contains("visit") && !line.contains("tate"));
            lines.map(str::to_owned).collect::<Vec<_>>()
        };
        assert_eq!(without(&facts(&mut tech)), without(&shown), "{command}");
        tech.ok("redo");
        tech.ok("undo");
    }
    assert!(before.contains("34.0 in"), "{before}");
    assert!(facts(&mut tech).contains("34.0 in"));
}

#[test]
fn targets_from_what_was_read_are_no_wider_than_is_usual() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    tech.ok("tuned");
    tech.ok("read|relief|0.3 mm");
    tech.ok("read|action|2|2|2|2|mm");
    tech.ok("setup|take|stage");
    let setup = tech.run("setup|--json").json();
    for target in setup[0]["targets"].as_array().unwrap() {
        let within = target["within"]["value_mm"].as_f64().unwrap();
        // 0.05 mm of relief, 0.2 mm of action (common practice, no source).
        assert!(within <= 0.2, "{target}");
    }
}

#[test]
fn slips_are_asked_about_and_what_cannot_be_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = bass(folder.path());
    tech.ok("set|saddle-clockwise|more");
    for (code, command) in [
        (2, "setup|target|stage|action|all|40 mm"),
        (2, "setup|target|stage|action|all|-3 mm"),
        (2, "setup|target|stage|relief|300 mm"),
        (3, "setup|target|stage|pickup|1 4/64|--side|bass"),
        (2, "set|scale|34 mm"),
        (2, "set|scale|340 in"),
        (3, "set|tuning|E1|A1|D2|G2"),
        (3, "set|gauges|.105|.085|.065|.045|in"),
        (2, "set|gauges|5|7|9|11|mm"),
        (2, "climate|300C|50%"),
        (2, "climate|20C|145%"),
        (3, "did|rod|5|cw"),
        (3, "did|saddle|4|up|1/4|ccw"),
        (2, "read|relief|4 inch"),
        (2, "read|relief|0.3 mm|--at|0000-01-01 10:00"),
        (2, "read|relief|0.3 mm|--at|1850-01-01 10:00"),
    ] {
        let ran = tech.run(command);
        assert!(ran.code == code, "{command}: {code} is wanted: {ran:?}");
    }
    assert_eq!(tech.run("history|--json").json(), serde_json::json!([]));
}

#[test]
fn the_way_of_reading_stays_until_another_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|guitar-6|red six");
    tech.ok("tool|rule|1/64");
    tech.ok("read|action|4|4|4|5|5|5|--open");
    tech.later(60);
    assert!(tech.ok("read|action|4|4|4|5|5|5").contains("at fret 12, open"));
    assert!(tech.ok("setup|target|stage|action|all|4/64").contains("at fret 12, open"));
    tech.later(60);
    assert!(tech.ok("read|action|3|3|3|4|4|4|--stopped|1").contains("fretted at 1"));
    tech.later(60);
    assert!(tech.ok("read|action|3|3|3|4|4|4").contains("fretted at 1"));
}

#[test]
fn one_order_of_strings_everywhere() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = bass(folder.path());
    tech.ok("order|low-first");
    tech.ok("set|tuning|E1|A1|D2|G2");
    assert!(tech.ok("set|gauges|.105|.085|.065|.045|in").contains("0.105 in 0.085 in"));
    tech.refused(3, "set|tuning|G2|D2|A1|E1");
    tech.refused(3, "strings|new|--gauges|.045|.065|.085|.105|in");
    let first = |text: &str, a: &str, b: &str| {
        let at = |one: &str| text.find(one).unwrap_or_else(|| panic!("{one}: {text}"));
        at(a) < at(b)
    };
    tech.ok("tuned");
    tech.ok("read|relief|0.30");
    assert!(first(&tech.ok("read|action|7|6|6|6"), "4 (E)", "1 (G)"));
    tech.ok("setup|target|stage|relief|0.30 mm");
    tech.ok("setup|target|stage|action|all|5/64");
    tech.ok("set|saddle-clockwise|more");
    for command in [
        "setup",
        "card",
        "plan",
        "clearance",
        "before-strings|--gauges|.100|.080|.060|.040|in",
        "show",
        "calc|spacing|--width|70 mm|--between|19 mm|--gauges|.105|.085|.065|.045|in",
    ] {
        let text = tech.ok(command);
        let (low, high) = match command.split('|').next() {
            Some("show") => ("string 4 (E)", "string 1 (G)"),
            Some("calc") => ("\n4 ", "\n1 "),
            Some("clearance" | "before-strings") => ("\n4 (E)", "\n1 (G)"),
            _ => ("4 (E) ", "1 (G) "),
        };
        assert!(first(&text, low, high), "{command}: {text}");
    }
    // The longer scale is the lowest string's, whichever is said first.
    tech.ok("set|scale|33 in|35 in");
    let scale = |tech: &mut Device| tech.run("show|--json").json()["facts"].to_string();
    let facts = scale(&mut tech);
    tech.ok("set|scale|35 in|33 in");
    assert_eq!(facts, scale(&mut tech));
}

#[test]
fn as_before_is_no_new_reading_where_that_one_stands() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = bass(folder.path());
    tech.ok("tuned");
    tech.ok("read|action|5|5|5|6");
    let refused = tech.refused(2, "read|action|=|=|=|=");
    assert!(refused.contains("not a new reading"), "{refused}");
    // After something was done it is one: somebody measured again, and found the same.
    tech.ok("did|rod|1/8|cw");
    tech.ok("tuned");
    let read = tech.ok("read|action|=|=|=|7");
    assert!(read.contains("5/64 in") && read.contains("7/64 in"), "{read}");
    assert!(!tech.ok("learned").contains("repeats a reading"));
}

#[test]
fn what_waits_says_for_what_and_whom_to_ask() {
    let folder = tempfile::tempdir().unwrap();
    let device = |label: &'static str| Device::new(folder.path(), label);
    let (mut tech, mut owner, mut player) = (device("tech"), device("owner"), device("player"));
    tech.ok("add|bass-4|walnut four");
    let joins = |tech: &mut Device, who: &mut Device, file: &str| {
        let words = tech.run(&format!("invite|contributor|--welcome|{file}|--json")).json();
        let words = words["words"].as_str().unwrap().replace(' ', "|");
        who.ok(&format!("accept|{file}|{words}"));
        let back = format!("{file}.back");
        who.ok(&format!("bundle|out|{back}"));
        tech.ok(&format!("bundle|in|{back}"));
    };
    joins(&mut tech, &mut owner, "owner.fallaway");
    let nothing = owner.refused(1, "read|relief|0.30 mm");
    assert!(nothing.contains("has arrived here yet"), "{nothing}");
    tech.ok("bundle|out|whole.fallaway");
    owner.ok("bundle|in|whole.fallaway");
    joins(&mut tech, &mut player, "player.fallaway");
    tech.ok("bundle|out|whole2.fallaway");
    player.ok("bundle|in|whole2.fallaway");
    player.ok("read|relief|0.30 mm");
    // Another app sent the player's own lines alone.
    let options = fallaway::WorkshopOptions::new(folder.path().join("player"), "player");
    let workshop = fallaway::Workshop::open(options).unwrap();
    let shared = workshop.instrument_named("walnut four").unwrap();
    let unsent = shared.bundle_unsent().unwrap().unwrap();
    std::fs::write(folder.path().join("news.fallaway"), unsent.file).unwrap();
    workshop.shut_down().unwrap();
    let waits = flat(&owner.ok("bundle|in|news.fallaway"));
    assert!(waits.contains("not known here yet") && waits.contains("Ask tech for"), "{waits}");
    owner.ok("bundle|in|whole2.fallaway");
    assert!(owner.ok("card").contains("0.30 mm"), "{}", owner.ok("card"));
    // A file of what is new holds what others brought, and nobody has to ask.
    let mut third = device("third");
    joins(&mut tech, &mut third, "third.fallaway");
    tech.ok("bundle|in|news.fallaway");
    tech.ok("bundle|out|new.fallaway|--new");
    let report = flat(&third.ok("bundle|in|new.fallaway"));
    assert!(report.contains("player has joined") && !report.contains("wait"), "{report}");
    assert!(third.ok("card").contains("0.30 mm"));
}

#[test]
fn sets_that_differ_are_settled_as_one_and_numbers_stay() {
    let folder = tempfile::tempdir().unwrap();
    let device = |label: &'static str| Device::new(folder.path(), label);
    let (mut tech, mut player) = (device("tech"), device("player"));
    tech.ok("add|bass-4|walnut four");
    let said = tech.run("invite|contributor|--welcome|in.fallaway|--json").json();
    let words = said["words"].as_str().unwrap().replace(' ', "|");
    player.ok(&format!("accept|in.fallaway|{words}"));
    player.ok("bundle|out|back.fallaway");
    tech.ok("bundle|in|back.fallaway");
    tech.ok("bundle|out|whole.fallaway");
    player.ok("bundle|in|whole.fallaway");
    tech.ok("strings|one|--gauges|.040|.060|.080|.100|in");
    player.ok("strings|two|--gauges|.045|.065|.085|.110|in");
    tech.ok("setup|target|stage|action|all|2.0 mm");
    player.ok("setup|target|stage|action|all|2.2 mm");
    tech.ok("setup|target|stage|relief|0.30 mm");
    player.ok("setup|target|stage|relief|0.20 mm");
    player.ok("bundle|out|news.fallaway");
    tech.ok("bundle|in|news.fallaway");
    let places = |tech: &mut Device| {
        let all = tech.run("two-values|--json").json();
        let numbers = all.as_array().unwrap().iter().map(|one| one["place"].as_u64().unwrap());
        let mut numbers: Vec<u64> = numbers.collect();
        numbers.dedup();
        numbers
    };
    assert_eq!(places(&mut tech), [1, 2, 3]);
    let settled = tech.ok("settle|1|1");
    assert!(settled.contains("0.110 in") && settled.contains("0.045 in"), "{settled}");
    // The others keep their numbers, and no string of one set is mixed with the other.
    assert_eq!(places(&mut tech), [2, 3]);
    let facts = tech.ok("show");
    for gauge in ["0.045 in", "0.065 in", "0.085 in", "0.110 in"] {
        assert!(facts.contains(gauge), "{facts}");
    }
    // It was one stroke, and is taken back as one.
    tech.ok("undo");
    assert_eq!(places(&mut tech), [1, 2, 3]);
    tech.ok("settle|1|1");
    tech.ok("settle|3|1");
    tech.ok("settle|2|1");
    assert_eq!(places(&mut tech), Vec::<u64>::new());
    tech.refused(2, "settle|1|1");
}

fn tuned_and_read(folder: &std::path::Path) -> Device {
    let mut tech = bass(folder);
    tech.ok("tuned");
    tech.ok("read|relief|0.30");
    tech.ok("read|action|5|5|5|6");
    tech
}

/// The smallest margin of the lowest string.
fn margin(tech: &mut Device) -> f64 {
    let answer = tech.run("clearance|--json").json();
    answer["answer"]["strings"][3]["smallest_margin_mm"].as_f64().unwrap()
}

#[test]
fn a_crown_that_stands_high_is_kept_and_used() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = tuned_and_read(folder.path());
    let level = margin(&mut tech);
    assert!(tech.ok("fret|15|high|0.15 mm").contains("stands high by 0.15 mm"));
    assert!(margin(&mut tech) < level - 0.05, "{} {level}", margin(&mut tech));
    let causes = tech.run("why-buzz|4|12-14|--json").json();
    let first = causes["answer"]["causes"][0]["cause"].as_str().unwrap().to_owned();
    assert!(first.contains("15"), "{first}");
    assert!(tech.ok("clearance").contains("The crown of fret 15"));
    tech.ok("fret|2-3|worn|0.1 mm|--strings|3-4|--note|under the low strings");
    assert_eq!(tech.run("fret|--json").json().as_array().unwrap().len(), 3);
    assert!(tech.ok("history").contains("under the low strings"));
    // One undo takes back both frets; work on the frets ends what was known of them.
    tech.ok("undo");
    assert_eq!(tech.run("fret|--json").json().as_array().unwrap().len(), 1);
    tech.ok("did|frets|--note|levelled");
    assert!(tech.ok("fret").contains("Nothing is noted"));
    // Heights under a straight edge: each that stands off its neighbours is found.
    let found = tech.ok("fret|--heights|0|0|0|0.08|0|0|mm");
    assert!(found.contains("Fret 4") && found.contains("0.08 mm"), "{found}");
    tech.refused(2, "fret|7|crooked");
    tech.refused(2, "fret|40|high");
    tech.refused(2, "fret|7|high|-1 mm");
}

#[test]
fn how_the_board_ends_is_read_wanted_drawn_and_used() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = tuned_and_read(folder.path());
    let level = margin(&mut tech);
    let said = tech.ok("read|fall-away|0.25 mm");
    assert!(said.contains("Fall-away at fret 24"), "{said}");
    assert!(tech.ok("clearance").contains("falls away by 0.25 mm at fret 24"));
    let fallen = margin(&mut tech);
    tech.ok("undo");
    // A rise is asked about, then kept; it is used, too.
    tech.refused(3, "read|fall-away|-0.25 mm");
    tech.ok("read|fall-away|-0.25 mm|--sure");
    let risen = margin(&mut tech);
    // The action is read over the very fret that fell or rose: what is left elsewhere follows.
    let apart = [(fallen - level).abs(), (risen - level).abs(), (risen - fallen).abs()];
    assert!(apart.iter().all(|by| *by > 0.001), "{risen} {level} {fallen}");
    tech.ok("setup|target|mine|fall-away|0.2 mm");
    let plan = tech.ok("plan");
    assert!(plan.contains("rises toward its end") && plan.contains("qualified repairer"), "{plan}");
    assert!(tech.ok("card").contains("all-away at fret 24"));
    let drawn = tech.ok("draw|neck");
    assert!(drawn.contains("straight edge on"), "{drawn}");
    let own = "read|fall-away|0.10|--between|10|14|--at-fret|20";
    assert!(tech.ok(own).contains("straight edge on 10 to 14"));
    tech.refused(2, "read|fall-away|0.10|--between|14|10");
    tech.refused(2, "read|fall-away|0.10|--between|10|20|--at-fret|20");
    // Levelled frets end differently: what was read says nothing of them.
    tech.ok("did|frets|--note|levelled");
    assert!(!tech.ok("clearance").contains("rises by"));
    // The same from the height of every crown.
    let mut heights = vec!["0"; 17];
    heights.extend(["-0.04", "-0.08", "-0.12", "-0.16", "-0.20", "-0.24", "-0.28"]);
    let said = tech.ok(&format!("fret|--heights|{}|mm", heights.join("|")));
    assert!(said.contains("fret 24 lies 0.28 mm under the line of frets 13 and 17"), "{said}");
}

#[test]
fn what_follows_a_visit_that_just_ended_is_asked_about() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = bass(folder.path());
    tech.ok("tuned");
    tech.ok("read|relief|0.30");
    tech.ok("visit|end");
    for command in ["did|rod|1/8|cw", "tuned", "read|relief|0.31", "strings|new"] {
        let question = tech.refused(3, command);
        assert!(question.contains("another one"), "{command}: {question}");
    }
    tech.ok("did|rod|1/8|cw|--sure");
    let question = tech.refused(3, "visit|begin|again");
    assert!(question.contains("is open since"), "{question}");
}

#[test]
fn a_rod_turned_far_is_cautioned_about() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = bass(folder.path());
    let eighth = tech.run("did|rod|1/8|cw");
    assert!(!eighth.err.contains("Caution"), "{}", eighth.err);
    let half = tech.run("did|rod|1/2|cw");
    assert!(half.code == 0 && half.err.contains("At most a quarter turn"), "{half:?}");
    for (command, caution) in [("strings|new", "eyes"), ("did|springs|1/2|cw", "prings")] {
        let ran = tech.run(command);
        assert!(ran.code == 0 && ran.err.contains(caution), "{command}: {ran:?}");
    }
    assert!(!tech.ok("did|pickup|1|bass|up|1/4|cw").contains("Tune"));
}

#[test]
fn all_that_stands_is_left_before_the_plan_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = bass(folder.path());
    for command in [
        "tuned",
        "setup|target|stage|relief|0.30 mm",
        "setup|target|stage|action|all|5/64",
        "read|relief|0.30",
        "read|action|5|5|5|5",
        "read|relief|0.30|--as-left",
    ] {
        tech.ok(command);
    }
    assert!(tech.ok("next").starts_with("Final numbers"), "{}", tech.ok("next"));
    tech.ok("as-left");
    assert!(tech.ok("next").starts_with("Nothing left"), "{}", tech.ok("next"));
}

#[test]
fn a_draft_too_large_for_one_change_leaves_in_several() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = bass(folder.path());
    // Letters that no compression makes smaller.
    let mut seed = 1_u64;
    let mut letters = || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        char::from(b'a' + u8::try_from((seed >> 33) % 26).unwrap())
    };
    for _ in 0..60 {
        let text: String = (0..3_900).map(|_| letters()).collect();
        tech.ok(&format!("remark|{text}"));
    }
    tech.ok("bundle|out|large.fallaway");
    assert!(std::fs::metadata(folder.path().join("large.fallaway")).unwrap().len() > 100_000);
}

#[test]
fn what_is_read_of_strings_names_what_is_wanted() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = bass(folder.path());
    let said = tech.refused(2, "read|pickup|3 mm");
    assert!(said.contains("treble side"), "{said}");
    let said = tech.refused(2, "read|spacing|19 mm|--strings|4");
    assert!(said.contains("lowest"), "{said}");
    tech.refused(2, "read|action|5|5|--strings|1,1");
    let said = tech.refused(2, "card|walnut");
    assert!(said.contains("-i walnut"), "{said}");
    // A command by how it begins.
    assert_eq!(tech.ok("hist"), tech.ok("history"));
    tech.ok("setup|target|stage|action|all|2 mm");
    let dropped = tech.ok("setup|drop|stage|action|4");
    assert!(dropped.contains("4 (E)"), "{dropped}");
    for number in 0..12 {
        tech.ok(&format!("add|bass-4|bass {number}"));
    }
    let which = tech.refused(2, "card");
    assert!(which.contains("5 more") && which.contains("--search"), "{which}");
    assert!(tech.refused(1, "card|-i|nobody").len() < 700);
}

#[test]
fn a_folder_that_is_not_there_is_not_made() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    assert!(tech.ok("list").contains("No instrument yet"));
    assert_eq!(tech.run("list|--json").json(), serde_json::json!([]));
    let said = tech.refused(1, "card");
    assert!(said.contains("nothing in"), "{said}");
    assert!(!folder.path().join("tech").exists());
    tech.ok("add|bass-4|one");
}

#[test]
fn a_set_of_the_shop_is_tried_before_it_is_on() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = bass(folder.path());
    tech.ok("pack|keep|light|--gauges|.040|.060|.080|.100|in");
    let by_gauges = tech.run("before-strings|--gauges|.040|.060|.080|.100|in|--json").json();
    let by_pack = tech.run("before-strings|--pack|light|--json").json();
    assert_eq!(by_gauges["answer"]["total_then_newton"], by_pack["answer"]["total_then_newton"]);
    tech.refused(1, "before-strings|--pack|heavy");
    // As weighed, where the pack says how heavy its strings are.
    tech.ok("pack|keep|weighed|--gauges|.040|.060|.080|.100|in|--weights|5|10|20|30|g/m");
    let weighed = tech.run("before-strings|--pack|weighed|--json").json();
    assert_ne!(by_pack["answer"]["total_then_newton"], weighed["answer"]["total_then_newton"]);
}

#[test]
fn names_are_listed_for_a_shell() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    tech.ok("add|bass-4|red $(five)");
    assert_eq!(tech.ok("list|--names"), "red $(five)\nwalnut four\n");
    for shell in ["bash", "zsh", "fish"] {
        assert!(tech.ok(&format!("completions|{shell}")).contains("list --names"), "{shell}");
    }
}

#[test]
fn what_a_shop_keeps_is_backed_up_and_restored_by_commands() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = bass(folder.path());
    for command in [
        "owner|A. Player|--contact|by the door",
        "job|add|nut|--waits-for|a blank|--part|nut blank = 12 EUR|--price|40 EUR",
        "care|--months|6",
        "tuned",
        "read|relief|0.30",
        "read|action|5|5|5|6",
        "setup|take|stage",
        "spec|keep|medium touch",
        "pack|keep|light|--gauges|.040|.060|.080|.100|in",
        "copy|walnut four|ash four",
        "targets|from|medium touch|-i|ash four",
        "targets|usual|--into|usual|-i|ash four",
        "export|record.json|-i|walnut four",
        "export|readings.csv|--table|-i|walnut four",
        "backup|everything.fallaway",
    ] {
        tech.ok(command);
    }
    // Nothing is written over without a question.
    tech.refused(3, "backup|everything.fallaway");
    let table = std::fs::read_to_string(folder.path().join("readings.csv")).unwrap();
    assert!(table.lines().any(|line| line.contains("6/64 in")), "{table}");
    let mut new = Device::new(folder.path(), "new");
    new.ok("restore|everything.fallaway");
    let two = |device: &mut Device, words: &str| device.run(&format!("{words}|--json")).json();
    for words in [
        "owner|-i|walnut four",
        "job|-i|walnut four",
        "care|-i|walnut four",
        "card|-i|walnut four",
        "setup|-i|ash four",
        "spec",
        "pack",
        "desk",
    ] {
        assert_eq!(two(&mut tech, words), two(&mut new, words), "{words}");
    }
    // One record alone, on a device of its own; whose it is stays where it was.
    let mut other = Device::new(folder.path(), "other");
    other.ok("restore|record.json|--as|walnut again");
    assert_eq!(other.ok("list|--names"), "walnut again\n");
    assert!(other.ok("card").contains("6/64 in"));
    assert_eq!(two(&mut other, "owner"), serde_json::json!({ "owner": null }));
    assert_eq!(two(&mut other, "search|Player"), serde_json::json!([]));
}

#[test]
fn help_is_one_screen_with_the_commands_of_every_day() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    for language in ["en", "de"] {
        for asked in ["--help", "-h"] {
            let help = tech.ok(&format!("{asked}|--language|{language}"));
            // The lines of an old terminal.
            assert!(help.lines().count() <= 24, "{language}: {} lines", help.lines().count());
            for command in ["visit", "tool", "tuned", "read", "plan", "done", "as-left", "card"] {
                assert!(help.contains(&format!("  {command} ")), "{command}: {help}");
            }
        }
        assert!(tech.ok(&format!("commands|--language|{language}")).contains("before-strings"));
    }
    assert!(tech.run("commands|--json").json().as_array().unwrap().len() > 60);
}

#[test]
fn several_entries_of_one_command_are_all_in_the_json() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    let done = tech.run("did|saddles|all|up|1/4|cw|--json").json();
    let strings: Vec<&str> = done["entries"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["string"].as_str().unwrap())
        .collect();
    assert_eq!(strings, ["1", "2", "3", "4"]);
    // The fields of an entry are those of the last one, as where there is only one.
    assert_eq!(done["short"], done["entries"][3]["short"]);
    let one = tech.run("did|saddle|1|up|1/4|cw|--json").json();
    assert_eq!(one["entries"], serde_json::Value::Null);
    let worn = tech.run("fret|3-5|worn|--json").json();
    assert_eq!(worn["entries"].as_array().unwrap().len(), 3);
}

#[test]
fn names_are_typed_as_they_are() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("me|\u{1F3B8}");
    tech.ok("add|bass-4|same");
    // A device whose name has no letter: an entry's short name is no option all the same.
    tech.ok("remark|first");
    let short = tech.run("history|--json").json()[0]["short"].as_str().unwrap().to_owned();
    tech.ok("bundle|out|kept.fallaway");
    tech.ok(&format!("cross-out|{short}|a slip"));
    // Two names that differ in their capitals only.
    tech.ok("add|bass-5|Same");
    assert_eq!(tech.run("show|-i|same|--json").json()["name"], "same");
    assert_eq!(tech.run("show|-i|Same|--json").json()["name"], "Same");
}

#[test]
fn an_instrument_has_tools_and_units_of_its_own() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    tech.ok("add|guitar-6|red six");
    tech.ok("tool|rule|1/64");
    tech.ok("tool|caliper|0.02 mm|--only|-i|red six");
    tech.ok("units|mm|--only|-i|red six");
    let first = |tech: &mut Device, line: &str| {
        tech.run(&format!("{line}|--json")).json()["readings"][0]["as_entered"].clone()
    };
    assert_eq!(first(&mut tech, "read|action|2|2|2|2|2|2|-i|red six"), "2 mm");
    assert_eq!(first(&mut tech, "read|action|5|5|5|6|-i|walnut four"), "5/64 in");
    let kept = |tech: &mut Device, words: &str| tech.run(&format!("{words}|--json")).json();
    assert_eq!(kept(&mut tech, "tool|--only|-i|red six")["tools"]["action"], "caliper 0.02 mm");
    assert_eq!(kept(&mut tech, "tool")["tools"]["action"], "rule 1/64");
    assert_eq!(kept(&mut tech, "units|--only|-i|red six")["units"], "mm");
    assert_eq!(kept(&mut tech, "units")["units"], "as-read");
    // Put down there, the one of every day is in the hand again.
    tech.ok("tool|--none|--only|-i|red six");
    assert_eq!(kept(&mut tech, "tool|--only|-i|red six")["tools"]["action"], "rule 1/64");
}

/// Of hundreds of names only those are shown that may have been meant.
#[test]
fn a_name_that_is_not_there_brings_up_those_near_it() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    for number in 1..=30 {
        tech.ok(&format!("add|bass-4|rack {number}"));
    }
    tech.ok("add|guitar-6|walnut parlour");
    let said = flat(&tech.refused(1, "card|-i|walnut parler"));
    assert!(said.contains("walnut parlour") && said.contains("31"), "{said}");
    assert!(!said.contains("rack"), "{said}");
    let said = flat(&tech.refused(1, "card|-i|mandolin"));
    assert!(said.contains("and 26 more"), "{said}");
    // What is inside one name only is that one; a beginning goes before it.
    tech.ok("card|-i|parlour");
    tech.ok("add|bass-4|parlour bass");
    assert!(tech.ok("card|-i|parlour").contains("parlour bass"));
    // Several fit: few of them are named.
    let said = flat(&tech.refused(2, "card|-i|ack"));
    assert!(said.contains("and 25 more"), "{said}");
}

/// The name of an entry, as the history prints it, is taken wherever an entry is meant.
#[test]
fn a_visit_is_named_by_any_of_its_lines() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = bass(folder.path());
    tech.ok("visit|begin");
    tech.ok("remark|the first day");
    tech.ok("visit|end");
    tech.later(30 * 24 * 3600);
    tech.ok("visit|begin");
    tech.ok("remark|the second day");
    let lines = tech.run("history|--json").json();
    let short = |text: &str| {
        let all = lines.as_array().unwrap().iter();
        let mut found = all.filter(|one| one.to_string().contains(text));
        found.next().unwrap()["short"].as_str().unwrap().to_owned()
    };
    let first = tech.ok(&format!("history|--visit|{}", short("the first day")));
    assert!(first.contains("the first day") && !first.contains("the second day"), "{first}");
    let begun = short("visit opened");
    assert_eq!(tech.ok(&format!("history|--visit|{begun}")), first);
    assert!(tech.ok("history|--visit").contains("the second day"));
    assert!(tech.refused(1, "history|--visit|nobody-7").contains("nobody-7"));
}

/// Who measures in inches reads inches: no answer of the bench tells a length in millimetres, except what was
/// read so.
#[test]
fn with_tools_in_inches_no_answer_speaks_of_millimetres() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    for line in [
        "add|bass-4|walnut four",
        "set|radius|12 in",
        "set|bridge-spread|2 1/4 in",
        "set|nut-spread|1 1/2 in",
        "tool|rule|1/64",
        "tool|feeler|1 thou",
        "tool|caliper|0.001 in|--for|spacing",
        "setup|target|stage|relief|12 thou",
        "setup|target|stage|action|all|5/64",
        "tuned",
        "read|relief|14|--as-left",
        "read|action|5|6|6|5|--as-left",
        "visit|end",
    ] {
        let ran = tech.run(line);
        assert!(ran.code == 0 || line.starts_with("tool|caliper"), "{line}: {ran:?}");
    }
    tech.later(90 * 24 * 3600);
    for line in ["tuned", "read|relief|18", "read|action|6|7|7|6"] {
        tech.ok(line);
    }
    for question in
        ["plan", "plan|--all", "next", "card", "clearance", "why-buzz|4|3-5", "changed", "learned"]
    {
        let said = tech.run(question).out;
        let said = flat(&said);
        assert!(!said.contains(" mm"), "{question}: {said}");
    }
    let clearance = flat(&tech.ok("clearance"));
    assert!(clearance.contains("6/64 in") && clearance.contains("thou"), "{clearance}");
    // In millimetres for who prefers them, whatever the tools read.
    tech.ok("units|mm");
    assert!(flat(&tech.ok("clearance")).contains(" mm to spare"));
}

/// Feelers in millimetres beside a rule in sixty-fourths: each number in the unit of what reads it.
#[test]
fn relief_is_told_as_it_is_read_whatever_reads_the_action() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    for line in ["add|bass-4|walnut four", "tool|rule|1/64", "tuned", "read|relief|0.40 mm"] {
        tech.ok(line);
    }
    for line in ["did|rod|1/8|cw", "tuned", "read|relief|0.33 mm", "read|action|5|6|5|5"] {
        tech.ok(line);
    }
    let learned = flat(&tech.ok("learned"));
    assert!(learned.contains("mm (") && !learned.contains("thou"), "{learned}");
    // Who reads it in thou is told in thou.
    tech.ok("read|relief|13 thou");
    let learned = flat(&tech.ok("learned"));
    assert!(learned.contains("of relief a quarter turn") && learned.contains("thou"), "{learned}");
}

/// What was read of the board is not assumed to be otherwise in the same answer.
#[test]
fn a_board_whose_end_was_read_is_not_called_level() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = tuned_and_read(folder.path());
    assert!(flat(&tech.ok("clearance")).contains("Frets level, saddles"));
    tech.ok("read|fall-away|0.2 mm");
    let said = flat(&tech.ok("clearance"));
    assert!(
        !said.contains("Frets level,") && said.contains("Otherwise the frets are level"),
        "{said}"
    );
}

#[test]
fn springs_of_a_floating_bridge_are_counted() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|guitar-6|ash six");
    tech.ok("set|springs|4");
    assert!(flat(&tech.ok("show")).contains("springs of the bridge 4"), "{}", tech.ok("show"));
    assert!(tech.refused(2, "set|springs|40").contains('8'));
    tech.language = fallaway_text::Language::named("de");
    assert!(flat(&tech.ok("show")).contains("Federn des Stegs 4"));
}

/// Strings, tools, screws: by the name under which the plan and the tables show them.
#[test]
fn what_is_shown_is_understood_when_it_is_typed() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = bass(folder.path());
    assert!(tech.ok("tool|feeler gauge 1 thou").contains("feeler gauge 1 thou"));
    assert!(tech.ok("tool|Messuhr 0,01 mm").contains("dial gauge 0.01 mm"));
    tech.ok("read|action|5|--strings|1 (G)|--tool|rule 1/64 in");
    tech.ok("buzz|4 (E)|3-5");
    for (typed, said) in [
        ("saddle 4 (E) 7/8 turn anticlockwise", "string 4 (E): 7/8 turn anticlockwise"),
        ("intonation screw 1 (G) 1/4 turn clockwise", "position, string 1 (G): 1/4 turn"),
        ("spring claw 1/4 turn clockwise", "1/4 turn clockwise"),
        ("bass post 1/2 turn anticlockwise", "bass"),
        ("truss rod 1/8 turn clockwise", "Truss rod: 1/8 turn clockwise"),
        ("pickup 1 bass side 1/4 turn clockwise", "Pickup 1, bass side"),
    ] {
        let answer = flat(&tech.ok(&format!("did|{typed}")));
        assert!(answer.contains(said), "{typed}: {answer}");
    }
}

/// A pole piece under one string: written, shown, cautioned about and taken back; the gap under that string
/// alone is to be read again. With more than one pickup it is asked which.
#[test]
fn a_pole_piece_is_turned_under_its_string_alone() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = bass(folder.path());
    tech.ok("setup|target|stage|pickup|all|3 mm");
    tech.ok("tuned");
    tech.ok("read|pickup|3|3|3|3|mm");
    let asked = flat(&tech.refused(2, "did|pole|3|1/4|up"));
    assert!(asked.contains("which pickup?") && asked.contains("pole 3 pickup 1"), "{asked}");
    let ran = tech.run("did|pole|A|pickup|1|1/4|up");
    let did = flat(&format!("{} {}", ran.out, ran.err));
    assert!(did.contains("ickup 1, pole piece under string 3 (A): up by 1/4 turn"), "{did}");
    // Common practice, no source.
    assert!(did.contains("turns freely") && did.contains("repairer"), "{did}");
    assert!(
        flat(&tech.ok("history"))
            .contains("ickup 1, pole piece under string 3 (A): up by 1/4 turn")
    );
    let plan = tech.run("plan|--json").json();
    let again: Vec<&str> = plan["steps"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|step| step["step"] == "pickup height" && step["verdict"] == "measure-again")
        .filter_map(|step| step["string"].as_str())
        .collect();
    assert_eq!(again, ["3"], "{plan}");
    let undone = flat(&tech.ok("undo"));
    assert!(undone.contains("pole piece under string 3 (A)"), "{undone}");
    tech.ok("set|pickups|1");
    assert!(flat(&tech.ok("did|pole|3|1/8|ccw")).contains("1/8 turn anticlockwise"));
    assert!(flat(&tech.refused(3, "did|pole|3|3|cw")).contains("--sure"));
}

/// A row of the list says what is next, whether a draft is open and what is unsent, on the narrowest screen too.
#[test]
fn the_list_says_what_is_next_and_what_is_not_sent() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = bass(folder.path());
    tech.ok("add|bass-5|blue five");
    tech.ok("setup|target|stage|relief|0.3 mm|-i|walnut four");
    let row = |tech: &mut Device, name: &str| {
        let all = tech.run("list|--json").json();
        all.as_array().unwrap().iter().find(|one| one["name"] == name).unwrap().clone()
    };
    let one = row(&mut tech, "walnut four");
    assert_eq!((one["next"].as_str(), one["unsent"].as_u64()), (Some("tune"), Some(0)));
    tech.ok("tuned|-i|walnut four");
    let one = row(&mut tech, "walnut four");
    assert_eq!((&one["next"], &one["drafted"]), (&"relief".into(), &true.into()));
    let shown = flat(&tech.ok("list"));
    assert!(shown.contains("next: relief; open draft"), "{shown}");
    tech.ok("invite|contributor|--welcome|in.fallaway|--out|in.txt|-i|walnut four");
    let mut player = Device::new(folder.path(), "player");
    player.ok("accept|in.fallaway|--words|in.txt");
    player.ok("bundle|out|joined.fallaway");
    tech.ok("bundle|in|joined.fallaway");
    assert!(row(&mut tech, "walnut four")["unsent"].as_u64().unwrap() > 0);
    assert!(flat(&tech.ok("list")).contains("unsent"));
}

/// An argument of nothing but blanks is never what somebody meant: it is named, and what it takes.
#[test]
fn an_empty_argument_is_refused_and_says_what_it_takes() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = tuned_and_read(folder.path());
    let before = tech.run("history|--json").json();
    for line in [
        "strings|@",
        "strings|a set|--note|@",
        "strings|--pack|@",
        "tool|@",
        "list|--search|@",
        "search|@",
        "did|rod|1/8|cw|--note|@",
        "tuned|--note|@",
        "climate|20C|50%|--place|@",
        "buzz|1|3|@",
        "fret|7|high|--note|@",
        "history|--visit|@",
        "owner|player|--contact|@",
        "units|@",
        "visit|begin|@",
        "remark|@",
        "setup|target|@|relief|0.2 mm",
        "setup|take|@",
        "card|-i|@",
        "card|--at|@",
    ] {
        for blank in ["", "   "] {
            let said = tech.refused(2, &line.replace('@', blank));
            assert!(said.contains("is empty; accepted: "), "{line}: {said}");
            assert!(!said.contains("accepted: (help"), "{line}: {said}");
        }
    }
    assert!(tech.refused(2, "tuned|--note=").contains("--note"), "behind its option");
    assert_eq!(tech.run("history|--json").json(), before);
    tech.language = fallaway_text::Language::named("de");
    assert!(tech.refused(2, "strings|").contains("ist leer; möglich: Der Satz"));
}

/// A question as of a time knows what the history shows up to that minute, and nothing of what came after.
#[test]
fn what_was_written_later_counts_for_nothing_in_a_question_as_of_then() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = bass(folder.path());
    for line in [
        "setup|target|stage|relief|0.30 mm",
        "tuned|--at|2026-01-20 09:00",
        "read|relief|0.30|--at|2026-01-20 09:01",
        "visit|end|--at|2026-01-20 09:02",
        "tuned|--at|2026-02-20 09:00",
        "read|relief|0.45|--at|2026-02-20 09:01",
        "did|rod|1/8|cw|--at|2026-02-20 09:02",
        "tuned|--at|2026-02-20 09:03",
        "read|relief|0.36|--at|2026-02-20 09:04",
    ] {
        tech.ok(line);
    }
    let card = |tech: &mut Device, at: &str| flat(&tech.ok(&format!("card|--at|2026-{at}")));
    assert!(card(&mut tech, "02-20 09:00").contains("0.30 mm 0.30 mm on target"));
    assert!(card(&mut tech, "02-20 09:01").contains("0.45 mm 0.30 mm above target"));
    assert!(card(&mut tech, "02-20 09:02").contains("measure again"));
    assert!(card(&mut tech, "02-20 09:04").contains("0.36 mm"));
    // A day without a time is asked about as it ended.
    assert!(card(&mut tech, "02-20").contains("0.36 mm"));
    assert!(card(&mut tech, "01-20").contains("0.30 mm 0.30 mm on target"));
    let plan = |tech: &mut Device, at: &str| flat(&tech.ok(&format!("plan|--at|2026-{at}")));
    assert!(plan(&mut tech, "02-20 09:01").contains("Read 0.45 mm"));
    assert!(!plan(&mut tech, "02-20 09:01").contains("last 1/8 turn"));
    // The reading of the very minute is part of the answer, the one a minute later is not.
    let changed = |tech: &mut Device, at: &str| flat(&tech.ok(&format!("changed|--at|2026-{at}")));
    let (first, second) = (changed(&mut tech, "02-20 09:01"), changed(&mut tech, "02-20 09:04"));
    assert!(first.contains("0.45 mm") && !first.contains("0.36 mm"), "{first}");
    assert!(second.contains("0.36 mm"), "{second}");
    assert_eq!(first, changed(&mut tech, "02-20 09:01"));
    // Nothing is changed by asking.
    assert!(flat(&tech.ok("card")).contains("0.36 mm"));
}

#[test]
fn instruments_stand_in_the_order_in_which_people_count() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    for name in ["bass 100", "Bass 2", "bass 10", "bass 1"] {
        tech.ok(&format!("add|bass-4|{name}"));
    }
    assert_eq!(tech.ok("list|--names"), "bass 1\nBass 2\nbass 10\nbass 100\n");
}

/// A device's name that nobody could read is refused, and the device goes on under the one that it had.
#[test]
fn a_name_that_is_refused_is_not_kept() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    // Invisible, turning the line round, and too long for a label of 64 bytes.
    for name in ["te\u{200b}ch", "te\u{202e}ch", &"\u{6f22}".repeat(40)] {
        tech.refused(2, &format!("me|{name}"));
        assert_eq!(tech.run("me|--json").json()["label"], "tech");
        tech.ok("card");
    }
    tech.ok("me|bench two");
    assert_eq!(tech.run("me|--json").json()["label"], "bench two");
}
