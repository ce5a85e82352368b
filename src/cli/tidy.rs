//! `panfold tidy`: the cells of a tune lined up under each other.

use std::path::Path;

use super::args::TidyArgs;
use super::console::Console;
use super::{Outcome, Stop};
use crate::door::files;
use crate::door::loaded;
use crate::notation::{parse, tidy};
use crate::text::Finding;

/// Tidies every tune that the arguments name, or reports which are not tidy. One that can't be read or written does not
/// stop the others.
///
/// # Errors
/// When the screen can't be written to.
pub fn run(args: &TidyArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let mut outcome = Outcome::Fine;
    for path in &args.tunes {
        match one(path, args.check) {
            Ok(tidied) => {
                outcome = outcome.max(if tidied == Tidied::Not { Outcome::Mend } else { Outcome::Fine });
                writeln!(console.out(), "{}: {}", path.display(), tidied.word())?;
            }
            Err(finding) => {
                outcome = Outcome::Failed;
                console.tell(&[*finding])?;
            }
        }
    }
    Ok(outcome)
}

/// What happened to a tune.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Tidied {
    Already,
    Now,
    Not,
}

impl Tidied {
    fn word(self) -> &'static str {
        match self {
            Tidied::Already => "tidy already",
            Tidied::Now => "tidied",
            Tidied::Not => "not tidy",
        }
    }
}

fn one(path: &Path, only_tell: bool) -> Result<Tidied, Box<Finding>> {
    let source = loaded::tune_text(path)?;
    let tidied = tidy(&parse(&source).0);
    if tidied == source.text() {
        return Ok(Tidied::Already);
    }
    if only_tell {
        return Ok(Tidied::Not);
    }
    files::rewrite(path, &source, &tidied)?;
    Ok(Tidied::Now)
}
