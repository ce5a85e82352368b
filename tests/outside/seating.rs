//! Scores that nobody wrote for pans, on a band: which pan each part gets, what shares a pan, what becomes of rows of a few notes.
//! The laws need no source.

use std::sync::Arc;

use panfold::exchange::{self, Imported, Options, SharePans};
use panfold::pan::Band;
use panfold::text::Finding;

use crate::kit::band_in;

/// Two pans: a lead for the tune and cellos.
const TWO: &str = "name = \"B\"\n[[pan]]\nname = \"Red\"\nlayout = \"lead-c\"\nplays = [\"lead\"]\n\
                   [[pan]]\nname = \"Harbour\"\nlayout = \"triple-cello\"\n";

/// A score of parts, each with its name and the notes of its only measure, a quarter note each: `C5`, or `C5+E5` for a chord.
fn score(parts: &[(&str, &str)]) -> Vec<u8> {
    let named = parts.iter().enumerate();
    let list: String = named
        .clone()
        .map(|(n, (name, _))| format!("<score-part id=\"P{n}\"><part-name>{name}</part-name></score-part>"))
        .collect();
    let note = |name: &str, chord: &str| {
        let (step, octave) = name.split_at(1);
        format!("<note>{chord}<pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>1</duration></note>")
    };
    let chord = |cell: &str| {
        let notes: Vec<&str> = cell.split('+').collect();
        let first = note(notes[0], "");
        first + &notes[1..].iter().map(|name| note(name, "<chord/>")).collect::<String>()
    };
    let bodies: String = named
        .map(|(n, (_, cells))| {
            let beats = cells.split_whitespace().count();
            let cells: String = cells.split_whitespace().map(chord).collect();
            format!(
                "<part id=\"P{n}\"><measure number=\"1\"><attributes><divisions>1</divisions><time><beats>{beats}</beats>\
                 <beat-type>4</beat-type></time></attributes>{cells}</measure></part>"
            )
        })
        .collect();
    format!("<score-partwise version=\"4.0\"><part-list>{list}</part-list>{bodies}</score-partwise>").into_bytes()
}

/// A score on a band: the tune, and what is told.
fn on(band: &Arc<Band>, bytes: Vec<u8>, change: impl Fn(&mut Options)) -> (Imported, Vec<String>) {
    let mut options = Options::default();
    change(&mut options);
    let mut music = exchange::read("score", bytes, None).expect("music");
    let imported = exchange::tune(&music.score, Some((band, "band.toml")), "Score", &options, &mut music.lost);
    let imported = imported.expect("a tune");
    let told: Vec<Finding> = music.lost.findings("score", None).into_iter().chain(imported.shared.clone()).collect();
    (imported, told.into_iter().map(|finding| finding.message).collect())
}

/// The parts, each with its pan.
fn pans(imported: &Imported) -> Vec<(&str, &str)> {
    let pan = |seat: &'_ exchange::Seat| seat.pan.unwrap_or(usize::MAX);
    let names = ["Red", "Harbour"];
    imported.parts.iter().map(|(name, seat)| (name.as_str(), names.get(pan(seat)).copied().unwrap_or("?"))).collect()
}

fn rows(imported: &Imported) -> Vec<&str> {
    imported.text.lines().filter(|line| line.contains(" | ")).map(str::trim).collect()
}

/// A viola with a chord of three notes among others, above a bass.
fn spare() -> Vec<u8> {
    score(&[("Viola", "E5 F5 G5 A5 B5 C5+E5+G5 A5 B5"), ("Cello", "C3 C3 C3 C3 C3 C3 C3 C3")])
}

#[test]
fn the_third_note_of_a_chord_is_told_and_is_nobodys_part() {
    let band = band_in("arrangements", TWO);
    let (imported, told) = on(&band, spare(), |_| {});
    assert_eq!(pans(&imported), [("lead", "Red"), ("cello", "Harbour")]);
    assert!(rows(&imported)[0].contains("G5+E5") || rows(&imported)[0].contains("E5+G5"), "{}", imported.text);
    let is_told = told.iter().any(|told| told.contains("measure 1: a note for which no stick is free is left out"));
    assert!(is_told, "{told:?}");
}

#[test]
fn kept_it_is_a_part_of_its_own_that_takes_no_lead() {
    let band = band_in("arrangements", TWO);
    let (imported, told) = on(&band, spare(), |options| options.keep_all = true);
    assert_eq!(pans(&imported), [("lead", "Red"), ("viola", "Harbour"), ("cello", "Harbour")]);
    assert!(!told.iter().any(|told| told.contains("no stick is free")), "{told:?}");
}

