//! Compares the files of a catalogue with what the code declares; for tests, here and in other
//! crates with messages of their own.

use std::collections::{BTreeMap, BTreeSet};

use fluent_bundle::FluentResource;

use crate::{Catalogue, Message};

/// A message of a file: its name and the variables in it.
type Found = BTreeMap<String, BTreeSet<String>>;

/// Everything wrong with the files of a catalogue, a line each: files that cannot be read, messages
/// that are missing, not declared, or use other variables than declared. `others` are messages that
/// the code looks up by name (theme and id), without arguments.
pub fn problems(
    catalogue: &Catalogue,
    declared: &[&[Message]],
    others: &[(&str, &str)],
) -> Vec<String> {
    let mut wanted: BTreeMap<&str, Found> = BTreeMap::new();
    for message in declared.iter().copied().flatten() {
        let arguments = message.arguments().map(str::to_owned).collect();
        let of_theme = wanted.entry(message.file().name).or_default();
        of_theme.insert(message.id().to_owned(), arguments);
    }
    for (theme, id) in others {
        wanted.entry(theme).or_default().insert((*id).to_owned(), BTreeSet::new());
    }
    let mut problems = Vec::new();
    for language in catalogue.languages() {
        let themes: BTreeSet<&str> =
            catalogue.files().filter(|file| file.0 == language).map(|file| file.1).collect();
        for theme in wanted.keys().filter(|theme| !themes.contains(**theme)) {
            problems.push(format!("{language}/{theme}.ftl is missing"));
        }
    }
    for (language, theme, text) in catalogue.files() {
        let file = format!("{language}/{theme}.ftl");
        let found = read(&text, &file, &mut problems);
        if let Err((_, errors)) = FluentResource::try_new(text) {
            problems.push(format!("{file}: {errors:?}"));
        }
        let Some(wanted) = wanted.get(theme) else {
            problems.push(format!("{file}: no theme of the code"));
            continue;
        };
        for (id, arguments) in wanted {
            match found.get(id) {
                None => problems.push(format!("{file}: {id} is missing")),
                Some(used) if used != arguments => {
                    problems.push(format!("{file}: {id} uses {used:?}, declared {arguments:?}"));
                }
                Some(_) => {}
            }
        }
        for id in found.keys().filter(|id| !wanted.contains_key(*id)) {
            problems.push(format!("{file}: {id} is not declared"));
        }
    }
    problems
}

fn read(text: &str, file: &str, problems: &mut Vec<String>) -> Found {
    let mut found = Found::new();
    let mut current = None;
    for line in text.lines() {
        if line.starts_with(|c: char| c.is_ascii_alphabetic()) {
            let id = line.split(' ').next().unwrap_or_default().to_owned();
            if found.insert(id.clone(), BTreeSet::new()).is_some() {
                problems.push(format!("{file}: {id} stands there twice"));
            }
            current = Some(id);
        }
        let variables = line.split("{ $").skip(1).map(|rest| {
            rest.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect::<String>()
        });
        if let Some(own) = current.as_ref().and_then(|id| found.get_mut(id)) {
            own.extend(variables);
        }
    }
    found
}

/// Everything wrong with the signs in the files of a catalogue, a line each: straight quotation marks or
/// those of another language, a hyphen for a minus sign, an English capital after a semicolon, a German
/// reader spoken to. Lines for which `is_typed` (of theme and line) holds show what is typed as it is typed.
pub fn signs(catalogue: &Catalogue, is_typed: impl Fn(&str, &str) -> bool) -> Vec<String> {
    let mut problems = Vec::new();
    for (language, theme, text) in catalogue.files() {
        for line in text.lines().filter(|line| !line.starts_with('#') && !is_typed(theme, line)) {
            let wrong = wrong_signs(language, line);
            problems
                .extend(wrong.iter().map(|one| format!("{language}/{theme}.ftl: {one}: {line}")));
        }
    }
    problems
}

/// The same of a line.
pub(crate) fn wrong_signs(language: &str, line: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    let count = |sign: char| line.matches(sign).count();
    // A text of Fluent itself stands in straight ones.
    if count('"') != 2 * line.matches("{ \"").count() {
        wrong.push("a straight quotation mark".to_owned());
    }
    let strange = match language {
        "en" => count('„') > 0 || count('“') != count('”'),
        "de" => count('”') > 0 || count('„') != count('“'),
        _ => false,
    };
    if strange {
        wrong.push("quotation marks of another language".to_owned());
    }
    let mut before = [' ', ' '];
    for c in line.chars() {
        if c.is_ascii_digit() && before[1] == '-' && (before[0] == ' ' || before[0] == '(') {
            wrong.push("a hyphen for a minus sign".to_owned());
        }
        before = [before[1], c];
    }
    if language == "en" {
        let words = line.split("; ").skip(1);
        let capital = |word: &str| {
            let mut letters = word.chars();
            letters.next().is_some_and(char::is_uppercase)
                && letters.next().is_some_and(char::is_lowercase)
        };
        wrong
            .extend(words.filter(|word| capital(word)).map(|_| "a capital after \";\"".to_owned()));
    }
    if language == "de" {
        let mut begins = true;
        for word in line.split_whitespace() {
            let bare = word.trim_matches(|c: char| !c.is_alphabetic());
            let told = ["du", "dir", "dich"].contains(&bare)
                || bare.starts_with("dein")
                || !begins && (bare == "Sie" || bare == "Ihnen" || bare.starts_with("Ihr"));
            if told {
                wrong.push(format!("somebody is spoken to, \"{bare}\""));
            }
            begins = word.ends_with(['.', '=', ']', ':', ';', '?', '!']);
        }
    }
    wrong
}
