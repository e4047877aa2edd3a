//! The libraries of the app, as `sample-apps/android/libraries.txt` lists them. Maven only fetches them:
//! it cannot put Android's archives on a path of classes.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::steps::{Outcome, remove, run_command};

/// One line of the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Library {
    group: String,
    artifact: String,
    version: String,
    /// Whether it is an archive with resources.
    aar: bool,
    /// Whether it brings along what it asks for.
    with_all: bool,
}

impl Library {
    fn read(line: &str) -> Outcome<Self> {
        let (name, with_all) = match line.strip_suffix(" and what it asks for") {
            Some(name) => (name, true),
            None => (line, false),
        };
        let parts: Vec<&str> = name.split(':').collect();
        match parts.as_slice() {
            [group, artifact, version] | [group, artifact, version, "aar"] => Ok(Self {
                group: (*group).to_owned(),
                artifact: (*artifact).to_owned(),
                version: (*version).to_owned(),
                aar: parts.len() > 3,
                with_all,
            }),
            _ => Err(format!("{line:?} is no library: group:artifact:version, or :aar after it")),
        }
    }

    fn dependency(&self) -> String {
        let kind = if self.aar { "<type>aar</type>" } else { "" };
        let alone = "<exclusions><exclusion><groupId>*</groupId><artifactId>*</artifactId>\
                     </exclusion></exclusions>";
        format!(
            "<dependency><groupId>{}</groupId><artifactId>{}</artifactId><version>{}</version>{kind}{}\
             </dependency>",
            self.group,
            self.artifact,
            self.version,
            if self.with_all { "" } else { alone }
        )
    }
}

/// The libraries under one heading of the list.
pub fn listed(list: &str, heading: &str) -> Outcome<Vec<Library>> {
    let begin = format!("[{heading}:");
    let lines = list.lines().skip_while(|line| !line.starts_with(&begin)).skip(1);
    let lines = lines.take_while(|line| !line.starts_with('['));
    let found: Vec<Library> = lines
        .filter(|line| !line.is_empty() && !line.starts_with('#'))
        .map(|line| Library::read(&line.replace(LISTED_COMPUTER, &this_computer())))
        .collect::<Outcome<_>>()?;
    if found.is_empty() { Err(format!("no library under [{heading}: ...]")) } else { Ok(found) }
}

/// The kind of computer that the list names where a library is another one on each.
const LISTED_COMPUTER: &str = "linux-x64";

/// What such a library calls this computer.
fn this_computer() -> String {
    use std::env::consts::{ARCH, OS};
    let arch = match ARCH {
        "x86_64" => "x64",
        "aarch64" => "arm64",
        other => other,
    };
    format!("{OS}-{arch}")
}

/// Fetches libraries into a folder, unless those of this list are there, and says what lies in it.
pub fn fetch(libraries: &[Library], folder: &Path) -> Outcome<Vec<PathBuf>> {
    let pom = pom(libraries);
    let file = folder.join("pom.xml");
    let files = folder.join("files");
    if fs::read_to_string(&file).ok().as_deref() != Some(&pom) {
        remove(folder)?;
        fs::create_dir_all(folder).map_err(|error| format!("{}: {error}", folder.display()))?;
        let asked = folder.join("asked.xml");
        fs::write(&asked, &pom).map_err(|error| format!("{}: {error}", asked.display()))?;
        let mut maven = Command::new("mvn");
        maven.args(["--batch-mode", "--no-transfer-progress", "--quiet", "--file"]).arg(&asked);
        maven.arg("org.apache.maven.plugins:maven-dependency-plugin:3.9.0:copy-dependencies");
        maven.arg("-Dmdep.prependGroupId=true");
        maven.arg(format!("-DoutputDirectory={}", files.display()));
        run_command(maven)?;
        // Named so only when everything is there.
        fs::rename(&asked, &file).map_err(|error| format!("{}: {error}", file.display()))?;
    }
    let mut there = BTreeSet::new();
    for entry in fs::read_dir(&files).map_err(|error| format!("{}: {error}", files.display()))? {
        there.insert(entry.map_err(|error| format!("{}: {error}", files.display()))?.path());
    }
    Ok(there.into_iter().collect())
}

