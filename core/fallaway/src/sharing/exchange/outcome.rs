//! What became of a merge in memory, and where each change stands from then on.

use std::collections::HashSet;

use fallaway_changes::{ChangeId, Container, Put, VerifiedChange};
use fallaway_order::OneByOne as _;
use fallaway_order::{Map, Set};
use fallaway_record::{Applied, Record};
use fallaway_store::{Batch, ChangeStanding, Move, StoredChange, StoredSignature};
use fallaway_text::messages::sharing;

use super::candidates::{Candidate, Gathered, refused};
use super::deciding::{Decision, decide};
use super::quotas::{MAX_CHANGES, Room};
use super::why_aside::WhyAside;
use crate::keeping::loaded_record::LoadedRecord;
use crate::showing::views::RefusedBundle;

/// What became of what is here.
#[derive(Default)]
pub(super) struct MergeOutcome {
    /// New in the document, in the order in which they entered.
    pub admitted: Vec<VerifiedChange>,
    /// Kept beside the document.
    pub aside: Map<ChangeId, (ChangeStanding, WhyAside)>,
    /// Were in the document until now.
    pub left: Map<ChangeId, (ChangeStanding, WhyAside)>,
    /// Not kept, with the reason.
    pub refused: Vec<RefusedBundle>,
    /// Break a rule of the document.
    broken: Set<ChangeId>,
    pub newly_contested: Vec<(Container, String)>,
    /// Those of them that have a line of their own in the store.
    pub moved_out: Vec<StoredChange>,
    /// The document as it was, if something left it.
    pub before: Option<Record>,
    /// Whether this device has written lines of its own again.
    pub wrote_more: bool,
}

impl MergeOutcome {
    /// Brings the document in memory to what is in by all that is here.
    pub(super) fn of(loaded: &mut LoadedRecord, gathered: &Gathered, members_grew: bool) -> Self {
        let mut outcome = Self::default();
        let candidates = &gathered.candidates;
        loop {
            let mut decision = decide(loaded, candidates, members_grew, &outcome.broken);
            decision.entering.retain(|change| !loaded.record.contains(&change.id()));
            let known = outcome.broken.len();
            outcome.apply(loaded, &decision);
            // Without what breaks a rule, another one of its number may be in.
            if !decision.whole || outcome.broken.len() == known {
                outcome.settle(candidates, decision);
                return outcome;
            }
        }
    }

    fn apply(&mut self, loaded: &mut LoadedRecord, decision: &Decision) {
        let applied = if decision.leaving.is_empty() {
            loaded.record.apply(&decision.entering)
        } else {
            let before = std::mem::replace(&mut loaded.record, Record::create(loaded.id));
            let stays = before.links().filter(|link| !decision.leaving.contains_key(&link.id));
            let stays = stays.filter_map(|link| before.change(&link.id));
            let all: Vec<VerifiedChange> = stays.chain(decision.entering.iter().cloned()).collect();
            let mut applied = loaded.record.apply(&all);
            applied.admitted.retain(|id| !before.contains(id));
            let contested: HashSet<(Container, &str)> = before
                .registers()
                .contested()
                .map(|(container, key, _)| (container, key))
                .collect();
            applied
                .newly_contested
                .retain(|(container, key)| !contested.contains(&(*container, key.as_str())));
            drop(contested);
            self.left.extend(decision.leaving.iter().map(|(id, why)| (*id, *why)));
            self.before.get_or_insert(before);
            applied
        };
        self.add(&decision.entering, applied);
    }

    fn add(&mut self, entering: &[VerifiedChange], applied: Applied) {
        let by_id: Map<ChangeId, &VerifiedChange> =
            entering.iter().map(|change| (change.id(), change)).in_map();
        let admitted = applied.admitted.iter().filter_map(|id| by_id.get(id).copied().cloned());
        self.admitted.extend(admitted);
        for one in applied.waiting {
            self.aside.insert(one.id, (ChangeStanding::Waiting, WhyAside::from(&one.reason)));
        }
        for one in applied.refused {
            self.broken.insert(one.id);
            let why = WhyAside::from(&one.reason);
            self.aside.insert(one.id, (ChangeStanding::Quarantined, why));
        }
        self.newly_contested.extend(applied.newly_contested);
    }

    fn settle(&mut self, candidates: &Map<ChangeId, Candidate>, decision: Decision) {
        let admitted: HashSet<ChangeId> = self.admitted.iter().map(VerifiedChange::id).collect();
        self.aside.extend(decision.aside);
        self.aside.retain(|id, _| !admitted.contains(id));
        self.left.retain(|id, _| !admitted.contains(id));
        for (id, device) in decision.strangers {
            let fingerprint = device.fingerprint().clone();
            self.refused.push(refused(&id, sharing::stranger(fingerprint)));
        }
        // What breaks a rule is kept only if it was kept before.
        for id in &self.broken {
            if !candidates.get(id).is_some_and(|one| one.stored)
                && let Some((_, why)) = self.aside.remove(id)
            {
                self.refused.push(refused(id, why.phrase()));
            }
        }
    }

