//! Sharing a record: invitations, bundles out, bundles in.

mod again;
mod candidates;
mod deciding;
mod incoming;
mod invite;
mod outcome;
mod outgoing;
mod quotas;
mod report;
mod why_aside;

pub(crate) use outgoing::{bundles, handed_on};
pub use why_aside::WhyAside;
