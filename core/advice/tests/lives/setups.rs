//! Two years of quarterly set-ups, by the plan and by two rules of thumb: how many turns it takes to
//! bring the numbers to their targets, and how often a turn overshoots.

use fallaway_advice::observe::{InterventionKind, MeasurandKind};
use fallaway_advice::plan;
use fallaway_advice::plan::{StepKind, StepVerdict};
use fallaway_advice::turns::sign;
use uom::si::length::millimeter;

use super::family::Family;
use super::log::{Log, Slips};
use super::noise::Noise;
use super::readers::{Held, Reader};
use super::world::{World, moisture, room};

/// Tolerances of relief and action in mm.
const TOLERANCE: (f64, f64) = (0.05, 0.20);
const RELIEF_MM: f64 = 0.20;
/// Most rounds of one visit.
const MOST_ROUNDS: usize = 60;

/// Who works.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hand {
    /// Does what the plan says next.
    Plan,
    /// Adjusts saddles whenever an action is off; leaves the rod.
    SaddlesOnly,
    /// Turns the rod a fixed quarter whenever the relief is off, then adjusts saddles.
    FixedQuarter,
}

/// Counts over many visits.
#[derive(Debug, Default, Clone)]
pub struct Setups {
    pub visits: usize,
    pub rod_turns: usize,
    pub saddle_turns: usize,
    /// Turns that took the true value past its target by more than the tolerance.
    pub overshoots: usize,
    /// Visits after which every true value lay within its tolerance and half of it again.
    pub good: usize,
    /// Visits after which the true relief lay within its tolerance and half of it again.
    pub relief_good: usize,
    /// Visits that ended with the most rounds there may be.
    pub endless: usize,
}

impl Setups {
    pub fn add(&mut self, other: &Self) {
        self.visits += other.visits;
        self.rod_turns += other.rod_turns;
        self.saddle_turns += other.saddle_turns;
        self.overshoots += other.overshoots;
        self.good += other.good;
        self.relief_good += other.relief_good;
        self.endless += other.endless;
    }
}

struct Bench {
    hand: Hand,
    world: World,
    log: Log,
    reader: Reader,
    noise: Noise,
    target: Vec<f64>,
    /// What a rule-of-thumb hand knows of the rod: which way gives less.
    less: Option<f64>,
    told: Setups,
}

/// Two years of one instrument in one pair of hands; the same seed is the same instrument.
pub fn work(family: &'static Family, seed: u64, hand: Hand) -> Setups {
    let mut noise = Noise::new(seed);
    let mut world = World::new(family, &mut noise);
    let reader = Reader::new("tech", &mut noise);
    let mut airs = Noise::new(seed ^ 0x00a1_7a1f);
    let mut log = Log::new(family, Slips(0.0));
    world.season = 1.3 * family.season * airs.sign();
    let mut tuned = world.clone();
    tuned.base += RELIEF_MM - tuned.relief();
    let target: Vec<f64> = (0..family.strings())
        .map(|s| (tuned.gap(s, 1, family.frets) * 100.0).round() / 100.0)
        .collect();
    log.want((RELIEF_MM * 100.0) as i64, &target);
    let mut bench = Bench {
        hand,
        world,
        log,
        reader,
        noise: Noise::new(seed ^ 0x5eed),
        target,
        less: None,
        told: Setups::default(),
    };
    // What is the same for every hand comes from a generator of its own.
    for _ in 0..8 {
        bench.log.visit(91.0, "tech");
        let (celsius, humidity) = room(bench.log.day());
        let humidity = (humidity + 4.0 * airs.normal()).clamp(20.0, 80.0).round();
        bench.world.moisture = moisture(celsius, humidity);
        bench.world.lag = 0.02 * airs.normal();
        if airs.chance(0.1) {
            let (low, high) = family.turned;
            let by = airs.sign() * f64::midpoint(low, high);
            bench.world.saddles[airs.below(family.strings())] += by;
        }
        bench.log.climate(celsius, humidity);
        bench.visit();
    }
    bench.told
}

impl Bench {
    fn visit(&mut self) {
        self.told.visits += 1;
        match self.hand {
            Hand::Plan => self.by_plan(),
            Hand::SaddlesOnly => self.saddles(),
            Hand::FixedQuarter => {
                self.quarters();
                self.saddles();
            }
        }
        let off = (0..self.target.len())
            .map(|s| {
                (self.world.gap(s, 1, self.world.family.frets) - self.target[s]).abs() / TOLERANCE.1
            })
            .fold(0.0, f64::max);
        let relief = (self.world.relief() - RELIEF_MM).abs() / TOLERANCE.0;
        self.told.good += usize::from(off <= 1.5 && relief <= 1.5);
        self.told.relief_good += usize::from(relief <= 1.5);
    }

