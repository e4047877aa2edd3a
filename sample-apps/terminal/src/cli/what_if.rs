//! Options of the questions about an instrument before anything is turned.

use clap::{Args, ValueEnum};

/// How hard it is played.
#[derive(Debug, Args)]
pub struct TouchArgs {
    #[arg(long, value_name = "WHO", conflicts_with = "force")]
    pub player: Option<String>,
    #[arg(long, num_args = 1.., value_name = "FORCE")]
    pub force: Vec<String>,
}

/// Will it buzz, and what if.
#[derive(Debug, Args)]
pub struct ClearanceArgs {
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub relief: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "STRING=LENGTH")]
    pub saddle: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub action: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub gauges: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "NOTE")]
    pub notes: Vec<String>,
    #[command(flatten)]
    pub touch: TouchArgs,
    #[arg(long)]
    pub away: bool,
    #[arg(long, num_args = 1.., default_values = ["100 mm"], value_name = "LENGTH")]
    pub plucked_at: Vec<String>,
}

/// Why a note buzzes.
#[derive(Debug, Args)]
pub struct WhyBuzzArgs {
    pub string: String,
    pub frets: String,
    #[arg(long, num_args = 1.., value_name = "FRET")]
    pub rocks: Vec<u8>,
    #[arg(long, num_args = 1.., value_name = "FRET")]
    pub level: Vec<u8>,
    #[arg(long, value_name = "WORD")]
    pub capo: Option<CapoWord>,
    #[command(flatten)]
    pub touch: TouchArgs,
}

/// What a capo at fret 1 does to the buzz of an open string.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum CapoWord {
    /// It is gone.
    Clean,
    /// It is still there.
    Buzzes,
}

/// What other strings or another tuning will do.
#[derive(Debug, Args)]
pub struct BeforeStringsArgs {
    #[arg(
        long,
        num_args = 1..,
        value_name = "LENGTH",
        required_unless_present_any = ["notes", "pack"],
        conflicts_with = "pack"
    )]
    pub gauges: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "NOTE")]
    pub notes: Vec<String>,
    #[arg(long, value_name = "NAME")]
    pub pack: Option<String>,
    #[command(flatten)]
    pub touch: TouchArgs,
}
