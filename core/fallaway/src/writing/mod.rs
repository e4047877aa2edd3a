//! What people write down: readings in passes, facts, targets, visits, what was done; asked about first, taken back again.

pub(crate) mod as_left;
pub(crate) mod copying;
pub(crate) mod doubts;
pub(crate) mod entries;
pub(crate) mod import;
pub(crate) mod open_visit;
pub(crate) mod pass_draft;
pub(crate) mod pass_text;
pub(crate) mod photos;
pub(crate) mod setup_from_visit;
pub(crate) mod setups;
pub(crate) mod steps;
pub(crate) mod targets_from;
pub(crate) mod undo;
pub(crate) mod usual;
pub(crate) mod visits;
pub(crate) mod write_options;
