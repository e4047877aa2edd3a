//! What clearances advise: the lowest clean action, the best relief, the touch.

use fallaway_measure::Limit;
use uom::si::f64::{Force, Length};
use uom::si::force::newton;

use super::kernel::{Kernel, Need, Pair, read_row};
use super::{Played, SwingingString};
use crate::envelope::{SwingBasis, Touch};
use crate::error::{Error, Result};
use crate::neck::ReliefWay;
use crate::pluck::PluckDirection;
use crate::string_line::GapPlace;
use crate::units::{as_per_mm, mm, per_mm};

/// A saddle height and what it gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LowestAction {
    /// The gap at the place that was asked for.
    pub action: Length,
    /// The saddle height over the body's frame.
    pub saddle_height: Length,
    /// The place that limits.
    pub limited_by: GapPlace,
    /// By which method and with which assumptions.
    pub basis: SwingBasis,
}

/// A relief and what it allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BestRelief {
    /// The relief that allows the lowest action.
    pub relief: Length,
    /// The action at that relief, at the place asked for.
    pub action: Length,
    /// Every relief in this range costs at most 0.02 mm of action: the optimum is shallow.
    pub good: (Length, Length),
    /// By which method and with which assumptions.
    pub basis: SwingBasis,
}

/// The hardest clean touch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AllowedTouch {
    /// The vertical force at which the string just touches.
    pub force: Force,
    /// Where it touches.
    pub limited_by: GapPlace,
    /// By which method and with which assumptions.
    pub basis: SwingBasis,
}

/// Every relief within this much action of the best counts as good, mm.
const SHALLOW_MM: f64 = 0.02;

/// The lowest saddle at which every note keeps `spare` of margin, and the gap that it gives at
/// `read_at`, the neck staying as it is.
///
/// # Errors
///
/// As [`clearance`](super::clearance()); [`Error::Outside`].
///
/// ```
/// use fallaway_mechanics::clearance::{SwingingString, Played, lowest_clean_action};
/// use fallaway_mechanics::envelope::{Method, PluckedString, Touch, UnitEnvelope};
/// use fallaway_mechanics::{neck::NeckLine, pluck::PluckDirection, string_line::{NutReading, GapPlace, StringLine}};
/// use fallaway_mechanics::units::{as_mm, mm};
/// use uom::si::{f64::{Force, Frequency}, force::newton, frequency::hertz};
/// let neck = NeckLine::new(mm(863.6), 24, 24.0).unwrap();
/// let over_24 = GapPlace::stopped_at_1_over(24);
/// let line = StringLine::from_readings(
///     neck, mm(0.0), over_24, mm(2.0), NutReading::OpenOver1(mm(0.5)),
/// ).unwrap();
/// let string = PluckedString {
///     scale: mm(863.6), frets: 24, frequency: Frequency::new::<hertz>(98.0),
///     inharmonicity: 2e-5, from_saddle: mm(100.0),
/// };
/// let envelope = UnitEnvelope::compute(&string, Method::ClosedForm { factor: 1.0 }).unwrap();
/// let g = SwingingString { line: &line, envelope: &envelope, tension: Force::new::<newton>(170.0) };
/// let at = |n| {
///     let touch = Touch { force: Force::new::<newton>(n), direction: PluckDirection::TowardBoard };
///     lowest_clean_action(&g, touch, Played::all_fretted(24), over_24, mm(0.0)).unwrap().action
/// };
/// assert!(at(2.0) > at(1.0));
/// ```
pub fn lowest_clean_action(
    string: &SwingingString<'_>,
    touch: Touch,
    played: Played,
    read_at: GapPlace,
    spare: Length,
) -> Result<LowestAction> {
    let kernel = Kernel::new(string, played)?;
    lowest(&kernel, &kernel.pairs(touch.direction), touch, read_at, spare)
}

