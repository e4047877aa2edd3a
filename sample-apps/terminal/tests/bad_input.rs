//! Nonsense from outside: a clear message, an exit code that is not 0, and nothing stored.

// Helpers of tests fail loudly.
#![allow(clippy::panic, clippy::unwrap_used)]

mod common;

use std::fs;

use common::Device;

/// The entries that are stored.
fn stored(device: &mut Device) -> usize {
    device.run("history|--json").json().as_array().unwrap().len()
}

#[test]
fn nonsense_is_refused_with_what_would_be_accepted_and_nothing_is_stored() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    tech.ok("tool|rule|1/64");
    let before = stored(&mut tech);
    let mut faults = Vec::new();
    for (words, code, said) in [
        ("read|relief|banana", 2, "banana"),
        ("read|relief|0.3 kg", 2, "kg"),
        ("read|relief|12", 2, "12 thou"),
        ("read|action|5|5|5", 2, "4 are wanted"),
        ("read|action|5|5|5|5|5", 2, "4 are wanted"),
        ("read|action|5|5|5|5/0", 2, "1/0"),
        ("read|action|-|-|-|-", 2, "every one is"),
        ("read|action|5|--strings|9", 2, "strings 1 to 4"),
        ("read|action|5|--strings|0", 2, "outside 1"),
        ("read|action|5|5|5|6|--over|30", 2, "frets 1 to"),
        ("read|action|5|5|5|6|--over|99", 2, "outside 0 to 36"),
        ("read|action|5|5|5|6|--tool|spoon", 2, "spoon"),
        ("read|gap|5|5|5|6", 2, "--stopped"),
        ("read|height|5|5|5|6", 2, "action"),
        ("read|action|=|=|=|=", 2, "nothing was read there before"),
        ("read|action|5|5|5|6|--at|tomorrow", 2, "accepted"),
        ("read|action|5|5|5|6|--at|2099-01-01", 2, "future"),
        ("did|flux capacitor", 2, "rod 1/8 cw"),
        ("did|rod|1/8", 2, "cw"),
        ("did|saddle|9|down|1/4|cw", 2, "strings 1 to 4"),
        ("buzz|4|77", 2, "outside 0 to 36"),
        ("buzz|4|30", 2, "frets 1 to"),
        ("buzz|x|3", 2, "not a string"),
        ("climate|21", 2, "no unit"),
        ("climate|45kg", 2, "45kg"),
        ("remark| ", 2, "is empty; accepted"),
        ("cross-out|zz99|reason", 1, "zz99"),
        ("set|colour|blue", 2, "scale"),
        ("set|scale|none", 2, "34 in"),
        ("set|tuning|E1", 2, "for 4 strings"),
        ("setup|target|stage|action|7|2 mm", 2, "strings 1 to 4"),
        ("setup|target|stage|action|2 mm", 2, "which strings"),
        ("setup|target|stage|relief|3 cents", 2, "length"),
        ("setup|show|nowhere", 1, "nowhere"),
        ("settle|1|1", 2, "nothing has two values"),
        ("add|kazoo|mine", 1, "bass-4"),
        ("bundle|in|nowhere.fallaway", 1, "nowhere.fallaway"),
        ("accept|nowhere.txt", 1, "nowhere.txt"),
        ("history|-i|nobody", 1, "walnut four"),
        ("forget|walnut", 1, "in full"),
        ("changed|--since|zz9", 1, "zz9"),
        ("changed", 1, "setup"),
        ("forecast|20C|25%", 1, "forecast"),
        ("forecast|20C", 2, "humidity"),
        ("tool|rule|0", 2, "0"),
        ("frobnicate", 2, "frobnicate"),
        ("history|--last|x", 2, "a whole number"),
        ("invite|viewer|--days|400", 2, "1\u{2013}365"),
        ("read|relief|0.3 mm|--frobnicate", 2, "not expected"),
        ("read", 2, "still needed"),
    ] {
        let message = tech.refused(code, words);
        if !message.contains(said) {
            faults.push(format!("{words}: {message:?} does not say {said:?}"));
        }
        // What is said in English only would be the same here.
        let german = tech.refused(code, &format!("--language|de|{words}"));
        if german == message {
            faults.push(format!("{words}: {message:?} is not said in German"));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert_eq!(stored(&mut tech), before);
}

#[test]
fn an_implausible_reading_is_a_question_and_an_impossible_one_is_not() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    let before = stored(&mut tech);
    let question = tech.refused(3, "read|relief|3.0 mm");
    assert!(question.contains("--sure"), "{question}");
    assert_eq!(stored(&mut tech), before);
    tech.ok("read|relief|3.0 mm|--sure");
    let refusal = tech.refused(2, "read|relief|900 mm|--sure");
    assert!(refusal.contains("900 mm"), "{refusal}");
}

