//! Rules of the plan, one by one, on small records.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test may fail in this way"
)]

use std::borrow::Cow;

use fallaway_advice::compare::PointsAt;
use fallaway_advice::hazard::Hazard;
use fallaway_advice::observe::{
    BridgeKind, Causality, Event, EventKind, Facts, InOrder, Input, Intervention, InterventionKind,
    Measurand, ObservedPass, StringFacts, TargetState, TurnedScrew, Wanted, gap,
};
use fallaway_advice::plan::{
    PartWay, Plan, PlanStep, StepKind, StepRemark, StepVerdict, StopReason, WhyNot,
};
use fallaway_advice::turns::TurnDirection;
use fallaway_advice::{observe, plan};
use fallaway_changes::Writer;
use fallaway_measure::{
    Amount, Dimension, Fret, Location, Quantity, Side, StringPlace, Tool, parse_reading,
};
use fallaway_mechanics::bridge::Bridge;
use fallaway_mechanics::screws::{Screw, Thread};
use fallaway_record::spec::{NutKind, RodKind};
use fallaway_record::{EntryId, InstrumentSpec, Moment, PassReading, Posture};

const NOW: i64 = 1_768_039_200;

fn fret(n: u8) -> Fret {
    Fret::new(n).unwrap()
}

fn place(n: u8) -> StringPlace {
    StringPlace::course(n).unwrap()
}

fn relief() -> Quantity {
    Quantity::Relief { from: fret(1), to: fret(24), at: None }
}

fn action() -> Quantity {
    gap(1, 24).unwrap()
}

fn on(n: u8) -> Location {
    Location::Course(place(n))
}

fn amount(text: &str, dimension: Dimension) -> Amount {
    parse_reading(text, None, dimension).unwrap().low().unwrap()
}

fn target_state(
    quantity: Quantity,
    location: Location,
    wanted: &str,
    tolerance: &str,
) -> TargetState {
    let of = |text| amount(text, quantity.dimension());
    let (wanted, tolerance) = (of(wanted), of(tolerance));
    let goal = Wanted {
        wanted,
        tolerance,
        posture: None,
        by: Some("owner".into()),
        at: None,
        taken: false,
    };
    TargetState {
        measurand: Measurand { quantity, location },
        values: vec![goal],
        contested: false,
    }
}

/// The entry at a position.
fn named(position: usize) -> EntryId {
    EntryId::new(Writer::from_bytes([1; 16]), position as u64 + 1)
}

fn event(what: EventKind<'static>) -> Event<'static> {
    let at = Moment::new(NOW - 600, 0).unwrap();
    Event {
        entry: named(0),
        at,
        by: Some(Cow::Borrowed("tech")),
        visit: None,
        retracted: false,
        what,
    }
}

fn read(quantity: Quantity, tool: &str, at: &[(Location, &str)]) -> Event<'static> {
    let tool: Tool = tool.parse().unwrap();
    let readings = at
        .iter()
        .map(|&(location, text)| PassReading {
            location,
            reading: parse_reading(text, Some(&tool), quantity.dimension()).unwrap(),
        })
        .collect();
    event(EventKind::Pass(ObservedPass {
        quantity,
        tool: Some(tool),
        posture: None,
        says_tuned: true,
        as_left: false,
        readings: Cow::Owned(readings),
    }))
}

fn bass() -> Facts {
    let string = |n| StringFacts {
        place: place(n),
        pitch_hz: None,
        scale_mm: Some(863.6),
        offset_mm: None,
        gauge_mm: None,
        plain: None,
    };
    Facts {
        strings: (1..=4).map(string).collect(),
        last_fret: Some(24),
        joint_fret: Some(17),
        ..Facts::default()
    }
}

fn input<'a>(
    facts: Facts,
    targets: Vec<TargetState>,
    events: Vec<Event<'a>>,
    causality: &'a dyn Causality,
) -> Input<'a> {
    let named = |(index, event)| Event { entry: named(index), ..event };
    let events = events.into_iter().enumerate().map(named).collect();
    Input { facts, targets, events, causality, now_unix_s: NOW }
}

fn made(facts: Facts, targets: Vec<TargetState>, events: Vec<Event<'_>>) -> Plan {
    plan(&input(facts, targets, events, &InOrder))
}

fn step(plan: &Plan, kind: StepKind) -> &PlanStep {
    plan.steps.iter().find(|s| s.kind == kind).unwrap()
}

