//! One record in memory.

use std::sync::Arc;

use fallaway_changes::{BlobId, ChangeId, Writer};
use fallaway_order::OneByOne as _;
use fallaway_order::{Map, Set};

use crate::batch::{Batch, DraftEdit, Move, OutgoingEdit};
use crate::contract::SnapshotCheck;
use crate::error::StoreError;
use crate::model::{
    BlobHere, ChangeStanding, Diagnostics, DraftLine, Generation, Loaded, Outgoing, Snapshot,
    StoredBlobPart, StoredChange, StoredEpochKey, StoredMemberOp, StoredSignature, StoredWriter,
};
use crate::rules;

/// How many parts its photo has, and its bytes.
pub(super) type BlobPart = (u32, Arc<[u8]>);

#[derive(Debug, Clone, Default)]
pub(super) struct MemoryRecord {
    pub generation: Generation,
    pub snapshot: Option<Snapshot>,
    /// How many a store on disk would have kept.
    pub snapshots: u64,
    pub compacted: Map<Writer, u64>,
    pub changes: Vec<StoredChange>,
    pub signatures: Map<(Writer, u64, ChangeId), Vec<u8>>,
    pub draft: Map<u64, DraftLine>,
    pub members: Vec<StoredMemberOp>,
    pub epoch_keys: Vec<StoredEpochKey>,
    pub writers: Vec<StoredWriter>,
    pub projections: Map<u16, Vec<u8>>,
    pub outgoing: Vec<Outgoing>,
    /// Parts of photos by photo and number, and how many parts that photo has.
    pub blobs: Map<(BlobId, u32), BlobPart>,
}

impl MemoryRecord {
    pub(super) fn load(&self) -> Loaded {
        Loaded {
            generation: self.generation,
            snapshot: self.snapshot.clone(),
            compacted: self.compacted.clone(),
            changes: self.changes.clone(),
            signatures: self
                .signatures
                .iter()
                .map(|((writer, seq, hash), bytes)| StoredSignature {
                    writer: *writer,
                    seq: *seq,
                    hash: *hash,
                    bytes: bytes.clone(),
                })
                .collect(),
            draft: self.draft.values().cloned().collect(),
            members: self.members.clone(),
            epoch_keys: self.epoch_keys.clone(),
            writers: self.writers.clone(),
            outgoing: self.outgoing.clone(),
        }
    }

    pub(super) fn put_blob_part(&mut self, part: &StoredBlobPart) {
        let StoredBlobPart { blob, part, parts, bytes } = part;
        self.blobs.insert((*blob, *part), (*parts, bytes.as_slice().into()));
    }

    pub(super) fn blobs_here(&self) -> Vec<BlobHere> {
        let mut all: Vec<BlobHere> = Vec::new();
        for ((blob, _), (parts, bytes)) in &self.blobs {
            if all.last().is_none_or(|last| last.blob != *blob) {
                all.push(BlobHere { blob: *blob, parts: 0, here: 0, bytes: 0 });
            }
            if let Some(last) = all.last_mut() {
                last.parts = last.parts.max(*parts);
                last.here += 1;
                last.bytes += bytes.len() as u64;
            }
        }
        all
    }

    /// Applies a batch to this copy. On an error the copy is thrown away.
    pub(super) fn apply(&mut self, batch: &Batch) -> Result<(), StoreError> {
        if batch.unpacked {
            self.snapshot = None;
            self.snapshots = 0;
            self.compacted.clear();
        }
        self.changes.retain(|stored| !batch.dropped.contains(&stored.hash));
        self.signatures.retain(|(_, _, hash), _| !batch.dropped.contains(hash));
        for step in &batch.moves {
            self.move_change(step)?;
        }
        for change in &batch.changes {
            self.insert(change)?;
        }
        for signature in &batch.signatures {
            rules::storable("the number of a signed change", signature.seq)?;
            self.signatures
                .insert((signature.writer, signature.seq, signature.hash), signature.bytes.clone());
        }
        for edit in &batch.draft {
            match edit {
                DraftEdit::Clear => self.draft.clear(),
                DraftEdit::Put(line) => {
                    rules::storable("the ordinal of a draft line", line.ordinal)?;
                    if let Some(entry) = line.entry {
                        rules::storable("the number of an entry", entry.number)?;
                    }
                    self.draft.insert(line.ordinal, line.clone());
                }
                DraftEdit::Erase(ordinal) => {
                    self.draft.remove(ordinal);
                }
            }
        }
        self.members.retain(|stored| !batch.members_dropped.contains(&stored.hash));
        for member in &batch.members {
            match self.members.iter_mut().find(|stored| stored.hash == member.hash) {
                Some(stored) => *stored = member.clone(),
                None => self.members.push(member.clone()),
            }
        }
        for key in &batch.epoch_keys {
            match self.epoch_keys.iter_mut().find(|stored| stored.epoch == key.epoch) {
                Some(stored) => *stored = key.clone(),
                None => self.epoch_keys.push(key.clone()),
            }
        }
        for writer in &batch.writers {
            self.put_writer(writer)?;
        }
        for (kind, bytes) in &batch.projections {
            match bytes {
                Some(bytes) => self.projections.insert(*kind, bytes.clone()),
                None => self.projections.remove(kind),
            };
        }
        self.blobs.retain(|(blob, _), _| !batch.blobs_dropped.contains(blob));
        for part in &batch.blobs {
            self.put_blob_part(part);
        }
        for edit in &batch.outgoing {
            match edit {
                OutgoingEdit::Add(item) if self.outgoing.contains(item) => {}
                OutgoingEdit::Add(item) => self.outgoing.push(*item),
                OutgoingEdit::Done(item) => self.outgoing.retain(|waiting| waiting != item),
            }
        }
        Ok(())
    }

