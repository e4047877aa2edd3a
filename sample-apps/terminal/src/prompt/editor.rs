//! The line editor of the prompt: history, completion, one key that takes back.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use clap::CommandFactory as _;
use rustyline::completion::Completer;
use rustyline::highlight::Highlighter;
use rustyline::hint::Hinter;
use rustyline::history::MemHistory;
use rustyline::validate::Validator;
use rustyline::{
    Cmd, ConditionalEventHandler, Config, Context, Editor, Event, EventContext, EventHandler,
    Helper, KeyEvent, RepeatCount,
};

use super::words::{self, SHORT};
use crate::cli::Cli;

/// What was typed.
pub enum Typed {
    /// A line.
    Line(String),
    /// The key that takes back.
    Undo,
    /// No more.
    End,
}

/// The file of lines that were typed, within the data folder.
const FILE: &str = "bench-history";
/// So many of them are kept.
const KEPT: usize = 300;

/// Reads lines off a terminal.
pub struct LineEditor {
    editor: Editor<Completion, MemHistory>,
    undo: Arc<AtomicBool>,
    file: Option<PathBuf>,
    typed: Vec<String>,
}

impl LineEditor {
    /// One with the lines of the last time; `None` if the terminal cannot be used.
    pub fn new(folder: Option<&Path>) -> Option<Self> {
        let config = Config::builder().auto_add_history(false).build();
        let mut editor = Editor::with_history(config, MemHistory::new()).ok()?;
        editor.set_helper(Some(Completion::new()));
        let undo = Arc::new(AtomicBool::new(false));
        let key = UndoKey(Arc::clone(&undo));
        editor.bind_sequence(KeyEvent::ctrl('Z'), EventHandler::Conditional(Box::new(key)));
        let file = folder.map(|folder| folder.join(FILE));
        let text = file.as_ref().and_then(|file| fs::read_to_string(file).ok()).unwrap_or_default();
        let typed: Vec<String> = text.lines().map(str::to_owned).collect();
        for line in &typed {
            // A line that cannot be remembered is no harm.
            let _ = editor.add_history_entry(line.as_str());
        }
        Some(Self { editor, undo, file, typed })
    }

    /// The next line; names of instruments are completed where one is meant.
    pub fn line(&mut self, prompt: &str, names: Vec<String>) -> Typed {
        if let Some(completion) = self.editor.helper_mut() {
            completion.names = names;
        }
        let read = self.editor.readline(prompt);
        if self.undo.swap(false, Ordering::Relaxed) {
            return Typed::Undo;
        }
        let Ok(line) = read else { return Typed::End };
        if !line.trim().is_empty() {
            let _ = self.editor.add_history_entry(line.as_str());
            self.typed.push(line.clone());
            let first = self.typed.len().saturating_sub(KEPT);
            if let Some(file) = &self.file {
                let kept = self.typed.get(first..).unwrap_or_default().join("\n");
                let _ = fs::write(file, kept + "\n");
            }
        }
        Typed::Line(line)
    }
}

/// The key that takes back what was written last, whatever stands in the line.
struct UndoKey(Arc<AtomicBool>);

impl ConditionalEventHandler for UndoKey {
    fn handle(&self, _: &Event, _: RepeatCount, _: bool, _: &EventContext<'_>) -> Option<Cmd> {
        self.0.store(true, Ordering::Relaxed);
        Some(Cmd::AcceptLine)
    }
}

/// Completes the first word of a line, and the name of an instrument where one is meant.
struct Completion {
    words: Vec<String>,
    names: Vec<String>,
}

impl Completion {
    fn new() -> Self {
        let grammar = Cli::command();
        let commands = grammar.get_subcommands().map(|one| one.get_name().to_owned());
        let short = SHORT.iter().map(|(short, _)| (*short).to_owned());
        let on = std::iter::once("on".to_owned());
        let mut words: Vec<String> =
            commands.chain(short).chain(on).filter(|word| word.len() > 1).collect();
        words.sort();
        words.dedup();
        Self { words, names: Vec::new() }
    }

    /// From where on the line is completed, and with what.
    fn of(&self, typed: &str) -> (usize, Vec<String>) {
        let Some(name) = words::name_at(typed) else {
            let fits = |word: &&String| word.starts_with(typed);
            return (0, self.words.iter().filter(fits).map(|word| format!("{word} ")).collect());
        };
        let begun = typed.get(name..).unwrap_or_default().trim_start_matches('"').to_lowercase();
        let fits = |one: &&String| one.to_lowercase().starts_with(&begun);
        let quoted = |one: &String| {
            let quote = if one.contains(char::is_whitespace) { "\"" } else { "" };
            format!("{quote}{one}{quote} ")
        };
        (name, self.names.iter().filter(fits).map(quoted).collect())
    }
}

impl Completer for Completion {
    type Candidate = String;

    fn complete(
        &self,
        line: &str,
        pos: usize,
        _: &Context<'_>,
    ) -> rustyline::Result<(usize, Vec<String>)> {
        Ok(self.of(line.get(..pos).unwrap_or_default()))
    }
}

impl Hinter for Completion {
    type Hint = String;
}

impl Highlighter for Completion {}
impl Validator for Completion {}
impl Helper for Completion {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_completed_where_an_instrument_is_meant() {
        let mut completion = Completion::new();
        completion.names = vec!["walnut four".into(), "Walnut".into(), "red".into()];
        let both = vec!["\"walnut four\" ".to_owned(), "Walnut ".to_owned()];
        assert_eq!(completion.of("on wa"), (3, both.clone()));
        assert_eq!(completion.of("on \"wa"), (3, both.clone()));
        assert_eq!(completion.of("card -i w"), (8, both));
        assert_eq!(completion.of("copy "), (5, completion.of("on ").1));
        assert_eq!(completion.of("hist"), (0, vec!["history ".to_owned()]));
        assert_eq!(completion.of("copy red b").1, Vec::<String>::new());
    }
}
