//! What each device is known to have: by what it wrote after having seen it, by meetings, and by what it says
//! in its receipts.

use fallaway_changes::{ChangeId, DeviceId, MemberHash, RecordId};
use fallaway_order::PutInOrder as _;
use fallaway_order::{Map, Set};
use fallaway_record::Moment;
use fallaway_sharing::{Action, ChainProof, MemberOp};
use fallaway_store::{Batch, Store};
use fallaway_text::Phrase;
use fallaway_text::messages::sharing as say;
use fallaway_text::names;
use minicbor::bytes::ByteArray;
use minicbor::{Decode, Encode};

use crate::error::Result;
use crate::instrument::Instrument;
use crate::keeping::loaded_record::LoadedRecord;
use crate::keeping::projection;
use crate::sharing::exchange::DevicesOf;
use crate::sharing::receipts::{self, OpsByShortName, Receipts};

/// Devices of which a meeting is kept in mind.
const MOST_MET: usize = 128;
/// Heads of a document that are kept in mind.
const MOST_HEADS: usize = 64;
/// Operations on the members that are kept in mind.
const MOST_MEMBERS: usize = 256;

/// What one device is known to have of a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DeviceState {
    /// What the device calls itself, told apart from others of that name.
    pub label: String,
    /// The short text that names its key.
    pub fingerprint: String,
    /// Whether it is this device.
    pub this_device: bool,
    /// When it was last heard of: when it wrote the newest that is here, by its own clock, or met this
    /// device, by this one's. None if only its coming is known.
    pub last_heard: Option<Moment>,
    /// Changes of the record, as it is here, that it is not known to have. Of this device none.
    pub not_known: usize,
    /// Everything that was written before then, by the clocks of those who wrote, it is known to have.
    /// None if it is not known to have the first.
    pub has_until: Option<Moment>,
}

impl DeviceState {
    /// What it has, in words.
    pub fn phrase(&self) -> Phrase {
        match (self.not_known, self.has_until) {
            (0, _) => say::has_all(),
            (lacks, Some(until)) => say::has_until(names::moment(until), lacks),
            (_, None) => say::has_unknown(),
        }
    }
}

/// A meeting after which both had the same.
#[derive(Debug, Clone, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
struct Met {
    #[n(0)]
    device: ByteArray<32>,
    #[n(1)]
    unix_s: i64,
    #[n(2)]
    heads: Vec<ByteArray<32>>,
    /// The newest operations on the members; none of a meeting before this was kept.
    #[n(3)]
    #[cbor(default)]
    members: Vec<ByteArray<32>>,
}

fn meetings(store: &dyn Store, id: &RecordId) -> Vec<Met> {
    let bytes = store.projection(id, projection::MET).ok().flatten();
    bytes.and_then(|bytes| projection::decode(&bytes)).unwrap_or_default()
}

/// Keeps in mind that this device and another have the same now, with these newest changes and operations on
/// the members.
pub(crate) fn note_met(
    store: &dyn Store,
    id: &RecordId,
    (heads, members): (&[ChangeId], &[MemberHash]),
    (device, unix_s): (DeviceId, i64),
    batch: &mut Batch,
) {
    let device: ByteArray<32> = device.to_bytes().into();
    let mut all = meetings(store, id);
    all.retain(|met| met.device != device);
    let heads = heads.iter().take(MOST_HEADS).map(|id| id.to_bytes().into()).collect();
    let members = members.iter().take(MOST_MEMBERS).map(|id| id.to_bytes().into()).collect();
    all.insert(0, Met { device, unix_s, heads, members });
    all.truncate(MOST_MET);
    batch.projections.push((projection::MET, Some(projection::encode(&all))));
}

/// What is known of one device.
#[derive(Default)]
struct Signs {
    last: Option<i64>,
    /// Changes that it had, and with them all that they rest on.
    had: Set<ChangeId>,
    /// The newest operations on the members that it named as seen.
    seen: Set<MemberHash>,
}

