//! What is in the library for phones sorts through this crate: a sort of Rust's own is some kilobytes more
//! for each type.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may fail")]

use std::fs;
use std::path::Path;

#[test]
fn the_library_has_no_other_sort() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let (mut read, mut found) = (0, Vec::new());
    // The relay runs on computers.
    let crates = [
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
    for name in crates {
        visit(&root.join(name).join("src"), &mut |path, text| {
            read += 1;
            let code = text.split("#[cfg(test)]").next().unwrap_or_default();
            for (number, line) in code.lines().enumerate() {
                let sorts = [".sort()", ".sort_by", ".sort_unstable"]
                    .iter()
                    .any(|call| line.contains(call));
                if sorts {
                    found.push(format!("{}:{}: {}", path.display(), number + 1, line.trim()));
                }
            }
        });
    }
    assert!(read > 200, "{read} files");
    assert!(found.is_empty(), "use `PutInOrder`:\n{}", found.join("\n"));
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
