//! Everything in a record, entries in order.

use std::cmp::Reverse;
use std::collections::{BinaryHeap, HashMap, HashSet};
use std::sync::Arc;

use fallaway_changes::{ChangeId, Container, Put, Writer};
use fallaway_order::{Map, OneByOne as _, PutInOrder as _};

use crate::document::{Document, Graph, VectorClock};
use crate::entry::{Entry, EntryBody};
use crate::registers::Registers;
use crate::{EntryId, InstrumentSpec, Moment, Retraction};

/// An entry in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// The entry as it was written.
    pub entry: Entry,
    /// The change that brought it; `None` in a draft.
    pub change: Option<ChangeId>,
    /// Its stated time lies more than a day before something that its writer had seen: one of the
    /// two clocks is wrong. Noted, never corrected.
    pub clock_doubtful: bool,
    /// Index of the change in the graph; unused in a draft.
    node: u32,
    /// Place among the operations of its change, or within the draft.
    op: u32,
}

/// A crossing out.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedRetraction {
    /// Who crossed it out.
    pub writer: Writer,
    /// When and why; `None` if a newer version wrote it in another form.
    pub retraction: Option<Retraction>,
    /// Whether it stands in a draft.
    pub draft: bool,
}

/// How far a stated time may lie behind what its writer had seen, in seconds: one day. An entry may
/// honestly be written down some hours after the fact.
const CLOCK_DOUBT_S: i64 = 86_400;

/// Entries of the document in order, and what tells which came before which.
#[derive(Debug, Default)]
struct Log {
    placed: Vec<Placed>,
    index: HashMap<EntryId, usize>,
    /// By remark the last one in order that corrects it.
    corrected: HashMap<EntryId, EntryId>,
    /// Writer, sequence number and past of each change.
    changes: Vec<(u32, u32, VectorClock)>,
}

/// Everything in a record: registers, entries in order, what was crossed out.
///
/// The order follows causality. Where causality is silent it follows the stated time, then the
/// entry's id; so it is the same on every device that has the same changes.
#[derive(Debug, Clone)]
pub struct State {
    registers: Registers,
    log: Arc<Log>,
    draft: Vec<Placed>,
    corrected_in_draft: Map<EntryId, EntryId>,
    retracted: Map<EntryId, Vec<PlacedRetraction>>,
}

impl State {
    pub(crate) fn read(document: &Document, registers: Registers) -> Self {
        let mut retracted = Map::new();
        for (id, slots) in document.retractions() {
            let placed = slots.iter().filter_map(|slot| {
                let op = document.op_id(*slot)?;
                let retraction = minicbor::decode(document.value(*slot)).ok();
                Some((op, PlacedRetraction { writer: op.writer, retraction, draft: false }))
            });
            // In whatever order they arrived.
            let in_order: Map<_, _> = placed.in_map();
            retracted.insert(id, in_order.into_values().collect());
        }
        Self {
            registers,
            log: Arc::new(Log::read(document)),
            draft: Vec::new(),
            corrected_in_draft: Map::new(),
            retracted,
        }
    }

    /// The same with the operations of an unsealed draft on top. Its entries come after everything.
    #[must_use]
    pub fn with_draft(&self, draft: &[Put], writer: Writer, time: i64) -> Self {
        let mut with = self.clone();
        with.registers = self.registers.with_draft(draft, writer, time).into_owned();
        for (op, put) in (0..).zip(draft) {
            let Ok(id) = put.key.parse::<EntryId>() else { continue };
            match put.container {
                Container::LOG => {
                    let entry = decode(id, &put.value, time);
                    with.corrected_in_draft.extend(correction(&entry));
                    with.draft.push(Placed {
                        entry,
                        change: None,
                        clock_doubtful: false,
                        node: 0,
                        op,
                    });
                }
                Container::RETRACTED => {
                    with.retracted.entry(id).or_default().push(PlacedRetraction {
                        writer,
                        retraction: minicbor::decode(&put.value).ok(),
                        draft: true,
                    });
                }
                _ => {}
            }
        }
        with
    }

    /// Registers: what the instrument is, setups, contested values.
    pub const fn registers(&self) -> &Registers {
        &self.registers
    }

    /// What the instrument is.
    pub const fn spec(&self) -> &InstrumentSpec {
        self.registers.spec()
    }

