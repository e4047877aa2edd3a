//! Rows of a table into entries: a row a reading, a row a pass, or a row a day.

use fallaway_measure::{
    Amount, Dimension, LimitUnit, Location, Quantity, Tool, parse_amount, parse_reading,
};
use fallaway_record::{
    Climate, EntryBody, InstrumentSpec, Moment, Pass, PassReading, Phase, Remark,
};
use fallaway_text::errors::{Accepted, NothingAccepted};
use fallaway_text::messages::import as say;
use fallaway_text::{Phrase, errors};

use super::columns::{About, Column, quantity};
use super::report::{ImportOptions, ImportProblem};
use super::table::{Sheet, SheetRow};
use crate::dates::read_moment;
use crate::error::{Error, Result};
use crate::instrument::Instrument;
use crate::writing::entries::NewEntry;
use crate::writing::pass_text::PassOptions;
use crate::writing::write_options::WriteOptions;

/// An entry with the cells that it comes from.
pub(super) struct Item {
    pub row: usize,
    pub entry: NewEntry,
    pub cells: Vec<SourceCell>,
}

/// Where a reading stands in the table.
pub(super) struct SourceCell {
    pub row: usize,
    pub column: String,
    pub value: String,
    pub location: Option<Location>,
}

fn dates() -> Accepted {
    Accepted::like("2025-03-14, 2025-03-14 18:30").said(say::dates())
}

fn quantities() -> Accepted {
    let examples = "action, action open, relief, nut, pitch, intonation 12, spacing, nut spacing, \
                    pickup 1, bridge height, bridge tail, action 1 12, relief 1 15";
    Accepted::like(examples).said(say::quantities())
}

fn tools() -> Accepted {
    Accepted::like(&Tool::USUAL.map(|tool| tool.to_string()).join(", ")).said(say::tools())
}

fn phases() -> Accepted {
    Accepted::one_of(["as found", "working", "as left"]).said(say::phases())
}

fn places() -> Accepted {
    Accepted::like("whole, 1, 2, bass side, treble side").said(say::places())
}

fn whole_hours() -> Accepted {
    Accepted::between(0, u32::MAX as usize).said(say::hours())
}

fn known_columns() -> Accepted {
    let columns = "date, visit, by, quantity, place, value, unit, tool, phase, note, temperature, \
                   humidity, hours, 1, 2, action, relief (feeler 1 thou)";
    Accepted::like(columns).said(say::known_columns())
}

/// A problem of a cell, from what a call would have refused.
pub(super) fn problem(row: usize, column: &str, value: &str, error: Error) -> ImportProblem {
    let (reason, accepted) = match error {
        Error::BadInput { reason, accepted, .. } => (reason, accepted),
        other => (other.phrase(), Accepted::nothing(NothingAccepted::Already)),
    };
    let (column, value) = (column.to_owned(), value.to_owned());
    ImportProblem { row, column, value, reason, accepted }
}

/// What is known while the rows are read.
struct RowReader<'a> {
    instrument: &'a Instrument,
    spec: InstrumentSpec,
    now: Moment,
    options: &'a ImportOptions,
    headings: &'a [String],
    columns: Vec<Column>,
    items: Vec<Item>,
    problems: Vec<ImportProblem>,
    /// The row above, for rows that leave out their day.
    above: Option<Above>,
}

/// What a row without a day has from the one above.
#[derive(Clone)]
struct Above {
    at: Moment,
    visit: String,
    by: Option<String>,
}

/// A cell was refused, and stands among the problems.
struct Refused;

/// What one row says of all its readings.
struct RowFacts {
    row: usize,
    at: Moment,
    by: Option<String>,
    tool: Option<Tool>,
    phase: Option<Phase>,
}

impl Instrument {
    /// The entries of a table, and the cells that cannot be read.
    pub(super) fn read_rows(
        &self,
        table: &Sheet,
        options: &ImportOptions,
    ) -> Result<(Vec<Item>, Vec<ImportProblem>)> {
        let spec = self.details()?.spec;
        let mut reader = RowReader {
            instrument: self,
            now: self.now(),
            options,
            headings: &table.headings,
            columns: Vec::new(),
            items: Vec::new(),
            problems: Vec::new(),
            above: None,
            spec,
        };
        reader.read_headings(table);
        for row in &table.rows {
            reader.row(row);
        }
        Ok((reader.items, reader.problems))
    }
}

