//! Options of the questions about neck, gaps, pickups and clearance.

use clap::Args;

/// The neck under one string.
#[derive(Debug, Clone, Default, Args)]
pub struct NeckArgs {
    /// Scale length [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    /// How many frets [default: the instrument's]
    #[arg(long, value_name = "COUNT")]
    pub frets: Option<usize>,
    /// Fret where the neck stops bending [default: the instrument's, else the fourth from the last]
    #[arg(long, value_name = "FRET")]
    pub joint: Option<f64>,
    /// By how many frets that may be wrong [default: the instrument's, else 2; 0 with --joint]
    #[arg(long, value_name = "FRETS")]
    pub joint_within: Option<f64>,
    /// Which string of the instrument; 1 is the highest [default: 1]
    #[arg(long, value_name = "NUMBER")]
    pub string: Option<u8>,
    /// How far the saddle stands beyond the scale length [default: 0 mm]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub compensation: Vec<String>,
}

/// Where a gap is read.
#[derive(Debug, Clone, Default, Args)]
pub struct GapWay {
    /// Fret at which the string is stopped; 0 is open [default: 1]
    #[arg(long, value_name = "FRET")]
    pub stopped: Option<usize>,
    /// Fret over which the gap is read [default: the last; open: 12]
    #[arg(long, value_name = "FRET")]
    pub over: Option<usize>,
}

/// A screw.
#[derive(Debug, Clone, Default, Args)]
pub struct TurnArgs {
    /// Thread: M3, #6-32, or its pitch such as 0.5 mm [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "THREAD")]
    pub thread: Vec<String>,
    /// What a clockwise turn does, if this instrument has shown it: raises, lowers
    #[arg(long, value_name = "WHAT")]
    pub clockwise: Option<String>,
}

/// Where frets and saddle lie.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway calc positions --scale 34 in --frets 24
  fallaway calc positions --scale 33 in 34 in 35 in --frets 24       fanned, highest string first")]
pub struct PositionsArgs {
    /// Scale length; for fanned frets one for each string, highest first
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    /// How many frets
    #[arg(long, value_name = "COUNT")]
    pub frets: Option<usize>,
    /// How far each saddle stands beyond the scale length: one, or one a string
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub compensation: Vec<String>,
}

/// What another way of reading shows.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway calc convert --scale 34 in --frets 24 --joint 20 --relief 0.25 mm --action 2 mm --nut 0.5 mm
  fallaway calc convert -i \"blue five\" --string 4 --to 5/20

Action is taken as stopped at 1 over the last fret unless --stopped and --over say otherwise.")]
pub struct ConvertArgs {
    /// The neck.
    #[command(flatten)]
    pub neck: NeckArgs,
    /// Relief read [default: the instrument's latest]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub relief: Vec<String>,
    /// Fret at which the relief was read [default: where it is largest]
    #[arg(long, value_name = "FRET")]
    pub relief_at: Option<usize>,
    /// Action read [default: the instrument's latest]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub action: Vec<String>,
    /// Where the action was read.
    #[command(flatten)]
    pub way: GapWay,
    /// Gap over fret 1, open [default: the instrument's latest]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub nut: Vec<String>,
    /// The nut gap was read stopped at 3
    #[arg(long)]
    pub nut_at_3: bool,
    /// Tool of the action reading, for its uncertainty: rule 1/64
    #[arg(long, num_args = 1.., value_name = "TOOL")]
    pub tool: Vec<String>,
    /// Tool of the relief and nut readings: feeler thou
    #[arg(long, num_args = 1.., value_name = "TOOL")]
    pub relief_tool: Vec<String>,
    /// More ways to show: stopped/over, such as 0/12 or 5/20
    #[arg(long, num_args = 1.., value_name = "WAY")]
    pub to: Vec<String>,
}

/// How far a saddle has to move.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  fallaway calc saddle-move --scale 34 in --frets 24 --now 6/64 --want 5/64 --tool rule 1/64 --thread M3")]
pub struct SaddleMoveArgs {
    /// The neck.
    #[command(flatten)]
    pub neck: NeckArgs,
    /// Gap read now [default: the instrument's latest action of the string]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub now: Vec<String>,
    /// Gap wanted
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub want: Vec<String>,
    /// Where it is read.
    #[command(flatten)]
    pub way: GapWay,
    /// The height screw.
    #[command(flatten)]
    pub screw: TurnArgs,
    /// Tool of the reading: rule 1/64
    #[arg(long, num_args = 1.., value_name = "TOOL")]
    pub tool: Vec<String>,
}