#[test]
fn two_targets_are_shown_and_none_is_chosen() {
    let mut target_state = target_state(relief(), Location::Whole, "0.20 mm", "0.05 mm");
    let mut other = target_state.values[0].clone();
    other.wanted = amount("0.30 mm", Dimension::Length);
    other.by = Some("player".into());
    target_state.values.push(other);
    target_state.contested = true;
    let events = vec![read(relief(), "feeler 0.01 mm", &[(Location::Whole, "0.60")])];
    let plan = made(bass(), vec![target_state], events);
    let relief = step(&plan, StepKind::Relief);
    assert!(matches!(&relief.verdict, StepVerdict::TwoValues { values } if values.len() == 2));
    // What was read stays in sight.
    assert!(relief.seen.is_some() && relief.target.is_none());
}

/// Entries 0 and 1 were written apart; everything else in order.
struct FirstTwoApart;

impl Causality for FirstTwoApart {
    fn precedes(&self, earlier: usize, later: usize) -> bool {
        earlier < later && later > 1
    }
}

#[test]
fn a_reading_written_apart_from_an_adjustment_counts_as_before_it() {
    let targets = || vec![target_state(relief(), Location::Whole, "0.20 mm", "0.05 mm")];
    let events = || {
        vec![
            event(EventKind::Done(Intervention::rod(Some(0.125)))),
            read(relief(), "feeler 0.01 mm", &[(Location::Whole, "0.20")]),
        ]
    };
    let known = made(bass(), targets(), events());
    assert!(matches!(step(&known, StepKind::Relief).verdict, StepVerdict::Fine));
    let apart = plan(&input(bass(), targets(), events(), &FirstTwoApart));
    let verdict = &step(&apart, StepKind::Relief).verdict;
    let again = StepVerdict::MeasureAgain { intervention: InterventionKind::Rod, entry: named(0) };
    assert_eq!(*verdict, again);
}

#[test]
fn what_is_crossed_out_did_not_happen() {
    let targets = vec![target_state(relief(), Location::Whole, "0.20 mm", "0.05 mm")];
    let mut mistyped = read(relief(), "feeler 0.01 mm", &[(Location::Whole, "2.0")]);
    mistyped.retracted = true;
    let mut never = event(EventKind::Done(Intervention::rod(None)));
    never.retracted = true;
    let right = read(relief(), "feeler 0.01 mm", &[(Location::Whole, "0.22")]);
    let plan = made(bass(), targets, vec![right, mistyped, never]);
    assert!(matches!(step(&plan, StepKind::Relief).verdict, StepVerdict::Fine));
}

#[test]
fn postures_are_not_mixed() {
    let targets = vec![target_state(relief(), Location::Whole, "0.20 mm", "0.05 mm")];
    let lying = |posture, text| {
        let mut e = read(relief(), "feeler 0.01 mm", &[(Location::Whole, text)]);
        if let EventKind::Pass(pass) = &mut e.what {
            pass.posture = Some(posture);
        }
        e
    };
    let events = vec![lying(Posture::Playing, "0.21"), lying(Posture::OnBack, "0.40")];
    let plan = made(bass(), targets, events);
    let relief = step(&plan, StepKind::Relief);
    assert!(matches!(relief.verdict, StepVerdict::Fine));
    assert_eq!(relief.remarks.len(), 1);
}

#[test]
fn without_a_rod_or_with_a_twist_it_is_for_a_repairer() {
    let targets = vec![target_state(relief(), Location::Whole, "0.20 mm", "0.05 mm")];
    let events = vec![read(relief(), "feeler 0.01 mm", &[(Location::Whole, "0.60")])];
    let mut facts = bass();
    facts.rod.kind = Some(RodKind::Absent);
    let plan = made(facts, targets, events);
    let relief_step = step(&plan, StepKind::Relief);
    assert_eq!(relief_step.verdict, StepVerdict::Stop { why: StopReason::NoRod });
    assert!(relief_step.cautions.contains(&Hazard::Repairer));

    let sides = [Location::Side(Side::Bass), Location::Side(Side::Treble)];
    let targets = sides.iter().map(|s| target_state(relief(), *s, "0.20 mm", "0.05 mm")).collect();
    let events = vec![read(relief(), "feeler 0.01 mm", &[(sides[0], "0.50"), (sides[1], "0")])];
    let plan = made(bass(), targets, events);
    assert_eq!(
        step(&plan, StepKind::Relief).verdict,
        StepVerdict::Stop { why: StopReason::Twisted }
    );
}

