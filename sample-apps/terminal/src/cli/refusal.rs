//! What the grammar of the command line refuses, in the person's language.

use std::ffi::{OsStr, OsString};

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{Arg, ArgMatches, Command, Error};
use fallaway_text::Phrase;

use crate::messages::app as say;
use crate::voice;

/// What is wrong, and whose help to ask: the command as far as it was understood.
pub fn refusal(error: &Error, root: &Command, arguments: &[OsString]) -> Phrase {
    let why = match similar(error) {
        Some(similar) => say::similar(why(error, root, arguments), similar),
        None => why(error, root, arguments),
    };
    let path: Vec<&str> = understood(root, arguments).iter().map(|one| one.get_name()).collect();
    say::more_help(why, path.join(" "))
}

/// What is wrong with a value of nothing but blanks, if one was typed: no argument means anything by it.
pub fn empty(matches: &ArgMatches, root: &Command, arguments: &[OsString]) -> Option<Phrase> {
    if !arguments.iter().skip(1).any(|argument| is_blank_or_ends_so(argument)) {
        return None;
    }
    let (mut found, mut path) = (None, vec![(root, matches)]);
    while let Some((command, under)) = path.last().copied()
        && let Some((name, below)) = under.subcommand()
        && let Some(command) = command.find_subcommand(name)
    {
        path.push((command, below));
    }
    for (command, matches) in path.iter().rev() {
        let is_empty = |arg: &&Arg| {
            let values = matches.try_get_raw(arg.get_id().as_str()).ok().flatten();
            values.into_iter().flatten().any(is_blank)
        };
        found = found.or_else(|| command.get_arguments().find(is_empty));
    }
    let argument: &Arg = found?;
    let accepted = argument.get_help().map(ToString::to_string).unwrap_or_default();
    let why = say::empty_value(argument.to_string(), accepted);
    let path: Vec<&str> = path.iter().map(|(command, _)| command.get_name()).collect();
    Some(say::more_help(why, path.join(" ")))
}

fn is_blank(value: &OsStr) -> bool {
    value.to_str().is_some_and(|text| text.trim().is_empty())
}

/// As a word of its own, or behind the option that it belongs to.
fn is_blank_or_ends_so(argument: &OsStr) -> bool {
    let text = argument.to_str().unwrap_or("-");
    let value = text.strip_prefix("--").and_then(|option| option.split_once('='));
    value.map_or(text, |(_, value)| value).trim().is_empty()
}

fn why(error: &Error, root: &Command, arguments: &[OsString]) -> Phrase {
    let text = |kind| strings(error, kind).join(", ");
    let number = |kind| match error.get(kind) {
        Some(ContextValue::Number(number)) => *number as i64,
        _ => 0,
    };
    let (argument, value) = (text(ContextKind::InvalidArg), text(ContextKind::InvalidValue));
    match error.kind() {
        ErrorKind::UnknownArgument if argument.starts_with('-') => say::unknown_option(argument),
        ErrorKind::UnknownArgument => say::not_here(argument),
        ErrorKind::InvalidSubcommand => say::unknown_command(text(ContextKind::InvalidSubcommand)),
        ErrorKind::MissingSubcommand | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => {
            let last = understood(root, arguments).pop().unwrap_or(root);
            let names = last.get_subcommands().filter(|one| !one.is_hide_set());
            say::missing_command(names.map(Command::get_name).collect::<Vec<_>>().join(", "))
        }
        ErrorKind::MissingRequiredArgument => say::missing_arguments(argument),
        ErrorKind::InvalidValue | ErrorKind::NoEquals if value.is_empty() => {
            accepted(error, say::missing_value(argument))
        }
        ErrorKind::InvalidValue | ErrorKind::NoEquals => {
            accepted(error, say::wrong_value(value, argument))
        }
        ErrorKind::ValueValidation => {
            let reason = reason(error);
            // clap tells the range only in words of its own.
            match voice::say(&reason).split_once(" is not in ") {
                Some((_, range)) => {
                    let range = range.replace("..=", "\u{2013}");
                    say::accepted(say::wrong_value(value, argument), range)
                }
                None => say::wrong_value_because(value, argument, reason),
            }
        }
        ErrorKind::TooManyValues => say::too_many_values(value, argument),
        ErrorKind::TooFewValues => {
            let (wanted, found) = (ContextKind::MinValues, ContextKind::ActualNumValues);
            say::wrong_count(argument, number(wanted), number(found))
        }
        ErrorKind::WrongNumberOfValues => {
            let (wanted, found) = (ContextKind::ExpectedNumValues, ContextKind::ActualNumValues);
            say::wrong_count(argument, number(wanted), number(found))
        }
        ErrorKind::ArgumentConflict => say::conflict(argument, text(ContextKind::PriorArg)),
        ErrorKind::InvalidUtf8 => say::not_text(),
        // Help and version are answers, and clap may learn further kinds.
        _ => say::not_understood(),
    }
}

/// Why a number is not taken; what is beyond words of ours is the range that the option has.
fn reason(error: &Error) -> Phrase {
    match std::error::Error::source(error) {
        Some(source) if source.is::<std::num::ParseIntError>() => say::whole_needed(),
        Some(source) if source.is::<std::num::ParseFloatError>() => say::number_needed(),
        Some(source) => Phrase::written(source.to_string()),
        None => Phrase::empty(),
    }
}

fn accepted(error: &Error, why: Phrase) -> Phrase {
    match strings(error, ContextKind::ValidValue) {
        none if none.is_empty() => why,
        accepted => say::accepted(why, accepted.join(", ")),
    }
}

fn similar(error: &Error) -> Option<String> {
    let kinds =
        [ContextKind::SuggestedArg, ContextKind::SuggestedSubcommand, ContextKind::SuggestedValue];
    let found: Vec<String> = kinds.iter().flat_map(|kind| strings(error, *kind)).collect();
    (!found.is_empty()).then(|| found.join(", "))
}

fn strings(error: &Error, kind: ContextKind) -> Vec<String> {
    match error.get(kind) {
        Some(ContextValue::String(text)) => vec![text.clone()],
        Some(ContextValue::Strings(texts)) => texts.clone(),
        _ => Vec::new(),
    }
}

/// The commands that were understood, the app itself first.
fn understood<'c>(root: &'c Command, arguments: &[OsString]) -> Vec<&'c Command> {
    let mut path = vec![root];
    for word in arguments.iter().skip(1).filter_map(|argument| argument.to_str()) {
        path.extend(path.last().and_then(|last| last.find_subcommand(word)));
    }
    path
}
