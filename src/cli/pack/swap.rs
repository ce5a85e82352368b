//! Puts a pack that was made beside its place there: all of it, or so that an interruption can be seen.
//!
//! While it is put in place, the folder's list says that the pack is not whole, and the folder has no index unless everything that it
//! links is there, from the old pack or from the new one. A run that is asked to stop finishes this first; it takes some milliseconds.
//! Only a run that is killed within them leaves a folder without an index, or a list that does not know yet that all is there.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use super::list::{COMMON, List, NAME, Packed, outdated};
use crate::door::files;
use crate::door::unfinished::{self, Side};
use crate::text::Finding;

/// The list while the pack is put in place, in the folder beside.
const BEGUN: &str = "begun.json";

/// Puts a pack in its place; returns how many files of an older one were removed.
///
/// - `side`: where its files are, common files and all.
/// - `list`: what the folder holds when all is done.
///
/// # Errors
/// A finding; then nothing has changed, or the list says that the pack is not whole.
pub fn put(side: &Side, folder: &Path, old: &List, list: &List, pack: &Packed) -> Result<usize, Box<Finding>> {
    let (from, files) = (side.path(), &pack.files);
    let gone = outdated(old.of(&pack.name), files);
    let mut both = files.clone();
    both.extend(gone.iter().map(|path| path.display().to_string().replace('\\', "/")));
    let begun = old.with(Packed { whole: false, files: both, ..pack.clone() });
    files::write(&from.join(BEGUN), |out| out.write_all(&begun.write()))?;
    files::write(&from.join(NAME), |out| out.write_all(&list.write()))?;
    // What could fail for want of room or rights comes before the first change.
    for file in files {
        let path = folder.join(file);
        let of_file = path.parent().unwrap_or(folder);
        files::folder(of_file)?;
        unfinished::sweep(of_file);
    }
    let done = unfinished::undisturbed(|| -> Result<(), (PathBuf, io::Error)> {
        let put = |from: PathBuf, name: &str| {
            let to = folder.join(name);
            fs::rename(from, &to).map_err(|error| (to, error))
        };
        put(from.join(BEGUN), NAME)?;
        for name in COMMON.iter().rev() {
            remove(&folder.join(name))?;
        }
        files.iter().try_for_each(|file| put(from.join(file), file))?;
        gone.iter().try_for_each(|file| remove(&folder.join(file)))?;
        COMMON.iter().try_for_each(|name| put(from.join(name), name))?;
        put(from.join(NAME), NAME)
    });
    done.map_err(|(path, error)| Box::new(files::unwritable(&path.display().to_string(), &error)))?;
    // A part's folder goes with its last file; one that still holds something stays.
    for path in &gone {
        let _ = path.parent().filter(|inner| *inner != Path::new("")).map(|inner| fs::remove_dir(folder.join(inner)));
    }
    Ok(gone.len())
}

fn remove(path: &Path) -> Result<(), (PathBuf, io::Error)> {
    match fs::remove_file(path) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err((path.to_owned(), error)),
        _ => Ok(()),
    }
}
