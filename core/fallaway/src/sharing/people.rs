//! Who takes part: roles, removals, invitations, and what is held of whom.

use std::cmp::Reverse;

use fallaway_changes::{Container, DeviceId, VerifiedChange, Writer};
use fallaway_order::{Map, OneByOne as _, PutInOrder as _, Set};
use fallaway_record::Moment;
use fallaway_sharing::limits::MAX_FRONTIER;
use fallaway_sharing::{
    Action, ChainProof, DeviceKeys, Frontier, FrontierPoint, InviteFor, Member, MemberOp,
    OpenInvitation, Role,
};
use fallaway_store::{Batch, ChangeStanding, StoreError};
use fallaway_text::messages::errors as say;

use crate::error::{Error, NotFoundKind, Result, there_are};
use crate::instrument::Instrument;
use crate::keeping::loaded_record::LoadedRecord;
use crate::keeping::secrets::note_compared;
use crate::keeping::workshop_state::missing;
use crate::likely::likely;
use crate::sharing::exchange::{
    DevicesOf, WhyAside, judge_again, prepare_sealing, put_op, second_uses, short, take_keys,
};
use crate::showing::views::{MergeReport, SecondUse};

impl Instrument {
    /// Gives a member another role: the device of this fingerprint. An owner that came in later
    /// takes nothing from one that was there before. What a member has written stays.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a fingerprint of nobody; [`Error::NotAllowed`] if this device is no
    /// owner, or not one that may do this; when the store cannot be written.
    pub fn set_role(&self, fingerprint: &str, role: Role) -> Result<()> {
        self.set_role_at(fingerprint, role, None)
    }

    /// The same of another time than now: when it was agreed. It holds from when the others hear of it, as
    /// ever; who gave the role is this device, which signs it.
    ///
    /// # Errors
    /// As [`Instrument::set_role`], and [`Error::BadInput`] for a time before 1900 or after tomorrow.
    pub fn set_role_at(&self, fingerprint: &str, role: Role, at: Option<Moment>) -> Result<()> {
        likely(at, self.now())?;
        self.write_member_op(Role::Owner, |keys, loaded, now| {
            let device = member(loaded, &keys.device(), fingerprint)?;
            if !loaded.members.can_cap(&keys.device(), &device) {
                return Err(Error::not_allowed(say::came_in_before()));
            }
            let frontier = frontier(loaded, &[device]);
            let action = Action::SetRole { device, role, frontier };
            Ok((sign(keys, loaded, said(at, now), action)?, ()))
        })
    }

    /// Writes the record although somebody's device asks for a newer version of its format: the
    /// demand is taken back, with its history, until somebody makes it again. What a newer version
    /// wrote stays, and is passed over here as before. Nothing happens where nobody asks for it.
    ///
    /// # Errors
    /// [`Error::NotAllowed`] if this device is no owner; whatever an edit answers.
    pub fn write_anyway(&self) -> Result<()> {
        self.inner.edit_despite_newer(self.id, |edit| {
            if edit.role != Some(Role::Owner) {
                return Err(Error::not_allowed(say::only_owner()));
            }
            for put in edit.loaded.record.ask_for_this_version() {
                edit.put(put)?;
            }
            // It is nothing that could be taken back.
            edit.keep_journal(self.inner.journal(&self.id));
            Ok(())
        })
    }

    /// Removes a device: it gets nothing that is written from then on, and of its work stays what this
    /// device has. What it wrote since, unheard of, is held: see [`Instrument::held`]. With
    /// `all_devices` those of the same person go with it. Invitations that they wrote and nobody has used
    /// end with them. Whoever left by itself can be removed, too: that says how far its work is taken.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a fingerprint of nobody; [`Error::NotAllowed`] if this device is no owner,
    /// or not one that may do this, or is the one that is named: that is [`Instrument::leave`]; when the
    /// store cannot be written.
    pub fn remove_member(
        &self,
        fingerprint: &str,
        all_devices: bool,
        reason: Option<&str>,
    ) -> Result<()> {
        self.remove_member_at(fingerprint, all_devices, reason, None)
    }

