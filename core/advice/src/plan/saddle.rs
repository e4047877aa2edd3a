//! The action steps: saddle heights, from the highest-pitched string to the lowest.

use fallaway_measure::{Length, Place};
use fallaway_mechanics::bridge::BridgeMove;
use fallaway_mechanics::screws::Rounding;
use fallaway_mechanics::units::{as_mm, mm};

use super::cautions;
use super::context::{Opened, PlanContext};
use super::step::{PartWay, PlanStep, ScrewMove, SizeFrom, StepKind, StepVerdict, StepWork};
use crate::compare::AgainstTarget;
use crate::learn::ScrewResponse;
use crate::learn::response;
use crate::observe::{
    BridgeKind, Estimate, InterventionKind, Measurand, MeasurandKind, TurnedScrew, again,
    in_notation,
};
use crate::turns::{Direction, HandTurn};

/// The action steps in the order in which action is set.
pub(crate) fn steps(work: &PlanContext<'_>) -> Vec<PlanStep> {
    let wanted = work.measurands(MeasurandKind::is_action);
    let mut steps = Vec::new();
    let mut groups = Vec::new();
    for string in &work.facts.strings {
        let mut measurands: Vec<Measurand> =
            wanted.iter().copied().filter(|t| t.place() == Some(string.place)).collect();
        if measurands.iter().any(|t| work.input().target_state(*t).is_some()) {
            measurands.retain(|t| work.input().target_state(*t).is_some());
        }
        if measurands.is_empty() {
            let usual = work.facts.usual_action();
            measurands.extend(usual.map(|q| Measurand::string(q, string.place)));
        }
        for measurand in measurands {
            match work.open(StepKind::Action, measurand, true) {
                Opened::Closed(step) => steps.push(step),
                Opened::Off(step, compared) => {
                    groups.push((steps.len(), compared));
                    steps.push(step);
                }
            }
        }
    }
    // Read by side or as a whole: compared, without a screw to name.
    for measurand in wanted.into_iter().filter(|t| t.place().is_none()) {
        match work.open(StepKind::Action, measurand, false) {
            Opened::Closed(step) => steps.push(step),
            Opened::Off(step, compared) => {
                groups.push((steps.len(), compared));
                steps.push(step);
            }
        }
    }
    let opened = steps.clone();
    for (at, compared) in groups {
        if let Some(step) = steps.get_mut(at) {
            let adjust = advise(work, step, &compared, &opened);
            step.cautions = cautions::for_work(StepKind::Action, work.facts, Some(adjust.way));
            step.verdict = StepVerdict::Adjust(Box::new(adjust));
        }
    }
    steps
}

/// What is wanted of the gap, without a screw.
fn plain(work: &PlanContext<'_>, compared: &AgainstTarget) -> StepWork {
    let need = -compared.off().value;
    StepWork {
        way: if need > 0.0 { PartWay::Raise } else { PartWay::Lower },
        travel: None,
        moves: Vec::new(),
        expect: None,
        expect_shown: None,
        left_over: None,
        again: again(InterventionKind::SaddleHeight, work.facts),
        explains: Vec::new(),
    }
}

/// How far the saddle goes, and the turns that this takes. Where screws move several strings, the
/// turns that bring all of them nearest to their targets.
fn advise(
    work: &PlanContext<'_>,
    step: &PlanStep,
    compared: &AgainstTarget,
    all: &[PlanStep],
) -> StepWork {
    let mut adjust = plain(work, compared);
    let Some((measurand, place)) = step.measurand.zip(step.place()) else { return adjust };
    let need = -compared.off().value;
    let ratio = ratio(work, measurand, place);
    if let Some(ratio) = ratio {
        let u = compared.read.standard_uncertainty / ratio;
        adjust.travel = Some(Estimate::mm(need.abs() / ratio, u));
    }
    if work.facts.bridge.kind == BridgeKind::Fixed {
        return adjust;
    }
    let learned = response::saddle(work.bench, measurand.quantity);
    let shown = learned.as_ref().and_then(|l| l.lessens).map(Direction::reversed);
    let answer = solve(work, place, all);
    let change = match (answer, ratio) {
        (Some(answer), Some(ratio)) => {
            let attempt = response::saddle_try(work.bench, measurand.quantity);
            let rise = from_threads(work, &answer, shown, attempt, &mut adjust);
            rise.map(|rise| (rise * ratio, 0.0))
        }
        _ => from_learned(work, place, learned.as_ref(), need, &mut adjust),
    };
    if let Some((change, unsure)) = change {
        let u = compared.read.standard_uncertainty.hypot(unsure);
        let expect = Estimate::mm(compared.read.value + change, u);
        adjust.expect = Some(expect);
        adjust.expect_shown =
            step.seen.as_ref().and_then(|s| in_notation(expect, s.reading, s.tool));
        adjust.left_over = Some(compared.wanted.value - expect.value);
    }
    adjust
}

