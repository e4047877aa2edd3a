//! How much a reading can tell.
//!
//! A reading is known to the step of its tool: the true value lies anywhere within half a step on
//! either side, which gives a standard uncertainty of (half step)/sqrt(3) (JCGM 100:2008, "Guide to
//! the expression of uncertainty in measurement", 4.3.7: rectangular distribution). Reading the same
//! thing again scatters by more than that: the repeatability, in quadrature (5.1.2). Until the
//! history of an instrument says better, the repeatability is a default that has no source but
//! common practice.
//!
//! An interval (one leaf goes, the next does not) is a rectangle of its own: half its width takes the
//! place of half a step.
//!
//! The rounding of one rule does not average away: reading it twice does not make it finer.

use uom::si::f64::Length;
use uom::si::length::meter;

use crate::{Amount, Dimension, Reading, Tool, ToolKind};

/// Coverage factor for differences: 2, which is close to 95 % for two readings (JCGM 100:2008, 6.3.3
/// and G.6.6).
///
/// With it two readings off a 1/64 in rule must differ by two marks (0.35 mm; marks are 0.40 mm apart, and
/// neighbouring ones are one rounding apart) before the difference means
/// anything: `u = sqrt((0.396875/2/sqrt(3))^2 + 0.05^2) = 0.1250 mm`, `2 * sqrt(2) * u = 0.3536 mm`.
pub const COVERAGE_FACTOR: f64 = 2.0;

/// Repeatability by kind of tool, in millimetres (in cents for a tuner): common practice, no source.
fn default_repeatability(kind: ToolKind) -> f64 {
    match kind {
        ToolKind::Feeler => 0.015,
        ToolKind::DialGauge => 0.02,
        ToolKind::Tuner => 0.5,
        ToolKind::SteelRule | ToolKind::Caliper | ToolKind::Other(_) => 0.05,
    }
}

/// An amount in the unit in which uncertainties are computed: millimetres or cents.
fn magnitude(amount: Amount) -> Option<f64> {
    match amount.dimension() {
        // From the exact ratio (ten-thousandths of a millimetre), rounded once.
        Dimension::Length => {
            let (top, bottom) = amount.ratio();
            // Nearly all fit into a word, which is the quicker to turn into a float.
            let float = |whole: i128| i64::try_from(whole).map_or(whole as f64, |word| word as f64);
            Some(float(top) / (float(bottom) * 10_000.0))
        }
        Dimension::Interval => Some(amount.number()),
        _ => None,
    }
}

fn millimetres(length: Length) -> f64 {
    length.get::<meter>() * 1_000.0
}

fn length(millimetres: f64) -> Length {
    Length::new::<meter>(millimetres / 1_000.0)
}

fn standard(half_width: f64, repeatability: f64) -> f64 {
    (half_width / 3.0_f64.sqrt()).hypot(repeatability)
}

/// The coarsest step with which strings are read, in mm: that of a rule in half millimetres (common practice, no
/// source). Who writes "3 mm" and names no tool had one in hand, and wrote down no decimal.
const COARSEST_MM: f64 = 0.5;

/// The step to which a number was written: one division, or one of its last place, but no coarser than a
/// rule is.
fn written_step(amount: Amount) -> Option<f64> {
    let step = match amount {
        Amount::Decimal { value, unit } => Amount::decimal(1, value.places(), unit),
        Amount::Fraction(fraction) => Amount::fraction(1, fraction.denominator()),
    };
    let step = step.ok().and_then(magnitude)?;
    let length = amount.dimension() == Dimension::Length;
    Some(if length { step.min(COARSEST_MM) } else { step })
}

/// Whether a rule's division was read to its half: `2.5/32`.
fn is_split(amount: Amount) -> bool {
    match amount {
        Amount::Fraction(fraction) => fraction.numerator().places() > 0,
        Amount::Decimal { .. } => false,
    }
}

