//! What is said of a command that takes longer than a second.

use std::io::{self, Write};
use std::ops::ControlFlow;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use fallaway::ProgressListener;

use crate::messages::sharing as words;
use crate::voice::say;

/// A line in each second, from the second one on.
const PACE: Duration = Duration::from_secs(1);

/// Tells how many bundles are done.
pub struct Progress<W>(Mutex<Told<W>>);

struct Told<W> {
    /// Where it is told; none if nobody is to be told.
    out: Option<W>,
    /// Since when nothing was said.
    since: Instant,
}

impl Progress<io::Stderr> {
    /// Tells a person, on the standard error; a program is told nothing.
    pub fn to_person(json: bool) -> Self {
        Self::begun((!json).then(io::stderr), Instant::now())
    }
}

impl<W> Progress<W> {
    fn begun(out: Option<W>, since: Instant) -> Self {
        Self(Mutex::new(Told { out, since }))
    }
}

impl<W: Write + Send> ProgressListener for Progress<W> {
    fn at(&self, done: u64, total: u64) -> ControlFlow<()> {
        if let Ok(mut told) = self.0.lock()
            && told.since.elapsed() >= PACE
            && total > 0
        {
            told.since = Instant::now();
            if let Some(out) = &mut told.out {
                // Whoever does not see it loses nothing.
                let _ = writeln!(out, "{}", say(&words::so_far(done, total)));
            }
        }
        ControlFlow::Continue(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_told_after_a_second_and_not_before() {
        let told = |since| {
            let progress = Progress::begun(Some(Vec::new()), since);
            assert_eq!(progress.at(3, 40), ControlFlow::Continue(()));
            // Within the same second nothing more is said.
            assert_eq!(progress.at(4, 40), ControlFlow::Continue(()));
            String::from_utf8(progress.0.into_inner().unwrap().out.unwrap()).unwrap()
        };
        let now = Instant::now();
        let Some(before) = now.checked_sub(PACE) else { return };
        assert_eq!(told(before), "3 of 40 bundles\n");
        // In an hour from now: no machine is so slow.
        assert_eq!(told(now + Duration::from_hours(1)), "");
    }
}
