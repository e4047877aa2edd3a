use fallaway_order::Set;

use super::*;
use crate::action::InviteFor;
use crate::chain::ChainProof;
use crate::identity::InviteSecret;
use crate::receipt::{ReadPlace, Receipt};
use crate::role::Role;
use crate::testing::{bundle, item, keys, record, value_of};
use fallaway_changes::{ChangeId, MemberHash, Signature};

use proptest::prelude::*;

fn key() -> EpochKey {
    EpochKey::from_bytes([0x45; 32])
}

fn member() -> MemberOp {
    let seen = Set::from([MemberHash::from_bytes([1; 32])]);
    let secret = InviteSecret::from_bytes([5; 16]);
    MemberOp::invite(&keys(1), record(), &seen, 0, &secret, (Role::Viewer, InviteFor::Other), 9)
        .unwrap()
}

fn payloads() -> Vec<Payload> {
    vec![
        Payload::Changes(bundle(&keys(1), 1, 3, &[item(1), item(2)])),
        Payload::Member(member()),
        Payload::Unknown { kind: 3, body: vec![0x82, 1, 2] },
    ]
}

fn sealed(payload: &Payload) -> Vec<u8> {
    seal(&key(), &record(), payload).unwrap()
}

/// Encrypts any text under any header, as a member who breaks the rules could.
fn crafted(text: &[u8], nonce: Option<[u8; NONCE]>) -> Vec<u8> {
    let mut header = [&MAGIC[..], &[VERSION]].concat();
    header.extend(record().tag(&key().id()).as_bytes());
    header.extend(key().id().as_bytes());
    let nonce = nonce.unwrap_or_else(|| key().nonce(&header, text));
    header.extend(nonce);
    let mut text = text.to_vec();
    key().cipher().encrypt_in_place((&nonce).into(), &header, &mut text).unwrap();
    [header, text].concat()
}

fn padded(payload: &[u8]) -> Vec<u8> {
    let mut text = (payload.len() as u32).to_be_bytes().to_vec();
    text.extend(payload);
    text.resize((HEADER + text.len() + POLY).next_multiple_of(PAD) - HEADER - POLY, 0);
    text
}

#[test]
fn payloads_round_trip() {
    for payload in payloads() {
        let bytes = sealed(&payload);
        assert_eq!(bytes.len() % 256, 0);
        let keys = [EpochKey::from_bytes([1; 32]), key()];
        let (seen, opened) = open(&record(), &keys, &bytes).unwrap();
        assert_eq!(opened, payload);
        assert_eq!(seen, header(&bytes).unwrap());
        assert_eq!((seen.tag, seen.epoch), (record().tag(&key().id()), key().id()));
    }
}

/// What stands here was not verified by anybody: what is known is taken as it is.
struct Here(Payload);

impl VerifiedBefore for Here {
    fn op(&self, hash: &MemberHash) -> Option<&MemberOp> {
        match &self.0 {
            Payload::Member(op) if op.hash() == *hash => Some(op),
            _ => None,
        }
    }

    fn has_proof(&self, proof: &ChainProof) -> bool {
        matches!(&self.0, Payload::Changes(bundle) if bundle.proof() == proof)
    }
}

/// The payload with one bit of its signature flipped, and the same read without a check of that.
fn forged(payload: &Payload) -> (Payload, Vec<u8>) {
    let honest = payload.encode();
    let signature = match payload {
        Payload::Changes(bundle) => bundle.proof().signature,
        Payload::Member(op) => {
            let bytes = op.encode();
            Signature::from_bytes(*bytes.last_chunk().unwrap())
        }
        Payload::Receipt(_) | Payload::Unknown { .. } => unreachable!(),
    };
    let at = honest.windows(64).position(|part| part == signature.as_bytes()).unwrap();
    let mut bytes = honest;
    bytes[at + 9] ^= 1;
    let read = match payload {
        Payload::Changes(bundle) => {
            let mut proof = bundle.proof().clone();
            proof.signature = Signature::from_bytes(*bytes[at..].first_chunk().unwrap());
            Payload::Changes(ChangeBundle::under_kept(proof, bundle.changes().to_vec()).unwrap())
        }
        Payload::Member(_) => Payload::Member(MemberOp::decode_kept(&bytes[2..]).unwrap()),
        Payload::Receipt(_) | Payload::Unknown { .. } => unreachable!(),
    };
    (read, bytes)
}

