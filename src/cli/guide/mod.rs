//! `panfold guide`: how panfold is used, a topic at a time, for the arranger, the leader and the player.
//!
//! The topics are Markdown files beside this one, linked from the README. `plain` is how a screen shows them.

mod plain;

use super::args::GuideArgs;
use super::choice::wrong;
use super::console::Console;
use super::{Outcome, Stop};
use crate::text::{Finding, words};

/// The greatest width of a topic, in letters.
const WIDEST: usize = 100;

/// One topic of the guide.
struct Topic {
    /// The name by which it is asked for.
    name: &'static str,
    /// Other words that lead here: commands and things that it speaks of.
    also: &'static [&'static str],
    /// What it answers, in one line.
    about: &'static str,
    /// Its Markdown.
    text: &'static str,
}

/// A topic whose Markdown lies beside this file under its name.
macro_rules! topic {
    ($name:literal, $also:expr, $about:literal) => {
        Topic { name: $name, also: &$also, about: $about, text: include_str!(concat!($name, ".md")) }
    };
}

/// The topics, by who asks.
const TOPICS: [(&str, &[Topic]); 3] = [
    (
        "For the arranger",
        &[
            topic!(
                "tune",
                ["start", "tidy", "form", "pickup", "section", "bar"],
                "write a tune: header, sections, rows"
            ),
            topic!("cells", ["notation", "boxes", "notes", "accent"], "what can stand in a cell"),
            topic!("strums", ["patterns", "chords"], "write a strum, and use the patterns of the trade"),
            topic!("harmony", ["descant"], "let panfold find the other parts, from a lead and its chords"),
            topic!("engine-room", ["percussion", "drums", "iron"], "write for the iron and the rest of the percussion"),
            topic!("check", ["findings", "problems", "errors"], "see what is wrong with a tune, and what to do"),
            topic!("fit", ["octaves", "key", "transpose"], "make a tune fit pans that lack some of its notes"),
            topic!("sticks", ["share", "levels", "hands"], "see whether two sticks can play a part, and share it"),
            topic!("import", ["export", "midi", "musicxml", "score"], "bring in MIDI and MusicXML, and write a score"),
            topic!(
                "prompt",
                ["completions", "man", "watch", "terminal"],
                "type less, and see at every save what is wrong"
            ),
            topic!("limits", ["size"], "how large a tune or a file may be"),
        ],
    ),
    (
        "For the leader",
        &[
            topic!("pans", ["band", "layouts"], "tell panfold which pans the band has"),
            topic!("lineup", ["players", "people"], "say who plays what, and see who sits idle"),
            topic!("cover", ["missing"], "see whether a pan suits the band's tunes"),
            topic!("pack", ["replace", "tracks"], "hand out tracks, sheets and practice pages"),
            topic!("sheet", ["print", "booklet", "poster", "paper", "wall"], "print parts, pans and booklets"),
            topic!("listen", ["render", "play", "sound", "mix", "mp3"], "hear a tune: files, speakers, mixes"),
        ],
    ),
    (
        "For the player",
        &[
            topic!("read", ["signs"], "read your part in boxes"),
            topic!(
                "practise",
                ["page", "drill", "practice", "ears"],
                "practise your part with a page, and with drills"
            ),
        ],
    ),
];

/// The names of all topics.
pub fn names() -> Vec<&'static str> {
    TOPICS.iter().flat_map(|(_, topics)| topics.iter().map(|topic| topic.name)).collect()
}

/// Lists the topics, or prints the one that was asked for.
pub fn run(args: &GuideArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let Some(asked) = &args.topic else {
        write!(console.out(), "{}", list())?;
        return Ok(Outcome::Fine);
    };
    let topic = topics().find(|topic| topic.answers(asked)).ok_or_else(|| unknown(asked))?;
    let width = console.screen.width.min(WIDEST);
    write!(console.out(), "{}", plain::plain(topic.text, width))?;
    Ok(Outcome::Fine)
}

impl Topic {
    /// Whether that is its name or one of its other words.
    fn answers(&self, asked: &str) -> bool {
        [self.name].iter().chain(self.also).any(|word| word.eq_ignore_ascii_case(asked))
    }
}

fn topics() -> impl Iterator<Item = &'static Topic> {
    TOPICS.iter().flat_map(|(_, topics)| topics.iter())
}

fn list() -> String {
    let longest = topics().map(|topic| topic.name.len()).max().unwrap_or_default();
    let mut out = String::new();
    for (who, topics) in TOPICS {
        out.push_str(&format!("{who}:\n"));
        for topic in topics {
            out.push_str(&format!("  {:<longest$}  {}\n", topic.name, topic.about));
        }
        out.push('\n');
    }
    out + "`panfold guide TOPIC` prints one. The name of a command leads to its topic too: `panfold guide drill`.\n"
}

fn unknown(asked: &str) -> Finding {
    let finding = wrong(format!("the guide has no topic `{asked}`"));
    match words::nearest(asked, topics().flat_map(|topic| [topic.name].into_iter().chain(topic.also.iter().copied()))) {
        Some(near) => finding.help(format!("did you mean `{near}`?")),
        None => finding.help("`panfold guide` lists them all"),
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use clap::CommandFactory;

    use super::super::args::Ask;
    use super::*;

    #[test]
    fn every_command_leads_to_a_topic() {
        for command in Ask::command().get_subcommands().map(clap::Command::get_name).filter(|name| *name != "guide") {
            assert!(topics().any(|topic| topic.answers(command)), "`panfold guide {command}` leads nowhere");
        }
    }

    #[test]
    fn every_word_leads_to_one_topic() {
        let mut seen = BTreeSet::new();
        for word in topics().flat_map(|topic| [topic.name].into_iter().chain(topic.also.iter().copied())) {
            assert!(seen.insert(word), "`{word}` stands twice");
        }
    }

    #[test]
    fn every_topic_begins_with_a_question() {
        for topic in topics() {
            let heading = topic.text.lines().next().unwrap_or_default();
            let is_question = heading.starts_with("# ") && heading.contains('?');
            assert!(is_question, "{}: {heading}", topic.name);
        }
    }
}
