//! One instrument: what apps read and write.

use std::sync::Arc;

use fallaway_changes::Container;
use fallaway_measure::Quantity;
use fallaway_order::PutInOrder as _;
use fallaway_record::{
    Adjustment, Buzz, Climate, EditError, EntryBody, EntryId, Moment, Pass, Placed, Remark,
    Retraction, SetupId, SpecField, State, StringChange, Tuning,
};
use fallaway_sharing::Role;
use fallaway_store::ChangeStanding;

use fallaway_text::errors::{Accepted, NothingAccepted};
use fallaway_text::messages::errors as say;

use crate::error::{Error, NotFoundKind, Result, field, there_are};
use crate::keeping::projection;
use crate::keeping::secrets::compared;
use crate::keeping::workshop_state::WorkshopState;
use crate::sharing::people_history::people_history;
use crate::showing::card::{Card, CardData, Latest};
use crate::showing::views::{
    HistoryEntry, HistoryFilter, InstrumentDetails, InstrumentId, Person, RetractOutcome,
};
use crate::writing::doubts::{Lengths, of_pass};
use crate::writing::open_visit::open_visit;
use crate::writing::write_options::{Doubt, WriteOptions};

/// One instrument of a workshop. A handle: copies mean the same instrument.
#[derive(Clone)]
pub struct Instrument {
    pub(crate) inner: Arc<WorkshopState>,
    pub(crate) id: InstrumentId,
}

impl Instrument {
    /// The instrument's id; the same on every device.
    pub fn id(&self) -> InstrumentId {
        self.id
    }

    /// The present moment by the workshop's clock.
    pub fn now(&self) -> Moment {
        self.inner.clock.now()
    }

