use super::*;
use crate::action::InviteFor;
use crate::action::{Action, WrappedKey};
use crate::identity::CHECKED;
use crate::identity::{DeviceKeys, InviteSecret};
use crate::limits::{
    MAX_SECOND_JOINS, MAX_VOID_OPS_OF_DEVICE, MAX_WAITING_OPS, MAX_WAITING_OPS_OF_DEVICE,
};
use crate::places::STEPS;
use crate::standing::Skip;
use crate::testing::keys;
use proptest::prelude::*;

const NOW: i64 = 1_790_000_000;

/// A record with its founder, device 1.
struct Graph {
    members: Members,
    owner: DeviceKeys,
    founding: MemberOp,
}

fn set(hashes: &[MemberHash]) -> Set<MemberHash> {
    hashes.iter().copied().collect()
}

fn secret(byte: u8) -> InviteSecret {
    InviteSecret::from_bytes([byte; 16])
}

fn remove(whom: u8) -> Action {
    let devices = vec![keys(whom).device()];
    Action::Remove { devices, frontier: Vec::new(), invites: Vec::new(), reason: None }
}

impl Graph {
    fn new() -> Self {
        let owner = keys(1);
        let founding = MemberOp::found(&owner, NOW, [7; 16], "bench", None).unwrap();
        let mut members = Members::new(*founding.record());
        members.insert(founding.clone()).unwrap();
        Self { members, owner, founding }
    }

    fn record(&self) -> RecordId {
        *self.members.record()
    }

    fn take(&mut self, op: &MemberOp) -> MemberHash {
        assert_eq!(self.members.insert(op.clone()), Ok(true));
        op.hash()
    }

    fn adds(&self, by: &DeviceKeys, seen: &[MemberHash], whom: u8, role: Role) -> MemberOp {
        let whom = (keys(whom).device(), keys(whom).exchange());
        MemberOp::add(by, self.record(), &set(seen), NOW, whom, role, "added").unwrap()
    }

    fn invites(&self, by: &DeviceKeys, seen: &[MemberHash], secret_of: u8) -> MemberOp {
        let (record, seen) = (self.record(), set(seen));
        let secret = secret(secret_of);
        let whom = (Role::Contributor, InviteFor::Other);
        MemberOp::invite(by, record, &seen, NOW, &secret, whom, NOW + 100).unwrap()
    }

    fn joins(
        &self,
        who: u8,
        seen: &[MemberHash],
        invite: MemberHash,
        with: u8,
        at: i64,
    ) -> MemberOp {
        let (record, seen) = (self.record(), set(seen));
        MemberOp::join(&keys(who), record, &seen, at, invite, &secret(with), "joined").unwrap()
    }

    fn signs(&self, by: &DeviceKeys, seen: &[MemberHash], action: Action) -> MemberOp {
        MemberOp::sign(by, self.record(), &set(seen), NOW, action).unwrap()
    }

    fn removes(&self, by: &DeviceKeys, seen: &[MemberHash], whom: u8) -> MemberOp {
        self.signs(by, seen, remove(whom))
    }

    /// A new epoch for these devices.
    fn epoch(&self, by: &DeviceKeys, seen: &[MemberHash], number: u8, to: &[u8]) -> MemberOp {
        let mut wrapped: Vec<WrappedKey> = to
            .iter()
            .map(|to| WrappedKey { device: keys(*to).device(), enc: [0; 32], ct: [0; 48] })
            .collect();
        wrapped.sort_by_key(|one| one.device);
        let epoch = EpochId::from_bytes([number; 16]);
        let (parents, older, relays) = (Vec::new(), Vec::new(), Vec::new());
        let action = Action::NewEpoch { epoch, parents, wrapped, older, relays };
        self.signs(by, seen, action)
    }

    fn status(&self, op: &MemberOp) -> Status {
        self.members.status(&op.hash()).unwrap().clone()
    }

    fn role(&self, device: u8) -> Option<Role> {
        self.members.role(&keys(device).device())
    }
}

#[test]
fn the_founder_owns_the_record() {
    let graph = Graph::new();
    assert_eq!(graph.role(1), Some(Role::Owner));
    assert_eq!(graph.members.heads(), set(&[graph.founding.hash()]));
    let member = graph.members.member(&keys(1).device()).unwrap();
    assert_eq!((member.label.as_str(), member.exchange), ("bench", keys(1).exchange()));
}

#[test]
fn only_owners_add_and_invite() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let add = graph.adds(&graph.owner, &[root], 2, Role::Contributor);
    let add_hash = graph.take(&add);
    assert_eq!(graph.role(2), Some(Role::Contributor));
    let by_contributor = graph.adds(&keys(2), &[add_hash], 3, Role::Viewer);
    graph.take(&by_contributor);
    assert_eq!(graph.status(&by_contributor), Status::Skipped(Skip::NotOwner));
    let by_stranger = graph.invites(&keys(9), &[add_hash], 1);
    graph.take(&by_stranger);
    assert_eq!(graph.status(&by_stranger), Status::Skipped(Skip::NotOwner));
    assert_eq!(graph.role(3), None);
    // What was skipped is not named as seen.
    assert_eq!(graph.members.heads(), set(&[add_hash]));
}

