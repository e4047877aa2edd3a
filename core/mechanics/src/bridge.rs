//! Bridges as a matrix from screws to strings.
//!
//! Each screw's advance moves each string's saddle by a fixed part of it: 1 for a saddle of its
//! own, 1/2 for each of two screws under one saddle, the lever of the string's place between two
//! posts. Wanted heights are met in the least-squares sense, with the smallest turns that do it
//! (singular value decomposition), so that two screws under one saddle come out alike and the
//! saddle stays level. What the bridge cannot do is left over and said.
//!
//! A bridge that floats on springs is in [`crate::floating`]; shims in [`crate::shim`].

use fallaway_measure::Limit;
use nalgebra::{DMatrix, DVector};
use uom::si::f64::Length;

use crate::error::{Error, Result};
use crate::screws::{Screw, ScrewTurn, TurnRounding};
use crate::uncertain::Uncertain;
use crate::units::{as_mm, mm};

/// A bridge: screws, and what each does to each string.
#[derive(Debug, Clone, PartialEq)]
pub struct Bridge {
    screws: Vec<Screw>,
    /// Strings in rows, screws in columns: rise of the string per rise at the screw.
    levers: DMatrix<f64>,
}

/// What to do with one screw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScrewAdvance {
    /// The wanted advance; positive raises.
    pub advance: Length,
    /// The same in turns; `None` while the thread is not known.
    pub turn: Option<ScrewTurn>,
}

/// What comes of it at one string's saddle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StringOutcome {
    /// The wanted change of height; `None`: nothing was asked of this string.
    pub wanted: Option<Uncertain<Length>>,
    /// The change that the screws give.
    pub gives: Length,
    /// Wanted minus given, with the uncertainty of what was wanted.
    pub left_over: Option<Uncertain<Length>>,
}

/// The answer of [`Bridge::solve`].
#[derive(Debug, Clone, PartialEq)]
pub struct BridgeMove {
    /// One per screw.
    pub screws: Vec<ScrewAdvance>,
    /// One per string.
    pub strings: Vec<StringOutcome>,
}

fn check_strings(strings: usize) -> Result<()> {
    Ok(Limit::Strings.check_count(strings)?)
}

impl Bridge {
    /// A saddle of its own for each of `strings` strings, standing on `screws_each` screws (1 or
    /// 2). Screws in string order; two of one saddle follow each other.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::{bridge::Bridge, screws::Screw};
    /// assert_eq!(Bridge::own_saddles(4, 2, Screw::default()).unwrap().screws().len(), 8);
    /// ```
    pub fn own_saddles(strings: usize, screws_each: usize, screw: Screw) -> Result<Self> {
        check_strings(strings)?;
        Limit::SaddleScrews.check_count(screws_each)?;
        let share = 1.0 / screws_each as f64;
        Ok(Self {
            screws: vec![screw; strings * screws_each],
            levers: DMatrix::from_fn(strings, strings * screws_each, |string, column| {
                if column / screws_each == string { share } else { 0.0 }
            }),
        })
    }

    /// Saddles shared by neighbouring strings, each on one height screw. `sizes`: how many strings
    /// each saddle carries, in string order (`[2, 2, 2]` for three pairs).
    ///
    /// # Errors
    ///
    /// [`Error::Outside`] for an empty list, a saddle without strings or too many strings.
    ///
    /// ```
    /// use fallaway_mechanics::{bridge::Bridge, screws::Screw};
    /// let bridge = Bridge::shared_saddles(&[2, 2, 2], Screw::default()).unwrap();
    /// assert_eq!((bridge.strings(), bridge.screws().len()), (6, 3));
    /// ```
    pub fn shared_saddles(sizes: &[usize], screw: Screw) -> Result<Self> {
        Limit::Saddles.check_count(sizes.len())?;
        let mut saddle_of = Vec::new();
        for (saddle, size) in sizes.iter().enumerate() {
            Limit::Strings.check_count(*size)?;
            saddle_of.extend(std::iter::repeat_n(saddle, *size));
        }
        check_strings(saddle_of.len())?;
        Ok(Self {
            screws: vec![screw; sizes.len()],
            levers: DMatrix::from_fn(saddle_of.len(), sizes.len(), |string, saddle| {
                if saddle_of.get(string) == Some(&saddle) { 1.0 } else { 0.0 }
            }),
        })
    }

