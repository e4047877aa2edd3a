//! Rows with checksums: one way to read and write every table.

use std::fmt::Write as _;
use std::sync::OnceLock;

use blake3::Hasher;
use rusqlite::types::{ToSqlOutput, Value, ValueRef};
use rusqlite::{Connection, OptionalExtension, Params, params_from_iter};

use super::fault::{BadRow, Fault};
use super::tally::{Found, SUM, Tally};
use crate::model::DamagedPart;

/// Separates these checksums from every other use of the hash. Frozen.
const CONTEXT: &str = "fallaway v1 store row";

/// A table: its columns between `n` and `sum`, the first `key` of which name a row.
pub(super) struct Table {
    pub name: &'static str,
    pub part: DamagedPart,
    pub columns: &'static [&'static str],
    pub key: usize,
    statements: OnceLock<Statements>,
}

struct Statements {
    select: String,
    find: String,
    insert: String,
    update: String,
    upsert: String,
    delete: String,
}

/// A row whose checksum is right.
pub(super) struct Row<T> {
    pub n: i64,
    pub sum: [u8; SUM],
    pub value: T,
}

/// The sound rows of an answer, and those that are not.
pub(super) struct Rows<T> {
    pub sound: Vec<Row<T>>,
    pub bad: Vec<BadRow>,
}

impl<T> Rows<T> {
    /// The values of the sound rows. They are counted in `found`, and the bad ones noted there.
    pub(super) fn collect(self, found: &mut Found) -> Vec<T> {
        found.bad.extend(self.bad);
        let counted = self.sound.into_iter().map(|row| {
            found.tally.add(&row.sum);
            row.value
        });
        counted.collect()
    }

    /// The values of the sound rows.
    ///
    /// # Errors
    /// [`Fault::Rows`] if there are others.
    pub(super) fn all_sound(self) -> Result<Vec<T>, Fault> {
        if self.bad.is_empty() {
            Ok(self.sound.into_iter().map(|row| row.value).collect())
        } else {
            Err(Fault::Rows(self.bad))
        }
    }
}

