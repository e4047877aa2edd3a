//! A bridge that floats: string tension on one side, springs on the other.
//!
//! # Model
//!
//! The bridge turns by a small angle about its pivot. String i pulls with tension `T_i` at the arm
//! `r_i` above the pivot and, when the bridge turns toward the nut by `phi`, becomes slacker by
//! `k_i r_i phi`, `k_i = EA/L` its own stiffness. Springs hold against it with the rotational
//! stiffness `K = sum k_s b_s^2`. Equal moments give, for tensions `delta_i` added at the pegs,
//!
//! `phi = sum r_i delta_i / (K + sum k_i r_i^2)`, `dT_i = delta_i - k_i r_i phi`,
//!
//! a small linear system. So any change of one string changes the pitch and height of all, and
//! tuning in turn converges slowly; how slowly is what [`Floating::rounds`] counts. Stiffnesses are
//! usually not known well: use this to see which way and how much roughly, then measure.
//!
//! The statics are elementary (equilibrium of moments on a lever); values are the user's.
//! Strings and springs store energy: eye protection, slow release.

use fallaway_measure::Limit;
use nalgebra::{DMatrix, DVector};
use uom::si::angle::radian;
use uom::si::f64::{Angle, Force, Length};
use uom::si::force::newton;
use uom::si::{ISQ, Quantity, SI};
use uom::typenum::{N2, P1, Z0};

use crate::error::{Error, Result};
use crate::units::mm;

/// Force for each unit of length: the stiffness of a spring or of a string along itself.
pub type Stiffness = Quantity<ISQ<Z0, P1, N2, Z0, Z0, Z0, Z0>, SI<f64>, f64>;

/// A stiffness in newtons for each millimetre.
///
/// ```
/// use fallaway_mechanics::floating::newtons_per_mm;
/// assert_eq!(newtons_per_mm(1.5).value, 1500.0);
/// ```
pub fn newtons_per_mm(value: f64) -> Stiffness {
    Force::new::<newton>(value) / mm(1.0)
}

/// One spring of a floating bridge, from claw to block.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spring {
    /// Its stiffness: [`Limit::SpringStiffness`].
    pub stiffness: Stiffness,
    /// Its distance from the pivot: [`Limit::PivotArm`].
    pub arm: Length,
}

/// One string on the floating bridge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FloatingString {
    /// Stiffness along itself, EA/L: [`Limit::StringStiffness`].
    pub stiffness: Stiffness,
    /// Height of the string over the pivot: [`Limit::PivotArm`].
    pub arm: Length,
    /// Distance of its witness point from the pivot along the string, toward the tail. It rises by this times the angle when the bridge turns toward the nut.
    pub reach: Length,
}

/// A floating bridge with its springs and strings.
#[derive(Debug, Clone, PartialEq)]
pub struct Floating {
    spring_rate: f64,
    spring_pull: f64,
    /// Stiffness N/mm, arm mm, reach mm of each string.
    strings: Vec<(f64, f64, f64)>,
}

/// Where the bridge settles after a change.
#[derive(Debug, Clone, PartialEq)]
pub struct Settled {
    /// Turned by this; positive: toward the nut.
    pub angle: Angle,
    /// Change of each string's tension.
    pub tensions: Vec<Force>,
    /// Change of height of each string's witness point.
    pub heights: Vec<Length>,
}

