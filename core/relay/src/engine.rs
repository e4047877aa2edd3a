//! The rules of a relay.

use std::collections::HashMap;
use std::path::Path;
use std::sync::mpsc;

use fallaway_changes::{BundleId, LogId};
use fallaway_sync::wire::access::{AccessBody, TokenHash};
use fallaway_sync::wire::chain::{Chain, Position};
use fallaway_sync::wire::limits::{KNOCK_DAYS, MAX_KNOCKS};

use crate::entry::{DAY, enter, enter_whole, ruled};
use crate::memory::MemoryShelves;
use crate::model::{
    EngineError, Exchanged, Held, Made, Most, Portion, Push, Pushed, Quotas, ShelvesError, Tell,
};
use crate::objects::ObjectPlace;
use crate::photo_rows::drop_blob;
use crate::rows::{
    CommitWatch, ItemRow, KnockRow, LogRow, LogRows, ParcelRow, Ruling, Shelves, TokenUse, Work,
    WorkHint,
};
use crate::sqlite::SqliteShelves;

/// How long a deleted log says that it was.
const GONE_DAYS: i64 = 90;
/// Knocks of one log, answered or not.
const KNOCKS_KEPT: u64 = 512;
/// Photos whose parts have stopped coming, or which lie in a store for a deleted log, that one sweep takes away.
const STALE_AT_ONCE: usize = 16;
/// Rows that one sweep takes away.
const SWEPT_AT_ONCE: usize = 1000;

/// A relay without a network. Every call gets the time in seconds from 1970.
pub struct Engine {
    shelves: Box<dyn Shelves>,
    pub(crate) quotas: Quotas,
    /// Where photos lie, if not among the rows.
    pub(crate) objects: Option<Box<dyn ObjectPlace>>,
}

impl Engine {
    /// A relay that keeps everything in memory, and loses it at its end.
    pub fn in_memory(shelves: MemoryShelves, quotas: Quotas) -> Self {
        Self { shelves: Box::new(shelves), quotas, objects: None }
    }

    /// In a folder, which is made if it is not there.
    ///
    /// # Errors
    /// [`ShelvesError`]; [`ShelvesError::Busy`] if another process serves from it.
    pub fn in_folder(folder: &Path, quotas: Quotas) -> Result<Self, ShelvesError> {
        Self::in_folder_watched(folder, quotas, Box::new(|_, _| ()))
    }

    /// The same, with somebody who is told of each commit.
    ///
    /// # Errors
    /// [`ShelvesError`].
    pub fn in_folder_watched(
        folder: &Path,
        quotas: Quotas,
        watch: CommitWatch,
    ) -> Result<Self, ShelvesError> {
        let shelves = Box::new(SqliteShelves::open(folder, watch)?);
        Ok(Self { shelves, quotas, objects: None })
    }

    /// What it grants.
    pub const fn quotas(&self) -> &Quotas {
        &self.quotas
    }

    /// Opens a log.
    ///
    /// # Errors
    /// [`EngineError::NoAccess`] if it is there with other tokens, [`EngineError::Gone`], [`EngineError::Full`].
    pub fn open_log(&self, log: LogId, body: AccessBody, now: i64) -> Result<Made, EngineError> {
        let quotas = self.quotas;
        self.write_now(WorkHint::log(log), move |rows| {
            if let Some(row) = rows.log(&log)? {
                let same = row.admin == body.admin
                    && rows.token_use(&log, &body.access)? == Some(TokenUse::Whole);
                return match row.gone {
                    _ if !same => Err(EngineError::NoAccess),
                    Some(_) => Err(EngineError::Gone),
                    None => Ok(Made::Same),
                };
            }
            if rows.total()? >= quotas.total_bytes {
                return Err(EngineError::Full);
            }
            let row = LogRow {
                last: 0,
                chain: Chain::start(&log),
                bytes: 0,
                admin: body.admin,
                admin_before: None,
                touched: now,
                gone: None,
            };
            rows.put_log(&log, &row)?;
            rows.add_token(&log, &body.access)?;
            Ok(Made::New)
        })
    }

