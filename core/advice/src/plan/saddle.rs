//! The action steps: saddle heights, from the highest-pitched string to the lowest.

use fallaway_measure::{Quantity, Side, StringPlace};
use fallaway_mechanics::bridge::BridgeMove;
use fallaway_mechanics::units::as_mm;

use super::context::{PlanContext, StepOpening};
use super::lifting::{Lifting, needs, posts_for_all, turns_posts};
use super::step::{
    PartWay, PlanStep, ScrewMove, SizeFrom, StepKind, StepRemark, StepVerdict, StepWork, WhyLook,
};
use super::{cautions, guards};
use crate::compare::{AgainstTarget, JudgedTogether, OnScrews, outside_together};
use crate::hazard::Hazard;
use crate::learn::follow::UsualEffect;
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
        .filter(|s| !matches!(s.verdict, StepVerdict::Measure | StepVerdict::MeasureFiner))
        .filter_map(|s| s.measurand.zip(s.compared))
        .filter_map(|(of, compared)| Some((of, (OnScrews::of(work.facts, of)?, compared))))
        .collect();
    for (at, compared, is_off) in groups {
        let alone = moved_alone(work, at, &opened, &judged);
        if let Some(step) = steps.get_mut(at) {
            if let Some(turns) = to_and_fro(at, &judged) {
                step.remarks.push(StepRemark::ToAndFro { turns });
                continue;
            }
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
            let mut adjust = advise(work, step, &compared, &opened);
            step.cautions = cautions::for_work(StepKind::Action, work.facts, Some(adjust.way));
            if !adjust.moves.iter().any(|one| matches!(one.screw, TurnedScrew::BridgePost(_))) {
                step.cautions.retain(|caution| *caution != Hazard::KnifeEdges);
                let of_bridge = [MeasurandKind::BridgeHeight, MeasurandKind::BridgeTail];
                adjust.again.retain(|kind| !of_bridge.contains(kind));
            }
            remarks(work, step);
            step.verdict = match look(work, step, &adjust) {
                Some((screw, why)) => StepVerdict::LookAtScrew { screw, why },
                None => StepVerdict::Adjust(Box::new(adjust)),
            };
        }
    }
    shimmed(work, &mut steps);
    steps
}

/// One shim lifts all strings of a saddle: those that are too low are lifted by as much as they are low on the mean,
/// and the others go along.
fn shimmed(work: &PlanContext<'_>, steps: &mut [PlanStep]) {
    let travel = |step: &PlanStep| {
        let adjust = step.verdict.adjust().filter(|adjust| adjust.way == PartWay::Shim)?;
        adjust.travel.map(|travel| travel.value)
    };
    let low: Vec<f64> = steps.iter().filter_map(travel).collect();
    if low.is_empty() {
        return;
    }
    let thick = low.iter().sum::<f64>() / low.len() as f64;
    let then = |step: &PlanStep| {
        let is_low = travel(step).is_some();
        let ((of, compared), place) = (step.measurand.zip(step.compared)?, step.place()?);
        let read = compared.read;
        let lifted = Estimate { value: read.value + thick * work.per_saddle(of)?, ..read };
        Some((place, of.quantity, lifted, is_low))
    };
    let all: Vec<(StringPlace, Quantity, Estimate, bool)> = steps.iter().filter_map(then).collect();
    for step in steps {
        let Some((place, of)) = step.place().zip(step.measurand) else { continue };
        let (seen, wanted) = (step.seen.clone(), step.compared.map(|c| c.wanted.value));
        let StepVerdict::Adjust(adjust) = &mut step.verdict else { continue };
        if adjust.way != PartWay::Shim {
            continue;
        }
        adjust.travel = adjust.travel.map(|travel| Estimate { value: thick, ..travel });
        let of_this = all.iter().filter(|(_, quantity, ..)| *quantity == of.quantity);
        for (other, _, lifted, is_low) in of_this {
            if *other != place {
                // What is low as well has a step of its own that says so.
                adjust.lifts.extend((!is_low).then_some((*other, *lifted)));
                continue;
            }
            adjust.expect = Some(*lifted);
            adjust.expect_shown =
                seen.as_ref().and_then(|s| in_notation(*lifted, s.reading, s.tool));
            adjust.left_over = wanted.map(|wanted| wanted - lifted.value);
        }
    }
}

