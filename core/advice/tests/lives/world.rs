//! A simulated bass: true neck, saddles, nut, rod and wood; readers with error and offsets. In tests
//! only. All of it is invented; it checks the arithmetic against its own assumptions, and says
//! nothing of how instruments behave.

use fallaway_mechanics::neck::{NeckLine, ReliefWay};
use fallaway_mechanics::string_line::{Place as Over, StringLine};
use fallaway_mechanics::units::{as_mm, mm, per_mm};
use fallaway_mechanics::wood::equilibrium_moisture;
use uom::si::angle::radian;
use uom::si::f64::{Angle, Ratio, ThermodynamicTemperature};
use uom::si::ratio::percent;
use uom::si::thermodynamic_temperature::degree_celsius;

pub const SCALE_MM: f64 = 863.6;
pub const FRETS: usize = 24;
pub const STRINGS: usize = 4;
/// Where the record says that the neck stops bending; it may be two frets off either way.
pub const JOINT: f64 = 17.0;

/// A small generator of reproducible noise (xorshift; G. Marsaglia, 2003).
pub struct Noise(u64);

impl Noise {
    pub fn new(seed: u64) -> Self {
        // Spread small seeds over all bits (the finaliser of splitmix64; S. Vigna).
        let mut z = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        Self((z ^ (z >> 31)) | 1)
    }

    pub fn uniform(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    /// The sum of twelve uniforms: close to normal out to three deviations.
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }

    pub fn chance(&mut self, p: f64) -> bool {
        self.uniform() < p
    }

    pub fn below(&mut self, n: usize) -> usize {
        ((self.uniform() * n as f64) as usize).min(n - 1)
    }

    pub fn sign(&mut self) -> f64 {
        if self.chance(0.5) { 1.0 } else { -1.0 }
    }
}

/// The true instrument.
#[derive(Clone)]
pub struct World {
    pub joint: f64,
    /// Relief in the middle of the board, for rod and strings as they were at first, at 9 %
    /// moisture, in mm stopped at 1 and 24.
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
    /// Millimetres of relief for each percentage point of moisture.
    pub season: f64,
    /// Moisture content that the neck has come to, in percent.
    pub moisture: f64,
    /// What the neck is off its moisture today.
    pub lag: f64,
    pub saddles: [f64; STRINGS],
    /// Millimetres a saddle rises a turn, clockwise positive.
    pub saddle_per_turn: f64,
    pub slots: [f64; STRINGS],
    /// By how much each of the first frets is worn.
    pub wear: [f64; 5],
}

/// Moisture content of wood in an air at 20 degrees Celsius, in percent.
pub fn moisture(humidity: f64) -> f64 {
    equilibrium_moisture(
        ThermodynamicTemperature::new::<degree_celsius>(20.0),
        Ratio::new::<percent>(humidity),
    )
    .unwrap()
    .get::<percent>()
}

/// From the fret at which the record says the neck stops bending to the saddle, in mm.
pub fn lever() -> f64 {
    SCALE_MM * 2_f64.powf(-JOINT / 12.0)
}

/// Relief stopped at 1 and 24 for a curvature of 1e-6/mm, with the joint at a fret.
pub fn unit_relief(joint: f64) -> f64 {
    let neck = NeckLine::new(mm(SCALE_MM), FRETS, joint).unwrap();
    let bent = neck.with_curvature(per_mm(1e-6)).unwrap();
    as_mm(bent.relief(ReliefWay::largest(FRETS)).unwrap().gap)
}

impl World {
    pub fn new(noise: &mut Noise) -> Self {
        let per_turn = 0.6 * (0.4 * noise.normal()).exp() * noise.sign();
        let mut world = Self {
            joint: noise.between(JOINT - 2.0, JOINT + 2.0),
            base: noise.between(0.15, 0.30),
            twist: 0.04 * noise.normal(),
            tilt: 0.0,
            strings: 0.0,
            turns: 0.0,
            per_turn,
            season: 0.03 * noise.normal(),
            moisture: 9.0,
            lag: 0.0,
            saddles: [0.0; STRINGS],
            saddle_per_turn: 0.5 * noise.sign(),
            slots: [0.0; STRINGS],
            wear: [0.0; 5],
        };
        for slot in &mut world.slots {
            *slot = noise.between(0.30, 0.60);
        }
        for string in 0..STRINGS {
            let wanted = noise.between(1.8, 2.3);
            let off = wanted - world.gap(string, 1, FRETS);
            // Similar triangles on 24 frets stopped at 1.
            world.saddles[string] += off * 1.360_296;
        }
        world
    }

    /// Relief by the bow of the neck in the middle, in mm.
    pub fn bow(&self) -> f64 {
        let seasons = self.season * (self.moisture - 9.0);
        self.base + self.strings + self.per_turn * self.turns + seasons + self.lag
    }

    fn neck(&self, across: f64) -> NeckLine {
        let bow = self.bow() + self.twist * (across - 0.5);
        let mut crowns = vec![mm(0.0); FRETS];
        for (crown, wear) in crowns.iter_mut().zip(self.wear) {
            *crown = mm(-wear);
        }
        NeckLine::new(mm(SCALE_MM), FRETS, self.joint)
            .unwrap()
            .with_crown_offsets(&crowns)
            .unwrap()
            .with_tilt(Angle::new::<radian>(self.tilt * 1e-3))
            .unwrap()
            .with_curvature(per_mm(bow / unit_relief(self.joint) * 1e-6))
            .unwrap()
    }

    fn across(string: usize) -> f64 {
        string as f64 / (STRINGS - 1) as f64
    }

    /// True relief, stopped at 1 and 24, in the middle of the board.
    pub fn relief(&self) -> f64 {
        as_mm(self.neck(0.5).relief(ReliefWay::largest(FRETS)).unwrap().gap)
    }

    /// True gap of a string stopped at a fret over a higher one.
    pub fn gap(&self, string: usize, stopped: usize, over: usize) -> f64 {
        let neck = self.neck(Self::across(string));
        let (saddle, slot) = (mm(self.saddles[string]), mm(self.slots[string]));
        let line = StringLine::new(neck, mm(0.0), saddle, slot).unwrap();
        as_mm(line.gap(Over::new(stopped, over)).unwrap())
    }
}

/// How somebody reads: true value in, what the tool shows out, in whole steps of its graduation.
pub struct Reader {
    pub name: &'static str,
    /// Offset with a rule and with feelers, in mm.
    offset: (f64, f64),
}

impl Reader {
    pub fn new(name: &'static str, noise: &mut Noise) -> Self {
        Self { name, offset: (0.05 * noise.normal(), 0.008 * noise.normal()) }
    }

    /// In sixty-fourths of an inch.
    pub fn rule(&self, gap: f64, noise: &mut Noise) -> i64 {
        let seen = gap + self.offset.0 + 0.05 * noise.normal();
        (seen / (25.4 / 64.0)).round() as i64
    }

    /// In hundredths of a millimetre.
    pub fn feeler(&self, gap: f64, noise: &mut Noise) -> i64 {
        let seen = gap + self.offset.1 + 0.015 * noise.normal();
        (seen * 100.0).round() as i64
    }
}
