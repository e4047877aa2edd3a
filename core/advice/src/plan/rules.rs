//! Rules over the finished steps: what comes first, what waits for what, what must be sure before it is
//! done.

use super::context::PlanContext;
use super::guards::{self, NotYet};
use super::step::{PartWay, PlanStep, StepKind, StepRemark, StepVerdict};
use super::{board_end, other_steps, relief};
use crate::compare::{AgainstTarget, DriftLine, DriftPart, part};
use crate::observe::{Estimate, Intervention, InterventionKind, Measurand, disturbs};
use fallaway_record::{AdjustedPart, CouldNot};

/// Off pitch by more than this, in cents, other readings are not worth acting on: the tension is off
/// by over 2 % (tension goes with the square of frequency).
const OFF_PITCH_CENT: f64 = 20.0;

/// Where the relief is off its target, though not by more than the tolerance, and putting it right
/// would bring every action that is off back to its target: the rod, not the saddles.
pub(super) fn prefer_rod_over_saddles(work: &PlanContext<'_>, steps: &mut [PlanStep]) {
    let reliefs: Vec<usize> = positions(steps, |s| {
        s.kind == StepKind::Relief
            && matches!(s.verdict, StepVerdict::Fine | StepVerdict::Same)
            && s.compared.is_some_and(|c| c.off().tells())
    });
    let [at] = reliefs.as_slice() else { return };
    let stuck = CouldNot::Move(AdjustedPart::Rod);
    if work.bench.not_done.iter().any(|tried| tried.is_today && tried.what == stuck) {
        return;
    }
    let Some((measurand, compared)) = steps.get(*at).and_then(|s| s.measurand.zip(s.compared))
    else {
        return;
    };
    let relief = DriftLine { measurand, seen: None, compared };
    let off: Vec<&PlanStep> = steps
        .iter()
        .filter(|s| s.kind == StepKind::Action && s.verdict.adjust().is_some())
        .collect();
    // What remains within reading error is not yet explained: at least half of it must be.
    let explained = |s: &&PlanStep| {
        let (measurand, compared) = s.measurand.zip(s.compared)?;
        let part = part(&work.models, measurand, s.seen.clone(), &compared, &relief)?;
        let half = 2.0 * part.remainder.value.abs() <= part.change.value.abs();
        (!part.tells && half).then_some(part)
    };
    let parts: Option<Vec<DriftPart>> = off.iter().map(explained).collect();
    let Some(parts) = parts.filter(|parts| !parts.is_empty()) else { return };
    let places = off.iter().filter_map(|s| s.place()).collect();
    let Some(step) = steps.get_mut(*at) else { return };
    let mut advised = step.clone();
    relief::advise(work, &mut advised, &relief.compared);
    // A rod that cannot be turned, or no finer, explains nothing away: what is on target stays so.
    if let StepVerdict::Adjust(adjust) = &mut advised.verdict {
        adjust.explains = places;
        advised.remarks.extend(parts.into_iter().map(StepRemark::Explains));
        *step = advised;
    }
}

/// A step that an earlier one would disturb waits for it: turns are given only up to the next
/// reading. What will be read after an earlier rod or saddle move is a forecast.
pub(super) fn block_on_earlier(work: &PlanContext<'_>, steps: &mut [PlanStep]) {
    let mut pending: Vec<Pending> = Vec::new();
    for step in steps.iter_mut() {
        let measurand = step.measurand;
        let blocked = pending.iter().find(|p| {
            let disturbed = match measurand {
                Some(measurand) => disturbs(&p.intervention, measurand, work.facts),
                None => false,
            };
            disturbed && (p.certain || step.verdict.adjust().is_some())
        });
        if let Some(p) = blocked
            && waits(&step.verdict)
        {
            let forecast = forecast(work, step, p);
            step.verdict = StepVerdict::Wait { after: p.kind, of: p.measurand, forecast };
            step.cautions.clear();
        }
        pending.extend(Pending::of(step));
    }
}

/// Whether a verdict is put off by work that comes before it. What people have to settle is not.
fn waits(verdict: &StepVerdict) -> bool {
    !matches!(
        verdict,
        StepVerdict::NotApplicable { .. }
            | StepVerdict::CouldNot { .. }
            | StepVerdict::Disagree { .. }
            | StepVerdict::ReadAgain { .. }
            | StepVerdict::LookAtScrew { .. }
            | StepVerdict::TwoValues { .. }
            | StepVerdict::Stop { .. }
    )
}

/// An earlier step that is not settled.
struct Pending {
    kind: StepKind,
    measurand: Option<Measurand>,
    intervention: Intervention,
    /// It will be worked on, so that what it disturbs is not worth reading before.
    certain: bool,
    /// What was read of it, against what is wanted.
    compared: Option<AgainstTarget>,
}

