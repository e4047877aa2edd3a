//! A record as the plan sees it.

use std::borrow::Cow;
use std::collections::{HashMap, HashSet};

use fallaway_changes::Container;
use fallaway_measure::{Amount, StringPlace};
use fallaway_mechanics::bridge::Bridge;
use fallaway_mechanics::screws::{Screw, Thread};
use fallaway_mechanics::units::{as_mm, mm};
use fallaway_order::Map;
use fallaway_order::PutInOrder as _;
use fallaway_record::spec::{
    BoardCurve, Clockwise, HeightBy, ScrewPlace, ScrewSpec, StringConstruction, ThreadSpec,
};
use fallaway_record::{
    AdjustedPart, Adjustment, EntryBody, EntryId, InstrumentSpec, Phase, Placed, Registers, Remark,
    SetupId, State, Target,
};

use super::courses;
use super::facts::{
    BridgeFacts, BridgeKind, Facts, POSTS, Posts, RodFacts, StringFacts, TurnedScrew,
};
use super::input::{Causality, Event, EventKind, Input, ObservedPass, TargetState, Wanted};
use super::intervention::{Intervention, InterventionKind};
use super::measurand::Measurand;
use crate::turns::TurnDirection;

/// How far outside the outer strings two posts are taken to stand, in mm (common practice, no
/// source).
const POST_OUTSIDE_MM: f64 = 10.0;

/// Calls `with` with a record as the plan sees it. Events stand in the order of
/// [`State::entries`].
///
/// `now_unix_s` is the present in seconds since 1970 (UTC); it only tells what is today.
pub fn with_input<T>(
    state: &State,
    setup: &SetupId,
    now_unix_s: i64,
    with: impl FnOnce(&Input<'_>) -> T,
) -> T {
    let order = Order { state, placed: state.entries().collect() };
    let facts = facts(state.registers());
    let mut events = events(&order);
    courses::spread_events(&facts, &mut events);
    let input = Input {
        targets: courses::spread_targets(&facts, targets(state, setup)),
        facts,
        events,
        causality: &order,
        now_unix_s,
    };
    with(&input)
}

/// What an entry did to the instrument, if it did anything.
pub fn intervention_of(body: &EntryBody) -> Option<Intervention> {
    match what(body) {
        EventKind::Done(intervention) => Some(intervention),
        _ => None,
    }
}

/// What the plan uses. A fact that people wrote two values for is none.
pub fn facts_of(registers: &Registers) -> Facts {
    facts(registers)
}

struct Order<'s> {
    state: &'s State,
    placed: Vec<&'s Placed>,
}

impl Causality for Order<'_> {
    fn precedes(&self, earlier: usize, later: usize) -> bool {
        match (self.placed.get(earlier), self.placed.get(later)) {
            (Some(earlier), Some(later)) => self.state.placed_precedes(earlier, later),
            _ => false,
        }
    }
}

fn events<'s>(order: &Order<'s>) -> Vec<Event<'s>> {
    let mut visits: HashMap<EntryId, usize> = HashMap::new();
    let mut replaced: HashSet<EntryId> = HashSet::new();
    for (position, placed) in order.placed.iter().enumerate() {
        match &placed.entry.body {
            EntryBody::Visit(_) => drop(visits.insert(placed.entry.id, position)),
            EntryBody::Remark(r) if !order.state.is_retracted(placed.entry.id) => {
                replaced.extend(r.replaces);
            }
            _ => {}
        }
    }
    order
        .placed
        .iter()
        .enumerate()
        .map(|(position, placed)| {
            let entry = &placed.entry;
            let opened = matches!(entry.body, EntryBody::Visit(_)).then_some(position);
            Event {
                entry: entry.id,
                at: entry.at,
                by: entry.by.as_deref().map(Cow::Borrowed),
                visit: opened.or_else(|| visits.get(&entry.visit?).copied()),
                retracted: order.state.is_retracted(entry.id) || replaced.contains(&entry.id),
                what: what(&entry.body),
            }
        })
        .collect()
}

