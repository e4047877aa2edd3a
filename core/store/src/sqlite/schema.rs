//! The tables, and how an older file becomes a newer one.

use rusqlite::{Connection, TransactionBehavior};

use super::fault::Fault;

/// Marks the file as ours ("FLWY"), in the header field that the format gives to applications.
pub(super) const APPLICATION_ID: i32 = 0x464c_5759;

/// Step `n` turns schema version `n` into `n + 1`. A released step is never edited.
///
/// Every row but those of `damaged` ends with a checksum over its other columns. Rows that belong
/// to a record carry its id rather than a row number, so that a row can be salvaged without its
/// record's own line. Projections of kind 1 are read for all records at once, so they lie side by side
/// in an index that holds all that is asked for.
const MIGRATIONS: [&str; 2] = [
    "
CREATE TABLE record (
  n INTEGER PRIMARY KEY,
  id BLOB NOT NULL UNIQUE,
  generation INTEGER NOT NULL,
  rows INTEGER NOT NULL,
  sums BLOB NOT NULL,
  sum BLOB NOT NULL
) STRICT;
CREATE TABLE snapshot (
  n INTEGER PRIMARY KEY,
  record BLOB NOT NULL REFERENCES record(id) ON DELETE CASCADE,
  heads BLOB NOT NULL,
  changes INTEGER NOT NULL,
  compacted BLOB NOT NULL,
  bytes BLOB NOT NULL,
  sum BLOB NOT NULL
) STRICT;
CREATE INDEX snapshot_record ON snapshot(record);
CREATE TABLE change (
  n INTEGER PRIMARY KEY,
  record BLOB NOT NULL REFERENCES record(id) ON DELETE CASCADE,
  hash BLOB NOT NULL,
  writer BLOB NOT NULL,
  seq INTEGER NOT NULL,
  deps BLOB NOT NULL,
  standing INTEGER NOT NULL,
  reason TEXT,
  bytes BLOB NOT NULL,
  sum BLOB NOT NULL,
  UNIQUE(record, hash)
) STRICT;
CREATE UNIQUE INDEX change_admitted ON change(record, writer, seq) WHERE standing = 0;
CREATE TABLE signature (
  n INTEGER PRIMARY KEY,
  record BLOB NOT NULL REFERENCES record(id) ON DELETE CASCADE,
  writer BLOB NOT NULL,
  seq INTEGER NOT NULL,
  hash BLOB NOT NULL,
  bytes BLOB NOT NULL,
  sum BLOB NOT NULL,
  UNIQUE(record, writer, seq, hash)
) STRICT;
CREATE TABLE draft (
  n INTEGER PRIMARY KEY,
  record BLOB NOT NULL REFERENCES record(id) ON DELETE CASCADE,
  ordinal INTEGER NOT NULL,
  container INTEGER NOT NULL,
  key TEXT NOT NULL,
  value BLOB NOT NULL,
  entry_writer BLOB,
  entry_number INTEGER,
  started_at INTEGER NOT NULL,
  sum BLOB NOT NULL,
  UNIQUE(record, ordinal)
) STRICT;
CREATE TABLE member (
  n INTEGER PRIMARY KEY,
  record BLOB NOT NULL REFERENCES record(id) ON DELETE CASCADE,
  hash BLOB NOT NULL,
  standing INTEGER NOT NULL,
  bytes BLOB NOT NULL,
  sum BLOB NOT NULL,
  UNIQUE(record, hash)
) STRICT;
CREATE TABLE epoch_key (
  n INTEGER PRIMARY KEY,
  record BLOB NOT NULL REFERENCES record(id) ON DELETE CASCADE,
  epoch BLOB NOT NULL,
  wrapped BLOB NOT NULL,
  sum BLOB NOT NULL,
  UNIQUE(record, epoch)
) STRICT;
CREATE TABLE writer (
  n INTEGER PRIMARY KEY,
  record BLOB NOT NULL REFERENCES record(id) ON DELETE CASCADE,
  writer BLOB NOT NULL,
  incarnation BLOB NOT NULL,
  next_entry INTEGER NOT NULL,
  sum BLOB NOT NULL,
  UNIQUE(record, writer)
) STRICT;
CREATE TABLE projection (
  n INTEGER PRIMARY KEY,
  record BLOB NOT NULL REFERENCES record(id) ON DELETE CASCADE,
  kind INTEGER NOT NULL,
  bytes BLOB NOT NULL,
  sum BLOB NOT NULL,
  UNIQUE(record, kind)
) STRICT;
CREATE INDEX projection_listed ON projection(record, kind, bytes, sum) WHERE kind = 1;
CREATE TABLE outgoing (
  n INTEGER PRIMARY KEY,
  record BLOB NOT NULL REFERENCES record(id) ON DELETE CASCADE,
  kind INTEGER NOT NULL,
  hash BLOB NOT NULL,
  sum BLOB NOT NULL,
  UNIQUE(record, kind, hash)
) STRICT;
CREATE TABLE meta (
  n INTEGER PRIMARY KEY,
  key TEXT NOT NULL UNIQUE,
  value BLOB NOT NULL,
  sum BLOB NOT NULL
) STRICT;
CREATE TABLE damaged (
  n INTEGER PRIMARY KEY,
  record BLOB,
  part INTEGER NOT NULL,
  name TEXT NOT NULL,
  reason TEXT NOT NULL,
  content TEXT NOT NULL
) STRICT;
CREATE INDEX damaged_record ON damaged(record);
",
    "
CREATE TABLE blob (
  n INTEGER PRIMARY KEY,
  record BLOB NOT NULL REFERENCES record(id) ON DELETE CASCADE,
  blob BLOB NOT NULL,
  part INTEGER NOT NULL,
  parts INTEGER NOT NULL,
  bytes BLOB NOT NULL,
  sum BLOB NOT NULL,
  UNIQUE(record, blob, part)
) STRICT;
",
];

/// The schema version that this library writes.
pub(super) const SCHEMA: u32 = MIGRATIONS.len() as u32;

/// Brings the file to [`SCHEMA`] in one transaction. Does nothing to a file that is there already;
/// two processes may do this at once.
pub(super) fn migrate(conn: &mut Connection) -> Result<(), Fault> {
    let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let found = version(&tx)?;
    for step in MIGRATIONS.iter().skip(found as usize) {
        tx.execute_batch(step)?;
    }
    if found < SCHEMA {
        tx.pragma_update(None, "application_id", APPLICATION_ID)?;
        tx.pragma_update(None, "user_version", SCHEMA)?;
    }
    tx.commit()?;
    Ok(())
}

/// The schema version of the file; 0 for a new one.
pub(super) fn version(conn: &Connection) -> Result<u32, Fault> {
    let found: i64 = conn.pragma_query_value(None, "user_version", |row| row.get(0))?;
    u32::try_from(found)
        .map_err(|_| Fault::Foreign(format!("its schema version is {found}, which none has")))
}

/// The application that the file says it belongs to; 0 for none.
pub(super) fn application(conn: &Connection) -> Result<i32, Fault> {
    Ok(conn.pragma_query_value(None, "application_id", |row| row.get(0))?)
}
