//! One conversion from each precise error below to the few that cross to an app.

use std::path::PathBuf;

use fallaway_changes::{ChangeError, OpFault};
use fallaway_measure::{Dimension, Fret, LimitUnit, NameError, NoteError, PassError, ReadingError};
use fallaway_record::{EditError, LoadError, Moment, PrepareError};
use fallaway_sharing::bundle_file::FileError;
use fallaway_sharing::{
    CodeError, InsertError, InvitationError, LetterError, OpenError, WordsError,
};
use fallaway_store::StoreError;
use fallaway_text::errors::{self, Accepted, NothingAccepted, RefusedInput};
use fallaway_text::messages::{errors as say, sharing};
use fallaway_text::{Phrase, names};

use crate::error::{Error, NotFoundKind, field};

impl From<StoreError> for Error {
    fn from(error: StoreError) -> Self {
        let path = |path: PathBuf| path.display().to_string();
        match error {
            StoreError::NoSuchRecord { record } => {
                Self::not_found(NotFoundKind::Instrument, record.to_string())
            }
            StoreError::Newer { .. } => Self::read_only(say::store_newer()),
            StoreError::Busy => Self::busy(say::store_busy()),
            StoreError::Moved { .. } => Self::busy(say::record_moved()),
            StoreError::Full => Self::Full { reason: say::store_full() },
            StoreError::NotWritable { path: at, reason } => {
                Self::storage(say::not_writable(path(at), reason))
            }
            StoreError::CannotOpen { path: at, reason } => {
                Self::storage(say::cannot_open(path(at), reason))
            }
            StoreError::Io { reason } => Self::storage(say::io(reason)),
            StoreError::NoLog { path: at } => Self::storage(say::no_log(path(at))),
            // What the database found is for developers; the log has it.
            StoreError::Damaged { .. } => Self::storage(say::damaged()),
            StoreError::NotAStore { path: at, .. } => Self::storage(say::not_a_store(path(at))),
            StoreError::EngineTooOld { found, needed } => {
                Self::storage(say::engine(found, needed.to_owned()))
            }
            StoreError::RecordExists { .. }
            | StoreError::Taken { .. }
            | StoreError::Known { .. }
            | StoreError::NoSuchChange { .. }
            | StoreError::NumberWentBack { .. }
            | StoreError::TooGreat { .. }
            | StoreError::NotCompactable { .. }
            | StoreError::CheckFailed { .. }
            | StoreError::Engine { .. } => Self::internal("store", error),
        }
    }
}

impl From<EditError> for Error {
    fn from(error: EditError) -> Self {
        let nothing = Accepted::nothing;
        let (word, reason, accepted) = match error {
            EditError::NoSuchString { place, accepted } => {
                let choices = Accepted::one_of_listed(&accepted);
                let reason = say::no_such_string(place.to_string(), accepted);
                return Self::bad_input(field("string"), reason, choices);
            }
            EditError::NoSuchFret { fret, last } => {
                let accepted = Accepted::between(0, usize::from(last.number())).unsaid();
                return Self::bad_input(field("fret"), say::no_such_fret(fret, last), accepted);
            }
            EditError::FretOrder { first, second, .. } => {
                let beyond = usize::from(first.number()) + 1;
                let accepted = Accepted::between(beyond, usize::from(Fret::MAX)).unsaid();
                return Self::bad_input(field("fret"), say::fret_order(first, second), accepted);
            }
            EditError::NoSuchPickup { pickup, count } => {
                let accepted = Accepted::between(1, usize::from(count)).unsaid();
                let reason = say::no_such_pickup(pickup, count);
                return Self::bad_input(field("pickup"), reason, accepted);
            }
            EditError::Dimension { quantity, wanted, found } => {
                let accepted = Accepted::one_of_listed(wanted.units());
                let (wanted, found) = (names::dimension(wanted), names::dimension(found));
                let reason = say::dimension(names::quantity(quantity), wanted, found);
                return Self::bad_input(field("unit"), reason, accepted);
            }
            EditError::Tolerance { tolerance } => {
                let examples = Accepted::like(tolerance.dimension().examples());
                ("tolerance", say::tolerance(tolerance), examples)
            }
            EditError::CrownHeight { by } => {
                let examples = Accepted::like(Dimension::Length.examples());
                ("reading", say::crown_height(by), examples)
            }
            EditError::NoReadings => {
                ("reading", say::no_readings(), Accepted::like(Dimension::Length.examples()))
            }
            EditError::Text { what, found, most } => {
                let accepted = Accepted::between(1, most).unsaid();
                let reason = say::text_length(found, most);
                return Self::bad_input(field(what.word()), reason, accepted);
            }
            EditError::Spec(error) => return errors::fact(&error).into(),
            EditError::NotSet { key } => {
                ("field", say::not_set(key), nothing(NothingAccepted::Already))
            }
            EditError::UnknownTarget => {
                ("target", say::unknown_target(), nothing(NothingAccepted::NeedsNewer))
            }
            EditError::Time { offset_min, .. } => {
                ("time", say::stated_time(), times_accepted(offset_min.into()))
            }
            EditError::Unreadable { key } => {
                ("value", say::unreadable(key), nothing(NothingAccepted::NeedsNewer))
            }
            EditError::NoSuchEntry(id) => {
                let reason = say::no_such_entry(id.to_string());
                ("entry", reason, nothing(NothingAccepted::Unwritten))
            }
            EditError::AlreadyRetracted(_) => {
                ("entry", say::crossed_out_already(), nothing(NothingAccepted::Already))
            }
            EditError::Newer { key } => return Self::read_only(say::newer_value(key)),
            EditError::ContestedChanged { key, .. } => {
                return Self::Contested { field: key.into() };
            }
            EditError::Entry(_) | EditError::EntryExists(_) | EditError::ForeignEntry { .. } => {
                return Self::internal("edit", error);
            }
        };
        Self::bad_input(field(word), reason, accepted)
    }
}

