//! What settles a step: what is to be written down for it, what is measured after it, and what follows
//! where somebody tried and could not.

use fallaway_measure::{Decimal, Location, Quantity};
use fallaway_record::{AdjustedPart, Adjustment, CouldNot, Turns};

use super::context::PlanContext;
use super::step::{
    PartWay, PlanStep, ScrewMove, SettledBy, StepKind, StepRemark, StepVerdict, StepWork,
};
use crate::observe::{Measurand, ReadingIndex, disturbs, moving};
use crate::turns::{HandTurn, TurnDirection};

/// Says of every step what settles it, and what is to be measured after it.
pub(super) fn say_what_settles(work: &PlanContext<'_>, steps: &mut [PlanStep]) {
    let mut all: Vec<Measurand> = Vec::new();
    for measurand in steps.iter().filter_map(|step| step.measurand) {
        if work.facts.has(measurand) && !all.contains(&measurand) {
            all.push(measurand);
        }
    }
    let final_numbers = final_numbers(work, &all);
    for step in steps {
        step.settled_by = settled_by(step, &final_numbers);
        step.then_measure = match &step.settled_by {
            SettledBy::Adjustments { adjustments, .. } => {
                let done = adjustments.iter().filter_map(|one| moving(one.what));
                let done: Vec<_> = done.collect();
                let own = step.measurand;
                let disturbed = all.iter().filter(|measurand| {
                    own == Some(**measurand)
                        || done.iter().any(|done| disturbs(done, **measurand, work.facts))
                });
                disturbed.copied().collect()
            }
            _ => Vec::new(),
        };
    }
}

/// What is written down last: what somebody wants, else what was read.
fn final_numbers(work: &PlanContext<'_>, all: &[Measurand]) -> Vec<Measurand> {
    let wanted = |measurand: &&Measurand| work.input().target_state(**measurand).is_some();
    let targets: Vec<Measurand> = all.iter().filter(wanted).copied().collect();
    if targets.is_empty() { work.bench.read_today() } else { targets }
}

fn settled_by(step: &PlanStep, final_numbers: &[Measurand]) -> SettledBy {
    match (&step.verdict, step.kind) {
        (StepVerdict::Adjust(work), StepKind::Tune) if work.moves.is_empty() => {
            SettledBy::Tuning { strings: step.place().into_iter().collect() }
        }
        (StepVerdict::Adjust(work), _) => SettledBy::Adjustments {
            adjustments: adjustments(step, work),
            either_way: work.moves.iter().any(|one| one.turn.direction.is_none()),
        },
        (StepVerdict::TwoValues { .. }, _) => SettledBy::Choice,
        (StepVerdict::LookAtScrew { screw, .. }, _) => {
            SettledBy::ScrewFact { screw: screw.clone() }
        }
        (StepVerdict::Stop { .. }, _) => SettledBy::Repairer,
        (StepVerdict::Measure, StepKind::Targets) => SettledBy::Target,
        (StepVerdict::Measure, StepKind::AsLeft) => {
            SettledBy::AsLeft { of: final_numbers.to_vec() }
        }
        (StepVerdict::Measure | StepVerdict::MeasureAgain { .. }, StepKind::Tune) => {
            SettledBy::Tuning { strings: Vec::new() }
        }
        (
            StepVerdict::Measure
            | StepVerdict::MeasureAgain { .. }
            | StepVerdict::MeasureWithAnother
            | StepVerdict::MeasureFiner
            | StepVerdict::Disagree { .. }
            | StepVerdict::ReadAgain { .. },
            _,
        ) => SettledBy::Readings { of: step.measurand.into_iter().collect() },
        (
            StepVerdict::Fine
            | StepVerdict::Same
            | StepVerdict::NoCloser
            | StepVerdict::Wait { .. }
            | StepVerdict::CouldNot { .. }
            | StepVerdict::NotApplicable { .. },
            _,
        ) => SettledBy::Nothing,
    }
}

/// What is proposed, as it is written down.
fn adjustments(step: &PlanStep, work: &StepWork) -> Vec<Adjustment> {
    if work.moves.is_empty() {
        let unread = |what| Adjustment { what, turns: None, amount: None, note: None };
        return part_without_a_screw(step, work.way).map(unread).into_iter().collect();
    }
    let turned = |one: &ScrewMove| {
        let turns = Some(turns(one.turn));
        Some(Adjustment { what: one.screw.part()?, turns, amount: None, note: None })
    };
    work.moves.iter().filter_map(turned).collect()
}

