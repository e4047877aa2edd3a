//! Lists the folders of `messages`, one a language, and takes in their files, deflated: texts in two
//! languages were the largest constant of a phone's library. A further language is only a folder.
//! Crates with messages of their own name this script as their `build`.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs, io};

fn main() -> io::Result<()> {
    let folder = Path::new(&env::var_os("CARGO_MANIFEST_DIR").unwrap_or_default()).join("messages");
    println!("cargo::rerun-if-changed={}", folder.display());
    let mut languages = listed(&folder)?;
    // English is what the others fall back to.
    languages.sort_by_key(|path| (!path.ends_with("en"), path.clone()));
    let mut code = String::from("&[\n");
    for language in &languages {
        let _ = writeln!(code, "({:?}, &[", name(language));
        for file in listed(language)? {
            println!("cargo::rerun-if-changed={}", file.display());
            // Comments are for translators.
            let text = fs::read_to_string(&file)?;
            let lines = text.lines().filter(|line| !line.starts_with('#'));
            let text: String = lines.flat_map(|line| [line, "\n"]).collect();
            let packed = miniz_oxide::deflate::compress_to_vec(text.as_bytes(), 10);
            let _ = writeln!(code, "({:?}, b\"{}\"),", name(&file), packed.escape_ascii());
        }
        code.push_str("]),\n");
    }
    code.push(']');
    let out = PathBuf::from(env::var_os("OUT_DIR").unwrap_or_default());
    fs::write(out.join("messages.rs"), code)
}

/// What a folder holds, in order.
fn listed(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut found: Vec<PathBuf> =
        fs::read_dir(folder)?.map(|entry| Ok(entry?.path())).collect::<io::Result<_>>()?;
    found.sort();
    Ok(found)
}

/// The name of a folder, or of a file without its ending.
fn name(path: &Path) -> String {
    path.file_stem().unwrap_or_default().to_string_lossy().into_owned()
}
