//! Archives: a player's folder as one file, to be sent as it is.

use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::Path;

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

use crate::door::files;
use crate::text::Finding;

/// An archive, and what goes into it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Archive {
    /// Its name.
    pub name: String,
    /// Its files, from the pack's folder on, with `/` between folders.
    pub files: Vec<String>,
}

/// What deflating makes no smaller by more than a hundredth.
const SMALL: [&str; 2] = [".mp3", ".flac"];

/// Writes archives of files that lie in a folder, beside them. All files are dated 1980, so that the same files give the same bytes.
///
/// # Errors
/// A finding when one can't be written.
pub fn put_together(folder: &Path, archives: &[Archive]) -> Result<(), Box<Finding>> {
    archives.iter().try_for_each(|archive| files::write(&folder.join(&archive.name), |out| write(folder, archive, out)))
}

fn write(folder: &Path, archive: &Archive, out: &mut dyn Write) -> io::Result<()> {
    let mut zip = ZipWriter::new_stream(BufWriter::new(out));
    for name in &archive.files {
        let is_small = SMALL.iter().any(|ending| name.ends_with(ending));
        let method = if is_small { CompressionMethod::Stored } else { CompressionMethod::Deflated };
        let mut file = File::open(folder.join(name))?;
        let is_large = file.metadata()?.len() > u64::from(u32::MAX) / 2;
        let options = SimpleFileOptions::DEFAULT.last_modified_time(DateTime::default()).unix_permissions(0o644);
        zip.start_file(name.as_str(), options.compression_method(method).large_file(is_large))?;
        io::copy(&mut file, &mut zip)?;
    }
    zip.finish()?.into_inner().flush()
}
