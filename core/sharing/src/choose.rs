//! Which changes are in the record, after removals and forks. A function of what is here, never of
//! the order in which it came: asked again whenever more arrives.
//!
//! * A change is its author's **own** if its author might write by the member operations that it had
//!   seen, and if for each removal of its author that it had not seen, it lies within the removal's
//!   frontier. What a device wrote although it had seen its own removal is nothing. A writer has seen
//!   whatever its earlier changes had seen: it cannot go back.
//! * A late change of a removed device is **let in** past a removal if somebody built on it: if a
//!   change of another device, itself own or let in, has it in its past and had not seen that
//!   removal. It must be so for each removal that holds it. So nothing that honest people wrote is
//!   stranded by a removal that they had not heard of.
//! * What an owner has accepted is in.
//! * Of two changes of one writer with one number and one predecessor (a **fork**: its identity was
//!   copied, or it lies) one is in: that which the most senior acceptance or removal names; else
//!   that which more other devices built on; else the one with the lower id.
//! * Everything is in whose whole past is in. The rest is held, with the reason: kept, never deleted,
//!   never silently in.

use std::collections::{HashMap, HashSet};

use fallaway_changes::{ChangeId, DeviceId, MemberHash, Writer};
use fallaway_order::OneByOne as _;
use fallaway_order::{Map, Set};

use crate::action::Frontier;
use crate::places::Places;

/// A change as these rules see it.
#[derive(Debug, Clone)]
pub struct ChangeFacts<'a> {
    /// The id of the change.
    pub id: ChangeId,
    /// The writer of the change.
    pub writer: Writer,
    /// Its number in its writer's chain.
    pub seq: u64,
    /// Its writer's change before it; `None` for the first.
    pub previous: Option<ChangeId>,
    /// Whose writer it is.
    pub device: DeviceId,
    /// What it depends on.
    pub deps: &'a [ChangeId],
    /// Whether its author might write by the member operations that it had seen.
    pub may_write: bool,
    /// Which of the rules' removals its author had seen, by their places.
    pub seen: Set<usize>,
}

/// Somebody's right to write that was taken.
#[derive(Debug, Clone)]
pub struct RemovalRule<'a> {
    /// The operation that took the right.
    pub op: MemberHash,
    /// The device that lost it.
    pub device: DeviceId,
    /// How far its work is taken.
    pub frontier: &'a Frontier,
}

/// What owners have decided.
#[derive(Debug, Clone, Default)]
pub struct Rules<'a> {
    /// Removals that count.
    pub removals: Vec<RemovalRule<'a>>,
    /// Frontiers of work that was accepted.
    pub accepted: Vec<&'a Frontier>,
    /// All frontiers, of acceptances and removals, the most senior first: they choose of forks.
    pub senior: Vec<&'a Frontier>,
}

/// Why a change is here and not in the record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeldBy {
    /// Its author was a reader, or no member.
    NoWriter,
    /// Its author knew that it had been removed.
    KnewOfRemoval(MemberHash),
    /// Written by a removed device and not known to anybody by then.
    Removal(MemberHash),
    /// Another change of the same number is in.
    Fork(ChangeId),
    /// It builds on one that is held.
    Behind(ChangeId),
}

/// What is in, what is not, and what cannot be said yet.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Choice {
    /// In the record.
    pub within: Set<ChangeId>,
    /// Kept beside it.
    pub held: Map<ChangeId, HeldBy>,
    /// Part of their past has not arrived.
    pub waiting: Set<ChangeId>,
}

/// Chooses of all changes that are here. `founding` is what every record begins with.
pub fn choose(founding: &ChangeId, changes: &[ChangeFacts<'_>], rules: &Rules<'_>) -> Choice {
    let graph = Graph::of(founding, changes);
    let mut held = graph.held_by_members(rules);
    graph.let_in(&mut held);
    let counts: Vec<bool> = held.iter().map(Option::is_none).collect();
    let losers = graph.losers(rules, &counts);
    let mut choice = Choice::default();
    for (place, change) in graph.order.iter().enumerate() {
        let held = held.get(place).cloned().flatten();
        let reason = match (held, losers.get(&place)) {
            (Some(Held::Never(reason)), _) => Some(reason),
            (Some(Held::Late(by)), _) => {
                let first = by.first().and_then(|place| rules.removals.get(*place));
                first.map(|removal| HeldBy::Removal(removal.op))
            }
            (None, Some(winner)) => Some(HeldBy::Fork(*winner)),
            (None, None) => change
                .deps
                .iter()
                .find(|dep| choice.held.contains_key(*dep))
                .copied()
                .map(HeldBy::Behind),
        };
        match reason {
            Some(reason) => drop(choice.held.insert(change.id, reason)),
            None => drop(choice.within.insert(change.id)),
        }
    }
    let here = changes.iter().map(|change| change.id);
    choice.waiting = here.filter(|id| !graph.index.contains_key(id)).in_set();
    choice
}

/// What holds one change.
#[derive(Debug, Clone)]
enum Held {
    /// Nothing lets it in but an owner.
    Never(HeldBy),
    /// These removals, by place.
    Late(Set<usize>),
}

/// The changes whose whole past is here, causes before effects.
struct Graph<'a> {
    order: Vec<&'a ChangeFacts<'a>>,
    index: HashMap<ChangeId, usize>,
    /// Places of what each depends on.
    deps: Vec<Vec<usize>>,
}

