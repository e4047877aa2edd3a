//! Visits: what befalls an instrument meanwhile, and a hand that does what the plan says next, to the
//! letter, until it asks for nothing more.

use fallaway_advice::observe::{Measurand, MeasurandKind, TurnedScrew};
use fallaway_advice::plan::{
    PartWay, Plan, PlanStep, ScrewMove, StepKind, StepVerdict, StepWork, StopReason, WhyLook,
};
use fallaway_advice::turns::sign;
use fallaway_measure::{Location, Quantity, Side};
use fallaway_record::AdjustedPart;
use fallaway_record::spec::ScrewPlace;
use fallaway_text::Voice;
use fallaway_text::plan_page::now;

use crate::changed::{Told, asked, since_last};
use crate::instrument::{BridgeKind, Instrument, KINDS, Kind};
use crate::log::{Log, gap, place, relief};
use crate::noise::Noise;
use crate::reader::{Held, Reader};

/// Tolerances of relief and of action in mm.
pub const TOLERANCE: (f64, f64) = (0.05, 0.20);
/// A visit of more rounds than this is too long: looks at the plan that lead to a turn or a reading.
pub const LONG: usize = 25;
/// One of more than this has no end, and is broken off.
pub const MOST_ROUNDS: usize = 60;

/// A rod that is turned the wrong way by more turns than this is harmed: an eighth, and what a hand adds.
pub const WRONG_WAY: f64 = 0.125 + 0.04;

/// How a visit ended.
#[derive(Debug, Clone, PartialEq)]
pub enum End {
    /// The plan asks for nothing more.
    Done,
    /// It says stop, and it is right.
    StoppedRightly(StopReason),
    /// It says stop, and nothing is the matter.
    StoppedFalsely(StopReason),
    /// It asks for more and more.
    Endless,
    /// It asks for what a hand cannot do.
    CannotFollow(String),
}

/// One visit, told afterwards by the truth.
#[derive(Debug, Clone)]
pub struct Visit {
    /// Of which instrument.
    pub instrument: u64,
    /// Its bridge.
    pub bridge: BridgeKind,
    /// With which tool.
    pub tool: Held,
    /// Nothing was on the record yet.
    pub first: bool,
    /// Something was misread.
    pub misread: bool,
    /// How it ended.
    pub end: End,
    /// Looks at the plan that led to more than tuning.
    pub rounds: usize,
    /// The true relief off its target at the end, over the tolerance.
    pub relief_off: f64,
    /// The same of each string.
    pub strings_off: Vec<f64>,
    /// What was done with the rod, and with the bridge.
    pub rod: Turned,
    /// The same of saddles and posts.
    pub saddles: Turned,
    /// The rod was turned the wrong way, by more than an eighth in all.
    pub rod_harmed: bool,
    /// A screw was turned to the end of its thread.
    pub thread_ended: bool,
    /// Each needless turn of a saddle or post.
    pub needless: Vec<Needless>,
}

/// A turn of a saddle or post where all that it moves was truly within its tolerance.
#[derive(Debug, Clone, Copy)]
pub struct Needless {
    /// A test of unknown direction.
    pub attempt: bool,
    /// The same screw was turned before in this visit.
    pub again: bool,
    /// How far the worst string that it moves was off, over the tolerance.
    pub off: f64,
    /// By how much it was turned.
    pub turns: f64,
}

/// Advices to turn that were followed.
#[derive(Debug, Clone, Copy, Default)]
pub struct Turned {
    /// How many.
    pub advices: usize,
    /// Of these, tries whose direction was not known.
    pub tries: usize,
    /// Where all that it moves was truly within its tolerance before.
    pub needless: usize,
    /// No tries, and they took the true value past its target by more than the tolerance.
    pub overshoots: usize,
}

/// What is tried.
#[derive(Debug, Clone, Copy)]
pub struct Trial {
    /// The seed.
    pub seed: u64,
    /// One reading in so many is misread; 0 for none.
    pub misreads: f64,
    /// Visits of each instrument.
    pub visits: usize,
    /// Neck and a saddle move between any two visits, for comparisons of which much is to tell; else what
    /// befalls an instrument is rare.
    pub eventful: bool,
}

