//! How long to wait after a failure: full jitter, so that many clients do not come back at once.

/// The first wait is up to this.
const FIRST_MS: u64 = 1_000;
/// And none is longer than this, unless the relay asks for it.
const MOST_MS: u64 = 15 * 60 * 1_000;
/// The longest wait that a relay can ask for.
const MOST_ASKED_MS: u64 = 24 * 60 * 60 * 1_000;

/// Counts failures, and says how long to wait after the last one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Backoff {
    failures: u32,
}

impl Backoff {
    /// How many failures there were in a row.
    pub const fn failures(&self) -> u32 {
        self.failures
    }

    /// It went well, or the network came back.
    pub fn reset(&mut self) {
        self.failures = 0;
    }

    /// One more failure: milliseconds to wait, drawn evenly from nothing up to a bound that doubles, and
    /// at least what the relay asked for.
    pub fn next(&mut self, random: u64, retry_after_s: Option<u64>) -> u64 {
        let bound = FIRST_MS.checked_shl(self.failures.min(20)).unwrap_or(MOST_MS).min(MOST_MS);
        self.failures = self.failures.saturating_add(1);
        let asked = retry_after_s.unwrap_or(0).saturating_mul(1_000).min(MOST_ASKED_MS);
        (random % (bound + 1)).max(asked)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_bound_doubles_up_to_a_quarter_of_an_hour() {
        let mut backoff = Backoff::default();
        let bounds: Vec<u64> = (0..12)
            .map(|_| {
                let before = backoff;
                let most = (0..=MOST_MS).rev().find(|random| {
                    let mut tried = before;
                    tried.next(*random, None) == *random
                });
                backoff.next(0, None);
                most.unwrap() / 1_000
            })
            .collect();
        assert_eq!(bounds, [1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 900, 900]);
        backoff.reset();
        assert!(backoff.next(u64::MAX, None) <= 1_000);
    }

    proptest! {
        #[test]
        fn what_the_relay_asks_for_is_obeyed(failures: u32, random: u64, asked: u64) {
            let mut backoff = Backoff { failures };
            let wait = backoff.next(random, Some(asked));
            prop_assert!(wait >= asked.saturating_mul(1_000).min(MOST_ASKED_MS));
            prop_assert!(wait <= MOST_ASKED_MS);
        }
    }
}
