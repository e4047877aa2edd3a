//! The other steps of the chain: tuning, the nut, spacing, pickups, intonation, as left.

use fallaway_measure::{Place, Quantity};
use fallaway_mechanics::intonation::length_per_cent;
use fallaway_mechanics::pickups;
use fallaway_mechanics::units::{as_mm, mm};

use crate::caution::{self, Caution};
use crate::deed::DeedKind;
use crate::facts::NutKind;
use crate::guard;
use crate::hand::{Direction, Turn};
use crate::known::{Known, in_notation};
use crate::learn;
use crate::plan::{Adjust, Compared, Move, Reckoned, Remark, Step, StepKind, StopReason};
use crate::plan::{Verdict, Way, Why};
use crate::stale::again;
use crate::thing::{Class, Thing};
use crate::work::{Opened, Work};

/// An adjustment that is expected to meet the target.
fn to_target(work: &Work<'_>, step: &Step, compared: &Compared, way: Way) -> Adjust {
    let expect = Known { value: compared.wanted.value, ..compared.read };
    let deed = step.kind.deed();
    Adjust {
        way,
        travel: None,
        moves: Vec::new(),
        expect: Some(expect),
        expect_shown: shown(step, expect),
        left_over: Some(0.0),
        again: deed.map(|d| again(d, work.facts)).unwrap_or_default(),
        explains: Vec::new(),
    }
}

fn shown(step: &Step, expect: Known) -> Option<fallaway_measure::Amount> {
    step.seen.as_ref().and_then(|s| in_notation(expect, s.reading, s.tool))
}

/// Opens every thing of the wanted classes and lets `advise` write what to do where it is off.
fn each(
    work: &Work<'_>,
    kind: StepKind,
    wanted: impl Fn(Class) -> bool,
    advise: impl Fn(&mut Step, &Compared) -> Verdict,
) -> Vec<Step> {
    let mut steps = Vec::new();
    for thing in work.things(wanted) {
        match work.open(kind, thing, false) {
            Opened::Closed(step) => steps.push(step),
            Opened::Off(mut step, compared) => {
                step.verdict = advise(&mut step, &compared);
                let way = step.verdict.adjust().map(|a| a.way);
                step.cautions.extend(caution::for_work(kind, work.facts, way));
                steps.push(step);
            }
        }
    }
    steps
}

/// Bring the strings to pitch: one step for all, or one for each that was read off pitch.
pub(crate) fn tune(work: &Work<'_>) -> Vec<Step> {
    let mut steps = stressed(work);
    let read = each(
        work,
        StepKind::Tune,
        |c| c == Class::Pitch,
        |step, compared| {
            let way = if compared.off().value > 0.0 { Way::TuneDown } else { Way::TuneUp };
            Verdict::Adjust(Box::new(to_target(work, step, compared, way)))
        },
    );
    let open = |s: &Step| {
        use Verdict::{Adjust, Disagree, TwoValues};
        let stands = s.seen.as_ref().is_none_or(|seen| work.bench.pitch_stands(seen.event));
        stands && matches!(s.verdict, Adjust(_) | Disagree { .. } | TwoValues { .. })
    };
    if read.iter().any(open) {
        steps.extend(read.into_iter().filter(open));
        return steps;
    }
    let verdict = match work.bench.pitch_since() {
        Ok(()) => Verdict::Fine,
        Err(None) => Verdict::Measure,
        Err(Some((deed, event))) => Verdict::MeasureAgain { deed, event },
    };
    let mut step = Step::new(StepKind::Tune, None, verdict);
    if !step.verdict.settled() {
        step.cautions = caution::for_work(StepKind::Tune, work.facts, None);
    }
    steps.push(step);
    steps
}

/// Plain strings that would be stressed near breaking.
fn stressed(work: &Work<'_>) -> Vec<Step> {
    let over = work.facts.strings.iter().filter(|s| {
        s.plain == Some(true)
            && s.scale_mm.zip(s.pitch_hz).is_some_and(|(l, f)| guard::too_much_stress(l, f))
    });
    over.map(|s| {
        let thing = Thing::string(Quantity::Pitch, s.place);
        let verdict = Verdict::Stop { why: StopReason::Stress };
        let mut step = Step::new(StepKind::Tune, Some(thing), verdict);
        step.cautions = vec![Caution::Stress, Caution::Eyes];
        step
    })
    .collect()
}

