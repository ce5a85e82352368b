//! What a pack holds: folders that a player finds on a phone, and file names that say what they are out of their folder.

use std::path::PathBuf;

use crate::sound::Mix;
use crate::tune::Tune;

/// How fast the slow track of a part is, in percent of what is written: 70, slow enough to follow by ear, fast enough to
/// keep the tune's shape (common practice, no source).
pub const SLOW: u8 = 70;

/// The folder with what is for everybody.
const EVERYBODY: &str = "whole-band";

/// Names that some systems keep for devices, whatever their ending.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];

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
    for (number, folder) in folders(tune).iter().enumerate() {
        let name = &tune.parts[number].name;
        for (percent, rest) in [(100, String::new()), (SLOW, format!("-slow-{SLOW}"))] {
            let speed = if percent == 100 { "full speed".to_owned() } else { format!("slow, {percent} percent") };
            tracks.push(TrackPlan {
                path: file(folder, &format!("{folder}{rest}")),
                what: format!("{name} in front, {speed}"),
                mix: Mix::Front(number),
                percent,
            });
        }
    }
    tracks
}

/// The MIDI file's place in the pack.
pub fn midi(stem: &str) -> PathBuf {
    PathBuf::from(EVERYBODY).join(format!("{stem}.mid"))
}

/// A folder a part, named after it. Some systems take `Lead` and `lead` for one name, and some names for devices; such
/// names get a number.
fn folders(tune: &Tune) -> Vec<String> {
    let mut taken: Vec<String> = vec![EVERYBODY.to_owned()];
    taken.extend(DEVICES.map(String::from));
    taken.extend((0..10).flat_map(|n| [format!("com{n}"), format!("lpt{n}")]));
    let mut folders = Vec::new();
    for part in &tune.parts {
        let mut name = part.name.clone();
        let mut number = 2;
        while taken.contains(&name.to_lowercase()) {
            name = format!("{}-{number}", part.name);
            number += 1;
        }
        taken.push(name.to_lowercase());
        folders.push(name);
    }
    folders
}

/// The text that lies in the pack and says what is what.
pub fn readme(tune: &Tune, tracks: &[TrackPlan], stem: &str) -> String {
    let name = |path: &PathBuf| path.display().to_string().replace('\\', "/");
    let mut rows = vec![
        vec!["check.txt".to_owned(), "what there was to say about the tune on the band's pans".to_owned()],
        vec![name(&midi(stem)), "all parts as MIDI, for programs that print or play notes".to_owned()],
    ];
    rows.extend(tracks.iter().map(|track| vec![name(&track.path), track.what.clone()]));
    let by = tune.by.as_ref().map(|by| format!("by {by}\n")).unwrap_or_default();
    format!(
        "{}\n{by}for {}\n\nTake the folder with your part's name: you hear your part in front and the band behind it, once\n\
         at full speed and once slow. Every track begins with a count-in.\n\n{}\n{}",
        tune.title,
        tune.band.name,
        super::table::lines(&rows, &[]),
        CAUTION
    )
}

/// The usual caution about loudness (the exposure limit that occupational health recommends: NIOSH, publication 98-126).
const CAUTION: &str = "\
Mind your ears. A steel band is loud, and the iron above all; headphones can be as loud. A usual limit at work is 85 dBA
over 8 hours, and half the time for every 3 dB more: at 100 dBA that is a quarter of an hour. Keep headphones low, take
breaks, wear hearing protection in the shed. Local rules come first, and a ringing ear is for a hearing professional.
";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pan::read_band;
    use crate::text::Source;
    use std::sync::Arc;

    fn tune(parts: &str) -> Tune {
        let band = Source::new("band.toml", "name = \"B\"\n[[pan]]\nname = \"P\"\nlayout = \"lead-c\"\n");
        let band = read_band(&band, &mut |_| unreachable!()).0.expect("a band");
        let lines: String = parts.split(' ').map(|part| format!("part {part} on lead\n")).collect();
        let source = Source::new("t.tune", format!("{lines}section a\n{} | C5 |\n", parts.split(' ').next().unwrap()));
        crate::fit::resolve(&crate::notation::parse(&source).0, &Arc::new(band)).0
    }

    #[test]
    fn folders_are_told_apart_everywhere() {
        assert_eq!(
            folders(&tune("lead Lead con whole-band bass")),
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