#[test]
fn a_question_takes_yes_for_an_answer_and_nothing_else() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    let before = stored(&mut tech);
    for answer in ["n\n", "\n", "", "maybe\n"] {
        let ran = tech.answer("read|relief|3.0 mm", answer);
        assert_eq!(ran.code, 3, "{answer:?}: {ran:?}");
        assert!(ran.err.contains("Sure?"), "{ran:?}");
        assert_eq!(stored(&mut tech), before);
    }
    assert_eq!(tech.answer("read|relief|3.0 mm", "y\n").code, 0);
    assert!(stored(&mut tech) > before);
    // Deleting is a question too.
    assert_eq!(tech.answer("forget|walnut four", "n\n").code, 3);
    assert_eq!(tech.answer("forget|walnut four", "yes\n").code, 0);
    assert_eq!(tech.run("list|--json").json().as_array().unwrap().len(), 0);
}

#[test]
fn errors_are_json_where_json_was_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    let ran = tech.run("read|relief|banana|--json");
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    let error: serde_json::Value = serde_json::from_str(&ran.err).unwrap();
    assert_eq!(error["error"]["kind"], "bad-input");
    assert!(error["error"]["reason"].as_str().unwrap().contains("banana"));
    let ran = tech.run("read|height|5|--json");
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    let error: serde_json::Value = serde_json::from_str(&ran.err).unwrap();
    assert!(error["error"]["reason"].as_str().unwrap().contains("height"));
}

/// A tech, a player who has joined, and files between them in the folder above.
fn two(folder: &std::path::Path) -> (Device, Device) {
    let (mut tech, mut player) = (Device::new(folder, "tech"), Device::new(folder, "player"));
    tech.ok("add|bass-4|walnut four");
    tech.ok("read|relief|0.30 mm");
    tech.ok("invite|contributor|--out|invitation.txt|--welcome|welcome.fallaway");
    tech.ok("bundle|out|all.fallaway");
    player.ok("accept|welcome.fallaway|--words|invitation.txt");
    (tech, player)
}

#[test]
fn bundles_that_are_damaged_are_refused_and_change_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let (_, mut player) = two(folder.path());
    let whole = fs::read(folder.path().join("all.fallaway")).unwrap();
    let bad = folder.path().join("bad.fallaway");
    let cases: Vec<(&str, Vec<u8>)> = vec![
        ("empty", Vec::new()),
        ("cut in half", whole[..whole.len() / 2].to_vec()),
        ("without its last byte", whole[..whole.len() - 1].to_vec()),
        ("with a byte more", [whole.as_slice(), b"x"].concat()),
        ("not one of ours", b"PK\x03\x04 something else".to_vec()),
        (
            "flipped",
            whole
                .iter()
                .enumerate()
                .map(|(i, b)| if i == whole.len() / 2 { b ^ 1 } else { *b })
                .collect(),
        ),
    ];
    for (what, bytes) in cases {
        fs::write(&bad, bytes).unwrap();
        let ran = player.run("bundle|in|bad.fallaway");
        assert_eq!(ran.code, 1, "{what}: {ran:?}");
        assert!(ran.err.contains("bad.fallaway"), "{what}: {ran:?}");
    }
    player.ok("bundle|in|all.fallaway");
    let state = player.run("show|--json").json()["history_digest"].clone();
    // Replayed: nothing new, nothing twice.
    let again = player.ok("bundle|in|all.fallaway");
    assert!(again.contains("nothing new"), "{again}");
    assert_eq!(player.run("show|--json").json()["history_digest"], state);
}

