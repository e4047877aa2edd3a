//! Writing entries down: one, or many in one durable commit.

use fallaway_record::{
    EntryBody, EntryId, Remark, SetupId, SpecField, Stated, StringChange, Target, Tuning,
    VisitEnded, VisitOpened,
};
use fallaway_text::{facts as text, names};

use crate::error::{Error, NotFoundKind, Result, field};
use crate::instrument::Instrument;
use crate::keeping::workshop_state::Edit;
use crate::likely::likely;
use crate::writing::doubts::{Lengths, of_adjustment, of_air, of_facts, of_pass};
use crate::writing::write_options::{Accept, Doubt, WriteOptions};

/// An entry to write down.
#[derive(Debug, Clone, PartialEq)]
pub struct NewEntry {
    /// What it says.
    pub body: EntryBody,
    /// When it happened, who did it, and which doubts are answered.
    pub options: WriteOptions,
}

impl NewEntry {
    /// With the options of a write; `None` for now and whoever is at the device.
    pub fn new(body: EntryBody, options: impl Into<WriteOptions>) -> Self {
        Self { body, options: options.into() }
    }

    /// That a visit begins.
    pub fn visit(purpose: Option<&str>, options: impl Into<WriteOptions>) -> Self {
        let purpose = purpose.map(str::to_owned);
        Self::new(EntryBody::Visit(VisitOpened { purpose }), options)
    }

    /// That a visit is over.
    pub fn visit_end(note: Option<&str>, options: impl Into<WriteOptions>) -> Self {
        let note = note.map(str::to_owned);
        Self::new(EntryBody::VisitEnd(VisitEnded { note }), options)
    }
}

impl Instrument {
    /// Writes many entries down in one durable commit: all of them, or none. Each belongs to the visit
    /// of its time, as if they were written one by one; taken back, all are. About two thousand fit into
    /// one call.
    ///
    /// # Errors
    /// [`Error::Unsure`] with the doubts of all of them, and [`Error::BadInput`]: each names the entry
    /// ([`Doubt::entry`], [`crate::Cell::entry`]) and the reading in it; whatever an edit answers.
    pub fn write_all(&self, entries: &[NewEntry]) -> Result<Vec<EntryId>> {
        self.inner.edit(self.id, |edit| {
            let (mut ids, mut asked) = (Vec::new(), Vec::new());
            for (number, entry) in (1..).zip(entries) {
                match edit.write(&entry.body, &entry.options) {
                    Ok(id) => ids.push(id),
                    Err(Error::Unsure { doubts, .. }) => {
                        let named = |doubt| Doubt { entry: Some(number), ..doubt };
                        asked.extend(doubts.into_iter().map(named));
                    }
                    Err(error) => return Err(error.in_entry(number)),
                }
            }
            if asked.is_empty() {
                return Ok(ids);
            }
            Err(Error::Unsure { field: field("readings"), doubts: asked })
        })
    }
}

