//! Bringing a table in, and what is usually read.

use fallaway::Accept;
use fallaway::text::names;

use crate::WhyBadInput;
use crate::numbers::count;
use crate::voice::say;
use crate::{
    AcceptedValues, Doubt, EntryBody, EntryId, Instrument, Location, Moment, NewPass, Quantity,
    Reading, Result, Tool,
};

/// How a table is brought in; what is not said is as usual.
#[derive(Debug, Clone, Default, PartialEq, uniffi::Record)]
pub struct ImportOptions {
    /// Who read it or did it, where the table does not say.
    #[uniffi(default = None)]
    pub by: Option<String>,
    /// Headings of columns that are passed over. Any other that is not understood is a problem.
    #[uniffi(default = [])]
    pub ignore: Vec<String>,
    /// The doubts that the person has answered with yes.
    #[uniffi(default = [])]
    pub accept: Vec<Doubt>,
}

impl ImportOptions {
    fn typed(self) -> fallaway::ImportOptions {
        let Self { by, ignore, accept } = self;
        let accept = Accept::These(accept.into_iter().map(|doubt| doubt.id).collect());
        fallaway::ImportOptions { by, ignore, accept }
    }
}

/// What a table comes to.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ImportReport {
    /// How many rows it has.
    pub rows: u32,
    /// What would be written, or was, in the order of the table.
    pub lines: Vec<ImportLine>,
    /// How many of its entries are in the history already, with the same time: they are not written
    /// again.
    pub already_here: u32,
    /// What cannot be taken. Nothing is written while there is any.
    pub problems: Vec<ImportProblem>,
    /// What looks wrong. Nothing is written before the person has answered.
    pub doubts: Vec<ImportDoubt>,
    /// The entries that were written; none if it was only looked at.
    pub written: Vec<EntryId>,
}

/// An entry that a table makes.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ImportLine {
    /// The row where it begins, as the file counts.
    pub row: u32,
    /// When it happened, as the row says.
    pub at: Moment,
    /// What it says.
    pub body: EntryBody,
    /// The same in words.
    pub text: String,
}

/// A cell that cannot be taken.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ImportProblem {
    /// Its row, as the file counts.
    pub row: u32,
    /// Its column, by its heading.
    pub column: String,
    /// What stands in it.
    pub value: String,
    /// What is wrong with it.
    pub reason: String,
    /// What would be accepted, in words; empty where the reason has said it.
    pub accepted: String,
    /// The same as data.
    pub values: AcceptedValues,
    /// What is wrong with it, as data.
    pub why: WhyBadInput,
}

/// A cell that looks wrong.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ImportDoubt {
    /// Its row, as the file counts.
    pub row: u32,
    /// Its column, by its heading.
    pub column: String,
    /// What looks wrong, and why.
    pub doubt: Doubt,
}

impl From<fallaway::ImportReport> for ImportReport {
    fn from(report: fallaway::ImportReport) -> Self {
        let lines = report.lines.iter().map(|line| ImportLine {
            row: count(line.row),
            at: line.at.into(),
            body: (&line.body).into(),
            text: say(&line.text),
        });
        let problems = report.problems.iter().map(|problem| ImportProblem {
            row: count(problem.row),
            column: problem.column.clone(),
            value: problem.value.clone(),
            why: WhyBadInput::within(&problem.reason),
            reason: say(&problem.reason),
            accepted: say(&problem.accepted.text),
            values: (*problem.accepted.values).clone().into(),
        });
        let doubts = report.doubts.iter().map(|one| ImportDoubt {
            row: count(one.row),
            column: one.column.clone(),
            doubt: (&one.doubt).into(),
        });
        Self {
            rows: count(report.rows),
            lines: lines.collect(),
            already_here: count(report.already_here),
            problems: problems.collect(),
            doubts: doubts.collect(),
            written: report.written.iter().copied().map(EntryId).collect(),
        }
    }
}

/// A quantity that is usually read of an instrument.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct UsualReading {
    /// What, and which way.
    pub quantity: Quantity,
    /// In words: "action at fret 24, fretted at 1".
    pub text: String,
    /// Where, in the order in which it was read the last time.
    pub locations: Vec<Location>,
    /// The same in words, as on the card: "4 (E)", "bass side".
    pub location_texts: Vec<String>,
    /// What was read the last time at each of them, in the same order; `None` where nothing was.
    pub before: Vec<Option<String>>,
    /// The tool that was used last, or else the one that is preferred.
    pub tool: Option<Tool>,
    /// The same in words, as `tool_name`.
    pub tool_text: Option<String>,
    /// When it was read last; `None` if it never was.
    pub last: Option<Moment>,
    /// How many passes of it there are.
    pub passes: u32,
}

