//! The listing of what crosses to other languages, kept in the repository so that a change of it is
//! seen in review.

use std::fs;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use crate::generate::{Profile, generator, library};
use crate::steps::{Outcome, root};

fn file() -> PathBuf {
    root().join("bindings/ffi/face.txt")
}

/// The listing of the library as it is. Fails if something in it is not documented.
fn listing() -> Outcome<String> {
    let library = library(Profile::Dev)?;
    let mut command = Command::new(generator("face")?);
    command.arg(&library).stderr(Stdio::inherit());
    let output =
        command.output().map_err(|error| format!("the listing cannot be started: {error}"))?;
    if !output.status.success() {
        return Err(format!("the listing of {} failed", library.display()));
    }
    String::from_utf8(output.stdout).map_err(|error| error.to_string())
}

/// Writes the listing anew.
pub fn write() -> Outcome {
    let file = file();
    fs::write(&file, listing()?).map_err(|error| format!("{}: {error}", file.display()))?;
    eprintln!("{}", file.display());
    Ok(())
}

/// Fails if the listing in the repository is not that of the library.
pub fn check() -> Outcome {
    let file = file();
    let kept = fs::read_to_string(&file).map_err(|error| format!("{}: {error}", file.display()))?;
    let now = listing()?;
    if kept == now {
        return Ok(());
    }
    let gone = kept.lines().filter(|line| !now.lines().any(|other| other == *line));
    let new = now.lines().filter(|line| !kept.lines().any(|other| other == *line));
    for line in gone.map(|line| format!("-{line}")).chain(new.map(|line| format!("+{line}"))) {
        eprintln!("{line}");
    }
    Err(format!(
        "{} is out of date: look at the changes, then run `cargo tool face`",
        file.display()
    ))
}
