//! Parse, run, exit code. May not enter: anything else.

use clap::Parser;
use std::io::{ErrorKind, Write};
use std::process::ExitCode;
use sunside::cli::args::{Arguments, Command};
use sunside::cli::{
    check, color, export, grade, judge, lenses, light, note, plan, practise, rehearse, year,
};

fn main() -> ExitCode {
    let Arguments { command } = Arguments::parse();
    let mut failed = None;
    let mut say = |text: &str| {
        let mut out = std::io::stdout().lock();
        match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
            // A closed pipe ends the listing, not the work.
            Err(error) if error.kind() != ErrorKind::BrokenPipe => failed = Some(error),
            _ => {}
        }
    };
    let outcome = match command {
        Command::Check { files } => Ok(check::run(&files, color(), &mut say)),
        Command::Grade(args) => grade::run(&args, &mut say),
        Command::Judge(args) => judge::run(&args, &mut say),
        Command::Lenses(args) => lenses::run(&args, &mut say),
        Command::Light(args) => light::run(&args, &mut say),
        Command::Export(args) => export::run(&args, &mut say),
        Command::Rehearse(args) => rehearse::run(&args),
        Command::Practise(args) => practise::run(&args, &mut say),
        Command::Plan(args) => plan::run(&args, &mut say),
        Command::Year(args) => year::run(&args, &mut say),
    };
    if let Some(error) = failed {
        note(&format!("cannot write to standard output: {error}\n"));
        return ExitCode::from(2);
    }
    outcome.map_or_else(
        |report| {
            note(&format!("{report}\n"));
            ExitCode::from(2)
        },
        ExitCode::from,
    )
}
