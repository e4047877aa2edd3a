//! Options of the questions about strings and intonation.

use clap::Args;

/// How a string is made, or what its pack says.
#[derive(Debug, Clone, Default, Args)]
pub struct MakeArgs {
    /// Diameter over everything
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub gauge: Vec<String>,
    /// It is a plain wire of steel
    #[arg(long, requires = "gauge")]
    pub plain: bool,
    /// Diameter of the core, with --wraps
    #[arg(long, num_args = 1.., value_name = "LENGTH", requires = "wraps")]
    pub core: Vec<String>,
    /// Diameter of the winding wires, from the inside out
    #[arg(long, num_args = 1.., value_name = "LENGTH", requires = "core")]
    pub wraps: Vec<String>,
    /// Mass for length as printed: 2.215e-5 lb/in, 5.47 g/m
    #[arg(long, num_args = 1.., value_name = "MASS")]
    pub unit_weight: Vec<String>,
    /// Tension as printed: 155 N
    #[arg(long, num_args = 1.., value_name = "FORCE", requires_all = ["pack_note", "pack_scale"])]
    pub pack_tension: Vec<String>,
    /// Note for which that tension is printed
    #[arg(long, value_name = "NOTE")]
    pub pack_note: Option<String>,
    /// Scale for which that tension is printed
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub pack_scale: Vec<String>,
}

/// Note, frequency, cents.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway calc pitch E1
  fallaway calc pitch Bb0 --a4 442 Hz --fret 5
  fallaway calc pitch 41.5 Hz                        the nearest note, and cents from it")]
pub struct PitchArgs {
    /// Note or frequency
    #[arg(required = true)]
    pub pitch: Vec<String>,
    /// Reference pitch [default: the instrument's, else 440 Hz]
    #[arg(long, num_args = 1.., value_name = "FREQUENCY")]
    pub a4: Vec<String>,
    /// Stopped at this fret
    #[arg(long, default_value_t = 0, value_name = "FRET")]
    pub fret: u8,
}

/// Tension of a string.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway calc tension --note E4 --scale 25.5 in --unit-weight 2.215e-5 lb/in
  fallaway calc tension --note E1 --scale 34 in --core 0.024 in --wraps 0.0125 0.028 in
  fallaway calc tension --note E1 --scale 34 in --gauge 0.105 in")]
pub struct TensionArgs {
    /// Note or frequency
    #[arg(long, num_args = 1.., required = true, value_name = "NOTE")]
    pub note: Vec<String>,
    /// Scale length [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    /// The string.
    #[command(flatten)]
    pub make: MakeArgs,
    /// Pounds-force as older pack tables print them (with 386.4 in/s2)
    #[arg(long)]
    pub as_printed: bool,
}

/// Tension of a set.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway calc set --scale 34 in --notes G2 D2 A1 E1 --gauges 0.045 0.065 0.085 0.105 in
  fallaway calc set -i \"blue five\" --to-gauges 0.040 0.060 0.080 0.100 0.125 in
  fallaway calc set -i \"blue five\" --to-notes F2 C2 G1 D1 A0

Strings are given highest first. Gauges alone are taken as round-wound steel; --plain names those
that are plain.")]
pub struct SetArgs {
    /// Scale length: one, or one a string [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    /// Notes [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "NOTE")]
    pub notes: Vec<String>,
    /// Gauges [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub gauges: Vec<String>,
    /// Which strings are plain: 1,2,3 or 1-3
    #[arg(long, value_name = "STRINGS")]
    pub plain: Option<String>,
    /// Other notes, to compare with
    #[arg(long, num_args = 1.., value_name = "NOTE")]
    pub to_notes: Vec<String>,
    /// Other gauges, to compare with
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub to_gauges: Vec<String>,
}

/// Another tuning of one string.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  fallaway calc retune --from E1 --to D1 --scale 34 in --gauge 0.105 in")]
pub struct RetuneArgs {
    /// Note or frequency now
    #[arg(long, num_args = 1.., required = true, value_name = "NOTE")]
    pub from: Vec<String>,
    /// Note or frequency then
    #[arg(long, num_args = 1.., required = true, value_name = "NOTE")]
    pub to: Vec<String>,
    /// Scale length [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    /// The string.
    #[command(flatten)]
    pub make: MakeArgs,
}

/// Does a plain string bear it?
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  fallaway calc stress --note E4 --scale 648 mm")]
pub struct StressArgs {
    /// Note or frequency
    #[arg(long, num_args = 1.., required = true, value_name = "NOTE")]
    pub note: Vec<String>,
    /// Scale length [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    /// Largest stress that is accepted, in GPa
    #[arg(long, value_name = "GPA")]
    pub limit: Option<f64>,
}

