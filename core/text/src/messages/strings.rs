//! Other strings: `strings.ftl`.

use crate::{Computed, List, Phrase};

crate::messages! { crate::CATALOGUE, "strings";
    pull(now: Computed, later: Computed, change: Computed, spread: Computed);
    column_string();
    column_now();
    column_then();
    column_action();
    column_slot();
    from_to(now: Computed, later: Computed);
    unknown();
    slot_unknown();
    slot_fits();
    slot_binds();
    slot_rattles();
    refused(string: Phrase);
    relief_more();
    relief_less();
    relief_either();
    relief_learned(estimate: Phrase, count: usize);
    saddle_stays(string: Phrase, spread: Computed);
    saddle_back(string: Phrase, by: Computed, least: Computed, most: Computed);
    saddle_forward(string: Phrase, by: Computed, least: Computed, most: Computed);
    saddle_unknown(strings: Phrase);
    saddle_basis();
    again(what: List);
    checklist();
    check_tune();
    check_relief();
    check_nut();
    check_action();
    check_pickup();
    check_intonation();
    tension_basis();
    action_basis();
    action_assumed();
}
