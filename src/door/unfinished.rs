//! Files that are being written: beside their place, under a name of their own, until they are whole.
//!
//! Each is locked as long as its writer runs, and the system releases the lock however the writer ends. So a file without a lock
//! was left behind by a run that was killed, and the next run that writes into the folder removes it. A run that is asked to stop
//! removes its own files first ([`abandon`]).

use std::collections::BTreeSet;
use std::fs::{self, File, Permissions, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use tempfile::{Builder, NamedTempFile, TempDir};

/// What unfinished files and folders are called: hidden, and named after panfold, so that one left behind by a power cut explains
/// itself.
const NAME: (&str, &str) = (".panfold-", ".unfinished");

/// The file in an unfinished folder whose lock stands for the whole folder.
const HELD: &str = "held";

/// Files that were begun and are not finished, and the folders that were searched for what other runs left.
static BEGUN: Mutex<Begun> = Mutex::new(Begun { paths: BTreeSet::new(), swept: BTreeSet::new() });

#[derive(Debug)]
struct Begun {
    paths: BTreeSet<PathBuf>,
    swept: BTreeSet<PathBuf>,
}

impl Begun {
    fn forget(&mut self, path: &Path) {
        drop(std::path::absolute(path).map(|path| self.paths.remove(&path)));
    }
}

fn begun() -> MutexGuard<'static, Begun> {
    BEGUN.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A file that is being written; it vanishes unless it is put in its place.
#[derive(Debug)]
pub(super) struct Unfinished(NamedTempFile);

impl Unfinished {
    /// Begins a file in a folder.
    pub(super) fn begin(folder: &Path) -> io::Result<Unfinished> {
        let mut begun = begun();
        sweep_once(folder, &mut begun);
        loop {
            let mut builder = Builder::new();
            builder.prefix(NAME.0).suffix(NAME.1);
            if let Some(usual) = usual_permissions() {
                builder.permissions(usual);
            }
            let file = builder.tempfile_in(folder)?;
            // Where there are no locks, none is taken for a dead run's either. One that was swept before it was locked is gone.
            if file.as_file().lock().is_err() || file.path().exists() {
                begun.paths.insert(std::path::absolute(file.path())?);
                return Ok(Unfinished(file));
            }
        }
    }

    /// The file itself.
    pub(super) fn file(&self) -> &File {
        self.0.as_file()
    }

    /// Puts it in its place, over what is there.
    pub(super) fn put(self, path: &Path) -> io::Result<()> {
        let mut begun = begun();
        begun.forget(self.0.path());
        self.0.persist(path).map(drop).map_err(|error| error.error)
    }
}

impl Write for Unfinished {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

/// A folder for preparing files; it vanishes with everything that is still in it.
#[derive(Debug)]
pub struct Side {
    folder: TempDir,
    /// Held as long as the folder is in use.
    _held: File,
}

impl Side {
    /// Begins a folder inside another.
    ///
    /// # Errors
    /// The system's.
    pub fn begin(folder: &Path) -> io::Result<Side> {
        let mut begun = begun();
        sweep_once(folder, &mut begun);
        loop {
            let side = Builder::new().prefix(NAME.0).suffix(NAME.1).tempdir_in(folder)?;
            let held = File::create(side.path().join(HELD));
            // Somebody who sweeps may take the folder away before it is locked.
            let gone = |error: &io::Error| error.kind() == io::ErrorKind::NotFound;
            let held = match held {
                Err(error) if gone(&error) => continue,
                held => held?,
            };
            if held.lock().is_err() || side.path().join(HELD).exists() {
                begun.paths.insert(std::path::absolute(side.path())?);
                return Ok(Side { folder: side, _held: held });
            }
        }
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        self.folder.path()
    }
}

impl Drop for Side {
    fn drop(&mut self) {
        begun().forget(self.folder.path());
    }
}

/// Does something that must not be left half done when the program is asked to stop; short, and without beginning files.
pub fn undisturbed<T>(work: impl FnOnce() -> T) -> T {
    let _begun = begun();
    work()
}

/// Removes everything that was begun, and ends the program by `end` before anything else can begin.
pub fn abandon(end: impl FnOnce()) {
    let begun = begun();
    // What lies in a folder goes before it.
    for path in begun.paths.iter().rev() {
        // What can't be taken away is left for the next run.
        let _ = remove(path);
    }
    end();
}

/// Makes a folder and those above it; new ones go when the program is stopped while nothing is in them.
pub(super) fn make_folder(path: &Path) -> io::Result<()> {
    let mut begun = begun();
    let is_new = |path: &&Path| !path.exists();
    // All paths are written alike, so that what lies in a folder is known to.
    let path = std::path::absolute(path)?;
    let new: Vec<PathBuf> = path.ancestors().take_while(is_new).map(Path::to_owned).collect();
    begun.paths.extend(new);
    fs::create_dir_all(&path)
}

fn remove(path: &Path) -> io::Result<()> {
    let is_ours = path.file_name().is_some_and(|name| is_ours(&name.to_string_lossy()));
    match fs::symlink_metadata(path) {
        Ok(there) if there.is_dir() && is_ours => fs::remove_dir_all(path),
        Ok(there) if there.is_dir() => fs::remove_dir(path),
        Ok(_) => fs::remove_file(path),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(error),
    }
}

fn is_ours(name: &str) -> bool {
    name.starts_with(NAME.0) && name.ends_with(NAME.1)
}

/// Removes from a folder what runs left that did not finish.
pub fn sweep(folder: &Path) {
    sweep_once(folder, &mut begun());
}

fn sweep_once(folder: &Path, begun: &mut Begun) {
    if !begun.swept.insert(folder.to_owned()) {
        return;
    }
    // What can't be looked at or taken away is left for another run; it is in nobody's way.
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten().filter(|entry| is_ours(&entry.file_name().to_string_lossy())) {
        let path = entry.path();
        let Ok(kind) = entry.file_type() else { continue };
        if kind.is_dir() {
            match File::open(path.join(HELD)) {
                Ok(held) => drop(is_dead(&held).then(|| fs::remove_dir_all(&path))),
                // Just begun, or half taken away: the file that is locked comes before all others.
                Err(_) => drop(fs::remove_dir(&path).or_else(|_| remove_rest(&path))),
            }
        } else if kind.is_file()
            && let Ok(file) = File::open(&path)
        {
            drop(is_dead(&file).then(|| fs::remove_file(&path)));
        }
    }
}

/// Removes the rest of a folder that has lost its locked file.
fn remove_rest(path: &Path) -> io::Result<()> {
    let is_held = fs::read_dir(path)?.flatten().any(|entry| entry.file_name() == HELD);
    if is_held { Ok(()) } else { fs::remove_dir_all(path) }
}

/// Whether nobody holds a file any more; it stays locked until it is closed.
fn is_dead(file: &File) -> bool {
    match file.try_lock() {
        Ok(()) => true,
        Err(TryLockError::WouldBlock | TryLockError::Error(_)) => false,
    }
}

/// The permissions of a new file, less those that the user's mask forbids.
#[cfg(unix)]
fn usual_permissions() -> Option<Permissions> {
    Some(std::os::unix::fs::PermissionsExt::from_mode(0o666))
}

/// The system chooses the permissions of a new file.
#[cfg(not(unix))]
fn usual_permissions() -> Option<Permissions> {
    None
}
