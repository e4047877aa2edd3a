//! Bundles in.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::ControlFlow;

use fallaway_advice::observe::facts_of;
use fallaway_changes::{Change, ChangeHash, Container, Put, RecordId};
use fallaway_record::{Applied, Record, Refusal};
use fallaway_sharing::{
    ChainProof, ChangeBundle, MemberOp, Payload, Standing as Authority, bundle_file, bundle_id,
    header, open,
};
use fallaway_store::{
    Batch, ChangeStanding, Move, StoreError, StoredChange, StoredMemberOp, StoredSignature,
};

use super::poison::{DEATHS, Turn};
use super::report;
use fallaway_text::messages::errors as say;

use crate::callbacks::{Level, NoProgress, Progress};
use crate::card::KeptLatest;
use crate::error::{Error, Result};
use crate::loaded_record::LoadedRecord;
use crate::projection;
use crate::session::Session;
use crate::setups;
use crate::views::{MergeReport, RefusedBundle};
use crate::workshop::Workshop;
use crate::workshop_state::{WorkshopState, missing};

/// Most changes of a record that wait or are held beside the document.
const MAX_PENDING: usize = 4096;
/// How often a merge is tried again after another process was faster.
const ATTEMPTS: usize = 200;

/// A verified change that is not in the document yet.
struct Candidate {
    change: Change,
    hash: ChangeHash,
    proof: ChainProof,
    /// Already in the store, waiting or held.
    stored: bool,
}

/// What the bundles of a file hold, after everything that needs no record was checked.
#[derive(Default)]
struct Opened {
    members: Vec<MemberOp>,
    changes: Vec<(ChangeBundle, String)>,
    refused: Vec<RefusedBundle>,
}

impl Workshop {
    /// Brings the bundles of a file into the record that they belong to, in whatever order they
    /// come, however often. Either all that can be taken is taken, durably, or nothing.
    ///
    /// # Errors
    /// [`Error::Refused`] for bytes that are no bundle file, or if none of its bundles can be
    /// taken; [`Error::NotFound`] for a record that this device does not share; when the store
    /// cannot be written. Single bundles that are refused are listed in the report.
    pub fn bundle_in(&self, bytes: &[u8]) -> Result<MergeReport> {
        self.bundle_in_watched(bytes, &NoProgress)
    }

    /// The same, and `progress` is told after each bundle how many of the file's are opened and
    /// verified. It can stop the call until they are merged, which is one step.
    ///
    /// # Errors
    /// As [`Workshop::bundle_in`], and [`Error::Cancelled`] if it was stopped: then nothing was
    /// taken.
    pub fn bundle_in_watched(&self, bytes: &[u8], progress: &dyn Progress) -> Result<MergeReport> {
        let sealed = if header(bytes).is_ok() {
            vec![bytes]
        } else {
            bundle_file::read(bytes).map_err(|e| Error::refused(e.to_string()))?
        };
        let id = self.addressee(&sealed)?;
        let mut session = self.inner.session()?;
        let session = &mut *session;
        let turn = Turn::take(&self.inner, id)?;
        for _ in 0..ATTEMPTS {
            match self.inner.noting(merge(&self.inner, session, id, &sealed, &turn, progress)) {
                Err(Error::Busy { .. }) => {
                    session.records.remove(&id);
                }
                Err(error) => {
                    // What is in memory may be ahead of the store.
                    session.records.remove(&id);
                    return Err(error);
                }
                Ok(report) => return Ok(report),
            }
        }
        Err(Error::busy(say::other_processes()))
    }

    /// The record to which the first bundle is addressed.
    fn addressee(&self, sealed: &[&[u8]]) -> Result<RecordId> {
        let first = sealed.first().ok_or_else(|| Error::refused(say::no_bundles()))?;
        let tag = header(first)?.tag;
        let _open = self.inner.session()?;
        let records = self.inner.store.records()?;
        let found = records.into_iter().find(|head| head.record.tag() == tag);
        found.map(|head| head.record).ok_or_else(|| Error::NotFound {
            what: "instrument",
            name: tag.to_string(),
            accepted: say::not_shared_here(),
        })
    }
}

