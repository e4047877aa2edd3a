//! What travels between devices, and who may write it: canonical changes, identity, members,
//! sealed bundles, bundle files and invitations.
//!
//! Bytes in, bytes out: no I/O, no clock, no randomness of its own. Time and random bytes are
//! arguments. Everything here reads bytes that a stranger may have written, so every decoder
//! accepts exactly one encoding, bounds every size before it allocates, and refuses with a typed
//! error. The formats are described in `docs/bundle-format.md`.

#![forbid(unsafe_code)]

pub mod bundle_file;
mod cbor;
mod chain;
mod change;
mod epoch;
mod identity;
mod ids;
mod invitation;
pub mod limits;
mod member;
mod members;
mod seal;
#[cfg(test)]
mod testing;

pub use cbor::{CborError, CborFault, check_item};
pub use chain::{ChainError, ChainProof, ChangeBundle, VerifyError};
pub use change::{Change, ChangeError, Container, OpFault, OpId, Put};
pub use epoch::{EpochKey, UnwrapError};
pub use identity::{DeviceKeys, InviteSecret};
pub use ids::{
    BundleId, ChangeHash, DeviceId, EpochId, ExchangeKey, IdError, Incarnation, InviteKey,
    MemberHash, RecordId, Signature, Tag, Writer, entry_key, parse_entry_key, writer,
};
pub use invitation::{Invitation, InvitationError};
pub use member::{Action, MemberError, MemberOp, Role, RoleError};
pub use members::{InsertError, Member, Members, OpenInvitation, Skip, Standing, Status};
pub use seal::{Header, OpenError, Payload, SealError, bundle_id, header, open, seal};
