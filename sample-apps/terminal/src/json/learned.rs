//! What changed, what was learned and what is forecast: every fact behind the sentences.

use fallaway::Explanation;
use fallaway::advice::compare::{
    AgainstWish, HowSure, InstrumentPart, Judgement, LikelyChange, NotedIntervention, PartChange,
    PartVerdict, WhatChanged,
};
use fallaway::advice::learn::touch::{BoundSide, TouchHeard};
use fallaway::advice::learn::{
    Forecast, Interval, Learned, LearnedValue, LeftOut, PlayerTouch, ReaderBias, ReaderLearned,
    ScrewLearned,
};
use fallaway::advice::observe::{Measurand, Observation};
use fallaway::measure::{StringPlace, ToolKind};
use fallaway_text::{cautions, plan as text};
use serde_json::{Value, json};

use super::values::{all_said, amount, bounded, clean, moment, quantity, said, string_of};

pub(super) fn seen(one: &Observation) -> Value {
    json!({
        "entry": one.entry.to_string(),
        "quantity": quantity(one.measurand.quantity),
        "string": string_of(one.measurand.location),
        "as_entered": one.reading.to_string(),
        "tool": one.tool.map(|tool| tool.to_string()),
        "by": one.by,
        "at": moment(one.at),
        "posture": one.posture.map(|posture| posture.to_string()),
        "standard_uncertainty_mm": one.known.length().map(|_| clean(one.known.standard_uncertainty)),
        "repeats_learned_from": one.repeats.map(|repeats| repeats.observations),
    })
}

fn measurand(one: Measurand) -> Value {
    json!({
        "quantity": quantity(one.quantity),
        "string": string_of(one.location),
    })
}

fn excluded(list: &[LeftOut]) -> Vec<Value> {
    let why = |e: &LeftOut| fallaway_text::learned::why_left_out(e.why).to_string();
    let one = |e: &LeftOut| json!({ "entry": e.entry.to_string(), "why": why(e) });
    list.iter().map(one).collect()
}

/// An estimate, its interval and what it started from, named after the unit.
fn lesson(lesson: &LearnedValue, unit: &str) -> Value {
    let mut object = serde_json::Map::new();
    object.insert("observations".to_owned(), lesson.observations.into());
    let mut put = |prefix: &str, Interval { value, low, high }: Interval| {
        for (word, number) in [("", value), ("low_", low), ("high_", high)] {
            object.insert(format!("{prefix}{word}{unit}"), clean(number).into());
        }
    };
    put("", lesson.estimate);
    put("prior_", lesson.prior);
    object.insert("left_out".to_owned(), excluded(&lesson.excluded).into());
    object.into()
}

/// What changed.
pub fn changed(told: &Explanation<WhatChanged>) -> Value {
    let changed = &told.facts;
    json!({
        "sentences": all_said(&told.sentences),
        "likely": changed.likely.iter().map(likely).collect::<Vec<_>>(),
        "parts": changed.parts.iter().map(part).collect::<Vec<_>>(),
        "all_strings_alike": changed.common,
        "readings_before": changed.readings.0,
        "readings_after": changed.readings.1,
        "readers": changed.readers.iter().map(readers).collect::<Vec<_>>(),
        "postures_differ": changed.postures_differ.map(|(a, b)| [a.to_string(), b.to_string()]),
        "contradicting": changed.contradicting.iter().map(seen).collect::<Vec<_>>(),
        "outvoted": changed.outvoted.iter().map(seen).collect::<Vec<_>>(),
        "noted": changed.noted.iter().map(noted).collect::<Vec<_>>(),
        "typed_targets": changed.wishes.iter().map(wish).collect::<Vec<_>>(),
        "cautions": changed.cautions.iter().map(|c| said(&cautions::text(*c))).collect::<Vec<_>>(),
    })
}

fn wish(one: &AgainstWish) -> Value {
    json!({
        "quantity": quantity(one.measurand.quantity),
        "string": string_of(one.measurand.location),
        "wanted": amount(one.wanted),
        "reading": seen(&one.seen),
        "off_mm": clean(one.compared.off().value),
        "off_standard_uncertainty_mm": clean(one.compared.off().standard_uncertainty),
        "standing": match one.judgement {
            Judgement::OnTarget => "on-target",
            Judgement::OnTargetWithinError => "within-reading-error",
            Judgement::Above => "above",
            Judgement::Below => "below",
            Judgement::CannotTell => "cannot-tell",
        },
    })
}

fn word(part: InstrumentPart) -> (&'static str, Option<StringPlace>) {
    match part {
        InstrumentPart::Neck => ("neck", None),
        InstrumentPart::Twist => ("twist", None),
        InstrumentPart::Joint => ("joint", None),
        InstrumentPart::Saddle(place) => ("saddle", Some(place)),
        InstrumentPart::Nut(place) => ("nut", Some(place)),
        InstrumentPart::Heights => ("heights", None),
    }
}

fn likely(one: &LikelyChange) -> Value {
    let (word, place) = word(one.part);
    json!({
        "part": word,
        "string": place.map(|place| place.to_string()),
        "change_mm": clean(one.change.value),
        "odds": clean(one.odds),
        "how_sure": match one.how_sure {
            HowSure::Moved => "moved",
            HowSure::MostLikely => "most-likely",
        },
        "against": one.against.as_ref().map(seen),
        "decide": one.decide.map(measurand),
        "another_tool": one.another_tool,
    })
}

