//! Epoch keys: who holds one can read what was sealed under it.

use std::fmt;

use chacha20poly1305::aead::AeadInOut;
use chacha20poly1305::{KeyInit, XChaCha20Poly1305};
use zeroize::Zeroizing;

use crate::identity::DeviceKeys;
use fallaway_changes::{EpochId, RecordId, derive};

const CONTEXT_ID: &str = "fallaway v1 epoch id";
const CONTEXT_SEAL: &str = "fallaway v1 bundle sealing key";
const CONTEXT_NONCE: &str = "fallaway v1 bundle nonce key";
const CONTEXT_WRAP_NONCE: &str = "fallaway v1 wrapped epoch key nonce key";

/// Bytes of an XChaCha20 nonce.
pub(crate) const NONCE: usize = 24;
/// Bytes of a Poly1305 tag.
pub(crate) const POLY: usize = 16;

/// The symmetric key of one epoch of a record. Wiped from memory when dropped; never shown.
#[derive(Clone, PartialEq, Eq)]
pub struct EpochKey(Zeroizing<[u8; 32]>);

/// Why a stored epoch key could not be unwrapped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum UnwrapError {
    /// Not the bytes that [`EpochKey::wrap`] returns.
    #[error("a wrapped epoch key has {WRAPPED} bytes and begins with 1")]
    NotWrapped,
    /// The exchange key of a member is no point that a key can be wrapped for.
    #[error("no key can be wrapped for this exchange key")]
    NotAKey,
    /// Altered, or wrapped by another device or for another record.
    #[error("the stored epoch key does not open: altered, or of another device or record")]
    DoesNotOpen,
}

/// Bytes of a wrapped key: version, nonce, key, Poly1305 tag.
const WRAPPED: usize = 1 + NONCE + 32 + POLY;
const WRAP_VERSION: u8 = 1;

impl EpochKey {
    /// Takes 32 bytes of a cryptographic random source.
    pub fn from_bytes(bytes: [u8; 32]) -> Self {
        Self(Zeroizing::new(bytes))
    }

    pub(crate) fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// Another secret that whoever holds this key knows, and nobody can go back from.
    pub fn derived<const N: usize>(&self, context: &str, parts: &[&[u8]]) -> [u8; N] {
        let mut all: Vec<&[u8]> = vec![self.as_bytes()];
        all.extend(parts);
        derive(context, &all)
    }

    /// The name under which bundles say which key opens them.
    pub fn id(&self) -> EpochId {
        EpochId::from_bytes(derive(CONTEXT_ID, &[self.as_bytes()]))
    }

    pub(crate) fn cipher(&self) -> XChaCha20Poly1305 {
        let key = Zeroizing::new(derive::<32>(CONTEXT_SEAL, &[self.as_bytes()]));
        XChaCha20Poly1305::new((&*key).into())
    }

    /// The nonce for a plaintext with its associated data: the same for everybody who seals it.
    pub(crate) fn nonce(&self, associated: &[u8], plaintext: &[u8]) -> [u8; NONCE] {
        let key = Zeroizing::new(derive::<32>(CONTEXT_NONCE, &[self.as_bytes()]));
        synthetic_nonce(&key, associated, plaintext)
    }

    /// Encrypts the key for keeping in this device's store.
    pub fn wrap(&self, device: &DeviceKeys, record: &RecordId) -> Vec<u8> {
        let nonce_key = Zeroizing::new(derive::<32>(CONTEXT_WRAP_NONCE, &[device.storage_key()]));
        let nonce = synthetic_nonce(&nonce_key, record.as_bytes(), self.as_bytes());
        let cipher = XChaCha20Poly1305::new(device.storage_key().into());
        let mut text = self.0.clone();
        let mut out = Vec::with_capacity(WRAPPED);
        out.push(WRAP_VERSION);
        out.extend(nonce);
        // XChaCha20 takes 256 GiB; 32 bytes cannot exceed that.
        if let Ok(tag) = cipher.encrypt_inout_detached(
            (&nonce).into(),
            record.as_bytes(),
            text.as_mut_slice().into(),
        ) {
            out.extend(*text);
            out.extend(tag);
        }
        out
    }

