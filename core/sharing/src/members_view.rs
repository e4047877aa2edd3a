//! What follows from a set of member operations, worked out at once.

use std::collections::HashMap;

use crate::action::{Action, Frontier, InviteFor, Recovery};
use crate::member::MemberOp;
use crate::places::Places;
use crate::role::Role;
use crate::standing::{Member, OpenInvitation, Removal, Skip, Status};
use crate::terms::{AsOf, Cap, Deed, Grant, JudgedOp, Rank, Terms, decide};
use fallaway_changes::{DeviceId, EpochId, ExchangeKey, MemberHash};
use fallaway_order::{Map, OneByOne as _, PutInOrder as _, Set};

/// The operations in order and judged.
#[derive(Debug, Clone, Default)]
pub(crate) struct View {
    /// Operations that are judged: all that they saw is here and known. Causes come first.
    nodes: Vec<JudgedOp>,
    index: HashMap<MemberHash, usize>,
    terms: Terms,
    accepted: Places,
    pub recovery: Option<Recovery>,
    pub status: Map<MemberHash, Status>,
    pub members: Map<DeviceId, Member>,
    /// What those called themselves who were members.
    pub former: Map<DeviceId, String>,
    pub open: Vec<OpenInvitation>,
    /// Of those that take somebody's right to read.
    unclean: Places,
    /// Keys handed on: they say nothing about authority.
    handed: Places,
    /// Those that count and that no other such one saw, but for keys handed on.
    heads: Vec<usize>,
    /// Whether the invitation that a join names has consented to it. An operation's hash names its
    /// invitation, so that this holds for good.
    pub consents: Consents,
    /// Where a device's exchange key was stated.
    cards: Map<DeviceId, Places>,
}

type Ops = Map<MemberHash, MemberOp>;

/// Joins, and whether they were consented to.
pub(crate) type Consents = HashMap<MemberHash, bool>;

impl View {
    /// Works everything out; signatures of consent that are known are not checked again.
    pub(crate) fn of(ops: &Ops, known: &Consents) -> Self {
        let mut view = Self::default();
        let causes = view.put_in_order(ops);
        let judged: Vec<&MemberOp> =
            view.nodes.iter().filter_map(|node| ops.get(&node.hash)).collect();
        let recovery = judged.iter().find_map(|op| match op.action() {
            Action::Found { recovery, .. } => *recovery,
            _ => None,
        });
        view.consents = view.consented(&judged, known);
        view.terms = decide(&view.nodes, recovery.map(|keys| keys.device));
        let granted = view.terms.seats.last().and_then(|seat| judged.get(seat.granted));
        view.recovery = match granted.map(|op| op.action()) {
            Some(Action::HandRecovery { next }) => Some(*next),
            _ => recovery,
        };
        let mut joins = Joins::of(&view, &judged);
        for (place, op) in judged.iter().enumerate() {
            let status = match view.judge(place, op, &judged, &mut joins) {
                Ok(()) => {
                    view.accepted.insert(place);
                    if let Some((device, _, _)) = card(op) {
                        view.cards.entry(device).or_default().insert(place);
                    }
                    Status::Accepted
                }
                Err(skip) => Status::Skipped(skip),
            };
            view.status.insert(op.hash(), status);
        }
        view.find_heads(&causes);
        view.find_members(&judged);
        view.find_open(&judged, &joins);
        view
    }

