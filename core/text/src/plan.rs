//! The plan: each step, and all of them for one page.

use fallaway_advice::compare::{AgainstTarget, RestsOn};
use fallaway_advice::hazard::Hazard;
use fallaway_advice::learn::CLAW_MM;
use fallaway_advice::observe::{
    Bound, COVERAGE, Estimate, EstimateUnit, InterventionKind, Measurand, MeasurandKind, NotDone,
    Observation, TurnedScrew, Wanted,
};
use fallaway_advice::plan::Plan;
use fallaway_advice::plan::{
    PartWay, PlanStep, RowOfUndersides, ScrewMove, SizeFrom, StepKind, StepRemark, StepVerdict,
    StepWork, StopReason, WhyLook, WhyNot,
};
use fallaway_advice::turns::{HandTurn, TurnDirection};
use fallaway_measure::{Quantity, Reading, Side, StringPlace, Tool, Unit};
use fallaway_mechanics::learn::rod::PRIOR_MEDIAN_MM;
use fallaway_mechanics::strings::guards::{DEFAULT_LIMIT_GPA, SHARE_OF_STRENGTH};
use fallaway_record::InstrumentSpec;

use crate::messages::plan as say;
use crate::{Computed, List, Phrase, cautions, names};

/// A step in words.
#[derive(Debug, Clone, PartialEq)]
pub struct StepText {
    /// What the step is: "action, string 4 (E), fretted at 1".
    pub title: Phrase,
    /// What it comes to, in a few words: "on target", "measure again".
    pub verdict: Phrase,
    /// The reading and the target.
    pub read: Vec<Phrase>,
    /// What else the verdict rests on.
    pub because: Vec<Phrase>,
    /// What to do.
    pub todo: Vec<Phrase>,
    /// What to mind while doing it.
    pub mind: Vec<Phrase>,
    /// What to expect from it, and what to measure again.
    pub then: Vec<Phrase>,
    /// What else to know.
    pub remarks: Vec<Phrase>,
    /// What can harm.
    pub cautions: Vec<Phrase>,
}

impl StepText {
    /// Everything but title, verdict and cautions, a sentence each.
    pub fn sentences(&self) -> impl Iterator<Item = &Phrase> {
        let said = [&self.read, &self.because, &self.todo, &self.mind, &self.then, &self.remarks];
        said.into_iter().flatten()
    }
}

