//! A new instrument like one that there is, and a record as a file that people can read.

use data_encoding::BASE64;
use fallaway_order::Map;
use fallaway_record::{Entry, EntryBody, EntryId, Moment, Retraction, SetupId, SpecField, Target};
use fallaway_text::errors::{Accepted, NothingAccepted};
use fallaway_text::messages::errors as say;
use fallaway_text::{List, Phrase, names};
use serde_json::{Value, json};

use crate::dates::{read_moment, written_moment as written};
use crate::error::{Error, Result, field};
use crate::instrument::Instrument;
use crate::keeping::workshop_state::Edit;
use crate::showing::views::HistoryFilter;
use crate::workshop::Workshop;

/// What the file says that it is.
const FORMAT: &str = "fallaway record";
/// The version of its form that this version writes and reads.
const VERSION: u64 = 1;
/// So many entries are written in one step: they stay below what one change may hold.
const STEP: usize = 400;
/// The longest file that is read: more than any record of a lifetime.
const MOST: usize = 64 << 20;

impl Workshop {
    /// Founds the record of an instrument like another: its facts and its setups, not its history and not
    /// its people. This device is its owner.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a name that is empty, too long or taken; when the store cannot be written.
    pub fn copy_instrument(&self, other: &Instrument, name: &str) -> Result<Instrument> {
        let setups = other.setups()?;
        let copy = self.found(other.details()?.spec.fields(), name)?;
        let at = copy.now();
        copy.inner.edit(copy.id, |edit| {
            for setup in &setups {
                edit.editor_does(|editor| editor.name_setup(&setup.id, &setup.name))?;
                for view in &setup.targets {
                    let target = Target { taken_from: None, at, ..view.target.clone() };
                    edit.editor_does(|editor| editor.set_target(&setup.id, &target))?;
                }
            }
            Ok(())
        })?;
        Ok(copy)
    }

    /// Founds a record out of what [`Instrument::export`] wrote: its facts, setups, and history with the
    /// times and names that stood there, crossed-out entries included. It is a record of its own: who
    /// shared the first one does not share it. `name` is what it is called; `None` as in the file.
    ///
    /// # Errors
    /// [`Error::BadInput`] for what is no such file, or one of a newer version, and for a name that is taken;
    /// when the store cannot be written.
    pub fn import_record(&self, file: &[u8], name: Option<&str>) -> Result<Instrument> {
        let read = Exported::read(file)?;
        let name = name.unwrap_or(&read.name);
        let instrument = self.found(read.facts, name)?;
        let written = instrument.write_exported(&read.setups, &read.entries);
        if let Err(error) = written {
            // Half a record is none.
            self.remove_from_this_device(instrument.id)?;
            return Err(error);
        }
        Ok(instrument)
    }
}

impl Instrument {
    /// The whole record as JSON (RFC 8259) for people and programs: facts, setups and history in words, in
    /// English, and beside each its bytes as `docs/record-format.md` describes them, in base64 (RFC 4648),
    /// out of which [`Workshop::import_record`] makes it anew. Of two values written apart the one that is
    /// shown is in it. It is not sealed: whoever has the file reads it.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn export(&self) -> Result<Vec<u8>> {
        let voice = fallaway_text::Voice::default();
        let spec = self.details()?.spec;
        let facts = spec.fields();
        let facts = facts.iter().map(|fact| {
            let text = fallaway_text::facts::value(fact, &spec);
            let bytes = fact.encode().map_err(|error| Error::internal("export", error))?;
            Ok(json!({ "key": fact.key(), "text": voice.say(&text), "bytes": BASE64.encode(&bytes) }))
        });
        let facts = facts.collect::<Result<Vec<Value>>>()?;
        let setups = self.setups()?.into_iter().map(|setup| {
            let targets = setup.targets.iter().map(|view| {
                let bytes = minicbor::to_vec(&view.target);
                let bytes = bytes.map_err(|error| Error::internal("export", error))?;
                let target = &view.target;
                let text = List::comma([
                    names::quantity(target.quantity),
                    names::location_label(&spec, target.location).unwrap_or_else(Phrase::empty),
                    names::amount(target.wanted),
                ]);
                let text = Phrase::from(text);
                Ok(json!({ "text": voice.say(&text), "bytes": BASE64.encode(&bytes) }))
            });
            let targets = targets.collect::<Result<Vec<Value>>>()?;
            Ok(json!({ "id": setup.id.as_str(), "name": setup.name, "targets": targets }))
        });
        let setups = setups.collect::<Result<Vec<Value>>>()?;
        let entries = self.history(&HistoryFilter::default())?.into_iter().map(|view| {
            let bytes = view.entry.encode().map_err(|error| Error::internal("export", error))?;
            let crossed = view
                .retracted
                .iter()
                .map(|one| json!({ "at": written(one.at), "by": one.by, "reason": one.reason }));
            Ok(json!({
                "id": view.entry.id.to_string(),
                "name": view.short,
                "at": written(view.entry.at),
                "by": view.who,
                "text": voice.say(&view.text),
                "crossed_out": crossed.collect::<Vec<Value>>(),
                "bytes": BASE64.encode(&bytes),
            }))
        });
        let entries = entries.collect::<Result<Vec<Value>>>()?;
        let whole = json!({
            "format": FORMAT,
            "version": VERSION,
            "name": spec.name.clone().unwrap_or_default(),
            "exported": written(self.now()),
            "facts": facts,
            "setups": setups,
            "entries": entries,
        });
        serde_json::to_vec_pretty(&whole).map_err(|error| Error::internal("export", error))
    }

    /// Writes what a file holds into a record that has nothing but facts.
    fn write_exported(&self, setups: &[ExportedSetup], entries: &[ExportedEntry]) -> Result<()> {
        let mut names: Map<EntryId, EntryId> = Map::new();
        for entries in entries.chunks(STEP) {
            let again = self.inner.edit(self.id, |edit| {
                let mut again = names.clone();
                for read in entries {
                    let id = edit.write_exported(read, &again)?;
                    again.insert(read.entry.id, id);
                }
                Ok(again)
            })?;
            names = again;
            // Each step is a change of its own, and what is crossed out is crossed out, not erased.
            let mut session = self.inner.session()?;
            self.inner.commit_draft(&mut session, self.id)?;
        }
        self.inner.edit(self.id, |edit| {
            for setup in setups {
                edit.editor_does(|editor| editor.name_setup(&setup.id, &setup.name))?;
                for target in &setup.targets {
                    let taken_from = target.taken_from.and_then(|from| names.get(&from)).copied();
                    let target = Target { taken_from, ..target.clone() };
                    edit.editor_does(|editor| editor.set_target(&setup.id, &target))?;
                }
            }
            for read in entries {
                for crossed in &read.crossed_out {
                    if let Some(id) = names.get(&read.entry.id) {
                        edit.editor_does(|editor| editor.retract(*id, crossed))?;
                        // One device crosses an entry out once.
                        break;
                    }
                }
            }
            Ok(())
        })
    }
}

