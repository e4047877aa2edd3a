//! Bundles: what leaves for others, and what comes in.

use crate::mirror::mirror;
use crate::numbers::count;
use crate::reasons::WhyRefused;
use crate::voice::say;
use crate::{ContestedField, EntryKind, InstrumentId, Moment, Role};

/// How many entries of a kind.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct EntryCount {
    /// What kind of entry was counted.
    pub kind: EntryKind,
    /// How many entries of that kind.
    pub count: u32,
    /// Both in words: "3 remarks".
    pub text: String,
}

/// What one author's bundles brought.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct AddedBy {
    /// The author's device, by the name it gave itself.
    pub device: String,
    /// Entries of the history, by kind.
    pub entries: Vec<EntryCount>,
    /// Facts and targets written.
    pub values: u32,
    /// How many entries it crossed out.
    pub retracted_count: u32,
}

/// A bundle that was not taken.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct RefusedBundle {
    /// A short name for it.
    pub bundle: String,
    /// Why, in words.
    pub reason: String,
    /// The same as data.
    pub why: WhyRefused,
}

mirror! {
    /// Why a change is kept and not applied.
    WhyAside = fallaway::WhyAside {
        /// The invitation of its author has not arrived.
        Invitation,
        /// Changes that it depends on have not arrived.
        Missing,
        /// It, or its author's membership, needs a newer version.
        NeedsNewer,
        /// Its author may only read.
        Reader,
        /// Its author was removed before anybody else had it.
        Removed,
        /// Its writer has written another change under the same number: a device was copied.
        Fork,
        /// It builds on a change that is held.
        Behind,
        /// It breaks a rule of the record.
        Rule,
    }
}

/// A change that is kept and not applied.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct SetAside {
    /// Why it is not applied, as data.
    pub why: WhyAside,
    /// The same in words.
    pub text: String,
}

impl From<fallaway::WhyAside> for SetAside {
    fn from(why: fallaway::WhyAside) -> Self {
        Self { why: why.into(), text: say(&why.phrase()) }
    }
}

/// What bundles brought, when they were merged.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct MergeReport {
    /// For which instrument, by its id.
    pub instrument: InstrumentId,
    /// The instrument's name after the merge; empty while none has arrived.
    pub name: String,
    /// What each author added.
    pub added: Vec<AddedBy>,
    /// Names of the devices that came in as members with this merge.
    pub people_added: Vec<String>,
    /// Fields that have two or more values since this merge.
    pub newly_contested: Vec<ContestedField>,
    /// Changes that were here already.
    pub already_here: u32,
    /// Changes that wait for something that has not arrived.
    pub waiting: u32,
    /// Changes that are kept and not applied, with the reason.
    pub aside: Vec<SetAside>,
    /// Devices of which a second history came to light: somebody copied them, or a backup of them is
    /// in use. What the copy wrote is kept beside the record.
    pub copied: Vec<String>,
    /// Bundles that were not taken.
    pub refused: Vec<RefusedBundle>,
    /// Devices that came with an invitation which another one had used, and are no members.
    pub second_uses: Vec<SecondUse>,
}

impl From<fallaway::MergeReport> for MergeReport {
    fn from(report: fallaway::MergeReport) -> Self {
        let added = report.added.into_iter().map(|added| AddedBy {
            device: added.device,
            entries: added
                .entries
                .into_iter()
                .map(|one| EntryCount {
                    kind: one.kind.into(),
                    count: count(one.count),
                    text: say(&one.text),
                })
                .collect(),
            values: count(added.values),
            retracted_count: count(added.retracted),
        });
        let refused = report.refused.into_iter().map(|refused| RefusedBundle {
            bundle: refused.bundle,
            why: WhyRefused::of(&refused.reason),
            reason: say(&refused.reason),
        });
        Self {
            instrument: report.instrument.into(),
            name: report.name,
            added: added.collect(),
            people_added: report.people_added,
            newly_contested: report.newly_contested.into_iter().map(ContestedField::from).collect(),
            already_here: count(report.already_here),
            waiting: count(report.waiting),
            aside: report.set_aside.into_iter().map(SetAside::from).collect(),
            copied: report.copied,
            refused: refused.collect(),
            second_uses: report.second_uses.into_iter().map(SecondUse::from).collect(),
        }
    }
}

