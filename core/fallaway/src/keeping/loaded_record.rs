//! One record in memory: the document, the draft on top of it, and what the store knows about it.

use std::borrow::Cow;

use fallaway_changes::{
    ChangeError, ChangeId, Container, Incarnation, MemberHash, Put, RecordId, VerifiedChange,
    Writer, limits,
};
use fallaway_order::{Map, OneByOne as _, PutInOrder as _, Set};
use fallaway_record::{Access, Draft, EntryId, Placed, PrepareError, Record, Registers, State};
use fallaway_sharing::{ChainProof, EpochKey, MemberOp, Members, Role, look_alike};
use fallaway_store::{
    Batch, ChangeStanding, DraftLine, EntryRef, Generation, Loaded, Move, Outgoing, OutgoingEdit,
    Store, StoredChange, StoredEpochKey, StoredMemberOp, StoredSignature, StoredWriter,
};

use fallaway_text::messages::sharing;
use fallaway_text::{List, Phrase};

use crate::error::{Error, Result};
use crate::keeping::secrets::Identity;
use crate::sharing::exchange::WhyAside;
use crate::showing::card::{Latest, keeps_readings};

/// Whether an edit fits into the draft.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Fits {
    /// It does.
    Now,
    /// Not into this one, but into the next.
    AfterCommit,
}

/// A record in memory.
pub(crate) struct LoadedRecord {
    pub id: RecordId,
    pub generation: Generation,
    pub record: Record,
    /// Edits that are durable and not yet part of a change.
    pub draft: Draft,
    ordinals: Map<(u8, String), u64>,
    pub draft_started: Option<i64>,
    pub writer: Writer,
    pub next_entry: u64,
    pub members: Members,
    pub epoch_keys: Vec<EpochKey>,
    pub signatures: Vec<StoredSignature>,
    /// Verified changes that are not part of the document, without their bytes.
    pub pending: Vec<StoredChange>,
    pub outgoing: Vec<Outgoing>,
    /// Admitted changes that the snapshot does not contain.
    pub loose: Vec<ChangeId>,
    /// The latest readings in the document, without the draft; built when first asked for.
    pub latest: Option<Latest>,
    /// The same with the draft on top, while there is one; built when first asked for.
    pub latest_drafted: Option<Latest>,
    /// What is later than this, in seconds since 1970, counts for nothing in an answer.
    pub as_of: Option<i64>,
}

/// The members of a record, from what the store has.
pub(crate) fn members_of(
    id: RecordId,
    ops: &[StoredMemberOp],
    signatures: &[StoredSignature],
    identity: &Identity,
) -> Members {
    let mut members = Members::new(id);
    for stored in ops {
        // Nothing that is stored may keep a record from opening.
        if let Ok(op) = MemberOp::decode_kept(&stored.bytes) {
            let _ = members.insert(op);
        }
    }
    members.keep(&identity.keys.device(), || named_by(signatures));
    members
}

/// What the authors of these changes had seen of the members.
pub(crate) fn named_by(signatures: &[StoredSignature]) -> Set<MemberHash> {
    let proofs = signatures.iter().filter_map(|one| ChainProof::decode_kept(&one.bytes).ok());
    proofs.flat_map(|proof| proof.member_heads).in_set()
}

/// The keys of a record, from what the store has.
pub(crate) fn keys_of(id: RecordId, keys: &[StoredEpochKey], identity: &Identity) -> Vec<EpochKey> {
    let open = |key: &StoredEpochKey| EpochKey::unwrap(&key.wrapped, &identity.keys, &id).ok();
    keys.iter().filter_map(open).collect()
}

impl LoadedRecord {
    /// Reads a record from the store.
    pub(crate) fn load(store: &dyn Store, id: RecordId, identity: &Identity) -> Result<Self> {
        let kept = store.load_within(&id)?;
        let (record, loose, moves) = replay(id, &kept)?;
        let generation =
            if moves.is_empty() || store.access() != fallaway_store::StoreAccess::ReadWrite {
                kept.generation
            } else {
                // A change whose past was damaged waits until that arrives again.
                store.commit(&id, kept.generation, &Batch { moves, ..Batch::new() })?
            };
        let pending = beside(&kept, &loose);

        let members = members_of(id, &kept.members, &kept.signatures, identity);
        let epoch_keys = keys_of(id, &kept.epoch_keys, identity);
        let writer = identity.writer(&id);
        let mut loaded = Self {
            id,
            generation,
            record,
            draft: Draft::new(),
            ordinals: Map::new(),
            draft_started: None,
            writer,
            next_entry: 1,
            members,
            epoch_keys,
            signatures: kept.signatures,
            pending,
            outgoing: kept.outgoing,
            loose,
            latest: None,
            latest_drafted: None,
            as_of: None,
        };
        loaded.read_draft(kept.draft);
        // The log is searched only where the store's number is missing, or an earlier one.
        let stored = kept.writers.iter().find(|known| known.writer == writer);
        let next = stored.map_or(1, |known| known.next_entry);
        let taken = |number| loaded.record.has_entry(EntryId::new(writer, number));
        loaded.next_entry = if stored.is_some() && !taken(next) {
            next
        } else {
            next.max(loaded.record.highest_number(&writer) + 1)
        };
        Ok(loaded)
    }