#[test]
fn the_rod_is_turned_a_quarter_at_most_and_with_its_cautions() {
    let targets = vec![target_state(relief(), Location::Whole, "0.20 mm", "0.05 mm")];
    let events = vec![read(relief(), "feeler 0.01 mm", &[(Location::Whole, "1.50")])];
    let mut facts = bass();
    facts.rod.less_relief = Some(TurnDirection::Clockwise);
    let plan = made(facts, targets, events);
    let relief = step(&plan, StepKind::Relief);
    let adjust = relief.verdict.adjust().unwrap();
    assert_eq!(adjust.moves[0].turn.eighths, 2);
    assert_eq!(adjust.moves[0].turn.direction, Some(TurnDirection::Clockwise));
    for caution in [Hazard::RodQuarter, Hazard::RodStop, Hazard::NeckSettles] {
        assert!(relief.cautions.contains(&caution), "{caution:?}");
    }
    assert!(!relief.cautions.contains(&Hazard::RodTry));
}

#[test]
fn a_saddle_blank_is_never_cut_from_one_reading() {
    let mut facts = bass();
    facts.bridge.kind = BridgeKind::Fixed;
    let targets = vec![target_state(action(), on(1), "2.0 mm", "0.1 mm")];
    let neck = read(relief(), "feeler 0.01 mm", &[(Location::Whole, "0.20")]);
    let dial = read(action(), "dial 0.01 mm", &[(on(1), "2.80")]);
    let again = read(action(), "dial 0.01 mm", &[(on(1), "2.81")]);
    let rule = read(action(), "rule 0.5 mm", &[(on(1), "3.0")]);
    let caliper = read(action(), "caliper 0.02 mm", &[(on(1), "2.82")]);
    // The relief comes first.
    let early = made(facts.clone(), targets.clone(), vec![dial.clone()]);
    assert!(matches!(step(&early, StepKind::Action).verdict, StepVerdict::Wait { .. }));
    let one = made(facts.clone(), targets.clone(), vec![neck.clone(), dial.clone()]);
    assert_eq!(step(&one, StepKind::Action).verdict, StepVerdict::MeasureWithAnother);
    // The same tool twice tells nothing new.
    let twice = made(facts.clone(), targets.clone(), vec![neck.clone(), dial.clone(), again]);
    assert_eq!(step(&twice, StepKind::Action).verdict, StepVerdict::MeasureWithAnother);
    // Nor does one that is coarser than the tolerance.
    let coarse = made(facts.clone(), targets.clone(), vec![neck.clone(), dial.clone(), rule]);
    assert_eq!(step(&coarse, StepKind::Action).verdict, StepVerdict::MeasureWithAnother);
    let two = made(facts.clone(), targets.clone(), vec![neck.clone(), dial, caliper]);
    let lower = step(&two, StepKind::Action);
    let adjust = lower.verdict.adjust().unwrap();
    assert_eq!(adjust.way, PartWay::TakeOff);
    assert!((adjust.expect.unwrap().value - 2.1).abs() < 1e-9, "0.1 mm high");
    // Stopped at 1 over the last fret: more comes off than the gap shrinks by.
    assert!(adjust.travel.unwrap().value > 0.7 * 1.3);
    assert!(lower.cautions.contains(&Hazard::Irreversible));
    // A shim goes in and comes out again: one reading is enough, and all of it is said.
    let low = read(action(), "dial 0.01 mm", &[(on(1), "1.50")]);
    let raised = made(facts, targets, vec![neck, low]);
    let higher = step(&raised, StepKind::Action);
    let adjust = higher.verdict.adjust().unwrap();
    assert_eq!((adjust.way, adjust.left_over), (PartWay::Shim, Some(0.0)));
    assert!(adjust.travel.unwrap().value > 0.5 * 1.3);
    assert!(!higher.cautions.contains(&Hazard::Irreversible));
    assert!(higher.cautions.contains(&Hazard::ShimOrFill));
}

