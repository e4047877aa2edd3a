//! Plans and numbers cards.

use fallaway::advice::clearance::TouchBounds;
use fallaway::advice::compare::{PointsAt, RestsOn, SetupDrift};
use fallaway::advice::observe::{Estimate, EstimateUnit, Wanted};
use fallaway::advice::plan::{PlanStep, Remark, SizeFrom, StepVerdict};
use fallaway::record::Spec;
use fallaway::{Card, CardLine, PlanView};
use fallaway_text::{cautions, plan as text, plan_page};
use serde::Serialize;
use serde_json::Value;

use super::learned;
use super::{AmountJson, all_said, amount, moment, said, values};
use crate::render::{card as cards, names};

/// A plan.
#[derive(Debug, Serialize)]
pub struct PlanJson {
    /// Position in `steps` of the step to do next; null if nothing is left.
    pub next: Option<usize>,
    /// Every step, in the order of the work.
    pub steps: Vec<StepJson>,
    /// Facts of the instrument with two or more values.
    pub two_values_for: Vec<String>,
    /// What is off the setup, and how much of it the relief explains.
    pub since_setup: Option<SinceJson>,
    /// How relief answers the rod.
    pub rod: RodJson,
}

/// What is off the setup.
#[derive(Debug, Serialize)]
pub struct SinceJson {
    /// How relief was read.
    pub relief_read: String,
    /// How far the relief is off.
    pub relief: NumberJson,
    /// Each string's action.
    pub strings: Vec<SincePartJson>,
    /// Where what is left points: nowhere, all-strings, string, cannot-be-told.
    pub points: &'static str,
    /// The string it points to.
    pub points_to_string: Option<String>,
    /// The same, a sentence each.
    pub sentences: Vec<String>,
    /// What can harm.
    pub cautions: Vec<String>,
}

/// One string's action against the setup.
#[derive(Debug, Serialize)]
pub struct SincePartJson {
    /// What is read, and which way.
    pub quantity: String,
    /// The string's number.
    pub string: Option<String>,
    /// How far it is off.
    pub off: NumberJson,
    /// How much of it the relief explains, by the model of the neck.
    pub by_relief: NumberJson,
    /// What is left.
    pub left_over: NumberJson,
    /// Whether what is left is told from none.
    pub told: bool,
}

/// How relief answers the rod.
#[derive(Debug, Serialize)]
pub struct RodJson {
    /// Millimetres of relief a turn.
    pub mm_per_turn: f64,
    /// From how many turns with readings before and after; 0: the usual response.
    pub learned_from: usize,
    /// clockwise or anticlockwise; null while it has not been shown.
    pub less_relief: Option<String>,
}

/// A step of a plan.
#[derive(Debug, Serialize)]
pub struct StepJson {
    /// tune, relief, nut, spacing, action, pickup height, intonation, as left.
    pub step: &'static str,
    /// What is read, and which way.
    pub quantity: Option<String>,
    /// The string's number.
    pub string: Option<String>,
    /// What it comes to: fine, same, adjust, measure, measure-again, measure-with-another,
    /// disagree, two-values, wait, not-applicable, stop.
    pub verdict: &'static str,
    /// The verdict in words.
    pub text: String,
    /// The reading it goes by, as entered.
    pub read: Option<String>,
    /// What is wanted.
    pub wanted: Option<AmountJson>,
    /// How far off is still fine.
    pub within: Option<AmountJson>,
    /// Read minus wanted.
    pub off: Option<NumberJson>,
    /// The reading it goes by, in full.
    pub reading: Option<Value>,
    /// What was read, in the way in which the target is written.
    pub read_as_wanted: Option<NumberJson>,
    /// What that rests on: reading, converted (model of the neck), elsewhere (at another place).
    pub read_rests_on: Option<&'static str>,
    /// Readings that disagree.
    pub disagreeing: Vec<Value>,
    /// Targets that were written apart.
    pub targets: Vec<GoalJson>,
    /// Which step it waits for.
    pub after: Option<&'static str>,
    /// What will be read with the relief at its target and all else untouched.
    pub forecast: Option<NumberJson>,
    /// Why it is to be measured again, does not apply, or is to be stopped.
    pub why: Option<String>,
    /// Which way the part goes.
    pub way: Option<String>,
    /// How far the part goes in all.
    pub in_all: Option<NumberJson>,
    /// What is left over after it.
    pub left_over: Option<NumberJson>,
    /// Strings whose action the relief explains.
    pub explains_strings: Vec<String>,
    /// Other readings that a person should know of.
    pub remarks: Vec<RemarkJson>,
    /// All of it, a sentence each.
    pub sentences: Vec<String>,
    /// What to turn, up to the next reading.
    pub turns: Vec<TurnJson>,
    /// What will be read after it.
    pub expected: Option<NumberJson>,
    /// What has to be measured again after it.
    pub measure_again: Vec<&'static str>,
    /// What can harm.
    pub cautions: Vec<String>,
}

