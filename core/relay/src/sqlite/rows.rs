//! The rows of one connection.

use fallaway_changes::{BlobId, BundleId, LogId};
use fallaway_sync::wire::access::TokenHash;
use fallaway_sync::wire::chain::Chain;
use rusqlite::{Connection, OptionalExtension as _, Params, Row};

use crate::model::{Held, ShelvesError};
use crate::objects::ObjectName;
use crate::rows::{BlobRow, ItemRow, KnockRow, LogRow, LogRows, ParcelRow, TokenUse};

/// A connection, and what its transaction adds to the total.
pub(super) struct SqliteRows {
    conn: Connection,
    /// Bytes of all logs and parcels at the last commit, once asked for.
    total: Option<u64>,
    grown: i64,
}

impl SqliteRows {
    pub(super) fn new(conn: Connection) -> Self {
        Self { conn, total: None, grown: 0 }
    }

    pub(super) fn begin_reading(&mut self) -> Result<(), ShelvesError> {
        self.run("BEGIN", []).map(drop)
    }

    pub(super) fn begin_writing(&mut self) -> Result<(), ShelvesError> {
        self.run("BEGIN IMMEDIATE", []).map(drop)
    }

    pub(super) fn commit(&mut self) -> Result<(), ShelvesError> {
        self.run("COMMIT", [])?;
        self.total = self.total.map(|total| total.saturating_add_signed(self.grown));
        self.grown = 0;
        Ok(())
    }

    pub(super) fn roll_back(&mut self) {
        // It may have been rolled back already.
        if !self.conn.is_autocommit() {
            let _ = self.run("ROLLBACK", []);
        }
        self.grown = 0;
    }

    fn run(&self, sql: &str, values: impl Params) -> Result<usize, ShelvesError> {
        let mut statement = self.conn.prepare_cached(sql)?;
        // Of statements that answer rows (COMMIT answers none), only that they ran matters.
        Ok(statement.execute(values)?)
    }

    fn one<T>(
        &self,
        sql: &str,
        values: impl Params,
        read: impl FnOnce(&Row<'_>) -> rusqlite::Result<T>,
    ) -> Result<Option<T>, ShelvesError> {
        Ok(self.conn.prepare_cached(sql)?.query_row(values, read).optional()?)
    }

    fn count(&self, sql: &str, values: impl Params) -> Result<u64, ShelvesError> {
        Ok(self.one(sql, values, |row| unsigned(row, 0))?.unwrap_or(0))
    }
}

fn unsigned(row: &Row<'_>, column: usize) -> rusqlite::Result<u64> {
    let value: i64 = row.get(column)?;
    u64::try_from(value).map_err(|_| rusqlite::Error::IntegralValueOutOfRange(column, value))
}

fn signed(value: u64) -> Result<i64, ShelvesError> {
    i64::try_from(value).map_err(|_| ShelvesError::Engine(format!("{value} is too large")))
}

fn log_row(row: &Row<'_>) -> rusqlite::Result<LogRow> {
    let before: Option<[u8; 32]> = row.get(4)?;
    Ok(LogRow {
        last: unsigned(row, 0)?,
        chain: Chain(row.get(1)?),
        bytes: unsigned(row, 2)?,
        admin: TokenHash(row.get(3)?),
        admin_before: before.map(TokenHash),
        touched: row.get(5)?,
        gone: row.get(6)?,
    })
}

impl LogRows for SqliteRows {
    fn log(&mut self, log: &LogId) -> Result<Option<LogRow>, ShelvesError> {
        let sql = "SELECT last, chain, bytes, admin, admin_before, touched, gone
                   FROM log WHERE log = ?1";
        self.one(sql, [log.as_bytes()], log_row)
    }

    fn put_log(&mut self, log: &LogId, row: &LogRow) -> Result<(), ShelvesError> {
        let sql = "INSERT INTO log(log, last, chain, bytes, admin, admin_before, touched, gone)
                   VALUES(?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)
                   ON CONFLICT(log) DO UPDATE SET last = ?2, chain = ?3, bytes = ?4, admin = ?5,
                   admin_before = ?6, touched = ?7, gone = ?8";
        let LogRow { last, chain, bytes, admin, admin_before, touched, gone } = row;
        let before = admin_before.as_ref().map(|token| token.0);
        let (last, bytes) = (signed(*last)?, signed(*bytes)?);
        let values = (log.as_bytes(), last, chain.0, bytes, admin.0, before, touched, gone);
        self.run(sql, values).map(drop)
    }

