//! Who shares a record.

use crate::Moment;
use crate::choices::choices;
use crate::numbers::count;
use crate::voice::{self, say};

choices! {
    /// What a device may do in a record.
    Role = fallaway::Role {
        /// Reads.
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
    /// The instrument's name.
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
