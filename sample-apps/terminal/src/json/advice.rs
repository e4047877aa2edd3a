//! Plans and numbers cards.

use fallaway::advice::known::{Known, Scale};
use fallaway::advice::learned::touch::Sides;
use fallaway::advice::plan::{Plan, Step, Verdict};
use fallaway::record::Spec;
use fallaway::{Card, CardLine};
use serde::Serialize;

use super::{AmountJson, amount, moment, values};
use crate::say::{card as cards, names, step as steps};

/// A plan.
#[derive(Debug, Serialize)]
pub struct PlanJson {
    /// Position in `steps` of the step to do next; null if nothing is left.
    pub next: Option<usize>,
    /// Every step, in the order of the work.
    pub steps: Vec<StepJson>,
    /// Facts of the instrument with two or more values.
    pub two_values_for: Vec<String>,
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
    /// What to turn, up to the next reading.
    pub turns: Vec<TurnJson>,
    /// What will be read after it.
    pub expected: Option<NumberJson>,
    /// What has to be measured again after it.
    pub measure_again: Vec<&'static str>,
    /// What can harm.
    pub cautions: Vec<&'static str>,
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
}

/// Describes a plan.
pub fn plan(plan: &Plan, spec: &Spec) -> PlanJson {
    PlanJson {
        next: plan.next,
        steps: plan.steps.iter().map(|one| step(one, spec)).collect(),
        two_values_for: plan.contested_facts.iter().map(ToString::to_string).collect(),
    }
}

/// Describes a step.
pub fn step(step: &Step, spec: &Spec) -> StepJson {
    let adjust = step.verdict.adjust();
    StepJson {
        step: step.kind.word(),
        quantity: step.thing.map(|thing| names::quantity(thing.quantity)),
        string: step.thing.and_then(|thing| values::string_of(thing.location)),
        verdict: word(&step.verdict),
        text: steps::verdict(step, spec).replace('\u{a0}', " "),
        read: step.seen.as_ref().map(|seen| seen.reading.to_string()),
        wanted: step.target.as_ref().map(|goal| amount(goal.wanted)),
        within: step.target.as_ref().map(|goal| amount(goal.tolerance)),
        off: step.compared.map(|compared| number(compared.off())),
        turns: adjust.map_or_else(Vec::new, |adjust| {
            adjust
                .moves
                .iter()
                .map(|one| TurnJson {
                    screw: one.screw.clone(),
                    screws_alike: one.count,
                    eighths: one.turn.eighths,
                    direction: one.turn.direction.map(|direction| direction.to_string()),
                })
                .collect()
        }),
        expected: adjust.and_then(|adjust| adjust.expect).map(number),
        measure_again: adjust.map_or_else(Vec::new, |adjust| {
            adjust.again.iter().map(|class| class.word()).collect()
        }),
        cautions: step.cautions.iter().map(|caution| caution.text()).collect(),
    }
}

fn word(verdict: &Verdict) -> &'static str {
    match verdict {
        Verdict::Fine => "fine",
        Verdict::Same => "same",
        Verdict::Adjust(_) => "adjust",
        Verdict::Measure => "measure",
        Verdict::MeasureAgain { .. } => "measure-again",
        Verdict::MeasureWithAnother => "measure-with-another",
        Verdict::Disagree { .. } => "disagree",
        Verdict::TwoValues { .. } => "two-values",
        Verdict::Wait { .. } => "wait",
        Verdict::NotApplicable { .. } => "not-applicable",
        Verdict::Stop { .. } => "stop",
    }
}

fn number(known: Known) -> NumberJson {
    // A millionth of the unit: conversions leave no dust.
    let clean = |value: f64| Some((value * 1e6).round() / 1e6);
    let (value, uncertainty) = (clean(known.value), clean(known.standard_uncertainty));
    match known.scale {
        Scale::Millimetre => NumberJson {
            value_mm: value,
            standard_uncertainty_mm: uncertainty,
            ..NumberJson::default()
        },
        Scale::Cent => NumberJson {
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
    pub standing: &'static str,
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
        standing: cards::remark(line),
    }
}

/// From which sides a touch is held.
pub const fn bounded(sides: Sides) -> &'static str {
    match sides {
        Sides::Neither => "neither",
        Sides::AtMost => "above",
        Sides::AtLeast => "below",
        Sides::Both => "both",
        Sides::Contradict => "contradict",
    }
}