    /// Sorts causes before effects, equals by hash, and sets aside what waits or needs a newer
    /// version. A cycle (which would need a broken hash) waits for ever. Gives what each of those that
    /// are judged names as seen.
    fn put_in_order(&mut self, ops: &Ops) -> Vec<Vec<usize>> {
        // By their number in the order of the hashes.
        let number: HashMap<MemberHash, usize> = ops.keys().copied().zip(0..).collect();
        let all: Vec<&MemberOp> = ops.values().collect();
        let mut effects: Vec<Vec<usize>> = vec![Vec::new(); all.len()];
        let mut open_causes: Vec<usize> = all.iter().map(|op| op.seen().len()).collect();
        let mut ready = Set::new();
        for (effect, op) in all.iter().enumerate() {
            if op.seen().is_empty() {
                ready.insert(effect);
            }
            for cause in op.seen().iter().filter_map(|cause| number.get(cause)) {
                if let Some(own) = effects.get_mut(*cause) {
                    own.push(effect);
                }
            }
        }
        let mut places: Vec<Option<usize>> = vec![None; all.len()];
        let mut causes_of = Vec::with_capacity(all.len());
        let mut status = vec![Status::Waiting; all.len()];
        while let Some(here) = ready.pop_first() {
            for effect in effects.get(here).into_iter().flatten() {
                if let Some(open) = open_causes.get_mut(*effect) {
                    *open -= 1;
                    if *open == 0 {
                        ready.insert(*effect);
                    }
                }
            }
            let Some(op) = all.get(here) else { continue };
            let place = |cause| number.get(cause).and_then(|number| *places.get(*number)?);
            let causes: Option<Vec<usize>> = op.seen().iter().map(place).collect();
            match causes {
                Some(causes) if !op.action().needs_newer() => {
                    let mut past = Places::default();
                    for cause in &causes {
                        past.insert(*cause);
                        past.add_all(self.past_of(*cause));
                    }
                    causes_of.push(causes);
                    let place = self.nodes.len();
                    self.index.insert(op.hash(), place);
                    places.get_mut(here).into_iter().for_each(|own| *own = Some(place));
                    self.nodes.push(JudgedOp::new(op.hash(), *op.device(), past, deed_of(op)));
                }
                // A cause that is here but has no place needs a newer version itself.
                _ => status.get_mut(here).into_iter().for_each(|own| *own = Status::NeedsNewer),
            }
        }
        self.status = ops.keys().copied().zip(status).in_map();
        causes_of
    }

    fn consented(&self, judged: &[&MemberOp], known: &Consents) -> Consents {
        let joins = judged.iter().filter_map(|op| {
            let Action::Join { invite, .. } = op.action() else { return None };
            let invited = self.index.get(invite).and_then(|place| judged.get(*place))?;
            let Action::Invite { key, .. } = invited.action() else { return None };
            let known = known.get(&op.hash()).copied();
            Some((op.hash(), known.unwrap_or_else(|| op.consented(key))))
        });
        joins.collect()
    }

    /// Effects come first, so one pass over what each names is enough.
    fn find_heads(&mut self, causes: &[Vec<usize>]) {
        let mut covered = Places::none();
        for (place, causes) in causes.iter().enumerate().rev() {
            let counts = self.accepted.contains(place) && !self.handed.contains(place);
            let seen = covered.contains(place);
            if counts && !seen {
                self.heads.push(place);
            }
            if counts || seen {
                for cause in causes {
                    covered.insert(*cause);
                }
            }
        }
    }

    fn past_of(&self, place: usize) -> &Places {
        static NOTHING: Places = Places::none();
        self.nodes.get(place).map_or(&NOTHING, |node| &node.past)
    }

    fn sees(&self, place: usize, other: usize) -> bool {
        self.past_of(place).contains(other)
    }

    /// What an operation's author might do when it wrote it.
    fn role_of_author(&self, place: usize) -> Option<Role> {
        let node = self.nodes.get(place)?;
        self.terms.role(&self.nodes, &node.author, AsOf::Op(place, node))
    }

    /// Whether an operation's author had ever been given a role by what it had seen.
    fn had_been_given_a_role(&self, place: usize) -> bool {
        let Some(node) = self.nodes.get(place) else { return false };
        let mut grants = self.terms.grants.get(&node.author).into_iter().flatten();
        grants.any(|grant| node.past.contains(grant.place))
    }

    /// The members by an operation's past.
    fn members_before(&self, place: usize) -> impl Iterator<Item = DeviceId> {
        let past = self.past_of(place);
        self.cards
            .iter()
            .filter(move |(device, cards)| {
                cards.meets(past)
                    && self.terms.role(&self.nodes, device, AsOf::Heads(past)).is_some()
            })
            .map(|(device, _)| *device)
    }

