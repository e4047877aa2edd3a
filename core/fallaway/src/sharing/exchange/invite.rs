//! Inviting another device.

use fallaway_changes::MemberHash;
use fallaway_record::Moment;
use fallaway_sharing::{Invitation, InviteFor, MemberOp, OpenInvitation, Role, bundle_file};

use fallaway_sheet::SheetInvitation;
use fallaway_text::errors::Accepted;
use fallaway_text::messages::errors as say;

use super::letters::welcome_of;
use crate::error::{Error, Result, field};
use crate::instrument::Instrument;

const DAY_SECONDS: i64 = 24 * 60 * 60;
/// Most days that an invitation may be valid.
const MAX_DAYS: u16 = 366;

/// The beginning of an invitation's hash, by which people name it.
pub(crate) fn short(invite: &MemberHash) -> String {
    invite.to_string().chars().take(8).collect()
}

/// An invitation to hand over: the words or the code by one way, the welcome by another. Whoever has
/// both can join once, and read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewInvitation {
    /// By which it can be withdrawn.
    pub id: String,
    /// Twelve words to read out or write down.
    pub words: String,
    /// The same as the text of a QR code.
    pub code: String,
    /// A bundle file with the welcome alone. Every bundle file with the whole record that this device
    /// makes holds it, too, until somebody has joined.
    pub welcome: Vec<u8>,
    /// Until when it can be used.
    pub expires: Moment,
}

impl NewInvitation {
    /// What a page to hand over says of it, with the role that it was made for.
    pub fn for_sheet(&self, role: Role) -> SheetInvitation {
        SheetInvitation {
            code: self.code.clone(),
            words: self.words.clone(),
            writes: role != Role::Viewer,
            expires: self.expires,
        }
    }
}

impl Instrument {
    /// Invites one device of somebody else. It works once, for so many days (1 to 366). Hand a bundle
    /// over with it: it brings the history, and the welcome without which the words open nothing.
    ///
    /// # Errors
    /// [`Error::NotAllowed`] if this device is no owner, [`Error::BadInput`] for the number of days and
    /// for the role owner (an invitation that is passed on must not make anybody an owner);
    /// when the store cannot be written.
    pub fn invite(&self, role: Role, valid_days: u16) -> Result<NewInvitation> {
        self.invite_for(role, InviteFor::Other, Role::Owner, valid_days)
    }

    /// Invites another device of the same person: it is listed, and removed, with this one. Its role is
    /// at most that of this device, and never owner: an owner can give it that later.
    ///
    /// # Errors
    /// As [`Instrument::invite`]; [`Error::NotAllowed`] for a role above this device's own.
    pub fn invite_own_device(&self, role: Role, valid_days: u16) -> Result<NewInvitation> {
        self.invite_for(role, InviteFor::SamePerson, role, valid_days)
    }

    fn invite_for(
        &self,
        role: Role,
        whom: InviteFor,
        least: Role,
        valid_days: u16,
    ) -> Result<NewInvitation> {
        if valid_days == 0 || valid_days > MAX_DAYS {
            return Err(Error::bad_input(
                field("days"),
                say::days(valid_days),
                Accepted::between(1, usize::from(MAX_DAYS)),
            ));
        }
        if role == Role::Owner {
            let roles = [Role::Viewer, Role::Contributor].map(|one| one.to_string());
            let accepted = Accepted::one_of(roles).said(say::not_invited_as_owner());
            return Err(Error::bad_input(field("role"), say::joins_as_owner(), accepted));
        }
        self.write_member_op(least, |keys, loaded, now| {
            let expires = now.saturating_add(DAY_SECONDS * i64::from(valid_days));
            let (heads, of) = (loaded.members.heads(), (role, whom));
            let secret = MemberOp::invite_secret(keys, &self.id, &heads, now, of, expires);
            let op = MemberOp::invite(keys, self.id, &heads, now, &secret, of, expires)
                .map_err(|e| Error::internal("invite", e))?;
            let (by, invite) = (keys.device(), op.hash());
            let open = OpenInvitation { invite, by, role, whom, expires };
            let welcome = welcome_of(loaded, keys, &op, &open, now)?.unwrap_or_default();
            let welcome = bundle_file::write(&[welcome]);
            let relay = loaded.members.relays().into_iter().next().map(|relay| relay.url);
            let invitation = Invitation { secret, relay };
            let new = NewInvitation {
                id: short(&invite),
                words: invitation.words(),
                code: invitation.code(),
                welcome: welcome.map_err(|e| Error::internal("welcome", e))?,
                expires: Moment { unix_s: expires, ..self.now() },
            };
            Ok((op, new))
        })
    }
}
