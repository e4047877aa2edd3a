//! Notes, frequencies and cents.
//!
//! Twelve equal steps to the octave, A4 = 440 Hz unless the caller says otherwise (ISO 16:1975,
//! "Acoustics - Standard tuning frequency"). Notes are numbered as in MIDI: A4 is 69, the B of a
//! five-string bass ("B0") is 23.

use fallaway_measure::Limit;
use uom::si::f64::Frequency;
use uom::si::frequency::hertz;

use crate::error::Result;

pub use fallaway_measure::{Note, NoteError, Spelling};

/// Cents in an octave divided by the natural logarithm of 2: the size of a small relative change
/// of frequency in cents.
pub(crate) const CENTS_PER_NEPER: f64 = 1200.0 / std::f64::consts::LN_2;

fn a4_hz(a4: Frequency) -> Result<f64> {
    Ok(Limit::A4.check(a4.get::<hertz>())?)
}

/// A note's frequency: `A4 * 2^((number - 69 + cents/100) / 12)`.
///
/// # Errors
///
/// [`crate::Error::Outside`] for an A4 outside [`Limit::A4`].
///
/// ```
/// use fallaway_mechanics::pitch::frequency;
/// use uom::si::{f64::Frequency, frequency::hertz};
/// let e1 = frequency("E1".parse().unwrap(), Frequency::new::<hertz>(440.0)).unwrap();
/// assert!((e1.get::<hertz>() - 41.203445).abs() < 1e-6);
/// ```
pub fn frequency(note: Note, a4: Frequency) -> Result<Frequency> {
    Ok(Frequency::new::<hertz>(note.frequency_hz(a4_hz(a4)?)))
}

/// The note nearest to a frequency, and by how many cents the frequency lies above it.
///
/// # Errors
///
/// [`crate::Error::Outside`].
///
/// ```
/// use fallaway_mechanics::pitch::{Spelling, nearest};
/// use uom::si::{f64::Frequency, frequency::hertz};
/// let hz = Frequency::new::<hertz>;
/// let (note, cents) = nearest(hz(41.3), hz(440.0), Spelling::Sharps).unwrap();
/// assert_eq!(note.to_string(), "E1");
/// assert!((cents - 4.05).abs() < 0.01);
/// ```
pub fn nearest(frequency: Frequency, a4: Frequency, spelling: Spelling) -> Result<(Note, f64)> {
    let hz = Limit::Frequency.check(frequency.get::<hertz>())?;
    let exact = 69.0 + 12.0 * (hz / a4_hz(a4)?).log2();
    let number = exact.round().clamp(0.0, f64::from(Note::MAX));
    let note = Note::spelt(number as u8, spelling)
        .ok_or(crate::Error::NotFinite { quantity: "note number" })?;
    Ok((note, 100.0 * (exact - number)))
}

/// How many cents `to` lies above `from`: `1200 log2(to / from)`.
///
/// # Errors
///
/// [`crate::Error::Outside`].
///
/// ```
/// use fallaway_mechanics::pitch::cents_between;
/// use uom::si::{f64::Frequency, frequency::hertz};
/// let hz = Frequency::new::<hertz>;
/// assert!((cents_between(hz(41.2), hz(82.4)).unwrap() - 1200.0).abs() < 1e-9);
/// ```
pub fn cents_between(from: Frequency, to: Frequency) -> Result<f64> {
    let from = Limit::Frequency.check(from.get::<hertz>())?;
    let to = Limit::Frequency.check(to.get::<hertz>())?;
    Ok(1200.0 * (to / from).log2())
}

/// A frequency raised by `cents` (lowered when negative).
///
/// # Errors
///
/// [`crate::Error::Outside`].
///
/// ```
/// use fallaway_mechanics::pitch::shifted;
/// use uom::si::{f64::Frequency, frequency::hertz};
/// let up = shifted(Frequency::new::<hertz>(110.0), 1200.0).unwrap();
/// assert!((up.get::<hertz>() - 220.0).abs() < 1e-9);
/// ```
pub fn shifted(frequency: Frequency, cents: f64) -> Result<Frequency> {
    let hz = Limit::Frequency.check(frequency.get::<hertz>())?;
    let cents = Limit::PitchShift.check(cents)?;
    Ok(Frequency::new::<hertz>(hz * (cents / 1200.0).exp2()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn number_and_frequency_are_inverse(number in 0u8..=127, a4 in 400.0..480.0f64) {
            let note = Note::new(number).unwrap();
            let a4 = Frequency::new::<hertz>(a4);
            let f = frequency(note, a4).unwrap();
            if (8.0..12_500.0).contains(&f.get::<hertz>()) {
                let (back, cents) = nearest(f, a4, Spelling::Sharps).unwrap();
                prop_assert_eq!(back, note);
                prop_assert!(cents.abs() < 1e-6);
            }
        }

        #[test]
        fn cents_undo_each_other(hz in 100.0..2000.0f64, cents in -2400.0..2400.0f64) {
            let f = Frequency::new::<hertz>(hz);
            let back = cents_between(f, shifted(f, cents).unwrap()).unwrap();
            prop_assert!((back - cents).abs() < 1e-6);
        }
    }
}
