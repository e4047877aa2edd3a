//! The handshake over our crates, against one that others have published.

use data_encoding::HEXLOWER;

use super::*;

fn hex(text: &str) -> Vec<u8> {
    HEXLOWER.decode(text.as_bytes()).unwrap()
}

/// The vector for this protocol of cacophony, a Haskell implementation of Noise (file
/// `vectors/cacophony.txt` of its repository, in the format of the Noise wiki's "Test vectors").
#[test]
fn a_published_handshake_comes_out_to_the_byte() {
    let key = hex("54686973206973206d7920417573747269616e20706572737065637469766521");
    let prologue = hex("4a6f686e2047616c74");
    let ends = [
        (
            "e61ef9919cde45dd5f82166404bd08e38bceb5dfdfded0a34c8df7ed542214d1",
            "893e28b9dc6ca8d611ab664754b8ceb7bac5117349a4439a6b0569da977c464a",
        ),
        (
            "4a3acbfdb163dec651dfa3194dece676d437029c62a408b4c5ea9114246e4893",
            "bbdb4cdbd309f1a1f2e1456967fe288cadd6f712d65dc7b7793d5e63da6b375b",
        ),
    ];
    let [mut one, mut other] = ends.map(|(fixed, ephemeral)| {
        let (fixed, ephemeral) = (hex(fixed), hex(ephemeral));
        let crates = Box::new(OwnCrates(Zeroizing::default()));
        let builder = Builder::with_resolver(PATTERN.parse().unwrap(), crates)
            .local_private_key(&fixed)
            .and_then(|builder| builder.psk(3, key.as_slice().try_into().unwrap()))
            .and_then(|builder| builder.prologue(&prologue))
            .unwrap()
            .fixed_ephemeral_key_for_testing_only(&ephemeral);
        let first = fixed.starts_with(&[0xe6]);
        if first { builder.build_initiator() } else { builder.build_responder() }.unwrap()
    });
    let messages = [
        (
            "4c756477696720766f6e204d69736573",
            "ca35def5ae56cec33dc2036731ab14896bc4c75dbb07a61f879f8e3afa4c7944c9f5ff0e8079630cb7e27\
             0c20bbf480821b77a384a645c71a2fd9b3db1c16a5f",
        ),
        (
            "4d757272617920526f746862617264",
            "95ebc60d2b1fa672c1f46a8aa265ef51bfe38e7ccb39ec5be34069f144808843b123def17f71e6ae8e57e\
             0e1dec5949c5f7415c6f33517398747d821a06dc23ad430aa1fd7381d46195c378a819fd574425462cbb2d4\
             ca339e738a0b7001dc91423fbf55a99af0c6f1df21012ceb2f",
        ),
        (
            "462e20412e20486179656b",
            "52187316111b118d4c060364f7b975dc0809b2590779aff2d63113c564f11744493384db7bf32d5ae6686\
             df6ab06d508d2e07caaf1d6afc010b978735fc78900e71ae1d314130d042e729a",
        ),
    ];
    for (payload, sealed) in messages {
        let mut message = vec![0; 1024];
        let length = one.write_message(&hex(payload), &mut message).unwrap();
        assert_eq!(HEXLOWER.encode(&message[..length]), sealed);
        let mut text = vec![0; 1024];
        let read = other.read_message(&message[..length], &mut text).unwrap();
        assert_eq!(text[..read], hex(payload));
        std::mem::swap(&mut one, &mut other);
    }
    let hash = "a477edf6a131bbdb54707f6ea30eab6cd935d9b560f0e5fd1f053a95a99669fb";
    assert_eq!(one.get_handshake_hash(), hex(hash));
    let (mut one, mut other) =
        (one.into_transport_mode().unwrap(), other.into_transport_mode().unwrap());
    let spoken = [
        ("4361726c204d656e676572", "eaedc672d4c21e0e2955758756fb98f194c4e90d5deb5b6cf30b27"),
        (
            "4a65616e2d426170746973746520536179",
            "522d543c5fe799d09a3d9da7ff54d0dc03c8af1dc7751d2ff708339d2290943e98",
        ),
    ];
    for (payload, sealed) in spoken {
        let mut message = vec![0; 1024];
        let length = one.write_message(&hex(payload), &mut message).unwrap();
        assert_eq!(HEXLOWER.encode(&message[..length]), sealed);
        let mut text = vec![0; 1024];
        other.read_message(&message[..length], &mut text).unwrap();
        std::mem::swap(&mut one, &mut other);
    }
}

#[test]
fn a_point_of_small_order_ends_the_handshake() {
    // RFC 7748, section 6.1: the all-zero point gives the all-zero secret, which is to be refused.
    let mut handshake = Handshake::new(true, &[3; 32], [4; 32], b"").unwrap();
    handshake.set_key(&[5; 32]).unwrap();
    let mut message = vec![0; 48];
    assert!(handshake.read(&message).is_err() || handshake.write().is_err());
    message.truncate(31);
    assert!(Handshake::new(true, &[3; 32], [4; 32], b"").unwrap().read(&message).is_err());
}
