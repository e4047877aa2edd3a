//! Clocks, medians and ratios of pairs.

use std::time::{Duration, Instant};

use rustix::time::{ClockId, clock_gettime};

/// How long something took.
#[derive(Debug, Clone, Copy, Default)]
pub struct Sample {
    /// Milliseconds for which this thread had the processor.
    pub processor_ms: f64,
    /// Milliseconds by the clock.
    pub clock_ms: f64,
}

/// Does something and says how long it took. Giving back what it made is not counted.
pub fn timed<T>(what: impl FnOnce() -> T) -> (T, Sample) {
    let (clock, processor) = (Instant::now(), processor_time());
    let made = what();
    let processor = processor_time().saturating_sub(processor);
    let clock = clock.elapsed();
    (made, Sample { processor_ms: milliseconds(processor), clock_ms: milliseconds(clock) })
}

fn milliseconds(duration: Duration) -> f64 {
    duration.as_secs_f64() * 1e3
}

fn processor_time() -> Duration {
    let time = clock_gettime(ClockId::ThreadCPUTime);
    let (seconds, nanoseconds) = (u64::try_from(time.tv_sec), u32::try_from(time.tv_nsec));
    Duration::new(seconds.unwrap_or(0), nanoseconds.unwrap_or(0))
}

/// Where the middle of some numbers lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Middle {
    /// A quarter lies below.
    pub lower: f64,
    /// Half lies below.
    pub median: f64,
    /// A quarter lies above.
    pub upper: f64,
}

/// Median and quartiles, interpolated between neighbours. Not a number if there are none.
pub fn middle(numbers: impl IntoIterator<Item = f64>) -> Middle {
    let mut sorted: Vec<f64> = numbers.into_iter().collect();
    sorted.sort_by(f64::total_cmp);
    let at = |quarters: usize| {
        let place = sorted.len().saturating_sub(1) * quarters;
        let value = |place: usize| sorted.get(place).copied().unwrap_or(f64::NAN);
        let (low, high) = (value(place / 4), value(place.div_ceil(4)));
        low + (high - low) * (place % 4) as f64 / 4.0
    };
    Middle { lower: at(1), median: at(2), upper: at(3) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn median_and_quartiles_lie_between_neighbours() {
        let four = Middle { lower: 1.75, median: 2.5, upper: 3.25 };
        assert_eq!(middle([4.0, 1.0, 3.0, 2.0]), four);
        assert_eq!(middle([5.0]), Middle { lower: 5.0, median: 5.0, upper: 5.0 });
        assert!(middle([]).median.is_nan());
    }
}
