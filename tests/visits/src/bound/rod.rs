//! How seldom a rod can be turned the wrong way: an observer who knows how rods, reliefs and readers are made up, keeps
//! thousands of them in mind, and trusts those that fit what was read and turned.

use fallaway_advice::observe::Estimate;
use fallaway_measure::{Amount, Reading};

use super::below;
use crate::instrument::{KINDS, Kind, Rod};
use crate::noise::Noise;
use crate::reader::{Held, Reader};
use crate::visit::{TOLERANCE, WRONG_WAY};

/// How he goes about it.
#[derive(Debug, Clone, Copy)]
pub struct Careful {
    /// What it is called.
    pub name: &'static str,
    /// He turns only where the rod is harmed by it with no more than this; else less, or he reads once more, or leaves it.
    pub most_harm: f64,
    /// Readings for each turn at most.
    pub readings: usize,
}

/// Whatever comes nearest; and with more and more care, which costs readings, and reliefs that are left alone.
pub const CARE: [Careful; 5] = [
    Careful { name: "whatever comes nearest", most_harm: 1.0, readings: 1 },
    Careful { name: "wrong with 2 % at most, one reading", most_harm: 0.02, readings: 1 },
    Careful { name: "wrong with 0.2 % at most, one reading", most_harm: 0.002, readings: 1 },
    Careful { name: "wrong with 2 % at most, up to three readings", most_harm: 0.02, readings: 3 },
    Careful {
        name: "wrong with 0.2 % at most, up to three readings",
        most_harm: 0.002,
        readings: 3,
    },
];

/// What comes of it in first visits, or in later ones.
#[derive(Debug, Clone, Copy, Default)]
pub struct Rods {
    /// Visits.
    pub visits: usize,
    /// Of these, with a rod turned the wrong way by more than [`WRONG_WAY`].
    pub harmed: usize,
    /// How many of them he expected to harm, by what he knew before each turn.
    pub expected: f64,
    /// Reliefs within their tolerance in the end.
    pub within: usize,
    /// Readings taken.
    pub readings: usize,
    /// Turns made.
    pub turns: usize,
}

const PARTICLES: usize = 3000;
/// How far a relief goes by itself between two visits, one standard deviation: the wood, its season, other strings
/// (three in twenty); how often somebody turned the rod, and by how much: as in [`crate::visit`].
const WOOD: f64 = 0.01;
const POINTS: f64 = 1.3;
const STRINGS: (f64, f64) = (0.15, 0.05);
const TURNED: (f64, f64, f64) = (0.05, 0.125, 0.375);
/// How often a reading is misread, by one to four tenths of a millimetre: as in [`crate::reader`].
const SLIP: f64 = 1.0 / 120.0;
const SLIP_MM: f64 = 0.1;
/// A string lower than this lies on the frets.
const TOUCHES: f64 = 0.004;
/// Turns that he thinks of.
const TURNS: [f64; 6] = [-0.25, -0.125, -0.0625, 0.0625, 0.125, 0.25];
const MOST_STEPS: usize = 20;
/// He turns what is outside its tolerance with this.
const OFF: f64 = 0.7;

/// A rod in a neck, true or thought of.
#[derive(Clone)]
struct Neck {
    rod: Rod,
    /// The relief but for the rod.
    wood: f64,
    /// Of a percentage point of moisture, and of the strings' pull.
    season: f64,
    pull: f64,
    /// How far the reader lies off, in standard deviations.
    off: f64,
    wrong: f64,
    harmed: bool,
    weight: f64,
}

impl Neck {
    /// As it was set up, and then misset.
    fn new(kind: &Kind, noise: &mut Noise) -> Self {
        let mut rod = Rod::new(kind, noise);
        let wood = kind.relief - rod.now() + WOOD * noise.normal();
        rod.turn(noise.between(-0.5, 0.5));
        Self {
            wood,
            season: kind.season * noise.normal(),
            pull: kind.rod * noise.between(1.0, 2.0),
            rod,
            off: noise.normal(),
            wrong: 0.0,
            harmed: false,
            weight: 1.0,
        }
    }

