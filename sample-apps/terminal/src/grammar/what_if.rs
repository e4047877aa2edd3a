//! Options of the questions about an instrument before anything is turned.

use clap::Args;

/// Why a note buzzes.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway why-buzz 4 3-6
  fallaway why-buzz 1 open --force 2 N

It goes by the latest relief and action. The ranking comes from a model with an assumed touch: the
reading that each cause names decides.")]
pub struct WhyBuzzArgs {
    /// Which string, by its number
    pub string: String,
    /// At which frets: 3, 3-6, open
    pub frets: String,
    /// Vertical force of the finger or pick
    #[arg(long, num_args = 1.., default_values = ["1.5 N"], value_name = "FORCE")]
    pub force: Vec<String>,
}

/// What other strings or another tuning will do.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway before-strings --gauges 0.040 0.060 0.080 0.100 in
  fallaway before-strings --notes 4=D1

Nothing is stored: `fallaway strings` enters a change once it is done.")]
pub struct BeforeStringsArgs {
    /// Other gauges, highest string first; or one: 5=0.135 in
    #[arg(long, num_args = 1.., value_name = "LENGTH", required_unless_present = "notes")]
    pub gauges: Vec<String>,
    /// Other notes, highest string first; or one: 4=D1
    #[arg(long, num_args = 1.., value_name = "NOTE")]
    pub notes: Vec<String>,
    /// Vertical force of the finger or pick, for the action wanted
    #[arg(long, num_args = 1.., default_values = ["1.5 N"], value_name = "FORCE")]
    pub force: Vec<String>,
}
