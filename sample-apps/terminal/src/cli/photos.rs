//! Options of photos.

use std::path::PathBuf;

use clap::Subcommand;

/// Photos of an instrument.
#[derive(Debug, Subcommand)]
pub enum PhotoAction {
    Add {
        file: PathBuf,
        #[arg(long, value_name = "TEXT")]
        caption: Option<String>,
        #[arg(long, value_name = "ENTRY")]
        to: Option<String>,
    },
    List,
    Out {
        entry: String,
        #[arg(long, value_name = "FILE")]
        out: PathBuf,
        #[arg(long, value_name = "POINTS")]
        side: Option<u32>,
    },
}
