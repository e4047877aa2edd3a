//! Options of the commands that devices exchange something with.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};

/// Invite a device.
#[derive(Debug, Args)]
pub struct InviteArgs {
    #[arg(value_enum)]
    pub role: RoleWord,
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    #[arg(long, value_name = "FILE")]
    pub welcome: Option<PathBuf>,
    #[arg(long)]
    pub qr: bool,
    #[arg(long)]
    pub own_device: bool,
    #[arg(long, default_value_t = 14, value_parser = clap::value_parser!(u16).range(1..=365))]
    pub days: u16,
}

/// Words that came another way than the file: typed, or in a file of their own.
#[derive(Debug, Args)]
pub struct WordsArgs {
    pub file: PathBuf,
    pub words: Vec<String>,
    #[arg(long = "words", value_name = "FILE", conflicts_with = "words")]
    pub words_file: Option<PathBuf>,
}

/// Accept an invitation.
#[derive(Debug, Args)]
pub struct AcceptArgs {
    #[command(flatten)]
    pub given: WordsArgs,
    #[arg(long)]
    pub look: bool,
}

/// Become an owner by the recovery words.
#[derive(Debug, Args)]
pub struct RecoverArgs {
    #[command(flatten)]
    pub given: WordsArgs,
    #[arg(long, value_name = "FINGERPRINT")]
    pub lost: Vec<String>,
}

/// Give a member another role.
#[derive(Debug, Args)]
pub struct RoleArgs {
    pub fingerprint: String,
    #[arg(value_enum)]
    pub role: RoleWord,
}

/// Remove a member.
#[derive(Debug, Args)]
pub struct RemoveArgs {
    pub fingerprint: String,
    #[arg(long)]
    pub all_devices: bool,
    #[arg(long)]
    pub reason: Option<String>,
}

/// What a device may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum RoleWord {
    Owner,
    Contributor,
    Viewer,
}

/// Bundles out and in.
#[derive(Debug, Subcommand)]
pub enum BundleAction {
    Out {
        file: PathBuf,
        #[arg(long)]
        new: bool,
    },
    In {
        #[arg(required = true)]
        files: Vec<PathBuf>,
    },
}

/// Which relay carries the record.
#[derive(Debug, Subcommand)]
pub enum RelayAction {
    Set { address: String },
    Drop,
}

/// Exchange with the relay.
#[derive(Debug, Args)]
pub struct SyncArgs {
    #[arg(long)]
    pub keep: bool,
    #[arg(long, value_name = "FILE")]
    pub root: Option<PathBuf>,
    #[arg(long, value_name = "FILE")]
    pub admission: Option<PathBuf>,
}

/// Meet another device.
#[derive(Debug, Args)]
pub struct MeetArgs {
    #[arg(value_name = "ADDRESS", conflicts_with = "listen")]
    pub address: Option<String>,
    #[arg(long, value_name = "ADDRESS", num_args = 0..=1, default_missing_value = "0.0.0.0:0")]
    pub listen: Option<String>,
    #[arg(long, value_name = "DIGITS", conflicts_with = "listen")]
    pub code: Option<String>,
    #[arg(long, value_name = "FILE", conflicts_with = "listen")]
    pub words: Option<PathBuf>,
}

/// Decide between two values.
#[derive(Debug, Args)]
pub struct SettleArgs {
    pub place: usize,
    pub keep: usize,
}
