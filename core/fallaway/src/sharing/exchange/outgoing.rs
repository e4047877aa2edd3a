//! What bundles hold that go out.

use std::ops::ControlFlow;

use fallaway_changes::{ChangeId, VerifiedChange, Writer};
use fallaway_order::OneByOne as _;
use fallaway_order::{Map, Set};
use fallaway_sharing::{Action, ChainProof, ChangeBundle, EpochKey, Payload, Status, seal};
use fallaway_store::{ChangeStanding, Store, StoredChange};

use fallaway_text::messages::errors as say;

use super::sealing::KeysOfOps;
use super::why_aside::WhyAside;
use crate::error::{Error, Result};
use crate::keeping::callbacks::ProgressListener;
use crate::keeping::loaded_record::LoadedRecord;
use crate::sharing::relay::LogUnit;

/// A payload that leaves, and what is in it.
pub(crate) struct Leaving {
    pub payload: Payload,
    pub units: Vec<LogUnit>,
}

/// What holds something that is wanted, member operations first; so many at most.
pub(crate) fn payloads(
    loaded: &LoadedRecord,
    beside: &[StoredChange],
    wants: &dyn Fn(&LogUnit) -> bool,
    most: usize,
) -> Result<Vec<Leaving>> {
    let mut leaving = Vec::new();
    for op in loaded.members.ops() {
        let payload = Payload::Member(op.clone());
        let mut units = vec![LogUnit::Op(op.hash())];
        if begun_by(loaded, &payload).is_some() {
            units.push(LogUnit::OwnForm(op.hash()));
        }
        if leaving.len() < most && units.iter().any(wants) {
            leaving.push(Leaving { payload, units });
        }
    }
    leaving.extend(chains(loaded, beside, wants, most - leaving.len())?);
    Ok(leaving)
}

/// The sealed bundles of all of these.
pub(crate) fn bundles(
    loaded: &LoadedRecord,
    leaving: &[Leaving],
    progress: &dyn ProgressListener,
) -> Result<Vec<Vec<u8>>> {
    let keys = KeysOfOps::new(loaded).ok_or_else(|| Error::keys(say::no_key()))?;
    let total = leaving.len() as u64;
    let mut sealed = Vec::with_capacity(leaving.len());
    for (done, one) in (1..).zip(leaving) {
        sealed.extend(sealed_forms(&keys, loaded, &one.payload)?);
        if progress.at(done, total) == ControlFlow::Break(()) {
            return Err(Error::Cancelled);
        }
    }
    Ok(sealed)
}

/// Seals one of them: an operation that begins an epoch under its own key too, since whoever begins
/// with a later key finds the older ones under it.
pub(crate) fn sealed_forms(
    keys: &KeysOfOps<'_>,
    loaded: &LoadedRecord,
    payload: &Payload,
) -> Result<Vec<Vec<u8>>> {
    let mut under = match payload {
        Payload::Member(op) => keys.of(op),
        _ => vec![keys.newest().clone()],
    };
    let own = begun_by(loaded, payload).filter(|own| !under.contains(own));
    under.extend(own.cloned());
    let sealed = under.iter().map(|key| seal(key, &loaded.id, payload));
    sealed.collect::<std::result::Result<_, _>>().map_err(|e| Error::internal("seal", e))
}

/// The key of the epoch that an operation begins, if that counts: of another one, which somebody began
/// who was out, not everybody has the key, and nobody needs it.
fn begun_by<'a>(loaded: &'a LoadedRecord, payload: &Payload) -> Option<&'a EpochKey> {
    let Payload::Member(op) = payload else { return None };
    let Action::NewEpoch { epoch, .. } = op.action() else { return None };
    if loaded.members.status(&op.hash()) != Some(&Status::Accepted) {
        return None;
    }
    loaded.epoch_keys.iter().find(|key| key.id() == *epoch)
}

