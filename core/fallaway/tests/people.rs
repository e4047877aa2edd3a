//! Several people with several devices, of which some are lost, copied or joined twice: the same
//! record on all of them, and nobody's line gone.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use std::collections::BTreeSet;

use common::people::{carry, copy, joined, open, remark, remarks};
use common::{everything, news, told, workshop};
use fallaway::record::Remark;
use fallaway::{Error, Instrument, Notice, Role, WhyAside, Workshop};
use fallaway_changes::EpochId;
use fallaway_sharing::{bundle_file, header, is_letter};

/// Everybody gives everybody everything.
fn rounds(count: usize, workshops: &[&Workshop]) {
    for _ in 0..count {
        for from in workshops {
            for to in workshops {
                if !std::ptr::eq(*from, *to) {
                    carry(&from.instrument_named("stage").unwrap(), to);
                }
            }
        }
    }
}

#[test]
fn one_invitation_that_two_devices_use_ends_in_equal_records() {
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let player = workshop("player", 2);
    let b = joined(&a, &player, &tech);
    let invitation = a.invite(Role::Contributor, 7).unwrap();
    let (one, two) = (workshop("one", 4), workshop("two", 5));
    for (device, text) in [(&one, "of the first"), (&two, "of the second")] {
        let theirs = device.accept(&invitation.words, &invitation.welcome).unwrap();
        carry(&a, device);
        remark(&theirs, text);
    }
    // The owner meets one of them first, the other contributor the other one, and builds on it.
    carry(&one.instrument_named("stage").unwrap(), &tech);
    carry(&two.instrument_named("stage").unwrap(), &player);
    remark(&a, "of the owner");
    remark(&b, "of the player");
    rounds(3, &[&tech, &player, &one, &two]);
    let people = a.details().unwrap().people;
    assert_eq!(people.len(), 3, "{people:?}");
    let (member, joined, late) = if people.iter().any(|one| one.label == "one") {
        (&one, "of the first", &two)
    } else {
        (&two, "of the second", &one)
    };
    // The one that came second is told why it is not in.
    let mine = Remark { text: "late".into(), ..Remark::default() };
    let refused = late.instrument_named("stage").unwrap().add_remark(mine, None).unwrap_err();
    assert!(refused.to_string().contains("another device used the invitation"), "{refused}");
    for device in [&tech, &player, member] {
        let instrument = device.instrument_named("stage").unwrap();
        assert_eq!(told(&instrument), told(&a), "{}", device.device().unwrap().label);
        let all: BTreeSet<String> = remarks(&instrument).into_iter().collect();
        assert_eq!(all, [joined, "of the owner", "of the player"].map(str::to_owned).into());
    }
}

#[test]
fn a_copied_device_loses_no_line_and_is_named() {
    let folders = tempfile::tempdir().unwrap();
    let (home, twin) = (folders.path().join("home"), folders.path().join("twin"));
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let player = open(&home, "player", 2);
    let b = joined(&a, &player, &tech);
    remark(&b, "before");
    player.shut_down().unwrap();
    copy(&home, &twin);

    let (player, copy) = (open(&home, "player", 3), open(&twin, "player", 4));
    let (b, c) =
        (player.instrument_named("stage").unwrap(), copy.instrument_named("stage").unwrap());
    for number in 0..3 {
        remark(&b, &format!("at home {number}"));
        remark(&c, &format!("by the copy {number}"));
    }
    carry(&b, &tech);
    remark(&a, "on top of home");
    let report = tech.bundle_in(&everything(&c)).unwrap();
    assert_eq!(report.copied, ["player"]);
    assert!(report.set_aside.contains(&WhyAside::Fork), "{report:?}");
    rounds(3, &[&tech, &player, &copy]);
    let all: BTreeSet<String> = (0..3)
        .flat_map(|number| [format!("at home {number}"), format!("by the copy {number}")])
        .chain(["before".to_owned(), "on top of home".to_owned()])
        .collect();
    for device in [&tech, &player, &copy] {
        let instrument = device.instrument_named("stage").unwrap();
        assert_eq!(told(&instrument), told(&a));
        assert_eq!(remarks(&instrument), all.iter().cloned().collect::<Vec<_>>());
    }
    assert!(copy.notices().unwrap().contains(&Notice::Copied));
    assert!(player.notices().unwrap().contains(&Notice::Copied));
    // What is read anew is the same.
    tech.trim().unwrap();
    player.trim().unwrap();
    assert_eq!(told(&a), told(&player.instrument_named("stage").unwrap()));
}

