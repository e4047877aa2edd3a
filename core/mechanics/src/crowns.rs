//! Single crowns: which one stands proud or low, and by how much.
//!
//! The bench test is a short straight edge laid across three neighbouring frets: it rocks when the
//! middle crown stands above the line through its neighbours. The same is computed here from crown
//! heights (read with a dial gauge or a level beam). Bent wood adds nothing: over three frets a
//! relief of 0.3 mm moves the middle by a few hundredths *below* the line, so straighten the neck
//! first, as at the bench.

use fallaway_measure::Limit;
use uom::si::f64::Length;

use crate::error::{Error, Result};
use crate::uncertain::Uncertain;
use crate::units::{as_mm, mm};

/// What three neighbouring crowns show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThreeCrowns {
    /// The middle fret.
    pub middle: usize,
    /// How far its crown stands above the line through its neighbours; negative: below.
    pub above: Length,
    /// Whether a straight edge rocks there: `above` exceeds the tolerance.
    pub rocks: bool,
}

/// What is odd about one crown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Oddity {
    /// The crown stands proud; levelling this one cures the rocking.
    Proud {
        /// The fret, 1 at the nut end.
        fret: usize,
        /// By how much, above the line through its neighbours.
        by: Length,
    },
    /// The crown is low (worn or badly seated): both neighbours rock although they are level.
    Low {
        /// The fret, 1 at the nut end.
        fret: usize,
        /// By how much, below the line through its neighbours.
        by: Length,
    },
}

/// Lays a straight edge across every three neighbouring crowns.
///
/// `positions` from the nut and `heights` of the crowns, both for frets 1 to N in order, heights in
/// any straight frame; at least three. `tolerance`: how far a middle crown may stand up
/// before it counts as rocking (0.02 to 0.03 mm is usual; common practice, no source).
///
/// # Errors
///
/// [`Error::TooFew`], [`Error::CountMismatch`], [`Error::Outside`], or [`Error::Inconsistent`]
/// when positions do not rise.
///
/// ```
/// use fallaway_mechanics::{crowns::rocking, frets::positions, units::{as_mm, mm}};
/// let x = positions(mm(650.0), 5).unwrap();
/// let z = [0.0, 0.0, 0.08, 0.0, 0.0].map(mm);
/// let checks = rocking(&x, &z, mm(0.03)).unwrap();
/// assert!(checks.iter().all(|c| c.rocks == (c.middle == 3)));
/// assert!((as_mm(checks[1].above) - 0.08).abs() < 1e-12);
/// ```
pub fn rocking(
    positions: &[Length],
    heights: &[Length],
    tolerance: Length,
) -> Result<Vec<ThreeCrowns>> {
    if heights.len() != positions.len() {
        return Err(Error::CountMismatch {
            quantity: "crown heights",
            given: heights.len(),
            expected: positions.len(),
        });
    }
    if heights.len() < 3 {
        return Err(Error::TooFew { quantity: "crown heights", given: heights.len(), needed: 3 });
    }
    let tolerance = Limit::EdgeTolerance.check_mm(tolerance)?;
    let mut crowns = Vec::with_capacity(heights.len());
    for (x, z) in positions.iter().zip(heights) {
        crowns.push((Limit::FromNut.check_mm(*x)?, Limit::HeightOverLine.check_mm(*z)?));
    }
    let mut checks = Vec::with_capacity(crowns.len());
    for (index, three) in crowns.windows(3).enumerate() {
        let &[(x0, z0), (x1, z1), (x2, z2)] = three else {
            continue;
        };
        if !(x0 < x1 && x1 < x2) {
            return Err(Error::Inconsistent {
                what: "fret positions",
                reason: "must rise from fret to fret",
            });
        }
        let t = (x1 - x0) / (x2 - x0);
        let above = z1 - (z0 * (1.0 - t) + z2 * t);
        checks.push(ThreeCrowns { middle: index + 2, above: mm(above), rocks: above > tolerance });
    }
    Ok(checks)
}

