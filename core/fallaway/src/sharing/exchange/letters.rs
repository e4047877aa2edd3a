//! What goes beside the bundles to those who hold no key yet: a welcome for each open invitation of
//! this device, and a letter to the recovery key. Each holds the newest epoch's key.

use fallaway_changes::MemberHash;
use fallaway_sharing::{
    DeviceKeys, Invited, LetterError, MemberOp, OpenInvitation, Welcome, seal_letter, seal_welcome,
};
use fallaway_text::messages::errors as say;

use super::sealing::sealing_key;
use crate::error::{Error, Result};
use crate::keeping::loaded_record::LoadedRecord;

/// The letters of a record at `now`.
pub(crate) fn letters(loaded: &LoadedRecord, keys: &DeviceKeys, now: i64) -> Result<Vec<Vec<u8>>> {
    let open = loaded.members.open_invitations(now);
    let welcomes = open.iter().filter(|one| one.by == keys.device()).filter_map(|one| {
        let invite = loaded.members.op(&one.invite)?;
        welcome_of(loaded, keys, invite, one, now).transpose()
    });
    let mut letters = welcomes.collect::<Result<Vec<_>>>()?;
    if let Some(recovery) = loaded.members.recovery() {
        match seal_letter(&recovery, &welcome(loaded, None, now)?) {
            Ok(letter) => letters.push(letter),
            // Whoever named a key that is none must not keep others from writing.
            Err(LetterError::NotAKey) => {}
            Err(error) => return Err(Error::internal("letter", error)),
        }
    }
    Ok(letters)
}

/// The welcome for whoever holds the secret of this invitation of this device, while it is open.
pub(crate) fn welcome_to(
    loaded: &LoadedRecord,
    keys: &DeviceKeys,
    invite: &MemberHash,
    now: i64,
) -> Result<Option<Vec<u8>>> {
    let open = loaded.members.open_invitations(now).into_iter().find(|one| one.invite == *invite);
    match (open, loaded.members.op(invite)) {
        (Some(open), Some(op)) => welcome_of(loaded, keys, op, &open, now),
        _ => Ok(None),
    }
}

/// The welcome of an invitation, if this device wrote it.
pub(super) fn welcome_of(
    loaded: &LoadedRecord,
    keys: &DeviceKeys,
    invite: &MemberOp,
    open: &OpenInvitation,
    now: i64,
) -> Result<Option<Vec<u8>>> {
    let Some(secret) = invite.own_secret(keys) else { return Ok(None) };
    let OpenInvitation { invite, by, role, expires, .. } = *open;
    let invited = Invited { by, invite, role, expires };
    let sealed = seal_welcome(&secret, &welcome(loaded, Some(invited), now)?);
    Ok(Some(sealed.map_err(|e| Error::internal("welcome", e))?))
}

fn welcome(loaded: &LoadedRecord, invited: Option<Invited>, now: i64) -> Result<Welcome> {
    let name = loaded.registers(now).spec().name.clone().unwrap_or_default();
    Ok(Welcome {
        record: loaded.id,
        name: short_name(&name),
        key: sealing_key(loaded).ok_or_else(|| Error::keys(say::no_key()))?.clone(),
        relays: loaded.members.relays(),
        invited,
    })
}

/// An instrument's name as a letter can carry it.
fn short_name(name: &str) -> String {
    let mut short = String::new();
    for word in name.split_whitespace() {
        let more = if short.is_empty() { word.len() } else { word.len() + 1 };
        if short.len() + more > fallaway_sharing::limits::MAX_LABEL {
            break;
        }
        if !short.is_empty() {
            short.push(' ');
        }
        short.push_str(word);
    }
    if fallaway_sharing::is_label(&short) { short } else { "instrument".to_owned() }
}
