//! What the other end says in its turn, put together from its parts and held to the limits.

use super::frames::{Frame, MeetingState, Piece};
use super::limits::{
    MAX_STATE_BYTES, MAX_TURN_BUNDLES, MAX_TURN_BYTES, MAX_TURN_PARTS, MAX_WANTS_BYTES,
    PART_HEAD_BYTES,
};
use super::photos::{PhotoPart, PhotoWant, decode_wants};
use super::types::MeetingFault;
use fallaway_sharing::limits::{MAX_BUNDLE_BYTES, SEALED_PART_BYTES};

/// Bytes of a letter.
const MAX_LETTER_BYTES: usize = 64 * 1024;

/// A turn as far as it has come.
#[derive(Default)]
pub(super) struct Incoming {
    pub state: Option<MeetingState>,
    pub letter: Option<Vec<u8>>,
    pub bundles: Vec<Vec<u8>>,
    pub wants: Option<Vec<PhotoWant>>,
    pub photos: Vec<PhotoPart>,
    bytes: usize,
    /// What is on its way: its kind, its bytes so far, how many follow.
    open: Option<(Piece, Vec<u8>, u64)>,
}

impl Incoming {
    /// Whether something has come in part only.
    pub(super) const fn is_open(&self) -> bool {
        self.open.is_some()
    }

    /// Takes a part. Nothing is allocated for what was only announced.
    pub(super) fn part(&mut self, frame: Frame) -> Result<(), MeetingFault> {
        let Frame::Part { what, left, bytes } = frame else { return Err(MeetingFault::Garbage) };
        let whole = match &self.open {
            None => (bytes.len() as u64).checked_add(left),
            Some((kind, _, before)) => {
                let follows = (bytes.len() as u64).checked_add(left) == Some(*before);
                (*kind == what && follows && !bytes.is_empty()).then_some(*before)
            }
        };
        let whole = whole.ok_or(MeetingFault::Garbage)?;
        let most = match what {
            Piece::State => MAX_STATE_BYTES,
            Piece::Bundle => MAX_BUNDLE_BYTES,
            Piece::Letter => MAX_LETTER_BYTES,
            Piece::Wants => MAX_WANTS_BYTES,
            Piece::Photo => SEALED_PART_BYTES + PART_HEAD_BYTES,
        };
        if whole == 0 || bytes.is_empty() {
            return Err(MeetingFault::Garbage);
        }
        if whole > most as u64 {
            return Err(MeetingFault::TooMuch);
        }
        let (_, mut all, _) = self.open.take().unwrap_or((what, Vec::new(), 0));
        all.extend(bytes);
        if left > 0 {
            self.open = Some((what, all, left));
            return Ok(());
        }
        match what {
            Piece::State => {
                let state = MeetingState::decode(&all).map_err(|_| MeetingFault::Garbage)?;
                let again = self.state.replace(state).is_some();
                if again { Err(MeetingFault::Garbage) } else { Ok(()) }
            }
            Piece::Letter => {
                let again = self.letter.replace(all).is_some();
                if again { Err(MeetingFault::Garbage) } else { Ok(()) }
            }
            Piece::Wants => {
                let wants = decode_wants(&all).map_err(|_| MeetingFault::Garbage)?;
                let again = self.wants.replace(wants).is_some();
                if again { Err(MeetingFault::Garbage) } else { Ok(()) }
            }
            Piece::Photo => {
                if self.photos.len() == MAX_TURN_PARTS {
                    return Err(MeetingFault::TooMuch);
                }
                self.photos.push(PhotoPart::decode(&all).map_err(|_| MeetingFault::Garbage)?);
                Ok(())
            }
            Piece::Bundle => {
                let full = self.bundles.len() == MAX_TURN_BUNDLES || self.bytes > MAX_TURN_BYTES;
                if full {
                    return Err(MeetingFault::TooMuch);
                }
                self.bytes += all.len();
                self.bundles.push(all);
                Ok(())
            }
        }
    }
}