/// One instrument in one pair of hands.
pub struct Bench {
    /// The truth.
    pub made: Instrument,
    /// What is written down.
    pub log: Log,
    reader: Reader,
    noise: Noise,
    tool: Held,
    /// Wanted: relief, and each string's action.
    wanted: (f64, Vec<f64>),
    /// Actions are read stopped at this fret over that one.
    ways: (usize, usize),
    reads_nut: bool,
    eventful: bool,
    number: u64,
    day: f64,
    /// As the last visit left it, and whether something was misread in it.
    left: Option<(Instrument, bool)>,
    told: Told,
    /// Says what is done, if anybody asks.
    tell: bool,
    turned: (Turned, Turned),
    /// Turns of the rod the wrong way since one the right way; the most of them.
    wrong_way: (f64, f64),
    thread_ended: bool,
    /// Screws turned in this visit, and which of these turns were needless.
    screws: Vec<usize>,
    needless: Vec<Needless>,
    /// It was looked which way a screw goes.
    looked: bool,
}

impl Bench {
    /// The instrument of a number: its kind, bridge and tool follow from it in turn.
    pub fn new(trial: Trial, number: u64, tell: bool) -> Self {
        let mut noise = Noise::new(trial.seed, number);
        let turn = number as usize;
        let bridge = BridgeKind::ALL[turn % 5];
        let kind: &'static Kind = &KINDS[turn / 5 % 4];
        let tool = Held::ALL[turn / 20 % 4];
        let pitch = [0.5, 0.5, 0.7, 0.8][noise.below(4)];
        let made = Instrument::new(kind, bridge, pitch, &mut noise);
        let log = Log::new(&made, &mut noise);
        let ways = if noise.chance(0.75) { (1, kind.frets) } else { (0, 12) };
        // What is wanted is what it can be: the owner's numbers, give or take.
        let actions =
            (0..kind.strings()).map(|s| ((made.gap(s, ways.0, ways.1).1) * 100.0).round() / 100.0);
        let wanted = (kind.relief, actions.collect());
        let reader = Reader::new(trial.misreads, &mut noise);
        let reads_nut = noise.chance(0.6);
        let mut bench = Self {
            made,
            log,
            reader,
            noise,
            tool,
            wanted,
            ways,
            reads_nut,
            eventful: trial.eventful,
            number,
            day: 0.0,
            left: None,
            told: Told::default(),
            tell,
            turned: Default::default(),
            wrong_way: (0.0, 0.0),
            thread_ended: false,
            screws: Vec::new(),
            needless: Vec::new(),
            looked: false,
        };
        let (relief_mm, actions) = bench.wanted.clone();
        bench.log.want(relief(kind.frets), Location::Whole, relief_mm, TOLERANCE.0);
        for (string, mm) in actions.into_iter().enumerate() {
            let at = Location::Course(place(string));
            bench.log.want(gap(ways.0, ways.1), at, mm, TOLERANCE.1);
        }
        bench.misset();
        bench
    }

    /// It comes as it was left by somebody else.
    fn misset(&mut self) {
        let (made, noise) = (&mut self.made, &mut self.noise);
        made.turn_rod(noise.between(-0.5, 0.5));
        let screws = made.bridge.rise.len();
        for screw in 0..screws {
            let mm = noise.between(-0.5, 0.9);
            if made.bridge.kind == BridgeKind::Fixed {
                made.shim(screw, mm.abs());
            } else {
                made.turn_screw(screw, mm / made.bridge.per_turn);
            }
        }
    }

    fn say(&self, text: impl FnOnce() -> String) {
        if self.tell {
            println!("{}", text());
        }
    }

