//! Names of entries, and when something happened.

use std::fmt;
use std::str::FromStr;

use fallaway_changes::{Writer, entry_key, parse_entry_key};
use minicbor::{Decode, Decoder, Encode, Encoder, decode, encode};

/// Names an entry: who wrote it, and the number that the writer gave it. Numbers grow within a
/// writer but may have gaps.
///
/// Its text form is the key of the entry in the document.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EntryId {
    /// Who wrote the entry.
    pub writer: Writer,
    /// The number that the writer gave it.
    pub number: u64,
}

impl EntryId {
    /// The entry that `writer` numbered `number`.
    pub const fn new(writer: Writer, number: u64) -> Self {
        Self { writer, number }
    }
}

impl fmt::Display for EntryId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&entry_key(&self.writer, self.number))
    }
}

/// A text that does not name an entry.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "{text:?} does not name an entry: expected a writer (22 characters of base64url), a point and \
     a letter that counts the digits of the number that follows, as lists of entries show them"
)]
pub struct EntryIdError {
    /// What was given, cut to 80 characters.
    pub text: String,
}

impl FromStr for EntryId {
    type Err = EntryIdError;

    fn from_str(text: &str) -> Result<Self, EntryIdError> {
        match parse_entry_key(text) {
            Some((writer, number)) => Ok(Self { writer, number }),
            None => Err(EntryIdError { text: text.chars().take(80).collect() }),
        }
    }
}

/// `[writer, number]`.
impl<C> Encode<C> for EntryId {
    fn encode<W: encode::Write>(
        &self,
        e: &mut Encoder<W>,
        _: &mut C,
    ) -> Result<(), encode::Error<W::Error>> {
        e.array(2)?.bytes(self.writer.as_bytes())?.u64(self.number)?.ok()
    }
}

impl<'b, C> Decode<'b, C> for EntryId {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        if d.array()? != Some(2) {
            return Err(decode::Error::message("an entry id is an array of two"));
        }
        let writer = Writer::try_from(d.bytes()?)
            .map_err(|_| decode::Error::message("a writer has 16 bytes"))?;
        Ok(Self { writer, number: d.u64()? })
    }
}

/// When something happened by the clock of the device, and how far that clock was from UTC.
///
/// Clocks lie: the order of entries follows causality first, and the stated time only where
/// causality is silent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment {
    /// Seconds from 1970-01-01T00:00:00Z, without leap seconds.
    pub unix_s: i64,
    /// Minutes east of UTC at that place.
    pub offset_min: i16,
}

impl Moment {
    /// Largest offset from UTC in minutes, either way: 18 hours, as in java.time and ISO 8601
    /// profiles (from memory).
    pub const MAX_OFFSET_MIN: i16 = 18 * 60;

    /// The first and the last second of the years 1 to 9999.
    pub const SECONDS: (i64, i64) =
        (fallaway_changes::limits::MIN_TIME, fallaway_changes::limits::MAX_TIME);

    /// A moment; `None` for an offset beyond 18 hours or a year outside 1 to 9999.
    pub fn new(unix_s: i64, offset_min: i16) -> Option<Self> {
        let (first, last) = Self::SECONDS;
        let times = first..=last;
        let offsets = -Self::MAX_OFFSET_MIN..=Self::MAX_OFFSET_MIN;
        (times.contains(&unix_s) && offsets.contains(&offset_min))
            .then_some(Self { unix_s, offset_min })
    }
}

/// `[seconds, minutes east]`.
impl<C> Encode<C> for Moment {
    fn encode<W: encode::Write>(
        &self,
        e: &mut Encoder<W>,
        _: &mut C,
    ) -> Result<(), encode::Error<W::Error>> {
        e.array(2)?.i64(self.unix_s)?.i16(self.offset_min)?.ok()
    }
}

impl<'b, C> Decode<'b, C> for Moment {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        if d.array()? != Some(2) {
            return Err(decode::Error::message("a moment is an array of two"));
        }
        Self::new(d.i64()?, d.i16()?).ok_or_else(|| decode::Error::message("no such moment"))
    }
}
