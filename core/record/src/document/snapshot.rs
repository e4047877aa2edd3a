//! A record as one piece for the device's own store.
//!
//! A snapshot begins with the record and the ids of its newest changes. The changes follow in blocks,
//! each deflated by itself (RFC 1951), in an order in which every change follows its dependencies.
//! These are named by how far back they stand, and ids are left out: they are worked out anew, and if
//! the newest ones are those that were written, then so is every change before them.
//!
//! A block that was written once is not made again until those after it hold half as many changes: so
//! a record that grows is not deflated as a whole each time.

use std::sync::Arc;

use fallaway_changes::cbor::{Builder, ItemKind, Reader};
use fallaway_changes::{ChangeError, ChangeId, RecordId, Writer, canonical, read_ops};
use fallaway_order::PutInOrder as _;
use miniz_oxide::{deflate, inflate};

use super::contents::{Document, Entering, Stored};
use super::graph::FOUNDER;

/// Begins a snapshot: three letters, and a version.
const MAGIC: [u8; 4] = *b"FWs\x01";
/// Most bytes of a block before it is deflated. A change has at most 192 KiB.
const MAX_BLOCK: usize = 8 << 20;
/// How hard deflate tries, of 10.
const LEVEL: u8 = 8;
/// Bytes before a block: count of changes, length of what was deflated, length of what it became.
const BLOCK_HEAD: usize = 12;

/// Why a snapshot does not open.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LoadError {
    /// The bytes are not a snapshot, or a damaged one.
    #[error("the snapshot of the record is damaged: {reason}")]
    Damaged {
        /// What is wrong with it.
        reason: &'static str,
    },
    /// It is a snapshot of another record.
    #[error("the snapshot belongs to another record than {expected}")]
    OtherRecord {
        /// The record that was asked for.
        expected: RecordId,
    },
}

/// Changes as they stand in a snapshot.
#[derive(Debug, Clone)]
pub(super) struct Block {
    changes: u32,
    /// With its head.
    bytes: Arc<[u8]>,
}

/// Puts a snapshot together. `saved` are the blocks that the document's first changes stand in, and
/// afterwards those of all.
pub(super) fn write(record: &RecordId, document: &Document, saved: &mut Vec<Block>) -> Vec<u8> {
    let graph = &document.graph;
    let mut heads: Vec<ChangeId> = graph.heads().map(|node| node.id).collect();
    heads.put_in_order();
    let mut done: u32 = saved.iter().map(|block| block.changes).sum();
    // The founding is not written.
    let count = (graph.nodes().len() as u32).saturating_sub(1);
    while let Some(last) = saved.last() {
        let after = count.saturating_sub(done);
        if after == 0 || last.changes > 2 * after {
            break;
        }
        done -= last.changes;
        saved.pop();
    }
    let mut out = Builder::new();
    let mut first = done;
    for position in done + 1..=count {
        write_change(document, position, &mut out);
        if out.len() >= MAX_BLOCK / 2 || position == count {
            saved.push(block(position - first, &std::mem::take(&mut out).finish()));
            first = position;
        }
    }
    let mut bytes = Vec::new();
    bytes.extend(MAGIC);
    bytes.extend(record.as_bytes());
    bytes.extend((heads.len() as u32).to_be_bytes());
    for head in &heads {
        bytes.extend(head.as_bytes());
    }
    for block in saved {
        bytes.extend_from_slice(&block.bytes);
    }
    bytes
}

fn block(changes: u32, plain: &[u8]) -> Block {
    let deflated = deflate::compress_to_vec(plain, LEVEL);
    let mut bytes = Vec::with_capacity(BLOCK_HEAD + deflated.len());
    for number in [changes, plain.len() as u32, deflated.len() as u32] {
        bytes.extend(number.to_be_bytes());
    }
    bytes.extend(deflated);
    Block { changes, bytes: bytes.into() }
}

/// The writer (its index, or its name when it is met for the first time), the time, how far back the
/// dependencies stand, the operations.
fn write_change(document: &Document, position: u32, out: &mut Builder) {
    let graph = &document.graph;
    let Some(node) = graph.node(position) else { return };
    match graph.writers().get(node.writer as usize) {
        Some(writer) if node.seq == 1 => out.bytes(writer.as_bytes()),
        _ => out.uint(u64::from(node.writer)),
    };
    out.int(node.time).array(node.deps.len());
    for dep in &node.deps {
        out.uint(u64::from(position - dep));
    }
    out.raw(document.operations(position));
}

