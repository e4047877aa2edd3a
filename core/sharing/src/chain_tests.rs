use super::*;
use crate::testing::{bundle, heads, incarnation, item, keys, linked, proof_of, record};
use fallaway_changes::Change;
use proptest::prelude::*;

fn three() -> Vec<VerifiedChange> {
    linked(&keys(1), 4, 3, &[item(1), item(2)])
}

/// The change with something else in it, of the right form.
fn edited(change: &VerifiedChange, edit: impl FnOnce(&mut Change)) -> VerifiedChange {
    let mut edited = Change::clone(change);
    edit(&mut edited);
    VerifiedChange::own(&record(), edited).unwrap()
}

/// The bundle as somebody writes it who puts anything under a signature.
fn crafted(proof: &ChainProof, changes: &[VerifiedChange]) -> Vec<u8> {
    let mut out = Builder::new();
    out.array(PROOF_ITEMS + 1);
    proof.encode_items(&mut out);
    out.array(changes.len());
    for change in changes {
        out.array(VerifiedChange::BODY_ITEMS).raw(change.body());
    }
    out.finish()
}

#[test]
fn a_bundle_round_trips_and_proves_its_chain() {
    let bundle = bundle(&keys(1), 4, 3, &[item(1), item(2)]);
    let decoded = ChangeBundle::decode(&bundle.encode());
    assert_eq!(decoded.as_ref(), Ok(&bundle));
    assert_eq!(bundle.changes(), three());
}

#[test]
fn one_signature_proves_any_tail_of_the_chain() {
    let changes = three();
    let proof = proof_of(&keys(1), &changes);
    let tail = ChangeBundle::new(proof, changes[1..].to_vec()).unwrap();
    assert_eq!(ChangeBundle::decode(&tail.encode()), Ok(tail));
}

#[test]
fn a_proof_is_kept_alone() {
    let proof = proof_of(&keys(1), &three());
    assert_eq!(ChainProof::decode(&proof.encode()), Ok(proof));
}

#[test]
fn a_changed_chain_is_not_what_was_signed() {
    let changes = three();
    let proof = proof_of(&keys(1), &changes);
    let later = |change: &mut Change| change.time += 1;
    let last = [changes[0].clone(), changes[1].clone(), edited(&changes[2], later)];
    let wrong = ChangeBundle::decode(&crafted(&proof, &last)).unwrap_err();
    assert!(matches!(wrong, ChainError::Link(LinkError::WrongTip { .. })), "{wrong}");
    let middle = [changes[0].clone(), edited(&changes[1], later), changes[2].clone()];
    let wrong = ChangeBundle::decode(&crafted(&proof, &middle)).unwrap_err();
    assert_eq!(wrong, LinkError::Unlinked(6).into());
}

#[test]
fn every_fault_has_its_name() {
    let changes = three();
    let proof = proof_of(&keys(1), &changes);
    let new = |changes: Vec<_>| ChangeBundle::new(proof.clone(), changes).unwrap_err();
    assert_eq!(new(Vec::new()), LinkError::Empty.into());

    let mut other = changes.clone();
    other[0] = edited(&other[0], |change| {
        change.writer = Writer::from_bytes([9; 16]);
        change.ops.iter_mut().for_each(|put| put.container = fallaway_changes::Container::SPEC);
    });
    assert!(matches!(new(other), ChainError::Link(LinkError::WrongWriter { seq: 4, .. })));

    let gap = vec![changes[0].clone(), changes[2].clone()];
    assert_eq!(new(gap), LinkError::WrongNumber { found: 4, expected: 5 }.into());
    let short = vec![changes[0].clone()];
    assert_eq!(new(short), LinkError::WrongNumber { found: 4, expected: 6 }.into());

    let mut forged = proof.clone();
    forged.device = keys(2).device();
    let refused = ChangeBundle::new(forged, changes.clone());
    assert_eq!(refused, Err(ChainError::BadSignature(keys(2).device())));

    let mut headless = proof.clone();
    headless.member_heads.clear();
    assert_eq!(headless.verify(), Err(ChainError::MemberHeads));
}

#[test]
fn a_signature_is_for_one_record_one_number_and_one_incarnation() {
    let proof = proof_of(&keys(1), &three());
    let edits: [fn(&mut ChainProof); 5] = [
        |proof| proof.record = RecordId::from_bytes([1; 16]),
        |proof| proof.seq += 1,
        |proof| proof.incarnation = Incarnation::from_bytes([1; 16]),
        |proof| proof.tip = ChangeId::from_bytes([1; 32]),
        |proof| proof.member_heads = vec![MemberHash::from_bytes([1; 32])],
    ];
    for edit in edits {
        let mut edited = proof.clone();
        edit(&mut edited);
        assert_eq!(edited.verify(), Err(ChainError::BadSignature(proof.device)));
    }
}

#[test]
fn the_operations_of_all_changes_together_are_bounded() {
    let changes = linked(&keys(1), 1, 17, &vec![item(1); fallaway_changes::limits::MAX_OPS]);
    let proof = proof_of(&keys(1), &changes);
    let bytes = crafted(&proof, &changes);
    let limit = TooLarge { what: "operations of a bundle", found: 139_264, most: 131_072 };
    assert_eq!(ChangeBundle::new(proof, changes), Err(ChainError::TooLarge(limit)));
    let read = ChangeBundle::decode(&bytes);
    assert!(matches!(read, Err(ChainError::TooLarge(found)) if found == limit));
}

#[test]
fn extreme_numbers_are_refused_without_overflow() {
    for (seq, count) in [(u64::MAX, 0), (u64::MAX, 2), (0, 0), (0, 1), (1, 2)] {
        let tip = ChangeId::from_bytes([1; 32]);
        let proof = ChainProof::sign(&keys(1), record(), incarnation(), seq, tip, &heads());
        let mut out = Builder::new();
        out.array(PROOF_ITEMS + 1);
        proof.encode_items(&mut out);
        out.array(count);
        for _ in 0..count {
            out.array(VerifiedChange::BODY_ITEMS).raw(three()[0].body());
        }
        assert!(ChangeBundle::decode(&out.finish()).is_err());
    }
}

proptest! {
    #[test]
    fn an_altered_bundle_is_refused(place: prop::sample::Index, bit in 0..8) {
        let bundle = bundle(&keys(1), 4, 3, &[item(1), item(2)]);
        let mut bytes = bundle.encode();
        let place = place.index(bytes.len());
        prop_assert!(ChangeBundle::decode(&bytes[..place]).is_err());
        bytes[place] ^= 1_u8 << bit;
        prop_assert!(ChangeBundle::decode(&bytes).is_err());
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let _ = ChangeBundle::decode(&bytes);
        let _ = ChainProof::decode(&bytes);
    }
}
