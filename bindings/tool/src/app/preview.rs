//! The app's own screens on a computer, for anybody without a phone: in a window, or on a picture.

use std::fs;
use std::io::{BufRead as _, BufReader, Read as _};
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

/// Says how long it takes from the start of Java until numbers are drawn, and what a move of a slider takes, with the
/// library as it is shipped.
pub fn measure() -> Outcome {
    let path = compiled_with_tests(Profile::Release)?;
    let folder = made().join("preview-packed");
    let packed = Packed::of(&path, &folder)?;
    let tech = demo()?.join("tech");
    let start = |options: &[String], path: &str, what: &str, taps: &[&str]| {
        let mut java = drawing();
        java.arg("-Djava.awt.headless=true").args(options).args(["-cp", path]);
        java.args(["fallaway.app.preview.Measures", what, "--data"]).arg(&tech).args(taps);
        java
    };
    let numbers = |options: &[String], path| start(options, path, "start", &["instrument.1"]);
    let quick = ["-XX:TieredStopAtLevel=1", "-XX:+UseSerialGC"].map(str::to_owned).to_vec();
    let beside = [quick.clone(), packed.options.clone()].concat();
    let (list, archive) = (folder.join("classes.txt"), folder.join("classes.jsa"));
    let and = |option: &str, file: &Path| {
        [beside.clone(), vec![format!("-XX:{option}={}", file.display())]].concat()
    };
    run_command(numbers(&and("DumpLoadedClassList", &list), &packed.path))?;
    let mut dump = Command::new("java");
    dump.args(and("SharedArchiveFile", &archive)).args(["-Xshare:dump", "-Xlog:disable"]);
    dump.arg(format!("-XX:SharedClassListFile={}", list.display())).args(["-cp", &packed.path]);
    run_command(dump)?;
    let whole = path_of(&[&path]);
    let archived = and("SharedArchiveFile", &archive);
    let mut ways = [
        ("as Java comes", Vec::new(), &whole, Vec::new()),
        ("its quick compiler alone", quick, &whole, Vec::new()),
        ("and one file, native libraries beside it", beside, &packed.path, Vec::new()),
        ("and classes out of an archive", archived, &packed.path, Vec::new()),
    ];
    for _ in 0..STARTS {
        for (_, options, path, took) in &mut ways {
            took.push(until_drawn(numbers(options, path))?.as_millis());
        }
    }
    for (name, _, _, mut took) in ways {
        took.sort_unstable();
        let [least, median, most] =
            [0, took.len() / 2, took.len() - 1].map(|n| took.get(n).copied().unwrap_or_default());
        println!("until numbers are drawn, {name}: median {median} ms, {least} to {most} ms");
    }
    run_command(start(&[], &whole, "slider", &["instrument.1", "tab.more", "clearance"]))
}

/// How often each way of starting is tried, in turn with the others.
const STARTS: usize = 10;

/// How long a program takes until its first line.
fn until_drawn(mut program: Command) -> Outcome<Duration> {
    let began = Instant::now();
    let told = |error: std::io::Error| format!("java: {error}");
    let mut running = program.stdout(Stdio::piped()).spawn().map_err(told)?;
    let mut said = BufReader::new(running.stdout.take().ok_or("java says nothing")?);
    let mut line = String::new();
    said.read_line(&mut line).map_err(told)?;
    let took = began.elapsed();
    said.read_to_string(&mut line).map_err(told)?;
    let ended = running.wait().map_err(told)?;
    if ended.success() && line.starts_with("drawn") {
        Ok(took)
    } else {
        Err(format!("{program:?} ended with {ended}: {line}"))
    }
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