/// What somebody else wrote moves no cursor, colours nothing and turns no line round.
#[test]
fn what_another_person_wrote_is_shown_as_text() {
    let folder = tempfile::tempdir().unwrap();
    let (mut tech, mut player) = two(folder.path());
    player.ok("bundle|in|all.fallaway");
    player.ok("remark|a \u{1b}]0;title\u{7} \u{1b}[31mred \u{202e}back");
    player.ok("visit|begin|\u{1b}[2Jclean");
    player.ok("bundle|out|back.fallaway");
    tech.ok("bundle|in|back.fallaway");
    for command in ["history", "show", "people", "changed", "plan"] {
        let said = tech.run(command);
        let text = format!("{}{}", said.out, said.err);
        let odd = |c: char| (c.is_control() && c != '\n') || c == '\u{202e}';
        assert!(!text.contains(odd), "{command}: {text:?}");
    }
    let history = tech.ok("history");
    assert!(history.contains("<U+001B>[31mred") && history.contains("<U+202E>back"), "{history}");
}

#[test]
fn a_bundle_of_a_record_that_is_not_here_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let _ = two(folder.path());
    let mut stranger = Device::new(folder.path(), "stranger");
    let refusal = stranger.refused(1, "bundle|in|all.fallaway");
    assert!(refusal.contains("all.fallaway"), "{refusal}");
    assert_eq!(stranger.run("list|--json").json().as_array().unwrap().len(), 0);
}

#[test]
fn an_invitation_works_once_and_only_whole() {
    let folder = tempfile::tempdir().unwrap();
    let (mut tech, mut player) = two(folder.path());
    let text = fs::read_to_string(folder.path().join("invitation.txt")).unwrap();
    fs::write(folder.path().join("torn.txt"), &text[..text.len() / 2]).unwrap();
    let mut other = Device::new(folder.path(), "other");
    let refusal = other.refused(1, "accept|all.fallaway|--words|torn.txt");
    assert!(refusal.contains("twelve"), "{refusal}");
    fs::write(folder.path().join("photo.txt"), [0xff, 0xd8, 0xff]).unwrap();
    other.refused(1, "accept|all.fallaway|--words|photo.txt");
    other.refused(1, "accept|photo.txt|--words|invitation.txt");

    // The first to join is in; a second device with the same invitation is not.
    player.ok("bundle|in|all.fallaway");
    player.ok("bundle|out|joined.fallaway");
    tech.ok("bundle|in|joined.fallaway");
    let people = tech.run("people|--json").json();
    assert_eq!(people.as_array().unwrap().len(), 2);
}

#[test]
fn a_full_disk_is_said_and_loses_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    tech.ok("read|relief|0.30 mm");
    let before = tech.run("history|--json").out;
    tech.max_pages = Some(1);
    let long = "x".repeat(1500);
    let mut code = 0;
    for _ in 0..200 {
        let ran = tech.run(&format!("remark|{long}"));
        code = ran.code;
        if code != 0 {
            assert!(ran.err.contains("no room"), "{ran:?}");
            break;
        }
    }
    assert_eq!(code, 1);
    tech.max_pages = None;
    let after = tech.run("history|--json").out;
    assert!(after.contains("0.30 mm") && before.contains("0.30 mm"));
    tech.ok("remark|room again");
}

