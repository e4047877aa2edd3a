//! Under which key bundles are sealed, and who is handed it.

use std::cmp::Reverse;

use fallaway_changes::{EpochId, RecordId};
use fallaway_order::{Map, OneByOne as _, PutInOrder as _, Set};
use fallaway_sharing::limits::MAX_PARENTS;
use fallaway_sharing::{Action, EpochKey, MemberOp, Members, Role, Status, handing_key};
use fallaway_store::{
    Batch, ChangeStanding, Outgoing, OutgoingEdit, StoreAccess, StoreError, StoredEpochKey,
    StoredMemberOp,
};

use crate::error::Result;
use crate::keeping::callbacks::LogLevel;
use crate::keeping::loaded_record::LoadedRecord;
use crate::keeping::secrets::{Identity, draw};
use crate::keeping::session::Session;
use crate::keeping::workshop_state::{WorkshopState, missing};

/// The key that bundles are sealed under: that of the newest clean epoch; for who may begin none, that of
/// one of the newest, which every member gets; for who was given none of these, the newest that it has.
pub(crate) fn sealing_key(loaded: &LoadedRecord) -> Option<&EpochKey> {
    let key = |epoch: EpochId| loaded.epoch_keys.iter().find(|key| key.id() == epoch);
    let clean = loaded.members.sealing_epoch(&held(loaded));
    let newest = || loaded.members.newest_epochs().into_iter().find_map(key);
    clean.and_then(key).or_else(newest).or_else(|| newest_first(loaded).into_iter().next())
}

/// The keys that an operation on the members is sealed under: that of the newest epoch which it had
/// seen, so that whoever has that one learns of the next. Of several newest ones each: somebody may have
/// been given only one of them. A key that is handed to a member leaves a second time, under the one for that,
/// which the member has whatever it came with.
pub(crate) struct KeysOfOps<'a> {
    loaded: &'a LoadedRecord,
    epochs: Vec<(EpochId, &'a MemberOp)>,
    last: &'a EpochKey,
}

impl<'a> KeysOfOps<'a> {
    pub(crate) fn new(loaded: &'a LoadedRecord) -> Option<Self> {
        let last = sealing_key(loaded)?;
        Some(Self { loaded, epochs: loaded.members.epochs().collect(), last })
    }

    /// For everything but operations.
    pub(crate) const fn newest(&self) -> &'a EpochKey {
        self.last
    }

    /// For one operation.
    pub(crate) fn of(&self, op: &MemberOp) -> Vec<EpochKey> {
        let members = &self.loaded.members;
        // Of an epoch that went by without this device there is no key here.
        let keys = &self.loaded.epoch_keys;
        let held = |epoch: &EpochId| keys.iter().any(|key| key.id() == *epoch);
        let known = self
            .epochs
            .iter()
            .filter(|(epoch, begun)| held(epoch) && members.had_seen(op.seen(), &begun.hash()));
        let known: Vec<_> = known.collect();
        let newest = known.iter().filter(|(epoch, _)| {
            !known.iter().any(|(_, other)| match other.action() {
                Action::NewEpoch { parents, .. } => parents.contains(epoch),
                _ => false,
            })
        });
        let mut newest: Vec<EpochId> = newest.map(|(epoch, _)| *epoch).collect();
        // Before there was any: the first one.
        let first = self.epochs.iter().filter(|(_, begun)| match begun.action() {
            Action::NewEpoch { parents, .. } => known.is_empty() && parents.is_empty(),
            _ => false,
        });
        newest.extend(first.map(|(epoch, _)| *epoch));
        newest.put_in_order();
        let key = |epoch: &EpochId| keys.iter().find(|key| key.id() == *epoch);
        let mut keys: Vec<EpochKey> =
            newest.iter().filter_map(key).take(MAX_PARENTS).cloned().collect();
        if keys.is_empty() {
            keys.push(self.last.clone());
        }
        // Others may not know who is nobody: what is handed to that one, or by it, goes as all else does.
        let counts = !matches!(members.status(&op.hash()), Some(Status::Skipped(_)));
        if let Action::HandKey { wrapped, .. } = op.action()
            && counts
            && members.member(&wrapped.device).is_some()
        {
            keys.push(handing_key(&self.loaded.id, &wrapped.device));
        }
        keys
    }
}

/// The keys of the record, by the operations that begin their epochs; first those whose operation has
/// not come: they came with an invitation, when they were the newest.
pub(crate) fn newest_first(loaded: &LoadedRecord) -> Vec<&EpochKey> {
    keys_newest_first(&loaded.members, &loaded.epoch_keys)
}

/// The same of a record that is not in memory.
pub(crate) fn keys_newest_first<'a>(members: &Members, keys: &'a [EpochKey]) -> Vec<&'a EpochKey> {
    // Of two operations that begin one epoch the place of the first.
    let mut places: Map<EpochId, usize> = Map::new();
    for (place, (epoch, _)) in members.epochs().enumerate() {
        places.entry(epoch).or_insert(place);
    }
    let place = |key| places.get(&EpochKey::id(key)).map(|place| Reverse(*place));
    let mut placed: Vec<_> = keys.iter().rev().map(|key| (place(key), key)).collect();
    placed.put_in_order_by_key(|(place, _)| *place);
    placed.into_iter().map(|(_, key)| key).collect()
}

