//! How an instrument's relief follows the moisture of its wood, its rod and its strings.
//!
//! `relief = a + b turns + c (M - M0) + d (T - T0) / 100 N`, M the equilibrium moisture content in
//! percent ([`crate::wood`]) of a climate in which the instrument has stood long enough, turns the sum
//! of all rod turns so far (clockwise positive, say), T the sum of string tensions. Necks differ in
//! size and sign of c, so its prior is zero-centred; so is that of b, because which way a rod acts
//! only the record may say.
//!
//! Priors (weak choices, no source): a 0.2 +- 0.5 mm, b 0 +- 1.5 mm per turn, c 0 +- 0.1 mm per
//! percentage point, d 0 +- 0.2 mm per 100 N.

use fallaway_measure::Limit;
use uom::si::f64::{Force, Length, Ratio};
use uom::si::force::newton;
use uom::si::ratio::percent;

use super::regression::{Coefficient, DataPoint, Regression, regress};
use crate::error::{Error, Result};
use crate::uncertain::Uncertain;
use crate::units::{as_mm, mm};

/// One visit of the record, as far as the season is concerned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReliefVisit {
    /// Relief as read, with its standard uncertainty (at least 0.001 mm is assumed).
    pub relief: Uncertain<Length>,
    /// Equilibrium moisture content of the climate it has stood in: [`Limit::Moisture`].
    pub moisture: Ratio,
    /// Sum of all rod turns up to this reading: [`Limit::Turn`].
    pub rod_turns: f64,
    /// Sum of the string tensions: [`Limit::TensionSum`].
    pub tension: Force,
}

/// Why a record teaches little about the season.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Thin {
    /// Fewer than six visits.
    FewVisits,
    /// The moisture contents of the record lie within less than two percentage points.
    OneSeason,
    /// The record does not tell the season term from chance: its 95 % interval holds zero.
    NotTold,
}

/// What was learned.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonModel {
    regression: Regression,
    reference: (f64, f64),
    thin: Option<Thin>,
}

const SEASON: usize = 2;
const PRIORS: [(f64, f64); 4] = [(0.2, 0.5), (0.0, 1.5), (0.0, 0.1), (0.0, 0.2)];

/// Learns from a record.
///
/// # Errors
///
/// [`Error::TooFew`] without visits; [`Error::Outside`] outside the limits in [`ReliefVisit`].
///
/// ```
/// use fallaway_mechanics::{Uncertain, learn::{ReliefVisit, learn_season}, units::{as_mm, mm}};
/// use uom::si::{f64::{Force, Ratio}, force::newton, ratio::percent};
/// // A neck that gains 0.05 mm of relief per percentage point, read by a feeler over two years.
/// let visits: Vec<_> = (0..8)
///     .map(|i| {
///         let moisture = 8.0 + 2.0 * f64::from(i % 3);
///         ReliefVisit {
///             relief: Uncertain::new(mm(0.2 + 0.05 * (moisture - 8.0)), mm(0.015)).unwrap(),
///             moisture: Ratio::new::<percent>(moisture),
///             rod_turns: 0.0,
///             tension: Force::new::<newton>(680.0),
///         }
///     })
///     .collect();
/// let learned = learn_season(&visits).unwrap();
/// assert!(learned.thin().is_none());
/// let damp = learned
///     .forecast(Ratio::new::<percent>(12.0), 0.0, Force::new::<newton>(680.0), 0.95)
///     .unwrap();
/// assert!((as_mm(damp.relief) - 0.4).abs() < 0.02);
/// assert!(damp.low < damp.relief && damp.relief < damp.high);
/// ```
pub fn learn_season(visits: &[ReliefVisit]) -> Result<SeasonModel> {
    if visits.is_empty() {
        return Err(Error::TooFew { quantity: "visits", given: 0, needed: 1 });
    }
    let rows = visits.iter().map(Row::new).collect::<Result<Vec<_>>>()?;
    let count = rows.len() as f64;
    let reference = (
        rows.iter().map(|r| r.moisture).sum::<f64>() / count,
        rows.iter().map(|r| r.tension).sum::<f64>() / count,
    );
    let observations: Vec<_> = rows
        .iter()
        .map(|r| DataPoint {
            x: columns(r.moisture, r.turns, r.tension, reference).to_vec(),
            y: r.relief,
            standard_uncertainty: r.u,
        })
        .collect();
    let prior = PRIORS.map(|(mean, standard_deviation)| Coefficient { mean, standard_deviation });
    let regression = regress(&prior, &observations)?;
    let least = rows.iter().map(|r| r.moisture).fold(f64::INFINITY, f64::min);
    let most = rows.iter().map(|r| r.moisture).fold(f64::NEG_INFINITY, f64::max);
    let slope = regression.predict(&unit(SEASON), 0.0, 0.95)?;
    let thin = if visits.len() < 6 {
        Some(Thin::FewVisits)
    } else if most - least < 2.0 {
        Some(Thin::OneSeason)
    } else if slope.low <= 0.0 && slope.high >= 0.0 {
        Some(Thin::NotTold)
    } else {
        None
    };
    Ok(SeasonModel { regression, reference, thin })
}