    /// The same of another time than now: when it was agreed, as [`Instrument::set_role_at`] has it.
    ///
    /// # Errors
    /// As [`Instrument::remove_member`], and [`Error::BadInput`] for a time before 1900 or after tomorrow.
    pub fn remove_member_at(
        &self,
        fingerprint: &str,
        all_devices: bool,
        reason: Option<&str>,
        at: Option<Moment>,
    ) -> Result<()> {
        likely(at, self.now())?;
        self.write_member_op(Role::Owner, |keys, loaded, now| {
            let (by, named) = ((keys, keys.device()), [fingerprint.to_owned()]);
            Ok((removal_of(loaded, by, &named, all_devices, reason, (now, at))?, ()))
        })
    }

    /// Leaves the record: this device gets nothing that is written from then on, and writes nothing. It
    /// keeps what it has until it forgets the instrument. Send a bundle afterwards.
    ///
    /// # Errors
    /// [`Error::NotAllowed`] if it is no member, or the only owner; when the store cannot be written.
    pub fn leave(&self) -> Result<()> {
        self.leave_at(None)
    }

    /// The same of another time than now: when it was said, as [`Instrument::set_role_at`] has it.
    ///
    /// # Errors
    /// As [`Instrument::leave`], and [`Error::BadInput`] for a time before 1900 or after tomorrow.
    pub fn leave_at(&self, at: Option<Moment>) -> Result<()> {
        likely(at, self.now())?;
        // What it wrote so far it wrote as a member.
        let mut session = self.inner.session()?;
        self.inner.commit_draft(&mut session, self.id)?;
        drop(session);
        self.write_member_op(Role::Viewer, |keys, loaded, now| {
            let own = keys.device();
            let owners = loaded.members.members().into_iter();
            let mut owners = owners.filter(|one| one.role == Role::Owner).map(|one| one.device);
            let is_owner = loaded.members.role(&own) == Some(Role::Owner);
            if is_owner && !owners.any(|owner| owner != own) {
                return Err(Error::not_allowed(say::last_owner()));
            }
            Ok((sign(keys, loaded, said(at, now), Action::Leave)?, ()))
        })
    }

    /// Somebody has compared a device's fingerprint by voice, or side by side: it is shown as compared on
    /// this device from now on, in every record.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a fingerprint of nobody; when the store cannot be written.
    pub fn compared(&self, fingerprint: &str) -> Result<()> {
        self.inner.with_record(self.id, |identity, loaded| {
            let device = member(loaded, &identity.keys.device(), fingerprint)?;
            note_compared(self.inner.store.as_ref(), device)
        })
    }

    /// Tells those who share the record what this device is called, if it takes part.
    pub(crate) fn tell_name(&self, label: &str) -> Result<()> {
        let takes_part = self.inner.with_record(self.id, |identity, loaded| {
            let own = loaded.members.member(&identity.keys.device());
            Ok(own.is_some_and(|own| own.label != label))
        })?;
        if !takes_part {
            return Ok(());
        }
        self.write_member_op(Role::Viewer, |keys, loaded, now| {
            let action = Action::Rename { label: label.to_owned() };
            Ok((sign(keys, loaded, now, action)?, ()))
        })
    }

