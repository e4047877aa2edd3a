//! Getting what can be read out of a file with damaged pages.

use fallaway_changes::RecordId;
use rusqlite::{Connection, OpenFlags, params_from_iter, types::ToSqlOutput, types::ValueRef};

use super::fault::Fault;
use super::open::{Options, connect};
use super::place::Place;
use super::table::{self, Table};
use super::{damage, schema, write};
use crate::error::StoreError;
use crate::model::{Generation, Part};

/// How many row numbers are tried one by one in a stretch that cannot be walked, for each page of
/// the file (a page holds no more rows than that) and at most.
const PROBES_PER_PAGE: i64 = 64;
const PROBES: i64 = 200_000;

/// How far generations jump, so that whoever has loaded a record before loads it again.
const JUMP: u64 = 1 << 32;

/// Copies every sound row into a new file, keeps the damaged file beside it, and puts the new one
/// in its place. No other process has the store open. Cut short at any moment, it begins anew or
/// finishes at the next open.
pub(super) fn run(place: &Place, options: &Options, reason: &str) -> Result<(), StoreError> {
    place.note_repair(reason)?;
    place.drop_rescue()?;
    copy(place, options).map_err(|fault| fault.into_error(&place.rescue_part()))?;
    place.finish_rescue()?;
    place.set_aside(reason)?;
    place.use_rescue()
}

fn copy(place: &Place, options: &Options) -> Result<(), Fault> {
    let mut new = connect(&place.rescue_part(), options, OpenFlags::SQLITE_OPEN_CREATE)?;
    schema::migrate(&mut new)?;
    // A row may be sound while its record's own line is lost.
    new.pragma_update(None, "foreign_keys", false)?;
    let tx = new.transaction()?;
    // A file that cannot even be opened has nothing to give.
    if let Ok(old) = connect(&place.database(), options, OpenFlags::empty()) {
        for table in table::ALL {
            // Projections are rebuilt: they may show what was lost.
            if table.part != Part::Projection {
                copy_table(&old, &tx, table)?;
            }
        }
        copy_damaged(&old, &tx);
    }
    renumber(&tx)?;
    tx.commit()?;
    new.close().map_err(|(_, error)| error.into())
}

fn copy_table(old: &Connection, new: &Connection, table: &Table) -> Result<(), Fault> {
    let columns = table.columns.join(", ");
    let marks = vec!["?"; table.columns.len() + 2].join(", ");
    let insert =
        format!("INSERT OR IGNORE INTO {} (n, {columns}, sum) VALUES ({marks})", table.name);
    let mut insert = new.prepare(&insert)?;
    let mut bad = Vec::new();
    let select = format!("SELECT n, {columns}, sum FROM {}", table.name);
    walk(old, &select, &mut |row| {
        if let Err(row) = table.verify(row) {
            bad.push(row);
            return Ok(());
        }
        let cells: Vec<ValueRef<'_>> = (0..table.columns.len() + 2)
            .map(|place| row.get_ref(place))
            .collect::<Result<_, _>>()?;
        insert.execute(params_from_iter(cells.into_iter().map(ToSqlOutput::Borrowed)))?;
        Ok(())
    })?;
    for row in bad {
        // What cannot be read again is in the file that is kept.
        if let Ok(Some((record, content))) = damage::spell(old, table, row.n) {
            damage::keep(new, record.as_ref(), &row, &content)?;
        }
    }
    Ok(())
}

/// What is done with a row that can be read. An error ends the walk: it is the new file's.
type Visit<'v> = &'v mut dyn FnMut(&rusqlite::Row<'_>) -> Result<(), Fault>;

/// Visits every row that can be read: upwards to the damaged page, downwards to it from the other
/// end, and what lies between by row number.
fn walk(old: &Connection, select: &str, visit: Visit<'_>) -> Result<(), Fault> {
    let up = format!("{select} WHERE n > ?1 ORDER BY n");
    let (low, whole) = stretch(old, &up, i64::MIN, i64::MAX, visit)?;
    if whole {
        return Ok(());
    }
    let down = format!("{select} WHERE n < ?1 ORDER BY n DESC");
    let (high, _) = stretch(old, &down, i64::MAX, low, visit)?;
    let at = format!("{select} WHERE n = ?1");
    let pages = old.pragma_query_value(None, "page_count", |row| row.get(0)).unwrap_or(0_i64);
    let probes = pages.saturating_mul(PROBES_PER_PAGE).min(PROBES);
    let begin = low.max(0).saturating_add(1);
    for n in begin..high.min(begin.saturating_add(probes)) {
        stretch(old, &at, n, i64::MAX, visit)?;
    }
    Ok(())
}

/// Visits rows in the order of the statement until it ends, fails, or reaches `stop`. Returns the
/// last row number seen (or `from`), and whether the end was reached.
fn stretch(
    old: &Connection,
    sql: &str,
    from: i64,
    stop: i64,
    visit: Visit<'_>,
) -> Result<(i64, bool), Fault> {
    let mut last = from;
    let Ok(mut statement) = old.prepare_cached(sql) else { return Ok((last, false)) };
    let Ok(mut rows) = statement.query([from]) else { return Ok((last, false)) };
    loop {
        match rows.next() {
            Ok(Some(row)) => {
                let Ok(n) = row.get::<_, i64>(0) else { return Ok((last, false)) };
                if n == stop {
                    return Ok((last, true));
                }
                visit(row)?;
                last = n;
            }
            Ok(None) => return Ok((last, true)),
            Err(_) => return Ok((last, false)),
        }
    }
}

/// Rows that were set aside earlier come along, as far as they can be read.
fn copy_damaged(old: &Connection, new: &Connection) {
    let select = "SELECT n, record, part, name, reason, content FROM damaged";
    // Best effort: the old file is kept, and with it what could not be copied.
    let _ = walk(old, select, &mut |row| {
        let cells: Vec<ValueRef<'_>> =
            (0..6).map(|place| row.get_ref(place)).collect::<Result<_, _>>()?;
        new.prepare_cached(
            "INSERT INTO damaged (n, record, part, name, reason, content) \
             VALUES (?1, ?2, ?3, ?4, ?5, ?6) ON CONFLICT (n) DO NOTHING",
        )?
        .execute(params_from_iter(cells.into_iter().map(ToSqlOutput::Borrowed)))?;
        Ok(())
    });
}

/// Gives every record its own line again, with a generation that nobody has loaded.
fn renumber(new: &Connection) -> Result<(), Fault> {
    let mut owners: Vec<String> = vec!["SELECT id FROM record".to_owned()];
    owners.extend(
        table::ALL
            .iter()
            .filter(|table| !matches!(table.part, Part::Record | Part::Meta))
            .map(|table| format!("SELECT record FROM {}", table.name)),
    );
    let mut statement = new.prepare(&owners.join(" UNION "))?;
    let mut rows = statement.query([])?;
    let mut records = Vec::new();
    while let Some(row) = rows.next()? {
        records.extend(RecordId::try_from(row.get::<_, Vec<u8>>(0)?.as_slice()).ok());
    }
    let greatest: Option<i64> =
        new.query_row("SELECT max(generation) FROM record", [], |row| row.get(0))?;
    let next = u64::try_from(greatest.unwrap_or(0)).unwrap_or(0).saturating_add(JUMP);
    for record in records {
        write::set_generation(new, &record, Generation(next))?;
    }
    Ok(())
}
