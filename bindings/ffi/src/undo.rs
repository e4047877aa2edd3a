//! What was taken back, or made again.

use crate::mirror::mirror;
use crate::voice::say;
use crate::{EntryId, Moment};

mirror! {
    /// What taking back, or making again, did with a line.
    Undoing = fallaway::Undoing {
        /// It was a line of the draft, which nobody has seen: it is gone.
        Erased,
        /// The entry stays in the history, crossed out.
        CrossedOut,
        /// The entry is written down again, as it was.
        WrittenAgain,
        /// It is no longer crossed out.
        Uncrossed,
        /// The fact or target has another value again, or none.
        ValueRestored,
        /// Somebody has written another value since, or something rests on it: left as it is.
        LeftAlone,
    }
}

/// One line of what was taken back, or made again.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct UndoneLine {
    /// What it is about, in words: the entry, or the fact with its value of now.
    pub text: String,
    /// What was done with it.
    pub how: Undoing,
    /// The entry's id, if it is one; one that was written again has an id of its own.
    pub entry: Option<EntryId>,
}

/// A write that was taken back, or made again.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Undone {
    /// When it was written.
    pub at: Moment,
    /// What was written then, a line each.
    pub lines: Vec<UndoneLine>,
}

impl From<&fallaway::Undone> for Undone {
    fn from(undone: &fallaway::Undone) -> Self {
        let lines = undone.lines.iter().map(|line| UndoneLine {
            text: say(&line.text),
            how: line.how.into(),
            entry: line.entry.map(EntryId),
        });
        Self { at: undone.at.into(), lines: lines.collect() }
    }
}
