//! What two devices that meet both know, and how they find out that they do.

use std::fmt;

use fallaway_changes::{RecordId, derive};
use fallaway_sharing::{EpochKey, InviteSecret};
use zeroize::Zeroizing;

/// Domain separation; frozen with the protocol.
const CONTEXT_KEY: &str = "fallaway v1 meeting key";
const CONTEXT_INVITED: &str = "fallaway v1 meeting key of an invitation";
const CONTEXT_HINT: &str = "fallaway v1 meeting hint";

/// Bytes of a hint.
pub(crate) const HINT: usize = 8;
/// Random bytes of each end.
pub(crate) const NONCE: usize = 16;

/// What both ends of a meeting have to know: a key of the record, or the secret of an invitation to
/// it, and the digits that the end shows which listens. Wiped from memory when dropped; never shown.
#[derive(Clone, PartialEq, Eq)]
pub struct MeetingKey(Zeroizing<[u8; 32]>);

impl MeetingKey {
    /// That of an epoch.
    pub fn of_epoch(key: &EpochKey, record: &RecordId, digits: &str) -> Self {
        let parts = [record.as_bytes().as_slice(), digits.as_bytes()];
        Self(Zeroizing::new(key.derived(CONTEXT_KEY, &parts)))
    }

    /// That of an invitation, for a newcomer who comes with its words.
    pub fn of_invitation(secret: &InviteSecret, digits: &str) -> Self {
        Self(Zeroizing::new(secret.derived(CONTEXT_INVITED, &[digits.as_bytes()])))
    }

    pub(crate) fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// By which who knows the key finds it, once, and nobody else learns anything.
    pub(crate) fn hint(&self, came: &[u8; NONCE], listens: &[u8; NONCE]) -> [u8; HINT] {
        derive(CONTEXT_HINT, &[self.as_bytes(), came, listens])
    }
}

impl fmt::Debug for MeetingKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("MeetingKey(..)")
    }
}