/// What a cell of an entry form comes to.
#[allow(clippy::large_enum_variant, reason = "it crosses by value once")]
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum CellVerdict {
    /// Nothing is in it: not read.
    Empty,
    /// It can be written.
    Fine {
        /// What was understood.
        reading: Reading,
    },
    /// It can be written once the person has answered.
    Doubtful {
        /// What looks wrong, and why.
        doubt: Doubt,
    },
    /// It cannot be written.
    Wrong {
        /// What is wrong with it.
        reason: String,
        /// What would be accepted, in words; empty where the reason has said it.
        accepted: String,
        /// The same as data.
        values: AcceptedValues,
        /// What is wrong with it, as data.
        why: WhyBadInput,
    },
    /// What came after this app was built.
    Newer,
}

impl CellVerdict {
    fn of(verdict: fallaway::CellVerdict, draft: &fallaway::PassDraft) -> Self {
        match verdict {
            fallaway::CellVerdict::Empty => Self::Empty,
            fallaway::CellVerdict::Fine { reading } => {
                Self::Fine { reading: Reading::of(reading, draft.tool, draft.quantity) }
            }
            fallaway::CellVerdict::Doubtful { doubt } => Self::Doubtful { doubt: (&doubt).into() },
            fallaway::CellVerdict::Wrong { reason, accepted } => Self::Wrong {
                why: WhyBadInput::within(&reason),
                reason: say(&reason),
                accepted: say(&accepted.text),
                values: (*accepted.values).into(),
            },
        }
    }
}

#[uniffi::export]
impl Instrument {
    /// Looks at a table (comma-separated values or JSON, `docs/import.md`) without writing anything:
    /// every cell that cannot be taken or looks wrong, and what would be written.
    ///
    /// # Errors
    /// `BadInput` for a text that is no table; when the record cannot be read.
    #[uniffi::method(default(options = None))]
    pub fn check_table(&self, table: &str, options: Option<ImportOptions>) -> Result<ImportReport> {
        self.voice.is_asked();
        let options = options.unwrap_or_default().typed();
        Ok(self.inner().check_table(table, &options)?.into())
    }

    /// Brings a table in, in one durable commit: all of it, or nothing. What the history has already,
    /// with the same time, is not written again. One `undo` takes all of it back.
    ///
    /// # Errors
    /// `BadInput` for a text that is no table, and with row and column of the first cell that cannot be
    /// taken; `Unsure` with every doubt that is not answered, each with its row in `entry`; whatever an
    /// edit answers.
    #[uniffi::method(default(options = None))]
    pub fn import_table(
        &self,
        table: &str,
        options: Option<ImportOptions>,
    ) -> Result<ImportReport> {
        self.voice.is_asked();
        let options = options.unwrap_or_default().typed();
        Ok(self.inner().import_table(table, &options)?.into())
    }

    /// Checks a pass while it is filled in, reading by reading; nothing is written. Of what is accepted
    /// here, with at least one reading, `add_pass` refuses nothing.
    ///
    /// # Errors
    /// `BadInput` for a quantity, tool or location that cannot be; whatever an edit answers.
    pub fn check_pass(&self, new_pass: &NewPass) -> Result<Vec<CellVerdict>> {
        self.voice.is_asked();
        let draft = new_pass.draft()?;
        let verdicts = self.inner().check_pass(&draft)?;
        Ok(verdicts.into_iter().map(|verdict| CellVerdict::of(verdict, &draft)).collect())
    }

    /// What is usually read of this instrument, in the order of the work, with the tools that were used
    /// last: what has been read often, what has a target, and relief and action in any case, in the usual
    /// way where no other is known.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn usual_readings(&self) -> Result<Vec<UsualReading>> {
        self.voice.is_asked();
        Ok(self.inner().usual_readings()?.into_iter().map(UsualReading::from).collect())
    }

    /// What else can be read of this instrument, in the order of the work: what was read rarely, and in its
    /// usual way whatever was never read: pitch, fall-away, nut, spacing, a bridge that floats or stands on
    /// posts, the open action at fret 12, each pickup, intonation.
    ///
    /// # Errors
    /// When the record cannot be read.
    pub fn other_readings(&self) -> Result<Vec<UsualReading>> {
        self.voice.is_asked();
        Ok(self.inner().other_readings()?.into_iter().map(UsualReading::from).collect())
    }
}

impl From<fallaway::UsualReading> for UsualReading {
    fn from(one: fallaway::UsualReading) -> Self {
        Self {
            quantity: one.quantity.into(),
            text: say(&names::quantity(one.quantity)),
            location_texts: one.places.iter().map(say).collect(),
            locations: one.locations.into_iter().map(Location::from).collect(),
            before: one.before.into_iter().map(|read| Some(say(&names::reading(read?)))).collect(),
            tool_text: one.tool.map(|tool| say(&names::tool(tool))),
            tool: one.tool.map(Tool::from),
            last: one.last.map(Moment::from),
            passes: count(one.passes),
        }
    }
}
