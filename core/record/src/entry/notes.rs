//! Visits, string changes, tuning, climate, remarks, buzz notes and photos.

use fallaway_measure::{Amount, Fret, Location, Note, Quantity, StringPlace};
use minicbor::{Decode, Decoder, Encode, Encoder, decode, encode};

use super::AdjustedPart;
use crate::EntryId;
use crate::numbered::numbered;
use crate::spec::StringSpec;

/// The instrument comes in.
#[derive(Debug, Clone, PartialEq, Eq, Default, Encode, Decode)]
#[cbor(map)]
pub struct VisitOpened {
    /// What is wanted: the complaint, the playing style, the reason.
    #[n(0)]
    pub purpose: Option<String>,
}

/// The visit is over.
#[derive(Debug, Clone, PartialEq, Eq, Default, Encode, Decode)]
#[cbor(map)]
pub struct VisitEnded {
    /// What is left to do or to watch.
    #[n(0)]
    pub note: Option<String>,
}

/// Strings were changed.
#[derive(Debug, Clone, PartialEq, Default, Encode, Decode)]
#[cbor(map)]
pub struct StringChange {
    /// Which strings; empty means all.
    #[n(0)]
    #[cbor(skip_if = "Vec::is_empty")]
    pub strings: Vec<StringPlace>,
    /// The set as a whole, in the words of the person who fitted it.
    #[n(1)]
    pub set: Option<String>,
    /// What was fitted where, as far as it was written down.
    #[n(2)]
    #[cbor(skip_if = "Vec::is_empty")]
    pub fitted: Vec<(StringPlace, StringSpec)>,
    /// What was noticed, in free text.
    #[n(3)]
    pub note: Option<String>,
}

/// Strings were tuned.
#[derive(Debug, Clone, PartialEq, Default, Encode, Decode)]
#[cbor(map)]
pub struct Tuning {
    /// Which strings; empty means all.
    #[n(0)]
    #[cbor(skip_if = "Vec::is_empty")]
    pub strings: Vec<StringPlace>,
    /// Notes that differ from those before; empty means that strings were brought back to pitch.
    #[n(1)]
    #[cbor(skip_if = "Vec::is_empty")]
    pub changed: Vec<(StringPlace, Note)>,
    /// What was noticed, in free text.
    #[n(2)]
    pub note: Option<String>,
}

/// The air around the instrument.
#[derive(Debug, Clone, PartialEq, Default, Encode, Decode)]
#[cbor(map)]
pub struct Climate {
    /// Temperature of the air, as it was read.
    #[n(0)]
    pub temperature: Option<Amount>,
    /// Relative humidity in percent.
    #[n(1)]
    pub humidity: Option<Amount>,
    /// Where it is kept: "bench", "case", "stage".
    #[n(2)]
    pub where_kept: Option<String>,
    /// Hours that the instrument has been there.
    #[n(3)]
    pub hours_there: Option<u32>,
}

/// A remark: free text, what could not be done, or what was found at a fret.
#[derive(Debug, Clone, PartialEq, Eq, Default, Encode, Decode)]
#[cbor(map)]
pub struct Remark {
    /// What it says.
    #[n(0)]
    #[cbor(default)]
    pub text: String,
    /// The remark that this one corrects.
    #[n(1)]
    pub replaces: Option<EntryId>,
    /// The entry that this one is about.
    #[n(2)]
    pub about: Option<EntryId>,
    /// What could not be done: the text says why.
    #[n(3)]
    pub could_not: Option<CouldNot>,
    /// What was found at a fret: the text may add to it.
    #[n(4)]
    pub fret: Option<FretFinding>,
}

numbered! {
    /// How a fret was found.
    FretState {
        /// Its crown stands higher than its neighbours: a short straightedge over three frets rocks.
        High = 1, "stands high";
        /// Level with its neighbours: it does not rock.
        Level = 2, "level";
        /// Worn, lower than its neighbours.
        Worn = 3, "worn";
        /// An end or all of it is loose: it can be pressed down.
        Lifting = 4, "lifting";
    }
}

