//! What changed: `changed.ftl`.

use crate::{Computed, List, Phrase};

crate::messages! { crate::CATALOGUE, "changed";
    nothing();
    postures(before: Phrase, after: Phrase);
    neck();
    twist();
    joint();
    saddle(string: Phrase);
    nut(string: Phrase);
    nuts(strings: Phrase);
    saddles(strings: Phrase);
    heights();
    likely(list: List);
    likely_moved(part: Phrase, by: Computed, odds: usize);
    likely_most(part: Phrase, by: Computed, odds: usize);
    likely_most_against(part: Phrase, by: Computed, odds: usize, reading: Phrase);
    likely_again(of: Phrase);
    likely_other_tool(of: Phrase);
    likely_agree();
    of_heights();
    of_neck();
    of_twist();
    of_joint();
    of_saddle();
    of_nut();
    moved(part: Phrase, of: Phrase, value: Computed, low: Computed, high: Computed);
    still(part: Phrase, of: Phrase, low: Computed, high: Computed);
    still_likely(part: Phrase, of: Phrase, by: Computed, low: Computed, high: Computed);
    still_unbounded(part: Phrase, of: Phrase);
    unclear(part: Phrase, of: Phrase, low: Computed, high: Computed);
    open(list: List);
    to_settle(of: Phrase);
    once_more();
    earlier();
    doubtful(part: Phrase, of: Phrase, reading: Phrase);
    doubtful_several(parts: List, reading: Phrase);
    rests_on_one(reading: Phrase);
    slot_rose();
    noted(list: List);
    common();
    contradict();
    left_aside(count: usize);
    readers_unknown(first: Phrase, second: Phrase, within: Computed);
    readers(first: Phrase, second: Phrase, estimate: Phrase, count: usize);
}
