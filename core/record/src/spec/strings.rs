//! Strings and the notes that they are tuned to.

use std::fmt;
use std::str::FromStr;

use fallaway_measure::{Amount, Decimal};
use minicbor::{Decode, Decoder, Encode, Encoder, decode, encode};

use crate::numbered::numbered;

/// A note of the equal-tempered scale, with an offset in cents where the tuning asks for one.
///
/// The number is that of the MIDI 1.0 specification: 69 is A4, one more is a semitone higher.
/// Octaves are counted as in scientific pitch notation, so the lowest string of a bass is E1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Note {
    number: u8,
    cents: Decimal,
}

/// A text that does not name a note.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "{text:?} is not a note: expected a letter A to G, # or b if any, and an octave, such as E1, F#2, \
     Bb0, with an offset in cents if there is one: A4-2.5 (at most 100 either way)"
)]
pub struct NoteError {
    /// What was given, cut to 20 characters.
    pub text: String,
}

impl Note {
    /// Largest note number.
    pub const MAX: u8 = 127;
    /// Largest offset in cents, either way.
    pub const MAX_CENTS: i64 = 100;

    /// A note by its number; `None` above [`Self::MAX`].
    pub fn new(number: u8) -> Option<Self> {
        (number <= Self::MAX).then_some(Self { number, cents: Decimal::ZERO })
    }

    /// The same note some cents higher; `None` beyond [`Self::MAX_CENTS`].
    pub fn with_cents(self, cents: Decimal) -> Option<Self> {
        (cents.value().abs() <= Self::MAX_CENTS as f64).then_some(Self { cents, ..self })
    }

    /// Its number; 69 is A4.
    pub const fn number(self) -> u8 {
        self.number
    }

    /// Offset from the tempered note in cents.
    pub const fn cents(self) -> Decimal {
        self.cents
    }

    /// Frequency in hertz for a given frequency of A4: `A4 * 2^((n - 69)/12)`, with A4 = 440 Hz in
    /// ISO 16:1975.
    pub fn frequency_hz(self, a4_hz: f64) -> f64 {
        let semitones = f64::from(self.number) - 69.0 + self.cents.value() / 100.0;
        a4_hz * (semitones / 12.0).exp2()
    }

    /// The letter without its octave: "E", "F#".
    pub fn letter(self) -> &'static str {
        ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"]
            .get(usize::from(self.number % 12))
            .copied()
            .unwrap_or_default()
    }
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.letter(), i16::from(self.number) / 12 - 1)?;
        match self.cents.digits() {
            0 => Ok(()),
            1.. => write!(f, "+{}", self.cents),
            _ => write!(f, "{}", self.cents),
        }
    }
}

impl FromStr for Note {
    type Err = NoteError;

    fn from_str(text: &str) -> Result<Self, NoteError> {
        let error = || NoteError { text: text.chars().take(20).collect() };
        let mut letters = text.trim().chars();
        let semitone = match letters.next().map(|letter| letter.to_ascii_uppercase()) {
            Some('C') => 0,
            Some('D') => 2,
            Some('E') => 4,
            Some('F') => 5,
            Some('G') => 7,
            Some('A') => 9,
            Some('B') => 11,
            _ => return Err(error()),
        };
        let rest = letters.as_str();
        let (accidental, octave) = match rest.strip_prefix(['#', '♯']) {
            Some(octave) => (1, octave),
            None => match rest.strip_prefix(['b', '♭']) {
                Some(octave) => (-1, octave),
                None => (0, rest),
            },
        };
        let digits = if octave.starts_with("-1") { 2 } else { 1 };
        let (octave, cents) = octave.split_at_checked(digits).ok_or_else(error)?;
        let octave: i16 = match octave {
            "-1" => -1,
            digit if digit.bytes().all(|b| b.is_ascii_digit()) => {
                digit.parse().map_err(|_| error())?
            }
            _ => return Err(error()),
        };
        let number = (octave + 1) * 12 + semitone + accidental;
        let note = u8::try_from(number).ok().and_then(Self::new).ok_or_else(error)?;
        let note = if cents.is_empty() {
            Some(note)
        } else {
            offset(cents).and_then(|cents| note.with_cents(cents))
        };
        note.ok_or_else(error)
    }
}

