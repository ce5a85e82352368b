//! The colours of all pictures.
//!
//! Two colours beside ink and paper: a sea green for what sounds now, struck or held, and a burnt orange for what comes next.
//! What is not on this pan is grey and struck through. Each state differs in shape or fill as well, so that the pictures read
//! in grey and to colour-blind eyes. The tests beneath work out every contrast.

/// What a colour is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Ink {
    /// The sheet behind everything.
    Paper,
    /// The screen behind everything: a warm ground, which a printer would spend ink on.
    Ground,
    /// The face of a drum.
    Metal,
    /// Rims and lines that carry meaning.
    Line,
    /// The area of a note, and a cell.
    Note,
    /// The edge of a note or a cell.
    Edge,
    /// Names and other text.
    Text,
    /// Text that is less important.
    Quiet,
    /// A note struck now, and what is written on it.
    Now,
    /// Text on [`Ink::Now`].
    OnNow,
    /// The edge of the next note.
    Next,
    /// A held (rolled) note.
    Held,
    /// Text on [`Ink::Held`].
    OnHeld,
    /// What is not on this pan.
    Absent,
    /// Thin lines between cells.
    Faint,
}

/// Light or dark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Theme {
    /// Dark on light: print, and screens by day.
    Light,
    /// Light on dark.
    Dark,
}

/// A colour: red, green, blue (sRGB).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Colour(pub [u8; 3]);

impl Ink {
    /// All inks.
    pub const ALL: [Ink; 15] = [
        Ink::Paper,
        Ink::Ground,
        Ink::Metal,
        Ink::Line,
        Ink::Note,
        Ink::Edge,
        Ink::Text,
        Ink::Quiet,
        Ink::Now,
        Ink::OnNow,
        Ink::Next,
        Ink::Held,
        Ink::OnHeld,
        Ink::Absent,
        Ink::Faint,
    ];

    /// The colour by day and by night.
    pub fn colour(self, theme: Theme) -> Colour {
        let (light, dark) = match self {
            Ink::Paper => (0xff_ff_ff, 0x14_17_1a),
            Ink::Ground => (0xfb_f7_ee, 0x0f_17_1e),
            Ink::Metal => (0xe9_ed_ef, 0x24_2a_2f),
            Ink::Line => (0x2f_3a_40, 0xc3_cc_d2),
            Ink::Note => (0xff_ff_ff, 0x0f_12_14),
            Ink::Edge => (0x55_60_66, 0x9a_a6_ad),
            Ink::Text => (0x0e_1a_24, 0xf2_f1_ec),
            Ink::Quiet => (0x3f_4a_52, 0xbc_c6_cd),
            // What sounds is green, struck or rolled: the edge tells them apart.
            Ink::Now | Ink::Held => (0x00_56_4c, 0x7f_e0_cd),
            Ink::OnNow | Ink::OnHeld => (0xff_ff_ff, 0x04_21_1c),
            Ink::Next => (0x8a_32_00, 0xff_b2_7a),
            Ink::Absent => (0x4a_4f_55, 0xc9_ce_d2),
            Ink::Faint => (0x8e_96_9b, 0x62_6d_74),
        };
        let [_, r, g, b] = u32::to_be_bytes(if theme == Theme::Light { light } else { dark });
        Colour([r, g, b])
    }
}

impl Colour {
    /// As CSS and SVG write it: `#00564c`.
    pub fn hex(self) -> String {
        let [r, g, b] = self.0;
        format!("#{r:02x}{g:02x}{b:02x}")
    }
}

/// How well colours stand out, which only the tests below ask.
#[cfg(test)]
impl Colour {
    /// Relative luminance, 0 (black) to 1 (white), by WCAG 2.2.
    fn luminance(self) -> f64 {
        let [r, g, b] = self.0.map(|channel| {
            let c = f64::from(channel) / 255.0;
            if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        });
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    /// The contrast with another colour, 1 to 21, by WCAG 2.2.
    fn contrast(self, other: Colour) -> f64 {
        let (a, b) = (self.luminance(), other.luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Which text stands on what: at least 4.5 : 1 (WCAG 2.2, success criterion 1.4.3).
    const TEXTS: [(Ink, Ink); 10] = [
        (Ink::Text, Ink::Paper),
        (Ink::Text, Ink::Note),
        (Ink::Text, Ink::Metal),
        (Ink::Quiet, Ink::Paper),
        (Ink::Quiet, Ink::Note),
        (Ink::Quiet, Ink::Metal),
        (Ink::OnNow, Ink::Now),
        (Ink::OnHeld, Ink::Held),
        (Ink::Absent, Ink::Note),
        (Ink::Absent, Ink::Paper),
    ];

    /// Which shape is told from what: at least 3 : 1 (WCAG 2.2, success criterion 1.4.11).
    const SHAPES: [(Ink, Ink); 17] = [
        (Ink::Faint, Ink::Note),
        (Ink::Faint, Ink::Paper),
        (Ink::Line, Ink::Paper),
        (Ink::Line, Ink::Metal),
        (Ink::Line, Ink::Note),
        (Ink::Edge, Ink::Note),
        (Ink::Edge, Ink::Metal),
        (Ink::Edge, Ink::Paper),
        (Ink::Now, Ink::Note),
        (Ink::Now, Ink::Metal),
        (Ink::Next, Ink::Note),
        (Ink::Next, Ink::Metal),
        (Ink::Held, Ink::Note),
        (Ink::Held, Ink::Metal),
        (Ink::OnHeld, Ink::Held),
        (Ink::Absent, Ink::Note),
        (Ink::Absent, Ink::Metal),
    ];

    /// What is read while playing, on a screen in the sun: at least 7 : 1 (WCAG 2.2, success criterion 1.4.6).
    const READ_WHILE_PLAYING: [(Ink, Ink); 6] = [
        (Ink::Text, Ink::Ground),
        (Ink::Quiet, Ink::Ground),
        (Ink::Now, Ink::Ground),
        (Ink::Next, Ink::Ground),
        (Ink::OnNow, Ink::Now),
        (Ink::Text, Ink::Metal),
    ];

    #[test]
    fn contrasts_are_enough() {
        for theme in [Theme::Light, Theme::Dark] {
            for (least, pairs) in [(7.0, &READ_WHILE_PLAYING[..]), (4.5, &TEXTS[..]), (3.0, &SHAPES[..])] {
                for (over, under) in pairs {
                    let contrast = over.colour(theme).contrast(under.colour(theme));
                    assert!(contrast >= least, "{over:?} on {under:?} by {theme:?}: {contrast:.2}");
                }
            }
        }
    }

    /// WCAG 2.2's own extremes: black and white are 21 : 1, a colour with itself 1 : 1; and #767676 on white is the
    /// well-known lightest grey that passes 4.5 : 1.
    #[test]
    fn contrast_is_the_published_one() {
        let (black, white, grey) = (Colour([0; 3]), Colour([255; 3]), Colour([0x76; 3]));
        assert!((black.contrast(white) - 21.0).abs() < 1e-9);
        assert!((white.contrast(white) - 1.0).abs() < 1e-9);
        assert!(grey.contrast(white) >= 4.5 && Colour([0x77; 3]).contrast(white) < 4.5);
    }
}
