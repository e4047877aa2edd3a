//! What a tool allows: one string, and an observer who knows everything but its height: thread and
//! direction of the screw, how the tool rounds, how well its reader repeats and how far readers lie off.
//! No advice from the same readings can be right more often.

pub mod rod;

use crate::instrument::KINDS;
use crate::noise::Noise;
use crate::reader::Held;
use crate::visit::TOLERANCE;

/// How a string is brought to its target within [`TOLERANCE`].
#[derive(Debug, Clone, Copy)]
pub struct Bound {
    /// Share of strings within the tolerance in the end.
    pub within: f64,
    /// Turns made for each string.
    pub turns: f64,
    /// Share of strings turned although they were within it.
    pub needless: f64,
    /// Share of turns that took a string past its target by more than it.
    pub overshoots: f64,
}

/// Heights over the target on a grid, and how far the reader lies off.
#[derive(Clone)]
struct Belief {
    /// Weight of each height, for each offset.
    weights: Vec<Vec<f64>>,
    /// The same of where its saddle holds it in the mean of many visits.
    held: Vec<Vec<f64>>,
    /// How likely the readings of this visit are, by the height now.
    seen: Vec<Vec<f64>>,
    offsets: Vec<f64>,
}

const STEP: f64 = 0.02;
const REACH: i32 = 100;

fn heights() -> impl Iterator<Item = f64> {
    (-REACH..=REACH).map(|n| f64::from(n) * STEP)
}

/// The normal distribution function.
fn below(z: f64) -> f64 {
    0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
}

/// A normal density, but for a factor.
fn density(sd: f64, x: f64) -> f64 {
    (-(x / sd).powi(2) / 2.0).exp() / sd
}

impl Belief {
    fn new(held: Held, prior: impl Fn(f64) -> f64) -> Self {
        let offsets: Vec<f64> = (-3..=3).map(|n| 0.8 * f64::from(n) * held.size().2).collect();
        let weight = |b: &f64| {
            let offset = density(held.size().2, *b);
            heights().map(|x| prior(x) * offset).collect()
        };
        let weights: Vec<Vec<f64>> = offsets.iter().map(weight).collect();
        let seen = weights.iter().map(|list| vec![1.0; list.len()]).collect();
        Self { held: weights.clone(), weights, seen, offsets }
    }

    /// What a reading at a mark says, by the whole width of the mark.
    fn read(&mut self, held: Held, mark: f64) {
        let (graduation, repeats, _) = held.size();
        for ((list, seen), b) in self.weights.iter_mut().zip(&mut self.seen).zip(&self.offsets) {
            for ((weight, seen), x) in list.iter_mut().zip(seen).zip(heights()) {
                let off = |edge: f64| (mark + edge * graduation - x - b) / repeats;
                let likely = below(off(0.5)) - below(off(-0.5)) + 1e-12;
                *weight *= likely;
                *seen *= likely;
            }
        }
    }

    fn turned(&mut self, mm: f64) {
        let by = (mm / STEP).round() as i32;
        for list in self.weights.iter_mut().chain(&mut self.held).chain(&mut self.seen) {
            let old = list.clone();
            for (at, weight) in (0_i32..).zip(list.iter_mut()) {
                let from = usize::try_from(at - by).ok();
                *weight = from.and_then(|f| old.get(f)).copied().unwrap_or(0.0);
            }
        }
    }

    /// The same, where the mark may be another one, misread.
    fn read_or_slip(&mut self, held: Held, mark: f64) {
        let (graduation, ..) = held.size();
        let others = [-4.0, -3.0, -2.0, 2.0, 3.0, 4.0].map(|marks| mark + marks * graduation);
        let mut sum: Vec<Vec<f64>> = Vec::new();
        for (share, mark) in [(1.0 - SLIP, mark)].into_iter().chain(others.map(|m| (SLIP / 6.0, m)))
        {
            let mut one = self.clone();
            one.read(held, mark);
            if sum.is_empty() {
                sum = one.weights.iter().map(|list| vec![0.0; list.len()]).collect();
            }
            for (all, of) in sum.iter_mut().flatten().zip(one.weights.iter().flatten()) {
                *all += share * of;
            }
        }
        self.weights = sum;
    }

