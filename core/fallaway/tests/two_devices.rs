//! Two devices share a record by bundle files.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

mod common;

use common::{action_pass, news, relief_pass, relief_target, told, workshop};
use fallaway::record::{Remark, SpecField};
use fallaway::{Error, RetractOutcome, Role, Workshop};

fn shared() -> (Workshop, Workshop) {
    let (tech, player) = (workshop("tech", 1), workshop("player", 2));
    let bass = tech.add_instrument("bass-5", "stage bass").unwrap();
    let invitation = bass.invite(Role::Contributor, 7).unwrap();
    let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();
    player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
    let report = tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
    assert_eq!(report.people_added, ["player"]);
    (tech, player)
}

#[test]
fn what_either_wrote_arrives_and_two_values_are_kept_until_settled() {
    let (tech, player) = shared();
    let (a, b) =
        (tech.instrument_named("stage").unwrap(), player.instrument_named("stage").unwrap());
    assert_eq!(told(&a), told(&b));

    a.add_pass(relief_pass("12"), Some("tech")).unwrap();
    a.add_pass(action_pass("5 5 5 6 7", 5), None).unwrap();
    a.take_setup("stage", None, None).unwrap();
    a.end_visit(None, None).unwrap();
    player.bundle_in(&a.bundle_out().unwrap().file).unwrap();
    assert_eq!(told(&a), told(&b));

    // Both change one target while they cannot see each other.
    a.set_target(&"stage".parse().unwrap(), &relief_target(25), None).unwrap();
    b.set_target(&"stage".parse().unwrap(), &relief_target(35), None).unwrap();
    b.add_remark(Remark { text: "buzzes in the cold".into(), ..Remark::default() }, None).unwrap();
    let from_a = news(&a);
    let from_b = news(&b);
    let report = tech.bundle_in(&from_b).unwrap();
    assert_eq!(report.newly_contested.len(), 1);
    assert_eq!(report.added.len(), 1);
    assert_eq!(report.added[0].device, "player");
    player.bundle_in(&from_a).unwrap();
    assert_eq!(told(&a), told(&b));

    let contested = a.contested().unwrap();
    assert_eq!(contested.len(), 1);
    let shown: Vec<String> =
        contested[0].versions.iter().map(|one| one.shown.to_string()).collect();
    assert!(shown.contains(&"0.25 mm \u{b1} 0.05 mm".into()), "{shown:?}");
    assert!(shown.contains(&"0.35 mm \u{b1} 0.05 mm".into()), "{shown:?}");
    let here = a.now().offset_min;
    assert!(here != 0 && contested[0].versions.iter().all(|one| one.at.offset_min == here));

    // Settling what was shown works; settling it again with what has gone by does not.
    a.settle(&contested[0], 0, None).unwrap();
    assert_eq!(a.contested().unwrap(), []);
    assert!(matches!(a.settle(&contested[0], 1, None), Err(Error::Contested { .. })));
    player.bundle_in(&news(&a)).unwrap();
    assert_eq!(b.contested().unwrap(), []);
    assert_eq!(told(&a), told(&b));
}

/// What was written in between asks for the whole history; the card asks for it once.
#[test]
fn numbers_that_came_in_between_stand_on_the_card_of_both() {
    let (tech, player) = shared();
    let (a, b) =
        (tech.instrument_named("stage").unwrap(), player.instrument_named("stage").unwrap());
    a.add_pass(relief_pass("12"), None).unwrap();
    b.add_pass(action_pass("5 5 5 6 7", 5), None).unwrap();
    b.add_pass(relief_pass("9"), None).unwrap();
    a.add_pass(action_pass("4 4 4 5 6", 5), None).unwrap();
    let (from_a, from_b) =
        (a.bundle_unsent().unwrap().unwrap().file, b.bundle_unsent().unwrap().unwrap().file);
    tech.bundle_in(&from_b).unwrap();
    player.bundle_in(&from_a).unwrap();
    let card = a.card(None).unwrap();
    assert_eq!(card.lines.iter().filter(|line| line.last.is_some()).count(), 6);
    assert_eq!(card.lines, b.card(None).unwrap().lines);
    // The one that was kept says the same, and a reading more is taken in as ever.
    assert_eq!(card, a.card(None).unwrap());
    a.add_pass(relief_pass("11"), None).unwrap();
    player.bundle_in(&a.bundle_unsent().unwrap().unwrap().file).unwrap();
    assert_eq!(a.card(None).unwrap().lines, b.card(None).unwrap().lines);
}

#[test]
fn bundles_may_come_twice_and_out_of_order() {
    let (tech, player) = shared();
    let (a, b) =
        (tech.instrument_named("stage").unwrap(), player.instrument_named("stage").unwrap());
    a.add_pass(relief_pass("12"), None).unwrap();
    let first = news(&a);
    a.add_pass(relief_pass("10"), None).unwrap();
    let second = news(&a);

    let report = player.bundle_in(&second).unwrap();
    assert_eq!((report.waiting, report.added.len()), (1, 0));
    let report = player.bundle_in(&first).unwrap();
    assert_eq!((report.waiting, report.added.len()), (0, 1));
    assert_eq!(told(&a), told(&b));
    let report = player.bundle_in(&second).unwrap();
    assert_eq!((report.already_here, report.added.len()), (1, 0));
    assert_eq!(told(&a), told(&b));
}