/// How many turns have taken a string up and down, where that is enough: it is left so, whatever others on its screws
/// say.
fn to_and_fro(at: usize, judged: &[(usize, JudgedTogether)]) -> Option<u16> {
    judged.iter().find(|(n, _)| *n == at)?.1.to_and_fro
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
    let moved = work.facts.lifted_with(place);
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
    let quantity = seen.measurand.quantity;
    let responses = [work.height(quantity), work.posts(quantity)].into_iter().flatten();
    if responses.filter(|r| r.against_written > 0 && r.lessens.is_some()).count() > 0 {
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
    let posts = turns_posts(work, &adjust.moves);
    let quantity = step.measurand?.quantity;
    let response = if posts { work.posts(quantity) } else { work.height(quantity) }?;
    let why = if response.lessens.is_none() && response.against_written > 0 {
        WhyLook::AgainstWritten
    } else if adjust
        .travel
        .is_some_and(|t| travelled(work, step, adjust, response, posts) + t.value > TRAVEL_MM)
    {
        WhyLook::BeyondTravel
    } else if unseen(work, step, response, posts)? >= TRIES {
        WhyLook::Unseen
    } else {
        return None;
    };
    Some((screw, why))
}

/// How far the saddle has gone today the way that it is to go on, in mm; 0 where no thread is known. Which
/// way a turn took it is not asked where nobody knows.
fn travelled(
    work: &PlanContext<'_>,
    step: &PlanStep,
    adjust: &StepWork,
    response: &ScrewResponse,
    posts: bool,
) -> f64 {
    let Some(place) = step.place() else { return 0.0 };
    let risen = |done: &Intervention| {
        let thread = work.facts.bridge.turned(done)?.thread?;
        Some(done.turns? * own_share(work, done, place, posts)? * as_mm(thread.pitch()))
    };
    let gone: f64 = work.bench.done_today().filter_map(|d| risen(&d.intervention)).sum();
    let Some(raises) = response.lessens.map(TurnDirection::reversed) else {
        return gone.abs();
    };
    let up = if adjust.way == PartWay::Raise { 1.0 } else { -1.0 };
    (up * sign(raises) * gone).max(0.0)
}

/// By how much of its turns something done moves a string, if it turned a screw of the same part: of a post
/// under saddles with screws of their own, or of a height screw.
fn own_share(
    work: &PlanContext<'_>,
    done: &Intervention,
    place: StringPlace,
    posts: bool,
) -> Option<f64> {
    let own = done.post.is_some() == (posts || work.facts.bridge.only_posts());
    work.facts.share(done, place).filter(|_| own)
}

/// How many turns of a string's screws have been made today since one of them told. Where the way is
/// not known, turns of any string's screw count: they are alike. Where way and thread are known, those
/// count that a reading should have shown.
fn unseen(
    work: &PlanContext<'_>,
    step: &PlanStep,
    response: &ScrewResponse,
    posts: bool,
) -> Option<usize> {
    let (place, measurand) = (step.place()?, step.measurand?);
    let known = response.lessens.is_some();
    let tells = |pair: &&ResponsePair| {
        pair.shows() && (!known || pair.after.measurand.place() == Some(place))
    };
    let told = response.pairs.iter().rev().find(tells).map(|pair| pair.after.event);
    let share = |done: &Intervention| {
        if known {
            own_share(work, done, place, posts)
        } else {
            work.facts.strings.iter().find_map(|s| own_share(work, done, s.place, posts))
        }
    };
    let effect = if posts { work.post_effect(measurand) } else { work.thread_effect(measurand) };
    let per_turn = effect.filter(|_| known).map(|effect| effect.per_turn);
    let u = step.seen.as_ref().map_or(0.0, |seen| seen.known.standard_uncertainty);
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
        lifts: Vec::new(),
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
    if let (Some(response), Some(ratio)) = (work.posts(measurand.quantity), ratio) {
        let moves = posts_for_all(work, all, |posts| {
            let row = posts.row(work, place)?;
            let tried = unseen(work, step, response, true).unwrap_or_default();
            let attempt = test_turn(tried, step, work.post_effect(measurand), ratio);
            let shown = Shown::of(response, ratio);
            Some(from_threads(&posts, row, shown, attempt, &mut adjust).map(|rise| rise * ratio))
        });
        if let Some(change) = moves {
            let change = change.map(|change| (change, 0.0));
            let change = carefully(response, change, &mut adjust);
            expects(step, compared, change, &mut adjust);
            return adjust;
        }
    }
    if work.facts.bridge.kind == BridgeKind::Fixed {
        let way = if need > 0.0 { PartWay::Shim } else { PartWay::TakeOff };
        return guards::by_hand(work, step, compared, way, ratio.map(f64::recip));
    }
    let Some(response) = work.height(measurand.quantity) else { return adjust };
    let change = match (lifting(work, place, all), ratio) {
        (Some((screws, row)), Some(ratio)) => {
            let tried = unseen(work, step, response, false).unwrap_or_default();
            let attempt = test_turn(tried, step, work.thread_effect(measurand), ratio);
            let shown = Shown::of(response, ratio);
            let rise = from_threads(&screws, row, shown, attempt, &mut adjust);
            rise.map(|rise| (rise * ratio, 0.0))
        }
        _ => from_learned(work, step, response, need, &mut adjust),
    };
    let change = carefully(response, change, &mut adjust);
    expects(step, compared, change, &mut adjust);
    adjust
}

/// Where a turn told the opposite of what is written, screws go no farther than this, in eighths, until
/// another has told.
const CAREFUL_EIGHTHS: u16 = 4;

fn carefully(
    response: &ScrewResponse,
    change: Option<(f64, f64)>,
    adjust: &mut StepWork,
) -> Option<(f64, f64)> {
    let most = adjust.moves.iter().map(|one| one.turn.eighths).max().unwrap_or_default();
    if response.against_written == 0 || most <= CAREFUL_EIGHTHS {
        return change;
    }
    let part = f64::from(CAREFUL_EIGHTHS) / f64::from(most);
    for one in &mut adjust.moves {
        one.turn.eighths = (f64::from(one.turn.eighths) * part).round() as u16;
    }
    adjust.travel = adjust.travel.map(|travel| Estimate { value: travel.value * part, ..travel });
    change.map(|(change, unsure)| (change * part, unsure * part))
}

/// What will be read after a change of the gap, known as surely as that.
fn expects(
    step: &PlanStep,
    compared: &AgainstTarget,
    change: Option<(f64, f64)>,
    adjust: &mut StepWork,
) {
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
}

/// How far height screws advance a turn, from the finest to the coarsest of saddles, in mm: M2 to M5 (ISO 261,
/// coarse series: 0.4 to 0.8 mm).
const LEAST_PITCH_MM: f64 = 0.4;
const MOST_PITCH_MM: f64 = 0.8;
/// A test goes no farther than a turn: half a millimetre or so at the saddle, up or down, harms nothing.
const MOST_TEST: u16 = 8;

/// The size of the next test of a height screw: as much as the tool can tell, and more each time the readings have
/// not shown it. Two readings tell a change of `COVERAGE * sqrt(2) * u` (JCGM 100:2008, 6.3.3): over what a turn
/// does to the gap, by the thread or the finest that there is, that is a number of turns.
fn test_turn(unseen: usize, step: &PlanStep, thread: Option<UsualEffect>, ratio: f64) -> HandTurn {
    let per_turn = thread.map_or(LEAST_PITCH_MM * ratio, |thread| thread.per_turn);
    let u = step.seen.as_ref().map_or(0.0, |seen| seen.known.standard_uncertainty);
    let seen = HandTurn::trial_of(COVERAGE * 2_f64.sqrt() * u / per_turn.max(1e-3));
    let again: u16 = match unseen {
        0 => 1,
        1 => 2,
        _ => 6,
    };
    HandTurn::trial(seen.eighths.max(again).min(MOST_TEST))
}

/// What the bridge's screws do for `place` and all strings that they move along.
fn lifting<'w>(
    work: &'w PlanContext<'_>,
    place: StringPlace,
    all: &[PlanStep],
) -> Option<(Lifting<'w>, usize)> {
    let bridge = &work.facts.bridge;
    let matrix = bridge.matrix.as_ref()?;
    let row = bridge.rows.iter().position(|p| *p == place)?;
    let wanted = needs(work, all, &work.facts.lifted_with(place));
    wanted.get(row)?.as_ref()?;
    let screws = Lifting::new(matrix, &bridge.screws, bridge.alike.max(1), &wanted)?;
    Some((screws, row))
}