/// A step in words.
pub fn step(step: &PlanStep, spec: &InstrumentSpec) -> StepText {
    let remarks = |which: &dyn Fn(&StepRemark) -> bool| -> Vec<Phrase> {
        let these = step.remarks.iter().filter(|one| which(one));
        these.map(|one| remark(one, step, spec)).collect()
    };
    let mut text = StepText {
        title: title(step, spec),
        verdict: match step.verdict {
            StepVerdict::Measure | StepVerdict::MeasureAgain { .. }
                if step.kind == StepKind::Tune =>
            {
                tune_to(spec)
            }
            _ => verdict(step),
        },
        read: Vec::new(),
        because: Vec::new(),
        todo: Vec::new(),
        mind: remarks(&|one| minds(one)),
        then: Vec::new(),
        remarks: remarks(&|one| !minds(one)),
        cautions: cautions_of(step).map(cautions::text).collect(),
    };
    text.read.extend(step.seen.as_ref().map(|seen| read(seen, step.measurand, spec)));
    let target_of = |wanted: &Wanted| match step.measurand {
        Some(of) => target(wanted).of(of.quantity),
        None => target(wanted),
    };
    text.read.extend(step.target.as_ref().map(target_of));
    rests_on(&mut text.because, step);
    let number = Numbers::of(step);
    match &step.verdict {
        StepVerdict::Adjust(work) => adjust(&mut text, step, work, (number, spec)),
        StepVerdict::Measure => text.todo.push(match step.kind {
            StepKind::Targets => say::todo_targets(),
            StepKind::Tune => say::todo_not_tuned(),
            StepKind::AsLeft => say::todo_as_left(),
            StepKind::Relief
            | StepKind::FallAway
            | StepKind::BridgeHeight
            | StepKind::BridgeTilt
            | StepKind::Nut
            | StepKind::Spacing
            | StepKind::Action
            | StepKind::Radius
            | StepKind::Pickup
            | StepKind::Intonation => say::todo_measure(),
        }),
        StepVerdict::MeasureAgain { intervention, .. } => text.todo.push(match step.kind {
            StepKind::Tune => say::todo_tune_since(done(*intervention)),
            StepKind::Relief
            | StepKind::FallAway
            | StepKind::BridgeHeight
            | StepKind::BridgeTilt
            | StepKind::Nut
            | StepKind::Spacing
            | StepKind::Action
            | StepKind::Radius
            | StepKind::Pickup
            | StepKind::Intonation
            | StepKind::Targets
            | StepKind::AsLeft => say::todo_measure_again(done(*intervention)),
        }),
        StepVerdict::MeasureWithAnother => text.todo.push(say::todo_with_another()),
        StepVerdict::MeasureFiner if lies_on_the_frets(step) => {
            text.todo.push(say::todo_straight_edge());
        }
        StepVerdict::MeasureFiner => text.todo.push(say::todo_finer()),
        StepVerdict::Disagree { readings } => {
            text.read = readings.iter().map(|one| read(one, step.measurand, spec)).collect();
            text.todo.push(say::todo_third());
        }
        StepVerdict::ReadAgain { forecast } => {
            text.todo.push(say::todo_read_again(number.about(*forecast)));
        }
        StepVerdict::LookAtScrew { screw, why } => text.todo.push(look(screw, *why, spec)),
        StepVerdict::TwoValues { values } => {
            text.read.extend(values.iter().map(target_of));
            text.todo.push(say::todo_choose_target());
        }
        StepVerdict::Wait { after, forecast, .. } => {
            text.todo.push(say::todo_after(kind(*after)));
            text.then.extend(forecast.map(|expect| {
                let (low, high) = number.ends(expect);
                let about = number.about(expect);
                match expect.bound {
                    Bound::Value => say::forecast(about, low, high),
                    Bound::AtMost | Bound::AtLeast => say::forecast_side(about),
                }
            }));
        }
        StepVerdict::NotApplicable { why } => text.because.push(why_not(*why)),
        StepVerdict::Stop { why } => text.todo.push(stop(*why)),
        StepVerdict::CouldNot { tried } => {
            text.todo.push(say::todo_could_not(reason(tried), who_tried(tried)));
        }
        StepVerdict::NoCloser => text.todo.push(say::todo_no_closer()),
        StepVerdict::Fine | StepVerdict::Same => {}
    }
    text
}

/// What kind of step it is, as it stands in a sentence: "relief".
pub fn kind(kind: StepKind) -> Phrase {
    match kind {
        StepKind::Targets => say::step_targets(),
        StepKind::Tune => say::step_tune(),
        StepKind::Relief => say::step_relief(),
        StepKind::FallAway => say::step_fall_away(),
        StepKind::BridgeHeight => say::step_bridge_height(),
        StepKind::BridgeTilt => say::step_bridge_tilt(),
        StepKind::Nut => say::step_nut(),
        StepKind::Spacing => say::step_spacing(),
        StepKind::Action => say::step_action(),
        StepKind::Radius => say::step_radius(),
        StepKind::Pickup => say::step_pickup(),
        StepKind::Intonation => say::step_intonation(),
        StepKind::AsLeft => say::step_as_left(),
    }
}

fn title(step: &PlanStep, spec: &InstrumentSpec) -> Phrase {
    match step.measurand {
        Some(of) => measurand(of, spec),
        None => kind(step.kind),
    }
}

/// What is measured, and where: "string 4 (E): action at fret 24, fretted at 1".
pub fn measurand(of: Measurand, spec: &InstrumentSpec) -> Phrase {
    let quantity = names::quantity(of.quantity);
    match names::location(spec, of.location) {
        Some(place) => say::of_place(place, quantity),
        None => quantity,
    }
}

/// The same in short: "action 4 (E)".
pub(crate) fn short_measurand(of: Measurand, spec: &InstrumentSpec) -> Phrase {
    let kind = match of.kind() {
        Some(kind) => measurand_kind(kind),
        None => names::quantity(of.quantity),
    };
    match names::location_label(spec, of.location) {
        Some(place) => say::kind_of_strings(kind, List::comma([place])),
        None => kind,
    }
}

/// What is to be measured again, each kind once, in the order of the work.
pub fn to_measure(kinds: &[MeasurandKind]) -> List {
    let mut phrases: Vec<Phrase> = Vec::new();
    for phrase in kinds.iter().map(|kind| measurand_kind(*kind)) {
        if !phrases.contains(&phrase) {
            phrases.push(phrase);
        }
    }
    List::comma(phrases)
}

