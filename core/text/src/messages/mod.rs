//! The table of messages: for each its name and its typed arguments. The texts are in
//! `messages/<language>/<theme>.ftl`, a theme a file.

use crate::Message;

pub mod entries;
pub mod facts;
pub mod measure;

/// Every message of this crate, by theme.
pub static DECLARED: &[&[Message]] = &[entries::DECLARED, facts::DECLARED, measure::DECLARED];

/// Messages that are looked up by name.
pub static BY_NAME: &[(&str, &str)] = &[("measure", "day_format"), ("measure", "moment_format")];
