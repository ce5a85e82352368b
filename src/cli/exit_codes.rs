//! The meaning of the program's exit codes, in the help of each command.

use clap::Command;

/// What 1 means, for the commands that can find something to fix.
const FOUND: [(&str, &str); 6] = [
    ("check", "there are problems in a tune or its band"),
    ("fit", "a part has notes that its pan lacks in every octave, or has no player"),
    ("lineup", "a part has no player"),
    ("pack", "nothing was written because of `--strict`"),
    ("pans", "there are problems in the file"),
    ("tidy", "with `--check`, a tune is not tidy"),
];

/// The command with the exit codes at the end of the long help of each of its commands.
pub fn told(command: Command) -> Command {
    command.mut_subcommands(|command| {
        let name = command.get_name().to_owned();
        let help = command.get_after_long_help().map(|help| format!("{help}\n\n")).unwrap_or_default();
        let found = FOUND.iter().find(|(of, _)| *of == name);
        let found = found.map_or_else(String::new, |(_, what)| format!("  1  {what}\n"));
        let help = format!("{help}Exit codes:\n  0  done\n{found}  2  it could not be done; a message says why");
        told(command.after_long_help(help))
    })
}