pub(super) fn what(body: &EntryBody) -> EventKind<'_> {
    match body {
        EntryBody::Visit(_) => EventKind::VisitOpened,
        EntryBody::VisitEnd(_) => EventKind::VisitEnded,
        EntryBody::Pass(pass) => EventKind::Pass(ObservedPass {
            quantity: pass.quantity,
            tool: pass.tool,
            posture: pass.posture,
            says_tuned: pass.tuned_minutes_ago.is_some(),
            as_left: pass.phase == Some(Phase::AsLeft),
            readings: Cow::Borrowed(&pass.readings),
        }),
        EntryBody::Adjustment(adjustment) => {
            intervention(adjustment).map_or(EventKind::Other, EventKind::Done)
        }
        EntryBody::StringChange(change) => EventKind::Done(Intervention {
            places: change.strings.clone(),
            ..Intervention::whole(InterventionKind::Strings)
        }),
        EntryBody::Tuning(tuning) if tuning.changed.is_empty() => EventKind::Tuned,
        EntryBody::Tuning(tuning) => {
            let places = tuning.changed.iter().map(|(place, _)| *place).collect();
            EventKind::Done(Intervention {
                places,
                ..Intervention::whole(InterventionKind::Tuning)
            })
        }
        EntryBody::Climate(climate) => EventKind::Climate {
            temperature_c: climate.temperature.and_then(Amount::celsius),
            humidity_percent: climate.humidity.map(Amount::number),
            hours_there: climate.hours_there.map(f64::from),
        },
        EntryBody::Remark(Remark { text, could_not: Some(what), .. }) => {
            EventKind::CouldNot { what: *what, reason: text }
        }
        EntryBody::Remark(Remark { fret: Some(found), .. }) => EventKind::Fret(found),
        _ => EventKind::Other,
    }
}

fn intervention(adjustment: &Adjustment) -> Option<Intervention> {
    let turns = adjustment.turns.map(fallaway_record::Turns::value);
    intervention_of_part(adjustment.what, turns)
}

/// What moving a part by so many turns does to the instrument.
pub(super) fn intervention_of_part(part: AdjustedPart, turns: Option<f64>) -> Option<Intervention> {
    let string = |kind, place| Intervention::string(kind, place, turns);
    let whole = |kind| Intervention { turns, ..Intervention::whole(kind) };
    Some(match part {
        AdjustedPart::Rod => Intervention::rod(turns),
        AdjustedPart::SaddleHeight(place) => string(InterventionKind::SaddleHeight, place),
        AdjustedPart::SaddlePosition(place) => string(InterventionKind::SaddleForeAft, place),
        AdjustedPart::SaddleSideways(place) => string(InterventionKind::SaddleSideways, place),
        AdjustedPart::NutSlot(place) => string(InterventionKind::Nut, place),
        AdjustedPart::Nut => whole(InterventionKind::Nut),
        AdjustedPart::BridgePost(side) => {
            Intervention { post: Some(side), ..whole(InterventionKind::SaddleHeight) }
        }
        AdjustedPart::Springs => whole(InterventionKind::Spring),
        AdjustedPart::Pickup { pickup, .. } => {
            Intervention { pickup: Some(pickup), ..whole(InterventionKind::Pickup) }
        }
        // The pickup stays where it is: its screws did not turn.
        AdjustedPart::Pole { pickup, place } => Intervention {
            pickup: Some(pickup),
            ..Intervention::string(InterventionKind::Pickup, place, None)
        },
        AdjustedPart::Neck => whole(InterventionKind::Neck),
        AdjustedPart::Frets => whole(InterventionKind::Frets),
        AdjustedPart::Bridge => whole(InterventionKind::Bridge),
        AdjustedPart::Elsewhere => return None,
        AdjustedPart::Other(_) => whole(InterventionKind::Unknown),
    })
}

