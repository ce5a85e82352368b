//! What a pack holds: folders that a player finds on a phone, and files whose names say what they are outside of their folder too.
//!
//! Tracks are for parts; pages and sheets are for the pans that play them, since each player has notes in places of their own.

use std::path::{Path, PathBuf};

use super::list::Packed;
use crate::cli::screen::in_lines;
use crate::cli::sheet::file_name;
use crate::door::names::safe;
use crate::page::index::{Entry, Index, Part};
use crate::page::write::CAUTION;
use crate::people::{Handout, handouts};
use crate::sound::Mix;
use crate::text::words;
use crate::tune::Tune;
use crate::tune::model::Player;

/// How fast the slow track of a part is, in percent of the written tempo: 70, slow enough to follow by ear, fast enough to
/// keep the tune's shape (common practice, no source).
pub const SLOW: u8 = 70;

/// The greatest width of the lines in the pack's text.
const WIDTH: usize = 120;

/// The folder with what is for everybody.
const EVERYBODY: &str = "whole-band";

/// A sound file of a pack.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TrackPlan {
    /// Where it lies in the pack.
    pub path: PathBuf,
    /// What it is, in words.
    pub what: String,
    /// Who is heard.
    pub mix: Mix,
    /// How fast, in percent.
    pub percent: u8,
}

/// The sound files of a pack, the whole band's first, then part by part in the order of the tune.
///
/// - `stem`: what every file's name begins with.
/// - `ending`: what every file's name ends in.
pub fn tracks(tune: &Tune, stem: &str, ending: &str) -> Vec<TrackPlan> {
    let file = |folder: &str, rest: &str| PathBuf::from(folder).join(format!("{stem}-{rest}.{ending}"));
    let mut tracks = vec![TrackPlan {
        path: file(EVERYBODY, EVERYBODY),
        what: "the whole band".to_owned(),
        mix: Mix::Band,
        percent: 100,
    }];
    for (handout, folder) in folders(tune) {
        let name = names(tune, &handout.parts);
        for (percent, rest) in [(100, String::new()), (SLOW, format!("-slow-{SLOW}"))] {
            let speed = if percent == 100 { "full tempo".to_owned() } else { format!("slow ({percent} %)") };
            tracks.push(TrackPlan {
                path: file(&folder, &format!("{folder}{rest}")),
                what: format!("{name}, {speed}: loud, the band soft"),
                mix: Mix::Loud(handout.parts.iter().copied().collect()),
                percent,
            });
        }
    }
    tracks
}

/// A practice page and a sheet: what one player plays, on the pan of one of those who play it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PaperPlan {
    /// Where the page lies in the pack.
    pub page: PathBuf,
    /// Where the sheet lies in the pack.
    pub sheet: PathBuf,
    /// The numbers of the parts; several of a drum kit.
    pub parts: Vec<usize>,
    /// The number of the band's pan; `None` for percussion, and for a pan that the band does not have.
    pub pan: Option<usize>,
    /// Whose it is, when several play the part: ` on Blue rim`.
    pub whose: String,
}

/// The pages and sheets of a pack, part by part.
pub fn papers(tune: &Tune, stem: &str) -> Vec<PaperPlan> {
    let mut papers = Vec::new();
    for (handout, folder) in folders(tune) {
        let pans: Vec<Option<usize>> =
            if handout.pans.is_empty() { vec![None] } else { handout.pans.iter().copied().map(Some).collect() };
        let mut taken: Vec<String> = Vec::new();
        for pan in &pans {
            let name = pan.map(|pan| tune.band.pans[pan].pan.name.as_str()).filter(|_| pans.len() > 1);
            let mut rest = name.map_or_else(String::new, |name| format!("-{}", file_name(name)));
            if taken.contains(&rest) {
                rest = format!("{rest}-{}", taken.len() + 1);
            }
            taken.push(rest.clone());
            let file = |ending: &str| PathBuf::from(&folder).join(format!("{stem}-{folder}{rest}.{ending}"));
            let whose = name.map_or_else(String::new, |name| format!(" on {name}"));
            let parts = handout.parts.clone();
            papers.push(PaperPlan { page: file("html"), sheet: file("pdf"), parts, pan: *pan, whose });
        }
    }
    papers
}

/// All files of a tune's pack but those that several tunes share, with `/` between folders.
pub fn files(tune: &Tune, stem: &str, ending: &str) -> Vec<String> {
    let mut files = vec![name(&midi(stem))];
    files.extend(tracks(tune, stem, ending).iter().map(|track| name(&track.path)));
    for paper in papers(tune, stem) {
        files.extend([name(&paper.page), name(&paper.sheet)]);
    }
    files
}

