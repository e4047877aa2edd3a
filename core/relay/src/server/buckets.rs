//! How often something may be done, by whoever does it: the generic cell rate algorithm (ITU-T I.371).

use std::collections::HashMap;
use std::hash::Hash;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Who is remembered at most. Beyond it those with nothing owed are forgotten first, then everybody.
const MOST: usize = 100_000;

/// One limit for each key.
pub(super) struct Buckets<K> {
    every: Duration,
    burst: u32,
    /// When each has nothing owed any more.
    until: Mutex<HashMap<K, Instant>>,
}

impl<K: Eq + Hash> Buckets<K> {
    /// `burst` at once, and one more each `every`. A burst of 0 is no limit.
    pub(super) fn new(burst: u32, every: Duration) -> Self {
        Self { every, burst, until: Mutex::new(HashMap::new()) }
    }

    /// Whether one more would be let through.
    pub(super) fn has_room(&self, key: &K, now: Instant) -> bool {
        let until = self.until.lock().unwrap_or_else(PoisonError::into_inner);
        self.owed(until.get(key).copied(), now).is_ok()
    }

    /// Lets one through, or says how long to wait.
    pub(super) fn take(&self, key: K, now: Instant) -> Result<(), Duration> {
        let mut until = self.until.lock().unwrap_or_else(PoisonError::into_inner);
        let then = self.owed(until.get(&key).copied(), now)?;
        if self.burst > 0 {
            if until.len() >= MOST {
                until.retain(|_, until| *until > now);
            }
            if until.len() >= MOST {
                until.clear();
            }
            until.insert(key, then);
        }
        Ok(())
    }

    /// Counts one that was let through.
    pub(super) fn count(&self, key: K, now: Instant) {
        // One that is over is not counted twice.
        let _ = self.take(key, now);
    }

    fn owed(&self, until: Option<Instant>, now: Instant) -> Result<Instant, Duration> {
        let begins = until.map_or(now, |until| until.max(now));
        let room = self.every * self.burst.saturating_sub(1);
        match begins.duration_since(now).checked_sub(room) {
            Some(wait) if self.burst > 0 && !wait.is_zero() => Err(wait),
            _ => Ok(begins + self.every),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_burst_goes_through_and_then_one_at_a_time() {
        let buckets = Buckets::new(3, Duration::from_secs(10));
        let now = Instant::now();
        for _ in 0..3 {
            assert!(buckets.has_room(&1, now));
            assert_eq!(buckets.take(1, now), Ok(()));
        }
        assert!(!buckets.has_room(&1, now));
        assert_eq!(buckets.take(1, now), Err(Duration::from_secs(10)));
        assert_eq!(buckets.take(2, now), Ok(()));
        let later = now + Duration::from_secs(10);
        assert_eq!(buckets.take(1, later), Ok(()));
        assert!(buckets.take(1, later).is_err());
        let free = Buckets::new(0, Duration::from_secs(10));
        assert!((0..1000).all(|_| free.take(1, now).is_ok()));
    }
}