    fn judge(
        &mut self,
        place: usize,
        op: &MemberOp,
        judged: &[&MemberOp],
        joins: &mut Joins,
    ) -> Result<(), Skip> {
        let allowed = |allowed: bool, skip| if allowed { Ok(()) } else { Err(skip) };
        let counted = self.terms.counted.contains_key(&place);
        match op.action() {
            Action::Found { .. } => Ok(()),
            Action::Add { .. }
            | Action::Invite { whom: InviteFor::Other, .. }
            | Action::SetRole { .. }
            | Action::HandRecovery { .. }
            | Action::Accept { .. } => allowed(counted, Skip::NotOwner),
            Action::Remove { .. } => {
                allowed(counted, Skip::NotOwner)?;
                self.unclean.insert(place);
                Ok(())
            }
            Action::Withdraw { .. } => {
                allowed(joins.withdrawals.contains(place), Skip::NotOwner)?;
                self.unclean.insert(place);
                Ok(())
            }
            Action::Invite { whom: InviteFor::SamePerson, role, .. } => {
                allowed(self.role_of_author(place) >= Some(*role), Skip::NotAllowed)
            }
            Action::Leave => {
                if !self.had_been_given_a_role(place) {
                    // Who never came in cannot have left, and may still be added.
                    self.terms.leaves.entry(*op.device()).or_default().retain(|one| *one != place);
                }
                allowed(self.role_of_author(place).is_some(), Skip::NotAllowed)?;
                let leaves = self.terms.leaves.get(op.device());
                allowed(leaves.is_some_and(|left| left.contains(&place)), Skip::LastOwner)?;
                self.unclean.insert(place);
                Ok(())
            }
            Action::Rename { .. } => {
                allowed(self.role_of_author(place).is_some(), Skip::NotAllowed)
            }
            Action::HandKey { .. } => {
                allowed(self.role_of_author(place) >= Some(Role::Contributor), Skip::NotAllowed)?;
                self.handed.insert(place);
                Ok(())
            }
            Action::NewEpoch { wrapped, .. } => {
                allowed(self.role_of_author(place) >= Some(Role::Contributor), Skip::NotAllowed)?;
                let wrapped = wrapped.iter().map(|one| one.device);
                allowed(self.members_before(place).eq(wrapped), Skip::Recipients)
            }
            Action::Join { .. } => {
                let invite = self.join_in_order(place, op, judged, joins)?;
                let known = joins.winners.get(&invite).copied();
                let winner = known.unwrap_or_else(|| self.first_join(invite, judged, joins));
                joins.winners.insert(invite, winner);
                if winner != Some(place) {
                    let winner = winner.and_then(|winner| judged.get(winner));
                    return Err(Skip::Used(winner.map_or(op.hash(), |winner| winner.hash())));
                }
                if let (Some(Action::Invite { role, .. }), Some(node)) =
                    (judged.get(invite).map(|invite| invite.action()), self.nodes.get(place))
                {
                    let rank = (node.depth.saturating_add(1), node.hash);
                    let grant = Grant { place, rank, role: *role };
                    self.terms.grants.entry(*op.device()).or_default().push(grant);
                }
                Ok(())
            }
            Action::Unknown { .. } => Err(Skip::UnknownKind),
        }
    }

    /// Everything about a join but its competitors; the place of its invite. This depends on the
    /// invite's own past and on owners' operations only, so that it can be asked of joins that have
    /// not been judged yet.
    fn join_in_order(
        &self,
        place: usize,
        op: &MemberOp,
        judged: &[&MemberOp],
        joins: &Joins,
    ) -> Result<usize, Skip> {
        let Action::Join { invite, .. } = op.action() else { return Err(Skip::NoInvitation) };
        let known = self.index.get(invite).copied();
        let invite = known
            .filter(|invite| self.sees(place, *invite) && self.accepted.contains(*invite))
            .ok_or(Skip::NoInvitation)?;
        let Some(invited) = judged.get(invite) else { return Err(Skip::NoInvitation) };
        match invited.action() {
            Action::Invite { expires, .. } if op.time() > *expires => return Err(Skip::Expired),
            Action::Invite { .. } if self.consents.get(&op.hash()) == Some(&true) => {}
            Action::Invite { .. } => return Err(Skip::NoConsent),
            _ => return Err(Skip::NoInvitation),
        }
        let ends = self.ends_of(invite, invited, joins).into_iter();
        let mut ends = ends.filter(|end| !self.sees(*end, place));
        match ends.next().and_then(|end| self.nodes.get(end)) {
            Some(end) => Err(Skip::Withdrawn(end.hash)),
            None => Ok(invite),
        }
    }