/// What a stated time may be: in minutes east of UTC where that was wrong, else in seconds from
/// 1970-01-01T00:00:00Z.
pub fn times_accepted(offset_min: i32) -> Accepted {
    let furthest = i32::from(Moment::MAX_OFFSET_MIN);
    if (-furthest..=furthest).contains(&offset_min) {
        let (first, last) = Moment::SECONDS;
        Accepted::from_to(first as f64, last as f64, LimitUnit::Second)
    } else {
        Accepted::from_to(f64::from(-furthest), f64::from(furthest), LimitUnit::Minute)
    }
}

impl From<PrepareError> for Error {
    fn from(error: PrepareError) -> Self {
        match error {
            PrepareError::NeedsNewer { needs } => Self::read_only(sharing::needs_version(needs)),
            PrepareError::Malformed(error) => Self::from(error),
            PrepareError::Nothing | PrepareError::Refused(_) => Self::internal("change", error),
        }
    }
}

/// What no change can hold: which part, and what would be accepted.
impl From<ChangeError> for Error {
    fn from(error: ChangeError) -> Self {
        let too_much = Accepted::nothing(NothingAccepted::TooMuch);
        let (word, reason, accepted) = match &error {
            ChangeError::OutOfRange { what: "stated time in seconds", .. } => {
                ("clock", say::clock(), times_accepted(0).said(say::clock_accepted()))
            }
            ChangeError::TooLarge(_) => {
                ("edit", say::too_large(), too_much.said(say::less_at_once()))
            }
            ChangeError::Op { fault: OpFault::ValueSize, .. } => {
                ("value", say::value_size(), too_much.said(say::shorter()))
            }
            ChangeError::Malformed(_)
            | ChangeError::NotCanonical
            | ChangeError::OutOfRange { .. }
            | ChangeError::Empty
            | ChangeError::Unsorted(_)
            | ChangeError::Op { .. } => return Self::internal("change", error),
        };
        Self::bad_input(field(word), reason, accepted)
    }
}

impl From<LoadError> for Error {
    fn from(error: LoadError) -> Self {
        Self::storage(match error {
            LoadError::Damaged { .. } => say::snapshot_damaged(),
            LoadError::OtherRecord { .. } => say::snapshot_other(),
        })
    }
}

impl From<OpenError> for Error {
    fn from(error: OpenError) -> Self {
        Self::refused(open_error(&error))
    }
}

/// Why a bundle does not open.
pub(crate) fn open_error(error: &OpenError) -> Phrase {
    match error {
        OpenError::NotABundle => say::not_a_bundle(),
        OpenError::Newer(_) => say::bundle_newer(),
        OpenError::Truncated(_) => say::bundle_cut(),
        OpenError::OtherRecord(_) | OpenError::Readdressed(_) => say::bundle_other(),
        OpenError::UnknownEpoch(_) => say::bundle_key(),
        OpenError::Altered => say::bundle_altered(),
        OpenError::TooLarge(_)
        | OpenError::Padding
        | OpenError::Malformed(_)
        | OpenError::Changes(_)
        | OpenError::Member(_)
        | OpenError::Receipt(_) => say::bundle_malformed(),
    }
}

