//! The shared library that other languages load: how it is built by itself, and where it lies then.

use std::env::consts::{DLL_PREFIX, DLL_SUFFIX};
use std::path::PathBuf;

use crate::steps::{Outcome, run, target};

/// Builds the shared library and nothing beside: with a Rust library in the same build, cargo would not
/// optimise over crates.
pub fn build_alone(more: &[&str]) -> Outcome {
    let alone =
        ["rustc", "--locked", "--package", "fallaway-ffi", "--lib", "--crate-type", "cdylib"];
    run("cargo", &[&alone[..], more].concat())
}

/// Where the shared library lies that was built into a folder of the target folder.
pub fn built(folder: &str) -> PathBuf {
    target().join(folder).join(format!("{DLL_PREFIX}fallaway_ffi{DLL_SUFFIX}"))
}
