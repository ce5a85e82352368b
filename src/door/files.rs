//! Reading files, and writing them whole or not at all.
//!
//! A file is written beside its place under another name and then put there in one step, so that nobody ever finds half a
//! file under the name that was asked for, and the old one stays until the new one is complete.

use std::fs::{self, File, Metadata};
use std::io::{self, BufWriter, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::door::kinds::{CHANGED_MEANWHILE, UNREADABLE, UNWRITABLE};
use crate::door::made;
use crate::door::unfinished::{self, Unfinished};
use crate::text::decode::{self, NOT_TEXT};
use crate::text::source::{MAX_SOURCE_BYTES, MAX_TEXT_BYTES};
use crate::text::{Finding, Source, plain};

/// Reads a text file.
///
/// # Errors
/// A finding without a place when it can't be read or is too large; one with a place when a byte in it is not text.
pub fn read(path: &Path) -> Result<Arc<Source>, Box<Finding>> {
    let bytes = bytes(path).map_err(|error| Box::new(unreadable(path, &error)))?;
    if let Some(foreign) = plain::foreign(&bytes) {
        let finding = Finding::error(&NOT_TEXT, format!("`{}` is {}", path.display(), foreign.what));
        return Err(Box::new(finding.help(foreign.help)));
    }
    let name = path.display().to_string();
    if bytes.len() > MAX_TEXT_BYTES {
        return Err(Box::new(decode::too_large(&name, MAX_TEXT_BYTES)));
    }
    Source::from_bytes(name, bytes)
}

/// A file's bytes, at most one more than a source may have: a device may have no end.
///
/// # Errors
/// The system's.
pub fn bytes(path: &Path) -> io::Result<Vec<u8>> {
    // One that nobody writes to would keep the program waiting for ever.
    if let Some(what) = no_file(path) {
        return Err(io::Error::new(io::ErrorKind::Unsupported, format!("{what}, not a file")));
    }
    let file = File::open(path)?;
    if file.metadata()?.is_dir() {
        return Err(io::ErrorKind::IsADirectory.into());
    }
    let mut bytes = Vec::new();
    file.take(MAX_SOURCE_BYTES as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// What a path leads to, if that is a pipe or a socket.
#[cfg(unix)]
fn no_file(path: &Path) -> Option<&'static str> {
    use std::os::unix::fs::FileTypeExt;
    let kind = fs::metadata(path).ok()?.file_type();
    if kind.is_fifo() { Some("a pipe") } else { kind.is_socket().then_some("a socket") }
}

/// Pipes have no paths.
#[cfg(not(unix))]
fn no_file(_: &Path) -> Option<&'static str> {
    None
}

/// A finding for a file that can't be read, without a place.
pub fn unreadable(path: &Path, error: &io::Error) -> Finding {
    let name = path.display();
    let finding = |message: String| Finding::error(&UNREADABLE, message);
    match error.kind() {
        io::ErrorKind::NotFound => {
            let finding = finding(format!("there is no file `{name}`"));
            match neighbour(path) {
                Some(near) => finding.help(format!("did you mean `{}`?", near.display())),
                None => finding,
            }
        }
        io::ErrorKind::IsADirectory => finding(format!("`{name}` is a folder, not a file")),
        io::ErrorKind::PermissionDenied => finding(format!("you are not allowed to read `{name}`")),
        io::ErrorKind::Unsupported => finding(format!("`{name}` is {}", plain(error))),
        _ => finding(format!("`{name}` can't be read: {}", plain(error))),
    }
}

/// The file in the same folder with the nearest name and the same ending.
pub(super) fn neighbour(path: &Path) -> Option<PathBuf> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    let entries = fs::read_dir(folder.unwrap_or(Path::new("."))).ok()?;
    let mut names: Vec<String> = entries
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| Path::new(name).extension() == path.extension() || path.extension().is_none())
        .collect();
    names.sort();
    let wanted = path.file_name()?.to_str()?;
    let stem = |name: &str| name.rsplit_once('.').map_or(name.to_owned(), |(stem, _)| stem.to_owned());
    let stems: Vec<String> = names.iter().map(|name| stem(name)).collect();
    let near = crate::text::words::nearest(&stem(wanted), stems.iter().map(String::as_str))?;
    let name = &names[stems.iter().position(|stem| stem == near)?];
    Some(folder.map_or_else(|| PathBuf::from(name), |folder| folder.join(name)))
}

