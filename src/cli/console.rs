//! The two screens that the program writes to: one for what was asked for, one for what else has to be told.

use std::io::{self, BufWriter, IsTerminal, StdoutLock, Write};

use terminal_size::Width;

use super::screen::{Screen, printable};
use crate::text::Finding;
use crate::text::signs::steers;

/// How wide a screen is taken to be when it is no terminal, so that files and tests look the same everywhere.
const WIDTH: usize = 120;

/// The narrowest width that is written for; a narrower terminal wraps.
const NARROWEST: usize = 40;

/// A screen that may be closed while the program writes, as behind `| head`: what nobody reads is dropped, and the program goes on to
/// the same end. Nothing that comes from a file steers it.
struct Screened<W>(W);

impl<W: Write> Screened<W> {
    /// Writes a text that is the screen's own, with colours.
    fn coloured(&mut self, text: &str) -> io::Result<()> {
        unless_closed(self.0.write_all(text.as_bytes()), ())
    }
}

/// What became of writing, where a closed screen is no error.
fn unless_closed<T>(done: io::Result<T>, closed: T) -> io::Result<T> {
    match done {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(closed),
        done => done,
    }
}

impl<W: Write> Write for Screened<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let text = String::from_utf8_lossy(bytes);
        let seen =
            if text.contains(|c| !matches!(c, '\n' | '\t') && steers(c)) { printable(&text).into() } else { text };
        unless_closed(self.0.write_all(seen.as_bytes()).map(|()| bytes.len()), bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        unless_closed(self.0.flush(), ())
    }
}

/// Where the program writes.
pub struct Console {
    out: Screened<BufWriter<StdoutLock<'static>>>,
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
        Console { out: Screened(BufWriter::new(out.lock())), screen, aside }
    }

    /// Where what was asked for is written; what would steer a terminal is shown instead.
    pub fn out(&mut self) -> &mut dyn Write {
        &mut self.out
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

    /// Writes findings to standard error, after what was written so far; whether that arrived shows at the end.
    pub fn tell(&mut self, findings: &[Finding]) -> io::Result<()> {
        let _ = self.out.flush();
        let mut err = Screened(io::stderr().lock());
        let mut before = 0;
        self.aside.findings(findings).iter().try_for_each(|text| {
            let lines = text.lines().count();
            let apart = if before > 0 && before.max(lines) > 1 { "\n" } else { "" };
            before = lines;
            err.coloured(&format!("{apart}{text}\n"))
        })
    }

    /// Writes a question to standard error, the cursor after it for the answer when `stay` is set.
    pub fn ask(&mut self, question: &str, stay: bool) -> io::Result<()> {
        let _ = self.out.flush();
        let mut err = Screened(io::stderr().lock());
        if stay {
            write!(err, "{question} ")?
        } else {
            writeln!(err, "{question}")?
        }
        err.flush()
    }

    /// Writes a line to standard error.
    pub fn say(&mut self, line: &str) -> io::Result<()> {
        let _ = self.out.flush();
        writeln!(Screened(io::stderr().lock()), "{line}")
    }
}

impl Default for Console {
    fn default() -> Self {
        Console::new()
    }
}

/// Colours stand only on a terminal, and not where `NO_COLOR` asks for none (no-color.org) or the terminal is a plain
/// one.
fn look(terminal: bool, size: Option<(Width, terminal_size::Height)>) -> Screen {
    let set = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
    let width = size.filter(|_| terminal).map_or(WIDTH, |(Width(columns), _)| usize::from(columns).max(NARROWEST));
    Screen { colours: terminal && !set("NO_COLOR") && !dumb, width }
}
