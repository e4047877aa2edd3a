//! The relief step: the rod, an eighth or a quarter at a time, short of the target.

use super::cautions;
use super::context::{PlanContext, StepOpening};
use super::step::{
    PartWay, PlanStep, ScrewMove, SizeFrom, StepKind, StepRemark, StepVerdict, StepWork, StopReason,
};
use crate::compare::{AgainstTarget, RestsOn};
use crate::hazard::Hazard;
use crate::learn::rod_way::{LOST, SILENT_RODS};
use crate::learn::{ResponsePair, ScrewResponse, moisture_mm};
use crate::observe::{
    Bound, Estimate, Freshness, InterventionKind, Measurand, MeasurandKind, TurnedScrew, again,
    disturbs, in_notation,
};
use crate::turns::{HandTurn, TurnDirection, direction_of, sign};
use fallaway_mechanics::learn::rod::{PRIOR_FACTOR, PRIOR_MEDIAN_MM};
use fallaway_record::spec::RodKind;

/// The rod is turned at most this many eighths between two readings.
pub(crate) const MOST_EIGHTHS: u16 = 2;

/// The relief steps: one for each way and place in which relief is wanted or was read.
pub(crate) fn steps(work: &PlanContext<'_>) -> Vec<PlanStep> {
    let mut measurands = work.measurands(|class| class == MeasurandKind::Relief);
    // With a target, readings of other ways serve that target; they are no steps of their own.
    if measurands.iter().any(|t| work.input().target_state(*t).is_some()) {
        measurands.retain(|t| work.input().target_state(*t).is_some());
    }
    if measurands.is_empty() {
        measurands.extend(work.facts.usual_relief().map(Measurand::whole));
    }
    let mut steps: Vec<PlanStep> =
        measurands.into_iter().map(|measurand| step(work, measurand)).collect();
    twisted(&mut steps);
    for step in &mut steps {
        if step.verdict.adjust().is_some() && is_blind(work, step) {
            step.verdict = StepVerdict::MeasureFiner;
            step.cautions.clear();
        }
    }
    steps
}

fn step(work: &PlanContext<'_>, measurand: Measurand) -> PlanStep {
    let (mut step, compared) = match work.open(StepKind::Relief, measurand, true) {
        StepOpening::Closed(step) => return step,
        StepOpening::Off(step, compared) => (step, compared),
    };
    let doubted = far_from_last(work, &step, &compared).or_else(|| against_most_rods(work, &step));
    match doubted {
        Some(forecast) => step.verdict = StepVerdict::ReadAgain { forecast },
        None => advise(work, &mut step, &compared),
    }
    step
}

/// Strings that lie on the frets cannot tell how far the neck is bowed, nor what a turn did: before a rod whose
/// way nobody knows is turned by that alone, a straight edge is laid on the frets. Who has none reads it once
/// more, and the rod is tried with care.
fn is_blind(work: &PlanContext<'_>, step: &PlanStep) -> bool {
    let Some(seen) = &step.seen else { return false };
    let nothing = seen.touches() || (seen.known.bound == Bound::AtMost && seen.known.value <= 0.0);
    let open = work.rod.lessens.is_none();
    let standing = work.bench.standing(seen.measurand, seen.posture);
    let once = matches!(&standing, Freshness::Read { agreeing, .. } if agreeing.is_empty());
    nothing && open && once
}

/// How far relief goes from one visit to the next by itself and with other strings, one standard deviation in
/// mm, and how many percentage points of moisture another season is (common practice, no source).
const QUIET_MM: f64 = 0.06;
const STRINGS_MM: f64 = 0.08;
const SEASON_POINTS: f64 = 3.0;
/// Beyond so many standard deviations one reading is read again. At two, every neck that a season moved by 0.15 mm would
/// be read twice, and of 7,680 simulated visits one was spared a wrong turn of the rod for it.
const FAR: f64 = 3.0;