/// An offset in cents with its sign, "+3" or "-2.5".
fn offset(text: &str) -> Option<Decimal> {
    let (sign, magnitude) = match text.strip_prefix('-') {
        Some(magnitude) => (-1, magnitude),
        None => (1, text.strip_prefix('+')?),
    };
    let (whole, part) = magnitude.split_once('.').unwrap_or((magnitude, ""));
    let plain = |text: &str| text.len() <= 9 && text.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty() || !plain(whole) || !plain(part) || magnitude.ends_with('.') {
        return None;
    }
    let digits: i64 = format!("{whole}{part}").parse().ok()?;
    Decimal::new(sign * digits, u8::try_from(part.len()).ok()?).ok()
}

/// The number alone, or `[number, digits, places]` with an offset.
impl<C> Encode<C> for Note {
    fn encode<W: encode::Write>(
        &self,
        e: &mut Encoder<W>,
        _: &mut C,
    ) -> Result<(), encode::Error<W::Error>> {
        if self.cents == Decimal::ZERO {
            return e.u8(self.number)?.ok();
        }
        e.array(3)?.u8(self.number)?.i64(self.cents.digits())?.u8(self.cents.places())?.ok()
    }
}

impl<'b, C> Decode<'b, C> for Note {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        let wrong = || decode::Error::message("no such note");
        if d.datatype()? != minicbor::data::Type::Array {
            return Self::new(d.u8()?).ok_or_else(wrong);
        }
        if d.array()? != Some(3) {
            return Err(wrong());
        }
        let note = Self::new(d.u8()?).ok_or_else(wrong)?;
        let cents = Decimal::new(d.i64()?, d.u8()?).map_err(|_| wrong())?;
        note.with_cents(cents).ok_or_else(wrong)
    }
}

numbered! {
    /// How a string is made.
    Construction {
        /// A plain wire.
        Plain = 1, "plain";
        /// A core wound with round wire.
        RoundWound = 2, "round-wound";
        /// Round-wound, then ground or rolled half flat.
        HalfWound = 3, "half-wound";
        /// Wound with flat wire.
        FlatWound = 4, "flat-wound";
        /// Wound with tape.
        TapeWound = 5, "tape-wound";
        /// Nylon or another polymer, plain or wound.
        Polymer = 6, "polymer";
    }
}

numbered! {
    /// The unit in which a pack states mass for length.
    UnitWeightUnit {
        /// Pounds an inch.
        PoundPerInch = 1, "lb/in";
        /// Grams a metre.
        GramPerMetre = 2, "g/m";
    }
}

/// Mass for length as printed on the pack.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct UnitWeight {
    /// The number as printed.
    pub value: Decimal,
    /// Its unit.
    pub unit: UnitWeightUnit,
}

impl UnitWeight {
    /// Kilograms a metre; `None` for a unit of a newer version. A pound is 0.45359237 kg and an inch
    /// 0.0254 m exactly (NIST Special Publication 811, appendix B.8).
    pub fn kilograms_per_metre(self) -> Option<f64> {
        match self.unit {
            UnitWeightUnit::PoundPerInch => Some(self.value.value() * 0.453_592_37 / 0.0254),
            UnitWeightUnit::GramPerMetre => Some(self.value.value() / 1000.0),
            UnitWeightUnit::Other(_) => None,
        }
    }
}

/// `[unit, digits, places]`.
impl<C> Encode<C> for UnitWeight {
    fn encode<W: encode::Write>(
        &self,
        e: &mut Encoder<W>,
        _: &mut C,
    ) -> Result<(), encode::Error<W::Error>> {
        e.array(3)?.encode(self.unit)?.i64(self.value.digits())?.u8(self.value.places())?.ok()
    }
}

