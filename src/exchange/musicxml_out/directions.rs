//! Everything over and under the notes, as MusicXML elements.

use super::marks::MarkOut;
use super::values::Value;
use super::xml::{Attributes, Xml};
use crate::music::pitch::Tone;
use crate::music::{Chord, Length, Meter, Tempo};

/// Over the staff; for the whole system, so that it is printed once.
const SYSTEM: Attributes<'static> = &[("placement", "above"), ("system", "only-top")];

/// Under the staff.
const BELOW: Attributes<'static> = &[("placement", "below")];

/// Writes a mark; `offset` is how many divisions it comes after the note that follows it in the document.
pub fn write(xml: &mut Xml, mark: MarkOut, offset: i64) {
    let direction = |xml: &mut Xml, place: Attributes, fill: &dyn Fn(&mut Xml), sound: &dyn Fn(&mut Xml)| {
        xml.within("direction", place, |xml| {
            xml.within("direction-type", &[], fill);
            if offset != 0 {
                xml.text("offset", offset);
            }
            sound(xml);
        });
    };
    let silent = |_: &mut Xml| {};
    match mark {
        MarkOut::Section(name) => direction(xml, SYSTEM, &|xml| xml.text("rehearsal", name), &silent),
        MarkOut::Words(text) => direction(xml, SYSTEM, &|xml| xml.text("words", text), &silent),
        MarkOut::Times(times) => direction(xml, SYSTEM, &|xml| xml.text("words", format!("{times} times")), &silent),
        MarkOut::Tempo(tempo, meter) => {
            let quarters = decimal(tempo.quarters_a_minute(meter));
            let sound = |xml: &mut Xml| xml.empty("sound", &[("tempo", &quarters)]);
            direction(xml, SYSTEM, &|xml| metronome(xml, tempo, meter), &sound);
        }
        MarkOut::Swing(ratio, meter) => {
            let words = |xml: &mut Xml| xml.text("words", format!("swing {}:{}", ratio.0, ratio.1));
            direction(xml, SYSTEM, &words, &|xml| swing(xml, ratio, meter));
        }
        MarkOut::Dynamic(dynamic) => {
            let fill = |xml: &mut Xml| xml.within("dynamics", &[], |xml| xml.empty(dynamic.word(), &[]));
            direction(xml, BELOW, &fill, &silent);
        }
        MarkOut::Wedge(grows) => {
            let kind = if grows { "crescendo" } else { "diminuendo" };
            direction(xml, BELOW, &|xml| xml.empty("wedge", &[("type", kind)]), &silent);
        }
        MarkOut::WedgeEnds => direction(xml, BELOW, &|xml| xml.empty("wedge", &[("type", "stop")]), &silent),
        MarkOut::Chord(chord) => harmony(xml, chord, offset),
    }
}

fn decimal(number: num_rational::Ratio<i64>) -> String {
    (*number.numer() as f64 / *number.denom() as f64).to_string()
}

fn metronome(xml: &mut Xml, tempo: Tempo, meter: Meter) {
    xml.within("metronome", &[], |xml| {
        let beat = Value::of(meter.beat()).expect("a beat is a note, plain or dotted");
        xml.text("beat-unit", beat.name());
        for _ in 0..beat.dots {
            xml.empty("beat-unit-dot", &[]);
        }
        xml.text("per-minute", tempo);
    });
}

/// The standard knows swung eighths and 16ths. With other beats only the words say it, and dotted beats are never swung.
fn swing(xml: &mut Xml, ratio: (u8, u8), meter: Meter) {
    let halves = [(Length::quarters(1, 1), "eighth"), (Length::quarters(1, 2), "16th")];
    let Some((_, name)) = halves.into_iter().find(|(beat, _)| *beat == meter.beat()) else {
        // An empty element tells these words from a cue.
        return xml.empty("sound", &[]);
    };
    xml.within("sound", &[], |xml| {
        xml.within("swing", &[], |xml| {
            xml.text("first", ratio.0);
            xml.text("second", ratio.1);
            xml.text("swing-type", name);
        });
    });
}

/// A chord symbol. Its text is as in the tune; what the standard's kinds lack is added as degrees, which are not shown again.
fn harmony(xml: &mut Xml, chord: Option<Chord>, offset: i64) {
    xml.within("harmony", SYSTEM, |xml| {
        match chord {
            // A chord symbol must have a root, even where there is no chord; one without a text is not shown.
            None => {
                xml.within("root", &[], |xml| xml.text_with("root-step", &[("text", "")], "C"));
                xml.text_with("kind", &[("text", "N.C.")], "none");
            }
            Some(chord) => {
                tone(xml, "root", chord.root);
                xml.text_with("kind", &[("text", chord.kind.suffixes[0])], chord.kind.musicxml);
                if let Some(bass) = chord.bass {
                    tone(xml, "bass", bass);
                }
                for (value, alter, kind) in chord.kind.degrees {
                    xml.within("degree", &[("print-object", "no")], |xml| {
                        xml.text("degree-value", value);
                        xml.text("degree-alter", alter);
                        xml.text("degree-type", kind.musicxml());
                    });
                }
            }
        }
        if offset != 0 {
            xml.text("offset", offset);
        }
    });
}

fn tone(xml: &mut Xml, name: &str, tone: Tone) {
    xml.within(name, &[], |xml| {
        xml.text(&format!("{name}-step"), tone.letter.to_char());
        if tone.alter != 0 {
            xml.text(&format!("{name}-alter"), tone.alter);
        }
    });
}
