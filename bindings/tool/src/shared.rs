//! The shared library that other languages load: how it is built by itself, and where it lies then.

use std::env::consts::{DLL_PREFIX, DLL_SUFFIX};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::parts::cargo_home;
use crate::steps::{Outcome, root, run_command, rusts_own_tools, target};

/// Builds the shared library and nothing beside: with a Rust library in the same build, cargo would not
/// optimise over crates.
pub fn build_alone(more: &[&str]) -> Outcome {
    run_command(alone(more))
}

/// The same for a library that is given away: it names no folder of this machine.
pub fn build_alone_to_give_away(more: &[&str]) -> Outcome {
    let mut cargo = alone(more);
    give_away(&mut cargo);
    run_command(cargo)
}

fn alone(more: &[&str]) -> Command {
    let mut cargo = Command::new("cargo");
    cargo.current_dir(root()).args(["rustc", "--locked", "--package", "fallaway-ffi", "--lib"]);
    cargo.args(["--crate-type", "cdylib"]).args(more);
    cargo
}

/// Tells the compiler to write other names for the folders of this machine: messages of panics name
/// the file of their code, with its whole path where it is a dependency's. Code in C is given no tables
/// for unwinding: no panic passes through it, each ends where Rust is called from C. Of SHA-2, for
/// processors without instructions for it, the rounds stand in loops and not written out, 15 kB less.
pub fn give_away(cargo: &mut Command) {
    let mut flags: Vec<String> = match std::env::var("CARGO_ENCODED_RUSTFLAGS") {
        Ok(flags) => flags.split('\u{1f}').map(str::to_owned).collect(),
        Err(_) => std::env::var("RUSTFLAGS")
            .map(|flags| flags.split_whitespace().map(str::to_owned).collect())
            .unwrap_or_default(),
    };
    // Of several that fit, the last counts.
    let mut folders = vec![(cargo_home(), "cargo"), (root(), "fallaway"), (target(), "target")];
    let sources = fs::read_dir(cargo_home().join("registry/src")).into_iter().flatten().flatten();
    folders.extend(sources.map(|folder| (folder.path(), "parts")));
    // Where Rust's own sources are installed, what it inlines from them is named by their place.
    let rust =
        rusts_own_tools().ok().and_then(|tools| Some(tools.ancestors().nth(2)?.join("src/rust")));
    folders.extend(rust.map(|folder| (folder, "rust")));
    flags.push("--cfg=sha2_backend_soft=\"compact\"".to_owned());
    flags.extend(
        folders
            .iter()
            .map(|(folder, name)| format!("--remap-path-prefix={}={name}", folder.display())),
    );
    cargo.env("CARGO_ENCODED_RUSTFLAGS", flags.join("\u{1f}"));
    if std::env::var_os("CFLAGS").is_none() && !cfg!(windows) {
        cargo.env("CFLAGS", "-fno-asynchronous-unwind-tables -fno-unwind-tables");
    }
}

/// Fails if a library that is given away names a folder of this machine.
pub fn names_no_folder(library: &Path) -> Outcome {
    let bytes = fs::read(library).map_err(|error| format!("{}: {error}", library.display()))?;
    let home = std::env::var_os("HOME").map(PathBuf::from);
    let folders = [Some(root()), Some(cargo_home()), Some(target()), home];
    // A home of "/" or "/root" stands in other words too: with what follows it, it is a folder.
    for folder in folders.into_iter().flatten().filter(|folder| folder.components().count() > 1) {
        let name = format!("{}/", folder.display());
        if let Some(place) = find(&bytes, name.as_bytes()) {
            let found = bytes.get(place..).unwrap_or_default();
            let found = String::from_utf8_lossy(found.get(..100).unwrap_or(found)).into_owned();
            return Err(format!("{} names a folder of this machine: {found}", library.display()));
        }
    }
    Ok(())
}

fn find(bytes: &[u8], wanted: &[u8]) -> Option<usize> {
    bytes.windows(wanted.len()).position(|window| window == wanted)
}

/// Where the shared library lies that was built into a folder of the target folder.
pub fn built(folder: &str) -> PathBuf {
    target().join(folder).join(format!("{DLL_PREFIX}fallaway_ffi{DLL_SUFFIX}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_library_that_names_a_folder_of_this_machine_is_found() {
        let folder = std::env::temp_dir().join(format!("fallaway-paths-{}", std::process::id()));
        let named = format!("\0x{}/registry/src/a.rs\0", cargo_home().display());
        fs::write(&folder, named).unwrap();
        assert!(names_no_folder(&folder).unwrap_err().contains("/registry/src/a.rs"));
        fs::write(&folder, b"\0parts/a-1.0.0/src/a.rs\0").unwrap();
        names_no_folder(&folder).unwrap();
        fs::remove_file(&folder).unwrap();
    }
}
