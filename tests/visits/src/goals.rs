//! What is to be reached, counted over visits, with the interval that so many of them allow.

use crate::changed::{Named, Said, Told};
use crate::reader::Held;
use crate::visit::{End, LONG, Visit};

/// So many of so many.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Count {
    /// Those that count.
    pub part: usize,
    /// Of so many.
    pub of: usize,
}

impl Count {
    /// Both together.
    #[must_use]
    pub const fn plus(self, other: Self) -> Self {
        Self { part: self.part + other.part, of: self.of + other.of }
    }

    /// In percent, with one decimal.
    pub fn percent(&self) -> String {
        format!("{:.1}", 100.0 * self.part as f64 / self.of.max(1) as f64)
    }

    /// Where the share lies with 95 %, in percent (E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209, from memory). It takes
    /// visits of one instrument as independent, which they are nearly.
    pub fn interval(self) -> (f64, f64) {
        if self.of == 0 {
            return (0.0, 100.0);
        }
        let (n, z2) = (self.of as f64, 1.959_964_f64.powi(2));
        let p = self.part as f64 / n;
        let middle = (p + z2 / (2.0 * n)) / (1.0 + z2 / n);
        let half = (z2 * (p * (1.0 - p) / n + z2 / (4.0 * n * n))).sqrt() / (1.0 + z2 / n);
        (100.0 * (middle - half).max(0.0), 100.0 * (middle + half).min(1.0))
    }
}

/// One goal.
#[derive(Debug)]
pub struct Goal {
    /// What is counted.
    pub name: &'static str,
    /// What is wanted of it, in percent.
    pub goal: &'static str,
}

/// The goals, in the order of [`counts`].
pub const GOALS: [Goal; 18] = [
    Goal { name: "beyond 25 rounds", goal: "0" },
    Goal { name: "without an end", goal: "0" },
    Goal { name: "stopped falsely", goal: "below 0.3" },
    Goal { name: "visits with a needless turn of a saddle or post", goal: "below 2" },
    Goal { name: "overshoots, of advices with a 1/64 rule, first visit", goal: "below 5" },
    Goal { name: "the same, later visits", goal: "below 5" },
    Goal { name: "strings in, 1/64 rule, first visit", goal: "90" },
    Goal { name: "the same, later visits", goal: "90" },
    Goal { name: "strings in, dial gauge, first visit", goal: "97" },
    Goal { name: "the same, later visits", goal: "97" },
    Goal { name: "rod turned the wrong way", goal: "0" },
    Goal { name: "turned to the end of a thread", goal: "0" },
    Goal { name: "neck and saddle moved: both named, read again (`eventful`)", goal: "60" },
    Goal { name: "the same with a 1/64 rule", goal: "60" },
    Goal { name: "said \"moved\": right", goal: "95" },
    Goal { name: "the same with a 1/64 rule", goal: "95" },
    Goal { name: "said \"most likely\", from 2 to 1: right", goal: "60 to 97" },
    Goal { name: "leads with \"moved\", 20 to 1 and more, at once: right", goal: "95" },
];

/// Each goal counted: visits, what was told in them and in eventful ones, of all tools and of each.
pub fn counts(visits: &[Visit], told: &[Told], eventful: &[Told]) -> [Count; 18] {
    let of = |keep: &dyn Fn(&Visit) -> bool,
              part: &dyn Fn(&Visit) -> usize,
              whole: &dyn Fn(&Visit) -> usize| {
        let kept = || visits.iter().filter(|v| keep(v));
        Count { part: kept().map(part).sum(), of: kept().map(whole).sum() }
    };
    let share = |part: fn(&Visit) -> bool| of(&|_| true, &|v| usize::from(part(v)), &|_| 1);
    let over = |first: bool| {
        of(&|v| v.tool == Held::Rule64 && v.first == first, &|v| v.saddles.overshoots, &|v| {
            v.saddles.advices - v.saddles.tries
        })
    };
    let strings = |tool: Held, first: bool| {
        of(
            &|v| v.tool == tool && v.first == first,
            &|v| v.strings_off.iter().filter(|off| off.abs() <= 1.0).count(),
            &|v| v.strings_off.len(),
        )
    };
    // The tables have a row for all tools, then one for each.
    let rule = 1 + Held::ALL.iter().position(|held| *held == Held::Rule64).unwrap_or_default();
    let said = |s: Said| Count { part: s.right, of: s.made };
    let named = |n: Named| Count { part: n.named, of: n.happened };
    [
        share(|v| v.rounds > LONG),
        share(|v| v.end == End::Endless),
        share(|v| matches!(v.end, End::StoppedFalsely(_))),
        share(|v| v.saddles.needless > 0),
        over(true),
        over(false),
        strings(Held::Rule64, true),
        strings(Held::Rule64, false),
        strings(Held::Dial, true),
        strings(Held::Dial, false),
        share(|v| v.rod_harmed),
        share(|v| v.thread_ended),
        named(eventful[0].after.both),
        named(eventful[rule].after.both),
        said(told[0].after.moved),
        said(told[rule].after.moved),
        said(told[0].at_once.likely[0]),
        said(told[0].at_once.likely[1]),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_interval_of_a_share_is_that_of_the_tables() {
        // 1 of 10: 1.8 % to 40.4 %; 0 of 100: 0 to 3.7 % (L. D. Brown, T. T. Cai, A. DasGupta, Statist. Sci. 16 (2001) 101,
        // by its formula).
        let (low, high) = Count { part: 1, of: 10 }.interval();
        assert!((low - 1.8).abs() < 0.05 && (high - 40.4).abs() < 0.05, "{low} {high}");
        let (low, high) = Count { part: 0, of: 100 }.interval();
        assert!(low < 1e-9 && (high - 3.7).abs() < 0.05, "{low} {high}");
    }
}
