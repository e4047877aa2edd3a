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
//! touch. Every result carries its [`SwingBasis`]. A margin of a tenth of a millimetre is no promise: it
//! ranks, it does not decide. A fretless board gets no verdict, because the string is meant to lie
//! on it.
//!
//! The saddle is found for a stated spare margin, every gap being linear in the height of the saddle
//! and (for crowns given once) in the neck's curvature, so that the least action as a function of
//! relief is convex and its lowest point is found safely.

mod advice;
mod kernel;

use uom::si::f64::{Force, Length};

use crate::envelope::{SwingBasis, Touch, UnitEnvelope, force_over_tension};
use crate::error::{Error, Result};
use crate::neck::ReliefWay;
use crate::string_line::{GapPlace, StringLine};
use crate::uncertain::Uncertain;
use crate::units::{as_mm, mm};

pub use advice::{
    AllowedTouch, BestRelief, LowestAction, best_relief, lowest_clean_action, touch_allowed,
};

use kernel::{Kernel, Pair};

/// One string over its frets, as it is asked about.
#[derive(Debug, Clone, Copy)]
pub struct SwingingString<'a> {
    /// The string at rest.
    pub line: &'a StringLine,
    /// How low it comes over each fret for a unit of force and tension.
    pub envelope: &'a UnitEnvelope,
    /// Its tension. May differ somewhat from the tension for which the envelope's
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
pub struct ClearanceMargin {
    /// Where it was stopped, and over which fret.
    pub place: GapPlace,
    /// Gap of the string at rest.
    pub gap: Length,
    /// How far below its rest line the string comes.
    pub depth: Length,
    /// Gap minus depth; negative when the string touches.
    pub margin: Length,
}

/// The margins of one string.
#[derive(Debug, Clone, PartialEq)]
pub struct StringMargins {
    /// The smallest margin and where: it buzzes there first.
    pub smallest: ClearanceMargin,
    /// Every margin, note by note, fret by fret.
    pub margins: Vec<ClearanceMargin>,
    /// By which method and with which assumptions.
    pub basis: SwingBasis,
}

/// The margins of all strings.
#[derive(Debug, Clone, PartialEq)]
pub struct ClearanceMap {
    /// String by string, as given.
    pub strings: Vec<StringMargins>,
    /// Which string limits: the index of the one with the smallest margin.
    pub limiting: usize,
}

/// Every margin of one string at a touch.
///
/// # Errors
///
/// [`Error::CountMismatch`] when line and envelope have different frets; [`Error::NoSuchPlace`] for
/// played frets that do not exist; [`Error::Outside`].
///
/// ```
/// use fallaway_mechanics::clearance::{SwingingString, Played, clearance};
/// use fallaway_mechanics::envelope::{Method, PluckedString, Touch, UnitEnvelope};
/// use fallaway_mechanics::{neck::{NeckLine, ReliefWay}, pluck::PluckDirection};
/// use fallaway_mechanics::{string_line::{NutReading, GapPlace, StringLine}, units::mm};
/// use uom::si::{f64::{Force, Frequency}, force::newton, frequency::hertz};
///
/// let neck = NeckLine::new(mm(863.6), 24, 24.0).unwrap()
///     .with_relief(mm(0.2), ReliefWay::largest(24)).unwrap();
/// let line = StringLine::from_readings(
///     neck, mm(0.0), GapPlace::stopped_at_1_over(24), mm(2.0), NutReading::OpenOver1(mm(0.5)),
/// ).unwrap();
/// let string = PluckedString {
///     scale: mm(863.6),
///     frets: 24,
///     frequency: Frequency::new::<hertz>(41.2),
///     inharmonicity: 1e-4,
///     from_saddle: mm(100.0),
/// };
/// let envelope = UnitEnvelope::compute(&string, Method::Modes(Default::default())).unwrap();
/// let low_e = SwingingString {
///     line: &line,
///     envelope: &envelope,
///     tension: Force::new::<newton>(155.0),
/// };
/// let touch = Touch { force: Force::new::<newton>(1.5), direction: PluckDirection::TowardBoard };
/// let c = clearance(&low_e, touch, Played::all_fretted(24)).unwrap();
/// assert!(c.smallest.margin > mm(0.0));
/// ```
pub fn clearance(
    string: &SwingingString<'_>,
    touch: Touch,
    played: Played,
) -> Result<StringMargins> {
    let kernel = Kernel::new(string, played)?;
    margins(&kernel, &kernel.pairs(touch.direction), touch)
}

fn margins(kernel: &Kernel<'_>, pairs: &[Pair], touch: Touch) -> Result<StringMargins> {
    let pull = force_over_tension(touch.force, kernel.string.tension)?;
    let margins: Vec<ClearanceMargin> = pairs
        .iter()
        .map(|&(place, row, unit)| {
            let (gap, depth) = (kernel.gap(row), unit * pull);
            ClearanceMargin { place, gap: mm(gap), depth: mm(depth), margin: mm(gap - depth) }
        })
        .collect();
    let smallest = margins.iter().copied().reduce(|a, b| if b.margin < a.margin { b } else { a });
    let smallest = smallest.ok_or(Error::TooFew { quantity: "notes", given: 0, needed: 1 })?;
    Ok(StringMargins { smallest, margins, basis: kernel.basis() })
}

