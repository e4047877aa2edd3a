use super::*;
use crate::testing::{keys, record};
use proptest::prelude::*;

const NOW: i64 = 1_790_000_000;

fn seen() -> BTreeSet<MemberHash> {
    BTreeSet::from([MemberHash::from_bytes([1; 32]), MemberHash::from_bytes([2; 32])])
}

/// One operation of each kind.
fn one_of_each() -> Vec<MemberOp> {
    let (owner, other) = (keys(1), keys(2));
    let secret = InviteSecret::from_bytes([5; 16]);
    let newcomer = (other.device(), other.exchange());
    let invite = MemberHash::from_bytes([2; 32]);
    let unknown = Action::Unknown { kind: 5, body: vec![0x82, 1, 2] };
    vec![
        MemberOp::found(&owner, NOW, [3; 16], "bench").unwrap(),
        MemberOp::add(&owner, record(), &seen(), NOW, newcomer, Role::Viewer, "phone").unwrap(),
        MemberOp::invite(&owner, record(), &seen(), NOW, &secret, Role::Owner, NOW + 9).unwrap(),
        MemberOp::join(&other, record(), &seen(), NOW, invite, &secret, "backstage").unwrap(),
        MemberOp::sign(&owner, record(), &seen(), NOW, unknown).unwrap(),
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
    let op = MemberOp::found(&keys(1), NOW, [3; 16], "bench").unwrap();
    assert_ne!(op.record(), MemberOp::found(&keys(2), NOW, [3; 16], "bench").unwrap().record());
    assert_ne!(op.record(), MemberOp::found(&keys(1), NOW, [4; 16], "bench").unwrap().record());
    // Somebody else who founds "the same record" is refused.
    let stolen = MemberOp::sign(&keys(2), *op.record(), &BTreeSet::new(), NOW, op.action().clone());
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
    let none = BTreeSet::new();
    let who = (keys(2).device(), keys(2).exchange());
    let add = |seen: &BTreeSet<MemberHash>, time, label: &str| {
        MemberOp::add(&keys(1), record(), seen, time, who, Role::Viewer, label)
    };
    assert_eq!(add(&none, NOW, "phone"), Err(MemberError::Seen));
    assert_eq!(add(&seen(), i64::MAX, "phone"), Err(MemberError::Time(i64::MAX)));
    for label in ["", " phone", "a\tb", &"x".repeat(65)] {
        assert_eq!(add(&seen(), NOW, label), Err(MemberError::Label));
    }
    let many =
        (0..=MAX_MEMBER_HEADS).map(|n| MemberHash::from_bytes(derive("n", &[&n.to_be_bytes()])));
    assert!(matches!(add(&many.collect(), NOW, "x"), Err(MemberError::TooLarge(_))));
    let large = Action::Unknown { kind: 9, body: crate::testing::value_of(MAX_MEMBER_BYTES) };
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
        which in 0..5_usize,
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
