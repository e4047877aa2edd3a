//! What each command does.

mod advice;
mod bench;
mod facts;
mod history;
mod instruments;
mod reading;
mod session;
mod setups;
mod together;

use crate::failure::Outcome;
use crate::grammar::{Cli, Command};
use crate::surroundings::Surroundings;
pub use bench::capital;
use session::Session;

/// Runs one command.
pub fn run(cli: Cli, surroundings: &mut Surroundings<'_>) -> Outcome {
    // These two need no data folder.
    match cli.command {
        Command::Completions { shell } => return instruments::completions(shell, surroundings),
        Command::Demo { into } => return crate::demo::run(&into, surroundings),
        _ => {}
    }
    let mut session = Session::new(cli.common, surroundings)?;
    let session = &mut session;
    match cli.command {
        Command::Completions { .. } | Command::Demo { .. } => Ok(()),
        Command::Templates => instruments::templates(session),
        Command::Add { template, name } => instruments::add(session, &template, &name),
        Command::List => instruments::list(session),
        Command::Show => facts::show(session),
        Command::Set { list: true, .. } => facts::list(session),
        Command::Set { field, value, .. } => {
            facts::set(session, &field.unwrap_or_default(), &value)
        }
        Command::Visit { action } => bench::visit(session, action),
        Command::Tool(args) => bench::tool(session, &args),
        Command::Read(args) => reading::read(session, &args),
        Command::Did(args) => bench::did(session, &args),
        Command::Tuned(args) => bench::tuned(session, &args),
        Command::Strings(args) => bench::strings(session, &args),
        Command::Climate(args) => bench::climate(session, &args),
        Command::Buzz(args) => bench::buzz(session, &args),
        Command::Remark(args) => bench::remark(session, &args),
        Command::Undo => history::undo(session),
        Command::CrossOut { entry, reason } => history::cross_out(session, &entry, &reason),
        Command::Plan { setup, all } => advice::plan(session, setup.as_deref(), all),
        Command::Next { setup } => advice::next(session, setup.as_deref()),
        Command::Card { setup, large } => advice::card(session, setup.as_deref(), large),
        Command::History(args) => history::show(session, &args),
        Command::Setup { action } => setups::run(session, action),
        Command::People => together::people(session),
        Command::Invite(args) => together::invite(session, &args),
        Command::Accept { file, look } => together::accept(session, &file, look),
        Command::Bundle { action } => together::bundle(session, action),
        Command::TwoValues => together::two_values(session),
        Command::Settle(args) => together::settle(session, &args),
        Command::Me { name } => instruments::me(session, name.as_deref()),
        Command::Order { order } => bench::order(session, order),
        Command::Forget { name } => instruments::forget(session, &name),
    }
}
