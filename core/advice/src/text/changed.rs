//! What changed, a sentence each.

use std::fmt::Write as _;

use super::plan::{capital, kind_word, measurand, read};
use crate::compare::{InstrumentPart, NotedIntervention, PartChange, PartVerdict, WhatChanged};
use crate::learn::{Interval, ReaderBias};
use crate::observe::{Facts, Observation, ReaderKey};

/// What changed, a sentence each. Every number carries its unit; every sentence says what it rests
/// on.
pub fn changed(changed: &WhatChanged, facts: &Facts) -> Vec<String> {
    let mut said = Vec::new();
    if let Some((before, after)) = changed.postures_differ {
        said.push(format!(
            "Read {before} before and {after} after: such readings are not compared, because relief \
             differs with the posture."
        ));
    }
    for part in &changed.parts {
        said.push(sentence(part, changed, facts));
    }
    said.extend(changed.readers.iter().map(readers));
    if changed.common {
        said.push(
            "By the readings all strings moved alike over the line of the neck: that points to the \
             neck joint, the bridge or its posts."
                .to_owned(),
        );
    }
    for noted in changed.noted.iter().filter(|n| own_line(n, changed)) {
        said.push(format!("Noted between: {}.", intervention(noted, facts)));
    }
    if !changed.contradicting.is_empty() {
        said.push(
            "These readings contradict each other or the rest, so that less is concluded from them. \
             Take them again."
                .to_owned(),
        );
        said.extend(changed.contradicting.iter().map(|s| read(s, facts, None)));
    }
    for seen in &changed.outvoted {
        said.push(format!("Two other readings speak against: {}", read(seen, facts, None)));
    }
    said.extend(changed.cautions.iter().map(|c| c.text().to_owned()));
    said
}

/// Two readers, one on each side, and how far they are known to lie apart.
fn readers(apart: &ReaderBias) -> String {
    let name = |(by, tool): &ReaderKey| {
        let by = by.as_deref().unwrap_or("unnamed");
        format!("{by} with {}", kind_word(*tool))
    };
    let (a, b) = (name(&apart.a), name(&apart.b));
    let both = format!("{} read before, {b} after", capital(&a));
    let Interval { value, low, high } = apart.more.estimate;
    match apart.more.observations {
        0 => format!(
            "{both}: how far these readers lie apart is not known, so up to {high:.2} mm is allowed for \
             it (common practice, no source)."
        ),
        n => format!(
            "{both}: {b} reads {value:+.2} mm ({low:+.2} mm to {high:+.2} mm) against {a}, learned from \
             {n} {} of other readings, and this is reckoned with.",
            if n == 1 { "comparison" } else { "comparisons" }
        ),
    }
}

/// Whether no part that moved already names it.
fn own_line(noted: &NotedIntervention, changed: &WhatChanged) -> bool {
    let at = changed.noted.iter().position(|n| n == noted);
    !changed.moved().any(|p| at.is_some_and(|at| p.noted.contains(&at)))
}

/// A part by its name: "the saddle of string 3 (A)".
fn name(part: InstrumentPart, facts: &Facts) -> String {
    match part {
        InstrumentPart::Neck => "the neck".to_owned(),
        InstrumentPart::Twist => "the twist of the neck".to_owned(),
        InstrumentPart::Joint => "the neck joint".to_owned(),
        InstrumentPart::Saddle(place) => format!("the saddle of string {}", facts.name(place)),
        InstrumentPart::Nut(place) => format!("the nut slot of string {}", facts.name(place)),
    }
}

/// What the number of a part is.
const fn measure(part: InstrumentPart) -> &'static str {
    match part {
        InstrumentPart::Neck => "relief in the middle of the board",
        InstrumentPart::Twist => "relief on the bass side over that on the treble side",
        InstrumentPart::Joint => "height at the saddles by the tilt of the neck",
        InstrumentPart::Saddle(_) => "height of the string at the saddle over the line of the neck",
        InstrumentPart::Nut(_) => "height of the string at the nut over the frets",
    }
}

fn sentence(change: &PartChange, changed: &WhatChanged, facts: &Facts) -> String {
    let name = capital(&name(change.part, facts));
    let measure = measure(change.part);
    let PartChange { low_mm, high_mm, .. } = change;
    let between = format!("between {low_mm:+.2} mm and {high_mm:+.2} mm");
    match change.verdict {
        PartVerdict::Moved => {
            let value = change.change.value;
            let mut said = format!(
                "{name} moved: {measure} changed by {value:+.2} mm ({between}), by the readings \
                 before and after and the model of the neck."
            );
            let noted: Vec<String> = change
                .noted
                .iter()
                .filter_map(|&n| changed.noted.get(n))
                .map(|n| intervention(n, facts))
                .collect();
            if !noted.is_empty() {
                let _ = write!(said, " Noted between: {}.", noted.join("; "));
            } else if matches!(change.part, InstrumentPart::Nut(_)) && value > 0.0 {
                said.push_str(" A slot does not rise by itself: look at fret 1 for wear.");
            }
            if let Some(one) = &change.rests_on_one
                && change.noted.is_empty()
            {
                let _ = write!(
                    said,
                    " It rests on one reading; take it once more before you go by it. {}",
                    read(one, facts, None)
                );
            }
            said
        }
        PartVerdict::NotBeyondRead => format!(
            "{name} did not move beyond what was read: {measure} changed by {between}, by the \
             readings before and after and the model of the neck."
        ),
        PartVerdict::CannotBeTold => {
            if let Some(one) = &change.rests_on_one {
                return format!(
                    "{name}: whether it moved cannot be told from these readings. {}",
                    doubtful(change, one, facts)
                );
            }
            let settle = change.would_tell.map_or_else(String::new, |t| {
                format!(" To settle it, read: {}.", measurand(t, facts))
            });
            format!(
                "{name}: whether it moved cannot be told from these readings ({measure}: \
                 {between}).{settle}"
            )
        }
    }
}

/// It moved, or one reading is wrong.
fn doubtful(change: &PartChange, one: &Observation, facts: &Facts) -> String {
    let settle = match change.would_tell {
        Some(again) if again == one.measurand => "Take it once more.".to_owned(),
        Some(other) => format!("To settle it, read: {}.", measurand(other, facts)),
        None => "It is of an earlier visit and cannot be taken again.".to_owned(),
    };
    format!(
        "It moved, or one reading is wrong, by the readings of this visit and of those around: {} \
         {settle}",
        read(one, facts, None)
    )
}

/// "a saddle height was changed, string 3 (A)".
fn intervention(noted: &NotedIntervention, facts: &Facts) -> String {
    if noted.places.is_empty() {
        return noted.kind.to_string();
    }
    let names: Vec<String> = noted.places.iter().map(|p| facts.name(*p)).collect();
    format!("{}, string {}", noted.kind, names.join(", "))
}
