//! The radius check: does the row of string undersides follow the curve of the board? It asks for
//! nothing and turns nothing: what each string's action should be, the targets say.

use fallaway_measure::Quantity;
use fallaway_mechanics::board::{Centre, crown_drop, fit_arc};
use fallaway_mechanics::units::{as_mm, as_per_mm, mm};

use super::context::PlanContext;
use super::step::{PlanStep, RowOfUndersides, StepKind, StepRemark, StepVerdict, WhyNot};
use crate::observe::{Bound, COVERAGE, Estimate, Measurand, MeasurandKind, Observation};

/// The step: one for the instrument.
pub(crate) fn step(work: &PlanContext<'_>) -> Vec<PlanStep> {
    let none = |why| PlanStep::new(StepKind::Radius, None, StepVerdict::NotApplicable { why });
    if !known(work) {
        return vec![none(WhyNot::NoRadius)];
    }
    let Some((row, seen)) = row(work) else { return vec![none(WhyNot::NothingAsked)] };
    // Every action that is settled is as wanted, whatever the row looks like.
    let verdict = if row.middle.tells() { StepVerdict::Fine } else { StepVerdict::Same };
    let mut step = PlanStep::new(StepKind::Radius, None, verdict);
    step.seen = Some(seen);
    step.remarks.push(StepRemark::Row(row));
    vec![step]
}

/// While an action is still to be worked on, its row is not the last one.
pub(crate) fn block_on_actions(steps: &mut [PlanStep]) {
    let open = steps
        .iter()
        .find(|s| s.kind == StepKind::Action && s.verdict.is_open())
        .map(|s| (s.kind, s.measurand));
    let Some((after, of)) = open else { return };
    for step in steps.iter_mut().filter(|s| s.kind == StepKind::Radius) {
        if !matches!(step.verdict, StepVerdict::NotApplicable { .. }) {
            step.verdict = StepVerdict::Wait { after, of, forecast: None };
        }
    }
}

fn known(work: &PlanContext<'_>) -> bool {
    let facts = work.facts;
    facts.board_radius_mm.is_some()
        && facts.nut_spread_mm.is_some()
        && facts.strings.iter().all(|s| s.offset_mm.is_some())
}

/// The arc through the undersides at the fret over which most strings were read today, and the last
/// of its readings.
fn row(work: &PlanContext<'_>) -> Option<(RowOfUndersides, Observation)> {
    let board_mm = work.facts.board_radius_mm?;
    let measurands: Vec<Measurand> = work
        .bench
        .read_today()
        .into_iter()
        .filter(|t| t.kind().is_some_and(MeasurandKind::is_action))
        .collect();
    let count = |q: Quantity| measurands.iter().filter(|t| t.quantity == q).count();
    let quantity = measurands.iter().map(|t| t.quantity).max_by_key(|q| count(*q))?;
    let Quantity::Gap { over, .. } = quantity else { return None };
    let mut points = Vec::new();
    let mut last = None;
    let (mut square, mut widest) = (0.0, 0.0_f64);
    for string in &work.facts.strings {
        let standing = work.bench.standing(Measurand::string(quantity, string.place), None);
        let Some(seen) = standing.seen().filter(|s| s.known.bound == Bound::Value) else {
            continue;
        };
        let offset = work.facts.offset_over(string.offset_mm?, f64::from(over.number()))?;
        let drop = as_mm(crown_drop(mm(board_mm), mm(offset)).ok()?);
        points.push((mm(offset), mm(seen.known.value - drop)));
        square += seen.known.standard_uncertainty.powi(2);
        widest = widest.max(offset.abs());
        last = Some(seen.clone());
    }
    if points.len() < 3 {
        return None;
    }
    let u = (square / points.len() as f64).sqrt();
    // An action that grows toward the bass side tips the row: its top moves aside.
    let centre = if points.len() > 3 { Centre::Free } else { Centre::At(mm(0.0)) };
    let fit = fit_arc(&points, centre, mm(u)).ok()?;
    // A small arc of half width w is w^2 k / 2 high.
    let high = widest * widest / 2.0;
    let more = as_per_mm(fit.curvature.value) - 1.0 / board_mm;
    let unsure = as_per_mm(fit.curvature.standard_uncertainty);
    let end = |side: f64| {
        let curvature = as_per_mm(fit.curvature.value) + side * COVERAGE * unsure;
        (curvature > 1e-6).then(|| curvature.recip())
    };
    let row = RowOfUndersides {
        least_mm: end(1.0),
        most_mm: end(-1.0),
        radius_mm: fit.radius.map(as_mm),
        board_mm,
        middle: Estimate::mm(high * more, high * unsure),
    };
    last.map(|seen| (row, seen))
}
