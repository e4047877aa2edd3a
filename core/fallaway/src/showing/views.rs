//! What screens show: plain data, cheap to copy out, with nothing to free and nothing that blocks.

use fallaway_measure::Quantity;
use fallaway_record::{
    Entry, EntryId, EntryKind, InstrumentSpec, Moment, OpId, Retraction, SetupId, Target,
};
use fallaway_sharing::Role;
use fallaway_text::messages::{facts, sharing};
use fallaway_text::{List, Phrase, Voice, Word, names};

pub use fallaway_changes::RecordId as InstrumentId;
pub use fallaway_text::contested::ContestedValue;

pub use crate::sharing::exchange::WhyAside;
use crate::sharing::people_history::PeopleEvent;

/// A general starting point for an instrument.
#[derive(Debug, Clone, PartialEq)]
pub struct TemplateInfo {
    /// What [`crate::Workshop::add_instrument`] takes.
    pub id: &'static str,
    /// What to call it in a list.
    pub name: Phrase,
    /// Strings, frets and tuning in one line.
    pub summary: Phrase,
}

impl TemplateInfo {
    pub(crate) fn of(template: &fallaway_record::spec::Template, low_first: bool) -> Self {
        let spec = &template.spec;
        let mut notes: Vec<_> = spec.tuning.values().map(|note| names::note(*note)).collect();
        if low_first {
            notes.reverse();
        }
        let (courses, strings) = (spec.courses.len(), spec.places().len() as u32);
        let parts = [
            Some(if courses as u32 == strings {
                facts::strings_count(strings)
            } else {
                facts::courses_count(courses, strings)
            }),
            spec.frets.map(|frets| facts::frets_count(frets.count)),
            Some(List::space(notes).into()),
        ];
        Self {
            id: template.id,
            name: facts::template(Word(template.id), template.id),
            summary: List::comma(parts.into_iter().flatten()).into(),
        }
    }
}

/// One line of the list of instruments.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InstrumentSummary {
    /// Which instrument, the same on every device.
    pub id: InstrumentId,
    /// Its name; empty while nothing but an invitation has arrived.
    pub name: String,
    /// When something was last written, by the clock of whoever wrote it.
    pub last_entry: Option<Moment>,
    /// How many fields have two or more values.
    pub contested: usize,
    /// How many changes wait for something that has not arrived.
    pub waiting: usize,
    /// How many changes are kept beside the record and not counted: of a copied device, of somebody who was
    /// removed, or broken. [`crate::Instrument::held`] says of whom.
    pub aside: usize,
    /// Whether it was put away on this device.
    pub archived: bool,
    /// How many jobs of the shop are open on it (kept on this device).
    pub open_work: usize,
    /// Since when it is due to be looked at again, if it is (kept on this device).
    pub due: Option<Moment>,
}

/// A person's device in the record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Person {
    /// The name that the device gave itself.
    pub label: String,
    /// What it may do.
    pub role: Role,
    /// The short text that names its key.
    pub fingerprint: String,
    /// Whether it is this device.
    pub this_device: bool,
    /// The fingerprint of the first device of the same person: several devices of one have it in common.
    pub person: String,
    /// Whether somebody has said on this device that its fingerprint was compared by voice.
    pub compared: bool,
}

/// A visit: what was done in one go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Visit {
    /// The entry that opened it.
    pub id: EntryId,
    /// What it is for, if that was said.
    pub purpose: Option<String>,
    /// When it was opened.
    pub begun: Moment,
}

/// A visit in the list of visits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct VisitLine {
    /// The entry that opened it, what for and when.
    pub visit: Visit,
    /// When it was ended; `None` if nobody wrote that down.
    pub ended: Option<Moment>,
    /// The device that opened it, by the name it gave itself.
    pub device: String,
    /// How many entries belong to it, its beginning and end not counted.
    pub entries: usize,
}

