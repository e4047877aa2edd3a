//! The rules that a change must keep to be admitted.
//!
//! They are deterministic: they look at the change and its past only, never at a clock or at what
//! else a device happens to have, so every device admits the same changes.

use std::collections::{BTreeSet, HashMap, HashSet};

use fallaway_changes::{Change, ChangeError, ChangeHash, Container, OpId, Put, Writer};

use super::record::Record;
use super::{access, rebuild};
use crate::entry::{Entry, EntryError};

/// Why a change is not admitted.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// Changes that it depends on are not here yet. Keep it and try again.
    #[error("{} changes that it depends on are missing", .0.len())]
    Missing(Vec<ChangeHash>),
    /// It writes into a container of a newer version. Keep it for a newer library.
    #[error("it writes into part {0} of the record, which only a newer version knows")]
    UnknownContainer(u8),
    /// It breaks a rule that needs no record to see.
    #[error(transparent)]
    Malformed(#[from] ChangeError),
    /// The change that was rebuilt does not have the stated hash.
    #[error("its hash is {found}, not {stated} as stated")]
    Hash {
        /// What was stated.
        stated: ChangeHash,
        /// What it is.
        found: ChangeHash,
    },
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
        ours: ChangeHash,
    },
    /// A change names its writer's previous one.
    #[error("it does not name its writer's previous change {previous} as a dependency")]
    Unchained {
        /// The previous change.
        previous: ChangeHash,
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
    /// A register write supersedes exactly the values that its writer could see.
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

/// Changes of a round that have passed and are not in the document yet.
#[derive(Default)]
pub(super) struct Pending<'a> {
    changes: HashMap<ChangeHash, &'a Change>,
    last: HashMap<Writer, (u64, ChangeHash)>,
    entries: HashSet<&'a str>,
}

impl<'a> Pending<'a> {
    pub fn push(&mut self, hash: ChangeHash, change: &'a Change) {
        self.changes.insert(hash, change);
        self.last.insert(change.writer, (change.seq, hash));
        let keys = change.ops.iter().filter(|put| put.container == Container::LOG);
        self.entries.extend(keys.map(|put| put.key.as_str()));
    }

    pub fn contains(&self, hash: &ChangeHash) -> bool {
        self.changes.contains_key(hash)
    }

    /// The pending part of the past of these changes, themselves included.
    fn past(&self, of: &[ChangeHash]) -> HashMap<ChangeHash, &'a Change> {
        let mut past = HashMap::new();
        let mut stack = of.to_vec();
        while let Some(hash) = stack.pop() {
            if let Some(change) = self.changes.get(&hash)
                && past.insert(hash, *change).is_none()
            {
                stack.extend(&change.deps);
            }
        }
        past
    }
}

/// Checks a change against a record and what is about to be added to it.
pub(super) fn check(
    record: &Record,
    pending: &Pending<'_>,
    change: &Change,
) -> Result<(), Refusal> {
    if change.writer.as_bytes() == &[0; Writer::LEN] {
        return Err(Refusal::ReservedWriter);
    }
    if change.deps.is_empty() {
        return Err(Refusal::NoDependencies);
    }
    let graph = record.graph();
    let missing: Vec<_> = change
        .deps
        .iter()
        .filter(|dep| !graph.contains(dep) && !pending.contains(dep))
        .copied()
        .collect();
    if !missing.is_empty() {
        return Err(Refusal::Missing(missing));
    }
    check_chain(record, pending, change)?;
    check_start(record, pending, change)?;
    if let Some(put) = change.ops.iter().find(|put| !rebuild::is_known(put.container)) {
        return Err(Refusal::UnknownContainer(put.container.0));
    }
    let mut past = None;
    for put in &change.ops {
        match put.container {
            Container::LOG => check_entry(record, pending, put)?,
            Container::STRUCK => {}
            _ => {
                if put.container == Container::FORMAT {
                    check_format(put)?;
                }
                let past = past.get_or_insert_with(|| pending.past(&change.deps));
                let visible = visible_at(record, past, change, put);
                if visible != put.pred {
                    return Err(Refusal::Predecessors {
                        container: put.container,
                        key: put.key.clone(),
                        found: put.pred.clone(),
                        visible,
                    });
                }
            }
        }
    }
    Ok(())
}

fn check_chain(record: &Record, pending: &Pending<'_>, change: &Change) -> Result<(), Refusal> {
    let graph = record.graph();
    let before = match pending.last.get(&change.writer) {
        Some((seq, _)) => *seq,
        None => graph.last_of(&change.writer).map_or(0, |node| u64::from(node.seq)),
    };
    let in_graph = |seq| graph.of_seq(&change.writer, seq).map(|node| node.hash);
    let of_seq = |seq: u64| match pending.last.get(&change.writer) {
        Some((last, hash)) if *last == seq => Some(*hash),
        _ => in_graph(seq),
    };
    if change.seq <= before {
        // A pending change that is not the last one of its writer still refuses this one.
        return Err(match of_seq(change.seq) {
            Some(ours) => Refusal::Fork { seq: change.seq, ours },
            None => Refusal::Sequence { before, found: change.seq },
        });
    }
    if change.seq != before + 1 {
        return Err(Refusal::Sequence { before, found: change.seq });
    }
    match of_seq(before) {
        Some(previous) if !change.deps.contains(&previous) => Err(Refusal::Unchained { previous }),
        _ => Ok(()),
    }
}

fn check_start(record: &Record, pending: &Pending<'_>, change: &Change) -> Result<(), Refusal> {
    // Counters grow along every path, so the direct dependencies hold the greatest of the past.
    let greatest = change.deps.iter().filter_map(|dep| {
        let in_round = pending.changes.get(dep).map(|change| change.end_op());
        in_round.or_else(|| record.graph().get(dep).map(|node| node.max_op))
    });
    let expected = greatest.max().unwrap_or(0) + 1;
    if change.start_op == expected {
        Ok(())
    } else {
        Err(Refusal::StartOp { expected, found: change.start_op })
    }
}

fn check_entry(record: &Record, pending: &Pending<'_>, put: &Put) -> Result<(), Refusal> {
    if pending.entries.contains(put.key.as_str()) || record.has_key(put.container, &put.key) {
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

/// The operations under a key that the writer of a change could see: those visible in the document
/// at its dependencies, less what pending changes of its past supersede, and those of the pending
/// ones that are not superseded.
fn visible_at(
    record: &Record,
    past: &HashMap<ChangeHash, &Change>,
    change: &Change,
    put: &Put,
) -> Vec<OpId> {
    let pending_deps = past.values().flat_map(|change| &change.deps);
    let base: BTreeSet<ChangeHash> = change
        .deps
        .iter()
        .chain(pending_deps)
        .filter(|dep| record.graph().contains(dep))
        .copied()
        .collect();
    let base: Vec<_> = base.into_iter().collect();
    let mut visible: BTreeSet<OpId> =
        record.op_ids_at(put.container, &put.key, &base).into_iter().collect();
    let mut superseded = BTreeSet::new();
    for change in past.values() {
        for (counter, other) in (change.start_op..).zip(&change.ops) {
            if other.container == put.container && other.key == put.key {
                visible.insert(OpId { counter, writer: change.writer });
                superseded.extend(other.pred.iter().copied());
            }
        }
    }
    visible.difference(&superseded).copied().collect()
}
