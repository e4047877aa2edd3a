//! An answer: for people in words and tables, for programs in fields.

#[cfg(feature = "calc")]
use fallaway::measure::Length;
#[cfg(feature = "calc")]
use fallaway::mechanics::Uncertain;
#[cfg(feature = "calc")]
use fallaway::mechanics::units::as_mm;
use fallaway_text::Phrase;
use serde_json::{Map, Value, json};

use super::context::Context;
use crate::error::Outcome;
use crate::messages::answer as say;
use crate::render::printer::columns;
use crate::render::{Style, TextTable};
use crate::voice;

enum Block {
    Text(Style, Phrase),
    TextTable(TextTable),
}

/// An answer to a question.
pub struct Reply {
    question: &'static str,
    blocks: Vec<Block>,
    fields: Map<String, Value>,
    rests_on: Vec<Phrase>,
    assumed: Vec<Phrase>,
    cautions: Vec<Phrase>,
}

impl Reply {
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
    pub fn lead(&mut self, text: impl Into<Phrase>) {
        self.blocks.push(Block::Text(Style::Strong, text.into()));
    }

    /// A sentence more.
    pub fn say(&mut self, text: impl Into<Phrase>) {
        self.blocks.push(Block::Text(Style::Plain, text.into()));
    }

    /// A table.
    pub fn table(&mut self, table: TextTable) {
        self.blocks.push(Block::TextTable(table));
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
    pub fn rests_on(&mut self, text: impl Into<Phrase>) {
        push(&mut self.rests_on, text.into());
    }

    /// What was taken for granted.
    pub fn assumed(&mut self, text: impl Into<Phrase>) {
        push(&mut self.assumed, text.into());
    }

    /// What can harm, or mislead.
    pub fn caution(&mut self, text: impl Into<Phrase>) {
        push(&mut self.cautions, text.into());
    }

    /// Prints it.
    pub fn print(self, context: &mut Context<'_, '_>) -> Outcome {
        if context.common.json {
            return context.json(&json!({
                "question": self.question,
                "answer": self.fields,
                "rests_on": texts(&self.rests_on),
                "assumed": texts(&self.assumed),
                "cautions": texts(&self.cautions),
            }));
        }
        let mut printer = context.printer();
        for block in &self.blocks {
            match block {
                Block::Text(style, text) => printer.say(*style, text)?,
                Block::TextTable(table) => printer.table(table)?,
            }
        }
        for (style, front, texts) in [
            (Style::Quiet, say::rests_on(), &self.rests_on),
            (Style::Quiet, say::assumed(), &self.assumed),
            (Style::Caution, say::caution(), &self.cautions),
        ] {
            let front = format!("{} ", voice::say(&front));
            for text in voice::get().phrases_by_string(texts) {
                printer.hung(style, &front, columns(&front), &voice::say(text))?;
            }
        }
        Ok(())
    }
}

fn push(list: &mut Vec<Phrase>, text: Phrase) {
    if !list.contains(&text) {
        list.push(text);
    }
}

fn texts(phrases: &[Phrase]) -> Vec<String> {
    voice::get().phrases_by_string(phrases).into_iter().map(voice::say).collect()
}

/// Rounded to ten digits after the point, enough for the smallest of them (an inharmonicity).
pub fn rounded(value: f64) -> f64 {
    let rounded = (value * 1e10).round() / 1e10;
    // No minus before a zero.
    if rounded == 0.0 { 0.0 } else { rounded }
}
