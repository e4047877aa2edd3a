//! One way of reading turned into another, with the certainty that is left.
//!
//! A technician reads action stopped at 1 over the last fret, a player open over 12. One can be
//! computed from the other once relief and nut are known; the result is never better than the
//! readings it came from, and the uncertain place of the joint is carried along. Converted numbers
//! are for comparing and planning; they do not replace what was read.
//!
//! Uncertainty: first order, inputs independent, [`propagate`] (JCGM 100:2008, 5.1.3 note 2).

use fallaway_measure::Limit;
use uom::si::f64::Length;

use crate::error::Result;
use crate::neck::{Joint, NeckLine, ReliefWay};
use crate::string_line::{GapPlace, NutReading, StringLine, saddle_factor};
use crate::uncertain::{Uncertain, propagate};
use crate::units::{as_mm, mm};

/// The fixed geometry of one string: what does not change from visit to visit.
#[derive(Debug, Clone, PartialEq)]
pub struct StringGeometry {
    /// Scale length of this string.
    pub scale: Length,
    /// Number of frets.
    pub frets: usize,
    /// Where the neck stops bending.
    pub joint: Joint,
    /// How far the saddle's witness point stands beyond the scale length.
    pub compensation: Length,
    /// Each crown's own deviation, frets 1 to N; empty for level frets.
    pub crown_offsets: Vec<Length>,
}

impl StringGeometry {
    /// A string over level frets without compensation.
    ///
    /// ```
    /// use fallaway_mechanics::{conversions::StringGeometry, neck::Joint, units::mm};
    /// let bass = StringGeometry::level(mm(863.6), 24, Joint::first_over_body(18).unwrap());
    /// assert!(bass.crown_offsets.is_empty());
    /// ```
    pub fn level(scale: Length, frets: usize, joint: Joint) -> Self {
        Self { scale, frets, joint, compensation: mm(0.0), crown_offsets: Vec::new() }
    }

    /// The unbent neck under this string, with its joint at its best value.
    ///
    /// # Errors
    ///
    /// As [`NeckLine::new`] and [`NeckLine::with_crown_offsets`].
    ///
    /// ```
    /// use fallaway_mechanics::{conversions::StringGeometry, neck::Joint, units::mm};
    /// let bass = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
    /// assert_eq!(bass.neck().unwrap().frets(), 24);
    /// ```
    pub fn neck(&self) -> Result<NeckLine> {
        self.neck_with_joint(self.joint.fret)
    }

    pub(crate) fn neck_with_joint(&self, joint: f64) -> Result<NeckLine> {
        let neck = NeckLine::new(self.scale, self.frets, joint)?;
        if self.crown_offsets.is_empty() {
            Ok(neck)
        } else {
            neck.with_crown_offsets(&self.crown_offsets)
        }
    }
}

/// How the nut was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum NutWay {
    /// Open string, gap over fret 1.
    OpenOver1,
    /// Held down at 3, gap over fret 1.
    HeldAt3Over1,
}

impl NutWay {
    fn reading(self, gap: Length) -> NutReading {
        match self {
            Self::OpenOver1 => NutReading::OpenOver1(gap),
            Self::HeldAt3Over1 => NutReading::HeldAt3Over1(gap),
        }
    }
}

/// The three readings that fix a string line, each with its uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineReadings {
    /// Relief under this string.
    pub relief: Uncertain<Length>,
    /// How relief was read.
    pub relief_way: ReliefWay,
    /// The gap at the place where the action was asked for, and how surely.
    pub action: Uncertain<Length>,
    /// Where the action was read.
    pub action_place: GapPlace,
    /// The gap that tells of the nut, read the way that was asked for.
    pub nut: Uncertain<Length>,
    /// How the nut was read.
    pub nut_way: NutWay,
}

