//! With whom: bundles out and in, invitations, people, recovery, the relay, meetings.

pub(crate) mod delivery;
pub(crate) mod exchange;
pub(crate) mod joining;
pub(crate) mod known;
pub mod meeting;
pub(crate) mod people;
pub(crate) mod people_history;
pub(crate) mod photos;
pub(crate) mod receipts;
pub(crate) mod recovery;
pub(crate) mod relay;
pub mod sync;
