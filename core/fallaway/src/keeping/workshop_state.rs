//! What all handles share: the store, the device's identity, and the records in memory.

use std::sync::OnceLock;

use fallaway_advice::observe::facts_of;
use fallaway_changes::{BlobId, Container, Put, RecordId, VerifiedChange};
use fallaway_order::Map;
use fallaway_record::{
    Draft, EditError, Editor, Entry, EntryBody, EntryId, Moment, REMOVED, Record, Stated,
};
use fallaway_sharing::{Action, ChainProof, Role, Skip, Status};
use fallaway_store::{
    Batch, ChangeStanding, DraftEdit, Outgoing, OutgoingEdit, Snapshot, Store, StoreAccess,
    StoreError, StoredBlobPart, StoredChange, StoredSignature,
};

use fallaway_text::messages::errors as say;

use crate::error::{Error, NotFoundKind, Result};
use crate::keeping::callbacks::LogLevel;
use crate::keeping::environment::{Clock, Random, SecretKeeper};
use crate::keeping::journal::{self, Journal, Write};
use crate::keeping::loaded_record::{Fits, LoadedRecord};
use crate::keeping::projection;
use crate::keeping::secrets::{Identity, SEALED};
use crate::keeping::session::{Session, SessionGuard, SessionLock};
use crate::showing::card::{CardData, KeptLatest, Latest};

/// A draft older than this becomes a change with the next edit.
const DRAFT_SECONDS: i64 = 30 * 60;
/// So many changes outside the snapshot, and the one that makes them so many puts them into a new one.
const COMPACT_AFTER: usize = 64;
/// So many, and a merge does: it brings many at once, and the pause after it has more time.
pub(crate) const COMPACT_AFTER_MERGE: usize = 256;
/// So many, and a pause does, so that the next start reads little beside the snapshot.
const COMPACT_AT_PAUSE: usize = 16;
/// How often an edit is tried again after another process was faster.
const ATTEMPTS: usize = 200;

/// Shared by every handle of a workshop.
pub(crate) struct WorkshopState {
    pub store: Box<dyn Store>,
    pub keeper: Box<dyn SecretKeeper>,
    pub clock: Box<dyn Clock>,
    pub random: Box<dyn Random>,
    /// What is later than this, in seconds since 1970, counts for nothing in an answer; set at the opening.
    pub as_of: OnceLock<i64>,
    pub lock: SessionLock,
}

/// Edits of one call, collected before they are committed together.
pub(crate) struct Edit<'a> {
    pub loaded: &'a LoadedRecord,
    pub at: Moment,
    /// This device's role.
    pub role: Option<Role>,
    /// What this device is called.
    pub own_label: String,
    /// When the facts and targets of this call were set and by whom, where the caller said so.
    pub stated: Stated,
    /// Facts and targets get back what was stated of them, too.
    as_it_was: bool,
    edits: Edits,
}

/// What a call has collected.
struct Edits {
    puts: Vec<Put>,
    /// The draft with them.
    draft: Draft,
    /// The entries that are among them.
    entries: Vec<Entry>,
    erased: Vec<(Container, String)>,
    next_entry: u64,
    /// The journal as it is after the call, where the call itself takes something back.
    journal: Option<Journal>,
    /// Parts of photos that are among them, and photos that nothing names any more.
    photos: Vec<StoredBlobPart>,
    photos_dropped: Vec<BlobId>,
}

impl<'a> Edit<'a> {
    fn new(
        loaded: &'a LoadedRecord,
        at: Moment,
        (role, own_label): (Option<Role>, String),
    ) -> Self {
        let edits = Edits {
            puts: Vec::new(),
            draft: loaded.draft.clone(),
            entries: Vec::new(),
            erased: Vec::new(),
            next_entry: loaded.next_entry,
            journal: None,
            photos: Vec::new(),
            photos_dropped: Vec::new(),
        };
        let stated = Stated::default();
        Self { loaded, at, role, own_label, stated, as_it_was: false, edits }
    }
}

