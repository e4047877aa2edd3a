//! Under which epoch to seal, and how a new one begins.
//!
//! An epoch is **clean** if everything that took somebody's right to read is in its past: removals,
//! leaves, withdrawn invitations. Only clean epochs are sealed under; where none is, whoever seals
//! next begins one. Two removals that do not know of each other make two epochs, neither clean: the
//! next one takes the place of both.

use fallaway_order::map::MapEntry;
use std::cmp::Reverse;

use crate::action::{Action, RelayAddress, WrappedKey};
use crate::epoch::{EpochKey, UnwrapError};
use crate::identity::DeviceKeys;
use crate::limits::{MAX_PARENTS, MAX_RELAYS};
use crate::member::MemberOp;
use crate::member_error::MemberError;
use crate::members::Members;
use crate::standing::Status;
use fallaway_changes::{DeviceId, EpochId};
use fallaway_order::{Map, OneByOne as _, PutInOrder as _, Set};

/// Why no epoch could be begun.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum EpochError {
    /// A member's exchange key is none.
    #[error("the key of member {0} is none: it has to be removed first")]
    Member(DeviceId),
    /// The operation could not be signed.
    #[error(transparent)]
    Op(#[from] MemberError),
}

impl Members {
    /// The clean epoch to seal under, of those whose keys are held: none that another one takes the
    /// place of, then that for the most members, then that of the lowest id. `None`: one has to be
    /// begun first.
    pub fn sealing_epoch(&self, held: &[EpochId]) -> Option<EpochId> {
        let newest: Set<EpochId> = self.newest_epochs().into_iter().in_set();
        let usable = self.epochs().filter(|(epoch, op)| {
            newest.contains(epoch) && held.contains(epoch) && self.is_clean(&op.hash())
        });
        let best = usable.min_by_key(|(epoch, op)| (Reverse(recipients(op).len()), *epoch));
        best.map(|(epoch, _)| epoch)
    }

    /// The epochs that no other one takes the place of.
    pub fn newest_epochs(&self) -> Vec<EpochId> {
        self.last_of(|_| true)
    }

    /// Of these epochs those that no other one of them takes the place of.
    fn last_of(&self, these: impl Fn(&EpochId) -> bool) -> Vec<EpochId> {
        let (mut last, mut parents) = (Set::new(), Set::new());
        for (epoch, op) in self.epochs().filter(|(epoch, _)| these(epoch)) {
            last.insert(epoch);
            if let Action::NewEpoch { parents: before, .. } = op.action() {
                parents.extend(before);
            }
        }
        last.difference(&parents).copied().collect()
    }

    /// Where relays carry the record: what the newest epochs say, at most [`MAX_RELAYS`].
    pub fn relays(&self) -> Vec<RelayAddress> {
        let newest = self.newest_epochs();
        let mut relays = Set::new();
        for (_, op) in self.epochs().filter(|(epoch, _)| newest.contains(epoch)) {
            if let Action::NewEpoch { relays: named, .. } = op.action() {
                relays.extend(named.iter().cloned());
            }
        }
        relays.into_iter().take(MAX_RELAYS).collect()
    }

    /// Members that are not known to have the key of this epoch: whoever seals hands it to them. A member
    /// has it if it began the epoch, or was handed the key, or can read the operation that brings it.
    pub fn lacking(&self, epoch: &EpochId) -> Vec<DeviceId> {
        let mut having = Having::of(self);
        let members = self.members().into_iter().map(|member| member.device);
        members.filter(|device| !having.has(device, epoch)).collect()
    }

    /// The operation that begins an epoch under `key` for all members, in the place of the newest
    /// ones of those whose keys are `held`; it brings these, and names the same relays. `random` must be
    /// a cryptographic random source.
    ///
    /// # Errors
    /// [`EpochError`].
    pub fn begin_epoch(
        &self,
        keys: &DeviceKeys,
        key: &EpochKey,
        held: &[EpochKey],
        time: i64,
        random: impl FnMut() -> [u8; 32],
    ) -> Result<MemberOp, EpochError> {
        self.begin_epoch_at(self.relays(), keys, key, held, time, random)
    }