    /// Takes bundles into a log: each once, numbered without gaps. Says so when they are kept for good.
    pub fn push(&self, push: Push, now: i64, done: Tell<Pushed>) {
        let quotas = self.quotas;
        let ids = push.bundles.iter().map(|(id, _)| *id).collect();
        let hint = WorkHint { log: Some(push.log), token: Some(push.token), ids };
        self.write(hint, move |rows| take(rows, &push, quotas, now), done);
    }

    /// Takes bundles into a log and gives what follows, without those.
    ///
    /// # Errors
    /// [`EngineError::Diverged`], [`EngineError::Retired`] (nothing was taken); [`EngineError::Quota`],
    /// [`EngineError::Full`].
    pub fn exchange(&self, push: Push, most: usize, now: i64) -> Result<Exchanged, EngineError> {
        let (log, token, after) = (push.log, push.token, push.after);
        let (tell, told) = mpsc::sync_channel(1);
        self.push(push, now, Box::new(move |pushed| drop(tell.send(pushed))));
        let pushed = told.recv().unwrap_or(Err(ShelvesError::Closed.into()))?;
        let portion = self.follow(log, token, after, most, &pushed)?;
        Ok(Exchanged { pushed, portion })
    }

    /// What follows the place that a pusher knew.
    ///
    /// # Errors
    /// As [`Engine::items`].
    pub fn follow(
        &self,
        log: LogId,
        token: TokenHash,
        after: Position,
        most: usize,
        pushed: &Pushed,
    ) -> Result<Portion, EngineError> {
        if pushed.alone_since(&after) {
            return Ok(Portion { sealed: Vec::new(), end: pushed.end, more: 0, retired: None });
        }
        let mut own = pushed.accepted.clone();
        own.sort_unstable();
        self.portion(log, token, after, Most::bytes(most), &own)
    }

    /// What follows a place in a log.
    ///
    /// # Errors
    /// [`EngineError::Diverged`], [`EngineError::NoAccess`], [`EngineError::Gone`].
    pub fn items(
        &self,
        log: LogId,
        token: TokenHash,
        after: Position,
        most: usize,
    ) -> Result<Portion, EngineError> {
        self.portion(log, token, after, Most::bytes(most), &[])
    }

    fn portion(
        &self,
        log: LogId,
        token: TokenHash,
        after: Position,
        most: Most,
        own: &[u64],
    ) -> Result<Portion, EngineError> {
        self.read(|rows| {
            let (row, allowed) = enter(rows, &log, &token)?;
            let retired = match allowed {
                TokenUse::Whole => None,
                TokenUse::Until(number) => Some(number),
            };
            goes_on(rows, &log, &row, &after)?;
            let until = retired.unwrap_or(row.last);
            let mut portion = Portion { sealed: Vec::new(), end: after, more: 0, retired };
            let mut room = most.bytes;
            rows.items(&log, after.seq, until, &mut |item| {
                if own.binary_search(&item.seq).is_err() {
                    let fits = portion.sealed.len() < most.bundles && item.sealed.len() <= room;
                    if !fits && !portion.sealed.is_empty() {
                        return false;
                    }
                    room = room.saturating_sub(item.sealed.len());
                    portion.sealed.push(item.sealed.to_vec());
                }
                portion.end = Position { seq: item.seq, chain: item.chain };
                true
            })?;
            portion.more = until.saturating_sub(portion.end.seq);
            Ok(portion)
        })
    }

    /// Changes who may use a log: from its present end on only who shows the new token. The others read
    /// to there. `after` is a place that whoever asks knows: a log that went back to before it may lack
    /// what the others would need to follow.
    ///
    /// # Errors
    /// [`EngineError::NoAccess`]; [`EngineError::Diverged`]; [`EngineError::Taken`] if the new token is a
    /// retired one.
    pub fn change_access(
        &self,
        log: LogId,
        admin: TokenHash,
        after: Position,
        body: AccessBody,
    ) -> Result<Position, EngineError> {
        let quotas = self.quotas;
        self.write_now(WorkHint::log(log), move |rows| {
            let row = ruled(rows, &log, &admin)?;
            let end = Position { seq: row.last, chain: row.chain };
            let allowed = rows.token_use(&log, &body.access)?;
            if row.admin == body.admin && allowed == Some(TokenUse::Whole) {
                return Ok(end);
            }
            if row.admin != admin {
                return Err(EngineError::NoAccess);
            }
            goes_on(rows, &log, &row, &after)?;
            if matches!(allowed, Some(TokenUse::Until(_))) {
                return Err(EngineError::Taken);
            }
            if rows.tokens(&log)? >= quotas.accesses {
                return Err(EngineError::Quota);
            }
            rows.retire(&log, row.last, &body.access)?;
            // Who has not fetched its answer yet reads no further by it.
            rows.forget_answers(&log)?;
            if allowed.is_none() {
                rows.add_token(&log, &body.access)?;
            }
            let row = LogRow { admin: body.admin, admin_before: Some(row.admin), ..row };
            rows.put_log(&log, &row)?;
            Ok(end)
        })
    }

