//! What each command does.

mod advice;
mod answer;
mod bench;
#[cfg(feature = "calc")]
mod calc;
mod clearance;
mod context;
mod drawings;
mod facts;
mod files;
mod frets;
mod given;
mod history;
mod import;
mod instruments;
mod joining;
mod meet;
mod people;
mod photos;
mod progress;
mod reading;
mod relay;
mod setups;
mod sharing;
mod shop;
mod steps;
mod two_values;
mod visits;
mod ways;
mod what_if;
mod which;

use crate::cli::{Cli, Command};
use crate::env::Env;
use crate::error::{Error, Outcome};
use crate::messages::app;
use context::Context;

/// Runs one command.
pub fn run(cli: Cli, env: &mut Env<'_>) -> Outcome {
    // This needs no data folder.
    if let Command::Completions { shell } = cli.command {
        return instruments::completions(shell, env);
    }
    if let Command::Commands = cli.command {
        return instruments::commands(cli.common.json, env);
    }
    let mut context = Context::new(cli.common, cli.command.only_asks(), env)?;
    let context = &mut context;
    // A folder that was mistyped is not made.
    if !context.folder.exists() && needs_data(&cli.command) {
        return Err(Error::Refused(app::nothing_there(context.folder.display().to_string())));
    }
    match cli.command {
        // Answered above, and by the app.
        Command::Commands
        | Command::Completions { .. }
        | Command::Demo { .. }
        | Command::Bench(_) => Ok(()),
        Command::Templates => instruments::templates(context),
        Command::Add(args) => instruments::add(context, &args),
        Command::Copy { name, new_name } => instruments::copy(context, &name, &new_name),
        Command::List { archived, search, names } => {
            instruments::list(context, archived, search.as_deref(), names)
        }
        Command::Search { text } => shop::search(context, &text),
        Command::Rename { name, new_name } => instruments::rename(context, &name, &new_name),
        Command::Archive { name, back } => instruments::archive(context, &name, back),
        Command::Show => facts::show(context),
        Command::Set { list: true, .. } => facts::list(context),
        Command::Set { field, unset: true, .. } => {
            facts::unset(context, &field.unwrap_or_default())
        }
        Command::Set { field, value, .. } => {
            facts::set(context, &field.unwrap_or_default(), &value)
        }
        Command::Visit { action } => bench::visit(context, action),
        Command::Tool(args) => ways::tool(context, &args),
        Command::Read(args) => reading::read(context, &args),
        Command::Did(args) => bench::did(context, &args),
        Command::Done(args) => steps::done(context, &args),
        Command::Cannot(args) => steps::cannot(context, &args),
        Command::AsLeft => steps::as_left(context),
        Command::Tuned(args) => bench::tuned(context, &args),
        Command::Strings(args) => bench::strings(context, &args),
        Command::Climate(args) => bench::climate(context, &args),
        Command::Buzz(args) => bench::buzz(context, &args),
        Command::Fret(args) => frets::fret(context, &args),
        Command::Remark(args) => bench::remark(context, &args),
        Command::Photo { action } => photos::photo(context, action.as_ref()),
        Command::Import(args) => import::import(context, &args),
        Command::Undo => history::undo(context),
        Command::Redo => history::redo(context),
        Command::CrossOut { entry, reason } => history::cross_out(context, &entry, &reason),
        Command::Plan { setup, all } => advice::plan(context, setup.as_deref(), all),
        Command::Next { setup, full: false } => advice::next(context, setup.as_deref()),
        Command::Next { setup, full: true } => advice::next_full(context, setup.as_deref()),
        Command::Card { setup, large } => advice::card(context, setup.as_deref(), large),
        Command::Changed { since, found, setup } => {
            advice::changed(context, since.as_deref(), found, setup.as_deref())
        }
        Command::Draw(args) => drawings::draw(context, &args),
        Command::Sheet(args) => drawings::sheet(context, &args),
        Command::Learned => advice::learned(context),
        Command::Forecast { air, setup } => advice::forecast(context, &air, setup.as_deref()),
        Command::History(args) => history::show(context, &args),
        Command::Setup { action } => setups::run(context, action),
        Command::Targets { action } => shop::targets(context, &action),
        Command::Spec { action } => shop::specs(context, action.as_ref()),
        Command::Pack { action } => shop::packs(context, action.as_ref()),
        Command::Owner(args) => shop::owner(context, &args),
        Command::Job { action } => shop::job(context, action.as_ref()),
        Command::Desk => shop::desk(context),
        Command::Care(args) => shop::care(context, &args),
        Command::Export(args) => files::export(context, &args),
        Command::Backup { file } => files::backup(context, &file),
        Command::Restore(args) => files::restore(context, &args),
        Command::Clearance(args) => what_if::clearance(context, &args),
        Command::WhyBuzz(args) => what_if::why_buzz(context, &args),
        Command::BeforeStrings(args) => what_if::before_strings(context, &args),
        #[cfg(feature = "calc")]
        Command::Calc(args) => calc::run(context, &args),
        Command::People { known: true, .. } => sharing::known(context),
        Command::People { history: true, .. } => people::history(context),
        Command::People { .. } => sharing::people(context),
        Command::Role(args) => sharing::role_of(context, &args),
        Command::Remove(args) => people::remove(context, &args),
        Command::Leave => people::leave(context),
        Command::Held => people::held(context),
        Command::AcceptHeld { fingerprint } => people::accept_held(context, &fingerprint),
        Command::Withdraw { invitation } => people::withdraw(context, invitation.as_deref()),
        Command::WriteAnyway => sharing::write_anyway(context),
        Command::Invite(args) => joining::invite(context, &args),
        Command::Accept(args) => joining::accept(context, &args),
        Command::Compared { fingerprint } => people::compared(context, &fingerprint),
        Command::RecoveryWords { written_down } => joining::recovery_words(context, written_down),
        Command::Recover(args) => joining::recover(context, &args),
        Command::Bundle { action } => sharing::bundle(context, action),
        Command::Relay { action } => relay::relay(context, action),
        Command::Sync(args) => relay::sync(context, &args),
        Command::Meet(args) => meet::meet(context, &args),
        Command::TwoValues => two_values::two_values(context),
        Command::Settle(args) => two_values::settle(context, &args),
        Command::Me { name } => instruments::me(context, name.as_deref()),
        Command::Order { order } => ways::order(context, order),
        Command::Usual(args) => ways::usual(context, &args),
        Command::Language { language } => ways::language(context, language.as_deref()),
        Command::Units { units, only } => ways::units(context, units.as_deref(), only),
        Command::Forget { name } => instruments::forget(context, &name),
    }
}

/// Whether a command asks about what is there already.
fn needs_data(command: &Command) -> bool {
    match command {
        Command::Templates
        | Command::Add(_)
        | Command::List { .. }
        | Command::Tool(_)
        | Command::Restore(_)
        | Command::Spec { action: None }
        | Command::Pack { .. }
        | Command::Accept(_)
        | Command::Recover(_)
        | Command::Bundle { .. }
        | Command::Meet(_)
        | Command::Me { .. }
        | Command::Order { .. }
        | Command::Usual(_)
        | Command::Language { .. }
        | Command::Units { .. } => false,
        #[cfg(feature = "calc")]
        Command::Calc(_) => false,
        _ => true,
    }
}
