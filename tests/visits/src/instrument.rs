//! The true instrument: neck, rod, bridge, nut. Sizes are usual ones of the trade; all else is invented.

use crate::neck::{Neck, fret_x, gap, relief};
use crate::noise::Noise;

/// A kind of instrument, by the template of its record.
#[derive(Debug)]
pub struct Kind {
    /// The template.
    pub template: &'static str,
    /// Scale of each string in mm, from the treble side.
    pub scales: &'static [f64],
    /// Frets.
    pub frets: usize,
    /// Where the template says that the neck stops bending.
    pub joint: usize,
    /// Actions, stopped at 1 over the last fret, in mm: of the first string and of the last.
    pub action: (f64, f64),
    /// Relief wanted, in mm.
    pub relief: f64,
    /// Relief for a turn of the rod and for a percentage point of moisture, in mm, in the middle.
    pub rod: f64,
    /// The same for a percentage point of moisture, one standard deviation.
    pub season: f64,
    /// From the first to the last string at the bridge, in mm.
    pub spread: f64,
    /// Strings that share a saddle, where saddles are shared.
    pub shared: &'static [&'static [usize]],
}

/// The kinds.
pub const KINDS: [Kind; 4] = [
    Kind {
        template: "bass-4",
        scales: &[863.6; 4],
        frets: 24,
        joint: 17,
        action: (1.9, 2.5),
        relief: 0.25,
        rod: 0.55,
        season: 0.030,
        spread: 57.0,
        shared: &[&[0, 1], &[2, 3]],
    },
    Kind {
        template: "guitar-6",
        scales: &[647.7; 6],
        frets: 22,
        joint: 16,
        action: (1.4, 1.9),
        relief: 0.20,
        rod: 0.35,
        season: 0.018,
        spread: 52.0,
        shared: &[&[0, 1], &[2, 3], &[4, 5]],
    },
    Kind {
        template: "bass-5",
        scales: &[863.6; 5],
        frets: 24,
        joint: 17,
        action: (1.9, 2.7),
        relief: 0.25,
        rod: 0.55,
        season: 0.030,
        spread: 72.0,
        shared: &[&[0, 1], &[2], &[3, 4]],
    },
    Kind {
        template: "bass-5-fanned",
        scales: &[838.2, 850.9, 863.6, 876.3, 889.0],
        frets: 24,
        joint: 17,
        action: (1.9, 2.7),
        relief: 0.25,
        rod: 0.55,
        season: 0.030,
        spread: 72.0,
        shared: &[&[0, 1], &[2], &[3, 4]],
    },
];

impl Kind {
    /// How many strings.
    pub fn strings(&self) -> usize {
        self.scales.len()
    }

    /// Scale in the middle of the board.
    pub fn scale(&self) -> f64 {
        f64::midpoint(self.scales[0], self.scales[self.strings() - 1])
    }

    /// Where a string lies across the board: 0 the first, 1 the last.
    pub fn across(&self, string: usize) -> f64 {
        string as f64 / (self.strings() - 1) as f64
    }
}

/// What a height screw moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BridgeKind {
    /// A saddle for each string.
    Own,
    /// Saddles of two strings, mostly.
    Shared,
    /// Two posts.
    TwoPosts,
    /// A blank: filed, or shimmed as a whole.
    Fixed,
    /// Two posts, and springs that balance the strings.
    Floating,
}

impl BridgeKind {
    /// Every kind.
    pub const ALL: [Self; 5] =
        [Self::Own, Self::Shared, Self::TwoPosts, Self::Fixed, Self::Floating];

    /// The word of the trade.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Own => "own saddles",
            Self::Shared => "shared saddles",
            Self::TwoPosts => "two posts",
            Self::Fixed => "fixed",
            Self::Floating => "floating",
        }
    }
}

/// A rod with play, a range in which it does nothing, and an answer that grows the tighter it is.
#[derive(Debug, Clone)]
pub struct Rod {
    /// Whether it also pushes.
    pub two_way: bool,
    /// +1 if clockwise tightens.
    pub clockwise: f64,
    /// Relief taken away for a turn, in the middle; 0 for one that is stripped.
    pub gain: f64,
    /// Where the nut stands, in turns of tightening from where it begins to work.
    pub nut: f64,
    /// What the nut has taken along: it follows with play.
    held: f64,
    play: f64,
    /// Width of the range in which a two-way rod does nothing, below 0.
    dead: f64,
    /// What of the last change has not come yet.
    creep: f64,
    late: f64,
}

