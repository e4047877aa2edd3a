//! Options of what a shop keeps for itself, of targets from elsewhere, and of files.

use std::path::PathBuf;

use clap::{Args, Subcommand};

use crate::parse::minus;

/// Take targets from elsewhere.
#[derive(Debug, Subcommand)]
pub enum TargetsAction {
    From {
        name: String,
        #[arg(long, value_name = "SETUP")]
        setup: Option<String>,
        #[arg(long, value_name = "SETUP")]
        into: Option<String>,
    },
    Usual {
        #[arg(long, value_name = "SETUP")]
        into: Option<String>,
    },
}

/// Numbers of the shop.
#[derive(Debug, Subcommand)]
pub enum SpecAction {
    Keep {
        name: String,
        #[arg(long, value_name = "SETUP")]
        setup: Option<String>,
    },
    Drop {
        name: String,
    },
}

/// String sets of the shop.
#[derive(Debug, Subcommand)]
pub enum PackAction {
    Keep(PackArgs),
    Drop { name: String },
}

/// A string set.
#[derive(Debug, Args)]
pub struct PackArgs {
    pub name: String,
    #[arg(long, value_name = "GAUGE", num_args = 1.., required = true)]
    pub gauges: Vec<String>,
    #[arg(long, value_name = "KIND", num_args = 1..)]
    pub made: Vec<String>,
    #[arg(long, value_name = "WEIGHT", num_args = 1..)]
    pub weights: Vec<String>,
}

/// Whose an instrument is.
#[derive(Debug, Args)]
pub struct OwnerArgs {
    #[arg(value_parser = minus::text)]
    pub name: Option<String>,
    #[arg(long, value_name = "TEXT", value_parser = minus::text)]
    pub contact: Option<String>,
    #[arg(long, conflicts_with_all = ["name", "contact"])]
    pub none: bool,
}

/// Work on an instrument.
#[derive(Debug, Subcommand)]
pub enum JobAction {
    Add {
        #[arg(value_parser = minus::text)]
        what: String,
        #[command(flatten)]
        more: JobArgs,
    },
    Note {
        number: u32,
        #[command(flatten)]
        more: JobArgs,
    },
    Done {
        number: u32,
        #[command(flatten)]
        more: JobArgs,
    },
    Drop {
        number: u32,
    },
}

/// What is noted of a piece of work.
#[derive(Debug, Clone, Default, Args)]
pub struct JobArgs {
    #[arg(long, value_name = "DAY")]
    pub due: Option<String>,
    #[arg(long, value_name = "PART", value_parser = minus::text)]
    pub waits_for: Option<String>,
    #[arg(long, conflicts_with = "waits_for")]
    pub arrived: bool,
    #[arg(long, value_name = "MINUTES")]
    pub time: Option<u32>,
    #[arg(long, value_name = "PART", value_parser = minus::text)]
    pub part: Vec<String>,
    #[arg(long, value_name = "PRICE")]
    pub price: Option<String>,
}

/// When an instrument is looked at again.
#[derive(Debug, Args)]
pub struct CareArgs {
    #[arg(long, value_name = "COUNT")]
    pub months: Option<u8>,
    #[arg(long = "in", value_name = "MONTH", value_delimiter = ',')]
    pub within: Vec<String>,
    #[arg(long, conflicts_with_all = ["months", "within"])]
    pub none: bool,
}

/// A record or its readings into a file.
#[derive(Debug, Args)]
pub struct ExportArgs {
    pub file: PathBuf,
    #[arg(long)]
    pub table: bool,
}

/// What a file holds, back.
#[derive(Debug, Args)]
pub struct RestoreArgs {
    pub file: PathBuf,
    #[arg(long = "as", value_name = "NAME")]
    pub name: Option<String>,
}