/// The kind of a measurand in a word: "nut".
pub(crate) fn measurand_kind(kind: MeasurandKind) -> Phrase {
    match kind {
        MeasurandKind::Pitch => say::again_pitch(),
        MeasurandKind::Relief => say::again_relief(),
        MeasurandKind::FallAway => say::again_fall_away(),
        MeasurandKind::NutOpen | MeasurandKind::NutHeld => say::again_nut(),
        MeasurandKind::ActionOpen | MeasurandKind::ActionStopped => say::again_action(),
        MeasurandKind::PickupGap => say::again_pickup(),
        MeasurandKind::IntonationNearNut | MeasurandKind::Intonation => say::again_intonation(),
        MeasurandKind::SpacingBridge => say::again_spacing_bridge(),
        MeasurandKind::SpacingNut => say::again_spacing_nut(),
        MeasurandKind::BridgeHeight => say::again_bridge_height(),
        MeasurandKind::BridgeTail => say::again_bridge_tail(),
    }
}

/// What was done: "truss rod turned".
pub fn done(kind: InterventionKind) -> Phrase {
    match kind {
        InterventionKind::Strings => say::done_strings(),
        InterventionKind::Tuning => say::done_tuning(),
        InterventionKind::Rod => say::done_rod(),
        InterventionKind::Season => say::done_season(),
        InterventionKind::Nut => say::done_nut(),
        InterventionKind::SaddleSideways => say::done_saddle_sideways(),
        InterventionKind::SaddleHeight => say::done_saddle_height(),
        InterventionKind::SaddleForeAft => say::done_saddle_position(),
        InterventionKind::Spring => say::done_springs(),
        InterventionKind::Frets => say::done_frets(),
        InterventionKind::Neck => say::done_neck(),
        InterventionKind::Bridge => say::done_bridge(),
        InterventionKind::Pickup => say::done_pickup(),
        InterventionKind::Unknown => say::done_unknown(),
    }
}

/// The same with its strings; none of them where strings do not matter.
pub(crate) fn done_to(
    kind: InterventionKind,
    places: &[StringPlace],
    spec: &InstrumentSpec,
) -> Phrase {
    if places.is_empty() {
        done(kind)
    } else {
        say::done_on(done(kind), names::strings(spec, places))
    }
}

/// Whether a string shows nothing of the relief any more.
fn lies_on_the_frets(step: &PlanStep) -> bool {
    step.kind == StepKind::Relief && step.seen.as_ref().is_some_and(|seen| seen.known.value <= 0.0)
}

/// What a step comes to, in a few words.
pub fn verdict(step: &PlanStep) -> Phrase {
    let of = step.kind;
    match &step.verdict {
        StepVerdict::Fine => say::on_target(),
        StepVerdict::Same => say::within_reading_error(),
        StepVerdict::NoCloser if step.compared.is_some_and(|c| c.off().value < 0.0) => {
            say::below_no_closer()
        }
        StepVerdict::NoCloser => say::above_no_closer(),
        StepVerdict::Adjust(work) => way(work.way),
        StepVerdict::Measure => match of {
            StepKind::Targets => say::set_targets(),
            StepKind::Tune => say::tune(),
            StepKind::AsLeft => say::play_every_note(),
            StepKind::Relief
            | StepKind::FallAway
            | StepKind::BridgeHeight
            | StepKind::BridgeTilt
            | StepKind::Nut
            | StepKind::Spacing
            | StepKind::Action
            | StepKind::Radius
            | StepKind::Pickup
            | StepKind::Intonation => say::measure(),
        },
        StepVerdict::MeasureAgain { .. } if of == StepKind::Tune => say::tune(),
        StepVerdict::MeasureAgain { .. } => say::measure_again(),
        StepVerdict::MeasureWithAnother => say::measure_with_another(),
        StepVerdict::MeasureFiner if lies_on_the_frets(step) => say::measure_straight_edge(),
        StepVerdict::MeasureFiner => say::measure_finer(),
        StepVerdict::Disagree { .. } => say::disagree(),
        StepVerdict::ReadAgain { .. } => say::read_again(),
        StepVerdict::LookAtScrew { .. } => say::look_at_screw(),
        StepVerdict::TwoValues { .. } => say::two_targets(),
        StepVerdict::Wait { after, .. } => say::after(kind(*after)),
        StepVerdict::NotApplicable { .. } => say::not_applicable(),
        StepVerdict::Stop { .. } => say::stop(),
        StepVerdict::CouldNot { .. } => say::could_not(),
    }
}