#[test]
fn an_owner_acts_only_after_becoming_one() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let add = graph.adds(&graph.owner, &[root], 2, Role::Owner);
    graph.take(&add);
    // Device 2 did not see its own addition.
    let early = graph.adds(&keys(2), &[root], 3, Role::Viewer);
    graph.take(&early);
    assert_eq!(graph.status(&early), Status::Skipped(Skip::NotOwner));
    let later = graph.adds(&keys(2), &[add.hash()], 3, Role::Viewer);
    graph.take(&later);
    assert_eq!(graph.status(&later), Status::Accepted);
}

#[test]
fn the_greatest_role_given_counts() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let less = graph.adds(&graph.owner, &[root], 2, Role::Viewer);
    graph.take(&less);
    let more = graph.adds(&graph.owner, &[root], 2, Role::Contributor);
    graph.take(&more);
    let again = graph.adds(&graph.owner, &[less.hash(), more.hash()], 2, Role::Viewer);
    graph.take(&again);
    assert_eq!(graph.role(2), Some(Role::Contributor));
    // Adding the founder as a viewer does not lock anybody out.
    let add = graph.adds(&graph.owner, &[root], 1, Role::Viewer);
    graph.take(&add);
    assert_eq!(graph.role(1), Some(Role::Owner));
}

#[test]
fn an_invitation_lets_one_device_in() {
    let mut graph = Graph::new();
    let invite = graph.invites(&graph.owner, &[graph.founding.hash()], 1);
    let invite = graph.take(&invite);
    let open = graph.members.open_invitations(NOW + 100);
    assert_eq!(open.iter().map(|open| open.invite).collect::<Vec<_>>(), [invite]);
    assert_eq!(graph.members.open_invitations(NOW + 101), []);

    let first = graph.joins(2, &[invite], invite, 1, NOW + 1);
    let hash = graph.take(&first);
    assert_eq!(graph.role(2), Some(Role::Contributor));
    assert_eq!(graph.members.open_invitations(NOW), []);
    let second = graph.joins(3, &[hash], invite, 1, NOW + 2);
    graph.take(&second);
    assert_eq!(graph.status(&second), Status::Skipped(Skip::Used(hash)));
    assert_eq!(graph.role(3), None);
}

#[test]
fn of_concurrent_joins_the_lower_hash_counts() {
    let mut graph = Graph::new();
    let invite = graph.invites(&graph.owner, &[graph.founding.hash()], 1);
    let invite = graph.take(&invite);
    let joins = [2, 3].map(|who| graph.joins(who, &[invite], invite, 1, NOW + 1));
    for join in &joins {
        graph.take(join);
    }
    let [low, high] = if joins[0].hash() < joins[1].hash() { [0, 1] } else { [1, 0] };
    assert_eq!(graph.status(&joins[low]), Status::Accepted);
    assert_eq!(graph.status(&joins[high]), Status::Skipped(Skip::Used(joins[low].hash())));
}

#[test]
fn joins_that_are_not_in_order_are_skipped() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let invite = graph.invites(&graph.owner, &[root], 1);
    let invite = graph.take(&invite);
    let late = graph.joins(2, &[invite], invite, 1, NOW + 101);
    graph.take(&late);
    assert_eq!(graph.status(&late), Status::Skipped(Skip::Expired));
    let guessed = graph.joins(3, &[invite], invite, 9, NOW);
    graph.take(&guessed);
    assert_eq!(graph.status(&guessed), Status::Skipped(Skip::NoConsent));
    let unseen = graph.joins(4, &[root], invite, 1, NOW);
    graph.take(&unseen);
    assert_eq!(graph.status(&unseen), Status::Skipped(Skip::NoInvitation));
    let not_an_invite = graph.joins(5, &[root], root, 1, NOW);
    graph.take(&not_an_invite);
    assert_eq!(graph.status(&not_an_invite), Status::Skipped(Skip::NoInvitation));
    // None of them used the invitation up.
    let good = graph.joins(6, &[invite], invite, 1, NOW);
    graph.take(&good);
    assert_eq!(graph.status(&good), Status::Accepted);
}

#[test]
fn a_devices_own_label_and_key_go_first() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let add = graph.adds(&graph.owner, &[root], 2, Role::Viewer);
    graph.take(&add);
    let invite = graph.invites(&graph.owner, &[add.hash()], 1);
    let invite = graph.take(&invite);
    let join = graph.joins(2, &[invite], invite, 1, NOW);
    graph.take(&join);
    let member = graph.members.member(&keys(2).device()).unwrap();
    assert_eq!((member.label.as_str(), member.role), ("joined", Role::Contributor));
    assert_eq!(member.since, join.hash());
}

#[test]
fn what_saw_something_missing_waits() {
    let mut graph = Graph::new();
    let add = graph.adds(&graph.owner, &[graph.founding.hash()], 2, Role::Owner);
    let next = graph.adds(&keys(2), &[add.hash()], 3, Role::Viewer);
    graph.take(&next);
    assert_eq!(graph.status(&next), Status::Waiting);
    assert_eq!(graph.members.missing(), set(&[add.hash()]));
    let standing = graph.members.standing(&keys(3).device(), &[next.hash()]);
    assert_eq!(standing, Standing::Waiting(vec![add.hash()]));
    graph.take(&add);
    assert_eq!(graph.status(&next), Status::Accepted);
    assert_eq!(graph.members.missing(), set(&[]));
}

