//! Damaged rows: moved out of the way, kept, reported.

use fallaway_changes::RecordId;
use rusqlite::{Connection, OptionalExtension};

use super::codec::Line;
use super::fault::{BadRow, Fault};
use super::table::{self, Table};
use super::tally::Tally;
use super::write;
use crate::model::{Damage, DamagedPart, Generation};

/// Moves rows into `damaged`, and the records they belong to on to their next generation, so that
/// whoever has loaded them loads them again.
pub(super) fn set_aside(conn: &Connection, rows: &[BadRow]) -> Result<(), Fault> {
    for row in rows {
        let Some(table) = table::ALL.into_iter().find(|table| table.name == row.table) else {
            continue;
        };
        if row.part == DamagedPart::Record {
            // Removing it would remove everything of the record; salvage makes the line anew.
            return Err(Fault::Corrupt(format!("a record's own line: {}", row.reason)));
        }
        let Some((record, content)) = spell(conn, table, row.n)? else {
            continue;
        };
        keep(conn, record.as_ref(), row, &content)?;
        // If it is the checksum that is damaged, the tally will not fit, and the file is repaired.
        let mut gone = Tally::default();
        let delete = format!("DELETE FROM {} WHERE n = ?1 RETURNING sum", table.name);
        table::delete(conn, &delete, [row.n], &mut gone)?;
        let Some(record) = record else { continue };
        if matches!(row.part, DamagedPart::Snapshot | DamagedPart::Change) {
            conn.prepare_cached("DELETE FROM projection WHERE record = ?1")?
                .execute([record.as_bytes()])?;
        }
        if let Some(Line { generation: Generation(now), mut tally }) = write::line(conn, &record)? {
            if row.part == DamagedPart::Snapshot {
                tally.merge(write::newest_snapshot_sum(conn, &record)?);
            }
            if table.is_counted() {
                tally.merge(gone);
            }
            let generation = Generation(now.saturating_add(1));
            write::set_line(conn, &record, Line { generation, tally })?;
        }
    }
    Ok(())
}

/// A row as text, every column as an SQL literal, and the record that it belongs to.
pub(super) fn spell(
    conn: &Connection,
    table: &Table,
    n: i64,
) -> Result<Option<(Option<RecordId>, String)>, Fault> {
    let literals: Vec<String> =
        table.columns.iter().chain(&["sum"]).map(|column| format!("quote({column})")).collect();
    let owner = if table.part == DamagedPart::Meta {
        "NULL"
    } else {
        table.columns.first().unwrap_or(&"NULL")
    };
    let sql = format!(
        "SELECT {owner}, {} FROM {} WHERE n = ?1",
        literals.join(" || ', ' || "),
        table.name
    );
    let found = conn
        .prepare(&sql)?
        .query_row([n], |row| {
            let owner = row.get_ref(0)?.as_blob_or_null().ok().flatten();
            let record = owner.and_then(|bytes| RecordId::try_from(bytes).ok());
            // A text that is not UTF-8 is spelled with replacement characters.
            let content = row.get_ref(1)?.as_bytes().map(String::from_utf8_lossy);
            Ok((record, content.unwrap_or_default().into_owned()))
        })
        .optional()?;
    Ok(found)
}

/// Keeps a row in `damaged`.
pub(super) fn keep(
    conn: &Connection,
    record: Option<&RecordId>,
    row: &BadRow,
    content: &str,
) -> Result<(), Fault> {
    let name = format!("{} {}", row.table, row.n);
    let reason = row.reason.to_owned();
    let damage = Damage { record: record.copied(), part: row.part, name, reason };
    report(conn, &damage, content)
}

/// Adds a line to `damaged`.
pub(super) fn report(conn: &Connection, damage: &Damage, content: &str) -> Result<(), Fault> {
    conn.prepare_cached(
        "INSERT INTO damaged (record, part, name, reason, content) VALUES (?1, ?2, ?3, ?4, ?5)",
    )?
    .execute((
        damage.record.as_ref().map(RecordId::as_bytes),
        damage.part.number(),
        &damage.name,
        &damage.reason,
        content,
    ))?;
    Ok(())
}

/// Rows that were set aside, oldest first.
pub(super) fn list(conn: &Connection) -> Result<Vec<Damage>, Fault> {
    let mut statement =
        conn.prepare_cached("SELECT record, part, name, reason FROM damaged ORDER BY n")?;
    let mut rows = statement.query([])?;
    let mut found = Vec::new();
    while let Some(row) = rows.next()? {
        // These rows have no checksum: one that is damaged itself is told as far as it can be read.
        let record = row.get_ref(0)?.as_blob_or_null().ok().flatten();
        let text = |column| {
            let bytes = row.get_ref(column).ok().and_then(|cell| cell.as_bytes().ok());
            bytes.map_or_else(|| "?".to_owned(), |text| String::from_utf8_lossy(text).into_owned())
        };
        found.push(Damage {
            record: record.and_then(|bytes| RecordId::try_from(bytes).ok()),
            part: row.get(1).map_or(DamagedPart::Other(u8::MAX), DamagedPart::from_number),
            name: text(2),
            reason: text(3),
        });
    }
    Ok(found)
}
