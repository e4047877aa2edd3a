//! The numbers card: a table for the bench, large type for the stage.

use std::io;

use fallaway::measure::Quantity;
use fallaway::{Card, CardLine, LastReading, Standing};

use super::printer::{columns, pad};
use super::{Printer, Style, Table, large, names};
use crate::parse::moments;

/// Prints the card as a table.
///
/// # Errors
/// As the stream's.
pub fn table(card: &Card, printer: &mut Printer<'_>) -> io::Result<()> {
    heading(card, printer)?;
    if card.lines.is_empty() {
        return printer.line("Nothing was read yet.");
    }
    let mut table = Table::new(["", "where", "read", "wanted", ""]).indented(2);
    let mut before: Option<Quantity> = None;
    for line in &card.lines {
        let quantity = if before == Some(line.quantity) {
            String::new()
        } else {
            names::quantity(line.quantity)
        };
        before = Some(line.quantity);
        table.styled(
            style(line.standing),
            [
                quantity,
                place(line),
                line.last.as_ref().map_or_else(|| "-".into(), |last| last.reading.to_string()),
                line.target.as_ref().map_or_else(String::new, |target| target.wanted.to_string()),
                remark(line).to_owned(),
            ],
        );
    }
    printer.table(&table)?;
    footing(card, printer)
}

/// Prints relief, nut and action in large type, to be read from a few steps away.
///
/// # Errors
/// As the stream's.
pub fn large_type(card: &Card, printer: &mut Printer<'_>) -> io::Result<()> {
    heading(card, printer)?;
    let shown: Vec<(&CardLine, &LastReading)> = card
        .lines
        .iter()
        .filter(|line| matches!(line.quantity, Quantity::Relief { .. } | Quantity::Gap { .. }))
        .filter_map(|line| Some((line, line.last.as_ref()?)))
        .collect();
    if shown.is_empty() {
        printer.line("Nothing was read yet.")?;
    }
    let front = shown.iter().map(|(line, _)| columns(&place(line))).max().unwrap_or(0) + 2;
    for group in shown.chunk_by(|(a, _), (b, _)| a.quantity == b.quantity) {
        if let Some((first, _)) = group.first() {
            printer.text(Style::Strong, &names::quantity(first.quantity))?;
        }
        for (line, last) in group {
            let big = large(&last.reading.to_string());
            let wide = big.iter().map(|row| columns(row)).max().unwrap_or(0);
            let wanted = line.target.as_ref().map(|target| format!("wanted {}", target.wanted));
            let before = [String::new(), place(line), String::new()];
            let beside = [String::new(), wanted.unwrap_or_default(), remark(line).to_owned()];
            for ((before, big), beside) in before.iter().zip(&big).zip(&beside) {
                let row = format!("{}{}{beside}", pad(before, front), pad(big, wide + 3));
                printer.raw(row.trim_end())?;
                printer.blank()?;
            }
            printer.blank()?;
        }
    }
    if card.lines.len() > shown.len() {
        printer.text(Style::Quiet, "All numbers: fallaway card")?;
    }
    footing(card, printer)
}

fn heading(card: &Card, printer: &mut Printer<'_>) -> io::Result<()> {
    let text = match &card.setup {
        Some(setup) => format!("{} beside \u{201c}{setup}\u{201d}", card.name),
        None => card.name.clone(),
    };
    printer.heading(&text)
}

fn footing(card: &Card, printer: &mut Printer<'_>) -> io::Result<()> {
    let newest = card.lines.iter().filter_map(|line| line.last.as_ref()).map(|last| last.at).max();
    match newest {
        Some(at) => printer.text(Style::Quiet, &format!("Last read {}.", moments::shown(at))),
        None => Ok(()),
    }
}

fn place(line: &CardLine) -> String {
    match line.location {
        fallaway::measure::Location::Whole => String::new(),
        _ => line.place.clone(),
    }
}

/// How a reading lies to its target, in words.
pub fn remark(line: &CardLine) -> &'static str {
    match line.standing {
        Standing::Within => "fine",
        Standing::SameAsFarAsReadable => "the same, as far as that can be told",
        Standing::Above => "above",
        Standing::Below => "below",
        Standing::TwoValues => "two values wanted",
        Standing::MeasureAgain => "measure again",
        Standing::Unknown => "",
    }
}

fn style(standing: Standing) -> Style {
    match standing {
        Standing::Above | Standing::Below | Standing::TwoValues | Standing::MeasureAgain => {
            Style::Caution
        }
        _ => Style::Plain,
    }
}
