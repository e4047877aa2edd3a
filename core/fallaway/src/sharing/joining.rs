//! Coming in: by an invitation, or with the recovery words.

use fallaway_changes::{LogId, RecordId};
use fallaway_record::Moment;
use fallaway_sharing::{
    Action, DeviceKeys, EpochKey, Invitation, InviteSecret, LetterError, MemberOp, Role, Welcome,
    is_letter,
};
use fallaway_store::{
    Batch, ChangeStanding, Outgoing, OutgoingEdit, StoredEpochKey, StoredMemberOp,
};
use fallaway_text::errors::{Accepted, NothingAccepted};
use fallaway_text::messages::errors as say;
use fallaway_text::names;

use crate::error::{Error, Result, field};
use crate::instrument::Instrument;
use crate::keeping::environment::{Clock, SystemClock};
use crate::keeping::projection::{self, ListLine};
use crate::keeping::secrets::{Identity, recovery_keys};
use crate::keeping::session::Session;
use crate::keeping::workshop_state::{WorkshopState, missing, own_join};
use crate::sharing::exchange::{judge_again, sealed_of};
use crate::sharing::relay::RelayKept;
use crate::showing::views::InvitationInfo;
use crate::workshop::Workshop;

impl Workshop {
    /// What an invitation says, before it is accepted. `bundle` is the file that came with its words:
    /// they say nothing by themselves.
    ///
    /// # Errors
    /// [`Error::Refused`] for a text that is no sound invitation, and for a file without its welcome.
    pub fn look_at_invitation(invitation: &str, bundle: &[u8]) -> Result<InvitationInfo> {
        let invitation = Invitation::parse(invitation)?;
        let welcome = Welcome::find(&invitation.secret, sealed_of(bundle)?)?;
        let invited = welcome.invited.ok_or(LetterError::NotALetter)?;
        Ok(InvitationInfo {
            name: welcome.name,
            role: invited.role,
            inviter: invited.by.fingerprint(),
            expires: Moment { unix_s: invited.expires, ..SystemClock.now() },
        })
    }

    /// Joins the record of an invitation: twelve words, or the text of a code, and the bundle file that
    /// came with them by another way. What else the file holds of the record is brought in; without
    /// that it stays empty until a bundle of the inviter has been. Send a bundle back, so that the
    /// others know this device. A device that an earlier invitation did not let in (another one had used
    /// it, or it was withdrawn) keeps what it has of the record and joins with the new one.
    ///
    /// # Errors
    /// [`Error::Refused`] for a text that is no sound invitation, for a file without its welcome, and
    /// for one that has expired; [`Error::BadInput`] if this device shares the record already.
    pub fn accept(&self, invitation: &str, bundle: &[u8]) -> Result<Instrument> {
        let invitation = Invitation::parse(invitation)?;
        let sealed = sealed_of(bundle)?;
        let welcome = Welcome::find(&invitation.secret, sealed.iter().copied())?;
        let id = begin(&self.inner, &welcome, &invitation.secret)?;
        self.bring_in(id, bundle, &sealed)
    }

    fn bring_in(&self, id: RecordId, bundle: &[u8], sealed: &[&[u8]]) -> Result<Instrument> {
        if !sealed.iter().all(|bytes| is_letter(bytes)) {
            match self.bundle_in(bundle) {
                // The record is here all the same, and another file brings the rest.
                Ok(_) | Err(Error::Refused { .. }) => {}
                Err(error) => return Err(error),
            }
        }
        self.instrument(id)
    }

    /// Makes this device an owner of a record by its recovery words, whatever became of everybody
    /// else's devices. `bundle` is any file with the whole record, the later the better. Then remove
    /// what is lost with [`Instrument::remove_with_words`], and write down new words:
    /// [`Instrument::renew_recovery_words`].
    ///
    /// # Errors
    /// [`Error::Refused`] for words that are none, for a file without a letter to them, and for words in
    /// whose place others have come; when the store cannot be written.
    pub fn recover(&self, words: &str, bundle: &[u8]) -> Result<Instrument> {
        let keys = recovery_keys(words)?;
        let sealed = sealed_of(bundle)?;
        let welcome = Welcome::find_recovered(&keys, sealed.iter().copied());
        let welcome = welcome.map_err(|error| match error {
            LetterError::OtherReader => Error::refused(say::no_letter()),
            error => error.into(),
        })?;
        let id = welcome.record;
        {
            let mut session = self.inner.session()?;
            let session = &mut *session;
            let own = &session.identity.keys;
            if self.inner.store.generation(&id).is_err() {
                self.inner.store.create(&id, &begun(&welcome, own))?;
            } else {
                let batch =
                    Batch { epoch_keys: vec![kept(&welcome.key, own, &id)], ..Batch::new() };
                let generation = self.inner.store.generation(&id)?;
                self.inner.store.commit(&id, generation, &batch)?;
                session.records.remove(&id);
            }
            session.changed.insert(id);
        }
        let instrument = self.bring_in(id, bundle, &sealed)?;
        let label = self.inner.session()?.identity.label.clone();
        instrument.write_with_words(&keys, |own, loaded, now| {
            let (record, heads) = (loaded.id, loaded.members.heads());
            let whom = (own.device(), own.exchange());
            let op = MemberOp::add(&keys, record, &heads, now, whom, Role::Owner, &label);
            Ok((op.map_err(|e| Error::internal("recover", e))?, ()))
        })?;
        Ok(instrument)
    }
}

