//! Help at the prompt: `panfold completions`, which writes a shell's script for completion, and `panfold man`, which writes manual pages.

use std::path::PathBuf;

use clap::{Args, Command, ValueHint};
use clap_complete::Shell;

use super::complete;
use super::console::Console;
use super::{Outcome, Stop};
use crate::door::files;
use crate::door::target::Target;
use crate::text::words;

/// Writes a script by which your shell completes what you type when you press Tab: commands, options and files, and of the tune on the line
/// its parts, its sections and its band's pans.
#[derive(Debug, Args)]
#[command(after_long_help = COMPLETIONS)]
pub struct CompletionsArgs {
    /// Your shell
    #[arg(value_name = "SHELL")]
    pub shell: Shell,
}

const COMPLETIONS: &str = "\
Examples (each where its shell looks for such files):
  panfold completions bash > ~/.local/share/bash-completion/completions/panfold
  panfold completions zsh > ~/.zfunc/_panfold
  panfold completions fish > ~/.config/fish/completions/panfold.fish
  panfold completions powershell >> $PROFILE";

/// Writes a manual page for panfold and for each of its commands, for the program `man`.
#[derive(Debug, Args)]
#[command(after_long_help = MAN)]
pub struct ManArgs {
    /// The folder that they go into; it is made if it is not there
    #[arg(value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub folder: PathBuf,
    /// Write over files even if panfold did not write them; its own files are replaced without asking
    #[arg(long)]
    pub replace: bool,
}

const MAN: &str = "\
Examples:
  panfold man ~/.local/share/man/man1
  man panfold-check";

/// Writes the script to standard output.
pub fn completions(args: &CompletionsArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let script = complete::script(&args.shell.to_string()).expect("a script for each shell");
    console.out().write_all(&script)?;
    Ok(Outcome::Fine)
}

/// Writes the pages.
pub fn man(args: &ManArgs, mut command: Command, console: &mut Console) -> Result<Outcome, Stop> {
    command.build();
    let mut pages = vec![(PathBuf::from("panfold.1"), page(command.clone())?)];
    for sub in command.get_subcommands() {
        pages.push((PathBuf::from(format!("panfold-{}.1", sub.get_name())), page(sub.clone())?));
    }
    files::folder(&args.folder)?;
    let target = Target::off(Vec::<PathBuf>::new(), args.replace);
    let pages: Vec<(PathBuf, Vec<u8>)> = pages.into_iter().map(|(name, page)| (args.folder.join(name), page)).collect();
    pages.iter().try_for_each(|(path, _)| target.may(path))?;
    let count = words::count(pages.len(), "manual page");
    for (path, page) in pages {
        files::write_made(&path, page)?;
    }
    console.say(&format!("wrote {count} into {}", args.folder.display()))?;
    Ok(Outcome::Fine)
}

fn page(command: Command) -> Result<Vec<u8>, Stop> {
    let mut page = Vec::new();
    clap_mangen::Man::new(command).render(&mut page)?;
    Ok(page)
}
