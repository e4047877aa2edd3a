//! The rules that a change must keep to be admitted.
//!
//! They are deterministic: they look at the change and its past only, never at a clock or at what
//! else a device happens to have, so every device admits the same changes.

use std::collections::{BTreeSet, HashMap, HashSet};
use std::sync::Arc;

use fallaway_changes::limits::MAX_PREDS;
use fallaway_changes::{Change, ChangeId, Container, OpId, Put, VerifiedChange};

use super::access;
use super::clock::Clock;
use super::contents::Document;
use super::graph::{Graph, NewNode};
use super::rebuild::Wide;
use crate::entry::{Entry, EntryError};

/// Why a change is not admitted.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// Changes that it depends on are not here yet. Keep it and try again.
    #[error("{} changes that it depends on are missing", .0.len())]
    Missing(Vec<ChangeId>),
    /// It writes into a container of a newer version. Keep it for a newer library.
    #[error("it writes into part {0} of the record, which only a newer version knows")]
    UnknownContainer(u8),
    /// It names no dependency: not even the founding of the record.
    #[error("it depends on nothing, so it belongs to no record")]
    NoDependencies,
    /// The writer of zeros founds records and writes nothing else.
    #[error("the writer of sixteen zero bytes is reserved")]
    ReservedWriter,
    /// The writer's changes are numbered without gaps.
    #[error("change {found} of its writer does not follow change {before}")]
    Sequence {
        /// The number of the writer's last change.
        before: u64,
        /// The number of this one.
        found: u64,
    },
    /// The writer has another change with this number.
    #[error("its writer has another change number {seq}: {ours}")]
    Fork {
        /// The number that both have.
        seq: u64,
        /// The one that is in the record.
        ours: ChangeId,
    },
    /// A change names its writer's previous one.
    #[error("it does not name its writer's previous change {previous} as a dependency")]
    Unchained {
        /// The previous change.
        previous: ChangeId,
    },
    /// Operations are counted on from the greatest in the past.
    #[error("its first operation is numbered {found}, not {expected}")]
    StartOp {
        /// One more than the greatest in its past.
        expected: u64,
        /// What it says.
        found: u64,
    },
    /// The entry is already there, and entries never change.
    #[error("entry {key} already exists")]
    EntryExists {
        /// Its key.
        key: String,
    },
    /// The value of an entry lacks what every version writes.
    #[error("entry {key}: {error}")]
    Entry {
        /// Its key.
        key: String,
        /// What is wrong with it.
        error: EntryError,
    },
    /// A register write supersedes exactly the values that its writer could see: it names them, of
    /// more than [`MAX_PREDS`] the lowest.
    #[error(
        "the write to {key} supersedes {} values, but {} were visible to its writer",
        .found.len(),
        .visible.len()
    )]
    Predecessors {
        /// Which container.
        container: Container,
        /// Which key.
        key: String,
        /// What it supersedes.
        found: Vec<OpId>,
        /// What was visible.
        visible: Vec<OpId>,
    },
    /// A version of the format is not a number above zero.
    #[error("{key} of the format is not a whole number from 1")]
    Format {
        /// Which key.
        key: String,
    },
    /// The document library did not take it, or could not read back what it made of it.
    #[error("the document does not take it: {reason}")]
    Document {
        /// What the library said.
        reason: String,
    },
}

impl Refusal {
    /// Whether the change may be admitted later: it should be kept and tried again.
    pub fn is_waiting(&self) -> bool {
        matches!(self, Self::Missing(_) | Self::UnknownContainer(_))
    }
}

/// A change that has passed, as the graph will know it.
pub(super) struct Passed {
    pub node: NewNode,
    base: Arc<Base>,
    wide: Wide,
}

/// The part of the document in the past of a change of the round.
struct Base {
    number: usize,
    /// Positions of the newest changes in it.
    heads: Vec<u32>,
}

