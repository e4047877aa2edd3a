//! Two states compared: what moved, what did not, what cannot be told and what would tell.

use fallaway_measure::Limit;
use uom::si::angle::radian;
use uom::si::f64::{Angle, Length};

use super::solve::{
    CURVATURE_UNIT, Contradiction, PRIOR_NUT_CHANGE, PRIOR_TILT_CHANGE, Solved, TILT_UNIT, pick,
    solve, two_sided,
};
use super::{Model, OffsetsApart, StatePart, StateReading, What};
use crate::error::{Error, Result};
use crate::neck::ReliefWay;
use crate::string_line::{GapPlace, saddle_x_mm};
use crate::uncertain::Uncertain;
use crate::units::{as_mm, mm};

/// How often at most one comparison may call anything moved that did not move.
const FAMILY_ERROR: f64 = 0.05;
/// Half widths of the interval, as lengths, beyond which a part that did not move cannot be told:
/// relief, saddle and height, nut (common practice, no source).
const COARSE_RELIEF: f64 = 0.25;
const COARSE_SADDLE: f64 = 1.0;
const COARSE_NUT: f64 = 0.3;

/// What can be said of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PartVerdict {
    /// It moved; the sign of the change says which way.
    Moved,
    /// It did not move beyond what was read.
    NotBeyondRead,
    /// The readings do not tell.
    CannotBeTold,
}

/// What happened to one part.
#[derive(Debug, Clone, PartialEq)]
pub struct StatePartChange {
    /// The part of the instrument.
    pub part: StatePart,
    /// After minus before, as a length: for curvature the relief it makes (largest gap, first to
    /// last fret) under the outermost string; for tilt what it does at the saddle.
    pub change: Uncertain<Length>,
    /// The simultaneous interval of the change: all intervals of one comparison together cover the
    /// truth at least 95 % of the time.
    pub interval: (Length, Length),
    /// Whether it moved by more than the readings leave open.
    pub verdict: PartVerdict,
    /// For a part that cannot be told: the index of the candidate that would narrow it most, if
    /// any narrows it by a tenth.
    pub best_reading: Option<usize>,
}

/// A reading that could still be taken in the later visit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FurtherReading {
    /// Which gap or relief would be read.
    pub what: What,
    /// Under or over which string.
    pub string: usize,
    /// How well it would be read.
    pub standard_uncertainty: Length,
}

/// The comparison of two visits.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// One per part, in the order of [`Model::parts`], or as they were asked for.
    pub parts: Vec<StatePartChange>,
    /// Readings that contradict the rest; while there are any, intervals are widened.
    pub contradictions: Vec<Contradiction>,
    /// Standard deviations that a change must exceed to be called moved.
    pub coverage_factor: f64,
}

/// Readings that a technician can usually take: relief under the outer strings with a feeler;
/// stopped at 1 over the last fret, open over 12, open over 1, held at 3 over 1, and two frets
/// beyond the joint, on every string.
///
/// `rule` and `feeler`: standard uncertainties of the two tools.
///
/// # Errors
///
/// What the model's geometry is refused for.
///
/// ```
/// # use fallaway_mechanics::{conversions::StringGeometry, neck::Joint, state::*, units::mm};
/// # let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
/// # let model = Model::new(vec![StateString { geometry, across: 0.0 }]).unwrap();
/// let candidates = usual_candidates(&model, mm(0.12), mm(0.02)).unwrap();
/// assert!(candidates.len() >= 5);
/// ```
pub fn usual_candidates(
    model: &Model,
    rule: Length,
    feeler: Length,
) -> Result<Vec<FurtherReading>> {
    let mut candidates = Vec::new();
    for string in 0..model.strings() {
        let geometry = &model.string(string)?.geometry;
        let last = geometry.frets;
        let mut add = |what, standard_uncertainty| {
            candidates.push(FurtherReading { what, string, standard_uncertainty });
        };
        if last >= 3 {
            add(What::Relief(ReliefWay::largest(last)), feeler);
            add(What::GapHeld { held: 3, over: 1 }, feeler);
            add(What::Gap(GapPlace::stopped_at_1_over(last)), rule);
        }
        if last >= 12 {
            add(What::Gap(GapPlace::OPEN_OVER_12), rule);
        }
        add(What::Gap(GapPlace::OPEN_OVER_1), feeler);
        // Wholly beyond the joint, the neck does not matter: this reads the saddle alone.
        let beyond = geometry.joint.fret.ceil() as usize + 1;
        if beyond < last {
            add(What::Gap(GapPlace::new(beyond, last)), rule);
        }
    }
    Ok(candidates)
}

