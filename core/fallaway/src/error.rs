//! The few errors an app can act on. Precise errors live in the crates below; they are turned into
//! these in one place each.

use fallaway_measure::Location;
use fallaway_text::errors::{self, Accepted, NothingAccepted};
use fallaway_text::messages::errors as say;
use fallaway_text::{List, Phrase, Word};

use crate::near::{MOST, nearest};
use crate::writing::write_options::{Cell, Doubt};

/// What was asked for and is not there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum NotFoundKind {
    /// An instrument of this workshop.
    Instrument,
    /// A starting point for one.
    Template,
    /// An entry of a history.
    Entry,
    /// A setup of the instrument.
    Setup,
    /// A visit, by the entry that opened it.
    Visit,
    /// A visit that is open on this device.
    OpenVisit,
    /// A fact about an instrument.
    Fact,
    /// A player of whom something was learned.
    Player,
    /// Somebody who shares the record.
    Person,
    /// An invitation that is open.
    Invitation,
    /// Work that is held.
    Held,
    /// Readings to take a setup from.
    Readings,
    /// Something to take back, or to make again.
    Write,
    /// A relay that carries the record: none was set.
    Relay,
    /// A field with two values.
    Field,
    /// A job of the shop.
    Job,
    /// Numbers of the shop.
    Spec,
    /// A string set of the shop.
    StringSet,
    /// Targets to take over.
    Targets,
}

impl NotFoundKind {
    /// The word by which programs, and the messages, tell it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Instrument => "instrument",
            Self::Template => "template",
            Self::Entry => "entry",
            Self::Setup => "setup",
            Self::Visit => "visit",
            Self::OpenVisit => "open_visit",
            Self::Fact => "fact",
            Self::Player => "player",
            Self::Person => "person",
            Self::Invitation => "invitation",
            Self::Held => "held",
            Self::Readings => "readings",
            Self::Write => "write",
            Self::Relay => "relay",
            Self::Field => "field",
            Self::Job => "job",
            Self::Spec => "spec",
            Self::StringSet => "string_set",
            Self::Targets => "targets",
        }
    }
}

/// What went wrong, in a form that an app can act on.
///
/// None of these leaves the store half-written: what was stored before the call still is.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Error {
    /// There is no such instrument, entry, setup, template or field here.
    NotFound {
        /// What was asked for.
        what: NotFoundKind,
        /// The name that was given.
        name: String,
        /// What exists instead.
        accepted: Accepted,
    },
    /// A value that was given cannot be taken.
    BadInput {
        /// Which value, such as "reading of string 3".
        field: Phrase,
        /// Which of the values that were given together, if it was one of several.
        cell: Option<Box<Cell>>,
        /// What is wrong with it, naming what was read.
        reason: Phrase,
        /// What would be accepted.
        accepted: Accepted,
    },
    /// Values look implausible: ask the person, and call again with the doubts that they accept
    /// ([`crate::WriteOptions::accept`]).
    Unsure {
        /// Which value or field is doubted, to stand above the doubts.
        field: Phrase,
        /// Each value that looks wrong, and why.
        doubts: Vec<Doubt>,
    },
    /// Somebody wrote another value since the values were shown.
    Contested {
        /// The field in question.
        field: Phrase,
    },
    /// A step that was named is not in the plan any more: what it rests on has changed since it was
    /// shown. Show the plan again.
    PlanMoved {
        /// The step that was named.
        step: String,
    },
    /// This record or store was written by a newer version and may be read only.
    ReadOnly {
        /// Why, and what would help.
        reason: Phrase,
        /// The members whose devices ask for a newer version; empty if it is not they. An owner
        /// can write nevertheless: [`crate::Instrument::write_anyway`].
        asked_by: Vec<String>,
    },
    /// Something from outside was refused.
    Refused {
        /// What was refused and why.
        reason: Phrase,
    },
    /// The role that this device has in the record does not allow the call.
    NotAllowed {
        /// Which role would be needed.
        reason: Phrase,
    },
    /// Another process holds the store and did not let go in time; try again.
    Busy {
        /// Who or what holds it, as far as known.
        reason: Phrase,
    },
    /// The disk, or the space given to the store, is full. Nothing was lost.
    Full {
        /// What could not be written.
        reason: Phrase,
    },
    /// The store's folder or file cannot be used.
    Storage {
        /// What the system said, and where.
        reason: Phrase,
    },
    /// The device's secrets are locked or lost.
    Keys {
        /// Locked, lost, or refused, in the keeper's words.
        reason: Phrase,
    },
    /// The workshop was shut down; open it again.
    Closed,
    /// The caller's own progress listener stopped the call. Nothing was changed by it.
    Cancelled,
    /// A defect in this library. Report it with the id; nothing stored was lost.
    Internal {
        /// A short id that also appears in the log.
        report_id: String,
        /// What was found, for developers.
        reason: String,
    },
}