/// What the index says about a tune's pack.
pub fn index(tune: &Tune, tracks: &[TrackPlan], papers: &[PaperPlan], stem: &str) -> Index {
    let entry = |path: &Path, what: String| Entry { path: name(path), what };
    let speed = |plan: &TrackPlan| match plan.percent {
        100 => "track, full tempo".to_owned(),
        percent => format!("slow track, {percent} %"),
    };
    let parts = handouts(tune).into_iter().map(|handout| {
        let own = papers.iter().filter(|paper| paper.parts == handout.parts);
        let mut entries: Vec<Entry> =
            own.clone().map(|p| entry(&p.page, format!("practice page{}", p.whose))).collect();
        entries.extend(own.map(|paper| entry(&paper.sheet, format!("sheet to print{}", paper.whose))));
        let mix = Mix::Loud(handout.parts.iter().copied().collect());
        let tracks = tracks.iter().filter(|track| track.mix == mix);
        entries.extend(tracks.map(|plan| entry(&plan.path, speed(plan))));
        Part { name: names(tune, &handout.parts), on: on(tune, &handout.parts), entries }
    });
    let mut everybody: Vec<Entry> =
        tracks.iter().filter(|track| track.mix == Mix::Band).map(|plan| entry(&plan.path, plan.what.clone())).collect();
    everybody.push(entry(&midi(stem), "all parts as MIDI, for programs that print or play notes".to_owned()));
    everybody.push(entry(Path::new("check.txt"), "the check report: what to fix".to_owned()));
    let by = tune.by.as_ref().map(|by| format!("by {by}, ")).unwrap_or_default();
    let about = format!("{by}for {}, key {}, {}, tempo {}", tune.band.name, tune.key, tune.meter, tune.tempo);
    Index { title: tune.title.clone(), about, everybody, parts: parts.collect() }
}

/// The names of some parts, for sentences.
pub fn names(tune: &Tune, parts: &[usize]) -> String {
    words::and(&parts.iter().map(|part| tune.parts[*part].name.as_str()).collect::<Vec<_>>())
}

/// What parts are played on, and by whom.
fn on(tune: &Tune, parts: &[usize]) -> String {
    let one = |part: &usize| match &tune.parts[*part].player {
        Player::Pans { kind, pans } => {
            let names: Vec<String> = pans.iter().map(|pan| tune.band.pans[*pan].pan.name.clone()).collect();
            if names.is_empty() { kind.to_string() } else { format!("{kind}: {}", words::and(&names)) }
        }
        Player::Percussion { instrument, .. } => instrument.to_string(),
    };
    words::and(&parts.iter().map(one).collect::<Vec<_>>())
}

/// A path of the pack with `/` between folders.
fn name(path: &Path) -> String {
    path.display().to_string().replace('\\', "/")
}

/// The MIDI file's place in the pack.
pub fn midi(stem: &str) -> PathBuf {
    PathBuf::from(EVERYBODY).join(format!("{stem}.mid"))
}

/// What is handed out, each with a folder that is named after its parts. Some systems take `Lead` and `lead` for the same name; such
/// names get a number.
fn folders(tune: &Tune) -> Vec<(Handout, String)> {
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
        folders.push((handout, name));
    }
    folders
}

/// The names of the parts, joined by hyphens; if there are more than four, the first ones. The name of a pan's own version has a space
/// and letters of any sort.
fn folder_name(tune: &Tune, parts: &[usize]) -> String {
    let name = |part: &usize| match tune.parts[*part].version {
        None => tune.parts[*part].name.clone(),
        Some(_) => file_name(&tune.parts[*part].name),
    };
    safe(&parts.iter().take(4).map(name).collect::<Vec<_>>().join("-"))
}

/// The lines of the text's table for a tune: file, and what it is.
pub fn rows(tune: &Tune, tracks: &[TrackPlan], papers: &[PaperPlan], stem: &str) -> Vec<Vec<String>> {
    let mut rows = vec![vec![name(&midi(stem)), "all parts as MIDI, for programs that print or play notes".to_owned()]];
    rows.extend(tracks.iter().map(|track| vec![name(&track.path), track.what.clone()]));
    for paper in papers {
        let part = names(tune, &paper.parts);
        rows.push(vec![name(&paper.page), format!("{part}{}: practice page", paper.whose)]);
        rows.push(vec![name(&paper.sheet), format!("{part}{}: sheet to print", paper.whose)]);
    }
    rows
}

/// What the text first says about a tune: its title, by whom, for whom.
pub fn head(tune: &Tune) -> String {
    let by = tune.by.as_ref().map(|by| format!("by {by}\n")).unwrap_or_default();
    format!("{}\n{by}for {}\n", tune.title, tune.band.name)
}

/// The text in the folder that says what is what.
pub fn readme(packs: &[&Packed]) -> String {
    let mut rows = vec![
        vec!["index.html".to_owned(), "all of this with links: open it in a browser".to_owned()],
        vec!["check.txt".to_owned(), "the check report: what to fix".to_owned()],
    ];
    rows.extend(packs.iter().flat_map(|pack| pack.rows.iter().cloned()));
    format!(
        "{}\nOpen the folder with your part's name. Its two tracks have your part loud and the band soft: one at full\n\
         tempo, one slow. Every track begins with a count-in. The practice page (its name ends in .html) shows your\n\
         pan and what to strike, and plays slower or faster: open it in a browser, on a phone or a computer.\n\n{}\n{}\n",
        packs.iter().map(|pack| pack.head.as_str()).collect::<Vec<_>>().join("\n"),
        crate::cli::table::lines(&rows, &[]),
        in_lines(&format!("Mind your ears. {CAUTION}"), 0, WIDTH)
    )
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
            folders(&tune("lead Lead con whole-band bass")).into_iter().map(|(_, name)| name).collect::<Vec<_>>(),
            ["lead", "Lead-2", "con-2", "whole-band-2", "bass"]
        );
    }

    #[test]
    fn file_names_say_what_they_are() {
        let paths: Vec<String> =
            tracks(&tune("lead"), "jam", "wav").iter().map(|track| track.path.display().to_string()).collect();
        let expected = ["whole-band/jam-whole-band.wav", "lead/jam-lead.wav", "lead/jam-lead-slow-70.wav"];
        assert_eq!(paths, expected.map(|path| path.replace('/', std::path::MAIN_SEPARATOR_STR)));
    }
}