pub(super) fn lowest(
    kernel: &Kernel<'_>,
    pairs: &[Pair],
    touch: Touch,
    read_at: GapPlace,
    spare: Length,
) -> Result<LowestAction> {
    let need = Need::new(kernel, pairs, touch, spare)?;
    let read = read_row(kernel, read_at)?;
    let (height, limited_by) = need.lowest_saddle(kernel.curvature);
    let action = read[0] + read[1] * kernel.curvature + read[2] * height;
    Ok(LowestAction {
        action: mm(action),
        saddle_height: mm(height),
        limited_by,
        basis: kernel.basis(),
    })
}

/// The relief, between two limits, that allows the lowest action at `read_at`, and the range of
/// relief that costs at most 0.02 mm more.
///
/// # Errors
///
/// As [`lowest_clean_action`]; [`Error::Inconsistent`] when the limits are not in order;
/// [`Error::Outside`] for a limit that the neck does not accept.
///
/// ```
/// use fallaway_mechanics::clearance::{SwingingString, Played, best_relief};
/// use fallaway_mechanics::envelope::{Method, PluckedString, Touch, UnitEnvelope};
/// use fallaway_mechanics::{neck::{NeckLine, ReliefWay}, pluck::PluckDirection};
/// use fallaway_mechanics::string_line::{NutReading, GapPlace, StringLine};
/// use fallaway_mechanics::units::{as_mm, mm};
/// use uom::si::{f64::{Force, Frequency}, force::newton, frequency::hertz};
/// let neck = NeckLine::new(mm(863.6), 24, 16.0).unwrap();
/// let over_24 = GapPlace::stopped_at_1_over(24);
/// let line = StringLine::from_readings(
///     neck, mm(0.0), over_24, mm(2.0), NutReading::OpenOver1(mm(0.5)),
/// ).unwrap();
/// let string = PluckedString {
///     scale: mm(863.6), frets: 24, frequency: Frequency::new::<hertz>(41.2),
///     inharmonicity: 1e-4, from_saddle: mm(100.0),
/// };
/// let envelope = UnitEnvelope::compute(&string, Method::Modes(Default::default())).unwrap();
/// let e = SwingingString { line: &line, envelope: &envelope, tension: Force::new::<newton>(155.0) };
/// let touch = Touch { force: Force::new::<newton>(2.0), direction: PluckDirection::TowardBoard };
/// let best = best_relief(
///     &e, touch, Played::all_fretted(24), over_24, ReliefWay::largest(24), (mm(0.0), mm(0.6)),
/// ).unwrap();
/// // 2.23 mm by the finite elements of tests/second-opinions/test_swing.py.
/// assert!((2.20..2.26).contains(&as_mm(best.action)));
/// assert!(best.good.0 <= best.relief && best.relief <= best.good.1);
/// ```
pub fn best_relief(
    string: &SwingingString<'_>,
    touch: Touch,
    played: Played,
    read_at: GapPlace,
    way: ReliefWay,
    between: (Length, Length),
) -> Result<BestRelief> {
    let kernel = Kernel::new(string, played)?;
    best(&kernel, &kernel.pairs(touch.direction), touch, read_at, way, between)
}

pub(super) fn best(
    kernel: &Kernel<'_>,
    pairs: &[Pair],
    touch: Touch,
    read_at: GapPlace,
    way: ReliefWay,
    between: (Length, Length),
) -> Result<BestRelief> {
    if between.0 > between.1 {
        return Err(Error::Inconsistent {
            what: "limits of the relief",
            reason: "the lower one lies above the upper one",
        });
    }
    let need = Need::new(kernel, pairs, touch, mm(0.0))?;
    let read = read_row(kernel, read_at)?;
    let neck = kernel.string.line.neck();
    let low = as_per_mm(neck.curvature_for_relief(between.0, way)?);
    let high = as_per_mm(neck.curvature_for_relief(between.1, way)?);
    let (mut a, mut b) = (low.min(high), low.max(high));
    let need = need.between(a, b);
    let action = |k: f64| read[0] + read[1] * k + read[2] * need.lowest_saddle(k).0;

    // A maximum of straight lines in the curvature is convex: the lowest point by thirds.
    let ends = (a, b);
    for _ in 0..60 {
        let (left, right) = (a + (b - a) / 3.0, b - (b - a) / 3.0);
        if action(left) <= action(right) {
            b = right;
        } else {
            a = left;
        }
    }
    let best = f64::midpoint(a, b);
    let least = action(best);
    // Where the action has risen by the stated amount, on either side.
    let edge = |end: f64| {
        if action(end) <= least + SHALLOW_MM {
            return end;
        }
        let (mut inside, mut outside) = (best, end);
        for _ in 0..50 {
            let middle = f64::midpoint(inside, outside);
            if action(middle) <= least + SHALLOW_MM {
                inside = middle;
            } else {
                outside = middle;
            }
        }
        inside
    };
    let relief = |k: f64| Ok::<_, Error>(neck.with_curvature(per_mm(k))?.relief(way)?.gap);
    Ok(BestRelief {
        relief: relief(best)?,
        action: mm(least),
        good: (relief(edge(ends.0))?, relief(edge(ends.1))?),
        basis: kernel.basis(),
    })
}

