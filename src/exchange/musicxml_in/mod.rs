//! MusicXML as a score: both shapes (by part and by measure), plain or in a `.mxl` container.
//!
//! Source: *MusicXML 4.0*, W3C Music Notation Community Group. A file that is not well-formed MusicXML is refused. What a tune can't say
//! is brought as near as its notes allow, and reported with its place:
//!
//! - Rests that overfill a bar are cut to the meter, once any meter is given; notes never are.
//! - An unknown chord becomes the one with the most notes that all lie in it, never the chord before; without any, no chord.
//! - A tuplet whose durations are rounded is what its note value and time modification say; `backup` and `forward` still count as the
//!   file does.
//! - Words ask to go back where the words for it stand first or last; elsewhere they are reported.
//! - Without a tempo there are 120 quarters a minute, as in MIDI.
//!
//! - `xml`: the document as a tree, with limits; `container`: `.mxl`;
//! - `part`: one part, measure by measure; `signs`: everything beside and above its notes;
//! - `gridded`: times moved onto a grid, where that is asked for; `play_order`: repeats and jumps played out.

pub mod container;
mod elements;
mod gridded;
mod part;
mod play_order;
mod signs;
mod xml;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use num_rational::Ratio;
use roxmltree::{Document, Node};

use self::elements::{PartInfo, child, child_text, refuse};
use self::gridded::Gridded;
use self::part::{Head, PartReader, ReadPart};
use self::play_order::{Signs, play_order};
use crate::exchange::again;
use crate::exchange::findings::{TOO_MUCH_MUSIC, WRONG_MUSIC_FILE};
use crate::exchange::limits::{MAX_MEASURES, MAX_PART_MEASURES, MAX_PARTS, MAX_QUARTERS};
use crate::exchange::lost::{Lost, Weight, Where};
use crate::exchange::musicxml_out::SOFTWARE;
use crate::exchange::quantise::Grid;
use crate::exchange::rows::Rows;
use crate::exchange::score::{Measure, On, Part, Score};
use crate::exchange::voices::STICKS;
use crate::music::{Key, Length, Meter};
use crate::notation::limits::MAX_TOGETHER;
use crate::pan::{Instrument, PanKind};
use crate::text::{Finding, Source, words};

/// A score and what was lost on the way, with the text for places.
#[derive(Debug)]
pub struct Read {
    /// The music.
    pub score: Score,
    /// What a tune can't say about it.
    pub lost: Lost,
    /// The text of the file.
    pub source: Arc<Source>,
}

/// Reads MusicXML. `name` is what messages call the file; `grid` is the grid that all times are moved onto, if one is asked for.
///
/// # Errors
/// When the bytes are not MusicXML, or go beyond a limit.
pub fn read(name: &str, bytes: Vec<u8>, grid: Option<&Grid>) -> Result<Read, Box<Finding>> {
    let source = if container::is_zip(&bytes) { container::score(name, &bytes)? } else { xml::text(name, bytes)? };
    let document = xml::parse(&source)?;
    let mut lost = Lost::default();
    let score = score(&document, &source, grid, &mut lost)?;
    drop(document);
    Ok(Read { score, lost, source })
}

impl PartInfo {
    /// The kind of pan that its instrument is named after, if it is one.
    fn kind(&self) -> Option<PanKind> {
        let name = self.instruments.values().next().filter(|_| self.instruments.len() == 1)?;
        PanKind::ALL.into_iter().find(|kind| kind.name() == name)
    }

    /// The instrument of the engine room that the names of its instruments begin with.
    fn percussion(&self) -> Option<Instrument> {
        let name = self.instruments.values().next().filter(|_| self.is_percussion)?;
        Instrument::from_name(name.split_whitespace().next()?)
    }
}

