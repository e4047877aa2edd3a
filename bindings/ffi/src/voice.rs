//! How the library speaks to the person who uses the app: language and units.

use std::sync::RwLock;

use fallaway::text::{Phrase, Voice};

/// An app has one person in front of it, so the process has one voice.
static VOICE: RwLock<Option<Voice>> = RwLock::new(None);

/// A phrase in words.
pub(crate) fn say(phrase: &Phrase) -> String {
    voice().say(phrase)
}

/// A phrase as a sentence, in the voice of the process.
pub(crate) fn sentence(phrase: &Phrase) -> String {
    voice().sentence(phrase)
}

/// Sentences, those of one kind in the person's order of strings.
pub(crate) fn sentences<'p>(phrases: impl IntoIterator<Item = &'p Phrase>) -> Vec<String> {
    let voice = voice();
    voice.phrases_by_string(phrases).into_iter().map(|one| voice.sentence(one)).collect()
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

/// Speaks as somebody prefers from now on.
pub(crate) fn speak(preferences: &fallaway::Preferences) {
    let spoken = voice().language;
    set(preferences.voice(Some(spoken)));
}

/// Speaks so from now on.
pub(crate) fn set(voice: Voice) {
    *VOICE.write().unwrap_or_else(std::sync::PoisonError::into_inner) = Some(voice);
}