/// A nut as it is read stopped at 3 over 1, with relief and action as wanted.
fn nut_plan(target: &str, tolerance: &str, reads: &[(&str, &str)]) -> Plan {
    let nut = gap(3, 1).unwrap();
    let targets = vec![
        target_state(relief(), Location::Whole, "0.20 mm", "0.05 mm"),
        target_state(nut, on(1), target, tolerance),
    ];
    let mut events = vec![
        event(EventKind::Tuned),
        read(relief(), "feeler 0.01 mm", &[(Location::Whole, "0.20")]),
        read(action(), "dial 0.01 mm", &(1..=4).map(|n| (on(n), "2.00")).collect::<Vec<_>>()),
    ];
    events.extend(reads.iter().map(|(tool, text)| read(nut, tool, &[(on(1), text)])));
    made(bass(), targets, events)
}

#[test]
fn a_slot_is_cut_by_more_than_its_gap_shrinks() {
    let both = [("feeler 0.001 in", "19 thou"), ("dial 0.01 mm", "0.48")];
    let plan = nut_plan("0.20 mm", "0.05 mm", &both);
    let cut = step(&plan, StepKind::Nut).verdict.adjust().unwrap();
    assert_eq!(cut.way, PartWay::CutSlot);
    // From 0.48 to 0.30 mm: 0.18 mm of the gap over 1 - x1/x3 = 0.647 (similar triangles).
    assert!((cut.travel.unwrap().value - 0.18 / 0.647).abs() < 0.01, "{:?}", cut.travel);
    assert!((cut.expect.unwrap().value - 0.30).abs() < 0.01);
}

#[test]
fn a_slot_gets_home() {
    // Each cut goes by something, until the target is met.
    let mut gap_mm = 0.48_f64;
    for _ in 0..8 {
        let text = format!("{gap_mm:.2}");
        let plan =
            nut_plan("0.20 mm", "0.05 mm", &[("dial 0.01 mm", &text), ("feeler 0.01 mm", &text)]);
        let nut = step(&plan, StepKind::Nut);
        let Some(cut) = nut.verdict.adjust() else {
            assert_eq!(nut.verdict, StepVerdict::Fine);
            assert!(gap_mm > 0.15);
            return;
        };
        let deeper = cut.travel.unwrap().value;
        assert!(deeper > 0.02, "{deeper}");
        gap_mm -= deeper * 0.647;
    }
    panic!("never done: {gap_mm}");
}

#[test]
fn a_rule_neither_passes_a_nut_nor_confirms_a_cut() {
    let alone = nut_plan("0.20 mm", "0.05 mm", &[("rule 1/64", "1")]);
    assert_eq!(step(&alone, StepKind::Nut).verdict, StepVerdict::MeasureFiner);
    let beside =
        nut_plan("0.20 mm", "0.05 mm", &[("feeler 0.001 in", "16 thou"), ("rule 1/64", "1")]);
    assert_eq!(step(&beside, StepKind::Nut).verdict, StepVerdict::MeasureWithAnother);
}

#[test]
fn what_cannot_be_read_is_not_asked_for() {
    let targets = (1..=4)
        .map(|n| target_state(Quantity::SpacingBridge, on(n), "19 mm", "0.5 mm"))
        .chain([target_state(gap(1, 30).unwrap(), on(1), "2 mm", "0.2 mm")])
        .collect();
    let plan = made(bass(), targets, Vec::new());
    let verdicts = |kind| plan.steps.iter().filter(move |s| s.kind == kind).map(|s| &s.verdict);
    let none = StepVerdict::NotApplicable { why: WhyNot::NoSuchPlace };
    let spacing: Vec<bool> = verdicts(StepKind::Spacing).map(|v| *v == none).collect();
    assert_eq!(spacing, [false, false, false, true]);
    assert!(verdicts(StepKind::Action).any(|v| *v == none), "fret 30 of 24");
}

#[test]
fn a_nut_that_is_no_slot_is_not_cut() {
    let targets = vec![target_state(gap(3, 1).unwrap(), on(1), "0.10 mm", "0.05 mm")];
    let high = vec![read(gap(3, 1).unwrap(), "feeler 0.01 mm", &[(on(1), "0.40")])];
    for nut in [NutKind::ZeroFret, NutKind::Locking] {
        let plan = made(Facts { nut: Some(nut), ..bass() }, targets.clone(), high.clone());
        let verdict = &step(&plan, StepKind::Nut).verdict;
        assert!(matches!(verdict, StepVerdict::NotApplicable { .. }), "{verdict:?}");
    }
    // Too low: filling is advised, with its caution, not refused.
    let low = nut_plan("0.20 mm", "0.05 mm", &[("feeler 0.01 mm", "0.05")]);
    let low = step(&low, StepKind::Nut);
    let raised = low.verdict.adjust().unwrap();
    assert_eq!(raised.way, PartWay::FillSlot);
    assert!((raised.travel.unwrap().value - 0.15 / 0.647).abs() < 0.01);
    assert!(low.cautions.contains(&Hazard::ShimOrFill));
}

