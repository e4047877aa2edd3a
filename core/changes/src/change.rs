//! The canonical form of a change: what one writer did at once, as plain puts.
//!
//! There is one
//! encoding of a change; every other one is refused. `docs/bundle-format.md` describes it in CDDL.

use std::collections::{BTreeMap, HashSet};

use crate::cbor::{Builder, CborError, CborFault, ItemKind, Reader, check_item};
use crate::ids::{ChangeId, Writer, entry_key, parse_entry_key};
use crate::limits::{
    MAX_CHANGE_BYTES, MAX_COUNTER, MAX_DEPS, MAX_KEY, MAX_OPS, MAX_TIME, MAX_VALUE, MAX_WRITERS,
    MIN_TIME, TooLarge, at_most, bounded, is_sorted_unique,
};

/// Which map of the record an operation writes to. Numbers are assigned forever; those without a
/// name here belong to a newer version and are kept, not refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Container(pub u8);

impl Container {
    /// Who may read and write the record at all: `min_reader`, `min_writer`.
    pub const FORMAT: Self = Self(0);
    /// What the instrument is: one register per fact.
    pub const SPEC: Self = Self(1);
    /// Named sets of targets: one register per target.
    pub const SETUPS: Self = Self(2);
    /// What was read and done: entries that never change.
    pub const LOG: Self = Self(3);
    /// Entries that were crossed out, with the reason.
    pub const RETRACTED: Self = Self(4);
    /// When and by whom a value of a register was put, where somebody said so: one register per register.
    pub const STATED: Self = Self(5);

    /// Whether this version knows the container.
    pub fn is_known(self) -> bool {
        self.0 <= Self::STATED.0
    }

    /// Whether its keys are entry keys and its values final (no predecessors).
    pub fn is_append_only(self) -> bool {
        self == Self::LOG || self == Self::RETRACTED
    }
}

/// One operation: a value is put under a key of a container.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Put {
    /// The container that it goes into.
    pub container: Container,
    /// The key: an entry key in [`Container::LOG`] and [`Container::RETRACTED`], else any text
    /// without control characters of 1 to [`MAX_KEY`] bytes.
    pub key: String,
    /// One deterministic CBOR item of at most [`MAX_VALUE`] bytes; opaque here. In a register it takes
    /// the place of every value under the key that its change has seen.
    pub value: Vec<u8>,
}

/// What one writer did at once.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Change {
    /// Who wrote it.
    pub writer: Writer,
    /// The writer's first change has 1, each next one more.
    pub seq: u64,
    /// Stated time, seconds since 1970-01-01T00:00:00Z. Clocks lie; order comes from `deps`.
    pub time: i64,
    /// The changes that this one has seen and that no other one of these has, and the writer's
    /// previous change: sorted, unique.
    pub deps: Vec<ChangeId>,
    /// The operations in order. There may be none if the change joins what others did apart.
    pub ops: Vec<Put>,
}

/// Why bytes or a value are not a change that may be accepted.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ChangeError {
    /// Not the expected CBOR.
    #[error("a change is malformed {0}")]
    Malformed(#[from] CborError),
    /// Well-formed, but not the one encoding that a change has.
    #[error("a change is not in its canonical form")]
    NotCanonical,
    /// Something is larger than the limit.
    #[error(transparent)]
    TooLarge(#[from] TooLarge),
    /// A number lies outside its range.
    #[error("{what}: {found} is not within {least} to {most}")]
    OutOfRange {
        /// Which number it is, such as "time".
        what: &'static str,
        /// The number that was found.
        found: i128,
        /// The least that is accepted.
        least: i128,
        /// The greatest that is accepted.
        most: i128,
    },
    /// A change does something, or joins what others did apart.
    #[error("a change has no operations and joins nothing")]
    Empty,
    /// A list is not sorted or has an element twice.
    #[error("{0} are not sorted and unique")]
    Unsorted(&'static str),
    /// An operation at fault.
    #[error("operation {index}: {fault}")]
    Op {
        /// Its place in the change, from 0.
        index: usize,
        /// What is wrong with it.
        fault: OpFault,
    },
}

/// What can be wrong with one operation.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum OpFault {
    /// The key is empty, too long or has control characters.
    #[error("the key must have 1 to {MAX_KEY} bytes and no control characters")]
    Key,
    /// Log and retracted take entry keys only.
    #[error(
        "the key must be an entry key: a writer, a point, a letter for the count of digits, a number"
    )]
    EntryKey,
    /// A log entry is numbered by the writer that writes it.
    #[error("the entry key names another writer than the change's own")]
    ForeignEntry,
    /// Two operations of one change write the same key.
    #[error("the change writes this key twice")]
    Duplicate,
    /// The value is too large.
    #[error("the value has more than {MAX_VALUE} bytes")]
    ValueSize,
    /// The value is not one deterministic CBOR item.
    #[error("the value is not one deterministic CBOR item {0}")]
    Value(CborError),
}