/// Read the nut. What to do about it waits until relief and action are final.
pub(crate) fn nut(work: &Work<'_>) -> Vec<Step> {
    each(work, StepKind::Nut, Class::is_nut, |step, compared| {
        match work.facts.nut {
            NutKind::ZeroFret => return Verdict::NotApplicable { why: Why::ZeroFret },
            NutKind::Locking => return Verdict::NotApplicable { why: Why::LockingNut },
            _ => {}
        }
        let off = compared.off().value;
        if off < 0.0 {
            step.cautions = vec![Caution::Repairer];
            return Verdict::Stop { why: StopReason::NutTooLow };
        }
        Verdict::Adjust(Box::new(guard::cut(work, step, compared, Way::CutSlot)))
    })
}

/// String spacing at the bridge.
pub(crate) fn spacing(work: &Work<'_>) -> Vec<Step> {
    each(
        work,
        StepKind::Spacing,
        |c| c == Class::SpacingBridge,
        |step, compared| {
            let off = compared.off();
            let way = if off.value > 0.0 { Way::Together } else { Way::Apart };
            let mut adjust = to_target(work, step, compared, way);
            adjust.travel = Some(Known { value: off.value.abs(), ..off });
            if let Some(lift) = sideways_lift(work, step.place(), off.value) {
                step.remarks.push(Remark::SidewaysLifts(lift));
            }
            Verdict::Adjust(Box::new(adjust))
        },
    )
}

/// A saddle moved sideways by d at offset s from the middle of a board of radius r, its height kept,
/// changes the gap by about d s / r (the slope of a circle).
fn sideways_lift(work: &Work<'_>, place: Option<Place>, by: f64) -> Option<Known> {
    let radius = work.facts.board_radius_mm.filter(|r| *r > 1.0)?;
    let offset = work.facts.string(place?)?.offset_mm?;
    Some(Known::mm((by * offset / radius).abs(), 0.0))
}

/// Pickup height.
pub(crate) fn pickup(work: &Work<'_>) -> Vec<Step> {
    each(
        work,
        StepKind::Pickup,
        |c| c == Class::PickupGap,
        |step, compared| {
            let off = compared.off();
            // A gap that is too wide: the pickup goes up.
            let way = if off.value > 0.0 { Way::PickupUp } else { Way::PickupDown };
            let number = match step.thing.map(|t| t.quantity) {
                Some(Quantity::PickupGap { pickup, .. }) => pickup,
                _ => 0,
            };
            if near_low_string(work, step, compared) {
                step.cautions.push(Caution::PickupNear);
            }
            let learned = learn::pickup(work.bench, number).and_then(|r| r.lessens);
            let raises = learned.or(work.facts.pickup_raises);
            let direction = raises.map(|r| if off.value > 0.0 { r } else { r.reversed() });
            let screw = format!("pickup {number}");
            let pitch = work.facts.pickup_pitch_mm;
            let adjust =
                turned(work, step, compared, way, &screw, direction, pitch, off.value.abs());
            Verdict::Adjust(Box::new(adjust))
        },
    )
}

/// Whether a low string would stand nearer to the pickup than usual.
fn near_low_string(work: &Work<'_>, step: &Step, compared: &Compared) -> bool {
    let lowest: Vec<Place> = work.facts.strings.iter().rev().take(2).map(|s| s.place).collect();
    step.place().is_some_and(|p| lowest.contains(&p))
        && compared.wanted.value < pickups::PULL_GAP_MM
}

