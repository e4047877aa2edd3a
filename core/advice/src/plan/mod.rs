//! The plan: what to turn, by how much, in which order and why.

mod board_end;
mod cautions;
mod context;
mod floating;
mod guards;
mod lifting;
mod order;
mod other_steps;
mod radius;
mod relief;
mod rules;
mod saddle;
mod settle;
mod shown;
mod step;

pub use guards::STOP_HIGH_MM;
pub use order::plan;
pub use settle::could_not;
pub use shown::screws_learned;
pub use step::{
    PartWay, Plan, PlanStep, RowOfUndersides, ScrewMove, SettledBy, SizeFrom, StepKind, StepRemark,
    StepVerdict, StepWork, StopReason, WhyLook, WhyNot,
};
