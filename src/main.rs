//! The program `panfold`: what it was asked becomes an exit code.

mod memory;

use std::process::ExitCode;

fn main() -> ExitCode {
    panfold::cli::run(std::env::args_os())
}
