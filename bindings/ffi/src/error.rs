//! The few errors that an app can act on.

use fallaway::text::messages::errors;
use fallaway::text::{List, Phrase, Word};

use crate::mirror::mirror;
use crate::reasons::{
    WhyBadInput, WhyBusy, WhyKeys, WhyNotAllowed, WhyReadOnly, WhyRefused, WhyStorage,
};
use crate::voice::say;
use crate::voice::sentence;
use crate::{Cell, Doubt};

mirror! {
    /// What was asked for and is not there.
    NotFoundKind = fallaway::NotFoundKind {
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
}

impl NotFoundKind {
    const fn typed(self) -> fallaway::NotFoundKind {
        use fallaway::NotFoundKind as Known;
        match self {
            Self::Instrument => Known::Instrument,
            Self::Template => Known::Template,
            Self::Entry => Known::Entry,
            Self::Setup => Known::Setup,
            Self::Visit => Known::Visit,
            Self::OpenVisit => Known::OpenVisit,
            Self::Fact => Known::Fact,
            Self::Player => Known::Player,
            Self::Person => Known::Person,
            Self::Invitation => Known::Invitation,
            Self::Held => Known::Held,
            Self::Readings => Known::Readings,
            Self::Write => Known::Write,
            Self::Relay => Known::Relay,
            Self::Job => Known::Job,
            Self::Spec => Known::Spec,
            Self::StringSet => Known::StringSet,
            Self::Targets => Known::Targets,
            Self::Field | Self::Newer => Known::Field,
        }
    }
}

mirror! {
    /// Why no value would be taken in a place until something else has changed.
    NothingAccepted = fallaway::NothingAccepted {
        /// What the answer rests on has not been written or read yet: that comes first.
        Unwritten,
        /// It hangs on another value that was given with it.
        OtherValue,
        /// The record has it like this already, or something stands on it that has to go first.
        Already,
        /// The file or the folder is another one than what is asked for.
        OtherFile,
        /// It is too much for one call.
        TooMuch,
        /// A newer version of the app has to do it.
        NeedsNewer,
    }
}

/// What would be accepted, as data.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum AcceptedValues {
    /// No value, until something else has changed.
    Nothing {
        /// What that is.
        why: NothingAccepted,
    },
    /// One of these.
    OneOf {
        /// Each as it would be written.
        choices: Vec<String>,
    },
    /// Anything of its kind but these.
    NoneOf {
        /// What is taken.
        taken: Vec<String>,
    },
    /// Written like one of these.
    Like {
        /// Each as it could be written, whatever the app's language.
        examples: Vec<String>,
    },
    /// Any number from one to another: for a stepper or a slider.
    Between {
        /// The least number that is taken, in `unit`.
        least: f64,
        /// The greatest number that is taken, in `unit`.
        most: f64,
        /// Of what they are numbers, by its symbol, such as "mm"; empty for a count.
        unit: String,
    },
    /// What came after this app was built: show the text beside it.
    Newer,
}

impl From<fallaway::AcceptedValues> for AcceptedValues {
    fn from(values: fallaway::AcceptedValues) -> Self {
        match values {
            fallaway::AcceptedValues::Nothing(why) => Self::Nothing { why: why.into() },
            fallaway::AcceptedValues::NoneOf(taken) => Self::NoneOf { taken },
            fallaway::AcceptedValues::OneOf(choices) => Self::OneOf { choices },
            fallaway::AcceptedValues::Like(examples) => Self::Like { examples },
            fallaway::AcceptedValues::Between { least, most, unit } => {
                Self::Between { least, most, unit: unit.symbol().to_owned() }
            }
        }
    }
}

