//! Within a crate, no two modules need each other: what is above uses what is below.
//!
//! It reads the sources: `use` declarations and paths in the text, through re-exports to the module
//! that declares. Tests, examples and benches are left out. A parent that only lists its children
//! uses none of them.

#![allow(clippy::panic, clippy::unwrap_used, clippy::indexing_slicing, reason = "a test may fail")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// The crates whose modules stand in floors, by their folders. In `core/text` a phrase shows itself through a voice, which
/// says phrases; in `core/mechanics` the clearance's kernel uses the types of its parent.
const CRATES: [&str; 12] = [
    "bindings/ffi",
    "core/advice",
    "core/changes",
    "core/fallaway",
    "core/measure",
    "core/record",
    "core/relay",
    "core/sharing",
    "core/sheet",
    "core/store",
    "core/sync",
    "sample-apps/terminal",
];

type Name = Vec<String>;

#[test]
fn no_module_needs_one_that_needs_it() {
    let mut circles = Vec::new();
    for crate_name in CRATES {
        let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(crate_name);
        let house = House::read(&source.join("src"));
        assert!(house.modules.len() > 5, "{crate_name}: the sources were not read");
        assert!(house.arrows.len() > 5, "{crate_name}: the sources were not understood");
        circles.extend(house.circles().into_iter().map(|one| format!("{crate_name}: {one}")));
    }
    assert!(circles.is_empty(), "these need each other:\n{}", circles.join("\n"));
}

#[test]
fn a_circle_is_found() {
    let text = |text: &str| tokens(&code(text));
    let modules = BTreeMap::from([
        (vec![], text("mod a; mod b; pub use b::Thing;")),
        (vec!["a".to_owned()], text("use crate::Thing; fn f() {}")),
        (vec!["b".to_owned()], text("pub(in crate::a) struct Thing; // crate::a::f\n")),
    ]);
    assert_eq!(House::of(modules.clone()).circles(), Vec::<String>::new());
    let mut turned = modules;
    turned.insert(vec!["b".to_owned()], text("pub struct Thing; fn g() { super::a::f() }"));
    assert_eq!(House::of(turned).circles(), ["a, b"]);
}

/// The modules of a crate, and which uses which.
struct House {
    modules: BTreeSet<Name>,
    arrows: BTreeSet<(Name, Name)>,
}

impl House {
    fn read(folder: &Path) -> Self {
        let mut modules = BTreeMap::new();
        collect(folder, &[], &mut modules);
        Self::of(modules)
    }

    fn of(modules: BTreeMap<Name, Vec<String>>) -> Self {
        let mut shown: BTreeMap<(Name, String), Name> = BTreeMap::new();
        let mut uses: Vec<(Name, Name)> = Vec::new();
        for (module, tokens) in &modules {
            for (path, alias, shows) in paths(tokens) {
                let Some(mut absolute) = absolute(module, &path, &modules) else { continue };
                if absolute.last().is_some_and(|last| last == "self") {
                    absolute.pop();
                }
                let name = alias.or_else(|| absolute.last().cloned());
                match name.filter(|_| shows) {
                    Some(name) => drop(shown.insert((module.clone(), name), absolute)),
                    None => uses.push((module.clone(), absolute)),
                }
            }
        }
        let declares = |mut path: Name| {
            // Each round follows one re-export.
            for _ in 0..8 {
                let known = (0..=path.len()).rev().find(|n| modules.contains_key(&path[..*n]));
                let module = path[..known.unwrap_or(0)].to_vec();
                let Some(name) = path.get(module.len()) else { return module };
                match shown.get(&(module.clone(), name.clone())) {
                    Some(target) => path = [target, &path[module.len() + 1..]].concat(),
                    None => return module,
                }
            }
            path
        };
        let arrows = uses.into_iter().map(|(from, path)| (from, declares(path)));
        let arrows = arrows.filter(|(from, to)| from != to).collect();
        Self { modules: modules.into_keys().collect(), arrows }
    }

    /// Modules from each of which the others can be reached.
    fn circles(&self) -> Vec<String> {
        let reached = |from: &Name| {
            let mut found = BTreeSet::new();
            let mut left = vec![from];
            while let Some(module) = left.pop() {
                for (_, to) in self.arrows.iter().filter(|(from, _)| from == module) {
                    if found.insert(to) {
                        left.push(to);
                    }
                }
            }
            found
        };
        let reached: BTreeMap<_, _> = self.modules.iter().map(|one| (one, reached(one))).collect();
        let circle = |one: &Name| -> Vec<String> {
            let back = reached[one].iter().filter(|to| reached[**to].contains(one));
            back.map(|to| to.join("::")).collect()
        };
        let circles: BTreeSet<_> = self.modules.iter().map(circle).collect();
        circles.into_iter().filter(|one| one.len() > 1).map(|one| one.join(", ")).collect()
    }
}

