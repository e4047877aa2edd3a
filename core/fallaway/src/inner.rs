//! What all handles share: the store, the device's identity, and the records in memory.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Mutex;
use std::thread::ThreadId;

use fallaway_advice::from_record::facts_of;
use fallaway_changes::{Container, Put, RecordId};
use fallaway_record::{Body, Draft, Entry, EntryId, Moment};
use fallaway_sharing::{ChainProof, Role};
use fallaway_store::{
    Access, Batch, ContestedEdit, ContestedKey, DraftEdit, Outgoing, OutgoingEdit, Snapshot,
    Standing, Store, StoreError, StoredChange, StoredSignature,
};

use crate::book::Book;
use crate::card::{CardData, KeptLatest, Latest};
use crate::environment::{Clock, Random, SecretKeeper};
use crate::error::{Error, Result};
use crate::listening::{AtDesk, Listeners, LogSink};
use crate::projection;
use crate::secrets::Identity;

/// A draft older than this becomes a change with the next edit.
const DRAFT_SECONDS: i64 = 30 * 60;
/// So many changes outside the snapshot, and they are put into a new one.
const COMPACT_AFTER: usize = 64;
/// How often an edit is tried again after another process was faster.
const ATTEMPTS: usize = 200;

/// Shared by every handle of a workshop.
pub(crate) struct Inner {
    pub store: Box<dyn Store>,
    pub label: String,
    pub keeper: Box<dyn SecretKeeper>,
    pub clock: Box<dyn Clock>,
    pub random: Box<dyn Random>,
    pub desk: Mutex<Desk>,
    /// The thread that works at the desk.
    pub holder: Mutex<Option<ThreadId>>,
    pub listeners: Mutex<Listeners>,
    pub log: Option<Box<dyn LogSink>>,
    /// Where merges of several processes take turns; `None` for a store in memory.
    pub merge_lock: Option<std::path::PathBuf>,
}

/// What is open on the desk.
pub(crate) struct Desk {
    pub identity: Identity,
    pub books: BTreeMap<RecordId, Book>,
    pub notices: Vec<String>,
    pub closed: bool,
    /// What listeners have to be told when the desk is free.
    pub changed: BTreeSet<RecordId>,
}

/// Edits of one call, collected before they are committed together.
pub(crate) struct Edit<'a> {
    pub book: &'a Book,
    pub at: Moment,
    puts: Vec<Put>,
    erased: Vec<(Container, String)>,
    next_entry: u64,
}

impl Edit<'_> {
    /// Adds an operation.
    pub fn put(&mut self, put: Put) {
        self.puts.push(put);
    }

    /// Erases a line of the draft.
    pub fn erase(&mut self, container: Container, key: String) {
        self.erased.push((container, key));
    }

    /// Adds an entry to the log and returns its id.
    pub fn log(&mut self, body: Body, by: Option<&str>, visit: Option<EntryId>) -> Result<EntryId> {
        let id = EntryId::new(self.book.writer, self.next_entry);
        let mut entry = Entry::new(id, self.at, body);
        entry.by = by.map(str::to_owned);
        entry.visit = visit;
        // Entries of this same call are on top of the draft.
        let mut draft = self.book.draft.clone();
        self.puts.iter().for_each(|put| draft.add(put.clone()));
        let put = self.book.record.editor(self.book.writer, &draft).log(&entry)?;
        self.puts.push(put);
        self.next_entry += 1;
        Ok(id)
    }

    /// The draft with what this call has added so far.
    pub fn draft(&self) -> Draft {
        let mut draft = self.book.draft.clone();
        self.puts.iter().for_each(|put| draft.add(put.clone()));
        draft
    }
}