impl Rod {
    pub(crate) fn new(kind: &Kind, noise: &mut Noise) -> Self {
        let two_way = noise.chance(0.45);
        // Most stand well in their working range; some are nearly slack, or in the dead range.
        let nut =
            if noise.chance(0.12) { noise.between(-0.1, 0.3) } else { noise.between(0.7, 1.8) };
        Self {
            two_way,
            clockwise: if noise.chance(0.95) { 1.0 } else { -1.0 },
            gain: if noise.chance(0.02) { 0.0 } else { kind.rod * (0.35 * noise.normal()).exp() },
            nut,
            held: nut,
            play: noise.between(0.0, 0.02),
            dead: noise.between(0.1, 0.35),
            creep: noise.between(0.02, 0.12),
            late: 0.0,
        }
    }

    /// Relief for a place of the nut, in mm: less than nothing.
    fn pulls(&self, held: f64) -> f64 {
        let one = |t: f64| self.gain * (t + 0.06 * t * t);
        if held >= 0.0 {
            -one(held)
        } else if self.two_way {
            one((-held - self.dead).max(0.0))
        } else {
            0.0
        }
    }

    /// What the rod makes of the relief now.
    pub fn now(&self) -> f64 {
        self.pulls(self.held) - self.late
    }

    fn follow(&self, nut: f64) -> f64 {
        self.held.clamp(nut - self.play, nut + self.play)
    }

    /// What a turn would do to the relief in the end, clockwise positive.
    pub fn would(&self, turns: f64) -> f64 {
        self.pulls(self.follow(self.nut + turns * self.clockwise)) - self.pulls(self.held)
    }

    /// Turns it, clockwise positive.
    pub(crate) fn turn(&mut self, turns: f64) {
        self.late += self.creep * self.would(turns);
        self.nut += turns * self.clockwise;
        self.held = self.follow(self.nut);
    }

    /// Days pass: the rest of what it did comes.
    pub(crate) fn settles(&mut self, days: f64) {
        self.late *= (-days).exp();
    }

    /// One that is a little different.
    pub(crate) fn like(&self, noise: &mut Noise) -> Self {
        let by = 0.03 * noise.normal();
        let gain = self.gain * (0.03 * noise.normal()).exp();
        Self { gain, nut: self.nut + by, held: self.held + by, ..self.clone() }
    }
}

/// The bridge.
#[derive(Debug, Clone)]
pub struct Bridge {
    /// What its screws move.
    pub kind: BridgeKind,
    /// Rise of a screw for a turn clockwise in mm, signed.
    pub per_turn: f64,
    /// Where each screw stands: its rise in mm.
    pub rise: Vec<f64>,
    /// As far as each screw's thread goes, down and up.
    pub thread: (f64, f64),
    /// How much each string rises for a millimetre of each screw: a row for each string.
    pub share: Vec<Vec<f64>>,
    /// Pull of the springs over that of the strings, less 1; a floating bridge leans by it.
    pub lean: f64,
    /// How much further a floating bridge lifts each string for it, in mm.
    lean_mm: f64,
}

impl Bridge {
    fn new(kind: BridgeKind, of: &Kind, pitch: f64, noise: &mut Noise) -> Self {
        let strings = of.strings();
        let own = |s: usize| (0..strings).map(|k| f64::from(u8::from(k == s))).collect();
        let share: Vec<Vec<f64>> = match kind {
            BridgeKind::Own | BridgeKind::Fixed => (0..strings).map(own).collect(),
            BridgeKind::Shared => {
                let on = |s| move |saddle: &&[usize]| f64::from(u8::from(saddle.contains(&s)));
                (0..strings).map(|s| of.shared.iter().map(on(s)).collect()).collect()
            }
            BridgeKind::TwoPosts | BridgeKind::Floating => {
                // The posts stand outside the strings, not where the record takes them to be.
                let outside = noise.between(6.0, 16.0) / of.spread;
                let at = |s| (of.across(s) + outside) / (1.0 + 2.0 * outside);
                (0..strings).map(|s| vec![1.0 - at(s), at(s)]).collect()
            }
        };
        let screws = share[0].len();
        Self {
            kind,
            per_turn: pitch * if noise.chance(0.85) { 1.0 } else { -1.0 },
            rise: vec![0.0; screws],
            thread: (-noise.between(1.5, 2.5), noise.between(2.0, 4.0)),
            share,
            lean: 0.0,
            lean_mm: noise.between(4.0, 9.0),
        }
    }

    /// How high the bridge holds a string over where it stood at first.
    pub fn height(&self, string: usize) -> f64 {
        let screws: f64 = self.share[string].iter().zip(&self.rise).map(|(s, r)| s * r).sum();
        let lean = if self.kind == BridgeKind::Floating { self.lean * self.lean_mm } else { 0.0 };
        screws + lean
    }
}