#[test]
fn who_forgets_a_record_and_comes_back_writes_on_and_forks_nothing() {
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let player = workshop("player", 2);
    let b = joined(&a, &player, &tech);
    remark(&b, "first stay");
    carry(&b, &tech);
    player.remove_from_this_device(b.id()).unwrap();
    let invitation = a.invite(Role::Contributor, 7).unwrap();
    let b = player.accept(&invitation.words, &invitation.welcome).unwrap();
    // It writes before the history has come back.
    let only_people = news(&a);
    player.bundle_in(&only_people).unwrap();
    carry(&a, &player);
    // A writer that has written nothing yet changes nobody's names for entries.
    assert_eq!(told(&a), told(&b));
    remark(&b, "second stay");
    rounds(2, &[&tech, &player]);
    assert_eq!(told(&a), told(&b));
    assert_eq!(remarks(&a), ["first stay", "second stay"]);
    assert_eq!(a.details().unwrap().set_aside, 0);
}

#[test]
fn who_comes_second_with_an_invitation_is_told_of_and_keeps_its_work_when_it_is_invited_anew() {
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let (player, second) = (workshop("player", 2), workshop("second", 3));
    let invitation = a.invite(Role::Contributor, 7).unwrap();
    let [b, c] =
        [&player, &second].map(|one| one.accept(&invitation.words, &invitation.welcome).unwrap());
    // Both believe that they are in.
    for one in [&player, &second] {
        one.bundle_in(&everything(&a)).unwrap();
    }
    remark(&c, "written in good faith");
    assert!(tech.bundle_in(&everything(&b)).unwrap().second_uses.is_empty());
    // What the owner writes next has seen who came first.
    a.invite(Role::Viewer, 7).unwrap();
    let report = tech.bundle_in(&everything(&c)).unwrap();
    let told_of = &report.second_uses[0];
    let fingerprint = second.device().unwrap().fingerprint;
    assert_eq!((told_of.label.as_str(), &told_of.fingerprint), ("second", &fingerprint));
    assert_eq!((&*told_of.used_by, &*told_of.invited_by), ("player", "tech"));
    // It is said once, and stays to be seen.
    assert!(tech.bundle_in(&everything(&c)).unwrap().second_uses.is_empty());
    assert_eq!(a.second_uses().unwrap(), report.second_uses);
    assert_eq!(remarks(&a), Vec::<String>::new());

    let report = second.bundle_in(&everything(&a)).unwrap();
    assert!(report.second_uses[0].this_device, "{report:?}");
    let refused = c.add_remark(Remark { text: "more".into(), ..Remark::default() }, None);
    assert!(matches!(refused, Err(Error::NotAllowed { .. })));
    let invitation = a.invite(Role::Contributor, 7).unwrap();
    let c = second.accept(&invitation.words, &everything(&a)).unwrap();
    remark(&c, "let in");
    let report = tech.bundle_in(&everything(&c)).unwrap();
    assert_eq!((report.people_added, report.waiting), (vec!["second".to_owned()], 0));
    rounds(2, &[&tech, &player, &second]);
    assert_eq!(remarks(&a), ["let in", "written in good faith"]);
    assert_eq!((told(&a), told(&a)), (told(&b), told(&c)));
    assert_eq!(a.second_uses().unwrap(), []);
    // A member needs no further one.
    let again = a.invite(Role::Contributor, 7).unwrap();
    assert!(matches!(second.accept(&again.words, &again.welcome), Err(Error::BadInput { .. })));
}

