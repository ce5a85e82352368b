//! The two screens that the program writes to: one for what was asked for, one for everything else that it has to say.

use std::borrow::Cow;
use std::io::{self, BufWriter, IsTerminal, StdoutLock, Write};
use std::mem;

use terminal_size::Width;

use super::screen::{Screen, printable};
use crate::text::Finding;
use crate::text::signs::steers;

/// The width of a screen that is no terminal, so that files and tests look the same everywhere.
const WIDTH: usize = 120;

/// The narrowest width that is written for; a narrower terminal wraps.
const NARROWEST: usize = 40;

/// A screen that may be closed while the program writes, as behind `| head`: what nobody reads is dropped, and the program ends as it
/// would anyway. Nothing that comes from a file steers it.
struct Screened<W>(W);

impl<W: Write> Screened<W> {
    /// Writes a text that is the screen's own, with colours.
    fn coloured(&mut self, text: &str) -> io::Result<()> {
        unless_closed(self.0.write_all(text.as_bytes()), ())
    }
}

/// A text in which nothing steers the terminal.
fn seen(text: &str) -> Cow<'_, str> {
    if text.contains(|c| !matches!(c, '\n' | '\t') && steers(c)) { printable(text).into() } else { text.into() }
}

/// The result of writing, where a closed screen is no error.
fn unless_closed<T>(done: io::Result<T>, closed: T) -> io::Result<T> {
    match done {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(closed),
        done => done,
    }
}

impl<W: Write> Write for Screened<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let text = String::from_utf8_lossy(bytes);
        unless_closed(self.0.write_all(seen(&text).as_bytes()).map(|()| bytes.len()), bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        unless_closed(self.0.flush(), ())
    }
}

/// One of the two screens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stream {
    Out,
    Aside,
}

/// Texts kept for later, in their order, each with its screen. The last one is still open.
#[derive(Debug, Default)]
pub struct Kept {
    closed: Vec<(Stream, Vec<u8>)>,
    out: Vec<u8>,
}

impl Kept {
    /// Whether nothing was written.
    pub fn is_empty(&self) -> bool {
        self.closed.is_empty() && self.out.is_empty()
    }

    /// Closes what was written to standard output, so that the next text comes after it.
    fn close(&mut self) {
        if !self.out.is_empty() {
            self.closed.push((Stream::Out, mem::take(&mut self.out)));
        }
    }
}

/// Where texts go: to the screens at once, or to memory.
enum Way {
    Now(BufWriter<StdoutLock<'static>>),
    Later(Kept),
}

impl Write for Way {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self {
            Way::Now(out) => out.write(bytes),
            Way::Later(kept) => kept.out.write(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        match self {
            Way::Now(out) => out.flush(),
            Way::Later(_) => Ok(()),
        }
    }
}

/// Where the program writes.
pub struct Console {
    out: Screened<Way>,
    /// How findings look on standard output.
    pub screen: Screen,
    /// How findings look on standard error.
    aside: Screen,
}

impl Console {
    /// The program's own standard output and standard error.
    pub fn new() -> Self {
        let (out, err) = (io::stdout(), io::stderr());
        let screen = look(out.is_terminal(), terminal_size::terminal_size_of(&out));
        let aside = look(err.is_terminal(), terminal_size::terminal_size_of(&err));
        Console { out: Screened(Way::Now(BufWriter::new(out.lock()))), screen, aside }
    }

    /// A console that keeps what is written to it, for screens that look like these.
    pub fn for_later([screen, aside]: [Screen; 2]) -> Console {
        Console { out: Screened(Way::Later(Kept::default())), screen, aside }
    }

    /// How findings look on standard output and on standard error.
    pub fn looks(&self) -> [Screen; 2] {
        [self.screen, self.aside]
    }

    /// What a console for later has kept.
    pub fn kept(self) -> Kept {
        match self.out.0 {
            Way::Later(kept) => kept,
            Way::Now(_) => Kept::default(),
        }
    }

    /// Writes what another console has kept.
    pub fn replay(&mut self, mut kept: Kept) -> io::Result<()> {
        kept.close();
        for (stream, bytes) in kept.closed {
            let text = String::from_utf8_lossy(&bytes);
            match stream {
                Stream::Out => self.out.coloured(&text)?,
                Stream::Aside => self.beside(&text)?,
            }
        }
        Ok(())
    }

    /// The place to write what was asked for; signs that would steer a terminal are made visible.
    pub fn out(&mut self) -> &mut dyn Write {
        &mut self.out
    }

    /// Writes a text to standard error as it is, after everything written so far; whether that arrived shows at the end.
    fn beside(&mut self, text: &str) -> io::Result<()> {
        match &mut self.out.0 {
            Way::Now(out) => {
                let _ = out.flush();
                Screened(io::stderr().lock()).coloured(text)
            }
            Way::Later(kept) => {
                kept.close();
                kept.closed.push((Stream::Aside, text.as_bytes().to_vec()));
                Ok(())
            }
        }
    }

    /// Sends what was written on its way.
    pub fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }

    /// Writes findings to standard output, since they are what was asked for.
    pub fn show(&mut self, findings: &[Finding]) -> io::Result<()> {
        let texts = self.screen.findings(findings);
        texts.iter().try_for_each(|text| self.out.coloured(&format!("{text}\n\n")))
    }

    /// Writes findings to standard error, after what was written so far.
    pub fn tell(&mut self, findings: &[Finding]) -> io::Result<()> {
        let mut before = 0;
        let texts = self.aside.findings(findings);
        texts.iter().try_for_each(|text| {
            let lines = text.lines().count();
            let apart = if before > 0 && before.max(lines) > 1 { "\n" } else { "" };
            before = lines;
            self.beside(&format!("{apart}{text}\n"))
        })
    }

    /// Writes a question to standard error; with `stay` the cursor stays after it for the answer.
    pub fn ask(&mut self, question: &str, stay: bool) -> io::Result<()> {
        self.beside(&seen(&format!("{question}{}", if stay { " " } else { "\n" })))
    }

    /// Writes a line to standard error.
    pub fn say(&mut self, line: &str) -> io::Result<()> {
        self.beside(&seen(&format!("{line}\n")))
    }
}

impl Default for Console {
    fn default() -> Self {
        Console::new()
    }
}

/// Colours are used only on a terminal, and not where `NO_COLOR` asks for none (no-color.org) or the terminal is a plain
/// one.
fn look(terminal: bool, size: Option<(Width, terminal_size::Height)>) -> Screen {
    let set = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
    let width = size.filter(|_| terminal).map_or(WIDTH, |(Width(columns), _)| usize::from(columns).max(NARROWEST));
    Screen { colours: terminal && !set("NO_COLOR") && !dumb, width }
}
