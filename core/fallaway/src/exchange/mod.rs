//! Sharing a record: invitations, bundles out, bundles in.

mod again;
mod candidates;
mod deciding;
mod incoming;
mod invite;
mod letters;
mod outcome;
mod outgoing;
mod quotas;
mod report;
mod sealing;
mod unread;
mod why_aside;

pub(crate) use incoming::{judge_again, sealed_of};
pub use invite::NewInvitation;
pub(crate) use invite::short;
pub(crate) use letters::letters;
pub(crate) use outgoing::{BundleScope, bundles, handed_on};
pub(crate) use quotas::DevicesOf;
pub(crate) use sealing::{prepare_sealing, put_op, ready_to_seal};
pub use why_aside::WhyAside;