#[test]
fn what_a_member_may_not_write_fills_its_own_share_only() {
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let player = workshop("player", 2);
    let b = joined(&a, &player, &tech);
    // It becomes a viewer while it writes far from the others.
    let fingerprint = player.device().unwrap().fingerprint;
    a.set_role(&fingerprint, Role::Viewer).unwrap();
    remark(&b, "not heard of it yet");
    carry(&b, &tech);
    assert_eq!(a.details().unwrap().set_aside, 1);
    assert_eq!(remarks(&a), Vec::<String>::new());
    // Given back, the work is still held: an owner decides on it.
    a.set_role(&fingerprint, Role::Contributor).unwrap();
    rounds(2, &[&tech, &player]);
    assert_eq!(told(&a), told(&b));
}

#[test]
fn who_is_removed_gets_nothing_new_and_the_owner_is_shown_what_they_wrote_since() {
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let (player, guest) = (workshop("player", 2), workshop("guest", 3));
    let b = joined(&a, &player, &tech);
    let c = joined(&a, &guest, &tech);
    rounds(2, &[&tech, &player, &guest]);
    remark(&c, "known to all");
    carry(&c, &tech);
    carry(&c, &player);

    let fingerprint = guest.device().unwrap().fingerprint;
    assert!(matches!(b.remove_member(&fingerprint, true, None), Err(Error::NotAllowed { .. })));
    assert!(matches!(a.remove_member("nobody", true, None), Err(Error::NotFound { .. })));
    a.remove_member(&fingerprint, true, Some("moved away")).unwrap();
    remark(&c, "written unaware");
    remark(&a, "after the removal");
    // What is sealed from now on does not open for the one who is out.
    let news = news(&a);
    player.bundle_in(&news).unwrap();
    assert_eq!(remarks(&b), ["after the removal", "known to all"]);
    // It is told that it is out, and what it wrote since is still here.
    let report = guest.bundle_in(&news).unwrap();
    assert!(report.added.is_empty() && !report.refused.is_empty(), "{report:?}");
    assert_eq!(remarks(&c), ["known to all"]);
    let own = c.held().unwrap();
    assert_eq!((own.len(), own[0].entries, own[0].why), (1, 1, WhyAside::Removed));
    let more = Remark { text: "more".into(), ..Remark::default() };
    assert!(matches!(c.add_remark(more, None), Err(Error::NotAllowed { .. })));

    // What they wrote since is shown, by whom and how much, and is in when the owner says so.
    carry(&c, &player);
    carry(&b, &tech);
    let held = a.held().unwrap();
    assert_eq!(held.len(), 1, "{held:?}");
    assert_eq!((held[0].device.as_str(), held[0].entries), ("guest", 1));
    assert_eq!((held[0].why, held[0].fingerprint.as_str()), (WhyAside::Removed, &*fingerprint));
    assert_eq!(remarks(&a), ["after the removal", "known to all"]);
    assert!(matches!(b.accept_held(&fingerprint), Err(Error::NotAllowed { .. })));
    assert!(matches!(a.accept_held("nobody"), Err(Error::NotFound { .. })));
    let report = a.accept_held(&fingerprint).unwrap();
    assert_eq!(report.added.len(), 1, "{report:?}");
    carry(&a, &player);
    assert_eq!(remarks(&b), ["after the removal", "known to all", "written unaware"]);
    assert_eq!(told(&a), told(&b));
    assert_eq!((a.held().unwrap(), b.held().unwrap()), (Vec::new(), Vec::new()));
}