    fn token_use(
        &mut self,
        log: &LogId,
        token: &TokenHash,
    ) -> Result<Option<TokenUse>, ShelvesError> {
        let sql = "SELECT retired_at FROM access WHERE log = ?1 AND token = ?2";
        let read = |row: &Row<'_>| match row.get::<_, Option<i64>>(0)? {
            None => Ok(TokenUse::Whole),
            Some(_) => unsigned(row, 0).map(TokenUse::Until),
        };
        self.one(sql, (log.as_bytes(), token.0), read)
    }

    fn tokens(&mut self, log: &LogId) -> Result<u64, ShelvesError> {
        self.count("SELECT count(*) FROM access WHERE log = ?1", [log.as_bytes()])
    }

    fn add_token(&mut self, log: &LogId, token: &TokenHash) -> Result<(), ShelvesError> {
        let sql = "INSERT INTO access(log, token) VALUES(?1, ?2)";
        self.run(sql, (log.as_bytes(), token.0)).map(drop)
    }

    fn retire(&mut self, log: &LogId, at: u64, but: &TokenHash) -> Result<(), ShelvesError> {
        let sql = "UPDATE access SET retired_at = ?2
                   WHERE log = ?1 AND retired_at IS NULL AND token <> ?3";
        self.run(sql, (log.as_bytes(), signed(at)?, but.0)).map(drop)
    }

    fn number(&mut self, log: &LogId, id: &BundleId) -> Result<Option<u64>, ShelvesError> {
        let sql = "SELECT seq FROM item WHERE log = ?1 AND id = ?2";
        self.one(sql, (log.as_bytes(), id.as_bytes()), |row| unsigned(row, 0))
    }

    fn chain(&mut self, log: &LogId, seq: u64) -> Result<Option<Chain>, ShelvesError> {
        let sql = "SELECT chain FROM item WHERE log = ?1 AND seq = ?2";
        self.one(sql, (log.as_bytes(), signed(seq)?), |row| row.get(0).map(Chain))
    }

    fn add_item(&mut self, log: &LogId, item: &ItemRow<'_>) -> Result<(), ShelvesError> {
        let sql = "INSERT INTO item(log, seq, id, chain, sealed) VALUES(?1, ?2, ?3, ?4, ?5)";
        let ItemRow { seq, id, chain, sealed } = item;
        let values = (log.as_bytes(), signed(*seq)?, id.as_bytes(), chain.0, sealed);
        self.run(sql, values).map(drop)
    }