    /// The instrument's name.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn name(&self) -> Result<String> {
        Ok(self.card_data()?.name)
    }

    /// Everything about the instrument but its history.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn details(&self) -> Result<InstrumentDetails> {
        let Moment { unix_s: now, offset_min } = self.inner.clock.now();
        self.inner.with_record(self.id, |identity, loaded| {
            let state = loaded.state(now);
            let device = identity.keys.device();
            let mut labels = loaded.members.labels(&device);
            let known = compared(self.inner.store.as_ref())?;
            let people = loaded.members.members().into_iter().map(|member| Person {
                person: member.person.fingerprint(),
                compared: member.device == device || known.contains(&member.device),
                label: labels.remove(&member.device).unwrap_or(member.label),
                role: member.role,
                fingerprint: member.device.fingerprint(),
                this_device: member.device == device,
            });
            let mut heads = loaded.record.heads();
            heads.put_in_order();
            let mut hasher = blake3::Hasher::new();
            for head in &heads {
                hasher.update(head.as_bytes());
            }
            let hex = hasher.finalize().to_hex();
            Ok(InstrumentDetails {
                id: self.id,
                name: state.spec().name.clone().unwrap_or_default(),
                spec: state.spec().clone(),
                people: people.collect(),
                people_history: people_history(&loaded.members, &device, offset_min),
                role: loaded.role(identity),
                contested: state.registers().contested().count(),
                waiting: loaded.count(ChangeStanding::Waiting),
                set_aside: loaded.count(ChangeStanding::Held)
                    + loaded.count(ChangeStanding::Quarantined),
                read_only: match loaded.read_only(identity) {
                    Some(Error::ReadOnly { reason, .. }) => Some(reason),
                    _ => None,
                },
                open_visit: open_visit(loaded, now),
                history_digest: hex.chars().take(12).collect(),
            })
        })
    }

    /// What this device may do in the record; `None` while its founding has not arrived.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn role(&self) -> Result<Option<Role>> {
        self.inner.with_record(self.id, |identity, loaded| Ok(loaded.role(identity)))
    }

    /// The numbers: last readings beside the targets of a setup (the default one if none is named).
    /// Reads a projection only.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a setup that the instrument does not have.
    pub fn card(&self, setup: Option<&SetupId>) -> Result<Card> {
        let low_first = self.inner.preferences()?.low_first;
        Card::of(&self.card_data()?, setup, low_first).map_err(|names| Error::NotFound {
            what: NotFoundKind::Setup,
            name: setup.map(ToString::to_string).unwrap_or_default(),
            accepted: there_are(names),
        })
    }

    pub(crate) fn card_data(&self) -> Result<CardData> {
        drop(self.inner.session()?);
        if self.inner.as_of.get().is_some() {
            let now = self.inner.clock.now().unix_s;
            return self.inner.with_record(self.id, |_, loaded| {
                let state = loaded.state(now);
                Ok(CardData::of(state.registers(), Latest::of(&state, state.entries())))
            });
        }
        let stored = self.inner.store.projection(&self.id, projection::CARD)?;
        if let Some(data) = stored.and_then(|bytes| projection::decode(&bytes)) {
            return Ok(data);
        }
        self.inner.with_record(self.id, |_, loaded| Ok(self.inner.card_anew(loaded)))
    }

    /// The history, in the order in which things happened: what was written after seeing something
    /// comes after it, whatever the clocks said.
    ///
    /// # Errors
    /// [`Error::NotFound`] for an entry to come before that is not there; when the record cannot be
    /// read.
    pub fn history(&self, filter: &HistoryFilter) -> Result<Vec<HistoryEntry>> {
        let now = self.inner.clock.now().unix_s;
        self.inner.with_record(self.id, |identity, loaded| {
            let state = loaded.state(now);
            let writers = loaded.writer_labels(identity);
            let keep = |placed: &Placed| {
                let entry = &placed.entry;
                let in_visit = |visit| entry.visit == Some(visit) || entry.id == visit;
                (filter.kinds.is_empty() || filter.kinds.contains(&entry.body.kind()))
                    && filter.visit.is_none_or(in_visit)
                    && filter.quantity.is_none_or(|wanted| reads(entry, wanted))
                    && filter.since.is_none_or(|since| since.unix_s <= entry.at.unix_s)
                    && filter.until.is_none_or(|until| entry.at.unix_s < until.unix_s)
                    && says(filter, entry, &state)
                    && !(filter.hide_retracted && state.is_retracted(entry.id))
            };
            let most = filter.last.unwrap_or(usize::MAX);
            let page = |entries: &mut dyn Iterator<Item = &Placed>| -> Vec<HistoryEntry> {
                let kept = entries.filter(|placed| keep(placed)).take(most);
                let mut views: Vec<HistoryEntry> =
                    kept.map(|placed| entry_view(&state, placed, &writers)).collect();
                views.reverse();
                views
            };
            match filter.before {
                None => Ok(page(&mut state.entries().rev())),
                Some(before) => match state.entries_before(before) {
                    Some(entries) => Ok(page(&mut entries.rev())),
                    None => Err(Error::not_found(NotFoundKind::Entry, before.to_string())),
                },
            }
        })
    }

    /// The entry with this short name, as the history shows it, or with this whole id.
    ///
    /// # Errors
    /// [`Error::NotFound`].
    pub fn entry(&self, short: &str) -> Result<HistoryEntry> {
        let now = self.inner.clock.now().unix_s;
        let wanted = short.trim();
        self.inner.with_record(self.id, |identity, loaded| {
            let state = loaded.state(now);
            let writers = loaded.writer_labels(identity);
            let by_id = wanted.parse::<EntryId>().ok().and_then(|id| state.get(id));
            let named = |placed: &&Placed| writers.short(&placed.entry.id) == wanted;
            match by_id.or_else(|| state.entries().find(named)) {
                Some(placed) => Ok(entry_view(&state, placed, &writers)),
                None => Err(Error::NotFound {
                    what: NotFoundKind::Entry,
                    name: short.to_owned(),
                    accepted: {
                        let latest: Vec<_> = state.entries().rev().take(3).collect();
                        let names = latest.iter().map(|placed| writers.short(&placed.entry.id));
                        let names: Vec<String> = names.collect();
                        Accepted::like(&names.join(", ")).said(say::history_names())
                    },
                }),
            }
        })
    }

    /// Which readings are implausible for this instrument: what to ask the person.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a reading that cannot be.
    pub fn doubts(&self, pass: &Pass) -> Result<Vec<Doubt>> {
        let now = self.inner.clock.now().unix_s;
        self.inner.with_record(self.id, |_, loaded| {
            let registers = loaded.registers(now);
            of_pass(&Lengths::new(registers.spec(), &|| loaded.state(now)), pass)
        })
    }

    /// Writes a pass down, reading by reading; [`Instrument::add_pass_text`] takes it as a person
    /// writes it. Opens a visit if none is open.
    ///
    /// # Errors
    /// [`Error::Unsure`] if a reading is implausible: ask the person, and call again with the doubts
    /// that they accept; [`Error::BadInput`] for a string or fret that the instrument does not have,
    /// and for a reading that cannot be; whatever an edit answers.
    pub fn add_pass(&self, pass: Pass, options: impl Into<WriteOptions>) -> Result<EntryId> {
        self.write(&EntryBody::Pass(pass), &options.into())
    }

    /// Writes down what was turned, moved, cut or replaced. Opens a visit if none is open.
    ///
    /// # Errors
    /// [`Error::Unsure`] for more turns at once than hands make, and for a screw that is turned against the
    /// way it is known to work; [`Error::BadInput`] for a part that the instrument does not have; whatever
    /// an edit answers.
    pub fn add_adjustment(
        &self,
        adjustment: Adjustment,
        options: impl Into<WriteOptions>,
    ) -> Result<EntryId> {
        self.write(&EntryBody::Adjustment(adjustment), &options.into())
    }

    /// Writes down that strings were changed. What was fitted becomes the instrument's fact too.
    /// Opens a visit if none is open.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a string that the instrument does not have; whatever an edit answers.
    pub fn add_string_change(
        &self,
        change: &StringChange,
        options: impl Into<WriteOptions>,
    ) -> Result<EntryId> {
        self.write(&EntryBody::StringChange(change.clone()), &options.into())
    }

    /// Writes down that strings were tuned, to pitch or to another tuning, which becomes the
    /// instrument's fact too. Opens a visit if none is open.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a string that the instrument does not have; whatever an edit answers.
    pub fn add_tuning(&self, tuning: &Tuning, options: impl Into<WriteOptions>) -> Result<EntryId> {
        self.write(&EntryBody::Tuning(tuning.clone()), &options.into())
    }

    /// Writes down the air around the instrument. Opens a visit if none is open.
    ///
    /// # Errors
    /// Whatever an edit answers.
    pub fn add_climate(
        &self,
        climate: Climate,
        options: impl Into<WriteOptions>,
    ) -> Result<EntryId> {
        self.write(&EntryBody::Climate(climate), &options.into())
    }

    /// Writes a remark down: part of a visit if one is open.
    ///
    /// # Errors
    /// [`Error::BadInput`] for an empty text; whatever an edit answers.
    pub fn add_remark(&self, remark: Remark, options: impl Into<WriteOptions>) -> Result<EntryId> {
        self.write(&EntryBody::Remark(remark), &options.into())
    }

    /// Writes down that a note buzzes: part of a visit if one is open.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a string or fret that the instrument does not have; whatever an edit
    /// answers.
    pub fn add_buzz(&self, buzz: Buzz, options: impl Into<WriteOptions>) -> Result<EntryId> {
        self.write(&EntryBody::Buzz(buzz), &options.into())
    }

    fn write(&self, body: &EntryBody, options: &WriteOptions) -> Result<EntryId> {
        self.inner.edit(self.id, |edit| edit.write(body, options))
    }

    /// Crosses an entry out. It stays in the history with the reason; only a line of this device's
    /// draft, which nobody else has seen, is erased.
    ///
    /// # Errors
    /// [`Error::BadInput`] for an entry that is not there or is crossed out already, and for an
    /// empty reason; whatever an edit answers.
    pub fn retract(
        &self,
        entry: EntryId,
        reason: &str,
        options: impl Into<WriteOptions>,
    ) -> Result<RetractOutcome> {
        let (reason, options) = (reason.trim(), options.into());
        self.inner.edit(self.id, |edit| {
            let key = entry.to_string();
            if edit.loaded.ordinal(Container::LOG, &key).is_some() {
                let state = edit.loaded.state(edit.at.unix_s);
                if state.of_visit(entry).next().is_some() {
                    return Err(Error::bad_input(
                        field("entry"),
                        say::visit_has_entries(),
                        Accepted::nothing(NothingAccepted::Already).said(say::cross_out_first()),
                    ));
                }
                edit.erase(Container::LOG, key);
                return Ok(RetractOutcome::Erased);
            }
            let at = options.at.unwrap_or(edit.at);
            let retraction = Retraction { at, by: options.by.clone(), reason: reason.to_owned() };
            let draft = edit.draft();
            let put = edit
                .loaded
                .record
                .editor(edit.loaded.writer, &draft)
                .retract(entry, &retraction)?;
            edit.put(put)?;
            Ok(RetractOutcome::Kept)
        })
    }

    /// Takes a fact about the instrument back, by its key ([`SpecField::key`], such as "scale" or
    /// "tuning/4"): it is not known any more. Where somebody else sets it meanwhile, two values stand
    /// side by side, one of them "removed".
    ///
    /// # Errors
    /// [`Error::NotFound`] if it is not set, with the keys of those that are; whatever an edit
    /// answers.
    pub fn unset_spec(&self, key: &str, options: impl Into<WriteOptions>) -> Result<()> {
        let options = options.into();
        self.inner.edit(self.id, |edit| {
            edit.stating(&options)?;
            let draft = edit.draft();
            let editor = edit.loaded.record.editor(edit.loaded.writer, &draft);
            let put = editor.unset_spec(key).map_err(|error| match error {
                EditError::NotSet { .. } => {
                    let set = editor.registers().spec().fields();
                    let set: Vec<String> = set.iter().map(SpecField::key).collect();
                    Error::NotFound {
                        what: NotFoundKind::Fact,
                        name: key.to_owned(),
                        accepted: there_are(set),
                    }
                }
                other => other.into(),
            })?;
            edit.put(put)?;
            Ok(())
        })
    }

    /// Sets a fact about the instrument.
    ///
    /// # Errors
    /// As [`Instrument::set_specs`].
    pub fn set_spec(&self, field: &SpecField, options: impl Into<WriteOptions>) -> Result<()> {
        self.set_specs(std::slice::from_ref(field), options)
    }

    /// Sets facts that belong together, such as the notes of all strings, in one step. The options say when
    /// they were found and by whom, if not now and by this device: it is shown beside the value
    /// ([`Instrument::facts_written`], [`crate::ContestedVersion`]).
    ///
    /// # Errors
    /// [`Error::Unsure`] for a number outside what such instruments have, and for an order that looks
    /// like the wrong way round; [`Error::BadInput`] with what would be accepted; whatever an edit
    /// answers.
    pub fn set_specs(&self, fields: &[SpecField], options: impl Into<WriteOptions>) -> Result<()> {
        let options = options.into();
        self.inner.edit(self.id, |edit| {
            edit.stating(&options)?;
            edit.set_facts(fields, &options.accept)
        })
    }
}

