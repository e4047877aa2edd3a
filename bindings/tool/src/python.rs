//! The Python package: a wheel by maturin from the generated code, the library and the hand-written
//! layer in `bindings/python`, then checked in a virtual environment of its own.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::generate::{self, Profile};
use crate::steps::{Outcome, root, run, run_command, target};

/// Builds the wheel; says where it lies.
pub fn build(profile: Profile) -> Outcome<PathBuf> {
    generate::generate("python", profile)?;
    let python = environment()?;
    let package = root().join("bindings/python");
    // What the generated module means, for type checkers. It lies where maturin finds it, uncommitted.
    let folder = package.join("src/fallaway/_core");
    let stub = folder.join("fallaway.pyi");
    let written = Command::new(&python)
        .arg(package.join("stubs.py"))
        .arg(generate::folder("python").join("fallaway.py"))
        .output()
        .map_err(|error| format!("{python} cannot be started: {error}"))?;
    if !written.status.success() {
        return Err(format!("stubs.py: {}", String::from_utf8_lossy(&written.stderr)));
    }
    fs::create_dir_all(&folder).map_err(told(&folder))?;
    fs::write(&stub, written.stdout).map_err(told(&stub))?;
    let whole = folder.join("__init__.pyi");
    fs::write(&whole, "from . import fallaway as fallaway\n").map_err(told(&whole))?;

    let wheels = target().join("bindings/wheels");
    if wheels.exists() {
        fs::remove_dir_all(&wheels).map_err(told(&wheels))?;
    }
    let mut maturin = Command::new(&python);
    maturin.args(["-m", "maturin", "build", "--profile", profile.name(), "--out"]).arg(&wheels);
    maturin.current_dir(&package).env("CARGO_TARGET_DIR", target());
    // maturin asks the generator that it finds first, by this name.
    let bin = target().join("bindings/bin");
    fs::create_dir_all(&bin).map_err(told(&bin))?;
    let name = bin.join("uniffi-bindgen");
    fs::copy(target().join("debug/foreign-code"), &name).map_err(told(&name))?;
    let mut path = vec![bin];
    path.extend(std::env::split_paths(&std::env::var_os("PATH").unwrap_or_default()));
    let path = std::env::join_paths(path).map_err(|error| error.to_string())?;
    maturin.env("PATH", path);
    run_command(maturin)?;
    wheel(&wheels)
}

/// The wheel as it is handed out: release build, without the library's symbols.
pub fn package() -> Outcome {
    let built = build(Profile::Release)?;
    let python = environment()?;
    let folder = target().join("bindings/python-package");
    if folder.exists() {
        fs::remove_dir_all(&folder).map_err(told(&folder))?;
    }
    // The generator reads what the symbols describe, so they go only now.
    run(&python, &["-m", "wheel", "unpack", "--dest", &text(&folder), &text(&built)])?;
    let unpacked = only(&folder, |_| true)?;
    let module = unpacked.join("fallaway/_core");
    let library = only(&module, |name| name.starts_with("libfallaway_ffi"))?;
    run("strip", &["--strip-unneeded".to_owned(), text(&library)])?;
    let out = target().join("bindings/packages");
    fs::create_dir_all(&out).map_err(told(&out))?;
    run(&python, &["-m", "wheel", "pack", "--dest-dir", &text(&out), &text(&unpacked)])
}

/// Builds the wheel and installs it into the environment; answers the environment's Python.
pub fn installed() -> Outcome<String> {
    let wheel = text(&build(Profile::Dev)?);
    let python = environment()?;
    let install = ["-m", "pip", "install", "--quiet", "--force-reinstall", "--no-deps", &wheel];
    run(&python, &install)?;
    Ok(python)
}

/// Installs the wheel and checks it: tests, golden vectors, types, the quickstart.
pub fn test() -> Outcome {
    let python = installed()?;
    let package = root().join("bindings/python");
    let inside = |arguments: &[&str]| {
        let mut command = Command::new(&python);
        command.args(arguments).current_dir(&package);
        run_command(command)
    };
    inside(&["-m", "mypy", "src/fallaway", "stubs.py", "examples"])?;
    inside(&["-m", "pytest", "--quiet"])
}

/// The Python of the virtual environment in which packages are built and checked.
pub fn environment() -> Outcome<String> {
    let folder = target().join("bindings/python-environment");
    let python = text(&folder.join("bin/python"));
    let wanted = root().join("bindings/python/requirements.txt");
    let listed = fs::read_to_string(&wanted).map_err(told(&wanted))?;
    let have = folder.join("requirements.txt");
    if fs::read_to_string(&have).is_ok_and(|have| have == listed) {
        return Ok(python);
    }
    run("python3", &["-m", "venv", &text(&folder)])?;
    run(&python, &["-m", "pip", "install", "--quiet", "--requirement", &text(&wanted)])?;
    fs::write(&have, listed).map_err(told(&have))?;
    Ok(python)
}

fn wheel(folder: &Path) -> Outcome<PathBuf> {
    only(folder, |name| name.rsplit_once('.').is_some_and(|(_, kind)| kind == "whl"))
}

/// The one thing in a folder that fits.
fn only(folder: &Path, fits: impl Fn(&str) -> bool) -> Outcome<PathBuf> {
    let found = fs::read_dir(folder).map_err(told(folder))?;
    let mut found = found.flatten().filter(|one| fits(&one.file_name().to_string_lossy()));
    match (found.next(), found.next()) {
        (Some(one), None) => Ok(one.path()),
        _ => Err(format!("{} does not hold exactly one of what was made", folder.display())),
    }
}

fn text(path: &Path) -> String {
    path.display().to_string()
}

fn told(path: &Path) -> impl Fn(std::io::Error) -> String + '_ {
    move |error| format!("{}: {error}", path.display())
}
