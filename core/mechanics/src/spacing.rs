//! Strings across nut and bridge: equal centres or equal gaps between edges, margins, offsets.
//!
//! Places run across the instrument from the edge of the board on one side (0) to the other (the
//! width). Equal centres give one number for all strings; equal gaps leave the same air between
//! neighbouring strings, so thick strings sit further apart. Both are common practice, no source;
//! which feels better is the player's affair.

use fallaway_measure::Limit;
use uom::si::f64::Length;

use crate::error::{Error, Result};
use crate::units::{as_mm, mm};

/// How strings are spread.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SpreadBy {
    /// The same distance between centres.
    EqualCentres,
    /// The same gap between neighbouring edges.
    EqualGaps,
}

/// Strings laid across a nut or bridge.
#[derive(Debug, Clone, PartialEq)]
pub struct SpacingLayout {
    /// Centre of each string, first to last, from the first edge.
    pub centres: Vec<Length>,
    /// Gap between the edges of each neighbouring pair.
    pub gaps: Vec<Length>,
    /// From the first edge of the board to the outside of the first string, and the same at the
    /// other side.
    pub margins: (Length, Length),
}

fn gauges_mm(gauges: &[Length]) -> Result<Vec<f64>> {
    if gauges.len() < 2 {
        return Err(Error::TooFew { quantity: "strings", given: gauges.len(), needed: 2 });
    }
    gauges.iter().map(|g| Ok(Limit::StringGauge.check_mm(*g)?)).collect()
}

/// Lays strings across a width of board between two outer margins (from
/// the edge of the board to the outside of the outer string). At the bridge, give the span between
/// the outsides of the outer strings as width and margins of 0.
///
/// `gauges` one per string, first to last.
///
/// # Errors
///
/// [`Error::TooFew`] for fewer than two strings, [`Error::Outside`], [`Error::Inconsistent`]
/// when the strings would touch.
///
/// ```
/// use fallaway_mechanics::spacing::{lay, SpreadBy};
/// use fallaway_mechanics::units::{as_mm, inches, mm};
/// let gauges = [0.045, 0.065, 0.085, 0.105].map(inches);
/// let nut = lay(mm(38.0), (mm(3.0), mm(3.0)), &gauges, SpreadBy::EqualGaps).unwrap();
/// assert!((as_mm(nut.gaps[0] - nut.gaps[2])).abs() < 1e-9);
/// let even = lay(mm(38.0), (mm(3.0), mm(3.0)), &gauges, SpreadBy::EqualCentres).unwrap();
/// assert!(even.gaps[0] > even.gaps[2]); // thick strings leave less air
/// ```
pub fn lay(
    width: Length,
    margins: (Length, Length),
    gauges: &[Length],
    spread: SpreadBy,
) -> Result<SpacingLayout> {
    let width = Limit::Width.check_mm(width)?;
    let first_margin = Limit::EdgeMargin.check_mm(margins.0)?;
    let last_margin = Limit::EdgeMargin.check_mm(margins.1)?;
    let d = gauges_mm(gauges)?;
    let spaces = (d.len() - 1) as f64;
    let mut centres = Vec::with_capacity(d.len());
    match spread {
        SpreadBy::EqualCentres => {
            let first = first_margin + d.first().copied().unwrap_or_default() / 2.0;
            let last = width - last_margin - d.last().copied().unwrap_or_default() / 2.0;
            let pitch = (last - first) / spaces;
            centres.extend((0..d.len()).map(|i| first + pitch * i as f64));
        }
        SpreadBy::EqualGaps => {
            let gap = (width - first_margin - last_margin - d.iter().sum::<f64>()) / spaces;
            let mut edge = first_margin;
            for gauge in &d {
                centres.push(edge + gauge / 2.0);
                edge += gauge + gap;
            }
        }
    }
    layout(&centres, &d, width)
}

