//! The document: one automerge document per instrument, fed only with changes that this crate
//! builds itself.

mod access;
mod apply;
mod check;
mod genesis;
mod graph;
mod rebuild;
mod record;

pub use access::{Access, FORMAT_VERSION};
pub use apply::{Applied, ApplyError, Refused, Waiting};
pub use check::Refusal;
pub use record::{LoadError, PrepareError, Prepared, Record, Version};

pub(crate) use graph::Graph;
