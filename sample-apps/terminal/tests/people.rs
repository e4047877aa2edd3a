//! Who is let in, and what brings a record back, as it is typed.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

mod common;

use common::Device;

/// Without the ends of lines.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

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
fn who_gave_which_role_and_when_is_shown() {
    let folder = tempfile::tempdir().unwrap();
    let (mut tech, mut player) =
        (Device::new(folder.path(), "tech"), Device::new(folder.path(), "player"));
    tech.ok("add|bass-4|walnut four");
    let_in(&mut tech, &mut player, "");
    let fingerprint = player.run("me|--json").json()["fingerprint"].clone();
    tech.ok(&format!("role|{}|viewer|--at|2025-10-01 09:30", fingerprint.as_str().unwrap()));
    let said = flat(&tech.ok("people|--history"));
    assert!(said.contains("player joined as a contributor, invited by tech"), "{said}");
    assert!(said.contains("2025-10-01 09:30 tech made player a viewer"), "{said}");
    let last = tech.run("people|--history|--json").json().as_array_mut().unwrap().pop().unwrap();
    assert_eq!((&last["deed"], &last["role"]), (&"gave-role".into(), &"viewer".into()), "{last}");
    assert_eq!(
        (&last["signed_by"]["label"], &last["whom"][0]["fingerprint"]),
        (&"tech".into(), &fingerprint)
    );
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

/// What has come back shows what is there: then nothing is new, and no file is written, whoever asks.
#[test]
fn nothing_new_is_said_and_not_written() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    let mut owner = Device::new(folder.path(), "owner");
    tech.ok("add|bass-4|walnut four");
    tech.ok("read|relief|0.30 mm");
    let invited = tech.run("invite|contributor|--welcome|in.fallaway|--json").json();
    let words = invited["words"].as_str().unwrap().replace(' ', "|");
    owner.ok(&format!("accept|in.fallaway|{words}"));
    owner.ok("bundle|out|--new|joins.fallaway");
    tech.ok("bundle|in|joins.fallaway");
    tech.ok("bundle|out|--new|record.fallaway");
    owner.ok("bundle|in|record.fallaway");
    owner.ok("read|relief|0.28 mm");
    owner.ok("bundle|out|--new|answer.fallaway");
    tech.ok("bundle|in|answer.fallaway");
    for _ in 0..2 {
        let said = flat(&tech.ok("bundle|out|--new|nothing.fallaway"));
        assert!(said.contains("Nothing new for owner"), "{said}");
        assert!(!folder.path().join("nothing.fallaway").exists());
    }
    tech.ok("remark|strings next time");
    assert!(!tech.ok("bundle|out|--new|more.fallaway").contains("Nothing new"));
    owner.ok("bundle|in|more.fallaway");
    let said = flat(&owner.ok("bundle|out|--new|nothing.fallaway"));
    assert!(said.contains("Nothing new for tech"), "{said}");
    assert!(!folder.path().join("nothing.fallaway").exists());
}

/// Both devices are told what became of an invitation that was handed on, and what to do about it.
#[test]
fn an_invitation_that_two_used_is_said_to_who_gave_it_and_to_who_came_second() {
    let folder = tempfile::tempdir().unwrap();
    let device = |label: &'static str| Device::new(folder.path(), label);
    let (mut tech, mut player, mut second) = (device("tech"), device("player"), device("second"));
    tech.ok("add|bass-4|walnut four");
    let invited = flat(&tech.ok("invite|contributor|--welcome|in.fallaway|--out|in.txt"));
    assert!(invited.contains("in.fallaway by another"), "{invited}");
    for one in [&mut player, &mut second] {
        one.ok("accept|in.fallaway|--words|in.txt");
        one.ok("bundle|out|back.fallaway|--sure");
        tech.ok("bundle|in|back.fallaway");
        // What the owner writes next has seen who came first.
        tech.ok("invite|viewer|--welcome|other.fallaway|--out|other.txt|--sure");
    }
    let people = flat(&tech.ok("people"));
    assert!(
        people.contains("second (")
            && people.contains("that player had used")
            && people.contains("invite it anew"),
        "{people}"
    );
    tech.ok("bundle|out|all.fallaway|--sure");
    let said = flat(&second.ok("bundle|in|all.fallaway"));
    assert!(said.contains("Ask tech for another one"), "{said}");
    assert!(second.refused(1, "read|relief|0.3 mm").contains("another device used"));
    tech.ok("invite|contributor|--welcome|again.fallaway|--out|again.txt");
    second.ok("accept|again.fallaway|--words|again.txt");
    second.ok("bundle|out|back.fallaway|--sure");
    let report = tech.ok("bundle|in|back.fallaway");
    assert!(report.contains("second has joined"), "{report}");
    assert!(!flat(&tech.ok("people")).contains("invite it anew"));
    tech.ok("bundle|out|all.fallaway|--sure");
    second.ok("bundle|in|all.fallaway");
    second.ok("read|relief|0.3 mm");
}

