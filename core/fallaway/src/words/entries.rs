//! One entry of the history in words.

use fallaway_measure::Place;
use fallaway_record::{Adjustment, Body, Buzz, Climate, Entry, Pass, Spec, StringChange, Tuning};

use super::names;

/// What the entry says, without who and when.
pub fn words(entry: &Entry, spec: &Spec) -> String {
    let text = body(&entry.body, spec);
    if entry.newer && !matches!(entry.body, Body::Unknown { .. }) {
        format!("{text} (parts of it were written by a newer version)")
    } else {
        text
    }
}

/// What an entry with this body says.
pub fn body(body: &Body, spec: &Spec) -> String {
    match body {
        Body::Visit(visit) => with("visit begun", visit.purpose.as_deref()),
        Body::VisitEnd(end) => with("visit ended", end.note.as_deref()),
        Body::Pass(pass) => format!("{}: {}", pass_head(pass), readings(pass, spec)),
        Body::Adjustment(adjustment) => adjusted(adjustment, spec),
        Body::StringChange(change) => strings(change, spec),
        Body::Tuning(tuning) => tuned(tuning, spec),
        Body::Climate(climate) => air(climate),
        Body::Remark(remark) => remark.text.clone(),
        Body::Buzz(buzz) => buzzes(buzz, spec),
        Body::Photo(photo) => with("photo", photo.caption.as_deref()),
        Body::Unknown { kind, .. } => format!("entry of kind {kind}, written by a newer version"),
    }
}

fn with(what: &str, detail: Option<&str>) -> String {
    detail.map_or_else(|| what.to_owned(), |detail| format!("{what}: {detail}"))
}

/// What was read, which way, with what, in which state: "action, stopped at 1 over 24, as found".
pub fn pass_head(pass: &Pass) -> String {
    let mut head = names::quantity(pass.quantity);
    let mut add = |text: String| {
        head.push_str(", ");
        head.push_str(&text);
    };
    if let Some(phase) = pass.phase {
        add(phase.to_string());
    }
    if let Some(tool) = pass.tool {
        add(tool.to_string());
    }
    if let Some(posture) = pass.posture {
        add(posture.to_string());
    }
    if let Some(stopped_by) = pass.stopped_by {
        add(format!("stopped by {stopped_by}"));
    }
    if let Some(minutes) = pass.tuned_minutes_ago {
        add(format!("tuned {minutes} min before"));
    }
    head
}

fn readings(pass: &Pass, spec: &Spec) -> String {
    let parts: Vec<String> = pass
        .readings
        .iter()
        .map(|read| match names::location(spec, read.location) {
            place if place.is_empty() => read.reading.to_string(),
            place => format!("{place} {}", read.reading),
        })
        .collect();
    parts.join("; ")
}

/// An adjustment: "saddle height, 4 (E): 1/4 turn clockwise, down".
pub fn adjusted(adjustment: &Adjustment, spec: &Spec) -> String {
    adjusted_together(std::slice::from_ref(adjustment), spec)
}

/// Adjustments that differ in the string only: "saddle height, 1 (G), 2 (D): 1/8 turn clockwise".
pub fn adjusted_together(adjustments: &[Adjustment], spec: &Spec) -> String {
    use fallaway_record::Adjusted::{
        BridgePost, NutSlot, SaddleHeight, SaddlePosition, SaddleSideways,
    };
    let Some(first) = adjustments.first() else { return String::new() };
    let strings: Vec<String> =
        adjustments.iter().filter_map(|one| Some(names::string(spec, one.what.place()?))).collect();
    let strings = strings.join(", ");
    let what = match first.what {
        SaddleHeight(_) => format!("saddle height, {strings}"),
        SaddlePosition(_) => format!("saddle fore or aft, {strings}"),
        SaddleSideways(_) => format!("saddle sideways, {strings}"),
        NutSlot(_) => format!("nut slot, {strings}"),
        BridgePost(_) if adjustments.len() > 1 => "bridge posts, both".into(),
        other => other.to_string(),
    };
    let mut details = Vec::new();
    details.extend(first.turns.map(|turns| turns.to_string()));
    details.extend(first.amount.map(|amount| moved(first, amount)));
    details.extend(first.note.clone());
    if details.is_empty() { what } else { format!("{what}: {}", details.join(", ")) }
}

/// A move in words; the record keeps its direction as a sign.
fn moved(adjustment: &Adjustment, amount: fallaway_measure::Amount) -> String {
    use fallaway_record::Adjusted::{
        BridgePost, NutSlot, SaddleHeight, SaddlePosition, SaddleSideways,
    };
    let (above, below) = match adjustment.what {
        SaddleHeight(_) | BridgePost(_) => ("up", "down"),
        SaddlePosition(_) => ("back", "forward"),
        SaddleSideways(_) => ("toward the treble side", "toward the bass side"),
        NutSlot(_) => ("filled", "filed"),
        _ => return amount.to_string(),
    };
    let text = amount.to_string();
    match text.strip_prefix('-') {
        Some(size) => format!("{size} {below}"),
        None => format!("{text} {above}"),
    }
}

fn list(places: &[Place], spec: &Spec) -> String {
    if places.is_empty() {
        return "all strings".into();
    }
    let word = if places.len() == 1 { "string" } else { "strings" };
    let names: Vec<String> = places.iter().map(|place| names::string(spec, *place)).collect();
    format!("{word} {}", names.join(", "))
}

fn strings(change: &StringChange, spec: &Spec) -> String {
    let mut text = format!("{} changed", list(&change.strings, spec));
    let gauges: Vec<String> = change
        .fitted
        .iter()
        .filter_map(|(place, fitted)| Some(format!("{place} {}", fitted.gauge?)))
        .collect();
    let gauges = (!gauges.is_empty()).then(|| gauges.join(", "));
    for detail in [change.set.clone(), gauges, change.note.clone()].into_iter().flatten() {
        text = format!("{text}: {detail}");
    }
    text
}

fn tuned(tuning: &Tuning, spec: &Spec) -> String {
    let mut text = format!("{} tuned", list(&tuning.strings, spec));
    if !tuning.changed.is_empty() {
        let notes: Vec<String> =
            tuning.changed.iter().map(|(place, note)| format!("{place} to {note}")).collect();
        text = format!("{text}, {} from now on", notes.join(", "));
    }
    with(&text, tuning.note.as_deref())
}

fn air(climate: &Climate) -> String {
    let mut parts = Vec::new();
    parts.extend(climate.temperature.map(|t| t.to_string()));
    parts.extend(climate.humidity.map(|h| format!("{h} relative humidity")));
    let mut text = format!("air: {}", parts.join(", "));
    if let Some(place) = &climate.place {
        text = format!("{text}, {place}");
    }
    if let Some(hours) = climate.hours_there {
        text = format!("{text}, there for {hours} h");
    }
    text
}

fn buzzes(buzz: &Buzz, spec: &Spec) -> String {
    let text =
        format!("buzz: {}, {}", names::string(spec, buzz.string), names::frets(buzz.from, buzz.to));
    with(&text, buzz.note.as_deref())
}