    /// Decrypts what [`EpochKey::wrap`] returned.
    ///
    /// # Errors
    /// [`UnwrapError`].
    pub fn unwrap(
        bytes: &[u8],
        device: &DeviceKeys,
        record: &RecordId,
    ) -> Result<Self, UnwrapError> {
        let bytes = <&[u8; WRAPPED]>::try_from(bytes).map_err(|_| UnwrapError::NotWrapped)?;
        let (head, rest) = bytes.split_at(1);
        let (nonce, rest) = rest.split_at(NONCE);
        let (text, tag) = rest.split_at(32);
        if head != [WRAP_VERSION] {
            return Err(UnwrapError::NotWrapped);
        }
        let mut key = Zeroizing::new([0_u8; 32]);
        key.copy_from_slice(text);
        let (Ok(nonce), Ok(tag)) = (nonce.try_into(), tag.try_into()) else {
            return Err(UnwrapError::NotWrapped);
        };
        XChaCha20Poly1305::new(device.storage_key().into())
            .decrypt_inout_detached(nonce, record.as_bytes(), key.as_mut_slice().into(), tag)
            .map_err(|_| UnwrapError::DoesNotOpen)?;
        Ok(Self(key))
    }
}

impl fmt::Debug for EpochKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "EpochKey(of {})", self.id())
    }
}

/// Keyed BLAKE3 over both parts, the length of the first in front, so that no two pairs meet.
pub(crate) fn synthetic_nonce(key: &[u8; 32], associated: &[u8], plaintext: &[u8]) -> [u8; NONCE] {
    let mut nonce = [0; NONCE];
    blake3::Hasher::new_keyed(key)
        .update(&(associated.len() as u64).to_be_bytes())
        .update(associated)
        .update(plaintext)
        .finalize_xof()
        .fill(&mut nonce);
    nonce
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// draft-irtf-cfrg-xchacha-03, appendix A.3.1.
    #[test]
    fn xchacha20_poly1305_of_the_draft() {
        let hex = |text: &str| data_encoding::HEXLOWER.decode(text.as_bytes()).unwrap();
        let key: [u8; 32] = std::array::from_fn(|place| 0x80 + place as u8);
        let nonce: [u8; NONCE] = std::array::from_fn(|place| 0x40 + place as u8);
        let mut text = b"Ladies and Gentlemen of the class of '99: If I could offer you only one \
            tip for the future, sunscreen would be it."
            .to_vec();
        XChaCha20Poly1305::new(&key.into())
            .encrypt_in_place((&nonce).into(), &hex("50515253c0c1c2c3c4c5c6c7"), &mut text)
            .unwrap();
        assert_eq!(
            text,
            hex("bd6d179d3e83d43b9576579493c0e939572a1700252bfaccbed2902c21396cbb\
                 731c7f1b0b4aa6440bf3a82f4eda7e39ae64c6708c54c216cb96b72e1213b452\
                 2f8c9ba40db5d945b11b69b982c1bb9e3f3fac2bc369488f76b2383565d3fff9\
                 21f9664c97637da9768812f615c68b13b52e\
                 c0875924c1c7987947deafd8780acf49")
        );
    }

    #[test]
    fn a_wrapped_key_opens_for_its_device_and_record_only() {
        let key = EpochKey::from_bytes([3; 32]);
        let (device, record) = (DeviceKeys::from_seed(&[1; 32]), RecordId::from_bytes([2; 16]));
        let wrapped = key.wrap(&device, &record);
        assert_eq!(EpochKey::unwrap(&wrapped, &device, &record), Ok(key));
        let other = DeviceKeys::from_seed(&[9; 32]);
        assert_eq!(EpochKey::unwrap(&wrapped, &other, &record), Err(UnwrapError::DoesNotOpen));
        let other = RecordId::from_bytes([9; 16]);
        assert_eq!(EpochKey::unwrap(&wrapped, &device, &other), Err(UnwrapError::DoesNotOpen));
    }

    #[test]
    fn a_key_is_never_shown() {
        let key = EpochKey::from_bytes([0x41; 32]);
        assert_eq!(format!("{key:?}"), format!("EpochKey(of {})", key.id()));
    }

    proptest! {
        #[test]
        fn an_altered_key_is_refused(bit in 0..WRAPPED * 8) {
            let (device, record) = (DeviceKeys::from_seed(&[1; 32]), RecordId::from_bytes([2; 16]));
            let mut wrapped = EpochKey::from_bytes([3; 32]).wrap(&device, &record);
            wrapped[bit / 8] ^= 1 << (bit % 8);
            prop_assert!(EpochKey::unwrap(&wrapped, &device, &record).is_err());
        }

        #[test]
        fn any_bytes_are_refused(bytes in prop::collection::vec(any::<u8>(), 0..100)) {
            let (device, record) = (DeviceKeys::from_seed(&[1; 32]), RecordId::from_bytes([2; 16]));
            prop_assert!(EpochKey::unwrap(&bytes, &device, &record).is_err());
        }
    }
}
