use super::*;
use crate::action::{FrontierPoint, RelayAddress, WrappedKey};
use crate::role::{Role, RoleError};
use crate::testing::{keys, record};
use fallaway_changes::{ChangeId, EpochId, Writer};
use proptest::prelude::*;

const NOW: i64 = 1_790_000_000;

fn seen() -> Set<MemberHash> {
    Set::from([MemberHash::from_bytes([1; 32]), MemberHash::from_bytes([2; 32])])
}

/// One operation of each kind.
fn one_of_each() -> Vec<MemberOp> {
    let (owner, other) = (keys(1), keys(2));
    let secret = InviteSecret::from_bytes([5; 16]);
    let newcomer = (other.device(), other.exchange());
    let invite = MemberHash::from_bytes([2; 32]);
    let invited = (Role::Contributor, InviteFor::SamePerson);
    let tip = ChangeId::from_bytes([6; 32]);
    let point = |writer| FrontierPoint { writer: Writer::from_bytes([writer; 16]), seq: 7, tip };
    let wrapped = |device| WrappedKey { device: keys(device).device(), enc: [8; 32], ct: [9; 48] };
    let epoch = EpochId::from_bytes([4; 16]);
    let mut wrapped = [wrapped(1), wrapped(2)];
    wrapped.sort_by_key(|one| one.device);
    let signed = |action| MemberOp::sign(&owner, record(), &seen(), NOW, action).unwrap();
    let unknown = Action::Unknown { kind: 13, body: vec![0x82, 1, 2] };
    vec![
        MemberOp::found(&owner, NOW, [3; 16], "bench", None).unwrap(),
        MemberOp::add(&owner, record(), &seen(), NOW, newcomer, Role::Viewer, "phone").unwrap(),
        MemberOp::invite(&owner, record(), &seen(), NOW, &secret, invited, NOW + 9).unwrap(),
        MemberOp::join(&other, record(), &seen(), NOW, invite, &secret, "backstage").unwrap(),
        signed(unknown),
        signed(Action::Remove {
            devices: vec![other.device()],
            frontier: vec![point(1), point(2)],
            invites: vec![invite],
            reason: Some("sold".to_owned()),
        }),
        signed(Action::Remove {
            devices: vec![other.device()],
            frontier: Vec::new(),
            invites: Vec::new(),
            reason: None,
        }),
        signed(Action::SetRole {
            device: other.device(),
            role: Role::Owner,
            frontier: vec![point(3)],
        }),
        signed(Action::NewEpoch {
            epoch,
            parents: vec![EpochId::from_bytes([3; 16])],
            wrapped: wrapped.to_vec(),
            older: vec![1; 48],
            relays: vec![RelayAddress { url: "https://relay.example".to_owned(), log: [2; 16] }],
        }),
        signed(Action::Withdraw { invite }),
        signed(Action::Accept { frontier: vec![point(4)] }),
        signed(Action::HandKey { epoch, wrapped: wrapped[0] }),
        signed(Action::Leave),
        MemberOp::found(&owner, NOW, [3; 16], "bench", Some(other.as_recovery())).unwrap(),
        signed(Action::HandRecovery { next: other.as_recovery() }),
        signed(Action::Rename { label: "the one on the bench".to_owned() }),
    ]
}

#[test]
fn operations_round_trip() {
    for op in one_of_each() {
        assert_eq!(MemberOp::decode(&op.encode()), Ok(op));
    }
}

#[test]
fn a_record_id_commits_to_its_founder() {
    let op = MemberOp::found(&keys(1), NOW, [3; 16], "bench", None).unwrap();
    assert_ne!(
        op.record(),
        MemberOp::found(&keys(2), NOW, [3; 16], "bench", None).unwrap().record()
    );
    assert_ne!(
        op.record(),
        MemberOp::found(&keys(1), NOW, [4; 16], "bench", None).unwrap().record()
    );
    // Somebody else who founds "the same record" is refused.
    let stolen = MemberOp::sign(&keys(2), *op.record(), &Set::new(), NOW, op.action().clone());
    assert_eq!(stolen, Err(MemberError::NotTheFounding(*op.record())));
}

