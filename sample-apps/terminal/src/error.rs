//! Why a run failed, and the exit code that says so to a script.

use std::fmt;
use std::io;
use std::path::Path;

use fallaway_text::Phrase;

use crate::messages::app;

/// Everything went as asked.
pub const DONE: u8 = 0;
/// Understood, but refused or failed.
pub const REFUSED: u8 = 1;
/// Not understood: unknown command, missing value, a word or number that means nothing here.
pub const USAGE: u8 = 2;
/// A question ("sure?") was not answered; nothing was stored.
pub const UNSURE: u8 = 3;

/// Why a run failed.
#[derive(Debug)]
pub enum Error {
    /// The words could not be understood.
    Usage(Phrase),
    /// Understood, and refused by this app.
    Refused(Phrase),
    /// A question that has to be answered before anything is stored.
    Unsure(Phrase),
    /// The question was answered with no.
    Declined,
    /// The library refused or failed.
    Library(fallaway::Error),
    /// A file could not be read or written: which, what was wanted of it, and what the system said.
    File(Phrase, io::Error),
    /// The app's own output could not be written.
    Output(io::Error),
}

impl Error {
    /// A file could not be read, written or made.
    pub fn file(path: &Path, failed: fn(String) -> Phrase) -> impl Fn(io::Error) -> Self + use<> {
        let path = path.display().to_string();
        move |error| Self::File(failed(path.clone()), error)
    }

    /// What went wrong.
    pub fn phrase(&self) -> Phrase {
        match self {
            Self::Usage(phrase) | Self::Refused(phrase) | Self::Unsure(phrase) => phrase.clone(),
            Self::Declined => app::declined(),
            Self::Library(error) => error.phrase(),
            Self::File(what, error) => app::file_failed(what.clone(), error.to_string()),
            Self::Output(error) => app::cannot_print(error.to_string()),
        }
    }

    /// The exit code.
    pub fn code(&self) -> u8 {
        match self {
            Self::Usage(_) => USAGE,
            Self::Unsure(_) | Self::Declined => UNSURE,
            Self::Library(error) => match error.code() {
                "bad-input" => USAGE,
                "unsure" => UNSURE,
                _ => REFUSED,
            },
            // Whoever read our output has seen enough: that is no failure.
            Self::Output(error) if error.kind() == io::ErrorKind::BrokenPipe => DONE,
            Self::Refused(_) | Self::File(..) | Self::Output(_) => REFUSED,
        }
    }

    /// A short stable word for programs.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Usage(_) => "usage",
            Self::Refused(_) => "refused",
            Self::Unsure(_) | Self::Declined => "unsure",
            Self::Library(error) => error.code(),
            Self::File(..) => "file",
            Self::Output(_) => "output",
        }
    }

    /// Whether there is nobody left to tell.
    pub fn is_silent(&self) -> bool {
        matches!(self, Self::Output(e) if e.kind() == io::ErrorKind::BrokenPipe)
    }
}

/// In the voice of this run.
impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&crate::voice::say(&self.phrase()))
    }
}

impl std::error::Error for Error {}

impl From<fallaway::Error> for Error {
    fn from(error: fallaway::Error) -> Self {
        Self::Library(error)
    }
}

impl From<io::Error> for Error {
    fn from(error: io::Error) -> Self {
        Self::Output(error)
    }
}

/// Results of this app.
pub type Outcome<T = ()> = Result<T, Error>;