    /// Time passes, things happen that nobody notes, and the instrument comes in. As found, relief and
    /// actions are read.
    pub fn come_in(&mut self) {
        let first = self.log.visits.is_empty();
        let days = self.noise.between(60.0, 120.0);
        self.day += days;
        let humidity = (46.0 + 12.0 * (self.day / 58.1).sin() + 4.0 * self.noise.normal()).round();
        let mut told = Vec::new();
        if !first {
            self.made.age(days, humidity, &mut self.noise);
            if self.log.visits.len() > 3 {
                self.told.forecast(&self.log, &self.made, humidity);
            }
            told = self.befall();
        }
        self.log.visit(if first { 0.0 } else { days });
        if self.noise.chance(0.6) {
            self.log.climate(humidity);
        }
        if told.contains(&Event::Strings) {
            self.log.strings();
        }
        self.log.tuned();
        self.say(|| {
            let n = self.log.visits.len();
            format!("\n== instrument {}, visit {n}; unnoted or new: {told:?}", self.number)
        });
        let before = std::mem::take(&mut self.left);
        self.reader.slipped = 0;
        self.read_relief(false, false);
        self.read_actions(&self.all(), self.tool, false);
        if self.reads_nut {
            self.read_nut(&self.all(), false);
        }
        if let Some((before, slipped)) = before {
            self.compare(&before, slipped);
        }
    }

    /// What is said to have changed since the last visit, at once and once it is read again as asked.
    fn compare(&mut self, before: &Instrument, slipped: bool) {
        let Some(mut found) = since_last(&self.log) else { return };
        let ends = (before, &self.made);
        self.told.at_once.score(&found, slipped || self.reader.slipped > 0, ends);
        for _ in 0..2 {
            let again = asked(&found);
            if again.is_empty() {
                break;
            }
            self.told.again += again.len();
            for (quantity, at) in again {
                let string = at.map(|p| usize::from(p.number()) - 1);
                match string {
                    Some(string) if quantity == self.quantity() => {
                        self.read_actions(&[string], self.tool, false);
                    }
                    Some(string) => self.read_nut(&[string], false),
                    None => self.read_relief(false, false),
                }
            }
            found = since_last(&self.log).unwrap_or(found);
        }
        let ends = (before, &self.made);
        self.told.after.score(&found, slipped || self.reader.slipped > 0, ends);
    }

    fn befall(&mut self) -> Vec<Event> {
        let mut told = Vec::new();
        let (made, noise) = (&mut self.made, &mut self.noise);
        let (saddle, rod) = if self.eventful { (1.0, 1.0) } else { (0.13, 0.05) };
        if noise.chance(saddle) {
            let screw = noise.below(made.bridge.rise.len());
            let mm = noise.sign() * noise.between(if self.eventful { 0.8 } else { 0.4 }, 1.4);
            if made.bridge.kind == BridgeKind::Fixed {
                made.shim(screw, -0.2 * mm.abs());
            } else {
                made.turn_screw(screw, mm / made.bridge.per_turn);
            }
            told.push(Event::Saddle(screw, mm));
        }
        if noise.chance(0.05) {
            let slot = noise.below(made.slots.len());
            made.slots[slot] -= noise.between(0.05, 0.2);
            told.push(Event::Slot(slot));
        }
        if noise.chance(0.02) {
            made.tilt += noise.sign() * noise.between(3e-4, 1.2e-3);
            told.push(Event::Joint);
        }
        if noise.chance(rod) {
            let turns = noise.sign() * noise.between(0.125, 0.375);
            made.turn_rod(turns);
            told.push(Event::Rod(turns));
        }
        if noise.chance(0.15) {
            made.tension = 0.05 * noise.normal();
            told.push(Event::Strings);
        }
        told
    }

    fn all(&self) -> Vec<usize> {
        (0..self.made.kind.strings()).collect()
    }

    fn read_relief(&mut self, other: bool, as_left: bool) {
        let usual = self.tool.for_relief();
        let held = if other { usual.other() } else { usual };
        let seen = self.reader.read(held, self.made.relief().max(0.0), &mut self.noise);
        self.say(|| format!("   reads relief {seen} (truly {:.3} mm)", self.made.relief()));
        let readings = vec![(Location::Whole, seen)];
        self.log.read(relief(self.made.kind.frets), held.tool(), readings, as_left);
    }

    /// With a straight edge on the frets, which the plan asks for where strings lie on them.
    fn read_relief_by_edge(&mut self) {
        let held = match self.tool.for_relief() {
            Held::Leaves => Held::Thou,
            held => held,
        };
        let seen = self.reader.read_edge(held, self.made.relief(), &mut self.noise);
        self.say(|| format!("   lays an edge on: {seen} (truly {:.3} mm)", self.made.relief()));
        let readings = vec![(Location::Whole, seen)];
        self.log.read(relief(self.made.kind.frets), held.tool(), readings, false);
    }

