//! What a pack holds: folders that a player finds on a phone, and files whose names say what they are outside of their folder too.
//!
//! Tracks are for parts; pages and sheets are for the pans that play them, since each player has notes in places of their own.

use std::path::{Path, PathBuf};

use super::archive::Archive;
use super::list::Packed;
use super::wanted::{EVERYBODY, Folder, Wanted};
use crate::cli::screen::in_lines;
use crate::cli::sheet::file_name;
use crate::page::index::{Entry, Index, Part};
use crate::page::write::CAUTION;
use crate::sound::Mix;
use crate::text::words;
use crate::tune::Tune;
use crate::tune::model::Player;

/// How fast the slow track of a part is, in percent of the written tempo: 70, slow enough to follow by ear, fast enough to
/// keep the tune's shape (common practice, no source).
pub const SLOW: u8 = 70;

/// The greatest width of the lines in the pack's text.
const WIDTH: usize = 120;

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
pub fn tracks(tune: &Tune, wanted: &Wanted) -> Vec<TrackPlan> {
    let Some(format) = wanted.format else { return Vec::new() };
    let (stem, ending) = (&wanted.stem, format.ending());
    let file = |folder: &str, rest: &str| PathBuf::from(folder).join(format!("{stem}-{rest}.{ending}"));
    let mut tracks = Vec::new();
    if wanted.everybody {
        tracks.push(TrackPlan {
            path: file(EVERYBODY, EVERYBODY),
            what: "the whole band".to_owned(),
            mix: Mix::Band,
            percent: 100,
        });
    }
    for Folder { name: folder, handout, .. } in &wanted.folders {
        let name = names(tune, &handout.parts);
        for (percent, rest) in [(100, String::new()), (SLOW, format!("-slow-{SLOW}"))] {
            let speed = if percent == 100 { "full tempo".to_owned() } else { format!("slow ({percent} %)") };
            tracks.push(TrackPlan {
                path: file(folder, &format!("{folder}{rest}")),
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
pub fn papers(tune: &Tune, wanted: &Wanted) -> Vec<PaperPlan> {
    let mut papers = Vec::new();
    for Folder { name: folder, handout, pans: wanted_pans } in &wanted.folders {
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
            // A pan that was not asked for has its name all the same, so that those of the others stay.
            if pan.is_some_and(|pan| !wanted_pans.contains(&pan)) {
                continue;
            }
            let file = |ending: &str| PathBuf::from(folder).join(format!("{}-{folder}{rest}.{ending}", wanted.stem));
            let whose = name.map_or_else(String::new, |name| format!(" on {name}"));
            let parts = handout.parts.clone();
            papers.push(PaperPlan { page: file("html"), sheet: file("pdf"), parts, pan: *pan, whose });
        }
    }
    papers
}

/// Every file of a pack but those that several tunes share, with `/` between folders.
pub fn files(tune: &Tune, wanted: &Wanted) -> Vec<String> {
    let contents = contents(tune, wanted);
    if wanted.archives {
        return contents.into_iter().map(|archive| archive.name).collect();
    }
    contents.into_iter().flat_map(|archive| archive.files).collect()
}

/// What is in each folder of a pack, under the name that its archive has.
pub fn contents(tune: &Tune, wanted: &Wanted) -> Vec<Archive> {
    let (tracks, papers) = (tracks(tune, wanted), papers(tune, wanted));
    let everybody = wanted.everybody.then_some(EVERYBODY);
    let contents = |folder: &str| {
        let midi = (folder == EVERYBODY).then(|| midi(&wanted.stem));
        let tracks = tracks.iter().map(|track| &track.path);
        let papers = papers.iter().flat_map(|paper| [&paper.page, &paper.sheet]);
        let own = midi.iter().chain(tracks).chain(papers).filter(|path| path.starts_with(folder));
        Archive { name: wanted.archive(folder), files: own.map(|path| name(path)).collect() }
    };
    everybody.into_iter().chain(wanted.folders.iter().map(|folder| folder.name.as_str())).map(contents).collect()
}

/// What the index says of a tune's pack; how large its files are, and how long, is not known here.
pub fn index(tune: &Tune, wanted: &Wanted, tracks: &[TrackPlan], papers: &[PaperPlan]) -> Index {
    let entry = |path: &Path, what: String| Entry { path: name(path), what, ..Entry::default() };
    let speed = |plan: &TrackPlan| match plan.percent {
        100 => "track, full tempo".to_owned(),
        percent => format!("slow track, {percent} %"),
    };
    let archive = |folder: &str| entry(Path::new(&wanted.archive(folder)), "everything in one archive".to_owned());
    let parts = wanted.folders.iter().map(|folder| {
        let parts = &folder.handout.parts;
        let own = papers.iter().filter(|paper| paper.parts == *parts);
        let mut entries: Vec<Entry> = Vec::new();
        if wanted.archives {
            entries.push(archive(&folder.name));
        } else {
            entries.extend(own.clone().map(|p| entry(&p.page, format!("practice page{}", p.whose))));
            entries.extend(own.map(|paper| entry(&paper.sheet, format!("sheet to print{}", paper.whose))));
            let mix = Mix::Loud(parts.iter().copied().collect());
            let tracks = tracks.iter().filter(|track| track.mix == mix);
            entries.extend(tracks.map(|plan| entry(&plan.path, speed(plan))));
        }
        Part { name: names(tune, parts), on: on(tune, parts), entries }
    });
    let mut everybody: Vec<Entry> = Vec::new();
    if wanted.everybody && wanted.archives {
        everybody.push(archive(EVERYBODY));
    } else if wanted.everybody {
        let band = tracks.iter().filter(|track| track.mix == Mix::Band);
        everybody.extend(band.map(|plan| entry(&plan.path, plan.what.clone())));
        everybody.push(entry(&midi(&wanted.stem), MIDI.to_owned()));
    }
    everybody.push(entry(Path::new("check.txt"), "the check report: what to fix".to_owned()));
    let by = tune.by.as_ref().map(|by| format!("by {by}, ")).unwrap_or_default();
    let about = format!("{by}for {}, key {}, {}, tempo {}", tune.band.name, tune.key, tune.meter, tune.tempo);
    Index { title: tune.title.clone(), about, everybody, parts: parts.collect() }
}

/// What the MIDI file is.
const MIDI: &str = "all parts as MIDI, for programs that print or play notes";

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
pub fn name(path: &Path) -> String {
    path.display().to_string().replace('\\', "/")
}

/// The MIDI file's place in the pack.
pub fn midi(stem: &str) -> PathBuf {
    PathBuf::from(EVERYBODY).join(format!("{stem}.mid"))
}

/// The lines of the text's table for a tune: file, and what it is.
pub fn rows(tune: &Tune, wanted: &Wanted, tracks: &[TrackPlan], papers: &[PaperPlan]) -> Vec<Vec<String>> {
    if wanted.archives {
        let everybody = wanted.everybody.then(|| vec![wanted.archive(EVERYBODY), "the whole band".to_owned()]);
        let own = wanted.folders.iter().map(|folder| {
            let what = format!("{}: everything in one archive", names(tune, &folder.handout.parts));
            vec![wanted.archive(&folder.name), what]
        });
        return everybody.into_iter().chain(own).collect();
    }
    let mut rows = Vec::new();
    if wanted.everybody {
        rows.push(vec![name(&midi(&wanted.stem)), MIDI.to_owned()]);
    }
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
    use super::super::wanted::folders;
    use super::*;
    use crate::cli::track::Format;
    use crate::kit::{self, ONE_LEAD};

    #[test]
    fn file_names_say_what_they_are() {
        let tune = kit::tune(ONE_LEAD, "part lead on lead\nsection a\nlead | C5 |\n");
        let wanted = Wanted {
            stem: "jam".to_owned(),
            format: Some(Format::Wav),
            mono: false,
            folders: folders(&tune),
            everybody: true,
            archives: false,
            strokes: Default::default(),
        };
        let sound: Vec<String> = files(&tune, &wanted).into_iter().filter(|name| name.ends_with(".wav")).collect();
        assert_eq!(sound, ["whole-band/jam-whole-band.wav", "lead/jam-lead.wav", "lead/jam-lead-slow-70.wav"]);
        let archives = Wanted { archives: true, ..wanted };
        assert_eq!(files(&tune, &archives), ["jam-whole-band.zip", "jam-lead.zip"]);
    }
}