/// One attempt; [`Error::Busy`] if another process was faster.
fn merge(
    inner: &WorkshopState,
    session: &mut Session,
    id: RecordId,
    sealed: &[&[u8]],
    turn: &Turn,
    progress: &dyn Progress,
) -> Result<MergeReport> {
    inner.refresh(session, id)?;
    let loaded = session.records.get(&id).ok_or_else(|| missing(id))?;
    let Opened { members, changes, mut refused } = unseal(loaded, sealed, progress)?;
    if members.is_empty() && changes.is_empty() {
        let reason = refused.first().map_or("nothing in it", |one| one.reason.as_str()).to_owned();
        return Err(Error::refused(reason));
    }
    // An own change that the store lacks: this store is older than what the device has written.
    let lost = changes.iter().flat_map(|(bundle, _)| bundle.changes()).any(|change| {
        let last = loaded.record.last_of(&loaded.writer).map_or(0, |(seq, _)| seq);
        change.writer == loaded.writer && change.seq > last
    });
    if lost {
        let (store, keeper) = (inner.store.as_ref(), inner.keeper.as_ref());
        session.identity.renew(store, keeper, inner.random.as_ref())?;
        session.notices.push(
            "A bundle brought work of this device that its store did not have; it goes on as a new \
             writer."
                .to_owned(),
        );
        session.records.remove(&id);
        inner.refresh(session, id)?;
    }
    // The draft's values were written without seeing what comes now.
    let writes = session.records.get(&id).is_some_and(|loaded| !loaded.draft.is_empty());
    if writes {
        inner.commit_draft(session, id)?;
        inner.refresh(session, id)?;
    }
    let Session { identity, records, changed, .. } = session;
    let loaded = records.get_mut(&id).ok_or_else(|| missing(id))?;

    let mut batch = Batch::new();
    let people_added = take_members(loaded, members, &mut batch)?;

    let mut already_here = 0;
    let mut candidates: BTreeMap<ChangeHash, Candidate> = BTreeMap::new();
    for (bundle, name) in changes {
        match bundle.verify_chain(Record::hash_of) {
            Ok(hashes) => {
                let (proof, changes) = bundle.into_parts();
                for (change, hash) in changes.into_iter().zip(hashes) {
                    if loaded.record.contains(&hash) {
                        already_here += 1;
                    } else {
                        let stored = loaded.pending.iter().any(|pending| pending.hash == hash);
                        already_here += usize::from(stored);
                        let proof = proof.clone();
                        candidates.insert(hash, Candidate { change, hash, proof, stored });
                    }
                }
            }
            Err(error) => refused.push(RefusedBundle { bundle: name, reason: error.to_string() }),
        }
    }
    recall_pending(loaded, &mut candidates);

    let mut sorted = judge(loaded, candidates, turn);
    refused.append(&mut sorted.refused);
    let heads = loaded.record.heads();
    let before = inner.latest_after(loaded, []);
    let fates = apply(inner, loaded, &sorted.round, turn)?;
    refused.extend(fates.refused.iter().map(|(hash, reason)| RefusedBundle {
        bundle: hash.to_string().chars().take(8).collect(),
        reason: reason.clone(),
    }));
    let taken = fates.took_something() || !sorted.aside.is_empty() || !batch.members.is_empty();
    if let (false, 0, Some(first)) = (taken, already_here, refused.first()) {
        turn.clear(inner)?;
        return Err(Error::refused(first.reason.clone()));
    }
    file(loaded, &sorted, &fates, &mut batch)?;

    // What follows everything that was here is taken in; anything else asks for a new reading.
    let following = following(&sorted.round, &fates.order, &heads);
    let facts = facts_of(loaded.record.registers());
    loaded.latest = before
        .zip(following)
        .and_then(|(mut latest, puts)| latest.absorb_puts(puts, &facts).then_some(latest));
    let at = inner.clock.now();
    inner.project(loaded, at, &mut batch);
    let kept = loaded.latest.as_ref().map(|latest| KeptLatest::of(latest, &loaded.record.heads()));
    batch.projections.push((projection::LATEST, kept.as_ref().map(projection::encode)));
    let generation = match inner.store.commit(&id, loaded.generation, &batch) {
        Ok(generation) => generation,
        Err(StoreError::Moved { .. }) => {
            turn.clear(inner)?;
            return Err(Error::busy(say::record_moved()));
        }
        Err(error) => {
            turn.clear(inner)?;
            return Err(error.into());
        }
    };
    changed.insert(id);
    turn.clear(inner)?;
    inner.log(Level::Info, || {
        format!(
            "merged: {} changes in, {} waiting, {} refused, {} member operations, {} here before",
            fates.admitted.len(),
            fates.waiting.len(),
            refused.len(),
            batch.members.len(),
            already_here,
        )
    });
    if !fates.quarantined.is_empty() {
        inner.log(Level::Warning, || format!("set aside: {} changes", fates.quarantined.len()));
    }
    loaded.filed(batch, generation);
    inner.compact_if_due(loaded)?;

    let registers = loaded.registers(at.unix_s);
    let labels = loaded.writer_labels(identity, &inner.label);
    let admitted: Vec<Change> = sorted
        .round
        .iter()
        .filter(|one| fates.admitted.contains(&one.hash))
        .map(|one| one.change.clone())
        .collect();
    let contested = fates.newly_contested.iter().filter_map(|(container, key)| {
        let register = registers.get(*container, key)?;
        register.contested.then(|| setups::view(&registers, *container, key, register, &labels))
    });
    let set_aside = loaded
        .pending
        .iter()
        .filter(|one| matches!(one.standing, ChangeStanding::Held | ChangeStanding::Quarantined));
    Ok(MergeReport {
        instrument: id,
        name: registers.spec().name.clone().unwrap_or_default(),
        added: report::added(&admitted, &labels),
        people_added,
        newly_contested: contested.collect(),
        already_here,
        waiting: loaded.count(ChangeStanding::Waiting),
        set_aside: set_aside.map(|one| one.reason.clone().unwrap_or_default()).collect(),
        refused,
    })
}

