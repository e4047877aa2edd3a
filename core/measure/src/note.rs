//! Notes as people write them, and the frequency that they stand for.
//!
//! Twelve equal steps to the octave, octaves as in scientific pitch notation: A4 is the A above
//! middle C, the lowest string of a bass is E1. Notes are numbered as in the MIDI 1.0
//! specification: A4 is 69, one more is a semitone higher.

use std::fmt;
use std::str::FromStr;

use crate::Decimal;

/// The standard tuning frequency of A4 in hertz (ISO 16:1975, "Acoustics - Standard tuning
/// frequency"); where nobody says another.
pub const STANDARD_A4_HZ: f64 = 440.0;

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
    /// B, the last of an octave; H in German.
    B,
}

impl Letter {
    fn read(letter: char) -> Option<Self> {
        Some(match letter.to_ascii_uppercase() {
            'C' => Self::C,
            'D' => Self::D,
            'E' => Self::E,
            'F' => Self::F,
            'G' => Self::G,
            'A' => Self::A,
            'B' => Self::B,
            _ => return None,
        })
    }

    const fn semitone(self) -> i16 {
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

/// What stands behind the letter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Accidental {
    /// Two semitones lower, `bb`.
    DoubleFlat,
    /// A semitone lower, `b`.
    Flat,
    /// Nothing: the letter as it stands.
    Natural,
    /// A semitone higher, `#`.
    Sharp,
    /// Two semitones higher, `##`.
    DoubleSharp,
}

impl Accidental {
    /// `b` and `♭` lower, `#` and `♯` raise; at most two, alike.
    fn read(signs: &str) -> Result<Self, NoteProblem> {
        let sharps = signs.chars().filter(|sign| "#♯".contains(*sign)).count();
        match (sharps, signs.chars().count()) {
            (_, 3..) => Err(NoteProblem::ManyAccidentals),
            (0, 0) => Ok(Self::Natural),
            (0, 1) => Ok(Self::Flat),
            (0, _) => Ok(Self::DoubleFlat),
            (1, 1) => Ok(Self::Sharp),
            (1, _) => Err(NoteProblem::MixedAccidentals),
            _ => Ok(Self::DoubleSharp),
        }
    }

    const fn semitones(self) -> i16 {
        match self {
            Self::DoubleFlat => -2,
            Self::Flat => -1,
            Self::Natural => 0,
            Self::Sharp => 1,
            Self::DoubleSharp => 2,
        }
    }

    const fn sign(self) -> &'static str {
        match self {
            Self::DoubleFlat => "bb",
            Self::Flat => "b",
            Self::Natural => "",
            Self::Sharp => "#",
            Self::DoubleSharp => "##",
        }
    }
}

/// How a note between two letters is written when only its number is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Spelling {
    /// C#, D#, F#, G#, A#
    #[default]
    Sharps,
    /// Db, Eb, Gb, Ab, Bb
    Flats,
}

/// A note as it is written: letter, accidental, octave, and an offset in cents where the tuning
/// asks for one. From C-1 to G9.
///
/// The spelling is kept: Bb0 and A#0 sound alike and are not equal.
///
/// ```
/// use fallaway_measure::Note;
/// let low: Note = "Bb0".parse()?;
/// assert_eq!(low.number(), 22);
/// assert_eq!(low.to_string(), "Bb0");
/// assert_eq!("e♭1 +5".parse::<Note>()?.to_string(), "Eb1+5");
/// # Ok::<(), fallaway_measure::NoteError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Note {
    letter: Letter,
    accidental: Accidental,
    octave: i8,
    cents: Decimal,
}

/// Why a text does not name a note.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "\"{given}\" is not a note: {problem}; write a letter A to G, # or b if needed, and the octave, \
     with an offset in cents if there is one: E1, Bb0, F#2, A4-2.5"
)]
pub struct NoteError {
    /// What was given, cut to 20 characters.
    pub given: String,
    /// What is wrong with it.
    pub problem: NoteProblem,
}

/// What is wrong with a text that should name a note.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoteProblem {
    /// Nothing was given.
    #[error("it is empty")]
    Empty,
    /// It begins otherwise.
    #[error("it does not start with a letter A to G")]
    Letter,
    /// More than two.
    #[error("it has more than two accidentals")]
    ManyAccidentals,
    /// It mixes sharps and flats.
    #[error("it mixes sharps and flats")]
    MixedAccidentals,
    /// The octave is left out, or is no number.
    #[error("its octave, -1 to 9, is missing")]
    Octave,
    /// Lower than C-1 or higher than G9.
    #[error("it lies outside C-1 to G9")]
    Range,
    /// No number with a sign, or too large a one.
    #[error("its offset is not a number of cents with its sign, at most 100 either way")]
    Cents,
}

