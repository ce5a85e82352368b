//! The command line: arguments, screens, progress.
//!
//! - `args`, `play_args`: what can be asked for, with its help;
//! - `console`: the two screens that the program writes to; `screen`: how a finding looks; `table`: columns; `progress`;
//! - `choice`: names on the command line looked up; `track`: sound files;
//! - [`kinds`]: the kinds of finding of this room, and all kinds together; `groups`: the list of commands in the help;
//! - `signals`: being asked to stop;
//! - a file or a folder for each command, under its name.
//!
//! Files and JSON are [`crate::door`]'s.
//!
//! The program ends with 0 when all is fine, 1 when there is something to mend (a finding of severity error), 2 when it
//! could not do what it was asked.

mod args;
mod check;
mod choice;
mod console;
mod cover;
mod drill;
mod export;
mod findings;
mod fit;
mod groups;
mod import;
pub mod kinds;
mod load;
mod pack;
mod page;
mod pans;
mod patterns;
mod play;
mod play_args;
mod progress;
mod render;
mod screen;
mod share;
mod sheet;
mod signals;
mod start;
mod sticks;
mod table;
mod tidy;
mod track;

use std::ffi::OsString;
use std::io;
use std::process::ExitCode;

use args::{Ask, Command};
use console::Console;

use crate::door::files;
use crate::text::{Finding, Refusal};

/// How a command ended that did what it was asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Outcome {
    /// Nothing is in the way.
    Fine,
    /// There is something to mend.
    Mend,
    /// Part of what was asked could not be done; why has been told.
    Failed,
}

/// Why a command stopped before its end.
#[derive(Debug)]
pub(crate) enum Stop {
    /// It could not do what it was asked; these say why.
    Told(Vec<Finding>),
    /// Whoever read its screen has gone.
    Gone,
}

impl From<Finding> for Stop {
    fn from(finding: Finding) -> Self {
        Stop::Told(vec![finding])
    }
}

impl From<Refusal> for Stop {
    fn from(refusal: Refusal) -> Self {
        Stop::Told(refusal.0)
    }
}

impl From<Vec<Finding>> for Stop {
    fn from(findings: Vec<Finding>) -> Self {
        Stop::Told(findings)
    }
}

impl From<Box<Finding>> for Stop {
    fn from(finding: Box<Finding>) -> Self {
        Stop::Told(vec![*finding])
    }
}

/// An error while writing to a screen.
impl From<io::Error> for Stop {
    fn from(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::BrokenPipe => Stop::Gone,
            _ => Stop::from(files::unwritable("standard output", &error)),
        }
    }
}

/// Does what the arguments ask; the first is the program's own name.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let ask = match args::read(arguments) {
        Ok(ask) => ask,
        Err(told) => {
            // Help goes to a screen that may have been closed; there is nobody left to tell.
            let _ = told.print();
            return ExitCode::from(if told.use_stderr() { 2 } else { 0 });
        }
    };
    signals::listen();
    let mut console = Console::new();
    let done = command(ask, &mut console).and_then(|outcome| {
        console.flush()?;
        Ok(outcome)
    });
    ExitCode::from(match done {
        Ok(Outcome::Fine) | Err(Stop::Gone) => 0,
        Ok(Outcome::Mend) => 1,
        Ok(Outcome::Failed) => 2,
        Err(Stop::Told(findings)) => {
            // If that screen has gone too, nobody is left to tell.
            let _ = console.tell(&findings);
            2
        }
    })
}

fn command(ask: Ask, console: &mut Console) -> Result<Outcome, Stop> {
    match ask.command {
        Command::Check(args) => check::run(&args, console),
        Command::Export(args) => export::run(&args, console),
        Command::Findings(args) => findings::run(&args, console),
        Command::Drill(args) => drill::run(&args, console),
        Command::Play(args) => play::run(&args, console),
        Command::Cover(args) => cover::run(&args, console),
        Command::Load(args) => load::run(&args, console),
        Command::Fit(args) => fit::run(&args, console),
        Command::Import(args) => import::run(&args, console),
        Command::Patterns(args) => patterns::run(&args, console),
        Command::Tidy(args) => tidy::run(&args, console),
        Command::Pans(args) => pans::run(&args, console),
        Command::Render(args) => render::run(&args, console),
        Command::Pack(args) => pack::run(&args, console),
        Command::Page(args) => page::run(&args, console),
        Command::Sheet(args) => sheet::run(&args, console),
        Command::Sticks(args) => sticks::run(&args, console),
        Command::Share(args) => share::run(&args, console),
        Command::Start(args) => start::run(&args, console),
    }
}
