//! The numbers card: `card.ftl`.

use fallaway_measure::Amount;

use crate::{List, Phrase};

crate::messages! { crate::CATALOGUE, "card";
    title(name: &str);
    title_setup(name: &str, setup: &str);
    nothing();
    column_where();
    column_read();
    column_target();
    target(target: Amount);
    last_read(when: Phrase);
    read_earlier(day: Phrase, quantities: List);
    above();
    below();
    unclear();
}