    /// Invitations that nobody has used and that have not expired.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn open_invitations(&self) -> Result<Vec<InvitationView>> {
        let now = self.now();
        self.inner.with_record(self.id, |identity, loaded| {
            let labels = loaded.members.labels(&identity.keys.device());
            let open = loaded.members.open_invitations(now.unix_s).into_iter();
            let view = |one: OpenInvitation| InvitationView {
                id: short(&one.invite),
                role: one.role,
                by: labels.get(&one.by).cloned().unwrap_or_default(),
                own_device: one.whom == InviteFor::SamePerson,
                expires: Moment { unix_s: one.expires, ..now },
            };
            Ok(open.map(view).collect())
        })
    }

    /// Withdraws an invitation that nobody has used, by its id in [`Instrument::open_invitations`].
    ///
    /// # Errors
    /// [`Error::NotFound`] for an id of none; [`Error::NotAllowed`] if this device is no owner and has
    /// not written it; when the store cannot be written.
    pub fn withdraw(&self, invitation: &str) -> Result<()> {
        self.withdraw_at(invitation, None)
    }

    /// The same of another time than now: when it was said, as [`Instrument::set_role_at`] has it.
    ///
    /// # Errors
    /// As [`Instrument::withdraw`], and [`Error::BadInput`] for a time before 1900 or after tomorrow.
    pub fn withdraw_at(&self, invitation: &str, at: Option<Moment>) -> Result<()> {
        likely(at, self.now())?;
        self.write_member_op(Role::Viewer, |keys, loaded, now| {
            let open = loaded.members.open_invitations(now);
            let found = open.iter().find(|one| short(&one.invite) == invitation.trim());
            let found = found.ok_or_else(|| Error::NotFound {
                what: NotFoundKind::Invitation,
                name: invitation.to_owned(),
                accepted: there_are(open.iter().map(|one| short(&one.invite))),
            })?;
            let own = keys.device();
            if found.by != own && loaded.members.role(&own) != Some(Role::Owner) {
                return Err(Error::not_allowed(say::only_owner()));
            }
            let action = Action::Withdraw { invite: found.invite };
            Ok((sign(keys, loaded, said(at, now), action)?, ()))
        })
    }

    /// What is kept beside the record and not a part of it, by device and reason.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn held(&self) -> Result<Vec<HeldWork>> {
        let now = self.now();
        self.inner.with_record(self.id, |identity, loaded| {
            let devices = DevicesOf::new(loaded);
            let labels = loaded.members.labels(&identity.keys.device());
            let mut held: Map<(DeviceId, &str), HeldWork> = Map::new();
            for one in loaded.beside(self.inner.store.as_ref())? {
                let Some(device) = devices.of(&one.writer) else { continue };
                if one.standing != ChangeStanding::Held {
                    continue;
                }
                let Ok(change) = VerifiedChange::kept(&loaded.id, one.bytes) else { continue };
                let why = WhyAside::stored(one.reason.as_deref());
                let at = Moment { unix_s: change.time, ..now };
                let work = held.entry((device, why.word())).or_insert_with(|| HeldWork {
                    device: labels.get(&device).cloned().unwrap_or_default(),
                    fingerprint: device.fingerprint(),
                    why,
                    entries: 0,
                    values: 0,
                    first: at,
                    last: at,
                });
                let entries = change.ops.iter().filter(|put| put.container == Container::LOG);
                let entries = entries.count();
                work.entries += entries;
                work.values += change.ops.len() - entries;
                work.first = if at.unix_s < work.first.unix_s { at } else { work.first };
                work.last = if at.unix_s > work.last.unix_s { at } else { work.last };
            }
            Ok(held.into_values().collect())
        })
    }

    /// Devices that came with an invitation which another one had used, and are no members.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn second_uses(&self) -> Result<Vec<SecondUse>> {
        self.inner.with_record(self.id, |identity, loaded| {
            Ok(second_uses(loaded, &identity.keys.device()).into_values().collect())
        })
    }

    /// Takes in what is held of a device, named by its fingerprint or its name: from then on it is a part of
    /// the record, everywhere. Answers what came in. What a copied device wrote ([`WhyAside::Fork`]) takes the
    /// place of what the other one of its name wrote under the same numbers: that goes out until its device
    /// reads a bundle and writes it again. Where both are in use there is nothing to do: each does so by itself.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a device of which nothing is held; [`Error::NotAllowed`] if this device is
    /// no owner; when the store cannot be written.
    pub fn accept_held(&self, fingerprint: &str) -> Result<MergeReport> {
        self.write_member_op(Role::Owner, |keys, loaded, now| {
            let devices = DevicesOf::new(loaded);
            let labels = loaded.members.labels(&keys.device());
            let held = loaded.pending.iter().filter(|one| one.standing == ChangeStanding::Held);
            let mut last: Map<Writer, FrontierPoint> = Map::new();
            let mut others: Set<String> = Set::new();
            for one in held {
                let Some(device) = devices.of(&one.writer) else { continue };
                if !is_called(&device, &labels, fingerprint) {
                    others.insert(device.fingerprint());
                    continue;
                }
                let point = FrontierPoint { writer: one.writer, seq: one.seq, tip: one.hash };
                let known = last.entry(one.writer).or_insert(point);
                if (one.seq, Reverse(one.hash)) > (known.seq, Reverse(known.tip)) {
                    *known = point;
                }
            }
            if last.is_empty() {
                return Err(Error::NotFound {
                    what: NotFoundKind::Held,
                    name: fingerprint.to_owned(),
                    accepted: there_are(others),
                });
            }
            let frontier = last.into_values().take(MAX_FRONTIER).collect();
            Ok((sign(keys, loaded, now, Action::Accept { frontier })?, ()))
        })?;
        let mut session = self.inner.session()?;
        self.inner.noting(judge_again(&self.inner, &mut session, self.id))
    }

    /// Stores one operation on the members, made by a device with at least this role, and answers what
    /// comes with it. Where it takes somebody's right to read, the new key is in the same commit. It
    /// is made anew if another process was faster.
    pub(crate) fn write_member_op<T>(
        &self,
        least: Role,
        make: impl Fn(&DeviceKeys, &LoadedRecord, i64) -> Result<(MemberOp, T)>,
    ) -> Result<T> {
        self.write_op(|keys, loaded, now| {
            if loaded.members.role(&keys.device()) < Some(least) {
                return Err(Error::not_allowed(say::only_owner()));
            }
            make(keys, loaded, now)
        })
    }

    /// The same of an operation of which `make` says who may write it.
    pub(crate) fn write_op<T>(
        &self,
        make: impl Fn(&DeviceKeys, &LoadedRecord, i64) -> Result<(MemberOp, T)>,
    ) -> Result<T> {
        let now = self.inner.clock.now().unix_s;
        let mut session = self.inner.session()?;
        let session = &mut *session;
        loop {
            self.inner.refresh(session, self.id)?;
            let loaded = session.records.get_mut(&self.id).ok_or_else(|| missing(self.id))?;
            let keys = &session.identity.keys;
            let (op, answer) = make(keys, loaded, now)?;
            let mut batch = Batch::new();
            put_op(&op, &mut batch);
            // What cannot be taken in is not stored either.
            loaded.members.insert(op)?;
            take_keys(&session.identity, loaded, &mut batch);
            prepare_sealing(&self.inner, &session.identity, loaded, false, &mut batch)?;
            match self.inner.store.commit(&self.id, loaded.generation, &batch) {
                Ok(generation) => {
                    loaded.filed(batch, Vec::new(), generation);
                    session.changed.insert(self.id);
                    return Ok(answer);
                }
                Err(error) => {
                    // What is in memory is ahead of the store.
                    session.records.remove(&self.id);
                    if !matches!(error, StoreError::Moved { .. }) {
                        return Err(error.into());
                    }
                }
            }
        }
    }
}

