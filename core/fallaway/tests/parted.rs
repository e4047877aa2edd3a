//! What a removal, a fork or an acceptance parts: signatures that stand beside the record still prove
//! what is in it, and nobody's line is left behind for good.

#![allow(clippy::unwrap_used)]

mod common;

use common::people::{carry, copy, joined, open, remark, remarks};
use common::{everything, news, told, workshop};
use fallaway::record::SpecField;
use fallaway::{Instrument, Role, WhyAside, Workshop};

fn stage(workshop: &Workshop) -> Instrument {
    workshop.instrument_named("stage").unwrap()
}

/// Lines, each signed when it was written, that leave under one signature: it goes to the background,
/// and what lay beside the snapshot becomes a part of it.
fn write_many(workshop: &Workshop, lines: &[String]) {
    for line in lines {
        remark(&stage(workshop), line);
        drop(stage(workshop).bundle_out().unwrap());
    }
    workshop.pause().unwrap();
}

fn many(what: &str) -> Vec<String> {
    (10..30).map(|number| format!("{what} {number}")).collect()
}

fn fingerprint(workshop: &Workshop) -> String {
    workshop.device().unwrap().fingerprint
}

#[test]
fn a_removal_that_parts_what_was_signed_together_hides_no_line_of_others() {
    let (tech, player, third) = (workshop("tech", 1), workshop("player", 2), workshop("third", 3));
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let b = joined(&a, &player, &tech);
    let c = joined(&a, &third, &tech);
    remark(&b, "first");
    carry(&b, &tech);
    write_many(&player, &many("more"));
    carry(&b, &third);
    assert_eq!(remarks(&c).len(), 21);
    // The owner has the first line only.
    a.remove_member(&fingerprint(&player), false, None).unwrap();
    remark(&a, "of the owner");
    let report = third.bundle_in(&everything(&a)).unwrap();
    assert_eq!((report.waiting, report.set_aside), (0, vec![WhyAside::Removed; 20]));
    assert_eq!(remarks(&c), ["first", "of the owner"]);
    remark(&a, "of the owner, later");
    let report = third.bundle_in(&everything(&a)).unwrap();
    assert_eq!((report.waiting, report.set_aside), (0, vec![WhyAside::Removed; 20]));
    assert_eq!(remarks(&c), ["first", "of the owner", "of the owner, later"]);
    // And on from there, for who has it from here, too.
    remark(&c, "of the third");
    carry(&c, &tech);
    assert_eq!(told(&a), told(&c));
    let fourth = workshop("fourth", 4);
    let d = joined(&c_owner(&a, &third, &c), &fourth, &third);
    assert_eq!(remarks(&d), ["first", "of the owner", "of the owner, later", "of the third"]);
}

/// The third becomes an owner.
fn c_owner(owner: &Instrument, device: &Workshop, theirs: &Instrument) -> Instrument {
    owner.set_role(&fingerprint(device), Role::Owner).unwrap();
    carry(owner, device);
    theirs.clone()
}

#[test]
fn who_signed_what_is_in_together_with_what_waits_speaks_for_others_all_the_same() {
    let (tech, player, third) = (workshop("tech", 1), workshop("player", 2), workshop("third", 3));
    let (guest, fourth) = (workshop("guest", 4), workshop("fourth", 5));
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let [b, c, g, d] = [&player, &third, &guest, &fourth].map(|one| joined(&a, one, &tech));
    for one in [&player, &third, &guest, &fourth] {
        carry(&a, one);
    }
    remark(&g, "of the guest");
    carry(&g, &player);
    carry(&g, &third);
    remark(&b, "on top of the guest");
    remark(&d, "of the fourth");
    carry(&d, &player);
    write_many(&player, &many("on top of the fourth"));
    // The third has not what the player's later lines build on.
    assert_eq!(third.bundle_in(&news(&b)).unwrap().waiting, 20);
    assert_eq!(remarks(&c), ["of the guest", "on top of the guest"]);
    // The owner has nothing of the guest's, and removes it: the player's line speaks for it.
    a.remove_member(&fingerprint(&guest), false, None).unwrap();
    carry(&a, &third);
    assert_eq!(remarks(&c), ["of the guest", "on top of the guest"]);
    carry(&d, &third);
    carry(&c, &tech);
    assert_eq!((remarks(&c).len(), remarks(&a)), (23, remarks(&c)));
    // Nothing that the store has is forgotten in memory.
    carry(&b, &third);
    assert_eq!(told(&a), told(&c));
}

