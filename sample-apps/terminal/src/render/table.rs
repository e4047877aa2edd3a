//! Small tables: columns as wide as what stands in them. Where that is too wide, long sentences are
//! wrapped in their column; where that is not enough, as on a phone, each row is a card: what it is
//! about first, then its numbers, each behind the heading of its column.

use std::io;

use fallaway_text::{Computed, Phrase, names};

use super::printer::{Printer, Style, break_words, columns, pad};
use crate::voice::{in_order, say};

/// What stands in a table: a text, or what is said in the voice of this run.
#[derive(Debug, Clone, Default)]
pub struct TableCell(String);

impl From<String> for TableCell {
    fn from(text: String) -> Self {
        Self(text)
    }
}

impl From<&str> for TableCell {
    fn from(text: &str) -> Self {
        Self(text.to_owned())
    }
}

impl From<Phrase> for TableCell {
    fn from(phrase: Phrase) -> Self {
        Self(say(&phrase))
    }
}

impl From<Computed> for TableCell {
    fn from(number: Computed) -> Self {
        names::computed(number).into()
    }
}

impl<T: Into<TableCell>> From<Option<T>> for TableCell {
    fn from(cell: Option<T>) -> Self {
        cell.map(Into::into).unwrap_or_default()
    }
}

/// A table of text.
#[derive(Debug, Clone, Default)]
pub struct TextTable {
    head: Vec<String>,
    rows: Vec<(Style, Vec<String>)>,
    indent: usize,
}

/// Between two columns.
const GAP: usize = 2;
/// A column of sentences is made no narrower than this, and no column than its longest word.
const LEAST: usize = 14;
/// What a row is about stands before its numbers, in the same line, if it is no longer than this.
const FRONT: usize = 10;