#[test]
fn what_leaves_a_compacted_record_one_after_the_other_stays_beside_it() {
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let (player, first, second) =
        (workshop("player", 2), workshop("first", 3), workshop("second", 4));
    let b = joined(&a, &player, &tech);
    let (c, d) = (joined(&a, &first, &tech), joined(&a, &second, &tech));
    a.set_role(&player.device().unwrap().fingerprint, Role::Owner).unwrap();
    rounds(2, &[&tech, &player, &first, &second]);
    for number in 0..20 {
        remark(&a, &format!("at the bench {number}"));
    }
    // The first guest's line is in the snapshot, the second one's beside it; the player has neither.
    remark(&c, "of the first");
    carry(&c, &tech);
    tech.pause().unwrap();
    remark(&d, "of the second");
    carry(&d, &tech);
    assert_eq!(remarks(&a).len(), 22);
    for (guest, left) in [(&first, 21), (&second, 20)] {
        b.remove_member(&guest.device().unwrap().fingerprint, false, None).unwrap();
        carry(&b, &tech);
        assert_eq!(remarks(&a).len(), left);
    }
    // And the same when it is read anew, and put together again.
    tech.pause().unwrap();
    assert_eq!(remarks(&a).len(), 20);
    let held = a.held().unwrap();
    assert_eq!(held.iter().map(|one| one.entries).collect::<Vec<_>>(), [1, 1], "{held:?}");
    rounds(2, &[&tech, &player]);
    assert_eq!(told(&a), told(&b));
}

#[test]
fn who_leaves_is_out_and_an_invitation_that_is_withdrawn_lets_nobody_in() {
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let player = workshop("player", 2);
    let b = joined(&a, &player, &tech);
    assert!(matches!(a.leave(), Err(Error::NotAllowed { .. })), "the last owner stays");
    remark(&b, "before leaving");
    b.leave().unwrap();
    carry(&b, &tech);
    remark(&a, "after it");
    let news = news(&a);
    let report = player.bundle_in(&news).unwrap();
    assert!(report.added.is_empty() && !report.refused.is_empty(), "{report:?}");
    assert!(b.details().unwrap().role.is_none());
    assert_eq!(a.details().unwrap().people.len(), 1);
    assert_eq!(remarks(&a), ["after it", "before leaving"]);

    let invitation = a.invite(Role::Contributor, 7).unwrap();
    let open = a.open_invitations().unwrap();
    assert_eq!((open.len(), open[0].by.as_str()), (1, "tech"));
    let here = a.now().offset_min;
    assert_eq!((invitation.expires.offset_min, open[0].expires.offset_min), (here, here));
    assert!(matches!(a.withdraw("nothing"), Err(Error::NotFound { .. })));
    a.withdraw(&open[0].id).unwrap();
    assert_eq!(a.open_invitations().unwrap(), []);
    let late = workshop("late", 5);
    let c = late.accept(&invitation.words, &invitation.welcome).unwrap();
    let _ = tech.bundle_in(&everything(&c));
    assert_eq!(a.details().unwrap().people.len(), 1);
}

#[test]
fn who_left_and_writes_on_is_removed_like_anybody() {
    let folders = tempfile::tempdir().unwrap();
    let (home, twin) = (folders.path().join("home"), folders.path().join("twin"));
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let player = open(&home, "player", 2);
    let b = joined(&a, &player, &tech);
    player.shut_down().unwrap();
    copy(&home, &twin);
    // One of the two leaves, the other one has not heard of it, or says so.
    let (player, copy) = (open(&home, "player", 3), open(&twin, "player", 4));
    drop(b);
    let b = player.instrument_named("stage").unwrap();
    b.leave().unwrap();
    carry(&b, &tech);
    let c = copy.instrument_named("stage").unwrap();
    remark(&c, "unaware");
    carry(&c, &tech);
    assert_eq!(remarks(&a), ["unaware"], "who leaves draws no line");
    let fingerprint = player.device().unwrap().fingerprint;
    a.remove_member(&fingerprint, false, None).unwrap();
    assert!(matches!(a.remove_member(&fingerprint, false, None), Err(Error::NotFound { .. })));
    remark(&c, "still unaware");
    carry(&c, &tech);
    assert_eq!(remarks(&a), ["unaware"]);
    let held = a.held().unwrap();
    assert_eq!((held.len(), held[0].entries, held[0].why), (1, 1, WhyAside::Removed));
}

