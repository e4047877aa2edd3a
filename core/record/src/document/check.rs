//! The rules that a change must keep to be admitted.
//!
//! They are deterministic: they look at the change and its past only, never at a clock or at what
//! else a device happens to have, so every device admits the same changes.

use fallaway_changes::{Change, ChangeId, Container, Put};

use super::access;
use super::contents::Document;
use super::graph::{FOUNDER, Graph};
use crate::EntryId;
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
    /// The entry is already there, and entries never change.
    #[error("entry {key} already exists")]
    EntryExists {
        /// The key of the entry, which is its id.
        key: String,
    },
    /// The value of an entry lacks what every version writes.
    #[error("entry {key}: {error}")]
    Entry {
        /// The key of the entry, which is its id.
        key: String,
        /// What is wrong with it.
        error: EntryError,
    },
    /// What a verified change cannot be: its operations are not read as they were before.
    #[error("it is not read as it was verified")]
    Unread,
    /// A version of the format is not a number above zero.
    #[error("{key} of the format is not a whole number from 1")]
    Format {
        /// Which key of the format it is.
        key: String,
    },
}

impl Refusal {
    /// Whether the change may be admitted later: it should be kept and tried again.
    pub fn is_waiting(&self) -> bool {
        matches!(self, Self::Missing(_) | Self::UnknownContainer(_))
    }
}

/// Checks a change against what is in the document. It gives the positions of its dependencies.
pub(super) fn check(document: &Document, change: &Change) -> Result<Vec<u32>, Refusal> {
    if change.writer == FOUNDER {
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
    check_operations(document, &change.ops)?;
    Ok(deps)
}

/// Checks what a change of anybody would do.
pub(super) fn check_operations(document: &Document, ops: &[Put]) -> Result<(), Refusal> {
    if let Some(put) = ops.iter().find(|put| !put.container.is_known()) {
        return Err(Refusal::UnknownContainer(put.container.0));
    }
    ops.iter().try_for_each(|put| match put.container {
        Container::LOG => check_entry(document, put),
        Container::FORMAT => check_format(put),
        _ => Ok(()),
    })
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

fn check_entry(document: &Document, put: &Put) -> Result<(), Refusal> {
    let id = put.key.parse::<EntryId>().ok();
    if id.is_none_or(|id| document.entry(id).is_some()) {
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
