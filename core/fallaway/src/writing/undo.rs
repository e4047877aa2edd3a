//! Taking back what this device wrote, call by call, and making it again.
//!
//! What nobody has seen yet is erased. What is sealed into a change is answered by its counter-write:
//! an entry is crossed out, a fact or target gets the value that stood there before.

use fallaway_order::Set;

use fallaway_changes::{Container, Put};
use fallaway_record::{
    Editor, Entry, EntryBody, EntryId, Moment, REMOVED, Registers, Remark, Retraction, State,
};
use fallaway_text::contested::{self, ContestedValue};
use fallaway_text::errors::{Accepted, NothingAccepted};
use fallaway_text::messages::{entries as entry_words, errors as say};
use fallaway_text::{Phrase, entries};

use crate::error::{Error, NotFoundKind, Result, field};
use crate::instrument::Instrument;
use crate::keeping::journal::{Journal, Step, Write};
use crate::keeping::workshop_state::Edit;
use crate::likely::likely;
use crate::writing::write_options::WriteOptions;

/// One line of a call that was taken back, or made again.
#[derive(Debug, Clone, PartialEq)]
pub struct UndoneLine {
    /// What it is about, in words: the entry; or the fact with the value that was taken back and the one that
    /// stands again, or with the one that was made again.
    pub text: Phrase,
    /// What was done with it.
    pub how: Undoing,
    /// The entry, if it is one; one that was written again has a name of its own.
    pub entry: Option<EntryId>,
}

/// What taking back, or making again, did with a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Undoing {
    /// It was a line of the draft, which nobody has seen: it is gone.
    Erased,
    /// The entry stays in the history, crossed out.
    CrossedOut,
    /// The entry is written down again, as it was.
    WrittenAgain,
    /// It is no longer crossed out.
    Uncrossed,
    /// The fact or target has another value again, or none.
    ValueRestored,
    /// Somebody has written another value since, or something rests on it: it was left as it is.
    LeftAlone,
}

/// A call that can be taken back or made again, or that was.
#[derive(Debug, Clone, PartialEq)]
pub struct Undone {
    /// When it was written.
    pub at: Moment,
    /// What it wrote, line by line.
    pub lines: Vec<UndoneLine>,
}

