//! The project's chores behind one command: `cargo tool <chore>`.
//!
//! Each says what it runs, and ends at the first thing that fails.
#![forbid(unsafe_code)]

mod android;
mod app;
mod calls;
mod cookbook;
mod end_to_end;
mod face;
mod fresh;
mod generate;
mod ios;
mod kotlin;
mod left_running;
mod pages;
mod parts;
mod phone;
mod python;
mod quickstart;
mod relay;
mod rust;
mod shared;
mod size;
mod steps;
mod swift;
mod weighs;
mod words;

use std::process::ExitCode;

use generate::{Profile, generate};
use parts::Parts;
use steps::Outcome;

const HELP: &str = "\
Usage: cargo tool <chore>

  check                run the project's whole check (.ci/run)
  quick                format, lints and tests of the libraries only, for use while editing
  bench                every benchmark, release build

  generate <language>  build the library and generate the code of kotlin, swift or python into
                       bindings/<language> of the target folder; --release or --mobile for a build
                       as it is shipped

  face                 write the listing of what crosses to other languages, bindings/ffi/face.txt,
                       from the built library; with --check, fail if it is out of date
  record vectors       write the golden vectors of recorded instruments (tests/vectors) anew
  cookbook             write docs/embedding/cookbook from its tasks and the languages' tests, and
                       docs/embedding/calls.md from the sources
  size [target]        what the library weighs as it is shipped on phones, and what takes the space
  install kotlin       the package as it is handed out, put into ~/.m2/repository
  install python       the same with pip, into the Python that is called python3
  install swift <folder>
                       the same, into a folder that an app names in its Package.swift
  fresh <language>     the commands of a page's Install, word for word, for somebody who has nothing yet:
                       python in an environment, kotlin with a repository of its own (fetches what
                       Maven needs), swift by path and by URL in its Debian root; then the page's own
                       program there, and whether the page says what it weighs; android: what of it can
                       be run here
  parts [relay]        the bill of materials of the library (CycloneDX), or of the relay, for this
                       machine

  build kotlin         generate, lay the native library beside it, and compile the Kotlin module
  package kotlin       a Maven repository with the module, its sources and its documentation, made
                       with the library as it is shipped
  test kotlin          tests, documentation of every public name, quickstart
  measure kotlin       foreign calls and time of each screen, cold start
  device kotlin        build the Kotlin device of the end-to-end test, and print how it is started

  package android      an AAR in a Maven repository; needs the Android NDK and SDK, and Gradle
  test android         all of it but cross compiling and Gradle, with a library of this machine

  test models          the view models of the sample app, and the scripted days of two phones on them
  record models        the same, and write what the screens show into tests/vectors/screens/days.json

  test ios             the sample app for iOS in the same root: its view models play the scripted days, its
                       views are type-checked
  record texts         write its string catalogue from Android's texts
  test app             the sample app for Android itself, under Robolectric; needs aapt2 and unzip
                       (Debian: aapt, unzip), and downloads 441 MB the first time
  preview              its screens in a window of this computer, with the demo's data; --png FILE draws
                       one without a window, after taps (instrument.1 tab.plan rise=-0.5); --theme
                       light, dark or stage, --text-size 200, --language de, --size 360x740, --data
                       FOLDER of a workshop
  test preview         the same, drawn without a window and looked through; downloads 35 MB the first time
  measure preview      from the start of Java to the first frame with numbers, a slider, memory
  pictures             pictures of its screens, in bindings/app/pictures of the target folder
  measure app          time, memory and calls of its screens, on this machine
  package app          an APK, whole and shrunk, aligned, signed with a key that is thrown away, without
                       the library for phones; needs zipalign and apksigner (Debian: the same)

  assemble swift       put the Swift package together, without building it
  build swift          put the Swift package together and build it (in a Debian root with Swift)
  package swift        the same as an archive for Linux
  test swift           tests, documentation of every public name, format, quickstart
  device swift         build the device of the end-to-end script; prints program and arguments, each
                       in a line
  measure swift        foreign calls and time of each screen, cold start

  build python         a wheel
  package python       the same, release build
  test python          types, tests, golden vectors, quickstart, in an environment of its own

  test relay           the relay as a program: killed, held up, overrun, its folder one of yesterday;
                       needs PostgreSQL's programs

  test end-to-end      a device in each language shares one record with the others, driven by a script;
                       --devices rust,python,kotlin,swift --seed 1 --runs 3 --rounds 80
";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match chore(&arguments) {
        Some(Ok(())) => ExitCode::SUCCESS,
        Some(Err(reason)) => {
            eprintln!("{reason}");
            ExitCode::FAILURE
        }
        None => {
            eprint!("{HELP}");
            ExitCode::from(2)
        }
    }
}