/// Names the crowns that explain the rocking: a proud one, or a low one whose neighbours both rock.
///
/// Takes what [`rocking`] gave and the same `tolerance`. Frets 1 and N have only one neighbour and
/// are named by nobody.
///
/// # Errors
///
/// [`Error::Outside`].
///
/// ```
/// use fallaway_mechanics::{crowns::{odd_crowns, rocking, Oddity}, frets::positions, units::mm};
/// let x = positions(mm(650.0), 7).unwrap();
/// let worn = [0.0, 0.0, 0.0, -0.1, 0.0, 0.0, 0.0].map(mm);
/// let odd = odd_crowns(&rocking(&x, &worn, mm(0.03)).unwrap(), mm(0.03)).unwrap();
/// assert!(matches!(odd[..], [Oddity::Low { fret: 4, .. }]));
/// ```
pub fn odd_crowns(checks: &[ThreeCrowns], tolerance: Length) -> Result<Vec<Oddity>> {
    let limit = mm(Limit::EdgeTolerance.check_mm(tolerance)?);
    let rocks_by_low_neighbour = |fret: usize| {
        // A low crown drops by d and lifts each neighbour by about d/2 against its line.
        checks.iter().filter(|c| c.middle.abs_diff(fret) == 1).any(|low| {
            -low.above > limit
                && checks
                    .iter()
                    .filter(|c| c.middle.abs_diff(low.middle) == 1)
                    .all(|c| c.rocks && c.above < -low.above)
        })
    };
    let mut odd = Vec::new();
    for check in checks {
        if check.rocks && !rocks_by_low_neighbour(check.middle) {
            odd.push(Oddity::Proud { fret: check.middle, by: check.above });
        } else if -check.above > limit {
            let neighbours: Vec<_> =
                checks.iter().filter(|c| c.middle.abs_diff(check.middle) == 1).collect();
            if neighbours.len() == 2 && neighbours.iter().all(|c| c.rocks && c.above < -check.above)
            {
                odd.push(Oddity::Low { fret: check.middle, by: -check.above });
            }
        }
    }
    Ok(odd)
}

/// How the end of a board is read: a straight edge lies on the crowns of two frets, and the gap under it
/// is read at a fret beyond.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct EdgeWay {
    /// Where the straight edge begins.
    pub from: usize,
    /// The last fret that it rests on.
    pub to: usize,
    /// Where the gap is read.
    pub at: usize,
}

impl EdgeWay {
    /// A straight edge on the crowns of `from` and `to`, read at `at`.
    ///
    /// ```
    /// assert_eq!(fallaway_mechanics::crowns::EdgeWay::new(12, 16, 24).at, 24);
    /// ```
    pub const fn new(from: usize, to: usize, at: usize) -> Self {
        Self { from, to, at }
    }

    /// Where its three crowns lie, in mm from the nut.
    fn places(self, positions: &[Length]) -> Result<[f64; 3]> {
        let place = |fret: usize| -> Result<f64> {
            let found = fret.checked_sub(1).and_then(|index| positions.get(index));
            let none =
                Error::NoSuchPlace { what: "fret", number: fret, first: 1, last: positions.len() };
            Ok(Limit::FromNut.check_mm(*found.ok_or(none)?)?)
        };
        let places = [place(self.from)?, place(self.to)?, place(self.at)?];
        let [from, to, at] = places;
        if !(from < to && to < at) {
            return Err(Error::Inconsistent {
                what: "straight edge",
                reason: "it lies on two frets and is read at a third beyond them",
            });
        }
        Ok(places)
    }
}