#[test]
fn what_saw_an_unknown_operation_needs_a_newer_version() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let action = Action::Unknown { kind: 13, body: vec![0] };
    let removal = MemberOp::sign(&graph.owner, graph.record(), &set(&[root]), NOW, action).unwrap();
    graph.take(&removal);
    assert_eq!(graph.status(&removal), Status::NeedsNewer);
    let after = graph.adds(&graph.owner, &[removal.hash()], 2, Role::Owner);
    graph.take(&after);
    assert_eq!(graph.status(&after), Status::NeedsNewer);
    let standing = graph.members.standing(&keys(1).device(), &[after.hash()]);
    assert_eq!(standing, Standing::NeedsNewer);
    assert_eq!(graph.members.heads(), set(&[root]));
}

#[test]
fn standing_follows_from_what_the_author_had_seen() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let viewer = graph.adds(&graph.owner, &[root], 2, Role::Viewer);
    let viewer = graph.take(&viewer);
    let writer = graph.adds(&graph.owner, &[viewer], 2, Role::Contributor);
    let writer = graph.take(&writer);
    let standing = |heads: &[MemberHash]| graph.members.standing(&keys(2).device(), heads);
    assert_eq!(standing(&[]), Standing::MayNot(None));
    assert_eq!(standing(&[root]), Standing::MayNot(None));
    assert_eq!(standing(&[viewer]), Standing::MayNot(Some(Role::Viewer)));
    assert_eq!(standing(&[root, writer]), Standing::MayWrite(Role::Contributor));
    let owner = graph.members.standing(&keys(1).device(), &[root]);
    assert_eq!(owner, Standing::MayWrite(Role::Owner));
}

/// Nobody can leave before coming in: such an operation is skipped, and has no effect on who is added later,
/// whether that had been seen or not.
#[test]
fn who_left_before_coming_in_is_added_all_the_same() {
    for seen_first in [false, true] {
        let mut graph = Graph::new();
        let founding = graph.founding.hash();
        let early = graph.signs(&keys(4), &[founding], Action::Leave);
        graph.take(&early);
        let seen = if seen_first { early.hash() } else { founding };
        let added = graph.adds(&keys(1), &[seen], 4, Role::Owner);
        graph.take(&added);
        let both = [early.hash(), added.hash()];
        let adds = graph.adds(&keys(4), &both, 5, Role::Contributor);
        graph.take(&adds);
        assert_eq!(graph.status(&early), Status::Skipped(Skip::NotAllowed));
        assert_eq!(graph.status(&adds), Status::Accepted);
        assert_eq!(graph.role(4), Some(Role::Owner));
        assert_eq!(graph.role(5), Some(Role::Contributor));
        let standing = graph.members.standing(&keys(4).device(), &both);
        assert_eq!(standing, Standing::MayWrite(Role::Owner));
        // Who did come in leaves.
        let late = graph.signs(&keys(4), &[adds.hash()], Action::Leave);
        graph.take(&late);
        assert_eq!((graph.status(&late), graph.role(4)), (Status::Accepted, None));
    }
}

#[test]
fn operations_of_another_record_are_refused() {
    let mut graph = Graph::new();
    let other = MemberOp::found(&keys(2), NOW, [1; 16], "bench", None).unwrap();
    let refused = graph.members.insert(other.clone());
    let (found, expected) = (*other.record(), graph.record());
    assert_eq!(refused, Err(InsertError { found, expected }));
    assert_eq!(graph.members.insert(graph.founding.clone()), Ok(false));
}

#[test]
fn a_removal_ends_a_role_and_says_how_far() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let add = graph.adds(&graph.owner, &[root], 2, Role::Owner);
    graph.take(&add);
    let removal = graph.removes(&graph.owner, &[add.hash()], 2);
    graph.take(&removal);
    assert_eq!(graph.role(2), None);
    let removals = graph.members.removals();
    assert_eq!(removals.len(), 1);
    assert_eq!((removals[0].op, removals[0].device), (removal.hash(), keys(2).device()));
    assert!(graph.members.had_seen(&[removal.hash()], &add.hash()));
    assert!(!graph.members.had_seen(&[add.hash()], &removal.hash()));
    // What it had seen before still gives it its role; what saw the removal does not.
    let standing = |heads: &[MemberHash]| graph.members.standing(&keys(2).device(), heads);
    assert_eq!(standing(&[add.hash()]), Standing::MayWrite(Role::Owner));
    assert_eq!(standing(&[removal.hash()]), Standing::MayNot(None));
    // The removed owner answers, and its answer comes first by its own account.
    let back = graph.removes(&keys(2), &[add.hash()], 1);
    graph.take(&back);
    assert_eq!(graph.status(&back), Status::Skipped(Skip::NotOwner));
    assert_eq!((graph.role(1), graph.role(2)), (Some(Role::Owner), None));
}

