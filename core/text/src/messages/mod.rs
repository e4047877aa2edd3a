//! The table of messages: for each its name and its typed arguments. The texts are in
//! `messages/<language>/<theme>.ftl`, a theme a file.

use crate::Message;

pub mod buzz;
pub mod card;
pub mod cautions;
pub mod changed;
pub mod clearance;
pub mod entries;
pub mod errors;
pub mod facts;
pub mod forecast;
pub mod learned;
pub mod measure;
pub mod plan;
pub mod strings;

/// Every message of this crate, by theme.
pub static DECLARED: &[&[Message]] = &[
    buzz::DECLARED,
    card::DECLARED,
    cautions::DECLARED,
    changed::DECLARED,
    clearance::DECLARED,
    entries::DECLARED,
    errors::DECLARED,
    facts::DECLARED,
    forecast::DECLARED,
    learned::DECLARED,
    measure::DECLARED,
    plan::DECLARED,
    strings::DECLARED,
];

/// Messages that are looked up by name.
pub static BY_NAME: &[(&str, &str)] = &[("measure", "day_format"), ("measure", "moment_format")];