impl TextTable {
    /// A table with a line of headings; none if they are empty.
    pub fn new<C: Into<TableCell>>(head: impl IntoIterator<Item = C>) -> Self {
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
    pub fn row<C: Into<TableCell>>(&mut self, cells: impl IntoIterator<Item = C>) {
        self.styled(Style::Plain, cells);
    }

    /// Adds a row in another style.
    pub fn styled<C: Into<TableCell>>(&mut self, style: Style, cells: impl IntoIterator<Item = C>) {
        self.rows.push((style, texts(cells)));
    }

    /// The same with its rows, one for each string from the highest on, in the person's order.
    #[must_use]
    pub fn by_string(mut self) -> Self {
        self.rows = in_order(self.rows);
        self
    }

    /// Prints it.
    ///
    /// # Errors
    /// As the stream's.
    pub fn print(&self, printer: &mut Printer<'_>) -> io::Result<()> {
        let Some(widths) = self.widths(printer.width()) else { return self.cards(printer) };
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

    /// The width of each column: what it needs, as long as all fit; else the widest give way, as far as
    /// they can without breaking words. `None` if that is not far enough.
    fn widths(&self, room: usize) -> Option<Vec<usize>> {
        let rows = || self.rows.iter().map(|(_, row)| row).chain([&self.head]);
        let count = self.columns();
        let most = |column, f: fn(&str) -> usize| {
            rows().map(|row| f(cell(row, column))).max().unwrap_or(0)
        };
        let mut widths: Vec<usize> = (0..count).map(|column| most(column, columns)).collect();
        let least: Vec<usize> = widths
            .iter()
            .enumerate()
            .map(|(column, width)| (*width).min(LEAST).max(most(column, longest_word)))
            .collect();
        let room = room.saturating_sub(self.indent + GAP * count.saturating_sub(1));
        while widths.iter().sum::<usize>() > room {
            let gives = widths.iter_mut().zip(&least).filter(|(width, least)| **width > **least);
            *gives.map(|(width, _)| width).max()? -= 1;
        }
        Some(widths)
    }

    /// Each row as a card.
    fn cards(&self, printer: &mut Printer<'_>) -> io::Result<()> {
        // Where all columns are of one kind (a string each), each is a line.
        if let ([(style, row)], [first, ..]) = (self.rows.as_slice(), self.head.as_slice())
            && !first.is_empty()
        {
            let wide = self.head.iter().map(|head| columns(head)).max().unwrap_or(0) + GAP;
            for (head, text) in self.head.iter().zip(row).filter(|(_, text)| !text.is_empty()) {
                let front = format!("{:1$}{2}", "", self.indent, pad(head, wide));
                printer.hung(*style, &front, self.indent + GAP, text)?;
            }
            return Ok(());
        }
        let is_long = |row: &[String]| columns(cell(row, 0)) > FRONT;
        let under = self.rows.iter().any(|(_, row)| is_long(row));
        let indent = self.indent + if under { GAP } else { 0 };
        let room = printer.width().saturating_sub(indent + GAP);
        for (style, row) in &self.rows {
            let mut row = row.as_slice();
            // What stands over one row stands over each that has something there.
            if under && !cell(row, 0).is_empty() {
                printer.hung(*style, &" ".repeat(self.indent), indent + GAP, cell(row, 0))?;
                row = row.get(1..).unwrap_or_default();
            }
            let skipped = self.columns() - row.len().min(self.columns());
            let said = row.iter().enumerate().filter(|(_, text)| !text.is_empty());
            let said = said.map(|(column, text)| match cell(&self.head, column + skipped) {
                head if head.is_empty() || column + skipped == 0 => text.clone(),
                head => format!("{head} {text}"),
            });
            let mut lines: Vec<String> = Vec::new();
            for text in said {
                // What follows the first line hangs under it.
                let fits = if lines.len() == 1 { room + GAP } else { room };
                match lines.last_mut() {
                    Some(line) if columns(line) + GAP + columns(&text) <= fits => {
                        line.push_str(&" ".repeat(GAP));
                        line.push_str(&text);
                    }
                    _ => lines.extend(break_words(&text, room)),
                }
            }
            for (number, line) in lines.iter().enumerate() {
                let hang = indent + if number == 0 { 0 } else { GAP };
                printer.styled(*style, &format!("{:hang$}{line}", ""))?;
                printer.blank()?;
            }
        }
        Ok(())
    }

    fn columns(&self) -> usize {
        self.rows.iter().map(|(_, row)| row.len()).chain([self.head.len()]).max().unwrap_or(0)
    }
}

impl Printer<'_> {
    /// A table.
    ///
    /// # Errors
    /// As the stream's.
    pub fn table(&mut self, table: &TextTable) -> io::Result<()> {
        table.print(self)
    }
}

fn longest_word(text: &str) -> usize {
    text.split(' ').map(columns).max().unwrap_or(0)
}

fn texts<C: Into<TableCell>>(cells: impl IntoIterator<Item = C>) -> Vec<String> {
    cells.into_iter().map(|cell| cell.into().0).collect()
}

fn cell(row: &[String], column: usize) -> &str {
    row.get(column).map_or("", String::as_str)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn printed(table: &TextTable, width: usize) -> String {
        let mut out = Vec::new();
        table.print(&mut Printer::new(&mut out, false, width)).unwrap();
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn the_widest_column_is_wrapped_under_itself() {
        let mut table = TextTable::new(["string", "remark"]);
        table.row(["1 (G)", "buzzes a little at the second fret"]);
        assert_eq!(
            printed(&table, 30),
            "string  remark\n1 (G)   buzzes a little at the\n        second fret\n"
        );
    }

    #[test]
    fn no_line_is_wider_than_there_is_room_for() {
        let mut table = TextTable::new(["what", "read", "target", ""]).indented(2);
        table.row(["relief, fretted at 1 and 24", "0.31 mm", "0.25 mm", "above target"]);
        // Each of these takes two columns (Unicode Standard Annex 11, East Asian Width "W").
        table.row(["弦高弦高弦高弦高弦高", "5/64 in", "averylongwordwithoutanyspace", "on target"]);
        for width in [40, 44, 60, 80] {
            for line in printed(&table, width).lines() {
                assert!(columns(line) <= width, "{} columns of {width}: {line}", columns(line));
            }
        }
    }

    #[test]
    fn on_a_phone_each_row_is_a_card_with_its_numbers_first() {
        let mut table = TextTable::new(["", "", "read", "target", ""]).indented(2);
        table.row([
            "action at fret 20, fretted at 1",
            "1 (G)",
            "6/64 in",
            "5/64 in",
            "above target",
        ]);
        table.row(["", "2 (D)", "5/64 in", "5/64 in", "on target"]);
        assert_eq!(
            printed(&table, 40),
            "  action at fret 20, fretted at 1\n    1 (G)  read 6/64 in  target 5/64 in\n      \
             above target\n    2 (D)  read 5/64 in  target 5/64 in\n      on target\n"
        );
        let mut names = TextTable::new(["", "last entry", "to look at"]);
        names.row(["ash", "2026-03-02 10:00", "next: relief; open draft"]);
        names.row(["walnut with a long neck", "2026-03-02 10:00", "next: tuning"]);
        assert_eq!(
            printed(&names, 40),
            "ash\n  last entry 2026-03-02 10:00\n    to look at next: relief; open draft\n\
             walnut with a long neck\n  last entry 2026-03-02 10:00\n    to look at next: tuning\n"
        );
        let mut strings = TextTable::new(["1 (G)", "2 (D)", "10 (E)"]).indented(2);
        strings.row(["6/64 in", "6/64 in", "7/64 in"]);
        assert_eq!(
            printed(&strings, 24),
            "  1 (G)   6/64 in\n  2 (D)   6/64 in\n  10 (E)  7/64 in\n"
        );
    }
}
