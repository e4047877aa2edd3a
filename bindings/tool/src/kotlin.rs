//! The Kotlin module: generated code and the hand-shaped layer in `bindings/kotlin`, compiled, tested
//! and packed by Maven. Everything that is made lies in the target folder.

mod documented;
mod generated;

use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::generate::{self, Profile};
use crate::quickstart;
use crate::steps::{Outcome, remove, root, run, run_command, target};

const VERSION: &str = env!("CARGO_PKG_VERSION");

/// Generates the code, lays the native library beside it and compiles the module. A warning is an
/// error.
pub fn build(profile: Profile) -> Outcome {
    assemble(profile)?;
    maven(&module(), &["--quiet", "compile"])
}

/// The module as it is handed out: a Maven repository with the jar (the native library of this
/// computer in it), sources and documentation.
pub fn package() -> Outcome {
    assemble(Profile::Release)?;
    deploy(&["-Dmaven.test.skip=true"], None).map(drop)
}

/// Everything that can be checked here: tests, golden vectors, documentation of every public name,
/// and the quickstart as a project of its own that uses the package.
pub fn test() -> Outcome {
    let grown = generate::grown_library()?;
    assemble(Profile::Dev)?;
    let repository = deploy(&[], Some(&grown))?;
    run_quickstart(&repository)
}

/// Runs the program that measures foreign calls, screens and cold start, release build.
pub fn measure() -> Outcome {
    assemble(Profile::Release)?;
    maven(&module(), &["test", "-Dtest=Figures", "-Dfallaway.test.jvm=-Xmx256m"])
}

/// Builds this language's device for the end-to-end test and gives the command that starts it.
pub fn device() -> Outcome<String> {
    assemble(Profile::Dev)?;
    let list = target().join("bindings/kotlin-build/classpath.txt");
    let into = format!("-Dmdep.outputFile={}", list.display());
    let goal = "org.apache.maven.plugins:maven-dependency-plugin:3.9.0:build-classpath";
    maven(&module(), &["--quiet", "test-compile", goal, &into])?;
    let built = target().join("bindings/kotlin-build");
    let jars = fs::read_to_string(&list).map_err(told(&list))?;
    let path = format!(
        "{}:{}:{}",
        built.join("classes").display(),
        built.join("test-classes").display(),
        jars.trim()
    );
    Ok(format!("java -Xmx128m -cp {path} fallaway.device.DeviceKt"))
}

/// The whole Kotlin code, generated from a library that is there: for the Android build, which makes
/// its libraries itself.
pub fn code_from(library: &str) -> Outcome {
    generate::generate_from(Path::new(library), "kotlin")?;
    finish_code()
}

/// What the generator does not do: Kotlin's words and the suspending siblings.
fn finish_code() -> Outcome {
    let package = generate::folder("kotlin").join("fallaway");
    let main = package.join("fallaway.kt");
    let code = fs::read_to_string(&main).map_err(told(&main))?;
    let code = generated::in_kotlins_words(&code);
    fs::write(&main, &code).map_err(told(&main))?;
    for (name, content) in generated::suspending_calls(&code)? {
        let file = package.join(name);
        fs::write(&file, content).map_err(told(&file))?;
    }
    Ok(())
}

/// Generated code, suspending siblings and the native library where Maven looks for them.
fn assemble(profile: Profile) -> Outcome {
    let library = generate::generate("kotlin", profile)?;
    finish_code()?;
    let native = target().join("bindings/kotlin-native").join(jna_folder());
    fs::create_dir_all(&native).map_err(told(&native))?;
    let file = library.file_name().unwrap_or(library.as_os_str());
    let beside = native.join(file);
    fs::copy(&library, &beside).map_err(told(&library))?;
    // The symbols that the generator reads are of no use in the jar, and most of its size.
    if cfg!(target_os = "linux") {
        run("strip", &["--strip-unneeded".as_ref(), beside.as_os_str()])?;
    }
    Ok(())
}

/// JNA's name of this kind of computer: the folder in the jar in which it looks.
fn jna_folder() -> String {
    use std::env::consts::{ARCH, OS};
    let system = match OS {
        "macos" => "darwin",
        "windows" => "win32",
        other => other,
    };
    format!("{system}-{}", if ARCH == "x86_64" { "x86-64" } else { ARCH })
}

