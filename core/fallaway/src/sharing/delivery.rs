//! Bundles out, and what has not been delivered yet: it is off the list when the app says that it arrived, not when a
//! bundle is made. A share that was cancelled loses nothing.

use fallaway_order::Set;

use data_encoding::BASE64URL_NOPAD;
use fallaway_changes::DeviceId;
use fallaway_order::OneByOne as _;
use fallaway_store::{Batch, Outgoing, OutgoingEdit, Store, StoreAccess, StoreError};
use fallaway_text::errors::{Accepted, NothingAccepted};
use fallaway_text::messages::errors as say;

use crate::error::{Error, Result, field};
use crate::instrument::Instrument;
use crate::keeping::callbacks::{NoProgress, ProgressListener};
use crate::keeping::loaded_record::LoadedRecord;
use crate::keeping::secrets::Identity;
use crate::keeping::session::Session;
use crate::keeping::workshop_state::missing;
use crate::sharing::exchange::{bundles, handed_on, letters, payloads, ready_to_seal};
use crate::sharing::known::{Lacked, lacked};
use crate::sharing::relay::LogUnit;

/// So many bytes of its hash tell one thing that is to be sent from the others of a record.
const PREFIX: usize = 8;

/// Bundles on their way out, sealed for those who share the record. Any carrier will do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutgoingBundle {
    /// The bytes of the bundle file.
    pub file: Vec<u8>,
    /// What [`Instrument::delivered`] takes once the bytes have arrived: a text to keep as it is, also
    /// over a restart.
    pub token: String,
}

/// Which of a record's bundles are put out.
#[derive(Clone, Copy, PartialEq, Eq)]
enum BundleScope {
    /// All.
    Everything,
    /// What was not delivered yet.
    Unsent,
    /// What somebody is not known to have.
    Lacking,
}