/// To what to tune: the notes, where all of them are known.
fn tune_to(spec: &InstrumentSpec) -> Phrase {
    let note = |place: StringPlace| {
        spec.tuning.get(&place).map(|note| say::tune_note(place, names::note(*note)))
    };
    match spec.places().into_iter().map(note).collect::<Option<Vec<Phrase>>>() {
        Some(notes) if !notes.is_empty() => say::tune_to(List::space(notes)),
        _ => say::tune(),
    }
}

/// Which way a part goes: "raise the saddle".
pub fn way(way: PartWay) -> Phrase {
    match way {
        PartWay::TuneUp => say::tune_up(),
        PartWay::TuneDown => say::tune_down(),
        PartWay::MoreRelief => say::more_relief(),
        PartWay::LessRelief => say::less_relief(),
        PartWay::Raise => say::raise(),
        PartWay::Lower => say::lower(),
        PartWay::BridgeUp => say::bridge_up(),
        PartWay::BridgeDown => say::bridge_down(),
        PartWay::TailUp => say::tail_up(),
        PartWay::TailDown => say::tail_down(),
        PartWay::PickupUp => say::pickup_up(),
        PartWay::PickupDown => say::pickup_down(),
        PartWay::Lengthen => say::back(),
        PartWay::Shorten => say::forward(),
        PartWay::Apart => say::apart(),
        PartWay::Together => say::together(),
        PartWay::CutSlot => say::cut_slot(),
        PartWay::FillSlot => say::fill_slot(),
        PartWay::TakeOff => say::take_off(),
        PartWay::Shim => say::shim(),
    }
}

fn way_by(way: PartWay, by: Computed) -> Phrase {
    match way {
        PartWay::TuneUp => say::tune_up_by(by),
        PartWay::TuneDown => say::tune_down_by(by),
        PartWay::MoreRelief => say::more_relief_by(by),
        PartWay::LessRelief => say::less_relief_by(by),
        PartWay::Raise => say::raise_by(by),
        PartWay::Lower => say::lower_by(by),
        PartWay::BridgeUp => say::bridge_up_by(by),
        PartWay::BridgeDown => say::bridge_down_by(by),
        PartWay::TailUp => say::tail_up_by(by),
        PartWay::TailDown => say::tail_down_by(by),
        PartWay::PickupUp => say::pickup_up_by(by),
        PartWay::PickupDown => say::pickup_down_by(by),
        PartWay::Lengthen => say::back_by(by),
        PartWay::Shorten => say::forward_by(by),
        PartWay::Apart => say::apart_by(by),
        PartWay::Together => say::together_by(by),
        PartWay::CutSlot => say::cut_slot_by(by),
        PartWay::FillSlot => say::fill_slot_by(by),
        PartWay::TakeOff => say::take_off_by(by),
        PartWay::Shim => say::shim_by(by),
    }
}

/// Which way a part goes and how far, if that is known.
pub(crate) fn way_travel(work: &StepWork, number: Numbers) -> Phrase {
    match work.travel {
        Some(travel) => way_by(work.way, number.of_estimate(travel)),
        None => way(work.way),
    }
}

/// The cautions that are said. Beside a test of an eighth, which says so itself, nothing is said of the way that
/// is not known and of a quarter.
fn cautions_of(step: &PlanStep) -> impl Iterator<Item = Hazard> {
    let is_trial = step.verdict.adjust().is_some_and(is_trial);
    let said = move |one: &Hazard| !matches!(one, Hazard::RodTry | Hazard::RodQuarter) || !is_trial;
    step.cautions.iter().copied().filter(said)
}

/// Whether it is a turn that shows which way a screw works.
pub(crate) fn is_trial(work: &StepWork) -> bool {
    work.moves.iter().any(|one| one.turn.is_trial)
}

