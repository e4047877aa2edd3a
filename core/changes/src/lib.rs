//! What a change of a record is: identifiers, canonical operations, containers, limits.
//!
//! A change has exactly one encoding, deterministic CBOR, and every other one is refused with a
//! typed error. Bytes in, bytes out: no I/O, no clock, no randomness, and no cryptography but the
//! hash that makes identifiers. Who may write, and how changes are signed and sealed,
//! `fallaway_sharing` says; what they mean, `fallaway_record`. The format is described in
//! `docs/bundle-format.md`.

#![forbid(unsafe_code)]
#![warn(unreachable_pub)]

pub mod cbor;
mod change;
mod ids;
pub mod limits;
#[cfg(test)]
mod testing;
mod verified;

pub use cbor::{CborError, CborFault, check_item};
pub use change::{Change, ChangeError, Container, KeyRead, OpFault, OpRead, Put, read_ops};
pub use ids::{
    BlobId, BundleId, ChangeId, DeviceId, EpochId, ExchangeKey, IdError, Incarnation, InviteKey,
    LogId, MemberHash, RecordId, Signature, Tag, Writer, derive, entry_key, parse_entry_key,
    writer,
};
pub use verified::{
    LinkError, SignedTip, UnverifiedChange, VerifiedChange, canonical, verify_chain,
};
