//! Which changes are in the record: asked again at every merge, of all that is here.
//!
//! Most merges only add: nobody was removed, nothing is held, no number was given twice, and everybody
//! might write. Else the whole graph is judged by [`fallaway_sharing::choose`], and what is in the
//! document may leave it.

use std::collections::HashMap;

use fallaway_changes::{ChangeId, DeviceId, MemberHash, VerifiedChange, Writer};
use fallaway_order::{Map, Set};
use fallaway_record::GraphLink;
use fallaway_sharing::{
    ChainProof, ChangeFacts, HeldBy, Members, Removal, RemovalRule, Role, Rules, Standing, choose,
};
use fallaway_store::{ChangeStanding, StoredChange, StoredSignature};

use super::candidates::Candidate;
use super::why_aside::WhyAside;
use crate::keeping::loaded_record::LoadedRecord;

/// What becomes of the changes that are here.
#[derive(Default)]
pub(super) struct Decision {
    /// Candidates that are applied.
    pub entering: Vec<VerifiedChange>,
    /// Candidates that are kept beside the document.
    pub aside: Map<ChangeId, (ChangeStanding, WhyAside)>,
    /// Changes that are in the document and no part of it any more.
    pub leaving: Map<ChangeId, (ChangeStanding, WhyAside)>,
    /// Candidates of nobody that ever was a member, with their devices.
    pub strangers: Map<ChangeId, DeviceId>,
    /// Whether the whole graph was judged.
    pub whole: bool,
}

/// Decides. Changes that are `excluded` break a rule of the document: it is as if they were not here.
pub(super) fn decide(
    loaded: &LoadedRecord,
    candidates: &Map<ChangeId, Candidate>,
    members_grew: bool,
    excluded: &Set<ChangeId>,
) -> Decision {
    let removals = loaded.members.removals();
    let mut authors = Authors::new(&loaded.members, &removals);
    if removals.is_empty()
        && !loaded.pending.iter().any(|one| one.standing == ChangeStanding::Held)
        && !has_fork(loaded, candidates)
        && candidates.values().all(|one| authors.of(&one.proof).0 != May::Not)
        && (!members_grew || all_may_write(loaded, &mut authors))
    {
        return only_add(candidates, &mut authors);
    }
    judge_all(loaded, candidates, excluded, &removals, &mut authors)
}

/// Whether a candidate has the number of another change of its writer.
fn has_fork(loaded: &LoadedRecord, candidates: &Map<ChangeId, Candidate>) -> bool {
    let mut numbers = Set::new();
    let mut last: Map<Writer, u64> = Map::new();
    candidates.values().any(|one| {
        let (writer, seq) = (one.change.writer, one.change.seq);
        let last = last
            .entry(writer)
            .or_insert_with(|| loaded.record.last_of(&writer).map_or(0, |(seq, _)| seq));
        seq <= *last || !numbers.insert((writer, seq))
    })
}

/// Whether everybody who signed what is here might do so. What is beside the document may be signed
/// together with what is in it.
fn all_may_write(loaded: &LoadedRecord, authors: &mut Authors<'_>) -> bool {
    loaded.signatures.iter().all(|one| {
        ChainProof::decode_kept(&one.bytes).is_ok_and(|proof| authors.of(&proof).0 == May::Write)
    })
}

/// Takes in whatever need not wait for its author's invitation.
fn only_add(candidates: &Map<ChangeId, Candidate>, authors: &mut Authors<'_>) -> Decision {
    let mut decision = Decision::default();
    for (id, one) in candidates {
        if let May::Wait(why) = authors.of(&one.proof).0 {
            decision.aside.insert(*id, (ChangeStanding::Waiting, why));
        } else {
            decision.entering.push(one.change.clone());
        }
    }
    decision
}

/// What strangers wrote is kept as far as members' work builds on it, as it is handed on: without it
/// nobody could place that, and devices would differ by who had it.
fn keep_what_is_built_on(candidates: &Map<ChangeId, Candidate>, decision: &mut Decision) {
    let strangers = &decision.strangers;
    let others = candidates.iter().filter(|(id, _)| !strangers.contains_key(id));
    let mut open: Vec<ChangeId> =
        others.flat_map(|(_, one)| one.change.deps.iter().copied()).collect();
    while let Some(id) = open.pop() {
        if decision.strangers.remove(&id).is_some()
            && let Some(one) = candidates.get(&id)
        {
            let why = WhyAside::from(&HeldBy::NoWriter);
            decision.aside.insert(id, (ChangeStanding::Held, why));
            open.extend(&one.change.deps);
        }
    }
}