    fn read_actions(&mut self, strings: &[usize], held: Held, as_left: bool) {
        self.read_gaps(self.ways, strings, held, as_left);
    }

    fn read_nut(&mut self, strings: &[usize], as_left: bool) {
        self.read_gaps((0, 1), strings, self.tool.for_relief(), as_left);
    }

    fn read_gaps(
        &mut self,
        (stopped, over): (usize, usize),
        strings: &[usize],
        held: Held,
        as_left: bool,
    ) {
        let mut readings = Vec::new();
        for &string in strings {
            let lies = self.made.gap(string, stopped, over).0;
            let seen = self.reader.read(held, lies, &mut self.noise);
            readings.push((Location::Course(place(string)), seen));
        }
        self.say(|| {
            let told = readings.iter().zip(strings).map(|((at, seen), s)| {
                let truth = self.made.gap(*s, stopped, over).1;
                format!("{at}: {seen} (truly {truth:.2}, wanted {:.2})", self.wanted.1[*s])
            });
            format!("   reads {stopped} over {over}: {}", told.collect::<Vec<_>>().join(", "))
        });
        self.log.read(gap(stopped, over), held.tool(), readings, as_left);
    }

    /// The hand does what the plan says until it asks for nothing more.
    pub fn work(&mut self) -> Visit {
        self.turned = Default::default();
        (self.wrong_way, self.thread_ended) = ((0.0, 0.0), false);
        (self.screws, self.needless) = Default::default();
        self.looked = false;
        let mut rounds = 0;
        let end = loop {
            let plan = self.log.plan();
            let Some(step) = plan.next_step() else { break End::Done };
            // Tuning goes along with what it is for.
            rounds += usize::from(step.kind != StepKind::Tune);
            if rounds > MOST_ROUNDS {
                break End::Endless;
            }
            if let Some(end) = self.follow(&plan, step) {
                break end;
            }
        };
        let off = |s: usize| self.off(s) / TOLERANCE.1;
        let visit = Visit {
            instrument: self.number,
            bridge: self.made.bridge.kind,
            tool: self.tool,
            first: self.log.visits.len() == 1,
            misread: self.reader.slipped > 0,
            end,
            rounds,
            relief_off: self.relief_off() / TOLERANCE.0,
            strings_off: self.all().into_iter().map(off).collect(),
            rod: self.turned.0,
            saddles: self.turned.1,
            rod_harmed: self.wrong_way.1 > WRONG_WAY,
            thread_ended: self.thread_ended,
            needless: std::mem::take(&mut self.needless),
        };
        self.left = Some((self.made.clone(), visit.misread));
        self.say(|| format!("-- {:?} after {rounds} rounds", visit.end));
        visit
    }

    fn off(&self, string: usize) -> f64 {
        self.made.gap(string, self.ways.0, self.ways.1).1 - self.wanted.1[string]
    }

    fn relief_off(&self) -> f64 {
        self.made.relief() - self.wanted.0
    }

    fn follow(&mut self, plan: &Plan, step: &PlanStep) -> Option<End> {
        self.say(|| {
            let said = fallaway_text::plan::step(step, self.log.state().spec());
            let voice = Voice::default();
            let lines = [&said.title, &said.verdict].into_iter().chain(said.sentences());
            let lines: Vec<String> = lines.map(|one| voice.sentence(one)).collect();
            format!(" * {}", lines.join(" "))
        });
        match &step.verdict {
            StepVerdict::Stop { why } => return Some(self.stopped(*why)),
            StepVerdict::Adjust(_) if step.kind == StepKind::Tune => self.log.tuned(),
            // The page says which are done in one go before anything is read again.
            StepVerdict::Adjust(work) if work.moves.is_empty() => {
                return self.by_hand(&now(plan));
            }
            StepVerdict::Adjust(_) => {
                let mut turned = Vec::new();
                let before: Vec<f64> = self.all().into_iter().map(|s| self.off(s)).collect();
                for step in now(plan) {
                    let moves = step.verdict.adjust().into_iter().flat_map(|w| &w.moves);
                    for m in moves {
                        // Strings of one saddle name the same screw.
                        if !turned.contains(&&m.screw) {
                            turned.push(&m.screw);
                            self.turn(m, step, &before);
                        }
                    }
                }
            }
            StepVerdict::LookAtScrew { screw, why } => {
                if !self.look(screw, *why) {
                    return Some(End::CannotFollow(format!("{:?}", step.verdict)));
                }
            }
            StepVerdict::TwoValues { .. } | StepVerdict::Wait { .. } => {
                return Some(End::CannotFollow(format!("{:?} is not for now", step.kind)));
            }
            _ if step.kind == StepKind::Tune => self.log.tuned(),
            _ if step.kind == StepKind::AsLeft => {
                self.read_relief(false, true);
                self.read_actions(&self.all(), self.tool, true);
                if self.reads_nut {
                    self.read_nut(&self.all(), true);
                }
            }
            verdict => {
                let other =
                    matches!(verdict, StepVerdict::MeasureWithAnother | StepVerdict::MeasureFiner);
                return self.read_again(plan, step, other);
            }
        }
        None
    }

