//! Laws of the plan over random records: two people, readings, adjustments, crossings out, contested
//! targets, and any knowledge of each other's entries.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    reason = "a test may fail in this way"
)]

use std::borrow::Cow;

use fallaway_advice::compare;
use fallaway_advice::compare::ComparedAt;
use fallaway_advice::observe::{
    BridgeFacts, BridgeKind, COVERAGE, Causality, Event, EventKind, Facts, Input, Intervention,
    InterventionKind, Measurand, MeasurandKind, Observation, ObservedPass, StringFacts,
    TargetState, Wanted, disturbs, gap,
};
use fallaway_advice::plan::{Plan, PlanStep, StepKind, StepVerdict};
use fallaway_advice::turns::{HandTurn, TurnDirection};
use fallaway_advice::{learn, observe, plan};
use fallaway_changes::Writer;
use fallaway_measure::{Amount, Fret, Location, Quantity, Reading, StringPlace, Tool, Unit};
use fallaway_mechanics::bridge::Bridge;
use fallaway_mechanics::screws::{Screw, Thread};
use fallaway_record::{EntryId, InstrumentSpec, Moment, PassReading};
use proptest::prelude::*;

const NOW: i64 = 1_768_039_200;

#[derive(Debug, Clone)]
enum Line {
    Opened,
    Ended,
    Read { quantity: usize, hundredths: Vec<i64>, tool: usize },
    Done { kind: usize, string: u8, eighths: i8 },
    Tuned,
    Climate(u8),
}

/// A line by one of two people, who may first have seen all the other wrote.
#[derive(Debug, Clone)]
struct Written {
    first: bool,
    merged: bool,
    struck: bool,
    hours_ago: i64,
    line: Line,
}

fn fret(n: u8) -> Fret {
    Fret::new(n).unwrap()
}

fn place(n: u8) -> StringPlace {
    StringPlace::course(n).unwrap()
}

fn quantities() -> Vec<Quantity> {
    vec![
        Quantity::Relief { from: fret(1), to: fret(24), at: None },
        Quantity::fall_away(12, 16, 24).unwrap(),
        gap(1, 24).unwrap(),
        gap(0, 12).unwrap(),
        gap(3, 1).unwrap(),
        gap(0, 1).unwrap(),
        Quantity::PickupGap { pickup: 1, stopped: fret(24) },
        Quantity::Intonation { fret: fret(12) },
        Quantity::Pitch,
        Quantity::SpacingBridge,
        Quantity::BridgeHeight,
        Quantity::BridgeTail,
    ]
}

fn tools() -> [Option<Tool>; 4] {
    [None, Some(Tool::FEELER_THOU), Some(Tool::RULE_64), "dial 0.01 mm".parse().ok()]
}

fn line() -> impl Strategy<Value = Line> {
    prop_oneof![
        1 => Just(Line::Opened),
        1 => Just(Line::Ended),
        8 => (0..9usize, prop::collection::vec(-20..320i64, 4), 0..4usize)
            .prop_map(|(quantity, hundredths, tool)| Line::Read { quantity, hundredths, tool }),
        5 => (0..14usize, 1..5u8, -8..9i8)
            .prop_map(|(kind, string, eighths)| Line::Done { kind, string, eighths }),
        2 => Just(Line::Tuned),
        1 => (20..80u8).prop_map(Line::Climate),
    ]
}

fn written() -> impl Strategy<Value = Written> {
    (any::<bool>(), any::<bool>(), prop::bool::weighted(0.15), 0..40i64, line()).prop_map(
        |(first, merged, struck, hours_ago, line)| Written {
            first,
            merged,
            struck,
            hours_ago,
            line,
        },
    )
}

/// What each entry's writer had seen.
struct Seens(Vec<Vec<bool>>);

impl Causality for Seens {
    fn precedes(&self, earlier: usize, later: usize) -> bool {
        self.0.get(later).is_some_and(|seen| seen.get(earlier).copied().unwrap_or(false))
    }
}

