//! What is read of a record, inside one read transaction.

use fallaway_changes::RecordId;
use rusqlite::Connection;

use super::codec;
use super::fault::{BadRow, Fault};
use super::table::{
    CHANGE, CONTESTED, DRAFT, EPOCH_KEY, MEMBER, OUTGOING, SIGNATURE, SNAPSHOT, WRITER,
};
use super::write;
use crate::error::StoreError;
use crate::model::{ContestedKey, DraftLine, Generation, Loaded, Outgoing, Part, Snapshot};

const OF_RECORD: &str = "WHERE record = ?1 ORDER BY n";

/// The record's generation, or that there is no such record.
pub(super) fn generation(conn: &Connection, record: &RecordId) -> Result<Generation, Fault> {
    match write::generation(conn, record)? {
        Some(generation) => Ok(generation),
        None => Err(StoreError::NoSuchRecord { record: *record }.into()),
    }
}

/// Everything but projections. Damaged rows are left out and added to `bad`.
pub(super) fn load(
    conn: &Connection,
    record: &RecordId,
    bad: &mut Vec<BadRow>,
) -> Result<Loaded, Fault> {
    let key = [record.as_bytes()];
    let generation = generation(conn, record)?;
    let newest = "WHERE record = ?1 ORDER BY n DESC LIMIT 1";
    let snapshot = SNAPSHOT.read(conn, newest, key, codec::snapshot)?.collect(bad).pop();
    let (snapshot, compacted) = match snapshot {
        Some((snapshot, compacted)) => (Some(snapshot), compacted),
        None => (None, std::collections::BTreeMap::new()),
    };
    let mut signatures = SIGNATURE.read(conn, OF_RECORD, key, codec::signature)?.collect(bad);
    signatures.sort_by_key(|signature| (signature.writer, signature.seq, signature.hash));
    Ok(Loaded {
        generation,
        snapshot,
        compacted,
        changes: CHANGE.read(conn, OF_RECORD, key, codec::change)?.collect(bad),
        signatures,
        draft: draft(conn, record, bad)?,
        members: MEMBER.read(conn, OF_RECORD, key, codec::member)?.collect(bad),
        epoch_keys: EPOCH_KEY.read(conn, OF_RECORD, key, codec::epoch_key)?.collect(bad),
        writers: WRITER.read(conn, OF_RECORD, key, codec::writer)?.collect(bad),
        contested: contested(conn, record, bad)?,
        outgoing: outgoing(conn, record, bad)?,
    })
}

/// The snapshot before the newest.
pub(super) fn previous_snapshot(
    conn: &Connection,
    record: &RecordId,
    bad: &mut Vec<BadRow>,
) -> Result<Option<Snapshot>, Fault> {
    let second = "WHERE record = ?1 ORDER BY n DESC LIMIT 1 OFFSET 1";
    let mut rows = SNAPSHOT.read(conn, second, [record.as_bytes()], codec::snapshot)?;
    for row in &mut rows.bad {
        row.part = Part::PreviousSnapshot;
    }
    Ok(rows.collect(bad).pop().map(|(snapshot, _)| snapshot))
}

/// The draft, by ordinal.
pub(super) fn draft(
    conn: &Connection,
    record: &RecordId,
    bad: &mut Vec<BadRow>,
) -> Result<Vec<DraftLine>, Fault> {
    let by_ordinal = "WHERE record = ?1 ORDER BY ordinal";
    Ok(DRAFT.read(conn, by_ordinal, [record.as_bytes()], codec::draft)?.collect(bad))
}

/// Contested registers, by container and key.
pub(super) fn contested(
    conn: &Connection,
    record: &RecordId,
    bad: &mut Vec<BadRow>,
) -> Result<Vec<ContestedKey>, Fault> {
    let by_key = "WHERE record = ?1 ORDER BY container, key";
    Ok(CONTESTED.read(conn, by_key, [record.as_bytes()], codec::contested)?.collect(bad))
}

/// What has not left this device, in the order in which it was marked.
pub(super) fn outgoing(
    conn: &Connection,
    record: &RecordId,
    bad: &mut Vec<BadRow>,
) -> Result<Vec<Outgoing>, Fault> {
    Ok(OUTGOING.read(conn, OF_RECORD, [record.as_bytes()], codec::outgoing)?.collect(bad))
}
