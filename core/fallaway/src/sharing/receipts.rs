//! Receipts of a record: what each device says that it has. Kept is the newest one of each device.
//!
//! This device writes one when it has something that nothing it wrote shows, at most one an hour. That a
//! receipt came is no reason for another one.

use fallaway_changes::{ChangeId, DeviceId, LogId, MemberHash, RecordId, Writer};
use fallaway_order::{Map, OneByOne as _, PutInOrder as _, Set};
use fallaway_record::Moment;
use fallaway_sharing::limits::MAX_DEVICES;
use fallaway_sharing::{
    ChainProof, ReadPlace, Receipt, ShortHash, UnverifiedReceipt, short_change, short_log, short_op,
};
use fallaway_store::{Batch, Store, StoreAccess, StoreError};
use fallaway_sync::wire::chain::Position;
use fallaway_text::Phrase;
use fallaway_text::messages::sync as say;
use fallaway_text::names;
use minicbor::bytes::ByteVec;
use minicbor::{Decode, Encode};

use crate::error::Result;
use crate::keeping::loaded_record::LoadedRecord;
use crate::keeping::projection;
use crate::keeping::secrets::Identity;
use crate::keeping::session::Session;
use crate::keeping::workshop_state::{WorkshopState, missing};
use crate::sharing::relay::RelayKept;

/// Seconds between two receipts of this device.
const PAUSE_S: u64 = 3600;

/// What is kept.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Receipts {
    all: Map<DeviceId, Receipt>,
    /// Of this device's, which others may have got in a meeting, the latest time.
    given: Option<i64>,
}

/// The form in the store.
#[derive(Encode, Decode)]
#[cbor(map)]
struct Kept {
    #[n(0)]
    all: Vec<ByteVec>,
    #[n(1)]
    given: Option<i64>,
}

impl Receipts {
    pub(crate) fn load(store: &dyn Store, id: &RecordId) -> Self {
        let bytes = store.projection(id, projection::RECEIPTS).ok().flatten();
        let Some(kept) = bytes.and_then(|bytes| projection::decode::<Kept>(&bytes)) else {
            return Self::default();
        };
        let all = kept.all.iter().filter_map(|bytes| Receipt::decode_kept(bytes, id).ok());
        Self { all: all.map(|one| (one.device, one)).in_map(), given: kept.given }
    }

    fn put(&self, batch: &mut Batch) {
        let all = self.all.values().map(|one| one.encode().into()).collect();
        let kept = Kept { all, given: self.given };
        batch.projections.push((projection::RECEIPTS, Some(projection::encode(&kept))));
    }

    /// Those of devices that share the record.
    pub(crate) fn of_members<'a>(
        &'a self,
        loaded: &'a LoadedRecord,
    ) -> impl Iterator<Item = &'a Receipt> {
        self.all.values().filter(|one| loaded.members.member(&one.device).is_some())
    }

    /// This device's, if it was written for this log.
    fn own_in(&self, own: &DeviceId, log: &LogId) -> Option<&Receipt> {
        self.all.get(own).filter(|last| last.places.iter().any(|place| place.is_in(log)))
    }

    /// This device's, while its log is not known to have it.
    pub(crate) fn waiting(&self, own: &DeviceId, kept: &RelayKept) -> Option<&Receipt> {
        self.own_in(own, &kept.log).filter(|last| kept.receipt != Some(mark(last)))
    }

    /// What tells these from others.
    pub(crate) fn marks(&self) -> Set<[u8; 32]> {
        self.all.values().map(mark).in_set()
    }

    /// Whether this device has something of which nobody who reads this log can know that it has it.
    fn is_due(&self, loaded: &LoadedRecord, own: &DeviceId, log: &LogId, now: i64) -> bool {
        if loaded.members.member(own).is_none() {
            return false;
        }
        let last = self.own_in(own, log);
        if last.is_some_and(|last| now.abs_diff(last.time) < PAUSE_S) {
            return false;
        }
        let says = |named: fn(&Receipt) -> &[ShortHash], short: ShortHash| {
            last.is_some_and(|last| named(last).contains(&short))
        };
        let op_is_shown = |hash: &MemberHash| {
            says(|last| &last.member_heads, short_op(hash))
                || loaded.members.op(hash).is_some_and(|op| op.device() == own)
        };
        if !loaded.members.heads().iter().all(op_is_shown) {
            return true;
        }
        let heads = loaded.record.heads();
        let unsaid: Set<&ChangeId> =
            heads.iter().filter(|id| !says(|last| &last.heads, short_change(id))).in_set();
        if unsaid.is_empty() {
            return false;
        }
        let is_own = |writer: &Writer| {
            let signed = loaded.signatures.iter().find(|one| one.writer == *writer);
            let proof = signed.and_then(|one| ChainProof::decode_kept(&one.bytes).ok());
            *writer == loaded.writer || proof.is_some_and(|proof| proof.device == *own)
        };
        let mut links = loaded.record.links().filter(|link| unsaid.contains(&link.id));
        links.any(|link| !is_own(&link.writer))
    }
}

