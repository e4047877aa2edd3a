//! Between the canonical form of a change and the document library's own.
//!
//! Every change, one's own or somebody else's, is built here from its canonical form, and only after
//! it has passed every check. None of the library's encodings or hashes ever crosses a wire: a
//! dependency is named by the change's id outside, and by the library's hash inside the document.

use std::collections::HashMap;
use std::num::NonZeroU64;

use automerge::legacy::{Key, ObjectId, Op, OpId as LibraryOpId, OpType};
use automerge::{ActorId, ChangeHash as LibraryHash, ExpandedChange, ScalarValue};
use fallaway_changes::limits::MAX_PREDS;
use fallaway_changes::{Change, ChangeId, OpId, Put, Writer};

use super::genesis;

/// By operation of a change, everything that it supersedes, where that is more than it can name.
pub(super) type Wide = HashMap<usize, Vec<OpId>>;

pub(super) fn actor(writer: &Writer) -> ActorId {
    ActorId::from(writer.as_bytes())
}

pub(super) fn writer(actor: &ActorId) -> Option<Writer> {
    Writer::try_from(actor.to_bytes()).ok()
}

fn library_op_id(id: &OpId) -> LibraryOpId {
    LibraryOpId::new(id.counter, &actor(&id.writer))
}

fn op_id(id: &LibraryOpId) -> Option<OpId> {
    Some(OpId { counter: id.counter(), writer: writer(id.actor())? })
}

/// The library's change; `deps` are the library's hashes of the dependencies, `wide` what operations
/// supersede beyond what they can name. `None` for counters of zero, which no verified change has.
pub(super) fn build(
    change: &Change,
    wide: &Wide,
    deps: Vec<LibraryHash>,
) -> Option<automerge::Change> {
    let start_op = NonZeroU64::new(change.start_op)?;
    let put_op = |(place, put): (usize, &Put)| Op {
        action: OpType::Put(ScalarValue::Bytes(put.value.clone())),
        obj: ObjectId::Id(genesis::container_op(put.container)),
        key: Key::from(put.key.as_str()),
        pred: wide.get(&place).unwrap_or(&put.pred).iter().map(library_op_id).collect(),
        insert: false,
    };
    let operations = change.ops.iter().enumerate().map(put_op).collect();
    Some(automerge::Change::from(ExpandedChange {
        operations,
        actor_id: actor(&change.writer),
        hash: None,
        seq: change.seq,
        start_op,
        time: change.time,
        message: None,
        deps,
        extra_bytes: Vec::new(),
        author: None,
    }))
}

/// The canonical form of one of the library's changes; `deps` are the ids of its dependencies. `None`
/// for the founding and for what a newer version put into the document.
pub(super) fn canonical(change: &automerge::Change, mut deps: Vec<ChangeId>) -> Option<Change> {
    let expanded = change.decode();
    if expanded.message.is_some() || !expanded.extra_bytes.is_empty() {
        return None;
    }
    deps.sort_unstable();
    let ops = expanded.operations.iter().map(put).collect::<Option<Vec<_>>>()?;
    Some(Change {
        writer: writer(&expanded.actor_id)?,
        seq: expanded.seq,
        start_op: expanded.start_op.get(),
        time: expanded.time,
        deps,
        ops,
    })
}

fn put(op: &Op) -> Option<Put> {
    let OpType::Put(ScalarValue::Bytes(value)) = &op.action else { return None };
    let ObjectId::Id(object) = &op.obj else { return None };
    let Key::Map(key) = &op.key else { return None };
    Some(Put {
        container: genesis::container_of(object)?,
        key: key.to_string(),
        value: value.clone(),
        pred: op.pred.iter().take(MAX_PREDS).map(op_id).collect::<Option<Vec<_>>>()?,
    })
}
