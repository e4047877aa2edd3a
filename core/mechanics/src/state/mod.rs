//! The state of an instrument behind its readings, and what changed between two of them.
//!
//! # Model
//!
//! State: curvature of the neck under the outermost string of the treble and of the bass side, tilt
//! at the joint, height of each saddle, height of each nut slot. Every reading (relief, gap) is
//! linear in it ([`crate::neck`], [`crate::string_line`]). Readings are weighted by their standard
//! uncertainty and solved by least squares; the uncertain place of the joint and offsets that
//! several readings share (one reader, one tool) are unknowns of the same system, so that their
//! effect is in the covariance and, where both visits share them, cancels.
//!
//! Weak priors, centred on a straight neck, keep the system solvable where readings are missing:
//! one standard deviation is some 1.3 mm of relief, 3 mrad of tilt, 20 mm of saddle height, 1 mm of
//! nut height; the tilt changes by some 1 mrad between two visits; the two sides differ by some
//! 0.4 mm of relief, and that by some 0.2 mm between two visits (choices of this library, wider
//! than instruments show; common practice, no source).
//! Simulated comparisons (this module's tests: bass, guitar and fanned bass, joint anywhere within
//! two frets, rules and feelers with rounding) stay below 5 % wrongly sure for changes of tilt up to
//! 1.5 mrad. What only the prior holds is reported as undetermined, never as a finding.
//!
//! Tilt at the joint and the height of all saddles together do nearly the same to the gaps; only
//! frets beyond the joint tell them apart. [`StatePart::StringHeight`] is the combination that can be
//! read anyway: the saddle's height over the neck's own line. All of them moved alike: joint, bridge
//! or posts. One moved: its saddle.

mod compare;
mod doubt;
mod solve;

pub use compare::{
    BetweenVisits, Comparison, FurtherReading, PartVerdict, StatePartChange, compare,
    compare_parts, compare_parts_knowing, usual_candidates,
};
pub use doubt::{Account, Hypothesis, QUIET_TILT_MRAD, doubts};
pub use solve::{Contradiction, StateEstimate, estimate};

use fallaway_measure::Limit;
use uom::si::f64::Length;

use crate::conversions::StringGeometry;
use crate::error::{Error, Result};
use crate::neck::ReliefWay;
use crate::string_line::GapPlace;
use crate::uncertain::Uncertain;
use crate::units::{as_mm, mm};

/// One string of a [`Model`].
#[derive(Debug, Clone, PartialEq)]
pub struct StateString {
    /// Scale, frets, joint, compensation, crowns. The joint's uncertainty is common to all strings.
    pub geometry: StringGeometry,
    /// Place across the strings: 0 on the treble side, 1 on the bass side.
    pub across: f64,
}

/// The fixed geometry of all strings.
#[derive(Debug, Clone, PartialEq)]
pub struct Model {
    strings: Vec<StateString>,
    /// How many of them, from the first, lie on a saddle.
    saddles: usize,
    /// For each height screw: the strings that it lifts, and how much of its way.
    screws: Vec<Vec<(usize, f64)>>,
}

impl Model {
    /// A model of strings, in the order by which readings and parts name them (0 = first).
    ///
    /// # Errors
    ///
    /// [`Error::TooFew`], [`Error::Outside`], or what the geometry of a string is refused for.
    ///
    /// ```
    /// use fallaway_mechanics::conversions::StringGeometry;
    /// use fallaway_mechanics::neck::Joint;
    /// use fallaway_mechanics::state::{Model, StateString};
    /// use fallaway_mechanics::units::mm;
    /// let joint = Joint::first_over_body(18).unwrap();
    /// let string = |across| StateString {
    ///     geometry: StringGeometry::level(mm(863.6), 24, joint),
    ///     across,
    /// };
    /// let model = Model::new((0..4).map(|i| string(f64::from(i) / 3.0)).collect()).unwrap();
    /// assert_eq!(model.strings(), 4);
    /// ```
    pub fn new(strings: Vec<StateString>) -> Result<Self> {
        if strings.is_empty() {
            return Err(Error::TooFew { quantity: "strings", given: 0, needed: 1 });
        }
        Limit::Strings.check_count(strings.len())?;
        for string in &strings {
            Limit::ShareAcross.check(string.across)?;
            Limit::JointUncertainty.check(string.geometry.joint.standard_uncertainty)?;
            let neck = string.geometry.neck()?;
            crate::string_line::saddle_x_mm(&neck, string.geometry.compensation)?;
        }
        let saddles = strings.len();
        Ok(Self { strings, saddles, screws: own_screws(saddles) })
    }

