//! Will it buzz? Gaps against the swing of the string.
//!
//! The clearance at (m, j), stopped at m over fret j, is the gap `g(m, j)` of the string at rest
//! ([`crate::string_line`]) minus the depth to which the plucked string comes there
//! ([`crate::envelope`]). The margin of a string is the smallest clearance over all notes played and
//! all frets beyond. Negative: the string touches.
//!
//! From it: the lowest saddle that is still clean, the relief that allows the lowest action, the
//! touch that a set-up known to be clean (or known to buzz) tells of, and which string limits.
//!
//! # What is model here, and what is measured
//!
//! Gaps come from readings; the swing comes from a model with assumed tension, stiffness, decay and
//! touch. Every result carries its [`Basis`]. A margin of a tenth of a millimetre is no promise: it
//! ranks, it does not decide. A fretless board gets no verdict, because the string is meant to lie
//! on it.
//!
//! The saddle is found for a stated spare margin, every gap being linear in the height of the saddle
//! and (for crowns given once) in the neck's curvature, so that the least action as a function of
//! relief is convex and its lowest point is found safely.

use uom::si::f64::{Force, Length};
use uom::si::force::newton;

use crate::envelope::{Basis, Touch, UnitEnvelope, force_over_tension};
use crate::error::{Error, Result, check, check_mm};
use crate::neck::ReliefWay;
use crate::pluck::Direction;
use crate::string_line::{Place, StringLine};
use crate::uncertain::Estimate;
use crate::units::{as_mm, as_per_mm, mm, per_mm};

/// One string over its frets, as it is asked about.
#[derive(Debug, Clone, Copy)]
pub struct ClearanceString<'a> {
    /// The string at rest.
    pub line: &'a StringLine,
    /// Its swing.
    pub envelope: &'a UnitEnvelope,
    /// Its tension, 1 to 2000 N. May differ somewhat from the tension for which the envelope's
    /// stiffness was taken: see [`crate::envelope`].
    pub tension: Force,
}

/// Which notes are played.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Played {
    /// The lowest: 0 for the open string (its nut height must then be known), else a fret.
    pub first: usize,
    /// The highest fret, below the last one.
    pub last: usize,
}

impl Played {
    /// Every fretted note that has a fret beyond it, of a neck with this many frets.
    ///
    /// ```
    /// use fallaway_mechanics::clearance::Played;
    /// assert_eq!(Played::all_fretted(24), Played { first: 1, last: 23 });
    /// ```
    pub const fn all_fretted(frets: usize) -> Self {
        Self { first: 1, last: frets.saturating_sub(1) }
    }

    /// As [`Played::all_fretted`], with the open string.
    ///
    /// ```
    /// use fallaway_mechanics::clearance::Played;
    /// assert_eq!(Played::all_and_open(24).first, 0);
    /// ```
    pub const fn all_and_open(frets: usize) -> Self {
        Self { first: 0, last: frets.saturating_sub(1) }
    }
}

/// What is left between string and crown at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Margin {
    /// Where.
    pub place: Place,
    /// Gap of the string at rest.
    pub gap: Length,
    /// How far below its rest line the string comes.
    pub depth: Length,
    /// Gap minus depth; negative when the string touches.
    pub margin: Length,
}

/// The margins of one string.
#[derive(Debug, Clone, PartialEq)]
pub struct StringClearance {
    /// The smallest margin and where: it buzzes there first.
    pub smallest: Margin,
    /// Every margin, note by note, fret by fret.
    pub margins: Vec<Margin>,
    /// By which method and with which assumptions.
    pub basis: Basis,
}

/// The margins of all strings.
#[derive(Debug, Clone, PartialEq)]
pub struct ClearanceMap {
    /// String by string, as given.
    pub strings: Vec<StringClearance>,
    /// Which string limits: the index of the one with the smallest margin.
    pub limiting: usize,
}

/// A saddle height and what it gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LowestAction {
    /// The gap at the place that was asked for.
    pub action: Length,
    /// The saddle height over the body's frame.
    pub saddle_height: Length,
    /// The place that limits.
    pub limited_by: Place,
    /// By which method and with which assumptions.
    pub basis: Basis,
}