    /// Every entry in order, those that were crossed out too.
    pub fn entries(&self) -> impl DoubleEndedIterator<Item = &Placed> {
        self.log.placed.iter().chain(&self.draft)
    }

    /// The entries that come before this one, in order; `None` if it is not here.
    pub fn entries_before(&self, id: EntryId) -> Option<impl DoubleEndedIterator<Item = &Placed>> {
        let drafted = || self.draft.iter().position(|placed| placed.entry.id == id);
        let place = match self.log.index.get(&id) {
            Some(place) => *place,
            None => self.log.placed.len() + drafted()?,
        };
        let (log, draft) = match place.checked_sub(self.log.placed.len()) {
            Some(drafted) => (self.log.placed.get(..), self.draft.get(..drafted)),
            None => (self.log.placed.get(..place), None),
        };
        Some(log.unwrap_or_default().iter().chain(draft.unwrap_or_default()))
    }

    /// The entry of this id, of the record or of the draft, crossed out or not; `None` if it is not
    /// here.
    pub fn get(&self, id: EntryId) -> Option<&Placed> {
        let sealed = self.log.index.get(&id).and_then(|place| self.log.placed.get(*place));
        sealed.or_else(|| self.draft.iter().find(|placed| placed.entry.id == id))
    }

    /// Who crossed an entry out, and why; empty if nobody did.
    pub fn retractions(&self, id: EntryId) -> &[PlacedRetraction] {
        self.retracted.get(&id).map_or(&[], Vec::as_slice)
    }

    /// Whether an entry was crossed out.
    pub fn is_retracted(&self, id: EntryId) -> bool {
        !self.retractions(id).is_empty()
    }

    /// Entries of a visit in order, its opening not among them.
    pub fn of_visit(&self, visit: EntryId) -> impl Iterator<Item = &Placed> {
        self.entries().filter(move |placed| placed.entry.visit == Some(visit))
    }

    /// The remark that corrects this one, the last in order if several do.
    pub fn replaced_by(&self, id: EntryId) -> Option<EntryId> {
        self.corrected_in_draft.get(&id).or_else(|| self.log.corrected.get(&id)).copied()
    }

    /// Whether whoever wrote `second` had seen `first`. False for entries that are not here.
    ///
    /// Entries of one change follow each other in the order of writing. Everything in a draft
    /// follows everything in the document.
    pub fn precedes(&self, first: EntryId, second: EntryId) -> bool {
        let (Some(first), Some(second)) = (self.get(first), self.get(second)) else {
            return false;
        };
        self.placed_precedes(first, second)
    }

    /// As [`State::precedes`], for entries at hand.
    pub fn placed_precedes(&self, first: &Placed, second: &Placed) -> bool {
        match (first.change, second.change) {
            (Some(_), None) => true,
            (None, Some(_)) => false,
            (None, None) => first.op < second.op,
            (Some(_), Some(_)) if first.node == second.node => first.op < second.op,
            (Some(_), Some(_)) => self.log.has_seen(second.node, first.node),
        }
    }
}

impl Log {
    /// Whether the change at `later` has the one at `earlier` in its past.
    fn has_seen(&self, later: u32, earlier: u32) -> bool {
        let (earlier, later) =
            (self.changes.get(earlier as usize), self.changes.get(later as usize));
        let (Some((writer, seq, _)), Some((own, last, clock))) = (earlier, later) else {
            return false;
        };
        if writer == own { seq <= last } else { *seq <= clock.get(*writer) }
    }

    fn read(document: &Document) -> Self {
        let graph = document.graph();
        let mut by_node: Vec<Vec<Placed>> = Vec::new();
        by_node.resize_with(graph.nodes().len(), Vec::new);
        let seen = graph.latest_seen();
        for (id, slot) in document.entries() {
            let (position, Some(node)) = (slot.node, document.node(slot)) else { continue };
            let entry = decode(id, document.value(slot), node.time);
            let latest = seen.get(position as usize).copied().unwrap_or(i64::MIN);
            let placed = Placed {
                clock_doubtful: entry.at.unix_s.saturating_add(CLOCK_DOUBT_S) < latest,
                entry,
                change: Some(node.id),
                node: position,
                op: slot.op,
            };
            if let Some(own) = by_node.get_mut(position as usize) {
                own.push(placed);
            }
        }
        let mut placed = in_order(graph, by_node);
        leave_once(&mut placed);
        let index =
            placed.iter().enumerate().map(|(place, placed)| (placed.entry.id, place)).collect();
        let corrected = placed.iter().filter_map(|placed| correction(&placed.entry)).collect();
        Self {
            placed,
            index,
            corrected,
            changes: (graph.nodes().iter())
                .map(|node| (node.writer, node.seq, node.clock.clone()))
                .collect(),
        }
    }
}

