//! What is said of a meeting of two devices: `meeting.ftl`.

use crate::{Phrase, Word};

crate::messages! { crate::CATALOGUE, "meeting";
    no_digits(text: String);
    digits_accepted();
    in_a_meeting();

    up_to_date(name: String, with: String);
    instrument(name: String, what: Phrase);
    sent(count: usize);
    received(count: usize);
    photos_sent(count: usize);
    photos_received(count: usize);

    all();
    apart();
    removed();
    peer_removed();
    unknown();
    peer_unknown();
    not_taken();
    stopped();
    failed(why: Word);
}
