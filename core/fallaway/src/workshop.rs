//! The workshop: all instruments that this device keeps, in one folder.

use std::fs::File;
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

use fallaway_changes::{Put, RecordId};
use fallaway_order::{OneByOne as _, PutInOrder as _, Set};
use fallaway_record::{Draft, Moment, Record, SpecField};
use fallaway_sharing::{DeviceKeys, EpochKey, MemberOp, Members};
use fallaway_store::{
    Batch, ChangeStanding, DraftEdit, Garbage, MemoryStore, Outgoing, OutgoingEdit, Projections,
    SqliteStore, Store, StoredEpochKey, StoredMemberOp,
};

use fallaway_text::errors::Accepted;
use fallaway_text::messages::errors as say;
use fallaway_text::{List, Phrase};

use crate::by_name::by_name;
use crate::error::{Error, NotFoundKind, Result, field, near};
use crate::instrument::Instrument;
use crate::keeping::callbacks::{ChangeListener, Log, LogLevel, LogSink};
use crate::keeping::diagnostics;
use crate::keeping::environment::{
    Clock, FileKeeper, MemoryKeeper, Random, SecretKeeper, SystemClock, SystemRandom,
};
use crate::keeping::loaded_record::LoadedRecord;
use crate::keeping::notice::Notice;
use crate::keeping::projection::{self, ListLine};
use crate::keeping::secrets::{Identity, draw, forget_words, kept_as};
use crate::keeping::session::{Session, SessionLock};
use crate::keeping::subscription::Subscription;
use crate::keeping::workshop_state::WorkshopState;
use crate::near::MOST;
use crate::sharing::exchange::put_op;
use crate::showing::device::DeviceInfo;
use crate::showing::views::{InstrumentId, InstrumentSummary, TemplateInfo};
use crate::writing::write_options::WriteOptions;

/// How a workshop is opened.
pub struct WorkshopOptions {
    /// The folder that holds the store; it is created if need be.
    pub folder: PathBuf,
    /// How this device is shown to others, such as "tech".
    pub label: String,
    /// Keeps the device's secrets, outside backups.
    pub keeper: Box<dyn SecretKeeper>,
    /// Tells the time, by which entries and changes are dated.
    pub clock: Box<dyn Clock>,
    /// Draws unpredictable bytes: keys, salts, recovery words.
    pub random: Box<dyn Random>,
    /// Takes lines for the app's log, if it wants them.
    pub log: Option<Box<dyn LogSink>>,
    /// What to do when the store's file is not a store at all: `false` refuses and leaves it alone,
    /// `true` renames it, reports it in [`Workshop::notices`] and begins a new store. A store of
    /// ours that is damaged in part is repaired either way.
    pub replace_garbage: bool,
    /// The greatest number of pages of 4096 bytes that the store's file may have; `None` leaves it
    /// to the disk. Tests use it to fill a disk.
    pub max_pages: Option<u32>,
    /// Answers as of this time: what was read or done later counts for nothing. Facts and targets are those of
    /// now. For a workshop that is only asked.
    pub as_of: Option<Moment>,
}

impl WorkshopOptions {
    /// The usual options for a computer: secrets in private files in `keys` inside the folder, the
    /// system's clock and random generator.
    pub fn new(folder: impl Into<PathBuf>, label: impl Into<String>) -> Self {
        let folder = folder.into();
        Self {
            keeper: Box::new(FileKeeper::new(folder.join("keys"))),
            folder,
            label: label.into(),
            clock: Box::new(SystemClock),
            random: Box::new(SystemRandom),
            log: None,
            replace_garbage: false,
            max_pages: None,
            as_of: None,
        }
    }
}

/// All instruments that this device keeps. A handle: copies share one workshop.
///
/// Calls block, and may come from any thread.
#[derive(Clone)]
pub struct Workshop {
    pub(crate) inner: Arc<WorkshopState>,
}

/// By so many digits an id is shown to people, and by no fewer is it taken.
const ID_SHOWN: usize = 8;

/// So many characters find an instrument that has them inside its name.
const INSIDE: usize = 3;

