//! Values into JSON for programs. The shapes are described in `docs/json.md`, a test compares; they only
//! grow.
//!
//! Lengths are in millimetres and say so in the name of their field (`value_mm`); beside each
//! stands what the person entered (`as_entered`), which is what the record keeps.

mod advice;
pub mod drawings;
mod entries;
pub mod learned;
mod order;
pub mod values;

pub use advice::{card, plan, step};
pub use entries::{entry, fret_finding};
pub use order::in_order;
pub use values::bounded;

use fallaway::advice::plan::StepKind;
use fallaway::record::InstrumentSpec;
use fallaway::{
    ContestedField, DeviceInfo, DeviceState, InstrumentDetails, InstrumentSummary, MergeReport,
    PeopleDeed, PeopleEvent, Person, Setup, TargetView, TemplateInfo, WorkState,
};
use serde_json::{Value, json};

use crate::parse::moments;
use crate::voice::say;
use values::{amount, location, moment, quantity, string_of};

/// A kind of instrument to start from.
pub fn template(info: &TemplateInfo) -> Value {
    json!({ "id": info.id, "name": say(&info.name), "summary": say(&info.summary) })
}

/// A line of the list of instruments.
pub fn summary(summary: &InstrumentSummary, state: Option<&WorkState>) -> Value {
    json!({
        "id": summary.id.to_string(),
        "name": summary.name,
        "last_entry": summary.last_entry.map(moment),
        "two_values": summary.contested,
        "waiting": summary.waiting,
        "set_aside": summary.aside,
        "archived": summary.archived,
        "next": state.map(|state| state.next.map(StepKind::word)),
        "drafted": state.map(|state| state.is_drafted),
        "unsent": state.map(|state| state.unsent),
    })
}

/// A person's device.
pub fn person(person: &Person) -> Value {
    json!({
        "label": person.label,
        "role": person.role.to_string(),
        "fingerprint": person.fingerprint,
        "this_device": person.this_device,
        "person": person.person,
        "compared": person.compared,
    })
}

/// What a device is known to have.
pub fn device_state(state: &DeviceState) -> Value {
    json!({
        "label": state.label,
        "fingerprint": state.fingerprint,
        "this_device": state.this_device,
        "last_heard": state.last_heard.map(moments::rfc3339),
        "not_known": state.not_known,
        "has_until": state.has_until.map(moments::rfc3339),
    })
}

/// Something that was done about people.
pub fn people_event(event: &PeopleEvent) -> Value {
    let (deed, role, whom): (_, _, Vec<&DeviceInfo>) = match &event.deed {
        PeopleDeed::Founded => ("founded", None, Vec::new()),
        PeopleDeed::Added { whom, role } => ("added", Some(role), vec![whom]),
        PeopleDeed::Invited { role, .. } => ("invited", Some(role), Vec::new()),
        PeopleDeed::Withdrew => ("withdrew", None, Vec::new()),
        PeopleDeed::Joined { role, .. } => ("joined", Some(role), Vec::new()),
        PeopleDeed::GaveRole { whom, role } => ("gave-role", Some(role), vec![whom]),
        PeopleDeed::Removed { whom, .. } => ("removed", None, whom.iter().collect()),
        PeopleDeed::Left => ("left", None, Vec::new()),
        PeopleDeed::TookIn => ("took-in", None, Vec::new()),
        PeopleDeed::RenewedWords => ("renewed-words", None, Vec::new()),
    };
    let device = |one: &DeviceInfo| json!({ "label": one.label, "fingerprint": one.fingerprint });
    json!({
        "at": moment(event.at),
        "signed_by": event.signed_by.as_ref().map(device),
        "person": event.person.as_ref().map(device),
        "deed": deed,
        "role": role.map(ToString::to_string),
        "whom": whom.into_iter().map(device).collect::<Vec<_>>(),
        "text": say(&event.phrase()),
    })
}

/// An instrument without its history; `facts` by the words of `fallaway set`.
pub fn instrument(view: &InstrumentDetails, facts: Vec<(String, String)>) -> Value {
    let fact = |(field, value)| json!({ "field": field, "value": value });
    json!({
        "id": view.id.to_string(),
        "name": view.name,
        "facts": facts.into_iter().map(fact).collect::<Vec<_>>(),
        "people": view.people.iter().map(person).collect::<Vec<_>>(),
        "two_values": view.contested,
        "waiting": view.waiting,
        "set_aside": view.set_aside,
        "read_only": view.read_only.as_ref().map(say),
        "history_digest": view.history_digest,
    })
}

/// A setup.
pub fn setup(setup: &Setup, spec: &InstrumentSpec) -> Value {
    let targets: Vec<Value> = setup.targets.iter().map(|view| target(view, spec)).collect();
    json!({ "id": setup.id.as_str(), "name": setup.name, "targets": targets })
}

fn target(view: &TargetView, spec: &InstrumentSpec) -> Value {
    let target = &view.target;
    json!({
        "quantity": quantity(target.quantity),
        "string": string_of(target.location),
        "place": location(spec, target.location),
        "wanted": amount(target.wanted),
        "within": amount(target.tolerance),
        "by": target.by,
        "at": moment(target.at),
        "two_values": view.contested,
    })
}

/// A field with two or more values, with the number of its place for `fallaway settle`.
pub fn two_values(place: usize, field: &ContestedField) -> Value {
    let versions = (1..).zip(&field.versions).map(|(number, version): (usize, _)| {
        json!({
            "number": number,
            "value": say(&version.shown),
            "by": version.device,
            "at": moment(version.at),
            "shown_meanwhile": version.displayed,
        })
    });
    json!({
        "place": place,
        "field": field.field,
        "label": say(&field.label),
        "values": versions.collect::<Vec<_>>(),
    })
}

/// What came in.
pub fn merge(report: &MergeReport) -> Value {
    let added = report.added.iter().map(|added| {
        let kinds = added.entries.iter();
        let kinds = kinds.map(|one| json!({ "kind": say(&one.text), "count": one.count }));
        json!({
            "by": added.device,
            "entries": kinds.collect::<Vec<_>>(),
            "values": added.values,
            "crossed_out": added.retracted,
        })
    });
    let refused = report
        .refused
        .iter()
        .map(|refused| json!({ "bundle": refused.bundle, "reason": say(&refused.reason) }));
    let second_uses = report.second_uses.iter().map(|one| {
        json!({
            "label": one.label, "fingerprint": one.fingerprint,
            "this_device": one.this_device, "used_by": one.used_by,
            "invited_by": one.invited_by,
        })
    });
    json!({
        "instrument": report.instrument.to_string(),
        "name": report.name,
        "added": added.collect::<Vec<_>>(),
        "joined": report.people_added,
        "second_uses": second_uses.collect::<Vec<_>>(),
        "two_values": (1..).zip(&report.newly_contested).map(|(place, field)| two_values(place, field)).collect::<Vec<_>>(),
        "already_here": report.already_here,
        "waiting": report.waiting,
        "copied": report.copied,
        "set_aside": report.set_aside.iter().map(|why| say(&why.phrase())).collect::<Vec<_>>(),
        "refused": refused.collect::<Vec<_>>(),
    })
}