impl Note {
    /// Largest note number.
    pub const MAX: u8 = 127;
    /// Largest offset in cents, either way.
    pub(crate) const MAX_CENTS: i64 = 100;

    /// A note by its number, written with sharps; `None` above [`Self::MAX`].
    pub fn new(number: u8) -> Option<Self> {
        Self::spelt(number, Spelling::Sharps)
    }

    /// A note by its number; `None` above [`Self::MAX`].
    ///
    /// ```
    /// use fallaway_measure::{Note, Spelling};
    /// assert_eq!(Note::spelt(22, Spelling::Flats).unwrap().to_string(), "Bb0");
    /// ```
    pub fn spelt(number: u8, spelling: Spelling) -> Option<Self> {
        use Letter::{A, B, C, D, E, F, G};
        let flat = spelling == Spelling::Flats;
        let (letter, black) = match number % 12 {
            0 => (C, false),
            1 => (if flat { D } else { C }, true),
            2 => (D, false),
            3 => (if flat { E } else { D }, true),
            4 => (E, false),
            5 => (F, false),
            6 => (if flat { G } else { F }, true),
            7 => (G, false),
            8 => (if flat { A } else { G }, true),
            9 => (A, false),
            10 => (if flat { B } else { A }, true),
            _ => (B, false),
        };
        let accidental = match (black, flat) {
            (false, _) => Accidental::Natural,
            (true, false) => Accidental::Sharp,
            (true, true) => Accidental::Flat,
        };
        let octave = i8::try_from(number / 12).ok()? - 1;
        (number <= Self::MAX).then_some(Self { letter, accidental, octave, cents: Decimal::ZERO })
    }

    /// The same note some cents higher; `None` beyond 100.
    pub fn with_cents(self, cents: Decimal) -> Option<Self> {
        let cents = if cents.digits() == 0 { Decimal::ZERO } else { cents };
        (cents.value().abs() <= Self::MAX_CENTS as f64).then_some(Self { cents, ..self })
    }

    /// The letter of its name, C to B.
    pub const fn letter(self) -> Letter {
        self.letter
    }

    /// What stands behind its letter.
    pub const fn accidental(self) -> Accidental {
        self.accidental
    }

    /// Its octave as written, -1 to 9: that of Cb4 is 4, though it sounds as B3.
    pub const fn octave(self) -> i8 {
        self.octave
    }

    /// Offset from the tempered note in cents.
    pub const fn cents(self) -> Decimal {
        self.cents
    }

    /// Its number, 0 to [`Self::MAX`]; 69 is A4.
    pub fn number(self) -> u8 {
        // The only ways to build a note check that the number fits.
        u8::try_from(self.semitones()).unwrap_or_default()
    }

    fn semitones(self) -> i16 {
        12 * (i16::from(self.octave) + 1) + self.letter.semitone() + self.accidental.semitones()
    }

    /// Frequency in hertz for a given frequency of A4: `A4 * 2^((number - 69 + cents/100) / 12)`.
    pub fn frequency_hz(self, a4_hz: f64) -> f64 {
        let semitones = f64::from(self.number()) - 69.0 + self.cents.value() / 100.0;
        a4_hz * (semitones / 12.0).exp2()
    }

    /// Letter and accidental without the octave: "E", "F#", "Eb".
    pub fn name(self) -> String {
        format!("{:?}{}", self.letter, self.accidental.sign())
    }
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}{}{}", self.letter, self.accidental.sign(), self.octave)?;
        match self.cents.digits() {
            0 => Ok(()),
            1.. => write!(f, "+{}", self.cents),
            _ => write!(f, "{}", self.cents),
        }
    }
}

impl FromStr for Note {
    type Err = NoteError;

    /// Reads "E1", "Bb0", "f#2", "C♯3", "G##1", "Abb2", "E1+5", "A4 -2.5", and the minus sign (U+2212) with
    /// which it is shown.
    ///
    /// # Errors
    /// [`NoteError`] with the text, what is wrong, and what would be accepted.
    fn from_str(text: &str) -> Result<Self, NoteError> {
        read(&text.trim().replace('\u{2212}', "-"))
            .map_err(|problem| NoteError { given: text.chars().take(20).collect(), problem })
    }
}