/// What a copy wrote is seen in the list; taking it in is a question, since the other one's goes out for it.
#[test]
fn what_a_copied_device_wrote_is_to_look_at_and_is_not_swapped_unasked() {
    let folder = tempfile::tempdir().unwrap();
    let device = |label: &'static str| Device::new(folder.path(), label);
    let (mut tech, mut player) = (device("tech"), device("player"));
    tech.ok("add|bass-4|walnut four");
    tech.ok("invite|contributor|--welcome|in.fallaway|--out|in.txt");
    player.ok("accept|in.fallaway|--words|in.txt");
    player.ok("bundle|out|back.fallaway");
    tech.ok("bundle|in|back.fallaway");
    tech.ok("bundle|out|all.fallaway");
    player.ok("bundle|in|all.fallaway");
    copy(&folder.path().join("player"), &folder.path().join("twin"));
    let mut twin = device("twin");
    for (one, line) in [(&mut player, "of the player"), (&mut twin, "of the copy")] {
        one.ok(&format!("remark|{line}"));
        one.ok("bundle|out|back.fallaway|--sure");
        tech.ok("bundle|in|back.fallaway");
    }
    let list = flat(&tech.ok("list"));
    assert!(list.contains("one change kept aside: fallaway held"), "{list}");
    let history = tech.ok("history");
    let asked = flat(&tech.refused(3, "accept-held|player"));
    assert!(asked.contains("until that device reads a bundle"), "{asked}");
    assert_eq!(tech.ok("history"), history);
    // Nobody has to decide anything: each writes its own again when a bundle has come.
    tech.ok("bundle|out|all.fallaway|--sure");
    for one in [&mut player, &mut twin] {
        one.ok("bundle|in|all.fallaway");
        one.ok("bundle|out|back.fallaway|--sure");
        tech.ok("bundle|in|back.fallaway");
    }
    let history = tech.ok("history");
    assert!(history.contains("of the player") && history.contains("of the copy"), "{history}");
}

#[test]
fn words_to_copy_stand_in_one_line_on_the_narrowest_screen() {
    let folder = tempfile::tempdir().unwrap();
    let mut tech = Device::new(folder.path(), "tech");
    tech.width = 40;
    tech.ok("add|bass-4|walnut four");
    for command in ["invite|contributor", "recovery-words"] {
        let said = tech.ok(command);
        assert_eq!(said.lines().next().unwrap().split(' ').count(), 12, "{command}: {said}");
    }
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

/// Hands over what comes out of each device to all the others, so many times; what each was told.
fn meet(devices: &mut [&mut Device], files: &std::path::Path, times: usize) -> Vec<String> {
    let mut told = vec![String::new(); devices.len()];
    for from in (0..devices.len()).cycle().take(times * devices.len()) {
        let file = files.join("met.fallaway");
        devices[from].ok(&format!("bundle|out|{}|--sure", file.display()));
        for (to, device) in devices.iter_mut().enumerate().filter(|(to, _)| *to != from) {
            let ran = device.run(&format!("bundle|in|{}", file.display()));
            told[to].extend([ran.out, ran.err]);
        }
    }
    told
}

fn copy(from: &std::path::Path, to: &std::path::Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &target);
        } else {
            std::fs::copy(&path, &target).unwrap();
        }
    }
}

/// Lets a device in that `by` invites, and tells `by` of it.
fn let_in(by: &mut Device, newcomer: &mut Device, how: &str) {
    let code = by.run(&format!("invite|contributor{how}|--json")).json()["code"].clone();
    by.ok("bundle|out|all.fallaway|--sure");
    newcomer.ok(&format!("accept|all.fallaway|{}", code.as_str().unwrap()));
    newcomer.ok("bundle|out|joined.fallaway|--sure");
    by.ok("bundle|in|joined.fallaway");
}