impl From<CodeError> for Error {
    fn from(error: CodeError) -> Self {
        Self::refused(match error {
            CodeError::TooMuch(_) => say::codes_too_much(),
            CodeError::Other => say::codes_other(),
            CodeError::Damaged => say::codes_damaged(),
        })
    }
}

impl From<fallaway_sheet::CodeTooLong> for Error {
    fn from(_: fallaway_sheet::CodeTooLong) -> Self {
        Self::refused(say::codes_too_much())
    }
}

impl From<InvitationError> for Error {
    fn from(error: InvitationError) -> Self {
        match error {
            InvitationError::Words(error) => error.into(),
            InvitationError::TooLarge(_) => Self::refused(say::no_invitation()),
            InvitationError::Newer(_) => Self::refused(say::invitation_newer()),
            InvitationError::Damaged => Self::refused(say::invitation_damaged()),
            InvitationError::Relay => Self::refused(say::invitation_relay()),
        }
    }
}

impl From<WordsError> for Error {
    fn from(error: WordsError) -> Self {
        Self::refused(match error {
            WordsError::Count(count) => say::words_count(count),
            WordsError::Unknown { place, word } => say::word_unknown(place, word),
            WordsError::Checksum => say::words_checksum(),
        })
    }
}

impl From<LetterError> for Error {
    fn from(error: LetterError) -> Self {
        match error {
            LetterError::NotALetter | LetterError::OtherReader => Self::refused(say::no_welcome()),
            LetterError::Newer(_) => Self::refused(say::invitation_newer()),
            LetterError::Altered | LetterError::Malformed(_) => {
                Self::refused(say::invitation_damaged())
            }
            LetterError::NotAKey => Self::internal("letter", error),
        }
    }
}

impl From<FileError> for Error {
    fn from(error: FileError) -> Self {
        Self::refused(match error {
            FileError::NotABundleFile => say::not_a_bundle(),
            FileError::Newer(_) => say::bundle_newer(),
            FileError::Truncated(_) => say::bundle_cut(),
            FileError::Damaged => say::bundle_altered(),
            FileError::Trailing(_) | FileError::BundleSize { .. } | FileError::Count => {
                say::bundle_malformed()
            }
        })
    }
}

impl From<InsertError> for Error {
    fn from(_: InsertError) -> Self {
        Self::refused(say::bundle_other())
    }
}

impl From<RefusedInput> for Error {
    fn from(RefusedInput { field, reason, accepted }: RefusedInput) -> Self {
        Self::BadInput { field, cell: None, reason, accepted }
    }
}

/// A formula refused its numbers: which one, and what it would take.
impl From<fallaway_mechanics::Error> for Error {
    fn from(error: fallaway_mechanics::Error) -> Self {
        errors::formula(&error).into()
    }
}

impl From<ReadingError> for Error {
    fn from(error: ReadingError) -> Self {
        let accepted = errors::reading_accepts(&error);
        Self::bad_input(field("reading"), errors::reading(&error), accepted)
    }
}

impl From<PassError> for Error {
    fn from(error: PassError) -> Self {
        let accepted = errors::pass_accepts(&error);
        Self::bad_input(field("readings"), errors::pass(&error), accepted)
    }
}

/// A name of a tool, a string, a quantity ... that names none.
impl From<NameError> for Error {
    fn from(error: NameError) -> Self {
        errors::name(&error).into()
    }
}

impl From<NoteError> for Error {
    fn from(error: NoteError) -> Self {
        errors::note(&error).into()
    }
}

#[cfg(test)]
#[path = "convert_tests.rs"]
#[allow(clippy::unwrap_used, clippy::indexing_slicing)]
mod lists;

#[cfg(test)]
mod tests {
    use fallaway_text::errors::AcceptedValues;

    use super::*;

    #[test]
    fn a_refused_number_says_which_and_what_would_be_taken() {
        use fallaway_mechanics::{frets::position, units::mm};
        let error = Error::from(position(mm(5.0), 12).unwrap_err());
        let Error::BadInput { field, reason, accepted, .. } = error else { panic!("{error}") };
        assert_eq!(field.to_string(), "scale length");
        assert_eq!(reason.to_string(), "5 mm is outside the limits");
        assert_eq!(accepted.text.to_string(), "100 to 3000 mm");
        let unit = fallaway_measure::LimitUnit::Millimetre;
        let values = AcceptedValues::Between { least: 100.0, most: 3000.0, unit };
        assert_eq!(*accepted.values, values);
        let error = Error::from(position(mm(650.0), 99).unwrap_err());
        assert_eq!(error.to_string(), "fret: 99 does not exist here (0 to 36)");
    }
}