/// A reading with what is known about how it was taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Taken<'a> {
    /// What was seen.
    pub reading: &'a Reading,
    /// With what; without it the notation tells the step, and the repeatability is that of a rule.
    pub tool: Option<&'a Tool>,
    /// The repeatability that the instrument's own history shows, as a standard uncertainty; only
    /// for lengths. Common practice without it.
    pub repeatability: Option<Length>,
}

impl<'a> Taken<'a> {
    /// A reading with its tool, and the usual repeatability of that tool.
    pub const fn new(reading: &'a Reading, tool: Option<&'a Tool>) -> Self {
        Self { reading, tool, repeatability: None }
    }

    fn repeatability(&self, dimension: Dimension) -> f64 {
        match (self.repeatability, self.tool) {
            (Some(own), _) if dimension == Dimension::Length => millimetres(own).abs(),
            (_, Some(tool)) if tool.graduation().dimension() == dimension => {
                default_repeatability(tool.kind())
            }
            _ if dimension == Dimension::Interval => default_repeatability(ToolKind::Tuner),
            _ => default_repeatability(ToolKind::SteelRule),
        }
    }

    /// Lower end, upper end, standard uncertainty of each; in millimetres or cents.
    fn span(&self, dimension: Dimension) -> Option<Span> {
        if self.reading.dimension() != dimension {
            return None;
        }
        let repeatability = self.repeatability(dimension);
        Some(match *self.reading {
            Reading::Value(amount) => {
                let value = magnitude(amount)?;
                let step = match self.tool {
                    Some(tool) if tool.graduation().dimension() == dimension => {
                        let step = magnitude(tool.graduation())?;
                        // A good eye splits a division in half, and says so by writing the half.
                        if is_split(amount) { step / 2.0 } else { step }
                    }
                    _ if is_split(amount) => written_step(amount)? / 2.0,
                    _ => written_step(amount)?,
                };
                Span { low: value, high: value, u: standard(step / 2.0, repeatability) }
            }
            Reading::Between { low, high } => {
                let (low, high) = (magnitude(low)?, magnitude(high)?);
                let middle = f64::midpoint(low, high);
                let u = standard((high - low) / 2.0, repeatability);
                Span { low: middle, high: middle, u }
            }
            Reading::AtMost(bound) => {
                Span { low: f64::NEG_INFINITY, high: magnitude(bound)?, u: repeatability }
            }
            Reading::AtLeast(bound) => {
                Span { low: magnitude(bound)?, high: f64::INFINITY, u: repeatability }
            }
        })
    }

    /// The best estimate of a length and its standard uncertainty (68 %); `None` for a bound, which
    /// has no estimate, and for what is not a length.
    ///
    /// ```
    /// use fallaway_measure::{Amount, Reading, Taken, Tool};
    /// use uom::si::length::millimeter;
    /// let read = Reading::Value(Amount::fraction(5, 64)?);
    /// let (value, u) = Taken::new(&read, Some(&Tool::RULE_64)).length().unwrap();
    /// assert!((value.get::<millimeter>() - 1.984375).abs() < 1e-9);
    /// assert!((u.get::<millimeter>() - 0.125).abs() < 1e-3);
    /// # Ok::<(), fallaway_measure::ValueError>(())
    /// ```
    pub fn length(&self) -> Option<(Length, Length)> {
        let span = self.span(Dimension::Length)?;
        span.is_estimate().then(|| (length(span.low), length(span.u)))
    }

    /// The best estimate in cents and its standard uncertainty in cents; `None` for a bound, and for
    /// what is not an interval.
    pub fn cents(&self) -> Option<(f64, f64)> {
        let span = self.span(Dimension::Interval)?;
        span.is_estimate().then_some((span.low, span.u))
    }
}

#[derive(Clone, Copy)]
struct Span {
    low: f64,
    high: f64,
    u: f64,
}

impl Span {
    fn is_estimate(self) -> bool {
        self.low == self.high
    }
}

