//! What `fit` would change in a tune file, place by place: the bars as they are, and as they would be.

use std::sync::Arc;

use super::super::whereabouts::Whereabouts;
use crate::text::{Edit, Source, Span};

/// What stands at one place, and what would stand there.
struct Change {
    place: String,
    was: String,
    now: String,
}

/// All changes as lines, an empty line before each; an empty text if there are none. Edits are in the order of the text.
pub fn changes(source: &Arc<Source>, edits: &[Edit]) -> String {
    let rows = Whereabouts::new(source);
    let mut text = String::new();
    let mut rest = edits;
    while let Some(first) = rest.first() {
        let line = source.line_of(first.span.start);
        let here = rest.iter().take_while(|edit| source.line_of(edit.span.start) == line).count();
        let (of_line, after) = rest.split_at(here);
        for change in line_changes(source, &rows, of_line) {
            text.push_str(&format!("\n{}\n", change.place));
            if !change.was.is_empty() {
                text.push_str(&format!("  was  {}\n", change.was));
            }
            let now: Vec<&str> = change.now.lines().map(str::trim).filter(|line| !line.is_empty()).collect();
            text.push_str(&format!("  now  {}\n", now.join("\n       ")));
        }
        rest = after;
    }
    text
}

/// The changes of one line: bars that follow each other are one.
fn line_changes(source: &Arc<Source>, rows: &Whereabouts, edits: &[Edit]) -> Vec<Change> {
    let bar_of = |edit: &Edit| rows.row(edit.span).and_then(|(_, bar)| bar);
    let is_new = |edit: &Edit| edit.text.contains('\n');
    let Some((row, _)) = rows.row(edits[0].span) else { return vec![whole_line(source, edits)] };
    if edits.iter().any(|edit| bar_of(edit).is_none() || is_new(edit)) {
        return vec![whole_line(source, edits)];
    }
    let mut changes = Vec::new();
    let mut rest = edits;
    while let Some(from) = rest.first().and_then(bar_of) {
        let mut to = from;
        let mut count = 0;
        for bar in rest.iter().filter_map(bar_of) {
            if bar > to + 1 {
                break;
            }
            (to, count) = (bar, count + 1);
        }
        let (these, after) = rest.split_at(count);
        let bars = row.bars(from, to);
        // A longer note may take the blanks before the bar line.
        let end = these.iter().map(|edit| edit.span.end).fold(bars.end, u32::max);
        let stretch = Span { end, ..bars };
        let bars = |text: &str| format!("| {} |", text.trim());
        changes.push(Change {
            place: row.places(from, to),
            was: bars(source.slice(stretch)),
            now: bars(&edited(source, stretch, these)),
        });
        rest = after;
    }
    changes
}

/// A line that is changed outside of bars, or that gets new lines under it.
fn whole_line(source: &Source, edits: &[Edit]) -> Change {
    let number = source.line_of(edits[0].span.start);
    let line = source.line_span(number);
    if edits.iter().all(|edit| edit.span.start == edit.span.end && edit.text.contains('\n')) {
        let now = edits.iter().map(|edit| edit.text.as_str()).collect::<String>();
        return Change { place: format!("a new row at line {number}"), was: String::new(), now };
    }
    let was = source.slice(line).trim().to_owned();
    Change { place: format!("line {number}"), was, now: edited(source, line, edits) }
}

/// A stretch of a text after edits.
fn edited(source: &Source, stretch: Span, edits: &[Edit]) -> String {
    let mut text = String::new();
    let mut at = stretch.start;
    for edit in edits {
        text.push_str(source.slice(Span { start: at, end: edit.span.start }));
        text.push_str(&edit.text);
        at = edit.span.end;
    }
    text.push_str(source.slice(Span { start: at, end: stretch.end.max(at) }));
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    const TUNE: &str =
        "title T\nkey D\nsection verse\n  lead | D6 . A5 | E6 . . | D6 . . | A5 . . |\n  bass | D2 | A2 |\n";

    /// An edit of the first place of a text after another one.
    fn edit(after: &str, text: &str, new: &str) -> Edit {
        let from = TUNE.find(after).expect("in the tune");
        let start = (from + TUNE[from..].find(text).expect("after it")) as u32;
        Edit::new(Span { start, end: start + text.len() as u32 }, new)
    }

    fn shown(edits: &[Edit]) -> String {
        changes(&Source::new("t.tune", TUNE), edits)
    }

    #[test]
    fn nothing_changed() {
        assert_eq!(shown(&[]), "");
    }

    #[test]
    fn bars_side_by_side_are_one_and_others_stand_for_themselves() {
        let edits = [
            edit("lead", "D6", "D5"),
            edit("A5 | E6", "E6", "E5"),
            edit("D6 . . | A5", "A5", "A4"),
            edit("bass", "A2", "A1"),
        ];
        insta::assert_snapshot!(shown(&edits), @r"

        bars 1 and 2 of verse, lead
          was  | D6 . A5 | E6 . . |
          now  | D5 . A5 | E5 . . |

        bar 4 of verse, lead
          was  | A5 . . |
          now  | A4 . . |

        bar 2 of verse, bass
          was  | A2 |
          now  | A1 |
        ");
    }

    #[test]
    fn lines_without_bars_and_new_rows() {
        let at = TUNE.find("  bass").expect("a row") as u32;
        let new = Edit::new(Span { start: at, end: at }, "  lead for Green rim | D5 |\n");
        insta::assert_snapshot!(shown(&[edit("key", "D", "Eb"), new]), @r"

        line 2
          was  key D
          now  key Eb

        a new row at line 5
          now  lead for Green rim | D5 |
        ");
    }
}
