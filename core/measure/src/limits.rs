//! Within which limits a number is taken: one table for the mathematics and the record.
//!
//! A limit keeps slips of the finger or the unit away from a formula; it is nobody's target. Each
//! entry says where it comes from. "Common practice, no source" and "a choice" are what they say: wide
//! margins around what instruments have, or the range in which a formula was tried.

use uom::si::f64::Length;
use uom::si::length::millimeter;

use crate::{Amount, Decimal, Unit, number_in};

/// The unit in which a limit is stated.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LimitUnit {
    /// A count, a share or a ratio.
    One,
    /// Millimetres, of lengths.
    Millimetre,
    /// Curvature in 1/mm: one over the radius.
    PerMillimetre,
    /// Radians, of angles.
    Radian,
    /// Thousandths of a radian.
    Milliradian,
    /// Newtons, of forces.
    Newton,
    /// Stiffness in N/mm.
    NewtonPerMillimetre,
    /// Hertz, of frequencies.
    Hertz,
    /// Cents, of intervals between notes.
    Cent,
    /// Whole turns of a screw.
    Turn,
    /// Frets, counted from the nut.
    Fret,
    /// Seconds, of time.
    Second,
    /// Minutes, of time.
    Minute,
    /// Gigapascals, of Young's modulus.
    Gigapascal,
    /// Mass per length.
    KilogramPerMetre,
    /// Density in kg/m³.
    KilogramPerCubicMetre,
    /// Acceleration in m/s².
    MetrePerSecondSquared,
    /// Thermal expansion in 1/K: strain for each kelvin.
    PerKelvin,
    /// Hundredths of the whole.
    Percent,
    /// Degrees Celsius, of the air.
    Celsius,
}

impl LimitUnit {
    /// The sign of the unit; empty for a plain number.
    ///
    /// ```
    /// assert_eq!(fallaway_measure::LimitUnit::Millimetre.symbol(), "mm");
    /// ```
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::One => "",
            Self::Millimetre => "mm",
            Self::PerMillimetre => "1/mm",
            Self::Radian => "rad",
            Self::Milliradian => "mrad",
            Self::Newton => "N",
            Self::NewtonPerMillimetre => "N/mm",
            Self::Hertz => "Hz",
            Self::Cent => "cents",
            Self::Turn => "turns",
            Self::Fret => "frets",
            Self::Second => "s",
            Self::Minute => "min",
            Self::Gigapascal => "GPa",
            Self::KilogramPerMetre => "kg/m",
            Self::KilogramPerCubicMetre => "kg/m³",
            Self::MetrePerSecondSquared => "m/s²",
            Self::PerKelvin => "1/K",
            Self::Percent => "%",
            Self::Celsius => "°C",
        }
    }

    /// The same unit as people read it, where they do.
    const fn read(self) -> Option<Unit> {
        match self {
            Self::Millimetre => Some(Unit::Millimetre),
            Self::Newton => Some(Unit::Newton),
            Self::Hertz => Some(Unit::Hertz),
            Self::Cent => Some(Unit::Cent),
            Self::Percent => Some(Unit::Percent),
            Self::Celsius => Some(Unit::Celsius),
            Self::One
            | Self::PerMillimetre
            | Self::Radian
            | Self::Milliradian
            | Self::NewtonPerMillimetre
            | Self::Turn
            | Self::Fret
            | Self::Second
            | Self::Minute
            | Self::Gigapascal
            | Self::KilogramPerMetre
            | Self::KilogramPerCubicMetre
            | Self::MetrePerSecondSquared
            | Self::PerKelvin => None,
        }
    }
}

/// Where a limit comes from, for the table and its documentation.
macro_rules! source {
    (practice) => {
        "common practice, no source"
    };
    (choice) => {
        "a choice: the range in which the formula was tried"
    };
    ($text:literal) => {
        $text
    };
}

macro_rules! limits {
    ($($entry:ident: $name:literal, $unit:ident, $least:literal to $most:literal, $source:tt;)*) => {
        /// A quantity that is taken within limits.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum Limit {
            $(
                #[doc = concat!(
                    $name, ": ", stringify!($least), " to ", stringify!($most), " (",
                    stringify!($unit), "; ", source!($source), ")."
                )]
                $entry,
            )*
        }

        impl Limit {
            /// Every limit, in the order of the table.
            pub const ALL: &'static [Self] = &[$(Self::$entry),*];

            const fn entry(self) -> (&'static str, LimitUnit, f64, f64, &'static str) {
                match self {
                    $(Self::$entry => ($name, LimitUnit::$unit, $least, $most, source!($source)),)*
                }
            }
        }
    };
}

