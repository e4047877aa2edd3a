//! Setups (named sets of targets), fields with two values, and settling them.

use fallaway_changes::Container;
use fallaway_measure::{Location, Quantity};
use fallaway_record::OpId;
use fallaway_record::{EntryId, Moment, Register, Registers, SetupId, Target, Version};

use fallaway_text::errors::Accepted;
use fallaway_text::messages::errors as say;

use crate::error::{Error, NotFoundKind, Result, field, near, there_are};
use crate::instrument::Instrument;
use crate::keeping::loaded_record::WriterLabels;
use crate::showing::views::{
    ContestedField, ContestedValue, ContestedVersion, FactWritten, Setup, TargetView,
};
use crate::writing::write_options::WriteOptions;

impl Instrument {
    /// Every setup with its targets.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn setups(&self) -> Result<Vec<Setup>> {
        self.inner.with_record(self.id, |_, loaded| {
            let registers = loaded.registers(0);
            Ok(registers.setups().keys().map(|id| setup_view(&registers, id)).collect())
        })
    }

    /// The setups that were deleted, as [`Instrument::bring_back_setup`] would bring them back.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn deleted_setups(&self) -> Result<Vec<Setup>> {
        self.inner.with_record(self.id, |_, loaded| {
            let registers = loaded.registers(0);
            Ok(registers.deleted_setups().keys().map(|id| setup_view(&registers, id)).collect())
        })
    }

    /// The setup that people call so, or that has this id.
    ///
    /// # Errors
    /// [`Error::NotFound`] with the names that there are; when the record cannot be read.
    pub fn setup_named(&self, name: &str) -> Result<Setup> {
        self.inner.with_record(self.id, |_, loaded| {
            let registers = loaded.registers(0);
            let named = named(&registers, name).map(|id| setup_view(&registers, id));
            named.ok_or_else(|| no_setup(&registers, name))
        })
    }

    /// Makes a setup without targets.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a name that cannot be used or that another has; whatever an edit
    /// answers.
    pub fn add_setup(&self, name: &str, options: impl Into<WriteOptions>) -> Result<Setup> {
        let options = options.into();
        let made = self.inner.edit(self.id, |edit| {
            edit.stating(&options)?;
            let registers = edit.loaded.registers(0);
            is_free(&registers, name, None)?;
            let id = new_id(&registers, name)?;
            edit.editor_does(|editor| editor.name_setup(&id, name.trim()))?;
            Ok(id)
        })?;
        self.setup(&made)
    }

    /// Makes a setup of the numbers of a visit (the open one, or the last one, if none is named):
    /// "these numbers are the ones". Of each quantity at each place the last reading that was not
    /// crossed out becomes the target, those marked as left first. A setup of this name is replaced
    /// target by target. `options` say who wants them, if not whoever read them, and since when.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a name that cannot be used, [`Error::NotFound`] if there is no visit
    /// or nothing was read in it; whatever an edit answers.
    pub fn take_setup(
        &self,
        name: &str,
        visit: Option<EntryId>,
        options: impl Into<WriteOptions>,
    ) -> Result<Setup> {
        let options = options.into();
        let taken = self.inner.edit(self.id, |edit| {
            edit.stating(&options)?;
            let state = edit.loaded.state(edit.at.unix_s);
            let registers = state.registers();
            let known = named(registers, name).cloned();
            let id = known.clone().map_or_else(|| new_id(registers, name), Ok)?;
            let at = options.at.unwrap_or(edit.at);
            let targets =
                crate::writing::setup_from_visit::targets_of_visit(&state, &id, visit, at)?;
            if known.is_none() {
                edit.editor_does(|editor| editor.name_setup(&id, name.trim()))?;
            }
            for mut target in targets {
                target.by = options.by.clone().or(target.by);
                edit.editor_does(|editor| editor.set_target(&id, &target))?;
            }
            Ok(id)
        })?;
        self.setup(&taken)
    }

    fn setup(&self, id: &SetupId) -> Result<Setup> {
        self.inner.with_record(self.id, |_, loaded| Ok(setup_view(&loaded.registers(0), id)))
    }

    /// Calls a setup something else. Its id stays. Where two people rename it apart, both names stand
    /// until somebody settles.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a setup that is not there; [`Error::BadInput`] for a name that cannot
    /// be used or that another has; whatever an edit answers.
    pub fn rename_setup(
        &self,
        setup: &SetupId,
        name: &str,
        options: impl Into<WriteOptions>,
    ) -> Result<()> {
        let options = options.into();
        self.inner.edit(self.id, |edit| {
            edit.stating(&options)?;
            let registers = edit.loaded.registers(0);
            known_setup(&registers, setup)?;
            is_free(&registers, name, Some(setup))?;
            edit.editor_does(|editor| editor.name_setup(setup, name.trim()))
        })
    }

    /// Deletes a setup with its targets, for everybody. What it was stays in the history of the
    /// record, and it can be brought back. A target that somebody set without having seen the
    /// deletion, or sets later, brings it back by itself.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a setup that is not there; whatever an edit answers.
    pub fn delete_setup(&self, setup: &SetupId, options: impl Into<WriteOptions>) -> Result<()> {
        let options = options.into();
        self.inner.edit(self.id, |edit| {
            edit.stating(&options)?;
            known_setup(&edit.loaded.registers(0), setup)?;
            edit.editor_does(|editor| editor.delete_setup(setup))
        })
    }

    /// Brings a deleted setup back as it was.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a setup that was not deleted; [`Error::BadInput`] if another has its
    /// name now; whatever an edit answers.
    pub fn bring_back_setup(
        &self,
        setup: &SetupId,
        options: impl Into<WriteOptions>,
    ) -> Result<()> {
        let options = options.into();
        self.inner.edit(self.id, |edit| {
            edit.stating(&options)?;
            let registers = edit.loaded.registers(0);
            let deleted = registers.deleted_setups();
            if !deleted.contains_key(setup) {
                let names = deleted.keys().map(|id| registers.setup_name(id));
                return Err(Error::NotFound {
                    what: NotFoundKind::Setup,
                    name: setup.to_string(),
                    accepted: there_are(names),
                });
            }
            is_free(&registers, registers.setup_name(setup), Some(setup))?;
            edit.editor_does(|editor| editor.bring_back_setup(setup))
        })
    }

    /// Sets targets that belong together, such as those of all strings, in one step, in the setup that
    /// people call so. It is made if there is none.
    ///
    /// # Errors
    /// As [`Instrument::set_target`]; [`Error::BadInput`] for a name that cannot be used.
    pub fn set_targets(
        &self,
        name: &str,
        targets: &[Target],
        options: impl Into<WriteOptions>,
    ) -> Result<Setup> {
        let options = options.into();
        let id = self.inner.edit(self.id, |edit| {
            edit.stating(&options)?;
            let registers = edit.loaded.registers(0);
            let known = named(&registers, name).cloned();
            let id = known.clone().map_or_else(|| new_id(&registers, name), Ok)?;
            if known.is_none() {
                edit.editor_does(|editor| editor.name_setup(&id, name.trim()))?;
            }
            edit.set_targets(&id, targets, &options)?;
            Ok(id)
        })?;
        self.setup(&id)
    }

    /// Sets a target in a setup, which is made if there is none of this id. Who wants it and since when
    /// is in the target: of the options only the accepted doubts count.
    ///
    /// # Errors
    /// [`Error::Unsure`] for a target outside what is usual on such an instrument;
    /// [`Error::BadInput`] for one that cannot be, a string or fret that the instrument does not have,
    /// a value of another dimension, a tolerance below zero; whatever an edit answers.
    pub fn set_target(
        &self,
        setup: &SetupId,
        target: &Target,
        options: impl Into<WriteOptions>,
    ) -> Result<()> {
        let options = options.into();
        self.inner.edit(self.id, |edit| {
            edit.stating(&options)?;
            let registers = edit.loaded.registers(0);
            let known = [registers.setups(), registers.deleted_setups()];
            if !known.into_iter().any(|setups| setups.contains_key(setup)) {
                edit.editor_does(|editor| editor.name_setup(setup, setup.as_str()))?;
            }
            edit.set_targets(setup, std::slice::from_ref(target), &options)
        })
    }

    /// Removes a target from a setup. What it was stays in the history of the record.
    ///
    /// # Errors
    /// [`Error::NotFound`] for a setup that is not there, [`Error::BadInput`] if there is no such
    /// target; whatever an edit answers.
    pub fn remove_target(
        &self,
        setup: &SetupId,
        quantity: Quantity,
        location: Location,
        options: impl Into<WriteOptions>,
    ) -> Result<()> {
        let options = options.into();
        self.inner.edit(self.id, |edit| {
            edit.stating(&options)?;
            known_setup(&edit.loaded.registers(0), setup)?;
            edit.editor_does(|editor| editor.remove_target(setup, quantity, location))
        })
    }

    /// Of every fact when it was written, by whom and on which device, in the order of their keys.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn facts_written(&self) -> Result<Vec<FactWritten>> {
        let now = self.now();
        self.inner.with_record(self.id, |identity, loaded| {
            let labels = loaded.writer_labels(identity);
            let registers = loaded.registers(now.unix_s);
            let facts = registers.iter().filter(|(container, ..)| *container == Container::SPEC);
            let written = facts.filter_map(|(_, key, register)| {
                let shown = register.shown().filter(|shown| !shown.is_removed())?;
                Some(FactWritten {
                    key: key.to_owned(),
                    at: stated_at(shown).unwrap_or(Moment { unix_s: shown.time, ..now }),
                    by: stated_by(&labels, shown),
                    device: labels.label(&shown.op.writer),
                })
            });
            Ok(written.collect())
        })
    }

    /// Fields with two or more values, each value with its author and time.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn contested(&self) -> Result<Vec<ContestedField>> {
        self.inner.with_record(self.id, |identity, loaded| {
            let labels = loaded.writer_labels(identity);
            Ok(contested(&loaded.registers(0), &labels, self.inner.clock.now().offset_min))
        })
    }

    /// Settles a field: one of the values that were shown stays, the others are superseded, by
    /// name. They remain in the history.
    ///
    /// # Errors
    /// [`Error::Contested`] if other values have arrived since these were shown;
    /// [`Error::BadInput`] if there is no value number `keep` (from 0); whatever an edit answers.
    pub fn settle(
        &self,
        shown: &ContestedField,
        keep: usize,
        options: impl Into<WriteOptions>,
    ) -> Result<()> {
        self.settle_all(std::slice::from_ref(shown), keep, options)
    }

    /// The same of several fields that were written together, such as the gauges of a set: of each the
    /// value number `keep` stays, in one edit. All of them are settled, or none; taken back, all are.
    ///
    /// # Errors
    /// As [`Instrument::settle`].
    pub fn settle_all(
        &self,
        shown: &[ContestedField],
        keep: usize,
        options: impl Into<WriteOptions>,
    ) -> Result<()> {
        let kept = shown.iter().map(|one| {
            let kept = one.versions.get(keep).ok_or_else(|| {
                Error::bad_input(
                    field("value"),
                    say::no_such_value(keep + 1, one.label.clone()),
                    Accepted::between(1, one.versions.len()),
                )
            })?;
            let seen: Vec<OpId> = one.versions.iter().map(|version| version.op).collect();
            Ok((one.field.as_str(), seen, kept.op))
        });
        let kept: Vec<_> = kept.collect::<Result<_>>()?;
        self.settle_versions_of(
            kept.iter().map(|(field, seen, keep)| (*field, seen.as_slice(), *keep)),
            options,
        )
    }

    /// The same by names: of the versions of `field` that were seen, `keep` stays.
    ///
    /// # Errors
    /// [`Error::Contested`] if other values have arrived since these were seen; [`Error::NotFound`]
    /// for a field that is none; whatever an edit answers.
    pub fn settle_versions(
        &self,
        field: &str,
        seen: &[OpId],
        keep: OpId,
        options: impl Into<WriteOptions>,
    ) -> Result<()> {
        self.settle_versions_of([(field, seen, keep)], options)
    }

    /// Of several fields, each with the versions that were seen and the one that stays, in one edit.
    ///
    /// # Errors
    /// As [`Instrument::settle_versions`]; then none is settled.
    pub fn settle_versions_of<'f>(
        &self,
        fields: impl IntoIterator<Item = (&'f str, &'f [OpId], OpId)>,
        options: impl Into<WriteOptions>,
    ) -> Result<()> {
        let (fields, options): (Vec<_>, _) = (fields.into_iter().collect(), options.into());
        self.inner.edit(self.id, |edit| {
            edit.stating(&options)?;
            for (field, seen, keep) in &fields {
                let (container, key) = split_field(field)?;
                let draft = edit.draft();
                let editor = edit.loaded.record.editor(edit.loaded.writer, &draft);
                let registers = editor.registers();
                let moved = || Error::Contested {
                    field: fallaway_text::contested::field(registers, container, key),
                };
                let value = registers
                    .get(container, key)
                    .and_then(|register| register.versions.iter().find(|v| v.op == *keep))
                    .map(|version| version.value.clone())
                    .ok_or_else(moved)?;
                let put =
                    editor.settle(container, key, &value, seen).map_err(
                        |error| match Error::from(error) {
                            Error::Contested { .. } => moved(),
                            other => other,
                        },
                    )?;
                edit.put(put)?;
            }
            Ok(())
        })
    }
}

