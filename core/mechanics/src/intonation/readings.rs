//! From cents read at frets to moves of saddle and nut.

use fallaway_measure::Limit;
use nalgebra::{Matrix2, Vector2};
use uom::si::f64::Length;
use uom::si::length::millimeter;

use super::{check_fret, sensitivities};
use crate::error::{Error, Result};
use crate::uncertain::Uncertain;
use crate::units::mm;

/// Cents read at a fret.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IntonationReading {
    /// The fret at which the string was stopped, 1 to 36.
    pub fret: u32,
    /// By how many cents the stopped note stood above its place over the open string, within 300
    /// either way, with its standard uncertainty.
    pub cents: Uncertain<f64>,
}

/// What may be moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Adjust {
    /// The saddle only: what a set-up can do.
    Saddle,
    /// Saddle and nut: work on the nut is not undone; it needs readings at two frets or more.
    SaddleAndNut,
}

/// How far the saddle can still travel. Both are lengths of zero or more.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SaddleTravel {
    /// Toward the nut.
    pub toward_nut: Length,
    /// Away from the nut.
    pub away_from_nut: Length,
}

/// What a fret will read after the move.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeftOver {
    /// The fret at which the string was stopped, 1 to 36.
    pub fret: u32,
    /// Cents, positive sharp.
    pub cents: f64,
}

/// The moves, and what they leave.
#[derive(Debug, Clone, PartialEq)]
pub struct IntonationSolution {
    /// Saddle move, positive away from the nut.
    pub saddle: Uncertain<Length>,
    /// Nut offset, positive away from the saddle, when it was asked for.
    pub nut: Option<Uncertain<Length>>,
    /// Whether the travel of the saddle cut the move short.
    pub travel_ended: bool,
    /// What each reading will be after the moves, in the order given.
    pub left_over: Vec<LeftOver>,
    /// Root mean square of what is left, in cents.
    pub rms_cents: f64,
}

/// By how much a saddle must move for one cent at `fret`: `L / (1731.23 (2^(n/12) - 1))`.
///
/// Check value: 0.50 mm per cent at fret 12 of an 864 mm scale.
///
/// # Errors
///
/// [`Error::Outside`]; [`Error::NoSuchPlace`] for a fret outside 1 to 36.
///
/// ```
/// use fallaway_mechanics::{intonation::length_per_cent, units::{as_mm, mm}};
/// assert!((as_mm(length_per_cent(mm(864.0), 12).unwrap()) - 0.499).abs() < 1e-3);
/// ```
pub fn length_per_cent(scale: Length, fret: u32) -> Result<Length> {
    let scale = Limit::ScaleLength.check_mm(scale)?;
    Ok(mm(-1.0 / sensitivities(scale, check_fret(fret)?).0))
}

