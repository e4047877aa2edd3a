//! Options of the questions about the board, spacing, screws and bridges.

use clap::Args;

use super::heights::{GapWay, TurnArgs};

/// An arched board with its strings.
#[derive(Debug, Clone, Default, Args)]
pub struct BoardArgs {
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    #[arg(long, value_name = "COUNT")]
    pub frets: Option<usize>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub radius: Vec<String>,
    #[arg(long, num_args = 2, value_names = ["FRET", "FRET"])]
    pub radius_at: Vec<usize>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub nut_spread: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub bridge_spread: Vec<String>,
    #[arg(long, value_name = "COUNT")]
    pub strings: Option<usize>,
}

/// How far the board falls away.
#[derive(Debug, Args)]
pub struct CrownDropArgs {
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub radius: Vec<String>,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub offset: Vec<String>,
}

/// The hump under each string.
#[derive(Debug, Args)]
pub struct HumpArgs {
    #[command(flatten)]
    pub board: BoardArgs,
}

/// Saddle heights over an arched board.
#[derive(Debug, Args)]
pub struct SaddleHeightsArgs {
    #[command(flatten)]
    pub board: BoardArgs,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub gap: Vec<String>,
    #[command(flatten)]
    pub way: GapWay,
}

/// The radius through the undersides.
#[derive(Debug, Args)]
pub struct UndersideArgs {
    #[command(flatten)]
    pub board: BoardArgs,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub gaps: Vec<String>,
    #[arg(long, value_name = "FRET")]
    pub over: Option<usize>,
    #[arg(long, num_args = 1.., value_name = "TOOL")]
    pub tool: Vec<String>,
}

/// A saddle moved sideways.
#[derive(Debug, Args)]
pub struct SidewaysArgs {
    #[command(flatten)]
    pub board: BoardArgs,
    #[arg(long, value_name = "NUMBER")]
    pub string: usize,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub shift: Vec<String>,
    #[command(flatten)]
    pub way: GapWay,
}

/// A bend.
#[derive(Debug, Args)]
pub struct BendArgs {
    #[command(flatten)]
    pub board: BoardArgs,
    #[arg(long, value_name = "NUMBER")]
    pub string: usize,
    #[arg(long, value_name = "FRET")]
    pub bent_at: usize,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub push: Vec<String>,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub gap: Vec<String>,
    #[command(flatten)]
    pub way: GapWay,
}

/// The radius at the saddle.
#[derive(Debug, Args)]
pub struct SaddleRadiusArgs {
    #[command(flatten)]
    pub board: BoardArgs,
}

/// Where strings lie across nut or bridge.
#[derive(Debug, Args)]
pub struct SpacingArgs {
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub width: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH", required_unless_present_any = ["between", "found"])]
    pub margins: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub gauges: Vec<String>,
    #[arg(long, default_value = "gaps", value_name = "WHAT")]
    pub equal: String,
    #[arg(long, num_args = 1.., value_name = "LENGTH", conflicts_with = "margins")]
    pub between: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub found: Vec<String>,
}

/// Turns and heights.
#[derive(Debug, Args)]
pub struct ScrewArgs {
    #[arg(long, num_args = 1.., value_name = "LENGTH", required_unless_present_any = ["turns", "list"])]
    pub rise: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "TURNS", conflicts_with = "rise")]
    pub turns: Vec<String>,
    #[command(flatten)]
    pub screw: TurnArgs,
    #[arg(long)]
    pub list: bool,
}

/// Which screws of a bridge to turn.
#[derive(Debug, Args)]
pub struct BridgeArgs {
    #[arg(long, value_name = "SCREWS")]
    pub own: Option<usize>,
    #[arg(long, num_args = 1.., value_name = "STRINGS", conflicts_with = "own")]
    pub shared: Vec<usize>,
    #[arg(long, num_args = 1.., value_name = "LENGTH", conflicts_with_all = ["own", "shared"])]
    pub posts: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH", requires = "posts")]
    pub places: Vec<String>,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub wanted: Vec<String>,
    #[command(flatten)]
    pub screw: TurnArgs,
}

/// A bridge on springs.
#[derive(Debug, Args)]
pub struct FloatingArgs {
    #[arg(long, value_name = "COUNT")]
    pub springs: usize,
    #[arg(long, value_name = "N/MM")]
    pub spring_rate: f64,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub spring_arm: Vec<String>,
    #[arg(long, num_args = 1.., required = true, value_name = "N/MM")]
    pub string_rates: Vec<f64>,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub string_arm: Vec<String>,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub reach: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "FORCE", required_unless_present = "want")]
    pub add: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "FORCE", conflicts_with = "add")]
    pub want: Vec<String>,
}

/// What comes off a fixed saddle.
#[derive(Debug, Args)]
pub struct BlankArgs {
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    #[arg(long, value_name = "COUNT")]
    pub frets: Option<usize>,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub change: Vec<String>,
    #[command(flatten)]
    pub way: GapWay,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub spread: Vec<String>,
}
