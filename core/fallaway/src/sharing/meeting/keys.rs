//! By what a device can be met: the keys of the records that it shares, and invitations.

use fallaway_order::Set;

use fallaway_changes::{MemberHash, RecordId};
use fallaway_sharing::{EpochKey, InviteSecret};
use fallaway_sync::meeting::MeetingKey;
use fallaway_sync::meeting::limits::{MAX_HINTS, MAX_HINTS_OF_RECORD};

use crate::error::Result;
use crate::keeping::loaded_record::{keys_of, members_of};
use crate::keeping::secrets::Identity;
use crate::keeping::workshop_state::WorkshopState;
use crate::sharing::exchange::keys_newest_first;

/// One thing that the other device may know, too.
pub(super) enum Way {
    /// A key of a record.
    Epoch(RecordId, EpochKey),
    /// An invitation of this device, that nobody has used.
    Inviting(RecordId, MemberHash, InviteSecret),
    /// The words that this device comes with.
    Invited(InviteSecret),
}

impl Way {
    pub(super) const fn record(&self) -> Option<RecordId> {
        match self {
            Self::Epoch(record, _) | Self::Inviting(record, ..) => Some(*record),
            Self::Invited(_) => None,
        }
    }

    pub(super) fn key(&self, digits: &str) -> MeetingKey {
        match self {
            Self::Epoch(record, key) => MeetingKey::of_epoch(key, record, digits),
            Self::Inviting(.., secret) | Self::Invited(secret) => {
                MeetingKey::of_invitation(secret, digits)
            }
        }
    }
}

/// All ways to meet this device. They are read once: of many records the two may share, one is met after the other.
pub(super) struct Ways {
    /// Keys of records, of each the newest first.
    keys: Vec<Way>,
    invitations: Vec<Way>,
}

impl Ways {
    pub(super) fn read(inner: &WorkshopState, only: Option<RecordId>) -> Result<Self> {
        let mut session = inner.session()?;
        session.identity.follow(inner.store.as_ref(), inner.keeper.as_ref())?;
        let now = inner.clock.now().unix_s;
        let (mut keys, mut invitations) = (Vec::new(), Vec::new());
        for head in inner.store.records()? {
            let id = head.record;
            if only.is_some_and(|only| only != id) {
                continue;
            }
            // Most of the records that are here the other device may not share: none is read for that.
            #[cfg(test)]
            tests::READ.with(|read| read.set(read.get() + 1));
            let kept = inner.store.people(&id)?;
            // What does not count here opens nothing, whatever changes name it.
            let members = members_of(id, &kept.members, &[], &session.identity);
            let held = keys_of(id, &kept.epoch_keys, &session.identity);
            let newest = keys_newest_first(&members, &held).into_iter();
            keys.extend(newest.take(MAX_HINTS_OF_RECORD).map(|key| Way::Epoch(id, key.clone())));
            let Identity { keys: own, .. } = &session.identity;
            for open in members.open_invitations(now) {
                let op = members.op(&open.invite).filter(|_| open.by == own.device());
                if let Some(secret) = op.and_then(|op| op.own_secret(own)) {
                    invitations.push(Way::Inviting(id, open.invite, secret));
                }
            }
        }
        Ok(Self { keys, invitations })
    }

    /// What is left when these records are `done`, as many as a meeting can name: keys before invitations.
    pub(super) fn left(&self, done: &Set<RecordId>) -> Vec<&Way> {
        let open = |way: &&Way| way.record().is_none_or(|record| !done.contains(&record));
        let invitations: Vec<&Way> = self.invitations.iter().filter(open).collect();
        let keys = self.keys.iter().filter(open);
        keys.take(MAX_HINTS.saturating_sub(invitations.len())).chain(invitations.clone()).collect()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test")]

    use std::cell::Cell;

    use super::*;
    use crate::Workshop;
    use crate::keeping::environment::{SystemClock, SystemRandom};

    thread_local! {
        /// Of how many records the people were read.
        pub(super) static READ: Cell<usize> = const { Cell::new(0) };
    }

    #[test]
    fn of_each_record_the_people_are_read_once_however_many_are_met() {
        let (clock, random) = (Box::new(SystemClock), Box::new(SystemRandom));
        let shop = Workshop::in_memory("bench", clock, random).unwrap();
        let mut all = Set::new();
        for number in 0..12 {
            let bass = shop.add_instrument("bass-4", &format!("bass {number}")).unwrap();
            bass.invite(crate::Role::Viewer, 300).unwrap();
            all.insert(bass.id());
        }
        READ.set(0);
        let ways = Ways::read(&shop.inner, None).unwrap();
        let mut done = Set::new();
        for id in &all {
            // A key and an invitation of each that is left.
            assert_eq!(ways.left(&done).len(), 2 * (all.len() - done.len()));
            done.insert(*id);
        }
        assert!(ways.left(&done).is_empty());
        assert_eq!(READ.get(), all.len());
        let one = Ways::read(&shop.inner, all.first().copied()).unwrap();
        assert_eq!((one.left(&Set::new()).len(), READ.get()), (2, all.len() + 1));
    }
}
