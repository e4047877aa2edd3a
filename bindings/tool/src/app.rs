//! The sample app for Android, without Android's SDK: its view models on this machine, the app itself
//! under Robolectric, which runs Android's own framework on a computer.

mod cold;
mod libraries;
pub mod package;
pub mod preview;
mod resources;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::generate::Profile;
use crate::kotlin;
use crate::relay::RunningRelay;
use crate::steps::{Outcome, remove, root, run_command, target};
use libraries::{Library, fetch, listed};

/// What is to become of `tests/vectors/screens/days.json`.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Screens {
    /// The screens must show what it says.
    Compare,
    /// It is written anew.
    Record,
}

/// Compiles the view models and plays the scripted days on them, over the real library.
pub fn models(screens: Screens) -> Outcome {
    let path = compiled_models(Profile::Dev)?;
    let relay = RunningRelay::start("app")?;
    let mut java = java();
    java.env("FALLAWAY_RELAY", &relay.address);
    if screens == Screens::Record {
        java.arg("-Dfallaway.record=yes");
    }
    java.arg("-cp").arg(path).arg("org.junit.runner.JUnitCore");
    java.args(["fallaway.app.ModelTest", "fallaway.app.StoredTest", "fallaway.app.RelayTest"]);
    run_command(java)
}

/// Says what the view models and the screens cost on this machine, with the library as it is shipped.
pub fn measure() -> Outcome {
    cold::starts(&compiled_models(Profile::Release)?)?;
    on_this_machine(Profile::Release, &["fallaway.app.android.Measures"])
}

/// The path of classes on which the view models and their tests run.
fn compiled_models(profile: Profile) -> Outcome<String> {
    kotlin::build(profile)?;
    let libraries = Libraries::read()?;
    let path = libraries.of("models")?;
    let compiler = libraries.of("compiler")?;
    let (code, tests) = (made().join("models"), made().join("models-tests"));
    let package = package_of_the_library();
    compile(
        &compiler,
        false,
        &path_of(&[&path, std::slice::from_ref(&package)]),
        &code,
        &[app().join("model/src")],
    )?;
    let path = path_of(&[&path, &[package, code]]);
    compile(&compiler, false, &path, &tests, &[app().join("model/test")])?;
    Ok(format!("{path}:{}", tests.display()))
}

/// Runs the tests of the app itself.
pub fn test() -> Outcome {
    on_this_machine(
        Profile::Dev,
        &[
            "fallaway.app.android.LifeTest",
            "fallaway.app.android.DayTest",
            "fallaway.app.android.DrawingTest",
        ],
    )
}

/// Takes pictures of its screens, into `bindings/app/pictures` of the target folder.
pub fn pictures() -> Outcome {
    on_this_machine(Profile::Dev, &["fallaway.app.android.Pictures"])
}

/// The app, compiled against Android's framework.
struct Compiled {
    framework: PathBuf,
    resources: resources::Resources,
    /// The classes of the app's own code.
    code: PathBuf,
    /// Those of the library's package.
    library: PathBuf,
}

/// Compiles the app with the libraries under some headings, those of its tests beside it or not.
fn compiled(profile: Profile, headings: &[&str]) -> Outcome<Compiled> {
    kotlin::build(profile)?;
    let libraries = Libraries::read()?;
    let compiler = libraries.of("compiler")?;
    let fetched = libraries.all_of(headings)?;
    let framework = fetched.iter().find(|file| name_of(file).contains("android-all-"));
    let framework = framework.ok_or("the framework was not fetched")?.clone();
    let rest: Vec<PathBuf> = fetched.into_iter().filter(|file| *file != framework).collect();
    let resources = resources::link(&made(), &app(), &framework, &rest)?;
    let (code, library) = (made().join("app"), package_of_the_library());
    let below = [resources.classes.as_slice(), std::slice::from_ref(&library)].concat();
    let path = path_of(&[std::slice::from_ref(&framework), &below]);
    let sources = [
        app().join("model/src"),
        app().join("view/src"),
        app().join("app/src"),
        root().join("bindings/kotlin/android/src/main/kotlin"),
    ];
    compile(&compiler, true, &path, &code, &sources)?;
    Ok(Compiled { framework, resources, code, library })
}