#[test]
fn three_people_with_two_devices_each_end_with_one_history() {
    let folders = tempfile::tempdir().unwrap();
    let (home, twin) = (folders.path().join("home"), folders.path().join("twin"));
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let bench = workshop("tech phone", 2);
    let (player, lost) = (open(&home, "player", 3), workshop("player phone", 4));
    let (guest, other) = (workshop("guest", 5), workshop("guest phone", 6));
    for device in [&player, &guest] {
        joined(&a, device, &tech);
    }
    for (first, second) in [(&tech, &bench), (&player, &lost), (&guest, &other)] {
        let instrument = first.instrument_named("stage").unwrap();
        let invitation = instrument.invite_own_device(Role::Contributor, 7).unwrap();
        let everything = instrument.bundle_out().unwrap().file;
        let theirs = second.accept(&invitation.words, &everything).unwrap();
        carry(&theirs, first);
        carry(&theirs, &tech);
    }
    let everybody = [&tech, &bench, &player, &lost, &guest, &other];
    rounds(2, &everybody);
    for device in everybody {
        remark(&device.instrument_named("stage").unwrap(), &device.device().unwrap().label);
    }
    rounds(1, &everybody);
    player.shut_down().unwrap();
    copy(&home, &twin);
    let (player, copy) = (open(&home, "player", 13), open(&twin, "player", 14));
    remark(&player.instrument_named("stage").unwrap(), "at home");
    remark(&copy.instrument_named("stage").unwrap(), "by the copy");
    // One is lost, one removed; both write on.
    for gone in [&lost, &guest] {
        a.remove_member(&gone.device().unwrap().fingerprint, false, None).unwrap();
        remark(&gone.instrument_named("stage").unwrap(), "after the removal");
    }
    let news = news(&a);
    let stay = [&tech, &bench, &player, &copy, &other];
    for device in &stay[1..] {
        device.bundle_in(&news).unwrap();
    }
    for gone in [&lost, &guest] {
        carry(&gone.instrument_named("stage").unwrap(), &other);
    }
    rounds(3, &stay);
    let said = remarks(&a);
    for line in ["tech", "tech phone", "player", "player phone", "guest", "guest phone"] {
        assert!(said.iter().any(|one| one == line), "{line}: {said:?}");
    }
    assert!(said.contains(&"at home".to_owned()) && said.contains(&"by the copy".to_owned()));
    assert!(!said.contains(&"after the removal".to_owned()), "{said:?}");
    for device in stay {
        let instrument = device.instrument_named("stage").unwrap();
        assert_eq!(told(&instrument), told(&a), "{}", device.device().unwrap().label);
        let held = instrument.held().unwrap();
        let removed = held.iter().filter(|one| one.why == WhyAside::Removed);
        assert_eq!(removed.map(|one| one.entries).sum::<usize>(), 2, "{held:?}");
        // Each can say who is in, whose device it is, and what is left out.
        let people = instrument.details().unwrap().people;
        let persons: BTreeSet<&str> = people.iter().map(|one| one.person.as_str()).collect();
        assert_eq!((people.len(), persons.len()), (4, 3), "{people:?}");
    }
}

/// The epochs under which a device seals the record.
fn epochs(instrument: &Instrument) -> BTreeSet<EpochId> {
    let file = everything(instrument);
    let sealed = bundle_file::read(&file).unwrap().into_iter();
    sealed.filter(|one| !is_letter(one)).map(|one| header(one).unwrap().epoch).collect()
}

