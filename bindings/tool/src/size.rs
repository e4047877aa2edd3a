//! What the shared library weighs as it is shipped on phones, and what takes the space.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

use crate::phone;
use crate::steps::{Outcome, output, run, run_command, rusts_own_tools, target};

/// Lines of the table of what takes the space.
const MOST: usize = 16;

/// Builds the library for phones, for this machine or another target, and says what it weighs.
///
/// For another target Rust's part for it must be there (`rustup target add`), and a linker
/// (`CARGO_TARGET_..._LINKER`).
pub fn measure(triple: Option<&str>) -> Outcome {
    let library = phone::library(triple)?;
    let folder = target().join("bindings/size");
    let failed = |error: std::io::Error| format!("{}: {error}", folder.display());
    fs::create_dir_all(&folder).map_err(failed)?;
    let stripped = folder.join("stripped");
    // Rust's own tool knows every target.
    let mut strip = Command::new(rusts_own_tools()?.join("rust-objcopy"));
    strip.arg("--strip-all").args([&library, &stripped]);
    run_command(strip)?;
    run("gzip", &[Path::new("--best"), Path::new("--keep"), Path::new("--force"), &stripped])?;
    let bytes = |path: &Path| fs::metadata(path).map(|found| found.len()).map_err(failed);
    println!("{:>10} bytes with symbols", bytes(&library)?);
    println!("{:>10} bytes stripped", bytes(&stripped)?);
    println!("{:>10} bytes stripped, gzip --best", bytes(&stripped.with_extension("gz"))?);
    println!("\nsections of more than 10,000 bytes:");
    let sections = output(Command::new("size").arg("-A").arg(&stripped))?;
    for line in sections.lines() {
        let mut words = line.split_whitespace();
        let (Some(name), Some(size)) = (words.next(), words.next()) else { continue };
        let size = size.parse::<u64>().unwrap_or(0);
        if size > 10_000 && name.starts_with('.') {
            println!("{size:>10} {name}");
        }
    }
    println!(
        "\nfunctions and constants by the crate that they are of (generic code counts for the"
    );
    println!("crate in which it is written):");
    let symbols = output(Command::new("nm").args(["-S", "--demangle"]).arg(&library))?;
    if cfg!(target_os = "linux") && symbols.contains(phone::DESCRIBES) {
        return Err("the library describes its face: the linker did not leave it out".to_owned());
    }
    let mut crates: BTreeMap<String, u64> = BTreeMap::new();
    for (name, size) in symbols.lines().filter_map(symbol) {
        *crates.entry(name).or_default() += size;
    }
    let mut crates: Vec<(u64, String)> = crates.into_iter().map(|(name, n)| (n, name)).collect();
    crates.sort_unstable_by(|a, b| b.cmp(a));
    for (size, name) in crates.iter().take(MOST) {
        println!("{size:>10} {name}");
    }
    println!("{:>10} all others", crates.iter().skip(MOST).map(|(size, _)| size).sum::<u64>());
    Ok(())
}

/// Crate and size of a line of `nm -S --demangle`: "address size kind name".
fn symbol(line: &str) -> Option<(String, u64)> {
    let mut words = line.splitn(4, ' ');
    let (_, size, kind, name) = (words.next()?, words.next()?, words.next()?, words.next()?);
    let size = u64::from_str_radix(size, 16).ok()?;
    // What is only reserved takes no space in the file.
    if matches!(kind, "b" | "B") {
        return None;
    }
    if !name.contains("::") {
        let sqlite = "C, mostly SQLite, and names without a path";
        return Some((sqlite.to_owned(), size));
    }
    let start = name.trim_start_matches(['<', '&', '*', '(', '[']);
    let start = start.trim_start_matches("mut ").trim_start_matches("dyn ");
    let end = start.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(start.len());
    Some((start.get(..end)?.to_owned(), size))
}

#[cfg(test)]
mod tests {
    use super::symbol;

    #[test]
    fn a_symbol_counts_for_its_crate() {
        let of = |line| symbol(line).map(|(name, _)| name);
        let line =
            "00000000000a1b20 0000000000000010 t <&mut automerge::Op as core::fmt::Debug>::fmt";
        assert_eq!(symbol(line), Some(("automerge".to_owned(), 16)));
        let line = "00000000000a1b20 0000000000000010 T fallaway_ffi::error::hint";
        assert_eq!(of(line).as_deref(), Some("fallaway_ffi"));
        let line = "00000000000a1b20 0000000000000010 t sqlite3VdbeExec";
        assert!(of(line).is_some_and(|name| name.contains("SQLite")));
        assert_eq!(of("00000000000a1b20 0000000000000010 b core::x::Y"), None);
        assert_eq!(of("                 U malloc"), None);
    }
}
