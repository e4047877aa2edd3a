//! Entries of the history.

use fallaway::HistoryEntry;
use fallaway::measure::{Note, StringPlace};
use fallaway::record::spec::StringSpec;
use fallaway::record::{CouldNot, EntryBody, FretFinding, InstrumentSpec, Turns};
use fallaway_text::entries;
use serde_json::{Value, json};

use super::values::{amount, moment, quantity, reading, string_of};
use crate::voice::say;

/// An entry of the history: what all have, its kind, and the details of that kind.
pub fn entry(view: &HistoryEntry, spec: &InstrumentSpec) -> Value {
    let entry = &view.entry;
    let crossed_out = view.retracted.iter().map(|retraction| {
        json!({
            "by": retraction.by,
            "at": moment(retraction.at),
            "reason": retraction.reason,
        })
    });
    let mut shape = json!({
        "short": view.short,
        "id": entry.id.to_string(),
        "at": moment(entry.at),
        "by": entry.by,
        "device": view.device,
        "who": view.who,
        "visit": entry.visit.map(|visit| visit.to_string()),
        "draft": view.draft,
        "crossed_out": crossed_out.collect::<Vec<_>>(),
        "text": say(&view.text),
    });
    if let (Some(shape), Value::Object(mut details)) =
        (shape.as_object_mut(), details(&entry.body, spec))
    {
        shape.append(&mut details);
    }
    shape
}

fn details(body: &EntryBody, spec: &InstrumentSpec) -> Value {
    match body {
        EntryBody::Visit(visit) => json!({ "kind": "visit-begun", "purpose": visit.purpose }),
        EntryBody::VisitEnd(end) => json!({ "kind": "visit-ended", "note": end.note }),
        EntryBody::Pass(pass) => json!({
            "kind": "readings",
            "quantity": quantity(pass.quantity),
            "tool": pass.tool.map(|tool| tool.to_string()),
            "phase": pass.phase.map(|phase| phase.to_string()),
            "posture": pass.posture.map(|posture| posture.to_string()),
            "stopped_by": pass.stopped_by.map(|by| say(&entries::stopped_by(by))),
            "tuned_minutes_ago": pass.tuned_minutes_ago,
            "readings": pass.readings.iter().map(|read| reading(read, spec)).collect::<Vec<_>>(),
        }),
        EntryBody::Adjustment(adjustment) => json!({
            "kind": "adjustment",
            "what": adjustment.what.to_string(),
            "string": adjustment.what.place().map(|place| place.to_string()),
            "turns_clockwise": adjustment.turns.map(Turns::value),
            "moved": adjustment.amount.map(amount),
            "note": adjustment.note,
        }),
        EntryBody::StringChange(change) => json!({
            "kind": "strings",
            "strings": places(&change.strings),
            "set": change.set,
            "fitted": change.fitted.iter().map(fitted).collect::<Vec<_>>(),
            "note": change.note,
        }),
        EntryBody::Tuning(tuning) => json!({
            "kind": "tuned",
            "strings": places(&tuning.strings),
            "changed": tuning.changed.iter().map(changed).collect::<Vec<_>>(),
            "note": tuning.note,
        }),
        EntryBody::Climate(climate) => json!({
            "kind": "climate",
            "temperature": climate.temperature.map(amount),
            "relative_humidity": climate.humidity.map(amount),
            "where_kept": climate.where_kept,
            "hours_there": climate.hours_there,
        }),
        EntryBody::Remark(remark) => json!({
            "kind": "remark",
            "remark": remark.text,
            "replaces": remark.replaces.map(|id| id.to_string()),
            "about": remark.about.map(|id| id.to_string()),
            "could_not": remark.could_not.map(could_not),
            "fret": remark.fret.as_ref().map(fret_finding),
        }),
        EntryBody::Buzz(buzz) => json!({
            "kind": "buzz",
            "string": buzz.string.to_string(),
            "from_fret": buzz.from.number(),
            "to_fret": buzz.to.number(),
            "note": buzz.note,
        }),
        EntryBody::Photo(photo) => json!({
            "kind": "photo",
            "media_type": photo.media_type,
            "caption": photo.caption,
            "bytes": photo.bytes,
            "about": photo.about.map(|id| id.to_string()),
        }),
        EntryBody::Unknown { .. } => json!({ "kind": "unknown" }),
    }
}

fn places(strings: &[StringPlace]) -> Vec<String> {
    strings.iter().map(ToString::to_string).collect()
}

fn fitted((place, string): &(StringPlace, StringSpec)) -> Value {
    json!({
        "string": place.to_string(),
        "gauge": string.gauge.map(amount),
        "name": string.name,
    })
}

fn changed((place, note): &(StringPlace, Note)) -> Value {
    json!({ "string": place.to_string(), "to": note.to_string() })
}

/// What could not be moved, or not be read; the remark says why.
/// What was found at a fret.
pub fn fret_finding(found: &FretFinding) -> Value {
    json!({
        "fret": found.fret.number(),
        "found": found.state.to_string(),
        "strings": found.strings.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "by": found.by.map(|by| by.to_string()),
    })
}

fn could_not(what: CouldNot) -> Value {
    match what {
        CouldNot::Move(part) => json!({
            "what": part.to_string(),
            "string": part.place().map(|place| place.to_string()),
        }),
        CouldNot::Read { quantity: of, location } => json!({
            "quantity": quantity(of),
            "string": string_of(location),
        }),
        CouldNot::Other(_) => Value::Null,
    }
}
