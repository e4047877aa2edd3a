//! The canonical form of a change: what one writer did at once, as plain puts.
//!
//! Bytes of the document library never travel. A receiver decodes this form and rebuilds the change
//! itself, so an author cannot make a receiver's document library read crafted bytes. There is one
//! encoding of a change; every other one is refused. `docs/bundle-format.md` describes it in CDDL.

use std::collections::{BTreeMap, HashSet};
use std::fmt;
use std::str::FromStr;

use crate::cbor::{Builder, CborError, CborFault, ItemKind, Reader, check_item};
use crate::ids::{ChangeId, Writer, entry_key, parse_entry_key};
use crate::limits::{
    MAX_CHANGE_BYTES, MAX_COUNTER, MAX_DEPS, MAX_KEY, MAX_OPS, MAX_PREDS, MAX_TIME, MAX_VALUE,
    MAX_WRITERS, MIN_TIME, TooLarge, at_most, bounded, is_sorted_unique,
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

    /// Whether this version knows the container.
    pub fn is_known(self) -> bool {
        self.0 <= Self::RETRACTED.0
    }

    /// Whether its keys are entry keys and its values final (no predecessors).
    pub fn is_append_only(self) -> bool {
        self == Self::LOG || self == Self::RETRACTED
    }
}

/// Names one operation: the order follows the counter, then the writer, as in the document library.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct OpId {
    /// Counter of the operation; the first of a change has the change's `start_op`.
    pub counter: u64,
    /// Who wrote it.
    pub writer: Writer,
}

/// Counter and writer, joined by `@`.
impl fmt::Display for OpId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}@{}", self.counter, self.writer)
    }
}

/// A text that names no operation.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("not the name of a write: expected its number, @ and its writer, as it was shown")]
pub struct OpIdError;

impl FromStr for OpId {
    type Err = OpIdError;

    fn from_str(text: &str) -> Result<Self, OpIdError> {
        let (counter, writer) = text.split_once('@').ok_or(OpIdError)?;
        let plain = counter.bytes().all(|byte| byte.is_ascii_digit());
        let counter = counter.parse().ok().filter(|_| plain).ok_or(OpIdError)?;
        Ok(Self { counter, writer: writer.parse().map_err(|_| OpIdError)? })
    }
}

/// One operation: a value is put under a key of a container.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Put {
    /// Where.
    pub container: Container,
    /// The key: an entry key in [`Container::LOG`] and [`Container::RETRACTED`], else any text
    /// without control characters of 1 to [`MAX_KEY`] bytes.
    pub key: String,
    /// One deterministic CBOR item of at most [`MAX_VALUE`] bytes; opaque here.
    pub value: Vec<u8>,
    /// The puts under the same key that this one supersedes: sorted, unique.
    pub pred: Vec<OpId>,
}

