//! Screws: threads, and turns in the hand's words.
//!
//! A screw advances by its pitch with each turn. Pitches: ISO 261:1998 (metric coarse series) and
//! ASME B1.1 (unified threads, 25.4 mm over threads per inch); pitch and minor diameters: ISO 724
//! (the same basic profile holds for unified threads).
//!
//! Which way a screw must be turned is known only when this instrument has shown it; until then a
//! [`ScrewTurn`] says so instead of guessing.

use fallaway_measure::Limit;
use std::fmt;

use uom::si::f64::Length;

use crate::error::{Error, Result};
use crate::units::{as_mm, mm};

/// Metric coarse threads of ISO 261: designation, nominal diameter in mm, pitch in mm.
pub const ISO_261_COARSE: [(&str, f64, f64); 9] = [
    ("M1.6", 1.6, 0.35),
    ("M2", 2.0, 0.4),
    ("M2.5", 2.5, 0.45),
    ("M3", 3.0, 0.5),
    ("M3.5", 3.5, 0.6),
    ("M4", 4.0, 0.7),
    ("M5", 5.0, 0.8),
    ("M6", 6.0, 1.0),
    ("M8", 8.0, 1.25),
];

/// Unified threads of ASME B1.1: designation, nominal diameter in inches, threads per inch.
pub const ASME_B1_1: [(&str, f64, f64); 9] = [
    ("#2-56", 0.086, 56.0),
    ("#4-40", 0.112, 40.0),
    ("#5-40", 0.125, 40.0),
    ("#6-32", 0.138, 32.0),
    ("#8-32", 0.164, 32.0),
    ("#10-24", 0.190, 24.0),
    ("#10-32", 0.190, 32.0),
    ("1/4-20", 0.250, 20.0),
    ("5/16-18", 0.3125, 18.0),
];

/// A screw thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    pitch: f64,
    nominal: Option<f64>,
    designation: Option<&'static str>,
}

impl Thread {
    /// A standard thread by its designation, as in [`ISO_261_COARSE`] and [`ASME_B1_1`]; upper or
    /// lower case.
    ///
    /// # Errors
    ///
    /// [`Error::NotKnown`] with the accepted designations.
    ///
    /// ```
    /// use fallaway_mechanics::{screws::Thread, units::as_mm};
    /// assert!((as_mm(Thread::named("M3").unwrap().pitch()) - 0.5).abs() < 1e-12);
    /// assert!((as_mm(Thread::named("#6-32").unwrap().pitch()) - 0.79375).abs() < 1e-12);
    /// assert!(Thread::named("M7").is_err());
    /// ```
    pub fn named(designation: &str) -> Result<Self> {
        let wanted = designation.trim();
        let metric =
            ISO_261_COARSE.iter().map(|(name, diameter, pitch)| (*name, *diameter, *pitch));
        let unified =
            ASME_B1_1.iter().map(|(name, diameter, tpi)| (*name, diameter * 25.4, 25.4 / tpi));
        metric
            .chain(unified)
            .find(|(name, _, _)| name.eq_ignore_ascii_case(wanted))
            .map(|(name, diameter, pitch)| Self {
                pitch,
                nominal: Some(diameter),
                designation: Some(name),
            })
            .ok_or(Error::NotKnown {
                what: "thread",
                accepted: "M1.6, M2, M2.5, M3, M3.5, M4, M5, M6, M8, #2-56, #4-40, #5-40, #6-32, \
                           #8-32, #10-24, #10-32, 1/4-20, 5/16-18, or a pitch of your own",
            })
    }

    /// A thread of one's own, by its pitch.
    ///
    /// Measure over ten threads and divide.
    ///
    /// # Errors
    ///
    /// [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::{screws::Thread, units::mm};
    /// assert!(Thread::own(mm(0.6)).is_ok());
    /// assert!(Thread::own(mm(0.0)).is_err());
    /// ```
    pub fn own(pitch: Length) -> Result<Self> {
        Ok(Self { pitch: Limit::ThreadPitch.check_mm(pitch)?, nominal: None, designation: None })
    }

