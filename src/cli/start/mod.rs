//! `panfold start`: a small band and a small tune to change, with comments that teach.

use std::path::Path;

use super::args::StartArgs;
use super::console::Console;
use super::{Outcome, Stop};
use crate::door::files;
use crate::door::kinds::THERE_ALREADY;
use crate::text::Finding;

/// The files and their contents.
pub const FILES: [(&str, &str); 2] =
    [("our-band.toml", include_str!("our-band.toml")), ("first-tune.tune", include_str!("first-tune.tune"))];

/// Writes the files into a folder, unless one of them exists with other contents.
pub fn run(args: &StartArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let folder = &args.folder;
    for (name, text) in FILES {
        let path = folder.join(name);
        if path.symlink_metadata().is_ok() && !is_as_written(&path, text) {
            return Err(there_already(&path).into());
        }
    }
    let missing: Vec<_> = FILES.into_iter().filter(|(name, _)| !folder.join(name).exists()).collect();
    if missing.is_empty() {
        return Err(there_already(&folder.join(FILES[0].0)).into());
    }
    files::folder(folder)?;
    for (name, text) in missing {
        files::write(&folder.join(name), |out| out.write_all(text.as_bytes()))?;
    }
    let (band, tune) = (folder.join(FILES[0].0), folder.join(FILES[1].0));
    writeln!(console.out(), "wrote {} and {}\n", band.display(), tune.display())?;
    writeln!(console.out(), "Both explain themselves: open them in any text editor. Then type\n")?;
    writeln!(console.out(), "  panfold check {}", shown(&tune))?;
    writeln!(console.out(), "  panfold pack {} -o {}", shown(&tune), shown(&folder.join("first-pack")))?;
    Ok(Outcome::Fine)
}

/// Whether a file is just what would be written, as after a run that was stopped between the two.
fn is_as_written(path: &Path, text: &str) -> bool {
    files::bytes(path).is_ok_and(|bytes| bytes == text.as_bytes())
}

/// A path as one would type it: in quotes when it has white space.
fn shown(path: &Path) -> String {
    let text = path.display().to_string();
    if text.contains(char::is_whitespace) { format!("\"{text}\"") } else { text }
}

fn there_already(path: &Path) -> Finding {
    Finding::error(&THERE_ALREADY, format!("`{}` is there already", path.display()))
        .help("give a folder that is empty or not there yet: nothing of yours is written over")
}
