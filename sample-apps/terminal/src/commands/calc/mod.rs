//! The calculator: numbers in, numbers out; what is not given comes from the instrument.

mod across;
mod clearance;
mod given;
mod ground;
mod heights;
mod numbers;
mod pitch;
mod screws;
mod strings;

use super::context::Context;
use crate::cli::calc::{CalcArgs, Question};
use crate::error::Outcome;
use ground::Ground;

/// Answers a question.
pub fn run(context: &mut Context<'_, '_>, args: &CalcArgs) -> Outcome {
    let ground = Ground::of(context)?;
    let ground = &ground;
    let answer = match &args.question {
        Question::Positions(args) => heights::positions(ground, args),
        Question::Convert(args) => heights::convert(ground, args),
        Question::SaddleMove(args) => heights::saddle_move(ground, args),
        Question::ReliefChange(args) => heights::relief_change(ground, args),
        Question::Rocking(args) => heights::rocking(ground, args),
        Question::Shim(args) => heights::shim(ground, args),
        Question::Pickup(args) => heights::pickup(ground, args),
        Question::Moisture { air } => heights::moisture(air),
        Question::CrownDrop(args) => across::crown_drop(ground, args),
        Question::Hump(args) => across::hump_of(ground, args),
        Question::SaddleHeights(args) => across::saddle_heights(ground, args),
        Question::UndersideRadius(args) => across::underside_radius(ground, args),
        Question::Sideways(args) => across::sideways_move(ground, args),
        Question::Bend(args) => across::bend_of(ground, args),
        Question::SaddleRadius(args) => across::saddle_radius(ground, args),
        Question::Spacing(args) => across::spacing(ground, args),
        Question::Screw(args) => screws::screw(ground, args),
        Question::Bridge(args) => screws::bridge(ground, args),
        Question::Floating(args) => screws::floating(args),
        Question::Blank(args) => screws::blank(ground, args),
        Question::Pitch(args) => strings::pitch(ground, args),
        Question::Tension(args) => strings::tension_of(ground, args),
        Question::Set(args) => strings::set(ground, args),
        Question::Retune(args) => strings::retune(ground, args),
        Question::Stress(args) => strings::stress(ground, args),
        Question::Stiffness(args) => pitch::stiffness(ground, args),
        Question::Drift(args) => pitch::drift(ground, args),
        Question::Intonation(args) => pitch::intonation(ground, args),
        Question::SetBack(args) => pitch::set_back(ground, args),
        Question::Clearance(args) => clearance::clearance(context, ground, args),
    }?;
    answer.print(context)
}
