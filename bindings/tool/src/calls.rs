//! The list of all calls by theme, with the first sentence of each one's documentation, taken out of the
//! sources of the face.

use std::fs;

use crate::steps::{Outcome, root};

/// The page.
pub const PAGE: &str = "docs/embedding/calls.md";

const SOURCES: &str = "bindings/ffi/src";

const HEAD: &str = "<!-- Written by `cargo tool cookbook` from bindings/ffi/src. -->

# Every call, by theme

How tasks are done with them is in the cookbook of your language ([Kotlin](cookbook/kotlin.md),
[Swift](cookbook/swift.md), [Python](cookbook/python.md)). Names as Python writes them: `add_pass` is `addPass` in
Kotlin and Swift, and in Swift the call that blocks is `addPassBlocking`. What each takes, answers and
throws is in the documentation that your editor shows, and in `bindings/ffi/face.txt`. The single formulas, which
only the library for computers has, are not in the list.
";

/// The page as it should be.
pub fn page() -> Outcome<String> {
    let folder = root().join(SOURCES);
    let failed = |error: std::io::Error| format!("{SOURCES}: {error}");
    let mut files: Vec<_> = fs::read_dir(&folder)
        .map_err(failed)?
        .flatten()
        .map(|file| file.path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "rs"))
        .collect();
    files.sort();
    let mut page = HEAD.to_owned();
    for file in files {
        let source = fs::read_to_string(&file).map_err(failed)?;
        let calls = calls(&source);
        if calls.is_empty() {
            continue;
        }
        let theme = sentence(source.lines().map_while(|line| line.strip_prefix("//!")));
        let theme = theme.trim_end_matches('.');
        page += &["\n## ", theme, "\n\n| call | |\n|---|---|\n"].concat();
        for call in calls {
            page += &["| ", &call.name, " | ", &call.said.replace('|', "\\|"), " |\n"].concat();
        }
    }
    Ok(page)
}

/// A call: its name, after that of its object, and the first sentence about it.
#[derive(Debug, PartialEq)]
struct Call {
    name: String,
    said: String,
}

/// The calls that a source lets cross.
fn calls(source: &str) -> Vec<Call> {
    let mut calls = Vec::new();
    let mut documented: Vec<&str> = Vec::new();
    // What follows crosses; inside of which object, if of any.
    let mut crosses = false;
    let mut object: Option<&str> = None;
    for line in source.lines() {
        let words = line.trim_start();
        if let Some(said) = words.strip_prefix("///") {
            documented.push(said);
            continue;
        }
        if words.starts_with("#[uniffi::export") {
            crosses = !words.contains("callback") && !words.contains("with_foreign");
        } else if words.starts_with("#[") || words.starts_with("//") {
            // Stands between what is said and what it is said of.
            continue;
        } else if let Some(rest) = line.strip_prefix("impl ") {
            object = rest.strip_suffix(" {").filter(|_| crosses);
            crosses = false;
        } else if line == "}" {
            object = None;
        } else if let Some((_, rest)) = words.split_once("fn ").filter(|(before, _)| {
            *before == "pub " && (object.is_some() || (crosses && line == words))
        }) {
            let end = rest.find(['(', '<']).unwrap_or(rest.len());
            let name = rest.get(..end).unwrap_or_default();
            let name = object.map_or_else(|| name.to_owned(), |object| format!("{object}.{name}"));
            calls.push(Call {
                name: format!("`{name}`"),
                said: sentence(documented.iter().copied()),
            });
            crosses = false;
        }
        // An attribute may take several lines.
        if words.is_empty() || words == "}" || words.starts_with("pub ") || words.starts_with("fn ")
        {
            documented.clear();
        }
    }
    calls
}

/// The first sentence of a comment.
fn sentence<'a>(lines: impl Iterator<Item = &'a str>) -> String {
    let paragraph: Vec<&str> = lines.map(str::trim).take_while(|line| !line.is_empty()).collect();
    let paragraph = paragraph.join(" ");
    match paragraph.split_once(". ") {
        Some((first, _)) => format!("{first}."),
        None => paragraph,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_calls_of_a_source_are_found_with_what_is_said_first() {
        let source = "//! A theme. More.\n\n/// A function. And more.\n#[uniffi::export]\npub fn single(\n    a: u8,\n) {\n}\n\n\
            /// An object.\n#[derive(Debug)]\npub struct Thing;\n\n#[uniffi::export(default(x = None))]\nimpl Thing {\n    \
            /// Does it,\n    /// at once. Or not.\n    ///\n    /// # Errors\n    #[uniffi::method(default(\n        x = None\n    ))]\n    pub fn call(&self) {}\n    fn own() {}\n}\n\n\
            impl Thing {\n    /// Not for others.\n    pub fn inside(&self) {}\n}\npub fn own() {}\n";
        let call = |name: &str, said: &str| Call { name: name.to_owned(), said: said.to_owned() };
        let wanted = [call("`single`", "A function."), call("`Thing.call`", "Does it, at once.")];
        assert_eq!(calls(source), wanted);
    }

    /// Against the listing that is made of the built library: what crosses stands on the page.
    #[test]
    fn every_method_of_the_face_is_in_the_list() {
        let face = fs::read_to_string(root().join("bindings/ffi/face.txt")).unwrap();
        let page = page().unwrap();
        let mut object = None;
        let mut found = 0;
        for line in face.lines() {
            if !line.starts_with(' ') && !line.is_empty() {
                object = line.strip_prefix("object ");
            }
            let method = line.strip_prefix("    method ").and_then(|rest| rest.split('(').next());
            if let (Some(object), Some(method)) = (object, method) {
                // Of an error it is the language's own.
                if object == "FallawayError" {
                    continue;
                }
                let row =
                    page.lines().find(|row| row.starts_with(&format!("| `{object}.{method}` | ")));
                let said = row.unwrap_or_else(|| panic!("{object}.{method} is not in {PAGE}"));
                assert!(!said.ends_with("|  |"), "{object}.{method} says nothing");
                found += 1;
            }
        }
        assert!(found > 150, "{found}");
    }
}