/// The vertical force at which the string just touches, and where: what a set-up known to play clean
/// at least allows, so how a player's touch is learned.
///
/// # Errors
///
/// As [`clearance`](super::clearance()); [`Error::Undetermined`] when no place is reached at any force;
/// [`Error::Inconsistent`] when the string at rest lies on a fret.
///
/// ```
/// use fallaway_mechanics::clearance::{SwingingString, Played, touch_allowed};
/// use fallaway_mechanics::envelope::{Method, PluckedString, UnitEnvelope};
/// use fallaway_mechanics::{neck::NeckLine, pluck::PluckDirection, string_line::{NutReading, GapPlace, StringLine}};
/// use fallaway_mechanics::units::mm;
/// use uom::si::{f64::{Force, Frequency}, force::newton, frequency::hertz};
/// let neck = NeckLine::new(mm(863.6), 24, 24.0).unwrap();
/// let line = StringLine::from_readings(
///     neck, mm(0.0), GapPlace::stopped_at_1_over(24), mm(1.6), NutReading::OpenOver1(mm(0.5)),
/// ).unwrap();
/// let string = PluckedString {
///     scale: mm(863.6), frets: 24, frequency: Frequency::new::<hertz>(98.0),
///     inharmonicity: 2e-5, from_saddle: mm(100.0),
/// };
/// let envelope = UnitEnvelope::compute(&string, Method::ClosedForm { factor: 1.0 }).unwrap();
/// let g = SwingingString { line: &line, envelope: &envelope, tension: Force::new::<newton>(170.0) };
/// let toward = touch_allowed(&g, PluckDirection::TowardBoard, Played::all_fretted(24)).unwrap();
/// let away = touch_allowed(&g, PluckDirection::AwayFromBoard, Played::all_fretted(24)).unwrap();
/// assert!(toward.force > away.force);
/// ```
pub fn touch_allowed(
    string: &SwingingString<'_>,
    direction: PluckDirection,
    played: Played,
) -> Result<AllowedTouch> {
    let kernel = Kernel::new(string, played)?;
    hardest(&kernel, &kernel.pairs(direction))
}

pub(super) fn hardest(kernel: &Kernel<'_>, pairs: &[Pair]) -> Result<AllowedTouch> {
    let tension = Limit::Tension.check(kernel.string.tension.get::<newton>())?;
    let mut best: Option<(f64, GapPlace)> = None;
    for &(place, row, unit) in pairs {
        let gap = kernel.gap(row);
        if gap < 0.0 {
            return Err(Error::Inconsistent {
                what: "string at rest",
                reason: "it lies on a fret without being played; check relief, crowns and saddle",
            });
        }
        if unit > 0.0 {
            let force = gap / unit * tension;
            if best.is_none_or(|(least, _)| force < least) {
                best = Some((force, place));
            }
        }
    }
    let (force, limited_by) = best.ok_or(Error::Undetermined {
        what: "touch",
        reason: "the string does not come down anywhere",
    })?;
    Ok(AllowedTouch { force: Force::new::<newton>(force), limited_by, basis: kernel.basis() })
}