#[test]
fn what_is_known_is_verified_once_and_any_other_signature_is_verified() {
    for payload in &payloads()[..2] {
        let (read, bytes) = forged(payload);
        let sealed_forgery = crafted(&padded(&bytes), None);
        let keys = [key()];
        let open_with =
            |known: &dyn VerifiedBefore| open_beside(&record(), &keys, &sealed_forgery, known);
        // Nobody knows it, or another signature over the same: it is checked.
        assert!(open_with(&Nothing).is_err());
        assert!(open_with(&Here(payload.clone())).is_err());
        // This very one was kept, so nobody asks again.
        assert_eq!(open_with(&Here(read.clone())).unwrap().1, read);
    }
}

#[test]
fn sealing_again_gives_the_same_bytes() {
    for payload in payloads() {
        let bytes = sealed(&payload);
        let (_, opened) = open(&record(), &[key()], &bytes).unwrap();
        assert_eq!(sealed(&opened), bytes);
        assert_eq!(bundle_id(&sealed(&opened)), bundle_id(&bytes));
    }
}

/// Eight passes of five strings, each value as large as such a pass is expected to be at most,
/// and the entries that open and end the visit.
#[test]
fn a_visit_of_eight_passes_fits_768_bytes() {
    let mut values = vec![value_of(35); 8];
    values.extend([value_of(30), value_of(20)]);
    let bytes = sealed(&Payload::Changes(bundle(&keys(1), 900, 1, &values)));
    assert!(bytes.len() <= 768, "{}", bytes.len());
}

#[test]
fn refusals_are_told_apart() {
    let bytes = sealed(&payloads()[0]);
    let open = |bytes: &[u8]| open(&record(), &[key()], bytes).unwrap_err();
    assert_eq!(open(b"hello"), OpenError::NotABundle);
    assert_eq!(open(b""), OpenError::NotABundle);
    assert_eq!(open(&bytes[..2]), OpenError::Truncated(2));
    assert_eq!(open(&bytes[..3]), OpenError::Truncated(3));
    assert_eq!(open(&bytes[..200]), OpenError::Truncated(200));
    assert_eq!(open(&bytes[..256]), OpenError::Altered);
    let mut newer = bytes.clone();
    newer[3] = 2;
    assert_eq!(open(&newer), OpenError::Newer(2));
    let mut huge = bytes.clone();
    huge.resize(MAX_BUNDLE_BYTES + PAD, 0);
    assert!(matches!(open(&huge), OpenError::TooLarge(_)));
    let mut altered = bytes.clone();
    altered[300] ^= 1;
    assert_eq!(open(&altered), OpenError::Altered);

    let other = RecordId::from_bytes([8; 16]);
    let refused = super::open(&other, &[key()], &bytes);
    assert_eq!(refused, Err(OpenError::OtherRecord(record().tag(&key().id()))));
    let refused = super::open(&record(), &[EpochKey::from_bytes([8; 32])], &bytes);
    assert_eq!(refused, Err(OpenError::UnknownEpoch(key().id())));
    let refused = seal(&key(), &other, &payloads()[0]);
    assert_eq!(refused, Err(SealError::OtherRecord { found: record(), expected: other }));
}