    /// Two posts that carry all strings. `posts` and `strings` are places across the bridge (-500
    /// to 500 mm) measured from anywhere in one direction; screws in the order of `posts`.
    ///
    /// A string outside the posts moves by more than either.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`]; [`Error::Inconsistent`] when the posts stand less than 5 mm apart.
    ///
    /// ```
    /// use fallaway_mechanics::{bridge::Bridge, screws::Screw, units::mm};
    /// let posts = [mm(-37.0), mm(37.0)];
    /// let strings = [-26.0, -15.6, -5.2, 5.2, 15.6, 26.0].map(mm);
    /// let bridge = Bridge::two_posts(posts, &strings, Screw::default()).unwrap();
    /// // The string next to a post follows it with (26 + 37)/74 of its advance.
    /// assert!((bridge.lever(0, 0).unwrap() - 63.0 / 74.0).abs() < 1e-12);
    /// ```
    pub fn two_posts(posts: [Length; 2], strings: &[Length], screw: Screw) -> Result<Self> {
        check_strings(strings.len())?;
        let first = Limit::BridgePlace.check_mm(posts[0])?;
        let second = Limit::BridgePlace.check_mm(posts[1])?;
        if (second - first).abs() < 5.0 {
            return Err(Error::Inconsistent {
                what: "posts",
                reason: "stand less than 5 mm apart; give their places across the bridge",
            });
        }
        let mut along = Vec::with_capacity(strings.len());
        for place in strings {
            let y = Limit::BridgePlace.check_mm(*place)?;
            along.push((y - first) / (second - first));
        }
        Ok(Self {
            screws: vec![screw; 2],
            levers: DMatrix::from_fn(strings.len(), 2, |string, post| {
                let t = along.get(string).copied().unwrap_or_default();
                if post == 0 { 1.0 - t } else { t }
            }),
        })
    }

    /// A bridge without height screws: a new or reworked saddle blank is the only way. What is
    /// wanted is all left over; see [`blank_change`].
    ///
    /// # Errors
    ///
    /// [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::bridge::Bridge;
    /// assert!(Bridge::fixed(6).unwrap().screws().is_empty());
    /// ```
    pub fn fixed(strings: usize) -> Result<Self> {
        check_strings(strings)?;
        Ok(Self { screws: Vec::new(), levers: DMatrix::zeros(strings, 0) })
    }

    /// The same bridge with another screw in one place (0 = first).
    ///
    /// # Errors
    ///
    /// [`Error::NoSuchPlace`].
    ///
    /// ```
    /// use fallaway_mechanics::{bridge::Bridge, screws::{TurnDirection, Screw}};
    /// let shown = Screw { thread: None, raises: Some(TurnDirection::Clockwise) };
    /// let bridge = Bridge::own_saddles(4, 1, Screw::default()).unwrap();
    /// assert_eq!(bridge.with_screw(2, shown).unwrap().screws()[2], shown);
    /// assert!(bridge.with_screw(4, shown).is_err());
    /// ```
    pub fn with_screw(&self, index: usize, screw: Screw) -> Result<Self> {
        let mut changed = self.clone();
        match changed.screws.get_mut(index) {
            Some(place) => *place = screw,
            None => {
                return Err(Error::NoSuchPlace {
                    what: "screw",
                    number: index,
                    first: 0,
                    last: self.screws.len().saturating_sub(1),
                });
            }
        }
        Ok(changed)
    }

    /// Number of strings.
    ///
    /// ```
    /// use fallaway_mechanics::{bridge::Bridge, screws::Screw};
    /// let bridge = Bridge::own_saddles(4, 2, Screw::default()).unwrap();
    /// assert_eq!(bridge.strings(), 4);
    /// ```
    pub fn strings(&self) -> usize {
        self.levers.nrows()
    }