/// How stiff a string is.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway calc stiffness --core 0.017 in --tension 189.9 N --scale 34 in
  fallaway calc stiffness --partial 10 --cents 100 --fret 12        from what a tuner shows")]
pub struct StiffnessArgs {
    /// Diameter of the core, or of a plain string
    #[arg(long, num_args = 1.., value_name = "LENGTH", required_unless_present = "partial")]
    pub core: Vec<String>,
    /// Tension
    #[arg(long, num_args = 1.., value_name = "FORCE", required_unless_present = "partial")]
    pub tension: Vec<String>,
    /// Scale length [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    /// A partial whose height was read
    #[arg(long, value_name = "NUMBER", requires = "cents", conflicts_with = "core")]
    pub partial: Option<u32>,
    /// By how many cents it stands above its place over the fundamental
    #[arg(long, value_name = "CENTS", requires = "partial")]
    pub cents: Option<f64>,
    /// Fret at which the string was stopped
    #[arg(long, default_value_t = 0, value_name = "FRET")]
    pub fret: u32,
}

/// How pitch follows saddle and temperature.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  fallaway calc drift --note E4 --scale 648 mm --anchored 760 mm

For a plain steel string that slides over nut and saddle without friction, tuner untouched.")]
pub struct DriftArgs {
    /// Note or frequency
    #[arg(long, num_args = 1.., required = true, value_name = "NOTE")]
    pub note: Vec<String>,
    /// Scale length [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    /// From tuner post to tailpiece [default: the scale length]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub anchored: Vec<String>,
}

/// Cents into saddle moves.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway calc intonation --scale 34 in --cents 12=4 --thread M3
  fallaway calc intonation --scale 648 mm --cents 3=2 5=2 7=3 12=4 --nut-too

Stopped note against the open string, read in the same minute.")]
pub struct IntonationArgs {
    /// Scale length [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    /// Readings: fret=cents, sharp above zero
    #[arg(long, num_args = 1.., required = true, value_name = "FRET=CENTS")]
    pub cents: Vec<String>,
    /// Move the nut too
    #[arg(long)]
    pub nut_too: bool,
    /// How far the saddle can still go toward the nut, and away from it
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub travel: Vec<String>,
    /// Thread of the screw that moves the saddle
    #[arg(long, num_args = 1.., value_name = "THREAD")]
    pub thread: Vec<String>,
}

/// Set-backs before a string is on.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway calc set-back --scale 650 mm --nut-height 1 mm --saddle-rise 4 mm --stretch-ratio 48.2 \\
      --stiffness 0.0019 --up-to 12
  fallaway calc set-back --scale 34 in --nut-height 0.5 mm --saddle-rise 3 mm --core 0.017 in \\
      --tension 189.9 N

Without --ends the answer is given for all three: which one a string follows dominates.")]
pub struct SetBackArgs {
    /// Scale length [default: the instrument's]
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub scale: Vec<String>,
    /// Height of the string over the crowns at the nut
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub nut_height: Vec<String>,
    /// By how much the saddle stands higher than the nut
    #[arg(long, num_args = 1.., required = true, value_name = "LENGTH")]
    pub saddle_rise: Vec<String>,
    /// Relative rise of tension for a relative stretch, EA/T
    #[arg(long, value_name = "NUMBER", requires = "stiffness", required_unless_present = "core")]
    pub stretch_ratio: Option<f64>,
    /// Stiffness ratio of the open string, sqrt(EI/T)/L
    #[arg(long, value_name = "NUMBER", requires = "stretch_ratio")]
    pub stiffness: Option<f64>,
    /// Diameter of a steel core, to work both out
    #[arg(long, num_args = 1.., value_name = "LENGTH", requires = "tension", conflicts_with = "stretch_ratio")]
    pub core: Vec<String>,
    /// Tension, with --core
    #[arg(long, num_args = 1.., value_name = "FORCE")]
    pub tension: Vec<String>,
    /// How the ends are held: pinned, clamped-pinned, clamped
    #[arg(long, value_name = "ENDS")]
    pub ends: Option<String>,
    /// The saddle alone brings this fret to zero
    #[arg(long, default_value_t = 12, value_name = "FRET", conflicts_with = "up_to")]
    pub for_fret: u32,
    /// Saddle and nut, nearest to zero for frets 1 to this one
    #[arg(long, value_name = "FRET")]
    pub up_to: Option<u32>,
}