fn causality(lines: &[Written]) -> Seens {
    let mut known = [vec![false; lines.len()], vec![false; lines.len()]];
    let mut seens = Vec::new();
    for (index, written) in lines.iter().enumerate() {
        let who = usize::from(written.first);
        if written.merged {
            let other = known[1 - who].clone();
            for (mine, theirs) in known[who].iter_mut().zip(other) {
                *mine |= theirs;
            }
        }
        seens.push(known[who].clone());
        known[who][index] = true;
    }
    Seens(seens)
}

fn events(lines: &[Written]) -> Vec<Event<'static>> {
    let mut visits = [None, None];
    let mut events = Vec::new();
    for (index, written) in lines.iter().enumerate() {
        let who = usize::from(written.first);
        let what = match &written.line {
            Line::Opened => {
                visits[who] = Some(index);
                EventKind::VisitOpened
            }
            Line::Ended => EventKind::VisitEnded,
            Line::Read { quantity, hundredths, tool } => {
                let quantity = quantities()[*quantity];
                let cents = matches!(quantity, Quantity::Pitch | Quantity::Intonation { .. });
                let unit = if cents { Unit::Cent } else { Unit::Millimetre };
                let tool = tools()[*tool].filter(|_| !cents);
                let locations = match quantity {
                    Quantity::Relief { .. } => vec![Location::Whole],
                    _ => (1..=4).map(|n| Location::Course(place(n))).collect(),
                };
                let readings = locations
                    .into_iter()
                    .zip(hundredths)
                    .map(|(location, h)| PassReading {
                        location,
                        reading: Reading::Value(Amount::decimal(*h, 2, unit).unwrap()),
                    })
                    .collect();
                EventKind::Pass(ObservedPass {
                    quantity,
                    tool,
                    posture: None,
                    says_tuned: false,
                    as_left: false,
                    readings: Cow::Owned(readings),
                })
            }
            Line::Done { kind, string, eighths } => {
                let kind = InterventionKind::ALL[*kind];
                let turns = Some(f64::from(*eighths) / 8.0);
                let places = match kind {
                    InterventionKind::Rod | InterventionKind::Pickup => Vec::new(),
                    _ => vec![place(*string)],
                };
                let pickup = (kind == InterventionKind::Pickup).then_some(1);
                EventKind::Done(Intervention { kind, places, pickup, post: None, turns })
            }
            Line::Tuned => EventKind::Tuned,
            Line::Climate(humidity) => EventKind::Climate {
                temperature_c: None,
                humidity_percent: Some(f64::from(*humidity)),
                hours_there: Some(48.0),
            },
        };
        events.push(Event {
            entry: named(events.len()),
            at: Moment::new(NOW - written.hours_ago * 3600, 0).unwrap(),
            by: Some(Cow::Borrowed(if written.first { "tech" } else { "player" })),
            visit: visits[who],
            retracted: written.struck,
            what,
        });
    }
    events
}

fn targets(contested: &[bool]) -> Vec<TargetState> {
    let mm = |h| Amount::decimal(h, 2, Unit::Millimetre).unwrap();
    let cent = |c| Amount::decimal(c, 0, Unit::Cent).unwrap();
    let mut all = Vec::new();
    for quantity in quantities() {
        let (wanted, tolerance) = match quantity {
            Quantity::Relief { .. } => (mm(20), mm(5)),
            Quantity::Pitch | Quantity::Intonation { .. } => (cent(0), cent(2)),
            _ => (mm(180), mm(10)),
        };
        let locations = match quantity {
            Quantity::Relief { .. } => vec![Location::Whole],
            _ => (1..=4).map(|n| Location::Course(place(n))).collect(),
        };
        for location in locations {
            let goal =
                Wanted { wanted, tolerance, posture: None, by: None, at: None, taken: false };
            let contested = contested.get(all.len() % contested.len().max(1)) == Some(&true);
            let measurand = Measurand { quantity, location };
            all.push(TargetState { measurand, values: vec![goal], contested });
        }
    }
    all
}

