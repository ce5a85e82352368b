//! A place where a file is to be written: not a file that is read for it, and not one that somebody else wrote.

use std::fs;
use std::path::{Path, PathBuf};

use crate::door::files;
use crate::door::kinds::{THERE_ALREADY, WRONG_CHOICE};
use crate::door::made;
use crate::text::{Finding, words};

/// The files that a command leaves alone when it writes.
#[derive(Clone, Debug, Default)]
pub struct Target {
    /// The files that are read.
    read: Vec<PathBuf>,
    /// Whether existing files may be written over, whoever wrote them.
    replace: bool,
}

impl Target {
    /// Leaves some files alone; files that panfold did not write are written over only if `replace` says so.
    pub fn off(read: impl IntoIterator<Item = impl Into<PathBuf>>, replace: bool) -> Target {
        Target { read: read.into_iter().map(Into::into).collect(), replace }
    }

    /// Whether a file may be written here. What panfold wrote may be replaced: it can be made again from its tune, and leaders do
    /// so all day. Devices and pipes have nothing to lose.
    ///
    /// # Errors
    /// A finding that says what is in the way.
    pub fn may(&self, path: &Path) -> Result<(), Box<Finding>> {
        let Ok(there) = fs::metadata(path) else { return Ok(()) };
        let name = path.display();
        if let Some(read) = self.read.iter().find(|read| is_same(read, path)) {
            let other = if *read == path { String::new() } else { format!(" (`{name}` is the same file)") };
            let message = format!("this would write over `{}`, which it reads{other}", read.display());
            let finding = Finding::error(&WRONG_CHOICE, message);
            return Err(Box::new(finding.help("give the name of another file")));
        }
        if self.replace || !there.is_file() || there.len() == 0 {
            return Ok(());
        }
        match made::is_made(path) {
            Ok(true) => Ok(()),
            Ok(false) => Err(Box::new(there_already(path))),
            Err(error) => Err(Box::new(files::unreadable(path, &error))),
        }
    }
}

/// A finding for a file that somebody else wrote, or has changed.
fn there_already(path: &Path) -> Finding {
    let message = format!(
        "`{}` is there already, and panfold did not write it, or somebody has changed it since",
        path.display()
    );
    Finding::error(&THERE_ALREADY, message).help("give another name, or write over it with `--replace`")
}

/// Whether two names lead to the same file, in whatever way.
fn is_same(one: &Path, other: &Path) -> bool {
    let whole = |path: &Path| fs::canonicalize(path).ok();
    whole(one).is_some_and(|one| Some(one) == whole(other)) || is_linked(one, other)
}

/// Whether two names are hard links to the same file.
#[cfg(unix)]
fn is_linked(one: &Path, other: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let number = |path: &Path| fs::metadata(path).ok().map(|file| (file.dev(), file.ino()));
    number(one).is_some_and(|one| Some(one) == number(other))
}

/// Hard links are not looked for.
#[cfg(not(unix))]
fn is_linked(_: &Path, _: &Path) -> bool {
    false
}

/// Whether a name ends as a kind of file does, or is a device or a pipe, which takes everything.
///
/// - `what`: what is written, for the finding: `MIDI`.
/// - `endings`: in small letters, without the dot.
///
/// # Errors
/// A finding that names the endings.
pub fn ends_in(path: &Path, what: &str, endings: &[&str]) -> Result<(), Box<Finding>> {
    let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default().to_lowercase();
    if endings.contains(&ending.as_str()) || fs::metadata(path).is_ok_and(|there| !there.is_file() && !there.is_dir()) {
        return Ok(());
    }
    if path.is_dir() {
        return Err(Box::new(files::unwritable(&path.display().to_string(), &std::io::ErrorKind::IsADirectory.into())));
    }
    let quoted: Vec<String> = endings.iter().map(|ending| format!("`.{ending}`")).collect();
    let finding = Finding::error(&WRONG_CHOICE, format!("`{}` is no name for {what}", path.display()));
    Err(Box::new(finding.help(format!("let the name end in {}", words::or(&quoted)))))
}
