//! Options of the commands that enter something.

use clap::{Args, Subcommand, ValueEnum};

/// What can be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum What {
    /// Bow of the neck: gap under a straight line; a back-bow is below zero
    Relief,
    /// Height of the strings, the way you read it on this instrument
    Action,
    /// Gap over fret 1, stopped at 3
    Nut,
    /// Any gap between string and fret, with --stopped and --over
    Gap,
    /// Open strings against their notes, in cents
    Pitch,
    /// Stopped against open, in cents
    Intonation,
    /// String to string at the bridge, centre to centre
    Spacing,
    /// String to string at the nut, centre to centre
    NutSpacing,
    /// String to pickup, stopped at the last fret
    Pickup,
}

/// Which way something is read, where that differs from the usual way.
#[derive(Debug, Clone, Default, Args)]
pub struct WayArgs {
    /// Fret at which the string is stopped; 0 is open
    #[arg(long, value_name = "FRET")]
    pub stopped: Option<u8>,
    /// Fret over which the gap is read
    #[arg(long, value_name = "FRET")]
    pub over: Option<u8>,
    /// Read open: over 12 for action, over 1 at the nut
    #[arg(long, conflicts_with = "stopped")]
    pub open: bool,
    /// Fret of the stopped note, for intonation [default: 12]
    #[arg(long, value_name = "FRET")]
    pub fret: Option<u8>,
    /// Ends of the straight line, for relief [default: 1 and the last fret]
    #[arg(long, value_name = "FRET", num_args = 2, value_names = ["FROM", "TO"])]
    pub between: Vec<u8>,
    /// Fret at which relief is read [default: where the gap is largest]
    #[arg(long, value_name = "FRET")]
    pub at_fret: Option<u8>,
    /// Which pickup; 1 is nearest the bridge [default: 1]
    #[arg(long, value_name = "NUMBER")]
    pub pickup: Option<u8>,
    /// On which side, for relief and pickups: bass, treble
    #[arg(long, value_enum, hide_possible_values = true)]
    pub side: Option<SideWord>,
}

/// A side of the instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SideWord {
    /// The side of the lowest string
    Bass,
    /// The side of the highest string
    Treble,
}

/// Enter readings.
#[derive(Debug, Args)]
#[command(after_help = "\
Values, one for each string, the highest string first (or see --low-first):
  5 5 5 6            counted in marks of the tool: 64ths with `tool rule 1/64`
  5/64 3/32          fractions of an inch     2.5/32, 1 1/16 too
  1.98 mm  .078 in  12 thou  1,98             one unit at the end serves all
  =  the same as before      -  not read      <=0  the string touches
  \".010 goes, .012 not\"     between two feeler leaves, in quotes

Examples:
  fallaway read action 5 5 5 6 6
  fallaway read relief 0.35 mm
  fallaway read action 1.9 1.9 2.1 2.2 mm --stopped 0 --over 12
  fallaway read nut 6 6 7 7 8 --tool \"feeler 1 thou\"
  fallaway read intonation 2 -1 0 3 1 --fret 12
  fallaway read action 6 --strings 5 --as-left

What is read:
  relief       bow of the neck: gap under a straight line; a back-bow is below zero
  action       height of the strings: stopped at 1 over the last fret, or --open over 12
  nut          gap over fret 1, stopped at 3, or --open
  gap          any gap between string and fret: --stopped and --over
  pitch        open strings against their notes, in cents
  intonation   stopped note against the open one, in cents, at 12 or --fret
  spacing      string to string at the bridge, centre to centre; nut-spacing: at the nut
  pickup       string to pickup, stopped at the last fret; two values are the two sides")]
pub struct ReadArgs {
    /// What was read: relief, action, nut, gap, pitch, intonation, spacing, nut-spacing, pickup
    #[arg(value_enum, hide_possible_values = true)]
    pub what: What,
    /// The values, see below
    #[arg(required = true, value_name = "VALUE")]
    pub values: Vec<String>,
    /// With which tool, if not the one in your hand: "rule 1/64", "feeler 0.01 mm"
    #[arg(long, value_name = "TOOL")]
    pub tool: Option<String>,
    /// Which way it was read.
    #[command(flatten)]
    pub way: WayArgs,
    /// Which strings, in the order of the values: 4, 1,3, 5-2
    #[arg(long, value_name = "STRINGS")]
    pub strings: Option<String>,
    /// The first value is the lowest string
    #[arg(long, conflicts_with = "strings")]
    pub low_first: bool,
    /// The first value is the highest string
    #[arg(long, conflicts_with_all = ["strings", "low_first"])]
    pub high_first: bool,
    /// Read before anything was done
    #[arg(long)]
    pub as_found: bool,
    /// Final numbers
    #[arg(long, conflicts_with = "as_found")]
    pub as_left: bool,
    /// How the instrument lay: playing, back, rest (neck on a rest), side, hanging
    #[arg(long, value_enum, hide_possible_values = true)]
    pub posture: Option<PostureWord>,
    /// Stopped by a capo
    #[arg(long)]
    pub capo: bool,
    /// Stopped by a finger
    #[arg(long, conflicts_with = "capo")]
    pub finger: bool,
    /// Minutes since it was tuned
    #[arg(long, value_name = "MINUTES")]
    pub tuned: Option<u16>,
}

