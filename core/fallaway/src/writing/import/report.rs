//! What a table comes to, and how it is brought in.

use fallaway_record::{EntryBody, EntryId, Moment};
use fallaway_text::Phrase;
use fallaway_text::errors::Accepted;

use crate::writing::write_options::{Accept, Doubt};

/// How a table is brought in; what is not said is as usual.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ImportOptions {
    /// Who read it or did it, where the table does not say.
    pub by: Option<String>,
    /// Headings of columns that are passed over. Any other that is not understood is a problem, so
    /// that nothing is lost silently.
    pub ignore: Vec<String>,
    /// The doubts that the person has answered with yes.
    pub accept: Accept,
}

/// What a table comes to.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ImportReport {
    /// How many rows it has.
    pub rows: usize,
    /// What would be written, or was, in the order of the table.
    pub lines: Vec<ImportLine>,
    /// How many of its entries are in the history already, with the same time: they are not written
    /// again.
    pub already_here: usize,
    /// What cannot be taken. Nothing is written while there is any.
    pub problems: Vec<ImportProblem>,
    /// What looks wrong. Nothing is written before the person has answered.
    pub doubts: Vec<ImportDoubt>,
    /// The entries that were written; none if it was only looked at.
    pub written: Vec<EntryId>,
}

/// An entry that a table makes.
#[derive(Debug, Clone, PartialEq)]
pub struct ImportLine {
    /// The row where it begins, as the file counts.
    pub row: usize,
    /// When it happened.
    pub at: Moment,
    /// What it says.
    pub body: EntryBody,
    /// The same in words.
    pub text: Phrase,
}

/// A cell that cannot be taken.
#[derive(Debug, Clone, PartialEq)]
pub struct ImportProblem {
    /// Its row, as the file counts.
    pub row: usize,
    /// Its column, by its heading.
    pub column: String,
    /// What stands in it.
    pub value: String,
    /// What is wrong with it.
    pub reason: Phrase,
    /// What would be accepted; may be empty.
    pub accepted: Accepted,
}

/// A cell that looks wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct ImportDoubt {
    /// Its row, as the file counts.
    pub row: usize,
    /// Its column, by its heading.
    pub column: String,
    /// What looks wrong, and why.
    pub doubt: Doubt,
}
