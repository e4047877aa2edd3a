//! Two devices that meet have one history afterwards: over any stream of bytes, with no relay and no
//! file.

mod drive;
mod keys;
mod opening;
mod photos;
mod quiet;
mod stream;
mod table;

use fallaway_text::errors::Accepted;
use fallaway_text::messages::meeting as say;
use fallaway_text::{Phrase, Word};

pub use fallaway_sync::meeting::limits::IDLE_MS;
pub use fallaway_sync::meeting::{MeetingFault, MeetingOutcome};
pub use stream::{ByteStream, StreamFault};

use crate::error::{Error, Result};
use crate::keeping::callbacks::{NoProgress, ProgressListener};
use crate::keeping::secrets::draw;
use crate::showing::views::{InstrumentId, MergeReport};
use crate::workshop::Workshop;

/// Digits by which the right two devices find each other.
const DIGITS: u32 = 6;

/// How a device meets another one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MeetOptions {
    /// Whether this device has listened, and the other one came. One of two listens.
    pub listens: bool,
    /// The six digits of [`Workshop::meeting_digits`], which the one that listens shows, and whoever
    /// comes is given. Blanks in them do not count.
    pub digits: String,
    /// One instrument; none for all that both devices share.
    pub only: Option<InstrumentId>,
    /// The words or the code of an invitation, by which this device joins what the other one shares.
    pub invitation: Option<String>,
}

/// What became of a meeting.
#[derive(Debug, Clone, PartialEq)]
pub struct MeetReport {
    /// How it ended: [`MeetingOutcome::UpToDate`] if all that both share was exchanged, or else why
    /// that was not so.
    pub outcome: MeetingOutcome,
    /// What was exchanged, an instrument at a time.
    pub met: Vec<MetInstrument>,
    /// Bytes both ways.
    pub bytes: u64,
}

/// One instrument of a meeting.
#[derive(Debug, Clone, PartialEq)]
pub struct MetInstrument {
    /// Which instrument was exchanged.
    pub instrument: InstrumentId,
    /// What it is called here; empty while no name has arrived.
    pub name: String,
    /// What the other device calls itself, or its fingerprint if it is no member.
    pub other: String,
    /// How it ended.
    pub outcome: MeetingOutcome,
    /// Changes that the other device lacked, and operations on the people of the record.
    pub sent: usize,
    /// How many bundles came.
    pub received: usize,
    /// Photos that the other device asked for, and has all parts of now.
    pub photos_sent: usize,
    /// Photos that are here now, and were not before.
    pub photos_received: usize,
    /// What was merged, a report for each page that came.
    pub merges: Vec<MergeReport>,
}

impl MetInstrument {
    /// How it ended, in words.
    pub fn phrase(&self) -> Phrase {
        match self.outcome {
            MeetingOutcome::UpToDate => say::up_to_date(self.name.clone(), self.other.clone()),
            outcome => say::instrument(self.name.clone(), ended(outcome)),
        }
    }

    /// What went and came, in words.
    pub fn counts(&self) -> Vec<Phrase> {
        let counts = [
            (self.sent, say::sent as fn(usize) -> Phrase),
            (self.received, say::received),
            (self.photos_sent, say::photos_sent),
            (self.photos_received, say::photos_received),
        ];
        counts.into_iter().filter(|(n, _)| *n > 0).map(|(n, said)| said(n)).collect()
    }
}

impl MeetReport {
    /// How the meeting as a whole ended, in words.
    pub fn phrase(&self) -> Phrase {
        ended(self.outcome)
    }
}

fn ended(outcome: MeetingOutcome) -> Phrase {
    match outcome {
        MeetingOutcome::UpToDate => say::all(),
        MeetingOutcome::Apart => say::apart(),
        MeetingOutcome::Left => say::failed(Word(MeetingFault::Cut.word())),
        MeetingOutcome::Removed => say::removed(),
        MeetingOutcome::PeerRemoved => say::peer_removed(),
        MeetingOutcome::Unknown => say::unknown(),
        MeetingOutcome::PeerUnknown => say::peer_unknown(),
        MeetingOutcome::NotTaken | MeetingOutcome::PeerNotTaken => say::not_taken(),
        MeetingOutcome::Stopped => say::stopped(),
        MeetingOutcome::Failed(why) => say::failed(Word(why.word())),
    }
}

impl Workshop {
    /// Six digits for the device that listens to show: whoever comes with them is the one that was
    /// told. They keep two pairs in one room apart; what keeps strangers out are the keys.
    ///
    /// # Errors
    /// [`Error::Keys`] if the system gives no random bytes.
    pub fn meeting_digits(&self) -> Result<String> {
        let drawn = u64::from_be_bytes(draw(self.inner.random.as_ref())?);
        let number = drawn % 10_u64.pow(DIGITS);
        Ok(format!("{number:0width$}", width = DIGITS as usize))
    }

    /// Exchanges with another device until both have the same of every instrument that they share, or
    /// of one. What comes is merged page by page, each durably, so the call may end or the connection
    /// be cut at any moment, and the next meeting goes on from there. Nothing of a record is said
    /// before the other device has proved that it knows its key, and everything is encrypted to it.
    ///
    /// # Errors
    /// [`Error::Refused`] for a text that is no sound invitation, or one that has expired;
    /// [`Error::BadInput`] for digits that are none; when the store cannot be written. That the other
    /// device does not answer, or shares nothing, is no error: the report's outcome says so.
    pub fn meet(&self, stream: &dyn ByteStream, options: &MeetOptions) -> Result<MeetReport> {
        self.meet_watched(stream, options, &NoProgress)
    }

    /// The same, and `progress` is told how many bundles of an instrument have come, of how many. It
    /// can stop the call; what has come by then stays.
    ///
    /// # Errors
    /// As [`Workshop::meet`].
    pub fn meet_watched(
        &self,
        stream: &dyn ByteStream,
        options: &MeetOptions,
        progress: &dyn ProgressListener,
    ) -> Result<MeetReport> {
        let digits: String = options.digits.chars().filter(|one| !one.is_whitespace()).collect();
        if digits.len() != DIGITS as usize || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
            let field = crate::error::field("digits");
            let accepted = Accepted::like("012345").said(say::digits_accepted());
            let reason = say::no_digits(options.digits.clone());
            return Err(Error::bad_input(field, reason, accepted));
        }
        self.meet_over(stream, &MeetOptions { digits, ..options.clone() }, progress)
    }
}