fn facts(bridge: usize, shown: bool) -> Facts {
    let shown = shown.then_some(TurnDirection::Clockwise);
    let screw = Screw { thread: Thread::named("M3").ok(), raises: shown };
    let kind = [
        BridgeKind::OwnSaddles,
        BridgeKind::SharedSaddles,
        BridgeKind::Fixed,
        BridgeKind::Floating,
        BridgeKind::Unknown,
    ][bridge];
    let matrix = match kind {
        BridgeKind::OwnSaddles => Bridge::own_saddles(4, 1, screw).ok(),
        BridgeKind::SharedSaddles => Bridge::shared_saddles(&[2, 2], screw).ok(),
        _ => None,
    };
    let strings = (1..=4).map(|n| StringFacts {
        place: place(n),
        pitch_hz: None,
        scale_mm: Some(863.6),
        offset_mm: None,
        gauge_mm: None,
        plain: None,
    });
    Facts {
        strings: strings.collect(),
        last_fret: Some(24),
        bridge: BridgeFacts {
            kind,
            matrix,
            rows: (1..=4).map(place).collect(),
            alike: 1,
            ..BridgeFacts::default()
        },
        ..Facts::default()
    }
}

/// The entry at a position.
fn named(position: usize) -> EntryId {
    EntryId::new(Writer::from_bytes([1; 16]), position as u64 + 1)
}

/// The position of an entry.
fn at(entry: EntryId) -> usize {
    entry.number as usize - 1
}

const EARLIER: &str = "of an earlier visit";

/// Whether a reading may be used, worked out from the record alone.
fn stands(input: &Input<'_>, seen: &Observation) -> Result<(), String> {
    let event = &input.events[at(seen.entry)];
    if event.retracted {
        return Err("crossed out".into());
    }
    if !matches!(event.what, EventKind::Pass(_)) {
        return Err("no reading".into());
    }
    for (index, other) in input.events.iter().enumerate() {
        if other.retracted {
            continue;
        }
        match &other.what {
            EventKind::Done(intervention)
                if !input.causality.precedes(index, at(seen.entry))
                    && disturbs(intervention, seen.measurand, &input.facts) =>
            {
                return Err(format!("stale: {:?} at {index}", intervention.kind));
            }
            EventKind::VisitOpened => {
                let visit = event.visit.unwrap_or(at(seen.entry));
                if input.causality.precedes(visit, index) {
                    return Err(EARLIER.into());
                }
            }
            _ => {}
        }
    }
    Ok(())
}

/// By how much the rod was turned at most against a direction, from any of its turns on.
fn net_turned_against(input: &Input<'_>, direction: TurnDirection) -> f64 {
    let way = if direction == TurnDirection::Clockwise { 1.0 } else { -1.0 };
    let rod = input.events.iter().filter(|e| !e.retracted).filter_map(|e| match &e.what {
        EventKind::Done(done) if done.kind == InterventionKind::Rod => done.turns,
        _ => None,
    });
    rod.fold(0.0, |against: f64, turns| (against - way * turns).max(0.0))
}

