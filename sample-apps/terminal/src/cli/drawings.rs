//! What is drawn, and where to.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use fallaway::measure::StringPlace;
use fallaway::sheet::{Paper, Theme};

use super::RoleWord;

/// What is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum DrawKind {
    /// The turns of the next step.
    Turn,
    /// The neck in profile.
    Neck,
    /// What is left between strings and frets.
    Clearance,
    /// The row of the strings against the curve of the board.
    Saddles,
    /// Intonation before and after.
    Intonation,
    /// String spacing at nut and bridge.
    Spacing,
    /// What changed since the setup.
    Changed,
    /// Relief over time.
    Relief,
    /// The action of a string over time.
    Action,
}

/// On what it will be seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ThemeWord {
    Light,
    Dark,
    Stage,
    Print,
}

impl ThemeWord {
    /// The library's word for it.
    pub const fn theme(self) -> Theme {
        match self {
            Self::Light => Theme::Light,
            Self::Dark => Theme::Dark,
            Self::Stage => Theme::Stage,
            Self::Print => Theme::Print,
        }
    }
}

/// For which paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PaperWord {
    A4,
    Letter,
}

impl PaperWord {
    /// The library's word for it.
    pub const fn paper(self) -> Paper {
        match self {
            Self::A4 => Paper::A4,
            Self::Letter => Paper::Letter,
        }
    }
}

/// A page to hand over.
#[derive(Debug, Args)]
pub struct SheetArgs {
    #[arg(long, conflicts_with = "visit")]
    pub bench: bool,
    #[arg(long, value_name = "ENTRY")]
    pub visit: Option<String>,
    #[arg(long, value_name = "SETUP")]
    pub setup: Option<String>,
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    #[arg(long, value_enum, hide_possible_values = true, default_value = "a4")]
    pub paper: PaperWord,
    #[arg(long, value_name = "ROLE", value_enum, hide_possible_values = true)]
    pub invite: Option<RoleWord>,
    #[arg(long, requires = "invite", default_value_t = 14, value_parser = clap::value_parser!(u16).range(1..=365))]
    pub days: u16,
}

/// Draw a picture.
#[derive(Debug, Args)]
pub struct DrawArgs {
    #[arg(value_enum, hide_possible_values = true)]
    pub kind: DrawKind,
    #[arg(long)]
    pub words: bool,
    #[arg(long, value_name = "STRING")]
    pub string: Option<StringPlace>,
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    #[arg(long, value_enum, hide_possible_values = true, default_value = "print")]
    pub theme: ThemeWord,
    #[arg(long, value_name = "ENTRY")]
    pub since: Option<String>,
    #[arg(long, requires = "since")]
    pub found: bool,
    #[arg(long, value_name = "SETUP", conflicts_with = "since")]
    pub setup: Option<String>,
}