#[test]
fn a_spare_note_goes_where_a_stick_is_free() {
    // Two voices of one part, one of which has a single note while the other rests, and a single one beside another.
    let voice = "<backup><duration>8</duration></backup>";
    let text = String::from_utf8(score(&[("Viola", "E5 F5 G5 A5 B5 C5 A5 B5")])).expect("text");
    let second = |lead: u8| {
        format!(
            "{voice}<forward><duration>{lead}</duration><voice>2</voice></forward><note><pitch><step>G</step><octave>4</octave>\
             </pitch><duration>1</duration><voice>2</voice></note></measure>"
        )
    };
    let band = band_in("arrangements", TWO);
    let (imported, told) = on(&band, text.replace("</measure>", &second(5)).into_bytes(), |_| {});
    assert_eq!(imported.parts.len(), 1);
    assert!(rows(&imported)[0].contains("G4+C5"), "{}", imported.text);
    assert!(told.iter().any(|told| told.contains("goes to a stick that is free")), "{told:?}");
}

#[test]
fn too_few_pans_are_told_and_parts_are_merged_where_that_is_asked_for() {
    let band = band_in("arrangements", TWO);
    let three = || score(&[("Flute", "C6 D6 E6 D6"), ("Viola", "D4 E4 D4 E4"), ("Bass", "C3 C3 D3 C3")]);
    let (imported, told) = on(&band, three(), |_| {});
    assert_eq!(pans(&imported), [("lead", "Red"), ("viola", "Harbour"), ("bass", "Harbour")]);
    assert!(told.iter().any(|told| told == "3 parts on 2 pans: `viola` and `bass` share `Harbour`"), "{told:?}");
    let (imported, told) = on(&band, three(), |options| options.share_pans = SharePans::Merged);
    assert_eq!(pans(&imported), [("lead", "Red"), ("viola", "Harbour")]);
    assert!(told.iter().any(|told| told == "`viola` and `bass` become one part at `Harbour`"), "{told:?}");
    assert!(rows(&imported)[1].contains("C3+D4 C3+E4 D3+D4 C3+E4"), "{}", imported.text);
}

#[test]
fn merged_parts_strike_no_more_than_two_notes_and_say_what_is_left_out() {
    let band = band_in("arrangements", TWO);
    let four = score(&[("Flute", "C6 D6 E6 D6"), ("Viola", "D4+B3 E4 D4 E4"), ("Bass", "C3 C3 D3 C3")]);
    let (imported, told) = on(&band, four, |options| options.share_pans = SharePans::Merged);
    assert!(rows(&imported)[1].contains("C3+D4 C3+E4 D3+D4 C3+E4"), "{}", imported.text);
    assert!(told.iter().any(|told| told.contains("a third note at once is left out")), "{told:?}");
}

#[test]
fn merged_rows_of_different_rhythm_strike_when_either_does() {
    let band = band_in("arrangements", TWO);
    let text = String::from_utf8(score(&[("Flute", "C6 D6 E6 D6"), ("Viola", "D4 E4 D4 E4"), ("Bass", "C3 C3 C3 C3")]));
    // The bass has two halves.
    let quarter = "<octave>3</octave></pitch><duration>1</duration></note>";
    let text = text.expect("text");
    let (before, bass) = text.split_at(text.find("<part id=\"P2\">").expect("the bass"));
    let note = format!("<note><pitch><step>C</step>{quarter}");
    let halves = bass.replacen(&note.repeat(4), &note.replace("<duration>1", "<duration>2").repeat(2), 1);
    let merged = |options: &mut Options| options.share_pans = SharePans::Merged;
    let (imported, _) = on(&band, (before.to_owned() + &halves).into_bytes(), merged);
    assert!(rows(&imported)[1].contains("C3+D4 E4 C3+D4 E4"), "{}", imported.text);
}

#[test]
fn parts_share_a_pan_of_their_own_will_only_where_that_keeps_strokes() {
    let band = band_in(
        "arrangements",
        &TWO.replace("layout = \"triple-cello\"\n", "kind = \"triple-cello\"\nnotes = \"C3 D3\"\n"),
    );
    let two = || score(&[("Flute", "C5 D5 E5 F5"), ("Viola", "E4 F4 G4 A4")]);
    let (imported, told) = on(&band, two(), |_| {});
    assert_eq!(pans(&imported).iter().map(|(_, pan)| *pan).collect::<Vec<_>>(), ["Harbour", "Red"]);
    assert!(
        told.iter().any(|told| told.contains("with a pan for each part 2 strokes are missing in every octave; 0 if")),
        "{told:?}"
    );
    let (imported, told) = on(&band, two(), |options| options.share_pans = SharePans::Rows);
    assert_eq!(pans(&imported).iter().map(|(_, pan)| *pan).collect::<Vec<_>>(), ["Red", "Red"]);
    assert!(told.iter().any(|told| told.contains("share `Red`, so that fewer strokes are missing")), "{told:?}");
}