/// Every contested register of a state, with the times as this device's clock shows them.
fn contested(registers: &Registers, labels: &WriterLabels, offset_min: i16) -> Vec<ContestedField> {
    let all = registers.contested();
    all.map(|(container, key, register)| {
        view(registers, container, key, register, (labels, offset_min))
    })
    .collect()
}

pub(crate) fn view(
    registers: &Registers,
    container: Container,
    key: &str,
    register: &Register,
    (labels, offset_min): (&WriterLabels, i16),
) -> ContestedField {
    let displayed = register.shown().map(|version| version.op);
    let versions = register.versions.iter().map(|version| {
        let value = ContestedValue::read(container, key, &version.value);
        ContestedVersion {
            op: version.op,
            shown: value.phrase(registers.spec()),
            value,
            device: labels.label(&version.op.writer),
            by: stated_by(labels, version),
            at: stated_at(version).unwrap_or(Moment { unix_s: version.time, offset_min }),
            displayed: displayed == Some(version.op),
        }
    });
    let setup = key.split_once('/').filter(|_| container == Container::SETUPS);
    ContestedField {
        field: format!("{}/{key}", container.0),
        setup: setup.and_then(|(setup, _)| setup.parse().ok()),
        label: fallaway_text::contested::field(registers, container, key),
        versions: versions.collect(),
    }
}

