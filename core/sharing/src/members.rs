//! What the signed graph of member operations means: who is a member, as what.
//!
//! The meaning is a function of the set of operations, so that every device that holds the same
//! operations sees the same members, whatever the order in which they came, and however often.
//!
//! 1. An operation counts once everything that it saw is here; until then it waits.
//! 2. An operation of an unknown kind below 64, and all that saw it, needs a newer version.
//! 3. What takes an owner (adding, inviting others, removing, giving roles, withdrawing, accepting)
//!    counts by the terms of office of [`crate::terms`].
//! 4. An invite for another device of the same person counts if its author was a member with at
//!    least that role; an epoch and a key handed on, if its author was a contributor or an owner;
//!    an epoch moreover if it has a key for each member by its past, and for nobody else.
//! 5. A join counts if it saw the invite it names, that invite counts, the stated time is not past
//!    the expiry, and the consent is right; and if whoever withdrew the invite, or took from its
//!    author the role that it needs, had seen the join. Of several such joins one counts: that which
//!    an owner's operation has seen, the most senior owner's first; else none that saw another one,
//!    and of the rest that with the lowest hash.
//! 6. A device calls itself what it last said, by the order of the operations.
//! 7. A device's role is the greatest that was given to it, less every cap which that grant had not
//!    seen.
//!
//! Anything can therefore stop counting when more arrives. Callers ask again after each operation.

use std::sync::OnceLock;

use crate::action::{Frontier, Recovery};
use crate::keeping::surplus;
use crate::labels::shown_labels;
use crate::limits::{MAX_KEPT_OPS, MAX_MEMBER_HEADS};
use crate::member::MemberOp;
use crate::members_view::{Consents, View};
use crate::role::Role;
use crate::standing::{Member, OpenInvitation, Removal, Standing, Status};
use fallaway_changes::{DeviceId, EpochId, MemberHash, RecordId};
use fallaway_order::{Map, OneByOne as _, PutInOrder as _, Set};

/// The member operations of one record and what follows from them.
#[derive(Debug, Clone)]
pub struct Members {
    record: RecordId,
    ops: Map<MemberHash, MemberOp>,
    /// Worked out when somebody asks; forgotten when an operation arrives.
    view: OnceLock<View>,
    /// Of the view before: what does not change with more operations.
    consents: Consents,
}

/// Why an operation was not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("the member operation belongs to record {found}, not {expected}")]
pub struct InsertError {
    /// The record that the operation belongs to.
    pub found: RecordId,
    /// The record of these members.
    pub expected: RecordId,
}

impl Members {
    /// Nobody yet: the record before its founding has arrived.
    pub fn new(record: RecordId) -> Self {
        let (ops, view, consents) = (Map::new(), OnceLock::new(), Consents::new());
        Self { record, ops, view, consents }
    }

    /// The record whose members these are.
    pub fn record(&self) -> &RecordId {
        &self.record
    }

    /// Takes an operation; whether it is new. (That it is signed and in order is checked when a
    /// [`MemberOp`] is made or decoded.) After a round of these call [`Members::keep`].
    ///
    /// # Errors
    /// [`InsertError`].
    pub fn insert(&mut self, op: MemberOp) -> Result<bool, InsertError> {
        if *op.record() != self.record {
            return Err(InsertError { found: *op.record(), expected: self.record });
        }
        if self.ops.contains_key(&op.hash()) {
            return Ok(false);
        }
        self.ops.insert(op.hash(), op);
        self.forget_view();
        Ok(true)
    }

    fn forget_view(&mut self) {
        if let Some(view) = self.view.take() {
            self.consents = view.consents;
        }
    }

    /// Whether so many operations were taken that [`Members::keep`] should be called before more.
    pub fn is_full(&self) -> bool {
        self.ops.len() >= 2 * MAX_KEPT_OPS
    }

    /// Gives up what is not worth keeping: what waits or does not count beyond a device's share, and
    /// what strangers wrote in vain. What `own` wrote stays. Returns the hashes of what has gone.
    /// Nobody's operation that counts can be pushed out by others' that do not. `named` is what changes that
    /// are here name as seen; it is asked only if there is something of strangers to give up.
    pub fn keep(
        &mut self,
        own: &DeviceId,
        named: impl FnOnce() -> Set<MemberHash>,
    ) -> Vec<MemberHash> {
        let gone = surplus(&self.ops, self.view(), own, named);
        for hash in &gone {
            self.ops.remove(hash);
        }
        if !gone.is_empty() {
            self.forget_view();
        }
        gone.into_iter().collect()
    }

    /// All operations, by hash.
    pub fn ops(&self) -> impl Iterator<Item = &MemberOp> {
        self.ops.values()
    }

    /// The operation of this hash; `None` if it has not arrived.
    pub fn op(&self, hash: &MemberHash) -> Option<&MemberOp> {
        self.ops.get(hash)
    }

    /// What became of an operation; `None` if it has not arrived.
    pub fn status(&self, hash: &MemberHash) -> Option<&Status> {
        self.view().status.get(hash)
    }

    /// Operations that others saw and that have not arrived.
    pub fn missing(&self) -> Set<MemberHash> {
        let seen = self.ops.values().flat_map(MemberOp::seen);
        seen.filter(|hash| !self.ops.contains_key(hash)).copied().in_set()
    }

