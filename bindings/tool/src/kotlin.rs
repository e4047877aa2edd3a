//! The Kotlin module: generated code and the hand-shaped layer in `bindings/kotlin`, compiled, tested
//! and packed by Maven. Everything that is made lies in the target folder.

mod documented;
mod generated;

use std::env::consts::{DLL_PREFIX, DLL_SUFFIX};
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::generate::{self, Profile};
use crate::left_running;
use crate::pages;
use crate::parts::{Parts, carries_all};
use crate::quickstart;
use crate::relay::RunningRelay;
use crate::shared::names_no_folder;
use crate::steps::{Outcome, output, remove, root, run, run_command, target};
use crate::weighs;

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
    hand_out(&["-Dmaven.test.skip=true", "-Dmaven.install.skip=true"])
}

/// The same, and into this user's own repository, where Maven and Gradle (`mavenLocal()`) find it.
pub fn install() -> Outcome {
    hand_out(&["-Dmaven.test.skip=true"])
}

fn hand_out(arguments: &[&str]) -> Outcome {
    assemble(Profile::Release)?;
    names_no_folder(&native_library())?;
    let jar = deploy(arguments, &[])?;
    let bytes = [Some(weighs::of(&jar)?), Some(weighs::of(&native_library())?), None];
    weighs::as_its_page_says("kotlin", &bytes)
}

