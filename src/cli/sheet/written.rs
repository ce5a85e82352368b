//! Pages as files: a PDF, or an SVG a page.

use std::path::{Path, PathBuf};

use crate::cli::Stop;
use crate::cli::choice::wrong;
use crate::cli::console::Console;
use crate::door::files;
use crate::door::names::safe;
use crate::door::target::Target;
use crate::drawing::ink::Theme;
use crate::drawing::{Picture, pdf, svg};
use crate::text::{Finding, words};

/// How pages are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    Pdf,
    Svg,
}

/// How pages are written to a file of this name.
///
/// # Errors
/// For a name that ends in neither.
pub fn ending(path: &Path) -> Result<Ending, Box<Finding>> {
    let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default().to_lowercase();
    match ending.as_str() {
        "pdf" => Ok(Ending::Pdf),
        "svg" => Ok(Ending::Svg),
        _ => {
            let message = format!("sheets are written as PDF or SVG, and `{}` ends in neither", path.display());
            Err(Box::new(wrong(message).help("let the name end in `.pdf` or `.svg`")))
        }
    }
}

/// The files that pages would be written to.
///
/// # Errors
/// For one that may not be written over.
pub fn places(path: &Path, target: &Target, pages: usize) -> Result<Vec<PathBuf>, Box<Finding>> {
    let paths = match ending(path)? {
        Ending::Pdf => vec![path.to_owned()],
        Ending::Svg => numbered(path, pages),
    };
    paths.iter().try_for_each(|path| target.may(path))?;
    Ok(paths)
}

/// Writes pages, and gives the files. None is written if one may not be.
pub fn write(
    path: &Path,
    target: &Target,
    pages: &[Picture],
    title: &str,
    console: &mut Console,
) -> Result<Vec<PathBuf>, Stop> {
    let paths = places(path, target, pages.len())?;
    match ending(path)? {
        Ending::Pdf => files::write_made(path, pdf::document(pages, title))?,
        Ending::Svg => {
            for (page, path) in pages.iter().zip(&paths) {
                files::write_made(path, svg::file(page, Theme::Light).into_bytes())?;
            }
        }
    }
    let names = match &names(&paths)[..] {
        [first, _, .., last] => format!("{first} to {last}"),
        names => words::and(names),
    };
    console.say(&format!("wrote {names}: {}", words::count(pages.len(), "page")))?;
    Ok(paths)
}

/// The names of files, for JSON.
pub fn names(files: &[PathBuf]) -> Vec<String> {
    files.iter().map(|file| file.display().to_string()).collect()
}

/// A path for each of several files: `lead.svg` becomes `lead-1.svg`, `lead-2.svg`.
fn numbered(path: &Path, files: usize) -> Vec<PathBuf> {
    if files == 1 {
        return vec![path.to_owned()];
    }
    let (stem, ending) = (path.file_stem().unwrap_or_default(), path.extension().unwrap_or_default());
    let name = |number: usize| format!("{}-{number}.{}", stem.to_string_lossy(), ending.to_string_lossy());
    (1..=files).map(|number| path.with_file_name(name(number))).collect()
}

/// A name as the name of a file: letters, digits and hyphens.
pub fn file_name(name: &str) -> String {
    let plain: String = name.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
    let plain = plain.trim_matches('-').to_owned();
    if plain.is_empty() { "sheet".to_owned() } else { safe(&plain) }
}
