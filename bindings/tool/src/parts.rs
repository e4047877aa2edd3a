//! What a package carries of others' work: a bill of materials in CycloneDX's JSON (ECMA-424) and the
//! texts of the licences, both made from what cargo says is linked in.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::steps::{Outcome, output, root};

/// Licences that may be linked into the library, or the relay. A part under none of them stops the packaging.
const ACCEPTED: [&str; 16] = [
    "Apache-2.0",
    "MIT",
    "ISC",
    "MIT-0",
    "BSD-1-Clause",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "Zlib",
    "CC0-1.0",
    "Unlicense",
    "blessing",
    "BlueOak-1.0.0",
    "Unicode-3.0",
    "Apache-2.0 WITH LLVM-exception",
    // For each file by itself: whoever changes a file of it gives that file away again.
    "MPL-2.0",
    // The font of pages.
    "OFL-1.1",
];

/// Texts for parts that name a licence and bring no file with it.
const TEXTS: [(&str, &str); 5] = [
    ("CC0-1.0", "bindings/tool/licences/CC0-1.0.txt"),
    ("MPL-2.0", "bindings/tool/licences/MPL-2.0.txt"),
    ("OFL-1.1", "core/sheet/fonts/OFL.txt"),
    ("MIT", "LICENSE-MIT"),
    ("Apache-2.0", "LICENSE-APACHE"),
];

/// One part of a package: a crate, or what a package asks its user's build to bring.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Part {
    /// Its address as a package (package-url), which is also its name in the bill.
    url: String,
    name: String,
    version: String,
    /// SPDX expression.
    licence: String,
    /// Where its source is, as it says itself.
    source: String,
    /// SHA-256 of its source, from the lock file.
    checksum: Option<String>,
    /// Whether it lies in this repository.
    ours: bool,
}

/// The parts, and which of them needs which, by their addresses.
#[derive(Debug, Default)]
pub struct Parts {
    parts: BTreeMap<String, Part>,
    needs: BTreeMap<String, BTreeSet<String>>,
}

impl Parts {
    /// What is linked into the library, for a target (this machine if none is named). `for_phones`
    /// leaves out what the library for phones leaves out.
    pub fn of_library(triple: Option<&str>, for_phones: bool) -> Outcome<Self> {
        let target = triple.map(|triple| ["--target", triple]);
        let mut more: Vec<&str> = target.into_iter().flatten().collect();
        if for_phones {
            more.push("--no-default-features");
        }
        Self::of_package("fallaway-ffi", &more)
    }

    /// What is linked into the relay, for this machine.
    pub fn of_relay() -> Outcome<Self> {
        Self::of_package("fallaway-relay", &["--features", "postgres"])
    }

    fn of_package(package: &str, more: &[&str]) -> Outcome<Self> {
        let mut tree = Command::new("cargo");
        tree.current_dir(root()).args(["tree", "--locked", "--package", package]);
        tree.args(["--edges", "normal,no-proc-macro", "--prefix", "depth"]);
        tree.args(["--format", "\t{p}\t{l}\t{r}"]).args(more);
        let lock = root().join("Cargo.lock");
        let lock = fs::read_to_string(&lock).map_err(told(&lock))?;
        let mut parts = Self::of_tree(&output(&mut tree)?, &checksums(&lock))?;
        parts.add_what_cargo_does_not_name(package)?;
        for part in parts.parts.values() {
            accepted(part)?;
        }
        Ok(parts)
    }

    /// Reads what `cargo tree` says: depth, package, licence, repository.
    fn of_tree(tree: &str, checksums: &BTreeMap<String, String>) -> Outcome<Self> {
        let mut parts = Self::default();
        // The part that each depth stands under.
        let mut above: Vec<String> = Vec::new();
        for line in tree.lines() {
            let odd = || format!("cargo tree said something unknown: {line}");
            let fields: Vec<&str> = line.split('\t').collect();
            let [depth, package, licence, source] = fields.as_slice() else { return Err(odd()) };
            let depth: usize = depth.parse().map_err(|_| odd())?;
            let mut words = package.split_whitespace();
            let (Some(name), Some(version)) = (words.next(), words.next()) else {
                return Err(odd());
            };
            let version = version.trim_start_matches('v');
            let part = Part {
                url: format!("pkg:cargo/{name}@{version}"),
                name: name.to_owned(),
                version: version.to_owned(),
                // The form of before SPDX.
                licence: licence.replace('/', " OR "),
                source: source.trim_end_matches("(*)").trim().to_owned(),
                checksum: checksums.get(&format!("{name} {version}")).cloned(),
                ours: package.contains('('),
            };
            above.truncate(depth);
            if let Some(parent) = above.last() {
                parts.needs.entry(parent.clone()).or_default().insert(part.url.clone());
            }
            above.push(part.url.clone());
            parts.parts.entry(part.url.clone()).or_insert(part);
        }
        Ok(parts)
    }