fn read(text: &str) -> Result<Note, NoteProblem> {
    let mut rest = text.chars();
    let letter = rest.next().ok_or(NoteProblem::Empty)?;
    let letter = Letter::read(letter).ok_or(NoteProblem::Letter)?;
    let rest = rest.as_str();
    let octave = rest.trim_start_matches(['#', '♯', 'b', '♭']);
    let signs = rest.strip_suffix(octave).unwrap_or_default();
    let accidental = Accidental::read(signs)?;
    // Only the octave below the first has two characters.
    let digits = if octave.starts_with('-') { 2 } else { 1 };
    let (octave, cents) = octave.split_at_checked(digits).ok_or(NoteProblem::Octave)?;
    let octave = octave.parse().map_err(|_| NoteProblem::Octave)?;
    if cents.starts_with(|next: char| next.is_ascii_digit()) {
        return Err(NoteProblem::Range);
    }
    let note = Note { letter, accidental, octave, cents: Decimal::ZERO };
    if octave < -1 || !(0..=i16::from(Note::MAX)).contains(&note.semitones()) {
        return Err(NoteProblem::Range);
    }
    let cents = cents.trim_start();
    if cents.is_empty() {
        return Ok(note);
    }
    offset(cents).and_then(|cents| note.with_cents(cents)).ok_or(NoteProblem::Cents)
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn note(text: &str) -> Note {
        text.parse().unwrap()
    }

    /// MIDI 1.0: 60 is middle C (C4 in scientific pitch notation), 69 is A4.
    #[test]
    fn notes_have_their_midi_numbers() {
        for (text, number) in [
            ("C4", 60),
            ("A4", 69),
            ("E1", 28),
            ("B0", 23),
            ("Bb0", 22),
            ("bb0", 22),
            ("A♯0", 22),
            ("Cb1", 23),
            ("B#0", 24),
            ("G##1", 33),
            ("Abb2", 43),
            ("C-1", 0),
            ("G9", 127),
            ("F#2", 42),
        ] {
            assert_eq!(note(text).number(), number, "{text}");
        }
    }

    #[test]
    fn a_note_is_shown_as_it_was_written() {
        for text in ["Eb1", "D#1", "Cb4", "E##1", "Bbb0", "E1-2.5", "E1+3", "C-1-12", "Bb0-100"] {
            assert_eq!(note(text).to_string(), text);
        }
        assert_eq!(note(" e♭1 +5").to_string(), "Eb1+5");
        assert_eq!(note("C\u{2212}1\u{2212}2.5").to_string(), "C-1-2.5");
        assert_eq!(note("E1+0.0").to_string(), "E1");
        assert_eq!(note("Eb1+5").name(), "Eb");
        assert_eq!(note("Cb4").octave(), 4);
    }

    #[test]
    fn what_is_not_a_note_is_refused_with_a_reason() {
        for (text, reason) in [
            ("", "empty"),
            ("H1", "letter"),
            ("E", "octave"),
            ("E#b1", "mixes"),
            ("Eb#1", "mixes"),
            ("E###1", "more than two"),
            ("Ex", "octave"),
            ("E-x", "octave"),
            ("E+3", "octave"),
            ("E99", "outside"),
            ("E-2", "outside"),
            ("Cb-1", "outside"),
            ("G#9", "outside"),
            ("E1-", "cents"),
            ("E1+", "cents"),
            ("E1+x", "cents"),
            ("E1+1.", "cents"),
            ("E1+101", "cents"),
            ("E1x", "cents"),
        ] {
            let said = text.parse::<Note>().unwrap_err().to_string();
            assert!(said.contains(reason), "{text}: {said}");
        }
    }

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
            assert!((note(name).frequency_hz(STANDARD_A4_HZ) - hz).abs() < 5e-4, "{name}");
        }
        let up = note("A4+100").frequency_hz(STANDARD_A4_HZ);
        assert!((up - note("Bb4").frequency_hz(STANDARD_A4_HZ)).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn what_is_shown_reads_back(number in 0u8..=127, flats: bool, cents in -1000i64..=1000) {
            let spelling = if flats { Spelling::Flats } else { Spelling::Sharps };
            let note = Note::spelt(number, spelling).unwrap();
            prop_assert_eq!(note.number(), number);
            let note = note.with_cents(Decimal::new(cents, 1).unwrap()).unwrap();
            prop_assert_eq!(note.to_string().parse::<Note>().unwrap(), note);
        }

        #[test]
        fn any_text_is_a_note_or_a_reason(text in "[A-Ha-h♯♭]?.{0,8}") {
            match text.parse::<Note>() {
                Ok(note) => prop_assert_eq!(note.to_string().parse(), Ok(note)),
                Err(error) => prop_assert!(!error.to_string().is_empty()),
            }
        }
    }
}