/// Evaluates something on the line that readings give, with uncertainty from every reading and
/// from the joint.
fn on_line<F>(
    geometry: &StringGeometry,
    readings: &LineReadings,
    of: F,
) -> Result<Uncertain<Length>>
where
    F: Fn(&StringLine) -> Result<Length>,
{
    let plain = |e: Uncertain<Length>| Uncertain {
        value: as_mm(e.value),
        standard_uncertainty: as_mm(e.standard_uncertainty),
    };
    let inputs = [
        plain(readings.relief),
        plain(readings.action),
        plain(readings.nut),
        geometry.joint.estimate(),
    ];
    let result = propagate(&inputs, |v| {
        let &[relief, action, nut, joint] = v else {
            return Ok(f64::NAN);
        };
        let neck = geometry.neck_with_joint(joint)?.with_relief(mm(relief), readings.relief_way)?;
        let line = StringLine::from_readings(
            neck,
            geometry.compensation,
            readings.action_place,
            mm(action),
            readings.nut_way.reading(mm(nut)),
        )?;
        Ok(as_mm(of(&line)?))
    })?;
    Uncertain::new(mm(result.value), mm(result.standard_uncertainty))
}

/// The string line at the readings' best values.
///
/// # Errors
///
/// As [`StringLine::from_readings`] and [`NeckLine::with_relief`].
///
/// ```
/// # use fallaway_mechanics::{conversions::*, neck::*, string_line::GapPlace, units::*, Uncertain};
/// # let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(24.0).unwrap());
/// # let e = |value| Uncertain::exact(mm(value));
/// let line = line(&geometry, &LineReadings {
///     relief: e(0.1), relief_way: ReliefWay::largest(24),
///     action: e(2.0), action_place: GapPlace::stopped_at_1_over(24),
///     nut: e(0.5), nut_way: NutWay::OpenOver1,
/// }).unwrap();
/// assert!((as_mm(line.saddle_height()) - 2.576467).abs() < 2e-6);
/// ```
pub fn line(geometry: &StringGeometry, readings: &LineReadings) -> Result<StringLine> {
    let neck = geometry.neck()?.with_relief(readings.relief.value, readings.relief_way)?;
    StringLine::from_readings(
        neck,
        geometry.compensation,
        readings.action_place,
        readings.action.value,
        readings.nut_way.reading(readings.nut.value),
    )
}

/// How far a converted gap lies from what would be read, beside what readings and joint leave open, in
/// mm, one standard deviation: necks do not bend in a circle, and crowns are not level. From the one neck
/// of which crowns were published (20 crowns under an open G string, read in steps of 0.05 mm: C.
/// Issanchou and others, Applied Acoustics 129 (2018) 217; data as used in the repository
/// siconos-tutorials): 27 conversions are off by 0.045 mm, root mean square, of which readings explain a
/// part.
pub const MODEL_MM: f64 = 0.04;

/// A converted gap, with what the model itself leaves open.
fn converted(gap: Uncertain<Length>) -> Result<Uncertain<Length>> {
    let u = as_mm(gap.standard_uncertainty).hypot(MODEL_MM);
    Uncertain::new(gap.value, mm(u))
}

/// The gap that another way of reading would show: action stopped at 1 over the last fret into open
/// over 12, and so on.
///
/// # Errors
///
/// [`crate::Error`] for readings outside the model's limits or places that do not exist.
///
/// ```
/// use fallaway_mechanics::conversions::{gap, LineReadings, NutWay, StringGeometry};
/// use fallaway_mechanics::neck::{Joint, ReliefWay};
/// use fallaway_mechanics::string_line::GapPlace;
/// use fallaway_mechanics::units::{as_mm, mm};
/// use fallaway_mechanics::Uncertain;
/// let bass = StringGeometry::level(mm(863.6), 24, Joint::known(24.0).unwrap());
/// let read = |value, u| Uncertain::new(mm(value), mm(u)).unwrap();
/// let readings = LineReadings {
///     relief: read(0.2, 0.02), relief_way: ReliefWay::largest(24),
///     action: read(2.0, 0.12), action_place: GapPlace::stopped_at_1_over(24),
///     nut: read(0.5, 0.02), nut_way: NutWay::OpenOver1,
/// };
/// let open = gap(&bass, &readings, GapPlace::OPEN_OVER_12).unwrap();
/// assert!((as_mm(open.value) - 1.728669).abs() < 2e-6);
/// // 0.12 mm at the last fret is about 0.08 mm at the twelfth; relief and nut add a little.
/// assert!(as_mm(open.standard_uncertainty) > 0.07 && as_mm(open.standard_uncertainty) < 0.10);
/// ```
pub fn gap(
    geometry: &StringGeometry,
    readings: &LineReadings,
    place: GapPlace,
) -> Result<Uncertain<Length>> {
    let found = on_line(geometry, readings, |line| line.gap(place))?;
    if place == readings.action_place { Ok(found) } else { converted(found) }
}

