//! Kinds of pan, and the names that the trade has for them.
//!
//! Words differ from place to place (a lead is a tenor in Trinidad, a soprano elsewhere), so the other names are understood too.

use std::fmt;

/// A kind of pan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[expect(missing_docs, reason = "the kinds are named with the trade's own words")]
pub enum PanKind {
    Lead,
    DoubleTenor,
    DoubleSecond,
    DoubleGuitar,
    TripleGuitar,
    TripleCello,
    Quadrophonic,
    TenorBass,
    SixBass,
    NineBass,
    PingPong,
}

impl PanKind {
    /// All kinds, the highest first; the old ping-pong last.
    pub const ALL: [PanKind; 11] = [
        PanKind::Lead,
        PanKind::DoubleTenor,
        PanKind::DoubleSecond,
        PanKind::DoubleGuitar,
        PanKind::TripleGuitar,
        PanKind::TripleCello,
        PanKind::Quadrophonic,
        PanKind::TenorBass,
        PanKind::SixBass,
        PanKind::NineBass,
        PanKind::PingPong,
    ];

    /// The kind's name in files and on screens.
    pub fn name(self) -> &'static str {
        self.names()[0]
    }

    /// All names that are understood for it, the one that panfold uses first. Synonyms are common practice; those of the
    /// leads, seconds and double tenors are reported from the Trinidad and Tobago glossary's draft.
    pub fn names(self) -> &'static [&'static str] {
        match self {
            PanKind::Lead => &["lead", "tenor", "soprano", "lead-pan", "low-tenor", "high-tenor", "melody"],
            PanKind::DoubleTenor => &["double-tenor", "double-tenors", "alto"],
            PanKind::DoubleSecond => &["double-second", "double-seconds", "second", "seconds"],
            PanKind::DoubleGuitar => &["double-guitar", "double-guitars", "guitar", "guitars"],
            PanKind::TripleGuitar => &["triple-guitar", "triple-guitars", "three-guitar"],
            PanKind::TripleCello => &["triple-cello", "three-cello", "cello", "cellos", "triple-cellos"],
            PanKind::Quadrophonic => &["quadrophonic", "quadrophonics", "quad", "quads", "four-pan"],
            PanKind::TenorBass => &["tenor-bass", "tenor-basses"],
            PanKind::SixBass => &["six-bass", "six-basses", "bass", "basses"],
            PanKind::NineBass => &["nine-bass", "nine-basses"],
            PanKind::PingPong => &["ping-pong", "pingpong"],
        }
    }

    /// The kind of a name, whatever its case; spaces and underscores count as hyphens.
    pub fn from_name(name: &str) -> Option<PanKind> {
        let name: String = name.to_lowercase().replace([' ', '_'], "-");
        PanKind::ALL.into_iter().find(|kind| kind.names().contains(&name.as_str()))
    }

    /// Whether it belongs to the background: a bass, whose notes ring long.
    pub fn is_bass(self) -> bool {
        matches!(self, PanKind::TenorBass | PanKind::SixBass | PanKind::NineBass)
    }

    /// Whether it carries tunes: a lead or a ping-pong.
    pub fn is_lead(self) -> bool {
        matches!(self, PanKind::Lead | PanKind::PingPong)
    }

    /// Whether it is a middle pan, between the leads and the basses: a pan that strums.
    pub fn is_middle(self) -> bool {
        !self.is_lead() && !self.is_bass()
    }
}

impl fmt::Display for PanKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