impl Edit<'_> {
    /// Adds an operation, and what is stated of it.
    ///
    /// # Errors
    /// Where what is stated has no room.
    pub(crate) fn put(&mut self, put: Put) -> Result<()> {
        let stated = self.stated_beside(&put)?;
        for put in [Some(put), stated].into_iter().flatten() {
            self.edits.draft.add(put.clone());
            self.edits.puts.push(put);
        }
        Ok(())
    }

    /// From here on what is stated of facts and targets is put as it was, operation by operation.
    pub(crate) fn as_it_was(&mut self) {
        self.as_it_was = true;
    }

    fn stated_beside(&self, put: &Put) -> Result<Option<Put>> {
        let own = put.container == Container::SETUPS && put.key.contains("/target/");
        if self.as_it_was
            || !matches!(put.container, Container::SPEC | Container::SETUPS)
            || own && put.value != REMOVED
        {
            return Ok(None);
        }
        let (container, key) = (put.container, put.key.as_str());
        let said = self.loaded.record.was_stated(container, key)
            || self.edits.draft.was_stated(container, key);
        if self.stated.is_empty() && !said {
            return Ok(None);
        }
        Ok(self.editor().state(container, key, &self.stated)?)
    }

    /// Erases a line of the draft.
    pub(crate) fn erase(&mut self, container: Container, key: String) {
        self.edits.erased.push((container, key));
    }

    /// Adds an entry to the log and returns its id.
    pub(crate) fn log_at(
        &mut self,
        at: Moment,
        body: EntryBody,
        by: Option<&str>,
        visit: Option<EntryId>,
    ) -> Result<EntryId> {
        let id = EntryId::new(self.loaded.writer, self.edits.next_entry);
        let mut entry = Entry::new(id, at, body);
        entry.by = by.map(str::to_owned);
        entry.visit = visit;
        // Entries of this same call are on top of the draft.
        let put = self.editor().log(&entry)?;
        self.put(put)?;
        self.edits.entries.push(entry);
        self.edits.next_entry += 1;
        Ok(id)
    }

    /// Adds an entry under the name that it has: it was a line of the draft, and was erased.
    pub(crate) fn log_as(&mut self, entry: &Entry) -> Result<EntryId> {
        let put = self.editor().log(entry)?;
        self.put(put)?;
        self.edits.entries.push(entry.clone());
        Ok(entry.id)
    }

    /// Keeps the parts of a photo, and those of others no more.
    pub(crate) fn keep_photo(&mut self, parts: Vec<StoredBlobPart>, dropped: Vec<BlobId>) {
        self.edits.photos.extend(parts);
        self.edits.photos_dropped.extend(dropped);
    }

    /// The call takes something back: this is the journal after it.
    pub(crate) fn keep_journal(&mut self, journal: Journal) {
        self.edits.journal = Some(journal);
    }

    /// The entries that this call has added so far.
    pub(crate) fn entries(&self) -> &[Entry] {
        &self.edits.entries
    }

    /// The draft with what this call has added so far.
    pub(crate) fn draft(&self) -> Draft {
        self.edits.draft.clone()
    }

    /// Makes operations on top of what this call has added so far.
    pub(crate) fn editor(&self) -> Editor<'_> {
        self.loaded.record.editor(self.loaded.writer, &self.edits.draft)
    }
}

