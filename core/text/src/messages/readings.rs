//! Why a text is not a reading, and why a reading is asked about: `readings.ftl`.

use fallaway_measure::{Amount, Fret, Reading, Tool};

use crate::{List, Phrase, Word};

crate::messages! { crate::CATALOGUE, "readings";
    reading(text: &str, at: usize, problem: Phrase);
    empty(examples: &str);
    too_long(length: usize, limit: usize);
    character(found: char);
    number(found: &str);
    missing_number(examples: &str);
    missing_whole();
    ambiguous(meanings: List);
    unit(found: &str, dimension: Phrase, units: &str);
    other_dimension(found: String, dimension: Phrase, units: &str);
    no_fraction(dimension: Phrase, examples: &str);
    wrong_tool(tool: Tool, dimension: Phrase);
    out_of_place(found: &str, examples: &str);
    out_of_range(what: Phrase, value: &str, low: i64, high: i64);
    number_kind(what: Word, name: &str);
    denominator(denominator: u32, accepted: &str);
    exchanged(low: &str, high: &str);
    mixed(first: &str, first_is: Phrase, second: &str, second_is: Phrase);
    member(found: char);
    no_gap(fret: u8);
    backwards(from: u8, to: u8);
    graduation(graduation: &str);
    pass_reading(position: usize, problem: Phrase);
    pass_count(found: usize, wanted: usize);
    nothing_before();
    each_highest_first();
    each_or_both_sides();
    each_lowest_first();
    note(given: &str, problem: Phrase);
    note_empty();
    note_letter();
    note_many_accidentals();
    note_mixed_accidentals();
    note_octave();
    note_range();
    note_cents();
    note_accepted();
    unusual(beyond: Word, reading: Reading);
    family(family: Word);
    impossible(beyond: Word, reading: Reading);
    other_kind(reading: Reading, found: Phrase);
    over_the_nut();
    lies_on_fret(fret: Fret);
    not_between();
    pickup_zero();
    open_intonation();
    from_fret_1();
    another_fret();
    rising_frets();
    from_pickup_1();
    range(low: Amount, high: Amount);
}
