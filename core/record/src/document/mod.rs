//! The document: one automerge document per instrument, fed only with changes that this crate
//! builds itself.

mod access;
mod append;
mod apply;
mod check;
mod clock;
mod contents;
mod genesis;
mod graph;
mod rebuild;
mod record;
mod snapshot;

pub use access::{Access, FORMAT_VERSION};
pub use apply::{Applied, ApplyError, Refused, Waiting, in_order};
pub use check::Refusal;
pub use record::{LoadError, PrepareError, Record, Version};

pub(crate) use clock::Clock;
pub(crate) use graph::Graph;