/// A relief and what it allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BestRelief {
    /// The relief that allows the lowest action.
    pub relief: Length,
    /// That action.
    pub action: Length,
    /// Every relief in this range costs at most 0.02 mm of action: the optimum is shallow.
    pub good: (Length, Length),
    /// By which method and with which assumptions.
    pub basis: Basis,
}

/// The hardest clean touch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AllowedTouch {
    /// The vertical force at which the string just touches.
    pub force: Force,
    /// Where it touches.
    pub limited_by: Place,
    /// By which method and with which assumptions.
    pub basis: Basis,
}

/// Every relief within this much action of the best counts as good, mm.
const SHALLOW_MM: f64 = 0.02;

/// The gaps of a string as plain numbers, linear in saddle height and curvature.
struct Kernel<'a> {
    string: &'a ClearanceString<'a>,
    x: Vec<f64>,
    /// Crowns without curvature; for 0 the nut slot.
    flat: Vec<f64>,
    /// What one unit of curvature adds.
    bend: Vec<f64>,
    curvature: f64,
    saddle: f64,
    saddle_x: f64,
    played: Played,
}

impl<'a> Kernel<'a> {
    fn new(string: &'a ClearanceString<'a>, played: Played) -> Result<Self> {
        let neck = string.line.neck();
        let frets = neck.frets();
        if string.envelope.frets() != frets {
            return Err(Error::CountMismatch {
                quantity: "frets of the envelope",
                given: string.envelope.frets(),
                expected: frets,
            });
        }
        if played.last >= frets || played.first > played.last {
            return Err(Error::NoSuchPlace {
                what: "played fret with a fret beyond it, fret",
                number: if played.last >= frets { played.last } else { played.first },
                first: 0,
                last: frets.saturating_sub(1),
            });
        }
        let curvature = as_per_mm(neck.curvature());
        // A unit that keeps all numbers near 1 and is exact to undo.
        let unit = 1e-6;
        let straight = neck.with_curvature(per_mm(0.0))?;
        let bent = neck.with_curvature(per_mm(unit))?;
        let (mut x, mut flat, mut bend) = (Vec::new(), Vec::new(), Vec::new());
        for fret in 0..=frets {
            x.push(as_mm(neck.position(fret)?));
            let nut = if fret == 0 { as_mm(string.line.nut_height()) } else { 0.0 };
            let crown = as_mm(straight.crown(fret)?);
            flat.push(crown + nut);
            bend.push((as_mm(bent.crown(fret)?) - crown) / unit);
        }
        let saddle = as_mm(string.line.saddle_height());
        let saddle_x = as_mm(string.line.saddle_position());
        Ok(Self { string, x, flat, bend, curvature, saddle, saddle_x, played })
    }

    /// `(constant, per curvature, per saddle height)` of the gap at a place.
    fn row(&self, place: Place) -> Option<[f64; 3]> {
        let Place { stopped: m, over: j } = place;
        let (xm, xj) = (self.x.get(m)?, self.x.get(j)?);
        let t = (xj - xm) / (self.saddle_x - xm);
        let mix = |z: &[f64]| Some((1.0 - t) * z.get(m)? - z.get(j)?);
        Some([mix(&self.flat)?, mix(&self.bend)?, t])
    }

    fn places(&self) -> impl Iterator<Item = Place> + use<> {
        let frets = self.x.len() - 1;
        (self.played.first..=self.played.last)
            .flat_map(move |m| (m + 1..=frets).map(move |j| Place::new(m, j)))
    }

    fn unit(&self, place: Place, direction: Direction) -> f64 {
        self.string.envelope.unit(place, direction).unwrap_or(0.0)
    }

    /// Gap at rest and depth, at every place.
    fn pairs(&self, direction: Direction) -> impl Iterator<Item = (Place, [f64; 3], f64)> {
        self.places()
            .filter_map(move |place| Some((place, self.row(place)?, self.unit(place, direction))))
    }

    fn gap(&self, row: [f64; 3]) -> f64 {
        row[0] + row[1] * self.curvature + row[2] * self.saddle
    }

    fn basis(&self) -> Basis {
        *self.string.envelope.basis()
    }
}