/// Lays strings at a given distance between centres around the middle of a width.
///
/// # Errors
///
/// As [`lay`].
///
/// ```
/// use fallaway_mechanics::spacing::lay_at;
/// use fallaway_mechanics::units::{as_mm, inches, mm};
/// // Common practice, no source: 19 mm between centres at the bridge is one number for all gaps.
/// let bridge = lay_at(mm(70.0), mm(19.0), &[0.045, 0.065, 0.085, 0.105].map(inches)).unwrap();
/// assert!(bridge.centres.windows(2).all(|w| (as_mm(w[1] - w[0]) - 19.0).abs() < 1e-9));
/// ```
pub fn lay_at(width: Length, between_centres: Length, gauges: &[Length]) -> Result<SpacingLayout> {
    let width = Limit::Width.check_mm(width)?;
    let pitch = Limit::StringSpacing.check_mm(between_centres)?;
    let d = gauges_mm(gauges)?;
    let first = width / 2.0 - pitch * (d.len() - 1) as f64 / 2.0;
    let centres: Vec<f64> = (0..d.len()).map(|i| first + pitch * i as f64).collect();
    layout(&centres, &d, width)
}

/// Describes strings as they lie: measured centres (first to last, from the first edge), gauges and
/// the width of the board there.
///
/// # Errors
///
/// [`Error::CountMismatch`], [`Error::TooFew`], [`Error::Outside`], [`Error::Inconsistent`] when
/// centres do not rise or strings touch.
///
/// ```
/// use fallaway_mechanics::spacing::describe;
/// use fallaway_mechanics::units::{as_mm, mm};
/// let as_found = describe(mm(42.0), &[4.0, 11.0, 18.0].map(mm), &[1.0, 1.0, 1.0].map(mm)).unwrap();
/// assert!((as_mm(as_found.margins.0) - 3.5).abs() < 1e-12);
/// assert!((as_mm(as_found.gaps[0]) - 6.0).abs() < 1e-12);
/// ```
pub fn describe(width: Length, centres: &[Length], gauges: &[Length]) -> Result<SpacingLayout> {
    let width = Limit::Width.check_mm(width)?;
    let d = gauges_mm(gauges)?;
    if centres.len() != d.len() {
        return Err(Error::CountMismatch {
            quantity: "string centres",
            given: centres.len(),
            expected: d.len(),
        });
    }
    let centres = centres
        .iter()
        .map(|c| Ok(Limit::StringCentre.check_mm(*c)?))
        .collect::<Result<Vec<_>>>()?;
    layout(&centres, &d, width)
}

fn layout(centres: &[f64], d: &[f64], width: f64) -> Result<SpacingLayout> {
    let edges: Vec<(f64, f64)> =
        centres.iter().zip(d).map(|(c, d)| (c - d / 2.0, c + d / 2.0)).collect();
    let mut gaps = Vec::with_capacity(d.len());
    for pair in edges.windows(2) {
        let &[left, right] = pair else { continue };
        let gap = right.0 - left.1;
        if gap <= 0.0 {
            return Err(Error::Inconsistent {
                what: "string spacing",
                reason: "neighbouring strings would touch or cross; give them more width or smaller margins",
            });
        }
        gaps.push(mm(gap));
    }
    let first = edges.first().map_or(0.0, |e| e.0);
    let last = edges.last().map_or(0.0, |e| e.1);
    Ok(SpacingLayout {
        centres: centres.iter().copied().map(mm).collect(),
        gaps,
        margins: (mm(first), mm(width - last)),
    })
}

/// How far each string must move to lie as wanted; positive: away from the first edge.
///
/// # Errors
///
/// [`Error::CountMismatch`] when the two have different numbers of strings.
///
/// ```
/// use fallaway_mechanics::spacing::{describe, lay_at, moves};
/// use fallaway_mechanics::units::{as_mm, mm};
/// let gauges = [1.0, 1.5, 2.0, 2.5].map(mm);
/// let found = describe(mm(70.0), &[6.5, 26.0, 44.5, 63.5].map(mm), &gauges).unwrap();
/// let wanted = lay_at(mm(70.0), mm(19.0), &gauges).unwrap();
/// assert!((as_mm(moves(&found, &wanted).unwrap()[1]) + 0.5).abs() < 1e-9);
/// ```
pub fn moves(found: &SpacingLayout, wanted: &SpacingLayout) -> Result<Vec<Length>> {
    if found.centres.len() != wanted.centres.len() {
        return Err(Error::CountMismatch {
            quantity: "string centres",
            given: found.centres.len(),
            expected: wanted.centres.len(),
        });
    }
    Ok(found.centres.iter().zip(&wanted.centres).map(|(f, w)| *w - *f).collect())
}