    /// The same where only the first `saddles` strings lie on a saddle; the others are lines over the board,
    /// of which only relief is read. [`StatePart::Heights`] is the mean of those on saddles.
    ///
    /// # Errors
    ///
    /// [`Error::TooFew`] for none.
    ///
    /// ```
    /// use fallaway_mechanics::{conversions::StringGeometry, neck::Joint, state::*, units::mm};
    /// let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
    /// let model = Model::new(vec![StateString { geometry, across: 0.0 }; 5]).unwrap();
    /// assert!(model.clone().with_saddles(4).is_ok() && model.with_saddles(0).is_err());
    /// ```
    pub fn with_saddles(self, saddles: usize) -> Result<Self> {
        if saddles == 0 {
            return Err(Error::TooFew { quantity: "saddles", given: 0, needed: 1 });
        }
        let saddles = saddles.min(self.strings.len());
        Ok(Self { saddles, screws: own_screws(saddles), ..self })
    }

    /// The same on a bridge whose height screws lift several strings: for each screw the strings, and how much
    /// of its way each goes. Without it each string on a saddle has a screw of its own.
    ///
    /// # Errors
    ///
    /// [`Error::NoSuchPlace`] for a string that lies on no saddle; [`Error::NotFinite`].
    ///
    /// ```
    /// use fallaway_mechanics::{conversions::StringGeometry, neck::Joint, state::*, units::mm};
    /// let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
    /// let model = Model::new(vec![StateString { geometry, across: 0.0 }; 2]).unwrap();
    /// assert!(model.clone().with_screws(vec![vec![(0, 1.0), (1, 1.0)]]).is_ok());
    /// assert!(model.with_screws(vec![vec![(2, 1.0)]]).is_err());
    /// ```
    pub fn with_screws(self, screws: Vec<Vec<(usize, f64)>>) -> Result<Self> {
        for (string, share) in screws.iter().flatten() {
            if !share.is_finite() {
                return Err(Error::NotFinite { quantity: "state of the instrument" });
            }
            if *string >= self.saddles {
                self.string(usize::MAX)?;
            }
        }
        Ok(Self { screws, ..self })
    }

    /// Whether a string has no screw of its own.
    pub(crate) fn shares_screws(&self, string: usize) -> bool {
        let lifts = |screw: &&Vec<(usize, f64)>| screw.iter().any(|(s, _)| *s == string);
        let mut screws = self.screws.iter().filter(lifts).peekable();
        screws.peek().is_some() && screws.all(|screw| screw.len() > 1)
    }

    /// Number of strings.
    ///
    /// ```
    /// use fallaway_mechanics::{conversions::StringGeometry, neck::Joint, state::*, units::mm};
    /// let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
    /// let model = Model::new(vec![StateString { geometry, across: 0.0 }; 5]).unwrap();
    /// assert_eq!(model.strings(), 5);
    /// ```
    pub fn strings(&self) -> usize {
        self.strings.len()
    }

    pub(crate) fn string(&self, string: usize) -> Result<&StateString> {
        self.strings.get(string).ok_or(Error::NoSuchPlace {
            what: "string",
            number: string,
            first: 0,
            last: self.strings.len().saturating_sub(1),
        })
    }

    /// Every part of the state, in a fixed order.
    ///
    /// ```
    /// # use fallaway_mechanics::{conversions::StringGeometry, neck::Joint, state::*, units::mm};
    /// # let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
    /// let model = Model::new(vec![StateString { geometry, across: 0.0 }]).unwrap();
    /// assert_eq!(model.parts().len(), 6);
    /// ```
    pub fn parts(&self) -> Vec<StatePart> {
        let mut parts = vec![StatePart::CurvatureTreble, StatePart::CurvatureBass, StatePart::Tilt];
        for string in 0..self.strings.len() {
            parts.extend([
                StatePart::Saddle(string),
                StatePart::Nut(string),
                StatePart::StringHeight(string),
            ]);
        }
        parts
    }
}

/// A screw for each string.
fn own_screws(strings: usize) -> Vec<Vec<(usize, f64)>> {
    (0..strings).map(|string| vec![(string, 1.0)]).collect()
}