impl Change {
    /// Checks everything about the change that can be checked without its record. A change that
    /// passes is what [`Change::decode`] gives back for [`Change::encode`].
    ///
    /// # Errors
    /// The first rule of [`ChangeError`] that is broken.
    pub fn validate(&self) -> Result<(), ChangeError> {
        self.encode_checked().map(drop)
    }

    /// Checks as [`Change::validate`] does, and gives the canonical bytes.
    pub(crate) fn encode_checked(&self) -> Result<Vec<u8>, ChangeError> {
        self.check_rules()?;
        for (index, put) in self.ops.iter().enumerate() {
            let fault = |error| ChangeError::Op { index, fault: OpFault::Value(error) };
            check_item(&put.value).map_err(fault)?;
        }
        at_most("other writers", self.other_writers().len(), MAX_WRITERS)?;
        let bytes = self.encode();
        at_most("bytes of a change", bytes.len(), MAX_CHANGE_BYTES)?;
        Ok(bytes)
    }

    /// The rules that hold for a change in memory. That a value is one deterministic item is not
    /// among them: reading a change proves it.
    fn check_rules(&self) -> Result<(), ChangeError> {
        in_range("sequence number", self.seq, 1, MAX_COUNTER)?;
        in_range("stated time in seconds", self.time, MIN_TIME, MAX_TIME)?;
        at_most("dependencies", self.deps.len(), MAX_DEPS)?;
        at_most("operations", self.ops.len(), MAX_OPS)?;
        if !is_sorted_unique(&self.deps) {
            return Err(ChangeError::Unsorted("dependencies"));
        }
        if self.ops.is_empty() && self.deps.len() < 2 {
            return Err(ChangeError::Empty);
        }
        let mut keys = HashSet::with_capacity(self.ops.len());
        for (index, put) in self.ops.iter().enumerate() {
            let fault = |fault| ChangeError::Op { index, fault };
            self.check_put(put).map_err(fault)?;
            if !keys.insert((put.container, put.key.as_str())) {
                return Err(fault(OpFault::Duplicate));
            }
        }
        Ok(())
    }

    fn check_put(&self, put: &Put) -> Result<(), OpFault> {
        let length = put.key.len();
        if length == 0 || length > MAX_KEY || put.key.chars().any(char::is_control) {
            return Err(OpFault::Key);
        }
        if put.container.is_append_only() {
            let (writer, _) = parse_entry_key(&put.key).ok_or(OpFault::EntryKey)?;
            if put.container == Container::LOG && writer != self.writer {
                return Err(OpFault::ForeignEntry);
            }
        }
        if put.value.len() > MAX_VALUE { Err(OpFault::ValueSize) } else { Ok(()) }
    }

    /// The canonical bytes. Decodable only if [`Change::validate`] passes.
    pub fn encode(&self) -> Vec<u8> {
        let mut out = Builder::new();
        out.array(2 + BODY_ITEMS).bytes(self.writer.as_bytes()).uint(self.seq);
        self.encode_body(&mut out);
        out.finish()
    }

    /// Reads canonical bytes and checks them as [`Change::validate`] does.
    ///
    /// # Errors
    /// [`ChangeError`], for everything that is not exactly the encoding of an acceptable change.
    pub fn decode(bytes: &[u8]) -> Result<Self, ChangeError> {
        at_most("bytes of a change", bytes.len(), MAX_CHANGE_BYTES)?;
        let mut reader = Reader::new(bytes);
        reader.array_len(2 + BODY_ITEMS as u64, "a change of 6 items")?;
        let writer = Writer::from_bytes(reader.array_of("a writer of 16 bytes")?);
        let seq = reader.uint()?;
        let change = Self::decode_body(&mut reader, writer, seq)?;
        reader.end()?;
        Ok(change)
    }

    /// What a change has beside its writer and number.
    fn encode_body(&self, out: &mut Builder) {
        let others = self.other_writers();
        out.int(self.time).chunks(&self.deps).chunks(&others.keys().copied().collect::<Vec<_>>());
        out.array(self.ops.len());
        // Index 0 is the change's own writer.
        let index = |writer: &Writer| others.get(writer).copied().unwrap_or(0);
        for put in &self.ops {
            out.array(PUT_ITEMS).uint(u64::from(put.container.0));
            match short_key(put) {
                Some((writer, number)) if writer == self.writer => out.uint(number),
                Some((writer, number)) => out.array(2).uint(index(&writer)).uint(number),
                None => out.text(&put.key),
            };
            out.raw(&put.value);
        }
    }

