#![forbid(unsafe_code)]
//! `fallaway-reference FILE...` checks the mathematics against reference files.
//!
//! Exit code 0: all within tolerance. 1: something beyond. 2: a file that cannot be read or is of
//! no known form.

use std::process::ExitCode;

fn main() -> ExitCode {
    let files: Vec<String> = std::env::args().skip(1).collect();
    if files.is_empty() {
        eprintln!("usage: fallaway-reference FILE...");
        return ExitCode::from(2);
    }
    let mut code = 0;
    for file in &files {
        let outcome = std::fs::read_to_string(file)
            .map_err(|e| e.to_string())
            .and_then(|text| fallaway_reference::check_text(&text).map_err(|e| e.to_string()));
        match outcome {
            Ok((form, report)) => {
                let verdict = if report.failed() { "BEYOND" } else { "within" };
                println!("{file}: {form}\n{report}\n{verdict} tolerance\n");
                if report.failed() {
                    code = code.max(1);
                }
            }
            Err(reason) => {
                eprintln!("{file}: {reason}");
                code = 2;
            }
        }
    }
    ExitCode::from(code)
}
