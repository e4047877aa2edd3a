//! The numbers card: a table for the bench, large type for the stage.

use std::io;

use fallaway::measure::Quantity;
use fallaway::{Card, CardLine, Standing};

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

/// Prints the card in large type: relief and action first, as much as was read.
///
/// # Errors
/// As the stream's.
pub fn large_type(card: &Card, paper: &mut Paper<'_>) -> io::Result<()> {
    heading(card, paper)?;
    let mut before: Option<Quantity> = None;
    for line in &card.lines {
        let Some(last) = &line.last else { continue };
        if before != Some(line.quantity) {
            paper.blank()?;
            paper.text(Ink::Strong, &names::quantity(line.quantity))?;
        }
        before = Some(line.quantity);
        let place = place(line);
        let [top, middle, base] = large(&last.reading.to_string());
        let wanted = line.target.as_ref().map(|target| format!("wanted {}", target.wanted));
        let wide = [&top, &middle, &base].iter().map(|l| l.chars().count()).max().unwrap_or(0);
        let beside = |text: &str| format!("{:missing$}   {text}", "", missing = wide);
        let rows = [
            (String::new(), top, String::new()),
            (place, middle.clone(), wanted.unwrap_or_default()),
            (String::new(), base, remark(line).to_owned()),
        ];
        for (front, big, side) in rows {
            let line = format!("{front:<8}{big}");
            let missing = (8 + beside("").chars().count()).saturating_sub(line.chars().count());
            paper.raw(format!("{line}{:missing$}{side}", "").trim_end())?;
            paper.blank()?;
        }
        paper.blank()?;
    }
    if before.is_none() {
        paper.line("Nothing was read yet.")?;
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
