//! The relief step: the rod, an eighth or a quarter at a time, short of the target.

use super::cautions;
use super::context::{Opened, PlanContext};
use super::step::{
    PartWay, PlanStep, ScrewMove, SizeFrom, StepKind, StepVerdict, StepWork, StopReason,
};
use crate::compare::AgainstTarget;
use crate::hazard::Hazard;
use crate::learn::{ResponsePair, ScrewResponse};
use crate::observe::{
    COVERAGE, Estimate, InterventionKind, Measurand, MeasurandKind, RodKind, TurnedScrew, again,
    in_notation,
};
use crate::turns::{HandTurn, sign};

/// The rod is turned at most this many eighths between two readings.
pub const MOST_EIGHTHS: u16 = 2;

/// The relief steps: one for each way and place in which relief is wanted or was read.
pub(crate) fn steps(work: &PlanContext<'_>) -> Vec<PlanStep> {
    let mut measurands = work.measurands(|class| class == MeasurandKind::Relief);
    // With a target, readings of other ways serve that target; they are no steps of their own.
    if measurands.iter().any(|t| work.input().target_state(*t).is_some()) {
        measurands.retain(|t| work.input().target_state(*t).is_some());
    }
    if measurands.is_empty() {
        measurands.extend(work.facts.usual_relief().map(Measurand::whole));
    }
    let mut steps: Vec<PlanStep> =
        measurands.into_iter().map(|measurand| step(work, measurand)).collect();
    twisted(&mut steps);
    steps
}

fn step(work: &PlanContext<'_>, measurand: Measurand) -> PlanStep {
    let (mut step, compared) = match work.open(StepKind::Relief, measurand, true) {
        Opened::Closed(step) => return step,
        Opened::Off(step, compared) => (step, compared),
    };
    advise(work, &mut step, &compared);
    step
}

/// Writes the advice for a relief that is to change into a step.
pub(crate) fn advise(work: &PlanContext<'_>, step: &mut PlanStep, compared: &AgainstTarget) {
    if let Some(why) = stop(work) {
        step.verdict = StepVerdict::Stop { why };
        step.cautions = vec![Hazard::RodStop, Hazard::Repairer];
        return;
    }
    let adjust = adjust(work, step, compared);
    step.cautions = cautions::for_work(StepKind::Relief, work.facts, Some(adjust.way));
    if adjust.moves.iter().any(|m| m.turn.is_trial()) {
        step.cautions.insert(0, Hazard::RodTry);
    }
    step.verdict = StepVerdict::Adjust(Box::new(adjust));
}

/// Reasons not to touch the rod.
fn stop(work: &PlanContext<'_>) -> Option<StopReason> {
    let rod = &work.rod;
    if work.facts.rod.kind == RodKind::None {
        return Some(StopReason::NoRod);
    }
    // What happened on another day is learned from; only what happens now is a reason to stop.
    let today = |p: &ResponsePair| work.bench.is_today(p.after.event);
    let told = rod.pairs.iter().rev().find(|p| p.change.tells()).filter(|p| today(p));
    let contradicts = rod.contradicts.and_then(|(_, newest)| rod.pairs.get(newest));
    let against = match (told, work.facts.rod.less_relief) {
        // Clockwise is positive: a change of the same sign as the turns means clockwise is more.
        (Some(p), Some(less)) => p.change.value * p.turns * sign(less) > 0.0,
        _ => false,
    };
    if contradicts.is_some_and(today) || against {
        return Some(StopReason::RodWrongWay);
    }
    (rod.pairs.last().is_some_and(today) && silent(rod)).then_some(StopReason::RodNoResponse)
}

/// Whether the newest turns that should have shown in the readings did not.
fn silent(rod: &ScrewResponse) -> bool {
    let mut turns = 0.0_f64;
    let mut newest: Option<Estimate> = None;
    // Back through turns one way that follow each other without an answer that tells.
    for pair in rod.pairs.iter().rev() {
        if pair.change.tells() || (turns != 0.0 && turns * pair.turns < 0.0) {
            break;
        }
        let after = newest.get_or_insert(pair.after.known);
        turns += pair.turns;
        let change = after.minus(pair.before.known);
        let limit = COVERAGE * change.standard_uncertainty;
        // A quarter turn or more, whose usual effect the readings would have told.
        if turns.abs() >= 0.25 && turns.abs() * rod.mm_per_turn > limit && !change.tells() {
            return true;
        }
    }
    false
}

