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
        let arguments = message.arguments.iter().map(|name| (*name).to_owned()).collect();
        wanted.entry(message.theme).or_default().insert(message.id.to_owned(), arguments);
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