/// The part that goes a way where no screw is named; `None` where the record has no single one.
fn part_without_a_screw(step: &PlanStep, way: PartWay) -> Option<AdjustedPart> {
    let place = step.place();
    match way {
        PartWay::MoreRelief | PartWay::LessRelief => Some(AdjustedPart::Rod),
        PartWay::Raise | PartWay::Lower => place.map(AdjustedPart::SaddleHeight),
        PartWay::Lengthen | PartWay::Shorten => place.map(AdjustedPart::SaddlePosition),
        PartWay::Apart | PartWay::Together => place.map(AdjustedPart::SaddleSideways),
        PartWay::CutSlot | PartWay::FillSlot => {
            Some(place.map_or(AdjustedPart::Nut, AdjustedPart::NutSlot))
        }
        PartWay::TakeOff | PartWay::Shim => Some(AdjustedPart::Bridge),
        PartWay::BridgeUp | PartWay::BridgeDown => match step.measurand?.location {
            Location::Side(side) => Some(AdjustedPart::BridgePost(side)),
            _ => None,
        },
        PartWay::TailUp | PartWay::TailDown => Some(AdjustedPart::Springs),
        PartWay::PickupUp | PartWay::PickupDown => match step.measurand?.quantity {
            Quantity::PickupGap { pickup, .. } => Some(AdjustedPart::Pickup { pickup, side: None }),
            _ => None,
        },
        PartWay::TuneUp | PartWay::TuneDown => None,
    }
}

/// A turn as the record has it: above zero is clockwise; without a direction it is written so, too. Less
/// than an eighth is a sixteenth.
fn turns(turn: HandTurn) -> Turns {
    let back = turn.direction == Some(TurnDirection::Anticlockwise);
    let sign = if back { -1 } else { 1 };
    if turn.eighths == 0 {
        let sixteenth = Decimal::new(625 * sign, 4).ok().and_then(Turns::exact);
        return sixteenth.unwrap_or(Turns::eighths(0));
    }
    let most = (Turns::MAX * 8) as i16;
    let eighths = i16::try_from(turn.eighths).unwrap_or(most).min(most);
    Turns::eighths(if back { -eighths } else { eighths })
}

/// What somebody says who cannot do a step: what does not move, or what cannot be read. `None` for a step
/// at which there is nothing to try.
pub fn could_not(step: &PlanStep) -> Option<CouldNot> {
    match &step.settled_by {
        SettledBy::Adjustments { adjustments, .. } => {
            adjustments.first().map(|first| CouldNot::Move(first.what))
        }
        SettledBy::Tuning { strings } => {
            let location = strings.first().copied().map_or(Location::Whole, Location::Course);
            Some(CouldNot::Read { quantity: Quantity::Pitch, location })
        }
        SettledBy::Readings { of } => {
            of.first().map(|of| CouldNot::Read { quantity: of.quantity, location: of.location })
        }
        SettledBy::AsLeft { .. }
        | SettledBy::Nothing
        | SettledBy::Target
        | SettledBy::Choice
        | SettledBy::ScrewFact { .. }
        | SettledBy::Repairer => None,
    }
}

/// Whether a step asks for what could not be done.
fn asks_for(step: &PlanStep, what: CouldNot) -> bool {
    match (settled_by(step, &[]), what) {
        (SettledBy::Adjustments { adjustments, .. }, CouldNot::Move(part)) => {
            adjustments.iter().any(|one| one.what == part)
        }
        (SettledBy::Tuning { strings }, CouldNot::Read { quantity: Quantity::Pitch, location }) => {
            strings.first().copied().map_or(Location::Whole, Location::Course) == location
        }
        (SettledBy::Readings { of }, CouldNot::Read { quantity, location }) => {
            of.contains(&Measurand { quantity, location })
        }
        _ => false,
    }
}

/// Where somebody tried today and could not, the step is not asked for again; what it would have
/// disturbed goes on without it. What was tried at an earlier visit is said beside it.
pub(super) fn pass_over_what_could_not_be_done(bench: &ReadingIndex<'_>, steps: &mut [PlanStep]) {
    if bench.not_done.is_empty() {
        return;
    }
    for step in steps {
        let Some(tried) = bench.not_done.iter().rev().find(|one| asks_for(step, one.what)) else {
            continue;
        };
        if tried.is_today {
            step.verdict = StepVerdict::CouldNot { tried: tried.clone() };
            step.cautions.clear();
            continue;
        }
        let remark = StepRemark::CouldNotBefore(tried.clone());
        if !step.remarks.contains(&remark) {
            step.remarks.push(remark);
        }
    }
}
