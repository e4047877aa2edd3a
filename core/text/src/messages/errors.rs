//! What went wrong: `errors.ftl`.

use fallaway_measure::{Amount, Fret, StringPlace};

use crate::Phrase;
use crate::phrase::{Computed, List, Word};

crate::messages! { crate::CATALOGUE, "errors";
    not_found(what: Word, name: String);
    bad_input(field: Phrase, reason: Phrase);
    unsure(field: Phrase, reason: Phrase);
    contested(field: Phrase);
    plan_moved();
    not_a_step(given: String);
    which_way();
    nothing_was_said();
    nothing_to_write(step: Phrase);
    read_only(reason: Phrase);
    refused(reason: Phrase);
    not_allowed(reason: Phrase);
    busy(reason: Phrase);
    full(reason: Phrase);
    storage(reason: Phrase);
    keys(reason: Phrase);
    closed();
    cancelled();
    internal(report: String, reason: String);
    /// With what would be accepted.
    with_accepted(error: Phrase, accepted: Phrase);

    /// The names of input fields.
    field(field: Word);
    field_reading(position: usize);
    field_at(quantity: Phrase, location: Phrase);

    none_yet();
    no_touch_yet();
    there_are(names: List);
    history_names();
    several_fit(name: String);
    name_taken(name: String);
    setup_taken(name: String);
    compare_setups();
    own_name();
    no_such_parts();
    parts_of_an_inch();
    accepted_range(low: String, high: String);
    other_processes();
    record_moved();
    called_from_callback();
    viewer();
    people_missing();
    only_owner();
    came_in_before();
    not_oneself();
    last_owner();
    removed();
    not_invited_as_owner();
    no_key();
    locked();
    no_bundles();
    nothing_in_it();
    not_shared_here();
    shared_already(name: String);
    visit_has_entries();
    cross_out_first();
    not_crossed_out();
    no_token();
    token_accepted();
    no_readings_given();
    at_least_one();
    strings_unknown();
    name_strings();
    setup_name_bad(name: String);
    setup_name_accepted();
    no_such_value(number: usize, field: Phrase);
    read_numbers_first();
    usual(place: Phrase, why: Phrase, low: Amount, high: Amount);
    usual_whole(why: Phrase, low: Amount, high: Amount);
    fact_unusual(fact: Phrase, given: Phrase, low: Phrase, high: Phrase);
    notes_reversed();
    gauges_reversed();
    scale_reversed();
    spread_reversed();
    of_what(what: Phrase, why: Phrase);
    turned_far(turns: Phrase, usual: Phrase);
    rod_turned_far(turns: Phrase, usual: Phrase);
    moved_far(given: Amount, usual: Amount);
    against_known_way();
    air_unusual(given: Amount, low: Amount, high: Amount);
    air_impossible(given: Amount);
    amounts_between(low: Amount, high: Amount);

    no_such_string(place: String, accepted: String);
    no_such_fret(fret: Fret, last: Fret);
    no_such_pickup(pickup: u8, count: u8);
    fret_order(first: Fret, second: Fret);
    dimension(quantity: Phrase, wanted: Phrase, found: Phrase);
    tolerance(tolerance: Amount);
    no_readings();
    no_such_entry(entry: String);
    crossed_out_already();
    text_length(found: usize, most: usize);
    courses_wrong();
    courses_accepted(courses: usize, strings: u8);
    frets_accepted(most: u8);
    unit_weight();
    above_zero();
    saddle_without_strings();
    fact_not_written(reason: String);
    newer_value(key: String);
    not_set(key: String);
    unknown_target();
    stated_time();
    time_unlikely(time: Phrase);
    time_likely();
    unreadable(key: String);
    clock();
    clock_accepted();
    too_large();
    less_at_once();
    value_size();
    shorter();

    clearance_accepted();
    strings_accepted();
    buzz_accepted();
    no_action(string: StringPlace);
    days(days: u16);
    label(label: &str);
    label_accepted();

    compare_unwritten(fact: Phrase);
    compare_no_visit(visit: String);
    compare_no_target();
    compare_visit_unread();
    compare_today_unread();

    store_newer();
    store_busy();
    store_full();
    not_writable(path: String, reason: String);
    cannot_open(path: String, reason: String);
    io(reason: String);
    damaged(reason: String);
    not_a_store(path: String, reason: String);
    engine(found: String, needed: String);

    no_invitation();
    invitation_newer();
    invitation_damaged();
    invitation_expired(expired: Phrase);
    invitation_relay();
    words_count(count: usize);
    word_unknown(place: usize, word: String);
    words_checksum();
    no_welcome();
    no_letter();
    words_replaced();

    not_a_bundle();
    bundle_newer();
    bundle_cut();
    bundle_other();
    bundle_key();
    bundle_altered();
    bundle_malformed();
    snapshot_damaged();
    snapshot_other();

    /// A name of a tool, a string, a quantity ... that names none.
    names_none(text: &str, what: Word);
    named_so(what: Word, accepted: &'static str);

    number_unwritable(number: Computed);
    number_accepted();
    turns_accepted();
    newer_choice();
    newer_choice_accepted();
    no_id();
    id_accepted(of: Word);
    not_shown_so(amount: Amount);
    shown_accepted();
    one_letter(given: &str);
    place_accepted();
    fret_accepted();
    not_spoken(language: &str);
}
