//! One instrument: a handle.

use std::sync::Arc;

use crate::callbacks::{ProgressListener, Watched};
use crate::numbers::count;
use crate::reasons::WhyReadOnly;
use crate::voice::{WorkshopVoice, say};
use crate::write_options::typed;
use crate::{
    Adjustment, BuzzNote, Climate, ContestedField, DeviceState, EntryId, FactWritten, HeldWork,
    HistoryEntry, HistoryFilter, InstrumentId, InstrumentSpec, InvitationView, Location,
    MergeReport, Moment, NewInvitation, NewPass, NewTarget, OutgoingBundle, PassOptions,
    PeopleEvent, Person, Quantity, Result, RetractOutcome, Role, SecondUse, SeriesPoint, Setup,
    SetupId, SpecField, StringChange, Tool, TuningChange, Undone, VersionChoice, VersionId, Visit,
    VisitId, VisitLine, WaitingFor, WriteOptions,
};

/// One instrument of a workshop. A handle: several may stand for the same instrument, and to close
/// one closes nothing else.
///
/// Calls block and may come from any thread. Calls that write answer `NotAllowed` if this device is
/// a viewer, `ReadOnly` if a newer version wrote the record, `Full`, `Storage`, `Busy`, `Keys` if
/// the store or the keeper say so, and `Closed`; each call names what it may answer besides. Those
/// that write an entry answer its id; `options` say when it happened and who did it or read it, if
/// not now and the person at the device.
#[derive(uniffi::Object)]
pub struct Instrument {
    inner: fallaway::Instrument,
    pub(crate) voice: Arc<WorkshopVoice>,
}

impl Instrument {
    pub(crate) fn of(voice: &Arc<WorkshopVoice>, inner: fallaway::Instrument) -> Arc<Self> {
        Arc::new(Self { inner, voice: Arc::clone(voice) })
    }

    /// The instrument that is asked, in the voice of its workshop.
    pub(crate) fn inner(&self) -> &fallaway::Instrument {
        self.voice.is_asked();
        &self.inner
    }
}

/// Everything about an instrument but its history.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct InstrumentDetails {
    /// Its id; the same on every device.
    pub id: InstrumentId,
    /// What people call it; empty while no name has arrived.
    pub name: String,
    /// What it is: every fact that is written, from tuning to truss rod.
    pub spec: InstrumentSpec,
    /// Who shares the record.
    pub people: Vec<Person>,
    /// What this device may do; `None` while the record's founding has not arrived.
    pub role: Option<Role>,
    /// Devices that came with an invitation which another one had used, and are no members.
    pub second_uses: Vec<SecondUse>,
    /// How many fields have two or more values.
    pub contested: u32,
    /// How many changes wait for something that has not arrived.
    pub waiting: u32,
    /// How many changes are kept and not applied, since their author may not write, or since they
    /// were found unsound.
    pub set_aside: u32,
    /// Why the record may only be read, if so.
    pub read_only: Option<String>,
    /// The same as data.
    pub read_only_why: Option<WhyReadOnly>,
    /// The visit that this device has open.
    pub open_visit: Option<Visit>,
    /// One short text for the whole history: equal on two devices exactly when they have the same,
    /// drafts not counted.
    pub history_digest: String,
    /// What was done about people, when, and by whom: the oldest first. What was done after seeing
    /// something comes after it, whatever the clocks said; names are those of today.
    #[uniffi(default = [])]
    pub people_history: Vec<PeopleEvent>,
}

#[uniffi::export]
impl Instrument {
    /// The instrument's id; the same on every device.
    pub fn id(&self) -> InstrumentId {
        self.inner().id().into()
    }

    /// The instrument's name. Cheap: the record is not loaded.
    ///
    /// # Errors
    /// When the record cannot be read; `Closed`.
    pub fn name(&self) -> Result<String> {
        Ok(self.inner().name()?)
    }

