//! Epoch keys for others: encrypted to a member's exchange key, and older keys under a new one.
//!
//! HPKE (RFC 9180) in base mode: DHKEM(X25519, HKDF-SHA256), HKDF-SHA256, ChaCha20-Poly1305. The
//! author is proved by the signature of the operation that carries the result.

use std::convert::Infallible;

use chacha20poly1305::aead::AeadInOut;
use chacha20poly1305::{KeyInit, XChaCha20Poly1305};
use hpke::aead::ChaCha20Poly1305;
use hpke::kdf::HkdfSha256;
use hpke::kem::X25519HkdfSha256;
use hpke::rand_core::{TryCryptoRng, TryRng};
use hpke::{Deserializable, Kem, OpModeR, OpModeS, Serializable};
use zeroize::Zeroizing;

use crate::action::WrappedKey;
use crate::epoch::{EpochKey, NONCE, POLY, UnwrapError, synthetic_nonce};
use crate::identity::DeviceKeys;
use crate::limits::MAX_PARENTS;
use fallaway_changes::{DeviceId, EpochId, ExchangeKey, MemberHash, RecordId, derive};

const INFO: &[u8] = b"fallaway v1 epoch key";
const CONTEXT_RANDOM: &str = "fallaway v1 encapsulation randomness";
const CONTEXT_OLDER: &str = "fallaway v1 older epochs";
const CONTEXT_OLDER_NONCE: &str = "fallaway v1 older epochs nonce key";
const KEY: usize = 32;

/// What everybody who wraps or unwraps must agree on: record and epoch.
fn info(record: &RecordId, epoch: &EpochId) -> Vec<u8> {
    [INFO, record.as_bytes(), epoch.as_bytes()].concat()
}

/// The operations that the carrying operation had seen.
fn associated(seen: &[MemberHash]) -> Vec<u8> {
    seen.iter().flat_map(|hash| hash.to_bytes()).collect()
}

/// Encrypts a text to an exchange key. `random` must be nobody else's to know or to choose.
pub(crate) fn seal_to(
    exchange: &ExchangeKey,
    info: &[u8],
    associated: &[u8],
    text: &[u8],
    random: [u8; 32],
) -> Result<([u8; 32], Vec<u8>), UnwrapError> {
    let to = <X25519HkdfSha256 as Kem>::PublicKey::from_bytes(exchange.as_bytes())
        .map_err(|_| UnwrapError::NotAKey)?;
    let (enc, ct) =
        hpke::single_shot_seal_with_rng::<ChaCha20Poly1305, HkdfSha256, X25519HkdfSha256>(
            &OpModeS::Base,
            &to,
            info,
            text,
            associated,
            &mut Drawn::new(random),
        )
        .map_err(|_| UnwrapError::NotAKey)?;
    Ok((enc.to_bytes().into(), ct))
}

/// Decrypts what [`seal_to`] made for these keys.
pub(crate) fn open_from(
    keys: &DeviceKeys,
    info: &[u8],
    associated: &[u8],
    (enc, ct): (&[u8; 32], &[u8]),
) -> Result<Zeroizing<Vec<u8>>, UnwrapError> {
    let own = keys.exchange_secret();
    let own = <X25519HkdfSha256 as Kem>::PrivateKey::from_bytes(&*own)
        .map_err(|_| UnwrapError::DoesNotOpen)?;
    let enc = <X25519HkdfSha256 as Kem>::EncappedKey::from_bytes(enc)
        .map_err(|_| UnwrapError::DoesNotOpen)?;
    let text = hpke::single_shot_open::<ChaCha20Poly1305, HkdfSha256, X25519HkdfSha256>(
        &OpModeR::Base,
        &own,
        &enc,
        info,
        ct,
        associated,
    );
    Ok(Zeroizing::new(text.map_err(|_| UnwrapError::DoesNotOpen)?))
}

impl EpochKey {
    /// Encrypts the key to a member. `seen` is what the operation that will carry it has seen;
    /// `random` must come from a cryptographic random source, drawn for this member alone.
    ///
    /// # Errors
    /// [`UnwrapError::NotAKey`] for an exchange key that is none.
    pub fn wrap_for(
        &self,
        (device, exchange): (DeviceId, &ExchangeKey),
        record: &RecordId,
        seen: &[MemberHash],
        random: [u8; 32],
    ) -> Result<WrappedKey, UnwrapError> {
        let info = info(record, &self.id());
        let (enc, ct) = seal_to(exchange, &info, &associated(seen), self.as_bytes(), random)?;
        let ct = ct.try_into().map_err(|_| UnwrapError::NotWrapped)?;
        Ok(WrappedKey { device, enc, ct })
    }