/// The nut reading that another way would show.
///
/// # Errors
///
/// As [`gap`].
///
/// ```
/// # use fallaway_mechanics::{conversions::*, neck::*, string_line::GapPlace, units::*, Uncertain};
/// # let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(24.0).unwrap());
/// # let e = |value| Uncertain::exact(mm(value));
/// let readings = LineReadings {
///     relief: e(0.2), relief_way: ReliefWay::largest(24),
///     action: e(2.0), action_place: GapPlace::stopped_at_1_over(24),
///     nut: e(0.5), nut_way: NutWay::OpenOver1,
/// };
/// let held = nut(&geometry, &readings, NutWay::HeldAt3Over1).unwrap();
/// assert!((as_mm(held.value) - 0.202487).abs() < 2e-6);
/// ```
pub fn nut(
    geometry: &StringGeometry,
    readings: &LineReadings,
    way: NutWay,
) -> Result<Uncertain<Length>> {
    let found = on_line(geometry, readings, |line| match way {
        NutWay::OpenOver1 => line.gap(GapPlace::OPEN_OVER_1),
        NutWay::HeldAt3Over1 => line.gap_held(3, 1),
    })?;
    if way == readings.nut_way { Ok(found) } else { converted(found) }
}

/// The saddle's height over the body's frame.
///
/// # Errors
///
/// As [`gap`].
///
/// ```
/// # use fallaway_mechanics::{conversions::*, neck::*, string_line::GapPlace, units::*, Uncertain};
/// # let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(24.0).unwrap());
/// # let e = |value| Uncertain::exact(mm(value));
/// let readings = LineReadings {
///     relief: e(0.2), relief_way: ReliefWay::largest(24),
///     action: e(2.0), action_place: GapPlace::stopped_at_1_over(24),
///     nut: e(0.5), nut_way: NutWay::OpenOver1,
/// };
/// let height = saddle_height(&geometry, &readings).unwrap();
/// assert!((as_mm(height.value) - 2.432342).abs() < 2e-6);
/// ```
pub fn saddle_height(
    geometry: &StringGeometry,
    readings: &LineReadings,
) -> Result<Uncertain<Length>> {
    on_line(geometry, readings, |line| Ok(line.saddle_height()))
}

/// The saddle move that brings the gap at `place` from what was read to `target`: positive raises.
/// Its uncertainty is that of the reading times the lever; relief and joint do not matter.
///
/// # Errors
///
/// [`crate::Error::Outside`], or as [`saddle_factor`].
///
/// ```
/// use fallaway_mechanics::conversions::{saddle_move, StringGeometry};
/// use fallaway_mechanics::{neck::Joint, string_line::GapPlace, units::{as_mm, mm}, Uncertain};
/// let bass = StringGeometry::level(mm(863.6), 24, Joint::first_over_body(18).unwrap());
/// let read = Uncertain::new(mm(2.4), mm(0.1)).unwrap();
/// let step = saddle_move(&bass, GapPlace::OPEN_OVER_12, read, mm(2.0)).unwrap();
/// assert!((as_mm(step.value) + 0.8).abs() < 1e-12);
/// assert!((as_mm(step.standard_uncertainty) - 0.2).abs() < 1e-12);
/// ```
pub fn saddle_move(
    geometry: &StringGeometry,
    place: GapPlace,
    read: Uncertain<Length>,
    target: Length,
) -> Result<Uncertain<Length>> {
    let read_mm = Limit::Gap.check_mm(read.value)?;
    let target_mm = Limit::Gap.check_mm(target)?;
    let factor = saddle_factor(&geometry.neck()?, geometry.compensation, place)?;
    Uncertain::new(mm((target_mm - read_mm) * factor), read.standard_uncertainty * factor)
}

