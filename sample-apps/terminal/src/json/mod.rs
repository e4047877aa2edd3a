//! Values into JSON for programs. The shapes are described in `docs/json.md`; they only grow.
//!
//! Lengths are in millimetres and say so in the name of their field (`value_mm`); beside each
//! stands what the person entered (`as_entered`), which is what the record keeps.

mod advice;
mod answer;
mod entries;
pub mod learned;
mod values;

pub use advice::{bounded, card, plan, step};
pub use answer::AnswerJson;
pub use entries::{EntryJson, entry};
pub use values::{AmountJson, ReadingJson, amount, moment, reading};

use fallaway::record::{Spec, Target};
use fallaway::{
    ContestedField, InstrumentSummary, InstrumentView, MergeReport, Person, Setup, TemplateInfo,
};
use fallaway_text::{Phrase, Voice};
use serde::Serialize;

use crate::render::names;
use crate::voice::say;

/// A kind of instrument to start from.
#[derive(Debug, Serialize)]
pub struct TemplateJson {
    /// What `add` takes.
    pub id: String,
    /// In words.
    pub name: String,
    /// Strings, scale and tuning.
    pub summary: String,
}

/// Describes a template.
pub fn template(info: &TemplateInfo) -> TemplateJson {
    TemplateJson { id: info.id.clone(), name: info.name.clone(), summary: info.summary.clone() }
}

/// A line of the list of instruments.
#[derive(Debug, Serialize)]
pub struct SummaryJson {
    /// The record's id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// When something was last written.
    pub last_entry: Option<String>,
    /// Fields with two or more values.
    pub two_values: usize,
    /// Changes that wait for something that has not arrived.
    pub waiting: usize,
}

/// Describes a line of the list.
pub fn summary(summary: &InstrumentSummary) -> SummaryJson {
    SummaryJson {
        id: summary.id.to_string(),
        name: summary.name.clone(),
        last_entry: summary.last_entry.map(moment),
        two_values: summary.contested,
        waiting: summary.waiting,
    }
}

/// A person's device.
#[derive(Debug, Serialize)]
pub struct PersonJson {
    /// The name that the device gave itself.
    pub label: String,
    /// owner, contributor or viewer.
    pub role: String,
    /// Names the device's key.
    pub fingerprint: String,
    /// Whether it is this device.
    pub this_device: bool,
}

/// Describes a person's device.
pub fn person(person: &Person) -> PersonJson {
    PersonJson {
        label: person.label.clone(),
        role: person.role.to_string(),
        fingerprint: person.fingerprint.clone(),
        this_device: person.this_device,
    }
}

/// An instrument without its history.
#[derive(Debug, Serialize)]
pub struct InstrumentJson {
    /// The record's id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its facts, by the words of `fallaway set`.
    pub facts: Vec<FactJson>,
    /// Who shares the record.
    pub people: Vec<PersonJson>,
    /// Fields with two or more values.
    pub two_values: usize,
    /// Changes that wait for something that has not arrived.
    pub waiting: usize,
    /// Changes kept and not applied.
    pub set_aside: usize,
    /// Why the record may only be read, if so.
    pub read_only: Option<String>,
    /// Equal on two devices exactly when they have the same history.
    pub state: String,
}

/// A fact of an instrument.
#[derive(Debug, Serialize)]
pub struct FactJson {
    /// Which fact.
    pub field: String,
    /// Its value in words that `fallaway set` takes.
    pub value: String,
}

/// Describes an instrument.
pub fn instrument(view: &InstrumentView, facts: Vec<(String, String)>) -> InstrumentJson {
    InstrumentJson {
        id: view.id.to_string(),
        name: view.name.clone(),
        facts: facts.into_iter().map(|(field, value)| FactJson { field, value }).collect(),
        people: view.people.iter().map(person).collect(),
        two_values: view.contested,
        waiting: view.waiting,
        set_aside: view.set_aside,
        read_only: view.read_only.clone(),
        state: view.state.clone(),
    }
}

/// A target.
#[derive(Debug, Serialize)]
pub struct TargetJson {
    /// What is read, and which way.
    pub quantity: String,
    /// The string's number, if it is one of a string.
    pub string: Option<String>,
    /// Where, in words; empty for the instrument as a whole.
    pub place: String,
    /// The wanted value.
    pub wanted: AmountJson,
    /// How far off is still fine.
    pub within: AmountJson,
    /// Who set it, if that was said.
    pub by: Option<String>,
    /// When.
    pub at: String,
    /// Whether two or more values were written apart.
    pub two_values: bool,
}

