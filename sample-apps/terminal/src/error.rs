//! Why a run failed, and the exit code that says so to a script.

use std::io;

/// Everything went as asked.
pub const DONE: u8 = 0;
/// Understood, but refused or failed.
pub const REFUSED: u8 = 1;
/// Not understood: unknown command, missing value, a word or number that means nothing here.
pub const USAGE: u8 = 2;
/// A question ("sure?") was not answered; nothing was stored.
pub const UNSURE: u8 = 3;

/// Why a run failed.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The words could not be understood.
    #[error("{0}")]
    Usage(String),
    /// Understood, and refused by this app.
    #[error("{0}")]
    Refused(String),
    /// A question that has to be answered before anything is stored.
    #[error("{question}")]
    Unsure {
        /// The question, as a sentence.
        question: String,
    },
    /// The question was answered with no.
    #[error("nothing was stored")]
    Declined,
    /// The library refused or failed.
    #[error("{}", crate::voice::say(&.0.phrase()))]
    Library(#[from] fallaway::Error),
    /// A file could not be read or written.
    #[error("{what}: {source}")]
    File {
        /// Which file, and what was wanted of it.
        what: String,
        /// What the system said.
        source: io::Error,
    },
    /// The app's own output could not be written.
    #[error("the output could not be written: {0}")]
    Output(#[from] io::Error),
}

impl Error {
    /// The words could not be understood.
    pub fn usage(text: impl Into<String>) -> Self {
        Self::Usage(text.into())
    }

    /// Understood, and refused.
    pub fn refused(text: impl Into<String>) -> Self {
        Self::Refused(text.into())
    }

    /// A file could not be read or written.
    pub fn file(what: impl Into<String>, source: io::Error) -> Self {
        Self::File { what: what.into(), source }
    }

    /// The exit code.
    pub fn code(&self) -> u8 {
        match self {
            Self::Usage(_) => USAGE,
            Self::Unsure { .. } | Self::Declined => UNSURE,
            Self::Library(error) => match error.code() {
                "bad-input" => USAGE,
                "unsure" => UNSURE,
                _ => REFUSED,
            },
            // Whoever read our output has seen enough: that is no failure.
            Self::Output(error) if error.kind() == io::ErrorKind::BrokenPipe => DONE,
            Self::Refused(_) | Self::File { .. } | Self::Output(_) => REFUSED,
        }
    }

    /// A short stable word for programs.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Usage(_) => "usage",
            Self::Refused(_) => "refused",
            Self::Unsure { .. } | Self::Declined => "unsure",
            Self::Library(error) => error.code(),
            Self::File { .. } => "file",
            Self::Output(_) => "output",
        }
    }

    /// Whether there is nobody left to tell.
    pub fn is_silent(&self) -> bool {
        matches!(self, Self::Output(e) if e.kind() == io::ErrorKind::BrokenPipe)
    }
}

/// Results of this app.
pub type Outcome<T = ()> = Result<T, Error>;
