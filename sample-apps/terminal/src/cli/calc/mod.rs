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
    CalcClearanceArgs, ConvertArgs, GapWay, NeckArgs, PickupArgs, PositionsArgs, ReliefChangeArgs,
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
    disable_help_subcommand = true
)]
pub struct CalcArgs {
    #[command(subcommand)]
    pub question: Question,
}

/// The questions.
#[derive(Debug, Subcommand)]
pub enum Question {
    Positions(PositionsArgs),
    Convert(ConvertArgs),
    SaddleMove(SaddleMoveArgs),
    ReliefChange(ReliefChangeArgs),
    Rocking(RockingArgs),
    CrownDrop(CrownDropArgs),
    Hump(HumpArgs),
    SaddleHeights(SaddleHeightsArgs),
    UndersideRadius(UndersideArgs),
    Sideways(SidewaysArgs),
    Bend(BendArgs),
    SaddleRadius(SaddleRadiusArgs),
    Spacing(SpacingArgs),
    Screw(ScrewArgs),
    Bridge(BridgeArgs),
    Floating(FloatingArgs),
    Blank(BlankArgs),
    Shim(ShimArgs),
    Pitch(PitchArgs),
    Tension(TensionArgs),
    Set(SetArgs),
    Retune(RetuneArgs),
    Stress(StressArgs),
    Stiffness(StiffnessArgs),
    Drift(DriftArgs),
    Clearance(CalcClearanceArgs),
    Intonation(IntonationArgs),
    SetBack(SetBackArgs),
    Pickup(PickupArgs),
    Moisture {
        #[arg(required = true, value_name = "CLIMATE")]
        air: Vec<String>,
    },
}