/// A number with its standard uncertainty; exactly one pair is there.
#[derive(Debug, Default, Serialize)]
pub struct NumberJson {
    /// Millimetres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value_mm: Option<f64>,
    /// One standard deviation, in millimetres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub standard_uncertainty_mm: Option<f64>,
    /// Cents.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value_cent: Option<f64>,
    /// One standard deviation, in cents.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub standard_uncertainty_cent: Option<f64>,
}

/// A screw or nut to turn.
#[derive(Debug, Serialize)]
pub struct TurnJson {
    /// Which.
    pub screw: String,
    /// How many screws are turned alike.
    pub screws_alike: u8,
    /// How far, in eighths of a turn; 0 is less than one.
    pub eighths: u16,
    /// clockwise or anticlockwise as seen from the tool; null while it is not known.
    pub direction: Option<String>,
    /// Where the size comes from: thread, learned, usual, unknown.
    pub reckoned_by: &'static str,
    /// Advance of the thread in millimetres a turn.
    pub thread_mm: Option<f64>,
    /// From how many turns it was learned.
    pub learned_from: Option<usize>,
}

/// A target with who wrote it.
#[derive(Debug, Serialize)]
pub struct GoalJson {
    /// What is wanted.
    pub wanted: AmountJson,
    /// How far off is still fine.
    pub within: AmountJson,
    /// By whom.
    pub by: Option<String>,
    /// When.
    pub at: Option<String>,
}

/// Something to know of the numbers of a step.
#[derive(Debug, Serialize)]
pub struct RemarkJson {
    /// tuning-not-noted, other-posture, outvoted, converted-from, sideways-lifts, last-time, row.
    pub remark: &'static str,
    /// The reading it is about.
    pub reading: Option<Value>,
    /// How far a move sideways lifts the string; or by how much more the middle strings stand over the
    /// board than the outer ones.
    pub number: Option<NumberJson>,
    /// Radius through the undersides in millimetres; null where they lie flat or hollow.
    pub undersides_radius_mm: Option<f64>,
    /// Radius of the board in millimetres.
    pub board_radius_mm: Option<f64>,
}

/// Describes a plan.
pub fn plan(view: &PlanView, spec: &Spec) -> PlanJson {
    let plan = &view.plan;
    PlanJson {
        next: plan.next,
        steps: plan.steps.iter().map(|one| step(one, spec)).collect(),
        two_values_for: plan.contested_facts.iter().map(ToString::to_string).collect(),
        since_setup: plan.drift.as_ref().map(|one| since(one, spec)),
        rod: RodJson {
            mm_per_turn: clean(plan.rod.mm_per_turn),
            learned_from: plan.rod.pairs.len() - plan.rod.outvoted.len().min(plan.rod.pairs.len()),
            less_relief: plan.rod.lessens.map(|way| way.to_string()),
        },
    }
}

fn since(since: &SetupDrift, spec: &Spec) -> SinceJson {
    let (points, to) = match &since.points_at {
        PointsAt::Nowhere => ("nowhere", None),
        PointsAt::Common => ("all-strings", None),
        PointsAt::OneString(place) => ("string", Some(place.to_string())),
        PointsAt::CannotBeTold => ("cannot-be-told", None),
    };
    SinceJson {
        relief_read: names::quantity(since.relief_way),
        relief: number(since.relief),
        strings: since
            .parts
            .iter()
            .map(|part| SincePartJson {
                quantity: names::quantity(part.measurand.quantity),
                string: values::string_of(part.measurand.location),
                off: number(part.change),
                by_relief: number(part.explained),
                left_over: number(part.remainder),
                told: part.tells,
            })
            .collect(),
        points,
        points_to_string: to,
        sentences: all_said(&plan_page::drift_sentences(since, spec)),
        cautions: since.cautions.iter().map(|one| said(&cautions::text(*one))).collect(),
    }
}