impl RowReader<'_> {
    fn read_headings(&mut self, table: &Sheet) {
        for (place, heading) in table.headings.iter().enumerate() {
            let ignored = |one: &String| one.trim().eq_ignore_ascii_case(heading.trim());
            let column = if self.options.ignore.iter().any(ignored) {
                Column::Ignored
            } else {
                Column::of(heading, &self.spec)
            };
            let used =
                table.rows.iter().any(|row| row.cells.get(place).is_some_and(|c| !c.is_empty()));
            if column == Column::Unknown && used {
                self.refuse(1, heading, heading, say::unknown_column(), known_columns());
            }
            self.columns.push(column);
        }
        if !self.columns.contains(&Column::About(About::Date)) {
            self.refuse(1, "", "", say::no_dates(), dates());
        }
    }

    fn refuse(
        &mut self,
        row: usize,
        column: &str,
        value: &str,
        reason: impl Into<Phrase>,
        accepted: Accepted,
    ) {
        self.problems.push(problem(
            row,
            column,
            value,
            Error::bad_input("", reason.into(), accepted),
        ));
    }

    /// A cell that says something about its row, if it is filled in, with its heading.
    fn about<'r>(&self, row: &'r SheetRow, what: About) -> Option<(String, &'r str)> {
        let filled =
            |place: usize| row.cells.get(place).map(String::as_str).filter(|c| !c.is_empty());
        let here = |(place, column): (usize, &Column)| {
            (*column == Column::About(what))
                .then(|| filled(place))
                .flatten()
                .map(|cell| (place, cell))
        };
        let (place, cell) = self.columns.iter().enumerate().find_map(here)?;
        Some((self.headings.get(place).cloned().unwrap_or_default(), cell))
    }

    fn row(&mut self, row: &SheetRow) {
        let Some(facts) = self.facts(row) else { return };
        self.climate(row, &facts);
        let said = self
            .about(row, About::Quantity)
            .map(|(heading, text)| (heading, text.to_owned(), quantity(text, &self.spec)));
        match said {
            Some((_, _, Some(of))) => self.readings(row, &facts, of),
            Some((heading, text, None)) => {
                self.refuse(row.number, &heading, &text, say::unknown_quantity(), quantities());
            }
            None => {
                if let Some((heading, text)) = self.about(row, About::Value) {
                    let text = text.to_owned();
                    self.refuse(row.number, &heading, &text, say::of_what(), quantities());
                }
            }
        }
        self.by_heading(row, &facts);
        if let Some((heading, text)) = self.about(row, About::Note) {
            let remark = Remark { text: text.to_owned(), ..Remark::default() };
            self.push_once(&facts, EntryBody::Remark(remark), heading, text);
        }
    }

    /// What a row says of itself; `None` if it cannot be placed in time.
    fn facts(&mut self, row: &SheetRow) -> Option<RowFacts> {
        let at = self.time(row)?;
        let dated = self.about(row, About::Date).is_some();
        let above = self.above.clone().filter(|above| !dated || above.at.unix_s == at.unix_s);
        let by = self.about(row, About::By).map(|(_, who)| who.to_owned());
        let by_above = above.as_ref().filter(|_| !dated).and_then(|above| above.by.clone());
        let by = by.or(by_above).or_else(|| self.options.by.clone());
        let visit = self.about(row, About::Visit).map(|(heading, text)| (heading, text.to_owned()));
        let tool = self.tool(row).ok()?;
        let phase = self.phase(row).ok()?;
        let facts = RowFacts { row: row.number, at, by, tool, phase };
        let name = match visit {
            Some((heading, name)) => {
                if above.as_ref().is_none_or(|above| above.visit != name) {
                    let options = facts.options(self.options);
                    let entry = NewEntry::visit(Some(&name), options);
                    let cells = vec![cell(row.number, heading, &name, None)];
                    self.items.push(Item { row: row.number, entry, cells });
                }
                name
            }
            None => above.map(|above| above.visit).unwrap_or_default(),
        };
        self.above = Some(Above { at, visit: name, by: facts.by.clone() });
        Some(facts)
    }

    /// When a row happened: its own date, or that of the row above.
    fn time(&mut self, row: &SheetRow) -> Option<Moment> {
        let Some((heading, text)) = self.about(row, About::Date) else {
            let above = self.above.as_ref().map(|above| above.at);
            if above.is_none() {
                self.refuse(row.number, "", "", say::no_date_above(), dates());
            }
            return above;
        };
        let at = read_moment(text, self.now);
        let at = at.filter(|at| Moment::new(at.unix_s, at.offset_min).is_some());
        let Some(at) = at else {
            self.refuse(row.number, &heading, text, say::no_date(), dates());
            return None;
        };
        if at.unix_s > self.now.unix_s {
            let (first, now) = (Moment::SECONDS.0 as f64, self.now.unix_s as f64);
            let accepted = Accepted::from_to(first, now, LimitUnit::Second);
            self.refuse(row.number, &heading, text, say::in_the_future(), accepted);
            return None;
        }
        Some(at)
    }

    fn tool(&mut self, row: &SheetRow) -> Result<Option<Tool>, Refused> {
        let Some((heading, text)) = self.about(row, About::Tool) else { return Ok(None) };
        let text = text.to_owned();
        let tool = text.parse::<Tool>().ok();
        if tool.is_none() {
            self.refuse(row.number, &heading, &text, say::unknown_tool(), tools());
        }
        tool.map(Some).ok_or(Refused)
    }

    fn phase(&mut self, row: &SheetRow) -> Result<Option<Phase>, Refused> {
        let Some((heading, text)) = self.about(row, About::Phase) else { return Ok(None) };
        let phase = match text.to_lowercase().as_str() {
            "as found" | "found" | "vorgefunden" => Phase::AsFound,
            "as left" | "left" | "übergeben" => Phase::AsLeft,
            "working" | "work" | "arbeit" => Phase::Working,
            _ => {
                let text = text.to_owned();
                self.refuse(row.number, &heading, &text, say::unknown_phase(), phases());
                return Err(Refused);
            }
        };
        Ok(Some(phase))
    }

    /// Temperature, humidity and hours of a row.
    fn climate(&mut self, row: &SheetRow, facts: &RowFacts) {
        let mut amount = |what, dimension, usual: &str| -> Option<Amount> {
            let (heading, text) = self.about(row, what)?;
            let bare = text.ends_with(|c: char| c.is_ascii_digit());
            let given = if bare { format!("{text} {usual}") } else { text.to_owned() };
            match parse_amount(&given, None, dimension) {
                Ok(amount) => Some(amount),
                Err(error) => {
                    let text = text.to_owned();
                    self.refuse(
                        facts.row,
                        &heading,
                        &text,
                        errors::reading(&error),
                        errors::reading_accepts(&error),
                    );
                    None
                }
            }
        };
        // A bare number is meant as it is said: in percent, in degrees Celsius.
        let temperature = amount(About::Temperature, Dimension::Temperature, "C");
        let humidity = amount(About::Humidity, Dimension::Share, "%");
        let hours = self.about(row, About::Hours).and_then(|(heading, text)| {
            let hours = text.parse::<u32>().ok();
            if hours.is_none() {
                self.refuse(facts.row, &heading, text, say::no_hours(), whole_hours());
            }
            hours
        });
        if temperature.is_some() || humidity.is_some() {
            let climate = Climate { temperature, humidity, hours_there: hours, where_kept: None };
            let heading = self.about(row, About::Humidity).or(self.about(row, About::Temperature));
            let (heading, value) = heading.unwrap_or_default();
            self.push_once(facts, EntryBody::Climate(climate), heading, value);
        }
    }

    /// The readings of a row that says of which quantity they are: one with its place, a line for all
    /// strings, or one under the heading of each string.
    fn readings(&mut self, row: &SheetRow, facts: &RowFacts, of: Quantity) {
        let mut read = Vec::new();
        for place in 0..self.columns.len() {
            let Some(Column::At(location)) = self.columns.get(place) else { continue };
            let location = *location;
            let heading = self.headings.get(place).cloned().unwrap_or_default();
            let text =
                row.cells.get(place).filter(|text| !text.is_empty() && *text != "-").cloned();
            if let Some(text) = text {
                read.extend(self.reading(row, facts, of, location, heading, &text));
            }
        }
        if let Some((heading, text)) = self.about(row, About::Value) {
            let text = text.to_owned();
            let place = self.about(row, About::Place).map(|(head, place)| (head, place.to_owned()));
            let Some((place_heading, place)) = place else {
                return self.line(row, facts, of, facts.tool, &heading, &text);
            };
            if let Ok(location) = place.parse::<Location>() {
                read.extend(self.reading(row, facts, of, location, heading, &text));
            } else {
                let (reason, accepted) = (say::unknown_place(), places());
                self.refuse(row.number, &place_heading, &place, reason, accepted);
            }
        }
        self.add_readings(facts, of, facts.tool, read);
    }

    /// Each column that is named after a quantity.
    fn by_heading(&mut self, row: &SheetRow, facts: &RowFacts) {
        for place in 0..self.columns.len() {
            let Some(Column::Of { quantity, tool, unit }) = self.columns.get(place) else {
                continue;
            };
            let (of, tool, unit) = (*quantity, tool.or(facts.tool), unit.clone());
            let heading = self.headings.get(place).cloned().unwrap_or_default();
            let Some(text) = row.cells.get(place).filter(|text| !text.is_empty()).cloned() else {
                continue;
            };
            let with_unit = with_unit(&text, unit.as_deref());
            self.line(row, facts, of, tool, &heading, &with_unit);
        }
    }

    /// A line for all usual places: "5 5 5 6".
    fn line(
        &mut self,
        row: &SheetRow,
        facts: &RowFacts,
        of: Quantity,
        tool: Option<Tool>,
        heading: &str,
        text: &str,
    ) {
        let unit = self.about(row, About::Unit).map(|(_, unit)| unit.to_owned());
        let text = with_unit(text, unit.as_deref());
        let taken = PassOptions { phase: facts.phase, ..PassOptions::default() };
        match self.instrument.read_pass_text(of, &text, tool, &taken) {
            Ok(pass) => {
                let locations = pass.readings.iter().map(|read| Some(read.location));
                let cells = locations
                    .map(|location| cell(facts.row, heading.to_owned(), &text, location))
                    .collect();
                let entry = NewEntry::new(EntryBody::Pass(pass), facts.options(self.options));
                self.items.push(Item { row: facts.row, entry, cells });
            }
            Err(error) => self.problems.push(problem(facts.row, heading, &text, error)),
        }
    }

    fn reading(
        &mut self,
        row: &SheetRow,
        facts: &RowFacts,
        of: Quantity,
        location: Location,
        heading: String,
        text: &str,
    ) -> Option<(PassReading, SourceCell)> {
        let unit = self.about(row, About::Unit).map(|(_, unit)| unit.to_owned());
        let given = with_unit(text, unit.as_deref());
        match parse_reading(&given, facts.tool.as_ref(), of.dimension()) {
            Ok(reading) => {
                let from = cell(facts.row, heading, text, Some(location));
                Some((PassReading { location, reading }, from))
            }
            Err(error) => {
                self.refuse(
                    facts.row,
                    &heading,
                    text,
                    errors::reading(&error),
                    errors::reading_accepts(&error),
                );
                None
            }
        }
    }

    /// Adds readings to the pass of the row above, if they belong to it, or makes a new one.
    fn add_readings(
        &mut self,
        facts: &RowFacts,
        of: Quantity,
        tool: Option<Tool>,
        read: Vec<(PassReading, SourceCell)>,
    ) {
        if read.is_empty() {
            return;
        }
        let options = facts.options(self.options);
        if let Some(Item { entry, cells, .. }) = self.items.last_mut()
            && let EntryBody::Pass(pass) = &mut entry.body
            && (pass.quantity, pass.tool, pass.phase) == (of, tool, facts.phase)
            && entry.options == options
            && read.iter().all(|(read, _)| pass.at(read.location).is_none())
        {
            for (reading, from) in read {
                pass.readings.push(reading);
                cells.push(from);
            }
            return;
        }
        let mut pass = Pass { phase: facts.phase, ..Pass::new(of, tool) };
        let (readings, cells): (Vec<_>, Vec<_>) = read.into_iter().unzip();
        pass.readings = readings;
        let entry = NewEntry::new(EntryBody::Pass(pass), options);
        self.items.push(Item { row: facts.row, entry, cells });
    }

    /// Adds what rows of one time repeat, once.
    fn push_once(&mut self, facts: &RowFacts, body: EntryBody, heading: String, value: &str) {
        let options = facts.options(self.options);
        let of_this_time = self.items.iter().rev();
        let mut of_this_time = of_this_time.take_while(|item| item.entry.options.at == options.at);
        if of_this_time.any(|item| item.entry.body == body) {
            return;
        }
        let cells = vec![cell(facts.row, heading, value, None)];
        self.items.push(Item { row: facts.row, entry: NewEntry::new(body, options), cells });
    }
}

impl RowFacts {
    fn options(&self, options: &ImportOptions) -> WriteOptions {
        let (at, by, accept) = (Some(self.at), self.by.clone(), options.accept.clone());
        WriteOptions { at, by, accept }
    }
}

fn cell(row: usize, column: String, value: &str, location: Option<Location>) -> SourceCell {
    SourceCell { row, column, value: value.to_owned(), location }
}

/// A value with the unit of its column, where it has none of its own.
fn with_unit(text: &str, unit: Option<&str>) -> String {
    match unit {
        Some(unit) if text.ends_with(|c: char| c.is_ascii_digit()) => format!("{text} {unit}"),
        _ => text.to_owned(),
    }
}