#[test]
fn consent_needs_the_secret() {
    let secret = InviteSecret::from_bytes([5; 16]);
    let join = one_of_each().remove(3);
    assert!(join.consented(&secret.key(&record())));
    assert!(!join.consented(&InviteSecret::from_bytes([6; 16]).key(&record())));
    assert!(!one_of_each()[1].consented(&secret.key(&record())));
}

#[test]
fn a_join_signed_over_by_another_device_has_no_consent() {
    let secret = InviteSecret::from_bytes([5; 16]);
    let join = one_of_each().remove(3);
    let action = join.action().clone();
    let taken = MemberOp::sign(&keys(9), record(), &seen(), NOW, action).unwrap();
    assert!(!taken.consented(&secret.key(&record())));
}

#[test]
fn every_fault_has_its_name() {
    let none = Set::new();
    let who = (keys(2).device(), keys(2).exchange());
    let add = |seen: &Set<MemberHash>, time, label: &str| {
        MemberOp::add(&keys(1), record(), seen, time, who, Role::Viewer, label)
    };
    assert_eq!(add(&none, NOW, "phone"), Err(MemberError::Seen));
    assert_eq!(add(&seen(), i64::MAX, "phone"), Err(MemberError::Time(i64::MAX)));
    let unseen = ["te\u{200b}ch", "tech\u{202e}", "\u{feff}tech", "te\u{2028}ch", "te\u{ad}ch"];
    for label in ["", " phone", "a\tb", &"x".repeat(65)].into_iter().chain(unseen) {
        assert_eq!(add(&seen(), NOW, label), Err(MemberError::Label));
    }
    let many =
        (0..=MAX_MEMBER_HEADS).map(|n| MemberHash::from_bytes(derive("n", &[&n.to_be_bytes()])));
    assert!(matches!(add(&many.collect(), NOW, "x"), Err(MemberError::TooLarge(_))));
    let by_one = |action| MemberOp::sign(&keys(1), record(), &seen(), NOW, action);
    let remove = |devices: Vec<DeviceId>, frontier| {
        by_one(Action::Remove { devices, frontier, invites: Vec::new(), reason: None })
    };
    assert_eq!(remove(vec![keys(1).device()], Vec::new()), Err(MemberError::Oneself));
    assert_eq!(remove(Vec::new(), Vec::new()), Err(MemberError::Order));
    assert_eq!(remove(vec![who.0, who.0], Vec::new()), Err(MemberError::Order));
    let tip = ChangeId::from_bytes([6; 32]);
    let none_yet = FrontierPoint { writer: Writer::from_bytes([1; 16]), seq: 0, tip };
    assert_eq!(remove(vec![who.0], vec![none_yet]), Err(MemberError::Order));
    let role = Action::SetRole { device: keys(1).device(), role: Role::Viewer, frontier: vec![] };
    assert_eq!(by_one(role), Err(MemberError::Oneself));
    let (secret, owner) = (InviteSecret::from_bytes([5; 16]), (Role::Owner, InviteFor::Other));
    let invite = MemberOp::invite(&keys(1), record(), &seen(), NOW, &secret, owner, NOW);
    assert_eq!(invite, Err(MemberError::OwnerInvited));
    let large = Action::Unknown { kind: 99, body: crate::testing::value_of(MAX_MEMBER_BYTES) };
    let large = MemberOp::sign(&keys(1), record(), &seen(), NOW, large);
    assert!(matches!(large, Err(MemberError::TooLarge(_))));
}

#[test]
fn roles_have_names_and_an_order() {
    for role in [Role::Viewer, Role::Contributor, Role::Owner] {
        assert_eq!(role.to_string().parse(), Ok(role));
    }
    assert!(Role::Owner > Role::Contributor && Role::Contributor > Role::Viewer);
    assert_eq!("king".parse::<Role>(), Err(RoleError));
}

proptest! {
    #[test]
    fn an_altered_operation_is_refused(
        which in 0..14_usize,
        place: prop::sample::Index,
        bit in 0..8,
    ) {
        let mut bytes = one_of_each()[which].encode();
        let place = place.index(bytes.len());
        prop_assert!(MemberOp::decode(&bytes[..place]).is_err());
        bytes[place] ^= 1_u8 << bit;
        prop_assert!(MemberOp::decode(&bytes).is_err());
    }

    #[test]
    fn any_bytes_are_refused(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        prop_assert!(MemberOp::decode(&bytes).is_err());
    }
}
