//! Checking again whenever one of the files is saved: panfold looks at them twice a second, which works on every kind of disk.

use std::fs;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::{Duration, SystemTime};

/// How long it waits between two looks at the files.
const BETWEEN: Duration = Duration::from_millis(500);

/// What is known of a file: when it was saved and how long it is; nothing if it does not exist.
type State = Option<(SystemTime, u64)>;

/// Files as they were when they were read.
pub struct Watched(Vec<(PathBuf, State)>);

impl Watched {
    /// Remembers the files as they are now.
    pub fn new(files: impl IntoIterator<Item = PathBuf>) -> Watched {
        Watched(files.into_iter().map(|file| (file.clone(), state(&file))).collect())
    }

    /// These files together with others.
    pub fn and(mut self, others: Watched) -> Watched {
        self.0.extend(others.0);
        self
    }

    /// Waits until one of them has changed.
    pub fn wait(&self) {
        while self.0.iter().all(|(file, before)| state(file) == *before) {
            thread::sleep(BETWEEN);
        }
    }
}

fn state(file: &Path) -> State {
    let there = fs::metadata(file).ok()?;
    Some((there.modified().ok()?, there.len()))
}