/// Whether two readings of one thing tell two values apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadingDifference {
    /// The first is the smaller one, by more than both readings leave open.
    Less,
    /// The first is the larger one, by more than both readings leave open.
    Greater,
    /// The same, as far as the tools can tell.
    Same,
    /// Bounds that overlap, or readings of different kinds of things: nothing follows.
    CannotTell,
}

/// Compares two readings of one thing: they differ if the difference is above
/// [`COVERAGE_FACTOR`] times its standard uncertainty, the two uncertainties in quadrature.
///
/// A bound differs from a reading only if everything that it allows does.
///
/// ```
/// use fallaway_measure::{Amount, ReadingDifference, Reading, Taken, Tool, distinguishable};
/// let off_rule = |n| Ok::<_, fallaway_measure::ValueError>(
///     Reading::Value(Amount::fraction(n, 64)?),
/// );
/// let (five, six, three) = (off_rule(5)?, off_rule(6)?, off_rule(3)?);
/// let taken = |reading| Taken::new(reading, Some(&Tool::RULE_64));
/// // One division is 0.397 mm, more than the 0.354 mm that must lie between.
/// assert_eq!(distinguishable(taken(&five), taken(&five)), ReadingDifference::Same);
/// assert_eq!(distinguishable(taken(&five), taken(&six)), ReadingDifference::Less);
/// assert_eq!(distinguishable(taken(&five), taken(&three)), ReadingDifference::Greater);
/// # Ok::<(), fallaway_measure::ValueError>(())
/// ```
pub fn distinguishable(first: Taken<'_>, second: Taken<'_>) -> ReadingDifference {
    let dimension = first.reading.dimension();
    let (Some(a), Some(b)) = (first.span(dimension), second.span(dimension)) else {
        return ReadingDifference::CannotTell;
    };
    let needed = COVERAGE_FACTOR * a.u.hypot(b.u);
    if b.low - a.high > needed {
        ReadingDifference::Less
    } else if a.low - b.high > needed {
        ReadingDifference::Greater
    } else if a.is_estimate() && b.is_estimate() {
        ReadingDifference::Same
    } else {
        ReadingDifference::CannotTell
    }
}

impl Tool {
    /// Standard uncertainty of one length read with this tool; the repeatability by default that of
    /// its kind. `None` for a tool that reads no lengths.
    ///
    /// ```
    /// use fallaway_measure::Tool;
    /// use uom::si::length::millimeter;
    /// // sqrt((0.0254/2/sqrt(3))^2 + 0.015^2)
    /// let u = Tool::FEELER_THOU.standard_uncertainty(None).unwrap();
    /// assert!((u.get::<millimeter>() - 0.016_696).abs() < 1e-6);
    /// ```
    pub fn standard_uncertainty(&self, repeatability: Option<Length>) -> Option<Length> {
        if self.graduation().dimension() != Dimension::Length {
            return None;
        }
        let repeatability =
            repeatability.map_or(default_repeatability(self.kind()), |own| millimetres(own).abs());
        magnitude(self.graduation()).map(|step| length(standard(step / 2.0, repeatability)))
    }
}

#[cfg(test)]
mod tests {
    use uom::si::length::millimeter;

    use super::*;
    use crate::{Unit, parse_reading};

    fn read(text: &str, tool: Option<&Tool>) -> Reading {
        parse_reading(text, tool, Dimension::Length).unwrap()
    }

    fn mm(length: Length) -> f64 {
        length.get::<millimeter>()
    }

    /// JCGM 100:2008 4.3.7, worked by hand: half of 1/64 in is 0.1984375 mm, over sqrt(3) that is
    /// 0.114568 mm; with 0.05 mm in quadrature 0.125003 mm.
    #[test]
    fn rule_of_sixty_fourths() {
        let five = read("5", Some(&Tool::RULE_64));
        let taken = Taken::new(&five, Some(&Tool::RULE_64));
        assert!((mm(taken.length().unwrap().1) - 0.125_003).abs() < 1e-6);
    }

