//! The numbers card: a table for the bench, large type for the stage.

use std::io;

use fallaway::measure::Quantity;
use fallaway::{Card, CardLine, LastReading, Standing};

use super::paper::{columns, pad};
use super::{Ink, Paper, Table, large, names};
use crate::words::moments;

/// Prints the card as a table.
///
/// # Errors
/// As the stream's.
pub fn table(card: &Card, paper: &mut Paper<'_>) -> io::Result<()> {
    heading(card, paper)?;
    if card.lines.is_empty() {
        return paper.line("Nothing was read yet.");
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
        table.inked(
            ink(line.standing),
            [
                quantity,
                place(line),
                line.last.as_ref().map_or_else(|| "-".into(), |last| last.reading.to_string()),
                line.target.as_ref().map_or_else(String::new, |target| target.wanted.to_string()),
                remark(line).to_owned(),
            ],
        );
    }
    paper.table(&table)?;
    footing(card, paper)
}

/// Prints relief, nut and action in large type, to be read from a few steps away.
///
/// # Errors
/// As the stream's.
pub fn large_type(card: &Card, paper: &mut Paper<'_>) -> io::Result<()> {
    heading(card, paper)?;
    let shown: Vec<(&CardLine, &LastReading)> = card
        .lines
        .iter()
        .filter(|line| matches!(line.quantity, Quantity::Relief { .. } | Quantity::Gap { .. }))
        .filter_map(|line| Some((line, line.last.as_ref()?)))
        .collect();
    if shown.is_empty() {
        paper.line("Nothing was read yet.")?;
    }
    let front = shown.iter().map(|(line, _)| columns(&place(line))).max().unwrap_or(0) + 2;
    for group in shown.chunk_by(|(a, _), (b, _)| a.quantity == b.quantity) {
        if let Some((first, _)) = group.first() {
            paper.text(Ink::Strong, &names::quantity(first.quantity))?;
        }
        for (line, last) in group {
            let big = large(&last.reading.to_string());
            let wide = big.iter().map(|row| columns(row)).max().unwrap_or(0);
            let wanted = line.target.as_ref().map(|target| format!("wanted {}", target.wanted));
            let before = [String::new(), place(line), String::new()];
            let beside = [String::new(), wanted.unwrap_or_default(), remark(line).to_owned()];
            for ((before, big), beside) in before.iter().zip(&big).zip(&beside) {
                let row = format!("{}{}{beside}", pad(before, front), pad(big, wide + 3));
                paper.raw(row.trim_end())?;
                paper.blank()?;
            }
            paper.blank()?;
        }
    }
    if card.lines.len() > shown.len() {
        paper.text(Ink::Quiet, "All numbers: fallaway card")?;
    }
    footing(card, paper)
}

fn heading(card: &Card, paper: &mut Paper<'_>) -> io::Result<()> {
    let text = match &card.setup {
        Some(setup) => format!("{} beside \u{201c}{setup}\u{201d}", card.name),
        None => card.name.clone(),
    };
    paper.heading(&text)
}

fn footing(card: &Card, paper: &mut Paper<'_>) -> io::Result<()> {
    let newest = card.lines.iter().filter_map(|line| line.last.as_ref()).map(|last| last.at).max();
    match newest {
        Some(at) => paper.text(Ink::Quiet, &format!("Last read {}.", moments::shown(at))),
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

fn ink(standing: Standing) -> Ink {
    match standing {
        Standing::Above | Standing::Below | Standing::TwoValues | Standing::MeasureAgain => {
            Ink::Caution
        }
        _ => Ink::Plain,
    }
}