#[test]
fn who_came_between_two_removals_is_given_the_keys_of_both() {
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let (player, guest) = (workshop("player", 2), workshop("guest", 3));
    let b = joined(&a, &player, &tech);
    joined(&a, &guest, &tech);
    a.set_role(&player.device().unwrap().fingerprint, Role::Owner).unwrap();
    rounds(2, &[&tech, &player, &guest]);
    // Both remove the guest, and neither has heard of the other's doing.
    let fingerprint = guest.device().unwrap().fingerprint;
    b.remove_member(&fingerprint, false, None).unwrap();
    remark(&b, "of the player");
    let of_player = b.bundle_out().unwrap().file;
    a.remove_member(&fingerprint, false, None).unwrap();
    // Somebody comes in by one of the two, hears of the other removal without its key, and writes.
    let other = workshop("other", 4);
    let invitation = a.invite(Role::Contributor, 7).unwrap();
    let c = other.accept(&invitation.words, &a.bundle_out().unwrap().file).unwrap();
    carry(&c, &tech);
    carry(&a, &player);
    remark(&b, "of the player, later");
    let later = b.bundle_out().unwrap().file;
    drop(other.bundle_in(&of_player));
    remark(&c, "of the other");
    carry(&c, &tech);
    // What had been sealed under a key of its own comes late, once.
    drop(other.bundle_in(&later));
    rounds(3, &[&tech, &player, &other]);
    assert_eq!(remarks(&a), ["of the other", "of the player", "of the player, later"]);
    for instrument in [&b, &c] {
        assert_eq!(told(instrument), told(&a));
        assert_eq!(epochs(instrument), epochs(&a), "somebody lacks a key");
    }
    let report = other.bundle_in(&later).unwrap();
    assert!(report.refused.is_empty(), "{report:?}");
}

/// Somebody was invited before a removal and comes after it: it hears of the new epoch and has no key of
/// that yet when it invites its second device.
#[test]
fn a_device_invited_by_who_lacks_the_newest_key_is_given_it_all_the_same() {
    for role in [Role::Viewer, Role::Contributor] {
        let tech = workshop("tech", 1);
        let a = tech.add_instrument("bass-5", "stage bass").unwrap();
        let (player, guest) = (workshop("player", 2), workshop("guest", 3));
        joined(&a, &guest, &tech);
        let invitation = a.invite(role, 7).unwrap();
        a.remove_member(&guest.device().unwrap().fingerprint, false, None).unwrap();
        let b = player.accept(&invitation.words, &invitation.welcome).unwrap();
        carry(&a, &player);
        let invitation = b.invite_own_device(role, 7).unwrap();
        let phone = workshop("player phone", 4);
        let c = phone.accept(&invitation.words, &invitation.welcome).unwrap();
        // Somebody else is removed before the owner hears of either.
        let open = a.invite(Role::Viewer, 7).unwrap();
        a.withdraw(&open.id).unwrap();
        remark(&a, "for both of them");
        let news = everything(&a);
        carry(&b, &phone);
        carry(&c, &tech);
        carry(&b, &tech);
        drop(phone.bundle_in(&news));
        rounds(2, &[&tech, &player, &phone]);
        for one in [&b, &c] {
            assert_eq!(told(one), told(&a), "{role}");
            assert_eq!(remarks(one), ["for both of them"], "{role}");
            assert_eq!(one.details().unwrap().people.len(), 3, "{role}");
        }
    }
}

#[test]
fn nobody_needs_the_key_of_an_epoch_that_somebody_began_who_was_out() {
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let (player, guest) = (workshop("player", 2), workshop("guest", 3));
    let (b, c) = (joined(&a, &player, &tech), joined(&a, &guest, &tech));
    rounds(1, &[&tech, &player, &guest]);
    a.remove_member(&guest.device().unwrap().fingerprint, false, None).unwrap();
    let other = workshop("other", 4);
    let d = joined(&a, &other, &tech);
    // The guest has not heard of it, but that the player left: it begins an epoch for those it knows.
    b.leave().unwrap();
    carry(&b, &guest);
    remark(&c, "of the guest");
    let of_guest = c.bundle_out().unwrap().file;
    tech.bundle_in(&of_guest).unwrap();
    drop(other.bundle_in(&of_guest));
    remark(&a, "of the owner");
    rounds(2, &[&tech, &other]);
    assert_eq!(remarks(&d), ["of the owner"]);
    assert_eq!((told(&d), epochs(&d)), (told(&a), epochs(&a)));
    assert_eq!(d.held().unwrap(), a.held().unwrap());
}