impl Instrument {
    /// How much has not been delivered yet: changes, what the people of the record did, and what is
    /// not part of a change yet. Nothing is left to send at 0. What everybody else is known to have, after
    /// a meeting or by what came back, is delivered, whoever carried it.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn unsent(&self) -> Result<usize> {
        let store = self.inner.store.as_ref();
        self.inner.with_record(self.id, |identity, loaded| {
            Ok(unsent(store, loaded, &identity.keys.device()))
        })
    }

    /// How much at least one other device of the record's people is not known to have, whoever wrote it:
    /// what [`Instrument::bundle_lacking`] would carry. 0 while nobody else is there.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn lacking(&self) -> Result<usize> {
        let store = self.inner.store.as_ref();
        self.inner.with_record(self.id, |identity, loaded| {
            let lacked = lacked(store, loaded, &identity.keys.device());
            let drafted = loaded.members.members().len() > 1 && !loaded.draft.is_empty();
            Ok(lacked.changes.len() + lacked.ops.len() + usize::from(drafted))
        })
    }

    /// Puts what has not been delivered yet into the bytes of a bundle file; `None` if there is
    /// nothing. It stays on the list until [`Instrument::delivered`] is called with the token. What is
    /// in the draft becomes a change first.
    ///
    /// # Errors
    /// As [`Instrument::bundle_out`].
    pub fn bundle_unsent(&self) -> Result<Option<OutgoingBundle>> {
        self.bundle_unsent_watched(&NoProgress)
    }

    /// The same, and `progress` is told how many of the bundles are sealed; it can stop the call.
    ///
    /// # Errors
    /// As [`Instrument::bundle_unsent`], and [`Error::Cancelled`] if it was stopped.
    pub fn bundle_unsent_watched(
        &self,
        progress: &dyn ProgressListener,
    ) -> Result<Option<OutgoingBundle>> {
        let sealed = self.sealed(BundleScope::Unsent, progress)?;
        Ok((!sealed.token.is_empty()).then_some(sealed))
    }

    /// Puts the whole record into the bytes of a bundle file: nobody can lack anything afterwards. What
    /// is in the draft becomes a change first. What has not been delivered yet stays on the list until
    /// [`Instrument::delivered`] is called with the token.
    ///
    /// # Errors
    /// [`Error::Keys`] if this device has no key of the record; when the store cannot be written.
    pub fn bundle_out(&self) -> Result<OutgoingBundle> {
        self.bundle_out_watched(&NoProgress)
    }

    /// The same, and `progress` is told how many of the bundles are sealed; it can stop the call.
    ///
    /// # Errors
    /// As [`Instrument::bundle_out`], and [`Error::Cancelled`] if it was stopped.
    pub fn bundle_out_watched(&self, progress: &dyn ProgressListener) -> Result<OutgoingBundle> {
        self.sealed(BundleScope::Everything, progress)
    }

    /// Puts into the bytes of a bundle file what at least one device of the record's people is not known to
    /// have, whoever wrote it, with who came and who went: what others brought here goes on to the next, and a
    /// file for one of them leaves out nothing that another one lacks. Known is what
    /// [`Instrument::device_states`] tells. `None` if everybody is known to have everything.
    ///
    /// # Errors
    /// As [`Instrument::bundle_out`].
    pub fn bundle_lacking(&self) -> Result<Option<OutgoingBundle>> {
        let sealed = self.sealed(BundleScope::Lacking, &NoProgress)?;
        Ok((!sealed.file.is_empty()).then_some(sealed))
    }

    fn sealed(&self, what: BundleScope, progress: &dyn ProgressListener) -> Result<OutgoingBundle> {
        let mut session = self.inner.session()?;
        self.inner.commit_draft(&mut session, self.id)?;
        ready_to_seal(&self.inner, &mut session, self.id, false)?;
        Identity::note_sealed(self.inner.store.as_ref(), self.inner.keeper.as_ref())?;
        let Session { identity, records, .. } = &mut *session;
        let loaded = records.get_mut(&self.id).ok_or_else(|| missing(self.id))?;
        let store = self.inner.store.as_ref();
        let own = identity.keys.device();
        let lacked = match what {
            BundleScope::Lacking => lacked(store, loaded, &own),
            BundleScope::Unsent | BundleScope::Everything => Lacked::default(),
        };
        let nothing_new = match what {
            BundleScope::Lacking => lacked.is_empty() && unsent(store, loaded, &own) == 0,
            BundleScope::Unsent => unsent(store, loaded, &own) == 0,
            BundleScope::Everything => false,
        };
        if nothing_new {
            return Ok(OutgoingBundle { file: Vec::new(), token: String::new() });
        }
        let beside = handed_on(store, loaded)?;
        let mut wanted: Set<Outgoing> = loaded.outgoing.iter().copied().in_set();
        wanted.extend(lacked.ops.iter().copied().map(Outgoing::Member));
        wanted.extend(lacked.changes.iter().copied().map(Outgoing::Change));
        if what == BundleScope::Lacking {
            // Of what is kept beside the record nobody is known to have anything.
            wanted.extend(beside.iter().map(|one| Outgoing::Change(one.hash)));
        }
        let wants = |unit: &LogUnit| {
            what == BundleScope::Everything
                || wanted.contains(&match unit {
                    LogUnit::Op(hash) | LogUnit::OwnForm(hash) => Outgoing::Member(*hash),
                    LogUnit::Change(id, ..) => Outgoing::Change(*id),
                })
        };
        let leaving = payloads(loaded, &beside, &wants, usize::MAX)?;
        let mut sealed = bundles(loaded, &leaving, progress)?;
        let people = wanted.iter().any(|one| matches!(one, Outgoing::Member(_)));
        if people || what == BundleScope::Everything {
            let now = self.inner.clock.now().unix_s;
            sealed.extend(letters(loaded, &identity.keys, now)?);
        }
        let bytes = fallaway_sharing::bundle_file::write(&sealed);
        let bytes = bytes.map_err(|e| Error::internal("bundle file", e))?;
        let token: Vec<u8> = loaded.outgoing.iter().flat_map(|one| prefix(*one)).collect();
        Ok(OutgoingBundle { file: bytes, token: BASE64URL_NOPAD.encode(&token) })
    }

    /// The bundle with this token has arrived: what was in it is off the list. Answers how much is
    /// still unsent. To say it twice, or late, does no harm.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a text that is no token; when the store cannot be written.
    pub fn delivered(&self, token: &str) -> Result<usize> {
        let bytes = BASE64URL_NOPAD.decode(token.trim().as_bytes()).ok();
        let bytes = bytes.filter(|bytes| bytes.len() % PREFIX == 0).ok_or_else(|| {
            let accepted = Accepted::nothing(NothingAccepted::OtherFile);
            Error::bad_input(field("token"), say::no_token(), accepted.said(say::token_accepted()))
        })?;
        let arrived: Set<&[u8]> = bytes.chunks(PREFIX).in_set();
        let mut session = self.inner.session()?;
        loop {
            self.inner.refresh(&mut session, self.id)?;
            let own = session.identity.keys.device();
            let loaded = session.records.get_mut(&self.id).ok_or_else(|| missing(self.id))?;
            let left = |one: &Outgoing| !arrived.contains(prefix(*one).as_slice());
            let done = loaded.outgoing.iter().filter(|one| !left(one)).copied();
            let done: Vec<OutgoingEdit> = done.map(OutgoingEdit::Done).collect();
            if !done.is_empty() && self.inner.store.access() == StoreAccess::ReadWrite {
                let batch = Batch { outgoing: done, ..Batch::new() };
                match self.inner.store.commit(&self.id, loaded.generation, &batch) {
                    Ok(generation) => loaded.generation = generation,
                    Err(StoreError::Moved { .. }) => {
                        session.records.remove(&self.id);
                        continue;
                    }
                    Err(error) => return Err(error.into()),
                }
                loaded.outgoing.retain(left);
            }
            return Ok(unsent(self.inner.store.as_ref(), loaded, &own));
        }
    }
}

/// How much is on the list and not known to be with everybody else, and the draft.
fn unsent(store: &dyn Store, loaded: &LoadedRecord, own: &DeviceId) -> usize {
    let drafted = usize::from(!loaded.draft.is_empty());
    if loaded.outgoing.is_empty() || loaded.members.members().len() < 2 {
        return loaded.outgoing.len() + drafted;
    }
    let lacked = lacked(store, loaded, own);
    let is_with_all = |one: &&Outgoing| match one {
        Outgoing::Change(id) => loaded.record.contains(id) && !lacked.changes.contains(id),
        Outgoing::Member(hash) => loaded.members.op(hash).is_some() && !lacked.ops.contains(hash),
    };
    loaded.outgoing.len() - loaded.outgoing.iter().filter(is_with_all).count() + drafted
}

fn prefix(one: Outgoing) -> [u8; PREFIX] {
    let whole = match one {
        Outgoing::Change(id) => id.to_bytes(),
        Outgoing::Member(hash) => hash.to_bytes(),
    };
    let mut prefix = [0; PREFIX];
    prefix.iter_mut().zip(whole).for_each(|(to, from)| *to = from);
    prefix
}
