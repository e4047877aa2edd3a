//! The script. A scenario of our own; every number in it is invented.
//!
//! The readings hang together: the neck bends up to fret 17 of a 34 in, 24-fret board, where 0.10 mm
//! of relief moves the gap over 24 (stopped at 1) by 0.076 mm; a saddle on a 0.5 mm thread moves that
//! gap by 1/1.36 of its own height; the rod gives 0.18 mm of relief a quarter turn. Between the
//! readings the strings stand at these gaps over 24, in mm, lowest string last:
//!
//! | when | relief | 1 | 2 | 3 | 4 | 5 |
//! |---|---|---|---|---|---|---|
//! | as found | 0.58 | 2.55 | 2.57 | 2.65 | 2.95 | 3.03 |
//! | rod 1/8 ccw, twice 1/4 cw | 0.31 | 2.34 | 2.36 | 2.44 | 2.74 | 2.82 |
//! | saddles 1 down, 3 and 5 1 1/4 | 0.31 | 1.97 | 1.99 | 1.98 | 2.37 | 2.36 |
//! | saddle 5 1/8 down, later 3/4 up | 0.31 | | | | | 2.31, 2.59 |
//! | a dry winter | 0.60 | 2.19 | 2.21 | 2.20 | 2.59 | 2.81 |
//! | rod 3/8 cw | 0.33 | 1.99 | 2.01 | 2.00 | 2.39 | 2.61 |

use fallaway_text::Phrase;

use crate::messages::demo as say;

/// One beat of the story.
pub enum Beat {
    /// A new chapter, with the time at which it begins (seconds since 1970, UTC).
    When(fn() -> Phrase, i64),
    /// The narrator.
    Say(fn() -> Phrase),
    /// A command on the tech's device.
    Tech(&'static str),
    /// A command on the player's device.
    Player(&'static str),
}

use Beat::{Player, Say, Tech, When};

/// The story.
pub const STORY: &[Beat] = &[
    // 2025-10-06 09:00 +01:00
    When(say::october, 1_759_737_600),
    Say(say::take_in),
    Tech("add bass-5 \"blue five\""),
    Tech("visit begin \"heavy to play since the summer\""),
    Tech("climate 21C 46% --hours 24"),
    Tech("tool rule 1/64"),
    Tech("tool feeler 0.01 mm"),
    Tech("tuned"),
    Tech("read relief 0.58 --as-found"),
    Tech("read action 6 6 7 7 8 --as-found"),
    Say(say::wishes),
    Tech("setup target stage relief 0.30 mm --within 0.05 mm"),
    Tech("setup target stage action 1-3 5/64 --within 0.2 mm"),
    Tech("setup target stage action 4-5 6/64 --within 0.2 mm"),
    Tech("plan"),
    Say(say::first_eighth),
    Tech("did rod 1/8 ccw"),
    Tech("tuned"),
    Tech("read relief 0.67"),
    Tech("read relief 0.67 --sure"),
    Tech("next"),
    Say(say::rod_known),
    Tech("did rod 1/4 cw"),
    Tech("tuned"),
    Tech("read relief 0.49"),
    Tech("did rod 1/4 cw"),
    Tech("tuned"),
    Tech("read relief 0.31"),
    Say(say::relief_there),
    Tech("next"),
    Tech("read action 6 6 6 7 7"),
    Say(say::saddle_way),
    Tech("set saddle-clockwise more"),
    Tech("plan"),
    Tech("did saddles 1,2,4 down 1 ccw"),
    Tech("did saddles 3,5 down 1 1/4 ccw"),
    Tech("tuned"),
    Say(say::final_numbers),
    Tech("read relief 0.31 --as-left"),
    Tech("read action 1.97 1.99 1.98 2.37 2.36 mm --tool 'dial 0.01 mm' --as-left"),
    Tech("setup take stage"),
    Tech("visit end"),
    Say(say::invitation),
    Tech("invite contributor --out invitation.txt"),
    Tech("bundle out from-tech.fallaway"),
    Player("accept from-tech.fallaway --words invitation.txt"),
    Player("bundle out from-player.fallaway"),
    Tech("bundle in from-player.fallaway"),
    // 2025-10-10 20:00 +01:00
    When(say::friday, 1_760_122_800),
    Say(say::backstage),
    Player("card --large"),
    Player("buzz 5 3-5 \"played hard, near the neck\""),
    Player("setup target stage action 5 2.60 mm"),
    Player("bundle out player-1.fallaway --new"),
    Player("remark \"second set: only at the third fret\""),
    Player("bundle out player-2.fallaway --new"),
    Say(say::same_evening),
    Tech("did saddle 5 down 1/8 ccw"),
    Tech("tuned"),
    Tech("read action 2.31 mm --strings 5 --tool 'dial 0.01 mm'"),
    Tech("setup target stage action 5 2.30 mm"),
    Tech("visit end"),
    Tech("bundle out tech-1.fallaway --new"),
    // 2025-10-11 10:00 +01:00
    When(say::saturday, 1_760_173_200),
    Say(say::second_first),
    Tech("bundle in player-2.fallaway"),
    Tech("bundle in player-1.fallaway"),
    Player("bundle in tech-1.fallaway"),
    Say(say::two_values),
    Player("two-values"),
    Player("settle 1 1"),
    Player("bundle out settled.fallaway --new"),
    Tech("bundle in settled.fallaway"),
    Say(say::up_again),
    Tech("visit begin \"string 5 higher\""),
    Tech("tuned"),
    Tech("read relief 0.31"),
    Tech("read action = = = = = --tool 'dial 0.01 mm'"),
    Tech("next"),
    Tech("did saddle 5 up 3/4 cw"),
    Tech("tuned"),
    Tech("read action 2.59 mm --strings 5 --tool 'dial 0.01 mm' --as-left"),
    Tech("visit end"),
    // 2026-01-20 09:00 +01:00
    When(say::january, 1_768_896_000),
    Say(say::heating),
    Tech("visit begin \"feels heavy again\""),
    Tech("climate 20C 24% --hours 72"),
    Tech("tuned"),
    Tech("read relief 0.60 --as-found"),
    Tech("read action 2.19 2.21 2.20 2.59 2.81 mm --tool 'dial 0.01 mm' --as-found"),
    Tech("plan"),
    Say(say::one_nut),
    Tech("did rod 1/4 cw"),
    Tech("tuned"),
    Tech("read relief 0.42"),
    Tech("next"),
    Tech("did rod 1/8 cw"),
    Tech("tuned"),
    Tech("read relief 0.33 --as-left"),
    Tech("read action 1.99 2.01 2.00 2.39 2.61 mm --tool 'dial 0.01 mm' --as-left"),
    Tech("plan"),
    Say(say::untouched),
    Tech("visit end"),
    Tech("bundle out winter.fallaway --new"),
    Player("bundle in winter.fallaway"),
    Player("card"),
];
