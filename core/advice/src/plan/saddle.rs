//! The action steps: saddle heights, from the highest-pitched string to the lowest.

use fallaway_measure::{Length, Side, StringPlace};
use fallaway_mechanics::bridge::BridgeMove;
use fallaway_mechanics::screws::TurnRounding;
use fallaway_mechanics::units::{as_mm, mm};

use super::context::{PlanContext, StepOpening};
use super::step::{
    PartWay, PlanStep, ScrewMove, SizeFrom, StepKind, StepRemark, StepVerdict, StepWork, WhyLook,
};
use super::{cautions, guards};
use crate::compare::{AgainstTarget, JudgedTogether, OnScrews, outside_together};
use crate::learn::{ResponsePair, ScrewResponse};
use crate::observe::{
    Bound, BridgeKind, COVERAGE, Estimate, Intervention, InterventionKind, Measurand,
    MeasurandKind, TurnedScrew, again, in_notation,
};
use crate::turns::{HandTurn, TurnDirection, sign};

/// So many turns in a row that the readings do not show end in a look at the screw.
const TRIES: usize = 3;
/// Height screws go about this far in all, in mm (common practice, no source).
const TRAVEL_MM: f64 = 5.0;

/// The action steps in the order in which action is set.
pub(crate) fn steps(work: &PlanContext<'_>) -> Vec<PlanStep> {
    let wanted = work.measurands(MeasurandKind::is_action);
    let mut steps = Vec::new();
    let mut groups = Vec::new();
    let mut judged: Vec<(usize, JudgedTogether)> = Vec::new();
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
            let (opened, by) = work.open_judged(StepKind::Action, measurand, true);
            judged.extend(by.map(|by| (steps.len(), by)));
            match opened {
                StepOpening::Closed(step) => {
                    if step.verdict == StepVerdict::Same {
                        groups.extend(step.compared.map(|compared| (steps.len(), compared, false)));
                    }
                    steps.push(step);
                }
                StepOpening::Off(step, compared) => {
                    groups.push((steps.len(), compared, true));
                    steps.push(step);
                }
            }
        }
    }
    // Read by side or as a whole: compared, without a screw to name.
    for measurand in wanted.into_iter().filter(|t| t.place().is_none()) {
        match work.open(StepKind::Action, measurand, false) {
            StepOpening::Closed(step) => steps.push(step),
            StepOpening::Off(step, compared) => {
                groups.push((steps.len(), compared, true));
                steps.push(step);
            }
        }
    }
    let opened = steps.clone();
    let held: Vec<(Measurand, (OnScrews, AgainstTarget))> = opened
        .iter()
        .filter_map(|s| s.measurand.zip(s.compared))
        .filter_map(|(of, compared)| Some((of, (OnScrews::of(work.facts, of)?, compared))))
        .collect();
    for (at, compared, is_off) in groups {
        let alone = moved_alone(work, at, &opened, &judged);
        if let Some(step) = steps.get_mut(at) {
            let together = step.measurand.and_then(|of| {
                let alike = held.iter().filter(|(m, _)| m.quantity == of.quantity);
                let alike: Vec<(OnScrews, AgainstTarget)> = alike.map(|(_, held)| *held).collect();
                outside_together((OnScrews::of(work.facts, of)?, compared), &alike)
            });
            if !together.unwrap_or(is_off) {
                step.verdict = StepVerdict::Same;
                continue;
            }
            if let Some(forecast) = alone {
                step.verdict = StepVerdict::ReadAgain { forecast };
                continue;
            }
            let adjust = advise(work, step, &compared, &opened);
            step.cautions = cautions::for_work(StepKind::Action, work.facts, Some(adjust.way));
            remarks(work, step);
            step.verdict = match look(work, step, &adjust) {
                Some((screw, why)) => StepVerdict::LookAtScrew { screw, why },
                None => StepVerdict::Adjust(Box::new(adjust)),
            };
        }
    }
    steps
}