#[test]
fn a_member_who_seals_otherwise_is_refused() {
    let body = payloads()[1].encode();
    let open = |bytes: &[u8]| open(&record(), &[key()], bytes);
    assert!(open(&crafted(&padded(&body), None)).is_ok());
    assert_eq!(open(&crafted(&padded(&body), Some([7; NONCE]))), Err(OpenError::Altered));

    let mut dirty = padded(&body);
    *dirty.last_mut().unwrap() = 1;
    assert_eq!(open(&crafted(&dirty, None)), Err(OpenError::Padding));
    let long = [&padded(&body)[..], &[0; 256]].concat();
    assert_eq!(open(&crafted(&long, None)), Err(OpenError::Padding));
    let mut lying = padded(&body);
    lying[0] = 0xff;
    assert_eq!(open(&crafted(&lying, None)), Err(OpenError::Padding));

    for (malformed, expected) in [
        (vec![], "the bytes end inside an item"),
        (vec![0x82, 0, 0], "expected a kind of payload from 1"),
        (vec![0x82, 3, 0, 0], "bytes follow the last item"),
        (vec![0x83, 3, 0, 0], "expected a payload of 2 items"),
    ] {
        let error = open(&crafted(&padded(&malformed), None)).unwrap_err();
        assert!(matches!(error, OpenError::Malformed(_)));
        assert!(error.to_string().contains(expected), "{error}");
    }
    let forged = [&[0x82, 2][..], &member().encode()[..]].concat();
    let mut forged = forged;
    *forged.last_mut().unwrap() ^= 1;
    let error = open(&crafted(&padded(&forged), None)).unwrap_err();
    assert_eq!(error, OpenError::Member(MemberError::BadSignature(keys(1).device())));
}

#[test]
fn a_payload_of_another_record_is_refused_inside_too() {
    let elsewhere = MemberOp::found(&keys(1), 0, [1; 16], "bench", None).unwrap();
    let bytes = crafted(&padded(&Payload::Member(elsewhere.clone()).encode()), None);
    let refused = open(&record(), &[key()], &bytes);
    assert_eq!(refused, Err(OpenError::Readdressed(*elsewhere.record())));
}

proptest! {
    #[test]
    fn any_flipped_bit_is_refused(which in 0..3_usize, place: prop::sample::Index, bit in 0..8) {
        let mut bytes = sealed(&payloads()[which]);
        let place = place.index(bytes.len());
        bytes[place] ^= 1_u8 << bit;
        prop_assert!(open(&record(), &[key()], &bytes).is_err());
    }

    #[test]
    fn any_shorter_bundle_is_refused(which in 0..3_usize, place: prop::sample::Index) {
        let bytes = sealed(&payloads()[which]);
        prop_assert!(open(&record(), &[key()], &bytes[..place.index(bytes.len())]).is_err());
    }

    #[test]
    fn any_bytes_are_refused(mut bytes in prop::collection::vec(any::<u8>(), 0..600), ours: bool) {
        if ours {
            let front = &sealed(&payloads()[2])[..60];
            bytes.splice(0..0, front.iter().copied());
        }
        prop_assert!(open(&record(), &[key()], &bytes).is_err());
    }

    #[test]
    fn any_payload_under_the_right_key_is_read_or_refused(
        payload in prop::collection::vec(any::<u8>(), 0..300),
        kind in 1..4_u8,
    ) {
        let payload = [&[0x82, kind][..], &payload].concat();
        let _ = open(&record(), &[key()], &crafted(&padded(&payload), None));
        let _ = open(&record(), &[key()], &crafted(&payload, None));
    }
}

#[test]
fn a_usual_receipt_is_the_smallest_bundle_there_is() {
    let key = EpochKey::from_bytes([0x45; 32]);
    let places = vec![ReadPlace { log: [7; 8], seq: 65_535, chain: [9; 16] }];
    let (ops, changes) = ([MemberHash::from_bytes([1; 32])], [ChangeId::from_bytes([2; 32])]);
    let receipt = Receipt::sign(&keys(1), record(), 1_700_000_000, (ops, changes), places);
    let payload = Payload::Receipt(receipt.into());
    let sealed = seal(&key, &record(), &payload).unwrap();
    assert_eq!(sealed.len(), 256);
    assert_eq!(open(&record(), &[key], &sealed).unwrap().1, payload);
}