#[test]
fn three_people_with_two_devices_each_are_told_what_became_of_whom() {
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path();
    // Wide enough that no sentence is broken.
    let wide = |folder: &std::path::Path, label: &'static str| {
        let mut device = Device::new(folder, label);
        device.width = 400;
        device
    };
    let device = |label: &'static str| wide(root, label);
    let (mut owner, mut phone) = (device("owner"), device("owner phone"));
    let (mut tech, mut tablet) = (device("tech"), device("tech tablet"));
    let (mut player, mut other) = (device("player"), device("player phone"));
    owner.ok("add|bass-4|walnut four");
    let_in(&mut owner, &mut tech, "");
    let_in(&mut owner, &mut player, "");
    meet(&mut [&mut owner, &mut tech, &mut player], root, 1);
    let_in(&mut owner, &mut phone, "|--own-device");
    let_in(&mut tech, &mut tablet, "|--own-device");
    let_in(&mut player, &mut other, "|--own-device");
    let all = &mut [&mut owner, &mut phone, &mut tech, &mut tablet, &mut player, &mut other];
    meet(all, root, 2);
    for (number, one) in all.iter_mut().enumerate() {
        one.ok(&format!("remark|known to all {number}"));
    }
    meet(all, root, 1);
    let fingerprint =
        |one: &mut Device| one.run("me|--json").json()["fingerprint"].as_str().unwrap().to_owned();
    let (lost, out) = (fingerprint(&mut phone), fingerprint(&mut player));

    // The technician's device is copied, with its keys; both write, and neither knows.
    copy(&root.join("tech"), &root.join("elsewhere/tech"));
    let mut twin = wide(&root.join("elsewhere"), "tech");
    tech.ok("remark|at the bench");
    twin.ok("remark|by the copy");
    // The owner's phone is lost, and the player removed with both devices; they write on.
    owner.ok(&format!("remove|{lost}|--reason|lost"));
    let told = owner.ok(&format!("remove|{out}|--all-devices|--reason|sold it"));
    assert!(told.contains("sealed under a new key"), "{told}");
    player.ok("remark|after the removal");
    phone.ok("remark|by the finder");
    for (one, file) in [(&mut player, "late.fallaway"), (&mut phone, "found.fallaway")] {
        one.ok(&format!("bundle|out|{file}"));
    }
    owner.ok("remark|only for those who stay");
    owner.ok("bundle|out|news.fallaway");

    // Who is out is told so, reads nothing new, and has what it wrote since.
    player.run("bundle|in|news.fallaway");
    let refused = player.refused(1, "remark|more");
    assert!(!refused.contains("internal"), "{refused}");
    let shown = player.ok("history");
    assert!(!shown.contains("only for those who stay"), "{shown}");
    assert!(player.ok("held").contains("one entry"));

    // The owner is shown what came after the removals, by whom and how much, and that one was copied.
    owner.run("bundle|in|late.fallaway|found.fallaway");
    let held = owner.ok("held");
    for one in [&lost, &out] {
        assert!(
            held.lines().any(|line| line.contains(one) && line.contains("one entry")),
            "{held}"
        );
    }
    tech.ok("bundle|out|bench.fallaway");
    let made = root.join("copy.fallaway");
    twin.ok(&format!("bundle|out|{}", made.display()));
    owner.ok("bundle|in|bench.fallaway");
    owner.ok("remark|on top of the bench");
    let report = owner.ok("bundle|in|copy.fallaway");
    assert!(report.contains("tech was copied"), "{report}");

    let stay = &mut [&mut owner, &mut tech, &mut tablet, &mut twin];
    let mut told = meet(stay, root, 3);
    told[0].push_str(&report);
    let mut histories = Vec::new();
    for one in stay {
        let shown = one.ok("history");
        for line in
            ["at the bench", "by the copy", "on top of the bench", "only for those who stay"]
        {
            assert_eq!(shown.matches(line).count(), 1, "{line}: {shown}");
        }
        assert_eq!(shown.matches("known to all").count(), 6, "{shown}");
        assert!(
            !shown.contains("after the removal") && !shown.contains("by the finder"),
            "{shown}"
        );
        histories.push(shown);
        // Three devices of two people are left; whoever was removed is not among them.
        let people = one.run("people|--json").json();
        assert_eq!(people.as_array().unwrap().len(), 3, "{people}");
        let held = one.ok("held");
        assert!(held.contains(&lost) && held.contains(&out), "{held}");
    }
    assert!(histories.windows(2).all(|pair| pair[0] == pair[1]), "{histories:#?}");
    // Both of the two that are one device are told, and so are the others.
    for said in told {
        assert!(said.contains("tech was copied"), "{said}");
    }
}