#[test]
fn who_came_in_later_removes_nobody_who_was_there_before() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let add = graph.adds(&graph.owner, &[root], 2, Role::Owner);
    graph.take(&add);
    assert!(graph.members.can_cap(&keys(1).device(), &keys(2).device()));
    assert!(!graph.members.can_cap(&keys(2).device(), &keys(1).device()));
    let removal = graph.removes(&keys(2), &[add.hash()], 1);
    graph.take(&removal);
    assert_eq!(graph.role(1), Some(Role::Owner));
    assert_eq!(graph.members.removals(), [], "nor draws a line through their work");
    // Who has left is above nobody any more.
    let leave = graph.signs(&keys(1), &[removal.hash()], Action::Leave);
    graph.take(&leave);
    assert_eq!((graph.role(1), graph.members.removals()), (None, Vec::new()));
    let again = graph.removes(&keys(2), &[leave.hash()], 1);
    graph.take(&again);
    let lines: Vec<MemberHash> = graph.members.removals().iter().map(|one| one.op).collect();
    assert_eq!(lines, [again.hash()]);
}

#[test]
fn the_recovery_key_is_above_the_founder_and_no_member() {
    let words = keys(200);
    let founding =
        MemberOp::found(&keys(1), NOW, [7; 16], "bench", Some(words.as_recovery())).unwrap();
    let mut members = Members::new(*founding.record());
    members.insert(founding.clone()).unwrap();
    let mut graph = Graph { members, owner: keys(1), founding };
    let root = graph.founding.hash();
    assert_eq!(graph.members.recovery(), Some(words.as_recovery()));
    assert_eq!(graph.members.members().len(), 1);
    let add = graph.adds(&words, &[root], 3, Role::Owner);
    graph.take(&add);
    let removal = graph.removes(&words, &[add.hash()], 1);
    graph.take(&removal);
    assert_eq!((graph.role(1), graph.role(3)), (None, Some(Role::Owner)));
    let answer = graph.removes(&keys(1), &[root], 3);
    graph.take(&answer);
    assert_eq!(graph.role(3), Some(Role::Owner));
}

#[test]
fn a_recovery_key_that_gave_its_place_on_does_nothing_more() {
    let (words, next) = (keys(200), keys(201));
    let recovery = Some(words.as_recovery());
    let founding = MemberOp::found(&keys(1), NOW, [7; 16], "bench", recovery).unwrap();
    let mut members = Members::new(*founding.record());
    members.insert(founding.clone()).unwrap();
    let mut graph = Graph { members, owner: keys(1), founding };
    let root = graph.founding.hash();
    // Only the key itself does that.
    let action = Action::HandRecovery { next: next.as_recovery() };
    let usurped = graph.signs(&keys(1), &[root], action.clone());
    graph.take(&usurped);
    assert_eq!(graph.status(&usurped), Status::Skipped(Skip::NotOwner));
    let before = graph.adds(&words, &[root], 3, Role::Owner);
    let before = graph.take(&before);
    let handed = graph.signs(&words, &[before], action);
    let handed = graph.take(&handed);
    assert_eq!(graph.members.recovery(), Some(next.as_recovery()));
    // What the old key says it had done at the same time is nothing, whatever it names as seen.
    for seen in [root, handed] {
        let late = graph.removes(&words, &[seen], 3);
        graph.take(&late);
        assert_eq!(graph.status(&late), Status::Skipped(Skip::NotOwner));
    }
    assert_eq!(graph.role(3), Some(Role::Owner));
    let removal = graph.removes(&next, &[handed], 1);
    graph.take(&removal);
    assert_eq!((graph.role(1), graph.role(3)), (None, Some(Role::Owner)));
    assert_eq!(graph.members.members().len(), 1);
}

#[test]
fn a_device_is_called_what_it_last_said() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let add = graph.adds(&graph.owner, &[root], 2, Role::Contributor);
    let added = graph.take(&add);
    let called = |label: &str| Action::Rename { label: label.to_owned() };
    let first = graph.signs(&keys(2), &[added], called("stage"));
    let first = graph.take(&first);
    let second = graph.signs(&keys(2), &[first], called("bus"));
    let second = graph.take(&second);
    // A stranger is called nothing, and nobody names another one.
    let stranger = graph.signs(&keys(9), &[added], called("bench"));
    graph.take(&stranger);
    assert_eq!(graph.status(&stranger), Status::Skipped(Skip::NotAllowed));
    let label = |device: u8| graph.members.member(&keys(device).device()).unwrap().label.clone();
    assert_eq!((label(1), label(2)), ("bench".to_owned(), "bus".to_owned()));
    let removal = graph.removes(&keys(1), &[second], 2);
    graph.take(&removal);
    let labels = graph.members.labels(&keys(1).device());
    assert_eq!(labels.get(&keys(2).device()).unwrap(), "bus");
}

#[test]
fn an_owner_lowers_a_role_and_raises_it_again() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let add = graph.adds(&graph.owner, &[root], 2, Role::Contributor);
    let mut last = graph.take(&add);
    for role in [Role::Viewer, Role::Owner, Role::Contributor] {
        let device = keys(2).device();
        let action = Action::SetRole { device, role, frontier: Vec::new() };
        let op = graph.signs(&graph.owner, &[last], action);
        last = graph.take(&op);
        assert_eq!(graph.role(2), Some(role));
    }
    // A viewer's work within the frontier stays: only the first of these takes writing away.
    assert_eq!(graph.members.removals().len(), 1);
}

