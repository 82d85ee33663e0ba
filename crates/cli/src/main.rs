//! The program: arguments in, exit code out.

use std::process::ExitCode;

use clap::Parser as _;

fn main() -> ExitCode {
    flatwright::run::run(&flatwright::args::Cli::parse())
}