impl Instrument {
    /// What [`Instrument::undo`] would take back, in words; `None` if there is nothing.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn undoable(&self) -> Result<Option<Vec<Phrase>>> {
        self.described(|journal| journal.done.last())
    }

    /// What [`Instrument::redo`] would make again, in words; `None` if there is nothing.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn redoable(&self) -> Result<Option<Vec<Phrase>>> {
        self.described(|journal| journal.undone.last())
    }

    fn described(&self, which: impl Fn(&Journal) -> Option<&Write>) -> Result<Option<Vec<Phrase>>> {
        drop(self.inner.session()?);
        let journal = self.inner.journal(&self.id);
        let Some(write) = which(&journal) else { return Ok(None) };
        self.inner.with_record(self.id, |_, loaded| {
            let registers = loaded.registers(0);
            let lines = write.steps.iter().filter_map(|step| {
                let id = step.key.parse::<EntryId>();
                match (step.container(), id) {
                    (Container::LOG, Ok(id)) => {
                        let drafted = loaded.drafted_put(Container::LOG, &step.key);
                        let drafted = drafted.map(|put| put.value.clone()).or(step.after.clone());
                        let entry = drafted.and_then(|bytes| Entry::decode(id, &bytes).ok());
                        let entry = entry.or_else(|| loaded.record.entry(id))?;
                        Some(entries::entry(&entry, registers.spec()))
                    }
                    (Container::RETRACTED, Ok(id)) => {
                        let entry = loaded.record.entry(id)?;
                        Some(entry_words::crossed_out(entries::entry(&entry, registers.spec())))
                    }
                    // It stands beside the value that it is about.
                    (Container::STATED, _) => None,
                    _ => Some(value_text(&registers, step, step.after.as_deref())),
                }
            });
            Ok(Some(lines.collect()))
        })
    }

    /// Takes back what this device wrote last, and tells what that was. A line that nobody has seen
    /// yet is erased; one that is sealed is answered: an entry is crossed out with `reason`, a fact
    /// or target gets back the value before. What somebody else has changed since is left alone.
    ///
    /// # Errors
    /// [`Error::NotFound`] if there is nothing to take back; [`Error::BadInput`] for an empty reason;
    /// whatever an edit answers.
    pub fn undo(&self, reason: &str, options: impl Into<WriteOptions>) -> Result<Undone> {
        let options = options.into();
        self.inner.edit(self.id, |edit| {
            edit.as_it_was();
            let mut journal = self.inner.journal(&self.id);
            // What is taken back goes at the end of the call: until then it is all there.
            let state = edit.loaded.state(edit.at.unix_s);
            loop {
                let write = journal.done.pop();
                let mut write = write.ok_or_else(|| Error::not_found(NotFoundKind::Write, ""))?;
                let mut lines = Vec::new();
                let mut gone = Set::new();
                for step in write.steps.iter_mut().rev() {
                    lines.extend(edit.take_back(step, &state, reason, &options, &mut gone)?);
                }
                // What was crossed out or erased meanwhile is taken back already.
                if lines.is_empty() {
                    continue;
                }
                let at = write.at;
                journal.undone.push(write);
                edit.keep_journal(journal);
                return Ok(Undone { at, lines });
            }
        })
    }

    /// Makes again what was taken back last, as long as nothing else was written since.
    ///
    /// # Errors
    /// [`Error::NotFound`] if there is nothing to make again; whatever an edit answers.
    pub fn redo(&self, options: impl Into<WriteOptions>) -> Result<Undone> {
        let options = options.into();
        self.inner.edit(self.id, |edit| {
            edit.as_it_was();
            let mut journal = self.inner.journal(&self.id);
            let mut write =
                journal.undone.pop().ok_or_else(|| Error::not_found(NotFoundKind::Write, ""))?;
            let mut lines = Vec::new();
            for step in &mut write.steps {
                lines.extend(edit.make_again(step, &options)?);
            }
            let at = write.at;
            journal.done.push(write);
            journal.trim();
            edit.keep_journal(journal);
            Ok(Undone { at, lines })
        })
    }

    /// Brings a crossed-out entry back, and answers its name. Where this device crossed it out and
    /// nobody has seen that yet, it stands again as it was; else it is written down again, with its
    /// time, its author and its visit, at the end of the history.
    ///
    /// # Errors
    /// [`Error::NotFound`] for an entry that is not there, [`Error::BadInput`] for one that is not
    /// crossed out; whatever an edit answers.
    pub fn bring_back(&self, entry: EntryId) -> Result<EntryId> {
        self.bring_back_as(entry, None)
    }

    /// The same of another time, in the visit of that time, or of somebody else: then it is written down
    /// again in any case. What is not said stays as the entry has it; no doubt is asked.
    ///
    /// # Errors
    /// As [`Instrument::bring_back`], and [`Error::BadInput`] for a time before 1900 or after tomorrow.
    pub fn bring_back_as(
        &self,
        entry: EntryId,
        options: impl Into<WriteOptions>,
    ) -> Result<EntryId> {
        let options = options.into();
        likely(options.at, self.now())?;
        self.inner.edit(self.id, |edit| {
            let state = edit.loaded.state(edit.at.unix_s);
            let placed = state.get(entry);
            let placed =
                placed.ok_or_else(|| Error::not_found(NotFoundKind::Entry, entry.to_string()))?;
            let retractions = state.retractions(entry);
            if retractions.is_empty() {
                let already = Accepted::nothing(NothingAccepted::Already);
                return Err(Error::bad_input(field("entry"), say::not_crossed_out(), already));
            }
            let as_it_was = options.at.is_none() && options.by.is_none();
            if as_it_was && retractions.iter().all(|one| one.draft) {
                edit.erase(Container::RETRACTED, entry.to_string());
                return Ok(entry);
            }
            let again = placed.entry.clone();
            let by = options.by.clone().or(again.by);
            match (options.at, &again.body) {
                (None, _) => edit.log_at(again.at, again.body, by.as_deref(), again.visit),
                (Some(at), EntryBody::Visit(_) | EntryBody::VisitEnd(_)) => {
                    edit.log_at(at, again.body, by.as_deref(), again.visit)
                }
                (
                    Some(at),
                    EntryBody::Remark(Remark { could_not: None, .. }) | EntryBody::Buzz(_),
                ) => {
                    let visit = edit.known_visit(Some(at));
                    edit.log_at(at, again.body, by.as_deref(), visit)
                }
                (Some(_), _) => {
                    edit.log_in_visit(again.body, &WriteOptions { by, ..options.clone() })
                }
            }
        })
    }
}

