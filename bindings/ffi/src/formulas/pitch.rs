//! Notes, frequencies, cents. Equal temperament, `f = A4 * 2^((n - 69) / 12)`; A4 = 440 Hz is ISO
//! 16:1975.

use fallaway::mechanics::pitch::{self, Note, Spelling};
use fallaway::mechanics::uom::si::frequency::hertz;

use super::typed::hz;
use crate::FallawayError;

/// A note of equal temperament, with its frequency.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct NoteInfo {
    /// Its name with the octave: "E1", "Bb3".
    pub name: String,
    /// Its number; A4 is 69, each semitone one more.
    pub number: u32,
}

/// The note nearest to a frequency.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct NearestNote {
    /// The nearest note of equal temperament.
    pub note: NoteInfo,
    /// By how many cents the frequency lies above it; below zero: flat.
    pub cents: f64,
}

fn info(note: Note) -> NoteInfo {
    NoteInfo { name: note.to_string(), number: note.number().into() }
}

fn parse(text: &str) -> Result<Note, FallawayError> {
    let note = text.parse::<Note>();
    note.map_err(|error| fallaway::Error::from(error).into())
}

/// Reads a note's name: letter, sharp (`#`) or flat (`b`), octave; "E1" is the low string of a bass,
/// "A4" 440 Hz.
///
/// # Errors
/// `BadInput` for what is not a note.
#[uniffi::export]
pub fn note_named(name: String) -> Result<NoteInfo, FallawayError> {
    parse(&name).map(info)
}

/// A note's frequency in Hz. `a4_hz` is the reference, 440 by ISO 16:1975.
///
/// # Errors
/// `BadInput` for what is not a note, and for a reference that nobody tunes to.
#[uniffi::export]
pub fn note_frequency_hz(name: String, a4_hz: f64) -> Result<f64, FallawayError> {
    Ok(pitch::frequency(parse(&name)?, hz(a4_hz))?.get::<hertz>())
}

/// The note nearest to a frequency and how far off it is; spelt with sharps unless
/// `flats`.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn nearest_note(
    frequency_hz: f64,
    a4_hz: f64,
    flats: bool,
) -> Result<NearestNote, FallawayError> {
    let spelling = if flats { Spelling::Flats } else { Spelling::Sharps };
    let (note, cents) = pitch::nearest(hz(frequency_hz), hz(a4_hz), spelling)?;
    Ok(NearestNote { note: info(note), cents })
}

/// From one frequency to another in cents, `1200 log2(to / from)`; above zero: upward.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn cents_between(from_hz: f64, to_hz: f64) -> Result<f64, FallawayError> {
    Ok(pitch::cents_between(hz(from_hz), hz(to_hz))?)
}

/// The frequency so many cents above another, in Hz.
///
/// # Errors
/// `BadInput` outside the limits.
#[uniffi::export]
pub fn shifted_frequency_hz(frequency_hz: f64, cents: f64) -> Result<f64, FallawayError> {
    Ok(pitch::shifted(hz(frequency_hz), cents)?.get::<hertz>())
}
