//! Sharing a record: invitations, bundles out, bundles in.

mod candidates;
mod incoming;
mod invite;
mod outcome;
mod outgoing;
mod report;
mod why_aside;

pub(crate) use outgoing::bundles;
pub use why_aside::WhyAside;
