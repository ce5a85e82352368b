//! How long a stick takes from note to note, how fast one hand repeats, how far a player reaches: the model of the hands.
//!
//! A stick that goes from one note to another takes `a + b · log2(distance / width + 1)` (Fitts's law in Shannon's form,
//! after MacKenzie, Human-Computer Interaction 7, 1992): the longer and the narrower the target, the longer. The distance is
//! from middle to middle, the width is the target's along the way. Two strokes of a hand never follow each other sooner than
//! the hand can repeat. Both figures are for one hand and two successive strokes; the other hand moves freely meanwhile.

use crate::music::Pitch;
use crate::pan::geometry::{Area, Geometry, NotePlace, Point};
use crate::pan::{Level, Pan};

/// The constants of the movement law: milliseconds, and milliseconds a bit.
///
/// Least squares over the 16 cells of Fitts's reciprocal tapping table, 1-oz stylus (J. Exp. Psychol. 47, 1954, Table 1; the
/// cells from memory, held by their published regression). The worst cell is 41 ms off: 2 inches to a target 2 inches wide, 139
/// ms for people's 180. Fitts's own form (12.8 and 94.7) misses that cell by 73 ms. `tests/outside` computes this anew.
pub const INTERCEPT_MS: f64 = 27.7;
/// See [`INTERCEPT_MS`].
pub const SLOPE_MS: f64 = 111.5;

/// How fast a hand repeats in one place, and how its movements compare with those of Fitts's subjects.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figures {
    /// Strokes that one hand repeats on one note, a second, one after the other.
    pub repeats: f64,
    /// The same for two strokes and no more: a double.
    pub double: f64,
    /// The time of a movement as a share of what the law says.
    pub movement: f64,
    /// How fast the body turns, in degrees a second.
    pub turning: f64,
}

/// The figures of a level.
///
/// Repeating: 3 a second is a six-year-old's rate (norm tables, from memory); 5 to 7 a second the usual limits of one hand
/// (Fujii, Kudo, Ohtsuki and Oda, Neurosci. Lett. 459, 2009), the lower for intermediate players and the upper for experienced players.
///
/// Doubles: two quick strokes of a hand come faster than a series; drummers give 16 strokes a second of both hands in doubles,
/// which is 16 a second within a double (a teaching text). Rubber sticks on a pan bounce less; 5, 8 and 12 are common practice,
/// no source. Intermediate players strum doubled sixteenths at the usual tempos of calypso and soca.
///
/// Movement: Fitts's subjects were adults without special practice. That an intermediate player, who knows where the notes lie, takes nine
/// tenths of their time, and beginners four tenths more, is common practice, no source. Experienced players are taken to move faster than
/// intermediate players by as much as they repeat faster, 7 to 5: 0.643. With that they play scales in sixteenths at 140 on a single lead,
/// but only at 100 to 120 on sets of two drums, where the best bands go faster (common practice, no source): one more reason why
/// `check` calls a stroke impossible only where it is far too fast.
///
/// Turning: our own settings, no source. At 300 degrees a second eighths across a six bass can be played at 120, and sixteenths
/// can't (common practice); that holds up to 336 degrees a second. Beginners are assumed to turn a third slower, and experienced
/// players a tenth faster, which is still below that.
pub fn figures(level: Level) -> Figures {
    match level {
        Level::Beginner => Figures { repeats: 3.0, double: 5.0, movement: 1.4, turning: 200.0 },
        Level::Intermediate => Figures { repeats: 5.0, double: 8.0, movement: 0.9, turning: 300.0 },
        Level::Experienced => Figures { repeats: 7.0, double: 12.0, movement: 0.9 * 5.0 / 7.0, turning: 330.0 },
    }
}

/// More than a hand does in a series: 10 strokes a second is the rate of a contest's winner (Fujii and Moritani, J. Electromyogr. Kinesiol.
/// 22, 2012).
pub const FASTEST_REPEATS: f64 = 10.0;

/// How much slower than possible is comfortable: at 85 % of the highest tempo (common practice, no source).
pub const COMFORTABLE: f64 = 0.85;

