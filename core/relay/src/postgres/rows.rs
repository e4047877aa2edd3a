//! The rows of one connection. A transaction that writes fetches what its works will ask for with three
//! statements, keeps what they write in mind, and writes it with two or three at its end: it waits for the
//! server twice.
//!
//! The rows of the logs are locked by the first statement, and everything else is read by later ones: at
//! "read committed" each of those sees what whoever held the lock before has written. Statements have no
//! name, so that a pooler may hand the connection on after each transaction.

use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use fallaway_changes::{BlobId, BundleId, LogId};
use fallaway_sync::wire::access::TokenHash;
use fallaway_sync::wire::chain::Chain;
use tokio::runtime::Handle;
use tokio_postgres::types::{ToSql, Type};
use tokio_postgres::{Client, Row};

use crate::model::{Held, ShelvesError};
use crate::objects::ObjectName;
use crate::rows::{BlobRow, ItemRow, KnockRow, LogRow, LogRows, ParcelRow, TokenUse, Work};

/// A bundle that will be written.
struct Pending {
    log: LogId,
    seq: u64,
    id: BundleId,
    chain: Chain,
    sealed: Vec<u8>,
}

/// A value and its type.
type Value<'a> = (&'a (dyn ToSql + Sync), Type);

/// A connection, and what its transaction has read and will write.
pub(super) struct PostgresRows {
    runtime: Handle,
    client: Client,
    writing: bool,
    logs: HashMap<LogId, Option<LogRow>>,
    tokens: HashMap<(LogId, [u8; 32]), Option<TokenUse>>,
    numbers: HashMap<(LogId, BundleId), Option<u64>>,
    parcels: HashMap<[u8; 16], bool>,
    /// Whether each was not there before.
    changed: BTreeMap<LogId, bool>,
    pending: Vec<Pending>,
    /// Bytes of all logs and parcels, as this process knows them.
    total: Arc<AtomicU64>,
    grown: i64,
}

fn signed(value: u64) -> Result<i64, ShelvesError> {
    i64::try_from(value).map_err(|_| ShelvesError::Engine(format!("{value} is too large")))
}

fn unsigned(row: &Row, column: usize) -> Result<u64, ShelvesError> {
    let value: i64 = row.try_get(column)?;
    u64::try_from(value).map_err(|_| ShelvesError::Engine(format!("{value} is below 0")))
}

fn bytes<const N: usize>(row: &Row, column: usize) -> Result<[u8; N], ShelvesError> {
    let value: &[u8] = row.try_get(column)?;
    value.try_into().map_err(|_| ShelvesError::Engine(format!("{N} bytes were wanted")))
}

fn log_row(row: &Row) -> Result<LogRow, ShelvesError> {
    let before: Option<&[u8]> = row.try_get(5)?;
    Ok(LogRow {
        last: unsigned(row, 1)?,
        chain: Chain(bytes(row, 2)?),
        bytes: unsigned(row, 3)?,
        admin: TokenHash(bytes(row, 4)?),
        admin_before: before.map(|_| bytes(row, 5)).transpose()?.map(TokenHash),
        touched: row.try_get(6)?,
        gone: row.try_get(7)?,
    })
}

fn token_use(row: &Row, column: usize) -> Result<TokenUse, ShelvesError> {
    let retired: Option<i64> = row.try_get(column)?;
    match retired {
        None => Ok(TokenUse::Whole),
        Some(_) => unsigned(row, column).map(TokenUse::Until),
    }
}

fn of_blob<'a>(key: &'a [&[u8]; 2]) -> [Value<'a>; 2] {
    let [log, id] = key;
    [(log, Type::BYTEA), (id, Type::BYTEA)]
}

const LOG: &str = "SELECT log, last, chain, bytes, admin, admin_before, touched, gone FROM log";

impl PostgresRows {
    pub(super) fn new(runtime: Handle, client: Client, total: Arc<AtomicU64>) -> Self {
        Self {
            runtime,
            client,
            writing: false,
            logs: HashMap::new(),
            tokens: HashMap::new(),
            numbers: HashMap::new(),
            parcels: HashMap::new(),
            changed: BTreeMap::new(),
            pending: Vec::new(),
            total,
            grown: 0,
        }
    }

    pub(super) fn is_closed(&self) -> bool {
        self.client.is_closed()
    }

