//! Coming in by the words of an invitation alone: the welcome comes over the meeting.

use fallaway_changes::RecordId;
use fallaway_sharing::{Action, EpochKey, InviteSecret, LetterError, open_welcome};

use crate::error::Result;
use crate::keeping::workshop_state::WorkshopState;
use crate::sharing::joining::begin;

/// Begins the record that a letter is about, unless this device has begun it by the same invitation
/// before. Answers the record, and the key that both have.
pub(super) fn open(
    inner: &WorkshopState,
    secret: &InviteSecret,
    letter: &[u8],
) -> Result<(RecordId, EpochKey)> {
    let welcome = open_welcome(secret, letter)?;
    let invited = welcome.invited.as_ref().ok_or(LetterError::NotALetter)?;
    let id = welcome.record;
    let known = inner.store.generation(&id).is_ok();
    let joined = known
        && inner.with_record(id, |identity, loaded| {
            let own = identity.keys.device();
            let by = |action: &Action| {
                matches!(action, Action::Join { invite, .. } if *invite == invited.invite)
            };
            let held = loaded.epoch_keys.contains(&welcome.key);
            Ok(held && loaded.members.ops().any(|op| *op.device() == own && by(op.action())))
        })?;
    if !joined {
        begin(inner, &welcome, secret)?;
    }
    Ok((id, welcome.key))
}
