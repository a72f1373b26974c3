//! Parse, run, exit code. May not enter: anything else.

use clap::Parser;
use std::io::Write;
use std::process::ExitCode;
use sunside::cli::args::{Arguments, Command};
use sunside::cli::{check, color, grade, plan};

fn main() -> ExitCode {
    let Arguments { command } = Arguments::parse();
    // A closed pipe ends the listing, not the work.
    let mut say = |text: &str| drop(std::io::stdout().write_all(text.as_bytes()));
    let outcome = match command {
        Command::Check { files } => Ok(check::run(&files, color(), &mut say)),
        Command::Grade(args) => grade::run(&args, &mut say),
        Command::Plan(args) => plan::run(&args, &mut say),
    };
    outcome.map_or_else(
        |report| {
            eprintln!("{report}");
            ExitCode::from(2)
        },
        ExitCode::from,
    )
}