fn adjust(
    text: &mut StepText,
    step: &PlanStep,
    work: &StepWork,
    (number, spec): (Numbers, &InstrumentSpec),
) {
    if !work.explains.is_empty() {
        let strings = work.explains.iter().map(|place| names::string_label(spec, *place));
        text.because.push(say::explains(List::comma(strings)));
    }
    let is_trial = is_trial(work);
    let way = way_travel(work, number);
    let total = |way| match work.travel {
        // Up to the next reading, not in all.
        Some(_) if work.way.takes_away() => say::by_this_reading(way),
        Some(_) => say::total(way),
        None => say::sentence(way),
    };
    if work.moves.is_empty() {
        text.todo.push(total(way));
    } else if is_trial {
        text.todo.push(total(way));
        text.todo.extend(work.moves.iter().map(|one| match one.screw {
            TurnedScrew::Rod if one.turn.direction == Some(TurnDirection::Anticlockwise) => {
                say::trial_rod(turn(one.turn))
            }
            _ => say::trial(screw(&one.screw, spec), turn(one.turn)),
        }));
    } else {
        let turns = work.moves.iter().map(|one| screw_move(one, spec));
        text.todo.push(say::turn_screws(way, List::semicolon(turns)));
    }
    let mut sizes: Vec<Phrase> = Vec::new();
    for size in work.moves.iter().filter_map(|one| size_from(one, is_trial)) {
        if !sizes.contains(&size) {
            sizes.push(size);
        }
    }
    text.because.extend(sizes);
    text.mind.extend(lifts(work, number, spec));
    if let Some(expect) = work.expect {
        let about = number.about(expect);
        let worth_saying = if expect.scale == EstimateUnit::Millimetre { 0.05 } else { 1.0 };
        text.then.push(match work.left_over {
            Some(left) if left.abs() > worth_saying => {
                let left = Estimate { value: left.abs(), bound: Bound::Value, ..expect };
                say::will_read_left(about, number.of_estimate(left))
            }
            _ => say::will_read(about),
        });
    }
    let own = step.measurand.and_then(Measurand::kind).filter(|_| is_trial);
    if let Some(own) = own {
        // Everything else is read when the way is known.
        text.then.push(say::then_read(measurand_kind(own)));
    } else if !work.again.is_empty() {
        text.then.push(say::then_measure(to_measure(&work.again)));
    }
}

/// That a shim lifts the whole saddle, and what its other strings will then read.
fn lifts(work: &StepWork, number: Numbers, spec: &InstrumentSpec) -> Option<Phrase> {
    (work.way == PartWay::Shim).then(|| {
        let others = work.lifts.iter().map(|(place, then)| {
            let string = List::comma([names::string_label(spec, *place)]);
            say::of_strings(string, number.side(*then))
        });
        let others: Vec<Phrase> = others.collect();
        if others.is_empty() { say::shim_lifts() } else { say::shim_lifts_to(List::comma(others)) }
    })
}

/// A screw and its turn: "truss rod 1/8 turn clockwise".
pub fn screw_move(one: &ScrewMove, spec: &InstrumentSpec) -> Phrase {
    let (screw, turn) = (screw(&one.screw, spec), turn(one.turn));
    match one.count {
        0 | 1 => say::turn(screw, turn),
        2 => say::turn_both(screw, turn),
        _ => say::turn_all(screw, turn),
    }
}

/// How the screws of one saddle are turned, if it has several.
pub fn alike(one: &ScrewMove) -> Option<Phrase> {
    match one.count {
        0 | 1 => None,
        _ if one.screw == TurnedScrew::SpringClaw => Some(say::both_claw_screws()),
        2 => Some(say::both_screws()),
        _ => Some(say::all_screws()),
    }
}

/// A turn to make: "1 1/8 turns clockwise".
pub fn turn(turn: HandTurn) -> Phrase {
    let sign = turn.direction.map_or(0, |direction| match direction {
        TurnDirection::Clockwise => 1,
        TurnDirection::Anticlockwise => -1,
    });
    match (turn.eighths, sign) {
        (0, sign) => names::under_an_eighth(sign),
        (eighths, 0) => names::eighths_either_way(eighths.into()),
        (eighths, sign) => names::eighths(sign * i32::from(eighths)),
    }
}

/// Which way to turn, as seen from the tool: "clockwise".
pub fn direction(direction: TurnDirection) -> Phrase {
    match direction {
        TurnDirection::Clockwise => say::clockwise(),
        TurnDirection::Anticlockwise => say::anticlockwise(),
    }
}

/// A screw by its name.
pub fn screw(screw: &TurnedScrew, spec: &InstrumentSpec) -> Phrase {
    match screw {
        TurnedScrew::Rod => say::screw_rod(),
        TurnedScrew::SaddleHeight(places) => match places.as_slice() {
            [place] => say::screw_saddle(names::string_label(spec, *place)),
            places => say::screw_shared_saddle(names::strings(spec, places)),
        },
        TurnedScrew::BridgePost(Side::Bass) => say::screw_post_bass(),
        TurnedScrew::BridgePost(Side::Treble) => say::screw_post_treble(),
        TurnedScrew::SpringClaw => say::screw_spring_claw(),
        TurnedScrew::SaddlePosition(place) => {
            say::screw_intonation(names::string_label(spec, *place))
        }
        TurnedScrew::Pickup { pickup, side: None } => say::screw_pickup(*pickup),
        TurnedScrew::Pickup { pickup, side: Some(Side::Bass) } => say::screw_pickup_bass(*pickup),
        TurnedScrew::Pickup { pickup, side: Some(Side::Treble) } => {
            say::screw_pickup_treble(*pickup)
        }
    }
}