    /// What ends an invite: it was withdrawn, or a more senior term took from its author the role
    /// that it needs.
    fn ends_of(&self, invite: usize, invited: &MemberOp, joins: &Joins) -> Vec<usize> {
        let Action::Invite { role, whom, .. } = invited.action() else { return Vec::new() };
        let needs = if *whom == InviteFor::Other { Role::Owner } else { *role };
        let rank = self.rank_at(invite, invited.device());
        let caps = self.terms.caps.get(invited.device()).into_iter().flatten();
        let caps = caps.filter(|cap| {
            cap.to < Some(needs)
                && rank.is_none_or(|rank| cap.rank < rank)
                && !self.sees(invite, cap.place)
        });
        let withdrawn = self.nodes.get(invite).and_then(|node| joins.withdrawn.get(&node.hash));
        withdrawn.into_iter().flatten().copied().chain(caps.map(|cap| cap.place)).collect()
    }

    /// The most senior term of an author that an operation had seen.
    fn rank_at(&self, place: usize, author: &DeviceId) -> Option<Rank> {
        let grants = self.terms.grants.get(author).into_iter().flatten();
        let owned = grants
            .filter(|grant| grant.role == Role::Owner && self.sees(place, grant.place))
            .map(|grant| grant.rank);
        self.terms.counted.get(&place).copied().or(owned.min())
    }

    /// The join that counts: what an owner's operation has seen, the most senior owner's first; of
    /// these, or of all, none that saw another one, then the lowest hash.
    fn first_join(&self, invite: usize, judged: &[&MemberOp], joins: &Joins) -> Option<usize> {
        let named = self.nodes.get(invite).and_then(|node| joins.by_invite.get(&node.hash));
        let in_order: Vec<usize> = named
            .into_iter()
            .flatten()
            .copied()
            .filter(|place| {
                let op = judged.get(*place);
                op.is_some_and(|op| self.join_in_order(*place, op, judged, joins) == Ok(invite))
            })
            .collect();
        let seen_by = |owner: &usize| -> Vec<usize> {
            in_order.iter().copied().filter(|join| self.sees(*owner, *join)).collect()
        };
        let seen = joins.of_owners.iter().map(seen_by).find(|seen| !seen.is_empty());
        let of = if in_order.len() > 1 { seen.as_ref().unwrap_or(&in_order) } else { &in_order };
        let first = of.iter().filter(|place| !of.iter().any(|other| self.sees(**place, *other)));
        first.copied().min_by_key(|place| self.nodes.get(*place).map(|node| node.hash))
    }