/// An invitation that nobody has used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InvitationView {
    /// The beginning of its hash, by which it is withdrawn.
    pub id: String,
    /// What whoever uses it will be able to do.
    pub role: Role,
    /// The device that wrote it, by the name it is shown under.
    pub by: String,
    /// Whether it is for another device of whoever wrote it.
    pub own_device: bool,
    /// Until when it can be used.
    pub expires: Moment,
}

/// What is held of one device for one reason.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldWork {
    /// The device that wrote it, by the name it is shown under.
    pub device: String,
    /// The short text that names its key: by it the work is accepted.
    pub fingerprint: String,
    /// Why it is no part of the record.
    pub why: WhyAside,
    /// How many entries of the history.
    pub entries: usize,
    /// Facts, targets and crossings out.
    pub values: usize,
    /// When the first of it was written.
    pub first: Moment,
    /// When the last of it was written.
    pub last: Moment,
}

/// The removal of devices by their fingerprints, signed by `keys`, which may be those of the recovery
/// words; never that of this device, `own`.
pub(crate) fn removal_of(
    loaded: &LoadedRecord,
    (keys, own): (&DeviceKeys, DeviceId),
    fingerprints: &[String],
    all_devices: bool,
    reason: Option<&str>,
    (now, at): (i64, Option<Moment>),
) -> Result<MemberOp> {
    let named = fingerprints.iter().map(|one| {
        let left = left(loaded).find(|device| device.fingerprint() == *one);
        left.map_or_else(|| member(loaded, &own, one), Ok)
    });
    let named = named.collect::<Result<Vec<_>>>()?;
    let persons: Vec<_> = named.iter().map(|device| loaded.members.person(device)).collect();
    let members = loaded.members.members().into_iter();
    let goes = |one: &Member| {
        named.contains(&one.device) || all_devices && persons.contains(&Some(one.person))
    };
    let mut devices: Vec<DeviceId> = members.filter(goes).map(|one| one.device).collect();
    devices.extend(left(loaded).filter(|device| named.contains(device)));
    devices.put_in_order();
    if devices.contains(&own) {
        return Err(Error::not_allowed(say::not_oneself()));
    }
    if !devices.iter().all(|device| loaded.members.can_cap(&keys.device(), device)) {
        return Err(Error::not_allowed(say::came_in_before()));
    }
    let open = loaded.members.open_invitations(now).into_iter();
    let mut invites: Vec<_> =
        open.filter(|one| devices.contains(&one.by)).map(|one| one.invite).collect();
    invites.put_in_order();
    let frontier = frontier(loaded, &devices);
    let reason = reason.map(str::trim).filter(|reason| !reason.is_empty());
    let reason = reason.map(str::to_owned);
    sign(keys, loaded, said(at, now), Action::Remove { devices, frontier, invites, reason })
}