fn adjust(work: &PlanContext<'_>, step: &PlanStep, compared: &AgainstTarget) -> StepWork {
    let rod = &work.rod;
    let need = -compared.off().value;
    let way = if need < 0.0 { PartWay::LessRelief } else { PartWay::MoreRelief };
    let direction = rod.lessens.map(|less| if need < 0.0 { less } else { less.reversed() });
    let turn = match direction {
        Some(_) => HandTurn { eighths: eighths(need.abs(), compared.tolerance, rod), direction },
        None => HandTurn::TRIAL,
    };
    let effect = turn.turns() * rod.mm_per_turn * need.signum();
    let expect = direction.map(|_| {
        let u = compared.read.standard_uncertainty.hypot(rod.uncertainty_mm(turn.turns()));
        Estimate::mm(compared.read.value + effect, u)
    });
    let size_from = match told_pairs(rod) {
        0 => SizeFrom::Usual,
        observations => SizeFrom::Learned { observations },
    };
    StepWork {
        way,
        travel: Some(Estimate::mm(need.abs(), compared.read.standard_uncertainty)),
        moves: vec![ScrewMove { screw: TurnedScrew::Rod, count: 1, turn, size_from }],
        expect,
        expect_shown: expect
            .zip(step.seen.as_ref())
            .and_then(|(e, s)| in_notation(e, s.reading, s.tool)),
        left_over: expect.map(|e| compared.wanted.value - e.value),
        again: again(InterventionKind::Rod, work.facts),
        explains: Vec::new(),
    }
}

/// How many observations the size of the response rests on.
fn told_pairs(rod: &ScrewResponse) -> usize {
    let counts = |(index, pair): &(usize, &ResponsePair)| {
        pair.change.tells() && !rod.outvoted.contains(index)
    };
    rod.pairs.iter().enumerate().filter(counts).count()
}

/// How many eighths: as many as stop short of the target as the rod usually answers, and stay within
/// its tolerance if it answers one standard deviation more. At most [`MOST_EIGHTHS`]; 0 is less than
/// an eighth.
fn eighths(need: f64, tolerance: f64, rod: &ScrewResponse) -> u16 {
    let usual = rod.mm_per_turn / 8.0;
    let high = rod.high() / 8.0;
    let fits = |n: &u16| {
        let n = f64::from(*n);
        n * usual <= need && n * high <= need + tolerance
    };
    let best = (1..=MOST_EIGHTHS).rev().find(fits);
    // An eighth is the least that a hand can tell; it may pass the target within its tolerance.
    best.unwrap_or(u16::from(usual <= need + tolerance))
}

/// Two sides that want the rod to go opposite ways.
fn twisted(steps: &mut [PlanStep]) {
    let wants =
        |way: PartWay| steps.iter().any(|s| s.verdict.adjust().is_some_and(|a| a.way == way));
    if wants(PartWay::MoreRelief) && wants(PartWay::LessRelief) {
        for step in steps {
            if step.verdict.adjust().is_some() {
                step.verdict = StepVerdict::Stop { why: StopReason::Twisted };
                step.cautions = vec![Hazard::Repairer];
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rod(mm_per_turn: f64, ln_sd: f64) -> ScrewResponse {
        ScrewResponse {
            mm_per_turn,
            ln_sd,
            lessens: None,
            pairs: Vec::new(),
            contradicts: None,
            outvoted: Vec::new(),
        }
    }

    #[test]
    fn turns_stop_short_and_never_pass_a_quarter() {
        let learned = rod(0.6, 0.1);
        assert_eq!(eighths(0.08, 0.05, &learned), 1);
        assert_eq!(eighths(0.16, 0.05, &learned), 2);
        assert_eq!(eighths(0.60, 0.05, &learned), 2);
        // An eighth would pass the target, but within its tolerance.
        assert_eq!(eighths(0.06, 0.05, &learned), 1);
        assert_eq!(eighths(0.02, 0.05, &learned), 0);
    }

    #[test]
    fn an_unsure_response_makes_the_step_smaller() {
        let prior = rod(0.6, std::f64::consts::LN_2);
        assert_eq!(eighths(0.16, 0.05, &prior), 1);
        assert_eq!(eighths(0.30, 0.05, &prior), 2);
    }
}
