//! What stands on pages: `sheet.ftl`.

use fallaway_measure::Amount;
use fallaway_text::{Day, List, Phrase};

fallaway_text::messages! { crate::CATALOGUE, "sheet";
    customer(day: Phrase);
    customer_for(purpose: Phrase, day: Phrase);
    bench();
    bench_of(setup: Phrase);
    numbers();
    what();
    as_found();
    wanted();
    as_left();
    wanted_within(wanted: Amount, tolerance: Amount);
    on_target(within: i64, all: i64);
    on_target_all(all: i64);
    on_target_read(within: i64, all: i64, open: i64);
    not_read_this_time(what: List);
    not_read();
    done();
    nothing_done();
    notes();
    facts();
    by();
    strings();
    strings_since();
    tuning();
    air();
    air_humidity(humidity: Amount);
    air_temperature(temperature: Amount);
    air_of(air: List, day: Day);
    neck_today();
    watch();
    watch_open(steps: List);
    watch_two_values(what: Phrase);
    watch_wood();
    come_back();
    come_back_by(day: Day);
    invitation();
    invitation_reads(until: Day);
    invitation_writes(until: Day);
    invitation_how(words: Phrase);
    invitation_caution();
    large_of(place: Phrase, what: Phrase);
    large_within(tolerance: Amount);
    large_read(read: Phrase);
}
