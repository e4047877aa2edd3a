//! One step of the plan in a few words.

use fallaway::advice::learn::ScrewResponse;
use fallaway::advice::observe::{Bound, Estimate, EstimateUnit, Observation, Wanted};
use fallaway::advice::plan::{
    PlanStep, Remark, ScrewMove, SizeFrom, StepKind, StepVerdict, StepWork,
};
use fallaway::advice::text;
use fallaway::record::Spec;

use super::names;
use crate::parse::moments;

/// What a step comes to, as one sentence without its full stop.
pub fn verdict(step: &PlanStep, spec: &Spec) -> String {
    match &step.verdict {
        StepVerdict::Fine => format!("fine{}", compared(step)),
        StepVerdict::Same => {
            format!("the same, as far as your {} can tell{}", tool_word(step), compared(step))
        }
        StepVerdict::Adjust(adjust) => adjust_words(spec, adjust),
        StepVerdict::Measure => match step.measurand {
            Some(measurand) => format!("measure ({})", names::quantity(measurand.quantity)),
            None if step.kind == StepKind::Tune => "tune to pitch (then: fallaway tuned)".into(),
            None if step.kind == StepKind::AsLeft => {
                "play every note, and write the final numbers down (--as-left)".into()
            }
            None => "measure".into(),
        },
        StepVerdict::MeasureAgain { intervention, .. } if step.kind == StepKind::Tune => {
            format!("tune to pitch: {intervention} since")
        }
        StepVerdict::MeasureAgain { intervention, .. } => {
            format!("measure again: {intervention} since")
        }
        StepVerdict::MeasureWithAnother => {
            "measure with another tool too, before anything that cannot be undone".into()
        }
        StepVerdict::Disagree { readings } => {
            let shown: Vec<String> = readings.iter().map(seen).collect();
            format!("two readings disagree: {}; take a third", shown.join(" and "))
        }
        StepVerdict::TwoValues { values } => {
            let shown: Vec<String> = values.iter().map(goal).collect();
            format!("two values are wanted: {}; settle them first", shown.join(" or "))
        }
        StepVerdict::Wait { after, of, forecast } => {
            let of = of.map(|measurand| names::location(spec, measurand.location));
            let of = of.filter(|place| !place.is_empty());
            let of = of.map_or_else(String::new, |place| format!(", {place}"));
            let forecast = forecast.map_or_else(String::new, |known| {
                format!("; if nothing else moves it will then read about {}", about(known))
            });
            format!("after {}{of}{forecast}", after.word())
        }
        StepVerdict::NotApplicable { why } => clause(text::why_text(*why)),
        StepVerdict::Stop { why } => format!("stop: {}", clause(text::stop_text(*why))),
    }
}

/// What else to know of a step.
pub fn details(step: &PlanStep, with_reading: bool) -> Vec<String> {
    let mut lines = Vec::new();
    if with_reading
        && matches!(step.verdict, StepVerdict::Adjust(_))
        && let (Some(read), Some(goal)) = (&step.seen, &step.target)
    {
        lines.push(format!(
            "Read {}; wanted {}, give or take {}",
            seen(read),
            goal.wanted,
            goal.tolerance
        ));
    }
    let tried = step.verdict.adjust().is_some_and(|a| a.moves.iter().any(|m| m.turn.is_trial()));
    if step.kind == StepKind::Action && tried {
        lines.push(
            "If the eye sees which way the saddle goes when its screw is turned, say so: fallaway set \
             saddle-clockwise more (or less)"
                .into(),
        );
    }
    for remark in &step.remarks {
        lines.push(match remark {
            Remark::TuningNotNoted => {
                "Whether it was at pitch when it was read is not noted (fallaway tuned)".into()
            }
            Remark::OtherPosture(other) => {
                format!("Not counted, another posture: {}", seen(other))
            }
            Remark::Outvoted(other) => {
                format!("Two other readings speak against {}", seen(other))
            }
            Remark::ConvertedFrom(from) => {
                format!(
                    "Converted from {}: {}",
                    names::quantity(from.measurand.quantity),
                    seen(from)
                )
            }
            Remark::SidewaysLifts(known) => {
                format!("Moving it sideways lifts the string by about {}", about(*known))
            }
            Remark::Row(row) => fallaway::advice::text::undersides(row),
            Remark::LastTime(last) => format!("Last time: {}", seen(last)),
        });
    }
    lines
}

/// A sentence without its full stop.
fn clause(sentence: &str) -> String {
    sentence.trim_end_matches('.').to_owned()
}

