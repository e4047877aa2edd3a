//! The test in which a device in each language shares one record with the others, driven by one
//! script with a seed (`tests/end-to-end`).

use crate::steps::{Outcome, root, run, target};
use crate::{kotlin, python, swift};

/// What a run takes if nothing else is asked for: few seeds, the same every time.
const USUAL: [(&str, &str); 4] = [
    ("--devices", "rust,python,kotlin,swift"),
    ("--seed", "1"),
    ("--runs", "3"),
    ("--rounds", "80"),
];

/// Builds the devices that take part and lets the script drive them, seed after seed. A device that
/// cannot be built fails it. `--devices rust,python`, `--seed`, `--runs` and `--rounds` ask for other
/// runs.
pub fn test(arguments: &[String]) -> Outcome {
    let asked = |name: &str| {
        let place = arguments.iter().position(|argument| argument == name);
        let given = place.and_then(|place| arguments.get(place + 1)).map(String::as_str);
        let usual = USUAL.iter().find(|(usual, _)| *usual == name).map(|(_, value)| *value);
        given.or(usual).unwrap_or_default()
    };
    let number = |name: &str| {
        asked(name).parse::<u32>().map_err(|error| format!("{name} {}: {error}", asked(name)))
    };
    let (first, runs) = (number("--seed")?, number("--runs")?);
    let devices = asked("--devices").split(',').map(device).collect::<Outcome<Vec<_>>>()?;
    let script = root().join("tests/end-to-end/run.py").display().to_string();
    for seed in first..first.saturating_add(runs) {
        let mut command = vec![script.clone(), "--seed".to_owned(), seed.to_string()];
        command.extend(["--rounds".to_owned(), number("--rounds")?.to_string()]);
        command.extend(devices.iter().cloned());
        run("python3", &command)?;
    }
    Ok(())
}

/// The device of a language, built, as the script takes it: its name and its command.
fn device(language: &str) -> Outcome<String> {
    let command = match language {
        "rust" => quoted(&rust()?),
        "python" => quoted(&python()?),
        "kotlin" => kotlin::device()?,
        "swift" => quoted(&swift::device()?),
        other => return Err(format!("no device {other:?}; there are: {}", USUAL[0].1)),
    };
    Ok(format!("{language}={command}"))
}

fn rust() -> Outcome<Vec<String>> {
    run("cargo", &["build", "--workspace", "--bin", "device"])?;
    Ok(vec![target().join("debug/device").display().to_string()])
}

fn python() -> Outcome<Vec<String>> {
    let program = root().join("tests/end-to-end/device.py").display().to_string();
    Ok(vec![python::installed()?, program])
}

/// Words as the script takes them apart (POSIX shell quoting).
fn quoted(words: &[String]) -> String {
    let one = |word: &String| format!("'{}'", word.replace('\'', "'\\''"));
    words.iter().map(one).collect::<Vec<_>>().join(" ")
}