/// The time that an operation states: that which was said, else now.
fn said(at: Option<Moment>, now: i64) -> i64 {
    at.map_or(now, |at| at.unix_s)
}

fn sign(keys: &DeviceKeys, loaded: &LoadedRecord, now: i64, action: Action) -> Result<MemberOp> {
    let op = MemberOp::sign(keys, loaded.id, &loaded.members.heads(), now, action);
    op.map_err(|e| Error::internal("member operation", e))
}

/// Who left, and was not removed: a program of its own could write on as if it had not.
fn left(loaded: &LoadedRecord) -> impl Iterator<Item = DeviceId> {
    let members = &loaded.members;
    let removed = members.removals().into_iter().filter(|one| one.left.is_none());
    let removed: Set<DeviceId> = removed.map(|one| one.device).in_set();
    let mut former = members.former();
    former.retain(|device| !removed.contains(device));
    former.into_iter()
}

/// The member of this fingerprint, or that is called so here and nobody else is.
fn member(loaded: &LoadedRecord, own: &DeviceId, fingerprint: &str) -> Result<DeviceId> {
    let (members, labels) = (loaded.members.members(), loaded.members.labels(own));
    let is_it = |member: &&Member| is_called(&member.device, &labels, fingerprint);
    let found = members.iter().find(is_it);
    found.map(|member| member.device).ok_or_else(|| Error::NotFound {
        what: NotFoundKind::Person,
        name: fingerprint.to_owned(),
        accepted: there_are(members.iter().map(|one| one.device.fingerprint())),
    })
}

/// Whether a device has this fingerprint, or is called so: names are told apart before they are shown.
fn is_called(device: &DeviceId, labels: &Map<DeviceId, String>, text: &str) -> bool {
    let text = text.trim();
    device.fingerprint().eq_ignore_ascii_case(text)
        || labels.get(device).is_some_and(|label| label == text)
}