/// When it was put, where somebody said so.
fn stated_at(version: &Version) -> Option<Moment> {
    version.stated.as_ref().and_then(|stated| stated.at)
}

/// By whom, where somebody said so: never so that it could be taken for another device's word.
fn stated_by(labels: &WriterLabels, version: &Version) -> Option<String> {
    let by = version.stated.as_ref()?.by.as_deref()?;
    Some(labels.who(&version.op.writer, Some(by)))
}

fn split_field(field: &str) -> Result<(Container, &str)> {
    let parts = field
        .split_once('/')
        .and_then(|(container, key)| Some((Container(container.parse().ok()?), key)));
    parts.ok_or_else(|| Error::not_found(NotFoundKind::Field, field))
}

fn setup_view(registers: &Registers, id: &SetupId) -> Setup {
    let all = [registers.setups(), registers.deleted_setups()];
    let targets =
        all.into_iter().filter_map(|all| all.get(id)).flat_map(|one| one.targets.values());
    Setup {
        id: id.clone(),
        name: registers.setup_name(id).to_owned(),
        is_default: registers.setups().keys().next() == Some(id),
        targets: targets
            .map(|target| TargetView {
                contested: registers.target_contested(id, target.quantity, target.location),
                target: target.clone(),
            })
            .collect(),
    }
}

