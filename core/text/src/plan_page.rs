//! The whole plan as it stands on one page: the next step in full, the others in a line each.

use std::mem::discriminant;

use fallaway_advice::compare::{DriftPart, PointsAt, SetupDrift};
use fallaway_advice::hazard::Hazard;
use fallaway_advice::observe::MeasurandKind;
use fallaway_advice::plan::{Plan, PlanStep, StepKind, StepRemark, StepVerdict, StepWork, WhyNot};
use fallaway_record::InstrumentSpec;

use crate::messages::plan as say;
use crate::plan::{self, Numbers};
use crate::{Computed, List, Phrase, Voice, cautions, facts, names};

/// A plan in words.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanText {
    /// Facts with two conflicting values.
    pub conflicts: Vec<Phrase>,
    /// What changed since the setup; `None` if nothing did beyond reading error.
    pub drift: Option<DriftText>,
    /// The next step, with those of its kind that are done in one go; `None` if nothing is left.
    pub next: Option<NextText>,
    /// What comes after it: a step, and what it comes to.
    pub after: Vec<(Phrase, Phrase)>,
    /// What is on target, in one sentence.
    pub on_target: Option<Phrase>,
    /// What has no target, in one sentence.
    pub untargeted: Option<Phrase>,
}

impl PlanText {
    /// What comes after the next step, of each kind in the person's order of strings.
    #[must_use]
    pub fn after_in_order(&self, voice: &Voice) -> Vec<&(Phrase, Phrase)> {
        let about = |(step, what): &&(Phrase, Phrase)| Some((step.id(), what.about()?));
        voice.by_string(self.after.iter().collect(), about)
    }
}

/// The next step in words.
#[derive(Debug, Clone, PartialEq)]
pub struct NextText {
    /// The heading: "Next: relief".
    pub heading: Phrase,
    /// Several screws to turn: what to do with them, and a row for each string.
    pub turns: Option<(Phrase, Vec<TurnRow>)>,
    /// What to do otherwise, and what to expect.
    pub todo: Vec<Phrase>,
    /// What it rests on, and what else to know.
    pub because: Vec<Phrase>,
    /// What to measure again.
    pub then: Vec<Phrase>,
    /// What can harm.
    pub cautions: Vec<Phrase>,
}

/// One string of several whose screws are turned.
#[derive(Debug, Clone, PartialEq)]
pub struct TurnRow {
    /// Which string; `None` for what is no string's.
    pub place: Option<Phrase>,
    /// What was read.
    pub read: Option<Phrase>,
    /// What is wanted.
    pub target: Option<Phrase>,
    /// The turns, or which way where nothing is to be turned.
    pub turn: Phrase,
    /// What should then be read.
    pub then: Option<Phrase>,
}

/// What changed since the setup.
#[derive(Debug, Clone, PartialEq)]
pub struct DriftText {
    /// The headings of the columns.
    pub head: [Phrase; 4],
    /// Relief, then each string: what, change, explained by relief, unexplained.
    pub rows: Vec<[Option<Phrase>; 4]>,
    /// What it points at.
    pub points_at: Option<Phrase>,
    /// What can harm.
    pub cautions: Vec<Phrase>,
}

impl DriftText {
    /// The rows, of each kind in the person's order of strings.
    #[must_use]
    pub fn rows_in_order(&self, voice: &Voice) -> Vec<&[Option<Phrase>; 4]> {
        let about = |row: &&[Option<Phrase>; 4]| Some(((), row[0].as_ref()?.about()?));
        voice.by_string(self.rows.iter().collect(), about)
    }
}

/// The headings of the table of turns: place, read, target, turn, then.
pub fn turn_head() -> [Phrase; 5] {
    let (read, target) = (say::column_read(), say::column_target());
    [Phrase::written(""), read, target, say::column_turn(), say::column_then()]
}