/// What somebody found at a fret.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct FretFinding {
    /// The fret at which something was found.
    #[n(0)]
    pub fret: Fret,
    /// How the crown is: high, level, worn or lifting.
    #[n(1)]
    pub state: FretState,
    /// Under which strings; empty means all along it.
    #[n(2)]
    #[cbor(default)]
    #[cbor(skip_if = "Vec::is_empty")]
    pub strings: Vec<StringPlace>,
    /// By how much its crown stands above the line through its neighbours, or below it if it is worn; as
    /// read, never below zero.
    #[n(3)]
    pub by: Option<Amount>,
}

/// What somebody tried at the instrument and could not do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CouldNot {
    /// Move a part (1): a screw that does not turn, a nut that is glued in.
    Move(AdjustedPart),
    /// Read something (2): no room for the tool, no tool that is fine enough.
    Read {
        /// What was to be read, and which way.
        quantity: Quantity,
        /// For which string or side, or for the whole instrument.
        location: Location,
    },
    /// Written by a newer version, by its number.
    Other(u32),
}

/// `[1, adjusted]` or `[2, quantity, location]`.
impl<C> Encode<C> for CouldNot {
    fn encode<W: encode::Write>(
        &self,
        e: &mut Encoder<W>,
        _: &mut C,
    ) -> Result<(), encode::Error<W::Error>> {
        match self {
            Self::Move(part) => e.array(2)?.u32(1)?.encode(part)?.ok(),
            Self::Read { quantity, location } => {
                e.array(3)?.u32(2)?.encode(quantity)?.encode(location)?.ok()
            }
            Self::Other(number) => e.array(1)?.u32(*number)?.ok(),
        }
    }
}

impl<'b, C> Decode<'b, C> for CouldNot {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        let items = d.array()?.unwrap_or(0);
        let (what, read) = match d.u32()? {
            1 => (Self::Move(d.decode()?), 2),
            2 => (Self::Read { quantity: d.decode()?, location: d.decode()? }, 3),
            other => (Self::Other(other), 1),
        };
        for _ in read..items {
            d.skip()?;
        }
        Ok(what)
    }
}

/// A note that buzzes.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Buzz {
    /// The string on which it buzzes.
    #[n(0)]
    pub string: StringPlace,
    /// Where it is stopped, the lowest such fret; [`Fret::OPEN`] for the open string.
    #[n(1)]
    pub from: Fret,
    /// The highest such fret; the same as `from` for a single note.
    #[n(2)]
    pub to: Fret,
    /// How it is played, what is heard.
    #[n(3)]
    pub note: Option<String>,
}

/// A photo. Its bytes lie sealed beside the record, on this device, another or a relay; what opens them is
/// here.
#[derive(Clone, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Photo {
    /// BLAKE3 hash of its bytes.
    #[n(0)]
    #[cbor(with = "minicbor::bytes")]
    pub hash: [u8; 32],
    /// Media type (RFC 6838), such as `image/jpeg`.
    #[n(1)]
    pub media_type: String,
    /// What it shows; `None` if nobody said.
    #[n(2)]
    pub caption: Option<String>,
    /// The key that it is sealed with, drawn for it. A secret of the record: not shown.
    #[n(3)]
    #[cbor(with = "minicbor::bytes")]
    pub key: Option<[u8; 32]>,
    /// How many bytes it has.
    #[n(4)]
    pub bytes: Option<u64>,
    /// BLAKE3 hash of its sealed bytes: the name that they lie under.
    #[n(5)]
    #[cbor(with = "minicbor::bytes")]
    pub sealed: Option<[u8; 32]>,
    /// The entry that it belongs to: a remark, a reading.
    #[n(6)]
    pub about: Option<EntryId>,
}

impl std::fmt::Debug for Photo {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self { media_type, caption, bytes, about, .. } = self;
        f.debug_struct("Photo")
            .field("media_type", media_type)
            .field("caption", caption)
            .field("bytes", bytes)
            .field("about", about)
            .finish_non_exhaustive()
    }
}
