//! A clock that is wound by hand and random bytes that repeat.

use std::fs;
use std::path::{Path, PathBuf};
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

/// A clock that, when it is asked the time for the nth time from now, keeps what is on the disk just
/// then: what a device finds that dies in the middle of a call.
#[derive(Debug, Clone)]
pub struct Witness {
    /// What it shows.
    pub clock: HandClock,
    crash: Arc<Mutex<Option<Crash>>>,
}

#[derive(Debug)]
struct Crash {
    left: u32,
    from: PathBuf,
    to: PathBuf,
}

impl Witness {
    /// A clock that shows this second.
    pub fn at(unix_s: i64) -> Self {
        Self { clock: HandClock::at(unix_s), crash: Arc::default() }
    }

    /// Copies a folder when it has been asked so many times.
    pub fn crash_after(&self, left: u32, from: &Path, to: &Path) {
        let (from, to) = (from.to_owned(), to.to_owned());
        *self.crash.lock().unwrap() = Some(Crash { left, from, to });
    }

    /// Whether it has copied it; it copies no more.
    pub fn crashed(&self) -> bool {
        self.crash.lock().unwrap().take().is_none()
    }
}

impl Clock for Witness {
    fn now(&self) -> Moment {
        let mut crash = self.crash.lock().unwrap();
        if let Some(planned) = crash.as_mut() {
            if planned.left == 0 {
                copy_folder(&planned.from, &planned.to);
                *crash = None;
            } else {
                planned.left -= 1;
            }
        }
        drop(crash);
        self.clock.now()
    }
}

/// Copies a folder with everything in it.
pub fn copy_folder(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy_folder(&path, &target);
        } else {
            fs::copy(&path, &target).unwrap();
        }
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