fn held(loaded: &LoadedRecord) -> Vec<EpochId> {
    loaded.epoch_keys.iter().map(EpochKey::id).collect()
}

/// Puts an operation that is in memory already into the batch, as one that has yet to leave.
pub(crate) fn put_op(op: &MemberOp, batch: &mut Batch) {
    let (hash, bytes) = (op.hash(), op.encode());
    batch.members.push(StoredMemberOp { hash, standing: ChangeStanding::Admitted, bytes });
    batch.outgoing.push(OutgoingEdit::Add(Outgoing::Member(hash)));
}

/// Sees that the newest epoch is clean, and that every member has its key: else begins one and hands
/// the key on. Of several that began at once one is made if it `joins` them. Of epochs beside it that no
/// other one takes the place of every member gets the key, too: what was sealed under them may still be
/// on its way. For who may not, nothing happens.
pub(crate) fn prepare_sealing(
    inner: &WorkshopState,
    identity: &Identity,
    loaded: &mut LoadedRecord,
    joins: bool,
    batch: &mut Batch,
) -> Result<()> {
    if loaded.role(identity) < Some(Role::Contributor) {
        return Ok(());
    }
    let (now, keys) = (inner.clock.now().unix_s, &identity.keys);
    let sealing = loaded.members.sealing_epoch(&held(loaded));
    let (newest, have) = (loaded.members.newest_epochs(), held(loaded));
    let apart = newest.iter().filter(|epoch| have.contains(epoch)).count() > 1;
    if sealing.is_none() || (joins && apart) {
        // The first epoch is that of the key which the founding drew.
        let first = loaded.members.epochs().next().is_none();
        let key = match loaded.epoch_keys.last().filter(|_| first) {
            Some(key) => key.clone(),
            None => EpochKey::from_bytes(draw(inner.random.as_ref())?),
        };
        let count = loaded.members.members().len();
        let drawn = (0..count).map(|_| draw::<32>(inner.random.as_ref()));
        let mut drawn = drawn.collect::<Result<Vec<_>>>()?;
        let next = || drawn.pop().unwrap_or_default();
        match loaded.members.begin_epoch(keys, &key, &loaded.epoch_keys, now, next) {
            Ok(op) => {
                put_op(&op, batch);
                loaded.members.insert(op)?;
                take_key(identity, loaded, key, batch);
            }
            // Whoever states a key that is none must not keep others from writing.
            Err(error) => inner.log(LogLevel::Warning, || format!("no new epoch: {error}")),
        }
    }
    let own = sealing_key(loaded).map(EpochKey::id);
    let beside = loaded.members.newest_epochs().into_iter().filter(|one| Some(*one) != own);
    let newest: Vec<EpochId> = own.into_iter().chain(beside).take(MAX_PARENTS).collect();
    for epoch in newest {
        let Some(key) = loaded.epoch_keys.iter().find(|key| key.id() == epoch).cloned() else {
            continue;
        };
        for device in loaded.members.lacking(&epoch) {
            if device == keys.device() {
                continue;
            }
            let random = draw(inner.random.as_ref())?;
            if let Ok(op) = loaded.members.hand_key(keys, &key, &device, now, random) {
                put_op(&op, batch);
                loaded.members.insert(op)?;
            }
        }
    }
    Ok(())
}

/// The same in a commit of its own, before a bundle is sealed.
pub(crate) fn ready_to_seal(
    inner: &WorkshopState,
    session: &mut Session,
    id: RecordId,
    joins: bool,
) -> Result<()> {
    if inner.store.access() != StoreAccess::ReadWrite {
        return Ok(());
    }
    loop {
        inner.refresh(session, id)?;
        let Session { identity, records, changed, .. } = session;
        let loaded = records.get_mut(&id).ok_or_else(|| missing(id))?;
        let mut batch = Batch::new();
        prepare_sealing(inner, identity, loaded, joins, &mut batch)?;
        if batch == Batch::new() {
            return Ok(());
        }
        match inner.store.commit(&id, loaded.generation, &batch) {
            Ok(generation) => {
                loaded.filed(batch, Vec::new(), generation);
                changed.insert(id);
                return Ok(());
            }
            Err(error) => {
                // What is in memory is ahead of the store.
                records.remove(&id);
                if !matches!(error, StoreError::Moved { .. }) {
                    return Err(error.into());
                }
            }
        }
    }
}

/// Takes every key that the operations here give this device; whether one is new.
pub(crate) fn take_keys(identity: &Identity, loaded: &mut LoadedRecord, batch: &mut Batch) -> bool {
    let known: Set<EpochId> = held(loaded).into_iter().in_set();
    let mut keys = loaded.members.readable_keys(&identity.keys, &loaded.epoch_keys);
    keys.retain(|key| !known.contains(&key.id()));
    let found = !keys.is_empty();
    for key in keys {
        take_key(identity, loaded, key, batch);
    }
    found
}

fn take_key(identity: &Identity, loaded: &mut LoadedRecord, key: EpochKey, batch: &mut Batch) {
    if loaded.epoch_keys.contains(&key) {
        return;
    }
    let wrapped = key.wrap(&identity.keys, &loaded.id);
    batch.epoch_keys.push(StoredEpochKey { epoch: key.id(), wrapped });
    loaded.epoch_keys.push(key);
}