    /// Everything about the instrument but its history, for one screen.
    ///
    /// # Errors
    /// When the record cannot be read; `Closed`.
    pub fn details(&self) -> Result<InstrumentDetails> {
        let view = self.inner().details()?;
        Ok(InstrumentDetails {
            id: view.id.into(),
            name: view.name,
            spec: (&view.spec).into(),
            people: view.people.into_iter().map(Person::from).collect(),
            role: view.role.map(Role::from),
            second_uses: self.second_uses()?,
            contested: count(view.contested),
            waiting: count(view.waiting),
            set_aside: count(view.set_aside),
            read_only: view.read_only.as_ref().map(say),
            read_only_why: view.read_only.as_ref().map(WhyReadOnly::of),
            open_visit: view.open_visit.map(Visit::from),
            history_digest: view.history_digest,
            people_history: view.people_history.into_iter().map(PeopleEvent::from).collect(),
        })
    }

    /// The history, in the order in which things happened: what was written after seeing something
    /// comes after it, whatever the clocks said.
    ///
    /// # Errors
    /// `BadInput` for a text that is no id, `NotFound` for an entry to come before that is not
    /// there; when the record cannot be read.
    pub fn history(&self, filter: &HistoryFilter) -> Result<Vec<HistoryEntry>> {
        Ok(self.inner().history(&filter.typed()?)?.iter().map(HistoryEntry::of).collect())
    }

    /// Every reading of a quantity that was not crossed out, by time: at one location or at all, since
    /// a time and before another, where they are given.
    ///
    /// # Errors
    /// `BadInput` for a fret, string or time that cannot be; when the record cannot be read.
    #[uniffi::method(default(location = None, since = None, until = None))]
    pub fn series(
        &self,
        quantity: Quantity,
        location: Option<Location>,
        since: Option<Moment>,
        until: Option<Moment>,
    ) -> Result<Vec<SeriesPoint>> {
        self.voice.is_asked();
        let quantity = quantity.typed()?;
        let location = location.as_ref().map(Location::typed).transpose()?;
        let since = since.map(Moment::typed).transpose()?;
        let until = until.map(Moment::typed).transpose()?;
        let points = self.inner().series(quantity, location, since, until)?;
        Ok(points.into_iter().map(|point| SeriesPoint::of(point, quantity)).collect())
    }

    /// The entry with this id.
    ///
    /// # Errors
    /// `NotFound`.
    pub fn entry(&self, id: EntryId) -> Result<HistoryEntry> {
        Ok(HistoryEntry::of(&self.inner().entry(&id.to_string())?))
    }

    /// The entry with the short id that the history shows on this device.
    ///
    /// # Errors
    /// `NotFound`.
    pub fn entry_called(&self, short_id: &str) -> Result<HistoryEntry> {
        Ok(HistoryEntry::of(&self.inner().entry(short_id)?))
    }

