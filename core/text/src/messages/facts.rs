//! Facts about the instrument: `facts.ftl`. What each is called is in `fact_names.ftl`, by its key.

use fallaway_measure::{Amount, Fret};

use crate::Phrase;
use crate::phrase::{List, Word};

crate::messages! { crate::CATALOGUE, "facts";
    at_string(fact: Phrase, string: Phrase);
    screw(screw: Word);
    /// A register that only a newer version knows.
    field_newer(key: String);

    newer();
    removed();
    nothing_known();
    /// A general starting point for an instrument, by its id.
    template(template: Word, id: &'static str);
    none();
    yes_no(yes: bool);
    family_kind(family: Word);
    strings_count(strings: u32);
    courses_count(courses: usize, strings: u32);
    core(amount: Amount);
    pack_tension(amount: Amount);
    construction(kind: Word);
    unit_weight(value: Phrase, unit: Word);
    scale_fanned(bass: Amount, treble: Amount);
    scale_of(string: Phrase, amount: Amount);
    fretless();
    frets_count(count: u8);
    frets_high(count: u8, height: Amount);
    joint_fret_at(fret: Fret, uncertain: u8);
    flat();
    radius(radius: Amount);
    compound(nut: Amount, last_fret: Amount);
    nut_kind(kind: Word);
    own_saddles(screws: u8);
    shared_saddles(saddles: List);
    two_posts();
    fixed();
    floating();
    on_posts();
    intonation_by(by: Word);
    sideways(yes: bool);
    thread_pitch(pitch: Amount);
    clockwise(screw: Word, way: Word);
    key(key: String);
    rod_kind(kind: Word);
    rod_access(access: Word);
    neck_joint_kind(kind: Word);
    count(count: u8);
    hand(hand: Word);
    order(order: Word);

    setup(setup: Phrase);
    setup_deleted(deleted: bool);
    setup_name(setup: Phrase);
    setup_target(setup: Phrase, quantity: Phrase);
    setup_target_at(setup: Phrase, quantity: Phrase, location: Phrase);
    target(wanted: Amount, tolerance: Amount);
}