struct Row {
    relief: f64,
    u: f64,
    moisture: f64,
    turns: f64,
    tension: f64,
}

impl Row {
    fn new(visit: &ReliefVisit) -> Result<Self> {
        let u = as_mm(visit.relief.standard_uncertainty);
        Ok(Self {
            relief: Limit::Relief.check_mm(visit.relief.value)?,
            u: Limit::LengthUncertainty.check(u)?.max(1e-3),
            moisture: check_moisture(visit.moisture)?,
            turns: check_turns(visit.rod_turns)?,
            tension: check_tension(visit.tension)?,
        })
    }
}

fn check_moisture(m: Ratio) -> Result<f64> {
    Ok(Limit::Moisture.check(m.get::<percent>())?)
}

fn check_turns(turns: f64) -> Result<f64> {
    Ok(Limit::Turn.check(turns)?)
}

fn check_tension(t: Force) -> Result<f64> {
    Ok(Limit::TensionSum.check(t.get::<newton>())?)
}

fn columns(moisture: f64, turns: f64, tension: f64, reference: (f64, f64)) -> [f64; 4] {
    [1.0, turns, moisture - reference.0, (tension - reference.1) / 100.0]
}

fn unit(k: usize) -> [f64; 4] {
    let mut x = [0.0; 4];
    if let Some(one) = x.get_mut(k) {
        *one = 1.0;
    }
    x
}

/// A forecast relief.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReliefForecast {
    /// Middle of the interval.
    pub relief: Length,
    /// Lower end of the interval.
    pub low: Length,
    /// Upper end of the interval.
    pub high: Length,
}

impl SeasonModel {
    /// Relief gained per percentage point of moisture content, with its standard uncertainty.
    ///
    /// ```
    /// use fallaway_mechanics::{Uncertain, learn::{ReliefVisit, Thin, learn_season}, units::mm};
    /// use uom::si::{f64::{Force, Ratio}, force::newton, ratio::percent};
    /// let once = ReliefVisit {
    ///     relief: Uncertain::new(mm(0.25), mm(0.015)).unwrap(),
    ///     moisture: Ratio::new::<percent>(9.0),
    ///     rod_turns: 0.0,
    ///     tension: Force::new::<newton>(680.0),
    /// };
    /// let learned = learn_season(&[once]).unwrap();
    /// // One visit tells nothing of the season.
    /// assert_eq!(learned.thin(), Some(Thin::FewVisits));
    /// assert!(learned.per_percent().standard_uncertainty > mm(0.05));
    /// ```
    pub fn per_percent(&self) -> Uncertain<Length> {
        let value = self.regression.mean(SEASON).unwrap_or(0.0);
        let u = self.regression.standard_deviation(SEASON).unwrap_or(f64::MAX);
        Uncertain { value: mm(value), standard_uncertainty: mm(u) }
    }

