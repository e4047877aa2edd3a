//! The other steps of the chain: tuning, the nut, spacing, pickups, intonation, as left.

use fallaway_measure::{Location, Quantity, StringPlace};
use fallaway_mechanics::intonation::length_per_cent;
use fallaway_mechanics::pickups;
use fallaway_mechanics::string_line::slot_factor;
use fallaway_mechanics::units::{as_mm, mm};
use fallaway_record::spec::NutKind;

use super::context::{PlanContext, StepOpening};
use super::step::{
    PartWay, PlanStep, ScrewMove, SizeFrom, StepKind, StepRemark, StepVerdict, StepWork,
    StopReason, WhyNot,
};
use super::{cautions, guards};
use crate::compare::AgainstTarget;
use crate::hazard::Hazard;
use crate::learn::response;
use crate::observe::{
    COVERAGE, Estimate, Intervention, InterventionKind, Measurand, MeasurandKind, TurnedScrew,
    again, in_notation,
};
use crate::strings::too_much_stress;
use crate::turns::{HandTurn, TurnDirection};

/// An adjustment that is expected to meet the target.
pub(super) fn to_target(
    work: &PlanContext<'_>,
    step: &PlanStep,
    compared: &AgainstTarget,
    way: PartWay,
) -> StepWork {
    let expect = Estimate { value: compared.wanted.value, ..compared.read };
    let intervention = step.kind.intervention();
    StepWork {
        way,
        travel: None,
        moves: Vec::new(),
        expect: Some(expect),
        expect_shown: shown(step, expect),
        left_over: Some(0.0),
        again: intervention.map(|d| again(d, work.facts)).unwrap_or_default(),
        explains: Vec::new(),
        lifts: Vec::new(),
    }
}

fn shown(step: &PlanStep, expect: Estimate) -> Option<fallaway_measure::Amount> {
    step.seen.as_ref().and_then(|s| in_notation(expect, s.reading, s.tool))
}

/// Opens every thing of the wanted classes and lets `advise` write what to do where it is off.
pub(super) fn each(
    work: &PlanContext<'_>,
    kind: StepKind,
    wanted: impl Fn(MeasurandKind) -> bool,
    advise: impl Fn(&mut PlanStep, &AgainstTarget) -> StepVerdict,
) -> Vec<PlanStep> {
    let mut steps = Vec::new();
    for measurand in work.measurands(wanted) {
        match work.open(kind, measurand, false) {
            StepOpening::Closed(step) => steps.push(step),
            StepOpening::Off(mut step, compared) => {
                step.verdict = advise(&mut step, &compared);
                let way = step.verdict.adjust().map(|a| a.way);
                step.cautions.extend(cautions::for_work(kind, work.facts, way));
                steps.push(step);
            }
        }
    }
    steps
}

/// Say what is wanted, where nobody has: there is nothing to compare a reading with.
pub(crate) fn targets(work: &PlanContext<'_>) -> Vec<PlanStep> {
    let none = work.input().targets.is_empty();
    none.then(|| PlanStep::new(StepKind::Targets, None, StepVerdict::Measure)).into_iter().collect()
}

/// Bring the strings to pitch: one step for all, or one for each that was read off pitch.
pub(crate) fn tune(work: &PlanContext<'_>) -> Vec<PlanStep> {
    let stressed = stressed(work);
    let since = work.bench.pitch_since();
    // What somebody tuned up and holds is not refused any more: it is cautioned.
    let holds = since.is_ok() && !stressed.is_empty();
    let mut steps = if holds { Vec::new() } else { stressed };
    let read = each(
        work,
        StepKind::Tune,
        |c| c == MeasurandKind::Pitch,
        |step, compared| {
            let way = if compared.off().value > 0.0 { PartWay::TuneDown } else { PartWay::TuneUp };
            StepVerdict::Adjust(Box::new(to_target(work, step, compared, way)))
        },
    );
    let open = |s: &PlanStep| {
        use StepVerdict::{Adjust, Disagree, TwoValues};
        let stands = s.seen.as_ref().is_none_or(|seen| work.bench.pitch_stands(seen.event));
        stands && matches!(s.verdict, Adjust(_) | Disagree { .. } | TwoValues { .. })
    };
    if read.iter().any(open) {
        steps.extend(read.into_iter().filter(open));
        return steps;
    }
    let verdict = match since {
        Ok(()) => StepVerdict::Fine,
        Err(None) => StepVerdict::Measure,
        Err(Some((intervention, entry))) => StepVerdict::MeasureAgain { intervention, entry },
    };
    let mut step = PlanStep::new(StepKind::Tune, None, verdict);
    if !step.verdict.settled() {
        step.cautions = cautions::for_work(StepKind::Tune, work.facts, None);
    } else if holds {
        step.cautions = vec![Hazard::Stress, Hazard::Eyes];
    }
    steps.push(step);
    steps
}