#[cfg(feature = "pdf")]
impl From<fallaway_sheet::PdfFailed> for Error {
    fn from(failed: fallaway_sheet::PdfFailed) -> Self {
        Self::internal("pdf", failed)
    }
}

/// In English; [`Error::phrase`] for any other voice.
impl std::fmt::Display for Error {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.phrase().fmt(f)
    }
}

impl std::error::Error for Error {}

impl Error {
    /// What went wrong, and what would be accepted, for a [`fallaway_text::Voice`] to say.
    pub fn phrase(&self) -> Phrase {
        let with = |error: Phrase, accepted: &Accepted| {
            if accepted.is_empty() {
                error
            } else {
                say::with_accepted(error, accepted.text.clone())
            }
        };
        match self {
            Self::NotFound { what, name, accepted } => {
                with(say::not_found(Word(what.word()), name.clone()), accepted)
            }
            Self::BadInput { field, reason, accepted, .. } => {
                with(say::bad_input(field.clone(), reason.clone()), accepted)
            }
            Self::Unsure { field, doubts } => say::unsure(field.clone(), Self::reasons(doubts)),
            Self::Contested { field } => say::contested(field.clone()),
            Self::PlanMoved { .. } => say::plan_moved(),
            Self::ReadOnly { reason, .. } => say::read_only(reason.clone()),
            Self::Refused { reason } => say::refused(reason.clone()),
            Self::NotAllowed { reason } => say::not_allowed(reason.clone()),
            Self::Busy { reason } => say::busy(reason.clone()),
            Self::Full { reason } => say::full(reason.clone()),
            Self::Storage { reason } => say::storage(reason.clone()),
            Self::Keys { reason } => say::keys(reason.clone()),
            Self::Closed => say::closed(),
            Self::Cancelled => say::cancelled(),
            Self::Internal { report_id, reason } => {
                say::internal(report_id.clone(), reason.clone())
            }
        }
    }

