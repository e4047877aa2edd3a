//! What is on its way in: opened, verified, and brought together with what waits or is held.

use std::collections::HashSet;
use std::ops::ControlFlow;
use std::sync::Arc;

use fallaway_changes::{BundleId, ChangeId, DeviceId, MemberHash, VerifiedChange};
use fallaway_order::OneByOne as _;
use fallaway_order::{Map, Set};
use fallaway_sharing::{
    Action, ChainProof, ChangeBundle, MemberOp, OpenError, Payload, Skip, Status,
    UnverifiedReceipt, VerifiedBefore, bundle_id, open_beside,
};
use fallaway_store::{Batch, ChangeStanding, StoredChange, StoredMemberOp};
use fallaway_text::Phrase;
use fallaway_text::messages::sharing;

use crate::convert::open_error;
use crate::error::{Error, Result};
use crate::keeping::callbacks::ProgressListener;
use crate::keeping::loaded_record::{LoadedRecord, named_by};
use crate::sharing::relay::{LogUnit, units_of};
use crate::showing::views::{RefusedBundle, SecondUse};

/// What the bundles of a file hold, after everything that needs no record was proved.
#[derive(Default)]
pub(super) struct Opened {
    pub members: Vec<MemberOp>,
    pub changes: Vec<ChangeBundle>,
    pub receipts: Vec<UnverifiedReceipt>,
    pub refused: Vec<RefusedBundle>,
    /// Those whose key, or a version that knows their kind, has not come.
    pub unread: Vec<Vec<u8>>,
    /// What is in those that were opened.
    pub units: Vec<(BundleId, Vec<LogUnit>)>,
}

impl Opened {
    /// Opens every bundle.
    pub(super) fn open(
        loaded: &LoadedRecord,
        sealed: &[impl AsRef<[u8]>],
        progress: &dyn ProgressListener,
    ) -> Result<Self> {
        let mut opened = Self::default();
        let (total, here) = (sealed.len() as u64, Here(loaded));
        let mut handing = None;
        for (done, bytes) in (1..).zip(sealed) {
            let bytes = bytes.as_ref();
            let mut payload = open_beside(&loaded.id, &loaded.epoch_keys, bytes, &here);
            if let Err(OpenError::UnknownEpoch(_)) = payload {
                let keys = handing.get_or_insert_with(|| loaded.members.handing_keys());
                payload = keys.open(&loaded.id, bytes, &here);
            }
            if let Ok((header, payload)) = &payload {
                opened.units.push((bundle_id(bytes), units_of(payload, &header.epoch)));
            }
            let reason = match payload {
                Ok((_, Payload::Member(op))) => {
                    opened.members.push(op);
                    None
                }
                Ok((_, Payload::Changes(bundle))) => {
                    opened.changes.push(bundle);
                    None
                }
                Ok((_, Payload::Receipt(receipt))) => {
                    opened.receipts.push(receipt);
                    None
                }
                Ok((_, Payload::Unknown { kind, .. })) => {
                    opened.unread.push(bytes.to_vec());
                    Some(sharing::newer_kind(kind))
                }
                Err(error) => {
                    if matches!(error, OpenError::UnknownEpoch(_)) {
                        opened.unread.push(bytes.to_vec());
                    }
                    Some(open_error(&error))
                }
            };
            if let Some(reason) = reason {
                let bundle = short_name(&bundle_id(bytes));
                opened.refused.push(RefusedBundle { bundle, reason });
            }
            if progress.at(done, total) == ControlFlow::Break(()) {
                return Err(Error::Cancelled);
            }
        }
        Ok(opened)
    }
}

/// How people are told of a bundle.
pub(super) fn short_name(id: &BundleId) -> String {
    id.to_string().chars().take(8).collect()
}

/// What this device has verified and kept: of a file with everything that is most of it.
struct Here<'a>(&'a LoadedRecord);

