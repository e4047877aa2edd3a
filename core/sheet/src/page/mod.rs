//! A page to hand over, as data: what stands on it, in which order. Plain text, HTML and PDF are made of
//! the same.

pub(crate) mod bench;
pub(crate) mod customer;
pub(crate) mod html;
pub(crate) mod invitation;
#[cfg(feature = "pdf")]
mod layout;
pub(crate) mod messages;
#[cfg(feature = "pdf")]
pub(crate) mod pdf;
pub(crate) mod text;

use crate::Scene;

/// A page to hand over, in the words of one language.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetPage {
    /// What it is of: the instrument's name.
    pub title: String,
    /// What it is, and of when.
    pub subtitle: String,
    /// The tag of its language, such as "de".
    pub language: String,
    /// What stands on it, from top to bottom.
    pub blocks: Vec<SheetBlock>,
}

/// A part of a page.
#[derive(Debug, Clone, PartialEq)]
pub enum SheetBlock {
    /// A heading, on a line of its own.
    Heading(String),
    /// A paragraph of running text.
    Paragraph(String),
    /// Several in a row, a point each.
    Points(Vec<String>),
    /// What is called how, and what it is.
    Facts(Vec<(String, String)>),
    /// Numbers in columns.
    Table {
        /// What the columns are called, as it stands inside a sentence.
        head: Vec<String>,
        /// Its rows, and the headings of groups between them.
        lines: Vec<SheetLine>,
    },
    /// Large numbers, to be read at arm's length.
    Numbers(Vec<LargeNumber>),
    /// A drawing, made no wider than the page.
    Picture(Scene),
    /// A code for a camera, with what is said beside it. It stands on every page, however full.
    Code {
        /// The code as a drawing.
        picture: Scene,
        /// The text that it holds.
        text: String,
        /// What is said beside it, a paragraph each.
        beside: Vec<String>,
    },
    /// What can hurt.
    Caution(String),
}

/// A line of a table.
#[derive(Debug, Clone, PartialEq)]
pub enum SheetLine {
    /// What the lines after it are of.
    Group(String),
    /// A row: what, and a text for each column after the first.
    Row {
        /// What it is of.
        what: String,
        /// Whether it belongs to the group above it.
        grouped: bool,
        /// The texts of the columns after the first.
        cells: Vec<String>,
    },
}

/// A large number of a page.
#[derive(Debug, Clone, PartialEq)]
pub struct LargeNumber {
    /// The number with its unit.
    pub number: String,
    /// What it is of.
    pub label: String,
    /// What else is to be known of it; empty if nothing.
    pub beside: String,
}

/// A table with more lines than these stands in two columns.
const FOLDED: usize = 22;

/// More facts than these stand in two columns.
const MANY_FACTS: usize = 8;

/// How many large numbers stand beside each other, of so many.
pub(crate) const fn columns(count: usize) -> usize {
    match count {
        0..=3 | 5..=6 | 9 => 3,
        4 | 7..=8 => 4,
        _ => 6,
    }
}

/// What the columns of a table are called, each at the head of its own.
fn titles(head: &[String]) -> Vec<String> {
    head.iter().map(|title| fallaway_text::capital(title)).collect()
}

/// The size of a sheet of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Paper {
    /// 210 mm by 297 mm (ISO 216).
    A4,
    /// 8.5 in by 11 in (ANSI/ASME Y14.1, size A).
    Letter,
}

impl Paper {
    /// Every size of paper, each once.
    pub const ALL: [Self; 2] = [Self::A4, Self::Letter];

    /// Its width and height in points.
    pub const fn size_pt(self) -> (f64, f64) {
        match self {
            Self::A4 => (595.28, 841.89),
            Self::Letter => (612.0, 792.0),
        }
    }
}