/// The plan in words. `drift` says whether the comparison with the setup is of interest.
pub fn page(plan: &Plan, spec: &InstrumentSpec, drift: bool) -> PlanText {
    let now = now(plan);
    let others: Vec<&PlanStep> =
        plan.steps.iter().filter(|s| !now.iter().any(|n| std::ptr::eq(*n, *s))).collect();
    // Tuning that nobody noted is said where it matters: beside the readings.
    let is_open = |step: &&PlanStep| {
        !step.verdict.settled() && (step.kind != StepKind::Tune || now.is_empty())
    };
    let open: Vec<&PlanStep> = others.iter().copied().filter(is_open).collect();
    let after = open.chunk_by(|a, b| is_alike(a, b)).filter_map(|group| {
        Some((plan::kind(group.first()?.kind), with_places(group, spec, line(group, spec))))
    });
    PlanText {
        conflicts: plan.contested_facts.iter().map(|key| say::conflict(fact(key, spec))).collect(),
        drift: plan.drift.as_ref().filter(|_| drift).and_then(|one| drift_text(one, spec)),
        next: next(plan, &now, spec),
        after: after.collect(),
        on_target: on_target(&others, spec),
        untargeted: untargeted(plan)
            .map(|kinds| say::untargeted(List::comma(kinds.into_iter().map(plan::kind)))),
    }
}

/// A fact by the key of its register.
pub fn fact(key: &str, spec: &InstrumentSpec) -> Phrase {
    let field = spec.fields().into_iter().find(|field| field.key() == key);
    field.map_or_else(|| Phrase::written(key), |field| facts::name(&field, spec))
}

/// "Nothing left to do", but perhaps what could not be done, or is set no finer.
pub fn nothing_left(plan: &Plan) -> Phrase {
    let could_not = |step: &PlanStep| matches!(step.verdict, StepVerdict::CouldNot { .. });
    let no_closer = |step: &PlanStep| step.verdict == StepVerdict::NoCloser;
    if plan.steps.iter().any(could_not) {
        say::nothing_left_but()
    } else if plan.steps.iter().any(no_closer) {
        say::nothing_left_no_closer()
    } else {
        say::nothing_left()
    }
}

/// The heading over what comes after the next step.
pub fn after_that() -> Phrase {
    say::after_that()
}

/// All steps in the order of the work, those that differ in the string only in the person's order.
pub fn in_order<'p>(plan: &'p Plan, voice: &Voice) -> Vec<&'p PlanStep> {
    steps_in_order(plan.steps.iter().collect(), voice)
}

/// The same of some of them.
pub fn steps_in_order<'p>(steps: Vec<&'p PlanStep>, voice: &Voice) -> Vec<&'p PlanStep> {
    voice.by_string(steps, |step| {
        let of = step.measurand?;
        Some(((step.kind, of.quantity), of.place()?.into()))
    })
}

/// The next step in one line.
pub fn next_line(plan: &Plan, spec: &InstrumentSpec) -> Phrase {
    let now = now(plan);
    let Some(first) = now.first() else { return nothing_left(plan) };
    let what = if first.verdict.adjust().is_some() {
        // A screw at a time: what to turn, and what should then be read.
        let full = plan::step(first, spec);
        let then = full.then.into_iter().take(1);
        let todo = full.todo.into_iter().chain(full.mind).chain(then);
        with_places(&[*first], spec, List::space(todo).into())
    } else {
        with_places(&now, spec, line(&now, spec))
    };
    say::next_line(plan::kind(first.kind), what)
}

/// A step by itself in one line.
pub fn one_line(step: &PlanStep, spec: &InstrumentSpec) -> Phrase {
    line(&[step], spec)
}

/// The kinds of steps of which nobody set a target; `None` if there are none.
pub fn untargeted(plan: &Plan) -> Option<Vec<StepKind>> {
    let is_untargeted =
        |s: &&PlanStep| matches!(s.verdict, StepVerdict::NotApplicable { why: WhyNot::NoTarget });
    let mut kinds: Vec<StepKind> =
        plan.steps.iter().filter(is_untargeted).map(|s| s.kind).collect();
    kinds.dedup();
    (!kinds.is_empty()).then_some(kinds)
}

