//! What is wrong with the words of a command, said as everything else is said: what, and what to do about it.

use std::error::Error;

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{Command, Error as Misread};

use super::choice::wrong;
use crate::text::{Finding, words};

/// The finding for words that could not be understood.
///
/// - `whole`: the program's command line; `name`: the command that was asked for, if there is one of that name.
pub fn finding(error: &Misread, whole: &Command, name: Option<&str>) -> Finding {
    let command = name.and_then(|name| whole.find_subcommand(name));
    let said = |kind: ContextKind| texts(error, kind);
    let first = |kind: ContextKind| said(kind).into_iter().next().unwrap_or_default();
    let (argument, value) = (first(ContextKind::InvalidArg), first(ContextKind::InvalidValue));
    let finding = match error.kind() {
        ErrorKind::MissingRequiredArgument => {
            let missing: Vec<String> = said(ContextKind::InvalidArg).iter().map(|one| format!("`{one}`")).collect();
            wrong(format!("{} is missing", words::and(&missing)))
        }
        ErrorKind::InvalidValue if value.is_empty() => wrong(format!("a value is missing after `{argument}`")),
        ErrorKind::InvalidValue => wrong(format!("`{value}` is not a choice for `{argument}`")),
        ErrorKind::ValueValidation => {
            let why = error.source().map_or_else(String::new, |why| format!(": {why}"));
            wrong(format!("`{value}` can't be used for `{argument}`{why}"))
        }
        ErrorKind::UnknownArgument => wrong(match argument.starts_with('-') {
            true => format!("there is no option `{argument}`"),
            false => format!("`{argument}` is one word too many"),
        }),
        ErrorKind::InvalidSubcommand => {
            wrong(format!("there is no command `{}`", first(ContextKind::InvalidSubcommand)))
        }
        ErrorKind::ArgumentConflict => {
            let others: Vec<String> = said(ContextKind::PriorArg).iter().map(|one| format!("`{one}`")).collect();
            wrong(match others.is_empty() || others == [format!("`{argument}`")] {
                true => format!("`{argument}` can be given only once"),
                false => format!("`{argument}` and {} can't be used together", words::and(&others)),
            })
        }
        // Nothing else is known to happen; what the parser says of it stays.
        _ => {
            let text = error.render().to_string();
            wrong(text.split("\n\nUsage:").next().unwrap_or_default().trim_start_matches("error: ").trim())
        }
    };
    advised(finding, error, command)
}

/// What to do: what is nearest, what there is to choose from, and an example.
fn advised(finding: Finding, error: &Misread, command: Option<&Command>) -> Finding {
    let near = [ContextKind::SuggestedArg, ContextKind::SuggestedValue, ContextKind::SuggestedSubcommand];
    if let [near, ..] = &near.into_iter().flat_map(|kind| texts(error, kind)).collect::<Vec<_>>()[..] {
        return finding.help(format!("did you mean `{near}`?"));
    }
    let choices: Vec<String> = texts(error, ContextKind::ValidValue).iter().map(|one| format!("`{one}`")).collect();
    if !choices.is_empty() {
        return finding.help(format!("choose {}", words::or(&choices)));
    }
    if error.kind() == ErrorKind::InvalidSubcommand {
        return finding.help("`panfold --help` lists the commands");
    }
    let Some(command) = command else { return finding.help("`panfold --help` lists the commands") };
    let more = format!("`panfold {} --help` shows all that it takes", command.get_name());
    match example(command).filter(|_| error.kind() == ErrorKind::MissingRequiredArgument) {
        Some(example) => finding.help(format!("for example `{example}`")).help(more),
        None => finding.help(more),
    }
}

/// The first example of a command's help.
fn example(command: &Command) -> Option<String> {
    let help = command.get_after_long_help()?.to_string();
    let begins = format!("panfold {}", command.get_name());
    help.lines().map(str::trim).find(|line| line.starts_with(&begins)).map(str::to_owned)
}

/// What the parser knows of some kind, with names of values as they are written elsewhere: `--part PART`.
fn texts(error: &Misread, kind: ContextKind) -> Vec<String> {
    let plain = |text: &String| text.replace(['<', '>'], "").trim_end_matches("...").to_owned();
    match error.get(kind) {
        Some(ContextValue::String(text)) => vec![plain(text)],
        Some(ContextValue::Strings(texts)) => texts.iter().map(plain).collect(),
        _ => Vec::new(),
    }
}
