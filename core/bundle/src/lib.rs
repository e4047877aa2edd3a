//! What travels between devices, and who may write it: canonical changes, identity, members,
//! sealed bundles, bundle files and invitations.
//!
//! Bytes in, bytes out: no I/O, no clock, no randomness of its own. Time and random bytes are
//! arguments. Everything here reads bytes that a stranger may have written, so every decoder
//! accepts exactly one encoding, bounds every size before it allocates, and refuses with a typed
//! error. The formats are described in `docs/bundle-format.md`.

#![forbid(unsafe_code)]

mod cbor;
mod change;
mod ids;
pub mod limits;
#[cfg(test)]
mod testing;

pub use cbor::{CborError, CborFault};
pub use change::{Change, ChangeError, Container, OpFault, OpId, Put};
pub use ids::{
    BundleId, ChangeHash, DeviceId, EpochId, IdError, Incarnation, MemberHash, RecordId, Tag,
    Writer, entry_key, parse_entry_key, writer,
};
