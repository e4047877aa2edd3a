//! Options of the questions about the board, spacing, screws and bridges.

use clap::Args;

use super::heights::{GapWay, TurnArgs};

/// An arched board with its strings.
#[derive(Debug, Clone, Default, Args)]
pub struct BoardArgs {
    /// Scale length [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    /// How many frets [default: the instrument's]
    #[arg(long, value_name = "COUNT")]
    pub frets: Option<usize>,
    /// Radius; two for a compound board, at the nut and at the last fret; or flat
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub radius: Vec<String>,
    /// Frets at which two radii are given [default: 0, the nut, and the last]
    #[arg(long, num_args = 2, value_names = ["FRET", "FRET"])]
    pub radius_at: Vec<usize>,
    /// Outer strings at the nut, centre to centre
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub nut_spread: Vec<String>,
    /// Outer strings at the bridge, centre to centre
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub bridge_spread: Vec<String>,
    /// How many strings [default: the instrument's]
    #[arg(long, value_name = "COUNT")]
    pub strings: Option<usize>,
}

/// How far the board falls away.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  fallaway calc crown-drop --radius 9.5 in --offset 17.5 mm 21 mm")]
pub struct CrownDropArgs {
    /// Radius there [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub radius: Vec<String>,
    /// Offsets from the middle
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub offset: Vec<String>,
}

/// The hump under each string.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  fallaway calc hump --scale 25.5 in --frets 22 --radius 9.5 in --nut-spread 35 mm \\
      --bridge-spread 52.5 mm --strings 6")]
pub struct HumpArgs {
    /// The board.
    #[command(flatten)]
    pub board: BoardArgs,
}

/// Saddle heights over an arched board.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  fallaway calc saddle-heights --scale 34 in --frets 20 --radius 9.5 in --nut-spread 28.5 mm \\
      --bridge-spread 57 mm --strings 4 --gap 2 mm")]
pub struct SaddleHeightsArgs {
    /// The board.
    #[command(flatten)]
    pub board: BoardArgs,
    /// Wanted gap: one for all, or one a string, highest first
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub gap: Vec<String>,
    /// Where it is read.
    #[command(flatten)]
    pub way: GapWay,
}

/// The radius through the undersides.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  fallaway calc underside-radius --scale 25.5 in --frets 22 --radius 9.5 in --nut-spread 35 mm \\
      --bridge-spread 52.5 mm --gaps 4/64 4/64 5/64 5/64 6/64 6/64 --over 12 --tool rule 1/64")]
pub struct UndersideArgs {
    /// The board; as many strings as gaps.
    #[command(flatten)]
    pub board: BoardArgs,
    /// Gaps read, highest string first
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub gaps: Vec<String>,
    /// Fret over which they were read [default: the last]
    #[arg(long, value_name = "FRET")]
    pub over: Option<usize>,
    /// Tool of the readings: rule 1/64
    #[arg(long, num_args = 1.., value_name = "TOOL")]
    pub tool: Vec<String>,
}

/// A saddle moved sideways.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  fallaway calc sideways --scale 25.5 in --frets 22 --radius 9.5 in --nut-spread 35 mm \\
      --bridge-spread 52.5 mm --strings 6 --string 6 --shift -1 mm")]
pub struct SidewaysArgs {
    /// The board.
    #[command(flatten)]
    pub board: BoardArgs,
    /// Which string; 1 is the highest
    #[arg(long, value_name = "NUMBER")]
    pub string: usize,
    /// How far; away from the middle is above zero
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub shift: Vec<String>,
    /// Where the gap is read.
    #[command(flatten)]
    pub way: GapWay,
}

/// A bend.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  fallaway calc bend --scale 25.5 in --frets 22 --radius 254 mm --nut-spread 35 mm \\
      --bridge-spread 52.5 mm --strings 6 --string 1 --bent-at 15 --push 20 mm --gap 1.6 mm")]
pub struct BendArgs {
    /// The board.
    #[command(flatten)]
    pub board: BoardArgs,
    /// Which string; 1 is the highest
    #[arg(long, value_name = "NUMBER")]
    pub string: usize,
    /// Fret at which it is stopped for the bend
    #[arg(long, value_name = "FRET")]
    pub bent_at: usize,
    /// How far it is pushed there, toward the middle
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub push: Vec<String>,
    /// Action of the string, not bent
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub gap: Vec<String>,
    /// Where the action is read.
    #[command(flatten)]
    pub way: GapWay,
}

/// The radius at the saddle.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  fallaway calc saddle-radius --scale 34 in --frets 24 --radius 9 in 20 in --radius-at 1 24")]
pub struct SaddleRadiusArgs {
    /// The board.
    #[command(flatten)]
    pub board: BoardArgs,
}

/// Where strings lie across nut or bridge.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway calc spacing --width 42 mm --margins 3 mm --gauges 0.010 0.013 0.017 0.026 0.036 0.046 in
  fallaway calc spacing --width 70 mm --between 19 mm --gauges 0.045 0.065 0.085 0.105 in
  fallaway calc spacing --width 42 mm --margins 3 mm --gauges 1 1 1 mm --equal centres --found 4 20 38 mm

