//! The few errors an app can act on. Precise errors live in the crates below; they are turned into
//! these in one place each.

/// What went wrong, in a form that an app can act on.
///
/// None of these leaves the store half-written: what was stored before the call still is.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// There is no such instrument, entry, setup, template or field here.
    #[error("there is no {what} \u{201c}{name}\u{201d}{}", hint(accepted))]
    NotFound {
        /// The kind of thing that was asked for, such as "instrument".
        what: &'static str,
        /// The name that was given.
        name: String,
        /// What exists instead, in words; may be empty.
        accepted: String,
    },
    /// A value that was given cannot be taken.
    #[error("{field}: {reason}{}", hint(accepted))]
    BadInput {
        /// Which value, such as "reading of string 3".
        field: String,
        /// What is wrong with it, naming what was read.
        reason: String,
        /// What would be accepted, in words; may be empty.
        accepted: String,
    },
    /// The value looks implausible: ask the person, and call again with the answer.
    #[error("{field}: {reason}. Say that it is right to enter it all the same.")]
    Unsure {
        /// Which value.
        field: String,
        /// Why it looks wrong, with the usual range.
        reason: String,
    },
    /// Somebody wrote another value since the values were shown.
    #[error("{field}: other values have arrived since; look at them before you settle")]
    Contested {
        /// The field in question.
        field: String,
    },
    /// This record or store was written by a newer version and may be read only.
    #[error("read only: {reason}")]
    ReadOnly {
        /// Why, and what would help.
        reason: String,
    },
    /// Something from outside was refused.
    #[error("refused: {reason}")]
    Refused {
        /// What was refused and why.
        reason: String,
    },
    /// The role that this device has in the record does not allow the call.
    #[error("not allowed: {reason}")]
    NotAllowed {
        /// Which role would be needed.
        reason: String,
    },
    /// Another process holds the store and did not let go in time; try again.
    #[error("the store is busy: {reason}")]
    Busy {
        /// Who or what holds it, as far as known.
        reason: String,
    },
    /// The disk, or the space given to the store, is full. Nothing was lost.
    #[error("no room left: {reason}")]
    Full {
        /// What could not be written.
        reason: String,
    },
    /// The store's folder or file cannot be used.
    #[error("the store cannot be used: {reason}")]
    Storage {
        /// What the system said, and where.
        reason: String,
    },
    /// The device's secrets are locked or lost.
    #[error("the device's keys cannot be had: {reason}")]
    Keys {
        /// Locked, lost, or refused, in the keeper's words.
        reason: String,
    },
    /// The workshop was shut down; open it again.
    #[error("the workshop was shut down")]
    Closed,
    /// The caller's own progress listener stopped the call. Nothing was changed by it.
    #[error("stopped, as asked")]
    Cancelled,
    /// A defect in this library. Report it with the id; nothing stored was lost.
    #[error("internal error {report_id}: {reason}")]
    Internal {
        /// A short id that also appears in the log.
        report_id: String,
        /// What was found.
        reason: String,
    },
}

fn hint(accepted: &str) -> String {
    if accepted.is_empty() { String::new() } else { format!(" ({accepted})") }
}

impl Error {
    /// A stable word for each kind, for logs, JSON and exit codes.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NotFound { .. } => "not-found",
            Self::BadInput { .. } => "bad-input",
            Self::Unsure { .. } => "unsure",
            Self::Contested { .. } => "contested",
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

    pub(crate) fn not_found(what: &'static str, name: impl Into<String>) -> Self {
        Self::NotFound { what, name: name.into(), accepted: String::new() }
    }

    pub(crate) fn bad_input(
        field: impl Into<String>,
        reason: impl std::fmt::Display,
        accepted: impl Into<String>,
    ) -> Self {
        Self::BadInput {
            field: field.into(),
            reason: reason.to_string(),
            accepted: accepted.into(),
        }
    }
}

/// The result of every call of this library.
pub type Result<T, E = Error> = std::result::Result<T, E>;
