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
