//! How long an app takes from the start of Java to the numbers of an instrument.

use std::fs;
use std::path::Path;
use std::process::Command;

use super::{java, made, path_of};
use crate::kotlin;
use crate::steps::{Outcome, remove, run_command};

/// From the start of Java to the numbers of an instrument, with Java as it comes, with its quick compiler
/// alone, and with its classes out of an archive that an earlier start left; in turn, so that what else
/// this machine does falls on all of them.
pub fn starts(path: &str) -> Outcome {
    let folder = made().join("cold");
    remove(&folder)?;
    fs::create_dir_all(&folder).map_err(|error| format!("{}: {error}", folder.display()))?;
    // Java archives only what lies in jars.
    let mut packed = Vec::new();
    for (number, classes) in path.split(':').enumerate() {
        let jar = folder.join(format!("{number}.jar"));
        if Path::new(classes).is_dir() {
            let mut command = Command::new("jar");
            command.args(["--create", "--file"]).arg(&jar).args(["-C", classes, "."]);
            run_command(command)?;
            packed.push(jar);
        } else {
            packed.push(classes.into());
        }
    }
    let (path, archive) = (path_of(&[&packed]), folder.join("classes.jsa"));
    // On a phone the library lies beside the app too, and is not unpacked.
    let native = kotlin::native_library();
    let start = |options: &[String]| {
        let mut java = java();
        java.arg(format!("-Djna.library.path={}", native.parent().unwrap_or(&native).display()));
        java.args(options).arg("-cp").arg(&path).arg("fallaway.app.Cold").arg(folder.join("data"));
        run_command(java)
    };
    // The first makes an instrument, the others start on what it left.
    start(&[])?;
    start(&[format!("-XX:ArchiveClassesAtExit={}", archive.display())])?;
    let quick = ["-XX:TieredStopAtLevel=1", "-XX:+UseSerialGC"].map(str::to_owned);
    let archived = [&quick[..], &[format!("-XX:SharedArchiveFile={}", archive.display())]].concat();
    for _ in 0..5 {
        for options in [&[][..], &quick[..], &archived[..]] {
            start(options)?;
        }
    }
    Ok(())
}