    /// The same, carried by these relays from then on.
    ///
    /// # Errors
    /// [`EpochError`].
    pub fn begin_epoch_at(
        &self,
        relays: Vec<RelayAddress>,
        keys: &DeviceKeys,
        key: &EpochKey,
        held: &[EpochKey],
        time: i64,
        mut random: impl FnMut() -> [u8; 32],
    ) -> Result<MemberOp, EpochError> {
        let (record, seen) = (*self.record(), self.heads());
        let named: Vec<_> = seen.iter().copied().collect();
        // It takes the place of those only whose keys it brings: else whoever gets no other key could
        // not read what was sealed under them.
        let newest = self.last_of(|epoch| held.iter().any(|key| key.id() == *epoch));
        let mut older: Vec<EpochKey> =
            held.iter().filter(|key| newest.contains(&key.id())).cloned().collect();
        older.put_in_order_by_key(EpochKey::id);
        older.dedup();
        older.truncate(MAX_PARENTS);
        let parents: Vec<EpochId> = older.iter().map(EpochKey::id).collect();
        let mut wrapped = Vec::new();
        for member in self.members() {
            let to = (member.device, &member.exchange);
            let one = key.wrap_for(to, &record, &named, random());
            wrapped.push(one.map_err(|_| EpochError::Member(member.device))?);
        }
        let older = key.seal_older(&record, &older);
        let action = Action::NewEpoch { epoch: key.id(), parents, wrapped, older, relays };
        Ok(MemberOp::sign(keys, record, &seen, time, action)?)
    }

    /// The operation that hands the key of an epoch to a member that lacks it.
    ///
    /// # Errors
    /// [`EpochError`].
    pub fn hand_key(
        &self,
        keys: &DeviceKeys,
        key: &EpochKey,
        device: &DeviceId,
        time: i64,
        random: [u8; 32],
    ) -> Result<MemberOp, EpochError> {
        let nobody = EpochError::Member(*device);
        let (record, seen) = (*self.record(), self.heads());
        let named: Vec<_> = seen.iter().copied().collect();
        let to = self.member(device).ok_or(nobody)?;
        let wrapped = key.wrap_for((*device, &to.exchange), &record, &named, random);
        let action = Action::HandKey { epoch: key.id(), wrapped: wrapped.map_err(|_| nobody)? };
        Ok(MemberOp::sign(keys, record, &seen, time, action)?)
    }

    /// All epoch keys that this device can read: those that are `held`, those that were wrapped for
    /// it, and those under these, however many epochs lie between. Keys that do not open are passed
    /// over. Whether an operation counts is not asked: what it waits for may be sealed under the very key
    /// that it brings, and a key says nothing about authority.
    pub fn readable_keys(&self, keys: &DeviceKeys, held: &[EpochKey]) -> Vec<EpochKey> {
        let mut known: Map<EpochId, EpochKey> =
            held.iter().map(|key| (key.id(), key.clone())).in_map();
        for op in self.ops() {
            let (epoch, wrapped) = match op.action() {
                Action::NewEpoch { epoch, wrapped, .. } => (epoch, wrapped.as_slice()),
                Action::HandKey { epoch, wrapped } => (epoch, std::slice::from_ref(wrapped)),
                _ => continue,
            };
            let own = wrapped.iter().find(|one| one.device == keys.device());
            if let (Some(own), false) = (own, known.contains_key(epoch)) {
                let key = EpochKey::unwrap_from(own, keys, self.record(), epoch, op.seen());
                known.extend(key.ok().map(|key| (*epoch, key)));
            }
        }
        let readable: Vec<EpochKey> = known.into_values().collect();
        self.opened_by(&readable).into_values().collect()
    }

    /// These keys, and those under them, however many epochs lie between.
    pub fn opened_by(&self, keys: &[EpochKey]) -> Map<EpochId, EpochKey> {
        let mut known: Map<EpochId, EpochKey> =
            keys.iter().map(|key| (key.id(), key.clone())).in_map();
        let mut open: Vec<EpochId> = known.keys().copied().collect();
        while let Some(epoch) = open.pop() {
            let Some(key) = known.get(&epoch).cloned() else { continue };
            for op in self.ops() {
                let Action::NewEpoch { epoch: begun, older, .. } = op.action() else { continue };
                if *begun != epoch {
                    continue;
                }
                let older: Result<Vec<EpochKey>, UnwrapError> =
                    key.open_older(self.record(), older);
                for key in older.into_iter().flatten() {
                    if let MapEntry::Vacant(place) = known.entry(key.id()) {
                        open.push(key.id());
                        place.insert(key);
                    }
                }
            }
        }
        known
    }
}