/// Opens every bundle.
fn unseal(loaded: &LoadedRecord, sealed: &[&[u8]], progress: &dyn Progress) -> Result<Opened> {
    let mut opened = Opened::default();
    let total = sealed.len() as u64;
    for (done, bytes) in (1..).zip(sealed) {
        let name: String = bundle_id(bytes).to_string().chars().take(8).collect();
        match open(&loaded.id, &loaded.epoch_keys, bytes) {
            Ok((_, Payload::Member(op))) => opened.members.push(op),
            Ok((_, Payload::Changes(bundle))) => opened.changes.push((bundle, name)),
            Ok((_, Payload::Unknown { kind, .. })) => opened.refused.push(RefusedBundle {
                bundle: name,
                reason: format!(
                    "it is of kind {kind}, which a newer Fallaway writes; bring it in again after \
                     an update"
                ),
            }),
            Err(error) => {
                opened.refused.push(RefusedBundle { bundle: name, reason: error.to_string() });
            }
        }
        if progress.at(done, total) == ControlFlow::Break(()) {
            return Err(Error::Cancelled);
        }
    }
    Ok(opened)
}

/// Takes member operations in; returns the names of those who are new.
fn take_members(
    loaded: &mut LoadedRecord,
    ops: Vec<MemberOp>,
    batch: &mut Batch,
) -> Result<Vec<String>> {
    let before: BTreeSet<_> = loaded.members.members().iter().map(|m| m.device).collect();
    for op in ops {
        let (hash, bytes) = (op.hash(), op.encode());
        let new = loaded.members.insert(op);
        if new.map_err(|e| Error::refused(e.to_string()))? {
            batch.members.push(StoredMemberOp { hash, standing: ChangeStanding::Admitted, bytes });
        }
    }
    let now = loaded.members.members().into_iter();
    Ok(now.filter(|m| !before.contains(&m.device)).map(|m| m.label).collect())
}

