//! What can be wrong with a member operation.

use fallaway_changes::cbor::CborError;
use fallaway_changes::limits::TooLarge;
use fallaway_changes::{DeviceId, RecordId};

use crate::limits::{MAX_LABEL, MAX_RELAY};

/// Why a member operation is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum MemberError {
    /// Not the expected CBOR.
    #[error("malformed {0}")]
    Malformed(#[from] CborError),
    /// Something is larger than the limit.
    #[error(transparent)]
    TooLarge(#[from] TooLarge),
    /// A founding names nothing as seen; everything else names at least one, sorted and unique.
    #[error("only a founding sees nothing; else what was seen must be sorted and unique")]
    Seen,
    /// A time outside the years 1 to 9999.
    #[error("{0} s is not a time within the years 1 to 9999")]
    Time(i64),
    /// A label that cannot be shown.
    #[error("a label must have 1 to {MAX_LABEL} bytes, nothing in it unseen, no blank ends")]
    Label,
    /// A relay's address that is none.
    #[error("a relay's address must have 1 to {MAX_RELAY} printable characters without blanks")]
    Relay,
    /// Somebody is to join as an owner.
    #[error("nobody is invited as an owner: let it join as a contributor, and make it one then")]
    OwnerInvited,
    /// Removing oneself, or changing one's own role.
    #[error("nobody removes itself or changes its own role; who wants to go leaves")]
    Oneself,
    /// Items missing, unsorted or twice.
    #[error("devices, writers, epochs and invitations must be given sorted and unique")]
    Order,
    /// The record id is not the hash of its founding.
    #[error("the founding does not give record {0}")]
    NotTheFounding(RecordId),
    /// The device did not sign this.
    #[error("the signature is not by device {0}")]
    BadSignature(DeviceId),
}
