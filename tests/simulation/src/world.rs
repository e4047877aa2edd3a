//! A clock that is wound by hand and random bytes that repeat.

use std::sync::atomic::{AtomicI64, Ordering};
use std::sync::{Arc, Mutex};

use fallaway::environment::{Clock, Random};
use fallaway::record::Moment;

use crate::realistic::Dice;

/// A clock that stands still until somebody sets it. Copies are the same clock.
#[derive(Debug, Clone)]
pub struct HandClock(Arc<AtomicI64>);

impl HandClock {
    /// A clock that shows this second (since 1970-01-01T00:00:00Z).
    pub fn at(unix_s: i64) -> Self {
        Self(Arc::new(AtomicI64::new(unix_s)))
    }

    /// What it shows.
    pub fn seconds(&self) -> i64 {
        self.0.load(Ordering::Relaxed)
    }

    /// Winds it on, or back.
    pub fn wind(&self, seconds: i64) {
        self.0.fetch_add(seconds, Ordering::Relaxed);
    }
}

impl Clock for HandClock {
    fn now(&self) -> Moment {
        Moment { unix_s: self.seconds(), offset_min: 60 }
    }
}

/// The same bytes for the same seed. Only for simulations: it can be guessed.
#[derive(Debug)]
pub struct Seeded(Mutex<Dice>);

impl Seeded {
    /// Bytes for a seed.
    pub fn new(seed: u64) -> Self {
        Self(Mutex::new(Dice::new(seed)))
    }
}

impl Random for Seeded {
    fn fill(&self, bytes: &mut [u8]) -> Result<(), String> {
        let mut dice = self.0.lock().map_err(|e| e.to_string())?;
        for byte in bytes {
            *byte = dice.roll().to_le_bytes()[0];
        }
        Ok(())
    }
}
