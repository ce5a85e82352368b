//! What octave moves cost, from the words of [`Costs`] and of [`Written`] alone: a table with a row for each term, and the same costs
//! over keys and semitones for the brute force, which calls nothing of the optimiser.

use super::*;

/// The terms of a way through a line, but for what is missing: counted from the keys that are struck.
pub(super) fn defined(line: &[Written], moved: &[Moved], costs: &Costs) -> Terms {
    let mut terms = Terms::default();
    let mut before: Option<Struck> = None;
    let mut rested = false;
    for (written, moved) in line.iter().zip(moved) {
        rested |= written.after_rest;
        let Some((top, low)) = *moved else { continue };
        let now = Struck::of(written, top, low);
        now.by_itself(written.home, costs, &mut terms);
        let top = now.notes[0].struck;
        let crosses = written.under.is_some_and(|under| top > i64::from(under.key()))
            || written.over.is_some_and(|over| top < i64::from(over.key()));
        terms.crossings += if crosses { costs.cross } else { 0 };
        if let Some(before) = before {
            before.to(&now, rested, written.lean, costs, &mut terms);
        }
        (before, rested) = (Some(now), false);
    }
    terms
}

/// A note as it is written and as it is struck, in keys.
#[derive(Clone, Copy)]
struct Note {
    written: i64,
    struck: i64,
    is_open: bool,
}

/// The notes of a stroke, the top one first; of a single stroke both are the one that it has.
#[derive(Clone, Copy)]
struct Struck {
    notes: [Note; 2],
    is_pair: bool,
}

impl Struck {
    fn of(written: &Written, top: i32, low: i32) -> Struck {
        let note = |pitch: Pitch, octaves: i32, octave: Octave| Note {
            written: i64::from(pitch.key()),
            struck: i64::from(pitch.key()) + 12 * i64::from(octaves),
            is_open: octave == Octave::Open,
        };
        let first = note(written.top, top, written.octaves.0);
        let second = written.low.map(|pitch| note(pitch, low, written.octaves.1));
        Struck { notes: [first, second.unwrap_or(first)], is_pair: second.is_some() }
    }

    fn own(&self) -> &[Note] {
        if self.is_pair { &self.notes } else { &self.notes[..1] }
    }

    /// A written note costs for each octave that it moves, an open one for each semitone away from home.
    fn by_itself(&self, home: Option<Pitch>, costs: &Costs, terms: &mut Terms) {
        for note in self.own() {
            match (note.is_open, home) {
                (false, _) => terms.moves += costs.move_note * ((note.struck - note.written).abs() / 12),
                (true, Some(home)) => terms.leaps += costs.home * (note.struck - i64::from(home.key())).abs(),
                (true, None) => {}
            }
        }
    }

    /// Neighbours: torn by octaves, turned round, or, where an octave is open, as far as they leap.
    fn to(&self, next: &Struck, rested: bool, lean: Option<i8>, costs: &Costs, terms: &mut Terms) {
        let voices = if self.is_pair || next.is_pair { 2 } else { 1 };
        let ways = |of: fn(&Note) -> i64| -> Vec<i64> {
            (0..voices).map(|voice| of(&next.notes[voice]) - of(&self.notes[voice])).collect()
        };
        let (written, struck) = (ways(|note| note.written), ways(|note| note.struck));
        if self.own().iter().chain(next.own()).any(|note| note.is_open) {
            terms.leaps += costs.leap * struck.iter().map(|way| way.abs()).sum::<i64>();
            let lost = lean.is_some_and(|lean| i64::from(lean) != struck[0].signum());
            terms.turns += if lost && !rested { costs.turn } else { 0 };
            return;
        }
        let torn: i64 = written.iter().zip(&struck).map(|(written, struck)| (written - struck).abs() / 12).sum();
        if rested {
            terms.breaks_at_rests += costs.break_at_rest * torn;
            return;
        }
        terms.breaks += costs.break_line * torn;
        terms.turns += if written[0].signum() == struck[0].signum() { 0 } else { costs.turn };
    }
}