/// A receipt of this device over what it has now, later than all that it wrote before.
fn receipt_now(
    loaded: &LoadedRecord,
    identity: &Identity,
    known: &Receipts,
    places: Vec<ReadPlace>,
    now: i64,
) -> Receipt {
    let kept = known.all.get(&identity.keys.device()).map(|last| last.time);
    let before = kept.max(known.given).map(|before| before.saturating_add(1));
    let time = before.map_or(now, |before| now.max(before));
    let what = (loaded.members.heads(), loaded.record.heads());
    Receipt::sign(&identity.keys, loaded.id, time, what, places)
}

/// Up to where a log was read, as receipts name it.
pub(crate) fn read_place(log: &LogId, position: &Position) -> Option<ReadPlace> {
    let Position { seq, chain } = *position;
    (seq > 0).then(|| ReadPlace { log: short_log(log), seq, chain: chain.0 })
}

/// Keeps those that are newer than what was known of their devices.
pub(crate) fn take(
    store: &dyn Store,
    loaded: &LoadedRecord,
    came: Vec<UnverifiedReceipt>,
    batch: &mut Batch,
) {
    if came.is_empty() {
        return;
    }
    let before = Receipts::load(store, &loaded.id);
    let mut known = before.clone();
    keep_newest(&mut known.all, came);
    if known.all.len() > MAX_DEVICES {
        known.all.retain(|device, _| loaded.members.member(device).is_some());
    }
    if known != before {
        known.put(batch);
    }
}

/// Of each device the newest that it has signed. The newest come first, so that of a device's many one is
/// checked; what somebody else wrote in its name hides none of its own.
fn keep_newest(known: &mut Map<DeviceId, Receipt>, mut came: Vec<UnverifiedReceipt>) {
    came.put_in_order_by(|a, b| b.time().cmp(&a.time()));
    for one in came {
        let newer = known.get(one.device()).is_none_or(|last| last.time < one.time());
        // Whether it is a member is asked when it is looked at: what tells that may come later.
        if newer && let Ok(receipt) = one.verify() {
            known.insert(receipt.device, receipt);
        }
    }
}

/// Writes a receipt, to be sent to this log, if one is due.
pub(crate) fn write_if_due(
    inner: &WorkshopState,
    session: &mut Session,
    id: RecordId,
    kept: &RelayKept,
) -> Result<()> {
    let (log, position) = (&kept.log, &kept.cursor.position);
    let Some(place) = read_place(log, position) else { return Ok(()) };
    if inner.store.access() != StoreAccess::ReadWrite {
        return Ok(());
    }
    keep(inner, session, id, |identity, loaded, known| {
        let (own, now) = (identity.keys.device(), inner.clock.now().unix_s);
        if known.waiting(&own, kept).is_some() || !known.is_due(loaded, &own, log, now) {
            return None;
        }
        let receipt = receipt_now(loaded, identity, known, vec![place], now);
        known.all.insert(own, receipt);
        Some(())
    })?;
    Ok(())
}

/// For whoever this device meets: its receipt over what it has now, if it has read a log at one of these
/// places, and up to `most` of the others' newest. Its time is kept before it is given away: the next one
/// is later, whatever the clock says.
pub(crate) fn to_give(
    inner: &WorkshopState,
    session: &mut Session,
    id: RecordId,
    places: &[ReadPlace],
    most: usize,
) -> Result<Vec<Receipt>> {
    // Where it has read none, a meeting says itself what both have.
    let own = if places.is_empty() {
        None
    } else {
        keep(inner, session, id, |identity, loaded, known| {
            let now = inner.clock.now().unix_s;
            let receipt = receipt_now(loaded, identity, known, places.to_vec(), now);
            known.given = Some(receipt.time);
            Some(receipt)
        })?
    };
    let Session { identity, records, .. } = session;
    let loaded = records.get(&id).ok_or_else(|| missing(id))?;
    let known = Receipts::load(inner.store.as_ref(), &id);
    let others = known.of_members(loaded).filter(|one| one.device != identity.keys.device());
    let mut others: Vec<Receipt> = others.cloned().collect();
    others.put_in_order_by_key(|one| std::cmp::Reverse(one.time));
    others.truncate(most);
    Ok(own.into_iter().chain(others).collect())
}

