//! Strings that are thought of in place of those on the instrument.

use fallaway::advice::change_strings;

use crate::{FittedString, Result, StringPlace};

/// Another note for a string.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct NewNote {
    /// The string that is tuned otherwise.
    pub place: StringPlace,
    /// The note: "D1".
    pub note: String,
}

/// Other strings and notes; those that are not named stay as they are.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct OtherStrings {
    /// Other strings: give the gauge, and unit weight or core only if the new pack states them.
    #[uniffi(default = [])]
    pub strings: Vec<FittedString>,
    /// Strings that are tuned to another note than now.
    #[uniffi(default = [])]
    pub notes: Vec<NewNote>,
}

impl OtherStrings {
    pub(crate) fn typed(self) -> Result<change_strings::OtherStrings> {
        let strings = self.strings.iter().map(FittedString::typed).collect::<Result<_>>()?;
        let notes = self.notes.into_iter().map(|new| {
            let note = new.note.parse()?;
            Ok((new.place.typed()?, note))
        });
        Ok(change_strings::OtherStrings { strings, notes: notes.collect::<Result<_>>()? })
    }
}