/// What stands beside the record and goes out with it, as what is in follows from it: what whoever
/// might write wrote, and whatever this device wrote itself. What viewers or strangers wrote goes only
/// as far as something that leaves builds on it: without it nobody could place that.
pub(crate) fn handed_on(store: &dyn Store, loaded: &LoadedRecord) -> Result<Vec<StoredChange>> {
    let sound = loaded.pending.iter().filter(|one| one.standing != ChangeStanding::Quarantined);
    let by_id: Map<ChangeId, &StoredChange> = sound.map(|one| (one.hash, one)).in_map();
    let goes = |one: &&&StoredChange| {
        let why = WhyAside::stored(one.reason.as_deref());
        one.writer == loaded.writer
            || !matches!(why, WhyAside::Reader | WhyAside::Invitation | WhyAside::Rule)
    };
    let mut open: Vec<ChangeId> = by_id.values().filter(goes).map(|one| one.hash).collect();
    let mut going = Set::new();
    while let Some(id) = open.pop() {
        if let Some(one) = by_id.get(&id)
            && going.insert(id)
        {
            open.extend(&one.deps);
        }
    }
    if going.is_empty() {
        return Ok(Vec::new());
    }
    let mut beside = loaded.beside(store)?;
    beside.retain(|one| going.contains(&one.hash));
    Ok(beside)
}

/// Each writer's changes, cut where a signature was kept; each branch of a fork on its own.
fn chains(
    loaded: &LoadedRecord,
    beside: &[StoredChange],
    wants: &dyn Fn(&LogUnit) -> bool,
    most: usize,
) -> Result<Vec<Leaving>> {
    let by_id: Map<ChangeId, &StoredChange> =
        beside.iter().map(|stored| (stored.hash, stored)).in_map();
    let mut orders: Map<Writer, Vec<ChangeId>> = Map::new();
    let mut gone: Set<ChangeId> = Set::new();
    let mut chains = Vec::new();
    // Sorted by number, so that each signature takes what none before it has proved.
    for signature in &loaded.signatures {
        let writer = &signature.writer;
        let own = orders.entry(*writer).or_insert_with(|| loaded.record.ids_of(writer));
        if chains.len() == most {
            break;
        }
        let mut run: Vec<(Link<'_>, u64)> = Vec::new();
        let mut next = Some((signature.hash, signature.seq));
        while let Some((id, seq)) = next.take() {
            if gone.contains(&id) {
                break;
            }
            let place = usize::try_from(seq).ok().and_then(|seq| seq.checked_sub(1));
            let inside = place.and_then(|place| own.get(place)) == Some(&id);
            let before = place.and_then(|place| own.get(place.checked_sub(1)?)).copied();
            if inside {
                run.push((Link::Inside(id), seq));
                next = before.map(|id| (id, seq - 1));
            } else if let Some(stored) = by_id.get(&id) {
                run.push((Link::Beside(stored), seq));
                let dep = stored.deps.iter().find(|dep| {
                    let own = |one: &&StoredChange| one.writer == *writer && one.seq + 1 == seq;
                    by_id.get(*dep).is_some_and(own) || before == Some(**dep)
                });
                next = dep.map(|dep| (*dep, seq - 1));
            }
        }
        gone.extend(run.iter().map(|(link, _)| link.id()));
        let unit = |(link, seq): &(Link<'_>, u64)| LogUnit::Change(link.id(), *writer, *seq);
        if !run.iter().any(|one| wants(&unit(one))) {
            continue;
        }
        // Only the end of the run is signed: it leaves from the last gap on.
        let mut changes: Vec<VerifiedChange> =
            run.iter().map_while(|(link, _)| link.change(loaded)).collect();
        let units = run.iter().take(changes.len()).map(unit).collect();
        changes.reverse();
        if changes.is_empty() {
            continue;
        }
        let proof = ChainProof::decode_kept(&signature.bytes);
        let proof = proof.map_err(|e| Error::internal("signature", e))?;
        let bundle = ChangeBundle::under_kept(proof, changes);
        let payload = Payload::Changes(bundle.map_err(|e| Error::internal("bundle", e))?);
        chains.push(Leaving { payload, units });
    }
    Ok(chains)
}

/// One of a writer's changes, read when it is known to leave.
enum Link<'a> {
    Inside(ChangeId),
    Beside(&'a StoredChange),
}

impl Link<'_> {
    fn id(&self) -> ChangeId {
        match self {
            Self::Inside(id) => *id,
            Self::Beside(stored) => stored.hash,
        }
    }

    /// `None` for what only a newer version can read.
    fn change(&self, loaded: &LoadedRecord) -> Option<VerifiedChange> {
        match self {
            Self::Inside(id) => loaded.record.change(id),
            Self::Beside(stored) => VerifiedChange::kept(&loaded.id, stored.bytes.clone()).ok(),
        }
    }
}