    /// The screws.
    ///
    /// ```
    /// use fallaway_mechanics::{bridge::Bridge, screws::Screw};
    /// let bridge = Bridge::own_saddles(4, 2, Screw::default()).unwrap();
    /// assert_eq!(bridge.screws().len(), 8);
    /// ```
    pub fn screws(&self) -> &[Screw] {
        &self.screws
    }

    /// How much a string (0 = first) rises per rise at a screw; `None` when either does not exist.
    ///
    /// ```
    /// use fallaway_mechanics::{bridge::Bridge, screws::Screw};
    /// let bridge = Bridge::own_saddles(4, 2, Screw::default()).unwrap();
    /// assert_eq!((bridge.lever(0, 1), bridge.lever(0, 2)), (Some(0.5), Some(0.0)));
    /// ```
    pub fn lever(&self, string: usize, screw: usize) -> Option<f64> {
        self.levers.get((string, screw)).copied()
    }

    /// Which strings a screw moves at all (0 = first).
    ///
    /// ```
    /// use fallaway_mechanics::{bridge::Bridge, screws::Screw};
    /// let bridge = Bridge::shared_saddles(&[2, 2], Screw::default()).unwrap();
    /// assert_eq!(bridge.moved_by(1), [2, 3]);
    /// ```
    pub fn moved_by(&self, screw: usize) -> Vec<usize> {
        (0..self.strings())
            .filter(|string| self.lever(*string, screw).is_some_and(|l| l != 0.0))
            .collect()
    }

    /// The screw moves that come nearest to the wanted change of height at each string's saddle
    /// (positive raises), and what they leave.
    ///
    /// `wanted` has one entry per string; `None` asks nothing of that string, and screws that move
    /// only such strings stay. Where a thread is known the outcome is that of the rounded turns.
    ///
    /// # Errors
    ///
    /// [`Error::CountMismatch`], [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::bridge::Bridge;
    /// use fallaway_mechanics::screws::{TurnDirection, TurnRounding, Screw, Thread};
    /// use fallaway_mechanics::{units::{as_mm, mm}, Uncertain};
    /// let screw = Screw {
    ///     thread: Some(Thread::named("M3").unwrap()),
    ///     raises: Some(TurnDirection::Clockwise),
    /// };
    /// let bridge = Bridge::shared_saddles(&[2, 2], screw).unwrap();
    /// let want = |h| Some(Uncertain::exact(mm(h)));
    /// let answer = bridge
    ///     .solve(&[want(-0.2), want(-0.3), None, None], TurnRounding::Nearest)
    ///     .unwrap();
    /// assert_eq!(answer.screws[0].turn.unwrap().to_string(), "half a turn anticlockwise");
    /// assert_eq!(answer.screws[1].turn.unwrap().to_string(), "no turn");
    /// let left = answer.strings[0].left_over.unwrap();
    /// assert!((as_mm(left.value) - 0.05).abs() < 1e-9); // pulled down by its neighbour
    /// ```
    pub fn solve(
        &self,
        wanted: &[Option<Uncertain<Length>>],
        rounding: TurnRounding,
    ) -> Result<BridgeMove> {
        if wanted.len() != self.strings() {
            return Err(Error::CountMismatch {
                quantity: "wanted heights",
                given: wanted.len(),
                expected: self.strings(),
            });
        }
        let mut rows = Vec::new();
        let mut heights = Vec::new();
        for (string, want) in wanted.iter().enumerate() {
            if let Some(want) = want {
                heights.push(Limit::HeightChange.check_mm(want.value)?);
                rows.push(string);
            }
        }
        let advances = self.advances(&rows, &heights)?;
        let mut screws = Vec::with_capacity(self.screws.len());
        let mut given = DVector::zeros(self.screws.len());
        for ((screw, advance), given) in self.screws.iter().zip(&advances).zip(given.iter_mut()) {
            let turn = match screw.thread {
                Some(_) => Some(ScrewTurn::for_rise(mm(*advance), *screw, rounding)?),
                None => None,
            };
            *given = turn.map_or(*advance, |t| as_mm(t.gives));
            screws.push(ScrewAdvance { advance: mm(*advance), turn });
        }
        let rises = &self.levers * given;
        let strings = wanted
            .iter()
            .zip(rises.iter())
            .map(|(wanted, gives)| StringOutcome {
                wanted: *wanted,
                gives: mm(*gives),
                left_over: wanted.map(|w| Uncertain {
                    value: w.value - mm(*gives),
                    standard_uncertainty: w.standard_uncertainty,
                }),
            })
            .collect();
        Ok(BridgeMove { screws, strings })
    }

