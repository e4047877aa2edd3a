//! What was done about people, when, and by whom: read off what their devices signed.

use fallaway_changes::{DeviceId, MemberHash};
use fallaway_order::OneByOne as _;
use fallaway_order::{Map, Set};
use fallaway_record::Moment;
use fallaway_sharing::{Action, InviteFor, MemberOp, Members, Role, Status};
use fallaway_text::messages::sharing as say;
use fallaway_text::{List, Phrase, Word};

use crate::showing::device::DeviceInfo;

/// Something that was done about people.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PeopleEvent {
    /// When, as whoever did it said.
    pub at: Moment,
    /// Which device signed it; `None` for whoever had the recovery words, who is no device.
    pub signed_by: Option<DeviceInfo>,
    /// The first device of the same person; `None` for whoever had the recovery words.
    pub person: Option<DeviceInfo>,
    /// What was done.
    pub deed: PeopleDeed,
}

/// What was done about people.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PeopleDeed {
    /// The record began: its first owner founded it.
    Founded,
    /// A device was added.
    Added {
        /// The device that was added.
        whom: DeviceInfo,
        /// What it may do since then.
        role: Role,
    },
    /// One device was invited.
    Invited {
        /// What the device that uses it may do.
        role: Role,
        /// Whether it is for another device of the same person.
        own_device: bool,
    },
    /// An invitation was withdrawn.
    Withdrew,
    /// A device joined by an invitation.
    Joined {
        /// What the device may do, by its invitation.
        role: Role,
        /// Whose invitation it was; `None` for whoever had the recovery words.
        invited_by: Option<DeviceInfo>,
    },
    /// A device was given another role.
    GaveRole {
        /// The device whose role was changed.
        whom: DeviceInfo,
        /// The role that it has since then.
        role: Role,
    },
    /// Devices were removed.
    Removed {
        /// The devices that were removed together.
        whom: Vec<DeviceInfo>,
        /// Why, as it was written.
        reason: Option<String>,
    },
    /// A device left of its own accord.
    Left,
    /// What was held was taken in.
    TookIn,
    /// New recovery words took the place of the old ones.
    RenewedWords,
}

impl PeopleEvent {
    /// What was done, and by whom, in words; the time stands beside it.
    pub fn phrase(&self) -> Phrase {
        let who = || self.who();
        match &self.deed {
            PeopleDeed::Founded => say::people_founded(who()),
            PeopleDeed::Added { whom, role } => {
                say::people_added(who(), &whom.label, word_of(*role))
            }
            PeopleDeed::Invited { role, own_device } => {
                say::people_invited(who(), *own_device, word_of(*role))
            }
            PeopleDeed::Withdrew => say::people_withdrew(who()),
            PeopleDeed::Joined { role, invited_by } => {
                say::people_joined(who(), word_of(*role), named(invited_by.as_ref()))
            }
            PeopleDeed::GaveRole { whom, role } => {
                say::people_gave_role(who(), &whom.label, word_of(*role))
            }
            PeopleDeed::Removed { whom, reason } => {
                let whom = List::and(whom.iter().map(|one| Phrase::written(&one.label)));
                match reason {
                    Some(reason) => say::people_removed_since(who(), whom, reason.as_str()),
                    None => say::people_removed(who(), whom),
                }
            }
            PeopleDeed::Left => say::people_left(who()),
            PeopleDeed::TookIn => say::people_took_in(who()),
            PeopleDeed::RenewedWords => say::people_renewed_words(who()),
        }
    }

    /// The device; beside it the person's first one, if that is another.
    fn who(&self) -> Phrase {
        match (&self.signed_by, &self.person) {
            (Some(by), Some(first)) if by != first => {
                say::people_device_of(&by.label, &first.label)
            }
            (by, _) => named(by.as_ref()),
        }
    }
}

fn named(device: Option<&DeviceInfo>) -> Phrase {
    device.map_or_else(say::people_by_words, |one| Phrase::written(&one.label))
}

const fn word_of(role: Role) -> Word {
    Word(match role {
        Role::Viewer => "viewer",
        Role::Contributor => "contributor",
        Role::Owner => "owner",
    })
}