/// Does what was asked for; `None` if that is nothing known.
fn chore(arguments: &[String]) -> Option<Outcome> {
    let (chore, rest) = arguments.split_first()?;
    let subject = rest.first().map_or("", String::as_str);
    Some(match (chore.as_str(), subject) {
        ("check", _) => rust::check(),
        ("quick", _) => rust::quick(),
        ("bench", _) => rust::bench(),
        ("generate", language) => generate(language, Profile::of(rest)).map(drop),
        ("size", triple) => size::measure(Some(triple).filter(|t| !t.is_empty())),
        ("record", "vectors") => rust::record_vectors(),
        ("cookbook", "") => cookbook::write(),
        ("parts", "") => Parts::of_library(None, false).map(|p| print!("{}", p.bill("fallaway"))),
        ("parts", "relay") => Parts::of_relay().map(|p| print!("{}", p.bill("fallaway-relay"))),
        ("face", "") => face::write(),
        ("face", "--check") => face::check(),
        ("install", "kotlin") => kotlin::install(),
        ("install", "python") => python::install(),
        ("install", "swift") => swift::install(rest.get(1)?),
        ("fresh", language) => fresh::install(language)?,
        ("package", "android") => android::package(),
        ("test", "android") => android::test(),
        ("test", "app") => app::test(),
        ("measure", "app") => app::measure(),
        ("package", "app") => app::package::package(),
        ("preview", _) => app::preview::show(rest),
        ("test", "preview") => app::preview::test(),
        ("measure", "preview") => app::preview::measure(),
        ("pictures", "") => app::pictures(),
        ("test", "models") => app::models(app::Screens::Compare),
        ("record", "models") => app::models(app::Screens::Record),
        ("test", "ios") => ios::test(),
        ("record", "texts") => ios::record_texts(),
        ("build", "kotlin") => kotlin::build(Profile::of(rest)),
        ("package", "kotlin") => kotlin::package(),
        ("test", "kotlin") => kotlin::test(),
        ("measure", "kotlin") => kotlin::measure(),
        ("device", "kotlin") => kotlin::device().map(|command| println!("{command}")),
        ("test", "relay") => rust::relay(),
        ("test", "end-to-end") => end_to_end::test(rest),
        ("assemble", "swift") => swift::assemble(Profile::of(rest)).map(drop),
        ("build", "swift") => swift::build(Profile::of(rest)),
        ("build", "python") => python::build(Profile::of(rest)).map(drop),
        ("package", "python") => python::package().map(drop),
        ("test", "python") => python::test(),
        ("package", "swift") => swift::package().map(drop),
        ("test", "swift") => swift::test(),
        ("device", "swift") => swift::device().map(|command| println!("{}", command.join("\n"))),
        ("measure", "swift") => swift::measure(),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use std::fs;

    use crate::steps::root;

    /// Files outside Rust that call this command or name versions.
    const FILES: [&str; 13] = [
        ".ci/run",
        "DEVELOPERS.md",
        "bindings/kotlin/README.md",
        "bindings/kotlin/pom.xml",
        "bindings/kotlin/android/README.md",
        "bindings/kotlin/android/build.gradle.kts",
        "bindings/swift/README.md",
        "bindings/swift/build-xcframework",
        "docs/embedding/README.md",
        "docs/embedding/kotlin.md",
        "docs/embedding/python.md",
        "docs/embedding/swift.md",
        "docs/embedding/size.md",
    ];

    fn read(file: &str) -> String {
        fs::read_to_string(root().join(file)).unwrap()
    }

    #[test]
    fn every_chore_that_is_named_is_one() {
        let mut found = 0;
        for file in FILES {
            for call in read(file).split("cargo tool ").skip(1) {
                let words: Vec<&str> = call.split([' ', '`', '\n', '"', '.', ',', ')']).collect();
                let subject = words.get(1).filter(|word| word.starts_with(char::is_alphabetic));
                let one = [words[0], subject.unwrap_or(&"")].join(" ");
                let known = super::HELP.lines().any(|line| {
                    line.trim_start().starts_with(&one)
                        || line.trim_start().starts_with(&format!("{} ", words[0]))
                            && ![
                                "test", "package", "build", "measure", "device", "assemble",
                                "install",
                            ]
                            .contains(&words[0])
                });
                assert!(known, "{file}: cargo tool {one}");
                found += 1;
            }
        }
        assert!(found > 10, "{found}");
    }

    #[test]
    fn versions_agree() {
        let between = |file: &str, before: &str, after: &str| {
            let text = read(file);
            let (_, rest) = text.split_once(before).unwrap_or_else(|| panic!("{file}: {before}"));
            rest.split_once(after).unwrap().0.to_owned()
        };
        let ours = env!("CARGO_PKG_VERSION");
        let pom = "bindings/kotlin/pom.xml";
        let gradle = "bindings/kotlin/android/build.gradle.kts";
        let page = "docs/embedding/kotlin.md";
        assert_eq!(between(pom, "<artifactId>fallaway</artifactId>\n  <version>", "<"), ours);
        assert_eq!(between(gradle, "\nversion = \"", "\""), ours);
        assert_eq!(between(page, "<artifactId>fallaway</artifactId><version>", "<"), ours);
        assert_eq!(between(page, "dev.fallaway:fallaway:", "`"), ours);
        assert_eq!(between(page, "implementation(\"dev.fallaway:fallaway:", "\""), ours);
        let kotlin = between(pom, "<kotlin.version>", "<");
        assert_eq!(between(page, "kotlin-maven-plugin</artifactId><version>", "<"), kotlin);
        assert_eq!(
            between(gradle, "id(\"org.jetbrains.kotlin.android\") version \"", "\""),
            kotlin
        );
        let jna = between(pom, "<artifactId>jna</artifactId>\n      <version>", "<");
        assert_eq!(between(gradle, "net.java.dev.jna:jna:", "@"), jna);
        let before = "coroutines-core-jvm</artifactId>\n      <version>";
        let coroutines = between(pom, before, "<");
        assert_eq!(between(gradle, "kotlinx-coroutines-android:", "\""), coroutines);
        assert!(read("CHANGELOG.md").contains(&format!("\n## {ours}")), "CHANGELOG.md: {ours}");
    }
}
