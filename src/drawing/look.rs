//! How each part of a picture looks, and how it shows what a note is doing.
//!
//! | state | area | more |
//! | --- | --- | --- |
//! | plain | empty, thin edge | |
//! | now | filled dark, name in light | |
//! | next | empty, thick dashed edge | |
//! | held | filled dark, name in light | an edge of beads |
//! | absent | empty, thin dashed edge | a line through it |

use super::ink::Ink;

/// What a shape or text is; its class in SVG ([`Part::class`]).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Part {
    /// The sheet behind everything.
    Paper,
    /// A drum, or the tray of a pan of which only the notes are known.
    Drum,
    /// The rim of a drum that is drawn as an object.
    Rim,
    /// The shadow under a note that stands out of its drum.
    Shade,
    /// The light on the upper edge of such a note.
    Shine,
    /// The area of a note, or the disc of a stroke.
    Area,
    /// The rim of a note that is struck, as wide as it is struck often.
    Often,
    /// The line through what is not on the pan.
    Cross,
    /// A note's name.
    Name,
    /// The letter of the stick; empty until a note is lit.
    Stick,
    /// How many cents a note is off.
    Cents,
    /// The arrow of a note that is off: up for sharp, down for flat.
    Flag,
    /// The mark of where the player stands.
    Player,
    /// A line of text about the picture.
    Caption,
    /// A cell of a row.
    Cell,
    /// What is struck in a cell: its name.
    Struck,
    /// The line along what is held, straight or (a roll) zigzag.
    Lasting,
    /// The thick line of a long rest.
    LongRest,
    /// The wedge over an accent.
    Accent,
    /// Where a beat begins.
    Beat,
    /// Where a bar begins or ends.
    Bar,
    /// The count over the cells.
    Count,
    /// A chord's name.
    Chord,
    /// A cue, or words that are sung.
    Words,
    /// A dynamic mark, the number of a bar, and other small print.
    Small,
    /// The name of a tune or a section.
    Heading,
    /// A thin line between things.
    Rule,
}

/// What a note or a cell is doing: a second class in SVG ([`State::class`]).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum State {
    /// Nothing.
    #[default]
    Plain,
    /// Struck now.
    Now,
    /// The next to be struck.
    Next,
    /// Held by a roll.
    Held,
    /// Not on this pan, or not to be played on it.
    Absent,
}

/// How something looks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    /// What it is filled with; for a text, what it is written in.
    pub fill: Option<Ink>,
    /// Its edge.
    pub edge: Option<Edge>,
    /// Whether a text is bold.
    pub bold: bool,
}

/// An edge or line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge {
    /// Its ink.
    pub ink: Ink,
    /// Its width, in the picture's units.
    pub width: f64,
    /// Stroke and gap of a dashed line; `(0, gap)` gives round dots.
    pub dash: Option<(f64, f64)>,
}

impl Part {
    /// All parts.
    pub const ALL: [Part; 27] = [
        Part::Paper,
        Part::Drum,
        Part::Rim,
        Part::Shade,
        Part::Shine,
        Part::Area,
        Part::Often,
        Part::Cross,
        Part::Name,
        Part::Stick,
        Part::Cents,
        Part::Flag,
        Part::Player,
        Part::Caption,
        Part::Cell,
        Part::Struck,
        Part::Lasting,
        Part::LongRest,
        Part::Accent,
        Part::Beat,
        Part::Bar,
        Part::Count,
        Part::Chord,
        Part::Words,
        Part::Small,
        Part::Heading,
        Part::Rule,
    ];

