//! Owners by terms of office: which operations of owners count, whatever anybody makes up later.
//!
//! A **term** is a grant of the role owner that counts. Terms have a rank: the recovery key's is
//! before all, the founder's next, then how many operations the grant had in its past, then the
//! grant's hash. They are taken from the most senior down:
//!
//! * An owner's operation counts under a term that it had seen, unless a cap of a more senior term
//!   hits the device: a removal, or a role below owner. A cap hits unless the grant had seen it, and
//!   it voids what it precedes and what is concurrent with it, never what it had itself seen.
//! * A cap never hits a more senior term.
//! * Leaving voids what one does after it. (Were it to void what is concurrent, too, a removed owner
//!   could unmake whom it once added by a back-dated leave.) An owner that knows of no other and of
//!   no recovery key cannot leave: its leave is nothing.
//! * The recovery key can give its place to another one: what it does then, or says it had done before
//!   without its successor having seen it, is nothing.
//! * Whoever is no owner can be capped by every owner; its role is the greatest grant, less the caps
//!   which that grant had not seen.
//!
//! Whoever grants has a smaller past than the grant, so an operation depends only on terms more
//! senior than its own: there are no circles, and a removed owner who answers with back-dated
//! operations, however many hashes it tries, changes nothing that a more senior term decided.
//!
//! Here stand operations without form or signature, so that the rules can be tried on a million
//! graphs; [`crate::Members`] gives them the real ones.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use fallaway_changes::{DeviceId, MemberHash};
use fallaway_order::Map;

use crate::places::Places;
use crate::role::Role;

/// How senior a term is: the lower, the more.
pub(crate) type Rank = (u32, MemberHash);

/// What an operation is to these rules.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Deed {
    /// Founds the record.
    Found,
    /// Something that takes an owner: may grant a role, may cap the roles of others.
    Rule {
        /// Who gets which role.
        grant: Option<(DeviceId, Role)>,
        /// Who keeps at most `to` from then on. Nobody caps itself.
        caps: Vec<DeviceId>,
        /// What they keep; `None` for nothing.
        to: Option<Role>,
    },
    /// The recovery key gives its place to another one.
    HandRecovery(DeviceId),
    /// The author leaves.
    Leave,
    /// Whatever these rules do not judge.
    Other,
}

/// An operation as these rules see it.
#[derive(Debug, Clone)]
pub(crate) struct JudgedOp {
    /// Its hash.
    pub hash: MemberHash,
    /// Its author.
    pub author: DeviceId,
    /// Places of all that it had seen, directly or not; not its own.
    pub past: Places,
    /// How many these are.
    pub depth: u32,
    /// What it does.
    pub deed: Deed,
}

impl JudgedOp {
    /// An operation that had seen `past`.
    pub(crate) fn new(hash: MemberHash, author: DeviceId, past: Places, deed: Deed) -> Self {
        let depth = past.len() as u32;
        Self { hash, author, past, depth, deed }
    }
}

/// A cap that counts.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Cap {
    /// Where it stands.
    pub place: usize,
    /// Under which term.
    pub rank: Rank,
    /// What is left.
    pub to: Option<Role>,
}

/// A role given by an operation that counts.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Grant {
    /// Where it stands.
    pub place: usize,
    /// How senior it is.
    pub rank: Rank,
    /// What it gives.
    pub role: Role,
}

/// What follows from a set of operations. Places are those of the nodes.
#[derive(Debug, Clone, Default)]
pub(crate) struct Terms {
    /// Under which term each operation of an owner counts.
    pub counted: Map<usize, Rank>,
    /// By device.
    pub caps: Map<DeviceId, Vec<Cap>>,
    /// By device.
    pub grants: Map<DeviceId, Vec<Grant>>,
    /// By device; where it left.
    pub leaves: Map<DeviceId, Vec<usize>>,
    /// From the most senior down.
    pub held: Vec<(Rank, DeviceId)>,
    /// Who had the recovery words, one after the other.
    pub seats: Vec<Seat>,
}

/// The recovery key for as long as it is that.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Seat {
    /// The key.
    pub device: DeviceId,
    /// Since which operation.
    pub granted: usize,
    /// Which one gave its place to the next. Of what the key did, only what that had seen counts.
    pub ended: Option<usize>,
}

