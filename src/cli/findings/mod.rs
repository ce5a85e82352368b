//! `panfold findings`: what kinds of problem and advice there are, why each matters, and how it looks.
//!
//! The examples in `examples.txt` are screens of tests: `PANFOLD_WRITE_SCREENS=1 cargo test --test program broken::`, run twice, writes them anew.

use super::args::FindingsArgs;
use super::console::Console;
use super::kinds;
use super::screen::in_lines;
use super::{Outcome, Stop};
use crate::door::kinds::WRONG_CHOICE;
use crate::text::{Finding, Kind, words};

/// Messages about wrong files, each as it looks on a screen, with an empty line between two.
const EXAMPLES: &str = include_str!("examples.txt");

/// How far sentences are indented.
const INDENT: usize = 4;

/// How many examples are shown of a kind, unless all are asked for.
const FEW: usize = 2;

/// Lists all kinds, or says more about those that are named, or about all.
pub fn run(args: &FindingsArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let all = kinds::all();
    let mut chosen: Vec<&Kind> = Vec::new();
    for name in &args.kinds {
        let Some(kind) = all.iter().find(|kind| kind.name == name) else { return Err(unknown(name, &all).into()) };
        chosen.push(kind);
    }
    let width = console.screen.width.min(100);
    let sentences = |kind: &Kind| format!("{}\n{}\n", kind.name, in_lines(kind.what, INDENT, width));
    if chosen.is_empty() && !args.all {
        all.iter().try_for_each(|kind| write!(console.out(), "{}", sentences(kind)))?;
        writeln!(console.out(), "\n`panfold findings KIND` says why one of them matters and what usually helps.")?;
        return Ok(Outcome::Fine);
    }
    let most = if args.all { usize::MAX } else { FEW };
    for (number, kind) in if args.all { all } else { chosen }.into_iter().enumerate() {
        let apart = if number > 0 { "\n" } else { "" };
        writeln!(console.out(), "{apart}{}{}", sentences(kind), in_lines(kind.why, INDENT, width))?;
        for example in examples(kind).take(most) {
            let lines: Vec<String> = example.lines().map(|line| format!("      {line}")).collect();
            writeln!(console.out(), "\n{}", lines.join("\n"))?;
        }
    }
    Ok(Outcome::Fine)
}

/// How a kind looks on the screen, one example for each of its messages.
fn examples(kind: &Kind) -> impl Iterator<Item = &'static str> {
    let named = [format!(": {})", kind.name), format!(" ({})", kind.name)];
    EXAMPLES.split("\n\n").filter(move |example| {
        let headline = example.lines().next().unwrap_or_default();
        named.iter().any(|named| headline.ends_with(named.as_str()))
    })
}

fn unknown(name: &str, all: &[&'static Kind]) -> Finding {
    let finding = Finding::error(&WRONG_CHOICE, format!("there is no kind of problem or advice `{name}`"));
    match words::nearest(name, all.iter().map(|kind| kind.name)) {
        Some(near) => finding.help(format!("did you mean `{near}`?")),
        None => finding.help("`panfold findings` lists them all"),
    }
}