    /// Deletes a log with all that is in it. For 90 days whoever had access is told so.
    ///
    /// # Errors
    /// [`EngineError::NoAccess`].
    pub fn delete_log(&self, log: LogId, admin: TokenHash, now: i64) -> Result<(), EngineError> {
        self.write_now(WorkHint::log(log), move |rows| {
            let row = match ruled(rows, &log, &admin) {
                Err(EngineError::Gone) => return Ok(()),
                row => row?,
            };
            if row.admin != admin {
                return Err(EngineError::NoAccess);
            }
            rows.grow(-i64::try_from(row.bytes).unwrap_or(i64::MAX));
            rows.put_log(&log, &LogRow { gone: Some(now), bytes: 0, ..row })?;
            Ok(())
        })
    }

    /// Knocks at a log, with a token that need not write any more.
    ///
    /// # Errors
    /// [`EngineError::NoAccess`], [`EngineError::TooMany`].
    pub fn knock(
        &self,
        log: LogId,
        token: TokenHash,
        id: BundleId,
        body: Vec<u8>,
        now: i64,
    ) -> Result<Made, EngineError> {
        self.write_now(WorkHint::log(log), move |rows| {
            enter(rows, &log, &token)?;
            if rows.knock(&log, &id)?.is_some_and(|knock| knock.expires > now) {
                return Ok(Made::Same);
            }
            let waiting = rows.knocks(&log, now)?.len();
            if waiting >= MAX_KNOCKS || rows.knocks_kept(&log)? >= KNOCKS_KEPT {
                return Err(EngineError::TooMany);
            }
            let expires = now.saturating_add(i64::from(KNOCK_DAYS) * DAY);
            rows.put_knock(&log, &id, &KnockRow { body, answer: None, expires })?;
            Ok(Made::New)
        })
    }

    /// The knocks that nobody has answered, by id.
    ///
    /// # Errors
    /// [`EngineError::NoAccess`], [`EngineError::Retired`].
    pub fn knocks(
        &self,
        log: LogId,
        token: TokenHash,
        now: i64,
    ) -> Result<Vec<Vec<u8>>, EngineError> {
        self.read(|rows| {
            enter_whole(rows, &log, &token)?;
            Ok(rows.knocks(&log, now)?)
        })
    }

    /// Answers a knock; a later answer takes the place of an earlier one.
    ///
    /// # Errors
    /// [`EngineError::NotFound`], [`EngineError::NoAccess`], [`EngineError::Retired`].
    pub fn answer(
        &self,
        log: LogId,
        token: TokenHash,
        id: BundleId,
        answer: Vec<u8>,
        now: i64,
    ) -> Result<(), EngineError> {
        self.write_now(WorkHint::log(log), move |rows| {
            enter_whole(rows, &log, &token)?;
            let knock = rows.knock(&log, &id)?.filter(|knock| knock.expires > now);
            let knock = knock.ok_or(EngineError::NotFound)?;
            rows.put_knock(&log, &id, &KnockRow { answer: Some(answer), ..knock })?;
            Ok(())
        })
    }

    /// The answer to a knock, for whoever knocked.
    ///
    /// # Errors
    /// [`EngineError::NotFound`] while there is none.
    pub fn answered(
        &self,
        log: LogId,
        token: TokenHash,
        id: BundleId,
        now: i64,
    ) -> Result<Vec<u8>, EngineError> {
        self.read(|rows| {
            enter(rows, &log, &token)?;
            let knock = rows.knock(&log, &id)?.filter(|knock| knock.expires > now);
            knock.and_then(|knock| knock.answer).ok_or(EngineError::NotFound)
        })
    }

