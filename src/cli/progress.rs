//! How far a long job has come, on standard error, and only when that is a terminal.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::screen::printable;

/// A bar that counts finished files. It shows nothing when standard error is no terminal.
#[derive(Debug)]
pub struct Progress {
    bar: ProgressBar,
}

impl Progress {
    /// A bar for a number of files.
    pub fn new(files: usize) -> Progress {
        let bar = ProgressBar::with_draw_target(Some(files as u64), ProgressDrawTarget::stderr());
        let style = ProgressStyle::with_template("{pos} of {len} files [{bar:30}] {msg}").expect("a right template");
        bar.set_style(style.progress_chars("=> "));
        Progress { bar }
    }

    /// A file is finished.
    pub fn finished(&self, name: &str) {
        self.bar.set_message(printable(name));
        self.bar.inc(1);
    }

    /// Takes the bar away.
    pub fn end(&self) {
        self.bar.finish_and_clear();
    }
}