/// Changes that waited or were held may be ready now.
fn recall_pending(loaded: &LoadedRecord, candidates: &mut BTreeMap<ChangeHash, Candidate>) {
    for stored in &loaded.pending {
        if stored.standing == ChangeStanding::Quarantined || candidates.contains_key(&stored.hash) {
            continue;
        }
        let covering = loaded
            .signatures
            .iter()
            .filter(|one| one.writer == stored.writer && one.seq >= stored.seq)
            .min_by_key(|one| one.seq);
        let proof = covering.and_then(|one| ChainProof::decode_kept(&one.bytes).ok());
        if let (Some(proof), Ok(change)) = (proof, Change::decode(&stored.bytes)) {
            let candidate = Candidate { change, hash: stored.hash, proof, stored: true };
            candidates.insert(stored.hash, candidate);
        }
    }
}

/// Candidates by what may be done with them.
struct Sorted {
    /// To be applied.
    round: Vec<Candidate>,
    /// To be kept beside the document, with the reason.
    aside: Vec<(Candidate, ChangeStanding, String)>,
    refused: Vec<RefusedBundle>,
}

/// Asks for each change whether its author may write, by the member operations that it had seen.
fn judge(
    loaded: &LoadedRecord,
    candidates: BTreeMap<ChangeHash, Candidate>,
    turn: &Turn,
) -> Sorted {
    let mut sorted = Sorted { round: Vec::new(), aside: Vec::new(), refused: Vec::new() };
    for (_, one) in candidates {
        if turn.deaths >= DEATHS && turn.suspects.contains(&one.hash) {
            let reason = format!("{DEATHS} merges died while this was being applied");
            sorted.aside.push((one, ChangeStanding::Quarantined, reason));
            continue;
        }
        match loaded.members.standing(&one.proof.device, &one.proof.member_heads) {
            Authority::MayWrite(_) => sorted.round.push(one),
            Authority::MayNot(Some(role)) => {
                let reason = format!("its author is a {role} and may not write");
                sorted.aside.push((one, ChangeStanding::Held, reason));
            }
            Authority::MayNot(None) => sorted.refused.push(RefusedBundle {
                bundle: one.hash.to_string().chars().take(8).collect(),
                reason: format!(
                    "it is signed by a stranger, the device {}, which is no member of this record",
                    one.proof.device.fingerprint()
                ),
            }),
            Authority::Waiting(_) => {
                let reason = "the invitation of its author has not arrived".to_owned();
                sorted.aside.push((one, ChangeStanding::Waiting, reason));
            }
            Authority::NeedsNewer => {
                let reason = "its author's membership needs a newer Fallaway".to_owned();
                sorted.aside.push((one, ChangeStanding::Waiting, reason));
            }
        }
    }
    sorted
}

/// What became of the changes of a round.
#[derive(Default)]
struct Fates {
    admitted: BTreeSet<ChangeHash>,
    /// Those admitted, in the order in which they entered.
    order: Vec<ChangeHash>,
    waiting: BTreeMap<ChangeHash, String>,
    quarantined: BTreeMap<ChangeHash, String>,
    refused: BTreeMap<ChangeHash, String>,
    newly_contested: Vec<(Container, String)>,
}

impl Fates {
    /// Whether anything of the round stays on this device.
    fn took_something(&self) -> bool {
        !(self.admitted.is_empty() && self.waiting.is_empty() && self.quarantined.is_empty())
    }

    fn add(&mut self, applied: Applied) {
        self.order.extend(&applied.admitted);
        self.admitted.extend(applied.admitted);
        let waiting = applied.waiting.into_iter();
        self.waiting.extend(waiting.map(|one| (one.hash, one.reason.to_string())));
        for one in applied.refused {
            let Some(hash) = one.hash else { continue };
            let reason = one.reason.to_string();
            match one.reason {
                // It may be our document library that is at fault, or another of the writer's
                // devices: keep it for a later version, or for somebody to look at.
                Refusal::Document { .. } | Refusal::Fork { .. } => {
                    self.quarantined.insert(hash, reason);
                }
                _ => {
                    self.refused.insert(hash, reason);
                }
            }
        }
        self.newly_contested.extend(applied.newly_contested);
    }
}

