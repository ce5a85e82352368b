//! A font in a PDF: the letters that are used, no others, and which characters they are, so that text can be selected.

use std::collections::BTreeMap;

use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Filter, Finish, Name, Pdf, Rect, Ref, Str};
use subsetter::GlyphRemapper;

use super::font::Weight;

/// How the glyphs of a font are numbered in a PDF: by themselves.
const NUMBERED: SystemInfo = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };

/// Stem widths of the two weights in thousandths of the letters' size, for screens that draw substitutes; estimated.
const STEMS: [f32; 2] = [90.0, 160.0];

/// What of a font is used.
pub struct Used {
    weight: Weight,
    remapper: GlyphRemapper,
    /// The glyphs by their number in the subset: which character, and how wide in letters of one unit.
    glyphs: BTreeMap<u16, (char, f64)>,
}

impl Used {
    /// Nothing yet.
    pub fn new(weight: Weight) -> Self {
        Used { weight, remapper: GlyphRemapper::new(), glyphs: BTreeMap::new() }
    }

    /// A text as the bytes that show it in this font, which from then on has its letters.
    pub fn encode(&mut self, text: &str) -> Vec<u8> {
        let font = self.weight.font();
        let mut bytes = Vec::with_capacity(2 * text.len());
        for c in text.chars() {
            let glyph = font.glyph(c);
            let number = self.remapper.remap(glyph.0);
            // A letter that the font lacks is a box, which stands for no letter in particular.
            let shown = if glyph.0 == 0 { char::REPLACEMENT_CHARACTER } else { c };
            self.glyphs.entry(number).or_insert((shown, font.advance(glyph)));
            bytes.extend(number.to_be_bytes());
        }
        bytes
    }

    /// Writes the font as `id`.
    pub fn embed(&self, pdf: &mut Pdf, id: Ref, next: &mut dyn FnMut() -> Ref) {
        let font = self.weight.font();
        let (cid, descriptor, file, unicode) = (next(), next(), next(), next());
        let subset = subsetter::subset(font.data, 0, &self.remapper)
            .unwrap_or_else(|error| unreachable!("the embedded font can be cut: {error}"));
        let name = format!("{}+{}", self.tag(), font.name);
        let name = Name(name.as_bytes());
        pdf.type0_font(id)
            .base_font(name)
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(cid)
            .to_unicode(unicode);
        let mut of = pdf.cid_font(cid);
        of.subtype(CidFontType::Type2).base_font(name).system_info(NUMBERED).font_descriptor(descriptor);
        of.default_width(0.0).cid_to_gid_map_predefined(Name(b"Identity"));
        let mut widths = of.widths();
        for (number, (_, advance)) in &self.glyphs {
            widths.consecutive(*number, [(1000.0 * advance) as f32]);
        }
        widths.finish();
        of.finish();
        self.describe(pdf, descriptor, name, file);
        let packed = compress_to_vec_zlib(&subset, 6);
        let length = i32::try_from(subset.len()).unwrap_or(i32::MAX);
        pdf.stream(file, &packed).filter(Filter::FlateDecode).pair(Name(b"Length1"), length);
        let mut characters = UnicodeCmap::new(Name(b"Custom"), NUMBERED);
        for (number, (c, _)) in &self.glyphs {
            characters.pair(*number, *c);
        }
        pdf.stream(unicode, &compress_to_vec_zlib(&characters.finish(), 6)).filter(Filter::FlateDecode);
    }

    fn describe(&self, pdf: &mut Pdf, id: Ref, name: Name, file: Ref) {
        let face = &self.weight.font().face;
        let unit = 1000.0 / f32::from(face.units_per_em());
        let scaled = |value: i16| f32::from(value) * unit;
        let bounds = face.global_bounding_box();
        let bounds = [bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max].map(scaled);
        pdf.font_descriptor(id)
            .name(name)
            .flags(FontFlags::SYMBOLIC)
            .bbox(Rect::new(bounds[0], bounds[1], bounds[2], bounds[3]))
            .italic_angle(0.0)
            .ascent(scaled(face.ascender()))
            .descent(scaled(face.descender()))
            .cap_height(scaled(face.capital_height().unwrap_or(face.ascender())))
            .stem_v(STEMS[self.weight as usize])
            .font_file2(file);
    }

    /// Six capitals that tell this subset from others (ISO 32000-1, 9.6.4), from the characters in it.
    fn tag(&self) -> String {
        let mix = |hash: u64, c: u32| (hash ^ u64::from(c)).wrapping_mul(0x0000_0100_0000_01b3);
        let mut hash = self.glyphs.values().fold(0xcbf2_9ce4_8422_2325, |hash, (c, _)| mix(hash, u32::from(*c)));
        let mut letter = || {
            let letter = b'A' + (hash % 26) as u8;
            hash /= 26;
            char::from(letter)
        };
        (0..6).map(|_| letter()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a viewer reads from the bytes with the font's table of characters.
    fn read(used: &Used, bytes: &[u8]) -> String {
        bytes.chunks(2).map(|pair| used.glyphs[&u16::from_be_bytes([pair[0], pair[1]])].0).collect()
    }

    #[test]
    fn text_can_be_read_back() {
        let mut used = Used::new(Weight::Bold);
        for text in ["Sea-Grape Road", "F#5 Bb3", "Ünïcødé ŁÓDŹ Ωмега", "AVA"] {
            let bytes = used.encode(text);
            assert_eq!(read(&used, &bytes), text);
        }
        let missing = used.encode("\u{10ffff}");
        assert_eq!(read(&used, &missing), "\u{fffd}");
    }

    #[test]
    fn subsets_with_other_letters_have_other_tags() {
        let tag = |text: &str| {
            let mut used = Used::new(Weight::Regular);
            used.encode(text);
            used.tag()
        };
        assert_ne!(tag("abc"), tag("abd"));
        assert!(tag("abc").len() == 6 && tag("abc").bytes().all(|b| b.is_ascii_uppercase()));
    }
}
