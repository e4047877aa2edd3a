//! The tables, by version.

use tokio_postgres::Client;

use crate::model::ShelvesError;

/// What leads from each version to the next. None is ever changed.
const STEPS: [&str; 3] = [
    "
    CREATE TABLE log(
        log BYTEA PRIMARY KEY, last BIGINT NOT NULL, chain BYTEA NOT NULL, bytes BIGINT NOT NULL,
        admin BYTEA NOT NULL, admin_before BYTEA, touched BIGINT NOT NULL, gone BIGINT
    ) WITH (fillfactor = 50);
    CREATE INDEX log_gone ON log(gone) WHERE gone IS NOT NULL;
    CREATE TABLE access(
        log BYTEA NOT NULL, token BYTEA NOT NULL, retired_at BIGINT, PRIMARY KEY(log, token)
    );
    CREATE TABLE item(
        log BYTEA NOT NULL, seq BIGINT NOT NULL, id BYTEA NOT NULL, chain BYTEA NOT NULL,
        sealed BYTEA NOT NULL, PRIMARY KEY(log, seq), UNIQUE(log, id)
    );
    ALTER TABLE item ALTER sealed SET STORAGE EXTERNAL;
    CREATE TABLE knock(
        log BYTEA NOT NULL, id BYTEA NOT NULL, body BYTEA NOT NULL, answer BYTEA,
        expires BIGINT NOT NULL, PRIMARY KEY(log, id)
    );
    CREATE INDEX knock_expires ON knock(expires);
    CREATE TABLE parcel(
        id BYTEA PRIMARY KEY, body BYTEA NOT NULL, owner BYTEA NOT NULL, expires BIGINT NOT NULL
    );
    CREATE INDEX parcel_expires ON parcel(expires);
",
    "
    CREATE TABLE blob(
        log BYTEA NOT NULL, id BYTEA NOT NULL, parts BIGINT NOT NULL, whole BOOLEAN NOT NULL,
        bytes BIGINT NOT NULL, at BIGINT NOT NULL, PRIMARY KEY(log, id)
    );
    CREATE INDEX blob_unfinished ON blob(at) WHERE NOT whole;
    CREATE TABLE blob_part(
        log BYTEA NOT NULL, id BYTEA NOT NULL, part BIGINT NOT NULL, sealed BYTEA NOT NULL,
        PRIMARY KEY(log, id, part)
    );
    ALTER TABLE blob_part ALTER sealed SET STORAGE EXTERNAL;
",
    "
    ALTER TABLE blob ADD COLUMN away BOOLEAN NOT NULL DEFAULT FALSE;
    CREATE TABLE object(name BYTEA PRIMARY KEY, at BIGINT NOT NULL);
    CREATE INDEX object_at ON object(at);
",
];

/// Brings the tables to this version, in one transaction; other processes wait for it.
pub(super) async fn migrate(client: &mut Client) -> Result<(), ShelvesError> {
    let known = i64::try_from(STEPS.len()).unwrap_or(i64::MAX);
    let work = client.transaction().await?;
    // Let go with the transaction, so that a pooler may hand the connection on.
    work.batch_execute(
        "SELECT pg_advisory_xact_lock(1180136044);
         CREATE TABLE IF NOT EXISTS meta(key TEXT PRIMARY KEY, value BIGINT NOT NULL);",
    )
    .await?;
    let found = work.query_typed("SELECT value FROM meta WHERE key = 'version'", &[]).await?;
    let found: i64 = match found.first() {
        Some(row) => row.try_get(0)?,
        None => 0,
    };
    if found > known {
        return Err(ShelvesError::Newer { found, known });
    }
    for step in STEPS.iter().skip(usize::try_from(found).unwrap_or(0)) {
        work.batch_execute(step).await?;
    }
    work.batch_execute(&format!(
        "INSERT INTO meta(key, value) VALUES('version', {known})
         ON CONFLICT(key) DO UPDATE SET value = {known}"
    ))
    .await?;
    work.commit().await?;
    Ok(())
}