    /// Role, label and key of each device. Nodes stand in an order that depends on the set alone.
    fn find_members(&mut self, judged: &[&MemberOp]) {
        let mut persons: Map<DeviceId, DeviceId> = Map::new();
        let mut members: Map<DeviceId, (bool, Member)> = Map::new();
        let mut renamed: Map<DeviceId, String> = Map::new();
        for (place, op) in
            judged.iter().enumerate().filter(|(place, _)| self.accepted.contains(*place))
        {
            if let Action::Rename { label } = op.action() {
                renamed.insert(*op.device(), label.clone());
            }
            let Some((device, exchange, label)) = card(op) else { continue };
            if let Action::Join { invite, .. } = op.action()
                && let Some(invited) = self.index.get(invite).and_then(|place| judged.get(*place))
                && let Action::Invite { whom: InviteFor::SamePerson, .. } = invited.action()
            {
                let by = invited.device();
                let person = persons.get(by).copied().unwrap_or(*by);
                persons.entry(device).or_insert(person);
            }
            let role = self.terms.role(&self.nodes, &device, AsOf::Now);
            let Some(role) = role else {
                self.former.insert(device, label.to_owned());
                continue;
            };
            let own = *op.device() == device;
            let person = persons.get(&device).copied().unwrap_or(device);
            let since = self.nodes.get(place).map_or(op.hash(), |node| node.hash);
            let label = label.to_owned();
            let stated = Member { device, exchange, role, label, since, person };
            match members.get_mut(&device) {
                None => drop(members.insert(device, (own, stated))),
                // Its own statement goes before others'.
                Some(known) if own && !known.0 => *known = (true, stated),
                Some(_) => {}
            }
        }
        self.members = members.into_iter().map(|(device, (_, member))| (device, member)).in_map();
        // Of what a device calls itself the latest goes, by the order that all have in common.
        for (device, name) in renamed {
            if let Some(member) = self.members.get_mut(&device) {
                member.label = name;
            } else if let Some(label) = self.former.get_mut(&device) {
                *label = name;
            }
        }
    }

    fn find_open(&mut self, judged: &[&MemberOp], joins: &Joins) {
        for (place, op) in judged.iter().enumerate() {
            if let Action::Invite { role, expires, whom, .. } = op.action()
                && self.accepted.contains(place)
                && joins.winners.get(&place).copied().flatten().is_none()
                && self.ends_of(place, op, joins).is_empty()
            {
                self.open.push(OpenInvitation {
                    invite: op.hash(),
                    by: *op.device(),
                    role: *role,
                    whom: *whom,
                    expires: *expires,
                });
            }
        }
    }

    /// What counts and no other that counts has seen; whether it is none of an owner's.
    pub(crate) fn heads(&self) -> impl Iterator<Item = (bool, MemberHash)> {
        self.heads.iter().filter_map(|place| {
            let node = self.nodes.get(*place)?;
            Some((!self.terms.counted.contains_key(place), node.hash))
        })
    }

    /// Everything at or before these heads.
    fn before(&self, heads: &[MemberHash]) -> Places {
        let mut before = Places::default();
        for place in heads.iter().filter_map(|head| self.index.get(head)) {
            before.insert(*place);
            before.add_all(self.past_of(*place));
        }
        before
    }

    /// The role of a device by these heads.
    pub(crate) fn role_by(&self, device: &DeviceId, heads: &[MemberHash]) -> Option<Role> {
        self.terms.role(&self.nodes, device, AsOf::Heads(&self.before(heads)))
    }

    /// Whether `op` is at or before these heads.
    pub(crate) fn had_seen(&self, heads: &[MemberHash], op: &MemberHash) -> bool {
        self.index.get(op).is_some_and(|op| {
            let mut places = heads.iter().filter_map(|head| self.index.get(head));
            places.any(|head| head == op || self.sees(*head, *op))
        })
    }

    /// Whether what `device` does to `other`'s role would count.
    pub(crate) fn can_cap(&self, device: &DeviceId, other: &DeviceId) -> bool {
        let rank = |device: &DeviceId| -> Option<Rank> {
            let owns = self.terms.role(&self.nodes, device, AsOf::Now) == Some(Role::Owner);
            let grants = self.terms.grants.get(device).into_iter().flatten();
            let owned = grants.filter(|grant| grant.role == Role::Owner).map(|grant| grant.rank);
            if owns { owned.min() } else { None }
        };
        device != other
            && match (rank(device), rank(other)) {
                (Some(own), Some(others)) => own < others,
                (own, _) => own.is_some(),
            }
    }