/// The recovery keys of a part of the operations. Who hands its place on twice has handed it on by the
/// one that saw no other, then by that of the lowest hash.
fn seats(nodes: &[JudgedOp], recovery: Option<DeviceId>, part: Option<&Places>) -> Vec<Seat> {
    let within = |place: &usize| part.is_none_or(|part| part.contains(*place));
    let of = |deed: &dyn Fn(&JudgedOp) -> bool| -> Vec<usize> {
        let places = nodes.iter().enumerate().filter(|(place, node)| within(place) && deed(node));
        places.map(|(place, _)| place).collect()
    };
    let Some(device) = recovery else { return Vec::new() };
    let founding = of(&|node| node.deed == Deed::Found);
    let Some(granted) = founding.first().copied() else { return Vec::new() };
    let handed = of(&|node| matches!(node.deed, Deed::HandRecovery(_)));
    let mut seats = vec![Seat { device, granted, ended: None }];
    while let Some(last) = seats.last_mut() {
        let own: Vec<(usize, &JudgedOp)> = handed
            .iter()
            .filter_map(|place| Some((*place, nodes.get(*place)?)))
            .filter(|(_, node)| node.author == last.device && node.past.contains(last.granted))
            .collect();
        let first =
            own.iter().filter(|(_, node)| !own.iter().any(|(other, _)| node.past.contains(*other)));
        let Some((place, node)) = first.min_by_key(|(_, node)| node.hash) else { break };
        let Deed::HandRecovery(next) = node.deed else { break };
        last.ended = Some(*place);
        seats.push(Seat { device: next, granted: *place, ended: None });
    }
    seats
}