/// Offsets from the middle of the width, as [`crate::board::StringPath`] takes them.
///
/// # Errors
///
/// [`Error::Outside`].
///
/// ```
/// use fallaway_mechanics::spacing::{lay_at, offsets};
/// use fallaway_mechanics::units::{as_mm, mm};
/// let bridge = lay_at(mm(70.0), mm(19.0), &[mm(1.0); 4]).unwrap();
/// assert!((as_mm(offsets(&bridge, mm(70.0)).unwrap()[0]) + 28.5).abs() < 1e-9);
/// ```
pub fn offsets(layout: &SpacingLayout, width: Length) -> Result<Vec<Length>> {
    let half = Limit::Width.check_mm(width)? / 2.0;
    Ok(layout.centres.iter().map(|c| *c - mm(half)).collect())
}

/// One string of [`position_table`].
#[derive(Debug, Clone, PartialEq)]
pub struct StringPositions {
    /// From the nut to each fret, 1 to N.
    pub frets: Vec<Length>,
    /// From the nut to the saddle's witness point: scale length plus compensation.
    pub saddle: Length,
}

/// Fret and saddle positions of each string along itself: (scale length, compensation) per string,
/// so that fanned boards are covered.
///
/// # Errors
///
/// As [`crate::frets::positions`]; [`Error::Outside`] for the compensation.
///
/// ```
/// use fallaway_mechanics::spacing::position_table;
/// use fallaway_mechanics::units::{as_mm, inches, mm};
/// let table = position_table(&[(inches(34.0), mm(2.0)), (inches(37.0), mm(4.0))], 24).unwrap();
/// assert!((as_mm(table[1].saddle) - 943.8).abs() < 1e-9);
/// assert!((as_mm(table[1].frets[11]) - 469.9).abs() < 1e-9);
/// ```
pub fn position_table(strings: &[(Length, Length)], frets: usize) -> Result<Vec<StringPositions>> {
    strings
        .iter()
        .map(|(scale, compensation)| {
            let compensation = Limit::Compensation.check_mm(*compensation)?;
            Ok(StringPositions {
                frets: crate::frets::positions(*scale, frets)?,
                saddle: mm(as_mm(*scale) + compensation),
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn strings_that_do_not_fit_are_refused() {
        let thick = [mm(5.0); 6];
        assert!(lay(mm(30.0), (mm(3.0), mm(3.0)), &thick, SpreadBy::EqualGaps).is_err());
        assert!(lay(mm(30.0), (mm(3.0), mm(3.0)), &thick[..1], SpreadBy::EqualGaps).is_err());
        assert!(describe(mm(40.0), &[mm(20.0), mm(10.0)], &[mm(1.0); 2]).is_err());
    }

    proptest! {
        #[test]
        fn margins_are_kept_and_all_the_width_is_used(
            width in 30.0..80.0f64, margin in 1.0..4.0f64,
            gauges in proptest::collection::vec(0.2..2.7f64, 2..8), equal in proptest::bool::ANY,
        ) {
            let d: Vec<_> = gauges.iter().map(|g| mm(*g)).collect();
            let spread = if equal { SpreadBy::EqualGaps } else { SpreadBy::EqualCentres };
            if let Ok(l) = lay(mm(width), (mm(margin), mm(margin)), &d, spread) {
                prop_assert!((as_mm(l.margins.0) - margin).abs() < 1e-9);
                prop_assert!((as_mm(l.margins.1) - margin).abs() < 1e-9);
                let gaps: f64 = l.gaps.iter().map(|g| as_mm(*g)).sum();
                prop_assert!((2.0 * margin + gaps + gauges.iter().sum::<f64>() - width).abs() < 1e-9);
                let again = describe(mm(width), &l.centres, &d).unwrap();
                let zero = moves(&again, &l).unwrap();
                prop_assert!(zero.iter().all(|m| as_mm(*m).abs() < 1e-9));
            }
        }

        #[test]
        fn equal_gauges_make_both_spreads_alike(width in 35.0..80.0f64, g in 0.3..2.0f64, n in 2usize..7) {
            let d = vec![mm(g); n];
            let a = lay(mm(width), (mm(3.0), mm(3.0)), &d, SpreadBy::EqualGaps).unwrap();
            let b = lay(mm(width), (mm(3.0), mm(3.0)), &d, SpreadBy::EqualCentres).unwrap();
            for (x, y) in a.centres.iter().zip(&b.centres) {
                prop_assert!((as_mm(*x) - as_mm(*y)).abs() < 1e-9);
            }
        }
    }
}
