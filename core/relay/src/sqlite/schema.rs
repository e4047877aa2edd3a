//! The tables, by version.

use rusqlite::Connection;

use crate::model::ShelvesError;

/// "Fwrl": what tells the file from other programs' databases.
const APPLICATION: i64 = 0x4677_726c;

/// What leads from each version to the next. None is ever changed.
const STEPS: [&str; 3] = [
    "
    CREATE TABLE log(
        log BLOB NOT NULL PRIMARY KEY, last INTEGER NOT NULL, chain BLOB NOT NULL,
        bytes INTEGER NOT NULL, admin BLOB NOT NULL, admin_before BLOB,
        touched INTEGER NOT NULL, gone INTEGER
    ) STRICT, WITHOUT ROWID;
    CREATE INDEX log_gone ON log(gone) WHERE gone IS NOT NULL;
    CREATE TABLE access(
        log BLOB NOT NULL, token BLOB NOT NULL, retired_at INTEGER, PRIMARY KEY(log, token)
    ) STRICT, WITHOUT ROWID;
    CREATE TABLE item(
        n INTEGER PRIMARY KEY, log BLOB NOT NULL, seq INTEGER NOT NULL, id BLOB NOT NULL,
        chain BLOB NOT NULL, sealed BLOB NOT NULL, UNIQUE(log, seq), UNIQUE(log, id)
    ) STRICT;
    CREATE TABLE knock(
        n INTEGER PRIMARY KEY, log BLOB NOT NULL, id BLOB NOT NULL, body BLOB NOT NULL, answer BLOB,
        expires INTEGER NOT NULL, UNIQUE(log, id)
    ) STRICT;
    CREATE INDEX knock_expires ON knock(expires);
    CREATE TABLE parcel(
        n INTEGER PRIMARY KEY, id BLOB NOT NULL UNIQUE, body BLOB NOT NULL, owner BLOB NOT NULL,
        expires INTEGER NOT NULL
    ) STRICT;
    CREATE INDEX parcel_expires ON parcel(expires);
",
    "
    CREATE TABLE blob(
        log BLOB NOT NULL, id BLOB NOT NULL, parts INTEGER NOT NULL, whole INTEGER NOT NULL,
        bytes INTEGER NOT NULL, at INTEGER NOT NULL, PRIMARY KEY(log, id)
    ) STRICT, WITHOUT ROWID;
    CREATE INDEX blob_unfinished ON blob(at) WHERE whole = 0;
    CREATE TABLE blob_part(
        n INTEGER PRIMARY KEY, log BLOB NOT NULL, id BLOB NOT NULL, part INTEGER NOT NULL,
        sealed BLOB NOT NULL, UNIQUE(log, id, part)
    ) STRICT;
",
    "
    ALTER TABLE blob ADD COLUMN away INTEGER NOT NULL DEFAULT 0;
    CREATE TABLE object(name BLOB NOT NULL PRIMARY KEY, at INTEGER NOT NULL) STRICT, WITHOUT ROWID;
    CREATE INDEX object_at ON object(at);
",
];

/// The version that the file has, if it is one of ours, or empty.
pub(super) fn look(conn: &Connection) -> Result<i64, ShelvesError> {
    let pragma = |name: &str| -> Result<i64, rusqlite::Error> {
        conn.pragma_query_value(None, name, |row| row.get(0))
    };
    let (found, ours) = (pragma("user_version")?, pragma("application_id")? == APPLICATION);
    let tables: i64 = conn.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    match found {
        _ if !ours && tables > 0 => {
            Err(ShelvesError::Engine("it is another program's database".to_owned()))
        }
        _ if ours && found > known() => Err(ShelvesError::Newer { found, known: known() }),
        _ => Ok(found),
    }
}

fn known() -> i64 {
    i64::try_from(STEPS.len()).unwrap_or(i64::MAX)
}

/// Brings the tables to this version, in one transaction.
pub(super) fn migrate(conn: &mut Connection) -> Result<(), ShelvesError> {
    let transaction = conn.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
    let found = look(&transaction)?;
    for step in STEPS.iter().skip(usize::try_from(found).unwrap_or(0)) {
        transaction.execute_batch(step)?;
    }
    transaction.pragma_update(None, "application_id", APPLICATION)?;
    transaction.pragma_update(None, "user_version", known())?;
    transaction.commit()?;
    Ok(())
}
