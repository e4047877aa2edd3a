//! The library as it is shipped on phones: small, and without the description of its face. The generator
//! reads that from a library of this machine; an app has no use for it.

use std::env::consts::{DLL_PREFIX, DLL_SUFFIX};
use std::fs;
use std::path::PathBuf;
use std::process::Command;

use crate::shared::{build_alone, build_alone_to_give_away, built};
use crate::steps::{Outcome, output, rusts_own_tools, target};

/// What the names of the symbols begin with that describe the face to the generator.
pub const DESCRIBES: &str = "UNIFFI_META_";

/// What makes code for AArch64 small; other processors' code stays as it is.
///
/// LLVM moves runs of instructions that stand in several places into functions of their own if that
/// saves a single byte. It counts instructions only: each such function also takes some 30 bytes of
/// unwinding tables, so that most of them made the library larger. 40 bytes it has to save.
///
/// And what saves registers at the beginning of a function, and brings them back at its end, is called
/// rather than written out each time. Panics are unwound through such functions as through others.
pub const SMALL: [&str; 2] =
    ["-Cllvm-args=-outliner-benefit-threshold=40", "-Cllvm-args=-homogeneous-prolog-epilog"];

/// The library of this machine with what phones carry, from which code for them is generated; says
/// where it lies.
pub fn described() -> Outcome<PathBuf> {
    build_alone(&["--no-default-features"])?;
    let kept = kept();
    let failed = |error| format!("{}: {error}", kept.display());
    fs::create_dir_all(kept.parent().unwrap_or(&kept)).map_err(failed)?;
    fs::copy(built("debug"), &kept).map_err(failed)?;
    Ok(kept)
}

/// Where it is kept: other builds of the library for this machine carry more, at the same place.
pub fn kept() -> PathBuf {
    let file = format!("{DLL_PREFIX}fallaway_ffi{DLL_SUFFIX}");
    target().join("bindings/described").join(file)
}

/// Builds the library for phones, for this machine or for another target; says where it lies.
pub fn library(triple: Option<&str>) -> Outcome<PathBuf> {
    let mut build = vec!["--profile", "mobile", "--no-default-features"];
    let mut folder = "mobile".to_owned();
    if let Some(triple) = triple {
        build.extend(["--target", triple]);
        folder = format!("{triple}/mobile");
    }
    let arguments = link_arguments()?;
    // For this kind of machine Rust links with lld by itself, as the NDK does for Android.
    let lld = format!("-Clink-arg=-B{}", rusts_own_tools()?.join("gcc-ld").display());
    if cfg!(target_os = "linux") {
        // Functions that are alike are kept once, addresses are packed, texts share their ends; of two
        // tables of names the one that every loader of today reads.
        let packed = "-Clink-arg=-Wl,--icf=all,--pack-dyn-relocs=relr,-O2,--hash-style=gnu";
        build.extend(["--", packed, &arguments]);
        build.extend(SMALL);
        if triple.is_some() {
            build.extend(["-Clink-arg=-fuse-ld=lld", &lld]);
        }
    }
    build_alone_to_give_away(&build)?;
    Ok(built(&folder))
}

/// What tells the linker lld to leave the description out. The names stand in a list of their own:
/// Rust exports each of them by name, and of two lists lld follows the one that keeps a name local.
pub fn link_arguments() -> Outcome<String> {
    let library = described()?;
    let symbols = output(Command::new("nm").args(["--dynamic", "--defined-only"]).arg(&library))?;
    let names = symbols.lines().filter_map(|line| line.split_whitespace().last());
    let mut list = String::from("{ local:\n");
    for name in names.filter(|name| name.starts_with(DESCRIBES)) {
        list.push_str(name);
        list.push_str(";\n");
    }
    list.push_str("};\n");
    let file = target().join("bindings/described/left-out");
    fs::write(&file, list).map_err(|error| format!("{}: {error}", file.display()))?;
    Ok(format!("-Clink-arg=-Wl,--undefined-version,--version-script={}", file.display()))
}