impl Workshop {
    /// Opens the workshop in a folder.
    ///
    /// # Errors
    /// [`Error::Storage`] for a folder that cannot be used, [`Error::Keys`] when the keeper is
    /// locked or has lost the device's secrets, [`Error::Busy`], [`Error::Full`].
    pub fn open(options: WorkshopOptions) -> Result<Self> {
        check_label(&options.label)?;
        let garbage = if options.replace_garbage { Garbage::SetAside } else { Garbage::Refuse };
        let sqlite = fallaway_store::Options {
            max_pages: options.max_pages,
            garbage,
            ..fallaway_store::Options::default()
        };
        let store = SqliteStore::open_with(&options.folder, sqlite);
        let first = options.folder.join("opening.lock");
        let WorkshopOptions { label, keeper, clock, random, log, as_of, .. } = options;
        let log = Log(log);
        // In the database's words: what the caller hears says what to do about it.
        let store = store.inspect_err(|error| log.line(LogLevel::Failure, || error.to_string()))?;
        let opened =
            Self::with_store(Box::new(store), Some(&first), label, keeper, clock, random, log)?;
        opened.inner.answer_as_of(as_of);
        Ok(opened)
    }

    /// A workshop that ends with the process. For tests and previews.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a label that is empty or too long.
    pub fn in_memory(label: &str, clock: Box<dyn Clock>, random: Box<dyn Random>) -> Result<Self> {
        check_label(label)?;
        let keeper = Box::new(MemoryKeeper::default());
        let store = Box::new(MemoryStore::new());
        Self::with_store(store, None, label.to_owned(), keeper, clock, random, Log(None))
    }

    fn with_store(
        store: Box<dyn Store>,
        first: Option<&Path>,
        label: String,
        keeper: Box<dyn SecretKeeper>,
        clock: Box<dyn Clock>,
        random: Box<dyn Random>,
        log: Log,
    ) -> Result<Self> {
        let mut notices = Vec::new();
        if let fallaway_store::StoreAccess::ReadOnlyNewer { found, supported } = store.access() {
            notices.push(Notice::NewerStore { found, supported });
        }
        // Two processes that start on a new folder at once must not each draw an identity. Where the
        // lock cannot be had (a folder that may only be read), nothing is drawn either.
        let turn = first.and_then(|path| {
            let file = File::options().create(true).truncate(false).write(true).open(path).ok()?;
            file.lock().ok().map(|()| file)
        });
        let identity =
            Identity::open(store.as_ref(), keeper.as_ref(), random.as_ref(), label, &mut notices)?;
        drop(turn);
        let inner = WorkshopState {
            store,
            keeper,
            clock,
            random,
            as_of: OnceLock::new(),
            lock: SessionLock::new(Session::new(identity, notices), log),
        };
        if inner.lock.log.0.is_some() {
            let counts = inner.store.diagnostics()?;
            inner.log(LogLevel::Info, || format!("opened: {} records", counts.records));
            for damage in inner.store.damages()? {
                inner.log(LogLevel::Warning, || {
                    format!("set aside, damaged: {:?}: {}", damage.part, damage.reason)
                });
            }
        }
        Ok(Self { inner: Arc::new(inner) })
    }

    /// This device, as others see it.
    ///
    /// # Errors
    /// [`Error::Closed`].
    pub fn device(&self) -> Result<DeviceInfo> {
        let session = self.inner.session()?;
        Ok(DeviceInfo {
            label: session.identity.label.clone(),
            fingerprint: session.identity.keys.device().fingerprint(),
        })
    }

    /// General starting points for [`Workshop::add_instrument`], the notes of each from the highest
    /// string.
    pub fn templates() -> Vec<TemplateInfo> {
        Self::templates_in_order(false)
    }

    /// The same with the notes in the order in which somebody reads strings
    /// ([`crate::Preferences::low_first`]).
    pub fn templates_in_order(low_first: bool) -> Vec<TemplateInfo> {
        let templates = fallaway_record::templates();
        templates.iter().map(|template| TemplateInfo::of(template, low_first)).collect()
    }