limits! {
    // Along the string.
    ScaleLength: "scale length", Millimetre, 100.0 to 3000.0, practice;
    SpeakingLength: "speaking length", Millimetre, 50.0 to 3000.0, practice;
    AnchoredLength: "anchored length", Millimetre, 100.0 to 4000.0, practice;
    FromNut: "distance from the nut", Millimetre, -100.0 to 3100.0, practice;
    Compensation: "compensation", Millimetre, -20.0 to 60.0, practice;
    WitnessMove: "move along the string", Millimetre, -50.0 to 50.0, practice;
    SaddleTravel: "travel of the saddle", Millimetre, 0.0 to 100.0, practice;
    PluckPlace: "place of the pluck", Millimetre, 10.0 to 1500.0, practice;
    StringShare: "share of the string's length", One, 0.0 to 1.0, "the whole string";

    // Heights.
    SaddleHeight: "saddle height", Millimetre, -30.0 to 60.0, practice;
    NutHeight: "nut slot height", Millimetre, -5.0 to 10.0, practice;
    SaddleRise: "rise of the saddle over the nut", Millimetre, -5.0 to 30.0, practice;
    Gap: "gap", Millimetre, -10.0 to 30.0, practice;
    GapRead: "gap that was read", Millimetre, 0.0 to 30.0, practice;
    Relief: "relief", Millimetre, -10.0 to 10.0, practice;
    FallAway: "fall of the board", Millimetre, -3.0 to 3.0, practice;
    ReliefChange: "change of relief", Millimetre, -5.0 to 5.0, practice;
    HeightChange: "change of height", Millimetre, -30.0 to 30.0, practice;
    CrownOffset: "crown off the smooth line", Millimetre, -3.0 to 3.0, practice;
    HeightOverLine: "height over the reference line", Millimetre, -100.0 to 100.0, practice;
    FretHeight: "fret height", Millimetre, 0.1 to 5.0, practice;
    PickupGap: "pickup gap", Millimetre, 0.0 to 30.0, practice;
    BridgeHeight: "height of the bridge plate over the body", Millimetre, 0.0 to 40.0, practice;
    LengthUncertainty: "standard uncertainty of a length", Millimetre, 0.0 to 10.0, practice;
    ReaderOffset: "offset between readers", Millimetre, -10.0 to 10.0, practice;
    EdgeTolerance: "tolerance of the straight edge", Millimetre, 0.0 to 1.0, practice;
    SpareGap: "spare gap", Millimetre, -1.0 to 3.0, practice;
    ShimThickness: "shim thickness", Millimetre, 0.0 to 10.0, practice;
    PocketLength: "pocket length", Millimetre, 20.0 to 200.0, practice;

    // Across the strings.
    BoardRadius: "board radius", Millimetre, 50.0 to 10_000.0, practice;
    FromMiddle: "offset from the middle", Millimetre, -150.0 to 150.0, practice;
    BridgePlace: "place across the bridge", Millimetre, -500.0 to 500.0, practice;
    Spread: "spread of the outer strings", Millimetre, 10.0 to 250.0, practice;
    Width: "width", Millimetre, 10.0 to 250.0, practice;
    EdgeMargin: "margin to the edge", Millimetre, 0.0 to 50.0, practice;
    StringCentre: "string centre", Millimetre, -50.0 to 300.0, practice;
    StringSpacing: "distance between string centres", Millimetre, 1.0 to 60.0, practice;
    SidewaysMove: "sideways move", Millimetre, -20.0 to 20.0, practice;
    Bend: "bend", Millimetre, -60.0 to 60.0, practice;
    ShareAcross: "place across the strings, as a share", One, 0.0 to 1.0, "first to last string";

    // The neck as a curve.
    NeckCurvature: "neck curvature", PerMillimetre, -0.001 to 0.001, practice;
    NeckTilt: "tilt of the neck", Radian, -0.05 to 0.05, practice;
    TiltChange: "usual change of tilt", Milliradian, 0.01 to 10.0, choice;
    JointFret: "joint fret", Fret, 1.0 to 36.0, practice;
    JointUncertainty: "uncertainty of the joint", Fret, 0.0 to 6.0, choice;

    // Counts.
    Frets: "number of frets", One, 1.0 to 36.0, practice;
    Fret: "fret", One, 0.0 to 36.0, practice;
    Strings: "number of strings", One, 1.0 to 64.0, choice;
    Springs: "number of springs", One, 0.0 to 8.0, practice;
    Saddles: "number of saddles", One, 1.0 to 64.0, choice;
    SaddleScrews: "screws of a saddle", One, 1.0 to 4.0, practice;
    Pickups: "number of pickups", One, 0.0 to 8.0, practice;

    // Screws.
    ThreadPitch: "thread pitch", Millimetre, 0.1 to 5.0, "finer than ISO 261, and as coarse as its M48 (from memory)";
    Turn: "turn of a screw", Turn, -50.0 to 50.0, practice;
    RodTurn: "turn of the rod", Turn, -4.0 to 4.0, practice;

    // Strings.
    StringGauge: "string gauge", Millimetre, 0.05 to 6.0, practice;
    CoreDiameter: "core diameter", Millimetre, 0.05 to 3.0, practice;
    WireDiameter: "winding wire diameter", Millimetre, 0.02 to 2.0, practice;
    MassPerLength: "mass per length", KilogramPerMetre, 0.00001 to 1.0, practice;
    Density: "density", KilogramPerCubicMetre, 500.0 to 25_000.0, "below wood, above platinum alloys";
    Modulus: "modulus", Gigapascal, 0.1 to 400.0, "soft polymers to tungsten, in round numbers";
    StressLimit: "stress limit", Gigapascal, 0.01 to 5.0, practice;
    ThermalExpansion: "thermal expansion", PerKelvin, -0.00001 to 0.0001, practice;
    Gravity: "gravity", MetrePerSecondSquared, 9.65 to 9.91, "9.78 to 9.83 on the ground, widened";
    Tension: "tension", Newton, 0.1 to 2000.0, practice;
    TensionSum: "sum of string tensions", Newton, 0.0 to 72_000.0, practice;
    TensionChange: "change of tension", Newton, -500.0 to 500.0, practice;
    TuningAccuracy: "tuning accuracy", Newton, 0.001 to 1000.0, choice;
    Inharmonicity: "inharmonicity", One, 0.0 to 0.1, choice;
    StiffnessRatio: "stiffness ratio", One, 0.0 to 0.1, choice;
    TensionPerStretch: "tension per stretch", One, 0.0 to 2000.0, choice;

    // Bridges on springs.
    SpringStiffness: "spring stiffness", NewtonPerMillimetre, 0.01 to 100.0, practice;
    StringStiffness: "string stiffness", NewtonPerMillimetre, 0.1 to 1000.0, practice;
    PivotArm: "arm to the pivot", Millimetre, 1.0 to 100.0, practice;
    PivotReach: "distance of saddle and pivot", Millimetre, -50.0 to 100.0, practice;
    SaddleFactor: "saddle factor", One, 1.0 to 1000.0, choice;

    // Pitch.
    A4: "A4", Hertz, 380.0 to 500.0, "around 390 to 470 Hz in history, from memory; ISO 16 has 440";
    Frequency: "frequency", Hertz, 8.0 to 12_500.0, "the notes C-1 to G9 at A4 = 440 Hz, rounded inward";
    PitchShift: "shift of pitch", Cent, -12_000.0 to 12_000.0, "ten octaves: all that is heard";
    PitchReading: "pitch reading", Cent, -6000.0 to 6000.0, "five octaves: beyond any tuner's doubt";
    Intonation: "intonation reading", Cent, -300.0 to 300.0, practice;
    IntonationUncertainty: "uncertainty of an intonation reading", Cent, 0.0 to 100.0, practice;
    Partial: "partial", One, 1.0 to 1000.0, choice;
    Overtone: "partial above the first", One, 2.0 to 1000.0, choice;
    PartialSharpness: "height of the partial", Cent, 0.0 to 1200.0, choice;

    // The pluck.
    PluckForce: "vertical force", Newton, 0.0 to 50.0, practice;
    PluckFactor: "factor k", One, 0.0 to 3.0, choice;
    FingerWidth: "width of the finger", Millimetre, 1.0 to 30.0, practice;
    DecayTime: "decay time", Second, 0.1 to 60.0, practice;
    Periods: "periods", One, 1.0 to 100.0, choice;
    Modes: "modes", One, 8.0 to 400.0, choice;
    Instants: "instants per period", One, 32.0 to 2048.0, choice;
    GridCells: "grid cells", One, 100.0 to 10_000.0, choice;

    // Wood and climate.
    Temperature: "temperature", Celsius, -1.2 to 71.2, "30 to 160 F: W. T. Simpson, USDA FPL-RN-0268";
    Humidity: "relative humidity", Percent, 0.0 to 100.0, "dry to saturated";
    Moisture: "moisture content", Percent, 0.0 to 35.0, "beyond the fibre saturation of wood, about 30 %";

    // What is learned.
    SharedOffsets: "number of shared offsets", One, 0.0 to 256.0, choice;
    Coefficients: "coefficients", One, 1.0 to 64.0, choice;
    DataPoints: "data points", One, 0.0 to 100_000.0, choice;
    DataValue: "value of a data point", One, -1_000_000.0 to 1_000_000.0, choice;
    DataUncertainty: "uncertainty of a data point", One, 0.000_000_001 to 1_000_000.0, choice;
    PredictionUncertainty: "uncertainty of a prediction", One, 0.0 to 1_000_000.0, choice;
    Coverage: "coverage", One, 0.01 to 0.999, choice;
    Degrees: "degrees of freedom", One, 1.0 to 1_000_000.0, choice;
}