#[test]
fn without_a_target_the_plan_asks_for_one() {
    let plan = made(bass(), Vec::new(), Vec::new());
    assert_eq!(plan.next_step().unwrap().kind, StepKind::Targets);
    let wanted = vec![target_state(relief(), Location::Whole, "0.20 mm", "0.05 mm")];
    let plan = made(bass(), wanted, Vec::new());
    assert!(plan.steps.iter().all(|s| s.kind != StepKind::Targets));
}

#[test]
fn only_what_a_visit_left_is_a_setup_to_have_moved_from() {
    let events = || vec![read(relief(), "feeler 0.01 mm", &[(Location::Whole, "0.40")])];
    let mut targets = vec![target_state(relief(), Location::Whole, "0.20 mm", "0.05 mm")];
    let typed = made(bass(), targets.clone(), events());
    assert!(!typed.drift.unwrap().was_there);
    targets[0].values[0].taken = true;
    assert!(made(bass(), targets, events()).drift.unwrap().was_there);
}

#[test]
fn a_plain_string_near_breaking_is_refused() {
    // 4 rho L^2 f^2: G4 on 648 mm is 2.0 GPa.
    let mut facts = bass();
    facts.strings[0].plain = Some(true);
    facts.strings[0].scale_mm = Some(648.0);
    facts.strings[0].pitch_hz = Some(392.0);
    let plan = made(facts, Vec::new(), Vec::new());
    let tune = step(&plan, StepKind::Tune);
    assert_eq!(tune.verdict, StepVerdict::Stop { why: StopReason::Stress });
    assert!(tune.cautions.contains(&Hazard::Eyes));
}

#[test]
fn a_plain_string_near_breaking_that_was_tuned_up_is_cautioned_and_stops_nothing() {
    let mut facts = bass();
    facts.strings[0].plain = Some(true);
    facts.strings[0].scale_mm = Some(648.0);
    facts.strings[0].pitch_hz = Some(392.0);
    let plan = made(facts, Vec::new(), vec![event(EventKind::Tuned)]);
    let tune = step(&plan, StepKind::Tune);
    assert_eq!(tune.verdict, StepVerdict::Fine);
    assert_eq!(tune.cautions, [Hazard::Stress, Hazard::Eyes]);
}

#[test]
fn locking_nuts_and_floating_bridges_bring_their_cautions() {
    let mut facts = Facts { nut: Some(NutKind::Locking), ..bass() };
    facts.bridge.kind = BridgeKind::Floating;
    let plan = made(facts, Vec::new(), Vec::new());
    let tune = step(&plan, StepKind::Tune);
    assert!(tune.cautions.contains(&Hazard::LockingNut));
    assert!(tune.cautions.contains(&Hazard::FloatingRepeat));
}

#[test]
fn a_remainder_common_to_all_strings_points_to_the_joint() {
    let mut targets = vec![target_state(relief(), Location::Whole, "0.20 mm", "0.05 mm")];
    targets.extend((1..=4).map(|n| target_state(action(), on(n), "2.0 mm", "0.1 mm")));
    let all = [(on(1), "2.5"), (on(2), "2.5"), (on(3), "2.5"), (on(4), "2.5")];
    let events = vec![
        read(relief(), "feeler 0.01 mm", &[(Location::Whole, "0.20")]),
        read(action(), "dial 0.01 mm", &all),
    ];
    let plan = made(bass(), targets, events);
    let since = plan.drift.unwrap();
    assert_eq!(since.points_at, PointsAt::Common);
    assert!(since.cautions.contains(&Hazard::NeckScrewsSlack));
}