/// Plain strings that would be stressed near breaking.
fn stressed(work: &PlanContext<'_>) -> Vec<PlanStep> {
    let over = work.facts.strings.iter().filter(|s| {
        s.plain == Some(true)
            && s.scale_mm.zip(s.pitch_hz).is_some_and(|(l, f)| too_much_stress(l, f, s.gauge_mm))
    });
    over.map(|s| {
        let measurand = Measurand::string(Quantity::Pitch, s.place);
        let verdict = StepVerdict::Stop { why: StopReason::Stress };
        let mut step = PlanStep::new(StepKind::Tune, Some(measurand), verdict);
        step.cautions = vec![Hazard::Stress, Hazard::Eyes];
        step
    })
    .collect()
}

/// Read the nut. What to do about it waits until relief and action are final.
pub(crate) fn nut(work: &PlanContext<'_>) -> Vec<PlanStep> {
    let mut steps = each(work, StepKind::Nut, MeasurandKind::is_nut, |step, compared| {
        match work.facts.nut {
            Some(NutKind::ZeroFret) => return StepVerdict::NotApplicable { why: WhyNot::ZeroFret },
            Some(NutKind::Locking) => {
                return StepVerdict::NotApplicable { why: WhyNot::LockingNut };
            }
            _ => {}
        }
        let low = compared.off().value < 0.0;
        let way = if low { PartWay::FillSlot } else { PartWay::CutSlot };
        let slot = step.measurand.and_then(|of| match of.quantity {
            Quantity::Gap { stopped, over } => {
                slot_factor(stopped.number().into(), over.number().into()).ok()
            }
            _ => None,
        });
        StepVerdict::Adjust(Box::new(guards::by_hand(work, step, compared, way, slot)))
    });
    for step in &mut steps {
        let coarse = step.seen.as_ref().zip(step.compared);
        let coarse = coarse.is_some_and(|(seen, c)| guards::is_coarse(seen, &c));
        if coarse && matches!(step.verdict, StepVerdict::Fine | StepVerdict::Same) {
            step.verdict = StepVerdict::MeasureFiner;
        }
    }
    steps
}

/// String spacing at the bridge.
pub(crate) fn spacing(work: &PlanContext<'_>) -> Vec<PlanStep> {
    each(
        work,
        StepKind::Spacing,
        |c| c == MeasurandKind::SpacingBridge,
        |step, compared| {
            let off = compared.off();
            let way = if off.value > 0.0 { PartWay::Together } else { PartWay::Apart };
            let mut adjust = to_target(work, step, compared, way);
            adjust.travel = Some(Estimate { value: off.value.abs(), ..off });
            if let Some(lift) = sideways_lift(work, step.place(), off.value) {
                step.remarks.push(StepRemark::SidewaysLifts(lift));
            }
            StepVerdict::Adjust(Box::new(adjust))
        },
    )
}

/// A saddle moved sideways by d at offset s from the middle of a board of radius r, its height kept,
/// changes the gap by about d s / r (the slope of a circle).
fn sideways_lift(work: &PlanContext<'_>, place: Option<StringPlace>, by: f64) -> Option<Estimate> {
    let radius = work.facts.board_radius_mm.filter(|r| *r > 1.0)?;
    let offset = work.facts.string(place?)?.offset_mm?;
    Some(Estimate::mm((by * offset / radius).abs(), 0.0))
}