/// Every margin of one string at a touch.
///
/// # Errors
///
/// [`Error::CountMismatch`] when line and envelope have different frets; [`Error::NoSuchPlace`] for
/// played frets that do not exist; [`Error::OutOfRange`] for a force outside 0 to 50 N or a tension
/// outside 1 to 2000 N.
///
/// ```
/// use fallaway_mechanics::clearance::{ClearanceString, Played, clearance};
/// use fallaway_mechanics::envelope::{Method, PluckedString, Touch, UnitEnvelope};
/// use fallaway_mechanics::{neck::{NeckLine, ReliefWay}, pluck::Direction};
/// use fallaway_mechanics::{string_line::{NutReading, Place, StringLine}, units::mm};
/// use uom::si::{f64::{Force, Frequency}, force::newton, frequency::hertz};
///
/// let neck = NeckLine::new(mm(863.6), 24, 24.0).unwrap()
///     .with_relief(mm(0.2), ReliefWay::largest(24)).unwrap();
/// let line = StringLine::from_readings(
///     neck, mm(0.0), Place::stopped_at_1_over(24), mm(2.0), NutReading::OpenOver1(mm(0.5)),
/// ).unwrap();
/// let string = PluckedString {
///     scale: mm(863.6),
///     frets: 24,
///     frequency: Frequency::new::<hertz>(41.2),
///     inharmonicity: 1e-4,
///     from_saddle: mm(100.0),
/// };
/// let envelope = UnitEnvelope::compute(&string, Method::Modes(Default::default())).unwrap();
/// let low_e = ClearanceString {
///     line: &line,
///     envelope: &envelope,
///     tension: Force::new::<newton>(155.0),
/// };
/// let touch = Touch { force: Force::new::<newton>(1.5), direction: Direction::TowardBoard };
/// let c = clearance(&low_e, touch, Played::all_fretted(24)).unwrap();
/// assert!(c.smallest.margin > mm(0.0));
/// ```
pub fn clearance(
    string: &ClearanceString<'_>,
    touch: Touch,
    played: Played,
) -> Result<StringClearance> {
    let kernel = Kernel::new(string, played)?;
    let pull = force_over_tension(touch.force, string.tension)?;
    let margins: Vec<Margin> = kernel
        .pairs(touch.direction)
        .map(|(place, row, unit)| {
            let (gap, depth) = (kernel.gap(row), unit * pull);
            Margin { place, gap: mm(gap), depth: mm(depth), margin: mm(gap - depth) }
        })
        .collect();
    let smallest = margins.iter().copied().reduce(|a, b| if b.margin < a.margin { b } else { a });
    let smallest = smallest.ok_or(Error::TooFew { quantity: "notes", given: 0, needed: 1 })?;
    Ok(StringClearance { smallest, margins, basis: kernel.basis() })
}