#[test]
fn work_comes_in_with_the_acceptance_that_lets_it_in() {
    let tech = workshop("tech", 1);
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let members = [workshop("player", 2), workshop("third", 3)];
    for member in &members {
        joined(&a, member, &tech);
    }
    // Two devices use one invitation: what one of them wrote is nobody's, and somebody built on it.
    let invitation = a.invite(Role::Contributor, 7).unwrap();
    let rivals = [workshop("one", 4), workshop("two", 5)];
    for (rival, member) in rivals.iter().zip(&members) {
        let theirs = rival.accept(&invitation.words, &invitation.welcome).unwrap();
        carry(&a, rival);
        remark(&theirs, &format!("of {}", rival.device().unwrap().label));
        carry(&theirs, member);
        remark(&stage(member), "on top of it");
    }
    for member in &members {
        carry(&stage(member), &tech);
    }
    let held = a.held().unwrap();
    let held = held.iter().find(|one| one.why == WhyAside::Reader).unwrap();
    a.accept_held(&held.fingerprint).unwrap();
    let here = remarks(&a);
    assert!(["of one", "of two"].iter().all(|line| here.iter().any(|one| one == line)), "{here:?}");
    // Whoever comes now has both in one file.
    let late = workshop("late", 6);
    let c = joined(&a, &late, &tech);
    assert_eq!(told(&c), told(&a));
    assert_eq!(c.waits_for().unwrap(), None);
}

#[test]
fn a_line_that_only_others_have_of_a_copy_is_written_again_by_who_is_left() {
    let folders = tempfile::tempdir().unwrap();
    let (home, twin) = (folders.path().join("home"), folders.path().join("twin"));
    let (tech, second) = (workshop("tech", 1), workshop("second", 7));
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let player = open(&home, "player", 2);
    let b = joined(&a, &player, &tech);
    let c = joined(&a, &second, &tech);
    remark(&b, "before");
    player.shut_down().unwrap();
    copy(&home, &twin);

    // The copy writes a line and states a fact, somebody gets it, and then it is lost.
    let copied = open(&twin, "player", 4);
    remark(&stage(&copied), "by the copy");
    stage(&copied).set_spec(&SpecField::About("rattles".into()), None).unwrap();
    carry(&stage(&copied), &second);
    drop(copied);
    let player = open(&home, "player", 3);
    let b = stage(&player);
    remark(&b, "at home");
    carry(&b, &tech);
    remark(&a, "on top of home");
    // It arrives at its own device, which never had it, as one of two of one number.
    carry(&c, &tech);
    assert!(!remarks(&a).contains(&"by the copy".to_owned()));
    carry(&a, &player);
    carry(&b, &tech);
    carry(&a, &second);
    let all = ["at home", "before", "by the copy", "on top of home"].map(str::to_owned);
    for instrument in [&a, &b, &c] {
        assert_eq!(remarks(instrument), all);
        assert!(format!("{:?}", instrument.details().unwrap().spec).contains("rattles"));
        assert_eq!(told(instrument), told(&a));
    }
    // Once is enough.
    let before = a.details().unwrap().history_digest;
    for _ in 0..2 {
        carry(&a, &player);
        carry(&b, &tech);
    }
    assert_eq!(a.details().unwrap().history_digest, before);
}

#[test]
fn who_is_removed_later_hands_nothing_on_to_who_was_removed_before() {
    let (tech, guest) = (workshop("tech", 1), workshop("guest", 2));
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let players = [3, 4, 5, 6].map(|seed| workshop(&format!("player {seed}"), seed));
    let theirs = players.each_ref().map(|player| joined(&a, player, &tech));
    let mut could_read = Vec::new();
    for (player, theirs) in players.iter().zip(&theirs) {
        carry(&a, player);
        could_read.push(remarks(theirs));
        a.remove_member(&fingerprint(player), false, None).unwrap();
        remark(&a, &format!("after {}", player.device().unwrap().label));
    }
    let g = joined(&a, &guest, &tech);
    let all = remarks(&a);
    a.remove_member(&fingerprint(&guest), false, None).unwrap();
    // The guest hears that it is out, and has no key of what comes then; what it has it may hand on.
    carry(&a, &guest);
    assert_eq!(remarks(&g), all);
    let file = g.bundle_out().unwrap().file;
    for ((player, theirs), before) in players.iter().zip(&theirs).zip(could_read) {
        drop(player.bundle_in(&file));
        assert_eq!(remarks(theirs), before);
    }
}

#[test]
fn an_end_beyond_its_author_s_room_hides_no_beginning_from_a_newcomer() {
    let (tech, player, third) = (workshop("tech", 1), workshop("player", 2), workshop("third", 3));
    let a = tech.add_instrument("bass-5", "stage bass").unwrap();
    let b = joined(&a, &player, &tech);
    let c = joined(&a, &third, &tech);
    remark(&b, "first");
    carry(&b, &tech);
    // More than one person's room beside the record, all under one signature with the first.
    write_many(&player, &(0..520).map(|number| format!("more {number}")).collect::<Vec<_>>());
    carry(&b, &third);
    assert_eq!(remarks(&c).len(), 521);
    drop(everything(&a));
    assert_eq!(remarks(&a), ["first"]);
    a.remove_member(&fingerprint(&player), false, None).unwrap();
    remark(&a, "of the owner");
    a.set_role(&fingerprint(&third), Role::Owner).unwrap();
    // What is new only: the signature under which the owner has the first line does not come along.
    third.bundle_in(&news(&a)).unwrap();
    assert_eq!(remarks(&c), ["first", "of the owner"]);
    let fourth = workshop("fourth", 4);
    let d = joined(&c, &fourth, &third);
    assert_eq!(remarks(&d), ["first", "of the owner"]);
}
