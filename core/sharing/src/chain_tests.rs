use std::convert::Infallible;

use super::*;
use crate::testing::{bundle, hash_of, heads, incarnation, item, keys, linked, record};
use proptest::prelude::*;

fn verified(bundle: &ChangeBundle) -> Result<Vec<ChangeHash>, VerifyError<Infallible>> {
    bundle.verify_chain(|change| Ok(hash_of(change)))
}

fn proof_of(changes: &[Change]) -> ChainProof {
    let last = changes.last().unwrap();
    ChainProof::sign(&keys(1), record(), incarnation(), last.seq, hash_of(last), &heads())
}

fn three() -> Vec<Change> {
    linked(&keys(1), 4, 3, &[item(1), item(2)])
}

#[test]
fn a_bundle_round_trips_and_proves_its_chain() {
    let bundle = bundle(&keys(1), 4, 3, &[item(1), item(2)]);
    let decoded = ChangeBundle::decode(&bundle.encode());
    assert_eq!(decoded.as_ref(), Ok(&bundle));
    let hashes = verified(&decoded.unwrap()).unwrap();
    assert_eq!(hashes, bundle.changes().iter().map(hash_of).collect::<Vec<_>>());
}

#[test]
fn one_signature_proves_any_tail_of_the_chain() {
    let changes = three();
    let tail = ChangeBundle::new(proof_of(&changes), changes[1..].to_vec()).unwrap();
    assert_eq!(verified(&tail).unwrap().len(), 2);
}

#[test]
fn a_proof_is_kept_alone() {
    let proof = proof_of(&three());
    assert_eq!(ChainProof::decode(&proof.encode()), Ok(proof));
}

#[test]
fn a_changed_chain_is_not_what_was_signed() {
    let changes = three();
    let proof = proof_of(&changes);
    let mut last = changes.clone();
    last[2].time += 1;
    let bundle = ChangeBundle::new(proof.clone(), last).unwrap();
    assert!(matches!(verified(&bundle), Err(VerifyError::WrongHash { .. })));
    let mut middle = changes;
    middle[1].time += 1;
    let bundle = ChangeBundle::new(proof, middle).unwrap();
    assert_eq!(verified(&bundle), Err(VerifyError::Unlinked(6)));
    let failed = bundle.verify_chain(|_| Err("no"));
    assert_eq!(failed, Err(VerifyError::Rebuild { seq: 4, error: "no" }));
}

#[test]
fn every_fault_has_its_name() {
    let changes = three();
    let proof = proof_of(&changes);
    let new = |changes: Vec<Change>| ChangeBundle::new(proof.clone(), changes).unwrap_err();
    assert_eq!(new(Vec::new()), ChainError::Empty);

    let mut other = changes.clone();
    other[0].writer = Writer::from_bytes([9; 16]);
    other[0].ops.iter_mut().for_each(|put| put.container = fallaway_changes::Container::SPEC);
    assert!(matches!(new(other), ChainError::WrongWriter { seq: 4, .. }));

    let gap = vec![changes[0].clone(), changes[2].clone()];
    assert_eq!(new(gap), ChainError::WrongNumber { found: 4, expected: 5 });
    let short = vec![changes[0].clone()];
    assert_eq!(new(short), ChainError::WrongNumber { found: 4, expected: 6 });

    let mut low = changes.clone();
    low[1].start_op = low[0].end_op();
    assert_eq!(new(low), ChainError::CounterOrder(5));

    let mut empty = changes.clone();
    empty[1].ops.clear();
    assert_eq!(new(empty), ChainError::Change { seq: 5, error: ChangeError::Empty });

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
    let proof = proof_of(&three());
    let edits: [fn(&mut ChainProof); 5] = [
        |proof| proof.record = RecordId::from_bytes([1; 16]),
        |proof| proof.seq += 1,
        |proof| proof.incarnation = Incarnation::from_bytes([1; 16]),
        |proof| proof.hash = ChangeHash::from_bytes([1; 32]),
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
    let proof = proof_of(&changes);
    let mut out = Builder::new();
    out.array(PROOF_ITEMS + 1);
    proof.encode_items(&mut out);
    out.array(changes.len());
    for change in &changes {
        out.array(BODY_ITEMS);
        change.encode_body(&mut out);
    }
    let limit = TooLarge { what: "operations of a bundle", found: 139_264, most: 131_072 };
    assert_eq!(ChangeBundle::new(proof, changes), Err(ChainError::TooLarge(limit)));
    let read = ChangeBundle::decode(&out.finish());
    assert!(matches!(read, Err(ChainError::TooLarge(found)) if found == limit));
}

#[test]
fn extreme_numbers_are_refused_without_overflow() {
    for (seq, count) in [(u64::MAX, 0), (u64::MAX, 2), (0, 0), (0, 1), (1, 2)] {
        let hash = ChangeHash::from_bytes([1; 32]);
        let proof = ChainProof::sign(&keys(1), record(), incarnation(), seq, hash, &heads());
        let mut out = Builder::new();
        out.array(PROOF_ITEMS + 1);
        proof.encode_items(&mut out);
        out.array(count);
        for _ in 0..count {
            out.array(BODY_ITEMS);
            three()[0].encode_body(&mut out);
        }
        assert!(ChangeBundle::decode(&out.finish()).is_err());
    }
}

proptest! {
    #[test]
    fn an_altered_bundle_is_refused_or_not_what_was_signed(
        place: prop::sample::Index,
        bit in 0..8,
    ) {
        let bundle = bundle(&keys(1), 4, 3, &[item(1), item(2)]);
        let mut bytes = bundle.encode();
        let place = place.index(bytes.len());
        prop_assert!(ChangeBundle::decode(&bytes[..place]).is_err());
        bytes[place] ^= 1_u8 << bit;
        if let Ok(altered) = ChangeBundle::decode(&bytes) {
            // What the signature does not cover directly is covered by the hashes; the first
            // change's own fields through the second one's dependency.
            prop_assert!(verified(&altered).is_err());
        }
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let _ = ChangeBundle::decode(&bytes);
        let _ = ChainProof::decode(&bytes);
    }
}
