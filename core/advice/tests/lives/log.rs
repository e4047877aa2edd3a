//! A record that is written while an instrument lives: events in order, on one device.

use std::borrow::Cow;

use fallaway_advice::deed::{Deed, DeedKind};
use fallaway_advice::facts::{BridgeFacts, BridgeKind, Facts, RodFacts, RodKind, StringFacts};
use fallaway_advice::input::{Event, Goal, InOrder, Input, Pass, What, Wish};
use fallaway_advice::thing::{Thing, gap};
use fallaway_measure::{Amount, Fret, Location, Place, Quantity, Reading, Tool, Unit};
use fallaway_mechanics::bridge::Bridge;
use fallaway_mechanics::screws::{Screw, Thread};
use fallaway_record::{Moment, PassReading};

use super::world::{FRETS, JOINT, Noise, Reader, SCALE_MM, STRINGS, World};

/// 2026-01-10 10:00 UTC.
const START: i64 = 1_768_039_200;

pub fn place(string: usize) -> Place {
    Place::course(u8::try_from(string + 1).unwrap()).unwrap()
}

pub fn relief() -> Quantity {
    let fret = |n| Fret::new(n).unwrap();
    Quantity::Relief { from: fret(1), to: fret(24), at: None }
}

pub fn action() -> Quantity {
    gap(1, 24).unwrap()
}

pub fn nut() -> Quantity {
    gap(0, 1).unwrap()
}

pub fn facts() -> Facts {
    let string = |n| StringFacts {
        place: place(n),
        note: None,
        pitch_hz: None,
        scale_mm: Some(SCALE_MM),
        offset_mm: None,
        plain: None,
    };
    let thread = Some(Thread::named("M3").unwrap());
    Facts {
        strings: (0..STRINGS).map(string).collect(),
        last_fret: Some(FRETS as u8),
        joint_fret: Some(JOINT as u8),
        joint_uncertain_by: 2,
        rod: RodFacts { kind: RodKind::TwoWay, less_relief: None },
        bridge: BridgeFacts {
            kind: BridgeKind::OwnSaddles,
            matrix: Bridge::own_saddles(STRINGS, 1, Screw { thread, raises: None }).ok(),
            rows: (0..STRINGS).map(place).collect(),
            screws: (0..STRINGS).map(|n| format!("saddle {}", n + 1)).collect(),
            alike: 1,
            ..BridgeFacts::default()
        },
        ..Facts::default()
    }
}

/// A reading that somebody mistyped: another digit than was seen.
#[derive(Clone, Copy, PartialEq)]
pub enum Typo {
    None,
    Relief,
    Action(usize),
}

pub struct Log {
    pub input: Input<'static>,
    pub visits: Vec<usize>,
    by: &'static str,
}

impl Log {
    pub fn new() -> Self {
        let input = Input {
            facts: facts(),
            wishes: Vec::new(),
            events: Vec::new(),
            causality: &InOrder,
            now_unix_s: START,
        };
        Self { input, visits: Vec::new(), by: "owner" }
    }

    pub fn push(&mut self, what: What<'static>) -> usize {
        self.input.now_unix_s += 60;
        self.input.events.push(Event {
            at: Moment::new(self.input.now_unix_s, 0).unwrap(),
            by: Some(Cow::Borrowed(self.by)),
            visit: self.visits.last().copied(),
            struck: false,
            what,
        });
        self.input.events.len() - 1
    }

    pub fn visit(&mut self, days: f64, by: &'static str) {
        self.by = by;
        if !self.visits.is_empty() {
            self.push(What::VisitEnded);
        }
        self.input.now_unix_s += (days * 86_400.0) as i64;
        let at = self.push(What::VisitOpened);
        self.input.events[at].visit = Some(at);
        self.visits.push(at);
    }

    pub fn climate(&mut self, humidity: f64) {
        self.push(What::Climate {
            temperature_c: Some(20.0),
            humidity_percent: Some(humidity),
            hours_there: Some(72.0),
        });
    }

    pub fn done(&mut self, kind: DeedKind, string: Option<usize>, turns: Option<f64>) {
        let places = string.map(place).into_iter().collect();
        self.push(What::Done(Deed { kind, places, pickup: None, turns }));
    }

    fn pass(&mut self, quantity: Quantity, tool: Tool, readings: Vec<(Location, Amount)>) {
        let readings = readings
            .into_iter()
            .map(|(location, amount)| PassReading { location, reading: Reading::Value(amount) })
            .collect();
        self.push(What::Pass(Pass {
            quantity,
            tool: Some(tool),
            posture: None,
            says_tuned: true,
            as_left: false,
            readings: Cow::Owned(readings),
        }));
    }

    pub fn read_relief(&mut self, world: &World, reader: &Reader, typo: bool, noise: &mut Noise) {
        let mut seen = reader.feeler(world.relief(), noise);
        if typo {
            // The digits the wrong way round, or one key beside the right one.
            let (tens, ones) = (seen / 10, seen % 10);
            seen = if (tens - ones).abs() > 1 { ones * 10 + tens } else { seen + 20 };
        }
        let amount = Amount::decimal(seen, 2, Unit::Millimetre).unwrap();
        let tool = "feeler 0.01 mm".parse().unwrap();
        self.pass(relief(), tool, vec![(Location::Whole, amount)]);
    }

    /// Action of some strings.
    pub fn read_action(
        &mut self,
        world: &World,
        strings: &[usize],
        reader: &Reader,
        typo: Typo,
        noise: &mut Noise,
    ) {
        let readings = strings
            .iter()
            .map(|&s| {
                let mut seen = reader.rule(world.gap(s, 1, FRETS), noise);
                if typo == Typo::Action(s) {
                    seen += if noise.chance(0.5) { 3 } else { -3 };
                }
                let amount = Amount::fraction(seen.clamp(0, 60) as i32, 64).unwrap();
                (Location::Course(place(s)), amount)
            })
            .collect();
        self.pass(action(), Tool::RULE_64, readings);
    }

    pub fn read_nut(&mut self, world: &World, reader: &Reader, noise: &mut Noise) {
        let readings = (0..STRINGS)
            .map(|s| {
                let seen = reader.feeler(world.gap(s, 0, 1), noise);
                let amount = Amount::decimal(seen, 2, Unit::Millimetre).unwrap();
                (Location::Course(place(s)), amount)
            })
            .collect();
        self.pass(nut(), "feeler 0.01 mm".parse().unwrap(), readings);
    }

    pub fn want(&mut self, relief_mm: i64, action_mm: [f64; STRINGS]) {
        let at = Moment::new(self.input.now_unix_s, 0).unwrap();
        let hundredths = |v: i64| Amount::decimal(v, 2, Unit::Millimetre).unwrap();
        let mut want = |thing, wanted, tolerance| {
            let goal = Goal {
                wanted: hundredths(wanted),
                tolerance: hundredths(tolerance),
                posture: None,
                by: None,
                at: Some(at),
            };
            self.input.wishes.push(Wish { thing, values: vec![goal], contested: false });
        };
        want(Thing::whole(relief()), relief_mm, 5);
        for (string, mm) in action_mm.into_iter().enumerate() {
            want(Thing::string(action(), place(string)), (mm * 100.0).round() as i64, 20);
        }
    }
}