    fn read_draft(&mut self, lines: Vec<DraftLine>) {
        self.draft_started = lines.first().map(|line| line.started_at);
        for line in lines {
            self.ordinals.insert((line.container, line.key.clone()), line.ordinal);
            let container = Container(line.container);
            self.draft.add(Put { container, key: line.key, value: line.value });
        }
    }

    /// The line of the draft that keeps `put`: a new one, or the one that it takes the place of.
    pub(crate) fn draft_line(&self, put: &Put, ordinal: u64, started_at: i64) -> DraftLine {
        let known = self.ordinal(put.container, &put.key);
        let started_at = self.draft_started.unwrap_or(started_at);
        Self::new_line(put, known.unwrap_or(ordinal), started_at)
    }

    /// Whether an operation only adds to what the last readings are made of.
    pub(crate) fn only_adds(&self, put: &Put) -> bool {
        match put.container {
            Container::LOG => self.ordinal(put.container, &put.key).is_none(),
            container => keeps_readings(container, &put.key),
        }
    }

    /// The line of the draft for a key.
    pub(crate) fn drafted_put(&self, container: Container, key: &str) -> Option<&Put> {
        self.ordinal(container, key)?;
        self.draft.puts().iter().find(|put| put.container == container && put.key == key)
    }

    /// The ordinal that the next new line gets.
    pub(crate) fn next_ordinal(&self) -> u64 {
        self.ordinals.values().max().map_or(0, |last| last + 1)
    }

    /// The ordinal of the line for a key, if the draft has one.
    pub(crate) fn ordinal(&self, container: Container, key: &str) -> Option<u64> {
        self.ordinals.get(&(container.0, key.to_owned())).copied()
    }

    /// Takes over what a commit has made durable.
    pub(crate) fn drafted(&mut self, put: Put, line: &DraftLine) {
        self.draft_started.get_or_insert(line.started_at);
        self.ordinals.insert((line.container, line.key.clone()), line.ordinal);
        self.draft.add(put);
    }

    /// Forgets a line that a commit has erased.
    pub(crate) fn erased(&mut self, container: Container, key: &str) {
        self.ordinals.remove(&(container.0, key.to_owned()));
        self.draft.erase(container, key);
        self.latest_drafted = None;
        if self.draft.is_empty() {
            self.draft_started = None;
        }
    }

    /// Whether the draft with these edits could be committed, by the checks that the commit makes.
    /// What is accepted here can never stand in the way of a later write.
    ///
    /// # Errors
    /// [`Error::BadInput`] for what no change may hold; [`Error::ReadOnly`].
    pub(crate) fn fits_draft(
        &self,
        puts: &[Put],
        erased: &[(Container, String)],
        now: i64,
    ) -> Result<Fits> {
        let mut draft = self.draft.clone();
        for (container, key) in erased {
            draft.erase(*container, key);
        }
        for put in puts {
            draft.add(put.clone());
        }
        if draft.is_empty() {
            return Ok(Fits::Now);
        }
        let time = self.draft_time().unwrap_or(now);
        let too_large = |error: &PrepareError| {
            matches!(error, PrepareError::Malformed(ChangeError::TooLarge(_)))
        };
        match self.record.check_draft(self.writer, time, draft.puts()) {
            Ok(()) => Ok(Fits::Now),
            // More than one change holds; but this edit alone may fit into the next one.
            Err(error) if too_large(&error) && !self.draft.is_empty() => {
                match self.record.check_draft(self.writer, time, puts) {
                    Err(error) if too_large(&error) => Err(error.into()),
                    _ => Ok(Fits::AfterCommit),
                }
            }
            Err(error) => Err(error.into()),
        }
    }