    /// Leaves a parcel for some days; whoever shows the same token may replace it.
    ///
    /// # Errors
    /// [`EngineError::Taken`], [`EngineError::Full`].
    pub fn leave_parcel(
        &self,
        id: [u8; 16],
        owner: TokenHash,
        body: Vec<u8>,
        days: u16,
        now: i64,
    ) -> Result<Made, EngineError> {
        let quotas = self.quotas;
        self.write_now(WorkHint::default(), move |rows| {
            let before = rows.parcel(&id)?;
            let there = before.as_ref().filter(|parcel| parcel.expires > now);
            if there.is_some_and(|parcel| parcel.owner != owner) {
                return Err(EngineError::Taken);
            }
            let made = if there.is_some() { Made::Same } else { Made::New };
            if rows.total()?.saturating_add(body.len() as u64) > quotas.total_bytes {
                return Err(EngineError::Full);
            }
            let size = |body: &[u8]| i64::try_from(body.len()).unwrap_or(i64::MAX);
            rows.grow(size(&body) - before.map_or(0, |before| size(&before.body)));
            let expires = now.saturating_add(i64::from(days) * DAY);
            rows.put_parcel(&id, Some(&ParcelRow { body, owner, expires }))?;
            Ok(made)
        })
    }

    /// A parcel.
    ///
    /// # Errors
    /// [`EngineError::NotFound`].
    pub fn parcel(&self, id: [u8; 16], now: i64) -> Result<Vec<u8>, EngineError> {
        self.read(|rows| {
            let parcel = rows.parcel(&id)?.filter(|parcel| parcel.expires > now);
            parcel.map(|parcel| parcel.body).ok_or(EngineError::NotFound)
        })
    }

    /// Takes a parcel away.
    ///
    /// # Errors
    /// [`EngineError::NotFound`], [`EngineError::Taken`].
    pub fn remove_parcel(
        &self,
        id: [u8; 16],
        owner: TokenHash,
        now: i64,
    ) -> Result<(), EngineError> {
        self.write_now(WorkHint::default(), move |rows| {
            let parcel = rows.parcel(&id)?.filter(|parcel| parcel.expires > now);
            let parcel = parcel.ok_or(EngineError::NotFound)?;
            if parcel.owner != owner {
                return Err(EngineError::Taken);
            }
            rows.grow(-i64::try_from(parcel.body.len()).unwrap_or(i64::MAX));
            rows.put_parcel(&id, None)?;
            Ok(())
        })
    }

    /// Where logs end, in their order; `None` for one that is not there.
    ///
    /// # Errors
    /// [`EngineError::Shelves`].
    pub fn ends(&self, logs: &[LogId]) -> Result<Vec<Option<u64>>, EngineError> {
        self.read(|rows| {
            let end = |log| Ok(rows.log(log)?.map(|row| row.last));
            logs.iter().map(end).collect()
        })
    }

    /// What is held.
    ///
    /// # Errors
    /// [`EngineError::Shelves`].
    pub fn held(&self) -> Result<Held, EngineError> {
        self.read(|rows| Ok(rows.held()?))
    }

    /// Takes away some of what nobody can ask for any more; answers whether there may be more.
    ///
    /// # Errors
    /// [`EngineError::Shelves`].
    pub fn sweep(&self, now: i64) -> Result<bool, EngineError> {
        let forget = now.saturating_sub(GONE_DAYS * DAY);
        self.write_now(WorkHint::default(), move |rows| {
            let stale = rows.stale_blobs(now.saturating_sub(DAY), STALE_AT_ONCE)?;
            for (log, id) in &stale {
                drop_blob(rows, log, id, now)?;
            }
            let swept = rows.sweep(now, forget, SWEPT_AT_ONCE)?;
            Ok(swept >= SWEPT_AT_ONCE || stale.len() >= STALE_AT_ONCE)
        })
    }

    /// Over PostgreSQL, at the address that a connection string names. The runtime outlives the engine, and
    /// no call of it comes from one of its tasks.
    ///
    /// # Errors
    /// [`ShelvesError`].
    #[cfg(feature = "postgres")]
    pub fn on_postgres(
        address: &str,
        runtime: tokio::runtime::Handle,
        quotas: Quotas,
        watch: CommitWatch,
    ) -> Result<Self, ShelvesError> {
        let shelves = crate::postgres::PostgresShelves::open(address, runtime, watch)?;
        Ok(Self { shelves: Box::new(shelves), quotas, objects: None })
    }

