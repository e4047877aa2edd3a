//! Options of the questions about strings and intonation.

use clap::Args;

/// How a string is made, or what its pack says.
#[derive(Debug, Clone, Default, Args)]
pub struct MakeArgs {
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub gauge: Vec<String>,
    #[arg(long, requires = "gauge")]
    pub plain: bool,
    #[arg(long, requires = "gauge", conflicts_with = "plain")]
    pub wound: bool,
    #[arg(long, num_args = 1.., value_name = "LENGTH", requires = "wraps")]
    pub core: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH", requires = "core")]
    pub wraps: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "MASS")]
    pub unit_weight: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "FORCE", requires_all = ["pack_note", "pack_scale"])]
    pub pack_tension: Vec<String>,
    #[arg(long, value_name = "NOTE")]
    pub pack_note: Option<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub pack_scale: Vec<String>,
}

/// Note, frequency, cents.
#[derive(Debug, Args)]
pub struct PitchArgs {
    #[arg(required = true, value_name = "NOTE")]
    pub pitch: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "FREQUENCY")]
    pub a4: Vec<String>,
    #[arg(long, default_value_t = 0, value_name = "FRET")]
    pub fret: u8,
}

/// Tension of a string.
#[derive(Debug, Args)]
pub struct TensionArgs {
    #[arg(long, num_args = 1.., required = true, value_name = "NOTE")]
    pub note: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    #[command(flatten)]
    pub make: MakeArgs,
    #[arg(long)]
    pub as_printed: bool,
}

/// Tension of a set.
#[derive(Debug, Args)]
pub struct SetArgs {
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "NOTE")]
    pub notes: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub gauges: Vec<String>,
    #[arg(long, value_name = "STRINGS")]
    pub plain: Option<String>,
    #[arg(long, num_args = 1.., value_name = "NOTE")]
    pub to_notes: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub to_gauges: Vec<String>,
}

/// Another tuning of one string.
#[derive(Debug, Args)]
pub struct RetuneArgs {
    #[arg(long, num_args = 1.., required = true, value_name = "NOTE")]
    pub from: Vec<String>,
    #[arg(long, num_args = 1.., required = true, value_name = "NOTE")]
    pub to: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    #[command(flatten)]
    pub make: MakeArgs,
}

/// Does a plain string bear it?
#[derive(Debug, Args)]
pub struct StressArgs {
    #[arg(long, num_args = 1.., required = true, value_name = "NOTE")]
    pub note: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    #[arg(long, value_name = "GPA")]
    pub limit: Option<f64>,
}

/// How stiff a string is.
#[derive(Debug, Args)]
pub struct StiffnessArgs {
    #[arg(long, num_args = 1.., value_name = "LENGTH", required_unless_present = "partial")]
    pub core: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "FORCE", required_unless_present = "partial")]
    pub tension: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    #[arg(long, value_name = "NUMBER", requires = "cents", conflicts_with = "core")]
    pub partial: Option<u32>,
    #[arg(long, value_name = "CENTS", requires = "partial")]
    pub cents: Option<f64>,
    #[arg(long, default_value_t = 0, value_name = "FRET")]
    pub fret: u32,
}

/// How pitch follows saddle and temperature.
#[derive(Debug, Args)]
pub struct DriftArgs {
    #[arg(long, num_args = 1.., required = true, value_name = "NOTE")]
    pub note: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub anchored: Vec<String>,
}

/// Cents into saddle moves.
#[derive(Debug, Args)]
pub struct IntonationArgs {
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    #[arg(long, num_args = 1.., required = true, value_name = "FRET=CENTS")]
    pub cents: Vec<String>,
    #[arg(long)]
    pub nut_too: bool,
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub travel: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "THREAD")]
    pub thread: Vec<String>,
}

/// Set-backs before a string is on.
#[derive(Debug, Args)]
pub struct SetBackArgs {
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub nut_height: Vec<String>,
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub saddle_rise: Vec<String>,
    #[arg(long, value_name = "NUMBER", requires = "stiffness", required_unless_present = "core")]
    pub stretch_ratio: Option<f64>,
    #[arg(long, value_name = "NUMBER", requires = "stretch_ratio")]
    pub stiffness: Option<f64>,
    #[arg(long, num_args = 1.., value_name = "LENGTH", requires = "tension", conflicts_with = "stretch_ratio")]
    pub core: Vec<String>,
    #[arg(long, num_args = 1.., value_name = "FORCE")]
    pub tension: Vec<String>,
    #[arg(long, value_name = "ENDS")]
    pub ends: Option<String>,
    #[arg(long, default_value_t = 12, value_name = "FRET", conflicts_with = "up_to")]
    pub for_fret: u32,
    #[arg(long, value_name = "FRET")]
    pub up_to: Option<u32>,
}
