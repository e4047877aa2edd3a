//! The swing of a plucked stiff string, by its modes: the reference engine.
//!
//! # Model
//!
//! A string clamped at the fret and pinned at the saddle is pulled aside by a finger of finite width
//! and let go at rest. It moves in its modes, each at its own frequency and with its own decay, and
//! its lowest (and highest) excursion over the first periods is kept for every fret. In one plane
//! only, without the frets in the way, without the change of tension that a wide swing brings.
//!
//! In units of the stopped length `L_m`, of `F L_m / T` for depth and of `L_m sqrt(mu / T)` for time,
//! with `b = sqrt(E I / (T L_m^2))`:
//!
//! - shapes `phi(s) = sin(k s) - sin(k) sinh(K s) / sinh(K)`, s from the saddle, with k and K as in
//!   [`crate::stiff_string`];
//! - frequencies `omega = k sqrt(1 + b^2 k^2)`;
//! - amplitudes `a = <load, phi> / (omega^2 <phi, phi>)`, the load spread evenly over the finger;
//! - decay `exp(-sigma t)`, `sigma_q = 6.9078 / T60 (1 + 0.004 q^2)`.
//!
//! The result for F/T = 1 depends only on p / L_m, the finger, b and (through the decay) the pitch:
//! it is computed once per string and scaled.
//!
//! # What it is worth
//!
//! It is checked against an independent finite-difference solution of the same model, not against a
//! measured string. Tension, stiffness, decay and touch are assumed values.

use crate::stiff_string::{EndsHeld, wave_numbers};

/// Plain numbers of one stopped string.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stopped {
    /// Stiffness ratio at this length.
    pub b: f64,
    /// Fundamental of the ideal string at this length, Hz; only the decay needs it.
    pub hz: f64,
    /// Middle of the finger, from the saddle, as a part of the stopped length.
    pub p: f64,
    /// Width of the finger as a part of the stopped length.
    pub width: f64,
}

/// How finely the motion is followed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Motion {
    /// Time in which the fundamental falls by 60 dB, s.
    pub t60: f64,
    /// How much faster partial q decays: `1 + growth q^2`.
    pub growth: f64,
    /// Periods of the fundamental that are followed.
    pub periods: u32,
    /// How many modes are summed at most: [`Limit::Modes`](fallaway_measure::Limit::Modes).
    pub modes: usize,
    /// Instants per period.
    pub steps: u32,
}

/// Natural logarithm of 1000: a fall by 60 dB.
const SIXTY_DB: f64 = 6.907_755_278_982_137;

/// One mode: wave numbers, frequency, amplitude.
struct Mode {
    k: f64,
    big: f64,
    omega: f64,
    amplitude: f64,
}

impl Mode {
    fn new(q: u32, string: &Stopped) -> Self {
        let (k, big) = wave_numbers(string.b, q, EndsHeld::ClampedPinned);
        let omega = k * (1.0 + (string.b * k).powi(2)).sqrt();
        // Mean of the shape under the finger.
        let half = string.width / 2.0;
        let (from, to) = (string.p - half, string.p + half);
        let sine = (k * string.p).sin() * (k * half).sin() / (k * half);
        let bend = if big.is_finite() {
            k.sin() * (cosh_part(big, to) - cosh_part(big, from)) / (big * string.width)
        } else {
            0.0
        };
        // <phi, phi>; the mixed term vanishes by the boundary condition.
        let square = 0.5 - (2.0 * k).sin() / (4.0 * k)
            + if big.is_finite() {
                let coth = 1.0 / big.tanh();
                k.sin().powi(2) * (coth / (2.0 * big) - (coth * coth - 1.0) / 2.0)
            } else {
                0.0
            };
        Self { k, big, omega, amplitude: (sine - bend) / (omega * omega * square) }
    }

    /// Shape at `s` from the saddle.
    fn shape(&self, s: f64) -> f64 {
        let bend = if self.big.is_finite() { self.k.sin() * sinh_part(self.big, s) } else { 0.0 };
        (self.k * s).sin() - bend
    }
}

/// `sinh(K s) / sinh(K)` without overflow.
fn sinh_part(big: f64, s: f64) -> f64 {
    (-big * (1.0 - s)).exp() * (1.0 - (-2.0 * big * s).exp()) / (1.0 - (-2.0 * big).exp())
}

