//! A device's keys, all from one 32-byte seed, and checking signatures.
//!
//! Signatures are Ed25519 (RFC 8032), checked strictly: no small-order keys, one encoding only.
//! Every signed message is deterministic CBOR that begins with a text saying what is signed, so a
//! signature over one thing never passes for another.

use std::fmt;

use ed25519_dalek::{Signer, SigningKey, VerifyingKey};
use x25519_dalek::{PublicKey, StaticSecret};
use zeroize::Zeroizing;

use fallaway_changes::{DeviceId, ExchangeKey, InviteKey, RecordId, Signature, derive};

const CONTEXT_SIGNING: &str = "fallaway v1 device signing key";
const CONTEXT_EXCHANGE: &str = "fallaway v1 device exchange key";
const CONTEXT_STORAGE: &str = "fallaway v1 device storage key";
const CONTEXT_SECRET: &str = "fallaway v1 invitation secret";
const CONTEXT_INVITE: &str = "fallaway v1 invitation signing key";

/// The keys of this device. Wiped from memory when dropped; never shown.
pub struct DeviceKeys {
    signing: SigningKey,
    exchange: StaticSecret,
    storage: Zeroizing<[u8; 32]>,
}

impl DeviceKeys {
    /// Derives the keys from the seed that the platform's key store keeps. The seed must be 32
    /// bytes of a cryptographic random source, drawn once per device.
    pub fn from_seed(seed: &[u8; 32]) -> Self {
        let signing = Zeroizing::new(derive(CONTEXT_SIGNING, &[seed]));
        Self {
            signing: SigningKey::from_bytes(&signing),
            exchange: StaticSecret::from(derive::<32>(CONTEXT_EXCHANGE, &[seed])),
            storage: Zeroizing::new(derive(CONTEXT_STORAGE, &[seed])),
        }
    }

    /// Who this device is to others.
    pub fn device(&self) -> DeviceId {
        DeviceId::from_bytes(self.signing.verifying_key().to_bytes())
    }

    /// The key to which others will seal new epoch keys.
    pub fn exchange(&self) -> ExchangeKey {
        ExchangeKey::from_bytes(PublicKey::from(&self.exchange).to_bytes())
    }

    /// Opens what was wrapped for this device.
    pub(crate) fn exchange_secret(&self) -> Zeroizing<[u8; 32]> {
        Zeroizing::new(self.exchange.to_bytes())
    }

    pub(crate) fn sign(&self, message: &[u8]) -> Signature {
        Signature::from_bytes(self.signing.sign(message).to_bytes())
    }

    /// The secret of the invitation that says this.
    pub(crate) fn invite_secret(&self, invitation: &[u8]) -> InviteSecret {
        InviteSecret::from_bytes(derive(CONTEXT_SECRET, &[&*self.storage, invitation]))
    }

    /// Encrypts what the store keeps.
    pub(crate) fn storage_key(&self) -> &[u8; 32] {
        &self.storage
    }
}

impl fmt::Debug for DeviceKeys {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "DeviceKeys(of {})", self.device())
    }
}

/// The single-use secret of an invitation: 128 random bits. Wiped from memory when dropped.
#[derive(Clone, PartialEq, Eq)]
pub struct InviteSecret(Zeroizing<[u8; 16]>);

impl InviteSecret {
    /// Takes 16 bytes of a cryptographic random source.
    pub fn from_bytes(bytes: [u8; 16]) -> Self {
        Self(Zeroizing::new(bytes))
    }

    pub(crate) fn as_bytes(&self) -> &[u8; 16] {
        &self.0
    }

    /// Another secret that whoever holds this one knows, and nobody can go back from.
    pub fn derived<const N: usize>(&self, context: &str, parts: &[&[u8]]) -> [u8; N] {
        let mut all: Vec<&[u8]> = vec![self.as_bytes()];
        all.extend(parts);
        derive(context, &all)
    }

    fn signing(&self, record: &RecordId) -> SigningKey {
        let seed = Zeroizing::new(derive(CONTEXT_INVITE, &[record.as_bytes(), self.as_bytes()]));
        SigningKey::from_bytes(&seed)
    }

    /// The public key that the *invite* operation announces.
    pub fn key(&self, record: &RecordId) -> InviteKey {
        InviteKey::from_bytes(self.signing(record).verifying_key().to_bytes())
    }

    pub(crate) fn sign(&self, record: &RecordId, message: &[u8]) -> Signature {
        Signature::from_bytes(self.signing(record).sign(message).to_bytes())
    }
}

impl fmt::Debug for InviteSecret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("InviteSecret(..)")
    }
}

#[cfg(test)]
thread_local! {
    /// How many signatures were checked, for tests.
    pub(crate) static CHECKED: std::cell::Cell<u64> = const { std::cell::Cell::new(0) };
}

/// Whether `key` signed `message`.
pub(crate) fn verify(key: &[u8; 32], message: &[u8], signature: &Signature) -> bool {
    #[cfg(test)]
    CHECKED.with(|checked| checked.set(checked.get() + 1));
    VerifyingKey::from_bytes(key).is_ok_and(|key| {
        let signature = ed25519_dalek::Signature::from_bytes(signature.as_bytes());
        key.verify_strict(message, &signature).is_ok()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hex<const N: usize>(text: &str) -> [u8; N] {
        data_encoding::HEXLOWER.decode(text.as_bytes()).unwrap().try_into().unwrap()
    }

    /// RFC 8032, section 7.1, tests 1 (empty message) and 2 (one byte, 0x72).
    #[test]
    fn ed25519_of_rfc_8032() {
        let tests: [(&str, &str, &[u8], &str); 2] = [
            (
                "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
                "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
                b"",
                "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e06522490155\
                 5fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
            ),
            (
                "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
                "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
                &[0x72],
                "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da\
                 085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
            ),
        ];
        for (secret, public, message, signature) in tests {
            let key = SigningKey::from_bytes(&hex(secret));
            assert_eq!(key.verifying_key().to_bytes(), hex::<32>(public));
            assert_eq!(key.sign(message).to_bytes(), hex::<64>(signature));
            assert!(verify(&hex(public), message, &Signature::from_bytes(hex(signature))));
            assert!(!verify(&hex(public), b"other", &Signature::from_bytes(hex(signature))));
        }
    }

    #[test]
    fn a_small_order_key_signs_nothing() {
        // The neutral element: with an unchecked verification, R = A and s = 0 pass for any message.
        let mut neutral = [0; 32];
        neutral[0] = 1;
        let mut signature = [0; 64];
        signature[0] = 1;
        assert!(!verify(&neutral, b"anything", &Signature::from_bytes(signature)));
    }

    #[test]
    fn keys_follow_from_the_seed_and_stay_hidden() {
        let keys = DeviceKeys::from_seed(&[7; 32]);
        let again = DeviceKeys::from_seed(&[7; 32]);
        assert_eq!(keys.device(), again.device());
        assert_eq!(keys.exchange(), again.exchange());
        assert_ne!(keys.device(), DeviceKeys::from_seed(&[8; 32]).device());
        assert_eq!(format!("{keys:?}"), format!("DeviceKeys(of {})", keys.device()));
        assert_eq!(format!("{:?}", InviteSecret::from_bytes([1; 16])), "InviteSecret(..)");
    }

    #[test]
    fn an_invitation_key_belongs_to_one_record() {
        let secret = InviteSecret::from_bytes([1; 16]);
        let one = secret.key(&RecordId::from_bytes([1; 16]));
        assert_ne!(one, secret.key(&RecordId::from_bytes([2; 16])));
    }
}