/// Writes a file whole or not at all.
///
/// - `path`: where; its folder must exist. A link is followed; a device or pipe is written to directly. A file that is there
///   already keeps its permissions.
/// - `fill`: writes the contents.
///
/// # Errors
/// A finding; then what was at `path` is untouched.
pub fn write<T>(path: &Path, fill: impl FnOnce(&mut dyn Write) -> io::Result<T>) -> Result<T, Box<Finding>> {
    write_or_fail(path, fill).map_err(|error| Box::new(unwritable(&path.display().to_string(), &error)))
}

/// Writes a finished file with the seal by which panfold recognises it later (`made`).
///
/// # Errors
/// As [`write()`].
pub fn write_made(path: &Path, bytes: Vec<u8>) -> Result<(), Box<Finding>> {
    let bytes = made::sealed(bytes);
    write(path, |out| out.write_all(&bytes))
}

fn write_or_fail<T>(path: &Path, fill: impl FnOnce(&mut dyn Write) -> io::Result<T>) -> io::Result<T> {
    let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let there = fs::metadata(&path).ok();
    match &there {
        Some(there) if there.is_dir() => return Err(io::ErrorKind::IsADirectory.into()),
        Some(there) if !there.is_file() => {
            let mut out = BufWriter::new(File::options().write(true).open(&path)?);
            let done = fill(&mut out)?;
            out.flush()?;
            return Ok(done);
        }
        Some(there) => may_write(&path, there)?,
        None => {}
    }
    let mut file = BufWriter::new(Unfinished::begin(folder_of(&path))?);
    let done = fill(&mut file)?;
    let file = file.into_inner().map_err(io::IntoInnerError::into_error)?;
    if let Some(there) = there {
        file.file().set_permissions(there.permissions())?;
        // What is replaced may be somebody's work: the new one is on the disk before the old one goes.
        file.file().sync_all()?;
    }
    file.put(&path)?;
    Ok(done)
}

/// Whether this user may write a file. One that they may not write is not replaced either, though its folder would allow it.
fn may_write(path: &Path, there: &Metadata) -> io::Result<()> {
    if there.permissions().readonly() {
        return Err(io::ErrorKind::PermissionDenied.into());
    }
    File::options().write(true).open(path).map(drop)
}

/// The folder that a file lies in.
fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Changes the text of a file, if it still is what was read. The file keeps its owner, its group, its rights and its place.
///
/// # Errors
/// A finding when it was changed meanwhile, or when it could not keep these; then it is untouched.
pub fn rewrite(path: &Path, read: &Source, text: &str) -> Result<(), Box<Finding>> {
    let name = path.display().to_string();
    let failed = |error: io::Error| Box::new(unwritable(&name, &error));
    let at = fs::canonicalize(path).map_err(failed)?;
    let there = fs::metadata(&at).map_err(failed)?;
    if !there.is_file() {
        return Err(Box::new(Finding::error(&UNWRITABLE, format!("`{name}` is not a file that can be changed"))));
    }
    may_write(&at, &there).map_err(failed)?;
    if links(&there) > 1 {
        let finding =
            Finding::error(&UNWRITABLE, format!("`{name}` has other names too, which would keep the old text"));
        return Err(Box::new(finding.help("make a copy (`cp`), and change that")));
    }
    let mut file = BufWriter::new(Unfinished::begin(folder_of(&at)).map_err(failed)?);
    let mark = if read.has_bom() { "\u{feff}" } else { "" };
    write!(file, "{mark}{text}").map_err(failed)?;
    let file = file.into_inner().map_err(|error| failed(error.into_error()))?;
    if give(file.file(), &there).is_err() {
        let finding = Finding::error(&UNWRITABLE, format!("`{name}` belongs to somebody else, and would become yours"));
        return Err(Box::new(finding.help("make a copy, and change that; or let its owner do it")));
    }
    file.file().set_permissions(there.permissions()).map_err(failed)?;
    file.file().sync_all().map_err(failed)?;
    let now = self::read(path)?;
    if now.text() != read.text() || now.has_bom() != read.has_bom() {
        let finding = Finding::error(&CHANGED_MEANWHILE, format!("somebody has changed `{name}` in the meantime"));
        return Err(Box::new(finding.help("nothing was written: run the command again")));
    }
    file.put(&at).map_err(failed)
}

