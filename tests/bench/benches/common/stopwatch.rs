//! Time by the clock, and by the processor: beside other work on the machine only the second says what
//! a call costs. What it leaves out is waiting, for the disk above all.

use std::time::{Duration, Instant};

/// What a call took.
#[derive(Clone, Copy)]
pub struct Taken {
    /// By the clock.
    pub clock: Duration,
    /// By the processor that ran this thread; the clock's where the system does not say.
    pub processor: Duration,
}

/// Runs something and tells what it took.
pub fn timed<T>(work: impl FnOnce() -> T) -> (Taken, T) {
    let begun = (Instant::now(), processor());
    let done = work();
    let clock = begun.0.elapsed();
    let processor = begun.1.zip(processor()).map_or(clock, |(from, to)| to.saturating_sub(from));
    (Taken { clock, processor }, done)
}

/// What this thread has had of a processor so far, as Linux counts it.
fn processor() -> Option<Duration> {
    // The count is brought up to date when the thread gives way.
    std::thread::yield_now();
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    text.split_whitespace().next()?.parse().ok().map(Duration::from_nanos)
}
