//! What every library is asked to do, in the terms of its own documentation.

mod automerge_map;
mod loro_map;
mod record;
mod yrs_map;

pub use automerge_map::PlainAutomerge;
pub use loro_map::Loro;
pub use record::Ours;
pub use yrs_map::{Version1, Version2, Yrs};

use fallaway_changes::{Put, VerifiedChange, Writer};
use fallaway_record::{Entry, EntryId};

use crate::Fallible;

/// Name of the map of entries.
const LOG: &str = "log";
/// Name of the map of facts about the instrument.
const SPEC: &str = "spec";

/// What a device would send after writing some visits.
#[derive(Debug)]
pub struct Written {
    /// Each change by itself, as it would leave the device when the visit ends.
    pub each: Vec<Vec<u8>>,
    /// All of them in one message, as for somebody who was away.
    pub all: Vec<u8>,
}

/// A library that can keep the record. Keys and values are the same bytes for all of them.
pub trait Library {
    /// What the table calls it.
    const NAME: &'static str;
    /// A document in memory.
    type Doc;

    /// The document that every device starts from.
    fn founded(writer: &Writer) -> Fallible<Self::Doc>;
    /// Opens stored bytes, ready for this writer.
    fn load(stored: &[u8], writer: &Writer) -> Fallible<Self::Doc>;
    /// The bytes to store.
    fn save(doc: &mut Self::Doc) -> Fallible<Vec<u8>>;
    /// Writes changes, one commit each.
    fn write(doc: &mut Self::Doc, changes: &[VerifiedChange]) -> Fallible<Written>;
    /// Sets a fact and gives what would be sent.
    fn edit(doc: &mut Self::Doc, writer: &Writer, put: &Put) -> Fallible<Vec<u8>>;
    /// Takes in a message.
    fn merge(doc: &mut Self::Doc, message: &[u8]) -> Fallible<()>;
    /// Decodes every entry and counts them.
    fn read(doc: &Self::Doc) -> Fallible<usize>;
}

/// The name of the map that a put goes to.
fn map_of(put: &Put) -> &'static str {
    if put.container.is_append_only() { LOG } else { SPEC }
}

/// Reads one entry. Every library but the record's own gives only key and bytes.
fn decode(key: &str, value: &[u8]) -> Fallible<Entry> {
    Ok(Entry::decode(key.parse::<EntryId>()?, value)?)
}

/// The first bytes of a writer, for libraries that name writers by a shorter number.
fn short_name(writer: &Writer) -> u64 {
    writer.as_bytes().iter().take(8).fold(0, |number, byte| number << 8 | u64::from(*byte))
}