/// Changes what is kept, if there is anything to change; once more if another process was faster.
fn keep<T>(
    inner: &WorkshopState,
    session: &mut Session,
    id: RecordId,
    mut change: impl FnMut(&Identity, &LoadedRecord, &mut Receipts) -> Option<T>,
) -> Result<Option<T>> {
    loop {
        inner.refresh(session, id)?;
        let Session { identity, records, .. } = session;
        let loaded = records.get_mut(&id).ok_or_else(|| missing(id))?;
        let mut known = Receipts::load(inner.store.as_ref(), &id);
        let Some(made) = change(identity, loaded, &mut known) else { return Ok(None) };
        let mut batch = Batch::new();
        known.put(&mut batch);
        match inner.store.commit(&id, loaded.generation, &batch) {
            Ok(generation) => {
                loaded.generation = generation;
                return Ok(Some(made));
            }
            Err(StoreError::Moved { .. }) => drop(records.remove(&id)),
            Err(error) => return Err(error.into()),
        }
    }
}

/// The log is another one than the one that was read: what this device said of it is void.
pub(crate) fn forget_own(store: &dyn Store, id: &RecordId, own: &DeviceId, batch: &mut Batch) {
    let mut known = Receipts::load(store, id);
    // Its time stays: the next one is later, whatever the clock says.
    if let Some(last) = known.all.get_mut(own).filter(|last| !last.places.is_empty()) {
        last.places.clear();
        known.put(batch);
    }
}

/// What a device is known to have by its receipt: of these changes the named ones.
pub(crate) fn named(receipt: &Receipt, ids: impl Iterator<Item = ChangeId>) -> Vec<ChangeId> {
    ids.filter(|id| receipt.heads.contains(&short_change(id))).collect()
}

/// The operations that are here, by the names that receipts give them.
pub(crate) struct OpsByShortName(Map<ShortHash, MemberHash>);

impl OpsByShortName {
    pub(crate) fn of(loaded: &LoadedRecord) -> Self {
        let ops = loaded.members.ops().map(fallaway_sharing::MemberOp::hash);
        Self(ops.map(|op| (short_op(&op), op)).in_map())
    }

    /// Those that a receipt names.
    pub(crate) fn named_by(&self, receipt: &Receipt) -> Vec<MemberHash> {
        receipt.member_heads.iter().filter_map(|short| self.0.get(short).copied()).collect()
    }
}

/// What tells one receipt from the others.
pub(crate) fn mark(receipt: &Receipt) -> [u8; 32] {
    receipt.signature.as_bytes().first_chunk().copied().unwrap_or_default()
}

/// A relay has shown another device something else than this one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RelayDoubt {
    /// What the other device calls itself.
    pub device: String,
    /// When it was shown that, by its clock.
    pub at: Moment,
}

impl RelayDoubt {
    /// The doubt as a sentence to show: which device was shown something else, and when.
    pub fn phrase(&self) -> Phrase {
        say::doubted(self.device.clone(), names::moment(self.at))
    }
}

/// By which receipts the log, read to its end, is another one than their devices have read; the signature
/// tells one from the others.
pub(crate) fn doubts<'a>(
    known: &'a Receipts,
    loaded: &'a LoadedRecord,
    kept: &'a RelayKept,
) -> impl Iterator<Item = &'a Receipt> {
    known.of_members(loaded).filter(|one| {
        let here = one.places.iter().filter(|place| place.is_in(&kept.log));
        here.into_iter().any(|place| match kept.chain_at(place.seq) {
            Some(chain) => chain != place.chain,
            None => place.seq > kept.cursor.position.seq,
        })
    })
}

#[cfg(test)]
mod tests {
    use fallaway_sharing::DeviceKeys;

    use super::*;

    fn at(keys: &DeviceKeys, time: i64) -> Receipt {
        Receipt::sign(keys, RecordId::from_bytes([1; 16]), time, ([], []), Vec::new())
    }

    #[test]
    fn what_another_wrote_in_its_name_hides_no_receipt_of_a_device() {
        let [own, other] = [1, 2].map(|seed| DeviceKeys::from_seed(&[seed; 32]));
        let forged = Receipt { device: own.device(), ..at(&other, i64::MAX) };
        let came = [at(&own, 5), forged, at(&own, 7), at(&own, 6)];
        let mut known = Map::new();
        keep_newest(&mut known, came.map(UnverifiedReceipt::from).into());
        assert_eq!(known, Map::from([(own.device(), at(&own, 7))]));
    }
}
