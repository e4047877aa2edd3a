//! One name, one meaning: no type of the libraries and of the terminal app is declared twice, and what
//! crosses to other languages keeps the name that it has in the core.
//!
//! It reads the sources, line by line, as `rustfmt` lays them out. Private types are nobody else's
//! business and are left out, as are tests, examples and benches.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test may fail in this way")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// Names that are declared more than once, each with its reason.
const SHARED: &[(&str, &str)] = &[
    ("Error", "each crate has one, by custom of the language, and says which by its path"),
    ("Result", "as `Error`"),
    ("Iter", "each collection has one, as those of the standard library have"),
    ("IntoIter", "as `Iter`"),
];

/// What has another name in other languages: the core's, the foreign, and why.
const RENAMED: &[(&str, &str, &str)] = &[
    ("Amount", "Entered", "it says as what it was written down, beside its value"),
    ("Error", "FallawayError", "`Error` is the base of all errors there"),
    ("Pass", "PassInfo", "a pass that was written, with its words; `NewPass` is one to be written"),
    ("TargetView", "Target", "there is no other one there"),
];

/// Where a type is declared.
struct Declared {
    name: String,
    file: PathBuf,
    line: usize,
    /// Names of its fields or variants.
    parts: Vec<String>,
}

#[test]
fn a_name_means_one_thing() {
    let mut by_name: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let folders = [root().join("core"), root().join("sample-apps/terminal/src")];
    for one in folders.iter().flat_map(|folder| declared(folder)) {
        let place = format!("{}:{}", one.file.display(), one.line);
        by_name.entry(one.name).or_default().push(place);
    }
    assert!(by_name.len() > 300, "the sources were not read: {} names", by_name.len());
    let twice: Vec<String> = by_name
        .iter()
        .filter(|(name, places)| places.len() > 1 && !SHARED.iter().any(|(is, _)| is == name))
        .map(|(name, places)| format!("{name}: {}", places.join(", ")))
        .collect();
    assert!(twice.is_empty(), "declared more than once:\n{}", twice.join("\n"));
    for (name, _) in SHARED {
        let places = by_name.get(*name).map_or(0, Vec::len);
        assert!(places > 1, "{name} is excused, and declared {places} times");
    }
}

#[test]
fn a_foreign_type_with_a_name_of_the_core_is_that_type() {
    let core: BTreeMap<String, Declared> =
        declared(&root().join("core")).into_iter().map(|one| (one.name.clone(), one)).collect();
    let foreign = declared(&root().join("bindings/ffi/src"));
    assert!(foreign.len() > 100, "the sources were not read: {} types", foreign.len());
    let strangers: Vec<String> = foreign
        .iter()
        .filter(|one| !SHARED.iter().any(|(is, _)| *is == one.name))
        .filter_map(|one| Some((one, core.get(&one.name)?)))
        .filter(|(one, twin)| !mentions_of_the_core(&one.file, &one.name) && !alike(one, twin))
        .map(|(one, _)| format!("{} ({}:{})", one.name, one.file.display(), one.line))
        .collect();
    assert!(
        strangers.is_empty(),
        "named as a type of the core, and neither made from it by name nor of its parts:\n{}",
        strangers.join("\n")
    );
}

#[test]
fn what_crosses_keeps_its_name() {
    let names = |folder: &str| -> BTreeSet<String> {
        declared(&root().join(folder)).into_iter().map(|one| one.name).collect()
    };
    let (core, foreign) = (names("core"), names("bindings/ffi/src"));
    let mut renamed = Vec::new();
    for file in sources(&root().join("bindings/ffi/src")) {
        let text = read(&file);
        let crosses = text.lines().filter_map(crossing).filter(|(from, to)| {
            from != to && core.contains(from) && !foreign.contains(from) && foreign.contains(to)
        });
        renamed.extend(crosses);
    }
    let excused = |core: &str, foreign: &str| {
        RENAMED.iter().any(|(is, becomes, _)| *is == core && *becomes == foreign)
    };
    let left: Vec<String> = renamed
        .iter()
        .filter(|(core, foreign)| !excused(core, foreign))
        .map(|(core, foreign)| format!("{core} -> {foreign}"))
        .collect();
    assert!(left.is_empty(), "have another name in other languages:\n{}", left.join("\n"));
    for (core, foreign, _) in RENAMED {
        let there = renamed.iter().any(|(is, becomes)| is == core && becomes == foreign);
        assert!(there, "{core} -> {foreign} is excused, and nowhere");
    }
}

