//! What the library tells the app without being asked: which instruments changed, how far a long
//! call has come, and lines for a log.

use std::ops::ControlFlow;
use std::panic::{AssertUnwindSafe, catch_unwind};

use crate::showing::views::InstrumentId;

/// Is told which instruments changed.
///
/// Called after the change is durable, on the thread that made it, with no lock held: it may call
/// the workshop. Changes that another process made are told when this one comes across them.
pub trait ChangeListener: Send + Sync {
    /// These instruments changed, came or went: read anew what you show of them.
    fn changed(&self, instruments: &[InstrumentId]);
}

/// Is told how far a call has come that can take long, and may stop it.
///
/// Called while the call holds the workshop: it must return soon, and calls of the workshop from
/// inside it answer [`crate::Error::Busy`].
pub trait ProgressListener: Send + Sync {
    /// `done` of `total` steps are done. Steps are not equally long. After
    /// [`ControlFlow::Break`] the call answers [`crate::Error::Cancelled`] and leaves things as
    /// they were.
    fn at(&self, done: u64, total: u64) -> ControlFlow<()>;
}

/// Progress that nobody looks at.
pub(crate) struct NoProgress;

impl ProgressListener for NoProgress {
    fn at(&self, _: u64, _: u64) -> ControlFlow<()> {
        ControlFlow::Continue(())
    }
}

/// How much a line of the log matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LogLevel {
    /// The ordinary course of things.
    Info,
    /// Something was set aside, refused or repaired.
    Warning,
    /// A defect of the library, with the id that the error carries.
    Failure,
}

/// Takes lines for a log. They hold counts, kinds and error texts; no names, readings or secrets.
///
/// May be called while a call holds the workshop: calls of the workshop from inside it answer
/// [`crate::Error::Busy`].
pub trait LogSink: Send + Sync {
    /// One line, without a line end.
    fn log(&self, level: LogLevel, line: &str);
}

/// Where lines for the log go, if anywhere.
pub(crate) struct Log(pub Option<Box<dyn LogSink>>);

impl Log {
    /// Writes a line, if there is somebody to take it.
    pub(crate) fn line(&self, level: LogLevel, line: impl FnOnce() -> String) {
        if let Some(sink) = &self.0 {
            let line = line();
            let _ = catch_unwind(AssertUnwindSafe(|| sink.log(level, &line)));
        }
    }
}
