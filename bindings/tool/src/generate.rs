//! The foreign code, generated from the built library into `bindings/<language>` of the target
//! folder. It is never committed.

use std::env::consts::{DLL_PREFIX, DLL_SUFFIX, EXE_SUFFIX};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::phone;
use crate::shared::{build_alone_to_give_away, built};
use crate::steps::{Outcome, remove, root, run, run_command, target};

/// The languages that code is generated for.
pub const LANGUAGES: [&str; 3] = ["kotlin", "swift", "python"];

/// How the library is built.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Profile {
    /// Quick to build.
    Dev,
    /// As it is measured and shipped on computers.
    Release,
    /// As it is shipped on phones: small, without the single formulas.
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
    const fn name(self) -> &'static str {
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
    match profile {
        // With the features of the whole workspace: so it is the one that the tests have built.
        Profile::Dev => run("cargo", &["build", "--locked", "--workspace", "--lib"])?,
        Profile::Release => build_alone_to_give_away(&["--profile", profile.name()])?,
        Profile::Mobile => return phone::library(None),
    }
    Ok(built(profile.folder()))
}

/// Builds the library with one variant more in one choice, as a newer one might have, for the tests of
/// how choices grow; says where it lies.
pub fn grown_library() -> Outcome<PathBuf> {
    let wanted = ["build", "--locked", "--workspace", "--lib", "--features", "fallaway-ffi/grown"];
    run("cargo", &wanted)?;
    let file = format!("{DLL_PREFIX}fallaway_ffi{DLL_SUFFIX}");
    let folder = target().join("bindings/grown");
    fs::create_dir_all(&folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    let kept = folder.join(&file);
    fs::copy(target().join("debug").join(&file), &kept)
        .map_err(|error| format!("{}: {error}", kept.display()))?;
    Ok(kept)
}

/// Builds the generator, which is no part of the workspace, and says where its program lies.
pub fn generator(program: &str) -> Outcome<PathBuf> {
    let manifest = root().join("bindings/bindgen/Cargo.toml");
    let mut cargo = Command::new("cargo");
    cargo.args(["build", "--locked", "--bin", program, "--manifest-path"]).arg(manifest);
    cargo.arg("--target-dir").arg(target());
    run_command(cargo)?;
    Ok(target().join("debug").join(format!("{program}{EXE_SUFFIX}")))
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
    match profile {
        // The library for phones no longer describes itself.
        Profile::Mobile => generate_from(&phone::described()?, language)?,
        Profile::Dev | Profile::Release => generate_from(&library, language)?,
    }
    Ok(library)
}

/// Generates the code of a language anew, from a library that is there, with its symbols.
pub fn generate_from(library: &Path, language: &str) -> Outcome {
    let folder = folder(language);
    remove(&folder)?;
    let mut generator = Command::new(generator("foreign-code")?);
    generator.args(["generate", "--no-format", "--language", language, "--out-dir"]);
    generator.args([folder.as_path(), library]).current_dir(root());
    run_command(generator)?;
    eprintln!("{language}: {}", folder.display());
    Ok(())
}
