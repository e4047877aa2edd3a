//! Notes, frequencies and cents.
//!
//! Twelve equal steps to the octave, A4 = 440 Hz unless the caller says otherwise (ISO 16:1975,
//! "Acoustics - Standard tuning frequency"). Notes are numbered as in MIDI: A4 is 69, the B of a
//! five-string bass ("B0") is 23.

use std::fmt;
use std::str::FromStr;

use uom::si::f64::Frequency;
use uom::si::frequency::hertz;

use crate::error::{Result, check};

/// Cents in an octave divided by the natural logarithm of 2: the size of a small relative change
/// of frequency in cents.
pub const CENTS_PER_NEPER: f64 = 1200.0 / std::f64::consts::LN_2;

/// The lowest and highest accepted reference for A4, in Hz.
const A4_LIMITS_HZ: (f64, f64) = (380.0, 500.0);

/// The standard tuning frequency, 440 Hz (ISO 16:1975).
///
/// ```
/// use uom::si::frequency::hertz;
/// assert_eq!(fallaway_mechanics::pitch::standard_a4().get::<hertz>(), 440.0);
/// ```
pub fn standard_a4() -> Frequency {
    Frequency::new::<hertz>(440.0)
}

/// A letter of the scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Letter {
    /// C, the first of an octave.
    C,
    /// D
    D,
    /// E
    E,
    /// F
    F,
    /// G
    G,
    /// A
    A,
    /// B, the last of an octave.
    B,
}

impl Letter {
    fn semitone(self) -> i16 {
        match self {
            Self::C => 0,
            Self::D => 2,
            Self::E => 4,
            Self::F => 5,
            Self::G => 7,
            Self::A => 9,
            Self::B => 11,
        }
    }
}

/// How a note between two letters is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Spelling {
    /// C#, D#, F#, G#, A#
    #[default]
    Sharps,
    /// Db, Eb, Gb, Ab, Bb
    Flats,
}

/// A note as it is written: letter, accidental, octave.
///
/// The spelling is kept: Bb0 and A#0 sound alike and are not equal.
///
/// ```
/// use fallaway_mechanics::pitch::Note;
/// let low: Note = "Bb0".parse().unwrap();
/// assert_eq!(low.midi(), 22);
/// assert_eq!(low.to_string(), "Bb0");
/// assert_eq!("F#2".parse::<Note>().unwrap().midi(), 42);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Note {
    letter: Letter,
    /// Semitones up (sharp) or down (flat), -2 to 2.
    alteration: i8,
    octave: i8,
}

/// Why a text is no note.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "\"{given}\" is no note: {reason}; write a letter A to G, # or b if needed, and the octave, as in E1, Bb0 or F#2"
)]
pub struct ParseNoteError {
    /// The text.
    pub given: String,
    /// What is wrong with it.
    pub reason: &'static str,
}

/// The lowest and highest accepted note number.
pub const NOTE_NUMBERS: (u8, u8) = (0, 127);

impl FromStr for Note {
    type Err = ParseNoteError;

    /// Reads "E1", "Bb0", "f#2", "C♯3", "D♭4", "G##1" or "Abb2"; spaces around are ignored.
    ///
    /// # Errors
    ///
    /// [`ParseNoteError`] with the text, what is wrong, and what would be accepted.
    fn from_str(text: &str) -> std::result::Result<Self, ParseNoteError> {
        let refuse = |reason| ParseNoteError { given: text.to_owned(), reason };
        let mut rest = text.trim().chars();
        let letter = match rest.next().map(|c| c.to_ascii_uppercase()) {
            Some('C') => Letter::C,
            Some('D') => Letter::D,
            Some('E') => Letter::E,
            Some('F') => Letter::F,
            Some('G') => Letter::G,
            Some('A') => Letter::A,
            Some('B') => Letter::B,
            Some(_) => return Err(refuse("it does not start with a letter A to G")),
            None => return Err(refuse("it is empty")),
        };
        let rest = rest.as_str();
        let accidentals = rest.chars().take_while(|c| "#♯b♭".contains(*c)).count();
        let (signs, octave) =
            rest.split_at(rest.char_indices().nth(accidentals).map_or(rest.len(), |(i, _)| i));
        if accidentals > 2 {
            return Err(refuse("it has more than two accidentals"));
        }
        let mut alteration = 0i8;
        for sign in signs.chars() {
            alteration += if "#♯".contains(sign) { 1 } else { -1 };
        }
        if alteration.unsigned_abs() as usize != accidentals {
            return Err(refuse("it mixes sharps and flats"));
        }
        if octave.is_empty() {
            return Err(refuse("its octave is missing"));
        }
        let octave: i8 =
            octave.parse().map_err(|_| refuse("its octave is not a whole number of -1 to 9"))?;
        let note = Self { letter, alteration, octave };
        let number = note.number();
        if !(-1..=9).contains(&octave)
            || !(i16::from(NOTE_NUMBERS.0)..=i16::from(NOTE_NUMBERS.1)).contains(&number)
        {
            return Err(refuse("it lies outside C-1 to G9"));
        }
        Ok(note)
    }
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = match self.alteration {
            -2 => "bb",
            -1 => "b",
            1 => "#",
            2 => "##",
            _ => "",
        };
        write!(f, "{:?}{sign}{}", self.letter, self.octave)
    }
}

