//! Rows as the types that the caller sees. A decoder answers `None` for what no version writes.

use fallaway_changes::{ChangeId, EpochId, MemberHash, RecordId, Writer};
use fallaway_order::Map;
use rusqlite::types::Value;

use super::tally::Tally;
use crate::model::{
    ChangeStanding, DraftLine, EntryRef, Generation, Outgoing, Snapshot, StoredChange,
    StoredEpochKey, StoredMemberOp, StoredSignature, StoredWriter,
};

/// A record's own line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Line {
    pub generation: Generation,
    /// What of the record should be there.
    pub tally: Tally,
}

/// A snapshot with the greatest number of each writer that it contains.
pub(super) type SnapshotRow = (Snapshot, Map<Writer, u64>);

const OUTGOING_CHANGE: i64 = 1;
const OUTGOING_MEMBER: i64 = 2;

fn cells<const N: usize>(row: Vec<Value>) -> Option<[Value; N]> {
    row.try_into().ok()
}

fn blob(cell: Value) -> Option<Vec<u8>> {
    if let Value::Blob(bytes) = cell { Some(bytes) } else { None }
}

fn text(cell: Value) -> Option<String> {
    if let Value::Text(text) = cell { Some(text) } else { None }
}

fn integer(cell: &Value) -> Option<i64> {
    if let Value::Integer(number) = cell { Some(*number) } else { None }
}

fn number(cell: &Value) -> Option<u64> {
    u64::try_from(integer(cell)?).ok()
}

fn id<T: for<'a> TryFrom<&'a [u8]>>(cell: &Value) -> Option<T> {
    if let Value::Blob(bytes) = cell { T::try_from(bytes.as_slice()).ok() } else { None }
}

/// Hashes, one after the other.
pub(super) fn join(hashes: &[ChangeId]) -> Vec<u8> {
    hashes.iter().flat_map(|hash| *hash.as_bytes()).collect()
}

fn split(bytes: &[u8]) -> Option<Vec<ChangeId>> {
    let (whole, rest) = bytes.as_chunks::<{ ChangeId::LEN }>();
    rest.is_empty().then(|| whole.iter().copied().map(ChangeId::from_bytes).collect())
}

/// Writer (16 bytes) and number (8 bytes, little-endian), one pair after the other.
pub(super) fn join_compacted(compacted: &Map<Writer, u64>) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(compacted.len() * 24);
    for (writer, seq) in compacted {
        bytes.extend_from_slice(writer.as_bytes());
        bytes.extend_from_slice(&seq.to_le_bytes());
    }
    bytes
}

fn split_compacted(bytes: &[u8]) -> Option<Map<Writer, u64>> {
    let (pairs, rest) = bytes.as_chunks::<24>();
    if !rest.is_empty() {
        return None;
    }
    let mut compacted = Map::new();
    for pair in pairs {
        let (writer, seq) = pair.split_first_chunk::<16>()?;
        compacted.insert(Writer::from_bytes(*writer), u64::from_le_bytes(seq.try_into().ok()?));
    }
    Some(compacted)
}

pub(super) fn record(row: Vec<Value>) -> Option<(RecordId, Line)> {
    let [record, generation, rows, sums] = cells(row)?;
    let tally = Tally { rows: integer(&rows)?, sums: blob(sums)?.try_into().ok()? };
    Some((id(&record)?, Line { generation: Generation(number(&generation)?), tally }))
}

pub(super) fn snapshot(row: Vec<Value>) -> Option<SnapshotRow> {
    let [_, heads, changes, compacted, bytes] = cells(row)?;
    let snapshot =
        Snapshot { bytes: blob(bytes)?, heads: split(&blob(heads)?)?, changes: number(&changes)? };
    Some((snapshot, split_compacted(&blob(compacted)?)?))
}

pub(super) fn change(row: Vec<Value>) -> Option<StoredChange> {
    let [_, hash, writer, seq, deps, standing, reason, bytes] = cells(row)?;
    Some(StoredChange {
        hash: id(&hash)?,
        writer: id(&writer)?,
        seq: number(&seq)?,
        deps: split(&blob(deps)?)?,
        standing: ChangeStanding::from_number(integer(&standing)?)?,
        reason: match reason {
            Value::Null => None,
            other => Some(text(other)?),
        },
        bytes: blob(bytes)?,
    })
}

