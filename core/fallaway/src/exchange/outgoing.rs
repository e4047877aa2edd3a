//! Bundles out.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::ControlFlow;

use fallaway_changes::{ChangeId, VerifiedChange, Writer};
use fallaway_sharing::{ChainProof, ChangeBundle, EpochKey, Payload, bundle_file, seal};
use fallaway_store::{Batch, ChangeStanding, Outgoing, OutgoingEdit, StoreError, StoredChange};

use fallaway_text::messages::errors as say;

use crate::callbacks::{NoProgress, ProgressListener};
use crate::error::{Error, Result};
use crate::instrument::Instrument;
use crate::loaded_record::LoadedRecord;
use crate::secrets::Identity;
use crate::views::BundleContent;
use crate::workshop_state::missing;

impl Instrument {
    /// Puts the record, or what is new in it, into the bytes of a bundle file, sealed for those who
    /// share the record. Any carrier will do. What is in the draft becomes a change first.
    ///
    /// # Errors
    /// [`Error::Keys`] if this device has no key of the record; when the store cannot be written.
    pub fn bundle_out(&self, what: BundleContent) -> Result<Vec<u8>> {
        self.bundle_out_watched(what, &NoProgress)
    }

    /// The same, and `progress` is told how many of the bundles are sealed; it can stop the call.
    ///
    /// # Errors
    /// As [`Instrument::bundle_out`], and [`Error::Cancelled`] if it was stopped: then the next
    /// bundle carries the same.
    pub fn bundle_out_watched(
        &self,
        what: BundleContent,
        progress: &dyn ProgressListener,
    ) -> Result<Vec<u8>> {
        let mut session = self.inner.session()?;
        let session = &mut *session;
        loop {
            self.inner.commit_draft(session, self.id)?;
            Identity::note_sealed(self.inner.store.as_ref(), self.inner.keeper.as_ref())?;
            let loaded = session.records.get_mut(&self.id).ok_or_else(|| missing(self.id))?;
            let sealed = bundles(loaded, what, progress)?;
            let file =
                bundle_file::write(&sealed).map_err(|e| Error::internal("bundle file", e))?;
            if loaded.outgoing.is_empty()
                || self.inner.store.access() != fallaway_store::StoreAccess::ReadWrite
            {
                return Ok(file);
            }
            let done = loaded.outgoing.iter().map(|left| OutgoingEdit::Done(*left)).collect();
            let batch = Batch { outgoing: done, ..Batch::new() };
            match self.inner.store.commit(&self.id, loaded.generation, &batch) {
                Ok(generation) => {
                    loaded.generation = generation;
                    loaded.outgoing.clear();
                    return Ok(file);
                }
                Err(StoreError::Moved { .. }) => {
                    session.records.remove(&self.id);
                }
                Err(error) => return Err(error.into()),
            }
        }
    }
}

/// The sealed bundles, member operations first.
pub(crate) fn bundles(
    loaded: &LoadedRecord,
    what: BundleContent,
    progress: &dyn ProgressListener,
) -> Result<Vec<Vec<u8>>> {
    let key = loaded.epoch_keys.last().ok_or_else(|| Error::keys(say::no_key()))?;
    let ops = loaded.members.ops().filter(|op| {
        what == BundleContent::Everything || loaded.outgoing.contains(&Outgoing::Member(op.hash()))
    });
    let mut payloads: Vec<Payload> = ops.map(|op| Payload::Member(op.clone())).collect();
    payloads.extend(chains(loaded, what)?.into_iter().map(Payload::Changes));
    let total = payloads.len() as u64;
    let mut sealed = Vec::with_capacity(payloads.len());
    for (done, payload) in (1..).zip(&payloads) {
        sealed.push(seal_payload(key, loaded, payload)?);
        if progress.at(done, total) == ControlFlow::Break(()) {
            return Err(Error::Cancelled);
        }
    }
    Ok(sealed)
}

fn seal_payload(key: &EpochKey, loaded: &LoadedRecord, payload: &Payload) -> Result<Vec<u8>> {
    seal(key, &loaded.id, payload).map_err(|e| Error::internal("seal", e))
}

/// Each writer's changes, cut where a signature was kept. A signature over another change of the
/// same number (its writer's identity was copied) is not one over these.
fn chains(loaded: &LoadedRecord, what: BundleContent) -> Result<Vec<ChangeBundle>> {
    let mut signatures: BTreeMap<Writer, BTreeMap<ChangeId, &[u8]>> = BTreeMap::new();
    for signature in &loaded.signatures {
        signatures.entry(signature.writer).or_default().insert(signature.hash, &signature.bytes);
    }
    let wanted: BTreeSet<ChangeId> = loaded
        .outgoing
        .iter()
        .filter_map(|left| match left {
            Outgoing::Change(id) => Some(*id),
            Outgoing::Member(_) => None,
        })
        .collect();
    let mut chains = Vec::new();
    for (writer, signed) in signatures {
        let mut run: Vec<Link<'_>> = Vec::new();
        let mut last = 0;
        for (seq, link) in links_of(loaded, &writer) {
            if last + 1 != seq {
                // What lies between is not here: it has its own signature, or cannot leave.
                run.clear();
            }
            last = seq;
            let signature = signed.get(&link.id());
            run.push(link);
            let Some(bytes) = signature else { continue };
            let run = std::mem::take(&mut run);
            if what != BundleContent::Everything
                && !run.iter().any(|link| wanted.contains(&link.id()))
            {
                continue;
            }
            // Only the end of the run is signed: it leaves from the last gap on.
            let mut changes: Vec<VerifiedChange> =
                run.iter().rev().map_while(|link| link.change(loaded)).collect();
            changes.reverse();
            if changes.is_empty() {
                continue;
            }
            let proof =
                ChainProof::decode_kept(bytes).map_err(|e| Error::internal("signature", e))?;
            let bundle = ChangeBundle::new(proof, changes);
            chains.push(bundle.map_err(|e| Error::internal("bundle", e))?);
        }
    }
    Ok(chains)
}

/// One of a writer's changes, read when it is known to leave.
enum Link<'a> {
    Inside(ChangeId),
    Beside(&'a StoredChange),
}

impl Link<'_> {
    fn id(&self) -> ChangeId {
        match self {
            Self::Inside(id) => *id,
            Self::Beside(stored) => stored.hash,
        }
    }

    /// `None` for what only a newer version can read.
    fn change(&self, loaded: &LoadedRecord) -> Option<VerifiedChange> {
        match self {
            Self::Inside(id) => loaded.record.change(id),
            Self::Beside(stored) => VerifiedChange::kept(&loaded.id, stored.bytes.clone()).ok(),
        }
    }
}

/// A writer's changes by number: those in the document, and those that wait beside it.
fn links_of<'a>(loaded: &'a LoadedRecord, writer: &Writer) -> BTreeMap<u64, Link<'a>> {
    let own = loaded.record.ids_of(writer).into_iter();
    let mut links: BTreeMap<u64, Link<'_>> = (1..).zip(own.map(Link::Inside)).collect();
    let waiting = loaded.pending.iter().filter(|stored| {
        stored.writer == *writer && stored.standing != ChangeStanding::Quarantined
    });
    for stored in waiting {
        links.entry(stored.seq).or_insert(Link::Beside(stored));
    }
    links
}
