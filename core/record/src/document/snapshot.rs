//! A record as one piece for the device's own store: the document as the library saves it, and
//! before it the ids of its changes, so that opening a record need not work them out.
//!
//! The ids are a projection: if they are damaged or are not as many as the document has changes, they
//! are worked out anew from the canonical form of every change.

use std::collections::HashMap;

use automerge::{ChangeMetadata, ReadDoc};
use fallaway_changes::{ChangeId, RecordId, VerifiedChange, Writer, derive};

use super::contents::Document;
use super::graph::{Graph, NewNode};
use super::rebuild;

/// Begins a snapshot: two letters that no document of the library begins with, and a version.
const MAGIC: [u8; 4] = *b"FWs\x01";
const CONTEXT_CHECK: &str = "fallaway v1 snapshot ids";
const CHECK: usize = 8;

/// Puts a snapshot together. The ids stand by writer and number, whatever order the document is in.
pub(super) fn write(graph: &Graph, document: &[u8]) -> Vec<u8> {
    let ids = ids_in_order(graph);
    let mut out = Vec::with_capacity(8 + ids.len() * ChangeId::LEN + CHECK + document.len());
    out.extend(MAGIC);
    out.extend((ids.len() as u32).to_be_bytes());
    for id in &ids {
        out.extend(id.as_bytes());
    }
    out.extend(check(out.get(8..).unwrap_or_default()));
    out.extend(document);
    out
}

/// The ids of the changes by writer (in the order of their bytes), then number.
fn ids_in_order(graph: &Graph) -> Vec<ChangeId> {
    let mut writers = graph.writers().to_vec();
    writers.sort_unstable();
    writers.iter().flat_map(|writer| graph.changes_of(writer)).map(|node| node.id).collect()
}

/// Takes a snapshot apart: the ids, and the document.
pub(super) fn read(bytes: &[u8]) -> Option<(Vec<ChangeId>, &[u8])> {
    let rest = bytes.strip_prefix(&MAGIC)?;
    let (count, rest) = rest.split_first_chunk::<4>()?;
    let length = usize::try_from(u32::from_be_bytes(*count)).ok()?.checked_mul(ChangeId::LEN)?;
    let (ids, rest) = rest.split_at_checked(length)?;
    let (found, document) = rest.split_first_chunk::<CHECK>()?;
    let sound = *found == check(ids);
    let (ids, _) = ids.as_chunks::<{ ChangeId::LEN }>();
    let ids = ids.iter().filter(|_| sound).map(|id| ChangeId::from_bytes(*id));
    Some((ids.collect(), document))
}

fn check(ids: &[u8]) -> [u8; CHECK] {
    derive(CONTEXT_CHECK, &[ids])
}

/// The graph of a loaded document's changes. The error says what is wrong with them.
pub(super) fn graph(
    record: &RecordId,
    ids: &[ChangeId],
    doc: &automerge::Automerge,
) -> Result<Graph, &'static str> {
    let metas = doc.get_changes_meta(&[]);
    let known = ids_by_place(ids, &metas);
    let mut positions: HashMap<[u8; 32], u32> = HashMap::with_capacity(metas.len());
    let mut graph = Graph::default();
    for (position, meta) in (0_u32..).zip(&metas) {
        let writer = rebuild::writer(&meta.actor).ok_or("a writer without 16 bytes")?;
        let deps = meta.deps.iter().map(|dep| positions.get(&dep.0).copied());
        let deps = deps.collect::<Option<Vec<_>>>().ok_or("changes out of order")?;
        let id = match known.as_ref().and_then(|known| known.get(position as usize)) {
            Some(id) => *id,
            None => work_out(record, &graph, doc, meta, &deps)?,
        };
        let added = graph.add(NewNode {
            id,
            library: meta.hash.0,
            writer,
            seq: meta.seq,
            start_op: meta.start_op,
            max_op: meta.max_op,
            time: meta.timestamp,
            deps,
        });
        added.ok_or("changes out of order")?;
        positions.insert(meta.hash.0, position);
    }
    Ok(graph)
}

/// The stored ids in the order of the document's changes; `None` if they do not belong to them.
fn ids_by_place(ids: &[ChangeId], metas: &[ChangeMetadata<'_>]) -> Option<Vec<ChangeId>> {
    if ids.len() != metas.len() {
        return None;
    }
    let mut order: Vec<(Writer, u64, usize)> = Vec::with_capacity(metas.len());
    for (place, meta) in metas.iter().enumerate() {
        order.push((rebuild::writer(&meta.actor)?, meta.seq, place));
    }
    order.sort_unstable();
    let mut by_place = vec![ChangeId::from_bytes([0; ChangeId::LEN]); metas.len()];
    for ((_, _, place), id) in order.into_iter().zip(ids) {
        if let Some(own) = by_place.get_mut(place) {
            *own = *id;
        }
    }
    Some(by_place)
}

/// The id of a change whose dependencies are in the graph.
fn work_out(
    record: &RecordId,
    graph: &Graph,
    doc: &automerge::Automerge,
    meta: &ChangeMetadata<'_>,
    deps: &[u32],
) -> Result<ChangeId, &'static str> {
    if graph.nodes().is_empty() {
        return Ok(ChangeId::founding(record));
    }
    let change = doc.get_change_by_hash(&meta.hash).ok_or("a change that cannot be read")?;
    let change = Document::canonical(graph, &change, deps);
    let change = change.and_then(|change| VerifiedChange::own(record, change).ok());
    change.map(|change| change.id()).ok_or("a change that only a newer version can read")
}
