//! Guards: what must be so before anything is advised that cannot be undone, and limits beyond which
//! nothing is advised.

use super::context::PlanContext;
use super::step::{PartWay, PlanStep, StepWork};
use crate::compare::{AgainstTarget, RestsOn};
use crate::observe::{Estimate, InterventionKind, Measurand, Standing, again, in_notation};

/// Work that cannot be undone stops this much high, in mm (common practice, no source).
pub const STOP_HIGH_MM: f64 = 0.1;

/// Why work that cannot be undone is not advised yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotYet {
    /// The number was converted, not read in this very way.
    NotRead,
    /// The record does not show that the strings were at pitch.
    NotTuned,
    /// Only one tool has said so.
    OneTool,
}

/// Whether readings are enough for work that cannot be undone: two that agree, with different tools,
/// at pitch, read in the very way in which the target is written.
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
    let Standing::Read { seen, agreeing, .. } = work.bench.standing(measurand, None) else {
        return Err(NotYet::NotRead);
    };
    if !seen.tuned {
        return Err(NotYet::NotTuned);
    }
    let other = agreeing
        .iter()
        .any(|a| a.tuned && a.tool.is_some() && seen.tool.is_some() && a.tool != seen.tool);
    if other { Ok(()) } else { Err(NotYet::OneTool) }
}

/// Work that takes material away: it stops high.
pub(crate) fn cut(
    work: &PlanContext<'_>,
    step: &PlanStep,
    compared: &AgainstTarget,
    way: PartWay,
) -> StepWork {
    let cuts =
        if way == PartWay::CutSlot { InterventionKind::Nut } else { InterventionKind::Bridge };
    let stop_at = compared.wanted.value + STOP_HIGH_MM;
    let expect = Estimate { value: stop_at.min(compared.read.value), ..compared.read };
    StepWork {
        way,
        travel: Some(Estimate { value: compared.read.value - expect.value, ..compared.read }),
        moves: Vec::new(),
        expect: Some(expect),
        expect_shown: step.seen.as_ref().and_then(|s| in_notation(expect, s.reading, s.tool)),
        left_over: Some(compared.wanted.value - expect.value),
        again: again(cuts, work.facts),
        explains: Vec::new(),
    }
}