/// Who trips over a name gives it another one where it is declared, not where it is used. Within a
/// function a short one is allowed: `use measure::Tool as Typed;` where the foreign twin is at hand.
#[test]
fn no_import_renames_a_type_of_the_house() {
    let folders = ["core", "bindings/ffi/src", "sample-apps/terminal/src"];
    let mut imports = 0;
    let mut renamed = Vec::new();
    for file in folders.iter().flat_map(|folder| sources(&root().join(folder))) {
        let text = read(&file);
        let file = file.strip_prefix(root()).unwrap_or(&file);
        for import in text.split("\nuse ").skip(1).filter_map(|rest| rest.split(';').next()) {
            imports += 1;
            let from = import.split("::").next().unwrap_or_default();
            if !(from.starts_with("fallaway") || ["crate", "super", "self"].contains(&from)) {
                continue;
            }
            let named_anew = import.split([',', '{', '}']).filter_map(|one| one.split_once(" as "));
            renamed.extend(
                named_anew
                    .filter(|(was, becomes)| last_segment(was.trim()).is_some() && is_type(becomes))
                    .map(|(was, becomes)| {
                        format!("{} as {becomes}: {}", was.trim(), file.display())
                    }),
            );
        }
    }
    assert!(imports > 1000, "the sources were not read: {imports} imports");
    assert!(renamed.is_empty(), "renamed by an import:\n{}", renamed.join("\n"));
}

/// From which type of the core a line makes which foreign one.
fn crossing(line: &str) -> Option<(String, String)> {
    let line = line.trim();
    let made = || {
        let (from, foreign) = line.strip_prefix("impl From<")?.split_once("> for ")?;
        Some((last_segment(from)?, last_segment(foreign)?))
    };
    let mirrored = || {
        let (foreign, core) = line.strip_suffix(" {")?.split_once(" = ")?;
        let foreign = foreign.strip_prefix("closed ").unwrap_or(foreign);
        (is_type(foreign) && core.contains("::")).then_some(())?;
        Some((last_segment(core)?, foreign.to_owned()))
    };
    let named_anew = || {
        let (core, foreign) = line.strip_prefix("pub use fallaway::")?.split_once(" as ")?;
        Some((last_segment(core)?, last_segment(foreign)?))
    };
    made().or_else(mirrored).or_else(named_anew)
}

/// `Place` of `&measure::Place<'_>;`.
fn last_segment(path: &str) -> Option<String> {
    let path = path.split(['<', ';', ' ']).next()?.trim_start_matches('&');
    let name = path.rsplit("::").next()?;
    is_type(name).then(|| name.to_owned())
}

fn is_type(name: &str) -> bool {
    name.starts_with(|c: char| c.is_ascii_uppercase())
        && name.chars().all(|c| c.is_ascii_alphanumeric())
}

/// Whether a file speaks of the core's type of this name, by its path or by an import.
fn mentions_of_the_core(file: &Path, name: &str) -> bool {
    let text = read(&root().join(file));
    let imported = text.split("use fallaway::").skip(1).any(|rest| {
        let listed = rest.split(';').next().unwrap_or_default();
        listed.split(|c: char| !c.is_ascii_alphanumeric()).any(|word| word == name)
    });
    imported
        || text.match_indices(&format!("::{name}")).any(|(at, _)| {
            let ends = !text[at + 2 + name.len()..].starts_with(|c: char| c.is_alphanumeric());
            let before = &text[..at];
            let module = before.rsplit(|c: char| !c.is_alphanumeric() && c != '_').next();
            ends && module.is_some_and(|m| !["", "crate", "super", "self"].contains(&m))
        })
}

