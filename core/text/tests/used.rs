//! Every message is used by the code, and every word that the mathematics states in English has a
//! text in the other languages.

#![allow(clippy::unwrap_used, reason = "a test")]

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use fallaway_text::{CATALOGUE, messages};

fn core() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// The sources below a folder, without their tests.
fn sources(folder: &Path, all: &mut Vec<String>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            // The table of the messages itself is no use of them.
            if !path.ends_with("text/src/messages") {
                sources(&path, all);
            }
        } else if path.extension().is_some_and(|ending| ending == "rs")
            && !path.to_string_lossy().ends_with("tests.rs")
        {
            let text = fs::read_to_string(path).unwrap();
            all.push(text.split("#[cfg(test)]").next().unwrap().to_owned());
        }
    }
}

fn read(folders: &[&str]) -> Vec<String> {
    let mut all = Vec::new();
    for folder in folders {
        sources(&core().join(folder), &mut all);
    }
    all
}

/// Whether a text names a function by its path, to call it or to hand it on.
fn names(text: &str, id: &str) -> bool {
    text.match_indices(id).any(|(at, _)| {
        let word = |c: char| c.is_alphanumeric() || c == '_';
        let before = text.get(..at).unwrap_or_default();
        let after = text.get(at + id.len()..).unwrap_or_default();
        before.ends_with("::") && !after.starts_with(word)
    })
}

#[test]
fn every_message_is_used() {
    let code = read(&["text/src", "fallaway/src", "../bindings/ffi/src", "../sample-apps"]);
    let unused: Vec<String> = messages::DECLARED
        .iter()
        .copied()
        .flatten()
        .filter(|message| !code.iter().any(|text| names(text, message.id())))
        .map(|message| format!("{}/{}", message.file().name, message.id()))
        .collect();
    assert!(unused.is_empty(), "{unused:#?}");
}

/// What stands in quotes behind a field that names something, as the mathematics states it.
fn stated(text: &str) -> BTreeSet<String> {
    let lines = text.lines().filter(|line| !line.trim_start().starts_with("//"));
    let text = lines.collect::<Vec<_>>().join("\n");
    let mut found = BTreeSet::new();
    for field in ["quantity: \"", "what: \"", "reason: \"", "needed_for: \"", "fact: \""] {
        for (at, _) in text.match_indices(field) {
            let rest = text.get(at + field.len()..).unwrap_or_default();
            found.insert(rest.split('"').next().unwrap_or_default().to_owned());
        }
    }
    found
}

#[test]
fn what_the_mathematics_states_is_said_in_every_language() {
    let code = read(&["mechanics/src", "advice/src"]);
    let stated: BTreeSet<String> = code.iter().flat_map(|text| stated(text)).collect();
    assert!(stated.contains("to tell clearance"), "{stated:?}");
    for (language, theme, file) in CATALOGUE.files() {
        if language == "en" || theme != "formulas" {
            continue;
        }
        let key = |text: &str| {
            let letter = |c: char| c.is_ascii_alphanumeric() || c == '-';
            let parts = text.split(|c| !letter(c)).filter(|part| !part.is_empty());
            parts.collect::<Vec<_>>().join("_")
        };
        let missing: Vec<&String> =
            stated.iter().filter(|text| !file.contains(&format!("[{}]", key(text)))).collect();
        assert!(missing.is_empty(), "{language}: {missing:#?}");
    }
}
