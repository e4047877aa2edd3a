//! What the store keeps of a record's relays: address, place in the log, what the log has. It is a
//! projection, since it can be made anew: read the log from its beginning.

use fallaway_changes::{BlobId, BundleId, ChangeId, EpochId, LogId, MemberHash, RecordId, Writer};
use fallaway_order::OneByOne as _;
use fallaway_order::{Map, Set};
use fallaway_store::{Batch, Store};
use fallaway_sync::LogCursor;
use fallaway_sync::wire::chain::{Chain, Position};
use minicbor::bytes::{ByteArray, ByteVec};
use minicbor::{Decode, Encode};

use super::known::Known;
use crate::keeping::projection;

/// So many relays that a record has left are looked at again.
const MOST_FORMER: usize = 4;
/// Of so many of the last numbers of a log the chain is kept.
const MOST_TRAIL: usize = 128;

/// What is kept of the relays of one record: the one that carries it, and then those that it has left
/// and where somebody may still look for it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct RelaysKept(Vec<RelayKept>);

/// What is kept of one relay of a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct RelayKept {
    pub url: String,
    pub log: LogId,
    pub cursor: LogCursor,
    pub known: Known,
    /// Bundles that the relay does not take, and the code that it gave.
    pub aside: Map<BundleId, String>,
    /// Photos that the log has, as far as this device knows.
    pub blobs: Set<BlobId>,
    /// The chain at the last numbers up to the cursor.
    trail: Vec<[u8; 16]>,
    /// By its mark the receipt of this device that the log is known to have.
    pub receipt: Option<[u8; 32]>,
    /// Receipts by which a person was told that the log shows others something else.
    pub told: Set<[u8; 32]>,
    /// More came that could not be read than is kept: with the next key the log is read again.
    pub missed: bool,
    /// How often this relay could not be reached since the record has moved to another.
    pub leaving: u32,
}

impl RelayKept {
    pub(crate) fn new(url: String, log: LogId) -> Self {
        Self {
            url,
            log,
            cursor: LogCursor::start(&log),
            known: Known::default(),
            aside: Map::new(),
            blobs: Set::new(),
            trail: Vec::new(),
            receipt: None,
            told: Set::new(),
            missed: false,
            leaving: 0,
        }
    }

    /// What the store has of the relay that carries the record; none if there is no relay, or if it has
    /// to be read anew.
    pub(crate) fn load(store: &dyn Store, id: &RecordId) -> Option<Self> {
        RelaysKept::load(store, id).0.into_iter().next()
    }

    pub(crate) fn put(self, batch: &mut Batch) {
        RelaysKept(vec![self]).put(batch);
    }

    /// Nothing is known of the log any more: the next round reads it from its beginning.
    pub(crate) fn begin_anew(&mut self) {
        self.read_again();
        self.known = Known::default();
        self.aside.clear();
        self.blobs.clear();
    }

    /// The next round reads the log from its beginning.
    pub(crate) fn read_again(&mut self) {
        let epoch = self.cursor.epoch;
        self.cursor = LogCursor { epoch, ..LogCursor::start(&self.log) };
        self.trail.clear();
        self.receipt = None;
        self.missed = false;
    }

    /// The log was read to here, with these chains on the way. Another exchange of this device, in another
    /// process or task, may have read on meanwhile.
    pub(crate) fn go_on(&mut self, cursor: LogCursor, trail: &[Chain]) {
        let (here, end) = (self.cursor.position, cursor.position);
        if here.seq > end.seq && self.chain_at(end.seq) == Some(end.chain.0) {
            // In the same log: this page is older than what is known.
            return;
        }
        if here.seq.checked_add(trail.len() as u64) != Some(end.seq) {
            self.trail.clear();
        }
        self.cursor = cursor;
        self.trail.extend(trail.iter().map(|chain| chain.0));
        let beyond = self.trail.len().saturating_sub(MOST_TRAIL);
        self.trail.drain(..beyond);
    }

    /// The chain at a number of the log, if it is still known.
    pub(crate) fn chain_at(&self, seq: u64) -> Option<[u8; 16]> {
        let behind = self.cursor.position.seq.checked_sub(seq)?;
        let place = self.trail.len().checked_sub(1)?.checked_sub(usize::try_from(behind).ok()?)?;
        self.trail.get(place).copied()
    }
}

impl RelaysKept {
    /// What the store has.
    pub(crate) fn load(store: &dyn Store, id: &RecordId) -> Self {
        let bytes = store.projection(id, projection::RELAY).ok().flatten();
        let kept = bytes.and_then(|bytes| projection::decode::<Kept>(&bytes));
        Self(kept.map(Kept::into_all).unwrap_or_default())
    }