    fn total(&self) -> f64 {
        self.weights.iter().flatten().sum()
    }

    /// It moved by what is known to this only.
    fn scattered(&mut self, sd: f64) {
        if sd > 0.0 {
            self.weights.iter_mut().for_each(|list| *list = aged(list, sd, 0.0));
        }
    }

    /// Time passes: it moves a little, and with this chance much.
    fn aged(&mut self, chance: f64) {
        self.weights.iter_mut().for_each(|list| *list = aged(list, QUIET, chance));
    }

    /// Another visit: what was read so far tells where the saddle holds it, which creeps, and with this chance
    /// somebody turned it; the string lies about that.
    fn later(&mut self, chance: f64) {
        let all = self.total().max(f64::MIN_POSITIVE);
        for ((held, seen), weights) in
            self.held.iter_mut().zip(&mut self.seen).zip(&mut self.weights)
        {
            let tells = aged(seen, QUIET, 0.0);
            let told: Vec<f64> =
                held.iter().zip(&tells).map(|(h, tells)| h * tells / all).collect();
            *held = aged(&told, CREEP, chance);
            *weights = aged(held, QUIET, 0.0);
            seen.fill(1.0);
        }
    }

    /// The share within the tolerance after a move.
    fn within(&self, by: f64) -> f64 {
        let inside = |x: f64| f64::from(u8::from((x + by).abs() <= TOLERANCE.1));
        let (mut good, mut all) = (0.0, 0.0);
        for (weight, x) in self.weights.iter().flat_map(|list| list.iter().zip(heights())) {
            good += weight * inside(x);
            all += weight;
        }
        good / all.max(f64::MIN_POSITIVE)
    }
}

/// Weights that scatter by `sd`, and with this chance are moved as far as somebody turns a saddle.
fn aged(old: &[f64], sd: f64, chance: f64) -> Vec<f64> {
    let reach = (4.0 * sd / STEP).ceil() as i32;
    let kernel: Vec<f64> = (-reach..=reach).map(|n| density(sd, f64::from(n) * STEP)).collect();
    let all: f64 = kernel.iter().sum();
    let sums: Vec<f64> = std::iter::once(0.0)
        .chain(old.iter().scan(0.0, |sum, weight| {
            *sum += weight;
            Some(*sum)
        }))
        .collect();
    let up_to = |n: i32| sums[usize::try_from(n).unwrap_or(0).min(old.len())];
    let (near, far) = ((MOVED.0 / STEP).round() as i32, (MOVED.1 / STEP).round() as i32);
    let each = chance / f64::from(2 * (far - near));
    let at = |at: i32| {
        let from = |n: i32| usize::try_from(at - n).ok().and_then(|f| old.get(f)).copied();
        let quiet = (-reach..).zip(&kernel).map(|(n, k)| k * from(n).unwrap_or(0.0)).sum::<f64>();
        let moved = up_to(at - near) - up_to(at - far) + up_to(at + far) - up_to(at + near);
        (1.0 - chance) * quiet / all + each * moved
    };
    (0_i32..).zip(old).map(|(n, _)| at(n)).collect()
}

/// When the observer turns, and how often at most.
#[derive(Debug, Clone, Copy)]
pub struct Policy {
    /// What it is called.
    pub name: &'static str,
    /// It turns while the string is within its tolerance with less than this probability.
    pub turns_below: f64,
    /// Most turns of a string.
    pub most_turns: usize,
}

