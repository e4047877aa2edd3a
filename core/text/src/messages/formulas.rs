//! What the mathematics refuses: `formulas.ftl`.

use crate::{Computed, Phrase, Word};

crate::messages! { crate::CATALOGUE, "formulas";
    /// A name or reason that the mathematics states in English.
    word(key: Word, name: &str);
    missing(needed_for: Phrase);
    not_known_yet(quantity: Phrase);
    count_needed(given: usize, needed: usize);
    count_expected(given: usize, expected: usize);
    no_such_place(number: usize);
    not_known();
    undetermined(reason: Phrase);
    not_finite();
    finite();
    outside(value: Phrase);
    measured(number: Computed, unit: Word, symbol: &str);
    range(least: Computed, most: Phrase);
    at_least(least: usize);
    exactly(count: usize);
}
