//! Guards: what must be so before anything is advised that cannot be undone, and limits beyond which
//! nothing is advised.

use super::context::PlanContext;
use super::step::{PartWay, PlanStep, StepWork};
use crate::compare::{AgainstTarget, RestsOn};
use crate::observe::{
    Bound, Estimate, Freshness, InterventionKind, Measurand, Observation, again, in_notation,
};

/// Work that cannot be undone stops this much high, in mm (common practice, no source); half way, where
/// less than twice this is left.
pub const STOP_HIGH_MM: f64 = 0.1;

/// Whether a reading is coarser than the tolerance it is held against ([`AgainstTarget::is_coarse`]).
pub(super) fn is_coarse(seen: &Observation, compared: &AgainstTarget) -> bool {
    let read = Estimate { bound: Bound::Value, ..seen.known };
    AgainstTarget { read, ..*compared }.is_coarse()
}

/// Why work that cannot be undone is not advised yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum NotYet {
    /// The number was converted, not read in this very way.
    NotRead,
    /// The record does not show that the strings were at pitch.
    NotTuned,
    /// Only one tool has said so.
    OneTool,
    /// The tool is coarser than the tolerance.
    Coarse,
}

/// So many readings with one tool that agree stand for a second tool that nobody has.
const WITH_ONE_TOOL: usize = 3;

/// Whether readings are enough for work that cannot be undone: two that agree, with different tools, or
/// three with one, at pitch, read in the very way in which the target is written, with tools as fine as the
/// tolerance.
///
/// # Errors
///
/// [`NotYet`] says what is missing.
pub(crate) fn enough(
    work: &PlanContext<'_>,
    measurand: Measurand,
    compared: &AgainstTarget,
) -> Result<(), NotYet> {
    if compared.rests_on != RestsOn::Reading {
        return Err(NotYet::NotRead);
    }
    let Freshness::Read { seen, agreeing, .. } = work.bench.standing(measurand, None) else {
        return Err(NotYet::NotRead);
    };
    if is_coarse(&seen, compared) {
        return Err(NotYet::Coarse);
    }
    if !seen.tuned {
        return Err(NotYet::NotTuned);
    }
    let fine = agreeing.iter().filter(|a| a.tuned && !is_coarse(a, compared));
    let known = fine.filter(|a| a.tool.is_some() && seen.tool.is_some());
    let (others, same): (Vec<_>, Vec<_>) = known.partition(|a| a.tool != seen.tool);
    let enough = !others.is_empty() || same.len() + 1 >= WITH_ONE_TOOL;
    if enough { Ok(()) } else { Err(NotYet::OneTool) }
}

/// Work without a screw: a nut slot or a saddle blank. What takes material away stops high; what adds
/// goes all the way. `per_gap` is by how much the part goes for each mm of the gap.
pub(crate) fn by_hand(
    work: &PlanContext<'_>,
    step: &PlanStep,
    compared: &AgainstTarget,
    way: PartWay,
    per_gap: Option<f64>,
) -> StepWork {
    let nut = matches!(way, PartWay::CutSlot | PartWay::FillSlot);
    let done = if nut { InterventionKind::Nut } else { InterventionKind::Bridge };
    let off = compared.off();
    let left = if way.takes_away() { STOP_HIGH_MM.min(off.value / 2.0) } else { 0.0 };
    let change = off.value - left;
    let expect = Estimate { value: compared.read.value - change, ..compared.read };
    let travel = per_gap.map(|per_gap| {
        Estimate::mm(change.abs() * per_gap, compared.read.standard_uncertainty * per_gap)
    });
    StepWork {
        way,
        travel,
        moves: Vec::new(),
        expect: Some(expect),
        expect_shown: step.seen.as_ref().and_then(|s| in_notation(expect, s.reading, s.tool)),
        left_over: Some(compared.wanted.value - expect.value),
        again: again(done, work.facts),
        explains: Vec::new(),
        lifts: Vec::new(),
    }
}
