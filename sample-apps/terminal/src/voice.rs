//! The voice of this run: the language and units that the person chose.

use std::cell::Cell;

use fallaway::text::{Phrase, Voice};

thread_local! {
    // One run is one thread; tests have several runs, each on its own.
    static VOICE: Cell<Voice> = Cell::default();
}

/// Speaks like this from now on.
pub fn set(voice: Voice) {
    VOICE.set(voice);
}

/// The voice of this run.
pub fn get() -> Voice {
    VOICE.get()
}

/// A phrase in words.
pub fn say(phrase: &Phrase) -> String {
    get().say(phrase)
}
