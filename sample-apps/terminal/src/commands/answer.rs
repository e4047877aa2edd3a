//! An answer: for people in words and tables, for programs in fields.

use fallaway::measure::Length;
#[cfg(feature = "calc")]
use fallaway::mechanics::Uncertain;
use fallaway::mechanics::units::as_mm;
use serde_json::{Map, Value};

use super::context::Context;
use crate::error::Outcome;
use crate::json;
use crate::render::{Style, Table};

enum Block {
    Text(Style, String),
    Table(Table),
}

/// An answer to a question.
pub struct Answer {
    question: &'static str,
    blocks: Vec<Block>,
    fields: Map<String, Value>,
    rests_on: Vec<String>,
    assumed: Vec<String>,
    cautions: Vec<String>,
}

impl Answer {
    /// An answer that says nothing yet.
    pub fn new(question: &'static str) -> Self {
        Self {
            question,
            blocks: Vec::new(),
            fields: Map::new(),
            rests_on: Vec::new(),
            assumed: Vec::new(),
            cautions: Vec::new(),
        }
    }

    /// What was asked for, in one sentence.
    pub fn lead(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Text(Style::Strong, text.into()));
    }

    /// A sentence more.
    pub fn say(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Text(Style::Plain, text.into()));
    }

    /// A table.
    pub fn table(&mut self, table: Table) {
        self.blocks.push(Block::Table(table));
    }

    /// A field; its name ends in its unit.
    pub fn put(&mut self, name: &str, value: impl Into<Value>) {
        self.fields.insert(name.to_owned(), value.into());
    }

    /// A number, rounded so that conversion leaves no dust.
    pub fn number(&mut self, name: &str, value: f64) {
        self.put(name, rounded(value));
    }

    #[cfg(feature = "calc")]
    /// A value with its standard uncertainty: `name_mm` and `name_standard_uncertainty_mm`.
    pub fn estimate(&mut self, name: &str, value: Uncertain<Length>) {
        self.number(&format!("{name}_mm"), as_mm(value.value));
        self.number(&format!("{name}_standard_uncertainty_mm"), as_mm(value.standard_uncertainty));
    }

    /// What the numbers rest on: a reading or a model, with its source.
    pub fn rests_on(&mut self, text: impl Into<String>) {
        push(&mut self.rests_on, text.into());
    }

    /// What was taken for granted.
    pub fn assumed(&mut self, text: impl Into<String>) {
        push(&mut self.assumed, text.into());
    }

    /// What can harm, or mislead.
    pub fn caution(&mut self, text: impl Into<String>) {
        push(&mut self.cautions, text.into());
    }

    /// Prints it.
    pub fn print(self, context: &mut Context<'_, '_>) -> Outcome {
        if context.common.json {
            return context.json(&json::AnswerJson {
                question: self.question,
                answer: self.fields,
                rests_on: self.rests_on,
                assumed: self.assumed,
                cautions: self.cautions,
            });
        }
        let mut printer = context.printer();
        for block in &self.blocks {
            match block {
                Block::Text(style, text) => printer.text(*style, text)?,
                Block::Table(table) => printer.table(table)?,
            }
        }
        for text in &self.rests_on {
            printer.hung(Style::Quiet, "Rests on: ", 10, text)?;
        }
        for text in &self.assumed {
            printer.hung(Style::Quiet, "Assumed: ", 9, text)?;
        }
        for text in &self.cautions {
            printer.hung(Style::Caution, "Caution: ", 9, text)?;
        }
        Ok(())
    }
}

fn push(list: &mut Vec<String>, text: String) {
    if !list.contains(&text) {
        list.push(text);
    }
}

/// Rounded to ten digits after the point, enough for the smallest of them (an inharmonicity).
pub fn rounded(value: f64) -> f64 {
    let rounded = (value * 1e10).round() / 1e10;
    // No minus before a zero.
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// A length in both units of the bench.
pub fn both(length: Length) -> String {
    let value = as_mm(length);
    let inch = value / 25.4;
    if value.abs() >= 25.4 {
        format!("{value:.2} mm ({inch:.3} in)")
    } else {
        format!("{} mm ({} in)", plain(value, 2), plain(inch, 3))
    }
}

/// A change with its sign.
pub fn signed(length: Length) -> String {
    let value = as_mm(length);
    let sign =
        if plain(value, 2).starts_with(|c: char| c == '-' || (c == '0' && value.abs() < 0.005)) {
            ""
        } else {
            "+"
        };
    format!("{sign}{} mm", plain(value, 2))
}

/// A number without a minus before a zero.
pub fn plain(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    let is_zero = text.trim_start_matches('-').chars().all(|c| c == '0' || c == '.');
    if is_zero { text.trim_start_matches('-').to_owned() } else { text }
}

#[cfg(feature = "calc")]
/// A value and twice its standard uncertainty.
pub fn give_or_take(value: Uncertain<Length>) -> String {
    let twice = 2.0 * as_mm(value.standard_uncertainty);
    if twice < 0.000_5 {
        both(value.value)
    } else {
        format!("{} mm, give or take {} mm", plain(as_mm(value.value), 2), plain(twice, 2))
    }
}

#[cfg(feature = "calc")]
/// What "give or take" means.
pub const GIVE_OR_TAKE: &str = "give or take: twice the standard uncertainty, about 95 % (JCGM \
    100:2008, 6.3.3), carried from the readings to first order";