/// Every target of a setup, contested ones with all their values.
fn targets(state: &State, setup: &SetupId) -> Vec<TargetState> {
    let registers = state.registers();
    let mut targets: Map<String, TargetState> = Map::new();
    for (key, target) in registers.setups().get(setup).into_iter().flat_map(|s| &s.targets) {
        targets.insert(key.clone(), target_state(target, vec![goal(target)], false));
    }
    let prefix = format!("{setup}/target/");
    for (container, key, register) in registers.contested() {
        let Some(key) = key.strip_prefix(&prefix).filter(|_| container == Container::SETUPS) else {
            continue;
        };
        let values: Vec<Target> =
            register.versions.iter().filter_map(|v| minicbor::decode(&v.value).ok()).collect();
        if let Some(first) = values.first() {
            let goals = values.iter().map(goal).collect();
            targets.insert(key.to_owned(), target_state(first, goals, true));
        }
    }
    targets.into_values().collect()
}

fn target_state(target: &Target, values: Vec<Wanted>, contested: bool) -> TargetState {
    let measurand = Measurand { quantity: target.quantity, location: target.location };
    TargetState { measurand, values, contested }
}

fn goal(target: &Target) -> Wanted {
    Wanted {
        wanted: target.wanted,
        tolerance: target.tolerance,
        posture: None,
        by: target.by.clone(),
        at: Some(target.at),
        taken: target.taken_from.is_some(),
    }
}

fn facts(registers: &Registers) -> Facts {
    let contested = contested_facts(registers).map(str::to_owned).collect();
    Facts { contested, ..of_spec(&settled(registers)) }
}

fn contested_facts(registers: &Registers) -> impl Iterator<Item = &str> {
    let all = registers.contested();
    all.filter(|(container, ..)| *container == Container::SPEC).map(|(_, key, _)| key)
}

fn settled(registers: &Registers) -> Cow<'_, InstrumentSpec> {
    let mut spec = Cow::Borrowed(registers.spec());
    for key in contested_facts(registers) {
        spec.to_mut().unset(key);
    }
    spec
}

/// The specification without the facts that people wrote two values for: nothing is computed from
/// those.
pub fn settled_spec(state: &State) -> Cow<'_, InstrumentSpec> {
    settled(state.registers())
}

/// What the plan needs of a specification.
pub fn of_spec(spec: &InstrumentSpec) -> Facts {
    let a4 = spec.a4_hz();
    let places = spec.places();
    let spread = spec.bridge_spread.and_then(Amount::length).map(as_mm);
    let courses = f64::from(spec.course_count());
    let mut strings: Vec<StringFacts> = places
        .iter()
        .map(|place| {
            let note = spec.tuning.get(place);
            let across = f64::from(place.number() - 1) / (courses - 1.0).max(1.0) - 0.5;
            StringFacts {
                place: *place,
                pitch_hz: note.map(|n| n.frequency_hz(a4)),
                scale_mm: spec.scale_of(*place).map(as_mm),
                offset_mm: spread.map(|s| s * across),
                gauge_mm: spec.strings.get(place).and_then(|s| s.gauge?.length()).map(as_mm),
                plain: spec
                    .strings
                    .get(place)
                    .and_then(|s| s.construction)
                    .map(|c| c == StringConstruction::Plain),
            }
        })
        .collect();
    if strings.iter().all(|s| s.pitch_hz.is_some()) {
        strings.put_in_order_by(|a, b| {
            b.pitch_hz.unwrap_or(0.0).total_cmp(&a.pitch_hz.unwrap_or(0.0))
        });
    }
    let screw = |at| spec.screws.get(&at);
    let pitch_of = |at| screw(at).and_then(thread).map(|t| as_mm(t.pitch()));
    Facts {
        last_fret: spec.last_fret().map(fallaway_measure::Fret::number),
        joint_fret: spec.joint_fret.map(|j| j.fret.number()),
        joint_uncertain_by: spec.joint_fret.map_or(0, |j| j.uncertain_by),
        board_radius_mm: spec.board.and_then(|board| match board {
            BoardCurve::Cylinder(radius) | BoardCurve::Compound { last_fret: radius, .. } => {
                radius.length().map(as_mm)
            }
            BoardCurve::Flat => None,
        }),
        nut_spread_mm: spec.nut_spread.and_then(Amount::length).map(as_mm),
        rod: RodFacts {
            kind: spec.rod.map(|rod| rod.kind),
            less_relief: screw(ScrewPlace::Rod).and_then(more).map(TurnDirection::reversed),
        },
        nut: spec.nut,
        bridge: bridge(spec, &places, &strings, spread),
        neck_joint: spec.neck_joint,
        pickup_pitch_mm: pitch_of(ScrewPlace::Pickup),
        pickup_raises: screw(ScrewPlace::Pickup).and_then(more),
        strings,
        contested: Vec::new(),
    }
}

