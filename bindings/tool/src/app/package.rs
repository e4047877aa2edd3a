//! The APK, to see that it can be made: shrunk or whole, aligned, signed with a key that is thrown away.
//!
//! The library for the processors of phones is not in it: what builds that is not on the project's machines.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use super::{Compiled, Libraries, compiled, made, path_of};
use crate::generate::Profile;
use crate::steps::{Outcome, output, remove, root, run_command};

/// Android 8.0, as in the manifest.
const API: &str = "26";

/// Makes it twice, as it is and shrunk, and says how large its parts are.
pub fn package() -> Outcome {
    let app = compiled(Profile::Dev, &["app"])?;
    let shrinker = Libraries::read()?.of("shrinker")?;
    for shrunk in [false, true] {
        let folder = made().join("apk").join(if shrunk { "shrunk" } else { "whole" });
        remove(&folder)?;
        fs::create_dir_all(folder.join("code")).map_err(told(&folder))?;
        dex(&app, &shrinker, shrunk, &folder.join("code"))?;
        let apk = signed(&app.resources.linked, &folder)?;
        tell(&apk)?;
    }
    Ok(())
}

fn told(path: &Path) -> impl Fn(std::io::Error) -> String + '_ {
    move |error| format!("{}: {error}", path.display())
}

/// Android's own code from Java's: all of it, or what the app comes to.
fn dex(app: &Compiled, shrinker: &[PathBuf], shrunk: bool, into: &Path) -> Outcome {
    // The compiler takes classes in archives alone.
    let own = into.with_file_name("own.jar");
    let mut jar = Command::new("jar");
    jar.args(["--create", "--no-manifest", "--file"]).arg(&own);
    let names = app.resources.classes.last().into_iter();
    for folder in [&app.code, &app.library].into_iter().chain(names) {
        jar.arg("-C").arg(folder).arg(".");
    }
    run_command(jar)?;
    let program = if shrunk { "com.android.tools.r8.R8" } else { "com.android.tools.r8.D8" };
    let mut compiler = Command::new("java");
    compiler.args(["-Xmx1800m", "-cp"]).arg(path_of(&[shrinker])).arg(program);
    compiler.args(["--release", "--min-api", API, "--output"]).arg(into);
    compiler.arg("--lib").arg(&app.framework);
    if shrunk {
        // The framework for computers names classes of Java that a phone's does not.
        compiler.arg("--lib").arg(java_home().ok_or("where Java lies is not known")?);
        for rules in rules()? {
            compiler.arg("--pg-conf").arg(rules);
        }
    }
    compiler.arg(own);
    compiler.args(app.resources.classes.iter().filter(|file| file.is_file()));
    run_command(compiler)
}

/// Where Java lies.
fn java_home() -> Option<PathBuf> {
    let javac = output(Command::new("which").arg("javac")).ok()?;
    fs::canonicalize(javac.trim()).ok()?.ancestors().nth(2).map(Path::to_path_buf)
}

/// What must not be shrunk away: the app's rules, the library's, those of the archives and of the manifest.
fn rules() -> Outcome<Vec<PathBuf>> {
    let mut rules = vec![
        root().join("sample-apps/android/app/rules.pro"),
        root().join("bindings/kotlin/android/consumer-rules.pro"),
        made().join("manifest.pro"),
    ];
    let unpacked = made().join("unpacked");
    for entry in fs::read_dir(&unpacked).map_err(told(&unpacked))? {
        let file = entry.map_err(told(&unpacked))?.path().join("proguard.txt");
        if file.exists() {
            rules.push(file);
        }
    }
    Ok(rules)
}

/// Packs code and resources, aligns what is mapped into memory, and signs with a key of this run.
fn signed(resources: &Path, folder: &Path) -> Outcome<PathBuf> {
    let [packed, apk, key] = ["packed.apk", "app.apk", "key.p12"].map(|name| folder.join(name));
    fs::copy(resources, &packed).map_err(told(&packed))?;
    let mut jar = Command::new("jar");
    jar.args(["--update", "--no-manifest", "--file"]).arg(&packed);
    let code = folder.join("code");
    for name in of_a_phone(&code)? {
        jar.arg("-C").arg(&code).arg(name);
    }
    run_command(jar)?;
    let mut align = Command::new("zipalign");
    align.args(["-p", "-f", "4"]).arg(&packed).arg(&apk);
    run_command(align)?;
    let pass = "thrown-away";
    let mut keytool = Command::new("keytool");
    keytool.args(["-genkeypair", "-keyalg", "EC", "-alias", "once", "-dname", "CN=once"]);
    keytool.args(["-storetype", "PKCS12", "-storepass", pass, "-keystore"]).arg(&key);
    run_command(keytool)?;
    let mut sign = Command::new("apksigner");
    sign.args(["sign", "--ks"]).arg(&key).arg("--ks-pass").arg(format!("pass:{pass}")).arg(&apk);
    run_command(sign)?;
    fs::remove_file(&key).map_err(told(&key))?;
    let mut verify = Command::new("apksigner");
    verify.args(["verify", "--min-sdk-version", API]).arg(&apk);
    run_command(verify)?;
    Ok(apk)
}

/// What of the compiler's output belongs in an APK. The shrinker hands on all that lies beside the classes: builds of
/// the library and of JNA for computers, and what other compilers read.
fn of_a_phone(code: &Path) -> Outcome<Vec<String>> {
    let listed = fs::read_dir(code).map_err(told(code))?.flatten();
    let names = listed.map(|entry| entry.file_name().to_string_lossy().into_owned());
    let mut wanted: Vec<String> = names.filter(|name| name.starts_with("classes")).collect();
    let beside = ["META-INF/services", "META-INF/fallaway"].map(str::to_owned);
    wanted.extend(beside.into_iter().filter(|name| code.join(name).exists()));
    Ok(wanted)
}

/// Says how large an APK is, and what in it.
fn tell(apk: &Path) -> Outcome {
    let mut parts: BTreeMap<&str, u64> = BTreeMap::new();
    let list = output(Command::new("unzip").arg("-v").arg(apk))?;
    // Length, method, size, ratio, date, time, sum, name.
    for line in list.lines() {
        let words: Vec<&str> = line.split_whitespace().collect();
        let [_, _, size, _, _, _, _, name] = words.as_slice() else { continue };
        let Ok(size) = size.parse::<u64>() else { continue };
        let part = match *name {
            name if name.starts_with("classes") => "code",
            "resources.arsc" => "table of resources",
            name if name.starts_with("res/") => "resources",
            _ => "the rest",
        };
        *parts.entry(part).or_default() += size;
    }
    let all = fs::metadata(apk).map_err(told(apk))?.len();
    println!("{}: {} kB", apk.display(), all / 1000);
    for (part, size) in parts {
        println!("  {part}: {} kB", size / 1000);
    }
    Ok(())
}