fn goal(goal: &Wanted) -> GoalJson {
    GoalJson {
        wanted: amount(goal.wanted),
        within: amount(goal.tolerance),
        by: goal.by.clone(),
        at: goal.at.map(moment),
    }
}

fn remark(remark: &Remark) -> RemarkJson {
    let none = |remark| RemarkJson {
        remark,
        reading: None,
        number: None,
        undersides_radius_mm: None,
        board_radius_mm: None,
    };
    let of = |word, one| RemarkJson { reading: Some(learned::seen(one)), ..none(word) };
    match remark {
        Remark::TuningNotNoted => none("tuning-not-noted"),
        Remark::OtherPosture(one) => of("other-posture", one),
        Remark::Outvoted(one) => of("outvoted", one),
        Remark::ConvertedFrom(one) => of("converted-from", one),
        Remark::LastTime(one) => of("last-time", one),
        Remark::SidewaysLifts(lift) => {
            RemarkJson { number: Some(number(*lift)), ..none("sideways-lifts") }
        }
        Remark::Row(row) => RemarkJson {
            number: Some(number(row.middle)),
            undersides_radius_mm: row.radius_mm.map(clean),
            board_radius_mm: Some(clean(row.board_mm)),
            ..none("row")
        },
    }
}

/// Describes a step.
pub fn step(step: &PlanStep, spec: &Spec) -> StepJson {
    let adjust = step.verdict.adjust();
    let (after, forecast) = match &step.verdict {
        StepVerdict::Wait { after, forecast, .. } => (Some(after.word()), forecast.map(number)),
        _ => (None, None),
    };
    StepJson {
        reading: step.seen.as_ref().map(learned::seen),
        read_as_wanted: step.compared.map(|compared| number(compared.read)),
        read_rests_on: step.compared.map(|compared| match compared.rests_on {
            RestsOn::Reading => "reading",
            RestsOn::Converted => "converted",
            RestsOn::ElsewhereOnInstrument => "elsewhere",
        }),
        disagreeing: match &step.verdict {
            StepVerdict::Disagree { readings } => readings.iter().map(learned::seen).collect(),
            _ => Vec::new(),
        },
        targets: match &step.verdict {
            StepVerdict::TwoValues { values } => values.iter().map(goal).collect(),
            _ => step.target.iter().map(goal).collect(),
        },
        after,
        forecast,
        why: match &step.verdict {
            StepVerdict::MeasureAgain { intervention, .. } => {
                Some(text::done(*intervention).to_string())
            }
            StepVerdict::NotApplicable { why } => Some(said(&text::why_not(*why))),
            StepVerdict::Stop { why } => Some(said(&text::stop(*why))),
            _ => None,
        },
        way: adjust.map(|adjust| text::way(adjust.way).to_string()),
        in_all: adjust.and_then(|adjust| adjust.travel).map(number),
        left_over: adjust.and_then(|adjust| {
            let expect = adjust.expect?;
            Some(number(Estimate { value: adjust.left_over?, standard_uncertainty: 0.0, ..expect }))
        }),
        explains_strings: adjust.map_or_else(Vec::new, |adjust| {
            adjust.explains.iter().map(ToString::to_string).collect()
        }),
        remarks: step.remarks.iter().map(remark).collect(),
        sentences: text::step(step, spec).sentences().map(said).collect(),
        step: step.kind.word(),
        quantity: step.measurand.map(|measurand| names::quantity(measurand.quantity)),
        string: step.measurand.and_then(|measurand| values::string_of(measurand.location)),
        verdict: word(&step.verdict),
        text: plan_page::one_line(step, spec).to_string(),
        read: step.seen.as_ref().map(|seen| seen.reading.to_string()),
        wanted: step.target.as_ref().map(|goal| amount(goal.wanted)),
        within: step.target.as_ref().map(|goal| amount(goal.tolerance)),
        off: step.compared.map(|compared| number(compared.off())),
        turns: adjust.map_or_else(Vec::new, |adjust| {
            adjust
                .moves
                .iter()
                .map(|one| TurnJson {
                    screw: text::screw(&one.screw, spec).to_string(),
                    screws_alike: one.count,
                    eighths: one.turn.eighths,
                    direction: one.turn.direction.map(|direction| direction.to_string()),
                    reckoned_by: match one.size_from {
                        SizeFrom::Thread { .. } => "thread",
                        SizeFrom::Learned { .. } => "learned",
                        SizeFrom::Usual => "usual",
                        SizeFrom::Unknown => "unknown",
                    },
                    thread_mm: match one.size_from {
                        SizeFrom::Thread { pitch_mm } => Some(clean(pitch_mm)),
                        _ => None,
                    },
                    learned_from: match one.size_from {
                        SizeFrom::Learned { observations } => Some(observations),
                        _ => None,
                    },
                })
                .collect()
        }),
        expected: adjust.and_then(|adjust| adjust.expect).map(number),
        measure_again: adjust.map_or_else(Vec::new, |adjust| {
            adjust.again.iter().map(|class| class.word()).collect()
        }),
        cautions: step.cautions.iter().map(|one| said(&cautions::text(*one))).collect(),
    }
}