/// The margins of all strings and which one limits.
///
/// # Errors
///
/// [`Error::TooFew`] without strings; else as [`clearance`].
///
/// ```
/// use fallaway_mechanics::clearance::{Played, clearance_map};
/// use fallaway_mechanics::{envelope::Touch, pluck::Direction};
/// use uom::si::{f64::Force, force::newton};
/// let touch = Touch { force: Force::new::<newton>(1.5), direction: Direction::TowardBoard };
/// assert!(clearance_map(&[], touch, Played::all_fretted(24)).is_err());
/// ```
pub fn clearance_map(
    strings: &[ClearanceString<'_>],
    touch: Touch,
    played: Played,
) -> Result<ClearanceMap> {
    let strings =
        strings.iter().map(|s| clearance(s, touch, played)).collect::<Result<Vec<_>>>()?;
    let limiting = strings
        .iter()
        .enumerate()
        .min_by(|a, b| as_mm(a.1.smallest.margin).total_cmp(&as_mm(b.1.smallest.margin)))
        .map(|(i, _)| i)
        .ok_or(Error::TooFew { quantity: "strings", given: 0, needed: 1 })?;
    Ok(ClearanceMap { strings, limiting })
}

/// The smallest margin with its standard uncertainty.
///
/// `moved` holds the same string once per uncertain input, each with that one input changed by its
/// standard uncertainty (action, relief, the joint fret, the height of the nut). The changes of the
/// margin where the string buzzes first are added in quadrature: first order, numerically (JCGM
/// 100:2008, 5.1.2 and note 2 to 5.1.3). The swing's own assumptions are not in it.
///
/// # Errors
///
/// As [`clearance`].
///
/// ```
/// use fallaway_mechanics::clearance::{ClearanceString, Played, smallest_margin};
/// use fallaway_mechanics::envelope::{Method, PluckedString, Touch, UnitEnvelope};
/// use fallaway_mechanics::{neck::NeckLine, pluck::Direction, string_line::{NutReading, Place, StringLine}};
/// use fallaway_mechanics::units::{as_mm, mm};
/// use uom::si::{f64::{Force, Frequency}, force::newton, frequency::hertz};
/// let line = |action| {
///     let neck = NeckLine::new(mm(863.6), 24, 24.0).unwrap();
///     StringLine::from_readings(
///         neck, mm(0.0), Place::stopped_at_1_over(24), mm(action), NutReading::OpenOver1(mm(0.5)),
///     ).unwrap()
/// };
/// let string = PluckedString {
///     scale: mm(863.6), frets: 24, frequency: Frequency::new::<hertz>(98.0),
///     inharmonicity: 2e-5, from_saddle: mm(100.0),
/// };
/// let envelope = UnitEnvelope::compute(&string, Method::ClosedForm { factor: 1.0 }).unwrap();
/// let touch = Touch { force: Force::new::<newton>(1.0), direction: Direction::TowardBoard };
/// let (read, tension) = (line(2.0), Force::new::<newton>(170.0));
/// let string = ClearanceString { line: &read, envelope: &envelope, tension };
/// // The action was read to 0.12 mm.
/// let e = smallest_margin(&string, &[line(2.12)], touch, Played::all_fretted(24)).unwrap();
/// assert!((0.0..0.12).contains(&as_mm(e.standard_uncertainty)));
/// ```
pub fn smallest_margin(
    string: &ClearanceString<'_>,
    moved: &[StringLine],
    touch: Touch,
    played: Played,
) -> Result<Estimate<Length>> {
    let smallest = clearance(string, touch, played)?.smallest;
    let changes = moved
        .iter()
        .map(|line| Ok(line.gap(smallest.place)? - smallest.gap))
        .collect::<Result<Vec<_>>>()?;
    Ok(Estimate::from_contributions(smallest.margin, &changes))
}

/// The lowest saddle at which every note keeps `spare` of margin, and the gap that it gives at
/// `read_at`, the neck staying as it is.
///
/// # Errors
///
/// As [`clearance`]; [`Error::OutOfRange`] for a spare margin outside -1 to 3 mm.
///
/// ```
/// use fallaway_mechanics::clearance::{ClearanceString, Played, lowest_clean_action};
/// use fallaway_mechanics::envelope::{Method, PluckedString, Touch, UnitEnvelope};
/// use fallaway_mechanics::{neck::NeckLine, pluck::Direction, string_line::{NutReading, Place, StringLine}};
/// use fallaway_mechanics::units::{as_mm, mm};
/// use uom::si::{f64::{Force, Frequency}, force::newton, frequency::hertz};
/// let neck = NeckLine::new(mm(863.6), 24, 24.0).unwrap();
/// let over_24 = Place::stopped_at_1_over(24);
/// let line = StringLine::from_readings(
///     neck, mm(0.0), over_24, mm(2.0), NutReading::OpenOver1(mm(0.5)),
/// ).unwrap();
/// let string = PluckedString {
///     scale: mm(863.6), frets: 24, frequency: Frequency::new::<hertz>(98.0),
///     inharmonicity: 2e-5, from_saddle: mm(100.0),
/// };
/// let envelope = UnitEnvelope::compute(&string, Method::ClosedForm { factor: 1.0 }).unwrap();
/// let g = ClearanceString { line: &line, envelope: &envelope, tension: Force::new::<newton>(170.0) };
/// let at = |n| {
///     let touch = Touch { force: Force::new::<newton>(n), direction: Direction::TowardBoard };
///     lowest_clean_action(&g, touch, Played::all_fretted(24), over_24, mm(0.0)).unwrap().action
/// };
/// assert!(at(2.0) > at(1.0));
/// ```
pub fn lowest_clean_action(
    string: &ClearanceString<'_>,
    touch: Touch,
    played: Played,
    read_at: Place,
    spare: Length,
) -> Result<LowestAction> {
    let kernel = Kernel::new(string, played)?;
    let need = Need::new(&kernel, touch, spare)?;
    let read = read_row(&kernel, read_at)?;
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
/// [`Error::OutOfRange`] for a limit that the neck does not accept.
///
/// ```
/// use fallaway_mechanics::clearance::{ClearanceString, Played, best_relief};
/// use fallaway_mechanics::envelope::{Method, PluckedString, Touch, UnitEnvelope};
/// use fallaway_mechanics::{neck::{NeckLine, ReliefWay}, pluck::Direction};
/// use fallaway_mechanics::string_line::{NutReading, Place, StringLine};
/// use fallaway_mechanics::units::{as_mm, mm};
/// use uom::si::{f64::{Force, Frequency}, force::newton, frequency::hertz};
/// let neck = NeckLine::new(mm(863.6), 24, 16.0).unwrap();
/// let over_24 = Place::stopped_at_1_over(24);
/// let line = StringLine::from_readings(
///     neck, mm(0.0), over_24, mm(2.0), NutReading::OpenOver1(mm(0.5)),
/// ).unwrap();
/// let string = PluckedString {
///     scale: mm(863.6), frets: 24, frequency: Frequency::new::<hertz>(41.2),
///     inharmonicity: 1e-4, from_saddle: mm(100.0),
/// };
/// let envelope = UnitEnvelope::compute(&string, Method::Modes(Default::default())).unwrap();
/// let e = ClearanceString { line: &line, envelope: &envelope, tension: Force::new::<newton>(155.0) };
/// let touch = Touch { force: Force::new::<newton>(2.0), direction: Direction::TowardBoard };
/// let best = best_relief(
///     &e, touch, Played::all_fretted(24), over_24, ReliefWay::largest(24), (mm(0.0), mm(0.6)),
/// ).unwrap();
/// assert!((as_mm(best.action) - 2.0).abs() < 0.03);
/// assert!(best.good.0 <= best.relief && best.relief <= best.good.1);
/// ```
pub fn best_relief(
    string: &ClearanceString<'_>,
    touch: Touch,
    played: Played,
    read_at: Place,
    way: ReliefWay,
    between: (Length, Length),
) -> Result<BestRelief> {
    if between.0 > between.1 {
        return Err(Error::Inconsistent {
            what: "limits of the relief",
            reason: "the lower one lies above the upper one",
        });
    }
    let kernel = Kernel::new(string, played)?;
    let need = Need::new(&kernel, touch, mm(0.0))?;
    let read = read_row(&kernel, read_at)?;
    let neck = string.line.neck();
    let low = as_per_mm(neck.curvature_for_relief(between.0, way)?);
    let high = as_per_mm(neck.curvature_for_relief(between.1, way)?);
    let action = |k: f64| read[0] + read[1] * k + read[2] * need.lowest_saddle(k).0;

    // A maximum of straight lines in the curvature is convex: the lowest point by thirds.
    let (mut a, mut b) = (low.min(high), low.max(high));
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
/// As [`clearance`]; [`Error::Undetermined`] when no place is reached at any force;
/// [`Error::Inconsistent`] when the string at rest lies on a fret.
///
/// ```
/// use fallaway_mechanics::clearance::{ClearanceString, Played, touch_allowed};
/// use fallaway_mechanics::envelope::{Method, PluckedString, UnitEnvelope};
/// use fallaway_mechanics::{neck::NeckLine, pluck::Direction, string_line::{NutReading, Place, StringLine}};
/// use fallaway_mechanics::units::mm;
/// use uom::si::{f64::{Force, Frequency}, force::newton, frequency::hertz};
/// let neck = NeckLine::new(mm(863.6), 24, 24.0).unwrap();
/// let line = StringLine::from_readings(
///     neck, mm(0.0), Place::stopped_at_1_over(24), mm(1.6), NutReading::OpenOver1(mm(0.5)),
/// ).unwrap();
/// let string = PluckedString {
///     scale: mm(863.6), frets: 24, frequency: Frequency::new::<hertz>(98.0),
///     inharmonicity: 2e-5, from_saddle: mm(100.0),
/// };
/// let envelope = UnitEnvelope::compute(&string, Method::ClosedForm { factor: 1.0 }).unwrap();
/// let g = ClearanceString { line: &line, envelope: &envelope, tension: Force::new::<newton>(170.0) };
/// let toward = touch_allowed(&g, Direction::TowardBoard, Played::all_fretted(24)).unwrap();
/// let away = touch_allowed(&g, Direction::AwayFromBoard, Played::all_fretted(24)).unwrap();
/// assert!(toward.force > away.force);
/// ```
pub fn touch_allowed(
    string: &ClearanceString<'_>,
    direction: Direction,
    played: Played,
) -> Result<AllowedTouch> {
    let kernel = Kernel::new(string, played)?;
    let tension = check("tension", string.tension.get::<newton>(), "N", 1.0, 2000.0)?;
    let mut best: Option<(f64, Place)> = None;
    for (place, row, unit) in kernel.pairs(direction) {
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

/// The vertical force that a buzz at one place tells of: at least this much.
///
/// # Errors
///
/// As [`touch_allowed`]; [`Error::NoSuchPlace`] for a place that does not exist.
///
/// ```
/// use fallaway_mechanics::clearance::{ClearanceString, touch_from_buzz};
/// use fallaway_mechanics::envelope::{Method, PluckedString, UnitEnvelope};
/// use fallaway_mechanics::{neck::NeckLine, pluck::Direction, string_line::{NutReading, Place, StringLine}};
/// use fallaway_mechanics::units::mm;
/// use uom::si::{f64::{Force, Frequency}, force::newton, frequency::hertz};
/// let neck = NeckLine::new(mm(863.6), 24, 24.0).unwrap();
/// let line = StringLine::from_readings(
///     neck, mm(0.0), Place::stopped_at_1_over(24), mm(1.6), NutReading::OpenOver1(mm(0.5)),
/// ).unwrap();
/// let string = PluckedString {
///     scale: mm(863.6), frets: 24, frequency: Frequency::new::<hertz>(98.0),
///     inharmonicity: 2e-5, from_saddle: mm(100.0),
/// };
/// let envelope = UnitEnvelope::compute(&string, Method::ClosedForm { factor: 1.0 }).unwrap();
/// let g = ClearanceString { line: &line, envelope: &envelope, tension: Force::new::<newton>(170.0) };
/// let at_13 = touch_from_buzz(&g, Direction::TowardBoard, Place::new(12, 13)).unwrap();
/// assert!(at_13 > Force::new::<newton>(0.5));
/// ```
pub fn touch_from_buzz(
    string: &ClearanceString<'_>,
    direction: Direction,
    place: Place,
) -> Result<Force> {
    let gap = string.line.gap(place)?;
    let played = Played { first: place.stopped, last: place.stopped };
    let kernel = Kernel::new(string, played)?;
    let tension = check("tension", string.tension.get::<newton>(), "N", 1.0, 2000.0)?;
    let unit = kernel.unit(place, direction);
    if unit <= 0.0 {
        return Err(Error::Undetermined {
            what: "touch",
            reason: "the string does not come down at that place",
        });
    }
    Ok(Force::new::<newton>(as_mm(gap).max(0.0) / unit * tension))
}

/// What every place asks of the saddle: rows of the gap and the depth with its spare.
struct Need {
    rows: Vec<(Place, [f64; 3], f64)>,
}

impl Need {
    fn new(kernel: &Kernel<'_>, touch: Touch, spare: Length) -> Result<Self> {
        let pull = force_over_tension(touch.force, kernel.string.tension)?;
        let spare = check_mm("spare margin", spare, -1.0, 3.0)?;
        let rows = kernel
            .pairs(touch.direction)
            .map(|(place, row, unit)| (place, row, unit * pull + spare))
            .collect();
        Ok(Self { rows })
    }

    /// The lowest saddle at this curvature, and the place that asks for it.
    fn lowest_saddle(&self, curvature: f64) -> (f64, Place) {
        let mut worst = (f64::NEG_INFINITY, Place::new(0, 0));
        for (place, [constant, bend, saddle], need) in &self.rows {
            let height = (need - constant - bend * curvature) / saddle;
            if height > worst.0 {
                worst = (height, *place);
            }
        }
        worst
    }
}

fn read_row(kernel: &Kernel<'_>, place: Place) -> Result<[f64; 3]> {
    // The line's own check of the place gives the better message.
    kernel.string.line.gap(place)?;
    kernel.row(place).ok_or(Error::NoSuchPlace {
        what: "fret",
        number: place.over,
        first: 1,
        last: kernel.x.len() - 1,
    })
}

#[cfg(test)]
#[path = "clearance_tests.rs"]
mod tests;
