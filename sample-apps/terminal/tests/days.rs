//! A player's day and an owner's, as they are typed. The scenario is invented.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

mod common;

use common::Device;

/// Without the ends of lines.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Everything that the device has, to the other one.
fn whole(from: &mut Device, to: &mut Device) -> String {
    from.ok("bundle|out|whole.fallaway|--sure");
    to.ok("bundle|in|whole.fallaway")
}

fn fingerprint(of: &mut Device) -> String {
    of.run("me|--json").json()["fingerprint"].as_str().unwrap().to_owned()
}

/// The owner begins a record, says what the instrument is, keeps what brings it back, lets the technician and
/// the player in, and sees what they did.
#[test]
fn an_owner_keeps_the_record_together() {
    let folder = tempfile::tempdir().unwrap();
    let device = |label| Device::new(folder.path(), label);
    let (mut owner, mut tech, mut player) = (device("owner"), device("tech"), device("player"));
    owner.ok("add|bass-4|ash four");
    owner.ok("set|radius|12 in");
    owner.ok("set|gauges|.045|.065|.085|.105|in");
    let words = owner.run("recovery-words|--json").json()["words"].as_str().unwrap().to_owned();
    assert_eq!(words.split(' ').count(), 12, "{words}");
    owner.ok("recovery-words|--written-down");

    for (person, name, role) in
        [(&mut tech, "tech", "contributor"), (&mut player, "player", "viewer")]
    {
        owner.ok(&format!("invite|{role}|--welcome|{name}.fallaway|--out|{name}.txt"));
        let look = person.ok(&format!("accept|{name}.fallaway|--words|{name}.txt|--look"));
        assert!(look.contains("ash four") && look.contains(role), "{look}");
        person.ok(&format!("accept|{name}.fallaway|--words|{name}.txt"));
        person.ok(&format!("bundle|out|{name}-back.fallaway"));
        let report = owner.ok(&format!("bundle|in|{name}-back.fallaway"));
        assert!(report.contains(&format!("{name} has joined")), "{report}");
        let fingerprint = fingerprint(person);
        owner.ok(&format!("compared|{fingerprint}"));
        whole(&mut owner, person);
    }
    assert!(!owner.ok("people").contains("not compared"));

    // What the technician does comes back; the player reads it and does not write.
    for line in
        ["tuned", "read|relief|0.35 mm", "read|action|2.0|2.0|2.1|2.2 mm", "setup|take|stage"]
    {
        tech.ok(line);
    }
    tech.ok("remark|fret 12 shows wear");
    whole(&mut tech, &mut owner);
    whole(&mut tech, &mut player);
    assert!(player.ok("card").contains("0.35 mm"));
    let refused = player.refused(1, "read|relief|0.30 mm");
    assert!(refused.contains("viewer"), "{refused}");
    let viewer = fingerprint(&mut player);
    owner.ok(&format!("role|{viewer}|contributor"));
    whole(&mut owner, &mut player);
    player.ok("read|relief|0.36 mm");

    // What lies on this device alone, and the page to keep.
    owner.ok("owner|A. Owner|--contact|by the door");
    owner.ok("care|--months|6");
    let sheet = flat(&owner.ok("sheet"));
    assert!(sheet.contains("ash four") && sheet.contains("Fret 12 shows wear"), "{sheet}");
    assert!(!tech.ok("show").contains("A. Owner"));
    let found = owner.run("search|wear|--json").json();
    assert_eq!(found[0]["instrument"], "ash four", "{found}");
    // Everything in one file, and back from it on a device that has nothing.
    owner.ok("backup|kept.fallaway-backup");
    let mut again = device("again");
    again.ok("restore|kept.fallaway-backup");
    assert!(again.ok("history").contains("fret 12 shows wear"));
    assert!(again.run("owner|--json").json()["name"] == "A. Owner");
}

/// The player looks at the numbers before a concert, notes what buzzes, asks why and what a dry hall will do,
/// takes a slip back, and decides between two values.
#[test]
fn a_player_asks_and_notes_and_decides() {
    let folder = tempfile::tempdir().unwrap();
    let device = |label| Device::new(folder.path(), label);
    let (mut tech, mut player) = (device("tech"), device("player"));
    for line in [
        "add|bass-4|ash four",
        "climate|21C|55%|--hours|48",
        "tuned",
        "read|relief|0.30 mm|--as-left|--tool|feeler 0.01 mm",
        "read|action|1.90|1.90|2.00|2.10 mm|--as-left|--tool|dial 0.01 mm",
        "setup|take|stage",
        "visit|end",
        "invite|contributor|--welcome|in.fallaway|--out|in.txt",
    ] {
        tech.ok(line);
    }
    player.ok("accept|in.fallaway|--words|in.txt");
    whole(&mut player, &mut tech);
    whole(&mut tech, &mut player);

    let card = player.ok("card");
    assert!(card.contains("stage") && card.contains("2.10 mm"), "{card}");
    for later in [&mut tech, &mut player] {
        later.later(60 * 24 * 3600);
    }
    player.ok("climate|20C|30%|--hours|72");
    player.ok("tuned");
    player.ok("read|relief|0.44 mm|--tool|feeler 0.01 mm");
    player.ok("read|action|2.02|2.02|2.12|1.70 mm|--tool|dial 0.01 mm");
    // The neck explains three of them; the fourth went down by itself.
    let changed = flat(&player.ok("changed"));
    assert!(changed.contains("4 (E)"), "{changed}");
    let plan = flat(&player.ok("plan"));
    assert!(plan.contains("Next: relief"), "{plan}");
    // A slip is asked about, and what was meant is taken back in one word.
    player.refused(3, "read|relief|4.4 mm");
    player.ok("buzz|G|1-3");
    assert!(player.ok("undo").contains("1 (G)"));
    player.ok("buzz|E|2-9");
    let why = flat(&player.ok("why-buzz|E|2-9"));
    assert!(why.contains("1. ") && why.contains("To decide:"), "{why}");
    let history = player.ok("history|--clean");
    assert!(!history.contains("frets 1 to 3") && history.contains("frets 2 to 9"), "{history}");
    let forecast = flat(&player.ok("forecast|20C|25%"));
    assert!(forecast.contains("25%"), "{forecast}");
    assert!(player.ok("clearance|--player|player").contains("4 (E)"));
    player.ok("draw|neck|--out|neck.svg");
    let drawn = std::fs::read_to_string(folder.path().join("neck.svg")).unwrap();
    assert!(drawn.starts_with("<svg "), "{drawn}");

    // Both wrote another target, each without the other.
    player.ok("setup|target|stage|relief|0.20 mm");
    tech.ok("setup|target|stage|relief|0.25 mm");
    whole(&mut player, &mut tech);
    let report = flat(&whole(&mut tech, &mut player));
    assert!(report.contains("two"), "{report}");
    let values = player.run("two-values|--json").json();
    let kept = values[0]["values"].as_array().unwrap().iter().position(|v| v["by"] == "player");
    player.ok(&format!("settle|1|{}", kept.unwrap_or(0) + 1));
    whole(&mut player, &mut tech);
    assert_eq!(tech.run("two-values|--json").json(), serde_json::json!([]));
    assert!(tech.ok("card").contains("0.20 mm"));
}
