//! Paper, and how large it is written on.

/// The size of the paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 210 by 297 mm (ISO 216).
    #[default]
    A4,
    /// 297 by 420 mm (ISO 216).
    A3,
    /// 8.5 by 11 inches (ANSI/ASME Y14.1, size A).
    Letter,
    /// 11 by 17 inches (ANSI/ASME Y14.1, size B).
    Tabloid,
}

/// From how far away a sheet is read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Size {
    /// In the hand.
    #[default]
    Hand,
    /// On a stand, an arm's length away.
    Stand,
    /// On the wall, by several players; the paper lies on its side.
    Wall,
}

/// How a sheet is printed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Format {
    /// The paper.
    pub paper: Paper,
    /// From how far away it is read.
    pub size: Size,
}

impl From<Paper> for Format {
    fn from(paper: Paper) -> Format {
        Format { paper, ..Format::default() }
    }
}

impl Paper {
    /// Width and height in points (1/72 inch), upright.
    pub fn points(self) -> (f64, f64) {
        let mm = |mm: f64| mm / 25.4 * 72.0;
        match self {
            Paper::A4 => (mm(210.0), mm(297.0)),
            Paper::A3 => (mm(297.0), mm(420.0)),
            Paper::Letter => (8.5 * 72.0, 11.0 * 72.0),
            Paper::Tabloid => (11.0 * 72.0, 17.0 * 72.0),
        }
    }
}

impl Size {
    /// All sizes.
    pub const ALL: [Size; 3] = [Size::Hand, Size::Stand, Size::Wall];

    /// How large names in cells are at least, in points. What is read at 40 cm in letters of 9.5 points fills as much of the eye at
    /// 60 cm in letters of 14, and at a metre in letters of 24.
    pub fn name(self) -> f64 {
        match self {
            Size::Hand => 9.5,
            Size::Stand => 14.0,
            Size::Wall => 24.0,
        }
    }

    /// By how much rows may be drawn larger where that takes no more pages, from the largest. In the hand nobody needs that: what is
    /// left goes to the pan.
    pub(super) fn growth(self) -> &'static [f64] {
        match self {
            Size::Hand => &[],
            Size::Stand => &[1.3, 1.2, 1.1],
            Size::Wall => &[1.7, 1.5, 1.35, 1.2, 1.1],
        }
    }
}