fn part(change: &PartChange) -> Value {
    let (word, place) = word(change.part);
    json!({
        "part": word,
        "string": place.map(|place| place.to_string()),
        "verdict": match change.verdict {
            PartVerdict::Moved => "moved",
            PartVerdict::NotBeyondRead => "not-beyond-read",
            PartVerdict::CannotBeTold => "cannot-be-told",
        },
        "change_mm": clean(change.change.value),
        "standard_uncertainty_mm": clean(change.change.standard_uncertainty),
        "low_mm": change.interval_mm.map(|(low, _)| clean(low)),
        "high_mm": change.interval_mm.map(|(_, high)| clean(high)),
        "would_tell": change.would_tell.map(measurand),
        "noted": change.noted,
        "rests_on_one": change.rests_on_one.as_ref().map(seen),
    })
}

/// Two readers, one on each side, and how far they are known to lie apart.
fn readers(apart: &ReaderBias) -> Value {
    let name = |(by, tool): &(Option<String>, Option<ToolKind>)| json!({ "by": by, "tool": tool.map(|tool| tool.to_string()) });
    json!({
        "before": name(&apart.a),
        "after": name(&apart.b),
        "after_reads_more": lesson(&apart.more, "mm"),
    })
}

fn noted(noted: &NotedIntervention) -> Value {
    json!({
        "entry": noted.entry.to_string(),
        "what": text::done(noted.kind).to_string(),
        "strings": noted.places.iter().map(ToString::to_string).collect::<Vec<_>>(),
    })
}

/// What was learned.
pub fn learned(told: &Explanation<Learned>) -> Value {
    let learned = &told.facts;
    let season = learned.season.as_ref().map(|season| {
        json!({
            "read": measurand(season.way),
            "per_percent_moisture": lesson(&season.per_percent, "mm"),
            "driest_percent": clean(season.seen_percent.0),
            "dampest_percent": clean(season.seen_percent.1),
            "told_from_none": season.told,
        })
    });
    json!({
        "sentences": all_said(&told.sentences),
        "rod_per_turn": lesson(&learned.rod, "mm"),
        "less_relief": learned.less_relief.map(|way| way.to_string()),
        "screws": learned.screws.iter().map(screw).collect::<Vec<_>>(),
        "season": season,
        "relief_per_newton": learned.tension.as_ref().map(|pull| {
            let mut object = lesson(&pull.per_newton, "mm");
            if let Some(object) = object.as_object_mut() {
                object.insert("told_from_none".to_owned(), pull.told.into());
            }
            object
        }),
        "readers": learned.readers.iter().map(reader).collect::<Vec<_>>(),
        "touch": learned.touch.iter().map(touch).collect::<Vec<_>>(),
    })
}

fn screw(learned: &ScrewLearned) -> Value {
    json!({
        "screw": learned.screw.word(),
        "pickup": learned.pickup,
        "clockwise": learned.clockwise.map(|way| way.to_string()),
        "observations": learned.observations,
    })
}

fn reader(reader: &ReaderLearned) -> Value {
    json!({
        "by": reader.by,
        "tool": reader.tool.map(|tool| tool.to_string()),
        "repeatability": lesson(&reader.repeatability, "mm"),
        "offset": lesson(&reader.offset, "mm"),
    })
}

fn touch(touch: &PlayerTouch) -> Value {
    let observed: Vec<Value> = touch
        .observed
        .iter()
        .map(|one| {
            let (heard, from, to) = match one.heard {
                TouchHeard::Clean { to } => ("clean", None, to),
                TouchHeard::Buzz { from, to } => ("buzz", Some(from), to),
            };
            json!({
                "entry": one.entry.to_string(),
                "string": one.place.to_string(),
                "heard": heard,
                "from_fret": from,
                "to_fret": to,
                "newton": clean(one.bound.newton),
                "relief": seen(&one.relief),
                "action": seen(&one.action),
            })
        })
        .collect();
    let tightest = |side| touch.tightest(side).map(|one| clean(one.bound.newton));
    let Value::Object(mut object) = lesson(&touch.force, "newton") else {
        return Value::Null;
    };
    object.insert("player".to_owned(), touch.by.clone().into());
    object.insert("bounded".to_owned(), bounded(touch.sides).into());
    object.insert("at_least_newton".to_owned(), tightest(BoundSide::AtLeast).into());
    object.insert("at_most_newton".to_owned(), tightest(BoundSide::AtMost).into());
    object.insert("observed".to_owned(), observed.into());
    object.into()
}

/// What is forecast.
pub fn forecast(told: &Explanation<Forecast>) -> Value {
    let forecast = &told.facts;
    let there: Vec<Value> = forecast
        .there
        .iter()
        .map(|there| {
            let action: Vec<Value> = there
                .action
                .iter()
                .map(|one| {
                    let half =
                        fallaway::advice::observe::COVERAGE * one.expect.standard_uncertainty;
                    json!({
                        "quantity": quantity(one.measurand.quantity),
                        "string": string_of(one.measurand.location),
                        "from": seen(&one.from),
                        "value_mm": clean(one.expect.value),
                        "low_mm": clean(one.expect.value - half),
                        "high_mm": clean(one.expect.value + half),
                        "standard_uncertainty_mm": clean(one.expect.standard_uncertainty),
                    })
                })
                .collect();
            json!({
                "air": there.air.name,
                "moisture_percent": clean(there.moisture_percent),
                "relief_mm": clean(there.relief.value),
                "relief_low_mm": clean(there.relief.low),
                "relief_high_mm": clean(there.relief.high),
                "beyond_record": there.beyond_record,
                "pack_eighths": there.pack.map(|turn| turn.eighths),
                "pack_direction": there.pack.and_then(|t| t.direction).map(|d| d.to_string()),
                "for_more_relief": there.more_relief,
                "action": action,
            })
        })
        .collect();
    json!({
        "sentences": all_said(&told.sentences),
        "read": measurand(forecast.season.way),
        "target_mm": forecast.target_mm.map(clean),
        "told_from_none": forecast.season.told,
        "there": there,
    })
}
