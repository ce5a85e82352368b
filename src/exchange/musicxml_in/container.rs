//! `.mxl`: MusicXML in a zip container, as W3C MusicXML 4.0 describes it. `META-INF/container.xml` names the score.

use std::io::{Cursor, Read};
use std::sync::Arc;

use zip::ZipArchive;

use super::xml;
use crate::exchange::findings::{TOO_MUCH_MUSIC, WRONG_MUSIC_FILE};
use crate::exchange::limits::MAX_XML_BYTES;
use crate::text::{Finding, Source};

/// The file of a container that says which of its files is the score.
const INDEX: &str = "META-INF/container.xml";

/// The most files of a container: a score, its pictures and sounds. With more it is no score.
const MAX_FILES: usize = 10_000;

/// Whether bytes begin as a zip file does.
pub fn is_zip(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04")
}

/// The score of a container as text; it is named after the container and the file in it.
///
/// # Errors
/// When it is no container, holds no score, or unpacks to more than [`MAX_XML_BYTES`].
pub fn score(name: &str, bytes: &[u8]) -> Result<Arc<Source>, Box<Finding>> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|error| broken(name, &error))?;
    if archive.len() > MAX_FILES {
        let message = format!("`{name}` holds more than {MAX_FILES} files");
        return Err(Box::new(Finding::error(&TOO_MUCH_MUSIC, message).help("is this the file that you meant?")));
    }
    let path = match archive.index_for_name(INDEX) {
        Some(_) => root_file(&xml::text(&format!("{name}: {INDEX}"), unpack(name, &mut archive, INDEX)?)?)?,
        // Some programs leave the index out; then the one score that lies at the top is meant.
        None => {
            let mut paths = archive.file_names().filter_map(Result::ok);
            paths.find(|path| is_score(path)).map(|path| path.into_owned()).ok_or_else(|| no_score(name))?
        }
    };
    xml::text(&format!("{name}: {path}"), unpack(name, &mut archive, &path)?)
}

fn is_score(path: &str) -> bool {
    !path.contains('/') && (path.ends_with(".xml") || path.ends_with(".musicxml"))
}

/// The path that an index names: its first root file, which by the standard is the MusicXML score.
fn root_file(index: &Arc<Source>) -> Result<String, Box<Finding>> {
    let document = xml::parse(index)?;
    let root = document.descendants().find(|node| node.tag_name().name() == "rootfile");
    let path = root.and_then(|node| node.attribute("full-path"));
    path.map(str::to_owned).ok_or_else(|| no_score(index.name()))
}

/// A file of a container, unpacked up to the limit. The size that the zip gives for a file is not trusted.
fn unpack(name: &str, archive: &mut ZipArchive<Cursor<&[u8]>>, path: &str) -> Result<Vec<u8>, Box<Finding>> {
    let file = archive.by_name(path).map_err(|error| match error {
        zip::result::ZipError::FileNotFound => {
            let message = format!("`{name}` names `{path}` as its score, and does not hold it");
            Box::new(Finding::error(&WRONG_MUSIC_FILE, message))
        }
        error => broken(name, &error),
    })?;
    let mut bytes = Vec::new();
    let read = file.take(MAX_XML_BYTES as u64 + 1).read_to_end(&mut bytes);
    read.map_err(|error| {
        let message = format!("`{path}` in `{name}` can't be unpacked: {error}");
        Box::new(Finding::error(&WRONG_MUSIC_FILE, message).help("the file is damaged: get or write it again"))
    })?;
    if bytes.len() > MAX_XML_BYTES {
        let message = format!("`{path}` in `{name}` unpacks to more than {} MiB", MAX_XML_BYTES >> 20);
        return Err(Box::new(Finding::error(&TOO_MUCH_MUSIC, message).help("is this the file that you meant?")));
    }
    Ok(bytes)
}

fn broken(name: &str, error: &zip::result::ZipError) -> Box<Finding> {
    let message = format!("`{name}` begins as a zip file and can't be read as one: {error}");
    Box::new(Finding::error(&WRONG_MUSIC_FILE, message).help("the file is damaged or cut off: get or write it again"))
}

fn no_score(name: &str) -> Box<Finding> {
    Box::new(
        Finding::error(&WRONG_MUSIC_FILE, format!("`{name}` holds no MusicXML score"))
            .help("a `.mxl` file is a zip with `META-INF/container.xml`, which names the score"),
    )
}