impl Edit<'_> {
    /// The same entry under a name of its own.
    fn log_again(&mut self, entry: &Entry) -> Result<EntryId> {
        self.log_at(entry.at, entry.body.clone(), entry.by.as_deref(), entry.visit)
    }

    pub(crate) fn editor_does(
        &mut self,
        put: impl FnOnce(&Editor<'_>) -> Result<Put, fallaway_record::EditError>,
    ) -> Result<()> {
        let draft = self.draft();
        let put = put(&self.loaded.record.editor(self.loaded.writer, &draft))?;
        self.put(put)
    }

    /// Takes one line back; `gone` are the entries of this call that went already.
    fn take_back(
        &mut self,
        step: &mut Step,
        state: &State,
        reason: &str,
        options: &WriteOptions,
        gone: &mut Set<EntryId>,
    ) -> Result<Option<UndoneLine>> {
        let container = step.container();
        let Ok(id) = step.key.parse::<EntryId>() else { return self.restore(step, false) };
        if container == Container::LOG && step.before.is_some() {
            return self.line_again(id, step);
        }
        let Some(placed) = state.get(id) else { return Ok(None) };
        let text = entries::entry(&placed.entry, state.spec());
        let line = |how| Some(UndoneLine { text, how, entry: Some(id) });
        if container == Container::RETRACTED && step.before.is_some() {
            let put = crossing_out(step);
            self.put(put)?;
            return Ok(line(Undoing::CrossedOut));
        }
        if container == Container::RETRACTED {
            if self.loaded.ordinal(container, &step.key).is_some() {
                step.after = self.loaded.drafted_put(container, &step.key).map(|p| p.value.clone());
                self.erase(container, step.key.clone());
                return Ok(line(Undoing::Uncrossed));
            }
            let again = self.log_again(&placed.entry)?;
            return Ok(
                line(Undoing::WrittenAgain).map(|line| UndoneLine { entry: Some(again), ..line })
            );
        }
        let rests = |one: &fallaway_record::Placed| {
            !gone.contains(&one.entry.id) && !state.is_retracted(one.entry.id)
        };
        if matches!(placed.entry.body, EntryBody::Visit(_)) && state.of_visit(id).any(rests) {
            return Ok(line(Undoing::LeftAlone));
        }
        gone.insert(id);
        if let Some(put) = self.loaded.drafted_put(container, &step.key) {
            step.after = Some(put.value.clone());
            self.erase(container, step.key.clone());
            return Ok(line(Undoing::Erased));
        }
        if state.is_retracted(id) {
            return Ok(None);
        }
        let at = options.at.unwrap_or(self.at);
        let retraction =
            Retraction { at, by: options.by.clone(), reason: reason.trim().to_owned() };
        self.editor_does(|editor| editor.retract(id, &retraction))?;
        Ok(line(Undoing::CrossedOut))
    }

    /// Puts a line that a call erased into the draft again.
    fn line_again(&mut self, id: EntryId, step: &Step) -> Result<Option<UndoneLine>> {
        let bytes = step.before.as_deref().filter(|_| id.writer == self.loaded.writer);
        let entry = bytes.and_then(|bytes| Entry::decode(id, bytes).ok());
        let Some(entry) = entry.filter(|_| !self.loaded.record.has_entry(id)) else {
            return Ok(None);
        };
        self.log_as(&entry)?;
        let registers = self.loaded.registers(self.at.unix_s);
        let text = entries::entry(&entry, registers.spec());
        Ok(Some(UndoneLine { text, how: Undoing::WrittenAgain, entry: Some(id) }))
    }

    /// Gives a fact or target the value before, or with `again` the one after.
    fn restore(&mut self, step: &mut Step, again: bool) -> Result<Option<UndoneLine>> {
        let line = self.give_back(step, again)?;
        // What is stated of a value is no line beside it.
        Ok(line.filter(|_| step.container() != Container::STATED))
    }

    fn give_back(&mut self, step: &mut Step, again: bool) -> Result<Option<UndoneLine>> {
        let container = step.container();
        let registers = self.loaded.registers(self.at.unix_s).into_owned();
        let shown = registers.get(container, &step.key).and_then(|register| register.shown());
        let shown = shown.map(|version| version.value.clone());
        let (expected, wanted) =
            if again { (&step.before, &step.after) } else { (&step.after, &step.before) };
        let as_removed =
            |value: &Option<Vec<u8>>| value.clone().unwrap_or_else(|| REMOVED.to_vec());
        let line = |how, text| UndoneLine { text, how, entry: None };
        if as_removed(&shown) != as_removed(expected) {
            let text = value_text(&registers, step, shown.as_deref());
            return Ok(Some(line(Undoing::LeftAlone, text)));
        }
        let text = if again {
            value_text(&registers, step, wanted.as_deref())
        } else {
            taken_back_text(&registers, step)
        };
        let line = line(Undoing::ValueRestored, text);
        let (key, wanted) = (step.key.clone(), as_removed(wanted));
        let sealed = self.loaded.record.registers().get(container, &key);
        let sealed = sealed.and_then(|register| register.shown()).map(|shown| shown.value.clone());
        let drafted = self.loaded.ordinal(container, &key).is_some();
        // Without the line of the draft stands what is sealed.
        if drafted && as_removed(&sealed) == wanted {
            self.erase(container, key);
        } else {
            self.editor_does(|editor| editor.restore(container, &key, &wanted))?;
        }
        Ok(Some(line))
    }

    /// Makes one line again.
    fn make_again(
        &mut self,
        step: &mut Step,
        options: &WriteOptions,
    ) -> Result<Option<UndoneLine>> {
        let container = step.container();
        let Ok(id) = step.key.parse::<EntryId>() else { return self.restore(step, true) };
        let state = self.loaded.state(self.at.unix_s);
        if step.before.is_some() {
            if self.loaded.ordinal(container, &step.key).is_none() {
                return Ok(None);
            }
            self.erase(container, step.key.clone());
            let how =
                if container == Container::LOG { Undoing::Erased } else { Undoing::Uncrossed };
            return Ok(state.get(id).map(|placed| UndoneLine {
                text: entries::entry(&placed.entry, state.spec()),
                how,
                entry: Some(id),
            }));
        }
        if container == Container::RETRACTED {
            let Some(bytes) = step.after.clone() else { return Ok(None) };
            let retraction: Retraction =
                minicbor::decode(&bytes).map_err(|e| Error::internal("crossing out", e))?;
            let Some(placed) = state.get(id) else { return Ok(None) };
            let text = entries::entry(&placed.entry, state.spec());
            self.editor_does(|editor| editor.retract(id, &retraction))?;
            return Ok(Some(UndoneLine { text, how: Undoing::CrossedOut, entry: Some(id) }));
        }
        // An entry of which nobody knew gets its own name back, so that others still fit it.
        let own = step.after.take().filter(|_| id.writer == self.loaded.writer);
        let (entry, name) =
            if let Some(entry) = own.and_then(|bytes| Entry::decode(id, &bytes).ok()) {
                let name = self.log_as(&entry)?;
                (entry, name)
            } else {
                let Some(placed) = state.get(id).filter(|_| state.is_retracted(id)) else {
                    return Ok(None);
                };
                let by = options.by.clone().or_else(|| placed.entry.by.clone());
                let entry = Entry { by, ..placed.entry.clone() };
                let name = self.log_again(&entry)?;
                (entry, name)
            };
        step.key = name.to_string();
        let text = entries::entry(&entry, state.spec());
        Ok(Some(UndoneLine { text, how: Undoing::WrittenAgain, entry: Some(name) }))
    }
}

