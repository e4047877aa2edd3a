//! Plans and numbers cards.

use fallaway::advice::compare::{PointsAt, RestsOn, SetupDrift};
use fallaway::advice::observe::{Estimate, Wanted};
use fallaway::advice::plan::{PlanStep, ScrewMove, SizeFrom, StepRemark, StepVerdict, StepWork};
use fallaway::record::InstrumentSpec;
use fallaway::{Card, CardLine, PlanView};
use fallaway_text::{cautions, plan as text, plan_page};
use serde_json::{Value, json};

use super::learned;
use super::values::{
    all_said, amount, clean, moment, number, quantity, said, string_of, word as said_word,
};
use crate::render::card as cards;
use crate::voice;

/// A plan.
pub fn plan(view: &PlanView, spec: &InstrumentSpec) -> Value {
    let plan = &view.plan;
    let voice = voice::get();
    let steps = plan_page::in_order(plan, &voice);
    let next = plan.next_step();
    let next = steps.iter().position(|one| next.is_some_and(|next| std::ptr::eq(*one, next)));
    let now = plan_page::steps_in_order(plan_page::now(plan), &voice);
    let facts = plan.contested_facts.iter().map(ToString::to_string);
    json!({
        "next": next,
        "now": now.into_iter().map(|one| view.id(one).to_string()).collect::<Vec<_>>(),
        "steps": steps.into_iter().map(|one| step(view, one, spec)).collect::<Vec<_>>(),
        "two_values_for": facts.collect::<Vec<_>>(),
        "since_setup": plan.drift.as_ref().map(|one| since(one, spec)),
        "rod": {
            "mm_per_turn": clean(plan.rod.mm_per_turn),
            "learned_from": plan.rod.pairs.len().saturating_sub(plan.rod.outvoted.len()),
            "less_relief": plan.rod.lessens.map(|way| way.to_string()),
        },
    })
}

/// What is off the setup, and how much of it the relief explains.
fn since(since: &SetupDrift, spec: &InstrumentSpec) -> Value {
    let (points, to) = match &since.points_at {
        PointsAt::NothingLeft => ("nowhere", None),
        PointsAt::Common => ("all-strings", None),
        PointsAt::OneString(place) => ("string", Some(place.to_string())),
        PointsAt::CannotBeTold => ("cannot-be-told", None),
    };
    let strings = since.parts.iter().map(|part| {
        json!({
            "quantity": quantity(part.measurand.quantity),
            "string": string_of(part.measurand.location),
            "off": number(part.change),
            "by_relief": number(part.explained),
            "left_over": number(part.remainder),
            "told": part.tells,
        })
    });
    json!({
        "relief_read": quantity(since.relief_way),
        "relief": number(since.relief),
        "strings": strings.collect::<Vec<_>>(),
        "points": points,
        "points_to_string": to,
        "sentences": all_said(&plan_page::drift_sentences(since, spec)),
        "cautions": since.cautions.iter().map(|one| said(&cautions::text(*one))).collect::<Vec<_>>(),
    })
}

fn goal(goal: &Wanted) -> Value {
    json!({
        "wanted": amount(goal.wanted),
        "within": amount(goal.tolerance),
        "by": goal.by,
        "at": goal.at.map(moment),
    })
}

