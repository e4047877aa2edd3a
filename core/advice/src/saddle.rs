//! The action steps: saddle heights, from the highest-pitched string to the lowest.

use fallaway_measure::{Length, Place};
use fallaway_mechanics::Estimate;
use fallaway_mechanics::bridge::BridgeMove;
use fallaway_mechanics::screws::Rounding;
use fallaway_mechanics::units::{as_mm, mm};

use crate::caution;
use crate::deed::DeedKind;
use crate::facts::BridgeKind;
use crate::hand::{Direction, Turn};
use crate::known::{Known, in_notation};
use crate::learn::{self, Response};
use crate::plan::{Adjust, Compared, Move, Reckoned, Step, StepKind, Verdict, Way};
use crate::stale::again;
use crate::thing::{Class, Thing};
use crate::work::{Opened, Work};

/// The action steps in the order in which action is set.
pub(crate) fn steps(work: &Work<'_>) -> Vec<Step> {
    let wanted = work.things(Class::is_action);
    let mut steps = Vec::new();
    let mut groups = Vec::new();
    for string in &work.facts.strings {
        let mut things: Vec<Thing> =
            wanted.iter().copied().filter(|t| t.place() == Some(string.place)).collect();
        if things.iter().any(|t| work.input().wish(*t).is_some()) {
            things.retain(|t| work.input().wish(*t).is_some());
        }
        if things.is_empty() {
            let usual = work.facts.usual_action();
            things.extend(usual.map(|q| Thing::string(q, string.place)));
        }
        for thing in things {
            match work.open(StepKind::Action, thing, true) {
                Opened::Closed(step) => steps.push(step),
                Opened::Off(step, compared) => {
                    groups.push((steps.len(), compared));
                    steps.push(step);
                }
            }
        }
    }
    // Read by side or as a whole: compared, without a screw to name.
    for thing in wanted.into_iter().filter(|t| t.place().is_none()) {
        match work.open(StepKind::Action, thing, false) {
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
            step.cautions = caution::for_work(StepKind::Action, work.facts, Some(adjust.way));
            step.verdict = Verdict::Adjust(Box::new(adjust));
        }
    }
    steps
}

/// What is wanted of the gap, without a screw.
fn plain(work: &Work<'_>, compared: &Compared) -> Adjust {
    let need = -compared.off().value;
    Adjust {
        way: if need > 0.0 { Way::Raise } else { Way::Lower },
        travel: None,
        moves: Vec::new(),
        expect: None,
        expect_shown: None,
        left_over: None,
        again: again(DeedKind::SaddleHeight, work.facts),
        explains: Vec::new(),
    }
}

/// How far the saddle goes, and the turns that this takes. Where screws move several strings, the
/// turns that bring all of them nearest to their targets.
fn advise(work: &Work<'_>, step: &Step, compared: &Compared, all: &[Step]) -> Adjust {
    let mut adjust = plain(work, compared);
    let Some((thing, place)) = step.thing.zip(step.place()) else { return adjust };
    let need = -compared.off().value;
    let ratio = ratio(work, thing, place);
    if let Some(ratio) = ratio {
        let u = compared.read.standard_uncertainty / ratio;
        adjust.travel = Some(Known::mm(need.abs() / ratio, u));
    }
    if work.facts.bridge.kind == BridgeKind::Fixed {
        return adjust;
    }
    let learned = learn::saddle(work.bench, thing.quantity);
    let shown = learned.as_ref().and_then(|l| l.lessens).map(Direction::reversed);
    let answer = solve(work, place, all);
    let change = match (answer, ratio) {
        (Some(answer), Some(ratio)) => {
            let attempt = learn::saddle_try(work.bench, thing.quantity);
            let rise = from_threads(work, &answer, shown, attempt, &mut adjust);
            rise.map(|rise| (rise * ratio, 0.0))
        }
        _ => from_learned(work, place, learned.as_ref(), need, &mut adjust),
    };
    if let Some((change, unsure)) = change {
        let u = compared.read.standard_uncertainty.hypot(unsure);
        let expect = Known::mm(compared.read.value + change, u);
        adjust.expect = Some(expect);
        adjust.expect_shown =
            step.seen.as_ref().and_then(|s| in_notation(expect, s.reading, s.tool));
        adjust.left_over = Some(compared.wanted.value - expect.value);
    }
    adjust
}