/// What went wrong, in a form that an app can act on. None of these leaves the store half-written:
/// what was stored before the call still is.
#[derive(Debug, Clone, PartialEq, uniffi::Error)]
pub enum FallawayError {
    /// There is no such instrument, entry, setup, template or field here.
    NotFound {
        /// What was asked for.
        what: NotFoundKind,
        /// The name that was given.
        name: String,
        /// What exists instead, in words; may be empty.
        accepted: String,
        /// The names that exist instead, as data; empty for an id, of which none would be offered.
        choices: Vec<String>,
    },
    /// A value that was given cannot be taken. Show `reason` and `accepted` beside the field.
    BadInput {
        /// Which value, such as "reading of string 3".
        field: String,
        /// What is wrong with it, naming what was read.
        reason: String,
        /// What would be accepted, in words; empty where the reason has said it.
        accepted: String,
        /// The same as data.
        values: AcceptedValues,
        /// Which of the values that were given together, if it was one of several.
        cell: Option<Cell>,
        /// What is wrong with it, as data.
        why: WhyBadInput,
    },
    /// Values look implausible: ask the person, and call again with those of the doubts that they
    /// answer with yes in `WriteOptions.accept`.
    Unsure {
        /// Which value or field is doubted, in words, to stand above the doubts.
        field: String,
        /// Each value that looks wrong, and why.
        doubts: Vec<Doubt>,
    },
    /// Somebody wrote another value since the values were shown: show them again.
    Contested {
        /// The field in question.
        field: String,
    },
    /// A step that was named is not in the plan any more: what it rests on has changed since it was
    /// shown. Show the plan again.
    PlanMoved {
        /// The step that was named.
        step: String,
    },
    /// This record or store was written by a newer version and may only be read: update the app.
    ReadOnly {
        /// Why, and what would help.
        reason: String,
        /// The members whose devices ask for a newer version; empty if it is not they. An owner
        /// can write nevertheless: `Instrument.write_anyway`.
        asked_by: Vec<String>,
        /// The reason as data.
        why: WhyReadOnly,
    },
    /// Something from outside (a bundle, an invitation) was refused.
    Refused {
        /// What was refused and why.
        reason: String,
        /// The same as data.
        why: WhyRefused,
    },
    /// The role that this device has in the record does not allow the call.
    NotAllowed {
        /// Which role would be needed.
        reason: String,
        /// The same as data.
        why: WhyNotAllowed,
    },
    /// Another process holds the store and did not let go in time: try again.
    Busy {
        /// Who or what holds it, as far as known.
        reason: String,
        /// The same as data.
        why: WhyBusy,
    },
    /// The disk, or the space given to the store, is full. Nothing was lost.
    Full {
        /// What could not be written.
        reason: String,
    },
    /// The store's folder or file cannot be used.
    Storage {
        /// What the system said, and where.
        reason: String,
        /// The same as data.
        why: WhyStorage,
    },
    /// The device's secrets are locked or lost, or the `SecretKeeper` failed.
    Keys {
        /// Locked, lost, or refused, in the keeper's words.
        reason: String,
        /// The same as data.
        why: WhyKeys,
    },
    /// The workshop was shut down: open it again.
    Closed,
    /// The call's own `ProgressListener` stopped it. Nothing was changed by it.
    Cancelled,
    /// A defect in this library. Report it with the id; nothing stored was lost.
    Internal {
        /// A short id that also appears in the log.
        report_id: String,
        /// What was found, for a developer; in English.
        reason: String,
    },
}

/// In the language that was set ([`crate::set_voice`]).
impl std::fmt::Display for FallawayError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&say(&self.phrase()))
    }
}

impl std::error::Error for FallawayError {}

#[uniffi::export]
impl FallawayError {
    /// The error as a sentence for a person, in the language that was set.
    pub fn text(&self) -> String {
        sentence(&self.phrase())
    }
}

impl FallawayError {
    fn phrase(&self) -> Phrase {
        if let Self::Unsure { field, doubts } = self {
            let reasons = doubts.iter().map(|doubt| Phrase::written(doubt.reason.as_str()));
            return errors::unsure(
                Phrase::written(field.as_str()),
                List::semicolon(reasons).into(),
            );
        }
        fallaway::Error::from(self.clone()).phrase()
    }

    pub(crate) fn bad_input(field: &Phrase, reason: &Phrase, accepted: fallaway::Accepted) -> Self {
        Self::BadInput {
            field: say(field),
            cell: None,
            why: WhyBadInput::within(reason),
            reason: say(reason),
            accepted: say(&accepted.text),
            values: (*accepted.values).into(),
        }
    }
}

/// The name of an input field.
pub(crate) fn field(word: &'static str) -> Phrase {
    errors::field(Word(word))
}

impl FallawayError {
    /// The same, and in which of the entries.
    pub(crate) fn in_entry(mut self, number: u32) -> Self {
        if let Self::BadInput { cell, .. } = &mut self {
            let none = Cell { position: None, location: None, entry: None, column: None };
            cell.get_or_insert(none).entry = Some(number);
        }
        self
    }
}