    /// Looks which way a height screw goes, and writes it down: once in a visit.
    fn look(&mut self, screw: &TurnedScrew, why: WhyLook) -> bool {
        let at = match screw {
            TurnedScrew::SaddleHeight(_) => ScrewPlace::SaddleHeight,
            TurnedScrew::BridgePost(_) => ScrewPlace::BridgePost,
            _ => return false,
        };
        if why == WhyLook::BeyondTravel || std::mem::replace(&mut self.looked, true) {
            return false;
        }
        let per_turn = self.made.bridge.per_turn;
        self.log.screw(at, Some(per_turn.abs()), Some(per_turn));
        true
    }

    /// Reads what the page asks for in one go.
    fn read_again(&mut self, plan: &Plan, step: &PlanStep, other: bool) -> Option<End> {
        match step.measurand.and_then(Measurand::kind) {
            Some(MeasurandKind::Relief) if step.verdict == StepVerdict::MeasureFiner => {
                self.read_relief_by_edge();
            }
            Some(MeasurandKind::Relief) => self.read_relief(other, false),
            Some(kind) if kind.is_action() || kind.is_nut() => {
                let places = now(plan).into_iter().filter_map(PlanStep::place);
                let strings: Vec<usize> = places.map(|p| usize::from(p.number()) - 1).collect();
                let asked = step.measurand.map(|m| m.quantity);
                let usual = if kind.is_nut() { self.tool.for_relief() } else { self.tool };
                let held = if other { usual.other() } else { usual };
                match asked {
                    _ if strings.is_empty() => {
                        return Some(End::CannotFollow(format!("{asked:?} of no string")));
                    }
                    Some(q) if q == self.quantity() => self.read_actions(&strings, held, false),
                    Some(q) if q == gap(0, 1) => self.read_gaps((0, 1), &strings, held, false),
                    _ => return Some(End::CannotFollow(format!("{asked:?}"))),
                }
            }
            _ => return Some(End::CannotFollow(format!("{:?}: no such tool", step.kind))),
        }
        None
    }

    fn quantity(&self) -> Quantity {
        gap(self.ways.0, self.ways.1)
    }

    /// Whether it is right to stop.
    fn stopped(&self, why: StopReason) -> End {
        let need = -self.relief_off();
        let quarters = [0.25, -0.25].map(|turns| self.made.rod.would(turns));
        let helps = quarters.into_iter().any(|mm| mm * need > 0.0 && mm.abs() > 0.02);
        let rightly = match why {
            StopReason::RodNoResponse => !helps,
            // The record's word is never wrong here.
            _ => false,
        };
        if rightly { End::StoppedRightly(why) } else { End::StoppedFalsely(why) }
    }

    /// Saddles that nothing turns: what is said is filed off string by string; what is put under lifts all, so
    /// that the others are left for now.
    fn by_hand(&mut self, steps: &[&PlanStep]) -> Option<End> {
        for step in steps {
            let Some(work) = step.verdict.adjust() else { continue };
            let end = self.filed(step, work);
            if end.is_some() || work.way == PartWay::Shim {
                return end;
            }
        }
        None
    }