/// What a change of relief, with saddle and nut untouched, does to the gap at `place`. This is what
/// tells a moved neck from a moved saddle.
///
/// `change`, read the given way. Linear, so the relief before does not matter for level
/// frets.
///
/// # Errors
///
/// As [`gap`].
///
/// ```
/// use fallaway_mechanics::conversions::{effect_of_relief, StringGeometry};
/// use fallaway_mechanics::neck::{Joint, ReliefWay};
/// use fallaway_mechanics::{string_line::GapPlace, units::{as_mm, mm}, Uncertain};
/// let bass = StringGeometry::level(mm(863.6), 24, Joint::known(24.0).unwrap());
/// let rise = Uncertain::exact(mm(0.10));
/// let way = ReliefWay::largest(24);
/// let at = |place| as_mm(effect_of_relief(&bass, way, rise, place).unwrap().value);
/// assert!((at(GapPlace::stopped_at_1_over(24)) - 0.105951).abs() < 2e-6);
/// assert!((at(GapPlace::OPEN_OVER_12) - 0.181747).abs() < 2e-6);
/// ```
pub fn effect_of_relief(
    geometry: &StringGeometry,
    way: ReliefWay,
    change: Uncertain<Length>,
    place: GapPlace,
) -> Result<Uncertain<Length>> {
    Limit::ReliefChange.check_mm(change.value)?;
    // Crown deviations cancel in a difference; the curvature follows from level frets.
    let level = StringGeometry { crown_offsets: Vec::new(), ..geometry.clone() };
    let inputs = [
        Uncertain {
            value: as_mm(change.value),
            standard_uncertainty: as_mm(change.standard_uncertainty),
        },
        geometry.joint.estimate(),
    ];
    let result = propagate(&inputs, |v| {
        let &[change, joint] = v else {
            return Ok(f64::NAN);
        };
        let neck = level.neck_with_joint(joint)?;
        let before = StringLine::new(neck.clone(), level.compensation, mm(0.0), mm(0.0))?;
        let after = before.with_neck(neck.with_relief(mm(change), way)?)?;
        Ok(as_mm(after.gap(place)? - before.gap(place)?))
    })?;
    Uncertain::new(mm(result.value), mm(result.standard_uncertainty))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn e(value: f64, u: f64) -> Uncertain<Length> {
        Uncertain::new(mm(value), mm(u)).unwrap()
    }

    fn readings(place: GapPlace, action: Uncertain<Length>) -> LineReadings {
        LineReadings {
            relief: e(0.2, 0.03),
            relief_way: ReliefWay::largest(24),
            action,
            action_place: place,
            nut: e(0.5, 0.02),
            nut_way: NutWay::OpenOver1,
        }
    }

    #[test]
    fn a_guessed_joint_costs_certainty() {
        let known = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
        let guessed =
            StringGeometry { joint: Joint::first_over_body(18).unwrap(), ..known.clone() };
        let r = readings(GapPlace::stopped_at_1_over(24), e(2.0, 0.0));
        let sure = gap(&known, &r, GapPlace::OPEN_OVER_12).unwrap();
        let unsure = gap(&guessed, &r, GapPlace::OPEN_OVER_12).unwrap();
        assert_eq!(sure.value, unsure.value);
        assert!(unsure.standard_uncertainty > sure.standard_uncertainty);
    }

    #[test]
    fn reading_far_out_tells_little_about_far_in_reversed() {
        // Certainty that is lost on the way to the last fret: an open reading over 12 carries
        // into the last fret with more than its own uncertainty.
        let g = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
        let r = readings(GapPlace::OPEN_OVER_12, e(1.8, 0.1));
        let last = gap(&g, &r, GapPlace::stopped_at_1_over(24)).unwrap();
        assert!(last.standard_uncertainty > mm(0.1));
    }

    proptest! {
        #[test]
        fn there_and_back_is_exact(action in 1.0..3.0f64, over in 12usize..=24, m in 0usize..=3) {
            let g = StringGeometry::level(mm(863.6), 24, Joint::first_over_body(18).unwrap());
            let place = GapPlace::new(m, over);
            let first = readings(GapPlace::stopped_at_1_over(24), e(action, 0.0));
            let there = gap(&g, &first, place).unwrap();
            let back = gap(&g, &readings(place, Uncertain::exact(there.value)), GapPlace::stopped_at_1_over(24)).unwrap();
            prop_assert!((as_mm(back.value) - action).abs() < 1e-9);
        }
    }
}
