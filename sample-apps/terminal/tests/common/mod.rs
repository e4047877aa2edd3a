//! A device in a temporary folder, with a clock of its own: runs the real commands in-process.

// Helpers of tests fail loudly, and no test needs all of them.
#![allow(clippy::panic, clippy::unwrap_used, dead_code)]

pub mod winter;

use std::io::BufRead;
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::sync::Arc;

use fallaway::record::Moment;
use fallaway_terminal::app;
use fallaway_terminal::env::{Env, StoppedClock};
use fallaway_text::Language;

/// What a command printed, and its exit code.
#[derive(Debug)]
pub struct Ran {
    pub code: u8,
    pub out: String,
    pub err: String,
}

impl Ran {
    /// The output as JSON.
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e}: {self:?}"))
    }
}

/// A device.
pub struct Device {
    folder: PathBuf,
    label: &'static str,
    now: Moment,
    pub max_pages: Option<u32>,
    pub width: usize,
    pub language: Option<Language>,
}

/// 2026-03-02 10:00 +01:00.
const MORNING: i64 = 1_772_442_000;

impl Device {
    /// A device with its data in `folder`, and files exchanged in its parent.
    pub fn new(folder: &Path, label: &'static str) -> Self {
        let now = Moment { unix_s: MORNING, offset_min: 60 };
        Self { folder: folder.join(label), label, now, max_pages: None, width: 80, language: None }
    }

    /// Lets time pass.
    pub fn later(&mut self, seconds: i64) {
        self.now.unix_s += seconds;
    }

    /// Runs a command, a minute after the last; words are separated by `|`.
    pub fn run(&mut self, words: &str) -> Ran {
        self.type_in(words, None)
    }

    /// The same with somebody there to answer a question.
    pub fn answer(&mut self, words: &str, answer: &str) -> Ran {
        self.type_in(words, Some(answer))
    }

    /// Types lines at the prompt.
    pub fn at_the_bench(&mut self, words: &str, lines: &str) -> Ran {
        self.typed(words, None, Some(lines))
    }

    fn type_in(&mut self, words: &str, answer: Option<&str>) -> Ran {
        self.typed(words, answer, None)
    }

    fn typed(&mut self, words: &str, answer: Option<&str>, lines: Option<&str>) -> Ran {
        self.now.unix_s += 60;
        let (mut out, mut err) = (Vec::new(), Vec::new());
        let mut lines = lines.map(str::as_bytes);
        let mut typed = answer.map(str::as_bytes);
        let mut env = Env {
            program: "fallaway".to_owned(),
            out: &mut out,
            err: &mut err,
            answers: typed.as_mut().map(|typed| typed as &mut dyn BufRead),
            lines: lines.as_mut().map(|lines| lines as &mut dyn BufRead),
            here: self.folder.parent().unwrap().to_owned(),
            data: Some(self.folder.clone()),
            instrument: None,
            label: self.label.to_owned(),
            language: self.language,
            clock: Arc::new(StoppedClock(self.now)),
            colour: false,
            width: self.width,
            instead: Rc::default(),
            max_pages: self.max_pages,
        };
        let arguments = std::iter::once("fallaway").chain(words.split('|')).map(Into::into);
        let code = app::run(arguments.collect(), &mut env);
        let text = |bytes| String::from_utf8(bytes).unwrap();
        Ran { code, out: text(out), err: text(err) }
    }

    /// Runs a command that has to succeed; its output.
    pub fn ok(&mut self, words: &str) -> String {
        let ran = self.run(words);
        assert_eq!(ran.code, 0, "{words}: {ran:?}");
        ran.out
    }

    /// Runs a command that has to fail with this exit code; what it said.
    pub fn refused(&mut self, code: u8, words: &str) -> String {
        let ran = self.run(words);
        assert_eq!(ran.code, code, "{words}: {ran:?}");
        assert_eq!(ran.out, "", "{words} printed data all the same");
        assert!(!ran.err.trim().is_empty(), "{words} said nothing");
        // Lines are wrapped to the width; tests look for words.
        ran.err.split_whitespace().collect::<Vec<_>>().join(" ")
    }
}