    /// Roles below contributor that count as taken.
    pub(crate) fn removals(&self, ops: &Ops) -> Vec<Removal> {
        let mut removals = Vec::new();
        for (device, caps) in &self.terms.caps {
            let below = caps.iter().filter(|cap| cap.to < Some(Role::Contributor));
            for cap in below.filter(|cap| !self.is_above(device, cap)) {
                let Some(op) = self.nodes.get(cap.place).and_then(|node| ops.get(&node.hash))
                else {
                    continue;
                };
                if let Action::Remove { frontier, .. } | Action::SetRole { frontier, .. } =
                    op.action()
                {
                    removals.push(Removal {
                        op: op.hash(),
                        by: *op.device(),
                        device: *device,
                        left: cap.to,
                        frontier: frontier.clone(),
                    });
                }
            }
        }
        removals
    }

    /// Whether a device has a term that is more senior than that under which somebody caps it, and
    /// had not left by then: such a cap takes nothing, neither the role nor what was written.
    fn is_above(&self, device: &DeviceId, cap: &Cap) -> bool {
        let has_left = |grant: &Grant| {
            let mut leaves = self.terms.leaves.get(device).into_iter().flatten();
            leaves.any(|left| self.sees(*left, grant.place) && self.sees(cap.place, *left))
        };
        let mut grants = self.terms.grants.get(device).into_iter().flatten();
        grants.any(|grant| grant.role == Role::Owner && grant.rank < cap.rank && !has_left(grant))
    }

    /// The frontiers of acceptances that count, the most senior first.
    pub(crate) fn accepted_frontiers<'a>(&self, ops: &'a Ops) -> Vec<&'a Frontier> {
        let accepted = self.counted_by_rank(ops).into_iter().filter_map(|op| match op.action() {
            Action::Accept { frontier } => Some(frontier),
            _ => None,
        });
        accepted.collect()
    }

    /// All frontiers that count, the most senior first.
    pub(crate) fn decided_frontiers<'a>(&self, ops: &'a Ops) -> Vec<&'a Frontier> {
        let decided = self.counted_by_rank(ops).into_iter().filter_map(|op| match op.action() {
            Action::Accept { frontier }
            | Action::Remove { frontier, .. }
            | Action::SetRole { frontier, .. } => Some(frontier),
            _ => None,
        });
        decided.collect()
    }

    /// What owners did that counts, the most senior first.
    fn counted_by_rank<'a>(&self, ops: &'a Ops) -> Vec<&'a MemberOp> {
        let mut ranked: Vec<(Rank, u32, MemberHash)> = self
            .terms
            .counted
            .iter()
            .filter_map(|(place, rank)| {
                let node = self.nodes.get(*place)?;
                Some((*rank, node.depth, node.hash))
            })
            .collect();
        ranked.put_in_order();
        ranked.into_iter().filter_map(|(_, _, hash)| ops.get(&hash)).collect()
    }

    /// The epochs that count.
    pub(crate) fn epochs<'a>(
        &'a self,
        ops: &'a Ops,
    ) -> impl Iterator<Item = (EpochId, &'a MemberOp)> {
        let places = (0..self.nodes.len()).filter(|place| self.accepted.contains(*place));
        let accepted = places.filter_map(|place| ops.get(&self.nodes.get(place)?.hash));
        accepted.filter_map(|op| match op.action() {
            Action::NewEpoch { epoch, .. } => Some((*epoch, op)),
            _ => None,
        })
    }

    /// Whether nothing that takes a right to read is missing from the past of this operation.
    pub(crate) fn is_clean(&self, op: &MemberHash) -> bool {
        let Some(place) = self.index.get(op) else { return false };
        (0..self.nodes.len())
            .filter(|other| self.unclean.contains(*other))
            .all(|other| self.sees(*place, other))
    }

    /// Who has ever been given a role.
    pub(crate) fn was_member(&self, device: &DeviceId) -> bool {
        self.terms.grants.contains_key(device)
    }

    /// How many operations an operation had seen.
    pub(crate) fn depth(&self, op: &MemberHash) -> u32 {
        let node = self.index.get(op).and_then(|place| self.nodes.get(*place));
        node.map_or(0, |node| node.depth)
    }

    /// What operations that count of other devices have seen.
    pub(crate) fn seen_by_others(&self) -> impl Fn(&MemberHash) -> bool {
        let mut by_author: Map<DeviceId, Places> = Map::new();
        for (place, node) in self.nodes.iter().enumerate() {
            if self.accepted.contains(place) {
                by_author.entry(node.author).or_default().add_all(&node.past);
            }
        }
        move |op| {
            let Some(place) = self.index.get(op) else { return false };
            let author = self.nodes.get(*place).map(|node| node.author);
            let mut others = by_author.iter().filter(|(by, _)| Some(**by) != author);
            others.any(|(_, seen)| seen.contains(*place))
        }
    }
}