/// As many strings within the tolerance as can be; and as few turned needlessly.
pub const POLICIES: [Policy; 3] = [
    Policy { name: "one turn, for the most strings", turns_below: 0.9, most_turns: 1 },
    Policy { name: "two turns, for the most strings", turns_below: 0.9, most_turns: 2 },
    Policy { name: "only what is off by 70 %", turns_below: 0.3, most_turns: 3 },
];

/// Many strings, at a first visit or at a later one.
pub fn bound(held: Held, later: bool, policy: Policy, strings: usize, seed: u64) -> Bound {
    let most_turns = policy.most_turns;
    let mut noise = Noise::new(seed, 99);
    let (graduation, repeats, offset) = held.size();
    let mut told = [0_usize; 4];
    // An eighth of a turn of M3, as a gap stopped at 1 over the last fret, on the grid.
    let eighth = 0.04;
    for _ in 0..strings {
        let sd = if !later {
            0.6
        } else if noise.chance(0.87) {
            0.12
        } else {
            0.7
        };
        let (mut x, b) = (sd * noise.normal(), offset * noise.normal());
        let marks_from = noise.between(-0.5, 0.5) * graduation;
        let mut belief = Belief::new(held, |x| {
            if later { 0.87 * density(0.12, x) + 0.13 * density(0.7, x) } else { density(0.6, x) }
        });
        let mut needless = false;
        for turn in 0..=most_turns {
            let seen = x + b + repeats * noise.normal() - marks_from;
            belief.read(held, (seen / graduation).round() * graduation + marks_from);
            if turn == most_turns || belief.within(0.0) >= policy.turns_below {
                break;
            }
            let moves = (-40..=40).map(|n| f64::from(n) * eighth);
            let best = moves.map(|by| (belief.within(by), by)).max_by(|a, b| a.0.total_cmp(&b.0));
            let Some((share, by)) =
                best.filter(|(share, by)| by.abs() > 1e-9 && *share > belief.within(0.0) + 0.02)
            else {
                break;
            };
            debug_assert!(share <= 1.0);
            needless |= x.abs() <= TOLERANCE.1;
            let after = x + by + 0.005 * noise.normal();
            told[1] += 1;
            told[3] += usize::from(x * after < 0.0 && after.abs() > TOLERANCE.1);
            x = after;
            belief.turned(by);
        }
        told[0] += usize::from(x.abs() <= TOLERANCE.1);
        told[2] += usize::from(needless);
    }
    let share = |n: usize, of: usize| n as f64 / of.max(1) as f64;
    Bound {
        within: share(told[0], strings),
        turns: share(told[1], strings),
        needless: share(told[2], strings),
        overshoots: share(told[3], told[1]),
    }
}

/// Strings of an instrument for [`naming`]; how far an action lies at a visit from where its saddle holds it,
/// and how far that creeps from one visit to the next (one standard deviation in mm), how often one of its
/// saddles is turned by somebody, and how far that moves the action: as in [`crate::visit`].
const STRINGS: usize = 5;
const QUIET: f64 = 0.05;
/// How far an action moves at most while the neck is set, in mm.
const NECK: f64 = 0.2;
const CREEP: f64 = 0.01;
const MOVES: f64 = 0.13;
const MOVED: (f64, f64) = (0.3, 1.05);
/// Visits of each instrument.
const VISITS: usize = 8;

/// What an observer attains in first visits, or in later ones.
#[derive(Debug, Clone, Copy, Default)]
pub struct Attained {
    /// Visits.
    pub visits: usize,
    /// Strings in them.
    pub strings: usize,
    /// Of these, visits with a string turned that was within its tolerance.
    pub needless: usize,
    /// Strings within it in the end.
    pub within: usize,
    /// Turns made.
    pub turns: usize,
    /// Of these, past the target by more than the tolerance.
    pub overshoots: usize,
}

