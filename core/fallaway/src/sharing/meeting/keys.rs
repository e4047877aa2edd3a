//! By what a device can be met: the keys of the records that it shares, and invitations.

use std::collections::BTreeSet;

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

/// All ways to meet this device, but for records that are `done`: keys before invitations, and of each
/// record the newest key first.
pub(super) fn ways(
    inner: &WorkshopState,
    only: Option<RecordId>,
    done: &BTreeSet<RecordId>,
) -> Result<Vec<Way>> {
    let mut session = inner.session()?;
    session.identity.follow(inner.store.as_ref(), inner.keeper.as_ref())?;
    let now = inner.clock.now().unix_s;
    let (mut keys, mut invitations) = (Vec::new(), Vec::new());
    for head in inner.store.records()? {
        let id = head.record;
        if done.contains(&id) || only.is_some_and(|only| only != id) {
            continue;
        }
        // Most of the records that are here the other device may not share: none is read for that.
        let kept = inner.store.people(&id)?;
        // What does not count here opens nothing, whatever changes name it.
        let members = members_of(id, &kept.members, &[], &session.identity);
        let held = keys_of(id, &kept.epoch_keys, &session.identity);
        let of_record = keys_newest_first(&members, &held).into_iter().take(MAX_HINTS_OF_RECORD);
        keys.extend(of_record.map(|key| Way::Epoch(id, key.clone())));
        let Identity { keys: own, .. } = &session.identity;
        for open in members.open_invitations(now) {
            let op = members.op(&open.invite).filter(|_| open.by == own.device());
            if let Some(secret) = op.and_then(|op| op.own_secret(own)) {
                invitations.push(Way::Inviting(id, open.invite, secret));
            }
        }
    }
    keys.truncate(MAX_HINTS.saturating_sub(invitations.len()));
    keys.extend(invitations);
    Ok(keys)
}