/// Changes of a round that have passed. They are in the graph and not in the document yet.
pub(super) struct Pending<'a> {
    /// How many changes the document has, and its newest ones.
    document: u32,
    heads: Vec<u32>,
    bases: Vec<Arc<Base>>,
    next_base: usize,
    /// Register writes of the round: for each key and writer the numbers of the changes, rising.
    writes: HashMap<(Container, &'a str), HashMap<u32, Vec<Write>>>,
    /// What was visible in the document under a key, by base.
    visible: HashMap<(usize, Container, &'a str), Vec<OpId>>,
    entries: HashSet<&'a str>,
}

struct Write {
    seq: u32,
    position: u32,
    op: OpId,
}

impl<'a> Pending<'a> {
    pub fn new(graph: &Graph) -> Self {
        Self {
            document: graph.nodes().len() as u32,
            heads: graph.head_positions().collect(),
            bases: Vec::new(),
            next_base: 0,
            writes: HashMap::new(),
            visible: HashMap::new(),
            entries: HashSet::new(),
        }
    }

    /// Takes in a change that has passed and that the graph has at this position.
    fn push(&mut self, graph: &Graph, position: u32, change: &'a Change, base: Arc<Base>) {
        self.bases.push(base);
        let Some(node) = graph.node(position) else { return };
        for (counter, put) in (change.start_op..).zip(&change.ops) {
            if put.container == Container::LOG {
                self.entries.insert(&put.key);
            } else if !put.container.is_append_only() {
                let op = OpId { counter, writer: change.writer };
                let of_key = self.writes.entry((put.container, &put.key)).or_default();
                let write = Write { seq: node.seq, position, op };
                of_key.entry(node.writer).or_default().push(write);
            }
        }
    }

    /// The part of the document in the past of a change with these dependencies. Changes that follow
    /// each other share it.
    fn base(&mut self, graph: &Graph, deps: &[u32]) -> Arc<Base> {
        let inside = |dep: &&u32| **dep < self.document;
        let mut bases: Vec<&Arc<Base>> = Vec::new();
        for dep in deps.iter().filter(|dep| !inside(dep)) {
            let base = self.bases.get((dep - self.document) as usize);
            bases.extend(base.filter(|base| bases.iter().all(|one| one.number != base.number)));
        }
        let loose: Vec<u32> = deps.iter().filter(inside).copied().collect();
        // Nothing new beside the one base that all of them share.
        if let [only] = bases.as_slice() {
            if loose.is_empty() {
                return Arc::clone(only);
            }
            let later = deps.iter().filter(|dep| !inside(dep)).filter_map(|dep| graph.node(*dep));
            let mut seen = Clock::default();
            later.for_each(|node| {
                seen.join(&node.clock);
                seen.raise(node.writer, node.seq);
            });
            let known =
                |dep: &u32| graph.node(*dep).is_some_and(|node| seen.get(node.writer) >= node.seq);
            if loose.iter().all(known) {
                return Arc::clone(only);
            }
        }
        let all: BTreeSet<u32> =
            bases.iter().flat_map(|base| &base.heads).chain(&loose).copied().collect();
        let mut seen = Clock::default();
        for node in all.iter().filter_map(|head| graph.node(*head)) {
            seen.join(&node.clock);
            seen.raise(node.writer, node.seq - 1);
        }
        let newest =
            |head: &u32| graph.node(*head).is_some_and(|node| seen.get(node.writer) < node.seq);
        let number = self.next_base;
        self.next_base += 1;
        Arc::new(Base { number, heads: all.into_iter().filter(newest).collect() })
    }

    /// The operations under a key that the writer of a change could see: those visible in the document
    /// at its base, and of each writer of the round the last that it had seen, less those that one of
    /// these had seen itself and so superseded.
    fn visible_at(
        &mut self,
        document: &Document,
        base: &Base,
        seen: &Clock,
        put: &'a Put,
    ) -> Vec<OpId> {
        let graph = &document.graph;
        let key = (put.container, put.key.as_str());
        let before = self.visible.entry((base.number, key.0, key.1)).or_insert_with(|| {
            if base.heads == self.heads {
                document.visible(put.container, &put.key)
            } else {
                document.visible_at(put.container, &put.key, &base.heads)
            }
        });
        let mut last = Vec::new();
        for (writer, writes) in self.writes.get(&key).into_iter().flatten() {
            count_step();
            let known = seen.get(*writer);
            let place = writes.partition_point(|write| write.seq <= known);
            last.extend(place.checked_sub(1).and_then(|place| writes.get(place)));
        }
        let mut superseded = Clock::default();
        for node in last.iter().filter_map(|write| graph.node(write.position)) {
            superseded.join(&node.clock);
            superseded.raise(node.writer, node.seq - 1);
        }
        let mut visible: Vec<OpId> = Vec::new();
        for op in before.iter() {
            count_step();
            let node = graph.of_op(&op.writer, op.counter).and_then(|node| graph.node(node));
            if node.is_some_and(|node| superseded.get(node.writer) < node.seq) {
                visible.push(*op);
            }
        }
        for write in last {
            let node = graph.node(write.position);
            if node.is_some_and(|node| superseded.get(node.writer) < node.seq) {
                visible.push(write.op);
            }
        }
        visible.sort_unstable();
        visible
    }
}

/// Checks a change against a record and what is about to be added to it, which is in the graph
/// already.
pub(super) fn check<'a>(
    document: &Document,
    pending: &mut Pending<'a>,
    change: &'a VerifiedChange,
) -> Result<Passed, Refusal> {
    if change.writer.as_bytes() == &[0; fallaway_changes::Writer::LEN] {
        return Err(Refusal::ReservedWriter);
    }
    if change.deps.is_empty() {
        return Err(Refusal::NoDependencies);
    }
    let graph = &document.graph;
    let deps: Vec<u32> = change.deps.iter().filter_map(|dep| graph.position(dep)).collect();
    if deps.len() != change.deps.len() {
        let missing = change.deps.iter().filter(|dep| !graph.contains(dep));
        return Err(Refusal::Missing(missing.copied().collect()));
    }
    check_chain(graph, change)?;
    check_start(graph, &deps, change)?;
    if let Some(put) = change.ops.iter().find(|put| !put.container.is_known()) {
        return Err(Refusal::UnknownContainer(put.container.0));
    }
    let base = pending.base(graph, &deps);
    let mut seen = graph.clock_after(&deps);
    seen.raise(graph.writer_index(&change.writer), change.seq.saturating_sub(1) as u32);
    let mut wide = Wide::new();
    for (place, put) in change.ops.iter().enumerate() {
        match put.container {
            Container::LOG => check_entry(document, pending, put)?,
            Container::RETRACTED => {}
            _ => {
                if put.container == Container::FORMAT {
                    check_format(put)?;
                }
                let visible = pending.visible_at(document, &base, &seen, put);
                if !visible.iter().take(MAX_PREDS).eq(&put.pred) {
                    return Err(Refusal::Predecessors {
                        container: put.container,
                        key: put.key.clone(),
                        found: put.pred.clone(),
                        visible,
                    });
                }
                if visible.len() > MAX_PREDS {
                    wide.insert(place, visible);
                }
            }
        }
    }
    let node = NewNode {
        id: change.id(),
        // Known when it is built, after every check.
        library: [0; 32],
        writer: change.writer,
        seq: change.seq,
        start_op: change.start_op,
        max_op: change.end_op(),
        time: change.time,
        deps,
    };
    Ok(Passed { node, base, wide })
}

