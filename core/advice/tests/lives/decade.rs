//! Ten years of an instrument, read every few weeks to months: how often "what changed" names the
//! right part, how often it is wrongly sure, how often forecasts hold.

use fallaway_advice::compare::{InstrumentPart, Occasion, PartVerdict, WhatChanged, what_changed};
use fallaway_advice::learn::{ForecastClimate, forecast};
use fallaway_advice::observe::{InterventionKind, MeasurandKind, gap};
use fallaway_measure::Quantity;

use super::family::Family;
use super::log::{Log, Slips, place};
use super::noise::Noise;
use super::readers::{Held, Reader};
use super::world::{World, moisture, room};

/// One reading in three hundred is misread or mistyped: some three in ten years.
pub const SLIPS: Slips = Slips(1.0 / 300.0);

/// Counts of comparisons of two visits.
#[derive(Debug, Default, Clone, Copy)]
pub struct Compared {
    /// Without a slip in what is compared.
    pub clean: usize,
    pub clean_wrong: usize,
    /// With at least one.
    pub slipped: usize,
    pub slipped_wrong: usize,
    /// Parts of which something was said for sure, of all parts.
    pub sure: usize,
    pub parts: usize,
    /// What happened, how often it was named.
    pub neck: Named,
    pub saddle: Named,
    pub nut: Named,
    pub joint: Named,
}

/// How often something that happened was said to have moved, and how often it was said to be open.
#[derive(Debug, Default, Clone, Copy)]
pub struct Named {
    pub happened: usize,
    pub right: usize,
    pub open: usize,
}

impl Compared {
    fn add(&mut self, other: &Self) {
        self.clean += other.clean;
        self.clean_wrong += other.clean_wrong;
        self.slipped += other.slipped;
        self.slipped_wrong += other.slipped_wrong;
        self.sure += other.sure;
        self.parts += other.parts;
        for (mine, theirs) in [
            (&mut self.neck, other.neck),
            (&mut self.saddle, other.saddle),
            (&mut self.nut, other.nut),
            (&mut self.joint, other.joint),
        ] {
            mine.happened += theirs.happened;
            mine.right += theirs.right;
            mine.open += theirs.open;
        }
    }

    pub fn all(&self) -> usize {
        self.clean + self.slipped
    }

    pub fn wrong(&self) -> usize {
        self.clean_wrong + self.slipped_wrong
    }

    /// Share of all comparisons that are wrongly sure of anything.
    pub fn wrongly_sure(&self) -> f64 {
        self.wrong() as f64 / self.all().max(1) as f64
    }
}

/// Forecasts, and how many held the truth.
#[derive(Debug, Default, Clone, Copy)]
pub struct Held95 {
    pub made: usize,
    pub held: usize,
    /// Sum of the half widths of the intervals in mm.
    pub half_width: f64,
}

impl Held95 {
    fn count(&mut self, low: f64, high: f64, truth: f64) {
        self.made += 1;
        self.held += usize::from((low..=high).contains(&truth));
        self.half_width += (high - low) / 2.0;
    }

    fn add(&mut self, other: Self) {
        self.made += other.made;
        self.held += other.held;
        self.half_width += other.half_width;
    }

    pub fn coverage(&self) -> f64 {
        self.held as f64 / self.made.max(1) as f64
    }
}

/// Counts over many lives.
#[derive(Debug, Default, Clone)]
pub struct Decade {
    pub lives: usize,
    /// What is said at once.
    pub at_once: Compared,
    /// What is said once the readings that it asks to be taken again have been.
    pub after: Compared,
    /// Readings taken again.
    pub again: usize,
    pub relief: Held95,
    pub action: Held95,
    /// Lives with two turns of the rod or more; how often the response learned holds the true one.
    pub lives_with_rod: usize,
    pub rod_held: usize,
    /// How often the season learned holds the true one: what the relief, read as it is read, does
    /// for a percentage point of moisture in the neck, mean of all visits.
    pub season_held: usize,
}

