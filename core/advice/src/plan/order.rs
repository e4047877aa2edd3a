//! The order of work: builds every step in order, then lets the steps wait for each other.

use super::context::PlanContext;
use super::step::{Plan, PlanStep, StepKind, StepVerdict};
use super::{board_end, floating, other_steps, radius, relief, rules, saddle, settle};
use crate::compare::{DriftLine, SetupDrift, drift};
use crate::observe::{Freshness, Input, ReadingIndex};

/// Builds the steps of one kind.
type Build = fn(&PlanContext<'_>) -> Vec<PlanStep>;

/// The steps, in the order of work.
const ORDER: &[(StepKind, Build)] = &[
    (StepKind::Targets, other_steps::targets),
    (StepKind::Tune, other_steps::tune),
    (StepKind::Relief, relief::steps),
    (StepKind::FallAway, board_end::steps),
    (StepKind::BridgeHeight, floating::height),
    (StepKind::BridgeTilt, floating::tilt),
    (StepKind::Nut, other_steps::nut),
    (StepKind::Spacing, other_steps::spacing),
    (StepKind::Action, saddle::steps),
    (StepKind::Radius, radius::step),
    (StepKind::Pickup, other_steps::pickup),
    (StepKind::Intonation, other_steps::intonation),
    (StepKind::AsLeft, other_steps::as_left),
];

/// Makes the plan.
pub fn plan(input: &Input<'_>) -> Plan {
    let bench = ReadingIndex::new(input);
    let work = PlanContext::new(&bench);
    let mut steps: Vec<PlanStep> = ORDER.iter().flat_map(|(_, build)| build(&work)).collect();
    rules::prefer_rod_over_saddles(&work, &mut steps);
    let drift = drift_of(&work, &steps);
    settle::pass_over_what_could_not_be_done(&bench, &mut steps);
    rules::block_on_earlier(&work, &mut steps);
    rules::guard_irreversible(&work, &mut steps);
    settle::pass_over_what_could_not_be_done(&bench, &mut steps);
    radius::block_on_actions(&mut steps);
    rules::finish(&mut steps);
    settle::say_what_settles(&work, &mut steps);
    let next = next(&bench, &steps);
    Plan {
        steps,
        next,
        drift,
        rod: work.rod.clone(),
        contested_facts: input.facts.contested.clone(),
    }
}

/// The first step that asks for something. Tuning that nobody noted is asked for only while nothing
/// has been read since: who reads has tuned, as a rule. What is left to a repairer and keeps nobody from the rest
/// comes last.
fn next(bench: &ReadingIndex<'_>, steps: &[PlanStep]) -> Option<usize> {
    let open = |s: &PlanStep| match (&s.verdict, s.kind) {
        (StepVerdict::Measure, StepKind::Tune) => !bench.read_since(None),
        (StepVerdict::MeasureAgain { entry, .. }, StepKind::Tune) => {
            !bench.read_since(Some(*entry))
        }
        (StepVerdict::Wait { .. }, _) => false,
        (verdict, _) => verdict.is_open(),
    };
    let at_the_bench = |s: &PlanStep| open(s) && !board_end::is_left(s);
    steps.iter().position(at_the_bench).or_else(|| steps.iter().position(open))
}

/// What moved since the setup. `None` without a relief that was read against a target.
fn drift_of(work: &PlanContext<'_>, steps: &[PlanStep]) -> Option<SetupDrift> {
    let lines = |kind| {
        steps.iter().filter(move |s| s.kind == kind).filter_map(|s| {
            let (measurand, compared) = (s.measurand?, s.compared?);
            Some(DriftLine { measurand, seen: s.seen.as_ref(), compared })
        })
    };
    let relief = lines(StepKind::Relief).next()?;
    let actions: Vec<DriftLine<'_>> = lines(StepKind::Action).collect();
    let step = steps.iter().find(|s| s.kind == StepKind::Relief && s.compared.is_some());
    let was_there = step.and_then(|s| s.target.as_ref()).is_some_and(|target| target.taken);
    let screwed_on = work.facts.neck_may_be_screwed_on();
    let mut found = drift(&work.models, screwed_on, was_there, &relief, &actions);
    for part in &mut found.parts {
        let Some(seen) = &part.seen else { continue };
        let standing = work.bench.standing(part.measurand, seen.posture);
        part.once = matches!(&standing, Freshness::Read { agreeing, .. } if agreeing.is_empty());
    }
    Some(found)
}
