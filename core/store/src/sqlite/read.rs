//! What is read of a record, inside one read transaction.

use fallaway_changes::{BlobId, RecordId};
use fallaway_order::PutInOrder as _;
use rusqlite::Connection;
use rusqlite::types::Value;

use super::codec::Line;
use super::fault::Fault;
use super::table::{CHANGE, DRAFT, EPOCH_KEY, MEMBER, OUTGOING, SIGNATURE, SNAPSHOT, WRITER};
use super::tally::Found;
use super::{census, codec, write};
use crate::error::StoreError;
use crate::model::{BlobHere, DraftLine, Loaded, StoredChange, StoredPeople};

const OF_RECORD: &str = "WHERE record = ?1 ORDER BY n";

/// The record's own line, or that there is no such record.
pub(super) fn line(conn: &Connection, record: &RecordId, found: &mut Found) -> Result<Line, Fault> {
    if let Some(line) = write::line(conn, record)? {
        return Ok(line);
    }
    census::look_for(conn, record, found)?;
    Err(StoreError::NoSuchRecord { record: *record }.into())
}

/// Everything but projections; `change` reads the changes. Damaged rows are left out and noted.
pub(super) fn load(
    conn: &Connection,
    record: &RecordId,
    change: fn(Vec<Value>) -> Option<StoredChange>,
    found: &mut Found,
) -> Result<Loaded, Fault> {
    let key = [record.as_bytes()];
    let Line { generation, tally } = line(conn, record, found)?;
    let newest = "WHERE record = ?1 ORDER BY n DESC LIMIT 1";
    let snapshot = SNAPSHOT.read(conn, newest, key, codec::snapshot)?.collect(found).pop();
    let (snapshot, compacted) = match snapshot {
        Some((snapshot, compacted)) => (Some(snapshot), compacted),
        None => (None, fallaway_order::Map::new()),
    };
    let mut signatures = SIGNATURE.read(conn, OF_RECORD, key, codec::signature)?.collect(found);
    signatures.put_in_order_by_key(|signature| (signature.writer, signature.seq, signature.hash));
    let loaded = Loaded {
        generation,
        snapshot,
        compacted,
        changes: CHANGE.read(conn, OF_RECORD, key, change)?.collect(found),
        signatures,
        draft: draft(conn, record, found)?,
        members: MEMBER.read(conn, OF_RECORD, key, codec::member)?.collect(found),
        epoch_keys: EPOCH_KEY.read(conn, OF_RECORD, key, codec::epoch_key)?.collect(found),
        writers: WRITER.read(conn, OF_RECORD, key, codec::writer)?.collect(found),
        outgoing: OUTGOING.read(conn, OF_RECORD, key, codec::outgoing)?.collect(found),
    };
    found.compare(tally);
    Ok(loaded)
}

/// Member operations and keys, as [`load`] gives them.
pub(super) fn people(
    conn: &Connection,
    record: &RecordId,
    found: &mut Found,
) -> Result<StoredPeople, Fault> {
    let key = [record.as_bytes()];
    Ok(StoredPeople {
        members: MEMBER.read(conn, OF_RECORD, key, codec::member)?.collect(found),
        epoch_keys: EPOCH_KEY.read(conn, OF_RECORD, key, codec::epoch_key)?.collect(found),
    })
}

/// What is here of a record's photos. Their bytes are looked at when they are read.
pub(super) fn blobs(conn: &Connection, record: &RecordId) -> Result<Vec<BlobHere>, Fault> {
    let sql = "SELECT blob, max(parts), count(*), sum(length(bytes)) FROM blob
               WHERE record = ?1 GROUP BY blob ORDER BY blob";
    let mut statement = conn.prepare_cached(sql)?;
    let mut rows = statement.query([record.as_bytes()])?;
    let mut blobs = Vec::new();
    while let Some(row) = rows.next()? {
        let number = |column| row.get::<_, i64>(column).map(u64::try_from);
        let id = row.get_ref(0)?.as_blob().ok().and_then(|id| BlobId::try_from(id).ok());
        let (Some(blob), Ok(parts), Ok(here), Ok(bytes)) = (id, number(1)?, number(2)?, number(3)?)
        else {
            continue;
        };
        if let (Ok(parts), Ok(here)) = (u32::try_from(parts), u32::try_from(here)) {
            blobs.push(BlobHere { blob, parts, here, bytes });
        }
    }
    Ok(blobs)
}

/// The draft, by ordinal.
pub(super) fn draft(
    conn: &Connection,
    record: &RecordId,
    found: &mut Found,
) -> Result<Vec<DraftLine>, Fault> {
    let by_ordinal = "WHERE record = ?1 ORDER BY ordinal";
    Ok(DRAFT.read(conn, by_ordinal, [record.as_bytes()], codec::draft)?.collect(found))
}