    /// Advance for each full turn.
    ///
    /// ```
    /// use fallaway_mechanics::{screws::Thread, units::as_mm};
    /// let m4 = Thread::named("M4").unwrap();
    /// assert!((as_mm(m4.pitch()) - 0.7).abs() < 1e-12);
    /// ```
    pub fn pitch(self) -> Length {
        mm(self.pitch)
    }

    /// Its designation, if it is a standard one.
    ///
    /// ```
    /// use fallaway_mechanics::{screws::Thread, units::as_mm};
    /// let m4 = Thread::named("M4").unwrap();
    /// assert_eq!(m4.designation(), Some("M4"));
    /// ```
    pub fn designation(self) -> Option<&'static str> {
        self.designation
    }

    /// Nominal diameter of a standard thread.
    ///
    /// ```
    /// use fallaway_mechanics::{screws::Thread, units::as_mm};
    /// let m4 = Thread::named("M4").unwrap();
    /// assert!((as_mm(m4.nominal_diameter().unwrap()) - 4.0).abs() < 1e-12);
    /// ```
    pub fn nominal_diameter(self) -> Option<Length> {
        self.nominal.map(mm)
    }

    /// Basic pitch diameter `d - 0.649519 P` (ISO 724) of a standard thread: with calipers over
    /// thread wires this tells which thread a screw has.
    ///
    /// ```
    /// use fallaway_mechanics::{screws::Thread, units::as_mm};
    /// let d2 = Thread::named("M3").unwrap().pitch_diameter().unwrap();
    /// assert!((as_mm(d2) - 2.6752).abs() < 5e-5);
    /// ```
    pub fn pitch_diameter(self) -> Option<Length> {
        // 2 * (3/8) * H with H = sqrt(3)/2 * P.
        self.nominal.map(|d| mm(d - 0.75 * 3f64.sqrt() / 2.0 * self.pitch))
    }

    /// Basic minor diameter `d - 1.082532 P` (ISO 724) of a standard thread.
    ///
    /// ```
    /// use fallaway_mechanics::{screws::Thread, units::as_mm};
    /// let d1 = Thread::named("M3").unwrap().minor_diameter().unwrap();
    /// assert!((as_mm(d1) - 2.4587).abs() < 5e-5);
    /// ```
    pub fn minor_diameter(self) -> Option<Length> {
        // 2 * (5/8) * H with H = sqrt(3)/2 * P.
        self.nominal.map(|d| mm(d - 1.25 * 3f64.sqrt() / 2.0 * self.pitch))
    }
}

/// A direction of turning, seen from the side of the tool.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TurnDirection {
    /// To the right.
    Clockwise,
    /// To the left.
    Anticlockwise,
}

impl TurnDirection {
    /// The other one.
    ///
    /// ```
    /// use fallaway_mechanics::screws::TurnDirection;
    /// assert_eq!(TurnDirection::Clockwise.reversed(), TurnDirection::Anticlockwise);
    /// ```
    #[must_use]
    pub fn reversed(self) -> Self {
        match self {
            Self::Clockwise => Self::Anticlockwise,
            Self::Anticlockwise => Self::Clockwise,
        }
    }
}

impl fmt::Display for TurnDirection {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Clockwise => "clockwise",
            Self::Anticlockwise => "anticlockwise",
        })
    }
}

/// A screw: its thread and, once this instrument has shown it, the direction that raises.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Screw {
    /// The thread, if known.
    pub thread: Option<Thread>,
    /// The direction that raises what the screw carries, if known.
    pub raises: Option<TurnDirection>,
}

/// How turns are rounded to eighths.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TurnRounding {
    /// To the nearest eighth.
    Nearest,
    /// Never past the wanted height.
    ShortOf,
}