/// Begins the record of a welcome, with this device's join.
///
/// # Errors
/// As [`Workshop::accept`].
pub(crate) fn begin(
    inner: &WorkshopState,
    welcome: &Welcome,
    secret: &InviteSecret,
) -> Result<RecordId> {
    let invited = welcome.invited.as_ref().ok_or(LetterError::NotALetter)?;
    let now = inner.clock.now();
    if now.unix_s > invited.expires {
        let expired = names::moment(Moment { unix_s: invited.expires, ..now });
        return Err(Error::refused(say::invitation_expired(expired)));
    }
    let id = welcome.record;
    let mut session = inner.session()?;
    let session = &mut *session;
    if inner.store.generation(&id).is_ok() {
        // An invitation to a record of which nothing has come takes the old one's place.
        if !is_empty(inner, session, id)? {
            if was_not_let_in(session, id) {
                return join_again(inner, session, welcome, secret);
            }
            let reason = say::shared_already(welcome.name.clone());
            let already = Accepted::nothing(NothingAccepted::Already);
            return Err(Error::bad_input(field("invitation"), reason, already));
        }
        inner.store.delete(&id)?;
        session.records.remove(&id);
    }
    let WorkshopState { store, keeper, random, .. } = inner;
    session.identity.come_back(store.as_ref(), keeper.as_ref(), random.as_ref(), &id)?;
    let Identity { keys, label, .. } = &session.identity;
    let seen = [invited.invite].into();
    let join = MemberOp::join(keys, id, &seen, now.unix_s, invited.invite, secret, label);
    let join = join.map_err(|_| Error::refused(say::invitation_damaged()))?;
    let mut batch = begun(welcome, keys);
    put_join(&join, &mut batch);
    inner.store.create(&id, &batch)?;
    session.changed.insert(id);
    Ok(id)
}

fn put_join(join: &MemberOp, batch: &mut Batch) {
    batch.members.push(StoredMemberOp {
        hash: join.hash(),
        standing: ChangeStanding::Waiting,
        bytes: join.encode(),
    });
    batch.outgoing.push(OutgoingEdit::Add(Outgoing::Member(join.hash())));
}

/// Whether this device is out because its invitation had been used, or was withdrawn, before it came.
fn was_not_let_in(session: &Session, id: RecordId) -> bool {
    let Some(loaded) = session.records.get(&id) else { return false };
    let own = session.identity.keys.device();
    loaded.members.member(&own).is_none()
        && !loaded.members.was_member(&own)
        && own_join(loaded, &session.identity).is_some()
}

/// A further join beside the one that did not count; what is here of the record stays.
fn join_again(
    inner: &WorkshopState,
    session: &mut Session,
    welcome: &Welcome,
    secret: &InviteSecret,
) -> Result<RecordId> {
    let invited = welcome.invited.as_ref().ok_or(LetterError::NotALetter)?;
    let (id, now) = (welcome.record, inner.clock.now().unix_s);
    let Identity { keys, label, .. } = &session.identity;
    let loaded = session.records.get_mut(&id).ok_or_else(|| missing(id))?;
    let seen = [invited.invite].into();
    let join = MemberOp::join(keys, id, &seen, now, invited.invite, secret, label);
    let join = join.map_err(|_| Error::refused(say::invitation_damaged()))?;
    let mut batch = Batch { epoch_keys: vec![kept(&welcome.key, keys, &id)], ..Batch::new() };
    put_join(&join, &mut batch);
    inner.store.commit(&id, loaded.generation, &batch)?;
    session.records.remove(&id);
    session.changed.insert(id);
    // What this device wrote meanwhile may count now.
    judge_again(inner, session, id)?;
    Ok(id)
}

/// Whether nothing of a record has come yet, and nothing was written.
fn is_empty(inner: &WorkshopState, session: &mut Session, id: RecordId) -> Result<bool> {
    inner.refresh(session, id)?;
    let loaded = session.records.get(&id).ok_or_else(|| missing(id))?;
    let founded = loaded.members.ops().any(|op| matches!(op.action(), Action::Found { .. }));
    Ok(!founded && loaded.draft.is_empty() && loaded.record.heads().len() <= 1)
}

/// What a record begins with whose first letter has come.
fn begun(welcome: &Welcome, keys: &DeviceKeys) -> Batch {
    let line =
        ListLine { name: welcome.name.clone(), last: None, contested: 0, waiting: 0, aside: 0 };
    let mut batch = Batch {
        epoch_keys: vec![kept(&welcome.key, keys, &welcome.record)],
        projections: vec![(projection::LIST_LINE, Some(projection::encode(&line)))],
        ..Batch::new()
    };
    if let Some(relay) = welcome.relays.first() {
        RelayKept::new(relay.url.clone(), LogId::from_bytes(relay.log)).put(&mut batch);
    }
    batch
}

fn kept(key: &EpochKey, keys: &DeviceKeys, id: &RecordId) -> StoredEpochKey {
    StoredEpochKey { epoch: key.id(), wrapped: key.wrap(keys, id) }
}
