#![forbid(unsafe_code)]
//! Commands of the simulation: `realistic-record`, `freeze` and `lane`.

use std::path::PathBuf;
use std::process::ExitCode;

use fallaway_simulation::{freeze, lane, record_folder};

const HELP: &str = "\
realistic-record --out DIR [--visits 1000] [--seed 42]
    writes a store with a realistic record (visits of 8 passes over 5 strings, random readings)
    through the library, and prints what it takes
freeze --out DIR
    writes a store, its keys, a bundle file, an invitation and the expected view, for tests/compat
lane --lane LANE [--from 0] [--to 100000] [--each 20000] [--jobs 1]
    lets children of bounded memory try hostile inputs: LANE is a parser of src/fuzz.rs,
    hostile-member (changes that a member signs) or hostile-programs (whole programs); or it is a
    lane of schedules of honest people, by seeds: schedules (files in any order), people (with
    every fault of people and devices) or by-relay (with every fault of network and relay)
";

fn main() -> ExitCode {
    match run(std::env::args().skip(1).collect()) {
        Ok(text) => {
            print!("{text}");
            ExitCode::SUCCESS
        }
        Err(reason) => {
            eprintln!("{reason}\n\n{HELP}");
            ExitCode::FAILURE
        }
    }
}

fn run(mut arguments: Vec<String>) -> Result<String, String> {
    if arguments.is_empty() || arguments.iter().any(|one| one == "--help") {
        return Ok(HELP.to_owned());
    }
    let command = arguments.remove(0);
    if command == "lane" || command == "lane-child" {
        let lane = option(&arguments, "--lane")?.ok_or("--lane LANE is missing")?;
        let numbers = number(&arguments, "--from", 0)?..number(&arguments, "--to", 100_000)?;
        if command == "lane-child" {
            lane::child(&lane, numbers);
            return Ok(String::new());
        }
        let program = std::env::current_exe().map_err(|error| error.to_string())?;
        let each = number(&arguments, "--each", 20_000)?.max(1);
        let jobs = number(&arguments, "--jobs", 1)?.max(1) as usize;
        let counts = lane::run(&program, &lane, numbers, (each, jobs))?;
        let lines: Vec<String> =
            counts.iter().map(|(what, count)| format!("{count:>10} {what}\n")).collect();
        return Ok(lines.concat());
    }
    let out = PathBuf::from(option(&arguments, "--out")?.ok_or("--out DIR is missing")?);
    if out.read_dir().is_ok_and(|mut inside| inside.next().is_some()) {
        return Err(format!("{} is not empty; a new folder is expected", out.display()));
    }
    match command.as_str() {
        "realistic-record" => {
            let visits = number(&arguments, "--visits", 1_000)?;
            let seed = number(&arguments, "--seed", 42)?;
            let sizes = record_folder::write(&out, visits as usize, seed)
                .map_err(|error| error.to_string())?;
            Ok(format!(
                "{} visits, {} entries\nsaved document: {} bytes\ndatabase: {} bytes\n",
                sizes.visits, sizes.entries, sizes.document_bytes, sizes.database_bytes
            ))
        }
        "freeze" => {
            freeze::write(&out);
            Ok(format!("frozen in {}\n", out.display()))
        }
        other => Err(format!("there is no command {other:?}")),
    }
}

fn option(arguments: &[String], name: &str) -> Result<Option<String>, String> {
    let Some(place) = arguments.iter().position(|one| one == name) else { return Ok(None) };
    let value = arguments.get(place + 1).ok_or(format!("{name} needs a value"))?;
    Ok(Some(value.clone()))
}

fn number(arguments: &[String], name: &str, default: u64) -> Result<u64, String> {
    match option(arguments, name)? {
        None => Ok(default),
        Some(text) => text.parse().map_err(|_| format!("{name} {text:?} is not a whole number")),
    }
}