/// The margins of all strings and which one limits.
///
/// # Errors
///
/// [`Error::TooFew`] without strings; else as [`clearance`].
///
/// ```
/// use fallaway_mechanics::clearance::{Played, clearance_map};
/// use fallaway_mechanics::{envelope::Touch, pluck::PluckDirection};
/// use uom::si::{f64::Force, force::newton};
/// let touch = Touch { force: Force::new::<newton>(1.5), direction: PluckDirection::TowardBoard };
/// assert!(clearance_map(&[], touch, Played::all_fretted(24)).is_err());
/// ```
pub fn clearance_map(
    strings: &[SwingingString<'_>],
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

fn with_uncertainty(smallest: ClearanceMargin, moved: &[StringLine]) -> Result<Uncertain<Length>> {
    let changes = moved
        .iter()
        .map(|line| Ok(line.gap(smallest.place)? - smallest.gap))
        .collect::<Result<Vec<_>>>()?;
    Ok(Uncertain::from_contributions(smallest.margin, &changes))
}

/// Where an answer is read, and between which limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// Which notes are played.
    pub played: Played,
    /// Where the action is read.
    pub read_at: GapPlace,
    /// Margin that has to stay, for the lowest action.
    pub spare: Length,
    /// How relief is read.
    pub way: ReliefWay,
    /// Between which limits the best relief is looked for.
    pub relief: (Length, Length),
}

/// Everything that one string is asked at once.
#[derive(Debug, Clone, PartialEq)]
pub struct ClearanceJudgement {
    /// What [`clearance`] says of the string: its margins.
    pub clearance: StringMargins,
    /// The smallest margin with what the readings leave open, as [`clearance`] gives it.
    pub smallest: Uncertain<Length>,
    /// What [`lowest_clean_action`] answers.
    pub lowest: Result<LowestAction>,
    /// What [`best_relief`] answers.
    pub best_relief: Result<BestRelief>,
    /// What [`touch_allowed`] answers.
    pub touch: Result<AllowedTouch>,
}

/// [`clearance`], [`lowest_clean_action`], [`best_relief`] and [`touch_allowed`] of
/// one string at once, for less than one by one.
///
/// # Errors
///
/// As [`clearance`]; what only one of the others is refused for stands in its
/// place.
///
/// ```
/// use fallaway_mechanics::clearance::{Asked, SwingingString, Played, judge, lowest_clean_action};
/// use fallaway_mechanics::envelope::{Method, PluckedString, Touch, UnitEnvelope};
/// use fallaway_mechanics::neck::{NeckLine, ReliefWay};
/// use fallaway_mechanics::string_line::{NutReading, GapPlace, StringLine};
/// use fallaway_mechanics::{pluck::PluckDirection, units::mm};
/// use uom::si::{f64::{Force, Frequency}, force::newton, frequency::hertz};
/// let read_at = GapPlace::stopped_at_1_over(24);
/// let neck = NeckLine::new(mm(863.6), 24, 20.0).unwrap();
/// let nut = NutReading::OpenOver1(mm(0.5));
/// let line = StringLine::from_readings(neck, mm(0.0), read_at, mm(2.0), nut).unwrap();
/// let plucked = PluckedString {
///     scale: mm(863.6), frets: 24, frequency: Frequency::new::<hertz>(98.0),
///     inharmonicity: 2e-5, from_saddle: mm(100.0),
/// };
/// let envelope = UnitEnvelope::compute(&plucked, Method::ClosedForm { factor: 1.0 }).unwrap();
/// let tension = Force::new::<newton>(170.0);
/// let string = SwingingString { line: &line, envelope: &envelope, tension };
/// let touch = Touch { force: Force::new::<newton>(1.0), direction: PluckDirection::TowardBoard };
/// let played = Played::all_fretted(24);
/// let (spare, way, relief) = (mm(0.0), ReliefWay::largest(24), (mm(0.0), mm(0.6)));
/// let all = judge(&string, &[], touch, Asked { played, read_at, spare, way, relief }).unwrap();
/// let one = lowest_clean_action(&string, touch, played, read_at, spare).unwrap();
/// assert_eq!(all.lowest.unwrap(), one);
/// ```
pub fn judge(
    string: &SwingingString<'_>,
    moved: &[StringLine],
    touch: Touch,
    asked: Asked,
) -> Result<ClearanceJudgement> {
    let Asked { played, read_at, spare, way, relief } = asked;
    let kernel = Kernel::new(string, played)?;
    let pairs = kernel.pairs(touch.direction);
    let clearance = margins(&kernel, &pairs, touch)?;
    Ok(ClearanceJudgement {
        smallest: with_uncertainty(clearance.smallest, moved)?,
        clearance,
        lowest: advice::lowest(&kernel, &pairs, touch, read_at, spare),
        best_relief: advice::best(&kernel, &pairs, touch, read_at, way, relief),
        touch: advice::hardest(&kernel, &pairs),
    })
}

#[cfg(test)]
mod tests;
