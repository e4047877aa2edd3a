//! Who is let in, and what brings a record back, as it is typed.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

mod common;

use common::Device;

#[test]
fn words_let_a_device_in_and_bring_a_lost_record_back() {
    let folder = tempfile::tempdir().unwrap();
    let device = |label: &'static str| Device::new(folder.path(), label);
    let (mut tech, mut player, mut new) = (device("tech"), device("player"), device("new"));
    tech.ok("add|bass-4|walnut four");
    tech.ok("read|relief|0.30 mm");
    let words = tech.run("recovery-words|--json").json()["words"].as_str().unwrap().to_owned();
    tech.ok("recovery-words|--written-down");
    assert!(tech.run("recovery-words|--json").json()["words"].is_null());

    let code = tech.run("invite|contributor|--json").json()["code"].as_str().unwrap().to_owned();
    tech.ok("bundle|out|all.fallaway");
    let card = player.ok(&format!("accept|all.fallaway|{code}|--look"));
    assert!(card.contains("walnut four"), "{card}");
    player.ok(&format!("accept|all.fallaway|{code}"));
    player.ok("bundle|out|joined.fallaway");
    // A file that is there is written over only when that is meant.
    assert_eq!(player.run("bundle|out|joined.fallaway").code, 3);
    player.ok("bundle|out|joined.fallaway|--sure");
    tech.ok("bundle|in|joined.fallaway");
    assert!(tech.ok("people").contains("not compared"));
    let fingerprint =
        |one: &mut Device| one.run("me|--json").json()["fingerprint"].as_str().unwrap().to_owned();
    let (lost, stays) = (fingerprint(&mut tech), fingerprint(&mut player));
    tech.ok(&format!("compared|{stays}"));
    assert!(!tech.ok("people").contains("not compared"));
    tech.ok("bundle|out|backup.fallaway");

    // The bench burns down; the words and a file are left.
    let given = words.replace(' ', "|");
    let refused =
        new.refused(1, &format!("recover|joined.fallaway|{}", given.replacen('|', "", 1)));
    assert!(refused.contains("twelve"), "{refused}");
    let done = new.run(&format!("recover|backup.fallaway|{given}|--lost|{lost}|--json")).json();
    assert_ne!(done["words"].as_str().unwrap(), words);
    let people = new.run("people|--json").json();
    let roles: Vec<_> = people.as_array().unwrap().iter().map(|one| &one["role"]).collect();
    assert_eq!(roles.len(), 2, "{people}");
    assert!(roles.iter().any(|role| *role == "owner"), "{people}");
    assert!(new.ok("history").contains("0.30 mm"));
}

#[test]
fn what_could_not_be_written_to_a_file_is_still_new() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.ok("add|bass-4|walnut four");
    tech.ok("remark|worth sending");
    assert_ne!(tech.run("bundle|out|--new|no/such/folder/new.fallaway").code, 0);
    tech.ok("bundle|out|--new|new.fallaway");
    let written = |name: &str| std::fs::metadata(folder.path().join(name)).unwrap().len();
    assert!(written("new.fallaway") > 256, "{}", written("new.fallaway"));
    // Only now it is not.
    let ran = tech.run("bundle|out|--new|newer.fallaway");
    assert!(!folder.path().join("newer.fallaway").exists(), "{ran:?}");
}

#[test]
fn a_removal_and_what_came_after_it_as_they_are_typed() {
    let folder = tempfile::tempdir().unwrap();
    let device = |label: &'static str| Device::new(folder.path(), label);
    let (mut tech, mut player) = (device("tech"), device("player"));
    tech.ok("add|bass-4|walnut four");
    let invited = tech.ok("invite|contributor");
    let words = invited.lines().next().unwrap().to_owned();
    assert_eq!(words, words.to_lowercase(), "words are copied as they stand");
    tech.ok("bundle|out|all.fallaway");
    player.ok(&format!("accept|all.fallaway|{}", words.replace(' ', "|")));
    player.ok("bundle|out|joined.fallaway");
    let report = tech.ok("bundle|in|joined.fallaway");
    assert!(report.contains("player has joined"), "{report}");
    let fingerprint = player.run("me|--json").json()["fingerprint"].as_str().unwrap().to_owned();

    // An invitation that is open is shown, and withdrawn.
    let id = tech.run("invite|viewer|--json").json()["id"].as_str().unwrap().to_owned();
    assert!(tech.ok("withdraw").contains(&id));
    tech.ok(&format!("withdraw|{id}"));
    assert!(!tech.ok("withdraw").contains(&id));
    tech.ok(&format!("role|{fingerprint}|viewer"));
    tech.ok(&format!("role|{fingerprint}|contributor"));
    tech.ok("bundle|out|roles.fallaway");
    player.ok("bundle|in|roles.fallaway");

    // What it writes without having heard of its removal is shown, and taken in.
    tech.ok(&format!("remove|{fingerprint}|--reason|moved away"));
    player.ok("remark|nobody has this");
    player.ok("bundle|out|late.fallaway");
    tech.ok("bundle|in|late.fallaway");
    assert!(!tech.ok("history").contains("nobody has this"));
    let held = tech.ok("held");
    assert!(held.starts_with("player (") && held.contains(&fingerprint), "{held}");
    tech.ok(&format!("accept-held|{fingerprint}"));
    assert!(tech.ok("history").contains("nobody has this"));
    assert!(tech.ok("held").lines().count() == 1);
    tech.ok("bundle|out|removed.fallaway");
    player.run("bundle|in|removed.fallaway");
    player.refused(1, "remark|out");
}
