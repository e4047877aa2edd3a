//! Photos, sealed: too large for a bundle, so each lies by itself under the hash of its sealed bytes, and
//! the record holds that hash and the key.
//!
//! The bytes are filled up with zeros to a multiple of 4 KiB and sealed in parts of 1 MiB by
//! XChaCha20-Poly1305. The nonce is the part's number, little-endian: the key is drawn for this photo and
//! used for nothing else. The associated data say whether a part is the last, so that none can be left off,
//! added or moved. See `docs/bundle-format.md`.

use chacha20poly1305::aead::AeadInOut;
use chacha20poly1305::{KeyInit, XChaCha20Poly1305};
use zeroize::Zeroizing;

use crate::epoch::{NONCE, POLY};
use crate::limits::{BLOB_PART_BYTES, MAX_BLOB_BYTES, SEALED_PART_BYTES};
use fallaway_changes::BlobId;
use fallaway_changes::limits::{TooLarge, at_most};

const CONTEXT: &[u8] = b"fallaway v1 photo part";
/// Sealed photos tell their size no finer than this.
const PAD: usize = 4096;

/// The key of one photo. Wiped from memory when dropped; never shown.
#[derive(Clone, PartialEq, Eq)]
pub struct BlobKey(Zeroizing<[u8; 32]>);

impl BlobKey {
    /// Takes 32 bytes of a cryptographic random source, or of a record.
    pub fn from_bytes(bytes: [u8; 32]) -> Self {
        Self(Zeroizing::new(bytes))
    }

    fn cipher(&self) -> XChaCha20Poly1305 {
        XChaCha20Poly1305::new((&*self.0).into())
    }
}

/// A sealed photo.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SealedBlob {
    /// The hash of all parts, one after the other.
    pub id: BlobId,
    /// The sealed parts, in their order.
    pub parts: Vec<Vec<u8>>,
}

/// Why a photo was not sealed, or not opened.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BlobError {
    /// It has no bytes.
    #[error("a photo of 0 bytes")]
    Empty,
    /// It is larger than a photo may be.
    #[error(transparent)]
    TooLarge(#[from] TooLarge),
    /// Part, number of parts or key are not those that were sealed.
    #[error(
        "the sealed photo does not open: part {0} was altered, left off, or is of another photo"
    )]
    Altered(u32),
}

/// Seals a photo of 1 byte to 16 MiB with a key that was drawn for it.
///
/// # Errors
/// [`BlobError::Empty`], [`BlobError::TooLarge`].
pub fn seal_blob(key: &BlobKey, bytes: &[u8]) -> Result<SealedBlob, BlobError> {
    if bytes.is_empty() {
        return Err(BlobError::Empty);
    }
    at_most("bytes of a photo", bytes.len(), MAX_BLOB_BYTES)?;
    let cipher = key.cipher();
    let chunks = bytes.chunks(BLOB_PART_BYTES);
    let last = chunks.len().saturating_sub(1);
    let mut parts = Vec::with_capacity(chunks.len());
    for (number, chunk) in chunks.enumerate() {
        let mut part = Vec::with_capacity(chunk.len().next_multiple_of(PAD) + POLY);
        part.extend_from_slice(chunk);
        part.resize(chunk.len().next_multiple_of(PAD), 0);
        let n = number as u32;
        cipher
            .encrypt_in_place((&nonce(n)).into(), &about(number == last), &mut part)
            .map_err(|_| BlobError::Altered(n))?;
        parts.push(part);
    }
    Ok(SealedBlob { id: blob_id(parts.iter().map(Vec::as_slice)), parts })
}

/// Opens a photo of so many bytes from all its sealed parts. Whether it is the one that the record means, the
/// hash in the record says.
///
/// # Errors
/// [`BlobError`].
pub fn open_blob<P: AsRef<[u8]>>(
    key: &BlobKey,
    bytes: u64,
    parts: impl ExactSizeIterator<Item = P>,
) -> Result<Vec<u8>, BlobError> {
    let bytes = usize::try_from(bytes).unwrap_or(usize::MAX);
    at_most("bytes of a photo", bytes, MAX_BLOB_BYTES)?;
    let cipher = key.cipher();
    let last = parts.len().saturating_sub(1);
    let mut whole = Vec::with_capacity(bytes.next_multiple_of(PAD));
    for (number, part) in parts.enumerate() {
        let n = u32::try_from(number).unwrap_or(u32::MAX);
        let part = part.as_ref();
        if part.len() > SEALED_PART_BYTES {
            return Err(BlobError::Altered(n));
        }
        let mut part = part.to_vec();
        cipher
            .decrypt_in_place((&nonce(n)).into(), &about(number == last), &mut part)
            .map_err(|_| BlobError::Altered(n))?;
        whole.extend_from_slice(&part);
    }
    let padding = whole.get(bytes..).ok_or(BlobError::Altered(last as u32))?;
    if bytes == 0 || padding.len() >= PAD || padding.iter().any(|byte| *byte != 0) {
        return Err(BlobError::Altered(last as u32));
    }
    whole.truncate(bytes);
    Ok(whole)
}