/// How far the board falls away under a straight edge, from the heights of its crowns; below zero: it
/// rises.
///
/// `positions` and `heights` as for [`rocking`]; `each` is the standard uncertainty of one height. What
/// errs on the two crowns under the edge counts by the lever to the third (JCGM 100:2008, 5.1.2).
///
/// # Errors
///
/// [`Error::NoSuchPlace`], [`Error::Inconsistent`] unless the three frets rise,
/// [`Error::CountMismatch`], [`Error::Outside`].
///
/// ```
/// use fallaway_mechanics::{crowns::{EdgeWay, fall_away}, frets::positions, units::{as_mm, mm}};
/// let x = positions(mm(650.0), 20).unwrap();
/// let mut z = vec![mm(0.0); 20];
/// z[19] = mm(-0.25);
/// let read = fall_away(&x, &z, mm(0.01), EdgeWay::new(10, 14, 20)).unwrap();
/// assert!((as_mm(read.value) - 0.25).abs() < 1e-12);
/// ```
pub fn fall_away(
    positions: &[Length],
    heights: &[Length],
    each: Length,
    way: EdgeWay,
) -> Result<Uncertain<Length>> {
    if heights.len() != positions.len() {
        return Err(Error::CountMismatch {
            quantity: "crown heights",
            given: heights.len(),
            expected: positions.len(),
        });
    }
    let [from, to, at] = way.places(positions)?;
    let each = Limit::LengthUncertainty.check_mm(each)?;
    let height = |fret: usize| {
        let found = fret.checked_sub(1).and_then(|index| heights.get(index)).copied();
        Limit::HeightOverLine.check_mm(found.unwrap_or_default())
    };
    let lever = (at - to) / (to - from);
    let line = height(way.to)? + (height(way.to)? - height(way.from)?) * lever;
    let square = lever.powi(2) + (1.0 + lever).powi(2) + 1.0;
    Ok(Uncertain {
        value: mm(line - height(way.at)?),
        standard_uncertainty: mm(each * square.sqrt()),
    })
}

