//! The workshop: all instruments that this device keeps, in one folder.

use std::sync::Arc;

use crate::callbacks::{
    self, ChangeListener, ForeignLog, Keeper, Listener, LogSink, ProgressListener, RandomSource,
    SecretKeeper, Subscription, TimeSource, Watched,
};
use crate::numbers::count;
use crate::voice::{self, WorkshopVoice, say};
use crate::write_options::typed;
use crate::{DeviceInfo, Instrument, InstrumentId, MergeReport, Moment, Result, WriteOptions};

/// How a workshop is opened.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct WorkshopOptions {
    /// The folder that holds the store; it is created if need be. One folder for each workshop.
    pub folder: String,
    /// How this device is shown to others, such as "tech": 1 to 64 bytes.
    pub label: String,
    /// What to do when the store's file is no store at all: `false` answers the error `Storage` and
    /// leaves it alone, `true` renames it, says so in the notices, and begins a new store. A store
    /// of ours that is damaged in part is repaired either way.
    #[uniffi(default = false)]
    pub replace_garbage: bool,
    /// The greatest number of pages of 4096 bytes that the store's file may have; beyond it, calls
    /// that write answer `Full`. `None` leaves it to the disk.
    #[uniffi(default = None)]
    pub max_pages: Option<u32>,
    /// The face that the app was built on: what the library has learned to answer since is answered
    /// as `Newer`. Left alone, it is that of the generated code.
    #[uniffi(default = 1)]
    pub face: u32,
}

/// A general starting point for an instrument.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct TemplateInfo {
    /// What `Workshop.add_instrument` takes, such as "bass-4".
    pub id: String,
    /// What to call it in a list, in the language that was set.
    pub name: String,
    /// Strings, frets and tuning in one line.
    pub summary: String,
}

/// One line of the list of instruments.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct InstrumentSummary {
    /// Which instrument: the same on every device. `Workshop.instrument` takes it.
    pub id: InstrumentId,
    /// Its name; empty while nothing but an invitation has arrived.
    pub name: String,
    /// When something was last written, by the clock of whoever wrote it.
    pub last_entry: Option<Moment>,
    /// How many fields have two or more values.
    pub contested: u32,
    /// How many changes wait for something that has not arrived.
    pub waiting: u32,
    /// How many changes are kept beside the record and not counted: `Instrument.held` says of whom.
    pub set_aside: u32,
    /// Whether it was put away on this device.
    pub archived: bool,
    /// How many jobs of the shop are open on it (kept on this device).
    pub open_work: u32,
    /// Since when it is due to be looked at again, if it is (kept on this device).
    pub due: Option<Moment>,
}

impl From<fallaway::InstrumentSummary> for InstrumentSummary {
    fn from(summary: fallaway::InstrumentSummary) -> Self {
        Self {
            id: summary.id.into(),
            name: summary.name,
            last_entry: summary.last_entry.map(Moment::from),
            contested: count(summary.contested),
            waiting: count(summary.waiting),
            set_aside: count(summary.aside),
            archived: summary.archived,
            open_work: count(summary.open_work),
            due: summary.due.map(Moment::from),
        }
    }
}

/// What a notice is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum NoticeKind {
    /// A newer version wrote the store: it can be read, not changed. Update the app.
    NewerStore,
    /// This device's keys are gone: it has a new identity, and an owner has to invite it again.
    KeysGone,
    /// The keys are not those of the device that wrote the store.
    OtherKeys,
    /// A part of the keys is damaged: the device goes on as a new writer.
    KeysDamaged,
    /// This device has written records before, and the store no longer has them.
    RecordsGone,
    /// The store was restored from a copy: the device goes on as a new writer.
    Restored,
    /// A bundle brought work of this device that its store did not have.
    NewWriter,
    /// This device was copied: a second one writes under its name.
    Copied,
    /// A damaged part was set aside; a bundle brings it back.
    Damage,
    /// What came after this app was built: show the text beside it.
    Newer,
}

/// Something that the person should know.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Notice {
    /// What it is about.
    pub kind: NoticeKind,
    /// The same in sentences, with the names of what is damaged.
    pub text: String,
    /// Of a store of a newer version: the version of its tables.
    pub found: Option<u32>,
    /// And the newest version of them that this library writes.
    pub supported: Option<u32>,
    /// Of a part that is damaged: by which name it is kept.
    pub kept_as: Option<String>,
}