/// Visits of instruments with a saddle for each string, by an observer who also knows how they are misset at first,
/// how far they move from visit to visit, and keeps in mind all that was read and turned: first visits,
/// later visits. A string is turned while it is within its tolerance with less than `turns_below`.
pub fn visits(held: Held, turns_below: f64, instruments: usize, seed: u64) -> [Attained; 2] {
    let mut noise = Noise::new(seed, 98);
    let (graduation, repeats, offset) = held.size();
    let mut told = [Attained::default(); 2];
    for number in 0..instruments {
        let b = offset * noise.normal();
        let kind = &KINDS[number % KINDS.len()];
        // Stopped at 1 over the last fret, or open over 12: how much of a saddle's height the action shows.
        let stopped = noise.chance(0.75);
        let shows = if stopped { 0.74 } else { 0.5 };
        let misset = (-0.5 * shows, 0.9 * shows);
        let prior = |x: f64| f64::from(u8::from((misset.0..misset.1).contains(&x))) + 1e-6;
        let mut strings: Vec<(f64, f64, Belief)> = (0..kind.strings())
            .map(|string| {
                // Where the marks of a tool lie beside what is wanted.
                let (low, high) = kind.action;
                let marks_from = if stopped {
                    -(low + (high - low) * kind.across(string))
                } else {
                    noise.between(-0.5, 0.5) * graduation
                };
                (noise.between(misset.0, misset.1), marks_from, Belief::new(held, prior))
            })
            .collect();
        for visit in 0..VISITS {
            let moved = noise.chance(MOVES).then(|| noise.below(strings.len()));
            let row = &mut told[usize::from(visit > 0)];
            let mut needless = false;
            for (n, (at, marks_from, belief)) in strings.iter_mut().enumerate() {
                if visit > 0 {
                    *at += CREEP * noise.normal();
                    if moved == Some(n) {
                        *at += noise.sign() * noise.between(MOVED.0, MOVED.1);
                    }
                    belief.later(MOVES / kind.strings() as f64);
                }
                let mut x = *at + QUIET * noise.normal();
                // The neck is set first, so that it is read at several known heights beside this.
                let turns = if visit == 0 { 2 } else { usize::from(noise.chance(0.4)) };
                let necks: Vec<f64> = (0..turns).map(|_| noise.between(-NECK, NECK)).collect();
                let mut look = |x: f64, beside: f64, belief: &mut Belief| {
                    let from = *marks_from - beside;
                    let seen = x + b + repeats * noise.normal() - from;
                    belief.read(held, (seen / graduation).round() * graduation + from);
                };
                for beside in necks {
                    look(x, beside, belief);
                }
                look(x, 0.0, belief);
                for _ in 0..3 {
                    let moves = (-40..=40).map(|n| f64::from(n) * 0.04);
                    let best = moves
                        .map(|by| (belief.within(by), by))
                        .max_by(|a, b| a.0.total_cmp(&b.0))
                        .map_or(0.0, |best| best.1);
                    if belief.within(0.0) >= turns_below || best.abs() < 1e-9 {
                        break;
                    }
                    needless |= x.abs() <= TOLERANCE.1;
                    row.turns += 1;
                    row.overshoots +=
                        usize::from(x * (x + best) < 0.0 && (x + best).abs() > TOLERANCE.1);
                    (x, *at) = (x + best, *at + best);
                    belief.turned(best);
                    look(x, 0.0, belief);
                }
                // The final numbers are read once more.
                look(x, 0.0, belief);
                row.within += usize::from(x.abs() <= TOLERANCE.1);
            }
            row.visits += 1;
            row.strings += strings.len();
            row.needless += usize::from(needless);
        }
    }
    told
}

/// How often a reading is misread, by two to four marks: as in [`crate::reader`].
const SLIP: f64 = 1.0 / 120.0;
/// By how much an action moves with a saddle that was turned by 0.8 mm or more.
const TURNED: (f64, f64) = (0.59, 1.03);