    /// What a new operation or a new change names as seen: the operations that count and that no
    /// other such one saw; keys handed on say nothing about authority and are left out. At most
    /// [`MAX_MEMBER_HEADS`], those of owners first.
    pub fn heads(&self) -> Set<MemberHash> {
        let view = self.view();
        let mut heads: Vec<(bool, MemberHash)> = view.heads().collect();
        heads.put_in_order();
        heads.into_iter().take(MAX_MEMBER_HEADS).map(|(_, hash)| hash).in_set()
    }

    /// The members, by device.
    pub fn members(&self) -> Vec<Member> {
        self.view().members.values().cloned().collect()
    }

    /// The member with this device; `None` if it is none, or none any more.
    pub fn member(&self, device: &DeviceId) -> Option<&Member> {
        self.view().members.get(device)
    }

    /// What to call every device that is or was a member: what it calls itself, with a number where
    /// that could be taken for another one. `own` goes first, then owners, then the other members.
    pub fn labels(&self, own: &DeviceId) -> Map<DeviceId, String> {
        let view = self.view();
        let mut members: Vec<&Member> = view.members.values().collect();
        members.put_in_order_by_key(|member| (member.device != *own, member.role < Role::Owner));
        let mut devices: Vec<(DeviceId, &str)> =
            members.iter().map(|member| (member.device, member.label.as_str())).collect();
        let former = view.former.iter().map(|(device, label)| (*device, label.as_str()));
        devices.extend(former);
        shown_labels(&devices)
    }

    /// What a device may do, by all that has arrived.
    pub fn role(&self, device: &DeviceId) -> Option<Role> {
        self.member(device).map(|member| member.role)
    }

    /// The person whose device this is or was, by that person's first device; `None` of a stranger.
    pub fn person(&self, device: &DeviceId) -> Option<DeviceId> {
        let member = self.member(device).map(|member| member.person);
        member.or_else(|| self.view().was_member(device).then_some(*device))
    }

    /// The keys that act above all owners, if the record has any.
    pub fn recovery(&self) -> Option<Recovery> {
        self.view().recovery
    }

    /// Whether `device` could take a role from `other`: whether it is an owner, and, where the other
    /// one is, too, by a more senior term. A junior owner needs the recovery words for that.
    pub fn can_cap(&self, device: &DeviceId, other: &DeviceId) -> bool {
        self.view().can_cap(device, other)
    }

    /// Invitations that nobody has used and that have not expired at `now` (seconds since
    /// 1970-01-01T00:00:00Z).
    pub fn open_invitations(&self, now: i64) -> Vec<OpenInvitation> {
        let mut open = self.view().open.clone();
        open.retain(|invitation| now <= invitation.expires);
        open
    }

    /// Whether a device that had seen `heads` may write.
    pub fn standing(&self, device: &DeviceId, heads: &[MemberHash]) -> Standing {
        let mut missing = Vec::new();
        let mut needs_newer = false;
        for head in heads {
            match self.status(head) {
                None => missing.push(*head),
                Some(Status::Waiting) => missing.extend(self.missing()),
                Some(Status::NeedsNewer) => needs_newer = true,
                Some(Status::Accepted | Status::Skipped(_)) => {}
            }
        }
        if !missing.is_empty() {
            missing.put_in_order();
            missing.dedup();
            return Standing::Waiting(missing);
        }
        if needs_newer {
            return Standing::NeedsNewer;
        }
        match self.view().role_by(device, heads) {
            Some(role) if role >= Role::Contributor => Standing::MayWrite(role),
            role => Standing::MayNot(role),
        }
    }

    /// Every role below contributor that counts as taken from a device.
    pub fn removals(&self) -> Vec<Removal> {
        self.view().removals(&self.ops)
    }

    /// Whether a device has ever been given a role.
    pub fn was_member(&self, device: &DeviceId) -> bool {
        self.view().was_member(device)
    }

    /// The devices that were members and are none.
    pub fn former(&self) -> Vec<DeviceId> {
        self.view().former.keys().copied().collect()
    }

    /// Every frontier that an owner has drawn, of what was taken in and of what a removal left, the
    /// most senior first: of two changes with one number the first that names one decides.
    pub fn decided_frontiers(&self) -> Vec<&Frontier> {
        self.view().decided_frontiers(&self.ops)
    }

    /// How far owners have taken in what was held, the most senior first.
    pub fn accepted_frontiers(&self) -> Vec<&Frontier> {
        self.view().accepted_frontiers(&self.ops)
    }

    /// Whether whoever had seen `heads` had seen `op`.
    pub fn had_seen(&self, heads: &[MemberHash], op: &MemberHash) -> bool {
        self.view().had_seen(heads, op)
    }

    /// The epochs that count, with the operations that begin them.
    pub fn epochs(&self) -> impl Iterator<Item = (EpochId, &MemberOp)> {
        self.view().epochs(&self.ops)
    }

    /// Whether all that took somebody's right to read is in the past of this operation: whoever was
    /// removed or left, and every invitation that was withdrawn.
    pub fn is_clean(&self, epoch: &MemberHash) -> bool {
        self.view().is_clean(epoch)
    }

    fn view(&self) -> &View {
        self.view.get_or_init(|| View::of(&self.ops, &self.consents))
    }
}

#[cfg(test)]
#[path = "members_tests.rs"]
mod tests;
