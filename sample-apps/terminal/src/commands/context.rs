//! What the commands share: the folder, the workshop, the instrument, questions and output.

use std::io::BufRead as _;
use std::path::PathBuf;
use std::sync::Arc;

use fallaway::record::{EntryId, Moment};
use fallaway::{HistoryFilter, Instrument, Preferences, Workshop, WorkshopOptions, WriteOptions};
use fallaway_text::{Language, List, Phrase, Voice};
use serde::Serialize;

use crate::asked;
use crate::cli::Common;
use crate::env::{Env, SharedClock, StoppedClock};
use crate::error::{Error, Outcome};
use crate::json::in_order;
use crate::messages::app;
use crate::parse::moments;
use crate::render::printer::columns;
use crate::render::{Printer, Style, TextTable};
use crate::settings::Settings;
use crate::voice;

/// So many instruments are named where one has to be chosen.
const NAMED: usize = 8;

/// One command at work.
pub struct Context<'s, 'a> {
    /// The world around it.
    pub world: &'s mut Env<'a>,
    /// Options of every command.
    pub common: Common,
    /// The data folder.
    pub folder: PathBuf,
    /// What this device remembers.
    pub settings: Settings,
    /// How to speak to whoever uses it.
    pub voice: Voice,
    /// When it was, if not now.
    at: Option<Moment>,
    /// Whether the command only asks: then it is answered as of that time.
    asks: bool,
}

impl<'s, 'a> Context<'s, 'a> {
    /// Finds the data folder and reads the settings; opens nothing yet.
    pub fn new(common: Common, asks: bool, world: &'s mut Env<'a>) -> Outcome<Self> {
        let folder = match common.data.as_ref().or(world.data.as_ref()) {
            Some(folder) => world.path(folder),
            None => {
                return Err(Error::Refused(app::no_folder()));
            }
        };
        let read = if asks { moments::until } else { moments::moment };
        let at = common.at.as_ref().map(|text| read(text, world.clock.now()));
        let at = at.transpose().map_err(Error::Usage)?;
        let settings = Settings::load(&folder)?;
        if let Some(tag) = common.speak.as_ref().filter(|tag| Language::named(tag).is_none()) {
            return Err(Self::language_unknown(tag));
        }
        let low_first = Preferences::kept_in(&folder).unwrap_or_default().low_first;
        let voice = voice::get().low_first(low_first);
        voice::set(voice);
        Ok(Self { world, common, folder, settings, voice, at, asks })
    }

    /// A language that this app does not speak.
    pub fn language_unknown(tag: &str) -> Error {
        let accepted = Language::all().into_iter().map(|one| Phrase::written(one.tag()));
        Error::Usage(app::language_unknown(tag, List::comma(accepted)))
    }

    /// How this device is shown to others.
    pub fn label(&self) -> &str {
        self.settings.label.as_deref().unwrap_or(&self.world.label)
    }

    /// Who read it or did it: who was named, else whoever this device belongs to. Readings of several
    /// people are told apart by it when they disagree.
    pub fn by(&self) -> &str {
        self.common.by.as_deref().unwrap_or(self.label())
    }

    /// What is written beside an entry: who, and when if not now.
    pub fn options(&self) -> WriteOptions {
        WriteOptions { at: self.at, ..WriteOptions::default().by(self.by()) }
    }

    /// The time that the entry gets.
    pub fn now(&self) -> Moment {
        self.at.unwrap_or_else(|| self.world.clock.now())
    }

    /// Opens the workshop and tells what it found to tell.
    pub fn workshop(&mut self) -> Outcome<Workshop> {
        let mut options = WorkshopOptions::new(&self.folder, self.label());
        options.as_of = self.at.filter(|_| self.asks);
        options.clock = match options.as_of {
            Some(at) => Box::new(StoppedClock(at)),
            None => Box::new(SharedClock(Arc::clone(&self.world.clock))),
        };
        options.max_pages = self.world.max_pages;
        let workshop = Workshop::open(options)?;
        for notice in workshop.notices()? {
            self.margin().say(Style::Caution, &app::note(notice.phrase()))?;
        }
        Ok(workshop)
    }

    /// Whether an instrument was named.
    #[cfg(feature = "calc")]
    pub fn is_named(&self) -> bool {
        self.common.instrument.is_some() || self.world.instrument.is_some()
    }

    /// The instrument that is meant.
    pub fn instrument(&mut self) -> Outcome<Instrument> {
        let workshop = self.workshop()?;
        let instrument = self.instrument_of(&workshop)?;
        // Programs are told every number as it was read.
        if !self.common.json {
            let spoken = instrument.voice(None)?;
            (self.voice.units, self.voice.inches) = (spoken.units, spoken.inches);
            voice::set(self.voice);
        }
        Ok(instrument)
    }

    /// The instrument that is meant, in an open workshop.
    pub fn instrument_of(&self, workshop: &Workshop) -> Outcome<Instrument> {
        if let Some(name) = self.common.instrument.as_ref().or(self.world.instrument.as_ref()) {
            return Ok(workshop.instrument_named(name)?);
        }
        let all = workshop.instruments()?;
        match all.as_slice() {
            [only] => Ok(workshop.instrument(only.id)?),
            [] => Err(Error::Refused(app::no_instrument())),
            several => {
                let names = several.iter().take(NAMED).map(|one| app::quoted(&one.name));
                let (names, more) = (List::comma(names), several.len().saturating_sub(NAMED));
                Err(Error::Usage(match more {
                    0 => app::which_instrument(names),
                    more => app::which_instrument_of(names, more),
                }))
            }
        }
    }