/// The true instrument.
#[derive(Debug, Clone)]
pub struct Instrument {
    /// What kind.
    pub kind: &'static Kind,
    neck: Neck,
    /// Where the neck ends in truth, in frets.
    joint: f64,
    /// The rod.
    pub rod: Rod,
    /// The bridge.
    pub bridge: Bridge,
    /// Heights of the saddles at first.
    saddles: Vec<f64>,
    /// Heights of the slots over the line of the crowns.
    pub slots: Vec<f64>,
    /// Relief by age of the wood, and by the pull of the strings on it, in mm.
    wood: f64,
    pull: f64,
    /// The strings' pull over the usual one, less 1.
    pub tension: f64,
    twist: f64,
    season: f64,
    /// Moisture of the wood in percent.
    pub moisture: f64,
    /// Tilt at the joint in rad.
    pub tilt: f64,
}

impl Instrument {
    /// An instrument, set up as its owner wants it, with its wanted actions.
    pub fn new(kind: &'static Kind, bridge: BridgeKind, pitch: f64, noise: &mut Noise) -> Self {
        let joint = kind.joint as f64 + noise.between(-2.0, 2.0);
        let rod = Rod::new(kind, noise);
        let mut made = Self {
            kind,
            neck: Neck::new(kind.scale(), kind.frets, joint, rod.two_way, noise),
            joint,
            rod,
            bridge: Bridge::new(bridge, kind, pitch, noise),
            saddles: vec![0.0; kind.strings()],
            slots: (0..kind.strings()).map(|_| noise.between(0.35, 0.60)).collect(),
            wood: 0.0,
            pull: kind.rod * noise.between(1.0, 2.0),
            tension: 0.0,
            twist: 0.04 * noise.normal(),
            season: kind.season * noise.normal(),
            moisture: 9.0,
            tilt: 0.0,
        };
        // The wood is as it must be for the relief that is wanted. Crowns make it no straight sum.
        for _ in 0..20 {
            made.wood += kind.relief - made.relief();
        }
        for string in 0..kind.strings() {
            let wanted = made.usual_action(string);
            for _ in 0..3 {
                let off = wanted - made.gap(string, 1, kind.frets).1;
                made.saddles[string] += off / made.per_saddle(string, 1, kind.frets);
            }
        }
        made
    }

    fn usual_action(&self, string: usize) -> f64 {
        let (first, last) = self.kind.action;
        let across = self.kind.across(string);
        // The row of undersides is curved like the board, which the model of the gaps need not know.
        first + (last - first) * across
    }

    /// How much a gap grows for a millimetre at the saddle.
    pub fn per_saddle(&self, string: usize, stopped: usize, over: usize) -> f64 {
        let scale = self.kind.scales[string];
        let (x0, x) = (fret_x(scale, stopped), fret_x(scale, over));
        (x - x0) / (scale - x0)
    }

    fn line(&self, across: f64, scale: f64, level: bool) -> Vec<f64> {
        let wood = self.wood + self.season * (self.moisture - 9.0) + self.twist * (across - 0.5);
        let loads = [wood, self.pull * (1.0 + self.tension), self.rod.now()];
        self.neck.line(scale, loads, (self.tilt, self.joint.round() as usize), level)
    }

    /// True relief between frets 1 and the last in the middle of the board, as a straight edge shows it.
    pub fn relief(&self) -> f64 {
        relief(&self.line(0.5, self.kind.scale(), false), self.kind.scale())
    }

    /// Relief by bending alone, in the middle, and that on the bass side less that on the treble side.
    pub fn bending(&self) -> (f64, f64) {
        let scales = self.kind.scales;
        let at = |across: f64| {
            let scale = scales[0] + across * (scales[scales.len() - 1] - scales[0]);
            relief(&self.line(across, scale, true), scale)
        };
        (at(0.5), at(1.0) - at(0.0))
    }

    /// True gap of a string stopped at a fret (0: open) over a higher one: as it lies, and where it would
    /// be if frets were not in its way.
    pub fn gap(&self, string: usize, stopped: usize, over: usize) -> (f64, f64) {
        let scale = self.kind.scales[string];
        let line = self.line(self.kind.across(string), scale, false);
        let slot = if stopped == 0 { self.slots[string] } else { 0.0 };
        let saddle = self.saddles[string] + self.bridge.height(string);
        gap(&line, scale, (stopped, line[stopped] + slot), over, saddle)
    }

    /// Turns the rod, clockwise positive.
    pub fn turn_rod(&mut self, turns: f64) {
        self.rod.turn(turns);
    }

