//! Small tables: columns as wide as what stands in them; where that is too wide, the widest are
//! wrapped, so that no line is longer than there is room for.

use std::io;

use fallaway_text::{Computed, Phrase, names};

use super::printer::{Printer, Style, break_words, columns, pad};
use crate::voice::say;

/// What stands in a table: a text, or what is said in the voice of this run.
#[derive(Debug, Clone, Default)]
pub struct Cell(String);

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self(text)
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self(text.to_owned())
    }
}

impl From<Phrase> for Cell {
    fn from(phrase: Phrase) -> Self {
        Self(say(&phrase))
    }
}

impl From<Computed> for Cell {
    fn from(number: Computed) -> Self {
        names::computed(number).into()
    }
}

impl<T: Into<Cell>> From<Option<T>> for Cell {
    fn from(cell: Option<T>) -> Self {
        cell.map(Into::into).unwrap_or_default()
    }
}

/// A table of text.
#[derive(Debug, Clone, Default)]
pub struct Table {
    head: Vec<String>,
    rows: Vec<(Style, Vec<String>)>,
    indent: usize,
}

/// Between two columns.
const GAP: usize = 2;
/// No column is made narrower than this.
const LEAST: usize = 4;

impl Table {
    /// A table with a line of headings; none if they are empty.
    pub fn new<C: Into<Cell>>(head: impl IntoIterator<Item = C>) -> Self {
        Self { head: texts(head), ..Self::default() }
    }

    /// A table with a line of headings, which stand in one message with bars between them.
    pub fn headed(head: &Phrase) -> Self {
        Self::new(say(head).split('|').map(str::trim))
    }

    /// The same, indented.
    #[must_use]
    pub fn indented(mut self, indent: usize) -> Self {
        self.indent = indent;
        self
    }

    /// Adds a row.
    pub fn row<C: Into<Cell>>(&mut self, cells: impl IntoIterator<Item = C>) {
        self.styled(Style::Plain, cells);
    }

    /// Adds a row in another style.
    pub fn styled<C: Into<Cell>>(&mut self, style: Style, cells: impl IntoIterator<Item = C>) {
        self.rows.push((style, texts(cells)));
    }

    /// Prints it.
    ///
    /// # Errors
    /// As the stream's.
    pub fn print(&self, printer: &mut Printer<'_>) -> io::Result<()> {
        let widths = self.widths(printer.width());
        let head = (!self.head.is_empty()).then_some((Style::Quiet, self.head.as_slice()));
        let rows = self.rows.iter().map(|(style, row)| (*style, row.as_slice()));
        for (style, row) in head.into_iter().chain(rows) {
            let cells: Vec<Vec<String>> = widths
                .iter()
                .enumerate()
                .map(|(column, width)| break_words(cell(row, column), *width))
                .collect();
            let height = cells.iter().map(Vec::len).max().unwrap_or(0);
            for line in 0..height {
                let mut printed = " ".repeat(self.indent);
                for (cell, width) in cells.iter().zip(&widths) {
                    let text = cell.get(line).map_or("", String::as_str);
                    printed.push_str(&pad(text, width + GAP));
                }
                printer.styled(style, printed.trim_end())?;
                printer.blank()?;
            }
        }
        Ok(())
    }

    /// The width of each column: what it needs, as long as all fit; else the widest give way.
    fn widths(&self, room: usize) -> Vec<usize> {
        let rows = || self.rows.iter().map(|(_, row)| row).chain([&self.head]);
        let count = rows().map(Vec::len).max().unwrap_or(0);
        let needed = |column| rows().map(|row| columns(cell(row, column))).max().unwrap_or(0);
        let mut widths: Vec<usize> = (0..count).map(needed).collect();
        let room = room.saturating_sub(self.indent + GAP * count.saturating_sub(1));
        while widths.iter().sum::<usize>() > room {
            match widths.iter_mut().max() {
                Some(widest) if *widest > LEAST => *widest -= 1,
                _ => break,
            }
        }
        widths
    }
}

fn texts<C: Into<Cell>>(cells: impl IntoIterator<Item = C>) -> Vec<String> {
    cells.into_iter().map(|cell| cell.into().0).collect()
}

fn cell(row: &[String], column: usize) -> &str {
    row.get(column).map_or("", String::as_str)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn printed(table: &Table, width: usize) -> String {
        let mut out = Vec::new();
        table.print(&mut Printer::new(&mut out, false, width)).unwrap();
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn the_widest_column_is_wrapped_under_itself() {
        let mut table = Table::new(["string", "remark"]);
        table.row(["1 (G)", "buzzes a little at the second fret"]);
        assert_eq!(
            printed(&table, 30),
            "string  remark\n1 (G)   buzzes a little at the\n        second fret\n"
        );
    }

    #[test]
    fn no_line_is_wider_than_there_is_room_for() {
        let mut table = Table::new(["what", "read", "target", ""]).indented(2);
        table.row(["relief, fretted at 1 and 24", "0.31 mm", "0.25 mm", "above target"]);
        // Each of these takes two columns (Unicode Standard Annex 11, East Asian Width "W").
        table.row(["弦高弦高弦高弦高弦高", "5/64 in", "averylongwordwithoutanyspace", "on target"]);
        for width in [40, 44, 60, 80] {
            for line in printed(&table, width).lines() {
                assert!(columns(line) <= width, "{} columns of {width}: {line}", columns(line));
            }
        }
    }
}