    /// Every visit, in the order of the history.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn visits(&self) -> Result<Vec<VisitLine>> {
        Ok(self.inner().visits()?.into_iter().map(VisitLine::from).collect())
    }

    /// Opens a visit and answers its id. One that this device has open is ended first, unless
    /// the new one is of an earlier time. `purpose` is what it is for, at most 2000 characters.
    ///
    /// # Errors
    /// `BadInput` for a purpose that is too long; whatever an edit answers.
    #[uniffi::method(default(purpose = None, options = None))]
    pub fn begin_visit(
        &self,
        purpose: Option<String>,
        options: Option<WriteOptions>,
    ) -> Result<VisitId> {
        Ok(self.inner().begin_visit(purpose.as_deref(), typed(options)?)?.into())
    }

    /// Ends the open visit; `note` is what is left to do or to watch. What was written becomes one change, which the next bundle carries.
    ///
    /// # Errors
    /// `NotFound` if none is open; whatever an edit answers.
    #[uniffi::method(default(note = None, options = None))]
    pub fn end_visit(&self, note: Option<String>, options: Option<WriteOptions>) -> Result<()> {
        Ok(self.inner().end_visit(note.as_deref(), typed(options)?)?)
    }

    /// Writes a pass down, reading by reading. Opens a visit if none is open.
    ///
    /// # Errors
    /// `BadInput` that names the reading, what is wrong with it and what would be accepted;
    /// `Unsure` if readings are implausible: ask the person, then call again with the doubts that
    /// they answered with yes; whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn add_pass(&self, new_pass: &NewPass, options: Option<WriteOptions>) -> Result<EntryId> {
        Ok(self.inner().add_pass(new_pass.typed()?, typed(options)?)?.into())
    }

    /// Writes a pass down as a person writes it, in one line: "5 5 5 6". Readings are separated by
    /// spaces; "-" is a string that was not read, "=" one that is as it was read the last time; a
    /// number without a unit is in the steps of `tool`. Opens a visit if none is open.
    ///
    /// From the highest string on, if `taken` says nothing else.
    ///
    /// # Errors
    /// As `add_pass`.
    #[uniffi::method(default(tool = None, taken = None, options = None))]
    pub fn add_pass_text(
        &self,
        quantity: Quantity,
        text: String,
        tool: Option<Tool>,
        taken: Option<PassOptions>,
        options: Option<WriteOptions>,
    ) -> Result<EntryId> {
        self.voice.is_asked();
        let tool = tool.as_ref().map(Tool::typed).transpose()?;
        let (taken, options) = (taken.unwrap_or_default().typed()?, typed(options)?);
        let id =
            self.inner().add_pass_text_with(quantity.typed()?, &text, tool, &taken, options)?;
        Ok(id.into())
    }

    /// Writes down what was turned, moved, cut or replaced. Opens a visit if none is open.
    ///
    /// # Errors
    /// `BadInput` for a part that the instrument does not have, more than 100 turns, or a length
    /// that cannot be read; whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn add_adjustment(
        &self,
        adjustment: Adjustment,
        options: Option<WriteOptions>,
    ) -> Result<EntryId> {
        Ok(self.inner().add_adjustment(adjustment.typed()?, typed(options)?)?.into())
    }

    /// Writes down that strings were changed. What was fitted becomes the instrument's fact too.
    /// Opens a visit if none is open.
    ///
    /// # Errors
    /// `BadInput` for a string that the instrument does not have, or a gauge that cannot be read;
    /// whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn add_string_change(
        &self,
        change: StringChange,
        options: Option<WriteOptions>,
    ) -> Result<EntryId> {
        Ok(self.inner().add_string_change(&change.typed()?, typed(options)?)?.into())
    }

    /// Writes down that strings were tuned, to pitch or to another tuning, which becomes the
    /// instrument's fact too. Opens a visit if none is open.
    ///
    /// # Errors
    /// `BadInput` for a string that the instrument does not have, or a note that is none; whatever
    /// an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn add_tuning(
        &self,
        tuning: TuningChange,
        options: Option<WriteOptions>,
    ) -> Result<EntryId> {
        Ok(self.inner().add_tuning(&tuning.typed()?, typed(options)?)?.into())
    }

    /// Writes down the air around the instrument. Opens a visit if none is open.
    ///
    /// # Errors
    /// `BadInput` for a temperature or humidity that cannot be read; whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn add_climate(&self, climate: Climate, options: Option<WriteOptions>) -> Result<EntryId> {
        Ok(self.inner().add_climate(climate.typed()?, typed(options)?)?.into())
    }

    /// Writes a remark down: part of a visit if one is open. `replaces` is the id of a remark that
    /// it corrects, `about` the id of an entry that it is about.
    ///
    /// # Errors
    /// `BadInput` for an empty text or one of more than 2000 characters, and for ids that name
    /// nothing; whatever an edit answers.
    #[uniffi::method(default(replaces = None, about = None, options = None))]
    pub fn add_remark(
        &self,
        text: String,
        replaces: Option<EntryId>,
        about: Option<EntryId>,
        options: Option<WriteOptions>,
    ) -> Result<EntryId> {
        self.voice.is_asked();
        let remark = fallaway::record::Remark {
            text,
            replaces: replaces.map(|id| id.0),
            about: about.map(|id| id.0),
            ..fallaway::record::Remark::default()
        };
        Ok(self.inner().add_remark(remark, typed(options)?)?.into())
    }

    /// Writes down that a note buzzes: part of a visit if one is open.
    ///
    /// # Errors
    /// `BadInput` for a string or fret that the instrument does not have; whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn add_buzz(&self, buzz: BuzzNote, options: Option<WriteOptions>) -> Result<EntryId> {
        Ok(self.inner().add_buzz(buzz.typed()?, typed(options)?)?.into())
    }

    /// Crosses an entry out, by its id. It stays in the history with the reason; only a line of this
    /// device's draft, which nobody else has seen, is erased.
    ///
    /// # Errors
    /// `BadInput` for an entry that is not there or is crossed out already, for a visit that has
    /// entries, and for an empty reason; whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn retract(
        &self,
        entry: EntryId,
        reason: &str,
        options: Option<WriteOptions>,
    ) -> Result<RetractOutcome> {
        Ok(self.inner().retract(entry.0, reason, typed(options)?)?.into())
    }

    /// What `undo` would take back, in words, a line each; `None` if there is nothing: for a menu.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn undoable(&self) -> Result<Option<Vec<String>>> {
        Ok(self.inner().undoable()?.map(|lines| lines.iter().map(say).collect()))
    }

    /// What `redo` would make again, in words, a line each; `None` if there is nothing.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn redoable(&self) -> Result<Option<Vec<String>>> {
        Ok(self.inner().redoable()?.map(|lines| lines.iter().map(say).collect()))
    }

    /// Takes back what this device wrote last (an entry, a fact, a target, a setup, a crossing out),
    /// and tells what that was. A line that nobody has seen yet is erased; one that is sealed is
    /// answered: an entry is crossed out, a fact or target gets back the value before. What somebody
    /// else has changed since is left alone. Also after a restart.
    ///
    /// # Errors
    /// `NotFound` if there is nothing to take back; whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn undo(&self, options: Option<WriteOptions>) -> Result<Undone> {
        self.voice.is_asked();
        let reason = say(&fallaway::text::messages::entries::reason_undo());
        Ok((&self.inner().undo(&reason, typed(options)?)?).into())
    }

    /// Makes again what was taken back last, as long as nothing else was written since.
    ///
    /// # Errors
    /// `NotFound` if there is nothing to make again; whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn redo(&self, options: Option<WriteOptions>) -> Result<Undone> {
        Ok((&self.inner().redo(typed(options)?)?).into())
    }

    /// Brings a crossed-out entry back and answers its id. Where nobody has seen the crossing out
    /// yet, it stands again as it was; else it is written down again, with its time, its author and
    /// its visit, at the end of the history. With another time or person in `options` it is written
    /// down again in any case, with these, in the visit of that time.
    ///
    /// # Errors
    /// `NotFound` for an entry that is not there, `BadInput` for one that is not crossed out;
    /// whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn bring_back(&self, entry: EntryId, options: Option<WriteOptions>) -> Result<EntryId> {
        Ok(EntryId(self.inner().bring_back_as(entry.0, typed(options)?)?))
    }

    /// Sets a fact about the instrument; `details` shows them all.
    ///
    /// # Errors
    /// `Unsure` for a number outside what such instruments have, and for an order that looks like the
    /// wrong way round; `BadInput` with what would be accepted; whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn set_spec(&self, field: SpecField, options: Option<WriteOptions>) -> Result<()> {
        Ok(self.inner().set_spec(&field.typed()?, typed(options)?)?)
    }

    /// Sets facts that belong together, such as the notes of all strings, in one step; `undo` takes all of
    /// them back.
    ///
    /// # Errors
    /// As `set_spec`: nothing is set then.
    #[uniffi::method(default(options = None))]
    pub fn set_specs(&self, fields: Vec<SpecField>, options: Option<WriteOptions>) -> Result<()> {
        self.voice.is_asked();
        let fields: Result<Vec<_>> = fields.into_iter().map(SpecField::typed).collect();
        Ok(self.inner().set_specs(&fields?, typed(options)?)?)
    }

    /// Takes a fact back, by its key in the record ("scale", "tuning/4", "string/4", "screw/rod"; an
    /// unknown one is answered with those that are set): it is not known any more.
    ///
    /// # Errors
    /// `NotFound` if it is not set; whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn unset_spec(&self, key: &str, options: Option<WriteOptions>) -> Result<()> {
        Ok(self.inner().unset_spec(key, typed(options)?)?)
    }

    /// Every setup with its targets.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn setups(&self) -> Result<Vec<Setup>> {
        Ok(self.inner().setups()?.into_iter().map(Setup::from).collect())
    }

    /// The setups that were deleted, as `bring_back_setup` would bring them back.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn deleted_setups(&self) -> Result<Vec<Setup>> {
        Ok(self.inner().deleted_setups()?.into_iter().map(Setup::from).collect())
    }

    /// The setup that people call so, or that has this id.
    ///
    /// # Errors
    /// `NotFound` with the names that there are; when the record cannot be read.
    pub fn setup_named(&self, name: &str) -> Result<Setup> {
        Ok(self.inner().setup_named(name)?.into())
    }

    /// Makes a setup without targets.
    ///
    /// # Errors
    /// `BadInput` for a name that cannot be used (1 to 40 letters and digits) or that another has;
    /// whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn add_setup(&self, name: &str, options: Option<WriteOptions>) -> Result<Setup> {
        Ok(self.inner().add_setup(name, typed(options)?)?.into())
    }

    /// Calls a setup something else. Its id stays.
    ///
    /// # Errors
    /// `NotFound` for a setup that is not there; `BadInput` for a name that cannot be used or that
    /// another has; whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn rename_setup(
        &self,
        setup: SetupId,
        name: &str,
        options: Option<WriteOptions>,
    ) -> Result<()> {
        Ok(self.inner().rename_setup(&setup.0, name, typed(options)?)?)
    }

    /// Deletes a setup with its targets, for everybody who shares the record. It can be brought back;
    /// a target that somebody set without having seen the deletion, or sets later, does so by itself.
    ///
    /// # Errors
    /// `NotFound` for a setup that is not there; whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn delete_setup(&self, setup: SetupId, options: Option<WriteOptions>) -> Result<()> {
        Ok(self.inner().delete_setup(&setup.0, typed(options)?)?)
    }

    /// Brings a deleted setup back as it was.
    ///
    /// # Errors
    /// `NotFound` for a setup that was not deleted; `BadInput` if another has its name now; whatever
    /// an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn bring_back_setup(&self, setup: SetupId, options: Option<WriteOptions>) -> Result<()> {
        Ok(self.inner().bring_back_setup(&setup.0, typed(options)?)?)
    }

    /// Makes a setup of the numbers of a visit (by its id; if none is named, the last one with
    /// readings): "these numbers are the ones". Of each quantity at each location the last reading that
    /// was not crossed out becomes the target, those marked as left first. A setup of this name is
    /// replaced target by target.
    ///
    /// # Errors
    /// `BadInput` for a name that cannot be used (1 to 40 letters and digits), `NotFound` if there
    /// is no visit or nothing was read in it; whatever an edit answers.
    #[uniffi::method(default(visit = None, options = None))]
    pub fn take_setup(
        &self,
        name: &str,
        visit: Option<VisitId>,
        options: Option<WriteOptions>,
    ) -> Result<Setup> {
        Ok(self.inner().take_setup(name, visit.map(|visit| visit.0), typed(options)?)?.into())
    }

    /// Sets a target in a setup, which is made if there is none of this id.
    ///
    /// # Errors
    /// `Unsure` for a target outside what is usual on such an instrument; `BadInput` for one that cannot
    /// be, a string or fret that the instrument does not have, a value of another dimension, a tolerance
    /// below zero; whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn set_target(
        &self,
        setup: SetupId,
        target: NewTarget,
        options: Option<WriteOptions>,
    ) -> Result<()> {
        self.voice.is_asked();
        let options = typed(options)?;
        let target = target.typed(options.clone(), self.inner().now())?;
        Ok(self.inner().set_target(&setup.0, &target, options)?)
    }

    /// Sets targets that belong together, such as those of all strings, in one step, in the setup that
    /// people call so; it is made if there is none. `undo` takes all of them back.
    ///
    /// # Errors
    /// As `set_target`: nothing is set then; `BadInput` for a name that cannot be used.
    #[uniffi::method(default(options = None))]
    pub fn set_targets(
        &self,
        name: &str,
        targets: Vec<NewTarget>,
        options: Option<WriteOptions>,
    ) -> Result<Setup> {
        self.voice.is_asked();
        let (options, now) = (typed(options)?, self.inner().now());
        let targets: Result<Vec<_>> =
            targets.into_iter().map(|target| target.typed(options.clone(), now)).collect();
        Ok(self.inner().set_targets(name, &targets?, options)?.into())
    }

    /// Removes a target from a setup. What it was stays in the history of the record.
    ///
    /// # Errors
    /// `NotFound` for an unknown setup, `BadInput` if there is no such target; whatever an edit
    /// answers.
    #[uniffi::method(default(options = None))]
    pub fn remove_target(
        &self,
        setup: SetupId,
        quantity: Quantity,
        location: &Location,
        options: Option<WriteOptions>,
    ) -> Result<()> {
        Ok(self.inner().remove_target(
            &setup.0,
            quantity.typed()?,
            location.typed()?,
            typed(options)?,
        )?)
    }

    /// Writes the record although somebody's device asks for a newer version of its format: the
    /// demand is taken back until somebody makes it again.
    ///
    /// # Errors
    /// `NotAllowed` if this device is no owner; whatever an edit answers.
    pub fn write_anyway(&self) -> Result<()> {
        Ok(self.inner().write_anyway()?)
    }

    /// Of every fact when it was written, by whom and on which device, in the order of their keys.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn facts_written(&self) -> Result<Vec<FactWritten>> {
        Ok(self.inner().facts_written()?.into_iter().map(FactWritten::from).collect())
    }

    /// Fields with two or more values, each value with its author and time.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn contested(&self) -> Result<Vec<ContestedField>> {
        Ok(self.inner().contested()?.into_iter().map(ContestedField::from).collect())
    }

    /// Settles a field as it was shown: the version with the id `keep` stays, the others are
    /// superseded. They remain in the history.
    ///
    /// # Errors
    /// `Contested` if other values have arrived since these were shown, or `keep` is none of them;
    /// whatever an edit answers.
    #[uniffi::method(default(options = None))]
    pub fn settle(
        &self,
        shown: ContestedField,
        keep: VersionId,
        options: Option<WriteOptions>,
    ) -> Result<()> {
        self.voice.is_asked();
        let seen: Vec<_> = shown.versions.iter().map(|version| version.id.0).collect();
        Ok(self.inner().settle_versions(&shown.field, &seen, keep.0, typed(options)?)?)
    }

    /// Settles fields that were written together, such as the gauges of a set, in one edit: of each the
    /// version that is kept stays. All of them are settled, or none; taken back, all are.
    ///
    /// # Errors
    /// As `settle`.
    #[uniffi::method(default(options = None))]
    pub fn settle_all(
        &self,
        choices: Vec<VersionChoice>,
        options: Option<WriteOptions>,
    ) -> Result<()> {
        self.voice.is_asked();
        let seen = |choice: &VersionChoice| {
            choice.shown.versions.iter().map(|version| version.id.0).collect::<Vec<_>>()
        };
        let seen: Vec<_> = choices.iter().map(seen).collect();
        let fields = choices
            .iter()
            .zip(&seen)
            .map(|(choice, seen)| (choice.shown.field.as_str(), seen.as_slice(), choice.keep.0));
        Ok(self.inner().settle_versions_of(fields, typed(options)?)?)
    }

    /// How much has not been delivered yet: changes, what the people of the record did, and what is
    /// not part of a change yet. Nothing is left to send at 0. What everybody else is known to have, after
    /// a meeting or by what came back, is delivered, whoever carried it.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn unsent(&self) -> Result<u32> {
        Ok(count(self.inner().unsent()?))
    }

    /// Puts what has not been delivered yet into the bytes of a bundle file; `None` if there is
    /// nothing. It stays on the list until `delivered` is called with the token, so that a share that
    /// was cancelled loses nothing. What is in the draft becomes a change first.
    ///
    /// # Errors
    /// As `bundle_out`.
    #[uniffi::method(default(progress = None))]
    pub fn bundle_unsent(
        &self,
        progress: Option<Arc<dyn ProgressListener>>,
    ) -> Result<Option<OutgoingBundle>> {
        Ok(self.inner().bundle_unsent_watched(&Watched(progress))?)
    }

    /// How much at least one other device of the record's people is not known to have, whoever wrote it:
    /// what `bundle_lacking` would carry. 0 while nobody else is there.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn lacking(&self) -> Result<u32> {
        Ok(count(self.inner().lacking()?))
    }

    /// Puts into the bytes of a bundle file what at least one other device is not known to have, whoever
    /// wrote it: what others brought here goes on to the next, and a file for one of them leaves out nothing
    /// that another one lacks. `None` if everybody is known to have everything (`device_states` tells). What
    /// is in the draft becomes a change first.
    ///
    /// # Errors
    /// As `bundle_out`.
    pub fn bundle_lacking(&self) -> Result<Option<OutgoingBundle>> {
        Ok(self.inner().bundle_lacking()?)
    }

    /// Devices that came with an invitation which another one had used, and are no members.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn second_uses(&self) -> Result<Vec<SecondUse>> {
        Ok(self.inner().second_uses()?.into_iter().map(SecondUse::from).collect())
    }

    /// The bundle with this token has arrived: what was in it is off the list. Answers how much is
    /// still unsent. To say it twice, or late, does no harm.
    ///
    /// # Errors
    /// `BadInput` for a text that is no token; when the store cannot be written.
    pub fn delivered(&self, token: &str) -> Result<u32> {
        Ok(count(self.inner().delivered(token)?))
    }

    /// Gives a member another role: the device of this fingerprint. An owner that came in later takes
    /// nothing from one that was there before. `at` is when it was agreed, if not now; it holds from when the
    /// others hear of it, and this device signs it.
    ///
    /// # Errors
    /// `NotFound`; `NotAllowed` if this device is no owner, or not one that may do this.
    #[uniffi::method(default(at = None))]
    pub fn set_role(&self, fingerprint: String, role: Role, at: Option<Moment>) -> Result<()> {
        let at = at.map(Moment::typed).transpose()?;
        Ok(self.inner().set_role_at(&fingerprint, role.typed()?, at)?)
    }

    /// Removes a device, with `all_devices` those of the same person too: it gets nothing that is
    /// written from then on. What it wrote since, unheard of, is held. `at` is when it was agreed, if not now.
    ///
    /// # Errors
    /// `NotFound`; `NotAllowed` if this device is no owner, not one that may do this, or is itself named.
    #[uniffi::method(default(all_devices = false, reason = None, at = None))]
    pub fn remove_member(
        &self,
        fingerprint: String,
        all_devices: bool,
        reason: Option<String>,
        at: Option<Moment>,
    ) -> Result<()> {
        let at = at.map(Moment::typed).transpose()?;
        let reason = reason.as_deref();
        Ok(self.inner().remove_member_at(&fingerprint, all_devices, reason, at)?)
    }

    /// Leaves the record: this device gets nothing that is written from then on, and writes nothing. `at` is
    /// when it was said, if not now.
    ///
    /// # Errors
    /// `NotAllowed` if it is no member, or the only owner.
    #[uniffi::method(default(at = None))]
    pub fn leave(&self, at: Option<Moment>) -> Result<()> {
        Ok(self.inner().leave_at(at.map(Moment::typed).transpose()?)?)
    }

    /// Invitations that nobody has used and that have not expired.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn open_invitations(&self) -> Result<Vec<InvitationView>> {
        Ok(self.inner().open_invitations()?.into_iter().map(InvitationView::from).collect())
    }

    /// Withdraws an invitation that nobody has used, by its id in `open_invitations`. `at` is when it was said,
    /// if not now.
    ///
    /// # Errors
    /// `NotFound`; `NotAllowed` if this device is no owner and has not written it.
    #[uniffi::method(default(at = None))]
    pub fn withdraw(&self, invitation: String, at: Option<Moment>) -> Result<()> {
        Ok(self.inner().withdraw_at(&invitation, at.map(Moment::typed).transpose()?)?)
    }

    /// What each device of the record's people is known to have: by what it wrote, by meetings, and by what it
    /// says over the relay, at most once an hour. What it has only read from a file is not known to anybody.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn device_states(&self) -> Result<Vec<DeviceState>> {
        Ok(self.inner().device_states()?.into_iter().map(DeviceState::from).collect())
    }

    /// What arrived here and waits for something else, and whom to ask for it; `None` if nothing waits.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn waits_for(&self) -> Result<Option<WaitingFor>> {
        Ok(self.inner().waits_for()?.map(WaitingFor::from))
    }

    /// What is kept beside the record and no part of it, by device and reason.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn held(&self) -> Result<Vec<HeldWork>> {
        Ok(self.inner().held()?.into_iter().map(HeldWork::from).collect())
    }

    /// Takes in what is held of the device with this fingerprint: from then on it is a part of the
    /// record, everywhere. Answers what came in.
    ///
    /// # Errors
    /// `NotFound` for a device of which nothing is held; `NotAllowed` if this device is no owner.
    pub fn accept_held(&self, fingerprint: String) -> Result<MergeReport> {
        Ok(self.inner().accept_held(&fingerprint)?.into())
    }

    /// Invites one device of somebody else. It works once, for so many days (1 to 366). Hand a bundle
    /// over with it: it brings the history, and the welcome without which the words open nothing.
    ///
    /// # Errors
    /// `NotAllowed` if this device is no owner, `BadInput` for the number of days and for the role owner;
    /// when the store cannot be written.
    #[uniffi::method(default(valid_days = 14))]
    pub fn invite(&self, role: Role, valid_days: u32) -> Result<NewInvitation> {
        Ok(self.inner().invite(role.typed()?, days(valid_days))?.into())
    }

    /// Invites another device of the same person: it is listed, and removed, with this one. Its role is
    /// at most that of this device, and never owner: an owner can give it that later.
    ///
    /// # Errors
    /// As `invite`; `NotAllowed` for a role above this device's own.
    #[uniffi::method(default(valid_days = 14))]
    pub fn invite_own_device(&self, role: Role, valid_days: u32) -> Result<NewInvitation> {
        Ok(self.inner().invite_own_device(role.typed()?, days(valid_days))?.into())
    }

    /// Somebody has compared a device's fingerprint by voice, or side by side: it is shown as compared on
    /// this device from now on, in every record.
    ///
    /// # Errors
    /// `NotFound` for a fingerprint of nobody; when the store cannot be written.
    pub fn compared(&self, fingerprint: &str) -> Result<()> {
        Ok(self.inner().compared(fingerprint)?)
    }

    /// The recovery words of the record, as long as nobody has said on this device that they are written
    /// down; none from then on, and on every device but that which drew them. With them and a bundle file
    /// a new device becomes an owner when all others are lost. Whoever has them is above every owner:
    /// they belong on paper.
    ///
    /// # Errors
    /// `Keys` when the keeper is locked or lost them.
    pub fn recovery_words(&self) -> Result<Option<String>> {
        Ok(self.inner().recovery_words()?)
    }

    /// The words are written down: from now on this device has them no more.
    ///
    /// # Errors
    /// `Keys` when the keeper cannot be written.
    pub fn recovery_words_written_down(&self) -> Result<()> {
        Ok(self.inner().recovery_words_written_down()?)
    }

    /// Removes devices, by their fingerprints, with the recovery words: owners too, whoever was there
    /// first. `at` is when it was agreed, if not now.
    ///
    /// # Errors
    /// As `remove_member`, and `Refused` for words that are none, or in whose place others have come.
    #[uniffi::method(default(reason = None, at = None))]
    pub fn remove_with_words(
        &self,
        words: &str,
        fingerprints: &[String],
        reason: Option<String>,
        at: Option<Moment>,
    ) -> Result<()> {
        let at = at.map(Moment::typed).transpose()?;
        Ok(self.inner().remove_with_words_at(words, fingerprints, reason.as_deref(), at)?)
    }

    /// Draws new recovery words in the place of the old ones, which are worth nothing from then on. The
    /// new ones stay in `recovery_words` until they are written down.
    ///
    /// # Errors
    /// `Refused` for words that are none, or in whose place others have come; `Keys`; when the store
    /// cannot be written.
    pub fn renew_recovery_words(&self, words: &str) -> Result<String> {
        Ok(self.inner().renew_recovery_words(words)?)
    }

    /// Puts the whole record into the bytes of a bundle file, sealed for those who share the record:
    /// nobody can lack anything afterwards. Any carrier will do. What is in the draft becomes a change
    /// first. What is unsent stays so until `delivered` is called with the token. `progress` is told how many bundles are sealed, and can stop the call.
    ///
    /// # Errors
    /// `Keys` if this device has no key of the record; `Cancelled`; when the store cannot be
    /// written.
    #[uniffi::method(default(progress = None))]
    pub fn bundle_out(
        &self,
        progress: Option<Arc<dyn ProgressListener>>,
    ) -> Result<OutgoingBundle> {
        Ok(self.inner().bundle_out_watched(&Watched(progress))?)
    }
}

/// Too many days are refused with what would be accepted.
fn days(given: u32) -> u16 {
    u16::try_from(given).unwrap_or(u16::MAX)
}