/// A winter raised the relief by 0.20 mm, and one saddle went down by 0.5 mm. On 24 frets of 34 in that neck takes
/// each string up by 0.106 mm for each 0.1 mm of relief where it bends to the last fret, by 0.072 mm where it
/// bends to 16 (the geometry of docs/mathematics, reference/geometry.json); half a millimetre at the saddle is
/// 0.368 mm over the last fret.
#[test]
fn one_saddle_beside_a_neck_that_moved_is_named_however_far_the_neck_bends() {
    let mut targets = vec![target_state(relief(), Location::Whole, "0.30 mm", "0.05 mm")];
    targets.extend((1..=4).map(|n| target_state(action(), on(n), "2.0 mm", "0.06 mm")));
    for (others, low) in [("2.21", "1.84"), ("2.14", "1.78")] {
        let all = [(on(1), others), (on(2), others), (on(3), others), (on(4), low)];
        let events = vec![
            read(relief(), "feeler 0.01 mm", &[(Location::Whole, "0.50")]),
            read(action(), "dial 0.01 mm", &all),
        ];
        let since = made(bass(), targets.clone(), events).drift.unwrap();
        assert_eq!(since.points_at, PointsAt::OneString(place(4)), "{others} {low}");
    }
    // Two that went differ from two that did not: no one string.
    let all = [(on(1), "2.21"), (on(2), "2.21"), (on(3), "1.84"), (on(4), "1.84")];
    let events = vec![
        read(relief(), "feeler 0.01 mm", &[(Location::Whole, "0.50")]),
        read(action(), "dial 0.01 mm", &all),
    ];
    let since = made(bass(), targets, events).drift.unwrap();
    assert_eq!(since.points_at, PointsAt::CannotBeTold);
}

#[test]
fn a_setup_takes_what_the_tool_can_tell_as_its_tolerance() {
    let mut opened = event(EventKind::VisitOpened);
    opened.visit = Some(0);
    let mut events = vec![
        opened,
        read(action(), "rule 1/64", &[(on(1), "5")]),
        read(relief(), "feeler 0.01 mm", &[(Location::Whole, "0.20")]),
        read(relief(), "feeler 0.01 mm", &[(Location::Whole, "0.22")]),
    ];
    for event in &mut events {
        event.visit = Some(0);
    }
    let targets =
        observe::targets_from_visit(&input(bass(), Vec::new(), events, &InOrder), named(0));
    let shown: Vec<String> =
        targets.iter().map(|t| format!("{} give or take {}", t.wanted, t.tolerance)).collect();
    // 0.35 mm is less than one sixty-fourth; 2 sqrt(2) 0.0153 mm is 0.043 mm.
    assert_eq!(shown, ["5/64 in give or take 0.5/64 in", "0.22 mm give or take 0.05 mm"]);
}

#[test]
fn a_coarse_tool_is_no_reason_to_be_content_with_less_than_is_usual() {
    // Half millimetres tell 0.4 mm apart, quarter-inch marks less: 0.2 mm is usual for an action, 0.05 for relief
    // (common practice, no source), and what a tool cannot tell is not taken for what somebody wants.
    let mut opened = event(EventKind::VisitOpened);
    opened.visit = Some(0);
    let mut events = vec![
        opened,
        read(action(), "rule 0.5 mm", &[(on(1), "2.0")]),
        read(relief(), "feeler 0.1 mm", &[(Location::Whole, "0.2")]),
    ];
    for event in &mut events {
        event.visit = Some(0);
    }
    let input = input(bass(), Vec::new(), events, &InOrder);
    let targets = observe::targets_from_visit(&input, named(0));
    let shown: Vec<String> = targets.iter().map(|t| t.tolerance.to_string()).collect();
    assert_eq!(shown, ["0.20 mm", "0.05 mm"]);
}

#[test]
fn a_rod_whose_way_nobody_knows_is_loosened_first() {
    // Most nuts tighten clockwise, and tightening takes relief away (common practice, no source): whether less relief is
    // wanted or more, the first turn cannot tighten a tight rod, and is an eighth.
    let targets = vec![target_state(relief(), Location::Whole, "0.20 mm", "0.05 mm")];
    for text in ["0.45", "0.05"] {
        let neck = read(relief(), "feeler 0.01 mm", &[(Location::Whole, text)]);
        let plan = made(bass(), targets.clone(), vec![event(EventKind::Tuned), neck]);
        let test = step(&plan, StepKind::Relief).verdict.adjust().unwrap();
        let turn = &test.moves[0].turn;
        assert!(turn.is_trial, "{text}");
        assert_eq!(turn.direction, Some(TurnDirection::Anticlockwise), "{text}");
        assert!((turn.turns() - 0.125).abs() < 1e-9, "{text}");
    }
}