impl From<&fallaway::Notice> for Notice {
    fn from(notice: &fallaway::Notice) -> Self {
        let (mut newer, mut kept_as) = (None, None);
        let kind = match notice {
            fallaway::Notice::NewerStore { found, supported } => {
                newer = Some((*found, *supported));
                NoticeKind::NewerStore
            }
            fallaway::Notice::KeysGone => NoticeKind::KeysGone,
            fallaway::Notice::OtherKeys => NoticeKind::OtherKeys,
            fallaway::Notice::KeysDamaged => NoticeKind::KeysDamaged,
            fallaway::Notice::RecordsGone => NoticeKind::RecordsGone,
            fallaway::Notice::Restored => NoticeKind::Restored,
            fallaway::Notice::NewWriter => NoticeKind::NewWriter,
            fallaway::Notice::Copied => NoticeKind::Copied,
            fallaway::Notice::Damage { name, .. } => {
                kept_as = Some(name.clone());
                NoticeKind::Damage
            }
        };
        let (found, supported) = newer.unzip();
        Self { kind, text: say(&notice.phrase()), found, supported, kept_as }
    }
}

/// General starting points for `Workshop.add_instrument`: basses and guitars of common kinds,
/// without makers, in the language that was set.
#[uniffi::export]
pub fn templates() -> Vec<TemplateInfo> {
    voice::elsewhere();
    let all = fallaway::Workshop::templates().into_iter();
    all.map(|fallaway::TemplateInfo { id, name, summary }| TemplateInfo {
        id: id.to_owned(),
        name: say(&name),
        summary: say(&summary),
    })
    .collect()
}

/// All instruments that this device keeps, in one folder.
///
/// Calls block (an edit is durable when its call returns) and may come from any thread. Call
/// `pause` when a phone app goes to the background, and `shut_down` when the workshop is done with:
/// every handle answers `Closed` from then on.
#[derive(uniffi::Object)]
pub struct Workshop {
    inner: fallaway::Workshop,
    pub(crate) voice: Arc<WorkshopVoice>,
    log: Option<Arc<dyn LogSink>>,
}

impl Workshop {
    /// The workshop that is asked, in its voice.
    pub(crate) fn inner(&self) -> &fallaway::Workshop {
        self.voice.is_asked();
        &self.inner
    }
}

#[uniffi::export]
impl Workshop {
    /// Opens the workshop in a folder.
    ///
    /// `keeper` keeps the device's secrets; without one they lie in private files in the folder
    /// "keys" inside the workshop's folder, which must then stay out of backups. `log` takes lines
    /// for the app's log. `time` and `random` are for tests.
    ///
    /// # Errors
    /// `Storage` for a folder that cannot be used, `Keys` when the keeper is locked, fails, or has
    /// lost the device's secrets, `BadInput` for the label, `Busy`, `Full`.
    #[uniffi::constructor(default(keeper = None, log = None, time = None, random = None))]
    pub fn open(
        options: WorkshopOptions,
        keeper: Option<Arc<dyn SecretKeeper>>,
        log: Option<Arc<dyn LogSink>>,
        time: Option<Arc<dyn TimeSource>>,
        random: Option<Arc<dyn RandomSource>>,
    ) -> Result<Self> {
        crate::growth::built_on(options.face);
        let usual = fallaway::WorkshopOptions::new(options.folder, options.label);
        let options = fallaway::WorkshopOptions {
            keeper: match keeper {
                Some(keeper) => Box::new(Keeper(keeper)),
                None => usual.keeper,
            },
            clock: callbacks::clock(time),
            random: callbacks::random(random),
            replace_garbage: options.replace_garbage,
            max_pages: options.max_pages,
            log: log.clone().map(|sink| Box::new(ForeignLog(sink)) as Box<dyn fallaway::LogSink>),
            ..usual
        };
        let inner = fallaway::Workshop::open(options)?;
        let preferences = inner.preferences()?;
        let voice = Arc::<WorkshopVoice>::default();
        if preferences != fallaway::Preferences::default() {
            voice.prefers(&preferences);
        }
        Ok(Self { inner, voice, log })
    }