fn size_from(one: &ScrewMove, is_trial: bool) -> Option<Phrase> {
    match one.size_from {
        SizeFrom::Thread { pitch_mm } => Some(say::size_thread(Computed::mm(pitch_mm))),
        SizeFrom::Learned { observations } => Some(say::size_learned(observations)),
        SizeFrom::Usual | SizeFrom::Unknown if is_trial => None,
        SizeFrom::Usual if one.screw == TurnedScrew::SpringClaw => {
            Some(say::size_usual_claw(Computed::mm(CLAW_MM).places(1)))
        }
        SizeFrom::Usual => Some(say::size_usual(Computed::mm(PRIOR_MEDIAN_MM / 4.0))),
        SizeFrom::Unknown => Some(say::size_unknown()),
    }
}

/// What the rod has shown on this instrument, if it has.
pub(crate) fn rod_shown(plan: &Plan) -> Option<Phrase> {
    let way = plan.rod.lessens?;
    // A turn that showed nothing is not seen.
    let shown = plan.rod.pairs.iter().enumerate();
    let count = shown.filter(|(at, p)| p.change.tells() && !plan.rod.outvoted.contains(at)).count();
    let quarter = Computed::mm(plan.rod.mm_per_turn / 4.0).of(crate::LengthOf::Relief);
    (count > 0).then(|| say::rod_shown(count, direction(way), quarter))
}

fn rests_on(because: &mut Vec<Phrase>, step: &PlanStep) {
    let Some(compared) = &step.compared else { return };
    let number = Numbers::of(step);
    match compared.rests_on {
        RestsOn::Reading => {}
        RestsOn::Converted => because.push(say::converted(number.give_or_take(compared.read))),
        RestsOn::ElsewhereOnInstrument => because.push(say::elsewhere()),
    }
    if !matches!(step.verdict, StepVerdict::Fine) {
        because.push(off(compared.off(), number, is_as_read(step, compared)));
    }
    because.extend(step.seen.as_ref().and_then(repeats));
}

/// Whether what a step goes by is the reading itself, not what all that was read and turned makes likely.
fn is_as_read(step: &PlanStep, compared: &AgainstTarget) -> bool {
    let alike = |seen: &Observation| (seen.known.value - compared.read.value).abs() < AS_READ;
    compared.rests_on != RestsOn::Reading || step.seen.as_ref().is_none_or(alike)
}

/// What is shown as the same number, in mm or cents.
const AS_READ: f64 = 0.005;

fn off(off: Estimate, number: Numbers, as_read: bool) -> Phrase {
    let by = number.of_estimate(Estimate { value: off.value.abs(), ..off });
    let spread = number.spread(off);
    match (off.value > 0.0, off.bound) {
        (true, Bound::Value) if as_read => say::above(by, spread),
        (false, Bound::Value) if as_read => say::below(by, spread),
        (true, Bound::Value) => say::likely_above(by, spread),
        (false, Bound::Value) => say::likely_below(by, spread),
        (true, Bound::AtMost | Bound::AtLeast) => say::above_at_least(by, spread),
        (false, Bound::AtMost | Bound::AtLeast) => say::below_at_least(by, spread),
    }
}

/// Why a step does not apply.
pub fn why_not(why: WhyNot) -> Phrase {
    match why {
        WhyNot::NoTarget => say::no_target(),
        WhyNot::ZeroFret => say::zero_fret(),
        WhyNot::LockingNut => say::locking_nut(),
        WhyNot::NothingAsked => say::nothing_asked(),
        WhyNot::NoRadius => say::no_radius(),
        WhyNot::NoSuchPlace => say::no_such_place(),
        WhyNot::BridgeStands => say::bridge_stands(),
    }
}

/// Why to look at a screw before it is turned again.
fn look(at: &TurnedScrew, why: WhyLook, spec: &InstrumentSpec) -> Phrase {
    let screw = screw(at, spec);
    match why {
        WhyLook::Unseen => say::look_unseen(screw),
        WhyLook::AgainstWritten => say::look_against_written(screw),
        WhyLook::BeyondTravel => say::look_beyond_travel(screw),
    }
}