    /// SQLite comes inside a crate, Rust's own library with the compiler, a font with what makes PDFs.
    fn add_what_cargo_does_not_name(&mut self, package: &str) -> Outcome {
        let Some(carrier) = self.parts.values().find(|part| part.name == "libsqlite3-sys").cloned()
        else {
            return Err("no part carries SQLite any more: say so here".to_owned());
        };
        let header = source_of(&carrier)?.join("sqlite3/sqlite3.h");
        let header = fs::read_to_string(&header).map_err(told(&header))?;
        let version = between(&header, "#define SQLITE_VERSION ", "\n").unwrap_or_default();
        self.add("pkg:generic/sqlite", version.trim().trim_matches('"'), "blessing", &carrier.url);
        let rust = output(Command::new("rustc").arg("--version"))?;
        let version = rust.split_whitespace().nth(1).unwrap_or_default();
        let library = self.parts.values().find(|part| part.name == package);
        let library = library.map(|part| part.url.clone()).unwrap_or_default();
        self.add("pkg:generic/rust-std", version, "MIT OR Apache-2.0", &library);
        let sheet = self.parts.values().find(|part| part.name == "fallaway-sheet");
        if let (Some(sheet), true) =
            (sheet.cloned(), self.parts.values().any(|part| part.name == "krilla"))
        {
            self.add("pkg:generic/ibm-plex-sans", "3.201", "OFL-1.1", &sheet.url);
        }
        Ok(())
    }

    /// Adds what the user's build brings beside the package.
    pub fn add_asked_for(&mut self, url: &str, version: &str, licence: &str) {
        self.add(url, version, licence, "");
    }

    fn add(&mut self, url: &str, version: &str, licence: &str, needed_by: &str) {
        let name = url.rsplit('/').next().unwrap_or(url).to_owned();
        let url = format!("{url}@{version}");
        if !needed_by.is_empty() {
            self.needs.entry(needed_by.to_owned()).or_default().insert(url.clone());
        }
        let part = Part {
            url: url.clone(),
            name,
            version: version.to_owned(),
            licence: licence.to_owned(),
            source: String::new(),
            checksum: None,
            ours: false,
        };
        self.parts.insert(url, part);
    }

    /// The bill of materials of a package, CycloneDX 1.6. The same parts give the same bytes.
    pub fn bill(&self, package: &str) -> String {
        let mut components = Vec::new();
        for part in self.parts.values() {
            let mut fields = vec![
                ("type", quoted("library")),
                ("bom-ref", quoted(&part.url)),
                ("name", quoted(&part.name)),
                ("version", quoted(&part.version)),
            ];
            if let Some(checksum) = &part.checksum {
                let hash = object(&[("alg", quoted("SHA-256")), ("content", quoted(checksum))]);
                fields.push(("hashes", format!("[{hash}]")));
            }
            let licence = object(&[("expression", quoted(&part.licence))]);
            fields.push(("licenses", format!("[{licence}]")));
            fields.push(("purl", quoted(&part.url)));
            if part.source.starts_with("https://") {
                let vcs = object(&[("type", quoted("vcs")), ("url", quoted(&part.source))]);
                fields.push(("externalReferences", format!("[{vcs}]")));
            }
            components.push(format!("    {}", object(&fields)));
        }
        // The package itself needs what nothing else asks for.
        let asked: BTreeSet<&String> = self.needs.values().flatten().collect();
        let first = self.parts.keys().filter(|part| !asked.contains(part)).cloned().collect();
        let name = package.to_owned();
        let all = [(&name, &first)].into_iter().chain(&self.needs);
        let needs = all.map(|(part, needed): (&String, &BTreeSet<String>)| {
            let needed: Vec<String> = needed.iter().map(|one| quoted(one)).collect();
            let on = format!("[{}]", needed.join(", "));
            format!("    {}", object(&[("ref", quoted(part)), ("dependsOn", on)]))
        });
        let subject = object(&[
            ("type", quoted("library")),
            ("bom-ref", quoted(package)),
            ("name", quoted(package)),
            ("version", quoted(env!("CARGO_PKG_VERSION"))),
            ("licenses", format!("[{}]", object(&[("expression", quoted("MIT OR Apache-2.0"))]))),
        ]);
        format!(
            "{{\n  \"bomFormat\": \"CycloneDX\",\n  \"specVersion\": \"1.6\",\n  \"version\": 1,\n  \
             \"metadata\": {{\"component\": {subject}}},\n  \"components\": [\n{}\n  ],\n  \
             \"dependencies\": [\n{}\n  ]\n}}\n",
            components.join(",\n"),
            needs.collect::<Vec<_>>().join(",\n"),
        )
    }