    /// A workshop that ends with the process, for tests and previews. `label` as in
    /// [`WorkshopOptions`].
    ///
    /// # Errors
    /// `BadInput` for a label that is empty or too long.
    #[uniffi::constructor(default(time = None, random = None))]
    pub fn in_memory(
        label: &str,
        time: Option<Arc<dyn TimeSource>>,
        random: Option<Arc<dyn RandomSource>>,
    ) -> Result<Self> {
        let (clock, random) = (callbacks::clock(time), callbacks::random(random));
        let inner = fallaway::Workshop::in_memory(label, clock, random)?;
        Ok(Self { inner, voice: Arc::default(), log: None })
    }

    /// This device, as others see it.
    ///
    /// # Errors
    /// `Closed`.
    pub fn device(&self) -> Result<DeviceInfo> {
        Ok(self.inner().device()?)
    }

    /// Every instrument that was not put away, by name. Cheap: no record is loaded.
    ///
    /// # Errors
    /// `Closed`, or when the store cannot be read.
    pub fn instruments(&self) -> Result<Vec<InstrumentSummary>> {
        Ok(self.inner().instruments()?.into_iter().map(InstrumentSummary::from).collect())
    }

    /// The instruments that were put away, by name.
    ///
    /// # Errors
    /// `Closed`, or when the store cannot be read.
    pub fn archived_instruments(&self) -> Result<Vec<InstrumentSummary>> {
        Ok(self.inner().archived_instruments()?.into_iter().map(InstrumentSummary::from).collect())
    }

    /// Puts an instrument away: it leaves the list of this device, and of this device only. It can be
    /// read, written and merged as before, and brought back at any time.
    ///
    /// # Errors
    /// `NotFound`; when the store cannot be written.
    pub fn archive_instrument(&self, id: InstrumentId) -> Result<()> {
        Ok(self.inner().archive_instrument(id.0)?)
    }

    /// Brings an instrument that was put away back into the list.
    ///
    /// # Errors
    /// `NotFound`; when the store cannot be written.
    pub fn bring_back_instrument(&self, id: InstrumentId) -> Result<()> {
        Ok(self.inner().bring_back_instrument(id.0)?)
    }