    fn by_plan(&mut self) {
        self.read_relief();
        self.read_actions();
        for _ in 0..MOST_ROUNDS {
            let plan = plan(&self.log.input);
            let Some(step) = plan.next_step() else { return };
            match (&step.verdict, step.kind) {
                (_, StepKind::AsLeft) | (StepVerdict::Stop { .. }, _) => return,
                (StepVerdict::Adjust(adjust), kind) => {
                    let Some(m) = adjust.moves.first() else { return };
                    let turns = m.turn.turns() * m.turn.direction.map_or(1.0, sign);
                    match (kind, step.place()) {
                        (StepKind::Relief, _) => self.turn_rod(turns),
                        (_, Some(place)) => {
                            self.turn_saddle(usize::from(place.number()) - 1, turns);
                        }
                        _ => return,
                    }
                }
                _ => match step.measurand.and_then(fallaway_advice::observe::Measurand::kind) {
                    Some(MeasurandKind::Relief) => self.read_relief(),
                    Some(_) => match step.place() {
                        Some(place) => self.read_action(&[usize::from(place.number()) - 1]),
                        None => return,
                    },
                    None => return,
                },
            }
        }
        self.told.endless += 1;
    }

    /// By rule of thumb; the first quarter tells which way the rod works.
    fn quarters(&mut self) {
        for _ in 0..8 {
            let before = self.relief_seen();
            let off = before - RELIEF_MM;
            if off.abs() <= TOLERANCE.0 {
                return;
            }
            let less = self.less.unwrap_or(1.0);
            let turns = 0.25 * less * off.signum();
            self.turn_rod(turns);
            if self.less.is_none() {
                let after = self.relief_seen();
                self.less = Some(if after < before { turns.signum() } else { -turns.signum() });
            }
        }
    }

    fn relief_seen(&mut self) -> f64 {
        self.seen(Held::Feeler, self.world.relief())
    }

    fn saddles(&mut self) {
        for string in 0..self.target.len() {
            for _ in 0..8 {
                let gap = self.world.gap(string, 1, self.world.family.frets);
                let off = self.seen(Held::Rule64, gap) - self.target[string];
                if off.abs() <= TOLERANCE.1 {
                    break;
                }
                // The screws' thread and direction are known to this hand.
                let turns =
                    -off * self.world.saddle_per_action(string) / self.world.saddle_per_turn;
                self.turn_saddle(string, (turns * 8.0).round() / 8.0);
            }
        }
    }

    fn turn_rod(&mut self, turns: f64) {
        let before = self.world.relief() - RELIEF_MM;
        self.world.turns += turns;
        let after = self.world.relief() - RELIEF_MM;
        self.told.rod_turns += 1;
        // A try that shows the direction is no overshoot; passing the target by its tolerance is.
        self.told.overshoots += usize::from(before * after < 0.0 && after.abs() > TOLERANCE.0);
        self.log.done(InterventionKind::Rod, None, Some(turns));
    }

    fn turn_saddle(&mut self, string: usize, turns: f64) {
        let before = self.world.gap(string, 1, self.world.family.frets) - self.target[string];
        self.world.saddles[string] += turns * self.world.saddle_per_turn;
        let after = self.world.gap(string, 1, self.world.family.frets) - self.target[string];
        self.told.saddle_turns += 1;
        self.told.overshoots += usize::from(before * after < 0.0 && after.abs() > TOLERANCE.1);
        self.log.done(InterventionKind::SaddleHeight, Some(string), Some(turns));
    }

    /// What a hand that keeps no record sees, in mm.
    fn seen(&mut self, held: Held, truth: f64) -> f64 {
        let amount = self.reader.read(held, truth, false, &mut self.noise);
        amount.length().unwrap().get::<millimeter>()
    }

    fn read_relief(&mut self) {
        let with = (&self.reader, Held::Feeler);
        self.log.read(self.log.relief(), &[], &self.world, with, &mut self.noise);
    }

    fn read_action(&mut self, strings: &[usize]) {
        let with = (&self.reader, Held::Rule64);
        self.log.read(self.log.action(), strings, &self.world, with, &mut self.noise);
    }

    fn read_actions(&mut self) {
        let all: Vec<usize> = (0..self.target.len()).collect();
        self.read_action(&all);
    }
}

/// The word for a hand.
pub const fn word(hand: Hand) -> &'static str {
    match hand {
        Hand::Plan => "the plan",
        Hand::SaddlesOnly => "saddles whenever action is off",
        Hand::FixedQuarter => "rod a fixed quarter whenever relief is off, then saddles",
    }
}
