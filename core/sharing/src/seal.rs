//! Sealed bundles: the one thing that relay, file and direct meeting carry.
//!
//! A sealed bundle is a clear header (60 bytes), the encrypted payload, and a Poly1305 tag; the
//! header is associated data, and the whole is a multiple of 256 bytes. The nonce is a keyed hash
//! of header and plaintext, and the opener checks that it is: a payload has exactly one sealed
//! form, and its hash names it (see `docs/decisions/0004-synthetic-nonce.md`).

use chacha20poly1305::aead::AeadInOut;

use crate::chain::{ChainError, ChangeBundle};
use crate::epoch::{EpochKey, NONCE, POLY};
use crate::known::{Nothing, VerifiedBefore};
use crate::limits::MAX_BUNDLE_BYTES;
use crate::member::MemberOp;
use crate::member_error::MemberError;
use crate::receipt::{ReceiptError, UnverifiedReceipt};
use fallaway_changes::cbor::{Builder, CborError, CborFault, Reader};
use fallaway_changes::limits::{TooLarge, at_most};
use fallaway_changes::{BundleId, EpochId, RecordId, Tag};

const MAGIC: [u8; 3] = [0xfa, 0x11, 0x0a];
const VERSION: u8 = 1;
const HEADER: usize = MAGIC.len() + 1 + Tag::LEN + EpochId::LEN + NONCE;
/// Sealed bundles have a multiple of this many bytes.
pub(crate) const PAD: usize = 256;
/// The payload's length stands in front of it, big-endian.
pub(crate) const LENGTH: usize = 4;

/// What a relay may see of a bundle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Header {
    /// Version of the sealed form.
    pub version: u8,
    /// Which record, to those who know its id.
    pub tag: Tag,
    /// Which key opens it.
    pub epoch: EpochId,
    /// The nonce with which it was sealed; no secret.
    pub nonce: [u8; NONCE],
}

/// What a bundle carries.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Payload {
    /// 1: changes of one writer.
    Changes(ChangeBundle),
    /// 2: a member operation.
    Member(MemberOp),
    /// 5: what a device has. Its signature is checked when it turns out to be the newest of its device.
    Receipt(UnverifiedReceipt),
    /// A kind of a newer version, kept as it is.
    Unknown {
        /// Its number: 3, or 6 or more. 4 is that of a [`crate::Welcome`], which only letters hold.
        kind: u64,
        /// One deterministic CBOR item.
        body: Vec<u8>,
    },
}

/// Why a payload was not sealed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SealError {
    /// The payload belongs to another record.
    #[error("the payload belongs to record {found}, not {expected}")]
    OtherRecord {
        /// The payload's record.
        found: RecordId,
        /// The record to seal for.
        expected: RecordId,
    },
    /// It would be larger than a bundle may be.
    #[error(transparent)]
    TooLarge(#[from] TooLarge),
}