fn score(
    document: &Document,
    source: &Arc<Source>,
    grid: Option<&Grid>,
    lost: &mut Lost,
) -> Result<Score, Box<Finding>> {
    let root = document.root_element();
    let ours = is_ours(root);
    let infos = part_list(root, ours);
    let written = match root.tag_name().name() {
        "score-partwise" => partwise(root),
        "score-timewise" => timewise(root),
        other => {
            let message =
                format!("`{}` is XML, but no MusicXML score: its outermost element is `{other}`", source.name());
            return Err(refuse(source, root, &WRONG_MUSIC_FILE, message));
        }
    };
    let count = written.iter().map(|(_, measures)| measures.len()).max().unwrap_or(0);
    if count == 0 {
        let message = format!("`{}` has no measure", source.name());
        return Err(refuse(source, root, &WRONG_MUSIC_FILE, message));
    }
    if count > MAX_MEASURES || written.len() > MAX_PARTS || count * written.len() > MAX_PART_MEASURES {
        let (parts, measures) = (words::count(written.len(), "part"), words::count(count, "measure"));
        let message = format!("`{}` has {parts} of {measures}, more than panfold can take", source.name());
        return Err(refuse(source, root, &TOO_MUCH_MUSIC, message));
    }
    let mut read = Vec::with_capacity(written.len());
    for (id, measures) in &written {
        let info = infos.get(*id).cloned().unwrap_or_default();
        read.push((info.clone(), PartReader::new(source, &info, lost).read(measures)?));
    }
    assemble(document, source, read, count, grid, lost)
}

