//! A bridge that floats on springs: its height at the posts, its tilt by the spring claw, and what posts do
//! for the action of all strings before single saddles are turned. All of it is common practice, no source.

use fallaway_measure::{Location, Quantity};
use fallaway_mechanics::units::as_mm;

use super::context::PlanContext;
use super::other_steps::{ScrewSize, each, to_target, turned};
use super::saddle::{Lifting, needs};
use super::step::{PartWay, PlanStep, ScrewMove, SizeFrom, StepKind, StepVerdict};
use crate::learn::{ScrewResponse, response};
use crate::observe::{Estimate, MeasurandKind, POSTS, TurnedScrew};
use crate::turns::TurnDirection;

/// Claw screws go at most this far before the strings are tuned and the edge is read again, in turns.
const CLAW_TURN: f64 = 0.5;
/// Posts are turned for the action where they leave at most this share of what all strings are off by, as
/// a sum of squares.
const LEFT_BY_POSTS: f64 = 0.25;
/// So many strings say what posts are to do; fewer may stand off each for itself.
const STRINGS_FOR_POSTS: usize = 3;

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
                turned(work, step, compared, way, (screw, 1), direction, size, off.value.abs())
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
            let adjust = turned(work, step, compared, way, screws, direction, Some(size), need);
            let travel = Some(Estimate { value: off.value.abs(), ..off });
            StepVerdict::Adjust(Box::new(super::step::StepWork { travel, ..adjust }))
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

/// What the posts do for all strings, where that leaves little for the saddles' own screws. Where a height
/// of the bridge is wanted the posts keep that.
pub(super) fn posts_for_all<T>(
    work: &PlanContext<'_>,
    all: &[PlanStep],
    with: impl FnOnce(Lifting<'_>) -> Option<T>,
) -> Option<T> {
    let matrix = work.facts.bridge.posts.as_ref()?.matrix.as_ref()?;
    let keeps = |quantity| quantity == Quantity::BridgeHeight;
    if work.input().targets.iter().any(|target| keeps(target.measurand.quantity)) {
        return None;
    }
    let wanted = needs(work, all, &work.facts.bridge.rows);
    if wanted.iter().flatten().count() < STRINGS_FOR_POSTS {
        return None;
    }
    let screws = POSTS.map(TurnedScrew::BridgePost);
    let posts = Lifting::new(matrix, &screws, 1, &wanted)?;
    let (mut before, mut after) = (0.0, 0.0);
    for (need, string) in wanted.iter().zip(&posts.answer.strings) {
        let Some(need) = need.map(|need| as_mm(need.value)) else { continue };
        before += need * need;
        after += (need - as_mm(string.gives)).powi(2);
    }
    (after <= LEFT_BY_POSTS * before).then_some(())?;
    with(posts)
}

/// Whether a move turns a post under saddles that have screws of their own.
pub(super) fn turns_posts(work: &PlanContext<'_>, moves: &[ScrewMove]) -> bool {
    let post = matches!(moves.first().map(|one| &one.screw), Some(TurnedScrew::BridgePost(_)));
    post && !work.facts.bridge.only_posts()
}