/// What most rods would have done, where a single reading is all that tells that this one works the other
/// way round: that may be a slip, and is read again before anything is turned by it.
fn against_most_rods(work: &PlanContext<'_>, step: &PlanStep) -> Option<Estimate> {
    let rod = &work.rod;
    let seen = step.seen.as_ref()?;
    let unwritten = work.facts.rod.less_relief.is_none();
    let mut told = rod.pairs.iter().filter(|p| p.change.tells());
    let (pair, None) = (told.next()?, told.next()) else { return None };
    let Freshness::Read { agreeing, .. } = work.bench.standing(seen.measurand, seen.posture) else {
        return None;
    };
    // A clockwise turn that made it more.
    let reversed = pair.change.value * pair.turns > 0.0;
    let alone = pair.after.event == seen.event && agreeing.is_empty();
    let before = pair.before.known;
    let usual = Estimate::mm(before.value - pair.turns * rod.mm_per_turn, rod.mm_per_turn / 8.0);
    (unwritten && alone && reversed).then_some(usual)
}

/// What the last visit left, where a single reading of today stands far from it and nobody turned the rod
/// since: that may be a slip, and a rod is not turned for a slip.
fn far_from_last(
    work: &PlanContext<'_>,
    step: &PlanStep,
    compared: &AgainstTarget,
) -> Option<Estimate> {
    let seen = step.seen.as_ref().filter(|_| compared.rests_on == RestsOn::Reading)?;
    let standing = work.bench.standing(seen.measurand, seen.posture);
    let Freshness::Read { agreeing, .. } = &standing else { return None };
    let last = work.bench.last_before_today(seen.measurand)?;
    let alike = last.posture.zip(seen.posture).is_none_or(|(before, now)| before == now);
    let values = last.known.bound == Bound::Value && seen.known.bound == Bound::Value;
    let mut sd = QUIET_MM;
    for done in work.bench.interventions.iter().filter(|d| d.event > last.event) {
        let disturbed = disturbs(&done.intervention, seen.measurand, work.facts);
        match done.intervention.kind {
            InterventionKind::Season => sd = sd.max(SEASON_POINTS * moisture_mm(work.facts)),
            InterventionKind::Strings => sd = sd.max(STRINGS_MM),
            _ if disturbed => return None,
            _ => {}
        }
    }
    let change = seen.known.minus(last.known);
    let far = change.value.abs() > FAR * sd.hypot(change.standard_uncertainty);
    let forecast = Estimate::mm(last.known.value, sd.hypot(last.known.standard_uncertainty));
    (agreeing.is_empty() && alike && values && far).then_some(forecast)
}

/// Writes the advice for a relief that is to change into a step.
pub(crate) fn advise(work: &PlanContext<'_>, step: &mut PlanStep, compared: &AgainstTarget) {
    let unseen = Unseen::of(work);
    if let Some(why) = stop(work, unseen.as_ref()) {
        // Where no rod is, nothing is said of one.
        step.cautions = match why {
            StopReason::NoRod => vec![Hazard::Repairer],
            _ => vec![Hazard::RodStop, Hazard::Repairer],
        };
        step.verdict = StepVerdict::Stop { why };
        return;
    }
    let most = most_eighths(work, compared, unseen.is_some());
    let Some(most) = most else {
        step.verdict = StepVerdict::NoCloser;
        return;
    };
    let adjust = adjust(work, step, compared, most);
    step.cautions = cautions::for_work(StepKind::Relief, work.facts, Some(adjust.way));
    if work.rod.against_written > 0 {
        step.remarks.push(StepRemark::AgainstWritten);
    }
    step.remarks.extend(unseen.map(|unseen| StepRemark::RodUnseen { eighths: unseen.eighths() }));
    if adjust.moves.iter().any(|m| m.turn.is_trial) {
        step.cautions.insert(0, Hazard::RodTry);
    }
    step.verdict = StepVerdict::Adjust(Box::new(adjust));
}