/// Pickup height.
pub(crate) fn pickup(work: &PlanContext<'_>) -> Vec<PlanStep> {
    each(
        work,
        StepKind::Pickup,
        |c| c == MeasurandKind::PickupGap,
        |step, compared| {
            let off = compared.off();
            // A gap that is too wide: the pickup goes up.
            let way = if off.value > 0.0 { PartWay::PickupUp } else { PartWay::PickupDown };
            let number = match step.measurand.map(|t| t.quantity) {
                Some(Quantity::PickupGap { pickup, .. }) => pickup,
                _ => 0,
            };
            if near_low_string(work, step, compared) {
                step.cautions.push(Hazard::PickupNear);
            }
            let quantity = step.measurand.map(|t| t.quantity);
            let raises = quantity.and_then(|q| response::pickup(work.bench, q).lessens);
            let direction = raises.map(|r| if off.value > 0.0 { r } else { r.reversed() });
            let side = match step.measurand.map(|t| t.location) {
                Some(Location::Side(side)) => Some(side),
                _ => None,
            };
            let screw = TurnedScrew::Pickup { pickup: number, side };
            let size = ScrewSize::of_thread(work.facts.pickup_pitch_mm);
            let need = off.value.abs();
            let adjust = turned(work, step, compared, way, (screw, 1), direction, size, need, None);
            StepVerdict::Adjust(Box::new(adjust))
        },
    )
}

/// Whether a low string would stand nearer to the pickup than usual.
fn near_low_string(work: &PlanContext<'_>, step: &PlanStep, compared: &AgainstTarget) -> bool {
    let lowest: Vec<StringPlace> =
        work.facts.strings.iter().rev().take(2).map(|s| s.place).collect();
    step.place().is_some_and(|p| lowest.contains(&p))
        && compared.wanted.value < pickups::PULL_GAP_MM
}

/// Saddles fore and aft.
pub(crate) fn intonation(work: &PlanContext<'_>) -> Vec<PlanStep> {
    let wanted = |c| matches!(c, MeasurandKind::Intonation | MeasurandKind::IntonationNearNut);
    each(work, StepKind::Intonation, wanted, |step, compared| {
        let off = compared.off();
        // Sharp: the string is too short.
        let way = if off.value > 0.0 { PartWay::Lengthen } else { PartWay::Shorten };
        let per_cent = step.measurand.and_then(|t| match t.quantity {
            Quantity::Intonation { fret } => {
                let scale = work.facts.string(t.place()?)?.scale_mm?;
                length_per_cent(mm(scale), u32::from(fret.number())).ok().map(as_mm)
            }
            _ => None,
        });
        let bridge = &work.facts.bridge;
        let lengthens =
            step.measurand.and_then(|t| response::intonation(work.bench, t.quantity).lessens);
        let direction = lengthens.map(|l| if off.value > 0.0 { l } else { l.reversed() });
        let (Some(per_cent), Some(place)) = (per_cent, step.place()) else {
            let adjust = StepWork {
                expect: None,
                expect_shown: None,
                left_over: None,
                ..to_target(work, step, compared, way)
            };
            return StepVerdict::Adjust(Box::new(adjust));
        };
        let travel = (off.value * per_cent).abs();
        // In cents a turn, for what will be read.
        let mut adjust = turned(
            work,
            step,
            compared,
            way,
            (TurnedScrew::SaddlePosition(place), 1),
            direction,
            bridge.intonation_pitch_mm.map(|pitch_mm| ScrewSize {
                per_turn: pitch_mm / per_cent,
                from: SizeFrom::Thread { pitch_mm },
            }),
            off.value.abs(),
            Some(per_cent),
        );
        adjust.travel = Some(Estimate::mm(travel, off.standard_uncertainty * per_cent));
        StepVerdict::Adjust(Box::new(adjust))
    })
}

/// How much a turn of a screw moves a reading, and where that is known from.
#[derive(Clone, Copy)]
pub(super) struct ScrewSize {
    /// In mm or cents.
    pub per_turn: f64,
    pub from: SizeFrom,
}

impl ScrewSize {
    /// By the advance of a thread in mm, where the reading goes as far as the screw.
    pub(super) fn of_thread(pitch_mm: Option<f64>) -> Option<Self> {
        pitch_mm.map(|pitch_mm| Self { per_turn: pitch_mm, from: SizeFrom::Thread { pitch_mm } })
    }
}

/// A change of intonation that a tuner shows beyond doubt, in cents (common practice, no source).
const SEEN_CENT: f64 = 3.0;
/// The finest threads of pickups and posts, and of intonation screws, in mm a turn: M2 and M2.5 (ISO 261, coarse
/// series: 0.4 and 0.45 mm).
const LEAST_PITCH_MM: f64 = 0.4;
const LEAST_INTONATION_PITCH_MM: f64 = 0.45;
/// A test goes no farther than this, in turns: a gap by half a millimetre or so; a saddle by two fore or aft.
const MOST_TEST: f64 = 1.0;
const MOST_INTONATION_TEST: f64 = 4.0;