impl Inner {
    /// The desk, if the workshop is open.
    pub fn desk(&self) -> Result<AtDesk<'_>> {
        let desk = AtDesk::take(self)?;
        if desk.closed { Err(Error::Closed) } else { Ok(desk) }
    }

    /// Runs `work` with the record in memory, read anew if another process has written.
    pub fn with_book<T>(
        &self,
        id: RecordId,
        work: impl FnOnce(&Identity, &mut Book) -> Result<T>,
    ) -> Result<T> {
        let mut desk = self.desk()?;
        let desk = &mut *desk;
        self.noting(self.refresh(desk, id))?;
        let book = desk.books.get_mut(&id).ok_or_else(|| missing(id))?;
        self.noting(work(&desk.identity, book))
    }

    /// Sees that the record in memory is what the store has.
    pub fn refresh(&self, desk: &mut Desk, id: RecordId) -> Result<()> {
        let current = self.store.generation(&id)?;
        if desk.books.get(&id).is_some_and(|book| book.generation == current) {
            return Ok(());
        }
        if desk.books.contains_key(&id) {
            // Another process has written.
            desk.changed.insert(id);
        }
        desk.identity.follow(self.store.as_ref(), self.keeper.as_ref())?;
        let mut book = Book::load(self.store.as_ref(), id, &desk.identity)?;
        if book.lacks_own_work() && self.store.access() == Access::ReadWrite {
            // Damage took own changes away. Their numbers were given, and must not be given again.
            desk.identity.renew(self.store.as_ref(), self.keeper.as_ref(), self.random.as_ref())?;
            book = Book::load(self.store.as_ref(), id, &desk.identity)?;
        }
        desk.books.insert(id, book);
        self.rekey_draft(desk, id)
    }

    /// Collects edits with `work` and makes them durable in one transaction. `work` runs again if
    /// another process was faster.
    pub fn edit<T>(&self, id: RecordId, work: impl FnMut(&mut Edit<'_>) -> Result<T>) -> Result<T> {
        self.noting(self.try_edit(id, work))
    }

    fn try_edit<T>(
        &self,
        id: RecordId,
        mut work: impl FnMut(&mut Edit<'_>) -> Result<T>,
    ) -> Result<T> {
        let at = self.clock.now();
        let mut desk = self.desk()?;
        let desk = &mut *desk;
        for _ in 0..ATTEMPTS {
            self.refresh(desk, id)?;
            let begun = desk.books.get(&id).and_then(|book| book.draft_started);
            if begun.is_some_and(|begun| at.unix_s.saturating_sub(begun) > DRAFT_SECONDS) {
                match self.seal_once(desk, id, at.unix_s) {
                    Err(Error::Busy { .. }) => continue,
                    sealed => sealed?,
                }
            }
            let Desk { identity, books, changed, .. } = &mut *desk;
            let book = books.get_mut(&id).ok_or_else(|| missing(id))?;
            may_write(book, identity)?;
            let mut edit = Edit {
                book,
                at,
                puts: Vec::new(),
                erased: Vec::new(),
                next_entry: book.next_entry,
            };
            let result = work(&mut edit)?;
            let Edit { puts, erased, next_entry, .. } = edit;
            if puts.is_empty() && erased.is_empty() {
                return Ok(result);
            }
            match self.commit_draft(identity, book, puts, &erased, next_entry, at) {
                Ok(()) => {
                    changed.insert(id);
                    return Ok(result);
                }
                Err(StoreError::Moved { .. }) => {
                    books.remove(&id);
                }
                Err(error) => {
                    books.remove(&id);
                    return Err(error.into());
                }
            }
        }
        Err(Error::Busy { reason: "other processes keep writing this record".to_owned() })
    }

    fn commit_draft(
        &self,
        identity: &Identity,
        book: &mut Book,
        puts: Vec<Put>,
        erased: &[(Container, String)],
        next_entry: u64,
        at: Moment,
    ) -> Result<(), StoreError> {
        let mut batch = Batch::new();
        for (container, key) in erased {
            if let Some(ordinal) = book.ordinal(*container, key) {
                batch.draft.push(DraftEdit::Erase(ordinal));
            }
        }
        let first = book.next_ordinal();
        let lines: Vec<_> =
            (first..).zip(&puts).map(|(n, put)| book.draft_line(put, n, at.unix_s)).collect();
        batch.draft.extend(lines.iter().cloned().map(DraftEdit::Put));
        if next_entry != book.next_entry {
            batch.writers.push(book.stored_writer(&identity.incarnation, next_entry));
        }
        // The card and the list line as they will be.
        let mut draft = book.draft.clone();
        for (container, key) in erased {
            draft.erase(*container, key);
        }
        for put in &puts {
            draft.add(put.clone());
        }
        let before = std::mem::replace(&mut book.draft, draft);
        self.project(book, at, &mut batch);
        book.draft = before;
        book.generation = self.store.commit(&book.id, book.generation, &batch)?;
        book.next_entry = next_entry;
        for (container, key) in erased {
            book.erased(*container, key);
        }
        for (put, line) in puts.into_iter().zip(&lines) {
            book.drafted(put, line);
        }
        Ok(())
    }

    /// The last readings in the document, without the draft: in memory, from the store, or read from
    /// the whole history.
    pub fn latest(&self, book: &mut Book) -> Latest {
        if let Some(latest) = &book.latest {
            return latest.clone();
        }
        let heads = book.record.heads();
        let kept = self.store.projection(&book.id, projection::LATEST).ok().flatten();
        let kept = kept.and_then(|bytes| projection::decode::<KeptLatest>(&bytes));
        let latest = kept.and_then(|kept| kept.matching(&heads)).unwrap_or_else(|| {
            let state = book.record.state();
            Latest::of(state, state.entries())
        });
        book.latest = Some(latest.clone());
        latest
    }

    /// Puts the projections of the record as it is in memory into the batch.
    pub fn project(&self, book: &mut Book, at: Moment, batch: &mut Batch) {
        let mut latest = self.latest(book);
        let registers = book.registers(at.unix_s);
        if !latest.absorb_puts(book.draft.puts(), &facts_of(&registers)) {
            let state = book.state(at.unix_s);
            latest = Latest::of(&state, state.entries());
        }
        let contested = registers.contested().count();
        let waiting = book.waiting_after(batch);
        let name = registers.spec().name.clone().unwrap_or_default();
        let line = projection::ListLine { name, last: Some(at), contested, waiting };
        let card = CardData::of(&registers, latest);
        batch.projections.push((projection::LIST_LINE, Some(projection::encode(&line))));
        batch.projections.push((projection::CARD, Some(projection::encode(&card))));
        batch.contested.push(ContestedEdit::Clear);
        for (container, key, _) in registers.contested() {
            let key = ContestedKey { container: container.0, key: key.to_owned() };
            batch.contested.push(ContestedEdit::Add(key));
        }
    }

    /// The last readings after operations that follow everything in the document, as far as that
    /// can be told without reading the whole history.
    pub fn latest_after<'a>(
        &self,
        book: &mut Book,
        puts: impl IntoIterator<Item = &'a Put>,
    ) -> Option<Latest> {
        let mut latest = self.latest(book);
        let facts = facts_of(book.record.registers());
        latest.absorb_puts(puts, &facts).then_some(latest)
    }

    /// Makes the draft a change. Nothing happens if there is none.
    pub fn seal(&self, desk: &mut Desk, id: RecordId) -> Result<()> {
        let now = self.clock.now().unix_s;
        for _ in 0..ATTEMPTS {
            self.refresh(desk, id)?;
            match self.seal_once(desk, id, now) {
                Err(Error::Busy { .. }) => {}
                sealed => return sealed,
            }
        }
        Err(Error::Busy { reason: "other processes keep writing this record".to_owned() })
    }

    /// One attempt; [`Error::Busy`] if another process was faster.
    fn seal_once(&self, desk: &mut Desk, id: RecordId, now: i64) -> Result<()> {
        let Desk { identity, books, .. } = desk;
        let Some(book) = books.get_mut(&id) else { return Err(missing(id)) };
        if book.draft.is_empty() {
            return Ok(());
        }
        let time = book.draft_started.unwrap_or(now);
        let prepared = book.record.prepare(book.writer, time, book.draft.puts().to_vec())?;
        let heads = book.members.heads();
        let proof = ChainProof::sign(
            &identity.keys,
            id,
            identity.incarnation,
            prepared.change.seq,
            prepared.hash,
            &heads,
        );
        let signature = StoredSignature {
            writer: book.writer,
            seq: prepared.change.seq,
            hash: prepared.hash,
            bytes: proof.encode(),
        };
        let latest = self.latest_after(book, &prepared.change.ops);
        let kept = latest.as_ref().map(|latest| KeptLatest::of(latest, &[prepared.hash]));
        let batch = Batch {
            projections: vec![(projection::LATEST, kept.as_ref().map(projection::encode))],
            changes: vec![StoredChange {
                hash: prepared.hash,
                writer: book.writer,
                seq: prepared.change.seq,
                deps: prepared.change.deps.clone(),
                standing: Standing::Admitted,
                reason: None,
                bytes: prepared.change.encode(),
            }],
            signatures: vec![signature.clone()],
            draft: vec![DraftEdit::Clear],
            outgoing: vec![OutgoingEdit::Add(Outgoing::Change(prepared.hash))],
            ..Batch::new()
        };
        let count = Identity::will_seal(self.store.as_ref())?;
        match self.store.commit(&id, book.generation, &batch) {
            Ok(generation) => book.generation = generation,
            Err(StoreError::Moved { current }) => {
                books.remove(&id);
                return Err(Error::Busy { reason: format!("the record moved to {current}") });
            }
            Err(error) => {
                books.remove(&id);
                return Err(error.into());
            }
        }
        Identity::has_sealed(self.keeper.as_ref(), count)?;
        let applied = book.record.replay(std::slice::from_ref(&prepared.change));
        if !applied.is_ok_and(|applied| applied.admitted == [prepared.hash]) {
            // Durable, but not in memory: read it anew with the next call.
            books.remove(&id);
            return Ok(());
        }
        book.draft_sealed();
        book.latest = latest;
        book.signatures.push(signature);
        book.outgoing.push(Outgoing::Change(prepared.hash));
        book.loose.push(prepared.hash);
        self.compact_if_due(book)
    }

    /// Seals the draft of every record in the store.
    pub fn seal_all(&self, desk: &mut Desk) -> Result<()> {
        if self.store.access() != Access::ReadWrite {
            return Ok(());
        }
        for head in self.store.records()? {
            if !self.store.draft(&head.record)?.is_empty() {
                self.seal(desk, head.record)?;
            }
        }
        Ok(())
    }

    /// Writes the projections of a record anew.
    pub fn rebuild_projections(&self, id: RecordId) -> Result<()> {
        let at = self.clock.now();
        let mut desk = self.desk()?;
        for _ in 0..ATTEMPTS {
            self.refresh(&mut desk, id)?;
            let book = desk.books.get_mut(&id).ok_or_else(|| missing(id))?;
            let mut batch = Batch::new();
            self.project(book, at, &mut batch);
            match self.store.commit(&id, book.generation, &batch) {
                Ok(generation) => {
                    book.generation = generation;
                    return Ok(());
                }
                Err(StoreError::Moved { .. }) => {}
                Err(error) => return Err(error.into()),
            }
        }
        Err(Error::Busy { reason: "other processes keep writing this record".to_owned() })
    }

    /// Compacts if enough changes lie beside the snapshot.
    pub fn compact_if_due(&self, book: &mut Book) -> Result<()> {
        if book.loose.len() >= COMPACT_AFTER { self.compact(book) } else { Ok(()) }
    }

    /// Puts the changes that lie beside the snapshot into a new one.
    pub fn compact(&self, book: &mut Book) -> Result<()> {
        if book.loose.is_empty() || self.store.access() != Access::ReadWrite {
            return Ok(());
        }
        let bytes = book.record.save();
        let heads = book.record.heads();
        let changes = book.record.change_count();
        let snapshot = Snapshot { bytes, heads: heads.clone(), changes: changes as u64 };
        let id = book.id;
        let check = |read: &[u8]| {
            let again = fallaway_record::Record::load(id, read).map_err(|e| e.to_string())?;
            if again.heads() == heads && again.change_count() == changes {
                Ok(())
            } else {
                Err("the snapshot that was read back differs".to_owned())
            }
        };
        match self.store.compact(&id, book.generation, &snapshot, &book.loose, &check) {
            Ok(generation) => {
                book.generation = generation;
                book.loose.clear();
                // Fewer signatures are left, so that history leaves in larger pieces.
                book.signatures = self.store.load(&id)?.signatures;
                Ok(())
            }
            // Somebody else wrote; compaction can wait.
            Err(StoreError::Moved { .. }) => Ok(()),
            Err(error) => Err(error.into()),
        }
    }

    /// A new incarnation writes under a new name: lines of the draft that an earlier one wrote are
    /// renamed, so that they are not lost.
    pub fn rekey_draft(&self, desk: &mut Desk, id: RecordId) -> Result<()> {
        let Desk { identity, books, .. } = desk;
        let Some(book) = books.get_mut(&id) else { return Ok(()) };
        let stale = |put: &Put| {
            put.container == Container::LOG
                && put.key.parse::<EntryId>().is_ok_and(|entry| entry.writer != book.writer)
        };
        if !book.draft.puts().iter().any(stale) || self.store.access() != Access::ReadWrite {
            return Ok(());
        }
        let mut names: BTreeMap<EntryId, EntryId> = BTreeMap::new();
        let mut next_entry = book.next_entry;
        for put in book.draft.puts().iter().filter(|put| stale(put)) {
            if let Ok(old) = put.key.parse::<EntryId>() {
                names.insert(old, EntryId::new(book.writer, next_entry));
                next_entry += 1;
            }
        }
        let mut batch = Batch { draft: vec![DraftEdit::Clear], ..Batch::new() };
        let started = book.draft_started.unwrap_or_else(|| self.clock.now().unix_s);
        let mut renamed = Vec::new();
        for put in book.draft.puts() {
            renamed.push(renamed_put(put, &names)?);
        }
        book.draft_sealed();
        for (ordinal, put) in (0..).zip(&renamed) {
            batch.draft.push(DraftEdit::Put(book.draft_line(put, ordinal, started)));
        }
        batch.writers.push(book.stored_writer(&identity.incarnation, next_entry));
        self.store.commit(&id, book.generation, &batch)?;
        let book = Book::load(self.store.as_ref(), id, identity)?;
        books.insert(id, book);
        Ok(())
    }
}