/// A part of an instrument's state. Strings count from 0 in the model's order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum StatePart {
    /// Curvature of the neck under the outermost treble string.
    CurvatureTreble,
    /// Curvature of the neck under the outermost bass string.
    CurvatureBass,
    /// Curvature of the neck in the middle of the board: the mean of both sides. Not among
    /// [`Model::parts`], since it follows from both sides.
    Neck,
    /// Curvature on the bass side less that on the treble side. Not among [`Model::parts`], since it
    /// follows from both sides.
    Twist,
    /// Tilt of the neck at the joint.
    Tilt,
    /// Height of a string's saddle over the body.
    Saddle(usize),
    /// Height of a string's nut slot above the crowns.
    Nut(usize),
    /// Height of a string's saddle over the line of the neck extended from the joint: saddle and
    /// tilt together. Told by fewer readings than either.
    StringHeight(usize),
    /// The mean of all of these, of strings on saddles: what joint, bridge or posts move alike. Not among [`Model::parts`],
    /// since it follows from them.
    Heights,
}

/// What was read under or over a string.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum What {
    /// Relief. Without a named fret it is taken at the crown where curvature makes the largest gap.
    Relief(ReliefWay),
    /// A gap `g(m, j)`.
    Gap(GapPlace),
    /// The gap over `over` with the string held down at `held`, on the nut's side.
    GapHeld {
        /// Held down at this fret.
        held: usize,
        /// Read over this fret.
        over: usize,
    },
}

/// The value of a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Value {
    /// A value with its standard uncertainty (taken as at least 1 micrometre).
    Read(Uncertain<Length>),
    /// Somewhere between two values: a feeler that goes and one that does not.
    Between(Length, Length),
    /// At most this much, as of a string that touches: taken as equally likely down to 0.5 mm less
    /// (common practice, no source).
    AtMost(Length),
    /// At least this much: the thickest feeler still goes. Equally likely up to 0.5 mm more
    /// (common practice, no source).
    AtLeast(Length),
}

impl Value {
    fn estimate(self) -> Result<(f64, f64)> {
        let beyond = mm(0.5);
        let (estimate, read) = match self {
            Self::Read(estimate) => (estimate, estimate.value),
            Self::Between(low, high) => (Uncertain::between(low, high)?, low),
            Self::AtMost(most) => (Uncertain::between(most - beyond, most)?, most),
            Self::AtLeast(least) => (Uncertain::between(least, least + beyond)?, least),
        };
        Limit::Gap.check_mm(read)?;
        let value = as_mm(estimate.value);
        let u = Limit::LengthUncertainty.check_mm(estimate.standard_uncertainty)?;
        Ok((value, u.max(1e-3)))
    }
}

/// An unknown offset that all readings with the same `id` share: one reader with one rule, say. In
/// a comparison the same id in both visits is the same offset.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SharedOffset {
    /// Which offset: readings with the same number share it.
    pub id: u32,
    /// How large it may be, one standard deviation.
    pub standard_uncertainty: Length,
}

/// What is known from elsewhere of how far two offsets lie apart: one reader and another read the
/// same things, say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OffsetsApart {
    /// The number of one offset.
    pub a: u32,
    /// The number of the other.
    pub b: u32,
    /// Offset b less offset a.
    pub difference: Uncertain<Length>,
}

/// One reading that bears on the state of the instrument.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StateReading {
    /// What was read.
    pub what: What,
    /// Under or over which string, 0 = first of the model.
    pub string: usize,
    /// What was read, in mm.
    pub value: Value,
    /// An offset shared with other readings, if any.
    pub shared: Option<SharedOffset>,
}

impl StateReading {
    /// A reading without a shared offset.
    ///
    /// ```
    /// use fallaway_mechanics::state::{StateReading, Value, What};
    /// use fallaway_mechanics::{string_line::GapPlace, units::mm, Uncertain};
    /// let value = Value::Read(Uncertain::new(mm(1.8), mm(0.1)).unwrap());
    /// assert_eq!(StateReading::new(What::Gap(GapPlace::OPEN_OVER_12), 0, value).shared, None);
    /// ```
    pub fn new(what: What, string: usize, value: Value) -> Self {
        Self { what, string, value, shared: None }
    }
}

#[cfg(test)]
mod tests;
