//! Meeting another device. The app lends the stream of bytes; the library decides what is said.

use std::sync::Arc;

use fallaway::meeting::StreamFault;

use crate::callbacks::{ProgressListener, Watched};
use crate::mirror::mirror;
use crate::numbers::count;
use crate::voice::say;
use crate::{InstrumentId, MergeReport, Result, Workshop};

/// Why nothing was read or sent. `reason` is what the platform says of it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error, uniffi::Error)]
pub enum StreamError {
    /// The time is over.
    #[error("{reason}")]
    Slow {
        /// In the platform's words.
        reason: String,
    },
    /// The connection is gone.
    #[error("{reason}")]
    Gone {
        /// In the platform's words.
        reason: String,
    },
}

impl From<uniffi::UnexpectedUniFFICallbackError> for StreamError {
    fn from(error: uniffi::UnexpectedUniFFICallbackError) -> Self {
        // Some languages append where it was thrown.
        let reason = error.reason.lines().next().unwrap_or_default().to_owned();
        Self::Gone { reason }
    }
}

impl From<StreamError> for StreamFault {
    fn from(error: StreamError) -> Self {
        match error {
            StreamError::Slow { .. } => Self::Slow,
            StreamError::Gone { .. } => Self::Gone,
        }
    }
}

/// Carries bytes to another device and back, in order: a socket, a channel between two phones, whatever
/// the platform has. It need not be encrypted. Each language has one ready over its sockets.
///
/// It is called on the thread that called the library, with no lock held.
#[uniffi::export(with_foreign)]
pub trait ByteStream: Send + Sync {
    /// Waits for bytes, so many milliseconds at most: at least one, no more than `most`. None if the other
    /// end has closed.
    ///
    /// # Errors
    /// If none came in time, or the connection is gone; anything else that is thrown counts as `Gone`.
    fn read(&self, most: u32, timeout_ms: u32) -> std::result::Result<Vec<u8>, StreamError>;

    /// Sends all of these within so many milliseconds.
    ///
    /// # Errors
    /// As `read`.
    fn write(&self, bytes: Vec<u8>, timeout_ms: u32) -> std::result::Result<(), StreamError>;
}

struct Carrier(Arc<dyn ByteStream>);

fn millis(millis: u64) -> u32 {
    u32::try_from(millis).unwrap_or(u32::MAX)
}

impl fallaway::meeting::ByteStream for Carrier {
    fn read(&self, most: usize, wait: u64) -> std::result::Result<Vec<u8>, StreamFault> {
        Ok(self.0.read(count(most), millis(wait))?)
    }

    fn write(&self, bytes: &[u8], wait: u64) -> std::result::Result<(), StreamFault> {
        Ok(self.0.write(bytes.to_vec(), millis(wait))?)
    }
}

/// How a device meets another one.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct MeetOptions {
    /// Whether this device has listened, and the other one came. One of two listens.
    pub listens: bool,
    /// The six digits of `meeting_digits`, which the one that listens shows, and whoever comes is given.
    pub digits: String,
    /// One instrument; `None` for all that both devices share.
    #[uniffi(default = None)]
    pub only: Option<InstrumentId>,
    /// The words or the code of an invitation, by which this device joins what the other one shares.
    #[uniffi(default = None)]
    pub invitation: Option<String>,
}

mirror! {
    /// Why a meeting broke off.
    MeetingFault = fallaway::meeting::MeetingFault {
        /// The connection is gone.
        Cut,
        /// Nothing came for too long.
        Slow,
        /// What came is no meeting, or was altered on its way.
        Garbage,
        /// More came than one meeting takes.
        TooMuch,
    }
}

/// How a meeting ended.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Enum)]
pub enum MeetingOutcome {
    /// Both have the same.
    UpToDate,
    /// They share no instrument, or not the digits.
    Apart,
    /// This device was removed from the record; what removed it has come.
    Removed,
    /// The other device was removed, and was told so.
    PeerRemoved,
    /// The other device does not know this one as a member.
    Unknown,
    /// The other device is no member by what is known here.
    PeerUnknown,
    /// The other device could not keep what it was sent.
    PeerNotTaken,
    /// It was told to stop, here or there. What has come stays.
    Stopped,
    /// It broke off. What has come stays, and the next meeting goes on from there.
    Failed {
        /// What broke it off.
        why: MeetingFault,
    },
    /// What came after this app was built: show the sentence beside it.
    Newer,
}