/// The same; one that is not admitted without its bytes.
pub(super) fn change_within(row: Vec<Value>) -> Option<StoredChange> {
    let mut change = change(row)?;
    if change.standing != ChangeStanding::Admitted {
        change.bytes = Vec::new();
    }
    Some(change)
}

pub(super) fn signature(row: Vec<Value>) -> Option<StoredSignature> {
    let [_, writer, seq, hash, bytes] = cells(row)?;
    Some(StoredSignature {
        writer: id(&writer)?,
        seq: number(&seq)?,
        hash: id(&hash)?,
        bytes: blob(bytes)?,
    })
}

pub(super) fn draft(row: Vec<Value>) -> Option<DraftLine> {
    let [_, ordinal, container, key, value, entry_writer, entry_number, started_at] = cells(row)?;
    let entry = match (entry_writer, entry_number) {
        (Value::Null, Value::Null) => None,
        (writer, entry) => Some(EntryRef { writer: id(&writer)?, number: number(&entry)? }),
    };
    Some(DraftLine {
        ordinal: number(&ordinal)?,
        container: u8::try_from(integer(&container)?).ok()?,
        key: text(key)?,
        value: blob(value)?,
        entry,
        started_at: integer(&started_at)?,
    })
}

pub(super) fn member(row: Vec<Value>) -> Option<StoredMemberOp> {
    let [_, hash, standing, bytes] = cells(row)?;
    Some(StoredMemberOp {
        hash: id::<MemberHash>(&hash)?,
        standing: ChangeStanding::from_number(integer(&standing)?)?,
        bytes: blob(bytes)?,
    })
}

pub(super) fn epoch_key(row: Vec<Value>) -> Option<StoredEpochKey> {
    let [_, epoch, wrapped] = cells(row)?;
    Some(StoredEpochKey { epoch: id::<EpochId>(&epoch)?, wrapped: blob(wrapped)? })
}

pub(super) fn writer(row: Vec<Value>) -> Option<StoredWriter> {
    let [_, writer, incarnation, next_entry] = cells(row)?;
    Some(StoredWriter {
        writer: id(&writer)?,
        incarnation: blob(incarnation)?,
        next_entry: number(&next_entry)?,
    })
}

pub(super) fn projection(row: Vec<Value>) -> Option<(RecordId, Vec<u8>)> {
    let [record, _, bytes] = cells(row)?;
    Some((id(&record)?, blob(bytes)?))
}

/// Record and bytes of a row of projections that nobody has checked yet.
pub(super) fn projection_as_stored<'r>(row: &'r rusqlite::Row<'_>) -> Option<(RecordId, &'r [u8])> {
    let blob = |column| row.get_ref(column).ok()?.as_blob().ok();
    Some((RecordId::try_from(blob(1)?).ok()?, blob(3)?))
}

pub(super) fn outgoing(row: Vec<Value>) -> Option<Outgoing> {
    let [_, kind, hash] = cells(row)?;
    match integer(&kind)? {
        OUTGOING_CHANGE => Some(Outgoing::Change(id(&hash)?)),
        OUTGOING_MEMBER => Some(Outgoing::Member(id(&hash)?)),
        _ => None,
    }
}

/// The kind and hash under which something outgoing is stored.
pub(super) fn outgoing_key(item: &Outgoing) -> (i64, &[u8]) {
    match item {
        Outgoing::Change(hash) => (OUTGOING_CHANGE, hash.as_bytes()),
        Outgoing::Member(hash) => (OUTGOING_MEMBER, hash.as_bytes()),
    }
}

pub(super) fn named_meta(row: Vec<Value>) -> Option<(String, Vec<u8>)> {
    let [key, value] = cells(row)?;
    let Value::Text(key) = key else { return None };
    Some((key, blob(value)?))
}

/// Bytes of a part of a photo.
pub(super) fn blob_part(row: Vec<Value>) -> Option<Vec<u8>> {
    let [_, _, _, _, bytes] = cells(row)?;
    blob(bytes)
}

pub(super) fn meta(row: Vec<Value>) -> Option<Vec<u8>> {
    let [_, value] = cells(row)?;
    blob(value)
}