#[test]
fn a_withdrawn_invitation_lets_nobody_in_unless_the_join_was_seen() {
    let mut graph = Graph::new();
    let invite = graph.invites(&graph.owner, &[graph.founding.hash()], 1);
    let invite = graph.take(&invite);
    let withdrawal = graph.signs(&graph.owner, &[invite], Action::Withdraw { invite });
    graph.take(&withdrawal);
    assert_eq!(graph.members.open_invitations(NOW), []);
    let join = graph.joins(2, &[invite], invite, 1, NOW);
    graph.take(&join);
    let skip = Skip::Withdrawn(withdrawal.hash());
    assert_eq!(graph.status(&join), Status::Skipped(skip));
    // Somebody else's withdrawal is nothing.
    let other = graph.invites(&graph.owner, &[graph.founding.hash()], 2);
    let other = graph.take(&other);
    let by_stranger = graph.signs(&keys(9), &[other], Action::Withdraw { invite: other });
    graph.take(&by_stranger);
    assert_eq!(graph.status(&by_stranger), Status::Skipped(Skip::NotOwner));
    let second = graph.joins(3, &[other], other, 2, NOW);
    let second = graph.take(&second);
    assert_eq!(graph.role(3), Some(Role::Contributor));
    // Too late: it had seen the join.
    let late = graph.signs(&graph.owner, &[second], Action::Withdraw { invite: other });
    graph.take(&late);
    assert_eq!(graph.role(3), Some(Role::Contributor));
}

#[test]
fn an_invitation_dies_with_its_makers_removal() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let add = graph.adds(&graph.owner, &[root], 2, Role::Owner);
    let add = graph.take(&add);
    let invites = [1, 2].map(|secret| graph.invites(&keys(2), &[add], secret));
    let [seen, unseen] = invites.map(|invite| graph.take(&invite));
    let in_time = graph.joins(3, &[seen], seen, 1, NOW);
    let in_time = graph.take(&in_time);
    let removal = graph.removes(&graph.owner, &[in_time, unseen], 2);
    graph.take(&removal);
    let late = graph.joins(4, &[unseen], unseen, 2, NOW);
    graph.take(&late);
    assert_eq!((graph.role(3), graph.role(4)), (Some(Role::Contributor), None));
    assert_eq!(graph.status(&late), Status::Skipped(Skip::Withdrawn(removal.hash())));
}

#[test]
fn a_join_that_an_owner_has_seen_is_not_pushed_out_later() {
    let mut graph = Graph::new();
    let invite = graph.invites(&graph.owner, &[graph.founding.hash()], 1);
    let invite = graph.take(&invite);
    let honest = graph.joins(2, &[invite], invite, 1, NOW);
    graph.take(&honest);
    let thief = (3..200)
        .map(|who| graph.joins(who, &[invite], invite, 1, NOW))
        .find(|join| join.hash() < honest.hash())
        .unwrap();
    let mut before = graph.members.clone();
    before.insert(thief.clone()).unwrap();
    assert_eq!(before.role(thief.device()), Some(Role::Contributor));
    // The owner has written since.
    let next = graph.invites(&graph.owner, &[honest.hash()], 2);
    graph.take(&next);
    graph.take(&thief);
    assert_eq!(graph.role(2), Some(Role::Contributor));
    assert_eq!(graph.members.role(thief.device()), None);
}

/// No clock but the newcomer's own says when it joined: what ends an invitation for good is its
/// withdrawal, whatever time is stated.
#[test]
fn a_join_that_states_an_earlier_time_counts_until_the_invitation_is_withdrawn() {
    for withdrawn in [false, true] {
        let mut graph = Graph::new();
        let root = graph.founding.hash();
        let invite = graph.invites(&graph.owner, &[root], 1);
        let invite = graph.take(&invite);
        if withdrawn {
            let withdrawal = graph.signs(&graph.owner, &[invite], Action::Withdraw { invite });
            graph.take(&withdrawal);
        }
        // A year before the invitation was written.
        let join = graph.joins(2, &[invite], invite, 1, NOW - 365 * 86_400);
        graph.take(&join);
        assert_eq!(graph.status(&join) == Status::Accepted, !withdrawn);
    }
}

#[test]
fn a_person_brings_its_other_devices_in() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let add = graph.adds(&graph.owner, &[root], 2, Role::Viewer);
    let add = graph.take(&add);
    let invites = |graph: &Graph, with, role| {
        let key = secret(with).key(&graph.record());
        let whom = InviteFor::SamePerson;
        graph.signs(&keys(2), &[add], Action::Invite { key, role, expires: NOW, whom })
    };
    let more = invites(&graph, 1, Role::Contributor);
    graph.take(&more);
    assert_eq!(graph.status(&more), Status::Skipped(Skip::NotAllowed));
    let same = invites(&graph, 2, Role::Viewer);
    let same = graph.take(&same);
    let join = graph.joins(3, &[same], same, 2, NOW);
    graph.take(&join);
    let joined = graph.members.member(&keys(3).device()).unwrap();
    assert_eq!((joined.role, joined.person), (Role::Viewer, keys(2).device()));
    // Only owners invite others.
    let other = graph.invites(&keys(2), &[add], 3);
    graph.take(&other);
    assert_eq!(graph.status(&other), Status::Skipped(Skip::NotOwner));
}