    /// Whether anything stays on this device that was not so before.
    pub(super) fn took_something(&self) -> bool {
        !(self.admitted.is_empty() && self.aside.is_empty() && self.left.is_empty())
    }

    /// The operations of the admitted changes, if the first of them has seen everything that was
    /// here and each of the others the one before it.
    pub(super) fn following(&self, heads: &[ChangeId]) -> Option<Vec<&Put>> {
        if self.before.is_some() || self.wrote_more {
            return None;
        }
        let mut seen: Vec<ChangeId> = heads.to_vec();
        let mut puts = Vec::new();
        for change in &self.admitted {
            if !seen.iter().all(|head| change.deps.contains(head)) {
                return None;
            }
            puts.extend(&change.ops);
            seen = vec![change.id()];
        }
        Some(puts)
    }

    /// Puts every change where it stands from now on into the batch. What is beyond its author's
    /// room is not kept, and never keeps out what can be admitted.
    pub(super) fn file(&mut self, loaded: &LoadedRecord, gathered: &Gathered, batch: &mut Batch) {
        let candidates = &gathered.candidates;
        let mut room = Room::of(loaded, candidates, &self.aside);
        let admitted: HashSet<ChangeId> = self.admitted.iter().map(VerifiedChange::id).collect();
        let mut kept: HashSet<ChangeId> = HashSet::new();
        // First what goes out: a number is free before another change takes it.
        self.file_what_left(loaded, batch);
        let mut entering = Vec::new();
        for (id, one) in candidates {
            let (standing, reason) = match self.aside.get(id) {
                _ if admitted.contains(id) => (ChangeStanding::Admitted, None),
                Some((standing, why)) => (*standing, Some(why.word().to_owned())),
                None => continue,
            };
            if standing != ChangeStanding::Admitted && !room.has(id) {
                if one.stored {
                    batch.dropped.push(*id);
                }
                continue;
            }
            kept.insert(*id);
            if one.stored {
                let moved = Move { hash: *id, standing, reason };
                if standing == ChangeStanding::Admitted {
                    entering.push(moved);
                } else {
                    batch.moves.push(moved);
                }
            } else {
                batch.changes.push(stored(&one.change, standing, reason));
            }
        }
        batch.moves.extend(entering);
        if let Some((first, count)) = room.left_out() {
            self.refused.push(refused(&first, sharing::not_kept(count, MAX_CHANGES)));
        }
        let mut signed: HashSet<ChangeId> =
            loaded.signatures.iter().map(|known| known.hash).collect();
        let proofs = candidates.iter().filter(|(id, _)| kept.contains(id));
        let proofs = proofs.map(|(_, one)| &one.proof).chain(&gathered.signatures);
        for proof in proofs {
            if signed.insert(proof.tip) {
                batch.signatures.push(StoredSignature {
                    writer: proof.writer(),
                    seq: proof.seq,
                    hash: proof.tip,
                    bytes: proof.encode(),
                });
            }
        }
    }

    /// What was in the document: a line of its own that moves, or a part of the snapshot, which then
    /// goes, so that everything in it gets a line of its own again.
    fn file_what_left(&mut self, loaded: &LoadedRecord, batch: &mut Batch) {
        let Some(before) = &self.before else { return };
        let loose: HashSet<&ChangeId> = loaded.loose.iter().collect();
        batch.unpacked = self.left.keys().any(|id| !loose.contains(id));
        for link in before.links() {
            let (standing, reason) = match self.left.get(&link.id) {
                None => (ChangeStanding::Admitted, None),
                Some((standing, why)) => (*standing, Some(why.word().to_owned())),
            };
            if loose.contains(&link.id) {
                if standing != ChangeStanding::Admitted
                    && let Some(change) = before.change(&link.id)
                {
                    self.moved_out.push(stored(&change, standing, reason.clone()));
                    batch.moves.push(Move { hash: link.id, standing, reason });
                }
            } else if batch.unpacked
                && let Some(change) = before.change(&link.id)
            {
                batch.changes.push(stored(&change, standing, reason));
            }
        }
    }
}

/// A change as the store keeps it.
pub(super) fn stored(
    change: &VerifiedChange,
    standing: ChangeStanding,
    reason: Option<String>,
) -> StoredChange {
    StoredChange {
        hash: change.id(),
        writer: change.writer,
        seq: change.seq,
        deps: change.deps.clone(),
        standing,
        reason,
        bytes: change.bytes().to_vec(),
    }
}