impl Floating {
    /// A floating bridge.
    ///
    /// # Errors
    ///
    /// [`Error::TooFew`] without springs or strings; [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::floating::{newtons_per_mm, Floating, FloatingString, Spring};
    /// use fallaway_mechanics::units::mm;
    /// let spring = Spring { stiffness: newtons_per_mm(1.0), arm: mm(25.0) };
    /// let string = FloatingString { stiffness: newtons_per_mm(12.0), arm: mm(12.0), reach: mm(12.0) };
    /// assert!(Floating::new(&[spring; 3], &[string; 6]).is_ok());
    /// assert!(Floating::new(&[], &[string]).is_err());
    /// ```
    pub fn new(springs: &[Spring], strings: &[FloatingString]) -> Result<Self> {
        for (quantity, given) in [("springs", springs.len()), ("strings", strings.len())] {
            if given == 0 {
                return Err(Error::TooFew { quantity, given, needed: 1 });
            }
            Limit::Strings.check_count(given)?;
        }
        let (mut spring_rate, mut spring_pull) = (0.0, 0.0);
        for spring in springs {
            let k = Limit::SpringStiffness.check(spring.stiffness.value / 1000.0)?;
            let arm = Limit::PivotArm.check_mm(spring.arm)?;
            spring_rate += k * arm * arm;
            spring_pull += k * arm;
        }
        let strings = strings
            .iter()
            .map(|s| {
                Ok((
                    Limit::StringStiffness.check(s.stiffness.value / 1000.0)?,
                    Limit::PivotArm.check_mm(s.arm)?,
                    Limit::PivotReach.check_mm(s.reach)?,
                ))
            })
            .collect::<Result<Vec<_>>>()?;
        Ok(Self { spring_rate, spring_pull, strings })
    }

    /// What happens when each string is pulled up by `added` at the peg, one per string (-500 to
    /// 500 N; what it would be on a fixed bridge).
    ///
    /// # Errors
    ///
    /// [`Error::CountMismatch`], [`Error::Outside`].
    ///
    /// ```
    /// # use fallaway_mechanics::floating::*;
    /// # use fallaway_mechanics::units::mm;
    /// use uom::si::{f64::Force, force::newton};
    /// # let spring = Spring { stiffness: newtons_per_mm(1.0), arm: mm(25.0) };
    /// # let string = FloatingString { stiffness: newtons_per_mm(12.0), arm: mm(12.0), reach: mm(12.0) };
    /// let bridge = Floating::new(&[spring; 3], &[string; 6]).unwrap();
    /// let n = |v| Force::new::<newton>(v);
    /// let settled = bridge.pull(&[n(5.0), n(0.0), n(0.0), n(0.0), n(0.0), n(0.0)]).unwrap();
    /// // One string up: all others go flat, all heights rise.
    /// assert!(settled.tensions[0] > n(0.0) && settled.tensions[1] < n(0.0));
    /// assert!(settled.heights.iter().all(|h| *h > mm(0.0)));
    /// ```
    pub fn pull(&self, added: &[Force]) -> Result<Settled> {
        let added = self.forces("tension added", added)?;
        let moment: f64 = self.strings.iter().zip(&added).map(|(s, d)| s.1 * d).sum();
        let stringy: f64 = self.strings.iter().map(|s| s.0 * s.1 * s.1).sum();
        let angle = moment / (self.spring_rate + stringy);
        Ok(self.settled(angle, |string, added| added - string.0 * string.1 * angle, &added))
    }

    /// What must be added at each peg, all together, so that the tensions change by `wanted` once
    /// everything has settled, and where the bridge then stands.
    ///
    /// # Errors
    ///
    /// As [`Floating::pull`].
    ///
    /// ```
    /// # use fallaway_mechanics::floating::*;
    /// # use fallaway_mechanics::units::mm;
    /// # use uom::si::{f64::Force, force::newton};
    /// # let spring = Spring { stiffness: newtons_per_mm(1.0), arm: mm(25.0) };
    /// # let string = FloatingString { stiffness: newtons_per_mm(12.0), arm: mm(12.0), reach: mm(12.0) };
    /// # let bridge = Floating::new(&[spring; 3], &[string; 6]).unwrap();
    /// let wanted = [Force::new::<newton>(3.0); 6];
    /// let (added, settled) = bridge.added_for(&wanted).unwrap();
    /// let again = bridge.pull(&added).unwrap();
    /// assert!((again.tensions[2] - wanted[2]).abs() < Force::new::<newton>(1e-9));
    /// assert!((again.angle - settled.angle).value.abs() < 1e-12);
    /// ```
    pub fn added_for(&self, wanted: &[Force]) -> Result<(Vec<Force>, Settled)> {
        let wanted = self.forces("wanted change of tension", wanted)?;
        let moment: f64 = self.strings.iter().zip(&wanted).map(|(s, d)| s.1 * d).sum();
        let angle = moment / self.spring_rate;
        let added = self
            .strings
            .iter()
            .zip(&wanted)
            .map(|(s, d)| Force::new::<newton>(d + s.0 * s.1 * angle))
            .collect();
        Ok((added, self.settled(angle, |_, wanted| wanted, &wanted)))
    }