/// Whether two types share a half of their parts; a unit at the end of a name (`_mm`) aside.
fn alike(one: &Declared, other: &Declared) -> bool {
    let stem = |name: &str| name.split('_').next().unwrap_or_default().to_owned();
    let others: Vec<String> = other.parts.iter().map(|part| stem(part)).collect();
    let shared = one.parts.iter().filter(|part| others.contains(&stem(part))).count();
    shared > 0 && 2 * shared >= one.parts.len().min(other.parts.len())
}

/// The names of fields or variants in the lines after the first one of a declaration.
fn parts(lines: &[&str]) -> Vec<String> {
    let body = lines.iter().take_while(|line| !line.starts_with('}'));
    body.filter(|line| line.starts_with("    ") && !line.starts_with("     "))
        .filter_map(|line| {
            let line = line.trim();
            let line = line.strip_prefix("pub ").unwrap_or(line);
            let name = line.split(|c: char| !c.is_ascii_alphanumeric() && c != '_').next()?;
            (!name.is_empty()).then(|| name.to_owned())
        })
        .collect()
}

/// Every type that the sources under a folder declare, by hand or through a macro of the house.
fn declared(folder: &Path) -> Vec<Declared> {
    let mut all = Vec::new();
    for file in sources(folder) {
        let text = read(&file);
        let lines: Vec<&str> = text.lines().collect();
        let mut in_macro = false;
        let mut remote = false;
        for (index, line) in lines.iter().enumerate() {
            let tests = *line == "#[cfg(test)]"
                && lines.get(index + 1).is_some_and(|next| next.ends_with(" {"));
            if tests {
                break;
            }
            in_macro |= ["numbered! {", "identifier!(", "mirror! {", "choices! {"].contains(line);
            let name = by_hand(line).or_else(|| in_macro.then(|| by_macro(line)).flatten());
            if let Some(name) = name {
                in_macro = false;
                // A remote type is the core's own, told to the generator once more.
                if !std::mem::take(&mut remote) {
                    let file = file.strip_prefix(root()).unwrap_or(&file).to_owned();
                    let parts = parts(lines.get(index + 1..).unwrap_or_default());
                    all.push(Declared { name, file, line: index + 1, parts });
                }
            }
            remote |= line.starts_with("#[uniffi::remote(");
        }
    }
    all
}

/// `ObservedPass` of `pub(crate) struct ObservedPass<'a> {`.
fn by_hand(line: &str) -> Option<String> {
    let rest = line.trim_start().strip_prefix("pub")?;
    let rest = match rest.strip_prefix('(') {
        Some(scope) => scope.split_once(')')?.1,
        None => rest,
    };
    let rest = rest.strip_prefix(' ')?;
    let name = ["struct ", "enum ", "trait ", "type "].iter().find_map(|k| rest.strip_prefix(k))?;
    let name = name.split(|c: char| !c.is_ascii_alphanumeric()).next()?;
    is_type(name).then(|| name.to_owned())
}

/// `RodKind` of `    RodKind {`, `    RodKind = spec::RodKind {` and `    RodKind, 16, …`.
fn by_macro(line: &str) -> Option<String> {
    let line = line.strip_prefix("    ")?;
    let line = line.strip_prefix("closed ").unwrap_or(line);
    let end = line.find([' ', ','])?;
    let (name, rest) = line.split_at(end);
    let begins = [" {", " = ", ","].iter().any(|sign| rest.starts_with(sign));
    (begins && is_type(name)).then(|| name.to_owned())
}

/// Every source under a folder that is no test, example or bench.
fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        let entries = fs::read_dir(&folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
        for path in entries.map(|entry| entry.unwrap().path()) {
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            if path.is_dir() {
                if !["tests", "examples", "benches", "target"].contains(&name.as_str()) {
                    folders.push(path);
                }
            } else if path.extension().is_some_and(|kind| kind == "rs")
                && !name.ends_with("tests.rs")
                && name != "testing.rs"
            {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

fn read(file: &Path) -> String {
    fs::read_to_string(file).unwrap_or_else(|e| panic!("{}: {e}", file.display()))
}

fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.ancestors().nth(2).unwrap_or(here).to_owned()
}