/// Why to stop, and who can help.
pub fn stop(why: StopReason) -> Phrase {
    match why {
        StopReason::RodWrongWay => say::stop_wrong_way(),
        StopReason::RodNoResponse => say::stop_no_response(),
        StopReason::Twisted => say::stop_twisted(),
        StopReason::NoRod => say::stop_no_rod(),
        StopReason::BoardRises => say::stop_board_rises(),
        StopReason::BoardEnd => say::stop_board_end(),
        StopReason::Stress => say::stop_stress(
            Computed::plain(100.0 * SHARE_OF_STRENGTH, 0),
            Computed::plain(DEFAULT_LIMIT_GPA, 1),
        ),
    }
}

/// Whether a remark is for the hand that does the step, not for whoever asks what it rests on.
const fn minds(remark: &StepRemark) -> bool {
    matches!(
        remark,
        StepRemark::RodUnseen { .. }
            | StepRemark::AgainstWritten
            | StepRemark::OnTheFrets
            | StepRemark::ToAndFro { .. }
    )
}

fn remark(remark: &StepRemark, step: &PlanStep, spec: &InstrumentSpec) -> Phrase {
    match remark {
        StepRemark::TuningNotNoted => say::not_tuned_noted(),
        StepRemark::OtherPosture(other) => say::other_posture(observation(other)),
        StepRemark::Outvoted(other) => say::outvoted(observation(other)),
        StepRemark::ConvertedFrom(from) => say::read_as(names::quantity(from.measurand.quantity)),
        StepRemark::SidewaysLifts(lift) => {
            say::sideways_lifts(Numbers::of(step).of_estimate(*lift))
        }
        StepRemark::LastTime(last) => say::last_time(observation(last)),
        StepRemark::OnTheFrets => say::on_the_frets(),
        StepRemark::ToAndFro { turns } => say::to_and_fro(Computed::plain(f64::from(*turns), 0)),
        StepRemark::AgainstWritten => say::against_written(),
        StepRemark::RodUnseen { eighths } => say::rod_unseen(names::eighths(i32::from(*eighths))),
        StepRemark::Explains(part) => {
            let number = |known| {
                Numbers::of_reading(part.seen.as_ref(), part.measurand.quantity)
                    .of_estimate(known)
                    .signed()
            };
            let of = names::location_label(spec, part.measurand.location)
                .unwrap_or_else(|| names::quantity(part.measurand.quantity));
            say::explains_part(
                of,
                number(part.explained),
                number(part.change),
                number(part.remainder),
            )
        }
        StepRemark::Row(row) => undersides(row),
        StepRemark::CouldNotBefore(tried) => say::could_not_before(reason(tried), who_tried(tried)),
    }
}

/// Why something could not be done.
pub(crate) fn reason(tried: &NotDone) -> Phrase {
    Phrase::written(tried.reason.as_str())
}

fn who_tried(tried: &NotDone) -> List {
    let by = tried.by.as_deref().map(Phrase::written);
    List::comma(by.into_iter().chain([names::moment(tried.at)]))
}

/// How the row of string undersides lies to the board.
pub fn undersides(row: &RowOfUndersides) -> Phrase {
    let number = Numbers::default();
    let by = number.of_estimate(Estimate { value: row.middle.value.abs(), ..row.middle });
    let (board, spread) = (Computed::mm(row.board_mm).places(0), number.spread(row.middle));
    let whole = |mm: f64| Computed::mm(mm).places(0);
    // As a range: marks of a rule leave a wide one.
    let radius = row.least_mm.map(|least| match row.most_mm {
        Some(most) => say::radius_between(whole(least), whole(most)),
        None => say::radius_at_least(whole(least)),
    });
    match radius {
        None => say::row_flat(board, by, spread),
        Some(radius) if row.middle.value > 0.0 => say::row(radius, board, by, spread),
        Some(radius) => say::row_lower(radius, board, by, spread),
    }
}

/// A reading as a sentence; what was measured too, where that is not said already.
pub fn read(seen: &Observation, said: Option<Measurand>, spec: &InstrumentSpec) -> Phrase {
    if said == Some(seen.measurand) {
        say::read(observation(seen))
    } else {
        say::read_of(measurand(seen.measurand, spec), observation(seen))
    }
}