/// Everything about an instrument but its history.
#[derive(Debug, Clone)]
pub struct InstrumentDetails {
    /// Which instrument, the same on every device.
    pub id: InstrumentId,
    /// What people call it; empty while no name has arrived.
    pub name: String,
    /// What it is: every fact that is written, from tuning to truss rod.
    pub spec: InstrumentSpec,
    /// Who shares the record.
    pub people: Vec<Person>,
    /// What was done about people, when, and by whom: the oldest first.
    pub people_history: Vec<PeopleEvent>,
    /// What this device may do; `None` while the record's founding has not arrived.
    pub role: Option<Role>,
    /// How many fields have two or more values.
    pub contested: usize,
    /// How many changes wait for something that has not arrived.
    pub waiting: usize,
    /// How many changes are kept but not applied: held or quarantined.
    pub set_aside: usize,
    /// Why the record may only be read, if so.
    pub read_only: Option<Phrase>,
    /// The visit that this device has open.
    pub open_visit: Option<Visit>,
    /// The document's heads as one short text: equal on two devices exactly when they have the
    /// same history.
    pub history_digest: String,
}

/// One line of the history.
#[derive(Debug, Clone)]
pub struct HistoryEntry {
    /// The entry as it was written.
    pub entry: Entry,
    /// What it says, in words.
    pub text: Phrase,
    /// A short name for it on this device, as [`crate::Instrument::entry`] takes it.
    pub short: String,
    /// The device that wrote it, by the name it gave itself.
    pub device: String,
    /// Who did it, to be shown: whom the entry names, with the device beside it where that could be
    /// taken for another device; else the device.
    pub who: String,
    /// Not part of a change yet: it may still be erased.
    pub draft: bool,
    /// Who crossed it out, and why; empty if nobody did.
    pub retracted: Vec<Retraction>,
    /// The later remark that takes its place.
    pub replaced_by: Option<EntryId>,
}

/// Which entries to show.
#[derive(Debug, Clone, Default)]
pub struct HistoryFilter {
    /// Only those of this visit.
    pub visit: Option<EntryId>,
    /// Only those of these kinds; all if empty.
    pub kinds: Vec<EntryKind>,
    /// Only passes of this quantity.
    pub quantity: Option<Quantity>,
    /// Only what happened then or later, by the clock of whoever wrote it.
    pub since: Option<Moment>,
    /// Only what happened before then.
    pub until: Option<Moment>,
    /// Only what has this text in its words, or in the name of who did it; case does not matter. The
    /// words are those of `voice`.
    pub text: Option<String>,
    /// How the words are said that are searched.
    pub voice: Voice,
    /// Only those that come before this one; with `last` that is the page before it.
    pub before: Option<EntryId>,
    /// Only the last so many.
    pub last: Option<usize>,
    /// Leave out what was crossed out.
    pub hide_retracted: bool,
}

/// A target of a setup.
#[derive(Debug, Clone)]
pub struct TargetView {
    /// The value in force, or the one displayed while there are several.
    pub target: Target,
    /// Whether there are several.
    pub contested: bool,
}

/// A named set of targets.
#[derive(Debug, Clone)]
pub struct Setup {
    /// Its id in the record: it stays when the setup is called something else.
    pub id: SetupId,
    /// What people call it.
    pub name: String,
    /// Whether it is the one that is meant where none is named: the first by id.
    pub is_default: bool,
    /// Its targets, by quantity and string.
    pub targets: Vec<TargetView>,
}

/// A setup by id and name, for a choice of one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetupName {
    /// Its id in the record.
    pub id: SetupId,
    /// What people call it.
    pub name: String,
}

/// One of several values of a field.
#[derive(Debug, Clone, PartialEq)]
pub struct ContestedVersion {
    /// Names the write: what settling takes.
    pub op: OpId,
    /// What was written, as data; `shown` says it.
    pub value: ContestedValue,
    /// The value in words.
    pub shown: Phrase,
    /// The device that wrote it, by the name it gave itself.
    pub device: String,
    /// Who, where somebody said so; with the device in brackets where it could be taken for another one.
    pub by: Option<String>,
    /// When: as was said, or by the device's clock.
    pub at: Moment,
    /// Whether it is the one displayed meanwhile.
    pub displayed: bool,
}