/// Runs classes of the app's tests, which run the app on Android's framework.
fn on_this_machine(profile: Profile, tested: &[&str]) -> Outcome {
    let Compiled { framework, resources, code, library } = compiled(profile, &["app", "test"])?;
    let compiler = Libraries::read()?.of("compiler")?;
    let tests = made().join("app-tests");
    let below = [resources.classes.as_slice(), &[library]].concat();
    // The framework stands first where it is compiled against, and last where JUnit runs.
    let path = path_of(&[std::slice::from_ref(&framework), &below, std::slice::from_ref(&code)]);
    compile(&compiler, true, &path, &tests, &[app().join("app/test"), app().join("model/test")])?;
    let settings = tests.join("com/android/tools");
    fs::create_dir_all(&settings).map_err(|error| format!("{}: {error}", settings.display()))?;
    let settings = settings.join("test_config.properties");
    let said = format!(
        "android_merged_manifest={}\nandroid_resource_apk={}\nandroid_custom_package={PACKAGE}\n",
        app().join("app/AndroidManifest.xml").display(),
        resources.linked.display()
    );
    fs::write(&settings, said).map_err(|error| format!("{}: {error}", settings.display()))?;
    let mut java = java();
    java.args(["-Xmx1500m", "-XX:+UseSerialGC", "-Drobolectric.offline=true"]);
    java.args(["--add-opens", "java.base/java.lang=ALL-UNNAMED"]);
    java.args(["--add-opens", "java.base/java.util=ALL-UNNAMED"]);
    java.arg("-Drobolectric.usePreinstrumentedJars=false");
    java.arg("-Drobolectric.pixelCopyRenderMode=hardware");
    java.arg(format!("-Drobolectric.dependency.dir={}", resources.frameworks.display()));
    java.arg(format!("-Dfallaway.pictures={}", made().join("pictures").display()));
    let first = path_of(&[&[tests, code], &below, std::slice::from_ref(&framework)]);
    java.arg("-cp").arg(first).arg("org.junit.runner.JUnitCore");
    java.args(tested);
    run_command(java)
}

/// The package of the app's resources.
const PACKAGE: &str = "fallaway.app.android";

fn name_of(file: &Path) -> String {
    file.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

/// The lists of libraries, and what of them was fetched.
struct Libraries {
    list: String,
}

impl Libraries {
    fn read() -> Outcome<Self> {
        let file = app().join("libraries.txt");
        let list =
            fs::read_to_string(&file).map_err(|error| format!("{}: {error}", file.display()))?;
        Ok(Self { list })
    }

    /// The files of those under some headings, and the framework.
    fn all_of(&self, headings: &[&str]) -> Outcome<Vec<PathBuf>> {
        let mut all = Vec::new();
        for heading in headings.iter().chain(&["framework"]) {
            all.extend(listed(&self.list, heading)?);
        }
        fetch(&all, &made().join("libraries").join(headings.join("-and-")))
    }

    /// The files of those under a heading.
    fn of(&self, heading: &str) -> Outcome<Vec<PathBuf>> {
        let listed: Vec<Library> = listed(&self.list, heading)?;
        fetch(&listed, &made().join("libraries").join(heading))
    }
}

/// Where everything lies that is made of the app.
fn made() -> PathBuf {
    target().join("bindings/app")
}

/// The app's sources.
fn app() -> PathBuf {
    root().join("sample-apps/android")
}

/// The Kotlin package with the library in it, as `kotlin::build` leaves it.
fn package_of_the_library() -> PathBuf {
    target().join("bindings/kotlin-build/classes")
}

/// A path of classes.
fn path_of(parts: &[&[PathBuf]]) -> String {
    let parts = parts.iter().flat_map(|part| part.iter());
    parts.map(|one| one.display().to_string()).collect::<Vec<_>>().join(":")
}

/// Java, to run tests that ask where the checkout is.
fn java() -> Command {
    let mut java = Command::new("java");
    // Cargo names its own folder there, in which a library of another build may lie: that for a phone's
    // loader, for one, which ends a program of this machine. The package brings its own.
    java.env_remove("LD_LIBRARY_PATH");
    java.arg(format!("-Dfallaway.root={}", root().display()));
    java
}

/// Compiles the Kotlin files of some folders; a warning is an error.
fn compile(
    compiler: &[PathBuf],
    compose: bool,
    path: &str,
    into: &Path,
    folders: &[PathBuf],
) -> Outcome {
    remove(into)?;
    let mut kotlin = Command::new("java");
    kotlin.args(["-Xmx2g", "-cp"]).arg(path_of(&[compiler]));
    kotlin.arg("org.jetbrains.kotlin.cli.jvm.K2JVMCompiler");
    kotlin.args(["-no-stdlib", "-no-reflect", "-jvm-target", "17", "-Werror"]);
    if compose {
        let plugin =
            compiler.iter().find(|file| file.display().to_string().contains("compose-compiler"));
        let plugin = plugin.ok_or("the plugin for Compose was not fetched")?;
        kotlin.arg(format!("-Xplugin={}", plugin.display()));
        let stable = app().join("view/stable.txt");
        let option = "plugin:androidx.compose.compiler.plugins.kotlin:stabilityConfigurationPath";
        kotlin.arg("-P").arg(format!("{option}={}", stable.display()));
    }
    kotlin.args(["-cp", path, "-d"]).arg(into);
    for folder in folders {
        kotlin.arg(folder);
    }
    run_command(kotlin)
}