#[test]
fn words_alone_read_nothing_and_one_welcome_opens_every_epoch() {
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    remark(&a, "in the first epoch");
    for (number, label) in [(2, "guest"), (3, "other guest")] {
        let guest = workshop(label, number);
        let c = joined(&a, &guest, &tech);
        let fingerprint = guest.device().unwrap().fingerprint;
        a.remove_member(&fingerprint, false, None).unwrap();
        remark(&a, &format!("without the {label}"));
        drop(c);
    }
    let before = a.bundle_out().unwrap().file;
    let invitation = a.invite(Role::Contributor, 7).unwrap();
    let everything = a.bundle_out().unwrap().file;
    let player = workshop("player", 4);
    assert!(matches!(player.accept(&invitation.words, &before), Err(Error::Refused { .. })));
    let wrong = Workshop::look_at_invitation("legal winner thank", &everything);
    assert!(matches!(wrong, Err(Error::Refused { .. })));
    let card = Workshop::look_at_invitation(&invitation.code, &everything).unwrap();
    assert_eq!((card.name.as_str(), card.role), ("stage bass", Role::Contributor));
    assert_eq!(card.inviter, tech.device().unwrap().fingerprint);
    let b = player.accept(&invitation.code, &everything).unwrap();
    assert_eq!(remarks(&b), remarks(&a));
    carry(&b, &tech);
    assert_eq!(a.open_invitations().unwrap(), []);
    // The welcome is gone with the next file, and the words open nothing any more.
    let late = workshop("late", 5);
    let refused = late.accept(&invitation.words, &a.bundle_out().unwrap().file);
    assert!(matches!(refused, Err(Error::Refused { .. })));
}

#[test]
fn one_invitation_opens_a_record_of_seventy_epochs() {
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    for number in 0..70 {
        let invitation = a.invite(Role::Viewer, 7).unwrap();
        a.withdraw(&invitation.id).unwrap();
        if number % 10 == 0 {
            remark(&a, &format!("in epoch {number}"));
        }
    }
    assert_eq!(epochs(&a).len(), 71);
    let player = workshop("player", 2);
    let b = joined(&a, &player, &tech);
    rounds(1, &[&tech, &player]);
    assert_eq!((told(&b), epochs(&b)), (told(&a), epochs(&a)));
    assert_eq!(remarks(&b).len(), 7);
}

#[test]
fn an_invitation_to_a_record_of_which_nothing_has_come_takes_the_old_one_s_place() {
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let lost = a.invite(Role::Viewer, 7).unwrap();
    let player = workshop("player", 2);
    player.accept(&lost.words, &lost.welcome).unwrap();
    let next = a.invite(Role::Contributor, 7).unwrap();
    let b = player.accept(&next.words, &a.bundle_out().unwrap().file).unwrap();
    carry(&b, &tech);
    assert_eq!(b.details().unwrap().role, Some(Role::Contributor));
    let third = a.invite(Role::Contributor, 7).unwrap();
    let refused = player.accept(&third.words, &third.welcome);
    assert!(matches!(refused, Err(Error::BadInput { .. })));
}

#[test]
fn a_person_s_second_device_is_listed_and_removed_with_the_first() {
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let (player, phone) = (workshop("player", 2), workshop("player phone", 3));
    let b = joined(&a, &player, &tech);
    let own = b.invite_own_device(Role::Contributor, 7).unwrap();
    assert!(matches!(b.invite(Role::Viewer, 7), Err(Error::NotAllowed { .. })));
    let c = phone.accept(&own.words, &b.bundle_out().unwrap().file).unwrap();
    carry(&c, &player);
    rounds(2, &[&tech, &player, &phone]);
    let first = player.device().unwrap().fingerprint;
    let people = a.details().unwrap().people;
    let of_player = people.iter().filter(|one| one.person == first);
    let labels: BTreeSet<&str> = of_player.map(|one| one.label.as_str()).collect();
    assert_eq!(labels, ["player", "player phone"].into());
    a.remove_member(&first, true, None).unwrap();
    assert_eq!(a.details().unwrap().people.len(), 1);
}