/// What a change of relief does.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  fallaway calc relief-change --scale 34 in --frets 24 --joint 24 --change 0.10 mm")]
pub struct ReliefChangeArgs {
    /// The neck.
    #[command(flatten)]
    pub neck: NeckArgs,
    /// Change of relief; more relief is above zero
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub change: Vec<String>,
    /// Fret at which relief is read [default: where it is largest]
    #[arg(long, value_name = "FRET")]
    pub relief_at: Option<usize>,
    /// More ways to show: stopped/over, such as 5/20
    #[arg(long, num_args = 1.., value_name = "WAY")]
    pub to: Vec<String>,
}

/// Does a straight edge rock?
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  fallaway calc rocking --scale 650 mm --heights 0 0 0 0.1 0 0 0 mm

Heights of the crowns over any straight line along the board, from fret 1 on.")]
pub struct RockingArgs {
    /// Scale length [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    /// Heights of the crowns, fret 1 first
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub heights: Vec<String>,
    /// What counts as rocking
    #[arg(long, num_args = 1.., default_values = ["0.03 mm"], value_name = "LENGTH")]
    pub tolerance: Vec<String>,
}

/// A wedge in the neck pocket.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway calc shim --scale 25.5 in --saddle-move -2.4 mm --pocket-edge 405 mm --pocket-length 76 mm
  fallaway calc shim --scale 25.5 in --thickness 0.5 mm --pocket-edge 405 mm --pocket-length 76 mm

Only for a bolted neck, and only with slack strings.")]
pub struct ShimArgs {
    /// Scale length [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    /// The saddle move that the wedge replaces; below zero lowers the action
    #[arg(long, num_args = 1.., value_name = "LENGTH", required_unless_present = "thickness")]
    pub saddle_move: Vec<String>,
    /// Thickness of a wedge, to ask what it does
    #[arg(long, num_args = 1.., value_name = "LENGTH", conflicts_with = "saddle_move")]
    pub thickness: Vec<String>,
    /// The thick end of that wedge points to the nut
    #[arg(long, requires = "thickness")]
    pub toward_nut: bool,
    /// From the nut to the edge of the pocket nearest the nut
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub pocket_edge: Vec<String>,
    /// Length of the pocket
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub pocket_length: Vec<String>,
}

/// Gap between string and pickup.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  fallaway calc pickup --on bass --side bass --gap 1.4 mm --want 2.5 mm --thread 0.5 mm

Read with the string stopped at the last fret.")]
pub struct PickupArgs {
    /// bass or guitar
    #[arg(long, value_name = "KIND")]
    pub on: Option<String>,
    /// Side of the pickup: bass or treble
    #[arg(long, value_name = "SIDE")]
    pub side: String,
    /// Gap read
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub gap: Vec<String>,
    /// The magnets are known to be weak or covered
    #[arg(long)]
    pub weak: bool,
    /// Gap wanted
    #[arg(long, num_args = 1.., value_name = "LENGTH", requires = "thread")]
    pub want: Vec<String>,
    /// Thread of the height screw
    #[arg(long, num_args = 1.., value_name = "THREAD")]
    pub thread: Vec<String>,
}

/// Will it buzz?
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway calc clearance --scale 34 in --frets 24 --relief 0.1 mm --action 1/16 5/64 \\
      --notes A1 E1 --tensions 170 155 N --force 1.5 N
  fallaway calc clearance -i \"blue five\" --force 1.5 N
  fallaway calc clearance -i \"blue five\" --force 2 N --relief 0.2 mm        what if

Strings are given highest first. The answer is a calibration with assumed tension, stiffness and
touch, not a measurement: it ranks, it does not decide.")]
pub struct ClearanceArgs {
    /// The neck.
    #[command(flatten)]
    pub neck: NeckArgs,
    /// Relief, where it is largest [default: the instrument's latest]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub relief: Vec<String>,
    /// Action of each string, highest first [default: the instrument's latest]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub action: Vec<String>,
    /// Where the action is read.
    #[command(flatten)]
    pub way: GapWay,
    /// Notes, highest string first [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "NOTE")]
    pub notes: Vec<String>,
    /// Tension of each string, highest first [default: from the instrument's gauges]
    #[arg(long, num_args = 1.., value_name = "FORCE")]
    pub tensions: Vec<String>,
    /// Inharmonicity of each open string, highest first [default: assumed from the note]
    #[arg(long, num_args = 1.., value_name = "NUMBER")]
    pub inharmonicity: Vec<String>,
    /// Vertical force of the finger or pick
    #[arg(long, num_args = 1.., default_values = ["1.5 N"], value_name = "FORCE")]
    pub force: Vec<String>,
    /// The string is pulled away from the board, not pushed toward it
    #[arg(long)]
    pub away: bool,
    /// Where it is plucked, from the saddle
    #[arg(long, num_args = 1.., default_values = ["100 mm"], value_name = "LENGTH")]
    pub plucked_at: Vec<String>,
}
