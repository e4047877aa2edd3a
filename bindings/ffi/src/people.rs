//! Who shares a record.

use crate::Moment;
use crate::choices::choices;
use crate::numbers::count;
use crate::voice::{self, say};

pub use fallaway::DeviceInfo;

/// A device, as others see it.
#[uniffi::remote(Record)]
pub struct DeviceInfo {
    /// The name that it gave itself, such as "tech".
    pub label: String,
    /// A short text that two people can compare aloud; it names the device's key.
    pub fingerprint: String,
}

choices! {
    /// What a device may do in a record.
    Role = fallaway::Role {
        /// Reads; edits are refused with `NotAllowed`.
        Viewer,
        /// Reads and writes.
        Contributor,
        /// Reads, writes, and invites.
        Owner,
    }
}

/// A person's device in the record.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Person {
    /// The name that the device gave itself.
    pub label: String,
    /// What it may do.
    pub role: Role,
    /// A short text that names its key; two people can compare it aloud.
    pub fingerprint: String,
    /// Whether it is this device.
    pub this_device: bool,
    /// The fingerprint of the first device of the same person: several devices of one have it in common.
    pub person: String,
    /// Whether somebody has said on this device that its fingerprint was compared by voice.
    pub compared: bool,
}

impl From<fallaway::Person> for Person {
    fn from(person: fallaway::Person) -> Self {
        Self {
            label: person.label,
            role: person.role.into(),
            fingerprint: person.fingerprint,
            this_device: person.this_device,
            person: person.person,
            compared: person.compared,
        }
    }
}

/// Something that was done about people: who came, as what, who went.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct PeopleEvent {
    /// When, as whoever did it said.
    pub at: Moment,
    /// Which device signed it; `None` for whoever had the recovery words, who is no device.
    pub signed_by: Option<DeviceInfo>,
    /// The first device of the same person; `None` for whoever had the recovery words.
    pub person: Option<DeviceInfo>,
    /// What was done.
    pub deed: PeopleDeed,
    /// What was done and by whom, in words; the time stands beside it.
    pub text: String,
}

/// What was done about people.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Enum)]
pub enum PeopleDeed {
    /// The record began: its first owner founded it.
    Founded,
    /// A device was added, with the recovery words.
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
    /// What came after this app was built: show the text beside it.
    Newer,
}

impl From<fallaway::PeopleEvent> for PeopleEvent {
    fn from(event: fallaway::PeopleEvent) -> Self {
        let text = say(&event.phrase());
        let fallaway::PeopleEvent { at, signed_by, person, deed } = event;
        Self { at: at.into(), signed_by, person, deed: deed.into(), text }
    }
}

impl From<fallaway::PeopleDeed> for PeopleDeed {
    fn from(deed: fallaway::PeopleDeed) -> Self {
        use fallaway::PeopleDeed as Typed;
        match deed {
            Typed::Founded => Self::Founded,
            Typed::Added { whom, role } => Self::Added { whom, role: role.into() },
            Typed::Invited { role, own_device } => Self::Invited { role: role.into(), own_device },
            Typed::Withdrew => Self::Withdrew,
            Typed::Joined { role, invited_by } => Self::Joined { role: role.into(), invited_by },
            Typed::GaveRole { whom, role } => Self::GaveRole { whom, role: role.into() },
            Typed::Removed { whom, reason } => Self::Removed { whom, reason },
            Typed::Left => Self::Left,
            Typed::TookIn => Self::TookIn,
            Typed::RenewedWords => Self::RenewedWords,
        }
    }
}

/// What one device is known to have of a record.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct DeviceState {
    /// What the device calls itself, told apart from others of that name.
    pub label: String,
    /// The short text that names its key.
    pub fingerprint: String,
    /// Whether it is this device.
    pub this_device: bool,
    /// When it was last heard of: when it wrote the newest that is here, by its own clock, or met this
    /// device, by this one's.
    pub last_heard: Option<Moment>,
    /// How many changes of the record, as it is here, it is not known to have.
    pub not_known: u32,
    /// Everything that was written before then it is known to have; `None` if nothing is known.
    pub has_until: Option<Moment>,
    /// What it has, in words.
    pub text: String,
}

impl From<fallaway::DeviceState> for DeviceState {
    fn from(state: fallaway::DeviceState) -> Self {
        Self {
            text: say(&state.phrase()),
            label: state.label,
            fingerprint: state.fingerprint,
            this_device: state.this_device,
            last_heard: state.last_heard.map(Moment::from),
            not_known: count(state.not_known),
            has_until: state.has_until.map(Moment::from),
        }
    }
}

/// What an invitation says, before it is accepted.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct InvitationInfo {
    /// The name of the instrument, as the inviter calls it.
    pub name: String,
    /// What the newcomer will be able to do.
    pub role: Role,
    /// The short text that names the inviter's key: compare it with the inviter's own screen.
    pub inviter_fingerprint: String,
    /// Until when it can be used.
    pub expires: Moment,
}

/// What an invitation says, before it is accepted. `bundle` is the file that came with its words: they
/// say nothing by themselves. Nothing is stored, and no workshop is needed.
///
/// # Errors
/// `Refused` for a text that is no sound invitation, and for a file without its welcome.
#[uniffi::export]
pub fn look_at_invitation(invitation: &str, bundle: &[u8]) -> crate::Result<InvitationInfo> {
    voice::elsewhere();
    let card = fallaway::Workshop::look_at_invitation(invitation, bundle)?;
    Ok(InvitationInfo {
        name: card.name,
        role: card.role.into(),
        inviter_fingerprint: card.inviter,
        expires: card.expires.into(),
    })
}