#[test]
fn posts_are_turned_together_and_what_they_cannot_do_is_left_over() {
    let thread = Thread::named("M3").unwrap();
    let screw = Screw { thread: Some(thread), raises: Some(TurnDirection::Clockwise) };
    let at = |v| fallaway_mechanics::units::mm(v);
    let strings = [at(-27.0), at(-9.0), at(9.0), at(27.0)];
    let mut facts = bass();
    facts.bridge.kind = BridgeKind::TwoPosts;
    facts.bridge.matrix = Bridge::two_posts([at(-37.0), at(37.0)], &strings, screw).ok();
    facts.bridge.rows = (1..=4).map(place).collect();
    facts.bridge.screws =
        vec![TurnedScrew::BridgePost(Side::Treble), TurnedScrew::BridgePost(Side::Bass)];
    facts.bridge.alike = 1;
    let mut targets = vec![target_state(relief(), Location::Whole, "0.20 mm", "0.05 mm")];
    targets.extend((1..=4).map(|n| target_state(action(), on(n), "2.0 mm", "0.1 mm")));
    // All high by half a millimetre, the last one by a little more.
    let all = [(on(1), "2.5"), (on(2), "2.5"), (on(3), "2.5"), (on(4), "2.8")];
    let events = vec![
        read(relief(), "feeler 0.01 mm", &[(Location::Whole, "0.20")]),
        read(action(), "dial 0.01 mm", &all),
    ];
    let plan = made(facts, targets, events);
    let actions: Vec<&PlanStep> =
        plan.steps.iter().filter(|s| s.kind == StepKind::Action).collect();
    let adjust = actions[0].verdict.adjust().unwrap();
    assert_eq!(adjust.moves.len(), 2);
    let down = Some(TurnDirection::Anticlockwise);
    assert!(adjust.moves.iter().all(|m| m.turn.direction == down && m.turn.eighths > 4));
    assert!(adjust.left_over.unwrap().abs() > 0.01);
    // One turn of the posts moves them all: read again before anything else is turned.
    for other in &actions[1..] {
        assert!(matches!(other.verdict, StepVerdict::Wait { after: StepKind::Action, .. }));
    }
}

#[test]
fn a_line_for_several_strings_says_each_number_with_its_string() {
    let mut targets = vec![target_state(relief(), Location::Whole, "0.20 mm", "0.05 mm")];
    targets.extend((1..=2).map(|n| target_state(action(), on(n), "2.0 mm", "0.1 mm")));
    let events = vec![
        read(relief(), "feeler 0.01 mm", &[(Location::Whole, "0.40")]),
        read(action(), "dial 0.01 mm", &[(on(1), "2.40"), (on(2), "2.90")]),
    ];
    let plan = made(bass(), targets, events);
    let page = fallaway_text::plan_page::page(&plan, &InstrumentSpec::default(), false);
    let action = page.after.iter().find(|(kind, _)| kind.to_string() == "action").unwrap();
    let said = action.1.to_string();
    // About 2.40 and 2.90 mm less what 0.20 mm of relief makes, each beside its own string.
    let first = said.find("1: 2.2").expect(&said);
    let second = said.find("2: 2.7").expect(&said);
    assert!(first < second, "{said}");
}

#[test]
fn what_the_relief_explains_is_said_in_numbers_and_only_where_it_explains_half() {
    let mut targets = vec![target_state(relief(), Location::Whole, "0.20 mm", "0.10 mm")];
    targets.push(target_state(action(), on(1), "2.0 mm", "0.04 mm"));
    let with = |read_mm: &str| {
        let events = vec![
            read(relief(), "feeler 0.01 mm", &[(Location::Whole, "0.280")]),
            read(action(), "dial 0.01 mm", &[(on(1), read_mm)]),
        ];
        made(bass(), targets.clone(), events)
    };
    // 0.08 mm of relief make about 0.07 mm of action: most of 0.10 mm, little of 0.18 mm.
    let most = with("2.10");
    let rod = step(&most, StepKind::Relief);
    assert_eq!(rod.verdict.adjust().unwrap().explains, [place(1)]);
    let said = fallaway_text::plan::step(rod, &InstrumentSpec::default());
    let said: Vec<String> = said.remarks.iter().map(ToString::to_string).collect();
    assert!(
        said.iter().any(|s| s.contains("relief explains") && s.contains("0.10 mm")),
        "{said:?}"
    );
    let little = with("2.18");
    assert_eq!(step(&little, StepKind::Relief).verdict, StepVerdict::Fine);
    assert!(step(&little, StepKind::Action).verdict.adjust().is_some());
}