#[test]
fn a_fact_is_taken_back_and_who_sets_it_meanwhile_is_heard() {
    let (tech, player) = shared();
    let (a, b) =
        (tech.instrument_named("stage").unwrap(), player.instrument_named("stage").unwrap());
    a.set_spec(&SpecField::About("bought used".into()), None).unwrap();
    player.bundle_in(&news(&a)).unwrap();

    b.unset_spec("about", None).unwrap();
    assert_eq!(b.details().unwrap().spec.about, None);
    assert!(matches!(b.unset_spec("about", None), Err(Error::NotFound { .. })));
    a.set_spec(&SpecField::About("bought new".into()), None).unwrap();
    let report = tech.bundle_in(&news(&b)).unwrap();
    let [contested] = report.newly_contested.as_slice() else { panic!("{report:?}") };
    let mut shown: Vec<String> =
        contested.versions.iter().map(|one| one.shown.to_string()).collect();
    shown.sort_unstable();
    assert_eq!(shown, ["bought new", "removed"]);
    let removed =
        contested.versions.iter().position(|one| one.shown.to_string() == "removed").unwrap();
    a.settle(contested, removed, None).unwrap();
    assert_eq!(a.details().unwrap().spec.about, None);

    a.set_target(&"stage".parse().unwrap(), &relief_target(25), None).unwrap();
}

#[test]
fn a_deleted_setup_comes_back_with_what_somebody_wrote_apart() {
    let (tech, player) = shared();
    let (a, b) =
        (tech.instrument_named("stage").unwrap(), player.instrument_named("stage").unwrap());
    let stage = "stage".parse().unwrap();
    a.set_target(&stage, &relief_target(25), None).unwrap();
    player.bundle_in(&a.bundle_out().unwrap().file).unwrap();

    // Both delete it, and one is not asked whose deletion stands.
    a.delete_setup(&stage, None).unwrap();
    b.delete_setup(&stage, None).unwrap();
    tech.bundle_in(&b.bundle_out().unwrap().file).unwrap();
    player.bundle_in(&a.bundle_out().unwrap().file).unwrap();
    assert_eq!(told(&a), told(&b));
    assert_eq!((a.setups().unwrap().len(), a.contested().unwrap().len()), (0, 0));

    // One brings it back, and both have it.
    b.bring_back_setup(&stage, None).unwrap();
    tech.bundle_in(&b.bundle_out().unwrap().file).unwrap();
    assert_eq!(a.setups().unwrap()[0].targets.len(), 1);

    // One deletes it while the other changes a target: that is not lost, whatever the clocks say.
    a.delete_setup(&stage, None).unwrap();
    b.set_target(&stage, &relief_target(35), None).unwrap();
    let report = tech.bundle_in(&b.bundle_out().unwrap().file).unwrap();
    player.bundle_in(&a.bundle_out().unwrap().file).unwrap();
    assert_eq!(told(&a), told(&b));
    assert_eq!(report.newly_contested, []);
    let back = a.setup_named("stage").unwrap();
    assert_eq!(back.targets[0].target.wanted, relief_target(35).wanted);
}

#[test]
fn a_draft_line_is_erased_and_a_shared_one_crossed_out() {
    let (tech, player) = shared();
    let a = tech.instrument_named("stage").unwrap();
    let slip = a.add_pass(relief_pass("21"), None).unwrap();
    assert_eq!(a.retract(slip, "", None).unwrap(), RetractOutcome::Erased);
    let kept = a.add_pass(relief_pass("12"), None).unwrap();
    player.bundle_in(&a.bundle_out().unwrap().file).unwrap();
    assert!(matches!(a.retract(kept, " ", None), Err(Error::BadInput { .. })));
    assert_eq!(a.retract(kept, "wrong leaf", Some("tech")).unwrap(), RetractOutcome::Kept);
    assert!(matches!(a.retract(kept, "again", None), Err(Error::BadInput { .. })));
    assert_eq!(a.card(None).unwrap().lines.len(), 0);
}

#[test]
fn a_stranger_a_wrong_record_and_altered_bytes_are_refused() {
    let (tech, player) = shared();
    let a = tech.instrument_named("stage").unwrap();
    let before = told(&a);
    let file = player.instrument_named("stage").unwrap().bundle_out().unwrap().file;

    let stranger = workshop("stranger", 3);
    let other = stranger.add_instrument("guitar-6", "other").unwrap();
    let foreign = other.bundle_out().unwrap().file;
    assert!(matches!(tech.bundle_in(&foreign), Err(Error::NotFound { .. })));
    for place in [0, 9, 20, file.len() / 2, file.len() - 1] {
        let mut altered = file.clone();
        altered[place] ^= 4;
        assert!(tech.bundle_in(&altered).is_err(), "byte {place}");
        assert!(tech.bundle_in(&file[..place]).is_err(), "cut at {place}");
    }
    assert!(matches!(tech.bundle_in(b"not a bundle"), Err(Error::Refused { .. })));
    assert_eq!(told(&a), before);
}

