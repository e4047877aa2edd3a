//! The command of each page's Install, as somebody types it who has nothing yet: word for word, and then
//! the page's own program, in a folder that holds nothing else.
//!
//! The library itself is built into the target folder of this checkout, so that it is built once for all.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::left_running;
use crate::quickstart;
use crate::steps::{Outcome, output, remove, root, run_command, target};
use crate::{android, kotlin, swift, weighs};

/// Tries one language, or what there is of Android here.
pub fn install(language: &str) -> Option<Outcome> {
    Some(match language {
        "python" => in_an_environment(),
        "kotlin" => with_an_own_repository(),
        "swift" => in_the_debian_root(),
        "android" => android::test(),
        _ => return None,
    })
}

/// Python: the environment that the page names, its commands, its program with nothing else in reach.
fn in_an_environment() -> Outcome {
    let folder = emptied("python")?;
    let page = page("python")?;
    let section = install_section(&page)?;
    let (first, then) = ("python3 -m venv .venv", ". .venv/bin/activate");
    if ![first, then].iter().all(|command| section.contains(&format!("`{command}`"))) {
        return Err(format!("the page no longer names `{first}` and `{then}`"));
    }
    let checkout = root().display().to_string();
    let script = format!("{first}\n{then}\ncd '{checkout}'\n{}", commands(section)?);
    shell(&folder, &script, &[])?;

    let program = quickstart::code(&page, "python");
    let file = folder.join("quickstart.py");
    fs::write(&file, program).map_err(told(&file))?;
    let mut python = Command::new(folder.join(".venv/bin/python"));
    python.arg(&file).current_dir(&folder).env_clear();
    python.env("PATH", "/usr/bin:/bin").env("HOME", &folder);
    let said = output(&mut python)?;
    let promised = ["Caution: ", "Really? ", "walnut bass", "action at fret 24, fretted at 1"];
    if let Some(missing) = promised.iter().find(|words| !said.contains(**words)) {
        return Err(format!("the program of the page did not say {missing:?}:\n{said}"));
    }

    let of_it =
        output(Command::new(folder.join(".venv/bin/python")).current_dir(&folder).args([
            "-c",
            "import pathlib, fallaway; print(pathlib.Path(fallaway.__file__).parent)",
        ]))?;
    let module = PathBuf::from(of_it.trim());
    if !module.starts_with(folder.join(".venv")) {
        return Err(format!("not out of the environment: {}", module.display()));
    }
    let wheel = weighs::of_the_one(&target().join("bindings/packages"), "fallaway-*.whl")?;
    let library = weighs::of_the_one(&module, "libfallaway_ffi.*")?;
    let bytes = [Some(wheel), Some(weighs::of(&module)?), Some(library)];
    weighs::as_its_page_says("python", &bytes)
}

/// Kotlin: everything that Maven keeps lies in a repository of its own. Then the package once more as it
/// is handed on, packed anew under the same number, with what the page says about that.
fn with_an_own_repository() -> Outcome {
    let folder = emptied("kotlin")?;
    let page = page("kotlin")?;
    let section = install_section(&page)?;
    let kept = folder.join("repository");
    let options = format!("-Dmaven.repo.local={}", kept.display());
    let fresh = [("MAVEN_OPTS", options.as_str())];
    shell(&root(), &commands(section)?, &fresh)?;

    let project = folder.join("bench");
    quickstart::extract(&root().join("docs/embedding/kotlin.md"), &project)?;
    kotlin::shows_what_its_page_says(&project, &fresh, &[])?;
    let jar = |name: &str, version: &str| {
        let name = name.rsplit('/').next().unwrap_or(name);
        weighs::of_the_one(&kept, &format!("{name}-{version}.jar"))
    };
    let ours = jar("fallaway", env!("CARGO_PKG_VERSION"))?;
    let library = weighs::of(&kotlin::native_library())?;
    let mut all = ours;
    for (name, version, _) in kotlin::asked_for()? {
        all += jar(name, &version)?;
    }
    let bytes = [Some(ours), Some(library), Some(all)];
    weighs::as_its_page_says("kotlin", &bytes)?;

    // Handed on: a folder, and a user whose settings name it.
    let handed_on = folder.join("handed-on");
    let packed = target().join("bindings/packages/kotlin");
    run_command(from(Command::new("cp"), &["-r".as_ref(), packed.as_ref(), handed_on.as_ref()]))?;
    let settings = folder.join("settings.xml");
    fs::write(&settings, settings_for(&handed_on)).map_err(told(&settings))?;
    let with_settings = ["--settings".to_owned(), settings.display().to_string()];
    let named = section
        .split('`')
        .find_map(|code| code.strip_prefix("~/.m2/repository/"))
        .filter(|_| section.contains("delete `~/.m2/repository/"))
        .ok_or("the page does not say what to delete")?;
    let remedy = || remove(&kept.join(named));
    let run = || kotlin::shows_what_its_page_says(&project, &fresh, &with_settings);
    let has_the_mark = || -> Outcome<bool> {
        let version = env!("CARGO_PKG_VERSION");
        let jar = kept.join(format!("dev/fallaway/fallaway/{version}/fallaway-{version}.jar"));
        Ok(output(Command::new("jar").arg("tf").arg(&jar))?.contains("packed-anew"))
    };
    remedy()?;
    run()?;
    mark_the_jar(&handed_on)?;
    run()?;
    if has_the_mark()? {
        return Err("Maven fetched the same number again: the page need not warn of it".to_owned());
    }
    remedy()?;
    run()?;
    if !has_the_mark()? {
        return Err(format!("{named} was deleted, and Maven still has the older jar"));
    }
    left_running::nothing(&project)
}

