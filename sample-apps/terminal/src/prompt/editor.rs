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

use super::Typed;
use super::words::SHORT;
use crate::cli::Cli;

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

    /// The next line.
    pub fn line(&mut self, prompt: &str) -> Typed {
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

/// Completes the first word of a line.
struct Completion {
    words: Vec<String>,
}

impl Completion {
    fn new() -> Self {
        let grammar = Cli::command();
        let commands = grammar.get_subcommands().map(|one| one.get_name().to_owned());
        let short = SHORT.iter().map(|(short, _)| (*short).to_owned());
        let mut words: Vec<String> = commands.chain(short).filter(|word| word.len() > 1).collect();
        words.sort();
        words.dedup();
        Self { words }
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
        let typed = line.get(..pos).unwrap_or_default();
        let fits = |word: &&String| word.starts_with(typed);
        Ok((0, self.words.iter().filter(fits).map(|word| format!("{word} ")).collect()))
    }
}

impl Hinter for Completion {
    type Hint = String;
}

impl Highlighter for Completion {}
impl Validator for Completion {}
impl Helper for Completion {}