    /// The draft's stated time and operations, as a change can hold them.
    pub(crate) fn draft_to_commit(&self, now: i64) -> (i64, Vec<Put>) {
        (self.draft_time().unwrap_or(now), self.draft.puts().to_vec())
    }

    fn draft_time(&self) -> Option<i64> {
        self.draft_started.map(|started| started.clamp(limits::MIN_TIME, limits::MAX_TIME))
    }

    /// Forgets the draft, after it became a change.
    pub(crate) fn draft_committed(&mut self) {
        self.draft = Draft::new();
        self.latest_drafted = None;
        self.ordinals.clear();
        self.draft_started = None;
    }

    /// Everything in the record, the draft on top.
    pub(crate) fn state(&self, now: i64) -> State {
        let state = if self.draft.is_empty() {
            self.record.state().clone()
        } else {
            self.record.state().with_draft(self.draft.puts(), self.writer, now)
        };
        match self.as_of {
            Some(until) => self.until(state, until, now),
            None => state,
        }
    }

    /// A state in which all that is dated later counts as crossed out.
    fn until(&self, state: State, until: i64, now: i64) -> State {
        let later = state.entries().filter(|placed| placed.entry.at.unix_s > until);
        let crossed_out = |placed: &Placed| Put {
            container: Container::RETRACTED,
            key: placed.entry.id.to_string(),
            value: Vec::new(),
        };
        let crossed_out: Vec<Put> = later.map(crossed_out).collect();
        if crossed_out.is_empty() {
            state
        } else {
            state.with_draft(&crossed_out, self.writer, now)
        }
    }

    /// What the instrument is and what is wanted, the draft on top. The log is not read for it.
    pub(crate) fn registers(&self, now: i64) -> Cow<'_, Registers> {
        self.record.registers().with_draft(self.draft.puts(), self.writer, now)
    }

    /// How many changes stand so once this batch is durable.
    pub(crate) fn count_after(&self, batch: &Batch, standing: ChangeStanding) -> usize {
        let pending: Set<ChangeId> = self.pending.iter().map(|one| one.hash).in_set();
        let last: Map<ChangeId, ChangeStanding> =
            batch.moves.iter().map(|moved| (moved.hash, moved.standing)).in_map();
        let dropped: Set<ChangeId> = batch.dropped.iter().copied().in_set();
        let stays = self.pending.iter().filter(|one| !dropped.contains(&one.hash));
        let here = stays.map(|one| last.get(&one.hash).copied().unwrap_or(one.standing));
        // What was in the document and is not any more.
        let left = last.iter().filter(|(hash, _)| !pending.contains(*hash));
        let new = batch.changes.iter().map(|one| one.standing);
        let all = here.chain(left.map(|(_, standing)| *standing)).chain(new);
        all.filter(|one| *one == standing).count()
    }

    /// Takes over what a commit of a merge has made durable. `left` are changes with a line of their
    /// own that were in the document until now.
    pub(crate) fn filed(&mut self, batch: Batch, left: Vec<StoredChange>, generation: Generation) {
        self.generation = generation;
        // Where the snapshot went, what was in it has lines in the batch; what had lines keeps them.
        let record = &self.record;
        self.loose.retain(|id| record.contains(id));
        self.pending.retain(|one| !batch.dropped.contains(&one.hash));
        let mut moves: Map<ChangeId, Move> =
            batch.moves.into_iter().map(|moved| (moved.hash, moved)).in_map();
        self.pending.retain_mut(|one| {
            let Some(moved) = moves.remove(&one.hash) else { return true };
            if moved.standing == ChangeStanding::Admitted {
                self.loose.push(moved.hash);
                return false;
            }
            one.standing = moved.standing;
            one.reason = moved.reason;
            true
        });
        for change in batch.changes.into_iter().chain(left) {
            if change.standing == ChangeStanding::Admitted {
                self.loose.push(change.hash);
            } else {
                self.pending.push(StoredChange { bytes: Vec::new(), ..change });
            }
        }
        self.signatures.retain(|one| !batch.dropped.contains(&one.hash));
        self.signatures.extend(batch.signatures);
        self.signatures.put_in_order_by_key(|one| (one.writer, one.seq, one.hash));
        self.outgoing.extend(batch.outgoing.into_iter().filter_map(|edit| match edit {
            OutgoingEdit::Add(one) => Some(one),
            OutgoingEdit::Done(_) => None,
        }));
    }

    /// The changes whose signatures say what their authors had heard of removals by then: of each writer
    /// the last one before it heard of more. Without them unaware work would look aware, and be judged
    /// otherwise here than where they are kept.
    pub(crate) fn telling_signatures(&self) -> Vec<ChangeId> {
        let removals = self.members.removals();
        if removals.is_empty() {
            return Vec::new();
        }
        let heard = |one: &StoredSignature| {
            let proof = ChainProof::decode_kept(&one.bytes).ok()?;
            let heads = proof.member_heads;
            Some(removals.iter().map(|r| self.members.had_seen(&heads, &r.op)).collect::<Vec<_>>())
        };
        let next = self.signatures.iter().skip(1);
        let pairs = self.signatures.iter().zip(next);
        let telling =
            pairs.filter(|(one, next)| one.writer == next.writer && heard(one) != heard(next));
        telling.map(|(one, _)| one.hash).collect()
    }

    /// The changes beside the document, with their bytes: nothing is read where there are none.
    pub(crate) fn beside(&self, store: &dyn Store) -> Result<Vec<StoredChange>> {
        if self.pending.is_empty() {
            return Ok(Vec::new());
        }
        let mut changes = store.load(&self.id)?.changes;
        changes.retain(|one| one.standing != ChangeStanding::Admitted);
        Ok(changes)
    }

    /// This device's writer as the store keeps it.
    pub(crate) fn stored_writer(&self, incarnation: &Incarnation, next_entry: u64) -> StoredWriter {
        StoredWriter {
            writer: self.writer,
            incarnation: incarnation.as_bytes().to_vec(),
            next_entry,
        }
    }

    /// Whether this device has signed more than is here.
    pub(crate) fn lacks_own_work(&self) -> bool {
        let here = self.record.last_of(&self.writer).map_or(0, |(seq, _)| seq);
        self.signatures.iter().any(|one| one.writer == self.writer && one.seq > here)
    }

    /// What a device may do, as far as is known here.
    pub(crate) fn role(&self, identity: &Identity) -> Option<Role> {
        self.members.role(&identity.keys.device())
    }

    /// Why the record cannot be written, if so: [`Error::ReadOnly`].
    pub(crate) fn read_only(&self, identity: &Identity) -> Option<Error> {
        let (Access::ReadOnly { needs } | Access::Outdated { needs }) =
            self.record.access_with(self.draft.puts())
        else {
            return None;
        };
        let labels = self.writer_labels(identity);
        let who: Set<String> =
            self.record.ask_for_newer().iter().map(|writer| labels.label(writer)).in_set();
        let names = List::comma(who.iter().map(Phrase::written));
        let reason = sharing::version_asked(needs, names.into());
        Some(Error::ReadOnly { reason, asked_by: who.into_iter().collect() })
    }

    /// How many changes stand so.
    pub(crate) fn count(&self, standing: ChangeStanding) -> usize {
        self.pending.iter().filter(|change| change.standing == standing).count()
    }
}