/// What an operation states of a device: which, its exchange key, what it is called.
fn card(op: &MemberOp) -> Option<(DeviceId, ExchangeKey, &str)> {
    match op.action() {
        Action::Found { exchange, label, .. } | Action::Join { exchange, label, .. } => {
            Some((*op.device(), *exchange, label))
        }
        Action::Add { device, exchange, label, .. } => Some((*device, *exchange, label)),
        _ => None,
    }
}

/// What the terms of office need to know of an operation.
fn deed_of(op: &MemberOp) -> Deed {
    let rule = |grant, caps, to| Deed::Rule { grant, caps, to };
    match op.action() {
        Action::Found { .. } => Deed::Found,
        Action::Add { device, role, .. } => rule(Some((*device, *role)), Vec::new(), None),
        Action::Remove { devices, .. } => rule(None, devices.clone(), None),
        // Who becomes an owner loses nothing by it.
        Action::SetRole { device, role: Role::Owner, .. } => {
            rule(Some((*device, Role::Owner)), Vec::new(), None)
        }
        Action::SetRole { device, role, .. } => {
            rule(Some((*device, *role)), vec![*device], Some(*role))
        }
        Action::Invite { whom: InviteFor::Other, .. }
        | Action::Withdraw { .. }
        | Action::Accept { .. } => rule(None, Vec::new(), None),
        Action::HandRecovery { next } => Deed::HandRecovery(next.device),
        Action::Leave => Deed::Leave,
        Action::Invite { .. }
        | Action::Join { .. }
        | Action::NewEpoch { .. }
        | Action::HandKey { .. }
        | Action::Rename { .. }
        | Action::Unknown { .. } => Deed::Other,
    }
}

/// Joins and what ends invites, by invite.
struct Joins {
    by_invite: HashMap<MemberHash, Vec<usize>>,
    /// Withdrawals that count: an owner's, or of the one that invited.
    withdrawals: Places,
    /// What withdrew an invite, removals that name it included.
    withdrawn: HashMap<MemberHash, Vec<usize>>,
    /// Operations that count by a term of office, the most senior term's first.
    of_owners: Vec<usize>,
    winners: HashMap<usize, Option<usize>>,
}

impl Joins {
    fn of(view: &View, judged: &[&MemberOp]) -> Self {
        let mut ranked: Vec<_> = view
            .terms
            .counted
            .iter()
            .filter_map(|(place, rank)| {
                let node = view.nodes.get(*place)?;
                Some((*rank, node.depth, node.hash, *place))
            })
            .collect();
        ranked.put_in_order();
        let mut joins = Self {
            by_invite: HashMap::new(),
            withdrawals: Places::default(),
            withdrawn: HashMap::new(),
            of_owners: ranked.into_iter().map(|(_, _, _, place)| place).collect(),
            winners: HashMap::new(),
        };
        for (place, op) in judged.iter().enumerate() {
            let counted = view.terms.counted.contains_key(&place);
            match op.action() {
                Action::Join { invite, .. } => {
                    joins.by_invite.entry(*invite).or_default().push(place);
                }
                Action::Withdraw { invite } => {
                    let invited = view.index.get(invite).and_then(|place| judged.get(*place));
                    let own = invited.is_some_and(|invited| invited.device() == op.device());
                    if counted || own {
                        joins.withdrawals.insert(place);
                        joins.withdrawn.entry(*invite).or_default().push(place);
                    }
                }
                Action::Remove { invites, .. } if counted => {
                    for invite in invites {
                        joins.withdrawn.entry(*invite).or_default().push(place);
                    }
                }
                _ => {}
            }
        }
        joins
    }
}
