//! The Swift package: put together from the hand-written sources in `bindings/swift` and the
//! generated code, then built and tested in a Debian root that has Swift (`bindings/swift/linux-root`).

mod generated;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::generate::{self, Profile};
use crate::pages;
use crate::parts::{Parts, carries_all};
use crate::quickstart;
use crate::relay::RunningRelay;
use crate::shared::names_no_folder;
use crate::steps::{Outcome, output, root, run, run_command, target};
use crate::weighs;

/// Where the package lies inside the Debian root.
const INSIDE: &str = "/fallaway/package";

/// Puts the package together and builds it. A warning in it is an error.
pub fn build(profile: Profile) -> Outcome {
    assemble(profile)?;
    let release = if profile == Profile::Dev { "debug" } else { "release" };
    in_package(&["swift", "build", "--configuration", release, "-Xswiftc", "-warnings-as-errors"])
}

/// The package as it is handed out for Linux: one archive, with the library stripped; says where it
/// lies.
pub fn package() -> Outcome<PathBuf> {
    let package = assemble(Profile::Release)?;
    let library = package.join("lib/libfallaway_ffi.so");
    run("strip", &["--strip-unneeded".as_ref(), library.as_os_str()])?;
    names_no_folder(&library)?;
    let folder = target().join("bindings/packages");
    fs::create_dir_all(&folder).map_err(told(&folder))?;
    let archive = folder.join(format!("fallaway-swift-linux-{}.tar.gz", std::env::consts::ARCH));
    let mut tar = Command::new("tar");
    tar.arg("--create").arg("--gzip").arg("--file").arg(&archive);
    tar.args([
        "--exclude=.build",
        "--exclude=Quickstart",
        "--exclude=grown",
        "--exclude=linux-root",
        "--exclude=PrivacyInfo.xcprivacy",
        "--exclude=build-xcframework",
        "--transform=s,^swift-package,fallaway-swift,",
    ]);
    tar.arg("--directory").arg(target().join("bindings")).arg("swift-package");
    run_command(tar)?;
    let listing = output(Command::new("tar").args(["--list", "--gzip", "--file"]).arg(&archive))?;
    carries_all(&archive, &listing)?;
    weighs::as_its_page_says("swift", &[None, Some(weighs::of(&library)?)])?;
    eprintln!("swift: {}", archive.display());
    Ok(archive)
}

/// The same, unpacked into `folder`, which an app names in its `Package.swift`: by its path, or by the
/// URL of the place to which this repository of one tag is pushed.
pub fn install(folder: &str) -> Outcome {
    let archive = package()?;
    let here = std::env::current_dir().map_err(|error| error.to_string())?;
    let folder = here.join(folder);
    fs::create_dir_all(&folder).map_err(told(&folder))?;
    let mut tar = Command::new("tar");
    tar.args(["--extract", "--strip-components=1", "--file"]).arg(&archive);
    tar.arg("--directory").arg(&folder);
    run_command(tar)?;
    let git = |arguments: &[&str]| {
        let mut git = Command::new("git");
        git.arg("-C").arg(&folder).args(arguments);
        run_command(git)
    };
    git(&["init", "--quiet"])?;
    git(&["add", "--all"])?;
    let author = ["-c", "user.name=fallaway", "-c", "user.email=fallaway@localhost"];
    let commit = ["commit", "--quiet", "--allow-empty", "--message", env!("CARGO_PKG_VERSION")];
    git(&[&author[..], &commit].concat())?;
    git(&["tag", "--force", env!("CARGO_PKG_VERSION")])
}

/// Everything that can be checked here: tests, golden vectors, documentation of every public name,
/// format, and the quickstart as an app of its own.
pub fn test() -> Outcome {
    let grown = generate::grown_library()?;
    let package = assemble(Profile::Dev)?;
    quickstart::extract(&root().join("docs/embedding/swift.md"), &package.join("Quickstart"))?;
    // With what needs Observation, whose library in Debian lacks a symbol.
    let live = ["-Xswiftc", "-DFALLAWAY_LIVE", "-Xlinker", "--allow-shlib-undefined"];
    let build = ["swift", "build", "--build-tests", "-Xswiftc", "-warnings-as-errors"];
    in_package(&[&build[..], &live].concat())?;
    in_package(&["bash", "Tools/check-documentation"])?;
    // Long before this many seconds something hangs.
    let test = ["timeout", "--kill-after=10", "600", "swift", "test", "--skip-build"];
    let relay = RunningRelay::start("swift")?;
    let where_it_is = format!("FALLAWAY_RELAY={}", relay.address);
    in_package(&[&["env", where_it_is.as_str()][..], &test, &["--disable-xctest"]].concat())?;
    drop(relay);
    // Once more with a library that is newer than the code.
    let beside = package.join("grown");
    fs::create_dir_all(&beside).map_err(told(&beside))?;
    fs::copy(&grown, beside.join("libfallaway_ffi.so")).map_err(told(&grown))?;
    let newer = format!("LD_LIBRARY_PATH={INSIDE}/grown");
    let growth = ["env", "FALLAWAY_GROWN=1", &newer];
    in_package(&[&growth[..], &test, &["--disable-xctest", "--filter", "GrowthTests"]].concat())?;
    in_package(&["bash", "Tools/check-format"])?;
    in_package(&["bash", "Tools/run-quickstart"])?;
    in_package(&["bash", "Tools/run-by-url"])
}

/// Runs the program that measures foreign calls, screens and cold start, release build.
pub fn measure() -> Outcome {
    assemble(Profile::Release)?;
    in_package(&["swift", "build", "--configuration", "release", "--product", "fallaway-measure"])?;
    in_package(&["bash", "Tools/run-measure"])
}