/// What should have been read of a string that is read elsewhere, while the strings that its screws move
/// along stand where they stood: that is no screw, and may be a slip.
fn moved_alone(
    work: &PlanContext<'_>,
    at: usize,
    steps: &[PlanStep],
    judged: &[(usize, JudgedTogether)],
) -> Option<Estimate> {
    let of = |at: usize| judged.iter().find(|(n, _)| *n == at).map(|(_, judged)| judged);
    let step = steps.get(at)?;
    let (place, quantity) = (step.place()?, step.measurand?.quantity);
    let own = of(at)?;
    let surprise = own.surprise.filter(|s| s.tells())?;
    let moved = work.facts.moved_with(place);
    let others = steps.iter().enumerate().filter(|(n, s)| {
        *n != at
            && s.measurand.is_some_and(|m| m.quantity == quantity)
            && s.place().is_some_and(|p| moved.contains(&p))
    });
    let stood: Vec<bool> = others
        .filter_map(|(n, _)| of(n)?.moved)
        .map(|s| !s.tells() && s.value.abs() < surprise.value.abs() / 2.0)
        .collect();
    (!stood.is_empty() && stood.iter().all(|stood| *stood)).then_some(own.forecast).flatten()
}

/// What else to know of a string whose saddle is to be moved.
fn remarks(work: &PlanContext<'_>, step: &mut PlanStep) {
    let Some(seen) = &step.seen else { return };
    let on_frets = seen.known.value <= 0.0 && seen.known.bound != Bound::AtLeast;
    let response = work.height(seen.measurand.quantity);
    if response.is_some_and(|r| r.against_written > 0 && r.lessens.is_some()) {
        step.remarks.push(StepRemark::AgainstWritten);
    }
    if on_frets {
        step.remarks.push(StepRemark::OnTheFrets);
    }
}

/// Whether a screw is to be looked at rather than turned.
fn look(
    work: &PlanContext<'_>,
    step: &PlanStep,
    adjust: &StepWork,
) -> Option<(TurnedScrew, WhyLook)> {
    let screw = adjust.moves.first()?.screw.clone();
    let response = work.height(step.measurand?.quantity)?;
    let why = if response.lessens.is_none() && response.against_written > 0 {
        WhyLook::AgainstWritten
    } else if adjust.travel.is_some_and(|t| travelled(work, step, adjust) + t.value > TRAVEL_MM) {
        WhyLook::BeyondTravel
    } else if unseen(work, step, response)? >= TRIES {
        WhyLook::Unseen
    } else {
        return None;
    };
    Some((screw, why))
}

/// How far the saddle has gone today the way that it is to go on, in mm; 0 where no thread is known. Which
/// way a turn took it is not asked where nobody knows.
fn travelled(work: &PlanContext<'_>, step: &PlanStep, adjust: &StepWork) -> f64 {
    let screw = work.facts.bridge.matrix.as_ref().and_then(|m| m.screws().first().copied());
    let Some((place, pitch)) = step.place().zip(screw.and_then(|s| s.thread)) else { return 0.0 };
    let share = |done: &Intervention| Some(done.turns? * work.facts.share(done, place)?);
    let done = work.bench.done_today().filter_map(|d| share(&d.intervention));
    let gone = done.sum::<f64>() * as_mm(pitch.pitch());
    let response = step.measurand.and_then(|m| work.height(m.quantity));
    let Some(raises) = response.and_then(|r| r.lessens).map(TurnDirection::reversed) else {
        return gone.abs();
    };
    let up = if adjust.way == PartWay::Raise { 1.0 } else { -1.0 };
    (up * sign(raises) * gone).max(0.0)
}

