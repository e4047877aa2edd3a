//! Lines of this device that are put out of the record through no doing of its own are written again,
//! by a new writer.

use std::collections::BTreeMap;

use fallaway_changes::{ChangeError, Container, Put, VerifiedChange};
use fallaway_record::{EntryId, PrepareError, Record};
use fallaway_sharing::{ChainProof, Role};
use fallaway_store::{Batch, ChangeStanding, Outgoing, OutgoingEdit, StoredSignature};

use super::outcome::{MergeOutcome, stored};
use super::quotas::DevicesOf;
use super::why_aside::WhyAside;
use crate::error::Result;
use crate::keeping::loaded_record::LoadedRecord;
use crate::keeping::secrets::{Identity, SEALED};
use crate::keeping::workshop_state::renamed_put;

/// The changes of this device that left the document with a fork, or with what somebody else wrote
/// who was no member in the end. Oldest first.
pub(super) fn own_lines(
    loaded: &LoadedRecord,
    identity: &Identity,
    outcome: &MergeOutcome,
) -> Vec<VerifiedChange> {
    let (Some(before), true) = (&outcome.before, loaded.role(identity) >= Some(Role::Contributor))
    else {
        return Vec::new();
    };
    let devices = DevicesOf::new(loaded);
    let own = before.links().filter(|link| {
        let left = outcome.left.get(&link.id);
        left.is_some_and(|(_, why)| {
            matches!(why, WhyAside::Fork | WhyAside::Behind | WhyAside::Invitation)
        }) && (link.writer == loaded.writer
            || devices.of(&link.writer) == Some(identity.keys.device()))
    });
    own.filter_map(|link| before.change(&link.id)).collect()
}

/// Writes these again on top of what is in the document now. Entries get new names and say which
/// they say again; of values those that were shown.
pub(super) fn write_again(
    loaded: &mut LoadedRecord,
    identity: &Identity,
    (before, own): (&Record, &[VerifiedChange]),
    batch: &mut Batch,
) -> Result<Vec<VerifiedChange>> {
    let mut names: BTreeMap<EntryId, EntryId> = BTreeMap::new();
    let mut next_entry = loaded.next_entry;
    for put in own.iter().flat_map(|change| &change.ops) {
        if let (Container::LOG, Ok(old)) = (put.container, put.key.parse::<EntryId>()) {
            names.insert(old, EntryId::new(loaded.writer, next_entry));
            next_entry += 1;
        }
    }
    let mut written = Vec::new();
    for change in own {
        let shown = |put: &&Put| {
            put.container.is_append_only() || {
                let versions = before.versions(put.container, &put.key);
                versions.last().and_then(|version| version.change) == Some(change.id())
            }
        };
        let puts = change.ops.iter().filter(shown).map(|put| renamed_put(put, &names, true));
        put_in(loaded, change.time, puts.collect::<Result<_>>()?, &mut written);
    }
    let Some(last) = written.last() else { return Ok(written) };
    let heads = loaded.members.heads();
    let (keys, incarnation) = (&identity.keys, identity.incarnation);
    let proof = ChainProof::sign(keys, loaded.id, incarnation, last.seq, last.id(), &heads);
    batch.signatures.push(StoredSignature {
        writer: loaded.writer,
        seq: last.seq,
        hash: last.id(),
        bytes: proof.encode(),
    });
    for change in &written {
        batch.changes.push(stored(change, ChangeStanding::Admitted, None));
        batch.outgoing.push(OutgoingEdit::Add(Outgoing::Change(change.id())));
    }
    batch.writers.push(loaded.stored_writer(&identity.incarnation, next_entry));
    batch.counters.push(SEALED);
    loaded.next_entry = next_entry;
    Ok(written)
}

/// Makes one change of these, or two where they are too much for one.
fn put_in(
    loaded: &mut LoadedRecord,
    time: i64,
    mut puts: Vec<Put>,
    written: &mut Vec<VerifiedChange>,
) {
    match loaded.record.prepare(loaded.writer, time, puts.clone()) {
        Ok(prepared) => {
            loaded.record.apply(&prepared);
            written.extend(prepared);
        }
        Err(PrepareError::Malformed(ChangeError::TooLarge(_))) if puts.len() > 1 => {
            let rest = puts.split_off(puts.len() / 2);
            put_in(loaded, time, puts, written);
            put_in(loaded, time, rest, written);
        }
        // They stay where they are: kept beside the record, and shown.
        Err(_) => {}
    }
}
