//! The command line: arguments, screens, progress.
//!
//! - `args`, `play_args`: the arguments and their help;
//! - `console`: the two screens that the program writes to; `screen`: how a finding looks; `table`: columns; `progress`;
//! - `choice`: looks up names on the command line; `misread`: says which words make no command; `many`: several tunes at once;
//!   `track`: sound files; `complete`: what a shell completes; `prompt`: its scripts, and manual pages;
//! - [`kinds`]: the kinds of finding of this room, and all kinds together; `groups`: the list of commands in the help;
//! - `signals`: being asked to stop; `threads`: work shared among threads;
//! - a file or a folder for each command, under its name.
//!
//! Files and JSON are [`crate::door`]'s.
//!
//! The program ends with 0 when all is fine, 1 when it did what it was asked and found something to fix (a finding of severity
//! error), 2 when it could not do what it was asked; it makes no difference whether somebody still reads its screens. `exit_codes`
//! says so in the help.

mod args;
mod check;
mod choice;
mod complete;
mod console;
mod cover;
mod drill;
mod exit_codes;
mod export;
mod findings;
mod fit;
mod groups;
mod guide;
mod import;
pub mod kinds;
mod lineup;
mod many;
mod misread;
mod pack;
mod page;
mod pans;
mod patterns;
mod play;
mod play_args;
mod progress;
mod prompt;
mod render;
mod screen;
mod share;
mod sheet;
mod signals;
mod start;
mod sticks;
mod table;
mod threads;
mod tidy;
mod track;
mod whereabouts;

use std::ffi::OsString;
use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::process::ExitCode;

use args::{Ask, Command};
use clap::error::ErrorKind;
use console::Console;
use kinds::OWN_MISTAKE;

use crate::door::files;
use crate::door::findings_json;
use crate::door::json::write_json;
use crate::text::{Finding, Refusal};

/// How a command ended that got to its end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Outcome {
    /// All is fine.
    Fine,
    /// There is something to fix.
    Mend,
    /// Part of what was asked could not be done; the reason has been shown.
    Failed,
}

/// Why a command stopped before its end.
#[derive(Debug)]
pub(crate) enum Stop {
    /// It could not do what it was asked; these say why.
    Told(Vec<Finding>),
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
        Stop::from(files::unwritable("standard output", &error))
    }
}

/// Does what the arguments ask; the first is the program's own name.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    let json = arguments.iter().any(|argument| argument == "--json");
    if complete::answered(&arguments, args::whole) {
        return ExitCode::SUCCESS;
    }
    threads::ready();
    let mut console = Console::new();
    let named = arguments.get(1).and_then(|name| name.to_str()).map(str::to_owned);
    let ask = match args::read(arguments) {
        Ok(ask) => ask,
        // Help is shown to who asks for it, and to who asks for nothing.
        Err(told) if !told.use_stderr() || told.kind() == ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => {
            // It goes to a screen that may have been closed; there is nobody left to tell.
            let _ = told.print();
            return ExitCode::from(if told.use_stderr() { 2 } else { 0 });
        }
        Err(told) => {
            let finding = misread::finding(&told, &args::whole(), named.as_deref());
            return ended(Err(Stop::from(finding)), json, &mut console);
        }
    };
    signals::listen();
    // A mistake of the program's own ends it with a word, and what was begun is taken away on the way.
    let done = catch_unwind(AssertUnwindSafe(|| command(ask, &mut console)));
    let done = done.unwrap_or_else(|_| {
        let finding = Finding::error(&OWN_MISTAKE, "panfold has made a mistake and could not go on");
        Err(finding
            .help("your files are safe; please tell the makers of panfold what you did, and send them the lines above")
            .into())
    });
    let done = done.and_then(|outcome| {
        console.flush()?;
        Ok(outcome)
    });
    ended(done, json, &mut console)
}

/// The exit code. Before that, shows why something could not be done: on the screen, or as JSON where JSON was asked for.
fn ended(done: Result<Outcome, Stop>, json: bool, console: &mut Console) -> ExitCode {
    ExitCode::from(match done {
        Ok(Outcome::Fine) => 0,
        Ok(Outcome::Mend) => 1,
        Ok(Outcome::Failed) => 2,
        Err(Stop::Told(findings)) => {
            // If that screen can't be written to either, nobody is left to tell.
            let _ = if json {
                let errors = serde_json::json!({ "errors": findings_json::findings(&findings) });
                write_json(console.out(), &errors).and_then(|()| console.flush())
            } else {
                console.tell(&findings)
            };
            2
        }
    })
}

fn command(ask: Ask, console: &mut Console) -> Result<Outcome, Stop> {
    match ask.command {
        Command::Check(args) => check::run(&args, console),
        Command::Completions(args) => prompt::completions(&args, console),
        Command::Man(args) => prompt::man(&args, args::whole(), console),
        Command::Export(args) => export::run(&args, console),
        Command::Findings(args) => findings::run(&args, console),
        Command::Drill(args) => drill::run(&args, console),
        Command::Play(args) => play::run(&args, console),
        Command::Cover(args) => cover::run(&args, console),
        Command::Lineup(args) => lineup::run(&args, console),
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
        Command::Guide(args) => guide::run(&args, console),
    }
}