impl VerifiedBefore for Here<'_> {
    fn op(&self, hash: &MemberHash) -> Option<&MemberOp> {
        self.0.members.op(hash)
    }

    fn has_proof(&self, proof: &ChainProof) -> bool {
        let signatures = &self.0.signatures;
        let key = (proof.writer(), proof.seq, proof.tip);
        let place = signatures.binary_search_by_key(&key, |one| (one.writer, one.seq, one.hash));
        let kept = place.ok().and_then(|place| signatures.get(place));
        kept.is_some_and(|kept| kept.bytes == proof.encode())
    }
}

/// Member operations on their way in.
pub(super) struct Arriving {
    members: HashSet<DeviceId>,
    second_uses: Map<MemberHash, SecondUse>,
    new: Map<MemberHash, Vec<u8>>,
    gone: Set<MemberHash>,
}

impl Arriving {
    /// Before any has come.
    pub(super) fn at(loaded: &LoadedRecord, own: &DeviceId) -> Self {
        let members = loaded.members.members().iter().map(|m| m.device).collect();
        let second_uses = second_uses(loaded, own);
        Self { members, second_uses, new: Map::new(), gone: Set::new() }
    }

    /// Takes these in. Which of them are kept is asked at the end: to who has come in last everything
    /// that happened before waits for what only the key that it brings opens.
    pub(super) fn take(
        &mut self,
        loaded: &mut LoadedRecord,
        own: &DeviceId,
        ops: Vec<MemberOp>,
    ) -> Result<()> {
        for op in ops {
            let (hash, bytes) = (op.hash(), op.encode());
            if loaded.members.insert(op)? && !self.gone.remove(&hash) {
                self.new.insert(hash, bytes);
            }
            if loaded.members.is_full() {
                let LoadedRecord { members, signatures, .. } = &mut *loaded;
                self.gone.extend(members.keep(own, || named_by(signatures)));
            }
        }
        Ok(())
    }

    /// Puts those that are kept into the batch, with these changes in mind; the names of who is new, and who came
    /// with an invitation that another one had used.
    pub(super) fn file(
        mut self,
        loaded: &mut LoadedRecord,
        own: &DeviceId,
        changes: &[ChangeBundle],
        batch: &mut Batch,
    ) -> (Vec<String>, Vec<SecondUse>) {
        let LoadedRecord { members, signatures, .. } = &mut *loaded;
        let named = || {
            let mut named = named_by(signatures);
            named.extend(changes.iter().flat_map(|one| &one.proof().member_heads));
            named
        };
        self.gone.extend(members.keep(own, named));
        // What was given up is new to the store, or goes from there.
        self.gone.retain(|hash| self.new.remove(hash).is_none());
        batch.members_dropped.extend(self.gone);
        let standing = ChangeStanding::Admitted;
        let new =
            self.new.into_iter().map(|(hash, bytes)| StoredMemberOp { hash, standing, bytes });
        batch.members.extend(new);
        let mut labels = loaded.members.labels(own);
        let now = loaded.members.members().into_iter();
        let added = now.filter(|m| !self.members.contains(&m.device));
        let added = added.filter_map(|m| labels.remove(&m.device)).collect();
        let mut uses = second_uses(loaded, own);
        uses.retain(|join, _| !self.second_uses.contains_key(join));
        (added, uses.into_values().collect())
    }
}

/// The joins of devices that are no members, because another join used their invitation.
pub(crate) fn second_uses(loaded: &LoadedRecord, own: &DeviceId) -> Map<MemberHash, SecondUse> {
    let members = &loaded.members;
    let mut found = Map::new();
    for op in members.ops() {
        let (Action::Join { label, invite, .. }, Some(Status::Skipped(Skip::Used(first)))) =
            (op.action(), members.status(&op.hash()))
        else {
            continue;
        };
        let device = *op.device();
        if members.member(&device).is_some() {
            continue;
        }
        let labels = members.labels(own);
        let name = |op: Option<&MemberOp>| {
            let device = op.map(MemberOp::device);
            device.map_or_else(String::new, |device| match labels.get(device) {
                Some(label) => label.clone(),
                None => device.fingerprint(),
            })
        };
        let one = SecondUse {
            label: label.clone(),
            fingerprint: device.fingerprint(),
            this_device: device == *own,
            used_by: name(members.op(first)),
            invited_by: name(members.op(invite)),
        };
        found.insert(op.hash(), one);
    }
    found
}

