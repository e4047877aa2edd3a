//! The end of the board, over the body: how it falls away. A rise chokes the high notes, and no screw
//! cures it: frets are levelled, or the board is planed (common practice, no source).

use super::context::PlanContext;
use super::other_steps::each;
use super::step::{PlanStep, StepKind, StepVerdict, StopReason, WhyNot};
use crate::hazard::Hazard;
use crate::observe::{Bound, COVERAGE, MeasurandKind};

/// A step for each fall-away that is wanted or was read.
pub(crate) fn steps(work: &PlanContext<'_>) -> Vec<PlanStep> {
    let mut steps = each(
        work,
        StepKind::FallAway,
        |kind| kind == MeasurandKind::FallAway,
        |_, _| StepVerdict::Stop { why: StopReason::BoardEnd },
    );
    for step in &mut steps {
        // A rise is said also where nobody wants anything of it.
        let unwanted = StepVerdict::NotApplicable { why: WhyNot::NoTarget };
        let judged = matches!(step.verdict, StepVerdict::Stop { .. }) || step.verdict == unwanted;
        if judged && rises(step) {
            step.verdict = StepVerdict::Stop { why: StopReason::BoardRises };
        }
        if matches!(step.verdict, StepVerdict::Stop { .. }) {
            step.cautions.push(Hazard::BoardLevelled);
        }
    }
    steps
}

/// Whether it is left to a repairer, and the rest of the work goes on.
pub(super) fn is_left(step: &PlanStep) -> bool {
    step.kind == StepKind::FallAway && matches!(step.verdict, StepVerdict::Stop { .. })
}

/// Whether a reading tells that the board rises.
fn rises(step: &PlanStep) -> bool {
    step.seen.as_ref().is_some_and(|seen| {
        let Some(read) = seen.known.length() else { return false };
        let most = read.value + read.standard_uncertainty * COVERAGE;
        seen.known.bound == Bound::Value && most.value < 0.0
    })
}
