//! Clearance: `clearance.ftl`.

use crate::{Computed, List, Phrase};

crate::messages! { crate::CATALOGUE, "clearance";
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
    assumed_tension(string: Phrase, tension: Computed, source: Phrase, inharmonicity: String, from: Phrase);
    inharmonicity_assumed();
    inharmonicity_wire();
    assumed_left_out(string: Phrase);
    assumed_joint(fret: u8, by: u8);
    assumed_level();
    what_if_strings(changes: List);
    what_if_relief(relief: Computed);
    what_if_saddle(string: Phrase, by: Computed);
    what_if_actions();
    string_to(string: Phrase, to: Phrase);
    mass_pack();
    mass_wire();
    mass_guessed();
}
