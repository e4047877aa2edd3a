//! Whether every public name of the Kotlin module is documented, as Dokka sees it.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use crate::steps::Outcome;

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

/// Members that Kotlin's own types ask for, or that the generated code adds to every object.
const INHERITED: [&str; 5] = ["/message/", "/destroy/", "/close/", "/Companion/", "Impl/"];

/// Runs Dokka (`command`), keeps what it says in `log`, and fails if it names a public declaration
/// without documentation.
pub fn check(mut command: Command, log: &Path) -> Outcome {
    eprintln!("+ mvn dokka:dokka > {}", log.display());
    let said = command
        .stdin(Stdio::null())
        .stderr(Stdio::inherit())
        .output()
        .map_err(|error| format!("mvn cannot be started: {error}"))?;
    fs::write(log, &said.stdout).map_err(|error| format!("{}: {error}", log.display()))?;
    let text = String::from_utf8_lossy(&said.stdout);
    if !said.status.success() {
        return Err(format!("{text}\nDokka ended with {}", said.status));
    }
    let missing = undocumented(&text)?;
    if missing.is_empty() {
        eprintln!("kotlin: every public name is documented");
        return Ok(());
    }
    Err(format!("without documentation:\n  {}", missing.join("\n  ")))
}

fn undocumented(log: &str) -> Outcome<Vec<&str>> {
    if !log.contains("Undocumented: ") {
        // UniFFI's machinery is always in the list.
        return Err("Dokka did not say what is undocumented".to_owned());
    }
    let names = log.lines().filter_map(|line| line.split_once("Undocumented: "));
    let names = names.map(|(_, name)| name.trim_end_matches(" (JVM)"));
    let ours = |name: &&str| {
        !MACHINERY.iter().any(|part| name.contains(part))
            && !INHERITED.iter().any(|part| name.contains(part))
    };
    Ok(names.filter(ours).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_names_that_an_app_sees_count() {
        let log = "[WARNING] Undocumented: fallaway/RustBuffer/ (JVM)\n[WARNING] Undocumented: fallaway/Plan/next/#/ (JVM)\n";
        assert_eq!(undocumented(log).unwrap(), ["fallaway/Plan/next/#/"]);
        assert!(undocumented("").is_err());
    }
}