/// How a part's change in scaled units becomes a length, and what half width is coarse.
pub(super) fn as_length(model: &Model, part: StatePart) -> Result<(f64, f64)> {
    let outermost = |bass: bool| {
        let mut best = 0;
        let mut place = if bass { -1.0 } else { 2.0 };
        for string in 0..model.strings() {
            let across = model.string(string)?.across;
            if (bass && across > place) || (!bass && across < place) {
                place = across;
                best = string;
            }
        }
        model.string(best)
    };
    let relief = |bass: bool| -> Result<f64> {
        let geometry = &outermost(bass)?.geometry;
        let neck = geometry.neck()?;
        if geometry.frets < 3 {
            return Ok(0.1);
        }
        Ok(neck.relief_row(ReliefWay::largest(geometry.frets))?.0 * CURVATURE_UNIT)
    };
    Ok(match part {
        StatePart::CurvatureTreble => (relief(false)?, COARSE_RELIEF),
        StatePart::CurvatureBass => (relief(true)?, COARSE_RELIEF),
        StatePart::Neck | StatePart::Twist => {
            (f64::midpoint(relief(false)?, relief(true)?), COARSE_RELIEF)
        }
        StatePart::Tilt => {
            let geometry = &model.string(0)?.geometry;
            let neck = geometry.neck()?;
            let lever = saddle_x_mm(&neck, geometry.compensation)? - neck.before_joint_mm(0)?;
            (lever * TILT_UNIT, COARSE_SADDLE)
        }
        StatePart::Saddle(_) | StatePart::StringHeight(_) | StatePart::Heights => {
            (1.0, COARSE_SADDLE)
        }
        StatePart::Nut(_) => (1.0, COARSE_NUT),
    })
}

/// Compares two visits: what moved?
///
/// All parts of one comparison together are wrongly called moved at most 5 % of the time (each is
/// tested at 5 % divided by the number of parts, Bonferroni's inequality, which holds for dependent
/// parts too), provided the stated uncertainties of the readings are honest and offsets that
/// readings share are named. `candidates` are readings that could still be taken now (see
/// [`usual_candidates`]).
///
/// # Errors
///
/// As [`super::estimate`].
///
/// ```
/// use fallaway_mechanics::conversions::StringGeometry;
/// use fallaway_mechanics::neck::{Joint, ReliefWay};
/// use fallaway_mechanics::state::*;
/// use fallaway_mechanics::string_line::GapPlace;
/// use fallaway_mechanics::units::mm;
/// use fallaway_mechanics::Uncertain;
/// let geometry = StringGeometry::level(mm(863.6), 24, Joint::first_over_body(18).unwrap());
/// let model = Model::new([0.0, 1.0].map(|across| StateString {
///     geometry: geometry.clone(), across,
/// }).to_vec()).unwrap();
/// let visit = |relief: f64, action: f64| -> Vec<StateReading> {
///     (0..2).flat_map(|string| {
///         let read = move |what, v, u| {
///             StateReading::new(what, string, Value::Read(Uncertain::new(mm(v), mm(u)).unwrap()))
///         };
///         [
///             read(What::Relief(ReliefWay::largest(24)), relief, 0.015),
///             read(What::Gap(GapPlace::stopped_at_1_over(24)), action, 0.05),
///             read(What::Gap(GapPlace::OPEN_OVER_1), 0.5, 0.02),
///         ]
///     }).collect()
/// };
/// // Relief rose by 0.2 mm and the action by what such a neck does: the saddles did not move.
/// let c = compare(&model, &visit(0.1, 2.0), &visit(0.3, 2.145), &[]).unwrap();
/// let verdict = |part| c.parts.iter().find(|p| p.part == part).unwrap().verdict;
/// assert_eq!(verdict(StatePart::CurvatureTreble), PartVerdict::Moved);
/// assert_eq!(verdict(StatePart::CurvatureBass), PartVerdict::Moved);
/// assert_eq!(verdict(StatePart::StringHeight(0)), PartVerdict::NotBeyondRead);
/// ```
pub fn compare(
    model: &Model,
    before: &[StateReading],
    after: &[StateReading],
    candidates: &[FurtherReading],
) -> Result<Comparison> {
    compare_parts(model, before, after, candidates, model.parts())
}

