//! Reproducible noise: splitmix64 (G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom
//! number generators", OOPSLA 2014; constants from memory).

use std::f64::consts::TAU;

/// A generator; one seed gives one sequence, on every machine.
#[derive(Debug, Clone)]
pub struct Noise(u64);

impl Noise {
    /// A generator for one purpose; different purposes of one seed do not disturb each other.
    pub fn new(seed: u64, purpose: u64) -> Self {
        let mut noise = Self(seed.wrapping_mul(0x2545_f491_4f6c_dd1d) ^ purpose.rotate_left(32));
        noise.bits();
        noise
    }

    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 up to 1.
    pub fn uniform(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Anywhere between two numbers.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    /// Normal, with one standard deviation of 1 (G. E. P. Box, M. E. Muller, Ann. Math. Stat. 29
    /// (1958) 610, from memory).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.uniform()).ln()).sqrt();
        radius * (TAU * self.uniform()).cos()
    }

    /// Whether something of this probability happens.
    pub fn chance(&mut self, probability: f64) -> bool {
        self.uniform() < probability
    }

    /// One of `n`, from 0.
    pub fn below(&mut self, n: usize) -> usize {
        ((self.uniform() * n as f64) as usize).min(n.saturating_sub(1))
    }

    /// +1 or -1.
    pub fn sign(&mut self) -> f64 {
        if self.chance(0.5) { 1.0 } else { -1.0 }
    }
}