/// What says again an entry that is here, or the same as another that says it again, is left out.
fn leave_once(placed: &mut Vec<Placed>) {
    let mut again: Vec<&Entry> =
        placed.iter().map(|one| &one.entry).filter(|entry| entry.again.is_some()).collect();
    if again.is_empty() {
        return;
    }
    again.put_in_order_by_key(|entry| entry.id);
    // A copied device gives one name to two entries: it is the same only if it says the same.
    let mut said: HashMap<EntryId, Vec<&Entry>> = HashMap::new();
    let firsts: HashSet<EntryId> = again.iter().filter_map(|entry| entry.again).collect();
    for entry in placed.iter().map(|one| &one.entry).filter(|entry| firsts.contains(&entry.id)) {
        said.entry(entry.id).or_default().push(entry);
    }
    let mut gone: HashSet<EntryId> = HashSet::new();
    for entry in again {
        let Some(first) = entry.again else { continue };
        let others = said.entry(first).or_default();
        if others.iter().any(|other| other.at == entry.at && other.body == entry.body) {
            gone.insert(entry.id);
        } else {
            others.push(entry);
        }
    }
    placed.retain(|one| !gone.contains(&one.entry.id));
}

/// The remark that an entry corrects, and the entry.
fn correction(entry: &Entry) -> Option<(EntryId, EntryId)> {
    match &entry.body {
        EntryBody::Remark(remark) => Some((remark.replaces?, entry.id)),
        _ => None,
    }
}

/// What the rules let in always decodes; anything else is shown as of a newer version.
fn decode(id: EntryId, value: &[u8], time: i64) -> Entry {
    Entry::decode(id, value).unwrap_or_else(|_| Entry {
        newer: true,
        ..Entry::new(
            id,
            Moment { unix_s: time, offset_min: 0 },
            EntryBody::Unknown { kind: 0, raw: value.to_vec() },
        )
    })
}

/// Puts entries into one order: a change follows its dependencies, entries of a change follow each
/// other, and of all that may come next the one with the least stated time, then id, does.
fn in_order(graph: &Graph, mut by_node: Vec<Vec<Placed>>) -> Vec<Placed> {
    let mut open: Vec<usize> = graph.nodes().iter().map(|node| node.deps.len()).collect();
    let mut followers: Vec<Vec<u32>> = vec![Vec::new(); open.len()];
    for (position, node) in (0_u32..).zip(graph.nodes()) {
        for dep in &node.deps {
            if let Some(own) = followers.get_mut(*dep as usize) {
                own.push(position);
            }
        }
    }
    for own in &mut by_node {
        // Last first, so that the next one is popped off the end.
        own.put_in_order_by_key(|placed| Reverse(placed.op));
    }
    let mut order = Vec::with_capacity(by_node.iter().map(Vec::len).sum());
    let mut next = BinaryHeap::new();
    // Changes of which every dependency is placed.
    let mut ready: Vec<u32> =
        (0_u32..).zip(&open).filter(|(_, count)| **count == 0).map(|(node, _)| node).collect();
    loop {
        while let Some(node) = ready.pop() {
            if let Some(first) = by_node.get(node as usize).and_then(|own| own.last()) {
                next.push(Reverse((first.entry.at.unix_s, first.entry.id, node)));
                continue;
            }
            for follower in followers.get(node as usize).into_iter().flatten() {
                if let Some(count) = open.get_mut(*follower as usize) {
                    *count -= 1;
                    if *count == 0 {
                        ready.push(*follower);
                    }
                }
            }
        }
        let Some(Reverse((_, _, node))) = next.pop() else { break };
        order.extend(by_node.get_mut(node as usize).and_then(Vec::pop));
        ready.push(node);
    }
    order
}
