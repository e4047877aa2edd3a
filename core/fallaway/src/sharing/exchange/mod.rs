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
mod waiting;
mod why_aside;

pub(crate) use candidates::second_uses;
pub(crate) use incoming::{judge_again, merge_in, sealed_of};
pub use invite::NewInvitation;
pub(crate) use invite::short;
pub(crate) use letters::{letters, welcome_to};
pub(crate) use outgoing::{bundles, handed_on, payloads, sealed_forms};
pub(crate) use quotas::DevicesOf;
pub(crate) use sealing::{
    KeysOfOps, keys_newest_first, newest_first, prepare_sealing, put_op, ready_to_seal,
    sealing_key, take_keys,
};
pub use waiting::WaitingFor;
pub use why_aside::WhyAside;