    fn filed(&mut self, step: &PlanStep, work: &StepWork) -> Option<End> {
        let string = step.place().map(|p| usize::from(p.number()) - 1);
        // Without a number it is filed until it reads as forecast.
        let gap = work.expect.zip(step.compared).map(|(to, c)| (to.value - c.read.value).abs());
        let (Some(string), BridgeKind::Fixed) = (string, self.made.bridge.kind) else {
            return Some(End::CannotFollow(format!("{:?} without a screw", work.way)));
        };
        let by_gap = gap.map(|g| g / self.made.per_saddle(string, self.ways.0, self.ways.1));
        let Some(mm) = work.travel.map(|t| t.value).or(by_gap).filter(|mm| *mm > 0.005) else {
            return Some(End::CannotFollow(format!("{:?} by nothing", work.way)));
        };
        let mm = mm * (1.0 + 0.04 * self.noise.normal());
        let before = self.off(string);
        let up = work.way == PartWay::Shim;
        // Filed string by string; a shim lifts all.
        let moved = if up { self.all() } else { vec![string] };
        for s in moved {
            self.made.shim(s, if up { mm } else { -mm });
        }
        let after = self.off(string);
        let told = &mut self.turned.1;
        told.advices += 1;
        told.needless += usize::from(before.abs() <= TOLERANCE.1);
        told.overshoots += usize::from(before * after < 0.0 && after.abs() > TOLERANCE.1);
        let part =
            if up { AdjustedPart::Bridge } else { AdjustedPart::SaddleHeight(place(string)) };
        self.log.adjusted(part, None);
        None
    }

    fn turn(&mut self, m: &ScrewMove, step: &PlanStep, found: &[f64]) {
        let Some(way) = step.verdict.adjust().map(|work| work.way) else { return };
        let turns = turns(m, way);
        match &m.screw {
            TurnedScrew::Rod => self.turn_rod(turns, m.turn.is_trial),
            TurnedScrew::SaddleHeight(places) => {
                let at = places.first().copied().or_else(|| step.place());
                let string = at.map_or(0, |p| usize::from(p.number()) - 1);
                let screw = match self.made.bridge.kind {
                    BridgeKind::Shared => {
                        let saddles = self.made.kind.shared.iter();
                        saddles.clone().position(|s| s.contains(&string)).unwrap_or(0)
                    }
                    _ => string,
                };
                let what = AdjustedPart::SaddleHeight(place(string));
                self.turn_screw(screw, turns, m.turn.is_trial, what, found);
            }
            TurnedScrew::BridgePost(side) => {
                let screw = usize::from(*side == Side::Bass);
                let what = AdjustedPart::BridgePost(*side);
                self.turn_screw(screw, turns, m.turn.is_trial, what, found);
            }
            TurnedScrew::SpringClaw
            | TurnedScrew::SaddlePosition(_)
            | TurnedScrew::Pickup { .. } => {}
        }
    }

    fn hand(&mut self, sixteenths: i64) -> f64 {
        sixteenths as f64 / 16.0 + 0.012 * self.noise.normal()
    }

    fn turn_rod(&mut self, sixteenths: i64, attempt: bool) {
        let turns = self.hand(sixteenths);
        let before = self.relief_off();
        let needless = before.abs() <= TOLERANCE.0
            && self.all().into_iter().all(|s| self.off(s).abs() <= TOLERANCE.1);
        if self.made.rod.would(turns) * before > 0.0 && before.abs() > TOLERANCE.0 {
            self.wrong_way.0 += turns.abs();
            self.wrong_way.1 = self.wrong_way.0.max(self.wrong_way.1);
        } else {
            self.wrong_way.0 = 0.0;
        }
        self.made.turn_rod(turns);
        let after = self.relief_off();
        let over = before * after < 0.0 && after.abs() > TOLERANCE.0;
        self.turned.0.count(attempt, needless, over);
        self.say(|| {
            format!("   turns the rod {turns:+.3}: off by {before:+.3}, now {after:+.3} mm")
        });
        self.log.adjusted(AdjustedPart::Rod, Some(sixteenths));
    }