    /// How far the springs' anchor must be screwed in so that the bridge stands as before although
    /// the tensions change by `wanted`. All springs on one anchor; negative: let out.
    ///
    /// # Errors
    ///
    /// As [`Floating::pull`].
    ///
    /// ```
    /// # use fallaway_mechanics::floating::*;
    /// # use fallaway_mechanics::units::{as_mm, mm};
    /// # use uom::si::{f64::Force, force::newton};
    /// # let spring = Spring { stiffness: newtons_per_mm(1.0), arm: mm(25.0) };
    /// # let string = FloatingString { stiffness: newtons_per_mm(12.0), arm: mm(12.0), reach: mm(12.0) };
    /// # let bridge = Floating::new(&[spring; 3], &[string; 6]).unwrap();
    /// let anchor = bridge.anchor_for(&[Force::new::<newton>(3.0); 6]).unwrap();
    /// assert!((as_mm(anchor) - 6.0 * 3.0 * 12.0 / (3.0 * 25.0)).abs() < 1e-9);
    /// ```
    pub fn anchor_for(&self, wanted: &[Force]) -> Result<Length> {
        let wanted = self.forces("wanted change of tension", wanted)?;
        let moment: f64 = self.strings.iter().zip(&wanted).map(|(s, d)| s.1 * d).sum();
        Ok(mm(moment / self.spring_pull))
    }

    /// How many rounds of tuning every string once, in order, until each stands within `within`
    /// (at least 0.001 N) of its `wanted` change; at most 100 are tried.
    ///
    /// # Errors
    ///
    /// As [`Floating::pull`]; [`Error::Undetermined`] after 100 rounds.
    ///
    /// ```
    /// # use fallaway_mechanics::floating::*;
    /// # use fallaway_mechanics::units::mm;
    /// # use uom::si::{f64::Force, force::newton};
    /// # let spring = Spring { stiffness: newtons_per_mm(1.0), arm: mm(25.0) };
    /// # let string = FloatingString { stiffness: newtons_per_mm(12.0), arm: mm(12.0), reach: mm(12.0) };
    /// # let bridge = Floating::new(&[spring; 3], &[string; 6]).unwrap();
    /// let n = |v| Force::new::<newton>(v);
    /// assert!(bridge.rounds(&[n(3.0); 6], n(0.05)).unwrap() > 1);
    /// ```
    pub fn rounds(&self, wanted: &[Force], within: Force) -> Result<usize> {
        let wanted = self.forces("wanted change of tension", wanted)?;
        let within = Limit::TuningAccuracy.check(within.get::<newton>())?;
        let stringy: f64 = self.strings.iter().map(|s| s.0 * s.1 * s.1).sum();
        let stiffness = self.spring_rate + stringy;
        let count = self.strings.len();
        // dT = M delta: what each peg does to each string.
        let matrix = DMatrix::from_fn(count, count, |i, j| {
            let (Some(a), Some(b)) = (self.strings.get(i), self.strings.get(j)) else {
                return 0.0;
            };
            f64::from(u8::from(i == j)) - a.0 * a.1 * b.1 / stiffness
        });
        let wanted = DVector::from_vec(wanted);
        let mut tension = DVector::zeros(count);
        for round in 0..=100 {
            if (&wanted - &tension).amax() <= within {
                return Ok(round);
            }
            for (string, column) in matrix.column_iter().enumerate() {
                let (Some(now), Some(goal), Some(own)) =
                    (tension.get(string), wanted.get(string), column.get(string))
                else {
                    continue;
                };
                let turn = (goal - now) / own;
                tension += column * turn;
            }
        }
        Err(Error::Undetermined {
            what: "rounds of tuning",
            reason: "not settled after 100 rounds; block the bridge while tuning, or use stiffer springs",
        })
    }

