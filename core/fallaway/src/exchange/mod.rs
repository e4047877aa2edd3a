//! Sharing a record: invitations, bundles out, bundles in.

mod incoming;
mod invite;
mod outgoing;
mod poison;
mod report;