#[test]
fn an_epoch_is_for_the_members_its_author_knew() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let add = graph.adds(&graph.owner, &[root], 2, Role::Contributor);
    let add = graph.take(&add);
    let alone = graph.epoch(&graph.owner, &[root], 1, &[1]);
    let both = graph.epoch(&keys(2), &[add], 2, &[1, 2]);
    let missing = graph.epoch(&graph.owner, &[add], 3, &[1]);
    let more = graph.epoch(&graph.owner, &[add], 4, &[1, 2, 3]);
    let stranger = graph.epoch(&keys(9), &[add], 5, &[1, 2]);
    for op in [&alone, &both, &missing, &more, &stranger] {
        graph.take(op);
    }
    assert_eq!(graph.status(&alone), Status::Accepted);
    assert_eq!(graph.status(&both), Status::Accepted);
    assert_eq!(graph.status(&missing), Status::Skipped(Skip::Recipients));
    assert_eq!(graph.status(&more), Status::Skipped(Skip::Recipients));
    assert_eq!(graph.status(&stranger), Status::Skipped(Skip::NotAllowed));
    let epochs: Set<MemberHash> = graph.members.epochs().map(|(_, op)| op.hash()).collect();
    assert_eq!(epochs, set(&[alone.hash(), both.hash()]));
    assert!(graph.members.is_clean(&both.hash()));
    // Somebody goes: no epoch is clean until one has seen it.
    let left = graph.signs(&keys(2), &[both.hash()], Action::Leave);
    graph.take(&left);
    assert_eq!(graph.role(2), None);
    assert!(!graph.members.is_clean(&both.hash()));
    let after = graph.epoch(&graph.owner, &[alone.hash(), left.hash()], 6, &[1]);
    graph.take(&after);
    assert_eq!(graph.status(&after), Status::Accepted);
    assert!(graph.members.is_clean(&after.hash()));
}

#[test]
fn kinds_from_64_on_are_passed_over() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let unknown = Action::Unknown { kind: 65, body: vec![0] };
    let unknown = graph.signs(&graph.owner, &[root], unknown);
    graph.take(&unknown);
    assert_eq!(graph.status(&unknown), Status::Skipped(Skip::UnknownKind));
    let after = graph.adds(&graph.owner, &[unknown.hash()], 2, Role::Viewer);
    graph.take(&after);
    assert_eq!(graph.role(2), Some(Role::Viewer));
}

#[test]
fn strangers_fill_nothing_and_members_their_own_share() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let add = graph.adds(&graph.owner, &[root], 2, Role::Contributor);
    graph.take(&add);
    let own = keys(1).device();
    for number in 0..200_u8 {
        // Void, by a stranger; void, by a member; waiting, by strangers and by a member.
        let unknown = MemberHash::from_bytes([number; 32]);
        for (by, seen) in [(9, root), (2, add.hash()), (10 + number % 100, unknown), (2, unknown)] {
            let op = graph.adds(&keys(by), &[seen], number, Role::Owner);
            graph.take(&op);
        }
    }
    let honest = graph.adds(&graph.owner, &[add.hash()], 3, Role::Contributor);
    graph.take(&honest);
    let early = graph.joins(4, &[MemberHash::from_bytes([1; 32])], root, 1, NOW);
    graph.take(&early);
    let before = graph.members.clone();
    let gone = graph.members.keep(&own, Set::new);
    assert!(!gone.is_empty());
    assert_eq!(graph.members.members(), before.members());
    assert_eq!(graph.members.heads(), before.heads());
    let by = |device: u8, status: fn(&Status) -> bool| {
        let ops = graph.members.ops();
        ops.filter(|op| *op.device() == keys(device).device())
            .filter(|op| graph.members.status(&op.hash()).is_some_and(status))
            .count()
    };
    let void = |status: &Status| matches!(status, Status::Skipped(_));
    let waits = |status: &Status| *status == Status::Waiting;
    assert_eq!(by(9, void), 0);
    assert!(by(2, void) <= MAX_WAITING_OPS_OF_DEVICE + MAX_VOID_OPS_OF_DEVICE);
    assert_eq!(by(2, waits), MAX_WAITING_OPS_OF_DEVICE);
    let waiting = graph.members.ops().filter(|op| waits(&graph.status(op))).count();
    assert!(waiting <= MAX_WAITING_OPS);
    // Done once, it changes nothing again, and the set is what counts.
    assert_eq!(graph.members.keep(&own, Set::new), []);
}

/// Changes that are in a record name what their author had seen: without it they wait for ever, wherever they
/// come. Strangers have one share for that, however many they are.
#[test]
fn what_changes_name_as_seen_is_kept_though_it_counts_for_nothing() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let void: Vec<_> =
        (2..102).map(|by| graph.adds(&keys(by), &[root], 150, Role::Owner)).collect();
    let all = || void.iter().map(MemberOp::hash).collect::<Set<_>>();
    let own = keys(1).device();
    for most in [0, 1, MAX_SECOND_JOINS + 1] {
        for op in &void {
            graph.members.insert(op.clone()).unwrap();
        }
        let named: Set<_> = all().into_iter().take(most).collect();
        let gone: Set<_> = graph.members.keep(&own, || named.clone()).into_iter().collect();
        let kept: Set<_> = all().difference(&gone).copied().collect();
        assert!(kept.is_subset(&named));
        assert_eq!(kept.len(), most.min(MAX_SECOND_JOINS));
    }
}

