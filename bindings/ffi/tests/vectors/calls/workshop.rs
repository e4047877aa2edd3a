//! The calls of an empty workshop in memory.

use fallaway_ffi::{FallawayError, Workshop};

use super::{Answer, Given, refusal};

fn try_answer(call: &str, given: Given<'_>) -> Option<Result<(), FallawayError>> {
    let workshop = Workshop::in_memory("tech", None, None).unwrap();
    Some(match call {
        "instrument_named" => workshop.instrument_named(&given.text("name")).map(drop),
        "add_instrument" => {
            workshop.add_instrument(&given.text("template"), &given.text("name")).map(drop)
        }
        "instrument" => given.text("id").parse().and_then(|id| workshop.instrument(id)).map(drop),
        "after_shut_down" => {
            workshop.shut_down().unwrap();
            workshop.instruments().map(drop)
        }
        _ => return None,
    })
}

/// The refusal of a call; `None` for one that is not here.
pub fn answer(call: &str, given: Given<'_>) -> Option<Answer> {
    try_answer(call, given)
        .map(|answer| answer.err().map_or_else(Answer::new, |error| refusal(&error)))
}