fn reads(entry: &fallaway_record::Entry, wanted: Quantity) -> bool {
    matches!(&entry.body, EntryBody::Pass(pass) if pass.quantity == wanted)
}

/// Whether an entry has the words that are searched.
fn says(filter: &HistoryFilter, entry: &fallaway_record::Entry, state: &State) -> bool {
    let Some(wanted) = &filter.text else { return true };
    let wanted = wanted.to_lowercase();
    let by = entry.by.as_deref().unwrap_or_default().to_lowercase();
    let words = fallaway_text::entries::entry(entry, state.spec());
    by.contains(&wanted) || filter.voice.say(&words).to_lowercase().contains(&wanted)
}

fn entry_view(
    state: &State,
    placed: &Placed,
    writers: &crate::keeping::loaded_record::WriterLabels,
) -> HistoryEntry {
    let id = placed.entry.id;
    let retracted = state.retractions(id).iter().map(|retracted| match &retracted.retraction {
        Some(retraction) => Retraction {
            by: Some(writers.who(&retracted.writer, retraction.by.as_deref())),
            at: retraction.at,
            reason: retraction.reason.clone(),
        },
        None => Retraction {
            by: Some(writers.label(&retracted.writer)),
            at: placed.entry.at,
            // That it is a newer version's is said by whoever shows it.
            reason: String::new(),
        },
    });
    HistoryEntry {
        short: writers.short(&id),
        device: writers.label(&id.writer),
        who: writers.who(&id.writer, placed.entry.by.as_deref()),
        draft: placed.change.is_none(),
        retracted: retracted.collect(),
        replaced_by: state.replaced_by(id),
        text: fallaway_text::entries::entry(&placed.entry, state.registers().spec()),
        entry: placed.entry.clone(),
    }
}