/// How far to turn a screw, and what that gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScrewTurn {
    /// Eighths of a turn; positive raises.
    pub eighths: i32,
    /// Which way, if this instrument has shown it and there is anything to turn.
    pub direction: Option<TurnDirection>,
    /// The height that these eighths give; positive raises.
    pub gives: Length,
    /// What was wanted beyond that; positive: still too low.
    pub left_over: Length,
}

impl ScrewTurn {
    /// The turns for a wanted rise or fall of what the screw carries.
    ///
    /// # Errors
    ///
    /// [`Error::Missing`] when the thread is not known; [`Error::Outside`].
    ///
    /// ```
    /// use fallaway_mechanics::screws::{TurnDirection, TurnRounding, Screw, Thread, ScrewTurn};
    /// use fallaway_mechanics::units::{as_mm, mm};
    /// let screw = Screw {
    ///     thread: Some(Thread::named("M3").unwrap()),
    ///     raises: Some(TurnDirection::Clockwise),
    /// };
    /// let turn = ScrewTurn::for_rise(mm(-0.14), screw, TurnRounding::Nearest).unwrap();
    /// assert_eq!(turn.to_string(), "a quarter turn anticlockwise");
    /// assert!((as_mm(turn.gives) + 0.125).abs() < 1e-12);
    /// assert!((as_mm(turn.left_over) + 0.015).abs() < 1e-12);
    /// ```
    pub fn for_rise(rise: Length, screw: Screw, rounding: TurnRounding) -> Result<Self> {
        let rise = Limit::HeightChange.check_mm(rise)?;
        let thread = screw.thread.ok_or(Error::Missing {
            quantity: "thread pitch",
            needed_for: "to turn a height into turns",
        })?;
        let exact = rise / thread.pitch * 8.0;
        let rounded = match rounding {
            TurnRounding::Nearest => exact.round(),
            // A hair's breadth of rounding error must not cost an eighth.
            TurnRounding::ShortOf => (exact + exact.signum() * 1e-9).trunc(),
        };
        // At most 30 mm over the finest pitch, 0.1 mm: 2,400 eighths.
        let eighths = rounded as i32;
        let direction = match eighths.signum() {
            0 => None,
            1 => screw.raises,
            _ => screw.raises.map(TurnDirection::reversed),
        };
        let gives = f64::from(eighths) / 8.0 * thread.pitch;
        Ok(Self { eighths, direction, gives: mm(gives), left_over: mm(rise - gives) })
    }

    /// How far, without the direction: "a quarter turn".
    ///
    /// ```
    /// use fallaway_mechanics::screws::amount_in_words;
    /// assert_eq!(amount_in_words(4), "half a turn");
    /// ```
    pub fn amount(self) -> String {
        amount_in_words(self.eighths)
    }
}

impl fmt::Display for ScrewTurn {
    /// The amount and, where known, the direction.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.amount())?;
        match self.direction {
            Some(direction) => write!(f, " {direction}"),
            None if self.eighths == 0 => Ok(()),
            None => f.write_str(" (direction not known yet: try an eighth and read)"),
        }
    }
}

/// A number of eighths in the hand's words; the sign is left out.
///
/// ```
/// use fallaway_mechanics::screws::amount_in_words;
/// assert_eq!(amount_in_words(2), "a quarter turn");
/// assert_eq!(amount_in_words(-3), "three eighths of a turn");
/// assert_eq!(amount_in_words(9), "one and an eighth turns");
/// assert_eq!(amount_in_words(24), "three turns");
/// ```
pub fn amount_in_words(eighths: i32) -> String {
    const PARTS: [&str; 8] = [
        "",
        "an eighth",
        "a quarter",
        "three eighths",
        "a half",
        "five eighths",
        "three quarters",
        "seven eighths",
    ];
    const NUMBERS: [&str; 13] = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
        "eleven", "twelve",
    ];
    let eighths = eighths.unsigned_abs() as usize;
    let (whole, part) = (eighths / 8, eighths % 8);
    let number = NUMBERS.get(whole).map_or_else(|| whole.to_string(), ToString::to_string);
    let fraction = PARTS.get(part).copied().unwrap_or_default();
    match (whole, part) {
        (0, 0) => "no turn".to_owned(),
        (0, 2) => "a quarter turn".to_owned(),
        (0, 4) => "half a turn".to_owned(),
        (0, _) => format!("{fraction} of a turn"),
        (1, 0) => "one turn".to_owned(),
        (_, 0) => format!("{number} turns"),
        (_, _) => format!("{number} and {fraction} turns"),
    }
}