fn pitch(name: &str) -> Pitch {
    name.parse().expect(name)
}

/// A line as words: `C5` a written note, `C5?` one whose octave is open, `C5=` one that stays; `E5+C5` a pair, the top first; `|`
/// before a stroke a rest, `^` and `_` a degree that rises or falls.
fn line(text: &str, home: Option<&str>) -> Vec<Written> {
    let stroke = |word: &str| {
        let bare = word.trim_start_matches(['|', '^', '_']);
        let (top, low) = bare.split_once('+').map_or((bare, None), |(top, low)| (top, Some(low)));
        let octave = |name: &str| match name.chars().last() {
            Some('?') => Octave::Open,
            Some('=') => Octave::Stays,
            _ => Octave::Moves,
        };
        let note = |name: &str| pitch(name.trim_end_matches(['?', '=']));
        Written {
            top: note(top),
            low: low.map(note),
            after_rest: word.starts_with('|'),
            octaves: (octave(top), low.map_or(Octave::Moves, octave)),
            home: home.map(pitch),
            lean: if word.contains('^') { Some(1) } else { word.contains('_').then_some(-1) },
            under: None,
            over: None,
        }
    };
    text.split(' ').map(stroke).collect()
}

/// A pan that leaves a line no choice, the terms by hand, and their sum. All figures are our own settings: see [`Costs`]: a move
/// 1,000 an octave, a break 6,000, at a rest 1,500, a lost direction 2,000, a missing note 1,000,000, a leap 100 and a note away
/// from home 20 a semitone.
#[test]
fn what_each_term_costs() {
    let terms = Terms::default;
    let none: Option<&str> = None;
    let table = [
        ("on the pan nothing costs", "C5 D5 C5", none, "C5 D5", terms(), 0),
        ("two notes go down together", "C5 D5", none, "C4 D4", Terms { moves: 2000, ..terms() }, 2000),
        ("two octaves are two moves", "C6", none, "C4", Terms { moves: 2000, ..terms() }, 2000),
        ("both notes of a pair move", "E5+C5", none, "E4 C4", Terms { moves: 2000, ..terms() }, 2000),
        ("torn", "C5 B4", none, "C5 B3", Terms { moves: 1000, breaks: 6000, ..terms() }, 7000),
        ("torn by two octaves", "C6 B5", none, "C6 B3", Terms { moves: 2000, breaks: 12_000, ..terms() }, 14_000),
        (
            "torn, and up became down",
            "B4 C5",
            none,
            "B4 C4",
            Terms { moves: 1000, breaks: 6000, turns: 2000, ..terms() },
            9000,
        ),
        (
            "torn at a rest, where a direction may be lost",
            "B4 |C5",
            none,
            "B4 C4",
            Terms { moves: 1000, breaks_at_rests: 1500, ..terms() },
            2500,
        ),
        (
            "a pair's low note is torn from the only note before",
            "D5 E5+C5",
            none,
            "D5 E5 C4",
            Terms { moves: 1000, breaks: 6000, ..terms() },
            7000,
        ),
        (
            "a pair is torn in both its notes",
            "F5+D5 E5+C5",
            none,
            "F5 D5 E4 C4",
            Terms { moves: 2000, breaks: 12_000, ..terms() },
            14_000,
        ),
        ("missing", "C5 D5 E5", none, "C5 E5", Terms { missing: 1_000_000, ..terms() }, 1_000_000),
        ("both of a pair are missing", "E5+C5", none, "D5", Terms { missing: 2_000_000, ..terms() }, 2_000_000),
        (
            "a rest before what is passed over counts for what follows",
            "B4 |D5 C5",
            none,
            "B4 C4",
            Terms { moves: 1000, breaks_at_rests: 1500, missing: 1_000_000, ..terms() },
            1_002_500,
        ),
        ("an open note away from home", "C6?", Some("E4"), "C4", Terms { leaps: 80, ..terms() }, 80),
        ("an open note without a home", "C6?", none, "C4", terms(), 0),
        ("the low note of an open pair too", "E5?+C5?", Some("E4"), "E4 C4", Terms { leaps: 80, ..terms() }, 80),
        ("a low note that is written has no home", "E5?+C4", Some("E4"), "E4 C4", terms(), 0),
        ("an open note leaps a fifth", "C4= G2?", none, "C4 G4", Terms { leaps: 700, ..terms() }, 700),
        (
            "both notes of an open pair leap",
            "E5?+C5? G5?+D5?",
            none,
            "C4 D4 E4 G4",
            Terms { leaps: 500, ..terms() },
            500,
        ),
        (
            "a degree rises where it should fall",
            "C4= _G4?",
            none,
            "C4 G4",
            Terms { turns: 2000, leaps: 700, ..terms() },
            2700,
        ),
        ("after a rest it may", "C4= |_G4?", none, "C4 G4", Terms { leaps: 700, ..terms() }, 700),
    ];
    for (what, text, home, pan, expected, total) in table {
        let line = line(text, home);
        let set: NoteSet = pan.split(' ').map(pitch).collect();
        let fitted = fit(&line, set, &Costs::default());
        assert_eq!((fitted.terms, fitted.terms.total()), (expected, total), "{what}");
        assert_eq!(cost(&line, set, &Costs::default()), total, "{what}: the cost alone");
        let counted = Terms { missing: expected.missing, ..defined(&line, &fitted.moved, &Costs::default()) };
        assert_eq!(counted, expected, "{what}: counted anew");
    }
}

