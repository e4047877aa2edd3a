//! A simulated instrument: true neck, saddles, nut, rod and wood. In tests only. All of it is
//! invented; it tries the arithmetic on something that does not share its assumptions, and says
//! nothing of how instruments behave.

use super::family::Family;
use super::neck::{Profile, Shape, fret_x};
use super::noise::Noise;

/// Air of a room that is heated in winter, a month each: degrees Celsius and percent (invented).
const ROOM: [(f64, f64); 12] = [
    (20.0, 33.0),
    (20.0, 34.0),
    (20.5, 38.0),
    (21.0, 43.0),
    (21.5, 50.0),
    (23.0, 56.0),
    (24.5, 58.0),
    (24.0, 57.0),
    (22.0, 53.0),
    (21.0, 47.0),
    (20.0, 40.0),
    (20.0, 35.0),
];

/// The room's air on a day, between the middles of months.
pub fn room(day: f64) -> (f64, f64) {
    let month = (day / 365.25 * 12.0 - 0.5).rem_euclid(12.0);
    let (now, part) = (month as usize % 12, month.fract());
    let (a, b) = (ROOM[now], ROOM[(now + 1) % 12]);
    (a.0 + part * (b.0 - a.0), a.1 + part * (b.1 - a.1))
}

/// Moisture content that wood comes to: Hailwood and Horrobin's equation with the coefficients of
/// the Wood Handbook (FPL-GTR-190, equation 4-5), written out here once more.
pub fn moisture(celsius: f64, humidity: f64) -> f64 {
    let (t, h) = (celsius, humidity / 100.0);
    let w = 349.0 + 1.29 * t + 0.0135 * t * t;
    let k = 0.805 + 0.000_736 * t - 0.000_002_73 * t * t;
    let k1 = 6.27 - 0.009_38 * t - 0.000_303 * t * t;
    let k2 = 1.91 + 0.0407 * t - 0.000_293 * t * t;
    let (kh, k1kh) = (k * h, k1 * k * h);
    let k12 = k1 * k2 * kh * kh;
    1800.0 / w * (kh / (1.0 - kh) + (k1kh + 2.0 * k12) / (1.0 + k1kh + k12))
}

/// The true instrument.
#[derive(Clone)]
pub struct World {
    pub family: &'static Family,
    /// Where the neck stops bending, in frets.
    pub joint: f64,
    wood: Shape,
    rod: Shape,
    /// Relief in the middle for rod and strings as they were at first, at 9 % moisture, in mm.
    pub base: f64,
    /// Relief on the bass side over that on the treble side, in mm.
    pub twist: f64,
    /// Tilt at the joint in mrad.
    pub tilt: f64,
    /// What the strings that are on add, in mm.
    pub strings: f64,
    pub turns: f64,
    /// Millimetres of relief a turn, signed: clockwise positive.
    pub per_turn: f64,
    /// Millimetres that the wood alone would bend the neck for each percentage point of moisture.
    pub season: f64,
    /// Moisture content of the neck, in percent.
    pub moisture: f64,
    /// What the neck is off its moisture today, in mm.
    pub lag: f64,
    /// Heights over the body.
    pub saddles: Vec<f64>,
    /// Millimetres a saddle rises a turn, clockwise positive.
    pub saddle_per_turn: f64,
    pub slots: Vec<f64>,
    /// Height of each crown over a perfect row: uneven, and worn.
    pub crowns: Vec<f64>,
}

impl World {
    pub fn new(family: &'static Family, noise: &mut Noise) -> Self {
        let n = family.strings();
        let mut world = Self {
            family,
            joint: family.joint as f64 + noise.between(-2.0, 2.0),
            wood: Shape { slope: noise.between(-0.6, 0.6) },
            rod: Shape { slope: noise.between(-0.6, 0.6) },
            base: noise.between(0.15, 0.30),
            twist: 0.04 * noise.normal(),
            tilt: 0.0,
            strings: 0.0,
            turns: 0.0,
            per_turn: family.rod * (0.4 * noise.normal()).exp() * noise.sign(),
            season: family.season * noise.normal(),
            moisture: 9.0,
            lag: 0.0,
            saddles: vec![0.0; n],
            saddle_per_turn: 0.5 * noise.sign(),
            slots: (0..n).map(|_| noise.between(0.30, 0.60)).collect(),
            crowns: (0..family.frets).map(|_| 0.012 * noise.normal()).collect(),
        };
        for string in 0..n {
            let part = family.across(string);
            let (low, high) = family.action;
            let wanted = low + (high - low) * part + noise.between(-0.15, 0.15);
            world.set_action(string, wanted);
        }
        world
    }

