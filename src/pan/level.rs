//! A player's level. What it means in time and millimetres is in [`crate::hands::movement`].

use std::fmt;

/// A player's level, as the band file gives it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Level {
    /// In the first year, or a child.
    Beginner,
    /// Finds the notes without searching; an adult's ordinary hands. Assumed where the band file says nothing.
    #[default]
    Intermediate,
    /// Has played for years.
    Experienced,
}

impl Level {
    /// All of them, from the first on.
    pub const ALL: [Level; 3] = [Level::Beginner, Level::Intermediate, Level::Experienced];

    /// The name in files and on screens.
    pub fn name(self) -> &'static str {
        match self {
            Level::Beginner => "beginner",
            Level::Intermediate => "intermediate",
            Level::Experienced => "experienced",
        }
    }

    /// The level of a name, whatever its case.
    pub fn from_name(name: &str) -> Option<Level> {
        Level::ALL.into_iter().find(|level| level.name() == name.to_lowercase())
    }

    /// With its article, for sentences: `an intermediate player`.
    pub fn somebody(self) -> &'static str {
        match self {
            Level::Beginner => "a beginner",
            Level::Intermediate => "an intermediate player",
            Level::Experienced => "an experienced player",
        }
    }
}

impl fmt::Display for Level {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