/// The measures of each part, by the part's id.
type Parts<'a, 'i> = Vec<(&'a str, Vec<Node<'a, 'i>>)>;

fn partwise<'a, 'i>(root: Node<'a, 'i>) -> Parts<'a, 'i> {
    let parts = root.children().filter(|node| node.has_tag_name("part"));
    let measures = |part: Node<'a, 'i>| part.children().filter(|node| node.has_tag_name("measure")).collect();
    parts.map(|part| (part.attribute("id").unwrap_or(""), measures(part))).collect()
}

fn timewise<'a, 'i>(root: Node<'a, 'i>) -> Parts<'a, 'i> {
    let mut parts: Parts = Vec::new();
    for measure in root.children().filter(|node| node.has_tag_name("measure")) {
        for part in measure.children().filter(|node| node.has_tag_name("part")) {
            let id = part.attribute("id").unwrap_or("");
            match parts.iter_mut().find(|(known, _)| *known == id) {
                Some((_, measures)) => measures.push(part),
                None => parts.push((id, vec![part])),
            }
        }
    }
    parts
}

/// Whether panfold wrote a score: it says so where the standard has programs say it.
fn is_ours(root: Node) -> bool {
    let encoding = child(root, "identification").and_then(|node| child(node, "encoding"));
    encoding.and_then(|encoding| child_text(encoding, "software")) == Some(SOFTWARE)
}

fn part_list(root: Node, ours: bool) -> BTreeMap<String, PartInfo> {
    let list = child(root, "part-list");
    let parts = list.into_iter().flat_map(|list| list.children()).filter(|node| node.has_tag_name("score-part"));
    parts.map(|part| (part.attribute("id").unwrap_or("").to_owned(), part_info(part, ours))).collect()
}

fn part_info(part: Node, ours: bool) -> PartInfo {
    let name = child_text(part, "part-name").unwrap_or("").to_owned();
    let mut info = PartInfo { name, ours, ..PartInfo::default() };
    for node in part.children() {
        let id = node.attribute("id").unwrap_or("").to_owned();
        match node.tag_name().name() {
            "score-instrument" => {
                let name = child_text(node, "instrument-name").unwrap_or("").to_owned();
                info.instruments.insert(id, name);
            }
            "midi-instrument" => {
                info.is_percussion |= child_text(node, "midi-channel") == Some("10");
                // MusicXML counts keys from 1 here.
                let key = child_text(node, "midi-unpitched").and_then(|key| key.parse::<u8>().ok());
                if let Some(key) = key.and_then(|key| key.checked_sub(1)) {
                    info.unpitched.insert(id, key);
                }
            }
            _ => {}
        }
    }
    if info.name.is_empty()
        && let Some(name) = info.instruments.values().next()
    {
        info.name.clone_from(name);
    }
    info
}

/// Combines the parts into a score: measures as long as their longest part, voices as parts of their own.
fn assemble(
    document: &Document,
    source: &Arc<Source>,
    read: Vec<(PartInfo, ReadPart)>,
    count: usize,
    grid: Option<&Grid>,
    lost: &mut Lost,
) -> Result<Score, Box<Finding>> {
    let root = document.root_element();
    let mut measures = measures(&read, count, lost);
    let mut gridded = grid.map(Gridded::new);
    if let Some(gridded) = &mut gridded {
        gridded.measures(&mut measures);
    }
    let swing = read.iter().find_map(|(_, part)| part.swing);
    let mut score =
        Score { title: title(root), by: creator(root), swing, ours: is_ours(root), measures, ..Score::default() };
    let starts = score.starts();
    let long = |length: &Length| {
        length.ratio() > Ratio::from_integer(MAX_QUARTERS) || *length.ratio().denom() > crate::exchange::limits::FINEST
    };
    if starts.iter().any(long) {
        let message = format!("the measures of `{}` are too long or have no common note value", source.name());
        return Err(refuse(source, root, &TOO_MUCH_MUSIC, message));
    }
    let mut signs: Vec<Signs> = vec![Signs::default(); count];
    for (_, part) in &read {
        for (all, own) in signs.iter_mut().zip(&part.signs) {
            merge(all, own);
        }
    }
    score.order = play_order(&signs).map_err(|_| {
        let message = format!("the repeats of `{}` played out have more than {MAX_MEASURES} measures", source.name());
        refuse(source, root, &TOO_MUCH_MUSIC, message)
    })?;
    let rows = Rows { starts: &starts, together: if score.ours { MAX_TOGETHER } else { STICKS } };
    for (number, (info, part)) in read.into_iter().enumerate() {
        let voices = part.notes(&starts);
        let kind = info.kind();
        if voices.is_empty() && score.ours {
            let on = info.percussion().map_or(On::Pan, On::Percussion);
            score.parts.push(Part { name: info.name.clone(), from: number + 1, on, kind, notes: Vec::new() });
        }
        // Of several instruments in one part each is called by its own name.
        let one = voices.len() == 1 && !info.name.is_empty();
        for ((on, _), mut notes) in voices {
            if let Some(gridded) = &mut gridded {
                gridded.notes(&info.name, &mut notes, &starts);
            }
            let name = match on {
                On::Percussion(instrument) if !one => instrument.name().to_owned(),
                _ => info.name.clone(),
            };
            let part = Part { name, from: number + 1, on, kind, notes: Vec::new() };
            rows.add(&mut score, &part, &info.name, notes, lost);
        }
    }
    if let Some(gridded) = gridded {
        gridded.tell(lost);
    }
    if score.parts.is_empty() {
        return Err(refuse(source, root, &WRONG_MUSIC_FILE, format!("`{}` has no notes", source.name())));
    }
    if score.parts.len() > MAX_PARTS {
        let message = format!("`{}` has more than {MAX_PARTS} voices", source.name());
        return Err(refuse(source, root, &TOO_MUCH_MUSIC, message));
    }
    again::fold(&mut score);
    Ok(score)
}

/// What holds for all parts in each measure: the first part that says something counts.
fn measures(read: &[(PartInfo, ReadPart)], count: usize, lost: &mut Lost) -> Vec<Measure> {
    let (mut meter, mut key, mut tempo, mut is_given) = (Meter::default(), Key::default(), None, false);
    let sings = read.iter().position(|(_, part)| part.heads.iter().any(|head| !head.lyrics.is_empty()));
    let swells = read.iter().position(|(_, part)| part.heads.iter().any(|head| !head.dynamics.is_empty()));
    tell_others(read, sings, swells, lost);
    let mut measures = Vec::with_capacity(count);
    for number in 0..count {
        let heads = || read.iter().filter_map(|(_, part)| part.heads.get(number));
        meter = heads().find_map(|head| head.meter).unwrap_or(meter);
        key = heads().find_map(|head| head.key).unwrap_or(key);
        tempo = heads().find_map(|head| head.tempo).or(tempo);
        is_given |= heads().any(|head| head.meter.is_some());
        // Rests are cut to the meter, notes never are.
        let most = |head: &Head| if is_given { head.sounds.max(meter.bar()) } else { head.length };
        let length = heads().map(|head| head.length.min(most(head))).max();
        let length = length.filter(|length| !length.is_zero()).unwrap_or(meter.bar());
        tell_cut(read, number, length, lost);
        let mut chords: Vec<_> =
            heads().map(|head| &head.chords).find(|chords| !chords.is_empty()).cloned().unwrap_or_default();
        chords.retain(|(start, _)| *start < length);
        chords.sort_by_key(|(start, _)| *start);
        let head = |part: Option<usize>| part.and_then(|part| read[part].1.heads.get(number));
        let mut dynamics = head(swells).map(|head| head.dynamics.clone()).unwrap_or_default();
        dynamics.retain(|(start, _)| *start < length);
        dynamics.sort_by_key(|(start, _)| *start);
        let lyrics = head(sings).map_or("", |head| head.lyrics.trim());
        // Words that stand in every staff are one cue.
        let mut seen = BTreeSet::new();
        let cues = heads().flat_map(|head| &head.cues).map(String::as_str);
        let cues: Vec<&str> = cues.filter(|cue| seen.insert(*cue)).collect();
        let words = match (cues.is_empty(), lyrics.is_empty()) {
            (true, _) => lyrics.to_owned(),
            (false, true) => cues.join(", "),
            (false, false) => format!("({}) {lyrics}", cues.join(", ")),
        };
        let mark = heads().find_map(|head| head.mark.clone());
        measures.push(Measure { length, meter, key, tempo, mark, chords, words, dynamics });
    }
    measures
}

/// Reports the parts whose rests are longer than the measure has become.
fn tell_cut(read: &[(PartInfo, ReadPart)], number: usize, length: Length, lost: &mut Lost) {
    let measure = (number + 1).to_string();
    for (info, _) in read.iter().filter(|(_, part)| part.heads.get(number).is_some_and(|head| head.length > length)) {
        let at = Where { part: &info.name, measure: &measure, span: None };
        lost.tell(Weight::Slight, "rests that are too long for the meter are cut to the bar", at);
    }
}

/// A tune has one row of words and one of dynamics, for the whole band.
fn tell_others(read: &[(PartInfo, ReadPart)], sings: Option<usize>, swells: Option<usize>, lost: &mut Lost) {
    for (number, (info, part)) in read.iter().enumerate() {
        for (index, head) in part.heads.iter().enumerate() {
            let measure = (index + 1).to_string();
            let at = Where { part: &info.name, measure: &measure, span: None };
            if !head.lyrics.is_empty() && sings != Some(number) {
                lost.tell(Weight::Slight, "the words of one part are taken; this part's are left out", at);
            }
            let taken = swells.and_then(|part| read[part].1.heads.get(index)).map(|head| &head.dynamics);
            if !head.dynamics.is_empty() && taken != Some(&head.dynamics) {
                lost.tell(Weight::Slight, "the dynamics of one part are taken for all; this part's are left out", at);
            }
        }
    }
}

/// What one part says about the order of playing holds for all.
fn merge(all: &mut Signs, own: &Signs) {
    all.repeat_from |= own.repeat_from;
    all.repeat_to = all.repeat_to.or(own.repeat_to);
    if all.ending.is_empty() {
        all.ending.clone_from(&own.ending);
    }
    all.ending_stops |= own.ending_stops;
    all.segno |= own.segno;
    all.coda |= own.coda;
    all.to_coda |= own.to_coda;
    all.fine |= own.fine;
    all.jump = all.jump.or(own.jump);
}

fn title(root: Node) -> Option<String> {
    let work = child(root, "work").and_then(|work| child_text(work, "work-title"));
    let movement = child_text(root, "movement-title");
    let filled = |text: &&str| !text.is_empty();
    movement.filter(filled).or(work.filter(filled)).map(str::to_owned)
}

fn creator(root: Node) -> Option<String> {
    let creators = child(root, "identification")?.children().filter(|node| node.has_tag_name("creator"));
    let named = creators.filter_map(|node| Some((node.attribute("type"), node.text()?.trim())));
    let named: Vec<_> = named.filter(|(_, name)| !name.is_empty()).collect();
    let of = |wanted: &str| named.iter().find(|(kind, _)| *kind == Some(wanted));
    of("composer").or_else(|| of("arranger")).map(|(_, name)| (*name).to_owned())
}
