//! A picture: shapes and texts, each by what it is; how that looks is told by [`super::look`].

use super::look::{Part, State};

/// A picture with its size. Units are the picture's own: millimetres for a pan, points (1/72 inch) for a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// Least `x` and least `y` of what is shown.
    pub origin: (f64, f64),
    /// Width and height of what is shown.
    pub size: (f64, f64),
    /// The CSS unit of its size when it stands alone; empty for pixels.
    pub unit: &'static str,
    /// What it shows, for those who can't see it: one line.
    pub title: String,
    /// More about it; may be empty.
    pub description: String,
    /// What is drawn, in order.
    pub items: Vec<Item>,
}

/// Something drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// A shape or text.
    Shape(Part, Form),
    /// Things that belong together, such as a note with its name.
    Group(Group),
    /// A picture within the picture: its items, moved and scaled.
    Placed {
        /// Where its origin comes.
        at: (f64, f64),
        /// How many units of this picture one of the other's is.
        scale: f64,
        /// What it shows.
        items: Vec<Item>,
    },
}

/// Things that belong together.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// What it is: its class in SVG.
    pub class: &'static str,
    /// More classes: lasting facts, such as `off` for a note out of tune.
    pub facts: Vec<&'static str>,
    /// What it is doing.
    pub state: State,
    /// An id in SVG; may be empty.
    pub id: String,
    /// Data attributes in SVG: names without `data-`, and values.
    pub data: Vec<(&'static str, String)>,
    /// What it is, for those who can't see it; may be empty.
    pub title: String,
    /// What is drawn.
    pub items: Vec<Item>,
}

/// The form of a shape.
#[derive(Clone, Debug, PartialEq)]
pub enum Form {
    /// An ellipse, turned clockwise by `turn` degrees.
    Ellipse {
        /// Its middle.
        centre: (f64, f64),
        /// Half its width and half its height before it is turned.
        radii: (f64, f64),
        /// Degrees.
        turn: f64,
    },
    /// A rectangle with rounded corners.
    Rectangle {
        /// Its upper left corner.
        at: (f64, f64),
        /// Width and height.
        size: (f64, f64),
        /// The radius of its corners.
        round: f64,
    },
    /// A line from place to place; closed when the last is the first.
    Line(Vec<(f64, f64)>),
    /// A text on one line.
    Text(Text),
}

/// A text on one line.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Where its base line begins, is in the middle, or ends.
    pub at: (f64, f64),
    /// The height of the letters (em).
    pub size: f64,
    /// Where `at` is.
    pub anchor: Anchor,
    /// What it says.
    pub text: String,
    /// What follows in smaller letters: the octave of a note.
    pub small: String,
    /// The size of the smaller letters, as a share of the others: [`SMALL`] mostly.
    pub share: f64,
}

/// The usual size of the smaller letters in a text, as a share of the others.
pub const SMALL: f64 = 0.62;

/// Which point of a text its place is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// The left end.
    Start,
    /// The middle.
    Middle,
    /// The right end.
    End,
}

impl Text {
    /// A text with its middle at a place.
    pub fn middle(at: (f64, f64), size: f64, text: impl Into<String>) -> Form {
        Form::Text(Text { at, size, anchor: Anchor::Middle, text: text.into(), small: String::new(), share: SMALL })
    }

    /// A text that begins at a place.
    pub fn start(at: (f64, f64), size: f64, text: impl Into<String>) -> Form {
        Form::Text(Text { at, size, anchor: Anchor::Start, text: text.into(), small: String::new(), share: SMALL })
    }

    /// A text that ends at a place.
    pub fn end(at: (f64, f64), size: f64, text: impl Into<String>) -> Form {
        Form::Text(Text { at, size, anchor: Anchor::End, text: text.into(), small: String::new(), share: SMALL })
    }
}

impl Group {
    /// A group of a class without more.
    pub fn new(class: &'static str, items: Vec<Item>) -> Group {
        Group {
            class,
            facts: Vec::new(),
            state: State::Plain,
            id: String::new(),
            data: Vec::new(),
            title: String::new(),
            items,
        }
    }
}