    /// Decrypts what [`EpochKey::wrap_for`] made for this device.
    ///
    /// # Errors
    /// [`UnwrapError::DoesNotOpen`] for anything else, and for a key of another epoch than it says.
    pub fn unwrap_from(
        wrapped: &WrappedKey,
        keys: &DeviceKeys,
        record: &RecordId,
        epoch: &EpochId,
        seen: &[MemberHash],
    ) -> Result<Self, UnwrapError> {
        let (info, associated) = (info(record, epoch), associated(seen));
        let text = open_from(keys, &info, &associated, (&wrapped.enc, &wrapped.ct))?;
        let text = <[u8; KEY]>::try_from(text.as_slice()).map_err(|_| UnwrapError::DoesNotOpen)?;
        let key = Self::from_bytes(text);
        if key.id() == *epoch { Ok(key) } else { Err(UnwrapError::DoesNotOpen) }
    }

    /// Encrypts the keys of the epochs before this one, at most [`MAX_PARENTS`] of them, so that one
    /// key opens the whole history.
    pub fn seal_older(&self, record: &RecordId, older: &[Self]) -> Vec<u8> {
        let mut text = Zeroizing::new(Vec::with_capacity(MAX_PARENTS * KEY));
        older.iter().take(MAX_PARENTS).for_each(|key| text.extend(key.as_bytes()));
        let nonce_key = Zeroizing::new(derive(CONTEXT_OLDER_NONCE, &[self.as_bytes()]));
        let nonce = synthetic_nonce(&nonce_key, record.as_bytes(), &text);
        let mut out = nonce.to_vec();
        // The only failure is a text of more than 256 GiB.
        if let Ok(tag) = self.older_cipher().encrypt_inout_detached(
            (&nonce).into(),
            record.as_bytes(),
            text.as_mut_slice().into(),
        ) {
            out.extend(text.iter());
            out.extend(tag);
        }
        out
    }

    /// Decrypts what [`EpochKey::seal_older`] made.
    ///
    /// # Errors
    /// [`UnwrapError`].
    pub fn open_older(&self, record: &RecordId, bytes: &[u8]) -> Result<Vec<Self>, UnwrapError> {
        let (nonce, rest) = bytes.split_at_checked(NONCE).ok_or(UnwrapError::NotWrapped)?;
        let length = rest.len().checked_sub(POLY).ok_or(UnwrapError::NotWrapped)?;
        let (text, tag) = rest.split_at_checked(length).ok_or(UnwrapError::NotWrapped)?;
        let (Ok(nonce), Ok(tag)) = (nonce.try_into(), tag.try_into()) else {
            return Err(UnwrapError::NotWrapped);
        };
        if !length.is_multiple_of(KEY) || length > MAX_PARENTS * KEY {
            return Err(UnwrapError::NotWrapped);
        }
        let mut text = Zeroizing::new(text.to_vec());
        self.older_cipher()
            .decrypt_inout_detached(nonce, record.as_bytes(), text.as_mut_slice().into(), tag)
            .map_err(|_| UnwrapError::DoesNotOpen)?;
        let (keys, _) = text.as_chunks::<KEY>();
        Ok(keys.iter().copied().map(Self::from_bytes).collect())
    }

    fn older_cipher(&self) -> XChaCha20Poly1305 {
        let key = Zeroizing::new(derive::<32>(CONTEXT_OLDER, &[self.as_bytes()]));
        XChaCha20Poly1305::new((&*key).into())
    }
}

/// Randomness that was drawn outside, stretched to what the encapsulation asks for.
struct Drawn(blake3::OutputReader);

impl Drawn {
    fn new(random: [u8; 32]) -> Self {
        Self(blake3::Hasher::new_derive_key(CONTEXT_RANDOM).update(&random).finalize_xof())
    }
}

impl TryRng for Drawn {
    type Error = Infallible;

    fn try_next_u32(&mut self) -> Result<u32, Infallible> {
        let mut bytes = [0; 4];
        self.try_fill_bytes(&mut bytes)?;
        Ok(u32::from_le_bytes(bytes))
    }

    fn try_next_u64(&mut self) -> Result<u64, Infallible> {
        let mut bytes = [0; 8];
        self.try_fill_bytes(&mut bytes)?;
        Ok(u64::from_le_bytes(bytes))
    }

