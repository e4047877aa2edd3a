#![allow(clippy::unwrap_used, reason = "a test")]

use super::*;
use crate::identity::InviteSecret;
use crate::known::Nothing;
use crate::member::MemberOp;
use crate::role::Role;
use crate::seal::{bundle_id, open, seal};
use crate::standing::{Skip, Status};
use crate::testing::keys;
use crate::{Action, InviteFor};
use fallaway_order::Set;

const NOW: i64 = 1_790_000_000;

fn key(byte: u8) -> EpochKey {
    EpochKey::from_bytes([byte; 32])
}

fn put(members: &mut Members, op: &MemberOp) {
    members.insert(op.clone()).unwrap();
}

/// The founder invites; two come by the one invitation.
struct Story {
    members: Members,
    invite: MemberOp,
    first: MemberOp,
    guest: MemberOp,
}

fn story() -> Story {
    let founding = MemberOp::found(&keys(1), NOW, [7; 16], "bench", None).unwrap();
    let mut members = Members::new(*founding.record());
    put(&mut members, &founding);
    let begun = members.begin_epoch(&keys(1), &key(1), &[], NOW, || [5; 32]).unwrap();
    put(&mut members, &begun);
    let secret = InviteSecret::from_bytes([3; 16]);
    let (record, seen) = (*members.record(), members.heads());
    let role = Role::Contributor;
    let whom = InviteFor::Other;
    let action = Action::Invite { key: secret.key(&record), role, expires: NOW + 100, whom };
    let invite = MemberOp::sign(&keys(1), record, &seen, NOW, action).unwrap();
    put(&mut members, &invite);
    let seen = Set::from([invite.hash()]);
    let joins = [3, 4].map(|by| {
        MemberOp::join(&keys(by), record, &seen, NOW, invite.hash(), &secret, "guest").unwrap()
    });
    // Of two that saw none of the other that of the lower hash counts.
    let [first, guest] = joins;
    let (first, guest) = if first.hash() < guest.hash() { (first, guest) } else { (guest, first) };
    Story { members, invite, first, guest }
}

/// Whoever came in by the key of an epoch that counts for nothing since has no key that the others have: what is
/// handed to it opens all the same, and brings the whole history.
#[test]
fn whoever_came_with_a_key_that_nobody_else_has_opens_what_is_handed_to_it() {
    let Story { mut members, invite, first, guest } = story();
    let record = *members.record();
    // To the founder the guest came first; it begins an epoch, and under that one the founder's second
    // device comes.
    put(&mut members, &guest);
    let guests = keys(if *guest.device() == keys(3).device() { 3 } else { 4 });
    let begun = members.begin_epoch(&guests, &key(2), &[], NOW, || [6; 32]).unwrap();
    put(&mut members, &begun);
    assert_eq!(members.status(&begun.hash()), Some(&Status::Accepted));
    let secret = InviteSecret::from_bytes([9; 16]);
    let whom = InviteFor::SamePerson;
    let action = Action::Invite {
        key: secret.key(&record),
        role: Role::Contributor,
        expires: NOW + 100,
        whom,
    };
    let seen = members.heads();
    let second = MemberOp::sign(&keys(1), record, &seen, NOW, action).unwrap();
    put(&mut members, &second);
    let seen = Set::from([second.hash()]);
    let join =
        MemberOp::join(&keys(5), record, &seen, NOW, second.hash(), &secret, "pocket").unwrap();
    put(&mut members, &join);
    // The other one turns out to have been first.
    put(&mut members, &first);
    let used = Status::Skipped(Skip::Used(first.hash()));
    assert_eq!(members.status(&guest.hash()), Some(&used));
    assert!(members.epochs().all(|(epoch, _)| epoch == key(1).id()));
    assert!(members.member(&keys(5).device()).is_some(), "{:?}", members.status(&join.hash()));
    let next = members.begin_epoch(&keys(1), &key(3), &[key(1)], NOW, || [8; 32]).unwrap();
    put(&mut members, &next);

    // It gets the key in that operation, which it cannot read.
    let device = keys(5).device();
    assert!(members.lacking(&key(3).id()).contains(&device));
    let handed = members.hand_key(&keys(1), &key(3), &device, NOW, [9; 32]).unwrap();
    put(&mut members, &handed);
    assert!(!members.lacking(&key(3).id()).contains(&device));

    // What it has: its own join, and a key that is worth nothing.
    let mut own = Members::new(record);
    put(&mut own, &join);
    let payload = Payload::Member(handed.clone());
    let sealed = seal(&handing_key(&record, &device), &record, &payload).unwrap();
    assert!(open(&record, &[key(2)], &sealed).is_err());
    let opened = own.handing_keys().open(&record, &sealed, &Nothing).unwrap().1;
    assert_eq!(opened, payload);
    put(&mut own, &handed);
    let got = own.readable_keys(&keys(5), &[key(2)]);
    assert!(got.contains(&key(3)));
    // The operation of that epoch leaves under its own key, too, and brings those before it.
    put(&mut own, &next);
    assert!(own.readable_keys(&keys(5), &got).contains(&key(1)));
    // Everybody else who knows the device hands the same bytes on; who does not reads nothing in them.
    let [others, strangers] = [&members, &Members::new(record)].map(Members::handing_keys);
    assert_eq!(others.open(&record, &sealed, &Nothing).unwrap().1, payload);
    let unknown = Err(OpenError::UnknownEpoch(header(&sealed).unwrap().epoch));
    assert_eq!(strangers.open(&record, &sealed, &Nothing), unknown);
    let elsewhere = RecordId::from_bytes([8; 16]);
    assert!(others.open(&elsewhere, &sealed, &Nothing).is_err());
    assert_ne!(bundle_id(&sealed), bundle_id(&seal(&key(3), &record, &payload).unwrap()));
    assert_ne!(invite.hash(), second.hash());
}