    /// Every instrument that was not put away, by name. Reads projections only.
    ///
    /// # Errors
    /// [`Error::Closed`], or when the store cannot be read.
    pub fn instruments(&self) -> Result<Vec<InstrumentSummary>> {
        Ok(self.all_instruments()?.into_iter().filter(|one| !one.archived).collect())
    }

    pub(crate) fn all_instruments(&self) -> Result<Vec<InstrumentSummary>> {
        let mut all = self.summaries(&|_, _| true)?;
        self.with_work(&mut all)?;
        all.put_in_order_by(|a, b| by_name(&a.name, &b.name).then(a.id.cmp(&b.id)));
        Ok(all)
    }

    /// The instruments whose id and name `wanted` says yes to, in no order; those without a
    /// projection are among them.
    fn summaries(&self, wanted: &dyn Fn(RecordId, &str) -> bool) -> Result<Vec<InstrumentSummary>> {
        drop(self.inner.session()?);
        let archived = self.inner.archived()?;
        let Projections { found, complete } =
            self.inner.store.projections_that(projection::LIST_LINE, &|id, bytes| {
                projection::name_in(bytes).is_none_or(|name| wanted(*id, name))
            })?;
        let mut lines: Vec<(RecordId, Option<Vec<u8>>)> =
            found.into_iter().map(|(id, line)| (id, Some(line))).collect();
        if !complete {
            // Those without a line are made out of what is listed and what there is.
            let all = self.inner.store.projections(projection::LIST_LINE)?.found;
            let listed: Set<RecordId> = all.into_iter().map(|(id, _)| id).in_set();
            let records = self.inner.store.records()?.into_iter().map(|head| head.record);
            lines.extend(records.filter(|id| !listed.contains(id)).map(|id| (id, None)));
        }
        let mut summaries = Vec::with_capacity(lines.len());
        for (id, line) in lines {
            let line = match line.and_then(|bytes| projection::decode(&bytes)) {
                Some(line) => line,
                None => self.rebuilt_line(id)?,
            };
            let ListLine { name, last, contested, waiting, aside } = line;
            let archived = archived.contains(&id);
            let last_entry = last;
            summaries.push(InstrumentSummary {
                id,
                name,
                last_entry,
                contested,
                waiting,
                aside,
                archived,
                open_work: 0,
                due: None,
            });
        }
        Ok(summaries)
    }

    fn rebuilt_line(&self, id: RecordId) -> Result<ListLine> {
        self.inner.with_record(id, |_, loaded| {
            let state = loaded.state(0);
            let last = state.entries().map(|placed| placed.entry.at).max();
            Ok(ListLine {
                name: state.spec().name.clone().unwrap_or_default(),
                last,
                contested: state.registers().contested().count(),
                waiting: loaded.count(ChangeStanding::Waiting),
                aside: loaded.count(ChangeStanding::Held)
                    + loaded.count(ChangeStanding::Quarantined),
            })
        })
    }

    /// The instrument with this id.
    ///
    /// # Errors
    /// [`Error::NotFound`], [`Error::Closed`].
    pub fn instrument(&self, id: InstrumentId) -> Result<Instrument> {
        let _open = self.inner.session()?;
        self.inner.store.generation(&id)?;
        Ok(Instrument { inner: Arc::clone(&self.inner), id })
    }