impl Pending {
    fn of(step: &PlanStep) -> Option<Self> {
        let intervention = other_steps::intervention_of(step)?;
        let certain = match &step.verdict {
            StepVerdict::Adjust(_) if step.kind == StepKind::Tune => {
                far_off_pitch(step.compared).then_some(true)
            }
            StepVerdict::Adjust(_) => Some(true),
            StepVerdict::Fine
            | StepVerdict::Same
            | StepVerdict::NoCloser
            | StepVerdict::NotApplicable { .. }
            | StepVerdict::CouldNot { .. } => None,
            // What nobody set a target for will not be worked on.
            StepVerdict::Measure | StepVerdict::MeasureAgain { .. } if step.target.is_none() => {
                None
            }
            // Whether it will be worked on is open; nothing after it is turned before that is known.
            _ => (step.kind != StepKind::Tune).then_some(false),
        }?;
        Some(Self {
            kind: step.kind,
            measurand: step.measurand,
            intervention,
            certain,
            compared: step.compared,
        })
    }
}

fn far_off_pitch(compared: Option<AgainstTarget>) -> bool {
    compared.is_some_and(|c| c.off().value.abs() > OFF_PITCH_CENT)
}

/// What a step will read with the relief at its target, saddles untouched.
fn forecast(work: &PlanContext<'_>, step: &PlanStep, pending: &Pending) -> Option<Estimate> {
    if pending.kind != StepKind::Relief || !pending.certain {
        return None;
    }
    let (measurand, compared) = (step.measurand?, step.compared?);
    let of = pending.measurand.zip(pending.compared);
    let relief = of.map(|(measurand, compared)| DriftLine { measurand, seen: None, compared })?;
    let part = part(&work.models, measurand, None, &compared, &relief)?;
    // Wherever within its tolerance the relief comes to stand.
    let left = part.explained.value / relief.compared.off().value * relief.compared.tolerance
        / 3_f64.sqrt();
    let u = part.explained.standard_uncertainty.hypot(left);
    let u = compared.read.standard_uncertainty.hypot(u);
    let bound = compared.read.bound;
    Some(Estimate { bound, ..Estimate::mm(compared.read.value - part.explained.value, u) })
}

/// Nut slots and saddle blanks wait until relief and action are final; what cannot be undone asks for a
/// second tool.
pub(super) fn guard_irreversible(work: &PlanContext<'_>, steps: &mut [PlanStep]) {
    let is_final = |step: &PlanStep| step.verdict == StepVerdict::NoCloser;
    let open = |steps: &[PlanStep], kinds: &[StepKind]| {
        steps
            .iter()
            .find(|s| kinds.contains(&s.kind) && !s.verdict.settled() && !is_final(s))
            .map(|s| (s.kind, s.measurand))
    };
    for at in 0..steps.len() {
        let Some(way) = steps.get(at).and_then(|s| s.verdict.adjust()).map(|a| a.way) else {
            continue;
        };
        let before: &[StepKind] = match way {
            PartWay::CutSlot | PartWay::FillSlot => &[StepKind::Relief, StepKind::Action],
            PartWay::TakeOff | PartWay::Shim => &[StepKind::Relief],
            _ => continue,
        };
        let waits_for = open(steps, before);
        let Some(step) = steps.get_mut(at) else { continue };
        let Some((measurand, compared)) = step.measurand.zip(step.compared) else { continue };
        let asks = way.takes_away() || (way == PartWay::Shim && worked_on_today(work, measurand));
        let sure = if asks { guards::enough(work, measurand, &compared) } else { Ok(()) };
        step.verdict = match (waits_for, sure) {
            (Some((after, of)), _) => StepVerdict::Wait { after, of, forecast: None },
            (None, Err(NotYet::NotRead)) => StepVerdict::Measure,
            (None, Err(NotYet::Coarse)) => StepVerdict::MeasureFiner,
            (None, Err(NotYet::NotTuned | NotYet::OneTool)) => StepVerdict::MeasureWithAnother,
            (None, Ok(())) => continue,
        };
        step.cautions.clear();
    }
}

/// Whether the saddle of a string was worked on today: that it then lies far too low is likelier misread than
/// true, and a shim lifts all strings.
fn worked_on_today(work: &PlanContext<'_>, measurand: Measurand) -> bool {
    let saddle = [InterventionKind::SaddleHeight, InterventionKind::Bridge];
    work.bench.done_today().map(|done| &done.intervention).any(|done| {
        saddle.contains(&done.kind) && measurand.place().is_some_and(|place| done.touches(place))
    })
}

/// The last step waits for all others but those that nobody at the bench can do, and what waits for those.
pub(super) fn finish(steps: &mut [PlanStep]) {
    let waits_in_vain = |step: &PlanStep| match step.verdict {
        StepVerdict::Wait { after, of, .. } => steps.iter().any(|s| {
            (s.kind, s.measurand) == (after, of)
                && matches!(s.verdict, StepVerdict::CouldNot { .. })
        }),
        _ => false,
    };
    let open = steps
        .iter()
        .filter(|s| s.kind != StepKind::AsLeft && s.kind != StepKind::Tune)
        .find(|s| s.verdict.is_open() && !waits_in_vain(s) && !board_end::is_left(s))
        .map(|s| (s.kind, s.measurand));
    let Some((after, of)) = open else { return };
    for step in steps.iter_mut().filter(|s| s.kind == StepKind::AsLeft) {
        step.verdict = StepVerdict::Wait { after, of, forecast: None };
    }
}

fn positions(steps: &[PlanStep], wanted: impl Fn(&PlanStep) -> bool) -> Vec<usize> {
    steps.iter().enumerate().filter(|(_, s)| wanted(s)).map(|(i, _)| i).collect()
}