fn adjust_words(spec: &Spec, adjust: &StepWork) -> String {
    let way = text::way(adjust.way);
    let travel =
        adjust.travel.map_or_else(String::new, |known| format!(" by {} in all", about(known)));
    let turns: Vec<String> = adjust.moves.iter().map(one_move).collect();
    let turns = turns.join("; ");
    let tried = adjust.moves.iter().any(|one| one.turn.is_trial());
    let mut text = match (turns.is_empty(), tried) {
        (true, _) => format!("{way}{travel}"),
        (_, true) => format!(
            "{way}{travel}: try {turns}, tune, and read, because which way it works is not known yet"
        ),
        _ => format!("{way}{travel}: {turns}"),
    };
    if !adjust.explains.is_empty() {
        let names: Vec<String> =
            adjust.explains.iter().map(|place| names::string(spec, *place)).collect();
        text = format!("{text}; it brings back the action of {}", names.join(", "));
    }
    if let Some(expected) = expected(adjust) {
        text = format!("{text}; it will then read about {expected}");
    }
    if let (Some(left), Some(expect)) = (adjust.left_over, adjust.expect) {
        let least = if expect.scale == EstimateUnit::Millimetre { 0.05 } else { 1.0 };
        if left.abs() > least {
            let left = about(Estimate::new(left.abs(), 0.0, expect.scale));
            text = format!("{text}, and {left} are still to go");
        }
    }
    text
}

/// What will be read, in the notation of the tool if there is one.
pub fn expected(adjust: &StepWork) -> Option<String> {
    let expect = adjust.expect?;
    Some(adjust.expect_shown.map_or_else(|| about(expect), |amount| amount.to_string()))
}

fn one_move(one: &ScrewMove) -> String {
    let from = match one.size_from {
        SizeFrom::Unknown if !one.turn.is_trial() => " (neither thread nor answer is known)",
        SizeFrom::Usual if !one.turn.is_trial() => " (a usual amount: nothing learned yet)",
        _ => "",
    };
    format!("{} {}{}{from}", one.screw, one.turn, alike(one))
}

/// How the screws of one saddle are turned.
pub fn alike(one: &ScrewMove) -> &'static str {
    match one.count {
        0 | 1 => "",
        2 => ", both screws of it alike",
        _ => ", all screws of it alike",
    }
}

/// What the rod has shown on this instrument.
pub fn rod(response: &ScrewResponse) -> Option<String> {
    let way = response.lessens?;
    (!response.pairs.is_empty()).then(|| {
        let times = match response.pairs.len() {
            1 => "once".to_owned(),
            2 => "twice".to_owned(),
            n => format!("{n} times"),
        };
        format!(
            "This rod has shown it {times}: {way} gives less relief, about {:.2}\u{a0}mm a quarter \
             turn.",
            response.mm_per_turn / 4.0
        )
    })
}

/// The word for the tool in "as far as your rule can tell".
pub fn tool_word(step: &PlanStep) -> &'static str {
    text::tool_word(step.seen.as_ref().and_then(|seen| seen.tool))
}

fn compared(step: &PlanStep) -> String {
    match (&step.seen, &step.target) {
        (Some(seen), Some(goal)) => format!(
            ": read {}, wanted {}, give or take {}",
            seen.reading, goal.wanted, goal.tolerance
        ),
        (Some(seen), None) => format!(": read {}", seen.reading),
        _ => String::new(),
    }
}

/// A reading with its circumstances.
fn seen(seen: &Observation) -> String {
    let mut with = Vec::new();
    with.extend(seen.by.clone());
    with.extend(seen.tool.map(|tool| tool.to_string()));
    with.extend(seen.posture.map(|posture| posture.to_string()));
    with.push(moments::shown(seen.at));
    format!("{} ({})", seen.reading, with.join(", "))
}

fn goal(goal: &Wanted) -> String {
    let mut with = Vec::new();
    with.extend(goal.by.clone());
    with.extend(goal.at.map(moments::shown));
    if with.is_empty() {
        goal.wanted.to_string()
    } else {
        format!("{} ({})", goal.wanted, with.join(", "))
    }
}

/// A number with its unit, rounded to what a hand can use.
pub fn about(known: Estimate) -> String {
    let bound = match known.bound {
        Bound::Value => "",
        Bound::AtMost => "at most ",
        Bound::AtLeast => "at least ",
    };
    match known.scale {
        EstimateUnit::Millimetre => format!("{bound}{:.2}\u{a0}mm", known.value),
        EstimateUnit::Cent => format!("{bound}{:.1}\u{a0}cent", known.value),
    }
}

/// The same with its sign.
pub fn signed(known: Estimate) -> String {
    let text = about(known);
    if known.value >= 0.0 { format!("+{text}") } else { text }
}