fn bridge(
    spec: &InstrumentSpec,
    places: &[StringPlace],
    strings: &[StringFacts],
    spread: Option<f64>,
) -> BridgeFacts {
    let fore = spec.screws.get(&ScrewPlace::SaddlePosition);
    let mut facts = BridgeFacts {
        alike: 1,
        intonation_pitch_mm: fore.and_then(thread).map(|t| as_mm(t.pitch())),
        lengthens: fore.and_then(more),
        ..BridgeFacts::default()
    };
    let Some(bridge) = &spec.bridge else { return facts };
    let screw = |at| {
        let screw = spec.screws.get(&at);
        Screw { thread: screw.and_then(thread), raises: screw.and_then(more) }
    };
    facts.rows = places.to_vec();
    facts.post = screw(ScrewPlace::BridgePost);
    facts.claw = screw(ScrewPlace::SpringClaw);
    let posts = |rows: &[StringPlace]| {
        let at = |p: &StringPlace| strings.iter().find(|s| s.place == *p).and_then(|s| s.offset_mm);
        let offsets: Option<Vec<_>> = rows.iter().map(|p| at(p).map(mm)).collect();
        let outside = spread? / 2.0 + POST_OUTSIDE_MM;
        let stand = [mm(-outside), mm(outside)];
        Bridge::two_posts(stand, &offsets?, screw(ScrewPlace::BridgePost)).ok()
    };
    match &bridge.height {
        HeightBy::OwnSaddles { screws } => {
            facts.kind = BridgeKind::OwnSaddles;
            facts.alike = (*screws).max(1);
            facts.screws = places.iter().map(|p| TurnedScrew::SaddleHeight(vec![*p])).collect();
            facts.matrix =
                Bridge::own_saddles(places.len(), 1, screw(ScrewPlace::SaddleHeight)).ok();
        }
        HeightBy::SharedSaddles(saddles) => {
            facts.kind = BridgeKind::SharedSaddles;
            let sizes: Vec<usize> = saddles.iter().map(Vec::len).collect();
            facts.screws = saddles.iter().cloned().map(TurnedScrew::SaddleHeight).collect();
            facts.rows = saddles.concat();
            facts.matrix = Bridge::shared_saddles(&sizes, screw(ScrewPlace::SaddleHeight)).ok();
        }
        HeightBy::Fixed if bridge.posts != Some(true) => facts.kind = BridgeKind::Fixed,
        HeightBy::TwoPosts | HeightBy::Fixed => {
            facts.kind = BridgeKind::TwoPosts;
            facts.screws = POSTS.map(TurnedScrew::BridgePost).to_vec();
            facts.matrix = posts(&facts.rows);
        }
    }
    if bridge.posts == Some(true) && facts.kind != BridgeKind::TwoPosts {
        facts.posts = Some(Posts { matrix: posts(&facts.rows) });
    }
    if bridge.floating {
        facts.kind = BridgeKind::Floating;
    }
    facts
}

/// The thread of a screw: its own pitch, or that of its designation.
fn thread(screw: &ScrewSpec) -> Option<Thread> {
    let ThreadSpec { designation, pitch } = screw.thread.as_ref()?;
    let own = pitch.and_then(Amount::length).and_then(|p| Thread::own(p).ok());
    own.or_else(|| Thread::named(designation.as_deref()?).ok())
}

/// Which way gives more: height, length, relief.
fn more(screw: &ScrewSpec) -> Option<TurnDirection> {
    match screw.clockwise? {
        Clockwise::More => Some(TurnDirection::Clockwise),
        Clockwise::Less => Some(TurnDirection::Anticlockwise),
        Clockwise::Other(_) => None,
    }
}