    #[test]
    fn a_half_division_says_that_the_eye_split_it() {
        let whole = read("2", Some(&Tool::RULE_32));
        let half = read("2.5", Some(&Tool::RULE_32));
        let u = |reading| mm(Taken::new(reading, Some(&Tool::RULE_32)).length().unwrap().1);
        // 1/32 in and 1/64 in: half steps 0.396875 and 0.1984375 mm.
        assert!((u(&whole) - (0.396_875_f64 / 3.0_f64.sqrt()).hypot(0.05)).abs() < 1e-12);
        assert!((u(&half) - (0.198_437_5_f64 / 3.0_f64.sqrt()).hypot(0.05)).abs() < 1e-12);
    }

    #[test]
    fn intervals_and_bounds() {
        let between = read(".010 goes, .012 not", Some(&Tool::FEELER_THOU));
        let (value, u) = Taken::new(&between, Some(&Tool::FEELER_THOU)).length().unwrap();
        assert!((mm(value) - 0.2794).abs() < 1e-12);
        assert!((mm(u) - (0.0254 / 3.0_f64.sqrt()).hypot(0.015)).abs() < 1e-12);
        let touches = read("touches", Some(&Tool::FEELER_THOU));
        let bound = Taken::new(&touches, Some(&Tool::FEELER_THOU));
        assert_eq!(bound.length(), None);
        let other = Taken::new(&between, Some(&Tool::FEELER_THOU));
        assert_eq!(distinguishable(bound, other), ReadingDifference::Less);
        assert_eq!(distinguishable(other, bound), ReadingDifference::Greater);
        assert_eq!(distinguishable(bound, bound), ReadingDifference::CannotTell);
    }

    #[test]
    fn own_repeatability_and_tools_unknown() {
        let value = read("1.98 mm", None);
        // No tool: step from the notation, repeatability of a rule.
        let (_, u) = Taken::new(&value, None).length().unwrap();
        assert!((mm(u) - (0.005 / 3.0_f64.sqrt()).hypot(0.05)).abs() < 1e-12);
        let own = Length::new::<millimeter>(0.2);
        let taken = Taken { repeatability: Some(own), ..Taken::new(&value, None) };
        assert!(mm(taken.length().unwrap().1) > 0.2);
        assert_eq!(Tool::TUNER_CENT.standard_uncertainty(None), None);
    }

    /// A rectangle of half a millimetre (JCGM 100:2008, 4.3.7): 0.25/sqrt(3) = 0.144 mm, with 0.05 mm 0.153 mm.
    #[test]
    fn a_number_without_a_tool_was_read_no_coarser_than_off_a_rule() {
        for (text, step) in [("3 mm", 0.5), ("1/8", 0.5), ("0.1 in", 0.5), ("12 thou", 0.0254)] {
            let value = read(text, None);
            let u = mm(Taken::new(&value, None).length().unwrap().1);
            assert!((u - (step / 2.0 / 3.0_f64.sqrt()).hypot(0.05)).abs() < 1e-9, "{text}: {u}");
        }
        // 3 mm and 2 mm are two heights.
        let [three, two] = ["3 mm", "2 mm"].map(|text| read(text, None));
        let told = distinguishable(Taken::new(&three, None), Taken::new(&two, None));
        assert_eq!(told, ReadingDifference::Greater);
    }

    #[test]
    fn cents() {
        let flat = Reading::Value(Amount::decimal(-3, 0, Unit::Cent).unwrap());
        let (value, u) = Taken::new(&flat, Some(&Tool::TUNER_CENT)).cents().unwrap();
        assert_eq!(value, -3.0);
        assert!((u - (0.5 / 3.0_f64.sqrt()).hypot(0.5)).abs() < 1e-12);
        let gap = read("5/64", None);
        let (flat, gap) = (Taken::new(&flat, None), Taken::new(&gap, None));
        assert_eq!(distinguishable(flat, gap), ReadingDifference::CannotTell);
    }
}