macro_rules! through_the_library {
    ($($error:ty),+) => { $(
        impl From<$error> for FallawayError {
            fn from(refusal: $error) -> Self {
                fallaway::Error::from(refusal).into()
            }
        }
    )+ };
}

through_the_library!(
    fallaway::mechanics::Error,
    fallaway::measure::NameError,
    fallaway::measure::NoteError
);

impl From<fallaway::Error> for FallawayError {
    fn from(error: fallaway::Error) -> Self {
        use fallaway::Error;
        match error {
            Error::NotFound { what, name, accepted } => {
                let choices = match *accepted.values {
                    fallaway::AcceptedValues::OneOf(choices) => choices,
                    _ => Vec::new(),
                };
                Self::NotFound { what: what.into(), name, accepted: say(&accepted.text), choices }
            }
            Error::BadInput { field, cell, reason, accepted } => Self::BadInput {
                field: say(&field),
                cell: cell.map(|cell| Cell::from(*cell)),
                why: WhyBadInput::within(&reason),
                reason: say(&reason),
                accepted: say(&accepted.text),
                values: (*accepted.values).into(),
            },
            Error::Unsure { field, doubts } => Self::Unsure {
                field: say(&field),
                doubts: doubts.iter().map(Doubt::from).collect(),
            },
            Error::Contested { field } => Self::Contested { field: say(&field) },
            Error::PlanMoved { step } => Self::PlanMoved { step },
            Error::ReadOnly { reason, asked_by } => {
                Self::ReadOnly { why: WhyReadOnly::of(&reason), reason: say(&reason), asked_by }
            }
            Error::Refused { reason } => {
                Self::Refused { why: WhyRefused::of(&reason), reason: say(&reason) }
            }
            Error::NotAllowed { reason } => {
                Self::NotAllowed { why: WhyNotAllowed::of(&reason), reason: say(&reason) }
            }
            Error::Busy { reason } => {
                Self::Busy { why: WhyBusy::of(&reason), reason: say(&reason) }
            }
            Error::Full { reason } => Self::Full { reason: say(&reason) },
            Error::Storage { reason } => {
                Self::Storage { why: WhyStorage::of(&reason), reason: say(&reason) }
            }
            Error::Keys { reason } => {
                Self::Keys { why: WhyKeys::of(&reason), reason: say(&reason) }
            }
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

impl From<FallawayError> for fallaway::Error {
    fn from(error: FallawayError) -> Self {
        use FallawayError as Crossed;
        let said = Phrase::written;
        // As data it has crossed; here it is said.
        let accepts = |text| {
            fallaway::Accepted::nothing(fallaway::NothingAccepted::OtherValue).said(said(text))
        };
        match error {
            Crossed::NotFound { what, name, accepted, .. } => {
                Self::NotFound { what: what.typed(), name, accepted: accepts(accepted) }
            }
            Crossed::BadInput { field, reason, accepted, .. } => Self::BadInput {
                field: said(field),
                cell: None,
                reason: said(reason),
                accepted: accepts(accepted),
            },
            // Which readings they are is said by now.
            Crossed::Unsure { field, doubts } => {
                let reasons = doubts.into_iter().map(|doubt| Phrase::written(doubt.reason));
                let reason = List::semicolon(reasons).into();
                Self::BadInput {
                    field: said(field),
                    cell: None,
                    reason,
                    accepted: accepts(String::new()),
                }
            }
            Crossed::Contested { field } => Self::Contested { field: said(field) },
            Crossed::PlanMoved { step } => Self::PlanMoved { step },
            Crossed::ReadOnly { reason, asked_by, .. } => {
                Self::ReadOnly { reason: said(reason), asked_by }
            }
            Crossed::Refused { reason, .. } => Self::Refused { reason: said(reason) },
            Crossed::NotAllowed { reason, .. } => Self::NotAllowed { reason: said(reason) },
            Crossed::Busy { reason, .. } => Self::Busy { reason: said(reason) },
            Crossed::Full { reason } => Self::Full { reason: said(reason) },
            Crossed::Storage { reason, .. } => Self::Storage { reason: said(reason) },
            Crossed::Keys { reason, .. } => Self::Keys { reason: said(reason) },
            Crossed::Closed => Self::Closed,
            Crossed::Cancelled => Self::Cancelled,
            Crossed::Internal { report_id, reason } => Self::Internal { report_id, reason },
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
