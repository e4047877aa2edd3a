//! Options of the commands that enter something.

use std::path::PathBuf;

use clap::{Args, Subcommand, ValueEnum};
use fallaway::record::StoppedBy;

use crate::parse::minus;

/// What can be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ReadWhat {
    Relief,
    FallAway,
    Action,
    Nut,
    Gap,
    Pitch,
    Intonation,
    Spacing,
    NutSpacing,
    Pickup,
    Bridge,
    BridgeTail,
}

/// Which way something is read, where that differs from the usual way.
#[derive(Debug, Clone, Default, Args)]
pub struct WayArgs {
    #[arg(long, value_name = "FRET")]
    pub stopped: Option<u8>,
    #[arg(long, value_name = "FRET")]
    pub over: Option<u8>,
    #[arg(long, conflicts_with = "stopped")]
    pub open: bool,
    #[arg(long, value_name = "FRET")]
    pub fret: Option<u8>,
    #[arg(long, value_name = "FRET", num_args = 2, value_names = ["FROM", "TO"])]
    pub between: Vec<u8>,
    #[arg(long, value_name = "FRET")]
    pub at_fret: Option<u8>,
    #[arg(long, value_name = "NUMBER")]
    pub pickup: Option<u8>,
    #[arg(long, value_enum, hide_possible_values = true)]
    pub side: Option<SideWord>,
}

impl WayArgs {
    /// Whether nothing is said of the way.
    pub fn is_usual(&self) -> bool {
        !self.open
            && self.stopped.is_none()
            && self.over.is_none()
            && self.between.is_empty()
            && self.at_fret.is_none()
            && self.fret.is_none()
    }
}

/// A side of the instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SideWord {
    Bass,
    Treble,
}

/// Enter readings.
#[derive(Debug, Args)]
pub struct ReadArgs {
    #[arg(value_enum, hide_possible_values = true)]
    pub what: ReadWhat,
    #[arg(required = true, value_name = "VALUE")]
    pub values: Vec<String>,
    #[arg(long, value_name = "TOOL")]
    pub tool: Option<String>,
    #[command(flatten)]
    pub way: WayArgs,
    #[arg(long, value_name = "STRINGS")]
    pub strings: Option<String>,
    #[arg(long, conflicts_with = "strings")]
    pub low_first: bool,
    #[arg(long, conflicts_with_all = ["strings", "low_first"])]
    pub high_first: bool,
    #[arg(long)]
    pub as_found: bool,
    #[arg(long, conflicts_with = "as_found")]
    pub as_left: bool,
    #[arg(long, value_enum, hide_possible_values = true)]
    pub posture: Option<PostureWord>,
    #[arg(long)]
    pub capo: bool,
    #[arg(long, conflicts_with = "capo")]
    pub finger: bool,
    #[arg(long, value_name = "MINUTES")]
    pub tuned: Option<u16>,
}

impl ReadArgs {
    /// What stopped the string, if that is said.
    pub fn stopped_by(&self) -> Option<StoppedBy> {
        stopped_by(self.capo, self.finger)
    }
}

fn stopped_by(capo: bool, finger: bool) -> Option<StoppedBy> {
    match (capo, finger) {
        (true, _) => Some(StoppedBy::Capo),
        (_, true) => Some(StoppedBy::Finger),
        _ => None,
    }
}

/// How an instrument is usually read.
#[derive(Debug, Args)]
pub struct UsualArgs {
    #[arg(long, value_enum, hide_possible_values = true)]
    pub posture: Option<PostureWord>,
    #[arg(long)]
    pub capo: bool,
    #[arg(long, conflicts_with = "capo")]
    pub finger: bool,
    #[arg(long, value_name = "FREQUENCY")]
    pub a4: Option<String>,
    #[arg(long)]
    pub none: bool,
}

impl UsualArgs {
    /// What stops the string, if that is said.
    pub fn stopped_by(&self) -> Option<StoppedBy> {
        stopped_by(self.capo, self.finger)
    }
}

/// How the instrument lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PostureWord {
    Playing,
    Back,
    Rest,
    Side,
    Hanging,
}

/// The order in which strings are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum StringOrder {
    HighFirst,
    LowFirst,
}