/// What turns have shown of some screws.
#[derive(Clone, Copy)]
struct Shown {
    /// Which way raises.
    raises: Option<TurnDirection>,
    /// How far a turn goes in mm of the saddle, and in how many observations.
    own: Option<(f64, usize)>,
}

impl Shown {
    fn of(response: &ScrewResponse, ratio: f64) -> Self {
        let own = (response.mm_per_turn > 1e-6)
            .then_some((response.mm_per_turn / ratio, response.pairs.len()));
        Self { raises: response.lessens.map(TurnDirection::reversed), own }
    }
}

/// Moves from the threads of the screws, or from what a turn has shown to be.
/// The rise of the string's saddle in mm; `None` while a screw's size or direction is not known.
fn from_threads(
    screws: &Lifting<'_>,
    row: usize,
    shown: Shown,
    attempt: HandTurn,
    adjust: &mut StepWork,
) -> Option<f64> {
    let answer = &screws.answer;
    let mut certain = true;
    for (index, (done, screw)) in answer.screws.iter().zip(screws.matrix.screws()).enumerate() {
        let advance = as_mm(done.advance);
        if advance.abs() < 1e-6 {
            continue;
        }
        let direction = shown.raises.map(|r| if advance > 0.0 { r } else { r.reversed() });
        let (turn, size_from) = match (done.turn, screw.thread, direction, shown.own) {
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
        let screw = screws.screws.get(index).cloned()?;
        adjust.moves.push(ScrewMove { screw, count: screws.alike, turn, size_from });
    }
    if !certain {
        one_at_a_time(answer, adjust);
    }
    let rise = as_mm(answer.strings.get(row)?.gives);
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
            let tried = unseen(work, step, response, false).unwrap_or_default();
            let measurand = step.measurand?;
            let ratio = work.per_saddle(measurand).unwrap_or(1.0);
            let attempt = test_turn(tried, step, work.thread_effect(measurand), ratio);
            // Which way is known: no farther than the coarsest thread would take it to the target.
            let most = (need.abs() / (MOST_PITCH_MM * ratio) * 8.0).floor().max(1.0) as u16;
            let eighths =
                if direction.is_some() { attempt.eighths.min(most) } else { attempt.eighths };
            let is_trial = direction.is_none();
            (HandTurn { eighths, direction, is_trial }, SizeFrom::Unknown)
        }
    };
    let count = work.facts.bridge.alike.max(1);
    let moved = |screw| ScrewMove { screw, count, turn, size_from };
    if work.facts.bridge.only_posts() {
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
