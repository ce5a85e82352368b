//! How far a long job has come, on standard error, and only when that is a terminal.

use std::sync::Once;
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::screen::printable;

/// How long a job may take without showing how far it has come.
const QUIET: Duration = Duration::from_millis(700);

/// A bar that counts what is finished. It shows nothing when standard error is no terminal, nor for a job that is done at once.
#[derive(Debug)]
pub struct Progress {
    bar: ProgressBar,
    began: Instant,
    shown: Once,
}

impl Progress {
    /// A bar for things of a kind, `files` or `tunes`; how many there are comes later.
    pub fn new(of: &str) -> Progress {
        let bar = ProgressBar::with_draw_target(Some(0), ProgressDrawTarget::hidden());
        let template = format!("{{pos}} of {{len}} {of} [{{bar:30}}] {{msg}}");
        let style = ProgressStyle::with_template(&template).expect("a right template");
        bar.set_style(style.progress_chars("=> "));
        Progress { bar, began: Instant::now(), shown: Once::new() }
    }

    /// Adds this many things to be done.
    pub fn expect(&self, more: usize) {
        self.bar.inc_length(more as u64);
    }

    /// One is finished.
    pub fn finished(&self, name: &str) {
        if self.began.elapsed() > QUIET {
            self.shown.call_once(|| self.bar.set_draw_target(ProgressDrawTarget::stderr()));
        }
        self.bar.set_message(printable(name));
        self.bar.inc(1);
    }

    /// Lets something write to the screen with the bar out of its way.
    pub fn aside<T>(&self, write: impl FnOnce() -> T) -> T {
        self.bar.suspend(write)
    }

    /// Removes the bar.
    pub fn end(&self) {
        self.bar.finish_and_clear();
    }
}
