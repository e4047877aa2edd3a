//! The units that a person prefers.

use std::fmt;
use std::str::FromStr;

use fallaway_measure::Quantity;

/// In what a length is shown that was computed: a forecast, a travel, what is left over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum LengthUnit {
    /// As the tool reads with which it was, or will be, measured; else as this person reads
    /// lengths of its kind ([`crate::Voice::inches`]).
    #[default]
    AsRead,
    /// Millimetres, in decimals.
    Millimetres,
    /// Thousandths of an inch.
    Thou,
    /// Inches, in decimals.
    Inches,
    /// Fractions of an inch.
    InchFractions {
        /// In such parts (2, 4, 8, 16, 32, 64 or 128); `None`: in the divisions of the tool, in 1/64 if
        /// it has none.
        denominator: Option<u16>,
    },
}

impl LengthUnit {
    /// Fractions of an inch in the divisions of the tool.
    pub(crate) const FRACTIONS: Self = Self::InchFractions { denominator: None };

    /// Whether it is one that rules have.
    pub const fn is_sound(self) -> bool {
        match self {
            Self::InchFractions { denominator: Some(parts) } => {
                parts.is_power_of_two() && parts >= 2 && parts <= 128
            }
            _ => true,
        }
    }
}

/// In what a temperature is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum TemperatureUnit {
    /// As it was written down; computed ones in degrees Celsius.
    #[default]
    AsRead,
    /// Degrees Celsius, °C.
    Celsius,
    /// Degrees Fahrenheit, °F.
    Fahrenheit,
}

/// What a length is of, as far as people prefer units for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum LengthOf {
    /// Relief, and other lengths of some tenths of a millimetre.
    Relief,
    /// Height of a string over the upper frets.
    Action,
    /// Height at the nut.
    Nut,
    /// Spacing of strings.
    Spacing,
    /// Distance to a pickup.
    Pickup,
    /// Anything else: scale, saddle travel, radius.
    #[default]
    Other,
}

impl From<Quantity> for LengthOf {
    fn from(quantity: Quantity) -> Self {
        match quantity {
            // Both are read with feeler leaves under a straight line.
            Quantity::Relief { .. } | Quantity::FallAway { .. } => Self::Relief,
            Quantity::Gap { stopped, over } if over.number() == 1 || stopped > over => Self::Nut,
            Quantity::Gap { .. } => Self::Action,
            Quantity::SpacingBridge | Quantity::SpacingNut => Self::Spacing,
            Quantity::PickupGap { .. } => Self::Pickup,
            Quantity::BridgeHeight
            | Quantity::BridgeTail
            | Quantity::Pitch
            | Quantity::Intonation { .. }
            | Quantity::Other(_) => Self::Other,
        }
    }
}

/// Which kinds of length a person reads in inches: feelers in millimetres and a rule in sixty-fourths lie on many
/// benches beside each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct InInches(u8);

impl InInches {
    /// Every length in inches.
    pub const ALL: Self = Self(u8::MAX);

    /// Also lengths of this kind.
    #[must_use]
    pub const fn and(self, of: LengthOf) -> Self {
        Self(self.0 | Self::bit(of))
    }

    /// Whether lengths of this kind are read in inches.
    pub const fn has(self, of: LengthOf) -> bool {
        self.0 & Self::bit(of) != 0
    }

    const fn bit(of: LengthOf) -> u8 {
        1 << of as u8
    }
}

/// The units that a person prefers, for each kind of length and for temperatures.
///
/// What somebody read off a tool is shown as it was read, whatever is preferred here, unless
/// [`Units::convert_readings`] asks for more.
///
/// As text: `mm`, `thou`, `in`, `fractions` (`1/32` for those alone) or `as-read` for every length, then exceptions, such as
/// `mm, relief thou, temperature F, readings too`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Units {
    /// In what relief is shown.
    pub relief: LengthUnit,
    /// In what action is shown, at any fret.
    pub action: LengthUnit,
    /// Height at the nut.
    pub nut: LengthUnit,
    /// Spacing of strings.
    pub spacing: LengthUnit,
    /// Height of pickups.
    pub pickup: LengthUnit,
    /// Every other length.
    pub other: LengthUnit,
    /// In which degrees temperatures are shown.
    pub temperature: TemperatureUnit,
    /// Whether readings, targets and facts are converted too.
    pub convert_readings: bool,
}

impl Units {
    /// One unit for every length.
    #[must_use]
    pub const fn all(unit: LengthUnit) -> Self {
        Self {
            relief: unit,
            action: unit,
            nut: unit,
            spacing: unit,
            pickup: unit,
            other: unit,
            temperature: TemperatureUnit::AsRead,
            convert_readings: false,
        }
    }