/// A device that came with an invitation which another one had used: it is no member, and nothing that it
/// writes is a part of the record.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct SecondUse {
    /// What the device calls itself.
    pub label: String,
    /// The short text that names its key.
    pub fingerprint: String,
    /// Whether it is this device.
    pub this_device: bool,
    /// What the device is called that used the invitation first.
    pub used_by: String,
    /// What the device is called whose invitation it was.
    pub invited_by: String,
    /// What it means for this device, or whom to ask, in words.
    pub text: String,
}

impl From<fallaway::SecondUse> for SecondUse {
    fn from(one: fallaway::SecondUse) -> Self {
        let text = say(&one.phrase());
        let fallaway::SecondUse { label, fingerprint, this_device, used_by, invited_by } = one;
        Self { label, fingerprint, this_device, used_by, invited_by, text }
    }
}

pub use fallaway::OutgoingBundle;

/// What was not delivered yet, sealed.
#[uniffi::remote(Record)]
pub struct OutgoingBundle {
    /// The bytes of the bundle file.
    pub file: Vec<u8>,
    /// What `delivered` takes once the bytes have arrived: a text to keep as it is, also over a
    /// restart.
    pub token: String,
}

/// An invitation to hand over: the words or the code by one way, the welcome by another. Whoever has
/// both can join once, and read.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct NewInvitation {
    /// By which it can be withdrawn.
    pub id: String,
    /// Twelve words to read out or write down.
    pub words: String,
    /// The same as the text of a QR code.
    pub code: String,
    /// A bundle file with the welcome alone. Every bundle file with the whole record that this device
    /// makes holds it, too, until somebody has joined.
    pub welcome: Vec<u8>,
    /// Until when it can be used.
    pub expires: Moment,
}

impl From<fallaway::NewInvitation> for NewInvitation {
    fn from(new: fallaway::NewInvitation) -> Self {
        let fallaway::NewInvitation { id, words, code, welcome, expires } = new;
        Self { id, words, code, welcome, expires: expires.into() }
    }
}

/// An invitation that nobody has used.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct InvitationView {
    /// By which it is withdrawn.
    pub id: String,
    /// What whoever uses it will be able to do.
    pub role: Role,
    /// The device that wrote it, by the name it is shown under.
    pub by: String,
    /// Whether it is for another device of whoever wrote it.
    pub own_device: bool,
    /// Until when it can be used.
    pub expires: Moment,
}

impl From<fallaway::InvitationView> for InvitationView {
    fn from(one: fallaway::InvitationView) -> Self {
        Self {
            id: one.id,
            role: one.role.into(),
            by: one.by,
            own_device: one.own_device,
            expires: one.expires.into(),
        }
    }
}

/// What changes that arrived wait for.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct WaitingFor {
    /// How many changes wait.
    pub changes: u32,
    /// Whose: what these devices wrote earlier is missing, by the names under which they are shown.
    pub of: Vec<String>,
    /// Some were written by a device that is not known here: what let it in is missing.
    pub from_unknown: bool,
    /// Who surely can bring it: the owners, and whoever wrote what waits. Any of their devices writes a
    /// file with the whole record (`bundle_out`).
    pub ask: Vec<String>,
}

impl From<fallaway::WaitingFor> for WaitingFor {
    fn from(waits: fallaway::WaitingFor) -> Self {
        let fallaway::WaitingFor { changes, of, from_unknown, ask } = waits;
        Self { changes: count(changes), of, from_unknown, ask }
    }
}

/// What is held of one device for one reason.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct HeldWork {
    /// The device that wrote it, by the name it is shown under.
    pub device: String,
    /// The short text that names its key: by it the work is accepted.
    pub fingerprint: String,
    /// Why it is no part of the record.
    pub why: WhyAside,
    /// The same in words.
    pub text: String,
    /// How many entries of the history.
    pub entry_count: u32,
    /// Facts, targets and crossings out.
    pub values: u32,
    /// When the first of it was written.
    pub first: Moment,
    /// When the last of it was written.
    pub last: Moment,
}

impl From<fallaway::HeldWork> for HeldWork {
    fn from(one: fallaway::HeldWork) -> Self {
        Self {
            device: one.device,
            fingerprint: one.fingerprint,
            why: one.why.into(),
            text: say(&one.why.phrase()),
            entry_count: count(one.entries),
            values: count(one.values),
            first: one.first.into(),
            last: one.last.into(),
        }
    }
}
