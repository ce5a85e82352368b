//! The list of the packs in a folder: what panfold wrote there, and may replace or remove. It also keeps what the common files of the
//! folder (index, text, check report) say about each tune, so that they can be written for all tunes that are packed into it.

use std::fs;
use std::path::{Component, Path, PathBuf};

use serde::{Deserialize, Serialize};

use crate::cli::choice::wrong;
use crate::door::files;
use crate::door::kinds::THERE_ALREADY;
use crate::page::index::Index;
use crate::text::{Finding, words};

/// The name of the list in its folder.
pub const NAME: &str = "pack.json";

/// The files that all tunes of a folder share, the index last: it is put in place when everything that it links is there.
pub const COMMON: [&str; 3] = ["README.txt", "check.txt", "index.html"];

/// The packs in a folder.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct List {
    /// What this file is, for whoever opens it.
    about: String,
    /// The files that all tunes share.
    common: Vec<String>,
    /// The packs, in the order in which they first came.
    pub packs: Vec<Packed>,
}

/// The pack of a tune.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Packed {
    /// The tune file's name without its ending.
    pub name: String,
    /// Whether all of it is in its place.
    pub whole: bool,
    /// What the index says about it.
    pub index: Index,
    /// What the text says about it: title, by whom, for whom.
    pub head: String,
    /// The lines of the text's table: file, and what it is.
    pub rows: Vec<Vec<String>>,
    /// The check report.
    pub report: String,
    /// The files, from the folder on, with `/` between folders.
    pub files: Vec<String>,
}

impl List {
    /// The list of a folder that has none yet.
    pub fn empty() -> List {
        let about = "The files that `panfold pack` put into this folder. Packing again replaces or removes these, and no others.";
        List { about: about.to_owned(), common: Vec::new(), packs: Vec::new() }
    }

    /// The list of a folder.
    ///
    /// # Errors
    /// A finding when a file of that name is not such a list.
    pub fn read(folder: &Path) -> Result<List, Box<Finding>> {
        let path = folder.join(NAME);
        if !path.exists() {
            return Ok(List::empty());
        }
        let bytes = files::bytes(&path).map_err(|error| Box::new(files::unreadable(&path, &error)))?;
        serde_json::from_slice(&bytes).map_err(|_| {
            let finding = wrong(format!("`{}` is not the list of a pack", path.display()));
            Box::new(finding.help("give another folder with `-o`, or write over it with `--replace`"))
        })
    }

    /// The list as a file.
    pub fn write(&self) -> Vec<u8> {
        let text = serde_json::to_string_pretty(self).expect("a list of texts can be written");
        (text + "\n").into_bytes()
    }

    /// The pack of a tune, if there is one.
    pub fn of(&self, name: &str) -> Option<&Packed> {
        self.packs.iter().find(|pack| pack.name == name)
    }

    /// The same with another pack of a tune, and with all common files.
    #[must_use]
    pub fn with(&self, pack: Packed) -> List {
        let mut list = self.clone();
        list.common = COMMON.map(String::from).to_vec();
        match list.packs.iter_mut().find(|other| other.name == pack.name) {
            Some(other) => *other = pack,
            None => list.packs.push(pack),
        }
        list
    }

    /// Whether a pack may put these files into its folder: no other files may be there under their names.
    ///
    /// - `replace`: whether what panfold did not write may be replaced.
    ///
    /// # Errors
    /// A finding that names what is in the way.
    pub fn may(&self, folder: &Path, name: &str, new: &[String], replace: bool) -> Result<(), Box<Finding>> {
        let there = |file: &&String| fs::symlink_metadata(folder.join(file)).is_ok();
        let others = self.packs.iter().filter(|pack| pack.name != name);
        if let Some((pack, file)) =
            others.flat_map(|pack| pack.files.iter().map(move |file| (pack, file))).find(|(_, file)| new.contains(file))
        {
            let finding = wrong(format!("`{}` belongs to the pack of `{}`", folder.join(file).display(), pack.name));
            return Err(Box::new(finding.help("give another folder with `-o`")));
        }
        let own = self.of(name).map_or(&[][..], |pack| &pack.files);
        let common = COMMON.map(String::from);
        let is_listed = |file: &&String| own.contains(file) || self.common.contains(file);
        let foreign: Vec<&String> =
            new.iter().chain(&common).filter(there).filter(|file| !is_listed(file)).take(6).collect();
        if let Some(file) = new.iter().chain(&common).find(|file| folder.join(file).is_dir()) {
            let finding =
                wrong(format!("`{}` is a folder, and the pack has a file there", folder.join(file).display()));
            return Err(Box::new(finding.help("give another folder with `-o`, or move that one")));
        }
        if replace || foreign.is_empty() {
            return Ok(());
        }
        let named: Vec<String> = foreign.iter().take(5).map(|file| format!("`{file}`")).collect();
        let more = if foreign.len() > named.len() { " and more" } else { "" };
        let are = if foreign.len() == 1 { "is" } else { "are" };
        let message = format!(
            "{}{more} in `{}` {are} not from a pack of panfold, and would be written over",
            words::and(&named),
            folder.display()
        );
        let finding = Finding::error(&THERE_ALREADY, message);
        Err(Box::new(finding.help("choose another folder with `-o`, or write over those files with `--replace`")))
    }
}

/// The files that an older pack had and a newer one does not, as paths in their folder; paths that lead out of it are skipped.
pub fn outdated(old: Option<&Packed>, new: &[String]) -> Vec<PathBuf> {
    let files = old.map_or(&[][..], |pack| &pack.files);
    let is_inside = |path: &PathBuf| path.components().all(|step| matches!(step, Component::Normal(_)));
    files.iter().filter(|file| !new.contains(file)).map(PathBuf::from).filter(is_inside).collect()
}
