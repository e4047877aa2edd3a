//! What was written once must be readable for ever: these values may never change. They come from
//! the first version of this crate; nothing outside it stands behind them.

use fallaway_order::Set;

use crate::testing::{bundle, heads, incarnation, item, keys, record};
use crate::{
    DeviceKeys, EpochKey, Invitation, InviteFor, InviteSecret, Invited, MemberOp, Payload, Role,
    Welcome, bundle_id, seal, seal_letter, seal_welcome,
};
use fallaway_changes::{MemberHash, writer};

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
        (
            record().tag(&EpochKey::from_bytes([0x45; 32]).id()).to_string(),
            "b502c34c4ce25e62827749720ce4ffcb",
        ),
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
    let (seen, secret) = (Set::from([founding.hash()]), InviteSecret::from_bytes([5; 16]));
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
            "3a654bea53fc61757e3ee8b108298838c1fd3683fb0da8fc7a9835193140417a",
        ),
        (
            Payload::Member(invite),
            "c5af889a335f162f8365cfbc9f86edaf0e3f4c2481be6d098e74ced42dc1e3e9",
        ),
        (
            Payload::Unknown { kind: 3, body: item(1) },
            "2641bc9e9f9ac613e537676251ad5017739049e54a5e58391650aa1bf0e57e03",
        ),
    ] {
        let sealed = seal(&key, &record(), &payload).unwrap();
        assert_eq!(bundle_id(&sealed).to_string(), frozen);
    }
}

#[test]
fn letters_and_the_words_that_open_them_are_frozen() {
    let secret = InviteSecret::from_bytes([5; 16]);
    let invitation = Invitation { secret: secret.clone(), relay: None };
    let invited = Invited {
        by: keys(1).device(),
        invite: MemberHash::from_bytes([6; 32]),
        role: Role::Viewer,
        expires: 9,
    };
    let (key, name) = (EpochKey::from_bytes([0x45; 32]), "bass".to_owned());
    let (record, relays) = (record(), Vec::new());
    let mut welcome = Welcome { record, name, key, relays, invited: Some(invited) };
    let sealed = seal_welcome(&secret, &welcome).unwrap();
    welcome.invited = None;
    let recovery = DeviceKeys::recovery(&[7; 16]).as_recovery();
    let letter = seal_letter(&recovery, &welcome).unwrap();
    let found = [
        invitation.words(),
        invitation.code(),
        bundle_id(&sealed).to_string(),
        bundle_id(&letter).to_string(),
    ];
    let frozen = [
        "agree choice donor anxiety expect little beef pass agree choice donor armor",
        "FALLAWAY:1:AUCQKBIFAUCQKBIFAUCQKBIFAVBFGOJP",
        "d3b8f41538641b3a8d6d4c8a468b4af31767263e3dbd8597cfd0d3f490411780",
        "9924cffde0c5ae8ed818994262d38606377018117b18fe5449f3aaf8944a85e7",
    ];
    assert_eq!(found, frozen);
}
