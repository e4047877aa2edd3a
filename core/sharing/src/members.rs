//! What the signed graph of member operations means: who is a member, as what.
//!
//! The meaning is a function of the set of operations, so that every device that holds the same
//! operations sees the same members, whatever the order in which they came, and however often.
//!
//! 1. An operation counts once everything that it saw is here; until then it waits.
//! 2. An operation of an unknown kind, and all that saw it, needs a newer version.
//! 3. An operation is judged by what its author had seen: adding and inviting need an owner there.
//!    What is not allowed is skipped, by everybody.
//! 4. Of several joins by one invitation that are otherwise in order, one counts: none that saw
//!    another such join, and of the remaining ones that with the lowest hash.
//! 5. A device has the greatest role that an accepted operation gave it. Adding a member again
//!    never lowers its role; taking roles away has its own kinds of operation, which must say what
//!    happens to the work done before.
//!
//! A join can therefore stop counting when an earlier one arrives, and with it what depended on it.
//! Callers ask again after each new operation.

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::OnceLock;

use crate::limits::{MAX_MEMBER_HEADS, MAX_MEMBER_OPS};
use crate::member::{Action, MemberOp, Role};
use fallaway_changes::limits::{TooLarge, at_most};
use fallaway_changes::{DeviceId, ExchangeKey, MemberHash, RecordId};

/// The member operations of one record and what follows from them.
#[derive(Debug, Clone)]
pub struct Members {
    record: RecordId,
    ops: BTreeMap<MemberHash, MemberOp>,
    /// Worked out when somebody asks; forgotten when an operation arrives.
    view: OnceLock<View>,
}

/// What became of one operation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Status {
    /// It counts.
    Accepted,
    /// It does not count, here and everywhere.
    Skipped(Skip),
    /// Something that it saw, directly or not, has not arrived.
    Waiting,
    /// It is, or saw, an operation of a kind that this version does not know.
    NeedsNewer,
}

/// Why an operation does not count.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Skip {
    /// Only owners add and invite.
    #[error("its author was no owner")]
    NotOwner,
    /// The join names no accepted invite that it saw.
    #[error("it names no valid invitation")]
    NoInvitation,
    /// The join's stated time is past the invitation's expiry.
    #[error("the invitation had expired")]
    Expired,
    /// The join is not signed by the invitation's key.
    #[error("the invitation's secret was not known to it")]
    NoConsent,
    /// Another join used the invitation.
    #[error("the invitation was used by join {0}")]
    Used(MemberHash),
}

/// Whether a device may write, judged by the member operations that it had seen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Standing {
    /// It may.
    MayWrite(Role),
    /// It is a viewer, or no member.
    MayNot(Option<Role>),
    /// These operations have not arrived.
    Waiting(Vec<MemberHash>),
    /// It had seen an operation that this version does not know.
    NeedsNewer,
}

/// A device that takes part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Member {
    /// The device.
    pub device: DeviceId,
    /// Its exchange key; its own statement goes before an owner's.
    pub exchange: ExchangeKey,
    /// What it may do.
    pub role: Role,
    /// What it is called; its own statement goes before an owner's.
    pub label: String,
    /// The operation that made it a member.
    pub since: MemberHash,
}

/// An invitation that nobody has used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenInvitation {
    /// The invite operation.
    pub invite: MemberHash,
    /// The owner that invites.
    pub by: DeviceId,
    /// What the one that joins may do.
    pub role: Role,
    /// Last stated time of a join, seconds since 1970-01-01T00:00:00Z.
    pub expires: i64,
}

/// Why an operation was not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum InsertError {
    /// It belongs to another record.
    #[error("the member operation belongs to record {found}, not {expected}")]
    OtherRecord {
        /// Its record.
        found: RecordId,
        /// The record of these members.
        expected: RecordId,
    },
    /// There are too many.
    #[error(transparent)]
    TooLarge(#[from] TooLarge),
}

impl Members {
    /// Nobody yet.
    pub fn new(record: RecordId) -> Self {
        Self { record, ops: BTreeMap::new(), view: OnceLock::new() }
    }

    /// The record.
    pub fn record(&self) -> &RecordId {
        &self.record
    }

