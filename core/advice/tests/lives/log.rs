//! A record that is written while an instrument lives: events in order, on one device.

use std::borrow::Cow;

use fallaway_advice::observe::{
    BridgeFacts, BridgeKind, Event, EventKind, Facts, InOrder, Input, Intervention,
    InterventionKind, Measurand, Pass, RodFacts, RodKind, StringFacts, TargetState, TurnedScrew,
    Wanted, gap,
};
use fallaway_changes::Writer;
use fallaway_measure::{Amount, Fret, Location, Place, Quantity, Reading, Tool, Unit};
use fallaway_mechanics::bridge::Bridge;
use fallaway_mechanics::screws::{Screw, Thread};
use fallaway_record::{EntryId, Moment, PassReading};

use super::family::Family;
use super::noise::Noise;
use super::readers::{Held, Reader};
use super::world::World;

/// 2026-01-10 10:00 UTC.
const START: i64 = 1_768_039_200;

pub fn place(string: usize) -> Place {
    Place::course(u8::try_from(string + 1).unwrap()).unwrap()
}

fn facts(family: &Family) -> Facts {
    let n = family.strings();
    let string = |n: usize| StringFacts {
        place: place(n),
        pitch_hz: None,
        scale_mm: Some(family.scales[n]),
        offset_mm: None,
        plain: None,
    };
    let thread = Some(Thread::named("M3").unwrap());
    Facts {
        strings: (0..n).map(string).collect(),
        last_fret: Some(family.frets as u8),
        joint_fret: Some(family.joint as u8),
        joint_uncertain_by: 2,
        rod: RodFacts { kind: RodKind::TwoWay, less_relief: None },
        bridge: BridgeFacts {
            kind: BridgeKind::OwnSaddles,
            matrix: Bridge::own_saddles(n, 1, Screw { thread, raises: None }).ok(),
            rows: (0..n).map(place).collect(),
            screws: (0..n).map(|n| TurnedScrew::SaddleHeight(vec![place(n)])).collect(),
            alike: 1,
            ..BridgeFacts::default()
        },
        ..Facts::default()
    }
}

/// Which readings of a visit are misread or mistyped: one in so many.
#[derive(Clone, Copy)]
pub struct Slips(pub f64);

pub struct Log {
    pub input: Input<'static>,
    pub visits: Vec<usize>,
    /// Slips of the readings written down since the last look.
    pub slipped: usize,
    pub slips: Slips,
    family: &'static Family,
    by: &'static str,
}

impl Log {
    pub fn new(family: &'static Family, slips: Slips) -> Self {
        let input = Input {
            facts: facts(family),
            targets: Vec::new(),
            events: Vec::new(),
            causality: &InOrder,
            now_unix_s: START,
        };
        Self { input, visits: Vec::new(), slipped: 0, slips, family, by: "owner" }
    }

    pub fn relief(&self) -> Quantity {
        let fret = |n| Fret::new(n).unwrap();
        Quantity::Relief { from: fret(1), to: fret(self.family.frets as u8), at: None }
    }

    pub fn action(&self) -> Quantity {
        gap(1, self.family.frets as u8).unwrap()
    }

    /// Days since the first.
    pub fn day(&self) -> f64 {
        (self.input.now_unix_s - START) as f64 / 86_400.0
    }

    pub fn push(&mut self, what: EventKind<'static>) -> usize {
        self.input.now_unix_s += 60;
        let position = self.input.events.len() as u64;
        self.input.events.push(Event {
            entry: EntryId::new(Writer::from_bytes([1; 16]), position + 1),
            at: Moment::new(self.input.now_unix_s, 0).unwrap(),
            by: Some(Cow::Borrowed(self.by)),
            visit: self.visits.last().copied(),
            retracted: false,
            what,
        });
        self.input.events.len() - 1
    }

    pub fn visit(&mut self, days: f64, by: &'static str) {
        self.by = by;
        if !self.visits.is_empty() {
            self.push(EventKind::VisitEnded);
        }
        self.input.now_unix_s += (days * 86_400.0) as i64;
        let at = self.push(EventKind::VisitOpened);
        self.input.events[at].visit = Some(at);
        self.visits.push(at);
    }

    pub fn climate(&mut self, celsius: f64, humidity: f64) {
        self.push(EventKind::Climate {
            temperature_c: Some(celsius),
            humidity_percent: Some(humidity),
            hours_there: Some(72.0),
        });
    }

    pub fn done(&mut self, kind: InterventionKind, string: Option<usize>, turns: Option<f64>) {
        let places = string.map(place).into_iter().collect();
        self.push(EventKind::Done(Intervention { kind, places, pickup: None, turns }));
    }

    fn pass(&mut self, quantity: Quantity, tool: Tool, readings: Vec<(Location, Amount)>) {
        let readings = readings
            .into_iter()
            .map(|(location, amount)| PassReading { location, reading: Reading::Value(amount) })
            .collect();
        self.push(EventKind::Pass(Pass {
            quantity,
            tool: Some(tool),
            posture: None,
            says_tuned: true,
            as_left: false,
            readings: Cow::Owned(readings),
        }));
    }

    /// Reads a quantity of some strings, or of the whole instrument without one.
    pub fn read(
        &mut self,
        quantity: Quantity,
        strings: &[usize],
        world: &World,
        (reader, held): (&Reader, Held),
        noise: &mut Noise,
    ) {
        let places: Vec<Option<usize>> = if strings.is_empty() {
            vec![None]
        } else {
            strings.iter().copied().map(Some).collect()
        };
        let mut readings = Vec::new();
        for string in places {
            let slip = noise.chance(self.slips.0);
            self.slipped += usize::from(slip);
            let truth = match (quantity, string) {
                (Quantity::Gap { stopped, over }, Some(string)) => {
                    world.gap(string, usize::from(stopped.number()), usize::from(over.number()))
                }
                _ => world.relief(),
            };
            let location = string.map_or(Location::Whole, |s| Location::Course(place(s)));
            readings.push((location, reader.read(held, truth, slip, noise)));
        }
        self.pass(quantity, held.tool(), readings);
    }

    pub fn want(&mut self, relief_mm: i64, action_mm: &[f64]) {
        let at = Moment::new(self.input.now_unix_s, 0).unwrap();
        let hundredths = |v: i64| Amount::decimal(v, 2, Unit::Millimetre).unwrap();
        let (relief, action) = (self.relief(), self.action());
        let mut want = |measurand, wanted, tolerance| {
            let goal = Wanted {
                wanted: hundredths(wanted),
                tolerance: hundredths(tolerance),
                posture: None,
                by: None,
                at: Some(at),
            };
            self.input.targets.push(TargetState {
                measurand,
                values: vec![goal],
                contested: false,
            });
        };
        want(Measurand::whole(relief), relief_mm, 5);
        for (string, mm) in action_mm.iter().enumerate() {
            want(Measurand::string(action, place(string)), (mm * 100.0).round() as i64, 20);
        }
    }
}