/// How far to either side of straight ahead a player strikes without turning the body, in degrees (common practice, no
/// source: the same drum and its neighbours are within arm's reach).
pub(crate) const SIDEWARDS: f64 = 60.0;

/// How far apart two notes may lie that one player strikes together, in mm: what both arms reach with a stick each without a step, at
/// any level (our own assumption; no source). Strums are chosen within it, and `check` warns of written notes beyond it.
pub const SPAN: f64 = 1300.0;

/// A note of a pan, by its number in the pan's [`Hands`].
pub type Place = u16;

/// A player's hands at a pan: everything that depends only on the pan and the level.
#[derive(Clone, Debug)]
pub struct Hands {
    level: Level,
    notes: Vec<NotePlace>,
    /// From each note to each, in microseconds: the row is where it comes from.
    need: Vec<i64>,
    /// The same in millimetres.
    way: Vec<i64>,
    longest: i64,
    repeat: i64,
    double: i64,
}

impl Hands {
    /// The hands of a player of a level at a pan; notes that can't be played are left out. Cost: O(notes²).
    pub fn new(pan: &Pan, level: Level) -> Hands {
        let notes: Vec<NotePlace> = Geometry::of(pan).notes.into_iter().filter(|note| !note.dead).collect();
        let repeat = micros(1.0 / figures(level).repeats);
        let count = notes.len();
        let (mut need, mut way) = (Vec::with_capacity(count * count), Vec::with_capacity(count * count));
        for from in &notes {
            for to in &notes {
                let distance = from.centre.distance(to.centre);
                let time = move_time(distance, width_along(to, from.centre), level);
                need.push(micros(time).max(repeat));
                way.push(distance.round() as i64);
            }
        }
        let longest = need.iter().copied().max().unwrap_or(repeat);
        let double = micros(1.0 / figures(level).double);
        Hands { level, notes, need, way, longest, repeat, double }
    }

    /// The player's level.
    pub fn level(&self) -> Level {
        self.level
    }

    /// How many notes there are.
    pub fn notes(&self) -> usize {
        self.notes.len()
    }

    /// The number of a note; `None` when the pan lacks it.
    pub fn place(&self, pitch: Pitch) -> Option<Place> {
        self.notes.iter().position(|note| note.pitch == pitch).and_then(|i| Place::try_from(i).ok())
    }

    /// Where a note lies.
    pub fn note(&self, place: Place) -> &NotePlace {
        &self.notes[usize::from(place)]
    }

    /// The least time between two strokes of one hand, in microseconds.
    pub fn need(&self, from: Place, to: Place) -> i64 {
        self.need[usize::from(from) * self.notes.len() + usize::from(to)]
    }

    /// How far it is, in whole millimetres.
    pub fn way(&self, from: Place, to: Place) -> i64 {
        self.way[usize::from(from) * self.notes.len() + usize::from(to)]
    }

    /// How far it is from middle to middle, in millimetres.
    pub fn apart(&self, a: Place, b: Place) -> f64 {
        self.note(a).centre.distance(self.note(b).centre)
    }

    /// The longest of all [`Hands::need`].
    pub fn longest(&self) -> i64 {
        self.longest
    }

    /// The time between two strokes of one hand on one note, in microseconds.
    pub fn repeat(&self) -> i64 {
        self.repeat
    }

    /// The time between the two strokes of a double, in microseconds.
    pub fn double(&self) -> i64 {
        self.double
    }

    /// To the player's right, in whole millimetres.
    pub fn right(&self, place: Place) -> i64 {
        self.note(place).centre.x.round() as i64
    }

    /// The direction of a note as the player sees it, in degrees clockwise from straight ahead.
    pub fn direction(&self, place: Place) -> f64 {
        let at = self.note(place).centre;
        at.x.atan2(-at.y).to_degrees()
    }

    /// How fast the player's body turns, in degrees a second.
    pub(crate) fn turning(&self) -> f64 {
        figures(self.level).turning
    }
}

/// How long a hand of a level takes to a target of a width, in seconds. Grows with the distance and with narrowness.
///
/// - `distance`: from middle to middle, in mm;
/// - `width`: of the target along the way, in mm.
pub(crate) fn move_time(distance: f64, width: f64, level: Level) -> f64 {
    figures(level).movement * law(distance, width)
}

