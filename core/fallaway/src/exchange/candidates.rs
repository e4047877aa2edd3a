//! Changes on their way in: opened, verified, and judged by what their authors may do.

use std::collections::{BTreeMap, HashSet};
use std::ops::ControlFlow;
use std::sync::Arc;

use fallaway_changes::{ChangeId, DeviceId, VerifiedChange};
use fallaway_sharing::{
    ChainProof, ChangeBundle, MemberOp, Payload, Standing as Authority, bundle_id, open,
};
use fallaway_store::{Batch, ChangeStanding, StoredMemberOp};
use fallaway_text::Phrase;
use fallaway_text::messages::sharing;

use super::why_aside::WhyAside;
use crate::callbacks::ProgressListener;
use crate::convert::open_error;
use crate::error::{Error, Result};
use crate::loaded_record::LoadedRecord;
use crate::views::RefusedBundle;

/// What the bundles of a file hold, after everything that needs no record was proved.
#[derive(Default)]
pub(super) struct Opened {
    pub members: Vec<MemberOp>,
    pub changes: Vec<ChangeBundle>,
    pub refused: Vec<RefusedBundle>,
}

impl Opened {
    /// Opens every bundle.
    pub fn open(
        loaded: &LoadedRecord,
        sealed: &[&[u8]],
        progress: &dyn ProgressListener,
    ) -> Result<Self> {
        let mut opened = Self::default();
        let total = sealed.len() as u64;
        for (done, bytes) in (1..).zip(sealed) {
            let reason = match open(&loaded.id, &loaded.epoch_keys, bytes) {
                Ok((_, Payload::Member(op))) => {
                    opened.members.push(op);
                    None
                }
                Ok((_, Payload::Changes(bundle))) => {
                    opened.changes.push(bundle);
                    None
                }
                Ok((_, Payload::Unknown { kind, .. })) => Some(sharing::newer_kind(kind)),
                Err(error) => Some(open_error(&error)),
            };
            if let Some(reason) = reason {
                let bundle = bundle_id(bytes).to_string().chars().take(8).collect();
                opened.refused.push(RefusedBundle { bundle, reason });
            }
            if progress.at(done, total) == ControlFlow::Break(()) {
                return Err(Error::Cancelled);
            }
        }
        Ok(opened)
    }
}

/// Takes member operations in; returns the names of those who are new.
pub(super) fn take_members(
    loaded: &mut LoadedRecord,
    own: &DeviceId,
    ops: Vec<MemberOp>,
    batch: &mut Batch,
) -> Result<Vec<String>> {
    let before: HashSet<_> = loaded.members.members().iter().map(|m| m.device).collect();
    for op in ops {
        let (hash, bytes) = (op.hash(), op.encode());
        if loaded.members.insert(op)? {
            batch.members.push(StoredMemberOp { hash, standing: ChangeStanding::Admitted, bytes });
        }
        if loaded.members.is_full() {
            loaded.members.keep(own);
        }
    }
    loaded.members.keep(own);
    batch.members.retain(|one| loaded.members.op(&one.hash).is_some());
    let mut labels = loaded.members.labels(own);
    let now = loaded.members.members().into_iter();
    Ok(now
        .filter(|m| !before.contains(&m.device))
        .filter_map(|m| labels.remove(&m.device))
        .collect())
}

/// A verified change that is not in the document yet.
pub(super) struct Candidate {
    pub change: VerifiedChange,
    pub proof: Arc<ChainProof>,
    /// Already in the store, waiting or held.
    pub stored: bool,
}

/// The changes of bundles that are not in the document, and those that waited or were held, which
/// may be ready now. Also how many of the bundles' were here before.
pub(super) fn gather(
    loaded: &LoadedRecord,
    bundles: Vec<ChangeBundle>,
) -> (BTreeMap<ChangeId, Candidate>, usize) {
    let pending: HashSet<ChangeId> = loaded.pending.iter().map(|one| one.hash).collect();
    let mut candidates = BTreeMap::new();
    let mut already_here = 0;
    for bundle in bundles {
        let (proof, changes) = bundle.into_parts();
        let proof = Arc::new(proof);
        for change in changes {
            let stored = pending.contains(&change.id());
            if stored || loaded.record.contains(&change.id()) {
                already_here += 1;
            }
            if !loaded.record.contains(&change.id()) {
                let proof = Arc::clone(&proof);
                candidates.insert(change.id(), Candidate { change, proof, stored });
            }
        }
    }
    let mut proofs: BTreeMap<_, BTreeMap<u64, &[u8]>> = BTreeMap::new();
    for signature in &loaded.signatures {
        proofs.entry(signature.writer).or_default().insert(signature.seq, &signature.bytes);
    }
    for stored in &loaded.pending {
        if stored.standing == ChangeStanding::Quarantined || candidates.contains_key(&stored.hash) {
            continue;
        }
        let covering = proofs.get(&stored.writer).and_then(|own| own.range(stored.seq..).next());
        let proof = covering.and_then(|(_, bytes)| ChainProof::decode_kept(bytes).ok());
        let change = VerifiedChange::kept(&loaded.id, stored.bytes.clone());
        if let (Some(proof), Ok(change)) = (proof, change) {
            let candidate = Candidate { change, proof: Arc::new(proof), stored: true };
            candidates.insert(stored.hash, candidate);
        }
    }
    (candidates, already_here)
}

/// A candidate whose author may write. Only [`judge`] makes one, and only these are applied.
pub(super) struct Authorized(Candidate);

impl Authorized {
    /// The candidate.
    pub fn candidate(&self) -> &Candidate {
        &self.0
    }
}

/// Candidates by what may be done with them.
#[derive(Default)]
pub(super) struct Judged {
    /// To be applied.
    pub round: Vec<Authorized>,
    /// To be kept beside the document, with the reason.
    pub aside: Vec<(Candidate, ChangeStanding, WhyAside)>,
    pub refused: Vec<RefusedBundle>,
}

/// Asks for each change whether its author may write, by the member operations that it had seen.
pub(super) fn judge(loaded: &LoadedRecord, candidates: BTreeMap<ChangeId, Candidate>) -> Judged {
    let mut judged = Judged::default();
    for (id, one) in candidates {
        match loaded.members.standing(&one.proof.device, &one.proof.member_heads) {
            Authority::MayWrite(_) => judged.round.push(Authorized(one)),
            Authority::MayNot(Some(_)) => {
                judged.aside.push((one, ChangeStanding::Held, WhyAside::Reader));
            }
            Authority::MayNot(None) => {
                let device = one.proof.device.fingerprint().clone();
                judged.refused.push(refused(&id, sharing::stranger(device)));
            }
            Authority::Waiting(_) => {
                judged.aside.push((one, ChangeStanding::Waiting, WhyAside::Invitation));
            }
            Authority::NeedsNewer => {
                judged.aside.push((one, ChangeStanding::Waiting, WhyAside::NeedsNewer));
            }
        }
    }
    judged
}

/// A change that is not taken, by the beginning of its id.
pub(super) fn refused(id: &ChangeId, reason: Phrase) -> RefusedBundle {
    RefusedBundle { bundle: id.to_string().chars().take(8).collect(), reason }
}
