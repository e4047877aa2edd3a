//! One run of the app: arguments in, text and an exit code out.

use std::ffi::OsString;
use std::io::Write as _;

use clap::{CommandFactory as _, FromArgMatches as _};

use crate::commands;
use crate::failure::{DONE, Failure, Outcome, REFUSED, USAGE};
use crate::grammar::Cli;
use crate::surroundings::Surroundings;
use crate::words::minus;

/// Runs one command. The first argument is the name of the program. What is printed has left the
/// buffers of `out` when this returns.
pub fn run(arguments: Vec<OsString>, surroundings: &mut Surroundings<'_>) -> u8 {
    let json = arguments.iter().any(|argument| argument == "--json");
    let outcome = match parse(arguments, surroundings) {
        Ok(cli) => commands::run(cli, surroundings).and_then(|()| Ok(surroundings.out.flush()?)),
        Err(answer) if json && answer.exit_code() != 0 => {
            // The first line says what is wrong; usage and hints are for people.
            let text = answer.to_string();
            let first = text.lines().next().unwrap_or_default();
            Err(Failure::usage(first.trim_start_matches("error: ")))
        }
        Err(answer) => return answer_of_the_grammar(&answer, surroundings),
    };
    match outcome {
        Ok(()) => DONE,
        Err(failure) => {
            // What was printed before the failure stays; a stream that is gone cannot be helped.
            let _ = surroundings.out.flush();
            report(&failure, json, surroundings)
        }
    }
}

fn parse(
    arguments: Vec<OsString>,
    surroundings: &Surroundings<'_>,
) -> Result<Cli, Box<clap::Error>> {
    let mut matches = Cli::command()
        .term_width(surroundings.width)
        .try_get_matches_from(minus::shield(arguments))?;
    Ok(Cli::from_arg_matches_mut(&mut matches)?)
}

/// Help and the version are answers; everything else that the grammar says is a refusal.
fn answer_of_the_grammar(answer: &clap::Error, surroundings: &mut Surroundings<'_>) -> u8 {
    let text = answer.render();
    let text =
        minus::plain(&if surroundings.colour { text.ansi().to_string() } else { text.to_string() });
    let (stream, code) = if answer.exit_code() == 0 {
        (&mut surroundings.out, DONE)
    } else {
        (&mut surroundings.err, USAGE)
    };
    match stream.write_all(text.as_bytes()).and_then(|()| stream.flush()) {
        Ok(()) => code,
        Err(error) => Failure::Output(error).code().max(code),
    }
}

fn report(failure: &Failure, json: bool, surroundings: &mut Surroundings<'_>) -> u8 {
    let code = failure.code();
    if failure.is_silent() {
        return code;
    }
    let said = if json {
        let reason = minus::plain(&failure.to_string());
        let object = serde_json::json!({ "error": { "kind": failure.kind(), "reason": reason } });
        writeln!(surroundings.err, "{object:#}")
    } else {
        explain(failure, surroundings).map_err(|_| std::io::Error::other("unwritable"))
    };
    // If even that cannot be said, the exit code has to.
    if said.and_then(|()| surroundings.err.flush()).is_err() { code.max(REFUSED) } else { code }
}

fn explain(failure: &Failure, surroundings: &mut Surroundings<'_>) -> Outcome {
    use crate::say::{Ink, Paper};
    let mut paper = Paper::new(&mut *surroundings.err, surroundings.colour, surroundings.width);
    let text = minus::plain(&failure.to_string());
    match failure {
        Failure::Unsure { .. } => {
            paper.text(Ink::Caution, &text)?;
            paper.line("Sure? Nothing was stored; say it again with --sure if it is right.")?;
        }
        _ => paper.hung(Ink::Plain, "fallaway: ", 10, &text)?,
    }
    Ok(())
}
