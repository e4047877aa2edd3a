//! The `fallaway` command: hands the process's arguments and environment to the app.
#![forbid(unsafe_code)]

use std::process::ExitCode;

fn main() -> ExitCode {
    fallaway_terminal::env::with_process(|env| {
        let arguments = std::env::args_os().collect();
        ExitCode::from(fallaway_terminal::app::run(arguments, env))
    })
}