#[test]
fn what_was_compared_is_shown_so_and_a_new_name_is_known_to_all() {
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let player = workshop("player", 2);
    let b = joined(&a, &player, &tech);
    let shown = |label: &str| {
        let people = a.details().unwrap().people;
        people.into_iter().find(|one| one.label == label).map(|one| one.compared)
    };
    assert_eq!((shown("tech"), shown("player")), (Some(true), Some(false)));
    a.compared(&player.device().unwrap().fingerprint).unwrap();
    assert_eq!(shown("player"), Some(true));
    assert!(matches!(a.compared("nobody"), Err(Error::NotFound { .. })));

    player.rename_device("stage left").unwrap();
    assert_eq!(player.device().unwrap().label, "stage left");
    assert!(matches!(player.rename_device(" "), Err(Error::BadInput { .. })));
    carry(&b, &tech);
    assert_eq!((shown("player"), shown("stage left")), (None, Some(true)));
}

#[test]
fn the_recovery_words_bring_everything_back_when_all_devices_are_lost() {
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let player = workshop("player", 2);
    let b = joined(&a, &player, &tech);
    let words = a.recovery_words().unwrap().unwrap();
    assert_eq!(b.recovery_words().unwrap(), None);
    a.recovery_words_written_down().unwrap();
    assert_eq!(a.recovery_words().unwrap(), None);
    // A removal in between: the letter goes with the newest key.
    let guest = workshop("guest", 3);
    joined(&a, &guest, &tech);
    a.remove_member(&guest.device().unwrap().fingerprint, false, None).unwrap();
    remark(&a, "before the fire");
    let backup = a.bundle_out().unwrap().file;

    let new = workshop("new bench", 4);
    let other = format!("zoo {}", words.split_once(' ').unwrap().1);
    assert!(matches!(new.recover(&other, &backup), Err(Error::Refused { .. })));
    let c = new.recover(&words, &backup).unwrap();
    assert_eq!(remarks(&c), ["before the fire"]);
    assert_eq!(c.details().unwrap().role, Some(Role::Owner));
    // A junior owner; only the words are above the founder.
    let lost = tech.device().unwrap().fingerprint;
    assert!(matches!(c.remove_member(&lost, false, None), Err(Error::NotAllowed { .. })));
    c.remove_with_words(&words, std::slice::from_ref(&lost), Some("lost")).unwrap();
    let next = c.renew_recovery_words(&words).unwrap();
    assert_ne!(next, words);
    assert_eq!(c.recovery_words().unwrap().as_ref(), Some(&next));
    // Whoever finds the old paper does nothing with it.
    let late = c.remove_with_words(&words, &[player.device().unwrap().fingerprint], None);
    assert!(matches!(late, Err(Error::Refused { .. })), "{late:?}");

    remark(&c, "after it");
    carry(&c, &player);
    assert_eq!(remarks(&b), remarks(&c));
    let labels: BTreeSet<String> =
        b.details().unwrap().people.into_iter().map(|one| one.label).collect();
    assert_eq!(labels, ["new bench", "player"].map(str::to_owned).into());
    // The lost device reads nothing of it, and the new words work where the old ones did.
    let _ = tech.bundle_in(&c.bundle_out().unwrap().file);
    assert_eq!(remarks(&a), ["before the fire"]);
    let again = workshop("again", 5);
    let d = again.recover(&next, &b.bundle_out().unwrap().file).unwrap();
    assert_eq!(d.details().unwrap().role, Some(Role::Owner));
}
