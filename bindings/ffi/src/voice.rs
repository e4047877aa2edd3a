//! How the library speaks to the person who uses the app: language and units.

use std::sync::RwLock;

use fallaway::Accepted;
use fallaway::text::messages::errors;
use fallaway::text::{Language, List, Phrase, Voice};

use crate::error::field;
use crate::{FallawayError, Result};

/// An app has one person in front of it, so the process has one voice.
static VOICE: RwLock<Option<Voice>> = RwLock::new(None);

/// A phrase in words.
pub(crate) fn say(phrase: &Phrase) -> String {
    voice().say(phrase)
}

pub(crate) fn voice() -> Voice {
    // A voice is plain data: whoever panicked while holding the lock left a whole one.
    VOICE.read().unwrap_or_else(std::sync::PoisonError::into_inner).unwrap_or_default()
}

/// A text that people wrote (a name, a remark, a place), made safe to show: what could steer a screen or
/// a reader's eye is made visible. Phrases and errors are safe already.
#[uniffi::export]
pub fn safe_text(text: &str) -> String {
    fallaway::text::safe(text).into_owned()
}

pub use fallaway::text::LengthUnit;

/// In what computed lengths are shown: forecasts, travels, what is left over.
#[uniffi::remote(Enum)]
pub enum LengthUnit {
    /// As the tool reads with which it is measured; millimetres if none is known.
    AsRead,
    /// Millimetres.
    Millimetres,
    /// Thousandths of an inch.
    Thou,
    /// Decimal inches.
    Inches,
    /// Fractions of an inch.
    InchFractions {
        /// In such parts (2, 4, 8, 16, 32, 64 or 128); `None`: in the divisions of the tool, in 1/64 if
        /// it has none.
        denominator: Option<u16>,
    },
}

pub use fallaway::text::TemperatureUnit;

/// In what temperatures are shown.
#[uniffi::remote(Enum)]
pub enum TemperatureUnit {
    /// As written down; computed ones in degrees Celsius.
    AsRead,
    /// Degrees Celsius.
    Celsius,
    /// Degrees Fahrenheit.
    Fahrenheit,
}

pub use fallaway::text::Units;

/// The units that a person prefers. Readings stay as they were read unless `convert_readings`.
#[uniffi::remote(Record)]
pub struct Units {
    /// Relief.
    pub relief: LengthUnit,
    /// Action.
    pub action: LengthUnit,
    /// Height at the nut.
    pub nut: LengthUnit,
    /// Spacing of strings.
    pub spacing: LengthUnit,
    /// Height of pickups.
    pub pickup: LengthUnit,
    /// Every other length.
    pub other: LengthUnit,
    /// Temperatures.
    pub temperature: TemperatureUnit,
    /// Whether readings, targets and facts are converted too.
    #[uniffi(default = false)]
    pub convert_readings: bool,
}

/// The tags of the languages in which the library speaks, English first: "en", "de".
#[uniffi::export]
pub fn languages() -> Vec<String> {
    Language::all().into_iter().map(|language| language.tag().to_owned()).collect()
}

/// Speaks as somebody prefers from now on.
pub(crate) fn speak(preferences: &fallaway::Preferences) {
    let spoken = voice().language;
    let voice = preferences.voice(Some(spoken));
    *VOICE.write().unwrap_or_else(std::sync::PoisonError::into_inner) = Some(voice);
}

/// The language of a tag.
pub(crate) fn named(tag: &str) -> Result<Language> {
    Language::named(tag).ok_or_else(|| {
        let accepted = List::comma(Language::all().into_iter().map(|one| one.tag().into()));
        let accepted = Accepted::one_of(languages()).said(accepted);
        FallawayError::bad_input(&field("language"), &errors::not_spoken(tag), accepted)
    })
}

/// Speaks this language from now on (a tag such as "de" or "de-AT"), in every text of this library
/// and of every workshop of this process; in these units, or as everything is read if `None`. For the
/// system's language, before a workshop is opened: what the person prefers is kept by
/// the preferences, and wins.
///
/// # Errors
/// `BadInput` for a language that the library does not speak: the voice stays as it was.
#[uniffi::export(default(units = None))]
pub fn set_voice(language: &str, units: Option<Units>) -> Result<()> {
    let voice = Voice { language: named(language)?, units: units.unwrap_or_default() };
    *VOICE.write().unwrap_or_else(std::sync::PoisonError::into_inner) = Some(voice);
    Ok(())
}