#[test]
fn a_store_that_another_program_filled_with_garbage_is_said_and_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    let data = folder.path().join("tech");
    let mut spoiled = 0;
    for entry in fs::read_dir(&data).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|e| e == "sqlite" || e == "db" || e == "sqlite3") {
            fs::write(&path, b"this is no store ".repeat(500)).unwrap();
            spoiled += 1;
        }
    }
    assert!(spoiled > 0, "no store file found in {}", data.display());
    let ran = tech.run("history");
    assert_eq!(ran.code, 1, "{ran:?}");
    assert_ne!(ran.err.trim().len(), 0);
}

/// Words that a cat on the keyboard, another language or a script with a bug could type.
#[test]
fn no_words_make_it_panic_and_none_is_half_stored() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    let long = "9".repeat(400);
    let nasty = [
        "",
        "-",
        "--",
        "=",
        "0",
        "1/0",
        "256",
        "4294967296",
        "99999999999999999999",
        "NaN",
        "½",
        "−5",
        "🎸",
        "a\u{0}b",
        "\u{202e}",
        "-3",
        "3a-5b",
        ",",
        "all",
        "1-200",
        "#",
        "%",
        "=A0",
        "../..",
        &long,
    ];
    let commands = [
        "read|relief|{}",
        "read|action|{}|{}|{}|{}",
        "read|action|5/64|--strings|{}",
        "read|action|5/64|5/64|5/64|5/64|--tool|{}",
        "read|action|5/64|5/64|5/64|5/64|--over|{}",
        "read|relief|0.3 mm|--at|{}",
        "read|relief|0.3 mm|--at|2026-{}",
        "tool|{}",
        "tool|rule|{}",
        "did|{}",
        "did|rod|{}|cw",
        "did|saddle|{}|down|1/4|cw",
        "did|saddle|4|down|{}|mm",
        "did|pickup|{}|up|1/4|cw",
        "tuned|{}",
        "tuned|5={}",
        "strings|--only|{}",
        "strings|--gauges|{}",
        "climate|{}",
        "climate|{}C|{}%",
        "buzz|{}|3",
        "buzz|4|{}",
        "cross-out|{}|why",
        "set|{}|1",
        "set|scale|{}",
        "set|tuning|{}",
        "set|gauges|{}",
        "set|frets|{}",
        "set|bridge|shared|{}",
        "set|rod|{}",
        "set|saddle-thread|{}",
        "set|trees|{}",
        "setup|target|{}|relief|0.3 mm",
        "setup|target|stage|action|{}|2 mm",
        "setup|target|stage|relief|{}",
        "setup|target|stage|relief|0.3 mm|--within|{}",
        "setup|drop|stage|action|{}",
        "setup|show|{}",
        "plan|--setup|{}",
        "card|--setup|{}",
        "settle|{}|{}",
        "add|bass-4|{}",
        "forget|{}",
        "list|-i|{}",
        "show|-i|{}",
        "bundle|in|{}",
        "accept|{}|--look",
        "changed|--since|{}",
        "forecast|{}",
        "forecast|{}%",
        "history|--last|{}",
        "invite|viewer|--days|{}",
        "me|{}",
    ];
    for command in commands {
        for word in nasty {
            let ran = tech.run(&command.replace("{}", word));
            assert!(ran.code <= 3, "{command} with {word:?}: {ran:?}");
            let said = ran.code == 0 || !ran.err.trim().is_empty();
            assert!(said, "{command} with {word:?} failed without a word");
        }
    }
    // Whatever was taken of it is a whole record still.
    let name = "walnut four";
    tech.ok(&format!("history|-i|{name}"));
    tech.ok(&format!("plan|-i|{name}"));
    tech.ok(&format!("card|--large|-i|{name}"));
    tech.ok(&format!("bundle|out|whole.fallaway|-i|{name}"));
}

