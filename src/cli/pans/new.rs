//! `panfold pans new`: a pan file from a few answers, typed or from a file with a line each.

use std::io::{BufRead, IsTerminal, Read, stdin};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::{Args, ValueHint};
use serde_json::json;

use super::answer::{Wrong, wrong};
use super::new_notes::{Said, from_octave, no_octave, octave, octave_said, said};
use crate::cli::console::Console;
use crate::cli::kinds::{MISSING_ANSWER, WRONG_ANSWER};
use crate::cli::{Outcome, Stop};
use crate::door::files;
use crate::door::json::write_json;
use crate::door::kinds::THERE_ALREADY;
use crate::door::names::safe;
use crate::door::target::ends_in;
use crate::pan::face::{Drum, NoteArea, Sure, Sureness};
use crate::pan::findings::{UNKNOWN_LAYOUT, UNLIKELY_NOTE};
use crate::pan::likeness::{self, unlikely};
use crate::pan::read_pan::MAX_DRUMS;
use crate::pan::{NoteSet, Pan, PanKind, layouts, write_pan};
use crate::text::{Finding, Source, Span, words};

/// Asks what a pan is called, what kind it is, how many drums it has, and which notes are on each, and writes a pan file.
///
/// The answers may also come from a file or another program, a line each. Notes come in any order, as in `C#3 E3 Bb3`, or
/// rising from the lowest, of which alone the octave is said: `C4 D E F# G`.
/// What was understood is shown, beside the built-in layout that comes nearest.
#[derive(Debug, Args)]
#[command(after_long_help = HELP)]
pub struct NewArgs {
    /// The file to write [the pan's name with `.toml`, in this folder]
    #[arg(short, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub output: Option<PathBuf>,
    /// Write over a file that is there already
    #[arg(long)]
    pub force: bool,
    /// Write what was understood as JSON, for other programs: { file, pan, looks_like: { layout, lacking, more } or null }
    #[arg(long)]
    pub json: bool,
}

const HELP: &str = "\
Examples:
  panfold pans new
  panfold pans new -o pans/dock-lead.toml < dock-lead.txt

where dock-lead.txt has the answers, a line each: the name, the kind, how many
drums (an empty line: as many as usual), and the notes of each drum.";

/// The most bytes of answers that are read; a pan needs a few hundred.
const MOST: u64 = 1 << 20;

/// Asks, and writes the file.
pub fn run(args: &NewArgs, console: &mut Console) -> Result<Outcome, Stop> {
    if let Some(path) = &args.output {
        ends_in(path, "a pan file", &["toml"])?;
        is_free(path, args.force)?;
    }
    let mut talk = Talk::new(console);
    let name = talk.answer("What is the pan called?", "name", name)?;
    let path = args.output.clone().unwrap_or_else(|| file_name(&name));
    is_free(&path, args.force)?;
    let kinds: Vec<&str> = PanKind::ALL.iter().map(|kind| kind.name()).collect();
    let kind = talk.answer(&format!("What kind of pan is it? ({})", kinds.join(", ")), "kind", kind)?;
    let usual = layouts::of_kind(kind).map_or(1, |pan| pan.drums.len());
    let count =
        talk.answer(&format!("How many drums has it? [{usual}]"), "number of drums", |line| drums(line, usual))?;
    let mut all: Vec<Drum> = Vec::new();
    for number in 1..=count {
        let (question, missing) = match count {
            1 => ("Which notes are on it? (any order, as in C#3 E3 Bb3)".to_owned(), "notes".to_owned()),
            _ => (format!("Which notes are on drum {number} of {count}?"), format!("notes of drum {number}")),
        };
        let before: Vec<NoteArea> = all.iter().flat_map(|drum| drum.notes.iter().copied()).collect();
        let notes = talk.notes(&question, &missing, kind, (number - 1, count), &before)?;
        all.push(Drum { notes, dead: Vec::new() });
    }
    let more = talk.rest()?;
    let sureness = Sureness { angles: Sure::Schematic, ..Sureness::default() };
    let empty = String::new;
    let mut pan = Pan { name, title: empty(), kind, drums: all, sureness, source: empty(), note: empty() };
    if let Some(line) = more {
        return Err(line
            .finding("nothing is asked any more")
            .help(format!("the pan has {}", words::count(count, "drum")))
            .into());
    }
    let placed = likeness::placed_as(&mut pan);
    if let Some((layout, found)) = placed {
        pan.sureness.rings = Sure::Schematic;
        let notes = pan.note_set().len();
        let which = if found < notes { format!("{found} of the {notes}") } else { "the".to_owned() };
        pan.note = format!("Where {which} notes lie is taken from the layout {}, not from the pan.", layout.name);
    }
    let text = file(&pan, placed.is_some());
    files::write(&path, |out| out.write_all(text.as_bytes()))?;
    show(args, &pan, &path, console)
}