impl Signs {
    fn at(&mut self, unix_s: i64) {
        self.last = Some(self.last.map_or(unix_s, |last| last.max(unix_s)));
    }
}

/// What is known of each device that wrote, met this one, or sent a receipt.
fn signs(store: &dyn Store, loaded: &LoadedRecord) -> Map<DeviceId, Signs> {
    let links: Vec<_> = loaded.record.links().collect();
    let writers = DevicesOf::new(loaded);
    let mut all: Map<DeviceId, Signs> = Map::new();
    for link in &links {
        if let Some(device) = writers.of(&link.writer) {
            let signs = all.entry(device).or_default();
            signs.at(link.time);
            signs.had.insert(link.id);
        }
    }
    for op in loaded.members.ops() {
        all.entry(*op.device()).or_default().at(op.time());
    }
    for met in meetings(store, &loaded.id) {
        let signs = all.entry(DeviceId::from_bytes(*met.device)).or_default();
        signs.at(met.unix_s);
        signs.had.extend(met.heads.iter().map(|id| ChangeId::from_bytes(**id)));
        signs.seen.extend(met.members.iter().map(|id| MemberHash::from_bytes(**id)));
    }
    let said = Receipts::load(store, &loaded.id);
    for receipt in said.of_members(loaded) {
        let signs = all.entry(receipt.device).or_default();
        signs.at(receipt.time);
        signs.had.extend(receipts::named(receipt, links.iter().map(|link| link.id)));
    }
    for (device, seen) in seen_by(loaded, &said) {
        all.entry(device).or_default().seen.extend(seen);
    }
    for signs in all.values_mut() {
        // Each change follows what it rests on.
        for link in links.iter().rev() {
            if signs.had.contains(&link.id) {
                signs.had.extend(&link.deps);
            }
        }
    }
    all
}

/// The operations on the members that each device named as seen: by another one, by a change, by a receipt.
fn seen_by(loaded: &LoadedRecord, said: &Receipts) -> Map<DeviceId, Set<MemberHash>> {
    let mut seen: Map<DeviceId, Set<MemberHash>> = Map::new();
    // A newcomer names an invitation of which it has the welcome alone.
    let named = loaded.members.ops().filter(|op| !is_join(op));
    for op in named {
        seen.entry(*op.device()).or_default().insert(op.hash());
    }
    for kept in &loaded.signatures {
        if let Ok(proof) = ChainProof::decode_kept(&kept.bytes) {
            seen.entry(proof.device).or_default().extend(&proof.member_heads);
        }
    }
    let ops = OpsByShortName::of(loaded);
    for receipt in said.of_members(loaded) {
        seen.entry(receipt.device).or_default().extend(ops.named_by(receipt));
    }
    seen
}

fn is_join(op: &MemberOp) -> bool {
    matches!(op.action(), Action::Join { .. })
}

/// Whether some member but this device is not known to have seen what `knows` looks for. What a welcome holds
/// a newcomer has seen.
pub(crate) fn somebody_may_not_know(
    loaded: &LoadedRecord,
    said: &Receipts,
    own: &DeviceId,
    knows: impl Fn(&[MemberHash]) -> bool,
) -> bool {
    let mut seen = seen_by(loaded, said);
    for join in loaded.members.ops().filter(|op| is_join(op)) {
        seen.entry(*join.device()).or_default().insert(join.hash());
    }
    let mut others = loaded.members.members().into_iter().filter(|one| one.device != *own);
    others.any(|one| {
        let heads: Vec<MemberHash> = seen.remove(&one.device).into_iter().flatten().collect();
        !knows(&heads)
    })
}

/// What at least one other device of the record's people is not known to have.
#[derive(Default)]
pub(crate) struct Lacked {
    pub changes: Set<ChangeId>,
    pub ops: Set<MemberHash>,
}

impl Lacked {
    pub(crate) fn is_empty(&self) -> bool {
        self.changes.is_empty() && self.ops.is_empty()
    }
}

