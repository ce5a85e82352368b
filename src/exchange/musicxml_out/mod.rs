//! A tune as MusicXML 4.0, partwise: the whole score, or some of its parts.
//!
//! What the standard leaves open is done like this:
//! - A roll is a tremolo of one note with three strokes: the most that notation has, for "as fast as possible", and the way rolls
//!   are written for drums (common practice, no source). Every note of a tied row bears it. All that is rolled has it, whether a `~` or its
//!   length asks for it: a guest doesn't know the band's rule.
//! - A stick is `other-technical` with the text L or R, since the standard has no sign for it.
//! - Marks for the whole band (sections, tempos, chords, words) are written with the first part, marked as the system's.
//! - Beams, stems and spacing are left to the reader.
//!
//! - `timeline`: the form on paper, with its repeats, and each part's notes through it;
//! - `values`, `measures`: exact lengths as notes, dots, ties and tuplets, every measure full;
//! - `marks`: the marks over and under the notes; `spelling`: clefs and accidentals;
//! - `xml`, `score`, `directions`: the document; `container`: the document in its container.

pub mod container;
mod directions;
mod marks;
mod measures;
mod paper;
mod score;
mod spelling;
#[cfg(test)]
mod tests;
pub mod timeline;
pub(in crate::exchange) mod values;
mod xml;

use self::marks::Placed;
use self::measures::FilledPart;
use self::paper::Paper;
pub use self::paper::SOFTWARE;
use self::score::PartOut;
use self::spelling::Clef;
use self::timeline::Held;
use self::xml::Xml;
use crate::music::Length;
use crate::tune::Tune;
use crate::tune::model::{Player, Struck};

/// The document type of MusicXML 4.0's partwise documents.
const DOCTYPE: &str = r#"score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd""#;

/// The largest number of divisions of a quarter note that a whole score shares. Beyond it, each measure has its own, so that
/// several odd bars don't multiply to numbers that readers can't hold. Our own setting.
const COMMON_DIVISIONS: i64 = 1 << 15;

/// A tune as a MusicXML document; `None` when there is nothing to write: no part, or no bar that is played.
///
/// - `parts`: the numbers of the parts that are written, in their order.
pub fn write(tune: &Tune, parts: &[usize]) -> Option<Vec<u8>> {
    let stretches = timeline::folded(tune, parts);
    let measures = measures::measures(&stretches);
    if parts.is_empty() || measures.is_empty() {
        return None;
    }
    let marks = marks::marks(tune, &stretches, &measures);
    let paper = Paper { stretches: &stretches, measures: &measures };
    let parts: Vec<PartOut> = (1..).zip(parts).map(|(number, part)| part_out(tune, *part, number, &paper)).collect();
    let filled: Vec<FilledPart> = parts.iter().map(|part| measures::fill(&measures, &part.notes)).collect();
    let divisions = divisions(&filled, &marks, measures.len());

    let mut xml = Xml::new(Some(DOCTYPE));
    let no_pan = parts.iter().all(|part| part.clef == Clef::Percussion);
    xml.open("score-partwise", &[("version", "4.0")]);
    score::head(&mut xml, tune, &parts);
    for (number, (part, pieces)) in parts.iter().zip(&filled).enumerate() {
        xml.within("part", &[("id", &part.id)], |xml| {
            let mut writer = score::PartWriter::new(xml, part, &paper, &divisions, no_pan && number == 0);
            for (measure, (pieces, marks)) in pieces.iter().zip(&marks).enumerate() {
                let shown: Vec<Placed> =
                    marks.iter().copied().filter(|placed| number == 0 || placed.mark.for_every_part()).collect();
                writer.measure(measure, pieces, &shown);
            }
        });
    }
    xml.close("score-partwise");
    Some(xml.finish())
}

fn part_out<'a>(tune: &'a Tune, part: usize, number: usize, paper: &Paper<'a>) -> PartOut<'a> {
    let notes: Vec<Held> = timeline::notes(tune, part, paper.stretches);
    let pitches = notes.iter().flat_map(|note| match &note.event.struck {
        Struck::Notes(notes) => notes.as_slice(),
        Struck::Mark(_) => &[],
    });
    let of = &tune.parts[part];
    let clef = match of.player {
        Player::Pans { .. } => Clef::of(pitches.map(|note| note.pitch)),
        Player::Percussion { .. } => Clef::Percussion,
    };
    PartOut { part: of, id: format!("P{number}"), notes, clef }
}

/// How many divisions a quarter note has in each measure, so that everything in it falls on one.
fn divisions(filled: &[FilledPart], marks: &[Vec<Placed>], measures: usize) -> Vec<i64> {
    use num_integer::Integer;
    let denominator = |length: Length| *length.ratio().denom();
    let needed: Vec<i64> = (0..measures)
        .map(|measure| {
            let pieces = filled.iter().flat_map(|part| &part[measure]);
            let lengths =
                pieces.flat_map(|piece| [piece.start, piece.length]).chain(marks[measure].iter().map(|m| m.at));
            lengths.fold(1, |all: i64, length| all.lcm(&denominator(length)))
        })
        .collect();
    let common = needed.iter().try_fold(1i64, |all, needed| {
        let common = all.lcm(needed);
        (common <= COMMON_DIVISIONS).then_some(common)
    });
    match common {
        Some(common) => vec![common; measures],
        None => needed,
    }
}