/// The file: what it is, the pan, and how to go on.
fn file(pan: &Pan, placed: bool) -> String {
    let rings = if placed {
        "# You gave the notes. Where they lie is taken from the layout that is named below, not from your pan. Look at\n\
         # the pan and change what differs: `outer`, `middle` and `inner` go clockwise from the note nearest to the player. Then take\n\
         # `note` and `confidence` out.\n"
    } else {
        "# Where the notes lie is not known yet: write `outer`, `middle` and `inner` instead of `notes` to say it, clockwise from\n\
         # the note nearest to the player. `panfold pans lead-c --file` shows an example.\n"
    };
    format!("{rings}\n{}", write_pan(pan))
}

fn show(args: &NewArgs, pan: &Pan, path: &Path, console: &mut Console) -> Result<Outcome, Stop> {
    let set = pan.note_set();
    let like = likeness::likeness(set, pan.kind);
    if args.json {
        let names = |set: NoteSet| set.iter().map(|note| note.to_string()).collect::<Vec<String>>();
        let like = like.map(
            |like| json!({ "layout": like.layout.name, "lacking": names(like.lacking), "more": names(like.more) }),
        );
        let value = json!({ "file": path.display().to_string(), "pan": super::show_json(pan), "looks_like": like });
        write_json(console.out(), &value)?;
    } else {
        write!(console.out(), "{}", crate::cli::screen::printable(&super::show(pan)))?;
        writeln!(
            console.out(),
            "  {}\n",
            like.as_ref().map_or("looks like none of the built-in layouts".to_owned(), likeness::said)
        )?;
        writeln!(console.out(), "wrote {}", path.display())?;
    }
    let odd: Vec<Finding> = unlikely(set, pan.kind)
        .into_iter()
        .map(|(note, by)| {
            let name = pan.note(note).map_or_else(|| note.to_string(), |(_, area)| area.name.to_string());
            let far = words::count(by.unsigned_abs() as usize, "semitone");
            let (word, end) = if by < 0 { ("below", "lowest") } else { ("above", "highest") };
            let message = format!("`{name}` is {far} {word} the {end} note of any usual {}", pan.kind);
            Finding::warning(&UNLIKELY_NOTE, message).help("see whether its octave is mistyped: C4 is middle C; fix it in the file, or type the pan again with `--force`")
        })
        .collect();
    console.tell(&odd)?;
    if let Some(like) = like.filter(|like| like.layout.kind != pan.kind) {
        console.say(&format!("it was said to be a {}, but has the notes of a {}", pan.kind, like.layout.kind))?;
    }
    Ok(Outcome::Fine)
}

fn is_free(path: &Path, force: bool) -> Result<(), Stop> {
    if force || path.symlink_metadata().is_err() {
        return Ok(());
    }
    let finding = Finding::error(&THERE_ALREADY, format!("`{}` is there already", path.display()));
    Err(finding.help("give another file with `-o FILE`, or write over it with `--force`").into())
}

/// `Dock lead` goes into `dock-lead.toml`.
fn file_name(name: &str) -> PathBuf {
    let plain: String = name.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
    let words: Vec<&str> = plain.split('-').filter(|word| !word.is_empty()).collect();
    PathBuf::from(format!("{}.toml", if words.is_empty() { "pan".to_owned() } else { safe(&words.join("-")) }))
}

fn name(line: &str) -> Result<String, Wrong> {
    if line.is_empty() {
        return Err(wrong(Finding::error(&WRONG_ANSWER, "a pan needs a name").help("for example `Dock lead`"), line));
    }
    Ok(line.to_owned())
}

fn kind(line: &str) -> Result<PanKind, Wrong> {
    PanKind::from_name(line).ok_or_else(|| {
        let finding = Finding::error(&UNKNOWN_LAYOUT, format!("`{line}` is not a kind of pan"));
        let names: Vec<&str> = PanKind::ALL.iter().flat_map(|kind| kind.names()).copied().collect();
        let kinds: Vec<&str> = PanKind::ALL.iter().map(|kind| kind.name()).collect();
        wrong(
            match words::nearest(line, words::singular(&names)) {
                Some(near) => finding.help(format!("did you mean `{near}`?")),
                None => finding.help(format!("the kinds are {}", words::and(&kinds))),
            },
            line,
        )
    })
}

fn drums(line: &str, usual: usize) -> Result<usize, Wrong> {
    if line.is_empty() {
        return Ok(usual);
    }
    line.parse().ok().filter(|count| (1..=MAX_DRUMS).contains(count)).ok_or_else(|| {
        let finding = Finding::error(&WRONG_ANSWER, format!("`{line}` is no number of drums from 1 to {MAX_DRUMS}"));
        wrong(finding.help(format!("an empty line takes the usual number, {usual}")), line)
    })
}