impl Decade {
    pub fn add(&mut self, other: &Self) {
        self.lives += other.lives;
        self.at_once.add(&other.at_once);
        self.after.add(&other.after);
        self.again += other.again;
        self.relief.add(other.relief);
        self.action.add(other.action);
        self.lives_with_rod += other.lives_with_rod;
        self.rod_held += other.rod_held;
        self.season_held += other.season_held;
    }
}

/// The truth at a visit, and whether something in its readings slipped.
#[derive(Clone)]
struct Then {
    world: World,
    slipped: bool,
}

/// One life.
struct Life {
    world: World,
    noise: Noise,
    log: Log,
    readers: [Reader; 2],
    /// Which of them is at it, with what.
    reader: usize,
    rule: Held,
    leaf: Held,
    told: Decade,
}

/// One life of an instrument of a kind.
pub fn live(family: &'static Family, seed: u64, slips: Slips) -> Decade {
    let mut noise = Noise::new(seed);
    let world = World::new(family, &mut noise);
    let readers = [Reader::new("owner", &mut noise), Reader::new("tech", &mut noise)];
    let mut life = Life {
        world,
        noise,
        log: Log::new(family, slips),
        readers,
        reader: 0,
        rule: Held::Rule64,
        leaf: Held::Feeler,
        told: Decade { lives: 1, ..Decade::default() },
    };
    let mut before: Option<Then> = None;
    let (mut days, mut rod_turns) = (0.0, 0);
    let mut seasons = Vec::new();
    while days < 3650.0 {
        let days_between = life.noise.between(40.0, 130.0);
        days += days_between;
        let changed_strings = life.noise.chance(0.25);
        let air = life.air(days, days_between);
        if before.is_some() && days > 730.0 && !changed_strings {
            life.forecast(air);
        }
        life.happen();
        life.turn_up(days_between);
        if changed_strings {
            life.world.strings = 0.04 * life.noise.normal();
            life.log.done(InterventionKind::Strings, None, None);
        }
        life.log.climate(air.0, air.1);
        life.log.slipped = 0;
        life.read_all(true);
        seasons.push(life.world.relief_per_percent());
        let here = Then { world: life.world.clone(), slipped: life.log.slipped > 0 };
        if let (Some(then), [.., from, to]) = (&before, &life.log.visits[..]) {
            // Strings are changed first thing, so that all readings of such a visit come after it.
            let named = |visit: &usize| life.log.input.events[*visit].entry;
            let to = if changed_strings { Occasion::Today } else { Occasion::AsFound(named(to)) };
            let from = Occasion::AsLeft(named(from));
            life.compare(from, to, then, &here);
        }
        before = Some(here);
        // Now and then the tech turns the rod by an eighth and reads again.
        let relief = life.world.relief();
        if !(0.02..=0.45).contains(&relief) || life.noise.chance(0.06) {
            let more = relief < 0.2;
            let turns = 0.125 * life.world.per_turn.signum() * if more { 1.0 } else { -1.0 };
            life.world.turns += turns;
            life.log.done(InterventionKind::Rod, None, Some(turns));
            life.log.slipped = 0;
            life.read_all(false);
            rod_turns += 1;
            before = Some(Then { world: life.world.clone(), slipped: life.log.slipped > 0 });
        }
    }
    let learned = fallaway_advice::learn::learned(&life.log.input);
    if rod_turns > 1 {
        life.told.lives_with_rod = 1;
        let e = learned.rod.estimate;
        life.told.rod_held = usize::from((e.low..=e.high).contains(&life.world.per_turn.abs()));
    }
    let slope = learned.season.unwrap().per_percent.estimate;
    let season = seasons.iter().sum::<f64>() / seasons.len() as f64;
    life.told.season_held = usize::from((slope.low..=slope.high).contains(&season));
    life.told
}