    /// All texts, each once, with the parts that it stands for.
    pub fn texts(&self) -> Outcome<String> {
        let mut texts: BTreeMap<String, (String, Vec<String>)> = BTreeMap::new();
        let mut named = String::new();
        for part in self.parts.values().filter(|part| !part.ours) {
            named += &["  ", &part.name, " ", &part.version, ": ", &part.licence].concat();
            if !part.source.is_empty() {
                named += &[", source: ", &part.source].concat();
            }
            named.push('\n');
            for text in texts_of(part)? {
                let same = text.split_whitespace().collect::<Vec<_>>().join(" ");
                let entry = texts.entry(same).or_insert_with(|| (text, Vec::new()));
                entry.1.push(format!("{} {}", part.name, part.version));
            }
        }
        let mut all = format!(
            "Fallaway is licensed under MIT OR Apache-2.0. Its library contains, or its package asks \
             for,\nwhat is listed here, each part under its own licence. Where a part offers a choice, \
             the text of\none of them follows. The parts under MPL-2.0 are used unchanged; their source \
             is where the list says.\nSQLite is in the public domain.\n\n{named}"
        );
        let mut texts: Vec<(String, Vec<String>)> = texts.into_values().collect();
        texts.sort_by(|a, b| a.1.cmp(&b.1));
        for (text, parts) in texts {
            let line = "-".repeat(78);
            let (parts, text) = (parts.join(", "), text.trim_end());
            all += &["\n", &line, "\n", &parts, "\n", &line, "\n\n", text, "\n"].concat();
        }
        Ok(all)
    }

    /// Lays into a folder what every package carries beside the library: the licences of the project,
    /// those of its parts, the bill of materials, and the changelog.
    pub fn lay_into(&self, folder: &Path, package: &str) -> Outcome {
        fs::create_dir_all(folder).map_err(told(folder))?;
        for name in ["LICENSE-APACHE", "LICENSE-MIT", "CHANGELOG.md"] {
            let from = root().join(name);
            fs::copy(&from, folder.join(name)).map_err(told(&from))?;
        }
        let texts = folder.join("THIRD-PARTY-LICENSES.txt");
        fs::write(&texts, self.texts()?).map_err(told(&texts))?;
        let bill = folder.join(BILL);
        fs::write(&bill, self.bill(package)).map_err(told(&bill))
    }
}

/// What [`Parts::lay_into`] lays into every package.
const CARRIED: [&str; 5] =
    ["LICENSE-APACHE", "LICENSE-MIT", "CHANGELOG.md", "THIRD-PARTY-LICENSES.txt", BILL];

/// Fails if a package lacks one of the files that go with the library everywhere; `listing` names what is
/// in it.
pub fn carries_all(package: &Path, listing: &str) -> Outcome {
    match CARRIED.iter().find(|name| !listing.contains(*name)) {
        Some(missing) => Err(format!("{} carries no {missing}", package.display())),
        None => Ok(()),
    }
}

/// The name of the bill of materials, as CycloneDX's tools look for it.
pub const BILL: &str = "fallaway.cdx.json";

