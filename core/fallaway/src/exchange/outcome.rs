//! What became of changes that were applied, and where each of them stands from then on.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

use fallaway_changes::{ChangeId, Container, Put, VerifiedChange};
use fallaway_record::{Applied, Refusal};
use fallaway_store::{Batch, ChangeStanding, Move, StoredChange, StoredSignature};
use fallaway_text::messages::sharing;

use super::candidates::{Authorized, Candidate, Judged, refused};
use super::why_aside::WhyAside;
use crate::loaded_record::LoadedRecord;
use crate::views::RefusedBundle;

/// Most changes of a record that wait or are held beside the document.
const MAX_PENDING: usize = 4096;

/// What became of the changes of a round.
#[derive(Default)]
pub(super) struct MergeOutcome {
    pub admitted: BTreeSet<ChangeId>,
    /// Those admitted, in the order in which they entered.
    pub order: Vec<ChangeId>,
    pub waiting: BTreeMap<ChangeId, WhyAside>,
    pub quarantined: BTreeMap<ChangeId, WhyAside>,
    pub refused: BTreeMap<ChangeId, WhyAside>,
    pub newly_contested: Vec<(Container, String)>,
}

impl MergeOutcome {
    /// Applies the round to the document in memory.
    pub fn apply(loaded: &mut LoadedRecord, round: &[Authorized]) -> Self {
        let changes: Vec<VerifiedChange> =
            round.iter().map(|one| one.candidate().change.clone()).collect();
        let mut outcome = Self::default();
        outcome.add(loaded.record.apply(&changes));
        outcome
    }

    /// Whether anything of the round stays on this device.
    pub fn took_something(&self) -> bool {
        !(self.admitted.is_empty() && self.waiting.is_empty() && self.quarantined.is_empty())
    }

    fn add(&mut self, applied: Applied) {
        self.order.extend(&applied.admitted);
        self.admitted.extend(applied.admitted);
        let waiting = applied.waiting.into_iter();
        self.waiting.extend(waiting.map(|one| (one.id, WhyAside::from(&one.reason))));
        for one in applied.refused {
            let reason = WhyAside::from(&one.reason);
            match one.reason {
                // It may be another of the writer's devices: keep it for somebody to look at.
                Refusal::Fork { .. } => {
                    self.quarantined.insert(one.id, reason);
                }
                _ => {
                    self.refused.insert(one.id, reason);
                }
            }
        }
        self.newly_contested.extend(applied.newly_contested);
    }

    /// The operations of the admitted changes, if the first of them has seen everything that was
    /// here and each of the others the one before it.
    pub fn following<'a>(
        &self,
        round: &'a [Authorized],
        heads: &[ChangeId],
    ) -> Option<Vec<&'a Put>> {
        let changes: HashMap<ChangeId, &VerifiedChange> = round
            .iter()
            .map(|one| (one.candidate().change.id(), &one.candidate().change))
            .collect();
        let mut seen: Vec<ChangeId> = heads.to_vec();
        let mut puts = Vec::new();
        for id in &self.order {
            let change = changes.get(id)?;
            if !seen.iter().all(|head| change.deps.contains(head)) {
                return None;
            }
            puts.extend(&change.ops);
            seen = vec![*id];
        }
        Some(puts)
    }

    /// Where a change of the round stands from now on; `None` if it is not kept.
    fn standing(&self, one: &Candidate) -> Option<(ChangeStanding, Option<WhyAside>)> {
        let id = one.change.id();
        if self.admitted.contains(&id) {
            Some((ChangeStanding::Admitted, None))
        } else if let Some(reason) = self.waiting.get(&id) {
            Some((ChangeStanding::Waiting, Some(*reason)))
        } else if let Some(reason) = self.quarantined.get(&id) {
            Some((ChangeStanding::Quarantined, Some(*reason)))
        } else if one.stored {
            // Waited for something, and turned out to break a rule.
            let reason = self.refused.get(&id).copied();
            Some((ChangeStanding::Quarantined, reason.or(Some(WhyAside::Rule))))
        } else {
            None
        }
    }

    /// Puts every change where it stands from now on into the batch. What would wait beyond the
    /// limit is not kept, and never keeps out what can be admitted.
    pub fn file(
        &self,
        loaded: &LoadedRecord,
        judged: &Judged,
        batch: &mut Batch,
    ) -> Option<RefusedBundle> {
        let round = judged.round.iter().map(Authorized::candidate);
        let round = round.filter_map(|one| Some((one, self.standing(one)?)));
        let aside = judged.aside.iter();
        let aside = aside.map(|(one, standing, why)| (one, (*standing, Some(*why))));
        let mut signed: HashSet<ChangeId> =
            loaded.signatures.iter().map(|known| known.hash).collect();
        let mut room = MAX_PENDING.saturating_sub(loaded.pending.len());
        let mut left_out: Option<(ChangeId, usize)> = None;
        for (one, (standing, reason)) in round.chain(aside) {
            let id = one.change.id();
            let reason = reason.map(|why| why.word().to_owned());
            if one.stored {
                batch.moves.push(Move { hash: id, standing, reason });
            } else {
                if standing != ChangeStanding::Admitted {
                    if room == 0 {
                        left_out.get_or_insert((id, 0)).1 += 1;
                        continue;
                    }
                    room -= 1;
                }
                batch.changes.push(StoredChange {
                    hash: id,
                    writer: one.change.writer,
                    seq: one.change.seq,
                    deps: one.change.deps.clone(),
                    standing,
                    reason,
                    bytes: one.change.bytes().to_vec(),
                });
            }
            if signed.insert(one.proof.tip) {
                batch.signatures.push(StoredSignature {
                    writer: one.change.writer,
                    seq: one.proof.seq,
                    hash: one.proof.tip,
                    bytes: one.proof.encode(),
                });
            }
        }
        left_out.map(|(first, count)| refused(&first, sharing::not_kept(count, MAX_PENDING)))
    }
}
