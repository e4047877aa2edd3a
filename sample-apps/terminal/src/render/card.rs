//! The numbers card: a table for the bench, large type for the stage.

use std::io;

use fallaway::measure::Quantity;
use fallaway::{Card, CardLine, CardStanding, LastReading};

use fallaway_text::messages::{card as say, plan};
use fallaway_text::{Phrase, Voice, names};

use super::printer::{columns, pad};
use super::{Printer, Style, TextTable, large};
use crate::messages::hints;

/// Prints the card as a table.
///
/// # Errors
/// As the stream's.
pub fn table(card: &Card, voice: Voice, printer: &mut Printer<'_>) -> io::Result<()> {
    heading(card, voice, printer)?;
    if card.lines.is_empty() {
        printer.line(&say::nothing())?;
        return footing(card, printer);
    }
    let mut table = TextTable::new([
        String::new(),
        voice.say(&say::column_where()),
        voice.say(&say::column_read()),
        voice.say(&say::column_target()),
        String::new(),
    ])
    .indented(2);
    let said = |line| remark(line).map_or_else(String::new, |phrase| voice.say(&phrase));
    let mut before: Option<Quantity> = None;
    for line in &card.lines {
        let quantity = if before == Some(line.quantity) {
            String::new()
        } else {
            voice.say(&names::quantity(line.quantity))
        };
        before = Some(line.quantity);
        table.styled(
            style(line.standing),
            [
                quantity,
                place(voice, line),
                line.last.as_ref().map_or_else(
                    || "-".into(),
                    |last| voice.say(&names::reading(last.reading).of(last.quantity)),
                ),
                line.target.as_ref().map_or_else(String::new, |target| {
                    voice.say(&names::amount(target.wanted).of(target.quantity))
                }),
                said(line),
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
pub fn large_type(card: &Card, voice: Voice, printer: &mut Printer<'_>) -> io::Result<()> {
    heading(card, voice, printer)?;
    let shown: Vec<(&CardLine, &LastReading)> = card
        .lines
        .iter()
        .filter(|line| matches!(line.quantity, Quantity::Relief { .. } | Quantity::Gap { .. }))
        .filter_map(|line| Some((line, line.last.as_ref()?)))
        .collect();
    if shown.is_empty() {
        printer.line(&say::nothing())?;
    }
    let said = |line| remark(line).map_or_else(String::new, |phrase| voice.say(&phrase));
    let front = shown.iter().map(|(line, _)| columns(&place(voice, line))).max().unwrap_or(0) + 2;
    for group in shown.chunk_by(|(a, _), (b, _)| a.quantity == b.quantity) {
        if let Some((first, _)) = group.first() {
            printer.say(Style::Strong, &names::quantity(first.quantity))?;
        }
        for (line, last) in group {
            let big = large(&voice.say(&names::reading(last.reading).of(last.quantity)));
            let wide = big.iter().map(|row| columns(row)).max().unwrap_or(0);
            let wanted = line
                .target
                .as_ref()
                .map(|target| voice.say(&say::target(target.wanted).of(target.quantity)));
            let before = [String::new(), place(voice, line), String::new()];
            let beside = [String::new(), wanted.unwrap_or_default(), said(line)];
            // On a phone the words stand below.
            let words = beside.iter().map(|text| columns(text)).max().unwrap_or(0);
            let below = front + wide + 3 + words > printer.width();
            for ((before, big), beside) in before.iter().zip(&big).zip(&beside) {
                let beside = if below { "" } else { beside.as_str() };
                let row = format!("{}{}{beside}", pad(before, front), pad(big, wide + 3));
                printer.raw(row.trim_end())?;
                printer.blank()?;
            }
            for text in beside.iter().filter(|text| below && !text.is_empty()) {
                printer.hung(Style::Plain, &" ".repeat(front), front, text)?;
            }
            printer.blank()?;
        }
    }
    if card.lines.len() > shown.len() {
        printer.say(Style::Quiet, &hints::all_numbers())?;
    }
    footing(card, printer)
}

fn heading(card: &Card, voice: Voice, printer: &mut Printer<'_>) -> io::Result<()> {
    let text = match &card.setup {
        Some(setup) => say::title_setup(&card.name, &setup.name),
        None => say::title(&card.name),
    };
    printer.text(Style::Heading, &voice.say(&text))
}

fn footing(card: &Card, printer: &mut Printer<'_>) -> io::Result<()> {
    if let Some(when) = card.read_when() {
        printer.say(Style::Quiet, &when)?;
    }
    if card.photos > 0 {
        let count = usize::try_from(card.photos).unwrap_or(usize::MAX);
        printer.say(Style::Quiet, &hints::photos(count))?;
    }
    Ok(())
}

fn place(voice: Voice, line: &CardLine) -> String {
    match line.location {
        fallaway::measure::Location::Whole => String::new(),
        _ => voice.say(&line.place),
    }
}

/// How a reading compares with its target, in words; `None` where there is nothing to compare.
pub fn remark(line: &CardLine) -> Option<Phrase> {
    match line.standing {
        CardStanding::Within => Some(plan::on_target()),
        CardStanding::SameAsFarAsReadable => Some(plan::within_reading_error()),
        CardStanding::Above => Some(say::above()),
        CardStanding::Below => Some(say::below()),
        CardStanding::TwoValues => Some(plan::two_targets()),
        CardStanding::MeasureAgain => Some(plan::measure_again()),
        CardStanding::CannotTell => Some(say::unclear()),
        CardStanding::NoTarget | CardStanding::NotRead => None,
    }
}

fn style(standing: CardStanding) -> Style {
    match standing {
        CardStanding::Above
        | CardStanding::Below
        | CardStanding::TwoValues
        | CardStanding::CannotTell
        | CardStanding::MeasureAgain => Style::Caution,
        _ => Style::Plain,
    }
}
