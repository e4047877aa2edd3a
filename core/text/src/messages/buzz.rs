//! Why a note buzzes: `buzz.ftl`.

use crate::{Computed, Phrase};

crate::messages! { crate::CATALOGUE, "buzz";
    relief_too_small();
    action_low();
    proud_crown(fret: u8);
    nut_slot();
    less_pull();
    loose_part();
    as_read();
    less_than_read(by: Computed);
    predicts_relief(needs: Phrase);
    predicts_action(needs: Phrase);
    predicts_harder(force: Computed, high: Computed);
    predicts_crown(fret: u8, by: Computed);
    predicts_crown_as_read(needs: Phrase, fret: u8);
    predicts_nut();
    predicts_nut_lower(by: Computed);
    predicts_pull(at: Phrase, then: Computed, now: Computed);
    predicts_strings(at: Phrase);
    predicts_pull_unnoted(at: Phrase, then: Computed, now: Computed);
    predicts_strings_unnoted(at: Phrase);
    relief_fell_unnoted(at: Phrase, by: Computed);
    action_fell_unnoted(at: Phrase, by: Computed);
    predicts_loose();
    decide_relief();
    decide_action();
    decide_harder();
    over_frets(below: u8, fret: u8, above: u8);
    over_run(from: u8, to: u8);
    decide_crown(over: Phrase);
    decide_crown_first(over: Phrase);
    decide_nut();
    decide_pull();
    decide_loose();
    relief_fell(at: Phrase, by: Computed);
    action_fell(at: Phrase, by: Computed);
    predicts(text: Phrase);
    decides(text: Phrase);
    against(by: Computed);
    basis();
}