impl Life {
    /// The air of the day; the wood has followed most of what it was since the visit before.
    fn air(&mut self, day: f64, days_between: f64) -> (f64, f64) {
        let (celsius, mean) = room(day);
        let weather = 4.0 * self.noise.normal();
        let wood = moisture(celsius, (mean + 0.5 * weather).clamp(20.0, 80.0));
        self.world.moisture += (wood - self.world.moisture) * (1.0 - (-days_between / 20.0).exp());
        self.world.lag = 0.015 * self.noise.normal();
        (celsius, (mean + weather).clamp(20.0, 80.0).round())
    }

    fn forecast(&mut self, (celsius, humidity): (f64, f64)) {
        let air = ForecastClimate {
            name: "next".into(),
            temperature_c: Some(celsius),
            humidity_percent: humidity,
        };
        let Ok(f) = forecast(&self.log.input, &[air]) else { return };
        let there = &f.there[0];
        self.told.relief.count(there.relief.low, there.relief.high, self.world.relief());
        for action in &there.action {
            let string = usize::from(action.measurand.place().unwrap().number()) - 1;
            let Quantity::Gap { stopped, over } = action.measurand.quantity else { continue };
            let truth =
                self.world.gap(string, usize::from(stopped.number()), usize::from(over.number()));
            let half = 1.96 * action.expect.standard_uncertainty;
            let middle = action.expect.value;
            self.told.action.count(middle - half, middle + half, truth);
        }
    }

    /// What befalls an instrument between two visits, unnoted.
    fn happen(&mut self) {
        let (world, noise) = (&mut self.world, &mut self.noise);
        let (n, turned) = (world.saddles.len(), world.family.turned);
        if noise.chance(0.06) {
            // Somebody turned a saddle.
            world.saddles[noise.below(n)] += noise.sign() * noise.between(turned.0, turned.1);
        }
        if noise.chance(0.04) {
            // A slot wore.
            world.slots[noise.below(n)] -= noise.between(0.05, 0.2);
        }
        if noise.chance(0.005) {
            // The joint gave way a little.
            world.tilt += noise.sign() * noise.between(0.5, 1.5);
        }
        // The first frets wear most.
        for (fret, crown) in world.crowns.iter_mut().enumerate() {
            *crown -= noise.between(0.0, if fret < 5 { 0.002 } else { 0.0005 });
        }
        world.twist += 0.01 * noise.normal();
        world.tilt += 0.03 * noise.normal();
    }

    /// Who comes, and what lies at hand.
    fn turn_up(&mut self, days: f64) {
        self.reader = usize::from(self.noise.chance(0.3));
        self.rule = match (self.reader, self.noise.chance(0.5)) {
            (0, _) => Held::Rule64,
            (_, true) => Held::RuleHalf,
            (_, false) => Held::Caliper,
        };
        self.leaf = if self.reader == 0 { Held::Feeler } else { Held::Thou };
        let name = self.readers[self.reader].name;
        self.log.visit(days, name);
    }

    fn strings(&self) -> Vec<usize> {
        (0..self.world.saddles.len()).collect()
    }

    fn read(&mut self, quantity: Quantity, strings: &[usize], held: Held) {
        let with = (&self.readers[self.reader], held);
        self.log.read(quantity, strings, &self.world, with, &mut self.noise);
    }

    /// Relief and action always, open over 12 and the nut now and then.
    fn read_all(&mut self, nut: bool) {
        let all = self.strings();
        self.read(self.log.relief(), &[], self.leaf);
        self.read(self.log.action(), &all, self.rule);
        if self.noise.chance(0.3) {
            self.read(gap(0, 12).unwrap(), &all, self.rule);
        }
        if nut && self.noise.chance(0.7) {
            self.read(gap(0, 1).unwrap(), &all, self.leaf);
        }
    }