/// As [`compare`], for the parts that are asked for: the fewer, the narrower their intervals.
///
/// # Errors
///
/// As [`compare`]; [`Error::TooFew`](crate::Error::TooFew) without a part.
///
/// ```
/// # use fallaway_mechanics::{conversions::StringGeometry, neck::*, state::*, units::mm, Uncertain};
/// # let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
/// let across = [0.0, 1.0].map(|across| StateString { geometry: geometry.clone(), across });
/// let model = Model::new(across.to_vec()).unwrap();
/// let relief = |v: f64| [0, 1].map(|string| {
///     let read = Uncertain::new(mm(v), mm(0.015)).unwrap();
///     StateReading::new(What::Relief(ReliefWay::largest(24)), string, Value::Read(read))
/// });
/// let parts = vec![StatePart::Neck, StatePart::Twist];
/// let c = compare_parts(&model, &relief(0.1), &relief(0.3), &[], parts).unwrap();
/// assert_eq!(c.parts[0].verdict, PartVerdict::Moved);
/// assert_eq!(c.parts[1].verdict, PartVerdict::NotBeyondRead);
/// ```
pub fn compare_parts(
    model: &Model,
    before: &[StateReading],
    after: &[StateReading],
    candidates: &[FurtherReading],
    parts: Vec<StatePart>,
) -> Result<Comparison> {
    compare_parts_knowing(model, before, after, candidates, parts, &BetweenVisits::default())
}

/// What is known of the time between two visits from elsewhere than the readings that are compared, as one
/// standard deviation each. The less, the better readings across the joint and of open strings tell.
#[derive(Debug, Clone, PartialEq)]
pub struct BetweenVisits {
    /// How much the joint may have given way.
    pub tilt: Angle,
    /// How much each nut slot may have changed.
    pub nut: Length,
    /// How far shared offsets lie apart. What names an offset that no reading has is left out.
    pub apart: Vec<OffsetsApart>,
}

impl Default for BetweenVisits {
    /// A joint that may give way by some 1 mrad, slots of which nothing is known.
    fn default() -> Self {
        let tilt = Angle::new::<radian>(PRIOR_TILT_CHANGE * TILT_UNIT);
        Self { tilt, nut: mm(PRIOR_NUT_CHANGE), apart: Vec::new() }
    }
}