/// The checksums in a lock file, by "name version".
fn checksums(lock: &str) -> BTreeMap<String, String> {
    let entries = lock.split("[[package]]");
    let of = |entry: &str| {
        let value = |key: &str| between(entry, &format!("\n{key} = \""), "\"").map(str::to_owned);
        Some((format!("{} {}", value("name")?, value("version")?), value("checksum")?))
    };
    entries.filter_map(of).collect()
}

/// One of the licences that a part offers is accepted whole.
fn accepted(part: &Part) -> Outcome {
    if allowed(&part.licence) {
        return Ok(());
    }
    Err(format!(
        "{} {} is under {:?}: look at it, and accept it in bindings/tool/src/parts.rs or do without",
        part.name, part.version, part.licence
    ))
}

/// Whether an SPDX expression can be met with what is accepted. AND binds tighter than OR (SPDX 3.0,
/// annex B).
fn allowed(licence: &str) -> bool {
    let parts = |by: &str| {
        let (mut parts, mut part, mut depth) = (Vec::new(), String::new(), 0);
        for word in licence.split_inclusive(' ') {
            if depth == 0 && word.trim() == by {
                parts.push(std::mem::take(&mut part));
            } else {
                depth += word.matches('(').count();
                depth = depth.saturating_sub(word.matches(')').count());
                part += word;
            }
        }
        parts.push(part);
        parts
    };
    let (any, all) = (parts("OR"), parts("AND"));
    if any.len() > 1 {
        return any.iter().any(|one| allowed(one.trim()));
    }
    if all.len() > 1 {
        return all.iter().all(|one| allowed(one.trim()));
    }
    match licence.strip_prefix('(').and_then(|rest| rest.strip_suffix(')')) {
        Some(inner) => allowed(inner),
        None => ACCEPTED.contains(&licence),
    }
}

/// The texts for one part. Of a choice that offers it, Apache-2.0, which is the same for most.
fn texts_of(part: &Part) -> Outcome<Vec<String>> {
    if part.url.starts_with("pkg:generic/sqlite") {
        return Ok(Vec::new());
    }
    let mut found = Vec::new();
    if part.url.starts_with("pkg:cargo/") {
        let folder = source_of(part)?;
        for entry in fs::read_dir(&folder).map_err(told(&folder))? {
            let path = entry.map_err(told(&folder))?.path();
            let name = path.file_name().unwrap_or_default().to_string_lossy().to_uppercase();
            let is_text = ["LICEN", "COPYING", "NOTICE", "COPYRIGHT", "UNLICEN"];
            if path.is_file() && is_text.iter().any(|begin| name.starts_with(begin)) {
                found.push((name, path));
            }
        }
    }
    found.sort();
    let apache = |name: &str| name.contains("APACHE") && !name.contains("LLVM");
    if part.licence.split(" OR ").any(|one| one == "Apache-2.0")
        && found.iter().any(|(name, _)| apache(name))
    {
        found.retain(|(name, _)| apache(name) || name.starts_with("NOTICE"));
    }
    if found.is_empty() {
        let offered = |licence: &str| part.licence.split([' ', '(', ')']).any(|one| one == licence);
        let kept = TEXTS.iter().find(|(licence, _)| offered(licence));
        let (_, file) =
            kept.ok_or_else(|| format!("no text for {} ({})", part.name, part.licence))?;
        found.push((String::new(), root().join(file)));
    }
    found.iter().map(|(_, path)| fs::read_to_string(path).map_err(told(path))).collect()
}

/// Where cargo keeps the source of a part.
fn source_of(part: &Part) -> Outcome<PathBuf> {
    let sources = cargo_home().join("registry/src");
    let folders = fs::read_dir(&sources).map_err(told(&sources))?.flatten();
    let name = format!("{}-{}", part.name, part.version);
    let mut found = folders.map(|folder| folder.path().join(&name)).filter(|path| path.is_dir());
    found.next().ok_or_else(|| format!("the source of {name} is not in {}", sources.display()))
}

/// Where cargo keeps what it fetched.
pub fn cargo_home() -> PathBuf {
    let home = || PathBuf::from(std::env::var_os("HOME").unwrap_or_default()).join(".cargo");
    std::env::var_os("CARGO_HOME").map_or_else(home, PathBuf::from)
}

fn between<'a>(text: &'a str, before: &str, after: &str) -> Option<&'a str> {
    text.split_once(before)?.1.split_once(after).map(|(found, _)| found)
}