impl Passed {
    /// Puts the change into the graph, so that what follows it can be checked, and tells what it
    /// supersedes beyond what it names. `None` if it does not follow its dependencies, which the
    /// check excludes.
    pub fn enter<'a>(
        self,
        graph: &mut Graph,
        pending: &mut Pending<'a>,
        change: &'a VerifiedChange,
    ) -> Option<Wide> {
        let position = graph.add(self.node)?;
        pending.push(graph, position, change, self.base);
        Some(self.wide)
    }
}

fn check_chain(graph: &Graph, change: &Change) -> Result<(), Refusal> {
    let before = graph.last_of(&change.writer).map_or(0, |node| u64::from(node.seq));
    if change.seq <= before {
        return Err(match graph.of_seq(&change.writer, change.seq) {
            Some(ours) => Refusal::Fork { seq: change.seq, ours: ours.id },
            None => Refusal::Sequence { before, found: change.seq },
        });
    }
    if change.seq != before + 1 {
        return Err(Refusal::Sequence { before, found: change.seq });
    }
    match graph.of_seq(&change.writer, before) {
        Some(last) if !change.deps.contains(&last.id) => {
            Err(Refusal::Unchained { previous: last.id })
        }
        _ => Ok(()),
    }
}

fn check_start(graph: &Graph, deps: &[u32], change: &Change) -> Result<(), Refusal> {
    // Counters grow along every path, so the direct dependencies hold the greatest of the past.
    let greatest = deps.iter().filter_map(|dep| graph.node(*dep)).map(|node| node.max_op).max();
    let expected = greatest.unwrap_or(0) + 1;
    if change.start_op == expected {
        Ok(())
    } else {
        Err(Refusal::StartOp { expected, found: change.start_op })
    }
}

fn check_entry(document: &Document, pending: &Pending<'_>, put: &Put) -> Result<(), Refusal> {
    if pending.entries.contains(put.key.as_str()) || document.has_key(put.container, &put.key) {
        return Err(Refusal::EntryExists { key: put.key.clone() });
    }
    Entry::check(&put.value).map_err(|error| Refusal::Entry { key: put.key.clone(), error })
}

fn check_format(put: &Put) -> Result<(), Refusal> {
    let known = put.key == access::MIN_READER || put.key == access::MIN_WRITER;
    if known && access::version(&put.value).is_none() {
        return Err(Refusal::Format { key: put.key.clone() });
    }
    Ok(())
}

#[cfg(test)]
thread_local! {
    /// Operations that were looked at to find what is visible.
    pub(super) static STEPS: std::cell::Cell<u64> = const { std::cell::Cell::new(0) };
}

/// Counts one operation that was looked at, for the test that their number stays in proportion.
fn count_step() {
    #[cfg(test)]
    STEPS.set(STEPS.get() + 1);
}