fn pom(libraries: &[Library]) -> String {
    let mut pom = String::from(
        "<project xmlns=\"http://maven.apache.org/POM/4.0.0\"><modelVersion>4.0.0</modelVersion>\
         <groupId>dev.fallaway</groupId><artifactId>app</artifactId><version>0</version>\
         <packaging>pom</packaging><dependencies>\n",
    );
    for one in libraries {
        let _ = writeln!(pom, "{}", one.dependency());
    }
    pom.push_str("</dependencies></project>\n");
    pom
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steps::root;

    #[test]
    fn the_list_is_read() {
        let list = "# a word\n[app: goes in]\na.b:c:1.0:aar\n\n[test: stays]\nd:e:2 and what it asks for\n";
        let app = listed(list, "app").unwrap();
        assert_eq!(app.len(), 1);
        assert_eq!((app[0].artifact.as_str(), app[0].aar), ("c", true));
        assert!(pom(&app).contains("<type>aar</type><exclusions>"));
        let test = listed(list, "test").unwrap();
        assert!(!pom(&test).contains("exclusions"));
        assert!(listed(list, "none").is_err());
        assert!(listed("[app: x]\nnonsense\n", "app").is_err());
    }

    /// The files for Gradle, which nothing here runs, name what the chores take.
    #[test]
    fn gradle_is_told_the_same_sources_and_versions() {
        let app = root().join("sample-apps/android");
        let gradle = fs::read_to_string(app.join("app/build.gradle.kts")).unwrap();
        let list = fs::read_to_string(app.join("libraries.txt")).unwrap();
        let manifest = fs::read_to_string(app.join("app/AndroidManifest.xml")).unwrap();
        let quoted = |before: &str| -> Vec<&str> {
            gradle.split(before).skip(1).map(|rest| rest.split('"').next().unwrap()).collect()
        };
        let libraries = quoted("implementation(\"");
        assert!(libraries.len() > 5, "{libraries:?}");
        for library in libraries {
            let (name, version) = library.rsplit_once(':').unwrap();
            let known = ["", "-android", "-jvm"].iter().any(|kind| {
                list.lines()
                    .any(|line| line.trim_end_matches(":aar") == format!("{name}{kind}:{version}"))
            });
            assert!(
                known
                    || library
                        == concat!("dev.fallaway:fallaway-android:", env!("CARGO_PKG_VERSION")),
                "{library}"
            );
        }
        assert_eq!(quoted("namespace = \""), [super::super::PACKAGE]);
        for folder in quoted("srcDirs(\"").into_iter().chain(quoted("src\", \"")) {
            assert!(app.join("app").join(folder).is_dir(), "{folder}");
        }
        let files = ["srcFile(\"", "optimize.txt\"), \"", "Directory.file(\""];
        for file in files.into_iter().flat_map(quoted) {
            assert!(app.join("app").join(file).is_file(), "{file}");
        }
        let number = |name: &str| {
            let rest = gradle.split_once(&format!("{name} = ")).unwrap().1;
            rest.lines().next().unwrap().trim_matches('"').to_owned()
        };
        for (ours, androids) in [
            ("minSdk", "android:minSdkVersion"),
            ("targetSdk", "android:targetSdkVersion"),
            ("versionCode", "android:versionCode"),
            ("versionName", "android:versionName"),
        ] {
            assert!(manifest.contains(&format!("{androids}=\"{}\"", number(ours))), "{ours}");
        }
        let ids = quoted("id(\"org.jetbrains.kotlin.android\") version \"");
        assert!(list.contains(&format!("kotlin-stdlib:{}", ids.join(""))));
    }

    #[test]
    fn kotlin_is_the_same_version_as_that_of_the_module() {
        let list = fs::read_to_string(root().join("sample-apps/android/libraries.txt")).unwrap();
        let pom = fs::read_to_string(root().join("bindings/kotlin/pom.xml")).unwrap();
        for (name, version) in [
            ("kotlin-stdlib", "<kotlin.version>"),
            ("kotlin-compiler-embeddable", "<kotlin.version>"),
            ("jna", "<artifactId>jna</artifactId>\n      <version>"),
        ] {
            let (_, version) = pom.split_once(version).unwrap();
            let (version, _) = version.split_once('<').unwrap();
            assert!(list.contains(&format!(":{name}:{version}")), "{name} {version}");
        }
    }
}
