//! The document library's document beside the graph of its changes, and the questions that rules and
//! readers ask it.

use std::panic::{AssertUnwindSafe, catch_unwind};

use automerge::{Automerge, ChangeHash as LibraryHash, ObjId, ReadDoc, ScalarValue, Value};
use fallaway_changes::{Change, ChangeId, Container, OpId, RecordId};

use super::graph::{Graph, NewNode};
use super::{genesis, rebuild};

/// Runs a call of the document library so that its panics become errors. Nothing that was mutated
/// inside is used after a panic.
pub(super) fn guarded<T>(what: impl FnOnce() -> T) -> Result<T, String> {
    catch_unwind(AssertUnwindSafe(what)).map_err(|panic| {
        let text = panic.downcast_ref::<String>().map(String::as_str);
        let text = text.or_else(|| panic.downcast_ref::<&str>().copied());
        format!("panic: {}", text.unwrap_or("without a text").chars().take(200).collect::<String>())
    })
}

/// A document and the graph of its changes. While a round is checked the graph is ahead.
#[derive(Debug)]
pub(crate) struct Document {
    pub(super) doc: Automerge,
    pub(super) graph: Graph,
}

impl Document {
    /// A document that holds nothing but its founding.
    pub(super) fn founded(record: &RecordId) -> Result<Self, String> {
        let founding = genesis::change(record);
        let library = founding.hash().0;
        let (max_op, writer) = (founding.max_op(), rebuild::writer(founding.actor_id()));
        let doc = guarded(|| {
            let mut doc = Automerge::new();
            doc.apply_changes([founding]).map(|()| doc)
        })?;
        let doc = doc.map_err(|error| error.to_string())?;
        let mut graph = Graph::default();
        let added = writer.and_then(|writer| {
            graph.add(NewNode {
                id: ChangeId::founding(record),
                library,
                writer,
                seq: 1,
                start_op: 1,
                max_op,
                time: 0,
                deps: Vec::new(),
            })
        });
        added.ok_or("the founding does not begin a graph")?;
        Ok(Self { doc, graph })
    }

    /// Whether a graph begins with the founding of this record.
    pub(super) fn is_of(record: &RecordId, graph: &Graph) -> bool {
        let founding = genesis::change(record).hash().0;
        graph.node(0).is_some_and(|node| node.library == founding)
    }

    /// The canonical form of one of the library's changes whose dependencies stand at these
    /// positions.
    pub(super) fn canonical(
        graph: &Graph,
        change: &automerge::Change,
        deps: &[u32],
    ) -> Option<Change> {
        let deps = deps.iter().map(|dep| graph.node(*dep).map(|node| node.id));
        rebuild::canonical(change, deps.collect::<Option<Vec<_>>>()?)
    }

    /// The canonical form of a change of the document.
    pub(super) fn change(&self, id: &ChangeId) -> Option<Change> {
        let node = self.graph.get(id)?;
        let change = guarded(|| self.doc.get_change_by_hash(&LibraryHash(node.library))).ok()??;
        Self::canonical(&self.graph, &change, &node.deps)
    }

    /// Whether a key has any value.
    pub(super) fn has_key(&self, container: Container, key: &str) -> bool {
        !matches!(self.doc.get(genesis::object(container), key), Ok(None))
    }

    /// The values under a key.
    pub(super) fn values(&self, container: Container, key: &str) -> Vec<(OpId, Vec<u8>)> {
        let values = self.doc.get_all(genesis::object(container), key).unwrap_or_default();
        let values = values.iter();
        values.filter_map(|(value, id)| Some((op_id(id)?, bytes(value)?))).collect()
    }

    /// Operations under a key that are visible.
    pub(super) fn visible(&self, container: Container, key: &str) -> Vec<OpId> {
        let values = self.doc.get_all(genesis::object(container), key).unwrap_or_default();
        values.iter().filter_map(|(_, id)| op_id(id)).collect()
    }

    /// Operations under a key that were visible when the changes at these positions were the heads.
    pub(super) fn visible_at(&self, container: Container, key: &str, heads: &[u32]) -> Vec<OpId> {
        let heads = heads.iter().filter_map(|head| self.graph.node(*head));
        let heads: Vec<_> = heads.map(|node| LibraryHash(node.library)).collect();
        let values = self.doc.get_all_at(genesis::object(container), key, &heads);
        values.unwrap_or_default().iter().filter_map(|(_, id)| op_id(id)).collect()
    }

    /// Every key of a container whose values can be read, with one of them.
    pub(crate) fn keys(&self, container: Container) -> impl Iterator<Item = Item<'_>> {
        let items = self.doc.map_range(genesis::object(container), ..);
        items.filter_map(|item| {
            let op = op_id(&item.id())?;
            let automerge::ValueRef::Scalar(automerge::ScalarValueRef::Bytes(value)) = item.value
            else {
                return None;
            };
            Some(Item { key: item.key, value, op })
        })
    }

    /// The keys of a range, as text.
    pub(super) fn keys_within(
        &self,
        container: Container,
        range: std::ops::Range<String>,
    ) -> impl Iterator<Item = String> {
        let items = self.doc.map_range(genesis::object(container), range);
        items.map(|item| item.key.into_owned())
    }
}

/// A key with one of its values.
pub(crate) struct Item<'a> {
    pub key: std::borrow::Cow<'a, str>,
    pub value: std::borrow::Cow<'a, [u8]>,
    pub op: OpId,
}

fn op_id(id: &ObjId) -> Option<OpId> {
    match id {
        ObjId::Id(counter, actor, _) => {
            Some(OpId { counter: *counter, writer: rebuild::writer(actor)? })
        }
        ObjId::Root => None,
    }
}

fn bytes(value: &Value<'_>) -> Option<Vec<u8>> {
    match value {
        Value::Scalar(scalar) => match scalar.as_ref() {
            ScalarValue::Bytes(bytes) => Some(bytes.clone()),
            _ => None,
        },
        Value::Object(_) => None,
    }
}