    /// The unit for a kind of length.
    pub const fn length(&self, of: LengthOf) -> LengthUnit {
        match of {
            LengthOf::Relief => self.relief,
            LengthOf::Action => self.action,
            LengthOf::Nut => self.nut,
            LengthOf::Spacing => self.spacing,
            LengthOf::Pickup => self.pickup,
            LengthOf::Other => self.other,
        }
    }
}

const LENGTHS: [(&str, LengthUnit); 5] = [
    ("as-read", LengthUnit::AsRead),
    ("mm", LengthUnit::Millimetres),
    ("thou", LengthUnit::Thou),
    ("in", LengthUnit::Inches),
    ("fractions", LengthUnit::FRACTIONS),
];

const TEMPERATURES: [(&str, TemperatureUnit); 3] = [
    ("as-read", TemperatureUnit::AsRead),
    ("C", TemperatureUnit::Celsius),
    ("F", TemperatureUnit::Fahrenheit),
];

fn word<T: PartialEq>(known: &[(&'static str, T)], wanted: &T) -> &'static str {
    known.iter().find(|(_, unit)| unit == wanted).map_or("", |(word, _)| *word)
}

/// The word of a length's unit.
fn length_word(unit: LengthUnit) -> String {
    match unit {
        LengthUnit::InchFractions { denominator: Some(parts) } => format!("1/{parts}"),
        unit => word(&LENGTHS, &unit).to_owned(),
    }
}

/// The length's unit of a word.
fn length_named(wanted: &str) -> Option<LengthUnit> {
    let parts = || {
        let denominator = Some(wanted.strip_prefix("1/")?.parse().ok()?);
        Some(LengthUnit::InchFractions { denominator }).filter(|unit| unit.is_sound())
    };
    named(&LENGTHS, wanted).or_else(parts)
}

fn named<T: Copy>(known: &[(&'static str, T)], wanted: &str) -> Option<T> {
    known.iter().find(|(word, _)| *word == wanted).map(|(_, unit)| *unit)
}

impl fmt::Display for Units {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&length_word(self.other))?;
        for (of, unit) in [
            ("relief", self.relief),
            ("action", self.action),
            ("nut", self.nut),
            ("spacing", self.spacing),
            ("pickup", self.pickup),
        ] {
            if unit != self.other {
                write!(f, ", {of} {}", length_word(unit))?;
            }
        }
        if self.temperature != TemperatureUnit::AsRead {
            write!(f, ", temperature {}", word(&TEMPERATURES, &self.temperature))?;
        }
        if self.convert_readings { f.write_str(", readings too") } else { Ok(()) }
    }
}

/// A text that does not name units.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnitsError {
    /// The part that means nothing here.
    pub part: String,
}

impl FromStr for Units {
    type Err = UnitsError;

    fn from_str(text: &str) -> Result<Self, UnitsError> {
        let mut units = Self::default();
        for part in text.split(',').map(str::trim).filter(|part| !part.is_empty()) {
            let error = || UnitsError { part: part.chars().take(40).collect() };
            match part.split_once(' ') {
                None => {
                    let lengths = Self::all(length_named(part).ok_or_else(error)?);
                    let Self { temperature, convert_readings, .. } = units;
                    units = Self { temperature, convert_readings, ..lengths };
                }
                Some(("temperature", unit)) => {
                    units.temperature = named(&TEMPERATURES, unit.trim()).ok_or_else(error)?;
                }
                Some(("readings", "too")) => units.convert_readings = true,
                Some((of, unit)) => {
                    let slot = match of {
                        "relief" => &mut units.relief,
                        "action" => &mut units.action,
                        "nut" => &mut units.nut,
                        "spacing" => &mut units.spacing,
                        "pickup" => &mut units.pickup,
                        _ => return Err(error()),
                    };
                    *slot = length_named(unit.trim()).ok_or_else(error)?;
                }
            }
        }
        Ok(units)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_read_back_as_shown() {
        for text in
            ["as-read", "mm", "1/32, relief thou", "fractions, nut in, temperature F, readings too"]
        {
            assert_eq!(text.parse::<Units>().unwrap().to_string(), text);
        }
        assert_eq!("mm, relief furlong".parse::<Units>().unwrap_err().part, "relief furlong");
        assert_eq!("1/48".parse::<Units>().unwrap_err().part, "1/48");
        assert_eq!("mm".parse::<Units>(), Ok(Units::all(LengthUnit::Millimetres)));
    }
}