fn remark(remark: &StepRemark) -> Value {
    let (word, reading, off, row) = match remark {
        StepRemark::TuningNotNoted => ("tuning-not-noted", None, None, None),
        StepRemark::OtherPosture(one) => ("other-posture", Some(one), None, None),
        StepRemark::Outvoted(one) => ("outvoted", Some(one), None, None),
        StepRemark::ConvertedFrom(one) => ("converted-from", Some(one), None, None),
        StepRemark::LastTime(one) => ("last-time", Some(one), None, None),
        StepRemark::SidewaysLifts(lift) => ("sideways-lifts", None, Some(*lift), None),
        StepRemark::OnTheFrets => ("on-the-frets", None, None, None),
        StepRemark::ToAndFro { .. } => ("to-and-fro", None, None, None),
        StepRemark::AgainstWritten => ("against-written", None, None, None),
        StepRemark::RodUnseen { .. } => ("rod-unseen", None, None, None),
        StepRemark::Explains(part) => ("explains", None, Some(part.explained), None),
        StepRemark::Row(row) => ("row", None, Some(row.middle), Some(row)),
        StepRemark::CouldNotBefore(_) => ("could-not-before", None, None, None),
    };
    json!({
        "remark": word,
        "reading": reading.map(learned::seen),
        "number": off.map(number),
        "undersides_radius_mm": row.and_then(|row| row.radius_mm).map(clean),
        "undersides_least_mm": row.and_then(|row| row.least_mm).map(clean),
        "undersides_most_mm": row.and_then(|row| row.most_mm).map(clean),
        "board_radius_mm": row.map(|row| clean(row.board_mm)),
    })
}

/// Other strings that a shim lifts along, and what they will then read.
fn lifts(work: &StepWork) -> Vec<Value> {
    let each = work
        .lifts
        .iter()
        .map(|(place, then)| json!({ "string": place.to_string(), "expected": number(*then) }));
    each.collect()
}

/// A screw or nut to turn, in eighths of a turn; 0 is less than one.
fn turn(one: &ScrewMove, spec: &InstrumentSpec) -> Value {
    let (word, thread, learned) = match one.size_from {
        SizeFrom::Thread { pitch_mm } => ("thread", Some(clean(pitch_mm)), None),
        SizeFrom::Learned { observations } => ("learned", None, Some(observations)),
        SizeFrom::Usual => ("usual", None, None),
        SizeFrom::Unknown => ("unknown", None, None),
    };
    json!({
        "screw": said_word(&text::screw(&one.screw, spec)),
        "screws_alike": one.count,
        "eighths": one.turn.eighths,
        "is_test": one.turn.is_trial,
        "direction": one.turn.direction.map(|direction| direction.to_string()),
        "reckoned_by": word,
        "thread_mm": thread,
        "learned_from": learned,
    })
}

/// A step of a plan.
pub fn step(view: &PlanView, step: &PlanStep, spec: &InstrumentSpec) -> Value {
    let adjust = step.verdict.adjust();
    let (after, forecast) = match &step.verdict {
        StepVerdict::Wait { after, forecast, .. } => (Some(after.word()), forecast.map(number)),
        StepVerdict::ReadAgain { forecast } => (None, Some(number(*forecast))),
        _ => (None, None),
    };
    let targets: Vec<Value> = match &step.verdict {
        StepVerdict::TwoValues { values } => values.iter().map(goal).collect(),
        _ => step.target.iter().map(goal).collect(),
    };
    let disagreeing: Vec<Value> = match &step.verdict {
        StepVerdict::Disagree { readings } => readings.iter().map(learned::seen).collect(),
        _ => Vec::new(),
    };
    let left_over = adjust.and_then(|adjust| {
        let expect = adjust.expect?;
        Some(Estimate { value: adjust.left_over?, standard_uncertainty: 0.0, ..expect })
    });
    let explains = adjust.iter().flat_map(|adjust| &adjust.explains);
    let turns = adjust.iter().flat_map(|adjust| &adjust.moves);
    let mut again: Vec<&str> =
        adjust.iter().flat_map(|adjust| &adjust.again).map(|class| class.word()).collect();
    again.dedup();
    json!({
        "id": view.id(step).to_string(),
        "step": step.kind.word(),
        "quantity": step.measurand.map(|measurand| quantity(measurand.quantity)),
        "string": step.measurand.and_then(|measurand| string_of(measurand.location)),
        "verdict": word(&step.verdict),
        "text": plan_page::one_line(step, spec).to_string(),
        "read": step.seen.as_ref().map(|seen| seen.reading.to_string()),
        "wanted": step.target.as_ref().map(|goal| amount(goal.wanted)),
        "within": step.target.as_ref().map(|goal| amount(goal.tolerance)),
        "off": step.compared.map(|compared| number(compared.off())),
        "reading": step.seen.as_ref().map(learned::seen),
        "read_as_wanted": step.compared.map(|compared| number(compared.read)),
        "read_rests_on": step.compared.map(|compared| match compared.rests_on {
            RestsOn::Reading => "reading",
            RestsOn::Converted => "converted",
            RestsOn::ElsewhereOnInstrument => "elsewhere",
        }),
        "disagreeing": disagreeing,
        "targets": targets,
        "after": after,
        "forecast": forecast,
        "why": match &step.verdict {
            StepVerdict::MeasureAgain { intervention, .. } => {
                Some(text::done(*intervention).to_string())
            }
            StepVerdict::NotApplicable { why } => Some(said(&text::why_not(*why))),
            StepVerdict::Stop { why } => Some(said(&text::stop(*why))),
            StepVerdict::CouldNot { tried } => Some(tried.reason.clone()),
            _ => None,
        },
        "way": adjust.map(|adjust| text::way(adjust.way).to_string()),
        "in_all": adjust.and_then(|adjust| adjust.travel).map(number),
        "left_over": left_over.map(number),
        "explains_strings": explains.map(ToString::to_string).collect::<Vec<_>>(),
        "remarks": step.remarks.iter().map(remark).collect::<Vec<_>>(),
        "sentences": all_said(text::step(step, spec).sentences()),
        "turns": turns.map(|one| turn(one, spec)).collect::<Vec<_>>(),
        "expected": adjust.and_then(|adjust| adjust.expect).map(number),
        "measure_again": again,
        "also_lifts": adjust.map(lifts).unwrap_or_default(),
        "cautions": step.cautions.iter().map(|one| said(&cautions::text(*one))).collect::<Vec<_>>(),
    })
}

