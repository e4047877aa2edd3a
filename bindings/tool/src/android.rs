//! The module for Android: a library for each kind of phone, the Kotlin code, and Gradle, which packs
//! them into an AAR.
//!
//! Cross compiling and Gradle were never run where the project is checked, which has no Android NDK and
//! SDK. Everything else is: `cargo tool test android` puts a library of this machine in the place of
//! each of a phone's.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::generate;
use crate::kotlin;
use crate::parts::Parts;
use crate::phone;
use crate::shared::{build_alone, built, give_away, names_no_folder};
use crate::steps::{Outcome, output, remove, root, run_command, target};

/// A kind of phone.
struct Abi {
    /// Android's name of it.
    name: &'static str,
    /// Rust's name of it.
    triple: &'static str,
    /// What the NDK's compilers for it begin with.
    compiler: &'static str,
}

const ABIS: [Abi; 3] = [
    Abi { name: "arm64-v8a", triple: "aarch64-linux-android", compiler: "aarch64-linux-android" },
    Abi {
        name: "armeabi-v7a",
        triple: "armv7-linux-androideabi",
        compiler: "armv7a-linux-androideabi",
    },
    Abi { name: "x86_64", triple: "x86_64-linux-android", compiler: "x86_64-linux-android" },
];

/// Android 8.0, the oldest that the module supports.
const API: u32 = 26;

/// How many bytes segments have to be aligned to: phones with pages of 16 KB load nothing else.
const PAGE: u64 = 0x4000;

/// The AAR, in a Maven repository. Needs the NDK (r27 or later) where `ANDROID_NDK_HOME` says, the SDK
/// where `ANDROID_HOME` says, Gradle, and Rust's part for each kind of phone.
pub fn package() -> Outcome {
    let ndk = std::env::var_os("ANDROID_NDK_HOME").map(PathBuf::from);
    let ndk = ndk.ok_or("ANDROID_NDK_HOME names no Android NDK (r27 or later)")?;
    let made = target().join("bindings/android");
    remove(&made)?;
    let arguments = link_arguments()?;
    for abi in &ABIS {
        let mut cargo = Command::new("cargo");
        cargo.current_dir(root()).args(["rustc", "--locked", "--package", "fallaway-ffi", "--lib"]);
        cargo.args(["--crate-type", "cdylib", "--profile", "mobile", "--no-default-features"]);
        cargo.args(["--target", abi.triple, "--"]).args(&arguments);
        cargo.envs(compilers(abi, &ndk));
        give_away(&mut cargo);
        run_command(cargo)?;
        // Gradle strips the copy that goes into the AAR.
        let library = target().join(abi.triple).join("mobile/libfallaway_ffi.so");
        names_no_folder(&library)?;
        lay(&library, abi, &made)?;
    }
    lay_the_rest(&made)?;
    let packages = target().join("bindings/packages/android");
    let mut gradle = Command::new("gradle");
    gradle.current_dir(root()).args(["--no-daemon", "--project-dir", "bindings/kotlin/android"]);
    gradle.arg(format!("-Pfallaway.made={}", made.display()));
    gradle.arg(format!("-Pfallaway.packages={}", packages.display()));
    gradle.arg("publish");
    run_command(gradle)?;
    eprintln!("android: {}", packages.display());
    Ok(())
}

/// All of it but the cross compiling and Gradle, with a library of this machine, linked as those of
/// phones are; then compiles the module's code as Gradle would find it.
pub fn test() -> Outcome {
    let made = target().join("bindings/android-stand-in");
    remove(&made)?;
    let mut build = vec!["--no-default-features".to_owned(), "--".to_owned()];
    build.extend(link_arguments()?);
    build_alone(&build.iter().map(String::as_str).collect::<Vec<_>>())?;
    let library = built("debug");
    let symbols = output(Command::new("nm").args(["--dynamic", "--defined-only"]).arg(&library))?;
    if symbols.contains(phone::DESCRIBES) {
        return Err("the library describes its face: the linker did not leave it out".to_owned());
    }
    for abi in &ABIS {
        lay(&library, abi, &made)?;
    }
    lay_the_rest(&made)?;
    let siblings = made.join("kotlin/fallaway/SuspendingWorkshop.kt");
    let code = fs::read_to_string(&siblings).map_err(told(&siblings))?;
    if !code.contains("suspend fun `addInstrument`") {
        return Err(format!("{} has no suspending calls", siblings.display()));
    }
    kotlin::compile_for_android(&made.join("kotlin"))
}