    fn batch(&self, sql: &str) -> Result<(), ShelvesError> {
        Ok(self.runtime.block_on(self.client.batch_execute(sql))?)
    }

    fn query(&self, sql: &str, values: &[Value<'_>]) -> Result<Vec<Row>, ShelvesError> {
        Ok(self.runtime.block_on(self.client.query_typed(sql, values))?)
    }

    fn one(&self, sql: &str, values: &[Value<'_>]) -> Result<Option<Row>, ShelvesError> {
        Ok(self.query(sql, values)?.into_iter().next())
    }

    /// How many rows a statement with `RETURNING` answers.
    fn run(&self, sql: &str, values: &[Value<'_>]) -> Result<usize, ShelvesError> {
        Ok(self.query(sql, values)?.len())
    }

    fn count(&self, sql: &str, values: &[Value<'_>]) -> Result<u64, ShelvesError> {
        self.one(sql, values)?.map_or(Ok(0), |row| unsigned(&row, 0))
    }

    fn forget(&mut self) {
        self.logs.clear();
        self.tokens.clear();
        self.numbers.clear();
        self.parcels.clear();
        self.changed.clear();
        self.pending.clear();
        self.grown = 0;
    }

    /// All reads at one moment.
    pub(super) fn begin_reading(&mut self) -> Result<(), ShelvesError> {
        self.forget();
        self.writing = false;
        self.batch("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY")
    }

    /// Locks the logs of these works, in one order for everybody, and reads what they will ask for. All of
    /// it is sent at once: the server takes one statement after the other.
    pub(super) fn begin_writing(&mut self, works: &[Work]) -> Result<(), ShelvesError> {
        self.forget();
        self.writing = true;
        let mut logs: Vec<LogId> = works.iter().filter_map(|work| work.hint.log).collect();
        logs.sort_unstable();
        logs.dedup();
        let names: Vec<&[u8]> = logs.iter().map(|log| &log.as_bytes()[..]).collect();
        let hints = || works.iter().filter_map(|work| Some((work.hint.log?, &work.hint)));
        let shown: Vec<(LogId, [u8; 32])> =
            hints().filter_map(|(log, hint)| Some((log, hint.token?.0))).collect();
        let ids: Vec<(LogId, BundleId)> =
            hints().flat_map(|(log, hint)| hint.ids.iter().map(move |id| (log, *id))).collect();
        let of_tokens: Vec<&[u8]> = shown.iter().map(|(log, _)| &log.as_bytes()[..]).collect();
        let tokens: Vec<&[u8]> = shown.iter().map(|(_, token)| &token[..]).collect();
        let of_ids: Vec<&[u8]> = ids.iter().map(|(log, _)| &log.as_bytes()[..]).collect();
        let bundles: Vec<&[u8]> = ids.iter().map(|(_, id)| &id.as_bytes()[..]).collect();
        let lock = format!("{LOG} WHERE log = ANY($1) ORDER BY log FOR UPDATE");
        let names: [Value<'_>; 1] = [(&names, Type::BYTEA_ARRAY)];
        let tokens: [Value<'_>; 2] =
            [(&of_tokens, Type::BYTEA_ARRAY), (&tokens, Type::BYTEA_ARRAY)];
        let bundles: [Value<'_>; 2] = [(&of_ids, Type::BYTEA_ARRAY), (&bundles, Type::BYTEA_ARRAY)];
        let (begun, found_logs, found_tokens, found_ids) = self.runtime.block_on(async {
            tokio::join!(
                biased;
                self.client.batch_execute("BEGIN ISOLATION LEVEL READ COMMITTED"),
                self.client.query_typed(&lock, &names),
                self.asked(shown.len(), TOKENS, &tokens),
                self.asked(ids.len(), NUMBERS, &bundles),
            )
        });
        begun?;
        self.logs.extend(logs.iter().map(|log| (*log, None)));
        for row in &found_logs? {
            self.logs.insert(LogId::from_bytes(bytes(row, 0)?), Some(log_row(row)?));
        }
        self.tokens.extend(shown.iter().map(|key| (*key, None)));
        for row in &found_tokens? {
            let key = (LogId::from_bytes(bytes(row, 0)?), bytes(row, 1)?);
            self.tokens.insert(key, Some(token_use(row, 2)?));
        }
        self.numbers.extend(ids.iter().map(|key| (*key, None)));
        for row in &found_ids? {
            let key = (LogId::from_bytes(bytes(row, 0)?), BundleId::from_bytes(bytes(row, 1)?));
            self.numbers.insert(key, Some(unsigned(row, 2)?));
        }
        Ok(())
    }

    /// A statement about so many values, unless there are none.
    async fn asked(
        &self,
        count: usize,
        sql: &str,
        values: &[Value<'_>],
    ) -> Result<Vec<Row>, tokio_postgres::Error> {
        if count == 0 { Ok(Vec::new()) } else { self.client.query_typed(sql, values).await }
    }

    /// Writes what was kept in mind, and commits. All of it is sent at once: after a statement that fails,
    /// the server takes the end of the transaction for its abandonment.
    pub(super) fn commit(&mut self) -> Result<(), ShelvesError> {
        let items = ItemColumns::of(&self.pending)?;
        let (new, old) = (self.columns(true)?, self.columns(false)?);
        let (item_values, new_values, old_values) = (items.values(), new.values(), old.values());
        let (items, new, old, ended) = self.runtime.block_on(async {
            tokio::join!(
                biased;
                self.asked(items.logs.len(), ADD_ITEMS, &item_values),
                self.asked(new.logs.len(), ADD_LOGS, &new_values),
                self.asked(old.logs.len(), CHANGE_LOGS, &old_values),
                self.client.batch_execute("COMMIT"),
            )
        });
        // The first that failed says why.
        items?;
        new?;
        old?;
        ended?;
        let grown = self.grown;
        let add = |total: u64| Some(total.saturating_add_signed(grown));
        // It is only ever an estimate of this process.
        let _ = self.total.fetch_update(Ordering::Relaxed, Ordering::Relaxed, add);
        self.forget();
        Ok(())
    }

    pub(super) fn roll_back(&mut self) {
        self.forget();
        // Where the connection is gone, so is the transaction.
        let _ = self.batch("ROLLBACK");
    }

    /// The logs that were changed: those that were not there before, or the others.
    fn columns(&self, new: bool) -> Result<LogColumns<'_>, ShelvesError> {
        let mut columns = LogColumns::default();
        for (log, _) in self.changed.iter().filter(|(_, is)| **is == new) {
            let Some(Some(row)) = self.logs.get(log) else { continue };
            columns.logs.push(log.as_bytes());
            columns.last.push(signed(row.last)?);
            columns.chains.push(&row.chain.0);
            columns.bytes.push(signed(row.bytes)?);
            columns.admins.push(&row.admin.0);
            columns.before.push(row.admin_before.as_ref().map(|token| &token.0[..]));
            columns.touched.push(row.touched);
            columns.gone.push(row.gone);
        }
        Ok(columns)
    }
}

const TOKENS: &str = "SELECT log, token, retired_at FROM access WHERE (log, token) IN
    (SELECT * FROM unnest($1::bytea[], $2::bytea[]))";
const NUMBERS: &str = "SELECT log, id, seq FROM item WHERE (log, id) IN
    (SELECT * FROM unnest($1::bytea[], $2::bytea[]))";
const ADD_ITEMS: &str = "INSERT INTO item(log, seq, id, chain, sealed)
    SELECT * FROM unnest($1::bytea[], $2::int8[], $3::bytea[], $4::bytea[], $5::bytea[])";
/// Whoever opened one a moment ago in another process is not overwritten: this fails.
const ADD_LOGS: &str =
    "INSERT INTO log(log, last, chain, bytes, admin, admin_before, touched, gone)
    SELECT * FROM unnest($1::bytea[], $2::int8[], $3::bytea[], $4::int8[], $5::bytea[], $6::bytea[],
    $7::int8[], $8::int8[])";
const CHANGE_LOGS: &str = "UPDATE log SET last = n.last, chain = n.chain, bytes = n.bytes,
    admin = n.admin, admin_before = n.admin_before, touched = n.touched, gone = n.gone
    FROM unnest($1::bytea[], $2::int8[], $3::bytea[], $4::int8[], $5::bytea[], $6::bytea[], $7::int8[],
    $8::int8[]) AS n(log, last, chain, bytes, admin, admin_before, touched, gone)
    WHERE log.log = n.log";

/// Bundles, a column each of what they have.
struct ItemColumns<'a> {
    logs: Vec<&'a [u8]>,
    seqs: Vec<i64>,
    ids: Vec<&'a [u8]>,
    chains: Vec<&'a [u8]>,
    sealed: Vec<&'a [u8]>,
}

impl<'a> ItemColumns<'a> {
    fn of(all: &'a [Pending]) -> Result<Self, ShelvesError> {
        Ok(Self {
            logs: all.iter().map(|item| &item.log.as_bytes()[..]).collect(),
            seqs: all.iter().map(|item| signed(item.seq)).collect::<Result<_, _>>()?,
            ids: all.iter().map(|item| &item.id.as_bytes()[..]).collect(),
            chains: all.iter().map(|item| &item.chain.0[..]).collect(),
            sealed: all.iter().map(|item| item.sealed.as_slice()).collect(),
        })
    }

    fn values(&self) -> [Value<'_>; 5] {
        [
            (&self.logs, Type::BYTEA_ARRAY),
            (&self.seqs, Type::INT8_ARRAY),
            (&self.ids, Type::BYTEA_ARRAY),
            (&self.chains, Type::BYTEA_ARRAY),
            (&self.sealed, Type::BYTEA_ARRAY),
        ]
    }
}

/// Logs, a column each of what they have.
#[derive(Default)]
struct LogColumns<'a> {
    logs: Vec<&'a [u8]>,
    last: Vec<i64>,
    chains: Vec<&'a [u8]>,
    bytes: Vec<i64>,
    admins: Vec<&'a [u8]>,
    before: Vec<Option<&'a [u8]>>,
    touched: Vec<i64>,
    gone: Vec<Option<i64>>,
}

impl LogColumns<'_> {
    fn values(&self) -> [Value<'_>; 8] {
        [
            (&self.logs, Type::BYTEA_ARRAY),
            (&self.last, Type::INT8_ARRAY),
            (&self.chains, Type::BYTEA_ARRAY),
            (&self.bytes, Type::INT8_ARRAY),
            (&self.admins, Type::BYTEA_ARRAY),
            (&self.before, Type::BYTEA_ARRAY),
            (&self.touched, Type::INT8_ARRAY),
            (&self.gone, Type::INT8_ARRAY),
        ]
    }
}

impl LogRows for PostgresRows {
    fn log(&mut self, log: &LogId) -> Result<Option<LogRow>, ShelvesError> {
        if let Some(known) = self.logs.get(log) {
            return Ok(known.clone());
        }
        let lock = if self.writing { " FOR UPDATE" } else { "" };
        let sql = format!("{LOG} WHERE log = $1{lock}");
        let found = self.one(&sql, &[(&&log.as_bytes()[..], Type::BYTEA)])?;
        let row = found.map(|row| log_row(&row)).transpose()?;
        self.logs.insert(*log, row.clone());
        Ok(row)
    }

    fn put_log(&mut self, log: &LogId, row: &LogRow) -> Result<(), ShelvesError> {
        let before = self.logs.insert(*log, Some(row.clone()));
        let new = before.is_none_or(|before| before.is_none());
        self.changed.entry(*log).or_insert(new);
        Ok(())
    }

    fn token_use(
        &mut self,
        log: &LogId,
        token: &TokenHash,
    ) -> Result<Option<TokenUse>, ShelvesError> {
        if let Some(known) = self.tokens.get(&(*log, token.0)) {
            return Ok(*known);
        }
        let sql = "SELECT retired_at FROM access WHERE log = $1 AND token = $2";
        let values: [Value<'_>; 2] =
            [(&&log.as_bytes()[..], Type::BYTEA), (&&token.0[..], Type::BYTEA)];
        let found = self.one(sql, &values)?.map(|row| token_use(&row, 0)).transpose()?;
        self.tokens.insert((*log, token.0), found);
        Ok(found)
    }

    fn tokens(&mut self, log: &LogId) -> Result<u64, ShelvesError> {
        let sql = "SELECT count(*) FROM access WHERE log = $1";
        self.count(sql, &[(&&log.as_bytes()[..], Type::BYTEA)])
    }

    fn add_token(&mut self, log: &LogId, token: &TokenHash) -> Result<(), ShelvesError> {
        self.tokens.insert((*log, token.0), Some(TokenUse::Whole));
        let sql = "INSERT INTO access(log, token) VALUES($1, $2)";
        self.run(sql, &[(&&log.as_bytes()[..], Type::BYTEA), (&&token.0[..], Type::BYTEA)])
            .map(drop)
    }

    fn retire(&mut self, log: &LogId, at: u64, but: &TokenHash) -> Result<(), ShelvesError> {
        for ((of, token), known) in &mut self.tokens {
            if of == log && *token != but.0 && *known == Some(TokenUse::Whole) {
                *known = Some(TokenUse::Until(at));
            }
        }
        let sql = "UPDATE access SET retired_at = $2
                   WHERE log = $1 AND retired_at IS NULL AND token <> $3";
        let values: [Value<'_>; 3] = [
            (&&log.as_bytes()[..], Type::BYTEA),
            (&signed(at)?, Type::INT8),
            (&&but.0[..], Type::BYTEA),
        ];
        self.run(sql, &values).map(drop)
    }

    fn number(&mut self, log: &LogId, id: &BundleId) -> Result<Option<u64>, ShelvesError> {
        if let Some(known) = self.numbers.get(&(*log, *id)) {
            return Ok(*known);
        }
        let sql = "SELECT seq FROM item WHERE log = $1 AND id = $2";
        let values: [Value<'_>; 2] =
            [(&&log.as_bytes()[..], Type::BYTEA), (&&id.as_bytes()[..], Type::BYTEA)];
        self.one(sql, &values)?.map(|row| unsigned(&row, 0)).transpose()
    }

    fn chain(&mut self, log: &LogId, seq: u64) -> Result<Option<Chain>, ShelvesError> {
        if let Some(item) = self.pending.iter().find(|item| item.log == *log && item.seq == seq) {
            return Ok(Some(item.chain));
        }
        let sql = "SELECT chain FROM item WHERE log = $1 AND seq = $2";
        let values: [Value<'_>; 2] =
            [(&&log.as_bytes()[..], Type::BYTEA), (&signed(seq)?, Type::INT8)];
        self.one(sql, &values)?.map(|row| bytes(&row, 0).map(Chain)).transpose()
    }

    fn add_item(&mut self, log: &LogId, item: &ItemRow<'_>) -> Result<(), ShelvesError> {
        let ItemRow { seq, id, chain, sealed } = *item;
        self.numbers.insert((*log, id), Some(seq));
        self.pending.push(Pending { log: *log, seq, id, chain, sealed: sealed.to_vec() });
        Ok(())
    }

    fn items(
        &mut self,
        log: &LogId,
        after: u64,
        until: u64,
        each: &mut dyn FnMut(ItemRow<'_>) -> bool,
    ) -> Result<(), ShelvesError> {
        // A page is small: more than a few rows at a time are fetched in vain.
        const STEP: i64 = 64;
        let sql = "SELECT seq, id, chain, sealed FROM item
                   WHERE log = $1 AND seq > $2 AND seq <= $3 ORDER BY seq LIMIT $4";
        let mut from = signed(after)?;
        loop {
            let values: [Value<'_>; 4] = [
                (&&log.as_bytes()[..], Type::BYTEA),
                (&from, Type::INT8),
                (&signed(until)?, Type::INT8),
                (&STEP, Type::INT8),
            ];
            let found = self.query(sql, &values)?;
            for row in &found {
                let (seq, chain) = (unsigned(row, 0)?, Chain(bytes(row, 2)?));
                let (id, sealed) = (BundleId::from_bytes(bytes(row, 1)?), row.try_get(3)?);
                if !each(ItemRow { seq, id, chain, sealed }) {
                    return Ok(());
                }
                from = signed(seq)?;
            }
            if found.len() < STEP as usize {
                return Ok(());
            }
        }
    }

    fn knock(&mut self, log: &LogId, id: &BundleId) -> Result<Option<KnockRow>, ShelvesError> {
        let sql = "SELECT body, answer, expires FROM knock WHERE log = $1 AND id = $2";
        let values: [Value<'_>; 2] =
            [(&&log.as_bytes()[..], Type::BYTEA), (&&id.as_bytes()[..], Type::BYTEA)];
        let read = |row: Row| -> Result<KnockRow, ShelvesError> {
            let (body, answer) = (row.try_get(0)?, row.try_get(1)?);
            Ok(KnockRow { body, answer, expires: row.try_get(2)? })
        };
        self.one(sql, &values)?.map(read).transpose()
    }

    fn knocks(&mut self, log: &LogId, now: i64) -> Result<Vec<Vec<u8>>, ShelvesError> {
        let sql = "SELECT body FROM knock WHERE log = $1 AND answer IS NULL AND expires > $2
                   ORDER BY id";
        let values: [Value<'_>; 2] = [(&&log.as_bytes()[..], Type::BYTEA), (&now, Type::INT8)];
        self.query(sql, &values)?.iter().map(|row| Ok(row.try_get(0)?)).collect()
    }

    fn knocks_kept(&mut self, log: &LogId) -> Result<u64, ShelvesError> {
        let sql = "SELECT count(*) FROM knock WHERE log = $1";
        self.count(sql, &[(&&log.as_bytes()[..], Type::BYTEA)])
    }

    fn put_knock(
        &mut self,
        log: &LogId,
        id: &BundleId,
        row: &KnockRow,
    ) -> Result<(), ShelvesError> {
        let sql = "INSERT INTO knock(log, id, body, answer, expires) VALUES($1, $2, $3, $4, $5)
                   ON CONFLICT(log, id) DO UPDATE SET body = $3, answer = $4, expires = $5";
        let values: [Value<'_>; 5] = [
            (&&log.as_bytes()[..], Type::BYTEA),
            (&&id.as_bytes()[..], Type::BYTEA),
            (&row.body, Type::BYTEA),
            (&row.answer, Type::BYTEA),
            (&row.expires, Type::INT8),
        ];
        self.run(sql, &values).map(drop)
    }

    fn forget_answers(&mut self, log: &LogId) -> Result<(), ShelvesError> {
        let sql = "UPDATE knock SET answer = NULL WHERE log = $1";
        self.run(sql, &[(&&log.as_bytes()[..], Type::BYTEA)]).map(drop)
    }

    fn parcel(&mut self, id: &[u8; 16]) -> Result<Option<ParcelRow>, ShelvesError> {
        let lock = if self.writing { " FOR UPDATE" } else { "" };
        let sql = format!("SELECT body, owner, expires FROM parcel WHERE id = $1{lock}");
        let found = self.one(&sql, &[(&&id[..], Type::BYTEA)])?;
        self.parcels.insert(*id, found.is_some());
        let read = |row: Row| -> Result<ParcelRow, ShelvesError> {
            let owner = TokenHash(bytes(&row, 1)?);
            Ok(ParcelRow { body: row.try_get(0)?, owner, expires: row.try_get(2)? })
        };
        found.map(read).transpose()
    }

    fn put_parcel(&mut self, id: &[u8; 16], row: Option<&ParcelRow>) -> Result<(), ShelvesError> {
        let there = self.parcels.insert(*id, row.is_some()).unwrap_or(false);
        let Some(ParcelRow { body, owner, expires }) = row else {
            return self
                .run("DELETE FROM parcel WHERE id = $1", &[(&&id[..], Type::BYTEA)])
                .map(drop);
        };
        let sql = if there {
            "UPDATE parcel SET body = $2, owner = $3, expires = $4 WHERE id = $1"
        } else {
            "INSERT INTO parcel(id, body, owner, expires) VALUES($1, $2, $3, $4)"
        };
        let values: [Value<'_>; 4] = [
            (&&id[..], Type::BYTEA),
            (body, Type::BYTEA),
            (&&owner.0[..], Type::BYTEA),
            (expires, Type::INT8),
        ];
        self.run(sql, &values).map(drop)
    }

    fn blob(&mut self, log: &LogId, id: &BlobId) -> Result<Option<BlobRow>, ShelvesError> {
        let key = [&log.as_bytes()[..], &id.as_bytes()[..]];
        let sql = "SELECT parts, whole, bytes, at, away FROM blob WHERE log = $1 AND id = $2";
        let found = self.one(sql, &of_blob(&key))?;
        let read = |row: Row| -> Result<BlobRow, ShelvesError> {
            let parts = u32::try_from(unsigned(&row, 0)?);
            let parts = parts.map_err(|_| ShelvesError::Engine("too many parts".to_owned()))?;
            Ok(BlobRow {
                parts,
                whole: row.try_get(1)?,
                bytes: unsigned(&row, 2)?,
                at: row.try_get(3)?,
                away: row.try_get(4)?,
            })
        };
        found.map(read).transpose()
    }

    fn put_blob(
        &mut self,
        log: &LogId,
        id: &BlobId,
        row: Option<&BlobRow>,
    ) -> Result<(), ShelvesError> {
        let key = [&log.as_bytes()[..], &id.as_bytes()[..]];
        let Some(BlobRow { parts, whole, away, bytes, at }) = row else {
            for table in ["blob_part", "blob"] {
                let sql = format!("DELETE FROM {table} WHERE log = $1 AND id = $2");
                self.run(&sql, &of_blob(&key))?;
            }
            return Ok(());
        };
        let sql =
            "INSERT INTO blob(log, id, parts, whole, bytes, at, away) VALUES($1, $2, $3, $4, $5, $6, $7)
             ON CONFLICT(log, id) DO UPDATE SET parts = $3, whole = $4, bytes = $5, at = $6, away = $7";
        let [log, id] = of_blob(&key);
        let values: [Value<'_>; 7] = [
            log,
            id,
            (&i64::from(*parts), Type::INT8),
            (whole, Type::BOOL),
            (&signed(*bytes)?, Type::INT8),
            (at, Type::INT8),
            (away, Type::BOOL),
        ];
        self.run(sql, &values).map(drop)
    }

    fn blob_parts(&mut self, log: &LogId, id: &BlobId) -> Result<Vec<u32>, ShelvesError> {
        let key = [&log.as_bytes()[..], &id.as_bytes()[..]];
        let sql = "SELECT part FROM blob_part WHERE log = $1 AND id = $2 ORDER BY part";
        let found = self.query(sql, &of_blob(&key))?;
        let part = |row: &Row| Ok(u32::try_from(unsigned(row, 0)?).unwrap_or(u32::MAX));
        found.iter().map(part).collect()
    }

    fn blob_part(
        &mut self,
        log: &LogId,
        id: &BlobId,
        part: u32,
    ) -> Result<Option<Vec<u8>>, ShelvesError> {
        let key = [&log.as_bytes()[..], &id.as_bytes()[..]];
        let sql = "SELECT sealed FROM blob_part WHERE log = $1 AND id = $2 AND part = $3";
        let [log, id] = of_blob(&key);
        let found = self.one(sql, &[log, id, (&i64::from(part), Type::INT8)])?;
        found.map(|row| Ok(row.try_get(0)?)).transpose()
    }

    fn add_blob_part(
        &mut self,
        log: &LogId,
        id: &BlobId,
        part: u32,
        sealed: &[u8],
    ) -> Result<(), ShelvesError> {
        let key = [&log.as_bytes()[..], &id.as_bytes()[..]];
        let sql = "INSERT INTO blob_part(log, id, part, sealed) VALUES($1, $2, $3, $4)";
        let [log, id] = of_blob(&key);
        let values: [Value<'_>; 4] =
            [log, id, (&i64::from(part), Type::INT8), (&sealed, Type::BYTEA)];
        self.run(sql, &values).map(drop)
    }

    fn stale_blobs(
        &mut self,
        before: i64,
        most: usize,
    ) -> Result<Vec<(LogId, BlobId)>, ShelvesError> {
        let sql = "SELECT blob.log, id FROM blob JOIN log USING(log)
                   WHERE NOT whole AND at <= $1 AND gone IS NULL
                   UNION ALL SELECT log.log, id FROM log JOIN blob USING(log)
                   WHERE gone IS NOT NULL AND away ORDER BY 1 LIMIT $2";
        let values: [Value<'_>; 2] = [(&before, Type::INT8), (&signed(most as u64)?, Type::INT8)];
        let id =
            |row: &Row| Ok((LogId::from_bytes(bytes(row, 0)?), BlobId::from_bytes(bytes(row, 1)?)));
        self.query(sql, &values)?.iter().map(id).collect()
    }

    fn object(&mut self, name: &ObjectName) -> Result<Option<i64>, ShelvesError> {
        let lock = if self.writing { " FOR UPDATE" } else { "" };
        let sql = format!("SELECT at FROM object WHERE name = $1{lock}");
        let found = self.one(&sql, &[(&&name.0[..], Type::BYTEA)])?;
        found.map(|row| Ok(row.try_get(0)?)).transpose()
    }

    fn put_object(&mut self, name: &ObjectName, at: Option<i64>) -> Result<(), ShelvesError> {
        let name = &&name.0[..];
        let Some(at) = at else {
            let sql = "DELETE FROM object WHERE name = $1";
            return self.run(sql, &[(name, Type::BYTEA)]).map(drop);
        };
        let sql =
            "INSERT INTO object(name, at) VALUES($1, $2) ON CONFLICT(name) DO UPDATE SET at = $2";
        self.run(sql, &[(name, Type::BYTEA), (&at, Type::INT8)]).map(drop)
    }

    fn objects_due(
        &mut self,
        now: i64,
        stuck: i64,
        most: usize,
    ) -> Result<Vec<ObjectName>, ShelvesError> {
        // What another process looks at is left to that.
        let sql = "SELECT name FROM object WHERE at BETWEEN 1 AND $1 OR (at < 0 AND at > $2)
                   ORDER BY name LIMIT $3 FOR UPDATE SKIP LOCKED";
        let most = signed(most as u64)?;
        let values: [Value<'_>; 3] =
            [(&now, Type::INT8), (&stuck, Type::INT8), (&most, Type::INT8)];
        let found = self.query(sql, &values)?;
        found.iter().map(|row| Ok(ObjectName(bytes(row, 0)?))).collect()
    }

    fn held(&mut self) -> Result<Held, ShelvesError> {
        let one = |sql: &str| self.count(sql, &[]);
        let held = Held {
            logs: one("SELECT count(*) FROM log WHERE gone IS NULL")?,
            bundles: one("SELECT coalesce(sum(last), 0)::int8 FROM log WHERE gone IS NULL")?,
            blobs: one(
                "SELECT count(*) FROM blob JOIN log USING(log) WHERE whole AND gone IS NULL",
            )?,
            bytes: one("SELECT ((SELECT coalesce(sum(bytes), 0) FROM log)
                        + (SELECT coalesce(sum(length(body)), 0) FROM parcel))::int8")?,
            knocks: one("SELECT count(*) FROM knock JOIN log USING(log)
                         WHERE answer IS NULL AND gone IS NULL")?,
        };
        self.total.store(held.bytes, Ordering::Relaxed);
        Ok(held)
    }

    fn total(&mut self) -> Result<u64, ShelvesError> {
        Ok(self.total.load(Ordering::Relaxed).saturating_add_signed(self.grown))
    }

    fn grow(&mut self, bytes: i64) {
        self.grown = self.grown.saturating_add(bytes);
    }

    fn sweep(&mut self, now: i64, forget: i64, most: usize) -> Result<usize, ShelvesError> {
        let mut left = most;
        for (number, sql) in [
            "DELETE FROM parcel WHERE ctid IN (
              SELECT ctid FROM parcel WHERE expires <= $1 LIMIT $2) RETURNING length(body)::int8",
            "DELETE FROM knock WHERE ctid IN (
              SELECT ctid FROM knock WHERE expires <= $1 LIMIT $2) RETURNING 0::int8",
            "DELETE FROM item WHERE ctid IN (
              SELECT item.ctid FROM item JOIN log USING(log) WHERE gone IS NOT NULL AND gone <= $1
              LIMIT $2) RETURNING 0::int8",
            "DELETE FROM blob_part WHERE ctid IN (
              SELECT blob_part.ctid FROM blob_part JOIN log USING(log) JOIN blob USING(log, id)
              WHERE gone IS NOT NULL AND gone <= $1 AND NOT away LIMIT $2) RETURNING 0::int8",
        ]
        .into_iter()
        .enumerate()
        {
            let limit = signed(left as u64)?;
            let gone = self.query(sql, &[(&now, Type::INT8), (&limit, Type::INT8)])?;
            for row in gone.iter().filter(|_| number == 0) {
                let size: i64 = row.try_get(0)?;
                self.grow(-size);
            }
            left = left.saturating_sub(gone.len());
        }
        let limit = signed(left as u64)?;
        let sql = "DELETE FROM log WHERE log IN (
                   SELECT log FROM log WHERE gone < $1
                   AND NOT EXISTS (SELECT 1 FROM item WHERE item.log = log.log)
                   AND NOT EXISTS (SELECT 1 FROM blob_part WHERE blob_part.log = log.log) LIMIT $2)
                   RETURNING log";
        let gone = self.query(sql, &[(&forget, Type::INT8), (&limit, Type::INT8)])?;
        for row in &gone {
            let log: &[u8] = row.try_get(0)?;
            for table in ["access", "knock", "blob"] {
                let sql = format!("DELETE FROM {table} WHERE log = $1");
                self.run(&sql, &[(&log, Type::BYTEA)])?;
            }
            self.logs.remove(&LogId::from_bytes(bytes(row, 0)?));
        }
        Ok(most - left.saturating_sub(gone.len()))
    }
}