fn word(verdict: &StepVerdict) -> &'static str {
    match verdict {
        StepVerdict::Fine => "fine",
        StepVerdict::Same => "same",
        StepVerdict::Adjust(_) => "adjust",
        StepVerdict::Measure => "measure",
        StepVerdict::MeasureAgain { .. } => "measure-again",
        StepVerdict::MeasureWithAnother => "measure-with-another",
        StepVerdict::Disagree { .. } => "disagree",
        StepVerdict::TwoValues { .. } => "two-values",
        StepVerdict::Wait { .. } => "wait",
        StepVerdict::NotApplicable { .. } => "not-applicable",
        StepVerdict::Stop { .. } => "stop",
    }
}

/// A millionth of the unit: conversions leave no dust.
fn clean(value: f64) -> f64 {
    let rounded = (value * 1e6).round() / 1e6;
    if rounded == 0.0 { 0.0 } else { rounded }
}

fn number(known: Estimate) -> NumberJson {
    let (value, uncertainty) = (Some(clean(known.value)), Some(clean(known.standard_uncertainty)));
    match known.scale {
        EstimateUnit::Millimetre => NumberJson {
            value_mm: value,
            standard_uncertainty_mm: uncertainty,
            ..NumberJson::default()
        },
        EstimateUnit::Cent => NumberJson {
            value_cent: value,
            standard_uncertainty_cent: uncertainty,
            ..NumberJson::default()
        },
    }
}

/// A numbers card.
#[derive(Debug, Serialize)]
pub struct CardJson {
    /// The instrument's name.
    pub name: String,
    /// The setup beside which the readings are put.
    pub setup: Option<String>,
    /// The names of all setups.
    pub setups: Vec<String>,
    /// Its lines.
    pub lines: Vec<CardLineJson>,
}

/// A line of a card.
#[derive(Debug, Serialize)]
pub struct CardLineJson {
    /// What is read, and which way.
    pub quantity: String,
    /// The string's number.
    pub string: Option<String>,
    /// Where, in words.
    pub place: String,
    /// What was read last, as entered.
    pub as_entered: Option<String>,
    /// The value, or the lower bound.
    pub low: Option<AmountJson>,
    /// The value, or the upper bound.
    pub high: Option<AmountJson>,
    /// When it was read.
    pub at: Option<String>,
    /// What is wanted.
    pub wanted: Option<AmountJson>,
    /// How far off is still fine.
    pub within: Option<AmountJson>,
    /// How the one lies to the other, in words.
    pub standing: String,
}

/// Describes a card.
pub fn card(card: &Card) -> CardJson {
    CardJson {
        name: card.name.clone(),
        setup: card.setup.clone(),
        setups: card.setups.clone(),
        lines: card.lines.iter().map(line).collect(),
    }
}

fn line(line: &CardLine) -> CardLineJson {
    let last = line.last.as_ref();
    CardLineJson {
        quantity: names::quantity(line.quantity),
        string: values::string_of(line.location),
        place: line.place.clone(),
        as_entered: last.map(|last| last.reading.to_string()),
        low: last.and_then(|last| last.reading.low()).map(amount),
        high: last.and_then(|last| last.reading.high()).map(amount),
        at: last.map(|last| moment(last.at)),
        wanted: line.target.as_ref().map(|target| amount(target.wanted)),
        within: line.target.as_ref().map(|target| amount(target.tolerance)),
        standing: cards::remark(line).map(|phrase| phrase.to_string()).unwrap_or_default(),
    }
}

/// From which sides a touch is held.
pub const fn bounded(sides: TouchBounds) -> &'static str {
    match sides {
        TouchBounds::Neither => "neither",
        TouchBounds::AtMost => "above",
        TouchBounds::AtLeast => "below",
        TouchBounds::Both => "both",
        TouchBounds::Contradict => "contradict",
    }
}