impl<'a> Graph<'a> {
    fn of(founding: &ChangeId, changes: &'a [ChangeFacts<'a>]) -> Self {
        let mut effects: HashMap<ChangeId, Vec<&'a ChangeFacts<'a>>> = HashMap::new();
        let mut open: HashMap<ChangeId, usize> = HashMap::new();
        let mut ready: Map<ChangeId, &'a ChangeFacts<'a>> = Map::new();
        let mut known = HashSet::new();
        // Who gathers them may have one from two sides.
        for change in changes.iter().filter(|change| known.insert(change.id)) {
            let causes = change.deps.iter().filter(|dep| *dep != founding);
            let mut count = 0;
            for cause in causes {
                effects.entry(*cause).or_default().push(change);
                count += 1;
            }
            if count == 0 {
                ready.insert(change.id, change);
            } else {
                open.insert(change.id, count);
            }
        }
        let mut graph = Self { order: Vec::new(), index: HashMap::new(), deps: Vec::new() };
        while let Some((id, change)) = ready.pop_first() {
            let deps = change.deps.iter().filter_map(|dep| graph.index.get(dep).copied());
            let deps = deps.collect();
            graph.deps.push(deps);
            graph.index.insert(id, graph.order.len());
            graph.order.push(change);
            for effect in effects.get(&id).into_iter().flatten() {
                if let Some(count) = open.get_mut(&effect.id) {
                    *count -= 1;
                    if *count == 0 {
                        ready.insert(effect.id, effect);
                    }
                }
            }
        }
        graph
    }

    /// Every place, and those that it depends on; effects before causes.
    fn backwards(&self) -> impl Iterator<Item = (usize, &'a ChangeFacts<'a>, &[usize])> {
        let places = self.order.iter().zip(&self.deps).enumerate();
        places.rev().map(|(place, (change, deps))| (place, *change, deps.as_slice()))
    }

    /// What each writer's changes had seen, those before them included.
    fn seen(&self) -> Vec<Set<usize>> {
        let mut seen: Vec<Set<usize>> = Vec::with_capacity(self.order.len());
        for change in &self.order {
            let mut own = change.seen.clone();
            let before = change.previous.and_then(|previous| self.index.get(&previous));
            if let Some(before) = before.and_then(|before| seen.get(*before)) {
                own.extend(before);
            }
            seen.push(own);
        }
        seen
    }

    /// Whether a frontier takes a change in: it, or a later one of its chain, is named.
    fn lies_within(&self, place: usize, frontier: &Frontier) -> bool {
        let Some(change) = self.order.get(place) else { return false };
        let point = frontier.binary_search_by_key(&change.writer, |point| point.writer);
        let Some(point) = point.ok().and_then(|at| frontier.get(at)) else { return false };
        if change.seq >= point.seq {
            return change.id == point.tip;
        }
        // As long as the one that is named has not come, its number has to do.
        let Some(mut at) = self.index.get(&point.tip).copied() else { return true };
        while let Some(later) = self.order.get(at).filter(|later| later.seq > change.seq) {
            match later.previous.and_then(|previous| self.index.get(&previous)) {
                Some(before) => at = *before,
                None => return false,
            }
        }
        at == place
    }

    fn held_by_members(&self, rules: &Rules<'_>) -> Vec<Option<Held>> {
        let seen = self.seen();
        let held = self.order.iter().zip(seen).enumerate().map(|(place, (change, seen))| {
            let of_author = rules.removals.iter().enumerate();
            let of_author = of_author.filter(|(_, removal)| removal.device == change.device);
            let (mut late, mut knew, mut taken) = (Set::new(), None, false);
            for (number, removal) in of_author {
                if self.lies_within(place, removal.frontier) {
                    // Whoever removed had it: its author had seen no removal then, whatever a later
                    // signature over it says.
                    taken = true;
                } else if seen.contains(&number) {
                    // Who may write again may write.
                    knew = knew.or((!change.may_write).then_some(removal.op));
                } else {
                    late.insert(number);
                }
            }
            let reason = match knew {
                Some(removal) => Some(Held::Never(HeldBy::KnewOfRemoval(removal))),
                None if !change.may_write && !taken => Some(Held::Never(HeldBy::NoWriter)),
                None if !late.is_empty() => Some(Held::Late(late)),
                None => None,
            };
            reason.filter(|_| !rules.accepted.iter().any(|taken| self.lies_within(place, taken)))
        });
        held.collect()
    }

    /// Takes away what somebody's work speaks for. Effects come first, so one pass is enough: who
    /// speaks for a change comes after it.
    fn let_in(&self, held: &mut [Option<Held>]) {
        let mut holding: Set<usize> = Set::new();
        for one in held.iter().flatten() {
            if let Held::Late(by) = one {
                holding.extend(by);
            }
        }
        if holding.is_empty() {
            return;
        }
        let seen = self.seen();
        // For each change and removal: devices that built on it not knowing that removal. Two are
        // enough: one of them is another's.
        let mut speaking: Vec<Map<usize, Vec<DeviceId>>> = vec![Map::new(); self.order.len()];
        for (place, change, deps) in self.backwards() {
            let mut spoken = speaking.get_mut(place).map(std::mem::take).unwrap_or_default();
            if let Some(one) = held.get_mut(place)
                && let Some(Held::Late(by)) = one
                && by.iter().all(|removal| {
                    let by = spoken.get(removal).into_iter().flatten();
                    by.into_iter().any(|device| *device != change.device)
                })
            {
                *one = None;
            }
            if held.get(place).is_some_and(Option::is_none) {
                let knows = seen.get(place);
                for removal in &holding {
                    if !knows.is_some_and(|knows| knows.contains(removal)) {
                        note(spoken.entry(*removal).or_default(), change.device);
                    }
                }
            }
            for dep in deps {
                let Some(before) = speaking.get_mut(*dep) else { continue };
                for (removal, devices) in &spoken {
                    let known = before.entry(*removal).or_default();
                    for device in devices {
                        note(known, *device);
                    }
                }
            }
        }
    }

    /// The losing changes of each fork, with the winner.
    fn losers(&self, rules: &Rules<'_>, counts: &[bool]) -> Map<usize, ChangeId> {
        let mut branches: Map<(Writer, u64, Option<ChangeId>), Vec<usize>> = Map::new();
        let counting = |place: &usize| counts.get(*place).copied().unwrap_or(false);
        for (place, change) in self.order.iter().enumerate().filter(|(place, _)| counting(place)) {
            let key = (change.writer, change.seq, change.previous);
            branches.entry(key).or_default().push(place);
        }
        branches.retain(|_, places| places.len() > 1);
        if branches.is_empty() {
            return Map::new();
        }
        let support = self.support(counts);
        let mut losers = Map::new();
        for places in branches.into_values() {
            let rank = |place: &usize| {
                let mut named = rules.senior.iter();
                let named = named.position(|frontier| self.is_named(*place, frontier));
                let others = support.get(*place).copied().unwrap_or(0);
                let id = self.order.get(*place).map(|change| change.id);
                (named.unwrap_or(usize::MAX), std::cmp::Reverse(others), id)
            };
            let Some(winner) = places.iter().copied().min_by_key(rank) else { continue };
            let Some(id) = self.order.get(winner).map(|change| change.id) else { continue };
            losers.extend(places.into_iter().filter(|one| *one != winner).map(|one| (one, id)));
        }
        losers
    }

    /// Whether a frontier whose named change is here takes this one.
    fn is_named(&self, place: usize, frontier: &Frontier) -> bool {
        let named = frontier.iter().any(|point| self.index.contains_key(&point.tip));
        named && self.lies_within(place, frontier)
    }

    /// How many other devices built on each change.
    fn support(&self, counts: &[bool]) -> Vec<usize> {
        let mut numbers: Map<DeviceId, usize> = Map::new();
        for change in &self.order {
            let next = numbers.len();
            numbers.entry(change.device).or_insert(next);
        }
        let mut building: Vec<Places> = vec![Places::none(); self.order.len()];
        let mut support = vec![0; self.order.len()];
        for (place, change, deps) in self.backwards() {
            let mut devices = building.get_mut(place).map(std::mem::take).unwrap_or_default();
            let own = numbers.get(&change.device).copied().unwrap_or(0);
            if let Some(support) = support.get_mut(place) {
                *support = devices.len() - usize::from(devices.contains(own));
            }
            if counts.get(place).copied().unwrap_or(false) {
                devices.insert(own);
            }
            for dep in deps {
                if let Some(before) = building.get_mut(*dep) {
                    before.add_all(&devices);
                }
            }
        }
        support
    }
}

/// Notes a device; two are enough.
fn note(devices: &mut Vec<DeviceId>, device: DeviceId) {
    if devices.len() < 2 && !devices.contains(&device) {
        devices.push(device);
    }
}

#[cfg(test)]
#[path = "choose_tests.rs"]
mod tests;