/// Saddle move and, where wanted, nut offset that bring the readings nearest to zero.
///
/// Weighted least squares: lengthening at the saddle by dS changes the reading at fret n by
/// `-(1200/ln 2) dS (1/L_n - 1/L)`, lengthening at the nut by dN by `+(1200/ln 2) dN / L`, because a
/// stopped string does not know of the nut. Weights are 1 / u^2; when no reading has an uncertainty
/// all weigh the same and the moves carry none. First order: for moves of 5 mm the next term is
/// below 0.2 cents, and a second reading corrects it.
///
/// With `travel`, a move beyond it ends there; the nut is then fitted to what remains.
///
/// The uncertainties of the moves are those of the readings carried through the fit; the part that
/// all readings share (the open string of the minute) is not told apart from the rest.
///
/// # Errors
///
/// [`Error::TooFew`] without readings; [`Error::Undetermined`] for the nut from readings at a
/// single fret; [`Error::Outside`]; [`Error::NoSuchPlace`] for a fret outside 1 to 36;
/// [`Error::Inconsistent`] when only some readings have an uncertainty.
///
/// ```
/// use fallaway_mechanics::{Uncertain, units::{as_mm, mm}};
/// use fallaway_mechanics::intonation::{Adjust, IntonationReading, solve_from_readings};
///
/// // Four cents sharp at 12 on a 34 in scale, tuner to one cent: two millimetres back.
/// let cents = Uncertain::new(4.0, 0.4).unwrap();
/// let reading = IntonationReading { fret: 12, cents };
/// let s = solve_from_readings(mm(863.6), &[reading], Adjust::Saddle, None).unwrap();
/// assert!((as_mm(s.saddle.value) - 1.995).abs() < 1e-3);
/// assert!((as_mm(s.saddle.standard_uncertainty) - 0.2).abs() < 1e-3);
/// assert!(s.rms_cents < 1e-9);
/// ```
pub fn solve_from_readings(
    scale: Length,
    readings: &[IntonationReading],
    adjust: Adjust,
    travel: Option<SaddleTravel>,
) -> Result<IntonationSolution> {
    let scale = Limit::ScaleLength.check_mm(scale)?;
    if readings.is_empty() {
        return Err(Error::TooFew { quantity: "intonation readings", given: 0, needed: 1 });
    }
    let rows = readings.iter().map(|r| Row::new(scale, r)).collect::<Result<Vec<_>>>()?;
    let exact = rows.iter().filter(|r| r.sigma == 0.0).count();
    if exact != 0 && exact != rows.len() {
        return Err(Error::Inconsistent {
            what: "uncertainties of the readings",
            reason: "some are given and some are zero; give all or none",
        });
    }
    let with_nut = adjust == Adjust::SaddleAndNut;
    if with_nut && !rows.iter().any(|r| r.saddle != rows.first().map_or(0.0, |f| f.saddle)) {
        return Err(Error::Undetermined {
            what: "nut offset",
            reason: "all readings are at one fret; read at a low fret and at the twelfth",
        });
    }

    let (mut moves, mut covariance) = fit(&rows, with_nut);
    let mut travel_ended = false;
    if let Some(travel) = travel {
        let least = -Limit::SaddleTravel.check_mm(travel.toward_nut)?;
        let most = Limit::SaddleTravel.check_mm(travel.away_from_nut)?;
        let wanted = moves.x;
        moves.x = wanted.clamp(least, most);
        travel_ended = moves.x != wanted;
        if travel_ended {
            covariance = Matrix2::zeros();
            if with_nut {
                (moves.y, covariance.m22) = fit_nut(&rows, moves.x);
            }
        }
    }

    let left_over: Vec<_> = rows
        .iter()
        .map(|r| LeftOver { fret: r.fret, cents: r.cents + r.saddle * moves.x + r.nut * moves.y })
        .collect();
    let square: f64 = left_over.iter().map(|l| l.cents * l.cents).sum();
    let rms_cents = (square / left_over.len() as f64).sqrt();
    let measured = rows.iter().all(|r| r.sigma > 0.0);
    let width = |variance: f64| mm(if measured { variance.max(0.0).sqrt() } else { 0.0 });
    Ok(IntonationSolution {
        saddle: Uncertain::new(mm(moves.x), width(covariance.m11))?,
        nut: with_nut.then(|| Uncertain::new(mm(moves.y), width(covariance.m22))).transpose()?,
        travel_ended,
        left_over,
        rms_cents,
    })
}

/// A reading with its sensitivities in cents per mm.
struct Row {
    fret: u32,
    cents: f64,
    sigma: f64,
    saddle: f64,
    nut: f64,
}

impl Row {
    fn new(scale: f64, reading: &IntonationReading) -> Result<Self> {
        let fret = check_fret(reading.fret)?;
        let (saddle, nut) = sensitivities(scale, fret);
        let cents = Limit::Intonation.check(reading.cents.value)?;
        let u = reading.cents.standard_uncertainty;
        let sigma = Limit::IntonationUncertainty.check(u)?;
        Ok(Self { fret, cents, sigma, saddle, nut })
    }

    fn weight(&self) -> f64 {
        // A floor keeps the weights of very small uncertainties within the range of numbers.
        if self.sigma == 0.0 { 1.0 } else { self.sigma.max(1e-6).powi(-2) }
    }
}

/// Least-squares moves (saddle, nut) in mm and their covariance in mm2.
fn fit(rows: &[Row], with_nut: bool) -> (Vector2<f64>, Matrix2<f64>) {
    let mut normal = Matrix2::zeros();
    let mut right = Vector2::zeros();
    for row in rows {
        let a = Vector2::new(row.saddle, if with_nut { row.nut } else { 0.0 });
        normal += row.weight() * a * a.transpose();
        right -= row.weight() * row.cents * a;
    }
    if with_nut && let Some(inverse) = normal.try_inverse() {
        return (inverse * right, inverse);
    }
    // The sensitivity of the saddle is never zero, because every fret is at least the first.
    let variance = 1.0 / normal.m11;
    (Vector2::new(variance * right.x, 0.0), Matrix2::new(variance, 0.0, 0.0, 0.0))
}

/// Nut offset in mm and its variance, the saddle having moved by `saddle` mm.
fn fit_nut(rows: &[Row], saddle: f64) -> (f64, f64) {
    let normal: f64 = rows.iter().map(|r| r.weight() * r.nut * r.nut).sum();
    let right: f64 = rows.iter().map(|r| -r.weight() * r.nut * (r.cents + r.saddle * saddle)).sum();
    (right / normal, 1.0 / normal)
}

