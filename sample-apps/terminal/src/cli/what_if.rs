//! Options of the questions about an instrument before anything is turned.

use clap::Args;

/// How hard it is played.
#[derive(Debug, Args)]
pub struct TouchArgs {
    /// Whose touch, as learned from clean numbers and buzz notes [default: the only one that was
    /// learned, else 1.5 N]
    #[arg(long, value_name = "WHO", conflicts_with = "force")]
    pub player: Option<String>,
    /// Vertical force of the finger or pick instead
    #[arg(long, num_args = 1.., value_name = "FORCE")]
    pub force: Vec<String>,
}

/// Will it buzz, and what if.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway clearance                              as it was read
  fallaway clearance --relief 0.20 mm             the rod turned, saddles untouched
  fallaway clearance --saddle 4=+0.3mm all=-0.1mm saddles raised or lowered
  fallaway clearance --action 5/64 5/64 6/64 6/64 other actions, highest string first
  fallaway clearance --gauges 0.040 0.060 0.080 0.100 in
  fallaway clearance --notes 4=D1 --player player

It goes by the latest relief and action. What-ifs go together: relief first, then saddles, then
actions. The answer is a calibration, not a measurement: it ranks, it does not decide.")]
pub struct ClearanceArgs {
    /// What if: this relief, saddles untouched
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub relief: Vec<String>,
    /// What if: saddles raised (+) or lowered (-): 4=+0.3mm, all=-0.1mm
    #[arg(long, num_args = 1.., value_name = "STRING=LENGTH")]
    pub saddle: Vec<String>,
    /// What if: these actions, highest string first, or one for all
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub action: Vec<String>,
    /// What if: other gauges, highest string first; or one: 5=0.135 in
    #[arg(long, num_args = 1.., value_name = "LENGTH")]
    pub gauges: Vec<String>,
    /// What if: other notes, highest string first; or one: 4=D1
    #[arg(long, num_args = 1.., value_name = "NOTE")]
    pub notes: Vec<String>,
    /// How hard it is played.
    #[command(flatten)]
    pub touch: TouchArgs,
    /// The string is pulled away from the board, not pushed toward it
    #[arg(long)]
    pub away: bool,
    /// Where it is plucked, from the saddle
    #[arg(long, num_args = 1.., default_values = ["100 mm"], value_name = "LENGTH")]
    pub plucked_at: Vec<String>,
}

/// Why a note buzzes.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  fallaway why-buzz 4 3-6
  fallaway why-buzz 1 open --force 2 N

It goes by the latest relief and action. The ranking comes from a model with the player's touch as
learned, or an assumed one: the reading that each cause names decides.")]
pub struct WhyBuzzArgs {
    /// Which string, by its number
    pub string: String,
    /// At which frets: 3, 3-6, open
    pub frets: String,
    /// How hard it is played.
    #[command(flatten)]
    pub touch: TouchArgs,
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
    /// How hard it is played, for the action wanted.
    #[command(flatten)]
    pub touch: TouchArgs,
}
