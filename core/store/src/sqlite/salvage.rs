//! Getting what can be read out of a file with damaged pages.

use fallaway_changes::RecordId;
use fallaway_order::Map;
use fallaway_order::OneByOne as _;
use rusqlite::{Connection, OpenFlags, params_from_iter, types::ToSqlOutput, types::ValueRef};

use super::codec::{self, Line};
use super::connection::{Options, connect};
use super::fault::Fault;
use super::folder::Folder;
use super::table::{self, RECORD, Table};
use super::tally::Tally;
use super::{census, damage, schema, write};
use crate::error::StoreError;
use crate::model::{Damage, DamagedPart, Generation};

/// How many row numbers are tried one by one in a stretch that cannot be walked, for each page of
/// the file (a page holds no more rows than that) and at most.
const PROBES_PER_PAGE: i64 = 64;
const PROBES: i64 = 200_000;

/// How far generations jump, so that whoever has loaded a record before loads it again.
const JUMP: u64 = 1 << 32;

/// Copies every sound row into a new file, keeps the damaged file beside it, and puts the new one
/// in its place. No other process has the store open. Cut short at any moment, it begins anew or
/// finishes at the next open.
pub(super) fn run(folder: &Folder, options: &Options, reason: &str) -> Result<(), StoreError> {
    folder.note_repair(reason)?;
    folder.drop_rescue()?;
    folder.fill_up()?;
    copy(folder, options).map_err(|fault| fault.into_error(&folder.rescue_part()))?;
    folder.finish_rescue()?;
    folder.set_aside(reason)?;
    folder.use_rescue()
}

fn copy(folder: &Folder, options: &Options) -> Result<(), Fault> {
    let mut new = connect(&folder.rescue_part(), options, OpenFlags::SQLITE_OPEN_CREATE)?;
    schema::migrate(&mut new)?;
    // A row may be sound while its record's own line is lost.
    new.pragma_update(None, "foreign_keys", false)?;
    let tx = new.transaction()?;
    // A file that cannot even be opened has nothing to give.
    if let Ok(old) = connect(&folder.database(), options, OpenFlags::empty()) {
        copy_damaged(&old, &tx);
        for table in table::ALL {
            // Projections are rebuilt: they may show what was lost.
            if table.part != DamagedPart::Projection {
                copy_table(&old, &tx, table)?;
            }
        }
    }
    settle(&tx)?;
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
    let mut hasher = table::hasher();
    let select = format!("SELECT n, {columns}, sum FROM {}", table.name);
    walk(old, &select, &mut |row| {
        if let Err(row) = table.verify(&mut hasher, row) {
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

/// Gives every record its own line again, with a generation that nobody has loaded and a tally of
/// what is here, and reports what that lacks.
fn settle(new: &Connection) -> Result<(), Fault> {
    let rows = RECORD.read(new, "", [], codec::record)?.all_sound()?;
    let known: Map<RecordId, Line> = rows.into_iter().in_map();
    let mut here: Map<RecordId, Tally> = known.keys().map(|id| (*id, Tally::default())).in_map();
    for table in table::ALL.into_iter().filter(|table| table.is_counted()) {
        // Of the snapshots only the newest is counted.
        let only = if table.part == DamagedPart::Snapshot {
            "GROUP BY record HAVING n = max(n)"
        } else {
            ""
        };
        let mut statement =
            new.prepare(&format!("SELECT record, sum FROM {} {only}", table.name))?;
        let mut rows = statement.query([])?;
        while let Some(row) = rows.next()? {
            let (record, sum): (Vec<u8>, Vec<u8>) = (row.get(0)?, row.get(1)?);
            if let Ok(record) = RecordId::try_from(record.as_slice()) {
                here.entry(record).or_default().add(&sum);
            }
        }
    }
    let next = known.values().map(|line| line.generation.0).max().unwrap_or(0).saturating_add(JUMP);
    for (record, tally) in &here {
        let reason = match known.get(record) {
            None => Some("its own line is lost; other parts may be, too".to_owned()),
            Some(line) if line.tally == *tally => None,
            Some(line) => Some(lacking("parts", line.tally, *tally)),
        };
        if let Some(reason) = reason {
            let name = "record".to_owned();
            let damage = Damage { record: Some(*record), part: DamagedPart::Record, name, reason };
            damage::report(new, &damage, "")?;
        }
        write::set_line(new, record, Line { generation: Generation(next), tally: *tally })?;
    }
    let ids: Vec<RecordId> = here.into_keys().collect();
    let (wanted, found) = (census::wanted(new)?, census::of(&ids));
    if wanted != found {
        let (name, reason) = ("records".to_owned(), lacking("records", wanted, found));
        damage::report(new, &Damage { record: None, part: DamagedPart::Record, name, reason }, "")?;
    }
    census::set(new, found)
}

fn lacking(what: &str, wanted: Tally, found: Tally) -> String {
    format!("of {} {what} {} could not be found", wanted.rows, found.fewer_than(wanted).max(0))
}
