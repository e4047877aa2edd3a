//! What this app says of its own accord; what the library says comes from the library. The texts are in
//! `messages/<language>/<theme>.ftl`. Here each is declared with its arguments, so that the compiler finds
//! those that nothing says; help and facts are looked up by name.

use fallaway_text::Catalogue;

/// The messages of this app.
pub static CATALOGUE: Catalogue = Catalogue::new(fallaway_text::folders!());

macro_rules! themes {
    ($($(#[$meta:meta])* $theme:ident, $file:literal { $($messages:tt)* })*) => {
        $(
            $(#[$meta])*
            #[doc = concat!("`", $file, ".ftl`.")]
            #[allow(unused_imports, reason = "not every theme has every kind of argument")]
            pub mod $theme {
                use fallaway::measure::{Amount, Fret, Place, Reading};
                use fallaway::record::Moment;
                use fallaway_text::{Computed, List, Phrase, Word};

                fallaway_text::messages! { crate::messages::CATALOGUE, $file; $($messages)* }
            }
        )*

        /// Every message that a function makes, by theme.
        #[cfg(test)]
        pub static DECLARED: &[&[fallaway_text::Message]] = &[$($(#[$meta])* $theme::DECLARED),*];
    };
}

themes! {
    app, "app" {
        choices(list: List);
        /// The name of a language in itself.
        language_name();
        language(name: Phrase);
        language_unknown(tag: &str, accepted: List);
        units(units: &str);
        units_unknown(part: &str);
        note(text: String);
        undo(short: String);
        sure();
        /// What counts as yes, with spaces between.
        answers_yes();
        not_stored();
        declined();
        quoted(name: &str);
        no_folder();
        no_instrument();
        which_instrument(names: List);
        not_ours(path: String, reason: String);
        file_failed(what: Phrase, reason: String);
        cannot_read(path: String);
        cannot_write(path: String);
        cannot_make(path: String);
        cannot_empty(path: String);
        cannot_read_input();
        cannot_print(reason: String);
        cannot_serialize(reason: String);
        unknown_option(word: String);
        unknown_command(word: String);
        missing_command(accepted: String);
        missing_arguments(arguments: String);
        missing_value(argument: String);
        wrong_value(value: String, argument: String);
        wrong_value_because(value: String, argument: String, reason: String);
        too_many_values(value: String, argument: String);
        wrong_count(argument: String, wanted: i64, found: i64);
        conflict(argument: String, others: String);
        not_text();
        not_understood();
        accepted(error: Phrase, accepted: String);
        similar(error: Phrase, accepted: String);
        more_help(error: Phrase, command: String);
    }
    // What to type next.
    hints, "hints" {
        two_values();
        set_target(setup: &str, example: &str);
        keep_readings(setup: &str);
        tuned();
        as_left();
        which_way();
        toward(setup: &str);
        all_steps();
        other_steps();
        all_numbers();
        caution();
    }
    bench, "bench" {
        visit_begun();
        visit_begun_for(purpose: String);
        visit_ended();
        no_visit();
        visit_open(begun: Moment, purpose: Phrase);
        no_purpose();
        no_tool();
        order(first: Word);
        did(what: Phrase);
        did_each(what: Phrase);
        tuned();
        tuned_other();
        strings(what: Phrase);
        buzz(string: Phrase, frets: Phrase);
        remark();
        reading(what: List, reading: Reading);
        reading_at(what: List, place: Phrase, reading: Reading);
        remark_empty();
        no_string(place: Place, count: u8);
        no_fret(fret: Fret, last: u8);
        no_last_fret();
        which_gap();
        no_gap(stopped: Fret, over: Fret);
        not_beyond(last: Fret, first: Fret);
        forecast_humidity();
    }
    instruments, "instruments" {
        head_templates();
        templates_hint();
        added(name: &str);
        added_as(label: String);
        no_instruments();
        head_list();
        list_contested(count: usize);
        list_waiting(count: usize);
        list_unnamed();
        two_values_hint(places: Phrase);
        newer_facts(count: usize);
        read_only(reason: &str);
        visit_open(purpose: Phrase);
        state(state: &str);
        me(label: &str);
        fingerprint(fingerprint: &str);
        me_wrong();
        forget_ask(name: &str);
        forget_wrong(name: &str);
        forgotten(name: &str);
        head_facts();
        unset(fact: &str);
        set(fact: &str, value: String);
        no_entries();
        crossed_out_because(reason: &str, what: Phrase);
        replaced(what: Phrase);
        taken_back(what: Phrase);
        cannot_undo();
        reason_missing();
        reason_undo();
        crossed_out(reason: &str, what: Phrase);
        erased(what: Phrase);
    }
    setups, "setups" {
        taken(name: &str);
        none();
        unknown(name: &str, known: Phrase);
        none_yet();
        head();
        two_values();
        set(setup: &str, what: List, target: Amount);
        set_within(setup: &str, what: List, target: Amount, within: Amount);
        dropped(setup: &str, what: Phrase);
        value_missing();
        strings_missing();
    }
    sharing, "sharing" {
        head_people();
        this_device();
        role(role: Word);
        invited(file: String, days: u16);
        not_invitation(file: String);
        invitation(name: &str, role: Phrase, expires: Moment);
        compare(inviter: &str);
        joined(name: &str, role: Phrase);
        joined_next();
        whole_record(file: String, size: Phrase);
        what_is_new(file: String, size: Phrase);
        bytes(count: usize);
        kilobytes(count: usize);
        some_refused(file: String, count: usize);
        of_file(file: String, why: Phrase);
        too_large(file: String, bytes: u64, most: u64);
        merged(name: &str);
        person_joined(person: &str);
        from(by: &str, what: List);
        values(count: usize);
        crossed_out(count: usize);
        nothing_new();
        waiting(count: usize);
        set_aside(reason: &str);
        refused(bundle: &str, reason: &str);
        conflict(field: Phrase, values: List);
        value_by(value: Phrase, by: &str);
        both_kept();
        no_conflict();
        place(number: usize, field: Phrase);
        meanwhile();
        settle_hint();
        nothing_to_settle();
        no_place(place: usize, count: usize);
        no_value(field: Phrase, value: usize, count: usize);
        settled(field: Phrase, value: Phrase, by: &str);
    }
    parse, "parse" {
        not_time(text: &str, accepted: Phrase);
        time_accepted();
        future(text: &str);
        time_range(text: &str);
        not_string(text: &str);
        not_strings(text: &str);
        not_frets(text: &str);
        air_accepted();
        air_no_unit(text: &str, accepted: Phrase);
        air_unknown(text: &str, accepted: Phrase);
        air_nothing(accepted: Phrase);
        twice(text: &str);
        turns(count: String, form: Word);
        not_angle(text: &str);
        tighten(text: &str);
        no_turn();
        many_turns(most: u32);
        inexact_turns(turns: Phrase);
        parts_of_turn(text: &str);
        adjust_accepted();
        not_adjustable(text: &str, accepted: Phrase);
        no_detail(text: &str, accepted: Phrase);
        how_far(way: Word);
        which_sense(turns: Phrase);
        which_way();
        what_done(accepted: Phrase);
        which_string(accepted: Phrase);
        which_pickup();
        went(way: Word);
        sense_not_noted(turns: Phrase);
        noted(what: Phrase, note: &str);
        not_fact(text: &str, accepted: List);
        fact_wrong(fact: &str, why: Phrase, meaning: String, example: &str);
        no_value();
        not_this(text: &str);
        lengths_given(count: usize);
        frets_first();
        not_set(fact: &str, known: List);
        not_whole(text: &str);
        not_lengths(text: &str, count: usize);
        no_string_named(text: &str);
        count_of_strings(given: usize, strings: usize);
        option(option: &str, why: Phrase);
        length_needed();
        one_or_each(given: usize, count: usize);
        one_force(given: usize);
        saddle_form();
        no_action(string: &str);
    }
    demo, "demo" {
        october();
        take_in();
        wishes();
        first_eighth();
        rod_known();
        relief_there();
        saddle_way();
        final_numbers();
        invitation();
        friday();
        backstage();
        same_evening();
        saturday();
        second_first();
        two_values();
        up_again();
        january();
        heating();
        one_nut();
        untouched();
        differ(tech: &str, player: &str);
        same(state: &str);
        go_on();
        your_own(program: &str);
        not_from_demo(path: String);
        marker();
        stopped(command: &str, code: u8);
        no_state(device: &str, why: &str);
    }
}
