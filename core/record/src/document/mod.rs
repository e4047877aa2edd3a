//! The document: the graph of admitted changes and what they hold, fed only with changes that have
//! passed every rule.

mod access;
mod apply;
mod check;
mod clock;
mod contents;
mod graph;
mod op_id;
mod record;
mod snapshot;

pub use access::{Access, FORMAT_VERSION};
pub use apply::{Applied, Refused, Waiting, in_order};
pub use check::Refusal;
pub use op_id::{OpId, OpIdError};
pub use record::{GraphLink, PrepareError, Record};
pub use snapshot::LoadError;

pub(crate) use clock::VectorClock;
pub(crate) use contents::Document;
pub(crate) use graph::Graph;
