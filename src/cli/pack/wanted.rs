//! What a pack was asked for: whose folders, in what format, and whether each is put into an archive.

use std::path::PathBuf;

use crate::cli::choice::{self, unknown_pan};
use crate::cli::play_args::PackArgs;
use crate::cli::sheet::file_name;
use crate::cli::track::Format;
use crate::door::names::safe;
use crate::people::{Handout, handouts};
use crate::sound::{Settings, Store};
use crate::text::Finding;
use crate::tune::Tune;

/// The folder with what is for everybody.
pub const EVERYBODY: &str = "whole-band";

/// A folder of a pack: what it is called, and for whom it is.
#[derive(Clone, Debug)]
pub struct Folder {
    /// Its name.
    pub name: String,
    /// What is handed out in it.
    pub handout: Handout,
    /// The pans that get a page and a sheet, of those that play it; all where no pan was named.
    pub pans: Vec<usize>,
}

/// What goes into a pack.
#[derive(Clone, Debug)]
pub struct Wanted {
    /// What every file's name begins with.
    pub stem: String,
    /// How sound is written, if there is any.
    pub format: Option<Format>,
    /// Whether sound has one channel.
    pub mono: bool,
    /// The players' folders.
    pub folders: Vec<Folder>,
    /// Whether there is what is for everybody.
    pub everybody: bool,
    /// Whether each folder is put into an archive.
    pub archives: bool,
    /// The strokes that the tracks share.
    pub strokes: Store,
}

impl Wanted {
    /// What was asked for on the command line.
    ///
    /// # Errors
    /// A finding for a part or a pan that is not there, or that nothing is handed out for.
    pub fn of(tune: &Tune, stem: &str, args: &PackArgs) -> Result<Wanted, Box<Finding>> {
        let format = args.format.unwrap_or_default().format();
        let mono = format == Some(Format::Mp3) && !args.stereo;
        let everybody = args.part.is_empty() && args.pan.is_empty();
        let mut wanted = Wanted {
            stem: stem.to_owned(),
            format,
            mono,
            folders: folders(tune),
            everybody,
            archives: args.zip,
            strokes: Store::default(),
        };
        if !everybody {
            wanted.choose(tune, args)?;
        }
        Ok(wanted)
    }

    /// Leaves only the folders of the parts and pans that were named.
    fn choose(&mut self, tune: &Tune, args: &PackArgs) -> Result<(), Box<Finding>> {
        let parts = args.part.iter().map(|name| choice::part(tune, name)).collect::<Result<Vec<_>, _>>()?;
        let pans = args.pan.iter().map(|name| self.pan(tune, name)).collect::<Result<Vec<_>, _>>()?;
        let of = |part: usize| tune.parts[part].version.map_or(part, |version| version.of);
        let is_named = |folder: &Folder| {
            folder.handout.parts.iter().any(|part| parts.contains(part) || parts.contains(&of(*part)))
        };
        self.folders.retain_mut(|folder| {
            if is_named(folder) {
                return true;
            }
            folder.pans.retain(|pan| pans.contains(pan));
            !folder.pans.is_empty()
        });
        Ok(())
    }

    /// The number of a pan for which something is handed out.
    fn pan(&self, tune: &Tune, name: &str) -> Result<usize, Box<Finding>> {
        let mut pans: Vec<usize> = self.folders.iter().flat_map(|folder| folder.pans.iter().copied()).collect();
        pans.sort_unstable();
        pans.dedup();
        let named = |pan: &usize| tune.band.pans[*pan].pan.name.as_str();
        let known = pans.iter().copied().find(|pan| named(pan) == name);
        known.ok_or_else(|| Box::new(unknown_pan(name, pans.iter().map(named))))
    }

    /// The folder that the pack goes into where none is named: called after the tune, and after the players where some were chosen.
    pub fn folder(&self) -> PathBuf {
        if self.everybody {
            return PathBuf::from(&self.stem);
        }
        let names: Vec<&str> = self.folders.iter().take(4).map(|folder| folder.name.as_str()).collect();
        PathBuf::from(safe(&format!("{}-{}", self.stem, names.join("-"))))
    }

    /// How tracks are made.
    pub fn settings(&self) -> Settings {
        Settings { mono: self.mono, strokes: self.strokes.clone(), ..Settings::default() }
    }

    /// The name of a folder's archive.
    pub fn archive(&self, folder: &str) -> String {
        format!("{}-{folder}.zip", self.stem)
    }
}

/// What is handed out, each with a folder that is named after its parts. Some systems take `Lead` and `lead` for one name; such
/// names get a number.
pub fn folders(tune: &Tune) -> Vec<Folder> {
    let mut taken: Vec<String> = vec![EVERYBODY.to_owned()];
    let mut folders = Vec::new();
    for handout in handouts(tune) {
        let plain = folder_name(tune, &handout.parts);
        let mut name = plain.clone();
        let mut number = 2;
        while taken.contains(&name.to_lowercase()) {
            name = format!("{plain}-{number}");
            number += 1;
        }
        taken.push(name.to_lowercase());
        folders.push(Folder { name, pans: handout.pans.clone(), handout });
    }
    folders
}

/// The names of the parts, joined by hyphens; of more than four the first ones. A pan's own version has a space and letters of any
/// sort in its name.
fn folder_name(tune: &Tune, parts: &[usize]) -> String {
    let name = |part: &usize| match tune.parts[*part].version {
        None => tune.parts[*part].name.clone(),
        Some(_) => file_name(&tune.parts[*part].name),
    };
    safe(&parts.iter().take(4).map(name).collect::<Vec<_>>().join("-"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::{self, ONE_LEAD};

    fn tune(parts: &str) -> Tune {
        let lines: String = parts.split(' ').map(|part| format!("part {part} on lead\n")).collect();
        kit::tune(ONE_LEAD, &format!("{lines}section a\n{} | C5 |\n", parts.split(' ').next().unwrap()))
    }

    #[test]
    fn folders_are_told_apart_everywhere() {
        assert_eq!(
            folders(&tune("lead Lead con whole-band bass")).into_iter().map(|folder| folder.name).collect::<Vec<_>>(),
            ["lead", "Lead-2", "con-2", "whole-band-2", "bass"]
        );
    }
}