impl IntonationSolution {
    /// Turns of a screw of `pitch` for the saddle move, positive when the saddle goes away from the
    /// nut; which way that turns the screw, the instrument must show.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::{Uncertain, units::mm};
    /// use fallaway_mechanics::intonation::{Adjust, IntonationReading, solve_from_readings};
    /// let reading = IntonationReading { fret: 12, cents: Uncertain::exact(2.0) };
    /// let s = solve_from_readings(mm(865.615), &[reading], Adjust::Saddle, None).unwrap();
    /// assert!((s.turns(mm(0.5)).unwrap() - 2.0).abs() < 1e-3);
    /// ```
    pub fn turns(&self, pitch: Length) -> Result<f64> {
        let pitch = Limit::ThreadPitch.check_mm(pitch)?;
        Ok(self.saddle.value.get::<millimeter>() / pitch)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::as_mm;
    use proptest::prelude::*;

    fn reading(fret: u32, cents: f64, sigma: f64) -> IntonationReading {
        IntonationReading { fret, cents: Uncertain::new(cents, sigma).unwrap() }
    }

    #[test]
    fn half_a_millimetre_per_cent_on_a_long_scale() {
        // 1200 / ln 2 = 1731.23; L / 1731.23 = 0.499 mm at 864 mm, the technician's "half a
        // millimetre per cent".
        let per_cent = as_mm(length_per_cent(mm(864.0), 12).unwrap());
        assert!((per_cent - 864.0 / 1731.234).abs() < 1e-5);
    }

    #[test]
    fn the_nut_cannot_be_told_from_one_fret() {
        let same = [reading(12, 3.0, 0.5), reading(12, 2.0, 0.5)];
        let said = solve_from_readings(mm(864.0), &same, Adjust::SaddleAndNut, None).unwrap_err();
        assert!(said.to_string().contains("nut offset"));
    }

    #[test]
    fn a_saddle_at_the_end_of_its_travel_says_so_and_says_what_is_left() {
        let travel = SaddleTravel { toward_nut: mm(5.0), away_from_nut: mm(1.0) };
        let s =
            solve_from_readings(mm(864.0), &[reading(12, 4.0, 0.5)], Adjust::Saddle, Some(travel))
                .unwrap();
        assert!(s.travel_ended);
        assert!((as_mm(s.saddle.value) - 1.0).abs() < 1e-12);
        assert!((s.left_over[0].cents - (4.0 - 1731.234 / 864.0)).abs() < 1e-4);
    }

    #[test]
    fn bad_readings_are_refused_by_name() {
        let said = |r: IntonationReading| {
            solve_from_readings(mm(864.0), &[r], Adjust::Saddle, None).unwrap_err().to_string()
        };
        assert!(said(reading(0, 1.0, 0.1)).contains("no fret 0"));
        assert!(said(reading(12, 900.0, 0.1)).contains("-300 to 300 cents"));
        assert!(solve_from_readings(mm(864.0), &[], Adjust::Saddle, None).is_err());
        let mixed = [reading(12, 1.0, 0.5), reading(5, 1.0, 0.0)];
        assert!(solve_from_readings(mm(864.0), &mixed, Adjust::Saddle, None).is_err());
    }

    proptest! {
        #[test]
        fn moves_are_found_again(
            scale in 500.0..900.0f64, saddle in -4.0..4.0f64, nut in -1.0..1.0f64,
            frets in proptest::collection::btree_set(1u32..=24, 2..8),
        ) {
            // Readings made by the moves' opposite are healed by the moves.
            let readings: Vec<_> = frets
                .into_iter()
                .map(|n| {
                    let (s, u) = sensitivities(scale, n);
                    reading(n, -(s * saddle + u * nut), 0.5)
                })
                .collect();
            let found =
                solve_from_readings(mm(scale), &readings, Adjust::SaddleAndNut, None).unwrap();
            prop_assert!((as_mm(found.saddle.value) - saddle).abs() < 1e-6);
            prop_assert!((as_mm(found.nut.unwrap().value) - nut).abs() < 1e-6);
            prop_assert!(found.rms_cents < 1e-6);
        }

        #[test]
        fn the_fit_cannot_be_bettered_by_a_small_move(
            cents in proptest::collection::vec(-20.0..20.0f64, 3..10), d in -0.5..0.5f64,
        ) {
            let readings: Vec<_> =
                cents.iter().enumerate().map(|(i, &c)| reading(i as u32 * 2 + 1, c, 0.5)).collect();
            let s = solve_from_readings(mm(650.0), &readings, Adjust::Saddle, None).unwrap();
            let square = |extra: f64| -> f64 {
                readings
                    .iter()
                    .map(|r| (r.cents.value
                        + sensitivities(650.0, r.fret).0 * (as_mm(s.saddle.value) + extra)).powi(2))
                    .sum()
            };
            prop_assert!(square(0.0) <= square(d) + 1e-9);
        }

        #[test]
        fn better_readings_give_surer_moves(u in 0.01..5.0f64, n in 1usize..20) {
            let of = |u: f64, n: usize| {
                let all = vec![reading(12, 3.0, u); n];
                as_mm(solve_from_readings(mm(864.0), &all, Adjust::Saddle, None).unwrap().saddle.standard_uncertainty)
            };
            prop_assert!(of(u, n + 1) < of(u, n));
            prop_assert!((of(2.0 * u, n) / of(u, n) - 2.0).abs() < 1e-9);
        }
    }
}