/// The device for the end-to-end script: builds it, and answers the program to run with its
/// arguments, in which `{folder}` stands for the folder where files are exchanged.
pub fn device() -> Outcome<Vec<String>> {
    assemble(Profile::Dev)?;
    in_package(&["swift", "build", "--product", "fallaway-device"])?;
    let script = root().join("bindings/swift/linux-root").display().to_string();
    let target_folder = format!("CARGO_TARGET_DIR={}", target().display());
    let mut command = vec!["env".to_owned(), target_folder, script];
    let mounted = target().join("bindings/swift-package").display().to_string();
    let mounts = ["run", "--write", &format!("{mounted}:{INSIDE}"), "--write", "{folder}:{folder}"];
    command.extend(mounts.map(str::to_owned));
    command.extend(["--".to_owned(), format!("{INSIDE}/.build/debug/fallaway-device")]);
    Ok(command)
}

/// Generated code, hand-written code and library in one folder that is a Swift package.
pub fn assemble(profile: Profile) -> Outcome<PathBuf> {
    let library = generate::generate("swift", profile)?;
    let made = generate::folder("swift");
    let package = target().join("bindings/swift-package");
    let mut kept = BTreeSet::new();
    copy_tree(&root().join("bindings/swift"), &package, &mut kept)?;
    let code = read(&made.join("Fallaway.swift"))?;
    let code = generated::in_swifts_shape(&generated::in_swifts_words(&code))?;
    let sources = package.join("Sources");
    let parts = [
        ("Fallaway/Generated/Fallaway.swift", generated::with_blocking_named(&code)),
        ("Fallaway/Generated/AsyncCalls.swift", generated::async_calls(&code)?),
        ("FallawayFFI/FallawayFFI.h", read(&made.join("FallawayFFI.h"))?),
        ("FallawayFFI/module.modulemap", MODULE_MAP.to_owned()),
    ];
    for (name, content) in parts {
        write_if_new(&sources.join(name), content.as_bytes(), &mut kept)?;
    }
    Parts::of_library(None, false)?.lay_into(&package, "Fallaway")?;
    pages::lay_into(&package.join("docs"), "swift")?;
    for folder in ["Sources", "Tests"] {
        delete_others(&package.join(folder), &kept)?;
    }
    // On a Mac the package takes the library as a framework, which `build-xcframework` makes.
    if cfg!(target_os = "linux") {
        let bytes = fs::read(&library).map_err(told(&library))?;
        write_if_new(&package.join("lib/libfallaway_ffi.so"), &bytes, &mut kept)?;
    }
    Ok(package)
}

/// The C module on Linux. (On Apple systems the XCFramework carries its own.)
const MODULE_MAP: &str = "module FallawayFFI [system] {\n    header \"FallawayFFI.h\"\n    link \"fallaway_ffi\"\n    export *\n}\n";

/// What a command in the root may see of this machine, and where it starts.
fn mounts() -> Vec<String> {
    let mount = |outside: PathBuf, inside: &str| format!("{}:{inside}", outside.display());
    vec![
        "--write".to_owned(),
        mount(target().join("bindings/swift-package"), INSIDE),
        "--read".to_owned(),
        mount(root().join("tests"), "/fallaway/tests"),
        "--small".to_owned(),
        "/fallaway/small".to_owned(),
        "--in".to_owned(),
        INSIDE.to_owned(),
    ]
}

fn in_package(command: &[&str]) -> Outcome {
    in_root(&mounts(), command)
}

/// Runs a command in the Debian root, with what is mounted for it.
pub fn in_root(mounts: &[String], command: &[&str]) -> Outcome {
    let mut run = Command::new(root().join("bindings/swift/linux-root"));
    run.arg("run").args(mounts).arg("--").args(command);
    run.current_dir(root()).env("CARGO_TARGET_DIR", target());
    run_command(run)
}

fn copy_tree(from: &Path, to: &Path, kept: &mut BTreeSet<PathBuf>) -> Outcome {
    for entry in fs::read_dir(from).map_err(told(from))? {
        let path = entry.map_err(told(from))?.path();
        let Some(name) = path.file_name() else { continue };
        let into = to.join(name);
        if path.is_dir() {
            copy_tree(&path, &into, kept)?;
        } else {
            write_if_new(&into, &fs::read(&path).map_err(told(&path))?, kept)?;
        }
    }
    Ok(())
}

/// Leaves alone what is the same already, so that only what changed is compiled again.
fn write_if_new(path: &Path, content: &[u8], kept: &mut BTreeSet<PathBuf>) -> Outcome {
    kept.insert(path.to_path_buf());
    if fs::read(path).is_ok_and(|there| there == content) {
        return Ok(());
    }
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).map_err(told(folder))?;
    }
    fs::write(path, content).map_err(told(path))
}

/// What was deleted in the checkout is not compiled from an older copy.
fn delete_others(folder: &Path, kept: &BTreeSet<PathBuf>) -> Outcome {
    let Ok(entries) = fs::read_dir(folder) else { return Ok(()) };
    for entry in entries {
        let path = entry.map_err(told(folder))?.path();
        if path.is_dir() {
            delete_others(&path, kept)?;
        } else if !kept.contains(&path) {
            fs::remove_file(&path).map_err(told(&path))?;
        }
    }
    Ok(())
}

fn read(path: &Path) -> Outcome<String> {
    fs::read_to_string(path).map_err(told(path))
}

fn told(path: &Path) -> impl Fn(std::io::Error) -> String {
    let path = path.display().to_string();
    move |error| format!("{path}: {error}")
}