/// Reasons not to touch the rod.
fn stop(work: &PlanContext<'_>, unseen: Option<&Unseen>) -> Option<StopReason> {
    if work.facts.rod.kind == Some(RodKind::Absent) {
        return Some(StopReason::NoRod);
    }
    if wrong_way(work) >= 2 {
        return Some(StopReason::RodWrongWay);
    }
    if work.rod.lessens.is_none() && Tried::of(work).is_enough() {
        return Some(StopReason::RodNoResponse);
    }
    unseen.filter(|unseen| unseen.is_silent()).map(|_| StopReason::RodNoResponse)
}

/// How many turns of today tell the opposite of what is written, or of what the record showed before:
/// one may be a reading that was wrong before it; a second, the other way round, is the rod. What
/// happened on another day is learned from; only what happens now is a reason to stop.
fn wrong_way(work: &PlanContext<'_>) -> usize {
    let rod = &work.rod;
    let way = |p: &ResponsePair| (p.change.value * p.turns).signum();
    let Some(newest) = rod.pairs.iter().rev().find(|p| p.change.tells()) else { return 0 };
    let against = match work.facts.rod.less_relief {
        // Clockwise is positive: a change of the same sign as the turns means clockwise is more.
        Some(less) => way(newest) == sign(less),
        None => rod.contradicts.is_some(),
    };
    let alike = |p: &&ResponsePair| {
        work.bench.is_today(p.after.event) && p.change.tells() && way(p) == way(newest)
    };
    if against { rod.pairs.iter().filter(alike).count() } else { 0 }
}

/// The newest turns one way, the last of them today, that the readings have not shown.
struct Unseen {
    turns: f64,
    /// The probability that the rod does not answer at all.
    silent: f64,
}

/// By how much more than at first the readings must speak for a silent rod before anything is said of it.
const MORE_SILENT: f64 = 0.01;
/// Half a turn that shows nothing is enough, whatever the odds.
const ENOUGH_TURNS: f64 = 0.5;
impl Unseen {
    fn of(work: &PlanContext<'_>) -> Option<Self> {
        let pairs = &work.rod.pairs;
        // What earlier visits showed counts once a turn of today has shown nothing.
        let last = pairs.last().filter(|last| work.bench.is_today(last.after.event))?;
        let mut turns = 0.0_f64;
        let mut most: Option<Self> = None;
        let mut earlier = Estimate::mm(0.0, 0.0);
        let mut end = last;
        for (first, pair) in pairs.iter().enumerate().rev() {
            if let Some(next) = pairs.get(first + 1)
                && next.before.event != pair.after.event
            {
                // From one visit to the next the relief moves by itself.
                earlier = plus(earlier, end.after.known.minus(next.before.known));
                end = pair;
            }
            // As far back as all of it together shows nothing.
            let together = plus(earlier, end.after.known.minus(pair.before.known));
            let shows = pair.change.tells() || together.tells();
            let value = pair.change.bound == Bound::Value;
            if shows || !value || turns * pair.turns < 0.0 {
                break;
            }
            turns += pair.turns;
            let run = pairs.get(first..).unwrap_or_default();
            let longer = Self { turns, silent: silent(work, run, first, turns, together) };
            // The newest turns may be silent though one before them did a little.
            let told = |unseen: &Self| (unseen.is_silent(), unseen.silent);
            if most.as_ref().is_none_or(|most| told(&longer) > told(most)) {
                most = Some(longer);
            }
        }
        most.filter(|unseen| unseen.silent > SILENT_RODS + MORE_SILENT)
    }

    /// Enough to stop: nine to one that the rod does not answer, or half a turn without a trace, where
    /// the readings would have shown the usual effect.
    fn is_silent(&self) -> bool {
        let turns = self.turns.abs();
        (turns >= 0.25 && self.silent > 0.9) || (turns >= ENOUGH_TURNS && self.silent > 0.5)
    }

    fn eighths(&self) -> u16 {
        (self.turns.abs() * 8.0).round() as u16
    }
}

