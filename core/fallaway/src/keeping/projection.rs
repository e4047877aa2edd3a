//! What screens read without loading a record. Always rebuilt from the record, never the only copy.

use fallaway_record::Moment;
use minicbor::{Decode, Encode};

/// One line of the list of instruments.
pub(crate) const LIST_LINE: u16 = 1;
/// The numbers card.
pub(crate) const CARD: u16 = 2;

/// The last readings in the document, without the draft.
pub(crate) const LATEST: u16 = 3;

/// What this device wrote, call by call.
pub(crate) const JOURNAL: u16 = 4;

/// Sealed bundles that cannot be read yet.
pub(crate) const UNREAD: u16 = 5;

/// The relay: address, place in the log, and what the log is known to have.
pub(crate) const RELAY: u16 = 6;

/// When this device met others, and what the document held then.
pub(crate) const MET: u16 = 7;

/// What each device says that it has.
pub(crate) const RECEIPTS: u16 = 8;

/// What the record was when a meeting ended.
pub(crate) const QUIET: u16 = 9;

/// One line of the list of instruments.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub(crate) struct ListLine {
    #[n(0)]
    pub name: String,
    #[n(1)]
    pub last: Option<Moment>,
    #[n(2)]
    pub contested: usize,
    #[n(3)]
    pub waiting: usize,
    #[n(4)]
    #[cbor(default)]
    pub aside: usize,
}

/// The name in a line of the list, for whoever looks for one among hundreds.
#[derive(Decode)]
#[cbor(map)]
struct ListName<'b> {
    #[b(0)]
    name: &'b str,
}

/// The name in a line of the list, without the rest.
pub(crate) fn name_in(line: &[u8]) -> Option<&str> {
    minicbor::decode::<ListName<'_>>(line).ok().map(|line| line.name)
}

pub(crate) fn encode<T: Encode<()>>(value: &T) -> Vec<u8> {
    // Encoding to memory fails only for values that refuse it; then there is no projection, and
    // the reader rebuilds it.
    minicbor::to_vec(value).unwrap_or_default()
}

pub(crate) fn decode<T: for<'b> Decode<'b, ()>>(bytes: &[u8]) -> Option<T> {
    minicbor::decode(bytes).ok()
}