/// By how much the gap grows for each mm by which the saddle rises.
fn ratio(work: &Work<'_>, thing: Thing, place: Place) -> Option<f64> {
    let ratio = work.model(place)?.per_saddle(thing.quantity)?;
    (ratio.value > 1e-3).then_some(ratio.value)
}

/// What the bridge's screws do for `place` and all strings that they move along.
fn solve(work: &Work<'_>, place: Place, all: &[Step]) -> Option<(BridgeMove, usize)> {
    let bridge = &work.facts.bridge;
    let matrix = bridge.matrix.as_ref()?;
    let row = bridge.rows.iter().position(|p| *p == place)?;
    let moved = work.facts.moved_with(place);
    let wanted: Vec<Option<Estimate<Length>>> = bridge
        .rows
        .iter()
        .map(|p| {
            let step = all.iter().find(|s| s.place() == Some(*p) && s.compared.is_some())?;
            let compared = step.compared.filter(|_| moved.contains(p))?;
            let rise = -compared.off().value / ratio(work, step.thing?, *p)?;
            Some(Estimate::exact(mm(rise)))
        })
        .collect();
    wanted.get(row)?.as_ref()?;
    matrix.solve(&wanted, Rounding::Nearest).ok().map(|answer| (answer, row))
}

/// Moves from the threads of the screws. The rise of the string's saddle in mm; `None` while a
/// screw's thread or direction is not known.
fn from_threads(
    work: &Work<'_>,
    (answer, row): &(BridgeMove, usize),
    shown: Option<Direction>,
    attempt: Turn,
    adjust: &mut Adjust,
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
        let (turn, reckoned) = match (done.turn, screw.thread, direction) {
            (Some(turn), Some(thread), Some(_)) => {
                let eighths = u16::try_from(turn.eighths.unsigned_abs()).unwrap_or(u16::MAX);
                let pitch_mm = as_mm(thread.pitch());
                (Turn { eighths, direction }, Reckoned::Thread { pitch_mm })
            }
            (_, Some(thread), None) => {
                certain = false;
                (attempt, Reckoned::Thread { pitch_mm: as_mm(thread.pitch()) })
            }
            _ => {
                certain = false;
                (Turn { direction, ..attempt }, Reckoned::Unknown)
            }
        };
        // A screw that need not turn, among several that do.
        if turn.eighths == 0 && answer.screws.iter().any(|s| s.turn.is_some_and(|t| t.eighths != 0))
        {
            continue;
        }
        let screw =
            bridge.screws.get(index).cloned().unwrap_or_else(|| format!("screw {}", index + 1));
        adjust.moves.push(Move { screw, count: bridge.alike.max(1), turn, reckoned });
    }
    let rise = as_mm(answer.strings.get(*row)?.gives);
    certain.then_some(rise)
}

/// A move from what the instrument has shown, or a try. The change of the gap and its uncertainty.
fn from_learned(
    work: &Work<'_>,
    place: Place,
    learned: Option<&Response>,
    need: f64,
    adjust: &mut Adjust,
) -> Option<(f64, f64)> {
    let lessens = learned.and_then(|l| l.lessens);
    let direction = lessens.map(|l| if need < 0.0 { l } else { l.reversed() });
    let (turn, reckoned) = match (learned, direction) {
        (Some(l), Some(_)) if l.mm_per_turn > 1e-6 => (
            Turn::nearest(need.abs() / l.mm_per_turn, direction),
            Reckoned::Learned { pairs: l.pairs.len() },
        ),
        _ => (Turn::TRIAL, Reckoned::Unknown),
    };
    let screw = format!("saddle {}", work.facts.name(place));
    let count = work.facts.bridge.alike.max(1);
    adjust.moves.push(Move { screw, count, turn, reckoned });
    let learned = learned.filter(|_| !turn.is_trial())?;
    let turns = turn.turns();
    Some((turns * learned.mm_per_turn * need.signum(), learned.uncertainty_mm(turns)))
}