/// The whole plan as plain text, a line each.
pub fn text(plan: &Plan, spec: &InstrumentSpec, voice: &Voice) -> String {
    let page = page(plan, spec, true);
    let mut lines: Vec<String> = page.conflicts.iter().map(|one| voice.sentence(one)).collect();
    match &page.next {
        None => lines.push(voice.sentence(&nothing_left(plan))),
        Some(next) => {
            lines.push(voice.sentence(&next.heading));
            let now = steps_in_order(now(plan), voice);
            let full = now.into_iter().map(|one| plan::step(one, spec));
            for step in full {
                lines.push(format!(
                    "  {}: {}",
                    voice.sentence(&step.title),
                    voice.say(&step.verdict)
                ));
                let said = voice.phrases_by_string(step.sentences());
                lines.extend(said.into_iter().map(|one| format!("    {}", voice.sentence(one))));
            }
            lines.extend(next.cautions.iter().map(|one| format!("  ! {}", voice.sentence(one))));
        }
    }
    for (step, what) in page.after_in_order(voice) {
        lines.push(voice.sentence(&say::next_line(step.clone(), what.clone())));
    }
    lines.extend(page.on_target.iter().chain(&page.untargeted).map(|one| voice.sentence(one)));
    if let Some(one) = &plan.drift {
        let said = drift_sentences(one, spec);
        lines.extend(voice.phrases_by_string(&said).into_iter().map(|one| voice.sentence(one)));
    }
    lines.join("\n")
}

/// Whether two steps are said in one line.
fn is_alike(a: &PlanStep, b: &PlanStep) -> bool {
    let same = match (&a.verdict, &b.verdict) {
        (
            StepVerdict::MeasureAgain { intervention: a, .. },
            StepVerdict::MeasureAgain { intervention: b, .. },
        ) => a == b,
        (StepVerdict::Wait { after: a, .. }, StepVerdict::Wait { after: b, .. }) => a == b,
        (StepVerdict::Stop { why: a }, StepVerdict::Stop { why: b }) => a == b,
        (StepVerdict::NotApplicable { why: a }, StepVerdict::NotApplicable { why: b }) => a == b,
        (
            StepVerdict::LookAtScrew { screw: a, why: x },
            StepVerdict::LookAtScrew { screw: b, why: y },
        ) => a == b && x == y,
        (StepVerdict::CouldNot { tried: a }, StepVerdict::CouldNot { tried: b }) => {
            a.reason == b.reason
        }
        (StepVerdict::Disagree { .. } | StepVerdict::TwoValues { .. }, _) => false,
        (a, b) => discriminant(a) == discriminant(b),
    };
    let quantity = |step: &PlanStep| step.measurand.map(|of| of.quantity);
    a.kind == b.kind && same && quantity(a) == quantity(b)
}

/// The steps to do now: the next one, and those of its kind that are done in one go. Where a screw's
/// way is not known yet, one test comes first.
pub fn now(plan: &Plan) -> Vec<&PlanStep> {
    let Some(next) = plan.next_step() else { return Vec::new() };
    if next.verdict.adjust().is_some_and(plan::is_trial) {
        return vec![next];
    }
    plan.steps.iter().filter(|s| std::ptr::eq(*s, next) || is_alike(s, next)).collect()
}

fn places(steps: &[&PlanStep], spec: &InstrumentSpec) -> Vec<Phrase> {
    steps.iter().filter_map(|step| place(step, spec)).collect()
}

fn place(step: &PlanStep, spec: &InstrumentSpec) -> Option<Phrase> {
    names::location_label(spec, step.measurand?.location)
}

fn with_places(steps: &[&PlanStep], spec: &InstrumentSpec, what: Phrase) -> Phrase {
    let adjusted = steps.len() > 1 && steps.iter().any(|step| step.verdict.adjust().is_some());
    let places = if adjusted { Vec::new() } else { places(steps, spec) };
    if places.is_empty() { what } else { say::of_strings(List::comma(places), what) }
}

