//! What was written once must be readable for ever: these values may never change. They come from
//! the first version of this crate; nothing outside it stands behind them.

use std::collections::BTreeSet;

use crate::testing::{bundle, heads, incarnation, item, keys, record};
use crate::{EpochKey, InviteFor, InviteSecret, MemberOp, Payload, Role, bundle_id, seal};
use fallaway_changes::writer;

#[test]
fn identifiers_are_frozen() {
    let keys = keys(1);
    for (found, frozen) in [
        (
            keys.device().to_string(),
            "2f5081f7d4cb41154a5f05fcd51ce49f00740d40910a3edf6469013860e9c5d8",
        ),
        (
            keys.exchange().to_string(),
            "4a9285158813485e1a2dacc9c72e7e95502a2612fb78b72f7baa54e41f6eac15",
        ),
        (keys.device().fingerprint(), "3QCX-P6Z5-BT6Q-CH5B"),
        (writer(&keys.device(), &record(), &incarnation()).to_string(), "e5hhCMKaRtj5cB_fTmUf4w"),
        (record().tag().to_string(), "dc3f7a90528bc632da6e3a1b43b01674"),
        (EpochKey::from_bytes([0x45; 32]).id().to_string(), "330232376145f81b9ef6c25ccf5550cd"),
    ] {
        assert_eq!(found, frozen);
    }
}

#[test]
fn member_operations_are_frozen() {
    let founding = MemberOp::found(&keys(1), 1_790_000_000, [7; 16], "bench", None).unwrap();
    assert_eq!(founding.record().to_string(), "c1be91c5713f1d86ab221be5accfd768");
    assert_eq!(
        founding.hash().to_string(),
        "e1de20cb4204391d2d088ebfc7fb63a56b09151579f21ad16c2b441085c8a639"
    );
    let (seen, secret) = (BTreeSet::from([founding.hash()]), InviteSecret::from_bytes([5; 16]));
    let invite = MemberOp::invite(
        &keys(1),
        record(),
        &seen,
        1,
        &secret,
        (Role::Contributor, InviteFor::Other),
        9,
    )
    .unwrap();
    let join = MemberOp::join(&keys(2), record(), &seen, 1, invite.hash(), &secret, "x").unwrap();
    assert_eq!(
        join.hash().to_string(),
        "d2c835fedae56368c907ae8522727734a472b866f624ac57c41bc0338fca0214"
    );
}

/// The name of a bundle hashes everything: header, nonce, padding, cipher, payload, signature.
#[test]
fn sealed_bundles_are_frozen() {
    let secret = InviteSecret::from_bytes([5; 16]);
    let invite = MemberOp::invite(
        &keys(1),
        record(),
        &heads(),
        1,
        &secret,
        (Role::Contributor, InviteFor::Other),
        9,
    )
    .unwrap();
    let key = EpochKey::from_bytes([0x45; 32]);
    for (payload, frozen) in [
        (
            Payload::Changes(bundle(&keys(1), 4, 3, &[item(1), item(2)])),
            "c2e63f233b553edbfbbec72021ee647bbe4a7b66c09580398697f57a9cbebad7",
        ),
        (
            Payload::Member(invite),
            "3892fe2aac0156857d8a682479f3622ba573feb8853c55d640b49ccf11297640",
        ),
        (
            Payload::Unknown { kind: 3, body: item(1) },
            "6a617bb841223758242cc5e378e20ac2f330dd0be7f7d41280033206ce602495",
        ),
    ] {
        let sealed = seal(&key, &record(), &payload).unwrap();
        assert_eq!(bundle_id(&sealed).to_string(), frozen);
    }
}