    /// Takes an operation; whether it is new. (That it is signed and in order is checked when a
    /// [`MemberOp`] is made or decoded.)
    ///
    /// # Errors
    /// [`InsertError`].
    pub fn insert(&mut self, op: MemberOp) -> Result<bool, InsertError> {
        if *op.record() != self.record {
            return Err(InsertError::OtherRecord { found: *op.record(), expected: self.record });
        }
        if self.ops.contains_key(&op.hash()) {
            return Ok(false);
        }
        at_most("member operations", self.ops.len() + 1, MAX_MEMBER_OPS)?;
        self.ops.insert(op.hash(), op);
        self.view = OnceLock::new();
        Ok(true)
    }

    /// All operations, by hash.
    pub fn ops(&self) -> impl Iterator<Item = &MemberOp> {
        self.ops.values()
    }

    /// One operation.
    pub fn op(&self, hash: &MemberHash) -> Option<&MemberOp> {
        self.ops.get(hash)
    }

    /// What became of an operation; `None` if it has not arrived.
    pub fn status(&self, hash: &MemberHash) -> Option<&Status> {
        self.view().status.get(hash)
    }

    /// Operations that others saw and that have not arrived.
    pub fn missing(&self) -> BTreeSet<MemberHash> {
        let seen = self.ops.values().flat_map(MemberOp::seen);
        seen.filter(|hash| !self.ops.contains_key(hash)).copied().collect()
    }

    /// What a new operation or a new change names as seen: the accepted operations that no other
    /// accepted one saw. At most [`MAX_MEMBER_HEADS`].
    pub fn heads(&self) -> BTreeSet<MemberHash> {
        let view = self.view();
        let accepted = |index: &usize| view.accepted.contains(index);
        let covered: BTreeSet<usize> = view
            .accepted
            .iter()
            .flat_map(|index| view.past_of(*index).iter().filter(move |past| past != index))
            .filter(accepted)
            .collect();
        let heads = view.accepted.iter().filter(|index| !covered.contains(index));
        let hashes: BTreeSet<MemberHash> =
            heads.filter_map(|index| view.order.get(*index)).copied().collect();
        hashes.into_iter().take(MAX_MEMBER_HEADS).collect()
    }

    /// The members, by device.
    pub fn members(&self) -> Vec<Member> {
        self.view().members.values().cloned().collect()
    }

    /// One member.
    pub fn member(&self, device: &DeviceId) -> Option<&Member> {
        self.view().members.get(device)
    }

    /// What a device may do, by all that has arrived.
    pub fn role(&self, device: &DeviceId) -> Option<Role> {
        self.member(device).map(|member| member.role)
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
        let view = self.view();
        let mut role = None;
        let mut missing = Vec::new();
        let mut needs_newer = false;
        for head in heads {
            match self.status(head) {
                None => missing.push(*head),
                Some(Status::Waiting) => missing.extend(self.missing()),
                Some(Status::NeedsNewer) => needs_newer = true,
                Some(Status::Accepted | Status::Skipped(_)) => {
                    if let Some(index) = view.index.get(head) {
                        role = role.max(view.role_at(device, view.past_of(*index)));
                    }
                }
            }
        }
        if !missing.is_empty() {
            missing.sort_unstable();
            missing.dedup();
            return Standing::Waiting(missing);
        }
        if needs_newer {
            return Standing::NeedsNewer;
        }
        match role {
            Some(role) if role >= Role::Contributor => Standing::MayWrite(role),
            role => Standing::MayNot(role),
        }
    }

    fn view(&self) -> &View {
        self.view.get_or_init(|| View::of(&self.ops))
    }
}

/// A set of places in the order.
#[derive(Debug, Clone, Default)]
struct Places(Vec<u64>);

impl Places {
    fn insert(&mut self, place: usize) {
        let word = place / 64;
        if self.0.len() <= word {
            self.0.resize(word + 1, 0);
        }
        if let Some(bits) = self.0.get_mut(word) {
            *bits |= 1 << (place % 64);
        }
    }

    fn contains(&self, place: usize) -> bool {
        self.0.get(place / 64).is_some_and(|bits| bits & (1 << (place % 64)) != 0)
    }

    fn add_all(&mut self, other: &Self) {
        if self.0.len() < other.0.len() {
            self.0.resize(other.0.len(), 0);
        }
        for (bits, more) in self.0.iter_mut().zip(&other.0) {
            *bits |= more;
        }
    }

