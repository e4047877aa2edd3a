//! What is said of an exchange with a relay: `sync.ftl`.

use crate::{Phrase, Word};

crate::messages! { crate::CATALOGUE, "sync";
    no_address(url: String);
    address();
    address_secure();

    up_to_date();
    no_news();
    relay_full();
    stopped();
    later(why: Word, seconds: u64);
    blocked(why: Word);
    rebuilt();
    doubted(device: String, at: Phrase);
    set_aside(count: usize);
    sent(count: usize);
    received(count: usize);
    waits(count: usize);
}