/// A draft line under the names of the new writer.
fn renamed_put(put: &Put, names: &BTreeMap<EntryId, EntryId>) -> Result<Put> {
    let defect = |e: &dyn std::fmt::Display| Error::internal("draft of an earlier writer", e);
    let old: EntryId = match put.key.parse() {
        Ok(old) if put.container == Container::LOG => old,
        _ => return Ok(put.clone()),
    };
    let Some(new) = names.get(&old) else { return Ok(put.clone()) };
    let mut entry = Entry::decode(old, &put.value).map_err(|e| defect(&e))?;
    entry.id = *new;
    entry.visit = entry.visit.map(|visit| names.get(&visit).copied().unwrap_or(visit));
    if let Body::Remark(remark) = &mut entry.body {
        let rename = |id: EntryId| names.get(&id).copied().unwrap_or(id);
        remark.replaces = remark.replaces.map(rename);
        remark.about = remark.about.map(rename);
    }
    let value = entry.encode().map_err(|e| defect(&e))?;
    Ok(Put { key: new.to_string(), value, ..put.clone() })
}

pub(crate) fn missing(id: RecordId) -> Error {
    Error::not_found("instrument", id.to_string())
}

/// Whether this device may write the record, and why not.
fn may_write(book: &Book, identity: &Identity) -> Result<()> {
    if let Some(reason) = book.read_only() {
        return Err(Error::ReadOnly { reason });
    }
    match book.role(identity) {
        Some(Role::Owner | Role::Contributor) => Ok(()),
        Some(Role::Viewer) => Err(Error::NotAllowed {
            reason: "this device was invited as a viewer; an owner can invite it as a contributor"
                .to_owned(),
        }),
        None => Err(Error::NotAllowed {
            reason: "the record's people have not arrived on this device; bring a bundle in first"
                .to_owned(),
        }),
    }
}
