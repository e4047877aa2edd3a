//! What is in the library for phones sorts, and keeps maps and sets, through this crate: Rust's own are some kilobytes
//! more for each type.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may fail")]

use std::fs;
use std::path::{Path, PathBuf};

/// The crates that the library is made of. The relay runs on computers.
const CRATES: [&str; 12] = [
    "core/advice",
    "core/changes",
    "core/fallaway",
    "core/measure",
    "core/mechanics",
    "core/record",
    "core/sharing",
    "core/sheet",
    "core/store",
    "core/sync",
    "core/text",
    "bindings/ffi",
];

/// Where a map of the standard library stays: what a change names, in a crate that knows no other; a check
/// that only tests make.
const MAPS_OF_RUST: [&str; 2] = ["core/changes/src/change.rs", "core/text/src/check.rs"];

#[test]
fn the_library_has_no_other_sort() {
    let found = lines_with(&[".sort()", ".sort_by", ".sort_unstable"], &[]);
    assert!(found.is_empty(), "use `PutInOrder`:\n{}", found.join("\n"));
}

#[test]
fn the_library_has_no_other_map() {
    let found = lines_with(&["BTreeMap"], &MAPS_OF_RUST);
    assert!(found.is_empty(), "use `Map`:\n{}", found.join("\n"));
    for kept in MAPS_OF_RUST {
        let text = fs::read_to_string(root().join(kept)).unwrap();
        assert!(text.contains("BTreeMap"), "{kept} has none any more");
    }
}

#[test]
fn the_library_has_no_other_set() {
    let found = lines_with(&["BTreeSet"], &["core/text/src/check.rs"]);
    assert!(found.is_empty(), "use `Set`:\n{}", found.join("\n"));
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Lines of the library's own code with one of the words, but in the files that may have them.
fn lines_with(words: &[&str], but: &[&str]) -> Vec<String> {
    let root = root();
    let (mut read, mut found) = (0, Vec::new());
    for name in CRATES {
        visit(&root.join(name).join("src"), &mut |path, text| {
            read += 1;
            if but.iter().any(|file| path.ends_with(file)) {
                return;
            }
            let code = text.split("#[cfg(test)]").next().unwrap_or_default();
            for (number, line) in code.lines().enumerate() {
                if words.iter().any(|word| line.contains(word)) {
                    found.push(format!("{}:{}: {}", path.display(), number + 1, line.trim()));
                }
            }
        });
    }
    assert!(read > 200, "{read} files");
    found
}

fn visit(folder: &Path, each: &mut dyn FnMut(&Path, &str)) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        if path.is_dir() {
            visit(&path, each);
        } else if path.extension().is_some_and(|kind| kind == "rs") && !name.contains("tests") {
            each(&path, &fs::read_to_string(&path).unwrap());
        }
    }
}
