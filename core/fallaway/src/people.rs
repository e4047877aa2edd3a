//! Who takes part: roles given by an owner.

use fallaway_changes::DeviceId;
use fallaway_sharing::{Action, ChainProof, DeviceKeys, Frontier, FrontierPoint, MemberOp, Role};
use fallaway_store::{Batch, ChangeStanding, Outgoing, OutgoingEdit, StoreError, StoredMemberOp};
use fallaway_text::messages::errors as say;

use crate::error::{Error, Result, there_are};
use crate::instrument::Instrument;
use crate::loaded_record::LoadedRecord;
use crate::workshop_state::missing;

impl Instrument {
    /// Gives a member another role: the device of this fingerprint. An owner that came in later
    /// takes nothing from one that was there before. What a member has written stays.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a fingerprint of nobody; [`Error::NotAllowed`] if this device is no
    /// owner, or not one that may do this; when the store cannot be written.
    pub fn set_role(&self, fingerprint: &str, role: Role) -> Result<()> {
        self.write_member_op(|keys, loaded, now| {
            let device = member(loaded, fingerprint)?;
            if !loaded.members.can_cap(&keys.device(), &device) {
                return Err(Error::not_allowed(say::came_in_before()));
            }
            let frontier = frontier(loaded, &[device]);
            let action = Action::SetRole { device, role, frontier };
            let op = MemberOp::sign(keys, self.id, &loaded.members.heads(), now, action);
            Ok((op.map_err(|e| Error::internal("member operation", e))?, ()))
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
            edit.loaded.record.ask_for_this_version().into_iter().for_each(|put| edit.put(put));
            // It is nothing that could be taken back.
            edit.keep_journal(self.inner.journal(&self.id));
            Ok(())
        })
    }

    /// Stores one operation on the members that an owner makes, and answers what comes with it. It is
    /// made anew if another process was faster.
    pub(crate) fn write_member_op<T>(
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
            if loaded.members.role(&keys.device()) != Some(Role::Owner) {
                return Err(Error::not_allowed(say::only_owner()));
            }
            let (op, answer) = make(keys, loaded, now)?;
            let (hash, bytes) = (op.hash(), op.encode());
            let batch = Batch {
                members: vec![StoredMemberOp { hash, standing: ChangeStanding::Admitted, bytes }],
                outgoing: vec![OutgoingEdit::Add(Outgoing::Member(hash))],
                ..Batch::new()
            };
            // What cannot be taken in is not stored either.
            loaded.members.insert(op)?;
            match self.inner.store.commit(&self.id, loaded.generation, &batch) {
                Ok(generation) => {
                    loaded.generation = generation;
                    loaded.outgoing.push(Outgoing::Member(hash));
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

/// The member of this fingerprint.
fn member(loaded: &LoadedRecord, fingerprint: &str) -> Result<DeviceId> {
    let members = loaded.members.members();
    let found = members.iter().find(|member| member.device.fingerprint() == fingerprint);
    found.map(|member| member.device).ok_or_else(|| Error::NotFound {
        what: "person".into(),
        name: fingerprint.to_owned(),
        accepted: there_are(members.iter().map(|one| one.device.fingerprint())),
    })
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
    frontier.sort_unstable();
    frontier.dedup();
    frontier.truncate(fallaway_sharing::limits::MAX_FRONTIER);
    frontier
}