/// The name of a sealed photo: BLAKE3 of its parts, one after the other.
pub fn blob_id<'p>(parts: impl IntoIterator<Item = &'p [u8]>) -> BlobId {
    let mut hasher = blake3::Hasher::new();
    for part in parts {
        hasher.update(part);
    }
    BlobId::from_bytes(*hasher.finalize().as_bytes())
}

fn nonce(part: u32) -> [u8; NONCE] {
    let mut nonce = [0; NONCE];
    for (to, from) in nonce.iter_mut().zip(part.to_le_bytes()) {
        *to = from;
    }
    nonce
}

fn about(last: bool) -> Vec<u8> {
    [CONTEXT, &[u8::from(last)]].concat()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn photo(bytes: usize) -> Vec<u8> {
        (0..bytes).map(|n| (n % 251) as u8 | 1).collect()
    }

    fn key(fill: u8) -> BlobKey {
        BlobKey::from_bytes([fill; 32])
    }

    #[test]
    fn photos_of_every_size_come_back_and_tell_no_exact_size() {
        let mib = BLOB_PART_BYTES;
        let sizes = [1, PAD - 1, PAD, PAD + 1, mib - 1, mib, mib + 1, 3 * mib + 5, MAX_BLOB_BYTES];
        for bytes in sizes {
            let plain = photo(bytes);
            let sealed = seal_blob(&key(1), &plain).unwrap();
            assert_eq!(sealed.parts.len(), bytes.div_ceil(mib));
            assert!(sealed.parts.iter().all(|part| part.len() % PAD == POLY));
            let (_, before) = sealed.parts.split_last().unwrap();
            assert!(before.iter().all(|part| part.len() == SEALED_PART_BYTES));
            let whole = sealed.parts.concat();
            assert_eq!(sealed.id.as_bytes(), blake3::hash(&whole).as_bytes());
            assert_eq!(open_blob(&key(1), bytes as u64, sealed.parts.iter()), Ok(plain));
        }
    }

    #[test]
    fn nothing_and_too_much_are_refused() {
        assert_eq!(seal_blob(&key(1), &[]), Err(BlobError::Empty));
        let most = MAX_BLOB_BYTES as u64;
        let too_large =
            BlobError::TooLarge(TooLarge { what: "bytes of a photo", found: most + 1, most });
        assert_eq!(seal_blob(&key(1), &photo(MAX_BLOB_BYTES + 1)), Err(too_large));
    }

    #[test]
    fn parts_that_are_altered_moved_left_off_or_added_do_not_open() {
        let bytes = 2 * BLOB_PART_BYTES + 100;
        let sealed = seal_blob(&key(1), &photo(bytes)).unwrap();
        let open = |key: &BlobKey, bytes: usize, parts: &[Vec<u8>]| {
            open_blob(key, bytes as u64, parts.iter()).unwrap_err()
        };
        let [a, b, c] = sealed.parts.try_into().unwrap();
        let mut bent: Vec<u8> = b.clone();
        bent[BLOB_PART_BYTES / 2] ^= 1;
        assert_eq!(open(&key(1), bytes, &[a.clone(), bent, c.clone()]), BlobError::Altered(1));
        assert_eq!(open(&key(1), bytes, &[b.clone(), a.clone(), c.clone()]), BlobError::Altered(0));
        let cut = 2 * BLOB_PART_BYTES;
        assert_eq!(open(&key(1), cut, &[a.clone(), b.clone()]), BlobError::Altered(1));
        let more = [a.clone(), b.clone(), c.clone(), c.clone()];
        assert_eq!(open(&key(1), bytes, &more), BlobError::Altered(2));
        let all = [a, b, c];
        assert_eq!(open(&key(2), bytes, &all), BlobError::Altered(0));
        // A size that was not sealed.
        for wrong in [0, 1, bytes - 1, 3 * BLOB_PART_BYTES] {
            assert_eq!(open(&key(1), wrong, &all), BlobError::Altered(2), "{wrong}");
        }
    }

    /// Made with libsodium (through PyNaCl) and the reference BLAKE3 for Python: the same key and photo, the
    /// parts put together by the description in `docs/bundle-format.md`.
    #[test]
    fn another_implementation_seals_the_same_bytes() {
        let sealed = seal_blob(&key(7), &photo(BLOB_PART_BYTES + 5)).unwrap();
        assert_eq!(
            sealed.id.to_string(),
            "17d0cae874ec1a4a61bb1602ba2e06d9224eb2225d2fdc9b88f74c2d3abd233c"
        );
    }
}
