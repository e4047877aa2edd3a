//! One run of the app: arguments in, text and an exit code out.

use std::ffi::OsString;
use std::io::Write as _;

use clap::error::ErrorKind;
use clap::{CommandFactory as _, FromArgMatches as _};
use fallaway::Preferences;
use fallaway_text::{Language, Voice};

use crate::cli::{Cli, Command, Common, help, refusal};
use crate::env::Env;
use crate::error::{DONE, Error, Outcome, REFUSED, USAGE};
use crate::messages::app as say;
use crate::parse::{minus, moments};
use crate::render::{Printer, Style};
use crate::{commands, demo, prompt, voice};

/// Runs one command. The first argument is the name of the program. What is printed has left the
/// buffers of `out` when this returns.
pub fn run(arguments: Vec<OsString>, env: &mut Env<'_>) -> u8 {
    let json = arguments.iter().any(|argument| argument == "--json");
    let outcome = answer(arguments, json, env);
    match outcome.and_then(|code| env.out.flush().map(|()| code).map_err(Error::from)) {
        Ok(code) => code,
        Err(failure) => {
            // What was printed before the failure stays; a stream that is gone cannot be helped.
            let _ = env.out.flush();
            report(&failure, json, env)
        }
    }
}

fn answer(arguments: Vec<OsString>, json: bool, env: &mut Env<'_>) -> Outcome<u8> {
    let mut chosen = match env.data.as_deref() {
        // Programs are spoken to in English, with every number as it was read.
        _ if json => Voice::default(),
        // A store that cannot be read is told of by the command.
        Some(folder) => {
            Preferences::kept_in(&env.path(folder)).unwrap_or_default().voice(env.language)
        }
        None => Preferences::default().voice(env.language),
    };
    chosen.language = asked(&arguments).unwrap_or(chosen.language);
    voice::set(chosen);
    let mut grammar = help::described(Cli::command(), chosen.language).term_width(env.width);
    let shielded = minus::shield(with_help(arguments));
    let matches = grammar.try_get_matches_from_mut(&shielded);
    if let Ok(matches) = &matches
        && let Some(empty) = refusal::empty(matches, &grammar, &shielded)
    {
        return Err(Error::Usage(empty));
    }
    let cli = matches.and_then(|mut matches| Cli::from_arg_matches_mut(&mut matches));
    // Whatever is asked: a time that cannot be is a slip.
    if let Ok(Cli { common: Common { at: Some(at), .. }, .. }) = &cli {
        moments::moment(at, env.clock.now()).map_err(Error::Usage)?;
    }
    match cli {
        Ok(Cli { command: Command::Demo { into }, .. }) => {
            demo::play(&into, env, run).map(|()| DONE)
        }
        Ok(Cli { command: Command::Bench(args), common }) => {
            prompt::bench(&args, &common, env, run).map(|()| DONE)
        }
        Ok(cli) => commands::run(cli, env).map(|()| DONE),
        // Help and the version are answers; so is help where a command is missing.
        Err(help) if help.exit_code() == 0 || (is_help(&help) && !json) => {
            let text = help.render();
            let text = if env.colour { text.ansi().to_string() } else { text.to_string() };
            let (out, code) =
                if is_help(&help) { (&mut env.err, USAGE) } else { (&mut env.out, DONE) };
            let text = minus::plain(&text).replace("[OPTIONS]", &voice::say(&say::options()));
            out.write_all(text.as_bytes())?;
            Ok(code)
        }
        Err(refused) => Err(Error::Usage(refusal::refusal(&refused, &grammar, &shielded))),
    }
}

/// `help`, and `help read`, ask for what `--help` tells.
fn with_help(mut arguments: Vec<OsString>) -> Vec<OsString> {
    if arguments.get(1).is_some_and(|word| word == "help") {
        arguments.remove(1);
        arguments.push("--help".into());
    }
    arguments
}

fn is_help(error: &clap::Error) -> bool {
    error.kind() == ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand
}

/// The language of this run alone, if one is named: help and refusals are said in it too.
fn asked(arguments: &[OsString]) -> Option<Language> {
    let mut words = arguments.iter().filter_map(|argument| argument.to_str());
    let tag = words.by_ref().find_map(|word| word.strip_prefix("--language"))?;
    Language::named(tag.strip_prefix('=').or_else(|| words.next())?)
}

fn report(failure: &Error, json: bool, env: &mut Env<'_>) -> u8 {
    let code = failure.code();
    if failure.is_silent() {
        return code;
    }
    let said = if json {
        let reason = failure.to_string();
        let object = serde_json::json!({ "error": { "kind": failure.kind(), "reason": reason } });
        writeln!(env.err, "{object:#}")
    } else {
        explain(failure, env).map_err(|_| std::io::Error::other("unwritable"))
    };
    // If even that cannot be said, the exit code has to.
    if said.and_then(|()| env.err.flush()).is_err() { code.max(REFUSED) } else { code }
}

fn explain(failure: &Error, env: &mut Env<'_>) -> Outcome {
    let mut printer = Printer::new(&mut *env.err, env.colour, env.width);
    match failure {
        Error::Unsure(question) => {
            printer.say(Style::Caution, question)?;
            printer.line(&say::not_stored())?;
        }
        _ => printer.failure(failure)?,
    }
    Ok(())
}
