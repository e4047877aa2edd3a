//! A table as it stands in a file: comma-separated values (RFC 4180; also with semicolons or tabs, as
//! spreadsheets write them), or JSON (RFC 8259) as a list of objects.

use fallaway_text::Phrase;
use fallaway_text::errors::{Accepted, NothingAccepted};
use fallaway_text::messages::import as say;
use serde_json::Value;

use crate::error::{Error, Result, field};

/// Rows of cells under headings.
pub(super) struct Sheet {
    pub headings: Vec<String>,
    pub rows: Vec<SheetRow>,
}

/// A row, by its number in the file: the line, or the place in the list.
pub(super) struct SheetRow {
    pub number: usize,
    pub cells: Vec<String>,
}

impl Sheet {
    /// Reads a table; a text that begins with a bracket is JSON.
    pub(super) fn read(text: &str) -> Result<Self> {
        let text = text.trim_start_matches('\u{feff}');
        let table = if text.trim_start().starts_with(['[', '{']) {
            Self::of_json(text)
        } else {
            Self::of_csv(text)
        }?;
        if table.rows.is_empty() {
            return Err(no_table(say::no_rows()));
        }
        Ok(table)
    }

    fn of_csv(text: &str) -> Result<Self> {
        let refused = |error: csv::Error| {
            let row = error.position().map_or(1, |at| usize::try_from(at.line()).unwrap_or(1));
            let wrong = say::not_csv(error.to_string());
            no_table(wrong).in_column(row, "")
        };
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(delimiter(text))
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let headings = reader.headers().map_err(refused)?.iter().map(str::to_owned).collect();
        let mut rows = Vec::new();
        // Lines are counted here: the reader's own count is one behind after a carriage return.
        let (mut line, mut counted) = (1, 0);
        for record in reader.records() {
            let record = record.map_err(refused)?;
            let begins = record.position().map_or(0, |at| usize::try_from(at.byte()).unwrap_or(0));
            let rest = text.get(begins..).unwrap_or_default();
            let begins = begins + rest.len() - rest.trim_start_matches(['\r', '\n']).len();
            line += text.get(counted..begins).unwrap_or_default().matches('\n').count();
            counted = begins;
            let cells: Vec<String> = record.iter().map(str::to_owned).collect();
            if cells.iter().any(|cell| !cell.is_empty()) {
                rows.push(SheetRow { number: line, cells });
            }
        }
        Ok(Self { headings, rows })
    }

    fn of_json(text: &str) -> Result<Self> {
        let refused = |reason: String| no_table(say::not_json(reason));
        let read: Value = serde_json::from_str(text).map_err(|error| refused(error.to_string()))?;
        let list = match read {
            Value::Array(list) => list,
            one => vec![one],
        };
        let mut table = Self { headings: Vec::new(), rows: Vec::new() };
        for (number, one) in (1..).zip(list) {
            let Value::Object(fields) = one else {
                let wrong = say::not_an_object();
                return Err(no_table(wrong).in_column(number, ""));
            };
            let mut cells = vec![String::new(); table.headings.len()];
            for (heading, value) in fields {
                let place = table.headings.iter().position(|one| *one == heading);
                let place = place.unwrap_or_else(|| {
                    table.headings.push(heading);
                    cells.push(String::new());
                    table.headings.len() - 1
                });
                if let Some(cell) = cells.get_mut(place) {
                    *cell = cell_of(&value);
                }
            }
            table.rows.push(SheetRow { number, cells });
        }
        Ok(table)
    }
}

/// What a value is as a cell; a list is its values side by side.
fn cell_of(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::String(text) => text.trim().to_owned(),
        Value::Array(list) => list.iter().map(cell_of).collect::<Vec<_>>().join(" "),
        other => other.to_string(),
    }
}

fn no_table(reason: Phrase) -> Error {
    let other = Accepted::nothing(NothingAccepted::OtherFile);
    Error::bad_input(field("table"), reason, other)
}

/// What stands most often in the line of headings.
fn delimiter(text: &str) -> u8 {
    let headings = text.lines().next().unwrap_or_default();
    let count = |delimiter: char| headings.matches(delimiter).count();
    [';', '\t']
        .into_iter()
        .filter(|one| count(*one) > count(','))
        .max_by_key(|one| count(*one))
        .map_or(b',', |one| one as u8)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(text: &str) -> Vec<(usize, Vec<String>)> {
        Sheet::read(text).unwrap().rows.into_iter().map(|row| (row.number, row.cells)).collect()
    }

    #[test]
    fn rfc_4180_with_the_separators_of_spreadsheets() {
        // RFC 4180, 2.6 and 2.7: fields with separators, quotes and line breaks are quoted.
        let quoted = "date,note\r\n2025-01-02,\"stiff, \"\"very\"\"\nand dry\"\r\n2025-01-03,x\r\n";
        let read = cells(quoted);
        assert_eq!(read[0], (2, vec!["2025-01-02".into(), "stiff, \"very\"\nand dry".into()]));
        assert_eq!(read[1].0, 4, "the line of the file");
        assert_eq!(cells("a;b\n0,3;1\n")[0].1, ["0,3", "1"]);
        assert_eq!(cells("\u{feff}a\tb\n1\t2\n")[0].1, ["1", "2"]);
        // 2.4: each line has the same number of fields.
        assert!(Sheet::read("a,b\n1\n").is_err());
        assert!(Sheet::read("a,b\n").is_err());
    }

    #[test]
    fn rfc_8259_lists_of_objects() {
        let read = cells(r#"[{"date":"2025-01-02","1":5,"2":null},{"2":["5","6"],"date":"x"}]"#);
        assert_eq!(read[0].1.len(), 3);
        assert!(read[0].1.contains(&"5".to_owned()));
        assert!(read[1].1.contains(&"5 6".to_owned()));
        assert!(Sheet::read("[1]").is_err() && Sheet::read("[{").is_err());
    }
}