    /// The instrument whose name begins with this text, or has it inside (three characters at least), or whose
    /// id begins so, if it is at least eight digits of it: an exact name wins, then a beginning; of those that
    /// fit best there must be only one. Case does not matter. One that was put away is found if no other fits.
    ///
    /// # Errors
    /// [`Error::NotFound`] with the names that may have been meant, [`Error::BadInput`] if several fit.
    pub fn instrument_named(&self, name: &str) -> Result<Instrument> {
        let wanted = name.trim().to_lowercase();
        // Ids are shown by eight digits. Fewer are a name that was mistyped: "2" or "a" must find nothing by them.
        let hex = wanted.len() >= ID_SHOWN && wanted.bytes().all(|byte| byte.is_ascii_hexdigit());
        let fits = |id: RecordId, name: &str| {
            let lower = name.to_lowercase();
            lower == wanted
                || (!wanted.is_empty() && lower.starts_with(&wanted))
                || (wanted.chars().count() >= INSIDE && lower.contains(&wanted))
                || (hex && id.to_string().starts_with(&wanted))
        };
        let mut all = self.summaries(&fits)?;
        if all.is_empty() {
            // One that a damaged line hides; and to say which there are.
            all = self.all_instruments()?;
        }
        // A beginning before what is inside, one at hand before one put away, then a whole name, as it was
        // typed before others.
        let rank = |one: &InstrumentSummary| {
            let lower = one.name.to_lowercase();
            let begins = lower.starts_with(&wanted) || one.id.to_string().starts_with(&wanted);
            (begins, !one.archived, lower == wanted, one.name == name.trim())
        };
        let mut fitting: Vec<&InstrumentSummary> =
            all.iter().filter(|one| fits(one.id, &one.name)).collect();
        let best = fitting.iter().map(|one| rank(one)).max();
        fitting.retain(|one| Some(rank(one)) == best);
        match fitting.as_slice() {
            [one] => self.instrument(one.id),
            [] => Err(Error::NotFound {
                what: NotFoundKind::Instrument,
                name: name.to_owned(),
                accepted: near(name, all.iter().map(|one| one.name.as_str())),
            }),
            _ => {
                fitting.put_in_order_by(|a, b| (&a.name, a.id).cmp(&(&b.name, b.id)));
                let ids = fitting.iter().map(|one| {
                    format!(
                        "{} {}",
                        one.name,
                        one.id.to_string().get(..ID_SHOWN).unwrap_or_default()
                    )
                });
                let ids: Vec<String> = ids.take(MOST).collect();
                let more = fitting.len() - ids.len();
                let said = List::comma(ids.iter().map(Phrase::written));
                let said = if more > 0 { say::and_more(said, more) } else { said.into() };
                Err(Error::bad_input(
                    field("instrument"),
                    say::several_fit(name.to_owned()),
                    Accepted::one_of(ids).said(said),
                ))
            }
        }
    }

    /// Founds the record of an instrument from a general starting point. This device is its owner.
    ///
    /// # Errors
    /// [`Error::NotFound`] for an unknown template, [`Error::BadInput`] for a name that is empty,
    /// too long or taken; when the store cannot be written.
    pub fn add_instrument(&self, template: &str, name: &str) -> Result<Instrument> {
        self.add_sized_instrument(template, name, None, None)
    }

    /// The same with another number of courses (a string or a pair each) or of frets than the starting
    /// point has. What nobody can know of the courses that it lacks, their notes and strings, is not set.
    ///
    /// # Errors
    /// As [`Workshop::add_instrument`]; [`Error::BadInput`] for more courses or frets than an instrument
    /// may have.
    pub fn add_sized_instrument(
        &self,
        template: &str,
        name: &str,
        courses: Option<u8>,
        frets: Option<u8>,
    ) -> Result<Instrument> {
        let templates = fallaway_record::templates();
        let Some(template) = templates.iter().find(|one| one.id == template) else {
            return Err(Error::NotFound {
                what: NotFoundKind::Template,
                name: template.to_owned(),
                accepted: near(template, templates.iter().map(|one| one.id)),
            });
        };
        let mut facts = template.clone().sized(courses, frets).spec.fields();
        if let Some(a4) = self.inner.preferences()?.a4 {
            facts.retain(|fact| !matches!(fact, SpecField::A4(_)));
            facts.push(SpecField::A4(a4));
        }
        self.found(facts, name)
    }

