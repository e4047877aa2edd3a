//! Small tables: columns as wide as what stands in them, the last one wrapped.

use std::io;

use super::printer::{Printer, Style, columns, pad, wrap};

/// A table of text.
#[derive(Debug, Clone, Default)]
pub struct Table {
    head: Vec<String>,
    rows: Vec<(Style, Vec<String>)>,
    indent: usize,
}

/// Between two columns.
const GAP: usize = 2;

impl Table {
    /// A table with a line of headings; none if they are empty.
    pub fn new<S: Into<String>>(head: impl IntoIterator<Item = S>) -> Self {
        Self { head: head.into_iter().map(Into::into).collect(), ..Self::default() }
    }

    /// The same, indented.
    #[must_use]
    pub fn indented(mut self, indent: usize) -> Self {
        self.indent = indent;
        self
    }

    /// Adds a row.
    pub fn row<S: Into<String>>(&mut self, cells: impl IntoIterator<Item = S>) {
        self.styled(Style::Plain, cells);
    }

    /// Adds a row in another ink.
    pub fn styled<S: Into<String>>(&mut self, style: Style, cells: impl IntoIterator<Item = S>) {
        self.rows.push((style, cells.into_iter().map(Into::into).collect()));
    }

    /// Whether nothing was added.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// Prints it.
    ///
    /// # Errors
    /// As the stream's.
    pub fn print(&self, printer: &mut Printer<'_>) -> io::Result<()> {
        let count = self.rows.iter().map(|(_, row)| row.len()).max().unwrap_or(0);
        let count = count.max(self.head.len());
        let cell = |row: &[String], column: usize| row.get(column).cloned().unwrap_or_default();
        let mut widths: Vec<usize> = (0..count)
            .map(|column| {
                let head = columns(&cell(&self.head, column));
                self.rows.iter().map(|(_, r)| columns(&cell(r, column))).fold(head, usize::max)
            })
            .collect();
        // The last column takes what is left.
        if let Some((last, others)) = widths.split_last_mut() {
            let taken = self.indent + others.iter().map(|w| w + GAP).sum::<usize>();
            *last = (*last).min(printer.width().saturating_sub(taken).max(16));
        }
        let head = (!self.head.is_empty()).then(|| (Style::Quiet, self.head.clone()));
        for (style, row) in head.iter().chain(&self.rows) {
            let last =
                wrap(&cell(row, count.saturating_sub(1)), widths.last().copied().unwrap_or(0));
            for (line, text) in last.iter().enumerate() {
                let mut printed = " ".repeat(self.indent);
                for (column, width) in widths.iter().enumerate().take(count.saturating_sub(1)) {
                    let text = if line == 0 { cell(row, column) } else { String::new() };
                    printed.push_str(&pad(&text, width + GAP));
                }
                printed.push_str(text);
                printer.styled(*style, printed.trim_end())?;
                printer.blank()?;
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_column_is_wrapped_under_itself() {
        let mut table = Table::new(["string", "remark"]);
        table.row(["1 (G)", "buzzes a little at the second fret"]);
        let mut out = Vec::new();
        table.print(&mut Printer::new(&mut out, false, 30)).unwrap();
        let printed = String::from_utf8(out).unwrap();
        assert_eq!(
            printed,
            "string  remark\n1 (G)   buzzes a little at the\n        second fret\n"
        );
    }
}