impl Note {
    fn number(self) -> i16 {
        12 * (i16::from(self.octave) + 1) + self.letter.semitone() + i16::from(self.alteration)
    }

    /// The note's MIDI number: 69 for A4, one per semitone.
    ///
    /// ```
    /// use fallaway_mechanics::pitch::Note;
    /// assert_eq!("B0".parse::<Note>().unwrap().midi(), 23);
    /// ```
    pub fn midi(self) -> u8 {
        // The only ways to build a note check that the number fits.
        u8::try_from(self.number()).unwrap_or_default()
    }

    /// The note with this MIDI number.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`](crate::Error::OutOfRange) above 127.
    ///
    /// ```
    /// use fallaway_mechanics::pitch::{Note, Spelling};
    /// assert_eq!(Note::from_midi(22, Spelling::Flats).unwrap().to_string(), "Bb0");
    /// assert_eq!(Note::from_midi(22, Spelling::Sharps).unwrap().to_string(), "A#0");
    /// ```
    pub fn from_midi(number: u8, spelling: Spelling) -> Result<Self> {
        check("note number", f64::from(number), "1", 0.0, f64::from(NOTE_NUMBERS.1))?;
        let octave = i8::try_from(number / 12).unwrap_or_default() - 1;
        let flat = spelling == Spelling::Flats;
        let (letter, alteration) = match number % 12 {
            0 => (Letter::C, 0),
            1 if flat => (Letter::D, -1),
            1 => (Letter::C, 1),
            2 => (Letter::D, 0),
            3 if flat => (Letter::E, -1),
            3 => (Letter::D, 1),
            4 => (Letter::E, 0),
            5 => (Letter::F, 0),
            6 if flat => (Letter::G, -1),
            6 => (Letter::F, 1),
            7 => (Letter::G, 0),
            8 if flat => (Letter::A, -1),
            8 => (Letter::G, 1),
            9 => (Letter::A, 0),
            10 if flat => (Letter::B, -1),
            10 => (Letter::A, 1),
            _ => (Letter::B, 0),
        };
        Ok(Self { letter, alteration, octave })
    }

    /// The note's frequency: `A4 * 2^((number - 69) / 12)`.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`](crate::Error::OutOfRange) for an A4 outside 380 to 500 Hz.
    ///
    /// ```
    /// use fallaway_mechanics::pitch::{Note, standard_a4};
    /// use uom::si::frequency::hertz;
    /// let e1 = "E1".parse::<Note>().unwrap().frequency(standard_a4()).unwrap();
    /// assert!((e1.get::<hertz>() - 41.203445).abs() < 1e-6);
    /// ```
    pub fn frequency(self, a4: Frequency) -> Result<Frequency> {
        let a4 = check("A4", a4.get::<hertz>(), "Hz", A4_LIMITS_HZ.0, A4_LIMITS_HZ.1)?;
        Ok(Frequency::new::<hertz>(a4 * ((f64::from(self.number()) - 69.0) / 12.0).exp2()))
    }

    /// The note nearest to a frequency, and by how many cents the frequency lies above it.
    ///
    /// # Errors
    ///
    /// [`Error::OutOfRange`](crate::Error::OutOfRange) for a frequency outside 8 to 12,500 Hz or
    /// an A4 outside 380 to 500 Hz.
    ///
    /// ```
    /// use fallaway_mechanics::pitch::{Note, Spelling, standard_a4};
    /// use uom::si::{f64::Frequency, frequency::hertz};
    /// let heard = Frequency::new::<hertz>(41.3);
    /// let (note, cents) = Note::nearest(heard, standard_a4(), Spelling::Sharps).unwrap();
    /// assert_eq!(note.to_string(), "E1");
    /// assert!((cents - 4.05).abs() < 0.01);
    /// ```
    pub fn nearest(frequency: Frequency, a4: Frequency, spelling: Spelling) -> Result<(Self, f64)> {
        let hz = check("frequency", frequency.get::<hertz>(), "Hz", 8.0, 12_500.0)?;
        let a4 = check("A4", a4.get::<hertz>(), "Hz", A4_LIMITS_HZ.0, A4_LIMITS_HZ.1)?;
        let exact = 69.0 + 12.0 * (hz / a4).log2();
        let number = exact.round().clamp(f64::from(NOTE_NUMBERS.0), f64::from(NOTE_NUMBERS.1));
        let note = Self::from_midi(number as u8, spelling)?;
        Ok((note, 100.0 * (exact - number)))
    }
}