    pub(crate) fn put(&self, batch: &mut Batch) {
        let mut all = self.0.iter().map(Kept::from);
        let bytes = all
            .next()
            .map(|first| projection::encode(&Kept { former: Some(all.collect()), ..first }));
        batch.projections.push((projection::RELAY, bytes));
    }

    /// What is known of a log.
    pub(crate) fn of(&self, url: &str, log: &LogId) -> Option<&RelayKept> {
        self.0.iter().find(|one| (one.url.as_str(), &one.log) == (url, log))
    }

    /// Changes what is known of a log. One that is not known carries the record from now on.
    pub(crate) fn change(&mut self, url: &str, log: LogId, change: impl FnOnce(&mut RelayKept)) {
        let is = |one: &RelayKept| (one.url.as_str(), one.log) == (url, log);
        if !self.0.iter().any(is) {
            self.0.insert(0, RelayKept::new(url.to_owned(), log));
            self.0.truncate(1 + MOST_FORMER);
        }
        if let Some(one) = self.0.iter_mut().find(|one| is(one)) {
            change(one);
        }
    }

    /// The record is carried by this one now, as it was before.
    pub(crate) fn come_back(&mut self, url: &str, log: &LogId) {
        let place = self.0.iter().position(|one| (one.url.as_str(), &one.log) == (url, log));
        if let Some(place) = place {
            let one = self.0.remove(place);
            self.0.insert(0, one);
        }
    }

    pub(crate) fn iter(&self) -> impl Iterator<Item = &RelayKept> {
        self.0.iter()
    }

    pub(crate) fn iter_mut(&mut self) -> impl Iterator<Item = &mut RelayKept> {
        self.0.iter_mut()
    }

    /// Nobody is waited for there any more.
    pub(crate) fn leave(&mut self, url: &str, log: &LogId) {
        self.0.retain(|one| (one.url.as_str(), &one.log) != (url, log));
    }
}

/// The form in the store.
#[derive(Encode, Decode)]
#[cbor(map)]
struct Kept {
    #[n(0)]
    url: String,
    #[n(1)]
    log: ByteArray<16>,
    #[n(2)]
    seq: u64,
    #[n(3)]
    chain: ByteArray<16>,
    #[n(4)]
    caught_up: bool,
    #[n(5)]
    epoch: Option<ByteArray<16>>,
    #[n(6)]
    ops: ByteVec,
    #[n(7)]
    inside: Vec<(ByteArray<16>, Vec<(u64, u64)>)>,
    #[n(8)]
    beside: ByteVec,
    #[n(9)]
    unread: ByteVec,
    #[n(10)]
    aside: Vec<(ByteArray<32>, String)>,
    #[n(11)]
    missed: bool,
    #[n(12)]
    own_forms: ByteVec,
    #[n(13)]
    leaving: Option<u32>,
    #[n(14)]
    blobs: Option<ByteVec>,
    #[n(15)]
    former: Option<Vec<Kept>>,
    #[n(16)]
    trail: Option<ByteVec>,
    #[n(17)]
    told: Option<ByteVec>,
    #[n(18)]
    receipt: Option<ByteArray<32>>,
}

impl Kept {
    fn into_all(mut self) -> Vec<RelayKept> {
        let former = self.former.take().unwrap_or_default();
        let former = former.into_iter().take(MOST_FORMER);
        std::iter::once(self).chain(former).map(RelayKept::from).collect()
    }
}

impl From<&RelayKept> for Kept {
    fn from(kept: &RelayKept) -> Self {
        let Known { ops, own_forms, inside, beside, unread } = &kept.known;
        let bytes = |ids: Vec<[u8; 32]>| ByteVec::from(ids.concat());
        let LogCursor { position, caught_up, epoch } = kept.cursor;
        Self {
            url: kept.url.clone(),
            log: kept.log.to_bytes().into(),
            seq: position.seq,
            chain: position.chain.0.into(),
            caught_up,
            epoch: epoch.map(|epoch| epoch.to_bytes().into()),
            ops: bytes(ops.iter().map(|id| id.to_bytes()).collect()),
            inside: inside
                .iter()
                .map(|(writer, runs)| (writer.to_bytes().into(), runs.clone()))
                .collect(),
            beside: bytes(beside.iter().map(|id| id.to_bytes()).collect()),
            unread: bytes(unread.iter().map(|id| id.to_bytes()).collect()),
            aside: kept.aside.iter().map(|(id, why)| (id.to_bytes().into(), why.clone())).collect(),
            missed: kept.missed,
            own_forms: bytes(own_forms.iter().map(|id| id.to_bytes()).collect()),
            leaving: Some(kept.leaving),
            blobs: Some(bytes(kept.blobs.iter().map(|id| id.to_bytes()).collect())),
            former: None,
            trail: Some(kept.trail.concat().into()),
            told: Some(bytes(kept.told.iter().copied().collect())),
            receipt: kept.receipt.map(ByteArray::from),
        }
    }
}