/// Which member is known to have which key. With which key somebody came only the two know who were there, and
/// it may be that of an epoch that counts for nothing since: so that is not asked.
struct Having<'a> {
    members: &'a Members,
    handed: Set<(EpochId, DeviceId)>,
    begun: Map<EpochId, &'a MemberOp>,
    /// Of each epoch those that its operation had seen and that no other such one takes the place of: under
    /// one of these it is sealed.
    under: Map<EpochId, Vec<EpochId>>,
    known: Map<(EpochId, DeviceId), bool>,
}

impl<'a> Having<'a> {
    fn of(members: &'a Members) -> Self {
        let mut handed = Set::new();
        for op in members.ops().filter(|op| members.status(&op.hash()) == Some(&Status::Accepted)) {
            if let Action::HandKey { epoch, wrapped } = op.action() {
                handed.insert((*epoch, wrapped.device));
            }
        }
        let begun = members.epochs().in_map();
        Self { members, handed, begun, under: Map::new(), known: Map::new() }
    }

    fn under(&mut self, epoch: &EpochId) -> Vec<EpochId> {
        if let Some(known) = self.under.get(epoch) {
            return known.clone();
        }
        let Some(op) = self.begun.get(epoch) else { return Vec::new() };
        let under = self.members.last_of(|one| {
            let before = self.begun.get(one);
            one != epoch && before.is_some_and(|one| self.members.had_seen(op.seen(), &one.hash()))
        });
        self.under.insert(*epoch, under.clone());
        under
    }

    /// Whoever seals the operation may have only one of the keys that it can be sealed under: the member
    /// has to have all.
    fn has(&mut self, device: &DeviceId, epoch: &EpochId) -> bool {
        let place = (*epoch, *device);
        if let Some(known) = self.known.get(&place) {
            return *known;
        }
        // Each step goes to an epoch that was begun before.
        let mut open = vec![*epoch];
        while let Some(next) = open.last().copied() {
            let place = (next, *device);
            if self.known.contains_key(&place) {
                open.pop();
                continue;
            }
            let (began, gets) = match self.begun.get(&next) {
                Some(op) => {
                    (op.device() == device, recipients(op).iter().any(|one| one.device == *device))
                }
                None => (false, false),
            };
            let mut has = began || self.handed.contains(&place);
            if !has && gets {
                let under = self.under(&next);
                let ask = |one: &&EpochId| !self.known.contains_key(&(**one, *device));
                if let Some(first) = under.iter().find(ask) {
                    open.push(*first);
                    continue;
                }
                let known = |one: &EpochId| self.known.get(&(*one, *device)) == Some(&true);
                has = !under.is_empty() && under.iter().all(known);
            }
            self.known.insert(place, has);
            open.pop();
        }
        self.known.get(&place).copied().unwrap_or_default()
    }
}

