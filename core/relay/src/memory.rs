//! Rows in memory: for tests, and for a relay that need not outlive its process.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use fallaway_changes::{BlobId, BundleId, LogId};
use fallaway_sync::wire::access::TokenHash;
use fallaway_sync::wire::chain::Chain;

use crate::model::{Held, ShelvesError};
use crate::objects::ObjectName;
use crate::rows::{
    BlobRow, ItemRow, KnockRow, LogRow, LogRows, ParcelRow, Shelves, TokenUse, Work,
};

/// What an engine in memory keeps. A clone is the same shelves; [`MemoryShelves::copy`] is other ones.
#[derive(Debug, Clone, Default)]
pub struct MemoryShelves(Arc<Mutex<State>>);

impl MemoryShelves {
    /// As they stand now, on their own from then on: what somebody restores later.
    #[must_use]
    pub fn copy(&self) -> Self {
        Self(Arc::new(Mutex::new(self.with(|state| state.clone()))))
    }

    /// Puts what a copy holds into the place of what these hold.
    pub fn restore(&self, from: &Self) {
        let earlier = from.with(|state| state.clone());
        self.with(|state| *state = earlier);
    }

    fn with<T>(&self, work: impl FnOnce(&mut State) -> T) -> T {
        work(&mut self.0.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

impl Shelves for MemoryShelves {
    fn read(
        &self,
        work: &mut dyn FnMut(&mut dyn LogRows) -> Result<(), ShelvesError>,
    ) -> Result<(), ShelvesError> {
        self.with(|state| work(state))
    }

    fn write(&self, work: Work) {
        let ruling = self.with(|state| (work.run)(Ok(state)));
        (ruling.settle)(ruling.sound);
    }
}

#[derive(Debug, Clone)]
struct Item {
    id: BundleId,
    chain: Chain,
    sealed: Arc<[u8]>,
}

/// A photo and its parts.
type Blob = (BlobRow, BTreeMap<u32, Arc<[u8]>>);

#[derive(Debug, Clone)]
struct Log {
    row: LogRow,
    tokens: BTreeMap<[u8; 32], TokenUse>,
    /// Number n stands in place n - 1.
    items: Vec<Item>,
    numbers: BTreeMap<BundleId, u64>,
    knocks: BTreeMap<BundleId, KnockRow>,
    blobs: BTreeMap<BlobId, Blob>,
}

#[derive(Debug, Clone, Default)]
struct State {
    logs: BTreeMap<LogId, Log>,
    parcels: BTreeMap<[u8; 16], ParcelRow>,
    objects: BTreeMap<ObjectName, i64>,
}

impl State {
    fn bytes(&self) -> u64 {
        let logs: u64 = self.logs.values().map(|log| log.row.bytes).sum();
        let parcels: u64 = self.parcels.values().map(|parcel| parcel.body.len() as u64).sum();
        logs + parcels
    }
}

/// The place of a number in a list that begins with number 1.
fn place(seq: u64) -> Option<usize> {
    usize::try_from(seq.checked_sub(1)?).ok()
}

impl LogRows for State {
    fn log(&mut self, log: &LogId) -> Result<Option<LogRow>, ShelvesError> {
        Ok(self.logs.get(log).map(|log| log.row.clone()))
    }

    fn put_log(&mut self, log: &LogId, row: &LogRow) -> Result<(), ShelvesError> {
        let new = || Log {
            row: row.clone(),
            tokens: BTreeMap::new(),
            items: Vec::new(),
            numbers: BTreeMap::new(),
            knocks: BTreeMap::new(),
            blobs: BTreeMap::new(),
        };
        self.logs.entry(*log).or_insert_with(new).row = row.clone();
        Ok(())
    }

    fn token_use(
        &mut self,
        log: &LogId,
        token: &TokenHash,
    ) -> Result<Option<TokenUse>, ShelvesError> {
        Ok(self.logs.get(log).and_then(|log| log.tokens.get(&token.0)).copied())
    }

    fn tokens(&mut self, log: &LogId) -> Result<u64, ShelvesError> {
        Ok(self.logs.get(log).map_or(0, |log| log.tokens.len() as u64))
    }

    fn add_token(&mut self, log: &LogId, token: &TokenHash) -> Result<(), ShelvesError> {
        if let Some(log) = self.logs.get_mut(log) {
            log.tokens.insert(token.0, TokenUse::Whole);
        }
        Ok(())
    }

    fn retire(&mut self, log: &LogId, at: u64, but: &TokenHash) -> Result<(), ShelvesError> {
        let tokens = self.logs.get_mut(log).into_iter().flat_map(|log| &mut log.tokens);
        for (token, allowed) in tokens {
            if *allowed == TokenUse::Whole && *token != but.0 {
                *allowed = TokenUse::Until(at);
            }
        }
        Ok(())
    }

    fn number(&mut self, log: &LogId, id: &BundleId) -> Result<Option<u64>, ShelvesError> {
        Ok(self.logs.get(log).and_then(|log| log.numbers.get(id)).copied())
    }

    fn chain(&mut self, log: &LogId, seq: u64) -> Result<Option<Chain>, ShelvesError> {
        let item = self.logs.get(log).and_then(|log| log.items.get(place(seq)?));
        Ok(item.map(|item| item.chain))
    }

    fn add_item(&mut self, log: &LogId, item: &ItemRow<'_>) -> Result<(), ShelvesError> {
        if let Some(log) = self.logs.get_mut(log) {
            log.numbers.insert(item.id, item.seq);
            log.items.push(Item { id: item.id, chain: item.chain, sealed: item.sealed.into() });
        }
        Ok(())
    }

    fn items(
        &mut self,
        log: &LogId,
        after: u64,
        until: u64,
        each: &mut dyn FnMut(ItemRow<'_>) -> bool,
    ) -> Result<(), ShelvesError> {
        let Some(log) = self.logs.get(log) else { return Ok(()) };
        for (item, seq) in log.items.iter().zip(1..=until) {
            let Item { id, chain, sealed } = item;
            if seq > after && !each(ItemRow { seq, id: *id, chain: *chain, sealed }) {
                break;
            }
        }
        Ok(())
    }

    fn knock(&mut self, log: &LogId, id: &BundleId) -> Result<Option<KnockRow>, ShelvesError> {
        Ok(self.logs.get(log).and_then(|log| log.knocks.get(id)).cloned())
    }

    fn knocks(&mut self, log: &LogId, now: i64) -> Result<Vec<Vec<u8>>, ShelvesError> {
        let knocks = self.logs.get(log).into_iter().flat_map(|log| log.knocks.values());
        let waiting = knocks.filter(|knock| knock.answer.is_none() && knock.expires > now);
        Ok(waiting.map(|knock| knock.body.clone()).collect())
    }

    fn knocks_kept(&mut self, log: &LogId) -> Result<u64, ShelvesError> {
        Ok(self.logs.get(log).map_or(0, |log| log.knocks.len() as u64))
    }

    fn put_knock(
        &mut self,
        log: &LogId,
        id: &BundleId,
        row: &KnockRow,
    ) -> Result<(), ShelvesError> {
        if let Some(log) = self.logs.get_mut(log) {
            log.knocks.insert(*id, row.clone());
        }
        Ok(())
    }

    fn forget_answers(&mut self, log: &LogId) -> Result<(), ShelvesError> {
        for knock in self.logs.get_mut(log).into_iter().flat_map(|log| log.knocks.values_mut()) {
            knock.answer = None;
        }
        Ok(())
    }

    fn parcel(&mut self, id: &[u8; 16]) -> Result<Option<ParcelRow>, ShelvesError> {
        Ok(self.parcels.get(id).cloned())
    }

    fn put_parcel(&mut self, id: &[u8; 16], row: Option<&ParcelRow>) -> Result<(), ShelvesError> {
        match row {
            Some(row) => self.parcels.insert(*id, row.clone()),
            None => self.parcels.remove(id),
        };
        Ok(())
    }

    fn blob(&mut self, log: &LogId, id: &BlobId) -> Result<Option<BlobRow>, ShelvesError> {
        Ok(self.logs.get(log).and_then(|log| log.blobs.get(id)).map(|(row, _)| *row))
    }

    fn put_blob(
        &mut self,
        log: &LogId,
        id: &BlobId,
        row: Option<&BlobRow>,
    ) -> Result<(), ShelvesError> {
        let Some(log) = self.logs.get_mut(log) else { return Ok(()) };
        match row {
            Some(row) => log.blobs.entry(*id).or_insert_with(|| (*row, BTreeMap::new())).0 = *row,
            None => drop(log.blobs.remove(id)),
        }
        Ok(())
    }

    fn blob_parts(&mut self, log: &LogId, id: &BlobId) -> Result<Vec<u32>, ShelvesError> {
        let blob = self.logs.get(log).and_then(|log| log.blobs.get(id));
        Ok(blob.map(|(_, parts)| parts.keys().copied().collect()).unwrap_or_default())
    }

    fn blob_part(
        &mut self,
        log: &LogId,
        id: &BlobId,
        part: u32,
    ) -> Result<Option<Vec<u8>>, ShelvesError> {
        let blob = self.logs.get(log).and_then(|log| log.blobs.get(id));
        Ok(blob.and_then(|(_, parts)| parts.get(&part)).map(|sealed| sealed.to_vec()))
    }

    fn add_blob_part(
        &mut self,
        log: &LogId,
        id: &BlobId,
        part: u32,
        sealed: &[u8],
    ) -> Result<(), ShelvesError> {
        if let Some((_, parts)) = self.logs.get_mut(log).and_then(|log| log.blobs.get_mut(id)) {
            parts.insert(part, sealed.into());
        }
        Ok(())
    }

    fn stale_blobs(
        &mut self,
        before: i64,
        most: usize,
    ) -> Result<Vec<(LogId, BlobId)>, ShelvesError> {
        let stale = |gone: bool, row: &BlobRow| {
            if gone { row.away } else { !row.whole && row.at <= before }
        };
        let all = self.logs.iter().flat_map(|(log, one)| {
            let of_it = one.blobs.iter();
            let of_it = of_it.filter(|(_, (row, _))| stale(one.row.gone.is_some(), row));
            of_it.map(|(id, _)| (*log, *id))
        });
        Ok(all.take(most).collect())
    }

    fn object(&mut self, name: &ObjectName) -> Result<Option<i64>, ShelvesError> {
        Ok(self.objects.get(name).copied())
    }

    fn put_object(&mut self, name: &ObjectName, at: Option<i64>) -> Result<(), ShelvesError> {
        match at {
            Some(at) => self.objects.insert(*name, at),
            None => self.objects.remove(name),
        };
        Ok(())
    }

    fn objects_due(
        &mut self,
        now: i64,
        stuck: i64,
        most: usize,
    ) -> Result<Vec<ObjectName>, ShelvesError> {
        let due = |at: i64| (1..=now).contains(&at) || (at < 0 && at > stuck);
        let all = self.objects.iter().filter(|(_, at)| due(**at));
        Ok(all.map(|(name, _)| *name).take(most).collect())
    }

    fn held(&mut self) -> Result<Held, ShelvesError> {
        let open = || self.logs.values().filter(|log| log.row.gone.is_none());
        let knocks = |log: &Log| log.knocks.values().filter(|knock| knock.answer.is_none()).count();
        Ok(Held {
            logs: open().count() as u64,
            bundles: open().map(|log| log.items.len() as u64).sum(),
            blobs: open().flat_map(|log| log.blobs.values()).filter(|(row, _)| row.whole).count()
                as u64,
            bytes: self.bytes(),
            knocks: open().map(|log| knocks(log) as u64).sum(),
        })
    }

    fn total(&mut self) -> Result<u64, ShelvesError> {
        Ok(self.bytes())
    }

    fn grow(&mut self, _: i64) {}

    fn sweep(&mut self, now: i64, forget: i64, most: usize) -> Result<usize, ShelvesError> {
        let mut swept = 0;
        let mut take = |old: bool| {
            let gone = old && swept < most;
            swept += usize::from(gone);
            !gone
        };
        self.parcels.retain(|_, parcel| take(parcel.expires <= now));
        for log in self.logs.values_mut() {
            log.knocks.retain(|_, knock| take(knock.expires <= now));
            if log.row.gone.is_some() {
                log.items.retain(|_| take(true));
                log.numbers.clear();
                log.blobs.retain(|_, (row, _)| row.away || take(true));
            }
        }
        self.logs.retain(|_, log| {
            take(
                log.items.is_empty()
                    && log.blobs.is_empty()
                    && log.row.gone.is_some_and(|gone| gone < forget),
            )
        });
        Ok(swept)
    }
}
