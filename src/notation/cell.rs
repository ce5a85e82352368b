//! The grammar of one cell: `G4`, `G`, `5`, `G4+B4`, `A5/B5`, `x`, `-`, `~`, `.`, with the stick `L` or `R` after a note,
//! and `>` and `'` after a stroke.

use nom::branch::alt;
use nom::bytes::complete::take_while1;
use nom::character::complete::{char, one_of};
use nom::combinator::{map, map_opt, opt, recognize, value, verify};
use nom::multi::{many0, separated_list1};
use nom::{IResult, Offset, Parser};

use super::tree::{Cell, Mark, Notes, Slot, Slots, Stick, Strike, Written};
use crate::music::pitch::split_tone;
use crate::music::{Degree, NoteName, Tone};
use crate::text::{Span, Spanned};

/// Characters that end a slot or a note inside a cell.
const JOINS: [char; 2] = ['/', '+'];

/// What a percussion stroke is written with; `X` is an accented `x`.
const MARKS: &str = "xXos";

/// A cell from its text, which begins at byte `at` of the source; `None` when the text is no cell.
pub fn cell(text: &str, at: usize) -> Option<Cell> {
    let (rest, slots) =
        separated_list1(char('/'), |input| spanned(text, at, slot(text, at)).parse(input)).parse(text).ok()?;
    if !rest.is_empty() {
        return None;
    }
    let span = Span::new(at, at + text.len());
    let mut slots: Vec<Spanned<Slot>> = slots;
    let slots = if slots.len() == 1 { Slots::One(slots.remove(0).value) } else { Slots::Many(slots.into()) };
    Some(Cell { span, slots })
}

/// The result of a parser with its place.
fn spanned<'a, T>(
    text: &'a str,
    at: usize,
    mut parser: impl Parser<&'a str, Output = T, Error = nom::error::Error<&'a str>>,
) -> impl Parser<&'a str, Output = Spanned<T>, Error = nom::error::Error<&'a str>> {
    move |input: &'a str| {
        let (rest, value) = parser.parse(input)?;
        let (start, end) = (at + text.offset(input), at + text.offset(rest));
        Ok((rest, Spanned::new(value, Span::new(start, end))))
    }
}

fn slot(text: &str, at: usize) -> impl Parser<&str, Output = Slot, Error = nom::error::Error<&str>> {
    alt((
        value(Slot::Rest, char('.')),
        value(Slot::Hold, char('-')),
        value(Slot::Roll, char('~')),
        map(move |input| strike(text, at, input), Slot::Strike),
    ))
}

/// Notes joined with `+`, each with its stick if one is written, and the signs after them. The place of a note leaves its stick out.
fn strike<'a>(text: &'a str, at: usize, input: &'a str) -> IResult<&'a str, Strike> {
    let one = |input| (spanned(text, at, written), opt(map(one_of("LR"), stick))).parse(input);
    let (rest, notes) = verify(separated_list1(char('+'), one), |notes: &[_]| sticks_agree(notes)).parse(input)?;
    let stick = match notes.as_slice() {
        [(_, stick)] => *stick,
        [(_, stick), (_, other)] => stick.or(other.map(Stick::other)),
        _ => None,
    };
    let (rest, signs) = recognize(many0(one_of(">'"))).parse(rest)?;
    let loud = notes.iter().any(|(note, _)| note.value.1);
    let mut notes: Vec<Spanned<Written>> =
        notes.into_iter().map(|(note, _)| Spanned::new(note.value.0, note.span)).collect();
    let struck = if notes.len() == 1 { Notes::One(notes.remove(0).value) } else { Notes::Together(notes.into()) };
    Ok((rest, Strike { notes: struck, accent: loud || signs.contains('>'), damped: signs.contains('\''), stick }))
}

/// Two notes together need both sticks; more than two are shared among players, so their sticks can't be known.
fn sticks_agree<T>(notes: &[(T, Option<Stick>)]) -> bool {
    match notes {
        [_] => true,
        [(_, a), (_, b)] => a.is_none() || a != b,
        _ => notes.iter().all(|(_, stick)| stick.is_none()),
    }
}

fn stick(letter: char) -> Stick {
    if letter == 'L' { Stick::L } else { Stick::R }
}

/// A note or a percussion stroke, and whether it is an accented mark (`X`).
fn written(input: &str) -> IResult<&str, (Written, bool)> {
    let open = alt((map(tone, Written::Tone), map(degree, Written::Degree)));
    alt((map(alt((map(note, Written::Note), open)), |written| (written, false)), map_opt(one_of(MARKS), mark)))
        .parse(input)
}

fn mark(letter: char) -> Option<(Written, bool)> {
    let (mark, loud) = match letter {
        'x' => (Mark::Stroke, false),
        'X' => (Mark::Stroke, true),
        'o' => (Mark::Open, false),
        's' => (Mark::Slap, false),
        _ => return None,
    };
    Some((Written::Mark(mark), loud))
}

/// A note name with its octave, within MIDI's keys.
fn note(input: &str) -> IResult<&str, NoteName> {
    let name = map_opt(word, |text: &str| text.parse::<NoteName>().ok());
    verify(name, |name| name.pitch().is_some()).parse(input)
}

/// A note name without an octave.
fn tone(input: &str) -> IResult<&str, Tone> {
    map_opt(word, |text: &str| split_tone(text).ok().filter(|(_, rest)| rest.is_empty()).map(|(tone, _)| tone))
        .parse(input)
}

/// A degree of a chord.
fn degree(input: &str) -> IResult<&str, Degree> {
    map_opt(word, |text: &str| text.parse::<Degree>().ok()).parse(input)
}

/// The text up to the next join or sign.
fn word(input: &str) -> IResult<&str, &str> {
    take_while1(|c: char| !JOINS.contains(&c) && !matches!(c, '>' | '\'' | 'L' | 'R')).parse(input)
}
