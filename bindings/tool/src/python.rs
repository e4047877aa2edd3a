//! The Python package: a wheel of the generated code, the library and the hand-written layer in
//! `bindings/python`, then checked in a virtual environment of its own.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::generate::{self, Profile};
use crate::pages;
use crate::parts::{Parts, carries_all};
use crate::relay::RunningRelay;
use crate::shared::names_no_folder;
use crate::steps::{Outcome, output, remove, root, run, run_command, target};
use crate::weighs;

/// Puts the package together, in a folder that `pip` takes too, and builds the wheel; says where it
/// lies.
pub fn build(profile: Profile) -> Outcome<PathBuf> {
    let library = generate::generate("python", profile)?;
    let python = environment()?;
    let package = assembled();
    remove(&package)?;
    copy_tree(&root().join("bindings/python"), &package)?;
    Parts::of_library(None, false)?.lay_into(&package, "fallaway")?;
    // The page of the language is what an index shows of the package.
    copy(&root().join("docs/embedding/python.md"), &package.join("README.md"))?;
    pages::lay_into(&package.join("src/fallaway/docs"), "python")?;
    write(&package.join("VERSION"), env!("CARGO_PKG_VERSION").as_bytes())?;

    let inside = package.join("src/fallaway/_core");
    let generated = generate::folder("python").join("fallaway.py");
    let core = b"from . import fallaway as fallaway\n";
    write(&inside.join("__init__.py"), core)?;
    write(&inside.join("__init__.pyi"), core)?;
    // As an ordinary module, and what it means, for type checkers.
    run(&python, &[package.join("stubs.py"), generated, inside.clone()].map(|path| text(&path)))?;
    let beside = inside.join(library.file_name().unwrap_or(library.as_os_str()));
    copy(&library, &beside)?;
    // The generator has read the symbols; from here on they are only weight.
    run("strip", &["--strip-unneeded".to_owned(), text(&beside)])?;
    if profile != Profile::Dev {
        names_no_folder(&beside)?;
    }

    let wheels = target().join("bindings/wheels");
    remove(&wheels)?;
    let wheel =
        ["-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation", "--wheel-dir"];
    let mut pip = Command::new(&python);
    pip.args(wheel).args([&wheels, &package]);
    run_command(pip)?;
    let wheel = only(&wheels)?;
    let listing = output(Command::new(&python).args(["-m", "zipfile", "-l"]).arg(&wheel))?;
    carries_all(&wheel, &listing)?;
    Ok(wheel)
}

/// The wheel as it is handed out, release build; says where it lies.
pub fn package() -> Outcome<PathBuf> {
    let wheel = build(Profile::Release)?;
    let out = target().join("bindings/packages").join(wheel.file_name().unwrap_or_default());
    let inside = assembled().join("src/fallaway/_core");
    let library = weighs::of_the_one(&inside, "libfallaway_ffi.*")?;
    weighs::as_its_page_says("python", &[Some(weighs::of(&wheel)?), None, Some(library)])?;
    copy(&wheel, &out)?;
    eprintln!("python: {}", out.display());
    Ok(out)
}

/// The same, installed into the Python that is called `python3`: that of the virtual environment in
/// which this runs.
pub fn install() -> Outcome {
    let wheel = text(&package()?);
    run("python3", &["-m", "pip", "install", "--quiet", "--force-reinstall", "--no-deps", &wheel])
}

/// Where the package is put together: layer, generated code and library.
fn assembled() -> PathBuf {
    target().join("bindings/python-package")
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
    let grown = generate::grown_library()?;
    let python = installed()?;
    let relay = RunningRelay::start("python")?;
    let package = root().join("bindings/python");
    let inside = |arguments: &[&str]| {
        let mut command = Command::new(&python);
        command.args(arguments).current_dir(&package).env("FALLAWAY_GROWN_LIBRARY", &grown);
        command.env("FALLAWAY_RELAY", &relay.address);
        run_command(command)
    };
    inside(&["-m", "mypy", &text(&assembled().join("src/fallaway")), "stubs.py", "examples"])?;
    // A disk is not filled with the folders of tests that passed.
    inside(&["-m", "pytest", "--quiet", "-o", "tmp_path_retention_policy=failed"])
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

/// The one thing in a folder.
fn only(folder: &Path) -> Outcome<PathBuf> {
    let mut found = fs::read_dir(folder).map_err(told(folder))?.flatten();
    match (found.next(), found.next()) {
        (Some(one), None) => Ok(one.path()),
        _ => Err(format!("{} does not hold exactly one thing", folder.display())),
    }
}

fn copy_tree(from: &Path, to: &Path) -> Outcome {
    for entry in fs::read_dir(from).map_err(told(from))? {
        let path = entry.map_err(told(from))?.path();
        let into = to.join(path.file_name().unwrap_or_default());
        if path.is_dir() {
            copy_tree(&path, &into)?;
        } else {
            copy(&path, &into)?;
        }
    }
    Ok(())
}

fn copy(from: &Path, to: &Path) -> Outcome {
    write(to, &fs::read(from).map_err(told(from))?)
}

fn write(path: &Path, content: &[u8]) -> Outcome {
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).map_err(told(folder))?;
    }
    fs::write(path, content).map_err(told(path))
}

fn text(path: &Path) -> String {
    path.display().to_string()
}

fn told(path: &Path) -> impl Fn(std::io::Error) -> String + '_ {
    move |error| format!("{}: {error}", path.display())
}