/// Saddles fore and aft.
pub(crate) fn intonation(work: &Work<'_>) -> Vec<Step> {
    let wanted = |c| matches!(c, Class::Intonation | Class::IntonationNearNut);
    each(work, StepKind::Intonation, wanted, |step, compared| {
        let off = compared.off();
        // Sharp: the string is too short.
        let way = if off.value > 0.0 { Way::Lengthen } else { Way::Shorten };
        let per_cent = step.thing.and_then(|t| match t.quantity {
            Quantity::Intonation { fret } => {
                let scale = work.facts.string(t.place()?)?.scale_mm?;
                length_per_cent(mm(scale), u32::from(fret.number())).ok().map(as_mm)
            }
            _ => None,
        });
        let name = step.place().map(|p| work.facts.name(p)).unwrap_or_default();
        let screw = format!("intonation screw {name}");
        let bridge = &work.facts.bridge;
        let direction = bridge.lengthens.map(|l| if off.value > 0.0 { l } else { l.reversed() });
        let Some(per_cent) = per_cent else {
            let adjust = Adjust {
                expect: None,
                expect_shown: None,
                left_over: None,
                ..to_target(work, step, compared, way)
            };
            return Verdict::Adjust(Box::new(adjust));
        };
        let travel = (off.value * per_cent).abs();
        // In cents a turn, for what will be read.
        let mut adjust = turned(
            work,
            step,
            compared,
            way,
            &screw,
            direction,
            bridge.intonation_pitch_mm.map(|p| p / per_cent),
            off.value.abs(),
        );
        if let (Some(pitch_mm), Some(m)) = (bridge.intonation_pitch_mm, adjust.moves.first_mut())
            && matches!(m.reckoned, Reckoned::Thread { .. })
        {
            m.reckoned = Reckoned::Thread { pitch_mm };
        }
        adjust.travel = Some(Known::mm(travel, off.standard_uncertainty * per_cent));
        Verdict::Adjust(Box::new(adjust))
    })
}

/// One screw that moves a reading by `per_turn` a turn, to be turned for a change of `need`.
#[expect(clippy::too_many_arguments, reason = "two callers, each with all of it at hand")]
fn turned(
    work: &Work<'_>,
    step: &Step,
    compared: &Compared,
    way: Way,
    screw: &str,
    direction: Option<Direction>,
    per_turn: Option<f64>,
    need: f64,
) -> Adjust {
    let mut adjust = to_target(work, step, compared, way);
    let per_turn = per_turn.filter(|p| *p > 1e-6);
    adjust.travel = Some(Known { value: need, ..compared.off() });
    let (turn, reckoned) = match (per_turn, direction) {
        (Some(p), Some(_)) => {
            (Turn::nearest(need / p, direction), Reckoned::Thread { pitch_mm: p })
        }
        _ => (Turn { direction, ..Turn::TRIAL }, Reckoned::Unknown),
    };
    adjust.moves.push(Move { screw: screw.to_owned(), count: 1, turn, reckoned });
    if let (Some(p), Reckoned::Thread { .. }) = (per_turn, reckoned) {
        let change = -compared.off().value.signum() * turn.turns() * p;
        let expect = Known { value: compared.read.value + change, ..compared.read };
        adjust.expect = Some(expect);
        adjust.expect_shown = shown(step, expect);
        adjust.left_over = Some(compared.wanted.value - expect.value);
    } else {
        (adjust.expect, adjust.expect_shown, adjust.left_over) = (None, None, None);
    }
    adjust
}

/// The last step: tune, play every note, write the final numbers down.
pub(crate) fn as_left(work: &Work<'_>) -> Vec<Step> {
    let done = work.bench.as_left_stands();
    let verdict = if done { Verdict::Fine } else { Verdict::Measure };
    let mut step = Step::new(StepKind::AsLeft, None, verdict);
    step.cautions = caution::for_work(StepKind::AsLeft, work.facts, None);
    vec![step]
}

/// What a step's adjustment is, as something done.
pub(crate) fn deed_of(step: &Step) -> Option<crate::deed::Deed> {
    let kind = step.kind.deed()?;
    let pickup = match step.thing.map(|t| t.quantity) {
        Some(Quantity::PickupGap { pickup, .. }) => Some(pickup),
        _ => None,
    };
    let places = match kind {
        DeedKind::Rod | DeedKind::Pickup | DeedKind::Tuning => Vec::new(),
        _ => step.place().into_iter().collect(),
    };
    Some(crate::deed::Deed { kind, places, pickup, turns: None })
}