    /// Whether another admitted change has this number, kept one by one or inside the snapshot.
    fn taken(&self, writer: Writer, seq: u64) -> Result<(), StoreError> {
        let inside = self.compacted.get(&writer).is_some_and(|last| seq <= *last);
        let beside = self.changes.iter().any(|stored| {
            stored.standing == ChangeStanding::Admitted
                && stored.writer == writer
                && stored.seq == seq
        });
        if inside || beside { Err(StoreError::Taken { writer, seq }) } else { Ok(()) }
    }

    fn move_change(&mut self, step: &Move) -> Result<(), StoreError> {
        let place = self.changes.iter().position(|stored| stored.hash == step.hash);
        let Some(stored) = place.and_then(|place| self.changes.get(place)) else {
            return Err(StoreError::NoSuchChange { hash: step.hash });
        };
        if step.standing == ChangeStanding::Admitted && stored.standing != ChangeStanding::Admitted
        {
            self.taken(stored.writer, stored.seq)?;
        }
        if let Some(stored) = place.and_then(|place| self.changes.get_mut(place)) {
            stored.standing = step.standing;
            stored.reason.clone_from(&step.reason);
        }
        Ok(())
    }

    fn insert(&mut self, change: &StoredChange) -> Result<(), StoreError> {
        rules::storable("the number of a change", change.seq)?;
        if self.changes.iter().any(|stored| stored.hash == change.hash) {
            return Err(StoreError::Known { hash: change.hash });
        }
        if change.standing == ChangeStanding::Admitted {
            self.taken(change.writer, change.seq)?;
        }
        self.changes.push(change.clone());
        Ok(())
    }

    fn put_writer(&mut self, writer: &StoredWriter) -> Result<(), StoreError> {
        rules::storable("the next entry number", writer.next_entry)?;
        match self.writers.iter_mut().find(|stored| stored.writer == writer.writer) {
            Some(stored) if stored.next_entry > writer.next_entry => {
                Err(StoreError::NumberWentBack {
                    writer: writer.writer,
                    stored: stored.next_entry,
                    given: writer.next_entry,
                })
            }
            Some(stored) => {
                *stored = writer.clone();
                Ok(())
            }
            None => {
                self.writers.push(writer.clone());
                Ok(())
            }
        }
    }

    pub(super) fn compact(
        &mut self,
        snapshot: &Snapshot,
        contained: &Set<ChangeId>,
        signed: &[ChangeId],
        check: SnapshotCheck<'_>,
    ) -> Result<(), StoreError> {
        rules::storable("the number of changes in a snapshot", snapshot.changes)?;
        let mut inside = Vec::with_capacity(contained.len());
        for hash in contained {
            let Some(stored) = self.changes.iter().find(|stored| stored.hash == *hash) else {
                return Err(StoreError::NoSuchChange { hash: *hash });
            };
            if stored.standing != ChangeStanding::Admitted {
                return Err(StoreError::NotCompactable {
                    hash: *hash,
                    reason: "it is not admitted",
                });
            }
            inside.push((stored.writer, stored.seq, stored.hash));
        }
        let compacted = rules::advance(&self.compacted, inside)?;
        check(&snapshot.bytes).map_err(|reason| StoreError::CheckFailed { reason })?;
        self.snapshot = Some(snapshot.clone());
        self.snapshots = (self.snapshots + 1).min(2);
        self.compacted = compacted;
        self.changes.retain(|stored| !contained.contains(&stored.hash));
        self.thin_signatures(signed);
        Ok(())
    }

    /// Drops the signatures over contained changes that need not stay. A change that is still kept
    /// one by one (a fork that lost, for instance) keeps its signature, and so does one that asks for it.
    fn thin_signatures(&mut self, stay: &[ChangeId]) {
        let beside = self.changes.iter().map(|stored| stored.hash);
        let beside: Set<ChangeId> = beside.chain(stay.iter().copied()).in_set();
        let compacted = &self.compacted;
        let is_inside = |writer: &Writer, seq: u64, hash: &ChangeId| {
            !beside.contains(hash) && compacted.get(writer).is_some_and(|last| seq <= *last)
        };
        let mut signed: Map<Writer, Set<u64>> = Map::new();
        for (writer, seq, hash) in self.signatures.keys() {
            if is_inside(writer, *seq, hash) {
                signed.entry(*writer).or_default().insert(*seq);
            }
        }
        for seqs in signed.values_mut() {
            *seqs = rules::kept_signatures(seqs);
        }
        self.signatures.retain(|(writer, seq, hash), _| {
            !is_inside(writer, *seq, hash)
                || signed.get(writer).is_some_and(|stay| stay.contains(seq))
        });
    }

    pub(super) fn count(&self, counts: &mut Diagnostics) {
        counts.snapshots += self.snapshots;
        for (count, standing) in counts.changes.iter_mut().zip(ChangeStanding::ALL) {
            *count +=
                self.changes.iter().filter(|stored| stored.standing == standing).count() as u64;
        }
        counts.signatures += self.signatures.len() as u64;
        counts.draft_lines += self.draft.len() as u64;
        counts.member_ops += self.members.len() as u64;
        counts.projections += self.projections.len() as u64;
        counts.blob_parts += self.blobs.len() as u64;
        counts.outgoing += self.outgoing.len() as u64;
    }
}
