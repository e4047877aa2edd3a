//! Setups (named sets of targets), fields with two values, and settling them.

use fallaway_changes::Container;
use fallaway_measure::{Location, Quantity};
use fallaway_record::OpId;
use fallaway_record::{EntryId, Moment, Register, Registers, SetupId, Target};

use fallaway_text::messages::errors as say;

use crate::error::{Error, Result, field, there_are};
use crate::instrument::Instrument;
use crate::loaded_record::WriterLabels;
use crate::views::{ContestedField, ContestedValue, ContestedVersion, Setup, TargetView};

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

    /// Makes a setup of the numbers of a visit (the open one, or the last one, if none is named):
    /// "these numbers are the ones". Of each quantity at each place the last reading that was not
    /// crossed out becomes the target, those marked as left first. A setup of this name is replaced
    /// target by target.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a name that cannot be used, [`Error::NotFound`] if there is no visit
    /// or nothing was read in it; whatever an edit answers.
    pub fn take_setup(&self, name: &str, visit: Option<EntryId>) -> Result<Setup> {
        let id = setup_id(name)?;
        self.inner.edit(self.id, |edit| {
            let now = edit.at.unix_s;
            let state = edit.loaded.state(now);
            let targets = crate::setup_from_visit::targets_of_visit(&state, &id, visit, edit.at)?;
            let draft = edit.draft();
            let editor = edit.loaded.record.editor(edit.loaded.writer, &draft);
            let mut puts = Vec::new();
            if state.registers().setups().get(&id).and_then(|s| s.name.as_deref()) != Some(name) {
                puts.push(editor.name_setup(&id, name)?);
            }
            for target in &targets {
                puts.push(editor.set_target(&id, target)?);
            }
            for put in puts {
                edit.put(put);
            }
            Ok(())
        })?;
        self.setup(&id)
    }

    fn setup(&self, id: &SetupId) -> Result<Setup> {
        self.inner.with_record(self.id, |_, loaded| Ok(setup_view(&loaded.registers(0), id)))
    }

    /// Sets a target in a setup, which is made if there is none of this name.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a string or fret that the instrument does not have, a value of
    /// another dimension, a tolerance below zero; whatever an edit answers.
    pub fn set_target(&self, setup: &str, target: &Target) -> Result<()> {
        self.inner.edit(self.id, |edit| {
            let (id, known) = match find_setup(&edit.loaded.registers(0), setup) {
                Some(id) => (id, true),
                None => (setup_id(setup)?, false),
            };
            let draft = edit.draft();
            let editor = edit.loaded.record.editor(edit.loaded.writer, &draft);
            let named = (!known).then(|| editor.name_setup(&id, setup)).transpose()?;
            let put = editor.set_target(&id, target)?;
            if let Some(named) = named {
                edit.put(named);
            }
            edit.put(put);
            Ok(())
        })
    }

    /// Removes a target from a setup. What it was stays in the history of the record.
    ///
    /// # Errors
    /// [`Error::NotFound`] for an unknown setup, [`Error::BadInput`] if there is no such target;
    /// whatever an edit answers.
    pub fn remove_target(&self, setup: &str, quantity: Quantity, location: Location) -> Result<()> {
        self.inner.edit(self.id, |edit| {
            let id = known_setup(&edit.loaded.registers(0), setup)?;
            let draft = edit.draft();
            let editor = edit.loaded.record.editor(edit.loaded.writer, &draft);
            let put = editor.remove_target(&id, quantity, location)?;
            edit.put(put);
            Ok(())
        })
    }

    /// Takes the name of a setup back: it is called by its id again. Its targets stay.
    ///
    /// # Errors
    /// [`Error::NotFound`] for an unknown setup, [`Error::BadInput`] if it has no name; whatever an
    /// edit answers.
    pub fn unname_setup(&self, setup: &str) -> Result<()> {
        self.inner.edit(self.id, |edit| {
            let id = known_setup(&edit.loaded.registers(0), setup)?;
            let draft = edit.draft();
            let put = edit.loaded.record.editor(edit.loaded.writer, &draft).unname_setup(&id)?;
            edit.put(put);
            Ok(())
        })
    }

    /// Fields with two or more values, each value with its author and time.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn contested(&self) -> Result<Vec<ContestedField>> {
        self.inner.with_record(self.id, |identity, loaded| {
            let labels = loaded.writer_labels(identity, &self.inner.label);
            Ok(contested(&loaded.registers(0), &labels))
        })
    }

    /// Settles a field: one of the values that were shown stays, the others are superseded, by
    /// name. They remain in the history.
    ///
    /// # Errors
    /// [`Error::Contested`] if other values have arrived since these were shown;
    /// [`Error::BadInput`] if there is no value number `keep` (from 0); whatever an edit answers.
    pub fn settle(&self, shown: &ContestedField, keep: usize) -> Result<()> {
        let Some(kept) = shown.versions.get(keep) else {
            return Err(Error::bad_input(
                field("value"),
                say::no_such_value(keep + 1, shown.label.clone()),
                say::accepted_range("1".to_owned(), shown.versions.len().to_string()),
            ));
        };
        let seen: Vec<OpId> = shown.versions.iter().map(|version| version.op).collect();
        self.settle_versions(&shown.field, &seen, kept.op)
    }

    /// The same by names: of the versions of `field` that were seen, `keep` stays.
    ///
    /// # Errors
    /// [`Error::Contested`] if other values have arrived since these were seen; [`Error::NotFound`]
    /// for a field that is none; whatever an edit answers.
    pub fn settle_versions(&self, field: &str, seen: &[OpId], keep: OpId) -> Result<()> {
        let (container, key) = split_field(field)?;
        self.inner.edit(self.id, |edit| {
            let draft = edit.draft();
            let editor = edit.loaded.record.editor(edit.loaded.writer, &draft);
            let registers = editor.registers();
            let moved = || Error::Contested {
                field: fallaway_text::contested::field(registers, container, key),
            };
            let value = registers
                .get(container, key)
                .and_then(|register| register.versions.iter().find(|v| v.op == keep))
                .map(|version| version.value.clone())
                .ok_or_else(moved)?;
            let put =
                editor.settle(container, key, &value, seen).map_err(|error| {
                    match Error::from(error) {
                        Error::Contested { .. } => moved(),
                        other => other,
                    }
                })?;
            edit.put(put);
            Ok(())
        })
    }
}

