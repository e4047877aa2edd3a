//! What goes into a meeting and what comes out of it.

use fallaway_changes::{DeviceId, Signature};

use super::frames::MeetingState;
use super::photos::{PhotoPart, PhotoWant};
use crate::types::TakeFault;

/// What happened outside, which the meeting is told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MeetingEvent {
    /// Begin: nothing was sent or read yet.
    Start,
    /// Answers [`MeetingStep::Write`]: all of it is sent.
    Wrote,
    /// Answers [`MeetingStep::Read`]: at least one byte, no more than were asked for.
    Read(Vec<u8>),
    /// Answers [`MeetingStep::Read`] and [`MeetingStep::Write`]: the other end is gone.
    Ended,
    /// Answers the same: its time is over.
    Late,
    /// Answers [`MeetingStep::Prove`]: this device, and its signature of the handshake.
    Proved(DeviceId, Signature),
    /// Answers [`MeetingStep::Offer`]: what is here of the records that both share.
    Offered(MeetingOffer),
    /// Answers [`MeetingStep::Open`] and [`MeetingStep::Take`].
    Taken(Result<(), TakeFault>),
    /// Answers any step of these three: enough.
    Stop,
}

/// What to do next. Each event is answered by exactly one step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MeetingStep {
    /// Send all of this, before the clock that is passed in shows so many milliseconds.
    Write {
        /// The bytes to send, all of them.
        bytes: Vec<u8>,
        /// Until when, in milliseconds of that clock.
        until: u64,
    },
    /// Read up to so many bytes, and no more: what follows them may be another meeting's.
    Read {
        /// Read at most so many bytes.
        most: usize,
        /// Until when, in milliseconds of the clock that is passed in.
        until: u64,
    },
    /// Sign this handshake, which this end has listened for or come with.
    Prove {
        /// The hash of the handshake, to be signed.
        handshake: [u8; 32],
    },
    /// This came for the holder of the invitation's words: the record begins with it.
    Open {
        /// The sealed welcome.
        letter: Vec<u8>,
    },
    /// Merge these bundles, in one transaction, and keep these parts of photos, each durably.
    Take {
        /// The sealed bundles to merge.
        bundles: Vec<Vec<u8>>,
        /// Parts of photos. Only those that were asked for are to be kept.
        photos: Vec<PhotoPart>,
        /// How many follow.
        more: u64,
    },
    /// Look what there is for the other device.
    Offer {
        /// By which of this end's keys they have met.
        key: usize,
        /// The other device; it has proved that it is.
        device: DeviceId,
        /// What it has, as far as it has said so.
        state: Option<MeetingState>,
        /// Photos that it has asked for in its last turn.
        wants: Vec<PhotoWant>,
    },
    /// The meeting is over.
    Done(MeetingOutcome),
}

/// What the device has for the other one.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct MeetingOffer {
    /// What this device has itself, for the other one to know what it lacks. To who is not known as a
    /// member: nothing, so that it sends all that it has.
    pub state: MeetingState,
    /// The welcome, for who comes with the words of an invitation. It is sent once.
    pub letter: Option<Vec<u8>>,
    /// Sealed bundles, no more than a page; never one twice in a meeting.
    pub bundles: Vec<Vec<u8>>,
    /// How many follow later.
    pub more: u64,
    /// Photos that this device lacks, at most [`super::limits::MAX_WANTS`].
    pub wants: Vec<PhotoWant>,
    /// Parts of photos that the other one has asked for; never one twice in a meeting.
    pub photos: Vec<PhotoPart>,
    /// Why the meeting ends with them, if it does.
    pub farewell: Option<Farewell>,
    /// By what is here the other device is no member.
    pub stranger: bool,
}

/// Why a device is not talked to any longer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Farewell {
    /// It was removed.
    Removed,
}

/// How a meeting over one record ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeetingOutcome {
    /// Both have the same.
    UpToDate,
    /// They share nothing, or not the digits.
    Apart,
    /// The other end has left where a next meeting would have begun.
    Left,
    /// This device was removed from the record; what removed it has come.
    Removed,
    /// The other device was removed, and was told so.
    PeerRemoved,
    /// The other device does not know this one as a member, or not yet.
    Unknown,
    /// The other device shares the record by nothing that is known here.
    PeerUnknown,
    /// What came could not be kept on this device.
    NotTaken,
    /// The other device could not keep what it was sent.
    PeerNotTaken,
    /// It was told to stop, here or there. What has come is kept.
    Stopped,
    /// It broke off. What has come is kept.
    Failed(MeetingFault),
}

/// Why a meeting broke off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MeetingFault {
    /// The connection is gone.
    Cut,
    /// Nothing came for too long.
    Slow,
    /// What came is no meeting, was altered on its way, or the other end is not who it says.
    Garbage,
    /// More came than one meeting takes.
    TooMuch,
}

impl MeetingFault {
    /// The word by which programs, and the messages, tell it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Cut => "cut",
            Self::Slow => "slow",
            Self::Garbage => "garbage",
            Self::TooMuch => "too_much",
        }
    }
}

/// What a meeting did.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct MeetingReport {
    /// Bundles that were sent.
    pub sent: usize,
    /// Bundles that came.
    pub received: usize,
    /// Bytes both ways.
    pub bytes: u64,
    /// Of these, bytes of photos.
    pub photo_bytes: u64,
}
