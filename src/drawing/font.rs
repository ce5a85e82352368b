//! The fonts of sheets, and how wide texts are in them.
//!
//! DejaVu Sans Condensed in two weights, free (see `fonts/LICENSE.txt`); it has the letters of most languages, and narrow
//! ones, as cells need.

use std::sync::OnceLock;

use ttf_parser::{Face, GlyphId};

use super::picture::Text;

/// A weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Weight {
    /// Upright.
    Regular,
    /// Bold.
    Bold,
}

/// A font as it was read.
pub struct Font {
    /// The file's bytes.
    pub data: &'static [u8],
    /// Its name in a PDF.
    pub name: &'static str,
    /// The file parsed.
    pub face: Face<'static>,
}

const FILES: [(&[u8], &str); 2] = [
    (include_bytes!("fonts/DejaVuSansCondensed.ttf"), "DejaVuSansCondensed"),
    (include_bytes!("fonts/DejaVuSansCondensed-Bold.ttf"), "DejaVuSansCondensed-Bold"),
];

impl Weight {
    /// Both weights.
    pub const ALL: [Weight; 2] = [Weight::Regular, Weight::Bold];

    /// The weight of a text that is bold or not.
    pub fn of(bold: bool) -> Weight {
        if bold { Weight::Bold } else { Weight::Regular }
    }

    /// The font of this weight.
    pub fn font(self) -> &'static Font {
        static FONTS: OnceLock<[Font; 2]> = OnceLock::new();
        let read = |(data, name): (&'static [u8], &'static str)| {
            let face = Face::parse(data, 0).unwrap_or_else(|error| unreachable!("the embedded font is whole: {error}"));
            Font { data, name, face }
        };
        &FONTS.get_or_init(|| FILES.map(read))[self as usize]
    }

    /// How wide a text is in letters of one unit.
    pub fn width(self, text: &str) -> f64 {
        let font = self.font();
        text.chars().map(|c| font.advance(font.glyph(c))).sum()
    }

    /// How wide a text is with what follows in smaller letters, in its own units.
    pub fn width_of(self, text: &Text) -> f64 {
        text.size * (self.width(&text.text) + text.share * self.width(&text.small))
    }
}

impl Font {
    /// The glyph of a letter; of one that the font lacks, the empty box.
    pub fn glyph(&self, c: char) -> GlyphId {
        self.face.glyph_index(c).unwrap_or(GlyphId(0))
    }

    /// How wide a glyph is in letters of one unit.
    pub fn advance(&self, glyph: GlyphId) -> f64 {
        f64::from(self.face.glyph_hor_advance(glyph).unwrap_or(0)) / f64::from(self.face.units_per_em())
    }
}

/// Breaks a text into lines of at most a width, at spaces; a word that is wider is broken where it has to be.
pub fn wrap(text: &str, weight: Weight, size: f64, width: f64) -> Vec<String> {
    let wide = |text: &str| size * weight.width(text);
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if wide(line) + wide(" ") + wide(word) <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(String::new()),
        }
        let line = lines.last_mut().expect("a line was begun");
        if line.is_empty() {
            put_word(word, &mut lines, &|text| wide(text) <= width);
        }
    }
    lines
}

/// Puts a word on the last line, and on more where it is too wide.
fn put_word(word: &str, lines: &mut Vec<String>, fits: &dyn Fn(&str) -> bool) {
    for c in word.chars() {
        let line = lines.last_mut().expect("a line was begun");
        line.push(c);
        if line.chars().count() > 1 && !fits(line) {
            line.pop();
            lines.push(c.to_string());
        }
    }
}

/// A text cut to a width, with `…` at its end if anything was cut off.
pub fn cut(text: &str, weight: Weight, size: f64, width: f64) -> String {
    if size * weight.width(text) <= width {
        return text.to_owned();
    }
    let mut cut: String = text.to_owned();
    while !cut.is_empty() && size * (weight.width(&cut) + weight.width("…")) > width {
        cut.pop();
    }
    cut.trim_end().to_owned() + "…"
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Advances from the font's own metrics, as fontTools prints them: `A` 1260 and `i` 512 of 2048 (bold: 1426, 631).
    #[test]
    fn widths_are_the_fonts_own() {
        for (weight, letter, advance) in [
            (Weight::Regular, "A", 1260.0),
            (Weight::Regular, "i", 512.0),
            (Weight::Bold, "A", 1426.0),
            (Weight::Bold, "i", 631.0),
        ] {
            assert_eq!(weight.width(letter) * 2048.0, advance, "{letter}");
        }
    }

    #[test]
    fn texts_break_and_are_cut() {
        assert_eq!(wrap("all together now", Weight::Regular, 10.0, 62.0), ["all together", "now"]);
        let long = wrap("abcdefghijklmnop", Weight::Regular, 10.0, 30.0);
        assert_eq!(long.concat(), "abcdefghijklmnop");
        assert!(long.iter().all(|line| 10.0 * Weight::Regular.width(line) <= 30.0));
        assert_eq!(wrap("", Weight::Bold, 10.0, 30.0), [""; 0]);
        assert_eq!(cut("answer the lead", Weight::Regular, 10.0, 500.0), "answer the lead");
        let cut = cut("answer the lead", Weight::Regular, 10.0, 40.0);
        assert!(cut.ends_with('…') && 10.0 * Weight::Regular.width(&cut) <= 40.0);
    }
}
