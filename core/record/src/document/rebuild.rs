//! Between the canonical form of a change and the document library's own.
//!
//! Every change, one's own or somebody else's, is built here from its canonical form, so its hash
//! is the same everywhere, and none of the library's encodings ever crosses a wire.

use std::num::NonZeroU64;

use automerge::legacy::{Key, ObjectId, Op, OpId as LibraryOpId, OpType};
use automerge::{ActorId, ChangeHash as LibraryHash, ExpandedChange, ScalarValue};
use fallaway_changes::{Change, ChangeError, ChangeHash, Container, OpId, Put, Writer};

use super::genesis;

pub(super) fn actor(writer: &Writer) -> ActorId {
    ActorId::from(writer.as_bytes())
}

pub(super) fn writer(actor: &ActorId) -> Option<Writer> {
    Writer::try_from(actor.to_bytes()).ok()
}

pub(super) fn library_hash(hash: &ChangeHash) -> LibraryHash {
    LibraryHash(hash.to_bytes())
}

pub(super) fn hash(hash: &LibraryHash) -> ChangeHash {
    ChangeHash::from_bytes(hash.0)
}

fn library_op_id(id: &OpId) -> LibraryOpId {
    LibraryOpId::new(id.counter, &actor(&id.writer))
}

fn op_id(id: &LibraryOpId) -> Option<OpId> {
    Some(OpId { counter: id.counter(), writer: writer(id.actor())? })
}

/// The library's change. The change must have passed [`Change::validate`].
pub(super) fn build(change: &Change) -> Result<automerge::Change, ChangeError> {
    change.validate()?;
    let start_op = NonZeroU64::new(change.start_op).ok_or(ChangeError::Empty)?;
    let operations = change
        .ops
        .iter()
        .map(|put| Op {
            action: OpType::Put(ScalarValue::Bytes(put.value.clone())),
            obj: ObjectId::Id(genesis::container_op(put.container)),
            key: Key::from(put.key.as_str()),
            pred: put.pred.iter().map(library_op_id).collect(),
            insert: false,
        })
        .collect();
    Ok(automerge::Change::from(ExpandedChange {
        operations,
        actor_id: actor(&change.writer),
        hash: None,
        seq: change.seq,
        start_op,
        time: change.time,
        message: None,
        deps: change.deps.iter().map(library_hash).collect(),
        extra_bytes: Vec::new(),
        author: None,
    }))
}

/// The canonical form of one of the library's changes. `None` for the genesis and for what a newer
/// version put into the document.
pub(super) fn canonical(change: &automerge::Change) -> Option<Change> {
    let expanded = change.decode();
    if expanded.message.is_some() || !expanded.extra_bytes.is_empty() {
        return None;
    }
    let mut deps: Vec<_> = expanded.deps.iter().map(hash).collect();
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
        pred: op.pred.iter().map(op_id).collect::<Option<Vec<_>>>()?,
    })
}

/// Whether this version can build operations into the container.
pub(super) fn is_known(container: Container) -> bool {
    container.is_known()
}
