//! A bridge that floats on springs: its height at the posts, and its tilt by the spring claw. All of it is
//! common practice, no source.

use fallaway_measure::Location;
use fallaway_mechanics::units::as_mm;

use super::context::PlanContext;
use super::other_steps::{ScrewSize, each, to_target, turned};
use super::step::{PartWay, PlanStep, SizeFrom, StepKind, StepVerdict, StepWork};
use crate::learn::{ScrewResponse, response};
use crate::observe::{Estimate, MeasurandKind, TurnedScrew};
use crate::turns::TurnDirection;

/// Claw screws go at most this far before the strings are tuned and the edge is read again, in turns.
const CLAW_TURN: f64 = 0.5;
/// The height of the bridge at its posts, where somebody wants one.
pub(crate) fn height(work: &PlanContext<'_>) -> Vec<PlanStep> {
    let shown = response::bridge_height(work.bench);
    let thread = work.facts.bridge.post.thread.map(|thread| as_mm(thread.pitch()));
    let size = ScrewSize::of_thread(thread).or_else(|| learned(&shown));
    let wanted = |of| of == MeasurandKind::BridgeHeight;
    each(work, StepKind::BridgeHeight, wanted, |step, compared| {
        let off = compared.off();
        let way = if off.value > 0.0 { PartWay::BridgeDown } else { PartWay::BridgeUp };
        let work = match step.measurand.map(|of| of.location) {
            Some(Location::Side(side)) => {
                let screw = TurnedScrew::BridgePost(side);
                let direction = toward(shown.lessens, off);
                let need = off.value.abs();
                turned(work, step, compared, way, (screw, 1), direction, size, need, None)
            }
            _ => to_target(work, step, compared, way),
        };
        StepVerdict::Adjust(Box::new(work))
    })
}

/// The tilt of the bridge, by its rear edge.
pub(crate) fn tilt(work: &PlanContext<'_>) -> Vec<PlanStep> {
    let shown = response::claw(work.bench);
    let from = match (shown.pairs.len(), work.facts.bridge.claw.thread) {
        (0, Some(thread)) => SizeFrom::Thread { pitch_mm: as_mm(thread.pitch()) },
        (0, None) => SizeFrom::Usual,
        (observations, _) => SizeFrom::Learned { observations },
    };
    let size = ScrewSize { per_turn: shown.mm_per_turn, from };
    let most = CLAW_TURN * size.per_turn;
    each(
        work,
        StepKind::BridgeTilt,
        |of| of == MeasurandKind::BridgeTail,
        |step, compared| {
            let off = compared.off();
            let way = if off.value > 0.0 { PartWay::TailDown } else { PartWay::TailUp };
            // Wood screws tighten clockwise, and that is more pull.
            let direction = toward(shown.lessens.or(Some(TurnDirection::Clockwise)), off);
            let screws = (TurnedScrew::SpringClaw, 2);
            let need = off.value.abs().min(most);
            let adjust =
                turned(work, step, compared, way, screws, direction, Some(size), need, None);
            let travel = Some(Estimate { value: off.value.abs(), ..off });
            StepVerdict::Adjust(Box::new(StepWork { travel, ..adjust }))
        },
    )
}

/// The way to the target: what lessens the reading, or back.
fn toward(lessens: Option<TurnDirection>, off: Estimate) -> Option<TurnDirection> {
    lessens.map(|lessens| if off.value > 0.0 { lessens } else { lessens.reversed() })
}

fn learned(shown: &ScrewResponse) -> Option<ScrewSize> {
    let from = SizeFrom::Learned { observations: shown.pairs.len() };
    let known = shown.lessens.is_some() && shown.mm_per_turn > 1e-6;
    known.then_some(ScrewSize { per_turn: shown.mm_per_turn, from })
}