/// How far these devices' work is here.
fn frontier(loaded: &LoadedRecord, devices: &[DeviceId]) -> Frontier {
    let proofs = loaded.signatures.iter();
    let proofs = proofs.filter_map(|one| ChainProof::decode_kept(&one.bytes).ok());
    let mut frontier: Frontier = proofs
        .filter(|proof| devices.contains(&proof.device))
        .map(|proof| proof.writer())
        .filter_map(|writer| {
            let (seq, tip) = loaded.record.last_of(&writer)?;
            Some(FrontierPoint { writer, seq, tip })
        })
        .collect();
    frontier.put_in_order();
    frontier.dedup();
    frontier.truncate(MAX_FRONTIER);
    frontier
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::Workshop;
    use crate::keeping::environment::{Clock, SystemRandom};

    /// It stands.
    struct Noon;

    impl Clock for Noon {
        fn now(&self) -> Moment {
            Moment { unix_s: 1_780_000_000, offset_min: 60 }
        }
    }

    fn workshop(label: &str) -> Workshop {
        Workshop::in_memory(label, Box::new(Noon), Box::new(SystemRandom)).unwrap()
    }

    /// What was done about people: how many days before now by what was said, and what, in words.
    fn told(bass: &Instrument) -> Vec<(i64, String)> {
        let history = bass.details().unwrap().people_history;
        let days = |at: Moment| (Noon.now().unix_s - at.unix_s) / 86_400;
        history.iter().map(|one| (days(one.at), one.phrase().to_string())).collect()
    }

    #[test]
    fn what_is_done_about_people_is_told_with_the_time_that_was_said_and_who_did_it() {
        let (tech, player, guest) = (workshop("tech"), workshop("player"), workshop("guest"));
        let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
        for other in [&player, &guest] {
            let invitation = bass.invite(Role::Contributor, 7).unwrap();
            let theirs = other.accept(&invitation.words, &invitation.welcome).unwrap();
            tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
        }
        let fingerprint = |of: &Workshop| of.device().unwrap().fingerprint;
        let now = Noon.now();
        let then = |days: i64| Some(Moment { unix_s: now.unix_s - days * 86_400, ..now });
        let open = bass.invite(Role::Viewer, 7).unwrap();
        bass.withdraw_at(&open.id, then(1)).unwrap();
        bass.set_role_at(&fingerprint(&player), Role::Owner, then(2)).unwrap();
        bass.remove_member_at(&fingerprint(&guest), false, Some("lost"), then(3)).unwrap();
        let theirs = player.instrument_named("walnut").unwrap();
        player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
        theirs.leave_at(then(4)).unwrap();
        let all = [
            (0, "tech began this record"),
            (0, "tech invited a contributor"),
            (0, "player joined as a contributor, invited by tech"),
            (0, "tech invited a contributor"),
            (0, "guest joined as a contributor, invited by tech"),
            (0, "tech invited a viewer"),
            (1, "tech withdrew an invitation"),
            (2, "tech made player an owner"),
            (3, "tech removed guest: lost"),
            (4, "player left"),
        ];
        assert_eq!(told(&theirs), all.map(|(days, what)| (days, what.to_owned())));
        // Everybody who has it is told the same.
        tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
        assert_eq!(told(&bass), told(&theirs));
    }

    #[test]
    fn of_two_devices_of_one_person_each_is_told_with_whose_it_is() {
        let (tech, tablet) = (workshop("tech"), workshop("tablet"));
        let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
        let words = bass.recovery_words().unwrap().unwrap();
        let invitation = bass.invite_own_device(Role::Contributor, 7).unwrap();
        let theirs = tablet.accept(&invitation.words, &invitation.welcome).unwrap();
        tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
        let fingerprint = tablet.device().unwrap().fingerprint;
        bass.remove_with_words(&words, &[fingerprint], None).unwrap();
        let said: Vec<String> = told(&bass).into_iter().map(|(_, what)| what).skip(1).collect();
        let all = [
            "tech invited another device of the same person as a contributor",
            "tablet (tech) joined as a contributor, invited by tech",
            "somebody with the recovery words removed tablet",
        ];
        assert_eq!(said, all);
        let last = bass.details().unwrap().people_history.pop().unwrap();
        assert_eq!((last.signed_by, last.person), (None, None));
    }

    #[test]
    fn a_removal_ends_the_invitations_that_are_open_now_whenever_it_was_agreed() {
        let (tech, player) = (workshop("tech"), workshop("player"));
        let bass = tech.add_instrument("bass-4", "walnut bass").unwrap();
        let invitation = bass.invite(Role::Contributor, 7).unwrap();
        let theirs = player.accept(&invitation.words, &invitation.welcome).unwrap();
        player.bundle_in(&bass.bundle_out().unwrap().file).unwrap();
        theirs.invite_own_device(Role::Viewer, 1).unwrap();
        tech.bundle_in(&theirs.bundle_out().unwrap().file).unwrap();
        assert_eq!(bass.open_invitations().unwrap().len(), 1);
        let now = Noon.now();
        let tomorrow = Moment { unix_s: now.unix_s + 86_400, ..now };
        let fingerprint = player.device().unwrap().fingerprint;
        bass.remove_member_at(&fingerprint, false, None, Some(tomorrow)).unwrap();
        assert_eq!(bass.open_invitations().unwrap(), []);
    }
}