    fn iter(&self) -> impl Iterator<Item = usize> {
        let words = self.0.iter().enumerate();
        words.flat_map(|(word, bits)| {
            (0..64).filter(move |bit| bits & (1 << bit) != 0).map(move |bit| word * 64 + bit)
        })
    }
}

#[derive(Debug, Clone, Default)]
struct View {
    /// Operations that are judged: all that they saw is here and known. Causes come first.
    order: Vec<MemberHash>,
    index: HashMap<MemberHash, usize>,
    /// For each of them what it saw, directly or not, itself included.
    past: Vec<Places>,
    accepted: BTreeSet<usize>,
    /// Place of the operation, the device, its role.
    grants: Vec<(usize, DeviceId, Role)>,
    status: BTreeMap<MemberHash, Status>,
    members: BTreeMap<DeviceId, Member>,
    open: Vec<OpenInvitation>,
}

static NOTHING: Places = Places(Vec::new());

impl View {
    fn of(ops: &BTreeMap<MemberHash, MemberOp>) -> Self {
        let mut view = Self::default();
        view.put_in_order(ops);
        let judged: Vec<&MemberOp> = view.order.iter().filter_map(|hash| ops.get(hash)).collect();
        let mut winners = HashMap::new();
        for (place, op) in judged.iter().enumerate() {
            let status = match view.judge(place, op, &judged, &mut winners) {
                Ok(()) => {
                    view.accept(place, op, &judged);
                    Status::Accepted
                }
                Err(skip) => Status::Skipped(skip),
            };
            view.status.insert(op.hash(), status);
        }
        view.find_members(&judged);
        view.find_open(&judged, &winners);
        view
    }

    /// Sorts causes before effects, equals by hash, and sets aside what waits or needs a newer
    /// version. A cycle (which would need a broken hash) waits for ever.
    fn put_in_order(&mut self, ops: &BTreeMap<MemberHash, MemberOp>) {
        let mut effects: HashMap<MemberHash, Vec<MemberHash>> = HashMap::new();
        let mut open_causes: HashMap<MemberHash, usize> = HashMap::new();
        let mut ready = BTreeSet::new();
        for (hash, op) in ops {
            self.status.insert(*hash, Status::Waiting);
            open_causes.insert(*hash, op.seen().len());
            if op.seen().is_empty() {
                ready.insert(*hash);
            }
            for cause in op.seen() {
                effects.entry(*cause).or_default().push(*hash);
            }
        }
        while let Some(hash) = ready.pop_first() {
            for effect in effects.get(&hash).into_iter().flatten() {
                if let Some(open) = open_causes.get_mut(effect) {
                    *open -= 1;
                    if *open == 0 {
                        ready.insert(*effect);
                    }
                }
            }
            let Some(op) = ops.get(&hash) else { continue };
            let causes: Option<Vec<usize>> =
                op.seen().iter().map(|cause| self.index.get(cause).copied()).collect();
            match causes {
                Some(causes) if !matches!(op.action(), Action::Unknown { .. }) => {
                    let place = self.order.len();
                    let mut past = Places::default();
                    past.insert(place);
                    for cause in causes {
                        past.add_all(self.past_of(cause));
                    }
                    self.past.push(past);
                    self.order.push(hash);
                    self.index.insert(hash, place);
                }
                // A cause that is here but has no place needs a newer version itself.
                _ => {
                    self.status.insert(hash, Status::NeedsNewer);
                }
            }
        }
    }

    fn past_of(&self, place: usize) -> &Places {
        self.past.get(place).unwrap_or(&NOTHING)
    }

    /// The greatest role given within `past`.
    fn role_at(&self, device: &DeviceId, past: &Places) -> Option<Role> {
        let grants = self.grants.iter();
        grants
            .filter(|(place, granted, _)| granted == device && past.contains(*place))
            .map(|(_, _, role)| *role)
            .max()
    }

