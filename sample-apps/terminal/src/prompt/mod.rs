//! A prompt for the hands: short words instead of whole commands, the next step after each line. Each
//! line is one run of the app, with the same grammar as from a shell.

mod editor;
mod words;

use std::ffi::OsString;
use std::io::BufRead;

use fallaway_text::safe;

use crate::cli::{BenchArgs, Common};
use crate::env::{Env, RunApp};
use crate::error::{DONE, Outcome};
use crate::messages::prompt as say;
use crate::render::{Printer, Style};
use crate::voice;
use editor::{LineEditor, Typed};

/// What shows the next step.
const NEXT: [&str; 2] = ["next", "--full"];

/// A session at the bench.
struct PromptSession<'s, 'a> {
    world: &'s mut Env<'a>,
    run: RunApp,
    /// What each run is given beside its words.
    common: Vec<OsString>,
    /// The instrument in the hands, if it was chosen here.
    instrument: Option<String>,
    /// Enter alone says that the step was done as proposed.
    enter: bool,
}

/// Runs the prompt until its end.
///
/// # Errors
/// If nothing can be printed.
pub fn bench(args: &BenchArgs, common: &Common, world: &mut Env<'_>, run: RunApp) -> Outcome {
    let folder = common.data.as_ref().or(world.data.as_ref()).map(|folder| world.path(folder));
    let mut editor = match &world.lines {
        Some(_) => None,
        None => LineEditor::new(folder.as_deref()),
    };
    let mut session = PromptSession {
        world,
        run,
        common: said(common),
        instrument: common.instrument.clone(),
        enter: args.enter,
    };
    session.print(Style::Quiet, &say::begin())?;
    session.first_step();
    loop {
        let typed = session.typed(editor.as_mut())?;
        let line = match typed {
            Typed::End => return Ok(()),
            Typed::Undo => "undo".to_owned(),
            Typed::Line(line) => line,
        };
        if !session.answer(line.trim())? {
            return Ok(());
        }
    }
}

/// The options of every run, as they would be typed.
fn said(common: &Common) -> Vec<OsString> {
    let mut words: Vec<OsString> = Vec::new();
    let given = [("--by", &common.by), ("--language", &common.speak)];
    for (option, value) in given {
        if let Some(value) = value {
            words.extend([option.into(), value.into()]);
        }
    }
    if let Some(folder) = &common.data {
        words.extend(["--data".into(), folder.into()]);
    }
    words
}

impl PromptSession<'_, '_> {
    fn typed(&mut self, editor: Option<&mut LineEditor>) -> Outcome<Typed> {
        self.world.out.flush()?;
        let prompt = format!("{}> ", safe(self.instrument.as_deref().unwrap_or_default()));
        // Whoever goes on typing where yes or no was asked has said no, and means the line.
        if let Some(line) = self.world.instead.take() {
            return self.shown(&prompt, line);
        }
        if let Some(editor) = editor {
            let names = self.names();
            return Ok(editor.line(&prompt, names));
        }
        let Some(lines) = self.world.lines.as_mut() else { return Ok(Typed::End) };
        let mut line = String::new();
        if lines.read_line(&mut line)? == 0 {
            return Ok(Typed::End);
        }
        self.shown(&prompt, line.trim_end_matches(['\r', '\n']).to_owned())
    }

    /// What was typed stands beside what was answered.
    fn shown(&mut self, prompt: &str, line: String) -> Outcome<Typed> {
        self.printer().styled(Style::Strong, &format!("{prompt}{}", safe(&line)))?;
        self.printer().blank()?;
        Ok(Typed::Line(line))
    }

    /// Does what a line says; `false` to leave.
    fn answer(&mut self, line: &str) -> Outcome<bool> {
        match line {
            "q" | "quit" | "exit" => return Ok(false),
            "?" | "help" | "hilfe" => {
                let help = voice::say(&say::words());
                let width = self.world.width;
                for line in help.lines().flat_map(|line| words::fitted(line, width)) {
                    self.printer().raw(&line)?;
                    self.printer().blank()?;
                }
                return Ok(true);
            }
            "enter" => {
                self.enter = !self.enter;
                let line = if self.enter { say::enter_does() } else { say::enter_shows() };
                self.print(Style::Quiet, &line)?;
                return Ok(true);
            }
            "" if !self.enter => {
                self.next_step();
                return Ok(true);
            }
            _ => {}
        }
        if let Some(name) = line.strip_prefix("on ") {
            self.instrument = Some(words::split(name).join(" "));
            self.next_step();
            return Ok(true);
        }
        let words = words::command(line);
        let shows = words.first().is_some_and(|word| words::shows(word));
        let code = self.run(&words);
        if code == DONE && words.first().is_some_and(|word| word == "add") {
            self.instrument = words.get(2).cloned();
        }
        if code == DONE && !shows {
            self.next_step();
        }
        Ok(true)
    }

    /// The next step with its numbers.
    fn next_step(&mut self) {
        self.run(&NEXT.map(str::to_owned));
    }

    /// The same before anything was said: where there is no instrument yet, or several, that is no fault.
    fn first_step(&mut self) {
        let (arguments, run) = (self.arguments(&NEXT.map(str::to_owned)), self.run);
        let mut nowhere = std::io::sink();
        run(arguments, &mut Env { err: &mut nowhere, ..again(self.world) });
    }

    /// What the instruments here are called; nothing where that cannot be told.
    fn names(&mut self) -> Vec<String> {
        let mut out = Vec::new();
        let listed = ["list", "--names"].map(str::to_owned);
        let (arguments, run) = (self.arguments(&listed), self.run);
        let world = again(self.world);
        let code = run(arguments, &mut Env { out: &mut out, err: &mut std::io::sink(), ..world });
        let text =
            if code == DONE { String::from_utf8(out).unwrap_or_default() } else { String::new() };
        text.lines().map(str::to_owned).collect()
    }

    fn run(&mut self, words: &[String]) -> u8 {
        let (arguments, run) = (self.arguments(words), self.run);
        run(arguments, &mut again(self.world))
    }

    fn arguments(&self, words: &[String]) -> Vec<OsString> {
        let mut arguments: Vec<OsString> = vec!["fallaway".into()];
        arguments.extend(words.iter().map(OsString::from));
        arguments.extend(self.common.iter().cloned());
        if let Some(name) = &self.instrument
            && !words.iter().any(|word| word == "-i" || word == "--instrument")
        {
            arguments.extend(["--instrument".into(), name.into()]);
        }
        arguments
    }

    fn printer(&mut self) -> Printer<'_> {
        Printer::new(&mut *self.world.out, self.world.colour, self.world.width)
    }

    fn print(&mut self, style: Style, phrase: &fallaway_text::Phrase) -> Outcome {
        self.printer().say(style, phrase)?;
        Ok(())
    }
}

/// The same world for one run: a question is answered where the lines come from.
fn again<'b>(world: &'b mut Env<'_>) -> Env<'b> {
    let answers: Option<&'b mut dyn BufRead> = match (&mut world.answers, &mut world.lines) {
        (Some(answers), _) => Some(&mut **answers),
        (None, Some(lines)) => Some(&mut **lines),
        (None, None) => None,
    };
    Env {
        program: world.program.clone(),
        out: &mut *world.out,
        err: &mut *world.err,
        answers,
        lines: None,
        here: world.here.clone(),
        data: world.data.clone(),
        instrument: world.instrument.clone(),
        label: world.label.clone(),
        language: world.language,
        clock: world.clock.clone(),
        colour: world.colour,
        width: world.width,
        instead: world.instead.clone(),
        max_pages: world.max_pages,
    }
}