/// How many cents `to` lies above `from`: `1200 log2(to / from)`.
///
/// # Errors
///
/// [`Error::OutOfRange`](crate::Error::OutOfRange) for a frequency outside 1 to 100,000 Hz.
///
/// ```
/// use fallaway_mechanics::pitch::cents_between;
/// use uom::si::{f64::Frequency, frequency::hertz};
/// let hz = Frequency::new::<hertz>;
/// assert!((cents_between(hz(41.2), hz(82.4)).unwrap() - 1200.0).abs() < 1e-9);
/// ```
pub fn cents_between(from: Frequency, to: Frequency) -> Result<f64> {
    let from = check("frequency", from.get::<hertz>(), "Hz", 1.0, 1e5)?;
    let to = check("frequency", to.get::<hertz>(), "Hz", 1.0, 1e5)?;
    Ok(1200.0 * (to / from).log2())
}

/// A frequency raised by `cents` (lowered when negative).
///
/// # Errors
///
/// [`Error::OutOfRange`](crate::Error::OutOfRange) for a frequency outside 1 to 100,000 Hz or more
/// than 12,000 cents.
///
/// ```
/// use fallaway_mechanics::pitch::shifted;
/// use uom::si::{f64::Frequency, frequency::hertz};
/// let up = shifted(Frequency::new::<hertz>(110.0), 1200.0).unwrap();
/// assert!((up.get::<hertz>() - 220.0).abs() < 1e-9);
/// ```
pub fn shifted(frequency: Frequency, cents: f64) -> Result<Frequency> {
    let hz = check("frequency", frequency.get::<hertz>(), "Hz", 1.0, 1e5)?;
    let cents = check("shift", cents, "cents", -12_000.0, 12_000.0)?;
    Ok(Frequency::new::<hertz>(hz * (cents / 1200.0).exp2()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn published_note_frequencies() {
        // Values computed from the published formula 440 * 2^((n-69)/12): J. Wolfe, University of
        // New South Wales, "Note names, MIDI numbers and frequencies"; OEIS A320304.
        for (name, hz) in [
            ("B0", 30.868),
            ("E1", 41.203),
            ("A1", 55.0),
            ("D2", 73.416),
            ("G2", 97.999),
            ("E4", 329.628),
        ] {
            let f = name.parse::<Note>().unwrap().frequency(standard_a4()).unwrap();
            assert!((f.get::<hertz>() - hz).abs() < 5e-4, "{name}");
        }
    }

    #[test]
    fn a_note_can_be_written_in_several_ways() {
        for (text, number) in
            [("bb0", 22), ("A♯0", 22), ("Cb1", 23), ("B#0", 24), ("G##1", 33), ("Abb2", 43)]
        {
            assert_eq!(text.parse::<Note>().unwrap().midi(), number, "{text}");
        }
    }

    #[test]
    fn what_is_no_note_is_refused_with_a_reason() {
        for (text, reason) in [
            ("", "empty"),
            ("H1", "letter"),
            ("E", "octave is missing"),
            ("E#b1", "mixes"),
            ("E###1", "more than two"),
            ("Ex", "whole number"),
            ("E99", "outside"),
            ("Cb-1", "outside"),
            ("G#9", "outside"),
        ] {
            let said = text.parse::<Note>().unwrap_err().to_string();
            assert!(said.contains(reason), "{text}: {said}");
        }
    }

    proptest! {
        #[test]
        fn number_name_and_frequency_are_inverse(number in 0u8..=127, flats: bool, a4 in 400.0..480.0f64) {
            let spelling = if flats { Spelling::Flats } else { Spelling::Sharps };
            let note = Note::from_midi(number, spelling).unwrap();
            prop_assert_eq!(note.midi(), number);
            prop_assert_eq!(note.to_string().parse::<Note>().unwrap(), note);
            let a4 = Frequency::new::<hertz>(a4);
            let f = note.frequency(a4).unwrap();
            if (8.0..12_500.0).contains(&f.get::<hertz>()) {
                let (back, cents) = Note::nearest(f, a4, spelling).unwrap();
                prop_assert_eq!(back, note);
                prop_assert!(cents.abs() < 1e-6);
            }
        }

        #[test]
        fn any_text_is_a_note_or_a_reason(text in ".{0,6}") {
            if let Err(error) = text.parse::<Note>() {
                prop_assert!(!error.to_string().is_empty());
            }
        }

        #[test]
        fn cents_undo_each_other(hz in 20.0..2000.0f64, cents in -2400.0..2400.0f64) {
            let f = Frequency::new::<hertz>(hz);
            let back = cents_between(f, shifted(f, cents).unwrap()).unwrap();
            prop_assert!((back - cents).abs() < 1e-6);
        }
    }
}
