//! The few errors that an app can act on.

use crate::voice::say;

/// What went wrong, in a form that an app can act on. None of these leaves the store half-written:
/// what was stored before the call still is.
#[derive(Debug, Clone, PartialEq, thiserror::Error, uniffi::Error)]
pub enum FallawayError {
    /// There is no such instrument, entry, setup, template or field here.
    #[error("there is no {what} \u{201c}{name}\u{201d}{}", hint(accepted))]
    NotFound {
        /// The kind of thing that was asked for, such as "instrument".
        what: String,
        /// The name that was given.
        name: String,
        /// What exists instead, in words; may be empty.
        accepted: String,
    },
    /// A value that was given cannot be taken. Show `reason` and `accepted` beside the field.
    #[error("{field}: {reason}{}", hint(accepted))]
    BadInput {
        /// Which value, such as "reading of string 3".
        field: String,
        /// What is wrong with it, naming what was read.
        reason: String,
        /// What would be accepted, in words; may be empty.
        accepted: String,
    },
    /// The value looks implausible: ask the person, and call again with `sure` if it is right.
    #[error("{field}: {reason}. Confirm to enter it anyway.")]
    Unsure {
        /// Which value.
        field: String,
        /// Why it looks wrong, with the usual range.
        reason: String,
    },
    /// Somebody wrote another value since the values were shown: show them again.
    #[error("{field}: other values have arrived since; look at them before you settle")]
    Contested {
        /// The field in question.
        field: String,
    },
    /// This record or store was written by a newer version and may only be read: update the app.
    #[error("read only: {reason}")]
    ReadOnly {
        /// Why, and what would help.
        reason: String,
    },
    /// Something from outside (a bundle, an invitation) was refused.
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
    /// Another process holds the store and did not let go in time: try again.
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
    /// The device's secrets are locked or lost, or the `SecretKeeper` failed.
    #[error("the device's keys are unavailable: {reason}")]
    Keys {
        /// Locked, lost, or refused, in the keeper's words.
        reason: String,
    },
    /// The workshop was shut down: open it again.
    #[error("the workshop was shut down")]
    Closed,
    /// The call's own `Progress` stopped it. Nothing was changed by it.
    #[error("cancelled")]
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

impl FallawayError {
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

impl From<fallaway::mechanics::Error> for FallawayError {
    fn from(refusal: fallaway::mechanics::Error) -> Self {
        fallaway::Error::from(refusal).into()
    }
}

impl From<fallaway::Error> for FallawayError {
    fn from(error: fallaway::Error) -> Self {
        use fallaway::Error;
        match error {
            Error::NotFound { what, name, accepted } => {
                Self::NotFound { what: what.to_owned(), name, accepted: say(&accepted) }
            }
            Error::BadInput { field, reason, accepted } => Self::BadInput {
                field: say(&field),
                reason: say(&reason),
                accepted: say(&accepted),
            },
            Error::Unsure { field, reason } => {
                Self::Unsure { field: say(&field), reason: say(&reason) }
            }
            Error::Contested { field } => Self::Contested { field: say(&field) },
            Error::ReadOnly { reason } => Self::ReadOnly { reason: say(&reason) },
            Error::Refused { reason } => Self::Refused { reason: say(&reason) },
            Error::NotAllowed { reason } => Self::NotAllowed { reason: say(&reason) },
            Error::Busy { reason } => Self::Busy { reason: say(&reason) },
            Error::Full { reason } => Self::Full { reason: say(&reason) },
            Error::Storage { reason } => Self::Storage { reason: say(&reason) },
            Error::Keys { reason } => Self::Keys { reason: say(&reason) },
            Error::Closed => Self::Closed,
            Error::Cancelled => Self::Cancelled,
            Error::Internal { report_id, reason } => Self::Internal { report_id, reason },
            // The face may gain kinds before this file does.
            other => {
                Self::Internal { report_id: other.code().to_owned(), reason: other.to_string() }
            }
        }
    }
}

/// What an app's own object (a keeper, a listener) answers when it cannot do what it is asked. Any
/// other exception that it throws arrives as this too.
#[derive(Debug, Clone, PartialEq, thiserror::Error, uniffi::Error)]
pub enum ForeignError {
    /// It did not work.
    #[error("{reason}")]
    Failed {
        /// What happened, in words.
        reason: String,
    },
}

impl From<uniffi::UnexpectedUniFFICallbackError> for ForeignError {
    fn from(error: uniffi::UnexpectedUniFFICallbackError) -> Self {
        // Some languages append where it was thrown; a person reads the first line alone.
        let reason = error.reason.lines().next().unwrap_or_default().to_owned();
        Self::Failed { reason }
    }
}