/// What one writer did at once.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Change {
    /// Who.
    pub writer: Writer,
    /// The writer's first change has 1, each next one more.
    pub seq: u64,
    /// Counter of the first operation.
    pub start_op: u64,
    /// Stated time, seconds since 1970-01-01T00:00:00Z. Clocks lie; order comes from `deps`.
    pub time: i64,
    /// The changes that this one has seen and that no other one of these has, and the writer's
    /// previous change: sorted, unique.
    pub deps: Vec<ChangeId>,
    /// The operations in order; at least one.
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
        /// Which number.
        what: &'static str,
        /// The number.
        found: i128,
        /// Least accepted.
        least: i128,
        /// Greatest accepted.
        most: i128,
    },
    /// A change does something or does not exist.
    #[error("a change has no operations")]
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
    /// Entries and cross-outs are final.
    #[error("an entry or a cross-out supersedes nothing")]
    Supersedes,
    /// More predecessors than accepted.
    #[error("more than {MAX_PREDS} predecessors")]
    Predecessors,
    /// Predecessors out of order or twice.
    #[error("predecessors are not sorted and unique")]
    PredecessorOrder,
    /// A predecessor is not older than the change.
    #[error("a predecessor's counter is not below the change's first")]
    PredecessorCounter,
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
        in_range("first operation counter", self.start_op, 1, MAX_COUNTER)?;
        in_range("stated time in seconds", self.time, MIN_TIME, MAX_TIME)?;
        at_most("dependencies", self.deps.len(), MAX_DEPS)?;
        at_most("operations", self.ops.len(), MAX_OPS)?;
        if !is_sorted_unique(&self.deps) {
            return Err(ChangeError::Unsorted("dependencies"));
        }
        if self.ops.is_empty() {
            return Err(ChangeError::Empty);
        }
        in_range("last operation counter", self.end_op(), 1, MAX_COUNTER)?;
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
            if !put.pred.is_empty() {
                return Err(OpFault::Supersedes);
            }
        }
        if put.pred.len() > MAX_PREDS {
            return Err(OpFault::Predecessors);
        }
        if !is_sorted_unique(&put.pred) {
            return Err(OpFault::PredecessorOrder);
        }
        if put.pred.iter().any(|pred| pred.counter == 0 || pred.counter >= self.start_op) {
            return Err(OpFault::PredecessorCounter);
        }
        if put.value.len() > MAX_VALUE { Err(OpFault::ValueSize) } else { Ok(()) }
    }

    /// Counter of the last operation.
    pub fn end_op(&self) -> u64 {
        self.start_op.saturating_add((self.ops.len() as u64).saturating_sub(1))
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
        reader.array_len(2 + BODY_ITEMS as u64, "a change of 7 items")?;
        let writer = Writer::from_bytes(reader.array_of("a writer of 16 bytes")?);
        let seq = reader.uint()?;
        let change = Self::decode_body(&mut reader, writer, seq)?;
        reader.end()?;
        Ok(change)
    }

    /// What a change has beside its writer and number.
    fn encode_body(&self, out: &mut Builder) {
        let others = self.other_writers();
        out.uint(self.start_op).int(self.time);
        out.chunks(&self.deps).chunks(&others.keys().copied().collect::<Vec<_>>());
        out.array(self.ops.len());
        // Index 0 is the change's own writer.
        let index = |writer: &Writer| others.get(writer).copied().unwrap_or(0);
        for put in &self.ops {
            out.array(if put.pred.is_empty() { 3 } else { 4 }).uint(u64::from(put.container.0));
            match short_key(put) {
                Some((writer, number)) if writer == self.writer => out.uint(number),
                Some((writer, number)) => out.array(2).uint(index(&writer)).uint(number),
                None => out.text(&put.key),
            };
            out.raw(&put.value);
            if !put.pred.is_empty() {
                out.array(2 * put.pred.len());
                for pred in &put.pred {
                    out.uint(pred.counter).uint(index(&pred.writer));
                }
            }
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
        let start_op = reader.uint()?;
        let time = reader.int()?;
        let deps = reader.chunks("dependencies of 32 bytes each")?;
        let mut writers = vec![writer];
        writers.extend(reader.chunks::<16, Writer>("writers of 16 bytes each")?);
        at_most("other writers", writers.len() - 1, MAX_WRITERS)?;
        let count = bounded("operations", reader.array()?, MAX_OPS)?;
        let mut ops = Vec::new();
        for _ in 0..count {
            ops.push(decode_put(reader, &writers)?);
        }
        let change = Self { writer, seq, start_op, time, deps, ops };
        change.check_rules()?;
        if change.other_writers().keys().eq(writers.iter().skip(1)) {
            Ok(change)
        } else {
            Err(ChangeError::NotCanonical)
        }
    }

    /// The writers named beside the change's own, with their index (from 1) in the change's table.
    fn other_writers(&self) -> BTreeMap<Writer, u64> {
        let mut others = BTreeMap::new();
        for put in &self.ops {
            others.extend(put.pred.iter().map(|pred| (pred.writer, 0)));
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
pub(crate) const BODY_ITEMS: usize = 5;

fn decode_put(reader: &mut Reader<'_>, writers: &[Writer]) -> Result<Put, ChangeError> {
    let start = reader.position();
    let expected = |what| CborError { at: start, fault: CborFault::Expected(what) };
    let named = |index: u64| {
        let known = usize::try_from(index).ok().and_then(|index| writers.get(index));
        known.copied().ok_or(expected("the index of a writer in the change's table"))
    };
    let items = reader.array()?;
    if items != 3 && items != 4 {
        return Err(expected("an operation of 3 or 4 items").into());
    }
    let container = Container(
        u8::try_from(reader.uint()?).map_err(|_| expected("a container number below 256"))?,
    );
    let kind = reader.peek();
    if container.is_append_only() && kind == ItemKind::Text {
        // Entry keys have a short form.
        return Err(ChangeError::NotCanonical);
    }
    let key = match kind {
        ItemKind::Uint if container.is_append_only() => entry_key(&named(0)?, reader.uint()?),
        ItemKind::Array if container.is_append_only() => {
            reader.array_len(2, "an entry key of 2 items")?;
            let index = reader.uint()?;
            if index == 0 {
                // The change's own writer has a shorter one.
                return Err(ChangeError::NotCanonical);
            }
            entry_key(&named(index)?, reader.uint()?)
        }
        _ => {
            let key = reader.text()?;
            at_most("bytes of a key", key.len(), MAX_KEY)?;
            key.to_owned()
        }
    };
    let value = reader.item()?;
    at_most("bytes of a value", value.len(), MAX_VALUE)?;
    let mut pred = Vec::new();
    if items == 4 {
        let count = bounded("predecessors, twice", reader.array()?, 2 * MAX_PREDS)?;
        if count == 0 || count % 2 == 1 {
            return Err(expected("predecessors as pairs").into());
        }
        for _ in 0..count / 2 {
            let counter = reader.uint()?;
            pred.push(OpId { counter, writer: named(reader.uint()?)? });
        }
    }
    Ok(Put { container, key, value: value.to_vec(), pred })
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