/// By how much the gap grows for each mm by which the saddle rises.
fn ratio(work: &PlanContext<'_>, measurand: Measurand, place: Place) -> Option<f64> {
    let ratio = work.models.of_string(place)?.per_saddle(measurand.quantity)?;
    (ratio.value > 1e-3).then_some(ratio.value)
}

/// What the bridge's screws do for `place` and all strings that they move along.
fn solve(work: &PlanContext<'_>, place: Place, all: &[PlanStep]) -> Option<(BridgeMove, usize)> {
    let bridge = &work.facts.bridge;
    let matrix = bridge.matrix.as_ref()?;
    let row = bridge.rows.iter().position(|p| *p == place)?;
    let moved = work.facts.moved_with(place);
    let wanted: Vec<Option<fallaway_mechanics::Uncertain<Length>>> = bridge
        .rows
        .iter()
        .map(|p| {
            let step = all.iter().find(|s| s.place() == Some(*p) && s.compared.is_some())?;
            let compared = step.compared.filter(|_| moved.contains(p))?;
            let rise = -compared.off().value / ratio(work, step.measurand?, *p)?;
            Some(fallaway_mechanics::Uncertain::exact(mm(rise)))
        })
        .collect();
    wanted.get(row)?.as_ref()?;
    matrix.solve(&wanted, Rounding::Nearest).ok().map(|answer| (answer, row))
}

/// Moves from the threads of the screws. The rise of the string's saddle in mm; `None` while a
/// screw's thread or direction is not known.
fn from_threads(
    work: &PlanContext<'_>,
    (answer, row): &(BridgeMove, usize),
    shown: Option<Direction>,
    attempt: HandTurn,
    adjust: &mut StepWork,
) -> Option<f64> {
    let bridge = &work.facts.bridge;
    let matrix = bridge.matrix.as_ref()?;
    let mut certain = true;
    for (index, (done, screw)) in answer.screws.iter().zip(matrix.screws()).enumerate() {
        let advance = as_mm(done.advance);
        if advance.abs() < 1e-6 {
            continue;
        }
        let raises = shown.or(screw.raises);
        let direction = raises.map(|r| if advance > 0.0 { r } else { r.reversed() });
        let (turn, size_from) = match (done.turn, screw.thread, direction) {
            (Some(turn), Some(thread), Some(_)) => {
                let eighths = u16::try_from(turn.eighths.unsigned_abs()).unwrap_or(u16::MAX);
                let pitch_mm = as_mm(thread.pitch());
                (HandTurn { eighths, direction }, SizeFrom::Thread { pitch_mm })
            }
            (_, Some(thread), None) => {
                certain = false;
                (attempt, SizeFrom::Thread { pitch_mm: as_mm(thread.pitch()) })
            }
            _ => {
                certain = false;
                (HandTurn { direction, ..attempt }, SizeFrom::Unknown)
            }
        };
        // A screw that need not turn, among several that do.
        if turn.eighths == 0 && answer.screws.iter().any(|s| s.turn.is_some_and(|t| t.eighths != 0))
        {
            continue;
        }
        let screw = bridge.screws.get(index).cloned()?;
        adjust.moves.push(ScrewMove { screw, count: bridge.alike.max(1), turn, size_from });
    }
    let rise = as_mm(answer.strings.get(*row)?.gives);
    certain.then_some(rise)
}

/// A move from what the instrument has shown, or a try. The change of the gap and its uncertainty.
fn from_learned(
    work: &PlanContext<'_>,
    place: Place,
    learned: Option<&ScrewResponse>,
    need: f64,
    adjust: &mut StepWork,
) -> Option<(f64, f64)> {
    let lessens = learned.and_then(|l| l.lessens);
    let direction = lessens.map(|l| if need < 0.0 { l } else { l.reversed() });
    let (turn, size_from) = match (learned, direction) {
        (Some(l), Some(_)) if l.mm_per_turn > 1e-6 => (
            HandTurn::nearest(need.abs() / l.mm_per_turn, direction),
            SizeFrom::Learned { observations: l.pairs.len() },
        ),
        _ => (HandTurn::TRIAL, SizeFrom::Unknown),
    };
    let screw = TurnedScrew::SaddleHeight(vec![place]);
    let count = work.facts.bridge.alike.max(1);
    adjust.moves.push(ScrewMove { screw, count, turn, size_from });
    let learned = learned.filter(|_| !turn.is_trial())?;
    let turns = turn.turns();
    Some((turns * learned.mm_per_turn * need.signum(), learned.uncertainty_mm(turns)))
}