/// Swift: the package where the page wants it, used by its path and, as the repository that it is, by its
/// URL.
fn in_the_debian_root() -> Outcome {
    let folder = emptied("swift")?;
    let page = page("swift")?;
    let commands = commands(install_section(&page)?)?;
    let beside = "../fallaway-swift";
    if !commands.contains(beside) {
        return Err(format!("the page no longer puts the package into {beside}"));
    }
    let package = folder.join("fallaway-swift");
    shell(&root(), &commands.replace(beside, &package.display().to_string()), &[])?;
    let weight = output(Command::new("du").args(["-sb", "--exclude=.git"]).arg(&package))?;
    let weight = weight.split_whitespace().next().and_then(|bytes| bytes.parse().ok());
    let library = weighs::of_the_one(&package.join("lib"), "libfallaway_ffi.*")?;
    weighs::as_its_page_says("swift", &[weight, Some(library)])?;

    quickstart::extract(&root().join("docs/embedding/swift.md"), &folder.join("bench"))?;
    let mounts = ["--write", &format!("{}:/fallaway/fresh", folder.display())];
    let mounts: Vec<String> = mounts.into_iter().map(str::to_owned).collect();
    swift::in_root(&mounts, &["bash", "-euc", BY_PATH_AND_BY_URL])
}

/// What is run in the Debian root. A new user's home each time: the program keeps its data there.
const BY_PATH_AND_BY_URL: &str = r#"
run() {
    home=$(mktemp -d)
    HOME=$home XDG_DATA_HOME=$home swift run bench >said.txt
    while IFS= read -r line; do
        grep -qxF -- "$line" said.txt || { echo "the program of the page did not say: $line" >&2; exit 1; }
    done <expected.txt
}
cd /fallaway/fresh/bench
run
git clone --quiet /fallaway/fresh/fallaway-swift /tmp/fallaway-swift
cp -r /fallaway/fresh/bench /fallaway/fresh/by-url
cd /fallaway/fresh/by-url
rm -rf .build
sed -i -e 's|\.package(name: "Fallaway", path: "[^"]*")|.package(url: "file:///tmp/fallaway-swift", from: "VERSION")|' \
    -e 's|dependencies: \["Fallaway"\]|dependencies: [.product(name: "Fallaway", package: "fallaway-swift")]|' Package.swift
sed -i "s|VERSION|$(git -C /tmp/fallaway-swift describe --tags)|" Package.swift
export LIBRARY_PATH=$PWD/.build/checkouts/fallaway-swift/lib
export LD_LIBRARY_PATH=$LIBRARY_PATH:$LD_LIBRARY_PATH
run
rm -rf /tmp/fallaway-swift
"#;

/// A folder of this language's own, with nothing in it.
fn emptied(language: &str) -> Outcome<PathBuf> {
    let folder = target().join("bindings/fresh").join(language);
    remove(&folder)?;
    fs::create_dir_all(&folder).map_err(told(&folder))?;
    Ok(folder)
}

fn page(language: &str) -> Outcome<String> {
    let page = root().join(format!("docs/embedding/{language}.md"));
    fs::read_to_string(&page).map_err(told(&page))
}

/// What stands under "Install".
fn install_section(page: &str) -> Outcome<&str> {
    let (_, rest) = page.split_once("\n## Install\n").ok_or("the page has no Install")?;
    Ok(rest.split_once("\n## ").map_or(rest, |(section, _)| section))
}

/// The commands of its first block.
fn commands(section: &str) -> Outcome<String> {
    let (_, block) = section.split_once("```sh\n").ok_or("Install has no commands")?;
    let (block, _) = block.split_once("```").ok_or("a block without an end")?;
    Ok(block.to_owned())
}

/// Runs the lines of a script in a folder, until one fails.
fn shell(folder: &Path, script: &str, environment: &[(&str, &str)]) -> Outcome {
    let mut bash = Command::new("bash");
    bash.args(["-euc", script]).current_dir(folder).envs(environment.iter().copied());
    run_command(bash)
}

fn from(mut command: Command, arguments: &[&Path]) -> Command {
    command.args(arguments);
    command
}

/// Maven's settings of a user who was handed a repository as a folder.
fn settings_for(repository: &Path) -> String {
    format!(
        "<settings>\n  <profiles><profile><id>handed-on</id><repositories><repository>\n    \
         <id>handed-on</id><url>file://{}</url>\n  \
         </repository></repositories></profile></profiles>\n  \
         <activeProfiles><activeProfile>handed-on</activeProfile></activeProfiles>\n</settings>\n",
        repository.display()
    )
}

/// Puts a file into the jar of a repository, as if it had been packed anew.
fn mark_the_jar(repository: &Path) -> Outcome {
    let version = env!("CARGO_PKG_VERSION");
    let folder = repository.join("dev/fallaway/fallaway").join(version);
    let jar = folder.join(format!("fallaway-{version}.jar"));
    let mark = repository.join("packed-anew");
    fs::write(&mark, "").map_err(told(&mark))?;
    let mut update = Command::new("jar");
    update.arg("uf").arg(&jar).arg("-C").arg(repository).arg("packed-anew");
    run_command(update)?;
    // The sums are those of the jar before.
    for sum in ["md5", "sha1", "sha256", "sha512"] {
        drop(fs::remove_file(folder.join(format!("fallaway-{version}.jar.{sum}"))));
    }
    Ok(())
}

fn told(path: &Path) -> impl Fn(std::io::Error) -> String + use<> {
    let path = path.display().to_string();
    move |error| format!("{path}: {error}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_page_has_the_commands_that_are_tried() {
        for language in ["kotlin", "python", "swift"] {
            let page = page(language).unwrap();
            let commands = commands(install_section(&page).unwrap()).unwrap();
            assert!(commands.starts_with(&format!("cargo tool install {language}")), "{commands}");
        }
    }
}
