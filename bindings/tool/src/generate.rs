//! The foreign code, generated from the built library into `bindings/<language>` of the target
//! folder. It is never committed.

use std::env::consts::{DLL_PREFIX, DLL_SUFFIX};
use std::fs;
use std::path::PathBuf;

use crate::steps::{Outcome, run, target};

/// The languages that code is generated for.
pub const LANGUAGES: [&str; 3] = ["kotlin", "swift", "python"];

/// How the library is built.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Profile {
    /// Quick to build.
    Dev,
    /// As it is measured and shipped on computers.
    Release,
    /// As it is shipped on phones: small.
    Mobile,
}

impl Profile {
    /// The profile that `--release` or `--mobile` asks for.
    pub fn of(arguments: &[String]) -> Self {
        let asked = |name: &str| arguments.iter().any(|argument| argument == name);
        match (asked("--mobile"), asked("--release")) {
            (true, _) => Self::Mobile,
            (_, true) => Self::Release,
            _ => Self::Dev,
        }
    }

    /// What cargo calls it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Dev => "dev",
            Self::Release => "release",
            Self::Mobile => "mobile",
        }
    }

    const fn folder(self) -> &'static str {
        match self {
            Self::Dev => "debug",
            Self::Release => "release",
            Self::Mobile => "mobile",
        }
    }
}

/// Builds the shared library, with its symbols, and says where it lies.
pub fn library(profile: Profile) -> Outcome<PathBuf> {
    run("cargo", &["build", "--package", "fallaway-ffi", "--lib", "--profile", profile.name()])?;
    let file = format!("{DLL_PREFIX}fallaway_ffi{DLL_SUFFIX}");
    Ok(target().join(profile.folder()).join(file))
}

/// Where the code of a language is generated.
pub fn folder(language: &str) -> PathBuf {
    target().join("bindings").join(language)
}

/// Builds the library and generates the code of a language anew; says where the library lies.
pub fn generate(language: &str, profile: Profile) -> Outcome<PathBuf> {
    if !LANGUAGES.contains(&language) {
        return Err(format!("no language {language:?}; there are: {}", LANGUAGES.join(", ")));
    }
    let library = library(profile)?;
    let folder = folder(language);
    match fs::remove_dir_all(&folder) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
            return Err(format!("{} cannot be emptied: {error}", folder.display()));
        }
        _ => {}
    }
    let bindgen = ["run", "--quiet", "--package", "fallaway-bindgen", "--bin", "foreign-code"];
    let mut arguments: Vec<String> = bindgen.map(str::to_owned).into();
    arguments.extend(["--", "generate", "--no-format", "--language", language].map(str::to_owned));
    arguments.extend(["--out-dir".to_owned(), folder.display().to_string()]);
    arguments.push(library.display().to_string());
    run("cargo", &arguments)?;
    eprintln!("{language}: {}", folder.display());
    Ok(library)
}