#[test]
fn an_invitation_works_once() {
    let (tech, _) = shared();
    let a = tech.instrument_named("stage").unwrap();
    let invitation = a.invite(Role::Contributor, 7).unwrap();
    let history = a.bundle_out().unwrap().file;
    let (one, two) = (workshop("one", 4), workshop("two", 5));
    for device in [&one, &two] {
        let theirs = device.accept(&invitation.words, &invitation.welcome).unwrap();
        device.bundle_in(&history).unwrap();
        theirs.set_spec(&SpecField::About(device.device().unwrap().label), None).unwrap();
    }
    for device in [&one, &two] {
        let file = device.instrument_named("stage").unwrap().bundle_out().unwrap().file;
        tech.bundle_in(&file).unwrap();
    }
    let people = a.details().unwrap().people;
    assert_eq!(people.len(), 3, "{people:?}");
}

#[test]
fn a_viewer_reads_and_does_not_write() {
    let (tech, _) = shared();
    let a = tech.instrument_named("stage").unwrap();
    let viewer = workshop("viewer", 6);
    let invitation = a.invite(Role::Viewer, 1).unwrap();
    let theirs = viewer.accept(&invitation.words, &invitation.welcome).unwrap();
    viewer.bundle_in(&a.bundle_out().unwrap().file).unwrap();
    assert_eq!(theirs.name().unwrap(), "stage bass");
    assert!(matches!(theirs.add_pass(relief_pass("12"), None), Err(Error::NotAllowed { .. })));
    assert!(matches!(theirs.invite(Role::Viewer, 1), Err(Error::NotAllowed { .. })));
}

#[test]
fn an_owner_is_made_and_not_invited() {
    let (tech, player) = shared();
    let (a, b) =
        (tech.instrument_named("stage").unwrap(), player.instrument_named("stage").unwrap());
    assert!(matches!(a.invite(Role::Owner, 7), Err(Error::BadInput { .. })));
    let fingerprint = |workshop: &Workshop| workshop.device().unwrap().fingerprint;
    assert!(matches!(a.set_role("nobody", Role::Owner), Err(Error::NotFound { .. })));
    let refused = b.set_role(&fingerprint(&tech), Role::Viewer);
    assert!(matches!(refused, Err(Error::NotAllowed { .. })));
    tech.bundle_in(&b.bundle_out().unwrap().file).unwrap();
    a.set_role(&fingerprint(&player), Role::Owner).unwrap();
    player.bundle_in(&news(&a)).unwrap();
    assert_eq!(b.details().unwrap().role, Some(Role::Owner));
    // Who came in later takes nothing from who was there before.
    let refused = b.set_role(&fingerprint(&tech), Role::Viewer);
    assert!(matches!(refused, Err(Error::NotAllowed { .. })));
    a.set_role(&fingerprint(&player), Role::Viewer).unwrap();
    player.bundle_in(&news(&a)).unwrap();
    assert_eq!(b.details().unwrap().role, Some(Role::Viewer));
}

#[test]
fn after_shut_down_every_handle_says_so() {
    let tech = workshop("tech", 1);
    let bass = tech.add_instrument("bass-4", "one").unwrap();
    bass.add_pass(relief_pass("12"), None).unwrap();
    tech.shut_down().unwrap();
    assert_eq!(bass.card(None), Err(Error::Closed));
    assert_eq!(tech.instruments(), Err(Error::Closed));
    assert_eq!(tech.shut_down(), Err(Error::Closed));
}

#[test]
fn the_list_tells_what_waits_and_what_no_longer_does() {
    let (tech, player) = (workshop("tech", 1), workshop("player", 2));
    let bench = tech.add_instrument("bass-4", "walnut bass").unwrap();
    let invitation = bench.invite(fallaway::Role::Contributor, 14).unwrap();
    let stage = player.accept(&invitation.words, &invitation.welcome).unwrap();
    player.bundle_in(&bench.bundle_out().unwrap().file).unwrap();
    let remark = |text: &str| {
        let remark = fallaway::record::Remark { text: text.into(), ..Default::default() };
        bench.add_remark(remark, None).unwrap();
        news(&bench)
    };
    let (first, second) = (remark("one"), remark("two"));
    let listed = || player.instruments().unwrap()[0].waiting;
    player.bundle_in(&second).unwrap();
    assert_eq!((listed(), stage.details().unwrap().waiting), (1, 1));
    player.bundle_in(&first).unwrap();
    assert_eq!((listed(), stage.details().unwrap().waiting), (0, 0));
}