impl Edit<'_> {
    /// Adds an entry, and what follows from it: its visit, and what it makes facts of the instrument.
    ///
    /// # Errors
    /// [`Error::Unsure`] for readings that look wrong; [`Error::BadInput`].
    pub(crate) fn write(&mut self, body: &EntryBody, options: &WriteOptions) -> Result<EntryId> {
        let at = options.at.unwrap_or(self.at);
        let by = options.by.as_deref();
        self.stating(options)?;
        match body {
            EntryBody::Pass(pass) => {
                // What cannot be written is not asked about.
                let id = self.log_in_visit(body.clone(), options)?;
                let doubts = self.lengths(|lengths| of_pass(lengths, pass))?;
                options.accept.settles(names::quantity(pass.quantity), doubts)?;
                Ok(id)
            }
            EntryBody::StringChange(StringChange { fitted, .. }) => {
                let id = self.log_in_visit(body.clone(), options)?;
                let fitted = fitted.iter().cloned();
                let facts = fitted.map(|(place, spec)| SpecField::Strings(place, spec));
                self.set_facts(&facts.collect::<Vec<_>>(), &options.accept)?;
                Ok(id)
            }
            EntryBody::Tuning(Tuning { changed, .. }) => {
                let id = self.log_in_visit(body.clone(), options)?;
                let changed = changed.iter();
                let facts = changed.map(|(place, note)| SpecField::Tuning(*place, *note));
                self.set_facts(&facts.collect::<Vec<_>>(), &options.accept)?;
                Ok(id)
            }
            EntryBody::Visit(_) => self.log_at(at, body.clone(), by, None),
            EntryBody::VisitEnd(_) => {
                let visit = self.known_visit(options.at);
                let visit = visit.ok_or_else(|| Error::not_found(NotFoundKind::OpenVisit, ""))?;
                self.log_at(at, body.clone(), by, Some(visit))
            }
            EntryBody::Remark(Remark { could_not: None, .. }) | EntryBody::Buzz(_) => {
                let visit = self.known_visit(options.at);
                self.log_at(at, body.clone(), by, visit)
            }
            EntryBody::Adjustment(adjustment) => {
                let id = self.log_in_visit(body.clone(), options)?;
                let doubts = of_adjustment(self.editor().registers().spec(), adjustment);
                options.accept.settles(field("adjustment"), doubts)?;
                Ok(id)
            }
            EntryBody::Climate(climate) => {
                options.accept.settles(field("air"), of_air(climate)?)?;
                self.log_in_visit(body.clone(), options)
            }
            EntryBody::Remark(_) | EntryBody::Photo(_) | EntryBody::Unknown { .. } => {
                self.log_in_visit(body.clone(), options)
            }
        }
    }

    /// From here on facts and targets are set at this time and by these, as the options say. Nothing is
    /// stated that the change says by itself: that it is written now, and by this device.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a time before 1900 or after tomorrow.
    pub(crate) fn stating(&mut self, options: &WriteOptions) -> Result<()> {
        likely(options.at, self.at)?;
        let by = options.by.clone().filter(|by| *by != self.own_label);
        self.stated = Stated { at: options.at, by };
        Ok(())
    }

    /// Sets facts that were given together, and asks about those that look like a slip.
    ///
    /// # Errors
    /// [`Error::Unsure`]; whatever the editor refuses.
    pub(crate) fn set_facts(&mut self, facts: &[SpecField], accept: &Accept) -> Result<()> {
        for fact in facts {
            let put = self.editor().set_spec(fact)?;
            self.put(put)?;
        }
        let Some(first) = facts.first() else { return Ok(()) };
        let doubts = of_facts(self.editor().registers().spec(), facts);
        accept.settles(text::called(first.fact()), doubts)
    }

    /// Sets targets, and asks about those that look like a slip.
    ///
    /// # Errors
    /// [`Error::Unsure`]; [`Error::BadInput`] for what cannot be; whatever the editor refuses.
    pub(crate) fn set_targets(
        &mut self,
        setup: &SetupId,
        targets: &[Target],
        options: &WriteOptions,
    ) -> Result<()> {
        let mut doubts = Vec::new();
        self.stating(options)?;
        for target in targets {
            // Since when and by whom stands in the target.
            likely(Some(target.at), self.at)?;
            self.editor_does(|editor| editor.set_target(setup, target))?;
            doubts.extend(self.lengths(|lengths| lengths.target(target))?);
        }
        options.accept.settles(field("target"), doubts)
    }

    /// With what is known of the instrument before this edit, its facts as they are now.
    fn lengths<T>(&self, work: impl FnOnce(&Lengths<'_>) -> T) -> T {
        let editor = self.editor();
        let spec = editor.registers().spec();
        work(&Lengths::new(spec, &|| self.loaded.state(self.at.unix_s)))
    }
}