/// The document of the last snapshot with the admitted changes beside it. Also the ids of those that
/// are in it, and the moves of those that cannot be any more.
fn replay(id: RecordId, kept: &Loaded) -> Result<(Record, Vec<ChangeId>, Vec<Move>)> {
    let mut record = match &kept.snapshot {
        Some(snapshot) => Record::load(id, &snapshot.bytes)?,
        None => Record::create(id),
    };
    let admitted = kept.changes.iter().filter(|change| change.standing == ChangeStanding::Admitted);
    let mut changes = Vec::new();
    let mut faults: Map<ChangeId, WhyAside> = Map::new();
    for stored in admitted.clone() {
        match VerifiedChange::kept(&id, stored.bytes.clone()) {
            Ok(change) => changes.push(change),
            Err(_) => drop(faults.insert(stored.hash, WhyAside::Rule)),
        }
    }
    let applied = record.apply(&changes);
    faults.extend(applied.refused.into_iter().map(|one| (one.id, WhyAside::from(&one.reason))));
    let mut inside = Vec::new();
    let mut moves = Vec::new();
    for stored in admitted {
        let (standing, reason) = match faults.remove(&stored.hash) {
            _ if record.contains(&stored.hash) => {
                inside.push(stored.hash);
                continue;
            }
            Some(fault) => (ChangeStanding::Quarantined, fault),
            None => (ChangeStanding::Waiting, WhyAside::Missing),
        };
        let reason = Some(reason.word().to_owned());
        moves.push(Move { hash: stored.hash, standing, reason });
    }
    Ok((record, inside, moves))
}