/// What steps that are alike come to, in one line.
fn line(steps: &[&PlanStep], spec: &InstrumentSpec) -> Phrase {
    let Some(first) = steps.first() else { return say::nothing_left() };
    let verdict = || plan::verdict(first);
    match &first.verdict {
        StepVerdict::Adjust(_) => {
            // Each string has its own way and its own amount.
            let each = steps.iter().filter_map(|step| {
                let what = plan::way_travel(step.verdict.adjust()?, Numbers::of(step));
                Some(match place(step, spec).filter(|_| steps.len() > 1) {
                    Some(place) => say::of_strings(List::comma([place]), what),
                    None => what,
                })
            });
            List::semicolon(each).into()
        }
        StepVerdict::MeasureAgain { intervention, .. } => {
            say::since_done(verdict(), plan::done(*intervention))
        }
        StepVerdict::Wait { after, .. } => {
            let forecasts = steps.iter().filter_map(|step| match &step.verdict {
                StepVerdict::Wait { forecast, .. } => forecast.map(|expect| {
                    let expect = Numbers::of(step).side(expect);
                    // Each string has its own forecast.
                    match place(step, spec).filter(|_| steps.len() > 1) {
                        Some(place) => say::of_strings(List::comma([place]), expect),
                        None => expect,
                    }
                }),
                _ => None,
            });
            let forecasts: Vec<Phrase> = forecasts.collect();
            let after = plan::kind(*after);
            if forecasts.is_empty() {
                say::after(after)
            } else {
                say::after_with_forecast(after, List::comma(forecasts))
            }
        }
        StepVerdict::Disagree { readings } => {
            say::disagree_short(List::and(readings.iter().map(plan::observation)))
        }
        StepVerdict::TwoValues { values } => {
            let values = values.iter().map(|one| names::amount(one.wanted));
            say::choose_target_short(List::or(values))
        }
        StepVerdict::NotApplicable { why } => plan::why_not(*why),
        StepVerdict::Stop { why } => say::stop_short(plan::stop(*why)),
        StepVerdict::CouldNot { tried } => say::could_not_short(plan::reason(tried)),
        StepVerdict::Fine
        | StepVerdict::Same
        | StepVerdict::NoCloser
        | StepVerdict::Measure
        | StepVerdict::ReadAgain { .. }
        | StepVerdict::LookAtScrew { .. }
        | StepVerdict::MeasureWithAnother
        | StepVerdict::MeasureFiner => verdict(),
    }
}

fn next(plan: &Plan, now: &[&PlanStep], spec: &InstrumentSpec) -> Option<NextText> {
    let first = now.first()?;
    let adjusts: Vec<(&PlanStep, &StepWork)> =
        now.iter().filter_map(|step| Some((*step, step.verdict.adjust()?))).collect();
    let many = adjusts.len() > 1;
    let mut text = NextText {
        heading: say::next(plan::kind(first.kind)),
        turns: many.then(|| turns(&adjusts, spec)),
        todo: Vec::new(),
        because: Vec::new(),
        then: Vec::new(),
        cautions: Vec::new(),
    };
    // What several steps say alike is said once, of all their strings.
    let mut said: Vec<(Phrase, Vec<Phrase>)> = Vec::new();
    for step in now {
        let full = plan::step(step, spec);
        let place = place(step, spec);
        let mut tell = |phrase: Phrase| match said.iter_mut().find(|(one, _)| *one == phrase) {
            Some((_, places)) => places.extend(place.clone()),
            None => said.push((phrase, place.clone().into_iter().collect())),
        };
        full.mind.into_iter().for_each(&mut tell);
        if !many {
            full.todo.into_iter().for_each(&mut tell);
            if step.verdict.adjust().is_some() || !full.then.is_empty() {
                text.then.extend(full.then);
            }
            if step.verdict.adjust().is_some()
                || matches!(
                    step.verdict,
                    StepVerdict::Disagree { .. }
                        | StepVerdict::TwoValues { .. }
                        | StepVerdict::ReadAgain { .. }
                        | StepVerdict::LookAtScrew { .. }
                )
            {
                text.because.extend(full.read);
            }
        } else if text.then.is_empty() {
            // What is to be measured again is the same for each.
            text.then.extend(full.then.into_iter().next_back());
        }
        let about = |phrase: Phrase| match place.clone().filter(|_| now.len() > 1) {
            Some(place) => say::of_strings(List::comma([place]), phrase),
            None => phrase,
        };
        text.because.extend(full.remarks.into_iter().map(about));
        for caution in full.cautions {
            if !text.cautions.contains(&caution) {
                text.cautions.push(caution);
            }
        }
    }
    text.todo =
        said.into_iter()
            .map(|(phrase, places)| {
                if places.is_empty() {
                    phrase
                } else {
                    say::of_strings(List::comma(places), phrase)
                }
            })
            .collect();
    if first.kind == StepKind::Relief && first.verdict.adjust().is_some() {
        text.because.extend(plan::rod_shown(plan));
    }
    Some(text)
}