From the edge of the board next to the highest string.")]
pub struct SpacingArgs {
    /// Width of nut or board there
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub width: Vec<String>,
    /// From the board's edge to the edge of the outer string: one, or highest and lowest string
    #[arg(long, num_args = 1.., value_name = "LENGTH", required_unless_present_any = ["between", "found"])]
    pub margins: Vec<String>,
    /// Gauges, highest string first [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub gauges: Vec<String>,
    /// What is equal: gaps (between edges) or centres
    #[arg(long, default_value = "gaps", value_name = "WHAT")]
    pub equal: String,
    /// Distance between centres, laid around the middle
    #[arg(long, num_args = 1.., value_name = "LENGTH", conflicts_with = "margins")]
    pub between: Vec<String>,
    /// Centres as they lie now, from the edge
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub found: Vec<String>,
}

/// Turns and heights.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway calc screw --rise -0.25 mm --thread M3 --clockwise raises
  fallaway calc screw --turns 3/8 --thread #6-32
  fallaway calc screw --list")]
pub struct ScrewArgs {
    /// Wanted rise; below zero lowers
    #[arg(long, num_args = 1.., value_name = "LENGTH", required_unless_present_any = ["turns", "list"])]
    pub rise: Vec<String>,
    /// Turns made, to ask for the height: 3/8, 0.5, 1 1/4
    #[arg(long, num_args = 1.., value_name = "TURNS", conflicts_with = "rise")]
    pub turns: Vec<String>,
    /// The screw.
    #[command(flatten)]
    pub screw: TurnArgs,
    /// List the threads by name
    #[arg(long)]
    pub list: bool,
}

/// Which screws of a bridge to turn.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway calc bridge --own 2 --wanted -0.2 -0.2 -0.1 0.1 mm --thread M3
  fallaway calc bridge --posts -37 37 mm --places -26 -15.6 -5.2 5.2 15.6 26 mm \\
      --wanted 0.2 0.2 0.3 0.3 0.4 0.4 mm --thread M8

Heights at the saddle, highest string first; saddle-move gives them from gaps.")]
pub struct BridgeArgs {
    /// A saddle for each string, on so many screws [default: the instrument's bridge]
    #[arg(long, value_name = "SCREWS")]
    pub own: Option<usize>,
    /// Saddles that strings share, on a screw each: how many strings each carries, such as 2 2
    #[arg(long, num_args = 1.., value_name = "STRINGS", conflicts_with = "own")]
    pub shared: Vec<usize>,
    /// Two posts, by their places across the bridge
    #[arg(long, num_args = 1.., value_name = "LENGTH", conflicts_with_all = ["own", "shared"])]
    pub posts: Vec<String>,
    /// Places of the strings across the bridge, for --posts
    #[arg(long, num_args = 1.., value_name = "LENGTH", requires = "posts")]
    pub places: Vec<String>,
    /// Wanted rise of each string at its saddle, highest first
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub wanted: Vec<String>,
    /// The screws.
    #[command(flatten)]
    pub screw: TurnArgs,
}

/// A bridge on springs.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  fallaway calc floating --springs 3 --spring-rate 1.0 --spring-arm 25 mm --string-rates 12 12 12 12 12 12 \\
      --string-arm 12 mm --reach 12 mm --add 5 0 0 0 0 0 N

Stiffness in N/mm (for a string: modulus times area of the core over its length). Forces on each
string, highest first. Everything that is not said is taken as proportional (small changes).")]
pub struct FloatingArgs {
    /// How many springs
    #[arg(long, value_name = "COUNT")]
    pub springs: usize,
    /// Stiffness of one spring in N/mm
    #[arg(long, value_name = "N/MM")]
    pub spring_rate: f64,
    /// Springs from the pivot
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub spring_arm: Vec<String>,
    /// Stiffness of each string in N/mm
    #[arg(long, num_args = 1.., required = true, value_name = "N/MM")]
    pub string_rates: Vec<f64>,
    /// Strings over the pivot
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub string_arm: Vec<String>,
    /// Witness points behind the pivot
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub reach: Vec<String>,
    /// Tension that the pegs add to each string
    #[arg(long, num_args = 1.., value_name = "FORCE", required_unless_present = "want")]
    pub add: Vec<String>,
    /// Wanted change of each string's tension: what must the pegs, or the springs, do?
    #[arg(long, num_args = 1.., value_name = "FORCE", conflicts_with = "add")]
    pub want: Vec<String>,
}

/// What comes off a fixed saddle.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  fallaway calc blank --scale 25.5 in --frets 20 --stopped 0 --over 12 --change -0.25 -0.25 mm --spread 55 mm

Take nothing off on a predicted number: two readings that agree, by different tools, come first.")]
pub struct BlankArgs {
    /// Scale length [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    /// How many frets [default: the instrument's]
    #[arg(long, value_name = "COUNT")]
    pub frets: Option<usize>,
    /// Wanted change of the gap, highest string first; strings evenly spread
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub change: Vec<String>,
    /// Where the gap is read.
    #[command(flatten)]
    pub way: GapWay,
    /// Outer strings at the bridge, centre to centre [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub spread: Vec<String>,
}
