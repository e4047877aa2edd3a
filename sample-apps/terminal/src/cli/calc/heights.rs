//! Options of the questions about neck, gaps, pickups and clearance.

use clap::Args;

/// The neck under one string.
#[derive(Debug, Clone, Default, Args)]
pub struct NeckArgs {
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    #[arg(long, value_name = "COUNT")]
    pub frets: Option<usize>,
    #[arg(long, value_name = "FRET")]
    pub joint: Option<f64>,
    #[arg(long, value_name = "FRETS")]
    pub joint_within: Option<f64>,
    #[arg(long, value_name = "NUMBER")]
    pub string: Option<u8>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub compensation: Vec<String>,
}

/// Where a gap is read.
#[derive(Debug, Clone, Default, Args)]
pub struct GapWay {
    #[arg(long, value_name = "FRET")]
    pub stopped: Option<usize>,
    #[arg(long, value_name = "FRET")]
    pub over: Option<usize>,
}

/// A screw.
#[derive(Debug, Clone, Default, Args)]
pub struct TurnArgs {
    #[arg(long, num_args = 1.., value_name = "THREAD")]
    pub thread: Vec<String>,
    #[arg(long, value_name = "WHAT")]
    pub clockwise: Option<String>,
}

/// Where frets and saddle lie.
#[derive(Debug, Args)]
pub struct PositionsArgs {
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    #[arg(long, value_name = "COUNT")]
    pub frets: Option<usize>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub compensation: Vec<String>,
}

/// What another way of reading shows.
#[derive(Debug, Args)]
pub struct ConvertArgs {
    #[command(flatten)]
    pub neck: NeckArgs,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub relief: Vec<String>,
    #[arg(long, value_name = "FRET")]
    pub relief_at: Option<usize>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub action: Vec<String>,
    #[command(flatten)]
    pub way: GapWay,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub nut: Vec<String>,
    #[arg(long)]
    pub nut_at_3: bool,
    #[arg(long, num_args = 1.., value_name = "TOOL")]
    pub tool: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "TOOL")]
    pub relief_tool: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "WAY")]
    pub to: Vec<String>,
}

/// How far a saddle has to move.
#[derive(Debug, Args)]
pub struct SaddleMoveArgs {
    #[command(flatten)]
    pub neck: NeckArgs,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub now: Vec<String>,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub want: Vec<String>,
    #[command(flatten)]
    pub way: GapWay,
    #[command(flatten)]
    pub screw: TurnArgs,
    #[arg(long, num_args = 1.., value_name = "TOOL")]
    pub tool: Vec<String>,
}

/// What a change of relief does.
#[derive(Debug, Args)]
pub struct ReliefChangeArgs {
    #[command(flatten)]
    pub neck: NeckArgs,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub change: Vec<String>,
    #[arg(long, value_name = "FRET")]
    pub relief_at: Option<usize>,
    #[arg(long, num_args = 1.., value_name = "WAY")]
    pub to: Vec<String>,
}

/// Does a straight edge rock?
#[derive(Debug, Args)]
pub struct RockingArgs {
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub heights: Vec<String>,
    #[arg(long, num_args = 1.., default_values = ["0.03 mm"], value_name = "LENGTH")]
    pub tolerance: Vec<String>,
}

/// A wedge in the neck pocket.
#[derive(Debug, Args)]
pub struct ShimArgs {
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH", required_unless_present = "thickness")]
    pub saddle_move: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH", conflicts_with = "saddle_move")]
    pub thickness: Vec<String>,
    #[arg(long, requires = "thickness")]
    pub toward_nut: bool,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub pocket_edge: Vec<String>,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub pocket_length: Vec<String>,
}

/// Gap between string and pickup.
#[derive(Debug, Args)]
pub struct PickupArgs {
    #[arg(long, value_name = "KIND")]
    pub on: Option<String>,
    #[arg(long, value_name = "SIDE")]
    pub side: String,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub gap: Vec<String>,
    #[arg(long)]
    pub weak: bool,
    #[arg(long, num_args = 1.., value_name = "LENGTH", requires = "thread")]
    pub want: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "THREAD")]
    pub thread: Vec<String>,
}

/// Will it buzz?
#[derive(Debug, Args)]
pub struct CalcClearanceArgs {
    #[command(flatten)]
    pub neck: NeckArgs,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub relief: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub action: Vec<String>,
    #[command(flatten)]
    pub way: GapWay,
    #[arg(long, num_args = 1.., value_name = "NOTE")]
    pub notes: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "FORCE")]
    pub tensions: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "NUMBER")]
    pub inharmonicity: Vec<String>,
    #[arg(long, num_args = 1.., default_values = ["1.5 N"], value_name = "FORCE")]
    pub force: Vec<String>,
    #[arg(long)]
    pub away: bool,
    #[arg(long, num_args = 1.., default_values = ["100 mm"], value_name = "LENGTH")]
    pub plucked_at: Vec<String>,
}