/// What the other devices are not known to have, whoever wrote it.
pub(crate) fn lacked(store: &dyn Store, loaded: &LoadedRecord, own: &DeviceId) -> Lacked {
    let mut signs = signs(store, loaded);
    let ids: Vec<ChangeId> = loaded.record.links().map(|link| link.id).collect();
    let mut lacked = Lacked::default();
    for member in loaded.members.members() {
        if member.device == *own {
            continue;
        }
        let Signs { had, seen, .. } = signs.remove(&member.device).unwrap_or_default();
        lacked.changes.extend(ids.iter().filter(|id| !had.contains(*id)));
        let heads: Vec<MemberHash> = seen.into_iter().collect();
        let others = loaded.members.ops().filter(|op| *op.device() != member.device);
        let open = others.filter(|op| !is_there(loaded, &member.device, &heads, op));
        lacked.ops.extend(open.map(MemberOp::hash));
    }
    lacked
}

/// Whether a device that named these operations as seen has this one. Nobody names a key that was handed on: it is
/// for one device alone, and there once that device has named what began the key's epoch.
fn is_there(loaded: &LoadedRecord, device: &DeviceId, heads: &[MemberHash], op: &MemberOp) -> bool {
    match op.action() {
        Action::HandKey { epoch, wrapped } => {
            let mut began = loaded.members.epochs().filter(|(id, _)| id == epoch);
            wrapped.device != *device
                || began.any(|(_, op)| loaded.members.had_seen(heads, &op.hash()))
        }
        _ => loaded.members.had_seen(heads, &op.hash()),
    }
}

impl Instrument {
    /// What each device of the record's people is known to have. A device that has only read says
    /// so over the relay, at most once an hour; what it has read from a file since is not known to anybody.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn device_states(&self) -> Result<Vec<DeviceState>> {
        let now = self.now();
        self.inner.with_record(self.id, |identity, loaded| {
            let own = identity.keys.device();
            let mut signs = signs(self.inner.store.as_ref(), loaded);
            let links: Vec<_> = loaded.record.links().collect();
            let labels = loaded.members.labels(&own);
            let moment = |unix_s| Moment { unix_s, ..now };
            let states = loaded.members.members().into_iter().map(|member| {
                let Signs { last, had, .. } = signs.remove(&member.device).unwrap_or_default();
                let this_device = member.device == own;
                let has = |id: &ChangeId| this_device || had.contains(id);
                let times = links.iter().map(|link| (link.time, !has(&link.id))).collect();
                let (not_known, until) = lacks_and_until(times);
                DeviceState {
                    label: labels.get(&member.device).cloned().unwrap_or(member.label),
                    fingerprint: member.device.fingerprint(),
                    this_device,
                    last_heard: last.map(moment),
                    not_known,
                    has_until: until.map(moment),
                }
            });
            Ok(states.collect())
        })
    }
}

/// Of changes by their time, and whether a device is not known to have them: how many those are, and up to
/// when it has all.
fn lacks_and_until(mut changes: Vec<(i64, bool)>) -> (usize, Option<i64>) {
    // Of what was written in one second, what it has comes first: it was there first, or both were written
    // at once.
    changes.put_in_order();
    let until = changes.iter().take_while(|(_, lacks)| !lacks).last();
    (changes.iter().filter(|(_, lacks)| *lacks).count(), until.map(|(time, _)| *time))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_follows_within_a_second_does_not_hide_what_is_known() {
        assert_eq!(lacks_and_until(vec![(5, true), (5, false)]), (1, Some(5)));
        assert_eq!(lacks_and_until(vec![(7, true), (5, false), (6, false)]), (1, Some(6)));
        assert_eq!(lacks_and_until(vec![(5, true), (6, false)]), (1, None));
        assert_eq!(lacks_and_until(vec![(5, false), (6, false)]), (0, Some(6)));
    }
}