    /// Puts the saddle where the action is.
    pub fn set_action(&mut self, string: usize, wanted: f64) {
        let off = wanted - self.gap(string, 1, self.family.frets);
        self.saddles[string] += off * self.saddle_per_action(string);
    }

    /// How much a saddle rises for a millimetre of action: similar triangles.
    pub fn saddle_per_action(&self, string: usize) -> f64 {
        let scale = self.family.scales[string];
        let x = |fret| fret_x(scale, fret);
        (scale - x(1)) / (x(self.family.frets) - x(1))
    }

    /// Relief that bending alone makes in the middle, in mm, by wood and by rod.
    fn bows(&self) -> (f64, f64) {
        let seasons = self.season * (self.moisture - 9.0);
        (self.base + self.strings + seasons + self.lag, self.per_turn * self.turns)
    }

    /// A plane along the board; `level`: without tilt and with perfect crowns.
    fn profile(&self, scale: f64, across: f64, level: bool) -> Profile {
        let frets = self.family.frets;
        let joint_x = scale * (1.0 - 2_f64.powf(-self.joint / 12.0));
        let unit = |shape: Shape| {
            let crowns = (1..=frets).map(|f| shape.height(joint_x, fret_x(scale, f))).collect();
            Profile { scale, crowns, at_nut: 0.0 }.relief()
        };
        let (wood, rod) = self.bows();
        let wood = (wood + self.twist * (across - 0.5)) / unit(self.wood);
        let rod = rod / unit(self.rod);
        let tilt = if level { 0.0 } else { self.tilt * 1e-3 };
        let height = |x: f64| {
            wood * self.wood.height(joint_x, x)
                + rod * self.rod.height(joint_x, x)
                + tilt * (joint_x - x).max(0.0)
        };
        let uneven = |f: usize| if level { 0.0 } else { self.crowns[f - 1] };
        let crowns = (1..=frets).map(|f| height(fret_x(scale, f)) + uneven(f)).collect();
        Profile { scale, crowns, at_nut: height(0.0) }
    }

    fn under(&self, string: usize) -> Profile {
        self.profile(self.family.scales[string], self.family.across(string), false)
    }

    /// True relief, stopped at 1 and the last fret, in the middle of the board.
    pub fn relief(&self) -> f64 {
        self.profile(self.family.scale(), 0.5, false).relief()
    }

    /// What the true relief does for a percentage point of moisture, from a dry winter to a damp
    /// summer. Not `season` quite: rod and strings bend the neck in other shapes and the crowns are
    /// uneven, so that the widest gap is seldom where the wood bends it most.
    pub fn relief_per_percent(&self) -> f64 {
        let at = |moisture| Self { moisture, ..self.clone() }.relief();
        (at(10.5) - at(6.5)) / 4.0
    }

    /// Relief by the bending of the neck alone, in the middle and bass side less treble side.
    pub fn bending(&self) -> (f64, f64) {
        let at = |across: f64| {
            let scales = self.family.scales;
            let scale = scales[0] + across * (scales[scales.len() - 1] - scales[0]);
            self.profile(scale, across, true).relief()
        };
        (at(0.5), at(1.0) - at(0.0))
    }

    /// True gap of a string stopped at a fret over a higher one.
    pub fn gap(&self, string: usize, stopped: usize, over: usize) -> f64 {
        self.under(string).gap(stopped, over, self.saddles[string], self.slots[string])
    }

    /// From the fret at which the record says the neck stops bending to the saddle, in mm.
    pub fn lever(&self, string: usize) -> f64 {
        self.family.scales[string] * 2_f64.powf(-(self.family.joint as f64) / 12.0)
    }
}