fn hold(loaded: &LoadedRecord, decision: &mut Decision, id: ChangeId, one: &Candidate, by: HeldBy) {
    if by == HeldBy::NoWriter && !one.stored && !loaded.members.was_member(&one.proof.device) {
        decision.strangers.insert(id, one.proof.device);
    } else {
        decision.aside.insert(id, (ChangeStanding::Held, WhyAside::from(&by)));
    }
}

/// Who wrote what nobody has signed.
const NOBODY: DeviceId = DeviceId::from_bytes([0; DeviceId::LEN]);

/// Judges the whole graph.
fn judge_all(
    loaded: &LoadedRecord,
    candidates: &Map<ChangeId, Candidate>,
    excluded: &Set<ChangeId>,
    removals: &[Removal],
    authors: &mut Authors<'_>,
) -> Decision {
    let members = &loaded.members;
    let links: Vec<GraphLink> = loaded.record.links().collect();
    let proofs = Proofs::of(loaded);
    let mut decision = Decision { whole: true, ..Decision::default() };
    let mut facts = Vec::with_capacity(links.len() + candidates.len());
    let mut inside: HashMap<(Writer, u64), ChangeId> = HashMap::with_capacity(links.len());
    for link in &links {
        inside.insert((link.writer, link.seq), link.id);
        let mut fact = ChangeFacts {
            id: link.id,
            writer: link.writer,
            seq: link.seq,
            previous: inside.get(&(link.writer, link.seq.saturating_sub(1))).copied(),
            device: NOBODY,
            deps: &link.deps,
            may_write: true,
            seen: (0..removals.len()).collect(),
        };
        // Without a signature (damage took it) there is nobody to ask: it stays as long as what it
        // builds on does, and speaks for nobody.
        if let Some(proof) = proofs.over(&link.writer, link.seq) {
            let (may, seen) = authors.of(proof);
            if let May::Wait(why) = may {
                decision.leaving.insert(link.id, (ChangeStanding::Waiting, why));
                continue;
            }
            fact = ChangeFacts { device: proof.device, may_write: may == May::Write, seen, ..fact };
        }
        facts.push(fact);
    }
    let previous = |change: &VerifiedChange| {
        let is_own = |id: &&ChangeId| match candidates.get(id) {
            Some(dep) => dep.change.writer == change.writer && dep.change.seq + 1 == change.seq,
            None => inside.get(&(change.writer, change.seq.saturating_sub(1))) == Some(id),
        };
        change.deps.iter().find(is_own).copied()
    };
    for (id, one) in candidates.iter().filter(|(id, _)| !excluded.contains(id)) {
        let (may, seen) = authors.of(&one.proof);
        if let May::Wait(why) = may {
            decision.aside.insert(*id, (ChangeStanding::Waiting, why));
            continue;
        }
        facts.push(ChangeFacts {
            id: *id,
            writer: one.change.writer,
            seq: one.change.seq,
            previous: previous(&one.change),
            device: one.proof.device,
            deps: &one.change.deps,
            may_write: may == May::Write,
            seen,
        });
    }
    let rules = Rules {
        removals: removals
            .iter()
            .map(|one| RemovalRule { op: one.op, device: one.device, frontier: &one.frontier })
            .collect(),
        accepted: members.accepted_frontiers(),
        senior: members.decided_frontiers(),
    };
    let choice = choose(&ChangeId::founding(&loaded.id), &facts, &rules);
    for link in &links {
        if let Some(by) = choice.held.get(&link.id) {
            decision.leaving.insert(link.id, (ChangeStanding::Held, WhyAside::from(by)));
        } else if choice.waiting.contains(&link.id) {
            decision.leaving.insert(link.id, (ChangeStanding::Waiting, WhyAside::Missing));
        }
    }
    for (id, one) in candidates {
        if choice.within.contains(id) {
            decision.entering.push(one.change.clone());
        } else if let Some(by) = choice.held.get(id) {
            hold(loaded, &mut decision, *id, one, *by);
        } else if choice.waiting.contains(id) {
            decision.aside.insert(*id, (ChangeStanding::Waiting, WhyAside::Missing));
        }
    }
    keep_what_is_built_on(candidates, &mut decision);
    decision
}

/// Whether somebody might write.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum May {
    Write,
    Not,
    /// That cannot be said yet.
    Wait(WhyAside),
}

/// Whether somebody might write, and which removals it had seen, by place.
type Answer = (May, Set<usize>);

