#![forbid(unsafe_code)]
//! `answers` reads questions about readings and set-up mathematics from standard input, one JSON
//! object a line, and prints an answer for each, one JSON object a line.
//!
//! It exists so that libraries of other languages can be asked the same: see
//! `the README of these tests`. A question names what it asks in `ask`; the other fields are
//! those of the type of the same name in this program. Lengths are millimetres, forces newtons,
//! unless a field's name says otherwise. The answer is `{"answer": ...}`, or `{"refused": "why"}`
//! when the library refuses the numbers. A question that cannot be understood ends the program with
//! exit code 2, because then the checks themselves are wrong.

mod across;
mod learning;
mod neck;
mod readings;
mod state;
mod strings;
mod swing;

use std::io::{BufRead, Write};
use std::process::ExitCode;

use serde::de::DeserializeOwned;
use serde_json::{Value, json};

/// What the library said, or why it refused.
type Answer = Result<Value, Box<dyn std::error::Error>>;

/// Why a line is no question.
type NoQuestion = String;

fn ask<Q: DeserializeOwned>(value: Value, answer: fn(&Q) -> Answer) -> Result<Answer, NoQuestion> {
    serde_json::from_value(value).map(|question| answer(&question)).map_err(|e| e.to_string())
}

fn dispatch(line: &str) -> Result<Answer, NoQuestion> {
    let value: Value = serde_json::from_str(line).map_err(|e| e.to_string())?;
    let name = value.get("ask").and_then(Value::as_str).unwrap_or("").to_owned();
    match name.as_str() {
        "arc" => ask(value, across::arc),
        "board" => ask(value, across::board),
        "bridge" => ask(value, across::bridge),
        "floating" => ask(value, across::floating),
        "spacing" => ask(value, across::spacing),
        "regression" => ask(value, learning::regression),
        "rod" => ask(value, learning::rod),
        "season" => ask(value, learning::season),
        "student" => ask(value, learning::student),
        "converted" => ask(value, neck::converted),
        "neck" => ask(value, neck::neck),
        "rocking" => ask(value, neck::rocking),
        "reading" => ask(value, readings::reading),
        "shown" => ask(value, readings::shown),
        "compare" => ask(value, state::compare),
        "estimate" => ask(value, state::estimate),
        "intonation" => ask(value, strings::intonation),
        "moisture" => ask(value, strings::moisture),
        "nearest" => ask(value, strings::nearest),
        "note" => ask(value, strings::note),
        "set_back" => ask(value, strings::set_back),
        "tension" => ask(value, strings::tension),
        "unit_mass" => ask(value, strings::unit_mass),
        "clearance" => ask(value, swing::clearance),
        "envelope" => ask(value, swing::envelope),
        "partial" => ask(value, swing::partial),
        "pluck" => ask(value, swing::pluck),
        other => Err(format!("nothing answers \"{other}\"")),
    }
}

fn main() -> ExitCode {
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    for (number, line) in (1..).zip(std::io::stdin().lock().lines()) {
        let answer = line.map_err(|e| e.to_string()).and_then(|line| dispatch(&line));
        let said = match answer {
            Ok(Ok(value)) => json!({ "answer": value }),
            Ok(Err(refusal)) => json!({ "refused": refusal.to_string() }),
            Err(reason) => {
                eprintln!("question {number}: {reason}");
                return ExitCode::from(2);
            }
        };
        if let Err(e) = writeln!(out, "{said}") {
            eprintln!("answer {number}: {e}");
            return ExitCode::from(2);
        }
    }
    ExitCode::SUCCESS
}
