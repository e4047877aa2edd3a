use super::*;
use crate::identity::{DeviceKeys, InviteSecret};
use crate::testing::keys;
use proptest::prelude::*;

const NOW: i64 = 1_790_000_000;

/// A record with its founder, device 1.
struct Graph {
    members: Members,
    owner: DeviceKeys,
    founding: MemberOp,
}

fn set(hashes: &[MemberHash]) -> BTreeSet<MemberHash> {
    hashes.iter().copied().collect()
}

fn secret(byte: u8) -> InviteSecret {
    InviteSecret::from_bytes([byte; 16])
}

impl Graph {
    fn new() -> Self {
        let owner = keys(1);
        let founding = MemberOp::found(&owner, NOW, [7; 16], "bench").unwrap();
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
        MemberOp::invite(by, record, &seen, NOW, &secret, Role::Contributor, NOW + 100).unwrap()
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
    let action = Action::Unknown { kind: 5, body: vec![0] };
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

#[test]
fn operations_of_another_record_are_refused() {
    let mut graph = Graph::new();
    let other = MemberOp::found(&keys(2), NOW, [1; 16], "bench").unwrap();
    let refused = graph.members.insert(other.clone());
    let (found, expected) = (*other.record(), graph.record());
    assert_eq!(refused, Err(InsertError::OtherRecord { found, expected }));
    assert_eq!(graph.members.insert(graph.founding.clone()), Ok(false));
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
            9 => {
                let action = Action::Unknown { kind: 5, body: vec![*choice % 24] };
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
    let what = prop_oneof![20 => 0..9_u8, 1 => Just(9_u8)];
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
        let mut used = BTreeSet::new();
        for op in members.ops().filter(accepted) {
            match op.action() {
                Action::Found { .. } => prop_assert_eq!(op.hash(), ops[0].hash()),
                Action::Add { .. } | Action::Invite { .. } => prop_assert_eq!(
                    members.standing(op.device(), op.seen()),
                    Standing::MayWrite(Role::Owner)
                ),
                Action::Join { invite, .. } => {
                    prop_assert!(used.insert(*invite), "used twice");
                    let status = members.status(invite);
                    prop_assert_eq!(status, Some(&Status::Accepted));
                }
                Action::Unknown { .. } => prop_assert!(false, "accepted without knowing"),
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