    /// Founds a record with these facts and this name.
    pub(crate) fn found(&self, facts: Vec<SpecField>, name: &str) -> Result<Instrument> {
        let name = name.trim();
        self.is_free(name, None)?;
        let named = SpecField::Name(name.to_owned());
        for fact in facts.iter().chain([&named]) {
            fact.check().map_err(fallaway_record::EditError::from)?;
        }
        let now = self.inner.clock.now();
        let id = {
            let mut session = self.inner.session()?;
            let salt = draw::<16>(self.inner.random.as_ref())?;
            let words = draw::<16>(self.inner.random.as_ref())?;
            let recovery = DeviceKeys::recovery(&words).as_recovery();
            let Identity { keys, label, .. } = &session.identity;
            let founding = MemberOp::found(keys, now.unix_s, salt, label, Some(recovery))
                .map_err(|_| bad_label(label))?;
            let id = *founding.record();
            // Shown until they are written down.
            self.inner.keeper.put(&kept_as(&id), &words).map_err(Error::keys)?;
            let key = EpochKey::from_bytes(draw(self.inner.random.as_ref())?);
            let mut members = Members::new(id);
            members.insert(founding.clone())?;
            let random = draw(self.inner.random.as_ref())?;
            let keys = &session.identity.keys;
            let epoch = members.begin_epoch(keys, &key, &[], now.unix_s, || random);
            let epoch = epoch.map_err(|e| Error::internal("epoch", e))?;
            let mut batch = Batch {
                members: vec![StoredMemberOp {
                    hash: founding.hash(),
                    standing: ChangeStanding::Admitted,
                    bytes: founding.encode(),
                }],
                epoch_keys: vec![StoredEpochKey {
                    epoch: key.id(),
                    wrapped: key.wrap(&session.identity.keys, &id),
                }],
                outgoing: vec![OutgoingEdit::Add(Outgoing::Member(founding.hash()))],
                draft: first_draft(&session.identity, id, facts, named, now.unix_s)?,
                ..Batch::new()
            };
            put_op(&epoch, &mut batch);
            self.inner.store.create(&id, &batch)?;
            session.changed.insert(id);
            id
        };
        self.inner.rebuild_projections(id)?;
        self.instrument(id)
    }

    /// Calls an instrument something else, for everybody who shares its record.
    ///
    /// # Errors
    /// [`Error::NotFound`]; [`Error::BadInput`] for a name that is empty, too long, or that another
    /// instrument has; whatever an edit answers.
    pub fn rename_instrument(
        &self,
        id: InstrumentId,
        name: &str,
        options: impl Into<WriteOptions>,
    ) -> Result<()> {
        let name = name.trim();
        self.is_free(name, Some(id))?;
        self.instrument(id)?.set_spec(&SpecField::Name(name.to_owned()), options)
    }

    /// Whether no other instrument of this device has this name.
    fn is_free(&self, name: &str, own: Option<InstrumentId>) -> Result<()> {
        let others = self.all_instruments()?.into_iter().filter(|one| Some(one.id) != own);
        let taken: Vec<_> = others.map(|one| one.name).collect();
        if taken.iter().any(|one| one == name) {
            let reason = say::name_taken(name.to_owned());
            let accepted = Accepted::none_of(taken).said(say::own_name());
            return Err(Error::bad_input(field("name"), reason, accepted));
        }
        Ok(())
    }

    /// Calls this device something else, for everybody who shares a record with it. The name that
    /// [`WorkshopOptions::label`] gives is not asked any more.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a name that is empty, too long or holds what is not seen; when the store
    /// cannot be written.
    pub fn rename_device(&self, label: &str) -> Result<()> {
        check_label(label)?;
        self.inner.session()?.identity.rename(self.inner.store.as_ref(), label)?;
        for head in self.inner.store.records()? {
            self.instrument(head.record)?.tell_name(label)?;
        }
        Ok(())
    }

    /// Deletes an instrument's record from this device, and only from this device. Whoever shares
    /// the record keeps it; this device cannot take part any more unless it is invited again.
    ///
    /// # Errors
    /// [`Error::NotFound`]; when the store cannot be written.
    pub fn remove_from_this_device(&self, id: InstrumentId) -> Result<()> {
        let mut session = self.inner.session()?;
        self.inner.store.generation(&id)?;
        Identity::note_forgotten(self.inner.store.as_ref(), &id)?;
        self.inner.store.delete(&id)?;
        forget_words(self.inner.keeper.as_ref(), &id)?;
        self.inner.keep_archived(id, false)?;
        self.inner.forget_ways(id)?;
        self.inner.keep_shop_of(&id, None)?;
        session.records.remove(&id);
        session.changed.insert(id);
        Ok(())
    }