fn collect(folder: &Path, name: &[String], modules: &mut BTreeMap<Name, Vec<String>>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let stem = path.file_stem().unwrap().to_string_lossy().into_owned();
        let own = [name, std::slice::from_ref(&stem)].concat();
        if path.is_dir() {
            collect(&path, &own, modules);
        } else if !stem.contains("tests") {
            let is_folder = stem == "mod" || (stem == "lib" && name.is_empty());
            let own = if is_folder { name.to_vec() } else { own };
            modules.insert(own, tokens(&code(&fs::read_to_string(&path).unwrap())));
        }
    }
}

/// Without comments, texts and the tests at the end.
fn code(text: &str) -> String {
    let tests = text.split_once("#[cfg(test)]\nmod ").map_or(text, |(code, _)| code);
    let lines = tests.lines().filter(|line| !line.trim_start().starts_with("//"));
    let lines = lines.map(|line| line.split(" // ").next().unwrap_or_default());
    let joined = lines.collect::<Vec<_>>().join("\n").replace("\\\"", "").replace("'\"'", "");
    // What stands between quotation marks is every second part.
    joined.split('"').step_by(2).collect::<Vec<_>>().join(" ")
}

/// Words, `::` and single signs.
fn tokens(code: &str) -> Vec<String> {
    let mut all = Vec::new();
    let mut left = code.trim_start();
    while let Some(first) = left.chars().next() {
        let is_word = |c: char| c.is_alphanumeric() || c == '_';
        let length = match left.find(|c| !is_word(c)).unwrap_or(left.len()) {
            0 if left.starts_with("::") => 2,
            0 => first.len_utf8(),
            length => length,
        };
        all.push(left[..length].to_owned());
        left = left[length..].trim_start();
    }
    all
}

/// Every path, the name that it gets by `as`, and whether it is a re-export.
fn paths(tokens: &[String]) -> Vec<(Name, Option<String>, bool)> {
    let mut found = Vec::new();
    let (mut at, mut shows) = (0, false);
    while at < tokens.len() {
        match tokens[at].as_str() {
            "use" => at = tree(tokens, at + 1, &[], shows, &mut found),
            "pub" => {
                shows = true;
                at += 1;
                if tokens.get(at).is_some_and(|next| next == "(") {
                    at += tokens[at..].iter().position(|one| one == ")").unwrap_or(0) + 1;
                }
                continue;
            }
            _ => {
                let mut path = vec![tokens[at].clone()];
                while tokens.get(at + 1).is_some_and(|next| next == "::") {
                    path.extend(tokens.get(at + 2).cloned());
                    at += 2;
                }
                if path.len() > 1 {
                    found.push((path, None, false));
                }
                at += 1;
            }
        }
        shows = false;
    }
    found
}

/// Reads the tree of a `use` from `at`; returns where it ends.
fn tree(
    tokens: &[String],
    mut at: usize,
    front: &[String],
    shows: bool,
    found: &mut Vec<(Name, Option<String>, bool)>,
) -> usize {
    let mut path = front.to_vec();
    while let Some(token) = tokens.get(at) {
        match token.as_str() {
            "::" => {}
            "{" => {
                loop {
                    at = tree(tokens, at + 1, &path, shows, found);
                    if tokens.get(at).is_none_or(|end| end != ",") {
                        break;
                    }
                }
                // Past the bracket; the tree is complete.
                return at + 1;
            }
            "as" => {
                found.push((path, tokens.get(at + 1).cloned(), shows));
                return at + 2;
            }
            "," | "}" | ";" => {
                if path.len() > front.len() {
                    found.push((path, None, shows));
                }
                return at;
            }
            _ => path.push(token.clone()),
        }
        at += 1;
    }
    at
}

/// From the root of the crate; `None` for what is another crate's, or no module.
fn absolute(module: &[String], path: &[String], all: &BTreeMap<Name, Vec<String>>) -> Option<Name> {
    let child = |name: &String| all.contains_key(&[module, std::slice::from_ref(name)].concat());
    match path.first()?.as_str() {
        "crate" => Some(path[1..].to_vec()),
        "self" => Some([module, &path[1..]].concat()),
        "super" => {
            let ups = path.iter().take_while(|part| *part == "super").count();
            Some([module.get(..module.len().checked_sub(ups)?)?, &path[ups..]].concat())
        }
        _ if child(&path[0]) => Some([module, path].concat()),
        _ => None,
    }
}

#[test]
fn terminal_and_bindings_use_the_library_and_nothing_below_it() {
    for user in ["sample-apps/terminal", "bindings/ffi"] {
        let file =
            Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(user).join("Cargo.toml");
        let manifest = fs::read_to_string(file).unwrap();
        let needs = manifest.split("\n[").find(|part| part.starts_with("dependencies]")).unwrap();
        let own = needs.lines().filter(|line| line.starts_with("fallaway"));
        let own: BTreeSet<_> = own.filter_map(|line| line.split(['.', ' ', '=']).next()).collect();
        // The second holds the machinery of messages, in which they say what is theirs.
        assert_eq!(own, BTreeSet::from(["fallaway", "fallaway-text"]), "{user}");
    }
}