impl WorkshopState {
    /// The session, if the workshop is open.
    pub(crate) fn session(&self) -> Result<SessionGuard<'_>> {
        let session = self.lock.enter()?;
        if session.closed { Err(Error::Closed) } else { Ok(session) }
    }

    /// Writes a line to the log, if there is one.
    pub(crate) fn log(&self, level: LogLevel, line: impl FnOnce() -> String) {
        self.lock.log.line(level, line);
    }

    /// Writes a defect to the log on its way to the caller.
    pub(crate) fn noting<T>(&self, result: Result<T>) -> Result<T> {
        if let Err(error @ Error::Internal { .. }) = &result {
            self.log(LogLevel::Failure, || error.to_string());
        }
        result
    }

    /// Runs `work` with the record in memory, read anew if another process has written.
    pub(crate) fn with_record<T>(
        &self,
        id: RecordId,
        work: impl FnOnce(&Identity, &mut LoadedRecord) -> Result<T>,
    ) -> Result<T> {
        let mut session = self.session()?;
        let session = &mut *session;
        self.noting(self.refresh(session, id))?;
        let loaded = session.records.get_mut(&id).ok_or_else(|| missing(id))?;
        self.noting(work(&session.identity, loaded))
    }

    /// Sees that the record in memory is what the store has.
    pub(crate) fn refresh(&self, session: &mut Session, id: RecordId) -> Result<()> {
        let current = self.store.generation(&id)?;
        if session.records.get(&id).is_some_and(|loaded| loaded.generation == current) {
            return Ok(());
        }
        if session.records.contains_key(&id) {
            // Another process has written.
            session.changed.insert(id);
        }
        session.identity.follow(self.store.as_ref(), self.keeper.as_ref())?;
        let mut loaded = LoadedRecord::load(self.store.as_ref(), id, &session.identity)?;
        if loaded.lacks_own_work() && self.store.access() == StoreAccess::ReadWrite {
            // Damage took own changes away. Their numbers were given, and must not be given again.
            session.identity.renew(
                self.store.as_ref(),
                self.keeper.as_ref(),
                self.random.as_ref(),
            )?;
            loaded = LoadedRecord::load(self.store.as_ref(), id, &session.identity)?;
        }
        loaded.as_of = self.as_of.get().copied();
        session.records.insert(id, loaded);
        self.rekey_draft(session, id)
    }

    /// Collects edits with `work` and makes them durable in one transaction. `work` runs again if
    /// another process was faster.
    pub(crate) fn edit<T>(
        &self,
        id: RecordId,
        work: impl FnMut(&mut Edit<'_>) -> Result<T>,
    ) -> Result<T> {
        self.noting(self.try_edit(id, false, work))
    }

    /// The same in a record that asks for a newer version: only what lifts that can be written.
    pub(crate) fn edit_despite_newer(
        &self,
        id: RecordId,
        work: impl FnMut(&mut Edit<'_>) -> Result<()>,
    ) -> Result<()> {
        self.noting(self.try_edit(id, true, work))
    }

    /// Collects edits with `work` and keeps none of them.
    pub(crate) fn rehearse<T>(
        &self,
        id: RecordId,
        work: impl FnOnce(&mut Edit<'_>) -> Result<T>,
    ) -> Result<T> {
        let at = self.clock.now();
        self.with_record(id, |identity, loaded| {
            if let Some(newer) = loaded.read_only(identity) {
                return Err(newer);
            }
            may_write(loaded, identity)?;
            work(&mut Edit::new(loaded, at, (loaded.role(identity), identity.label.clone())))
        })
    }

    fn try_edit<T>(
        &self,
        id: RecordId,
        despite_newer: bool,
        mut work: impl FnMut(&mut Edit<'_>) -> Result<T>,
    ) -> Result<T> {
        let at = self.clock.now();
        if Moment::new(at.unix_s, at.offset_min).is_none() {
            return Err(EditError::Time { unix_s: at.unix_s, offset_min: at.offset_min }.into());
        }
        let mut session = self.session()?;
        let session = &mut *session;
        for _ in 0..ATTEMPTS {
            self.refresh(session, id)?;
            let begun = session.records.get(&id).and_then(|loaded| loaded.draft_started);
            if begun.is_some_and(|begun| at.unix_s.saturating_sub(begun) > DRAFT_SECONDS) {
                match self.try_commit_draft(session, id, at.unix_s) {
                    Err(Error::Busy { .. }) => continue,
                    committed => committed?,
                }
            }
            let Session { identity, records, changed, .. } = &mut *session;
            let loaded = records.get_mut(&id).ok_or_else(|| missing(id))?;
            if !despite_newer && let Some(newer) = loaded.read_only(identity) {
                return Err(newer);
            }
            may_write(loaded, identity)?;
            let by = (loaded.role(identity), identity.label.clone());
            let mut edit = Edit::new(loaded, at, by);
            let result = work(&mut edit)?;
            let edits = edit.edits;
            if edits.puts.is_empty() && edits.erased.is_empty() && edits.journal.is_none() {
                return Ok(result);
            }
            if loaded.fits_draft(&edits.puts, &edits.erased, at.unix_s)? == Fits::AfterCommit {
                // The draft becomes a change first; then the edit is made anew on top of that.
                match self.try_commit_draft(session, id, at.unix_s) {
                    Err(Error::Busy { .. }) => continue,
                    committed => committed?,
                }
                continue;
            }
            match self.commit_edits(identity, loaded, edits, at) {
                Ok(()) => {
                    changed.insert(id);
                    return Ok(result);
                }
                Err(StoreError::Moved { .. }) => {
                    records.remove(&id);
                }
                Err(error) => {
                    records.remove(&id);
                    return Err(error.into());
                }
            }
        }
        Err(Error::busy(say::other_processes()))
    }

    fn commit_edits(
        &self,
        identity: &Identity,
        loaded: &mut LoadedRecord,
        edits: Edits,
        at: Moment,
    ) -> Result<(), StoreError> {
        let journal = self.journal_after(loaded, &edits, at);
        let Edits { puts, entries, erased, next_entry, photos, photos_dropped, .. } = edits;
        let mut batch = Batch { blobs: photos, blobs_dropped: photos_dropped, ..Batch::new() };
        batch.projections.push((projection::JOURNAL, Some(projection::encode(&journal))));
        for (container, key) in &erased {
            if let Some(ordinal) = loaded.ordinal(*container, key) {
                batch.draft.push(DraftEdit::Erase(ordinal));
            }
        }
        let first = loaded.next_ordinal();
        let lines: Vec<_> =
            (first..).zip(&puts).map(|(n, put)| loaded.draft_line(put, n, at.unix_s)).collect();
        batch.draft.extend(lines.iter().cloned().map(DraftEdit::Put));
        if next_entry != loaded.next_entry {
            batch.writers.push(loaded.stored_writer(&identity.incarnation, next_entry));
        }
        // The card and the list line as they will be. What only adds is taken in as it is.
        let adds = erased.is_empty() && puts.iter().all(|put| loaded.only_adds(put));
        let carried = adds.then(|| self.latest_with_draft(loaded, at.unix_s));
        let mut draft = loaded.draft.clone();
        for (container, key) in &erased {
            draft.erase(*container, key);
        }
        for put in &puts {
            draft.add(put.clone());
        }
        let before = std::mem::replace(&mut loaded.draft, draft);
        loaded.latest_drafted = carried.and_then(|mut latest| {
            let facts = facts_of(&loaded.registers(at.unix_s));
            entries.iter().all(|entry| latest.absorb(entry, &facts)).then_some(latest)
        });
        self.project(loaded, at, &mut batch);
        let latest_drafted = loaded.latest_drafted.take();
        loaded.draft = before;
        loaded.generation = self.store.commit(&loaded.id, loaded.generation, &batch)?;
        loaded.next_entry = next_entry;
        for (container, key) in &erased {
            loaded.erased(*container, key);
        }
        for (put, line) in puts.into_iter().zip(&lines) {
            loaded.drafted(put, line);
        }
        loaded.latest_drafted = latest_drafted.filter(|_| !loaded.draft.is_empty());
        Ok(())
    }

    /// The journal with what a call has written.
    fn journal_after(&self, loaded: &LoadedRecord, edits: &Edits, at: Moment) -> Journal {
        if let Some(journal) = &edits.journal {
            return journal.clone();
        }
        let registers = loaded.registers(at.unix_s);
        let step = |put: &Put| journal::written(&registers, put);
        let erased = edits.erased.iter().filter_map(|(container, key)| {
            let put = loaded.drafted_put(*container, key)?;
            Some(journal::erased(*container, key, &put.value))
        });
        let mut journal = self.journal(&loaded.id);
        journal.wrote(Write { at, steps: erased.chain(edits.puts.iter().map(step)).collect() });
        journal
    }

    /// What can be taken back; nothing where it cannot be read.
    pub(crate) fn journal(&self, id: &RecordId) -> Journal {
        let kept = self.store.projection(id, projection::JOURNAL).ok().flatten();
        kept.and_then(|bytes| projection::decode(&bytes)).unwrap_or_default()
    }

    /// The last readings in the document, without the draft: in memory, from the store, or read from
    /// the whole history.
    pub(crate) fn latest(&self, loaded: &mut LoadedRecord) -> Latest {
        if let Some(latest) = &loaded.latest {
            return latest.clone();
        }
        let latest = self.kept_latest(loaded).unwrap_or_else(|| {
            let state = loaded.record.state();
            Latest::of(state, state.entries())
        });
        loaded.latest = Some(latest.clone());
        latest
    }

    /// The same in memory or in the store; `None` if only the whole history could tell.
    pub(crate) fn kept_latest(&self, loaded: &LoadedRecord) -> Option<Latest> {
        if let Some(latest) = &loaded.latest {
            return Some(latest.clone());
        }
        let kept = self.store.projection(&loaded.id, projection::LATEST).ok().flatten();
        let kept: KeptLatest = kept.and_then(|bytes| projection::decode(&bytes))?;
        kept.matching(&loaded.record.heads())
    }

    /// Puts the projections of the record as it is in memory into the batch.
    pub(crate) fn project(&self, loaded: &mut LoadedRecord, at: Moment, batch: &mut Batch) {
        let card = self.card(loaded, at);
        batch.projections.push((projection::CARD, Some(projection::encode(&card))));
        self.project_line(loaded, at, batch);
    }

    /// Puts the line of the list into the batch. It needs no reading of the history.
    pub(crate) fn project_line(&self, loaded: &LoadedRecord, at: Moment, batch: &mut Batch) {
        let registers = loaded.registers(at.unix_s);
        let contested = registers.contested().count();
        let waiting = loaded.count_after(batch, ChangeStanding::Waiting);
        let aside = loaded.count_after(batch, ChangeStanding::Held)
            + loaded.count_after(batch, ChangeStanding::Quarantined);
        // A newcomer knows the name from its invitation, and the facts have not come.
        let name = registers.spec().name.clone().or_else(|| {
            let line = self.store.projection(&loaded.id, projection::LIST_LINE).ok().flatten()?;
            Some(projection::decode::<projection::ListLine>(&line)?.name)
        });
        let name = name.unwrap_or_default();
        let line = projection::ListLine { name, last: Some(at), contested, waiting, aside };
        batch.projections.push((projection::LIST_LINE, Some(projection::encode(&line))));
    }

    /// From here on answers are as of this time.
    pub(crate) fn answer_as_of(&self, at: Option<Moment>) {
        if let Some(at) = at {
            // It is said once, at the opening.
            let _ = self.as_of.set(at.unix_s);
        }
    }

    fn card(&self, loaded: &mut LoadedRecord, at: Moment) -> CardData {
        let latest = self.latest_with_draft(loaded, at.unix_s);
        CardData::of(&loaded.registers(at.unix_s), latest)
    }

    /// The numbers card where the store has none: a merge brought what came in between, or the line was
    /// damaged. It is kept for whoever asks next; where it cannot be, they read the history too.
    pub(crate) fn card_anew(&self, loaded: &mut LoadedRecord) -> CardData {
        let card = self.card(loaded, self.clock.now());
        let kept = loaded.latest.as_ref();
        let kept = kept.map(|latest| KeptLatest::of(latest, &loaded.record.heads()));
        let projections = vec![
            (projection::CARD, Some(projection::encode(&card))),
            (projection::LATEST, kept.as_ref().map(projection::encode)),
        ];
        let batch = Batch { projections, ..Batch::new() };
        if let Ok(generation) = self.store.commit(&loaded.id, loaded.generation, &batch) {
            loaded.generation = generation;
        }
        card
    }

    /// The last readings, the draft on top.
    pub(crate) fn latest_with_draft(&self, loaded: &mut LoadedRecord, now: i64) -> Latest {
        let mut latest = self.latest(loaded);
        if loaded.draft.is_empty() {
            return latest;
        }
        if let Some(latest) = &loaded.latest_drafted {
            return latest.clone();
        }
        let facts = facts_of(&loaded.registers(now));
        if !latest.absorb_puts(loaded.draft.puts(), &facts) {
            let state = loaded.state(now);
            latest = Latest::of(&state, state.entries());
        }
        loaded.latest_drafted = Some(latest.clone());
        latest
    }

    /// The last readings after operations that follow everything in the document, as far as that
    /// can be told without reading the whole history.
    pub(crate) fn latest_after<'a>(
        &self,
        loaded: &mut LoadedRecord,
        puts: impl IntoIterator<Item = &'a Put>,
    ) -> Option<Latest> {
        let mut latest = self.latest(loaded);
        let facts = facts_of(loaded.record.registers());
        latest.absorb_puts(puts, &facts).then_some(latest)
    }

    /// Makes the draft a change. Nothing happens if there is none.
    pub(crate) fn commit_draft(&self, session: &mut Session, id: RecordId) -> Result<()> {
        let now = self.clock.now().unix_s;
        for _ in 0..ATTEMPTS {
            self.refresh(session, id)?;
            match self.try_commit_draft(session, id, now) {
                Err(Error::Busy { .. }) => {}
                committed => return committed,
            }
        }
        Err(Error::busy(say::other_processes()))
    }

    /// One attempt; [`Error::Busy`] if another process was faster.
    fn try_commit_draft(&self, session: &mut Session, id: RecordId, now: i64) -> Result<()> {
        let Session { identity, records, .. } = session;
        let Some(loaded) = records.get_mut(&id) else { return Err(missing(id)) };
        if loaded.draft.is_empty() {
            return Ok(());
        }
        let (time, puts) = loaded.draft_to_commit(now);
        let prepared = loaded.record.prepare(loaded.writer, time, puts)?;
        let Some(last) = prepared.last() else { return Ok(()) };
        let heads = loaded.members.heads();
        // The signature over the last one proves those before it.
        let proof =
            ChainProof::sign(&identity.keys, id, identity.incarnation, last.seq, last.id(), &heads);
        let signature = StoredSignature {
            writer: loaded.writer,
            seq: last.seq,
            hash: last.id(),
            bytes: proof.encode(),
        };
        let ids: Vec<_> = prepared.iter().map(VerifiedChange::id).collect();
        let carried = loaded.latest_drafted.clone();
        let latest = carried.or_else(|| self.latest_after(loaded, &last.ops));
        let kept = latest.as_ref().map(|latest| KeptLatest::of(latest, &[last.id()]));
        let changes = prepared.iter().map(|change| StoredChange {
            hash: change.id(),
            writer: change.writer,
            seq: change.seq,
            deps: change.deps.clone(),
            standing: ChangeStanding::Admitted,
            reason: None,
            bytes: change.bytes().to_vec(),
        });
        let outgoing = ids.iter().map(|id| OutgoingEdit::Add(Outgoing::Change(*id)));
        let batch = Batch {
            projections: vec![(projection::LATEST, kept.as_ref().map(projection::encode))],
            changes: changes.collect(),
            signatures: vec![signature.clone()],
            draft: vec![DraftEdit::Clear],
            outgoing: outgoing.collect(),
            counters: vec![SEALED],
            ..Batch::new()
        };
        match self.store.commit(&id, loaded.generation, &batch) {
            Ok(generation) => loaded.generation = generation,
            Err(StoreError::Moved { .. }) => {
                records.remove(&id);
                return Err(Error::busy(say::record_moved()));
            }
            Err(error) => {
                records.remove(&id);
                return Err(error.into());
            }
        }
        if loaded.record.apply(&prepared).admitted != ids {
            // Durable, but not in memory: read it anew with the next call.
            records.remove(&id);
            return Ok(());
        }
        loaded.draft_committed();
        loaded.latest = latest;
        loaded.signatures.push(signature);
        loaded.outgoing.extend(ids.iter().map(|id| Outgoing::Change(*id)));
        loaded.loose.extend(ids);
        self.compact_if(loaded, COMPACT_AFTER)
    }

    /// Makes the draft of every record in the store a change.
    pub(crate) fn commit_all_drafts(&self, session: &mut Session) -> Result<()> {
        if self.store.access() != StoreAccess::ReadWrite {
            return Ok(());
        }
        for head in self.store.records()? {
            if !self.store.draft(&head.record)?.is_empty() {
                self.commit_draft(session, head.record)?;
            }
        }
        for loaded in session.records.values_mut() {
            self.compact_if(loaded, COMPACT_AT_PAUSE)?;
        }
        Identity::note_sealed(self.store.as_ref(), self.keeper.as_ref())
    }

    /// Writes the projections of a record anew.
    pub(crate) fn rebuild_projections(&self, id: RecordId) -> Result<()> {
        let at = self.clock.now();
        let mut session = self.session()?;
        for _ in 0..ATTEMPTS {
            self.refresh(&mut session, id)?;
            let loaded = session.records.get_mut(&id).ok_or_else(|| missing(id))?;
            let mut batch = Batch::new();
            self.project(loaded, at, &mut batch);
            match self.store.commit(&id, loaded.generation, &batch) {
                Ok(generation) => {
                    loaded.generation = generation;
                    return Ok(());
                }
                Err(StoreError::Moved { .. }) => {}
                Err(error) => return Err(error.into()),
            }
        }
        Err(Error::busy(say::other_processes()))
    }

    /// Compacts if so many changes lie beside the snapshot.
    pub(crate) fn compact_if(&self, loaded: &mut LoadedRecord, many: usize) -> Result<()> {
        if loaded.loose.len() >= many { self.compact(loaded) } else { Ok(()) }
    }

    /// Puts the changes that lie beside the snapshot into a new one.
    pub(crate) fn compact(&self, loaded: &mut LoadedRecord) -> Result<()> {
        if loaded.loose.is_empty() || self.store.access() != StoreAccess::ReadWrite {
            return Ok(());
        }
        let record = &mut loaded.record;
        let snapshot = Snapshot {
            bytes: record.save(),
            heads: record.heads(),
            changes: record.change_count() as u64,
        };
        let id = loaded.id;
        // The newest ids cover everything before them: with these it holds what was put in.
        let check = |read: &[u8]| match Record::load(id, read) {
            Ok(read) if read.heads() == snapshot.heads => Ok(()),
            Ok(_) => Err("it holds other changes".to_owned()),
            Err(error) => Err(error.to_string()),
        };
        let signed = loaded.telling_signatures();
        let (loose, generation) = (&loaded.loose, loaded.generation);
        match self.store.compact(&id, generation, &snapshot, loose, &signed, &check) {
            Ok(generation) => {
                loaded.generation = generation;
                loaded.loose.clear();
                // Fewer signatures are left, so that history leaves in larger pieces.
                loaded.signatures = self.store.load(&id)?.signatures;
                Ok(())
            }
            // The changes stay beside the snapshot that is there.
            Err(StoreError::CheckFailed { reason }) => {
                self.log(LogLevel::Failure, || format!("a snapshot is not read back: {reason}"));
                Ok(())
            }
            // Somebody else wrote; compaction can wait.
            Err(StoreError::Moved { .. }) => Ok(()),
            Err(error) => Err(error.into()),
        }
    }

    /// A new incarnation writes under a new name: lines of the draft that an earlier one wrote are
    /// renamed, so that they are not lost.
    pub(crate) fn rekey_draft(&self, session: &mut Session, id: RecordId) -> Result<()> {
        let Session { identity, records, .. } = session;
        let Some(loaded) = records.get_mut(&id) else { return Ok(()) };
        let stale = |put: &Put| {
            put.container == Container::LOG
                && put.key.parse::<EntryId>().is_ok_and(|entry| entry.writer != loaded.writer)
        };
        if !loaded.draft.puts().iter().any(stale) || self.store.access() != StoreAccess::ReadWrite {
            return Ok(());
        }
        let mut names: Map<EntryId, EntryId> = Map::new();
        let mut next_entry = loaded.next_entry;
        for put in loaded.draft.puts().iter().filter(|put| stale(put)) {
            if let Ok(old) = put.key.parse::<EntryId>() {
                names.insert(old, EntryId::new(loaded.writer, next_entry));
                next_entry += 1;
            }
        }
        let mut batch = Batch { draft: vec![DraftEdit::Clear], ..Batch::new() };
        let started = loaded.draft_started.unwrap_or_else(|| self.clock.now().unix_s);
        let mut renamed = Vec::new();
        for put in loaded.draft.puts() {
            renamed.push(renamed_put(put, &names, false)?);
        }
        loaded.draft_committed();
        for (ordinal, put) in (0..).zip(&renamed) {
            batch.draft.push(DraftEdit::Put(loaded.draft_line(put, ordinal, started)));
        }
        batch.writers.push(loaded.stored_writer(&identity.incarnation, next_entry));
        self.store.commit(&id, loaded.generation, &batch)?;
        let loaded = LoadedRecord::load(self.store.as_ref(), id, identity)?;
        records.insert(id, loaded);
        Ok(())
    }
}

/// An operation under the names of the new writer. With `again` an entry names the one that it says
/// again.
pub(crate) fn renamed_put(put: &Put, names: &Map<EntryId, EntryId>, again: bool) -> Result<Put> {
    let defect = |e: &dyn std::fmt::Display| Error::internal("draft of an earlier writer", e);
    let old: EntryId = match put.key.parse() {
        Ok(old) if put.container.is_append_only() => old,
        _ => return Ok(put.clone()),
    };
    let Some(new) = names.get(&old) else { return Ok(put.clone()) };
    if put.container == Container::RETRACTED {
        return Ok(Put { key: new.to_string(), ..put.clone() });
    }
    let mut entry = Entry::decode(old, &put.value).map_err(|e| defect(&e))?;
    entry.id = *new;
    if again {
        entry.again.get_or_insert(old);
    }
    rename_within(&mut entry, |id| names.get(&id).copied().unwrap_or(id));
    let value = entry.encode().map_err(|e| defect(&e))?;
    Ok(Put { key: new.to_string(), value, ..put.clone() })
}

/// Gives other names to the entries that an entry names.
pub(crate) fn rename_within(entry: &mut Entry, rename: impl Fn(EntryId) -> EntryId) {
    entry.visit = entry.visit.map(&rename);
    match &mut entry.body {
        EntryBody::Remark(remark) => {
            remark.replaces = remark.replaces.map(&rename);
            remark.about = remark.about.map(&rename);
        }
        EntryBody::Photo(photo) => photo.about = photo.about.map(&rename),
        _ => {}
    }
}

pub(crate) fn missing(id: RecordId) -> Error {
    Error::not_found(NotFoundKind::Instrument, id.to_string())
}

/// Whether this device's role lets it write the record, and why not.
fn may_write(loaded: &LoadedRecord, identity: &Identity) -> Result<()> {
    match loaded.role(identity) {
        Some(Role::Owner | Role::Contributor) => Ok(()),
        Some(Role::Viewer) => Err(Error::not_allowed(say::viewer())),
        None if loaded.members.was_member(&identity.keys.device()) => {
            Err(Error::not_allowed(say::removed()))
        }
        None => Err(Error::not_allowed(match own_join(loaded, identity) {
            Some(Skip::Used(_)) => say::invitation_used(),
            Some(Skip::Withdrawn(_)) => say::invitation_withdrawn(),
            _ => say::people_missing(),
        })),
    }
}

/// Why this device's join does not count, if it does not.
pub(crate) fn own_join<'a>(loaded: &'a LoadedRecord, identity: &Identity) -> Option<&'a Skip> {
    let own = identity.keys.device();
    let mine = loaded.members.ops().filter(|op| *op.device() == own);
    let mut joins = mine.filter(|op| matches!(op.action(), Action::Join { .. }));
    joins.find_map(|op| match loaded.members.status(&op.hash()) {
        Some(Status::Skipped(skip)) => Some(skip),
        _ => None,
    })
}
