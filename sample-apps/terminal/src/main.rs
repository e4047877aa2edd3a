//! The `fallaway` command: hands the process's arguments and surroundings to the app.
#![forbid(unsafe_code)]

use std::process::ExitCode;

fn main() -> ExitCode {
    fallaway_terminal::surroundings::with_process(|surroundings| {
        let arguments = std::env::args_os().collect();
        ExitCode::from(fallaway_terminal::app::run(arguments, surroundings))
    })
}