/// Every contested register of a state.
pub(crate) fn contested(registers: &Registers, labels: &WriterLabels) -> Vec<ContestedField> {
    let all = registers.contested();
    all.map(|(container, key, register)| view(registers, container, key, register, labels))
        .collect()
}

pub(crate) fn view(
    registers: &Registers,
    container: Container,
    key: &str,
    register: &Register,
    labels: &WriterLabels,
) -> ContestedField {
    let displayed = register.shown().map(|version| version.op);
    let versions = register.versions.iter().map(|version| {
        let value = ContestedValue::read(container, key, &version.value);
        ContestedVersion {
            op: version.op,
            shown: value.phrase(registers.spec()),
            value,
            device: labels.label(&version.op.writer),
            at: Moment { unix_s: version.time, offset_min: 0 },
            displayed: displayed == Some(version.op),
        }
    });
    let setup = key.split_once('/').filter(|_| container == Container::SETUPS);
    ContestedField {
        field: format!("{}/{key}", container.0),
        setup: setup.map(|(setup, _)| setup.to_owned()),
        label: fallaway_text::contested::field(registers, container, key),
        versions: versions.collect(),
    }
}

fn split_field(field: &str) -> Result<(Container, &str)> {
    let parts = field
        .split_once('/')
        .and_then(|(container, key)| Some((Container(container.parse().ok()?), key)));
    parts.ok_or_else(|| Error::not_found("field", field))
}

fn setup_view(registers: &Registers, id: &SetupId) -> Setup {
    let setup = registers.setups().get(id);
    let targets = setup.into_iter().flat_map(|setup| setup.targets.values());
    Setup {
        id: id.to_string(),
        name: setup.and_then(|s| s.name.clone()).unwrap_or_else(|| id.to_string()),
        targets: targets
            .map(|target| TargetView {
                contested: registers.target_contested(id, target.quantity, target.location),
                target: target.clone(),
            })
            .collect(),
    }
}

/// The setup with this id or name.
pub(crate) fn find_setup(registers: &Registers, wanted: &str) -> Option<SetupId> {
    let setups = registers.setups();
    let exact = setups.keys().find(|id| id.as_str() == wanted);
    let named = || setups.iter().find(|(_, s)| s.name.as_deref() == Some(wanted)).map(|(id, _)| id);
    exact.or_else(named).cloned()
}

/// The same, or what exists instead.
pub(crate) fn known_setup(registers: &Registers, wanted: &str) -> Result<SetupId> {
    find_setup(registers, wanted).ok_or_else(|| {
        let names = registers.setups().iter();
        let names: Vec<String> =
            names.map(|(id, setup)| setup.name.clone().unwrap_or_else(|| id.to_string())).collect();
        Error::NotFound {
            what: "setup".into(),
            name: wanted.to_owned(),
            accepted: there_are(names),
        }
    })
}

/// The id that a name has: two devices that name a setup alike mean the same one.
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
    let id = id.trim_end_matches('-');
    id.parse().map_err(|_| {
        Error::bad_input(
            field("setup"),
            say::setup_name_bad(name.to_owned()),
            say::setup_name_accepted(),
        )
    })
}