/// How long the law itself says that people take, in seconds.
pub fn law(distance: f64, width: f64) -> f64 {
    (INTERCEPT_MS + SLOPE_MS * (distance / width.max(1.0) + 1.0).log2()) / 1000.0
}

/// How wide a note is along the line from another place through its middle, in mm.
fn width_along(note: &NotePlace, from: Point) -> f64 {
    let (x, y) = (note.centre.x - from.x, note.centre.y - from.y);
    let length = x.hypot(y);
    let (x, y) = if length > 0.0 { (x / length, y / length) } else { (1.0, 0.0) };
    match note.area {
        Area::Oval { along, deep, turn } => {
            // The direction as the oval sees it.
            let (sin, cos) = turn.to_radians().sin_cos();
            let (u, v) = (x * cos + y * sin, y * cos - x * sin);
            2.0 / (u / along).hypot(v / deep)
        }
        Area::Tile { half_width, half_height } => {
            2.0 * (half_width / x.abs().max(1e-9)).min(half_height / y.abs().max(1e-9))
        }
    }
}

fn micros(seconds: f64) -> i64 {
    (seconds * 1e6).round() as i64
}

#[cfg(test)]
#[path = "movement_costs_tests.rs"]
mod costs_tests;
#[cfg(test)]
mod tests {
    use super::*;
    use crate::pan::layout;

    #[test]
    fn farther_and_narrower_takes_longer_and_nothing_is_faster_than_repeating() {
        for level in Level::ALL {
            let mut before = 0.0;
            for distance in 1..60 {
                let time = move_time(f64::from(distance) * 20.0, 80.0, level);
                assert!(time > before && time < move_time(f64::from(distance) * 20.0, 60.0, level));
                before = time;
            }
            let hands = Hands::new(layout("lead-c").expect("a layout"), level);
            let least = hands.need.iter().min().expect("notes");
            assert_eq!(*least, hands.repeat());
            assert!(hands.repeat() as f64 > 1e6 / FASTEST_REPEATS);
        }
    }

    #[test]
    fn a_better_player_is_faster_everywhere() {
        let pan = layout("double-second").expect("a layout");
        let [slow, middle, fast] = Level::ALL.map(|level| Hands::new(pan, level));
        for i in 0..slow.need.len() {
            assert!(slow.need[i] > middle.need[i] && middle.need[i] > fast.need[i]);
        }
        assert!(slow.turning() < middle.turning() && middle.turning() < fast.turning());
    }

    #[test]
    fn a_turned_oval_is_as_wide_as_it_is_seen() {
        let hands = Hands::new(layout("lead-c").expect("a layout"), Level::Intermediate);
        let mut note = hands.notes[0];
        note.area = Area::Oval { along: 60.0, deep: 30.0, turn: 0.0 };
        let from = |x: f64, y: f64| Point { x: note.centre.x + x, y: note.centre.y + y };
        assert!((width_along(&note, from(100.0, 0.0)) - 120.0).abs() < 1e-9);
        assert!((width_along(&note, from(0.0, 100.0)) - 60.0).abs() < 1e-9);
        note.area = Area::Oval { along: 60.0, deep: 30.0, turn: 90.0 };
        assert!((width_along(&note, from(100.0, 0.0)) - 60.0).abs() < 1e-9);
        note.area = Area::Tile { half_width: 40.0, half_height: 25.0 };
        assert!((width_along(&note, from(0.0, -70.0)) - 50.0).abs() < 1e-9);
    }

    #[test]
    fn directions_are_seen_from_the_player() {
        let hands = Hands::new(layout("six-bass").expect("a layout"), Level::Intermediate);
        let place = |name: &str| hands.place(name.parse().expect("a note")).expect("on the pan");
        // Six drums stand 54 degrees apart: the first behind the player's left, the last behind the right.
        assert!(hands.direction(place("C2")) < -110.0);
        assert!(hands.direction(place("Bb1")) > 110.0);
    }
}