/// When a fact was written, and by whom.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FactWritten {
    /// The fact, by its key, such as "scale" or "tuning/4".
    pub key: String,
    /// When: as was said, or by the device's clock.
    pub at: Moment,
    /// Who, where somebody said so; with the device in brackets where it could be taken for another one.
    pub by: Option<String>,
    /// The device that wrote it, by the name it gave itself.
    pub device: String,
}

/// A field with two or more values, written apart. All are kept until somebody settles them.
#[derive(Debug, Clone, PartialEq)]
pub struct ContestedField {
    /// The field's key in the record.
    pub field: String,
    /// The setup that it belongs to, by its id; `None` for a fact of the instrument.
    pub setup: Option<SetupId>,
    /// What the field is called, such as "stage: action at fret 12, open, string 4 (E)".
    pub label: Phrase,
    /// Every value with its author.
    pub versions: Vec<ContestedVersion>,
}

/// What retracting an entry did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RetractOutcome {
    /// The entry was a line of this device's draft that nobody has seen: it is gone.
    Erased,
    /// The entry stays in the history, crossed out.
    Kept,
}

/// How many entries of a kind.
#[derive(Debug, Clone, PartialEq)]
pub struct EntryCount {
    /// What kind of entry was counted.
    pub kind: EntryKind,
    /// How many entries of that kind.
    pub count: usize,
    /// Both in words: "3 remarks".
    pub text: Phrase,
}

/// What one author's bundles brought.
#[derive(Debug, Clone, PartialEq)]
pub struct AddedBy {
    /// The author's device, by the name it gave itself.
    pub device: String,
    /// Entries of the log, by kind.
    pub entries: Vec<EntryCount>,
    /// Facts and targets written.
    pub values: usize,
    /// How many entries it crossed out.
    pub retracted: usize,
}

/// A bundle that was not taken.
#[derive(Debug, Clone, PartialEq)]
pub struct RefusedBundle {
    /// A short name for it.
    pub bundle: String,
    /// Why it was not taken, in words.
    pub reason: Phrase,
}

/// What bundles brought, when they were merged.
#[derive(Debug, Clone, PartialEq)]
pub struct MergeReport {
    /// For which instrument.
    pub instrument: InstrumentId,
    /// The instrument's name after the merge; empty while none has arrived.
    pub name: String,
    /// What each author added.
    pub added: Vec<AddedBy>,
    /// Names of the devices that came in as members with this merge.
    pub people_added: Vec<String>,
    /// Devices that came with an invitation which another one had used: they are not let in.
    pub second_uses: Vec<SecondUse>,
    /// Fields that have two or more values since this merge.
    pub newly_contested: Vec<ContestedField>,
    /// Changes that were here already.
    pub already_here: usize,
    /// Changes that wait for something that has not arrived.
    pub waiting: usize,
    /// Changes that are kept and not applied, with the reason.
    pub set_aside: Vec<WhyAside>,
    /// Devices of which a second history came to light: somebody copied them, or a backup of them is
    /// in use. What the copy wrote is kept beside the record.
    pub copied: Vec<String>,
    /// Bundles that were not taken.
    pub refused: Vec<RefusedBundle>,
    /// How many bundles only said what another device has.
    pub receipts: usize,
}

/// A device that tried to join with an invitation which another one had used before.
#[derive(Debug, Clone, PartialEq, Eq)]
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
}

impl SecondUse {
    /// What it means for this device, or whom to ask, in words.
    pub fn phrase(&self) -> Phrase {
        if self.this_device {
            sharing::not_let_in(&self.used_by, &self.invited_by)
        } else {
            sharing::second_use(&self.label, &self.fingerprint, &self.used_by)
        }
    }
}

/// What an invitation says, before it is accepted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InvitationInfo {
    /// The instrument's name.
    pub name: String,
    /// What the newcomer will be able to do.
    pub role: Role,
    /// The short text that names the inviter's key: compare it with the inviter's own screen.
    pub inviter: String,
    /// Until when it can be used.
    pub expires: Moment,
}