fn check(input: &Input<'_>, plan: &Plan) -> Result<(), TestCaseError> {
    let mut working: Vec<&PlanStep> = Vec::new();
    for step in &plan.steps {
        let measurand = step.measurand;
        if let Some(compared) = &step.compared {
            let seen = step.seen.as_ref().expect("a comparison names its reading");
            // A nut that nobody worked on stays as an earlier visit found it: it is passed over, not worked on.
            let kept = seen.measurand.kind() == Some(MeasurandKind::NutHeld)
                && step.verdict.adjust().is_none();
            if let Err(why) = stands(input, seen)
                && !(kept && why == EARLIER)
            {
                return Err(TestCaseError::fail(format!("{:?} from a reading {why}", step.kind)));
            }
            let target_state = measurand.and_then(|t| input.target_state(t));
            prop_assert!(
                target_state.is_none_or(|w| !w.contested),
                "advised from a contested target"
            );
            if let StepVerdict::Adjust(adjust) = &step.verdict {
                let off = compared.off();
                // A string's action is judged by its whole density, on a side that is as good as sure.
                let told = off.value.abs() > COVERAGE * off.standard_uncertainty;
                let by_density = step.kind == StepKind::Action;
                prop_assert!(told || by_density, "adjusted within what the reading tells");
                let beyond = off.value.abs() > compared.tolerance;
                prop_assert!(beyond || !adjust.explains.is_empty(), "adjusted within tolerance");
            }
        }
        let StepVerdict::Adjust(adjust) = &step.verdict else { continue };
        prop_assert!(step.compared.is_some(), "adjusted without a comparison");
        if step.kind == StepKind::Relief {
            prop_assert!(adjust.moves.iter().all(|m| m.turn.eighths <= 2), "over a quarter turn");
            // A test is an eighth; only what was turned the other way is taken back by a quarter, over known ground.
            let taken_back = |turn: HandTurn| {
                turn.direction.is_some_and(|direction| {
                    f64::from(turn.eighths) / 8.0 <= net_turned_against(input, direction)
                })
            };
            let tests = adjust.moves.iter().map(|m| m.turn).filter(|turn| turn.is_trial);
            for turn in tests {
                prop_assert!(turn.eighths == 1 || taken_back(turn), "{turn:?}");
            }
        }
        if adjust.moves.iter().any(|m| m.turn.is_trial) {
            prop_assert!(adjust.expect.is_none(), "a forecast of a try");
        }
        // Turns only up to the next reading: nothing that an earlier adjustment disturbs is turned.
        for earlier in &working {
            let (Some(kind), Some(measurand)) = (earlier.kind.intervention(), measurand) else {
                continue;
            };
            let places = earlier.place().into_iter().collect();
            let pickup = (kind == InterventionKind::Pickup).then_some(1);
            let places = if kind == InterventionKind::Rod { Vec::new() } else { places };
            let intervention = Intervention { kind, places, pickup, post: None, turns: None };
            let mild = earlier.kind == StepKind::Tune;
            prop_assert!(
                mild || !disturbs(&intervention, measurand, &input.facts),
                "{:?} turned though {:?} comes first",
                step.kind,
                earlier.kind
            );
        }
        working.push(step);
    }
    if let Some(next) = plan.next_step() {
        let waits = matches!(next.verdict, StepVerdict::Wait { .. });
        prop_assert!(!next.verdict.settled() && !waits, "the next step asks for nothing");
    }
    Ok(())
}