/// By how much each crown from fret 1 to the last stands off a straight board that falls away by `by`,
/// read this way: evenly from the last fret under the straight edge on (common practice, no source).
///
/// Never further than a crown may stand off at all ([`Limit::CrownOffset`]).
///
/// # Errors
///
/// [`Error::NoSuchPlace`], [`Error::Inconsistent`] unless the three frets rise, [`Error::Outside`].
///
/// ```
/// use fallaway_mechanics::{crowns::{EdgeWay, fallen}, frets::positions, units::{as_mm, mm}};
/// let x = positions(mm(650.0), 20).unwrap();
/// let z = fallen(&x, EdgeWay::new(10, 14, 20), mm(0.3)).unwrap();
/// assert!(as_mm(z[13]) == 0.0 && (as_mm(z[19]) + 0.3).abs() < 1e-12);
/// ```
pub fn fallen(positions: &[Length], way: EdgeWay, by: Length) -> Result<Vec<Length>> {
    let [_, to, at] = way.places(positions)?;
    let by = Limit::FallAway.check_mm(by)?;
    let most = Limit::CrownOffset.most();
    let offset = |x: &Length| {
        let beyond = ((as_mm(*x) - to) / (at - to)).max(0.0);
        mm((-by * beyond).clamp(-most, most))
    };
    Ok(positions.iter().map(offset).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frets::positions;
    use crate::neck::NeckLine;
    use crate::units::as_mm;
    use proptest::prelude::*;

    #[test]
    fn a_proud_crown_is_named_and_its_neighbours_are_not() {
        let x = positions(mm(863.6), 12).unwrap();
        let mut z = vec![mm(0.0); 12];
        z[6] = mm(0.1);
        let odd = odd_crowns(&rocking(&x, &z, mm(0.02)).unwrap(), mm(0.02)).unwrap();
        assert_eq!(odd.len(), 1);
        let Oddity::Proud { fret, by } = odd[0] else { panic!("{odd:?}") };
        assert_eq!(fret, 7);
        assert!((as_mm(by) - 0.1).abs() < 1e-12);
    }

    #[test]
    fn relief_does_not_rock() {
        let neck = NeckLine::new(mm(863.6), 24, 24.0)
            .unwrap()
            .with_curvature(crate::units::per_mm(6.7e-6))
            .unwrap();
        let x: Vec<_> = (1..=24).map(|n| neck.position(n).unwrap()).collect();
        let z: Vec<_> = (1..=24).map(|n| neck.crown(n).unwrap()).collect();
        let found = rocking(&x, &z, mm(0.0)).unwrap();
        assert!(found.iter().all(|c| !c.rocks && as_mm(c.above) <= 1e-12));
    }

    #[test]
    fn a_neck_that_falls_away_reads_what_it_falls() {
        // On the straight part of the neck the edge lies flat, so the gap is the fall itself.
        let x = positions(mm(650.0), 22).unwrap();
        let way = EdgeWay::new(14, 16, 22);
        let neck = NeckLine::new(mm(650.0), 22, 14.0)
            .unwrap()
            .with_curvature(crate::units::per_mm(1e-5))
            .unwrap()
            .with_crown_offsets(&fallen(&x, way, mm(0.3)).unwrap())
            .unwrap();
        let z: Vec<_> = (1..=22).map(|n| neck.crown(n).unwrap()).collect();
        let read = fall_away(&x, &z, mm(0.01), way).unwrap();
        assert!((as_mm(read.value) - 0.3).abs() < 1e-12);
        // Lever by equal temperament: (2^(-16/12) - 2^(-22/12)) / (2^(-14/12) - 2^(-16/12)).
        let power = |n: f64| (-n / 12.0).exp2();
        let lever = (power(16.0) - power(22.0)) / (power(14.0) - power(16.0));
        let wanted = 0.01 * (lever * lever + (1.0 + lever).powi(2) + 1.0).sqrt();
        assert!((as_mm(read.standard_uncertainty) - wanted).abs() < 1e-12);
    }

    #[test]
    fn an_edge_on_frets_that_do_not_rise_is_refused() {
        let x = positions(mm(650.0), 22).unwrap();
        for (from, to, at) in [(16, 14, 22), (14, 22, 22), (0, 14, 22), (14, 16, 23)] {
            assert!(fallen(&x, EdgeWay::new(from, to, at), mm(0.1)).is_err());
            let flat = [mm(0.0); 22];
            assert!(fall_away(&x, &flat, mm(0.01), EdgeWay::new(from, to, at)).is_err());
        }
        assert!(fallen(&x, EdgeWay::new(12, 16, 22), mm(9.0)).is_err());
    }

    #[test]
    fn bad_lists_are_refused() {
        let x = positions(mm(863.6), 4).unwrap();
        assert!(rocking(&x, &[mm(0.0); 3], mm(0.02)).is_err());
        assert!(rocking(&x[..2], &[mm(0.0); 2], mm(0.02)).is_err());
        assert!(rocking(&[mm(3.0), mm(2.0), mm(1.0)], &[mm(0.0); 3], mm(0.02)).is_err());
        assert!(rocking(&x, &[mm(f64::NAN); 4], mm(0.02)).is_err());
    }

    proptest! {
        #[test]
        fn any_straight_frame_gives_the_same(
            z in proptest::collection::vec(-0.2..0.2f64, 12), slope in -0.01..0.01f64, up in -5.0..5.0f64,
        ) {
            let x = positions(mm(650.0), 12).unwrap();
            let plain: Vec<_> = z.iter().map(|z| mm(*z)).collect();
            let way = EdgeWay::new(2, 6, 12);
            let fall = |z: &[Length]| as_mm(fall_away(&x, z, mm(0.01), way).unwrap().value);
            let turned: Vec<_> = x.iter().zip(&z).map(|(x, z)| mm(z + slope * as_mm(*x) + up)).collect();
            let a = rocking(&x, &plain, mm(0.03)).unwrap();
            let b = rocking(&x, &turned, mm(0.03)).unwrap();
            for (a, b) in a.iter().zip(&b) {
                prop_assert!((as_mm(a.above) - as_mm(b.above)).abs() < 1e-9);
            }
            prop_assert!((fall(&plain) - fall(&turned)).abs() < 1e-9);
        }
    }
}