    fn relief(&self) -> f64 {
        self.wood + self.rod.now()
    }

    fn later(&mut self, noise: &mut Noise) {
        self.rod.settles(90.0);
        self.wood += WOOD * noise.normal() + self.season * POINTS * noise.normal();
        if noise.chance(STRINGS.0) {
            self.wood += self.pull * STRINGS.1 * noise.normal();
        }
        if noise.chance(TURNED.0) {
            let by = noise.sign() * noise.between(TURNED.1, TURNED.2);
            self.rod.turn(by);
        }
        (self.wrong, self.harmed) = (0.0, false);
    }

    /// How far the wrong way a turn would take it in all.
    fn wrong_by(&self, turns: f64, target: f64) -> f64 {
        let off = self.relief() - target;
        let away = self.rod.would(turns) * off > 0.0 && off.abs() > TOLERANCE.0;
        if away { self.wrong + turns.abs() } else { 0.0 }
    }

    fn turn(&mut self, turns: f64, target: f64, noise: &mut Noise) {
        let turns = turns + 0.012 * noise.normal();
        self.wrong = self.wrong_by(turns, target);
        self.harmed |= self.wrong > WRONG_WAY;
        self.rod.turn(turns);
    }

    /// How likely it is to be read so.
    fn reads(&self, held: Held, seen: Reading) -> f64 {
        let (graduation, repeats, offset) = held.size();
        let mm =
            |of: Amount| Estimate::of_reading(Reading::Value(of), None).map_or(0.0, |e| e.value);
        let half = graduation / 2.0;
        let (low, high) = match seen {
            Reading::Between { low, high } => (mm(low), mm(high)),
            Reading::AtMost(high) if mm(high) > 0.0 => (-9.0, mm(high)),
            Reading::Value(v) if mm(v) > half => (mm(v) - half, mm(v) + half),
            Reading::Value(_) => (-9.0, half),
            _ => return if self.relief() < TOUCHES { 1.0 - SLIP } else { 1e-9 },
        };
        let at = self.relief().max(0.0) + offset * self.off;
        let under = |from: f64| {
            let z = |edge: f64| (edge - from) / repeats;
            if z(high) < -6.0 || z(low) > 6.0 { 0.0 } else { below(z(high)) - below(z(low)) }
        };
        let right = if self.relief() < TOUCHES { 0.0 } else { under(at) };
        let slips = (1..=4).map(|n| SLIP_MM * f64::from(n)).flat_map(|mm| [-mm, mm]);
        (1.0 - SLIP) * right + SLIP / 8.0 * slips.map(|mm| under(at + mm)).sum::<f64>() + 1e-9
    }
}

/// What he has in mind.
struct Mind(Vec<Neck>);

impl Mind {
    fn share(&self, of: impl Fn(&Neck) -> bool) -> f64 {
        let all: f64 = self.0.iter().map(|n| n.weight).sum();
        let part: f64 = self.0.iter().filter(|n| of(n)).map(|n| n.weight).sum();
        part / all.max(f64::MIN_POSITIVE)
    }

    fn mean(&self, of: impl Fn(&Neck) -> f64) -> f64 {
        let all: f64 = self.0.iter().map(|n| n.weight).sum();
        let sum: f64 = self.0.iter().map(|n| n.weight * of(n)).sum();
        sum / all.max(f64::MIN_POSITIVE)
    }

    fn reads(&mut self, held: Held, seen: Reading, noise: &mut Noise) {
        for one in &mut self.0 {
            one.weight *= one.reads(held, seen);
        }
        let all: f64 = self.0.iter().map(|n| n.weight).sum();
        let squares: f64 = self.0.iter().map(|n| n.weight * n.weight).sum();
        if all * all < 0.1 * squares * PARTICLES as f64 {
            self.again(all, noise);
        }
    }

    /// The likely ones over and over, each a little different (systematic resampling).
    fn again(&mut self, all: f64, noise: &mut Noise) {
        let step = all / PARTICLES as f64;
        let (mut at, mut sum) = (step * noise.uniform(), 0.0);
        let mut new = Vec::with_capacity(PARTICLES);
        for one in &self.0 {
            sum += one.weight;
            while at < sum && new.len() < PARTICLES {
                let rod = one.rod.like(noise);
                let wood = one.relief() + 0.004 * noise.normal() - rod.now();
                new.push(Neck { rod, wood, weight: 1.0, ..one.clone() });
                at += step;
            }
        }
        if !new.is_empty() {
            self.0 = new;
        }
    }
}

