//! Android's resources: those of every library and the app's in one table, and the classes that name them.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use super::{PACKAGE, name_of};
use crate::steps::{Outcome, remove, run_command};

/// What came of linking.
pub struct Resources {
    /// The table, as the app would be packed.
    pub linked: PathBuf,
    /// The classes of all libraries, and those that name the resources.
    pub classes: Vec<PathBuf>,
    /// The folder in which Robolectric looks for the framework.
    pub frameworks: PathBuf,
}

/// Unpacks the libraries, links their resources with the app's and compiles the classes that name them.
pub fn link(
    made: &Path,
    app: &Path,
    framework: &Path,
    libraries: &[PathBuf],
) -> Outcome<Resources> {
    let frameworks = made.join("frameworks");
    let table = lay_framework(made, framework, &frameworks)?;
    let mut classes = Vec::new();
    let mut link = Command::new("aapt2");
    let linked = made.join("app.ap_");
    let generated = made.join("r-java");
    remove(&generated)?;
    link.arg("link").arg("-o").arg(&linked).arg("-I").arg(&table);
    link.arg("--manifest").arg(app.join("app/AndroidManifest.xml"));
    link.args(["--auto-add-overlay", "--min-sdk-version", "26", "--target-sdk-version", "35"]);
    link.arg("--java").arg(&generated).arg("--proguard").arg(made.join("manifest.pro"));
    let mut packages = Vec::new();
    for library in libraries {
        if library.extension().is_some_and(|kind| kind == "jar") {
            classes.push(library.clone());
            continue;
        }
        let folder = made.join("unpacked").join(name_of(library));
        if !folder.join("AndroidManifest.xml").exists() {
            unpack(library, &folder, &[])?;
        }
        classes.extend(jars(&folder)?);
        let manifest = read(&folder.join("AndroidManifest.xml"))?;
        if let Some((package, _)) =
            manifest.split_once("package=\"").and_then(|(_, rest)| rest.split_once('"'))
        {
            packages.push(package.to_owned());
        }
        if folder.join("res").is_dir() {
            let compiled = folder.join("compiled.zip");
            if !compiled.exists() {
                compile(&folder.join("res"), &compiled)?;
            }
            link.arg("-R").arg(compiled);
        }
    }
    let own = made.join("own.zip");
    compile(&app.join("app/res"), &own)?;
    link.arg("-R").arg(own).arg("--extra-packages").arg(packages.join(":"));
    run_command(link)?;
    let names = made.join("r");
    remove(&names)?;
    fs::create_dir_all(&names).map_err(|error| format!("{}: {error}", names.display()))?;
    let mut javac = Command::new("javac");
    javac.args(["--release", "17", "-nowarn", "-d"]).arg(&names);
    let mut files = Vec::new();
    java_files(&generated, &mut files)?;
    javac.args(files);
    run_command(javac)?;
    let own = names.join(PACKAGE.replace('.', "/"));
    if !own.join("R.class").exists() {
        return Err(format!("no class names the resources of {PACKAGE}"));
    }
    classes.push(names);
    Ok(Resources { linked, classes, frameworks })
}

/// Lays the framework where Robolectric looks for it, and its table of resources into a small archive: the
/// aapt2 of Debian 12 reads no large (zip64) one.
fn lay_framework(made: &Path, framework: &Path, frameworks: &Path) -> Outcome<PathBuf> {
    fs::create_dir_all(frameworks).map_err(|error| format!("{}: {error}", frameworks.display()))?;
    let name = name_of(framework).replace("org.robolectric.", "");
    let there = frameworks.join(name);
    if !there.exists() {
        fs::hard_link(framework, &there)
            .or_else(|_| fs::copy(framework, &there).map(drop))
            .map_err(|error| format!("{}: {error}", there.display()))?;
    }
    let table = made.join("framework.zip");
    if !table.exists() {
        let folder = made.join("framework");
        unpack(framework, &folder, &["AndroidManifest.xml", "resources.arsc"])?;
        let mut jar = Command::new("jar");
        jar.args(["--create", "--no-compress", "--no-manifest", "--file"]).arg(&table);
        jar.arg("-C").arg(&folder).args(["AndroidManifest.xml", "-C"]).arg(&folder);
        jar.arg("resources.arsc");
        run_command(jar)?;
    }
    Ok(table)
}

fn unpack(archive: &Path, into: &Path, only: &[&str]) -> Outcome {
    remove(into)?;
    fs::create_dir_all(into).map_err(|error| format!("{}: {error}", into.display()))?;
    let mut unzip = Command::new("unzip");
    unzip.arg("-qo").arg(archive).args(only).arg("-d").arg(into);
    run_command(unzip)
}

fn compile(folder: &Path, into: &Path) -> Outcome {
    let mut aapt = Command::new("aapt2");
    aapt.args(["compile", "--dir"]).arg(folder).arg("-o").arg(into);
    run_command(aapt)
}

/// The jars of an unpacked library.
fn jars(folder: &Path) -> Outcome<Vec<PathBuf>> {
    let mut found = Vec::new();
    for place in [folder.to_path_buf(), folder.join("libs")] {
        if !place.is_dir() {
            continue;
        }
        for entry in
            fs::read_dir(&place).map_err(|error| format!("{}: {error}", place.display()))?
        {
            let file = entry.map_err(|error| format!("{}: {error}", place.display()))?.path();
            let name = name_of(&file);
            if file.extension().is_some_and(|kind| kind == "jar")
                && name != "lint.jar"
                && name != "api.jar"
                && name != "inspector.jar"
            {
                found.push(file);
            }
        }
    }
    found.sort();
    Ok(found)
}

fn java_files(folder: &Path, found: &mut Vec<PathBuf>) -> Outcome {
    for entry in fs::read_dir(folder).map_err(|error| format!("{}: {error}", folder.display()))? {
        let file = entry.map_err(|error| format!("{}: {error}", folder.display()))?.path();
        if file.is_dir() {
            java_files(&file, found)?;
        } else if file.extension().is_some_and(|kind| kind == "java") {
            found.push(file);
        }
    }
    Ok(())
}

fn read(file: &Path) -> Outcome<String> {
    fs::read_to_string(file).map_err(|error| format!("{}: {error}", file.display()))
}