    fn items(
        &mut self,
        log: &LogId,
        after: u64,
        until: u64,
        each: &mut dyn FnMut(ItemRow<'_>) -> bool,
    ) -> Result<(), ShelvesError> {
        let sql = "SELECT seq, id, chain, sealed FROM item
                   WHERE log = ?1 AND seq > ?2 AND seq <= ?3 ORDER BY seq";
        let mut statement = self.conn.prepare_cached(sql)?;
        let mut rows = statement.query((log.as_bytes(), signed(after)?, signed(until)?))?;
        while let Some(row) = rows.next()? {
            let sealed = row.get_ref(3)?.as_blob().map_err(rusqlite::Error::from)?;
            let id = BundleId::from_bytes(row.get(1)?);
            let item = ItemRow { seq: unsigned(row, 0)?, id, chain: Chain(row.get(2)?), sealed };
            if !each(item) {
                break;
            }
        }
        Ok(())
    }

    fn knock(&mut self, log: &LogId, id: &BundleId) -> Result<Option<KnockRow>, ShelvesError> {
        let sql = "SELECT body, answer, expires FROM knock WHERE log = ?1 AND id = ?2";
        self.one(sql, (log.as_bytes(), id.as_bytes()), |row| {
            Ok(KnockRow { body: row.get(0)?, answer: row.get(1)?, expires: row.get(2)? })
        })
    }

    fn knocks(&mut self, log: &LogId, now: i64) -> Result<Vec<Vec<u8>>, ShelvesError> {
        let sql = "SELECT body FROM knock WHERE log = ?1 AND answer IS NULL AND expires > ?2
                   ORDER BY id";
        let mut statement = self.conn.prepare_cached(sql)?;
        let rows = statement.query_map((log.as_bytes(), now), |row| row.get(0))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    fn knocks_kept(&mut self, log: &LogId) -> Result<u64, ShelvesError> {
        self.count("SELECT count(*) FROM knock WHERE log = ?1", [log.as_bytes()])
    }

    fn put_knock(
        &mut self,
        log: &LogId,
        id: &BundleId,
        row: &KnockRow,
    ) -> Result<(), ShelvesError> {
        let sql = "INSERT INTO knock(log, id, body, answer, expires) VALUES(?1, ?2, ?3, ?4, ?5)
                   ON CONFLICT(log, id) DO UPDATE SET body = ?3, answer = ?4, expires = ?5";
        let KnockRow { body, answer, expires } = row;
        self.run(sql, (log.as_bytes(), id.as_bytes(), body, answer, expires)).map(drop)
    }

    fn forget_answers(&mut self, log: &LogId) -> Result<(), ShelvesError> {
        self.run("UPDATE knock SET answer = NULL WHERE log = ?1", [log.as_bytes()]).map(drop)
    }

    fn parcel(&mut self, id: &[u8; 16]) -> Result<Option<ParcelRow>, ShelvesError> {
        let sql = "SELECT body, owner, expires FROM parcel WHERE id = ?1";
        self.one(sql, [id], |row| {
            let owner = TokenHash(row.get(1)?);
            Ok(ParcelRow { body: row.get(0)?, owner, expires: row.get(2)? })
        })
    }

    fn put_parcel(&mut self, id: &[u8; 16], row: Option<&ParcelRow>) -> Result<(), ShelvesError> {
        let Some(ParcelRow { body, owner, expires }) = row else {
            return self.run("DELETE FROM parcel WHERE id = ?1", [id]).map(drop);
        };
        let sql = "INSERT INTO parcel(id, body, owner, expires) VALUES(?1, ?2, ?3, ?4)
                   ON CONFLICT(id) DO UPDATE SET body = ?2, owner = ?3, expires = ?4";
        self.run(sql, (id, body, owner.0, expires)).map(drop)
    }

    fn blob(&mut self, log: &LogId, id: &BlobId) -> Result<Option<BlobRow>, ShelvesError> {
        let sql = "SELECT parts, whole, bytes, at, away FROM blob WHERE log = ?1 AND id = ?2";
        self.one(sql, (log.as_bytes(), id.as_bytes()), |row| {
            let (parts, whole, away) = (row.get(0)?, row.get(1)?, row.get(4)?);
            Ok(BlobRow { parts, whole, away, bytes: unsigned(row, 2)?, at: row.get(3)? })
        })
    }

    fn put_blob(
        &mut self,
        log: &LogId,
        id: &BlobId,
        row: Option<&BlobRow>,
    ) -> Result<(), ShelvesError> {
        let Some(BlobRow { parts, whole, away, bytes, at }) = row else {
            for table in ["blob_part", "blob"] {
                let sql = format!("DELETE FROM {table} WHERE log = ?1 AND id = ?2");
                self.run(&sql, (log.as_bytes(), id.as_bytes()))?;
            }
            return Ok(());
        };
        let sql =
            "INSERT INTO blob(log, id, parts, whole, bytes, at, away) VALUES(?1, ?2, ?3, ?4, ?5, ?6, ?7)
             ON CONFLICT(log, id) DO UPDATE SET parts = ?3, whole = ?4, bytes = ?5, at = ?6, away = ?7";
        let values = (log.as_bytes(), id.as_bytes(), parts, whole, signed(*bytes)?, at, away);
        self.run(sql, values).map(drop)
    }

    fn blob_parts(&mut self, log: &LogId, id: &BlobId) -> Result<Vec<u32>, ShelvesError> {
        let sql = "SELECT part FROM blob_part WHERE log = ?1 AND id = ?2 ORDER BY part";
        let mut statement = self.conn.prepare_cached(sql)?;
        let rows = statement.query_map((log.as_bytes(), id.as_bytes()), |row| row.get(0))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    fn blob_part(
        &mut self,
        log: &LogId,
        id: &BlobId,
        part: u32,
    ) -> Result<Option<Vec<u8>>, ShelvesError> {
        let sql = "SELECT sealed FROM blob_part WHERE log = ?1 AND id = ?2 AND part = ?3";
        self.one(sql, (log.as_bytes(), id.as_bytes(), part), |row| row.get(0))
    }

    fn add_blob_part(
        &mut self,
        log: &LogId,
        id: &BlobId,
        part: u32,
        sealed: &[u8],
    ) -> Result<(), ShelvesError> {
        let sql = "INSERT INTO blob_part(log, id, part, sealed) VALUES(?1, ?2, ?3, ?4)";
        self.run(sql, (log.as_bytes(), id.as_bytes(), part, sealed)).map(drop)
    }

    fn stale_blobs(
        &mut self,
        before: i64,
        most: usize,
    ) -> Result<Vec<(LogId, BlobId)>, ShelvesError> {
        let sql = "SELECT blob.log, id FROM blob JOIN log USING(log)
                   WHERE whole = 0 AND at <= ?1 AND gone IS NULL
                   UNION ALL SELECT log.log, id FROM log JOIN blob USING(log)
                   WHERE gone IS NOT NULL AND away = 1 LIMIT ?2";
        let mut statement = self.conn.prepare_cached(sql)?;
        let rows = statement.query_map((before, signed(most as u64)?), |row| {
            Ok((LogId::from_bytes(row.get(0)?), BlobId::from_bytes(row.get(1)?)))
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    fn object(&mut self, name: &ObjectName) -> Result<Option<i64>, ShelvesError> {
        self.one("SELECT at FROM object WHERE name = ?1", [name.0], |row| row.get(0))
    }

    fn put_object(&mut self, name: &ObjectName, at: Option<i64>) -> Result<(), ShelvesError> {
        let Some(at) = at else {
            return self.run("DELETE FROM object WHERE name = ?1", [name.0]).map(drop);
        };
        let sql =
            "INSERT INTO object(name, at) VALUES(?1, ?2) ON CONFLICT(name) DO UPDATE SET at = ?2";
        self.run(sql, (name.0, at)).map(drop)
    }

    fn objects_due(
        &mut self,
        now: i64,
        stuck: i64,
        most: usize,
    ) -> Result<Vec<ObjectName>, ShelvesError> {
        let sql = "SELECT name FROM object WHERE at BETWEEN 1 AND ?1 OR (at < 0 AND at > ?2)
                   ORDER BY name LIMIT ?3";
        let mut statement = self.conn.prepare_cached(sql)?;
        let rows = statement.query_map((now, stuck, signed(most as u64)?), |row| row.get(0))?;
        rows.map(|name| Ok(ObjectName(name?))).collect()
    }

    fn held(&mut self) -> Result<Held, ShelvesError> {
        let one = |sql: &str| self.count(sql, []);
        Ok(Held {
            logs: one("SELECT count(*) FROM log WHERE gone IS NULL")?,
            bundles: one("SELECT coalesce(sum(last), 0) FROM log WHERE gone IS NULL")?,
            blobs: one("SELECT count(*) FROM blob JOIN log USING(log)
                        WHERE whole = 1 AND gone IS NULL")?,
            bytes: one("SELECT (SELECT coalesce(sum(bytes), 0) FROM log)
                        + (SELECT coalesce(sum(length(body)), 0) FROM parcel)")?,
            knocks: one("SELECT count(*) FROM knock JOIN log USING(log)
                         WHERE answer IS NULL AND gone IS NULL")?,
        })
    }

    fn total(&mut self) -> Result<u64, ShelvesError> {
        let total = match self.total {
            Some(total) => total,
            // What this transaction has added is in it already.
            None => self.held()?.bytes.saturating_add_signed(-self.grown),
        };
        self.total = Some(total);
        Ok(total.saturating_add_signed(self.grown))
    }

    fn grow(&mut self, bytes: i64) {
        self.grown = self.grown.saturating_add(bytes);
    }

    fn sweep(&mut self, now: i64, forget: i64, most: usize) -> Result<usize, ShelvesError> {
        let mut left = most;
        let parcels = "SELECT coalesce(sum(length(body)), 0) FROM (
                       SELECT body FROM parcel WHERE expires <= ?1 ORDER BY n LIMIT ?2)";
        let freed = self.count(parcels, (now, signed(left as u64)?))?;
        self.grow(-signed(freed)?);
        for sql in [
            "DELETE FROM parcel WHERE n IN (
              SELECT n FROM parcel WHERE expires <= ?1 ORDER BY n LIMIT ?2)",
            "DELETE FROM knock WHERE n IN (
              SELECT n FROM knock WHERE expires <= ?1 LIMIT ?2)",
            "DELETE FROM item WHERE n IN (
              SELECT n FROM item JOIN log USING(log) WHERE gone IS NOT NULL AND gone <= ?1
              LIMIT ?2)",
            "DELETE FROM blob_part WHERE n IN (
              SELECT n FROM blob_part JOIN log USING(log) JOIN blob USING(log, id)
              WHERE gone IS NOT NULL AND gone <= ?1 AND away = 0 LIMIT ?2)",
        ] {
            left -= self.run(sql, (now, signed(left as u64)?))?.min(left);
        }
        // The tokens go with their log.
        let logs = {
            let sql = "SELECT log FROM log WHERE gone < ?1
                       AND NOT EXISTS (SELECT 1 FROM item WHERE item.log = log.log)
                       AND NOT EXISTS (SELECT 1 FROM blob_part WHERE blob_part.log = log.log)
                       LIMIT ?2";
            let mut statement = self.conn.prepare_cached(sql)?;
            let found = statement.query_map((forget, signed(left as u64)?), |row| row.get(0))?;
            found.collect::<Result<Vec<[u8; LogId::LEN]>, _>>()?
        };
        for log in &logs {
            for table in ["access", "knock", "blob", "log"] {
                self.run(&format!("DELETE FROM {table} WHERE log = ?1"), [log])?;
            }
        }
        left -= logs.len();
        Ok(most - left)
    }
}
