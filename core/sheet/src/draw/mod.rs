//! The drawings, one a file.

pub(crate) mod changes;
pub(crate) mod clearance;
pub(crate) mod history;
pub(crate) mod neck;
pub(crate) mod turn;