    /// Why the record teaches little about the season, if so; see [`SeasonModel::per_percent`] for an
    /// example.
    pub fn thin(&self) -> Option<Thin> {
        self.thin
    }

    /// The regression behind it: coefficients constant, turns, moisture, tension; see [`learn_season`]
    /// for an example of learning it.
    pub fn regression(&self) -> &Regression {
        &self.regression
    }

    /// Relief to be expected in a climate, with rod and strings as stated, within an interval that
    /// holds a share `coverage` (Student-t; the true relief, not a further reading of it).
    ///
    /// # Errors
    ///
    /// [`Error::Outside`] outside the limits in [`ReliefVisit`].
    ///
    /// See [`learn_season`] for an example.
    pub fn forecast(
        &self,
        moisture: Ratio,
        rod_turns: f64,
        tension: Force,
        coverage: f64,
    ) -> Result<ReliefForecast> {
        let x = columns(
            check_moisture(moisture)?,
            check_turns(rod_turns)?,
            check_tension(tension)?,
            self.reference,
        );
        let p = self.regression.predict(&x, 0.0, coverage)?;
        Ok(ReliefForecast { relief: mm(p.value), low: mm(p.low), high: mm(p.high) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn visit(relief: f64, moisture: f64, turns: f64, tension: f64) -> ReliefVisit {
        ReliefVisit {
            relief: Uncertain::new(mm(relief), mm(0.015)).unwrap(),
            moisture: Ratio::new::<percent>(moisture),
            rod_turns: turns,
            tension: Force::new::<newton>(tension),
        }
    }

    #[test]
    fn a_steady_neck_in_a_changing_climate_has_no_season_to_tell() {
        let visits: Vec<_> =
            (0..10).map(|i| visit(0.2, 6.0 + f64::from(i % 4) * 2.0, 0.0, 680.0)).collect();
        assert_eq!(learn_season(&visits).unwrap().thin(), Some(Thin::NotTold));
        let indoors: Vec<_> =
            (0..10).map(|i| visit(0.2, 9.0 + f64::from(i % 2), 0.0, 680.0)).collect();
        assert_eq!(learn_season(&indoors).unwrap().thin(), Some(Thin::OneSeason));
    }

    #[test]
    fn what_cannot_be_is_refused() {
        assert!(matches!(learn_season(&[]), Err(Error::TooFew { .. })));
        assert!(learn_season(&[visit(11.0, 9.0, 0.0, 680.0)]).is_err());
        assert!(learn_season(&[visit(0.2, 60.0, 0.0, 680.0)]).is_err());
    }

    proptest! {
        #[test]
        fn season_rod_and_strings_are_told_apart(
            c in -0.08..0.08f64, b in -0.8..0.8f64, d in -0.1..0.1f64,
        ) {
            let visits: Vec<_> = (0..24)
                .map(|i| {
                    let moisture = 6.0 + f64::from(i % 5) * 2.0;
                    let turns = 0.25 * f64::from(i / 6);
                    let tension = if i % 7 < 3 { 640.0 } else { 740.0 };
                    let relief = 0.2 + c * (moisture - 10.0) + b * turns + d * (tension - 700.0) / 100.0;
                    visit(relief, moisture, turns, tension)
                })
                .collect();
            let learned = learn_season(&visits).unwrap();
            prop_assert!((as_mm(learned.per_percent().value) - c).abs() < 0.005);
            let there = Ratio::new::<percent>(14.0);
            let f = learned.forecast(there, 1.0, Force::new::<newton>(680.0), 0.95).unwrap();
            let truth = 0.2 + c * 4.0 + b - d * 0.2;
            prop_assert!((as_mm(f.relief) - truth).abs() < 0.05);
        }
    }
}