impl<'b, C> Decode<'b, C> for UnitWeight {
    fn decode(d: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        if d.array()? != Some(3) {
            return Err(decode::Error::message("a unit weight is an array of three"));
        }
        let unit = d.decode()?;
        let value = Decimal::new(d.i64()?, d.u8()?)
            .map_err(|_| decode::Error::message("a unit weight has too many digits"))?;
        Ok(Self { value, unit })
    }
}

/// One string as it was bought.
#[derive(Debug, Clone, PartialEq, Eq, Default, Encode, Decode)]
#[cbor(map)]
pub struct StringSpec {
    /// Diameter over everything.
    #[n(0)]
    pub gauge: Option<Amount>,
    /// How it is made.
    #[n(1)]
    pub construction: Option<Construction>,
    /// Diameter of the core.
    #[n(2)]
    pub core: Option<Amount>,
    /// Mass for length as printed on the pack; preferred to any estimate from the gauge.
    #[n(3)]
    pub unit_weight: Option<UnitWeight>,
    /// Tension as printed on the pack, for the note and scale printed there.
    #[n(4)]
    pub pack_tension: Option<Amount>,
    /// What it is called.
    #[n(5)]
    pub name: Option<String>,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// MIDI 1.0: 60 is middle C (C4 in scientific pitch notation), 69 is A4.
    #[test]
    fn notes_have_their_midi_numbers() {
        for (text, number) in [
            ("C4", 60),
            ("A4", 69),
            ("E1", 28),
            ("B0", 23),
            ("Bb0", 22),
            ("C-1", 0),
            ("G9", 127),
            ("F#2", 42),
        ] {
            assert_eq!(text.parse::<Note>().unwrap().number(), number, "{text}");
        }
        for number in 0..=127 {
            let note = Note::new(number).unwrap();
            assert_eq!(note.to_string().parse::<Note>().unwrap(), note);
        }
        for text in ["E1-2.5", "E1+3", "C-1-12", "A4+0.5", "Bb0-100"] {
            let note: Note = text.parse().unwrap();
            assert_eq!(note.to_string().parse::<Note>().unwrap(), note, "{text}");
        }
        let low: Note = "E1-2.5".parse().unwrap();
        assert_eq!((low.number(), low.cents().value()), (28, -2.5));
        for wrong in ["E1-", "E1+", "E1+x", "E1+1.", "E1+101", "E1 +3", "E+3"] {
            assert!(wrong.parse::<Note>().is_err(), "{wrong}");
        }
        for wrong in ["", "H1", "E", "E10", "A9", "Cb-1", "E1x", "EE1"] {
            assert!(wrong.parse::<Note>().is_err(), "{wrong}");
        }
    }

    /// ISO 16:1975 for A4 = 440 Hz; E1 = 41.2034 Hz follows from equal temperament.
    #[test]
    fn frequencies_follow_equal_temperament() {
        let a4: Note = "A4".parse().unwrap();
        assert!((a4.frequency_hz(440.0) - 440.0).abs() < 1e-12);
        let e1: Note = "E1".parse().unwrap();
        assert!((e1.frequency_hz(440.0) - 41.2034).abs() < 5e-5);
        let octave_up = a4.with_cents(Decimal::whole(100)).unwrap();
        assert!((octave_up.frequency_hz(440.0) - 440.0 * (1.0_f64 / 12.0).exp2()).abs() < 1e-9);
    }

    #[test]
    fn notes_and_unit_weights_round_trip() {
        let note = Note::new(28).unwrap().with_cents(Decimal::new(-25, 1).unwrap()).unwrap();
        assert_eq!(note.to_string(), "E1-2.5");
        let bytes = minicbor::to_vec(note).unwrap();
        assert_eq!(minicbor::decode::<Note>(&bytes).unwrap(), note);
        let weight = UnitWeight {
            value: Decimal::new(63_000, 8).unwrap(),
            unit: UnitWeightUnit::PoundPerInch,
        };
        let bytes = minicbor::to_vec(weight).unwrap();
        assert_eq!(minicbor::decode::<UnitWeight>(&bytes).unwrap(), weight);
        assert!((weight.kilograms_per_metre().unwrap() - 0.011_250).abs() < 1e-5);
    }
}