/// Verified changes that are not part of the document.
fn beside(kept: &Loaded, inside: &[ChangeId]) -> Vec<StoredChange> {
    let inside: Set<&ChangeId> = inside.iter().in_set();
    kept.changes.iter().filter(|change| !inside.contains(&change.hash)).cloned().collect()
}

/// The devices behind the writers of a record, by the names that they gave themselves.
pub(crate) struct WriterLabels {
    labels: Map<Writer, Label>,
}

struct Label {
    text: String,
    /// The label as one word, and whether no other writer has the same one.
    word: String,
    unique: bool,
}

impl WriterLabels {
    /// `has_written` are those that names have to be told apart from: all devices know these.
    fn of(labels: Map<Writer, String>, has_written: &Set<Writer>) -> Self {
        let word = |label: &str| -> String {
            let plain = label.chars().filter(|c| c.is_alphanumeric());
            let word: String = plain.map(|c| c.to_lowercase().next().unwrap_or(c)).collect();
            // A short name that began with a dash would be taken for an option.
            if word.is_empty() { "device".to_owned() } else { word }
        };
        let mut writers: Map<String, usize> = Map::new();
        for (_, label) in labels.iter().filter(|(writer, _)| has_written.contains(writer)) {
            *writers.entry(word(label)).or_default() += 1;
        }
        let with_word = |(writer, label): (Writer, String)| {
            let word = word(&label);
            let own = usize::from(has_written.contains(&writer));
            let unique = writers.get(&word).copied().unwrap_or_default() == own;
            (writer, Label { text: label, word, unique })
        };
        Self { labels: labels.into_iter().map(with_word).collect() }
    }

    /// Who wrote; a part of the writer's name if its device is not known here.
    pub(crate) fn label(&self, writer: &Writer) -> String {
        match self.labels.get(writer) {
            Some(own) => own.text.clone(),
            None => format!("writer {}", writer.to_string().get(..6).unwrap_or_default()),
        }
    }

    /// Who did it, by what is said in the entry, if that is said: with the device that says so where it
    /// could be taken for another one.
    pub(crate) fn who(&self, writer: &Writer, by: Option<&str>) -> String {
        let device = self.label(writer);
        let Some(by) = by else { return device };
        let theirs = self.labels.values().map(|label| &label.text);
        if theirs.filter(|label| **label != device).any(|label| look_alike(label, by)) {
            format!("{by} ({device})")
        } else {
            by.to_owned()
        }
    }

    /// A name for an entry that a person can type. Two writers behind one label are told apart by
    /// a part of their own names.
    pub(crate) fn short(&self, id: &EntryId) -> String {
        let digits = || -> String {
            let [first, second, ..] = id.writer.to_bytes();
            format!("{first:02x}{second:02x}")
        };
        match self.labels.get(&id.writer) {
            Some(own) if own.unique => format!("{}-{}", own.word, id.number),
            Some(own) => format!("{}{}-{}", own.word, digits(), id.number),
            None => format!("{}-{}", digits(), id.number),
        }
    }
}

impl LoadedRecord {
    /// The devices behind the writers.
    pub(crate) fn writer_labels(&self, identity: &Identity) -> WriterLabels {
        let device = identity.keys.device();
        let shown = self.members.labels(&device);
        let mut labels = Map::new();
        for signature in &self.signatures {
            if labels.contains_key(&signature.writer) {
                continue;
            }
            let Ok(proof) = ChainProof::decode_kept(&signature.bytes) else { continue };
            if let Some(label) = shown.get(&proof.device) {
                labels.insert(signature.writer, label.clone());
            }
        }
        let own = shown.get(&device).cloned().unwrap_or_else(|| identity.label.clone());
        labels.insert(self.writer, own);
        let mut has_written: Set<Writer> = self.record.writers().into_iter().in_set();
        if !self.draft.is_empty() {
            has_written.insert(self.writer);
        }
        WriterLabels::of(labels, &has_written)
    }

    /// A line of a draft that nobody has begun yet.
    pub(crate) fn new_line(put: &Put, ordinal: u64, started_at: i64) -> DraftLine {
        DraftLine {
            ordinal,
            container: put.container.0,
            key: put.key.clone(),
            value: put.value.clone(),
            entry: entry_of(put),
            started_at,
        }
    }
}

fn entry_of(put: &Put) -> Option<EntryRef> {
    if put.container != Container::LOG {
        return None;
    }
    let id: EntryId = put.key.parse().ok()?;
    Some(EntryRef { writer: id.writer, number: id.number })
}