    pub(crate) fn read<T>(
        &self,
        mut rule: impl FnMut(&mut dyn LogRows) -> Result<T, EngineError>,
    ) -> Result<T, EngineError> {
        let mut answer = Err(ShelvesError::Closed.into());
        self.shelves.read(&mut |rows| {
            answer = rule(rows);
            Ok(())
        })?;
        answer
    }

    fn write<T: Send + 'static>(
        &self,
        hint: WorkHint,
        rule: impl FnOnce(&mut dyn LogRows) -> Result<T, EngineError> + Send + 'static,
        done: Tell<T>,
    ) {
        let run = move |rows: Result<&mut dyn LogRows, ShelvesError>| {
            let answer = rows.map_err(EngineError::Shelves).and_then(rule);
            let sound = match &answer {
                Err(EngineError::Shelves(error)) => Err(error.clone()),
                _ => Ok(()),
            };
            let settle = move |kept: Result<(), ShelvesError>| {
                done(kept.map_err(EngineError::Shelves).and(answer));
            };
            Ruling { sound, settle: Box::new(settle) }
        };
        self.shelves.write(Work { hint, run: Box::new(run) });
    }

    pub(crate) fn write_now<T: Send + 'static>(
        &self,
        hint: WorkHint,
        rule: impl FnOnce(&mut dyn LogRows) -> Result<T, EngineError> + Send + 'static,
    ) -> Result<T, EngineError> {
        let (tell, told) = mpsc::sync_channel(1);
        self.write(hint, rule, Box::new(move |answer| drop(tell.send(answer))));
        told.recv().unwrap_or(Err(ShelvesError::Closed.into()))
    }
}

/// Whether a log goes on from a place.
fn goes_on(
    rows: &mut dyn LogRows,
    log: &LogId,
    row: &LogRow,
    from: &Position,
) -> Result<(), EngineError> {
    let here = match from.seq {
        0 => Some(Chain::start(log)),
        last if last == row.last => Some(row.chain),
        earlier if earlier < row.last => rows.chain(log, earlier)?,
        _ => None,
    };
    if here == Some(from.chain) {
        Ok(())
    } else {
        Err(EngineError::Diverged(Position { seq: row.last, chain: row.chain }))
    }
}

/// Looks at everything first, and then writes.
fn take(
    rows: &mut dyn LogRows,
    push: &Push,
    quotas: Quotas,
    now: i64,
) -> Result<Pushed, EngineError> {
    let log = &push.log;
    let mut row = enter_whole(rows, log, &push.token)?;
    goes_on(rows, log, &row, &push.after)?;
    let mut end = Position { seq: row.last, chain: row.chain };
    let (mut accepted, mut new, mut bytes) = (Vec::new(), Vec::new(), 0_u64);
    // A bundle may be named twice in one push.
    let mut numbers: HashMap<BundleId, u64> = HashMap::new();
    for (id, sealed) in &push.bundles {
        let known = match numbers.get(id) {
            Some(seq) => Some(*seq),
            None => rows.number(log, id)?,
        };
        let seq = known.unwrap_or_else(|| {
            end = end.next(id);
            bytes = bytes.saturating_add(sealed.len() as u64);
            new.push((end, id, sealed));
            end.seq
        });
        numbers.insert(*id, seq);
        accepted.push(seq);
    }
    if !new.is_empty() {
        if row.bytes.saturating_add(bytes) > quotas.log_bytes {
            return Err(EngineError::Quota);
        }
        if rows.total()?.saturating_add(bytes) > quotas.total_bytes {
            return Err(EngineError::Full);
        }
        for (Position { seq, chain }, id, sealed) in &new {
            rows.add_item(log, &ItemRow { seq: *seq, id: **id, chain: *chain, sealed })?;
        }
        row.last = end.seq;
        row.chain = end.chain;
        row.bytes = row.bytes.saturating_add(bytes);
        row.touched = now;
        rows.put_log(log, &row)?;
        rows.grow(i64::try_from(bytes).unwrap_or(i64::MAX));
    }
    Ok(Pushed { accepted, new: new.len(), end })
}