/// Which part of the operations a role is asked of.
#[derive(Clone, Copy)]
pub(crate) enum AsOf<'a> {
    /// All that is here.
    Now,
    /// What these places hold.
    Heads(&'a Places),
    /// The operation at this place: what it had seen, and the caps that had not seen it.
    Op(usize, &'a JudgedOp),
}

/// What counts of these operations; causes stand before effects.
pub(crate) fn decide(nodes: &[JudgedOp], recovery: Option<DeviceId>) -> Terms {
    let mut leaves = Places::default();
    for (place, node) in nodes.iter().enumerate() {
        if node.deed == Deed::Leave {
            let known = Terms::of(nodes, recovery, &leaves, Some(&node.past));
            let owner = |device| known.role(nodes, device, AsOf::Now) == Some(Role::Owner);
            if !owner(&node.author)
                || known.grants.keys().any(|other| *other != node.author && owner(other))
            {
                leaves.insert(place);
            }
        }
    }
    Terms::of(nodes, recovery, &leaves, None)
}

impl Terms {
    /// The same of a part of them, where it is known which leaves are any.
    fn of(
        nodes: &[JudgedOp],
        recovery: Option<DeviceId>,
        leaves: &Places,
        part: Option<&Places>,
    ) -> Self {
        let mut this = Self { seats: seats(nodes, recovery, part), ..Self::default() };
        let mut by_author: Map<DeviceId, Vec<usize>> = Map::new();
        let mut open = BinaryHeap::new();
        for (place, node) in nodes.iter().enumerate() {
            if part.is_some_and(|part| !part.contains(place)) {
                continue;
            }
            match &node.deed {
                Deed::Found => {
                    this.counted.insert(place, (1, node.hash));
                    this.begin((1, node.hash), node.author, place, &mut open);
                }
                Deed::Leave if leaves.contains(place) => {
                    this.leaves.entry(node.author).or_default().push(place);
                }
                Deed::Rule { .. } => by_author.entry(node.author).or_default().push(place),
                Deed::HandRecovery(_) | Deed::Leave | Deed::Other => {}
            }
        }
        for seat in this.seats.clone() {
            let Some(node) = nodes.get(seat.granted) else { continue };
            this.begin((0, node.hash), seat.device, seat.granted, &mut open);
            if let Some(ended) = seat.ended {
                this.counted.insert(ended, (0, node.hash));
                this.leaves.entry(seat.device).or_default().push(ended);
            }
        }
        while let Some(Reverse((rank, device, granted))) = open.pop() {
            this.held.push((rank, device));
            let Some(grant) = nodes.get(granted) else { continue };
            let hits = this.hits(nodes, device, rank, (granted, grant));
            let mut seats = this.seats.iter();
            let seat = seats.find(|seat| (seat.device, seat.granted) == (device, granted));
            let ended = seat.and_then(|seat| nodes.get(seat.ended?)).cloned();
            for place in by_author.get(&device).into_iter().flatten() {
                let Some(node) = nodes.get(*place) else { continue };
                let hit = |hit: &usize| match nodes.get(*hit) {
                    Some(JudgedOp { deed: Deed::Leave | Deed::HandRecovery(_), .. }) => {
                        node.past.contains(*hit)
                    }
                    Some(cap) => !cap.past.contains(*place),
                    None => false,
                };
                if node.past.contains(granted)
                    && ended.as_ref().is_none_or(|end| end.past.contains(*place))
                    && !this.counted.contains_key(place)
                    && !hits.iter().any(hit)
                {
                    this.count(*place, node, rank, &mut open);
                }
            }
        }
        this
    }

    fn begin(
        &mut self,
        rank: Rank,
        device: DeviceId,
        place: usize,
        open: &mut BinaryHeap<Reverse<(Rank, DeviceId, usize)>>,
    ) {
        open.push(Reverse((rank, device, place)));
        let grant = Grant { place, rank, role: Role::Owner };
        self.grants.entry(device).or_default().push(grant);
    }

    /// What ends a term of `device`.
    fn hits(
        &self,
        nodes: &[JudgedOp],
        device: DeviceId,
        rank: Rank,
        (granted, grant): (usize, &JudgedOp),
    ) -> Vec<usize> {
        let caps = self.caps.get(&device).into_iter().flatten();
        let caps = caps.filter(|cap| cap.rank < rank && cap.to < Some(Role::Owner));
        let left = self.leaves.get(&device).into_iter().flatten();
        let left =
            left.filter(|left| nodes.get(**left).is_some_and(|left| left.past.contains(granted)));
        let hits = caps.map(|cap| cap.place).chain(left.copied());
        hits.filter(|hit| !grant.past.contains(*hit)).collect()
    }

    fn count(
        &mut self,
        place: usize,
        node: &JudgedOp,
        rank: Rank,
        open: &mut BinaryHeap<Reverse<(Rank, DeviceId, usize)>>,
    ) {
        let Deed::Rule { grant, caps, to } = &node.deed else { return };
        if caps.contains(&node.author) {
            return;
        }
        self.counted.insert(place, rank);
        for device in caps {
            let cap = Cap { place, rank, to: *to };
            self.caps.entry(*device).or_default().push(cap);
        }
        if let Some((device, role)) = *grant {
            // The founding has rank 1 and no past.
            let rank = (node.depth.saturating_add(1), node.hash);
            self.grants.entry(device).or_default().push(Grant { place, rank, role });
            if role == Role::Owner {
                open.push(Reverse((rank, device, place)));
            }
        }
    }

    /// What a device may do.
    pub(crate) fn role(&self, nodes: &[JudgedOp], device: &DeviceId, at: AsOf<'_>) -> Option<Role> {
        let bears = |place: usize| match at {
            AsOf::Now => true,
            AsOf::Heads(places) => places.contains(place),
            AsOf::Op(op, _) => nodes.get(place).is_some_and(|node| !node.past.contains(op)),
        };
        let mut best = None;
        for grant in self.grants.get(device).into_iter().flatten() {
            let here = match at {
                AsOf::Op(_, op) => op.past.contains(grant.place),
                _ => bears(grant.place),
            };
            let Some(granted) = nodes.get(grant.place).filter(|_| here) else { continue };
            let unseen = |place: usize| bears(place) && !granted.past.contains(place);
            let mut role = Some(grant.role);
            for cap in self.caps.get(device).into_iter().flatten() {
                if (grant.role < Role::Owner || cap.rank < grant.rank)
                    && cap.place != grant.place
                    && unseen(cap.place)
                {
                    role = role.min(cap.to);
                }
            }
            let mut left = self.leaves.get(device).into_iter().flatten();
            let before = |left: usize| match at {
                AsOf::Op(_, op) => op.past.contains(left) && !granted.past.contains(left),
                _ => unseen(left),
            };
            if left.any(|left| before(*left)) {
                role = None;
            }
            best = best.max(role);
        }
        best
    }
}

#[cfg(test)]
#[path = "terms_tests.rs"]
mod tests;