/// Compiles, tests and documents what `assemble` made, and packs it into a Maven repository; says
/// where that lies. Fails if a public name has no documentation.
fn deploy(arguments: &[&str], grown: Option<&Path>) -> Outcome<PathBuf> {
    let repository = target().join("bindings/packages/kotlin");
    remove(&repository)?;
    let into = format!("-DaltDeploymentRepository=fallaway::file://{}", repository.display());
    let mut command =
        maven_command(&module(), &["deploy", "-Ppackage", "-Dmaven.install.skip=true", &into]);
    command.args(arguments);
    command.envs(grown.map(|library| ("FALLAWAY_GROWN_LIBRARY", library)));
    documented::run_and_check(command)?;
    eprintln!("kotlin: {}", repository.display());
    Ok(repository)
}

/// The quickstart's project, as the page has it, against the package.
fn run_quickstart(repository: &Path) -> Outcome {
    let project = target().join("bindings/kotlin-quickstart");
    quickstart::extract(&root().join("docs/embedding/kotlin.md"), &project)?;
    // Maven never fetches a released version twice: forget the one of the last run.
    let home = std::env::var_os("HOME").map(PathBuf::from).unwrap_or_default();
    let kept = home.join(".m2/repository/dev/fallaway/fallaway").join(VERSION);
    remove(&kept)?;
    let from = format!("-Dfallaway.repository=file://{}", repository.display());
    let data = project.join("data");
    let _ = fs::remove_dir_all(&data);
    let mut command = maven_command(&project, &["--quiet", "compile", "exec:java", &from]);
    command.env("FALLAWAY_FOLDER", &data).stderr(Stdio::inherit());
    eprintln!("+ the quickstart, in {}", project.display());
    let said = command.output().map_err(|error| format!("mvn cannot be started: {error}"))?;
    // Maven's launcher sets the terminal's colours back, whether there is one or not.
    let shown = String::from_utf8_lossy(&said.stdout).replace("\u{1b}[0m", "");
    if !said.status.success() {
        return Err(format!("{shown}\nthe quickstart ended with {}", said.status));
    }
    let expected = project.join("expected.txt");
    let expected = fs::read_to_string(&expected).map_err(told(&expected))?;
    if without_moments(&shown) != without_moments(&expected) {
        return Err(format!("the page shows\n{expected}\nand the program\n{shown}"));
    }
    eprintln!("kotlin: the quickstart shows what its page says");
    Ok(())
}

/// The words of a text, with those that are only digits and marks between them (dates, times) told by
/// their kind: the program ran at another time than when the page was written.
fn without_moments(text: &str) -> Vec<&str> {
    let digits = |word: &str, count: usize, mark: char| {
        let parts = word.trim_matches(['(', ')', '.', ',']).split(mark);
        word.contains(mark)
            && parts.clone().count() == count
            && parts.into_iter().all(|part| part.bytes().all(|byte| byte.is_ascii_digit()))
    };
    let kind = |word| match word {
        word if digits(word, 3, '-') => "(date)",
        word if digits(word, 2, ':') => "(time)",
        word => word,
    };
    text.split_whitespace().map(kind).collect()
}

fn module() -> PathBuf {
    root().join("bindings/kotlin")
}

fn maven(folder: &Path, arguments: &[&str]) -> Outcome {
    run_command(maven_command(folder, arguments))
}

/// Maven, saying as little as is useful in a log. What it has fetched once it does not ask for again, so that after
/// the first run it needs no network.
fn maven_command(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new("mvn");
    command.current_dir(folder).args(["--batch-mode", "--no-transfer-progress"]);
    let mut target_folder = OsString::from("-Dfallaway.target=");
    target_folder.push(target());
    command.arg(target_folder).args(arguments);
    command
}

fn told(path: &Path) -> impl Fn(std::io::Error) -> String + use<> {
    let path = path.display().to_string();
    move |error| format!("{path}: {error}")
}

#[cfg(test)]
mod tests {
    use super::without_moments;

    #[test]
    fn a_quickstart_that_ran_at_another_time_shows_the_same() {
        let page = "Read 18 thou, 2026-11-25 13:54.\n- In all: 0.15 mm.";
        assert_eq!(without_moments(page), without_moments(&page.replace("13:54", "09:01")));
        let target = "Target 12 thou (2026-11-25 13:54).";
        let later = "Target 12 thou (2026-11-28 09:01).";
        assert_eq!(without_moments(target), without_moments(later));
        assert_ne!(without_moments(page), without_moments(&page.replace("18 thou", "19 thou")));
        assert_eq!(without_moments("a: b-c 1-2").join(" "), "a: b-c 1-2");
    }
}