/// Authors by what they had seen, each asked once.
struct Authors<'a> {
    members: &'a Members,
    removals: &'a [Removal],
    asked: HashMap<DeviceId, HashMap<Vec<MemberHash>, Answer>>,
}

impl<'a> Authors<'a> {
    fn new(members: &'a Members, removals: &'a [Removal]) -> Self {
        Self { members, removals, asked: HashMap::new() }
    }

    /// Whether the author of a proof might write, and which of the removals it had seen.
    fn of(&mut self, proof: &ChainProof) -> Answer {
        let of_device = self.asked.entry(proof.device).or_default();
        if let Some(known) = of_device.get(&proof.member_heads) {
            return known.clone();
        }
        let may = match self.members.standing(&proof.device, &proof.member_heads) {
            Standing::MayWrite(Role::Contributor | Role::Owner) => May::Write,
            Standing::MayWrite(Role::Viewer) | Standing::MayNot(_) => May::Not,
            Standing::Waiting(_) => May::Wait(WhyAside::Invitation),
            Standing::NeedsNewer => May::Wait(WhyAside::NeedsNewer),
        };
        let seen = self.removals.iter().enumerate();
        let seen = seen.filter(|(_, one)| self.members.had_seen(&proof.member_heads, &one.op));
        let answer = (may, seen.map(|(place, _)| place).collect());
        of_device.insert(proof.member_heads.clone(), answer.clone());
        answer
    }
}

/// The signatures over what is in the document.
pub(super) struct Proofs {
    /// Those that stand in it, by number.
    within: Map<Writer, Map<u64, ChainProof>>,
    /// Those that stand beside it, by the number of the last change in it that each proves: what was
    /// signed together can be parted, as a removal takes the beginning of a chain and leaves its end.
    parted: Map<Writer, Map<u64, ChainProof>>,
}

impl Proofs {
    pub(super) fn of(loaded: &LoadedRecord) -> Self {
        let mut this = Self { within: Map::new(), parted: Map::new() };
        let mut ends = Ends::of(loaded);
        for one in &loaded.signatures {
            let (of, seq) = if loaded.record.contains(&one.hash) {
                (&mut this.within, one.seq)
            } else if let Some(last) = ends.last_within(one) {
                (&mut this.parted, last)
            } else {
                continue;
            };
            if let Ok(proof) = ChainProof::decode_kept(&one.bytes) {
                // Sorted by number: the nearest one is the first.
                of.entry(one.writer).or_default().entry(seq).or_insert(proof);
            }
        }
        this
    }

    /// The nearest one that proves a writer's change; one in the document says better what its author
    /// had heard by then.
    pub(super) fn over(&self, writer: &Writer, seq: u64) -> Option<&ChainProof> {
        let of = [self.within.get(writer), self.parted.get(writer)];
        let next = of.iter().flatten().find_map(|own| own.range(seq..).next());
        let last = || of.iter().flatten().find_map(|own| own.last_key_value());
        next.or_else(last).map(|(_, proof)| proof)
    }
}

/// What stands beside the document, traced back into it along each writer's chain.
struct Ends<'a> {
    loaded: &'a LoadedRecord,
    beside: HashMap<ChangeId, &'a StoredChange>,
    orders: HashMap<Writer, Vec<ChangeId>>,
    known: HashMap<ChangeId, u64>,
}

impl<'a> Ends<'a> {
    fn of(loaded: &'a LoadedRecord) -> Self {
        let beside = loaded.pending.iter().map(|one| (one.hash, one)).collect();
        Self { loaded, beside, orders: HashMap::new(), known: HashMap::new() }
    }

    /// The number of the last change in the document that a signature beside it proves.
    fn last_within(&mut self, signature: &StoredSignature) -> Option<u64> {
        let writer = signature.writer;
        let mut at = *self.beside.get(&signature.hash)?;
        let order = self.orders.entry(writer).or_insert_with(|| self.loaded.record.ids_of(&writer));
        loop {
            if let Some(last) = self.known.get(&at.hash).copied() {
                self.known.insert(signature.hash, last);
                return Some(last);
            }
            let before = at.seq.checked_sub(1).filter(|before| *before > 0)?;
            let place = usize::try_from(before - 1).ok()?;
            if order.get(place).is_some_and(|own| at.deps.contains(own)) {
                self.known.insert(signature.hash, before);
                return Some(before);
            }
            let mut deps = at.deps.iter().filter_map(|dep| self.beside.get(dep));
            at = deps.find(|dep| dep.writer == writer && dep.seq == before)?;
        }
    }
}