fn turns(adjusts: &[(&PlanStep, &StepWork)], spec: &InstrumentSpec) -> (Phrase, Vec<TurnRow>) {
    let mut ways: Vec<Phrase> = Vec::new();
    let mut rows = Vec::new();
    for (step, work) in adjusts {
        let way = plan::way(work.way);
        let turns: Vec<Phrase> = work.moves.iter().map(|one| plan::turn(one.turn)).collect();
        rows.push(TurnRow {
            place: place(step, spec),
            read: step
                .seen
                .as_ref()
                .map(|seen| names::reading(seen.reading).of(seen.measurand.quantity)),
            target: step
                .target
                .as_ref()
                .zip(step.measurand)
                .map(|(target, of)| names::amount(target.wanted).of(of.quantity)),
            turn: if turns.is_empty() {
                plan::way_travel(work, Numbers::of(step))
            } else {
                List::semicolon(turns).into()
            },
            then: work.expect.map(|expect| Numbers::of(step).side(expect)),
        });
        if !ways.contains(&way) {
            ways.push(way);
        }
    }
    let alike = adjusts.iter().flat_map(|(_, work)| &work.moves).find_map(plan::alike);
    let ways = List::or(ways);
    let heading = match alike {
        Some(alike) => say::turn_each_alike(ways, alike),
        None => say::turn_each(ways),
    };
    (heading, rows)
}

fn on_target(others: &[&PlanStep], spec: &InstrumentSpec) -> Option<Phrase> {
    let fine: Vec<&PlanStep> = others
        .iter()
        .copied()
        .filter(|s| matches!(s.verdict, StepVerdict::Fine | StepVerdict::Same))
        .collect();
    let to_and_fro = |step: &PlanStep| {
        step.remarks.iter().any(|remark| matches!(remark, StepRemark::ToAndFro { .. }))
    };
    let parts: Vec<Phrase> = fine
        .chunk_by(|a, b| is_alike(a, b) && to_and_fro(a) == to_and_fro(b))
        .filter_map(|group| {
            let first = group.first()?;
            let (kind, places) = (plan::kind(first.kind), places(group, spec));
            let what = if places.is_empty() {
                kind
            } else {
                say::kind_of_strings(kind, List::comma(places))
            };
            Some(match first.verdict {
                _ if to_and_fro(first) => say::fine_to_and_fro(what),
                StepVerdict::Same => say::fine_within(what),
                _ => what,
            })
        })
        .collect();
    (!parts.is_empty()).then(|| say::fine(List::semicolon(parts)))
}

fn drift_text(drift: &SetupDrift, spec: &InstrumentSpec) -> Option<DriftText> {
    let tells = drift.relief.tells() || drift.parts.iter().any(|part| part.change.tells());
    if !tells && matches!(drift.points_at, PointsAt::NothingLeft) {
        return None;
    }
    let title = if drift.was_there { say::since_head() } else { say::off_head() };
    let head = [title, say::since_total(), say::since_explained(), say::since_unexplained()];
    let relief = Numbers::of_reading(None, drift.relief_way).of_estimate(drift.relief).signed();
    let relief = [
        Some(plan::measurand_kind(MeasurandKind::Relief)),
        Some(names::computed(relief)),
        None,
        None,
    ];
    let parts = drift.parts.iter().map(|part| {
        let signed = |known| Some(names::computed(part_number(part).of_estimate(known).signed()));
        [
            Some(plan::short_measurand(part.measurand, spec)),
            signed(part.change),
            signed(part.explained),
            if part.tells { signed(part.remainder) } else { Some(say::since_within_error()) },
        ]
    });
    Some(DriftText {
        head,
        rows: std::iter::once(relief).chain(parts).collect(),
        points_at: points_at(drift, spec),
        cautions: drift.cautions.iter().map(|one: &Hazard| cautions::text(*one)).collect(),
    })
}

