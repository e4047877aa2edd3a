//! Options of the commands that devices exchange something with.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

/// Write an invitation file.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway invite contributor --out invitation.txt
  fallaway invite viewer --days 3 > invitation.txt

Whoever holds the file can join once and read the whole history: send it privately.")]
pub struct InviteArgs {
    /// What the invited device may do
    #[arg(value_enum)]
    pub role: RoleWord,
    /// Write it to this file instead of printing it
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Days for which it is good
    #[arg(long, default_value_t = 14, value_parser = clap::value_parser!(u16).range(1..=365))]
    pub days: u16,
}

/// What a device may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum RoleWord {
    /// People and everything else
    Owner,
    /// Reads and writes
    Contributor,
    /// Reads
    Viewer,
}

/// Bundles out and in.
#[derive(Debug, Subcommand)]
pub enum BundleAction {
    /// Write the record, or what is new in it, into a file
    Out {
        /// The file
        file: PathBuf,
        /// Only what is new since the last one that was written
        #[arg(long)]
        new: bool,
    },
    /// Read bundle files in
    In {
        /// The files
        #[arg(required = true)]
        files: Vec<PathBuf>,
    },
}

/// Decide between two values.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  fallaway two-values
  fallaway settle 1 2        at the first place, keep the second value")]
pub struct SettleArgs {
    /// The number of the place in `fallaway two-values`
    pub place: usize,
    /// The number of the value to keep
    pub keep: usize,
}
