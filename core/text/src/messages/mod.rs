//! The table of messages: for each its name and its typed arguments. The texts are in
//! `messages/<language>/<theme>.ftl`, a theme a file.

use fallaway_record::spec::Fact;

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
pub mod formulas;
pub mod import;
pub mod learned;
pub mod limits;
pub mod measure;
pub mod meeting;
pub mod photos;
pub mod plan;
pub mod readings;
pub mod sharing;
pub mod strings;
pub mod sync;

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
    formulas::DECLARED,
    import::DECLARED,
    learned::DECLARED,
    limits::DECLARED,
    measure::DECLARED,
    meeting::DECLARED,
    photos::DECLARED,
    plan::DECLARED,
    readings::DECLARED,
    sharing::DECLARED,
    strings::DECLARED,
    sync::DECLARED,
];

/// Messages that are looked up by name.
pub fn by_name() -> Vec<(&'static str, &'static str)> {
    let formats = ["day_format", "moment_format"].map(|id| ("measure", id));
    let facts = Fact::ALL.iter().map(|fact| ("fact_names", fact.word()));
    formats.into_iter().chain(facts).collect()
}
