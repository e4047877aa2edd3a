//! The app's own screens on a computer, for anybody without a phone: in a window, or on a picture.

use std::env;
use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::{Libraries, app, compile, java, made, package_of_the_library, path_of};
use crate::generate::Profile;
use crate::kotlin;
use crate::steps::{Outcome, remove, root, run_command};

/// Shows them as `words` ask for: `--png FILE` and the like, and what is tapped first.
pub fn show(words: &[String]) -> Outcome {
    let path = compiled(Profile::Dev)?;
    let mut java = drawing();
    java.arg("-cp").arg(path_of(&[&path])).arg("fallaway.app.preview.MainKt");
    if !words.iter().any(|word| word == "--data") {
        java.arg("--data").arg(demo()?.join("tech"));
    }
    java.args(words);
    run_command(java)
}

/// Draws screens of the demo without a window, and looks whether all that they hold is on them.
pub fn test() -> Outcome {
    let path = compiled_with_tests(Profile::Dev)?;
    let mut java = drawing();
    java.arg(format!("-Dfallaway.demo={}", demo()?.join("tech").display()));
    java.args(["-Djava.awt.headless=true", "-cp"]).arg(path_of(&[&path]));
    java.args(["org.junit.runner.JUnitCore", "fallaway.app.preview.PreviewTest"]);
    run_command(java)
}

/// Says how long it takes from the start of Java until numbers are drawn, without a window and, where there is a
/// display, in one, and what a move of a slider takes, with the library as it is shipped.
pub fn measure() -> Outcome {
    let path = compiled_with_tests(Profile::Release)?;
    let folder = made().join("preview-packed");
    let packed = Packed::of(&path, &folder)?;
    let tech = demo()?.join("tech");
    let start = |options: &[String], path: &str, what: &str, taps: &[&str]| {
        let mut java = drawing();
        java.arg(format!("-Djava.awt.headless={}", what != "window")).args(options);
        java.args(["-cp", path, "fallaway.app.preview.Measures", what, "--data"]).arg(&tech);
        java.args(taps);
        java
    };
    let numbers =
        |options: &[String], path: &str, what: &str| start(options, path, what, &["instrument.1"]);
    let quick = ["-XX:TieredStopAtLevel=1", "-XX:+UseSerialGC"].map(str::to_owned).to_vec();
    let beside = [quick.clone(), packed.options.clone()].concat();
    // The classes of a start of this kind, in an archive.
    let archived = |what: &str| -> Outcome<Vec<String>> {
        let file = |ending: &str| folder.join(format!("{what}.{ending}"));
        let and = |option: &str, ending: &str| {
            [beside.clone(), vec![format!("-XX:{option}={}", file(ending).display())]].concat()
        };
        run_command(numbers(&and("DumpLoadedClassList", "txt"), &packed.path, what))?;
        let mut dump = Command::new("java");
        dump.args(and("SharedArchiveFile", "jsa")).args(["-Xshare:dump", "-Xlog:disable"]);
        dump.arg(format!("-XX:SharedClassListFile={}", file("txt").display()));
        dump.args(["-cp", &packed.path]);
        run_command(dump)?;
        Ok(and("SharedArchiveFile", "jsa"))
    };
    let whole = path_of(&[&path]);
    let mut ways = vec![
        Way::new("drawn, as Java comes", "start", Vec::new(), &whole),
        Way::new("drawn, its quick compiler alone", "start", quick, &whole),
        Way::new(
            "drawn, and one file, native libraries beside it",
            "start",
            beside.clone(),
            &packed.path,
        ),
        Way::new("drawn, and classes out of an archive", "start", archived("start")?, &packed.path),
    ];
    if cfg!(target_os = "linux") && env::var_os("DISPLAY").is_none() {
        println!("until numbers are in a window: not measured, no display is named by DISPLAY");
    } else {
        let options = archived("window")?;
        ways.push(Way::new(
            "in a window, classes out of an archive",
            "window",
            options,
            &packed.path,
        ));
    }
    for _ in 0..STARTS {
        for way in &mut ways {
            let took = until_drawn(numbers(&way.options, way.path, way.what))?;
            way.took.push(took.as_millis());
        }
    }
    for Way { name, mut took, .. } in ways {
        took.sort_unstable();
        let [least, median, most] =
            [0, took.len() / 2, took.len() - 1].map(|n| took.get(n).copied().unwrap_or_default());
        println!("until numbers are {name}: median {median} ms, {least} to {most} ms");
    }
    run_command(start(&[], &whole, "slider", &["instrument.1", "tab.more", "clearance"]))
}

/// A way of starting.
struct Way<'a> {
    /// What has become of the numbers, and how Java was started.
    name: &'static str,
    /// What is measured.
    what: &'static str,
    /// Of Java.
    options: Vec<String>,
    /// Of its classes.
    path: &'a str,
    /// In milliseconds.
    took: Vec<u128>,
}