/// The key of that place follows from what every former member knows: nothing but a key for that device comes
/// by it.
#[test]
fn nothing_but_a_key_for_that_device_comes_by_it() {
    let Story { mut members, first, guest, .. } = story();
    put(&mut members, &first);
    let record = *members.record();
    let whom = *first.device();
    let handed = members.hand_key(&keys(1), &key(1), &whom, NOW, [9; 32]).unwrap();
    put(&mut members, &handed);
    let opens = |device: &DeviceId, op: &MemberOp| {
        let payload = Payload::Member(op.clone());
        let sealed = seal(&handing_key(&record, device), &record, &payload).unwrap();
        members.handing_keys().open(&record, &sealed, &Nothing).map(drop)
    };
    assert_eq!(opens(&whom, &handed), Ok(()));
    assert_eq!(opens(&keys(1).device(), &handed), Err(OpenError::Altered));
    assert_eq!(opens(&whom, &first), Err(OpenError::Altered));
    assert_eq!(opens(&whom, &guest), Err(OpenError::Altered));
}

/// A member is named in the operation that begins an epoch. Whether it can read that one, nobody knows who does not
/// know with which key it came: until it was handed one, it is handed each.
#[test]
fn a_member_has_a_key_when_it_can_read_what_brings_it() {
    let Story { mut members, first, .. } = story();
    put(&mut members, &first);
    let (own, device) = (keys(1).device(), *first.device());
    let begin = |members: &mut Members, with: u8, held: &[EpochKey]| {
        let op = members.begin_epoch(&keys(1), &key(with), held, NOW, || [with; 32]).unwrap();
        put(members, &op);
    };
    begin(&mut members, 2, &[key(1)]);
    assert_eq!(members.lacking(&key(1).id()), [device]);
    assert_eq!(members.lacking(&key(2).id()), [device]);
    let handed = members.hand_key(&keys(1), &key(2), &device, NOW, [9; 32]).unwrap();
    put(&mut members, &handed);
    assert_eq!(members.lacking(&key(2).id()), []);
    // The next ones come under that one.
    begin(&mut members, 3, &[key(1), key(2)]);
    begin(&mut members, 4, &[key(1), key(2), key(3)]);
    assert_eq!(members.lacking(&key(4).id()), []);
    // One that was begun without the key of the one before it may be sealed under a key beside that.
    begin(&mut members, 5, &[key(1)]);
    assert_eq!(members.lacking(&key(5).id()), []);
    let epochs: Vec<EpochId> = [1, 2, 3, 4, 5].map(|byte| key(byte).id()).to_vec();
    assert!(epochs.iter().all(|epoch| !members.lacking(epoch).contains(&own)));
}
