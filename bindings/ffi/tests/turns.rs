//! How far a screw is turned, in words.
#![allow(clippy::unwrap_used)]

use fallaway_ffi::{set_voice, turns_text};

#[test]
fn a_turn_is_said_in_the_language_that_was_set() {
    set_voice("de", None).unwrap();
    assert_eq!(turns_text(2), "1/4 Umdrehung");
    set_voice("en", None).unwrap();
    assert_eq!(turns_text(2), "1/4 turn");
    assert_eq!(turns_text(11), "1 3/8 turns");
}
