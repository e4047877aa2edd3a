//! Entries of the history.

use fallaway::HistoryEntry;
use fallaway::record::{EntryBody, InstrumentSpec, Turns};
use serde_json::{Value, json};

use super::values::{amount, moment, quantity, reading};
use crate::voice::say;

/// An entry of the history: what all have, its kind, and the details of that kind. Kinds that carry only
/// words have them in `text`.
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
        EntryBody::Visit(_) => json!({ "kind": "visit-begun" }),
        EntryBody::VisitEnd(_) => json!({ "kind": "visit-ended" }),
        EntryBody::Pass(pass) => json!({
            "kind": "readings",
            "quantity": quantity(pass.quantity),
            "tool": pass.tool.map(|tool| tool.to_string()),
            "phase": pass.phase.map(|phase| phase.to_string()),
            "posture": pass.posture.map(|posture| posture.to_string()),
            "readings": pass.readings.iter().map(|read| reading(read, spec)).collect::<Vec<_>>(),
        }),
        EntryBody::Adjustment(adjustment) => json!({
            "kind": "adjustment",
            "what": adjustment.what.to_string(),
            "string": adjustment.what.place().map(|place| place.to_string()),
            "turns_clockwise": adjustment.turns.map(Turns::value),
            "moved": adjustment.amount.map(amount),
        }),
        EntryBody::StringChange(_) => json!({ "kind": "strings" }),
        EntryBody::Tuning(_) => json!({ "kind": "tuned" }),
        EntryBody::Climate(climate) => json!({
            "kind": "climate",
            "temperature": climate.temperature.map(amount),
            "relative_humidity": climate.humidity.map(amount),
            "hours_there": climate.hours_there,
        }),
        EntryBody::Remark(_) => json!({ "kind": "remark" }),
        EntryBody::Buzz(buzz) => json!({
            "kind": "buzz",
            "string": buzz.string.to_string(),
            "from_fret": buzz.from.number(),
            "to_fret": buzz.to.number(),
        }),
        EntryBody::Photo(_) => json!({ "kind": "photo" }),
        EntryBody::Unknown { .. } => json!({ "kind": "unknown" }),
    }
}