/// A verified change that is not in the document yet.
pub(super) struct Candidate {
    pub change: VerifiedChange,
    pub proof: Arc<ChainProof>,
    /// Already in the store, beside the record.
    pub stored: bool,
}

/// What a merge decides on.
#[derive(Default)]
pub(super) struct Gathered {
    /// The changes of bundles that are not in the document, and those beside it, which may be ready
    /// now.
    pub candidates: Map<ChangeId, Candidate>,
    /// How many of the bundles' were here before.
    pub already_here: usize,
    /// Signatures over the newest change of a writer that is in the document already.
    pub signatures: Vec<Arc<ChainProof>>,
}

/// Gathers what bundles brought, and what stood `beside` the record so far.
pub(super) fn gather(
    loaded: &LoadedRecord,
    bundles: Vec<ChangeBundle>,
    beside: Vec<StoredChange>,
) -> Gathered {
    let known: HashSet<ChangeId> = loaded.pending.iter().map(|one| one.hash).collect();
    let mut gathered = Gathered::default();
    for bundle in bundles {
        let (proof, changes) = bundle.into_parts();
        let proof = Arc::new(proof);
        if loaded.record.last_of(&proof.writer()).is_some_and(|(_, last)| last == proof.tip) {
            gathered.signatures.push(Arc::clone(&proof));
        }
        for change in changes {
            let stored = known.contains(&change.id());
            if stored || loaded.record.contains(&change.id()) {
                gathered.already_here += 1;
            }
            if !loaded.record.contains(&change.id()) {
                let proof = Arc::clone(&proof);
                let candidate = Candidate { change, proof, stored };
                gathered.candidates.insert(candidate.change.id(), candidate);
            }
        }
    }
    for candidate in provable(loaded, beside) {
        gathered.candidates.entry(candidate.change.id()).or_insert(candidate);
    }
    gathered
}

/// What stood beside the record and is not out for good, with the signature that proves it: that
/// over it, or over the next one that follows it.
fn provable(loaded: &LoadedRecord, beside: Vec<StoredChange>) -> Vec<Candidate> {
    if beside.is_empty() {
        return Vec::new();
    }
    let tried = beside.into_iter().filter(|one| one.standing != ChangeStanding::Quarantined);
    let changes = tried.filter_map(|one| VerifiedChange::kept(&loaded.id, one.bytes).ok());
    let mut changes: Map<ChangeId, VerifiedChange> =
        changes.map(|change| (change.id(), change)).in_map();
    let mut candidates = Vec::new();
    // Sorted by number: the nearest one proves it.
    for signature in &loaded.signatures {
        let Some(proof) = changes
            .contains_key(&signature.hash)
            .then(|| ChainProof::decode_kept(&signature.bytes).ok())
            .flatten()
        else {
            continue;
        };
        let proof = Arc::new(proof);
        let mut next = Some(signature.hash);
        while let Some(change) = next.and_then(|id| changes.remove(&id)) {
            let before = |id: &&ChangeId| {
                changes
                    .get(id)
                    .is_some_and(|dep| dep.writer == change.writer && dep.seq + 1 == change.seq)
            };
            next = change.deps.iter().find(before).copied();
            candidates.push(Candidate { change, proof: Arc::clone(&proof), stored: true });
        }
    }
    candidates
}

/// A change that is not taken, by the beginning of its id.
pub(super) fn refused(id: &ChangeId, reason: Phrase) -> RefusedBundle {
    RefusedBundle { bundle: id.to_string().chars().take(8).collect(), reason }
}