/// What else befalls a string whose saddle may have been turned, and from when on it is named.
#[derive(Debug, Clone, Copy)]
pub struct Naming {
    /// What it is called.
    pub name: &'static str,
    /// How often a string's saddle is turned.
    pub often: f64,
    /// By how much the neck moved the action meanwhile, and how surely that is known from the relief, one standard
    /// deviation in mm.
    pub neck: (f64, f64),
    /// From which odds on it is named.
    pub odds: f64,
}

/// One of `STRINGS` now and then; one always and the neck with it, as in `eventful` visits, where the relief read with
/// feelers before and after (0.02 mm each, a twentieth of what it makes of the action) says how far.
pub const NAMINGS: [Naming; 3] = [
    Naming {
        name: "now and then, 2 to 1",
        often: MOVES / STRINGS as f64,
        neck: (0.0, 0.0),
        odds: 2.0,
    },
    Naming {
        name: "neck and a saddle, 2 to 1",
        often: 1.0 / STRINGS as f64,
        neck: (0.15, 0.03),
        odds: 2.0,
    },
    Naming {
        name: "neck and a saddle, 20 to 1",
        often: 1.0 / STRINGS as f64,
        neck: (0.15, 0.03),
        odds: 20.0,
    },
];

/// How often a string whose saddle somebody turned by 0.8 mm or more from one visit to the next is named,
/// once it is read again, and how many of those named are right: by an observer
/// who knows how often saddles are turned and readings misread, and has one mark of the earlier visit.
pub fn naming(held: Held, of: Naming, strings: usize, seed: u64) -> (f64, f64) {
    let mut noise = Noise::new(seed, 97);
    let (graduation, repeats, offset) = held.size();
    let mut named = [0_usize; 2];
    for at in 0..2 * strings {
        let turned = at % 2;
        let (b, marks_from) = (offset * noise.normal(), noise.between(-0.5, 0.5) * graduation);
        let before = 0.12 * noise.normal();
        let by = noise.sign() * noise.between(TURNED.0, TURNED.1);
        let necks = of.neck.0 * noise.normal();
        // As the observer knows it, from the relief.
        let known = necks + of.neck.1 * noise.normal();
        let after = before + necks + QUIET * noise.normal() + if turned == 1 { by } else { 0.0 };
        let mut mark = |x: f64| {
            let seen = (x + b + repeats * noise.normal() - marks_from) / graduation;
            let slip =
                if noise.chance(SLIP) { noise.sign() * (2.0 + noise.below(3) as f64) } else { 0.0 };
            (seen.round() + slip) * graduation + marks_from
        };
        let (left, found) = (mark(before), [mark(after), mark(after)]);
        let explained = |chance: f64| {
            let mut belief = Belief::new(held, |x| density(0.12, x));
            belief.read_or_slip(held, left);
            belief.turned(known);
            belief.scattered(of.neck.1);
            belief.aged(chance);
            for mark in found {
                belief.read_or_slip(held, mark);
            }
            belief.total()
        };
        let odds = of.often * explained(1.0) / ((1.0 - of.often) * explained(0.0)).max(1e-300);
        named[turned] += usize::from(odds >= of.odds);
    }
    let share = |n: usize| n as f64 / strings.max(1) as f64;
    let (right, wrong) = (of.often * share(named[1]), (1.0 - of.often) * share(named[0]));
    (share(named[1]), right / (right + wrong).max(1e-9))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_marks_that_are_read_twice_name_a_saddle_and_nothing_names_none() {
        let (named, right) = naming(Held::Rule64, NAMINGS[0], 60, 1);
        assert!(named > 0.5 && right > 0.6, "{named} {right}");
    }

    #[test]
    fn a_finer_tool_allows_more() {
        let of = |held| bound(held, false, POLICIES[1], 150, 1).within;
        assert!(of(Held::Dial) > of(Held::Rule64) && of(Held::Rule64) > of(Held::RuleHalf) - 0.05);
        assert!(of(Held::Dial) > 0.97);
    }
}