/// A reading with its circumstances: "5/64 in (tech, rule 1/64 in, 2026-03-01 10:20)".
pub fn observation(seen: &Observation) -> Phrase {
    let with = [
        seen.by.as_deref().map(Phrase::written),
        seen.tool.map(names::tool),
        seen.posture.map(crate::entries::posture),
        Some(names::moment(seen.at)),
    ];
    let reading = names::reading(seen.reading).of(seen.measurand.quantity);
    say::reading_by(reading, List::comma(with.into_iter().flatten()))
}

/// How the reader of a reading repeats one, if that was learned.
fn repeats(seen: &Observation) -> Option<Phrase> {
    let repeats = seen.repeats?;
    let reader = reader(seen.by.as_deref(), seen.tool.map(Tool::kind));
    let number = Numbers { of: Some(seen.measurand.quantity), tool: seen.tool };
    let spread = number.of_value(seen.known.standard_uncertainty, seen.known.scale);
    Some(say::repeats(reader, spread, repeats.observations))
}

/// Somebody with a tool: "tech with feeler gauge".
pub fn reader(by: Option<&str>, tool: Option<fallaway_measure::ToolKind>) -> Phrase {
    use crate::messages::learned;
    let by = by.map_or_else(learned::reader_unnamed, Phrase::written);
    match tool {
        Some(tool) => learned::reader(by, names::tool_kind(Some(tool))),
        None => by,
    }
}

fn target(wanted: &Wanted) -> Phrase {
    let by = [wanted.by.as_deref().map(Phrase::written), wanted.at.map(names::moment)];
    let by: Vec<Phrase> = by.into_iter().flatten().collect();
    if by.is_empty() {
        say::target(wanted.wanted, wanted.tolerance)
    } else {
        say::target_by(wanted.wanted, wanted.tolerance, List::comma(by))
    }
}

/// The tool of a reading; where it names none, one that reads in the unit in which it was entered.
pub(crate) fn read_with(seen: &Observation) -> Option<Tool> {
    let amount = match seen.reading {
        Reading::Value(amount) | Reading::AtMost(amount) | Reading::AtLeast(amount) => amount,
        Reading::Between { low, .. } => low,
    };
    seen.tool.or(match amount.unit() {
        Unit::Millimetre => Some(Tool::FEELER_MM),
        Unit::Thou => Some(Tool::FEELER_THOU),
        _ => None,
    })
}

/// How the numbers of a step are shown: as what it measures, and as its tool reads.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Numbers {
    of: Option<Quantity>,
    tool: Option<Tool>,
}

impl Numbers {
    pub(crate) fn of(step: &PlanStep) -> Self {
        Self {
            of: step.measurand.map(|of| of.quantity),
            tool: step.seen.as_ref().and_then(read_with),
        }
    }

    pub(crate) fn of_reading(seen: Option<&Observation>, of: Quantity) -> Self {
        Self { of: Some(of), tool: seen.and_then(read_with) }
    }

    pub(crate) fn of_value(self, value: f64, unit: EstimateUnit) -> Computed {
        match (unit, self.of) {
            (EstimateUnit::Millimetre, Some(of)) => Computed::mm(value).of(of).with(self.tool),
            (EstimateUnit::Millimetre, None) => Computed::mm(value).with(self.tool),
            (EstimateUnit::Cent, _) => Computed::cents(value),
        }
    }

    pub(crate) fn of_estimate(self, known: Estimate) -> Computed {
        self.of_value(known.value, known.scale)
    }

    pub(crate) fn spread(self, known: Estimate) -> Computed {
        self.of_value(COVERAGE * known.standard_uncertainty, known.scale)
    }

    /// The number, or the side of it that is known.
    pub(crate) fn side(self, known: Estimate) -> Phrase {
        let number = names::computed(self.of_estimate(known));
        match known.bound {
            Bound::Value => number,
            Bound::AtMost => say::at_most(number),
            Bound::AtLeast => say::at_least(number),
        }
    }

    /// The same, for a sentence: about so much, or at most.
    pub(crate) fn about(self, known: Estimate) -> Phrase {
        let number = self.side(known);
        if known.bound == Bound::Value { say::about(number) } else { number }
    }

    /// The ends of the interval around it.
    pub(crate) fn ends(self, known: Estimate) -> (Computed, Computed) {
        let half = COVERAGE * known.standard_uncertainty;
        let end = |value| self.of_value(value, known.scale);
        (end(known.value - half), end(known.value + half))
    }

    fn give_or_take(self, known: Estimate) -> Phrase {
        say::give_or_take(self.of_estimate(known), self.spread(known))
    }
}
