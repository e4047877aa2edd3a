//! Options of the questions that need no record: numbers in, numbers out.
//!
//! Every option takes its value in the free forms of readings ("34 in", "5/64", "12 thou"), so
//! options hold the words as they were typed.

mod across;
mod heights;
mod strings;

use clap::{Args, Subcommand};

pub use across::{
    BendArgs, BlankArgs, BoardArgs, BridgeArgs, CrownDropArgs, FloatingArgs, HumpArgs,
    SaddleHeightsArgs, SaddleRadiusArgs, ScrewArgs, SidewaysArgs, SpacingArgs, UndersideArgs,
};
pub use heights::{
    ClearanceArgs, ConvertArgs, GapWay, NeckArgs, PickupArgs, PositionsArgs, ReliefChangeArgs,
    RockingArgs, SaddleMoveArgs, ShimArgs, TurnArgs,
};
pub use strings::{
    DriftArgs, IntonationArgs, MakeArgs, PitchArgs, RetuneArgs, SetArgs, SetBackArgs,
    StiffnessArgs, StressArgs, TensionArgs,
};

/// A question.
#[derive(Debug, Args)]
#[command(
    subcommand_required = true,
    arg_required_else_help = true,
    disable_help_subcommand = true,
    after_help = "\
Examples:
  fallaway calc saddle-move --scale 34 in --frets 24 --now 6/64 --want 5/64 --thread M3
  fallaway calc tension --note E1 --scale 34 in --gauge 0.105 in
  fallaway calc clearance -i \"blue five\" --force 1.5 N

Lengths are taken as at the bench: 34 in, 5/64, 12 thou, 0.3 mm. What is not given comes from the
facts and latest readings of the instrument: the one named with -i, else the only one of this device;
the answer says so. Nothing is stored."
)]
pub struct CalcArgs {
    /// Which question.
    #[command(subcommand)]
    pub question: Question,
}

/// The questions.
#[derive(Debug, Subcommand)]
pub enum Question {
    /// Where frets and saddle lie
    Positions(PositionsArgs),
    /// What another way of reading shows: relief, gaps, nut
    Convert(ConvertArgs),
    /// How far a saddle has to move for a wanted change
    SaddleMove(SaddleMoveArgs),
    /// What a change of relief does to every gap
    ReliefChange(ReliefChangeArgs),
    /// Does a straight edge rock, and on which crown
    Rocking(RockingArgs),
    /// How far the board falls away from its middle
    CrownDrop(CrownDropArgs),
    /// The hump that an arched board makes under each string
    Hump(HumpArgs),
    /// Saddle heights for equal or wanted gaps over an arched board
    SaddleHeights(SaddleHeightsArgs),
    /// The radius through the undersides of the strings, from gaps read
    UndersideRadius(UndersideArgs),
    /// What moving a saddle sideways does to its gap
    Sideways(SidewaysArgs),
    /// What is left over the frets in a bend
    Bend(BendArgs),
    /// The board's radius carried on to the saddle
    SaddleRadius(SaddleRadiusArgs),
    /// Where strings lie across nut or bridge
    Spacing(SpacingArgs),
    /// Turns for a height, height for turns, threads
    Screw(ScrewArgs),
    /// Which screws of a bridge to turn for wanted heights
    Bridge(BridgeArgs),
    /// What one string does to a bridge on springs
    Floating(FloatingArgs),
    /// What comes off a fixed saddle
    Blank(BlankArgs),
    /// A wedge in the neck pocket
    Shim(ShimArgs),
    /// Note, frequency, cents
    Pitch(PitchArgs),
    /// Tension of a string
    Tension(TensionArgs),
    /// Tension of a set, and of another beside it
    Set(SetArgs),
    /// What another tuning does to a string's tension
    Retune(RetuneArgs),
    /// Does a plain string bear the pitch
    Stress(StressArgs),
    /// How stiff a string is: inharmonicity
    Stiffness(StiffnessArgs),
    /// How pitch follows saddle and temperature
    Drift(DriftArgs),
    /// Will it buzz: margins, lowest clean action, best relief, touch
    Clearance(ClearanceArgs),
    /// Cents read into saddle moves
    Intonation(IntonationArgs),
    /// Set-back of saddle and nut before a string is on
    SetBack(SetBackArgs),
    /// Gap between string and pickup
    Pickup(PickupArgs),
    /// How moist wood becomes in given air
    #[command(after_help = "\
Example:
  fallaway calc moisture 21C 50%")]
    Moisture {
        /// Temperature and relative humidity
        #[arg(required = true)]
        air: Vec<String>,
    },
}