    /// Least-squares advances, mm, one per screw.
    fn advances(&self, rows: &[usize], heights: &[f64]) -> Result<Vec<f64>> {
        if rows.is_empty() || self.screws.is_empty() {
            return Ok(vec![0.0; self.screws.len()]);
        }
        let matrix = self.levers.select_rows(rows);
        let wanted = DVector::from_column_slice(heights);
        let solution =
            matrix.svd(true, true).solve(&wanted, 1e-9).map_err(|_| Error::Undetermined {
                what: "screw turns",
                reason: "the bridge's levers have no solution",
            })?;
        Ok(solution.iter().copied().collect())
    }
}

/// The change of a one-piece saddle blank: how much to take off (negative) or add at the first and
/// the last string so that a straight underside comes nearest to the wanted changes, and what is
/// left over at each string, which only the blank's top can give.
#[derive(Debug, Clone, PartialEq)]
pub struct BlankChange {
    /// Change of the blank's height at the first string.
    pub at_first: Length,
    /// Change of the blank's height at the last string.
    pub at_last: Length,
    /// Wanted minus given, per string.
    pub left_over: Vec<Uncertain<Length>>,
}

/// The saddle-blank change for wanted changes of height at the strings' places across the bridge.
///
/// Heights wanted at the saddle: twice the change wanted open over 12, or
/// [`crate::string_line::saddle_move`] for other places. Taking material off cannot be undone: base
/// it on readings, not on predictions, and stop 0.1 mm high (common practice, no source).
///
/// # Errors
///
/// [`Error::CountMismatch`]; [`Error::TooFew`] for fewer than two strings; [`Error::Inconsistent`]
/// when first and last string lie less than 5 mm apart; [`Error::Outside`].
///
/// ```
/// use fallaway_mechanics::{bridge::blank_change, units::{as_mm, mm}, Uncertain};
/// let places = [0.0, 11.0, 22.0, 33.0, 44.0, 55.0].map(mm);
/// // 0.25 mm less over fret 12 on every string: 0.5 mm off the saddle's underside.
/// let wanted = [Uncertain::exact(mm(2.0 * -0.25)); 6];
/// let blank = blank_change(&places, &wanted).unwrap();
/// assert!((as_mm(blank.at_first) + 0.5).abs() < 1e-9);
/// assert!((as_mm(blank.at_last) + 0.5).abs() < 1e-9);
/// ```
pub fn blank_change(places: &[Length], wanted: &[Uncertain<Length>]) -> Result<BlankChange> {
    if places.len() != wanted.len() {
        return Err(Error::CountMismatch {
            quantity: "wanted heights",
            given: wanted.len(),
            expected: places.len(),
        });
    }
    let (Some(first), Some(last)) = (places.first(), places.last()) else {
        return Err(Error::TooFew { quantity: "strings", given: 0, needed: 2 });
    };
    if places.len() < 2 {
        return Err(Error::TooFew { quantity: "strings", given: places.len(), needed: 2 });
    }
    let ends = Bridge::two_posts([*first, *last], places, Screw::default())?;
    let wishes: Vec<_> = wanted.iter().map(|w| Some(*w)).collect();
    let answer = ends.solve(&wishes, TurnRounding::Nearest)?;
    let at = |screw: usize| answer.screws.get(screw).map_or(mm(0.0), |screw| screw.advance);
    Ok(BlankChange {
        at_first: at(0),
        at_last: at(1),
        left_over: answer.strings.iter().filter_map(|s| s.left_over).collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screws::Thread;
    use proptest::prelude::*;

    fn want(h: f64) -> Uncertain<Length> {
        Uncertain::new(mm(h), mm(0.1)).unwrap()
    }

    #[test]
    fn two_screws_of_one_saddle_turn_alike() {
        let screw = Screw { thread: Some(Thread::named("M3").unwrap()), raises: None };
        let bridge = Bridge::own_saddles(3, 2, screw).unwrap();
        let answer = bridge
            .solve(&[Some(want(0.25)), None, Some(want(-0.5))], TurnRounding::Nearest)
            .unwrap();
        let eighths: Vec<_> = answer.screws.iter().map(|s| s.turn.unwrap().eighths).collect();
        assert_eq!(eighths, [4, 4, 0, 0, -8, -8]);
        assert!((as_mm(answer.strings[2].gives) + 0.5).abs() < 1e-12);
    }

    #[test]
    fn posts_leave_the_arch_over() {
        // Two posts can tilt and lift but not change the arch: wanting more in the middle only is
        // left over as a residue that sums to nothing.
        let places = [-26.0, -15.6, -5.2, 5.2, 15.6, 26.0].map(mm);
        let bridge = Bridge::two_posts([mm(-37.0), mm(37.0)], &places, Screw::default()).unwrap();
        let wishes: Vec<_> = [0.0, 0.1, 0.2, 0.2, 0.1, 0.0].map(|h| Some(want(h))).to_vec();
        let answer = bridge.solve(&wishes, TurnRounding::Nearest).unwrap();
        let left: f64 = answer.strings.iter().map(|s| as_mm(s.left_over.unwrap().value)).sum();
        assert!(left.abs() < 1e-9);
        assert!((as_mm(answer.screws[0].advance) - 0.1).abs() < 1e-9);
    }

    #[test]
    fn a_fixed_bridge_leaves_everything() {
        let answer = Bridge::fixed(2)
            .unwrap()
            .solve(&[Some(want(-0.4)), None], TurnRounding::Nearest)
            .unwrap();
        assert_eq!(answer.screws.len(), 0);
        assert_eq!(as_mm(answer.strings[0].left_over.unwrap().value), -0.4);
        assert!(answer.strings[1].left_over.is_none());
    }

    #[test]
    fn refusals() {
        assert!(Bridge::own_saddles(0, 1, Screw::default()).is_err());
        assert!(Bridge::own_saddles(4, 5, Screw::default()).is_err());
        assert!(Bridge::shared_saddles(&[2, 0], Screw::default()).is_err());
        assert!(Bridge::shared_saddles(&[usize::MAX], Screw::default()).is_err());
        assert!(Bridge::two_posts([mm(1.0), mm(1.0)], &[mm(0.0)], Screw::default()).is_err());
        let bridge = Bridge::own_saddles(2, 1, Screw::default()).unwrap();
        assert!(bridge.solve(&[None], TurnRounding::Nearest).is_err());
        assert!(blank_change(&[mm(0.0)], &[Uncertain::exact(mm(0.0))]).is_err());
    }

    proptest! {
        #[test]
        fn a_plane_wish_is_met_exactly_by_two_posts(
            tilt in -0.02..0.02f64, lift in -1.0..1.0f64, half in 20.0..60.0f64,
        ) {
            let places = [-26.0, -15.0, -4.0, 7.0, 18.0, 29.0];
            let bridge = Bridge::two_posts([mm(-half), mm(half)], &places.map(mm), Screw::default()).unwrap();
            let wishes: Vec<_> = places.iter().map(|y| Some(want(lift + tilt * y))).collect();
            let answer = bridge.solve(&wishes, TurnRounding::Nearest).unwrap();
            for s in &answer.strings {
                prop_assert!(as_mm(s.left_over.unwrap().value).abs() < 1e-9);
            }
            prop_assert!((as_mm(answer.screws[1].advance) - (lift + tilt * half)).abs() < 1e-9);
        }
    }
}