impl Limit {
    /// The quantity in English; unique in the table, so that other languages can look it up.
    pub const fn name(self) -> &'static str {
        self.entry().0
    }

    /// The unit of [`Self::least`], [`Self::most`] and of what [`Self::check`] takes.
    pub const fn unit(self) -> LimitUnit {
        self.entry().1
    }

    /// Smallest accepted value.
    pub const fn least(self) -> f64 {
        self.entry().2
    }

    /// Largest accepted value.
    pub const fn most(self) -> f64 {
        self.entry().3
    }

    /// Where the limits come from.
    pub const fn source(self) -> &'static str {
        self.entry().4
    }

    /// Accepts a number within the limits, both included.
    ///
    /// # Errors
    /// [`OutsideLimit`] for any other, infinite or no number at all.
    ///
    /// ```
    /// use fallaway_measure::{Limit, OutsideLimit};
    /// assert_eq!(Limit::RodTurn.check(0.25), Ok(0.25));
    /// assert_eq!(Limit::RodTurn.check(9.0), Err(OutsideLimit { limit: Limit::RodTurn, given: 9.0 }));
    /// ```
    pub fn check(self, given: f64) -> Result<f64, OutsideLimit> {
        let taken = (self.least()..=self.most()).contains(&given);
        if taken { Ok(given) } else { Err(OutsideLimit { limit: self, given }) }
    }

    /// Accepts a length within limits that are stated in mm, and returns it in mm.
    ///
    /// # Errors
    /// As [`Self::check`].
    pub fn check_mm(self, given: Length) -> Result<f64, OutsideLimit> {
        self.check(given.get::<millimeter>())
    }

    /// Whether an amount lies within the limits, whatever its unit; not if it measures something else.
    ///
    /// ```
    /// use fallaway_measure::{Amount, Limit, Unit};
    /// assert!(Limit::ScaleLength.takes(Amount::decimal(34, 0, Unit::Inch)?));
    /// assert!(!Limit::ScaleLength.takes(Amount::decimal(34, 0, Unit::Millimetre)?));
    /// assert!(!Limit::ScaleLength.takes(Amount::decimal(440, 0, Unit::Hertz)?));
    /// # Ok::<(), fallaway_measure::ValueError>(())
    /// ```
    pub fn takes(self, given: Amount) -> bool {
        let number = self.unit().read().and_then(|unit| number_in(given, unit));
        number.is_some_and(|number| self.check(number).is_ok())
    }

    /// Least and most as people read them; `None` in a unit that nobody reads.
    ///
    /// ```
    /// let (least, most) = fallaway_measure::Limit::GapRead.ends().unwrap();
    /// assert_eq!((least.to_string().as_str(), most.to_string().as_str()), ("0 mm", "30 mm"));
    /// ```
    pub fn ends(self) -> Option<(Amount, Amount)> {
        let unit = self.unit().read()?;
        let amount = |number| Some(Amount::Decimal { value: Decimal::nearest(number)?, unit });
        Some((amount(self.least())?, amount(self.most())?))
    }

    /// What is accepted, in English: "100 to 3000 mm".
    pub fn range(self) -> String {
        format!("{} to {}", self.least(), self.with_unit(self.most()))
    }

    fn with_unit(self, number: f64) -> String {
        let space = if self.unit() == LimitUnit::One { "" } else { " " };
        format!("{number}{space}{}", self.unit().symbol())
    }

    /// Accepts a count.
    ///
    /// # Errors
    /// As [`Self::check`].
    pub fn check_count(self, given: usize) -> Result<(), OutsideLimit> {
        self.check(given as f64).map(|_| ())
    }
}

/// A number outside its limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutsideLimit {
    /// The limits, with their quantity and unit.
    pub limit: Limit,
    /// What was given, in the unit of the limit; may be infinite or no number.
    pub given: f64,
}

/// In English, for logs.
impl std::fmt::Display for OutsideLimit {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self { limit, given } = self;
        let (name, range) = (limit.name(), limit.range());
        if given.is_finite() {
            write!(f, "{name}: {} is outside {range}", limit.with_unit(*given))
        } else {
            write!(f, "{name}: not a finite number; give {range}")
        }
    }
}

impl std::error::Error for OutsideLimit {}