/// Everything that was done about people and counts: what was done after seeing something comes after
/// it, whatever the clocks said, and what nobody had seen of each other by the time that was stated.
/// Names are those of today. `offset_min` is that of whoever looks.
pub(crate) fn people_history(
    members: &Members,
    own: &DeviceId,
    offset_min: i16,
) -> Vec<PeopleEvent> {
    let labels = members.labels(own);
    let recovery: Set<DeviceId> = members
        .ops()
        .filter_map(|op| match op.action() {
            Action::Found { recovery, .. } => recovery.map(|keys| keys.device),
            Action::HandRecovery { next } => Some(next.device),
            _ => None,
        })
        .in_set();
    let info = |device: &DeviceId| {
        let fingerprint = device.fingerprint();
        DeviceInfo {
            label: labels.get(device).cloned().unwrap_or_else(|| fingerprint.clone()),
            fingerprint,
        }
    };
    let counts = |op: &&MemberOp| members.status(&op.hash()) == Some(&Status::Accepted);
    let ordered: Vec<&MemberOp> = in_order(members).into_iter().filter(counts).collect();
    let first = first_devices(members, &ordered);
    let signer = |op: &MemberOp| Some(op.device()).filter(|one| !recovery.contains(*one)).map(info);
    let event = |op: &MemberOp| {
        let deed = match op.action() {
            Action::Found { .. } => PeopleDeed::Founded,
            Action::Add { device, role, .. } => {
                PeopleDeed::Added { whom: info(device), role: *role }
            }
            Action::Invite { role, whom, .. } => {
                PeopleDeed::Invited { role: *role, own_device: *whom == InviteFor::SamePerson }
            }
            Action::Withdraw { .. } => PeopleDeed::Withdrew,
            Action::Join { invite, .. } => {
                let invite = members.op(invite)?;
                let Action::Invite { role, .. } = invite.action() else { return None };
                PeopleDeed::Joined { role: *role, invited_by: signer(invite) }
            }
            Action::SetRole { device, role, .. } => {
                PeopleDeed::GaveRole { whom: info(device), role: *role }
            }
            Action::Remove { devices, reason, .. } => PeopleDeed::Removed {
                whom: devices.iter().map(info).collect(),
                reason: reason.clone(),
            },
            Action::Leave => PeopleDeed::Left,
            Action::Accept { .. } => PeopleDeed::TookIn,
            Action::HandRecovery { .. } => PeopleDeed::RenewedWords,
            Action::NewEpoch { .. }
            | Action::HandKey { .. }
            | Action::Rename { .. }
            | Action::Unknown { .. } => return None,
        };
        let signed_by = signer(op);
        let person =
            signed_by.as_ref().map(|_| info(first.get(op.device()).unwrap_or(op.device())));
        let at = Moment { unix_s: op.time(), offset_min };
        Some(PeopleEvent { at, signed_by, person, deed })
    };
    ordered.into_iter().filter_map(event).collect()
}

/// The first device of the person of each device that another one of that person invited; they are in order.
fn first_devices(members: &Members, ordered: &[&MemberOp]) -> Map<DeviceId, DeviceId> {
    let mut first = Map::new();
    for op in ordered {
        let Action::Join { invite, .. } = op.action() else { continue };
        let Some(invite) = members.op(invite) else { continue };
        if matches!(invite.action(), Action::Invite { whom: InviteFor::SamePerson, .. }) {
            let person = first.get(invite.device()).copied().unwrap_or(*invite.device());
            first.insert(*op.device(), person);
        }
    }
    first
}

/// What was seen before what saw it, and else by the stated time.
fn in_order(members: &Members) -> Vec<&MemberOp> {
    let mut open: Map<MemberHash, usize> = Map::new();
    let mut effects: Map<MemberHash, Vec<&MemberOp>> = Map::new();
    let mut ready = Set::new();
    for op in members.ops() {
        let causes = op.seen().iter().filter(|cause| members.op(cause).is_some());
        let mut count = 0;
        for cause in causes {
            effects.entry(*cause).or_default().push(op);
            count += 1;
        }
        open.insert(op.hash(), count);
        if count == 0 {
            ready.insert((op.time(), op.hash()));
        }
    }
    let mut ordered = Vec::new();
    while let Some((_, hash)) = ready.pop_first() {
        ordered.extend(members.op(&hash));
        for effect in effects.remove(&hash).into_iter().flatten() {
            if let Some(left) = open.get_mut(&effect.hash()) {
                *left -= 1;
                if *left == 0 {
                    ready.insert((effect.time(), effect.hash()));
                }
            }
        }
    }
    ordered
}
