//! How the library speaks to the person who uses the app: language and units.
//!
//! Each workshop has the voice of its own preferences. What belongs to no workshop (a reading that is
//! parsed, the name of a tool) speaks as was set or preferred last in the process.

use std::cell::RefCell;
use std::sync::{Arc, PoisonError, RwLock};

use fallaway::Preferences;
use fallaway::text::{Phrase, Voice};

/// What was asked of the process.
#[derive(Debug, Clone, Copy, Default)]
struct Process {
    /// As `set_voice` said last.
    said: Voice,
    /// How often it did.
    times: u64,
    /// Where no workshop is asked: as was said or preferred last.
    elsewhere: Voice,
}

static PROCESS: RwLock<Option<Process>> = RwLock::new(None);

thread_local! {
    /// The workshop that this thread asked last.
    static ASKED: RefCell<Option<Arc<WorkshopVoice>>> = const { RefCell::new(None) };
}

/// The voice of one workshop, which its instruments share.
#[derive(Debug, Default)]
pub(crate) struct WorkshopVoice(RwLock<Own>);

#[derive(Debug, Clone, Copy, Default)]
struct Own {
    /// As they were kept last; `None` while there are none.
    preferences: Option<Preferences>,
    /// How often `set_voice` had been called by then: what it says later wins.
    times: u64,
}

impl WorkshopVoice {
    /// This workshop is asked: this thread speaks with its voice until another one is.
    pub(crate) fn is_asked(self: &Arc<Self>) {
        ASKED.set(Some(Arc::clone(self)));
    }

    /// Speaks as somebody prefers from now on.
    pub(crate) fn prefers(self: &Arc<Self>, preferences: &Preferences) {
        let mut process = process();
        *self.0.write().unwrap_or_else(PoisonError::into_inner) =
            Own { preferences: Some(*preferences), times: process.times };
        process.elsewhere = self.spoken(process);
        keep(process);
        self.is_asked();
    }

    fn spoken(&self, process: Process) -> Voice {
        let own = *self.0.read().unwrap_or_else(PoisonError::into_inner);
        let Some(preferences) = own.preferences else { return process.said };
        let spoken = preferences.voice(Some(process.said.language));
        if own.times == process.times { spoken } else { process.said.low_first(spoken.low_first) }
    }
}

/// What this thread says next belongs to no workshop.
pub(crate) fn elsewhere() {
    ASKED.set(None);
}

/// Does something else in between, such as calling the app back, and goes on with the voice of before.
pub(crate) fn kept<T>(meanwhile: impl FnOnce() -> T) -> T {
    let asked = ASKED.with_borrow(Clone::clone);
    let done = meanwhile();
    ASKED.set(asked);
    done
}

fn process() -> Process {
    // Plain data: whoever panicked while holding the lock left a whole one.
    PROCESS.read().unwrap_or_else(PoisonError::into_inner).unwrap_or_default()
}

fn keep(process: Process) {
    *PROCESS.write().unwrap_or_else(PoisonError::into_inner) = Some(process);
}

/// A phrase in words.
pub(crate) fn say(phrase: &Phrase) -> String {
    voice().say(phrase)
}

/// A phrase as a sentence.
pub(crate) fn sentence(phrase: &Phrase) -> String {
    voice().sentence(phrase)
}

/// Sentences, those of one kind in the person's order of strings.
pub(crate) fn sentences<'p>(phrases: impl IntoIterator<Item = &'p Phrase>) -> Vec<String> {
    let voice = voice();
    voice.phrases_by_string(phrases).into_iter().map(|one| voice.sentence(one)).collect()
}

pub(crate) fn voice() -> Voice {
    let process = process();
    ASKED.with_borrow(|asked| match asked {
        Some(workshop) => workshop.spoken(process),
        None => process.elsewhere,
    })
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

pub use fallaway::text::TemperatureUnit;

/// In what temperatures are shown.
#[uniffi::remote(Enum)]
pub enum TemperatureUnit {
    /// As written down; computed ones in degrees Celsius.
    AsRead,
    /// Degrees Celsius, °C.
    Celsius,
    /// Degrees Fahrenheit, °F.
    Fahrenheit,
}

pub use fallaway::text::Units;

/// The units that a person prefers. Readings stay as they were read unless `convert_readings`.
#[uniffi::remote(Record)]
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
    #[uniffi(default = false)]
    pub convert_readings: bool,
}

/// Speaks so from now on, whatever was preferred before; strings stay in the order that a person prefers.
pub(crate) fn set(voice: Voice) {
    let process = process();
    let elsewhere = voice.low_first(process.elsewhere.low_first);
    keep(Process { said: voice, times: process.times.wrapping_add(1), elsewhere });
}