    /// Tells `listener` from now on which instruments changed, until it is cancelled.
    ///
    /// # Errors
    /// [`Error::Closed`].
    pub fn listen(&self, listener: Arc<dyn ChangeListener>) -> Result<Subscription> {
        drop(self.inner.session()?);
        Ok(self.inner.lock.listeners.subscribe(listener))
    }

    /// Drops the records that are held in memory; the next call reads what it needs anew. For when
    /// the system is short of memory.
    ///
    /// # Errors
    /// [`Error::Closed`].
    pub fn trim(&self) -> Result<()> {
        self.inner.session()?.records.clear();
        Ok(())
    }

    /// What the person should know: damage that was set aside, a new identity, a newer version.
    ///
    /// # Errors
    /// [`Error::Closed`], or when the store cannot be read.
    pub fn notices(&self) -> Result<Vec<Notice>> {
        let mut notices = self.inner.session()?.notices.clone();
        for damage in self.inner.store.damages()? {
            notices.push(Notice::Damage { part: damage.part, name: damage.name });
        }
        Ok(notices)
    }

    /// Makes drafts changes, writes everything home and closes all files. The next call opens them
    /// again. For a phone app that goes to the background.
    ///
    /// # Errors
    /// When the store cannot be written; it is closed all the same.
    pub fn pause(&self) -> Result<()> {
        let mut session = self.inner.session()?;
        let committed = self.inner.commit_all_drafts(&mut session);
        session.records.clear();
        self.inner.store.pause()?;
        committed
    }

    /// Like [`Workshop::pause`], for good: every handle answers [`Error::Closed`] from now on, and
    /// nobody listens any more.
    ///
    /// # Errors
    /// As [`Workshop::pause`]; the workshop is shut down all the same.
    pub fn shut_down(&self) -> Result<()> {
        let mut session = self.inner.session()?;
        let committed = self.inner.commit_all_drafts(&mut session);
        session.records.clear();
        session.closed = true;
        self.inner.log(LogLevel::Info, || "shut down".to_owned());
        let paused = self.inner.store.pause();
        drop(session);
        // A listener may hold the workshop that holds it: neither would ever be given back.
        self.inner.lock.listeners.clear();
        paused?;
        committed
    }

    /// Versions and counts that a person can send to a developer, a line each, `key: value`, in
    /// English: no names, no ids, no contents.
    ///
    /// # Errors
    /// [`Error::Closed`], or when the store cannot be read.
    pub fn diagnostics(&self) -> Result<String> {
        let _open = self.inner.session()?;
        Ok(diagnostics::lines(&self.inner.store.diagnostics()?))
    }
}

/// The facts of the template as the first lines of the draft.
fn first_draft(
    identity: &Identity,
    id: RecordId,
    mut fields: Vec<SpecField>,
    name: SpecField,
    now: i64,
) -> Result<Vec<DraftEdit>> {
    fields.retain(|field| !matches!(field, SpecField::Name(_)));
    fields.insert(0, name);
    let record = Record::create(id);
    let mut draft = Draft::new();
    let mut lines = Vec::new();
    for (ordinal, field) in (0..).zip(&fields) {
        let put: Put = record.editor(identity.writer(&id), &draft).set_spec(field)?;
        lines.push(DraftEdit::Put(LoadedRecord::new_line(&put, ordinal, now)));
        draft.add(put);
    }
    Ok(lines)
}

fn check_label(label: &str) -> Result<()> {
    if fallaway_sharing::is_label(label) { Ok(()) } else { Err(bad_label(label)) }
}

fn bad_label(label: &str) -> Error {
    let accepted = Accepted::like("tech, player").said(say::label_accepted());
    Error::bad_input(field("label"), say::label(label), accepted)
}
