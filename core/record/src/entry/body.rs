//! The kinds of entries.

use minicbor::encode::{self, Write};
use minicbor::{Decode, Decoder, Encoder};

use super::{
    Adjustment, Buzz, Climate, Pass, Photo, Remark, StringChange, Tuning, VisitEnded, VisitOpened,
};

crate::numbered::numbered! {
    /// What kind an entry is of.
    EntryKind {
        /// The instrument comes in.
        VisitBegun = 1, "visit";
        /// The visit is over.
        VisitEnded = 2, "end of visit";
        /// Readings of one quantity.
        Readings = 3, "readings";
        /// Something was turned, moved, cut or replaced.
        Adjusted = 4, "adjustment";
        /// Strings were changed.
        StringsChanged = 5, "string change";
        /// Strings were tuned.
        Tuned = 6, "tuning";
        /// The air around the instrument.
        ClimateNoted = 7, "climate";
        /// A remark in free text.
        Remarked = 8, "remark";
        /// A note that buzzes.
        Buzzed = 9, "buzz";
        /// A photo, with what it shows.
        PhotoTaken = 10, "photo";
    }
}

/// What an entry says. The numbers of the kinds are assigned for ever.
#[derive(Debug, Clone, PartialEq)]
pub enum EntryBody {
    /// The instrument comes in (kind 1).
    Visit(VisitOpened),
    /// The visit is over (kind 2).
    VisitEnd(VisitEnded),
    /// One quantity read one way with one tool across the strings (kind 3).
    Pass(Pass),
    /// Something was turned, moved, cut or replaced (kind 4).
    Adjustment(Adjustment),
    /// Strings were changed (kind 5).
    StringChange(StringChange),
    /// Strings were tuned to pitch, or to another tuning (kind 6).
    Tuning(Tuning),
    /// The air around the instrument (kind 7).
    Climate(Climate),
    /// A remark (kind 8).
    Remark(Remark),
    /// A note that buzzes (kind 9).
    Buzz(Buzz),
    /// A photo, by the hash of its content (kind 10).
    Photo(Photo),
    /// Written by a newer version: kept, shown as such, never rewritten.
    Unknown {
        /// The number of the kind.
        kind: u32,
        /// The body as it stands in the document.
        raw: Vec<u8>,
    },
}

impl EntryBody {
    /// What kind of entry this is.
    pub const fn kind(&self) -> EntryKind {
        match self {
            Self::Visit(_) => EntryKind::VisitBegun,
            Self::VisitEnd(_) => EntryKind::VisitEnded,
            Self::Pass(_) => EntryKind::Readings,
            Self::Adjustment(_) => EntryKind::Adjusted,
            Self::StringChange(_) => EntryKind::StringsChanged,
            Self::Tuning(_) => EntryKind::Tuned,
            Self::Climate(_) => EntryKind::ClimateNoted,
            Self::Remark(_) => EntryKind::Remarked,
            Self::Buzz(_) => EntryKind::Buzzed,
            Self::Photo(_) => EntryKind::PhotoTaken,
            Self::Unknown { kind, .. } => EntryKind::from_number(*kind),
        }
    }

    /// Writes the body as one item.
    pub(super) fn encode<W: Write>(
        &self,
        e: &mut Encoder<W>,
    ) -> Result<(), encode::Error<W::Error>> {
        match self {
            Self::Visit(body) => e.encode(body)?.ok(),
            Self::VisitEnd(body) => e.encode(body)?.ok(),
            Self::Pass(body) => e.encode(body)?.ok(),
            Self::Adjustment(body) => e.encode(body)?.ok(),
            Self::StringChange(body) => e.encode(body)?.ok(),
            Self::Tuning(body) => e.encode(body)?.ok(),
            Self::Climate(body) => e.encode(body)?.ok(),
            Self::Remark(body) => e.encode(body)?.ok(),
            Self::Buzz(body) => e.encode(body)?.ok(),
            Self::Photo(body) => e.encode(body)?.ok(),
            Self::Unknown { raw, .. } => {
                e.writer_mut().write_all(raw).map_err(encode::Error::write)
            }
        }
    }

    /// Reads a body. What this version cannot read is [`EntryBody::Unknown`].
    pub(super) fn decode(kind: u32, raw: &[u8]) -> Self {
        fn read<'b, T: Decode<'b, ()>>(
            raw: &'b [u8],
            wrap: fn(T) -> EntryBody,
        ) -> Option<EntryBody> {
            Decoder::new(raw).decode().ok().map(wrap)
        }
        let known = match kind {
            1 => read(raw, Self::Visit),
            2 => read(raw, Self::VisitEnd),
            3 => read(raw, Self::Pass),
            4 => read(raw, Self::Adjustment),
            5 => read(raw, Self::StringChange),
            6 => read(raw, Self::Tuning),
            7 => read(raw, Self::Climate),
            8 => read(raw, Self::Remark),
            9 => read(raw, Self::Buzz),
            10 => read(raw, Self::Photo),
            _ => None,
        };
        known.unwrap_or_else(|| Self::Unknown { kind, raw: raw.to_vec() })
    }
}