/// Describes a target.
pub fn target(target: &Target, two_values: bool, spec: &Spec) -> TargetJson {
    TargetJson {
        quantity: names::quantity(target.quantity),
        string: values::string_of(target.location),
        place: names::location(spec, target.location),
        wanted: amount(target.wanted),
        within: amount(target.tolerance),
        by: target.by.clone(),
        at: moment(target.at),
        two_values,
    }
}

/// A setup.
#[derive(Debug, Serialize)]
pub struct SetupJson {
    /// Its id in the record.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Its targets.
    pub targets: Vec<TargetJson>,
}

/// Describes a setup.
pub fn setup(setup: &Setup, spec: &Spec) -> SetupJson {
    SetupJson {
        id: setup.id.clone(),
        name: setup.name.clone(),
        targets: setup.targets.iter().map(|t| target(&t.target, t.contested, spec)).collect(),
    }
}

/// A field with two or more values.
#[derive(Debug, Serialize)]
pub struct TwoValuesJson {
    /// Its number for `fallaway settle`.
    pub place: usize,
    /// The field's key in the record.
    pub field: String,
    /// The field in words.
    pub label: String,
    /// Every value.
    pub values: Vec<VersionJson>,
}

/// One of several values.
#[derive(Debug, Serialize)]
pub struct VersionJson {
    /// Its number for `fallaway settle`.
    pub number: usize,
    /// The value in words.
    pub value: String,
    /// Who wrote it.
    pub by: String,
    /// When, by their clock.
    pub at: String,
    /// Whether it is shown meanwhile.
    pub shown_meanwhile: bool,
}

/// Describes the fields with two or more values.
pub fn two_values(contested: &[ContestedField]) -> Vec<TwoValuesJson> {
    (1..)
        .zip(contested)
        .map(|(place, contested)| TwoValuesJson {
            place,
            field: contested.field.clone(),
            label: say(&contested.label),
            values: (1..)
                .zip(&contested.versions)
                .map(|(number, version)| VersionJson {
                    number,
                    value: say(&version.shown),
                    by: version.by.clone(),
                    at: moment(version.at),
                    shown_meanwhile: version.displayed,
                })
                .collect(),
        })
        .collect()
}

/// What came in.
#[derive(Debug, Serialize)]
pub struct MergeJson {
    /// For which record.
    pub instrument: String,
    /// Its name.
    pub name: String,
    /// What each author added.
    pub added: Vec<AddedJson>,
    /// Who joined.
    pub joined: Vec<String>,
    /// Fields that have two or more values since.
    pub two_values: Vec<TwoValuesJson>,
    /// Changes that were here already.
    pub already_here: usize,
    /// Changes that wait for something that has not arrived.
    pub waiting: usize,
    /// Changes kept and not applied.
    pub set_aside: Vec<String>,
    /// What was not taken, with the reason.
    pub refused: Vec<RefusedJson>,
}

/// What one author added.
#[derive(Debug, Serialize)]
pub struct AddedJson {
    /// The author's device.
    pub by: String,
    /// Entries by kind.
    pub entries: Vec<CountJson>,
    /// Facts and targets.
    pub values: usize,
    /// Entries crossed out.
    pub crossed_out: usize,
}

/// How many of a kind.
#[derive(Debug, Serialize)]
pub struct CountJson {
    /// The kind with its number, in words.
    pub kind: String,
    /// How many.
    pub count: usize,
}

/// What was not taken.
#[derive(Debug, Serialize)]
pub struct RefusedJson {
    /// A short name for it.
    pub bundle: String,
    /// Why.
    pub reason: String,
}

/// Describes a merge.
pub fn merge(report: &MergeReport) -> MergeJson {
    MergeJson {
        instrument: report.instrument.to_string(),
        name: report.name.clone(),
        added: report
            .added
            .iter()
            .map(|added| AddedJson {
                by: added.by.clone(),
                entries: added
                    .entries
                    .iter()
                    .map(|(kind, count)| CountJson { kind: say(kind), count: *count })
                    .collect(),
                values: added.values,
                crossed_out: added.retracted,
            })
            .collect(),
        joined: report.people_added.clone(),
        two_values: two_values(&report.newly_contested),
        already_here: report.already_here,
        waiting: report.waiting,
        set_aside: report.set_aside.clone(),
        refused: report
            .refused
            .iter()
            .map(|refused| RefusedJson {
                bundle: refused.bundle.clone(),
                reason: refused.reason.clone(),
            })
            .collect(),
    }
}

/// A sentence. Programs are spoken to in English, with every number as it was read.
pub(crate) fn said(phrase: &Phrase) -> String {
    Voice::default().sentence(phrase)
}

fn all_said(phrases: &[Phrase]) -> Vec<String> {
    phrases.iter().map(said).collect()
}
