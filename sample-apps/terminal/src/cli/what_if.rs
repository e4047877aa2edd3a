//! Options of the questions about an instrument before anything is turned.

use clap::Args;

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
    #[command(flatten)]
    pub touch: TouchArgs,
}

/// What other strings or another tuning will do.
#[derive(Debug, Args)]
pub struct BeforeStringsArgs {
    #[arg(long, num_args = 1.., value_name = "LENGTH", required_unless_present = "notes")]
    pub gauges: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "NOTE")]
    pub notes: Vec<String>,
    #[command(flatten)]
    pub touch: TouchArgs,
}