/// A JSON object of values that are JSON already.
fn object(fields: &[(&str, String)]) -> String {
    let fields: Vec<String> =
        fields.iter().map(|(name, value)| format!("{}: {value}", quoted(name))).collect();
    format!("{{{}}}", fields.join(", "))
}

/// A JSON text.
fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' | '\\' => quoted.extend(['\\', letter]),
            letter if letter.is_control() => {
                let code = format!("\\u{:04x}", u32::from(letter));
                quoted.push_str(&code);
            }
            letter => quoted.push(letter),
        }
    }
    quoted + "\""
}

fn told(path: &Path) -> impl Fn(std::io::Error) -> String {
    let path = path.display().to_string();
    move |error| format!("{path}: {error}")
}

#[cfg(test)]
mod tests {
    use super::*;

    const TREE: &str = "0\tfallaway-ffi v0.1.0 (/x/ffi)\tMIT OR Apache-2.0\t\n\
        1\ta v1.0.0\tMIT/Apache-2.0\thttps://example.org/a\n\
        2\tb v2.0.0\tZlib\t\n\
        1\tb v2.0.0\tZlib\t (*)\n";

    #[test]
    fn a_package_without_a_licence_is_found() {
        let all = CARRIED.map(|name| format!("x/{name}")).join("\n");
        assert_eq!(carries_all(Path::new("a.jar"), &all), Ok(()));
        let less = all.replace("THIRD-PARTY-LICENSES.txt", "");
        assert!(carries_all(Path::new("a.jar"), &less).unwrap_err().contains("THIRD-PARTY"));
    }

    #[test]
    fn the_tree_is_read_with_who_needs_whom() {
        let lock = "[[package]]\nname = \"b\"\nversion = \"2.0.0\"\nchecksum = \"00ff\"\n";
        let parts = Parts::of_tree(TREE, &checksums(lock)).unwrap();
        assert_eq!(parts.parts.len(), 3);
        assert_eq!(parts.parts["pkg:cargo/a@1.0.0"].licence, "MIT OR Apache-2.0");
        assert_eq!(parts.needs["pkg:cargo/fallaway-ffi@0.1.0"].len(), 2);
        let bill = parts.bill("fallaway");
        assert!(bill.contains(r#""hashes": [{"alg": "SHA-256", "content": "00ff"}]"#), "{bill}");
        let on = r#"{"ref": "pkg:cargo/a@1.0.0", "dependsOn": ["pkg:cargo/b@2.0.0"]}"#;
        assert!(bill.contains(on), "{bill}");
        assert_eq!(quoted("a\"\\\n"), r#""a\"\\\u000a""#);
    }

    #[test]
    fn every_part_has_a_licence_that_we_accept_and_a_text() {
        for (triple, for_phones) in [(None, false), (Some("aarch64-linux-android"), true)] {
            let parts = Parts::of_library(triple, for_phones).unwrap();
            assert!(parts.parts.len() > 50, "{triple:?}: {}", parts.parts.len());
            assert!(parts.parts.values().any(|part| part.name == "sqlite"));
            let texts = parts.texts().unwrap();
            assert!(texts.contains("Mozilla Public License") && texts.contains("Apache License"));
        }
        let parts = Parts::of_relay().unwrap();
        assert!(parts.parts.values().any(|part| part.name == "ring"));
        assert!(parts.texts().unwrap().contains("ISC"));
        let part = Part { licence: "GPL-3.0-only".to_owned(), ..some_part() };
        assert!(accepted(&part).unwrap_err().contains("GPL-3.0-only"));
        for (licence, fine) in [
            ("MIT AND GPL-3.0-only", false),
            ("MIT AND GPL-3.0-only OR Zlib", true),
            ("(MIT OR GPL-3.0-only) AND Zlib", true),
            ("(MIT OR Zlib) AND (GPL-3.0-only OR X)", false),
            ("Apache-2.0 WITH LLVM-exception OR X", true),
        ] {
            assert_eq!(allowed(licence), fine, "{licence}");
        }
    }

    fn some_part() -> Part {
        let parts = Parts::of_tree(TREE, &BTreeMap::new()).unwrap();
        parts.parts.into_values().next().unwrap()
    }
}
