//! Counts for a developer.

use rusqlite::Connection;

use super::fault::Fault;
use super::schema;
use crate::model::{ChangeStanding, Diagnostics};

/// Counts everything in the file.
pub(super) fn all(conn: &Connection) -> Result<Diagnostics, Fault> {
    let count = |rest: &str| -> Result<u64, Fault> {
        let found: i64 =
            conn.query_row(&format!("SELECT count(*) FROM {rest}"), [], |row| row.get(0))?;
        Ok(u64::try_from(found).unwrap_or(0))
    };
    let pragma = |name: &str| -> Result<u64, Fault> {
        let found: i64 = conn.pragma_query_value(None, name, |row| row.get(0))?;
        Ok(u64::try_from(found).unwrap_or(0))
    };
    let mut changes = [0; 4];
    for (found, standing) in changes.iter_mut().zip(ChangeStanding::ALL) {
        *found = count(&format!("change WHERE standing = {}", standing.number()))?;
    }
    let page = pragma("page_size")?;
    Ok(Diagnostics {
        schema: schema::version(conn)?,
        engine: rusqlite::version().to_owned(),
        records: count("record")?,
        snapshots: count("snapshot")?,
        changes,
        signatures: count("signature")?,
        draft_lines: count("draft")?,
        member_ops: count("member")?,
        projections: count("projection")?,
        outgoing: count("outgoing")?,
        blob_parts: count("blob")?,
        damaged: count("damaged")?,
        file_bytes: pragma("page_count")?.saturating_mul(page),
        free_bytes: pragma("freelist_count")?.saturating_mul(page),
    })
}
