//! Parse, run, exit code. May not enter: anything else.

use clap::{Parser, Subcommand};
use std::io::{IsTerminal, Write};
use std::path::PathBuf;
use std::process::ExitCode;
use sunside::cli::check;
use sunside::document::{Document, Problems};

/// Rehearses a roster shot: where to stand, with which lens, and when.
#[derive(Parser)]
#[command(version)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Tell every problem of scenes, models and rulebooks.
    Check {
        /// Files to check.
        #[arg(required = true)]
        files: Vec<PathBuf>,
    },
}

fn main() -> ExitCode {
    let Arguments { command } = Arguments::parse();
    let color = std::io::stdout().is_terminal() && std::env::var_os("NO_COLOR").is_none();
    // A closed pipe ends the listing, not the check.
    let mut say = |text: &str| drop(std::io::stdout().write_all(text.as_bytes()));
    match command {
        Command::Check { files } => check::run(&files, no_rulebook, color, &mut say).into(),
    }
}

/// Rulebooks are read by `grade`, which is being built.
fn no_rulebook(document: Document) -> Result<String, Problems> {
    document
        .root()
        .fault_here("rulebooks cannot be read yet", "a scene or a model");
    Err(document.into_problems())
}
