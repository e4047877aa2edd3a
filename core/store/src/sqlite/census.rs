//! Which records the store should have: a damaged index can hide a whole one.

use fallaway_changes::RecordId;
use rusqlite::Connection;
use rusqlite::types::ValueRef;

use super::codec;
use super::fault::Fault;
use super::table::{META, RECORD};
use super::tally::{Found, Tally};

/// The value of the store that counts its records.
const RECORDS: &str = "records";

/// Which records the store should have.
pub(super) fn wanted(conn: &Connection) -> Result<Tally, Fault> {
    let row = META.one(conn, "WHERE key = ?1", [RECORDS], codec::meta)?;
    Ok(row.and_then(|row| Tally::decode(&row.value)).unwrap_or_default())
}

/// Notes which records the store has.
pub(super) fn set(conn: &Connection, tally: Tally) -> Result<(), Fault> {
    META.put(conn, &[ValueRef::Text(RECORDS.as_bytes()), ValueRef::Blob(&tally.encode())])
}

/// Looks for a record that its index does not know, past the index.
pub(super) fn look_for(
    conn: &Connection,
    record: &RecordId,
    found: &mut Found,
) -> Result<(), Fault> {
    let rows = RECORD.read(conn, "NOT INDEXED", [], codec::record)?;
    let ids: Vec<RecordId> = rows.collect(found).into_iter().map(|(id, _)| id).collect();
    compare(conn, &ids, found)?;
    if ids.contains(record) {
        found.missing = Some("a record cannot be found");
    }
    Ok(())
}

/// Compares the records that were found with those that there should be.
pub(super) fn compare<'i>(
    conn: &Connection,
    ids: impl IntoIterator<Item = &'i RecordId>,
    found: &mut Found,
) -> Result<(), Fault> {
    if of(ids) != wanted(conn)? {
        found.missing = Some("a record cannot be found");
    }
    Ok(())
}

/// The tally of these records.
pub(super) fn of<'i>(ids: impl IntoIterator<Item = &'i RecordId>) -> Tally {
    let mut tally = Tally::default();
    for id in ids {
        tally.add(id.as_bytes());
    }
    tally
}
