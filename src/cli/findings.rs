//! `panfold findings`: what kinds of finding there are, and why each matters.

use super::args::FindingsArgs;
use super::console::Console;
use super::kinds;
use super::screen::in_lines;
use super::{Outcome, Stop};
use crate::door::kinds::WRONG_CHOICE;
use crate::text::{Finding, Kind, words};

/// How far sentences are set in.
const INDENT: usize = 4;

/// Lists all kinds, or says more about those that are named.
pub fn run(args: &FindingsArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let all = kinds::all();
    let mut chosen: Vec<&Kind> = Vec::new();
    for name in &args.kinds {
        let Some(kind) = all.iter().find(|kind| kind.name == name) else { return Err(unknown(name, &all).into()) };
        chosen.push(kind);
    }
    let more = !chosen.is_empty();
    let width = console.screen.width.min(100);
    for (number, kind) in if more { chosen } else { all }.into_iter().enumerate() {
        if more && number > 0 {
            writeln!(console.out())?;
        }
        writeln!(console.out(), "{}\n{}", kind.name, in_lines(kind.what, INDENT, width))?;
        if more {
            writeln!(console.out(), "{}", in_lines(kind.why, INDENT, width))?;
        }
    }
    if !more {
        writeln!(console.out(), "\n`panfold findings KIND` says why one of them matters and what usually helps.")?;
    }
    Ok(Outcome::Fine)
}

fn unknown(name: &str, all: &[&'static Kind]) -> Finding {
    let finding = Finding::error(&WRONG_CHOICE, format!("there is no kind of problem or advice `{name}`"));
    match words::nearest(name, all.iter().map(|kind| kind.name)) {
        Some(near) => finding.help(format!("did you mean `{near}`?")),
        None => finding.help("`panfold findings` lists them all"),
    }
}