/// What rustc is told for every kind of phone. Functions that are alike are kept once; addresses are
/// packed in the way that Android 6 and newer load (`relr`, which packs them tighter, takes Android 9;
/// both from memory); what only the generator reads is left out.
fn link_arguments() -> Outcome<Vec<String>> {
    let mut arguments = vec![
        "-Clink-arg=-Wl,--icf=all,--pack-dyn-relocs=android".to_owned(),
        format!("-Clink-arg=-Wl,-z,max-page-size={PAGE}"),
        phone::link_arguments()?,
    ];
    arguments.extend(phone::SMALL.map(str::to_owned));
    Ok(arguments)
}

/// The compilers of the NDK for a kind of phone, as cargo and the build scripts of C code ask for them.
fn compilers(abi: &Abi, ndk: &Path) -> Vec<(String, PathBuf)> {
    let host = if cfg!(target_os = "macos") { "darwin-x86_64" } else { "linux-x86_64" };
    let tools = ndk.join("toolchains/llvm/prebuilt").join(host).join("bin");
    let clang = tools.join(format!("{}{API}-clang", abi.compiler));
    let upper = abi.triple.replace('-', "_").to_uppercase();
    let lower = abi.triple.replace('-', "_");
    vec![
        (format!("CARGO_TARGET_{upper}_LINKER"), clang.clone()),
        (format!("CC_{lower}"), clang),
        (format!("AR_{lower}"), tools.join("llvm-ar")),
    ]
}

/// Lays a library where Gradle looks for it. Fails if a phone with large pages would not load it.
fn lay(library: &Path, abi: &Abi, made: &Path) -> Outcome {
    let headers = output(Command::new("readelf").args(["--wide", "--segments"]).arg(library))?;
    aligned(&headers).map_err(|reason| format!("{}: {reason}", library.display()))?;
    let folder = made.join("jniLibs").join(abi.name);
    fs::create_dir_all(&folder).map_err(told(&folder))?;
    fs::copy(library, folder.join("libfallaway_ffi.so")).map(drop).map_err(told(library))
}

/// Whether what `readelf --segments` says has only loadable segments that are aligned to large pages.
fn aligned(headers: &str) -> Outcome {
    let loaded: Vec<&str> =
        headers.lines().filter(|line| line.trim_start().starts_with("LOAD")).collect();
    if loaded.is_empty() {
        return Err("no loadable segment".to_owned());
    }
    for line in loaded {
        let last = line.split_whitespace().last().unwrap_or_default();
        let alignment = u64::from_str_radix(last.trim_start_matches("0x"), 16).unwrap_or(0);
        if alignment < PAGE {
            return Err(format!("a segment is aligned to {last} only"));
        }
    }
    Ok(())
}

/// The Kotlin code, from the library of this machine that `link_arguments` has read, and what every package
/// carries.
fn lay_the_rest(made: &Path) -> Outcome {
    generate::generate_from(&phone::kept(), "kotlin")?;
    kotlin::finish_code()?;
    let code = made.join("kotlin/fallaway");
    fs::create_dir_all(&code).map_err(told(&code))?;
    let generated = generate::folder("kotlin").join("fallaway");
    for file in fs::read_dir(&generated).map_err(told(&generated))?.flatten() {
        fs::copy(file.path(), code.join(file.file_name())).map_err(told(&file.path()))?;
    }
    let mut parts = Parts::of_library(Some("aarch64-linux-android"), true)?;
    kotlin::add_what_the_module_asks_for(&mut parts)?;
    parts.lay_into(&made.join("resources/META-INF/fallaway"), "fallaway-android")
}

fn told(path: &Path) -> impl Fn(std::io::Error) -> String {
    let path = path.display().to_string();
    move |error| format!("{path}: {error}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn segments_of_small_pages_are_refused() {
        let good = "  LOAD           0x000000 0x0 0x0 0x1e R   0x4000\n  GNU_STACK 0 0 0 RW 0\n";
        aligned(good).unwrap();
        let bad = aligned(&good.replace("0x4000", "0x1000")).unwrap_err();
        assert!(bad.contains("0x1000"), "{bad}");
        assert!(aligned("").is_err());
    }

    #[test]
    fn each_kind_of_phone_has_its_compilers_and_gradle_packs_it() {
        let gradle = root().join("bindings/kotlin/android/build.gradle.kts");
        let gradle = fs::read_to_string(gradle).unwrap();
        assert!(gradle.contains(&format!("minSdk = {API}")));
        for abi in &ABIS {
            assert!(gradle.contains(&format!("\"{}\"", abi.name)), "{}", abi.name);
            let [linker, cc, ar] = compilers(abi, Path::new("/ndk")).try_into().unwrap();
            assert!(linker.0.starts_with("CARGO_TARGET_") && linker.0.ends_with("_LINKER"));
            assert!(linker.1.to_string_lossy().ends_with("26-clang") && linker.1 == cc.1);
            assert_eq!(ar.0, format!("AR_{}", abi.triple.replace('-', "_")));
        }
    }
}