/// How many turns of a screw can be seen: the change that two readings tell, `COVERAGE * sqrt(2) * u` (JCGM
/// 100:2008, 6.3.3), over what a turn does. Of intonation at least 3 cents: with c cents wanted, s mm of the
/// saddle for a cent ([`length_per_cent`]) and a thread of p mm that is `c * s / p` turns.
fn test_turns(step: &PlanStep, per_turn: Option<f64>, per_cent: Option<f64>) -> f64 {
    let u = step.seen.as_ref().map_or(0.0, |seen| seen.known.standard_uncertainty);
    let told = COVERAGE * 2_f64.sqrt() * u;
    match per_cent.filter(|per_cent| *per_cent > 1e-6) {
        Some(per_cent) => {
            let per_turn = per_turn.unwrap_or(LEAST_INTONATION_PITCH_MM / per_cent);
            (told.max(SEEN_CENT) / per_turn).min(MOST_INTONATION_TEST)
        }
        None => (told / per_turn.unwrap_or(LEAST_PITCH_MM)).min(MOST_TEST),
    }
}

/// One screw, or so many alike, to be turned for a change of `need`; `per_cent`: of intonation, the mm of the saddle for
/// a cent.
#[expect(clippy::too_many_arguments, reason = "few callers, each with all of it at hand")]
pub(super) fn turned(
    work: &PlanContext<'_>,
    step: &PlanStep,
    compared: &AgainstTarget,
    way: PartWay,
    (screw, count): (TurnedScrew, u8),
    direction: Option<TurnDirection>,
    size: Option<ScrewSize>,
    need: f64,
    per_cent: Option<f64>,
) -> StepWork {
    let mut adjust = to_target(work, step, compared, way);
    let size = size.filter(|size| size.per_turn > 1e-6);
    adjust.travel = Some(Estimate { value: need, ..compared.off() });
    let test = HandTurn::trial_of(test_turns(step, size.map(|size| size.per_turn), per_cent));
    let size = size.filter(|_| direction.is_some());
    let (turn, size_from) = match size {
        Some(size) => (HandTurn::nearest(need / size.per_turn, direction), size.from),
        None => (HandTurn { direction, is_trial: direction.is_none(), ..test }, SizeFrom::Unknown),
    };
    adjust.moves.push(ScrewMove { screw, count, turn, size_from });
    if let Some(ScrewSize { per_turn, .. }) = size {
        let change = -compared.off().value.signum() * turn.turns() * per_turn;
        let expect = Estimate { value: compared.read.value + change, ..compared.read };
        adjust.expect = Some(expect);
        adjust.expect_shown = shown(step, expect);
        adjust.left_over = Some(compared.wanted.value - expect.value);
    } else {
        (adjust.expect, adjust.expect_shown, adjust.left_over) = (None, None, None);
    }
    adjust
}

/// The last step: tune, play every note, write the final numbers down.
pub(crate) fn as_left(work: &PlanContext<'_>) -> Vec<PlanStep> {
    let done = work.bench.as_left_stands();
    let verdict = if done { StepVerdict::Fine } else { StepVerdict::Measure };
    let mut step = PlanStep::new(StepKind::AsLeft, None, verdict);
    step.cautions = cautions::for_work(StepKind::AsLeft, work.facts, None);
    vec![step]
}

/// What a step's adjustment is, as something done.
pub(crate) fn intervention_of(step: &PlanStep) -> Option<Intervention> {
    let kind = step.kind.intervention()?;
    let pickup = match step.measurand.map(|t| t.quantity) {
        Some(Quantity::PickupGap { pickup, .. }) => Some(pickup),
        _ => None,
    };
    let post = match step.measurand.map(|t| (t.quantity, t.location)) {
        Some((Quantity::BridgeHeight, Location::Side(side))) => Some(side),
        _ => None,
    };
    let places = match kind {
        InterventionKind::Rod | InterventionKind::Pickup | InterventionKind::Tuning => Vec::new(),
        _ => step.place().into_iter().collect(),
    };
    Some(Intervention { kind, places, pickup, post, turns: None })
}