    /// A stable word for each kind, for logs, JSON and exit codes.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NotFound { .. } => "not-found",
            Self::BadInput { .. } => "bad-input",
            Self::Unsure { .. } => "unsure",
            Self::Contested { .. } => "contested",
            Self::PlanMoved { .. } => "plan-moved",
            Self::ReadOnly { .. } => "read-only",
            Self::Refused { .. } => "refused",
            Self::NotAllowed { .. } => "not-allowed",
            Self::Busy { .. } => "busy",
            Self::Full { .. } => "full",
            Self::Storage { .. } => "storage",
            Self::Keys { .. } => "keys",
            Self::Closed => "closed",
            Self::Cancelled => "cancelled",
            Self::Internal { .. } => "internal",
        }
    }

    /// A defect found at `place`; the id is derived from the text, so that the same defect has the
    /// same id on every device.
    pub(crate) fn internal(place: &str, reason: impl std::fmt::Display) -> Self {
        let reason = format!("{place}: {reason}");
        let hash = blake3::hash(reason.as_bytes()).to_hex();
        Self::Internal { report_id: hash.chars().take(8).collect(), reason }
    }

    /// What there is instead is no choice: an id that names nothing here, or nothing to act on.
    pub(crate) fn not_found(what: NotFoundKind, name: impl Into<String>) -> Self {
        let accepted = Accepted::nothing(NothingAccepted::Unwritten);
        Self::NotFound { what, name: name.into(), accepted }
    }

    pub(crate) fn bad_input(field: impl Into<Phrase>, reason: Phrase, accepted: Accepted) -> Self {
        Self::BadInput { field: field.into(), cell: None, reason, accepted }
    }

    /// What cannot be answered until something is written or read.
    pub(crate) fn unwritten(name: &'static str, reason: Phrase) -> Self {
        Self::bad_input(field(name), reason, Accepted::nothing(NothingAccepted::Unwritten))
    }

    /// The same, and which of the values it was.
    #[must_use]
    pub(crate) fn in_cell(mut self, position: Option<usize>, location: Option<Location>) -> Self {
        if let Self::BadInput { cell, .. } = &mut self {
            let known = cell.take().unwrap_or_default();
            *cell = Some(Box::new(Cell { position, location, ..*known }));
        }
        self
    }

    /// The same, and in which of the entries.
    #[must_use]
    pub(crate) fn in_entry(mut self, number: usize) -> Self {
        if let Self::BadInput { cell, .. } = &mut self {
            cell.get_or_insert_default().entry = Some(number);
        }
        self
    }

    /// The same, and where in a table.
    #[must_use]
    pub(crate) fn in_column(mut self, row: usize, column: &str) -> Self {
        if let Self::BadInput { cell, .. } = &mut self {
            let cell = cell.get_or_insert_default();
            cell.position = Some(row);
            cell.column = Some(column.to_owned());
        }
        self
    }

    /// Why each of them looks wrong, for one question.
    pub fn reasons(doubts: &[Doubt]) -> Phrase {
        errors::reasons(doubts.iter().map(|doubt| &doubt.reason)).into()
    }

    pub(crate) fn busy(reason: impl Into<Phrase>) -> Self {
        Self::Busy { reason: reason.into() }
    }

    pub(crate) fn refused(reason: impl Into<Phrase>) -> Self {
        Self::Refused { reason: reason.into() }
    }

    pub(crate) fn keys(reason: impl Into<Phrase>) -> Self {
        Self::Keys { reason: reason.into() }
    }

    pub(crate) fn storage(reason: impl Into<Phrase>) -> Self {
        Self::Storage { reason: reason.into() }
    }

    pub(crate) fn not_allowed(reason: impl Into<Phrase>) -> Self {
        Self::NotAllowed { reason: reason.into() }
    }

    pub(crate) fn read_only(reason: impl Into<Phrase>) -> Self {
        Self::ReadOnly { reason: reason.into(), asked_by: Vec::new() }
    }
}

/// What exists instead of what was not found.
pub(crate) fn there_are(names: impl IntoIterator<Item = impl Into<String>>) -> Accepted {
    let names: Vec<String> = names.into_iter().map(Into::into).collect();
    if names.is_empty() {
        return Accepted::nothing(NothingAccepted::Unwritten).said(say::none_yet());
    }
    let text = say::there_are(List::comma(names.iter().map(Phrase::written)));
    Accepted::one_of(names).said(text)
}

/// So many names are all named; of more of them only some.
const FEW: usize = 8;

/// The names that may have been meant instead of one that was not found; all of them if they are few.
pub(crate) fn near(wanted: &str, names: impl IntoIterator<Item = impl Into<String>>) -> Accepted {
    let names: Vec<String> = names.into_iter().map(Into::into).collect();
    if names.len() <= FEW {
        return there_are(names);
    }
    let list = |names: &[&str]| List::comma(names.iter().copied().map(Phrase::written));
    let nearest = nearest(wanted, &names);
    let (named, text) = if nearest.is_empty() {
        let first: Vec<&str> = names.iter().take(MOST).map(String::as_str).collect();
        let text = say::there_are_more(list(&first), names.len() - first.len());
        (first, text)
    } else {
        let text = say::similar(list(&nearest), names.len());
        (nearest, text)
    };
    Accepted::one_of(named.into_iter().map(str::to_owned).collect::<Vec<_>>()).said(text)
}

/// The name of an input field.
pub(crate) fn field(word: &'static str) -> Phrase {
    say::field(Word(word))
}

/// The result of every call of this library.
pub type Result<T, E = Error> = std::result::Result<T, E>;

#[cfg(test)]
#[path = "error_tests.rs"]
#[allow(clippy::unwrap_used, clippy::indexing_slicing)]
mod tests;
