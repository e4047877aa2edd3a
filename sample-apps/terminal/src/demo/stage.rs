//! Runs the commands of the story as they are, each on its device.

use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::sync::Arc;

use fallaway::record::Moment;

use super::story::Beat;
use crate::env::{Env, RunApp, StoppedClock};
use crate::error::{DONE, Error, Outcome, UNSURE};
use crate::messages::demo as say;
use crate::render::{Printer, Style};
use crate::voice;

/// Between two commands.
const STEP_S: i64 = 3 * 60;

/// Lines of output after which the eye wants a rest.
const LONG: usize = 5;

/// Where the story is played.
pub struct Stage<'s, 'a> {
    folder: PathBuf,
    world: &'s mut Env<'a>,
    run: RunApp,
    now: Moment,
    /// Whether the last line that was printed is blank.
    rested: bool,
}

/// What a command printed, and its exit code.
struct Ran {
    code: u8,
    out: String,
    err: String,
}

impl<'s, 'a> Stage<'s, 'a> {
    /// A stage over a folder.
    pub fn new(folder: &Path, world: &'s mut Env<'a>, run: RunApp) -> Self {
        let now = Moment { unix_s: 0, offset_min: 60 };
        Self { folder: folder.to_owned(), world, run, now, rested: false }
    }

    /// Plays one beat.
    pub fn play(&mut self, beat: &Beat) -> Outcome {
        match beat {
            Beat::When(title, unix_s) => {
                self.now.unix_s = *unix_s;
                self.rest()?;
                self.printer().say(Style::Heading, &title())?;
                self.rested = false;
                Ok(())
            }
            Beat::Say(text) => {
                self.rest()?;
                self.printer().line(&text())?;
                self.rested = false;
                self.rest()
            }
            Beat::Tech(command) => self.type_in("tech", command),
            Beat::Player(command) => self.type_in("player", command),
        }
    }

    /// The state of a device's record.
    pub fn state(&mut self, device: &str) -> Outcome<String> {
        let ran = self.run(device, "show --json");
        let shown: Option<serde_json::Value> = serde_json::from_str(&ran.out).ok();
        shown
            .and_then(|shown| Some(shown.get("history_digest")?.as_str()?.to_owned()))
            .ok_or_else(|| Error::Refused(say::no_state(device, &ran.err)))
    }

    fn printer(&mut self) -> Printer<'_> {
        Printer::new(&mut *self.world.out, self.world.colour, self.world.width)
    }

    /// A blank line, if there is none yet.
    fn rest(&mut self) -> Outcome {
        if !self.rested {
            self.printer().blank()?;
            self.rested = true;
        }
        Ok(())
    }

    fn type_in(&mut self, device: &str, command: &str) -> Outcome {
        self.now.unix_s += STEP_S;
        let ran = self.run(device, command);
        let mut printer = self.printer();
        printer.styled(Style::Strong, &format!("{device}$ fallaway {command}"))?;
        printer.blank()?;
        for line in ran.err.lines().chain(ran.out.lines()) {
            printer.raw(&format!("  {line}"))?;
            printer.blank()?;
        }
        self.rested = false;
        if ran.out.lines().count() > LONG {
            self.rest()?;
        }
        if matches!(ran.code, DONE | UNSURE) {
            Ok(())
        } else {
            Err(Error::Refused(say::stopped(command, ran.code)))
        }
    }

    fn run(&mut self, device: &str, command: &str) -> Ran {
        let (mut out, mut err) = (Vec::new(), Vec::new());
        let mut env = Env {
            program: "fallaway".into(),
            out: &mut out,
            err: &mut err,
            answers: None,
            lines: None,
            here: self.folder.clone(),
            data: Some(self.folder.join(device)),
            instrument: None,
            label: device.to_owned(),
            language: Some(voice::get().language),
            clock: Arc::new(StoppedClock(self.now)),
            colour: self.world.colour,
            width: self.world.width.saturating_sub(2),
            instead: Rc::default(),
            max_pages: None,
        };
        let mut words = vec!["fallaway".into()];
        words.extend(split(command).into_iter().map(Into::into));
        let narrator = voice::get();
        let code = (self.run)(words, &mut env);
        voice::set(narrator);
        let text = |bytes: Vec<u8>| String::from_utf8_lossy(&bytes).into_owned();
        Ran { code, out: text(out), err: text(err) }
    }
}

/// Splits a command into words as a shell does: spaces separate, quotes keep together.
fn split(command: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word: Option<String> = None;
    let mut quote = None;
    for character in command.chars() {
        match (quote, character) {
            (Some(open), c) if c == open => quote = None,
            (None, '"' | '\'') => {
                quote = Some(character);
                word.get_or_insert_default();
            }
            (None, ' ') => words.extend(word.take()),
            (_, c) => word.get_or_insert_default().push(c),
        }
    }
    words.extend(word);
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_as_a_shell_splits_them() {
        assert_eq!(split("read action 5  6"), ["read", "action", "5", "6"]);
        assert_eq!(split("buzz 5 3-5 \"played hard\""), ["buzz", "5", "3-5", "played hard"]);
        assert_eq!(split("tool '' x"), ["tool", "", "x"]);
    }
}