/// Why bytes were not opened.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum OpenError {
    /// They do not begin like a bundle.
    #[error("not a bundle")]
    NotABundle,
    /// A sealed form of a newer version.
    #[error("a bundle of format {0}, written by a newer version; this one reads format 1")]
    Newer(u8),
    /// They end too early.
    #[error("the bundle is cut short: {0} bytes, not a multiple of 256")]
    Truncated(usize),
    /// They are more than a bundle may have.
    #[error(transparent)]
    TooLarge(#[from] TooLarge),
    /// The bundle is for another record.
    #[error("the bundle is for another record (tag {0})")]
    OtherRecord(Tag),
    /// Its key is not here.
    #[error("the bundle is sealed under a key that is not here (epoch {0})")]
    UnknownEpoch(EpochId),
    /// Altered on its way, cut, or sealed otherwise than by these rules.
    #[error("the bundle does not open: it was altered")]
    Altered,
    /// The padding is not what the length asks for.
    #[error("the bundle's padding is invalid")]
    Padding,
    /// The payload is not in form.
    #[error("the bundle's payload is malformed {0}")]
    Malformed(#[from] CborError),
    /// Changes that are refused, a bad signature included.
    #[error("the bundle's changes are refused: {0}")]
    Changes(#[from] ChainError),
    /// A member operation that is refused, a bad signature included.
    #[error("the bundle's member operation is refused: {0}")]
    Member(#[from] MemberError),
    /// A receipt that is refused.
    #[error("the bundle's receipt is refused: {0}")]
    Receipt(#[from] ReceiptError),
    /// The signed record differs from the one on the outside.
    #[error("the bundle is addressed to one record and signed for another ({0})")]
    Readdressed(RecordId),
}

impl Payload {
    /// The record that is signed inside, where the kind is known.
    pub fn record(&self) -> Option<&RecordId> {
        match self {
            Self::Changes(bundle) => Some(&bundle.proof().record),
            Self::Member(op) => Some(op.record()),
            Self::Receipt(receipt) => Some(&receipt.inside().record),
            Self::Unknown { .. } => None,
        }
    }

    fn encode(&self) -> Vec<u8> {
        let mut out = Builder::new();
        out.array(2);
        match self {
            Self::Changes(bundle) => out.uint(1).raw(&bundle.encode()),
            Self::Member(op) => out.uint(2).raw(&op.encode()),
            Self::Receipt(receipt) => out.uint(5).raw(&receipt.inside().encode()),
            Self::Unknown { kind, body } => out.uint(*kind).raw(body),
        };
        out.finish()
    }

    fn decode(
        bytes: &[u8],
        record: &RecordId,
        known: &dyn VerifiedBefore,
    ) -> Result<Self, OpenError> {
        let mut reader = Reader::new(bytes);
        reader.array_len(2, "a payload of 2 items")?;
        let at = reader.position();
        let kind = reader.uint()?;
        let body = bytes.get(reader.position()..).unwrap_or_default();
        Ok(match kind {
            0 => {
                let fault = CborFault::Expected("a kind of payload from 1");
                return Err(CborError { at, fault }.into());
            }
            1 => Self::Changes(ChangeBundle::decode_beside(body, &|proof| known.has_proof(proof))?),
            2 => {
                Self::Member(MemberOp::decode_beside(body, &|op| known.op(&op.hash()) == Some(op))?)
            }
            5 => Self::Receipt(UnverifiedReceipt::decode(body, record)?),
            kind => {
                let body = reader.item()?.to_vec();
                reader.end()?;
                Self::Unknown { kind, body }
            }
        })
    }
}

/// Seals a payload. The same key, record and payload give the same bytes to everybody.
///
/// # Errors
/// [`SealError`].
pub fn seal(key: &EpochKey, record: &RecordId, payload: &Payload) -> Result<Vec<u8>, SealError> {
    if let Some(found) = payload.record()
        && found != record
    {
        return Err(SealError::OtherRecord { found: *found, expected: *record });
    }
    let payload = payload.encode();
    let bytes = (HEADER + LENGTH + payload.len() + POLY).next_multiple_of(PAD);
    at_most("bytes of a bundle", bytes, MAX_BUNDLE_BYTES)?;

    let mut text = pad(&payload, bytes - HEADER - POLY);

    let mut header = Vec::with_capacity(bytes);
    header.extend(MAGIC);
    header.push(VERSION);
    let epoch = key.id();
    header.extend(record.tag(&epoch).as_bytes());
    header.extend(epoch.as_bytes());
    let nonce = key.nonce(&header, &text);
    header.extend(nonce);
    // The only failure is a text of more than 256 GiB; the size was checked above.
    if key.cipher().encrypt_in_place((&nonce).into(), &header, &mut text).is_err() {
        let found = bytes as u64;
        return Err(TooLarge { what: "bytes of a bundle", found, most: found }.into());
    }
    header.extend(text);
    Ok(header)
}

/// Reads the clear header and checks the size; no key is needed.
///
/// # Errors
/// [`OpenError::NotABundle`], [`OpenError::Newer`], [`OpenError::Truncated`],
/// [`OpenError::TooLarge`].
pub fn header(bytes: &[u8]) -> Result<Header, OpenError> {
    let shown = bytes.len().min(MAGIC.len());
    if bytes.is_empty() || bytes.get(..shown) != MAGIC.get(..shown) {
        return Err(OpenError::NotABundle);
    }
    let truncated = OpenError::Truncated(bytes.len());
    let mut rest = bytes.get(MAGIC.len()..).unwrap_or_default();
    let version = match rest.split_first() {
        None => return Err(truncated),
        Some((0, _)) => return Err(OpenError::NotABundle),
        Some((&VERSION, after)) => {
            rest = after;
            VERSION
        }
        Some((newer, _)) => return Err(OpenError::Newer(*newer)),
    };
    at_most("bytes of a bundle", bytes.len(), MAX_BUNDLE_BYTES)?;
    if !bytes.len().is_multiple_of(PAD) {
        return Err(truncated);
    }
    let (Some(tag), Some(epoch), Some(nonce)) = (take(&mut rest), take(&mut rest), take(&mut rest))
    else {
        return Err(truncated);
    };
    Ok(Header { version, tag: Tag::from_bytes(tag), epoch: EpochId::from_bytes(epoch), nonce })
}

fn take<const N: usize>(rest: &mut &[u8]) -> Option<[u8; N]> {
    let (taken, after) = rest.split_first_chunk()?;
    *rest = after;
    Some(*taken)
}

/// Opens a bundle of `record` with whichever of `keys` it names, and checks form and signature.
/// Authority (is the author a member?) and the changes' hashes are the caller's to check.
///
/// # Errors
/// [`OpenError`]; the first fault found, from the outside in.
pub fn open(
    record: &RecordId,
    keys: &[EpochKey],
    bytes: &[u8],
) -> Result<(Header, Payload), OpenError> {
    open_beside(record, keys, bytes, &Nothing)
}

/// The same; signatures that are known to be right are not checked again.
///
/// # Errors
/// As [`open`].
pub fn open_beside(
    record: &RecordId,
    keys: &[EpochKey],
    bytes: &[u8],
    known: &dyn VerifiedBefore,
) -> Result<(Header, Payload), OpenError> {
    let header = header(bytes)?;
    if header.tag != record.tag(&header.epoch) {
        return Err(OpenError::OtherRecord(header.tag));
    }
    let key = keys.iter().find(|key| key.id() == header.epoch);
    let key = key.ok_or(OpenError::UnknownEpoch(header.epoch))?;
    let (clear, sealed) =
        bytes.split_at_checked(HEADER).ok_or(OpenError::Truncated(bytes.len()))?;
    let mut text = sealed.to_vec();
    key.cipher()
        .decrypt_in_place((&header.nonce).into(), clear, &mut text)
        .map_err(|_| OpenError::Altered)?;
    let before_nonce = clear.get(..HEADER - NONCE).unwrap_or_default();
    if key.nonce(before_nonce, &text) != header.nonce {
        return Err(OpenError::Altered);
    }
    let payload = Payload::decode(unpad(&text)?, record, known)?;
    match payload.record() {
        Some(found) if found != record => Err(OpenError::Readdressed(*found)),
        _ => Ok((header, payload)),
    }
}

/// The payload behind its length, with zeros up to `bytes`.
pub(crate) fn pad(payload: &[u8], bytes: usize) -> Vec<u8> {
    let mut text = Vec::with_capacity(bytes);
    text.extend((payload.len() as u32).to_be_bytes());
    text.extend(payload);
    text.resize(bytes, 0);
    text
}

pub(crate) fn unpad(text: &[u8]) -> Result<&[u8], OpenError> {
    let (length, rest) = text.split_first_chunk::<LENGTH>().ok_or(OpenError::Padding)?;
    let length = u32::from_be_bytes(*length) as usize;
    let (payload, padding) = rest.split_at_checked(length).ok_or(OpenError::Padding)?;
    if padding.len() < PAD && padding.iter().all(|byte| *byte == 0) {
        Ok(payload)
    } else {
        Err(OpenError::Padding)
    }
}

/// The name of a sealed bundle: BLAKE3 of its bytes.
pub fn bundle_id(bytes: &[u8]) -> BundleId {
    BundleId::from_bytes(*blake3::hash(bytes).as_bytes())
}

#[cfg(test)]
#[path = "seal_tests.rs"]
mod tests;