    fn compare(&mut self, from: Occasion, to: Occasion, before: &Then, after: &Then) {
        let mut found = what_changed(&self.log.input, from, to).unwrap();
        let ends = (before, after);
        score(&mut self.told.at_once, &found, ends);
        // What it asks to be taken again is taken again, twice at most.
        for _ in 0..2 {
            let mut asked: Vec<_> = found
                .parts
                .iter()
                .filter(|p| p.verdict == PartVerdict::CannotBeTold && p.rests_on_one.is_some())
                .filter_map(|p| {
                    p.would_tell
                        .filter(|t| p.rests_on_one.as_ref().is_some_and(|s| s.measurand == *t))
                })
                .collect();
            asked.sort_by_key(|t| t.place());
            asked.dedup();
            if asked.is_empty() {
                break;
            }
            for measurand in asked {
                let strings: Vec<usize> =
                    measurand.place().map(|p| usize::from(p.number()) - 1).into_iter().collect();
                let by_leaf =
                    strings.is_empty() || measurand.kind().is_some_and(MeasurandKind::is_nut);
                let held = if by_leaf { self.leaf } else { self.rule };
                self.read(measurand.quantity, &strings, held);
                self.told.again += 1;
            }
            found = what_changed(&self.log.input, from, to).unwrap();
        }
        score(&mut self.told.after, &found, ends);
    }
}

/// The change of a part in truth: between two numbers, where both are fair.
fn truth(part: InstrumentPart, b: &World, a: &World) -> (f64, f64) {
    let one = |v| (v, v);
    let tilt = (a.tilt - b.tilt) * 1e-3;
    match part {
        InstrumentPart::Neck => one(a.bending().0 - b.bending().0),
        InstrumentPart::Twist => one(a.bending().1 - b.bending().1),
        InstrumentPart::Joint => one(tilt * a.lever(0)),
        InstrumentPart::Saddle(p) => {
            let s = usize::from(p.number()) - 1;
            one(a.saddles[s] - b.saddles[s] + tilt * a.lever(s))
        }
        InstrumentPart::Nut(p) => {
            let s = usize::from(p.number()) - 1;
            // Over the plane of all frets, or over a worn first one.
            let slot = a.slots[s] - b.slots[s];
            (slot, slot + b.crowns[0] - a.crowns[0])
        }
    }
}

fn score(told: &mut Compared, found: &WhatChanged, (before, after): (&Then, &Then)) {
    let (b, a) = (&before.world, &after.world);
    let sure = |p: &&fallaway_advice::compare::PartChange| p.verdict != PartVerdict::CannotBeTold;
    let wrong = found.parts.iter().filter(sure).any(|p| {
        let (low, high) = truth(p.part, b, a);
        high < p.low_mm || low > p.high_mm
    });
    told.parts += found.parts.len();
    told.sure += found.parts.iter().filter(sure).count();
    if before.slipped || after.slipped {
        told.slipped += 1;
        told.slipped_wrong += usize::from(wrong);
    } else {
        told.clean += 1;
        told.clean_wrong += usize::from(wrong);
    }
    let count = |named: &mut Named, part: InstrumentPart| {
        named.happened += 1;
        match found.part(part).map(|p| p.verdict) {
            Some(PartVerdict::Moved) => named.right += 1,
            Some(PartVerdict::CannotBeTold) => named.open += 1,
            _ => {}
        }
    };
    if (a.bending().0 - b.bending().0).abs() >= 0.15 {
        count(&mut told.neck, InstrumentPart::Neck);
    }
    if (a.tilt - b.tilt).abs() >= 1.0 {
        count(&mut told.joint, InstrumentPart::Joint);
    }
    for s in 0..a.saddles.len() {
        if (a.saddles[s] - b.saddles[s]).abs() >= 0.8 {
            count(&mut told.saddle, InstrumentPart::Saddle(place(s)));
        }
        if (a.slots[s] - b.slots[s]).abs() >= 0.12 {
            count(&mut told.nut, InstrumentPart::Nut(place(s)));
        }
    }
}
