//! Inviting another device.

use fallaway_sharing::{Invitation, InviteFor, InviteSecret, MemberOp, Role};

use fallaway_text::errors::Accepted;
use fallaway_text::messages::errors as say;

use crate::error::{Error, Result, field};
use crate::instrument::Instrument;
use crate::secrets::draw;

const DAY_SECONDS: i64 = 24 * 60 * 60;
/// Most days that an invitation may be valid.
const MAX_DAYS: u16 = 366;

impl Instrument {
    /// Writes an invitation for one device, as a text to hand over privately. It works once, for so
    /// many days (1 to 366). Hand a bundle over with it: it brings the history.
    ///
    /// # Errors
    /// [`Error::NotAllowed`] if this device is no owner, [`Error::BadInput`] for the number of days and
    /// for the role owner (a text that is passed on must not make anybody an owner);
    /// when the store cannot be written.
    pub fn invite(&self, role: Role, valid_days: u16) -> Result<String> {
        if valid_days == 0 || valid_days > MAX_DAYS {
            return Err(Error::bad_input(
                field("days"),
                say::days(valid_days),
                Accepted::between(1, usize::from(MAX_DAYS)),
            ));
        }
        if role == Role::Owner {
            let accepted = say::not_invited_as_owner();
            return Err(Error::bad_input(field("role"), role.to_string(), accepted));
        }
        self.write_member_op(Role::Owner, |keys, loaded, now| {
            let secret = InviteSecret::from_bytes(draw(self.inner.random.as_ref())?);
            let expires = now.saturating_add(DAY_SECONDS * i64::from(valid_days));
            let heads = loaded.members.heads();
            let whom = (role, InviteFor::Other);
            let op = MemberOp::invite(keys, self.id, &heads, now, &secret, whom, expires)
                .map_err(|e| Error::internal("invite", e))?;
            let name = loaded.registers(now).spec().name.clone();
            let invitation = Invitation {
                record: self.id,
                name: short_name(&name.unwrap_or_default()),
                role,
                inviter: keys.device(),
                invite: op.hash(),
                expires,
                relay: None,
                secret,
                epoch_keys: loaded.epoch_keys.clone(),
            };
            let text = invitation.to_text().map_err(|e| Error::internal("invitation", e))?;
            Ok((op, text))
        })
    }
}

/// An instrument's name as the invitation can carry it.
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
    if short.is_empty() { "instrument".to_owned() } else { short }
}