/// How the instrument lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PostureWord {
    /// As it is played
    Playing,
    /// On its back, neck free
    Back,
    /// On its back, the neck on a rest
    Rest,
    /// On its side
    Side,
    /// Hanging
    Hanging,
}

/// The order in which strings are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Order {
    /// The highest string first
    HighFirst,
    /// The lowest string first
    LowFirst,
}

/// Name the tool in your hand.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway tool rule 1/64
  fallaway tool rule 0.5 mm
  fallaway tool feeler 0.01 mm
  fallaway tool feeler 1 thou --for nut
  fallaway tool tuner 0.1 cent
  fallaway tool --none --for action

Kinds: rule, feeler, caliper, dial, tuner; then the step between two marks, leaves or digits.
A feeler serves relief and nut, a tuner pitch and intonation, the others the remaining lengths,
unless --for says otherwise.")]
pub struct ToolArgs {
    /// The tool: kind and step
    pub tool: Vec<String>,
    /// For which readings
    #[arg(long = "for", value_enum, value_name = "WHAT", value_delimiter = ',')]
    pub readings: Vec<What>,
    /// Put the tool down
    #[arg(long, conflicts_with = "tool")]
    pub none: bool,
}

/// Enter what was adjusted.
#[derive(Debug, Args)]
#[command(after_help = "\
Say what, which string, which way, how far; cw and ccw as seen from the tool.
  fallaway did rod 1/8 cw
  fallaway did saddle 4 down 1/4 ccw
  fallaway did saddles 1-3 up an eighth cw
  fallaway did saddle 3 back 0.5 mm          for intonation; back is away from the nut
  fallaway did saddle 2 toward bass 0.5 mm
  fallaway did nut 5 filed
  fallaway did post bass down 1/2 ccw
  fallaway did pickup 1 treble up 1/4 cw
  fallaway did neck shim 0.5 mm --note \"thick end toward the bridge\"
  fallaway did frets --note \"levelled 15 to 24\"

With cw or ccw noted, the record learns which way this instrument answers.")]
pub struct DidArgs {
    /// What, in words
    #[arg(required = true, value_name = "WORD")]
    pub words: Vec<String>,
    /// What was noticed
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

/// Enter that the strings were tuned.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway tuned
  fallaway tuned 5=A0                  string 5 is tuned to another note from now on")]
pub struct TunedArgs {
    /// Strings whose note changed: 5=A0
    pub changed: Vec<String>,
    /// A remark
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

/// Enter a change of strings.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway strings \"45-130, nickel\"
  fallaway strings --only 5 --note \"died\"
  fallaway strings --gauges 0.045 0.065 0.085 0.105 0.130 in

Caution: let the tension off slowly, wear eye protection, mind the cut ends.")]
pub struct StringsArgs {
    /// The set, in your words
    pub set: Option<String>,
    /// Only these strings: 4, 1,3
    #[arg(long, value_name = "STRINGS")]
    pub only: Option<String>,
    /// Their gauges, the highest string first
    #[arg(long, value_name = "GAUGE", num_args = 1..)]
    pub gauges: Vec<String>,
    /// A remark
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
}

/// Enter temperature and humidity.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway climate 21C 45%
  fallaway climate 38% --place case --hours 48")]
pub struct ClimateArgs {
    /// Temperature and relative humidity: 21C 45%
    #[arg(required = true, value_name = "AIR")]
    pub air: Vec<String>,
    /// Where: bench, case, stage
    #[arg(long)]
    pub place: Option<String>,
    /// Hours that the instrument has been there
    #[arg(long, value_name = "HOURS")]
    pub hours: Option<u32>,
}

/// Note where it buzzes.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway buzz 4 3-6 \"played hard, near the neck\"
  fallaway buzz 5 open")]
pub struct BuzzArgs {
    /// Which string, by its number
    pub string: String,
    /// At which frets: 3, 3-6, open
    pub frets: String,
    /// How it is played, what is heard
    pub note: Option<String>,
}

/// Note anything else.
#[derive(Debug, Args)]
pub struct RemarkArgs {
    /// The text
    pub text: String,
    /// Short name of the remark that this one corrects
    #[arg(long, value_name = "ENTRY")]
    pub replaces: Option<String>,
}

/// Begin or end a visit.
#[derive(Debug, Subcommand)]
pub enum VisitAction {
    /// Begin a visit
    Begin {
        /// What is wanted: the complaint, the playing style
        purpose: Option<String>,
    },
    /// End the visit
    End,
}
