//! `panfold tidy`: the cells of a tune lined up under each other.

use super::args::TidyArgs;
use super::console::Console;
use super::{Outcome, Stop, files};
use crate::notation::{parse, tidy};

/// Carries the command out.
///
/// # Errors
/// When a file can't be read or written.
pub fn run(args: &TidyArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let mut outcome = Outcome::Fine;
    for path in &args.tunes {
        let source = files::read(path)?;
        let (tree, _) = parse(&source);
        let tidied = tidy(&tree);
        let is_tidy = tidied == source.text();
        let name = path.display();
        if is_tidy {
            writeln!(console.out(), "{name}: tidy already")?;
        } else if args.check {
            outcome = Outcome::Mend;
            writeln!(console.out(), "{name}: not tidy")?;
        } else {
            let mark = if source.has_bom() { "\u{feff}" } else { "" };
            files::write(path, |file| write!(file, "{mark}{tidied}"))?;
            writeln!(console.out(), "{name}: tidied")?;
        }
    }
    Ok(outcome)
}
