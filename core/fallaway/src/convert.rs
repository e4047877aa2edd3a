//! One conversion from each precise error below to the few that cross to an app.

use fallaway_changes::{ChangeError, OpFault};
use fallaway_measure::{PassError, ReadingError};
use fallaway_mechanics::Error as MechanicsError;
use fallaway_mechanics::pitch::ParseNoteError;
use fallaway_record::{ApplyError, EditError, LoadError, PrepareError, Refusal};
use fallaway_sharing::{InvitationError, OpenError};
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
            EditError::NotSet { .. } => "field",
            EditError::UnknownTarget => "target",
            EditError::Time { .. } => "time",
            EditError::Unreadable { .. } => "value",
            EditError::NoSuchEntry(_) | EditError::AlreadyRetracted(_) | EditError::Entry(_) => {
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
            PrepareError::Refused(Refusal::Malformed(error)) => Self::from(error),
            error => Self::internal("change", error),
        }
    }
}

/// What no change can hold: which part, and what would be accepted.
impl From<ChangeError> for Error {
    fn from(error: ChangeError) -> Self {
        match &error {
            ChangeError::OutOfRange { what: "stated time in seconds", .. } => {
                Self::bad_input("clock", error, "a time from the year 1 to 9999")
            }
            ChangeError::TooLarge(_) => Self::bad_input("edit", error, "less at once"),
            ChangeError::Op { fault: OpFault::ValueSize, .. } => {
                Self::bad_input("value", error, "shorter texts and lists")
            }
            ChangeError::Op { fault: OpFault::Predecessors, .. } => {
                Self::bad_input("field", error, "a field of which fewer values stand side by side")
            }
            _ => Self::internal("change", error),
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

/// A formula refused its numbers: which one, and what it would take.
impl From<MechanicsError> for Error {
    fn from(error: MechanicsError) -> Self {
        let whole = error.to_string();
        let (field, accepted) = match error {
            MechanicsError::OutOfRange { quantity, value, unit, min, max } => {
                let unit = if unit == "1" { String::new() } else { format!(" {unit}") };
                return Self::bad_input(
                    quantity,
                    format!("{value}{unit} is outside the limits"),
                    format!("{min} to {max}{unit}"),
                );
            }
            MechanicsError::NotFinite { quantity } => {
                return Self::bad_input(quantity, "not a finite number", "a finite number");
            }
            MechanicsError::Missing { quantity, .. } => (quantity, String::new()),
            MechanicsError::TooFew { quantity, needed, .. } => {
                (quantity, format!("at least {needed}"))
            }
            MechanicsError::CountMismatch { quantity, expected, .. } => {
                (quantity, expected.to_string())
            }
            MechanicsError::NoSuchPlace { what, first, last, .. } => {
                (what, format!("{first} to {last}"))
            }
            MechanicsError::NotKnown { what, accepted } => {
                return Self::bad_input(what, format!("no such {what}"), accepted);
            }
            MechanicsError::Inconsistent { what, reason } => {
                return Self::bad_input(what, reason, "");
            }
            MechanicsError::Undetermined { what, .. } => (what, String::new()),
        };
        Self::bad_input(field, whole, accepted)
    }
}

impl From<ReadingError> for Error {
    fn from(error: ReadingError) -> Self {
        Self::bad_input("reading", error, "")
    }
}

impl From<PassError> for Error {
    fn from(error: PassError) -> Self {
        Self::bad_input("readings", error, "")
    }
}

impl From<ParseNoteError> for Error {
    fn from(error: ParseNoteError) -> Self {
        Self::bad_input("note", error, "")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refused_number_says_which_and_what_would_be_taken() {
        use fallaway_mechanics::{frets::position, units::mm};
        let error = Error::from(position(mm(5.0), 12).unwrap_err());
        let Error::BadInput { field, reason, accepted } = error else { panic!("{error}") };
        assert_eq!(field, "scale length");
        assert_eq!(reason, "5 mm is outside the limits");
        assert_eq!(accepted, "100 to 3000 mm");
        let error = Error::from(position(mm(650.0), 99).unwrap_err());
        assert_eq!(error.to_string(), "fret: there is no fret 99; this one has 0 to 36 (0 to 36)");
    }
}
