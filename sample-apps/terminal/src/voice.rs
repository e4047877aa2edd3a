//! The voice of this run: the language and units that the person chose, and which string comes first.

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

/// What is given or shown string by string, the highest first, in the person's order; and back.
pub fn in_order<T>(strings: Vec<T>) -> Vec<T> {
    get().in_order(strings)
}

/// An example with a word for each string, the highest first, and perhaps a unit behind them, in the
/// person's order.
pub fn example(example: &str) -> String {
    let mut words: Vec<&str> = example.split(' ').collect();
    let unit = words.pop_if(|last| last.chars().all(char::is_alphabetic));
    let mut words = in_order(words);
    words.extend(unit);
    words.join(" ")
}
