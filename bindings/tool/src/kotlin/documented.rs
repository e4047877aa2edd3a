//! Whether every public name of the Kotlin module is documented, as Dokka sees it.

use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};

use crate::steps::Outcome;

/// What stands before each name in Dokka's list.
const UNDOCUMENTED: &str = "Undocumented: ";

/// UniFFI's own machinery, which has to be public in the generated code and is nothing for apps.
const MACHINERY: [&str; 9] = [
    "FfiConverter",
    "RustBuffer",
    "Uniffi",
    "uniffi",
    "Disposable",
    "NoHandle",
    "ErrorHandler",
    "InternalException",
    "/use/",
];

/// Members that Kotlin gives every enum or error, or that the generated code adds to every type.
const INHERITED: [&str; 8] = [
    "/message/",
    "/destroy/",
    "/close/",
    ".Companion/",
    "Impl/",
    "/values/#",
    "/valueOf/#",
    "/entries/#",
];

/// Runs Maven, shows what it says, and fails if it fails or if Dokka, which runs in it, names a public
/// declaration without documentation.
pub fn run_and_check(mut command: Command) -> Outcome {
    eprintln!("+ {command:?}");
    let failed = |error: std::io::Error| format!("mvn cannot be run: {error}");
    let mut maven = command.stdout(Stdio::piped()).spawn().map_err(failed)?;
    let mut named = Vec::new();
    if let Some(said) = maven.stdout.take() {
        for line in BufReader::new(said).lines() {
            let line = line.map_err(failed)?;
            match line.split_once(UNDOCUMENTED) {
                Some((_, name)) => named.push(name.trim_end_matches(" (JVM)").to_owned()),
                None => println!("{line}"),
            }
        }
    }
    let status = maven.wait().map_err(failed)?;
    if !status.success() {
        return Err(format!("mvn ended with {status}"));
    }
    if named.is_empty() {
        // UniFFI's machinery is always in the list.
        return Err("Dokka did not say what is undocumented".to_owned());
    }
    let missing: Vec<&str> =
        named.iter().map(String::as_str).filter(|name| is_ours(name)).collect();
    if missing.is_empty() {
        eprintln!("kotlin: every public name is documented");
        return Ok(());
    }
    Err(format!("without documentation:\n  {}", missing.join("\n  ")))
}

/// Whether an app sees this name of Dokka's.
fn is_ours(name: &str) -> bool {
    !MACHINERY.iter().any(|part| name.contains(part))
        && !INHERITED.iter().any(|part| name.contains(part))
}

#[cfg(test)]
mod tests {
    use super::is_ours;

    #[test]
    fn only_names_that_an_app_sees_count() {
        assert!(is_ours("fallaway/Plan/next/#/"));
        assert!(is_ours("fallaway//gap/fallaway.Quantity.Companion#kotlin.Int#kotlin.Int/"));
        for machinery in ["fallaway/RustBuffer/", "fallaway/ControlFlow/valueOf/#kotlin.String/"] {
            assert!(!is_ours(machinery), "{machinery}");
        }
    }
}
