//! What crosses between devices, and who may write a record: identity, members, signatures over
//! changes, sealed bundles, bundle files and invitations. What a change is, `fallaway_changes` says.
//!
//! Bytes in, bytes out: no I/O, no clock, no randomness of its own. Time and random bytes are
//! arguments. Everything here reads bytes that a stranger may have written, so every decoder
//! accepts exactly one encoding, bounds every size before it allocates, and refuses with a typed
//! error. The formats are described in `docs/bundle-format.md`.
//!
//! # Example
//! A founder invites; a newcomer joins; both see the same members. Every operation crosses sealed.
//! ```
//! use fallaway_order::Set;
//!
//! use fallaway_sharing::{
//!     DeviceKeys, EpochKey, Invitation, InviteFor, Invited, MemberOp, Members, Payload, Role,
//!     Welcome, open, open_welcome, seal, seal_welcome,
//! };
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! // Seeds, salts, keys and secrets come from a cryptographic random source; times from a clock.
//! let (bench, phone) = (DeviceKeys::from_seed(&[1; 32]), DeviceKeys::from_seed(&[2; 32]));
//! let key = EpochKey::from_bytes([3; 32]);
//! let now = 1_790_000_000;
//!
//! let founding = MemberOp::found(&bench, now, [4; 16], "bench laptop", None)?;
//! let record = *founding.record();
//! let mut members = Members::new(record);
//! members.insert(founding)?;
//!
//! let role = Role::Contributor;
//! let expires = now + 7 * 86_400;
//! let seen = members.heads();
//! let whom = (role, InviteFor::Other);
//! let secret = MemberOp::invite_secret(&bench, &record, &seen, now, whom, expires);
//! let invite = MemberOp::invite(&bench, record, &seen, now, &secret, whom, expires)?;
//! members.insert(invite.clone())?;
//! let invited = Invited { by: bench.device(), invite: invite.hash(), role, expires };
//! let welcome = Welcome {
//!     record,
//!     name: "5-string bass".to_owned(),
//!     key: key.clone(),
//!     relays: Vec::new(),
//!     invited: Some(invited),
//! };
//! let letter = seal_welcome(&secret, &welcome)?;
//! let words = secret.words();
//!
//! // On the phone: the words were read out, the letter came in a file.
//! let secret = Invitation::parse(&words)?.secret;
//! let got = open_welcome(&secret, &letter)?;
//! let invited = got.invited.ok_or("a letter to somebody else")?;
//! let seen = Set::new();
//! let at = now + 60;
//! let join = MemberOp::join(&phone, got.record, &seen, at, invited.invite, &secret, "phone")?;
//! let sealed = seal(&got.key, &got.record, &Payload::Member(join))?;
//!
//! // Back at the bench.
//! let (_, payload) = open(&record, &[key], &sealed)?;
//! if let Payload::Member(join) = payload {
//!     members.insert(join)?;
//! }
//! assert_eq!(members.role(&phone.device()), Some(Role::Contributor));
//! # Ok(())
//! # }
//! ```

#![forbid(unsafe_code)]
#![warn(unreachable_pub)]

mod action;
mod blob;
pub mod bundle_file;
mod chain;
mod choose;
mod codes;
mod epoch;
mod epochs;
#[cfg(test)]
mod frozen_tests;
mod handing;
mod identity;
mod invitation;
mod keeping;
mod known;
mod labels;
mod letter;
pub mod limits;
mod meeting;
mod member;
mod member_error;
mod members;
mod members_view;
mod places;
mod receipt;
mod role;
mod seal;
mod standing;
mod terms;
#[cfg(test)]
mod testing;
mod words;
mod wrap;

pub use action::{
    Action, Frontier, FrontierPoint, InviteFor, Recovery, RelayAddress, WrappedKey, is_label,
};
pub use blob::{BlobError, BlobKey, SealedBlob, blob_id, open_blob, seal_blob};
pub use chain::{ChainError, ChainProof, ChangeBundle};
pub use choose::{ChangeFacts, Choice, HeldBy, RemovalRule, Rules, choose};
pub use codes::{CodeCollector, CodeError, CodesSeen, MAX_CODE_BYTES, codes};
pub use epoch::{EpochKey, UnwrapError};
pub use epochs::EpochError;
pub use handing::{HandingKeys, handing_key};
pub use identity::{DeviceKeys, InviteSecret};
pub use invitation::{Invitation, InvitationError};
pub use known::VerifiedBefore;
pub use labels::look_alike;
pub use letter::{
    Invited, LetterError, Welcome, is_letter, open_letter, open_welcome, seal_letter, seal_welcome,
};
pub use meeting::is_meeting;
pub use member::MemberOp;
pub use member_error::MemberError;
pub use members::{InsertError, Members};
pub use receipt::{
    ReadPlace, Receipt, ReceiptError, ShortHash, ShortLog, UnverifiedReceipt, short_change,
    short_log, short_op,
};
pub use role::{Role, RoleError};
pub use seal::{Header, OpenError, Payload, SealError, bundle_id, header, open, open_beside, seal};
pub use standing::{Member, OpenInvitation, Removal, Skip, Standing, Status};
pub use words::{WordsError, secret_of, words_of};