/// Name the tool in your hand.
#[derive(Debug, Args)]
pub struct ToolArgs {
    pub tool: Vec<String>,
    #[arg(long = "for", value_enum, value_name = "WHAT", value_delimiter = ',')]
    pub readings: Vec<ReadWhat>,
    #[arg(long, conflicts_with = "tool")]
    pub none: bool,
    #[arg(long)]
    pub only: bool,
}

/// Enter what was adjusted.
#[derive(Debug, Args)]
pub struct DidArgs {
    #[arg(required = true, value_name = "WORD")]
    pub words: Vec<String>,
    #[arg(long, value_name = "TEXT", value_parser = minus::text)]
    pub note: Option<String>,
}

/// Enter what the plan proposes now as done.
#[derive(Debug, Args)]
pub struct DoneArgs {
    #[arg(value_name = "VALUE")]
    pub values: Vec<String>,
    #[arg(long, value_name = "STRING")]
    pub string: Option<String>,
    #[arg(long, value_name = "SETUP")]
    pub setup: Option<String>,
}

/// A prompt at the bench.
#[derive(Debug, Args)]
pub struct BenchArgs {
    #[arg(long)]
    pub enter: bool,
}

/// Enter that what the plan proposes now could not be done.
#[derive(Debug, Args)]
pub struct CannotArgs {
    #[arg(value_parser = minus::text)]
    pub reason: String,
    #[arg(long, value_name = "STRING")]
    pub string: Option<String>,
    #[arg(long, value_name = "SETUP")]
    pub setup: Option<String>,
}

/// Enter that the strings were tuned.
#[derive(Debug, Args)]
pub struct TunedArgs {
    pub changed: Vec<String>,
    #[arg(long, value_name = "TEXT", value_parser = minus::text)]
    pub note: Option<String>,
}

/// Enter a change of strings.
#[derive(Debug, Args)]
pub struct StringsArgs {
    pub set: Option<String>,
    #[arg(long, value_name = "NAME", conflicts_with_all = ["set", "only", "gauges"])]
    pub pack: Option<String>,
    #[arg(long, value_name = "STRINGS")]
    pub only: Option<String>,
    #[arg(long, value_name = "GAUGE", num_args = 1..)]
    pub gauges: Vec<String>,
    #[arg(long, value_name = "TEXT", value_parser = minus::text)]
    pub note: Option<String>,
}

/// Enter temperature and humidity.
#[derive(Debug, Args)]
pub struct ClimateArgs {
    #[arg(required = true, value_name = "CLIMATE")]
    pub air: Vec<String>,
    #[arg(long)]
    pub place: Option<String>,
    #[arg(long, value_name = "HOURS")]
    pub hours: Option<u32>,
}

/// Note where it buzzes.
#[derive(Debug, Args)]
pub struct BuzzArgs {
    pub string: String,
    pub frets: String,
    #[arg(value_parser = minus::text)]
    pub note: Option<String>,
}

/// Note what was found at a fret.
#[derive(Debug, Args)]
pub struct FretArgs {
    #[arg(value_name = "FRETS")]
    pub fret: Option<String>,
    #[arg(value_name = "WORD", requires = "fret")]
    pub found: Vec<String>,
    #[arg(long, value_name = "STRINGS", requires = "fret")]
    pub strings: Option<String>,
    #[arg(long, value_name = "TEXT", value_parser = minus::text, requires = "fret")]
    pub note: Option<String>,
    #[arg(long, value_name = "LENGTH", num_args = 3.., conflicts_with = "fret")]
    pub heights: Vec<String>,
}

/// Note anything else.
#[derive(Debug, Args)]
pub struct RemarkArgs {
    #[arg(value_parser = minus::text)]
    pub text: String,
    #[arg(long, value_name = "ENTRY")]
    pub replaces: Option<String>,
}

/// Bring a table in.
#[derive(Debug, Args)]
pub struct ImportArgs {
    pub file: PathBuf,
    #[arg(long)]
    pub dry_run: bool,
    #[arg(long, value_name = "HEADING")]
    pub ignore: Vec<String>,
}

/// Begin or end a visit.
#[derive(Debug, Subcommand)]
pub enum VisitAction {
    Begin {
        #[arg(value_parser = minus::text)]
        purpose: Option<String>,
    },
    End,
}
