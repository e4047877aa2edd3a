//! Bringing a table in: a technician's notebook as comma-separated values or JSON. First it is looked
//! at, cell by cell; then all of it is written in one durable commit, or nothing.

mod columns;
mod report;
mod rows;
mod table;

use fallaway_order::PutInOrder as _;
use fallaway_text::entries as words;

use crate::error::{Error, Result};
use crate::instrument::Instrument;
use crate::writing::entries::NewEntry;
use crate::writing::write_options::Doubt;
pub use report::{ImportDoubt, ImportLine, ImportOptions, ImportProblem, ImportReport};
use rows::Item;

impl Instrument {
    /// Looks at a table without writing anything: every cell that cannot be taken or looks wrong, and
    /// what would be written. `docs/import.md` describes what a table may look like.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a text that is no table; when the record cannot be read.
    pub fn check_table(&self, table: &str, options: &ImportOptions) -> Result<ImportReport> {
        Ok(self.look_at(table, options)?.0)
    }

    /// Brings a table in, in one durable commit: all of it, or nothing. What the history has already,
    /// with the same time, is not written again. One `undo` takes all of it back.
    ///
    /// # Errors
    /// [`Error::BadInput`] for a text that is no table, and with the row and column of the first cell
    /// that cannot be taken; [`Error::Unsure`] with every doubt that is not answered, each with its row
    /// ([`Doubt::entry`]); whatever an edit answers.
    pub fn import_table(&self, table: &str, options: &ImportOptions) -> Result<ImportReport> {
        let (mut report, entries) = self.look_at(table, options)?;
        if let Some(first) = report.problems.into_iter().next() {
            let ImportProblem { row, column, reason, accepted, .. } = first;
            let field = fallaway_text::messages::import::cell(row, column.clone());
            return Err(Error::bad_input(field, reason, accepted).in_column(row, &column));
        }
        report.problems = Vec::new();
        if !report.doubts.is_empty() {
            let named = |one: ImportDoubt| Doubt { entry: Some(one.row), ..one.doubt };
            let doubts = report.doubts.into_iter().map(named).collect();
            return Err(Error::Unsure { field: crate::error::field("readings"), doubts });
        }
        report.doubts = Vec::new();
        report.written = self.write_all(&entries)?;
        Ok(report)
    }

    fn look_at(
        &self,
        table: &str,
        options: &ImportOptions,
    ) -> Result<(ImportReport, Vec<NewEntry>)> {
        let table = table::Sheet::read(table)?;
        let (items, problems) = self.read_rows(&table, options)?;
        let mut report =
            ImportReport { rows: table.rows.len(), problems, ..ImportReport::default() };
        let entries = self.inner.rehearse(self.id, |edit| {
            let state = edit.loaded.state(edit.at.unix_s);
            let mut known: Vec<_> = state
                .entries()
                .filter(|placed| !state.is_retracted(placed.entry.id))
                .map(|placed| (placed.entry.at.unix_s, &placed.entry.body))
                .collect();
            known.put_in_order_by_key(|(at, _)| *at);
            let mut entries = Vec::new();
            for item in items {
                let at = item.entry.options.at.unwrap_or(edit.at);
                let from = known.partition_point(|(known, _)| *known < at.unix_s);
                let same_time = known.get(from..).unwrap_or_default().iter();
                let mut same_time = same_time.take_while(|(known, _)| *known == at.unix_s);
                if same_time.any(|(_, body)| **body == item.entry.body) {
                    report.already_here += 1;
                    continue;
                }
                match edit.write(&item.entry.body, &item.entry.options) {
                    Ok(_) => {}
                    Err(Error::Unsure { doubts, .. }) => {
                        report.doubts.extend(doubts.into_iter().map(|doubt| item.doubt(doubt)));
                    }
                    Err(error) => report.problems.push(item.problem(error)),
                }
                let spec = edit.loaded.registers(edit.at.unix_s);
                let text = words::body(&item.entry.body, spec.spec());
                let body = item.entry.body.clone();
                report.lines.push(ImportLine { row: item.row, at, body, text });
                entries.push(item.entry);
            }
            Ok(entries)
        })?;
        report.problems.put_in_order_by_key(|problem| problem.row);
        Ok((report, entries))
    }
}

impl Item {
    fn doubt(&self, doubt: Doubt) -> ImportDoubt {
        let cell = self.cells.iter().find(|cell| cell.location == doubt.location());
        let cell = cell.or(self.cells.first());
        let (row, column) = cell.map_or((self.row, ""), |cell| (cell.row, cell.column.as_str()));
        ImportDoubt { row, column: column.to_owned(), doubt }
    }

    fn problem(&self, error: Error) -> ImportProblem {
        let at = match &error {
            Error::BadInput { cell: Some(cell), .. } => cell.location,
            _ => None,
        };
        let cell = self.cells.iter().find(|cell| at.is_some() && cell.location == at);
        match cell.or(self.cells.first()) {
            Some(cell) => rows::problem(cell.row, &cell.column, &cell.value, error),
            None => rows::problem(self.row, "", "", error),
        }
    }
}
