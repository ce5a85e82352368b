//! What a sound file says of itself: tags, and markers at moments.

use crate::music::count;
use crate::performance::Performance;

use super::settings::Settings;
use crate::text::signs;

/// A tag of a file: its name (`TITLE`, `ARTIST` …) and its text.
pub type Tag = (String, String);

/// A named moment of a track.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Marker {
    /// The sample at which it stands.
    pub frame: u64,
    /// What begins there.
    pub name: String,
}

/// The usual tags: the tune, who made it, the part that a mix is for, and the tempo at the start.
pub fn tags(performance: &Performance, settings: &Settings) -> Vec<Tag> {
    let tag = |name: &str, text: &str| (name.to_owned(), signs::plain(text));
    let mut tags = vec![tag("TITLE", &performance.title)];
    tags.extend(performance.by.iter().map(|by| tag("ARTIST", by)));
    if let Some(own) = settings.mix.own() {
        let own = performance.voices.iter().filter(|voice| voice.part.is_some_and(|part| own.has(part)));
        let names: Vec<&str> = own.map(|voice| voice.name.as_str()).collect();
        tags.extend((!names.is_empty()).then(|| tag("PART", &names.join(", "))));
    }
    tags.push(tag("BPM", &performance.tempo.at(performance.begin).tempo.to_string()));
    tags
}

/// The sections as played (a drill's steps), each where it begins.
pub fn markers(performance: &Performance, rate: u32) -> Vec<Marker> {
    let frame = |at| count((performance.tempo.seconds(at) * f64::from(rate)).round()) as u64;
    let sections = performance.sections.iter();
    sections.map(|section| Marker { frame: frame(section.at), name: signs::plain(&section.name) }).collect()
}

/// Markers as tags, for formats that have no other place for them: `CHAPTER001=00:00:02.000`, `CHAPTER001NAME=verse`, as
/// is usual for Vorbis comments.
pub fn chapters(markers: &[Marker], rate: u32) -> Vec<Tag> {
    let mut tags = Vec::with_capacity(2 * markers.len());
    for (number, marker) in (1..1000).zip(markers) {
        let thousandths = marker.frame * 1000 / u64::from(rate);
        let (seconds, rest) = (thousandths / 1000, thousandths % 1000);
        let time = format!("{:02}:{:02}:{:02}.{rest:03}", seconds / 3600, seconds / 60 % 60, seconds % 60);
        tags.push((format!("CHAPTER{number:03}"), time));
        tags.push((format!("CHAPTER{number:03}NAME"), marker.name.clone()));
    }
    tags
}