impl Edit<'_> {
    /// Writes an entry of a file under a name of this device, with the names that the entries before it got.
    fn write_exported(
        &mut self,
        read: &ExportedEntry,
        names: &Map<EntryId, EntryId>,
    ) -> Result<EntryId> {
        let mut body = read.entry.body.clone();
        if let EntryBody::Remark(remark) = &mut body {
            let named = |id: EntryId| names.get(&id).copied();
            remark.replaces = remark.replaces.and_then(named);
            remark.about = remark.about.and_then(named);
        }
        let visit = read.entry.visit.and_then(|visit| names.get(&visit)).copied();
        let by = read.entry.by.as_deref().or(read.by.as_deref());
        self.log_at(read.entry.at, body, by, visit)
    }
}

/// What a file holds.
struct Exported {
    name: String,
    facts: Vec<SpecField>,
    setups: Vec<ExportedSetup>,
    entries: Vec<ExportedEntry>,
}

struct ExportedSetup {
    id: SetupId,
    name: String,
    targets: Vec<Target>,
}

struct ExportedEntry {
    entry: Entry,
    /// Who, where the entry itself does not say.
    by: Option<String>,
    crossed_out: Vec<Retraction>,
}

impl Exported {
    fn read(file: &[u8]) -> Result<Self> {
        if file.len() > MOST {
            return Err(no_export());
        }
        let whole: Value = serde_json::from_slice(file).map_err(|_| no_export())?;
        if text(&whole, "format")? != FORMAT {
            return Err(no_export());
        }
        if whole.get("version").and_then(Value::as_u64).is_none_or(|version| version > VERSION) {
            return Err(Error::bad_input(
                field("file"),
                say::export_newer(),
                Accepted::nothing(NothingAccepted::NeedsNewer).said(say::export_accepted()),
            ));
        }
        let facts = list(&whole, "facts")?
            .iter()
            .map(|one| SpecField::decode(text(one, "key")?, &bytes(one)?).ok_or_else(no_export));
        let setups = list(&whole, "setups")?.iter().map(|one| {
            let targets = list(one, "targets")?.iter();
            let targets =
                targets.map(|target| minicbor::decode(&bytes(target)?).map_err(|_| no_export()));
            Ok(ExportedSetup {
                id: text(one, "id")?.parse().map_err(|_| no_export())?,
                name: text(one, "name")?.to_owned(),
                targets: targets.collect::<Result<_>>()?,
            })
        });
        let entries = list(&whole, "entries")?.iter().map(|one| {
            let id: EntryId = text(one, "id")?.parse().map_err(|_| no_export())?;
            let crossed = list(one, "crossed_out")?.iter().map(|crossed| {
                let at = read_moment(text(crossed, "at")?, Moment { unix_s: 0, offset_min: 0 });
                Ok(Retraction {
                    at: at.ok_or_else(no_export)?,
                    by: crossed.get("by").and_then(Value::as_str).map(str::to_owned),
                    reason: text(crossed, "reason")?.to_owned(),
                })
            });
            Ok(ExportedEntry {
                entry: Entry::decode(id, &bytes(one)?).map_err(|_| no_export())?,
                by: one.get("by").and_then(Value::as_str).map(str::to_owned),
                crossed_out: crossed.collect::<Result<_>>()?,
            })
        });
        Ok(Self {
            name: text(&whole, "name")?.to_owned(),
            facts: facts.collect::<Result<_>>()?,
            setups: setups.collect::<Result<_>>()?,
            entries: entries.collect::<Result<_>>()?,
        })
    }
}

fn text<'a>(value: &'a Value, key: &str) -> Result<&'a str> {
    value.get(key).and_then(Value::as_str).ok_or_else(no_export)
}

fn list<'a>(value: &'a Value, key: &str) -> Result<&'a Vec<Value>> {
    value.get(key).and_then(Value::as_array).ok_or_else(no_export)
}

fn bytes(value: &Value) -> Result<Vec<u8>> {
    BASE64.decode(text(value, "bytes")?.as_bytes()).map_err(|_| no_export())
}

fn no_export() -> Error {
    let other = Accepted::nothing(NothingAccepted::OtherFile).said(say::export_accepted());
    Error::bad_input(field("file"), say::no_export(), other)
}