/// As [`compare_parts`], with what is known from elsewhere.
///
/// # Errors
///
/// As [`compare_parts`]; [`Error::Outside`].
///
/// ```
/// # use fallaway_mechanics::{conversions::StringGeometry, neck::*, state::*, units::{as_mm, mm}, Uncertain};
/// # use uom::si::{angle::radian, f64::Angle};
/// # let geometry = StringGeometry::level(mm(863.6), 24, Joint::known(16.0).unwrap());
/// # let across = [0.0, 1.0].map(|across| StateString { geometry: geometry.clone(), across });
/// # let model = Model::new(across.to_vec()).unwrap();
/// // Two readers, each with an offset of some 0.06 mm; the second reads 0.1 mm more.
/// let relief = |v: f64, id| [0, 1].map(|string| {
///     let read = Value::Read(Uncertain::new(mm(v), mm(0.02)).unwrap());
///     let shared = Some(SharedOffset { id, standard_uncertainty: mm(0.06) });
///     StateReading { shared, ..StateReading::new(What::Relief(ReliefWay::largest(24)), string, read) }
/// });
/// let ask = |known: &BetweenVisits| {
///     let parts = vec![StatePart::Neck];
///     let (one, other) = (relief(0.2, 1), relief(0.3, 2));
///     compare_parts_knowing(&model, &one, &other, &[], parts, known).unwrap().parts.remove(0)
/// };
/// let difference = Uncertain::new(mm(0.1), mm(0.02)).unwrap();
/// let open = ask(&BetweenVisits::default());
/// let apart = vec![OffsetsApart { a: 1, b: 2, difference }];
/// let told = ask(&BetweenVisits { apart, ..BetweenVisits::default() });
/// assert!(as_mm(told.change.value).abs() < 0.02 && as_mm(open.change.value) > 0.05);
/// assert!(told.change.standard_uncertainty < open.change.standard_uncertainty);
/// // A joint that holds.
/// let tilt = Angle::new::<radian>(0.25e-3);
/// let held = ask(&BetweenVisits { tilt, ..BetweenVisits::default() });
/// assert!(held.change.standard_uncertainty < open.change.standard_uncertainty);
/// ```
pub fn compare_parts_knowing(
    model: &Model,
    before: &[StateReading],
    after: &[StateReading],
    candidates: &[FurtherReading],
    parts: Vec<StatePart>,
    between: &BetweenVisits,
) -> Result<Comparison> {
    Limit::TiltChange.check(between.tilt.get::<radian>() / TILT_UNIT)?;
    if parts.is_empty() {
        return Err(Error::TooFew { quantity: "parts", given: 0, needed: 1 });
    }
    let solved = solve(model, &[before, after], between)?;
    let coverage_factor = two_sided(FAMILY_ERROR / parts.len() as f64);
    let rows = candidates
        .iter()
        .map(|c| {
            let u = as_mm(c.standard_uncertainty).max(1e-3);
            Ok((solved.row_of(model, 1, c.what, c.string)?.0, u * u))
        })
        .collect::<Result<Vec<_>>>()?;
    let changes = parts
        .into_iter()
        .map(|part| change(model, &solved, part, coverage_factor, &rows))
        .collect::<Result<_>>()?;
    Ok(Comparison {
        parts: changes,
        contradictions: solved.named_contradictions(),
        coverage_factor,
    })
}

fn change(
    model: &Model,
    solved: &Solved,
    part: StatePart,
    factor: f64,
    candidates: &[(nalgebra::DVector<f64>, f64)],
) -> Result<StatePartChange> {
    let after = pick(model, part)?;
    let before: Vec<f64> = after.iter().map(|v| -v).collect();
    let row = solved.spread(&[(0, &before), (1, &after)]);
    let (value, variance) = solved.combine(&row);
    let (unit, coarse) = as_length(model, part)?;
    let (value, u) = (value * unit, variance.sqrt() * unit);
    let half = factor * u;
    let verdict = if value.abs() > half {
        PartVerdict::Moved
    } else if half <= coarse {
        PartVerdict::NotBeyondRead
    } else {
        PartVerdict::CannotBeTold
    };
    let best_reading = if verdict == PartVerdict::CannotBeTold {
        let through = &solved.covariance * &row;
        candidates
            .iter()
            .enumerate()
            .map(|(index, (candidate, noise))| {
                let along = candidate.dot(&through);
                let own = candidate.dot(&(&solved.covariance * candidate));
                (index, along * along / (own + noise))
            })
            .filter(|(_, gain)| *gain >= 0.19 * variance) // a tenth less standard deviation
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(index, _)| index)
    } else {
        None
    };
    Ok(StatePartChange {
        part,
        change: Uncertain::new(mm(value), mm(u))?,
        interval: (mm(value - half), mm(value + half)),
        verdict,
        best_reading,
    })
}