fn word(verdict: &StepVerdict) -> &'static str {
    match verdict {
        StepVerdict::Fine => "fine",
        StepVerdict::Same => "same",
        StepVerdict::NoCloser => "no-closer",
        StepVerdict::Adjust(_) => "adjust",
        StepVerdict::Measure => "measure",
        StepVerdict::MeasureAgain { .. } => "measure-again",
        StepVerdict::MeasureWithAnother => "measure-with-another",
        StepVerdict::MeasureFiner => "measure-finer",
        StepVerdict::Disagree { .. } => "disagree",
        StepVerdict::ReadAgain { .. } => "read-again",
        StepVerdict::LookAtScrew { .. } => "look-at-screw",
        StepVerdict::TwoValues { .. } => "two-values",
        StepVerdict::Wait { .. } => "wait",
        StepVerdict::NotApplicable { .. } => "not-applicable",
        StepVerdict::Stop { .. } => "stop",
        StepVerdict::CouldNot { .. } => "could-not",
    }
}

/// A numbers card.
pub fn card(card: &Card) -> Value {
    json!({
        "name": card.name,
        "setup": card.setup.as_ref().map(|setup| &setup.name),
        "setups": card.setups.iter().map(|setup| &setup.name).collect::<Vec<_>>(),
        "lines": card.lines.iter().map(line).collect::<Vec<_>>(),
        "photos": card.photos,
    })
}

fn line(line: &CardLine) -> Value {
    let (last, target) = (line.last.as_ref(), line.target.as_ref());
    json!({
        "quantity": quantity(line.quantity),
        "string": string_of(line.location),
        "place": line.place.to_string(),
        "as_entered": last.map(|last| last.reading.to_string()),
        "low": last.and_then(|last| last.reading.low()).map(amount),
        "high": last.and_then(|last| last.reading.high()).map(amount),
        "at": last.map(|last| moment(last.at)),
        "wanted": target.map(|target| amount(target.wanted)),
        "within": target.map(|target| amount(target.tolerance)),
        "standing": cards::remark(line).map(|phrase| phrase.to_string()).unwrap_or_default(),
    })
}