/// Takes a snapshot apart.
pub(super) fn read(
    record: &RecordId,
    snapshot: &[u8],
) -> Result<(Document, Vec<Block>), LoadError> {
    let damaged = |reason| LoadError::Damaged { reason };
    let cut = || damaged("it is cut off");
    let rest = snapshot.strip_prefix(&MAGIC).ok_or(damaged("it does not begin as a snapshot"))?;
    let (id, rest) = rest.split_first_chunk::<{ RecordId::LEN }>().ok_or_else(cut)?;
    if id != record.as_bytes() {
        return Err(LoadError::OtherRecord { expected: *record });
    }
    let (heads, rest) = rest.split_first_chunk::<4>().ok_or_else(cut)?;
    let heads = usize::try_from(u32::from_be_bytes(*heads)).ok();
    let heads = heads.and_then(|count| rest.split_at_checked(count.checked_mul(ChangeId::LEN)?));
    let (heads, mut rest) = heads.ok_or_else(cut)?;
    let mut document = Document::founded(record);
    let mut saved = Vec::new();
    while !rest.is_empty() {
        let (head, after) = rest.split_first_chunk::<BLOCK_HEAD>().ok_or_else(cut)?;
        let [changes, plain, deflated] = numbers(head);
        let (deflated, after) = after.split_at_checked(deflated as usize).ok_or_else(cut)?;
        if plain as usize > MAX_BLOCK {
            return Err(damaged("a block is larger than any"));
        }
        let inflated = inflate::decompress_to_vec_with_limit(deflated, plain as usize);
        let inflated: Arc<[u8]> = inflated.map_err(|_| damaged("a block is not deflated"))?.into();
        let read = read_block(record, &mut document, changes, &inflated);
        read.ok().flatten().ok_or(damaged("a block does not hold changes"))?;
        let whole = rest.get(..BLOCK_HEAD + deflated.len()).unwrap_or_default();
        saved.push(Block { changes, bytes: whole.into() });
        rest = after;
    }
    let mut found: Vec<ChangeId> = document.graph.heads().map(|node| node.id).collect();
    found.put_in_order();
    let (heads, _) = heads.as_chunks::<{ ChangeId::LEN }>();
    if !found.iter().map(|id| *id.as_bytes()).eq(heads.iter().copied()) {
        return Err(damaged("it holds other changes than were written"));
    }
    Ok((document, saved))
}

fn numbers(head: &[u8; BLOCK_HEAD]) -> [u32; 3] {
    let (numbers, _) = head.as_chunks::<4>();
    let mut numbers = numbers.iter().map(|bytes| u32::from_be_bytes(*bytes));
    [0; 3].map(|_| numbers.next().unwrap_or(0))
}

/// Reads the changes of a block. `Ok(None)` if one does not follow what it names.
fn read_block(
    record: &RecordId,
    document: &mut Document,
    changes: u32,
    bytes: &Arc<[u8]>,
) -> Result<Option<()>, ChangeError> {
    let mut reader = Reader::new(bytes);
    for _ in 0..changes {
        let graph = &document.graph;
        let position = graph.nodes().len();
        let writer: Writer = if reader.peek() == ItemKind::Bytes {
            Writer::from_bytes(reader.array_of("a writer of 16 bytes")?)
        } else {
            let index = usize::try_from(reader.uint()?).ok();
            let Some(writer) = index.and_then(|index| graph.writers().get(index)) else {
                return Ok(None);
            };
            *writer
        };
        let seq = graph.last_of(&writer).map_or(0, |node| u64::from(node.seq)) + 1;
        let time = reader.int()?;
        let mut deps = Vec::new();
        let mut ids = Vec::new();
        for _ in 0..reader.array()? {
            let back = usize::try_from(reader.uint()?).ok().filter(|back| *back > 0);
            let dep = back.and_then(|back| u32::try_from(position.checked_sub(back)?).ok());
            let Some((dep, node)) = dep.and_then(|dep| Some((dep, graph.node(dep)?))) else {
                return Ok(None);
            };
            deps.push(dep);
            ids.push(node.id);
        }
        ids.put_in_order();
        let start = reader.position();
        read_ops(&mut reader, writer, |_| ())?;
        let operations = start..reader.position();
        let id = canonical(&writer, seq, time, &ids, reader.since(start));
        let id = ChangeId::of(record, &id);
        let Some(stored) = Stored::new(Arc::clone(bytes), operations) else { return Ok(None) };
        let entering = Entering { id, writer, seq, time, deps, stored };
        if writer == FOUNDER || document.add(entering)?.is_none() {
            return Ok(None);
        }
    }
    reader.end()?;
    Ok(Some(()))
}