    /// The class in SVG.
    pub fn class(self) -> &'static str {
        match self {
            Part::Paper => "paper",
            Part::Drum => "drum",
            Part::Rim => "steel",
            Part::Shade => "shade",
            Part::Shine => "shine",
            Part::Area => "area",
            Part::Often => "often",
            Part::Cross => "cross",
            Part::Name => "name",
            Part::Stick => "stick",
            Part::Cents => "cents",
            Part::Flag => "flag",
            Part::Player => "player",
            Part::Caption => "caption",
            Part::Cell => "box",
            Part::Struck => "struck",
            Part::Lasting => "lasting",
            Part::LongRest => "long-rest",
            Part::Accent => "accent",
            Part::Beat => "beat",
            Part::Bar => "bar",
            Part::Count => "count",
            Part::Chord => "chord",
            Part::Words => "words",
            Part::Small => "fine",
            Part::Heading => "heading",
            Part::Rule => "rule",
        }
    }

    /// How it looks in a group of this state; `None`: it is not shown.
    #[expect(clippy::match_same_arms, reason = "a row for each, so that the table can be read")]
    pub fn look(self, state: State) -> Option<Look> {
        let written = match state {
            State::Now => Ink::OnNow,
            State::Held => Ink::OnHeld,
            _ => Ink::Text,
        };
        Some(match self {
            Part::Paper => filled(Ink::Paper),
            Part::Drum => filled(Ink::Metal).edged(Ink::Line, 7.0, None),
            Part::Rim => filled(Ink::Metal).edged(Ink::Line, 4.0, None),
            Part::Shade => filled(Ink::Edge),
            Part::Shine => filled(Ink::Note),
            Part::Area => area(state),
            Part::Often => filled(Ink::Line),
            Part::Cross if state == State::Absent => lined(Ink::Absent, 4.0, None),
            Part::Cross => return None,
            Part::Name => filled(written).bold(),
            Part::Stick => filled(written).bold(),
            Part::Cents if matches!(state, State::Plain | State::Absent) => filled(Ink::Quiet),
            Part::Cents => return None,
            Part::Flag if matches!(state, State::Plain) => filled(Ink::Quiet),
            Part::Flag => return None,
            Part::Player => filled(Ink::Quiet),
            Part::Caption | Part::Count | Part::Small => filled(Ink::Quiet),
            Part::Cell => cell(state),
            Part::Struck => filled(written).bold(),
            Part::Lasting => lined(written, 1.1, None),
            Part::LongRest => lined(Ink::Text, 4.0, None),
            Part::Accent => lined(written, 1.2, None),
            Part::Beat => lined(Ink::Line, 0.9, None),
            Part::Bar => lined(Ink::Line, 1.8, None),
            Part::Chord | Part::Heading => filled(Ink::Text).bold(),
            Part::Words => filled(Ink::Text),
            Part::Rule => lined(Ink::Faint, 0.6, None),
        })
    }
}

fn area(state: State) -> Look {
    match state {
        State::Plain => filled(Ink::Note).edged(Ink::Edge, 3.0, None),
        State::Now => filled(Ink::Now).edged(Ink::Now, 5.0, None),
        State::Next => filled(Ink::Note).edged(Ink::Next, 8.0, Some((16.0, 8.0))),
        State::Held => filled(Ink::Held).edged(Ink::Held, 9.0, Some((0.0, 11.0))),
        State::Absent => filled(Ink::Note).edged(Ink::Absent, 3.0, Some((7.0, 5.0))),
    }
}

fn cell(state: State) -> Look {
    match state {
        State::Plain => filled(Ink::Note).edged(Ink::Faint, 0.35, None),
        State::Now => filled(Ink::Now).edged(Ink::Now, 1.0, None),
        State::Next => filled(Ink::Note).edged(Ink::Next, 1.6, Some((3.2, 2.6))),
        State::Held => filled(Ink::Held).edged(Ink::Held, 2.0, Some((0.0, 3.0))),
        State::Absent => filled(Ink::Note).edged(Ink::Absent, 1.0, Some((2.0, 1.8))),
    }
}

fn filled(ink: Ink) -> Look {
    Look { fill: Some(ink), edge: None, bold: false }
}

fn lined(ink: Ink, width: f64, dash: Option<(f64, f64)>) -> Look {
    Look { fill: None, edge: Some(Edge { ink, width, dash }), bold: false }
}

impl Look {
    fn edged(self, ink: Ink, width: f64, dash: Option<(f64, f64)>) -> Look {
        Look { edge: Some(Edge { ink, width, dash }), ..self }
    }

    fn bold(self) -> Look {
        Look { bold: true, ..self }
    }
}

impl State {
    /// All states.
    pub const ALL: [State; 5] = [State::Plain, State::Now, State::Next, State::Held, State::Absent];

    /// The class in SVG; none for a plain one.
    pub fn class(self) -> Option<&'static str> {
        match self {
            State::Plain => None,
            State::Now => Some("now"),
            State::Next => Some("next"),
            State::Held => Some("held"),
            State::Absent => Some("absent"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What of a look is no colour: whether it is filled dark, how its edge is drawn, and whether it is crossed out.
    fn shape(part: Part, state: State) -> (bool, String, bool) {
        let area = part.look(state).expect("an area is always shown");
        let edge = area.edge.map(|edge| format!("{} {:?}", edge.width, edge.dash));
        let shown = |part: Part| part.look(state).is_some();
        (area.fill != Some(Ink::Note), edge.unwrap_or_default(), shown(Part::Cross))
    }

    #[test]
    fn states_differ_without_their_colours() {
        for a in State::ALL {
            for b in State::ALL {
                for part in [Part::Area, Part::Cell] {
                    let alike = shape(part, a) == shape(part, b);
                    assert!(a == b || !alike, "{a:?} and {b:?} look alike in grey");
                }
            }
        }
    }
}