/// How many turns of a string's screws have been made today since one of them told. Where the way is
/// not known, turns of any string's screw count: they are alike. Where way and thread are known, those
/// count that a reading should have shown.
fn unseen(work: &PlanContext<'_>, step: &PlanStep, response: &ScrewResponse) -> Option<usize> {
    let (place, measurand) = (step.place()?, step.measurand?);
    let known = response.lessens.is_some();
    let tells = |pair: &&ResponsePair| {
        pair.shows() && (!known || pair.after.measurand.place() == Some(place))
    };
    let told = response.pairs.iter().rev().find(tells).map(|pair| pair.after.event);
    let share = |done: &Intervention| {
        if known {
            work.facts.share(done, place)
        } else {
            work.facts.strings.iter().find_map(|s| work.facts.share(done, s.place))
        }
    };
    let per_turn = work.thread_effect(measurand).filter(|_| known).map(|effect| effect.per_turn);
    let u = step.compared.map_or(0.0, |c| c.read.standard_uncertainty);
    let shows = |turns: f64| per_turn.is_none_or(|mm| (mm * turns).abs() > COVERAGE * u);
    let done = work
        .bench
        .done_today()
        .filter(|d| told.is_none_or(|told| d.event > told))
        .filter_map(|d| Some(d.intervention.turns? * share(&d.intervention)?));
    Some(done.filter(|turns| shows(*turns)).count())
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
    let ratio = work.per_saddle(measurand);
    if let Some(ratio) = ratio {
        let u = compared.read.standard_uncertainty / ratio;
        adjust.travel = Some(Estimate::mm(need.abs() / ratio, u));
    }
    if work.facts.bridge.kind == BridgeKind::Fixed {
        let way = if need > 0.0 { PartWay::Shim } else { PartWay::TakeOff };
        return guards::by_hand(work, step, compared, way, ratio.map(f64::recip));
    }
    let Some(response) = work.height(measurand.quantity) else { return adjust };
    let raises = response.lessens.map(TurnDirection::reversed);
    let answer = solve(work, place, all);
    let change = match (answer, ratio) {
        (Some(answer), Some(ratio)) => {
            let attempt = test_turn(unseen(work, step, response).unwrap_or_default());
            let own = (response.mm_per_turn > 1e-6)
                .then_some((response.mm_per_turn / ratio, response.pairs.len()));
            let rise = from_threads(work, &answer, (raises, own), attempt, &mut adjust);
            rise.map(|rise| (rise * ratio, 0.0))
        }
        _ => from_learned(work, step, response, need, &mut adjust),
    };
    if let Some((change, unsure)) = change {
        let u = compared.read.standard_uncertainty.hypot(unsure);
        let expect = Estimate {
            bound: compared.read.bound,
            ..Estimate::mm(compared.read.value + change, u)
        };
        adjust.expect = Some(expect);
        adjust.expect_shown =
            step.seen.as_ref().and_then(|s| in_notation(expect, s.reading, s.tool));
        adjust.left_over =
            (expect.bound == Bound::Value).then_some(compared.wanted.value - expect.value);
    }
    adjust
}

/// The size of the next test of a height screw: an eighth, and more each time the readings have not
/// shown it.
fn test_turn(unseen: usize) -> HandTurn {
    HandTurn::trial(match unseen {
        0 => 1,
        1 => 2,
        _ => 6,
    })
}

/// What the bridge's screws do for `place` and all strings that they move along.
fn solve(
    work: &PlanContext<'_>,
    place: StringPlace,
    all: &[PlanStep],
) -> Option<(BridgeMove, usize)> {
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
            let rise = -compared.off().value / work.per_saddle(step.measurand?)?;
            Some(fallaway_mechanics::Uncertain::exact(mm(rise)))
        })
        .collect();
    wanted.get(row)?.as_ref()?;
    matrix.solve(&wanted, TurnRounding::Nearest).ok().map(|answer| (answer, row))
}