impl<'a> Way<'a> {
    fn new(name: &'static str, what: &'static str, options: Vec<String>, path: &'a str) -> Self {
        Self { name, what, options, path, took: Vec::new() }
    }
}

/// How often each way of starting is tried, in turn with the others.
const STARTS: usize = 10;

/// How long a program takes until it says that it has drawn.
fn until_drawn(mut program: Command) -> Outcome<Duration> {
    let began = Instant::now();
    let told = |error: std::io::Error| format!("java: {error}");
    let mut running = program.stdout(Stdio::piped()).spawn().map_err(told)?;
    let said = BufReader::new(running.stdout.take().ok_or("java says nothing")?);
    let mut took = None;
    // What draws says first where it does without a graphics card.
    for line in said.lines() {
        if line.map_err(told)? == "drawn" {
            took.get_or_insert_with(|| began.elapsed());
        }
    }
    let ended = running.wait().map_err(told)?;
    took.filter(|_| ended.success())
        .ok_or_else(|| format!("{program:?} ended with {ended}, drawn or not"))
}

/// The classes in one file, and the native libraries beside it, as an app is installed.
struct Packed {
    path: String,
    /// Where Java finds the native libraries.
    options: Vec<String>,
}

impl Packed {
    fn of(path: &[PathBuf], folder: &Path) -> Outcome<Self> {
        remove(folder)?;
        let all = folder.join("all");
        fs::create_dir_all(&all).map_err(|error| format!("{}: {error}", all.display()))?;
        for one in path {
            let mut lay;
            if one.is_dir() {
                lay = Command::new("cp");
                lay.arg("-R").arg(one.join(".")).arg(&all);
            } else {
                lay = Command::new("jar");
                lay.arg("--extract").arg("--file").arg(one).current_dir(&all);
            }
            run_command(lay)?;
        }
        let packed = folder.join("preview.jar");
        let mut jar = Command::new("jar");
        jar.args(["--create", "--no-compress", "--no-manifest", "--file"]).arg(&packed);
        jar.arg("-C").arg(&all).arg(".");
        run_command(jar)?;
        let library = kotlin::native_library();
        let native = library.parent().ok_or("the library lies nowhere")?;
        let jna = all.join("com/sun/jna").join(native.file_name().unwrap_or_default());
        let options = vec![
            format!("-Djna.library.path={}", native.display()),
            // Set, it spares the start of a program that lists the system's libraries.
            format!("-Djna.platform.library.path={}", native.display()),
            format!("-Djna.boot.library.path={}", jna.display()),
            "-Djna.nounpack=true".to_owned(),
            format!("-Dskiko.library.path={}", all.display()),
        ];
        Ok(Self { path: packed.display().to_string(), options })
    }
}

/// The path of classes on which it runs, with its tests.
fn compiled_with_tests(profile: Profile) -> Outcome<Vec<PathBuf>> {
    let mut path = compiled(profile)?;
    let tests = made().join("preview-tests");
    let compiler = Libraries::read()?.of("compiler")?;
    compile(&compiler, true, &path_of(&[&path]), &tests, &[app().join("preview/test")])?;
    path.push(tests);
    Ok(path)
}

/// The path of classes on which it runs.
fn compiled(profile: Profile) -> Outcome<Vec<PathBuf>> {
    kotlin::build(profile)?;
    let libraries = Libraries::read()?;
    let code = made().join("preview");
    let mut path = libraries.of("models")?;
    path.extend(libraries.of("preview")?);
    path.push(package_of_the_library());
    let sources = [
        app().join("model/src"),
        app().join("view/src"),
        app().join("preview/src"),
        // The texts, as the tests of the view models read them.
        app().join("model/test/fallaway/app/XmlTexts.kt"),
    ];
    compile(&libraries.of("compiler")?, true, &path_of(&[&path]), &code, &sources)?;
    path.extend([code, app().join("preview/fonts")]);
    Ok(path)
}

/// Java, which unpacks what it draws with into the target folder, and not into the user's own.
fn drawing() -> Command {
    let mut java = java();
    java.arg(format!("-Dskiko.data.path={}", made().join("preview-native").display()));
    java
}

/// The folder of the demo, made once.
fn demo() -> Outcome<PathBuf> {
    let folder = made().join("demo");
    let made = folder.with_file_name("demo-being-made");
    if !folder.exists() {
        remove(&made)?;
        let mut demo = Command::new("cargo");
        demo.args(["run", "--quiet", "--locked", "--bin", "fallaway", "--", "demo", "--into"]);
        // Its story is told to those who ask for the demo itself.
        run_command({
            demo.arg(&made).current_dir(root()).stdout(Stdio::null());
            demo
        })?;
        fs::rename(&made, &folder).map_err(|error| format!("{}: {error}", made.display()))?;
    }
    Ok(folder)
}
