//! Ten years of an instrument, read every few weeks to months: how often "what changed" names the
//! right part, how often it is wrongly sure, how often forecasts hold.

use fallaway_advice::deed::DeedKind;
use fallaway_advice::learned::{Air, forecast};
use fallaway_advice::what_changed::{Occasion, Part, Verdict, WhatChanged, what_changed};

use super::log::{Log, Typo, place};
use super::world::{JOINT, Noise, Reader, STRINGS, World, lever, moisture, unit_relief};

/// Counts over many lives.
#[derive(Debug, Default, Clone)]
pub struct Decade {
    pub lives: usize,
    /// Comparisons of two visits, without and with a mistyped reading in one of them.
    pub compared: usize,
    pub wrong: usize,
    pub compared_typo: usize,
    pub wrong_typo: usize,
    /// Of those wrong with a mistyped reading: each wrong part says that it rests on one reading.
    pub warned_typo: usize,
    /// What happened, and how often it was told of the right part alone.
    pub saddle: Named,
    pub nut: Named,
    pub neck: Named,
    /// Forecasts, and how many held the true relief; those of a record of two years or more.
    pub forecasts: usize,
    pub held: usize,
    /// Sum of the half widths of the intervals in mm.
    pub half_width: f64,
    /// Lives with two turns of the rod or more, and how often the response learned holds the true one.
    pub lives_with_rod: usize,
    pub rod_held: usize,
    /// How often the season learned holds the true one.
    pub season_held: usize,
}

/// How often something was named.
#[derive(Debug, Default, Clone, Copy)]
pub struct Named {
    pub happened: usize,
    /// Said to have moved.
    pub right: usize,
    /// Said that it cannot be told, or not beyond what was read with an interval that holds it.
    pub open: usize,
}

impl Decade {
    pub fn add(&mut self, other: &Self) {
        self.lives += other.lives;
        self.compared += other.compared;
        self.wrong += other.wrong;
        self.compared_typo += other.compared_typo;
        self.wrong_typo += other.wrong_typo;
        self.warned_typo += other.warned_typo;
        for (mine, theirs) in [
            (&mut self.saddle, other.saddle),
            (&mut self.nut, other.nut),
            (&mut self.neck, other.neck),
        ] {
            mine.happened += theirs.happened;
            mine.right += theirs.right;
            mine.open += theirs.open;
        }
        self.forecasts += other.forecasts;
        self.held += other.held;
        self.half_width += other.half_width;
        self.lives_with_rod += other.lives_with_rod;
        self.rod_held += other.rod_held;
        self.season_held += other.season_held;
    }

    /// Share of all comparisons that are wrongly sure of anything.
    pub fn wrongly_sure(&self) -> f64 {
        (self.wrong + self.wrong_typo) as f64 / (self.compared + self.compared_typo) as f64
    }

    pub fn coverage(&self) -> f64 {
        self.held as f64 / self.forecasts as f64
    }
}

/// The truth at a visit.
#[derive(Clone)]
struct Then {
    world: World,
    typo: Typo,
}

/// One life.
pub fn live(seed: u64) -> Decade {
    let mut noise = Noise::new(seed);
    let mut world = World::new(&mut noise);
    let readers = [Reader::new("owner", &mut noise), Reader::new("tech", &mut noise)];
    let mut log = Log::new();
    let mut told = Decade { lives: 1, ..Decade::default() };
    let mut days = 0.0;
    let mut before: Option<Then> = None;
    // One reading in ten years is mistyped.
    let typo_day = noise.between(200.0, 3500.0);
    let (mut typo_done, mut rod_pairs) = (false, 0);
    while days < 3650.0 {
        let gap = noise.between(40.0, 130.0);
        days += gap;
        // The air: a year's wave, and weather; wood follows it over weeks.
        let wave = (days / 365.25 * std::f64::consts::TAU).sin();
        let humidity = (48.0 + 14.0 * wave + 4.0 * noise.normal()).clamp(20.0, 80.0).round();
        let changed_strings = noise.chance(0.25);
        let forecastable = before.is_some() && days > 730.0 && !changed_strings;
        if forecastable {
            let air =
                Air { name: "next".into(), temperature_c: Some(20.0), humidity_percent: humidity };
            world.moisture = moisture(humidity);
            if let Ok(f) = forecast(&log.input, &[air]) {
                world.lag = 0.02 * noise.normal();
                let r = f.there[0].relief;
                told.forecasts += 1;
                let truth = world.relief();
                told.held += usize::from((r.low..=r.high).contains(&truth));
                told.half_width += (r.high - r.low) / 2.0;
            }
        } else {
            world.moisture = moisture(humidity);
            world.lag = 0.02 * noise.normal();
        }
        happen(&mut world, &mut noise);
        let reader = &readers[usize::from(noise.chance(0.3))];
        log.visit(gap, reader.name);
        if changed_strings {
            world.strings = 0.03 * noise.normal();
            log.done(DeedKind::Strings, None, None);
        }
        log.climate(humidity);
        let mut typo = Typo::None;
        if !typo_done && days > typo_day {
            typo_done = true;
            typo =
                if noise.chance(0.3) { Typo::Relief } else { Typo::Action(noise.below(STRINGS)) };
        }
        log.read_relief(&world, reader, typo == Typo::Relief, &mut noise);
        log.read_action(&world, &[0, 1, 2, 3], reader, typo, &mut noise);
        if noise.chance(0.7) {
            log.read_nut(&world, reader, &mut noise);
        }
        if let [.., from, to] = log.visits[..] {
            // Strings are changed first thing, so that all readings of such a visit come after it.
            let to = if changed_strings { Occasion::Today } else { Occasion::AsFound(to) };
            let then = before.as_ref().expect("a visit before");
            let found = what_changed(&log.input, Occasion::AsLeft(from), to).unwrap();
            score(&mut told, &found, then, &Then { world: world.clone(), typo });
        }
        before = Some(Then { world: world.clone(), typo });
        // Now and then the tech turns the rod by an eighth and reads again.
        if world.relief() > 0.45 || world.relief() < 0.02 || noise.chance(0.06) {
            let more = world.relief() < 0.2;
            let turns = 0.125 * world.per_turn.signum() * if more { 1.0 } else { -1.0 };
            world.turns += turns;
            log.done(DeedKind::Rod, None, Some(turns));
            log.read_relief(&world, reader, false, &mut noise);
            log.read_action(&world, &[0, 1, 2, 3], reader, Typo::None, &mut noise);
            rod_pairs += 1;
            before = Some(Then { world: world.clone(), typo: Typo::None });
        }
    }
    let learned = fallaway_advice::learned::learned(&log.input);
    if rod_pairs > 1 {
        told.lives_with_rod = 1;
        // Two chances in three.
        let e = learned.rod.estimate;
        told.rod_held = usize::from((e.low..=e.high).contains(&world.per_turn.abs()));
    }
    let slope = learned.season.unwrap().per_percent.estimate;
    told.season_held = usize::from((slope.low..=slope.high).contains(&world.season));
    told
}

