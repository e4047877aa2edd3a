//! What stands on drawings, and beside them: `drawings.ftl`.

use fallaway_measure::Amount;
use fallaway_text::{Computed, List, Phrase};

fallaway_text::messages! { crate::CATALOGUE, "drawings";
    turn_title(screw: Phrase, turn: Phrase);
    turn_whole(turns: i64);
    then_reads(expected: Phrase);
    neck_title(string: Phrase);
    neck_title_whole();
    gap_read(what: Phrase, read: Phrase);
    gap_read_wanted(what: Phrase, read: Phrase, wanted: Phrase);
    gap_wanted(what: Phrase, wanted: Phrase);
    gap_out_of_date(what: Phrase, read: Phrase, wanted: Phrase);
    gap_out_of_date_only(what: Phrase, read: Phrase);
    gap_was(what: Phrase, before: Phrase, day: Phrase);
    neck_since(day: Phrase, changes: List);
    neck_same(day: Phrase);
    neck_bows_more(by: Computed);
    neck_bows_less(by: Computed);
    neck_end_lower(by: Computed);
    neck_end_higher(by: Computed);
    neck_string_higher(by: Computed);
    neck_string_lower(by: Computed);
    was(before: Phrase, day: Phrase);
    wanted(wanted: Amount, tolerance: Amount);
    two_values();
    magnified(times: i64);
    frets_numbered(frets: List);
    fret_number(fret: i64);
    changes_title();
    change_told(change: Computed, low: Computed, high: Computed);
    untold(parts: List);
    change_row(part: Phrase, told: Phrase);
    clearance_title();
    clearance_open();
    clearance_fretted(fret: i64);
    clearance_place(note: Phrase, over: i64);
    clearance_spare(string: Phrase, by: Computed, note: Phrase, over: i64);
    clearance_short(string: Phrase, by: Computed, note: Phrase, over: i64);
    clearance_short_by(by: Computed);
    clearance_frets();
    clearance_fret_high();
    clearance_fret_worn();
    clearance_fret_loose();
    clearance_scale(most: Computed);
    history_title(what: Phrase);
    history_point(day: Phrase, read: Phrase);
    history_deed(day: Phrase, deed: Phrase);
    history_deeds(day: Phrase, count: i64);
    history_deed_count(count: i64);
    history_air(day: Phrase, humidity: Amount);
    history_scale(marks: List);
    history_expected(humidity: Computed, expected: Computed);
    history_told(humidity: Computed, expected: Computed, low: Computed, high: Computed);
    history_beyond(humidity: Computed);
    history_forecast();
    not_measured();
    saddles_title(fret: i64);
    saddles_seen(times: i64);
    saddles_board(radius: Computed);
    saddles_flat();
    saddles_unwritten();
    saddles_row(radius: Computed);
    saddles_row_about(radius: Computed, least: Computed, most: Computed);
    saddles_row_flat();
    saddles_row_hollow();
    saddles_row_untold();
    intonation_title();
    intonation_of(string: Phrase, fret: i64);
    intonation_was(before: Phrase);
    intonation_moved(what: Phrase, before: Phrase, after: Phrase);
    spacing_title();
    spacing_seen();
    spacing_between(row: Phrase, from: Phrase, to: Phrase);
    spacing_wanted(wanted: Phrase);
}

#[cfg(test)]
mod tests {
    #[test]
    fn every_language_has_every_message() {
        let declared = [super::DECLARED, crate::page::messages::DECLARED];
        let problems = fallaway_text::check::problems(&crate::CATALOGUE, &declared, &[]);
        assert!(problems.is_empty(), "{}", problems.join("\n"));
    }

    #[test]
    fn texts_have_the_signs_of_their_language() {
        let problems = fallaway_text::check::signs(&crate::CATALOGUE, |_, _| false);
        assert!(problems.is_empty(), "{}", problems.join("\n"));
    }
}