/// Else the change that names it waits whenever what stands before that is given up, and is in whenever it comes.
#[test]
fn what_was_seen_before_what_changes_name_is_kept_with_it() {
    let mut graph = Graph::new();
    let first = graph.adds(&keys(2), &[graph.founding.hash()], 150, Role::Owner);
    let second = graph.adds(&keys(3), &[first.hash()], 151, Role::Owner);
    for op in [&first, &second] {
        graph.members.insert(op.clone()).unwrap();
    }
    let own = keys(1).device();
    assert_eq!(graph.members.keep(&own, || Set::from([second.hash()])), []);
    let gone: Set<_> = graph.members.keep(&own, Set::new).into_iter().collect();
    assert_eq!(gone, Set::from([first.hash(), second.hash()]));
}

#[test]
fn a_consent_is_checked_once_however_much_comes_after_it() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let mut ops = vec![];
    for number in 2..12 {
        let invite = graph.invites(&graph.owner, &[root], number);
        let join = graph.joins(number, &[invite.hash()], invite.hash(), number, NOW);
        // Somebody else signs a join for it, without the secret.
        let other = graph.joins(100 + number, &[invite.hash()], invite.hash(), 99, NOW);
        let name = Action::Rename { label: format!("name {number}") };
        ops.extend([invite, graph.signs(&keys(number), &[join.hash()], name), join, other]);
    }
    CHECKED.set(0);
    for op in &ops {
        graph.take(op);
        assert!(!graph.members.members().is_empty());
    }
    assert_eq!((graph.members.members().len(), CHECKED.get()), (11, 20));
    // Also where some are given up.
    graph.members.keep(&keys(1).device(), Set::new);
    assert_eq!((graph.members.members().len(), CHECKED.get()), (11, 20));
}

/// A history of so many operations of 32 devices, most of which saw two others, and what was worked out
/// for it, in steps over sets of operations: to know who is in, and to name what a new one has seen.
fn steps_of(operations: usize) -> (u64, u64) {
    let mut graph = Graph::new();
    let mut ops = vec![graph.founding.hash()];
    for number in 1..32 {
        let op = graph.adds(&graph.owner, &ops[ops.len() - 1..], number + 1, Role::Contributor);
        ops.push(graph.take(&op));
    }
    while ops.len() < operations {
        let by = keys(1 + (ops.len() * 7 % 32) as u8);
        let seen = &ops[ops.len() - 1 - ops.len() % 2..];
        let op = graph.signs(&by, seen, Action::Rename { label: format!("name {}", ops.len()) });
        ops.push(graph.take(&op));
    }
    let steps = || STEPS.with(|steps| steps.replace(0));
    steps();
    assert_eq!(graph.members.members().len(), 32);
    let known = steps();
    for _ in 0..100 {
        assert_eq!(graph.members.heads(), set(&ops[ops.len() - 1..]));
    }
    (known, steps())
}

#[test]
fn naming_what_was_seen_costs_the_same_after_any_number_of_operations() {
    let (few, many) = (steps_of(512), steps_of(4_096));
    // Every seal asks for it, and finds it worked out.
    assert_eq!((few.1, many.1), (0, 0));
    // Eight times as many operations take about eight times the steps.
    assert!(many.0 < 12 * few.0, "{few:?} {many:?}");
}

#[test]
fn what_an_accepted_operation_has_seen_is_kept() {
    let mut graph = Graph::new();
    let root = graph.founding.hash();
    let void = graph.adds(&keys(9), &[root], 8, Role::Owner);
    graph.take(&void);
    let honest = graph.adds(&graph.owner, &[void.hash()], 2, Role::Contributor);
    graph.take(&honest);
    assert_eq!(graph.members.keep(&keys(2).device(), Set::new), []);
    assert_eq!(graph.role(2), Some(Role::Contributor));
}

/// One step of a random history: who, what, which of the earlier operations were seen, and two
/// free choices.
type Step = (u8, u8, Vec<prop::sample::Index>, u8, prop::sample::Index);