/// What befalls an instrument between two visits, unnoted.
fn happen(world: &mut World, noise: &mut Noise) {
    if noise.chance(0.06) {
        // Somebody turned a saddle.
        world.saddles[noise.below(STRINGS)] += noise.sign() * noise.between(0.5, 1.5);
    }
    if noise.chance(0.04) {
        // A slot wore.
        world.slots[noise.below(STRINGS)] -= noise.between(0.05, 0.2);
    }
    if noise.chance(0.005) {
        // The joint gave way a little.
        world.tilt += noise.sign() * noise.between(0.5, 1.5);
    }
    for wear in &mut world.wear {
        *wear += noise.between(0.0, 0.002);
    }
    world.twist += 0.01 * noise.normal();
}

fn score(told: &mut Decade, found: &WhatChanged, before: &Then, after: &Then) {
    let unit = unit_relief(JOINT);
    let bow = |w: &World| w.bow() / unit_relief(w.joint) * unit;
    let twist = |w: &World| w.twist / unit_relief(w.joint) * unit;
    let (b, a) = (&before.world, &after.world);
    let truth = |part: Part| -> (f64, f64) {
        let one = |v| (v, v);
        match part {
            Part::Neck => one(bow(a) - bow(b)),
            Part::Twist => one(twist(a) - twist(b)),
            Part::Joint => one((a.tilt - b.tilt) * 1e-3 * lever()),
            Part::Saddle(p) => {
                let s = usize::from(p.number()) - 1;
                one(a.saddles[s] - b.saddles[s] + (a.tilt - b.tilt) * 1e-3 * lever())
            }
            Part::Nut(p) => {
                let s = usize::from(p.number()) - 1;
                let slot = a.slots[s] - b.slots[s];
                // Over the worn first fret, or over the plane of all: both are fair.
                (slot, slot + a.wear[0] - b.wear[0])
            }
        }
    };
    let wrong_parts: Vec<_> = found
        .parts
        .iter()
        .filter(|p| {
            let (low, high) = truth(p.part);
            p.verdict != Verdict::CannotBeTold && (high < p.low_mm || low > p.high_mm)
        })
        .collect();
    let wrong = !wrong_parts.is_empty();
    let typo = before.typo != Typo::None || after.typo != Typo::None;
    if typo {
        told.compared_typo += 1;
        told.wrong_typo += usize::from(wrong);
        let warned = wrong_parts.iter().all(|p| p.rests_on_one.is_some());
        told.warned_typo += usize::from(wrong && warned);
        return;
    }
    told.compared += 1;
    told.wrong += usize::from(wrong);
    let verdict = |part| found.part(part).map(|p| p.verdict);
    let count = |named: &mut Named, part: Part| {
        named.happened += 1;
        match verdict(part) {
            Some(Verdict::Moved) => named.right += 1,
            _ => named.open += 1,
        }
    };
    if (bow(a) - bow(b)).abs() >= 0.15 {
        count(&mut told.neck, Part::Neck);
    }
    for s in 0..STRINGS {
        if (a.saddles[s] - b.saddles[s]).abs() >= 1.0 {
            count(&mut told.saddle, Part::Saddle(place(s)));
        }
        if (a.slots[s] - b.slots[s]).abs() >= 0.12 {
            count(&mut told.nut, Part::Nut(place(s)));
        }
    }
}
