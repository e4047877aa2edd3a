//! Clearance: `clearance.ftl`.

use fallaway_measure::Fret;

use crate::{Computed, List, Phrase, Word};

crate::messages! { crate::CATALOGUE, "clearance";
    lead_buzzes(force: Computed, string: Phrase, note: Phrase, over: usize, by: Computed);
    lead_clean(force: Computed, string: Phrase, note: Phrase, over: usize, by: Computed);
    open();
    fretted(fret: Fret);
    way_open(over: usize);
    way_fretted(stopped: usize, over: usize);
    column_string();
    column_action();
    column_margin();
    column_nearest();
    column_lowest();
    column_relief();
    column_touch();
    margin(value: Computed, spread: Computed);
    nearest(stopped: usize, over: usize);
    none();
    range(low: Computed, high: Computed);
    under_learned(low: Computed, high: Computed, parts: List);
    under_part(kind: Phrase, strings: List);
    legend(way: Phrase);
    finger(from_saddle: Computed, direction: Word);
    model();
    out_of_date(what: List);
    caveat();
    touch(force: Computed, from: Phrase);
    touch_assumed();
    touch_given();
    touch_learned(low: Computed, high: Computed, count: usize);
    touch_learned_upper(low: Computed, high: Computed, count: usize);
    touch_learned_lower(low: Computed, high: Computed, count: usize);
    touch_learned_contradict(low: Computed, high: Computed, count: usize);
    clean();
    touches();
    untold();
    assumed_tension(strings: List, source: Phrase);
    assumed_inharmonicity(strings: List, from: Phrase);
    inharmonicity_assumed();
    inharmonicity_wire();
    assumed_left_out(string: Phrase);
    assumed_joint(fret: u8, by: u8);
    assumed_level();
    assumed_crown(fret: u8, string: Phrase, by: Phrase);
    what_if_strings(changes: List);
    what_if_relief(relief: Computed);
    what_if_saddle(string: Phrase, by: Computed);
    what_if_actions();
    what_if_notes();
    string_to(string: Phrase, to: Phrase);
    mass_pack();
    mass_wire();
    mass_guessed();
}