fn history(steps: &[Step]) -> (RecordId, Vec<MemberOp>) {
    let graph = Graph::new();
    let mut ops = vec![graph.founding.clone()];
    for (who, what, seen, choice, earlier) in steps {
        let by = keys(*who);
        let mut seen: Vec<MemberHash> = seen.iter().map(|index| index.get(&ops).hash()).collect();
        let invites: Vec<&MemberOp> =
            ops.iter().filter(|op| matches!(op.action(), Action::Invite { .. })).collect();
        let op = match what {
            0..=2 => {
                let role = [Role::Owner, Role::Contributor, Role::Viewer][usize::from(choice % 3)];
                graph.adds(&by, &seen, 1 + choice % 6, role)
            }
            3..=4 => graph.invites(&by, &seen, choice % 3),
            5..=8 if !invites.is_empty() => {
                let invite = earlier.get(&invites).hash();
                seen.push(invite);
                let at = NOW + i64::from(choice % 2) * 101;
                graph.joins(*who, &seen, invite, choice % 3, at)
            }
            10 => graph.removes(&by, &seen, 10 + choice % 6),
            11 if choice % 6 + 1 != *who => {
                let device = keys(1 + choice % 6).device();
                let role = [Role::Owner, Role::Contributor, Role::Viewer][usize::from(choice % 3)];
                graph.signs(&by, &seen, Action::SetRole { device, role, frontier: Vec::new() })
            }
            12 if choice % 6 + 1 != *who => graph.removes(&by, &seen, 1 + choice % 6),
            13 => graph.signs(&by, &seen, Action::Leave),
            14 if !invites.is_empty() => {
                let invite = earlier.get(&invites).hash();
                graph.signs(&by, &seen, Action::Withdraw { invite })
            }
            15 => graph.epoch(&by, &seen, *choice, &[1, 2 + choice % 5]),
            9 => {
                let action = Action::Unknown { kind: 13, body: vec![*choice % 24] };
                MemberOp::sign(&by, graph.record(), &set(&seen), NOW, action).unwrap()
            }
            _ => continue,
        };
        ops.push(op);
    }
    (graph.record(), ops)
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let seen = prop::collection::vec(any::<prop::sample::Index>(), 1..4);
    let what = prop_oneof![20 => 0..9_u8, 10 => 10..16_u8, 1 => Just(9_u8)];
    let step = (1..7_u8, what, seen, any::<u8>(), any::<prop::sample::Index>());
    prop::collection::vec(step, 1..24)
}

/// All that can be asked, for comparison.
fn answers(members: &Members) -> impl PartialEq + std::fmt::Debug + use<> {
    let statuses: Vec<_> =
        members.ops().map(|op| (op.hash(), members.status(&op.hash()).cloned())).collect();
    let open: Vec<_> = members.open_invitations(NOW);
    (statuses, members.members(), open, members.heads(), members.missing())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn order_and_repetition_change_nothing(
        (steps, order) in steps().prop_flat_map(|steps| {
            let places: Vec<usize> = (0..=steps.len()).flat_map(|place| [place, place]).collect();
            (Just(steps), Just(places).prop_shuffle())
        }),
    ) {
        let (record, ops) = history(&steps);
        let mut straight = Members::new(record);
        for op in &ops {
            let _ = straight.insert(op.clone());
        }
        let mut shuffled = Members::new(record);
        for op in order.iter().filter_map(|place| ops.get(*place)) {
            shuffled.insert(op.clone()).unwrap();
            // Asking on the way must not change the end.
            let _ = shuffled.members();
        }
        prop_assert_eq!(answers(&straight), answers(&shuffled));
    }

    #[test]
    fn nobody_acts_without_authority(steps in steps()) {
        let (record, ops) = history(&steps);
        let mut members = Members::new(record);
        for op in &ops {
            let _ = members.insert(op.clone());
        }
        let accepted = |op: &&MemberOp| members.status(&op.hash()) == Some(&Status::Accepted);
        let mut used = Set::new();
        for op in members.ops().filter(accepted) {
            match op.action() {
                Action::Found { .. } => prop_assert_eq!(op.hash(), ops[0].hash()),
                Action::Add { .. }
                | Action::Invite { .. }
                | Action::Remove { .. }
                | Action::SetRole { .. } => prop_assert_eq!(
                    members.standing(op.device(), op.seen()),
                    Standing::MayWrite(Role::Owner)
                ),
                Action::Join { invite, .. } => {
                    prop_assert!(used.insert(*invite), "used twice");
                    let status = members.status(invite);
                    prop_assert_eq!(status, Some(&Status::Accepted));
                }
                Action::HandRecovery { .. } | Action::Rename { .. } => {
                    prop_assert!(false, "nobody wrote it");
                }
                Action::Unknown { .. } => prop_assert!(false, "accepted without knowing"),
                Action::Withdraw { .. } | Action::Leave => {}
                Action::NewEpoch { .. } | Action::Accept { .. } | Action::HandKey { .. } => {
                    let standing = members.standing(op.device(), op.seen());
                    prop_assert!(matches!(standing, Standing::MayWrite(_)));
                }
            }
        }
        // Every accepted operation's device has a role, and whoever has one was given it.
        for member in members.members() {
            prop_assert_eq!(members.status(&member.since), Some(&Status::Accepted));
        }
    }

    #[test]
    fn what_is_known_early_is_a_function_of_what_is_here(steps in steps(), keep: u32) {
        // Any part of the operations, in any order: the same answers, and no panic.
        let (record, ops) = history(&steps);
        let part: Vec<&MemberOp> = ops
            .iter()
            .enumerate()
            .filter(|(place, _)| keep >> (place % 32) & 1 == 1)
            .map(|(_, op)| op)
            .collect();
        let (mut forward, mut backward) = (Members::new(record), Members::new(record));
        for (one, other) in part.iter().zip(part.iter().rev()) {
            forward.insert((*one).clone()).unwrap();
            backward.insert((*other).clone()).unwrap();
        }
        prop_assert_eq!(answers(&forward), answers(&backward));
    }
}