    /// Needless by what was found before the advice: two posts that are turned together are one.
    fn turn_screw(
        &mut self,
        screw: usize,
        sixteenths: i64,
        attempt: bool,
        what: AdjustedPart,
        found: &[f64],
    ) {
        let turns = self.hand(sixteenths);
        let moved: Vec<usize> =
            self.all().into_iter().filter(|s| self.made.bridge.share[*s][screw] > 0.0).collect();
        let before: Vec<f64> = moved.iter().map(|s| self.off(*s)).collect();
        let needless = moved.iter().all(|s| found[*s].abs() <= TOLERANCE.1);
        if needless {
            let off = moved.iter().map(|s| found[*s].abs() / TOLERANCE.1).fold(0.0, f64::max);
            let again = self.screws.contains(&screw);
            self.needless.push(Needless { attempt, again, off, turns });
        }
        self.screws.push(screw);
        if !self.made.turn_screw(screw, turns) {
            self.thread_ended = true;
        }
        let after: Vec<f64> = moved.iter().map(|s| self.off(*s)).collect();
        let over = before.iter().zip(&after).any(|(b, a)| b * a < 0.0 && a.abs() > TOLERANCE.1);
        self.turned.1.count(attempt, needless, over);
        self.say(|| {
            format!("   turns screw {screw} {turns:+.3}: off {before:.2?}, now {after:.2?} mm")
        });
        self.log.adjusted(what, Some(sixteenths));
    }
}

impl Turned {
    fn count(&mut self, attempt: bool, needless: bool, over: bool) {
        self.advices += 1;
        self.tries += usize::from(attempt);
        self.needless += usize::from(needless);
        self.overshoots += usize::from(over && !attempt);
    }
}

#[derive(Debug, Clone, PartialEq)]
enum Event {
    Saddle(usize, f64),
    Slot(usize),
    Joint,
    Rod(f64),
    Strings,
}

/// In sixteenths, clockwise positive. Where the plan does not say which way, the hand does what most
/// screws ask for.
fn turns(m: &ScrewMove, way: PartWay) -> i64 {
    let guess = match way {
        PartWay::LessRelief | PartWay::Raise => 1.0,
        _ => -1.0,
    };
    (m.turn.turns() * 16.0 * m.turn.direction.map_or(guess, sign)).round() as i64
}

/// All visits of one instrument, and what was told of it.
pub fn live(trial: Trial, number: u64, tell: bool) -> (Vec<Visit>, Told) {
    let mut bench = Bench::new(trial, number, tell);
    let mut seasons = 0.0;
    let visit = |_| {
        bench.come_in();
        seasons += bench.made.relief_per_percent() / trial.visits as f64;
        bench.work()
    };
    let visits = (0..trial.visits).map(visit).collect();
    let rod = (bench.made.rod.would(0.125) - bench.made.rod.would(-0.125)).abs() * 4.0;
    bench.told.learned(&bench.log, seasons, rod);
    (visits, bench.told)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_seed_gives_the_same_visits_again() {
        let trial = Trial { seed: 7, misreads: 60.0, visits: 2, eventful: false };
        for number in 0..5 {
            let told = || format!("{:?}", live(trial, number, false));
            assert_eq!(told(), told());
        }
    }

    #[test]
    fn what_is_said_of_a_visit_is_the_truth() {
        for number in 0..5 {
            let mut bench = Bench::new(
                Trial { seed: 3, misreads: 0.0, visits: 1, eventful: false },
                number,
                false,
            );
            bench.come_in();
            let visit = bench.work();
            assert_eq!(visit.relief_off, (bench.made.relief() - bench.wanted.0) / TOLERANCE.0);
            assert_eq!(visit.strings_off.len(), bench.made.kind.strings());
            assert!(!visit.misread && visit.first);
        }
    }

    #[test]
    fn a_rod_that_does_nothing_is_rightly_left_alone_and_a_healthy_one_is_not() {
        let mut bench =
            Bench::new(Trial { seed: 3, misreads: 0.0, visits: 1, eventful: false }, 0, false);
        bench.made.turn_rod(0.5 * bench.made.rod.clockwise);
        bench.made.rod.gain = 0.5;
        assert!(matches!(bench.stopped(StopReason::RodNoResponse), End::StoppedFalsely(_)));
        bench.made.rod.gain = 0.0;
        assert!(matches!(bench.stopped(StopReason::RodNoResponse), End::StoppedRightly(_)));
    }
}