/// Applies the round to the document in memory; those that an earlier merge died with go alone.
fn apply(
    inner: &WorkshopState,
    loaded: &mut LoadedRecord,
    round: &[Candidate],
    turn: &Turn,
) -> Result<Fates> {
    let (suspects, rest): (Vec<_>, Vec<_>) =
        round.iter().partition(|one| turn.suspects.contains(&one.hash));
    let mut fates = Fates::default();
    for one in suspects {
        turn.note(inner, &[one.hash], turn.deaths + 1)?;
        fates.add(loaded.record.apply(std::slice::from_ref(&one.change))?);
    }
    if !rest.is_empty() {
        let hashes: Vec<ChangeHash> = rest.iter().map(|one| one.hash).collect();
        turn.note(inner, &hashes, 1)?;
        let changes: Vec<Change> = rest.iter().map(|one| one.change.clone()).collect();
        fates.add(loaded.record.apply(&changes)?);
    }
    Ok(fates)
}

/// The operations of the admitted changes, if the first of them has seen everything that was here
/// and each of the others the one before it.
fn following<'a>(
    round: &'a [Candidate],
    order: &[ChangeHash],
    heads: &[ChangeHash],
) -> Option<Vec<&'a Put>> {
    let mut seen: Vec<ChangeHash> = heads.to_vec();
    let mut puts = Vec::new();
    for hash in order {
        let change = &round.iter().find(|one| one.hash == *hash)?.change;
        if !seen.iter().all(|head| change.deps.contains(head)) {
            return None;
        }
        puts.extend(&change.ops);
        seen = vec![*hash];
    }
    Some(puts)
}

/// Puts every change where it stands from now on into the batch.
fn file(loaded: &LoadedRecord, sorted: &Sorted, fates: &Fates, batch: &mut Batch) -> Result<()> {
    let mut standings = Vec::new();
    for one in &sorted.round {
        let standing = if fates.admitted.contains(&one.hash) {
            (ChangeStanding::Admitted, None)
        } else if let Some(reason) = fates.waiting.get(&one.hash) {
            (ChangeStanding::Waiting, Some(reason.clone()))
        } else if let Some(reason) = fates.quarantined.get(&one.hash) {
            (ChangeStanding::Quarantined, Some(reason.clone()))
        } else if one.stored {
            // Waited for something, and turned out to break a rule.
            let reason = fates.refused.get(&one.hash).cloned();
            (ChangeStanding::Quarantined, reason.or_else(|| Some("not admitted".to_owned())))
        } else {
            continue;
        };
        standings.push((one, standing));
    }
    let aside = sorted.aside.iter();
    standings.extend(aside.map(|(one, standing, why)| (one, (*standing, Some(why.clone())))));
    let kept_aside = standings
        .iter()
        .filter(|(one, (standing, _))| !one.stored && *standing != ChangeStanding::Admitted);
    if loaded.pending.len() + kept_aside.count() > MAX_PENDING {
        return Err(Error::refused(format!(
            "more than {MAX_PENDING} changes of this record would wait beside it; bring the \
                 bundles in that they wait for first"
        )));
    }
    let mut signed = BTreeSet::new();
    for (one, (standing, reason)) in standings {
        if one.stored {
            batch.moves.push(Move { hash: one.hash, standing, reason });
        } else {
            batch.changes.push(StoredChange {
                hash: one.hash,
                writer: one.change.writer,
                seq: one.change.seq,
                deps: one.change.deps.clone(),
                standing,
                reason,
                bytes: one.change.encode(),
            });
        }
        let known = loaded.signatures.iter().any(|known| known.hash == one.proof.hash);
        if !known && signed.insert(one.proof.hash) {
            batch.signatures.push(StoredSignature {
                writer: one.change.writer,
                seq: one.proof.seq,
                hash: one.proof.hash,
                bytes: one.proof.encode(),
            });
        }
    }
    Ok(())
}
