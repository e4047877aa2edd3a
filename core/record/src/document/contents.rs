//! What admitted changes hold, by key: entries, what was crossed out, and the values of registers that
//! nobody has superseded.

use std::ops::Range;
use std::sync::Arc;

use fallaway_changes::cbor::Reader;
use fallaway_changes::{ChangeError, ChangeId, Container, KeyRead, RecordId, Writer, read_ops};
use fallaway_order::Map;

use super::graph::{Graph, NewNode, Node};
use super::op_id::OpId;
use crate::EntryId;

/// Where a value stands: in which change, as which of its operations, in which bytes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Slot {
    /// The position of the change in the graph.
    pub node: u32,
    /// Its place among the operations of the change.
    pub op: u32,
    start: u32,
    end: u32,
}

/// Bytes of which a part holds the operations of a change. The changes of a snapshot share them.
#[derive(Debug, Clone)]
pub(super) struct Stored {
    bytes: Arc<[u8]>,
    start: u32,
    end: u32,
}

impl Stored {
    /// `None` if the range does not lie in the bytes.
    pub(crate) fn new(bytes: Arc<[u8]>, range: Range<usize>) -> Option<Self> {
        bytes.get(range.clone())?;
        let (start, end) = (u32::try_from(range.start).ok()?, u32::try_from(range.end).ok()?);
        Some(Self { bytes, start, end })
    }

    /// The operations, with the writers that they name before them.
    pub(crate) fn operations(&self) -> &[u8] {
        self.bytes.get(self.start as usize..self.end as usize).unwrap_or_default()
    }
}

/// A change on its way into the document. Its dependencies are there.
pub(super) struct Entering {
    pub id: ChangeId,
    pub writer: Writer,
    pub seq: u64,
    pub time: i64,
    /// Positions of the dependencies.
    pub deps: Vec<u32>,
    pub stored: Stored,
}

/// The graph of changes and what they hold.
#[derive(Debug, Clone)]
pub(crate) struct Document {
    pub(super) graph: Graph,
    stored: Vec<Stored>,
    /// By index of the writer.
    entries: Vec<Map<u64, Slot>>,
    retracted: Map<EntryId, Vec<Slot>>,
    registers: Map<(Container, String), Vec<Slot>>,
}

impl Document {
    /// A document that holds nothing but its founding.
    pub(super) fn founded(record: &RecordId) -> Self {
        Self {
            graph: Graph::founded(ChangeId::founding(record)),
            stored: vec![Stored { bytes: Arc::default(), start: 0, end: 0 }],
            entries: vec![Map::new()],
            retracted: Map::new(),
            registers: Map::new(),
        }
    }

    /// Takes a change in. `Ok(None)` if it does not follow its dependencies; nothing was taken then.
    pub(super) fn add(&mut self, entering: Entering) -> Result<Option<u32>, ChangeError> {
        let Entering { id, writer, seq, time, deps, stored } = entering;
        let (base, here) = (stored.start, stored.clone());
        let mut ops = Vec::new();
        read_ops(&mut Reader::new(here.operations()), writer, |op| ops.push(op))?;
        let new = NewNode { id, writer, seq, ops: ops.len() as u32, time, deps };
        let Some(node) = self.graph.add(new) else { return Ok(None) };
        self.stored.push(stored);
        self.entries.resize_with(self.graph.writers().len(), Map::new);
        for (place, op) in (0..).zip(ops) {
            let end = base + op.end as u32;
            let slot = Slot { node, op: place, start: end - op.value.len() as u32, end };
            match op.key {
                KeyRead::Entry(writer, number) if op.container == Container::LOG => {
                    let index = self.graph.writer_index(&writer) as usize;
                    if let Some(own) = self.entries.get_mut(index) {
                        own.insert(number, slot);
                    }
                }
                KeyRead::Entry(writer, number) => {
                    self.retracted.entry(EntryId { writer, number }).or_default().push(slot);
                }
                KeyRead::Text(key) => {
                    let values = self.registers.entry((op.container, key.to_owned())).or_default();
                    // What its writer has seen, it takes the place of.
                    values.retain(|value| !self.graph.has_seen(node, value.node));
                    values.push(slot);
                }
            }
        }
        Ok(Some(node))
    }

    /// The graph of changes.
    pub(crate) const fn graph(&self) -> &Graph {
        &self.graph
    }

    /// The operations of the change at a position, with the writers that they name before them.
    pub(super) fn operations(&self, position: u32) -> &[u8] {
        self.stored.get(position as usize).map_or(&[], Stored::operations)
    }

    /// A value.
    pub(crate) fn value(&self, slot: Slot) -> &[u8] {
        let stored = self.stored.get(slot.node as usize);
        let value = stored.and_then(|own| own.bytes.get(slot.start as usize..slot.end as usize));
        value.unwrap_or_default()
    }

    /// The change that put a value.
    pub(crate) fn node(&self, slot: Slot) -> Option<&Node> {
        self.graph.node(slot.node)
    }

    /// The name of the operation that put a value.
    pub(crate) fn op_id(&self, slot: Slot) -> Option<OpId> {
        let node = self.node(slot)?;
        let writer = *self.graph.writers().get(node.writer as usize)?;
        Some(OpId { counter: node.start_op + u64::from(slot.op), writer })
    }

    /// The values of a register that nobody has superseded, in no order.
    pub(crate) fn register(&self, container: Container, key: &str) -> &[Slot] {
        self.registers.get(&(container, key.to_owned())).map_or(&[], Vec::as_slice)
    }

    /// The keys of every register.
    pub(crate) fn registers(&self) -> impl Iterator<Item = (Container, &str)> {
        self.registers.keys().map(|(container, key)| (*container, key.as_str()))
    }

    /// One entry.
    pub(super) fn entry(&self, id: EntryId) -> Option<Slot> {
        self.entries.get(self.graph.writer_index(&id.writer) as usize)?.get(&id.number).copied()
    }

    /// Every entry.
    pub(crate) fn entries(&self) -> impl Iterator<Item = (EntryId, Slot)> {
        self.graph.writers().iter().zip(&self.entries).flat_map(|(writer, own)| {
            own.iter().map(|(number, slot)| (EntryId::new(*writer, *number), *slot))
        })
    }

    /// The greatest number that a writer has given to an entry; 0 if none.
    pub(super) fn highest_number(&self, writer: &Writer) -> u64 {
        let own = self.entries.get(self.graph.writer_index(writer) as usize);
        own.and_then(|own| own.last_key_value()).map_or(0, |(number, _)| *number)
    }

    /// Crossings out of one entry.
    pub(super) fn retractions_of(&self, id: EntryId) -> &[Slot] {
        self.retracted.get(&id).map_or(&[], Vec::as_slice)
    }

    /// Every entry that was crossed out, with the crossings out.
    pub(crate) fn retractions(&self) -> impl Iterator<Item = (EntryId, &[Slot])> {
        self.retracted.iter().map(|(id, slots)| (*id, slots.as_slice()))
    }
}