#[test]
fn a_time_at_which_nobody_read_is_refused_and_a_visit_that_just_ended_is_asked_about() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    for at in ["1850-01-01 10:00", "0001-01-01", "2400-01-01"] {
        let refused = tech.refused(2, &format!("read|relief|0.3|mm|--at|{at}"));
        assert!(refused.contains("time") || refused.contains("future"), "{refused}");
    }
    tech.ok("read|relief|0.3|mm|--at|1985-06-01");
    tech.ok("visit|begin|buzzes");
    tech.ok("read|relief|0.3|mm");
    tech.ok("visit|end");
    let question = tech.refused(3, "read|relief|0.31|mm");
    assert!(question.contains("begins another one"), "{question}");
    // To go on with the visit its end is taken back; or a new one is meant.
    tech.ok("undo");
    tech.ok("read|relief|0.31|mm");
    tech.ok("visit|end");
    tech.refused(3, "read|relief|0.32|mm");
    tech.ok("read|relief|0.32|mm|--sure");
    tech.ok("visit|end");
    tech.later(3_600);
    tech.ok("read|relief|0.33|mm");
}

#[test]
fn sure_answers_the_questions_that_were_shown_and_no_others() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    // Nobody has read this one yet.
    tech.refused(3, "read|nut|9|9|9|9|mm|--sure");
    tech.refused(3, "read|relief|0.9|mm");
    let other = tech.refused(3, "read|relief|1.9|mm|--sure");
    assert!(other.contains("1.9 mm"), "{other}");
    tech.ok("read|relief|1.9|mm|--sure");
    let springs = tech.run("did|pickup|1|up|1/2|cw");
    assert!(!springs.out.contains("Tune"), "{springs:?}");
    let strings = tech.run("strings|new set");
    assert!(strings.err.contains("Protect your eyes"), "{strings:?}");
}

fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_same_question_of_several_strings_is_asked_once() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    tech.ok("tuned");
    let asked = tech.refused(3, "read|action|9|9.5|9|9|mm");
    assert_eq!(asked.matches("unusually high").count(), 2, "{asked}");
    assert!(asked.contains("trings 1 (G), 3 (A), 4 (E): 9 mm is unusually high"), "{asked}");
    assert!(asked.contains("tring 2 (D): 9.5 mm is unusually high"), "{asked}");
    tech.ok("order|low-first");
    let asked = tech.refused(3, "read|action|9|9|9|9|mm");
    assert!(asked.contains("trings 4 (E), 3 (A), 2 (D), 1 (G): 9 mm is unusually high"), "{asked}");
    // One answer is enough.
    tech.ok("read|action|9|9|9|9|mm|--sure");
}

#[test]
fn a_joint_is_said_as_surely_as_it_is_known() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|acoustic-6|parlour");
    // The heel decides, not the fret that lies over the body: what is said of that leaves a doubt.
    let usual = flat(&tech.ok("set|joint|14"));
    assert!(usual.contains("14 ± 2") && usual.contains("about at fret 12 ± 2"), "{usual}");
    assert!(flat(&tech.ok("set|joint|14 ± 1")).contains("about at fret 12 ± 1"));
    assert_eq!(tech.ok("set|joint|12 ± 0").trim(), "joint: 12 ± 0");
    let shown = flat(&tech.ok("show"));
    assert!(shown.contains("fret 12, where it stops bending"), "{shown}");
    let wrong = tech.refused(2, "set|joint|12 ± 9");
    assert!(wrong.contains('6'), "{wrong}");
}

#[test]
fn what_is_not_there_is_said_in_the_words_of_the_trade() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    tech.ok("setup|target|stage|action|1-3|2 mm");
    let none = tech.refused(1, "setup|drop|stage|spacing|4");
    assert!(
        none.contains("has no target for string spacing at the bridge, string 4 (E)"),
        "{none}"
    );
    // Of several those that have one, each by its name.
    let dropped = flat(&tech.ok("setup|drop|stage|action|3,4"));
    assert!(dropped.contains("string 3 (A) any more"), "{dropped}");
    // A rule in sixty-fourths does not read thousandths.
    tech.ok("tool|rule|1/64");
    tech.ok("tuned");
    assert!(!tech.ok("read|action|80|80|80|80|mil").contains("rule"));
}
