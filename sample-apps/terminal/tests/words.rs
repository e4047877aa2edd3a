//! Whatever the app says to a person stands in the message files: no other literal is a sentence.

// Helpers of tests fail loudly.
#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

use std::fs;
use std::path::{Path, PathBuf};

/// Literals of several words that are no sentences of the app: what a person types, and file formats.
const ALLOWED: &[&str] = &[
    // Commands of the demo, and examples of facts.
    "src/demo/story.rs",
    "blue five",
    "bought used, neck once reset",
    "5 mm hex",
    // A command that is shown to be typed.
    "fallaway meet ",
    // Forms of a reading in JSON.
    "at most",
    "at least",
    // A target as it is typed, and words that an option takes.
    "nut all ",
    "action all ",
    "spacing all ",
    "pickup all ",
    "pitch all ",
    "intonation all ",
    "at the head",
    "at the heel",
    "bass, guitar",
    "bass, treble",
    "gaps, centres",
    "raises, lowers",
    // What clap says of a range.
    " is not in ",
    // Why the compiler is not to complain.
    "not every theme has every kind of argument",
    "commands and arguments are described in the message files",
];

fn sources(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, into);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            into.push(path);
        }
    }
}

/// The literals of a source before its tests, comments left out.
fn literals(source: &str) -> Vec<String> {
    let code = source.split("#[cfg(test)]\nmod tests").next().unwrap_or_default();
    let mut found = Vec::new();
    let mut rest = code.chars().peekable();
    let mut before = ' ';
    while let Some(c) = rest.next() {
        match c {
            '/' if rest.peek() == Some(&'/') => {
                rest.by_ref().find(|c| *c == '\n');
            }
            // A character, not a text.
            '"' if before == '\'' => {}
            '"' => {
                let mut text = String::new();
                while let Some(c) = rest.next().filter(|c| *c != '"') {
                    text.push(if c == '\\' { rest.next().unwrap_or_default() } else { c });
                }
                found.push(text);
            }
            _ => {}
        }
        before = c;
    }
    found
}

/// Two words in a row, the second in small letters.
fn is_prose(text: &str) -> bool {
    let words: Vec<&str> = text.split_whitespace().collect();
    let is_word = |word: &str| {
        word.len() > 1
            && word.trim_end_matches([',', '.', ':', ';']).chars().all(char::is_alphabetic)
    };
    words
        .windows(2)
        .any(|pair| is_word(pair[0]) && is_word(pair[1]) && pair[1].starts_with(char::is_lowercase))
}

#[test]
fn every_sentence_is_a_message() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut paths = Vec::new();
    sources(&root.join("src"), &mut paths);
    assert!(paths.len() > 30, "{paths:?}");
    let mut prose = Vec::new();
    for path in paths {
        let name = path.strip_prefix(root).unwrap().to_string_lossy().into_owned();
        if ALLOWED.iter().any(|one| name.starts_with(one)) {
            continue;
        }
        let found = literals(&fs::read_to_string(&path).unwrap());
        let allowed = |text: &String| ALLOWED.iter().any(|one| text.starts_with(one));
        let found = found.into_iter().filter(|text| is_prose(text) && !allowed(text));
        prose.extend(found.map(|text| format!("{name}: {text}")));
    }
    assert!(prose.is_empty(), "{}", prose.join("\n"));
}

#[test]
fn a_sentence_is_told_from_words_of_the_code() {
    assert!(is_prose("Nothing was stored."));
    assert!(!is_prose("saddle-thread") && !is_prose("{} {}") && !is_prose("34 in"));
    assert_eq!(literals("say(\"two words\"); // \"a comment\"\n'\"'"), ["two words"]);
}