    /// Turns a screw of the bridge, clockwise positive. False if its thread ended.
    pub fn turn_screw(&mut self, screw: usize, turns: f64) -> bool {
        let to = self.bridge.rise[screw] + turns * self.bridge.per_turn;
        let (low, high) = self.bridge.thread;
        self.bridge.rise[screw] = to.clamp(low, high);
        (low..=high).contains(&to)
    }

    /// Raises a string at a saddle without screws, or lowers it.
    pub fn shim(&mut self, string: usize, mm: f64) {
        self.saddles[string] += mm;
    }

    /// Time passes: the rest of what the rod did comes, wood follows the air, crowns wear.
    pub fn age(&mut self, days: f64, humidity: f64, noise: &mut Noise) {
        self.rod.settles(days);
        self.moisture += (moisture(humidity) - self.moisture) * (1.0 - (-days / 25.0).exp());
        self.wood += 0.01 * noise.normal();
        self.bridge.lean += 0.006 * noise.normal();
        for (fret, crown) in self.neck.crowns.iter_mut().enumerate() {
            *crown -= noise.between(0.0, if fret < 5 { 0.002 } else { 0.0004 });
        }
    }

    /// Height of a string at the saddle over the line from the joint, for comparing two times.
    pub fn saddle_height(&self, string: usize) -> f64 {
        self.saddles[string] + self.bridge.height(string)
    }

    /// Height of the first crown over a perfect row.
    pub fn first_crown(&self) -> f64 {
        self.neck.crowns[0]
    }

    /// What the relief, as it is read, does for a percentage point of moisture in the wood.
    pub fn relief_per_percent(&self) -> f64 {
        let at = |moisture| Self { moisture, ..self.clone() }.relief();
        (at(10.5) - at(6.5)) / 4.0
    }

    /// How far the tilt at the joint lifts the line of the neck at a saddle, in mm for a radian.
    pub fn lever(&self, string: usize) -> f64 {
        self.kind.scales[string] * 2_f64.powf(-(self.kind.joint as f64) / 12.0)
    }
}

/// Moisture in percent to which wood comes at 21 degrees: between the rows of the Wood Handbook's table
/// (FPL-GTR-190, table 4-2; from memory).
fn moisture(humidity: f64) -> f64 {
    const ROWS: [f64; 11] = [5.4, 6.2, 6.9, 7.7, 8.5, 9.2, 10.1, 11.0, 12.0, 13.1, 14.4];
    let row = ((humidity - 25.0) / 5.0).clamp(0.0, 9.999);
    let (low, part) = (row as usize, row.fract());
    ROWS[low] + part * (ROWS[low + 1] - ROWS[low])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(seed: u64, bridge: BridgeKind) -> Instrument {
        Instrument::new(&KINDS[0], bridge, 0.5, &mut Noise::new(seed, 1))
    }

    #[test]
    fn it_begins_as_it_is_wanted() {
        for seed in 0..20 {
            let made = one(seed, BridgeKind::Own);
            assert!((made.relief() - 0.25).abs() < 0.01, "{}", made.relief());
            assert!((made.gap(0, 1, 24).1 - 1.9).abs() < 1e-6);
            assert!((made.gap(3, 1, 24).1 - 2.5).abs() < 1e-6);
        }
    }

    #[test]
    fn tightening_takes_relief_away_and_lowers_the_strings() {
        for seed in 0..20 {
            let mut made = one(seed, BridgeKind::Own);
            if made.rod.gain < 0.1 || made.rod.nut < 0.5 {
                continue;
            }
            let (relief, action) = (made.relief(), made.gap(0, 1, 24).1);
            made.turn_rod(0.25 * made.rod.clockwise);
            assert!(made.relief() < relief - 0.02);
            assert!(made.gap(0, 1, 24).1 < action);
        }
    }

    #[test]
    fn a_slack_one_way_rod_does_nothing() {
        let mut rod = one(1, BridgeKind::Own).rod;
        (rod.two_way, rod.nut, rod.held) = (false, -0.5, -0.5);
        assert_eq!(rod.would(-0.25 * rod.clockwise), 0.0);
    }

    #[test]
    fn a_post_moves_the_strings_near_to_it_more() {
        let mut made = one(3, BridgeKind::TwoPosts);
        let before = [made.gap(0, 1, 24).1, made.gap(3, 1, 24).1];
        assert!(made.turn_screw(0, 0.5));
        let rise = [made.gap(0, 1, 24).1 - before[0], made.gap(3, 1, 24).1 - before[1]];
        assert!(rise[0].abs() > rise[1].abs() && rise[1].abs() > 0.0);
        assert!(!made.turn_screw(0, 40.0));
    }
}