/// The setup of this name, or else of this id.
fn named<'a>(registers: &'a Registers, wanted: &str) -> Option<&'a SetupId> {
    let wanted = wanted.trim();
    let mut ids = registers.setups().keys();
    let by_name = ids.clone().find(|id| registers.setup_name(id) == wanted);
    by_name.or_else(|| ids.find(|id| id.as_str() == wanted))
}

/// Whether no other setup has this name.
fn is_free(registers: &Registers, name: &str, own: Option<&SetupId>) -> Result<()> {
    let name = name.trim();
    let others = registers.setups().keys().filter(|id| Some(*id) != own);
    let taken: Vec<_> = others.map(|id| registers.setup_name(id)).collect();
    if taken.contains(&name) {
        return Err(Error::bad_input(
            field("setup"),
            say::setup_taken(name.to_owned()),
            Accepted::none_of(taken).said(say::own_name()),
        ));
    }
    Ok(())
}

/// The setup that is meant: the one that is named, or the first. `None` if the instrument has none.
pub(crate) fn chosen(registers: &Registers, setup: Option<&SetupId>) -> Result<Option<SetupId>> {
    if let Some(setup) = setup {
        known_setup(registers, setup)?;
    }
    Ok(setup.or_else(|| registers.setups().keys().next()).cloned())
}