    /// Reads the items of a body and checks the change; `reader` stands at the first of them. The
    /// reader takes deterministic items only, and what else could be written in two ways is looked
    /// at here: so these bytes are the only ones that give this change.
    pub(crate) fn decode_body(
        reader: &mut Reader<'_>,
        writer: Writer,
        seq: u64,
    ) -> Result<Self, ChangeError> {
        let time = reader.int()?;
        let deps = reader.chunks("dependencies of 32 bytes each")?;
        let mut ops = Vec::new();
        let others = read_ops(reader, writer, |op| ops.push(op.to_put()))?;
        let change = Self { writer, seq, time, deps, ops };
        change.check_rules()?;
        if change.other_writers().keys().eq(&others) {
            Ok(change)
        } else {
            Err(ChangeError::NotCanonical)
        }
    }

    /// The writers named beside the change's own, with their index (from 1) in the change's table.
    fn other_writers(&self) -> BTreeMap<Writer, u64> {
        let mut others = BTreeMap::new();
        for put in &self.ops {
            others.extend(short_key(put).map(|(writer, _)| (writer, 0)));
        }
        others.remove(&self.writer);
        for (place, index) in others.values_mut().enumerate() {
            *index = place as u64 + 1;
        }
        others
    }
}

/// An entry key's parts, where the short form of keys is used.
fn short_key(put: &Put) -> Option<(Writer, u64)> {
    if put.container.is_append_only() { parse_entry_key(&put.key) } else { None }
}

/// Items of a change's body.
pub(crate) const BODY_ITEMS: usize = 4;
/// Items of an operation.
const PUT_ITEMS: usize = 3;

/// The key of an operation that is read where it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KeyRead<'a> {
    /// An entry: who numbered it, and its number.
    Entry(Writer, u64),
    /// The key of a register, as text.
    Text(&'a str),
}

/// An operation that is read where it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OpRead<'a> {
    /// The container that it goes into.
    pub container: Container,
    /// Under which key.
    pub key: KeyRead<'a>,
    /// The bytes of the value.
    pub value: &'a [u8],
    /// Where the value ends in the bytes that are read.
    pub end: usize,
}

impl OpRead<'_> {
    fn to_put(self) -> Put {
        let key = match self.key {
            KeyRead::Entry(writer, number) => entry_key(&writer, number),
            KeyRead::Text(text) => text.to_owned(),
        };
        Put { container: self.container, key, value: self.value.to_vec() }
    }
}

/// Reads the operations of a change by `writer`, and before them the other writers that they name,
/// which are returned.
///
/// # Errors
/// [`ChangeError`], for what no change holds.
pub fn read_ops<'a>(
    reader: &mut Reader<'a>,
    writer: Writer,
    mut each: impl FnMut(OpRead<'a>),
) -> Result<Vec<Writer>, ChangeError> {
    let others: Vec<Writer> = reader.chunks("writers of 16 bytes each")?;
    at_most("other writers", others.len(), MAX_WRITERS)?;
    for _ in 0..bounded("operations", reader.array()?, MAX_OPS)? {
        each(read_op(reader, writer, &others)?);
    }
    Ok(others)
}

fn read_op<'a>(
    reader: &mut Reader<'a>,
    writer: Writer,
    others: &[Writer],
) -> Result<OpRead<'a>, ChangeError> {
    reader.array_len(PUT_ITEMS as u64, "an operation of 3 items")?;
    let start = reader.position();
    let expected = |what| CborError { at: start, fault: CborFault::Expected(what) };
    let container = Container(
        u8::try_from(reader.uint()?).map_err(|_| expected("a container number below 256"))?,
    );
    let kind = reader.peek();
    let key = match kind {
        ItemKind::Uint if container.is_append_only() => KeyRead::Entry(writer, reader.uint()?),
        ItemKind::Array if container.is_append_only() => {
            reader.array_len(2, "an entry key of 2 items")?;
            // The change's own writer has a shorter form.
            let place = usize::try_from(reader.uint()?).ok().and_then(|index| index.checked_sub(1));
            let other = place.ok_or(ChangeError::NotCanonical)?;
            let other = others.get(other).copied();
            let other = other.ok_or(expected("the index of a writer in the change's table"))?;
            KeyRead::Entry(other, reader.uint()?)
        }
        // Entry keys have a short form.
        ItemKind::Text if container.is_append_only() => return Err(ChangeError::NotCanonical),
        _ => {
            let key = reader.text()?;
            at_most("bytes of a key", key.len(), MAX_KEY)?;
            KeyRead::Text(key)
        }
    };
    let value = reader.item()?;
    at_most("bytes of a value", value.len(), MAX_VALUE)?;
    Ok(OpRead { container, key, value, end: reader.position() })
}

fn in_range<T: Into<i128> + Copy>(
    what: &'static str,
    found: T,
    least: T,
    most: T,
) -> Result<(), ChangeError> {
    let (found, least, most) = (found.into(), least.into(), most.into());
    if (least..=most).contains(&found) {
        Ok(())
    } else {
        Err(ChangeError::OutOfRange { what, found, least, most })
    }
}

#[cfg(test)]
#[path = "change_tests.rs"]
mod tests;