/// Moves from the threads of the screws, or from what a turn has shown to be (mm of the saddle, and in how
/// many observations).
/// The rise of the string's saddle in mm; `None` while a screw's size or direction is not known.
fn from_threads(
    work: &PlanContext<'_>,
    (answer, row): &(BridgeMove, usize),
    (raises, own): (Option<TurnDirection>, Option<(f64, usize)>),
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
        let direction = raises.map(|r| if advance > 0.0 { r } else { r.reversed() });
        let (turn, size_from) = match (done.turn, screw.thread, direction, own) {
            (Some(turn), Some(thread), Some(direction), _) => {
                let eighths = u16::try_from(turn.eighths.unsigned_abs()).unwrap_or(u16::MAX);
                let pitch_mm = as_mm(thread.pitch());
                (HandTurn::new(eighths, direction), SizeFrom::Thread { pitch_mm })
            }
            (_, None, Some(_), Some((own_mm, observations))) => {
                (HandTurn::nearest(advance / own_mm, direction), SizeFrom::Learned { observations })
            }
            (_, thread, direction, _) => {
                certain = false;
                let pitch_mm = thread.map(|thread| as_mm(thread.pitch()));
                let size =
                    pitch_mm.map_or(SizeFrom::Unknown, |pitch_mm| SizeFrom::Thread { pitch_mm });
                (HandTurn { direction, is_trial: direction.is_none(), ..attempt }, size)
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
    if !certain {
        one_at_a_time(answer, adjust);
    }
    let rise = as_mm(answer.strings.get(*row)?.gives);
    certain.then_some(rise)
}

/// Two unknowns are not tested at once: of several screws the one that would turn most.
fn one_at_a_time(answer: &BridgeMove, adjust: &mut StepWork) {
    let most = answer
        .screws
        .iter()
        .filter(|s| as_mm(s.advance).abs() >= 1e-6)
        .enumerate()
        .max_by(|(_, a), (_, b)| as_mm(a.advance).abs().total_cmp(&as_mm(b.advance).abs()));
    if let Some((most, _)) = most
        && let Some(screw) = adjust.moves.get(most).cloned()
    {
        adjust.moves = vec![screw];
    }
}

/// A move from what the instrument has shown, or a test. The change of the gap and its uncertainty.
fn from_learned(
    work: &PlanContext<'_>,
    step: &PlanStep,
    response: &ScrewResponse,
    need: f64,
    adjust: &mut StepWork,
) -> Option<(f64, f64)> {
    let place = step.place()?;
    let direction = response.lessens.map(|l| if need < 0.0 { l } else { l.reversed() });
    let (turn, size_from) = match direction {
        Some(_) if response.mm_per_turn > 1e-6 => (
            HandTurn::nearest(need.abs() / response.mm_per_turn, direction),
            SizeFrom::Learned { observations: response.pairs.len() },
        ),
        _ => {
            let attempt = test_turn(unseen(work, step, response).unwrap_or_default());
            let is_trial = direction.is_none();
            (HandTurn { direction, is_trial, ..attempt }, SizeFrom::Unknown)
        }
    };
    let count = work.facts.bridge.alike.max(1);
    let moved = |screw| ScrewMove { screw, count, turn, size_from };
    if work.facts.bridge.kind == BridgeKind::TwoPosts {
        // Both posts alike lift every string alike; a test turns the nearer one.
        let post = |side| {
            let done = Intervention {
                post: Some(side),
                ..Intervention::whole(InterventionKind::SaddleHeight)
            };
            (work.facts.share(&done, place).unwrap_or(0.0), moved(TurnedScrew::BridgePost(side)))
        };
        let (bass, treble) = (post(Side::Bass), post(Side::Treble));
        let (near, far) = if bass.0 > treble.0 { (bass.1, treble.1) } else { (treble.1, bass.1) };
        adjust.moves.push(near);
        adjust.moves.extend((!turn.is_trial).then_some(far));
    } else {
        adjust.moves.push(moved(TurnedScrew::SaddleHeight(vec![place])));
    }
    if turn.is_trial || size_from == SizeFrom::Unknown {
        return None;
    }
    let turns = turn.turns();
    Some((turns * response.mm_per_turn * need.signum(), response.uncertainty_mm(turns)))
}