fn recipients(op: &MemberOp) -> &[WrappedKey] {
    match op.action() {
        Action::NewEpoch { wrapped, .. } => wrapped,
        _ => &[],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::role::Role;
    use crate::testing::keys;
    use fallaway_changes::MemberHash;

    const NOW: i64 = 1_790_000_000;

    fn key(byte: u8) -> EpochKey {
        EpochKey::from_bytes([byte; 32])
    }

    fn ids(keys: &[EpochKey]) -> Vec<EpochId> {
        keys.iter().map(EpochKey::id).collect()
    }

    fn take(members: &mut Members, op: &MemberOp) -> MemberHash {
        members.insert(op.clone()).unwrap();
        assert_eq!(members.status(&op.hash()), Some(&Status::Accepted));
        op.hash()
    }

    /// A record of devices 1 (its founder) to `count`, all owners, in its first epoch.
    fn shared(count: u8) -> Members {
        let founding = MemberOp::found(&keys(1), NOW, [7; 16], "bench", None).unwrap();
        let mut members = Members::new(*founding.record());
        take(&mut members, &founding);
        for other in 2..=count {
            let (record, seen) = (*members.record(), members.heads());
            let whom = (keys(other).device(), keys(other).exchange());
            let role = Role::Owner;
            let add = MemberOp::add(&keys(1), record, &seen, NOW, whom, role, "added").unwrap();
            take(&mut members, &add);
        }
        let first = members.begin_epoch(&keys(1), &key(1), &[], NOW, || [5; 32]).unwrap();
        take(&mut members, &first);
        members
    }

    fn remove(members: &Members, by: u8, whom: u8) -> MemberOp {
        let devices = vec![keys(whom).device()];
        let action =
            Action::Remove { devices, frontier: Vec::new(), invites: Vec::new(), reason: None };
        let seen = members.heads();
        MemberOp::sign(&keys(by), *members.record(), &seen, NOW, action).unwrap()
    }

    #[test]
    fn a_removal_makes_a_new_epoch_that_the_removed_cannot_read() {
        let mut members = shared(3);
        assert_eq!(members.sealing_epoch(&ids(&[key(1)])), Some(key(1).id()));
        assert_eq!(members.sealing_epoch(&[]), None);
        let removal = remove(&members, 1, 3);
        take(&mut members, &removal);
        assert_eq!(members.sealing_epoch(&ids(&[key(1)])), None);
        let next = members.begin_epoch(&keys(2), &key(2), &[key(1)], NOW, || [6; 32]).unwrap();
        take(&mut members, &next);
        for reader in [1, 2] {
            let read = members.readable_keys(&keys(reader), &[]);
            assert_eq!(read.len(), 2, "device {reader}");
            assert_eq!(members.sealing_epoch(&ids(&read)), Some(key(2).id()));
        }
        assert_eq!(members.readable_keys(&keys(3), &[key(1)]), [key(1)]);
    }

    #[test]
    fn two_removals_at_once_are_joined_by_the_next_epoch() {
        let members = shared(4);
        let (mut one, mut other) = (members.clone(), members);
        let removals = [remove(&one, 1, 4), remove(&other, 2, 3)];
        take(&mut one, &removals[0]);
        let first = one.begin_epoch(&keys(1), &key(2), &[key(1)], NOW, || [6; 32]).unwrap();
        take(&mut one, &first);
        take(&mut other, &removals[1]);
        let second = other.begin_epoch(&keys(2), &key(3), &[key(1)], NOW, || [7; 32]).unwrap();
        take(&mut other, &second);
        take(&mut one, &removals[1]);
        take(&mut one, &second);
        // Each was begun for somebody who is out: neither is sealed under.
        assert_eq!(one.sealing_epoch(&ids(&[key(1), key(2), key(3)])), None);
        assert_eq!(one.newest_epochs().len(), 2);
        let held = one.readable_keys(&keys(1), &[]);
        assert_eq!(held.len(), 3);
        let joined = one.begin_epoch(&keys(1), &key(4), &held, NOW, || [8; 32]).unwrap();
        take(&mut one, &joined);
        assert_eq!(one.sealing_epoch(&ids(&[key(4)])), Some(key(4).id()));
        for removed in [3, 4] {
            let read = one.readable_keys(&keys(removed), &[key(1)]);
            assert!(!read.contains(&key(4)), "device {removed}");
        }
    }

    #[test]
    fn a_newcomer_is_handed_one_key_and_reads_forty_epochs() {
        let mut members = shared(1);
        let mut held = vec![key(1)];
        for number in 2..=40 {
            let next =
                members.begin_epoch(&keys(1), &key(number), &held, NOW, || [number; 32]).unwrap();
            take(&mut members, &next);
            held.push(key(number));
        }
        let (record, seen) = (*members.record(), members.heads());
        let whom = (keys(2).device(), keys(2).exchange());
        let add = MemberOp::add(&keys(1), record, &seen, NOW, whom, Role::Viewer, "added").unwrap();
        take(&mut members, &add);
        let newest = key(40);
        assert_eq!(members.lacking(&newest.id()), [keys(2).device()]);
        assert_eq!(members.readable_keys(&keys(2), &[]), []);
        let device = keys(2).device();
        let handed = members.hand_key(&keys(1), &newest, &device, NOW, [9; 32]).unwrap();
        let heads = members.heads();
        take(&mut members, &handed);
        assert_eq!(members.lacking(&newest.id()), []);
        assert_eq!(members.readable_keys(&keys(2), &[]).len(), 40);
        // A key that was handed on says nothing about authority.
        assert_eq!(members.heads(), heads);
    }
}
