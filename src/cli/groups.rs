//! The list of commands in the program's help, by who uses them.

use std::fmt::Write;

use clap::Command;

/// Who uses which command.
const GROUPS: [(&str, &[&str]); 4] = [
    ("To begin", &["start", "guide", "import"]),
    (
        "While you arrange",
        &["check", "fit", "sticks", "share", "patterns", "cover", "lineup", "tidy", "findings", "pans", "export"],
    ),
    ("For the players", &["pack", "page", "sheet", "drill", "play", "render"]),
    ("At the prompt", &["completions", "man"]),
];

/// The width of the column with the commands' names.
const NAMES: usize = 12;

/// The command with its list of commands in groups; those in no group come at the end.
pub fn by_who_uses_them(command: Command) -> Command {
    let list = list(&command);
    let template = format!("{{about}}\n\n{{usage-heading}} {{usage}}\n\n{list}Options:\n{{options}}{{after-help}}");
    command.help_template(template).after_help("`panfold COMMAND --help` says more, with examples.")
}

fn list(command: &Command) -> String {
    let grouped = |name: &str| GROUPS.iter().any(|(_, names)| names.contains(&name));
    let rest: Vec<&str> = command.get_subcommands().map(Command::get_name).filter(|name| !grouped(name)).collect();
    let mut out = String::new();
    for (who, names) in GROUPS.into_iter().chain([("And", rest.as_slice())]) {
        let commands = names.iter().filter_map(|name| command.find_subcommand(name));
        let lines: String = commands.map(line).collect();
        if !lines.is_empty() {
            write!(out, "{who}:\n{lines}\n").expect("text takes text");
        }
    }
    out
}

fn line(command: &Command) -> String {
    let about = command.get_about().map(ToString::to_string).unwrap_or_default();
    format!("  {:<NAMES$}{about}\n", command.get_name())
}
