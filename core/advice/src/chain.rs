//! The chain of work: builds every step in order, then lets the steps wait for each other.

use crate::bench::Bench;
use crate::facts::BridgeKind;
use crate::guard::{self, NotYet};
use crate::input::Input;
use crate::known::Known;
use crate::plan::{Compared, Plan, Step, StepKind, Verdict, Way};
use crate::radius;
use crate::relief;
use crate::since;
use crate::stale::disturbs;
use crate::steps;
use crate::work::Work;
use crate::{saddle, thing::Thing};

/// Builds the steps of one kind.
type Build = fn(&Work<'_>) -> Vec<Step>;

/// The chain of work, in its order.
const CHAIN: &[(StepKind, Build)] = &[
    (StepKind::Tune, steps::tune),
    (StepKind::Relief, relief::steps),
    (StepKind::Nut, steps::nut),
    (StepKind::Spacing, steps::spacing),
    (StepKind::Action, saddle::steps),
    (StepKind::Radius, radius::step),
    (StepKind::Pickup, steps::pickup),
    (StepKind::Intonation, steps::intonation),
    (StepKind::AsLeft, steps::as_left),
];

/// Off pitch by more than this, in cents, other readings are not worth acting on: the tension is off
/// by over 2 % (tension goes with the square of frequency).
const OFF_PITCH_CENT: f64 = 20.0;

/// Makes the plan.
pub fn plan(input: &Input<'_>) -> Plan {
    let bench = Bench::new(input);
    let work = Work::new(&bench);
    let mut steps: Vec<Step> = CHAIN.iter().flat_map(|(_, build)| build(&work)).collect();
    blame_the_neck(&work, &mut steps);
    let since = since::since(&work, &steps);
    wait(&work, &mut steps);
    beyond_undoing(&work, &mut steps);
    radius::wait(&mut steps);
    finish(&mut steps);
    let next = next(&bench, &steps);
    Plan {
        steps,
        next,
        since,
        rod: work.rod.clone(),
        contested_facts: input.facts.contested.clone(),
    }
}

/// Where the relief is off its target, though not by more than the tolerance, and putting it right
/// would bring every action that is off back to its target: the rod, not the saddles.
fn blame_the_neck(work: &Work<'_>, steps: &mut [Step]) {
    let reliefs: Vec<usize> = positions(steps, |s| {
        s.kind == StepKind::Relief
            && matches!(s.verdict, Verdict::Fine | Verdict::Same)
            && s.compared.is_some_and(|c| c.off().tells())
    });
    let [at] = reliefs.as_slice() else { return };
    let Some((relief_thing, relief)) = steps.get(*at).and_then(|s| Some((s.thing?, s.compared?)))
    else {
        return;
    };
    let off: Vec<&Step> = steps
        .iter()
        .filter(|s| s.kind == StepKind::Action && s.verdict.adjust().is_some())
        .collect();
    let explained = |s: &Step| -> bool {
        let (Some(thing), Some(compared)) = (s.thing, s.compared) else { return false };
        since::part(work, thing, None, &compared, relief_thing, &relief)
            .is_some_and(|p| !p.tells && p.explained.value * p.change.value > 0.0)
    };
    if off.is_empty() || !off.iter().all(|s| explained(s)) {
        return;
    }
    let places = off.iter().filter_map(|s| s.place()).collect();
    let Some(step) = steps.get_mut(*at) else { return };
    relief::advise(work, step, &relief);
    if let Verdict::Adjust(adjust) = &mut step.verdict {
        adjust.explains = places;
    }
}

/// A step that an earlier one would disturb waits for it: turns are given only up to the next
/// reading. What will be read after an earlier rod or saddle move is a forecast.
fn wait(work: &Work<'_>, steps: &mut [Step]) {
    let mut pending: Vec<Pending> = Vec::new();
    for step in steps.iter_mut() {
        let thing = step.thing;
        let blocked = pending.iter().find(|p| {
            let disturbed = match thing {
                Some(thing) => disturbs(&p.deed, thing, work.facts),
                None => false,
            };
            disturbed && (p.certain || step.verdict.adjust().is_some())
        });
        if let Some(p) = blocked
            && waits(&step.verdict)
        {
            let forecast = forecast(work, step, p);
            step.verdict = Verdict::Wait { after: p.kind, of: p.thing, forecast };
            step.cautions.clear();
        }
        pending.extend(Pending::of(step));
    }
}

/// Whether a verdict is put off by work that comes before it. What people have to settle is not.
fn waits(verdict: &Verdict) -> bool {
    !matches!(
        verdict,
        Verdict::NotApplicable { .. }
            | Verdict::Disagree { .. }
            | Verdict::TwoValues { .. }
            | Verdict::Stop { .. }
    )
}

/// An earlier step that is not settled.
struct Pending {
    kind: StepKind,
    thing: Option<Thing>,
    deed: crate::deed::Deed,
    /// It will be worked on, so that what it disturbs is not worth reading before.
    certain: bool,
    /// What was read of it, against what is wanted.
    compared: Option<Compared>,
}

impl Pending {
    fn of(step: &Step) -> Option<Self> {
        let deed = steps::deed_of(step)?;
        let certain = match &step.verdict {
            Verdict::Adjust(_) if step.kind == StepKind::Tune => {
                far_off_pitch(step.compared).then_some(true)
            }
            Verdict::Adjust(_) => Some(true),
            Verdict::Fine | Verdict::Same | Verdict::NotApplicable { .. } => None,
            // What nobody set a target for will not be worked on.
            Verdict::Measure | Verdict::MeasureAgain { .. } if step.target.is_none() => None,
            // Whether it will be worked on is open; nothing after it is turned before that is known.
            _ => (step.kind != StepKind::Tune).then_some(false),
        }?;
        Some(Self { kind: step.kind, thing: step.thing, deed, certain, compared: step.compared })
    }
}

fn far_off_pitch(compared: Option<Compared>) -> bool {
    compared.is_some_and(|c| c.off().value.abs() > OFF_PITCH_CENT)
}

/// What a step will read with the relief at its target, saddles untouched.
fn forecast(work: &Work<'_>, step: &Step, pending: &Pending) -> Option<Known> {
    if pending.kind != StepKind::Relief || !pending.certain {
        return None;
    }
    let (thing, compared, relief) = (step.thing?, step.compared?, pending.compared?);
    let part = since::part(work, thing, None, &compared, pending.thing?, &relief)?;
    // Wherever within its tolerance the relief comes to stand.
    let left = part.explained.value / relief.off().value * relief.tolerance / 3_f64.sqrt();
    let u = part.explained.standard_uncertainty.hypot(left);
    Some(Known::mm(
        compared.read.value - part.explained.value,
        compared.read.standard_uncertainty.hypot(u),
    ))
}

/// Work that cannot be undone waits until relief and action are final, and asks for a second tool.
fn beyond_undoing(work: &Work<'_>, steps: &mut [Step]) {
    let fixed = work.facts.bridge.kind == BridgeKind::Fixed;
    let open = |steps: &[Step], kinds: &[StepKind]| {
        steps
            .iter()
            .find(|s| kinds.contains(&s.kind) && !s.verdict.settled())
            .map(|s| (s.kind, s.thing))
    };
    for at in 0..steps.len() {
        let before: &[StepKind] = match steps.get(at) {
            Some(s) if s.verdict.adjust().is_none() => continue,
            Some(s) if s.kind == StepKind::Nut => &[StepKind::Relief, StepKind::Action],
            Some(s) if s.kind == StepKind::Action && fixed => &[StepKind::Relief],
            _ => continue,
        };
        let waits_for = open(steps, before);
        let Some(step) = steps.get_mut(at) else { continue };
        let Some((thing, compared)) = step.thing.zip(step.compared) else { continue };
        let lower =
            step.verdict.adjust().is_some_and(|a| matches!(a.way, Way::CutSlot | Way::Lower));
        step.verdict = match (waits_for, guard::enough(work, thing, &compared)) {
            (Some((after, of)), _) => Verdict::Wait { after, of, forecast: None },
            (None, Err(NotYet::NotRead)) => Verdict::Measure,
            (None, Err(NotYet::NotTuned | NotYet::OneTool)) => Verdict::MeasureWithAnother,
            (None, Ok(())) if step.kind == StepKind::Action => {
                let way = if lower { Way::Lower } else { Way::Raise };
                let mut adjust = guard::cut(work, step, &compared, way);
                if let Verdict::Adjust(before) = &step.verdict {
                    adjust.travel = if lower { None } else { before.travel };
                }
                Verdict::Adjust(Box::new(adjust))
            }
            (None, Ok(())) => continue,
        };
        if step.verdict.adjust().is_none() {
            step.cautions.clear();
        }
    }
}

/// The last step waits for all others.
fn finish(steps: &mut [Step]) {
    let open = steps
        .iter()
        .find(|s| s.kind != StepKind::AsLeft && s.kind != StepKind::Tune && !s.verdict.settled())
        .map(|s| (s.kind, s.thing));
    let Some((after, of)) = open else { return };
    for step in steps.iter_mut().filter(|s| s.kind == StepKind::AsLeft) {
        step.verdict = Verdict::Wait { after, of, forecast: None };
    }
}

/// The first step that asks for something. Tuning that nobody noted is asked for only while nothing
/// has been read since: who reads has tuned, as a rule.
fn next(bench: &Bench<'_>, steps: &[Step]) -> Option<usize> {
    steps.iter().position(|s| match (&s.verdict, s.kind) {
        (Verdict::Measure, StepKind::Tune) => !bench.read_since(None),
        (Verdict::MeasureAgain { event, .. }, StepKind::Tune) => !bench.read_since(Some(*event)),
        (Verdict::Wait { .. }, _) => false,
        (verdict, _) => !verdict.settled(),
    })
}

fn positions(steps: &[Step], wanted: impl Fn(&Step) -> bool) -> Vec<usize> {
    steps.iter().enumerate().filter(|(_, s)| wanted(s)).map(|(i, _)| i).collect()
}