/// Questions on standard error, answers from standard input.
struct Talk<'a> {
    console: &'a mut Console,
    /// Whether somebody types: then the question is asked again after a wrong answer.
    typed: bool,
    input: Box<dyn BufRead>,
    /// What was read so far.
    read: String,
}

/// A line of the answers, with all that were read before it.
struct Line {
    source: Arc<Source>,
    span: Span,
}

impl Line {
    fn finding(&self, message: &str) -> Finding {
        Finding::error(&WRONG_ANSWER, message).at(&self.source, self.span)
    }
}

impl<'a> Talk<'a> {
    fn new(console: &'a mut Console) -> Self {
        let typed = stdin().is_terminal();
        Talk { console, typed, input: Box::new(std::io::BufReader::new(stdin().take(MOST))), read: String::new() }
    }

    /// Asks until the answer can be accepted; `what` names it when it is missing.
    fn answer<T>(&mut self, question: &str, what: &str, take: impl Fn(&str) -> Result<T, Wrong>) -> Result<T, Stop> {
        loop {
            self.console.ask(question, self.typed)?;
            let Some(line) = self.line()? else {
                if self.typed {
                    self.console.say("")?;
                }
                let finding = Finding::error(&MISSING_ANSWER, format!("the input ended before the {what}"));
                return Err(finding.help(format!("the question was: {question}")).into());
            };
            let text = line.source.slice(line.span).trim();
            let start = line.source.span_of(text).start as usize;
            let Wrong { finding, at } = match take(text) {
                Ok(answer) => return Ok(answer),
                Err(wrong) => wrong,
            };
            let finding = finding.at(&line.source, Span::new(start + at.start, start + at.end));
            if !self.typed {
                return Err(finding.into());
            }
            self.console.tell(&[finding])?;
        }
    }

    /// Asks for the notes of a drum, and for the octave of the lowest one when none is given and no layout of the kind settles it.
    fn notes(
        &mut self,
        question: &str,
        what: &str,
        kind: PanKind,
        drum: (usize, usize),
        before: &[NoteArea],
    ) -> Result<Vec<NoteArea>, Stop> {
        let typed = self.typed;
        let (said, known) = self.answer(question, what, |line| {
            let said = said(line, before)?;
            let known = match &said {
                Said::Rising(tones) => octave(tones, kind, drum),
                Said::Notes(_) => None,
            };
            match &said {
                Said::Rising(tones) if known.is_none() && !typed => Err(no_octave(tones, line)),
                // What is there twice is found while the notes can still be typed again.
                Said::Rising(tones) if let Some((octave, _)) = known => {
                    from_octave(tones, octave, before, line).map(|notes| (Said::Notes(notes), known))
                }
                _ => Ok((said, known)),
            }
        })?;
        let tones = match said {
            Said::Notes(notes) => {
                if let (Some((octave, layout)), Some(lowest)) = (known, notes.first()) {
                    let tone = lowest.name.tone;
                    self.console.say(&format!(
                        "only from {tone}{octave} on are they on the layout {}: taken so",
                        layout.name
                    ))?;
                }
                return Ok(notes);
            }
            Said::Rising(tones) => tones,
        };
        let lowest = tones[0];
        let question = format!("Which octave is the lowest note, {lowest}, in? (C4 is middle C)");
        self.answer(&question, "octave", |line| from_octave(&tones, octave_said(lowest, line)?, before, line))
    }

    /// The next line; `None` at the end.
    fn line(&mut self) -> Result<Option<Line>, Stop> {
        let mut bytes = Vec::new();
        let read = self.input.read_until(b'\n', &mut bytes);
        let read = read.map_err(|error| files::unreadable(Path::new("standard input"), &error))?;
        if read == 0 {
            return Ok(None);
        }
        let start = self.read.len();
        // What is no text is met as a wrong answer, at its place.
        let text = String::from_utf8_lossy(&bytes);
        self.read.push_str(if start == 0 { text.trim_start_matches('\u{feff}') } else { &text });
        let end = start + self.read[start..].trim_end_matches(['\n', '\r']).len();
        let source = Source::new("standard input", self.read.as_str());
        Ok(Some(Line { source, span: Span::new(start, end) }))
    }

    /// A line that was not asked for, when answers are not typed; empty lines do no harm.
    fn rest(&mut self) -> Result<Option<Line>, Stop> {
        while !self.typed
            && let Some(line) = self.line()?
        {
            if !line.source.slice(line.span).trim().is_empty() {
                return Ok(Some(line));
            }
        }
        Ok(None)
    }
}