impl From<Kept> for RelayKept {
    fn from(kept: Kept) -> Self {
        fn ids<T: From<[u8; 32]> + Ord>(bytes: &ByteVec) -> Set<T> {
            let chunks = bytes.chunks_exact(32);
            chunks.filter_map(|chunk| <[u8; 32]>::try_from(chunk).ok()).map(T::from).in_set()
        }
        let inside = kept.inside.into_iter();
        Self {
            url: kept.url,
            log: LogId::from_bytes(*kept.log),
            cursor: LogCursor {
                position: Position { seq: kept.seq, chain: Chain(*kept.chain) },
                caught_up: kept.caught_up,
                epoch: kept.epoch.map(|epoch| EpochId::from_bytes(*epoch)),
            },
            known: Known {
                ops: ids::<MemberHash>(&kept.ops),
                own_forms: ids::<MemberHash>(&kept.own_forms),
                inside: inside.map(|(writer, runs)| (Writer::from_bytes(*writer), runs)).in_map(),
                beside: ids::<ChangeId>(&kept.beside),
                unread: ids::<BundleId>(&kept.unread),
            },
            aside: kept
                .aside
                .into_iter()
                .map(|(id, why)| (BundleId::from_bytes(*id), why))
                .in_map(),
            blobs: kept.blobs.as_ref().map(ids::<BlobId>).unwrap_or_default(),
            trail: kept.trail.as_ref().map(|all| all.as_chunks().0.to_vec()).unwrap_or_default(),
            told: kept.told.as_ref().map(ids::<[u8; 32]>).unwrap_or_default(),
            receipt: kept.receipt.map(|mark| *mark),
            missed: kept.missed,
            leaving: kept.leaving.unwrap_or_default(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The place in a log at a number; a log that was filled anew has others.
    fn place(log: &LogId, filled: u8, seq: u64) -> Position {
        let bundle = |number: u64| BundleId::from_bytes([filled ^ number as u8; 32]);
        (1..=seq).fold(Position::start(log), |at, number| at.next(&bundle(number)))
    }

    proptest! {
        /// Two exchanges of one device take turns as they like: no number is given another's chain, by which
        /// a relay would be accused of what it has not done.
        #[test]
        fn a_chain_is_that_of_its_number_whoever_reads_beside(
            pages in prop::collection::vec((0..30_u64, 0..6_u64), 1..40)
        ) {
            let log = LogId::from_bytes([1; 16]);
            let mut kept = RelayKept::new("https://relay.example".to_owned(), log);
            for (from, count) in pages {
                let to = from + count;
                let trail: Vec<Chain> =
                    (from + 1..=to).map(|seq| place(&log, 0, seq).chain).collect();
                let position = place(&log, 0, to);
                kept.go_on(LogCursor { position, caught_up: true, epoch: None }, &trail);
                for seq in 0..40 {
                    let chain = kept.chain_at(seq);
                    prop_assert!(chain.is_none_or(|chain| chain == place(&log, 0, seq).chain.0));
                }
            }
        }
    }

    #[test]
    fn an_answer_that_comes_late_takes_nothing_back() {
        let log = LogId::from_bytes([1; 16]);
        let mut kept = RelayKept::new("https://relay.example".to_owned(), log);
        let page = |filled: u8, from: u64, to: u64| {
            let cursor =
                LogCursor { position: place(&log, filled, to), caught_up: true, epoch: None };
            let trail = (from + 1..=to).map(|seq| place(&log, filled, seq).chain);
            (cursor, trail.collect::<Vec<Chain>>())
        };
        for (filled, from, to, stands) in [(0, 0, 5, 5), (0, 5, 9, 9), (0, 5, 7, 9), (8, 5, 7, 7)] {
            let (cursor, trail) = page(filled, from, to);
            kept.go_on(cursor, &trail);
            assert_eq!(kept.cursor.position.seq, stands);
        }
    }
}