/// How many names a file has.
#[cfg(unix)]
fn links(there: &Metadata) -> u64 {
    std::os::unix::fs::MetadataExt::nlink(there)
}

/// Other names are not looked for.
#[cfg(not(unix))]
fn links(_: &Metadata) -> u64 {
    1
}

/// Gives a file to the owner and the group of another.
#[cfg(unix)]
fn give(file: &File, like: &Metadata) -> io::Result<()> {
    use std::os::unix::fs::{MetadataExt, fchown};
    let now = file.metadata()?;
    if (now.uid(), now.gid()) == (like.uid(), like.gid()) {
        return Ok(());
    }
    fchown(file, Some(like.uid()), Some(like.gid()))
}

/// Here the system looks after owners.
#[cfg(not(unix))]
fn give(_: &File, _: &Metadata) -> io::Result<()> {
    Ok(())
}

/// Makes a folder and those above it, if they are not there.
///
/// # Errors
/// A finding.
pub fn folder(path: &Path) -> Result<(), Box<Finding>> {
    unfinished::make_folder(path).map_err(|error| {
        let name = path.display();
        let message = match error.kind() {
            io::ErrorKind::AlreadyExists | io::ErrorKind::NotADirectory => {
                format!("`{name}` can't be a folder: a file is in the way")
            }
            io::ErrorKind::PermissionDenied => format!("you are not allowed to make the folder `{name}`"),
            _ => format!("the folder `{name}` can't be made: {}", plain(&error)),
        };
        Box::new(Finding::error(&UNWRITABLE, message))
    })
}

/// A finding for something that can't be written.
pub fn unwritable(name: &str, error: &io::Error) -> Finding {
    let finding = |message: String| Finding::error(&UNWRITABLE, message);
    match error.kind() {
        io::ErrorKind::NotFound => finding(format!("`{name}` can't be written: its folder is not there"))
            .help("make the folder first, or give another one"),
        io::ErrorKind::IsADirectory => {
            finding(format!("`{name}` is a folder")).help("give the name of a file, for example inside that folder")
        }
        io::ErrorKind::NotADirectory => finding(format!("`{name}` can't be written: a part of the path is a file")),
        io::ErrorKind::PermissionDenied => finding(format!("you are not allowed to write `{name}`")),
        io::ErrorKind::StorageFull => finding(format!("`{name}` can't be written: the disk is full")),
        _ => finding(format!("`{name}` can't be written: {}", plain(error))),
    }
}

/// How many bytes the disk has left on which a folder is, or would be; `None` where the system does not say.
pub fn free(folder: &Path) -> Option<u64> {
    let folder = std::path::absolute(folder).ok()?;
    let there = folder.ancestors().find(|folder| folder.is_dir())?;
    fs4::available_space(there).ok()
}

/// A system's error in its own words, without its number.
fn plain(error: &io::Error) -> String {
    let text = error.to_string();
    let text = text.split(" (os error").next().unwrap_or_default();
    let mut letters = text.chars();
    letters.next().map(|first| first.to_lowercase().chain(letters).collect()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_somebody_changed_meanwhile_is_not_written_over() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("jam.tune");
        for (before, after) in [("title A\n", "title B\n"), ("title A\n", "\u{feff}title A\n")] {
            fs::write(&path, before).expect("a file");
            let source = read(&path).expect("a text");
            fs::write(&path, after).expect("a file");
            let finding = rewrite(&path, &source, "title C\n").expect_err("refused");
            assert_eq!(*finding.kind, CHANGED_MEANWHILE);
            assert_eq!(fs::read_to_string(&path).expect("a file"), after);
            assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 1);
        }
        let source = read(&path).expect("a text");
        rewrite(&path, &source, "title C\n").expect("written");
        assert_eq!(fs::read_to_string(&path).expect("a file"), "\u{feff}title C\n");
    }
}