fn part_number(part: &DriftPart) -> Numbers {
    Numbers::of_reading(part.seen.as_ref(), part.measurand.quantity)
}

/// Where the unexplained part points.
fn points_at(drift: &SetupDrift, spec: &InstrumentSpec) -> Option<Phrase> {
    match &drift.points_at {
        PointsAt::NothingLeft => {
            let changed: Vec<&DriftPart> =
                drift.parts.iter().filter(|part| part.change.tells()).collect();
            // Within reading error of it is not yet explained by it: at least half must be.
            let explained = changed
                .iter()
                .all(|part| 2.0 * part.remainder.value.abs() <= part.change.value.abs());
            match (changed.is_empty(), explained && drift.relief.tells()) {
                (true, _) => None,
                (false, true) => Some(rod_explains(&changed, say::since_rod_explains)),
                // What the relief does not explain the readings cannot tell from nothing.
                (false, false) if drift.relief.tells() => {
                    Some(rod_explains(&changed, say::since_rod_explains_part))
                }
                (false, false) => Some(say::since_unclear()),
            }
        }
        PointsAt::Common => Some(say::since_common()),
        PointsAt::OneString(place) => {
            let string = names::string(spec, *place);
            let (own, others): (Vec<&DriftPart>, Vec<&DriftPart>) = drift
                .parts
                .iter()
                .filter(|part| part.tells)
                .partition(|part| part.measurand.place() == Some(*place));
            let once = own.iter().any(|part| part.once);
            Some(match (others.is_empty(), once) {
                (true, true) => say::since_one_string_once(string),
                (true, false) => say::since_one_string(string),
                (false, true) => say::since_apart_once(string),
                (false, false) => say::since_apart(string),
            })
        }
        PointsAt::CannotBeTold => Some(say::since_unclear()),
    }
}

/// How much of the changes of action the relief explains, on the mean of the strings that changed.
fn rod_explains(changed: &[&DriftPart], say: fn(Computed, Computed, Computed) -> Phrase) -> Phrase {
    let mean = |of: fn(&DriftPart) -> f64| {
        let sum: f64 = changed.iter().map(|part| of(part)).sum();
        Computed::mm(sum / changed.len().max(1) as f64).of(crate::LengthOf::Action).signed()
    };
    say(
        mean(|part| part.explained.value),
        mean(|part| part.change.value),
        mean(|part| part.remainder.value),
    )
}

/// What changed since the setup, a sentence each; empty if nothing did beyond reading error.
pub fn drift_sentences(drift: &SetupDrift, spec: &InstrumentSpec) -> Vec<Phrase> {
    let mut said = Vec::new();
    if drift.relief.tells() {
        let by = Numbers::of_reading(None, drift.relief_way).of_estimate(drift.relief).signed();
        let relief = names::quantity(drift.relief_way);
        said.push(if drift.was_there {
            say::since_relief(relief, by)
        } else {
            say::off_relief(relief, by)
        });
    }
    for part in drift.parts.iter().filter(|part| part.change.tells() || part.tells) {
        let number = |known| part_number(part).of_estimate(known).signed();
        let (of, by) = (plan::measurand(part.measurand, spec), number(part.change));
        let (explained, left) = (number(part.explained), number(part.remainder));
        said.push(match (drift.was_there, part.tells) {
            (true, true) => say::since_part(of, by, explained, left),
            (true, false) => say::since_part_within(of, by, explained),
            (false, true) => say::off_part(of, by, explained, left),
            (false, false) => say::off_part_within(of, by, explained),
        });
    }
    if !said.is_empty() {
        said.extend(points_at(drift, spec));
        said.extend(drift.cautions.iter().map(|one| cautions::text(*one)));
    }
    said
}