    fn judge(
        &self,
        place: usize,
        op: &MemberOp,
        judged: &[&MemberOp],
        winners: &mut HashMap<usize, usize>,
    ) -> Result<(), Skip> {
        match op.action() {
            Action::Found { .. } => Ok(()),
            Action::Add { .. } | Action::Invite { .. } => {
                match self.role_at(op.device(), self.past_of(place)) {
                    Some(Role::Owner) => Ok(()),
                    _ => Err(Skip::NotOwner),
                }
            }
            Action::Join { .. } => {
                let invite = self.join_in_order(place, op, judged)?;
                let winner = *winners
                    .entry(invite)
                    .or_insert_with(|| self.first_join(invite, judged).unwrap_or(place));
                if winner == place {
                    Ok(())
                } else {
                    Err(Skip::Used(judged.get(winner).map_or(op.hash(), |winner| winner.hash())))
                }
            }
            // Never put in order.
            Action::Unknown { .. } => Err(Skip::NoInvitation),
        }
    }

    /// Everything about a join but its competitors; the place of its invite. This depends on the
    /// invite's own past only, so that it can be asked of joins that have not been judged yet.
    fn join_in_order(
        &self,
        place: usize,
        op: &MemberOp,
        judged: &[&MemberOp],
    ) -> Result<usize, Skip> {
        let Action::Join { invite, .. } = op.action() else { return Err(Skip::NoInvitation) };
        let known = self.index.get(invite).copied();
        let invite = known
            .filter(|invite| {
                self.past_of(place).contains(*invite) && self.accepted.contains(invite)
            })
            .ok_or(Skip::NoInvitation)?;
        match judged.get(invite).map(|invite| invite.action()) {
            Some(Action::Invite { expires, .. }) if op.time() > *expires => Err(Skip::Expired),
            Some(Action::Invite { key, .. }) if op.consented(key) => Ok(invite),
            Some(Action::Invite { .. }) => Err(Skip::NoConsent),
            _ => Err(Skip::NoInvitation),
        }
    }

    /// The join that counts: none that saw another one in order; then the lowest hash.
    fn first_join(&self, invite: usize, judged: &[&MemberOp]) -> Option<usize> {
        let joins = judged.iter().enumerate();
        let in_order: Vec<usize> = joins
            .filter(|(place, op)| self.join_in_order(*place, op, judged) == Ok(invite))
            .map(|(place, _)| place)
            .collect();
        let first = in_order.iter().filter(|place| {
            let past = self.past_of(**place);
            !in_order.iter().any(|other| other != *place && past.contains(*other))
        });
        first.copied().min_by_key(|place| self.order.get(*place))
    }

    fn accept(&mut self, place: usize, op: &MemberOp, judged: &[&MemberOp]) {
        self.accepted.insert(place);
        match op.action() {
            Action::Found { .. } => self.grants.push((place, *op.device(), Role::Owner)),
            Action::Add { device, role, .. } => self.grants.push((place, *device, *role)),
            Action::Join { invite, .. } => {
                let invite = self.index.get(invite).and_then(|invite| judged.get(*invite));
                if let Some(Action::Invite { role, .. }) = invite.map(|invite| invite.action()) {
                    self.grants.push((place, *op.device(), *role));
                }
            }
            Action::Invite { .. } | Action::Unknown { .. } => {}
        }
    }

    /// Role, label and key of each device. Grants stand in the deterministic order.
    fn find_members(&mut self, judged: &[&MemberOp]) {
        for (place, device, role) in &self.grants {
            let Some(op) = judged.get(*place) else { continue };
            let (Action::Found { exchange, label, .. }
            | Action::Add { exchange, label, .. }
            | Action::Join { exchange, label, .. }) = op.action()
            else {
                continue;
            };
            let stated = Member {
                device: *device,
                exchange: *exchange,
                role: *role,
                label: label.clone(),
                since: op.hash(),
            };
            let own = op.device() == device;
            let member = self.members.entry(*device).or_insert_with(|| stated.clone());
            member.role = member.role.max(*role);
            let by_itself = self.index.get(&member.since).and_then(|place| judged.get(*place));
            if own && by_itself.is_none_or(|since| since.device() != device) {
                *member = Member { role: member.role, ..stated };
            }
        }
    }

    fn find_open(&mut self, judged: &[&MemberOp], winners: &HashMap<usize, usize>) {
        for place in &self.accepted {
            let Some(op) = judged.get(*place) else { continue };
            if let Action::Invite { role, expires, .. } = op.action()
                && !winners.contains_key(place)
            {
                self.open.push(OpenInvitation {
                    invite: op.hash(),
                    by: *op.device(),
                    role: *role,
                    expires: *expires,
                });
            }
        }
    }
}

#[cfg(test)]
#[path = "members_tests.rs"]
mod tests;