    /// Calls an instrument something else, for everybody who shares its record.
    ///
    /// # Errors
    /// `NotFound`; `BadInput` for a name that is empty, longer than 64 characters, or that another
    /// instrument has; whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn rename_instrument(
        &self,
        id: InstrumentId,
        name: &str,
        options: Option<WriteOptions>,
    ) -> Result<()> {
        Ok(self.inner().rename_instrument(id.0, name, typed(options)?)?)
    }

    /// The instrument with this id.
    ///
    /// # Errors
    /// `NotFound`, `BadInput` for a text that is no id, `Closed`.
    pub fn instrument(&self, id: InstrumentId) -> Result<Arc<Instrument>> {
        Ok(Instrument::of(&self.voice, self.inner().instrument(id.0)?))
    }

    /// The instrument whose name begins with this text, or whose id, if it is at least eight digits of it: an
    /// exact name wins, else there must be only one. Case does not matter. One that was put away is found if no
    /// other fits.
    ///
    /// # Errors
    /// `NotFound` with the names that there are, `BadInput` if several fit.
    pub fn instrument_named(&self, name: &str) -> Result<Arc<Instrument>> {
        Ok(Instrument::of(&self.voice, self.inner().instrument_named(name)?))
    }

    /// Founds the record of an instrument from a general starting point (see [`templates`]). This
    /// device is its owner.
    ///
    /// # Errors
    /// `NotFound` for an unknown template, `BadInput` for a name that is empty, longer than 64
    /// characters or taken; when the store cannot be written.
    pub fn add_instrument(&self, template: &str, name: &str) -> Result<Arc<Instrument>> {
        Ok(Instrument::of(&self.voice, self.inner().add_instrument(template, name)?))
    }

    /// Joins the record of an invitation: twelve words, or the text of a code, and the bundle file that
    /// came with them by another way. What else the file holds of the record is brought in; without
    /// that it stays empty until a bundle of the inviter has been. Send a bundle back, so that the
    /// others know this device.
    ///
    /// # Errors
    /// `Refused` for a text that is no sound invitation, for a file without its welcome, and for one
    /// that has expired; `BadInput` if this device shares the record already.
    pub fn accept(&self, invitation: &str, bundle: &[u8]) -> Result<Arc<Instrument>> {
        Ok(Instrument::of(&self.voice, self.inner().accept(invitation, bundle)?))
    }

    /// Makes this device an owner of a record by its recovery words, whatever became of everybody else's
    /// devices. `bundle` is any file with the whole record, the later the better. Then remove what is
    /// lost with `remove_with_words`, and write down new words: `renew_recovery_words`.
    ///
    /// # Errors
    /// `Refused` for words that are none, for a file without a letter to them, and for words in whose
    /// place others have come; when the store cannot be written.
    pub fn recover(&self, words: &str, bundle: &[u8]) -> Result<Arc<Instrument>> {
        Ok(Instrument::of(&self.voice, self.inner().recover(words, bundle)?))
    }

    /// Calls this device something else, for everybody who shares a record with it. The name that it is
    /// opened with is not asked any more.
    ///
    /// # Errors
    /// `BadInput` for a name that is empty, too long or holds what is not seen; when the store cannot be
    /// written.
    pub fn rename_device(&self, label: &str) -> Result<()> {
        Ok(self.inner().rename_device(label)?)
    }

    /// Brings the bundles of a file into the record that they belong to, in whatever order they
    /// come, however often. Either all that can be taken is taken, durably, or nothing. `progress`
    /// is told how many bundles are verified, and can stop the call.
    ///
    /// # Errors
    /// `Refused` for bytes that are not a bundle file, or if none of its bundles can be taken;
    /// `NotFound` for a record that this device does not share; `Cancelled`; when the store cannot
    /// be written. Single bundles that are refused are listed in the report.
    #[uniffi::method(default(progress = None))]
    pub fn bundle_in(
        &self,
        bytes: &[u8],
        progress: Option<Arc<dyn ProgressListener>>,
    ) -> Result<MergeReport> {
        Ok(self.inner().bundle_in_watched(bytes, &Watched(progress))?.into())
    }

    /// Deletes an instrument's record from this device, and only from this device. Whoever shares
    /// the record keeps it; this device cannot take part any more unless it is invited again.
    ///
    /// # Errors
    /// `NotFound`, `BadInput` for a text that is no id; when the store cannot be written.
    pub fn remove_from_this_device(&self, id: InstrumentId) -> Result<()> {
        Ok(self.inner().remove_from_this_device(id.0)?)
    }

    /// What the person should know: damage that was set aside, a new identity, a newer
    /// version.
    ///
    /// # Errors
    /// `Closed`, or when the store cannot be read.
    pub fn notices(&self) -> Result<Vec<Notice>> {
        Ok(self.inner().notices()?.iter().map(Notice::from).collect())
    }

    /// Versions and counts that a person can send to a developer, a line each, `key: value`, in
    /// English: no names, no ids, no contents.
    ///
    /// # Errors
    /// `Closed`, or when the store cannot be read.
    pub fn diagnostics(&self) -> Result<String> {
        Ok(self.inner().diagnostics()?)
    }

    /// Tells `listener` from now on which instruments changed, until it is cancelled.
    ///
    /// # Errors
    /// `Closed`.
    pub fn listen(&self, listener: Arc<dyn ChangeListener>) -> Result<Arc<Subscription>> {
        self.voice.is_asked();
        let listener = Listener { listener, log: self.log.clone() };
        Ok(Arc::new(Subscription(self.inner().listen(Arc::new(listener))?)))
    }

    /// Drops the records that are held in memory; the next call reads what it needs anew. For when
    /// the system is short of memory.
    ///
    /// # Errors
    /// `Closed`.
    pub fn trim(&self) -> Result<()> {
        Ok(self.inner().trim()?)
    }

    /// Makes drafts changes, writes everything home and closes all files; the next call opens them
    /// again. For a phone app that goes to the background: systems end apps that hold a lock there.
    ///
    /// # Errors
    /// When the store cannot be written; it is closed all the same.
    pub fn pause(&self) -> Result<()> {
        Ok(self.inner().pause()?)
    }

    /// Like `pause`, for good: every handle answers `Closed` from now on. Calls that are under way
    /// on other threads are let finish first.
    ///
    /// # Errors
    /// As `pause`; the workshop is shut down all the same. `Closed` if it was already.
    pub fn shut_down(&self) -> Result<()> {
        Ok(self.inner().shut_down()?)
    }
}