/// What a step wrote, or what stood there before.
fn value_of(step: &Step, value: Option<&[u8]>) -> ContestedValue {
    ContestedValue::read(step.container(), &step.key, value.unwrap_or(REMOVED))
}

/// What the fact or target of a step is called, also where nothing stands there.
fn called(registers: &Registers, step: &Step) -> Phrase {
    let values = [&step.after, &step.before].into_iter().filter_map(|value| value.as_deref());
    contested::field_of(registers, step.container(), &step.key, values)
}

/// A fact or target with a value that it has, or with none.
fn value_text(registers: &Registers, step: &Step, value: Option<&[u8]>) -> Phrase {
    let value = value_of(step, value).phrase(registers.spec());
    entry_words::field_value(called(registers, step), value)
}

/// A fact or target with the value that is taken back, and the one that stands there again, if there is one.
fn taken_back_text(registers: &Registers, step: &Step) -> Phrase {
    let (was, now) =
        (value_of(step, step.after.as_deref()), value_of(step, step.before.as_deref()));
    let (field, spec) = (called(registers, step), registers.spec());
    match now {
        ContestedValue::Removed | ContestedValue::Setup { .. } => {
            entry_words::field_value(field, was.phrase(spec))
        }
        now => entry_words::field_value_back(field, was.phrase(spec), now.phrase(spec)),
    }
}

/// The crossing out that a call erased.
fn crossing_out(step: &Step) -> Put {
    let (container, key) = (step.container(), step.key.clone());
    Put { container, key, value: step.before.clone().unwrap_or_default() }
}