impl Table {
    const fn new(
        name: &'static str,
        part: DamagedPart,
        key: usize,
        columns: &'static [&'static str],
    ) -> Self {
        Self { name, part, columns, key, statements: OnceLock::new() }
    }

    fn statements(&self) -> &Statements {
        self.statements.get_or_init(|| {
            let name = self.name;
            let columns = self.columns.join(", ");
            let mut marks = "?".to_owned();
            let mut updates = "sum = excluded.sum".to_owned();
            let mut named = String::new();
            let mut key = String::new();
            for (place, column) in self.columns.iter().enumerate() {
                marks.push_str(", ?");
                // Writing to a string cannot fail.
                if place < self.key {
                    let comma = if place == 0 { "" } else { ", " };
                    let and = if place == 0 { "" } else { " AND " };
                    let _ = write!(key, "{comma}{column}");
                    let _ = write!(named, "{and}{column} = ?{}", place + 1);
                } else {
                    let _ = write!(updates, ", {column} = excluded.{column}");
                }
            }
            let insert = format!("INSERT INTO {name} ({columns}, sum) VALUES ({marks})");
            let every = format!("({columns}, sum) = ({marks})");
            let row = self.columns.len() + 2;
            Statements {
                select: format!("SELECT n, {columns}, sum FROM {name}"),
                find: format!("SELECT n, sum FROM {name} WHERE {named}"),
                upsert: format!("{insert} ON CONFLICT ({key}) DO UPDATE SET {updates}"),
                insert,
                update: format!("UPDATE {name} SET {every} WHERE n = ?{row}"),
                delete: format!("DELETE FROM {name} WHERE {named} RETURNING sum"),
            }
        })
    }

    /// Whether the tally of its record counts its rows.
    pub(super) fn is_counted(&self) -> bool {
        use DamagedPart::{Blob, Meta, Projection, Record};
        !matches!(self.part, Record | Projection | Meta | Blob)
    }

    /// The checksum of a row: BLAKE3 over the table and every column with its type and length. The
    /// hasher is one of [`hasher`], also after other rows.
    fn sum<'v>(
        &self,
        hasher: &mut Hasher,
        cells: impl IntoIterator<Item = ValueRef<'v>>,
    ) -> [u8; SUM] {
        hasher.reset();
        hasher.update(self.name.as_bytes());
        for cell in cells {
            match cell {
                ValueRef::Null => hasher.update(&[0]),
                ValueRef::Integer(number) => hasher.update(&[1]).update(&number.to_le_bytes()),
                ValueRef::Real(number) => hasher.update(&[2]).update(&number.to_le_bytes()),
                ValueRef::Text(bytes) => {
                    hasher.update(&[3]).update(&(bytes.len() as u64).to_le_bytes()).update(bytes)
                }
                ValueRef::Blob(bytes) => {
                    hasher.update(&[4]).update(&(bytes.len() as u64).to_le_bytes()).update(bytes)
                }
            };
        }
        let mut sum = [0; SUM];
        hasher.finalize_xof().fill(&mut sum);
        sum
    }

    /// Writes a row; `n` is its number if it has one. Returns its checksum.
    fn write(
        &self,
        conn: &Connection,
        sql: &str,
        cells: &[ValueRef<'_>],
        n: Option<i64>,
    ) -> Result<[u8; SUM], Fault> {
        debug_assert_eq!(cells.len(), self.columns.len(), "{}", self.name);
        let sum = self.sum(&mut hasher(), cells.iter().copied());
        let all = cells.iter().copied().chain([ValueRef::Blob(&sum)]);
        let all = all.chain(n.map(ValueRef::Integer)).map(ToSqlOutput::Borrowed);
        conn.prepare_cached(sql)?.execute(params_from_iter(all))?;
        Ok(sum)
    }

    /// Adds a row, or puts it in place of the one with its key. For rows that no tally counts.
    pub(super) fn put(&self, conn: &Connection, cells: &[ValueRef<'_>]) -> Result<(), Fault> {
        self.write(conn, &self.statements().upsert, cells, None).map(drop)
    }

    /// Adds a row.
    pub(super) fn insert(
        &self,
        conn: &Connection,
        cells: &[ValueRef<'_>],
        tally: &mut Tally,
    ) -> Result<(), Fault> {
        tally.add(&self.write(conn, &self.statements().insert, cells, None)?);
        Ok(())
    }

    /// Adds a row, or puts it in place of the one with its key.
    pub(super) fn put_counted(
        &self,
        conn: &Connection,
        cells: &[ValueRef<'_>],
        tally: &mut Tally,
    ) -> Result<(), Fault> {
        let key = cells.iter().take(self.key).copied().map(ToSqlOutput::Borrowed);
        let found = conn
            .prepare_cached(&self.statements().find)?
            .query_row(params_from_iter(key), |row| {
                tally.remove(stored_sum(row, 1));
                row.get(0)
            })
            .optional()?;
        let Some(n) = found else { return self.insert(conn, cells, tally) };
        tally.add(&self.write(conn, &self.statements().update, cells, Some(n))?);
        Ok(())
    }

    /// Removes the row with this key, if it is there.
    pub(super) fn remove(
        &self,
        conn: &Connection,
        key: &[ValueRef<'_>],
        tally: &mut Tally,
    ) -> Result<(), Fault> {
        debug_assert_eq!(key.len(), self.key, "{}", self.name);
        let key = key.iter().copied().map(ToSqlOutput::Borrowed);
        delete(conn, &self.statements().delete, params_from_iter(key), tally)
    }

    /// Reads the rows that `rest` (a `WHERE` and what may follow it) chooses.
    pub(super) fn read<T>(
        &self,
        conn: &Connection,
        rest: &str,
        params: impl Params,
        decode: impl Fn(Vec<Value>) -> Option<T>,
    ) -> Result<Rows<T>, Fault> {
        self.read_that(conn, rest, params, |_| true, decode)
    }

    /// Of those rows the ones that `asked` says yes to. The others are not looked at for damage.
    pub(super) fn read_that<T>(
        &self,
        conn: &Connection,
        rest: &str,
        params: impl Params,
        mut asked: impl FnMut(&rusqlite::Row<'_>) -> bool,
        decode: impl Fn(Vec<Value>) -> Option<T>,
    ) -> Result<Rows<T>, Fault> {
        let mut statement = conn.prepare_cached(&format!("{} {rest}", self.statements().select))?;
        let mut found = statement.query(params)?;
        let mut rows = Rows { sound: Vec::new(), bad: Vec::new() };
        let mut hasher = hasher();
        while let Some(row) = found.next()? {
            if !asked(row) {
                continue;
            }
            match self.verify(&mut hasher, row) {
                Ok(Row { n, sum, value }) => match decode(value) {
                    Some(value) => rows.sound.push(Row { n, sum, value }),
                    None => rows.bad.push(self.bad(n, "a column has a form that none has")),
                },
                Err(bad) => rows.bad.push(bad),
            }
        }
        Ok(rows)
    }

    /// Reads at most one row.
    pub(super) fn one<T>(
        &self,
        conn: &Connection,
        rest: &str,
        params: impl Params,
        decode: impl Fn(Vec<Value>) -> Option<T>,
    ) -> Result<Option<Row<T>>, Fault> {
        let mut rows = self.read(conn, rest, params, decode)?;
        if rows.bad.is_empty() { Ok(rows.sound.pop()) } else { Err(Fault::Rows(rows.bad)) }
    }

    /// Takes a row apart if its checksum is right.
    pub(super) fn verify(
        &self,
        hasher: &mut Hasher,
        row: &rusqlite::Row<'_>,
    ) -> Result<Row<Vec<Value>>, BadRow> {
        let n = row.get(0).unwrap_or(0);
        let bad = |reason| self.bad(n, reason);
        let mut cells = Vec::with_capacity(self.columns.len());
        for place in 1..=self.columns.len() {
            cells.push(row.get_ref(place).map_err(|_| bad("a column is missing"))?);
        }
        let stored = row.get_ref(self.columns.len() + 1).map_err(|_| bad("it has no checksum"))?;
        let sum = self.sum(hasher, cells.iter().copied());
        if stored != ValueRef::Blob(&sum) {
            return Err(bad("the checksum does not match"));
        }
        let value = cells
            .into_iter()
            .map(Value::try_from)
            .collect::<Result<_, _>>()
            .map_err(|_| bad("a text is not UTF-8"))?;
        Ok(Row { n, sum, value })
    }

    fn bad(&self, n: i64, reason: &'static str) -> BadRow {
        BadRow { table: self.name, n, part: self.part, reason }
    }
}

/// Makes checksums. Costs as much as a short row's checksum does, so keep it for the next row.
pub(super) fn hasher() -> Hasher {
    Hasher::new_derive_key(CONTEXT)
}

/// Deletes rows with a statement that ends with `RETURNING sum`.
pub(super) fn delete(
    conn: &Connection,
    sql: &str,
    params: impl Params,
    tally: &mut Tally,
) -> Result<(), Fault> {
    let mut statement = conn.prepare_cached(sql)?;
    let mut gone = statement.query(params)?;
    while let Some(row) = gone.next()? {
        tally.remove(stored_sum(row, 0));
    }
    Ok(())
}

/// A checksum as it is stored; nothing for one of another type.
pub(super) fn stored_sum<'r>(row: &'r rusqlite::Row<'_>, column: usize) -> &'r [u8] {
    row.get_ref(column).ok().and_then(|sum| sum.as_blob().ok()).unwrap_or_default()
}

pub(super) static RECORD: Table =
    Table::new("record", DamagedPart::Record, 1, &["id", "generation", "rows", "sums"]);
pub(super) static SNAPSHOT: Table = Table::new(
    "snapshot",
    DamagedPart::Snapshot,
    1,
    &["record", "heads", "changes", "compacted", "bytes"],
);
pub(super) static CHANGE: Table = Table::new(
    "change",
    DamagedPart::Change,
    2,
    &["record", "hash", "writer", "seq", "deps", "standing", "reason", "bytes"],
);
pub(super) static SIGNATURE: Table = Table::new(
    "signature",
    DamagedPart::Signature,
    4,
    &["record", "writer", "seq", "hash", "bytes"],
);
pub(super) static DRAFT: Table = Table::new(
    "draft",
    DamagedPart::Draft,
    2,
    &[
        "record",
        "ordinal",
        "container",
        "key",
        "value",
        "entry_writer",
        "entry_number",
        "started_at",
    ],
);
pub(super) static MEMBER: Table =
    Table::new("member", DamagedPart::Member, 2, &["record", "hash", "standing", "bytes"]);
pub(super) static EPOCH_KEY: Table =
    Table::new("epoch_key", DamagedPart::EpochKey, 2, &["record", "epoch", "wrapped"]);
pub(super) static WRITER: Table = Table::new(
    "writer",
    DamagedPart::Writer,
    2,
    &["record", "writer", "incarnation", "next_entry"],
);
pub(super) static PROJECTION: Table =
    Table::new("projection", DamagedPart::Projection, 2, &["record", "kind", "bytes"]);
pub(super) static OUTGOING: Table =
    Table::new("outgoing", DamagedPart::Outgoing, 3, &["record", "kind", "hash"]);
pub(super) static BLOB: Table =
    Table::new("blob", DamagedPart::Blob, 3, &["record", "blob", "part", "parts", "bytes"]);
pub(super) static META: Table = Table::new("meta", DamagedPart::Meta, 1, &["key", "value"]);

/// Every table whose rows have checksums.
pub(super) static ALL: [&Table; 12] = [
    &RECORD,
    &SNAPSHOT,
    &CHANGE,
    &SIGNATURE,
    &DRAFT,
    &MEMBER,
    &EPOCH_KEY,
    &WRITER,
    &PROJECTION,
    &OUTGOING,
    &BLOB,
    &META,
];
