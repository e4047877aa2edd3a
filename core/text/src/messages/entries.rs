//! Entries of the history: `entries.ftl`.

use fallaway_measure::{Amount, StringPlace};

use crate::Phrase;
use crate::phrase::{List, Word};

crate::messages! { crate::CATALOGUE, "entries";
    with_note(entry: Phrase, note: String);
    partly_newer(entry: Phrase);
    newer(kind: u32);
    visit();
    /// What was taken back, or can be.
    crossed_out(entry: Phrase);
    field_value(field: Phrase, value: Phrase);
    /// What was taken back, and what stands there again.
    field_value_back(field: Phrase, was: Phrase, now: Phrase);
    reason_undo();
    visit_ended();
    pass(what: List, readings: List);
    read_at(location: Phrase, reading: Phrase);
    phase(phase: Word);
    posture(posture: Word);
    stopped_by(by: Word);
    tuned_before(minutes: u16);

    rod();
    saddle_height(strings: Phrase);
    saddle_position(strings: Phrase);
    saddle_sideways(strings: Phrase);
    nut_slot(strings: Phrase);
    nut();
    bridge_post(side: Word);
    bridge_posts();
    springs();
    pickup(pickup: u8);
    pole(pickup: u8, strings: Phrase);
    pickup_side(pickup: u8, side: Word);
    neck();
    frets();
    bridge();
    elsewhere();
    part_newer(code: u32);
    adjusted(part: Phrase, details: List);
    went(way: Word);
    moved(way: Word, size: Amount);

    strings_changed(count: usize, strings: List);
    all_strings_changed();
    gauge(place: StringPlace, gauge: Amount);
    tuned(count: usize, strings: List);
    all_tuned();
    tuned_to(place: StringPlace, note: Phrase);
    from_now_on(tuned: Phrase, notes: List);
    climate(parts: List);
    humidity(humidity: Amount);
    hours_there(hours: u32);
    buzz(string: Phrase, frets: Phrase);
    photo();
    fret_under(fret: Phrase, strings: Phrase);
    fret_found(place: Phrase, state: Word);
    fret_by(place: Phrase, state: Word, by: Phrase);
    could_not_move(part: Phrase, why: Phrase);
    could_not_read(what: List, why: Phrase);
    /// So many entries of a kind.
    count(kind: Word, count: usize);
}