    /// Printer on the output.
    pub fn printer(&mut self) -> Printer<'_> {
        Printer::new(&mut *self.world.out, self.world.colour, self.world.width)
    }

    /// Printer beside the output: cautions and hints that are no data.
    pub fn margin(&mut self) -> Printer<'_> {
        Printer::new(&mut *self.world.err, self.world.colour, self.world.width)
    }

    /// Prints a value as JSON.
    pub fn json<T: Serialize>(&mut self, value: &T) -> Outcome {
        let unwritable =
            |error: serde_json::Error| Error::Refused(app::cannot_serialize(error.to_string()));
        let value = in_order(serde_json::to_value(value).map_err(unwritable)?);
        let text = serde_json::to_string_pretty(&value).map_err(unwritable)?;
        writeln!(self.world.out, "{text}")?;
        Ok(())
    }

    /// Says what was done: in a line to a person, in data to a program.
    pub fn done<T: Serialize>(&mut self, line: &Phrase, data: &T) -> Outcome {
        if self.common.json {
            return self.json(data);
        }
        self.printer().line(line)?;
        Ok(())
    }

    /// Tries something that may be implausible: asks if somebody is there to answer.
    pub fn sure<T>(
        &mut self,
        mut attempt: impl FnMut(WriteOptions) -> fallaway::Result<T>,
    ) -> Outcome<T> {
        let options = self.options();
        match attempt(options.clone()) {
            Err(fallaway::Error::Unsure { doubts, .. }) => {
                let ids: Vec<String> = doubts.iter().map(fallaway::Doubt::id).collect();
                self.ask_about(&ids, &fallaway::Error::reasons(&doubts))?;
                Ok(attempt(options.accepting(&doubts))?)
            }
            other => Ok(other?),
        }
    }

    /// Asks about values that look like slips. `--sure` answers the questions that were shown last, and
    /// no others: one that nobody has read is no answer.
    pub fn ask_about(&mut self, doubts: &[String], question: &Phrase) -> Outcome {
        if self.common.sure && asked::were_shown(&self.folder, doubts) {
            return Ok(());
        }
        let answer = self.answered(question);
        if let Err(Error::Unsure(_)) = answer {
            // If it cannot be kept, it is asked again.
            let _ = asked::keep(&self.folder, doubts);
        }
        answer
    }

    /// Asks whether the command itself is meant, which `--sure` says beforehand.
    pub fn ask(&mut self, question: &Phrase) -> Outcome {
        if self.common.sure { Ok(()) } else { self.answered(question) }
    }

    /// Asks before a file is written over.
    pub fn may_write(&mut self, path: &std::path::Path) -> Outcome {
        if path.exists() { self.ask(&app::write_over(path.display().to_string())) } else { Ok(()) }
    }

    fn answered(&mut self, question: &Phrase) -> Outcome {
        let Some(answers) = self.world.answers.as_mut() else {
            return Err(Error::Unsure(question.clone()));
        };
        let mut printer = Printer::new(&mut *self.world.err, self.world.colour, self.world.width);
        printer.say(Style::Caution, question)?;
        printer.styled(Style::Strong, &format!("{} ", voice::say(&app::sure())))?;
        self.world.err.flush()?;
        let mut answer = String::new();
        answers.read_line(&mut answer)?;
        let said = answer.trim();
        let is_one_of =
            |words: &Phrase| voice::say(words).split(' ').any(|word| word == said.to_lowercase());
        if is_one_of(&app::answers_yes()) {
            return Ok(());
        }
        if !said.is_empty() && !is_one_of(&app::answers_no()) {
            self.world.instead.replace(Some(said.to_owned()));
        }
        Err(Error::Declined)
    }

    /// Says what was stored, under which short name, and how to take it back.
    pub fn stored(&mut self, instrument: &Instrument, id: EntryId, line: &Phrase) -> Outcome {
        self.stored_with(instrument, &[id], line, &TextTable::default())
    }

    /// The same of several entries that were written as one, with a table below.
    pub fn stored_with(
        &mut self,
        instrument: &Instrument,
        ids: &[EntryId],
        line: &Phrase,
        table: &TextTable,
    ) -> Outcome {
        let latest = HistoryFilter { last: Some(20 + ids.len()), ..HistoryFilter::default() };
        let mut written = instrument.history(&latest)?;
        written.retain(|view| ids.contains(&view.entry.id));
        if self.common.json {
            let spec = instrument.details()?.spec;
            let entries: Vec<_> =
                written.iter().map(|view| crate::json::entry(view, &spec)).collect();
            let Some(mut last) = entries.last().cloned() else { return Ok(()) };
            if let Some(fields) = last.as_object_mut()
                && entries.len() > 1
            {
                fields.insert("entries".to_owned(), entries.into());
            }
            return self.json(&last);
        }
        let view = written.pop();
        let short = view.map(|view| view.short).unwrap_or_default();
        let (line, hint) = (self.voice.sentence(line), self.voice.say(&app::undo(short)));
        let mut printer = self.printer();
        if columns(&line) + 2 + columns(&hint) <= printer.width() {
            printer.styled(Style::Plain, &format!("{line}  "))?;
            printer.styled(Style::Quiet, &hint)?;
            printer.blank()?;
        } else {
            printer.text(Style::Plain, &line)?;
            printer.hung(Style::Quiet, "  ", 2, &hint)?;
        }
        printer.table(table)?;
        Ok(())
    }
}