    fn forces(&self, quantity: &'static str, forces: &[Force]) -> Result<Vec<f64>> {
        if forces.len() != self.strings.len() {
            return Err(Error::CountMismatch {
                quantity,
                given: forces.len(),
                expected: self.strings.len(),
            });
        }
        forces.iter().map(|f| Ok(Limit::TensionChange.check(f.get::<newton>())?)).collect()
    }

    fn settled(
        &self,
        angle: f64,
        tension: impl Fn(&(f64, f64, f64), f64) -> f64,
        per_string: &[f64],
    ) -> Settled {
        Settled {
            angle: Angle::new::<radian>(angle),
            tensions: self
                .strings
                .iter()
                .zip(per_string)
                .map(|(s, d)| Force::new::<newton>(tension(s, *d)))
                .collect(),
            heights: self.strings.iter().map(|s| mm(s.2 * angle)).collect(),
        }
    }
}

/// The change of the gap at a place when the witness point rises by `height`: for use with
/// [`Settled::heights`] and the factor of [`crate::string_line::saddle_factor`].
///
/// # Errors
///
/// [`Error::Outside`].
///
/// ```
/// use fallaway_mechanics::{floating::gap_change, units::{as_mm, mm}};
/// assert_eq!(as_mm(gap_change(mm(0.4), 2.0).unwrap()), as_mm(mm(0.2)));
/// ```
pub fn gap_change(height: Length, saddle_factor: f64) -> Result<Length> {
    let height = Limit::HeightChange.check_mm(height)?;
    let factor = Limit::SaddleFactor.check(saddle_factor)?;
    Ok(mm(height / factor))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::as_mm;
    use proptest::prelude::*;

    fn n(v: f64) -> Force {
        Force::new::<newton>(v)
    }

    fn bridge(rate: f64) -> Floating {
        let spring = Spring { stiffness: newtons_per_mm(rate), arm: mm(25.0) };
        let string =
            |k| FloatingString { stiffness: newtons_per_mm(k), arm: mm(12.0), reach: mm(12.0) };
        Floating::new(&[spring; 3], &[8.0, 12.0, 18.0, 14.0, 20.0, 30.0].map(string)).unwrap()
    }

    #[test]
    fn moments_balance() {
        let b = bridge(1.0);
        let settled = b.pull(&[n(4.0), n(-1.0), n(0.0), n(2.0), n(0.0), n(1.0)]).unwrap();
        let strings: f64 = settled.tensions.iter().map(|t| 12.0 * t.get::<newton>()).sum();
        let springs = 3.0 * 25.0 * 25.0 * settled.angle.get::<radian>();
        assert!((strings - springs).abs() < 1e-9);
    }

    #[test]
    fn very_stiff_springs_are_a_fixed_bridge() {
        let b = bridge(100.0);
        let settled = b.pull(&[n(5.0), n(0.0), n(0.0), n(0.0), n(0.0), n(0.0)]).unwrap();
        assert!((settled.tensions[0] - n(5.0)).abs() < n(0.05));
        assert!(b.rounds(&[n(5.0); 6], n(0.5)).unwrap() <= 2);
    }

    proptest! {
        #[test]
        fn softer_springs_need_more_rounds(soft in 0.2..1.0f64, times in 2.0..5.0f64) {
            let wanted = [n(5.0); 6];
            let (a, b) = (bridge(soft).rounds(&wanted, n(0.05)), bridge(soft * times).rounds(&wanted, n(0.05)));
            if let (Ok(a), Ok(b)) = (a, b) {
                prop_assert!(a >= b);
            }
        }

        #[test]
        fn added_and_settled_are_inverse(w in proptest::collection::vec(-20.0..20.0f64, 6)) {
            let wanted: Vec<_> = w.iter().map(|v| n(*v)).collect();
            let (added, settled) = bridge(1.0).added_for(&wanted).unwrap();
            prop_assume!(added.iter().all(|a| a.abs() < n(500.0)));
            let again = bridge(1.0).pull(&added).unwrap();
            for (a, b) in again.tensions.iter().zip(&wanted) {
                prop_assert!((*a - *b).abs() < n(1e-8));
            }
            for (a, b) in again.heights.iter().zip(&settled.heights) {
                prop_assert!((as_mm(*a) - as_mm(*b)).abs() < 1e-9);
            }
        }
    }
}