fn plus(a: Estimate, b: Estimate) -> Estimate {
    let u = a.standard_uncertainty.hypot(b.standard_uncertainty);
    Estimate { value: a.value + b.value, standard_uncertainty: u, ..b }
}

/// The probability that a rod does not answer: that it moved the relief by nothing but what the readings
/// scatter, against what it usually does, or did before these turns.
fn silent(
    work: &PlanContext<'_>,
    run: &[ResponsePair],
    first: usize,
    turns: f64,
    change: Estimate,
) -> f64 {
    let rod = &work.rod;
    let before = rod.pairs.get(..first).unwrap_or_default();
    let told: Vec<f64> = before
        .iter()
        .filter(|p| p.change.tells() && p.change.bound == Bound::Value)
        .map(|p| (p.change.value / p.turns).abs())
        .collect();
    let (size, ln_sd) = match told.len() {
        0 => (PRIOR_MEDIAN_MM, PRIOR_FACTOR.ln()),
        n => (told.iter().sum::<f64>() / n as f64, LEARNED_LN_SD),
    };
    // The sign of the change for these turns, where it is known.
    let way = rod.lessens.map(|less| -sign(less) * turns.signum());
    let u = run.iter().map(|p| p.change.standard_uncertainty).fold(1e-3, f64::max);
    let density = |of: f64| (-0.5 * ((change.value - of) / u).powi(2)).exp();
    let answers: f64 = (-8..=8)
        .map(|step| {
            let z = f64::from(step) * 0.375;
            let per_turn = size * (z * ln_sd).exp();
            let weight = 0.375 * (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
            let moved = |lost: f64| (turns.abs() - lost).max(0.0) * per_turn;
            let each = LOST.iter().map(|&(lost, share)| {
                share
                    * match way {
                        Some(way) => density(way * moved(lost)),
                        None => f64::midpoint(density(moved(lost)), density(-moved(lost))),
                    }
            });
            weight * each.sum::<f64>()
        })
        .sum();
    let silent = SILENT_RODS * density(0.0);
    silent / (silent + (1.0 - SILENT_RODS) * answers).max(1e-300)
}

/// How far a response lies from the one that this rod showed before, as a standard deviation of the
/// natural logarithm (common practice, no source).
const LEARNED_LN_SD: f64 = 0.3;

/// The most eighths that the rod may be turned now. Where its last turn of today took the relief past what is
/// wanted, less than that, or it would go to and fro: half of it, 0 for half an eighth; `None` where that
/// was half an eighth already, and no turn comes nearer.
fn most_eighths(work: &PlanContext<'_>, compared: &AgainstTarget, unseen: bool) -> Option<u16> {
    let most = if unseen { 1 } else { MOST_EIGHTHS };
    let wanted = compared.wanted.value;
    let passed = |p: &&ResponsePair| {
        let before = p.before.known.value - wanted;
        work.bench.is_today(p.after.event) && before * compared.off().value < 0.0
    };
    let Some(last) = work.rod.pairs.last().filter(passed) else { return Some(most) };
    let eighths = (last.turns.abs() * 8.0).round() as u16;
    (last.turns.abs() * 8.0 > 0.75).then_some(most.min(eighths / 2))
}

fn adjust(
    work: &PlanContext<'_>,
    step: &PlanStep,
    compared: &AgainstTarget,
    most: u16,
) -> StepWork {
    let rod = &work.rod;
    let need = -compared.off().value;
    let way = if need < 0.0 { PartWay::LessRelief } else { PartWay::MoreRelief };
    // One turn that told the opposite of what is written leaves the way open until another has told.
    let lessens = rod.lessens.filter(|_| rod.against_written == 0);
    let direction = lessens.map(|less| if need < 0.0 { less } else { less.reversed() });
    let turn = match direction {
        Some(direction) => {
            HandTurn::new(eighths(need.abs(), compared.tolerance, rod).min(most), direction)
        }
        None => test(work, need),
    };
    let effect = turn.turns() * rod.mm_per_turn * need.signum();
    let expect = direction.map(|_| {
        let u = compared.read.standard_uncertainty.hypot(rod.uncertainty_mm(turn.turns()));
        // What starts from a mere bound comes to one.
        Estimate { bound: compared.read.bound, ..Estimate::mm(compared.read.value + effect, u) }
    });
    let size_from = match told_pairs(rod) {
        0 => SizeFrom::Usual,
        observations => SizeFrom::Learned { observations },
    };
    StepWork {
        way,
        travel: Some(Estimate::mm(need.abs(), compared.read.standard_uncertainty)),
        moves: vec![ScrewMove { screw: TurnedScrew::Rod, count: 1, turn, size_from }],
        expect,
        expect_shown: expect
            .zip(step.seen.as_ref())
            .and_then(|(e, s)| in_notation(e, s.reading, s.tool)),
        left_over: expect
            .filter(|e| e.bound == Bound::Value)
            .map(|e| compared.wanted.value - e.value),
        again: again(InterventionKind::Rod, work.facts),
        explains: Vec::new(),
        lifts: Vec::new(),
    }
}

/// A rod is tried by this much one way in a day without a trace: it is the wrong way, or shows nothing.
const TRIED: f64 = 0.5;
/// How far beyond where it began it is then tried the other way before it is given up.
const BEYOND: f64 = 0.25;
/// A rod that was turned so far in a day, to and fro, and whose way is still open, is given up.
const MOST_TRIED: f64 = 2.5;
/// With more than this the likelier way is the wrong one: the rod then stays between where it began and an
/// eighth from there, until it was turned this far in all.
const UNSURE: f64 = 0.1;
const UNSURE_TURNS: f64 = 0.75;

/// What was turned today of a rod whose way is not known.
struct Tried {
    /// The way that is tried first: what makes more relief, by what most rods do or this one seems to do.
    first: TurnDirection,
    /// How far it stood that way from where it began, and the other way, since the readings last told anything.
    away: f64,
    beyond: f64,
    /// How far in all, and where it stands from where it began, clockwise positive.
    turned: f64,
    stands: f64,
}

impl Tried {
    fn of(work: &PlanContext<'_>) -> Self {
        let told = work.rod.pairs.iter().rev().find(|p| p.change.tells());
        let since = told.map(|p| p.after.event);
        let likely = work.rod.clockwise_lessens.unwrap_or(1.0);
        let first =
            if likely >= 0.5 { TurnDirection::Anticlockwise } else { TurnDirection::Clockwise };
        let mut tried = Self { first, away: 0.0, beyond: 0.0, turned: 0.0, stands: 0.0 };
        for done in work.bench.done_today() {
            let rod = done.intervention.kind == InterventionKind::Rod;
            let Some(turns) = done.intervention.turns.filter(|_| rod) else { continue };
            tried.stands += turns;
            tried.turned += turns.abs();
            if since.is_none_or(|since| done.event > since) {
                let stands = tried.stands * sign(first);
                tried.away = tried.away.max(stands);
                tried.beyond = tried.beyond.max(-stands);
            }
        }
        tried
    }

    /// Half a turn one way, back and a quarter beyond, and nothing has shown: it is left alone.
    fn is_enough(&self) -> bool {
        (self.away >= TRIED && self.beyond >= BEYOND) || self.turned >= MOST_TRIED
    }
}

/// The turn that shows which way the rod works. Against what is written, one that told the opposite is taken
/// back. Else it loosens: where that shows nothing it goes the other way, after one eighth if less relief is
/// wanted, and after half a turn if more is. A string in a back-bow only shows that it touches. Where the
/// readings speak against what most rods do, but not for sure, it is taken back to where it began and loosened
/// again: that is known ground, and shows more each time.
fn test(work: &PlanContext<'_>, need: f64) -> HandTurn {
    let told = |p: &&ResponsePair| p.change.tells() && work.bench.is_today(p.after.event);
    let written = work.facts.rod.less_relief.is_some();
    let last = work.rod.pairs.iter().rev().filter(|_| written).find(told);
    if let Some(back) = last.and_then(|p| direction_of(-p.turns)) {
        return trial(back, 1);
    }
    let tried = Tried::of(work);
    let likely = work.rod.clockwise_lessens;
    let unsure = likely.is_some_and(|likely| likely.min(1.0 - likely) > UNSURE);
    if unsure && tried.turned < UNSURE_TURNS {
        let back = if tried.stands < -0.06 {
            TurnDirection::Clockwise
        } else {
            TurnDirection::Anticlockwise
        };
        return trial(back, 1);
    }
    let other_way =
        if need < 0.0 { tried.away > 0.0 || likely.is_some() } else { tried.away >= TRIED };
    let toward = if other_way { tried.first.reversed() } else { tried.first };
    // Back to where it began is known ground.
    let known = need > 0.0 && tried.stands * sign(toward) <= -0.25;
    trial(toward, if known { 2 } else { 1 })
}

fn trial(direction: TurnDirection, eighths: u16) -> HandTurn {
    HandTurn { direction: Some(direction), ..HandTurn::trial(eighths) }
}

/// How many observations the size of the response rests on.
fn told_pairs(rod: &ScrewResponse) -> usize {
    let counts = |(index, pair): &(usize, &ResponsePair)| {
        pair.change.tells() && !rod.outvoted.contains(index)
    };
    rod.pairs.iter().enumerate().filter(counts).count()
}

/// How many eighths: as many as stop short of the target as the rod usually answers, and stay within
/// its tolerance if it answers one standard deviation more. At most [`MOST_EIGHTHS`]; 0 is less than
/// an eighth, where that comes nearer to it than one.
fn eighths(need: f64, tolerance: f64, rod: &ScrewResponse) -> u16 {
    let usual = rod.mm_per_turn / 8.0;
    let high = rod.high() / 8.0;
    let fits = |n: &u16| {
        let n = f64::from(*n);
        n * usual <= need && n * high <= need + tolerance
    };
    let best = (1..=MOST_EIGHTHS).rev().find(fits);
    // Less than an eighth is half of one: whichever comes nearer, so that it does not go to and fro.
    best.unwrap_or(u16::from(need > 0.75 * usual))
}

/// Two sides that want the rod to go opposite ways.
fn twisted(steps: &mut [PlanStep]) {
    let wants =
        |way: PartWay| steps.iter().any(|s| s.verdict.adjust().is_some_and(|a| a.way == way));
    if wants(PartWay::MoreRelief) && wants(PartWay::LessRelief) {
        for step in steps {
            if step.verdict.adjust().is_some() {
                step.verdict = StepVerdict::Stop { why: StopReason::Twisted };
                step.cautions = vec![Hazard::Repairer];
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rod(mm_per_turn: f64, ln_sd: f64) -> ScrewResponse {
        ScrewResponse {
            mm_per_turn,
            ln_sd,
            lessens: None,
            clockwise_lessens: None,
            pairs: Vec::new(),
            contradicts: None,
            outvoted: Vec::new(),
            against_written: 0,
            doubts: Vec::new(),
            slips: Vec::new(),
        }
    }

    #[test]
    fn turns_stop_short_and_never_pass_a_quarter() {
        let learned = rod(0.6, 0.1);
        assert_eq!(eighths(0.08, 0.05, &learned), 1);
        assert_eq!(eighths(0.16, 0.05, &learned), 2);
        assert_eq!(eighths(0.60, 0.05, &learned), 2);
        // An eighth would pass the target, but within its tolerance.
        assert_eq!(eighths(0.06, 0.05, &learned), 1);
        assert_eq!(eighths(0.02, 0.05, &learned), 0);
    }

    #[test]
    fn an_unsure_response_makes_the_step_smaller() {
        let prior = rod(0.6, std::f64::consts::LN_2);
        assert_eq!(eighths(0.16, 0.05, &prior), 1);
        assert_eq!(eighths(0.30, 0.05, &prior), 2);
    }
}