/// Whether the setup is there; else what exists instead.
fn known_setup(registers: &Registers, wanted: &SetupId) -> Result<()> {
    let known = registers.setups().contains_key(wanted);
    if known { Ok(()) } else { Err(no_setup(registers, wanted.as_str())) }
}

fn no_setup(registers: &Registers, wanted: &str) -> Error {
    let names = registers.setups().keys().map(|id| registers.setup_name(id));
    Error::NotFound {
        what: NotFoundKind::Setup,
        name: wanted.to_owned(),
        accepted: near(wanted, names),
    }
}

/// The id that a name is given: two devices that name a setup alike mean the same one, unless it was
/// deleted or called something else before.
fn new_id(registers: &Registers, name: &str) -> Result<SetupId> {
    let first = setup_id(name)?;
    let is_used = |id: &SetupId| {
        [registers.setups(), registers.deleted_setups()].into_iter().any(|all| all.contains_key(id))
    };
    if !is_used(&first) {
        return Ok(first);
    }
    let shortened: String = first.as_str().chars().take(SetupId::MAX - 3).collect();
    let mut numbered = (2..100).filter_map(|number| format!("{shortened}-{number}").parse().ok());
    numbered.find(|id| !is_used(id)).ok_or_else(|| bad_name(name))
}

fn setup_id(name: &str) -> Result<SetupId> {
    let mut id = String::new();
    for c in name.trim().chars() {
        let plain = c.to_ascii_lowercase();
        if plain.is_ascii_lowercase() || plain.is_ascii_digit() {
            id.push(plain);
        } else if !id.ends_with('-') && !id.is_empty() {
            id.push('-');
        }
    }
    id.trim_end_matches('-').parse().map_err(|_| bad_name(name))
}

fn bad_name(name: &str) -> Error {
    Error::bad_input(
        field("setup"),
        say::setup_name_bad(name.to_owned()),
        Accepted::like("stage, drop tuning").said(say::setup_name_accepted()),
    )
}
