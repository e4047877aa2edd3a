//! Units in which readings are written down.

use std::fmt;

/// What an amount measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// Heights, gaps, relief, spacing, scale length.
    Length,
    /// Musical interval, in cents (1200 to the octave).
    Interval,
    /// Pitch as a frequency.
    Frequency,
    /// Relative humidity and other shares.
    Share,
    /// Temperature of the air.
    Temperature,
    /// Force: the tension of a string, in newtons.
    Force,
    /// Turns of a screw or nut, angles.
    Rotation,
    /// Written by a newer version.
    Other,
}

impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Length => "a length",
            Self::Interval => "an interval in cents",
            Self::Frequency => "a frequency",
            Self::Share => "a percentage",
            Self::Temperature => "a temperature",
            Self::Force => "a force",
            Self::Rotation => "a rotation",
            Self::Other => "something that a newer version wrote",
        })
    }
}

/// The unit in which a number was written. Fractions of an inch are [`crate::Fraction`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Millimetre, `mm`.
    Millimetre,
    /// Decimal inch, `in`: 25.4 mm exactly (international yard and pound agreement of 1959; NIST
    /// Special Publication 811, appendix B.8).
    Inch,
    /// Thousandth of an inch, `thou`: 0.0254 mm exactly.
    Thou,
    /// Cent, `cent`: a hundredth of an equal-tempered semitone.
    Cent,
    /// Hertz, `Hz`.
    Hertz,
    /// Percent, `%`.
    Percent,
    /// Degree Celsius, `°C`.
    Celsius,
    /// Newton, `N`.
    Newton,
    /// Degree of angle, `°`.
    Degree,
    /// Full turn, `turn`; clockwise as seen from the tool is positive.
    Turn,
    /// Degree Fahrenheit, `°F`.
    Fahrenheit,
    /// A unit that a newer version wrote, by its number.
    Other(u16),
}

impl Unit {
    /// Every unit that this version knows.
    pub const KNOWN: [Unit; 11] = [
        Self::Millimetre,
        Self::Inch,
        Self::Thou,
        Self::Cent,
        Self::Hertz,
        Self::Percent,
        Self::Celsius,
        Self::Newton,
        Self::Degree,
        Self::Turn,
        Self::Fahrenheit,
    ];

    /// The number that stands for the unit on disk and on the wire, for ever.
    pub const fn number(self) -> u16 {
        match self {
            Self::Millimetre => 0,
            Self::Inch => 1,
            Self::Thou => 2,
            Self::Cent => 3,
            Self::Hertz => 4,
            Self::Percent => 5,
            Self::Celsius => 6,
            Self::Newton => 7,
            Self::Degree => 8,
            Self::Turn => 9,
            Self::Fahrenheit => 10,
            Self::Other(number) => number,
        }
    }

    /// The unit with this number; [`Unit::Other`] if this version does not know it.
    pub const fn from_number(number: u16) -> Self {
        match number {
            0 => Self::Millimetre,
            1 => Self::Inch,
            2 => Self::Thou,
            3 => Self::Cent,
            4 => Self::Hertz,
            5 => Self::Percent,
            6 => Self::Celsius,
            7 => Self::Newton,
            8 => Self::Degree,
            9 => Self::Turn,
            10 => Self::Fahrenheit,
            other => Self::Other(other),
        }
    }

    /// What the unit measures.
    pub const fn dimension(self) -> Dimension {
        match self {
            Self::Millimetre | Self::Inch | Self::Thou => Dimension::Length,
            Self::Cent => Dimension::Interval,
            Self::Hertz => Dimension::Frequency,
            Self::Percent => Dimension::Share,
            Self::Celsius | Self::Fahrenheit => Dimension::Temperature,
            Self::Newton => Dimension::Force,
            Self::Degree | Self::Turn => Dimension::Rotation,
            Self::Other(_) => Dimension::Other,
        }
    }
}

/// The symbol; `unit N` for one that a newer version wrote.
impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Millimetre => "mm",
            Self::Inch => "in",
            Self::Thou => "thou",
            Self::Cent => "cent",
            Self::Hertz => "Hz",
            Self::Percent => "%",
            Self::Celsius => "°C",
            Self::Newton => "N",
            Self::Degree => "°",
            Self::Turn => "turn",
            Self::Fahrenheit => "°F",
            Self::Other(number) => return write!(f, "unit {number}"),
        })
    }
}

impl Dimension {
    /// The units in which it is written, for messages.
    pub const fn units(self) -> &'static str {
        match self {
            Self::Length => "mm, in, \", thou",
            Self::Interval => "cent",
            Self::Frequency => "Hz",
            Self::Share => "%",
            Self::Temperature => "°C, °F",
            Self::Force => "N",
            Self::Rotation => "turn, °",
            Self::Other => "unit and its number",
        }
    }

    /// Amounts in forms that are accepted whatever the language, with `", "` between them.
    pub const fn examples(self) -> &'static str {
        match self {
            Self::Length => "5/64, 1 1/16 in, .078 in, 12 thou, 1.98 mm, 1,98",
            Self::Interval => "-3, 2.5 cent",
            Self::Frequency => "41.2 Hz",
            Self::Share => "45 %",
            Self::Temperature => "21 °C, 70 °F",
            Self::Force => "180 N",
            Self::Rotation => "1/4 turn, -0.125 turn, 45°",
            Self::Other => "12 unit 77",
        }
    }

    /// The same for a reading that is no amount, such as what two leaves say; empty where nobody reads like that.
    pub const fn bounds(self) -> &'static str {
        match self {
            Self::Length => "<= 0, touches, .010 goes .012 not",
            _ => "",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_round_trip() {
        for unit in Unit::KNOWN {
            assert_eq!(Unit::from_number(unit.number()), unit);
        }
        assert_eq!(Unit::from_number(77), Unit::Other(77));
    }
}
