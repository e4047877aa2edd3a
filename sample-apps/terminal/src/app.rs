//! One run of the app: arguments in, text and an exit code out.

use std::ffi::OsString;
use std::io::Write as _;

use clap::{CommandFactory as _, FromArgMatches as _};
use fallaway_text::Language;

use crate::cli::{Cli, help};
use crate::commands;
use crate::env::Env;
use crate::error::{DONE, Error, Outcome, REFUSED, USAGE};
use crate::parse::minus;
use crate::settings::Settings;

/// Runs one command. The first argument is the name of the program. What is printed has left the
/// buffers of `out` when this returns.
pub fn run(arguments: Vec<OsString>, env: &mut Env<'_>) -> u8 {
    let json = arguments.iter().any(|argument| argument == "--json");
    let outcome = match parse(arguments, env) {
        Ok(cli) => commands::run(cli, env).and_then(|()| Ok(env.out.flush()?)),
        Err(answer) if json && answer.exit_code() != 0 => {
            // The first line says what is wrong; usage and hints are for people.
            let text = answer.to_string();
            let first = text.lines().next().unwrap_or_default();
            Err(Error::usage(first.trim_start_matches("error: ")))
        }
        Err(answer) => return answer_of_clap(&answer, env),
    };
    match outcome {
        Ok(()) => DONE,
        Err(failure) => {
            // What was printed before the failure stays; a stream that is gone cannot be helped.
            let _ = env.out.flush();
            report(&failure, json, env)
        }
    }
}

fn parse(arguments: Vec<OsString>, env: &Env<'_>) -> Result<Cli, Box<clap::Error>> {
    let settings = env.data.as_deref().map(|folder| Settings::load(&env.path(folder)));
    // A file that cannot be read is told of by the command.
    let settings = settings.and_then(Result::ok).unwrap_or_default();
    let mut voice = settings.voice(env.language);
    voice.language = asked(&arguments).unwrap_or(voice.language);
    crate::voice::set(voice);
    let mut matches = help::described(Cli::command(), voice.language)
        .term_width(env.width)
        .try_get_matches_from(minus::shield(arguments))?;
    Ok(Cli::from_arg_matches_mut(&mut matches)?)
}

/// The language of this run alone, if one is named: help and refusals are said in it too.
fn asked(arguments: &[OsString]) -> Option<Language> {
    let mut words = arguments.iter().filter_map(|argument| argument.to_str());
    let tag = words.by_ref().find_map(|word| word.strip_prefix("--language"))?;
    Language::named(tag.strip_prefix('=').or_else(|| words.next())?)
}

/// Help and the version are answers; everything else that the grammar says is a refusal.
fn answer_of_clap(answer: &clap::Error, env: &mut Env<'_>) -> u8 {
    let text = answer.render();
    let text = minus::plain(&if env.colour { text.ansi().to_string() } else { text.to_string() });
    let (stream, code) =
        if answer.exit_code() == 0 { (&mut env.out, DONE) } else { (&mut env.err, USAGE) };
    match stream.write_all(text.as_bytes()).and_then(|()| stream.flush()) {
        Ok(()) => code,
        Err(error) => Error::Output(error).code().max(code),
    }
}

fn report(failure: &Error, json: bool, env: &mut Env<'_>) -> u8 {
    let code = failure.code();
    if failure.is_silent() {
        return code;
    }
    let said = if json {
        let reason = minus::plain(&failure.to_string());
        let object = serde_json::json!({ "error": { "kind": failure.kind(), "reason": reason } });
        writeln!(env.err, "{object:#}")
    } else {
        explain(failure, env).map_err(|_| std::io::Error::other("unwritable"))
    };
    // If even that cannot be said, the exit code has to.
    if said.and_then(|()| env.err.flush()).is_err() { code.max(REFUSED) } else { code }
}

fn explain(failure: &Error, env: &mut Env<'_>) -> Outcome {
    use crate::render::{Printer, Style};
    let mut printer = Printer::new(&mut *env.err, env.colour, env.width);
    let text = minus::plain(&failure.to_string());
    match failure {
        Error::Unsure { .. } => {
            printer.text(Style::Caution, &text)?;
            printer.line("Sure? Nothing was stored; say it again with --sure if it is right.")?;
        }
        _ => printer.hung(Style::Plain, "fallaway: ", 10, &text)?,
    }
    Ok(())
}