/// Whether every decimal number is followed by its unit.
fn units_follow(sentence: &str) -> bool {
    let plain = |word: &str| word.trim_matches(['(', ')', ',', ';', '.', ':']).to_owned();
    let text: Vec<String> = sentence.split_whitespace().map(plain).collect();
    text.iter().enumerate().all(|(at, word)| {
        let number = word.contains('.') && word.parse::<f64>().is_ok();
        let unit = text.get(at + 1).map(String::as_str);
        !number || matches!(unit, Some("mm" | "cent" | "cents" | "in" | "thou" | "GPa" | "%"))
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1500))]

    #[test]
    fn nothing_is_advised_from_stale_contested_or_struck(
        lines in prop::collection::vec(written(), 0..40),
        contested in prop::collection::vec(prop::bool::weighted(0.2), 1..7),
        bridge in 0..5usize,
        shown in any::<bool>(),
    ) {
        let order = causality(&lines);
        let input = Input {
            facts: facts(bridge, shown),
            targets: targets(&contested),
            events: events(&lines),
            causality: &order,
            now_unix_s: NOW,
        };
        let plan = plan(&input);
        check(&input, &plan)?;
        // Nor does anything else come to grief over such a record.
        for step in &plan.steps {
            let said = fallaway_text::plan::step(step, &InstrumentSpec::default());
            for sentence in said.sentences().chain(&said.cautions).map(ToString::to_string) {
                prop_assert!(units_follow(&sentence), "a number without its unit: {sentence}");
            }
        }
        let whole = fallaway_text::plan_page::text(&plan, &InstrumentSpec::default(), &fallaway_text::Voice::default());
        prop_assert!(!whole.is_empty());
        for visit in 0..lines.len() {
            for target in observe::targets_from_visit(&input, named(visit)) {
                prop_assert!(!input.events[at(target.from.entry)].retracted);
                prop_assert!(target.tolerance.sign() == std::cmp::Ordering::Greater);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn what_is_told_of_any_record_rests_on_what_stands_in_it(
        lines in prop::collection::vec(written(), 0..40),
        contested in prop::collection::vec(prop::bool::weighted(0.2), 1..7),
        shown in any::<bool>(),
    ) {
        let order = causality(&lines);
        let input = Input {
            facts: facts(0, shown),
            targets: targets(&contested),
            events: events(&lines),
            causality: &order,
            now_unix_s: NOW,
        };
        let live = |entry: EntryId| !input.events[at(entry)].retracted;
        let visits = (0..input.events.len())
            .filter(|&i| matches!(input.events[i].what, EventKind::VisitOpened));
        let mut sides = vec![ComparedAt::Setup, ComparedAt::Today];
        sides.extend(visits.flat_map(|v| [ComparedAt::AsFound(named(v)), ComparedAt::AsLeft(named(v))]).take(4));
        for from in &sides {
            for to in &sides {
                let Ok(changed) = compare::what_changed(&input, *from, *to) else { continue };
                for part in &changed.parts {
                    let held = part.interval_mm.is_none_or(|(low, high)| {
                        low <= part.change.value && part.change.value <= high
                    });
                    prop_assert!(held, "{part:?}");
                    // A side compared with itself: nothing moved.
                    let same = from != to || part.verdict != compare::PartVerdict::Moved;
                    prop_assert!(same, "{part:?}");
                    prop_assert!(part.rests_on_one.as_ref().is_none_or(|s| live(s.entry)));
                }
                prop_assert!(changed.contradicting.iter().all(|s| live(s.entry)));
                prop_assert!(changed.noted.iter().all(|n| live(n.entry)));
                for said in fallaway_text::changed::sentences(&changed, &InstrumentSpec::default()) {
                    let said = said.to_string();
                    prop_assert!(units_follow(&said), "a number without its unit: {said}");
                }
            }
        }
        let found = learn::learned(&input);
        let lessons = std::iter::once(&found.rod)
            .chain(found.season.iter().map(|s| &s.per_percent))
            .chain(found.readers.iter().flat_map(|r| [&r.repeatability, &r.offset]));
        for lesson in lessons {
            prop_assert!(lesson.estimate.low <= lesson.estimate.value);
            prop_assert!(lesson.estimate.value <= lesson.estimate.high);
            prop_assert!(lesson.excluded.iter().all(|e| live(e.entry)));
        }
        for said in fallaway_text::learned::sentences(&found, &InstrumentSpec::default()) {
            let said = said.to_string();
            prop_assert!(units_follow(&said), "a number without its unit: {said}");
        }
        let air = learn::ForecastClimate { name: "winter".into(), temperature_c: None, humidity_percent: 30.0 };
        if let Ok(forecast) = learn::forecast(&input, &[air]) {
            for said in fallaway_text::forecast::sentences(&forecast, &InstrumentSpec::default()) {
                let said = said.to_string();
                prop_assert!(units_follow(&said), "a number without its unit: {said}");
            }
        }
    }
}