/// `cosh(K s) / sinh(K)` without overflow.
fn cosh_part(big: f64, s: f64) -> f64 {
    (-big * (1.0 - s)).exp() * (1.0 + (-2.0 * big * s).exp()) / (1.0 - (-2.0 * big).exp())
}

/// Deepest excursion on the side to which the string was pulled, and on the other, at one place; for
/// F L_m / T = 1.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Extremes {
    /// On the finger's side.
    pub same: f32,
    /// On the other side.
    pub other: f32,
}

/// How many places one pass follows: a whole number of vector registers on every target.
const LANES: usize = 12;

/// The extremes at each place (distance from the saddle as a part of the stopped length).
///
/// The sums run in single precision over a fixed number of places at once, so that the compiler
/// keeps them in vector registers; the rounding is some 1e-6 of the depth.
pub(crate) fn extremes(string: &Stopped, motion: &Motion, places: &[f64]) -> Vec<Extremes> {
    // Beyond about two finger widths per wave the load has nothing to give.
    let worth = (3.0 / string.width).ceil().clamp(8.0, motion.modes.max(8) as f64) as usize;
    let modes: Vec<Mode> =
        (1..=worth.min(motion.modes.max(8)) as u32).map(|q| Mode::new(q, string)).collect();
    let Some(first) = modes.first() else {
        return Vec::new();
    };
    let steps = motion.steps.max(1);
    let instants = (motion.periods * steps) as usize + 1;
    let step = 2.0 * std::f64::consts::PI / first.omega / f64::from(steps);
    // One unit of time lasts 1 / (2 hz) seconds: the ideal period is 2.
    let seconds = step / (2.0 * string.hz);

    // One step of every mode: a turn by omega and a decay.
    let turns: Vec<(f32, f32)> = modes
        .iter()
        .zip(1u32..)
        .map(|(mode, q)| {
            let sigma = SIXTY_DB / motion.t60 * (1.0 + motion.growth * f64::from(q) * f64::from(q));
            let decay = (-sigma * seconds).exp();
            let angle = mode.omega * step;
            ((decay * angle.cos()) as f32, (decay * angle.sin()) as f32)
        })
        .collect();

    // Swing of every mode at every instant: instants in rows.
    let mut swing = Vec::with_capacity(instants * modes.len());
    let mut now = vec![(1.0f32, 0.0f32); modes.len()];
    for _ in 0..instants {
        for (z, turn) in now.iter_mut().zip(&turns) {
            swing.push(z.0);
            *z = (z.0 * turn.0 - z.1 * turn.1, z.0 * turn.1 + z.1 * turn.0);
        }
    }

    let mut out = Vec::with_capacity(places.len());
    for some in places.chunks(LANES) {
        let shapes: Vec<[f32; LANES]> = modes
            .iter()
            .map(|mode| {
                let mut row = [0.0; LANES];
                for (lane, s) in row.iter_mut().zip(some) {
                    *lane = (mode.amplitude * mode.shape(*s)) as f32;
                }
                row
            })
            .collect();
        let (mut high, mut low) = ([0.0f32; LANES], [0.0f32; LANES]);
        let mut note = |y: [f32; LANES]| {
            for ((h, l), y) in high.iter_mut().zip(&mut low).zip(y) {
                *h = if y > *h { y } else { *h };
                *l = if y < *l { y } else { *l };
            }
        };
        // Two instants at once: twice as many independent sums, each shape read once.
        let mut pairs = swing.chunks_exact(2 * modes.len());
        for pair in &mut pairs {
            let (now, next) = pair.split_at(modes.len());
            let (mut y, mut z) = ([0.0f32; LANES], [0.0f32; LANES]);
            for ((c, d), shape) in now.iter().zip(next).zip(&shapes) {
                for ((y, z), s) in y.iter_mut().zip(&mut z).zip(shape) {
                    *y += c * s;
                    *z += d * s;
                }
            }
            note(y);
            note(z);
        }
        for row in pairs.remainder().chunks_exact(modes.len()) {
            let mut y = [0.0f32; LANES];
            for (c, shape) in row.iter().zip(&shapes) {
                for (sum, s) in y.iter_mut().zip(shape) {
                    *sum += c * s;
                }
            }
            note(y);
        }
        out.extend(
            some.iter().zip(high).zip(low).map(|((_, h), l)| Extremes { same: h, other: -l }),
        );
    }
    out
}
