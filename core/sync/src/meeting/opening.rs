//! How a meeting begins, in the clear: two random numbers, and hints in which who shares a key finds
//! it, and nobody else finds anything.

use fallaway_changes::derive;
use fallaway_order::Map;
use zeroize::Zeroizing;

use super::key::{HINT, MeetingKey, NONCE};
use super::limits::{HINTS_IN_A_ROW, MAX_HINTS};
use super::types::MeetingFault;

/// "FWM", and the version.
const MAGIC: [u8; 4] = [0x46, 0x57, 0x4d, 0x01];
/// Bytes of a preamble.
pub(super) const PREAMBLE: usize = MAGIC.len() + NONCE;
/// In the place of a hint's number.
const NONE: u16 = u16::MAX;
const CONTEXT_RANDOM: &str = "fallaway v1 meeting randomness";
const CONTEXT_PROLOGUE: &[u8] = b"fallaway v1 meeting";

/// What one end draws for one meeting.
pub(super) struct Drawn {
    pub nonce: [u8; NONCE],
    /// The key that the handshake shows; nobody is known by it.
    pub secret: Zeroizing<[u8; 32]>,
    /// The ephemeral key follows from it.
    pub seed: Zeroizing<[u8; 32]>,
    filler: [u8; 32],
}

impl Drawn {
    pub(super) fn from(random: &[u8; 32]) -> Self {
        Self {
            nonce: derive(CONTEXT_RANDOM, &[random, b"nonce"]),
            secret: Zeroizing::new(derive(CONTEXT_RANDOM, &[random, b"static"])),
            seed: Zeroizing::new(derive(CONTEXT_RANDOM, &[random, b"ephemeral"])),
            filler: derive(CONTEXT_RANDOM, &[random, b"filler"]),
        }
    }
}

pub(super) fn preamble(nonce: &[u8; NONCE]) -> Vec<u8> {
    [&MAGIC[..], nonce].concat()
}

/// The other end's random number; `None` for anything that is no preamble.
pub(super) fn read_preamble(bytes: &[u8]) -> Option<[u8; NONCE]> {
    bytes.strip_prefix(&MAGIC)?.try_into().ok()
}

/// A hint of each key, and others that nobody finds, up to a full row.
pub(super) fn hints(keys: &[MeetingKey], drawn: &Drawn, listens: &[u8; NONCE]) -> Vec<u8> {
    let keys = keys.iter().take(MAX_HINTS);
    let mut hints: Vec<[u8; HINT]> = keys.map(|key| key.hint(&drawn.nonce, listens)).collect();
    while hints.is_empty() || !hints.len().is_multiple_of(HINTS_IN_A_ROW) {
        let number = (hints.len() as u64).to_be_bytes();
        hints.push(derive(CONTEXT_RANDOM, &[&drawn.filler, &number]));
    }
    hints.concat()
}

/// The first of these keys that is hinted at: which it is, and the number of its hint.
///
/// # Errors
/// [`MeetingFault::Garbage`] for what are no hints.
pub(super) fn find(
    hints: &[u8],
    keys: &[MeetingKey],
    came: &[u8; NONCE],
    listens: &[u8; NONCE],
) -> Result<Option<(usize, u16)>, MeetingFault> {
    let count = hints.len() / HINT;
    if !hints.len().is_multiple_of(HINT) || count == 0 || count > MAX_HINTS {
        return Err(MeetingFault::Garbage);
    }
    // Each is looked at once, however many keys are here.
    let mut places: Map<&[u8], u16> = Map::new();
    for (hint, place) in hints.chunks_exact(HINT).zip(0..) {
        places.entry(hint).or_insert(place);
    }
    let mut found = keys.iter().enumerate();
    Ok(found.find_map(|(own, key)| {
        let place = places.get(key.hint(came, listens).as_slice())?;
        Some((own, *place))
    }))
}

/// Says which hint was found.
pub(super) fn choice(found: Option<u16>) -> Vec<u8> {
    found.unwrap_or(NONE).to_be_bytes().to_vec()
}

/// Which of so many keys was found.
///
/// # Errors
/// [`MeetingFault::Garbage`] for what is no choice.
pub(super) fn read_choice(bytes: &[u8], keys: usize) -> Result<Option<usize>, MeetingFault> {
    let chosen = u16::from_be_bytes(bytes.try_into().map_err(|_| MeetingFault::Garbage)?);
    match chosen {
        NONE => Ok(None),
        chosen if usize::from(chosen) < keys => Ok(Some(usize::from(chosen))),
        _ => Err(MeetingFault::Garbage),
    }
}

/// What the handshake is bound to: all that was said before it.
pub(super) fn prologue(came: &[u8; NONCE], listens: &[u8; NONCE], hints: &[u8]) -> Vec<u8> {
    [CONTEXT_PROLOGUE, came, listens, hints].concat()
}
