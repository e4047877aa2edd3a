//! A pass in an entry form: checked cell by cell before it is written, by the door through which it is
//! written, so that what the form accepts the commit accepts.

use fallaway_measure::{Location, Quantity, Reading, Tool, parse_reading};
use fallaway_record::{EntryBody, EntryId, Pass, PassReading};
use fallaway_text::errors::Accepted;
use fallaway_text::messages::errors as say;
use fallaway_text::{Phrase, errors};

use crate::error::{Error, Result};
use crate::instrument::Instrument;
use crate::writing::pass_text::PassOptions;
use crate::writing::write_options::{Doubt, WriteOptions};

/// A pass as it stands in an entry form.
#[derive(Debug, Clone, PartialEq)]
pub struct PassDraft {
    /// What is read, and which way.
    pub quantity: Quantity,
    /// With what; without a tool each reading needs its unit.
    pub tool: Option<Tool>,
    /// The cells, in the order in which they were filled in.
    pub cells: Vec<DraftCell>,
    /// How it was taken; its places do not count.
    pub taken: PassOptions,
}

/// One cell of the form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DraftCell {
    /// Where it is read.
    pub location: Location,
    /// What a person has typed; nothing, or "-": not read.
    pub text: String,
}

/// What a cell comes to.
#[allow(
    clippy::large_enum_variant,
    reason = "one for each cell of a form, no longer than it is shown"
)]
#[derive(Debug, Clone, PartialEq)]
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
        reason: Phrase,
        /// What would be accepted; may be empty.
        accepted: Accepted,
    },
}

impl DraftCell {
    fn reading(&self, draft: &PassDraft) -> Result<Option<PassReading>> {
        let text = self.text.trim();
        if text.is_empty() || text == "-" {
            return Ok(None);
        }
        let read = parse_reading(text, draft.tool.as_ref(), draft.quantity.dimension());
        match read {
            Ok(reading) => Ok(Some(PassReading { location: self.location, reading })),
            Err(error) => {
                let accepted = errors::reading_accepts(&error);
                Err(Error::bad_input("", errors::reading(&error), accepted))
            }
        }
    }
}

impl PassDraft {
    /// The pass that is written of it.
    ///
    /// # Errors
    /// [`Error::BadInput`] that names the cell.
    pub fn read(&self) -> Result<Pass> {
        let mut pass = Pass {
            phase: self.taken.phase,
            posture: self.taken.posture,
            stopped_by: self.taken.stopped_by,
            tuned_minutes_ago: self.taken.tuned_minutes_ago,
            ..Pass::new(self.quantity, self.tool)
        };
        for (position, cell) in (1..).zip(&self.cells) {
            let read = cell.reading(self).map_err(|error| match error {
                Error::BadInput { reason, accepted, .. } => {
                    Error::bad_input(say::field_reading(position), reason, accepted)
                        .in_cell(Some(position), Some(cell.location))
                }
                other => other,
            })?;
            pass.readings.extend(read);
        }
        Ok(pass)
    }
}

impl Instrument {
    /// Checks a pass cell by cell while it is filled in; nothing is written. Of what is accepted here, with
    /// at least one reading, [`Instrument::add_pass_draft`] refuses nothing.
    ///
    /// # Errors
    /// Whatever an edit answers.
    pub fn check_pass(&self, draft: &PassDraft) -> Result<Vec<CellVerdict>> {
        self.inner.rehearse(self.id, |edit| {
            let mut verdicts = Vec::new();
            for cell in &draft.cells {
                let read = match cell.reading(draft) {
                    Ok(None) => {
                        verdicts.push(CellVerdict::Empty);
                        continue;
                    }
                    Ok(Some(read)) => Ok(read),
                    Err(error) => Err(error),
                };
                let written = read.and_then(|read| {
                    let mut pass = Pass::new(draft.quantity, draft.tool);
                    pass.readings.push(read);
                    edit.write(&EntryBody::Pass(pass), &WriteOptions::default())?;
                    Ok(read.reading)
                });
                verdicts.push(match written {
                    Ok(reading) => CellVerdict::Fine { reading },
                    Err(Error::Unsure { doubts, .. }) if doubts.len() == 1 => {
                        let doubt = doubts.into_iter().next();
                        doubt.map_or(CellVerdict::Empty, |doubt| CellVerdict::Doubtful { doubt })
                    }
                    Err(Error::BadInput { reason, accepted, .. }) => {
                        CellVerdict::Wrong { reason, accepted }
                    }
                    Err(other) => return Err(other),
                });
            }
            Ok(verdicts)
        })
    }

    /// Writes a pass down as it stands in an entry form.
    ///
    /// # Errors
    /// As [`Instrument::add_pass`]; [`Error::BadInput`] names the cell.
    pub fn add_pass_draft(
        &self,
        draft: &PassDraft,
        options: impl Into<WriteOptions>,
    ) -> Result<EntryId> {
        self.add_pass(draft.read()?, options)
    }
}
