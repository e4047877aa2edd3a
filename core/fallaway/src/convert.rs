//! One conversion from each precise error below to the few that cross to an app.

use fallaway_bundle::{InvitationError, OpenError};
use fallaway_record::{ApplyError, EditError, LoadError, PrepareError};
use fallaway_store::StoreError;

use crate::error::Error;

impl From<StoreError> for Error {
    fn from(error: StoreError) -> Self {
        let reason = error.to_string();
        match error {
            StoreError::NoSuchRecord { record } => {
                Self::not_found("instrument", record.to_string())
            }
            StoreError::Newer { .. } => Self::ReadOnly { reason },
            StoreError::Busy | StoreError::Moved { .. } => Self::Busy { reason },
            StoreError::Full => Self::Full { reason },
            StoreError::NotWritable { .. }
            | StoreError::CannotOpen { .. }
            | StoreError::Io { .. }
            | StoreError::Damaged { .. }
            | StoreError::NotAStore { .. }
            | StoreError::EngineTooOld { .. } => Self::Storage { reason },
            _ => Self::internal("store", reason),
        }
    }
}

impl From<EditError> for Error {
    fn from(error: EditError) -> Self {
        let reason = error.to_string();
        let field = match &error {
            EditError::NoSuchString { .. } => "string",
            EditError::NoSuchFret { .. } | EditError::FretOrder { .. } => "fret",
            EditError::NoSuchPickup { .. } => "pickup",
            EditError::Dimension { .. } => "unit",
            EditError::Tolerance { .. } => "tolerance",
            EditError::NoReadings => "reading",
            EditError::Text { what, .. } => what,
            EditError::Spec(error) => error.what,
            EditError::NotSet { .. } | EditError::UnknownTarget => "target",
            EditError::NoSuchEntry(_) | EditError::AlreadyStruck(_) | EditError::Entry(_) => {
                "entry"
            }
            EditError::Newer { key } => {
                return Self::ReadOnly { reason: format!("{key}: {reason}") };
            }
            EditError::ContestedChanged { key, .. } => {
                return Self::Contested { field: key.clone() };
            }
            _ => return Self::internal("edit", reason),
        };
        Self::bad_input(field, reason, "")
    }
}

impl From<PrepareError> for Error {
    fn from(error: PrepareError) -> Self {
        match error {
            PrepareError::NeedsNewer { .. } => Self::ReadOnly { reason: error.to_string() },
            PrepareError::ContestedChanged { key, .. } => Self::Contested { field: key },
            error => Self::internal("change", error),
        }
    }
}

impl From<LoadError> for Error {
    fn from(error: LoadError) -> Self {
        Self::Storage { reason: error.to_string() }
    }
}

impl From<ApplyError> for Error {
    fn from(error: ApplyError) -> Self {
        Self::internal("merge", error)
    }
}

impl From<OpenError> for Error {
    fn from(error: OpenError) -> Self {
        Self::Refused { reason: error.to_string() }
    }
}

impl From<InvitationError> for Error {
    fn from(error: InvitationError) -> Self {
        Self::Refused { reason: error.to_string() }
    }
}
