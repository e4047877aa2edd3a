//! What the commands share: the folder, the workshop, the instrument, questions and output.

use std::io::BufRead as _;
use std::path::PathBuf;
use std::sync::Arc;

use fallaway::environment::Clock;
use fallaway::record::{EntryId, Moment};
use fallaway::{Confirm, Filter, Instrument, Workshop, WorkshopOptions};
use fallaway_text::{Language, List, Phrase, Voice};
use serde::Serialize;

use super::capital;
use crate::cli::Common;
use crate::env::{Env, SharedClock, StoppedClock};
use crate::error::{Error, Outcome};
use crate::messages::app;
use crate::parse::moments;
use crate::render::{Printer, Style, Table};
use crate::settings::Settings;

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
    clock: Arc<dyn Clock>,
}

impl<'s, 'a> Context<'s, 'a> {
    /// Finds the data folder and reads the settings; opens nothing yet.
    pub fn new(common: Common, world: &'s mut Env<'a>) -> Outcome<Self> {
        let folder = match common.data.as_ref().or(world.data.as_ref()) {
            Some(folder) => world.path(folder),
            None => {
                return Err(Error::refused(
                    "this platform names no folder for data; give one with --data FOLDER",
                ));
            }
        };
        let clock: Arc<dyn Clock> = match &common.at {
            None => Arc::clone(&world.clock),
            Some(text) => {
                let moment = moments::moment(text, world.clock.now()).map_err(Error::Usage)?;
                Arc::new(StoppedClock(moment))
            }
        };
        let settings = Settings::load(&folder)?;
        // Programs are spoken to in English, with every number as it was read.
        let mut voice = if common.json { Voice::default() } else { settings.voice(world.language) };
        if let Some(tag) = &common.speak {
            voice.language = Language::named(tag).ok_or_else(|| {
                let accepted = Language::all().into_iter().map(|one| Phrase::written(one.tag()));
                Error::usage(voice.say(&app::language_unknown(tag, List::comma(accepted))))
            })?;
        }
        crate::voice::set(voice);
        Ok(Self { world, common, folder, settings, voice, clock })
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

    /// The time that the entry gets.
    pub fn now(&self) -> Moment {
        self.clock.now()
    }

    /// Opens the workshop and tells what it found to tell.
    pub fn workshop(&mut self) -> Outcome<Workshop> {
        let mut options = WorkshopOptions::new(&self.folder, self.label());
        options.clock = Box::new(SharedClock(Arc::clone(&self.clock)));
        options.max_pages = self.world.max_pages;
        let workshop = Workshop::open(options)?;
        for notice in workshop.notices()? {
            let mut printer =
                Printer::new(&mut *self.world.err, self.world.colour, self.world.width);
            printer.hung(Style::Caution, "Note: ", 6, &notice)?;
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
        self.instrument_of(&workshop)
    }

    /// The instrument that is meant, in an open workshop.
    pub fn instrument_of(&self, workshop: &Workshop) -> Outcome<Instrument> {
        if let Some(name) = self.common.instrument.as_ref().or(self.world.instrument.as_ref()) {
            return Ok(workshop.find(name)?);
        }
        let all = workshop.instruments()?;
        match all.as_slice() {
            [only] => Ok(workshop.instrument(only.id)?),
            [] => Err(Error::refused(
                "there is no instrument here yet; begin with `fallaway templates` and \
                 `fallaway add TEMPLATE NAME`",
            )),
            several => {
                let names: Vec<String> =
                    several.iter().map(|one| format!("\u{201c}{}\u{201d}", one.name)).collect();
                Err(Error::usage(format!(
                    "which instrument? Say -i NAME; here are {}",
                    names.join(", ")
                )))
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
        let text = serde_json::to_string_pretty(value)
            .map_err(|error| Error::refused(error.to_string()))?;
        writeln!(self.world.out, "{text}")?;
        Ok(())
    }

    /// Says what was done: in a line to a person, in data to a program.
    pub fn done<T: Serialize>(&mut self, line: &str, data: &T) -> Outcome {
        if self.common.json {
            return self.json(data);
        }
        self.printer().line(line)?;
        Ok(())
    }

    /// Tries something that may be implausible: asks if somebody is there to answer.
    pub fn sure<T>(
        &mut self,
        mut attempt: impl FnMut(Confirm) -> fallaway::Result<T>,
    ) -> Outcome<T> {
        match attempt(if self.common.sure { Confirm::Sure } else { Confirm::Ask }) {
            Err(fallaway::Error::Unsure { reason, .. }) => {
                self.ask(&format!("{}.", capital(&crate::voice::say(&reason))))?;
                Ok(attempt(Confirm::Sure)?)
            }
            other => Ok(other?),
        }
    }

    /// Asks a question that has to be answered with yes.
    pub fn ask(&mut self, question: &str) -> Outcome {
        if self.common.sure {
            return Ok(());
        }
        let unanswered = || Error::Unsure { question: question.to_owned() };
        let Some(answers) = self.world.answers.as_mut() else { return Err(unanswered()) };
        let mut printer = Printer::new(&mut *self.world.err, self.world.colour, self.world.width);
        printer.text(Style::Caution, question)?;
        printer.styled(Style::Strong, "Sure? [y/N] ")?;
        self.world.err.flush()?;
        let mut answer = String::new();
        answers.read_line(&mut answer)?;
        match answer.trim().to_lowercase().as_str() {
            "y" | "yes" => Ok(()),
            _ => Err(Error::Declined),
        }
    }

    /// Says what was stored, under which short name, and how to take it back.
    pub fn stored(&mut self, instrument: &Instrument, id: EntryId, line: &str) -> Outcome {
        self.stored_with(instrument, id, line, &Table::default())
    }

    /// The same with a table below.
    pub fn stored_with(
        &mut self,
        instrument: &Instrument,
        id: EntryId,
        line: &str,
        table: &Table,
    ) -> Outcome {
        let view = instrument
            .history(&Filter { last: Some(20), ..Filter::default() })?
            .into_iter()
            .rev()
            .find(|view| view.entry.id == id);
        if self.common.json {
            let spec = instrument.view()?.spec;
            return match view {
                Some(view) => self.json(&crate::json::entry(&view, &spec)),
                None => Ok(()),
            };
        }
        let short = view.map(|view| view.short).unwrap_or_default();
        let hint = format!("({short}; undo: fallaway undo)");
        let mut printer = self.printer();
        if line.chars().count() + 2 + hint.chars().count() <= printer.width() {
            printer.styled(Style::Plain, &format!("{line}  "))?;
            printer.styled(Style::Quiet, &hint)?;
            printer.blank()?;
        } else {
            printer.line(line)?;
            printer.hung(Style::Quiet, "  ", 2, &hint)?;
        }
        printer.table(table)?;
        Ok(())
    }
}