/// The height that a number of eighths gives on a thread; positive eighths raise.
///
/// # Errors
///
/// [`Error::Outside`].
///
/// ```
/// use fallaway_mechanics::{screws::{rise_of, Thread}, units::as_mm};
/// let m3 = Thread::named("M3").unwrap();
/// assert!((as_mm(rise_of(2, m3).unwrap()) - 0.125).abs() < 1e-12);
/// ```
pub fn rise_of(eighths: i32, thread: Thread) -> Result<Length> {
    let turns = Limit::Turn.check(f64::from(eighths) / 8.0)?;
    Ok(mm(turns * as_mm(thread.pitch())))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn pitches_are_those_of_the_standards() {
        // ISO 261 coarse series and ASME B1.1 UNC, as listed in the reference data.
        for (name, pitch) in [("M2", 0.4), ("M2.5", 0.45), ("M3", 0.5), ("M4", 0.7)] {
            let got = as_mm(Thread::named(name).unwrap().pitch());
            assert!((got - pitch).abs() < 1e-12);
        }
        for (name, tpi) in
            [("#4-40", 40.0), ("#5-40", 40.0), ("#6-32", 32.0), ("#8-32", 32.0), ("#10-24", 24.0)]
        {
            let pitch = as_mm(Thread::named(name).unwrap().pitch());
            assert!((pitch - 25.4 / tpi).abs() < 1e-12);
        }
    }

    #[test]
    fn an_unknown_direction_is_said() {
        let screw = Screw { thread: Some(Thread::named("m3").unwrap()), raises: None };
        let turn = ScrewTurn::for_rise(mm(0.06), screw, TurnRounding::Nearest).unwrap();
        assert_eq!(
            turn.to_string(),
            "an eighth of a turn (direction not known yet: try an eighth and read)"
        );
        let none = ScrewTurn::for_rise(mm(0.01), screw, TurnRounding::Nearest).unwrap();
        assert_eq!(none.to_string(), "no turn");
    }

    #[test]
    fn an_unknown_thread_is_refused() {
        assert!(matches!(
            ScrewTurn::for_rise(mm(0.1), Screw::default(), TurnRounding::Nearest),
            Err(Error::Missing { .. })
        ));
    }

    proptest! {
        #[test]
        fn what_it_gives_and_what_is_left_make_what_was_wanted(
            rise in -30.0..30.0f64, pitch in 0.1..5.0f64, short in proptest::bool::ANY,
        ) {
            let screw = Screw { thread: Some(Thread::own(mm(pitch)).unwrap()), raises: None };
            let rounding = if short { TurnRounding::ShortOf } else { TurnRounding::Nearest };
            let turn = ScrewTurn::for_rise(mm(rise), screw, rounding).unwrap();
            let (gives, left) = (as_mm(turn.gives), as_mm(turn.left_over));
            prop_assert!((gives + left - rise).abs() < 1e-9);
            let limit = if short { pitch / 8.0 } else { pitch / 16.0 };
            prop_assert!(left.abs() <= limit + 1e-9);
            if short {
                prop_assert!(gives.abs() <= rise.abs() + 1e-9);
            }
        }
    }
}