    fn try_fill_bytes(&mut self, bytes: &mut [u8]) -> Result<(), Infallible> {
        self.0.fill(bytes);
        Ok(())
    }
}

impl TryCryptoRng for Drawn {}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{keys, record};

    fn hex(text: &str) -> Vec<u8> {
        data_encoding::HEXLOWER.decode(text.as_bytes()).unwrap()
    }

    /// RFC 9180, appendix A.2.1 (base mode, sequence number 0).
    #[test]
    fn hpke_of_rfc_9180() {
        let own = hex("8057991eef8f1f1af18f4a9491d16a1ce333f695d4db8e38da75975c4478e0fb");
        let enc = hex("1afa08d3dec047a643885163f1180476fa7ddb54c6a8029ea33f95796bf2ac4a");
        let text = hpke::single_shot_open::<ChaCha20Poly1305, HkdfSha256, X25519HkdfSha256>(
            &OpModeR::Base,
            &<X25519HkdfSha256 as Kem>::PrivateKey::from_bytes(&own).unwrap(),
            &<X25519HkdfSha256 as Kem>::EncappedKey::from_bytes(&enc).unwrap(),
            &hex("4f6465206f6e2061204772656369616e2055726e"),
            &hex("1c5250d8034ec2b784ba2cfd69dbdb8af406cfe3ff938e131f0def8c8b60b4db\
                 21993c62ce81883d2dd1b51a28"),
            &hex("436f756e742d30"),
        );
        assert_eq!(text.unwrap(), b"Beauty is truth, truth beauty");
    }

    #[test]
    fn a_wrapped_key_opens_for_its_member_and_what_it_was_made_for() {
        let (key, member, other) = (EpochKey::from_bytes([3; 32]), keys(2), keys(9));
        let seen = [MemberHash::from_bytes([7; 32])];
        let to = (member.device(), &member.exchange());
        let wrapped = key.wrap_for(to, &record(), &seen, [1; 32]).unwrap();
        let (id, here) = (key.id(), record());
        assert_eq!(EpochKey::unwrap_from(&wrapped, &member, &here, &id, &seen), Ok(key.clone()));
        let closed = Err(UnwrapError::DoesNotOpen);
        assert_eq!(EpochKey::unwrap_from(&wrapped, &other, &here, &id, &seen), closed);
        assert_eq!(
            EpochKey::unwrap_from(&wrapped, &member, &RecordId::from_bytes([9; 16]), &id, &seen),
            closed
        );
        assert_eq!(
            EpochKey::unwrap_from(&wrapped, &member, &here, &EpochId::from_bytes([9; 16]), &seen),
            closed
        );
        assert_eq!(EpochKey::unwrap_from(&wrapped, &member, &here, &id, &[]), closed);
        for byte in 0..48 {
            let mut bad = wrapped;
            bad.ct[byte] ^= 1;
            assert_eq!(EpochKey::unwrap_from(&bad, &member, &here, &id, &seen), closed);
        }
        // Another draw, another form; the same draw, the same.
        assert_eq!(key.wrap_for(to, &record(), &seen, [1; 32]), Ok(wrapped));
        assert_ne!(key.wrap_for(to, &record(), &seen, [2; 32]), Ok(wrapped));
        // A point of small order is nobody's key.
        let nobody = (member.device(), &ExchangeKey::from_bytes([0; 32]));
        assert_eq!(key.wrap_for(nobody, &record(), &seen, [1; 32]), Err(UnwrapError::NotAKey));
    }

    #[test]
    fn one_key_opens_those_before_it() {
        let older = [EpochKey::from_bytes([1; 32]), EpochKey::from_bytes([2; 32])];
        let key = EpochKey::from_bytes([3; 32]);
        let sealed = key.seal_older(&record(), &older);
        assert_eq!(key.open_older(&record(), &sealed), Ok(older.to_vec()));
        assert_eq!(key.open_older(&record(), &key.seal_older(&record(), &[])), Ok(Vec::new()));
        assert!(EpochKey::from_bytes([4; 32]).open_older(&record(), &sealed).is_err());
        assert!(key.open_older(&RecordId::from_bytes([9; 16]), &sealed).is_err());
        for place in 0..sealed.len() {
            let mut bad = sealed.clone();
            bad[place] ^= 1;
            assert!(key.open_older(&record(), &bad).is_err());
            assert!(key.open_older(&record(), &sealed[..place]).is_err());
        }
    }
}