/// A note that crosses costs 500, once, though it crosses two parts; one that crosses as written has no bound.
#[test]
fn what_a_crossing_costs() {
    let set: NoteSet = ["C4", "C6"].map(pitch).into_iter().collect();
    let at = |under: Option<&str>, over: Option<&str>| {
        let line = [Written { under: under.map(pitch), over: over.map(pitch), ..Written::note(pitch("C5")) }];
        let fitted = fit(&line, set, &Costs::default());
        assert_eq!(cost(&line, set, &Costs::default()), fitted.terms.total());
        (fitted.moved[0], fitted.terms)
    };
    let moved = Terms { moves: 1000, ..Terms::default() };
    let crossed = Terms { crossings: 500, ..moved };
    assert_eq!(at(None, None), (Some((-1, 0)), moved), "of equals the lower octave");
    assert_eq!(at(None, Some("A4")), (Some((1, 0)), moved), "down would cross the lower part");
    assert_eq!(at(None, Some("C4")), (Some((-1, 0)), moved), "the same note is no crossing");
    assert_eq!(at(Some("C6"), Some("A4")), (Some((1, 0)), moved));
    assert_eq!(at(Some("E5"), Some("A4")), (Some((-1, 0)), crossed), "either way crosses");
    // It is on the pan, and stays: nothing moves for a crossing alone.
    let all = set.or([pitch("C5")].into_iter().collect());
    let line = [Written { under: Some(pitch("B4")), ..Written::note(pitch("C5")) }];
    let fitted = fit(&line, all, &Costs::default());
    assert_eq!((fitted.moved, fitted.terms.crossings), (vec![Some((0, 0))], 500));
}

#[test]
fn this_line_costs_all_terms_at_once() {
    // On a pan with B4, C4, E4 and G4. B4 stays; C5 goes down (1,000), is torn from it (6,000) and lies below it (2,000); after a rest
    // B5 goes down as C5 did, so that nothing is torn; D5 is missing (1,000,000); an open G leaps a third down from B4 (400), and lies a
    // third above home (60).
    let line = line("B4 C5 |B5 D5 G2?", Some("E4"));
    let set: NoteSet = "B4 C4 E4 G4".split(' ').map(pitch).collect();
    let terms = Terms {
        moves: 2000,
        breaks: 6000,
        breaks_at_rests: 0,
        turns: 2000,
        crossings: 0,
        leaps: 460,
        missing: 1_000_000,
    };
    assert_eq!(fit(&line, set, &Costs::default()).terms, terms);
    assert_eq!(terms.total(), 1_010_460);
    assert_eq!(terms.changes(), 1_010_000, "leaps are there in any case");
}
