//! Visits, string changes, tuning, climate, remarks, buzz notes and photos.

use fallaway_measure::{Amount, Fret, Note, StringPlace};
use minicbor::{Decode, Encode};

use crate::EntryId;
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
    /// A remark.
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
    /// A remark.
    #[n(2)]
    pub note: Option<String>,
}

/// The air around the instrument.
#[derive(Debug, Clone, PartialEq, Default, Encode, Decode)]
#[cbor(map)]
pub struct Climate {
    /// Temperature.
    #[n(0)]
    pub temperature: Option<Amount>,
    /// Relative humidity in percent.
    #[n(1)]
    pub humidity: Option<Amount>,
    /// Where: "bench", "case", "stage".
    #[n(2)]
    pub place: Option<String>,
    /// Hours that the instrument has been there.
    #[n(3)]
    pub hours_there: Option<u32>,
}

/// A remark.
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
}

/// A note that buzzes.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Buzz {
    /// The string.
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

/// A photo, by its content.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Photo {
    /// BLAKE3 hash of its bytes.
    #[n(0)]
    #[cbor(with = "minicbor::bytes")]
    pub hash: [u8; 32],
    /// Media type (RFC 6838), such as `image/jpeg`.
    #[n(1)]
    pub media_type: String,
    /// What it shows.
    #[n(2)]
    pub caption: Option<String>,
}