impl From<fallaway::meeting::MeetingOutcome> for MeetingOutcome {
    fn from(outcome: fallaway::meeting::MeetingOutcome) -> Self {
        use fallaway::meeting::MeetingOutcome as Core;
        match outcome {
            Core::UpToDate => Self::UpToDate,
            Core::Apart => Self::Apart,
            Core::Left => Self::Failed { why: MeetingFault::Cut },
            Core::Removed => Self::Removed,
            Core::PeerRemoved => Self::PeerRemoved,
            Core::Unknown => Self::Unknown,
            Core::PeerUnknown => Self::PeerUnknown,
            Core::PeerNotTaken => Self::PeerNotTaken,
            // What could not be taken is an error of the call.
            Core::NotTaken | Core::Stopped => Self::Stopped,
            Core::Failed(why) => Self::Failed { why: why.into() },
        }
    }
}

/// What became of one instrument in a meeting.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct MetInstrument {
    /// Which instrument was exchanged, by its id.
    pub instrument: InstrumentId,
    /// What it is called here; empty while no name has arrived.
    pub name: String,
    /// What the other device calls itself, or its fingerprint if it is no member.
    pub other: String,
    /// How it ended.
    pub outcome: MeetingOutcome,
    /// Changes that the other device lacked, and what the people of the record did.
    pub sent: u32,
    /// How many bundles came.
    pub received: u32,
    /// Photos that the other device asked for, and has now.
    pub photos_sent: u32,
    /// Photos that are here now, and were not before.
    pub photos_received: u32,
    /// What was merged, a report for each page that came.
    pub merges: Vec<MergeReport>,
    /// All of it in words, the outcome first.
    pub sentences: Vec<String>,
}

/// What became of a meeting.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct MeetReport {
    /// How it ended: `UpToDate` if all that both share was exchanged, or else why that was not so.
    pub outcome: MeetingOutcome,
    /// What was exchanged, an instrument at a time.
    pub met: Vec<MetInstrument>,
    /// How it ended, in words.
    pub text: String,
}

impl From<fallaway::meeting::MetInstrument> for MetInstrument {
    fn from(met: fallaway::meeting::MetInstrument) -> Self {
        let sentences = [met.phrase()].into_iter().chain(met.counts());
        Self {
            sentences: sentences.map(|one| say(&one)).collect(),
            instrument: met.instrument.into(),
            name: met.name,
            other: met.other,
            outcome: met.outcome.into(),
            sent: count(met.sent),
            received: count(met.received),
            photos_sent: count(met.photos_sent),
            photos_received: count(met.photos_received),
            merges: met.merges.into_iter().map(MergeReport::from).collect(),
        }
    }
}

impl From<fallaway::meeting::MeetReport> for MeetReport {
    fn from(report: fallaway::meeting::MeetReport) -> Self {
        Self {
            text: say(&report.phrase()),
            outcome: report.outcome.into(),
            met: report.met.into_iter().map(MetInstrument::from).collect(),
        }
    }
}

#[uniffi::export]
impl Workshop {
    /// Six digits for the device that listens to show. They keep two pairs in one room apart; what keeps
    /// strangers out are the keys.
    ///
    /// # Errors
    /// `Keys` if the system gives no random bytes.
    pub fn meeting_digits(&self) -> Result<String> {
        Ok(self.inner().meeting_digits()?)
    }

    /// Exchanges with another device until both have the same of every instrument that they share. What
    /// comes is merged page by page, each durably, so the call may be stopped or the connection cut at any
    /// moment, and the next meeting goes on from there. Everything is encrypted, and nothing of a record
    /// is said before the other device has proved that it knows its key. Nothing is locked while bytes
    /// are under way. `progress` is told how many bundles have come, of how many. Close the stream
    /// afterwards: the other device waits for that.
    ///
    /// # Errors
    /// `Refused` for a text that is no sound invitation, or one that has expired; `BadInput` for digits
    /// that are none; `Busy` while another meeting is about the same instrument; when the store cannot be
    /// written; `Closed`. That the other device does not answer, or shares nothing, is no error: the
    /// report's outcome says so.
    #[uniffi::method(default(progress = None))]
    pub fn meet(
        &self,
        stream: Arc<dyn ByteStream>,
        options: MeetOptions,
        progress: Option<Arc<dyn ProgressListener>>,
    ) -> Result<MeetReport> {
        self.voice.is_asked();
        let options = fallaway::meeting::MeetOptions {
            listens: options.listens,
            digits: options.digits,
            only: options.only.map(|id| id.0),
            invitation: options.invitation,
        };
        Ok(self.inner().meet_watched(&Carrier(stream), &options, &Watched(progress))?.into())
    }
}
