//! Numbers, units, quantities, places, tools: `measure.ftl`.

use fallaway_measure::{Amount, Fret, StringPlace};

use crate::Phrase;
use crate::phrase::{Computed, Day, List, Word};
use fallaway_record::Moment;

crate::messages! { crate::CATALOGUE, "measure";
    /// What a person wrote.
    written(text: String);
    /// Phrases in a row.
    row(list: List);
    /// A computed number alone.
    number(number: Computed);
    /// An amount as entered alone.
    as_entered(amount: Amount);
    /// A moment alone.
    moment(moment: Moment);
    /// A day alone.
    day(day: Day);
    list_and(front: String, last: String);
    list_or(front: String, last: String);
    decimal_sign();
    amount(number: String, unit: Word, form: Word, code: u16);
    less_than(amount: Amount);
    in_other_words(shown: String, other: String);

    at_most(amount: Amount);
    at_least(amount: Amount);
    between(low: Amount, high: Amount);

    action_open(over: Fret);
    action(stopped: Fret, over: Fret);
    nut_open(over: Fret);
    nut(stopped: Fret, over: Fret);
    relief(from: Fret, to: Fret);
    relief_at(from: Fret, to: Fret, at: Fret);
    fall_away(from: Fret, to: Fret, at: Fret);
    pitch();
    intonation(fret: Fret);
    spacing_bridge();
    spacing_nut();
    bridge_height();
    bridge_tail();
    pickup_open(pickup: u8);
    pickup(pickup: u8, stopped: Fret);
    quantity_newer(code: u32);

    /// A string by its number alone, "4".
    string_number(place: StringPlace);
    /// With its note, "4 (E)".
    string_label(place: StringPlace, note: Phrase);
    /// In a sentence, "string 4 (E)".
    string(label: Phrase);
    strings_all();
    strings(count: usize, labels: List);
    /// A note without its octave.
    note(letter: Word, accidental: Word);
    /// A note with its octave and offset.
    note_octave(letter: Phrase, octave: i64, cents: Phrase);
    side(side: Word);
    location_newer(code: u32);
    dimension(dimension: Word);

    tool(kind: Word, graduation: Amount, code: u32);
    tool_kind(kind: Word, code: u32);

    /// Turns, `size` being `part`, `one` or `more`.
    turns(turns: Phrase, size: Word);
    turns_clockwise(turns: Phrase, size: Word);
    turns_anticlockwise(turns: Phrase, size: Word);
    turns_under(direction: Word);

    fret_open();
    fret(fret: Fret);
    frets(from: Fret, to: Fret);
    frets_from_open(to: Fret);
}
