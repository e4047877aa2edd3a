//! What the store keeps of a relay: address, place in the log, what the log has. It is a projection,
//! since it can be made anew: read the log from its beginning.

use std::collections::{BTreeMap, BTreeSet};

use fallaway_changes::{BlobId, BundleId, ChangeId, EpochId, LogId, MemberHash, RecordId, Writer};
use fallaway_store::{Batch, Store};
use fallaway_sync::LogCursor;
use fallaway_sync::wire::chain::{Chain, Position};
use minicbor::bytes::{ByteArray, ByteVec};
use minicbor::{Decode, Encode};

use super::known::Known;
use crate::keeping::projection;

/// What is kept of the relay of one record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct RelayKept {
    pub url: String,
    pub log: LogId,
    pub cursor: LogCursor,
    pub known: Known,
    /// Bundles that the relay does not take, and the code that it gave.
    pub aside: BTreeMap<BundleId, String>,
    /// Photos that the log has, as far as this device knows.
    pub blobs: BTreeSet<BlobId>,
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
            aside: BTreeMap::new(),
            blobs: BTreeSet::new(),
            missed: false,
            leaving: 0,
        }
    }

    /// What the store has; none if there is no relay, or if it has to be read anew.
    pub(crate) fn load(store: &dyn Store, id: &RecordId) -> Option<Self> {
        let bytes = store.projection(id, projection::RELAY).ok().flatten()?;
        projection::decode::<Kept>(&bytes).map(Self::from)
    }

    pub(crate) fn put(&self, batch: &mut Batch) {
        let bytes = projection::encode(&Kept::from(self));
        batch.projections.push((projection::RELAY, Some(bytes)));
    }

    /// Nothing is known of the log any more: the next round reads it from its beginning.
    pub(crate) fn begin_anew(&mut self) {
        let epoch = self.cursor.epoch;
        self.cursor = LogCursor { epoch, ..LogCursor::start(&self.log) };
        self.known = Known::default();
        self.aside.clear();
        self.blobs.clear();
        self.missed = false;
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
        }
    }
}

impl From<Kept> for RelayKept {
    fn from(kept: Kept) -> Self {
        fn ids<T: From<[u8; 32]> + Ord>(bytes: &ByteVec) -> BTreeSet<T> {
            let chunks = bytes.chunks_exact(32);
            chunks.filter_map(|chunk| <[u8; 32]>::try_from(chunk).ok()).map(T::from).collect()
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
                inside: inside.map(|(writer, runs)| (Writer::from_bytes(*writer), runs)).collect(),
                beside: ids::<ChangeId>(&kept.beside),
                unread: ids::<BundleId>(&kept.unread),
            },
            aside: kept
                .aside
                .into_iter()
                .map(|(id, why)| (BundleId::from_bytes(*id), why))
                .collect(),
            blobs: kept.blobs.as_ref().map(ids::<BlobId>).unwrap_or_default(),
            missed: kept.missed,
            leaving: kept.leaving.unwrap_or_default(),
        }
    }
}
