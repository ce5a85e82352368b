//! Points, and what drums and notes look like from above, in millimetres.

/// A place: millimetres from the player.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// To the player's right.
    pub x: f64,
    /// Towards the player; what lies in front is negative.
    pub y: f64,
}

impl Point {
    /// How far it is to another place, in mm.
    pub fn distance(self, other: Point) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }
}

/// What a drum looks like from above.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outline {
    /// A drum whose notes' places are known.
    Round {
        /// Half its inside diameter, in mm.
        radius: f64,
    },
    /// A drum whose notes are known, but not their places: tiles in rows, an octave a row, the lowest nearest to the player.
    Rows {
        /// Half the width of all rows, in mm.
        half_width: f64,
        /// Half their height, in mm.
        half_height: f64,
    },
}

/// The area of a note.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Area {
    /// An oval on a drum's face.
    Oval {
        /// Half its width along the rim, in mm.
        along: f64,
        /// Half its depth towards the drum's middle, in mm.
        deep: f64,
        /// How far it is turned clockwise, in degrees; 0 means that its width lies along the player's shoulders.
        turn: f64,
    },
    /// A tile, where only the note is known.
    Tile {
        /// Half its width, in mm.
        half_width: f64,
        /// Half its height, in mm.
        half_height: f64,
    },
}

impl Area {
    /// Half the width and half the height of the box that holds it, in mm.
    pub fn half_box(self) -> (f64, f64) {
        match self {
            Area::Oval { along, deep, turn } => {
                let (sin, cos) = turn.to_radians().sin_cos();
                ((along * cos).hypot(deep * sin), (along * sin).hypot(deep * cos))
            }
            Area::Tile { half_width, half_height } => (half_width, half_height),
        }
    }
}
