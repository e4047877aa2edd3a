//! The voice of this run: the language and units that the person chose, and which string comes first.

use std::cell::Cell;

use fallaway::text::{Phrase, Voice};

thread_local! {
    // One run is one thread; tests have several runs, each on its own.
    static VOICE: Cell<Voice> = Cell::default();
    static LOW_FIRST: Cell<bool> = const { Cell::new(false) };
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

/// Whether the lowest string comes first from now on.
pub fn set_low_first(low_first: bool) {
    LOW_FIRST.set(low_first);
}

/// Whether the lowest string comes first.
pub fn low_first() -> bool {
    LOW_FIRST.get()
}

/// What is given or shown string by string, the highest first, in the person's order; and back.
pub fn in_order<T>(mut strings: Vec<T>) -> Vec<T> {
    if low_first() {
        strings.reverse();
    }
    strings
}