/// Everything that can be checked here: tests, golden vectors, documentation of every public name,
/// and the quickstart as a project of its own that uses the package.
pub fn test() -> Outcome {
    let grown = generate::grown_library()?;
    assemble(Profile::Dev)?;
    let relay = RunningRelay::start("kotlin")?;
    let (grown, relay) = (grown.display().to_string(), relay.address.as_str());
    deploy(&[], &[("FALLAWAY_GROWN_LIBRARY", &grown), ("FALLAWAY_RELAY", relay)])?;
    let said = run_quickstart();
    // What was installed for the quickstart is not as it is handed out.
    let home = std::env::var_os("HOME").map(PathBuf::from).unwrap_or_default();
    remove(&home.join(".m2/repository/dev/fallaway/fallaway").join(VERSION))?;
    said
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

/// Compiles the module's code with the code that was generated for phones, which have fewer calls.
pub fn compile_for_android(generated: &Path) -> Outcome {
    let generated = format!("-Dfallaway.generated={}", generated.display());
    let into = format!("-Dfallaway.built={}", target().join("bindings/kotlin-android").display());
    maven(&module(), &["--quiet", "compile", &generated, &into])
}

/// What the module's users get beside it, by the versions in its `pom.xml`: group and name, version,
/// licence.
pub fn asked_for() -> Outcome<Vec<(&'static str, String, &'static str)>> {
    let pom = module().join("pom.xml");
    let pom = fs::read_to_string(&pom).map_err(told(&pom))?;
    let asked = [
        ("org.jetbrains.kotlin/kotlin-stdlib", "<kotlin.version>", "Apache-2.0"),
        (
            "org.jetbrains.kotlinx/kotlinx-coroutines-core-jvm",
            "<artifactId>kotlinx-coroutines-core-jvm</artifactId>\n      <version>",
            "Apache-2.0",
        ),
        (
            "net.java.dev.jna/jna",
            "<artifactId>jna</artifactId>\n      <version>",
            "Apache-2.0 OR LGPL-2.1-or-later",
        ),
    ];
    let with_version = asked.into_iter().map(|(name, before, licence)| {
        let version = pom.split_once(before).and_then(|(_, rest)| rest.split_once('<'));
        let (version, _) = version.ok_or_else(|| format!("pom.xml has no version of {name}"))?;
        Ok((name, version.to_owned(), licence))
    });
    with_version.collect()
}

/// The same, for the bill of materials.
pub fn add_what_the_module_asks_for(parts: &mut Parts) -> Outcome {
    for (name, version, licence) in asked_for()? {
        parts.add_asked_for(&format!("pkg:maven/{name}"), &version, licence);
    }
    Ok(())
}

/// What the generator does not do: Kotlin's words and the suspending siblings.
pub fn finish_code() -> Outcome {
    let package = generate::folder("kotlin").join("fallaway");
    let main = package.join("fallaway.kt");
    let code = fs::read_to_string(&main).map_err(told(&main))?;
    let code = generated::in_kotlins_shape(&generated::in_kotlins_words(&code));
    fs::write(&main, &code).map_err(told(&main))?;
    for (name, content) in generated::suspending_calls(&code)? {
        let file = package.join(name);
        fs::write(&file, content).map_err(told(&file))?;
    }
    Ok(())
}

/// Generated code, suspending siblings, the native library, licences and pages where Maven looks for
/// them.
fn assemble(profile: Profile) -> Outcome {
    // Classes of what is generated no more, or was renamed, would be packed and tested with the rest.
    for compiled in ["classes", "test-classes"] {
        remove(&target().join("bindings/kotlin-build").join(compiled))?;
    }
    let library = generate::generate("kotlin", profile)?;
    finish_code()?;
    let mut parts = Parts::of_library(None, false)?;
    add_what_the_module_asks_for(&mut parts)?;
    let carried = target().join("bindings/kotlin-carried");
    remove(&carried)?;
    let inside = carried.join("META-INF/fallaway");
    parts.lay_into(&inside, "fallaway")?;
    pages::lay_into(&inside.join("docs"), "kotlin")?;
    let beside = native_library();
    let native = beside.parent().unwrap_or(&beside);
    fs::create_dir_all(native).map_err(told(native))?;
    fs::copy(&library, &beside).map_err(told(&library))?;
    // The symbols that the generator reads are of no use in the jar, and most of its size.
    if cfg!(target_os = "linux") {
        run("strip", &["--strip-unneeded".as_ref(), beside.as_os_str()])?;
    }
    Ok(())
}

/// Where the library lies that goes into the jar.
pub fn native_library() -> PathBuf {
    let file = format!("{DLL_PREFIX}fallaway_ffi{DLL_SUFFIX}");
    target().join("bindings/kotlin-native").join(jna_folder()).join(file)
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

/// Compiles, tests and documents what `assemble` made, packs it into a Maven repository and into the
/// user's own; says where the jar is. Fails if a public name has no documentation.
fn deploy(arguments: &[&str], environment: &[(&str, &str)]) -> Outcome<PathBuf> {
    let repository = target().join("bindings/packages/kotlin");
    remove(&repository)?;
    let into = format!("-DaltDeploymentRepository=fallaway::file://{}", repository.display());
    let mut command = maven_command(&module(), &["deploy", "-Ppackage", &into]);
    command.args(arguments);
    command.envs(environment.iter().copied());
    let url = std::env::var("FALLAWAY_URL").ok();
    if let Some(url) = &url {
        command.args([format!("-Dfallaway.url={url}"), "-Dfallaway.hosted=interpolate".to_owned()]);
    }
    documented::run_and_check(command)?;
    let jar = repository.join(format!("dev/fallaway/fallaway/{VERSION}/fallaway-{VERSION}.jar"));
    carries_all(&jar, &output(Command::new("jar").arg("tf").arg(&jar))?)?;
    let pom = jar.with_extension("pom");
    is_a_users(&fs::read_to_string(&pom).map_err(told(&pom))?, url.as_deref())?;
    eprintln!("kotlin: {}", repository.display());
    Ok(jar)
}

/// Fails if a published pom holds what only the build needs, or lacks what its readers do.
fn is_a_users(pom: &str, url: Option<&str>) -> Outcome {
    let own = ["basedir", "-Werror", "<build>", "<scope>test</scope>"];
    if let Some(found) = own.iter().find(|one| pom.contains(**one)) {
        return Err(format!("the published pom is the build's own: {found}"));
    }
    let wanted = ["<licenses>", "<developers>", "<description>", "<artifactId>jna</artifactId>"];
    if let Some(missing) = wanted.iter().find(|one| !pom.contains(**one)) {
        return Err(format!("the published pom has no {missing}"));
    }
    let hosted = url.is_some_and(|url| pom.contains(&format!("<url>{url}</url>")));
    if pom.contains("<scm>") != url.is_some() || hosted != url.is_some() {
        return Err(format!("the published pom does not say that it comes from {url:?}"));
    }
    Ok(())
}

/// The quickstart's project, as the page has it, against the package.
fn run_quickstart() -> Outcome {
    let project = target().join("bindings/kotlin-quickstart");
    quickstart::extract(&root().join("docs/embedding/kotlin.md"), &project)?;
    shows_what_its_page_says(&project, &[], &[])
}

/// Runs a project that was made of the page, twice, as people do. Fails if it shows something else than
/// the page, or leaves something running.
pub fn shows_what_its_page_says(
    project: &Path,
    environment: &[(&str, &str)],
    options: &[String],
) -> Outcome {
    let data = project.join("data");
    remove(&data)?;
    let expected = project.join("expected.txt");
    let expected = fs::read_to_string(&expected).map_err(told(&expected))?;
    let says = || {
        let mut command = maven_command(project, &["--quiet", "compile", "exec:java"]);
        command.args(options).envs(environment.iter().copied()).env("FALLAWAY_FOLDER", &data);
        left_running::mark(&mut command, project);
        quickstart_says(command, project)
    };
    let shown = says()?;
    if without_moments(&shown) != without_moments(&expected) {
        return Err(format!("the page shows\n{expected}\nand the program\n{shown}"));
    }
    says()?;
    left_running::nothing(project)?;
    eprintln!(
        "kotlin: the quickstart shows what its page says, runs again, and leaves nothing running"
    );
    Ok(())
}

fn quickstart_says(mut command: Command, project: &Path) -> Outcome<String> {
    command.stderr(Stdio::inherit());
    eprintln!("+ the quickstart, in {}", project.display());
    let said = command.output().map_err(|error| format!("mvn cannot be started: {error}"))?;
    // Maven's launcher sets the terminal's colours back, whether there is one or not.
    let shown = String::from_utf8_lossy(&said.stdout).replace("\u{1b}[0m", "");
    if said.status.success() {
        Ok(shown)
    } else {
        Err(format!("{shown}\nthe quickstart ended with {}", said.status))
    }
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
    use super::{is_a_users, without_moments};

    const POM: &str = "<description>d</description><licenses></licenses><developers></developers>
        <artifactId>jna</artifactId>";

    #[test]
    fn the_builds_own_pom_is_not_published() {
        assert_eq!(is_a_users(POM, None), Ok(()));
        let own = POM.replace("jna", "jna</artifactId>${project.basedir}<artifactId>");
        assert!(is_a_users(&own, None).unwrap_err().contains("basedir"));
        let bare = POM.replace("<licenses>", "");
        assert!(is_a_users(&bare, None).unwrap_err().contains("licenses"));
        let url = "https://git.example/fallaway";
        assert!(is_a_users(POM, Some(url)).is_err(), "hosted, and the pom does not say where");
        let hosted = format!("{POM}<url>{url}</url><scm><url>{url}</url></scm>");
        assert_eq!(is_a_users(&hosted, Some(url)), Ok(()));
    }

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