/// Rods of many instruments in such hands.
pub fn rods(held: Held, care: Careful, instruments: usize, visits: usize, seed: u64) -> [Rods; 2] {
    let mut told = [Rods::default(); 2];
    for number in 0..instruments {
        // The same instruments and readers for each way to go about it.
        let mut noise = Noise::new(seed, 50_000 + number as u64);
        let kind = &KINDS[number % KINDS.len()];
        let mut truth = Neck::new(kind, &mut noise);
        let mut reader = Reader::new(1.0 / SLIP, &mut noise);
        let written = noise.chance(0.4);
        let mut mind = Mind((0..PARTICLES).map(|_| Neck::new(kind, &mut noise)).collect());
        for one in &mut mind.0 {
            one.rod.two_way = truth.rod.two_way;
            if written {
                one.rod.clockwise = truth.rod.clockwise;
            }
        }
        for visit in 0..visits {
            if visit > 0 {
                truth.later(&mut noise);
                mind.0.iter_mut().for_each(|one| one.later(&mut noise));
            }
            let row = &mut told[usize::from(visit > 0)];
            one_visit(
                &mut truth,
                &mut mind,
                (held, care),
                (kind.relief, &mut reader),
                row,
                &mut noise,
            );
        }
    }
    told
}

fn one_visit(
    truth: &mut Neck,
    mind: &mut Mind,
    (held, care): (Held, Careful),
    (target, reader): (f64, &mut Reader),
    row: &mut Rods,
    noise: &mut Noise,
) {
    let inside = |relief: f64| (relief - target).abs() <= TOLERANCE.0;
    'steps: for _ in 0..MOST_STEPS {
        let mut looks = 0;
        let turns = loop {
            let seen = reader.read(held, truth.relief().max(0.0), noise);
            mind.reads(held, seen, noise);
            (looks, row.readings) = (looks + 1, row.readings + 1);
            if mind.share(|n| !inside(n.relief())) < OFF {
                break 'steps;
            }
            // Nearest to the target in the mean, as it is likely to come out.
            let off = |turns: f64| {
                mind.mean(|n| (n.relief() + n.rod.would(turns) - target).abs().min(0.5))
            };
            let harm = |turns: f64| mind.share(|n| n.wrong_by(turns, target) > WRONG_WAY);
            let now = off(0.0);
            let safe = TURNS.into_iter().filter(|t| harm(*t) <= care.most_harm);
            let best = safe.map(|t| (off(t), t)).min_by(|a, b| a.0.total_cmp(&b.0));
            match best.filter(|(off, _)| *off < now - 0.002) {
                Some((_, turns)) => break turns,
                None if looks < care.readings => {}
                None => break 'steps,
            }
        };
        row.expected += mind.share(|n| !n.harmed && n.wrong_by(turns, target) > WRONG_WAY);
        row.turns += 1;
        truth.turn(turns, target, noise);
        mind.0.iter_mut().for_each(|one| one.turn(turns, target, noise));
    }
    row.visits += 1;
    row.harmed += usize::from(truth.harmed);
    row.within += usize::from(inside(truth.relief()));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn care_spares_rods_and_harm_is_as_seldom_as_he_thinks() {
        let of = |care| rods(Held::Feeler, care, 40, 2, 1);
        let [near, careful] = [of(CARE[0]), of(CARE[4])];
        let all = |told: [Rods; 2], of: fn(&Rods) -> f64| told.iter().map(of).sum::<f64>();
        let visits = all(near, |r| r.visits as f64);
        assert!(all(careful, |r| r.expected) < 0.3 * all(near, |r| r.expected));
        assert!(all(careful, |r| r.harmed as f64) < 0.05 * visits);
        assert!(all(near, |r| r.within as f64) > 0.8 * visits);
    }
}