/// The same entry so many minutes later than the first ones.
fn later(mut event: Event<'static>, minutes: i64) -> Event<'static> {
    event.at = Moment::new(event.at.unix_s + 60 * minutes, 0).unwrap();
    event
}

#[test]
fn a_neck_that_settled_on_its_way_is_no_disagreement() {
    let targets = || vec![target_state(relief(), Location::Whole, "0.28 mm", "0.05 mm")];
    let of = |text, minutes| {
        later(read(relief(), "feeler 0.01 mm", &[(Location::Whole, text)]), minutes)
    };
    let turned = || later(event(EventKind::Done(Intervention::rod(Some(0.25)))), 1);
    let events =
        |first, second, minutes| vec![of("0.51", 0), turned(), of(first, 3), of(second, minutes)];
    // It went on the way of the turn, and had the time for it: the later reading counts.
    let plan = made(bass(), targets(), events("0.40", "0.29", 38));
    let settled = step(&plan, StepKind::Relief);
    assert!(settled.verdict.settled(), "{:?}", settled.verdict);
    let left_out = |r: &StepRemark| matches!(r, StepRemark::Outvoted(_));
    assert!(settled.remarks.iter().any(left_out));
    // Back again, or at once, is no settling: one of the two was misread.
    for events in [events("0.29", "0.40", 38), events("0.40", "0.29", 5)] {
        let plan = made(bass(), targets(), events);
        let verdict = &step(&plan, StepKind::Relief).verdict;
        assert!(matches!(verdict, StepVerdict::Disagree { .. }), "{verdict:?}");
    }
}

#[test]
fn a_nut_that_nobody_worked_on_is_not_read_at_every_visit() {
    let nut = gap(3, 1).unwrap();
    let at = on(4);
    let targets = || {
        vec![
            target_state(nut, at, "0.20 mm", "0.05 mm"),
            target_state(action(), at, "2.40 mm", "0.10 mm"),
        ]
    };
    let earlier = |text| {
        let mut read = later(read(nut, "feeler 0.01 mm", &[(at, text)]), -60 * 24 * 40);
        read.visit = None;
        read
    };
    let today = || read(action(), "caliper 0.02 mm", &[(at, "1.60")]);
    let of_nut = |events| {
        let plan = made(bass(), targets(), events);
        let nut = plan
            .steps
            .iter()
            .find(|s| s.measurand == Some(Measurand { quantity: nut, location: at }));
        nut.unwrap().verdict.clone()
    };
    assert_eq!(of_nut(vec![earlier("0.20"), today()]), StepVerdict::Fine);
    // Off target, or with other strings since, it is read again before anything is done.
    assert_eq!(of_nut(vec![earlier("0.50"), today()]), StepVerdict::Measure);
    let strings =
        later(event(EventKind::Done(Intervention::whole(InterventionKind::Strings))), -60);
    assert!(of_nut(vec![earlier("0.20"), strings, today()]).is_open());
}

#[test]
fn one_repeat_in_seven_off_a_rule_lies_a_mark_beside_the_first() {
    // A string that lies anywhere under its mark, read twice with a scatter of s: the marks differ with 2 s / (sqrt(pi) step),
    // the mean distance of two normal numbers over the step (own derivation). 1/64 in is 0.396875 mm exactly.
    let step = 25.4 / 64.0;
    let marks = parse_reading("5/64 in", None, Dimension::Length).unwrap();
    let u = observe::Estimate::of_reading(marks, Some(Tool::RULE_64)).unwrap().standard_uncertainty;
    // What the rounding leaves of it is the scatter (JCGM 100:2008, 4.3.7: a rectangle of one step).
    let scatter = (u * u - step * step / 12.0).sqrt();
    let differ = 2.0 * scatter / (std::f64::consts::PI.sqrt() * step);
    assert!((differ - 1.0 / 7.0).abs() < 0.005, "{differ}");
    // Twice the uncertainty of a difference is less than a mark: it would tell each of these repeats apart.
    assert!(2.0 * u * 2.0_f64.sqrt() < step && step < 2.0 * (2.0 * u * 2.0_f64.sqrt()));
    let docs = include_str!("../../../docs/plan.md");
    assert!(docs.contains("one repeat in seven") && !docs.contains("about 95 %"));
    let job = include_str!("../../../docs/the-job.md");
    assert!(job.contains("must differ by two marks") && job.contains("after about\ntwo weeks"));
}
